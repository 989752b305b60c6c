"""What `plan` prints: every figure for the shop and for the table, in plain words; or as JSON, lengths in mm."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from pleatsvg.cli.report.planned_cloth import cloth_rows
from pleatsvg.cli.report.planned_marks import WIDE, mark_rows
from pleatsvg.length import finely, show
from pleatsvg.plan.asked import counted
from pleatsvg.plan.cloth import cloth_for, cut_width, seam_from_edge
from pleatsvg.plan.panel import past_the_side
from pleatsvg.plan.planned import SAME, Plan
from pleatsvg.plan.solve import Answer
from pleatsvg.plan.waist import lean_words, waist_of, waist_words
from pleatsvg.tolerance import BULKY
from pleatsvg.wording import Surface, shown


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
        rows += ["", *cloth_rows(plan, cloth)]
    rows += ["", *mark_rows(plan)]
    notes = [*answer.notes, *_cautions(plan)]
    rows += [""] * bool(notes) + [
        line
        for note in notes
        for line in textwrap.wrap(f"  note: {shown(note, surface)}", WIDE, subsequent_indent="        ")
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
    waist = waist_of(plan)
    if waist is not None:
        rows += [("at the waist", waist_words(plan, waist)), ("lean", lean_words(plan, waist))]
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
    unit, seen, many = (
        plan.asked.unit,
        plan.spacing - (plan.depth if plan.depth_known else 0.0),
        plan.count - (not plan.asked.ring),
    )
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
    head = [noun, "spacing", "depth", "intake", "flat", "layers", "fullness", "leans", "cloth", ""]
    body = []
    for choice in answer.choices:
        plan = choice.plan
        cloth = cloth_for(plan)
        way = cloth.ways[cloth.best] if cloth is not None and cloth.ways else None
        known, waist = plan.depth_known, waist_of(plan)
        body.append(
            [
                str(plan.count),
                show(plan.spacing, unit),
                show(plan.depth, unit) if known else "",
                show(plan.intake, unit) if known else "",
                show(plan.flat, unit) if known else "",
                f"{plan.mean_layers:.1f}, most {plan.most_layers()}" if known else "",
                _named(plan),
                f"{waist.lean:.1f} degrees" if waist is not None else "",
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
        "waist": _waist_json(plan),
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


def _waist_json(plan: Plan) -> dict[str, float | None] | None:
    waist = waist_of(plan)
    if waist is None:
        return None
    return {
        "finished_mm": waist.finished,
        "down_mm": waist.down,
        "spacing_mm": waist.spacing,
        "intake_mm": waist.intake,
        "face_mm": waist.face or None,
        "share_mm": waist.share,
        "lean_degrees": waist.lean,
        "count_under_5_degrees": waist.kind,
    }
