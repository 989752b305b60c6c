"""Laying pleated edges along the edge of a companion that they are sewn to, and holding their lengths against each other.

Right sides together, the two lie face to face: whoever goes clockwise round the one goes the other way round the other, so
that what is left on the pleated edge, seen on its right side, is right on a facing of it, and left on a waistband above it.
Lengths are in mm, along the seam, darts sewn up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from pleatsvg.companion.folded_edge import TOGETHER, FoldedEdge
from pleatsvg.errors import FitError, near_names
from pleatsvg.geometry.nearest import FoundOutline
from pleatsvg.geometry.outline import Outline
from pleatsvg.length import Length, show
from pleatsvg.order.companion_order import CompanionOrder
from pleatsvg.piece.both_halves import BothHalves, both_halves_of, fold_edge_of, opened
from pleatsvg.piece.edges import Edge, edge_named, seam_edges
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.tolerance import ON_FOLD

MARK_NEAR = 10.0
"""mm. A mark that the sewing begins at is drawn no farther from the edge."""


class Spot(NamedTuple):
    """A notch along a companion's edge.

    Attributes:
        at: mm along the edge from the end where the sewing begins.
        place: on the outline.
        lean: cf. `FoldAt`, towards greater `at`.
        of: which pleated edges it belongs to: one, or two where one ends and the next begins.
        pleats: of a fold, the numbers of its pleats; () where a pleated edge begins or ends.
    """

    at: float
    place: float
    lean: float
    of: tuple[int, ...]
    pleats: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Match:
    """How long the edge of a companion is, and what is sewn to it, in mm.

    Attributes:
        companion: its name.
        edge: the name of its edge, and its length.
        pleated: the folded edges that are sewn to it, in order.
        start, beyond: what of the edge lies before and beyond them.
        tolerance: by how much the two may differ.
        begins: at which end of its edge the sewing begins: "left", "right", "upper" or "lower".
        unit: for words.
    """

    companion: str
    edge: tuple[str, float]
    pleated: tuple[FoldedEdge, ...]
    start: float
    beyond: float
    tolerance: float
    begins: str
    unit: str

    @property
    def wanted(self) -> float:
        """How long the edge is to be."""
        return self.start + sum([edge.length for edge in self.pleated]) + self.beyond

    @property
    def off(self) -> float:
        """By how much it is longer; below 0, shorter."""
        return self.edge[1] - self.wanted

    @property
    def agrees(self) -> bool:
        """Whether it is as long as it is to be, within the tolerance."""
        return abs(self.off) <= self.tolerance + 1e-9

    @property
    def words(self) -> str:
        """What was found, in one sentence."""
        named = " and ".join([f"'{edge}'" for edge in self.pleated])
        several = len(self.pleated) > 1
        long = show(sum([edge.length for edge in self.pleated]), self.unit)
        more = [f"{show(self.start, self.unit)} before it"] if self.start > TOGETHER else []
        more += [f"{show(self.beyond, self.unit)} beyond it"] if self.beyond > TOGETHER else []
        with_more = f", with {' and '.join(more)}" if more else ""
        verdict = (
            f"they agree within {show(self.tolerance, self.unit)}"
            if self.agrees
            else f"they differ by {show(abs(self.off), self.unit)}, and {show(self.tolerance, self.unit)} is allowed"
        )
        return (
            f"'{self.companion}: {self.edge[0]}' is {show(self.edge[1], self.unit)}, {named}, folded, "
            f"{'are together' if several else 'is'} {long}{with_more}; {verdict}."
        )

    def data(self) -> dict[str, Any]:
        """Return it for programs."""
        return {
            "edge": self.edge[0],
            "edge_mm": round(self.edge[1], 6),
            "sewn_to": [
                {"piece": edge.piece, "edge": edge.edge, "folded_mm": round(edge.length, 6), "folds": len(edge.folds)}
                for edge in self.pleated
            ],
            "begins": self.begins,
            "before_mm": round(self.start, 6),
            "beyond_mm": round(self.beyond, 6),
            "tolerance_mm": self.tolerance,
            "agrees": self.agrees,
            "words": self.words,
        }


@dataclass(frozen=True, slots=True)
class Placed:
    """A companion with the places of its notches.

    Attributes:
        piece: as drawn, or opened out at its fold edge.
        ground: the same for its cutting line.
        edge: that is sewn on.
        spots: of its notches, in order.
        match: how long both are.
        back: whether the sewing goes against the clock round the companion.
        remarks: for the person.
        fold_at: where its edge ends at a fold of the cloth, mm along it as `Spot.at`, or None.
    """

    piece: FinishedPiece
    ground: BothHalves
    edge: Edge
    spots: tuple[Spot, ...]
    match: Match
    back: bool
    remarks: tuple[str, ...]
    fold_at: float | None = None

    def place_of(self, at: float) -> float:
        """Return the place on the outline that lies so far along the edge from the end where the sewing begins (mm)."""
        return _place_of(self.piece.outline, self.edge, at, self.back)


def placed(
    piece: FinishedPiece,
    order: CompanionOrder,
    pleated: Sequence[FoldedEdge],
    fold_edge: str | None = None,
    open_fold: bool = False,
) -> Placed:
    """Lay pleated edges along the edge of a companion.

    Args:
        piece: the companion as drawn, right side up.
        order: what is asked for.
        pleated: the edges that are sewn to it, in the order of sewing: from left to right as their right sides are seen.
        fold_edge: the companion's edge that is cut on the fold, where the drawing names none.
        open_fold: open it out there.

    Raises:
        FitError: its edge is not there or not as long as what is sewn to it, or it is half a piece where they are whole.
    """
    ways = {edge.clockwise for edge in pleated}
    if len(ways) > 1:
        raise FitError(
            f"The edges sewn to '{order.name}'",
            "do not all face one way",
            "a top is sewn on beside a top, a hem beside a hem",
            "Give each a companion of its own.",
        )
    back = ways.pop()
    row = list(pleated)
    remarks: list[str] = []
    fold = fold_edge_of(piece, fold_edge)
    edge = _edge_of(piece, order)
    if fold is not None:
        end = _end_on(piece.outline, edge, fold, back)
        if edge.number == fold.number:
            raise FitError(
                f"The {edge.name} of '{order.name}'", "is cut on the fold", "it is not sewn", "Name another."
            )
        held = {"start": row[0], "end": row[-1]}.get(end)
        if held is None or held.fold_at != end or open_fold:
            whole = opened(piece, both_halves_of(piece, fold_edge))
            middle = (piece.outline.point(edge.start) + piece.outline.point(edge.end)) / 2
            piece, fold = whole, None
            edge = _edge_over(piece.outline, middle, order)
            remarks.append(f"'{order.name}' was opened out at its fold edge, since what is sewn to it is whole.")
    row = _as_sewn(row, order, fold is not None)
    unit = next((edge.unit for edge in row), "mm")
    start = _start(piece, edge, order, back)
    match = Match(
        companion=order.name,
        edge=(edge.name, edge.length),
        pleated=tuple(row),
        start=start,
        beyond=order.beyond,
        tolerance=order.tolerance,
        begins=_end_word(piece.outline, edge, back),
        unit=unit,
    )
    if not match.agrees:
        raise _no_match(match)
    spots: list[Spot] = []
    base = start
    for number, one in enumerate(row):
        marks = [(0.0, 0.0, ()), *[(fold.at, fold.lean, fold.pleats) for fold in one.folds], (one.length, 0.0, ())]
        for at, lean, pleats in marks:
            far = min(base + at, edge.length)
            before = spots[-1] if spots else None
            if not pleats and before is not None and not before.pleats and far - before.at <= TOGETHER:
                spots[-1] = before._replace(of=(*before.of, number))
                continue
            spots.append(Spot(far, _place_of(piece.outline, edge, far, back), lean, (number,), tuple(pleats)))
        base += one.length
    ground = both_halves_of(piece, fold_edge if fold is not None else None)
    at_fold = None if fold is None else 0.0 if _end_on(piece.outline, edge, fold, back) == "start" else edge.length
    return Placed(piece, ground, edge, tuple(spots), match, back, tuple(remarks), at_fold)


def _edge_of(piece: FinishedPiece, order: CompanionOrder) -> Edge:
    edges = seam_edges(piece.outline)
    try:
        return edge_named(edges, order.edge)
    except FitError as error:
        raise FitError(
            f"Edge '{order.edge}' of companion '{order.name}'",
            f"is not on its drawing, which has {len(edges)} seam edges",
            error.limit,
            # The command that lists edges is told for the pleated piece's drawing; these are on another one.
            f"Measure the drawing of '{order.name}' to see every edge of it with its name and length.",
        ) from None


def _place_of(outline: Outline, edge: Edge, at: float, back: bool) -> float:
    far = min(max(edge.length - at if back else at, 0.0), edge.length)
    return min(max(outline.sewn_walk(edge.start, far), edge.start), edge.end)


def _as_sewn(row: list[FoldedEdge], order: CompanionOrder, half: bool) -> list[FoldedEdge]:
    # Half pieces are opened out, but those that a half companion is sewn to at a fold of the cloth.
    if not half:
        return [edge.opened for edge in row]
    for number, edge in enumerate(row):
        outer = (edge.fold_at == "start" and number == 0) or (edge.fold_at == "end" and number == len(row) - 1)
        if edge.fold_at and not outer:
            raise FitError(
                f"The {edge.edge} of '{edge.piece}'",
                f"is cut on the fold in the midst of what '{order.name}' is sewn to",
                "half a companion takes half of the garment, from fold to opening",
                "Draw the companion whole, or name the pieces in the order in which they are sewn.",
            )
    return row


def _end_on(outline: Outline, edge: Edge, fold: Edge, back: bool) -> str:
    # At which end of the sewing the companion is cut on the fold.
    spots = [outline.point(fold.start), outline.point(fold.end)]
    for at, end in ((edge.start, "end" if back else "start"), (edge.end, "start" if back else "end")):
        if min(abs(outline.point(at) - z) for z in spots) <= ON_FOLD:
            return end
    return ""


def _edge_over(outline: Outline, middle: complex, order: CompanionOrder) -> Edge:
    # The edge of the opened piece that the half one's became a part of.
    found = FoundOutline(outline.segments)
    spot = found.nearest.of(middle)
    n = len(outline)
    for edge in seam_edges(outline):
        for place in (spot.segment + spot.share, spot.segment + spot.share + n):
            if edge.start <= place <= edge.end:
                return edge
    return edge_named(seam_edges(outline), order.edge)


def _end_word(outline: Outline, edge: Edge, back: bool) -> str:
    first, last = outline.point(edge.start), outline.point(edge.end)
    way = first - last if back else last - first
    if abs(way.real) >= abs(way.imag):
        return "left" if way.real > 0 else "right"
    return "upper" if way.imag > 0 else "lower"


def _start(piece: FinishedPiece, edge: Edge, order: CompanionOrder, back: bool) -> float:
    if order.start is None:
        return 0.0
    if isinstance(order.start, Length):
        return order.start.mm
    wanted = order.start.casefold()
    named = {" ".join(shape.name.split()): shape.stroke for shape in piece.shapes}
    lines = [*piece.slashes, *piece.crossing_lines, *([piece.centre] if piece.centre is not None else [])]
    named |= {" ".join(line.name.split()): ((line.start, line.end),) for line in lines}
    stroke = next((own for name, own in named.items() if name.casefold() == wanted), None)
    if stroke is None:
        raise FitError(
            f"The mark '{order.start}' of '{order.name}'",
            "is not on its drawing",
            near_names(order.start, list(named)),
            "Name a mark that is drawn at the edge, or give a length from where the sewing begins, such as 3cm.",
        )
    outline = FoundOutline(piece.outline.segments)
    n = len(outline)
    best: tuple[float, float] | None = None
    for z in [z for seg in stroke for z in (seg[0], seg[-1])]:
        spot = outline.nearest.of(z)
        for place in (spot.segment + spot.share, spot.segment + spot.share + n):
            if edge.start <= place <= edge.end and (best is None or spot.away < best[0]):
                best = spot.away, place
    if best is None or best[0] > MARK_NEAR:
        raise FitError(
            f"The mark '{order.start}' of '{order.name}'",
            f"does not stand at its {edge.name}",
            f"a mark that the sewing begins at touches its edge, within {MARK_NEAR:.0f} mm",
            "Draw it at the edge, or give a length from where the sewing begins.",
        )
    far = outline.sewn_distance(edge.start, best[1])
    return edge.length - far if back else far


def _no_match(match: Match) -> FitError:
    unit, off = match.unit, match.off
    if off < 0:
        nearer = ", begin nearer to its end" if match.start > 0 else ""
        remedy = f"Lengthen that edge by {show(-off, unit)}{nearer}, or let the pleats take up more."
    else:
        typed = show(off, unit).replace(f" {unit}", unit)
        remedy = (
            f"Where it is to run on by so much, as for a fastening, say so behind the name of the edge: 'from {typed}' where "
            f"that lies before the pleats, 'beyond {typed}' where it lies behind them. Otherwise shorten that edge."
        )
    named = " and ".join([f"'{edge}'" for edge in match.pleated])
    return FitError(
        f"'{match.companion}: {match.edge[0]}'",
        f"is {show(match.edge[1], unit)} long, and {named}, folded, {'take' if len(match.pleated) > 1 else 'takes'} "
        f"{show(match.wanted, unit)} of it: {show(abs(off), unit)} too {'short' if off < 0 else 'long'}",
        f"the two may differ by {show(match.tolerance, unit)}",
        remedy,
    )
