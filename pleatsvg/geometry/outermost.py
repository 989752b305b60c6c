"""What a closed line that crosses itself goes round in its own direction: the boundary of that, where it lies outermost.

The raw parallel of an outline is such a line. Its segments are parted where they cross; how often the line goes round
the two sides of a part is counted on one ray from the middle of the part; the parts with nothing outside and something
inside them are chained to a ring.
"""

from __future__ import annotations

import cmath
import math
from collections import defaultdict
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.geometry.crossings import meetings
from pleatsvg.geometry.nearest import Tree
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.overlaps import overlapping
from pleatsvg.geometry.segment import Segment, cut, heading, heights, point_at, sign_changes, turn_between
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.tolerance import NOISE, ON_LINE

_ONE_SPOT = 1e-5
"""mm. Ends of parts that lie so near each other are one: crossings are found within ON_LINE on either segment."""


_ONE_LINE = 1e-8
"""mm. Where two strands lie so near each other they lie on one another, and are counted together."""


_CRUMB = 1e-3
"""mm2. What is smaller is rounding where strands touch."""


_LEAN = complex(math.cos(0.31), math.sin(0.31))
"""Rays lean by this from the normal, so that they do not run along the edges of a piece drawn square."""


class _Part(NamedTuple):
    points: Segment
    source: int
    rank: int
    asked: complex


class Outermost(NamedTuple):
    """An outer boundary, the source of each of its segments, and of each run of it a point where it was looked at."""

    outline: Outline
    sources: tuple[int, ...]
    asked: frozenset[complex]


def outermost(raw: Outline, sources: tuple[int, ...], hand: float) -> Outermost | None:
    """Return the outer boundary of what a closed line goes round in its own direction, or None.

    It is None where no ring closes, or where there are several, as inside a piece that a dart all but parts.

    Args:
        raw: may cross itself.
        sources: a number for each of its segments, which their parts keep.
        hand: +1 where it goes round clockwise on the page, -1 where not.
    """
    cuts, met = _crossings(raw)
    found: list[tuple[float, Outermost]] = []
    for ring in _rings(_boundary(raw, sources, cuts, met, hand), hand):
        first = min(range(len(ring)), key=lambda k: ring[k].rank)
        parts = ring[first:] + ring[:first]
        ends = [part.points[-1] for part in parts]
        made = Outline(tuple([(ends[k - 1], *part.points[1:]) for k, part in enumerate(parts)]))
        if made.area * hand > _CRUMB:
            asked = frozenset([part.asked for part in parts])
            found.append((made.area * hand, Outermost(made, tuple([part.source for part in parts]), asked)))
    return found[0][1] if len(found) == 1 and self_crossing(found[0][1].outline) is None else None


def _crossings(raw: Outline) -> tuple[list[list[float]], list[bool]]:
    # The shares at which each segment is to be parted, and at which nodes another strand comes by.
    segments = raw.segments
    n = len(segments)
    cuts: list[list[float]] = [[] for _ in range(n)]
    met = [turn_between(raw.ways[k - 1][1], raw.ways[k][0]) > 179.99 for k in range(n)]
    for j, k in overlapping(raw.boxes):
        a, b = (j, k) if j < k else (k, j)
        if a == 0 and b == n - 1:
            a, b = b, a
        joined = b == (a + 1) % n
        if joined and len(segments[a]) == len(segments[b]) == 2:
            continue
        for t, u in meetings(segments[a], segments[b]):
            if joined and (1 - t) * raw.lengths[a] <= ON_LINE and u * raw.lengths[b] <= ON_LINE:
                continue
            for index, share in ((a, t), (b, u)):
                if share * raw.lengths[index] <= ON_LINE:
                    met[index] = True
                elif (1 - share) * raw.lengths[index] <= ON_LINE:
                    met[(index + 1) % n] = True
                else:
                    cuts[index].append(share)
    return cuts, met


def _boundary(
    raw: Outline, sources: tuple[int, ...], cuts: list[list[float]], met: list[bool], hand: float
) -> list[_Part]:
    # Parts between which nothing crosses have the same on their two sides: the longest of them is asked for all.
    runs: list[list[tuple[int, float, float]]] = []
    for index, shares in enumerate(cuts):
        for place, (t0, t1) in enumerate(pairwise([0.0, *sorted(shares), 1.0])):
            if place or met[index] or not runs:
                runs.append([])
            runs[-1].append((index, t0, t1))
    if len(runs) > 1 and not met[0]:
        runs[0] = runs.pop() + runs[0]
    rays = _Rays(raw)
    found: list[_Part] = []
    for run in runs:
        index, t0, t1 = max(run, key=lambda part: raw.lengths[part[0]] * (part[2] - part[1]))
        inside, outside = rays.sides(index, (t0 + t1) / 2, hand)
        if inside > 0 >= outside:
            asked = point_at(raw.segments[index], (t0 + t1) / 2)
            for index, t0, t1 in run:
                points = cut(raw.segments[index], t0, t1)
                if max([abs(z - points[0]) for z in points[1:]]) > _ONE_SPOT:
                    found.append(_Part(points, sources[index], index, asked))
    found.sort(key=lambda part: part.rank)
    return found


class _Rays:
    """A closed line, asked how often it goes round the two sides of its segments."""

    def __init__(self, raw: Outline) -> None:
        self._raw = raw
        self._tree = Tree(raw.boxes)

    def sides(self, index: int, share: float, hand: float) -> tuple[int, int]:
        """Return how often the line goes round, in its own direction, just inside and just outside of a place on it."""
        seg = self._raw.segments[index]
        origin = point_at(seg, share)
        way = -1j * hand * heading(seg, share) * _LEAN
        inside = outside = 0
        for k in self._tree.on_line(origin, way, 0.0):
            for along, sign in _passed(self._raw.segments[k], origin, way):
                if k == index and abs(along) <= ON_LINE:
                    along = 0.0
                if along >= -_ONE_LINE:
                    inside += sign
                    if along > _ONE_LINE:
                        outside += sign
        return round(inside * hand), round(outside * hand)


def _passed(seg: Segment, origin: complex, way: complex) -> list[tuple[float, int]]:
    # Where a segment passes over a line: how far along, and +1 where it goes round the origin clockwise on the page.
    # An end on the line counts as beyond it, so that a node is passed once or not at all.
    w = heights(seg, origin, way)
    first, last = w[0] >= 0, w[-1] >= 0
    if len(seg) == 2:
        if first == last:
            return []
        shares = [w[0] / (w[0] - w[1])]
    else:
        shares = sign_changes(w)
        if len(shares) % 2 != (first != last):
            shares = [*shares, 0.0 if w[0] == 0 else 1.0]
    flip = way.conjugate()
    found: list[tuple[float, int]] = []
    sign = -1 if first else 1
    for share in shares:
        found.append((((point_at(seg, share) - origin) * flip).real, sign))
        sign = -sign
    return found


def _rings(parts: list[_Part], hand: float) -> list[list[_Part]]:
    # From the end of each part on with the one that turns most to the outside, once round.
    spots = _Spots()
    leaving: dict[int, list[int]] = defaultdict(list)
    ends: list[int] = []
    known: set[tuple[int, int, int]] = set()
    for number, part in enumerate(parts):
        start, end = spots.of(part.points[0]), spots.of(part.points[-1])
        ends.append(end)
        way = (start, end, spots.of(point_at(part.points, 0.5)))
        if start == way[2] == end:
            continue  # a crumb
        if way not in known:  # of two strands that lie on one another, one
            known.add(way)
            leaving[start].append(number)
    used = [False] * len(parts)
    rings: list[list[_Part]] = []
    for first in range(len(parts)):
        chain: list[int] = []
        here = first
        while not used[here]:
            used[here] = True
            chain.append(here)
            onwards = leaving[ends[here]]
            if not onwards:
                break
            back = -heading(parts[here].points, 1.0)
            here = min(onwards, key=lambda k: _round_from(back, heading(parts[k].points, 0.0), hand))
        if here in chain and chain:
            rings.append([parts[k] for k in chain[chain.index(here) :]])
    return rings


def _round_from(back: complex, way: complex, hand: float) -> float:
    # The angle from the way that one came to a way on, through the outside.
    angle = cmath.phase(way / back) * hand
    return angle if angle > NOISE else angle + 2 * math.pi


class _Spots:
    """Numbers for points, alike for those within _ONE_SPOT of each other."""

    def __init__(self) -> None:
        self._in: dict[tuple[int, int], list[tuple[complex, int]]] = defaultdict(list)
        self._count = 0

    def of(self, z: complex) -> int:
        x, y = math.floor(z.real / _ONE_SPOT), math.floor(z.imag / _ONE_SPOT)
        for i in (0, -1, 1):
            for j in (0, -1, 1):
                for other, number in self._in.get((x + i, y + j), ()):
                    if abs(other - z) <= _ONE_SPOT:
                        return number
        self._in[x, y].append((z, self._count))
        self._count += 1
        return self._count - 1
