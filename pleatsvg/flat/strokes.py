"""Runs of segments that lines across the piece cut: where they do, and what lies between. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence

import numpy as np

from pleatsvg.geometry.segment import Segment, cut, point_at, sign_changes
from pleatsvg.piece.slash_lines import Chord
from pleatsvg.tolerance import NOISE, ON_LINE, SAME_SPOT


def path_crossings(path: tuple[Segment, ...], chord: Chord) -> list[float]:
    """Return the places at which a run of segments changes from one side of a line across the piece to the other."""
    return _crossings(path, chord, range(len(path)))


class LongRun:
    """A run of many segments that many lines cross: each line is asked at the few segments alone that may lie on it, and which
    these are is found for many lines at once."""

    def __init__(self, path: tuple[Segment, ...]) -> None:
        self.path = path
        points = np.array([z for seg in path for z in seg])
        starts = np.cumsum([0, *[len(seg) for seg in path[:-1]]])
        left, right = np.minimum.reduceat(points.real, starts), np.maximum.reduceat(points.real, starts)
        top, bottom = np.minimum.reduceat(points.imag, starts), np.maximum.reduceat(points.imag, starts)
        # The middle of the box round each segment, and how far that reaches either way.
        self._x, self._y = (left + right) / 2, (top + bottom) / 2
        self._wide, self._high = (right - left) / 2, (bottom - top) / 2

    def crossings(self, chords: Sequence[Chord]) -> Iterator[list[float]]:
        """Yield for each of many lines the places where the run changes from one side of it to the other."""
        rows = max(1, _AT_ONCE // len(self._x))
        for first in range(0, len(chords), rows):
            some = chords[first : first + rows]
            tops = np.array([chord.top for chord in some])
            ways = np.array([chord.hem for chord in some]) - tops
            ways /= np.abs(ways)
            off = (self._y - tops.imag[:, None]) * ways.real[:, None]
            off -= (self._x - tops.real[:, None]) * ways.imag[:, None]
            reach = self._wide * np.abs(ways.imag)[:, None]
            reach += self._high * np.abs(ways.real)[:, None]
            near = np.abs(off) < reach + _NEAR
            # A segment that meets one near the line on the line is near it itself: no other changes sides.
            for chord, asked in zip(some, near, strict=True):
                yield _crossings(self.path, chord, asked.nonzero()[0].tolist())


_AT_ONCE = 80_000
"""Boxes held against lines in one go, to be kept in little memory."""


_NEAR = 1e-3
"""mm. Far above rounding, and above what counts as lying on a line."""


def _crossings(path: tuple[Segment, ...], chord: Chord, asked: Iterable[int]) -> list[float]:
    # All others lie on one side of the line, that on which the run comes to the next one asked.
    length = abs(chord.hem - chord.top)
    along = (chord.hem - chord.top) / length
    top, flip = chord.top, along.conjugate()
    found: list[float] = []
    before, last = 0.0, -1
    for index in asked:
        seg = path[index]
        if index != last + 1:
            before = ((seg[0] - top) * flip).imag
        last = index
        w = [((z - top) * flip).imag for z in seg]
        if w[0] * before > 0 and (min(w) > ON_LINE or max(w) < -ON_LINE):
            continue  # all of it on the side from which the run comes
        w = [0.0 if -NOISE < v < NOISE else v for v in w]
        for k in (0, -1):
            if -ON_LINE < w[k] < ON_LINE:
                w[k] = 0.0
        places = [index + share for share in sign_changes(w)]
        first = next((v for v in w if v), 0.0)
        if before and first and (first > 0) != (before > 0):
            places.insert(0, float(index))
        before = next((v for v in reversed(w) if v), before)
        for place in places:
            spot = point_at(seg, place - index)
            if -ON_LINE <= ((spot - chord.top) * along.conjugate()).real <= length + ON_LINE:
                found.append(place)
    return found


def parts_between(path: tuple[Segment, ...], start: float, stop: float) -> Iterator[Segment]:
    """Yield the way along a run of segments from one place to another, backwards where `stop` is the smaller."""
    low, high = min(start, stop), max(start, stop)
    indices = range(max(0, math.floor(low)), min(len(path), math.ceil(high)))
    for index in indices if stop >= start else reversed(indices):
        t0, t1 = max(0.0, low - index), min(1.0, high - index)
        if t1 - t0 > SAME_SPOT:
            yield cut(path[index], t0, t1) if stop >= start else cut(path[index], t1, t0)


def middle_of(path: Sequence[Segment]) -> complex:
    """Return the middle of the longest segment of a run: clear of lines that cut it, as no short one beside a cut may be."""
    return point_at(max(path, key=_chord_of) if len(path) > 1 else path[0], 0.5)


def clear_of(path: Sequence[Segment], off: Callable[[complex], float]) -> complex:
    """Return a point of a run that lies on one side of some lines, from which it can be told on which.

    Args:
        path: the run.
        off: how far a point lies from the nearest of the lines, mm.
    """
    spot = middle_of(path)
    if len(path) == 1 or off(spot) > ON_LINE:
        return spot
    # Its longest segment lies along a line.
    return max([point_at(seg, 0.5) for seg in path], key=off)


def _chord_of(seg: Segment) -> float:
    return abs(seg[-1] - seg[0])
