"""What is seen of the lines of pleats that are folded along whole and shown in part: marked so far down, or tucks released."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from pleatsvg.flat.flat_piece import FlatLine
from pleatsvg.marks.arrows import stitched_span
from pleatsvg.pleats.laid import LaidPleat
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
