"""The journal of a batch: a file of records beside the results, so that no instant of breaking off loses one.

A record is added before its result is moved to its place, so whatever stands in the folder and was put there by a batch
can be told from what a person put there, even where the batch was killed. The journal is added to and never changed,
and its records go into the summary at the end. A line torn off by a power cut is skipped when it is read again; its
piece is then made once more, to the same bytes. Where the disk is full, what cannot be added is kept in memory and
tried again with the next line.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pleatsvg.errors import OutputError
from pleatsvg.wholefile import LEFTOVER, kind_of

JOURNAL = "summary.journal"


SUMMARY = "summary.json"


TABLE = "summary.csv"


class Journal:
    """The open journal of an output folder, held by one batch at a time."""

    def __init__(self, folder: Path) -> None:
        """Open the journal of a folder, and make the folder if need be.

        Raises:
            OutputError: the folder cannot be made or written in, or another batch is at work in it.
        """
        self.folder = folder
        try:
            folder.mkdir(parents=True, exist_ok=True)
            found = folder.stat()
            self._opened_in = (found.st_dev, found.st_ino)
            self._folder_handle = os.open(folder, os.O_RDONLY) if os.unlink in os.supports_dir_fd else -1
            self.handle = self._open()
        except (OSError, ValueError) as error:
            reason = error.strerror if isinstance(error, OSError) else "its name cannot be one"
            raise OutputError(
                f"The output folder '{folder}'",
                f"cannot be written in ({reason})",
                "",
                "Check its name, its permissions and the room on the disk, or give another one with --out.",
            ) from None
        self.size = os.fstat(self.handle).st_size
        self.waiting: list[bytes] = [b"\n"] if self.size else []  # a torn line may stand at its end
        self.places: dict[tuple[int, int], int] = {}  # where each record begins; beyond `size` those still waiting

    def _open(self) -> int:
        refuse_odd_files(self.folder)
        path = self.folder / JOURNAL
        flags = os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
        while True:
            handle = os.open(path, flags, 0o666)
            self._hold(handle)
            with contextlib.suppress(FileNotFoundError):
                if path.stat().st_ino == os.fstat(handle).st_ino:
                    return handle
            os.close(handle)  # a batch that was just done has taken it away

    def _hold(self, handle: int) -> None:
        try:
            import fcntl
        except ImportError:  # no such locks on this system
            return
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            os.close(handle)
            raise OutputError(
                f"The output folder '{self.folder}'",
                "is being filled by another batch",
                "one at a time writes there",
                "Wait until it is done, or give another folder with --out.",
            ) from None
        except OSError:
            return  # no such locks on this disk

    @property
    def in_its_folder(self) -> bool:
        """Whether the folder is still where it was, and the same."""
        try:
            found = os.stat(self.folder)  # noqa: PTH116, for every result of a batch
        except OSError:
            return False
        return (found.st_dev, found.st_ino) == self._opened_in

    def clear_leftovers(self) -> None:
        """Delete what was half written when this run or an earlier one was broken off, wherever the folder is by now."""
        with contextlib.suppress(OSError):
            for name in os.listdir(self._folder_handle if self._folder_handle >= 0 else self.folder):  # noqa: PTH208
                if re.fullmatch(LEFTOVER, name):
                    with contextlib.suppress(OSError):
                        if self._folder_handle >= 0:
                            os.unlink(name, dir_fd=self._folder_handle)
                        else:
                            (self.folder / name).unlink()

    def add(self, task: int, part: int, line: bytes) -> None:
        """Add a record; one that was added before for the same piece counts no more."""
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
        # By a handle of its own position, and not by its name: the folder may have been moved.
        with open(os.dup(self.handle), "rb") as file:  # noqa: PTH123
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
        """Take the journal away, once everything in it stands in the summary; it can still be read."""
        with contextlib.suppress(OSError):
            (self.folder / JOURNAL).unlink()

    def close(self) -> None:
        """Let go of the journal; where it has work undone it stays for --resume."""
        for handle in (self.handle, self._folder_handle):
            if handle >= 0:
                os.close(handle)
        self.handle = self._folder_handle = -1


def refuse_odd_files(folder: Path) -> None:
    """Refuse a folder in which something that is no file stands in the place of the account.

    Raises:
        OutputError: a pipe, a link, a folder or the like has the name of the journal or of the summary.
    """
    for name in (JOURNAL, SUMMARY, TABLE):
        try:
            mode = os.lstat(folder / name).st_mode
        except (FileNotFoundError, NotADirectoryError):
            continue
        except (OSError, ValueError) as error:
            reason = error.strerror if isinstance(error, OSError) else "its name cannot be one"
            raise OutputError(
                f"The output folder '{folder.name}'",
                f"cannot be used ({reason})",
                "",
                "Give another folder with --out.",
            ) from None
        if not stat.S_ISREG(mode):
            raise OutputError(
                f"'{name}' in the output folder '{folder.name}'",
                f"is {kind_of(mode)}",
                "a batch keeps its account in a file of this name",
                "Move it away, or give another folder with --out.",
            )
