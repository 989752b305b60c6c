"""Words at the ends of their lines, beyond the hem, for which there was no room beside them.

They stand side by side in the order of the lines, each as near to the end of its own as can be, and a thin line leads to
those that had to give way. Where lines are too many for one row, every second, third ... label stands in a row further out,
and the thin lines that lead to it pass between the nearer ones. All in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.result.lettering import CAPITALS, SIZE, Words, readable
from pleatsvg.result.mark import Mark
from pleatsvg.tolerance import WORDS_OFF

_BEYOND = 7.5
"""mm from the end of a line to its words: clear of its notch."""

_HALF = 0.44
"""Half the width of words, as a share of their width on the wide side: they begin near their line in narrower faces too."""

_SLANT = 8.0
"""mm more where words give way, for the thin lines that lead to them."""

_PITCH = SIZE * CAPITALS + 2.2
_BESIDE_LEADER = SIZE * CAPITALS / 2 + 0.9
_LEADERS = 1.0
_LED = 1.0
"""mm further out from where on words have a thin line that leads to them."""
_MOST_ROWS = 6
_AT_MOST = WORDS_OFF - 1.0
"""mm that words may lie beside their line: `fold` asks for less than `WORDS_OFF`."""


LEAD = 7.0
"""mm beyond the end of a line, and past its notch, where a thin line begins that leads to its words."""


class LineEnd(NamedTuple):
    """Words for the hem end of a line: its direction, how far it runs on through the allowance, and what they belong to.

    `more` is how much further out a line close beside it ends; a thin line leads past its notch.
    """

    hem: complex
    along: complex
    out: float
    words: Words
    sign: str
    folds: tuple[int, ...]
    more: float = 0.0
    led_from: float = LEAD
    """How far beyond the end a thin line begins that leads to the words, mm: past the notch there."""


def at_line_ends(ends: Sequence[LineEnd], after: complex) -> tuple[list[Words], list[Mark]]:
    """Return the words in their places, and the thin lines that lead to them.

    Args:
        ends: in the order of the lines.
        after: times a line's direction: the unit vector to the lines after it.
    """
    if not ends:
        return [], []
    drawn = [end.along for end in ends]
    ends = _turned_alike(ends)
    wanted = _along_hem(ends)
    for rows in range(1, _MOST_ROWS + 1):
        places = _places(wanted, rows)
        if max(abs(x - s) for levels, s in zip(places, wanted, strict=True) for x in levels) <= _AT_MOST:
            break
    slanted = rows > 1 or any(abs(levels[0] - s) > 0.3 for levels, s in zip(places, wanted, strict=True))
    starts = [max([end.out + end.more for end in ends]) + _BEYOND + (_SLANT if slanted else 0.0)] if slanted else []
    for row in range(rows - 1):
        starts.append(starts[-1] + max([end.words.width for end in ends[row::rows]], default=0.0) + 6.0)
    words: list[Words] = []
    leaders: list[Mark] = []
    for k, ((hem, along, out, label, sign, folds, more, led_from), levels, s) in enumerate(
        zip(ends, places, wanted, strict=True)
    ):
        across, row = after * along, k % rows
        if abs(levels[row] - s) > _AT_MOST:
            continue  # in such a crowd the words of its neighbours have to do
        shifts = [x - s for x in levels[: row + 1]]
        start = starts[row] if slanted else out + more + _BEYOND
        middle = hem + along * (start + _HALF * label.width) + across * shifts[-1]
        if led_from != LEAD and abs(((middle - hem) * drawn[k].conjugate()).imag) > _AT_MOST:
            continue  # lines fan out from a dart's point so widely that words behind it would lie beside other lines
        words.append(label._replace(middle=middle, turn=readable(along)))
        if slanted:
            points = [hem + along * (out + led_from)]
            for level, shift in enumerate(shifts):
                points.append(hem + along * (starts[level] - 1.0) + across * shift)
                if level < row:
                    points.append(hem + along * (starts[level + 1] - 4.0) + across * shift)
            leaders.append(Mark("leader", tuple(points), (len(points),), sign, label.pleat, folds, "hem"))
        elif more > _LED:
            points = [hem + along * (out + led_from), hem + along * (start - 1.0)]
            leaders.append(Mark("leader", tuple(points), (2,), sign, label.pleat, folds, "hem"))
    return words, leaders


def _turned_alike(ends: Sequence[LineEnd]) -> list[LineEnd]:
    # Lines that end close to one another may lie at angles at which their words would cross: there all are turned alike.
    groups: list[list[LineEnd]] = []
    for end in ends:
        if groups and abs(end.hem - groups[-1][-1].hem) < 2 * _PITCH:
            groups[-1].append(end)
        else:
            groups.append([end])
    made: list[LineEnd] = []
    for group in groups:
        along = sum([end.along for end in group])
        made += [end._replace(along=along / abs(along)) for end in group] if len(group) > 1 else group
    return made


def _along_hem(ends: Sequence[LineEnd]) -> list[float]:
    # How far along the hem each line ends, from the first on.
    found = [0.0]
    for before, here in pairwise(ends):
        found.append(found[-1] + abs(here.hem - before.hem))
    return found


def _places(wanted: Sequence[float], rows: int) -> list[list[float]]:
    # For each label where it, or the thin line that leads to it, passes each row up to its own.
    places: list[list[float]] = [[] for _ in wanted]
    for row in range(rows):
        passing = [k for k in range(len(wanted)) if k % rows >= row]
        words = [k % rows == row for k in passing]
        gaps = [
            _PITCH if one and other else _BESIDE_LEADER if one or other else _LEADERS for one, other in pairwise(words)
        ]
        here = _parted([places[k][-1] if row else wanted[k] for k in passing], gaps)
        for k, x in zip(passing, here, strict=True):
            places[k].append(x)
    return places


def _parted(wanted: Sequence[float], gaps: Sequence[float]) -> list[float]:
    """Return places in order, so far apart as `gaps` says, that are off from those wanted by as little as can be (in squares).

    Less the gaps before each, places must not fall; neighbours that would are pooled at their mean (pool adjacent
    violators).

    >>> _parted([0.0, 1.0, 10.0], [3.0, 3.0])
    [-1.0, 2.0, 10.0]
    """
    before = [0.0]
    for gap in gaps:
        before.append(before[-1] + gap)
    pools: list[tuple[float, int]] = []
    for place, shift in zip(wanted, before, strict=False):
        total, count = place - shift, 1
        while pools and pools[-1][0] / pools[-1][1] >= total / count:
            more, others = pools.pop()
            total, count = total + more, count + others
        pools.append((total, count))
    means = [total / count for total, count in pools for _ in range(count)]
    return [mean + shift for mean, shift in zip(means, before, strict=False)]
