"""Once round the flat piece: which layer takes which way along the outline, and where that comes to lie."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from itertools import accumulate, chain, islice
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

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
    # Whether all these places lie along a level, in one round.
    first, last = level
    low, high = min(places), max(places)
    return low // nodes == high // nodes and first <= low % nodes and high % nodes <= last


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


def edges_of(outline: Outline, legs: list[Leg], motions: Sequence[Motion]) -> list[FlatEdge]:
    """Return the segments of the outline along some legs, each moved with its layer.

    A fold edge comes from a segment of its own, numbered after the outline's last.
    """
    return edges_of_each([(outline, legs, motions)])[0]


Run = tuple[Outline, list[Leg], Sequence[Motion]]
"""Legs along an outline, and the motions of its layers."""


def edges_of_each(runs: Sequence[Run]) -> list[list[FlatEdge]]:
    """Return the edges of several runs, which are made in one go where there are many; cf. `edges_of`."""
    if sum([len(legs) + sum([abs(leg.end - leg.start) for leg in legs]) for _, legs, _ in runs]) < _MANY:
        return [
            [edge for leg in legs for edge in _edges_of_leg(outline, leg, motions[leg.layer])]
            for outline, legs, motions in runs
        ]
    # The few that do not lead along the outline are put in their places afterwards.
    apart = [[k for k, leg in enumerate(legs) if leg.path or leg.fold is not None] for _, legs, _ in runs]
    plain = [
        (outline, [leg for k, leg in enumerate(legs) if k not in own] if own else legs, motions)
        for (outline, legs, motions), own in zip(runs, apart, strict=True)
    ]
    made: list[list[FlatEdge]] = []
    for (outline, legs, motions), own, (edges, ends) in zip(runs, apart, _edges_at_once(plain), strict=True):
        for before, k in reversed(list(enumerate(own))):
            at = ends[k - before]
            edges[at:at] = _edges_of_leg(outline, legs[k], motions[legs[k].layer])
        made.append(edges)
    return made


_MANY = 200
"""Legs, and nodes along them, from which on their edges are sooner made all at once."""


def _edges_of_leg(outline: Outline, leg: Leg, motion: Motion) -> list[FlatEdge]:
    segments = outline.segments
    start, end, layer, fold, leg_joins, path, flat = leg
    if path:
        return [FlatEdge(seg if flat else moved(seg, motion), layer, NOWHERE) for seg in path]
    if fold is not None:
        line = (fold.top, fold.hem) if start < end else (fold.hem, fold.top)
        return [FlatEdge(moved(line, motion), layer, (-1 if leg_joins else len(segments), start, end))]
    return [
        flat_edge((moved(cut(segments[origin[0]], origin[1], origin[2]), motion), layer, origin))
        for origin in _within_one(len(segments), start, end) or _walked(len(segments), start, end)
    ]


def _edges_at_once(runs: Sequence[Run]) -> Iterator[tuple[list[FlatEdge], list[int]]]:
    # Of each run its edges along the outline, and how many of them come before each leg and after the last one. What is
    # worked out is what `cut` and `moved` work out of each, step by step, so that it is the same to the last digit.
    starts, ends, layers, *_ = zip(*[leg for _, legs, _ in runs for leg in legs], strict=True)
    legs_of_run = [len(legs) for _, legs, _ in runs]
    nodes = [len(outline) for outline, _, _ in runs]
    index, shares, of, counts = _all_walked(np.repeat(nodes, legs_of_run), np.array(starts), np.array(ends))
    # Segments and motions of each run are counted on behind those of the ones before.
    segment = index + np.repeat(_behind(nodes), legs_of_run)[of]
    layer = np.array(layers)[of]
    turns, shifts, flips = zip(*chain.from_iterable([motions for _, _, motions in runs]), strict=True)
    motion = layer + np.repeat(_behind([len(motions) for _, _, motions in runs]), legs_of_run)[of]
    turn, shift, sign = np.array(turns)[motion], np.array(shifts)[motion], np.where(flips, -1.0, 1.0)[motion]
    controls = np.concatenate([outline.controls for outline, _, _ in runs])[segment]
    straight = np.array([len(seg) == 2 for outline, _, _ in runs for seg in outline.segments])[segment]
    points: list[Segment] = [()] * len(segment)
    for rows, ends_alone in (((~straight).nonzero()[0], False), (straight.nonzero()[0], True)):
        if len(rows):
            own = controls[rows].view(float).reshape(-1, 4, 2).transpose(1, 2, 0)
            made = _all_cut(own[::3] if ends_alone else own, shares[:, rows])
            laid = _all_moved(made, turn[rows], shift[rows], sign[rows])
            if len(rows) == len(points):
                points = list(laid)
            else:
                for k, there in zip(rows.tolist(), laid, strict=True):
                    points[k] = there
    origins = zip(index.tolist(), *shares.tolist(), strict=True)
    edges = map(flat_edge, zip(points, layer.tolist(), origins, strict=True))
    each = iter(counts.tolist())
    for count in legs_of_run:
        before = [0, *accumulate(islice(each, count))]
        yield list(islice(edges, before[-1])), before


def _behind(counts: list[int]) -> list[int]:
    return [0, *accumulate(counts[:-1])]


_Floats = NDArray[np.float64]
_Ints = NDArray[np.int64]


def _all_walked(nodes: _Ints, starts: _Floats, ends: _Floats) -> tuple[_Ints, _Floats, _Ints, _Ints]:
    # As `_walked` of many ways: segments in a row, the shares between which each is walked, the way that each belongs to, and
    # how many there are of each.
    low, high, back = np.minimum(starts, ends), np.maximum(starts, ends), starts > ends
    first, last = np.floor(low).astype(int), np.ceil(high).astype(int) - 1
    t0, t1 = low - first, high - last
    none = np.where(first == last, t1 - t0, last - first) <= SAME_SPOT
    several = first != last
    one, other = first + (several & (1 - t0 <= SAME_SPOT)), last - (several & (t1 <= SAME_SPOT))
    t0 = np.where((t0 <= SAME_SPOT) | (one > first), 0.0, t0)
    t1 = np.where((t1 >= 1 - SAME_SPOT) | (other < last), 1.0, t1)
    counts = np.where(none, 0, other - one + 1)
    of = np.arange(len(starts)).repeat(counts)
    along = np.arange(len(of)) - (counts.cumsum() - counts)[of]
    back, one, other = back[of], one[of], other[of]
    segment = np.where(back, other - along, one + along)
    t0, t1 = np.where(segment == one, t0[of], 0.0), np.where(segment == other, t1[of], 1.0)
    return segment % nodes[of], np.array((np.where(back, t1, t0), np.where(back, t0, t1))), of, counts


def _all_cut(points: _Floats, shares: _Floats) -> _Floats:
    # As `cut` of many segments; points are rows of x and y, so that each step is one of plain numbers.
    (t0, t1), (s0, s1) = shares, 1 - shares
    if len(points) == 2:
        a, d = points
        return np.array((s0 * a + t0 * d, s1 * a + t1 * d))
    from0, from1 = s0 * points[:3] + t0 * points[1:], s1 * points[:3] + t1 * points[1:]
    p00, q00 = s0 * from0[:2] + t0 * from0[1:]
    p01, q01 = s1 * from0[:2] + t1 * from0[1:]
    p11, q11 = s1 * from1[:2] + t1 * from1[1:]
    return np.array((s0 * p00 + t0 * q00, s1 * p00 + t1 * q00, s1 * p01 + t1 * q01, s1 * p11 + t1 * q11))


def _all_moved(
    points: _Floats, turns: NDArray[np.complex128], shifts: NDArray[np.complex128], signs: _Floats
) -> Iterator[Segment]:
    # As `moved` of many segments.
    x, y = points[:, 0], points[:, 1] * signs
    there = np.empty(x.shape, complex)
    there.real = turns.real * x - turns.imag * y + shifts.real
    there.imag = turns.real * y + turns.imag * x + shifts.imag
    return zip(*there.tolist(), strict=True)


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
