"""The closed seam of a piece: places on it, ways along it, where lines cross it, its corners.

A place on the outline is a number: the index of the segment plus the share walked on it, so that whole numbers are
nodes. Places run on past the last segment and below zero; they are counted round. All lengths are in millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, chain, pairwise
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.segment import (
    Box,
    Segment,
    box_of,
    clear_across,
    cut,
    evenly,
    heading,
    length_of,
    lengths_of,
    point_at,
    share_at_length,
    sign_changes,
    single_root,
    turn_between,
)
from pleatsvg.tolerance import (
    AT_CORNER,
    CLOSING_GAP,
    CORNER_TURN,
    DART_LEGS,
    DART_TURN,
    GRIT,
    NOISE,
    ON_LINE,
    SAME_SPOT,
    TOUCH,
)

_MANY = 48
"""Segments from which on their boxes are asked all at once."""

_MANY_PLACES = 32
"""Places from which on they are sooner counted on all at once."""

_AT_ONCE = 80_000
"""Boxes held against lines in one go: little memory, and products so small that no threads are started for them."""


class Stretch(NamedTuple):
    """Part of one segment of the outline, walked from share `t0` to share `t1` (backwards where t0 > t1).

    `node` is the place at which the segment begins, counted on round the outline; `segment` is its number in it.
    """

    segment: int
    t0: float
    t1: float
    node: int


class Crossing(NamedTuple):
    """Where a line crosses the outline.

    `at` is the place on the outline, `along` the distance on the line from its origin in mm (positive ahead).
    """

    at: float
    along: float
    point: complex


class Dart(NamedTuple):
    """A dart drawn as a notch in the outline: its nodes in order of place, the width of its mouth and its depth in mm."""

    start: int
    point: int
    end: int
    mouth: float
    depth: float


@dataclass(frozen=True)
class Outline:
    """A closed outline: each segment begins exactly where the one before it ends."""

    segments: tuple[Segment, ...]

    @property
    def many(self) -> bool:
        """Whether it has so many segments that lines across it are sooner asked all at once; cf. `near_each`."""
        return len(self.segments) >= _MANY

    def __len__(self) -> int:
        return len(self.segments)

    @cached_property
    def boxes(self) -> tuple[Box, ...]:
        """The box round each segment."""
        many = self.boxes_side_by_side
        if many is None:
            return tuple([box_of(seg) for seg in self.segments])
        return tuple(zip(*[side.tolist() for side in many], strict=True))

    @cached_property
    def boxes_side_by_side(self) -> tuple[npt.NDArray[np.float64], ...] | None:
        """Lefts, tops, rights and bottoms of all boxes; None where they are so few that this is not the quicker way."""
        if len(self) < _MANY:
            return None
        points = np.array(list(chain.from_iterable(self.segments)))
        starts = np.fromiter(accumulate([len(seg) for seg in self.segments[:-1]], initial=0), int, len(self))
        across, down = points.real, points.imag
        return (
            np.minimum.reduceat(across, starts),
            np.minimum.reduceat(down, starts),
            np.maximum.reduceat(across, starts),
            np.maximum.reduceat(down, starts),
        )

    @cached_property
    def controls(self) -> npt.NDArray[np.complex128]:
        """The control points of all segments, in rows of four; cf. `evenly`."""
        return evenly(self.segments)

    @cached_property
    def box(self) -> Box:
        """The box round the whole; the control points of curves count, so it may be generous."""
        return box_of([z for seg in self.segments for z in seg])

    @cached_property
    def ways(self) -> tuple[tuple[complex, complex], ...]:
        """The directions, of length 1, in which each segment sets off and in which it arrives."""
        return tuple([(heading(seg, 0.0), heading(seg, 1.0)) for seg in self.segments])

    @cached_property
    def lengths(self) -> tuple[float, ...]:
        """The length of each segment in mm."""
        return tuple([length_of(seg) for seg in self.segments])

    @cached_property
    def area(self) -> float:
        """Area in mm2, exact; positive when the outline runs clockwise as seen on the page (y down)."""
        total = 0.0
        for seg in self.segments:
            total += (seg[0].conjugate() * seg[-1]).imag / 2
            if len(seg) == 4:
                b, c, d = seg[1] - seg[0], seg[2] - seg[0], seg[3] - seg[0]
                back = b.conjugate()
                total += 0.15 * ((back * c).imag + (back * d).imag) + 0.3 * (c.conjugate() * d).imag
        return total

    @cached_property
    def hand(self) -> float:
        """+1 where it is walked clockwise on the page (y down), -1 where not."""
        return 1.0 if self.area > 0 else -1.0

    @cached_property
    def corners(self) -> tuple[int, ...]:
        """The nodes at which the seam turns by more than CORNER_TURN, in order.

        Beside pieces shorter than GRIT the turn over so much of the seam on either side must be as sharp, too. Of two
        nodes as near each other as ends that count as closed, the sharper one is the corner.
        """
        every = range(len(self)) if len(self) < _MANY else self._may_turn()
        turning = [k for k in every if self.turn_at(k) > CORNER_TURN and self._turns_in_earnest(k)]
        beside = zip(turning[-1:] + turning[:-1], turning, turning[1:] + turning[:1], strict=True)
        return tuple(
            [k for before, k, after in beside if not (self._yields_to(k, before) or self._yields_to(k, after))]
        )

    def _may_turn(self) -> list[int]:
        # The nodes at which it is not plain from the handles on either side that the seam turns by less; of many at once.
        leave = np.array([seg[1] - seg[0] for seg in self.segments])
        arrive = np.array([seg[-1] - seg[-2] for seg in self.segments])
        before = np.roll(arrive, 1)
        size = np.abs(before) * np.abs(leave)
        plain = (before.real * leave.real + before.imag * leave.imag) > math.cos(math.radians(CORNER_TURN - 0.1)) * size
        plain &= (np.abs(before) > ON_LINE) & (np.abs(leave) > ON_LINE)
        found: list[int] = (~plain).nonzero()[0].tolist()
        return found

    def _yields_to(self, node: int, other: int) -> bool:
        if node == other or abs(self.segments[node][0] - self.segments[other][0]) > CLOSING_GAP:
            return False
        return (self.turn_at(node), -node) < (self.turn_at(other), -other)

    def _turns_in_earnest(self, node: int) -> bool:
        segments = self.segments
        before, after = segments[node - 1], segments[node]
        if abs(before[-1] - before[0]) >= GRIT and abs(after[-1] - after[0]) >= GRIT:
            return True
        here = after[0]
        back, ahead = here - self._point_off(node, -1), self._point_off(node, 1) - here
        return turn_between(back, ahead) > CORNER_TURN

    def _point_off(self, node: int, step: int) -> complex:
        # The point about GRIT along the seam from a node, forwards or backwards; curves are taken by their handles.
        n = len(self)
        left = GRIT
        for k in range(n):
            seg = self.segments[(node + k) % n] if step > 0 else self.segments[(node - 1 - k) % n][::-1]
            length = sum([abs(b - a) for a, b in pairwise(seg)])
            if length >= left:
                return point_at(seg, left / length)
            left -= length
        return self.segments[node][0]

    @cached_property
    def darts(self) -> tuple[Dart, ...]:
        """The darts: a sharp corner that points inwards, with two legs alike that run out to corners on the seam."""
        n = len(self)
        hand = self.hand
        corners = self.corners
        found: list[Dart] = []
        for k, node in enumerate(corners):
            if self.turn_at(node) < DART_TURN:
                continue
            into, out = self.ways[node - 1][1], self.ways[node][0]
            if hand * (into.conjugate() * out).imag > 0:
                continue
            start, end = corners[k - 1], corners[(k + 1) % len(corners)]
            start -= n if start > node else 0
            end += n if end < node else 0
            first, second = self.distance(start, node), self.distance(node, end)
            mouth = abs(self.point(end) - self.point(start))
            if start < node < end and abs(first - second) <= DART_LEGS * max(first, second) and mouth < first:
                middle = (self.point(start) + self.point(end)) / 2
                found.append(Dart(start, node, end, mouth, abs(self.point(node) - middle)))
        return tuple(found)

    @cached_property
    def edge_corners(self) -> tuple[int, ...]:
        """The corners at which one seam edge ends and the next begins: those of darts are none."""
        n = len(self)
        of_darts = {node % n for dart in self.darts for node in dart[:3]}
        return tuple([k for k in self.corners if k not in of_darts])

    def corners_around(self, first: float, last: float) -> tuple[int, int]:
        """Return the edge corner at or before a place and the one at or after a later place, counted on like them.

        Args:
            first, last: places on the outline, `first` not beyond `last`; either may be counted on past the first node.
        """
        n = len(self)
        corners = self.edge_corners or (0,)
        start = max([c + math.floor((first + AT_CORNER - c) / n) * n for c in corners])
        stop = min([c + math.ceil((last - AT_CORNER - c) / n) * n for c in corners])
        return start, stop

    def sewn_distance(self, start: float, end: float) -> float:
        """Return the length of seam from one place to another with the darts sewn up: their legs do not count (mm)."""
        total = self.distance(start, end)
        low, high = min(start, end), max(start, end)
        n = len(self)
        for dart in self.darts:
            for turn in range(math.floor((low - dart.end) / n), math.ceil((high - dart.start) / n) + 1):
                a, b = max(low, dart.start + turn * n), min(high, dart.end + turn * n)
                if b > a:
                    total -= self.distance(a, b)
        return total

    def sewn_distances(self, start: float, ends: Sequence[float]) -> list[float]:
        """Return the same from one place to many others."""
        if self.darts:
            return [self.sewn_distance(start, end) for end in ends]
        begin, *there = self.so_far_each((start, *ends))
        return [abs(far - begin) for far in there]

    def sewn_walk(self, start: float, distance: float) -> float:
        """Return the place reached after `distance` mm of seam upwards in place, darts sewn up."""
        at, left = start, distance
        n = len(self)
        mouths = sorted(
            (dart.start + turn * n, dart.end + turn * n)
            for dart in self.darts
            for turn in (-1, 0, 1, 2)
            if dart.start + turn * n >= start - SAME_SPOT
        )
        for low, high in mouths:
            step = self.distance(at, low)
            if step >= left:
                break
            at, left = float(high), left - step
        return self.walk(at, left)

    def turn_at(self, node: int) -> float:
        """Return by how many degrees the seam turns at a node, 0 to 180."""
        n = len(self.segments)
        return turn_between(self.ways[(node - 1) % n][1], self.ways[node % n][0])

    def reversed(self) -> Outline:
        """Return the same outline walked the other way; the place p becomes len - p."""
        return Outline(tuple([seg[::-1] for seg in reversed(self.segments)]))

    def as_part_of(self, whole: Outline) -> Outline:
        """Return this outline, known to be made of parts of another one, walked the same way: where that has no darts there
        are none, and which way it is walked need not be found again."""
        self.__dict__["hand"] = whole.hand
        if not whole.darts:
            self.__dict__["darts"] = ()
        return self

    def starting_at(self, node: int) -> Outline:
        """Return the same outline counted from another node."""
        if node == 0:
            return self
        made = Outline(self.segments[node:] + self.segments[:node])
        # What is known of it already need not be found again.
        known, same = self.__dict__, made.__dict__
        same |= {name: known[name] for name in ("area", "box") if name in known}
        same |= {
            name: known[name][node:] + known[name][:node] for name in ("boxes", "ways", "lengths") if name in known
        }
        if "corners" in known:
            same["corners"] = tuple(sorted([(corner - node) % len(self) for corner in self.corners]))
        return made

    def from_top_left(self) -> Outline:
        """Return the same outline counted from its corner (its node, where it has none) nearest the top left."""
        left, top, _, _ = self.box
        corners = self.corners or range(len(self))
        return self.starting_at(min(corners, key=lambda k: abs(self.segments[k][0] - complex(left, top))))

    def point(self, at: float) -> complex:
        """Return the point at a place."""
        index, share = self._split(at)
        return point_at(self.segments[index], share)

    def heading(self, at: float) -> complex:
        """Return the direction of travel at a place; at a node, that of the segment which begins there."""
        index, share = self._split(at)
        return heading(self.segments[index], share)

    def stretches(self, start: float, end: float) -> list[Stretch]:
        """Return the parts of segments on the way from one place to another, backwards when `end` is the smaller."""
        n = len(self.segments)
        new = tuple.__new__  # at half the price of the call that goes by names
        found: list[Stretch] = []
        if end >= start:
            index = math.floor(start)
            while index < end:
                t0 = start - index if start > index else 0.0
                t1 = end - index if end < index + 1 else 1.0
                if t1 - t0 > SAME_SPOT:
                    t0, t1 = t0 if t0 > SAME_SPOT else 0.0, t1 if t1 < 1 - SAME_SPOT else 1.0
                    found.append(new(Stretch, (index % n, t0, t1, index)))
                index += 1
            return found
        index = math.ceil(start) - 1
        while index + 1 > end:
            t0 = start - index if start < index + 1 else 1.0
            t1 = end - index if end > index else 0.0
            if t0 - t1 > SAME_SPOT:
                t0, t1 = t0 if t0 < 1 - SAME_SPOT else 1.0, t1 if t1 > SAME_SPOT else 0.0
                found.append(new(Stretch, (index % n, t0, t1, index)))
            index -= 1
        return found

    def part(self, stretch: Stretch) -> Segment:
        """Return a stretch as a segment of its own, walked the way the stretch says."""
        return cut(self.segments[stretch.segment], stretch.t0, stretch.t1)

    def distance(self, start: float, end: float) -> float:
        """Return the length of seam in mm from one place to another, walked upwards (or downwards) in place."""
        return abs(self.so_far(end) - self.so_far(start))

    @cached_property
    def _nodes_along(self) -> tuple[float, ...]:
        # How far along the seam each node lies from the first; last, once round.
        return tuple(accumulate(self.lengths, initial=0.0))

    @cached_property
    def _nodes_at_least(self) -> tuple[float, ...]:
        # The same by the chords of curves, which are no longer than they.
        return tuple(accumulate([abs(seg[-1] - seg[0]) for seg in self.segments], initial=0.0))

    @cached_property
    def _nodes_at_most(self) -> tuple[float, ...]:
        # The same by their handles, which are no shorter.
        return tuple(
            accumulate(
                [
                    abs(seg[1] - seg[0]) + (abs(seg[2] - seg[1]) + abs(seg[3] - seg[2]) if len(seg) == 4 else 0.0)
                    for seg in self.segments
                ],
                initial=0.0,
            )
        )

    def so_far(self, at: float) -> float:
        """Return how many mm of seam a place lies from the first node, counted on round the outline like the place."""
        whole = math.floor(at)
        turns, index = divmod(whole, len(self.segments))
        share = at - whole
        nodes = self._nodes_along
        return turns * nodes[-1] + nodes[index] + (length_of(self.segments[index], 0.0, share) if share else 0.0)

    def so_far_each(self, places: Sequence[float]) -> list[float]:
        """Return the same of many places, but for the last digit."""
        n = len(self.segments)
        split = [(*divmod(math.floor(at), n), at - math.floor(at)) for at in places]
        parts = [cut(self.segments[index], 0.0, share) for _, index, share in split]
        if "lengths" in self.__dict__:
            nodes: Sequence[float] = self._nodes_along
            shares = lengths_of(parts)
        else:
            every = lengths_of([*self.segments, *parts])
            nodes, shares = [0.0, *accumulate(every[:n])], every[n:]
        return [
            turns * nodes[-1] + nodes[index] + (length if share else 0.0)
            for (turns, index, share), length in zip(split, shares, strict=True)
        ]

    def counted_near(self, place: float, other: float) -> float:
        """Return a place counted on round the outline so that the shorter way to it from another, in mm, is the one meant.

        By the number of nodes it would be the wrong way round where an edge between two lines is drawn with many of them.
        """
        return self._counted_one_by_one((other, place))[1]

    def counted_on(self, places: Sequence[float]) -> list[float]:
        """Return places counted on round the outline, each by the shorter way from the one before it; cf. `counted_near`."""
        counted = self._counted_at_once(places) if len(places) >= _MANY_PLACES else None
        return counted if counted is not None else self._counted_one_by_one(places)

    def _counted_one_by_one(self, places: Sequence[float]) -> list[float]:
        n = len(self.segments)
        # Most often the segments on which the two lie tell, so that none of them has to be measured; and how long each is at
        # least and at most tells enough.
        shortest, longest = self._nodes_at_least, self._nodes_at_most
        short, long = max(shortest[-1], NOISE), longest[-1]
        other = places[0]
        counted = [other]
        there, j = divmod(math.floor(other), n)
        for place in places[1:]:
            here, k = divmod(math.floor(place), n)
            low, high = shortest[j] - longest[k + 1], longest[j + 1] - shortest[k]
            turns = round((there - here) + low / (short if low < 0 else long) - 1e-9)
            if turns != round((there - here) + high / (long if high < 0 else short) + 1e-9):
                turns = round((self.so_far(other) - self.so_far(place)) / self._nodes_along[-1])
            other = place + turns * n
            counted.append(other)
            there, j = divmod(math.floor(other), n) if turns else (here, k)
        return counted

    def _counted_at_once(self, places: Sequence[float]) -> list[float] | None:
        # The same where how long segments are at least and at most tells enough of all; None where it does not.
        n = len(self)
        shortest, longest = np.array(self._nodes_at_least), np.array(self._nodes_at_most)
        at = np.array(places)
        turns, nodes = np.divmod(np.floor(at).astype(int), n)
        k, j, turned = nodes[1:], nodes[:-1], turns[:-1] - turns[1:]
        low, high = shortest[j] - longest[k + 1], longest[j + 1] - shortest[k]
        short, long = max(shortest[-1], NOISE), longest[-1]
        least = (turned + low / np.where(low < 0, short, long) - 1e-9).round()
        if (least != (turned + high / np.where(high < 0, long, short) + 1e-9).round()).any():
            return None
        at[1:] += least.cumsum() * n
        found: list[float] = at.tolist()
        return found

    def walk(self, start: float, distance: float) -> float:
        """Return the place reached after `distance` mm upwards in place from `start` (at most once round)."""
        index, share = self._split(start)
        base = math.floor(start)
        left = distance + (length_of(self.segments[index], 0.0, share) if share else 0.0)
        for step in range(2 * len(self) + 1):
            here = (index + step) % len(self)
            if left <= self.lengths[here]:
                return base + step + share_at_length(self.segments[here], left)
            left -= self.lengths[here]
        return start + len(self)

    def holds(self, z: complex, reach: float = 0.0) -> bool:
        """Return whether a point lies inside the outline, or within `reach` mm of what does."""
        left, top, right, bottom = self.box
        if not (left - reach <= z.real <= right + reach and top - reach <= z.imag <= bottom + reach):
            return False
        if sum(1 for hit in self.crossings(z, 1 + 0j) if hit.along > 0) % 2:
            return True
        return reach > 0 and any(self.holds(z + reach * way) for way in (1, -1, 1j, -1j))

    def covers(self, z: complex) -> bool:
        """Return whether a point lies inside an outline that may lie over itself, as parts laid together at a join may."""
        # In order of place the line is crossed from one side and from the other in turn.
        hits = enumerate(self.crossings(z, 1 + 0j))
        return sum([1 - 2 * (k % 2) for k, hit in hits if hit.along > 0]) != 0

    def crossings(self, origin: complex, along: complex, near: Sequence[int] | None = None) -> list[Crossing]:
        """Return where the endless line through `origin` along a unit vector crosses the outline, in order of place.

        A crossing is a change of side. The line through a node crosses there once, a touch is none, and a part of
        the outline that lies on the line (within ON_LINE) is crossed once, at its end nearest the origin, or not
        at all. `near` is what `near_each` found for the line, where many were asked.
        """
        flip = along.conjugate()
        segments = self.segments
        found: list[Crossing] = []
        before, run_start = self._before_first(origin, flip)
        for index in self._near(origin, along) if near is None else near:
            seg = segments[index]
            first, last = ((seg[0] - origin) * flip).imag, ((seg[-1] - origin) * flip).imag
            if len(seg) == 2:
                w = [first, last]
            else:
                w = [first, ((seg[1] - origin) * flip).imag, ((seg[2] - origin) * flip).imag, last]
            if clear_across(w):
                # As nearly all do that cross it.
                found.append(_crossing(index, seg, single_root(w), origin, flip))
                run_start = None
                continue
            low, high = min(w), max(w)
            if low > ON_LINE or high < -ON_LINE:
                continue
            if low > -ON_LINE and high < ON_LINE:
                run_start = index if run_start is None else run_start
                continue
            w = _settled(w)
            if w[0] == 0:
                after = next(value > 0 for value in w if value)
                if after != before:
                    node = self._nearest_end(run_start, index, origin, flip)
                    found.append(_crossing(node, segments[node], 0.0, origin, flip))
            run_start = None
            found += [_crossing(index, seg, share, origin, flip) for share in sign_changes(w)]
            if w[-1] == 0:
                before = next(value > 0 for value in reversed(w) if value)
        if len(found) < 2 or (len(found) == 2 and abs(found[1][1] - found[0][1]) >= TOUCH):
            return found
        return self._without_touches(found, origin, flip)

    def crossed_beyond(
        self, origin: complex, along: complex, least: float, ahead: bool, near: Sequence[int] | None = None
    ) -> Crossing | None:
        """Return the crossing nearest to the origin of those at least so far ahead of it, or behind it; cf. `crossings`.

        Args:
            origin: a point of the line.
            along: its unit vector.
            least: mm; below zero for a crossing that may lie so far on the other side.
            ahead: whether along the line, not against it.
            near: what `near_each` found for the line, where many were asked.
        """
        flip, sign = along.conjugate(), 1.0 if ahead else -1.0
        segments = self.segments
        found: list[Crossing] = []
        nearest = math.inf
        near = self._near(origin, along) if near is None else near
        for index in near:
            seg = segments[index]
            turned = [(z - origin) * flip for z in seg]
            ends = sign * turned[0].real, sign * turned[-1].real
            if len(turned) == 2 and ends[0] < least - 2 * TOUCH and ends[1] < least - 2 * TOUCH:
                continue  # the level that a line sets off from, most often
            w = [z.imag for z in turned]
            low, high = min(w), max(w)
            if low > ON_LINE or high < -ON_LINE:
                continue
            ways = [sign * z.real for z in turned]
            if max(ways) < least - 2 * TOUCH or min(ways) > nearest + 2 * TOUCH:
                continue  # all of it lies too far on the other side, or beyond one that was found
            if not clear_across(w):
                break  # it takes a closer look
            hit = _crossing(index, seg, single_root(w), origin, flip)
            found.append(hit)
            if least <= sign * hit.along < nearest:
                nearest = sign * hit.along
        else:
            if len(found) == 1:
                return found[0] if sign * found[0].along >= least else None
            beyond = [hit for hit in found if sign * hit.along >= least]
            first = min(beyond, key=lambda hit: sign * hit.along, default=None)
            # Two side by side may be a touch.
            if first is None or all(one is first or abs(one.along - first.along) >= TOUCH for one in found):
                return first
        hits = [hit for hit in self.crossings(origin, along, near) if sign * hit.along >= least]
        return min(hits, key=lambda hit: sign * hit.along, default=None)

    def _without_touches(self, found: list[Crossing], origin: complex, flip: complex) -> list[Crossing]:
        # Two crossings side by side, between which the outline goes over the line by less than ON_LINE, are a touch.
        kept: list[Crossing] = []
        for hit in found:
            if kept and abs(hit.along - kept[-1].along) < TOUCH and hit.at - kept[-1].at < 1:
                between = self.point((hit.at + kept[-1].at) / 2)
                if abs(((between - origin) * flip).imag) < ON_LINE:
                    kept.pop()
                    continue
            kept.append(hit)
        return kept

    def _near(self, origin: complex, along: complex) -> list[int]:
        # The segments whose boxes a line passes through or touches, with some room: no other can lie within ON_LINE of
        # it. The side on which the outline comes to a node matters only where that node, and so what comes before it, is
        # so near.
        ahead, down = along.real, along.imag
        many = self.boxes_side_by_side
        off = origin.imag * ahead - origin.real * down
        least, most = off - 2 * ON_LINE, off + 2 * ON_LINE
        # The corner of each box that lies farthest to the right of the line, and the one opposite.
        x, y = 0 if down > 0 else 2, 3 if ahead > 0 else 1
        x_opposite, y_opposite = 2 - x, 4 - y
        if many is not None:
            met = many[y] * ahead - many[x] * down >= least
            met &= many[y_opposite] * ahead - many[x_opposite] * down <= most
            found: list[int] = met.nonzero()[0].tolist()
            return found
        return [
            index
            for index, box in enumerate(self.boxes)
            if box[y] * ahead - box[x] * down >= least and box[y_opposite] * ahead - box[x_opposite] * down <= most
        ]

    def near_each(self, lines: Sequence[tuple[complex, complex]]) -> list[list[int]] | None:
        """Return for each line, given by a point and its unit vector, the segments that may lie on it; of many asked at once.

        Returns:
            None for an outline of so few segments that each is sooner asked by itself.
        """
        many = self.boxes_side_by_side
        if many is None:
            return None
        lefts, tops, rights, bottoms = many
        # How far the middle of a box lies off a line, and how far it reaches square to it, as products of matrices.
        middles = np.array(((tops + bottoms) / 2, (lefts + rights) / 2, np.ones(len(self))))
        reaches = np.array(((rights - lefts) / 2, (bottoms - tops) / 2, np.full(len(self), 2 * ON_LINE)))
        found: list[list[int]] = []
        rows_at_once = max(1, _AT_ONCE // len(self))
        for first in range(0, len(lines), rows_at_once):
            spots, ways = np.array(lines[first : first + rows_at_once]).T
            ahead, down = ways.real, ways.imag
            off = np.column_stack((ahead, -down, spots.real * down - spots.imag * ahead)) @ middles
            reach = np.column_stack((np.abs(down), np.abs(ahead), np.ones(len(ways)))) @ reaches
            rows, columns = (np.abs(off) <= reach).nonzero()
            ends = np.searchsorted(rows, range(1, len(ways))).tolist()
            every = columns.tolist()
            found += [every[a:b] for a, b in pairwise((0, *ends, len(every)))]
        return found

    def crossed_only_in(
        self, known: set[int], origin: complex, along: complex, low: float, high: float, real: int | None = None
    ) -> bool:
        """Return whether a line crosses the outline nowhere between `low` and `high` but on the segments `known`.

        Each of these is known to be crossed once; the quick look at the signs of their weights confirms it, and only
        where it does not are the crossings worked out. What lies on segments from number `real` on does not count.
        """
        flip = along.conjugate()
        for index in self._near(origin, along):
            turned = [(z - origin) * flip for z in self.segments[index]]
            w = [z.imag for z in turned]
            if (index in known and clear_across(w)) or min(w) > ON_LINE or max(w) < -ON_LINE:
                continue
            if real is not None:
                ways = [z.real for z in turned]
                if index >= real or min(ways) > high + 2 * TOUCH or max(ways) < low - 2 * TOUCH:
                    continue  # what is crossed there lies beyond
            hits = self.crossings(origin, along)
            return not any(low < hit.along < high and (real is None or hit.at < real) for hit in hits)
        return True

    def _before_first(self, origin: complex, flip: complex) -> tuple[bool, int | None]:
        # The side on which the outline comes to its first node, and where it came onto the line if it lies on it.
        first = ((self.segments[0][0] - origin) * flip).imag
        if first > ON_LINE or first < -ON_LINE:
            return first > 0, None
        run_start: int | None = None
        for index in range(len(self) - 1, -1, -1):
            w = _settled([((z - origin) * flip).imag for z in self.segments[index]])
            for value in reversed(w):
                if value > ON_LINE or value < -ON_LINE:
                    return value > 0, run_start
            run_start = index
        return False, None

    def _nearest_end(self, run_start: int | None, index: int, origin: complex, flip: complex) -> int:
        if run_start is None:
            return index
        ends = (run_start, index)
        return min(ends, key=lambda node: abs(((self.segments[node][0] - origin) * flip).real))

    def _split(self, at: float) -> tuple[int, float]:
        whole = math.floor(at)
        return whole % len(self.segments), at - whole


def _crossing(index: int, seg: Segment, share: float, origin: complex, flip: complex) -> Crossing:
    at = index + (0.0 if share < SAME_SPOT else 1.0 if share > 1 - SAME_SPOT else share)
    point = point_at(seg, at - index)
    return Crossing(at, ((point - origin) * flip).real, point)


def _settled(w: list[float]) -> list[float]:
    # Ends within ON_LINE lie on the line; handles within NOISE set off along it.
    if min([abs(value) for value in w]) >= ON_LINE:
        return w
    first, last = w[0], w[-1]
    settled = [0.0 if -NOISE < value < NOISE else value for value in w]
    if -ON_LINE < first < ON_LINE:
        settled[0] = 0.0
    if -ON_LINE < last < ON_LINE:
        settled[-1] = 0.0
    return settled
