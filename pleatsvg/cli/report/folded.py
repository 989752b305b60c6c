"""What `fold` prints: the five points in plain words, or as JSON (lengths in mm), and the refusal."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from pleatsvg.errors import ProofError
from pleatsvg.folded.cautions import bulk_caution, clash_caution, where_thick
from pleatsvg.folded.steps import CAUTION, steps_of
from pleatsvg.folded.view import View, views_of
from pleatsvg.order.options import on_command_line
from pleatsvg.pleats.words import counted
from pleatsvg.proof.figures import Figure, Proof
from pleatsvg.result.figures import Ends, PleatFigures
from pleatsvg.wording import shown

_POINTS = {
    "silhouette": "the folded outline is the finished seam",
    "raw_edges": "every raw edge of every layer lies on the finished seam",
    "folds_on_placement": "each fold line lies on its placement line",
    "fold_ends": "and ends where that one ends",
    "stitch_lines_together": "the two stitch lines of each tuck lie together",
    "pokes_out": "no layer pokes out",
    "area": "every layer keeps its area",
    "cutting_line": "the folded cutting line is the finished cutting line",
    "fold_lines_straight": "fold lines are straight",
    "fold_lines_reach": "fold lines reach the seam",
    "hip_points": "panels turn about the points where the lines bend, and no others",
    "folded_top": "the folded top is as long as it was fitted to",
    "joins": "parts fit together at their joins",
    "part_cutting_lines": "the cutting line of every part is where it was made",
    "notches": "every notch lies at the end of its line",
    "join_notches": "notches of joins and of seams above kick pleats meet",
    "companion_notches": "every notch lies as far along its edge as it was measured",
    "lap_arrows": "lap arrows lead from line to line",
    "seen_lines": "what is printed of each line lies on it",
    "balance_lines": "balance lines, folded, lie as they were drawn",
    "finished_area": "it is as large as it was made",
}


def folded_text(proofs: Sequence[Proof], output: str | None, steps: bool = False) -> str:
    """Return what was proven, in plain words."""
    rows: list[str] = []
    for proof in proofs:
        kinds = {(done.number, span.line.pleat): span.line.tag.kind for done in proof.passes for span in done.creases}
        rows.append(f"{proof.piece}: {counted(kinds.values())}, {_how(proof)}")
        for name, words in _POINTS.items():
            for figure in proof.figures:
                if figure.name == name:
                    rows.append(f"  {'yes' if figure.holds else 'NO ':<3}  {words}{_behind(figure)}: {_amount(figure)}")
        rows += [f"  NO   {fault}" for fault in proof.faults]
        if proof.holds:
            for view, zone in _views(proof):
                rows.append(
                    f"  layers{zone}: {view.average:.2f} on average, at most {view.thick.layers} {where_thick(view.thick)}"
                )
                rows += [f"  {caution}" for caution in _cautions(view)]
            if steps:
                told = steps_of(proof)
                rows += [f"  {words}" for words in (told.opening, *[panel.words for panel in told.panels], *CAUTION)]
        rows += [f"  note: {shown(note, on_command_line)}" for note in proof.notes]
    if output is not None:
        rows.append(f"Written: {output}")
    return "\n".join(rows)


def _how(proof: Proof) -> str:
    if not proof.sewn_to or any(done.creases for done in proof.passes):
        return "folded from the drawn lines alone"
    notches = [
        f"{count} fold{'' if count == 1 else 's'} of {name}" if count else f"the ends of {name}"
        for name, count in proof.sewn_to
    ]
    return f"and notches for {' and '.join(notches)}"


def _views(proof: Proof) -> list[tuple[View, str]]:
    # Of a fitted piece both its zones, each with the words for it.
    views = views_of(proof, True, bare=True)
    zones = [zone for zone in (proof.passes[0].above, proof.passes[0]) if zone is not None]
    return [(view, f" {done.zone_words}" if done.zone else "") for view, done in zip(views, zones, strict=True)]


def _cautions(view: View) -> list[str]:
    found = [bulk_caution(view.thick)] if bulk_caution(view.thick) else []
    return [*found, clash_caution(view.clashes, view.thick.kinds)] if view.clashes else found


def _behind(figure: Figure) -> str:
    if figure.zone:
        return f" ({figure.zone_words})"
    return f" (pass {figure.pass_})" if figure.pass_ is not None else ""


def _amount(figure: Figure) -> str:
    unit = "mm" if figure.unit == "mm" else "square mm"
    limit = f"{figure.limit:.3g}"
    if figure.holds:
        least, digits = (0.000001, 6) if figure.unit == "mm" else (0.001, 3)
        return f"within {max(figure.value, least):.{digits}f} {unit} (limit {limit})"
    where = f"; {figure.place}" if figure.place else ""
    return f"out by {figure.value:.3f} {unit} (limit {limit}){where}".rstrip(",")


def folded_json(proofs: Sequence[Proof], source: Path, output: Path | None) -> str:
    """Return what was proven as JSON: one piece as an object, several as {"pieces": [...]}."""
    made = [_data(proof) for proof in proofs]
    head: dict[str, Any] = {"result": str(source), "output": str(output) if output else None}
    whole = {**head, **made[0]} if len(made) == 1 else {**head, "pieces": made}
    return json.dumps(whole, indent=2, ensure_ascii=False)


def _data(proof: Proof) -> dict[str, Any]:
    data: dict[str, Any] = {
        "piece": proof.piece,
        "true": proof.holds,
        "worst_mm": proof.worst if math.isfinite(proof.worst) else None,
        "figures": [
            {
                "name": f"{figure.name}{_behind(figure)}",
                "pass": figure.pass_,
                "true": figure.holds,
                f"value_{figure.unit}": figure.value if math.isfinite(figure.value) else None,
                f"limit_{figure.unit}": figure.limit,
                "place": figure.place or None,
            }
            for figure in proof.figures
        ],
        "faults": list(proof.faults),
        "passes": len(proof.passes),
        "flat_area_mm2": proof.flat_area,
        "finished_area_mm2": proof.finished_area,
        "notes": [shown(note, on_command_line) for note in proof.notes],
    }
    if proof.sewn_to:
        data["sewn_to"] = [{"piece": name, "folds": count} for name, count in proof.sewn_to]
    if proof.holds:
        views = [view for view, _ in _views(proof)]
        for view, name in zip(reversed(views), ("layers", "layers_above"), strict=False):
            data[name] = {
                "average": view.average,
                "most": view.thick.layers,
                "most_at_pleats": list(view.thick.pleats),
                "across": [{"width_mm": zone.end - zone.start, "layers": zone.layers} for zone in view.zones],
            }
        data["cautions"] = [caution for view in views for caution in _cautions(view)]
        data["pleats"] = [_pleat(pleat) for pleat in proof.pleats]
    return data


def _pleat(pleat: PleatFigures) -> dict[str, Any]:
    def ends(name: str, found: Ends) -> dict[str, float | None]:
        # At the hip of a fitted pleat alone.
        level = {} if found.hip is None else {f"{name}_hip_mm": found.hip}
        return {f"{name}_top_mm": found.top, **level, f"{name}_hem_mm": found.hem}

    return {
        "pass": pleat.pass_,
        "number": pleat.number,
        "kind": pleat.kind,
        "lap": pleat.lap,
        "stack": pleat.stack,
        **ends("intake", pleat.intake),
        **ends("from_edge", pleat.from_edge),
        **ends("face", pleat.face),
        **ends("spacing", pleat.spacing),
        "lines": [
            {"class": line.role, "folds": list(line.folds), **ends("flat_from_edge", line.from_edge)}
            for line in pleat.lines
        ],
    }


def not_true(proofs: Sequence[Proof], source: Path) -> ProofError:
    """Return the refusal of a result that does not fold back true."""
    bad = [proof for proof in proofs if not proof.holds]
    failures = [words for proof in bad for words in proof.failures]
    more = f", and what follows from it ({len(failures)} points in all)" if len(failures) > 1 else ""
    piece = f" ('{bad[0].piece}')" if len(proofs) > 1 else ""
    return ProofError(
        f"'{source.name}'{piece}",
        f"does not fold back true: {failures[0]}{more}",
        "",
        "Do not cut from it. Undo the last change there in the editor, or make a fresh result.",
    )
