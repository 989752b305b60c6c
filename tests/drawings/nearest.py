"""Distances between curves, for tests: segments evaluated here, apart from the program's own geometry."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt

Segment = tuple[complex, ...]
Reals = npt.NDArray[np.float64]
Points = npt.NDArray[np.complex128]

_GRID = np.linspace(0.0, 1.0, 17)


def _cubics(stroke: Sequence[Segment]) -> Points:
    """Every segment as the four points of a cubic: a line has its handles at its thirds."""
    rows = [s if len(s) == 4 else (s[0], (2 * s[0] + s[1]) / 3, (s[0] + 2 * s[1]) / 3, s[1]) for s in stroke]
    return np.array(rows, dtype=complex)


def _at(c: Points, t: Reals) -> Points:
    """Points of cubics at shares t, by Bernstein's form; the last axis of t belongs to each cubic."""
    s = 1 - t
    a, b, d, e = (c[..., k, None] for k in range(4))
    points: Points = s**3 * a + 3 * s * s * t * b + 3 * s * t * t * d + t**3 * e
    return points


def distances(points: Sequence[complex] | Points, stroke: Sequence[Segment]) -> Reals:
    """The distance in mm of each point from a run of segments, to about 1e-6."""
    cubics = _cubics(stroke)
    z = np.asarray(points, dtype=complex)
    # A grid on every segment, then nearer and nearer about its best node, for every point and every segment at once.
    t = np.broadcast_to(_GRID, (len(cubics), len(_GRID)))
    off = np.abs(_at(cubics, t)[None] - z[:, None, None])
    best = _GRID[off.argmin(axis=2)]
    reach = _GRID[1]
    for _ in range(8):
        t = np.clip(best[..., None] + reach * np.linspace(-1.0, 1.0, 9), 0.0, 1.0)
        off = np.abs(_at(cubics[None], t) - z[:, None, None])
        best = np.take_along_axis(t, off.argmin(axis=2)[..., None], axis=2)[..., 0]
        reach /= 3.5
    found: Reals = off.min(axis=2).min(axis=1)
    return found


def polyline(stroke: Sequence[Segment], count: int = 33) -> Points:
    """A run of segments as points: `count` on each segment, both its ends among them."""
    points: Points = _at(_cubics(stroke), np.broadcast_to(np.linspace(0.0, 1.0, count), (len(stroke), count))).ravel()
    return points


def length(stroke: Sequence[Segment]) -> float:
    """Length in mm of a run of segments, by chords: within a millionth for gentle curves."""
    return float(sum(np.abs(np.diff(polyline([segment], 257))).sum() for segment in stroke))


def farthest(one: Sequence[Segment], other: Sequence[Segment], count: int = 9) -> float:
    """The largest distance in mm of either run of segments from the other (Hausdorff's, sampled)."""
    there = float(distances(polyline(one, count), other).max())
    return max(there, float(distances(polyline(other, count), one).max()))


def chords(points: Sequence[complex]) -> list[float]:
    """The lengths of the steps from point to point, mm."""
    return [abs(b - a) for a, b in pairwise(points)]


def turns(a: complex, b: complex, c: complex) -> float:
    """The angle in radians by which a way through three points turns in the middle one; 0 where points coincide."""
    one, other = b - a, c - b
    if not one or not other:
        return 0.0
    way = other / one
    return abs(math.atan2(way.imag, way.real))
