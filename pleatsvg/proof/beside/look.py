"""The last look before the scissors: all that stands beside the seam of a result, in one go."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pleatsvg.proof.beside.companions import measured_notches, notches_along
from pleatsvg.proof.beside.marks import (
    PRINTED_ALONG,
    arrows_on_lines,
    balance_lines_true,
    grain_as_stated,
    seen_on_lines,
)
from pleatsvg.proof.beside.notches import notches_on_lines, notches_that_meet
from pleatsvg.proof.beside.part_cuts import cuts_of_parts
from pleatsvg.proof.beside.stated import counted, intakes_as_stated, true_to_scale
from pleatsvg.proof.beside.strips import lost_corners
from pleatsvg.proof.beside.words import words_on_lines
from pleatsvg.proof.figures import Figure, Most
from pleatsvg.proof.folded_pass import FoldedPass
from pleatsvg.proof.pleat_figures import figures_of
from pleatsvg.result.pattern_lines import ResultPiece
from pleatsvg.tolerance import BALANCE_OFF, FOLD_BACK_CUT, MARK_OFF, NOTCH_OFF

_NOT_LOOKED_AT = "lines of stitching, what was carried onto it, heading and key"


@dataclass(frozen=True, slots=True)
class Looked:
    """What was found beside the seam: figures with limits, faults in words, and what could not be looked at."""

    figures: tuple[Figure, ...]
    faults: tuple[str, ...]
    notes: tuple[str, ...]


def look_beside(piece: ResultPiece, passes: tuple[FoldedPass, ...], true_so_far: bool) -> Looked:
    """Return what stands beside the seam and is not as it should be.

    Args:
        piece: as read; where its marks were not read, its strips alone are looked at.
        passes: folded, the last one first.
        true_so_far: whether its seam and creases hold; if not, nothing is held against them but what stands alone.
    """
    faults = [fault for done in passes for fault in lost_corners(done)] if true_so_far else []
    if not piece.beside:
        return Looked((), tuple(faults), ())
    figures, wrong, notes = true_to_scale(piece, passes)
    if wrong and not figures:
        return Looked((), tuple(wrong), ())  # of a piece that was scaled every other figure is off as well
    missing, more = counted(piece)
    faults = [*wrong, *faults, *missing]
    notes += more
    marks = {mark.role for mark in piece.marks}
    if measured_notches(piece):
        along = notches_along(piece, passes[0].seam)
        figures.append(_figure("companion_notches", "is not as far along its edge as it says", along, NOTCH_OFF))
    if any(mark.role == "notch" and mark.tag.line != "companion" for mark in piece.marks):
        figures.append(_figure("notches", "lies beside its line", notches_on_lines(piece), NOTCH_OFF))
        if any(mark.tag.line in ("join", "seam") for mark in piece.marks):
            figures.append(_figure("join_notches", "misses the one opposite", notches_that_meet(piece), NOTCH_OFF))
    if "lap-arrow" in marks:
        figures.append(_figure("lap_arrows", "lies beside its lines", arrows_on_lines(piece), MARK_OFF))
    if marks & PRINTED_ALONG:
        figures.append(_figure("seen_lines", "lies beside the line that is folded", seen_on_lines(piece), NOTCH_OFF))
    faults += grain_as_stated(piece) + words_on_lines(piece)
    if true_so_far:
        faults += intakes_as_stated(piece, figures_of(passes))
        parts = cuts_of_parts(piece, passes[0])
        if parts is not None:
            figures.append(_figure("part_cutting_lines", "is not where it was made", parts, FOLD_BACK_CUT))
        figures += _balance(piece, passes)
    cut = any(line.role == "cut-line" for line in piece.lines)
    notes.append(f"Not looked at: {'' if cut else 'a cutting line, since it has none; '}{_NOT_LOOKED_AT}.")
    return Looked(tuple(figures), tuple(faults), tuple(notes))


def _balance(piece: ResultPiece, passes: tuple[FoldedPass, ...]) -> list[Figure]:
    made: list[Figure] = []
    flat = list(passes[0].balance)
    if passes[0].above is not None:
        from pleatsvg.proof.zones.drawn import balance_in_zones  # of no use to most results

        if not any(line.role == "finished-balance-line" for line in piece.lines):
            return []
        return [
            _figure(
                "balance_lines", "misses the one that was drawn", balance_in_zones(passes[0], piece.lines), BALANCE_OFF
            )
        ]
    for done in passes:
        finished = [line for line in piece.lines if line.role == "finished-balance-line" and line.pass_ == done.number]
        if flat and finished:
            most = balance_lines_true(done, flat, finished)
            number = done.number if len(passes) > 1 else None
            made.append(_figure("balance_lines", "misses the one that was drawn", most, BALANCE_OFF, number))
        flat = finished
    return made


def _figure(name: str, words: str, most: Most, limit: float, pass_: int | None = None) -> Figure:
    return Figure(
        name=name,
        words=words,
        value=most.value if math.isfinite(most.value) else math.inf,
        limit=limit,
        unit="mm",
        place=(most.first or most.place).rstrip(","),
        first=most.first_value,
        pass_=pass_,
    )
