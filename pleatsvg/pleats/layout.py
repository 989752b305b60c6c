"""Laying pleats out on the finished piece: every fold line where it belongs, or a refusal that says why not.

Everything here happens on the finished piece, in its own coordinates (mm). A displaced fold line lies at one distance
from the slash line's top end and at another from its hem end, so it is turned from the slash line by
asin((b - a) / length); the straight step from an end to its mirror image is then exactly twice its distance.
"""

from __future__ import annotations

import math
from dataclasses import replace

from pleatsvg.errors import FitError
from pleatsvg.kinds import called
from pleatsvg.length import show
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.pleats.kick import KickTop, lines_meet
from pleatsvg.pleats.laid import LaidFold, LaidPlacement, LaidPleat, PleatRequest
from pleatsvg.pleats.refusals import face_refusal, poke_refusal, refuse_over_the_fold, refuse_overlap, side_word
from pleatsvg.pleats.strip import MisfitError, StripLine, displaced, walk_away
from pleatsvg.result.roles import Role
from pleatsvg.tolerance import LEAST_SEAM, ON_LINE
from pleatsvg.wording import message, option


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
            refuse_overlap(lines, pleats[-1], pleat, unit)
        pleats.append(pleat)
    refuse_over_the_fold(lines, pleats, unit)
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
    listed, placed = folds.half(request.half) if request.half else (folds.folds, folds.placements)
    outer = folds.half_of(folds.outer, request.half)
    for (edge, reach), turns_under in zip(listed, outer, strict=True):
        if edge not in edges:
            edges[edge] = face_edge(lines, number, chord, edge, request, unit)
        here = edges[edge]
        if reach:
            if (edge, reach) not in made:
                made[edge, reach] = _fold_line(lines, number, here, reach, depths, request, unit)
            here = made[edge, reach]
        laid.append(LaidFold(here, role_at(reach, turns_under, request.kind.stitched)))
    far, length = request.stitched[0], abs(chord.hem - chord.top)
    if far is not None and far >= length:
        raise FitError(
            f"{called(request.kind.name, number)} at '{name}'",
            f"is to be stitched for {show(far, unit)} on a line {show(length, unit)} long",
            "a released tuck is stitched for a part of its length",
            message("Give a smaller {}, or leave it out to stitch all along.", option("stitched")),
        )
    rests = Role.MATE if request.kind.stitched else Role.PLACEMENT
    placements = tuple([LaidPlacement(edges[p.edge], p.folds_before, p.carries, rests) for p in placed])
    first = chord if request.half > 0 else edges[listed[0].edge]
    last = chord if request.half < 0 else edges[listed[-1].edge]
    return LaidPleat(number, name, request, tuple(laid), placements, first, last)


def role_at(reach: int, turns_under: bool, stitched: bool) -> Role:
    """Return the role of a fold so many depths off the edge of its pleat's face.

    A fold on that edge is seen, or stitched. Off it, a tuck's crest is seen and all else is hidden.
    """
    if stitched:
        return Role.STITCH if reach == 0 else Role.INNER if turns_under else Role.FOLD
    if reach == 0:
        return Role.FOLD
    return Role.OUTWARD if turns_under else Role.INNER


def _kick(lines: SlashSet, number: int, chord: Chord, request: PleatRequest, unit: str) -> LaidPleat:
    # An inverted pleat over the lower part of its slash line, its layers' tops slanting down from the tip.
    name = lines.names[number - 1]
    subject = f"Pleat {number} at '{name}'"
    length = abs(chord.hem - chord.top)
    if not 0 < request.height < length - LEAST_SEAM:
        raise FitError(
            subject,
            f"is {show(request.height, unit)} high on a line {show(length, unit)} long",
            f"at least {show(LEAST_SEAM, unit)} of seam must be left above a kick pleat",
            message("Give a smaller {}, or make it an inverted pleat from top to hem.", option("height")),
        )
    if request.half:
        raise FitError(
            subject,
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
        LaidFold(base if not fold.reach else inner[fold.reach], role_at(fold.reach, turns_under, False))
        for fold, turns_under in zip(folds.folds, folds.outer, strict=True)
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
    subject = f"Pleat {number} at '{lines.names[number - 1]}'"
    if abs(b - a) >= reach or a <= 0 or b <= 0:
        raise FitError(
            subject,
            f"would change its depth from {show(a, unit)} to {show(b, unit)} over {show(reach, unit)}",
            "a kick pleat takes up something at both its ends, and tapers by less than its height",
            "Bring the two intakes nearer to each other.",
        )
    along = (base.hem - base.top) / reach
    away = lines.across(base) * side
    sine = (b - a) / reach
    cosine = math.sqrt(1 - sine * sine)
    direction, normal = along * cosine + away * sine, away * cosine - along * sine
    line = StripLine(base.top + a * normal, direction, normal, away)
    top = lines_meet(base.top, slant, line.origin, direction)
    hem_at, fits = walk_away(outline, line, base.hem_at, base.top_at, -side)
    hem = outline.point(hem_at)
    low, high = line.along(top), line.along(hem)
    met = {math.floor(hem_at) % len(outline)}
    if fits and high > low and outline.crossed_only_in(met, line.origin, direction, low + ON_LINE, high - ON_LINE):
        return Chord(base.top_at, hem_at, top, hem)
    way = side_word(side, lines.upright)
    raise FitError(
        subject,
        f"has an underlay {show(max(a, b), unit)} deep that does not lie beneath the piece on its {way}",
        "an underlay must lie wholly beneath the piece, and its slanting top above the hem",
        message(
            "Take a smaller intake or a greater {}, or move the slash line farther from that seam.", option("height")
        ),
    )


def face_edge(lines: SlashSet, number: int, chord: Chord, edge: int, request: PleatRequest, unit: str) -> Chord:
    """Return an edge of a pleat's face: parallel to its slash line, half the face before (-1) or after it (+1).

    Raises:
        FitError: the face does not fit on the piece.
    """
    try:
        return displaced(lines, chord, edge, request.face / 2, request.face / 2)
    except MisfitError as misfit:
        raise face_refusal(number, lines.names[number - 1], request, misfit.out, unit) from None


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
            f"{called(request.kind.name, number)} at '{lines.names[number - 1]}'",
            f"would change its depth by {show(abs(b - a), unit)} over a line {show(length, unit)} long",
            "a fold can taper by less than its own length",
            "Bring the two intakes nearer to each other.",
        )
    try:
        return displaced(lines, base, side, a, b)
    except MisfitError as misfit:
        fits = _deepest(lines, number, request, unit)
        raise poke_refusal(number, lines, request, side, misfit, fits, unit) from None


def _fits(lines: SlashSet, number: int, request: PleatRequest) -> bool:
    # Does every fold line of a pleat lie on the piece?
    chord = lines.chords[number - 1]
    folds = request.list
    top, hem = request.intake_top / folds.depths_taken, request.intake_hem / folds.depths_taken
    try:
        for edge, reach in set(folds.half(request.half)[0] if request.half else folds.folds):
            base = displaced(lines, chord, edge, request.face / 2, request.face / 2) if edge else chord
            if reach:
                if abs(hem - top) * abs(reach) >= abs(base.hem - base.top):
                    return False
                displaced(lines, base, 1 if reach > 0 else -1, abs(reach) * top, abs(reach) * hem)
    except MisfitError:
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
