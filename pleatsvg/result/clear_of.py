"""Whether a box of words is clear of other words and of lines: for the few words that belong to no lane. All in mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, pairwise

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.segment import Segment, point_at
from pleatsvg.result.lettering import CAPITALS, Words, direction, width_of

_SHARES = tuple([k / 8 for k in range(9)])


def chords_of(segment: Segment) -> tuple[complex, ...]:
    """Return points on a line or curve, so close that words beside it keep clear of it."""
    return segment if len(segment) == 2 else tuple([point_at(segment, share) for share in _SHARES])


class Strokes:
    """Straight strokes in squares, so that a look about one place costs as much as what lies there."""

    def __init__(self, runs: Iterable[Sequence[complex]]) -> None:
        self._squares: dict[tuple[int, int], list[tuple[complex, ...]]] = {}
        for run in runs:
            for a, b in pairwise(run):
                steps = int(abs(b - a) / _SQUARE) + 1
                for at in {_square(a + (b - a) * k / steps) for k in range(steps + 1)}:
                    self._squares.setdefault(at, []).append((a, b))

    def about(self, corners: Sequence[complex]) -> list[tuple[complex, ...]]:
        """Return the strokes about a box, those in the squares next to it among them."""
        xs, ys = zip(*map(_square, corners), strict=True)
        return [
            stroke
            for x in range(min(xs) - 1, max(xs) + 2)
            for y in range(min(ys) - 1, max(ys) + 2)
            for stroke in self._squares.get((x, y), ())
        ]


_SQUARE = 40.0


def _squares_about(middle: complex, reach: float) -> list[tuple[int, int]]:
    left, top = _square(middle - complex(reach, reach))
    right, bottom = _square(middle + complex(reach, reach))
    return [(x, y) for x in range(left, right + 1) for y in range(top, bottom + 1)]


def _square(z: complex) -> tuple[int, int]:
    return int(z.real // _SQUARE), int(z.imag // _SQUARE)


Box = tuple[complex, float, complex, float, float]
"""Its middle, how far from there it reaches at its most, the way it runs, and half its length and its height."""

_MANY = 64
"""Boxes from which on they are sooner kept by squares than asked one after another."""

_FAR_REACHING = 4 * _SQUARE
"""A box that reaches farther, as a grainline does, is asked wherever one looks."""


class ClearOf:
    """What stands on the cloth already; cf. the module. A look about one place costs as much as what stands there."""

    def __init__(self, words: Iterable[Words]) -> None:
        self.boxes: list[Box] = []
        self._squares: dict[tuple[int, int], list[Box]] = {}
        self._loose: list[Box] = []
        high = CAPITALS / 2
        for text, middle, turn, size, _, _ in words:
            w, h = width_of(text, size) / 2, size * high
            self._take((middle, w + h, direction(turn), w, h))

    def take(self, row: Words) -> None:
        """Keep clear of a line of lettering."""
        w, h = row.width / 2, row.size * CAPITALS / 2
        self._take((row.middle, w + h, direction(row.turn), w, h))

    def take_box(self, middle: complex, way: complex, high: float) -> None:
        """Keep clear of a box as long as `way`."""
        long = abs(way)
        self._take((middle, (long + high) / 2, way / long, long / 2, high / 2))

    def _take(self, box: Box) -> None:
        self.boxes.append(box)
        # From the first of many on each is kept in the squares that it reaches into.
        for one in self.boxes if len(self.boxes) == _MANY else self.boxes[-1:] if len(self.boxes) > _MANY else ():
            if one[1] > _FAR_REACHING:
                self._loose.append(one)
                continue
            for at in _squares_about(one[0], one[1]):
                self._squares.setdefault(at, []).append(one)

    def _near(self, middle: complex, reach: float) -> list[Box]:
        near = self.boxes
        if len(self.boxes) >= _MANY:
            squares = _squares_about(middle, reach)
            near = [*self._loose, *[box for at in squares for box in self._squares.get(at, ())]]
        return [box for box in near if abs(box[0] - middle) < reach + box[1]]

    def is_free(
        self,
        middle: complex,
        along: complex,
        wide: float,
        high: float,
        lines: Sequence[tuple[complex, ...]],
        clear: float,
    ) -> bool:
        """Return whether a box is clear of all words, and by so much of some lines.

        Args:
            middle: of the box.
            along: the unit vector along which it is `wide` long; it is `high` high.
            lines: runs of straight strokes.
            clear: free space around it.
        """
        w, h = wide / 2 + clear, high / 2 + clear
        reach = w + h
        near = self._near(middle, reach)
        for other, _, way, w2, h2 in near:
            if _meet(other - middle, along, w, h, way, w2, h2):
                return False
        return clear_of_lines(middle, along, wide, high, lines, clear)


def clear_of_lines(
    middle: complex, along: complex, wide: float, high: float, lines: Sequence[tuple[complex, ...]], clear: float
) -> bool:
    """Return whether a box is clear of some lines; cf. `ClearOf.is_free`."""
    back = along.conjugate()
    w, h = wide / 2 + clear, high / 2 + clear
    for line in lines:
        for a, b in pairwise(line):
            p, half = ((a + b) / 2 - middle) * back, (b - a) / 2 * back
            x, y = abs(half.real), abs(half.imag)
            if (
                abs(p.real) <= w + x
                and abs(p.imag) <= h + y
                and abs(half.real * p.imag - half.imag * p.real) <= w * y + h * x
            ):
                return False
    return True


_Points = npt.NDArray[np.complex128]
_Numbers = npt.NDArray[np.float64]


def strokes_of(runs: Sequence[Sequence[complex]], counts: Sequence[int] | None = None) -> tuple[_Points, _Points]:
    """Return the starts and the ends of all straight strokes of some runs of them.

    Args:
        runs: of points.
        counts: how many of all the points make a run, where what is given are several runs in one.
    """
    if not runs:
        return np.empty(0, complex), np.empty(0, complex)
    last = np.cumsum([*map(len, runs)] if counts is None else counts) - 1
    points = np.fromiter(chain.from_iterable(runs), complex, int(last[-1]) + 1)
    inside = np.ones(len(points), bool)
    inside[last] = False
    return points[inside], points[1:][inside[:-1]]


def boxes_clear(boxes: Sequence[Box], strokes: tuple[_Points, _Points]) -> list[bool]:
    """Return for boxes whether each is clear of some straight strokes; cf. `clear_of_lines`.

    Args:
        boxes: with the free space about them.
        strokes: their starts and their ends.
    """
    (middles, ways), (_, w, h) = _in_rows(boxes)
    amid, halves = (strokes[0] + strokes[1]) / 2, (strokes[1] - strokes[0]) / 2
    found = np.ones(len(boxes), bool)
    for i, k in _near_each_other((middles, _extents(ways, w, h)), (amid, _sizes(halves))):
        back = ways[i].conj()
        p, half = (amid[k] - middles[i]) * back, halves[k] * back
        across, down = np.abs(half.real), np.abs(half.imag)
        met = np.abs(p.real) <= w[i] + across
        met &= np.abs(p.imag) <= h[i] + down
        met &= np.abs(half.real * p.imag - half.imag * p.real) <= w[i] * down + h[i] * across
        found[i[met]] = False
    return found.tolist()


def boxes_meeting(boxes: Sequence[Box], others: Sequence[Box]) -> list[tuple[int, int]]:
    """Return which boxes meet which others: the places of both in their rows."""
    found: list[tuple[int, int]] = []
    if not others:
        return found
    (middles, ways), (_, w, h) = _in_rows(boxes)
    there, (_, w2, h2) = _in_rows(others)
    for i, k in _near_each_other((middles, _extents(ways, w, h)), (there[0], _extents(there[1], w2, h2))):
        way, other, off = ways[i].conj(), there[1][k], there[0][k] - middles[i]
        turned = other * way
        across, down = np.abs(turned.real), np.abs(turned.imag)
        here, back = off * way, off * other.conj()
        met = np.abs(here.real) <= w[i] + w2[k] * across + h2[k] * down
        met &= np.abs(here.imag) <= h[i] + w2[k] * down + h2[k] * across
        met &= np.abs(back.real) <= w2[k] + w[i] * across + h[i] * down
        met &= np.abs(back.imag) <= h2[k] + w[i] * down + h[i] * across
        found += zip(i[met].tolist(), k[met].tolist(), strict=True)
    return found


def _in_rows(boxes: Sequence[Box]) -> tuple[_Points, _Numbers]:
    # Their middles and ways, and how far they reach, half their lengths and their heights.
    table = np.fromiter(chain.from_iterable(boxes), complex, 5 * len(boxes)).reshape(-1, 5).T
    return table[[0, 2]], table[[1, 3, 4]].real


def _sizes(ways: _Points) -> _Points:
    # How far some ways lead to the side, and up or down.
    return np.abs(ways.real) + 1j * np.abs(ways.imag)


def _extents(ways: _Points, w: _Numbers, h: _Numbers) -> _Points:
    # How far boxes reach from their middles to the side, and up or down.
    return _sizes(ways * w) + _sizes(1j * ways * h)


def _near_each_other(
    some: tuple[_Points, _Points], others: tuple[_Points, _Points]
) -> Iterator[tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]]:
    """Yield the places of two things each whose upright boxes overlap: middles, and how far they reach from there.

    Those that may overlap are found along the side on which `some` lie farther apart, so that for things in a row the work
    grows in proportion to them.
    """
    if not len(some[0]) or not len(others[0]):
        return
    (at, reach), (there, far) = some, others
    if len(at) * len(there) <= _FEW_PAIRS:
        off, room = there - at[:, None], far + reach[:, None]
        i, k = ((np.abs(off.real) <= room.real) & (np.abs(off.imag) <= room.imag)).nonzero()
        yield i, k
        return
    if np.ptp(at.imag) > np.ptp(at.real):
        (at, reach), (there, far) = ([1j * z.conj() for z in pair] for pair in (some, others))
    order = np.argsort((there - far).real)
    starts = (there - far).real[order]
    longest = 2 * far.real.max()
    for first in range(0, len(at), _TOGETHER):
        own = slice(first, first + _TOGETHER)
        low = np.searchsorted(starts, (at[own] - reach[own]).real - longest)
        count = np.searchsorted(starts, (at[own] + reach[own]).real, "right") - low
        i = np.repeat(np.arange(len(count)), count)
        k = order[np.arange(len(i)) + np.repeat(low - np.cumsum(count) + count, count)]
        i += first
        off, room = there[k] - at[i], reach[i] + far[k]
        near = (np.abs(off.real) <= room.real) & (np.abs(off.imag) <= room.imag)
        yield i[near], k[near]


_FEW_PAIRS = 4000
"""Pairs up to which all are sooner asked than those that may be near are looked for."""


_TOGETHER = 256
"""Boxes that are asked at once."""


def _meet(off: complex, way: complex, w: float, h: float, other: complex, w2: float, h2: float) -> bool:
    # Two boxes meet where no axis of either parts them.
    turned = other * way.conjugate()
    across, down = abs(turned.real), abs(turned.imag)
    here, there = off * way.conjugate(), off * other.conjugate()
    return (
        abs(here.real) <= w + w2 * across + h2 * down
        and abs(here.imag) <= h + w2 * down + h2 * across
        and abs(there.real) <= w2 + w * across + h * down
        and abs(there.imag) <= h2 + w * down + h * across
    )


def block_size(rows: Sequence[str], size: float, pitch: float) -> tuple[float, float]:
    """Return how wide and how high rows of words are."""
    return max([width_of(row, size) for row in rows]), pitch * (len(rows) - 1) + size * CAPITALS
