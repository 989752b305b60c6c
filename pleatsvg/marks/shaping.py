"""What is marked above the hip of a fitted piece: solid lines that are stitched together, and how far down. All in mm."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from operator import attrgetter

from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.result.clear_of import ClearOf, Strokes
from pleatsvg.result.lettering import CAPITALS, SIZE, Words, readable, width_of
from pleatsvg.result.mark import Mark

STITCH_TO_HERE = "STITCH TO HERE"

_BAR = 4.0
"""Half the length of the bars at the hip."""

_APART = 1.5
"""Between the two bars."""

_ABOVE_HIP = 10.0
"""From the bars to the words above them, past the last sign of the line."""

_BESIDE = 1.8
"""Free space between a line and the words beside it."""


_ON_EDGE = 1e-6
"""Share of the fold edge's length by which a line may lie beside it and still be one with it."""

Edge = tuple[complex, complex, complex]
"""The edge cut on the fold, top and hem, and a point on the cloth."""

_LAYERS = 8
"""Layers on either side of a line over which words beside it may reach."""


def shaping_marks(above: Unfolded) -> list[Mark]:
    """Return a solid stroke over each fold and placement line above the hip, and a double bar where it ends there.

    Args:
        above: the flat piece above the hip; its lines end at the hip level.
    """
    lines: list[Mark] = []
    bars: list[Mark] = []
    for line in (*above.creases, *above.placements):
        if line.role.hidden:
            continue
        points = (line.out_top, line.hem)
        lines.append(Mark("shaping-line", points, (2,), line.role.sign, line.pleat, line.folds))
        along = (line.hem - line.top) / abs(line.hem - line.top)
        half = _BAR * 1j * along
        spots = (line.hem, line.hem - _APART * along)
        ends = tuple([z for spot in spots for z in (spot - half, spot + half)])
        bars.append(Mark("shaping-end", ends, (2, 2), line.role.sign, line.pleat, line.folds))
    return [*lines, *bars]


def shaping_words(above: Unfolded, taken: ClearOf, others: Sequence[tuple[complex, ...]]) -> list[Words]:
    """Return what is said at the hip end of each placement line, where it is clear of all else; it is taken.

    Args:
        above: the flat piece above the hip.
        taken: what stands there already.
        others: further strokes to keep clear of.
    """
    # Words lie over a few layers at most, since those of the flat piece lie beside each other.
    lines = sorted((*above.creases, *above.placements), key=attrgetter("layer"))
    layers = [line.layer for line in lines]
    strokes = Strokes(others)
    made: list[Words] = []
    edge: Edge | None = None
    if above.fold_edge is not None:
        top, hem = above.fold_edge
        edge = top, hem, max([crease.hem for crease in above.creases], key=lambda z: abs(z - hem))
    for line in above.placements:
        near = lines[bisect_left(layers, line.layer - _LAYERS) : bisect_right(layers, line.layer + _LAYERS)]
        words = _beside(line, edge, [(one.top, one.hem) for one in near], strokes, taken)
        if words is not None:
            made.append(words)
            taken.take(words)
    return made


def _sides(line: FlatLine, up: complex, edge: Edge | None) -> tuple[complex, ...]:
    # Beside the edge cut on the fold there is cloth on one side alone.
    if edge is None or max(abs(((z - edge[0]) / (edge[1] - edge[0])).imag) for z in (line.top, line.hem)) > _ON_EDGE:
        return 1j, -1j
    cloth = 1j if ((edge[2] - line.hem) * (1j * up).conjugate()).real > 0 else -1j
    return (cloth,)


def _beside(
    line: FlatLine, edge: Edge | None, near: Sequence[tuple[complex, complex]], strokes: Strokes, taken: ClearOf
) -> Words | None:
    up = (line.top - line.hem) / abs(line.top - line.hem)
    wide, high = width_of(STITCH_TO_HERE, SIZE), SIZE * CAPITALS
    if abs(line.top - line.hem) < wide + 2 * _ABOVE_HIP:
        return None
    for side in _sides(line, up, edge):
        middle = line.hem + up * (_APART + _ABOVE_HIP + wide / 2) + side * up * (_BESIDE + high / 2)
        words = Words(STITCH_TO_HERE, middle, readable(up), SIZE, "hip-label", line.pleat)
        if taken.is_free(middle, up, wide, high, [*near, *strokes.about(words.corners())], _BESIDE - 0.4):
            return words
    return None
