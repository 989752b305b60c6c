"""The fold model: from the finished piece to the flat one, by reflections and nothing else.

The finished outline is walked from fold line to fold line. What lies between two of them, panel or strip alike, goes
to the flat piece by one rigid motion; crossing fold line f turns the motion G into G after the reflection in f. Every
part of the flat seam is therefore a part of the finished seam, moved: folded, its hidden edges lie on the seam
because they are pieces of it. Nothing is solved for, flattened or refitted.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from pleatsvg.cutline import CutLine
from pleatsvg.cutting import Cutting
from pleatsvg.layout import LaidPleat
from pleatsvg.legs import FlatEdge, edges_of, legs_of
from pleatsvg.motion import STAY, Motion, reflection
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

    @cached_property
    def outline(self) -> Outline:
        """The flat seam as an outline."""
        return Outline(tuple([edge.points for edge in self.seam]))

    @cached_property
    def cut_outline(self) -> Outline:
        """The flat cutting line as an outline; the seam where there is none."""
        return Outline(tuple([edge.points for edge in self.cut])) if self.cut else self.outline


def unfold(lines: SlashSet, pleats: tuple[LaidPleat, ...], cutting: Cutting | None = None) -> Unfolded:
    """Return the flat piece.

    Args:
        lines: the slash lines on the finished seam, and the fold edge if there is one.
        pleats: laid out on it, in order.
        cutting: the finished piece's cutting line, or None.
    """
    outline = lines.outline
    motions: list[Motion] = [STAY]
    chords: list[Chord] = []
    for pleat in pleats:
        for fold in pleat.folds:
            motions.append(motions[-1].after(reflection(fold.chord.top, fold.chord.hem)))
            chords.append(fold.chord)
    out = chords
    cut_edges: tuple[FlatEdge, ...] = ()
    free: list[tuple[Segment, ...]] = []
    rooms = [(0.0, 0.0)] * len(chords)
    trimmed = False
    if cutting is not None:
        made = CutLine(cutting, chords, motions, lines.first, lines.last)
        out, cut_edges, free = made.out, made.edges, made.free
        rooms = made.rooms(lines.outline)
        trimmed = made.trimmed
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
            top, hem = here.of(chord.top), here.of(chord.hem)
            out_top, out_hem = (top, hem) if cutting is None else (here.of(there.top), here.of(there.hem))
            creases.append(FlatLine(fold.role, pleat.number, (place,), top, hem, layer, out_top, out_hem, rooms[layer]))
            layer += 1
        for placement in pleat.placements:
            chord = placement.chord
            k = ends.get(id(chord))
            there, room = (chord, (0.0, 0.0)) if k is None else (out[k], rooms[k])
            on = motions[base + placement.folds_before]
            placements.append(
                FlatLine(
                    placement.role,
                    pleat.number,
                    placement.carries,
                    on.of(chord.top),
                    on.of(chord.hem),
                    base + placement.folds_before,
                    on.of(there.top),
                    on.of(there.hem),
                    room,
                )
            )
        panels.append(layer)
    fold_edge = None
    for terminal, motion in ((lines.first, motions[0]), (lines.last, motions[-1])):
        if terminal is not None:
            fold_edge = motion.of(terminal.top), motion.of(terminal.hem)
    return Unfolded(
        tuple(edges_of(outline, legs_of(outline, chords, lines.first, lines.last), motions)),
        tuple(creases),
        tuple(placements),
        tuple(motions),
        tuple(panels),
        cut_edges,
        tuple(free),
        fold_edge,
        tuple(out),
        trimmed,
    )


def layers_lie_apart(unfolded: Unfolded, hand: float) -> bool:
    """Return True where it is plain that no two layers of the flat piece lie over each other.

    Each layer is a rigid copy of a part of a simple outline. If it lies wholly beyond the crease that begins it, and
    every layer before it wholly on the near side of that crease, the two are parted. False means only that a closer
    look is needed.

    Args:
        unfolded: the flat piece.
        hand: +1 where the outline is walked clockwise on the page.
    """
    count = len(unfolded.creases)
    points: list[list[complex]] = [[] for _ in range(count + 1)]
    for edge in unfolded.cut or unfolded.seam:
        points[edge.layer] += edge.points
    for k, crease in enumerate(unfolded.creases):
        # A layer whose edges have no length, as between two pleats that touch, is bounded by its creases alone.
        points[k] += (crease.out_top, crease.out_hem)
        points[k + 1] += (crease.out_top, crease.out_hem)
    boxes = [box_of(layer) for layer in points]
    before = boxes[0]
    for k, crease in enumerate(unfolded.creases, 1):
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
