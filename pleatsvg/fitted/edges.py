"""The edges at which pleats are shaped: where their folds finish, and the point on each where the shaping begins.

A pleat without a face has one edge, its slash line; a box pleat has two, the sides of its face. All in mm, on the piece as
drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.errors import FitError
from pleatsvg.flat.strokes import path_crossings
from pleatsvg.geometry.nearest import CHORD, shares_within
from pleatsvg.geometry.segment import Segment, heading, point_at
from pleatsvg.kinds import FoldList
from pleatsvg.length import show
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.pleats.laid import PleatRequest
from pleatsvg.pleats.layout import face_edge
from pleatsvg.tolerance import LEAST_SHAPED, ON_LINE
from pleatsvg.wording import message, option


@dataclass(frozen=True, slots=True)
class PleatEdge:
    """An edge of a pleat, above which it is shaped.

    Attributes:
        pleat: the pleat's number.
        name: its slash line's name.
        side: which edge of its face, as in a fold list: -1, 0 or 1.
        chord: from the seam at the top to the seam at the hem.
        hip: the point on it where the shaping begins.
        doubled: half the fold depths that are taken up at it: 1 for a knife pleat, 2 for an inverted one, more in stacks.
        depth, hem_depth: of its folds, at the hip point and at the hem.
        curved: its lines are stitched along a curve, and the hip point lies half-way from where that begins to the top: a
            curve that sets off along the line below and ends along the leaning one above has these two as its tangents.
        on_fold: -1 or +1 where it is the edge cut on the fold, and its half pleat lies before or after it.
        length: from the seam at the top to the hip point.
        upwards: the unit vector from the hip point to the top.
    """

    pleat: int
    name: str
    side: int
    chord: Chord
    hip: complex
    doubled: int
    depth: float
    hem_depth: float
    on_fold: int = 0
    curved: bool = False
    length: float = field(init=False, repr=False, compare=False)
    upwards: complex = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Measure what is asked of every edge, again and again."""
        up = self.chord.top - self.hip
        length = abs(up)
        object.__setattr__(self, "length", length)
        object.__setattr__(self, "upwards", up / length)

    @property
    def stitched(self) -> float:
        """From the seam at the top down to where the stitching begins, mm: to the hip point, along a curve as far again."""
        return self.length * (2 if self.curved else 1)

    @property
    def below(self) -> float:
        """From the hip point to the hem."""
        return abs(self.chord.hem - self.hip)


def edges_of_pleats(
    lines: SlashSet,
    requests: Sequence[PleatRequest],
    hip: tuple[Segment, ...] | None,
    hip_name: str,
    downs: Sequence[float],
    unit: str,
    curved: bool = False,
) -> tuple[PleatEdge, ...]:
    """Return the edges of all pleats in order.

    Args:
        lines: the slash lines on the piece as drawn.
        requests: one for each; the intake at the top holds at the hip point.
        hip: the balance line at which the shaping begins; None where it is so far down from the top as `downs` say.
        hip_name: its name.
        downs: of each line, from the top to its hip point, where no balance line is given.
        unit: for messages.
        curved: pleats are stitched along curves, so that the hip points lie half-way up from there.

    Raises:
        FitError: a line does not meet the hip line once between top and hem, or a face does not fit.
    """
    found: list[PleatEdge] = []
    known: dict[int, _Edged] = {}  # alike pleats share one request
    for k, (chord, request) in enumerate(zip(lines.chords, requests, strict=True)):
        if id(request) not in known:
            known[id(request)] = _edged(request)
        doubled, depth, hem_depth = known[id(request)]
        for side, pairs in doubled.items():
            here = chord if not side else face_edge(lines, k + 1, chord, side, request, unit)
            name = lines.names[k]
            begins = _hip_point(here, k + 1, name, hip, hip_name, downs[k], unit)
            found.append(
                PleatEdge(
                    pleat=k + 1,
                    name=name,
                    side=side,
                    chord=here,
                    hip=(begins + here.top) / 2 if curved else begins,
                    doubled=pairs,
                    depth=depth,
                    hem_depth=hem_depth,
                    on_fold=request.half if not side else 0,
                    curved=curved,
                )
            )
    return tuple(found)


class _Edged(NamedTuple):
    # What is alike of all pleats of one request: by edge of the face how many pairs of folds it has, and how deep folds are at
    # the hip point and at the hem.
    doubled: dict[int, int]
    depth: float
    hem_depth: float


def _edged(request: PleatRequest) -> _Edged:
    folds = request.list
    listed = folds.half(request.half)[0] if request.half else folds.folds
    sides = dict.fromkeys([fold.edge for fold in listed])
    return _Edged(
        {side: _doubled(folds, side) for side in sides},
        request.intake_top / folds.depths_taken,
        request.intake_hem / folds.depths_taken,
    )


def _doubled(folds: FoldList, side: int) -> int:
    steps = [abs(r1 - r0) for (e0, r0), (e1, r1) in pairwise(folds.steps) if e0 == e1 == side]
    return sum(steps) // 2


def _hip_point(
    chord: Chord, number: int, name: str, hip: tuple[Segment, ...] | None, hip_name: str, down: float, unit: str
) -> complex:
    way = chord.hem - chord.top
    length = abs(way)
    subject = f"Pleat {number} at '{name}'"
    if hip is None:
        if not LEAST_SHAPED <= down <= length - LEAST_SHAPED:
            raise FitError(
                subject,
                f"is {show(length, unit)} long and is to be shaped over {show(down, unit)} from the top",
                f"at least {show(LEAST_SHAPED, unit)} of it must be shaped, and as much be left below",
                message("Give another {}; 20cm is usual from waist to hip.", option("fit_length")),
            )
        return chord.top + way * (down / length)
    places = path_crossings(hip, chord)
    if len(places) != 1:
        raise FitError(
            subject,
            f"meets the line '{hip_name}' {'nowhere' if not places else f'{len(places)} times'}",
            "each pleat is shaped from the point where that line crosses it",
            message("Draw that line across all pleats, or give {} instead.", option("fit_length", "20cm")),
        )
    spot = point_at(hip[min(int(places[0]), len(hip) - 1)], places[0] - min(int(places[0]), len(hip) - 1))
    far = ((spot - chord.top) * way.conjugate()).real / length
    if not LEAST_SHAPED <= far <= length - LEAST_SHAPED:
        raise FitError(
            subject,
            f"meets the line '{hip_name}' {show(max(0.0, far), unit)} down from the top, and is {show(length, unit)} long",
            f"at least {show(LEAST_SHAPED, unit)} of it must be shaped, and as much be left below",
            "Draw that line lower, or choose another one.",
        )
    return chord.top + way * (far / length)


def way_of_hip(edges: Sequence[PleatEdge], lines: SlashSet, hip: tuple[Segment, ...] | None) -> tuple[complex, complex]:
    """Return the unit vectors in which the hip level leaves the first edge for the side before it, and the last for the one
    after it: for where a drawn line meets the side, so that the two end there as one, else straight on."""
    first, last = edges[0], edges[-1]
    before, after = _straight_on(edges, lines, hip)
    if hip is None or first.curved:
        return before, after
    return (
        before if lines.first is not None else _to_side(first, hip, lines, before),
        after if lines.last is not None else _to_side(last, hip, lines, after),
    )


def _to_side(edge: PleatEdge, hip: tuple[Segment, ...], lines: SlashSet, straight: complex) -> complex:
    # Along chords of the drawn line, outwards from the hip point, to the first that crosses the outline.
    spots = [point_at(seg, t) for seg in hip for t in shares_within(seg, CHORD)[:-1]] + [hip[-1][-1]]
    if ((spots[-1] - spots[0]) * straight.conjugate()).real < 0:
        spots.reverse()
    for a, b in pairwise(spots):
        if ((b - edge.hip) * straight.conjugate()).real <= 0:
            continue
        start = a if ((a - edge.hip) * straight.conjugate()).real > 0 else edge.hip
        long = abs(b - start)
        if long <= ON_LINE:
            continue
        hits = lines.outline.crossings(start, (b - start) / long)
        ahead = [hit for hit in hits if -ON_LINE <= hit.along <= long + ON_LINE]
        if ahead:
            way = min(ahead, key=lambda hit: hit.along).point - edge.hip
            return way / abs(way) if abs(way) > ON_LINE else straight
    return straight


def _straight_on(
    edges: Sequence[PleatEdge], lines: SlashSet, hip: tuple[Segment, ...] | None
) -> tuple[complex, complex]:
    first, last = edges[0], edges[-1]
    if len(edges) > 1:
        before, after = edges[1].hip - first.hip, last.hip - edges[-2].hip
        return -before / abs(before), after / abs(after)
    across = lines.across(first.chord)
    if hip is not None:
        place = path_crossings(hip, first.chord)[0]
        index = min(int(place), len(hip) - 1)
        way = heading(hip[index], place - index)
        across = way if (way * across.conjugate()).real > 0 else -way
    return -across, across
