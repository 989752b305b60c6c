"""Whether points, or a whole outline, lie within a closed ring, or behind a bent border. Lengths in mm."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.motion import bearing
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import point_at

Points = npt.NDArray[np.complex128]


_SHARES = tuple([k / 8 for k in range(8)])


_SLACK = 0.1
"""How far a point may lie outside: at an edge cut on the fold both run on one line, and curves are taken in eight chords."""


def inside(points: Points, starts: Points, ends: Points) -> npt.NDArray[np.bool_]:
    """Return which points lie within a ring of straight strokes: a ray to the right crosses it an odd number of times."""
    x, y = points.real[:, None], points.imag[:, None]
    passes = (starts.imag > y) != (ends.imag > y)
    rise = np.where(starts.imag == ends.imag, 1.0, ends.imag - starts.imag)
    crossed = passes & (starts.real + (y - starts.imag) * ((ends.real - starts.real) / rise) > x)
    odd: npt.NDArray[np.bool_] = crossed.sum(axis=1) % 2 == 1
    return odd


def outside(inner: Outline, outer: Outline) -> complex | None:
    """Return the place of the inner outline that lies farthest outside the outer one, or None where it lies within."""
    points, ring = _points(inner), _points(outer)
    ends = np.roll(ring, -1)
    out = points[~inside(points, ring, ends)]
    if not len(out):
        return None
    step = ends - ring
    off = out[:, None] - ring
    share = np.clip((off * step.conj()).real / np.maximum(np.abs(step) ** 2, 1e-300), 0.0, 1.0)
    away = np.abs(off - share * step).min(axis=1)
    worst = int(np.argmax(away))
    return complex(out[worst]) if away[worst] > _SLACK else None


def _points(outline: Outline) -> Points:
    return np.array(
        [point_at(seg, share) for seg in outline.segments for share in (_SHARES if len(seg) == 4 else (0.0, 0.5))]
    )


def behind_bend(z: complex, point: complex, one: complex, other: complex, side: complex) -> float:
    """Return how far a point lies behind a border of two rays from one point, in mm; negative before it.

    Args:
        z: what is asked for.
        point: where the border bends.
        one, other: the directions of its two rays, of length 1.
        side: a direction, of length 1 and square to the first ray, towards what lies behind the border there.
    """
    w = z - point
    # Turned about the point from the first ray, the way that `side` points: by how much to the other, and to the point.
    turn = 1.0 if (side * one.conjugate()).imag > 0 else -1.0
    to_other = (turn * bearing(other / one)) % math.tau
    to_z = (turn * bearing(w / one)) % math.tau if w else 0.0
    off = min(_from_ray(w, one), _from_ray(w, other))
    return off if 0 < to_z < to_other else -off


def _from_ray(w: complex, way: complex) -> float:
    along = w * way.conjugate()
    return abs(along.imag) if along.real > 0 else abs(w)
