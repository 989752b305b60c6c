"""Free room on a part of the flat piece, for what is not tied to a line: its name, its grain, the words beside a seam.

Places are tried one after another, from the middle of the part outwards; a place is free where a box of the size asked for
lies inside the seam and no line and no other words come near it. It is asked for a few boxes on each part only, so trying
them out costs less than keeping account of the room in every lane. All in mm, in the coordinates of the flat piece.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.inside import inside
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, point_at

CLEAR = 3.0
"""Free space in mm around a box."""


_AT_A_TIME = 128


_LINES_AT_A_TIME = 2048


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
        self._boxes: list[_Box] = []

    def take_line(self, points: Sequence[complex]) -> None:
        """Keep clear of a run of straight strokes."""
        self._lines += pairwise(points)

    def take_segments(self, segments: Iterable[Segment]) -> None:
        """Keep clear of lines and curves."""
        for seg in segments:
            self.take_line(seg if len(seg) == 2 else [point_at(seg, share) for share in _SHARES])

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
        lines = np.concatenate([np.array(self._lines, dtype=complex).reshape(-1, 2) * back, ring])
        middle = np.array([complex(left + right, top + bottom) / 2])
        lines = lines[_touching(middle, (right - left) / 2, (bottom - top) / 2, lines)[0]]
        lines = lines[np.argsort(-np.abs(lines[:, 1] - lines[:, 0]), kind="stable")]  # the long ones rule out most
        boxes = [(z * back, way * back, w, h) for z, way, w, h in self._boxes]
        boxes = [b for b in boxes if left - 200 < b[0].real < right + 200 and top - 200 < b[0].imag < bottom + 200]
        heart = near * back if near is not None else middle[0]
        across = left + (right - left) * (np.arange(_DOWN) + 0.5) / _DOWN
        down = top + (bottom - top) * (np.arange(_ACROSS) + 0.5) / _ACROSS
        spots = np.append(heart, (across[:, None] + 1j * down).ravel())
        x, y = spots.real, spots.imag
        spots = spots[(x - wide >= left) & (x + wide <= right) & (y - high >= top) & (y + high <= bottom)]
        spots = spots[np.argsort(np.abs(spots - heart), kind="stable")]
        stops = list(pairwise([0, *range(_AT_A_TIME, len(lines), _LINES_AT_A_TIME), len(lines)]))
        for start in range(0, len(spots), _AT_A_TIME):
            some = spots[start : start + _AT_A_TIME]
            some = some[inside(some, ring[:, 0], ring[:, 1])]
            for first, last in stops:
                some = some[~_touching(some, wide, high, lines[first:last]).any(axis=1)]
            for other in boxes if len(some) else ():
                some = some[~_overlapping(some, wide, high, other)]
                if not len(some):
                    break
            if len(some):
                return complex(some[0]) * along
        return None


def _touching(spots: _Spots, wide: float, high: float, lines: _Spots) -> _Those:
    # Which straight strokes come into the upright boxes about some spots? (No axis parts them: upright, level, square to it.)
    way, middle = (lines[:, 1] - lines[:, 0]) / 2, (lines[:, 1] + lines[:, 0]) / 2
    off = middle - spots[:, None]
    dx, dy = np.abs(way.real), np.abs(way.imag)
    touching: _Those = (np.abs(off.real) <= wide + dx) & (np.abs(off.imag) <= high + dy)
    return touching & (np.abs(way.real * off.imag - way.imag * off.real) <= wide * dy + high * dx)


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
