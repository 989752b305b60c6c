"""The scale of all leans at which a top comes to its length, worked out for all edges of a piece at once.

The same figures as those of one edge after another, for edges beside which the seam is one segment; what comes of it is
where that way begins, and so mostly ends. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment
from pleatsvg.tolerance import FITTED, JOIN_REACH

Reals = NDArray[np.float64]
Points = NDArray[np.complex128]

WORTH = 12
"""Edges from which on this is the quicker way."""

_KNOTS, _WEIGHTS = (row / 2 for row in np.polynomial.legendre.leggauss(16))
_SHARES = _KNOTS + 0.5


def scale_for(
    outline: Outline,
    edges: Sequence[PleatEdge],
    shares: Sequence[float],
    hand: float,
    spans: Sequence[float],
    less: float,
) -> float | None:
    """Return the scale, or None where it has to be found edge by edge.

    Args:
        outline: the drawn seam.
        edges: of all pleats.
        shares: of each edge in what is to go.
        hand: +1 where the outline is walked clockwise on the page.
        spans: of seam before each edge, and after the last.
        less: by how much the top is to be shorter.
    """
    nodes = [math.floor(edge.chord.top_at) for edge in edges]
    if len(edges) < WORTH or outline.darts or any(edge.on_fold for edge in edges):
        return None
    closing = _Edges(
        np.array([_cubic(outline.segments[k % len(outline)]) for k in nodes]),
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
        gone = closing.gone(scale)
        if gone is None:
            return None
        found = less - gone
        if abs(found) <= FITTED / 10 or found == miss:
            return scale
        before, scale, miss = scale, scale - found * (scale - before) / (found - miss), found
    return None


def _cubic(seg: Segment) -> Segment:
    if len(seg) == 4:
        return seg
    a, b = seg
    return a, (2 * a + b) / 3, (a + 2 * b) / 3, b


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

    def gone(self, scale: float) -> float | None:
        """Return by how much the top is shorter at a scale; None where an edge is no simple one."""
        leans = np.arctan(scale * self.tangents)
        aside = np.exp(1j * self.hand * leans)
        before, after = self._hit(self.ways * aside.conj()), self._hit(self.ways * aside)
        if before is None or after is None:
            return None
        lost = np.abs(self._point(np.array([before, after])) - self.tops)
        most = 0.499 * (self.spans - np.append(lost[0], 0.0) - np.append(0.0, lost[1]))
        far = np.minimum(most, JOIN_REACH)
        begin = self._reached(before, np.where(leans > 0, -far[:-1], 0.0))
        end = self._reached(after, np.where(leans > 0, far[1:], 0.0))
        if min(begin.min(), end.min()) < 0 or max(begin.max(), end.max()) > 1 or most.min() < 0:
            return None
        turns = aside.conj() ** 2
        turned = np.cumprod(np.append(1.0, turns))
        shifts = np.append(0.0, np.cumsum(turned[:-1] * self.hips * (1 - turns)))
        p = turned[:-1] * self._point(begin) + shifts[:-1]
        q = turned[1:] * self._point(end) + shifts[1:]
        leave, arrive = self._slope(begin) * turned[:-1], self._slope(end) * turned[1:]
        chord = np.abs(q - p)
        one, other = leave / np.abs(leave) * chord, arrive / np.abs(arrive) * chord
        # The slope of the cubic over the edge, whose handles are a third of its chord.
        t = _SHARES[:, None]
        slopes = one * (1 - t) ** 2 + 2 * t * (1 - t) * (3 * (q - p) - one - other) + other * t**2
        made = _WEIGHTS @ np.abs(slopes)
        span = end - begin
        taken = _WEIGHTS @ np.abs(self._slope(begin + span * t)) * span
        return float(taken.sum() - made.sum())

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
        t, flips = self.shares, ways.conj()
        for _ in range(12):
            step = ((self._point(t) - self.hips) * flips).imag / (self._slope(t) * flips).imag
            t = t - step
            if not np.abs(step).max() > 1e-13:  # as it is with what is no number
                break
        return t if t.min() > 0 and t.max() < 1 else None
