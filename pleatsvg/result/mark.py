"""A mark of a result: straight strokes under the name of a class."""

from __future__ import annotations

from typing import NamedTuple


class Mark(NamedTuple):
    """A mark of one or more straight strokes.

    Attributes:
        name: "notch", "lap-arrow", "fold-end", "placement-end", "stitch-end", "fold-edge-arrow" or "leader".
        points: those of all its strokes, one after another.
        strokes: how many of the points belong to each stroke.
        line: "fold" or "placement" where it belongs to one, else "".
        pleat: the pleat's number.
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
