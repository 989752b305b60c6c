"""The leans of a few edges at which a top comes to its length, found edge by edge where the seam beside each is one segment.

The same figures as `pleatsvg.fitted.closed` comes to, without making the panels and what joins them anew at every try: what is
gone at an edge depends on its own lean alone, on the panel before it where that was drawn. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.geometry.segment import Segment, length_by_steps
from pleatsvg.tolerance import FITTED, JOIN_REACH, ON_LINE, SAME_SPOT


class LeanedEdge(NamedTuple):
    """An edge leaned, with the panel before it where that was drawn.

    Attributes:
        lean: in radians.
        before, turn: the unit factors that turn the way upwards to its leaning line on the panel before it, and the panel after
            it about its hip point.
        hits, spots: the shares on the segment of its own top where its leaning lines leave the seam, before and after it, and
            the points.
        reached: the shares there at which its curve leaves and joins the seam.
        curve: that runs over it.
        gone: by how much the top is shorter.
    """

    lean: float
    before: complex
    turn: complex
    hits: tuple[float, float]
    spots: tuple[complex, complex]
    reached: tuple[float, float]
    curve: Segment
    gone: float


def leaned_few(
    edges: Sequence[PleatEdge],
    ends_on: Sequence[tuple[int, Segment]],
    shares: Sequence[float],
    hand: float,
    spans: Sequence[float],
    less: float,
    at_least: bool = False,
) -> list[LeanedEdge] | None:
    """Return how they lean then, or None where it has to be found by closing the panels.

    Args:
        edges: of all pleats.
        ends_on: of each edge the node at which the segment begins on which it ends, and that segment.
        shares: of each edge in what is to go.
        hand: +1 where the outline is walked clockwise on the page.
        spans: of seam before each edge, and after the last.
        less: by how much the top is to be shorter.
        at_least: whether the spans may be longer; then None where that makes a difference.
    """
    if min(shares) <= 0 or any(edge.on_fold for edge in edges):
        return None
    closing = [
        _Edge(edge, seg, edge.chord.top_at - node, share, hand)
        for edge, (node, seg), share in zip(edges, ends_on, shares, strict=True)
    ]
    before, miss = 0.0, less
    scale = 1.0
    for _ in range(8):
        rooms = [*spans]
        for k, edge in enumerate(closing):
            if not edge.lean_by(scale):
                return None
            one, other = edge.spots
            rooms[k] -= abs(one - edge.top)
            rooms[k + 1] -= abs(other - edge.top)
        room = min(rooms)
        if room < 0 or (at_least and 0.499 * room < JOIN_REACH):
            return None
        far = [min(JOIN_REACH, 0.499 * room) for room in rooms]
        found = less - sum([edge.gone(*reach) for edge, reach in zip(closing, pairwise(far), strict=True)])
        if not math.isfinite(found):
            return None
        if abs(found) <= FITTED / 10 or found == miss:
            return [edge.made() for edge in closing]
        before, scale, miss = scale, scale - found * (scale - before) / (found - miss), found
    return None


class _Edge:
    """An edge, the segment on which it ends as a polynomial, and where its lines left that at the lean tried last."""

    def __init__(self, edge: PleatEdge, seg: Segment, share: float, part: float, hand: float) -> None:
        a, d = seg[0], seg[-1]
        self.a = a
        if len(seg) == 4:
            _, b, c, _ = seg
            self.u, self.v, self.w = 3 * (b - a), 3 * (a - 2 * b + c), d - a + 3 * (b - c)
        else:
            self.u, self.v, self.w = d - a, 0j, 0j
        self.hip, self.up, self.top, self.hand = edge.hip, edge.upwards, edge.chord.top, hand
        self.tangent = part / (2 * edge.length)
        self.hits = share, share
        self.spots = self.top, self.top
        self.lean, self.aside, self.turn, self.less = 0.0, 1 + 0j, 1 + 0j, 0.0
        self.reached, self.curve = self.hits, seg

    def lean_by(self, scale: float) -> bool:
        """Lean it by a scale; whether its lines leave the seam on its own segment."""
        tangent = scale * self.tangent
        cosine = 1 / math.sqrt(1 + tangent * tangent)
        self.lean, self.aside = math.atan(tangent), complex(cosine, self.hand * tangent * cosine)
        one, other = self.hits
        one, other = self._hit(self.up * self.aside.conjugate(), one), self._hit(self.up * self.aside, other)
        if not (0 < one < 1 and 0 < other < 1):
            return False
        self.hits = one, other
        self.spots = self._point(one), self._point(other)
        return True

    def gone(self, before: float, after: float) -> float:
        """Return by how much the top is shorter for it, mm, with a curve from so far before its lines to so far after them; no
        number where that is not on its own segment."""
        (one, other), a, u, v, w, hip = self.hits, self.a, self.u, self.v, self.w, self.hip
        # The shares about so far along the seam.
        half = one - before / (2 * max(abs(u + one * (2 * v + 3 * one * w)), ON_LINE))
        start = one - before / max(abs(u + half * (2 * v + 3 * half * w)), ON_LINE)
        half = other + after / (2 * max(abs(u + other * (2 * v + 3 * other * w)), ON_LINE))
        stop = other + after / max(abs(u + half * (2 * v + 3 * half * w)), ON_LINE)
        back = self.aside.conjugate()
        turn = back * back
        p = a + start * (u + start * (v + start * w))
        q = hip + turn * (a - hip + stop * (u + stop * (v + stop * w)))
        leave, arrive = u + start * (2 * v + 3 * start * w), u + stop * (2 * v + 3 * stop * w)
        speed, its_speed = abs(leave), abs(arrive)
        if start <= SAME_SPOT or stop >= 1 - SAME_SPOT or speed <= ON_LINE or its_speed <= ON_LINE:
            return math.nan
        third = abs(q - p) / 3
        handle, its_handle = leave * (third / speed), turn * arrive * (third / its_speed)
        b, c = p + handle, q - its_handle
        self.reached, self.curve, self.turn = (start, stop), (p, b, c, q), turn
        # The seam that it replaces, by the steps of its control points.
        share = (stop - start) / 3
        middle = u + (start + stop) * v + 3 * start * stop * w
        self.less = length_by_steps(leave * share, middle * share, arrive * share)
        self.less -= length_by_steps(handle, c - b, its_handle)
        return self.less

    def made(self) -> LeanedEdge:
        """Return it as it was leaned last, with what its curve takes off."""
        back = self.aside.conjugate()
        return LeanedEdge(self.lean, back, self.turn, self.hits, self.spots, self.reached, self.curve, self.less)

    def _point(self, t: float) -> complex:
        return self.a + t * (self.u + t * (self.v + t * self.w))

    def _hit(self, way: complex, t: float) -> float:
        # The share at which a line from the hip point leaves the seam, by Newton's steps from where it did before.
        flip = way.conjugate()
        a0, a1 = ((self.a - self.hip) * flip).imag, (self.u * flip).imag
        a2, a3 = (self.v * flip).imag, (self.w * flip).imag
        for _ in range(12):
            slope = (3 * a3 * t + 2 * a2) * t + a1
            if not slope:
                return math.nan
            step = (((a3 * t + a2) * t + a1) * t + a0) / slope
            t -= step
            if -1e-12 < step < 1e-12:
                return t
        return math.nan
