"""The marks on the cloth: notches, lap arrows and the signs at the ends of fold and placement lines.

Everything is in mm in the coordinates of the flat piece, before it is laid on a page.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.marks.notches import apart
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.result.mark import Mark
from pleatsvg.result.roles import Role

END_SIGN_AT = 7.0
"""How far from a line's end its sign stands: clear of the seam and of the notch."""


SIGNS_APART = 200.0
"""mm from one sign to the next at the most, so that every page of a print shows one."""


LONG_LINE = 5000.0
"""mm. No piece of clothing is longer; a drawing read in the wrong unit is, and would be all words."""


_CROSS = 2.0


_BAR = 3.0


_CROSS_ARMS = (_CROSS * (1 + 1j) / 2**0.5, _CROSS * (1 - 1j) / 2**0.5)


_BAR_ARMS = (_BAR * 1j,)


_FULL_GAP = 2 * _BAR + 0.5


_SMALLEST_GAP = 1.5


_FIRST_ARROW = 24.0


_LAST_ARROW = 32.0


_SECOND_ARROW_FROM = 250.0


_STACK_STEP = 7.0


class Lap(NamedTuple):
    """A fold line, the line that it comes to lie on, and how far from its top its lap arrows stand (mm)."""

    fold: FlatLine
    onto: FlatLine
    arrows_at: list[float]


def end_signs(laps: Sequence[Lap], mark: float | None = None) -> list[Mark]:
    """Return a cross near each end of a fold line and a short bar near each end of a placement line, and more between them,
    so that a page from the middle of a long line tells which it is.

    Where the lines of a pleat run together the signs grow smaller, and at a hinge they are left out: they would lie on
    one another. `mark` is how far down the lines are seen (mm); None for their whole length.
    """
    crosses: list[Mark] = []
    bars: list[Mark] = []
    for fold, onto, _ in laps:
        if onto.role is not Role.PLACEMENT:
            continue
        gaps = (abs(fold.top - onto.top), abs(fold.hem - onto.hem))
        crosses += _end_sign("fold-end", fold, gaps, mark, _CROSS_ARMS)
        if fold.folds[0] == onto.folds[0]:  # one sign for a line that several folds come to lie on
            bars += _end_sign("placement-end", onto, gaps, mark, _BAR_ARMS)
    return crosses + bars


def _end_sign(
    name: str, line: FlatLine, gaps: tuple[float, float], mark: float | None, arms: tuple[complex, ...]
) -> list[Mark]:
    # The sign at both ends of a line: strokes through one spot, `arms` their halves on an upright line.
    role, pleat, folds, top, hem = line[:5]
    way = hem - top
    length = abs(way)
    along = way / length
    points: list[complex] = []
    for at in sign_places(length, mark):
        gap = gaps[0] + (gaps[1] - gaps[0]) * at / length
        if gap < _SMALLEST_GAP:
            continue
        spot = top + at * along
        turned = along if gap >= _FULL_GAP else gap / _FULL_GAP * along
        for arm in arms:
            half = arm * turned
            points += (spot - half, spot + half)
    return [Mark(name, tuple(points), (2,) * (len(points) // 2), role.sign, pleat, folds)] if points else []


@lru_cache(maxsize=2048)
def sign_places(length: float, mark: float | None) -> tuple[float, ...]:
    """Return where the signs of a line stand, in mm from its top: near both ends, and no more than SIGNS_APART apart; on one
    over LONG_LINE as many as if it were so long.

    Args:
        length: of the line, mm.
        mark: how far down it is seen (mm); None for its whole length.
    """
    first = min(END_SIGN_AT, length / 4)
    apart = SIGNS_APART * max(1.0, length / LONG_LINE)
    if mark is not None:
        most = max(0, int((min(mark, length) - 2 * first) / apart))
        return tuple([first + k * apart for k in range(most + 1)])
    steps = max(1, math.ceil((length - 2 * first) / apart))
    return tuple([first + (length - 2 * first) * k / steps for k in range(steps + 1)])


def stitched_span(length: float, stitched: tuple[float | None, str]) -> tuple[float, float]:
    """Return from where to where a tuck is stitched, in mm from its top; `stitched` is that of its `PleatRequest`."""
    far, whence = stitched
    if far is None:
        return 0.0, length
    start = {"top": 0.0, "hem": max(0.0, length - far), "middle": max(0.0, (length - far) / 2)}[whence]
    return start, min(length, start + far)


class Arrows(NamedTuple):
    """What laps onto what, and which tucks are stitched along a part of their length only.

    Attributes:
        laps: in the order of the folds.
        stitched: for each released tuck, cf. `PleatRequest`.
    """

    laps: list[Lap]
    stitched: dict[int, tuple[float | None, str]]


def arrows_of(unfolded: Unfolded, mark: float | None, pleats: tuple[LaidPleat, ...]) -> Arrows:
    """Return where the lap arrows of a flat piece stand: one near the top of each fold, on long lines one more.

    Args:
        unfolded: the flat piece.
        mark: how far down the lines are seen (mm); None for their whole length.
        pleats: laid out on the finished piece.
    """
    tops: dict[int, FlatLine] = {}
    folds: dict[tuple[int, int], FlatLine] = {}
    for line in unfolded.creases:
        if line.role is Role.FOLD:
            tops.setdefault(line.pleat, line)
        if not line.role.hidden:
            folds[line.pleat, line.folds[0]] = line
    # How far below the top of a pleat's fold lines the lowest of its inner folds begins.
    below: dict[int, float] = {}
    for line in unfolded.creases:
        if line.role.hidden:
            fold = tops.get(line.pleat, line)
            way = fold.hem - fold.top
            drop = ((line.top - fold.top) * way.conjugate()).real / abs(way)
            if drop > below.get(line.pleat, 0.0):
                below[line.pleat] = drop
    stitched = {p.number: p.request.stitched for p in pleats if p.request.stitched[0] is not None}
    stacked = {p.number: p.request.list for p in pleats if p.request.stack > 1}
    # Those that die away at their tops, at the point of a dart.
    hanging = {p.number for p in pleats if p.request.to_point and not p.request.intake_top}
    laps: list[Lap] = []
    for onto in unfolded.placements:
        pleat = onto.pleat
        for place in onto.folds:
            fold = folds[pleat, place]
            length = abs(fold.hem - fold.top)
            if pleat in stitched:
                start, end = stitched_span(length, stitched[pleat])
                at = [start + min(_FIRST_ARROW, 0.3 * (end - start))]
            else:
                # The arrows of a stack stand one below the other.
                shift = _STACK_STEP * (stacked[pleat].layer_of(place) - 1) if pleat in stacked else 0.0
                at = _arrows_along(length, below.get(pleat, 0.0) + 6.0, shift, mark)
                if pleat in hanging and mark is None:
                    at = [length - at[0]]
            laps.append(Lap(fold, onto, at))
    return Arrows(laps, stitched)


def _arrows_along(length: float, low: float, shift: float, mark: float | None) -> list[float]:
    first = min(_FIRST_ARROW, 0.2 * length)
    if first < low:
        first = min(low, 0.6 * length)
    if mark is not None:
        return [min(first + shift, 0.5 * mark)]
    return [first + shift, length - _LAST_ARROW - shift] if length > _SECOND_ARROW_FROM else [first + shift]


def lap_arrows(unfolded: Unfolded, laps: Sequence[Lap]) -> list[Mark]:
    """Return the arrows from each outer fold line to the placement line on which it comes to lie, one mark a fold."""
    # Of a tuck, the arrow runs from the stitching line that is brought over to the one that it is sewn onto.
    made: list[Mark] = []
    for fold, onto, places in laps:
        if unfolded.joins and unfolded.joins_before(fold.layer) != unfolded.joins_before(onto.layer):
            continue  # they lie on two parts; their words say what belongs together
        top, to_top = fold.top, onto.top
        way, to_way = fold.hem - top, onto.hem - to_top
        length, to_length = abs(way), abs(to_way)
        points: list[complex] = []
        for at in places:
            start = top + way * (at / length)
            end = to_top + to_way * min(1.0, at / to_length)
            if onto.role is Role.MATE:
                start, end = end, start
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
            made.append(Mark("lap-arrow", tuple(points), strokes, "fold", onto.pleat, (fold.folds[0],)))
    return made


def stitch_ends(unfolded: Unfolded, stitched: dict[int, tuple[float | None, str]]) -> list[Mark]:
    """Return a double tick wherever the stitching of a released tuck ends short of the seam.

    Args:
        unfolded: the flat piece.
        stitched: for each released tuck, cf. `PleatRequest`.
    """
    made: list[Mark] = []
    for line in (*unfolded.creases, *unfolded.placements):
        if not line.role.stitched or line.pleat not in stitched:
            continue
        way = line.hem - line.top
        length = abs(way)
        along = way / length
        start, end = stitched_span(length, stitched[line.pleat])
        points: list[complex] = []
        half = min(_BAR, 0.3 * apart(line, unfolded)) * 1j * along
        for stop, back in ((start, 1.0), (end, -1.0)):
            if _SMALLEST_GAP < stop < length - _SMALLEST_GAP:
                for spot in (line.top + stop * along, line.top + (stop + 1.5 * back) * along):
                    points += (spot - half, spot + half)
        made.append(
            Mark("stitch-end", tuple(points), (2,) * (len(points) // 2), line.role.sign, line.pleat, line.folds)
        )
    return made


def fold_edge_arrow(unfolded: Unfolded, hand: float, before: bool, clear: float = 2.5) -> list[Mark]:
    """Return the bent arrow that says "place this edge on the fold": a bar beside the edge, both ends turned onto it.

    Args:
        unfolded: the flat piece.
        hand: +1 where its outline is walked clockwise on the page.
        before: whether the cloth lies before the edge (else after it).
        clear: how far it stays off lines of pleats where it can, mm.
    """
    if unfolded.fold_edge is None:
        return []
    top, hem = unfolded.fold_edge
    length = abs(hem - top)
    along = (hem - top) / length
    inwards = -1j * hand * along * (-1 if before else 1)
    inset = min(60.0, 0.2 * length)
    # Beside the edge, but not over the first line beyond it.
    stand = min(14.0, 0.1 * length)
    nearest = math.inf
    for line in (*unfolded.creases, *unfolded.placements):
        way = (line.hem - line.top) * along.conjugate()
        start = (line.top - top) * along.conjugate()
        if abs(way.real) > 2 * abs(way.imag):  # the others run across the edge
            far = [abs(start.imag + (u - start.real) / way.real * way.imag) for u in (inset, length - inset)]
            nearest = min([nearest, *far]) if max(far) > 1.0 else nearest
    if nearest - clear < stand:
        stand = max(min(stand, 4.0), nearest - clear)
    head = min(5.0, 0.3 * stand)
    a, b = top + inset * along, hem - inset * along
    points: list[complex] = [a + 0.4 * inwards, a + stand * inwards, b + stand * inwards, b + 0.4 * inwards]
    for tip in (a + 0.4 * inwards, b + 0.4 * inwards):
        points += (tip + head * inwards + 0.4 * head * along, tip, tip + head * inwards - 0.4 * head * along)
    return [Mark("fold-edge-arrow", tuple(points), (4, 3, 3), "", 0, ())]
