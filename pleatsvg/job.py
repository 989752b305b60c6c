"""The whole job as one function of named steps: a finished piece and an order go in, a proven flat piece comes out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from pleatsvg.errors import FitError, PleatError, ProofError, RequestError, listed
from pleatsvg.flat.as_written import finished_on_page, flat_on_page, rounded
from pleatsvg.flat.carried import carry
from pleatsvg.flat.facts import facts_of, free_remarks, grain_remarks, intakes_of, not_carried, turned_remarks
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.grain import marked_grain
from pleatsvg.flat.joins import farther_apart, joins_for
from pleatsvg.flat.passes.earlier_lines import on_page, slash_through, take_through
from pleatsvg.flat.passes.next_pass import PassMade, earlier_after, shapes_after
from pleatsvg.flat.unfold import crossed_fold, kicks_of, layers_lie_apart, unfold
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.kinds import is_kick
from pleatsvg.length import show
from pleatsvg.marks.seen import seen_parts, stitched_parts
from pleatsvg.marks.stitching import stitching_lines
from pleatsvg.order.allowances import NO_ALLOWANCE
from pleatsvg.order.line_names import unit_said
from pleatsvg.order.piece_order import Order
from pleatsvg.order.pleat_order import PleatOrder
from pleatsvg.page.compose import lay_on_sheet
from pleatsvg.page.fitted_table import Figures, table_of
from pleatsvg.page.subject import Above, Subject
from pleatsvg.piece.both_halves import BothHalves, both_halves_of, fold_edge_of, halves_for_lines
from pleatsvg.piece.cutting.cutting_line import Cutting, cutting_line, distances_of
from pleatsvg.piece.cutting.drawn_cutting_line import drawn_cutting
from pleatsvg.piece.cutting.pressed_darts import pressed_darts
from pleatsvg.piece.edges import lower_word
from pleatsvg.piece.finished import FinishedPiece, Ring, StraightLine
from pleatsvg.piece.open_darts import open_dart_remarks
from pleatsvg.piece.slash_lines import CrossingError, SlashSet
from pleatsvg.pleated import Flattened, Laid, PleatedPiece, Proven, Written
from pleatsvg.pleats.kick import KickTop
from pleatsvg.pleats.laid import LaidPleat, PleatRequest
from pleatsvg.pleats.layout import lay_out
from pleatsvg.pleats.refusals import PokeError
from pleatsvg.pleats.requests import as_named, in_row, lines_for, made_ready, over_the_sides, requests_for
from pleatsvg.pleats.words import lap_name, pleat_words
from pleatsvg.proof.before_writing import FoldBack, ToFold, folded_back, folded_layers, prove_earlier, worst_of
from pleatsvg.tolerance import FOLD_BACK, ON_FOLD, SEAMS_APART, SNAP
from pleatsvg.wording import message, option

if TYPE_CHECKING:
    from pleatsvg.fitted.fit import Fitted
    from pleatsvg.fitted.spliced import Spliced
    from pleatsvg.fitted.zones import ZoneWritten
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
    wanted = _wanted(piece, ground, order)
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
    refusal: PokeError | CrossingError, piece: FinishedPiece, ground: BothHalves, order: Order
) -> PleatError:
    from pleatsvg.pleats.serving import can_serve, with_a_run_that_serves, with_what_serves

    if not can_serve(order):
        return refusal

    def laid_out(other: Order) -> Laid:
        wanted = _wanted(piece, ground, other)
        return _lay(wanted.piece, wanted.ground, wanted.order, wanted.lines, wanted.orders)

    if isinstance(refusal, CrossingError):
        return with_a_run_that_serves(refusal, order, laid_out)
    return with_what_serves(refusal, order, laid_out)


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
    laid = replace(_lay(piece, ground, order, lines_used, orders), finish=finish)
    flattened = _flatten(laid, used)
    written = _mark(laid, flattened, "" if before is None else before.written.allowance_words)
    proven = _prove(laid, flattened, written)
    facts = facts_of(laid.pleats, written.flat, written.grain)
    told = [
        *laid.remarks,
        *flattened.remarks,
        *_remarks_on_page(laid, flattened, written),
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


def _lay(
    piece: FinishedPiece, ground: BothHalves, order: Order, lines_used: list[StraightLine], orders: list[PleatOrder]
) -> Laid:
    # The pleats on the finished piece, its cutting line, and where the flat piece is to be parted.
    if piece.ring is not None:
        from pleatsvg.pleats.allround.lines import ring_row

        piece, lines = ring_row(piece, lines_used, order.unit)
        ground = both_halves_of(piece)
    else:
        ground = halves_for_lines(piece, ground, lines_used)
        lines = in_row(piece, ground, lines_used, order.unit)
    in_line = [orders[k] for k in lines.given]
    requests = requests_for(piece, lines, in_line, ground.fold or ground.crossed)
    if order.fit is not None:
        return _lay_fitted(piece, ground, order, lines, in_line, requests)
    turned: list[str] = []
    if lines.closed:
        from pleatsvg.pleats.pivoting import told, turned_open

        requests = turned_open(lines, requests, in_line, order.unit)
        turned = told(lines, requests, order.unit)
    pleats = lay_out(lines, requests, order.unit)
    if piece.earlier is not None:
        pleats = tuple([replace(pleat, number=pleat.number + piece.earlier.pleats) for pleat in pleats])
    cutting, remarks = cutting_of(piece, ground, lines, order)
    joins, said = joins_for(piece, lines, pleats, cutting, order)
    remarks = [*turned, *remarks, *said, *([] if piece.ring is not None else over_the_sides(lines, ground, in_line))]
    join_allowance, unallowed = _join_allowance(order, cutting, bool(joins) or any(pleat.kick for pleat in pleats))
    remarks += unallowed
    if order.smooth_hem and joins:
        raise _not_smooth(piece)
    return Laid(
        piece=piece,
        order=order,
        ground=ground,
        lines=lines,
        pleats=pleats,
        cutting=cutting,
        joins=tuple(joins),
        join_allowance=join_allowance,
        remarks=tuple(remarks),
    )


def _not_smooth(piece: FinishedPiece) -> FitError:
    return FitError(
        f"The hem of '{piece.name}'",
        "was to be smooth, but the flat piece is cut in parts",
        "a join ends at a hem that is trued as folded",
        message(
            "Leave out {}, or {} and {}.",
            option("hem", "smooth"),
            option("underlay", "separate"),
            option("cloth_width"),
        ),
    )


def _join_allowance(order: Order, cutting: Cutting | None, joined: bool) -> tuple[float, list[str]]:
    # What is allowed beyond a join, mm, and a remark where it is nothing while other edges have some.
    allowed = order.allowances.everywhere
    join_allowance = allowed.mm if allowed is not None and cutting is not None else 0.0
    if cutting is None or join_allowance or not joined:
        return join_allowance, []
    return 0.0, [
        message(
            "Joins, and the seam above a kick pleat, have no allowance, since only single edges were given "
            "one; give {} as well, or add yours outside them.",
            option("allowance", "15mm"),
        )
    ]


def _lay_fitted(
    piece: FinishedPiece,
    ground: BothHalves,
    order: Order,
    lines: SlashSet,
    orders: Sequence[PleatOrder],
    requests: list[PleatRequest],
) -> Laid:
    # The same where the pleats are shaped between hip and top: laid out on the piece below the hip, and on what the panels
    # above it become.
    from pleatsvg.fitted.fit import fit_piece
    from pleatsvg.fitted.refusals import refuse_level
    from pleatsvg.fitted.told import fitted_remarks, staying_remarks

    assert order.fit is not None
    refuse_level(lines, ground)
    once = {id(request): request for request in requests}  # alike pleats share one
    known = {key: replace(request, level=order.fit.level) for key, request in once.items()}
    requests = [known[id(request)] for request in requests]
    cutting, remarks = cutting_of(piece, ground, lines, order)
    fitted = fit_piece(
        piece,
        order.fit if order.fit.unit else replace(order.fit, unit=order.unit),
        ground,
        lines,
        requests,
        cutting,
        order.allowances.dart_lies,
        {number: float(asked.weight) for number, asked in enumerate(orders, 1)},
        {number: asked.share for number, asked in enumerate(orders, 1) if asked.share is not None},
    )
    pleats = lay_out(fitted.lower.lines, requests, order.unit)
    above = fitted.upper.lines, fitted.above, fitted.cutting_above
    joins, parted = joins_for(piece, fitted.lower.lines, pleats, fitted.lower.cutting, order, above)
    join_allowance, said = _join_allowance(order, cutting, bool(joins))
    if order.smooth_hem and joins:
        raise _not_smooth(piece)
    return Laid(
        piece=piece,
        order=order,
        ground=ground,
        lines=fitted.lower.lines,
        pleats=pleats,
        cutting=fitted.lower.cutting,
        joins=tuple(joins),
        join_allowance=join_allowance,
        remarks=(
            *remarks,
            *parted,
            *said,
            *fitted_remarks(fitted, order.unit),
            *staying_remarks(piece, fitted, order.unit),
        ),
        fitted=fitted,
    )


def _flatten(laid: Laid, used: set[str]) -> Flattened:
    # The flat piece, and with it what else is drawn on the finished one.
    piece, order, lines, pleats = laid.piece, laid.order, laid.lines, laid.pleats
    spliced, apart = None, False
    balance_above: tuple[tuple[Segment, ...], ...] = ()
    if laid.fitted is not None:
        from pleatsvg.fitted.closing.taken_along import carry_fitted
        from pleatsvg.fitted.fit import flat_of
        from pleatsvg.fitted.spliced import zones_lie_apart

        spliced = flat_of(laid.fitted, pleats, order.smooth_hem, laid.joins, laid.join_allowance)
        if laid.joins and (farther := farther_apart(spliced.flat)):
            spliced = flat_of(laid.fitted, pleats, False, laid.joins, laid.join_allowance, farther)
        unfolded = spliced.flat
        apart = zones_lie_apart(spliced, lines.hand)
        lines = laid.fitted.drawn
    else:
        unfolded = unfold(lines, pleats, laid.cutting, laid.joins, laid.join_allowance, order.smooth_hem)
        if laid.joins and (farther := farther_apart(unfolded)):
            unfolded = unfold(lines, pleats, laid.cutting, laid.joins, laid.join_allowance, farther=farther)
    if laid.ground.crossed is not None:
        unfolded = replace(unfolded, fold_edge=crossed_fold(piece, laid.ground.crossed, lines, unfolded))
    remarks = []
    if order.smooth_hem:
        off = show(unfolded.hem_off, order.unit)
        by = off if off.startswith("less") else f"up to {off}"
        remarks.append(f"The hem runs smoothly over the hidden cloth; it leaves the folded hem by {by}.")
    if piece.ring is not None:
        for ends, cutting, flat in _ring_zones(piece.ring, laid, unfolded, spliced):
            _refuse_past_the_end(piece, ends, cutting, flat)
    if not apart:
        _refuse_lapping_cloth(piece, lines, unfolded, pleats, spliced is not None)
    if unfolded.trimmed:
        _refuse_seam_outside(piece, unfolded)
    shapes = tuple([shape for shape in piece.shapes if shape.name not in used])
    if laid.fitted is not None and spliced is not None:
        carriage, balance_above = carry_fitted(piece, shapes, laid.fitted, laid.pleats, spliced, order.unit)
    else:
        carriage = carry(shapes, piece.texts, lines, pleats, unfolded, order.unit)
    grain, said = marked_grain(piece, lines, unfolded, order.unit)
    return Flattened(
        unfolded=unfolded,
        through=None
        if piece.earlier is None
        else take_through(piece.earlier, lines, pleats, unfolded, [shape.stroke for shape in shapes]),
        carriage=carriage,
        grain=grain,
        remarks=(*remarks, *said),
        spliced=spliced,
        balance_above=balance_above,
    )


def _above(laid: Laid, fitted: Fitted, spliced: Spliced, level: Sequence[tuple[complex, int]]) -> Above:
    # Of a fitted piece, what is marked above the level at which its lines bend, and the table of its figures.
    from pleatsvg.fitted.spliced import level_by_layer
    from pleatsvg.fitted.table import fitted_columns

    called = ("top", fitted.asked.level, lower_word(laid.ground.edges))
    taken = intakes_of(spliced.flat)
    numbers = [pleat.number for pleat in laid.pleats]
    levels = [
        (name, Figures(row.spaces, row.intakes, row.so_far))
        for name, row in zip(called, fitted_columns(fitted, [taken[number] for number in numbers]), strict=True)
    ]
    return Above(
        unfolded=spliced.above,
        pleats=fitted.above,
        lines=fitted.upper.lines,
        lengths=fitted.lengths,
        waist=fitted.closed.length,
        foot=fitted.asked.foot,
        down=fitted.asked.down,
        table=table_of(numbers, levels, laid.order.unit, fitted.drawn.ring),
        below=spliced.below if fitted.asked.curved else None,
        level=level_by_layer(level),
    )


def _mark(laid: Laid, flattened: Flattened, allowance_words: str) -> Written:
    # Notches, arrows, stitching and words; all of it on its page, as it will be written.
    order, lines, pleats, unfolded = laid.order, laid.lines, laid.pleats, flattened.unfolded
    fitted, spliced, cutting_drawn, above = laid.fitted, flattened.spliced, laid.cutting, None
    if fitted is not None and spliced is not None:
        # Above the hip stand the notches of the top and all stitching, below it the words.
        level = spliced.level_points(fitted.hip.ends)
        above = _above(laid, fitted, spliced, level)
        stitching, untold = stitching_lines(
            fitted.upper.lines, fitted.above, spliced.above, fitted.cutting_above, order.marking
        )
        lines, cutting_drawn = fitted.drawn, fitted.cutting
        whole, unfolded = (
            unfolded,
            replace(unfolded, creases=spliced.below.creases, placements=spliced.below.placements),
        )
    else:
        whole = unfolded
        stitching, untold = stitching_lines(lines, pleats, unfolded, laid.cutting, order.marking)
    subject = Subject(
        name=laid.piece.name,
        lines=lines,
        ground=laid.ground,
        cutting=cutting_drawn,
        marking=replace(order.marking, mark=laid.marked),
        join_allowance=laid.join_allowance,
        unit=order.unit,
        through=flattened.through,
        allowances=allowance_words,
        above=above,
    )
    sheet = lay_on_sheet(subject, pleats, unfolded, flattened.carriage, flattened.grain, stitching)
    sheet = replace(sheet, remarks=(*sheet.remarks, *untold))
    offset = sheet.offset
    grain = None
    if flattened.grain is not None:
        start, end = rounded([z + offset for z in flattened.grain])
        grain = (start, end)
    flat = flat_on_page(whole, offset)
    zones: tuple[ZoneWritten, ...] = ()
    levels: tuple[tuple[complex, ...], ...] = ()
    cutting, slide = None, 0j
    seam = finished_on_page(lines.outline, laid.ground, lines, offset)
    if fitted is not None and spliced is not None:
        from pleatsvg.fitted.zones import zones_on_page

        zones = zones_on_page(fitted, spliced, flat, laid.ground, offset, seam)
        slide = spliced.slide
        levels = tuple([tuple(rounded([z + offset for z in row])) for row in spliced.hip_levels(level)])
    elif laid.cutting is not None:
        cutting = finished_on_page(laid.cutting.outline, laid.ground, lines, offset, laid.cutting)
        if unfolded.trimmed or unfolded.joins or unfolded.hem_off or any(pleat.kick for pleat in pleats):
            # What is trimmed covers less of the finished line; the allowances of joins lie beyond their layers.
            cutting = replace(cutting, wanted=frozenset())
    return Written(
        sheet=sheet,
        flat=flat,
        seam=seam,
        zones=zones,
        hip_levels=levels,
        cutting=cutting,
        grain=grain,
        earlier=None if flattened.through is None else on_page(flattened.through, offset),
        allowance_words=subject.allowance_words(),
        balance=balance_on_page(laid, flattened, offset),
        balance_above=tuple([_path_on_page(path, offset + slide) for path in flattened.balance_above]),
    )


def balance_on_page(laid: Laid, flattened: Flattened, offset: complex) -> tuple[tuple[Segment, ...], ...]:
    """Return balance lines as they were drawn: what those on the flat piece are folded back onto."""
    carried = {line.name for line in flattened.carriage.lines if line.balance}
    return tuple(
        [
            _path_on_page(shape.stroke, offset)
            for shape in laid.piece.shapes
            if shape.part == "balance" and shape.name in carried
        ]
    )


def _path_on_page(path: tuple[Segment, ...], offset: complex) -> tuple[Segment, ...]:
    return tuple([tuple(rounded([z + offset for z in seg])) for seg in path])


def _prove(laid: Laid, flattened: Flattened, written: Written) -> Proven:
    # Folded back by nothing but the creases as they will be written.
    if written.zones:
        return _prove_zones(laid, written)
    flat = written.flat
    folded = folded_layers(flat.creases, flat.joins)
    asked = [ToFold(written.seam, flat.seam, folded, flat.creases, flat.placements)]
    if written.cutting is not None:
        asked.append(ToFold(written.cutting, flat.cut, folded))
    seam, *cuttings = folded_back(asked)
    for found in (seam, *cuttings):
        _refuse_unproven(laid.piece, found)
    miss = 0.0
    if flattened.through is not None and written.earlier is not None:
        offset = written.sheet.offset
        miss = prove_earlier(laid.piece.name, flattened.through, written.earlier, flat.creases, offset)
    return Proven(seam=seam, cutting=cuttings[0] if cuttings else None, earlier_miss=miss)


def _prove_zones(laid: Laid, written: Written) -> Proven:
    # Of a fitted piece each zone by itself: it lies flat above the hip, or below it, never both at once.
    seams: list[ToFold] = []
    cuttings: list[ToFold] = []
    for zone in written.zones:
        flat = zone.flat
        folded = folded_layers(flat.creases, flat.joins)
        bent_at = "hem" if zone.name == "above" else "top"
        seams.append(ToFold(zone.seam, flat.seam, folded, flat.creases, flat.placements, bent_at))
        if zone.cutting is not None:
            cuttings.append(ToFold(zone.cutting, flat.cut, folded))
    found = folded_back([*seams, *cuttings])
    for one in found:
        _refuse_unproven(laid.piece, one)
    count = len(seams)
    return Proven(worst_of(found[:count]), worst_of(found[count:]) if cuttings else None, 0.0)


def _remarks_on_page(laid: Laid, flattened: Flattened, written: Written) -> list[str]:
    remarks: list[str] = []
    if laid.cutting is not None:
        remarks += free_remarks(written.flat)
        if laid.order.allowances.hem_turn:
            remarks += turned_remarks(laid.lines, laid.pleats, flattened.unfolded, laid.order.unit)
    if flattened.through is not None:
        remarks += flattened.through.remarks
    return [*remarks, *flattened.carriage.remarks, *written.sheet.remarks]


def cutting_of(
    piece: FinishedPiece, ground: BothHalves, lines: SlashSet, order: Order
) -> tuple[Cutting | None, list[str]]:
    """Return the finished cutting line, drawn or asked for, or None, and remarks on it."""
    asked = order.allowances
    remarks: list[str] = []
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
                message("Give {} with the first pass; it runs on through the others.", option("allowance")),
            )
        fold = fold_edge_of(piece, order.fold_edge) if ground.on_fold else None
        by_edge = distances_of(ground.edges, asked, fold.number if fold is not None else None)
        if not any(by_edge.values()):
            return None, remarks
        darts = pressed_darts(piece, ground, asked.dart_lies)
        cutting = cutting_line(piece.name, ground, by_edge, asked.hem_turn, darts)
    else:
        return None, remarks
    if (lines.outline.area > 0) != (cutting.outline.area > 0):
        cutting = replace(cutting, outline=cutting.outline.reversed())
    return cutting, remarks


_EndsAll = Sequence[tuple[complex, complex]]


def _ring_zones(
    ring: Ring, laid: Laid, unfolded: Unfolded, spliced: Spliced | None
) -> list[tuple[_EndsAll, Cutting, Unfolded]]:
    # Where the cloth that is laid out all round ends, its cutting line and the flat piece; of a fitted one in either zone.
    if laid.cutting is None:
        return []
    if laid.fitted is None or spliced is None or laid.fitted.closed_all is None:
        return [(ring.ends, laid.cutting, unfolded)]
    motions = laid.fitted.closed_all.motions
    closed = [(own.of(top), own.of(hem)) for own, (top, hem) in zip((motions[0], motions[-1]), ring.ends, strict=True)]
    found: list[tuple[_EndsAll, Cutting, Unfolded]] = [(ring.ends, laid.cutting, spliced.below)]
    if laid.fitted.cutting_above is not None:
        found.append((closed, laid.fitted.cutting_above, spliced.above))
    return found


def _refuse_past_the_end(piece: FinishedPiece, ends: _EndsAll, cutting: Cutting, unfolded: Unfolded) -> None:
    # The allowance of a join that finds no top or hem to end at runs on to where the laid out cloth ends.
    ending = set()
    for top, hem in ends:
        along = (hem - top) / abs(hem - top)
        for index, seg in enumerate(cutting.outline.segments):
            off = [abs(((z - top) * along.conjugate()).imag) for z in (seg[0], seg[-1])]
            if max(abs(far - max(cutting.distances)) for far in off) < SNAP and abs(seg[-1] - seg[0]) > SNAP:
                ending.add(index)
    if any(edge.origin[0] in ending for edge in unfolded.cut):
        raise FitError(
            f"The allowance of '{piece.name}'",
            f"of {max(cutting.distances):.1f} mm meets no other beside a join",
            "the seam there is so hollow that the allowances on its two sides lie over each other",
            message("Take a smaller {}, or fewer and wider pieces.", option("allowance")),
        )


def _refuse_lapping_cloth(
    piece: FinishedPiece, lines: SlashSet, unfolded: Unfolded, pleats: tuple[LaidPleat, ...], bent: bool
) -> None:
    kicks = kicks_of(pleats)
    spot = _touching_seams(unfolded, kicks)
    if spot is None:
        if not bent and layers_lie_apart(unfolded, lines.hand):
            return
        spot = next((z for one in unfolded.cuts if (z := self_crossing(one, loops=False)) is not None), None)
    if spot is not None:
        raise FitError(
            f"The flat piece '{piece.name}'",
            f"would lie over itself near ({spot.real:.0f}, {spot.imag:.0f}) mm on the drawing",
            "a piece is cut from one layer of cloth",
            message(
                "The two allowances of the seam above a kick pleat need room between them: take a smaller {} or a "
                "larger intake, leave out {} where it is the larger one, or give {}.",
                option("allowance"),
                option("hem_intake"),
                option("underlay", "separate"),
            )
            if kicks
            else "Take a smaller intake or fewer lines in one piece, or part the piece at a seam first.",
        )


def _touching_seams(unfolded: Unfolded, kicks: Mapping[int, KickTop]) -> complex | None:
    # Where the two edges of a seam above a kick pleat meet on the flat piece; a taper may bring their ends together.
    for first, kick in kicks.items():
        if not any(first <= join.crease < first + 4 for join in unfolded.joins):
            top = unfolded.motions[first].of(kick.whole.top)
            if abs(unfolded.motions[first + 4].of(kick.whole.top) - top) < SEAMS_APART:
                return top
    return None


def _refuse_seam_outside(piece: FinishedPiece, unfolded: Unfolded) -> None:
    # Where fold lines meet inside the allowance it is trimmed, and may not be left on the wrong side of the seam.
    from pleatsvg.geometry.inside import outside

    spot = outside(unfolded.outline, unfolded.cuts[0])
    if spot is not None:
        raise FitError(
            f"The allowance of '{piece.name}'",
            f"would leave the seam without cloth near ({spot.real:.0f}, {spot.imag:.0f}) mm on the drawing, since fold "
            "lines meet inside it",
            "the cutting line goes round the seam",
            "Take a smaller allowance there, or move the slash line away from that edge.",
        )


def _refuse_unproven(piece: FinishedPiece, proof: FoldBack) -> None:
    if not proof.worst <= FOLD_BACK:
        raise ProofError(
            f"The flat piece '{piece.name}'",
            f"does not fold back onto the drawn piece: an edge misses it by {proof.worst:.4f} mm",
            f"the limit is {FOLD_BACK} mm",
            "Nothing was written. Very short slash lines on a very large piece can cause this; move them apart and try again.",
        )
