"""The fold model: from the finished piece to the flat one, by reflections and nothing else.

The finished outline is walked from fold line to fold line. What lies between two of them, panel or strip alike, goes
to the flat piece by one rigid motion; crossing fold line f turns the motion G into G after the reflection in f. Every
part of the flat seam is therefore a part of the finished seam, moved: folded, its hidden edges lie on the seam
because they are pieces of it. Nothing is solved for, flattened or refitted.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from pleatsvg.layout import LaidPleat
from pleatsvg.motion import STAY, Motion, moved, reflection
from pleatsvg.outline import Outline, Stretch
from pleatsvg.segment import Box, Segment, box_of, cut
from pleatsvg.slash import Chord
from pleatsvg.tolerance import ON_LINE


class FlatEdge(NamedTuple):
    """One segment of the flat seam: its points (mm), the layer of cloth it bounds, and the part of the seam it is."""

    points: Segment
    layer: int
    origin: Stretch


class FlatLine(NamedTuple):
    """A straight line on the flat piece, from the top seam to the hem (mm).

    Attributes:
        role: "fold", "inner" or "placement".
        pleat: the pleat's number.
        folds: (place in the fold list,) of a fold; of a placement line, those of the folds that come to lie on it.
        top, hem: its ends.
        layer: the layer of cloth that it ends (folds), or that it lies on (placement lines).
    """

    role: str
    pleat: int
    folds: tuple[int, ...]
    top: complex
    hem: complex
    layer: int


@dataclass(frozen=True)
class Unfolded:
    """The flat piece in the finished piece's coordinates, its first panel where it was drawn.

    Attributes:
        seam: the closed flat stitching line, in order.
        creases: every fold, in the order of the cloth; layer k lies between crease k - 1 and crease k.
        placements: the placement lines.
        motions: of every layer.
        panels: of the panels before the first pleat, between pleats and after the last: which layer each is.
    """

    seam: tuple[FlatEdge, ...]
    creases: tuple[FlatLine, ...]
    placements: tuple[FlatLine, ...]
    motions: tuple[Motion, ...]
    panels: tuple[int, ...]

    @cached_property
    def outline(self) -> Outline:
        """The flat seam as an outline."""
        return Outline(tuple([edge.points for edge in self.seam]))


def unfold(outline: Outline, pleats: tuple[LaidPleat, ...]) -> Unfolded:
    """Return the flat piece.

    Args:
        outline: the finished seam, walked so that the pleats' top ends ascend in place.
        pleats: laid out on it, in order.
    """
    motions: list[Motion] = [STAY]
    creases: list[FlatLine] = []
    placements: list[FlatLine] = []
    chords: list[Chord] = []
    panels = [0]
    for pleat in pleats:
        base = len(motions) - 1
        for place, fold in enumerate(pleat.folds, 1):
            here = motions[-1]
            chord = fold.chord
            role = "fold" if fold.outer else "inner"
            top, hem = here.of(chord.top), here.of(chord.hem)
            creases.append(FlatLine(role, pleat.number, (place,), top, hem, len(motions) - 1))
            motions.append(here.after(reflection(chord.top, chord.hem)))
            chords.append(chord)
        for placement in pleat.placements:
            layer = base + placement.folds_before
            on = motions[layer]
            top, hem = on.of(placement.chord.top), on.of(placement.chord.hem)
            placements.append(FlatLine("placement", pleat.number, placement.carries, top, hem, layer))
        panels.append(len(motions) - 1)
    return Unfolded(_seam(outline, chords, motions), tuple(creases), tuple(placements), tuple(motions), tuple(panels))


def _seam(outline: Outline, chords: list[Chord], motions: list[Motion]) -> tuple[FlatEdge, ...]:
    n = len(outline)
    last = len(chords)
    legs = [(chords[0].hem_at, chords[0].top_at + n, 0)]
    legs += [(a.top_at, b.top_at, k) for k, (a, b) in enumerate(itertools.pairwise(chords), 1)]
    legs += [(chords[-1].top_at, chords[-1].hem_at, last)]
    legs += [(chords[k].hem_at, chords[k - 1].hem_at, k) for k in range(last - 1, 0, -1)]
    edges: list[FlatEdge] = []
    for start, end, layer in legs:
        motion = motions[layer]
        for stretch in outline.stretches(start, end):
            edges.append(
                FlatEdge(moved(cut(outline.segments[stretch.segment], stretch.t0, stretch.t1), motion), layer, stretch)
            )
    return tuple(edges)


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
    for edge in unfolded.seam:
        points[edge.layer] += edge.points
    for k, crease in enumerate(unfolded.creases):
        # A layer whose edges have no length, as between two pleats that touch, is bounded by its creases alone.
        points[k] += (crease.top, crease.hem)
        points[k + 1] += (crease.top, crease.hem)
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
