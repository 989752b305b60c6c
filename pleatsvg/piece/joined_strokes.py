"""Outlines drawn as several separate strokes that meet end to end.

The work grows with the number of strokes, times its logarithm at most: a traced or exploded outline has thousands.
"""

from __future__ import annotations

import math
from collections import defaultdict, deque
from dataclasses import replace
from typing import NamedTuple

from pleatsvg.drawing.drawn import DrawnShape
from pleatsvg.geometry.segment import Segment
from pleatsvg.tolerance import CLOSING_GAP


def joined_loops(shapes: list[DrawnShape]) -> tuple[list[DrawnShape], list[DrawnShape], list[str]]:
    """Return the closed outlines that open strokes make when joined end to end, the strokes used, and a remark on each.

    Ends within CLOSING_GAP of each other are joined; the next stroke is moved onto the end of the one before it by
    that much. Strokes that close nothing are left alone.

    Args:
        shapes: open strokes, in any order and drawn in either direction.
    """
    ends = _FreeEnds(shapes)
    loops: list[DrawnShape] = []
    used: list[DrawnShape] = []
    remarks: list[str] = []
    for first, shape in enumerate(shapes):
        if not ends.is_free(first):
            continue
        ends.take(first)
        chain = [shape]
        stroke = list(shape.stroke)
        widest = 0.0
        while abs(stroke[-1][-1] - stroke[0][0]) > CLOSING_GAP or len(chain) < 2:
            nearest = ends.nearest(stroke[-1][-1])
            if nearest is None:
                break
            gap, number, backwards = nearest
            ends.take(number)
            chain.append(shapes[number])
            segments = _reversed(shapes[number].stroke) if backwards else shapes[number].stroke
            widest = max(widest, gap)
            stroke.append((stroke[-1][-1], *segments[0][1:]))
            stroke += segments[1:]
        if len(chain) > 1 and abs(stroke[-1][-1] - stroke[0][0]) <= CLOSING_GAP:
            widest = max(widest, abs(stroke[-1][-1] - stroke[0][0]))
            used += chain
            loops.append(replace(chain[0], stroke=tuple(stroke), closed=True))
            remarks.append(
                f"Outline '{chain[0].name}' is drawn as {len(chain)} strokes that meet end to end, the widest gap "
                f"{widest:.3f} mm; they were joined."
            )
    return loops, used, remarks


def _reversed(stroke: tuple[Segment, ...]) -> tuple[Segment, ...]:
    return tuple([seg[::-1] for seg in reversed(stroke)])


_End = tuple[int, bool]
"""The number of a stroke, and whether it must be turned round to begin here."""


class _FreeEnds:
    """The ends of the strokes that no chain has taken yet, in squares of CLOSING_GAP, and by their exact points.

    Most ends of a drawing meet exactly, and then the nearest is found at once, however many lie in one spot.
    """

    def __init__(self, shapes: list[DrawnShape]) -> None:
        self._free = [True] * len(shapes)
        self._at: dict[complex, deque[_End]] = defaultdict(deque)
        self._squares: dict[tuple[int, int], dict[complex, None]] = defaultdict(dict)
        for number, shape in enumerate(shapes):
            for point, backwards in ((shape.stroke[0][0], False), (shape.stroke[-1][-1], True)):
                self._at[point].append((number, backwards))
                self._squares[_square(point)][point] = None

    def is_free(self, number: int) -> bool:
        return self._free[number]

    def take(self, number: int) -> None:
        self._free[number] = False

    def nearest(self, end: complex) -> tuple[float, int, bool] | None:
        # Gap, number, and whether it is to be turned round; of ends equally near, the first in file order.
        if end in self._at and (first := self._first(end)) is not None:
            return (0.0, *first)
        across, down = _square(end)
        best: tuple[float, int, bool] | None = None
        for square in [(across + i, down + j) for i in (-1, 0, 1) for j in (-1, 0, 1)]:
            for point in list(self._squares.get(square, ())):
                gap = abs(point - end)
                if gap > CLOSING_GAP or (best is not None and gap > best[0]):
                    continue
                first = self._first(point)
                if first is None:
                    del self._squares[square][point]
                elif best is None or (gap, *first) < best:
                    best = (gap, *first)
        return best

    def _first(self, point: complex) -> _End | None:
        queue = self._at[point]
        while queue and not self._free[queue[0][0]]:
            queue.popleft()
        return queue[0] if queue else None


def _square(point: complex) -> tuple[int, int]:
    return math.floor(point.real / CLOSING_GAP), math.floor(point.imag / CLOSING_GAP)


def widest_gap(shapes: list[DrawnShape]) -> tuple[float, complex, complex]:
    """Return the widest of the gaps from each stroke's end to the nearest end of another (mm), and its two points."""
    ends = [(z, k) for k, s in enumerate(shapes) for z in (s.stroke[0][0], s.stroke[-1][-1])]
    tree = _halved(ends, upright=True)
    worst = (0.0, 0j, 0j)
    for z, k in ends:
        gap, other = _nearest_other(tree, z, k, (math.inf, z))
        if worst[0] < gap < math.inf:
            worst = (gap, z, other)
    return worst


class _Node(NamedTuple):
    """Ends parted in halves, by turns across and down: what is nearest is found without looking at all of them."""

    point: complex
    number: int
    upright: bool
    before: _Node | None
    after: _Node | None


def _halved(ends: list[tuple[complex, int]], upright: bool) -> _Node | None:
    if not ends:
        return None
    ends = sorted(ends, key=lambda end: end[0].real if upright else end[0].imag)
    middle = len(ends) // 2
    before, after = _halved(ends[:middle], not upright), _halved(ends[middle + 1 :], not upright)
    return _Node(*ends[middle], upright, before, after)


def _nearest_other(node: _Node | None, z: complex, own: int, best: tuple[float, complex]) -> tuple[float, complex]:
    if node is None:
        return best
    away = z - node.point
    if node.number != own and abs(away) < best[0]:
        best = (abs(away), node.point)
    side = away.real if node.upright else away.imag
    near, far = (node.before, node.after) if side < 0 else (node.after, node.before)
    best = _nearest_other(near, z, own, best)
    return _nearest_other(far, z, own, best) if abs(side) < best[0] else best
