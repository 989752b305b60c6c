"""Which darts are to be closed, by the names that they are asked for with, and the piece read with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from pleatsvg.drawing.drawn import DrawnShape
from pleatsvg.errors import FitError, listed, near_names
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment
from pleatsvg.length import show
from pleatsvg.piece.edges import Edge, called_on_cloth, seam_edges
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.open_darts import legs_among, run_on, up_to_seam
from pleatsvg.piece.pivots.closed import ClosedDart, bend_of, refuse_uneven, with_notch
from pleatsvg.tolerance import ON_LINE
from pleatsvg.wording import option

_ON_SEAM = 1.0
"""mm. A leg that ends as near to the seam was drawn to it, and one as near to a notch was drawn along it."""


class DartSeen(NamedTuple):
    """A dart of a piece: as it is closed, how bent its legs are, what it can be called, the names of lines that drew it, and by
    how much its legs were run on to the seam; mm."""

    dart: ClosedDart
    bent: float
    names: frozenset[str]
    drawn_by: tuple[str, ...] = ()
    run_on: float = 0.0

    def remarks(self, unit: str, bent: str) -> list[str]:
        """Return what is said of legs that were drawn otherwise than they count; `bent` is what became of bent ones."""
        said: list[str] = []
        if self.run_on:
            said.append(f"The legs of {self.dart.words} were run on to the seam, by {show(self.run_on, unit)}.")
        if self.bent > TOLD_BENT:
            said.append(f"A leg of {self.dart.words} is bent by {show(self.bent, unit)}; {bent}.")
        return said


def with_closed_darts(piece: FinishedPiece, wanted: Sequence[str], unit: str) -> tuple[FinishedPiece, list[str]]:
    """Return the piece with the darts that are asked for as notches with straight legs, and remarks.

    Args:
        piece: as drawn.
        wanted: for each dart, the name of its legs or of the edge that it lies in, "dart" where there is one, "dart 2" as
            they lie from the left, or "all".
        unit: for messages.

    Raises:
        FitError: a name fits no dart or several, or a dart cannot be closed.
    """
    found = darts_seen(piece)
    chosen: list[DartSeen] = []
    for name in wanted:
        those = darts_called(piece, found, name, "pivot", unit)
        if len(those) > 1 and spoken(name) != "all":
            raise FitError(
                option("pivot", name),
                f"could be any of {len(those)} darts of '{piece.name}'",
                f"the darts of this piece, from the left, are {listed(_each(found))}",
                "Name one of them; or give all, with slash lines to the point of each.",
            )
        chosen += [one for one in those if one not in chosen]
    remarks: list[str] = []
    outline = piece.outline
    for one in chosen:
        refuse_uneven(one.dart, one.bent, unit)
        remarks += one.remarks(unit, "it was closed along straight legs")
    for one in chosen:
        outline = with_notch(outline, placed_on(outline, one.dart), one.dart)
    gone = {name for one in chosen for name in one.drawn_by}
    return replace(
        piece,
        outline=outline,
        shapes=tuple([shape for shape in piece.shapes if shape.name not in gone]),
        closed_darts=tuple([one.dart for one in chosen]),
    ), remarks


def darts_on(piece: FinishedPiece) -> list[ClosedDart]:
    """Return the darts of a piece that could be closed, as they lie from the left."""
    return [one.dart for one in darts_seen(piece)]


def darts_seen(piece: FinishedPiece) -> list[DartSeen]:
    """Return the same with what they can be called."""
    return _numbered(_darts_of(piece))


TOLD_BENT = 0.1
"""mm. A bend of a leg above this is told."""


def placed_on(outline: Outline, dart: ClosedDart) -> tuple[float, float]:
    """Return where the mouth of a dart lies on an outline on which other darts may have been closed before."""
    from pleatsvg.geometry.nearest import Nearest

    nearest = Nearest(outline.segments)
    spots = [nearest.of(z) for z in (dart.start, dart.end)]
    start, end = (spot.segment + spot.share for spot in spots)
    return start, start + (end - start) % len(outline)


def _darts_of(piece: FinishedPiece) -> list[DartSeen]:
    outline = piece.outline
    edges = seam_edges(outline)
    found: list[DartSeen] = []
    for notch in outline.darts:
        edge = _edge_at(edges, len(outline), notch.start)
        start, point, end = (outline.point(node) for node in notch[:3])
        first = [outline.part(s) for s in outline.stretches(notch.start, notch.point)]
        second = [outline.part(s) for s in outline.stretches(notch.point, notch.end)]
        bent = max(bend_of(first, point, start), bend_of(second, point, end))
        names, drawn_by = _drawn_along(piece, (start, point, end))
        on = called_on_cloth(edge, edges)
        dart = ClosedDart(f"the dart in the {on}", on, point, start, end)
        called = frozenset([*_edge_names(edge, edges), *names])
        found.append(DartSeen(dart, bent, called, drawn_by))
    return [*found, *_open(piece, edges)]


def _open(piece: FinishedPiece, edges: tuple[Edge, ...]) -> list[DartSeen]:
    strokes = {shape.stroke: shape for shape in piece.shapes if _open_line(shape)}
    pairs = legs_among(list(strokes))
    if not pairs:
        return []
    from pleatsvg.geometry.nearest import Nearest

    outline = piece.outline
    nearest = Nearest(outline.segments)
    n = len(outline)
    found: list[DartSeen] = []
    for drawn in pairs:
        legs = up_to_seam(drawn, outline)
        spots = [nearest.of(leg[0][0]) for leg in legs]
        point = legs[0][-1][-1]
        if max(s.away for s in spots) > _ON_SEAM or nearest.of(point).away <= _ON_SEAM or not outline.holds(point):
            continue
        places = [spot.segment + spot.share for spot in spots]
        for edge in edges:
            on = sorted((edge.start + (place - edge.start) % n, leg) for leg, place in enumerate(places))
            if on[1][0] > edge.end + 1e-6:
                continue
            start, end = (outline.point(place) for place, _ in on)
            own = [shape for stroke, shape in strokes.items() if _is_part(stroke, drawn)]
            names = [spoken(name) for shape in own for name in (shape.name, shape.family, shape.group)]
            bent = max(bend_of(legs[leg], point, z) for (_, leg), z in zip(on, (start, end), strict=True))
            called_so = called_on_cloth(edge, edges)
            dart = ClosedDart(f"the dart in the {called_so}", called_so, point, start, end)
            if 0 < abs(end - start) < abs(start - point):
                called = frozenset([*_edge_names(edge, edges), *names])
                drawn_by = tuple([shape.name for shape in own])
                found.append(DartSeen(dart, bent, called, drawn_by, run_on(drawn, legs)))
            break
    return found


def stops_short(piece: FinishedPiece, unit: str) -> str:
    """Return what is to be said of two open legs that would be a dart if they reached the seam; "" where there are none."""
    from pleatsvg.geometry.nearest import Nearest

    strokes = {shape.stroke: shape for shape in piece.shapes if _open_line(shape)}
    nearest = Nearest(piece.outline.segments)
    for drawn in legs_among(list(strokes)):
        legs = up_to_seam(drawn, piece.outline)
        away = max([nearest.of(leg[0][0]).away for leg in legs])
        if _ON_SEAM < away <= _MEANT_TO_REACH and piece.outline.holds(legs[0][-1][-1]):
            name = next(shape.name for stroke, shape in strokes.items() if _is_part(stroke, drawn))
            return (
                f"'{name}' has two legs that meet, and ends {show(away, unit)} from the seam: draw both legs up to it. "
            )
    return ""


_MEANT_TO_REACH = 30.0
"""mm. Legs that stop so near to the seam may have been meant to reach it; those of a motif lie farther in."""


def _open_line(shape: DrawnShape) -> bool:
    return not shape.closed and shape.tag is None and bool(shape.stroke)


def _is_part(stroke: tuple[Segment, ...], legs: tuple[list[Segment], list[Segment]]) -> bool:
    # Whether a stroke drew one of two legs, or both: leg by leg, either way.
    drawn = {frozenset((seg[0], seg[-1])) for seg in stroke}
    return any(frozenset((seg[0], seg[-1])) in drawn for leg in legs for seg in leg)


def _drawn_along(piece: FinishedPiece, nodes: Sequence[complex]) -> tuple[list[str], tuple[str, ...]]:
    # Names of open lines that are drawn along the legs of a notch, from mouth to point.
    start, point, end = nodes
    names: list[str] = []
    drawn_by: list[str] = []
    for shape in piece.shapes:
        if not _open_line(shape):
            continue
        ends = [z for seg in shape.stroke for z in (seg[0], seg[-1])]
        near = [min(abs(z - w) for w in (start, point, end)) for z in ends]
        if max(near) <= _ON_SEAM and min(abs(z - point) for z in ends) <= _ON_SEAM:
            names += [spoken(name) for name in (shape.name, shape.family, shape.group)]
            drawn_by.append(shape.name)
    return names, tuple(drawn_by)


def _edge_at(edges: tuple[Edge, ...], n: int, place: float) -> Edge:
    return next(edge for edge in edges if edge.start + (place - edge.start) % n <= edge.end + ON_LINE)


def _edge_names(edge: Edge, edges: tuple[Edge, ...]) -> list[str]:
    lower = ["lower edge"] if edge.name == "hem" else []
    return [edge.name, called_on_cloth(edge, edges), *lower, f"edge {edge.number}", str(edge.number)]


def _numbered(found: list[DartSeen]) -> list[DartSeen]:
    # As they lie from the left, those above one another from the top; of two in one edge each says where its point is.
    row = sorted(found, key=lambda one: (round(one.dart.point.real, 3), one.dart.point.imag))
    made: list[DartSeen] = []
    for number, one in enumerate(row, 1):
        names = one.names | {f"dart {number}"} | ({"dart"} if len(row) == 1 else set())
        words = one.dart.words
        if sum(1 for other in row if other.dart.words == words) > 1:
            words = f"dart {number} in the {words.removeprefix('the dart in the ')}"
        made.append(one._replace(names=names, dart=one.dart._replace(words=words)))
    return made


def darts_called(piece: FinishedPiece, found: list[DartSeen], wanted: str, by: str, unit: str = "mm") -> list[DartSeen]:
    """Return those of the darts of a piece that are called so; "all" are all of them, and "dart" too where there are several.

    Args:
        piece: as drawn.
        found: its darts.
        wanted: the name.
        by: the option that gives it.
        unit: for messages.

    Raises:
        FitError: none is called so.
    """
    plain = spoken(wanted)
    those = [one for one in found if plain in one.names]
    if plain == "all" or (plain == "dart" and not those):
        those = found
    if those:
        return those
    if not found:
        raise FitError(
            option(by, wanted),
            f"finds no dart on '{piece.name}'",
            "a dart is a notch in the seam line with two straight legs, or two open legs from the seam to one point",
            f"{stops_short(piece, unit)}Draw the dart so; 'pleatsvg measure' tells the darts that it sees.",
        )
    raise FitError(
        option(by, wanted),
        f"is no dart of '{piece.name}'",
        near_names(plain, [name for one in found for name in sorted(one.names) if not name.isdigit()]),
        f"The darts of this piece, from the left, are {listed(_each(found))}.",
    )


def _each(found: list[DartSeen]) -> list[str]:
    return [f"dart {k} in the {one.dart.edge}" for k, one in enumerate(found, 1)]


def spoken(name: str) -> str:
    """Return a name as it would be said: an id has underscores where a label has blanks."""
    return " ".join(name.replace("_", " ").split()).casefold()
