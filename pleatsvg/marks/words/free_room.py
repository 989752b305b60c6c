"""Free room on a part of the flat piece, for what is not tied to a line: its name, its grain, the words beside a seam.

Places are tried one after another, from the middle of the part outwards; a place is free where a box of the size asked for
lies inside the seam and no line and no other words come near it. It is asked for a few boxes on each part only, so trying
them out costs less than keeping account of the room in every lane. All in mm, in the coordinates of the flat piece.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.inside import inside
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Box, Segment, point_at

CLEAR = 3.0
"""Free space in mm around a box."""


_RIM = 0.05
"""mm by which the surroundings of a box reach beyond what is to be free about it."""


_AT_A_TIME = 128


_MANY = 4096
"""Strokes from which on most spots are ruled out by a count of ends in squares."""


_SQUARES = 256
"""Across and down, of that count."""


MOST_TRIED = 100_000_000
"""Pairs of a spot and a stroke looked at for one box; where that is not enough, there is no room to speak of."""


_ACROSS = 24


_DOWN = 36


_SHARES = tuple([k / 8 for k in range(9)])


_Spots = npt.NDArray[np.complex128]


_Those = npt.NDArray[np.bool_]


_Box = tuple[complex, complex, float, float]
"""Its middle, its direction, half its width and half its height."""


class Rooms:
    """What is taken on the page; cf. the module."""

    def __init__(self) -> None:
        self._lines: list[tuple[complex, complex]] = []
        self._curves: list[Segment] = []
        self._boxes: list[_Box] = []
        self._strokes: _Spots = np.empty((0, 2), dtype=complex)
        self._counted = (0, 0)

    def with_outlines(self, outlines: Iterable[Outline]) -> Rooms:
        """Return the same with some outlines taken as well; what is found room for in either is not taken in the other."""
        made = Rooms()
        made._lines, made._curves, made._boxes = [*self._lines], [*self._curves], [*self._boxes]
        for outline in outlines:
            made.take_segments(outline.segments)
        return made

    def is_free(self, middle: complex, along: complex, width: float, height: float, clear: float) -> bool:
        """Return whether nothing comes near a box, wherever it lies; cf. `find`."""
        wide, high = along * (width / 2 + clear + _RIM), along * 1j * (height / 2 + clear + _RIM)
        corners = [middle - wide - high, middle + wide - high, middle + wide + high, middle - wide + high]
        around = Outline(tuple(pairwise([*corners, corners[0]])))
        return self.find(around, along, width, height, middle, clear) is not None

    def take_line(self, points: Sequence[complex]) -> None:
        """Keep clear of a run of straight strokes."""
        self._lines += pairwise(points)

    def take_segments(self, segments: Iterable[Segment]) -> None:
        """Keep clear of lines and curves."""
        for seg in segments:
            if len(seg) == 2:
                self._lines.append((seg[0], seg[1]))
            else:
                self._curves.append(seg)

    def take_box(self, middle: complex, along: complex, width: float, height: float) -> None:
        """Keep clear of a box, such as a line of lettering."""
        self._boxes.append((middle, along, width / 2, height / 2))

    def find(
        self,
        seam: Outline,
        along: complex,
        width: float,
        height: float,
        near: complex | None = None,
        clear: float = CLEAR,
    ) -> complex | None:
        """Return the middle of a free box inside a seam, as near as can be to a place, or None.

        Args:
            seam: of the part.
            along: the unit vector along which the box is `width` long; it is `height` high.
            near: the place; the middle of the part where it is left out.
            clear: free space around the box, mm.
        """
        back = along.conjugate()
        points = [point_at(seg, share) for seg in seam.segments for share in (_SHARES if len(seg) == 4 else (0, 1))]
        edge = np.array(points) * back
        ring = np.stack([edge, np.roll(edge, -1)], axis=1)
        left, top, right, bottom = edge.real.min(), edge.imag.min(), edge.real.max(), edge.imag.max()
        wide, high = width / 2 + clear, height / 2 + clear
        middle = np.array([complex(left + right, top + bottom) / 2])
        boxes = [
            (spot, way * back, w, h)
            for z, way, w, h in self._boxes
            if left - 200 < (spot := z * back).real < right + 200 and top - 200 < spot.imag < bottom + 200
        ]
        middles = np.array([b[0] for b in boxes], dtype=complex)
        reaches = np.array([math.hypot(b[2], b[3]) for b in boxes])
        heart = near * back if near is not None else middle[0]
        across = left + (right - left) * (np.arange(_DOWN) + 0.5) / _DOWN
        down = top + (bottom - top) * (np.arange(_ACROSS) + 0.5) / _ACROSS
        spots = np.append(heart, (across[:, None] + 1j * down).ravel())
        x, y = spots.real, spots.imag
        spots = spots[(x - wide >= left) & (x + wide <= right) & (y - high >= top) & (y + high <= bottom)]
        spots = spots[np.argsort(np.abs(spots - heart), kind="stable")]
        # Of a piece in a hundred parts most strokes lie elsewhere: what is asked of each spot is asked of those that do not.
        strokes = self._all_strokes() * back
        strokes = strokes[_touching(middle, (right - left) / 2, (bottom - top) / 2, strokes)[0]]
        if len(strokes) > _MANY:
            spots = spots[~_surely_touched(spots, wide, high, strokes[:, 0], (left, top, right, bottom))]
            if not len(spots):
                return None
        lines = np.concatenate([strokes, ring])
        tried = 0
        at_a_time = _AT_A_TIME if len(lines) <= _MANY else 8
        for start in range(0, len(spots), at_a_time):
            some = spots[start : start + at_a_time]
            for first, last in _stretches(len(lines)):
                if not len(some):
                    break
                tried += len(some) * (last - first)
                some = some[~_touching(some, wide, high, lines[first:last]).any(axis=1)]
                if not first:  # the few that are left of a crowded part are soon asked whether they lie on it
                    some = some[inside(some, ring[:, 0], ring[:, 1])]
            if tried > MOST_TRIED:
                return None
            for k in _within_reach(some, math.hypot(wide, high), middles, reaches):
                other = boxes[k]
                some = some[~_overlapping(some, wide, high, other)]
                if not len(some):
                    break
            if len(some):
                return complex(some[0]) * along
        return None

    def _all_strokes(self) -> _Spots:
        # Every straight stroke, and every curve as eight of them; the long ones first, since they rule out most.
        known = (len(self._lines), len(self._curves))
        if known != self._counted:
            straight = np.array(self._lines, dtype=complex).reshape(-1, 2)
            strokes = np.concatenate([straight, _in_chords(self._curves)])
            order = np.argsort(-np.abs(strokes[:, 1] - strokes[:, 0]), kind="stable")
            self._strokes, self._counted = strokes[order], known
        return self._strokes


def _in_chords(curves: Sequence[Segment]) -> _Spots:
    # As `point_at` has it, for all curves at once.
    if not curves:
        return np.empty((0, 2), dtype=complex)
    ends = np.array(curves)
    a, b, c, d = ends[:, :1], ends[:, 1:2], ends[:, 2:3], ends[:, 3:]
    t = np.array(_SHARES)
    s = 1 - t
    points = np.empty((len(curves), len(t)), dtype=complex)
    points.real = s * s * s * a.real + 3 * s * t * (s * b.real + t * c.real) + t * t * t * d.real
    points.imag = s * s * s * a.imag + 3 * s * t * (s * b.imag + t * c.imag) + t * t * t * d.imag
    points[:, 0], points[:, -1] = ends[:, 0], ends[:, 3]
    return np.stack([points[:, :-1], points[:, 1:]], axis=2).reshape(-1, 2)


def _stretches(count: int) -> Iterator[tuple[int, int]]:
    # The first few, which rule out most, and then as many at once as take little room.
    yield 0, min(_AT_A_TIME, count)
    for first in range(_AT_A_TIME, count, _MANY):
        yield first, min(first + _MANY, count)


def _surely_touched(spots: _Spots, wide: float, high: float, points: _Spots, box: Box) -> _Those:
    # Whether a point lies well inside the upright box about each spot: counted in squares, all points before each square
    # added up, so that the look at a box is a look at its four corners.
    left, top, right, bottom = box
    across, down = _SQUARES / max(right - left, 1e-9), _SQUARES / max(bottom - top, 1e-9)
    columns, rows = np.floor((points.real - left) * across), np.floor((points.imag - top) * down)
    here = (columns >= 0) & (columns < _SQUARES) & (rows >= 0) & (rows < _SQUARES)
    at = (columns[here] * _SQUARES + rows[here]).astype(np.int64)
    before = np.zeros((_SQUARES + 1, _SQUARES + 1), dtype=np.int64)
    counts = np.bincount(at, minlength=_SQUARES * _SQUARES).reshape(_SQUARES, _SQUARES)
    before[1:, 1:] = counts.cumsum(axis=0).cumsum(axis=1)

    def whole(values: npt.NDArray[np.float64]) -> npt.NDArray[np.int64]:
        return np.clip(values, 0, _SQUARES).astype(np.int64)

    x, y = spots.real - left, spots.imag - top
    least, most = whole(np.ceil((x - wide) * across) + 1), whole(np.floor((x + wide) * across) - 1)
    first, last = whole(np.ceil((y - high) * down) + 1), whole(np.floor((y + high) * down) - 1)
    most, last = np.maximum(least, most), np.maximum(first, last)
    held: _Those = before[most, last] - before[least, last] - before[most, first] + before[least, first] > 0
    return held


def _touching(spots: _Spots, wide: float, high: float, lines: _Spots) -> _Those:
    # Which straight strokes come into the upright boxes about some spots? (No axis parts them: upright, level, square to it.)
    way, middle = (lines[:, 1] - lines[:, 0]) / 2, (lines[:, 1] + lines[:, 0]) / 2
    off = middle - spots[:, None]
    dx, dy = np.abs(way.real), np.abs(way.imag)
    touching: _Those = (np.abs(off.real) <= wide + dx) & (np.abs(off.imag) <= high + dy)
    return touching & (np.abs(way.real * off.imag - way.imag * off.real) <= wide * dy + high * dx)


def _within_reach(
    spots: npt.NDArray[np.complex128],
    reach: float,
    middles: npt.NDArray[np.complex128],
    reaches: npt.NDArray[np.float64],
) -> list[int]:
    # Which boxes come near enough to one of the spots to overlap a box of that reach there; most do not.
    if not len(spots) or not len(middles):
        return []
    near = np.abs(middles[:, None] - spots) <= reaches[:, None] + reach + 1e-9
    return [int(k) for k in np.flatnonzero(near.any(axis=1))]


def _overlapping(spots: _Spots, wide: float, high: float, other: _Box) -> _Those:
    # Two boxes are apart where an axis of one of them parts them.
    middle, way, w, h = other
    off = middle - spots
    apart = np.zeros(len(spots), dtype=bool)
    for axis in (1 + 0j, 1j, way, way * 1j):
        turned = axis * way.conjugate()
        reach = wide * abs(axis.real) + high * abs(axis.imag) + w * abs(turned.real) + h * abs(turned.imag)
        apart |= np.abs((off * axis.conjugate()).real) > reach
    return ~apart
