"""The way back: a flat piece is folded from its drawn creases, and every raw edge is held against the seam.

Nothing here uses the motions that unfolded the piece. The layers are folded by reflections in the creases alone, with
the numbers that will be written; where the unfolding says that an edge came from is only where the answer is looked
for, so that a wrong word from it shows as a miss.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, chain, pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pleatsvg.errors import ProofError
from pleatsvg.flat.as_written import Target
from pleatsvg.flat.flat_piece import FlatLine, Join
from pleatsvg.flat.once_round import FlatEdge
from pleatsvg.flat.passes.earlier_lines import Through
from pleatsvg.geometry.motion import STAY, Motion
from pleatsvg.geometry.segment import evenly, length_of
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
        """The largest of the three; no number where one of them is none."""
        three = self.raw_edges, self.folds, self.bare
        return math.nan if math.isnan(sum(three)) else max(three)


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
        motion = folding[-1].over(crease.top, crease.hem)
        if k in joined:
            motion = motion.after(_laid_on(joined[k].after, joined[k].before))
        folding.append(motion)
    return tuple(folding)


class ToFold(NamedTuple):
    """What is folded back and measured.

    Attributes:
        finished: the seam (or the cutting line) as drawn, laid on the first layer.
        edges: the flat seam's segments as they will be written, each with its layer and the part of the seam it claims to be.
        folded: where each layer comes to lie; cf. `folded_layers`.
        creases: as they will be written.
        placements: as they will be written; those lines are measured that lie on them.
        bent_at: "top" or "hem" where the lines are parts of bent ones and bend there: along the line that end counts for
            nothing, since the middle layer of an inverted pleat slides by a hair at the hip.
    """

    finished: Target
    edges: tuple[FlatEdge, ...]
    folded: tuple[Motion, ...]
    creases: tuple[FlatLine, ...] = ()
    placements: tuple[FlatLine, ...] = ()
    bent_at: str = ""


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
    return folded_back([ToFold(finished, seam, folded_layers(creases, joins), creases, placements)])[0]


def folded_back(asked: Sequence[ToFold]) -> list[FoldBack]:
    """Fold seam and cutting line, of a fitted piece those of either zone, and measure each; all in one go."""
    # What folds onto nothing, and is drawn so, has no number.
    edges = [[edge for edge in one.edges if edge.origin[0] >= 0] for one in asked]
    claims = [np.array([edge.origin for edge in own]).reshape(-1, 3) for own in edges]
    raw = _missed(asked, edges, claims)
    return [
        FoldBack(miss, _folds_off(one) if one.placements else 0.0, _bare(one, own))
        for miss, one, own in zip(raw, asked, claims, strict=True)
    ]


_Shares = NDArray[np.float64]
"""Of many edges the parts of the seam that they claim to be, in rows of three."""


def _bare(one: ToFold, claims: _Shares) -> float:
    # The length of finished line that is to be covered and is covered by no edge.
    segments, wanted = one.finished.segments, one.finished.wanted
    whole = claims[(claims[:, 1] == 0) & (claims[:, 2] == 1), 0].tolist()
    rest = set(range(len(segments)) if wanted is None else wanted).difference(map(int, whole))
    if not rest:
        return 0.0
    spans: dict[int, list[tuple[float, float]]] = {index: [] for index in sorted(rest)}
    for index, t0, t1 in claims.tolist():
        if index in spans:
            spans[index].append((t0, t1) if t0 < t1 else (t1, t0))
    bare = 0.0
    for index, own in spans.items():
        share = _uncovered(own)
        if share > 1e-12:
            bare += share * length_of(segments[index])
    return bare


def _folds_off(one: ToFold) -> float:
    # By how much the folds miss the placement lines on which they come to lie, at either end.
    by_place = {(crease.pleat, crease.folds[0]): crease for crease in one.creases}
    end = None if not one.bent_at else int(one.bent_at == "hem")
    folded = one.folded
    folds = 0.0
    for _, pleat, places, top, hem, layer, _, _, _, amid, _ in one.placements:
        turn, shift, flips = folded[layer]
        top, hem = (
            (turn * top.conjugate() + shift, turn * hem.conjugate() + shift)
            if flips
            else (turn * top + shift, turn * hem + shift)
        )
        for place in places:
            crease = by_place[pleat, place]
            laid = folded[crease.layer]
            off = [laid.of(crease.top) - top, laid.of(crease.hem) - hem]
            if end is not None or amid or crease.amid:
                back = ((hem - top) / abs(hem - top)).conjugate()
                if amid or crease.amid:  # they lie on one line and need not end at one place of it
                    off[1] = complex(0.0, (off[1] * back).imag)
                if end is not None:
                    off[end] = complex(0.0, (off[end] * back).imag)
            folds = max(folds, abs(off[0]), abs(off[1]))
    return folds


_Points = NDArray[np.complex128]


def _missed(asked: Sequence[ToFold], edges: Sequence[Sequence[FlatEdge]], claims: Sequence[_Shares]) -> list[float]:
    # By how much the folded edges of each miss the segments that they claim to be parts of: the worst of their control points.
    bounds = [0, *accumulate(map(len, edges))]
    if not bounds[-1]:
        return [0.0] * len(asked)
    segments = [segment for one in asked for segment in one.finished.segments]
    points = [edge.points for own in edges for edge in own]
    # Those of each are counted on behind those of the ones before.
    before = np.repeat(_behind([len(one.finished.segments) for one in asked]), list(map(len, edges)))
    under = np.repeat(_behind([len(one.folded) for one in asked]), list(map(len, edges)))
    index, t0, t1 = np.concatenate(claims).T
    of = index.astype(int) + before
    nodes = list(map(len, segments))
    if list(map(len, points)) != [nodes[k] for k in of.tolist()]:
        raise ValueError("an edge of the flat piece is no part of the segment that it claims to be")
    layers = np.array([edge.layer for own in edges for edge in own]) + under
    turns, shifts, flips = zip(*chain.from_iterable([one.folded for one in asked]), strict=True)
    turned = np.array(flips)[layers]
    there = evenly(points).T
    with np.errstate(all="ignore"):  # a number that is none comes out as a miss
        there = np.array(turns)[layers] * np.where(turned, there.conj(), there) + np.array(shifts)[layers]
        worst = np.abs(there - _between(evenly(segments), of, t0, t1)).max(axis=0)
    return [float(worst[a:b].max(initial=0.0)) for a, b in pairwise(bounds)]


def _behind(counts: list[int]) -> list[int]:
    return [0, *accumulate(counts[:-1])]


def _between(segments: _Points, of: NDArray[np.int64], t0: _Shares, t1: _Shares) -> _Points:
    # The parts of segments from share to share, by the powers of the share t: a + 3ut + 3vt^2 + wt^3. The handles lie a third
    # of the slope from the ends. The unfolding cuts another way.
    a, b, c, d = segments.T
    u, middle = b - a, c - b
    v = middle - u
    w = (d - c - middle - v)[of]
    a, u, u3, v2, v3 = a[of], u[of], 3 * u[of], 2 * v[of], 3 * v[of]
    end = t0 * w
    first, slope = a + t0 * (u3 + t0 * (v3 + end)), u + t0 * (v2 + end)
    end = t1 * w
    last, slant = a + t1 * (u3 + t1 * (v3 + end)), u + t1 * (v2 + end)
    span = t1 - t0
    return np.array((first, first + span * slope, last - span * slant, last))


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
        folding.append(folding[-1].over(crease.top, crease.hem))
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
