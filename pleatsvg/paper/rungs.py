"""What stands on a page where it meets others: trim lines, where the next ones are laid, and the halves of the rungs.

The letters of a rung stand where they lie on the fewest lines and words: beyond its dot, or to either side of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.segment import Segment
from pleatsvg.paper.document import FAINT, INK, Mark, Widths, Words, line
from pleatsvg.paper.joins import REACH, Join
from pleatsvg.paper.names import NameAt, WordBox, in_the_way
from pleatsvg.result.lettering import CAPITALS
from pleatsvg.result.shown import Look

_TRIM = Look(stroke=INK, width=0.35)
_LAY = Look(stroke=FAINT, width=0.25, dashes=(1.0, 1.5))
_RUNG = Look(stroke=INK, width=0.35)
_DOT = Look(stroke=None, fill=INK)

_LETTERS = 3.0
"""Font size in mm."""

_RADIUS = 0.9
"""Of a rung's dot, mm."""

_BEYOND = 1.6
"""mm from the middle of a rung's dot to letters beyond it."""

_BESIDE = 1.1
"""mm from a rung to letters at its side, and from its end to them."""


class RungMarks(NamedTuple):
    """Marks and words on a page, where its upper left corner is (0, 0); and, in the coordinates of the windows, the room
    that the words take, and all straight strokes about there: those that were given, and its own."""

    marks: tuple[Mark, ...]
    words: tuple[Words, ...]
    taken: tuple[WordBox, ...]
    strokes: npt.NDArray[np.complex128]


def rungs_on(
    number: int,
    joins: Sequence[Join],
    labels: Sequence[str],
    overlap: float,
    to_page: complex,
    strokes: npt.NDArray[np.complex128],
    words: Sequence[WordBox],
    widths: Widths,
) -> RungMarks:
    """Return the marks and words of a page at its joins.

    Args:
        number: of its window.
        joins: of its grid.
        labels: the names of the grid's pages.
        overlap: of the pages, mm.
        to_page: from the coordinates of the windows to the page's.
        strokes: everything that is drawn about there, as straight bits: two columns, start and end.
        words: that stand about there already.
        widths: cf. `Widths`.
    """
    own = [join for join in joins if number in (join.first, join.second)]
    marks: list[Mark] = []
    said: list[Words] = []
    bits: list[tuple[complex, complex]] = []
    tips: list[tuple[Join, complex, complex]] = []
    for join in own:
        lies_below = number == join.first
        bits.append((join.start, join.end))
        marks.append(line((join.start + to_page, join.end + to_page), _LAY if lies_below else _TRIM))
        if not lies_below:
            way = -1j if join.across == 1 else 1 + 0j
            beside = (join.start + join.end) / 2 - join.across * 1.5 + to_page
            said.append(Words("trim along this line", beside, _LETTERS, "middle", way, FAINT))
        back = REACH if lies_below else 0.0
        forth = min(REACH, overlap) if lies_below else REACH
        for middle in join.rungs:
            start, end = middle - join.across * back, middle + join.across * forth
            bits.append((start, end))
            marks.append(line((start + to_page, end + to_page), _RUNG))
            tip = start if lies_below else end
            marks.append(_dot(tip + to_page))
            tips.append((join, tip, -join.across if lies_below else join.across))
    there = np.concatenate([strokes, np.array(bits, dtype=complex).reshape(-1, 2)])
    taken: list[WordBox] = []
    high = _LETTERS * CAPITALS
    for join, tip, away in tips:
        pair = f"{labels[join.first]}-{labels[join.second]}"
        wide = widths(pair, _LETTERS, False)
        places = [NameAt(pair, at, 1 + 0j, _LETTERS) for at in _places(tip, away, wide, high)]
        costs = [in_the_way(one, wide, [*words, *taken], there) + 0.01 * k for k, one in enumerate(places)]
        at = places[costs.index(min(costs))].middle
        taken.append(WordBox(at, 1 + 0j, wide, high))
        said.append(Words(pair, at + 1j * high / 2 + to_page, _LETTERS, "middle"))
    return RungMarks(tuple(marks), tuple(said), tuple(taken), there)


def _places(tip: complex, away: complex, wide: float, high: float) -> tuple[complex, ...]:
    # Middles of a rung's letters, the best first: beyond its dot, and to either side between dot and trim line.
    if away.imag:
        aside = wide / 2 + _BESIDE
        beside = tip - away * (REACH / 2)
        return tip + away * (_BEYOND + high / 2), beside + aside, beside - aside
    aside = high / 2 + _BESIDE
    beside = tip - away * (REACH - _BESIDE - wide / 2)
    return tip + away * (_BEYOND + wide / 2), beside - 1j * aside, beside + 1j * aside


def _dot(at: complex) -> Mark:
    r = _RADIUS
    k = 0.5522847498 * r
    up, right, down, left = at - 1j * r, at + r, at + 1j * r, at - r
    run: tuple[Segment, ...] = (
        (up, up + k, right - 1j * k, right),
        (right, right + 1j * k, down + k, down),
        (down, down - k, left + 1j * k, left),
        (left, left - 1j * k, up - k, up),
    )
    return Mark((run,), _DOT, True)
