"""The cutting line of the finished piece: a parallel of its seam, and where fold lines produced run out on it.

It is unfolded like the seam, so that the cutting edge of every hidden layer lies true beneath the face's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pleatsvg.errors import FitError
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.parallel import parallel_outline
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.length import Length, show
from pleatsvg.order.allowances import Allowances
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.piece.cutting.over_darts import OverDart, covered, over_dart
from pleatsvg.piece.cutting.turned_hem import turned_hem
from pleatsvg.piece.edges import Edge, edge_named
from pleatsvg.piece.pivots.closed import node_at
from pleatsvg.piece.slash_lines import Chord
from pleatsvg.tolerance import ON_LINE

WIDEST = 300.0
"""mm. An allowance above this is a slip of the hand: deep hems are 10 cm."""


@dataclass(frozen=True, slots=True)
class Cutting:
    """The cutting line of a finished piece.

    Attributes:
        outline: closed, walked as the seam is.
        distances: the allowance of each segment of the seam in mm.
        drawn: whether it is the one on the drawing.
    """

    outline: Outline
    distances: tuple[float, ...]
    drawn: bool = False
    points: tuple[complex, ...] = ()
    """Of the darts that are closed: it is led there and back along their legs, and a line that ends there has no allowance."""
    level: tuple[int, int, int] | None = None
    """Where it is closed along a level from which pleats are shaped, as the seam is: from which node of the seam to which, and
    how much farther on the nodes of this line lie there."""
    farthest: tuple[float, ...] = ()
    """Of a drawn one how far it lies from each segment of the seam at the most, mm; `distances` tell the least."""

    def produced(self, chord: Chord, near: Sequence[int] | None = None) -> Chord:
        """Return a line across the piece produced to the cutting line at both ends.

        Args:
            chord: the line.
            near: the segments of the cutting line that may lie on it, where many lines were asked at once.
        """
        length = abs(chord.hem - chord.top)
        along = (chord.hem - chord.top) / length
        if self.level is not None:
            found = self._from_level(chord, along, length, near)
            if found is not None:
                return found
        top: tuple[float, float, complex] | None = None
        hem: tuple[float, float, complex] | None = None
        middle = length / 2
        for at, far, point in self.outline.crossings(chord.top, along, near):
            if far <= ON_LINE and (top is None or far > top[1]):
                top = at, far, point
            if far >= length - ON_LINE and (hem is None or far < hem[1]):
                hem = at, far, point
        for point in self.points:
            node = node_at(self.outline, point)
            if node is not None and abs(chord.hem - point) <= ON_LINE:
                hem = float(node), length, point
            elif node is not None and abs(chord.top - point) <= ON_LINE:
                top = float(node), 0.0, point
        if top is None or hem is None:
            # A line beside a join, at a slanting end: the seam is crossed a little within its length.
            for at, far, point in self.outline.crossings(chord.top, along):
                if far < middle and (top is None or far > top[1]):
                    top = at, far, point
                if far > middle and (hem is None or far < hem[1]):
                    hem = at, far, point
        if top is None or hem is None:
            raise FitError(
                f"The fold line from ({chord.top.real:.0f}, {chord.top.imag:.0f}) mm on the page",
                "does not reach the cutting line when it is produced",
                "fold lines run on through the allowance",
                "Take a smaller allowance there, or move the slash line away from that corner.",
            )
        return Chord(top[0], hem[0], top[2], hem[2])

    def _from_level(self, chord: Chord, along: complex, length: float, near: Sequence[int] | None) -> Chord | None:
        # The same for a line with one end on the level, where seam and cutting line are one: only the other end is looked for.
        assert self.level is not None
        first, last, farther = self.level
        n = len(self.distances)
        top_at, hem_at, top, hem = chord
        if first <= top_at % n <= last:
            hit = self.outline.crossed_beyond(top, along, length - ON_LINE, True, near)
            return None if hit is None else Chord(top_at % n + farther, hit.at, top, hit.point)
        if first <= hem_at % n <= last:
            hit = self.outline.crossed_beyond(top, along, -ON_LINE, False, near)
            return None if hit is None else Chord(hit.at, hem_at % n + farther, hit.point, hem)
        return None


def distances_of(edges: tuple[Edge, ...], allowances: Allowances, fold: int | None) -> dict[int, float]:
    """Return the allowance of every seam edge by its number, in mm; the fold edge has none.

    Raises:
        FitError: an edge is not there, or an allowance is not one.
    """
    found = {edge.number: allowances.everywhere.mm if allowances.everywhere else 0.0 for edge in edges}
    given: dict[int, Length] = {}
    for name, length in allowances.edges:
        edge = edge_named(edges, name)
        if edge.number in given:
            raise FitError(
                f"The allowance of the {edge.name} (edge {edge.number})",
                f"is given twice, {given[edge.number]} and {length}",
                "an edge has one allowance",
                "Keep one of the two.",
            )
        given[edge.number] = length
        found[edge.number] = length.mm
    for number, far in found.items():
        if not 0 <= far <= WIDEST:
            raise FitError(
                f"The allowance of edge {number}",
                f"is {given.get(number, allowances.everywhere)}",
                f"it can be from nothing to {show(WIDEST, 'cm')}",
                "Check the length and its unit.",
            )
    if fold is not None:
        found[fold] = 0.0
    return found


def cutting_line(
    name: str, halves: BothHalves, by_edge: dict[int, float], hem_turn: bool, darts: Sequence[OverDart] = ()
) -> Cutting:
    """Return the cutting line of a piece; over a dart it is peaked as the folded dart needs.

    Args:
        name: the piece, for messages.
        halves: the finished piece.
        by_edge: the allowance of each edge, mm.
        hem_turn: mirror the sides across the hem line at its corners.
        darts: the darts of `halves`, and which way each is pressed.

    Raises:
        FitError: the allowance is too wide for the shape of the seam.
    """
    distances = tuple([by_edge[number] for number in halves.edge_of])
    over = covered(halves.outline, distances, [one.dart for one in darts])
    found = parallel_outline(over.outline, over.distances)
    found = None if found is None else (found[0], tuple([over.of[source] for source in found[1]]))
    for one in darts:
        found = found and over_dart(*found, halves.outline, distances, one)
    if found is not None and darts and self_crossing(found[0]) is not None:
        found = None
    if found is None:
        raise FitError(
            f"The cutting line of '{name}'",
            f"cannot be drawn: an allowance of {show(max(distances))} folds into itself on this outline",
            "a hollow or a dart must be wider than that",
            "Take a smaller allowance on the edge with the tightest curve.",
        )
    outline, sources = found
    if hem_turn:
        outline = turned_hem(name, halves, outline, sources, distances)
    points = tuple([halves.outline.point(one.dart.point) for one in darts if one.closed])
    return Cutting(outline, distances, points=points)
