"""Where the cloth is too narrow: the fewest joins, each at an inner fold, so that every part fits across the cloth.

The New Dressmaker (1921), chapter 20: a seam that joins breadths is put at an inner fold, where it is hidden.
"""

from __future__ import annotations

from itertools import pairwise

from pleatsvg.tolerance import ON_LINE
from pleatsvg.unfold import Unfolded


def joins_for_width(
    whole: Unfolded, joins: list[int], inner: list[int], width: float, beyond: float, across: complex
) -> list[int] | float:
    """Return the creases at which to part a flat piece, or the width that its widest part would need.

    Going from one side to the other and parting as late as possible makes the fewest joins.

    Args:
        whole: the flat piece in one part.
        joins: where it is parted anyhow.
        inner: all inner folds, ascending.
        width: of the cloth, mm.
        beyond: the allowance of a join, mm.
        across: the direction across the cloth.
    """
    count = len(whole.creases)
    spans: list[tuple[float, float]] = []
    flip = across.conjugate()
    points: list[list[complex]] = [[] for _ in range(count + 1)]
    for edge in whole.cut or whole.seam:
        points[edge.layer] += edge.points
    for k, crease in enumerate(whole.creases):
        points[k] += (crease.out_top, crease.out_hem)
        points[k + 1] += (crease.out_top, crease.out_hem)
    for layer in points:
        places = [(z * flip).real for z in layer]
        spans.append((min(places), max(places)))

    def wide(first: int, last: int) -> float:
        span = max(s[1] for s in spans[first : last + 1]) - min(s[0] for s in spans[first : last + 1])
        return span + beyond * ((first > 0) + (last < count))

    bounds = sorted({-1, *inner, *joins, count})
    widest = max(wide(before + 1, after) for before, after in pairwise(bounds))
    if widest > width + ON_LINE:
        return widest
    made: list[int] = []
    first = 0
    for before, k in pairwise(bounds):
        if before >= first and wide(first, k) > width + ON_LINE:
            made.append(before)
            first = before + 1
        if k in joins:
            made.append(k)
            first = k + 1
    return made
