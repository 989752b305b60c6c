"""Where a flat piece is cut in parts: at separate underlays, at a given-up seam, and where the cloth is too narrow."""

from __future__ import annotations

import math
from itertools import pairwise

from pleatsvg.errors import FitError
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.unfold import unfold
from pleatsvg.length import show
from pleatsvg.order.piece_order import Order
from pleatsvg.piece.cutting_line import Cutting
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.result.roles import Role
from pleatsvg.tolerance import ON_FOLD, ON_LINE
from pleatsvg.wording import message, option


def joins_for_width(
    whole: Unfolded, joins: list[int], inner: list[int], width: float, beyond: float, across: complex
) -> list[int] | float:
    """Return the creases at which to part a flat piece, or the width that its widest part would need.

    Going from one side to the other and parting as late as possible makes the fewest joins.

    Args:
        whole: the flat piece in one part.
        joins: where it is parted anyhow.
        inner: all inner folds, ascending.
        width: of the cloth, mm.
        beyond: the allowance of a join, mm.
        across: the direction across the cloth.
    """
    count = len(whole.creases)
    spans: list[tuple[float, float]] = []
    flip = across.conjugate()
    points: list[list[complex]] = [[] for _ in range(count + 1)]
    for edge in whole.cut or whole.seam:
        points[edge.layer] += edge.points
    for k, crease in enumerate(whole.creases):
        points[k] += (crease.out_top, crease.out_hem)
        points[k + 1] += (crease.out_top, crease.out_hem)
    for layer in points:
        places = [(z * flip).real for z in layer]
        spans.append((min(places), max(places)))

    def wide(first: int, last: int) -> float:
        span = max(s[1] for s in spans[first : last + 1]) - min(s[0] for s in spans[first : last + 1])
        return span + beyond * ((first > 0) + (last < count))

    bounds = sorted({-1, *inner, *joins, count})
    widest = max(wide(before + 1, after) for before, after in pairwise(bounds))
    if widest > width + ON_LINE:
        return widest
    made: list[int] = []
    first = 0
    for before, k in pairwise(bounds):
        if before >= first and wide(first, k) > width + ON_LINE:
            made.append(before)
            first = before + 1
        if k in joins:
            made.append(k)
            first = k + 1
    return made


def joins_for(
    piece: FinishedPiece, lines: SlashSet, pleats: tuple[LaidPleat, ...], cutting: Cutting | None, order: Order
) -> tuple[list[int], list[str]]:
    """Return the creases at which the flat piece is parted, by number and ascending, and remarks.

    Those are the creases of separate underlays, the one where two pieces laid together are parted again, and as few more
    as the width of the cloth asks for.

    Raises:
        FitError: there is no inner fold to part it at, or the parts are still too wide for the cloth.
    """
    joins: list[int] = []
    inner: list[int] = []
    at = 0
    for pleat in pleats:
        here = [k for k, fold in enumerate(pleat.folds, at) if fold.role is Role.INNER]
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
            message("Slash along the seam between them, as in {}; tucks hide no join.", option("slash", "right side")),
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
