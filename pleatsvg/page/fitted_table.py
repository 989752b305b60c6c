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
    """What a row says at one level, mm: the cloth that is seen before the pleat, what it takes up, and how far it is from the
    edge when it is folded."""

    space: float
    intake: float
    so_far: float


class Row(NamedTuple):
    """A pleat by its number, with its figures level by level; number 0 is what is left after all pleats."""

    number: int
    levels: tuple[Figures, ...]


class Cell(NamedTuple):
    """Words of the table: where they start, or end where `ends`, on their base line, from its upper left corner."""

    words: str
    at: complex
    ends: bool


class Table(NamedTuple):
    """The table as it is set, and its size."""

    cells: tuple[Cell, ...]
    width: float
    height: float


NONE = Table((), 0.0, 0.0)
"""Of a piece that is not fitted."""


def table_of(rows: Sequence[Row], levels: Sequence[str], unit: str, ring: bool = False) -> Table:
    """Return the table set in columns.

    Args:
        rows: in order.
        levels: what these are called: "top", "hip", "hem".
        unit: that lengths are told in.
        ring: the piece goes all round, and has no edges to count from.
    """
    begin, there, end = (
        ("half-way between the last pleat and the first", "there", "round to there")
        if ring
        else ("the left edge", "that edge", "to the right edge")
    )
    title = f"SPACES AND INTAKES in {_NAMES.get(unit, unit)}, from {begin}; so far: folded, from {there}"

    def told(mm: float) -> str:
        # Of one form all the way down, so that figures stand below one another.
        if unit in ("mm", "cm"):
            return f"{mm:.1f}" if unit == "mm" else f"{mm / 10:.2f}"
        return show(mm, unit).removesuffix(f" {unit}")

    names = ["Pleat", *[str(row.number) if row.number else end for row in rows]]
    columns: list[list[str]] = []
    for k in range(len(levels)):
        columns.append(["space", *[told(row.levels[k].space) for row in rows]])
        columns.append(["intake", *[told(row.levels[k].intake) if row.number else "" for row in rows]])
        columns.append(["so far", *[told(row.levels[k].so_far) for row in rows]])
    x = max([width_of(name, SIZE) for name in names])
    cells = [Cell(title, complex(0, SIZE), False)]
    first = 2 * PITCH + SIZE
    cells += [Cell(name, complex(0, first + PITCH * n), False) for n, name in enumerate(names)]
    for k, level in enumerate(levels):
        x += _GROUPS_APART
        wide = [max([width_of(words, SIZE) for words in column]) for column in columns[3 * k : 3 * k + 3]]
        said = f"at the {level}"
        wide[0] = max(wide[0], width_of(said, SIZE) - wide[1] - wide[2] - 2 * _APART)
        cells.append(Cell(said, complex(x + sum(wide) + 2 * _APART, first - PITCH), True))
        for column, width in zip(columns[3 * k : 3 * k + 3], wide, strict=True):
            x += width
            cells += [Cell(words, complex(x, first + PITCH * n), True) for n, words in enumerate(column) if words]
            x += _APART
        x -= _APART
    width = max(x, width_of(title, SIZE))
    return Table(tuple(cells), width, first + PITCH * len(rows) + 2.0)
