"""From one save to the next, until the person ends it."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import NoReturn, Protocol

from pleatsvg.watching.files import State

EVERY = 0.05
"""Seconds between two looks. Of the third of a second in which a result is to stand, most is left for making it."""


A_MOMENT = 0.5
"""Seconds for which what was saved has to stay as it is before a refusal is told of it. Editors empty a file before they
fill it, and some write it twice."""


class Work(Protocol):
    """What is made anew."""

    def look(self) -> tuple[State, ...]:
        """Return how everything stands that the result is made from."""

    def make(self, settled: Callable[[], bool]) -> bool:
        """Make the result; return whether all is told that there is to tell.

        Args:
            settled: tells whether everything has stayed the same for a moment by now. Where it has not, a refusal is not
                told: the work is asked again when it has, or when it was saved once more.
        """


def make_at_each_save(work: Work) -> NoReturn:
    """Have the result made now, and at each save.

    Ctrl-C ends it, as it ends everything else; `work` says so where it keeps that wish to itself.
    """
    seen: tuple[State, ...] | None = None
    since, told, made = 0.0, True, -A_MOMENT

    def settled() -> bool:
        return time.monotonic() - since >= A_MOMENT and work.look() == seen

    while True:
        found = work.look()
        now = time.monotonic()
        if found != seen:
            # The same bytes written twice are one save.
            anew = seen is None or now - made > A_MOMENT or [s.digest for s in found] != [s.digest for s in seen]
            seen, since = found, now
            if anew:
                told = work.make(settled)
                made = time.monotonic()
        elif not told and settled():
            told = work.make(settled)
        time.sleep(EVERY)
