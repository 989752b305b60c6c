"""What is drawn on flat cloth, as it lies on the piece that the cloth becomes: each thing with its panel.

A balance line runs on from panel to panel and is trued like the seam. What lies on cloth that a pleat hides has no place on
the finished piece, and is left out. All in mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from pleatsvg.drawing.drawn import DrawnShape, DrawnText
from pleatsvg.geometry.motion import Motion, moved
from pleatsvg.geometry.segment import Segment, length_of, point_at
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.pleats.finishing.cloth import Folded, Line, closing_shifts, cut_at, part_between, sheared, spot_on


class Mover:
    """Moves what is drawn on the cloth to the finished piece.

    Attributes:
        left_out: names of what cannot go along.
    """

    def __init__(self, lines: SlashSet, cloth: Folded) -> None:
        self.lines = lines
        self.cloth = cloth
        self.left_out: list[str] = []
        self._edges = [chord for strip in cloth.strips for chord in (strip.before, strip.after)]

    def piece(self, piece: FinishedPiece) -> FinishedPiece:
        """Return the finished piece with all that is drawn on the cloth, but no slash lines."""
        shapes = [one for shape in piece.shapes for one in self.shape(shape)]
        texts = [self.text(text) for text in piece.texts]
        return replace(
            piece,
            outline=self.cloth.outline.from_top_left(),
            slashes=(),
            crossing_lines=(),
            grain=self.line(piece.grain),
            fold_edge=self.line(piece.fold_edge),
            centre=self.line(piece.centre),
            shapes=tuple(shapes),
            texts=tuple(texts),
        )

    def motion_at(self, z: complex) -> Motion:
        """Return the motion of the panel on which a point lies; in hidden cloth, of the nearer one."""
        place = self._place(z)
        if place % 2:
            before, after = self._edges[place - 1], self._edges[place]
            place += -1 if self._after(z, before) < -self._after(z, after) else 1
        return self.cloth.motions[place // 2]

    def line(self, line: StraightLine | None) -> StraightLine | None:
        """Return a straight line moved with the panel of its middle."""
        if line is None:
            return None
        motion = self.motion_at((line.start + line.end) / 2)
        return replace(line, start=motion.of(line.start), end=motion.of(line.end))

    def shape(self, shape: DrawnShape) -> list[DrawnShape]:
        """Return a shape as it lies on the finished piece, in parts where pleats part it."""
        if shape.part == "balance" and not shape.closed:
            whole = balance_runs(shape.stroke, [(c.top, c.hem) for c in self._edges], self.cloth.motions)
            if whole is not None:
                return [replace(shape, stroke=tuple([seg for run in whole for seg in run]))]
        path = shape.stroke
        cuts = sorted({at for chord in self._edges for at in cut_at(path, (chord.top, chord.hem))})
        if not cuts or shape.closed:
            places = {self._place(point_at(seg, t)) for seg in path for t in (0.0, 0.25, 0.5, 0.75, 1.0)}
            if len(places) > 1 or next(iter(places)) % 2:
                self.left_out.append(shape.name)
                return []
            motion = self.cloth.motions[next(iter(places)) // 2]
            return [replace(shape, stroke=tuple([moved(seg, motion) for seg in path]))]
        made: list[DrawnShape] = []
        for start, stop in pairwise([0.0, *cuts, float(len(path))]):
            part = part_between(path, start, stop)
            place = self._place(spot_on(path, (start + stop) / 2))
            if part and not place % 2:
                made.append(replace(shape, stroke=tuple([moved(seg, self.cloth.motions[place // 2]) for seg in part])))
            elif part:
                self.left_out.append(shape.name)
        return made

    def text(self, text: DrawnText) -> DrawnText:
        """Return a text moved with the panel of its middle."""
        return text.moved(self.motion_at(sum(text.box) / len(text.box)))

    def _after(self, z: complex, chord: Chord) -> float:
        return ((z - chord.top) * self.lines.across(chord).conjugate()).real

    def _place(self, z: complex) -> int:
        # How many edges of hidden strips lie before a point: even on a panel, odd in a strip.
        return sum(1 for chord in self._edges if self._after(z, chord) > 0)


def balance_runs(
    path: Sequence[Segment], edges: Sequence[Line], motions: Sequence[Motion]
) -> tuple[tuple[Segment, ...], ...] | None:
    """Return a line that runs across all panels as it lies on the finished piece, panel by panel; None if it does not.

    Args:
        path: the line on the flat cloth.
        edges: the two edges of each hidden strip, in order.
        motions: of the panels.
    """
    if ((path[-1][-1] - path[0][0]) * (edges[-1][0] - edges[0][0]).conjugate()).real < 0:
        path = [seg[::-1] for seg in reversed(path)]
    stops = [0.0]
    for edge in edges:
        found = cut_at(path, edge)
        if len(found) != 1 or found[0] < stops[-1]:
            return None
        stops.append(found[0])
    stops.append(float(len(path)))
    spans = list(zip(stops[::2], stops[1::2], strict=True))
    spots = [
        (motion.of(spot_on(path, a)), motion.of(spot_on(path, b)))
        for (a, b), motion in zip(spans, motions, strict=True)
    ]
    shifts = closing_shifts(spots)
    return tuple(
        [
            tuple([sheared(moved(seg, motion), *ends, *shift) for seg in part_between(path, *span)])
            for span, motion, ends, shift in zip(spans, motions, spots, shifts, strict=True)
        ]
    )


def length_along(runs: Sequence[Sequence[Segment]]) -> float:
    """Return the length of some runs together, in mm."""
    return math.fsum([length_of(seg) for run in runs for seg in run])
