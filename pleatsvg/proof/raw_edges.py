"""The raw edges of every folded layer, and how far each lies from the finished seam."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from pleatsvg.geometry.motion import moved
from pleatsvg.geometry.nearest import FoundOutline, Nearest
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, cut, length_of, point_at
from pleatsvg.proof.figures import Most
from pleatsvg.proof.folded_pass import FoldedPass, Round, where
from pleatsvg.tolerance import FOLD_BACK, FOLD_BACK_CUT, GROSS

SURE = FOLD_BACK / 10
"""mm. A bound on an edge's miss below this is taken as its miss; above it the edge is measured."""


_STEP = 1.0
"""mm between the places at which an edge is measured."""


_LARGE = 5_000.0
"""mm. On a piece larger than this they lie apart in proportion, so that the work for one edge does not grow with its size:
a piece of 50 m is looked at every centimetre, and a curve of such a size leaves its neighbour places by nothing there."""


_MOST_STEPS = 2_000
"""Places at which one edge is measured; an edge longer than as many millimetres is far off already."""


_ENOUGH_STEPS = 500
"""The same on a piece of 20 m and more, where one curve is as long as a whole piece else."""


class RawEdge(NamedTuple):
    """A raw edge, flat and folded, with its layer and where on the outline it begins and ends."""

    flat: Segment
    folded: Segment
    layer: int
    start: float
    end: float
    miss: float
    at: complex
    matched: bool


def raw_edges(done: FoldedPass, number: int, outline: FoundOutline) -> list[RawEdge]:
    layer = done.layers[number]
    free = Nearest(done.free) if done.free else None
    found: list[RawEdge] = []
    for run in layer.runs:
        for flat in run:
            if free is not None and all(free.of(point_at(flat, t)).away <= FOLD_BACK for t in (0.0, 0.5, 1.0)):
                continue
            if done.round_ is not None:
                found += _all_round(flat, moved(flat, layer.motion), number, outline, done.round_)
                continue
            found.append(matched_edge(flat, moved(flat, layer.motion), number, outline))
    return found


def _all_round(flat: Segment, folded: Segment, layer: int, outline: FoundOutline, round_: Round) -> list[RawEdge]:
    # Cloth beyond an end of the round lies, all round, on the cloth within: there its edge is held against the seam.
    found: list[RawEdge] = []
    for a, b in round_.parts(folded):
        part, own = cut(folded, a, b), cut(flat, a, b)
        if abs(part[-1] - part[0]) <= SURE and length_of(part) <= SURE:
            continue
        # Of a fitted ring that closes to a steep cone, edges of one round may all but lie on another: all of one is asked.
        spots = [round_.images(point_at(part, t)) for t in (0.0, 0.5, 1.0)]
        off = [max([outline.nearest.of(images[k]).away for images in spots]) for k in (0,)]
        if off[0] > SURE:
            off += [max([outline.nearest.of(images[k]).away for images in spots]) for k in (1, 2)]
        there = min(range(len(off)), key=off.__getitem__)
        image = tuple([round_.images(z)[there] for z in part])
        found.append(matched_edge(own, image, layer, outline))
    return found


def matched_edge(flat: Segment, folded: Segment, layer: int, outline: FoundOutline) -> RawEdge:
    n = len(outline)
    middle = outline.nearest.of(point_at(folded, 0.5))
    seg = outline.segments[middle.segment]
    t0 = outline.nearest.share_on(middle.segment, folded[0])
    t1 = outline.nearest.share_on(middle.segment, folded[-1])
    if t0 != t1:
        expected = cut(seg, t0, t1)
        bound = max([abs(z - w) for z, w in zip(_cubic(folded), _cubic(expected), strict=True)])
        if bound <= SURE:
            return RawEdge(flat, folded, layer, middle.segment + t0, middle.segment + t1, bound, flat[0], True)
    ends = [outline.nearest.of(z) for z in (folded[0], folded[-1])]
    start, end = (spot.segment + spot.share for spot in ends)
    forward = (end - start) % n
    length = length_of(folded)
    ways = [start + forward, start + forward - n]
    end = min(ways, key=lambda way: abs(outline.distance(start, way) - length))
    worst, at = 0.0, 0.0
    # What is off by a finger's breadth is told from a few points: of a piece spoilt all over, all take too long.
    for looked_at in (0.0, length):
        for t in samples(folded, looked_at, outline):
            away = outline.nearest.of(point_at(folded, t)).away
            if not away <= worst:
                worst, at = away, t
        if worst > GROSS:
            break
    return RawEdge(flat, folded, layer, start, end, worst, point_at(flat, at), False)


def _cubic(seg: Segment) -> Segment:
    return seg if len(seg) == 4 else (seg[0], (2 * seg[0] + seg[1]) / 3, (seg[0] + 2 * seg[1]) / 3, seg[1])


def larger_than_a_room(outline: Outline) -> float:
    """Return how many times larger than _LARGE a piece is, at least 1: by so much its places are farther apart."""
    left, top, right, bottom = outline.box
    return max(1.0, max(right - left, bottom - top) / _LARGE)


def samples(seg: Segment, length: float, outline: Outline) -> list[float]:
    """Return the shares at which a segment of a piece is measured: every millimetre of `length`; of a piece over 5 m, as many
    as there would be if it were drawn smaller."""
    larger = larger_than_a_room(outline)
    most = max(_ENOUGH_STEPS, int(_MOST_STEPS / larger))
    count = max(8, min(most, math.ceil(length / (_STEP * larger))))
    return [k / count for k in range(count + 1)]


def corner_between(flat: FoundOutline, low: float, high: float, free: Nearest | None) -> float:
    """Return a place from low to high on the cutting line: its node there that is nearest to a free edge, if there is one."""
    nodes = range(math.ceil(low), math.floor(high) + 1)
    if free is None or not nodes:
        return high
    return float(min(nodes, key=lambda node: free.of(flat.point(node)).away))


def see_cut_runs(
    most: Most,
    runs: Iterable[Sequence[Segment]],
    done: FoldedPass,
    number: int,
    finished: FoundOutline,
    free: Nearest | None,
) -> None:
    """See how far the runs of a cutting line on one layer, folded, miss the finished one; free edges are passed over.

    Args:
        most: what sees it.
        runs: flat, on the layer.
        done: the pass that is folded.
        number: of the layer.
        finished: the finished cutting line.
        free: edges that leave it by design, flat, or None.
    """
    motion = done.layers[number].motion
    for run in runs:
        for seg in run:
            if length_of(seg) < FOLD_BACK:
                continue
            if free is not None and all(free.of(point_at(seg, t)).away <= FOLD_BACK_CUT for t in (0.0, 0.5, 1.0)):
                continue
            edge = matched_edge(seg, moved(seg, motion), number, finished)
            most.see(edge.miss, f"the cutting line of {done.layer_words(number)}, {where(edge.at)},", FOLD_BACK_CUT)
