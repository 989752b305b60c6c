"""The journal of a batch: every record is kept as soon as its piece is done, so that breaking off loses none.

It is a file of lines beside the results, added to and never changed, and is folded into the summary at the end. A line
torn off by a power cut is passed over when it is read again; its piece is then made once more, to the same bytes.
Where the disk is full, what cannot be added is kept in memory and tried again with the next line.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pleatsvg.batch.record import Record
from pleatsvg.errors import OutputError

JOURNAL = "summary.journal"


SUMMARY = "summary.json"


TABLE = "summary.csv"


_BEGINNING = b'{"task": '


_LEFTOVER = re.compile(r"\.(.+\.svg|summary\.(json|csv))\.[a-z0-9_]{8}\.part")


class Journal:
    """The open journal of an output folder, held by one batch at a time."""

    def __init__(self, folder: Path) -> None:
        """Open the journal of a folder, and make the folder if need be.

        Raises:
            OutputError: the folder cannot be made or written in, or another batch is at work in it.
        """
        self.folder = folder
        self.path = folder / JOURNAL
        try:
            folder.mkdir(parents=True, exist_ok=True)
            flags = os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
            self.handle = os.open(self.path, flags, 0o666)
        except OSError as error:
            raise OutputError(
                f"The output folder '{folder}'",
                f"cannot be written in ({error.strerror or error})",
                "",
                "Check its name, its permissions and the room on the disk, or give another one with --out.",
            ) from None
        self._hold()
        self.size = os.fstat(self.handle).st_size
        self.waiting: list[bytes] = []
        self.places: dict[tuple[int, int], int] = {}  # where each record begins; behind `size` those that wait

    def _hold(self) -> None:
        try:
            import fcntl
        except ImportError:  # no such locks on this system
            return
        try:
            fcntl.flock(self.handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            os.close(self.handle)
            raise OutputError(
                f"The output folder '{self.folder}'",
                "is being filled by another batch",
                "one at a time writes there",
                "Wait until it is done, or give another folder with --out.",
            ) from None

    def clear_leftovers(self) -> None:
        """Remove what was half written when an earlier run was broken off."""
        with contextlib.suppress(OSError):
            for file in self.folder.iterdir():
                if _LEFTOVER.fullmatch(file.name):
                    file.unlink()

    def earlier(self) -> Iterator[tuple[Record, bytes]]:
        """Yield the records of earlier runs and their lines: those of the summary, then those that never came into one.

        A summary that a person has put into another shape gives none; its pieces are made again, to the same bytes.
        """
        for name in (SUMMARY, JOURNAL):
            with contextlib.suppress(OSError), (self.folder / name).open("rb") as file:
                for row in file:
                    line = row.strip().removesuffix(b",")
                    if not line.startswith(_BEGINNING):
                        continue
                    with contextlib.suppress(ValueError, RecursionError):
                        yield json.loads(line), line

    def begin_anew(self) -> None:
        """Forget what an earlier run left in the journal."""
        os.ftruncate(self.handle, 0)
        self.size = 0

    def go_on(self) -> None:
        """Keep what is there, and begin on a line of its own."""
        if self.size:
            self.waiting.append(b"\n")

    def add(self, task: int, part: int, line: bytes) -> None:
        """Add a record."""
        self.places[task, part] = self.size + sum([len(one) for one in self.waiting])
        self.waiting.append(line)
        data = b"".join(self.waiting)
        try:
            done = 0
            while done < len(data):
                done += os.write(self.handle, data[done:])
        except OSError:
            with contextlib.suppress(OSError):
                os.ftruncate(self.handle, self.size)
            return
        self.size += len(data)
        self.waiting.clear()

    def records(self) -> Iterator[dict[str, Any]]:
        """Yield this run's records in the order of the job; each is read from the disk when it is asked for."""
        rest = b"".join(self.waiting)
        with self.path.open("rb") as file:
            for key in sorted(self.places):
                at = self.places[key]
                if at >= self.size:
                    begins = at - self.size
                    line = rest[begins : rest.index(b"\n", begins)]
                else:
                    file.seek(at)
                    line = file.readline()
                yield json.loads(line)

    def done(self) -> None:
        """Remove the journal, once everything in it is in the summary."""
        with contextlib.suppress(OSError):
            self.path.unlink()
        self.close()

    def close(self) -> None:
        """Close the journal; where work is left to do, the file stays for --resume."""
        if self.handle >= 0:
            os.close(self.handle)
            self.handle = -1
