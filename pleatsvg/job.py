"""The whole job as one function of named steps: a finished piece and an order go in, a proven flat piece comes out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from pleatsvg.errors import FitError, PleatError, RequestError, listed
from pleatsvg.flat.facts import facts_of, grain_remarks, not_carried
from pleatsvg.flat.passes.earlier_lines import slash_through
from pleatsvg.flat.passes.next_pass import PassMade, earlier_after, shapes_after
from pleatsvg.geometry.outline import Outline
from pleatsvg.kinds import is_kick
from pleatsvg.marks.seen import seen_parts, stitched_parts
from pleatsvg.order.allowances import NO_ALLOWANCE
from pleatsvg.order.line_names import unit_said
from pleatsvg.order.piece_order import Order
from pleatsvg.order.pleat_order import PleatOrder
from pleatsvg.piece.both_halves import BothHalves, both_halves_of
from pleatsvg.piece.edges import lower_word
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.piece.open_darts import open_dart_remarks
from pleatsvg.piece.slash_lines import CrossingError
from pleatsvg.pleated import Laid, PleatedPiece
from pleatsvg.pleats.refusals import OverSideError, PokeError
from pleatsvg.pleats.requests import as_named, lines_for, made_ready
from pleatsvg.pleats.words import lap_name, pleat_words
from pleatsvg.stages.flattening import flatten
from pleatsvg.stages.laying import lay
from pleatsvg.stages.marking import mark, remarks_on_page
from pleatsvg.stages.proving import prove
from pleatsvg.tolerance import ON_FOLD
from pleatsvg.wording import message, option

if TYPE_CHECKING:
    from pleatsvg.pleats.finishing.finish_to import Finish


def pleat_piece(piece: FinishedPiece, order: Order) -> PleatedPiece:
    """Do the whole job on one piece.

    Raises:
        PleatError: the order does not fit the piece; nothing is made.
    """
    if order.pivot or piece.closed_before:
        _refuse_several_passes(piece, order)
    if piece.earlier is not None:
        if piece.earlier.joined or any(is_kick(pleat.kind) for pleat in piece.earlier.told):
            raise FitError(
                f"Piece '{piece.name}'",
                "was cut in parts, or has kick pleats, from the pass before",
                "a further pass runs over the whole flat piece, not over parts or extensions of it",
                message(
                    "Make the first pass again without {}, separate underlays and kick pleats.", option("cloth_width")
                ),
            )
        from pleatsvg.proof.all_passes import (  # of no use to a drawing that is no result of ours
            refuse_fitted,
            refuse_untrue,
        )

        refuse_fitted(piece)
        refuse_untrue(piece)
    if piece.others and order.ring is None:
        raise RequestError(
            f"'{piece.name}' and {len(piece.others)} more",
            "are to go all round",
            "it must be said which sides are sewn to each other",
            message("Give {}.", option("ring", "left side=right side")),
        )
    piece, ground, remarks = made_ready(piece, order)
    drawn = piece, ground
    if order.fit is not None:
        from pleatsvg.fitted.refusals import refuse_together  # fitted pleats are no part of most jobs

        refuse_together(piece, order, ())
    try:
        wanted = _wanted(piece, ground, order)
    except OverSideError as refusal:
        raise _with_what_serves(refusal, *drawn, order) from None
    piece, ground, order, lines_used, orders = wanted.piece, wanted.ground, wanted.order, wanted.lines, wanted.orders
    if order.fit is not None:
        refuse_together(piece, order, orders)
    elif not order.pivot and any(asked.weight != 1 or asked.share is not None for asked in orders):
        raise RequestError(
            message("{} or {}", option("weight"), option("share")),
            "is given for pleats that are not fitted",
            "it says how much of the waist vanishes in a pleat",
            message(
                "Give {} with it, or {} where a dart is closed; or leave it out.",
                option("fit_waist", "35cm"),
                option("pivot"),
            ),
        )
    remarks += wanted.remarks
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
    remarks += open_dart_remarks(piece, order.unit)
    if len(numbers) == 1:
        try:
            made = _one_pass(
                piece,
                ground,
                order,
                lines_used,
                orders,
                {line.name for line in lines_used},
                remarks,
                finish=wanted.finish,
            )
        except (PokeError, CrossingError) as refusal:
            raise _with_what_serves(refusal, *drawn, order) from None
    else:
        made = _in_passes(piece, ground, order, lines_used, orders, remarks)
    if made.number > 1:
        from pleatsvg.proof.all_passes import refuse_unproven

        refuse_unproven(_flat_as_piece(made))
    return made


def _refuse_several_passes(piece: FinishedPiece, order: Order) -> None:
    # A later pass would run over cloth that is no longer flat: about a closed dart's point it is a cone.
    if piece.earlier is not None or any(asked.pass_ > 1 for asked in order.pleats):
        raise RequestError(
            message("The closed dart of '{}'", piece.name) if piece.closed_before else option("pivot"),
            "is asked to be pleated in several passes",
            "about the point of a closed dart the cloth is folded as one pass",
            "Give all its lines at once, those to the dart's point and the others, or pleat it no further.",
        )


class _Wanted(NamedTuple):
    """What is to be made: the finished piece, what its pleats are laid out on, its lines and for each its order."""

    piece: FinishedPiece
    ground: BothHalves
    order: Order
    lines: list[StraightLine]
    orders: list[PleatOrder]
    remarks: list[str]
    finish: Finish | None = None


def _wanted(piece: FinishedPiece, ground: BothHalves, order: Order) -> _Wanted:
    if order.ring is not None:
        from pleatsvg.pleats.allround.lines import all_round

        own, finish, remarks = None, None, []
        if order.finish is not None:
            if piece.others:
                raise RequestError(
                    option("finish_to"),
                    "is given for several pieces that go round",
                    "it is the length of one piece's top",
                    "Leave it out, and draw the pieces finished.",
                )
            flat = _wanted(piece, ground, replace(order, ring=None))
            own, finish, remarks, piece = (flat.lines, flat.orders), flat.finish, flat.remarks, flat.piece
        others = [made_ready(other, order) for other in piece.others]
        ring = all_round([piece, *[other for other, _, _ in others]], order, own)
        halves = both_halves_of(ring.piece)
        remarks = [*remarks, *[words for _, _, said in others for words in said], *ring.remarks]
        return _Wanted(ring.piece, halves, order, ring.lines, ring.orders, list(dict.fromkeys(remarks)), finish)
    if order.finish is not None:
        # What turns flat cloth into a finished piece is of no use to a drawing that is one.
        from pleatsvg.pleats.finishing.finish_to import finished_to

        made = finished_to(piece, order, ground.fold)
        remarks = [*made.finish.words(order.unit), *made.remarks]
        halves = both_halves_of(made.piece, order.fold_edge)
        return _Wanted(made.piece, halves, order, made.lines, made.orders, remarks, made.finish)
    lines, asked_of, remarks = lines_for(piece, order, ground.fold)
    orders = as_named(lines, asked_of, pivots=bool(order.pivot))
    if not order.pleats and not any(one.unit for one in order.open):
        order = replace(order, unit=unit_said([line.name for line in lines]) or order.unit)
    return _Wanted(piece, ground, order, lines, orders, remarks)


def _with_what_serves(
    refusal: PokeError | CrossingError | OverSideError, piece: FinishedPiece, ground: BothHalves, order: Order
) -> PleatError:
    from pleatsvg.pleats.serving import can_run_otherwise, can_serve, with_a_run_that_serves, with_what_serves

    if not (can_serve(order) if isinstance(refusal, PokeError) else can_run_otherwise(order)):
        return refusal

    def laid_out(other: Order) -> Laid:
        wanted = _wanted(piece, ground, other)
        return lay(wanted.piece, wanted.ground, wanted.order, wanted.lines, wanted.orders)

    if isinstance(refusal, PokeError):
        return with_what_serves(refusal, order, laid_out)
    return with_a_run_that_serves(refusal, order, laid_out)


def _in_passes(
    piece: FinishedPiece,
    ground: BothHalves,
    order: Order,
    lines_used: list[StraightLine],
    orders: list[PleatOrder],
    remarks: list[str],
) -> PleatedPiece:
    # Each pass is made on the flat piece of the one before. Lines of later passes are taken through all earlier ones.
    if order.cloth_width is not None or any(asked.separate or asked.kind.kicks for asked in orders):
        raise RequestError(
            message("Kick pleats, separate underlays and {}", option("cloth_width")),
            "are asked for with several passes",
            "a further pass runs over the whole flat piece, not over parts or extensions of it",
            "Leave them out, or make one pass.",
        )
    if piece.shared is not None:
        raise RequestError(
            option("continue"),
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
            ground = both_halves_of(piece)
            order = replace(order, allowances=NO_ALLOWANCE, fold_edge=None, smooth_hem=False, remarks=())
            remarks = [*made.remarks]
        made = _one_pass(piece, ground, order, [line for line, _ in own], [a for _, a in own], used, remarks, made)
        rest = [(_line_through(line, made), asked) for line, asked in rest]
    assert made is not None
    return made


def _line_through(line: StraightLine, made: PleatedPiece) -> StraightLine:
    # A line for a later pass, on the page of this one's flat piece.
    ground = made.laid.ground
    fold = ground.fold or ground.crossed
    if fold is not None and made.flat.fold_edge is not None:
        way = (fold.end - fold.start) / abs(fold.end - fold.start)
        if max(abs(((z - fold.start) * way.conjugate()).imag) for z in (line.start, line.end)) <= ON_FOLD:
            return replace(line, start=made.flat.fold_edge[0], end=made.flat.fold_edge[1])
    there = slash_through(line, made.finished.outline, made.lines, made.pleats, made.flattened.unfolded, made.number)
    return replace(there, start=there.start + made.sheet.offset, end=there.end + made.sheet.offset)


def _flat_as_piece(made: PleatedPiece) -> FinishedPiece:
    # The flat piece of a pass, as it would be read again from its result.
    piece, flat, offset = made.finished, made.flat, made.sheet.offset
    upright = made.lines.upright
    kept = [("finished-line", made.written.seam.outline.segments)]
    if made.written.cutting is not None:
        kept.append(("finished-cut-line", made.written.cutting.outline.segments))
    kept += [("finished-balance-line", line) for line in made.written.balance]
    earlier = earlier_after(
        PassMade(
            number=made.number,
            flat=flat,
            pleats=made.pleats,
            laps={p.number: lap_name(p.request, upright) for p in made.pleats},
            words={
                p.number: pleat_words(p.request, upright, made.unit, lower_word(made.laid.ground.edges))
                for p in made.pleats
            },
            offset=offset,
            sheet_marks=made.sheet.marks,
            sheet_words=made.sheet.words,
            stitching=tuple([(line.name, line.pleat, line.fold, line.runs) for line in made.sheet.stitching]),
            kept=tuple(kept),
            intakes={fact.number: (fact.intake_top, fact.intake_hem) for fact in made.facts},
            before=made.earlier,
            seen=seen_parts((*flat.creases, *flat.placements), made.pleats, made.laid.marked),
            stitched=stitched_parts((*flat.creases, *flat.placements), made.pleats),
        )
    )
    shapes, texts = shapes_after(made.flattened.carriage, offset)
    fold = None if flat.fold_edge is None else StraightLine("fold edge", *flat.fold_edge)
    return replace(
        piece,
        outline=_clockwise(flat.outline),
        slashes=(),
        crossing_lines=(),
        grain=None if made.written.grain is None else StraightLine("grainline", *made.written.grain),
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
    return outline.from_top_left()


def _one_pass(
    piece: FinishedPiece,
    ground: BothHalves,
    order: Order,
    lines_used: list[StraightLine],
    orders: list[PleatOrder],
    used: set[str],
    remarks: Sequence[str],
    before: PleatedPiece | None = None,
    finish: Finish | None = None,
) -> PleatedPiece:
    laid = replace(lay(piece, ground, order, lines_used, orders), finish=finish)
    flattened = flatten(laid, used)
    written = mark(laid, flattened, "" if before is None else before.written.allowance_words)
    proven = prove(laid, flattened, written)
    facts = facts_of(laid.pleats, written.flat, written.grain)
    told = [
        *laid.remarks,
        *flattened.remarks,
        *remarks_on_page(laid, flattened, written),
        *grain_remarks(facts, laid.lines),
    ]
    return PleatedPiece(
        laid=laid,
        flattened=flattened,
        written=written,
        proven=proven,
        facts=facts,
        remarks=(*piece.notes, *[remark.words for remark in order.remarks], *remarks, *told, *not_carried(piece)),
        number=1 if piece.earlier is None else piece.earlier.passes + 1,
        before=before,
    )
