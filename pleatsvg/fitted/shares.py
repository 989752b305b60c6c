"""How much of what is to go at the waist vanishes in each pleat."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from pleatsvg.errors import FitError
from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.length import show
from pleatsvg.tolerance import FITTED_OFF
from pleatsvg.wording import message, option


def shares_of(
    edges: Sequence[PleatEdge],
    surplus: float,
    weights: Mapping[int, float],
    given: Mapping[int, float],
    unit: str,
) -> tuple[float, ...]:
    """Return the share of every edge, mm.

    Args:
        edges: of all pleats.
        surplus: what is to go in all, mm.
        weights: by pleat, how much vanishes in it beside the others; left out, 1. A half pleat on the fold edge counts half.
        given: by pleat, how much vanishes in it in lengths; the others share what is left by their weights.
        unit: for messages.

    Raises:
        FitError: the lengths given do not add up to what is to go, or all weights are nothing.
    """
    sides = Counter([edge.pleat for edge in edges])
    halved = {edge.pleat: 0.5 if edge.on_fold else 1.0 for edge in edges}
    left = surplus - sum(share * halved[pleat] for pleat, share in given.items())
    open_ = {pleat: weights.get(pleat, 1.0) * halved[pleat] for pleat in sides if pleat not in given}
    total = sum(open_.values())
    if (total <= 0 and abs(left) > FITTED_OFF) or left < -FITTED_OFF:
        over = f"the top is {show(surplus, unit)} longer than it is to be"
        if not given:
            raise FitError(
                "The weights of the pleats",
                f"are all 0, and {over}",
                "what vanishes at the waist is shared by them",
                message("Give a pleat a {} above 0, or give another {}.", option("weight"), option("fit_waist")),
            )
        raise FitError(
            "The shares of the pleats",
            f"come to {show(surplus - left, unit)}, and {over}",
            "together they are what vanishes at the waist",
            message(
                "Change one of them, leave {} out at some pleats, or give another {}.",
                option("share"),
                option("fit_waist"),
            ),
        )
    by_pleat = {pleat: share * halved[pleat] for pleat, share in given.items()}
    by_pleat |= {pleat: left * weight / total if total > 0 else 0.0 for pleat, weight in open_.items()}
    return tuple([max(0.0, by_pleat[edge.pleat]) / sides[edge.pleat] for edge in edges])
