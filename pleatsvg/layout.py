"""Laying pleats out on the finished piece: every fold line where it belongs, or a refusal that says why not.

Everything here happens on the finished piece, in its own coordinates (mm). A displaced fold line lies at one distance
from the slash line's top end and at another from its hem end, so it is turned from the slash line by
asin((b - a) / length); the straight step from an end to its mirror image is then exactly twice its distance.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.errors import FitError
from pleatsvg.kick import KickTop, lines_meet
from pleatsvg.kinds import FoldList, Kind
from pleatsvg.length import show
from pleatsvg.outline import Outline, Stretch
from pleatsvg.segment import Segment, cut, heading, point_at, sign_changes, turn_between
from pleatsvg.slash import Chord, SlashSet
from pleatsvg.tolerance import CORNER_REACH, CORNER_TURN, LEAST_SEAM, NOISE, ON_LINE, SAME_SPOT


@dataclass(frozen=True, slots=True)
class PleatRequest:
    """What is asked of one pleat; lengths in mm.

    Attributes:
        kind: the kind of pleat.
        towards: -1 when the folds point to the pleats before, +1 after; of no account for a kind alike on both sides.
        intake_top, intake_hem: the flat width taken up at the line's two ends.
        face: width of the face, for kinds that have one; 0 otherwise.
        half: -1 or +1 where the slash line is the fold edge of the cloth and the half pleat lies before or after it; the
            intake is that of the whole pleat.
        stack: how many layers of the pleat lie on one another.
        separate: the underlay is a piece of its own, joined at the inner folds.
        height: of a kick pleat, up from the hem.
        stitched: where a tuck is stitched: (None, "") all along, else how far and from where, "top", "hem" or "middle".
    """

    kind: Kind
    towards: int
    intake_top: float
    intake_hem: float
    face: float = 0.0
    half: int = 0
    stack: int = 1
    stitched: tuple[float | None, str] = (None, "")
    separate: bool = False
    height: float = 0.0

    @property
    def list(self) -> FoldList:
        """Its fold list; of a half pleat, that of the whole."""
        return self.kind.folds(self.towards, self.stack)


class LaidFold(NamedTuple):
    """A fold line on the finished piece.

    `role` is "fold" where the fold is seen, "inner" where it is hidden, and "stitch" for the crease of a tuck along which
    it is stitched.
    """

    chord: Chord
    role: str


class LaidPlacement(NamedTuple):
    """A line on which folds come to lie: a placement line, or ("mate") the other stitching line of a tuck."""

    chord: Chord
    folds_before: int
    carries: tuple[int, ...]
    role: str = "placement"


@dataclass(frozen=True, slots=True)
class LaidPleat:
    """A pleat laid out: its fold lines in the order in which the cloth meets them."""

    number: int
    name: str
    request: PleatRequest
    folds: tuple[LaidFold, ...]
    placements: tuple[LaidPlacement, ...]
    first: Chord
    last: Chord
    kick: KickTop | None = None


class _MisfitError(Exception):
    """A displaced line does not part a strip from the piece: it leaves the piece by `out` mm."""

    def __init__(self, out: float, dart: bool = False) -> None:
        super().__init__(out)
        self.out = out
        self.dart = dart


def lay_out(lines: SlashSet, requests: list[PleatRequest], unit: str = "mm") -> tuple[LaidPleat, ...]:
    """Return every pleat with its fold lines.

    Args:
        lines: the slash lines in order.
        requests: one for each.
        unit: for messages.

    Raises:
        FitError: an underlay would leave the piece, faces overlap, or a taper is steeper than cloth allows.
    """
    pleats: list[LaidPleat] = []
    for k, (chord, request) in enumerate(zip(lines.chords, requests, strict=True)):
        pleat = _laid(lines, k + 1, chord, request, unit)
        if pleats:
            _refuse_overlap(lines, pleats[-1], pleat, unit)
        pleats.append(pleat)
    _refuse_over_the_fold(lines, pleats, unit)
    return tuple(pleats)


def _laid(lines: SlashSet, number: int, chord: Chord, request: PleatRequest, unit: str) -> LaidPleat:
    name = lines.names[number - 1]
    folds = request.list
    depths = request.intake_top / folds.depths_taken, request.intake_hem / folds.depths_taken
    if request.kind.kicks:
        return _kick(lines, number, chord, request, unit)
    edges: dict[int, Chord] = {0: chord}
    made: dict[tuple[int, int], Chord] = {}
    laid: list[LaidFold] = []
    on_edge, off_edge = ("stitch", "fold") if request.kind.stitched else ("fold", "inner")
    listed, placed = folds.half(request.half) if request.half else (folds.folds, folds.placements)
    for edge, reach in listed:
        if edge not in edges:
            edges[edge] = _face_edge(lines, number, chord, edge, request, unit)
        here = edges[edge]
        if reach:
            if (edge, reach) not in made:
                made[edge, reach] = _fold_line(lines, number, here, reach, depths, request, unit)
            here = made[edge, reach]
        laid.append(LaidFold(here, on_edge if reach == 0 else off_edge))
    far, length = request.stitched[0], abs(chord.hem - chord.top)
    if far is not None and far >= length:
        raise FitError(
            f"Pleat {number} at '{name}'",
            f"is to be stitched for {show(far, unit)} on a line {show(length, unit)} long",
            "a released tuck is stitched for a part of its length",
            "Give a smaller --stitched, or leave it out to stitch all along.",
        )
    rests = "mate" if request.kind.stitched else "placement"
    placements = tuple([LaidPlacement(edges[p.edge], p.folds_before, p.carries, rests) for p in placed])
    first = chord if request.half > 0 else edges[listed[0].edge]
    last = chord if request.half < 0 else edges[listed[-1].edge]
    return LaidPleat(number, name, request, tuple(laid), placements, first, last)


def _kick(lines: SlashSet, number: int, chord: Chord, request: PleatRequest, unit: str) -> LaidPleat:
    # An inverted pleat over the lower part of its slash line, its layers' tops slanting down from the tip.
    name = lines.names[number - 1]
    said = f"Pleat {number} at '{name}'"
    length = abs(chord.hem - chord.top)
    if not 0 < request.height < length - LEAST_SEAM:
        raise FitError(
            said,
            f"is {show(request.height, unit)} high on a line {show(length, unit)} long",
            f"at least {show(LEAST_SEAM, unit)} of seam must be left above a kick pleat",
            "Give a smaller --height, or make it an inverted pleat from top to hem.",
        )
    if request.half:
        raise FitError(
            said,
            "lies on the fold edge",
            "above a kick pleat its line is a seam, and cloth cut on the fold has none there",
            "Leave out the fold edge and cut a pair, with the line as a seam.",
        )
    along = (chord.hem - chord.top) / length
    across = lines.across(chord)
    tip = chord.hem - along * request.height
    base = Chord(chord.top_at, chord.hem_at, tip, chord.hem)
    folds = request.list
    depths = request.intake_top / folds.depths_taken, request.intake_hem / folds.depths_taken
    inner: dict[int, Chord] = {}
    for side in (-1, 1):
        top = KickTop(chord, tip, tip, tip)
        inner[side] = _kick_line(lines, number, base, side, depths, top.slant(across * side), request, unit)
    laid = [
        LaidFold(base if not fold.reach else inner[fold.reach], "inner" if fold.reach else "fold")
        for fold in folds.folds
    ]
    placements = tuple([LaidPlacement(base, p.folds_before, p.carries) for p in folds.placements])
    kick = KickTop(chord, tip, inner[-1].top, inner[1].top)
    return LaidPleat(number, name, request, tuple(laid), placements, chord, chord, kick)


def _kick_line(
    lines: SlashSet,
    number: int,
    base: Chord,
    side: int,
    depths: tuple[float, float],
    slant: complex,
    request: PleatRequest,
    unit: str,
) -> Chord:
    outline = lines.outline
    a, b = depths
    reach = abs(base.hem - base.top)
    said = f"Pleat {number} at '{lines.names[number - 1]}'"
    if abs(b - a) >= reach or a <= 0 or b <= 0:
        raise FitError(
            said,
            f"would change its depth from {show(a, unit)} to {show(b, unit)} over {show(reach, unit)}",
            "a kick pleat takes up something at both its ends, and tapers by less than its height",
            "Bring the two intakes nearer to each other.",
        )
    along = (base.hem - base.top) / reach
    away = lines.across(base) * side
    sine = (b - a) / reach
    cosine = math.sqrt(1 - sine * sine)
    direction, normal = along * cosine + away * sine, away * cosine - along * sine
    line = _Line(base.top + a * normal, direction, normal, away)
    top = lines_meet(base.top, slant, line.origin, direction)
    hem_at, fits = _walk(outline, line, base.hem_at, base.top_at, -side)
    hem = outline.point(hem_at)
    low, high = line.along(top), line.along(hem)
    met = {math.floor(hem_at) % len(outline)}
    if fits and high > low and outline.crossed_only_in(met, line.origin, direction, low + ON_LINE, high - ON_LINE):
        return Chord(base.top_at, hem_at, top, hem)
    way = side_word(side, lines.upright)
    raise FitError(
        said,
        f"has an underlay {show(max(a, b), unit)} deep that does not lie beneath the piece on its {way}",
        "an underlay must lie wholly beneath the piece, and its slanting top above the hem",
        "Take a smaller intake or a greater --height, or move the slash line farther from that seam.",
    )


def _face_edge(lines: SlashSet, number: int, chord: Chord, edge: int, request: PleatRequest, unit: str) -> Chord:
    try:
        return _displaced(lines, chord, edge, request.face / 2, request.face / 2)
    except _MisfitError as misfit:
        raise _face_refusal(number, lines.names[number - 1], request, misfit.out, unit) from None


def _fold_line(
    lines: SlashSet,
    number: int,
    base: Chord,
    reach: int,
    depths: tuple[float, float],
    request: PleatRequest,
    unit: str,
) -> Chord:
    side = 1 if reach > 0 else -1
    a, b = abs(reach) * depths[0], abs(reach) * depths[1]
    length = abs(base.hem - base.top)
    if abs(b - a) >= length:
        raise FitError(
            f"Pleat {number} at '{lines.names[number - 1]}'",
            f"would change its depth by {show(abs(b - a), unit)} over a line {show(length, unit)} long",
            "a fold can taper by less than its own length",
            "Bring the two intakes nearer to each other.",
        )
    try:
        return _displaced(lines, base, side, a, b)
    except _MisfitError as misfit:
        fits = _deepest(lines, number, request, unit)
        raise _poke_refusal(number, lines, request, side, misfit, fits, unit) from None


def _fits(lines: SlashSet, number: int, request: PleatRequest) -> bool:
    # Does every fold line of a pleat lie on the piece?
    chord = lines.chords[number - 1]
    folds = request.list
    top, hem = request.intake_top / folds.depths_taken, request.intake_hem / folds.depths_taken
    try:
        for edge, reach in set(folds.half(request.half)[0] if request.half else folds.folds):
            base = _displaced(lines, chord, edge, request.face / 2, request.face / 2) if edge else chord
            if reach:
                if abs(hem - top) * abs(reach) >= abs(base.hem - base.top):
                    return False
                _displaced(lines, base, 1 if reach > 0 else -1, abs(reach) * top, abs(reach) * hem)
    except _MisfitError:
        return False
    return True


def _deepest(lines: SlashSet, number: int, request: PleatRequest, unit: str) -> tuple[float, float]:
    """Return the largest intakes, in the proportion asked for and rounded down, at which the whole pleat fits (mm)."""
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2
        if _fits(lines, number, _scaled(request, middle)):
            low = middle
        else:
            high = middle
    step = 25.4 / 16 if unit == "in" else 0.1
    top, hem = (math.floor(low * v / step + 1e-6) * step for v in (request.intake_top, request.intake_hem))
    for _ in range(100):
        # Rounding the two ends down by different amounts may turn the fold line a little farther out.
        if max(top, hem) <= 0 or _fits(lines, number, replace(request, intake_top=top, intake_hem=hem)):
            break
        top, hem = max(0.0, top - step), max(0.0, hem - step)
    return top, hem


def _scaled(request: PleatRequest, share: float) -> PleatRequest:
    return replace(request, intake_top=share * request.intake_top, intake_hem=share * request.intake_hem)


def _displaced(lines: SlashSet, base: Chord, side: int, a: float, b: float) -> Chord:
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
    line = _Line(base.top + a * normal, direction, normal, away)
    top_at, top_fits = (base.top_at, True) if a == 0 else _walk(outline, line, base.top_at, base.hem_at, side)
    hem_at, hem_fits = (base.hem_at, True) if b == 0 else _walk(outline, line, base.hem_at, base.top_at, -side)
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
    raise _MisfitError(_farthest_short(outline, line, top_at, hem_at, side), dart)


class _Line(NamedTuple):
    """A displaced line: `normal` points away from the slash line square to it, `away` square to the slash line."""

    origin: complex
    direction: complex
    normal: complex
    away: complex

    def along(self, z: complex) -> float:
        return ((z - self.origin) * self.direction.conjugate()).real

    def beyond(self, z: complex) -> float:
        """How far a point lies beyond the line, seen from the slash line; negative before it."""
        return ((z - self.origin) * self.normal.conjugate()).real


def _walk(outline: Outline, line: _Line, start: float, stop: float, step: int) -> tuple[float, bool]:
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


def _farthest_short(outline: Outline, line: _Line, top_at: float, hem_at: float, side: int) -> float:
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


def _poke_refusal(
    number: int,
    lines: SlashSet,
    request: PleatRequest,
    reach: int,
    misfit: _MisfitError,
    deepest: tuple[float, float],
    unit: str,
) -> FitError:
    way = side_word(reach, lines.upright)
    top, hem = deepest
    fits = "no intake fits here" if max(top, hem) <= 0 else f"the deepest intake that fits here is {show(top, unit)}"
    if max(top, hem) > 0 and abs(request.intake_hem - request.intake_top) > 0.005:
        first, second = ("top", "hem") if lines.upright else ("left end", "right end")
        fits += f" at the {first} with {show(hem, unit)} at the {second}"
    past = "would fall across the dart" if misfit.dart else "reaches out past the seam"
    return FitError(
        f"Pleat {number} at '{lines.names[number - 1]}'",
        f"has {'a fold' if request.kind.stitched else 'an underlay'} that {past} on its {way} by {show(misfit.out, unit)}",
        f"{'a tuck must lie wholly on' if request.kind.stitched else 'an underlay must lie wholly beneath'} the piece, within "
        f"one seam edge at either end; {fits}",
        "Take a smaller intake, move the slash line farther from that seam, or turn the lap round.",
    )


def side_word(reach: int, upright: bool) -> str:
    """Return the plain word for the side of the pleats before (-1) or after (+1) a line."""
    if upright:
        return "right" if reach > 0 else "left"
    return "lower side" if reach > 0 else "upper side"


def _face_refusal(number: int, name: str, request: PleatRequest, out: float, unit: str) -> FitError:
    return FitError(
        f"Pleat {number} at '{name}'",
        f"has a face {show(request.face, unit)} wide that reaches out past the seam by {show(out, unit)}",
        "both edges of a face must lie on the piece",
        "Take a narrower --face, or move the slash line farther from the seam.",
    )


def _refuse_over_the_fold(lines: SlashSet, pleats: list[LaidPleat], unit: str) -> None:
    # A face must lie on the half that is drawn; an underlay may run on beneath its mirror image.
    for pleat, fold, side in ((pleats[0], lines.first, 1), (pleats[-1], lines.last, -1)):
        if fold is None or pleat.request.half:
            continue
        edge = pleat.first if side > 0 else pleat.last
        across = lines.across(fold)
        over = max(-side * ((z - fold.top) * across.conjugate()).real for z in (edge.top, edge.hem))
        if over > ON_LINE:
            raise FitError(
                f"Pleat {pleat.number} at '{pleat.name}'",
                f"has a face that reaches over the fold edge by {show(over, unit)}",
                "what is seen of it must lie on the half that is drawn",
                "Take a narrower --face, move the slash line away from the fold edge, or draw it on the fold edge for half a "
                "pleat there.",
            )


def _refuse_overlap(lines: SlashSet, before: LaidPleat, after: LaidPleat, unit: str) -> None:
    outline = lines.outline
    over = 0.0
    if before.last.top_at > after.first.top_at:
        over = max(over, outline.distance(after.first.top_at, before.last.top_at))
    if before.last.hem_at < after.first.hem_at:
        over = max(over, outline.distance(before.last.hem_at, after.first.hem_at))
    if over > ON_LINE:
        faces = before.request.face / 2 + after.request.face / 2
        raise FitError(
            f"Pleats {before.number} and {after.number}, at '{before.name}' and '{after.name}',",
            f"have faces that overlap by {show(over, unit)}",
            f"the two half faces take {show(faces, unit)} of a space of {show(max(0.0, faces - over), unit)}",
            "Take a narrower --face, or set the slash lines farther apart.",
        )
