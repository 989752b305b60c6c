"""What a result says that it holds, against what is there: how many of each class, how large, how much is taken up."""

from __future__ import annotations

import math

from pleatsvg.kinds import noun_of
from pleatsvg.proof.figures import Figure
from pleatsvg.proof.folded_pass import FoldedPass
from pleatsvg.result.classes import CLASSES
from pleatsvg.result.figures import PleatFigures
from pleatsvg.result.pattern_lines import ResultPiece
from pleatsvg.tolerance import FOLD_BACK, STATED_INTAKE

_CUT_BY = frozenset(
    {
        "cut-line",
        "seam-line",
        "finished-line",
        "finished-cut-line",
        "finished-balance-line",
        "ring-line",
        "closed-dart",
        "hip-level-line",
        "fold-line",
        "placement-line",
        "inner-fold-line",
        "stitch-line",
        "join-line",
        "fold-edge",
        "free-edge",
        "notch",
        "grain-line",
        "balance-line",
    }
)
"""Classes that are cut, folded and matched by: one that is gone is a fault. Of all others it is told."""


def counted(piece: ResultPiece) -> tuple[list[str], list[str]]:
    """Return faults and notes on what is gone since the result was made, or has come to it under one of its classes."""
    if piece.stated.holds is None:
        return [], [
            "It does not say how many lines and marks it was made with, so whether one is gone was not looked at."
        ]
    faults: list[str] = []
    notes: list[str] = []
    for name, meant in piece.stated.holds.items():
        there = piece.found.get(name, 0)
        if there == meant:
            continue
        if there < meant:
            gone = meant - there
            words = f"{gone} of {_several(name, meant)} {'is' if gone == 1 else 'are'} gone"
            if meant == 1:
                words = f"the {name.replace('-', ' ')} is gone"
            words += _which(piece) if name == "notch" else ""
        else:
            words = f"there are {_several(name, there)} where {meant} {'was' if meant == 1 else 'were'} made"
        (faults if name in _CUT_BY else notes).append(words)
    faults += [
        f"there is a {name.replace('-', ' ')}, and it was made without one"
        for name in sorted(set(piece.found) - set(piece.stated.holds))
        if name in _CUT_BY and name in CLASSES
    ]
    return faults, [f"Since it was made: {'; '.join(notes)}."] if notes else []


def _several(name: str, count: int) -> str:
    plain = name.replace("-", " ")
    return f"{count} {plain}{'' if count == 1 else 'es' if plain.endswith('ch') else 's'}"


def _which(piece: ResultPiece) -> str:
    # A line that has its notch at one end only, where others have two.
    ends: dict[tuple[str, int, tuple[int, ...]], set[str]] = {}
    kinds = {line.pleat: line.tag.kind for line in piece.lines if line.pleat}
    for mark in piece.marks:
        if mark.role == "notch" and mark.tag.end in ("top", "hem"):
            ends.setdefault((mark.tag.line, mark.pleat, mark.folds), set()).add(mark.tag.end)
    for (line, pleat, _), there in ends.items():
        if len(there) == 1:
            missing = "hem" if "top" in there else "top"
            return f"; the {line} line of {noun_of(kinds.get(pleat, ''))} {pleat} has none at its {missing}"
    return ""


def true_to_scale(piece: ResultPiece, passes: tuple[FoldedPass, ...]) -> tuple[list[Figure], list[str], list[str]]:
    """Return the figure of the finished piece's area against that which is stated, faults and notes."""
    stated = piece.stated.finished_area
    square = piece.check.square
    if stated is None or not stated > 0:
        notes = ["It does not say how large it was made, so its scale was looked at by the print check alone."]
        return [], _square_faults(square), notes
    first = passes[0]
    outline = first.finished
    area = piece.finished_area
    assert area is not None
    bound = max(1.0, FOLD_BACK * sum(outline.lengths))
    off = abs(area - stated)
    ratio = math.sqrt(area / stated)
    if off > bound and square is not None and abs(ratio - 1) > 1e-3 and abs(square / 50.0 - ratio) < 5e-4:
        scaled = (
            f"everything is drawn at {100 * ratio:.1f} % of its true size: the drawing was scaled since it was made"
        )
        return [], [scaled], []
    figure = Figure(
        name="finished_area",
        words="is not as large as it was made",
        value=off,
        limit=bound,
        unit="mm2",
        place="the finished shape",
        first=off,
    )
    faults = _square_faults(square)
    notes = (
        [] if square is not None else ["The 50 mm square of the print check is gone; a print cannot be checked by it."]
    )
    if piece.check.bar is None:
        notes.append("The 100 mm bar of the print check is gone.")
    elif abs(piece.check.bar - 100.0) > 2 * _SLACK:
        faults.append(f"the 100 mm bar of the print check measures {piece.check.bar:.1f} mm")
    return [figure], faults, notes


_SLACK = 0.25
"""mm that the 50 mm square may be out: half a millimetre in a hundred, which a ruler shows."""


def _square_faults(square: float | None) -> list[str]:
    if square is None or abs(square - 50.0) <= _SLACK:
        return []
    return [f"the 50 mm square of the print check measures {square:.1f} mm"]


def intakes_as_stated(piece: ResultPiece, pleats: tuple[PleatFigures, ...]) -> list[str]:
    """Return faults of labels whose stated intake is not what the lines of their pleat take up."""
    faults: list[str] = []
    known = {(pleat.pass_, pleat.number): pleat for pleat in pleats}
    for told in piece.told:
        pleat = known.get((told.pass_, told.pleat))
        if pleat is None:
            continue
        for end, said, found in (
            ("top", told.intake_top, pleat.intake.top),
            ("hem", told.intake_hem, pleat.intake.hem),
        ):
            if said is not None and found is not None and abs(said - found) > STATED_INTAKE:
                faults.append(
                    f"the label of {noun_of(pleat.kind)} {told.pleat} says an intake of {said:.2f} mm at the {end}, its "
                    f"lines take up {found:.2f}"
                )
    return faults
