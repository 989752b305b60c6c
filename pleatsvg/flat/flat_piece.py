"""The flat piece as values: its outlines, the lines of its pleats, its joins and its layers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial
from itertools import islice
from typing import NamedTuple

from pleatsvg.flat.once_round import FlatEdge
from pleatsvg.geometry.motion import Motion
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment
from pleatsvg.piece.slash_lines import Chord
from pleatsvg.result.roles import Role
from pleatsvg.tolerance import MET


class FlatLine(NamedTuple):
    """A straight line on the flat piece, from the top seam to the hem (mm).

    Attributes:
        role: FOLD, INNER, OUTWARD or STITCH for creases, PLACEMENT or MATE for what they come to lie on.
        pleat: the pleat's number.
        folds: (place in the fold list,) of a fold; of a placement line, those of the folds that come to lie on it.
        top, hem: its ends on the seam.
        layer: the layer of cloth that it ends (folds), or that it lies on (placement lines).
        out_top, out_hem: where it runs out on the cutting line, or its ends on the seam where there is none.
        rooms: the allowance at its two ends in mm; -1 where it ends inside the allowance, on another fold line.
        amid: whether its hem end lies amid a smooth hem, which leaves the folded one by design.
        bend: of a fitted pleat, the point at the hip level where it bends; None where it is straight from end to end.
    """

    role: Role
    pleat: int
    folds: tuple[int, ...]
    top: complex
    hem: complex
    layer: int
    out_top: complex
    out_hem: complex
    rooms: tuple[float, float] = (0.0, 0.0)
    amid: bool = False
    bend: complex | None = None


flat_line: Callable[
    [
        tuple[
            Role,
            int,
            tuple[int, ...],
            complex,
            complex,
            int,
            complex,
            complex,
            tuple[float, float],
            bool,
            complex | None,
        ]
    ],
    FlatLine,
] = partial(tuple.__new__, FlatLine)
"""Makes a line of its parts in one go: a piece has so many that naming them one by one takes its time."""


class Join(NamedTuple):
    """A crease at which the flat piece is parted: its ends, top first, on the part before it and on the part after it.

    Of a fitted piece `bends` are where it bends at the hip level, on either part; else they are None.
    """

    number: int
    crease: int
    before: tuple[complex, complex]
    after: tuple[complex, complex]
    bends: tuple[complex, complex] | None = None

    def drawn(self, side: int) -> tuple[complex, ...]:
        """Return its points from top to hem on the part before it (0) or after it (1)."""
        top, hem = self.after if side else self.before
        return (top, hem) if self.bends is None else (top, self.bends[side], hem)

    def to_hem(self, side: int) -> tuple[complex, complex]:
        """Return what of it runs straight to the hem, of a fitted piece from the hip, on the part before it (0) or after it."""
        return self.drawn(side)[-2], self.drawn(side)[-1]


def _outlines(
    edges: tuple[FlatEdge, ...], loops: tuple[int, ...], legs: frozenset[int] = frozenset()
) -> tuple[Outline, ...]:
    rest = iter(edges)
    if not legs:
        return tuple([Outline(tuple([edge.points for edge in islice(rest, count)])) for count in loops])
    return tuple([_without(list(islice(rest, count)), legs) for count in loops])


def _without(edges: list[FlatEdge], legs: frozenset[int]) -> Outline:
    # Where two legs lie on one another no cloth is cut. Legs that differ in length leave a step.
    made: list[Segment] = []
    kept = [edge.points for edge in edges if edge.origin[0] not in legs]
    for k, seg in enumerate(kept):
        before = kept[k - 1][-1]
        if abs(seg[0] - before) > MET:
            made.append((before, seg[0]))
            made.append(seg)
        else:
            made.append((before, *seg[1:]))
    return Outline(tuple(made))


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
        ring: where the round of a piece that goes all round begins and ends, from top to hem, on a panel of its first part;
            None for any other.
        out_chords: the fold lines on the finished piece, produced to its cutting line (to its seam where there is none).
        legs, cut_legs: which segments of the finished seam, and of its cutting line, are legs of darts that are closed: in
            `seam` and `cut` they lie on one another, and are no edge of the flat piece.
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
    ring: tuple[complex, complex] | None = None
    legs: frozenset[int] = frozenset()
    cut_legs: frozenset[int] = frozenset()

    @cached_property
    def seams(self) -> tuple[Outline, ...]:
        """The flat seam of each part."""
        return _outlines(self.seam, self.seam_loops, self.legs)

    @cached_property
    def cuts(self) -> tuple[Outline, ...]:
        """The flat cutting line of each part; the seams where there is none."""
        return _outlines(self.cut, self.cut_loops, self.cut_legs) if self.cut else self.seams

    @cached_property
    def closed(self) -> tuple[tuple[str, tuple[complex, complex, complex]], ...]:
        """For every dart that is closed, on the seam and on the cutting line: from there to its point and back."""
        found: list[tuple[str, tuple[complex, complex, complex]]] = []
        for name, edges, legs in (("seam", self.seam, self.legs), ("cut", self.cut, self.cut_legs)):
            for one, other in zip(edges, (*edges[1:], *edges[:1]), strict=True):
                if one.origin[0] in legs and other.origin[0] in legs and one.origin[0] != other.origin[0]:
                    found.append((name, (one.points[0], one.points[-1], other.points[-1])))
        return tuple(found)

    @cached_property
    def outline(self) -> Outline:
        """The flat seam of a piece in one part."""
        return self.seams[0]

    def part_of(self, layer: int) -> int:
        """Return which part a layer belongs to, from 0."""
        before = self.joins_before(layer)
        return before if self.ring is None or not self.joins else before % len(self.joins)

    def joins_before(self, layer: int) -> int:
        """Return how many joins come before a layer in the order of the cloth; all round, they may be those of its own part."""
        return sum(1 for join in self.joins if join.crease < layer)
