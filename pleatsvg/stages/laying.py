"""Laying: the pleats on the finished piece, its cutting line, and where the flat piece is to be parted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from pleatsvg.errors import FitError
from pleatsvg.flat.joins import joins_for
from pleatsvg.order.piece_order import Order
from pleatsvg.order.pleat_order import PleatOrder
from pleatsvg.piece.both_halves import BothHalves, both_halves_of, fold_edge_of, halves_for_lines
from pleatsvg.piece.cutting.cutting_line import Cutting, cutting_line, distances_of
from pleatsvg.piece.cutting.drawn_cutting_line import drawn_cutting
from pleatsvg.piece.cutting.pressed_darts import pressed_darts
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.pleated import Laid
from pleatsvg.pleats.laid import LaidPleat, PleatRequest
from pleatsvg.pleats.layout import lay_out
from pleatsvg.pleats.requests import in_row, over_the_sides, requests_for
from pleatsvg.wording import message, option

if TYPE_CHECKING:
    from pleatsvg.fitted.fit import Fitted


def lay(
    piece: FinishedPiece, ground: BothHalves, order: Order, lines_used: list[StraightLine], orders: list[PleatOrder]
) -> Laid:
    """Return the pleats laid out on the finished piece.

    Args:
        piece: the finished piece.
        ground: what its pleats are laid out on.
        order: what is asked of all.
        lines_used: its slash lines, in any order.
        orders: what is asked at each of them.

    Raises:
        PleatError: a pleat, an allowance or a join does not fit the piece.
    """
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
    over = [] if piece.ring is not None else over_the_sides(lines, ground, in_line)
    return _laid(piece, ground, order, lines, pleats, cutting, ([*turned, *remarks], over))


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
    over = [] if piece.ring is not None else over_the_sides(lines, ground, orders)
    told = [*over, *fitted_remarks(fitted, order.unit), *staying_remarks(piece, fitted, order.unit)]
    return _laid(piece, ground, order, fitted.lower.lines, pleats, fitted.lower.cutting, (remarks, told), fitted)


def _laid(
    piece: FinishedPiece,
    ground: BothHalves,
    order: Order,
    lines: SlashSet,
    pleats: tuple[LaidPleat, ...],
    cutting: Cutting | None,
    remarks: tuple[Sequence[str], Sequence[str]],
    fitted: Fitted | None = None,
) -> Laid:
    # With the joins at which the flat piece is parted; what is said of these stands between the other remarks.
    above = None if fitted is None else (fitted.upper.lines, fitted.above, fitted.cutting_above)
    joins, parted = joins_for(piece, lines, pleats, cutting, order, above)
    join_allowance, unallowed = _join_allowance(order, cutting, bool(joins) or any(pleat.kick for pleat in pleats))
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
        remarks=(*remarks[0], *parted, *unallowed, *remarks[1]),
        fitted=fitted,
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
