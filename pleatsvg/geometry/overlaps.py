"""Which of many boxes overlap, without looking at every two of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Box, point_at

_MANY = 200
"""From so many boxes on a tree is sooner asked than built; below, the boxes still open from left to right are few."""


def overlapping(boxes: Sequence[Box]) -> Iterator[tuple[int, int]]:
    """Yield the numbers of every two boxes that meet: of each from left to right, those that begin before it.

    Of a few, the ones still open are compared from left to right. Of many, too many may be open at once, as along an
    upright edge of ten thousand nodes: there a tree of boxes is asked at once. Both yield the same pairs in the same order.
    """
    order = sorted(range(len(boxes)), key=lambda k: boxes[k][0])
    if len(boxes) >= _MANY:
        from pleatsvg.geometry.nearest import Tree  # of no use to a piece of a few segments

        place = [0] * len(boxes)
        for at, k in enumerate(order):
            place[k] = at
        placed = [(place[j], place[k]) for j, k in Tree(boxes).pairs()]
        for later, earlier in sorted([(max(two), min(two)) for two in placed]):
            yield order[earlier], order[later]
        return
    open_now: list[int] = []
    for k in order:
        left, top, _, bottom = boxes[k]
        still: list[int] = []
        for j in open_now:
            box = boxes[j]
            if box[2] < left:
                continue
            still.append(j)
            if box[1] <= bottom and box[3] >= top:
                yield j, k
        still.append(k)
        open_now = still


def nearer_than(gap: float, outlines: Sequence[Outline], moved_by: Sequence[complex]) -> set[int]:
    """Return which outlines but the last lie over the last one, or nearer to it than a gap.

    Args:
        gap: mm.
        outlines: closed, of separate parts.
        moved_by: how far each is shifted first, in mm.
    """
    last = len(outlines) - 1
    # Most parts of a long row lie nowhere near the last one; what is asked of segments is asked of the few that do.
    left, top, right, bottom = _grown(outlines[-1].box, moved_by[-1], 2 * gap)
    near = [
        k
        for k in range(last)
        for box in [_grown(outlines[k].box, moved_by[k], 0.0)]
        if box[0] <= right and left <= box[2] and box[1] <= bottom and top <= box[3]
    ]
    some = [*near, last]
    segments = [(k, seg) for k in some for seg in outlines[k].segments]
    boxes = [_grown(box, moved_by[k], gap) for k in some for box in outlines[k].boxes]
    found: set[int] = set()
    for j, k in overlapping(boxes):
        first, second = sorted((segments[j], segments[k]), key=lambda row: row[0])
        if second[0] != last or first[0] == last or first[0] in found:
            continue
        if _apart(_chords(first[1], moved_by[first[0]]), _chords(second[1], moved_by[last])) < gap:
            found.add(first[0])
    for k in near:
        one, between = outlines[k], moved_by[last] - moved_by[k]
        if outlines[-1].holds(one.segments[0][0] - between) or one.holds(outlines[-1].segments[0][0] + between):
            found.add(k)
    return found


def _grown(box: Box, by: complex, gap: float) -> Box:
    left, top, right, bottom = box
    return left + by.real - gap, top + by.imag - gap, right + by.real + gap, bottom + by.imag + gap


def _chords(seg: tuple[complex, ...], by: complex) -> list[tuple[complex, complex]]:
    count = 1 if len(seg) == 2 else 8
    return list(pairwise([point_at(seg, k / count) + by for k in range(count + 1)]))


def _apart(some: Sequence[tuple[complex, complex]], others: Sequence[tuple[complex, complex]]) -> float:
    # How far two rows of straight strokes lie apart; 0 where they cross.
    return min(
        [0.0 if _cross(p, q) else min(_off(z, q) for z in p) for p in some for q in others]
        + [_off(z, p) for p in some for q in others for z in q]
    )


def _off(z: complex, stroke: tuple[complex, complex]) -> float:
    way = stroke[1] - stroke[0]
    share = min(1.0, max(0.0, ((z - stroke[0]) * way.conjugate()).real / abs(way) ** 2)) if way else 0.0
    return abs(stroke[0] + share * way - z)


def _cross(p: tuple[complex, complex], q: tuple[complex, complex]) -> bool:
    def parted(a: tuple[complex, complex], b: tuple[complex, complex]) -> bool:
        flip = (a[1] - a[0]).conjugate()
        return ((b[0] - a[0]) * flip).imag * ((b[1] - a[0]) * flip).imag > 0

    return not parted(p, q) and not parted(q, p)
