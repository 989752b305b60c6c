"""From what is known to whole plans: the sensible ones side by side, the best of them first told why. Lengths in mm.

Finished width, count, spacing, intake and flat width hang together by two equations:

    finished = plain + margins + spaces x spacing        flat = finished + count x (intake + lost in turning)

so three of the five are enough; two are, where the pleats are full (intake = 2 x spacing).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pleatsvg.errors import FitError
from pleatsvg.length import Length, finely, show, show_far
from pleatsvg.order.given import Given, is_nothing, length_of, refuse_unknown
from pleatsvg.order.options import Option, Value
from pleatsvg.plan.asked import LONGEST, MOST_PLEATS, Asked, asked_from, counted
from pleatsvg.plan.cloth import refuse_too_little
from pleatsvg.plan.completed import (
    WHOLE,
    Choice,
    Found,
    between_ends,
    completed,
    depth_notes,
    few_digits,
    reason_of_depth,
    spaces_of,
    spare_of,
    too_many,
    with_depths,
)
from pleatsvg.plan.open_count import side_by_side
from pleatsvg.plan.options import ROWS
from pleatsvg.plan.planned import SAME, Plan
from pleatsvg.plan.refusals import agrees, does_not_come_out, more_wanted, nothing_left, too_little_cloth
from pleatsvg.plan.waist import refuse_unfit, refuse_without_pleats
from pleatsvg.wording import option


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


def plan_for(**options: Any) -> Answer:
    """Plan a row of pleats from those figures that are known, as the command 'plan' does; nothing is drawn.

    Args:
        options: those of the command, under their own names: lengths with their unit ("72cm"), `count` a number, flags
            such as `full` and `ring` true. What it writes and how it answers (draw, job, force, json) are no part of it.

    Returns:
        The sensible plans side by side. Of each there are `finished`, `flat`, `count`, `spacing`, `intake` and the like in
        mm, and `marks()`: every line from the left end of the flat cloth.

    Raises:
        RequestError: an option is not known or takes something else, too little is known, or two figures disagree.
        FitError: it cannot be, and what would be possible.
    """
    known = {row.name: row for row in ROWS if row.value is not Value.FILE and row.name not in _COMMAND_ONLY}
    refuse_unknown(options, known)
    given = {name: None if options.get(name) is None else _as_typed(options[name], row) for name, row in known.items()}
    answer = answered(asked_from(given))
    refuse_too_little(answer.plan)
    return answer


_COMMAND_ONLY = ("force", "json")


def _as_typed(value: Any, row: Option) -> Any:
    # A value of a program, as the command would hold it; what its option does not take is refused.
    if row.value is Value.NUMBER:
        return Given({row.name: value}).number(row.name)
    if row.value is Value.FLAG:
        return Given({row.name: value}).flag(row.name)
    if row.value is Value.EDGES and isinstance(value, Mapping):
        return [f"{edge}={_text(one, row)}" for edge, one in value.items()]
    if row.many or row.value is Value.EDGES:
        return [_text(one, row) for one in (value if isinstance(value, (list, tuple)) else [value])]
    return _text(value, row)


def _text(value: Any, row: Option) -> str:
    if isinstance(value, Length):
        return f"{value.mm!r}mm"
    if is_nothing(value):
        return "0"
    if row.value is Value.LENGTH and not isinstance(value, str):
        length_of(value, row.name)  # says how a length is written
    return Given({row.name: value}).text(row.name) or ""


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
    refuse_without_pleats(a)
    found = _counted(a) if a.count is not None else _rounded(a) if _has_count(a) else side_by_side(a)
    _refuse_beyond(found.choices, a)
    refuse_unfit(found.choices[found.best].plan)
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


def _counted(a: Asked) -> Found:
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
    choices = with_depths(basis)
    return Found(choices, 0, reason_of_depth(a), depth_notes(a))


def _rounded(a: Asked) -> Found:
    # The count follows from what is given, and is rounded to a whole number.
    exact = _exact_count(a)
    if not exact <= MOST_PLEATS + 1:
        raise too_many(exact)
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
        made = with_depths(basis, way)
        whole += made if n == best else made[:1]
    plan = whole[0].plan
    if a.intake is not None and a.flat is not None and not agrees(plan.flat, a.flat, a.unit, 2 * plan.count):
        full = replace(a, count=best)
        raise too_little_cloth(full) if plan.flat > a.flat else does_not_come_out(replace(full, spacing=None), plan)
    said = (
        f"{show(between_ends(a), a.unit)} shared out at {show(a.spacing, a.unit)} would be "
        f"{few_digits(exact + spaces_of(a, 0))} spaces: "
        f"{whole[0].why} to {counted(best, a)}, and the spacing becomes {finely(plan.spacing, a.unit)}."
    )
    reason = f"its spacing is nearest to the {show(a.spacing, a.unit)} asked for"
    return Found(whole, 0, reason, (said, *depth_notes(a)))


def _exact_count(a: Asked) -> float:
    apart, off = sum(a.apart), spaces_of(a, 0)
    if a.finished is not None:
        if a.spacing is not None:
            return (a.finished - spare_of(a)) / a.spacing - off
        assert a.flat is not None
        assert a.intake is not None
        return (a.flat - a.finished - apart) / (a.intake + a.lost)
    assert a.flat is not None
    spacing = a.spacing if a.spacing is not None else (a.intake or 0.0) / 2
    intake = a.intake if a.intake is not None else 2 * spacing
    return (a.flat - spare_of(a) - apart - off * spacing) / (spacing + intake + a.lost)


def _by_the_cloth(a: Asked, exact: float, low: int) -> Found:
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
        f"{show(a.flat, a.unit)} of cloth would make {few_digits(exact)} pleats of {show(a.intake or 0.0, a.unit)} of intake: "
        f"rounded down to {low}."
    )
    return Found(made, 0, "it keeps the depth asked for", (said,))


def _to_no_width(a: Asked, flat: float, exact: float, low: int) -> Found:
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
        f"{show(flat, a.unit)} of cloth would make {few_digits(exact)} pleats of {wish}: rounded "
        f"{'down' if plan.count == low else 'up'} to {plan.count}, and the spacing becomes {finely(plan.spacing, a.unit)}."
    )
    return Found(made, 0, "it uses all the cloth", (said, *_one_of_two(a)))


def _one_of_two(a: Asked) -> tuple[str, ...]:
    if a.finished is not None or a.full or (a.spacing is not None and a.intake is not None):
        return ()
    return ("Of spacing and depth one was given: full pleats were taken, as is usual.",)


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
    between = plan.finished - spare_of(a)
    most = math.floor((between + SAME) / plan.face)
    raise FitError(
        option("face"),
        f"is {show(plan.face, unit)}",
        f"from one box pleat to the next it is {show(room, unit)}, and faces lie beside each other",
        f"Possible in {show(between, unit)}: {counted(most, a)} with such a face, touching."
        if most
        else "Give a narrower face.",
    )
