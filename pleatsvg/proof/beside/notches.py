"""Notches against the lines and joins that they belong to."""

from __future__ import annotations

from collections.abc import Sequence

from pleatsvg.kinds import noun_of
from pleatsvg.proof.figures import Most
from pleatsvg.proof.folded_pass import where
from pleatsvg.result.pattern_lines import PatternLine, ResultPiece
from pleatsvg.tolerance import NOTCH_OFF

_LINES = {
    "fold": "fold-line",
    "placement": "placement-line",
    "inner": "inner-fold-line",
    "stitch": "stitch-line",
    "mate": "stitch-line",
}


def notches_on_lines(piece: ResultPiece) -> Most:
    """Return how far notches lie off the ends of the lines that they belong to, and off those lines produced (mm).

    It does not matter in which order an editor writes their nodes: the nodes of a snip, a stroke and a triangle alike lie
    evenly about the line produced, and the nearest of them at its end.
    """
    most = Most()
    lines: dict[tuple[str, int, int, tuple[int, ...]], list[PatternLine]] = {}
    for line in piece.lines:
        lines.setdefault((line.role, line.pass_, line.pleat, line.folds), []).append(line)
    for notch in piece.marks:
        role = _LINES.get(notch.tag.line)
        if notch.role != "notch" or role is None:
            continue
        points = _points(notch)
        own = lines.get((role, notch.pass_, notch.pleat, notch.folds), [])
        noun = noun_of(next((line.tag.kind for line in own), ""))
        said = f"the notch of the {role.replace('-', ' ')} of {noun} {notch.pleat}, {where(points[0])},"
        if not own:
            most.see(float("inf"), f"{said} names a line that is not drawn and", NOTCH_OFF)
            continue
        most.see(min([_off(points, line) for line in own]), said, NOTCH_OFF)
    return most


def _points(mark: PatternLine) -> list[complex]:
    found: list[complex] = []
    for stroke in mark.strokes:
        for seg in stroke:
            for z in (seg[0], seg[-1]):
                if all(abs(z - w) > 1e-3 for w in found):
                    found.append(z)
    return found


def _off(points: Sequence[complex], line: PatternLine) -> float:
    best = float("inf")
    # A line that a later pass has parted turns at its folds, so each of its segments is asked.
    for seg in [seg for stroke in line.strokes for seg in stroke]:
        start, end = seg[0], seg[-1]
        length = abs(end - start)
        if length < 1e-6:
            continue
        along = (end - start) / length
        for tip in (start, end):
            spots = [(z - tip) * along.conjugate() for z in points]
            across = abs(sum(w.imag for w in spots) / len(spots))
            best = min(best, max(across, min(abs(w.real) for w in spots)))
    return best


def notches_that_meet(piece: ResultPiece) -> Most:
    """Return how far the notches on the two sides of joins miss each other when these are laid together (mm)."""
    most = Most()
    joins: dict[str, list[PatternLine]] = {}
    for line in piece.lines:
        if line.role == "join-line":
            joins.setdefault(line.tag.join, []).append(line)
    for number, sides in joins.items():
        if len(sides) != 2:
            continue
        found: list[list[float]] = [[], []]
        far: list[list[float]] = [[], []]
        for notch in piece.marks:
            if (
                notch.role != "notch"
                or notch.tag.line != "join"
                or str(notch.folds[0] if notch.folds else "") != number
            ):
                continue
            points = _points(notch)
            middle = sum(points) / len(points)
            k = min((0, 1), key=lambda k: abs(middle - _middle(sides[k])))
            spots = _beside(points, sides[k])
            found[k].append(sum(w.real for w in spots) / len(spots))
            far[k].append(min(abs(w.imag) for w in spots))
        said = f"a notch of join {number}"
        if len(found[0]) != len(found[1]):
            most.see(float("inf"), f"{said} has none opposite it and", NOTCH_OFF)
            continue
        for one, other in zip(sorted(found[0]), sorted(found[1]), strict=True):
            top, hem = _ends(sides[0])
            spot = top + (hem - top) / abs(hem - top) * one
            most.see(abs(one - other), f"{said}, {where(spot)},", NOTCH_OFF)
        if far[0] and far[1]:
            every = far[0] + far[1]
            most.see(max(every) - min(every), said, NOTCH_OFF)
    _seams_above_kicks(piece, most)
    return most


def _seams_above_kicks(piece: ResultPiece, most: Most) -> None:
    # The seam above a kick pleat goes on from its two outer folds: notches on its two edges lie as far from their tips.
    notches: dict[tuple[int, int], list[PatternLine]] = {}
    for notch in piece.marks:
        if notch.role == "notch" and notch.tag.line == "seam" and notch.pleat:
            notches.setdefault((notch.pass_, notch.pleat), []).append(notch)
    for (pass_, pleat), own in notches.items():
        folds = [x for x in piece.lines if x.role == "fold-line" and (x.pass_, x.pleat) == (pass_, pleat)]
        said = f"a notch of the seam above pleat {pleat}"
        if len(folds) != 2:
            continue
        found: list[list[complex]] = [[], []]
        for notch in own:
            points = _points(notch)
            # Produced beyond its tip, the fold line runs along its edge of the seam.
            seen = [[_from_tip(z, line) for z in points] for line in folds]
            k = min((0, 1), key=lambda k: min(abs(w.imag) for w in seen[k]))
            reach = sum(w.real for w in seen[k]) / len(points)
            found[k].append(complex(reach, min(abs(w.imag) for w in seen[k])))
        if len(found[0]) != len(found[1]):
            most.see(float("inf"), f"{said} has none opposite it and", NOTCH_OFF)
            continue
        for one, other in zip(*[sorted(side, key=lambda w: w.real) for side in found], strict=True):
            most.see(abs(one - other), said, NOTCH_OFF)


def _from_tip(z: complex, line: PatternLine) -> complex:
    # How far from the nearer end of a line a place lies, along it and to the side.
    one, other = _ends(line)
    tip, end = (one, other) if abs(z - one) < abs(z - other) else (other, one)
    return (z - tip) * ((tip - end) / abs(tip - end)).conjugate()


def _beside(points: Sequence[complex], line: PatternLine) -> list[complex]:
    # How far down a join line places lie, and how far to the side; of a line that bends, beside the part they lie along.
    middle = sum(points) / len(points)
    found: list[complex] = []
    down = 0.0
    for seg in [seg for stroke in line.strokes for seg in stroke]:
        length = abs(seg[-1] - seg[0])
        if not length:
            continue
        along = (seg[-1] - seg[0]) / length
        found = [(z - seg[0]) * along.conjugate() + down for z in points]
        if ((middle - seg[0]) * along.conjugate()).real <= length:
            break
        down += length
    return found


def _middle(line: PatternLine) -> complex:
    top, hem = _ends(line)
    return (top + hem) / 2


def _ends(line: PatternLine) -> tuple[complex, complex]:
    return line.strokes[0][0][0], line.strokes[-1][-1][-1]
