"""What is said of a failure, in one paragraph and never a traceback."""

from __future__ import annotations

import os
from pathlib import Path

from pleatsvg.cli.options import as_typed
from pleatsvg.errors import PleatError, cut_short


def failure_text(error: Exception, stands: str) -> str:
    """Return what is said when a command cannot do what was asked.

    Args:
        error: that ended it.
        stands: what was written by then, in a sentence.
    """
    if isinstance(error, PleatError):
        return error.message.on(as_typed)
    if isinstance(error, (MemoryError, RecursionError)):
        return "The drawing is larger or deeper than this machine can hold. Save the piece alone and try again."
    if isinstance(error, OSError):
        return f"{_place_of(error)} cannot be read or written ({error.strerror or error}). {stands}"
    return (
        f"Something went wrong that should not have: {type(error).__name__}: {cut_short(str(error), 300)}. "
        f"{stands} The drawing may be sound; please report it with the command you gave."
    )


def _place_of(error: OSError) -> str:
    if isinstance(error.filename, (str, bytes)):
        return f"'{cut_short(os.fsdecode(error.filename), 200)}'"
    try:
        Path.cwd()
    except OSError:
        return "The folder that you are in"
    return "Standard output, or what was needed,"
