"""What is marked above the hip of a fitted piece: solid lines that are stitched together, and how far down. All in mm."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from operator import attrgetter

from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.geometry.segment import Box, box_of
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


_CHORD = 0.01
"""mm that the chords of a curved stroke may stray from it."""

_ON_EDGE = 1e-6
"""Share of the fold edge's length by which a line may lie beside it and still be one with it."""

Edge = tuple[complex, complex, complex]
"""The edge cut on the fold, top and hem, and a point on the cloth."""

_LAYERS = 8
"""Layers on either side of a line over which words beside it may reach."""


def shaping_marks(above: Unfolded, below: Unfolded | None) -> list[Mark]:
    """Return a solid stroke over each fold and placement line above the hip, and a double bar where it ends there.

    Args:
        above: the flat piece above the hip; its lines end at the hip level.
        below: the one below it, where the strokes are curves that begin there: as far below the bend of a line as its top lies
            above it, tangent to the line below and to the line above; else None.
    """
    lines: list[Mark] = []
    bars: list[Mark] = []
    for line, foot in _with_feet(above, below):
        if line.role.hidden:
            continue
        points = (line.out_top, line.hem) if foot == line.hem else (line.out_top, *_curve(line.top, line.hem, foot))
        lines.append(Mark("shaping-line", points, (len(points),), line.role.sign, line.pleat, line.folds))
        along = (foot - points[-2]) / abs(foot - points[-2])
        half = _BAR * 1j * along
        spots = (foot, foot - _APART * along)
        ends = tuple([z for spot in spots for z in (spot - half, spot + half)])
        bars.append(Mark("shaping-end", ends, (2, 2), line.role.sign, line.pleat, line.folds))
    return [*lines, *bars]


def _with_feet(above: Unfolded, below: Unfolded | None) -> list[tuple[FlatLine, complex]]:
    # The lines above the hip, and where their stitching ends.
    lines = (*above.creases, *above.placements)
    if below is None:
        return [(line, line.hem) for line in lines]
    found: list[tuple[FlatLine, complex]] = []
    for line, on in zip(lines, (*below.creases, *below.placements), strict=True):
        way = (on.hem - on.top) / abs(on.hem - on.top)
        found.append((line, line.hem + way * abs(line.top - line.hem)))
    return found


def _curve(top: complex, bend: complex, foot: complex) -> tuple[complex, ...]:
    # The quadratic with these three as its controls, as chords; n of them stray by a quarter of |a - 2b + c| / n^2.
    count = max(2, math.ceil(math.sqrt(abs(top - 2 * bend + foot) / (4 * _CHORD))))
    shares = [k / count for k in range(count + 1)]
    return tuple([(1 - t) ** 2 * top + 2 * t * (1 - t) * bend + t * t * foot for t in shares])


def shaping_words(
    above: Unfolded, below: Unfolded | None, words: Sequence[Words], others: Sequence[tuple[complex, ...]]
) -> list[Words]:
    """Return what is said at the hip end of each placement line, where it is clear of all else.

    Args:
        above: the flat piece above the hip.
        below: as for `shaping_marks`; the words stand beside the foot of the curve.
        words: that stand on the cloth already.
        others: further strokes to keep clear of.
    """
    # Words lie over a few layers at most, since those of the flat piece lie beside each other.
    lines = sorted((*above.creases, *above.placements), key=attrgetter("layer"))
    layers = [line.layer for line in lines]
    at_feet = _level_of_feet([foot for _, foot in _with_feet(above, below)])
    strokes = Strokes([points for points in others if _reach_into(at_feet, points)])
    taken = ClearOf([row for row in words if _reach_into(at_feet, (row.middle,), row.width)])
    made: list[Words] = []
    edge: Edge | None = None
    if above.fold_edge is not None:
        top, hem = above.fold_edge
        edge = top, hem, max([crease.hem for crease in above.creases], key=lambda z: abs(z - hem))
    count = len(above.creases)
    for line, foot in _with_feet(above, below)[count:]:
        if below is not None:
            line = line._replace(top=line.hem, hem=foot)
        first, last = bisect_left(layers, line.layer - _LAYERS), bisect_right(layers, line.layer + _LAYERS)
        here = bisect_left(layers, line.layer)
        near = [*lines[here:last], *lines[first:here][::-1]]  # the nearest first, as they are most often in the way
        said = _beside(line, edge, [(one.top, one.hem) for one in near], strokes, taken)
        if said is not None:
            made.append(said)
            taken.take(said)
    return made


def _level_of_feet(feet: Sequence[complex]) -> Box:
    # Round all that words beside the feet of lines may come near to.
    left, top, right, bottom = box_of(feet)
    far = _APART + _ABOVE_HIP + width_of(STITCH_TO_HERE, SIZE) + 2 * (_BESIDE + SIZE)
    return left - far, top - far, right + far, bottom + far


def _reach_into(box: Box, points: Sequence[complex], far: float = 0.0) -> bool:
    left, top, right, bottom = box_of(points)
    return left < box[2] + far and right > box[0] - far and top < box[3] + far and bottom > box[1] - far


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
