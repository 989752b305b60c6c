"""Does a closed outline cross or touch itself? Asked of every drawing, and of every flat piece before it is written."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.overlaps import overlapping
from pleatsvg.geometry.segment import Segment, box_of, cut, halves, turn_between
from pleatsvg.tolerance import NOISE, ON_LINE

_Reals = npt.NDArray[np.float64]
_Points = npt.NDArray[np.complex128]

_FLAT = 1e-3


_DEEPEST = 40


def self_crossing(outline: Outline, loops: bool = True) -> complex | None:
    """Return a point where the outline crosses or touches itself, or None.

    The work grows with the number of segments and of boxes that overlap.

    Args:
        outline: closed; neighbours share their end point exactly.
        loops: whether a segment may have a loop of its own; parts of segments that were looked at need not be again.
    """
    segs = outline.segments
    n = len(segs)
    many = outline.boxes_side_by_side
    looked_at = () if not loops else segs if many is None else [segs[k] for k in _not_forward(outline.controls)]
    for seg in looked_at:
        if len(seg) == 4 and _may_loop(seg):
            spot = _loop(seg)
            if spot is not None:
                return spot
    near = None if many is None else _not_parted(outline.controls, many)
    for j, k in overlapping(outline.boxes) if near is None else near:
        spot = _pair(segs, j, k, n)
        if spot is not None:
            return spot
    return None


def crosses_between(
    outline: Outline,
    some: Sequence[int],
    others: Sequence[int],
    boxes: tuple[Sequence[_Reals], Sequence[_Reals]],
) -> bool:
    """Return whether some segments of an outline cross or touch others of it, where they have no end in common.

    Args:
        outline: closed; neighbours share their end point exactly.
        some, others: the numbers of two sets of its segments.
        boxes: of both, lefts, tops, rights and bottoms of the boxes round them.
    """
    segs = outline.segments
    (left, top, right, bottom), (lefts, tops, rights, bottoms) = boxes
    near = (lefts <= right.max()) & (left.min() <= rights) & (tops <= bottom.max()) & (top.min() <= bottoms)
    for k in near.nonzero()[0].tolist():
        met = (lefts[k] <= right) & (left <= rights[k]) & (tops[k] <= bottom) & (top <= bottoms[k])
        if any(_pair(segs, others[k], some[j], len(segs)) is not None for j in met.nonzero()[0].tolist()):
            return True
    return False


def _not_forward(controls: _Points) -> list[int]:
    # The curves that do not go forward all the way, as `_may_loop` has it.
    legs = controls[:, 1:] - controls[:, :-1]
    chord = (controls[:, 3] - controls[:, 0])[:, None]
    forward = legs.real * chord.real + legs.imag * chord.imag > 0
    found: list[int] = np.logical_not(forward.all(axis=1)).nonzero()[0].tolist()
    return found


def _not_parted(controls: _Points, boxes: Sequence[_Reals]) -> Iterator[tuple[int, int]] | None:
    # Of many segments the pairs with overlapping boxes, in the order in which `overlapping` yields them, without those that
    # `_parted` and `_parted_at` tell apart. None where there are so many that a tree of boxes is the quicker way.
    order = np.argsort(boxes[0], kind="stable")
    left, top, right, bottom = (side[order] for side in boxes)
    n = len(order)
    # Each is open for those after it up to its right end.
    places = np.arange(n)
    counts = np.searchsorted(left, right, "right") - places - 1
    total = int(counts.sum())
    if total > _OPEN * n:
        return None
    earlier = np.repeat(places, counts)
    later = np.arange(total) - np.repeat(np.cumsum(counts) - counts - places - 1, counts)
    met = (bottom[earlier] >= top[later]) & (top[earlier] <= bottom[later])
    earlier, later = earlier[met], later[met]
    one, other = order[earlier], order[later]
    first, second = np.minimum(one, other), np.maximum(one, other)
    round_ = (first == 0) & (second == n - 1)
    first, second = np.where(round_, second, first), np.where(round_, 0, second)
    joined = round_ | (second == first + 1)
    a, b = controls[first], controls[second]
    left_over = np.empty(len(first), bool)
    left_over[joined] = ~_all_parted_at(a[joined], b[joined])
    left_over[~joined] = ~_all_parted(a[~joined], b[~joined])
    rows = left_over.nonzero()[0]
    rows = rows[np.lexsort((earlier[rows], later[rows]))]
    return zip(one[rows].tolist(), other[rows].tolist(), strict=True)


def _all_parted_at(a: _Points, b: _Points) -> npt.NDArray[np.bool_]:
    # `_parted_at` of many pairs, beyond doubt.
    joint = b[:, :1]
    u, v = a[:, :1] - joint, b[:, 3:] - joint
    sizes = np.abs(u) * np.abs(v)
    with np.errstate(all="ignore"):
        way = v / np.abs(v) - u / np.abs(u)
        before, after = a[:, :3] - joint, b[:, 1:] - joint
        ahead = (before.real * way.real + before.imag * way.imag).max(axis=1)
        behind = (after.real * way.real + after.imag * way.imag).min(axis=1)
    found: npt.NDArray[np.bool_] = (sizes[:, 0] > 0) & (np.abs(way[:, 0]) >= 1e-9) & (ahead < -NOISE) & (behind > NOISE)
    return found


def _all_parted(a: _Points, b: _Points) -> npt.NDArray[np.bool_]:
    # `_parted` of many pairs, beyond doubt.
    found = np.zeros(len(a), bool)
    for p, q in ((a, b), (b, a)):
        start, chord = p[:, :1], p[:, 3:] - p[:, :1]
        mine, other = ((z.imag * chord.real - z.real * chord.imag) for z in (p - start, q - start))
        least = NOISE * np.abs(chord[:, 0])
        found |= (mine.max(axis=1) < other.min(axis=1) - least) | (other.max(axis=1) < mine.min(axis=1) - least)
    return found


_OPEN = 100
"""Boxes open at once, all in all, up to which every two of them are compared."""


def _pair(segs: tuple[Segment, ...], j: int, k: int, n: int) -> complex | None:
    first, second = (j, k) if j < k else (k, j)
    if n == 2:
        return _meet_twice(segs[first], segs[second])
    joint: complex | None = None
    if second == first + 1:
        joint = segs[second][0]
    elif first == 0 and second == n - 1:
        first, second = second, first
        joint = segs[second][0]
    a, b = segs[first], segs[second]
    # Most pairs are told apart at once; their boxes are known to overlap.
    if _parted(a, b) if joint is None else _parted_at(a, b, joint):
        return None
    return _meet(a, b, joint, 0)


def _meet_twice(a: Segment, b: Segment) -> complex | None:
    # Two segments close the outline by themselves: they share both ends, so each half is compared on its own.
    (a1, a2), (b1, b2) = halves(a), halves(b)
    for p, q, joint in ((a2, b1, b[0]), (b2, a1, a[0]), (a1, b1, None), (a2, b2, None)):
        spot = _meet(p, q, joint, 0)
        if spot is not None:
            return spot
    return None


def _may_loop(seg: Segment) -> bool:
    # A curve whose control polygon turns by less than half a round can have no loop.
    a, b, c, d = seg
    back = (d - a).conjugate()
    if ((b - a) * back).real > 0 and ((c - b) * back).real > 0 and ((d - c) * back).real > 0:
        return False  # it goes forward all the way
    legs = [leg for leg in (b - a, c - b, d - c) if abs(leg) > ON_LINE]
    return sum(turn_between(p, q) for p, q in pairwise(legs)) >= 180


def _loop(seg: Segment) -> complex | None:
    pieces = [cut(seg, k / 8, (k + 1) / 8) for k in range(8)]
    for i in range(8):
        for j in range(i + 1, 8):
            spot = _meet(pieces[i], pieces[j], pieces[j][0] if j == i + 1 else None, 0)
            if spot is not None:
                return spot
    return None


def _meet(a: Segment, b: Segment, joint: complex | None, depth: int) -> complex | None:
    """Return a point common to both, other than `joint`, the end of `a` and start of `b`."""
    left_a, top_a, right_a, bottom_a = box_of(a)
    left_b, top_b, right_b, bottom_b = box_of(b)
    if left_a > right_b or left_b > right_a or top_a > bottom_b or top_b > bottom_a:
        return None
    if _parted(a, b) if joint is None else _parted_at(a, b, joint):
        return None
    size = max(right_a - left_a, bottom_a - top_a, right_b - left_b, bottom_b - top_b)
    if size < NOISE or depth > _DEEPEST:
        return None if joint is not None else (a[0] + b[0]) / 2
    flat_a, flat_b = _is_flat(a), _is_flat(b)
    if joint is None and flat_a and flat_b:
        return _chords_meet(a, b)
    if joint is not None and flat_a and flat_b:
        # Two straight runs from one point have no other point in common unless they lie on one another.
        p, q = a[0] - joint, b[-1] - joint
        inward = (p * q.conjugate()).real > 0 and abs((p * q.conjugate()).imag) < ON_LINE * max(abs(p), abs(q))
        return joint if inward else None
    (a1, a2), (b1, b2) = halves(a), halves(b)
    for p_half, q_half, here in ((a2, b1, joint), (a1, b1, None), (a2, b2, None), (a1, b2, None)):
        spot = _meet(p_half, q_half, here, depth + 1)
        if spot is not None:
            return spot
    return None


def _parted_at(a: Segment, b: Segment, joint: complex) -> bool:
    # A line through the joint, all of `a` strictly on one side and all of `b` on the other, leaves them no other point.
    u, v = a[0] - joint, b[-1] - joint
    if not abs(u) or not abs(v):
        return False
    direction = v / abs(v) - u / abs(u)
    if abs(direction) < 1e-9:
        return False
    flip = direction.conjugate()
    for z in a[:-1]:
        if not ((z - joint) * flip).real < 0:
            return False
    return min([((z - joint) * flip).real for z in b[1:]]) > 0


def _parted(a: Segment, b: Segment) -> bool:
    # Hulls on different sides of the chord of one of them cannot meet.
    for p, q in ((a, b), (b, a)):
        chord = p[-1] - p[0]
        if not chord:
            continue
        flip = chord.conjugate()
        mine = [((z - p[0]) * flip).imag for z in p]
        other = [((z - p[0]) * flip).imag for z in q]
        if max(mine) < min(other) or max(other) < min(mine):
            return True
    return False


def _is_flat(seg: Segment) -> bool:
    if len(seg) == 2:
        return True
    a, b, c, d = seg
    return abs(b - (2 * a + d) / 3) < _FLAT and abs(c - (a + 2 * d) / 3) < _FLAT


def _chords_meet(a: Segment, b: Segment) -> complex | None:
    r, s, w = a[-1] - a[0], b[-1] - b[0], b[0] - a[0]
    det = (r.conjugate() * s).imag
    if abs(det) < 1e-18:
        return a[0] if abs((r.conjugate() * w).imag) <= ON_LINE * abs(r) else None
    t = (w.conjugate() * s).imag / det
    u = (w.conjugate() * r).imag / det
    return a[0] + t * r if -1e-9 <= t <= 1 + 1e-9 and -1e-9 <= u <= 1 + 1e-9 else None
