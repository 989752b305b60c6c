"""Several pieces on the same pages: in rows as wide as some pages, each piece as drawn or turned by a quarter. In mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pleatsvg.geometry.segment import Box
from pleatsvg.paper.area import Drawn
from pleatsvg.paper.pages import Lay
from pleatsvg.paper.placing import about_fewest

GAP = 6.0
"""mm between two pieces: room for scissors."""

_MOST_ACROSS = 8
"""Pages that a row of pieces may be wide."""


def laid_together(
    drawn: Sequence[Drawn], wide: float, high: float, overlap: float, turn: float | None
) -> tuple[list[Lay], Drawn]:
    """Return where pieces lie so that they take few pages together, and what they take up.

    Rows of pieces are tried, from one page wide to eight, as drawn, all turned so that they lie low, and all upright.

    Args:
        drawn: the pieces.
        wide, high: of a page's window.
        overlap: of the pages.
        turn: cf. `fewest_pages`.
    """
    quarters = [[1 + 0j] * len(drawn)] if turn is not None else _quarters(drawn)
    best: tuple[int, list[Lay], Drawn] | None = None
    for turns in quarters:
        boxes = [_box(one, way) for one, way in zip(drawn, turns, strict=True)]
        seen: set[tuple[complex, ...]] = set()
        for across in range(1, _MOST_ACROSS + 1):
            shifts = _in_rows(boxes, across * (wide - overlap) + overlap - 2.0)
            if tuple(shifts) in seen:
                continue
            seen.add(tuple(shifts))
            lays = [Lay(k, way, shift) for k, (way, shift) in enumerate(zip(turns, shifts, strict=True))]
            whole = _whole(drawn, lays)
            count = about_fewest(whole, wide, high, overlap, turn or 0.0)
            if best is None or count < best[0]:
                best = (count, lays, whole)
    assert best is not None
    return best[1], best[2]


def _quarters(drawn: Sequence[Drawn]) -> list[list[complex]]:
    low, upright = [], []
    for one in drawn:
        left, top, right, bottom = _box(one, 1 + 0j)
        is_low = right - left >= bottom - top
        low.append(1 + 0j if is_low else 1j)
        upright.append(1j if is_low else 1 + 0j)
    made: list[list[complex]] = []
    for turns in ([1 + 0j] * len(drawn), low, upright):
        if turns not in made:
            made.append(turns)
    return made


def _box(one: Drawn, way: complex) -> Box:
    points = one.points * way
    return (
        float(points.real.min()),
        float(points.imag.min()),
        float(points.real.max()),
        float(points.imag.max()),
    )


def _in_rows(boxes: Sequence[Box], width: float) -> list[complex]:
    # The highest pieces first; each in the first row that has room for it.
    order = sorted(range(len(boxes)), key=lambda k: boxes[k][1] - boxes[k][3])
    rows: list[list[float]] = []  # where each row ends, and how high it is
    at: dict[int, tuple[int, float]] = {}
    for k in order:
        left, top, right, bottom = boxes[k]
        for number, row in enumerate(rows):
            if row[0] + GAP + right - left <= width:
                at[k] = (number, row[0] + GAP)
                row[0] += GAP + right - left
                break
        else:
            at[k] = (len(rows), 0.0)
            rows.append([right - left, bottom - top])
    tops = np.cumsum([0.0] + [row[1] + GAP for row in rows])
    return [complex(at[k][1] - boxes[k][0], float(tops[at[k][0]]) - boxes[k][1]) for k in range(len(boxes))]


def _whole(drawn: Sequence[Drawn], lays: Sequence[Lay]) -> Drawn:
    outlines = [outline * lay.turn + lay.shift for lay in lays for outline in drawn[lay.body].outlines]
    marks = [drawn[lay.body].marks * lay.turn + lay.shift for lay in lays]
    return Drawn(tuple(outlines), np.concatenate(marks))
