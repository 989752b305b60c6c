"""The piece above the hip that the body wears: panels turned about the hip points until their leaning edges meet.

Above its hip point P both lines of a pleat's edge lean into their panels by one angle, the lean; one, since the reflection
that takes one hip point of a pleat onto the other is unique. Each panel stays rigid: the motion of the one after an edge is
that of the one before it, after a turn by twice the lean about P (two reflections in lines that meet turn by twice their
angle). Where two panels meet, their seams make a step and a bend; one cubic runs over each, tangent to both.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

from pleatsvg.errors import FitError
from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.geometry.motion import STAY, Motion, moved, reflection
from pleatsvg.geometry.nearest import Nearest
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, halves, heading, heights, length_of, point_at, sign_changes
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.tolerance import FITTED, JOIN_REACH, ON_LINE

Sourced = tuple[Segment, int]
"""A segment of the closed piece, and the number of the drawn outline's segment that it comes from."""


@dataclass(frozen=True, slots=True)
class Top:
    """The seam at the top of the drawn piece, from where to where (places on its outline), and its length in mm."""

    start: float
    stop: float
    length: float


@dataclass(frozen=True, slots=True)
class Joined:
    """The seam over a closed edge.

    Attributes:
        curve: that runs over it; of an edge on the fold of the cloth, the half of it that is drawn.
        share: where on it the closed line ends.
        drawn: the two panels' own seams beneath the curve, moved.
        source: the number of the drawn outline's segment on which the edge ends.
    """

    curve: Segment
    share: float
    drawn: tuple[Segment, ...]
    source: int

    @property
    def off(self) -> float:
        """How far the curve leaves the drawn seam, mm."""
        if not self.drawn:
            return 0.0
        there = Nearest(self.drawn)
        return max([there.of(point_at(self.curve, k / 16)).away for k in range(17)])


@dataclass(frozen=True, slots=True)
class Closed:
    """What the panels above the hip become.

    Attributes:
        leans: of each edge, in radians.
        motions: of each panel, from the drawn piece.
        parts: the top of each panel from the seam before to the seam after it, moved, without what the joining curves replace.
        joins: over each edge; None over one that does not lean.
        length: of the whole top, darts sewn up.
        panels: how long each panel's top is between its leaning edges, before the joining curves.
    """

    leans: tuple[float, ...]
    motions: tuple[Motion, ...]
    parts: tuple[tuple[Sourced, ...], ...]
    joins: tuple[Joined | None, ...]
    length: float
    panels: tuple[float, ...]


def top_of(lines: SlashSet, edges: Sequence[PleatEdge]) -> Top:
    """Return the seam at the top of the piece from corner to corner; of one cut on the fold, up to its fold edge."""
    outline = lines.outline
    low, high = edges[0].chord.top_at, edges[-1].chord.top_at
    start, stop = map(float, outline.corners_around(low, high))
    if lines.first is not None:
        start = max(start, lines.first.top_at)
    if lines.last is not None:
        stop = min(stop, lines.last.top_at)
    return Top(start, stop, outline.sewn_distance(start, stop))


def closed_to(lines: SlashSet, edges: Sequence[PleatEdge], top: Top, shares: Sequence[float], wanted: float) -> Closed:
    """Return the panels closed so that the top comes to a length.

    Args:
        lines: the slash lines on the drawn piece.
        edges: of all pleats.
        top: of the drawn piece.
        shares: of each edge in what is to go, mm; they are scaled together until the length is met.
        wanted: the length, mm.

    Raises:
        FitError: leaning lines meet, or leave the top.
    """
    scale, miss = 0.0, top.length - wanted
    following = 1.0
    closed = close(lines, edges, top, shares, 1.0)
    for _ in range(20):
        found = closed.length - wanted
        if abs(found) <= FITTED or found == miss:
            break
        scale, following, miss = following, following - found * (following - scale) / (found - miss), found
        closed = close(lines, edges, top, shares, following)
    return closed


def close(lines: SlashSet, edges: Sequence[PleatEdge], top: Top, shares: Sequence[float], scale: float) -> Closed:
    """Return the panels closed by leans of which tan = scale x share / (2 x length).

    Of an edge on the fold of the cloth the share is that of its drawn half: tan = scale x share / length.
    """
    outline = lines.outline
    leans = [
        math.atan(scale * share / ((1 if edge.on_fold else 2) * edge.length))
        for share, edge in zip(shares, edges, strict=True)
    ]
    motions = [STAY]
    ends: list[tuple[float, float]] = []
    for edge, lean in zip(edges, leans, strict=True):
        turn = cmath.exp((-1j if edge.on_fold else -2j) * lines.hand * lean)
        motions.append(motions[-1].after(Motion(turn, edge.hip - turn * edge.hip, False)))
        ends.append((_hit(lines, edge, -lean), _hit(lines, edge, lean)))
    bounds = [top.start, *[at for pair in ends for at in pair], top.stop]
    if edges[0].on_fold > 0:
        bounds[1] = bounds[0]
    if edges[-1].on_fold < 0:
        bounds[-2] = bounds[-1]
    spans = list(zip(bounds[::2], bounds[1::2], strict=True))
    lengths = [outline.sewn_distance(low, high) if high > low else 0.0 for low, high in spans]
    _refuse_meeting(edges, spans)
    reaches = [_reaches(outline, low, high) for low, high in spans]
    parts: list[tuple[Sourced, ...]] = []
    joins: list[Joined | None] = []
    total = 0.0
    inner: list[tuple[float, float]] = []
    for k, ((low, high), (first, last)) in enumerate(zip(spans, reaches, strict=True)):
        # A panel's seam between the joining curves over the edges on either side of it.
        begin = low if k == 0 or not leans[k - 1] else walked(outline, low, high, first)
        end = high if k == len(edges) or not leans[k] else walked(outline, high, low, last)
        inner.append((begin, end))
        parts.append(
            tuple(
                [(moved(outline.part(s), motions[k]), s.segment) for s in outline.stretches(begin, end)]
                if end > begin
                else []
            )
        )
        total += outline.sewn_distance(begin, end) if end > begin else 0.0
    for k, (edge, lean) in enumerate(zip(edges, leans, strict=True)):
        if not lean:
            joins.append(None)
            continue
        places = (inner[k][1], spans[k][1], spans[k + 1][0], inner[k + 1][0])
        made = _join(lines, edge, lean, (motions[k], motions[k + 1]), places)
        joins.append(made)
        total += length_of(made.curve)
    return Closed(tuple(leans), tuple(motions), tuple(parts), tuple(joins), total, tuple(lengths))


def leaning(edge: PleatEdge, lean: float, hand: float) -> complex:
    """Return the unit vector from a hip point up along its edge leaned to the panel after it (before it below zero)."""
    return edge.upwards * cmath.exp(1j * hand * lean)


def _hit(lines: SlashSet, edge: PleatEdge, lean: float) -> float:
    # Where the leaning line leaves the piece, counted like the top of its edge.
    if not lean:
        return edge.chord.top_at
    outline = lines.outline
    way = leaning(edge, lean, lines.hand)
    hits = [hit for hit in outline.crossings(edge.hip, way) if hit.along > ON_LINE]
    if not hits:
        raise ValueError("a line from inside a piece leaves it")
    return outline.counted_near(min(hits, key=lambda hit: hit.along).at, edge.chord.top_at)


def _refuse_meeting(edges: Sequence[PleatEdge], spans: Sequence[tuple[float, float]]) -> None:
    for k, (low, high) in enumerate(spans):
        if high > low or (high == low and (k in (0, len(edges)))):
            continue
        inside = 0 < k < len(edges)
        one = edges[min(k, len(edges) - 1)]
        who = (
            f"Pleats {edges[k - 1].pleat} and {edges[k].pleat}"
            if inside and edges[k - 1].pleat != edges[k].pleat
            else (f"Pleat {one.pleat} at '{one.name}'")
        )
        raise FitError(
            who,
            "lean until they meet" if inside else "leans over the corner of the top",
            "a panel is left between two leaning lines, and beside the side seam, all the way up",
            "Let less vanish there: give the pleat a smaller share, make more pleats, or ask for a longer waist.",
        )


def _reaches(outline: Outline, low: float, high: float) -> tuple[float, float]:
    # How far the joining curves reach onto a panel from either end: never over half of it, nor round a corner.
    if high <= low:
        return 0.0, 0.0
    most = min(JOIN_REACH, outline.distance(low, high) / 2)
    n = len(outline)
    corners = [
        c + n * turn
        for c in outline.corners
        for turn in range(math.floor((low - c) / n), math.ceil((high - c) / n) + 1)
    ]
    within = sorted([c for c in corners if low < c < high])
    if not within:
        return most, most
    return min(most, outline.distance(low, within[0])), min(most, outline.distance(within[-1], high))


def walked(outline: Outline, start: float, other: float, far: float) -> float:
    """Return the place so far along the seam from `start` on the way to `other`, mm."""
    if not far:
        return start
    if other > start:
        return outline.walk(start, far)
    return outline.walk(other, outline.distance(other, start) - far)


def _join(
    lines: SlashSet,
    edge: PleatEdge,
    lean: float,
    motions: tuple[Motion, Motion],
    places: tuple[float, float, float, float],
) -> Joined:
    # One cubic from the seam before a closed line to the seam after it, tangent to both; its handles are a third of its chord.
    outline = lines.outline
    begin, before, after, end = places
    one, other = motions
    foot, way = one.of(edge.hip), one.turn * leaning(edge, -lean, lines.hand)
    p, set_off = one.of(outline.point(begin)), one.turn * outline.heading(begin)
    q, arrive = other.of(outline.point(end)), other.turn * _arriving(outline, end)
    if edge.on_fold:
        # The whole curve is its own mirror image in the fold edge.
        flip = reflection(edge.hip, edge.chord.top)
        if edge.on_fold > 0:
            foot, way = edge.hip, edge.upwards
            p, set_off = flip.of(q), -flip.turn * arrive.conjugate()
        else:
            flip = reflection(foot, foot + way)
            q, arrive = flip.of(p), -flip.turn * set_off.conjugate()
    chord = abs(q - p)
    curve = (p, p + set_off * chord / 3, q - arrive * chord / 3, q)
    drawn = [moved(outline.part(s), one) for s in outline.stretches(begin, before)] if before > begin else []
    drawn += [moved(outline.part(s), other) for s in outline.stretches(after, end)] if end > after else []
    source = math.floor(edge.chord.top_at) % len(outline)
    if edge.on_fold:
        half = halves(curve)[edge.on_fold > 0]
        return Joined(half, 0.0 if edge.on_fold > 0 else 1.0, tuple(drawn), source)
    off = list(heights(curve, foot, way))
    for k in (0, 3):
        off[k] = 0.0 if abs(off[k]) < ON_LINE else off[k]
    shares = sign_changes(off)
    share = min(shares, key=lambda t: abs(t - 0.5)) if shares else 0.0 if not off[0] else 1.0
    return Joined(curve, share, tuple(drawn), source)


def _arriving(outline: Outline, at: float) -> complex:
    whole = math.floor(at)
    if at == whole:
        return heading(outline.segments[(whole - 1) % len(outline)], 1.0)
    return heading(outline.segments[whole % len(outline)], at - whole)
