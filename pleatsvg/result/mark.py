"""A mark of a result: straight strokes under the name of a class."""

from __future__ import annotations

import cmath
import math
from typing import NamedTuple


class Mark(NamedTuple):
    """A mark of one or more straight strokes.

    Attributes:
        name: its class, a row of `pleatsvg.result.classes`.
        points: those of all its strokes, one after another.
        strokes: how many of the points belong to each stroke.
        line: the line that it belongs to, cf. `Role.sign`; "join", "seam", "companion" or "" for other marks.
        pleat: the pleat's number, 0 for none.
        folds: cf. `FlatLine.folds`.
        end: "top" or "hem" for notches of pleats, "fold" or "end" for those of a companion, else "".
    """

    name: str
    points: tuple[complex, ...]
    strokes: tuple[int, ...]
    line: str
    pleat: int
    folds: tuple[int, ...]
    end: str = ""

    def runs(self) -> list[tuple[complex, ...]]:
        """Return the points of each stroke."""
        at = 0
        found = []
        for count in self.strokes:
            found.append(self.points[at : at + count])
            at += count
        return found


class MeasuredNotch(NamedTuple):
    """A notch of a companion.

    Attributes:
        mark: the notch.
        at: how far along its edge it stands from the end where the sewing begins, mm.
        of: what is sewn there.
    """

    mark: Mark
    at: float
    of: str


def ring(middle: complex, radius: float) -> tuple[complex, ...]:
    """Return the points of one stroke round a circle, in mm: 24 chords, at the sizes of marks no more than 0.05 mm off."""
    return tuple([middle + cmath.rect(radius, math.tau * k / 24) for k in range(25)])
