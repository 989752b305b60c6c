"""A fitted result folded zone by zone: by the upper parts of its creases above the hip, by the lower parts below it.

Its creases bend once, where the hip level crosses them. The cloth lies flat above that level or below it, never in both
zones at once, since each hip point is the tip of a cone; so each zone is a folded pass of its own, with the edges of the
flat piece that lie in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.errors import DrawingError
from pleatsvg.geometry.motion import reflection
from pleatsvg.geometry.nearest import FoundOutline
from pleatsvg.geometry.segment import Segment
from pleatsvg.proof.fold_drawn import (
    begins_at,
    is_of_pleat,
    landings_of,
    layer_of,
    longest_grain,
    motions_along,
    not_met,
)
from pleatsvg.proof.folded_pass import FoldedPass, Layer, Span, where
from pleatsvg.proof.reassemble import doubled, mirrored_line
from pleatsvg.proof.spans import FRESH, all_one_way, in_cloth_order, in_list_order, refuse_gaps, span_at
from pleatsvg.result.pattern_lines import PatternLine
from pleatsvg.result.shaped import stated_level
from pleatsvg.tolerance import FOLD_BACK, FOLD_BACK_CUT, ON_LINE

ZONES = ("above", "below")

_BENDS = 1e-4
"""mm off the straight line between a crease's ends from which on it is seen to bend; below, rounding."""


class _Bent(NamedTuple):
    """A line of a pleat: its way from seam to seam, where it bends, and how far its two parts stray from straight lines."""

    span: Span
    bend: complex
    strays: tuple[float, float]
    short: tuple[float, float]


def fold_zones(
    name: str, number: int, seam: FoundOutline, lines: list[PatternLine], edge: tuple[complex, complex] | None
) -> FoldedPass:
    """Return the zone below the hip, with the one above it.

    Raises:
        DrawingError: a line is missing, there twice, or lies where it cannot be folded along.
    """
    if number > 1:
        raise DrawingError(
            f"'{name}'", "is fitted and has several passes", "a fitted piece is pleated in one pass", FRESH
        )
    level, called = _level(name, lines)
    seam, rows, base, ends = _whole(seam, lines, level, edge)
    by_span = {id(row.span): row for row in rows}
    ordered = all_one_way([row.span for row in rows])
    if any(one is not row.span for one, row in zip(ordered, rows, strict=True)):
        rows = [_turned(row) if one is not row.span else row for one, row in zip(ordered, rows, strict=True)]
        by_span = {id(row.span): row for row in rows}
    creases = [row.span for row in rows if row.span.line.crease]
    others = [row.span for row in rows if not row.span.line.crease]
    refuse_gaps(creases)
    outline, places = in_cloth_order(seam, creases)
    count, n = len(creases), len(outline)
    turned = outline is not seam
    hand = 1.0 if outline.area > 0 else -1.0
    landing_at = [span_at(s, (n - s.top_at) % n, (n - s.hem_at) % n) if turned else s for s in others]
    placed = [span_at(span, places[k], places[count + k]) for k, span in enumerate(creases)]
    made: dict[str, FoldedPass] = {}
    for zone in ZONES:
        own = [_part(at, by_span[id(was)], zone) for at, was in zip(placed, creases, strict=True)]
        loose_lines = [_part(at, by_span[id(was)], zone) for at, was in zip(landing_at, others, strict=True)]
        motions = motions_along(own, base)
        finished = _finished(name, number, lines, zone, "finished-line")
        assert finished is not None
        centre = None
        if edge is not None:
            home = layer_of((edge[0] + edge[1]) / 2, placed, range(count + 1), hand)
            centre = motions[home].of(edge[0]), motions[home].of(edge[1])
            finished = FoundOutline(doubled(finished, centre))
        if (finished.area > 0) != (outline.area > 0):
            finished = FoundOutline(finished.reversed().segments)
        landings, loose = landings_of(loose_lines, own, hand)
        if centre is not None:
            loose = not_met(loose, own, motions, centre)
        order = places[:count] if zone == "above" else places[count:]
        splits = splits_of(f"'{name}'", outline, order, [z for z, _ in ends], zone)
        exits = tuple([_nearest_end(ends, outline.point(at)) for at in splits])
        runs = zone_runs(outline, order, splits, zone)
        corners = motions[0].of(outline.point(splits[0])), motions[-1].of(outline.point(splits[1]))
        made[zone] = FoldedPass(
            number=number,
            seam=outline,
            finished=finished,
            creases=tuple(own),
            landings=landings,
            layers=tuple([Layer(motion, own_runs) for motion, own_runs in zip(motions, runs, strict=True)]),
            base=base,
            free=_free(lines, edge, zone),
            cutting=_cutting(name, number, lines, edge, centre, zone),
            centre=centre,
            grain=() if zone == "above" else longest_grain(lines),
            loose=loose,
            zone=zone,
            cover=_cover(finished, corners, zone),
            level=exits,
            hip_level=level,
            shaped_at=called,
        )
    return replace(made["below"], above=made["above"])


def _level(name: str, lines: list[PatternLine]) -> tuple[tuple[complex, ...], str]:
    # The corners of the level at which the lines bend, and what it is called.
    rows = [
        [line.strokes[0][0][0], *[seg[-1] for stroke in line.strokes for seg in stroke]]
        for line in lines
        if line.role == "hip-level-line"
    ]
    if not rows:
        raise DrawingError(
            f"'{name}'",
            "holds no line for its shaping level",
            "a fitted piece is folded above it and below it",
            FRESH,
        )
    # Of a piece in parts, one on each, which lie end to end once these are laid together.
    chain = rows.pop(0)
    while rows:
        for tail, end, flips in ((-1, 0, 1), (-1, -1, -1), (0, -1, 1), (0, 0, -1)):
            k = min(range(len(rows)), key=lambda k: abs(rows[k][end] - chain[tail]))
            if abs(rows[k][end] - chain[tail]) <= FOLD_BACK:
                more = rows.pop(k)[::flips]
                chain = [*chain, *more[1:]] if tail else [*more, *chain[1:]]
                break
        else:
            raise DrawingError(
                f"'{name}'",
                f"holds {len(rows) + 1} lines for its shaping level that do not meet",
                "a fitted piece is folded above it and below it, and it runs on from part to part",
                FRESH,
            )
    called = next(line.tag.level for line in lines if line.role == "hip-level-line")
    return tuple(chain), stated_level(called)


def _whole(
    seam: FoundOutline, lines: list[PatternLine], level: tuple[complex, ...], edge: tuple[complex, complex] | None
) -> tuple[FoundOutline, list[_Bent], int, list[tuple[complex, complex]]]:
    # The lines of the whole piece in the order of the cloth, how many creases lie before the drawn half, and the two ends of
    # the hip level, each with the unit vector in which it runs out there.
    pleated = [line for line in lines if is_of_pleat(line)]
    rows = _in_order([bent(seam, line, level) for line in pleated])
    if edge is None:
        return seam, rows, 0, [_end(level), _end(level[::-1])]
    first = begins_at(seam, edge, [row.span for row in rows if row.span.line.crease])
    whole = FoundOutline(doubled(seam, edge))
    flip = reflection(*edge)
    rows = _in_order([bent(whole, line, level) for line in pleated])
    mirrored = tuple([flip.of(z) for z in level])
    others = _in_order([bent(whole, mirrored_line(line, edge), mirrored, True) for line in pleated])[::-1]
    base = len([row for row in rows if row.span.line.crease]) if first else 0
    side = max((level, level[::-1]), key=lambda row: abs(flip.of(row[0]) - row[0]))
    ends = [_end(side), _end([flip.of(z) for z in side])]
    return whole, (others + rows if first else rows + others), base, ends


def _nearest_end(ends: Sequence[tuple[complex, complex]], spot: complex) -> tuple[complex, complex]:
    return min(ends, key=lambda end: abs(end[0] - spot))


def _end(level: Sequence[complex]) -> tuple[complex, complex]:
    way = level[0] - level[1]
    return level[0], way / abs(way)


def _in_order(rows: list[_Bent]) -> list[_Bent]:
    by_span = {id(row.span): row for row in rows}
    return [by_span[id(span)] for span in in_list_order([row.span for row in rows])]


def bent(seam: FoundOutline, line: PatternLine, level: Sequence[complex], other_half: bool = False) -> _Bent:
    """Return a line of a pleat with the point where it bends.

    Args:
        seam: the flat seam.
        line: as drawn, from its top to its hem.
        level: the corners of the hip level.
        other_half: whether it lies on the mirrored half.

    Raises:
        DrawingError: it does not cross the hip level, or a part of it does not meet the seam.
    """
    nodes = [line.strokes[0][0][0], *[seg[-1] for stroke in line.strokes for seg in stroke]]
    said = line.words[0].upper() + line.words[1:]
    top, hem = nodes[0], nodes[-1]
    if abs(hem - top) <= FOLD_BACK:
        raise DrawingError(said, "has no length", "it runs from the top seam to the hem", FRESH)
    flip = ((hem - top) / abs(hem - top)).conjugate()
    k = max(range(len(nodes)), key=lambda k: abs(((nodes[k] - top) * flip).imag))
    if abs(((nodes[k] - top) * flip).imag) > _BENDS:
        bend = nodes[k]
    else:
        crossed = _crossed(level, top, hem)
        if crossed is None:
            raise DrawingError(
                said,
                "does not cross the shaping level",
                "each line is one above it and one below it",
                FRESH,
            )
        bend = crossed
    parts: list[tuple[complex, float, float, float]] = []
    for end in (top, hem):
        along = (end - bend) / abs(end - bend)
        own = nodes[: k + 1] if end is top else nodes[k:]
        if abs(((nodes[k] - top) * flip).imag) <= _BENDS:
            own = [bend, end]
        stray = max([abs(((z - bend) * along.conjugate()).imag) for z in own])
        hits = [hit for hit in seam.crossings(bend, along) if hit.along > ON_LINE]
        if not hits:
            # It lies along the seam, as the line does to which folds are brought at the edge cut on the fold; what of it runs
            # on through an allowance does not count.
            off = seam.nearest.of(bend).away
            if off > FOLD_BACK:
                raise DrawingError(
                    said,
                    f"has its bend {off:.2f} mm outside the flat piece, {where(bend)}",
                    "it lies on the piece",
                    FRESH,
                )
            spot = seam.nearest.of(end)
            at = spot.segment + spot.share
            meets = bend + along * ((seam.point(at) - bend) * along.conjugate()).real
            parts.append((meets, at, stray, 0.0))
            continue
        hit = min(hits, key=lambda hit: hit.along)
        parts.append((hit.point, hit.at, stray, max(0.0, hit.along - abs(end - bend))))
    (a, a_at, a_stray, a_short), (b, b_at, b_stray, b_short) = parts
    span = Span(line, a, b, a_at, b_at, max(a_short, b_short), max(a_stray, b_stray), other_half)
    return _Bent(span, bend, (a_stray, b_stray), (a_short, b_short))


def _crossed(level: Sequence[complex], top: complex, hem: complex) -> complex | None:
    # Where a straight line crosses the hip level, or passes an end of it by a hair.
    along = (hem - top) / abs(hem - top)
    off = [((z - top) * along.conjugate()).imag for z in level]
    for k in range(len(level) - 1):
        if off[k] == off[k + 1]:
            continue
        share = off[k] / (off[k] - off[k + 1])
        if -1e-6 <= share <= 1 + 1e-6:
            return level[k] + (level[k + 1] - level[k]) * share
    near = min(range(len(level)), key=lambda k: abs(off[k]))
    return level[near] if abs(off[near]) <= FOLD_BACK else None


def _turned(row: _Bent) -> _Bent:
    span = row.span._replace(top=row.span.hem, hem=row.span.top, top_at=row.span.hem_at, hem_at=row.span.top_at)
    return _Bent(span, row.bend, row.strays[::-1], row.short[::-1])


def _part(at: Span, row: _Bent, zone: str) -> Span:
    # The part of a line in one zone; its places on the seam are those of the whole.
    if zone == "above":
        return at._replace(hem=row.bend, bend=row.strays[0], short=row.short[0])
    return at._replace(top=row.bend, bend=row.strays[1], short=row.short[1])


def splits_of(
    said: str, outline: FoundOutline, order: Sequence[float], ends: Sequence[complex], zone: str
) -> tuple[float, float]:
    """Return where the hip level meets an outline, before the first crease and after the last, counted on like the creases.

    Args:
        said: what the outline is called.
        outline: the flat seam or cutting line.
        order: where the creases meet it in a zone: above the hip ascending, below it descending.
        ends: the two ends of the hip level.
        zone: "above" or "below".

    Raises:
        DrawingError: an end does not lie on the outline.
    """
    n = len(outline)
    found: list[float] = []
    for z in ends:
        spot = outline.nearest.of(z)
        if spot.away > FOLD_BACK_CUT:
            raise DrawingError(
                f"The shaping level of {said}",
                f"ends {spot.away:.2f} mm off the edge, {where(z)}",
                "it runs from side to side",
                FRESH,
            )
        found.append(spot.segment + spot.share)
    base = order[-1] if zone == "above" else order[0]
    onwards = sorted([(at - base) % n for at in found])
    nearer, farther = base + onwards[0], base + onwards[1]
    if zone == "above":
        return farther - n, nearer
    return nearer, farther - n


def zone_runs(
    outline: FoundOutline, order: Sequence[float], splits: tuple[float, float], zone: str
) -> list[tuple[tuple[Segment, ...], ...]]:
    """Return the raw edges of every layer in one zone: at its top and at its hem, of which one is empty.

    Args:
        outline: that creases cut.
        order: where they do in the zone: above the hip ascending, below it descending.
        splits: where the hip level meets it before the first crease and after the last, counted on alike.
        zone: "above" or "below".
    """
    left, right = splits

    def run(start: float, end: float) -> tuple[Segment, ...]:
        return tuple([outline.part(stretch) for stretch in outline.stretches(start, end)]) if end > start else ()

    if zone == "above":
        return [(run(left, order[0]),), *[(run(a, b), ()) for a, b in pairwise(order)], (run(order[-1], right),)]
    return [(run(order[0], left),), *[((), run(b, a)) for a, b in pairwise(order)], (run(right, order[-1]),)]


def _finished(name: str, number: int, lines: list[PatternLine], zone: str, role: str) -> FoundOutline | None:
    found = [line for line in lines if line.role == role and line.tag.zone == zone and line.closed]
    if len(found) != 1:
        if role != "finished-line" and not found:
            return None
        raise DrawingError(
            f"'{name}'",
            f"holds {len(found) or 'no'} {role.replace('-', ' ')}{'s' if len(found) > 1 else ''} for what lies {zone} its "
            "shaping level",
            "a fitted result keeps one for each zone in a hidden layer, to be proven against",
            "Make a fresh result with 'pleatsvg pleat', and leave its hidden layer in the file.",
        )
    return FoundOutline(found[0].strokes[0])


def _cover(finished: FoundOutline, corners: tuple[complex, complex], zone: str) -> tuple[float, float]:
    # From where to where the edges of a zone lie on its finished line: over the top from the first side to the last, or round
    # by the hem from the last to the first.
    spots = [finished.nearest.of(z) for z in corners]
    first, last = [spot.segment + spot.share for spot in spots]
    start, stop = (first, last) if zone == "above" else (last, first)
    return start, start + (stop - start) % len(finished)


def _free(lines: list[PatternLine], edge: tuple[complex, complex] | None, zone: str) -> tuple[Segment, ...]:
    # Edges that leave the outline by design lie at the hem.
    if zone == "above":
        return ()
    free = [seg for line in lines if line.role == "free-edge" for stroke in line.strokes for seg in stroke]
    if edge is not None:
        flip = reflection(*edge)
        free += [tuple([flip.of(z) for z in seg]) for seg in free]
    return tuple(free)


def _cutting(
    name: str,
    number: int,
    lines: list[PatternLine],
    edge: tuple[complex, complex] | None,
    centre: tuple[complex, complex] | None,
    zone: str,
) -> tuple[FoundOutline, FoundOutline] | None:
    flat = [line for line in lines if line.role == "cut-line" and line.closed]
    finished = _finished(name, number, lines, zone, "finished-cut-line")
    if len(flat) != 1 or finished is None:
        return None
    one = FoundOutline(flat[0].strokes[0])
    if edge is not None and centre is not None:
        one, finished = FoundOutline(doubled(one, edge)), FoundOutline(doubled(finished, centre))
    return one, finished
