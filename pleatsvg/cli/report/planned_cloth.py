"""What `plan` prints for the shop: strips, joins and cloth to buy."""

from __future__ import annotations

import math
from collections.abc import Iterable

from pleatsvg.length import show
from pleatsvg.plan.cloth import Cloth, Way, hidden_for_less, seam_from_edge
from pleatsvg.plan.planned import Plan


def cloth_rows(plan: Plan, cloth: Cloth) -> list[str]:
    """Return the ways of cutting it, with what to buy for each, in lines."""
    a, unit, fabric = plan.asked, plan.asked.unit, plan.asked.fabric
    assert fabric.width is not None
    taken = [show(fabric.allowances.left + fabric.allowances.right, unit) + " for seams"] * bool(
        fabric.allowances.left + fabric.allowances.right
    ) + [f"{show(a.repeat or 0.0, unit)} to match the repeat"] * bool(a.repeat)
    less = f", less {' and '.join(taken)}" if taken else ""
    pieces = f" for {fabric.pieces} pieces" if fabric.pieces > 1 else ""
    rows = [f"Cloth {show(fabric.width, unit)} wide{pieces}"]
    wider = plan.flat if fabric.bottom is None else max(plan.flat, plan.flat - plan.finished + fabric.bottom)
    rows.append(
        f"  a strip      {show(cloth.usable, unit)} from seam to seam{less}; "
        f"{show(wider, unit)} are {cloth.exact:.2f} of them"
    )
    for k, way in enumerate(cloth.ways):
        rows.append(f"{'>' if k == cloth.best and len(cloth.ways) > 1 else ' '} {_way(plan, way, cloth)}")
    if cloth.reason and len(cloth.ways) > 1:
        rows.append(f"> put forward: {cloth.reason}.")
    other = hidden_for_less(plan, cloth)
    if other is not None:
        rows.append(f"  With {other[0]} pleats of the same depth {other[1]} strips would do, every join hidden.")
    if cloth.too_wide:
        rows.append("  One pleat is wider than a strip, so no join can be hidden at an inner fold.")
    if not cloth.ways:
        rows.append(
            "  The gore is wider than the cloth: 'pleat --cloth-width' parts it at inner folds and tells the joins."
        )
    start = seam_from_edge(plan)
    if start is not None:
        rows.append(
            f"  the stripe   left seam {show(start, unit)} from the edge of the cloth: every fold lies on a stripe"
        )
    if fabric.nap:
        rows.append("  one way      all pieces lie the same way up, as arrows with one head say")
    if fabric.have is not None and cloth.ways:
        left = fabric.have - min([way.buy for way in cloth.ways])
        rows.append(f"  there is     {show(fabric.have, unit)}: enough, {show(left, unit)} are left")
    return rows


def _way(plan: Plan, way: Way, cloth: Cloth) -> str:
    unit = plan.asked.unit
    joins = f"{way.joins} join{'s' * (way.joins != 1)}"
    if way.name == "along":
        words = f"along the selvedge, {_lengths(way.strips)} of {show(cloth.cut_width, unit)}, {joins}; the grain runs across"
    elif way.name == "pieces":
        words = f"{_lengths(way.strips)}, no piece is wider than the cloth"
    elif way.name == "hidden":
        words = f"{way.strips} strips, {joins}, all at inner folds: parts of {_parts(way.parts, unit)}"
    else:
        words = f"{way.strips} strip{'s' * (way.strips != 1)}, {joins} where they fall"
    return words + (f": buy {_at_the_shop(way.buy, unit)}" if way.buy else "")


def _lengths(count: int) -> str:
    return f"{count} length{'s' * (count != 1)}"


def _parts(parts: Iterable[float], unit: str) -> str:
    alike: dict[str, int] = {}
    for part in parts:
        alike[show(part, unit)] = alike.get(show(part, unit), 0) + 1
    *first, last = [f"{n} x {wide}" if n > 1 else wide for wide, n in alike.items()]
    return f"{', '.join(first)} and {last}" if first else last


def _at_the_shop(mm: float, unit: str) -> str:
    # As much as a shop cuts: whole 10 cm, or eighths of a yard, rounded up, and what it is exactly.
    if unit == "in":
        eighths = math.ceil(mm / 25.4 / 4.5 - 1e-9)
        whole, part = divmod(eighths, 8)
        cut = math.gcd(part, 8)
        share = f"{part // cut}/{8 // cut}" if part else ""
        shop = " ".join([str(whole)] * (whole > 0) + [share] * bool(share))
        return (
            f"{shop} yd ({show(mm, unit)}, rounded up)"
            if eighths * 4.5 * 25.4 > mm + 1e-6
            else f"{shop} yd ({show(mm, unit)})"
        )
    tenths = math.ceil(mm / 100 - 1e-9)
    shop = f"{tenths / 10:.1f}".removesuffix(".0")
    return f"{shop} m ({show(mm, unit)}, rounded up)" if tenths * 100 > mm + 1e-6 else f"{shop} m ({show(mm, unit)})"
