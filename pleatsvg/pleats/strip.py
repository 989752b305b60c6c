"""One strip of a pleat on the finished piece: where its fold line lies, and whether the seam leads there steadily."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.geometry.outline import Outline, Stretch
from pleatsvg.geometry.segment import Segment, cut, heading, point_at, sign_changes, turn_between
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.tolerance import CORNER_REACH, CORNER_TURN, GRIT, NOISE, ON_LINE, SAME_SPOT, SHALLOW


class MisfitError(Exception):
    """A displaced line does not part a strip from the piece: it leaves the piece, or passes a corner, by `out` mm.

    `dart` says that it would lie across a dart, `hollow` that the corner is a hollow one, where there is cloth beyond.
    """

    def __init__(self, out: float, dart: bool = False, hollow: bool = False) -> None:
        super().__init__(out)
        self.out = out
        self.dart = dart
        self.hollow = hollow


def displaced(lines: SlashSet, base: Chord, side: int, a: float, b: float) -> Chord:
    """Return the line at distance `a` from the top and `b` from the hem of `base`, on the side +1 (after) or -1.

    Both its ends are found by walking the outline away from `base`: the first meeting ends the strip. The walk
    must move steadily away and turn no sharp corner, and between its ends the line must not cross the outline;
    otherwise the strip would have a hole, a notch or a lost corner that folds back perfectly all the same.
    """
    if a == 0 and b == 0:
        return base
    outline = lines.outline
    line = _line_beside(lines, base, side, a, b)
    origin, direction = line.origin, line.direction
    top_at, top_fits = (base.top_at, True) if a == 0 else walk_away(outline, line, base.top_at, base.hem_at, side)
    hem_at, hem_fits = (base.hem_at, True) if b == 0 else walk_away(outline, line, base.hem_at, base.top_at, -side)
    top = base.top if a == 0 else outline.point(top_at)
    hem = base.hem if b == 0 else outline.point(hem_at)
    if top_fits and hem_fits:
        low, high = line.along(top), line.along(hem)
        met = {math.floor(top_at) % len(outline), math.floor(hem_at) % len(outline)}
        if high > low and outline.crossed_only_in(met, origin, direction, low + ON_LINE, high - ON_LINE):
            return Chord(top_at, hem_at, top, hem)
    stops = {round(at) % len(outline) for at, fits in ((top_at, top_fits), (hem_at, hem_fits)) if not fits}
    dart = any(node % len(outline) in stops for d in outline.darts for node in d[:3])
    hollow = bool(stops) and all(_is_hollow(outline, node) for node in stops)
    raise MisfitError(_farthest_short(outline, line, top_at, hem_at, side), dart, hollow)


def place_beside(lines: SlashSet, base: Chord, side: int, a: float, b: float) -> float | None:
    """Return where the same line meets the seam at its top alone, or None where the way there is no strip's edge."""
    return place_and_foot(lines, base, side, a, b)[0]


def place_and_foot(lines: SlashSet, base: Chord, side: int, a: float, b: float) -> tuple[float | None, complex]:
    """Return the same place, and the line's other end beside the hem of `base`, wherever it meets the seam there."""
    line = _line_beside(lines, base, side, a, b)
    foot = base.hem + b * line.normal
    if a == 0:
        return base.top_at, foot
    place, fits = walk_away(lines.outline, line, base.top_at, base.hem_at, side)
    return (place if fits else None), foot


def displaced_line(lines: SlashSet, base: Chord, side: int, a: float, b: float) -> tuple[complex, complex]:
    """Return the same line from beside the top of `base` to beside its hem, wherever it meets the seam."""
    line = _line_beside(lines, base, side, a, b)
    return line.origin, base.hem + b * line.normal


def _line_beside(lines: SlashSet, base: Chord, side: int, a: float, b: float) -> StripLine:
    reach = abs(base.hem - base.top)
    along = (base.hem - base.top) / reach
    away = lines.across(base) * side
    sine = (b - a) / reach
    cosine = math.sqrt(1 - sine * sine)
    direction = along * cosine + away * sine
    normal = away * cosine - along * sine
    return StripLine(base.top + a * normal, direction, normal, away)


def _is_hollow(outline: Outline, node: int) -> bool:
    into, out = outline.ways[node - 1][1], outline.ways[node][0]
    hand = 1.0 if outline.area > 0 else -1.0
    return outline.turn_at(node) > CORNER_TURN and (into.conjugate() * out).imag * hand < 0


class StripLine(NamedTuple):
    """A displaced line: `normal` points away from the slash line square to it, `away` square to the slash line."""

    origin: complex
    direction: complex
    normal: complex
    away: complex

    def along(self, z: complex) -> float:
        """How far along the line a point lies, from `origin`."""
        return ((z - self.origin) * self.direction.conjugate()).real

    def beyond(self, z: complex) -> float:
        """How far a point lies beyond the line, seen from the slash line; negative before it."""
        return ((z - self.origin) * self.normal.conjugate()).real


def walk_away(outline: Outline, line: StripLine, start: float, stop: float, step: int) -> tuple[float, bool]:
    """Walk from a line's end along the seam, upwards (+1) or downwards (-1) in place, to the meeting with `line`.

    Segments shorter than GRIT may lead back by SHALLOW, and are no corner unless the seam turns over GRIT.

    Returns:
        The place of the meeting and True; or the place where the seam turns back or round a corner, and False.
    """
    n = len(outline)
    limit = start + (stop - start) % n if step > 0 else start - (start - stop) % n
    trail = _Trail()
    origin, back, homewards = line.origin, line.normal.conjugate(), line.away.conjugate()
    farthest = -math.inf
    for index, t0, t1, node in _ways(outline, start, limit):
        seg = outline.segments[index]
        part = cut(seg, t0, t1)
        here = node + t0
        grit = abs(seg[-1] - seg[0]) < GRIT
        if not grit and trail.turned(heading(part, 0.0), 0.0):
            return here, False
        meeting = _first_meeting([((z - origin) * back).real for z in part])
        if grit:
            gone = ((part[-1] - origin) * homewards).real
            turning = 0.0 if gone < farthest - SHALLOW else None
            farthest = max(farthest, gone)
        else:
            turning = _turns_back([((q - p) * homewards).real for p, q in pairwise(part)])
            farthest = max(farthest, ((part[-1] - origin) * homewards).real)
        if turning is not None and (meeting is None or turning < meeting):
            return here + (t1 - t0) * turning, False
        if meeting is not None:
            if grit:
                if trail.turned_on_grit(part[0], point_at(part, meeting)):
                    return here, False
            elif len(part) == 4 and trail.rounds_a_corner(part, meeting):
                return here, False
            share = t0 + (t1 - t0) * meeting
            return node + (0.0 if share < SAME_SPOT else 1.0 if share > 1 - SAME_SPOT else share), True
        if grit:
            if trail.turned_on_grit(part[0], part[-1]):
                return here, False
            trail.over_grit(part)
        else:
            trail.along(part)
    return limit, False


class _Trail:
    """The last CORNER_REACH of a walk: where it was headed, so that a rounded corner is one too; and the last GRIT of it."""

    def __init__(self) -> None:
        self._walked = 0.0
        self._headed: list[tuple[float, complex]] = []
        self._nodes: list[tuple[float, complex, complex]] = []  # distance walked, point, the way there of a long part

    def turned(self, way: complex, ahead: float) -> bool:
        """Has the walk turned a corner, when it is headed so `ahead` mm from here?"""
        at = self._walked + ahead
        return any(at - place < CORNER_REACH and turn_between(was, way) > CORNER_TURN for place, was in self._headed)

    def turned_on_grit(self, start: complex, z: complex) -> bool:
        """The same at the end of a short part, by the way that leads there over GRIT."""
        way = self._way_to(start, z)
        return way is not None and self.turned(way, abs(z - start))

    def rounds_a_corner(self, part: Segment, end: float) -> bool:
        """Has it turned one by the time it has gone along `part` to share `end`, though it is drawn rounded?"""
        span = abs(point_at(part, end) - part[0])
        if span >= CORNER_REACH:
            return False
        leave = heading(part, end)
        return turn_between(heading(part, 0.0), leave) > CORNER_TURN or self.turned(leave, span)

    def along(self, part: Segment) -> None:
        """Go on along a part."""
        leave = heading(part, 1.0)
        entered = self._walked, heading(part, 0.0)
        self._on(part, leave)
        self._headed += [entered, (self._walked, leave)]

    def over_grit(self, part: Segment) -> None:
        """Go on along a short part."""
        way = self._way_to(part[0], part[-1])
        self._on(part, 0j)
        if way is not None:
            self._headed.append((self._walked, way))

    def _on(self, part: Segment, leave: complex) -> None:
        if not self._nodes:
            self._nodes.append((self._walked, part[0], 0j))
        self._walked += abs(part[-1] - part[0])
        self._headed = [(place, was) for place, was in self._headed if self._walked - place < CORNER_REACH]
        self._nodes = [node for node in self._nodes if self._walked - node[0] < 2 * GRIT]
        self._nodes.append((self._walked, part[-1], leave))

    def _way_to(self, start: complex, z: complex) -> complex | None:
        # From the place GRIT back on the walk, which may lie on the last long part before these short ones.
        at = self._walked + abs(z - start)
        for walked, point, leave in reversed(self._nodes):
            if at - walked >= GRIT:
                return z - point
            if leave:
                return z - point + leave * (GRIT - (at - walked))
        return None


def _ways(outline: Outline, start: float, limit: float) -> Iterator[Stretch]:
    # The stretches of a walk. It nearly always ends on its first segment: each one beyond is looked up when it gets there.
    while start < limit:
        node = min(math.floor(start) + 1.0, limit)
        yield from outline.stretches(start, node)
        start = node
    while start > limit:
        node = max(math.ceil(start) - 1.0, limit)
        yield from outline.stretches(start, node)
        start = node


def _first_meeting(short: list[float]) -> float | None:
    # `short` are the Bezier weights of the distance beyond the line; they begin below 0.
    if short[0] >= -ON_LINE:
        return 0.0
    if max(short) < -ON_LINE:
        return None
    ends_on = -ON_LINE <= short[-1] <= ON_LINE
    roots = sign_changes([*short[:-1], 0.0 if ends_on else short[-1]])
    return roots[0] if roots else 1.0 if ends_on else None


def _turns_back(slopes: list[float]) -> float | None:
    # The share at which the seam begins to come back towards the slash line. `slopes` are the Bezier weights of how fast
    # it moves away.
    if min(slopes) >= -NOISE:
        return None
    w = [0.0 if abs(v) < NOISE else v for v in slopes]
    first = next(v for v in w if v)
    if first < 0:
        return 0.0
    roots = sign_changes(w)
    return roots[0] if roots else None


def _farthest_short(outline: Outline, line: StripLine, top_at: float, hem_at: float, side: int) -> float:
    # How far the seam between the two ends of the walk runs short of the line: so far the strip would leave the piece.
    n = len(outline)
    start, end = (top_at, hem_at) if side > 0 else (hem_at, top_at)
    end = start + (end - start) % n
    short = [-line.beyond(outline.point(start)), -line.beyond(outline.point(end))]
    for stretch in outline.stretches(start, end):
        part = outline.part(stretch)
        samples = 2 if len(part) == 2 else 64
        short += [-line.beyond(point_at(part, k / samples)) for k in range(samples + 1)]
    return max(short)
