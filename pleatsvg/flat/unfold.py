"""The fold model: from the finished piece to the flat one, by reflections and nothing else.

The finished outline is walked from fold line to fold line. What lies between two of them, panel or strip alike, goes
to the flat piece by one rigid motion; crossing fold line f turns the motion G into G after the reflection in f. Every
part of the flat seam is therefore a part of the finished seam, moved: folded, its hidden edges lie on the seam
because they are pieces of it. Nothing is solved for, flattened or refitted.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import chain, islice, pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pleatsvg.errors import FitError
from pleatsvg.flat.closed_round import closed_round
from pleatsvg.flat.cutting_line import CutLine
from pleatsvg.flat.flat_piece import FlatLine, Join, Unfolded, flat_line
from pleatsvg.flat.once_round import FlatEdge, Leg, edges_of, edges_of_each, legs_of, off_level, parted
from pleatsvg.flat.smooth_hems import Hidden, end_on, farthest_off, hidden_runs, smoothed
from pleatsvg.geometry.motion import STAY, Motion, bearing, moved
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Box, Segment, box_of, cut
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.piece.pivots.closed import legs_of_darts
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.pleats.kick import KickTop, seam_tops
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.result.roles import Role
from pleatsvg.tolerance import FOLD_BACK, ON_LINE
from pleatsvg.wording import message, option


def crossed_fold(
    piece: FinishedPiece, fold: StraightLine, lines: SlashSet, unfolded: Unfolded
) -> tuple[complex, complex]:
    # Lines that run across the fold edge lengthen it; cloth is folded along it, so it must stay straight.
    along = (fold.end - fold.start) / abs(fold.end - fold.start)
    spots: list[complex] = []
    for edge in unfolded.seam:
        index, t0, t1 = edge.origin
        if index >= 0:
            there = cut(lines.outline.segments[index], t0, t1)
            if max(abs(((z - fold.start) * along.conjugate()).imag) for z in there) <= ON_LINE:
                spots += (edge.points[0], edge.points[-1])
    way = max((b - a for a in spots for b in spots), key=abs)
    first = min(spots, key=lambda z: (z * way.conjugate()).real)
    off = max(abs(((z - first) * (way / abs(way)).conjugate()).imag) for z in spots)
    if off > FOLD_BACK:
        slants = [abs(90 - abs(math.degrees(bearing((c.hem - c.top) / along)))) for c in unfolded.out_chords]
        raise FitError(
            f"The fold edge of '{piece.name}'",
            f"would break by {off:.2f} mm: a fold line meets it up to {max(slants):.2f} degrees off square",
            f"cloth is laid on the fold along a straight line (within {FOLD_BACK} mm)",
            message(
                "Draw lines that run across the fold edge square to it, with one intake at both ends; or add {}.",
                option("open_fold", True),
            ),
        )
    last = first + way
    return (first, last) if (first.imag, first.real) <= (last.imag, last.real) else (last, first)


BETWEEN_PARTS = 40.0
"""mm between the cutting lines of two parts on the page."""


def unfold(
    lines: SlashSet,
    pleats: tuple[LaidPleat, ...],
    cutting: Cutting | None = None,
    joins: Sequence[int] = (),
    join_allowance: float = 0.0,
    smooth_hem: bool = False,
    farther: Mapping[int, float] | None = None,
) -> Unfolded:
    """Return the flat piece; cf. `begun`."""
    return unfolded_each([begun(lines, pleats, cutting, joins, join_allowance, smooth_hem, farther=farther)])[0]


class Begun(NamedTuple):
    """A flat piece but for the edges of its seam and its cutting line, and the ways along these of each of its parts."""

    flat: Unfolded
    lines: SlashSet
    cutting: Cutting | None
    seam: list[list[Leg]]
    cut: list[list[Leg]]


def unfolded_each(pieces: Sequence[Begun]) -> list[Unfolded]:
    """Return flat pieces with their edges: of all of them, as of both zones of a fitted piece, these are made in one go."""
    runs = [(one.lines.outline, run, one.flat.motions) for one in pieces for run in one.seam]
    runs += [
        (one.cutting.outline, run, one.flat.motions) for one in pieces if one.cutting is not None for run in one.cut
    ]
    made = iter(edges_of_each(runs))
    seams = [list(islice(made, len(one.seam))) for one in pieces]
    cuts = [list(islice(made, len(one.cut))) for one in pieces]
    found: list[Unfolded] = []
    for one, seam, cut_line in zip(pieces, seams, cuts, strict=True):
        flat = replace(
            one.flat,
            seam=tuple(chain.from_iterable(seam)),
            cut=tuple(chain.from_iterable(cut_line)) if cut_line else one.flat.cut,
            seam_loops=tuple(map(len, seam)),
            cut_loops=tuple(map(len, cut_line)) if cut_line else one.flat.cut_loops,
        )
        if one.lines.ring:
            nodes = 0 if one.cutting is None else len(one.cutting.outline)
            flat = closed_round(flat, one.lines, len(one.lines.outline), nodes)
        found.append(flat)
    return found


def lines_across(lines: SlashSet, pleats: Sequence[LaidPleat]) -> list[Chord]:
    """Return the fold lines of a piece in order, and its fold edge before or after them."""
    chords = [fold.chord for pleat in pleats for fold in pleat.folds]
    return [chord for chord in (lines.first, *chords, lines.last) if chord is not None]


def begun(
    lines: SlashSet,
    pleats: tuple[LaidPleat, ...],
    cutting: Cutting | None = None,
    joins: Sequence[int] = (),
    join_allowance: float = 0.0,
    smooth_hem: bool = False,
    *,
    farther: Mapping[int, float] | None = None,
    apart: Mapping[int, complex] | None = None,
    level: tuple[int, int] | None = None,
    produced: Mapping[int, Chord] | None = None,
) -> Begun:
    """Return the flat piece but for its edges.

    Args:
        lines: the slash lines on the finished seam, and the fold edge if there is one.
        pleats: laid out on it, in order.
        cutting: the finished piece's cutting line, or None.
        joins: the creases at which it is parted, counted from 0, ascending; the parts are set apart from each other.
        join_allowance: beyond each of them, in mm.
        smooth_hem: the hem runs smoothly over hidden cloth; not where the piece is parted.
        farther: how much farther than usual the parts are set apart at some of the joins, in mm.
        apart: by how much and which way they are set apart at some of them, where that is known.
        level: of a zone of a fitted piece, from which node of its outline to which it is closed along the level where it
            ends; what lies along it is no edge of the flat piece, and is left out of its seam and cutting line.
        produced: its lines produced to the cutting line, where they are known; cf. `all_produced`.
    """
    outline = lines.outline
    chords = [fold.chord for pleat in pleats for fold in pleat.folds]
    motions = _motions_of(chords, lines.hand, joins, join_allowance, farther or {}, apart or {})
    kicks = kicks_of(pleats)
    runs_hidden = hidden_runs(pleats) if smooth_hem else []
    made: CutLine | None = None
    if cutting is not None:
        seam = outline if lines.closed else None
        made = CutLine(
            cutting, chords, motions, lines.first, lines.last, joins, join_allowance, kicks, runs_hidden, seam, produced
        )
        _refuse_coming_back(outline, cutting, chords, made.out)
    out = chords if made is None else made.out
    # The folds of a kick pleat end at its top, where nothing is notched.
    kicked = {k + j for k in kicks for j in range(4)}
    rooms = [(-1.0 if k in kicked else 0.0, 0.0) for k in range(len(chords))]
    if made is not None:
        rooms = made.rooms(outline)
    if lines.closed:
        points = [dart.point for dart in lines.closed]
        rooms = [_but_at(points, chord, room) for chord, room in zip(chords, rooms, strict=True)]
    creases, placements, panels = _flat_lines(pleats, motions, chords, out, rooms, lines)
    paths = {k: seam_tops(kick) for k, kick in kicks.items()}
    off = level if not runs_hidden and not joins else None
    legs = legs_of(outline, chords, lines.first, lines.last, paths, off)
    free = [] if made is None else list(made.free)
    hem_off = 0.0
    if runs_hidden:
        legs, curves, hem_off = _smooth_hem(outline, legs, runs_hidden, motions)
        legs = legs if level is None else off_level(legs, level, len(outline))
        for run, curve in zip(runs_hidden, curves, strict=True):
            if max([abs(z - curve[0]) for z in curve]) > ON_LINE:  # at a hinge there is nothing to run over
                free.append((curve,))
            alone = cutting is None
            creases[run.before : run.after] = [
                _ended_on(line, curve, alone) for line in creases[run.before : run.after]
            ]
            placements = [
                _ended_on(line, curve, alone) if run.before < line.layer < run.after else line for line in placements
            ]
    parts = parted(legs, len(chords), len(outline), joins, lambda k, _: chords[k]) if joins else [legs]
    free += [run for k, tops in paths.items() for run in _kick_edges(tops, motions, k, joins)]
    flat = Unfolded(
        seam=(),
        creases=tuple(creases),
        placements=tuple(placements),
        motions=tuple(motions),
        panels=tuple(panels),
        cut=() if made is None else made.edges,
        free=tuple(free),
        fold_edge=_flat_fold_edge(lines, motions),
        out_chords=tuple(out),
        trimmed=made is not None and made.trimmed,
        cut_loops=(len(made.edges),) if made is not None and made.edges else (),
        joins=_joins_at(joins, chords, creases, motions),
        hem_off=hem_off,
        legs=legs_of_darts(outline, lines.closed),
        cut_legs=frozenset() if cutting is None else legs_of_darts(cutting.outline, lines.closed),
    )
    return Begun(flat, lines, cutting, parts, [] if made is None else made.runs)


def _motions_of(
    chords: Sequence[Chord],
    hand: float,
    joins: Sequence[int],
    join_allowance: float,
    farther: Mapping[int, float],
    known: Mapping[int, complex],
) -> list[Motion]:
    # The motion of every layer: a product of reflections; beyond a join, set apart from the part before it.
    motions = [STAY]
    for k, chord in enumerate(chords):
        before = motions[-1]
        after = before.over(chord.top, chord.hem)
        if k in joins:
            top, hem = before.of(chord.top), before.of(chord.hem)
            usual = 2 * join_allowance + BETWEEN_PARTS
            apart = -1j * hand * (hem - top) / abs(hem - top) * (usual + farther.get(k, 0.0))
            after = Motion(after.turn, after.shift + known.get(k, apart), after.flips)
        motions.append(after)
    return motions


def _flat_lines(
    pleats: Sequence[LaidPleat],
    motions: Sequence[Motion],
    chords: Sequence[Chord],
    out: Sequence[Chord],
    rooms: Sequence[tuple[float, float]],
    lines: SlashSet,
) -> tuple[list[FlatLine], list[FlatLine], list[int]]:
    # Creases and placement lines on the flat piece, and which layers are panels.
    ends = {id(chord): k for k, chord in reversed(list(enumerate(chords)))}
    creases: list[FlatLine] = []
    placements: list[FlatLine] = []
    panels = [0]
    layer = 0

    def laid(
        role: Role,
        number: int,
        places: tuple[int, ...],
        line: tuple[Chord, Chord],
        on: int,
        room: tuple[float, float],
    ) -> FlatLine:
        (_, _, top, hem), (_, _, out_top, out_hem) = line
        turn, shift, flips = motions[on]
        if flips:
            top, hem = turn * top.conjugate() + shift, turn * hem.conjugate() + shift
            out_top, out_hem = turn * out_top.conjugate() + shift, turn * out_hem.conjugate() + shift
        else:
            top, hem = turn * top + shift, turn * hem + shift
            out_top, out_hem = turn * out_top + shift, turn * out_hem + shift
        return flat_line((role, number, places, top, hem, on, out_top, out_hem, room, False, None))

    for pleat in pleats:
        base, number = layer, pleat.number
        for place, (chord, role) in enumerate(pleat.folds, 1):
            creases.append(laid(role, number, (place,), (chord, out[layer]), layer, rooms[layer]))
            layer += 1
        for chord, folds_before, carries, role in pleat.placements:
            k = ends.get(id(chord))
            there, room = (chord, (0.0, 0.0)) if k is None else (out[k], rooms[k])
            if k is None and lines.closed:
                room = _but_at([dart.point for dart in lines.closed], chord, room)
            placements.append(laid(role, number, carries, (chord, there), base + folds_before, room))
        panels.append(layer)
    return creases, placements, panels


def _but_at(points: Sequence[complex], chord: Chord, room: tuple[float, float]) -> tuple[float, float]:
    # A line that ends at the point of a closed dart has no allowance there, and no notch.
    top, hem = (min(abs(z - point) for point in points) <= ON_LINE for z in (chord.top, chord.hem))
    return (-1.0 if top else room[0], -1.0 if hem else room[1])


def _flat_fold_edge(lines: SlashSet, motions: Sequence[Motion]) -> tuple[complex, complex] | None:
    if lines.ring:
        return None
    if lines.last is not None:
        return motions[-1].of(lines.last.top), motions[-1].of(lines.last.hem)
    if lines.first is not None:
        return motions[0].of(lines.first.top), motions[0].of(lines.first.hem)
    return None


def _smooth_hem(
    outline: Outline, legs: list[Leg], hidden: Sequence[Hidden], motions: Sequence[Motion]
) -> tuple[list[Leg], list[Segment], float]:
    # The legs with one curve over each run of hidden cloth, the curves, and how far they leave the folded hem.
    folded = edges_of(outline, [leg for leg in legs if leg.fold is None and not leg.path], list(motions))
    legs, curves = smoothed(outline, legs, list(hidden), [run.border.hem_at for run in hidden], list(motions))
    last = max(k for k, edge in enumerate(folded) if edge.layer == len(motions) - 1)
    off = 0.0
    for run, curve in zip(hidden, curves, strict=True):
        beneath = [edge.points for edge in folded[last:] if run.before < edge.layer < run.after]
        off = max(off, farthest_off(curve, beneath))
    return legs, curves, off


def _joins_at(
    joins: Sequence[int], chords: Sequence[Chord], creases: Sequence[FlatLine], motions: Sequence[Motion]
) -> tuple[Join, ...]:
    return tuple(
        [
            Join(
                number=number,
                crease=k,
                before=(creases[k].top, creases[k].hem),
                after=(motions[k + 1].of(chords[k].top), motions[k + 1].of(chords[k].hem)),
            )
            for number, k in enumerate(joins, 1)
        ]
    )


def kicks_of(pleats: Sequence[LaidPleat]) -> dict[int, KickTop]:
    """Return the tops of kick pleats by the number of the first crease of each."""
    kicks: dict[int, KickTop] = {}
    at = 0
    for pleat in pleats:
        if pleat.kick is not None:
            kicks[at] = pleat.kick
        at += len(pleat.folds)
    return kicks


def _ended_on(line: FlatLine, curve: Segment, alone: bool) -> FlatLine:
    # With a smooth hem a line ends on the hem's curve; without an allowance its outer end is the same point.
    hem = end_on(curve, line.top, line.hem)
    amid = hem != line.hem
    return line._replace(hem=hem, out_hem=hem, amid=amid) if alone else line._replace(hem=hem, amid=amid)


def _kick_edges(
    tops: tuple[tuple[Segment, ...], ...], motions: list[Motion], first: int, joins: Sequence[int]
) -> list[tuple[Segment, ...]]:
    # The seam and the slanting tops above a kick pleat, once along them on the flat piece, part by part.
    runs: list[list[Segment]] = [[]]
    for layer, path in enumerate(tops, first):
        if layer - 1 in joins:
            runs.append([])
        runs[-1] += [moved(seg, motions[layer]) for seg in path]
    return [tuple(run) for run in runs]


class Bounds(NamedTuple):
    """The points of edges in a row, how many each has, and the layer that it bounds."""

    points: NDArray[np.complex128]
    counts: list[int]
    layers: list[int]

    @staticmethod
    def of(edges: Sequence[FlatEdge]) -> Bounds:
        """Return those of some edges."""
        segments, layers, _ = zip(*edges, strict=True) if edges else ((), (), ())
        counts = list(map(len, segments))
        return Bounds(np.fromiter(chain.from_iterable(segments), complex, sum(counts)), counts, list(layers))

    @property
    def boxes(self) -> tuple[NDArray[np.float64], ...]:
        """Lefts, tops, rights and bottoms of the boxes round the edges."""
        starts = np.cumsum([0, *self.counts[:-1]])
        x, y = self.points.real, self.points.imag
        return (
            np.minimum.reduceat(x, starts),
            np.minimum.reduceat(y, starts),
            np.maximum.reduceat(x, starts),
            np.maximum.reduceat(y, starts),
        )


def lie_in_rows(flats: Sequence[Unfolded], hand: float, bounds: Sequence[Bounds] | None = None) -> bool:
    """Return True where it is plain that on none of some flat pieces two layers lie over each other, as on nearly every one.

    Each layer lies beyond the crease that begins it and on the near side of the one that ends it. Where, besides, no two
    neighbouring creases cross as far as their piece reaches along them, all of it that lies on the near side of the one lies
    on the near side of the next, too; so does every layer before it.

    Args:
        flats: flat pieces, or the zones of one.
        hand: +1 where the outline is walked clockwise on the page.
        bounds: of the cutting line of each, or of its seam where it has none, where they are known.
    """
    creases = [crease for flat in flats for crease in flat.creases]
    tops, hems = np.array([(crease.top, crease.hem) for crease in creases]).T
    ways = hems - tops
    sizes = np.abs(ways)
    mean = ways.sum()
    along = mean.conj() / abs(mean) if mean else 0j
    level, slanting = (ways * along).real, (ways * along).imag
    upright = level / sizes
    if not (upright > _UPRIGHT).all():
        return False
    every, layers, starts = _spots_by_layer(flats, bounds or [Bounds.of(flat.cut or flat.seam) for flat in flats])
    of = np.repeat(np.arange(len(flats)), [len(flat.creases) for flat in flats])
    after = np.arange(len(creases)) + of  # each crease by the layer that it ends; the one after it it begins
    flips = (-1j * hand * ways / sizes).conj()
    edges = (tops * flips).real
    for slots, beyond in ((after + 1, 1.0), (after, -1.0)):
        # Of the first layer and of the last one, which no crease begins or ends, nothing is asked.
        flip, edge = np.zeros(len(creases) + len(flats), complex), np.full(len(creases) + len(flats), -beyond)
        flip[slots], edge[slots] = flips, edges
        if not (beyond * ((every * flip[layers]).real - edge[layers])).min() >= -ON_LINE:
            return False
    height, spots = (every * along).real, tops * along
    for reach in (np.minimum.reduceat(height, starts), np.maximum.reduceat(height, starts)):
        # How far across the near side of each crease begins there.
        across = hand * (spots.imag + (reach[of] - spots.real) * slanting / level) - ON_LINE / upright
        if ((across[1:] > across[:-1]) & (of[1:] == of[:-1])).any():
            return False
    return True


_UPRIGHT = 0.1
"""The least cosine of the angle between a crease and the way that all of them lead, where they are taken for a row."""


def _spots_by_layer(
    flats: Sequence[Unfolded], bounds: Sequence[Bounds]
) -> tuple[NDArray[np.complex128], NDArray[np.int64], list[int]]:
    # The points that bound layers, each with its layer, counted on from one flat piece to the next; and where those of each
    # piece begin. A layer whose edges have no length, as between two pleats that touch, is bounded by its creases alone.
    spots: list[NDArray[np.complex128]] = []
    layers: list[NDArray[np.int64]] = []
    starts: list[int] = []
    before = begin = 0
    for flat, (points, counts, of) in zip(flats, bounds, strict=True):
        creases = flat.creases
        starts.append(begin)
        ends = np.array([(crease.out_top, crease.out_hem) for crease in creases]).ravel()
        spots += [points, ends, ends]
        beside = np.arange(before, before + len(creases)).repeat(2)
        layers += [np.array(of).repeat(counts) + before, beside, beside + 1]
        before += len(creases) + 1
        begin += len(points) + 2 * len(ends)
    return np.concatenate(spots), np.concatenate(layers), starts


def layers_lie_apart(unfolded: Unfolded, hand: float) -> bool:
    """Return True where it is plain that no two layers of the flat piece lie over each other.

    Each layer is a rigid copy of a part of a simple outline. If it lies wholly beyond the crease that begins it, and
    every layer before it wholly on the near side of that crease, the two are parted. False means only that a closer
    look is needed.

    Args:
        unfolded: the flat piece.
        hand: +1 where the outline is walked clockwise on the page.
    """
    if lie_in_rows([unfolded], hand):
        return True
    edges = unfolded.cut or unfolded.seam
    spots = list(chain.from_iterable([edge.points for edge in edges]))
    layers = np.repeat([edge.layer for edge in edges], [len(edge.points) for edge in edges])
    # A layer whose edges have no length, as between two pleats that touch, is bounded by its creases alone.
    for crease in unfolded.creases:
        spots += (crease.out_top, crease.out_hem)
    beside = np.repeat(np.arange(len(unfolded.creases)), 2)
    every = np.array((*spots, *spots[len(layers) :]))
    layers = np.concatenate((layers, beside, beside + 1))
    order = layers.argsort(kind="stable")
    every, layers = every[order], layers[order]
    if _in_a_row(unfolded.creases, every, layers, hand):
        return True
    begins = layers.searchsorted(range(len(unfolded.motions) + 1)).tolist()
    points = every.tolist()
    return _apart_one_by_one(unfolded.creases, [points[a:b] for a, b in pairwise(begins)], hand)


def _refuse_coming_back(outline: Outline, cutting: Cutting, chords: Sequence[Chord], out: Sequence[Chord]) -> None:
    # A line that ends in a hollow of the seam may lie within its allowance as far as the piece's other side.
    usual = 2 * max(cutting.distances)
    for (_, _, top, hem), (_, _, out_top, out_hem) in zip(chords, out, strict=True):
        if abs(out_top - top) <= usual and abs(out_hem - hem) <= usual:
            continue  # as nearly all
        for end, beyond in ((top, out_top), (hem, out_hem)):
            reach = abs(beyond - end)
            if reach > usual and any(
                ON_LINE < hit.along < reach - ON_LINE for hit in outline.crossings(end, (beyond - end) / reach)
            ):
                raise FitError(
                    f"The fold line from ({top.real:.0f}, {top.imag:.0f}) mm on the page",
                    "ends at the seam, runs on within its allowance and comes onto the piece again",
                    "a fold line runs out over the allowance",
                    "Move the slash line away from that edge or turn it, or take a smaller allowance there.",
                )


def _in_a_row(
    creases: tuple[FlatLine, ...], every: NDArray[np.complex128], layers: NDArray[np.int64], hand: float
) -> bool:
    # Whether each crease parts the layer after it from all before it, as is so on nearly every piece: worked out for many
    # creases and points at once. The points come layer by layer.
    tops = np.array([crease.top for crease in creases])
    ways = np.array([crease.hem for crease in creases]) - tops
    flips = (-1j * hand * ways / np.abs(ways)).conj()
    edges = (tops * flips).real
    begins = layers.searchsorted(range(len(creases) + 2))
    later = every[begins[1] :] * flips[layers[begins[1] :] - 1]
    if (later.real - edges[layers[begins[1] :] - 1]).min() < -ON_LINE:
        return False
    box = np.array((np.inf, np.inf, -np.inf, -np.inf))
    known = 0
    for first in range(0, len(creases), _CREASES_AT_ONCE):
        some = slice(first, first + _CREASES_AT_ONCE)
        last = min(first + _CREASES_AT_ONCE, len(creases))
        start = max(0, first - _CREASES_AT_ONCE)
        if start:
            # All before a crease that was looked at lies on the near side of it: that side of the box round it all is
            # looked at in its place.
            before = every[known : begins[start]]
            known = begins[start]
            box[:2] = np.minimum(box[:2], (before.real.min(), before.imag.min()))
            box[2:] = np.maximum(box[2:], (before.real.max(), before.imag.max()))
            corners = np.array(_near_side(box.tolist(), complex(flips[start - 1]), float(edges[start - 1])))
            if (np.multiply.outer(flips[some], corners).real - edges[some, None]).max() > 0:
                start = 0
        points = every[begins[start] : begins[last]]
        heights = np.multiply.outer(flips.real[some], points.real) - np.multiply.outer(flips.imag[some], points.imag)
        farthest = np.maximum.reduceat(heights, begins[start:last] - begins[start], axis=1) - edges[some, None]
        ahead = np.arange(start, last) > np.arange(first, last)[:, None]
        if (farthest[~ahead] > ON_LINE).any():
            return False
    return True


def _near_side(box: Sequence[float], flip: complex, edge: float) -> list[complex]:
    # The corners of what of a box lies on the near side of a line, or in the line.
    left, top, right, bottom = box
    round_ = [complex(left, top), complex(right, top), complex(right, bottom), complex(left, bottom)]
    high = [(z * flip).real - edge for z in round_]
    found: list[complex] = []
    for k, z in enumerate(round_):
        if high[k - 1] * high[k] < 0:
            share = high[k - 1] / (high[k - 1] - high[k])
            found.append(round_[k - 1] + share * (z - round_[k - 1]))
        if high[k] <= 0:
            found.append(z)
    return found or round_


_CREASES_AT_ONCE = 32
"""So many creases are held against all layers about them in one go."""


def _apart_one_by_one(creases: tuple[FlatLine, ...], points: list[list[complex]], hand: float) -> bool:
    # The same layer by layer: layers whose boxes are parted need no crease between them.
    boxes = [box_of(layer) for layer in points]
    before = boxes[0]
    for k, crease in enumerate(creases, 1):
        along = crease.hem - crease.top
        flip = (-1j * hand * along / abs(along)).conjugate()
        edge_at = (crease.top * flip).real
        box = boxes[k]
        if _least(box, flip) < edge_at - ON_LINE and min([(z * flip).real for z in points[k]]) < edge_at - ON_LINE:
            return False
        if -_least(before, -flip) > edge_at + ON_LINE:
            for other, layer in zip(boxes[:k], points, strict=False):
                apart = other[2] < box[0] or other[0] > box[2] or other[3] < box[1] or other[1] > box[3]
                if not apart and max([(z * flip).real for z in layer]) > edge_at + ON_LINE:
                    return False
        before = min(before[0], box[0]), min(before[1], box[1]), max(before[2], box[2]), max(before[3], box[3])
    return True


def _least(box: Box, flip: complex) -> float:
    # The least height that a point of a box can have along the direction whose conjugate is `flip`.
    left, top, right, bottom = box
    across, down = flip.real, -flip.imag
    return across * (left if across > 0 else right) + down * (top if down > 0 else bottom)
