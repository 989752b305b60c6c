"""A plan whose count is known, completed by the two equations of `solve`; with what is taken for granted. Lengths in mm."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from pleatsvg.errors import FitError, RequestError
from pleatsvg.length import show
from pleatsvg.plan.asked import MOST_PLEATS, Asked
from pleatsvg.plan.planned import SAME, Plan
from pleatsvg.plan.refusals import too_little_cloth
from pleatsvg.wording import message, option

WHOLE = 1e-6
"""A count that comes out this near a whole number is one: what is typed has few digits."""


class Choice(NamedTuple):
    """A plan, and in a few words what sets it apart."""

    plan: Plan
    why: str


class Found(NamedTuple):
    """Plans side by side, which of them is put forward and why, and what is to be told."""

    choices: list[Choice]
    best: int = 0
    reason: str = ""
    notes: tuple[str, ...] = ()


def spaces_of(a: Asked, count: float) -> float:
    """Return how many spaces so many pleats part the width between the ends into."""
    return count + len(a.apart) - 1 + a.ends.spaces


def spare_of(a: Asked) -> float:
    """Return how much of the finished width is left plain, in mm."""
    return a.plain + 2 * a.ends.margin


def completed(a: Asked) -> Plan:
    """Return the plan where the count is known, and just enough beside it.

    Raises:
        FitError: nothing is left for the pleats, or for what lies between them.
    """
    assert a.count is not None
    n, spaces, apart = a.count, spaces_of(a, a.count), sum(a.apart)
    spacing, wide = a.spacing, a.finished
    if spaces <= 0:
        raise RequestError(
            option("count"),
            "is 1, with a length at both ends",
            "one pleat has no space to the next, so the ends say all",
            message("Leave out {}, or give more pleats.", option("margin")),
        )
    if wide is None and spacing is None:
        if a.intake is not None and a.flat is not None:
            wide = a.flat - n * (a.intake + a.lost) - apart
        elif a.flat is not None:
            spacing = (a.flat - spare_of(a) - apart - n * a.lost) / (spaces + 2 * n)
        else:
            assert a.intake is not None
            spacing = a.intake / 2
    if wide is None:
        assert spacing is not None
        wide = spare_of(a) + spaces * spacing
    spacing = (wide - spare_of(a)) / spaces
    if spacing <= 0:
        raise too_little_cloth(a)
    plan = Plan(a, wide, n, spacing, 0.0)
    if a.intake is not None:
        return replace(plan, intake=a.intake)
    if a.flat is not None and a.finished is None and a.spacing is None:
        return replace(plan, intake=2 * spacing)
    if a.flat is not None:
        intake = (a.flat - wide - apart) / n - a.lost
        if intake <= 0:
            raise too_little_cloth(replace(a, finished=wide))
        return replace(plan, intake=intake)
    if a.kind.stitched:
        return replace(plan, depth_known=False)
    return replace(plan, intake=2 * spacing)


def taken_full(a: Asked) -> bool:
    """Return whether the pleats are full only because nothing else was said."""
    given = sum([one is not None for one in (a.intake, a.flat, a.repeat)])
    return not (given or a.full or a.kind.stitched)


_TAKEN_FULL = "No depth, intake or flat width was given: full pleats were taken, as is usual."


def with_depths(a: Asked, why: str = "") -> list[Choice]:
    """Return the plans for a known count: full or shallow where nothing is said of it, on the stripes where there are any."""
    plan = completed(a)
    if a.repeat is not None:
        return _on_repeats(a, plan, why)
    if not taken_full(a):
        return [Choice(plan, why)]
    less = replace(plan, intake=plan.spacing)
    return [Choice(plan, why), Choice(less, f"half as deep: {show(plan.flat - less.flat, a.unit)} less cloth")]


def _on_repeats(a: Asked, plan: Plan, why: str) -> list[Choice]:
    # Spacing and intake together come to whole repeats: the same stripe lies on every fold.
    assert a.repeat is not None
    step = plan.spacing + plan.marked_intake
    times = max(1, round(step / a.repeat))
    made: list[Choice] = []
    for k in (times, times - 1, times + 1):
        intake = k * a.repeat - plan.spacing - a.lost
        fits = a.flat is None or plan.count * (intake - plan.intake) <= SAME
        if k >= 1 and intake > 0.1 * plan.spacing and fits:
            said = f"{k} repeat{'s' * (k > 1)} from fold to fold"
            made.append(Choice(replace(plan, intake=intake), f"{why}, {said}" if why else said))
    if a.intake is not None or a.flat is not None:
        if abs(step - times * a.repeat) <= SAME:
            return [Choice(plan, why or "on whole repeats")]
        off = abs(step - times * a.repeat)
        return [*made[:1], Choice(plan, f"as asked: the stripe moves on {show(off, a.unit)} from fold to fold")]
    return made or [Choice(plan, why)]


def depth_notes(a: Asked) -> tuple[str, ...]:
    """Return what was taken for granted of the depth, in sentences."""
    return (_TAKEN_FULL,) if taken_full(a) else ()


def reason_of_depth(a: Asked) -> str:
    """Return why the first of `with_depths` is put forward, or ""."""
    if a.repeat is not None:
        return "the same stripe comes to lie on every fold"
    return "full pleats hang and press best: no gap, and three layers throughout" if taken_full(a) else ""


def between_ends(a: Asked) -> float:
    """Return the finished width that the spaces share, in mm."""
    assert a.finished is not None
    return a.finished - spare_of(a)


def few_digits(value: float) -> str:
    """Return a number with two decimals at most."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def too_many(exact: float) -> FitError:
    """Return what to say of a plan with more pleats than anybody makes."""
    count = f"{exact:.0f}" if exact < 1e9 else "more than a thousand million"
    return FitError(
        "The plan",
        f"would come to {count} pleats",
        f"up to {MOST_PLEATS} are planned",
        "Check the figures and their units.",
    )
