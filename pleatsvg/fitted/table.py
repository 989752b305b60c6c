"""Spaces and intakes of a fitted piece at the top, at the hip points and at the hem, counted on from its first edge; mm."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.fitted.fit import Fitted


class Level(NamedTuple):
    """What a row says at one level, mm.

    Attributes:
        space: of cloth that is seen before the pleat, from the one before it or from the edge of the piece.
        so_far: from the edge of the piece to the pleat, folded.
        intake: of the pleat, of half of one that lies on the fold edge the half.
    """

    space: float
    so_far: float
    intake: float


@dataclass(frozen=True, slots=True)
class TableRow:
    """A pleat of a fitted piece; the last row, numbered 0, is what is left after all pleats.

    Attributes:
        pleat, name: its number and its slash line's name.
        lean: the most that an edge of it leans, degrees.
        share: how much of the top vanishes in it, mm.
        top, hip, hem: its spaces and intakes there.
    """

    pleat: int
    name: str
    lean: float
    share: float
    top: Level
    hip: Level
    hem: Level


class LevelColumns(NamedTuple):
    """The same of all pleats at one level, and last of what is left after them, which takes up nothing; cf. `Level`."""

    spaces: list[float]
    so_far: list[float]
    intakes: list[float]


def fitted_columns(
    fitted: Fitted, intakes: Iterable[Sequence[float]]
) -> tuple[LevelColumns, LevelColumns, LevelColumns]:
    """Return the columns of the table at the top, at the level where lines bend, and at the hem.

    Args:
        fitted: the piece.
        intakes: of each pleat at the top and at the hem, as measured on the flat piece, mm.
    """
    pleats = [edge.pleat for edge in fitted.edges]
    # Of each pleat the first of its edges and the last.
    first = [k for k, pleat in enumerate(pleats) if not k or pleats[k - 1] != pleat]
    last = [*[k - 1 for k in first[1:]], len(pleats) - 1]
    at_level = [_intake(edge) for edge in fitted.edges]
    at_top, at_hem = zip(*intakes, strict=True)
    at_hip = [sum(at_level[a : b + 1]) for a, b in zip(first, last, strict=True)]
    top, hip, hem = _along_top(fitted), _along_hip(fitted), _along_hem(fitted)
    return (
        _columns(top, at_top, first, last),
        _columns(hip, at_hip, first, last),
        _columns(hem, at_hem, first, last),
    )


def _columns(
    places: Sequence[float], intakes: Sequence[float], first: Sequence[int], last: Sequence[int]
) -> LevelColumns:
    # From where its edges lie along the level, and behind them where the piece ends there.
    begins, ends = [places[k] for k in first] + [places[-1]], [0.0, *[places[k] for k in last]]
    return LevelColumns(
        [there - before for there, before in zip(begins, ends, strict=True)],
        begins,
        [*intakes, 0.0],
    )


def fitted_table(fitted: Fitted, intakes: Sequence[tuple[float, float]]) -> tuple[TableRow, ...]:
    """Return a row for each pleat, and one for what is left.

    Args:
        fitted: the piece.
        intakes: of each pleat at the top and at the hem, as measured on the flat piece, mm.
    """
    edges, leans = fitted.edges, fitted.closed.leans
    own: dict[int, list[int]] = {}
    for k, edge in enumerate(edges):
        own.setdefault(edge.pleat, []).append(k)
    levels = [[Level(*row) for row in zip(*columns, strict=True)] for columns in fitted_columns(fitted, intakes)]
    rows: list[TableRow] = []
    for (pleat, mine), *at in zip(own.items(), *levels, strict=False):
        share = sum([(1 if edges[k].on_fold else 2) * edges[k].length * math.tan(leans[k]) for k in mine])
        lean = math.degrees(max(leans[k] for k in mine))
        rows.append(TableRow(pleat, edges[mine[0]].name, lean, share, *at))
    return (*rows, TableRow(0, "", 0.0, 0.0, *[row[-1] for row in levels]))


def _intake(edge: PleatEdge) -> float:
    return 2 * edge.doubled * edge.depth * (0.5 if edge.on_fold else 1.0)


def top_ends(fitted: Fitted) -> tuple[float, float]:
    """Return from where to where the closed top runs, as places on the upper piece's outline; of a half piece, its half."""
    lines, chords = fitted.upper.lines, fitted.upper.edges
    start, stop = map(float, lines.outline.corners_around(chords[0].top_at, chords[-1].top_at))
    if lines.first is not None:
        start = max(start, lines.first.top_at)
    if lines.last is not None:
        stop = min(stop, lines.last.top_at)
    return start, stop


def _along_top(fitted: Fitted) -> list[float]:
    outline, chords = fitted.upper.lines.outline, fitted.upper.edges
    start, stop = top_ends(fitted)
    return outline.sewn_distances(start, [*[chord.top_at for chord in chords], stop])


def _along_hip(fitted: Fitted) -> list[float]:
    spots = [fitted.hip.ends[0], *[edge.hip for edge in fitted.edges], fitted.hip.ends[1]]
    found = [0.0]
    for a, b in pairwise(spots):
        found.append(found[-1] + abs(b - a))
    return found[1:]


def _along_hem(fitted: Fitted) -> list[float]:
    # The hem is walked from its right end to its left.
    lines = fitted.drawn
    outline = lines.outline
    hems = [edge.chord.hem_at for edge in fitted.edges]
    start, stop = map(float, outline.corners_around(hems[-1], hems[0]))
    if lines.first is not None:
        stop = min(stop, lines.first.hem_at)
    if lines.last is not None:
        start = max(start, lines.last.hem_at)
    return outline.sewn_distances(stop, [*hems, start])
