"""The darts of a piece as they are told: where each lies, what it takes in and how long it is."""

from __future__ import annotations

from typing import NamedTuple

from pleatsvg.geometry.outline import Outline
from pleatsvg.piece.edges import Edge
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.open_darts import open_darts


class DartFound(NamedTuple):
    """A dart; lengths in mm.

    Attributes:
        number: in the order of the edges, notches first.
        edge: that it takes in.
        intake: the width of its mouth, taken off the edge when it is sewn up.
        length: from the middle of its mouth to its point.
        point: where it ends.
        sewn: whether the edge's length is given with it sewn up: a notch in the outline is, two open legs are not.
        leaves: of the edge, when every dart in it so far is sewn up.
    """

    number: int
    edge: Edge
    intake: float
    length: float
    point: complex
    sewn: bool
    leaves: float


def darts_on(piece: FinishedPiece, edges: tuple[Edge, ...]) -> tuple[DartFound, ...]:
    """Return the darts of a piece: notches in its outline, and two open legs from one edge."""
    outline = piece.outline
    found: list[DartFound] = []
    for dart in outline.darts:
        edge = _edge_at(edges, outline, dart.start)
        found.append(
            DartFound(len(found) + 1, edge, dart.mouth, dart.depth, outline.point(dart.point), True, edge.length)
        )
    left: dict[int, float] = {}
    for legs in open_darts(piece):
        edge = legs.edge
        left[edge.number] = left.get(edge.number, edge.length) - legs.mouth
        found.append(DartFound(len(found) + 1, edge, legs.mouth, legs.depth, legs.point, False, left[edge.number]))
    return tuple(found)


def _edge_at(edges: tuple[Edge, ...], outline: Outline, node: int) -> Edge:
    n = len(outline)
    return next((e for e in edges for at in (node, node + n) if e.start <= at <= e.end), edges[0])
