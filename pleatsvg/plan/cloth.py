"""How much cloth to buy: strips across the cloth, their joins at inner folds, or one length along it. Lengths in mm.

A strip is as wide as the cloth without its two seam allowances; NIMI, *Dress Making* vol. 2, p. 203. Joins are put at inner
folds, where they are hidden; *The New Dressmaker* (1921), chapter 20.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import replace
from typing import NamedTuple

from pleatsvg.errors import FitError, RequestError
from pleatsvg.length import show
from pleatsvg.plan.asked import counted
from pleatsvg.plan.planned import HAIR, Plan
from pleatsvg.wording import message, option

LEAST_CLOTH = 100.0
"""mm. Narrower than this is a ribbon."""


class Way(NamedTuple):
    """One way to cut it.

    Attributes:
        name: "strips", "hidden" (joined at inner folds only), "along" (its width along the selvedge) or "pieces".
        strips: lengths cut off the cloth, for all pieces.
        joins: seams between strips of one piece, the one that closes a ring with them.
        parts: widths of the parts of one piece, from seam to seam, or ().
        buy: length of cloth for all pieces.
    """

    name: str
    strips: int
    joins: int
    parts: tuple[float, ...]
    buy: float


class Cloth(NamedTuple):
    """What the cloth comes to.

    Attributes:
        usable: width of a strip from seam to seam, a repeat for matching taken off.
        exact: flat width over that, before it is rounded up to whole strips.
        cut_width: of one whole piece with its allowances; `cut_length`: from top to hem with them, or None.
        ways: of cutting it; the first is what the plain division gives.
        best: which of them is put forward, and why.
        too_wide: whether one pleat with the space to the next is wider than a strip, so that joins cannot be hidden.
    """

    usable: float
    exact: float
    cut_width: float
    cut_length: float | None
    ways: tuple[Way, ...]
    best: int
    reason: str
    too_wide: bool


def cut_width(plan: Plan) -> float:
    """Width of the flat cloth with the allowances of its two sides."""
    allowed = plan.asked.fabric.allowances
    return plan.flat + allowed.left + allowed.right


def cloth_for(plan: Plan) -> Cloth | None:
    """Return how the piece is cut from the cloth, or None where nothing is said of its width.

    Raises:
        FitError: nothing is left of the width beside the allowances.
    """
    a, fabric = plan.asked, plan.asked.fabric
    if fabric.width is None:
        return None
    allowed = fabric.allowances
    if fabric.width < LEAST_CLOTH:
        raise RequestError(
            option("cloth_width"),
            f"is {show(fabric.width, a.unit)}",
            "cloth under 10 cm is no cloth; it is met 90 to 150 cm wide",
            "Give the width between its selvedges.",
        )
    usable = fabric.width - allowed.left - allowed.right - (a.repeat or 0.0)
    if usable < 1.0:
        raise FitError(
            option("cloth_width"),
            f"leaves {show(max(usable, 0.0), a.unit)} of {show(fabric.width, a.unit)}",
            "the allowances at both sides of a strip, and a repeat to match, are taken off",
            message("Give less {}, or wider cloth.", option("allowance")),
        )
    cut_length = None if fabric.length is None else fabric.length + allowed.top + allowed.hem
    wide = cut_width(plan)
    exact = max(plan.flat, _at_hem(plan)) / usable
    ways: list[Way] = []
    too_wide = False
    if wide <= fabric.width + HAIR and _at_hem(plan) + allowed.left + allowed.right <= fabric.width + HAIR:
        across = _beside(plan, fabric.width)
        strips = math.ceil(fabric.pieces / across)
        ways.append(Way("pieces", strips, int(a.ring), (plan.flat,), strips * (cut_length or 0.0)))
    elif fabric.bottom is None:
        each = math.ceil(exact - 1e-9)
        strips = each * fabric.pieces
        joins = each if a.ring else each - 1
        ways.append(Way("strips", strips, joins, (), strips * (cut_length or 0.0)))
        parts = _hidden(plan, usable)
        too_wide = parts is None and not a.kind.stitched
        if parts is not None:
            strips = len(parts) * fabric.pieces
            joins = len(parts) if a.ring else len(parts) - 1
            ways.append(Way("hidden", strips, joins, parts, strips * (cut_length or 0.0)))
    if cut_length is not None and cut_length <= fabric.width and not fabric.nap and fabric.bottom is None:
        rows = math.ceil(fabric.pieces / math.floor(fabric.width / cut_length + 1e-9))
        ways.append(Way("along", rows, int(a.ring), (plan.flat,), rows * wide))
    best, reason = _best(ways)
    return Cloth(usable, exact, wide, cut_length, tuple(ways), best, reason, too_wide)


def seam_from_edge(plan: Plan) -> float | None:
    """Return how far from the cloth's edge the left seam lies, where the first fold is to come to lie on a stripe.

    None where nothing is said of the first stripe.
    """
    a = plan.asked
    if a.repeat is None or a.repeat_start is None:
        return None
    fold = next(mark.at for mark in plan.marks() if mark.role == "fold")
    left = a.fabric.allowances.left
    return left + (a.repeat_start - fold - left) % a.repeat


def _at_hem(plan: Plan) -> float:
    bottom = plan.asked.fabric.bottom
    return plan.flat if bottom is None else plan.flat - plan.finished + bottom


def _beside(plan: Plan, width: float) -> int:
    # How many pieces lie beside each other; gores head to tail, unless the nap forbids it.
    fabric = plan.asked.fabric
    seams = fabric.allowances.left + fabric.allowances.right
    top, hem = plan.flat + seams, _at_hem(plan) + seams
    narrow, wide = min(top, hem), max(top, hem)
    if fabric.nap:
        return math.floor(width / wide + 1e-9)
    return max(1, math.floor((width - (wide - narrow) / 2) / ((wide + narrow) / 2) + 1e-9))


def _hidden(plan: Plan, usable: float) -> tuple[float, ...] | None:
    # The widths of the parts, each as wide as can be, where every join lies at an inner fold; None where none can.
    if plan.asked.apart or plan.asked.kind.stitched:
        return None
    inner = [mark.at for mark in plan.marks() if mark.role == "inner"]
    if not inner:
        return None
    start, end = 0.0, plan.flat  # a ring begins and ends at an inner fold
    folds = [*[at for at in inner if HAIR < at < end - HAIR], end]
    parts: list[float] = []
    while end - start > HAIR:
        k = bisect_right(folds, start + usable + HAIR) - 1
        if k < 0 or folds[k] <= start + HAIR:
            return None
        parts.append(folds[k] - start)
        start = folds[k]
    return tuple(parts)


def _best(ways: list[Way]) -> tuple[int, str]:
    names = [way.name for way in ways]
    if "pieces" in names or not ways:
        return 0, ""
    if "hidden" in names:
        k = names.index("hidden")
        more = ways[k].strips - ways[0].strips
        if not more:
            return k, "every join is hidden at an inner fold, for the same cloth"
        return k, f"every join is hidden at an inner fold, for {more} strip{'s' * (more > 1)} more"
    return 0, ""


def hidden_for_less(plan: Plan, cloth: Cloth) -> tuple[int, int] | None:
    """Return another count near by, with its strips, where hiding every join takes no more strips than plain division here.

    The depth stays as it is. None where it takes no more already, or no count within two of this one does.
    """
    ways = {way.name: way for way in cloth.ways}
    if "hidden" not in ways or ways["hidden"].strips <= ways["strips"].strips or plan.asked.repeat is not None:
        return None
    a = plan.asked
    for count in (plan.count - 1, plan.count + 1, plan.count - 2, plan.count + 2):
        if count >= 1 and count - 1 + a.ends.spaces > 0:
            spacing = (plan.finished - a.plain - 2 * a.ends.margin) / (count - 1 + a.ends.spaces)
            other = cloth_for(replace(plan, count=count, spacing=spacing))
            hidden = [way.strips for way in other.ways if way.name == "hidden"] if other is not None else []
            if hidden and hidden[0] <= ways["strips"].strips:
                return count, hidden[0]
    return None


def refuse_too_little(plan: Plan) -> None:
    """Refuse a plan for which the cloth that there is does not do, and say what would be possible with it.

    Raises:
        FitError: it is too little, however it is cut.
    """
    a, have = plan.asked, plan.asked.fabric.have
    cloth = cloth_for(plan)
    if have is None or cloth is None or not cloth.ways or cloth.cut_length is None:
        return
    needed = min([way.buy for way in cloth.ways])
    if needed <= have + HAIR:
        return
    unit, width = a.unit, a.fabric.width
    strips = int((have + HAIR) // cloth.cut_length)
    flat = strips / a.fabric.pieces * cloth.usable
    could = (
        f"{strips} strip{'s of it give' if strips > 1 else ' of it gives'} {show(flat, unit)} of flat width"
        if strips
        else "it is shorter than one strip"
    )
    intake = (flat - plan.finished - sum(a.apart)) / plan.count - a.lost
    if strips and intake > 0:
        could += f": {counted(plan.count, a)} {show(intake / a.takes, unit)} deep in {show(plan.finished, unit)}"
    elif strips:
        could += f", and the piece is {show(plan.finished, unit)} wide before any pleat"
    assert width is not None
    raise FitError(
        option("have", "".join(show(have, unit).rsplit(" ", 1))),
        f"is {show(needed - have, unit)} too little",
        f"{show(plan.flat, unit)} flat and {show(cloth.cut_length, unit)} long take {show(needed, unit)} of cloth "
        f"{show(width, unit)} wide",
        f"Possible: {could}.",
    )
