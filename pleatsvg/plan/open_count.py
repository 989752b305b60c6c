"""Plans whose count is left open: a few of them side by side, with spacings of whole figures of the tape. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import replace

from pleatsvg.errors import FitError
from pleatsvg.length import finely, show
from pleatsvg.plan.asked import MOST_PLEATS, Asked
from pleatsvg.plan.completed import (
    WHOLE,
    Choice,
    Found,
    between_ends,
    completed,
    depth_notes,
    few_digits,
    spaces_of,
    too_many,
)
from pleatsvg.wording import message, option

_SPACINGS = {
    "cm": (10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0),
    "in": tuple([25.4 * n for n in (0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4)]),
}
"""Spacings to choose from, in whole figures of the tape."""


_USUAL = (20.0, 65.0)
"""mm. Spacings between which most skirts are pleated; C, common practice."""


_MIDDLING = 42.0
"""mm. The widest spacing that is put forward unasked: 4 cm, or 1 1/2 in."""


def side_by_side(a: Asked) -> Found:
    """Return a few plans whose count is left open: spacings of whole figures of the tape, or of whole repeats.

    Raises:
        FitError: there would be too many pleats, or no repeat fits.
    """
    if a.intake is not None:
        return _by_intake(a)
    if a.repeat is not None and a.flat is None:
        return _by_repeat(a)
    rows = [completed(replace(a, count=n)) for n in _counts(a)]
    even = [_is_even(plan.spacing, a.unit) for plan in rows]
    fit = [k for k, plan in enumerate(rows) if plan.spacing <= _MIDDLING] or [len(rows) - 1]
    best = max([k for k in fit if even[k]] or fit)
    whole = "whole figures on the tape"
    choices = [Choice(plan, whole if even[k] else "") for k, plan in enumerate(rows)]
    reason = (
        "fewer folds to mark and press than the closer ones" if best else "wider spacings are for long skirts and coats"
    )
    if even[best]:
        reason = (
            f"its spacing is a whole figure on the tape, with {reason}"
            if best
            else "its spacing is a whole figure on the tape"
        )
    still = message(
        "How many, or how far apart, was not given: a few are shown. Give {} or {} to settle it.",
        option("count", rows[best].count),
        option(
            "spacing", show(rows[best].spacing, a.unit).replace(" in", "in").replace(" cm", "cm").replace(" mm", "mm")
        ),
    )
    return Found(choices, best, reason, (still, *depth_notes(a)))


def _counts(a: Asked) -> list[int]:
    # Counts whose spacing is a whole figure of the tape, else the nearest to it; the closest pleats first.
    between, off = between_ends(a), spaces_of(a, 0)
    listed = _SPACINGS["in" if a.unit == "in" else "cm"]
    usual = [s for s in listed if _USUAL[0] - 0.1 <= s <= _USUAL[1]]
    rough = [between / s - off for s in usual]
    exact = [n for n in rough if n >= 1 - WHOLE and abs(n - round(n)) <= WHOLE * max(1.0, n)]
    some = exact if len(exact) >= 2 else rough
    counts = sorted({round(n) for n in some if n > 0.5 and n <= MOST_PLEATS}, reverse=True)
    return counts[:5] if counts else [max(1, math.ceil(2 - off))]


def _is_even(spacing: float, unit: str) -> bool:
    step = 25.4 / 4 if unit == "in" else 5.0
    return abs(spacing / step - round(spacing / step)) < 1e-6


def _by_intake(a: Asked) -> Found:
    # Finished width and intake: full, or farther apart and so shallow.
    assert a.intake is not None
    between, off = between_ends(a), spaces_of(a, 0)
    rows: list[Choice] = []
    exact = between / (a.intake / 2) - off
    if exact > MOST_PLEATS:
        raise too_many(exact)
    for share, why in ((1.0, "full"), (0.75, "shallow: three quarters"), (0.5, "shallow: half")):
        n = round(between * share / (a.intake / 2) - off)
        if n >= 1 and all(row.plan.count != n for row in rows):
            rows.append(Choice(completed(replace(a, count=n)), why))
    if not rows:
        rows.append(Choice(completed(replace(a, count=max(1, math.ceil(1 - off + 1e-9)))), ""))
    plan = rows[0].plan
    notes: list[str] = [
        message(
            "How many, or how far apart, was not given: full pleats come first. Give {} or {} to settle it.",
            option("count"),
            option("spacing"),
        )
    ]
    if abs(exact - round(exact)) > WHOLE * max(1.0, exact):
        way = "down" if plan.count < exact else "up"
        notes.append(
            f"Full pleats would be {few_digits(exact)}: rounded {way} to {plan.count}, and the spacing becomes "
            f"{finely(plan.spacing, a.unit)} instead of {show(a.intake / 2, a.unit)}."
        )
    rows = [Choice(row.plan, row.plan.named if k == 0 else row.why) for k, row in enumerate(rows)]
    return Found(rows, 0, "full pleats hang and press best: no gap, and three layers throughout", tuple(notes))


def _by_repeat(a: Asked) -> Found:
    # Full pleats three of whose spaces come to whole repeats.
    assert a.repeat is not None
    between, off = between_ends(a), spaces_of(a, 0)
    made: list[Choice] = []
    spacings = _SPACINGS["in" if a.unit == "in" else "cm"]
    for k in sorted({max(1, round((3 * spacing + a.lost) / a.repeat)) for spacing in spacings}):
        n = round(between / ((k * a.repeat - a.lost) / 3) - off) if k * a.repeat > a.lost else 0
        if not 1 <= n <= MOST_PLEATS or any(c.plan.count == n for c in made):
            continue
        plan = completed(replace(a, count=n))
        intake = k * a.repeat - plan.spacing - a.lost
        if intake > 0:
            made.append(Choice(replace(plan, intake=intake), f"{k} repeat{'s' * (k > 1)} from fold to fold"))
    if not made:
        raise FitError(
            option("repeat"),
            f"is {show(a.repeat, a.unit)}",
            f"too wide for full pleats in {show(between, a.unit)}",
            message("Give {} as well.", option("count")),
        )
    usual = [k for k, c in enumerate(made) if c.plan.spacing <= _MIDDLING] or [0]
    low, widest = max(0, max(usual) - 4), "1 1/2 in" if a.unit == "in" else "4 cm"
    still = message(
        "How many was not given: full pleats whose spacing and intake come to whole repeats are shown. Give {} to settle it.",
        option("count"),
    )
    return Found(
        made[low : low + 6],
        max(usual) - low,
        f"the widest spacing up to {widest}, so fewer folds than the closer ones",
        (still,),
    )
