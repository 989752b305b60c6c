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
        line: the line that it belongs to, cf. `Role.sign`; "join", "seam" or "" for other marks.
        pleat: the pleat's number, 0 for none.
        folds: cf. `FlatLine.folds`.
        end: "top" or "hem" for notches, else "".
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


def ring(middle: complex, radius: float) -> tuple[complex, ...]:
    """Return the points of one stroke round a circle, in mm: 24 chords, at the sizes of marks no more than 0.05 mm off."""
    return tuple([middle + cmath.rect(radius, math.tau * k / 24) for k in range(25)])
