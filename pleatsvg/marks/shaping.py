"""What is marked above the hip of a fitted piece: solid lines that are stitched together, and how far down. All in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

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


_CHORD = 0.01
"""mm that the chords of a curved stroke may stray from it."""


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
    above: Unfolded, below: Unfolded | None, taken: ClearOf, others: Sequence[tuple[complex, ...]]
) -> list[Words]:
    """Return what is said at the hip end of each placement line, where it is clear of all else; it is taken.

    Args:
        above: the flat piece above the hip.
        below: as for `shaping_marks`; the words stand beside the foot of the curve.
        taken: what stands there already.
        others: further strokes to keep clear of.
    """
    strokes = Strokes([*[(line.top, line.hem) for line in (*above.creases, *above.placements)], *others])
    made: list[Words] = []
    count = len(above.creases)
    for line, foot in _with_feet(above, below)[count:]:
        if below is not None:
            line = line._replace(top=line.hem, hem=foot)
        words = _beside(line, strokes, taken)
        if words is not None:
            made.append(words)
            taken.take(words)
    return made


def _beside(line: FlatLine, strokes: Strokes, taken: ClearOf) -> Words | None:
    up = (line.top - line.hem) / abs(line.top - line.hem)
    wide, high = width_of(STITCH_TO_HERE, SIZE), SIZE * CAPITALS
    if abs(line.top - line.hem) < wide + 2 * _ABOVE_HIP:
        return None
    for side in (1j, -1j):
        middle = line.hem + up * (_APART + _ABOVE_HIP + wide / 2) + side * up * (_BESIDE + high / 2)
        words = Words(STITCH_TO_HERE, middle, readable(up), SIZE, "hip-label", line.pleat)
        if taken.is_free(middle, up, wide, high, strokes.about(words.corners()), _BESIDE - 0.4):
            return words
    return None
