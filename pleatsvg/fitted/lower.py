"""The drawn piece below the hip level: a piece of its own, so that its pleats are laid out from the hip points down.

Its outline is the drawn one from the hip level round by the hem to the hip level again, and straight from hip point to hip
point between. Nothing below the hip changes: what comes of it is what comes of the drawn piece.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from pleatsvg.errors import FitError
from pleatsvg.fitted.closed import Top
from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.geometry.motion import reflection
from pleatsvg.geometry.outline import Crossing, Outline, Stretch
from pleatsvg.geometry.segment import Segment
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.tolerance import AT_CORNER, ON_LINE, TOUCH


@dataclass(frozen=True, slots=True)
class Hip:
    """The hip level on the drawn piece.

    Attributes:
        ends: where it meets the side before the first panel and the side after the last, or the fold edge.
        places: the same as places on the outline, the first counted on behind the hems, the last before them.
        border: from the first end through all hip points to the last; of a piece cut on the fold, of both halves.
        ways: the unit vectors in which it leaves the outermost hip points for the sides, of both halves.
        whole_places: where the border meets the sides of the whole, like `places`.
    """

    ends: tuple[complex, complex]
    places: tuple[float, float]
    border: tuple[complex, ...]
    whole_places: tuple[float, float]


def hip_level(lines: SlashSet, edges: Sequence[PleatEdge], top: Top, ways: tuple[complex, complex], called: str) -> Hip:
    """Return where the hip level lies.

    Args:
        lines: on the drawn piece.
        edges: of all pleats.
        top: of the drawn piece.
        ways: in which it leaves the first and the last hip point.
        called: what it is called.

    Raises:
        FitError: it meets the top or the hem before it meets a side.
    """
    outline = lines.outline
    n = len(outline)
    ends: list[complex] = []
    places: list[float] = []
    for edge, way, fold, before in ((edges[0], ways[0], lines.first, True), (edges[-1], ways[1], lines.last, False)):
        if edge.on_fold and fold is not None:  # the only pleat, on the fold edge, has a side on its other hand
            ends.append(edge.hip)
            places.append(0.0)
        elif fold is not None:
            along = (fold.hem - fold.top) / abs(fold.hem - fold.top)
            det = (way.conjugate() * along).imag
            ends.append(edge.hip + way * (((fold.top - edge.hip).conjugate() * along).imag / det))
            places.append(0.0)
        else:
            hit = outline.crossed_beyond(edge.hip, way, ON_LINE, True)
            assert hit is not None, "a line from inside a piece leaves it"
            at = hit.at
            low, high = (edge.chord.hem_at, top.start + n) if before else (top.stop, edge.chord.hem_at)
            at += n * math.ceil((low - at) / n)
            if not low < at < high:
                raise FitError(
                    f"The {called} beside pleat {edge.pleat} at '{edge.name}'",
                    f"meets the {'top' if (at > high) == before else 'hem'} at ({hit.point.real:.0f}, {hit.point.imag:.0f}) mm "
                    "before it meets the side of the piece",
                    "what is shaped lies above it, from side to side",
                    "Draw that line, or place the slash lines, so that it meets both sides.",
                )
            ends.append(hit.point)
            places.append(at)
    half = [ends[0], *[edge.hip for edge in edges], ends[1]]
    border, whole = _border(lines, half, places, n)
    return Hip((ends[0], ends[1]), (places[0], places[1]), border, whole)


def _border(
    lines: SlashSet, half: list[complex], places: list[float], n: int
) -> tuple[tuple[complex, ...], tuple[float, float]]:
    fold = lines.first or lines.last
    border = [z for k, z in enumerate(half) if not k or abs(z - half[k - 1]) > ON_LINE]
    if fold is None:
        return tuple(border), (places[0], places[1])
    flip = reflection(fold.top, fold.hem)
    other = [flip.of(z) for z in reversed(border)]
    # Of a whole made of two halves the place p lies opposite n - p.
    if lines.first is not None:
        place = n - places[1]
        at = place + n * math.ceil((places[1] - place) / n)
        return (*other[:-1], *border), (at, places[1])
    place = n - places[0]
    return (*border, *other[1:]), (places[0], place + n * math.floor((places[0] - place) / n))


Sources = tuple[tuple[int, float, float] | None, ...]
"""For each segment of an outline the stretch of another one that it is: its number and shares; None where it is none."""


@dataclass(frozen=True, slots=True)
class Lower:
    """The piece below the hip level.

    Attributes:
        lines: its outline, and its slash lines from the hip level down.
        cutting: its cutting line, or None.
        sources: for each segment of the outline, the stretch of the drawn one that it is; None along the hip.
        cut_sources: the same of the cutting line.
    """

    lines: SlashSet
    cutting: Cutting | None
    sources: Sources
    cut_sources: Sources


def lower_piece(lines: SlashSet, edges: Sequence[PleatEdge], hip: Hip, cutting: Cutting | None) -> Lower:
    """Return the piece below the hip level.

    Args:
        lines: on the drawn piece.
        edges: of all pleats.
        hip: the hip level.
        cutting: the cutting line of the drawn piece, or None.
    """
    outline = lines.outline
    left, right = hip.whole_places
    stretches = outline.stretches(right, left)
    found = _closed_along(outline, stretches, hip.border).as_part_of(outline)
    below = _Below(found, stretches, len(outline))
    hips = {(edge.pleat, id(edge.chord)): edge.hip for edge in edges}
    chords = [below.line(chord, hips.get((k, id(chord)))) for k, chord in enumerate(lines.chords, 1)]
    ends: list[Chord | None] = []
    for fold in (lines.first, lines.last):
        on_edge = next((k for k, chord in enumerate(lines.chords) if chord is fold), None)
        ends.append(chords[on_edge] if on_edge is not None else below.line(fold, None) if fold is not None else None)
    made = replace(lines, outline=found, chords=tuple(chords), first=ends[0], last=ends[1])
    row = _row(stretches, found)
    if cutting is None:
        return Lower(made, None, row, ())
    distances = tuple([0.0 if source is None else cutting.distances[source[0]] for source in row])
    cut, sources = ended_at_border(cutting.outline, hip.border[::-1], max(cutting.distances))
    level = level_of(len(stretches), len(found), sources)
    return Lower(made, replace(cutting, outline=cut, distances=distances, level=level), row, sources)


def ended_at_border(outline: Outline, border: Sequence[complex], allowed: float) -> tuple[Outline, Sources]:
    """Return a cutting line from where the hip level, produced, leaves it on one side to where it does on the other.

    Args:
        outline: the cutting line.
        border: the hip level, from the side where the way along the outline is to begin, back to it, read backwards.
        allowed: the widest allowance, mm.

    Returns:
        The outline, closed along the border, and of each segment the stretch that it was.
    """
    ends = [out_on(outline, border[0], border[1], allowed), out_on(outline, border[-1], border[-2], allowed)]
    start = ends[0][0]
    ways = outline.stretches(start, start + (ends[1][0] - start) % len(outline))
    cut = _closed_along(outline, ways, (ends[1][1], *border[-2:0:-1], ends[0][1]))
    return cut, _row(ways, cut)


def level_of(real: int, nodes: int, sources: Sequence[object]) -> tuple[int, int, int]:
    """Return where a cutting line and its seam lie along one level; cf. `Cutting.level`.

    Args:
        real: how many segments of the seam come before those along the level.
        nodes: how many there are in all.
        sources: of the segments of the cutting line, None for those along the level.
    """
    return real + 1, nodes - 1, sources.index(None) - real


def out_on(outline: Outline, end: complex, inner: complex, allowed: float = 0.0) -> tuple[float, complex]:
    """Return where the hip level, produced beyond its end, runs out on a cutting line: the place and the point.

    Args:
        outline: the cutting line.
        end: of the hip level, on the seam.
        inner: a point on it within the piece.
        allowed: the allowance that is to be found there, mm, where it is known.
    """
    way = (end - inner) / abs(end - inner)
    hits: list[Crossing] = []
    if allowed and not outline.many:
        # Nearly always within twice that: what lies as near to the end is then all that can be met first.
        far = end + 2 * allowed * way
        left, right = min(end.real, far.real) - TOUCH, max(end.real, far.real) + TOUCH
        upper, under = min(end.imag, far.imag) - TOUCH, max(end.imag, far.imag) + TOUCH
        near = [
            k
            for k, (x0, y0, x1, y1) in enumerate(outline.boxes)
            if x0 <= right and x1 >= left and y0 <= under and y1 >= upper
        ]
        hits = [hit for hit in outline.crossings(end, way, near) if -TOUCH < hit.along <= 2 * allowed]
    if not hits:
        hits = [hit for hit in outline.crossings(end, way) if hit.along > -TOUCH]
    hit = min(hits, key=lambda hit: abs(hit.along))
    return hit.at, hit.point


def _closed_along(outline: Outline, stretches: Sequence[Stretch], border: Sequence[complex]) -> Outline:
    # Some stretches of an outline in a row, and the way back along the border.
    segments: list[Segment] = [outline.part(s) for s in stretches]
    spots = [segments[-1][-1], *border[1:-1], segments[0][0]]
    segments += [(a, b) for a, b in pairwise(spots)]
    return Outline(tuple(segments))


def _row(stretches: Sequence[Stretch], outline: Outline) -> Sources:
    return (*[(s.segment, s.t0, s.t1) for s in stretches], *[None] * (len(outline) - len(stretches)))


class _Below:
    """Lines across the piece, as they run across what lies below the hip level."""

    def __init__(self, outline: Outline, stretches: Sequence[Stretch], nodes: int) -> None:
        self.outline = outline
        self.stretches = stretches
        self.nodes = nodes
        segments = outline.segments
        self.count = len(segments)
        self.at_hip = {segments[k][0]: k for k in range(len(stretches), len(segments))}
        self.start = stretches[0].node + stretches[0].t0
        self.stops = [s.node + s.t1 + AT_CORNER for s in stretches]

    def line(self, chord: Chord, hip: complex | None) -> Chord:
        """Return a line from its hip point to the hem; without one, from where it crosses the border."""
        first = len(self.stretches)
        if hip is not None:
            index = self.at_hip.get(hip, -1)
            if index < 0:
                index = min(range(first, len(self.outline)), key=lambda k: abs(self.outline.segments[k][0] - hip))
            return Chord(float(index), self._hem_at(chord), self.outline.segments[index][0], chord.hem)
        along = (chord.hem - chord.top) / abs(chord.hem - chord.top)
        hits = [hit for hit in self.outline.crossings(chord.hem, along) if hit.at >= first and hit.along < -ON_LINE]
        hit = max(hits, key=lambda hit: hit.along)
        return Chord(hit.at, self._hem_at(chord), hit.point, chord.hem)

    def _hem_at(self, chord: Chord) -> float:
        # Counted on behind the tops.
        place = chord.hem_at + self.nodes * math.ceil((self.start - chord.hem_at) / self.nodes - AT_CORNER)
        k = bisect_left(self.stops, place)
        _, t0, t1, node = self.stretches[k]
        return self.count + k + min(1.0, max(0.0, (place - node - t0) / (t1 - t0)))
