"""What is made of closed panels, of many at once: the seam that is left of each, moved, and the seam over each closed edge.

Step by step as `pleatsvg.fitted.closed` makes them one after another, in coordinates, so that both come to the same figures.
Lengths in mm.
"""

from __future__ import annotations

import cmath
from collections.abc import Sequence

import numpy as np

from pleatsvg.fitted.closing.all_at_once import AtOnce, Points, Reals
from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, single_roots
from pleatsvg.tolerance import ON_LINE, SAME_SPOT


def panels_moved(
    outline: Outline, made: AtOnce, firsts: Sequence[float], lasts: Sequence[float]
) -> list[Segment | None]:
    """Return of each panel what is left of its seam, moved; None where that is no part of one curve, clear of its ends.

    Args:
        outline: the drawn seam.
        made: the panels as closed.
        firsts, lasts: from where to where that of each panel is left (places on the outline).
    """
    first, last = np.array(firsts), np.array(lasts)
    node = np.floor(first)
    whole = node.astype(int).tolist()
    segments, n = outline.segments, len(outline)
    curved = [len(segments[k % n]) == 4 for k in whole]
    alone = np.array(curved) & (first - node > SAME_SPOT) & (last - first > SAME_SPOT) & (node + 1 - last > SAME_SPOT)
    part = _cut(outline.controls[[k % n for k in whole]], first - node, last - node)
    moved = _product(part, made.turns) + made.shifts
    return [
        seg if plain else None for seg, plain in zip(zip(*moved.tolist(), strict=True), alone.tolist(), strict=True)
    ]


def edges_joined(edges: Sequence[PleatEdge], made: AtOnce, hand: float) -> tuple[list[float | None], list[float]]:
    """Return of each edge where on the curve over it its closed line ends, and how far the curve leaves the panels' own seams
    there; None where that takes a closer look.

    Args:
        edges: none of them on the fold of the cloth.
        made: the panels as closed.
        hand: +1 where the outline is walked clockwise on the page.
    """
    hips = np.array([edge.hip for edge in edges])
    ways = np.array(
        [edge.upwards * cmath.exp(1j * hand * -lean) for edge, lean in zip(edges, made.leans.tolist(), strict=True)]
    )
    one, other = (made.turns[:-1], made.shifts[:-1]), (made.turns[1:], made.shifts[1:])
    foot, way = _product(hips, one[0]) + one[1], _product(ways, one[0])
    curve = made.curves.T
    away = curve - foot
    off = away.imag * way.real - away.real * way.imag
    up = (off[0] > ON_LINE) & (off[3] < -ON_LINE) & ~((off[1] < 0) & (off[2] > 0))
    down = (off[0] < -ON_LINE) & (off[3] > ON_LINE) & ~((off[1] > 0) & (off[2] < 0))
    t = single_roots(off)
    plain = (up | down) & np.isfinite(t)
    s = 1 - t
    a, b, c, d = curve
    spot = s * s * s * a + 3 * s * t * (s * b + t * c) + t * t * t * d
    beside = [_product(z, turn) + shift for z, (turn, shift) in zip(made.spots, (one, other), strict=True)]
    far = np.maximum(*[np.hypot((spot - z).real, (spot - z).imag) for z in beside])
    shares = [share if good else None for share, good in zip(t.tolist(), plain.tolist(), strict=True)]
    return shares, far.tolist()


def _cut(curves: Points, low: Reals, high: Reals) -> Points:
    # The parts of curves between two shares, as `pleatsvg.geometry.segment.cut` makes them.
    a, b, c, d = curves.T
    s0, s1, t0, t1 = 1 - low, 1 - high, low, high
    ab0, bc0, cd0 = s0 * a + t0 * b, s0 * b + t0 * c, s0 * c + t0 * d
    ab1, bc1, cd1 = s1 * a + t1 * b, s1 * b + t1 * c, s1 * c + t1 * d
    p00, q00 = s0 * ab0 + t0 * bc0, s0 * bc0 + t0 * cd0
    p01, q01 = s1 * ab0 + t1 * bc0, s1 * bc0 + t1 * cd0
    p11, q11 = s1 * ab1 + t1 * bc1, s1 * bc1 + t1 * cd1
    return np.array((s0 * p00 + t0 * q00, s1 * p00 + t1 * q00, s1 * p01 + t1 * q01, s1 * p11 + t1 * q11))


def _product(z: Points, turn: Points) -> Points:
    # In coordinates: numpy's own product is rounded once less.
    found: Points = (turn.real * z.real - turn.imag * z.imag) + 1j * (turn.real * z.imag + turn.imag * z.real)
    return found
