"""What `plan` prints for the table: the places of all lines, none of them stepped off from the one before."""

from __future__ import annotations

from collections.abc import Sequence

from pleatsvg.length import as_shown, show
from pleatsvg.plan.planned import Plan

WIDE = 100
"""Letters to a line."""


_MOST_LISTED = 120
"""Pleats whose places are all printed; of more than these the first and the last are."""


def mark_rows(plan: Plan) -> list[str]:
    """Return where every line is marked, each place from the end, and what stepping off would do, in lines."""
    a, unit = plan.asked, plan.asked.unit
    if a.apart:
        return ["Where the pleats lie is not listed: it is not said which one is set apart."]
    if not plan.depth_known:
        return ["Stitching lines, finished, from the left end", *_list("at", plan.places(), unit)]
    marks = plan.marks()
    joined = a.ring and not a.kind.stitched
    whence = "the join, at an inner fold" if joined else "the left seam"
    # Pleats that are shaped have these places at the hip; above it their lines lean.
    level = "top" if a.waist is None else "hip"
    rows = [f"Mark along the {level} of the flat cloth, each place measured from {whence}{_pointing(plan)}"]
    names = {"fold": "fold lines", "place": "placement", "stitch": "stitching"}
    rows += [
        row
        for role, name in names.items()
        if any(mark.role == role for mark in marks)
        for row in _list(name, [mark.at for mark in marks if mark.role == role], unit)
    ]
    rows.append(f"  folded       {_folded(plan)}")
    return rows + _drift(plan)


def _pointing(plan: Plan) -> str:
    a = plan.asked
    if not a.kind.needs_lap:
        return ""
    if a.lap in ("centre", "sides"):
        return f"; folds point to the {a.lap}"
    if a.kind.stitched:
        return f"; pressed {a.lap}" if a.lap else ""
    if a.lap is None:
        return ";\nfor folds that point left (right over left): --lap right gives the list for the other way"
    return f"; folds point {'right (left over right)' if a.lap == 'right' else 'left (right over left)'}"


def _list(name: str, places: Sequence[float], unit: str) -> list[str]:
    said = list(dict.fromkeys([show(at, unit).removesuffix(f" {unit}") for at in places]))
    if len(said) > _MOST_LISTED:
        said = [*said[: _MOST_LISTED // 2], "...", *said[-_MOST_LISTED // 2 :]]
    last = f" {unit}" if len(said) <= _MOST_LISTED else f" {unit} (--json has them all)"
    rows, row = [], f"  {name:<12}"
    for k, one in enumerate(said):
        word = f" {one}{last if k == len(said) - 1 else '' if one == '...' else ','}"
        if len(row) + len(word) > WIDE:
            rows.append(row)
            row = " " * 14
        row += word
    return [*rows, row]


def _folded(plan: Plan) -> str:
    unit, first = plan.asked.unit, plan.first
    if plan.asked.ring:
        return f"one every {show(plan.spacing, unit)} all round, the last closes with the first"
    what = "stitching line" if plan.asked.kind.stitched else "pleat"
    if plan.count == 1:
        return f"the {what} lies {show(first, unit)} from there"
    return f"the first {what} lies {show(first, unit)} from there, then one every {show(plan.spacing, unit)}"


def _drift(plan: Plan) -> list[str]:
    # What would come of stepping off a rounded spacing, where it is more than a tape shows.
    unit, spaces = plan.asked.unit, plan.count
    rows: list[str] = []
    for name, exact in (("", plan.spacing), *[(f" at {level.name}", level.spacing) for level in plan.levels()]):
        rounded = as_shown(exact, unit)
        off = spaces * (rounded - exact)
        if abs(off) >= (25.4 / 16 - 1e-6 if unit == "in" else 1.0):
            rows.append(
                f"  Measured from the end, no rounding adds up; {spaces} times {show(rounded, unit)}{name}, stepped off, "
                f"would end {show(abs(off), unit)} {'long' if off > 0 else 'short'}."
            )
    return rows
