"""Where all lanes lie, and in which of them obstacles do: in rows of numbers, for there may be thousands. All in mm."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from pleatsvg.marks.words.lane import NEED, Lane
from pleatsvg.marks.words.rails import Rail

BESIDE_OBSTACLE = 3.0
"""mm along a line between an obstacle and words."""


_LEAST_DOWN = 3.0
"""mm from the top of a line with stitching beside it, or from the end of what is seen of one, at which words begin at the
least."""


BLOCK_DOWN = 27.0
"""mm down a line at which the rows that name the piece begin at the least, with the free space about them."""


_Numbers = npt.NDArray[np.float64]


class Boxes(NamedTuple):
    """Boxes about obstacles, each in a lane: from where to where they reach along its first rail, and off it into the lane."""

    lane: npt.NDArray[np.intp]
    low: _Numbers
    high: _Numbers
    near: _Numbers
    far: _Numbers

    def reach_into(self, lane: int, along: tuple[float, float], off: tuple[float, float]) -> bool:
        """Return whether one of those in a lane overlaps what lies between these places there."""
        met = (self.lane == lane) & (self.low < along[1]) & (self.high > along[0])
        return bool((met & (self.near < off[1]) & (self.far > off[0])).any())


class Places:
    """Where the lanes lie, all of them at once. There is at least one rail, so each lane has one beside it.

    `floor` is how far down its first rail words begin in a lane at the least: what ends above it is in the way of none.
    """

    def __init__(self, rails: Sequence[Rail], lanes: Sequence[Lane], way: float) -> None:
        tops, along = np.array([rail.top for rail in rails]), np.array([rail.along for rail in rails])
        last = len(rails) - 1
        first = np.maximum(np.arange(len(lanes)) - 1, 0)
        other = np.minimum(np.arange(len(lanes)), last)
        self._first, self._other = (tops[first], along[first]), (tops[other], along[other])
        # Into the lane: after its first rail, or before the one that is its only one; and before its other rail.
        self._side = np.where(np.arange(len(lanes)) > 0, way, -way)
        self._between = first < other if last else np.zeros(len(lanes), bool)
        self._between[0] = self._between[-1] = False
        # A layer's lanes follow one another.
        bounds = [0, *[k + 1 for k, rail in enumerate(rails) if rail.role is not None and rail.role.crease], len(lanes)]
        self._start, self._count = np.array(bounds[:-1]), np.diff(bounds)
        least = np.array(
            [
                rail.low if rail.seen >= rail.length and not rail.stitched else min(rail.low, rail.seen, _LEAST_DOWN)
                for rail in rails
            ]
        )
        shift = ((self._other[0] - self._first[0]) * self._first[1].conj()).real
        self.floor = np.minimum(least[first], least[other] + shift)
        # How far down its first rail the lines begin that bound or cross a lane's layer: at the lowest.
        self._tops = np.zeros(len(lanes))
        layer = np.repeat(np.arange(len(self._start)), self._count)
        ends = self._start + self._count - 1
        for step in range(int(self._count.max()) + 1):
            beside = np.minimum(np.minimum(np.maximum(self._start - 1 + step, 0), ends), last)[layer]
            down = ((tops[beside] - self._first[0]) * self._first[1].conj()).real
            self._tops = np.maximum(self._tops, down)

    def begin_below(self, far: float) -> bool:
        """Return whether words, and the rows that name the piece, begin so far below the tops of all lines in every lane."""
        return bool((self._tops + far <= np.minimum(self.floor, BLOCK_DOWN)).all())

    def boxes_of(self, obstacles: Sequence[tuple[int, tuple[complex, ...]]]) -> tuple[Boxes, npt.NDArray[np.bool_]]:
        """Return the box about each obstacle in each lane of its layer, and which lie beside a rail of that lane.

        Args:
            obstacles: the layer of each, and its points, of all alike many.
        """
        layers = np.array([layer for layer, _ in obstacles])
        every = np.fromiter(chain.from_iterable([points for _, points in obstacles]), complex)
        count = self._count[layers]
        row = np.repeat(np.arange(len(obstacles)), count)
        lane = self._start[layers][row] + np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
        points = every.reshape(len(obstacles), -1)[row]
        us, vs = _along_and_off(points, self._first[0][lane], self._first[1][lane])
        side = self._side[lane][:, None]
        boxes = Boxes(lane, us.min(axis=1), us.max(axis=1), (vs * side).min(axis=1), (vs * side).max(axis=1))
        near = (boxes.near < NEED + 2) & (boxes.far > -NEED - 2)
        # Whatever reaches over the other line, or lies near it. A layer may hold the lane beyond that as well.
        beyond = _along_and_off(points, self._other[0][lane], self._other[1][lane])[1] * -side
        near |= self._between[lane] & (beyond.min(axis=1) < NEED + 2) & (beyond.max(axis=1) > -NEED - 2)
        return boxes, near


def _along_and_off(
    points: npt.NDArray[np.complex128], tops: npt.NDArray[np.complex128], along: npt.NDArray[np.complex128]
) -> tuple[_Numbers, _Numbers]:
    # How far along a rail of its own each row of points lies, and how far to the side of it.
    x, y = points.real - tops.real[:, None], points.imag - tops.imag[:, None]
    across, down = along.real[:, None], along.imag[:, None]
    return x * across + y * down, y * across - x * down
