"""Slash lines all round: shared out over the pieces of a ring, and the row that they make, from inside one panel to its like.

The round is cut open, for laying out alone, down the middle of the panel between its last pleat and its first: a line that lies
in one layer of cloth, whatever the underlays do. Lengths are in mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from pleatsvg.errors import FitError, RequestError
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, cut
from pleatsvg.length import show
from pleatsvg.order.piece_order import Order
from pleatsvg.order.placing import Placing
from pleatsvg.order.pleat_order import PleatOrder
from pleatsvg.piece.finished import FinishedPiece, Ring, StraightLine
from pleatsvg.piece.slash_lines import Chord, SlashSet, in_order, trimmed
from pleatsvg.pleats.allround.cover import Sides, laid_round, sides_of
from pleatsvg.pleats.placed_lines import line_at
from pleatsvg.pleats.refusals import OverSideError
from pleatsvg.pleats.requests import as_named, lines_for
from pleatsvg.tolerance import GRIT, JOIN_REACH, ON_FOLD, ON_LINE, SAME_SPOT, WIDEST_SHARE
from pleatsvg.wording import message, option


@dataclass(frozen=True, slots=True)
class AllRound:
    """A ring laid out, its slash lines, for each the order for its pleat, and remarks."""

    piece: FinishedPiece
    lines: list[StraightLine]
    orders: list[PleatOrder]
    remarks: list[str]


_Wanted = tuple[list[StraightLine], list[PleatOrder]]


def all_round(pieces: Sequence[FinishedPiece], order: Order, own: _Wanted | None = None) -> AllRound:
    """Return pieces laid out all round with their slash lines.

    Args:
        pieces: in order from left to right, each sewn to the next, the last to the first.
        order: with `ring`.
        own: lines and orders of the one piece, where they are known already.

    Raises:
        FitError: the pieces do not go round, or the lines do not.
        RequestError: what is asked for makes no sense all round.
    """
    assert order.ring is not None
    for piece in pieces:
        _refuse_unfit(piece, order)
    sides = [sides_of(piece, order.ring) for piece in pieces]
    lines: list[list[StraightLine]] = [[] for _ in sides]
    orders: list[list[PleatOrder]] = [[] for _ in sides]
    remarks: list[str] = []
    if own is not None:
        lines, orders = [list(own[0])], [list(own[1])]
    else:
        shared = [one for one in order.pleats if one.placing is not None and one.placing.gap is None]
        for one in shared:
            placed = _shared_out(sides, one.placing or Placing(), order.unit)
            for k, row in enumerate(placed):
                lines[k] += row
                orders[k] += [one] * len(row)
        rest = tuple([one for one in order.pleats if one not in shared])
        if rest or not shared:
            for k, side in enumerate(sides):
                found, asked, said = lines_for(side.piece, replace(order, pleats=rest))
                lines[k] += [_on_its_piece(side.piece, line, order.unit) for line in found]
                orders[k] += as_named(found, asked)
                remarks += [words for words in said if words not in remarks]
        elif any(side.piece.slashes for side in sides):
            remarks.append("The slash lines drawn on the pieces were left out, since lines were placed all round.")
    for side, row, own_orders in zip(sides, lines, orders, strict=True):
        for line, of_line in zip(row, own_orders, strict=True):
            _refuse_over_the_side(side, line, of_line, order.unit)
    reach = max(_reach(one) for row in orders for one in row) + max(
        _margin(side, row) for side, row in zip(sides, lines, strict=True)
    )
    if order.fit is not None:
        # Above the hip pleats take up more, by what vanishes in them, and the seam is joined on either side of the last edge.
        reach += WIDEST_SHARE + 2 * JOIN_REACH
    cover, lays = laid_round(sides, reach, order.unit)
    found = []
    for side, lay, row in zip(sides, lays, lines, strict=True):
        before = f"{side.piece.name}: " if len(sides) > 1 and own is None and not _is_shared(order) else ""
        found += [
            replace(line, name=f"{before}{line.name}", start=lay.of(line.start), end=lay.of(line.end)) for line in row
        ]
    return AllRound(cover, found, [one for row in orders for one in row], remarks)


def _refuse_over_the_side(sides: Sides, line: StraightLine, order: PleatOrder, unit: str) -> None:
    # A line along such a seam is a pleat over it; one that ends amid the seam would be slashed to a point inside the ring.
    outline = sides.piece.outline
    for edge in (sides.start, sides.end):
        ends = outline.point(edge.start), outline.point(edge.end)
        way = (ends[1] - ends[0]) / abs(ends[1] - ends[0])
        far = [(z - ends[0]) * way.conjugate() for z in (line.start, line.end)]
        amid = [w for w in far if abs(w.imag) <= ON_LINE and GRIT < w.real < abs(ends[1] - ends[0]) - GRIT]
        if not amid or all(abs(w.imag) <= ON_LINE for w in far):
            continue
        hem = ends[1] if edge is sides.end else ends[0]
        off = abs(amid[0] - (hem - ends[0]) * way.conjugate())
        raise OverSideError(
            f"Slash line '{line.name}'" if order.placing is None else f"The {line.name}",
            f"runs out over the {edge.name} of '{sides.piece.name}', {show(off, unit)} above the hem",
            "all round, that side is sewn to the next one, and every line runs from top to hem",
            "Draw it so that it ends on the hem."
            if order.placing is None
            else "Draw the lines instead, from top to hem.",
        )


def _on_its_piece(piece: FinishedPiece, line: StraightLine, unit: str) -> StraightLine:
    # A drawn line, trimmed to the piece that it is drawn on; laid out, it may not reach onto the next.
    chord = trimmed(piece.outline, line, unit)
    way = chord.hem - chord.top
    if abs(way.real) > abs(way.imag):
        raise FitError(
            f"The line '{line.name}'",
            "runs across the page, and so round the ring",
            "pleats all round run down from the top, over seams that do the same",
            message("Leave out {}: lines that run round are pleated piece by piece.", option("ring")),
        )
    return replace(line, start=chord.top, end=chord.hem)


def _is_shared(order: Order) -> bool:
    return any(one.placing is not None and one.placing.gap is None for one in order.pleats)


def _refuse_unfit(piece: FinishedPiece, order: Order) -> None:
    for unfit, words, remedy in (
        (piece.earlier is not None, "is a result that has pleats already", "Give the drawing that it was made from."),
        (piece.shared is not None, "has its neighbour laid against it", message("Leave out {}.", option("continue"))),
        (
            piece.fold_edge is not None or order.fold_edge is not None,
            "is cut on the fold",
            message("Add {}, which pleats the whole piece.", option("open_fold", True)),
        ),
        (
            piece.cut is not None or order.allowances.drawn is not None,
            "has a cutting line that is drawn",
            message("Draw the seam alone, and have the cutting line made with {}.", option("allowance", "15mm")),
        ),
        (any(one.pass_ > 1 for one in order.pleats), "is to have several passes", "Make one pass."),
        (order.smooth_hem, "is to have a smooth hem", message("Leave out {}.", option("hem", "smooth"))),
    ):
        if unfit:
            raise FitError(
                f"Piece '{piece.name}'", words, "pleats all round run over whole pieces, each sewn to the next", remedy
            )
    for one in order.pleats:
        if one.kind.kicks or one.separate:
            raise FitError(
                f"A {one.kind.noun}{' with a separate underlay' if one.separate else ''}",
                "is asked for all round",
                "the ring is closed by pleats that run from top to hem, in one with their underlays",
                message("Make it another kind, or leave out {}.", option("ring")),
            )


def _reach(order: PleatOrder) -> float:
    # No fold of a pleat lies farther from its line than it takes up.
    return max(order.intake_top, order.intake_hem) + order.face


def _margin(sides: Sides, row: Iterable[StraightLine]) -> float:
    # How far the nearest lines lie from the sides, and a little: half of that space is laid out beyond the round.
    outline = sides.piece.outline
    far = 0.0
    for edge in (sides.start, sides.end):
        a, b = outline.point(edge.start), outline.point(edge.end)
        along = (b - a) / abs(b - a)
        off = [abs(((z - a) * along.conjugate()).imag) for line in row for z in (line.start, line.end)]
        far = max(far, 2 * min(off, default=0.0))
    return far + 20.0


def _shared_out(sides: Sequence[Sides], placing: Placing, unit: str) -> list[list[StraightLine]]:
    # Lines at equal spaces all the way round, each placed on the piece where it lies.
    if placing.along is not None:
        raise RequestError(
            option("along"),
            f"is '{placing.along}'",
            "all round, lines are placed along the tops",
            "Leave it out.",
        )
    if placing.ends != "half":
        raise RequestError(
            option("ends"),
            "is given for lines all round",
            "a ring has no ends: the spaces are equal all the way",
            "Leave it out.",
        )
    around = sum(one.top_length for one in sides)
    if placing.spacing is not None:
        spots, count = _spaced(placing, around, unit)
    elif placing.count is not None:
        count = placing.count
        spots = [(k + 0.5) * around / count for k in range(count)]
    else:
        spots, count = [length.mm for length in placing.at], len(placing.at)
        for length in placing.at:
            if not 0 <= length.mm < around:
                raise FitError(
                    f"The line at {length}",
                    "would lie beyond the ring",
                    f"it is {show(around, unit)} all round",
                    message("Give {} a distance from its first seam.", option("at")),
                )
    rows: list[list[StraightLine]] = [[] for _ in sides]
    for number, spot in enumerate(spots, 1):
        name = f"line {number} of {count}"
        at = 0.0
        for k, one in enumerate(sides):
            if spot < at + one.top_length - ON_LINE or k == len(sides) - 1:
                rows[k].append(_line_on(one, spot - at, name, placing, unit))
                break
            at += one.top_length
    return rows


def _spaced(placing: Placing, around: float, unit: str) -> tuple[list[float], int]:
    assert placing.spacing is not None
    step = placing.spacing.mm
    count = max(1, round(around / step))
    off = abs(around / count - step)
    if off * count > ON_FOLD or (placing.count is not None and placing.count != count):
        low = max(1, int(around / step))
        raise FitError(
            f"A spacing of {placing.spacing}",
            f"does not go into {show(around, unit)} all round: {around / step:.2f} times"
            if placing.count is None
            else f"and {placing.count} pleats make {show(step * placing.count, unit)}, and the ring is {show(around, unit)}",
            f"{low} pleats lie {show(around / low, unit)} apart, {low + 1} lie {show(around / (low + 1), unit)}",
            message(
                "Leave out {} and give {}.", option("spacing"), option("count", low + (around / step - low >= 0.5))
            ),
        )
    start = placing.at[0].mm if placing.at else around / count / 2
    spots = sorted([(start + k * around / count) % around for k in range(count)])
    return spots, count


def _line_on(sides: Sides, distance: float, name: str, placing: Placing, unit: str) -> StraightLine:
    outline = sides.piece.outline
    if distance <= ON_LINE:
        return StraightLine(name, outline.point(sides.start.end), outline.point(sides.start.start))
    place = outline.sewn_walk(sides.start.end, distance)
    return line_at(sides.piece, place, name, placing.run, unit)


def ring_row(piece: FinishedPiece, used: list[StraightLine], unit: str) -> tuple[FinishedPiece, SlashSet]:
    """Return a ring with nodes where its round begins and ends, and its lines in a row between these.

    Raises:
        SlashError: the lines do not stand in a row.
        FitError: they run across, or there is no cloth to cut the round open along.
    """
    ring = piece.ring
    assert ring is not None
    lines = in_order(piece.outline, used, unit)
    if not lines.upright:
        raise FitError(
            f"The lines on '{piece.name}'",
            "run across the page, and so round the ring",
            "pleats all round run down from the top, over seams that do the same",
            message("Leave out {}: lines that run round are pleated piece by piece.", option("ring")),
        )
    outline, places = _opened(piece.outline, ring, lines.chords)
    piece = replace(piece, outline=outline)
    lines = in_order(outline, used, unit)
    first, last = (Chord(float(top), float(hem), outline.point(top), outline.point(hem)) for top, hem in places)
    for chord in (first, last):
        way = chord.hem - chord.top
        hits = [hit.along for hit in outline.crossings(chord.top, way / abs(way))]
        if any(1e-3 < along < abs(way) - 1e-3 for along in hits):
            raise FitError(
                f"The panel of '{piece.name}' between its last pleat and its first",
                "has a hollow seam, so that no straight line down its middle lies on it",
                "the round is laid out from such a line to the next like it",
                "Place the lines so that a pleat lies nearer to that seam.",
            )
    return piece, replace(lines, first=first, last=last, ring=True)


def _opened(
    outline: Outline, ring: Ring, chords: Sequence[Chord]
) -> tuple[Outline, tuple[tuple[int, int], tuple[int, int]]]:
    # The outline with nodes half-way between the last line and the first one of the next round, at the top and the hem,
    # and one round before that: which nodes these are, top and hem, for the beginning and for the end of the round.
    first, last = chords[0], chords[-1]
    begin, end = ring.tops
    to_end = _signed(outline, last.top_at, float(end))
    half = (to_end + _signed(outline, float(begin), first.top_at)) / 2
    top_end = _walked(outline, float(end), half - to_end)
    top_begin = _walked(outline, float(begin), half - to_end)
    right, left = ring.hems
    to_end = _signed(outline, float(right), last.hem_at)
    half = (to_end + _signed(outline, first.hem_at, float(left))) / 2
    hem_end = _walked(outline, float(right), to_end - half)
    hem_begin = _walked(outline, float(left), to_end - half)
    # A line that all but meets a node goes through it, here and one round on, so that no hair of an edge comes of it.
    if _near_node(outline, top_end):
        top_begin, top_end = float(round(top_begin)), float(round(top_end))
    if _near_node(outline, hem_end):
        hem_begin, hem_end = float(round(hem_begin)), float(round(hem_end))
    wanted = [top_begin, top_end, hem_end, hem_begin]
    segments: list[Segment] = []
    nodes: list[int] = []
    spots = iter([*wanted, float("inf")])
    spot = next(spots)
    for index, seg in enumerate(outline.segments):
        t = 0.0
        while spot < index + 1 - SAME_SPOT:
            share = spot - index
            if share > SAME_SPOT and share - t > SAME_SPOT:
                segments.append(cut(seg, t, share))
                t = share
            nodes.append(len(segments))
            spot = next(spots)
        segments.append(seg if t == 0.0 else cut(seg, t, 1.0))
    made = Outline(tuple([(segments[k - 1][-1], *seg[1:]) for k, seg in enumerate(segments)]))
    return made, ((nodes[0], nodes[3]), (nodes[1], nodes[2]))


def _near_node(outline: Outline, place: float) -> bool:
    return outline.distance(place, float(round(place))) <= GRIT


def _signed(outline: Outline, start: float, end: float) -> float:
    far = outline.sewn_distance(start, end)
    return far if end >= start else -far


def _walked(outline: Outline, start: float, far: float) -> float:
    # So many mm on along the seam, or back.
    if far >= 0:
        return outline.sewn_walk(start, far)
    return outline.sewn_walk(0.0, outline.sewn_distance(0.0, start) + far)
