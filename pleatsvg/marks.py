"""The marks on the cloth: notches, lap arrows and the signs at the ends of fold and placement lines.

Everything is in mm in the coordinates of the flat piece, before it is laid on a page.
"""

from __future__ import annotations

from typing import NamedTuple

from pleatsvg.unfold import FlatLine, Unfolded

NOTCH = 6.0
"""Length of a fold line's notch, outwards from the seam: well inside the narrowest usual allowance of 10 mm."""

TRIANGLE = (2.0, 5.0)
"""Half the base and the height of a placement line's notch."""

END_SIGN_AT = 7.0
"""How far from a line's end its sign stands: clear of the seam and of the notch."""

_CROSS = 2.0
_BAR = 3.0
_SMALLEST_GAP = 1.5
_FIRST_ARROW = 24.0
_LAST_ARROW = 32.0
_SECOND_ARROW_FROM = 250.0


class Mark(NamedTuple):
    """A mark of one or more straight strokes.

    Attributes:
        name: "notch", "lap-arrow", "fold-end", "placement-end" or "leader".
        points: those of all its strokes, one after another.
        strokes: how many of the points belong to each stroke.
        line: "fold" or "placement" where it belongs to one, else "".
        pleat: the pleat's number.
        folds: cf. `FlatLine.folds`.
        end: "top" or "hem" for notches, else "".
    """

    name: str
    points: tuple[complex, ...]
    strokes: tuple[int, ...]
    line: str
    pleat: int
    folds: tuple[int, ...]
    end: str = ""


def notches(unfolded: Unfolded) -> list[Mark]:
    """Return the notches at both ends of every outer fold and placement line.

    They lie along the line produced, so that they stay on it however the edge slants: a plain stroke for a fold
    line, a triangle for a placement line, to be told apart by touch.
    """
    made: list[Mark] = []
    for role, pleat, folds, top, hem, _ in (*unfolded.creases, *unfolded.placements):
        if role == "inner":
            continue
        along = hem - top
        along /= abs(along)
        for end, spot, out in (("top", top, -along), ("hem", hem, along)):
            if role == "fold":
                made.append(Mark("notch", (spot, spot + NOTCH * out), (2,), role, pleat, folds, end))
            else:
                half = TRIANGLE[0] * 1j * out
                corner = spot - half
                points = (corner, spot + TRIANGLE[1] * out, spot + half, corner)
                made.append(Mark("notch", points, (4,), role, pleat, folds, end))
    return made


def end_signs(unfolded: Unfolded) -> list[Mark]:
    """Return a cross near each end of a fold line and a short bar near each end of a placement line.

    Where the lines of a pleat run together the signs grow smaller, and at a hinge they are left out: they would lie on
    one another.
    """
    made: list[Mark] = []
    folds = {(line.pleat, line.folds[0]): line for line in unfolded.creases if line.role == "fold"}
    partners = {(p.pleat, f): p for p in unfolded.placements for f in p.folds}
    for line in (*folds.values(), *unfolded.placements):
        role, pleat, numbers, top, hem, _ = line
        fold = role == "fold"
        other = partners[pleat, numbers[0]] if fold else folds[pleat, numbers[0]]
        length = abs(hem - top)
        along = (hem - top) / length
        inset = min(END_SIGN_AT, length / 4) * along
        points: list[complex] = []
        for spot, gap in ((top + inset, abs(top - other.top)), (hem - inset, abs(hem - other.hem))):
            if gap < _SMALLEST_GAP:
                continue
            scale = min(1.0, gap / (2 * _BAR + 0.5))
            if fold:
                a, b = scale * _CROSS * along * (1 + 1j) / 2**0.5, scale * _CROSS * along * (1 - 1j) / 2**0.5
                points += (spot - a, spot + a, spot - b, spot + b)
            else:
                bar = scale * _BAR * 1j * along
                points += (spot - bar, spot + bar)
        if points:
            made.append(Mark(f"{role}-end", tuple(points), (2,) * (len(points) // 2), role, pleat, numbers))
    return made


def arrow_places(line: FlatLine) -> list[float]:
    """Return how far from the top end of a fold line its lap arrows stand: one near the top, on long lines one more."""
    length = abs(line.hem - line.top)
    places = [min(_FIRST_ARROW, 0.2 * length)]
    if length > _SECOND_ARROW_FROM:
        places.append(length - _LAST_ARROW)
    return places


def lap_arrows(unfolded: Unfolded) -> list[Mark]:
    """Return the arrows from each outer fold line to the placement line on which it comes to lie, one mark a fold."""
    folds = {(line.pleat, line.folds[0]): line for line in unfolded.creases if line.role == "fold"}
    made: list[Mark] = []
    for placement in unfolded.placements:
        to_top, to_way = placement.top, placement.hem - placement.top
        to_length = abs(to_way)
        for place in placement.folds:
            fold = folds[placement.pleat, place]
            way = fold.hem - fold.top
            length = abs(way)
            points: list[complex] = []
            for at in arrow_places(fold):
                start = fold.top + way * (at / length)
                end = to_top + to_way * min(1.0, at / to_length)
                span = abs(end - start)
                if span < 2.0:
                    continue
                ahead = (end - start) / span
                tip = end - 0.6 * ahead
                head = min(4.0, 0.4 * span)
                barb, side = head * ahead, 0.4 * head * 1j * ahead
                points += (start, tip, tip - barb + side, tip, tip - barb - side)
            if points:
                strokes = (2, 3) * (len(points) // 5)
                made.append(Mark("lap-arrow", tuple(points), strokes, "fold", placement.pleat, (place,)))
    return made
