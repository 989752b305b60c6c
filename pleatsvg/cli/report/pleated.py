"""What `pleat` prints: in plain words for the person, as JSON for another program (lengths in mm)."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from pleatsvg.kinds import noun_of
from pleatsvg.length import show
from pleatsvg.order.options import on_command_line
from pleatsvg.piece.edges import lower_word
from pleatsvg.pleated import PleatedPiece
from pleatsvg.pleats.words import counted, end_words, lap_name, numbers_in_words, pleat_words, told_words
from pleatsvg.saying import on_one_line
from pleatsvg.tolerance import FOLD_BACK
from pleatsvg.wording import shown

if TYPE_CHECKING:
    from pleatsvg.companion.made import Companion
    from pleatsvg.fitted.table import TableRow
    from pleatsvg.result.figures import Ends


def pleated_text(result: PleatedPiece, output: str, companions: Sequence[tuple[Companion, Path]] = ()) -> str:
    """Return what was made, in plain words; `companions` with their files."""
    unit, upright, lower = result.unit, result.lines.upright, lower_word(result.laid.ground.edges)
    before = result.earlier.told if result.earlier is not None else ()
    kinds = [*[old.kind for old in before], *[fact.request.kind.name for fact in result.facts]]
    passes = f" in {result.number} passes" if before else ""
    rows = [f"{result.name}: {counted(kinds)}{passes}"]
    alike: dict[tuple[str, str], list[int]] = {}
    for old in before:
        words = old.said or told_words(old.kind, old.lap, old.intake_top, old.intake_hem, unit, old.stitched)
        alike.setdefault((noun_of(old.kind), f"{words} (pass {old.pass_})"), []).append(old.number)
    for fact in result.facts:
        grain = "" if fact.grain_degrees is None else f"; {fact.grain_degrees:.1f} degrees to the grain"
        behind = f" (pass {result.number})" if before else ""
        words = f"{pleat_words(fact.request, upright, unit, lower)}{grain}{behind}"
        alike.setdefault((noun_of(fact.request.kind.name), words), []).append(fact.number)
    rows += [f"  {numbers_in_words(numbers, noun)}: {words}" for (noun, words), numbers in alike.items()]
    made = [result]
    while made[0].before is not None:
        made.insert(0, made[0].before)
    for one in made:
        behind = f" (pass {one.number})" if len(made) > 1 else ""
        for word, (finished, flat) in zip(_ends(one), (one.top_lengths, one.hem_lengths), strict=True):
            whole = (
                ""
                if one.laid.ground.fold is None
                else (f" (cut on the fold: {show(2 * finished, unit)} and {show(2 * flat, unit)} on the whole)")
            )
            rows.append(
                f"  seam at the {word}: {show(finished, unit)} finished, {show(flat, unit)} flat{whole}{behind}"
            )
    if result.lines.ring:
        rows.append(f"  {_all_round(result)}")
    if result.laid.fitted is not None:
        rows += _table_rows(result)
    rows.append(f"  folded back from the drawn creases: largest miss {result.worst_miss:.6f} mm (limit {FOLD_BACK} mm)")
    if result.cut_proof is not None:
        rows.append(f"  cutting line folded back: largest miss {result.cut_proof.worst:.6f} mm (limit {FOLD_BACK} mm)")
    rows += [f"  note: {shown(remark, on_command_line)}" for remark in result.remarks]
    rows.append(f"Written: {output} ({result.sheet.width:.0f} x {result.sheet.height:.0f} mm; print at 100 %)")
    for companion, target in companions:
        rows += _companion_rows(companion, on_one_line(str(target)))
    return "\n".join(rows)


def _companion_rows(companion: Companion, output: str) -> list[str]:
    result, match = companion.result, companion.match
    folds = sum([len(edge.folds) for edge in match.pleated])
    rows = [
        f"{result.name}: notches for {folds} fold{'' if folds == 1 else 's'}, from the {match.begins} end of its "
        f"{match.edge[0]}",
        f"  {match.words}",
    ]
    rows += [f"  note: {shown(remark, on_command_line)}" for remark in result.remarks]
    return [*rows, f"Written: {output} ({result.sheet.width:.0f} x {result.sheet.height:.0f} mm; print at 100 %)"]


def _ends(one: PleatedPiece) -> tuple[str, ...]:
    # What the seams are called that the two ends of the lines lie on; a closed dart may lie in any edge.
    edges = list(dict.fromkeys(dart.edge for dart in one.lines.closed))
    words = end_words(one.lines.upright, lower_word(one.laid.ground.edges))
    at_points = one.lines.end_at_points
    return tuple(
        [
            f"{edges[0]} (dart closed)" if dies and word != edges[0] else f"{word}{_with_corners(along)}"
            for word, dies, along in zip(words, at_points, (one.top_edges, one.hem_edges), strict=True)
        ]
    )


def _with_corners(along: tuple[str, ...]) -> str:
    # Lines that end on several edges are measured along all of them, and the length is not that of one.
    return f" ({', '.join(along)})" if len(along) > 1 else ""


def pleated_json(result: PleatedPiece, output: Path, companions: Sequence[tuple[Companion, Path]] = ()) -> str:
    """Return what was made as JSON, lengths in mm; `companions` with their files."""
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
                "earlier_lines_mm": result.proven.earlier_miss,
                "limit_mm": FOLD_BACK,
            },
            "cut_fold_back_mm": None if result.cut_proof is None else result.cut_proof.worst,
            "allowances_mm": None if result.laid.cutting is None else _allowances(result),
            "cut_on_fold": result.laid.ground.on_fold,
            "remarks": [shown(remark, on_command_line) for remark in result.remarks],
            **_finish(result),
            **_ring(result),
            **({"companions": [_companion(*one) for one in companions]} if companions else {}),
            **_fitted(result),
        },
        indent=2,
        ensure_ascii=False,
    )


def _companion(companion: Companion, output: Path) -> dict[str, object]:
    match = companion.match
    return {
        "output": str(output),
        "piece": companion.result.name,
        **match.data(),
        "notches_mm": [round(at, 6) for at in companion.at],
        "remarks": [shown(remark, on_command_line) for remark in companion.result.remarks],
    }


def _all_round(result: PleatedPiece) -> str:
    # Folded, a ring is as long as its finished seam; one that is cut several times goes on from piece to piece.
    top, hem = result.top_lengths[0], result.hem_lengths[0]
    words = f"all round, folded: {show(top, result.unit)} at the top, {show(hem, result.unit)} at the hem"
    number = result.laid.order.marking.cut or 1
    if number > 1:
        words += f"; {number} of them, sewn to one another: {show(number * top, result.unit)} at the top"
    pleats = [str(result.flat.creases[join.crease].pleat) for join in result.flat.joins]
    if len(pleats) == 1:
        return f"{words}; closed by one join, at the inner fold of pleat {pleats[0]}"
    return f"{words}; closed by {len(pleats)} joins, at inner folds of pleats {', '.join(pleats[:-1])} and {pleats[-1]}"


def _ring(result: PleatedPiece) -> dict[str, object]:
    # Of a piece that goes all round.
    if not result.lines.ring:
        return {}
    joins = [{"number": join.number, "pleat": result.flat.creases[join.crease].pleat} for join in result.flat.joins]
    return {"ring": {"top_mm": result.top_lengths[0], "hem_mm": result.hem_lengths[0], "joins": joins}}


def _table(result: PleatedPiece) -> Sequence[TableRow]:
    from pleatsvg.fitted.table import fitted_table  # of no use to most results

    assert result.laid.fitted is not None
    return fitted_table(result.laid.fitted, [(fact.intake_top, fact.intake_hem) for fact in result.facts])


def _table_rows(result: PleatedPiece) -> list[str]:
    # From the left edge on, at each level the cloth that is seen before a pleat, and what the pleat takes up.
    unit = result.unit
    assert result.laid.fitted is not None
    level = result.laid.fitted.asked.level
    begin, end = ("half-way between the last pleat and the first", "round to there again")
    if not result.lines.ring:
        begin, end = "the left edge", "to the right edge"
    rows = [f"  from {begin}, at the top | the {level} | the hem: space, then intake (so far, folded)"]
    for row in _table(result):
        levels = (row.top, row.hip, row.hem)
        if row.pleat:
            said = [f"{show(v.space, unit)}, {show(v.intake, unit)} ({show(v.so_far, unit)})" for v in levels]
            rows.append(f"    pleat {row.pleat}: {' | '.join(said)}; leans {row.lean:.1f} degrees")
        else:
            said = [f"{show(v.space, unit)} ({show(v.so_far, unit)})" for v in levels]
            rows.append(f"    {end}: {' | '.join(said)}")
    return rows


def _fitted(result: PleatedPiece) -> dict[str, object]:
    # Of a piece whose pleats are shaped between hip and top.
    fitted = result.laid.fitted
    if fitted is None:
        return {}

    def levels(row: TableRow, flat: Sequence[float]) -> dict[str, dict[str, float]]:
        return {
            name: {
                "space_mm": value.space,
                "so_far_mm": value.so_far,
                "intake_mm": value.intake,
                "flat_so_far_mm": there,
            }
            for (name, value), there in zip((("top", row.top), ("hip", row.hip), ("hem", row.hem)), flat, strict=True)
        }

    rows = _table(result)
    begins, end = _on_the_flat_seam(result)
    return {
        "fitted": {
            "asked_mm": fitted.waist,
            "drawn_top_mm": fitted.top.length,
            "hip": fitted.asked.hip,
            "level": fitted.asked.level,
            "fit_length_mm": fitted.asked.down,
            "darts": [
                {"name": one.dart.words, "width_mm": one.width, "depth_mm": one.depth, "shared_by": one.way}
                for one in [one.taken for one in fitted.taken]
            ],
            "pleats": [
                {
                    "number": row.pleat,
                    "lean_degrees": row.lean,
                    "share_mm": row.share,
                    **levels(row, begin),
                }
                for row, begin in zip(rows[:-1], begins, strict=True)
            ],
            "left": levels(rows[-1], end),
        }
    }


def _on_the_flat_seam(result: PleatedPiece) -> tuple[list[list[float]], list[float]]:
    # How far from the edge of the flat piece each pleat begins, and how far off the other edge is: at the top, at the level
    # and at the hem, each mm along the seam as it is written. An intake is told straight, from fold to fold.
    from pleatsvg.api import figures  # as the file gives them: most results are told in words

    found = figures(result)
    begins = [[min([at(line.from_edge) for line in pleat.lines]) for at in _LEVELS] for pleat in found]
    end = [max([at(line.from_edge) for line in found[-1].lines]) + at(found[-1].spacing) for at in _LEVELS]
    return begins, end


_LEVELS: tuple[Callable[[Ends], float], ...] = (
    lambda ends: ends.top or 0.0,
    lambda ends: ends.hip or 0.0,
    lambda ends: ends.hem or 0.0,
)


def _finish(result: PleatedPiece) -> dict[str, object]:
    # Of a piece that was drawn as flat cloth.
    found = result.laid.finish
    if found is None:
        return {}
    balance = None
    if found.balance is not None:
        name, drawn, asked = found.balance
        balance = {"name": name, "drawn_mm": drawn, "asked_mm": asked}
    return {
        "finish_to": {
            "asked_mm": found.asked,
            "drawn_mm": found.drawn,
            "count": found.count,
            "count_unrounded": found.counted,
            "intake_given_mm": found.given,
            "intake_mm": found.intake_top,
            "hem_intake_mm": found.intake_hem,
            "trued_mm": found.trued,
            "balance": balance,
        }
    }


def _allowances(result: PleatedPiece) -> dict[str, float]:
    # The least allowance of each edge.
    laid = result.laid
    cutting = laid.cutting if laid.fitted is None else laid.fitted.cutting
    assert cutting is not None
    found: dict[str, float] = {}
    for number, far in zip(laid.ground.edge_of, cutting.distances, strict=True):
        name = next(edge.name for edge in laid.ground.edges if edge.number == number)
        found[name] = min(far, found.get(name, far))
    return found
