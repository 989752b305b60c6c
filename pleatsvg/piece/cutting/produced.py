"""Many lines across a piece, produced to its cutting line at once."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial
from itertools import accumulate, islice
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.segment import clear_across, point_at, roots_of, single_root
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.slash_lines import Chord
from pleatsvg.tolerance import ON_LINE, SAME_SPOT, TOUCH

_Reals = npt.NDArray[np.float64]
_Points = npt.NDArray[np.complex128]
_Numbers = npt.NDArray[np.int64]

_chord: Callable[[tuple[float, float, complex, complex]], Chord] = partial(tuple.__new__, Chord)


class _Sought(NamedTuple):
    """A line with one end on the level, the other end of which on the cutting line is sought.

    Attributes:
        number: among all lines asked of.
        hem: whether it is its hem end that is sought.
        place: of its end on the level, on the cutting line.
        end: its end on the seam, from where the cutting line is sought.
        way: the unit vector from there outwards.
    """

    number: int
    hem: bool
    place: float
    end: complex
    way: complex


_sought: Callable[[tuple[int, bool, float, complex, complex]], _Sought] = partial(tuple.__new__, _Sought)


def produced_each(asked: Sequence[tuple[Cutting, Sequence[Chord]]]) -> list[list[Chord]]:
    """Return lines across several pieces, each produced to the cutting line of its piece at both ends; cf. `Cutting.produced`.

    Of those that end on a level only the other end is looked for, and of those no farther off than a cutting line most often
    lies. All of them are looked at in one go; what takes a closer look is produced by itself.
    """
    made: list[list[Chord | None]] = []
    searches: list[tuple[Cutting, list[_Sought]]] = []
    for cutting, chords in asked:
        if cutting.level is None:
            near = None
            if cutting.outline.many:
                ways = [(chord.top, (chord.hem - chord.top) / abs(chord.hem - chord.top)) for chord in chords]
                near = cutting.outline.near_each(ways)
            rows = near if near is not None else [None] * len(chords)
            made.append([cutting.produced(chord, row) for chord, row in zip(chords, rows, strict=True)])
            continue
        made.append([None] * len(chords))
        searches.append((cutting, _from_level(cutting, chords)))
    many = sum([len(lines) for _, lines in searches]) >= _MANY
    hits = iter(_first_beyond(searches) if many else [hit for one in searches for hit in _one_by_one(*one)])
    rest = iter(searches)
    for (cutting, chords), row in zip(asked, made, strict=True):
        if cutting.level is None:
            continue
        sought = next(rest)[1]
        for (number, hem, place, _, _), hit in zip(sought, islice(hits, len(sought)), strict=True):
            if hit is not None:
                at, point = hit
                _, _, top, end = chords[number]
                row[number] = _chord((place, at, top, point) if hem else (at, place, point, end))
    return [
        [cutting.produced(chord) if one is None else one for chord, one in zip(chords, row, strict=True)]
        for (cutting, chords), row in zip(asked, made, strict=True)
    ]


def _from_level(cutting: Cutting, chords: Sequence[Chord]) -> list[_Sought]:
    assert cutting.level is not None
    first, last, _ = cutting.level
    n = len(cutting.distances)
    found: list[_Sought] = []
    for k, (top_at, hem_at, top, hem) in enumerate(chords):
        way = (hem - top) / abs(hem - top)
        if first - 1 < top_at % n < last + 1:
            place = _on_level(cutting, top_at % n, top)
            if place is not None:
                found.append(_sought((k, True, place, hem, way)))
        elif first - 1 < hem_at % n < last + 1:
            place = _on_level(cutting, hem_at % n, hem)
            if place is not None:
                found.append(_sought((k, False, place, top, -way)))
    return found


def _on_level(cutting: Cutting, at: float, point: complex) -> float | None:
    # Where a place of the seam on the level lies on the cutting line. From the outermost nodes on the level runs straight out
    # to both sides, which are not the same.
    assert cutting.level is not None
    first, last, farther = cutting.level
    if first <= at <= last:
        return at + farther
    if cutting.points:
        return None
    index = math.floor(at) + farther
    a, b = cutting.outline.segments[index]
    return index + ((point - a) * (b - a).conjugate()).real / abs(b - a) ** 2


_MANY = 120
"""Lines from which on they are sooner looked at all at once."""


_Hit = tuple[float, complex]
"""A place on the cutting line, and the point there."""


def _one_by_one(cutting: Cutting, sought: Sequence[_Sought]) -> list[_Hit | None]:
    # As `_first_beyond` of few lines.
    outline, far = cutting.outline, _FAR * max(cutting.distances) + 1
    segments, reach = outline.segments, far + 1
    boxes = [
        (k, left - reach, top - reach, right + reach, bottom + reach)
        for k, (left, top, right, bottom) in enumerate(outline.boxes)
    ]
    found: list[_Hit | None] = []
    for _, _, _, end, way in sought:
        x, y = end.real, end.imag
        near = [k for k, left, top, right, bottom in boxes if left <= x <= right and top <= y <= bottom]
        flip = way.conjugate()
        meets: list[tuple[int, list[float]]] = []
        for k in near:
            w = [((z - end) * flip).imag for z in segments[k]]
            if min(w) <= ON_LINE and max(w) >= -ON_LINE:
                meets.append((k, w))
        if len(meets) == 1 and clear_across(meets[0][1]):
            k, w = meets[0]
            share = single_root(w)
            if SAME_SPOT < share < 1 - SAME_SPOT:
                point = point_at(segments[k], share)
                ahead = ((point - end) * flip).real
                found.append((k + share, point) if -ON_LINE <= ahead <= far else None)
                continue
        hit = outline.crossed_beyond(end, way, -ON_LINE, True, near)
        found.append((hit.at, hit.point) if hit is not None and hit.along <= far else None)
    return found


def _first_beyond(searches: Sequence[tuple[Cutting, list[_Sought]]]) -> list[_Hit | None]:
    # Of all lines in a row the place and the point where each first crosses its cutting line from the end of its seam on; None
    # where that takes a closer look.
    counts = [len(sought) for _, sought in searches]
    nodes = [len(cutting.outline) for cutting, _ in searches]
    _, _, _, ends, units = zip(*[line for _, sought in searches for line in sought], strict=True)
    origins, ways = np.array(ends), np.array(units)
    far = [_FAR * max(cutting.distances) + 1 for cutting, _ in searches]
    before, behind = _before(counts), _before(nodes)
    controls = np.concatenate([cutting.outline.controls for cutting, _ in searches])
    boxes = _boxes(controls)
    pairs = [
        _near(origins[a : a + m], boxes[:, b : b + n], reach + 1, (a, b))
        for a, m, b, n, reach in zip(before, counts, behind, nodes, far, strict=True)
    ]
    of, segs = (np.concatenate(numbers) for numbers in zip(*pairs, strict=True))
    flips = ways.conj()
    w = ((controls[segs] - origins[of, None]) * flips[of, None]).imag
    meets = ((w.min(axis=1) <= ON_LINE) & (w.max(axis=1) >= -ON_LINE)).nonzero()[0]
    found: list[_Hit | None] = [None] * len(origins)
    if not len(meets):
        return found
    of, segs, w = of[meets], segs[meets], w[meets]
    first, second, third, last = w.T
    over = (first > ON_LINE) & (last < -ON_LINE) & ~((second < 0) & (third > 0))
    over |= (first < -ON_LINE) & (last > ON_LINE) & ~((second > 0) & (third < 0))
    t = roots_of(w)
    s = 1 - t
    a, b, c, d = controls[segs].T
    points = s * s * s * a + 3 * s * t * (s * b + t * c) + t * t * t * d
    ahead = ((points - origins[of]) * flips[of]).real
    # Plain where a line crosses all that it meets there, clear of ends; and where no other crossing is as near to the one that
    # is looked for as a touch would be.
    plain = over & (t > SAME_SPOT) & (t < 1 - SAME_SPOT)
    begins = np.concatenate(([0], (of[1:] != of[:-1]).nonzero()[0] + 1))
    line = np.repeat(np.arange(len(begins)), np.diff(begins, append=len(of)))
    beyond = np.where(ahead >= -ON_LINE, ahead, np.inf)
    nearest = np.minimum.reduceat(beyond, begins)
    known = np.logical_and.reduceat(plain, begins) & (nearest <= np.repeat(far, counts)[of[begins]])
    known &= np.add.reduceat((np.abs(ahead - nearest[line]) < TOUCH).astype(int), begins) == 1
    kept = (known[line] & (beyond == nearest[line])).nonzero()[0]
    of = of[kept]
    places = segs[kept] - np.repeat(behind, counts)[of] + t[kept]
    for k, place, point in zip(of.tolist(), places.tolist(), points[kept].tolist(), strict=True):
        found[k] = place, point
    return found


_FAR = 3.0
"""A cutting line is sought so many times as far off as the widest allowance; farther off each line is produced by itself."""


def _before(counts: Sequence[int]) -> list[int]:
    return [0, *accumulate(counts[:-1])]


def _boxes(controls: _Points) -> _Reals:
    # Lefts, tops, rights and bottoms of the boxes round segments.
    a, b, c, d = controls.view(float).reshape(-1, 4, 2).transpose(1, 2, 0)
    least = np.minimum(np.minimum(a, b), np.minimum(c, d))
    return np.concatenate((least, np.maximum(np.maximum(a, b), np.maximum(c, d))))


def _near(spots: _Points, boxes: _Reals, reach: float, behind: tuple[int, int]) -> tuple[_Numbers, _Numbers]:
    # The numbers of spots in a row, and of boxes that lie no farther off than so much, both counted on.
    rows: list[_Numbers] = []
    columns: list[_Numbers] = []
    x, y = spots.real[:, None], spots.imag[:, None]
    lefts, tops, rights, bottoms = boxes[0] - reach, boxes[1] - reach, boxes[2] + reach, boxes[3] + reach
    for first in range(0, len(spots), _IN_A_ROW):
        across, down = x[first : first + _IN_A_ROW], y[first : first + _IN_A_ROW]
        # So many in a row lie side by side: few boxes are near any of them.
        some = (lefts <= across.max()) & (rights >= across.min()) & (tops <= down.max()) & (bottoms >= down.min())
        numbers = some.nonzero()[0]
        near = (lefts[numbers] <= across) & (across <= rights[numbers])
        near &= (tops[numbers] <= down) & (down <= bottoms[numbers])
        own, of = near.nonzero()
        rows.append(own + (first + behind[0]))
        columns.append(numbers[of] + behind[1])
    if len(rows) == 1:
        return rows[0], columns[0]
    return np.concatenate((np.zeros(0, int), *rows)), np.concatenate((np.zeros(0, int), *columns))


_IN_A_ROW = 64
"""So many spots are held against boxes in one go, so that the work grows with their number."""
