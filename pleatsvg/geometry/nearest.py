"""Where on an outline is nearest to a point, and which of its segments a line can cross: asked of boxes in a tree.

Every curve is looked at in chords that stray from it by no more than CHORD; the answer is then found on the curve
itself. The work for one question grows with the logarithm of the number of segments.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Box, Segment, box_of, point_at
from pleatsvg.tolerance import ON_LINE

CHORD = 0.02
"""mm. How far chords may stray from their curve while the nearest one is looked for."""


class Spot(NamedTuple):
    """The nearest place: its distance in mm, the segment's number and the share on it."""

    away: float
    segment: int
    share: float


def shares_within(seg: Segment, stray: float) -> list[float]:
    """Return shares from 0 to 1 whose chords leave the segment by no more than `stray` mm.

    Wang's bound: n chords of a cubic stray by at most sqrt(3)/18 x ... <= 3/4 of its largest second difference / n^2.
    """
    if len(seg) == 2:
        return [0.0, 1.0]
    a, b, c, d = seg
    bend = max(abs(a - 2 * b + c), abs(b - 2 * c + d))
    count = max(1, min(10_000, math.ceil(math.sqrt(0.75 * bend / stray))))
    return [k / count for k in range(count + 1)]


class Tree:
    """Boxes round things in a row, paired level by level up to one box round all."""

    def __init__(self, boxes: Sequence[Box]) -> None:
        self.levels: list[list[Box]] = [list(boxes)]
        while len(self.levels[-1]) > 1:
            row = self.levels[-1]
            above = [_round(row[k], row[k + 1]) for k in range(0, len(row) - 1, 2)]
            if len(row) % 2:
                above.append(row[-1])
            self.levels.append(above)

    def on_line(self, origin: complex, along: complex, room: float) -> list[int]:
        """Return the numbers of the boxes that the endless line passes within `room` mm of, in order."""
        flip = along.conjugate()
        across, down = abs(along.imag), abs(along.real)
        found: list[int] = []
        todo = [(len(self.levels) - 1, 0)]
        while todo:
            level, k = todo.pop()
            left, top, right, bottom = self.levels[level][k]
            middle = complex((left + right) / 2, (top + bottom) / 2)
            reach = (across * (right - left) + down * (bottom - top)) / 2
            if abs(((middle - origin) * flip).imag) > reach + room:
                continue
            if level == 0:
                found.append(k)
                continue
            if 2 * k + 1 < len(self.levels[level - 1]):
                todo.append((level - 1, 2 * k + 1))
            todo.append((level - 1, 2 * k))
        return found

    def touching(self, box: Box) -> list[int]:
        """Return the numbers of the boxes that meet another, in order."""
        left, top, right, bottom = box
        found: list[int] = []
        todo = [(len(self.levels) - 1, 0)]
        while todo:
            level, k = todo.pop()
            here = self.levels[level][k]
            if here[0] > right or here[2] < left or here[1] > bottom or here[3] < top:
                continue
            if level == 0:
                found.append(k)
                continue
            if 2 * k + 1 < len(self.levels[level - 1]):
                todo.append((level - 1, 2 * k + 1))
            todo.append((level - 1, 2 * k))
        return found

    def pairs(self) -> list[tuple[int, int]]:
        """Return the numbers of every two boxes that meet, the smaller first, in no order."""
        found: list[tuple[int, int]] = []
        todo = [(len(self.levels) - 1, 0, 0)]
        while todo:
            level, i, j = todo.pop()
            if level == 0:
                if i != j:
                    found.append((i, j))
                continue
            level -= 1
            below = self.levels[level]
            mine = range(2 * i, min(2 * i + 2, len(below)))
            if i == j:
                todo += [(level, k, k) for k in mine]
                pairs = [(k, k + 1) for k in mine[:-1]]
            else:
                pairs = [(k, m) for k in mine for m in range(2 * j, min(2 * j + 2, len(below)))]
            for k, m in pairs:
                a, b = below[k], below[m]
                if a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]:
                    todo.append((level, k, m))
        return found


def _round(a: Box, b: Box) -> Box:
    return min(a[0], b[0]), min(a[1], b[1]), max(a[2], b[2]), max(a[3], b[3])


def _off(box: Box, x: float, y: float) -> float:
    left, top, right, bottom = box
    dx = left - x if x < left else x - right if x > right else 0.0
    if y < top:
        return math.hypot(dx, top - y) if dx else top - y
    if y > bottom:
        return math.hypot(dx, y - bottom) if dx else y - bottom
    return dx


class Nearest:
    """Segments, asked again and again which of them is nearest to a point."""

    def __init__(self, segments: Sequence[Segment]) -> None:
        self.segments = segments
        self._chords: list[tuple[int, float, float, complex, complex]] = []
        for index, seg in enumerate(segments):
            shares = shares_within(seg, CHORD)
            points = [point_at(seg, t) for t in shares]
            for k in range(len(shares) - 1):
                self._chords.append((index, shares[k], shares[k + 1], points[k], points[k + 1]))
        self._tree = Tree([box_of((a, b)) for _, _, _, a, b in self._chords])

    def of(self, z: complex, within: float = math.inf) -> Spot:
        """Return the place nearest to a point, exact; where none is nearer than `within` mm, that distance and no place."""
        # Asked some thousand times for one result: what it needs stands here in full, and nothing is kept that is too far.
        x, y = z.real, z.imag
        chords, levels = self._chords, self._tree.levels
        near, segment, found = within, 0, 0.0
        todo = [(len(levels) - 1, 0, 0.0 if within == math.inf else _off(levels[-1][0], x, y))]
        while todo:
            level, k, least = todo.pop()
            if least - CHORD >= near:
                continue
            if level:
                level -= 1
                below = levels[level]
                k *= 2
                off = _off(below[k], x, y)
                if k + 1 == len(below):
                    todo.append((level, k, off))
                    continue
                other = _off(below[k + 1], x, y)
                if other > off:
                    if other - CHORD < near:
                        todo.append((level, k + 1, other))
                    todo.append((level, k, off))
                else:
                    if off - CHORD < near:
                        todo.append((level, k, off))
                    todo.append((level, k + 1, other))
                continue
            index, t0, t1, a, b = chords[k]
            seg = self.segments[index]
            if len(seg) == 4 and _to_chord(a, b, z) - CHORD >= near:
                continue
            share = _on_part(seg, t0, t1, a, b, z)
            away = abs(point_at(seg, share) - z)
            if away < near:
                near, segment, found = away, index, share
        return Spot(near, segment, found)

    def share_on(self, index: int, z: complex) -> float:
        """Return the share of one segment at which it is nearest to a point."""
        seg = self.segments[index]
        if len(seg) == 2:
            return _on_part(seg, 0.0, 1.0, seg[0], seg[1], z)
        best, found = math.inf, 0.0
        shares = shares_within(seg, 1.0)
        for t0, t1 in pairwise(shares):
            share = _on_part(seg, t0, t1, point_at(seg, t0), point_at(seg, t1), z)
            away = abs(point_at(seg, share) - z)
            if away < best:
                best, found = away, share
        return found


def _to_chord(a: complex, b: complex, z: complex) -> float:
    step = b - a
    length = abs(step)
    if not length:
        return abs(z - a)
    t = ((z - a) * step.conjugate()).real / (length * length)
    return abs(z - a - step * min(1.0, max(0.0, t)))


def _on_part(seg: Segment, t0: float, t1: float, a: complex, b: complex, z: complex) -> float:
    # From the foot on the chord, Newton's steps to the foot on the curve, kept within the chord's shares.
    step = b - a
    square = step.real * step.real + step.imag * step.imag
    share = ((z - a) * step.conjugate()).real / square if square else 0.0
    share = t0 + (t1 - t0) * min(1.0, max(0.0, share))
    if len(seg) == 2:
        return share
    p, q, r, s = seg
    u, v, w = 3 * (q - p), 3 * (r - q), 3 * (s - r)
    first, then = v - u, w - v
    for _ in range(6):
        c = 1 - share
        if 0 < share < 1:  # as `point_at`, without a call for each step
            off = c * c * c * p + 3 * c * share * (c * q + share * r) + share * share * share * s - z
        else:
            off = (p if share <= 0 else s) - z
        speed = c * c * u + 2 * c * share * v + share * share * w
        turn = 2 * c * first + 2 * share * then
        slope = abs(speed) ** 2 + (off * turn.conjugate()).real
        if slope <= 0:
            break
        move = (off * speed.conjugate()).real / slope
        following = min(t1, max(t0, share - move))
        if abs(following - share) < 1e-13:
            return following
        share = following
    return share


class FoundOutline(Outline):
    """An outline that finds its segments by a tree of boxes, for pieces with hundreds of pleats."""

    @cached_property
    def nearest(self) -> Nearest:
        """Its segments, ready to be asked for the nearest place."""
        return Nearest(self.segments)

    @cached_property
    def _boxes_in_tree(self) -> Tree:
        return Tree(self.boxes)

    def _near(self, origin: complex, along: complex) -> list[int]:
        return self._boxes_in_tree.on_line(origin, along, 2 * ON_LINE)
