"""Once round the flat piece: which layer takes which way along the outline, and where that comes to lie."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from typing import NamedTuple

from pleatsvg.geometry.motion import Motion, moved
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, cut
from pleatsvg.piece.slash_lines import Chord
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


_leg: Callable[[tuple[float, float, int, Chord | None, bool, tuple[Segment, ...], bool]], Leg] = partial(
    tuple.__new__, Leg
)


def _along(places: Iterable[float], layers: range) -> list[Leg]:
    # From each place to the next along the outline, each way by a layer of its own.
    return [
        _leg((a, b, k, None, False, (), False)) for k, (a, b) in zip(layers, itertools.pairwise(places), strict=True)
    ]


def legs_of(
    outline: Outline,
    chords: list[Chord],
    first: Chord | None,
    last: Chord | None,
    paths: Mapping[int, Sequence[tuple[Segment, ...]]] | None = None,
    level: tuple[int, int] | None = None,
) -> list[Leg]:
    """Return the legs once round, from the hem end of the first crease on.

    Args:
        outline: walked so that the creases' top ends ascend in place.
        chords: the fold lines on the finished piece, in order.
        first, last: the fold edge, where it lies before or after them all.
        paths: for the first crease of each kick pleat, the ways along its top of the five layers from there on; the first
            and the last of these layers go on along the outline.
        level: from which node to which the outline runs along a level at which a zone of a fitted piece ends: legs along it
            are left out, since no edge comes of them.
    """
    n = len(outline)
    end = len(chords)
    tops = [chord.top_at for chord in chords]
    hems = [chord.hem_at for chord in chords]
    if first is None:
        legs = [Leg(hems[0], tops[0] + n, 0)]
    else:
        legs = [Leg(hems[0], first.hem_at, 0), Leg(1.0, 0.0, 0, first), Leg(first.top_at, tops[0], 0)]
    if last is None:
        after = [Leg(tops[-1], hems[-1], end)]
    else:
        after = [Leg(tops[-1], last.top_at, end), Leg(0.0, 1.0, end, last), Leg(last.hem_at, hems[-1], end)]
    if level is not None and not paths:
        legs, after = off_level(legs, level, n), off_level(after, level, n)
        if _on(level, tops, n):
            return [*legs, *after, *_along(reversed(hems), range(end - 1, 0, -1))]
        if _on(level, hems, n):
            return [*legs, *_along(tops, range(1, end)), *after]
    legs += _over_kicks(tops, paths) if paths else _along(tops, range(1, end))
    return legs + after + _along(reversed(hems), range(end - 1, 0, -1))


def _on(level: tuple[int, int], places: Sequence[float], nodes: int) -> bool:
    # Whether all these places lie along a level.
    first, last = level
    return all([first <= place % nodes <= last for place in places])


def off_level(legs: list[Leg], level: tuple[int, int], nodes: int) -> list[Leg]:
    """Return the legs but those that lead along a level at which a zone of a fitted piece ends: no edge comes of them.

    Args:
        legs: along an outline.
        level: from which node to which it runs.
        nodes: of the outline that the legs follow.
    """
    first, last = level
    kept: list[Leg] = []
    for leg in legs:
        start, end, _, fold, _, path, _ = leg
        low, far = (start % nodes, end - start) if start < end else (end % nodes, start - end)
        if not first <= low <= last - far or fold is not None or path:
            kept.append(leg)
    return kept


def _over_kicks(tops: list[float], paths: Mapping[int, Sequence[tuple[Segment, ...]]]) -> list[Leg]:
    # The legs from the first crease's top to the last one's, where some lead over the tops of kick pleats.
    on_top = {k + layer: path for k, tops in paths.items() for layer, path in enumerate(tops)}
    off_seam = {k + layer for k in paths for layer in (1, 2, 3)}
    end = len(tops)
    legs: list[Leg] = []
    if 0 in paths:
        legs.append(Leg(0.0, 0.0, 0, path=on_top[0]))
    for k, (a, b) in enumerate(itertools.pairwise(tops), 1):
        if k - 4 in paths:
            legs.append(Leg(0.0, 0.0, k, path=paths[k - 4][4]))
        if k not in off_seam:
            legs.append(Leg(a, b, k))
        if k in paths or k in off_seam:
            legs.append(Leg(0.0, 0.0, k, path=paths[k][0] if k in paths else on_top[k]))
    if end - 4 in paths:
        legs.append(Leg(0.0, 0.0, end, path=paths[end - 4][4]))
    return legs


def edges_of(outline: Outline, legs: list[Leg], motions: list[Motion]) -> list[FlatEdge]:
    """Return the segments of the outline along some legs, each moved with its layer.

    A fold edge comes from a segment of its own, numbered after the outline's last.
    """
    segments = outline.segments
    nodes = len(segments)
    edges: list[FlatEdge] = []
    for start, end, layer, fold, leg_joins, path, flat in legs:
        motion = motions[layer]
        if path:
            edges += [FlatEdge(seg if flat else moved(seg, motion), layer, NOWHERE) for seg in path]
            continue
        if fold is not None:
            line = (fold.top, fold.hem) if start < end else (fold.hem, fold.top)
            edges.append(FlatEdge(moved(line, motion), layer, (-1 if leg_joins else nodes, start, end)))
            continue
        turn, shift, flips = motion
        for origin in _within_one(nodes, start, end) or _walked(nodes, start, end):
            index, t0, t1 = origin
            points = segments[index]
            if len(points) == 2:  # most are lines, cut and moved here and now
                p, q = a, d = points
                if 0 < t0 < 1:
                    p = (1 - t0) * a + t0 * d
                elif t0:
                    p = d
                if 0 < t1 < 1:
                    q = (1 - t1) * a + t1 * d
                elif not t1:
                    q = a
                if flips:
                    points = (turn * p.conjugate() + shift, turn * q.conjugate() + shift)
                else:
                    points = (turn * p + shift, turn * q + shift)
            else:
                points = moved(cut(points, t0, t1), motion)
            edges.append(flat_edge((points, layer, origin)))
    return edges


def _within_one(nodes: int, start: float, end: float) -> tuple[Origin, ...]:
    # The same of a way that begins and ends amid one segment, as most do; () for any other.
    index = math.floor(start)
    t0, t1 = start - index, end - index
    if SAME_SPOT < t0 < 1 - SAME_SPOT and SAME_SPOT < t1 < 1 - SAME_SPOT and abs(t1 - t0) > SAME_SPOT:
        return ((index % nodes, t0, t1),)
    return ()


def _walked(nodes: int, start: float, end: float) -> list[Origin]:
    # As the outline's own stretches, without the place of the node, which only ways of several rounds ask for.
    if end < start:
        return [(index, t1, t0) for index, t0, t1 in reversed(_walked(nodes, end, start))]
    first, last = math.floor(start), math.ceil(end) - 1
    t0, t1 = start - first, end - last
    if (t1 - t0 if first == last else last - first) <= SAME_SPOT:
        return []
    from_node, to_node = t0 <= SAME_SPOT, t1 >= 1 - SAME_SPOT
    if first == last:
        return [(first % nodes, 0.0 if from_node else t0, 1.0 if to_node else t1)]
    way = [(first % nodes, 0.0 if from_node else t0, 1.0)] if 1 - t0 > SAME_SPOT else []
    way += [(index % nodes, 0.0, 1.0) for index in range(first + 1, last)]
    if t1 > SAME_SPOT:
        way.append((last % nodes, 0.0, 1.0 if to_node else t1))
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
                ends = [leg.end for leg in way if leg.fold is None and not leg.path]
                rounds = (
                    round(((ends[-1] if len(ends) > 1 else max(leg.end for leg in way)) - line.top_at) / nodes) * nodes
                )
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
