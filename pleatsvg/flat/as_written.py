"""Laying a flat piece on its page: moved there and rounded to the decimals that are written, so that what is proven is what is
written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain, islice

import numpy as np
from numpy.typing import NDArray

from pleatsvg.flat.flat_piece import FlatLine, Join, Unfolded, flat_line
from pleatsvg.flat.once_round import flat_edge
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, cut
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.tolerance import DECIMALS


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


def _on_page(points: list[complex], offset: complex) -> list[complex]:
    # Points moved onto the page, as they are written.
    return _rounded(np.fromiter(points, complex, len(points)) + offset)


def rounded(points: list[complex]) -> list[complex]:
    """Return points rounded to the decimals that are written: the floats nearest to these decimals."""
    return _rounded(np.fromiter(points, complex, len(points)))


def _rounded(points: NDArray[np.complex128]) -> list[complex]:
    # Rounded as plain numbers, which numpy does in one go; complex ones it takes apart and puts together again.
    found: list[complex] = points.view(float).round(DECIMALS).view(complex).tolist()
    return found


def outlines_on_page(outlines: Sequence[tuple[Outline, complex]]) -> list[Outline]:
    """Return outlines as they will be written, each moved onto the page by its own offset."""
    points = [list(chain.from_iterable(outline.segments)) for outline, _ in outlines]
    counts = [len(own) for own in points]
    offsets = np.repeat([offset for _, offset in outlines], counts)
    spots = iter(_rounded(np.fromiter(chain.from_iterable(points), complex, sum(counts)) + offsets))
    return [Outline(tuple([tuple(islice(spots, len(seg))) for seg in outline.segments])) for outline, _ in outlines]


def finished_on_page(
    outline: Outline,
    ground: BothHalves,
    lines: SlashSet,
    offset: complex,
    cutting: Cutting | None = None,
    placed: Outline | None = None,
) -> Target:
    """Return the finished line as it will be written, with the fold edge as a segment of its own after the last.

    Args:
        outline: what the pleats are laid out on; its cutting line where `cutting` is given.
        ground: the piece, or both its halves.
        lines: the slash lines in order.
        offset: from the drawing to the page.
        cutting: the finished cutting line, where it is the one wanted.
        placed: the outline as it will be written, where that is known.
    """
    if placed is None:
        (placed,) = outlines_on_page([(outline, offset)])
    if lines.ring:
        return _one_round(placed, lines, offset, cutting)
    fold = lines.first or lines.last
    if fold is None:
        return Target(placed, placed.segments, None)
    there = cutting.produced(fold) if cutting is not None else fold
    top, hem = _on_page([there.top, there.hem], offset)
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


def _one_round(placed: Outline, lines: SlashSet, offset: complex, cutting: Cutting | None) -> Target:
    # The finished line of one round, from where it begins to where it ends, and these two lines.
    ends = [lines.first, lines.last]
    found = [cutting.produced(line) if cutting is not None else line for line in ends if line is not None]
    begin, end = found
    n = len(placed)
    top = [placed.part(s) for s in placed.stretches(begin.top_at, begin.top_at + (end.top_at - begin.top_at) % n)]
    hem = [placed.part(s) for s in placed.stretches(end.hem_at, end.hem_at + (begin.hem_at - end.hem_at) % n)]
    corners = _on_page([begin.top, end.top, end.hem, begin.hem], offset)
    top[0], top[-1] = (corners[0], *top[0][1:]), top[-1]
    top[-1] = (*top[-1][:-1], corners[1])
    hem[0] = (corners[2], *hem[0][1:])
    hem[-1] = (*hem[-1][:-1], corners[3])
    round_ = (*top, (corners[1], corners[2]), *hem, (corners[3], corners[0]))
    wanted = [
        s.segment
        for start, stop in ((begin.top_at, end.top_at), (end.hem_at, begin.hem_at))
        for s in placed.stretches(start, start + (stop - start) % n)
        if {s.t0, s.t1} == {0.0, 1.0}
    ]
    return Target(Outline(round_), placed.segments, frozenset(wanted))


def flat_on_page(unfolded: Unfolded, offset: complex) -> Unfolded:
    """Return the flat piece moved onto its page and rounded to what will be written.

    Each segment begins exactly where the one before it ends.

    Args:
        unfolded: in mm as drawn.
        offset: from there to the page.
    """
    lines = (*unfolded.creases, *unfolded.placements)
    segments, layers, origins = zip(*unfolded.seam, *unfolded.cut, strict=True)
    points = list(chain.from_iterable(segments))
    columns = tuple(zip(*lines, strict=True)) or ((),) * len(FlatLine._fields)  # what is sewn to a piece has no lines
    roles, pleats, folds, tops, hems, on, out_tops, out_hems, rooms, amids, bends = columns
    ends = [*tops, *hems, *out_tops, *out_hems, *[bend for bend in bends if bend is not None]]
    points += ends
    points += unfolded.fold_edge or ()
    points += unfolded.ring or ()
    for join in unfolded.joins:
        points += (*join.before, *join.after, *(join.bends or ()))
    for run in unfolded.free:
        points += chain.from_iterable(run)
    spots = _on_page(points, offset)
    lengths = iter([len(segment) for segment in segments])
    placed: list[Segment] = []
    at = 0
    for count in (*unfolded.seam_loops, *unfolded.cut_loops):
        of_loop = list(islice(lengths, count))
        node = spots[at + sum(of_loop) - 1]
        for length in of_loop:
            stop = at + length
            placed.append((node, *spots[at + 1 : stop]))
            at, node = stop, spots[stop - 1]
    edges = tuple(map(flat_edge, zip(placed, layers, origins, strict=True)))
    n = len(lines)
    own = [spots[at + k * n : at + (k + 1) * n] for k in range(4)]
    there = iter(spots[at + 4 * n : at + len(ends)])
    if len(ends) > 4 * n:
        bends = tuple([None if bend is None else next(there) for bend in bends])
    moved_lines = tuple(
        map(flat_line, zip(roles, pleats, folds, *own[:2], on, *own[2:], rooms, amids, bends, strict=True))
    )
    rest = iter(spots[at + len(ends) :])
    count = len(unfolded.creases)
    fold_edge = (next(rest), next(rest)) if unfolded.fold_edge is not None else None
    ring = (next(rest), next(rest)) if unfolded.ring is not None else None
    joins: list[Join] = []
    for join in unfolded.joins:
        a, b, c, d = islice(rest, 4)
        at_hip = None if join.bends is None else (next(rest), next(rest))
        joins.append(join._replace(before=(a, b), after=(c, d), bends=at_hip))
    free = tuple([tuple([tuple(islice(rest, len(seg))) for seg in run]) for run in unfolded.free])
    seams = len(unfolded.seam)
    return Unfolded(
        edges[:seams],
        moved_lines[:count],
        moved_lines[count:],
        unfolded.motions,
        unfolded.panels,
        edges[seams:],
        free,
        fold_edge,
        seam_loops=unfolded.seam_loops,
        cut_loops=unfolded.cut_loops,
        trimmed=unfolded.trimmed,
        joins=tuple(joins),
        ring=ring,
        legs=unfolded.legs,
        cut_legs=unfolded.cut_legs,
    )
