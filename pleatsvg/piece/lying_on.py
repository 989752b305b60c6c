"""Which of the shapes and texts of a drawing lie on a piece; a traced drawing has thousands, and a drawing many pieces."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from pleatsvg.drawing.drawn import DrawnShape, DrawnText
from pleatsvg.geometry.nearest import FoundOutline, Tree
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import box_of, point_at
from pleatsvg.tolerance import SEAM_MARK

_LONG = 32
"""Segments of an outline from which on a tree finds those that a line crosses more quickly than a look at each."""


class Ground:
    """A piece, to be asked what lies on it."""

    def __init__(self, outline: Outline) -> None:
        self._outline = FoundOutline(outline.segments) if len(outline) > _LONG else outline

    def bears(self, shape: DrawnShape) -> bool:
        """Whether a shape lies on the piece, if only in part.

        A notch may stand on the seam and point outwards, so an end that all but touches the piece is on it.
        """
        holds = self._outline.holds
        ends = (shape.stroke[0][0], shape.stroke[-1][-1])
        return any(holds(z, SEAM_MARK) for z in ends) or any(holds(point_at(seg, 0.5)) for seg in shape.stroke)

    def owns(self, shape: DrawnShape) -> bool:
        """Whether a shape belongs to this piece of several: a line that has a part by its middle, all else as it lies."""
        if shape.part in ("slash", "grain", "balance", "fold edge", "centre"):
            return self._outline.holds((shape.stroke[0][0] + shape.stroke[-1][-1]) / 2, SEAM_MARK)
        return self.bears(shape)

    def holds_text(self, text: DrawnText) -> bool:
        """Whether the middle of a text lies on the piece."""
        return self._outline.holds(sum(text.box) / len(text.box))


class Scattered:
    """Shapes in file order, to be asked which of them are near one piece after another."""

    def __init__(self, shapes: Sequence[DrawnShape]) -> None:
        self._shapes = shapes

    @cached_property
    def _tree(self) -> Tree:
        return Tree([box_of([z for seg in shape.stroke for z in seg]) for shape in self._shapes])

    def near(self, outline: Outline) -> list[DrawnShape]:
        """Return the shapes of which a part may lie on a piece: their boxes touch its own."""
        left, top, right, bottom = outline.box
        around = (left - SEAM_MARK, top - SEAM_MARK, right + SEAM_MARK, bottom + SEAM_MARK)
        return [self._shapes[k] for k in self._tree.touching(around)] if self._shapes else []
