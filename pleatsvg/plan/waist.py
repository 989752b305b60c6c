"""Hip and waist of fitted pleats: the finished width holds at the hip, and above it each pleat is shaped to a narrower waist.

The cloth is straight, so the flat width is the same at both levels: what the waist is narrower, the pleats take up more there.
The edges of a pleat, one, or two of a box pleat, share that evenly; both lines of an edge lean by one angle from the hip to
the waist, of which tan = share of the edge / (2 x length). Lengths in mm.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

from pleatsvg.errors import FitError, RequestError
from pleatsvg.length import show
from pleatsvg.plan.asked import Asked, counted
from pleatsvg.plan.planned import HAIR, SAME, Plan
from pleatsvg.tolerance import KIND_LEAN, STEEPEST_LEAN
from pleatsvg.wording import message, option


class Waist(NamedTuple):
    """What a plan comes to at the waist.

    Attributes:
        finished: its width.
        down: from there to the hip.
        spacing, intake: of the pleats there; `face`: of box pleats, 0 for kinds without.
        end: what is left before the first pleat; of a ring half a space.
        share: what vanishes in each pleat.
        lean: of its lines above the hip, in degrees.
        kind: from so many pleats on, none leans by more than KIND_LEAN; `least`: by more than STEEPEST_LEAN.
    """

    finished: float
    down: float
    spacing: float
    intake: float
    face: float
    end: float
    share: float
    lean: float
    kind: int
    least: int


def waist_of(plan: Plan) -> Waist | None:
    """Return what a plan comes to at the waist, or None where none was asked for."""
    a = plan.asked
    if a.waist is None:
        return None
    gone = plan.finished - a.waist
    edges = 2 if a.kind.to_before.has_face else 1
    share = gone / plan.count
    one = share / edges
    first = (plan.spacing / 2 if a.ring else plan.first) - plan.face / 2
    return Waist(
        finished=a.waist,
        down=a.down,
        spacing=plan.spacing - share,
        intake=plan.intake + share,
        face=plan.face - one if plan.face else 0.0,
        end=first - one / 2,
        share=share,
        lean=math.degrees(math.atan(one / (2 * a.down))),
        kind=_count(gone / edges, a.down, KIND_LEAN),
        least=_count(gone / edges, a.down, STEEPEST_LEAN),
    )


def out_at_waist(plan: Plan) -> tuple[float, str]:
    """Return how far hidden cloth lies beyond an end of the waist, and beyond which: "left" or "right"."""
    waist = waist_of(plan)
    if waist is None or plan.asked.ring or plan.asked.apart:
        return 0.0, "left"
    there = replace(plan, intake=waist.intake)
    first = plan.first - waist.share / 2
    found = [(0.0, "left")]
    for k in range(plan.count):
        at = first + k * waist.spacing
        left, right = there.reach(plan.towards(k))
        found += [(left - at, "left"), (at + right - waist.finished, "right")]
    return max(found)


def margin_for_waist(plan: Plan) -> int | None:
    """Return what has to be left at each end at the hip, in whole mm, so that hidden cloth lies on the piece at the waist;
    None where none was asked for."""
    waist = waist_of(plan)
    if waist is None:
        return None
    there = replace(plan, intake=waist.intake)
    reach = max([max(there.reach(plan.towards(k))) for k in (0, plan.count - 1)])
    return math.ceil(reach + waist.share / 2 - HAIR)


def _count(gone: float, down: float, lean: float) -> int:
    # So many edges lean by no more than that; to a ten-millionth, so that a lean of just so much counts.
    return max(1, math.ceil(gone / (2 * down * math.tan(math.radians(lean))) - 1e-7))


def refuse_unfit(plan: Plan) -> None:
    """Refuse a plan that cannot be shaped to its waist.

    Raises:
        FitError: the waist is wider than the hip, pleats lean too far, or nothing is left between them.
    """
    waist, a = waist_of(plan), plan.asked
    if waist is None:
        return
    asked = option("fit_waist", "".join(show(waist.finished, a.unit).rsplit(" ", 1)))
    if waist.share < -SAME:
        raise FitError(
            asked,
            f"is wider than the hip, {show(plan.finished, a.unit)}",
            "the finished width holds at the hip, and what is shaped away above it makes the waist narrower",
            message("Give {} at the hip and {} at the waist.", option(a.width_by), option("fit_waist")),
        )
    if waist.lean > STEEPEST_LEAN:
        raise FitError(
            f"{counted(plan.count, a)}",
            f"would lean {waist.lean:.1f} degrees above the hip, to take in {show(waist.share, a.unit)} each",
            f"over {STEEPEST_LEAN:.0f} degrees cloth does not follow",
            message(
                "Make {} pleats or more, {} for under {} degrees; or shape them over more with {}.",
                waist.least,
                waist.kind,
                f"{KIND_LEAN:.0f}",
                option("fit_length"),
            ),
        )
    lean_in = waist.share / (4 if plan.face else 2)
    left = min(
        [waist.spacing] * (plan.count > 1 or a.ring) + [waist.end] * (not a.ring) + [waist.face] * bool(plan.face)
    )
    if left <= 0 and left == waist.end and not a.ring:
        # Knife pleats lie farther to one side at the hip, so that all their hidden cloth lies on the piece.
        raise FitError(
            f"Of {counted(plan.count, a)} the first",
            f"would lean over the side of the piece: its line lies {show(waist.end + lean_in, a.unit)} from there at the hip "
            f"and leans {show(lean_in, a.unit)} towards it",
            "a panel is left beside each side seam, all the way up",
            message("Give {}, or take less depth.", option("margin", f"{margin_for_waist(plan)}mm")),
        )
    if left <= 0:
        raise FitError(
            f"{counted(plan.count, a)}",
            f"would meet above the hip, each taking in {show(waist.share, a.unit)}",
            "a panel is left between two leaning lines, and beside each side seam, all the way up",
            "Leave more at the ends, or make fewer pleats that are farther apart.",
        )


def refuse_without_pleats(a: Asked) -> None:
    """Refuse what is planned otherwise than pleats on straight cloth together with a waist.

    Raises:
        RequestError: it is tucks, or a gore.
    """
    if a.waist is None:
        return
    name, why = ("", "")
    if a.kind.stitched:
        name, why = "kind", "tucks lie on the cloth, where nothing is shaped beneath them"
    elif a.fabric.bottom is not None or a.width_by == "top":
        name = "bottom" if a.fabric.bottom is not None else "top"
        why = "the width of a gore is given at its top, that of fitted pleats at the hip"
    if name:
        raise RequestError(
            message("{} and {}", option("fit_waist"), option(name)),
            "are both given",
            why,
            message("Leave out {}.", option(name) if name != "kind" else option("fit_waist")),
        )


def waist_words(plan: Plan, waist: Waist) -> str:
    """Return a plan's waist in words."""
    unit = plan.asked.unit
    row = [f"spacing {show(waist.spacing, unit)}"] * (plan.count > 1 or plan.asked.ring)
    row += [f"intake {show(waist.intake, unit)}"] * plan.depth_known
    row += [f"face {show(waist.face, unit)}"] * bool(plan.face)
    return f"{show(waist.finished, unit)} finished, {show(waist.down, unit)} above the hip: {', '.join(row)}"


def lean_words(plan: Plan, waist: Waist) -> str:
    """Return how far its pleats lean, and how many would lean by KIND_LEAN at the most."""
    unit = plan.asked.unit
    more = f"{waist.kind} pleat{'s' * (waist.kind != 1)} or more"
    if waist.lean > KIND_LEAN:
        kinder = f"over {KIND_LEAN:.0f} it drags, {more} lean less"
    else:
        kinder = f"{more} stay under {KIND_LEAN:.0f}"
    return f"{waist.lean:.1f} degrees, as {show(waist.share, unit)} vanish in each; {kinder}"
