"""The faint tint on the cloth between fold line and placement line: what disappears into a pleat. In mm."""

from __future__ import annotations

from collections.abc import Sequence

from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.marks.arrows import Arrows, stitched_span
from pleatsvg.result.mark import Mark


def pleat_tints(unfolded: Unfolded, arrows: Arrows, mark: float | None) -> list[Mark]:
    """Return one tint for each pleat, of one closed stroke for each fold that is brought over.

    Args:
        unfolded: the flat piece.
        arrows: what laps onto what.
        mark: how far down the lines are seen, and so the tint (mm); None for their whole length.
    """
    strokes: dict[int, list[tuple[complex, ...]]] = {}
    for fold, onto, _ in arrows.laps:
        if unfolded.joins and unfolded.part_of(fold.layer) != unfolded.part_of(onto.layer):
            continue
        # In the order of the cloth: a crease ends the layer that it names, a placement line lies on its own.
        at, to = fold.layer, onto.layer
        lines = [onto, *unfolded.creases[to : at + 1]] if to <= at else [*unfolded.creases[at:to], onto]
        if mark is None and onto.pleat not in arrows.stitched:
            stroke = (*[line.top for line in lines], *[line.hem for line in reversed(lines)])
        else:
            ends = [_seen(line, arrows, mark) for line in lines]
            stroke = (*[top for top, _ in ends], *[hem for _, hem in reversed(ends)])
        strokes.setdefault(onto.pleat, []).append(stroke)
    return [
        Mark("pleat-tint", tuple([z for stroke in own for z in stroke]), tuple(map(len, own)), "", pleat, ())
        for pleat, own in strokes.items()
    ]


def _seen(line: FlatLine, arrows: Arrows, mark: float | None) -> Sequence[complex]:
    way = line.hem - line.top
    length = abs(way)
    if line.pleat in arrows.stitched:
        start, end = stitched_span(length, arrows.stitched[line.pleat])
    else:
        start, end = 0.0, length if mark is None else min(mark, length)
    return line.top + way * (start / length), line.top + way * (end / length)
