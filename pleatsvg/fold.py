"""The way back: a flat piece is folded from its drawn creases, and every raw edge is held against the seam.

Nothing here uses the motions that unfolded the piece. The layers are folded by reflections in the creases alone, with
the numbers that will be written; where the unfolding says that an edge came from is only where the answer is looked
for, so that a wrong word from it shows as a miss.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pleatsvg.legs import FlatEdge
from pleatsvg.motion import STAY, Motion, moved, reflection
from pleatsvg.outline import Outline
from pleatsvg.segment import Segment, cut, length_of
from pleatsvg.unfold import FlatLine, Join


@dataclass(frozen=True, slots=True)
class FoldBack:
    """What the fold-back measured, in mm.

    Attributes:
        raw_edges: the largest miss of any raw edge of any layer from the finished seam. Both are cubics over the same
            shares, so the largest miss of their control points bounds it all along.
        folds: the largest miss of an outer fold line from its placement line, at either end.
        bare: length of finished seam that no layer's edge covers: the silhouette's gap.
    """

    raw_edges: float
    folds: float
    bare: float

    @property
    def worst(self) -> float:
        """The largest of the three."""
        return max(self.raw_edges, self.folds, self.bare)


@dataclass(frozen=True, slots=True)
class Target:
    """What a flat line is folded back onto.

    Attributes:
        outline: the finished line of the piece as drawn.
        segments: those that a flat edge's origin counts: of the drawn piece and, where it is cut on the fold, of its
            mirror image, and the fold edge last.
        wanted: which of them some layer must cover; None for all.
    """

    outline: Outline
    segments: tuple[Segment, ...]
    wanted: frozenset[int] | None = None


def fold_back(
    finished: Target,
    seam: tuple[FlatEdge, ...],
    creases: tuple[FlatLine, ...],
    placements: tuple[FlatLine, ...],
    joins: tuple[Join, ...] = (),
) -> FoldBack:
    """Fold a flat piece along its creases and measure it against the finished one.

    Args:
        finished: the seam (or the cutting line) as drawn, laid on the first layer.
        seam: the flat seam's segments as they will be written, each with its layer and the part of the seam it claims
            to be.
        creases: in the order of the cloth, as they will be written.
        placements: as they will be written.
        joins: where parts are sewn together again: each part is first laid on the one before it, line on line.
    """
    folding: list[Motion] = [STAY]
    joined = {join.crease: join for join in joins}
    for k, crease in enumerate(creases):
        motion = folding[-1].after(reflection(crease.top, crease.hem))
        if k in joined:
            motion = motion.after(_laid_on(joined[k].after, joined[k].before))
        folding.append(motion)
    covered: list[list[tuple[float, float]]] = [[] for _ in finished.segments]
    folded: list[complex] = []
    expected: list[complex] = []
    for points, layer, (index, t0, t1) in seam:
        if index < 0:
            continue  # folds onto nothing, and is drawn so
        there = cut(finished.segments[index], t0, t1)
        if len(there) != len(points):
            raise ValueError("an edge of the flat piece is no part of the segment that it claims to be")
        expected += there
        folded += moved(points, folding[layer])
        covered[index].append((t0, t1) if t0 < t1 else (t1, t0))
    # A number that is none comes out as the largest, and so as a miss.
    raw = float(np.max(np.abs(np.array(folded) - np.array(expected)), initial=0.0))
    bare = 0.0
    for index, spans in enumerate(covered):
        share = _uncovered(spans) if finished.wanted is None or index in finished.wanted else 0.0
        if share > 1e-12:
            bare += share * length_of(finished.segments[index])
    folds = 0.0
    by_place = {(c.pleat, c.folds[0]): c for c in creases}
    for placement in placements:
        on = folding[placement.layer]
        top, hem = on.of(placement.top), on.of(placement.hem)
        for place in placement.folds:
            crease = by_place[placement.pleat, place]
            laid = folding[crease.layer]
            folds = max(folds, abs(laid.of(crease.top) - top), abs(laid.of(crease.hem) - hem))
    return FoldBack(raw, folds, bare)


def _laid_on(line: tuple[complex, complex], onto: tuple[complex, complex]) -> Motion:
    # The motion without turning over that lays one line on another, end on end as nearly as may be.
    turn = (onto[1] - onto[0]) / (line[1] - line[0])
    turn /= abs(turn)
    return Motion(turn, (onto[0] + onto[1]) / 2 - turn * (line[0] + line[1]) / 2, False)


def _uncovered(spans: list[tuple[float, float]]) -> float:
    bare, reached = 0.0, 0.0
    for start, end in sorted(spans):
        if start > reached:
            bare += start - reached
        reached = max(reached, end)
    return bare + max(0.0, 1.0 - reached)
