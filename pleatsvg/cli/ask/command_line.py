"""A command as it can be pasted into the shell that it runs in."""

from __future__ import annotations

import os
import shlex
import subprocess
from collections.abc import Mapping
from pathlib import Path

from pleatsvg.order.options import taken_by


def same_again(drawing: Path, given: Mapping[str, object]) -> str:
    """Return the command that pleats a drawing as it was asked.

    Args:
        drawing: its file.
        given: options of 'pleat' as typed, by their names.
    """
    words = ["pleatsvg", "pleat", _no_option(str(drawing))]
    for row in taken_by("pleat"):
        value = given.get(row.name)
        flag = f"-{row.letter}" if row.letter else row.flag
        if value is True:
            words.append(flag)
        elif isinstance(value, (list, tuple)):
            words += [word for one in value for word in _with_value(flag, str(one))]
        elif value is not None and value is not False:
            words += _with_value(flag, str(value))
    return subprocess.list2cmdline(words) if os.name == "nt" else shlex.join(words)


def _with_value(flag: str, value: str) -> list[str]:
    # A value that looks like an option is taken for one, unless it is written onto its own.
    if not value.startswith("-"):
        return [flag, value]
    return [f"{flag}={value}"] if flag.startswith("--") else [flag, _no_option(value)]


def _no_option(file: str) -> str:
    return f".{os.sep}{file}" if file.startswith("-") else file
