"""The way back: a flat piece is folded from its drawn creases, and every raw edge is held against the seam.

Nothing here uses the motions that unfolded the piece. The layers are folded by reflections in the creases alone, with
the numbers that will be written; where the unfolding says that an edge came from is only where the answer is looked
for, so that a wrong word from it shows as a miss.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from operator import sub

from pleatsvg.errors import ProofError
from pleatsvg.flat.as_written import Target
from pleatsvg.flat.flat_piece import FlatLine, Join
from pleatsvg.flat.once_round import FlatEdge
from pleatsvg.flat.passes.earlier_lines import Through
from pleatsvg.geometry.motion import STAY, Motion, moved, reflection
from pleatsvg.geometry.segment import Segment, length_of
from pleatsvg.result.classes import PLEAT_LINES
from pleatsvg.result.earlier import Earlier
from pleatsvg.result.pattern_lines import PatternLine
from pleatsvg.tolerance import FOLD_BACK


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


def worst_of(found: Sequence[FoldBack]) -> FoldBack:
    """Return the largest misses of several fold-backs."""
    return FoldBack(
        max([one.raw_edges for one in found]), max([one.folds for one in found]), max([one.bare for one in found])
    )


def folded_layers(creases: tuple[FlatLine, ...], joins: tuple[Join, ...] = ()) -> tuple[Motion, ...]:
    """Return where each layer of a flat piece comes to lie when it is folded along its creases as they will be written."""
    folding: list[Motion] = [STAY]
    joined = {join.crease: join for join in joins}
    for k, crease in enumerate(creases):
        motion = folding[-1].after(reflection(crease.top, crease.hem))
        if k in joined:
            motion = motion.after(_laid_on(joined[k].after, joined[k].before))
        folding.append(motion)
    return tuple(folding)


def fold_back(
    finished: Target,
    seam: tuple[FlatEdge, ...],
    creases: tuple[FlatLine, ...],
    placements: tuple[FlatLine, ...],
    joins: tuple[Join, ...] = (),
    folded: tuple[Motion, ...] | None = None,
    bent_at: str = "",
) -> FoldBack:
    """Fold a flat piece along its creases and measure it against the finished one.

    Args:
        finished: the seam (or the cutting line) as drawn, laid on the first layer.
        seam: the flat seam's segments as they will be written, each with its layer and the part of the seam it claims
            to be.
        creases: in the order of the cloth, as they will be written.
        placements: as they will be written.
        joins: where parts are sewn together again: each part is first laid on the one before it, line on line.
        folded: what `folded_layers` found of these creases and joins, where it was asked before.
        bent_at: "top" or "hem" where the lines are parts of bent ones and bend there: along the line that end counts for
            nothing, since the middle layer of an inverted pleat slides by a hair at the hip.
    """
    folding = folded if folded is not None else folded_layers(creases, joins)
    raw, covered = _missed(finished.segments, seam, folding)
    bare = 0.0
    for index, spans in covered.items():
        if finished.wanted is None or index in finished.wanted:
            share = _uncovered(spans)
            if share > 1e-12:
                bare += share * length_of(finished.segments[index])
    folds = 0.0
    by_place = {(c.pleat, c.folds[0]): c for c in creases}
    for placement in placements:
        on = folding[placement.layer]
        top, hem = on.of(placement.top), on.of(placement.hem)
        along = (hem - top) / abs(hem - top)
        for place in placement.folds:
            crease = by_place[placement.pleat, place]
            laid = folding[crease.layer]
            off = [laid.of(crease.top) - top, laid.of(crease.hem) - hem]
            if crease.amid or placement.amid:  # they lie on one line and need not end at one place of it
                off[1] = complex(0.0, (off[1] * along.conjugate()).imag)
            if bent_at:
                end = bent_at == "hem"
                off[end] = complex(0.0, (off[end] * along.conjugate()).imag)
            folds = max(folds, abs(off[0]), abs(off[1]))
    return FoldBack(raw, folds, bare)


_Curve = tuple[complex, complex, complex, complex, complex, complex]
"""A cubic by the powers of the share t: a + 3ut + 3vt^2 + wt^3, as (a, u, 3u, 2v, 3v, w)."""


def _curve_of(segment: Segment) -> _Curve:
    a, b, c, d = segment
    u, middle = b - a, c - b
    v = middle - u
    return a, u, 3 * u, 2 * v, 3 * v, d - c - middle - v


def _between(curve: _Curve, t0: float, t1: float) -> Segment:
    # The part from share to share: its handles lie a third of its slope from its ends. The unfolding cuts another way.
    a, u, u3, v2, v3, w = curve
    end = t0 * w
    first, slope = a + t0 * (u3 + t0 * (v3 + end)), u + t0 * (v2 + end)
    end = t1 * w
    last, slant = a + t1 * (u3 + t1 * (v3 + end)), u + t1 * (v2 + end)
    span = t1 - t0
    return first, first + span * slope, last - span * slant, last


def _missed(
    segments: tuple[Segment, ...], seam: tuple[FlatEdge, ...], folding: Sequence[Motion]
) -> tuple[float, dict[int, list[tuple[float, float]]]]:
    # By how much the folded edges miss the segments that they claim to be parts of, and which shares they cover of each
    # that is not covered by one edge alone.
    covered: dict[int, list[tuple[float, float]]] = {index: [] for index in range(len(segments))}
    misses = [0.0]
    curves: dict[int, _Curve] = {}
    for points, layer, (index, t0, t1) in seam:
        if index < 0:
            continue  # folds onto nothing, and is drawn so
        there = segments[index]
        if len(there) != len(points):
            raise ValueError("an edge of the flat piece is no part of the segment that it claims to be")
        if t0 == 0 and t1 == 1:
            covered.pop(index, None)
        elif index in covered:
            covered[index].append((t0, t1) if t0 < t1 else (t1, t0))
        turn, shift, flips = folding[layer]
        if len(points) == 2:  # most are lines
            first, last = points
            start, end = there
            if t0 != 0 or t1 != 1:
                way = end - start
                end = start + t1 * way
                start = start + t0 * way
            if flips:
                first, last = first.conjugate(), last.conjugate()
            misses += (abs(turn * first + shift - start), abs(turn * last + shift - end))
            continue
        if t0 != 0 or t1 != 1:
            if index not in curves:
                curves[index] = _curve_of(there)
            there = _between(curves[index], t0, t1)
        misses += map(abs, map(sub, moved(points, folding[layer]), there))
    # A number that is none makes the sum none, and so comes out as a miss.
    return (math.nan if math.isnan(sum(misses)) else max(misses)), covered


def _laid_on(line: tuple[complex, complex], onto: tuple[complex, complex]) -> Motion:
    # The motion without turning over that lays one line on another, end on end as nearly as may be.
    turn = (onto[1] - onto[0]) / (line[1] - line[0])
    turn /= abs(turn)
    return Motion(turn, (onto[0] + onto[1]) / 2 - turn * (line[0] + line[1]) / 2, False)


def _uncovered(spans: list[tuple[float, float]]) -> float:
    bare, reached = 0.0, 0.0
    spans.sort()
    for start, end in spans:
        if start > reached:
            bare += start - reached
        if end > reached:
            reached = end
    return bare + max(0.0, 1.0 - reached)


def prove_earlier(name: str, through: Through, written: Earlier, creases: Sequence[FlatLine], offset: complex) -> float:
    """Fold the lines of earlier passes back with the creases of the new one, and return how far the worst one misses.

    Nothing of the unfolding is used but the layer that each part is said to lie on: the creases are those that will be
    written, and so are the lines.

    Raises:
        ProofError: a line misses itself as it was before, or a part of it is gone.
    """
    folding: list[Motion] = [STAY]
    for crease in creases:
        folding.append(folding[-1].after(reflection(crease.top, crease.hem)))
    worst = 0.0
    for before, line, layers in zip(through.before, written.lines, through.layers, strict=True):
        if line.tag.role not in PLEAT_LINES:
            continue
        start, end = (z + offset for z in before.ends)
        length = abs(end - start)
        along = (end - start) / length
        spans: list[tuple[float, float]] = []
        for stroke, own in zip(line.strokes, layers, strict=True):
            for seg, layer in zip(stroke, own, strict=True):
                folded = [(folding[layer].of(z) - start) * along.conjugate() for z in (seg[0], seg[-1])]
                reach = sorted(w.real for w in folded)
                worst = max(worst, -reach[0], reach[1] - length, *[abs(w.imag) - _bend(before, along) for w in folded])
                spans.append((reach[0], reach[1]))
        reached = 0.0
        for low, high in sorted(spans):
            worst = max(worst, low - reached)
            reached = max(reached, high)
        worst = max(worst, length - reached)
    if not worst <= FOLD_BACK:
        raise ProofError(
            f"The flat piece '{name}'",
            f"does not fold back onto the earlier pass: a line of its pleats misses by {worst:.4f} mm",
            f"the limit is {FOLD_BACK} mm",
            "Nothing was written. Move the new lines away from the ends of the earlier ones and try again.",
        )
    return worst


def _bend(line: PatternLine, along: complex) -> float:
    # A line that an earlier pass of three has broken is held against its own shape.
    start = line.strokes[0][0][0]
    return max([abs(((z - start) * along.conjugate()).imag) for stroke in line.strokes for seg in stroke for z in seg])
