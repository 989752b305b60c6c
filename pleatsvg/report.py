"""What the commands print: in plain words for the person, as JSON for another program (lengths in mm)."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pleatsvg.job import PleatedPiece
from pleatsvg.length import show
from pleatsvg.measuring import Measured, MeasuredLine
from pleatsvg.tolerance import FOLD_BACK
from pleatsvg.words import end_words, lap_name, numbers_in_words, pleat_words, told_words


def measured_text(found: Measured) -> str:
    """Return a measured piece in plain words."""
    piece, unit = found.piece, found.unit
    page = piece.page
    left, top, right, bottom = piece.outline.box
    size = f"{show(page.width_mm, unit)} x {show(page.height_mm, unit)}" if page.width_mm else "no size stated"
    rows = [
        f"Piece '{piece.name}' in {piece.source}",
        f"  page        {size}; one drawing unit is {page.mm_per_unit:.5g} mm, from {page.scale_from}",
        f"  piece       {show(right - left, unit)} wide, {show(bottom - top, unit)} high as drawn",
        "",
        "Edges of the cutting line, clockwise from the top left"
        if piece.only_cut
        else "Seam edges, clockwise from the top left",
    ]
    width = max(len(e.name) for e in found.edges)
    for e in found.edges:
        on_fold = ", cut on the fold" if found.fold is not None and e.number == found.fold.number else ""
        rows.append(
            f"  {e.number:>2}  {e.name:<{width}}  {show(e.length, unit):>10}  {'straight' if e.straight else 'curved'}{on_fold}"
        )
    if found.whole_width is not None:
        rows.append(
            f"  The piece is one half; opened out it is {show(found.whole_width, unit)} wide, square to the fold edge."
        )
    if found.lines:
        first, second = end_words(found.upright)
        start = "left" if found.upright else "top"
        rows += ["", f"Slash lines, numbered from the {start}; their top is the {_top_end(found.upright)}"]
        width = max(len(line.name) for line in found.lines)
        for line in found.lines:
            grain = "" if line.grain_degrees is None else f", {line.grain_degrees:.1f} degrees to the grain"
            at_top, at_hem = (f"{m.edge} at {show(m.distance, unit)}" for m in (line.top, line.hem))
            rows.append(
                f"  {line.number:>2}  {line.name:<{width}}  {first}: {at_top}; {second}: {at_hem}; "
                f"{show(line.length, unit)} long{grain}"
            )
        rows += [
            "",
            f"Spaces along the seam, from corner to corner ({'left to right' if found.upright else 'top to bottom'})",
        ]
        for word, spaces in ((first, found.top_spaces), (second, found.hem_spaces)):
            rows.append(f"  at the {word}: " + " | ".join(show(s, unit) for s in spaces))
    if piece.parts:
        rows += ["", "Names and the parts they play"]
        rows += [f"  {name} -> {part}" for name, part in piece.parts]
    if found.odd:
        rows += ["", "Worth a look"]
        rows += [f"  - {remark}" for remark in found.odd]
    return "\n".join(rows)


def _top_end(upright: bool) -> str:
    return "upper end" if upright else "left end"


def measured_json(found: list[Measured]) -> str:
    """Return measured pieces as JSON, lengths in mm: one piece as an object, several as {"pieces": [...]}."""
    made = [_measured_data(one) for one in found]
    return json.dumps(made[0] if len(made) == 1 else {"pieces": made}, indent=2, ensure_ascii=False)


def _measured_data(found: Measured) -> dict[str, Any]:
    piece = found.piece
    outline = piece.outline

    def line(m: MeasuredLine) -> dict[str, Any]:
        return {
            "number": m.number,
            "name": m.name,
            "length_mm": m.length,
            "grain_degrees": m.grain_degrees,
            "top": {"edge": m.top.edge, "at_mm": m.top.distance, "point_mm": _pair(m.top.point)},
            "hem": {"edge": m.hem.edge, "at_mm": m.hem.distance, "point_mm": _pair(m.hem.point)},
        }

    return {
        "drawing": piece.source,
        "piece": piece.name,
        "page": {
            "width_mm": piece.page.width_mm,
            "height_mm": piece.page.height_mm,
            "mm_per_unit": piece.page.mm_per_unit,
            "scale_from": piece.page.scale_from,
        },
        "box_mm": list(outline.box),
        "area_mm2": outline.area,
        "outline_is": "cutting line" if piece.only_cut else "seam",
        "whole_width_mm": found.whole_width,
        "edges": [
            {
                "number": e.number,
                "name": e.name,
                "length_mm": e.length,
                "straight": e.straight,
                "cut_on_fold": found.fold is not None and e.number == found.fold.number,
                "from_mm": _pair(outline.point(e.start)),
                "to_mm": _pair(outline.point(e.end)),
            }
            for e in found.edges
        ],
        "lines_run": None if not found.lines else "upright" if found.upright else "level",
        "top_end": None if not found.lines else _top_end(found.upright),
        "slash_lines": [line(m) for m in found.lines],
        "top_spaces_mm": list(found.top_spaces),
        "hem_spaces_mm": list(found.hem_spaces),
        "names": [{"name": name, "part": part} for name, part in piece.parts],
        "odd": list(found.odd),
    }


def _pair(z: complex) -> list[float]:
    return [z.real, z.imag]


def pleated_text(result: PleatedPiece, output: Path) -> str:
    """Return what was made, in plain words."""
    unit, upright = result.unit, result.lines.upright
    before = result.earlier.told if result.earlier is not None else ()
    count = result.count
    passes = f" in {result.number} passes" if before else ""
    rows = [f"{result.name}: {count} {'pleat' if count == 1 else 'pleats'}{passes}"]
    alike: dict[str, list[int]] = {}
    for old in before:
        words = old.said or told_words(old.kind, old.lap, old.intake_top, old.intake_hem, unit)
        alike.setdefault(f"{words} (pass {old.pass_})", []).append(old.number)
    for fact in result.facts:
        grain = "" if fact.grain_degrees is None else f"; {fact.grain_degrees:.1f} degrees to the grain"
        behind = f" (pass {result.number})" if before else ""
        alike.setdefault(f"{pleat_words(fact.request, upright, unit)}{grain}{behind}", []).append(fact.number)
    rows += [f"  {numbers_in_words(numbers)}: {words}" for words, numbers in alike.items()]
    made = [result]
    while made[0].before is not None:
        made.insert(0, made[0].before)
    for one in made:
        behind = f" (pass {one.number})" if len(made) > 1 else ""
        for word, (finished, flat) in zip(
            end_words(one.lines.upright), (one.top_lengths, one.hem_lengths), strict=True
        ):
            whole = (
                ""
                if one.ground.fold is None
                else (f" (cut on the fold: {show(2 * finished, unit)} and {show(2 * flat, unit)} on the whole)")
            )
            rows.append(
                f"  seam at the {word}: {show(finished, unit)} finished, {show(flat, unit)} flat{whole}{behind}"
            )
    rows.append(f"  folded back from the drawn creases: largest miss {result.worst_miss:.6f} mm (limit {FOLD_BACK} mm)")
    if result.cut_proof is not None:
        rows.append(f"  cutting line folded back: largest miss {result.cut_proof.worst:.6f} mm (limit {FOLD_BACK} mm)")
    rows += [f"  note: {remark}" for remark in result.remarks]
    rows.append(f"Written: {output} ({result.sheet.width:.0f} x {result.sheet.height:.0f} mm; print at 100 %)")
    return "\n".join(rows)


def pleated_json(result: PleatedPiece, output: Path) -> str:
    """Return what was made as JSON, lengths in mm."""
    upright = result.lines.upright
    return json.dumps(
        {
            "output": str(output),
            "piece": result.name,
            "page_mm": [result.sheet.width, result.sheet.height],
            "pleats": [
                {
                    "number": f.number,
                    "slash": f.name,
                    "kind": f.request.kind.name,
                    "lap": lap_name(f.request, upright),
                    "stack": f.request.stack,
                    "face_mm": f.request.face or None,
                    "intake_mm": f.request.intake_top,
                    "hem_intake_mm": f.request.intake_hem,
                    "measured_intake_mm": f.intake_top,
                    "measured_hem_intake_mm": f.intake_hem,
                    "grain_degrees": f.grain_degrees,
                }
                for f in result.facts
            ],
            "pass": result.number,
            "earlier_pleats": [
                {
                    "pass": old.pass_,
                    "number": old.number,
                    "kind": old.kind,
                    "lap": old.lap,
                    "measured_intake_mm": old.intake_top,
                    "measured_hem_intake_mm": old.intake_hem,
                }
                for old in (result.earlier.told if result.earlier is not None else ())
            ],
            "top_seam_mm": {"finished": result.top_lengths[0], "flat": result.top_lengths[1]},
            "hem_seam_mm": {"finished": result.hem_lengths[0], "flat": result.hem_lengths[1]},
            "fold_back_mm": result.worst_miss,
            "fold_back": {
                "raw_edges_mm": result.proof.raw_edges,
                "folds_on_placement_mm": result.proof.folds,
                "uncovered_seam_mm": result.proof.bare,
                "earlier_lines_mm": result.earlier_miss,
                "limit_mm": FOLD_BACK,
            },
            "cut_fold_back_mm": None if result.cut_proof is None else result.cut_proof.worst,
            "allowances_mm": None if result.cutting is None else _allowances(result),
            "cut_on_fold": result.ground.on_fold,
            "remarks": list(result.remarks),
        },
        indent=2,
        ensure_ascii=False,
    )


def _allowances(result: PleatedPiece) -> dict[str, float]:
    # The least allowance of each edge.
    assert result.cutting is not None
    found: dict[str, float] = {}
    for number, far in zip(result.ground.edge_of, result.cutting.distances, strict=True):
        name = next(edge.name for edge in result.ground.edges if edge.number == number)
        found[name] = min(far, found.get(name, far))
    return found
