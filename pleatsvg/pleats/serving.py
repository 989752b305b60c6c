"""What would serve instead, where lines that were placed leave a pleat no room: each way is tried before it is named."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import islice
from typing import Any

from pleatsvg.errors import FitError, PleatError, SlashError
from pleatsvg.length import Length
from pleatsvg.order.piece_order import Order
from pleatsvg.order.placing import Placing
from pleatsvg.piece.slash_lines import CrossingError
from pleatsvg.pleats.refusals import OverSideError, PokeError
from pleatsvg.pleats.spaces import typed
from pleatsvg.wording import Words, message, option


def with_what_serves(refusal: PokeError, order: Order, laid_out: Callable[[Order], object]) -> FitError:
    """Return a refusal of a pleat that reaches out past the seam, with the other ends of its lines that would leave room.

    Args:
        refusal: of the pleat.
        order: what was asked for; its lines share out an edge.
        laid_out: lays the pleats of an order out, or refuses it.
    """
    round_ = _round(order, laid_out)
    others = _others(order, refusal.deep)
    found = list(islice((words for ends, words in others if _serves(order, laid_out, ends=ends)), 1))
    told = [message("{} serves here: it leaves more room at the ends of the seam.", words) for words in found]
    if round_ is not None:
        told.append(
            message(
                "If these two sides are sewn to each other, {} lets {} run on over that seam.",
                round_,
                "the pleats" if found else "such pleats",
            )
        )
    if not told:
        return refusal
    if order.finish is None:
        told.append(message("Or take a smaller intake."))
    return FitError(refusal.element, refusal.measured, refusal.limit, message(" ".join(["{}"] * len(told)), *told))


def _round(order: Order, laid_out: Callable[[Order], object]) -> Words | None:
    # Whether the pleats fit where the sides are sewn to each other: they are spaced equally all round then.
    placing = _placing(order)
    if placing is None or order.ring is not None or placing.along is not None:
        return None
    sides = ("left side", "right side")
    return option("ring", "=".join(sides)) if _serves(replace(order, ring=sides), laid_out, ends="half") else None


def _serves(order: Order, laid_out: Callable[[Order], object], **otherwise: Any) -> bool:
    # Whether an order is laid out with its lines placed otherwise.
    pleats = [
        one if one.placing is None else replace(one, placing=replace(one.placing, **otherwise)) for one in order.pleats
    ]
    try:
        laid_out(replace(order, pleats=tuple(pleats)))
    except PleatError:
        return False
    return True


def with_a_run_that_serves(
    refusal: CrossingError | OverSideError, order: Order, laid_out: Callable[[Order], object]
) -> SlashError:
    """Return a refusal of placed lines that cross, or that leave a ring over a side, with the other ways of running in which
    they would not.

    Args:
        refusal: of the lines.
        order: what was asked for; its lines are placed.
        laid_out: lays the pleats of an order out, or refuses it.
    """
    runs = (("grain", "along the grain"), ("fan", "fanned out from edge to edge"))
    found = [message("{} ({})", option("run", run), what) for run, what in runs if _serves(order, laid_out, run=run)]
    if not found:
        return refusal
    return SlashError(
        refusal.element,
        refusal.measured,
        refusal.limit,
        message(f"{' or '.join(['{}'] * len(found))} serves here.", *found),
    )


def can_serve(order: Order) -> bool:
    """Return whether the lines of an order share out an edge, so that other ends may serve."""
    return len(order.pleats) == 1 and _placing(order) is not None


def can_run_otherwise(order: Order) -> bool:
    """Return whether lines of an order are placed, so that another way of running may serve."""
    return any(one.placing is not None and one.placing.gap is None for one in order.pleats)


def _placing(order: Order) -> Placing | None:
    placing = order.pleats[0].placing
    return placing if placing is not None and placing.gap is None and not placing.at else None


def _others(order: Order, deep: float) -> Iterator[tuple[Length | str, Words]]:
    placing = _placing(order)
    assert placing is not None
    if placing.count is not None and placing.spacing is not None:
        return
    if placing.ends == "half":
        yield "full", option("ends", "full")
    unit = order.unit
    step = 25.4 / 16 if unit == "in" else 1.0
    for share in (1.0, 1.25, 1.5, 2.0):  # in whole millimetres; where a side slants in, more than the depth is needed
        margin = math.ceil(share * deep / step - 1e-9) * step
        yield Length(margin, unit), option("ends", typed(margin, unit))
