"""How files stand: looked at several times a second, and read only where something may have changed."""

from __future__ import annotations

import hashlib
import os
import stat
import time
from collections.abc import Iterable
from typing import NamedTuple

YOUNG = 2_500_000_000
"""Nanoseconds. Two saves within one tick of the disk's clock, of as many bytes, look alike; the coarsest clock, that of a
memory stick, ticks every two seconds. So the bytes of what was saved so lately are looked at every time."""


class Stamp(NamedTuple):
    """What the system says of a file that was saved: when (ns), how many bytes, and which file it is."""

    saved: int
    size: int
    number: int


class State(NamedTuple):
    """A file at one look: its stamp and a digest of its bytes, or None for both where it is not there or not to be read."""

    stamp: Stamp | None
    digest: bytes | None


def stamp_of(file: str | os.PathLike[str]) -> Stamp | None:
    """Return the stamp of a plain file, or None for anything else and for none."""
    try:
        found = os.stat(file)  # noqa: PTH116, several times a second
    except (OSError, ValueError):
        return None
    return Stamp(found.st_mtime_ns, found.st_size, found.st_ino) if stat.S_ISREG(found.st_mode) else None


class Looker:
    """Looks at files, and remembers of each how it stood."""

    def __init__(self) -> None:
        self._before: dict[str, State] = {}

    def look(self, files: Iterable[str]) -> tuple[State, ...]:
        """Return how files stand.

        A stamp is taken before the bytes are read: what is saved between the two is seen at the next look.
        """
        now = time.time_ns()
        states = {file: self._state(file, now) for file in files}
        self._before = states
        return tuple(states.values())

    def _state(self, file: str, now: int) -> State:
        stamp = stamp_of(file)
        before = self._before.get(file)
        if stamp is None:
            return State(None, None)
        if before is not None and before.stamp == stamp and abs(now - stamp.saved) > YOUNG:
            return before
        try:
            with open(file, "rb") as held:  # noqa: PTH123
                return State(stamp, hashlib.file_digest(held, "sha256").digest())
        except OSError:
            return State(stamp, None)
