"""One strip of a pleat on the finished piece: where its fold line lies, and whether the seam leads there steadily."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.geometry.outline import Outline, Stretch
from pleatsvg.geometry.segment import Segment, cut, heading, point_at, sign_changes, turn_between
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.tolerance import CORNER_REACH, CORNER_TURN, NOISE, ON_LINE, SAME_SPOT


class MisfitError(Exception):
    """A displaced line does not part a strip from the piece: it leaves the piece by `out` mm."""

    def __init__(self, out: float, dart: bool = False) -> None:
        super().__init__(out)
        self.out = out
        self.dart = dart


def displaced(lines: SlashSet, base: Chord, side: int, a: float, b: float) -> Chord:
    """Return the line at distance `a` from the top and `b` from the hem of `base`, on the side +1 (after) or -1.

    Both its ends are found by walking the outline away from `base`: the first meeting ends the strip. The walk
    must move steadily away and turn no sharp corner, and between its ends the line must not cross the outline;
    otherwise the strip would have a hole, a notch or a lost corner that folds back perfectly all the same.
    """
    if a == 0 and b == 0:
        return base
    outline = lines.outline
    reach = abs(base.hem - base.top)
    along = (base.hem - base.top) / reach
    away = lines.across(base) * side
    sine = (b - a) / reach
    cosine = math.sqrt(1 - sine * sine)
    direction = along * cosine + away * sine
    normal = away * cosine - along * sine
    line = StripLine(base.top + a * normal, direction, normal, away)
    top_at, top_fits = (base.top_at, True) if a == 0 else walk_away(outline, line, base.top_at, base.hem_at, side)
    hem_at, hem_fits = (base.hem_at, True) if b == 0 else walk_away(outline, line, base.hem_at, base.top_at, -side)
    top = base.top if a == 0 else outline.point(top_at)
    hem = base.hem if b == 0 else outline.point(hem_at)
    if top_fits and hem_fits:
        low, high = line.along(top), line.along(hem)
        met = {math.floor(top_at) % len(outline), math.floor(hem_at) % len(outline)}
        if high > low and outline.crossed_only_in(met, line.origin, direction, low + ON_LINE, high - ON_LINE):
            return Chord(top_at, hem_at, top, hem)
    dart = not (top_fits and hem_fits) and any(
        at == node % len(outline)
        for place, fits in ((top_at, top_fits), (hem_at, hem_fits))
        if not fits
        for at in [round(place) % len(outline)]
        for d in outline.darts
        for node in d[:3]
    )
    raise MisfitError(_farthest_short(outline, line, top_at, hem_at, side), dart)


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

    Returns:
        The place of the meeting and True; or the place where the seam turns back or round a corner, and False.
    """
    n = len(outline)
    limit = start + (stop - start) % n if step > 0 else start - (start - stop) % n
    recent: list[tuple[float, complex]] = []  # (distance walked, heading), so that a rounded corner is one too
    walked = 0.0
    origin, back, homewards = line.origin, line.normal.conjugate(), line.away.conjugate()
    for index, t0, t1, node in _ways(outline, start, limit):
        part = cut(outline.segments[index], t0, t1)
        here = node + t0
        if recent:
            entry = heading(part, 0.0)
            if any(walked - place < CORNER_REACH and turn_between(was, entry) > CORNER_TURN for place, was in recent):
                return here, False
        meeting = _first_meeting([((z - origin) * back).real for z in part])
        turning = _turns_back([((q - p) * homewards).real for p, q in pairwise(part)])
        if turning is not None and (meeting is None or turning < meeting):
            return here + (t1 - t0) * turning, False
        if meeting is not None:
            if len(part) == 4 and _rounds_a_corner(part, meeting, walked, recent):
                return here, False
            share = t0 + (t1 - t0) * meeting
            return node + (0.0 if share < SAME_SPOT else 1.0 if share > 1 - SAME_SPOT else share), True
        span = abs(part[-1] - part[0])
        recent = [(place, was) for place, was in recent if walked + span - place < CORNER_REACH]
        recent += [(walked, heading(part, 0.0)), (walked + span, heading(part, 1.0))]
        walked += span
    return limit, False


def _ways(outline: Outline, start: float, limit: float) -> Iterator[Stretch]:
    # The stretches of a walk. It nearly always ends on its first segment: those beyond are looked up when it gets there.
    node = min(math.floor(start) + 1.0, limit) if limit >= start else max(math.ceil(start) - 1.0, limit)
    yield from outline.stretches(start, node)
    yield from outline.stretches(node, limit)


def _rounds_a_corner(part: Segment, end: float, walked: float, recent: list[tuple[float, complex]]) -> bool:
    # Has the seam turned a corner by the time it has gone along `part` to share `end`, though it is drawn rounded?
    span = abs(point_at(part, end) - part[0])
    if span >= CORNER_REACH:
        return False
    leave = heading(part, end)
    marks = [*recent, (walked, heading(part, 0.0))]
    return any(walked + span - p < CORNER_REACH and turn_between(was, leave) > CORNER_TURN for p, was in marks)


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
