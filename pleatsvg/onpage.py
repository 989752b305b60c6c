"""Laying a flat piece on its page: moved there and rounded to the decimals that are written, so that what is proven is what is
written."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

import numpy as np

from pleatsvg.cutting import Cutting
from pleatsvg.fold import Target
from pleatsvg.ground import Ground
from pleatsvg.legs import FlatEdge
from pleatsvg.outline import Outline
from pleatsvg.segment import cut
from pleatsvg.slash import SlashSet
from pleatsvg.tolerance import DECIMALS
from pleatsvg.unfold import FlatLine, Join, Unfolded


def rounded(points: list[complex]) -> list[complex]:
    """Return points rounded to the decimals that are written: the floats nearest to these decimals."""
    found: list[complex] = np.round(np.array(points, dtype=complex), DECIMALS).tolist()
    return found


def finished_on_page(
    outline: Outline, ground: Ground, lines: SlashSet, offset: complex, cutting: Cutting | None = None
) -> Target:
    # The finished line as it will be written, with the fold edge as a segment of its own after the last.
    points = iter(rounded([z + offset for seg in outline.segments for z in seg]))
    placed = Outline(tuple([tuple(islice(points, len(seg))) for seg in outline.segments]))
    fold = lines.first or lines.last
    if fold is None:
        return Target(placed, placed.segments, None)
    there = cutting.produced(fold) if cutting is not None else fold
    top, hem = rounded([there.top + offset, there.hem + offset])
    n = len(outline)
    # The drawn half: from the fold edge round to it again.
    start, end = (there.hem_at, there.top_at) if lines.last is not None else (there.top_at, there.hem_at)
    end = start + (end - start) % n
    half = [cut(placed.segments[s.segment], s.t0, s.t1) for s in placed.stretches(start, end)]
    corner = [(hem, top), (top, hem)][lines.last is not None]
    half[0] = (corner[1], *half[0][1:])
    half[-1] = (*half[-1][:-1], corner[0])
    wanted = frozenset(s.segment for s in placed.stretches(start, end) if {s.t0, s.t1} == {0.0, 1.0})
    return Target(Outline((*half, corner)), (*placed.segments, (top, hem)), wanted)


def flat_on_page(unfolded: Unfolded, offset: complex) -> Unfolded:
    # Moved onto the page and rounded to what will be written; each segment begins where the one before it ends.
    lines = (*unfolded.creases, *unfolded.placements)
    loops = [
        *_loops(unfolded.seam, unfolded.seam_loops),
        *_loops(unfolded.cut, unfolded.cut_loops),
    ]
    ends = [z for c in lines for z in (c.top, c.hem, c.out_top, c.out_hem)]
    points = [z for run in loops for edge in run for z in edge.points[1:]]
    at_joins = [z for join in unfolded.joins for z in (*join.before, *join.after)]
    loose = [*(unfolded.fold_edge or ()), *at_joins, *[z for run in unfolded.free for seg in run for z in seg]]
    spots = rounded([z + offset for z in (*points, *ends, *loose)])
    placed: list[tuple[FlatEdge, ...]] = []
    at = 0
    for run in loops:
        edges: list[FlatEdge] = []
        node = spots[at + sum([len(edge.points) - 1 for edge in run]) - 1]
        for before, layer, origin in run:
            stop = at + len(before) - 1
            edges.append(FlatEdge((node, *spots[at:stop]), layer, origin))
            at, node = stop, spots[stop - 1]
        placed.append(tuple(edges))
    rest = iter(spots[at:])
    moved_lines: list[FlatLine] = []
    for line in lines:
        top, hem, out_top, out_hem = islice(rest, 4)
        moved_lines.append(
            FlatLine(line.role, line.pleat, line.folds, top, hem, line.layer, out_top, out_hem, line.rooms)
        )
    count = len(unfolded.creases)
    fold_edge = (next(rest), next(rest)) if unfolded.fold_edge is not None else None
    joins: list[Join] = []
    for join in unfolded.joins:
        a, b, c, d = islice(rest, 4)
        joins.append(join._replace(before=(a, b), after=(c, d)))
    free = tuple([tuple([tuple(islice(rest, len(seg))) for seg in run]) for run in unfolded.free])
    seams = len(unfolded.seam_loops)
    return Unfolded(
        tuple([edge for run in placed[:seams] for edge in run]),
        tuple(moved_lines[:count]),
        tuple(moved_lines[count:]),
        unfolded.motions,
        unfolded.panels,
        tuple([edge for run in placed[seams:] for edge in run]),
        free,
        fold_edge,
        seam_loops=unfolded.seam_loops,
        cut_loops=unfolded.cut_loops,
        trimmed=unfolded.trimmed,
        joins=tuple(joins),
    )


def _loops(edges: tuple[FlatEdge, ...], counts: tuple[int, ...]) -> Iterator[tuple[FlatEdge, ...]]:
    rest = iter(edges)
    for count in counts:
        yield tuple(islice(rest, count))
