"""The area that a piece takes up on paper, as squares of a raster: what a page must be printed for.

It is the cloth itself, within its cutting or seam lines, and every line, mark and word beside it. A page inside the cloth
is part of the pattern, with lines on it or not.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.segment import Segment, point_at

CELL = 2.0
"""mm. Side of a square. Pages and their overlaps are many times as large."""

MOST_CELLS = 400_000
"""Squares of one raster; larger pieces have larger squares."""

Points = npt.NDArray[np.complex128]


@dataclass(frozen=True)
class Drawn:
    """What takes up room, in mm.

    Attributes:
        outlines: closed runs of points round cloth.
        marks: points on lines, no two neighbours farther apart than a square.
    """

    outlines: tuple[Points, ...]
    marks: Points

    @property
    def points(self) -> Points:
        """All of them."""
        return np.concatenate([*self.outlines, self.marks])


def dense(runs: Iterable[Sequence[Segment]], step: float) -> Points:
    """Return points along runs of segments, no farther apart than `step` mm."""
    found: list[complex] = []
    for run in runs:
        for seg in run:
            reach = sum([abs(b - a) for a, b in itertools.pairwise(seg)])
            count = max(1, math.ceil(reach / step))
            if len(seg) == 2:
                way = seg[1] - seg[0]
                found += [seg[0] + way * (k / count) for k in range(count)]
            else:
                found += [point_at(seg, k / count) for k in range(count)]
        if run:
            found.append(run[-1][-1])
    return np.array(found, dtype=complex)


@dataclass(frozen=True)
class Raster:
    """Which squares are taken: `taken[row, column]`; square 0, 0 begins at `corner`, all are `side` mm wide."""

    corner: complex
    side: float
    taken: npt.NDArray[np.bool_]

    def counts(self) -> npt.NDArray[np.int64]:
        """Return how many taken squares lie above and to the left of every corner of a square."""
        rows, columns = self.taken.shape
        sums = np.zeros((rows + 1, columns + 1), dtype=np.int64)
        self.taken.cumsum(axis=1, out=sums[1:, 1:])
        np.add.accumulate(sums, axis=0, out=sums)
        return sums


def raster(drawn: Drawn, turn: complex, room: float) -> Raster:
    """Return the squares that are taken up.

    Args:
        drawn: what takes up room.
        turn: the unit vector by which it is turned first.
        room: mm around every mark that are taken, too: half a line's width, and letters.
    """
    points = drawn.points * turn
    left, top = points.real.min() - room, points.imag.min() - room
    right, bottom = points.real.max() + room, points.imag.max() + room
    side = max(CELL, math.sqrt((right - left) * (bottom - top) / MOST_CELLS))
    columns, rows = math.ceil((right - left) / side), math.ceil((bottom - top) / side)
    taken = np.zeros((max(rows, 1), max(columns, 1)), dtype=bool)
    corner = complex(left, top)
    marks = np.concatenate([drawn.marks * turn, *[outline * turn for outline in drawn.outlines]]) - corner
    beside = (-room, 0.0, room)
    across = [np.clip(((marks.real + dx) / side).astype(int), 0, columns - 1) for dx in beside]
    down = [np.clip(((marks.imag + dy) / side).astype(int), 0, rows - 1) * columns for dy in beside]
    squares = taken.ravel()
    for x, y in itertools.product(across, down):
        squares[y + x] = True
    for outline in drawn.outlines:
        taken |= _within(outline * turn - corner, side, taken.shape)
    return Raster(corner, side, taken)


def _within(outline: Points, side: float, shape: tuple[int, int]) -> npt.NDArray[np.bool_]:
    # Squares whose middle lies within an outline: its chords are counted, row by row, to the left of each (even and odd).
    rows, columns = shape
    starts, ends = outline, np.roll(outline, -1)
    low, high = np.minimum(starts.imag, ends.imag), np.maximum(starts.imag, ends.imag)
    first = np.clip(np.ceil(low / side - 0.5).astype(int), 0, rows)
    last = np.clip(np.ceil(high / side - 0.5).astype(int), 0, rows)
    counts = last - first
    chord = np.repeat(np.arange(len(starts)), counts)
    row = np.arange(len(chord)) - np.repeat(np.cumsum(counts) - counts, counts) + first[chord]
    a, b = starts[chord], ends[chord]
    x = a.real + (b.real - a.real) * ((row + 0.5) * side - a.imag) / (b.imag - a.imag)
    column = np.clip(np.ceil(x / side - 0.5).astype(int), 0, columns)
    flips = np.zeros((rows, columns + 1), dtype=bool)
    np.logical_xor.at(flips, (row, column), True)
    inside: npt.NDArray[np.bool_] = np.logical_xor.accumulate(flips, axis=1)[:, :columns]
    return inside
