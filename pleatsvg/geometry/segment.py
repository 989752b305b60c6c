"""One segment of a seam: a straight line (two points) or a cubic curve (four), as a tuple of complex numbers.

Arcs and quadratics became cubics on reading, so the whole program knows these two. Points are in millimetres, a
place on a segment is a share `t` from 0 to 1.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import chain, pairwise

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.motion import bearing
from pleatsvg.tolerance import HALVING_NOISE, ON_LINE, SAME_SPOT

Segment = tuple[complex, ...]
"""Two points for a line, four for a cubic: frozen, as light as Python has them."""


Box = tuple[float, float, float, float]
"""Left, top, right and bottom in mm."""


def point_at(seg: Segment, t: float) -> complex:
    """Return the point at share `t`. The ends come back bit for bit."""
    if t <= 0:
        return seg[0]
    if t >= 1:
        return seg[-1]
    s = 1 - t
    if len(seg) == 2:
        return s * seg[0] + t * seg[1]
    a, b, c, d = seg
    return s * s * s * a + 3 * s * t * (s * b + t * c) + t * t * t * d


def heading(seg: Segment, t: float) -> complex:
    """Return the direction of travel at share `t`, of length 1; handles drawn back into their ends are allowed for."""
    if len(seg) == 2:
        d = seg[1] - seg[0]
        return d / abs(d)
    a, b, c, e = seg
    if t == 0:
        d = b - a
    elif t == 1:
        d = e - c
    else:
        s = 1 - t
        d = s * s * (b - a) + 2 * s * t * (c - b) + t * t * (e - c)
    size = abs(d)
    if size > ON_LINE:
        return d / size
    steps = (b - a, c - a, e - a) if t < 0.5 else (e - c, e - b, e - a)
    for step in steps:
        if abs(step) > ON_LINE:
            return step / abs(step)
    return 1 + 0j


def cut(seg: Segment, t0: float, t1: float) -> Segment:
    """Return the part from share `t0` to share `t1`, reversed when `t1` is the smaller (de Casteljau, by blossoms)."""
    if t0 == 0 and t1 == 1:
        return seg
    if t0 == 1 and t1 == 0:
        return seg[::-1]
    if len(seg) == 2:
        a, d = seg
        start = a if t0 <= 0 else d if t0 >= 1 else (1 - t0) * a + t0 * d
        return (start, a if t1 <= 0 else d if t1 >= 1 else (1 - t1) * a + t1 * d)
    a, b, c, d = seg
    if t0 == 0 or t1 == 0:
        # One end stays: half the work, and the commoner case.
        t = t1 if t0 == 0 else t0
        s = 1 - t
        ab, bc, cd = s * a + t * b, s * b + t * c, s * c + t * d
        abc, bcd = s * ab + t * bc, s * bc + t * cd
        end = d if t == 1 else s * abc + t * bcd
        return (a, ab, abc, end) if t0 == 0 else (end, abc, ab, a)
    if t0 == 1 or t1 == 1:
        t = t1 if t0 == 1 else t0
        s = 1 - t
        bc, cd = s * b + t * c, s * c + t * d
        bcd = s * bc + t * cd
        start = s * (s * (s * a + t * b) + t * bc) + t * bcd
        return (d, cd, bcd, start) if t0 == 1 else (start, bcd, cd, d)
    s0, s1 = 1 - t0, 1 - t1
    ab0, bc0, cd0 = s0 * a + t0 * b, s0 * b + t0 * c, s0 * c + t0 * d
    ab1, bc1, cd1 = s1 * a + t1 * b, s1 * b + t1 * c, s1 * c + t1 * d
    p00, q00 = s0 * ab0 + t0 * bc0, s0 * bc0 + t0 * cd0
    p01, q01 = s1 * ab0 + t1 * bc0, s1 * bc0 + t1 * cd0
    p11, q11 = s1 * ab1 + t1 * bc1, s1 * bc1 + t1 * cd1
    return (s0 * p00 + t0 * q00, s1 * p00 + t1 * q00, s1 * p01 + t1 * q01, s1 * p11 + t1 * q11)


def evenly(segments: Sequence[Segment]) -> npt.NDArray[np.complex128]:
    """Return the control points of segments, in rows of four; of a straight one those at which it is walked evenly."""
    four = segments
    if any(len(seg) == 2 for seg in segments):
        four = [
            seg if len(seg) == 4 else (seg[0], (2 * seg[0] + seg[1]) / 3, (seg[0] + 2 * seg[1]) / 3, seg[1])
            for seg in segments
        ]
    return np.fromiter(chain.from_iterable(four), complex, 4 * len(four)).reshape(-1, 4)


def halves(seg: Segment) -> tuple[Segment, Segment]:
    """Return both halves of a segment, just as `cut` makes them, but with one walk through the points."""
    if len(seg) == 2:
        middle = (seg[0] + seg[1]) * _HALF
        return (seg[0], middle), (middle, seg[1])
    a, b, c, d = seg
    ab, bc, cd = (a + b) * _HALF, (b + c) * _HALF, (c + d) * _HALF
    abc, bcd = (ab + bc) * _HALF, (bc + cd) * _HALF
    middle = (abc + bcd) * _HALF
    return (a, ab, abc, middle), (middle, bcd, cd, d)


_HALF = 0.5 + 0j
"""Complex like the points, so that it need not be turned into such each time."""


_GAUSS_8 = (
    (0.1834346424956498, 0.3626837833783620),
    (0.5255324099163290, 0.3137066458778873),
    (0.7966664774136267, 0.2223810344533745),
    (0.9602898564975363, 0.1012285362903763),
)


_GAUSS_16 = (
    (0.0950125098376374, 0.1894506104550685),
    (0.2816035507792589, 0.1826034150449236),
    (0.4580167776572274, 0.1691565193950025),
    (0.6178762444026438, 0.1495959888165767),
    (0.7554044083550030, 0.1246289712555339),
    (0.8656312023878318, 0.0951585116824928),
    (0.9445750230732326, 0.0622535239386479),
    (0.9894009349916499, 0.0271524594117541),
)
"""Gauss-Legendre nodes and weights for 8 and 16 points (Abramowitz and Stegun, table 25.4)."""


_Rule = tuple[tuple[float, complex, complex, complex], ...]
"""For each point of a Gauss rule its weight, and those that the three steps of a cubic have in its speed there.

The latter are complex like the steps that they are multiplied with, which saves turning them into such each time.
"""


def _rule(nodes: tuple[tuple[float, float], ...]) -> _Rule:
    shares = [((1 + sign * node) / 2, weight / 2) for node, weight in nodes for sign in (-1, 1)]
    return tuple(
        [(weight, complex(3 * (1 - t) * (1 - t)), complex(6 * t * (1 - t)), complex(3 * t * t)) for t, weight in shares]
    )


_RULE_8, _RULE_16 = _rule(_GAUSS_8), _rule(_GAUSS_16)

SPEED_RULE = _RULE_16
"""For whoever measures many cubics at once: the weight of each of 16 points, and those of a cubic's three steps there."""


def length_of(seg: Segment, t0: float = 0.0, t1: float = 1.0) -> float:
    """Return the length between two shares in mm, within 1e-9 for any curve that a hand would draw.

    A 16-point Gauss rule, checked by that of 8 points where the curve is not gentle; a curve on which the two disagree is
    halved, again and again at a cusp.
    """
    part = seg if t0 == 0 and t1 == 1 else cut(seg, t0, t1)
    if len(part) == 2:
        return abs(part[1] - part[0])
    return _length(part, 0)


def _length(seg: Segment, depth: int) -> float:
    a, b, c, d = seg
    u, v, w = b - a, c - b, d - c
    length = sum([weight * abs(p * u + q * v + r * w) for weight, p, q, r in _RULE_16])
    if 6.5 * abs(w - u) + 10.6 * abs(u - 2 * v + w) < abs(u + 2 * v + w):
        # Gentle. With x from -1 to 1 along the curve and m = u + 2 v + w its speed is that at the middle times
        # |1 + 2 x (w - u) / m + x^2 (u - 2 v + w) / m|. For every complex x up to 3.25 away what is added to the 1 stays
        # below 1, so the speed is analytic and below twice that at the middle in an ellipse with the half axes' sum 6.3.
        # There the 8 points miss the length by less than 64/15 * 6.3^-14 / (1 - 6.3^-2) of it, 3e-11 (Trefethen,
        # Approximation Theory and Approximation Practice, theorem 19.3): they could only agree.
        return length
    rough = sum([weight * abs(p * u + q * v + r * w) for weight, p, q, r in _RULE_8])
    if abs(length - rough) <= 1e-10 * (1 + length) or depth > 24:
        return length
    first, second = halves(seg)
    return _length(first, depth + 1) + _length(second, depth + 1)


def length_by_steps(u: complex, v: complex, w: complex) -> float:
    """Return the length in mm of the cubic whose control points lie these three steps apart, as `length_of` does: within 3e-11
    of it from 8 points where the curve is gentle."""
    if 6.5 * abs(w - u) + 10.6 * abs(u - 2 * v + w) < abs(u + 2 * v + w):  # cf. `_length`
        return sum([weight * abs(p * u + q * v + r * w) for weight, p, q, r in _RULE_8])
    return _length((0j, u, u + v, u + v + w), 0)


def lengths_of(parts: Sequence[Segment]) -> list[float]:
    """Return the lengths of many segments in mm, but for the last digit as `length_of` does of each; by the dozen they take a
    tenth of the time."""
    curves = [k for k, seg in enumerate(parts) if len(seg) == 4]
    if len(curves) < _MANY:
        return [abs(seg[1] - seg[0]) if len(seg) == 2 else _length(seg, 0) for seg in parts]
    points = chain.from_iterable([parts[k] for k in curves])
    a, b, c, d = np.fromiter(points, complex, 4 * len(curves)).reshape(-1, 4).T
    u, v, w = b - a, c - b, d - c
    lengths = _WEIGHTS @ np.abs(_STEPS @ np.stack((u, v, w)))
    gentle = 6.5 * np.abs(w - u) + 10.6 * np.abs(u - 2 * v + w) < np.abs(u + 2 * v + w)  # cf. `_length`
    found = [abs(seg[-1] - seg[0]) for seg in parts]
    for k, length, plain in zip(curves, lengths.tolist(), gentle.tolist(), strict=True):
        found[k] = length if plain else _length(parts[k], 0)
    return found


_MANY = 12
"""Curves from which on they are sooner measured all at once."""

_WEIGHTS, _STEPS = np.array([w for w, *_ in SPEED_RULE]), np.array([steps for _, *steps in SPEED_RULE])
"""The same rule side by side."""


def roots_of(weights: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Return for many polynomials in Bezier form, each with four weights that change sign once, the share where they come to
    nothing; no number where that is not found at once."""
    a, b, c, d = weights.T
    a1, a2, a3 = 3 * (b - a), 3 * (a - 2 * b + c), d - a + 3 * (b - c)
    b2, b3 = 2 * a2, 3 * a3
    with np.errstate(all="ignore"):
        t = a / (a - d)
        for _ in range(8):  # Newton from the chord
            step = (((a3 * t + a2) * t + a1) * t + a) / ((b3 * t + b2) * t + a1)
            t = t - step
            if np.fmax.reduce(np.abs(step), initial=0.0) < 1e-11:
                break  # the next step would be its square
        s = 1 - t
        height = s * s * s * a + 3 * s * t * (s * b + t * c) + t * t * t * d
        found: npt.NDArray[np.float64] = np.where((np.abs(height) < 1e-11) & (t > 0) & (t < 1), t, np.nan)
    return found


def share_at_length(seg: Segment, distance: float) -> float:
    """Return the share at which `distance` mm of the segment have been walked (0 to its length)."""
    whole = length_of(seg)
    if distance <= 0 or whole == 0:
        return 0.0
    if distance >= whole:
        return 1.0
    if len(seg) == 2:
        return distance / whole
    low, high, t = 0.0, 1.0, distance / whole
    for _ in range(60):
        miss = length_of(seg, 0.0, t) - distance
        if abs(miss) < 1e-10:
            break
        low, high = (low, t) if miss > 0 else (t, high)
        a, b, c, d = seg
        s = 1 - t
        speed = abs(3 * (s * s * (b - a) + 2 * s * t * (c - b) + t * t * (d - c)))
        step = t - miss / speed if speed > 0 else -1.0
        t = step if low < step < high else (low + high) / 2
    return t


def heights(seg: Segment, origin: complex, along: complex) -> tuple[float, ...]:
    """Return how far each point of the segment lies from the line through `origin` along the unit vector `along`.

    Positive is to the right of travel as seen on the page (y down), mm. As the Bezier weights of a polynomial they
    bound the curve's own distance from the line.
    """
    flip = along.conjugate()
    if len(seg) == 2:
        a, d = seg
        return ((a - origin) * flip).imag, ((d - origin) * flip).imag
    a, b, c, d = seg
    return (
        ((a - origin) * flip).imag,
        ((b - origin) * flip).imag,
        ((c - origin) * flip).imag,
        ((d - origin) * flip).imag,
    )


def sign_changes(weights: Sequence[float]) -> list[float]:
    """Return the shares strictly between 0 and 1 at which a polynomial in Bezier form changes sign, in order.

    The weights at the ends must be exactly 0 where the curve begins or ends on the line: such an end is divided
    out, so that it is never found a second time by a hair. A touch without crossing is no change of sign.
    """
    w = _without_end_roots(weights)
    changes = variations(w)
    if changes == 0:
        return []
    if changes == 1:
        return [single_root(w)]
    found: list[float] = []
    _isolate(w, 0.0, 1.0, found)
    return found


def _without_end_roots(w: Sequence[float]) -> Sequence[float]:
    # v(t) = t q(t) where the first weight is 0, and (1 - t) q(t) where the last is: what is left are q's weights.
    while len(w) > 1 and w[0] == 0:
        n = len(w) - 1
        w = [w[i + 1] * n / (i + 1) for i in range(n)]
    while len(w) > 1 and w[-1] == 0:
        n = len(w) - 1
        w = [w[i] * n / (n - i) for i in range(n)]
    return w


def variations(w: Sequence[float]) -> int:
    """Return how often the weights change sign, zeros left out: a bound on the roots (Descartes), exact when 0 or 1."""
    count, last = 0, 0.0
    for value in w:
        if value:
            if last and (value > 0) != (last > 0):
                count += 1
            last = value
    return count


def _isolate(w: Sequence[float], low: float, high: float, found: list[float]) -> None:
    # Descartes' rule for Bezier weights: no change of sign, no root; one change, one root; more, halve and look again.
    w = _without_end_roots(w)
    changes = variations(w)
    if changes == 0:
        return
    if changes == 1:
        found.append(low + (high - low) * single_root(w))
        return
    if high - low < SAME_SPOT:
        if changes % 2:
            found.append((low + high) / 2)
        return
    left, right = [w[0]], [w[-1]]
    row = w
    while len(row) > 1:
        row = [(row[i] + row[i + 1]) / 2 for i in range(len(row) - 1)]
        left.append(row[0])
        right.append(row[-1])
    right.reverse()
    if abs(right[0]) <= HALVING_NOISE * max([abs(value) for value in w]):
        left[-1] = right[0] = 0.0  # a root right where the curve was halved, but for rounding
    middle = (low + high) / 2
    _isolate(left, low, middle, found)
    if right[0] == 0 and _last_sign(left) != _first_sign(right):
        found.append(middle)
    _isolate(right, middle, high, found)


def _last_sign(w: list[float]) -> bool:
    return next((value > 0 for value in reversed(w) if value), False)


def _first_sign(w: list[float]) -> bool:
    return next((value > 0 for value in w if value), False)


def clear_across(w: Sequence[float]) -> bool:
    """Return whether heights over a line lead from one side of it to the other, the ends well off it, and cross it once."""
    first, last = w[0], w[-1]
    if first > ON_LINE:
        return last < -ON_LINE and (len(w) == 2 or not w[1] < 0 < w[2])
    return first < -ON_LINE and last > ON_LINE and (len(w) == 2 or not w[1] > 0 > w[2])


def single_root(w: Sequence[float]) -> float:
    """Return the one root of a polynomial in Bezier form whose weights change sign once and are not 0 at the ends."""
    # Newton from the chord, kept inside a bracket that shrinks: sure, and 3 or 4 steps on a gentle seam.
    first, last = w[0], w[-1]
    if len(w) == 2:
        return first / (first - last)
    if len(w) == 4:
        a0, a1, a2, a3 = first, 3 * (w[1] - first), 3 * (first - 2 * w[1] + w[2]), last - first + 3 * (w[1] - w[2])
    else:
        a0, a1, a2, a3 = first, 2 * (w[1] - first), first - 2 * w[1] + last, 0.0
    b3, b2 = 3 * a3, 2 * a2
    rising = last > 0
    low, high = 0.0, 1.0
    t = first / (first - last)
    for _ in range(100):
        value = ((a3 * t + a2) * t + a1) * t + a0
        if value == 0:
            return t
        if (value > 0) == rising:
            high = t
        else:
            low = t
        slope = (b3 * t + b2) * t + a1
        step = t - value / slope if slope else -1.0
        if not low < step < high:
            step = (low + high) / 2
            if not low < step < high:
                return t
        elif -1e-11 < step - t < 1e-11:
            return step  # the next step would be its square
        t = step
    return t


def single_roots(weights: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Return the same of many polynomials with four weights each, which stand in columns; no number where Newton's steps alone
    do not lead there."""
    first, second, third, last = weights
    a0, a1, a2, a3 = first, 3 * (second - first), 3 * (first - 2 * second + third), last - first + 3 * (second - third)
    b3, b2 = 3 * a3, 2 * a2
    with np.errstate(all="ignore"):
        t = first / (first - last)
        found = np.full(len(t), np.nan)
        low, high = np.zeros(len(t)), np.ones(len(t))
        for _ in range(12):
            value = ((a3 * t + a2) * t + a1) * t + a0
            beyond = (value > 0) == (last > 0)
            low, high = np.where(beyond, low, t), np.where(beyond, t, high)
            step = t - value / ((b3 * t + b2) * t + a1)
            there = value == 0
            step = np.where(there, t, step)
            near = there | ((low < step) & (step < high) & (np.abs(step - t) < 1e-11))
            found = np.where(near & np.isnan(found), step, found)
            t = np.where((low < step) & (step < high), step, np.nan)
            if not np.isfinite(t[np.isnan(found)]).any():
                break
    return found


def turn_between(a: complex, b: complex) -> float:
    """Return the angle in degrees, 0 to 180, between two directions."""
    return abs(math.degrees(bearing(b / a))) if a and b else 0.0


def box_of(points: Sequence[complex]) -> Box:
    """Return the box round some points; those of a segment hold the curve between them."""
    if len(points) > 4:
        xs = sorted([z.real for z in points])  # sooner done than to go through them for the least and for the most
        ys = sorted([z.imag for z in points])
        return xs[0], ys[0], xs[-1], ys[-1]
    first = points[0]
    left = right = first.real
    top = bottom = first.imag
    for z in points[1:]:
        x, y = z.real, z.imag
        if x < left:
            left = x
        elif x > right:
            right = x
        if y < top:
            top = y
        elif y > bottom:
            bottom = y
    return left, top, right, bottom


def extent_of(seg: Segment) -> tuple[float, float, float, float]:
    """Return (left, top, right, bottom) of the segment itself, in its own units: the ends and where it turns back."""
    spots = [seg[0], seg[-1]]
    if len(seg) == 4:
        steps = [b - a for a, b in pairwise(seg)]
        for slopes in ([step.real for step in steps], [step.imag for step in steps]):
            spots += [point_at(seg, t) for t in sign_changes(slopes)]
    return box_of(tuple(spots))
