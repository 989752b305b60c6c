"""The table of a fitted piece on its page: spaces and intakes at the top, at the level where its lines bend, and at the hem.

It stands beside the key, or below it where the page is no wider than that; all in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from pleatsvg.length import show
from pleatsvg.result.lettering import SIZE, width_of

TABLE_CELL = "fitted-cell"
"""The class of its words in a result."""

PITCH = 6.5
"""mm from row to row."""

_APART, _GROUPS_APART = 4.0, 9.0
"""mm between columns, and between those of one level and those of the next."""

_NAMES = {"mm": "mm", "cm": "cm", "in": "inches"}


class Figures(NamedTuple):
    """What is said of all pleats at one level, and last of what is left after them, mm: the cloth that is seen before a pleat,
    what it takes up, and how far it is from the edge when it is folded."""

    spaces: Sequence[float]
    intakes: Sequence[float]
    so_far: Sequence[float]


class Column(NamedTuple):
    """Words that stand below one another.

    Attributes:
        words: in each of its rows; "" where there are none.
        first: the row of the table that it begins in, from 0.
        across: where its words start, or end where `ends`; mm from the left of the table.
        ends: whether they end there.
    """

    words: Sequence[str]
    first: int
    across: float
    ends: bool


class Table(NamedTuple):
    """The table as it is set: its columns, its size and, from its top, the base line of each row, mm."""

    columns: tuple[Column, ...]
    width: float
    height: float
    down: tuple[float, ...] = ()


NONE = Table((), 0.0, 0.0)
"""Of a piece that is not fitted."""


def table_of(pleats: Sequence[int], levels: Sequence[tuple[str, Figures]], unit: str, ring: bool = False) -> Table:
    """Return the table set in columns.

    Args:
        pleats: their numbers, in order.
        levels: what these are called, "top", "hip" and "hem", with their figures.
        unit: that lengths are told in.
        ring: the piece goes all round, and has no edges to count from.
    """
    begin, there, end = (
        ("half-way between the last pleat and the first", "there", "round to there")
        if ring
        else ("the left edge", "that edge", "to the right edge")
    )
    title = f"SPACES AND INTAKES in {_NAMES.get(unit, unit)}, from {begin}; so far: folded, from {there}"
    names = ["Pleat", *map(str, pleats), end]
    columns = [Column((title,), 0, 0.0, False), Column(names, 2, 0.0, False)]
    x = max([width_of(name, SIZE) for name in names])
    for level, figures in levels:
        x += _GROUPS_APART
        said = f"at the {level}"
        spaces, intakes, so_far = (
            _told(head, row, unit)
            for head, row in (
                ("space", figures.spaces),
                ("intake", figures.intakes[:-1]),
                ("so far", figures.so_far),
            )
        )
        second, third = intakes.wide + _APART, so_far.wide + _APART
        x += max(spaces.wide, width_of(said, SIZE) - second - third)
        columns += [
            Column((said,), 1, x + second + third, True),
            Column(spaces.words, 2, x, True),
            Column(intakes.words, 2, x + second, True),
            Column(so_far.words, 2, x + second + third, True),
        ]
        x += second + third
    down = tuple([SIZE + PITCH * row for row in range(len(names) + 2)])
    return Table(tuple(columns), max(x, width_of(title, SIZE)), down[-1] + 2.0, down)


class _Told(NamedTuple):
    words: list[str]
    wide: float


def _told(head: str, row: Sequence[float], unit: str) -> _Told:
    # A column in words, of one form all the way down, so that figures stand below one another, and how wide it is.
    if unit not in ("mm", "cm"):
        words = [head, *[show(mm, unit).removesuffix(f" {unit}") for mm in row]]
        return _Told(words, max([width_of(one, SIZE) for one in words]))
    form, times = ("{:.1f}", 1) if unit == "mm" else ("{:.2f}", 10)
    words = [head, *[form.format(mm / times) for mm in row]]
    # All figures are as wide as one another, so that none is wider than the largest or the smallest.
    widest = [head, *[form.format(mm / times) for mm in (max(row), min(row))]]
    return _Told(words, max([width_of(one, SIZE) for one in widest]))
