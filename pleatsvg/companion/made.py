"""A companion as a result: its seam, its cutting line, what is drawn on it and its notches, on a page of its own.

It has no pleats, so that its flat piece is its finished one. It is proven like any other all the same: what will be written is
held against the seam as drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pleatsvg.companion.folded_edge import FoldedEdge
from pleatsvg.companion.notched import companion_notches
from pleatsvg.companion.page import companion_sheet
from pleatsvg.companion.placed import Match, Placed, placed
from pleatsvg.errors import FitError, ProofError
from pleatsvg.flat.as_written import finished_on_page, flat_on_page, rounded
from pleatsvg.flat.carried import carry
from pleatsvg.flat.facts import not_carried
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.grain import carried_grain
from pleatsvg.flat.once_round import FlatEdge, Leg, edges_of
from pleatsvg.geometry.motion import STAY
from pleatsvg.order.companion_order import CompanionOrder
from pleatsvg.order.piece_order import Order
from pleatsvg.page.compose import Sheet
from pleatsvg.page.subject import Subject
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.cutting.drawn_cutting_line import inside_of
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.pleated import Flattened, Laid, PleatedPiece, Proven, Written
from pleatsvg.proof.before_writing import fold_back
from pleatsvg.stages.laying import cutting_of
from pleatsvg.stages.marking import balance_on_page
from pleatsvg.tolerance import FOLD_BACK
from pleatsvg.wording import message, option


@dataclass(frozen=True, slots=True)
class Companion:
    """A companion, proven, with its notches.

    Attributes:
        result: as it is written.
        match: how long it is, and what is sewn to it.
        at: where its notches stand along its edge, mm from the end where the sewing begins.
    """

    result: PleatedPiece
    match: Match
    at: tuple[float, ...]


def companion_of(piece: FinishedPiece, asked: CompanionOrder, pleated: Sequence[FoldedEdge], order: Order) -> Companion:
    """Make a companion of a drawn piece.

    Args:
        piece: as drawn, right side up.
        asked: what is sewn where.
        pleated: the folded edges that are sewn to it; cf. `placed`.
        order: its allowances, its marks and its fold edge; without pleats.

    Raises:
        PleatError: it does not fit what is sewn to it, or cannot be drawn.
    """
    piece = replace(piece, name=asked.name)
    if order.allowances.drawn is not None:
        piece = inside_of(piece, order.allowances.drawn)
    elif piece.only_cut:
        raise FitError(
            f"Companion '{asked.name}'",
            "has a cutting line, but no seam",
            "it is sewn, and measured, along its stitching line",
            message("Draw the seam as well, or give {}.", option("allowance_drawn", "15mm")),
        )
    lies = placed(piece, asked, pleated, order.fold_edge, order.open_fold)
    laid = _laid(lies, replace(order, unit=lies.match.unit))
    flattened = _flattened(laid)
    notches, without = companion_notches(
        lies, None if laid.cutting is None else laid.cutting.outline, order.marking.notch
    )
    subject = Subject(
        name=asked.name,
        lines=laid.lines,
        ground=laid.ground,
        cutting=laid.cutting,
        marking=order.marking,
        join_allowance=0.0,
        unit=lies.match.unit,
    )
    sheet = companion_sheet(subject, lies, flattened, notches, without)
    written = _written(laid, flattened, sheet, subject.allowance_words())
    result = PleatedPiece(
        laid=laid,
        flattened=flattened,
        written=written,
        proven=_proven(laid, written),
        facts=(),
        remarks=(
            *piece.notes,
            *[remark.words for remark in order.remarks],
            *laid.remarks,
            *flattened.carriage.remarks,
            *sheet.remarks,
            *not_carried(piece),
        ),
    )
    return Companion(result, lies.match, tuple([notch.at for notch in notches]))


def _laid(lies: Placed, order: Order) -> Laid:
    piece, ground = lies.piece, lies.ground
    first, last = _fold_chord(ground)
    lines = SlashSet(ground.outline, (), (), (), True, first, last)
    cutting, said = cutting_of(piece, ground, lines, order)
    return Laid(
        piece=piece,
        order=order,
        ground=ground,
        lines=lines,
        pleats=(),
        cutting=cutting,
        joins=(),
        join_allowance=0.0,
        remarks=(*lies.remarks, *said),
    )


def _fold_chord(ground: BothHalves) -> tuple[Chord | None, Chord | None]:
    # The fold edge across both halves, before what is drawn or behind it. The drawn half is walked from its first node on.
    if ground.fold is None:
        return None, None
    count = sum(ground.drawn)
    begin, end = ground.outline.point(0.0), ground.outline.point(float(count))
    if (begin.imag, begin.real) < (end.imag, end.real):
        return Chord(0.0, float(count), begin, end), None
    return None, Chord(float(count), 0.0, end, begin)


def _flattened(laid: Laid) -> Flattened:
    lines, cutting = laid.lines, laid.cutting
    seam = _once_round(lines, None)
    cut = _once_round(lines, cutting) if cutting is not None else []
    fold = lines.first or lines.last
    unfolded = Unfolded(
        seam=tuple(seam),
        creases=(),
        placements=(),
        motions=(STAY,),
        panels=(0,),
        cut=tuple(cut),
        fold_edge=None if fold is None else (fold.top, fold.hem),
        seam_loops=(len(seam),),
        cut_loops=(len(cut),) if cut else (),
    )
    carriage = carry(laid.piece.shapes, laid.piece.texts, lines, (), unfolded, laid.order.unit)
    return Flattened(unfolded, None, carriage, carried_grain(laid.piece, lines, unfolded), ())


def _once_round(lines: SlashSet, cutting: Cutting | None) -> list[FlatEdge]:
    outline = lines.outline if cutting is None else cutting.outline
    n = len(outline)
    fold = lines.first or lines.last
    if fold is None:
        return edges_of(outline, [Leg(0.0, float(n), 0)], [STAY])
    there = fold if cutting is None else cutting.produced(fold)
    if lines.first is not None:
        begin, end, leg = there.top_at, there.hem_at, Leg(1.0, 0.0, 0, there)
    else:
        begin, end, leg = there.hem_at, there.top_at, Leg(0.0, 1.0, 0, there)
    return edges_of(outline, [Leg(begin, begin + (end - begin) % n, 0), leg], [STAY])


def _written(laid: Laid, flattened: Flattened, sheet: Sheet, words: str) -> Written:
    offset = sheet.offset
    grain = None
    if flattened.grain is not None:
        start, end = rounded([z + offset for z in flattened.grain])
        grain = (start, end)
    cutting = None
    if laid.cutting is not None:
        cutting = finished_on_page(laid.cutting.outline, laid.ground, laid.lines, offset, laid.cutting)
    return Written(
        sheet=sheet,
        flat=flat_on_page(flattened.unfolded, offset),
        seam=finished_on_page(laid.lines.outline, laid.ground, laid.lines, offset),
        cutting=cutting,
        grain=grain,
        earlier=None,
        allowance_words=words,
        balance=balance_on_page(laid, flattened, offset),
    )


def _proven(laid: Laid, written: Written) -> Proven:
    seam = fold_back(written.seam, written.flat.seam, (), ())
    cutting = None if written.cutting is None else fold_back(written.cutting, written.flat.cut, (), ())
    worst = max(seam.worst, 0.0 if cutting is None else cutting.worst)
    if not worst <= FOLD_BACK:
        raise ProofError(
            f"Companion '{laid.piece.name}'",
            f"would be written {worst:.4f} mm off the piece as drawn",
            f"the limit is {FOLD_BACK} mm",
            "Please report it with the drawing.",
        )
    return Proven(seam=seam, cutting=cutting, earlier_miss=0.0)
