"""What is said when a plan cannot be: what is still wanted, which figures disagree, and what would be possible."""

from __future__ import annotations

from pleatsvg.errors import FitError, PleatError, RequestError
from pleatsvg.length import show
from pleatsvg.plan.asked import Asked, counted
from pleatsvg.plan.planned import SAME, Plan
from pleatsvg.wording import Words, message, option


def agrees(one: float, other: float, unit: str, times: int = 1) -> bool:
    """Return whether two figures in mm are the same but for the rounding of what is told, `times` over."""
    step = 25.4 / 32 if unit == "in" else SAME
    return abs(one - other) <= (step + 1e-9) * times


def more_wanted(a: Asked) -> RequestError:
    """Return what to say where too little is known."""
    if a.kind.stitched:
        wanted = message(
            "Give {} and how many tucks ({}) or how far apart ({} or {}); with {} the flat width follows.",
            option("finished"),
            option("count"),
            option("gap"),
            option("spacing"),
            option("depth"),
        )
        limit = "tucks are planned from a width, and a count or a gap"
    else:
        wanted = message(
            "Give {} (or {} and {}), the width to finish to; beside it {} or {} settles how many, {}, {} or {} how deep.",
            *[option(name) for name in ("finished", "body", "ease", "count", "spacing", "intake", "depth", "flat")],
        )
        limit = "a width to finish to, or two of count, spacing, intake and flat width, are the least"
    return RequestError("The plan", message("has too little to go by: {}", _known(a)), limit, wanted)


def _known(a: Asked) -> Words | str:
    given = [
        option(name, _typed(value, a.unit) if isinstance(value, float) else value)
        for name, value in (
            ("finished", a.finished),
            ("count", a.count),
            ("spacing", a.spacing),
            ("intake", a.intake),
            ("flat", a.flat),
        )
        if value is not None
    ]
    if not given:
        return "no measure is given"
    parts: list[Words | str] = []
    for k, one in enumerate(given):
        parts += [" and " if k else "", one]
    return Words(*[piece for part in parts for piece in (part.parts if isinstance(part, Words) else (part,))], " alone")


def _typed(mm: float, unit: str) -> str:
    return "".join(show(mm, unit).rsplit(" ", 1))


def nothing_left(a: Asked) -> FitError:
    """Return what to say where the ends and what stays plain leave no width for pleats."""
    assert a.finished is not None
    spare = a.plain + 2 * a.ends.margin
    return FitError(
        "What stays plain",
        f"is {show(spare, a.unit)}",
        f"the finished width is {show(a.finished, a.unit)}",
        message("Leave less plain with {} or {}.", option("margin"), option("plain")),
    )


def does_not_come_out(a: Asked, plan: Plan) -> PleatError:
    """Return which two figures disagree, and by how much."""
    assert a.count is not None
    unit = a.unit
    if a.spacing is not None and not agrees(plan.spacing, a.spacing, unit):
        if a.finished is not None:
            between = plan.finished - a.plain - 2 * a.ends.margin
            spaces = round(between / plan.spacing, 6)
            whole = spaces * a.spacing + a.plain + 2 * a.ends.margin
            return RequestError(
                message(
                    "{} and {}",
                    option("gap", _typed(a.gap, unit))
                    if a.gap is not None
                    else option("spacing", _typed(a.spacing, unit)),
                    option(a.width_by, None if a.width_by == "body" else _typed(a.finished, unit)),
                ),
                f"disagree by {show(abs(whole - a.finished), unit)}",
                f"{a.count} at {show(a.spacing, unit)} come to {show(whole, unit)}, in {show(a.finished, unit)} they lie "
                f"{show(plan.spacing, unit)} apart",
                message(
                    "Leave out one of {}, {} and {}.",
                    option(a.width_by),
                    option("count"),
                    option("spacing" if a.gap is None else "gap"),
                ),
            )
        return RequestError(
            message(
                "{} and {}", option("spacing", _typed(a.spacing, unit)), option("flat", _typed(a.flat or 0.0, unit))
            ),
            f"disagree by {show(abs(plan.spacing - a.spacing), unit)} of spacing",
            f"{a.count} in that cloth lie {show(plan.spacing, unit)} apart",
            "Leave out one of the two.",
        )
    assert a.flat is not None
    return RequestError(
        message("{} and {}", option("flat", _typed(a.flat, unit)), option("intake", _typed(plan.intake, unit))),
        f"disagree by {show(a.flat - plan.flat, unit)}",
        f"{a.count} in {show(plan.finished, unit)} take {show(plan.flat, unit)} of cloth",
        message(
            "Leave out {}, and the rest is left over; or leave out the depth, and all of it is used.", option("flat")
        ),
    )


def too_little_cloth(a: Asked) -> FitError:
    """Return what to say where the cloth is not enough, and what would be possible with it."""
    assert a.flat is not None
    unit, lost, apart = a.unit, a.lost, sum(a.apart)
    cloth = show(a.flat, unit)
    wide = a.finished
    if wide is None and a.count is not None and a.spacing is not None:
        wide = a.plain + 2 * a.ends.margin + (a.count + len(a.apart) - 1 + a.ends.spaces) * a.spacing
    subject = message("{}", option("flat", _typed(a.flat, unit)))
    if wide is None or a.flat - apart <= wide:
        told = (
            f"nothing is left to fold: the finished width is {show(wide, unit)}"
            if wide is not None
            else ("it does not make one such pleat")
        )
        least = (
            f"Full pleats take three times the finished width, {show(3 * wide, unit)}; shallow ones less."
            if wide is not None
            else "Take more cloth, or less intake."
        )
        return FitError(subject, "is too little", told, least)
    if a.intake is None or a.count is None:
        if a.intake is None:
            return FitError(
                subject,
                "is too little",
                f"with what is lost at the folds nothing is left beside {show(wide, unit)}",
                "Take more cloth, or fewer pleats.",
            )
        needed = wide + a.intake + lost + apart
        return FitError(
            subject,
            f"does not make one pleat of {show(a.intake, unit)}",
            f"with {show(wide, unit)} finished it takes {show(needed, unit)}",
            f"Possible: one pleat of {show(a.flat - wide - apart, unit)} of intake.",
        )
    needed = wide + a.count * (a.intake + lost) + apart
    rest = a.flat - wide - apart
    each, fewer = rest / a.count - lost, int((rest + 1e-9) // (a.intake + lost))
    spaces = a.count + len(a.apart) - 1 + a.ends.spaces
    between = wide - a.plain - 2 * a.ends.margin
    could = []
    if each > 0:
        name = "" if a.kind.stitched else f", {_fullness(each, between / spaces)}"
        could.append(f"{counted(a.count, a)} {show(each / a.takes, unit)} deep{name}")
    if fewer >= 1 and fewer + len(a.apart) - 1 + a.ends.spaces > 0:
        spacing = between / (fewer + len(a.apart) - 1 + a.ends.spaces)
        name = "" if a.kind.stitched else f", {_fullness(a.intake, spacing)}"
        could.append(f"{counted(fewer, a)} {show(a.intake / a.takes, unit)} deep and {show(spacing, unit)} apart{name}")
    full = f" Full pleats in {show(wide, unit)} need {show(3 * between + a.plain + 2 * a.ends.margin, unit)}."
    return FitError(
        message("{} with {}", subject, option("count", a.count)),
        f"is {show(needed - a.flat, unit)} too little",
        f"{counted(a.count, a)} {show(a.intake / a.takes, unit)} deep in {show(wide, unit)} take "
        f"{show(needed, unit)} of cloth",
        f"Possible with {cloth}: {', or '.join(could) or 'nothing of that depth'}.{'' if a.kind.stitched else full}",
    )


def _fullness(intake: float, spacing: float) -> str:
    off = intake - 2 * spacing
    return "full" if abs(off) <= SAME else "shallow" if off < 0 else "overlapping"
