"""Which of many boxes overlap, without looking at every two of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pleatsvg.geometry.segment import Box

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
