"""What a closed line that crosses itself goes round in its own direction: the boundary of that, where it lies outermost.

The raw parallel of an outline is such a line. Its segments are parted where they cross; how often the line goes round
the two sides of a part is counted on one ray from the middle of the part; the parts with nothing outside and something
inside them are chained to a ring.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from pleatsvg.geometry.buried import Ground, Stretch
from pleatsvg.geometry.crossings import meetings
from pleatsvg.geometry.motion import bearing
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.overlaps import overlapping
from pleatsvg.geometry.segment import Segment, box_of, cut, heading, heights, point_at, sign_changes, turn_between
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


def outermost(raw: Outline, sources: tuple[int, ...], hand: float, ground: Ground | None = None) -> Outermost | None:
    """Return the outer boundary of what a closed line goes round in its own direction, or None.

    It is None where no ring closes, or where there are several, as inside a piece that a dart all but parts.

    Args:
        raw: may cross itself.
        sources: a number for each of its segments, which their parts keep.
        hand: +1 where it goes round clockwise on the page, -1 where not.
        ground: what is known to lie within that boundary, for lines of many segments; the sources are those of its outline.
    """
    whole = [Stretch(k, 0.0, 1.0, seg) for k, seg in enumerate(raw.segments)]
    bare = whole if ground is None else ground.bare(raw, sources)
    cuts, met = _crossings(raw, bare)
    found: list[tuple[float, Outermost]] = []
    for ring in _rings(_boundary(raw, sources, bare, cuts, met, hand, ground), hand):
        first = min(range(len(ring)), key=lambda k: ring[k].rank)
        parts = ring[first:] + ring[:first]
        ends = [part.points[-1] for part in parts]
        made = Outline(tuple([(ends[k - 1], *part.points[1:]) for k, part in enumerate(parts)]))
        if made.area * hand > _CRUMB:
            asked = frozenset([part.asked for part in parts])
            found.append((made.area * hand, Outermost(made, tuple([part.source for part in parts]), asked)))
    return found[0][1] if len(found) == 1 and self_crossing(found[0][1].outline) is None else None


def _crossings(raw: Outline, bare: Sequence[Stretch]) -> tuple[list[list[float]], list[bool]]:
    # The shares at which each segment is to be parted, and at which nodes another strand comes by.
    segments = raw.segments
    n = len(segments)
    cuts: list[list[float]] = [[] for _ in range(n)]
    met = [turn_between(raw.ways[k - 1][1], raw.ways[k][0]) > 179.99 for k in range(n)]
    for i, j in overlapping([box_of(one.points) for one in bare]):
        first, second = (bare[i], bare[j]) if i < j else (bare[j], bare[i])
        if first.number == 0 and second.number == n - 1:
            first, second = second, first
        a, b = first.number, second.number
        joined = b == (a + 1) % n
        if a == b or (joined and len(segments[a]) == len(segments[b]) == 2):
            continue
        for t, u in meetings(first.points, second.points):
            t, u = first.start + t * (first.end - first.start), second.start + u * (second.end - second.start)
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
    raw: Outline,
    sources: tuple[int, ...],
    bare: Sequence[Stretch],
    cuts: list[list[float]],
    met: list[bool],
    hand: float,
    ground: Ground | None,
) -> list[_Part]:
    # Parts between which nothing crosses have the same on their two sides: the longest bare stretch is asked for all.
    runs: list[list[tuple[int, float, float]]] = []
    for index, shares in enumerate(cuts):
        for place, (t0, t1) in enumerate(pairwise([0.0, *sorted(shares), 1.0])):
            if place or met[index] or not runs:
                runs.append([])
            runs[-1].append((index, t0, t1))
    if len(runs) > 1 and not met[0]:
        runs[0] = runs.pop() + runs[0]
    stretches: dict[int, list[Stretch]] = defaultdict(list)
    for one in bare:
        stretches[one.number].append(one)
    asked: list[tuple[list[tuple[int, float, float]], int, float, complex]] = []
    for run in runs:
        spans = [
            (raw.lengths[index] * (min(t1, one.end) - max(t0, one.start)), index, max(t0, one.start), min(t1, one.end))
            for index, t0, t1 in run
            for one in stretches[index]
        ]
        longest, index, t0, t1 = max(spans, default=(0.0, 0, 0.0, 0.0))
        if longest > 0:
            asked.append((run, index, (t0 + t1) / 2, point_at(raw.segments[index], (t0 + t1) / 2)))
    if ground is not None:
        buried = ground.holds([z for _, _, _, z in asked], [sources[index] for _, index, _, _ in asked])
        asked = [one for one, gone in zip(asked, buried, strict=True) if not gone]
    rays = _Rays(raw)
    found: list[_Part] = []
    for run, place, share, z in asked:
        inside, outside = rays.sides(place, share, hand)
        if inside > 0 >= outside:
            for index, t0, t1 in run:
                points = cut(raw.segments[index], t0, t1)
                if max([abs(point - points[0]) for point in points[1:]]) > _ONE_SPOT:
                    found.append(_Part(points, sources[index], index, z))
    found.sort(key=lambda part: part.rank)
    return found


class _Rays:
    """A closed line, asked how often it goes round the two sides of its segments."""

    def __init__(self, raw: Outline) -> None:
        self._segments = raw.segments
        self._two = np.array([(seg[0], seg[-1]) for seg in raw.segments], complex).T
        self._curved = np.array([k for k, seg in enumerate(raw.segments) if len(seg) == 4], int)
        self._four = np.array([raw.segments[k] for k in self._curved], complex).reshape(-1, 4).T

    def sides(self, index: int, share: float, hand: float) -> tuple[int, int]:
        """Return how often the line goes round, in its own direction, just inside and just outside of a place on it."""
        seg = self._segments[index]
        origin = point_at(seg, share)
        way = -1j * hand * heading(seg, share) * _LEAN
        inside = outside = 0
        for k, along, sign in self._passed(origin, way):
            if along >= -_ONE_LINE or (k == index and along >= -ON_LINE):
                inside += sign
                if along > (ON_LINE if k == index else _ONE_LINE):
                    outside += sign
        return round(inside * hand), round(outside * hand)

    def _passed(self, origin: complex, way: complex) -> list[tuple[int, float, int]]:
        # The segments that the ray passes over, how far along, and +1 where they go round the origin clockwise on the page.
        # An end on the line counts as beyond it, so that a node is passed once or not at all.
        flip = way.conjugate()
        first, last = (self._two - origin) * flip
        beyond = first.imag >= 0
        passed = beyond != (last.imag >= 0)
        passed[self._curved] = False
        which = np.flatnonzero(passed)
        a, b = first[which], last[which]
        along = a.real + (b.real - a.real) * (a.imag / (a.imag - b.imag))
        ahead = along >= -ON_LINE
        signs = np.where(beyond[which], -1, 1)
        found = list(zip(which[ahead].tolist(), along[ahead].tolist(), signs[ahead].tolist(), strict=True))
        if len(self._curved):
            four = (self._four - origin) * flip
            near = (four.imag.min(axis=0) <= 0) & (four.imag.max(axis=0) >= 0) & (four.real.max(axis=0) >= -ON_LINE)
            for k in self._curved[near].tolist():
                found += [(k, far, sign) for far, sign in _passed_by_curve(self._segments[k], origin, way)]
        return found


def _passed_by_curve(seg: Segment, origin: complex, way: complex) -> list[tuple[float, int]]:
    w = heights(seg, origin, way)
    first, last = w[0] >= 0, w[-1] >= 0
    shares = sign_changes(w)
    if len(shares) % 2 != (first != last):
        shares = [*shares, 0.0 if w[0] == 0 else 1.0]
    sign = -1 if first else 1
    return [
        (((point_at(seg, share) - origin) * way.conjugate()).real, sign if k % 2 == 0 else -sign)
        for k, share in enumerate(shares)
    ]


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
    angle = bearing(way / back) * hand
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
