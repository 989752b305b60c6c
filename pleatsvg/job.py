"""The whole job as one function of named steps: a finished piece and an order go in, a proven flat piece comes out."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate, islice, pairwise

import numpy as np

from pleatsvg.allowance import NO_ALLOWANCE
from pleatsvg.carry import Carriage, carry
from pleatsvg.cutting import Cutting, cutting_line, distances_of
from pleatsvg.drawncut import drawn_cutting, inside_of
from pleatsvg.earlier import Earlier
from pleatsvg.errors import FitError, ProofError, RequestError, SlashError, listed, near_names
from pleatsvg.fold import FoldBack, Target, fold_back
from pleatsvg.ground import Ground, fold_edge_of, ground_of, ground_of_lines, opened
from pleatsvg.joins import joins_for_width
from pleatsvg.kinds import KINDS
from pleatsvg.layout import LaidPleat, PleatRequest, lay_out
from pleatsvg.legs import FlatEdge
from pleatsvg.length import show
from pleatsvg.marking import Marking
from pleatsvg.motion import moved
from pleatsvg.order import Order, PleatOrder, unit_said, worded
from pleatsvg.outline import Outline
from pleatsvg.passes import Made, earlier_after, on_page, prove_earlier, shapes_after, slash_through, take_through
from pleatsvg.piece import FinishedPiece, StraightLine
from pleatsvg.segment import cut
from pleatsvg.selfcross import self_crossing
from pleatsvg.sheet import Sheet, Subject, lay_on_sheet
from pleatsvg.slash import SlashSet, in_order, placed_lines, run_of_lines, trimmed
from pleatsvg.stitching import stitching_lines
from pleatsvg.tolerance import CENTRE_BAND, DECIMALS, FLAT_GRAIN, FOLD_BACK, HEM_WEDGE, ON_FOLD, ON_LINE
from pleatsvg.unfold import FlatLine, Join, Unfolded, layers_lie_apart, unfold
from pleatsvg.words import lap_name, numbers_in_words, pleat_words


@dataclass(frozen=True, slots=True)
class PleatFacts:
    """One pleat of a result.

    Attributes:
        number, name: its number and its slash line's name.
        request: what was asked.
        intake_top, intake_hem: measured in mm on the result's own lines, from fold line to placement line.
        grain_degrees: the largest angle of its outer folds to the grain, or None where no grainline is drawn.
    """

    number: int
    name: str
    request: PleatRequest
    intake_top: float
    intake_hem: float
    grain_degrees: float | None


@dataclass(frozen=True)
class PleatedPiece:
    """A flat piece, proven, with all its marks, in mm on the page of its result.

    Attributes:
        finished: the piece as drawn.
        ground: what the pleats were laid out on: the piece, or both halves of one that is cut on the fold.
        lines: the slash lines in order, on the outline that they were laid out on.
        pleats: laid out on the finished piece.
        flat: seam, creases and placement lines as written: moved onto the page and rounded.
        finished_on_page, finished_cut: the finished seam and cutting line laid on the first panel, as written.
        cutting: the finished piece's cutting line, or None.
        grain: the carried grainline as written, or None.
        proof, cut_proof: the fold-back of the seam and of the cutting line as written.
        facts: pleat by pleat.
        carriage: everything else drawn on the piece, in the flat piece's coordinates before it is laid on the page.
        sheet: the marks, the lettering and the page.
        remarks: for the person, in plain words.
        marking: how it is marked.
        unit: of lengths in words.
    """

    finished: FinishedPiece
    ground: Ground
    lines: SlashSet
    pleats: tuple[LaidPleat, ...]
    flat: Unfolded
    finished_on_page: Target
    finished_cut: Target | None
    cutting: Cutting | None
    grain: tuple[complex, complex] | None
    proof: FoldBack
    cut_proof: FoldBack | None
    facts: tuple[PleatFacts, ...]
    carriage: Carriage
    sheet: Sheet
    remarks: tuple[str, ...]
    marking: Marking
    unit: str
    number: int = 1
    """Of this pass."""

    earlier: Earlier | None = None
    """What earlier passes left, as written."""

    before: PleatedPiece | None = None
    """The pass before, where it was made in the same job."""

    unfolded: Unfolded | None = None
    """The flat piece before it was laid on the page, in the drawing's coordinates."""

    allowance_words: str = ""
    """What is said of the allowances."""

    earlier_miss: float = 0.0
    """The largest miss of a line of an earlier pass when this one is folded back, in mm."""

    @property
    def name(self) -> str:
        """What the piece is called."""
        return self.finished.name

    @property
    def first(self) -> PleatedPiece:
        """The first pass of the job that made it."""
        return self if self.before is None else self.before.first

    @property
    def count(self) -> int:
        """How many pleats it has, those of earlier passes too."""
        return len(self.facts) + (len(self.earlier.told) if self.earlier is not None else 0)

    @property
    def worst_miss(self) -> float:
        """The largest miss of the fold-back of any pass made in this job, in mm."""
        return max(self.proof.worst, self.earlier_miss, self.before.worst_miss if self.before is not None else 0.0)

    @cached_property
    def top_lengths(self) -> tuple[float, float]:
        """Length in mm of the seam that the line tops lie on, from corner to corner: finished and flat."""
        return self._lengths(0)

    @cached_property
    def hem_lengths(self) -> tuple[float, float]:
        """Length in mm of the seam that the line hems lie on, from corner to corner: finished and flat."""
        return self._lengths(1)

    def _lengths(self, end: int) -> tuple[float, float]:
        outline = self.lines.outline
        places = [fold.chord.hem_at if end else fold.chord.top_at for pleat in self.pleats for fold in pleat.folds]
        if end:
            places.reverse()
        corners = outline.edge_corners or (0,)
        n = len(outline)
        start = float(max(c + k * n for c in corners for k in (-2, -1, 0, 1) if c + k * n <= min(places) + 1e-9))
        stop = float(min(c + k * n for c in corners for k in (0, 1, 2, 3) if c + k * n >= max(places) - 1e-9))
        before, after = self.lines.first, self.lines.last
        if end:
            before, after = after, before
        if before is not None:
            start = before.hem_at if end else before.top_at
        if after is not None:
            stop = after.hem_at if end else after.top_at
        finished = outline.sewn_distance(start, stop)
        way = [0.0, *[outline.sewn_distance(start, at) for at in places], finished]
        return finished, sum([abs(b - a) for a, b in pairwise(way)])


def pleat_piece(piece: FinishedPiece, order: Order) -> PleatedPiece:
    """Do the whole job on one piece.

    Raises:
        PleatError: the order does not fit the piece; nothing is made.
    """
    piece, ground, remarks = _on_its_ground(piece, order)
    lines_used, asked_of, said = _lines(piece, order)
    remarks += said
    orders = _as_named(lines_used, asked_of)
    if not order.pleats:
        order = replace(order, unit=unit_said([line.name for line in lines_used]) or order.unit)
    numbers = sorted({asked.pass_ for asked in orders})
    if piece.earlier is not None and numbers[0] > 1:  # counted on from the passes that the result has had
        orders = [replace(asked, pass_=asked.pass_ - piece.earlier.passes) for asked in orders]
        numbers = sorted({asked.pass_ for asked in orders})
    if numbers != list(range(1, len(numbers) + 1)):
        raise RequestError(
            "The passes",
            f"are numbered {listed([str(number) for number in numbers])}",
            "the first pass is 1, the next 2",
            "Number them without a gap.",
        )
    if len(numbers) == 1:
        return _one_pass(piece, ground, order, lines_used, orders, {line.name for line in lines_used}, remarks)
    return _in_passes(piece, ground, order, lines_used, orders, remarks)


def _in_passes(
    piece: FinishedPiece,
    ground: Ground,
    order: Order,
    lines_used: list[StraightLine],
    orders: list[PleatOrder],
    remarks: list[str],
) -> PleatedPiece:
    # Each pass is made on the flat piece of the one before. Lines of later passes are taken through all earlier ones.
    if order.cloth_width is not None or any(asked.separate or asked.kind.kicks for asked in orders):
        raise RequestError(
            "Kick pleats, separate underlays and --cloth-width",
            "are asked for with several passes",
            "a further pass runs over the whole flat piece, not over parts or extensions of it",
            "Leave them out, or make one pass.",
        )
    if piece.shared is not None:
        raise RequestError(
            "--continue",
            "is given with several passes",
            "a further pass runs over one piece, not over two that are sewn together",
            "Leave it out, or make one pass.",
        )
    used = {line.name for line in lines_used}
    rest = list(zip(lines_used, orders, strict=True))
    made: PleatedPiece | None = None
    for number in range(1, max(asked.pass_ for asked in orders) + 1):
        own = [(line, asked) for line, asked in rest if asked.pass_ == number]
        rest = [(line, asked) for line, asked in rest if asked.pass_ > number]
        if made is not None:
            piece = _flat_as_piece(made)
            ground = ground_of(piece)
            order = replace(order, allowances=NO_ALLOWANCE, fold_edge=None, smooth_hem=False, remarks=())
            remarks = [*made.remarks]
        made = _one_pass(piece, ground, order, [line for line, _ in own], [a for _, a in own], used, remarks, made)
        rest = [(_line_through(line, made), asked) for line, asked in rest]
    assert made is not None
    return made


def _line_through(line: StraightLine, made: PleatedPiece) -> StraightLine:
    # A line for a later pass, on the page of this one's flat piece.
    fold = made.ground.fold or made.ground.crossed
    if fold is not None and made.flat.fold_edge is not None:
        way = (fold.end - fold.start) / abs(fold.end - fold.start)
        if max(abs(((z - fold.start) * way.conjugate()).imag) for z in (line.start, line.end)) <= ON_FOLD:
            return replace(line, start=made.flat.fold_edge[0], end=made.flat.fold_edge[1])
    assert made.unfolded is not None
    there = slash_through(line, made.finished.outline, made.lines, made.pleats, made.unfolded, made.number)
    return replace(there, start=there.start + made.sheet.offset, end=there.end + made.sheet.offset)


def _flat_as_piece(made: PleatedPiece) -> FinishedPiece:
    # The flat piece of a pass, as it would be read again from its result.
    piece, flat, offset = made.finished, made.flat, made.sheet.offset
    upright = made.lines.upright
    kept = [("finished-line", made.finished_on_page.outline)]
    if made.finished_cut is not None:
        kept.append(("finished-cut-line", made.finished_cut.outline))
    earlier = earlier_after(
        Made(
            made.number,
            flat,
            made.pleats,
            {p.number: lap_name(p.request, upright) for p in made.pleats},
            {p.number: pleat_words(p.request, upright, made.unit) for p in made.pleats},
            offset,
            made.sheet.marks,
            made.sheet.words,
            tuple([(line.name, line.pleat, line.fold, line.runs) for line in made.sheet.stitching]),
            tuple(kept),
            {fact.number: (fact.intake_top, fact.intake_hem) for fact in made.facts},
            made.earlier,
        )
    )
    shapes, texts = shapes_after(made.carriage, offset)
    fold = None if flat.fold_edge is None else StraightLine("fold edge", *flat.fold_edge)
    return replace(
        piece,
        outline=_clockwise(flat.outline),
        slashes=(),
        crossing_lines=(),
        grain=None if made.grain is None else StraightLine("grainline", *made.grain),
        fold_edge=fold,
        centre=None,
        shapes=shapes,
        texts=texts,
        cut=_clockwise(flat.cuts[0]) if flat.cut else None,
        only_cut=False,
        notes=(),
        left_out=(),
        earlier=earlier,
    )


def _clockwise(outline: Outline) -> Outline:
    if outline.area < 0:
        outline = outline.reversed()
    left, top, _, _ = outline.box
    start = min(outline.corners or range(len(outline)), key=lambda k: abs(outline.segments[k][0] - complex(left, top)))
    return outline.starting_at(start)


def _one_pass(
    piece: FinishedPiece,
    ground: Ground,
    order: Order,
    lines_used: list[StraightLine],
    orders: list[PleatOrder],
    used: set[str],
    remarks: list[str],
    before: PleatedPiece | None = None,
) -> PleatedPiece:
    ground = ground_of_lines(piece, ground, lines_used)
    lines = _in_row(piece, ground, lines_used, order.unit)
    requests = _requests(piece, lines, [orders[k] for k in lines.given])
    earlier = piece.earlier
    pleats = lay_out(lines, requests, order.unit)
    if earlier is not None:
        pleats = tuple([replace(pleat, number=pleat.number + earlier.pleats) for pleat in pleats])
    cutting = _cutting(piece, ground, lines, order, remarks)
    joins, said = _joins(piece, lines, pleats, cutting, order)
    remarks += said
    allowed = order.allowances.everywhere
    join_allowance = allowed.mm if allowed is not None and cutting is not None else 0.0
    if cutting is not None and not join_allowance and (joins or any(pleat.kick for pleat in pleats)):
        remarks.append(
            "Joins, and the seam above a kick pleat, have no allowance, since only single edges were given one; give "
            "--allowance 15mm as well, or add yours outside them."
        )
    if order.smooth_hem and joins:
        raise FitError(
            f"The hem of '{piece.name}'",
            "was to be smooth, but the flat piece is cut in parts",
            "a join ends at a hem that is trued as folded",
            "Leave out --hem smooth, or --underlay separate and --cloth-width.",
        )
    unfolded = unfold(lines, pleats, cutting, joins, join_allowance, order.smooth_hem)
    if ground.crossed is not None:
        unfolded = replace(unfolded, fold_edge=_crossed_fold(piece, ground.crossed, lines, unfolded))
    if order.smooth_hem:
        remarks.append(
            f"The hem runs smoothly over the hidden cloth; it leaves the folded hem by up to "
            f"{show(unfolded.hem_off, order.unit)}."
        )
    _refuse_lapping_cloth(piece, lines, unfolded, any(pleat.kick for pleat in pleats))
    grain = _carried_grain(piece, lines, unfolded)
    shapes = tuple([shape for shape in piece.shapes if shape.name not in used])
    carriage = carry(shapes, piece.texts, lines, pleats, unfolded, order.unit)
    stitching = stitching_lines(lines, pleats, unfolded, cutting, order.marking)
    through = None if earlier is None else take_through(earlier, lines, pleats, unfolded)
    subject = Subject(piece.name, lines, ground, cutting, order.marking, join_allowance, order.unit, through)
    if before is not None:
        subject = replace(subject, allowances=before.allowance_words)
    sheet = lay_on_sheet(subject, pleats, unfolded, carriage, grain, stitching)
    flat = _on_page(unfolded, sheet.offset)
    finished = _finished_on_page(lines.outline, ground, lines, sheet.offset)
    proof = fold_back(finished, flat.seam, flat.creases, flat.placements, flat.joins)
    _refuse_unproven(piece, proof)
    finished_cut, cut_proof = None, None
    if cutting is not None:
        finished_cut = _finished_on_page(cutting.outline, ground, lines, sheet.offset, cutting)
        if unfolded.trimmed or unfolded.joins or unfolded.hem_off or any(pleat.kick for pleat in pleats):
            # What is trimmed covers less of the finished line; the allowances of joins lie beyond their layers.
            finished_cut = replace(finished_cut, wanted=frozenset())
        cut_proof = fold_back(finished_cut, flat.cut, flat.creases, (), flat.joins)
        _refuse_unproven(piece, cut_proof)
        remarks += _free_remarks(flat)
        if order.allowances.hem_turn:
            remarks += _turned_remarks(lines, pleats, unfolded, order.unit)
    grain_here = None
    if grain is not None:
        start, end = rounded([z + sheet.offset for z in grain])
        grain_here = (start, end)
    facts = _facts(pleats, flat, grain_here)
    written, miss = None, 0.0
    if through is not None:
        written = on_page(through, sheet.offset)
        miss = prove_earlier(piece.name, through, written, flat.creases, sheet.offset)
        remarks += through.remarks
    remarks += [*carriage.remarks, *sheet.remarks, *_grain_remarks(facts)]
    return PleatedPiece(
        piece,
        ground,
        lines,
        pleats,
        flat,
        finished,
        finished_cut,
        cutting,
        grain_here,
        proof,
        cut_proof,
        facts,
        carriage,
        sheet,
        (*piece.notes, *order.remarks, *remarks, *_not_carried(piece)),
        order.marking,
        order.unit,
        1 if earlier is None else earlier.passes + 1,
        written,
        before,
        unfolded,
        subject.allowance_words(),
        miss,
    )


def _on_its_ground(piece: FinishedPiece, order: Order) -> tuple[FinishedPiece, Ground, list[str]]:
    if order.allowances.drawn is not None:
        piece = inside_of(piece, order.allowances.drawn)
    elif piece.only_cut:
        raise FitError(
            f"Piece '{piece.name}'",
            "has a cutting line, but no seam",
            "pleats are reckoned on the stitching line",
            "Give --allowance-drawn and the allowance that the cutting line includes, such as --allowance-drawn 15mm; or "
            "draw the seam as well.",
        )
    ground = ground_of(piece, order.fold_edge)
    if not order.open_fold:
        return piece, ground, []
    if ground.fold is None:
        raise FitError(
            f"Piece '{piece.name}'",
            "was to be opened out, but has no fold edge",
            "only a half piece has another half",
            "Leave out --open-fold; or name the fold edge on the drawing, or with --fold-edge.",
        )
    whole = opened(piece, ground)
    remark = "The half piece was opened out at its fold edge; what is drawn on it is there twice, texts once."
    return whole, ground_of(whole), [remark]


def _crossed_fold(
    piece: FinishedPiece, fold: StraightLine, lines: SlashSet, unfolded: Unfolded
) -> tuple[complex, complex]:
    # Lines that run across the fold edge lengthen it; cloth is folded along it, so it must stay straight.
    along = (fold.end - fold.start) / abs(fold.end - fold.start)
    spots: list[complex] = []
    for edge in unfolded.seam:
        if edge.origin.segment >= 0:
            there = cut(lines.outline.segments[edge.origin.segment], edge.origin.t0, edge.origin.t1)
            if max(abs(((z - fold.start) * along.conjugate()).imag) for z in there) <= ON_LINE:
                spots += (edge.points[0], edge.points[-1])
    way = max((b - a for a in spots for b in spots), key=abs)
    first = min(spots, key=lambda z: (z * way.conjugate()).real)
    off = max(abs(((z - first) * (way / abs(way)).conjugate()).imag) for z in spots)
    if off > FOLD_BACK:
        slants = [abs(90 - abs(math.degrees(cmath.phase((c.hem - c.top) / along)))) for c in unfolded.out_chords]
        raise FitError(
            f"The fold edge of '{piece.name}'",
            f"would break by {off:.2f} mm: a fold line meets it up to {max(slants):.2f} degrees off square",
            f"cloth is laid on the fold along a straight line (within {FOLD_BACK} mm)",
            "Draw lines that run across the fold edge square to it, with one intake at both ends; or add --open-fold.",
        )
    last = first + way
    return (first, last) if (first.imag, first.real) <= (last.imag, last.real) else (last, first)


def _in_row(piece: FinishedPiece, ground: Ground, used: list[StraightLine], unit: str) -> SlashSet:
    # Of a piece cut on the fold, the fold edge stands in the row as a line of its own, unless a slash line lies on it.
    if ground.fold is None:
        return in_order(ground.outline, used, unit)
    fold = ground.fold
    way = (fold.end - fold.start) / abs(fold.end - fold.start)
    on_it = [
        k
        for k, line in enumerate(used)
        if max(abs(((z - fold.start) * way.conjugate()).imag) for z in (line.start, line.end)) <= ON_FOLD
    ]
    snapped = [replace(line, start=fold.start, end=fold.end) if k in on_it else line for k, line in enumerate(used)]
    lines = in_order(ground.outline, snapped if on_it else [*snapped, fold], unit)
    at = lines.given.index(on_it[0] if on_it else len(used))
    edge = lines.chords[at]
    inside = next(
        z
        for seg, drawn in zip(ground.outline.segments, ground.drawn, strict=True)
        if drawn
        for z in (seg[0], (seg[0] + seg[-1]) / 2)
        if abs(((z - edge.top) * lines.across(edge).conjugate()).real) > ON_FOLD
    )
    drawn_before = ((inside - edge.top) * lines.across(edge).conjugate()).real < 0
    if at != (len(lines.chords) - 1 if drawn_before else 0):
        wrong = lines.names[-1] if drawn_before else lines.names[0]
        raise SlashError(
            f"Slash line '{wrong}'",
            "lies beyond the fold edge",
            "on a piece cut on the fold the lines lie on the half that is drawn",
            "Delete it; its mirror image on the drawn half makes both pleats.",
        )
    first, last = (None, edge) if drawn_before else (edge, None)
    if on_it:
        return replace(lines, first=first, last=last)
    keep = [k for k in range(len(lines.chords)) if k != at]
    return replace(
        lines,
        chords=tuple([lines.chords[k] for k in keep]),
        names=tuple([lines.names[k] for k in keep]),
        given=tuple([lines.given[k] for k in keep]),
        first=first,
        last=last,
    )


def _joins(
    piece: FinishedPiece, lines: SlashSet, pleats: tuple[LaidPleat, ...], cutting: Cutting | None, order: Order
) -> tuple[list[int], list[str]]:
    # The creases at which the flat piece is parted: those of separate underlays, and as many more as narrow cloth needs.
    joins: list[int] = []
    inner: list[int] = []
    at = 0
    for pleat in pleats:
        here = [k for k, fold in enumerate(pleat.folds, at) if fold.role == "inner"]
        inner += here
        if pleat.request.separate:
            middle = at + len(pleat.folds) // 2
            joins += (
                [k for k in here if k in (middle - 1, middle)]
                if not pleat.request.half
                else [here[-1] if pleat.request.half < 0 else here[0]]
            )
        at += len(pleat.folds)
    if piece.shared is not None:
        joins = _with_seam(piece, pleats, inner, joins)
    if order.cloth_width is None:
        return joins, []
    allowed = order.allowances.everywhere
    beyond = allowed.mm if allowed is not None and cutting is not None else 0.0
    found = joins_for_width(
        unfold(lines, pleats, cutting), joins, inner, order.cloth_width, beyond, _cross_grain(piece, lines)
    )
    if isinstance(found, float):
        raise FitError(
            f"The flat piece '{piece.name}'",
            f"does not fit on cloth {show(order.cloth_width, order.unit)} wide, even when it is parted at inner folds",
            f"its widest part between two inner folds would be {show(found, order.unit)} wide",
            f"Take cloth at least {show(math.ceil(found), order.unit)} wide, or put pleats nearer to each other.",
        )
    added = len(found) - len(joins)
    words = "1 join" if added == 1 else f"{added} joins"
    wide = show(order.cloth_width, order.unit)
    remark = f"The cloth is {wide} wide: the flat piece was parted by {words}, each at an inner fold."
    return found, [remark] if added else []


def _with_seam(piece: FinishedPiece, pleats: tuple[LaidPleat, ...], inner: list[int], joins: list[int]) -> list[int]:
    # Two pieces laid together are parted again at the inner fold nearest to the seam that was given up.
    assert piece.shared is not None
    if not inner:
        raise FitError(
            f"The pieces '{piece.name}'",
            "have no pleat with an inner fold",
            "two pieces laid together are parted again at one, where the join is hidden",
            "Slash along the seam between them, as in --slash 'right side'; tucks hide no join.",
        )
    middle = (piece.shared.start + piece.shared.end) / 2
    folds = [fold.chord for pleat in pleats for fold in pleat.folds]

    def off(k: int) -> float:
        along = folds[k].hem - folds[k].top
        return abs(((middle - folds[k].top) * along.conjugate()).imag / abs(along))

    return (
        sorted({*joins, min(inner, key=off)})
        if not any(off(k) < min(map(off, inner)) + ON_FOLD for k in joins)
        else joins
    )


def _cross_grain(piece: FinishedPiece, lines: SlashSet) -> complex:
    # The direction across the cloth, in the coordinates of the first panel.
    if piece.grain is not None:
        way = (piece.grain.end - piece.grain.start) * 1j
    elif lines.upright:
        way = 1 + 0j
    else:
        way = 1j
    return way / abs(way)


def _cutting(piece: FinishedPiece, ground: Ground, lines: SlashSet, order: Order, remarks: list[str]) -> Cutting | None:
    asked = order.allowances
    if piece.cut is not None:
        cutting, said = drawn_cutting(piece, ground, asked, order.unit)
        if piece.earlier is None or asked.asked:  # ours leaves the seam at the corners that unfolding makes
            remarks += said
    elif asked.asked:
        if piece.earlier is not None:
            raise FitError(
                f"The allowance of '{piece.name}'",
                "was asked for in a later pass, and the result has no cutting line",
                "a cutting line lies true only where it was unfolded with the first seam",
                "Give --allowance with the first pass; it runs on through the others.",
            )
        fold = fold_edge_of(piece, order.fold_edge) if ground.on_fold else None
        by_edge = distances_of(ground.edges, asked, fold.number if fold is not None else None)
        if not any(by_edge.values()):
            return None
        cutting = cutting_line(piece.name, ground, by_edge, asked.hem_turn)
    else:
        return None
    if (lines.outline.area > 0) == (cutting.outline.area > 0):
        return cutting
    return replace(cutting, outline=cutting.outline.reversed())


def _asked_for(piece: FinishedPiece, asked: PleatOrder, unit: str) -> Iterator[tuple[list[StraightLine], bool]]:
    # Lines by name and lines that are placed, and whether another order for the same line contradicts this one.
    named = [(_named_lines(piece, wanted, unit), _spoken(wanted) != "all") for wanted in asked.slash]
    placing = asked.placing
    if placing is None:
        yield from named
        return
    if placing.gap is None:
        yield placed_lines(piece, placing, unit), True
        yield from named
        return
    assert placing.count is not None
    starts = placed_lines(piece, placing, unit) if placing.at else []
    for found, _ in named:
        starts += found
    if not starts:
        starts = list(piece.slashes)
    for line in starts:
        yield run_of_lines(line, placing.count, placing.gap, piece.outline, unit), True


def _lines(piece: FinishedPiece, order: Order) -> tuple[list[StraightLine], list[PleatOrder | None], list[str]]:
    # The lines to slash along, for which order each is, and remarks. Orders that name no line share what is left.
    remarks: list[str] = []
    lines: list[StraightLine] = []
    orders: list[PleatOrder | None] = []

    def take(found: Iterable[StraightLine], asked: PleatOrder | None, once: bool) -> None:
        for line in found:
            if line not in lines:
                lines.append(line)
                orders.append(asked)
            elif once and orders[lines.index(line)] is not asked:
                raise SlashError(
                    f"Slash line '{line.name}'",
                    "is asked for twice, as a pleat of two kinds",
                    "a line makes one pleat",
                    "Name it in one place only.",
                )

    for asked in order.pleats:
        for found, once in _asked_for(piece, asked, order.unit):
            take(found, asked, once)
    if not order.pleats:
        take(piece.slashes, None, False)
    for asked in order.pleats:
        if asked.placing is None and not asked.slash:
            take(piece.slashes, asked, False)
        elif (
            asked.placing is not None
            and asked.placing.gap is None
            and not asked.slash
            and len(order.pleats) == 1
            and piece.slashes
        ):
            remarks.append(
                f"The {len(piece.slashes)} slash lines drawn on the piece were left out, since lines were placed; name them "
                "with --slash to use both."
            )
    if not lines:
        raise SlashError(
            f"Piece '{piece.name}'",
            "has no slash lines",
            "a pleat needs a line to slash along",
            "Draw straight lines from edge to edge and name them 'slash 1', 'slash 2'; or give --slash all, --at or --count.",
        )
    return lines, orders, remarks


def _as_named(lines: list[StraightLine], orders: list[PleatOrder | None]) -> list[PleatOrder]:
    # The name of a line may say what pleat is to be made there; what is asked for alike stays one order.
    made: list[PleatOrder] = []
    known: dict[PleatOrder, PleatOrder] = {}
    for line, asked in zip(lines, orders, strict=True):
        found = worded(line.name, asked) if line.family else asked  # placed lines have names of ours
        if found is None:
            raise RequestError(
                f"The kind of pleat at '{line.name}'",
                "is missing",
                "neither its name nor an option says it",
                f"Give --kind {', '.join(KINDS)}; or name the line such as 'slash 2 inverted 12cm'.",
            )
        made.append(known.setdefault(found, found))
    return made


def _requests(piece: FinishedPiece, lines: SlashSet, orders: list[PleatOrder]) -> list[PleatRequest]:
    # Pleats that are asked for alike share one request, so that words about it are found once.
    made: dict[tuple[int, int, int], PleatRequest] = {}
    requests: list[PleatRequest] = []
    for k, asked in enumerate(orders):
        chord = lines.chords[k]
        half = -1 if chord is lines.last else 1 if chord is lines.first else 0
        if lines.first is not None or lines.last is not None:
            _refuse_turning_round(lines, k, asked, bool(half))
        way = _towards(piece, lines, k, asked.lap)
        if (id(asked), way, half) not in made:
            made[id(asked), way, half] = PleatRequest(
                asked.kind,
                way,
                asked.intake_top,
                asked.intake_hem,
                asked.face,
                half,
                asked.stack,
                asked.stitched,
                asked.separate,
                asked.height,
            )
        requests.append(made[id(asked), way, half])
    return requests


def _refuse_turning_round(lines: SlashSet, k: int, asked: PleatOrder, on_fold: bool) -> None:
    said = f"Pleat {k + 1} at '{lines.names[k]}'"
    if on_fold and not asked.kind.to_before.alike_on_both_sides:
        raise FitError(
            said,
            f"is a {asked.kind.name} pleat on the fold edge",
            "it would meet its own mirror image there; half a box or half an inverted pleat can lie on a fold edge",
            "Make it an inverted or a box pleat, or move the line away from the fold edge.",
        )
    if asked.lap in ("left", "right", "up", "down"):
        raise FitError(
            said,
            f"is to lap {asked.lap} on a piece that is cut on the fold",
            "its fold would turn round at the fold edge and point the other way on the other half",
            "Give --lap centre or --lap sides; or add --open-fold, which writes the whole piece with all folds one way.",
        )


def _named_lines(piece: FinishedPiece, wanted: str, unit: str) -> list[StraightLine]:
    plain = _spoken(wanted)
    every = [*piece.slashes, *piece.crossing_lines]
    found = [line for line in every if _spoken(line.name) == plain] or [
        line for line in every if _spoken(line.family) == plain
    ]
    if found:
        return found
    if plain == "all":
        return [
            *piece.slashes,
            *[line for line in piece.crossing_lines if line != piece.shared and _crosses(piece, line, unit)],
        ]
    raise SlashError(
        f"Slash line '{wanted}'",
        "is not on this piece",
        near_names(wanted, [line.name for line in every]),
        "Check the name in the editor's list of objects, or run 'pleatsvg measure' on the drawing.",
    )


def _spoken(name: str) -> str:
    # As it would be said: an id has underscores where a label has blanks.
    return " ".join(name.replace("_", " ").split()).casefold()


def _crosses(piece: FinishedPiece, line: StraightLine, unit: str) -> bool:
    try:
        trimmed(piece.outline, line, unit)
    except SlashError:
        return False
    return True


def _towards(piece: FinishedPiece, lines: SlashSet, k: int, lap: str | None) -> int:
    if lap is None:
        return -1
    if lap in ("left", "right", "up", "down"):
        if lines.upright != (lap in ("left", "right")):
            run, words = ("up and down", "left or right") if lines.upright else ("across", "up or down")
            said = f"Pleat {k + 1} at '{lines.names[k]}'"
            raise FitError(
                said,
                f"was to lap {lap}, but its line runs {run} the page",
                f"such a fold points {words}",
                f"Give --lap {words}.",
            )
        return -1 if lap in ("left", "up") else 1
    centre = piece.fold_edge or piece.centre
    chord = lines.chords[k]
    if centre is not None:
        middle = (centre.start + centre.end) / 2
        off = ((middle - (chord.top + chord.hem) / 2) * lines.across(chord).conjugate()).real
    else:
        off = _from_middle(lines, k)
    if abs(off) <= CENTRE_BAND:
        raise FitError(
            f"Pleat {k + 1} at '{lines.names[k]}'",
            f"lies within {CENTRE_BAND:.0f} mm of the centre",
            f"a {lap} lap needs a line that lies to one side of it",
            "Pleat that line by itself with --slash and a lap of its own, or make it an inverted or box pleat.",
        )
    to_centre = 1 if off > 0 else -1
    return to_centre if lap == "centre" else -to_centre


def _from_middle(lines: SlashSet, k: int) -> float:
    # How far the middle of the set lies after line k, along the top seam; one line alone is held against the middle of
    # the seam edge that its top lies on.
    outline = lines.outline
    tops = [chord.top_at for chord in lines.chords]
    here = outline.sewn_distance(tops[0], tops[k])
    if len(tops) > 1:
        return outline.sewn_distance(tops[0], tops[-1]) / 2 - here
    n = len(outline)
    corners = outline.edge_corners or (0,)
    before = max(c + m * n for c in corners for m in (-1, 0, 1) if c + m * n <= tops[0])
    after = min(c + m * n for c in corners for m in (0, 1, 2) if c + m * n >= tops[0])
    return (outline.sewn_distance(tops[0], float(after)) - outline.sewn_distance(float(before), tops[0])) / 2


def _refuse_lapping_cloth(piece: FinishedPiece, lines: SlashSet, unfolded: Unfolded, kicks: bool) -> None:
    if layers_lie_apart(unfolded, lines.hand):
        return
    spot = next((z for one in unfolded.cuts if (z := self_crossing(one, loops=False)) is not None), None)
    if spot is not None:
        raise FitError(
            f"The flat piece '{piece.name}'",
            f"would lie over itself near ({spot.real:.0f}, {spot.imag:.0f}) mm on the drawing",
            "a piece is cut from one layer of cloth",
            "The two allowances of the seam above a kick pleat need room between them: take a smaller --allowance or a larger "
            "intake, leave out --hem-intake where it is the larger one, or give --underlay separate."
            if kicks
            else "Take a smaller intake or fewer lines in one piece, or part the piece at a seam first.",
        )


def _carried_grain(piece: FinishedPiece, lines: SlashSet, unfolded: Unfolded) -> tuple[complex, complex] | None:
    # The grainline goes with the panel that most of it lies on; what of it lies on other panels is cut off.
    if piece.grain is None:
        return None
    start, end = piece.grain.start, piece.grain.end
    stops = [0.0, 1.0]
    for chord in lines.chords:
        across = lines.across(chord).conjugate()
        a, b = ((start - chord.top) * across).real, ((end - chord.top) * across).real
        if a * b < 0:
            stops.append(a / (a - b))
    stops.sort()
    low, high = max(pairwise(stops), key=lambda span: span[1] - span[0])
    middle = start + (low + high) / 2 * (end - start)
    panel = sum(1 for c in lines.chords if ((middle - c.top) * lines.across(c).conjugate()).real > 0)
    motion = unfolded.motions[unfolded.panels[panel]]
    first, last = moved((start + low * (end - start), start + high * (end - start)), motion)
    return first, last


def rounded(points: list[complex]) -> list[complex]:
    """Return points rounded to the decimals that are written: the floats nearest to these decimals."""
    found: list[complex] = np.round(np.array(points, dtype=complex), DECIMALS).tolist()
    return found


def _finished_on_page(
    outline: Outline, ground: Ground, lines: SlashSet, offset: complex, cutting: Cutting | None = None
) -> Target:
    # The finished line as it will be written, with the fold edge as a segment of its own after the last.
    points = iter(rounded([z + offset for seg in outline.segments for z in seg]))
    placed = Outline(tuple([tuple(islice(points, len(seg))) for seg in outline.segments]))
    fold = lines.first or lines.last
    if fold is None:
        return Target(placed, placed.segments, None)
    there = cutting.produced(fold) if cutting is not None else fold
    top, hem = rounded([there.top + offset, there.hem + offset])
    n = len(outline)
    # The drawn half: from the fold edge round to it again.
    start, end = (there.hem_at, there.top_at) if lines.last is not None else (there.top_at, there.hem_at)
    end = start + (end - start) % n
    half = [cut(placed.segments[s.segment], s.t0, s.t1) for s in placed.stretches(start, end)]
    corner = [(hem, top), (top, hem)][lines.last is not None]
    half[0] = (corner[1], *half[0][1:])
    half[-1] = (*half[-1][:-1], corner[0])
    wanted = frozenset(s.segment for s in placed.stretches(start, end) if {s.t0, s.t1} == {0.0, 1.0})
    return Target(Outline((*half, corner)), (*placed.segments, (top, hem)), wanted)


def _on_page(unfolded: Unfolded, offset: complex) -> Unfolded:
    # Moved onto the page and rounded to what will be written; each segment begins where the one before it ends.
    lines = (*unfolded.creases, *unfolded.placements)
    loops = [
        *_loops(unfolded.seam, unfolded.seam_loops),
        *_loops(unfolded.cut, unfolded.cut_loops),
    ]
    ends = [z for c in lines for z in (c.top, c.hem, c.out_top, c.out_hem)]
    points = [z for run in loops for edge in run for z in edge.points[1:]]
    at_joins = [z for join in unfolded.joins for z in (*join.before, *join.after)]
    loose = [*(unfolded.fold_edge or ()), *at_joins, *[z for run in unfolded.free for seg in run for z in seg]]
    spots = rounded([z + offset for z in (*points, *ends, *loose)])
    placed: list[tuple[FlatEdge, ...]] = []
    at = 0
    for run in loops:
        edges: list[FlatEdge] = []
        node = spots[at + sum([len(edge.points) - 1 for edge in run]) - 1]
        for before, layer, origin in run:
            stop = at + len(before) - 1
            edges.append(FlatEdge((node, *spots[at:stop]), layer, origin))
            at, node = stop, spots[stop - 1]
        placed.append(tuple(edges))
    rest = iter(spots[at:])
    moved_lines: list[FlatLine] = []
    for line in lines:
        top, hem, out_top, out_hem = islice(rest, 4)
        moved_lines.append(
            FlatLine(line.role, line.pleat, line.folds, top, hem, line.layer, out_top, out_hem, line.rooms)
        )
    count = len(unfolded.creases)
    fold_edge = (next(rest), next(rest)) if unfolded.fold_edge is not None else None
    joins: list[Join] = []
    for join in unfolded.joins:
        a, b, c, d = islice(rest, 4)
        joins.append(join._replace(before=(a, b), after=(c, d)))
    free = tuple([tuple([tuple(islice(rest, len(seg))) for seg in run]) for run in unfolded.free])
    seams = len(unfolded.seam_loops)
    return Unfolded(
        tuple([edge for run in placed[:seams] for edge in run]),
        tuple(moved_lines[:count]),
        tuple(moved_lines[count:]),
        unfolded.motions,
        unfolded.panels,
        tuple([edge for run in placed[seams:] for edge in run]),
        free,
        fold_edge,
        seam_loops=unfolded.seam_loops,
        cut_loops=unfolded.cut_loops,
        trimmed=unfolded.trimmed,
        joins=tuple(joins),
    )


def _loops(edges: tuple[FlatEdge, ...], counts: tuple[int, ...]) -> Iterator[tuple[FlatEdge, ...]]:
    rest = iter(edges)
    for count in counts:
        yield tuple(islice(rest, count))


def _refuse_unproven(piece: FinishedPiece, proof: FoldBack) -> None:
    if not proof.worst <= FOLD_BACK:
        raise ProofError(
            f"The flat piece '{piece.name}'",
            f"does not fold back onto the drawn piece: an edge misses it by {proof.worst:.4f} mm",
            f"the limit is {FOLD_BACK} mm",
            "Nothing was written. Very short slash lines on a very large piece can cause this; move them apart and try again.",
        )


def _facts(
    pleats: tuple[LaidPleat, ...], flat: Unfolded, grain: tuple[complex, complex] | None
) -> tuple[PleatFacts, ...]:
    # From a placement line to the nearest fold that lies on it, from there to the next one of the stack, and so on. Parts
    # are set apart by shifts alone, which are taken back.
    apart = [0j, *accumulate(join.before[0] - join.after[0] for join in flat.joins)]
    folds: dict[tuple[int, int], FlatLine] = {(c.pleat, c.folds[0]): c for c in flat.creases}
    taken_top: dict[int, float] = {}
    taken_hem: dict[int, float] = {}
    for placement in flat.placements:
        own = [folds[placement.pleat, place] for place in placement.folds]
        for side in (
            [fold for fold in reversed(own) if fold.layer < placement.layer],
            [fold for fold in own if fold.layer >= placement.layer],
        ):
            before = placement
            for fold in side:
                back = apart[flat.part_of(fold.layer)] - apart[flat.part_of(before.layer)] if flat.joins else 0j
                taken_top[fold.pleat] = taken_top.get(fold.pleat, 0.0) + abs(fold.top - before.top + back)
                taken_hem[fold.pleat] = taken_hem.get(fold.pleat, 0.0) + abs(fold.hem - before.hem + back)
                before = fold
    off: dict[int, float] = {}
    if grain is not None:
        for fold in flat.creases:
            if fold.role == "fold":
                turn = abs(math.degrees(cmath.phase((fold.hem - fold.top) / (grain[1] - grain[0]))))
                off[fold.pleat] = max(off.get(fold.pleat, 0.0), min(turn, 180 - turn))
    return tuple(
        [
            PleatFacts(p.number, p.name, p.request, taken_top[p.number], taken_hem[p.number], off.get(p.number))
            for p in pleats
        ]
    )


def _free_remarks(flat: Unfolded) -> list[str]:
    # A spot for each wedge; where its edges meet exactly nothing is left over, but the fold lines meet all the same.
    found = [run[0][0] for run in flat.free]
    met = [z for c in flat.creases for z, room in zip((c.out_top, c.out_hem), c.rooms, strict=True) if room < 0]
    if not flat.trimmed or not (found or met):
        return []
    spots = listed([f"({z.real:.0f}, {z.imag:.0f})" for z in dict.fromkeys(found or met)], 6)
    return [
        f"Fold lines meet inside the allowance near {spots} mm on the result's page: there the cutting line is that of the "
        "flat piece, and the small wedge between the lines stays unfolded; snip into it when you press the pleats."
    ]


def _turned_remarks(lines: SlashSet, pleats: tuple[LaidPleat, ...], unfolded: Unfolded, unit: str) -> list[str]:
    # Turned up, a fold line that meets the hem square lies on itself; at another angle the two part towards the edge.
    worst, off = 0.0, 0.0
    which: set[int] = set()
    rooms = iter(unfolded.creases)
    for pleat in pleats:
        for fold in pleat.folds:
            room = next(rooms).rooms[1]
            way = fold.chord.hem - fold.chord.top
            slant = abs(
                math.asin(
                    max(-1.0, min(1.0, (way.conjugate() * lines.outline.heading(fold.chord.hem_at)).real / abs(way)))
                )
            )
            wedge = 2 * room * math.tan(slant)
            if wedge > HEM_WEDGE:
                which.add(pleat.number)
                worst, off = max(worst, wedge), max(off, math.degrees(slant))
    if not which:
        return []
    said = numbers_in_words(sorted(which))
    return [
        f"{said}: the folds meet the hem up to {off:.1f} degrees off square. Their lines run straight on through the hem "
        f"allowance, so that turned up it lies up to {show(worst, unit)} beside them at its edge; ease in that wedge, or "
        "turn the hem before you fold."
    ]


def _not_carried(piece: FinishedPiece) -> list[str]:
    return [f"Not carried onto the result: {listed(piece.left_out)}."] if piece.left_out else []


def _grain_remarks(facts: tuple[PleatFacts, ...]) -> list[str]:
    off = {f.number: f.grain_degrees for f in facts if f.grain_degrees is not None and f.grain_degrees > FLAT_GRAIN}
    if not off:
        return []
    listed = numbers_in_words(list(off))
    verb = "lies" if len(off) == 1 else "lie"
    if min(off.values()) > 90 - FLAT_GRAIN:
        return [
            f"{listed} {verb} across the grain, at {min(off.values()):.1f} to {max(off.values()):.1f} degrees to it."
        ]
    most = f"{'' if len(off) == 1 else 'up to '}{max(off.values()):.1f}"
    return [
        f"{listed} {verb} {most} degrees off the grain; over {FLAT_GRAIN:.0f} a fold does not hang like its neighbours. "
        "Fold a sample in the cloth first."
    ]
