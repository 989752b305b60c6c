"""`pleat --watch`: the drawing and its result side by side."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

from pleatsvg.cli.options import called
from pleatsvg.cli.report.failed import failure_text
from pleatsvg.drawing.source import bytes_of
from pleatsvg.saying import flush, on_one_line, say
from pleatsvg.watching.files import Looker, Stamp, State, stamp_of
from pleatsvg.watching.saves import make_at_each_save


def watch(drawings: Sequence[Path], output: Path, force: bool, make: Callable[[bool], str]) -> NoReturn:
    """Make a result now, and at each save of what it is made from, until the person ends it.

    Args:
        drawings: that it is made from, the piece's own first.
        output: the result's file.
        force: whether whatever stands there may be written over.
        make: makes the result and writes it, over what stands there or not, and returns what is to be said of it.

    Raises:
        PleatError: a drawing is not there to begin with.
    """
    for drawing in drawings:
        bytes_of(drawing)
    work = _Pleating([str(drawing) for drawing in drawings], output, force, make)
    work.begin()
    make_at_each_save(work)


class _Pleating:
    def __init__(self, drawings: list[str], output: Path, force: bool, make: Callable[[bool], str]) -> None:
        self.drawings = drawings
        self.output = output
        self.force = force
        self.making = make
        self.looker = Looker()
        self.left: Stamp | None = None  # the result as it was written last
        self.when = ""

    def begin(self) -> None:
        names = " and ".join([on_one_line(Path(drawing).name) for drawing in self.drawings])
        say(f"Watching {names}: each time it is saved, {called(self.output)} is made anew. Ctrl-C ends it.", error=True)

    def look(self) -> tuple[State, ...]:
        return self.looker.look(self.drawings)

    def make(self, settled: Callable[[], bool]) -> bool:
        # Only what stands there as it was left may be written over unasked.
        force = self.force or (self.left is not None and stamp_of(self.output) == self.left)
        try:
            words = self.making(force)
        except Exception as error:
            if not settled():
                return False
            self._tell(failure_text(error, ""), refused=True)
            return True
        self.left, self.when = stamp_of(self.output), _clock()
        self._tell(words, refused=False)
        return True

    def _tell(self, words: str, refused: bool) -> None:
        if refused:
            stands = (
                f"{called(self.output)} stands as it was made at {self.when}." if self.when else "Nothing is made yet."
            )
            words = f"{on_one_line(words)} {stands}"
        say(f"\n{_clock()}", error=refused)
        say(words, error=refused)
        flush()


def _clock() -> str:
    return time.strftime("%H:%M:%S")
