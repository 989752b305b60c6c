"""Where the pages lie on a piece: the piece is turned and moved over a grid of pages until the fewest are needed.

The window of a page is what can be printed on it. Each window begins where the one before it ends, but for the overlap:
the page to the right is trimmed at its left edge and laid over the overlap, the page below at its top edge. A page is
needed where something lies in its window that no other printed page shows.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pleatsvg.errors import FitError
from pleatsvg.paper.area import Drawn, Points, Raster, raster
from pleatsvg.wording import message, option

MOST_PAGES = 2_000
"""Pages of one piece: nobody joins more."""

TURNS = (0.0, 90.0, 15.0, 30.0, 45.0, 60.0, 75.0, 105.0, 120.0, 135.0, 150.0, 165.0)
"""Degrees that are tried, clockwise on the page: as drawn and across first, aslant only where that saves a page."""

MARK_ROOM = 1.0
"""mm beside a line that go with it: the half of the widest line, and a bit."""

_STEPS = 16
"""Places that are tried across one page, and as many down."""

_FEW_STEPS = 4


@dataclass(frozen=True, slots=True)
class Window:
    """A page's window: its row and column in the grid, and its upper left corner in mm."""

    row: int
    column: int
    corner: complex


@dataclass(frozen=True, slots=True)
class Grid:
    """The pages of a piece.

    Attributes:
        turn: the unit vector by which the piece is turned; the windows are those of the turned piece.
        degrees: the same, clockwise on the page.
        wide, high: of a window, mm.
        overlap: mm.
        rows, columns: of the grid.
        windows: that are printed, row by row.
    """

    turn: complex
    degrees: float
    wide: float
    high: float
    overlap: float
    rows: int
    columns: int
    windows: tuple[Window, ...]

    def corner(self, row: int, column: int) -> complex:
        """Return the upper left corner of any place of the grid."""
        one = self.windows[0]
        step = complex(self.wide - self.overlap, self.high - self.overlap)
        return one.corner + complex((column - one.column) * step.real, (row - one.row) * step.imag)


def fewest_pages(drawn: Drawn, wide: float, high: float, overlap: float, turn: float | None = None) -> Grid:
    """Return the pages on which a piece is printed.

    Args:
        drawn: the piece.
        wide, high: of a window, mm.
        overlap: mm, less than half of either.
        turn: degrees clockwise by which the piece is turned; left out, what needs the fewest pages.

    Raises:
        FitError: it would take more pages than anybody joins.
    """
    fewest: int | None = None
    chosen: tuple[float, Raster, complex] | None = None
    for order, degrees in enumerate(TURNS if turn is None else (turn,)):
        squares = raster(drawn, _way(degrees), MARK_ROOM)
        found = _fewest_at(squares, wide, high, overlap, below=fewest)
        if found is not None:
            fewest, chosen = found[0], (degrees, squares, found[1])
        if order >= 1 and fewest is not None and fewest <= _least(squares, wide, high):
            break  # no turn can do better
    assert chosen is not None
    degrees, squares, begin = chosen
    return _grid(degrees, squares, begin, wide, high, overlap, drawn.points)


def _way(degrees: float) -> complex:
    quarters = {0.0: 1 + 0j, 90.0: 1j, 180.0: -1 + 0j, 270.0: -1j}
    return quarters.get(degrees % 360.0) or cmath.rect(1.0, math.radians(degrees))


def _least(squares: Raster, wide: float, high: float) -> int:
    # No fewer pages than the area needs.
    return max(1, math.ceil(float(squares.taken.sum()) * squares.side**2 / (wide * high)))


def about_fewest(drawn: Drawn, wide: float, high: float, overlap: float, degrees: float) -> int:
    """Return about how many pages a piece takes at one turn, from a few places: to compare; cf. `fewest_pages`."""
    found = _fewest_at(raster(drawn, _way(degrees), MARK_ROOM), wide, high, overlap, _FEW_STEPS)
    assert found is not None
    return found[0]


def _fewest_at(
    squares: Raster, wide: float, high: float, overlap: float, steps: int = _STEPS, below: int | None = None
) -> tuple[int, complex] | None:
    # How many pages, and where the grid begins, measured from the raster's corner; None where it would not be below a number.
    rows, columns = squares.taken.shape
    across, down = columns * squares.side, rows * squares.side
    step_x, step_y = wide - overlap, high - overlap
    if max(1, math.ceil((across - overlap) / step_x)) * max(1, math.ceil((down - overlap) / step_y)) > 4 * MOST_PAGES:
        raise _too_many(across, down)
    counts = squares.counts()
    best: tuple[int, float] | None = None
    begin = 0j
    columns_at = [(x, _bands(columns, squares.side, x, wide, overlap)) for x in _begins(across, wide, step_x, steps)]
    rows_at = [(y, _bands(rows, squares.side, y, high, overlap)) for y in _begins(down, high, step_y, steps)]
    for x, columns_begin in columns_at:
        bands = np.diff(counts[:, columns_begin], axis=1)
        for y, rows_begin in rows_at:
            held = _held(bands, rows_begin)
            own = int(np.count_nonzero(held[1::2, 1::2]))
            if (below is not None and own >= below) or (best is not None and own > best[0]):
                continue
            count = int(np.count_nonzero(_needed(held)))
            if below is not None and count >= below:
                continue
            # Of equals, the one whose pages are filled most evenly: the piece in their middle.
            off = abs(_slack(across, x, wide, step_x)) + abs(_slack(down, y, high, step_y))
            if best is None or (count, off) < best:
                best, begin = (count, off), complex(x, y)
    return None if best is None else (best[0], begin)


def _begins(length: float, wide: float, step: float, steps: int) -> list[float]:
    # From the piece in the middle of its pages, over one step.
    count = max(1, math.ceil((length - (wide - step)) / step - 1e-9))
    spare = count * step + (wide - step) - length
    return [-spare / 2, *[-step * k / steps for k in range(steps)]]


def _slack(length: float, begin: float, wide: float, step: float) -> float:
    # How much more is left free at one end than at the other.
    count = max(1, math.ceil((length - begin - (wide - step)) / step - 1e-9))
    return count * step + (wide - step) + begin - length + begin


def _held(bands: npt.NDArray[np.int64], rows_at: list[int]) -> npt.NDArray[np.bool_]:
    # In which bands something lies, by row and column: those across are given, with what lies above each row of squares.
    held: npt.NDArray[np.bool_] = np.diff(bands[rows_at], axis=0) > 0
    return held


def _needed(held: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    # Which pages are printed, by row and column. Bands run overlap, own, overlap, own ...: what lies in a band of overlap is
    # on the pages on both of its sides, and needs one of them.
    need = held[1::2, 1::2].copy()
    need[:, :-1] |= held[1::2, 2:-1:2] & ~need[:, :-1] & ~need[:, 1:]
    need[:-1] |= held[2:-1:2, 1::2] & ~need[:-1] & ~need[1:]
    need[:-1, :-1] |= held[2:-1:2, 2:-1:2] & ~(need[:-1, :-1] | need[:-1, 1:] | need[1:, :-1] | need[1:, 1:])
    return need


def _bands(count: int, side: float, begin: float, wide: float, overlap: float) -> list[int]:
    # Where the bands of overlap and the pages' own begin, in squares; overlaps hold whole squares only. Those at both ends
    # are empty.
    step = wide - overlap
    pages = max(1, math.ceil((count * side - begin - overlap) / step - 1e-9))
    at = [0, 0]
    for k in range(1, pages):
        start = begin + k * step
        first = math.ceil(start / side - 1e-9)
        at += [first, max(first, math.floor((start + overlap) / side + 1e-9))]
    return [min(max(one, 0), count) for one in (*at, count, count)]


def _grid(
    degrees: float, squares: Raster, begin: complex, wide: float, high: float, overlap: float, points: Points
) -> Grid:
    rows_at = _bands(squares.taken.shape[0], squares.side, begin.imag, high, overlap)
    columns_at = _bands(squares.taken.shape[1], squares.side, begin.real, wide, overlap)
    need = _needed(_held(np.diff(squares.counts()[:, columns_at], axis=1), rows_at))
    origin, step = squares.corner + begin, complex(wide - overlap, high - overlap)
    pages = {(int(row), int(column)) for row, column in np.argwhere(need)}
    pages |= _left_out(points * _way(degrees) - origin, pages, wide, high, step)
    if len(pages) > MOST_PAGES:
        rows, columns = squares.taken.shape
        raise _too_many(columns * squares.side, rows * squares.side)
    rows, columns = sorted({row for row, _ in pages}), sorted({column for _, column in pages})
    windows = tuple(
        [
            Window(row - rows[0], column - columns[0], origin + complex(column * step.real, row * step.imag))
            for row, column in sorted(pages)
        ]
    )
    across, down = columns[-1] - columns[0] + 1, rows[-1] - rows[0] + 1
    return Grid(_way(degrees), degrees, wide, high, overlap, down, across, windows)


def _left_out(
    points: Points, pages: set[tuple[int, int]], wide: float, high: float, step: complex
) -> set[tuple[int, int]]:
    # The pages of points that lie in no printed window: squares that lie across an edge are taken for one side of it.
    column, row = np.floor(points.real / step.real).astype(int), np.floor(points.imag / step.imag).astype(int)
    shown = np.zeros(len(points), dtype=bool)
    printed = np.zeros((row.max() + 3, column.max() + 3), dtype=bool)
    for r, c in pages:
        if r + 1 < printed.shape[0] and c + 1 < printed.shape[1]:
            printed[r + 1, c + 1] = True
    for back_r in (0, 1):
        for back_c in (0, 1):
            x = points.real - (column - back_c) * step.real
            y = points.imag - (row - back_r) * step.imag
            inside = (x <= wide) & (y <= high)
            shown |= inside & printed[row - back_r + 1, column - back_c + 1]
    return {(int(r), int(c)) for r, c in zip(row[~shown], column[~shown], strict=True)}


def _too_many(across: float, down: float) -> FitError:
    return FitError(
        "The piece",
        f"is {across / 1000:.1f} x {down / 1000:.1f} m and would take more than {MOST_PAGES} pages",
        "nobody joins so many",
        message("Take larger paper with {}, or print it smaller with {}.", option("paper"), option("scale")),
    )
