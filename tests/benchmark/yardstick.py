"""The yardstick for speed: the same unfolding done on polylines with shapely, and nothing else.

It flattens the finished seam to 0.01 mm, clips it to panels and strips by their fold lines, reflects each region to
its place and unites them. It reads no file, draws no marks and proves nothing; the program does all three in the time.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import Polygon
from shapely.ops import unary_union

Cubic = tuple[complex, complex, complex, complex]


def flattened(curves: list[Cubic], tolerance: float) -> Polygon:
    """Return a closed run of cubics as a polygon that leaves them by at most `tolerance` mm."""
    points: list[tuple[float, float]] = []
    for a, b, c, d in curves:
        bend = max(abs(a - 2 * b + c), abs(b - 2 * c + d))
        count = max(1, math.ceil(math.sqrt(6 * bend / (8 * tolerance))))
        t = np.linspace(0.0, 1.0, count, endpoint=False)
        s = 1 - t
        z = s**3 * a + 3 * s * s * t * b + 3 * s * t * t * c + t**3 * d
        points += list(zip(z.real.tolist(), z.imag.tolist(), strict=True))
    return Polygon(points)


def unfold_both(seam: Polygon, lines: list[tuple[complex, complex]], depth: float, allowance: float) -> list[Polygon]:
    """Return the flat piece within its seam and within its mitred cutting line; lengths in mm."""
    cut = seam.buffer(allowance, join_style="mitre", mitre_limit=5)
    return [unfold_knife(line, lines, depth) for line in (seam, cut)]


def unfold_knife(seam: Polygon, lines: list[tuple[complex, complex]], depth: float, beyond: float = 5000.0) -> Polygon:
    """Return the flat piece with knife pleats pointing left, for upright lines from the left, depth in mm.

    Lines are run on `beyond` their ends; less than the way to where they meet, if they fan.
    """
    regions: list[Polygon] = []
    motion = np.array([1.0, 0.0, 0.0, 1.0, 0.0, 0.0])
    left_line: tuple[complex, complex] | None = None
    for top, hem in [*lines, (math.inf + 0j, math.inf + 0j)]:
        last = math.isinf(top.real)
        panel = _between(seam, left_line, None if last else (top, hem), beyond)
        regions.append(_moved(panel, motion))
        if last:
            break
        along = (hem - top) / abs(hem - top)
        shift = depth * along * -1j
        inner = (top + shift, hem + shift)
        strip = _between(seam, (top, hem), inner, beyond)
        regions.append(_moved(strip, motion))
        motion = _after(motion, _reflection(*inner))
        regions.append(_moved(strip, motion))
        motion = _after(motion, _reflection(top, hem))
        left_line = (top, hem)
    return unary_union(regions)


def _between(
    seam: Polygon,
    left: tuple[complex, complex] | None,
    right: tuple[complex, complex] | None,
    beyond: float,
) -> Polygon:
    far = 5000.0
    ring: list[complex] = []
    for line, away in ((left, -far), (right, far)):
        if line is None:
            ends = (complex(away, -far), complex(away, far))
        else:
            along = (line[1] - line[0]) / abs(line[1] - line[0])
            ends = (line[0] - beyond * along, line[1] + beyond * along)
        ring += ends if away < 0 else ends[::-1]
    band = Polygon([(z.real, z.imag) for z in ring])
    return seam.intersection(band)


def _reflection(a: complex, b: complex) -> np.ndarray:
    turn = ((b - a) / abs(b - a)) ** 2
    shift = a - turn * a.conjugate()
    return np.array([turn.real, turn.imag, turn.imag, -turn.real, shift.real, shift.imag])


def _after(outer: np.ndarray, inner: np.ndarray) -> np.ndarray:
    a, b, d, e, x, y = outer
    p, q, r, s, u, v = inner
    return np.array([a * p + b * r, a * q + b * s, d * p + e * r, d * q + e * s, a * u + b * v + x, d * u + e * v + y])


def _moved(region: Polygon, motion: np.ndarray) -> Polygon:
    a, b, d, e, x, y = motion
    return shapely.transform(
        region, lambda xy: np.column_stack((a * xy[:, 0] + b * xy[:, 1] + x, d * xy[:, 0] + e * xy[:, 1] + y))
    )
