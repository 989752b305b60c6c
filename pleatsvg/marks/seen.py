"""What is seen of the lines of pleats that are folded along whole and shown in part, marked so far down or tucks released, and
the faint tint between them on the cloth that disappears. In mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.marks.arrows import Arrows, stitched_span
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.result.mark import Mark
from pleatsvg.result.roles import Role

Seen = dict[tuple[Role, int, tuple[int, ...]], tuple[complex, complex]]
"""By role, pleat and folds of a line: from where to where it is seen, in mm."""


def seen_parts(lines: Iterable[FlatLine], pleats: Sequence[LaidPleat], mark: float | None) -> Seen:
    """Return what is seen of the lines that are not shown whole.

    Args:
        lines: creases and placement lines.
        pleats: that they belong to.
        mark: how far down from the seam lines are drawn, in mm; None for the whole length.
    """
    released = {p.number: p.request.stitched for p in pleats if p.request.stitched[0] is not None}
    if mark is None and not released:
        return {}
    found: Seen = {}
    for line in lines:
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


def pleat_tints(unfolded: Unfolded, arrows: Arrows, mark: float | None) -> list[Mark]:
    """Return one tint for each pleat, of one closed stroke for each fold that is brought over.

    Args:
        unfolded: the flat piece.
        arrows: what laps onto what.
        mark: how far down the lines are seen, and so the tint (mm); None for their whole length.
    """
    strokes: dict[int, list[tuple[complex, ...]]] = {}
    for fold, onto, _ in arrows.laps:
        if unfolded.joins and unfolded.joins_before(fold.layer) != unfolded.joins_before(onto.layer):
            continue
        # In the order of the cloth: a crease ends the layer that it names, a placement line lies on its own.
        at, to = fold.layer, onto.layer
        lines = [onto, *unfolded.creases[to : at + 1]] if to <= at else [*unfolded.creases[at:to], onto]
        if mark is None and onto.pleat not in arrows.stitched:
            stroke = (*[line.top for line in lines], *[line.hem for line in reversed(lines)])
        else:
            ends = [_seen_of(line, arrows, mark) for line in lines]
            stroke = (*[top for top, _ in ends], *[hem for _, hem in reversed(ends)])
        strokes.setdefault(onto.pleat, []).append(stroke)
    return [
        Mark("pleat-tint", tuple([z for stroke in own for z in stroke]), tuple(map(len, own)), "", pleat, ())
        for pleat, own in strokes.items()
    ]


def _seen_of(line: FlatLine, arrows: Arrows, mark: float | None) -> Sequence[complex]:
    way = line.hem - line.top
    length = abs(way)
    if line.pleat in arrows.stitched:
        start, end = stitched_span(length, arrows.stitched[line.pleat])
    else:
        start, end = 0.0, length if mark is None else min(mark, length)
    return line.top + way * (start / length), line.top + way * (end / length)
