"""Fitting a piece: its panels closed above the hip, pleats laid out on what they become and on what lies below."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from pleatsvg.errors import FitError, near_names
from pleatsvg.fitted.by_darts import OnTop, darts_along, depths_at, refuse_across, refuse_beside_top, shares_by_darts
from pleatsvg.fitted.closed import Closed, Once, Top, closed_to, top_of, walked
from pleatsvg.fitted.closing.all_round import EdgesLaidOut, edges_laid_out
from pleatsvg.fitted.edges import PleatEdge, edges_of_pleats, way_of_hip
from pleatsvg.fitted.lower import Hip, Lower, Sources, ended_at_border, hip_level, level_of, lower_piece
from pleatsvg.fitted.refusals import refuse_closed_over_itself, refuse_untoward
from pleatsvg.fitted.shares import shares_of
from pleatsvg.fitted.spliced import Spliced, laid_on_panels, spliced
from pleatsvg.fitted.upper import Upper, laid_above, once_round, upper_piece
from pleatsvg.flat.cutting_line import all_produced
from pleatsvg.flat.once_round import FlatEdge, flat_edge
from pleatsvg.flat.unfold import begun, lines_across, unfolded_each
from pleatsvg.geometry.motion import Motion, moved, reflection
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, heading
from pleatsvg.length import show
from pleatsvg.order.fit import FitTo
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.piece.cutting.cutting_line import Cutting, cutting_line
from pleatsvg.piece.cutting.pressed_darts import pressed_darts
from pleatsvg.piece.finished import FinishedPiece, Ring
from pleatsvg.piece.slash_lines import Chord, SlashSet, lengths_once_round
from pleatsvg.pleats.laid import LaidPleat, PleatRequest
from pleatsvg.tolerance import FITTED_OFF, JOIN_REACH, RUN_ON, SEAM_MARK
from pleatsvg.wording import message, option


@dataclass(frozen=True, slots=True)
class Fitted:
    """A piece to be fitted, above and below the hip.

    Attributes:
        asked: what it is fitted to.
        waist: the length of its folded top, mm.
        drawn: its slash lines, on the outline as drawn.
        edges: of its pleats.
        shares: of each edge in what vanishes at the top, as asked, mm.
        top: of the drawn piece.
        hip: the hip level.
        closed: the panels as closed.
        upper, lower: the two pieces that are pleated.
        above: the pleats laid out on the upper one.
        cutting, cutting_above: the cutting line of the drawn piece, and that of the upper one; None where there is none.
        cut_sources: for each segment of the latter None where it lies along the hip.
        edge_of: for each segment of the drawn outline, the number of its seam edge.
        taken: the darts that its pleats take in.
        laid_out, closed_all: of a piece that goes all round, its edges and its panels as closed on all the cloth that is laid
            out; `edges`, `shares` and `closed` are those of one round.
    """

    asked: FitTo
    waist: float
    drawn: SlashSet
    edges: tuple[PleatEdge, ...]
    shares: tuple[float, ...]
    top: Top
    hip: Hip
    closed: Closed
    upper: Upper
    lower: Lower
    above: tuple[LaidPleat, ...]
    cutting: Cutting | None
    cutting_above: Cutting | None
    cut_sources: Sources
    edge_of: tuple[int, ...]
    taken: tuple[OnTop, ...] = ()
    laid_out: EdgesLaidOut | None = None
    closed_all: Closed | None = None

    @property
    def panels(self) -> list[Motion | None]:
        """Of the panels between pleats, the motion that closes each; None for hidden cloth beside a fold edge."""
        found: list[Motion | None] = [None if self.edges[0].on_fold > 0 else self.closed.motions[0]]
        for k, edge in enumerate(self.edges, 1):
            if k == len(self.edges) or self.edges[k].pleat != edge.pleat:
                found.append(self.closed.motions[k])
        if self.edges[-1].on_fold < 0:
            found[-1] = None
        return found

    @property
    def lengths(self) -> dict[int, float]:
        """By the number of a drawn seam edge, its length in mm when the piece is fitted, where that is another one."""
        found: dict[int, float] = {}
        numbers = {self.edge_of[math.floor(edge.chord.top_at) % len(self.edge_of)] for edge in self.edges}
        if self.drawn.ring:
            of = [None if k is None or self.edge_of[k] not in numbers else self.edge_of[k] for k in self.upper.sources]
            return lengths_once_round(self.upper.lines, of)
        sewn = {k % len(self.edge_of) for d in self.drawn.outline.darts for k in range(d.start, d.end)}
        half = len(self.drawn.outline) // 2 if self.drawn.first or self.drawn.last else None
        if len(numbers) == 1 and half is None:
            return {numbers.pop(): self.closed.length}  # all pleats begin on one edge, which is the top
        for k, source in enumerate(self.upper.sources):
            if (
                source is not None
                and self.edge_of[source] in numbers
                and source not in sewn
                and (half is None or source < half)
            ):
                number = self.edge_of[source]
                found[number] = found.get(number, 0.0) + self.upper.lines.outline.lengths[k]
        return found

    def drawn_above(self, edges: Sequence[FlatEdge]) -> list[FlatEdge]:
        """Return edges of the upper piece, each with what it is of the drawn seam; the fold edge is numbered after the last."""
        rest = len(self.drawn.outline)
        # What is no part of the seam has -1, and stays so.
        drawn = [*[rest if source is None else source for source in self.upper.sources], rest, -1]
        return [flat_edge((points, layer, (drawn[k], t0, t1))) for points, layer, (k, t0, t1) in edges]

    def drawn_below(self, edges: Sequence[FlatEdge]) -> list[FlatEdge]:
        """Return the same of edges of the lower piece."""
        sources, rest = (*self.lower.sources, None), len(self.drawn.outline)
        n = len(self.lower.sources)
        made: list[FlatEdge] = []
        for edge in edges:
            points, layer, (index, t0, t1) = edge
            source = sources[min(index, n)]
            if source is not None and index >= 0:
                number, start, end = source
                origin = number, start + (end - start) * t0, start + (end - start) * t1
                edge = flat_edge((points, layer, origin))
            elif index >= 0:
                edge = flat_edge((points, layer, (rest, t0, t1)))
            made.append(edge)
        return made


def hip_line(piece: FinishedPiece, asked: FitTo) -> tuple[Segment, ...] | None:
    """Return the balance line from which the pleats are shaped; None where a length says it.

    Raises:
        FitError: no balance line of that name is drawn.
    """
    if asked.hip is None:
        return None
    balance = [shape for shape in piece.shapes if shape.part == "balance" and not shape.closed]
    wanted = _plain(asked.hip)
    # What has no name of its own is counted on its layer: the name of that layer will do where there is one.
    found = [s for s in balance if _plain(s.name) == wanted] or [s for s in balance if _plain(s.family) == wanted]
    if len(found) > 1 and piece.ring is not None:
        _refuse_not_met(piece, piece.ring, [shape.stroke for shape in found], asked)
    if len(found) != 1:
        raise FitError(
            f"The balance line '{asked.hip}'",
            f"is drawn {len(found)} times on '{piece.name}'" if found else f"is not on '{piece.name}'",
            near_names(asked.hip, [shape.name for shape in balance]) if balance else "no balance line is drawn on it",
            message("Give the name of one line, such as 'hip', or {} instead.", option("fit_length", "20cm")),
        )
    # Drawn from side to side, or short of it: run on as far as slash lines are.
    stroke = found[0].stroke
    start, end = stroke[0][0], stroke[-1][-1]
    before, after = start - heading(stroke[0], 0.0) * RUN_ON, end + heading(stroke[-1], 1.0) * RUN_ON
    return ((before, start), *stroke, (end, after))


def _plain(name: str) -> str:
    return " ".join(name.replace("_", " ").split()).casefold()


def _refuse_not_met(piece: FinishedPiece, ring: Ring, strokes: Sequence[tuple[Segment, ...]], asked: FitTo) -> None:
    # Of pieces that go round, each with such a line of its own: at every seam two of them end, at one point.
    ends = [z for stroke in strokes for z in (stroke[0][0], stroke[-1][-1])]
    ends += [image for z in ends for image in (ring.period.of(z), ring.period.back(z))]
    for seam in ring.seams[1:]:
        way = (seam.end - seam.start) / abs(seam.end - seam.start)
        along = [((z - seam.start) * way.conjugate()) for z in ends]
        there = [w.real for w in along if abs(w.imag) <= SEAM_MARK * 10 and 0 <= w.real <= abs(seam.end - seam.start)]
        if there and max(there) - min(there) > SEAM_MARK:
            raise FitError(
                f"The line '{asked.hip}' of one piece and that of the next",
                f"meet the {seam.name} of '{piece.name}' {show(max(there) - min(there), asked.unit)} apart",
                "pleats all round are shaped from one level, which runs on over every seam",
                message("Draw both to one point of that seam, or give {} instead.", option("fit_length", "20cm")),
            )


def fit_piece(
    piece: FinishedPiece,
    asked: FitTo,
    ground: BothHalves,
    lines: SlashSet,
    requests: Sequence[PleatRequest],
    cutting: Cutting | None,
    dart_lies: tuple[str, ...] = (),
    weights: Mapping[int, float] | None = None,
    shares: Mapping[int, float] | None = None,
) -> Fitted:
    """Return a piece closed above the hip, and the pleats laid out on what it becomes.

    Args:
        piece: as drawn.
        asked: what it is fitted to.
        ground: what its pleats are laid out on.
        lines: the slash lines in order, on the outline as drawn.
        requests: one for each; the intake at the top holds at the hip point.
        cutting: the finished cutting line, or None.
        dart_lies: which way drawn darts are pressed.
        weights: by pleat, how much vanishes in it beside the others; left out, 1.
        shares: by pleat, how much vanishes in it, mm; the others share the rest.

    Raises:
        FitError: it cannot be fitted so.
    """
    unit = asked.unit
    hip = hip_line(piece, asked)
    taken = darts_along(piece, lines)
    down = asked.down if asked.down is not None or hip is None else 0.0
    downs = [down] * len(requests) if down is not None else depths_at(lines, taken)
    edges = edges_of_pleats(lines, requests, hip, asked.hip or "", downs, unit, asked.curved)
    top = top_of(lines, edges)
    refuse_beside_top(taken, top)
    waist = asked.waist if asked.waist is not None else top.length - sum([one.taken.width for one in taken])
    surplus = top.length - waist
    if surplus < -FITTED_OFF:
        raise FitError(
            message("{} on '{}'", option("fit_waist", show(waist, unit)), piece.name),
            f"is longer than the top {'with its darts open' if taken else 'as drawn'}, {show(top.length, unit)}",
            "what is shaped away makes a top shorter",
            "Give the length of this piece's own top, of a half piece the half; or draw the top longer.",
        )
    found = (
        shares_by_darts(lines, edges, taken, surplus, weights or {}, shares or {}, unit)
        if taken
        else shares_of(edges, surplus, weights or {}, shares or {}, unit)
    )
    ring = piece.ring
    # Cloth that is laid out all round has sides, too: what beyond one round is laid out of the next and of the one before.
    plain = lines if ring is None else replace(lines, first=None, last=None)
    laid_out = edges_laid_out(lines, ring, edges, found)
    every = laid_out.edges
    whole = top if ring is None else replace(top_of(plain, every), length=top.length)
    once = None if ring is None else Once(laid_out.once, top.start, top.stop)
    closed_all = closed_to(plain, every, whole, laid_out.shares, waist, unit, once)
    closed = closed_all if ring is None else closed_all.once(laid_out.once)
    level = hip_level(plain, every, whole, way_of_hip(every, lines, hip), asked.level)
    refuse_untoward(edges, closed, asked.level, unit)
    if lines.outline.darts:
        refuse_across(lines, level.border, unit)
    outline = lines.outline
    n = len(outline)
    left = [] if plain.first is not None else outline.stretches(level.places[0], whole.start + n)
    right = [] if plain.last is not None else outline.stretches(whole.stop, level.places[1])
    sides = tuple([[(outline.part(s), s.segment) for s in way] for way in (left, right)])
    upper = upper_piece(plain, every, closed_all, (sides[0], sides[1]), level.ends)
    refuse_closed_over_itself(upper.lines.outline, closed.leans, asked.level)
    above: Cutting | None = None
    cut_sources: Sources = ()
    if cutting is not None:
        if cutting.drawn:
            from pleatsvg.fitted.closing.drawn_cut import drawn_cut_closed  # most are made

            above, cut_sources = drawn_cut_closed(plain, every, closed_all, level.ends, cutting, unit)
        else:
            parts = plain, every, closed_all, level, upper
            above, cut_sources = _cutting_above(piece, ground, parts, cutting, dart_lies)
    lower = lower_piece(lines, edges, level, cutting)
    if ring is not None:
        upper = once_round(upper, lines, every, closed_all, laid_out.once)
        begin, end = lower.lines.first, lower.lines.last
        assert begin is not None
        assert end is not None
        level = replace(level, ends=(begin.top, end.top))
    if cutting is not None and above is not None and (ring is not None or cutting.drawn):
        by_seam = [0.0 if source is None else cutting.distances[source] for source in upper.sources]
        above = replace(above, distances=tuple(by_seam))
    return Fitted(
        asked=asked,
        waist=waist,
        drawn=lines,
        edges=edges,
        shares=found,
        top=top,
        hip=level,
        closed=closed,
        upper=upper,
        lower=lower,
        above=laid_above(upper, edges, closed.leans, requests, unit),
        cutting=cutting,
        cutting_above=above,
        cut_sources=cut_sources,
        edge_of=ground.edge_of,
        taken=taken,
        laid_out=None if ring is None else laid_out,
        closed_all=None if ring is None else closed_all,
    )


def _cutting_above(
    piece: FinishedPiece,
    ground: BothHalves,
    fitted: tuple[SlashSet, Sequence[PleatEdge], Closed, Hip, Upper],
    cutting: Cutting,
    dart_lies: tuple[str, ...],
) -> tuple[Cutting, Sources]:
    # The parallel of the closed piece's seam, at the distances of the drawn one's. Its sides are first run on below the hip
    # level, so that they end there as the cutting line of the whole side does.
    lines, edges, closed, hip, upper = fitted
    outline, n = lines.outline, len(lines.outline)
    more = 2 * max(cutting.distances) + JOIN_REACH
    rows: list[list[tuple[Segment, int]]] = [[], []]
    for k, (fold, here, hem) in enumerate(
        ((lines.first, hip.places[0], edges[0].chord.hem_at), (lines.last, hip.places[1], edges[-1].chord.hem_at))
    ):
        if fold is None:
            far = more
            if abs(edges[-k].chord.hem - hip.ends[k]) < 2 * more:  # no more than half the way to the hem
                far = min(more, outline.distance(*sorted((here, hem))) / 2)
            far = walked(outline, here, hem, far)
            own = closed.motions[-1 if k else 0]
            rows[k] = [(moved(outline.part(s), own), s.segment) for s in outline.stretches(*sorted((here, far)))]
    fold = upper.lines.first or upper.lines.last
    if fold is not None:
        flip = reflection(fold.top, fold.hem)
        k = 0 if lines.last is not None else 1
        rows[1 - k] = [(moved(seg, flip)[::-1], n - 1 - source) for seg, source in reversed(rows[k])]
    real = list(zip(upper.lines.outline.segments[: upper.real], upper.sources, strict=False))
    chain: list[tuple[Segment, int | None]] = [*rows[0], *real, *rows[1]]
    # From the one side to the other beneath the hip points, as far below them: the whole may turn by more than a half round.
    down = min([more, *[edge.below / 2 for edge in edges]])
    feet = [closed.motions[k].of(edge.hip - edge.upwards * down) for k, edge in enumerate(edges) if not edge.on_fold]
    if fold is not None:
        middle = fold.hem + (fold.hem - fold.top) / abs(fold.hem - fold.top) * down
        other = [flip.of(z) for z in reversed(feet)]
        feet = [*other, middle, *feet] if lines.first is not None else [*feet, middle, *other]
    spots = [chain[-1][0][-1], *reversed(_thinned(feet, down / 2)), chain[0][0][0]]
    chain += [(line, None) for line in pairwise(spots)]
    joined = tuple([(chain[k - 1][0][-1], *seg[1:]) for k, (seg, _) in enumerate(chain)])
    longer = Outline(joined).as_part_of(outline)
    at_hip = -1
    by_edge = dict(zip(ground.edge_of, cutting.distances, strict=True)) | {at_hip: 0.0}
    edge_of = tuple([at_hip if source is None else ground.edge_of[source] for _, source in chain])
    halves = BothHalves(longer, ground.edges, edge_of, (True,) * len(chain), ground.fold)
    darts = pressed_darts(piece, halves, dart_lies) if longer.darts else ()
    made = cutting_line(piece.name, halves, by_edge, False, darts)
    segments = upper.lines.outline.segments
    border = [seg[0] for seg in segments[upper.real :]] + [segments[0][0]]
    cut, sources = ended_at_border(made.outline, border[::-1], max(cutting.distances))
    distances = tuple([0.0 if source is None else cutting.distances[source] for source in upper.sources])
    return Cutting(cut, distances, level=level_of(upper.real, len(segments), sources)), sources


def _thinned(spots: list[complex], most: float) -> list[complex]:
    # Of many spots in a row so few that the ways from one to the next pass no other farther off than so many mm.
    n = len(spots)
    if n < _MANY_FEET:
        return spots
    row, numbers = np.array(spots), np.arange(n)
    for step in (8, 4, 2):
        kept = np.append(numbers[: n - 1 : step], n - 1)
        before = np.minimum(numbers // step, len(kept) - 2)
        start, way = row[kept[before]], row[kept[before + 1]] - row[kept[before]]
        off, long = (row - start) * way.conj(), np.abs(way)
        if (np.abs(off.imag) <= most * long).all() and (off.real >= 0).all() and (off.real <= long * long).all():
            return [spots[k] for k in kept.tolist()]
    return spots


_MANY_FEET = 12
"""Spots beneath the hip points from which on fewer of them will do to close a piece below."""


def flat_of(
    fitted: Fitted,
    pleats: tuple[LaidPleat, ...],
    smooth_hem: bool = False,
    joins: Sequence[int] = (),
    join_allowance: float = 0.0,
    farther: Mapping[int, float] | None = None,
) -> Spliced:
    """Return the flat piece.

    Args:
        fitted: the piece above and below the hip.
        pleats: laid out on the lower one.
        smooth_hem: the hem runs smoothly over hidden cloth.
        joins: the creases at which it is parted, ascending.
        join_allowance: beyond each of them, mm.
        farther: how much farther than usual the parts are set apart at some of the joins, mm.

    Raises:
        FitError: fold lines meet inside the allowance at the top.
    """
    upper, lower = fitted.upper, fitted.lower
    levels: list[tuple[int, int] | None] = [
        # What lies along the level is left out at once where the piece is not parted.
        (real, len(lines.outline)) if not joins else None
        for lines, real in ((lower.lines, lower.sources.index(None)), (upper.lines, upper.real))
    ]
    produced: Sequence[dict[int, Chord] | None] = (None, None)
    if lower.cutting is not None and fitted.cutting_above is not None:
        produced = all_produced(
            [
                (cutting, lines_across(zone.lines, laid))
                for cutting, zone, laid in ((lower.cutting, lower, pleats), (fitted.cutting_above, upper, fitted.above))
            ]
        )
    first = begun(
        lower.lines,
        pleats,
        lower.cutting,
        joins,
        join_allowance,
        smooth_hem,
        farther=farther,
        level=levels[0],
        produced=produced[0],
    )
    # Parts lie as far apart above the hip as below it; all round, the last one is laid before the first in any case.
    known = first.flat.joins[: -1 if upper.lines.ring else None]
    apart = {join.crease: join.after[0] - join.before[0] for join in known}
    other = begun(
        upper.lines,
        fitted.above,
        fitted.cutting_above,
        joins,
        join_allowance,
        apart=apart,
        level=levels[1],
        produced=produced[1],
    )
    below, above = unfolded_each([first, other])
    if above.trimmed:
        raise FitError(
            "The allowance at the top",
            "is so wide that fold lines meet inside it",
            "above the seam of a fitted top each fold has its own cloth",
            message("Take a smaller {} there, or a larger intake.", option("allowance")),
        )
    above, slide = laid_on_panels(above, below, fitted.panels)
    return spliced(
        above,
        below,
        (_along_hip(upper.sources), _along_hip(lower.sources)),
        (_along_hip(fitted.cut_sources), _along_hip(lower.cut_sources)),
        (fitted.drawn_above, fitted.drawn_below),
        slide,
    )


def _along_hip(sources: Sequence[object]) -> frozenset[int]:
    return frozenset([k for k, source in enumerate(sources) if source is None])


def on_drawn_lines(fitted: Fitted, pleats: tuple[LaidPleat, ...]) -> tuple[SlashSet, tuple[LaidPleat, ...]]:
    """Return the slash lines as drawn, and the pleats laid out below the hip with their lines run on up to the top.

    What else is drawn on the piece goes with its panel, above the hip as below.
    """
    longest = {edge.pleat: 0.0 for edge in fitted.edges}
    for edge in fitted.edges:
        longest[edge.pleat] = max(longest[edge.pleat], edge.length)
    return fitted.drawn, tuple([_run_on(pleat, longest[pleat.number], 0.0) for pleat in pleats])


def past_the_hip(pleats: tuple[LaidPleat, ...]) -> tuple[LaidPleat, ...]:
    """Return the pleats laid out above the hip with their lines run on a little below it.

    The hip level of hidden cloth runs from fold to fold, and a line that is drawn along the hip lies now on the one side of
    it and now on the other.
    """
    return tuple([_run_on(pleat, 0.0, RUN_ON) for pleat in pleats])


def _run_on(pleat: LaidPleat, above: float, below: float) -> LaidPleat:
    known: dict[int, Chord] = {}

    def longer(chord: Chord) -> Chord:
        if id(chord) not in known:
            way = (chord.top - chord.hem) / abs(chord.top - chord.hem)
            known[id(chord)] = chord._replace(top=chord.top + way * above, hem=chord.hem - way * below)
        return known[id(chord)]

    return replace(
        pleat,
        folds=tuple([fold._replace(chord=longer(fold.chord)) for fold in pleat.folds]),
        placements=tuple([one._replace(chord=longer(one.chord)) for one in pleat.placements]),
        first=longer(pleat.first),
        last=longer(pleat.last),
    )
