"""From what is known to whole plans: the sensible ones side by side, the best of them first told why. Lengths in mm.

Finished width, count, spacing, intake and flat width hang together by two equations:

    finished = plain + margins + spaces x spacing        flat = finished + count x (intake + lost in turning)

so three of the five are enough; two are, where the pleats are full (intake = 2 x spacing).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from pleatsvg.errors import FitError, RequestError
from pleatsvg.length import finely, show, show_far
from pleatsvg.plan.asked import LONGEST, MOST_PLEATS, Asked, counted
from pleatsvg.plan.planned import SAME, Plan
from pleatsvg.plan.refusals import agrees, does_not_come_out, more_wanted, nothing_left, too_little_cloth
from pleatsvg.wording import message, option

WHOLE = 1e-6
"""A count that comes out this near a whole number is one: what is typed has few digits."""


_SPACINGS = {
    "cm": (10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0),
    "in": tuple([25.4 * n for n in (0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 4)]),
}
"""Spacings to choose from, in whole figures of the tape."""


_USUAL = (20.0, 65.0)
"""mm. Spacings between which most skirts are pleated; C, common practice."""


_MIDDLING = 42.0
"""mm. The widest spacing that is put forward unasked: 4 cm, or 1 1/2 in."""


class Choice(NamedTuple):
    """A plan, and in a few words what sets it apart."""

    plan: Plan
    why: str


@dataclass(frozen=True, slots=True)
class Answer:
    """Sensible plans side by side.

    Attributes:
        choices: at least one.
        best: which of them is put forward, from 0.
        reason: why, or "" where there is one only.
        notes: what was taken for granted or rounded, in sentences.
    """

    choices: tuple[Choice, ...]
    best: int
    reason: str
    notes: tuple[str, ...]

    @property
    def plan(self) -> Plan:
        """The one that is put forward."""
        return self.choices[self.best].plan


class _Found(NamedTuple):
    choices: list[Choice]
    best: int = 0
    reason: str = ""
    notes: tuple[str, ...] = ()


def answered(asked: Asked) -> Answer:
    """Return the sensible plans for what is asked.

    Raises:
        RequestError: too little is known, or two figures disagree.
        FitError: it cannot be, and what would be possible.
    """
    notes = list(asked.notes)
    a = _with_gap(asked, notes)
    if a.finished is not None and a.finished - a.plain - 2 * a.ends.margin <= 0:
        raise nothing_left(a)
    if a.finished is not None and a.flat is not None and a.flat - sum(a.apart) <= a.finished:
        raise too_little_cloth(a)
    if not _enough(a):
        raise more_wanted(a)
    found = _counted(a) if a.count is not None else _rounded(a) if _has_count(a) else _tabled(a)
    _refuse_beyond(found.choices, a)
    return Answer(
        tuple(found.choices), found.best, found.reason if len(found.choices) > 1 else "", (*notes, *found.notes)
    )


def _with_gap(a: Asked, notes: list[str]) -> Asked:
    if a.gap is None:
        return a
    if a.intake is None:
        if a.flat is None:
            notes.append("The tucks' own width was left out of the division, since no depth was given.")
        return replace(a, spacing=a.gap)
    return replace(a, spacing=a.gap + a.intake / a.takes)


def _enough(a: Asked) -> bool:
    known = [a.count is not None, a.spacing is not None, a.intake is not None, a.flat is not None]
    if a.kind.stitched:  # there are no full tucks
        if a.finished is not None:
            return known[0] or known[1] or (known[2] and known[3])
        return (known[0] and known[1]) or (known[2] and known[3] and (known[0] or known[1]))
    return a.finished is not None or (sum(known) >= 2 and known != [False, True, True, False])


def _has_count(a: Asked) -> bool:
    # Whether the count follows, though it may have to be rounded.
    if a.finished is not None:
        return a.spacing is not None or (a.intake is not None and a.flat is not None)
    return True


def _spaces(a: Asked, count: float) -> float:
    return count + len(a.apart) - 1 + a.ends.spaces


def _spare(a: Asked) -> float:
    return a.plain + 2 * a.ends.margin


def completed(a: Asked) -> Plan:
    """Return the plan where the count is known, and just enough beside it.

    Raises:
        FitError: nothing is left for the pleats, or for what lies between them.
    """
    assert a.count is not None
    n, spaces, apart = a.count, _spaces(a, a.count), sum(a.apart)
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
            spacing = (a.flat - _spare(a) - apart - n * a.lost) / (spaces + 2 * n)
        else:
            assert a.intake is not None
            spacing = a.intake / 2
    if wide is None:
        assert spacing is not None
        wide = _spare(a) + spaces * spacing
    spacing = (wide - _spare(a)) / spaces
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


def _assumed(a: Asked) -> bool:
    # Whether the pleats are full only because nothing else was said.
    given = sum([one is not None for one in (a.intake, a.flat, a.repeat)])
    return not (given or a.full or a.kind.stitched)


_TAKEN_FULL = "No depth, intake or flat width was given: full pleats were taken, as is usual."


def _depths(a: Asked, why: str = "") -> list[Choice]:
    # The plans for a known count: full or shallow where nothing is said of it, on the stripes where there are any.
    plan = completed(a)
    if a.repeat is not None:
        return _on_repeats(a, plan, why)
    if not _assumed(a):
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


def _depth_notes(a: Asked) -> tuple[str, ...]:
    return (_TAKEN_FULL,) if _assumed(a) else ()


def _reason_of_depth(a: Asked) -> str:
    if a.repeat is not None:
        return "the same stripe comes to lie on every fold"
    return "full pleats hang and press best: no gap, and three layers throughout" if _assumed(a) else ""


def _counted(a: Asked) -> _Found:
    # The count is given.
    basis = a
    if a.finished is not None and a.spacing is not None:
        basis = replace(basis, spacing=None)
    if a.intake is not None and a.flat is not None and (a.finished is not None or a.spacing is not None):
        basis = replace(basis, flat=None)
    plan = completed(basis)
    if a.spacing is not None and not agrees(plan.spacing, a.spacing, a.unit):
        raise does_not_come_out(a, plan)
    if a.flat is not None and not agrees(plan.flat, a.flat, a.unit, a.count or 1):
        raise too_little_cloth(a) if plan.flat > a.flat else does_not_come_out(a, plan)
    choices = _depths(basis)
    return _Found(choices, 0, _reason_of_depth(a), _depth_notes(a))


def _rounded(a: Asked) -> _Found:
    # The count follows from what is given, and is rounded to a whole number.
    exact = _exact_count(a)
    if not exact <= MOST_PLEATS + 1:
        raise _too_many(exact)
    near = round(exact)
    if near >= 1 and abs(exact - near) <= WHOLE * max(1.0, exact):
        found = _counted(replace(a, count=near))
        return found._replace(notes=(*found.notes, *_one_of_two(a)))
    low, high = math.floor(exact), math.ceil(exact)
    if a.spacing is None or a.finished is None:
        return _by_the_cloth(a, exact, low)
    counts = [n for n in (low, high) if n >= 1]
    best = min(
        counts,
        key=lambda n: (abs(completed(replace(a, count=n, spacing=None, flat=None)).spacing - (a.spacing or 0)), n),
    )
    whole: list[Choice] = []
    for n in (best, *[n for n in counts if n != best]):
        basis = replace(a, count=n, spacing=None, flat=None if a.intake is not None else a.flat)
        way = "rounded down" if n == low else "rounded up"
        made = _depths(basis, way)
        whole += made if n == best else made[:1]
    plan = whole[0].plan
    if a.intake is not None and a.flat is not None and not agrees(plan.flat, a.flat, a.unit, 2 * plan.count):
        full = replace(a, count=best)
        raise too_little_cloth(full) if plan.flat > a.flat else does_not_come_out(replace(full, spacing=None), plan)
    said = (
        f"{show(_between(a), a.unit)} shared out at {show(a.spacing, a.unit)} would be {_few(exact + _spaces(a, 0))} spaces: "
        f"{whole[0].why} to {counted(best, a)}, and the spacing becomes {finely(plan.spacing, a.unit)}."
    )
    reason = f"its spacing is nearest to the {show(a.spacing, a.unit)} asked for"
    return _Found(whole, 0, reason, (said, *_depth_notes(a)))


def _between(a: Asked) -> float:
    assert a.finished is not None
    return a.finished - _spare(a)


def _few(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _exact_count(a: Asked) -> float:
    apart, off = sum(a.apart), _spaces(a, 0)
    if a.finished is not None:
        if a.spacing is not None:
            return (a.finished - _spare(a)) / a.spacing - off
        assert a.flat is not None
        assert a.intake is not None
        return (a.flat - a.finished - apart) / (a.intake + a.lost)
    assert a.flat is not None
    spacing = a.spacing if a.spacing is not None else (a.intake or 0.0) / 2
    intake = a.intake if a.intake is not None else 2 * spacing
    return (a.flat - _spare(a) - apart - off * spacing) / (spacing + intake + a.lost)


def _by_the_cloth(a: Asked, exact: float, low: int) -> _Found:
    # So much cloth makes so many pleats and a part of one: cloth is left over, or all of it is used and something gives.
    if low < 1:
        raise too_little_cloth(a)
    assert a.flat is not None
    if a.finished is None:
        return _to_no_width(a, a.flat, exact, low)
    less = completed(replace(a, count=low, flat=None))
    made = [
        Choice(less, f"rounded down: {show(a.flat - less.flat, a.unit)} of cloth are left over"),
        Choice(completed(replace(a, count=low, intake=None)), "all the cloth, a little deeper"),
        Choice(completed(replace(a, count=low + 1, intake=None)), "rounded up: all the cloth, less deep"),
    ]
    said = (
        f"{show(a.flat, a.unit)} of cloth would make {_few(exact)} pleats of {show(a.intake or 0.0, a.unit)} of intake: "
        f"rounded down to {low}."
    )
    return _Found(made, 0, "it keeps the depth asked for", (said,))


def _to_no_width(a: Asked, flat: float, exact: float, low: int) -> _Found:
    # The same where no finished width is asked for: the spacing gives, and with it the depth of full pleats.
    spacing = a.spacing if a.spacing is not None else (a.intake or 0.0) / 2
    full = a.spacing is None or a.intake is None
    kept = replace(a, spacing=None, intake=None if full else a.intake)
    near = (
        [completed(replace(kept, count=n)) for n in (low, low + 1)] if full else [completed(replace(kept, count=low))]
    )
    near.sort(key=lambda plan: abs(plan.spacing - spacing))
    made = [Choice(plan, f"rounded {'down' if plan.count == low else 'up'}: all the cloth is used") for plan in near]
    less = completed(replace(a, count=low, spacing=spacing, intake=2 * spacing if full else a.intake, flat=None))
    made.append(Choice(less, f"as asked: {show(flat - less.flat, a.unit)} of cloth are left over"))
    wish = f"spacing {show(spacing, a.unit)} and intake {show(2 * spacing if full else a.intake or 0.0, a.unit)}"
    plan = made[0].plan
    said = (
        f"{show(flat, a.unit)} of cloth would make {_few(exact)} pleats of {wish}: rounded "
        f"{'down' if plan.count == low else 'up'} to {plan.count}, and the spacing becomes {finely(plan.spacing, a.unit)}."
    )
    return _Found(made, 0, "it uses all the cloth", (said, *_one_of_two(a)))


def _one_of_two(a: Asked) -> tuple[str, ...]:
    if a.finished is not None or a.full or (a.spacing is not None and a.intake is not None):
        return ()
    return ("Of spacing and depth one was given: full pleats were taken, as is usual.",)


def _too_many(exact: float) -> FitError:
    count = f"{exact:.0f}" if exact < 1e9 else "more than a thousand million"
    return FitError(
        "The plan",
        f"would come to {count} pleats",
        f"up to {MOST_PLEATS} are planned",
        "Check the figures and their units.",
    )


def _tabled(a: Asked) -> _Found:
    # The count is left open: a few spacings of whole figures, or of whole repeats.
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
    return _Found(choices, best, reason, (still, *_depth_notes(a)))


def _counts(a: Asked) -> list[int]:
    # Counts whose spacing is a whole figure of the tape, else the nearest to it; the closest pleats first.
    between, off = _between(a), _spaces(a, 0)
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


def _by_intake(a: Asked) -> _Found:
    # Finished width and intake: full, or farther apart and so shallow.
    assert a.intake is not None
    between, off = _between(a), _spaces(a, 0)
    rows: list[Choice] = []
    exact = between / (a.intake / 2) - off
    if exact > MOST_PLEATS:
        raise _too_many(exact)
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
            f"Full pleats would be {_few(exact)}: rounded {way} to {plan.count}, and the spacing becomes "
            f"{finely(plan.spacing, a.unit)} instead of {show(a.intake / 2, a.unit)}."
        )
    rows = [Choice(row.plan, row.plan.named if k == 0 else row.why) for k, row in enumerate(rows)]
    return _Found(rows, 0, "full pleats hang and press best: no gap, and three layers throughout", tuple(notes))


def _by_repeat(a: Asked) -> _Found:
    # Full pleats three of whose spaces come to whole repeats.
    assert a.repeat is not None
    between, off = _between(a), _spaces(a, 0)
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
    return _Found(
        made[low : low + 6],
        max(usual) - low,
        f"the widest spacing up to {widest}, so fewer folds than the closer ones",
        (still,),
    )


def _refuse_beyond(choices: Sequence[Choice], a: Asked) -> None:
    for choice in choices:
        if choice.plan.flat > 10 * LONGEST:
            raise FitError(
                "The flat width",
                f"would be {show_far(choice.plan.flat)}",
                "nobody pleats more than 1 km of cloth",
                "Check the figures and their units.",
            )
        _refuse_wide_faces(choice.plan)
        for level in choice.plan.levels():
            if level.intake < 0 or level.spacing <= 0:
                raise FitError(
                    option("balance", f"{level.name}={show(level.finished, a.unit)}".replace(" ", "")),
                    "leaves nothing for the pleats there",
                    f"the flat cloth is {show(choice.plan.flat, a.unit)} wide",
                    "Check that width, or take more cloth.",
                )


def _refuse_wide_faces(plan: Plan) -> None:
    a, unit = plan.asked, plan.asked.unit
    room = plan.spacing if plan.count > 1 or a.ring else plan.finished
    if plan.face <= room + SAME:
        return
    between = plan.finished - _spare(a)
    most = math.floor((between + SAME) / plan.face)
    raise FitError(
        option("face"),
        f"is {show(plan.face, unit)}",
        f"from one box pleat to the next it is {show(room, unit)}, and faces lie beside each other",
        f"Possible in {show(between, unit)}: {counted(most, a)} with such a face, touching."
        if most
        else "Give a narrower face.",
    )
