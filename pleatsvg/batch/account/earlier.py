"""What earlier batches left in an output folder, as far as their account can be believed.

The account is a file that anyone may have edited, cut short or written with another program. A record counts only if
every value in it is of the kind that a batch writes; a piece whose record does not count is made anew.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import math
import os
import re
import stat
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pleatsvg.batch.account import Record
from pleatsvg.batch.account.journal import JOURNAL, SUMMARY

_LONGEST_LINE = 2**22
"""Bytes of a record: a thousand times what one takes."""


_LARGEST_RESHAPED = 2**26
"""Bytes of a summary that is read as a whole, since it is no longer in lines."""


_RECORD = b'{"task": '


_STANDING = b'{"output": '


@dataclass
class Earlier:
    """What earlier batches have left.

    Attributes:
        made: records of results by their digest and part, each as a line of JSON.
        written: digests of everything that was written, by file name. A file that has one of them is as a batch left it.
        by_drawing: the latest record of each output of a drawing, by the drawing's name in the job.
        spoilt: how many records do not count.
        foreign: names of files that have the place of an account and hold none.
    """

    made: dict[str, dict[int, bytes]] = field(default_factory=dict)
    written: dict[str, set[str]] = field(default_factory=dict)
    by_drawing: dict[str, dict[str, Record]] = field(default_factory=dict)
    spoilt: int = 0
    foreign: list[str] = field(default_factory=list)

    def remarks(self, folder: str) -> list[str]:
        """Return what is to be said of it, in sentences."""
        found = [
            f"'{name}' in '{folder}' is not as a batch left it; its pieces are made anew." for name in self.foreign
        ]
        if self.spoilt:
            records = "1 record" if self.spoilt == 1 else f"{self.spoilt} records"
            found.append(f"{records} of an earlier batch in '{folder}' cannot be read; what is missing is made anew.")
        return found

    def standing(self, folder: Path, but: Iterable[str]) -> list[dict[str, str]]:
        """Return the results that stand as an earlier batch left them, each with its digest.

        Args:
            folder: the output folder.
            but: file names of those that have a record of this run.
        """
        found: list[dict[str, str]] = []
        for output in sorted(set(self.written) - set(but)):
            digest = digest_of(folder / output)
            if digest in self.written[output]:
                found.append({"output": output, "sha256": digest})
        return found


def earlier_in(folder: Path) -> Earlier:
    """Read what earlier batches left in a folder: their summary, and the journal of one that was broken off."""
    earlier = Earlier()
    for name in (SUMMARY, JOURNAL):
        met = False
        for value, line in _values(folder / name):
            met = True
            _take(earlier, value, line)
        if not met and not _holds_nothing(earlier, folder / name):
            earlier.foreign.append(name)
    return earlier


def _holds_nothing(earlier: Earlier, file: Path) -> bool:
    # Whether a file without records in lines is no cause for a remark. One that has been put into another shape is read.
    if not os.path.lexists(file):
        return True
    data = regular_bytes(file, _LARGEST_RESHAPED)
    if data is None or file.name == JOURNAL:
        return data is not None and not data.strip()
    with contextlib.suppress(ValueError, RecursionError):
        whole = json.loads(data)
        if isinstance(whole, dict) and isinstance(whole.get("pieces"), list) and "program" in whole:
            more = whole.get("earlier")
            for value in [*whole["pieces"], *(more if isinstance(more, list) else [])]:
                _take(earlier, value, json.dumps(value).encode())
            return True
    return False


def _values(file: Path) -> Iterator[tuple[object, bytes]]:
    # What stands in the lines of a file that look like records; None for those that are none.
    try:
        handle = os.open(file, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    except OSError:
        return
    with open(handle, "rb") as rows:  # noqa: PTH123
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            return
        with contextlib.suppress(OSError):
            while row := rows.readline(_LONGEST_LINE):
                line = row.strip().removesuffix(b",")
                if line.startswith((_RECORD, _STANDING)):
                    value: object = None
                    with contextlib.suppress(ValueError, RecursionError):
                        value = json.loads(line)
                    yield value, line


def _take(earlier: Earlier, value: object, line: bytes) -> None:
    if not isinstance(value, dict):
        earlier.spoilt += 1
        return
    output, sha256 = value.get("output"), value.get("sha256")
    if _is_name(output) and _is_digest(sha256):
        earlier.written.setdefault(str(output), set()).add(str(sha256))
        if set(value) == {"output", "sha256"}:
            return
    if value.get("state") == "failed":
        return
    if not is_sound(value):
        earlier.spoilt += 1
        return
    earlier.made.setdefault(value["digest"], {})[value["part"]] = line
    earlier.by_drawing.setdefault(value["drawing"], {})[value["output"]] = value


def is_sound(record: dict[str, Any]) -> bool:
    """Whether a record is that of a result, with every value of the kind that a batch writes."""
    return (
        record.get("state") == "made"
        and all(_is_whole(record.get(key), least) for key, least in _WHOLE.items())
        and all(isinstance(record.get(key), str) for key in ("drawing", "piece", "own_name"))
        and record["part"] <= record["of"]
        and _is_name(record.get("output"))
        and record.get("unit") in ("mm", "cm", "in")
        and isinstance(record.get("counted"), str)
        and all(_is_digest(record.get(key)) for key in ("digest", "sha256"))
        and all(_is_number(record.get(key)) for key in ("fold_back_mm", "seconds"))
        and all(_are_numbers(record.get(key), ("finished", "flat")) for key in ("top_seam_mm", "hem_seam_mm"))
        and _are_texts(record.get("warnings"))
        and ("edges_mm" not in record or _are_numbers(record["edges_mm"]))
        and ("companion" not in record or isinstance(record["companion"], dict))
    )


_WHOLE = {"task": 1, "part": 1, "of": 1, "line": 1, "pleats": 0}


def _is_whole(value: object, least: int) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and least <= value < 10**9


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value) and 0 <= value < 1e9


def _are_numbers(value: object, keys: tuple[str, ...] = ()) -> bool:
    return isinstance(value, dict) and all(map(_is_number, value.values())) and (not keys or set(keys) == set(value))


def _are_texts(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(one, str) for one in value)


def _is_name(value: object) -> bool:
    # One file in the folder itself, whatever the record says.
    return isinstance(value, str) and value.endswith(".svg") and not re.search(r"[/\\\0]", value)


def _is_digest(value: object) -> bool:
    return isinstance(value, str) and re.fullmatch(r"[0-9a-f]{64}", value) is not None


def regular_bytes(file: Path, most: int | None = None) -> bytes | None:
    """Return the bytes of a plain file; None for anything else, for none, and for one of more than `most` bytes.

    A link is not followed, and a pipe is not waited for.
    """
    try:
        found = os.lstat(file)
        if not stat.S_ISREG(found.st_mode) or (most is not None and found.st_size > most):
            return None
        return file.read_bytes()
    except (OSError, ValueError):
        return None


def digest_of(file: Path) -> str:
    """Return the digest of a plain file's bytes, or ""."""
    data = regular_bytes(file)
    return "" if data is None else hashlib.sha256(data).hexdigest()
