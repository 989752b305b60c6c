"""Darts that are drawn as two legs within the piece, where the seam runs on over their mouth."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, heading, length_of, turn_between
from pleatsvg.length import show
from pleatsvg.piece.edges import Edge, called_on_cloth, seam_edges
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.tolerance import DART_LEGS, DART_TURN, RUN_ON

_ON_SEAM = 1.0
"""mm. A leg that ends as near to the seam was drawn to it; a pencil line is half as wide."""

_AT_ONE_POINT = 0.5
"""mm. Two legs that end as near to each other meet there."""


_OVER_SEAM = 20.0
"""mm. Legs may run out so far over the seam, as far as an allowance reaches; they count up to it."""


class OpenDart(NamedTuple):
    """A dart of two open legs: the edge it lies in, the seam over its mouth and its depth in mm, its point, and by how much
    its legs were run on to the seam (mm)."""

    edge: Edge
    mouth: float
    depth: float
    point: complex
    run_on: float


Legs = tuple[list[Segment], list[Segment]]


class _End(NamedTuple):
    # An end of a stroke, and whether the stroke begins there.
    spot: complex
    stroke: int
    turned: bool


def open_darts(piece: FinishedPiece) -> tuple[OpenDart, ...]:
    """Return the darts that are drawn as a V, or as two lines that meet in a point, with both legs from one edge."""
    strokes = [shape.stroke for shape in piece.shapes if not shape.closed and shape.tag is None and shape.stroke]
    pairs = legs_among(strokes)
    if not pairs:
        return ()
    # Not needed for most pieces: lines that meet otherwise are a hip line with its balance marks, and the like.
    from pleatsvg.geometry.nearest import Nearest

    outline = piece.outline
    nearest = Nearest(outline.segments)
    edges = seam_edges(outline)
    n = len(outline)
    found: list[OpenDart] = []
    for drawn in pairs:
        legs = up_to_seam(drawn, outline)
        spots = [nearest.of(leg[0][0]) for leg in legs]
        point = legs[0][-1][-1]
        if (
            max(spot.away for spot in spots) > _ON_SEAM
            or nearest.of(point).away <= _ON_SEAM
            or not outline.holds(point)
        ):
            continue
        places = [spot.segment + spot.share for spot in spots]
        for edge in edges:
            on = sorted([edge.start + (place - edge.start) % n for place in places])
            if on[1] <= edge.end + 1e-6:
                mouth = outline.sewn_distance(*on)
                middle = (legs[0][0][0] + legs[1][0][0]) / 2
                if 0 < mouth < _long(legs[0]):
                    found.append(OpenDart(edge, mouth, abs(point - middle), point, run_on(drawn, legs)))
                break
    return tuple(found)


def legs_among(strokes: Sequence[tuple[Segment, ...]]) -> list[Legs]:
    """Return the pairs of legs, each towards the point, that some strokes make: of a V, or of two that meet in a point."""
    parted = [_parted(stroke) for stroke in strokes]
    single = [stroke for stroke, legs in zip(strokes, parted, strict=True) if legs is None]
    return [legs for legs in (*parted, *_meeting(single)) if legs is not None and _as_of_a_dart(*legs)]


def up_to_seam(legs: Legs, outline: Outline) -> Legs:
    """Return the legs of a dart from the seam on: without what of them runs out over it in a straight line, and run on to it
    where they stop short of it by up to RUN_ON."""
    first, second = [_up_to_seam(leg, outline) for leg in legs]
    return first, second


def run_on(drawn: Legs, legs: Legs) -> float:
    """Return by how much legs were run on to the seam, at the most, mm."""
    return max(0.0, *[_long(leg) - _long(own) for own, leg in zip(drawn, legs, strict=True)])


def _up_to_seam(leg: list[Segment], outline: Outline) -> list[Segment]:
    seg = leg[0]
    if len(seg) != 2:
        return leg
    long = abs(seg[1] - seg[0])
    way = (seg[1] - seg[0]) / long
    met = [hit for hit in outline.crossings(seg[0], way) if abs(hit.along) > _ON_SEAM]
    if outline.holds(seg[0]):
        met = [hit for hit in met if -RUN_ON <= hit.along < 0]
    else:
        met = [hit for hit in met if 0 < hit.along < min(long, _OVER_SEAM)]
    return [(met[0].point, seg[1]), *leg[1:]] if len(met) == 1 else leg


def _as_of_a_dart(one: Sequence[Segment], other: Sequence[Segment]) -> bool:
    # Do two legs turn back at their point, as long as each other?
    if turn_between(heading(one[-1], 1.0), -heading(other[-1], 1.0)) < DART_TURN:
        return False
    first, second = _long(one), _long(other)
    return abs(first - second) <= DART_LEGS * max(first, second)


def _long(leg: Sequence[Segment]) -> float:
    return sum([length_of(seg) for seg in leg])


def open_dart_remarks(piece: FinishedPiece, unit: str) -> list[str]:
    """Return what is to be said of them: what each takes from its edge when it is sewn up."""
    left: dict[int, float] = {}
    said: list[str] = []
    edges = seam_edges(piece.outline)
    for dart in open_darts(piece):
        edge = dart.edge
        called = called_on_cloth(edge, edges)
        left[edge.number] = left.get(edge.number, edge.length) - dart.mouth
        said.append(
            f"A dart of two open legs in the {called}, {show(dart.mouth, unit)} wide and {show(dart.depth, unit)} deep, "
            f"its point at ({dart.point.real:.1f}, {dart.point.imag:.1f}) mm{_run_on_words(dart.run_on, unit)}: "
            f"sewn up, it leaves {show(left[edge.number], unit)} of the {called} as drawn, {show(edge.length, unit)}."
        )
    return said


def _run_on_words(far: float, unit: str) -> str:
    return f", its legs run on to the seam by {show(far, unit)}" if far else ""


def _parted(stroke: Sequence[Segment]) -> tuple[list[Segment], list[Segment]] | None:
    # The two legs of a V, each towards its point, or None.
    turns = [turn_between(heading(a, 1.0), heading(b, 0.0)) for a, b in pairwise(stroke)]
    sharp = [k for k, turn in enumerate(turns, 1) if turn >= DART_TURN]
    if len(sharp) != 1:
        return None
    return list(stroke[: sharp[0]]), _towards_the_end(stroke[sharp[0] :], True)


def _meeting(strokes: Sequence[tuple[Segment, ...]]) -> list[tuple[list[Segment], list[Segment]]]:
    # Two strokes with an end in one place, where no third one ends: looked for among neighbours only, for there may be
    # thousands.
    cells: dict[tuple[int, int], list[_End]] = {}
    ends: list[_End] = []
    for k, stroke in enumerate(strokes):
        for spot, turned in ((stroke[0][0], True), (stroke[-1][-1], False)):
            ends.append(_End(spot, k, turned))
            cells.setdefault(_cell(spot), []).append(ends[-1])
    found: list[tuple[list[Segment], list[Segment]]] = []
    for end in ends:
        others: list[_End] = []
        x, y = _cell(end.spot)
        for cell in [(x + i, y + j) for i in (-1, 0, 1) for j in (-1, 0, 1)]:
            for other in cells.get(cell, ()):
                if other is not end and abs(other.spot - end.spot) <= _AT_ONE_POINT:
                    others.append(other)
                    if len(others) > 1:
                        break
            if len(others) > 1:
                break
        if len(others) == 1 and end.stroke < others[0].stroke:
            found.append(
                (
                    _towards_the_end(strokes[end.stroke], end.turned),
                    _towards_the_end(strokes[others[0].stroke], others[0].turned),
                )
            )
    return found


def _cell(spot: complex) -> tuple[int, int]:
    return int(spot.real // _AT_ONE_POINT), int(spot.imag // _AT_ONE_POINT)


def _towards_the_end(stroke: Sequence[Segment], turned: bool) -> list[Segment]:
    return [seg[::-1] for seg in reversed(stroke)] if turned else list(stroke)
