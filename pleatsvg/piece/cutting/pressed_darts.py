"""Which way each drawn dart is pressed, as far as it was said."""

from __future__ import annotations

from pleatsvg.errors import FitError
from pleatsvg.geometry.motion import reflection
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.piece.cutting.over_darts import OverDart
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.tolerance import ON_LINE
from pleatsvg.wording import option

_AT_THE_CENTRE = 1.0
"""mm. A dart whose middle is as near to the centre lies on it, and can be pressed neither to it nor away."""


def pressed_darts(piece: FinishedPiece, halves: BothHalves, ways: tuple[str, ...]) -> tuple[OverDart, ...]:
    """Return the darts of a piece, each with the first of `ways` that fits it.

    `left` and `right`, `centre` and `sides` fit a dart in an edge that runs level rather than upright, `up` and `down` one
    in an edge that runs upright rather than level.

    Raises:
        FitError: one of `ways` fits no dart of the piece.
    """
    outline = halves.outline
    unheard = set(ways)
    found: list[OverDart] = []
    closed = closed_points(piece, halves)
    for dart in outline.darts:
        if any(abs(outline.point(dart.point) - point) <= ON_LINE for point in closed):
            found.append(OverDart(dart, 0, closed=True))
            continue
        start, end = outline.point(dart.start), outline.point(dart.end)
        over = end - start
        level = abs(over.real) >= abs(over.imag)
        towards = 0
        for way in ways:
            if (way in ("up", "down")) == level:
                continue
            unheard.discard(way)
            if not towards:
                towards = _towards(way, over, (start + end) / 2, piece, halves)
        found.append(OverDart(dart, towards))
    for way in ways:
        if way in unheard:
            raise FitError(
                option("dart_lies", way),
                f"fits no dart of '{piece.name}'{'' if found else ', which has none'}",
                "left, right, centre and sides are for a dart in an edge that runs level, up and down for one in an edge "
                "that runs upright; a dart is a notch in the seam line with two legs of one length",
                "Take that out, or give the other way.",
            )
    return tuple(found)


def closed_points(piece: FinishedPiece, halves: BothHalves) -> tuple[complex, ...]:
    """Return the points of the darts that are closed, on both halves of a piece that is cut on the fold."""
    points = tuple([dart.point for dart in piece.closed_darts])
    if halves.fold is None:
        return points
    mirror = reflection(halves.fold.start, halves.fold.end)
    return (*points, *[mirror.of(z) for z in points])


def _towards(way: str, over: complex, middle: complex, piece: FinishedPiece, halves: BothHalves) -> int:
    # -1: to the seam before the dart, where its mouth begins.
    if way in ("up", "down"):
        return 1 if (over.imag > 0) == (way == "down") else -1
    if way in ("centre", "sides"):
        line = halves.fold or piece.fold_edge or piece.centre
        left, _, right, _ = halves.outline.box
        off = (((line.start + line.end) / 2).real if line is not None else (left + right) / 2) - middle.real
        if abs(off) <= _AT_THE_CENTRE:
            return 0
        way = "right" if (off > 0) == (way == "centre") else "left"
    return 1 if (over.real > 0) == (way == "right") else -1
