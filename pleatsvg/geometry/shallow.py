"""Hollows of an outline so shallow and so narrow that its parallel is better drawn straight over them.

Coordinates rounded to a tenth of a millimetre give a traced curve nodes that turn to and fro by many degrees within
half a millimetre. Each would be mitred, and the parallel would stand out from the seam in spikes of millimetres.
"""

from __future__ import annotations

import heapq
import math

from pleatsvg.geometry.motion import bearing
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, heading, length_of
from pleatsvg.tolerance import CORNER_REACH, SHALLOW


def bridged(
    outline: Outline, distances: tuple[float, ...], hand: float
) -> tuple[Outline, tuple[float, ...], tuple[int, ...]]:
    """Return an outline with straight lines over its shallow hollows, its distances, and which segment each side was.

    A hollow node is passed over where it lies between two short lines of which one is too short for its parallel to meet
    its neighbours' there, where the next node turns back again by about as much, and where then no node passed over lies
    deeper than SHALLOW below the line. The shallowest go first.

    Args:
        outline: closed, mm.
        distances: of each segment's parallel, mm.
        hand: +1 where the parallel lies to the left of travel as seen on the page, -1 where to the right.
    """
    sides = _Sides(outline, distances, hand)
    waiting = [(height, k, 0) for k in range(len(outline)) if (height := sides.height_over(k)) is not None]
    heapq.heapify(waiting)
    while waiting:
        height, k, age = heapq.heappop(waiting)
        if sides.age[k] != age or not sides.pass_over(k, height):
            continue
        before = sides.before[k]
        after = sides.after[before]
        for node in {sides.before[before], before, after, sides.after[after]}:
            sides.age[node] += 1
            again = sides.height_over(node)
            if again is not None:
                heapq.heappush(waiting, (again, node, sides.age[node]))
    return sides.left()


class _Sides:
    """The sides of an outline in a ring from which one may be taken; node k is the start of side k."""

    def __init__(self, outline: Outline, distances: tuple[float, ...], hand: float) -> None:
        n = len(outline)
        self.before = [(k - 1) % n for k in range(n)]
        self.after = [(k + 1) % n for k in range(n)]
        self.age = [0] * n
        self._segments = list(outline.segments)
        self._lengths = list(outline.lengths)
        self._distances = distances
        self._hand = hand
        self._source = list(range(n))
        self._passed: list[list[complex]] = [[] for _ in range(n)]
        self._bound = [0.0] * n
        self._there = [True] * n
        self._count = n

    def height_over(self, k: int) -> float | None:
        """Return how deep node k lies below the line that would pass over it, mm; None where it is to stay."""
        j = self.before[k]
        a, b = self._segments[j], self._segments[k]
        if len(a) != 2 or len(b) != 2 or self._distances[j] != self._distances[k] or self._count < 4:
            return None
        if self._is_edge(j) or self._is_edge(k):
            return None
        turn, earlier, later = self._turn(k), self._turn(j), self._turn(self.after[k])
        if turn >= 0 or min(abs(turn + earlier), abs(turn + later)) > -turn / 2:
            return None
        far = self._distances[k]
        here = far * _trimmed(turn)
        if self._lengths[j] >= here + far * _trimmed(earlier) and self._lengths[k] >= here + far * _trimmed(later):
            return None
        way = b[1] - a[0]
        if not way:
            return None
        height = abs(((a[1] - a[0]) * way.conjugate()).imag) / abs(way)
        return height if height <= SHALLOW else None

    def _is_edge(self, k: int) -> bool:
        # A straight edge as drawn, not to be led astray by what lies beside it.
        return self._lengths[k] >= CORNER_REACH and not self._passed[k]

    def _turn(self, k: int) -> float:
        # By what angle the outline turns at node k; below 0 where that is hollow.
        before, after = heading(self._segments[self.before[k]], 1.0), heading(self._segments[k], 0.0)
        return bearing(after / before) * self._hand

    def pass_over(self, k: int, height: float) -> bool:
        """Make one line of the sides before and after node k, and return True, unless that leaves too much below it."""
        j = self.before[k]
        start, end = self._segments[j][0], self._segments[k][1]
        passed = [*self._passed[j], self._segments[k][0], *self._passed[k]]
        bound = max(self._bound[j], self._bound[k]) + height
        if bound > SHALLOW:
            flip = ((end - start) / abs(end - start)).conjugate()
            bound = max([abs(((z - start) * flip).imag) for z in passed])
            if bound > SHALLOW:
                return False
        if self._lengths[k] > self._lengths[j]:
            self._source[j] = self._source[k]
        self._segments[j] = (start, end)
        self._lengths[j] = length_of((start, end))
        self._passed[j], self._bound[j] = passed, bound
        self.after[j] = self.after[k]
        self.before[self.after[k]] = j
        self._there[k] = False
        self._count -= 1
        return True

    def left(self) -> tuple[Outline, tuple[float, ...], tuple[int, ...]]:
        kept = [k for k, there in enumerate(self._there) if there]
        segments: list[Segment] = [self._segments[k] for k in kept]
        return (
            Outline(tuple(segments)),
            tuple([self._distances[k] for k in kept]),
            tuple([self._source[k] for k in kept]),
        )


def _trimmed(turn: float) -> float:
    # How much of either side's parallel is trimmed at a hollow node, in distances; nothing at one that points outwards.
    return math.tan(min(-turn / 2, 1.57)) if turn < 0 else 0.0
