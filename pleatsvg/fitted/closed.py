"""The piece above the hip that the body wears: panels turned about the hip points until their leaning edges meet.

Above its hip point P both lines of a pleat's edge lean into their panels by one angle, the lean; one, since the reflection
that takes one hip point of a pleat onto the other is unique. Each panel stays rigid: the motion of the one after an edge is
that of the one before it, after a turn by twice the lean about P (two reflections in lines that meet turn by twice their
angle). Where two panels meet, their seams make a step and a bend; one cubic runs over each, tangent to both.
"""

from __future__ import annotations

import cmath
import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.errors import FitError
from pleatsvg.fitted.closing.all_at_once import WORTH, AtOnce, leaned
from pleatsvg.fitted.closing.made_at_once import edges_joined, panels_moved
from pleatsvg.fitted.closing.one_by_one import LeanedEdge, leaned_few
from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.geometry.motion import STAY, Motion, moved, reflection
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import (
    Segment,
    clear_across,
    cut,
    halves,
    heading,
    heights,
    length_of,
    lengths_of,
    point_at,
    sign_changes,
    single_root,
)
from pleatsvg.length import show
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.tolerance import FITTED, JOIN_REACH, LEAST_PANEL, ON_LINE, SAME_SPOT

Sourced = tuple[Segment, int]
"""A segment of the closed piece, and the number of the drawn outline's segment that it comes from."""


@dataclass(frozen=True, slots=True)
class Top:
    """The seam at the top of the drawn piece, from where to where (places on its outline), and its length in mm."""

    start: float
    stop: float
    length: float


class Once(NamedTuple):
    """One round of a piece that goes all round: which of the edges on its cloth are those of the round, and from where to where
    it goes along the top (places on the outline)."""

    edges: range
    start: float
    stop: float


@dataclass(frozen=True, slots=True)
class Joined:
    """The seam over a closed edge.

    Attributes:
        curve: that runs over it; of an edge on the fold of the cloth, the half of it that is drawn.
        share: where on it the closed line ends.
        off: how far it leaves the two panels' own seams at the closed line, where it leaves them most, mm.
        source: the number of the drawn outline's segment on which the edge ends.
    """

    curve: Segment
    share: float
    off: float
    source: int


@dataclass(frozen=True, slots=True)
class Closed:
    """What the panels above the hip become.

    Attributes:
        leans: of each edge, in radians.
        motions: of each panel, from the drawn piece.
        parts: the top of each panel from the seam before to the seam after it, moved, without what the joining curves replace.
        joins: over each edge; None over one that does not lean.
        length: of the whole top, darts sewn up.
        panels: how long each panel's top is between its leaning edges, before the joining curves; how wide at least where that
            is wide enough for anything.
    """

    leans: tuple[float, ...]
    motions: tuple[Motion, ...]
    parts: tuple[tuple[Sourced, ...], ...]
    joins: tuple[Joined | None, ...]
    length: float
    panels: tuple[float, ...]

    def once(self, edges: range) -> Closed:
        """Return what the panels before, between and after some of the edges become."""
        start, stop = edges.start, edges.stop
        return Closed(
            self.leans[start:stop],
            self.motions[start : stop + 1],
            self.parts[start : stop + 1],
            self.joins[start:stop],
            self.length,
            self.panels[start : stop + 1],
        )


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


def closed_to(
    lines: SlashSet,
    edges: Sequence[PleatEdge],
    top: Top,
    shares: Sequence[float],
    wanted: float,
    unit: str = "cm",
    once: Once | None = None,
) -> Closed:
    """Return the panels closed so that the top comes to a length.

    Args:
        lines: the slash lines on the drawn piece.
        edges: of all pleats.
        top: of the drawn piece.
        shares: of each edge in what is to go, mm; they are scaled together until the length is met.
        wanted: the length, mm.
        unit: for messages.
        once: of a piece that goes all round, the round whose length is wanted; the panel on which it begins stays where it was
            drawn.

    Raises:
        FitError: leaning lines meet, or leave the top.
    """
    closing = _Closing(lines, edges, top, unit, once)
    scale, miss = 0.0, top.length - wanted
    following = 1.0
    if once is None:
        made = closing.leaned(shares, miss)
        if made is not None:
            known = closing.row_of(made) if isinstance(made, AtOnce) else closing.row_of_few(made)
            if known is not None and abs(known.length - wanted) <= FITTED:
                return closing.closed(known)
            following = made.scale if isinstance(made, AtOnce) else following
    for _ in range(20):
        row = closing.row(shares, following)
        found = row.length - wanted
        if abs(found) <= FITTED or found == miss:
            break
        scale, following, miss = following, following - found * (following - scale) / (found - miss), found
    return closing.closed(row)


def closed_by(
    lines: SlashSet, edges: Sequence[PleatEdge], top: Top, leans: Sequence[float], unit: str = "cm"
) -> Closed:
    """Return panels closed by leans that are known, as those of a cutting line are.

    Args:
        lines: their outline, and the fold edge if there is one.
        edges: produced to that outline.
        top: from where to where it is closed.
        leans: of each edge, in radians.
        unit: for messages.

    Raises:
        FitError: leaning lines meet, or leave the top.
    """
    closing = _Closing(lines, edges, top, unit)
    shares = [(1 if e.on_fold else 2) * e.length * math.tan(lean) for e, lean in zip(edges, leans, strict=True)]
    return closing.closed(closing.row(shares, 1.0))


class _Row(NamedTuple):
    """The panels closed by some leans, as far as their length asks.

    Attributes:
        leans: of each edge, in radians.
        motions: of each panel.
        ends: of each edge, where its leaning lines leave the top: to the panel before and to the one after.
        spots: the points there.
        inner: of each panel, from where to where its own seam is left between the joining curves.
        parts: of each panel what is left of it there, where that is a part of one segment.
        curves: over each edge; None over one that does not lean.
        length: of the whole top.
        moved: of each panel the same part, moved with it, and over each edge what joins them, where these are known already.
    """

    leans: list[float]
    motions: list[Motion]
    ends: list[tuple[float, float]]
    spots: list[tuple[complex, complex]]
    inner: list[tuple[float, float]]
    parts: Sequence[Segment | None]
    curves: list[Segment | None]
    length: float
    moved: Sequence[Segment | None]
    joins: Sequence[Joined | None]


class _Closing:
    """Closes panels by more and more lean, until their top is as long as it is to be."""

    def __init__(
        self, lines: SlashSet, edges: Sequence[PleatEdge], top: Top, unit: str, once: Once | None = None
    ) -> None:
        self.lines, self.edges, self.top, self.unit = lines, edges, top, unit
        self.rounds = once is not None
        self.once = once or Once(range(len(edges)), top.start, top.stop)
        outline = self.outline = lines.outline
        n = len(outline)
        self.marks = [top.start, *[edge.chord.top_at for edge in edges], top.stop]
        self.tops = [outline.point(top.start), *[edge.chord.top for edge in edges], outline.point(top.stop)]
        rounds = range(math.floor(top.start / n) - 1, math.ceil(top.stop / n) + 1)
        self.corners = sorted([c + n * turn for c in outline.corners for turn in rounds])
        self.darts = [(d.start + n * turn, d.end + n * turn) for d in outline.darts for turn in rounds]
        # Of each edge what its leaning lines are found by: the segment on which it ends, and the node at which that begins.
        whole = [math.floor(edge.chord.top_at) for edge in edges]
        self.ends_on = [(k, outline.segments[k % n]) for k in whole]
        self.nodes = n

    @cached_property
    def spans(self) -> list[float]:
        """The seam between the edges, which what the joining curves replace is taken off."""
        along = self.outline.so_far_each(self.marks)
        return [abs(along[k + 1] - along[k]) if b > a else 0.0 for k, (a, b) in enumerate(pairwise(self.marks))]

    def leaned(self, shares: Sequence[float], less: float) -> AtOnce | Sequence[LeanedEdge] | None:
        """Return the edges leaned until the top is so much shorter; None where that takes closing the panels at every try."""
        edges, outline, hand = self.edges, self.outline, self.lines.hand
        if outline.darts:
            return None
        for spans, at_least in self._spans_told():
            made: AtOnce | Sequence[LeanedEdge] | None
            if len(edges) < WORTH:
                made = leaned_few(edges, self.ends_on, shares, hand, spans, less, at_least)
            else:
                made = leaned(outline, edges, shares, hand, spans, less, at_least)
            if made is not None:
                return made
        return None

    def _spans_told(self) -> Iterator[tuple[Sequence[float], bool]]:
        # Where panels are wide the chords of their tops, the spans at least, tell enough, and the seam need not be measured.
        chords = [abs(other - one) for one, other in pairwise(self.tops)]
        if min(chords) > 2.5 * JOIN_REACH:
            yield chords, True
        yield self.spans, False

    def row(self, shares: Sequence[float], scale: float) -> _Row:
        """Return the panels closed by leans of which tan = scale x share / (2 x length).

        Of an edge on the fold of the cloth the share is that of its drawn half: tan = scale x share / length.
        """
        edges, outline = self.edges, self.outline
        spin = 1j * self.lines.hand
        leans: list[float] = []
        motions = [STAY]
        ends: list[tuple[float, float]] = []
        for k, (share, edge) in enumerate(zip(shares, edges, strict=True)):
            on_fold, hip, at = edge.on_fold, edge.hip, edge.chord.top_at
            lean = math.atan(scale * share / ((1 if on_fold else 2) * edge.length))
            turn = cmath.exp((-1 if on_fold else -2) * spin * lean)
            leans.append(lean)
            motions.append(motions[-1].after(Motion(turn, hip - turn * hip, False)))
            if not lean:
                ends.append((at, at))
                continue
            aside = cmath.exp(spin * lean)
            ends.append(
                (
                    at if on_fold > 0 else self._hit(k, edge.upwards * aside.conjugate()),
                    at if on_fold < 0 else self._hit(k, edge.upwards * aside),
                )
            )
        self._refuse_meeting(ends)
        once = self.once
        home = once.edges.start
        if home:
            back = motions[home].inverse
            motions = [STAY if k == home else back.after(one) for k, one in enumerate(motions)]
        spots = [
            (self.tops[k] if a == at else outline.point(a), self.tops[k] if b == at else outline.point(b))
            for k, ((a, b), at) in enumerate(zip(ends, self.marks[1:], strict=False), 1)
        ]
        inner: list[tuple[float, float]] = []
        parts: list[Segment | None] = []
        measured: list[Segment] = []  # what is left of the panels, and the curves between them
        total = self.top.length
        for k, span in enumerate(self.spans):
            begin, low = (self.marks[k], self.marks[k]) if k == 0 else (edges[k - 1].chord.top_at, ends[k - 1][1])
            end, high = (self.marks[-1],) * 2 if k == len(edges) else (edges[k].chord.top_at, ends[k][0])
            # Never over half a panel; of what lies beside leaning lines the chord will do.
            gone = abs(self.tops[k] - spots[k - 1][1]) if k else 0.0
            gone += abs(spots[k][0] - self.tops[k + 1]) if k < len(edges) else 0.0
            most = max(0.0, min(JOIN_REACH, 0.499 * (span - gone)))
            first = low if k == 0 or not leans[k - 1] else self._reached(low, most, 1)
            last = high if k == len(edges) or not leans[k] else self._reached(high, most, -1)
            whole = math.floor(begin)
            if not home <= k <= once.edges.stop:
                parts.append(None)
            elif self.rounds and k in (home, once.edges.stop):
                # A round begins in the midst of a panel, and ends in the next one like it.
                begin, low = (once.start,) * 2 if k == home else (begin, first)
                end, high = (once.stop,) * 2 if k > home else (end, last)
                total -= self._between(begin, low) + self._between(high, end)
                parts.append(None)
            elif first <= last and end <= whole + 1 and not outline.darts:  # as nearly all: on one segment
                part = cut(outline.segments[whole % self.nodes], first - whole, last - whole)
                measured.append(part)
                total -= span
                parts.append(
                    part if first - whole > SAME_SPOT and whole + 1 - last > SAME_SPOT < last - first else None
                )
            else:
                parts.append(None)
                total -= self._between(begin, first) + self._between(last, end)
            inner.append((first, last))
        curves: list[Segment | None] = []
        for k, (edge, lean) in enumerate(zip(edges, leans, strict=True)):
            made = (
                self._curve(edge, lean, (motions[k], motions[k + 1]), (inner[k][1], inner[k + 1][0])) if lean else None
            )
            curves.append(made)
            if made is not None and k in once.edges:
                measured.append(made)
        total += sum(lengths_of(measured))
        unknown = [None] * len(inner)
        return _Row(leans, motions, ends, spots, inner, parts, curves, total, unknown, unknown[1:])

    def row_of(self, made: AtOnce) -> _Row | None:
        """Return the panels as they were closed for all edges at once; None where one of them ends at a node."""
        edges, outline = self.edges, self.outline
        if made.reached.min() <= SAME_SPOT or made.reached.max() >= 1 - SAME_SPOT:
            return None
        begins, stops = made.reached.tolist()
        nodes = [math.floor(edge.chord.top_at) for edge in edges]
        ends = [(node + a, node + b) for node, a, b in zip(nodes, *made.hits.tolist(), strict=True)]
        self._refuse_meeting(ends)
        firsts = [self.top.start, *[node + share for node, share in zip(nodes, stops, strict=True)]]
        lasts = [*[node + share for node, share in zip(nodes, begins, strict=True)], self.top.stop]
        inner = list(zip(firsts, lasts, strict=True))
        leans = made.leans.tolist()
        curves = [tuple(row) if lean else None for row, lean in zip(made.curves.tolist(), leans, strict=True)]
        motions = [
            Motion(turn, shift, False) for turn, shift in zip(made.turns.tolist(), made.shifts.tolist(), strict=True)
        ]
        spots = list(zip(*made.spots.tolist(), strict=True))
        shares, far = edges_joined(edges, made, self.lines.hand)
        n = len(outline)
        joins = [
            None if curve is None or share is None else Joined(curve, share, off, node % n)
            for curve, share, off, node in zip(curves, shares, far, nodes, strict=True)
        ]
        left = panels_moved(outline, made, firsts, lasts)
        unknown = [None] * len(inner)
        return _Row(leans, motions, ends, spots, inner, unknown, curves, self.top.length - made.gone, left, joins)

    def row_of_few(self, made: Sequence[LeanedEdge]) -> _Row:
        """Return the panels as they were closed edge by edge."""
        n = self.nodes
        nodes = [node for node, _ in self.ends_on]
        ends = [(node + one.hits[0], node + one.hits[1]) for node, one in zip(nodes, made, strict=True)]
        self._refuse_meeting(ends)
        firsts = [self.top.start, *[node + one.reached[1] for node, one in zip(nodes, made, strict=True)]]
        lasts = [*[node + one.reached[0] for node, one in zip(nodes, made, strict=True)], self.top.stop]
        motion = STAY
        motions = [motion]
        curves: list[Segment | None] = []
        joins: list[Joined | None] = []
        for (node, _), edge, one in zip(self.ends_on, self.edges, made, strict=True):
            turn, hip = one.turn, edge.hip
            curve = moved(one.curve, motion)
            off = heights(one.curve, hip, edge.upwards * one.before)
            joined = None
            if clear_across(off):
                share = single_root(off)
                spot = point_at(one.curve, share)
                before, after = one.spots
                joined = Joined(curve, share, max(abs(spot - before), abs(spot - hip - turn * (after - hip))), node % n)
            curves.append(curve)
            joins.append(joined)
            motion = motion.after(Motion(turn, hip - turn * hip, False))
            motions.append(motion)
        parts = [self._part(begin, end) for begin, end in zip(firsts, lasts, strict=True)]
        total = self.top.length - sum([one.gone for one in made])
        leans, spots = [one.lean for one in made], [one.spots for one in made]
        inner = list(zip(firsts, lasts, strict=True))
        return _Row(leans, motions, ends, spots, inner, parts, curves, total, [None] * len(inner), joins)

    def _part(self, begin: float, end: float) -> Segment | None:
        # What is left of a panel's seam; None where it is no part of one segment, clear of its ends or up to them.
        node = math.floor(begin)
        first, last = begin - node, end - node
        if (first > SAME_SPOT or not first) and (last < 1 - SAME_SPOT or last == 1) and last - first > SAME_SPOT:
            return cut(self.outline.segments[node % self.nodes], first, last)
        return None

    def closed(self, row: _Row) -> Closed:
        """Return the panels with all that is made of them."""
        outline, edges = self.outline, self.edges
        parts: list[tuple[Sourced, ...]] = []
        panels: list[float] = []
        bounds = [self.top.start, *[at for pair in row.ends for at in pair], self.top.stop]
        spots = [self.tops[0], *[spot for pair in row.spots for spot in pair], self.tops[-1]]
        for k, (begin, end) in enumerate(row.inner):
            part = row.parts[k]
            if row.moved[k] is not None or part is not None:
                seg = row.moved[k] or moved(part or (), row.motions[k])
                parts.append(((seg, math.floor(begin) % len(outline)),))
            else:
                own = outline.stretches(begin, end) if end > begin else []
                parts.append(tuple([(moved(outline.part(s), row.motions[k]), s.segment) for s in own]))
            low, high = bounds[2 * k], bounds[2 * k + 1]
            across = abs(spots[2 * k + 1] - spots[2 * k])
            if across < LEAST_PANEL or outline.darts:
                across = outline.sewn_distance(low, high) if high > low else 0.0
            panels.append(across)
        joins = [
            None
            if curve is None
            else row.joins[k] or self._joined(edge, lean, (row.motions[k], row.motions[k + 1]), row.spots[k], curve)
            for k, (edge, lean, curve) in enumerate(zip(edges, row.leans, row.curves, strict=True))
        ]
        return Closed(tuple(row.leans), tuple(row.motions), tuple(parts), tuple(joins), row.length, tuple(panels))

    def _hit(self, number: int, way: complex) -> float:
        # Where an edge's leaning line leaves the piece, counted like its top: most often on the segment of that.
        outline, edge = self.outline, self.edges[number]
        node, seg = self.ends_on[number]
        off = heights(seg, edge.hip, way)
        if clear_across(off) and not outline.darts:  # a dart may reach into what lies beside the edge
            return node + single_root(off)
        hits = [hit for hit in outline.crossings(edge.hip, way) if hit.along > ON_LINE]
        if not hits:
            raise ValueError("a line from inside a piece leaves it")
        return outline.counted_near(min(hits, key=lambda hit: hit.along).at, edge.chord.top_at)

    def _reached(self, start: float, far: float, step: int) -> float:
        # The place about so far along the seam, but not round a corner.
        if far <= 0:
            return start
        outline = self.outline
        k = bisect_right(self.corners, start) if step > 0 else bisect_left(self.corners, start) - 1
        corner = float(self.corners[k]) if 0 <= k < len(self.corners) else math.inf * step
        index = math.floor(start) if step > 0 else math.ceil(start) - 1
        seg = outline.segments[index % self.nodes]
        share = start - index
        if len(seg) == 2:
            there = share + step * far / abs(seg[1] - seg[0])
        else:
            there = share + step * far / _speed(seg, share)
            there = share + step * far / _speed(seg, min(1.0, max(0.0, (share + there) / 2)))
        place = index + there
        if not 0 <= there <= 1:
            place = outline.walk(start, far) if step > 0 else _walked_back(outline, start, far)
        return min(place, corner) if step > 0 else max(place, corner)

    def _between(self, start: float, stop: float) -> float:
        # The seam between two places side by side, most often on one segment.
        if start == stop:
            return 0.0
        index = math.floor(start)
        if stop <= index + 1:
            return length_of(self.outline.segments[index % len(self.outline)], start - index, stop - index)
        return self.outline.distance(start, stop)

    def _refuse_meeting(self, ends: Sequence[tuple[float, float]]) -> None:
        edges = self.edges
        for edge, (before, after) in zip(edges, ends, strict=True):
            for start, stop in self.darts:
                if start < after and before < stop and (before, after) != (edge.chord.top_at,) * 2:
                    raise FitError(
                        f"Pleat {edge.pleat} at '{edge.name}'",
                        "leans over a dart in the top",
                        "a dart that is sewn by itself lies between the pleats",
                        "Move the slash line away from the dart, or close the dart in the drawing first.",
                    )
        bounds = [self.top.start, *[at for pair in ends for at in pair], self.top.stop]
        for k, (low, high) in enumerate(zip(bounds[::2], bounds[1::2], strict=True)):
            if high > low or (high == low and k in (0, len(edges))):
                continue
            inside = 0 < k < len(edges)
            one = edges[min(k, len(edges) - 1)]
            two = inside and edges[k - 1].pleat != edges[k].pleat
            outline, unit = self.outline, self.unit
            span = show(self.spans[k], unit)
            gone = [
                outline.distance(*sorted((edges[j].chord.top_at, end)))
                for j, end in ((k - 1, ends[k - 1][1] if k else 0.0), (k, ends[k][0] if k < len(edges) else 0.0))
                if 0 <= j < len(edges)
            ]
            raise FitError(
                f"Pleats {edges[k - 1].pleat} and {edges[k].pleat}" if two else f"Pleat {one.pleat} at '{one.name}'",
                f"{'lean until they meet: their lines' if two else 'has two lines that lean until they meet: they'} stand "
                f"{span} apart at the top and lean towards each other by {show(sum(gone), unit)}"
                if inside
                else f"leans over the corner of the top: its line stands {span} from it and leans towards it by "
                f"{show(sum(gone), unit)}",
                "a panel is left between two leaning lines, and beside the side seam, all the way up",
                "Let less vanish there: give the pleat a smaller share, make more pleats, or ask for a longer waist.",
            )

    def _curve(
        self, edge: PleatEdge, lean: float, motions: tuple[Motion, Motion], places: tuple[float, float]
    ) -> Segment:
        # One cubic from the seam before a closed line to the seam after it, tangent to both; its handles are a third of its
        # chord. On the fold edge the whole is its own mirror image, and half of it is drawn.
        outline = self.outline
        begin, end = places
        one, other = motions
        node, there = math.floor(begin), math.floor(end)
        before, after = outline.segments[node % self.nodes], outline.segments[there % self.nodes]
        p, set_off = one.of(point_at(before, begin - node)), one.turn * heading(before, begin - node)
        arriving = (
            heading(after, end - there) if end > there else heading(outline.segments[(there - 1) % self.nodes], 1.0)
        )
        q, arrive = other.of(point_at(after, end - there)), other.turn * arriving
        if edge.on_fold > 0:
            flip = reflection(edge.hip, edge.chord.top)
            p, set_off = flip.of(q), -flip.turn * arrive.conjugate()
        elif edge.on_fold < 0:
            foot = one.of(edge.hip)
            flip = reflection(foot, foot + one.turn * leaning(edge, -lean, self.lines.hand))
            q, arrive = flip.of(p), -flip.turn * set_off.conjugate()
        chord = abs(q - p)
        curve = (p, p + set_off * chord / 3, q - arrive * chord / 3, q)
        return halves(curve)[edge.on_fold > 0] if edge.on_fold else curve

    def _joined(
        self,
        edge: PleatEdge,
        lean: float,
        motions: tuple[Motion, Motion],
        ends: tuple[complex, complex],
        curve: Segment,
    ) -> Joined:
        outline = self.outline
        one, other = motions
        share = 0.0 if edge.on_fold > 0 else 1.0
        if not edge.on_fold:
            off = list(heights(curve, one.of(edge.hip), one.turn * leaning(edge, -lean, self.lines.hand)))
            if clear_across(off):
                share = single_root(off)
            else:
                for k in (0, 3):
                    off[k] = 0.0 if abs(off[k]) < ON_LINE else off[k]
                shares = sign_changes(off)
                share = min(shares, key=lambda t: abs(t - 0.5)) if shares else 0.0 if not off[0] else 1.0
        spot = point_at(curve, share)
        beside = [] if edge.on_fold > 0 else [one.of(ends[0])]
        beside += [] if edge.on_fold < 0 else [other.of(ends[1])]
        source = math.floor(edge.chord.top_at) % len(outline)
        return Joined(curve, share, max([abs(spot - z) for z in beside]), source)


def leaning(edge: PleatEdge, lean: float, hand: float) -> complex:
    """Return the unit vector from a hip point up along its edge leaned to the panel after it (before it below zero)."""
    return edge.upwards * cmath.exp(1j * hand * lean)


def _speed(seg: Segment, t: float) -> float:
    # How fast a cubic is walked at a share, mm.
    a, b, c, d = seg
    s = 1 - t
    return max(abs(3 * (s * s * (b - a) + 2 * s * t * (c - b) + t * t * (d - c))), ON_LINE)


def _walked_back(outline: Outline, start: float, far: float) -> float:
    n = len(outline)
    return outline.walk(start - n, outline.distance(start - n, start) - far)


def walked(outline: Outline, start: float, other: float, far: float) -> float:
    """Return the place so far along the seam from `start` on the way to `other`, mm."""
    if not far:
        return start
    step = 1 if other > start else -1
    node = math.floor(start) if step > 0 else math.ceil(start) - 1
    there = _share_off(outline.segments[node % len(outline)], start - node, step * far)
    if there is not None and (node + there - other) * step <= 0:  # as nearly always, on one segment
        return node + there
    if step > 0:
        return outline.walk(start, far)
    return outline.walk(other, outline.distance(other, start) - far)


def _share_off(seg: Segment, start: float, far: float) -> float | None:
    # The share so far from another one along a segment (before it below zero), by Newton's steps; None where it is not on it.
    t = start
    miss = far
    for _ in range(8):
        speed = abs(seg[1] - seg[0]) if len(seg) == 2 else _speed(seg, t)
        t += miss / speed
        if not 0 <= t <= 1:
            return None
        miss = far - math.copysign(length_of(seg, min(start, t), max(start, t)), far)
        if abs(miss) < _NEAR_ENOUGH:
            return t + miss / speed
    return None


_NEAR_ENOUGH = 1e-5
"""mm by which a step may miss a length along the seam that is steeply met: the next one meets it to the last digit."""
