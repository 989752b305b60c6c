"""What of a raw parallel lies buried: within the distance of some place on the outline, so never on the outside.

Where an outline is jagged, or scalloped more finely than the distance, every side's parallel crosses those of its hundred
neighbours, and all but a little of it lies below them. What is buried need not be looked at again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, halves, point_at
from pleatsvg.tolerance import OFFSET

_Points = npt.NDArray[np.complex128]


_Those = npt.NDArray[np.bool_]


_MARGIN = 3 * OFFSET
"""mm. What is not so deep counts as bare: the raw parallel of a curve may itself lie OFFSET too near."""


_LEAST = 1 / 64
"""Of the distance: shorter stretches that are half buried are left as they are."""


_APART = 1 / 16
"""Of the distance: so near each other lie the places on a curve that count as nodes of it."""


_MOST = 64


_BESIDE = np.array(
    sorted(
        {sign * k for sign in (1, -1) for k in (*range(17), *range(18, 33, 2), *range(36, 65, 4), *range(80, 257, 16))}
    )
)
"""The nodes that are asked, counted from a stretch's own: near ones all, far ones by samples."""


_AT_ONCE = 1024


class Stretch(NamedTuple):
    """A stretch of a raw parallel: the number of its segment, its two shares there, and itself."""

    number: int
    start: float
    end: float
    points: Segment


class Ground:
    """All within a distance of an outline: what raw parallels at that distance may lie buried in."""

    def __init__(self, outline: Outline, distance: float) -> None:
        self._distance = distance
        self._reach = distance - _MARGIN
        places: list[complex] = []
        begins: list[int] = []
        for seg, length in zip(outline.segments, outline.lengths, strict=True):
            begins.append(len(places))
            count = 1 if len(seg) == 2 else max(1, min(_MOST, math.ceil(length / (distance * _APART))))
            places += [point_at(seg, k / count) for k in range(count)]
        self._places = np.array(places, complex)
        self._begins = np.array(begins)

    def bare(self, raw: Outline, sources: Sequence[int]) -> list[Stretch]:
        """Return the stretches of a raw parallel that may lie on its outside, in order.

        Args:
            raw: a parallel of the outline, not cleaned.
            sources: of which segment of the outline each of its segments is the parallel.
        """
        bare: list[Stretch] = []
        left = [Stretch(k, 0.0, 1.0, seg) for k, seg in enumerate(raw.segments)]
        while left:
            halved: list[Stretch] = []
            for first in range(0, len(left), _AT_ONCE):
                some = left[first : first + _AT_ONCE]
                buried, clear = self._judged(some, [sources[one.number] for one in some])
                for one, gone, stays in zip(some, buried.tolist(), clear.tolist(), strict=True):
                    if gone:
                        continue
                    if stays or max([abs(z - one.points[0]) for z in one.points[1:]]) < self._distance * _LEAST:
                        bare.append(one)
                        continue
                    middle = (one.start + one.end) / 2
                    a, b = halves(one.points)
                    halved += [Stretch(one.number, one.start, middle, a), Stretch(one.number, middle, one.end, b)]
            left = halved
        bare.sort(key=lambda one: (one.number, one.start))
        return bare

    def holds(self, points: Sequence[complex], sources: Sequence[int]) -> list[bool]:
        """Return which points lie buried; `sources` as above."""
        found: list[bool] = []
        for first in range(0, len(points), _AT_ONCE):
            some = np.array(points[first : first + _AT_ONCE], complex)
            near = self._near(sources[first : first + _AT_ONCE])
            found += (np.abs(some[:, None] - near).min(axis=1) < self._reach).tolist()
        return found

    def _near(self, sources: Sequence[int]) -> _Points:
        near: _Points = self._places[(self._begins[list(sources)][:, None] + _BESIDE) % len(self._places)]
        return near

    def _judged(self, some: list[Stretch], sources: list[int]) -> tuple[_Those, _Those]:
        # Of each stretch: whether all its control points lie within reach of one place, and whether none of it does of any.
        four = np.array([one.points if len(one.points) == 4 else _as_cubic(one.points) for one in some], complex)
        near = self._near(sources)
        buried = (np.abs(four[:, None, :] - near[:, :, None]).max(axis=2) < self._reach).any(axis=1)
        start, way = four[:, :1], (four[:, 3] - four[:, 0])[:, None]
        square = np.maximum(np.abs(way) ** 2, 1e-300)
        share = np.clip(((near - start) * way.conj()).real / square, 0.0, 1.0)
        away = np.abs(near - start - share * way)
        # A curve strays from its chord by no more than three quarters of what its handles do.
        thirds = start[:, 0] + way[:, 0] / 3, start[:, 0] + way[:, 0] * 2 / 3
        stray = 0.75 * np.maximum(np.abs(four[:, 1] - thirds[0]), np.abs(four[:, 2] - thirds[1]))
        return buried, away.min(axis=1) - stray >= self._reach


def _as_cubic(line: Segment) -> Segment:
    a, d = line
    return a, a + (d - a) / 3, a + (d - a) * 2 / 3, d
