"""What the trade calls the edges of a piece, where shape and place tell it: shoulder, armhole, neck, side, centre, waist.

A bodice is known by its shape; a skirt's top is a waist only where a hip line says so.
"""

from __future__ import annotations

from pleatsvg.geometry.outline import Outline
from pleatsvg.piece.edges import Edge, called_on_cloth
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.tolerance import ON_FOLD


def trade_names(piece: FinishedPiece, edges: tuple[Edge, ...], fold: Edge | None = None) -> dict[int, str]:
    """Return what the trade calls each edge by its number, for those where it can be known and is not what it is called.

    Args:
        piece: as drawn.
        edges: of its seam.
        fold: the one cut on the fold, or None.
    """
    names = {edge.number: edge.trade for edge in edges if edge.trade}
    if not names and len(edges) <= 4 and any(_says_hip(name) for name, part in piece.parts if part == "balance"):
        names = {edge.number: "waist" for edge in edges if edge.name == "top"}
    for edge in edges:
        on_fold = fold is not None and edge.number == fold.number
        if on_fold or (piece.centre is not None and _along(piece.outline, edge, piece.centre)):
            names[edge.number] = "centre"
        elif edge.number not in names and called_on_cloth(edge, edges) != edge.name:
            names[edge.number] = called_on_cloth(edge, edges)
    return {number: name for number, name in names.items() if name != edges[number - 1].name}


def _says_hip(name: str) -> bool:
    return name.casefold().startswith("hip")


def _along(outline: Outline, edge: Edge, line: StraightLine) -> bool:
    if not edge.straight:
        return False
    a, b = outline.point(edge.start), outline.point(edge.end)
    flip = ((b - a) / abs(b - a)).conjugate()
    return all(abs(((z - a) * flip).imag) <= ON_FOLD for z in (line.start, line.end))
