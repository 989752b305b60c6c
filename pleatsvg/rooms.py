"""Free room on a part of the flat piece, for what is not tied to a line: its name, its grain, the words beside a seam.

Places are tried one after another, from the middle of the part outwards; a place is free where a box of the size asked for
lies inside the seam and no line and no other words come near it. It is asked for a few boxes on each part only, so trying
them out costs less than keeping account of the room in every lane. All in mm, in the coordinates of the flat piece.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from pleatsvg.outline import Outline
from pleatsvg.segment import Box, Segment, box_of, point_at

CLEAR = 3.0
"""Free space in mm around a box."""

_ACROSS = 24
_DOWN = 36
_SHARES = tuple([k / 8 for k in range(9)])


class Rooms:
    """What is taken on the page; cf. the module."""

    def __init__(self) -> None:
        self._lines: list[tuple[complex, complex]] = []
        self._boxes: list[tuple[complex, complex, float, float]] = []  # middle, direction, half width, half height

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
        edge = [
            point_at(seg, share) * back for seg in seam.segments for share in (_SHARES if len(seg) == 4 else (0, 1))
        ]
        ring = list(zip(edge, [*edge[1:], edge[0]], strict=True))
        left, top, right, bottom = box_of(edge)
        wide, high = width / 2 + clear, height / 2 + clear
        lines = [(a * back, b * back) for a, b in self._lines] + ring
        lines = [line for line in lines if _touches(line, (left, top, right, bottom))]
        boxes = [(z * back, way * back, w, h) for z, way, w, h in self._boxes]
        boxes = [
            box for box in boxes if left - 200 < box[0].real < right + 200 and top - 200 < box[0].imag < bottom + 200
        ]
        heart = near * back if near is not None else complex((left + right) / 2, (top + bottom) / 2)
        spots = [
            complex(left + (right - left) * (i + 0.5) / _DOWN, top + (bottom - top) * (j + 0.5) / _ACROSS)
            for i in range(_DOWN)
            for j in range(_ACROSS)
        ]
        for spot in sorted([heart, *spots], key=lambda z: abs(z - heart)):
            box = (spot.real - wide, spot.imag - high, spot.real + wide, spot.imag + high)
            if box[0] < left or box[1] < top or box[2] > right or box[3] > bottom or not _inside(spot, ring):
                continue
            if any(_touches(line, box) for line in lines) or any(_overlap(spot, wide, high, other) for other in boxes):
                continue
            return spot * along
        return None


def _inside(z: complex, ring: list[tuple[complex, complex]]) -> bool:
    odd = False
    for a, b in ring:
        if (a.imag > z.imag) != (b.imag > z.imag):
            at = a.real + (z.imag - a.imag) * (b.real - a.real) / (b.imag - a.imag)
            odd ^= at > z.real
    return odd


def _touches(line: tuple[complex, complex], box: Box) -> bool:
    # Does a straight stroke come into an upright box? (Slab test.)
    low, high = 0.0, 1.0
    a, b = line
    for p, q, least, most in ((a.real, b.real, box[0], box[2]), (a.imag, b.imag, box[1], box[3])):
        if abs(q - p) < 1e-12:
            if not least <= p <= most:
                return False
            continue
        t0, t1 = (least - p) / (q - p), (most - p) / (q - p)
        low, high = max(low, min(t0, t1)), min(high, max(t0, t1))
    return low <= high


def _overlap(spot: complex, wide: float, high: float, other: tuple[complex, complex, float, float]) -> bool:
    # Two boxes are apart where an axis of one of them parts them.
    middle, way, w, h = other
    off = middle - spot
    for axis in (1 + 0j, 1j, way, way * 1j):
        reach = wide * abs(axis.real) + high * abs(axis.imag)
        turned = axis * way.conjugate()
        if abs((off * axis.conjugate()).real) > reach + w * abs(turned.real) + h * abs(turned.imag):
            return False
    return True


def direction(turn: float) -> complex:
    """Return the unit vector of a turn in degrees, clockwise on the page."""
    return cmath.rect(1.0, math.radians(turn))
