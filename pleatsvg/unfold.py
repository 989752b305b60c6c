"""The fold model: from the finished piece to the flat one, by reflections and nothing else.

The finished outline is walked from fold line to fold line. What lies between two of them, panel or strip alike, goes
to the flat piece by one rigid motion; crossing fold line f turns the motion G into G after the reflection in f. Every
part of the flat seam is therefore a part of the finished seam, moved: folded, its hidden edges lie on the seam
because they are pieces of it. Nothing is solved for, flattened or refitted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, chain, islice
from typing import NamedTuple

import numpy as np

from pleatsvg.cutline import CutLine
from pleatsvg.cutting import Cutting
from pleatsvg.errors import FitError
from pleatsvg.hems import end_on, farthest_off, hidden_runs, smoothed
from pleatsvg.kick import KickTop, seam_tops
from pleatsvg.layout import LaidPleat
from pleatsvg.legs import FlatEdge, edges_of, legs_of, parted
from pleatsvg.motion import STAY, Motion, moved, reflection
from pleatsvg.outline import Outline
from pleatsvg.segment import Box, Segment, box_of
from pleatsvg.slash import Chord, SlashSet
from pleatsvg.tolerance import ON_LINE


class FlatLine(NamedTuple):
    """A straight line on the flat piece, from the top seam to the hem (mm).

    Attributes:
        role: "fold", "inner" or "stitch" for creases, "placement" or "mate" for what they come to lie on.
        pleat: the pleat's number.
        folds: (place in the fold list,) of a fold; of a placement line, those of the folds that come to lie on it.
        top, hem: its ends on the seam.
        layer: the layer of cloth that it ends (folds), or that it lies on (placement lines).
        out_top, out_hem: where it runs out on the cutting line, or its ends on the seam where there is none.
        rooms: the allowance at its two ends in mm; -1 where it ends inside the allowance, on another fold line.
    """

    role: str
    pleat: int
    folds: tuple[int, ...]
    top: complex
    hem: complex
    layer: int
    out_top: complex
    out_hem: complex
    rooms: tuple[float, float] = (0.0, 0.0)


class Join(NamedTuple):
    """A crease at which the flat piece is parted: its ends, top first, on the part before it and on the part after it."""

    number: int
    crease: int
    before: tuple[complex, complex]
    after: tuple[complex, complex]


BETWEEN_PARTS = 40.0
"""mm between the cutting lines of two parts on the page."""


def _outlines(edges: tuple[FlatEdge, ...], loops: tuple[int, ...]) -> tuple[Outline, ...]:
    rest = iter(edges)
    return tuple([Outline(tuple([edge.points for edge in islice(rest, count)])) for count in loops])


@dataclass(frozen=True)
class Unfolded:
    """The flat piece in the finished piece's coordinates, its first panel where it was drawn.

    Attributes:
        seam: the closed flat stitching line, in order.
        creases: every fold, in the order of the cloth; layer k lies between crease k - 1 and crease k.
        placements: the placement lines.
        motions: of every layer.
        panels: of the panels before the first pleat, between pleats and after the last: which layer each is.
        cut: the closed flat cutting line, in order; () where there is none.
        free: the stretches of the cutting line that fold onto nothing, since fold lines meet inside the allowance.
        fold_edge: the edge cut on the fold, from its top to its hem, or None.
        trimmed: whether layers of the cutting line were trimmed, since fold lines meet inside the allowance.
        seam_loops, cut_loops: how many edges of `seam` and `cut` bound each part.
        hem_off: how far a smooth hem leaves the folded one at its most, mm.
        joins: where the parts are sewn together again.
        out_chords: the fold lines on the finished piece, produced to its cutting line (to its seam where there is none).
    """

    seam: tuple[FlatEdge, ...]
    creases: tuple[FlatLine, ...]
    placements: tuple[FlatLine, ...]
    motions: tuple[Motion, ...]
    panels: tuple[int, ...]
    cut: tuple[FlatEdge, ...] = ()
    free: tuple[tuple[Segment, ...], ...] = ()
    fold_edge: tuple[complex, complex] | None = None
    out_chords: tuple[Chord, ...] = ()
    trimmed: bool = False
    seam_loops: tuple[int, ...] = ()
    cut_loops: tuple[int, ...] = ()
    joins: tuple[Join, ...] = ()
    hem_off: float = 0.0

    @cached_property
    def seams(self) -> tuple[Outline, ...]:
        """The flat seam of each part."""
        return _outlines(self.seam, self.seam_loops)

    @cached_property
    def cuts(self) -> tuple[Outline, ...]:
        """The flat cutting line of each part; the seams where there is none."""
        return _outlines(self.cut, self.cut_loops) if self.cut else self.seams

    @cached_property
    def outline(self) -> Outline:
        """The flat seam of a piece in one part."""
        return self.seams[0]

    def part_of(self, layer: int) -> int:
        """Return which part a layer belongs to, from 0."""
        return sum(1 for join in self.joins if join.crease < layer)


def unfold(
    lines: SlashSet,
    pleats: tuple[LaidPleat, ...],
    cutting: Cutting | None = None,
    joins: Sequence[int] = (),
    join_allowance: float = 0.0,
    smooth_hem: bool = False,
) -> Unfolded:
    """Return the flat piece.

    Args:
        lines: the slash lines on the finished seam, and the fold edge if there is one.
        pleats: laid out on it, in order.
        cutting: the finished piece's cutting line, or None.
        joins: the creases at which it is parted, counted from 0, ascending; the parts are set apart from each other.
        join_allowance: beyond each of them, in mm.
        smooth_hem: the hem runs smoothly over hidden cloth; not where the piece is parted.
    """
    outline = lines.outline
    motions: list[Motion] = [STAY]
    chords: list[Chord] = []
    for pleat in pleats:
        for fold in pleat.folds:
            before = motions[-1]
            after = before.after(reflection(fold.chord.top, fold.chord.hem))
            if len(chords) in joins:
                top, hem = before.of(fold.chord.top), before.of(fold.chord.hem)
                apart = -1j * lines.hand * (hem - top) / abs(hem - top) * (2 * join_allowance + BETWEEN_PARTS)
                after = Motion(after.turn, after.shift + apart, after.flips)
            motions.append(after)
            chords.append(fold.chord)
    kicks: dict[int, KickTop] = {}
    at = 0
    for pleat in pleats:
        if pleat.kick is not None:
            kicks[at] = pleat.kick
        at += len(pleat.folds)
    runs_hidden = hidden_runs(pleats) if smooth_hem else []
    out = chords
    cut_edges: tuple[FlatEdge, ...] = ()
    free: list[tuple[Segment, ...]] = []
    # The folds of a kick pleat end at its top, where nothing is notched.
    kicked = {k + j for k in kicks for j in range(4)}
    rooms = [(-1.0 if k in kicked else 0.0, 0.0) for k in range(len(chords))]
    trimmed = False
    cut_loops: tuple[int, ...] = ()
    if cutting is not None:
        made = CutLine(cutting, chords, motions, lines.first, lines.last, joins, join_allowance, kicks, runs_hidden)
        out, cut_edges, free = made.out, made.edges, made.free
        _refuse_coming_back(outline, cutting, chords, out)
        rooms = made.rooms(lines.outline)
        trimmed = made.trimmed
        cut_loops = made.loops
    ends = {id(chord): k for k, chord in reversed(list(enumerate(chords)))}
    creases: list[FlatLine] = []
    placements: list[FlatLine] = []
    panels = [0]
    layer = 0
    for pleat in pleats:
        base = layer
        for place, fold in enumerate(pleat.folds, 1):
            here = motions[layer]
            chord, there = fold.chord, out[layer]
            top, hem, out_top, out_hem = moved((chord.top, chord.hem, there.top, there.hem), here)
            creases.append(FlatLine(fold.role, pleat.number, (place,), top, hem, layer, out_top, out_hem, rooms[layer]))
            layer += 1
        for placement in pleat.placements:
            chord = placement.chord
            k = ends.get(id(chord))
            there, room = (chord, (0.0, 0.0)) if k is None else (out[k], rooms[k])
            on = base + placement.folds_before
            top, hem, out_top, out_hem = moved((chord.top, chord.hem, there.top, there.hem), motions[on])
            placements.append(
                FlatLine(placement.role, pleat.number, placement.carries, top, hem, on, out_top, out_hem, room)
            )
        panels.append(layer)
    fold_edge = None
    for terminal, motion in ((lines.first, motions[0]), (lines.last, motions[-1])):
        if terminal is not None:
            fold_edge = motion.of(terminal.top), motion.of(terminal.hem)
    paths = {k: seam_tops(kick) for k, kick in kicks.items()}
    legs = legs_of(outline, chords, lines.first, lines.last, paths)
    hem_off = 0.0
    if runs_hidden:
        folded = edges_of(outline, [leg for leg in legs if leg.fold is None and not leg.path], motions)
        legs, curves = smoothed(outline, legs, runs_hidden, [run.border.hem_at for run in runs_hidden], motions)
        last = max(k for k, edge in enumerate(folded) if edge.layer == len(motions) - 1)
        for run, curve in zip(runs_hidden, curves, strict=True):
            if max([abs(z - curve[0]) for z in curve]) > ON_LINE:  # at a hinge there is nothing to run over
                free.append((curve,))
            hidden = [edge.points for edge in folded[last:] if run.before < edge.layer < run.after]
            hem_off = max(hem_off, farthest_off(curve, hidden))
            creases[run.before : run.after] = [
                _ended_on(line, curve, cutting is None) for line in creases[run.before : run.after]
            ]
    parts = parted(legs, len(chords), len(outline), joins, lambda k, _: chords[k]) if joins else [legs]
    runs = [edges_of(outline, part, motions) for part in parts]
    made_joins = [
        Join(
            number,
            k,
            (creases[k].top, creases[k].hem),
            (motions[k + 1].of(chords[k].top), motions[k + 1].of(chords[k].hem)),
        )
        for number, k in enumerate(joins, 1)
    ]
    return Unfolded(
        tuple([edge for run in runs for edge in run]),
        tuple(creases),
        tuple(placements),
        tuple(motions),
        tuple(panels),
        cut_edges,
        (*free, *[run for k, tops in paths.items() for run in _kick_edges(tops, motions, k, joins)]),
        fold_edge,
        tuple(out),
        trimmed,
        tuple([len(run) for run in runs]),
        cut_loops,
        tuple(made_joins),
        hem_off,
    )


def _ended_on(line: FlatLine, curve: Segment, alone: bool) -> FlatLine:
    # A line of a pleat with a smooth hem ends there, and so does its end on the cutting line where there is none.
    hem = end_on(curve, line.top, line.hem)
    return line._replace(hem=hem, out_hem=hem) if alone else line._replace(hem=hem)


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


def layers_lie_apart(unfolded: Unfolded, hand: float) -> bool:
    """Return True where it is plain that no two layers of the flat piece lie over each other.

    Each layer is a rigid copy of a part of a simple outline. If it lies wholly beyond the crease that begins it, and
    every layer before it wholly on the near side of that crease, the two are parted. False means only that a closer
    look is needed.

    Args:
        unfolded: the flat piece.
        hand: +1 where the outline is walked clockwise on the page.
    """
    points: list[list[complex]] = [[] for _ in unfolded.motions]
    for edge in unfolded.cut or unfolded.seam:
        points[edge.layer] += edge.points
    for k, crease in enumerate(unfolded.creases):
        # A layer whose edges have no length, as between two pleats that touch, is bounded by its creases alone.
        ends = (crease.out_top, crease.out_hem)
        points[k] += ends
        points[k + 1] += ends
    return _in_a_row(unfolded.creases, points, hand) or _apart_one_by_one(unfolded.creases, points, hand)


def _refuse_coming_back(outline: Outline, cutting: Cutting, chords: Sequence[Chord], out: Sequence[Chord]) -> None:
    # A line that ends in a hollow of the seam may lie within its allowance as far as the piece's other side.
    usual = 2 * max(cutting.distances)
    for chord, there in zip(chords, out, strict=True):
        for end, beyond in ((chord.top, there.top), (chord.hem, there.hem)):
            reach = abs(beyond - end)
            if reach > usual and any(
                ON_LINE < hit.along < reach - ON_LINE for hit in outline.crossings(end, (beyond - end) / reach)
            ):
                raise FitError(
                    f"The fold line from ({chord.top.real:.0f}, {chord.top.imag:.0f}) mm on the page",
                    "ends at the seam, runs on within its allowance and comes onto the piece again",
                    "a fold line runs out over the allowance",
                    "Move the slash line away from that edge or turn it, or take a smaller allowance there.",
                )


def _in_a_row(creases: tuple[FlatLine, ...], points: list[list[complex]], hand: float) -> bool:
    # Whether each crease parts the layer after it from all before it, as is so on nearly every piece: worked out for all
    # creases and all points at once.
    ways = np.array([crease.hem - crease.top for crease in creases], complex)
    flips = (-1j * hand * ways / np.abs(ways)).conj()
    edges = (np.array([crease.top for crease in creases], complex) * flips).real
    heights = np.multiply.outer(flips, np.array(list(chain.from_iterable(points)), complex)).real - edges[:, None]
    begins = list(accumulate([len(layer) for layer in points[:-1]]))
    beyond = np.minimum.reduceat(heights, begins, axis=1).diagonal()
    farthest = np.maximum.accumulate(heights, axis=1)[range(len(begins)), [begin - 1 for begin in begins]]
    return bool(beyond.min() >= -ON_LINE and farthest.max() <= ON_LINE)


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
