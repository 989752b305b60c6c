"""The marks by which pages are joined: rungs across every join, at places that no other join has.

A rung is a short line with a dot at either end, half of it on each page. The page on the right, or below, is trimmed at
its edge and laid so that all halves meet. Each join has rungs at a choice of places of its own, and no choice is another
one read backwards: a page at the wrong place, or turned round, does not match.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from itertools import combinations, pairwise
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from pleatsvg.paper.placing import Grid, Window

RUNGS = 4
"""Across each join: two hold a page, two more tell it from another."""

REACH = 7.0
"""mm that a rung reaches to either side, and so within the overlap."""

_APART = 7.0
"""mm between the places that a rung may have: more than the breadth of its letters."""

_CLEAR = 12.0
"""mm from the ends of a join, where other joins cross it."""

_FEW = 16
"""Places at the least; on a shorter join they lie nearer together."""

_MANY = 24
"""Places at the most, which have thousands of choices; on a longer join they lie farther apart."""

_CHOOSE, _CHOOSE_FREELY = 4, 24
"""Choices of places that each join has to itself, so that several hundred joins have rungs of their own; and as many at
the most where there are few joins."""


class Join(NamedTuple):
    """Where two pages meet.

    Attributes:
        first, second: numbers of their windows; the second is trimmed and laid over the first.
        start, end: of the edge of the second page, in mm, in the coordinates of the windows.
        rungs: the middles of its rungs.
        across: the unit vector from the first page to the second.
    """

    first: int
    second: int
    start: complex
    end: complex
    rungs: tuple[complex, ...]
    across: complex


Cost = Callable[[npt.NDArray[np.complex128], complex], list[float]]
"""What is in the way of rungs, from the middles of all places of a join in order and the unit vector across it."""


def joins_of(grid: Grid, before: int = 0, cost: Cost | None = None, whole: int = 0) -> tuple[Join, ...]:
    """Return the joins between the printed pages of a grid.

    Args:
        grid: of a piece.
        before: how many joins the pieces before it on the same paper have, whose rungs are not used again.
        cost: of a few choices of places the one is taken whose rungs have the least in their way.
        whole: how many joins there are on the same paper; of fewer each has more choices.
    """
    at = {(window.row, window.column): k for k, window in enumerate(grid.windows)}
    pairs: list[tuple[int, int, complex]] = []
    for k, window in enumerate(grid.windows):
        for row, column, way in ((0, 1, 1 + 0j), (1, 0, 1j)):
            other = at.get((window.row + row, window.column + column))
            if other is not None:
                pairs.append((k, other, way))
    usable = min(grid.wide, grid.high) - grid.overlap - 2 * _CLEAR
    places = min(max(_FEW, int(usable / _APART) + 1), _MANY)
    choices = _one_way(places)
    each = _CHOOSE
    if whole:
        each = max(_CHOOSE, min(_CHOOSE_FREELY, len(choices) // whole))
    found: list[Join] = []
    for number, (first, second, across) in enumerate(pairs, before):
        corner = grid.windows[second].corner
        along = 1j if across == 1 else 1 + 0j
        length = grid.high if across == 1 else grid.wide
        # The overlap at the far end lies under the next page.
        step = (length - grid.overlap - 2 * _CLEAR) / (places - 1)
        middles = [corner + along * (_CLEAR + step * place) for place in range(places)]
        costs = cost(np.array(middles), across) if cost is not None else [0.0] * places
        own = [choices[k % len(choices)] for k in range(number * each, (number + 1) * each)]
        chosen = min(own, key=lambda choice: sum([costs[place] for place in choice]))
        rungs = tuple([middles[place] for place in chosen])
        found.append(Join(first, second, corner, corner + along * length, rungs, across))
    return tuple(found)


@cache
def _one_way(places: int) -> tuple[tuple[int, ...], ...]:
    # Choices of places that are not next to each other and reach over half of the join, none of which is another one, or
    # itself, read backwards. Neighbours in the order of combinations are alike but for one rung, so they are dealt out anew.
    found = []
    for choice in combinations(range(places), RUNGS):
        backwards = tuple([places - 1 - place for place in reversed(choice)])
        apart = all(b - a > 1 for a, b in pairwise(choice))
        if choice < backwards and apart and choice[-1] - choice[0] >= places // 2:
            found.append(choice)
    stride = next(k for k in range(int(len(found) * 0.382) + 1, 3 * len(found)) if math.gcd(k, len(found)) == 1)
    return tuple([found[k * stride % len(found)] for k in range(len(found))])


def label_of(rows_before: int, window: Window) -> str:
    """Return a page's name: the letter of its row and its number in the row, "B3".

    Args:
        rows_before: rows of other pieces on the same paper.
        window: of the page.
    """
    return f"{_row_letters(rows_before + window.row)}{window.column + 1}"


def _row_letters(row: int) -> str:
    letters = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        letters = chr(65 + rest) + letters
    return letters
