"""The leans of all edges at which a top comes to its length, worked out for all edges of a piece at once.

The same figures as those of one edge after another, for edges beside which the seam is one segment. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.geometry.outline import Outline
from pleatsvg.tolerance import FITTED, JOIN_REACH

Reals = NDArray[np.float64]
Points = NDArray[np.complex128]

WORTH = 12
"""Edges from which on this is the quicker way."""

_KNOTS, _WEIGHTS = (row / 2 for row in np.polynomial.legendre.leggauss(16))
_SHARES = _KNOTS + 0.5


class AtOnce(NamedTuple):
    """All edges leaned until the top is as long as it is to be.

    Attributes:
        scale: of all leans.
        gone: by how much the top is shorter.
        leans: of each edge, in radians.
        turns, shifts: of the motion of each panel.
        hits, spots: of each edge, before and after it, the shares on the segment of its own top where its leaning lines leave
            the seam, and the points.
        reached: the shares there at which its curve leaves and joins the seam.
        curves: that run over the edges.
    """

    scale: float
    gone: float
    leans: Reals
    turns: Points
    shifts: Points
    hits: Reals
    spots: Points
    reached: Reals
    curves: Points


def leaned(
    outline: Outline,
    edges: Sequence[PleatEdge],
    shares: Sequence[float],
    hand: float,
    spans: Sequence[float],
    less: float,
    at_least: bool = False,
) -> AtOnce | None:
    """Return how they lean then, or None where it has to be found edge by edge.

    Args:
        outline: the drawn seam.
        edges: of all pleats.
        shares: of each edge in what is to go.
        hand: +1 where the outline is walked clockwise on the page.
        spans: of seam before each edge, and after the last.
        less: by how much the top is to be shorter.
        at_least: whether the spans may be longer; then None where that makes a difference.
    """
    nodes = [math.floor(edge.chord.top_at) for edge in edges]
    if len(edges) < WORTH or outline.darts or any(edge.on_fold for edge in edges):
        return None
    closing = _Edges(
        outline.controls[[k % len(outline) for k in nodes]],
        np.array([edge.chord.top_at - k for edge, k in zip(edges, nodes, strict=True)]),
        np.array([edge.hip for edge in edges]),
        np.array([edge.upwards for edge in edges]),
        np.array(shares) / (2 * np.array([edge.length for edge in edges])),
        hand,
        np.array(spans),
    )
    before, miss = 0.0, less
    scale = 1.0
    for _ in range(8):
        made = closing.at(scale, at_least)
        if made is None:
            return None
        found = less - made.gone
        if abs(found) <= FITTED / 10 or found == miss:
            return made
        before, scale, miss = scale, scale - found * (scale - before) / (found - miss), found
    return None


class _Edges:
    """All edges side by side: the segments on which they end and their shares there, their hip points and ways upwards, the
    tangents of their leans at scale 1; and the seam before each, and after the last."""

    def __init__(
        self, segments: Points, shares: Reals, hips: Points, ways: Points, tangents: Reals, hand: float, spans: Reals
    ) -> None:
        self.a, b, c, d = segments.T
        self.u, self.v, self.w = 3 * (b - self.a), 3 * (self.a - 2 * b + c), d - self.a + 3 * (b - c)
        self.shares, self.hips, self.ways, self.tangents = shares, hips, ways, tangents
        self.hand, self.spans = hand, spans
        self.tops = self._point(shares)

    def at(self, scale: float, at_least: bool = False) -> AtOnce | None:
        """Return all edges leaned by a scale; None where one is no simple one."""
        leans = np.arctan(scale * self.tangents)
        aside = np.exp(1j * self.hand * leans)
        hits = self._hit(self.ways * np.array((aside.conj(), aside)))
        if hits is None:
            return None
        spots = self._point(hits)
        lost = np.abs(spots - self.tops)
        most = 0.499 * (self.spans - np.append(lost[0], 0.0) - np.append(0.0, lost[1]))
        if at_least and most.min() < JOIN_REACH:
            return None
        far = np.minimum(most, JOIN_REACH)
        reached = self._reached(hits, np.where(leans > 0, (-far[:-1], far[1:]), 0.0))
        if reached.min() < 0 or reached.max() > 1 or most.min() < 0:
            return None
        turns = aside.conj() ** 2
        turned = np.cumprod(np.append(1.0, turns))
        shifts = np.append(0.0, np.cumsum(turned[:-1] * self.hips * (1 - turns)))
        own = np.array((turned[:-1], turned[1:]))
        p, q = own * self._point(reached) + np.array((shifts[:-1], shifts[1:]))
        slopes = self._slope(reached)
        one, other = slopes * own / np.abs(slopes) * np.abs(q - p)
        # The slope of the cubic over the edge, whose handles are a third of its chord.
        t = _SHARES[:, None]
        made = _WEIGHTS @ np.abs(one * (1 - t) ** 2 + 2 * t * (1 - t) * (3 * (q - p) - one - other) + other * t**2)
        span = reached[1] - reached[0]
        taken = _WEIGHTS @ np.abs(self._slope(reached[0] + span * t)) * span
        curves = np.array((p, p + one / 3, q - other / 3, q)).T
        return AtOnce(scale, float(taken.sum() - made.sum()), leans, turned, shifts, hits, spots, reached, curves)

    def _point(self, t: Reals) -> Points:
        found: Points = self.a + t * (self.u + t * (self.v + t * self.w))
        return found

    def _slope(self, t: Reals) -> Points:
        found: Points = self.u + t * (2 * self.v + 3 * t * self.w)
        return found

    def _reached(self, t: Reals, far: Reals) -> Reals:
        there = t + far / np.abs(self._slope(t))
        found: Reals = t + far / np.abs(self._slope(np.clip((t + there) / 2, 0.0, 1.0)))
        return found

    def _hit(self, ways: Points) -> Reals | None:
        # The shares at which lines from the hip points leave the seam, by Newton's steps from where the edges do.
        flips = ways.conj()
        t: Reals = np.array((self.shares, self.shares))
        for _ in range(12):
            step = ((self._point(t) - self.hips) * flips).imag / (self._slope(t) * flips).imag
            t = t - step
            if not np.abs(step).max() > 1e-13:  # as it is with what is no number
                break
        return t if t.min() > 0 and t.max() < 1 else None
