"""What is seen of the lines of pleats that are folded along whole and shown in part, marked so far down or tucks released, and
the faint tint between them on the cloth that disappears. In mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.marks.arrows import Arrows, stitched_span
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.result.mark import Mark
from pleatsvg.result.roles import Role

Ends = tuple[complex, complex]
Seen = dict[tuple[Role, int, tuple[int, ...]], tuple[complex, ...]]
"""By role, pleat and folds of a line: from where to where it is seen, over where it bends, in mm."""


Stitched = dict[tuple[Role, int, tuple[int, ...]], tuple[float, float]]
"""By role, pleat and folds of a line of a released tuck: from where to where it is stitched, in mm from its top."""


def seen_parts(lines: Iterable[FlatLine], pleats: Sequence[LaidPleat], mark: float | None) -> Seen:
    """Return what is seen of the lines that are not shown whole.

    Args:
        lines: creases and placement lines.
        pleats: that they belong to.
        mark: how far down from the seam lines are drawn, in mm; of fitted pleats, which are seen whole above the hip, how far
            down from there; None for the whole length.
    """
    released = {p.number: p.request.stitched for p in pleats if p.request.stitched[0] is not None}
    if mark is None and not released:
        return {}
    found: Seen = {}
    for line in lines:
        if line.bend is not None:
            way = line.out_hem - line.bend
            if mark is not None and mark < abs(way):
                found[line.role, line.pleat, line.folds] = (
                    line.out_top,
                    line.bend,
                    line.bend + way / abs(way) * mark,
                )
            continue
        out, length, below = abs(line.out_top - line.top), abs(line.hem - line.top), abs(line.out_hem - line.hem)
        start, end = 0.0, out + length + below
        if line.pleat in released:
            first, last = stitched_span(length, released[line.pleat])
            # Stitching that reaches the seam is begun at the edge of the cloth.
            start = out + first if first else 0.0
            end = out + last if last < length else end
        elif mark is not None:
            end = min(end, out + mark)
        if start > 0.0 or end < out + length + below:
            along = (line.hem - line.top) / length
            found[line.role, line.pleat, line.folds] = (
                line.out_top + along * start,
                line.out_top + along * end,
            )
    return found


def stitched_parts(lines: Iterable[FlatLine], pleats: Sequence[LaidPleat]) -> Stitched:
    """Return from where to where the tuck of each line is stitched, where it is released: in mm from the line's top on the
    seam, to a thousandth, as a result states it."""
    released = {p.number: p.request.stitched for p in pleats if p.request.stitched[0] is not None}
    found: Stitched = {}
    for line in lines if released else ():
        if line.pleat in released:
            start, end = stitched_span(abs(line.hem - line.top), released[line.pleat])
            found[line.role, line.pleat, line.folds] = round(start, 3), round(end, 3)
    return found


def pleat_tints(unfolded: Unfolded, arrows: Arrows, mark: float | None) -> list[Mark]:
    """Return one tint for each pleat, of one closed stroke for each fold that is brought over.

    Args:
        unfolded: the flat piece.
        arrows: what laps onto what.
        mark: how far down the lines are seen, and so the tint (mm); None for their whole length.
    """
    strokes: dict[int, list[tuple[complex, ...]]] = {}
    parted = {join.crease: join for join in unfolded.joins}
    for fold, onto, _ in arrows.laps:
        # In the order of the cloth: a crease ends the layer that it names, a placement line lies on its own.
        at, to = fold.layer, onto.layer
        between = range(to, at + 1) if to <= at else range(at, to)
        runs: list[list[Ends]] = [[]]
        for k in between:
            join = parted.get(k)
            if join is not None:
                # The cloth between the two is in parts: it disappears up to the join on either of them.
                runs[-1].append(join.to_hem(0))
                runs.append([join.to_hem(1)])
            else:
                runs[-1].append((unfolded.creases[k].top, unfolded.creases[k].hem))
        if to <= at:
            runs[0].insert(0, (onto.top, onto.hem))
        else:
            runs[-1].append((onto.top, onto.hem))
        for run in runs:
            if len(run) < 2:
                continue
            if mark is not None or onto.pleat in arrows.stitched:
                run = [_seen_of(top, hem, arrows.stitched.get(onto.pleat), mark) for top, hem in run]
            strokes.setdefault(onto.pleat, []).append((*[top for top, _ in run], *[hem for _, hem in reversed(run)]))
    return [
        Mark("pleat-tint", tuple([z for stroke in own for z in stroke]), tuple(map(len, own)), "", pleat, ())
        for pleat, own in strokes.items()
    ]


def _seen_of(top: complex, hem: complex, stitched: tuple[float | None, str] | None, mark: float | None) -> Ends:
    way = hem - top
    length = abs(way)
    if stitched is not None:
        start, end = stitched_span(length, stitched)
    else:
        start, end = 0.0, length if mark is None else min(mark, length)
    return top + way * (start / length), top + way * (end / length)
