"""Once round the flat piece: which layer takes which way along the outline, and where that comes to lie."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import NamedTuple

from pleatsvg.motion import STAY, Motion, moved
from pleatsvg.outline import Outline
from pleatsvg.segment import Segment, cut
from pleatsvg.slash import Chord
from pleatsvg.tolerance import SAME_SPOT

Origin = tuple[int, float, float]
"""The number of a segment of the finished outline, and the shares between which it is walked (backwards where the first is
the larger). The fold edge is numbered after the outline's last; what is no part of it has -1."""

NOWHERE: Origin = (-1, 0.0, 1.0)


class FlatEdge(NamedTuple):
    """One segment of the flat seam: its points (mm), the layer of cloth it bounds, and the part of the seam it is."""

    points: Segment
    layer: int
    origin: Origin


flat_edge: Callable[[tuple[Segment, int, Origin]], FlatEdge] = partial(tuple.__new__, FlatEdge)
"""Makes a flat edge of its three parts in one go: a piece has so many that naming them one by one takes its time."""


class Leg(NamedTuple):
    """A way along an outline, from place to place, that one layer takes; or (`fold`) along the fold edge itself.

    `join` says that the line is no fold edge but a crease at which the flat piece is parted. A `path` is a way of its own,
    off the outline, as at the top of a kick pleat; `flat` says that it is given as it lies on the flat piece.
    """

    start: float
    end: float
    layer: int
    fold: Chord | None = None
    join: bool = False
    path: tuple[Segment, ...] = ()
    flat: bool = False


def legs_of(
    outline: Outline,
    chords: list[Chord],
    first: Chord | None,
    last: Chord | None,
    paths: Mapping[int, Sequence[tuple[Segment, ...]]] | None = None,
) -> list[Leg]:
    """Return the legs once round, from the hem end of the first crease on.

    Args:
        outline: walked so that the creases' top ends ascend in place.
        chords: the fold lines on the finished piece, in order.
        first, last: the fold edge, where it lies before or after them all.
        paths: for the first crease of each kick pleat, the ways along its top of the five layers from there on; the first
            and the last of these layers go on along the outline.
    """
    paths = paths or {}
    on_top = {k + layer: path for k, tops in paths.items() for layer, path in enumerate(tops)}
    off_seam = {k + layer for k in paths for layer in (1, 2, 3)}
    n = len(outline)
    end = len(chords)
    if first is None:
        legs = [Leg(chords[0].hem_at, chords[0].top_at + n, 0)]
    else:
        legs = [
            Leg(chords[0].hem_at, first.hem_at, 0),
            Leg(1.0, 0.0, 0, first),
            Leg(first.top_at, chords[0].top_at, 0),
        ]
    if 0 in paths:
        legs.append(Leg(0.0, 0.0, 0, path=on_top[0]))
    for k, (a, b) in enumerate(itertools.pairwise(chords), 1):
        if k - 4 in paths:
            legs.append(Leg(0.0, 0.0, k, path=paths[k - 4][4]))
        if k not in off_seam:
            legs.append(Leg(a.top_at, b.top_at, k))
        if k in paths or k in off_seam:
            legs.append(Leg(0.0, 0.0, k, path=paths[k][0] if k in paths else on_top[k]))
    if end - 4 in paths:
        legs.append(Leg(0.0, 0.0, end, path=paths[end - 4][4]))
    if last is None:
        legs.append(Leg(chords[-1].top_at, chords[-1].hem_at, end))
    else:
        legs += [
            Leg(chords[-1].top_at, last.top_at, end),
            Leg(0.0, 1.0, end, last),
            Leg(last.hem_at, chords[-1].hem_at, end),
        ]
    legs += [Leg(chords[k].hem_at, chords[k - 1].hem_at, k) for k in range(end - 1, 0, -1)]
    return legs


def edges_of(outline: Outline, legs: list[Leg], motions: list[Motion]) -> list[FlatEdge]:
    """Return the segments of the outline along some legs, each moved with its layer.

    A fold edge comes from a segment of its own, numbered after the outline's last.
    """
    segments = outline.segments
    nodes = len(segments)
    edges: list[FlatEdge] = []
    for start, end, layer, fold, leg_joins, path, flat in legs:
        motion = motions[layer] if not flat else STAY
        if path:
            edges += [FlatEdge(moved(seg, motion), layer, NOWHERE) for seg in path]
        elif fold is not None:
            line = (fold.top, fold.hem) if start < end else (fold.hem, fold.top)
            edges.append(FlatEdge(moved(line, motion), layer, (-1 if leg_joins else nodes, start, end)))
        else:
            turn, shift, flips = motion
            for origin in _walked(nodes, start, end):
                index, t0, t1 = origin
                seg = segments[index]
                points: Segment
                if len(seg) == 2:  # most are lines, cut and moved here and now
                    a, d = seg
                    p = a if t0 == 0 else d if t0 == 1 else (1 - t0) * a + t0 * d
                    q = d if t1 == 1 else a if t1 == 0 else (1 - t1) * a + t1 * d
                    if flips:
                        points = (turn * p.conjugate() + shift, turn * q.conjugate() + shift)
                    else:
                        points = (turn * p + shift, turn * q + shift)
                else:
                    points = moved(cut(seg, t0, t1), motion)
                edges.append(flat_edge((points, layer, origin)))
    return edges


def _walked(nodes: int, start: float, end: float) -> list[Origin]:
    # As the outline's own stretches, without the place of the node, which only ways of several rounds ask for.
    way: list[Origin] = []
    if end >= start:
        index = math.floor(start)
        while index < end:
            t0 = start - index if start > index else 0.0
            t1 = end - index if end < index + 1 else 1.0
            if t1 - t0 > SAME_SPOT:
                way.append((index % nodes, t0 if t0 > SAME_SPOT else 0.0, t1 if t1 < 1 - SAME_SPOT else 1.0))
            index += 1
        return way
    index = math.ceil(start) - 1
    while index + 1 > end:
        t0 = start - index if start < index + 1 else 1.0
        t1 = end - index if end > index else 0.0
        if t0 - t1 > SAME_SPOT:
            way.append((index % nodes, t0 if t0 < 1 - SAME_SPOT else 1.0, t1 if t1 > SAME_SPOT else 0.0))
        index -= 1
    return way


def parted(
    legs: list[Leg], creases: int, nodes: int, joins: Sequence[int], at_join: Callable[[int, int], Chord]
) -> list[list[Leg]]:
    """Return the legs of each part when the flat piece is parted at some creases, from the first part to the last.

    Args:
        legs: once round the whole, as `legs_of` returns them.
        creases: how many there are.
        nodes: of the outline that the legs follow.
        joins: at which ones it is parted, ascending.
        at_join: for a crease and a layer beside it, the line at which that layer ends there; its places are counted on
            like those of the legs.
        around: how many segments the outline has, so many places once round.
    """
    tops: dict[int, list[Leg]] = {}
    hems: dict[int, list[Leg]] = {}
    turned = False
    for leg in legs:
        if leg.layer == creases:
            turned = True
            tops.setdefault(creases, []).append(leg)
        else:
            (hems if turned else tops).setdefault(leg.layer, []).append(leg)
    parts: list[list[Leg]] = []
    bounds = [-1, *joins, creases]
    for before, after in itertools.pairwise(bounds):
        low, high = before + 1, after
        last = high == creases
        way = [leg for k in range(low, high + 1) for leg in tops.get(k, [])]
        back = [leg for k in range(high, low - 1, -1) for leg in hems.get(k, [])]
        if not last:
            line = at_join(after, high)
            if high == 0:
                # Its way leads once past the first node, and is counted on there.
                rounds = round((max(leg.end for leg in way) - line.top_at) / nodes) * nodes
                way = _ending(_starting(way, 0, line.hem_at), 0, line.top_at + rounds)
            else:
                way = _ending(way, high, line.top_at)
                back = _starting(back, high, line.hem_at)
            back.insert(0, Leg(0.0, 1.0, high, line, True))
        if low > 0:
            line = at_join(before, low)
            way = _starting(way, low, line.top_at)
            if low == creases:
                way = _ending(way, low, line.hem_at)
            else:
                back = _ending(back, low, line.hem_at)
            back.append(Leg(1.0, 0.0, low, line, True))
        parts.append([*way, *back])
    return parts


def _ending(way: list[Leg], layer: int, place: float) -> list[Leg]:
    # The last leg of a layer along the outline ends at a place.
    k = max((k for k, leg in enumerate(way) if leg.layer == layer and leg.fold is None and not leg.path), default=None)
    return way if k is None else [*way[:k], way[k]._replace(end=place), *way[k + 1 :]]


def _starting(way: list[Leg], layer: int, place: float) -> list[Leg]:
    k = next((k for k, leg in enumerate(way) if leg.layer == layer and leg.fold is None and not leg.path), None)
    return way if k is None else [*way[:k], way[k]._replace(start=place), *way[k + 1 :]]
