"""A piece and its neighbour laid edge to edge, so that a pleat can lie at the seam between them or run on beneath it.

The seam itself is given up: the cloth is parted at an inner fold near it instead, where the join is hidden, and each of
the two pieces gains its share. The New Dressmaker (1921), chapter 20. Lengths are in mm.
"""

from __future__ import annotations

from dataclasses import replace

from pleatsvg.drawing.drawn import DrawnShape
from pleatsvg.errors import FitError
from pleatsvg.geometry.motion import Motion, moved
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.length import show
from pleatsvg.piece.edges import Edge, edge_named, seam_edges
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.tolerance import CLOSING_GAP
from pleatsvg.wording import message, option

_FACING = {"left side": "right side", "right side": "left side", "top": "hem", "hem": "top"}


SEAM = "seam between two pieces"
"""The family of the line that the shared edge becomes; no drawn line can have it, since it names a seam."""


def continued(piece: FinishedPiece, edge: str, neighbour: FinishedPiece, its_edge: str | None = None) -> FinishedPiece:
    """Return a piece with its neighbour sewn on, flat, at a straight edge of the same length.

    The shared edge becomes a line to slash along, under the name of the edge. Slash lines, marks and texts of both are there;
    the grain is the first one's, that of the neighbour is carried as a mark.

    Args:
        piece: the one that stays where it is drawn.
        edge: its seam edge, as `measure` names it.
        neighbour: the one that is laid against it.
        its_edge: the neighbour's edge; left out, the one that faces `edge`.

    Raises:
        FitError: the edges are not straight or not of one length, or the pieces would lie over each other.
    """
    own = _straight_edge(piece, edge)
    other = _straight_edge(neighbour, its_edge or _FACING.get(own.name, own.name))
    off = abs(own.length - other.length)
    if off > CLOSING_GAP:
        raise FitError(
            f"The {own.name} of '{piece.name}' and the {other.name} of '{neighbour.name}'",
            f"are {show(own.length)} and {show(other.length)} long",
            f"edges that are sewn together are of one length, within {CLOSING_GAP} mm",
            message(
                "Draw them so, or name the edges that belong together, as in {}.",
                option("continue", "right side=back.svg:left side"),
            ),
        )
    a, b = piece.outline.point(own.start), piece.outline.point(own.end)
    c, d = neighbour.outline.point(other.start), neighbour.outline.point(other.end)
    turn = (b - a) / (c - d)
    turn /= abs(turn)
    lay = Motion(turn, a - turn * d, False)
    rest = _without(piece.outline, own)
    more = [moved(seg, lay) for seg in _without(neighbour.outline, other)]
    more[0] = (rest[-1][-1], *more[0][1:])
    more[-1] = (*more[-1][:-1], rest[0][0])
    outline = Outline((*rest, *more))
    spot = self_crossing(outline)
    if spot is not None:
        raise FitError(
            f"'{piece.name}' and '{neighbour.name}'",
            f"would lie over each other near ({spot.real:.0f}, {spot.imag:.0f}) mm when they are laid edge to edge",
            "two pieces lie flat beside each other at a seam that is sewn",
            "Name the edges that belong together.",
        )
    ends = (a, b) if (a.imag, a.real) < (b.imag, b.real) else (b, a)
    shared = StraightLine(own.name, *ends, SEAM)

    def there(line: StraightLine) -> StraightLine:
        return replace(line, start=lay.of(line.start), end=lay.of(line.end))

    shapes = [replace(s, stroke=tuple([moved(seg, lay) for seg in s.stroke])) for s in neighbour.shapes]
    if neighbour.grain is not None:
        stroke = (moved((neighbour.grain.start, neighbour.grain.end), lay),)
        shapes.append(DrawnShape(f"grain of {neighbour.name}", "", "carried", stroke, False, ""))
    notes = [*piece.notes, *neighbour.notes]
    if off > 1e-6:
        notes.append(
            f"The {own.name} and the {other.name} differ by {off:.3f} mm; they were laid together at their tops."
        )
    return replace(
        piece,
        name=f"{piece.name} and {neighbour.name}",
        outline=outline.from_top_left(),
        slashes=(*piece.slashes, *[there(line) for line in neighbour.slashes]),
        crossing_lines=(*piece.crossing_lines, shared, *[there(line) for line in neighbour.crossing_lines]),
        shapes=(*piece.shapes, *shapes),
        notes=tuple(notes),
        cut=None,
        shared=shared,
    )


def _straight_edge(piece: FinishedPiece, name: str) -> Edge:
    edge = edge_named(seam_edges(piece.outline), name)
    if not edge.straight:
        raise FitError(
            f"The {edge.name} of '{piece.name}'",
            "is curved",
            "a pleat at a seam is folded along it, and cloth folds along straight lines only",
            "Draw that edge straight, or put the pleat beside the seam.",
        )
    return edge


def _without(outline: Outline, edge: Edge) -> list[Segment]:
    # The outline from the edge's end round to its start.
    n = len(outline)
    first, last = round(edge.start), round(edge.end)
    return [outline.segments[(last + k) % n] for k in range(n - (last - first))]
