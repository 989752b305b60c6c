"""What is marked above the hip of a fitted piece: solid lines that are stitched together, and how far down. All in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.result.clear_of import Box, ClearOf, boxes_clear, boxes_meeting, strokes_of
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

_CLEAR = _BESIDE - 0.4
"""Free space about the words at the hip."""


SHAPING_BAR = _BAR + _APART
"""mm from the end of a solid line within which its double bar lies."""


_CHORD = 0.01
"""mm that the chords of a curved stroke may stray from it."""

_ON_EDGE = 1e-6
"""Share of the fold edge's length by which a line may lie beside it and still be one with it."""

Edge = tuple[complex, complex, complex]
"""The edge cut on the fold, top and hem, and a point on the cloth."""


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
    above: Unfolded,
    below: Unfolded | None,
    taken: ClearOf,
    marks: Sequence[Mark],
    others: Sequence[tuple[complex, ...]],
) -> list[Words]:
    """Return what is said at the hip end of each placement line, where it is clear of all else.

    Args:
        above: the flat piece above the hip.
        below: as for `shaping_marks`; the words stand beside the foot of the curve.
        taken: by the words that stand on the cloth already.
        marks: that they keep clear of.
        others: further runs of strokes to keep clear of.
    """
    edge: Edge | None = None
    if above.fold_edge is not None:
        top, hem = above.fold_edge
        edge = top, hem, max([crease.hem for crease in above.creases], key=lambda z: abs(z - hem))
    wide, high = width_of(STITCH_TO_HERE, SIZE), SIZE * CAPITALS
    w, h = wide / 2 + _CLEAR, high / 2 + _CLEAR
    found: list[tuple[int, int]] = []
    boxes: list[Box] = []
    feet = _with_feet(above, below)
    for number, (line, foot) in enumerate(feet[len(above.creases) :]):
        start, end = (line.top, line.hem) if below is None else (line.hem, foot)
        long = abs(start - end)
        if long < wide + 2 * _ABOVE_HIP:
            continue
        up = (start - end) / long
        for side in _sides(start, end, up, edge):
            middle = end + up * (_APART + _ABOVE_HIP + wide / 2) + side * up * (_BESIDE + high / 2)
            found.append((number, line.pleat))
            boxes.append((middle, w + h, up, w, h))
    if not found:
        return []
    runs = [*[(line.top, line.hem) for line, _ in feet], *others]
    points, counts = (
        [*runs, *[mark.points for mark in marks]],
        [*map(len, runs), *[n for m in marks for n in m.strokes]],
    )
    free = boxes_clear(boxes, strokes_of(points, counts))
    # These words keep clear of one another too, the second side of a line of what stands on the first.
    small = [(middle, w + h - 2 * _CLEAR, up, wide / 2, high / 2) for middle, _, up, _, _ in boxes]
    met: dict[int, list[int]] = {}
    standing = len(taken.boxes)
    for k, other in boxes_meeting(boxes, [*taken.boxes, *small]):
        if other < standing:
            free[k] = False
        else:
            met.setdefault(k, []).append(other - standing)
    made: dict[int, Words] = {}
    chosen: set[int] = set()
    for k, ((number, pleat), (middle, _, up, _, _)) in enumerate(zip(found, boxes, strict=True)):
        if free[k] and number not in made and chosen.isdisjoint(met.get(k, ())):
            made[number] = Words(STITCH_TO_HERE, middle, readable(up), SIZE, "hip-label", pleat)
            chosen.add(k)
    return list(made.values())


def _sides(start: complex, end: complex, up: complex, edge: Edge | None) -> tuple[complex, ...]:
    # Beside the edge cut on the fold there is cloth on one side alone.
    if edge is None or max(abs(((z - edge[0]) / (edge[1] - edge[0])).imag) for z in (start, end)) > _ON_EDGE:
        return 1j, -1j
    cloth = 1j if ((edge[2] - end) * (1j * up).conjugate()).real > 0 else -1j
    return (cloth,)
