"""What is drawn on a fitted piece, taken along: above the hip with the closed panels and their pleats, below it as ever.

A line that lies above the hip is cut where panels lean away from it, moved with each panel to the closed piece, and goes
from there through the pleats above the hip: so that on hidden cloth, too, it lies true when the top is folded.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from pleatsvg.drawing.drawn import DrawnShape
from pleatsvg.fitted.closed import leaning
from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.fitted.fit import Fitted, on_drawn_lines, past_the_hip
from pleatsvg.fitted.spliced import Spliced
from pleatsvg.flat.carried import Carriage, carry
from pleatsvg.flat.strokes import clear_of, middle_of, parts_between, path_crossings
from pleatsvg.geometry.motion import moved
from pleatsvg.geometry.nearest import Nearest
from pleatsvg.geometry.segment import Segment, point_at
from pleatsvg.piece.finished import FinishedPiece, Ring
from pleatsvg.piece.slash_lines import Chord
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.tolerance import ALONG_HIP, ON_LINE, RUN_ON

Path = tuple[Segment, ...]


def carry_fitted(
    piece: FinishedPiece,
    shapes: Sequence[DrawnShape],
    fitted: Fitted,
    pleats: tuple[LaidPleat, ...],
    spliced: Spliced,
    unit: str,
) -> tuple[Carriage, tuple[Path, ...]]:
    """Return everything drawn on the piece, laid on the flat piece; and balance lines above the hip on the closed piece.

    Args:
        piece: as drawn.
        shapes: on it that are no slash lines.
        fitted: the piece above and below the hip.
        pleats: laid out on the lower one.
        spliced: the flat piece.
        unit: for remarks.

    Raises:
        FitError: it would become more than can be read again.
    """
    if not shapes and not piece.texts:
        return Carriage(), ()
    lines, longer = on_drawn_lines(fitted, pleats)
    level = _Level(fitted)
    below: list[DrawnShape] = []
    above: list[DrawnShape] = []
    for shape in shapes:
        for part in _on_cloth(shape, piece.ring):
            low, high = level.parted(part)
            below += low
            above += high
    found = carry(tuple(below), piece.texts, lines, longer, spliced.flat, unit)
    if not above:
        return found, ()
    more = carry(tuple(above), (), fitted.upper.lines, past_the_hip(fitted.above), spliced.above, unit)
    remarks = tuple(dict.fromkeys([*found.remarks, *more.remarks]))
    known = {line.name for line in more.lines if line.balance}
    balance = tuple([shape.stroke for shape in above if shape.part == "balance" and shape.name in known])
    return Carriage((*found.lines, *more.lines), found.texts, remarks), balance


def _on_cloth(shape: DrawnShape, ring: Ring | None) -> list[DrawnShape]:
    # All round, a balance line runs on for a round on either side: what of it lies on the cloth that is laid out.
    if ring is None or shape.closed or shape.part != "balance":
        return [shape]
    ends = [Chord(0.0, 0.0, top, hem) for top, hem in ring.ends]
    places = {place for end in ends for place in path_crossings(shape.stroke, end)}
    found = []
    for part in _cut(shape.stroke, places):
        off = [((middle_of(part) - end.top) * (end.hem - end.top).conjugate()).imag for end in ends]
        if off[0] < 0 < off[1] or off[1] < 0 < off[0]:
            found.append(replace(shape, stroke=part))
    return found


class _Level:
    """The hip level on the drawn piece, and the panels above it."""

    def __init__(self, fitted: Fitted) -> None:
        self.edges, closed, hand = fitted.edges, fitted.closed, fitted.drawn.hand
        if (
            fitted.laid_out is not None and fitted.closed_all is not None
        ):  # all round, what is laid out beside the round, too
            self.edges, closed = fitted.laid_out.edges, fitted.closed_all
        self.motions = closed.motions
        spots = fitted.hip.border
        before, after = spots[0] - spots[1], spots[-1] - spots[-2]
        first, last = spots[0] + before / abs(before) * RUN_ON, spots[-1] + after / abs(after) * RUN_ON
        self.border = [(a, b) for a, b in pairwise([first, *spots[1:-1], last])]
        self.nearest = Nearest(tuple(self.border))
        middle = self.edges[len(self.edges) // 2]
        self.up = 1j if ((1j * (spots[-1] - spots[0])).conjugate() * middle.upwards).real > 0 else -1j
        # Both leaning lines of every edge, and square to each the way to the panel after it.
        self.sides = [
            [(edge.hip, _up(edge, lean, way, hand)) for edge, lean in zip(self.edges, closed.leans, strict=True)]
            for way in (-1, 1)
        ]
        self.across = 1j * hand

    def parted(self, shape: DrawnShape) -> tuple[list[DrawnShape], list[DrawnShape]]:
        """Return what of a shape goes with what lies below the hip, and what of it with the closed piece, moved there.

        A closed shape stays whole, and lies on a panel, which is one above the hip and below. A line along the hip level is
        the hip itself, up to which cloth is folded as below.
        """
        path = shape.stroke
        if all(self._is_below(z) for seg in path for z in seg):
            return [shape], []
        if shape.closed:
            return ([], self._whole(shape)) if self._leant_over(path) else ([shape], [])
        if all(
            self.nearest.of(point_at(seg, t)).away <= ALONG_HIP for seg in path for t in (0.0, 0.25, 0.5, 0.75, 1.0)
        ):
            return [shape], []
        places = {place for a, b in self.border for place in path_crossings(path, Chord(0.0, 0.0, a, b))}
        low: list[DrawnShape] = []
        high: list[DrawnShape] = []
        for part in _cut(path, places):
            if self._is_below(clear_of(part, self._off_level)):
                low.append(replace(shape, stroke=part))
            else:
                high += [replace(shape, stroke=own) for own in self._closed(part)]
        return low, high

    def _is_below(self, z: complex) -> bool:
        spot = self.nearest.of(z)
        a, b = self.border[spot.segment]
        return ((z - a) * ((b - a) * self.up).conjugate()).real <= 0

    def _off_level(self, z: complex) -> float:
        return self.nearest.of(z).away

    def _off_edges(self, z: complex) -> float:
        # How far a point lies from the nearest leaning line.
        return min([abs(((z - foot) * up.conjugate()).imag) for side in self.sides for foot, up in side])

    def _after(self, z: complex, side: int) -> int:
        # How many leaning lines of one kind, those to the panels before or to the panels after, a point lies after.
        return sum(1 for foot, up in self.sides[side] if ((z - foot) * (self.across * up).conjugate()).real > 0)

    def _panel(self, z: complex) -> int | None:
        # The panel on which a point above the hip lies; None between two leaning lines.
        before, after = self._after(z, 0), self._after(z, 1)
        return after if before == after else None

    def _chords(self) -> Iterator[Chord]:
        for side in self.sides:
            for (foot, up), edge in zip(side, self.edges, strict=True):
                yield Chord(0.0, 0.0, foot + up * (edge.length + RUN_ON), foot)

    def _leant_over(self, path: Path) -> bool:
        return any(path_crossings(path, chord) for chord in self._chords())

    def _whole(self, shape: DrawnShape) -> list[DrawnShape]:
        # On the closed piece, so that it is crossed there by the line that takes what of it lies beyond.
        met = next(k for k, chord in enumerate(self._chords()) if path_crossings(shape.stroke, chord))
        own = self.motions[met if met < len(self.edges) else met - len(self.edges) + 1]
        return [replace(shape, stroke=tuple([moved(seg, own) for seg in shape.stroke]))]

    def _closed(self, path: Path) -> list[Path]:
        # On each panel the stretch of it there, moved with the panel; across an edge that it crosses they are one.
        places = {place for chord in self._chords() for place in path_crossings(path, chord)}
        runs: list[list[Segment]] = []
        last: int | None = None
        for part in _cut(path, places):
            panel = self._panel(clear_of(part, self._off_edges))
            if panel is None:
                continue
            own = [moved(seg, self.motions[panel]) for seg in part]
            if last is None or abs(panel - last) > 1:
                runs.append(own)
            else:
                here, there = runs[-1][-1][-1], own[0][0]
                runs[-1] += [*([(here, there)] if abs(there - here) > ON_LINE else []), *own]
            last = panel
        return [tuple(run) for run in runs]


def _up(edge: PleatEdge, lean: float, way: int, hand: float) -> complex:
    # On the fold of the cloth the edge leans to the drawn half alone.
    return edge.upwards if edge.on_fold == -way else leaning(edge, way * lean, hand)


def _cut(path: Path, places: set[float]) -> list[Path]:
    way = [0.0, *sorted(places), float(len(path))]
    parts = [tuple(parts_between(path, start, stop)) for start, stop in pairwise(way)]
    return [part for part in parts if part]
