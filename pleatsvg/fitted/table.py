"""Spaces and intakes of a fitted piece at the top, at the hip points and at the hem, counted on from its first edge; mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
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
        flat: from the edge of the piece to where the pleat begins, on the flat piece.
    """

    space: float
    so_far: float
    intake: float
    flat: float


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
    places = (_along_top(fitted), _along_hip(fitted), _along_hem(fitted))
    so_far, gone = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
    rows: list[TableRow] = []
    for (pleat, mine), (top, hem) in zip(own.items(), intakes, strict=True):
        hip = sum([_intake(edges[k]) for k in mine])
        levels = []
        for level, taken in enumerate((top, hip, hem)):
            at = places[level][mine[0]]
            levels.append(Level(at - so_far[level], at, taken, at + gone[level]))
            so_far[level] = places[level][mine[-1]]
            gone[level] += taken
        share = sum([(1 if edges[k].on_fold else 2) * edges[k].length * math.tan(leans[k]) for k in mine])
        lean = math.degrees(max(leans[k] for k in mine))
        rows.append(TableRow(pleat, edges[mine[0]].name, lean, share, *levels))
    ends = [row[-1] for row in places]
    left = [Level(end - so_far[k], end, 0.0, end + gone[k]) for k, end in enumerate(ends)]
    return (*rows, TableRow(0, "", 0.0, 0.0, *left))


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
