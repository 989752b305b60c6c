"""What `plan` prints: every figure for the shop and for the table, in plain words; or as JSON, lengths in mm."""

from __future__ import annotations

import json
import math
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from pleatsvg.length import as_shown, finely, show
from pleatsvg.plan.asked import counted
from pleatsvg.plan.cloth import Cloth, Way, cloth_for, cut_width, hidden_for_less, seam_from_edge
from pleatsvg.plan.panel import past_the_side
from pleatsvg.plan.planned import SAME, Mark, Plan
from pleatsvg.plan.solve import Answer
from pleatsvg.tolerance import BULKY
from pleatsvg.wording import Surface, shown

_MOST_LISTED = 120
"""Pleats whose places are all printed; of more than these the first and the last are."""


_WIDE = 100
"""Letters to a line."""


def planned_text(answer: Answer, written: Sequence[str], surface: Surface) -> str:
    """Return the plan in plain words.

    Args:
        answer: the plans side by side.
        written: what was written, in lines.
        surface: how options are called.
    """
    plan = answer.plan
    rows = [_heading(plan)]
    rows += [f"  {label:<12} {words}" for label, words in _figures(plan)]
    if len(answer.choices) > 1:
        rows += ["", "Side by side", *_table(answer)]
    cloth = cloth_for(plan)
    if cloth is not None:
        rows += ["", *_cloth_rows(plan, cloth)]
    rows += ["", *_mark_rows(plan)]
    notes = [*answer.notes, *_cautions(plan)]
    rows += [""] * bool(notes) + [
        line
        for note in notes
        for line in textwrap.wrap(f"  note: {shown(note, surface)}", _WIDE, subsequent_indent="        ")
    ]
    return "\n".join([*rows, *written])


def _heading(plan: Plan) -> str:
    a = plan.asked
    named = f", {plan.named}" if plan.named else ""
    flat = f" from {show(plan.flat, a.unit)} flat" if plan.depth_known else ""
    round_ = ", closed all round" if a.ring else ""
    return f"{counted(plan.count, a)}{named}: {show(plan.finished, a.unit)} finished{flat}{round_}"


def _figures(plan: Plan) -> list[tuple[str, str]]:
    a, unit, n = plan.asked, plan.asked.unit, plan.count
    rows: list[tuple[str, str]] = []
    if n > 1 or a.ring:
        rows.append(("spacing", f"{finely(plan.spacing, unit)}, {_from_to(plan)}"))
    if plan.depth_known:
        sides = f", {show(plan.intake / 2, unit)} on either side" if not a.kind.needs_lap else ""
        rows.append(("depth", f"{show(plan.depth, unit)}, outer fold to inner fold"))
        rows.append(("intake", f"{finely(plan.intake, unit)} each{sides}"))
    if plan.face:
        rows.append(("face", f"{show(plan.face, unit)}{_between_faces(plan)}"))
    if a.lost:
        rows.append(
            (
                "to mark",
                f"{show(plan.marked_intake, unit)} each: {len(a.kind.to_before.folds)} folds lose "
                f"{show(a.fold_loss, unit)} each in turning",
            )
        )
    if a.apart:
        rows.append(
            ("set apart", f"{len(a.apart)} more, with intakes of {', '.join([show(i, unit) for i in a.apart])}")
        )
    if a.plain or a.ends.margin:
        ends = [f"{show(a.plain, unit)} at the left end"] * bool(a.plain)
        ends += [f"{show(a.ends.margin, unit)} at each end"] * bool(a.ends.margin)
        rows.append(("plain", " and ".join(ends)))
    if plan.depth_known:
        more = f" and {show(sum(a.apart), unit)}" if a.apart else ""
        rows.append(
            (
                "flat width",
                f"{show(plan.flat, unit)}: {show(plan.finished, unit)} and {n} x {show(plan.marked_intake, unit)}{more}",
            )
        )
        rows += _fullness_rows(plan)
    else:
        rows += _gap_rows(plan)
    rows += [
        (
            f"at {level.name}",
            f"{show(level.finished, unit)} finished: spacing {finely(level.spacing, unit)}, "
            f"intake {finely(level.intake, unit) if level.intake > SAME else 'nothing'}",
        )
        for level in plan.levels()
        if plan.depth_known
    ]
    return rows + _piece_rows(plan)


def _fullness_rows(plan: Plan) -> list[tuple[str, str]]:
    a = plan.asked
    layers = f"{plan.mean_layers:.2f}".rstrip("0").rstrip(".")
    rows = [("layers", f"{layers} on average, {plan.most_layers()} at most")]
    if a.kind.stitched:
        return rows + _gap_rows(plan)
    if not plan.named:
        return rows
    share = f"{plan.fullness * 100:.0f} %"
    words = {
        "full": "full: the hidden cloth reaches from pleat to pleat",
        "shallow": f"shallow, {share} of full: there is one layer only between the pleats",
        "overlapping": f"overlapping, {share} of full: the hidden cloth of neighbours lies on one another",
    }
    return [("fullness", words[plan.named]), *rows]


def _gap_rows(plan: Plan) -> list[tuple[str, str]]:
    unit, seen, many = plan.asked.unit, plan.spacing - (plan.depth if plan.depth_known else 0.0), plan.count - 1
    if many < 1:
        return []
    if seen <= SAME:
        return [
            (
                "gaps",
                "none: each fold reaches the next stitching"
                if seen > -SAME
                else f"none: each lies {show(-seen, unit)} over the next stitching",
            )
        ]
    return [("gaps", f"{many} of {show(seen, unit)}{' seen from fold to stitching' if plan.depth_known else ''}")]


def _from_to(plan: Plan) -> str:
    kind = plan.asked.kind
    if kind.stitched:
        return "stitching to stitching"
    return "fold to fold" if kind.needs_lap else "middle to middle"


def _between_faces(plan: Plan) -> str:
    between = plan.spacing - plan.face
    unit = plan.asked.unit
    return ", touching" if abs(between) <= SAME else f", {show(between, unit)} from face to face" if between > 0 else ""


def _piece_rows(plan: Plan) -> list[tuple[str, str]]:
    a, unit, fabric = plan.asked, plan.asked.unit, plan.asked.fabric
    rows: list[tuple[str, str]] = []
    if not plan.depth_known:
        return rows
    if fabric.bottom is not None:
        flat = plan.flat - plan.finished + fabric.bottom
        rows.append(
            (
                "at the hem",
                f"{show(fabric.bottom, unit)} finished, {show(flat, unit)} flat; intakes are told along the edges",
            )
        )
    if not a.kind.needs_lap and not a.ring and not a.plain and fabric.bottom is None:
        half, more = show(plan.flat / 2, unit), show((plan.flat - plan.finished) / 2, unit)
        rows.append(
            ("half of it", f"{show(plan.finished / 2, unit)} finished, {half} flat, {more} more: cut on the fold")
        )
    allowed = fabric.allowances
    if allowed.left or allowed.right or allowed.top or allowed.hem:
        sides = f"{show(allowed.left, unit)} and {show(allowed.right, unit)} of allowance at the sides"
        rows.append(("cut width", f"{show(cut_width(plan), unit)}, with {sides}"))
    if fabric.length is not None:
        ends = f", with {show(allowed.top, unit)} at the top and {show(allowed.hem, unit)} at the hem"
        long = fabric.length + allowed.top + allowed.hem
        rows.append(("cut length", show(long, unit) + (ends if allowed.top or allowed.hem else "")))
    return rows


def _table(answer: Answer) -> list[str]:
    unit = answer.plan.asked.unit
    noun = "tucks" if answer.plan.asked.kind.stitched else "pleats"
    head = [noun, "spacing", "depth", "intake", "flat", "layers", "fullness", "cloth", ""]
    body = []
    for choice in answer.choices:
        plan = choice.plan
        cloth = cloth_for(plan)
        way = cloth.ways[cloth.best] if cloth is not None and cloth.ways else None
        known = plan.depth_known
        body.append(
            [
                str(plan.count),
                show(plan.spacing, unit),
                show(plan.depth, unit) if known else "",
                show(plan.intake, unit) if known else "",
                show(plan.flat, unit) if known else "",
                f"{plan.mean_layers:.1f}, most {plan.most_layers()}" if known else "",
                _named(plan),
                show(way.buy, unit) if way is not None and way.buy else "",
                choice.why,
            ]
        )
    keep = [k for k in range(len(head)) if any(row[k] for row in body)]
    wide = [max(len(row[k]) for row in [head, *body]) for k in range(len(head))]

    def line(cells: list[str], mark: str) -> str:
        put = [cells[k].ljust(wide[k]) if k >= 6 else cells[k].rjust(wide[k]) for k in keep]
        return f"{mark} {'  '.join(put)}".rstrip()

    rows = [line(head, " ")] + [line(row, ">" if k == answer.best else " ") for k, row in enumerate(body)]
    return [*rows, f"> {answer.plan.count} is put forward: {answer.reason}."] if answer.reason else rows


def _named(plan: Plan) -> str:
    return plan.named if plan.named in ("", "full") else f"{plan.named}, {plan.fullness * 100:.0f} %"


def _cloth_rows(plan: Plan, cloth: Cloth) -> list[str]:
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


def _mark_rows(plan: Plan) -> list[str]:
    a, unit = plan.asked, plan.asked.unit
    if a.apart:
        return ["Where the pleats lie is not listed: it is not said which one is set apart."]
    if not plan.depth_known:
        return ["Stitching lines, finished, from the left end", *_list("at", plan.places(), unit)]
    marks = plan.marks()
    joined = a.ring and not a.kind.stitched
    whence = "the join, at an inner fold" if joined else "the left seam"
    rows = [f"Mark along the top of the flat cloth, each place measured from {whence}{_pointing(plan)}"]
    names = {"fold": "fold lines", "place": "placement", "stitch": "stitching"}
    rows += [
        row
        for role, name in names.items()
        if any(mark.role == role for mark in marks)
        for row in _list(name, [mark.at for mark in marks if mark.role == role], unit)
    ]
    rows.append(f"  folded       {_folded(plan)}")
    return rows + _drift(plan, marks)


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
        if len(row) + len(word) > _WIDE:
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


def _drift(plan: Plan, marks: list[Mark]) -> list[str]:
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


def _cautions(plan: Plan) -> list[str]:
    past = past_the_side(plan) if plan.depth_known and not (plan.asked.ring or plan.asked.apart) else None
    rows: list[str] = [past] if past is not None else []
    repeat, step = plan.asked.repeat, plan.spacing + plan.marked_intake
    if repeat is not None and (off := abs(step - max(1, round(step / repeat)) * repeat)) > SAME:
        rows.append(
            f"Spacing and intake are no whole repeats: the stripe moves on {show(off, plan.asked.unit)} from fold to fold."
        )
    if not plan.depth_known or max(plan.mean_layers, plan.most_layers()) <= BULKY:
        return rows
    return [
        *rows,
        f"CAUTION, BULK: {plan.most_layers()} layers lie on one another. Over {BULKY} are thick to press and to stitch: fold "
        "a sample in the cloth first, or take less intake or wider spacing.",
    ]


def planned_json(answer: Answer, written: Mapping[str, str | None], surface: Surface) -> str:
    """Return the plan as JSON, lengths in mm."""
    return json.dumps(
        {
            **_plan_json(answer.plan),
            "choices": [{**_plan_json(choice.plan), "why": choice.why} for choice in answer.choices],
            "best": answer.best,
            "reason": answer.reason,
            "places_mm": list(answer.plan.places()),
            "marks": []
            if answer.plan.asked.apart or not answer.plan.depth_known
            else [{"pleat": mark.pleat, "role": mark.role, "at_mm": mark.at} for mark in answer.plan.marks()],
            "levels": [
                {
                    "name": level.name,
                    "finished_mm": level.finished,
                    "spacing_mm": level.spacing,
                    "intake_mm": level.intake,
                }
                for level in (answer.plan.levels() if answer.plan.depth_known else ())
            ],
            "notes": [shown(note, surface) for note in (*answer.notes, *_cautions(answer.plan))],
            **written,
        },
        indent=2,
        ensure_ascii=False,
    )


def _plan_json(plan: Plan) -> dict[str, Any]:
    a, known = plan.asked, plan.depth_known
    cloth = cloth_for(plan)
    return {
        "kind": a.kind.name,
        "count": plan.count,
        "finished_mm": plan.finished,
        "spacing_mm": plan.spacing,
        "depth_mm": plan.depth if known else None,
        "intake_mm": plan.intake if known else None,
        "marked_intake_mm": plan.marked_intake if known else None,
        "face_mm": plan.face or None,
        "flat_mm": plan.flat if known else None,
        "fullness": plan.named or None,
        "of_full": plan.fullness if plan.named else None,
        "layers": {"average": plan.mean_layers, "most": plan.most_layers()} if known else None,
        "ring": a.ring,
        "cloth": None
        if cloth is None
        else {
            "usable_mm": cloth.usable,
            "exact_strips": cloth.exact,
            "cut_width_mm": cloth.cut_width,
            "cut_length_mm": cloth.cut_length,
            "ways": [
                {**way._asdict(), "parts": list(way.parts), "buy": way.buy if cloth.cut_length else None}
                for way in cloth.ways
            ],
            "best": cloth.best,
            "reason": cloth.reason,
            "seam_from_edge_mm": seam_from_edge(plan),
        },
    }
