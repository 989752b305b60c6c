"""The picture of a measured piece: edges with names, numbers and lengths, corners, slash lines in their order, what lies on it.

Everything is in mm, as drawn, right side of the cloth up. Words are level and stand where there is room: beside what they
name, farther off with a leader where they must, and nowhere where they would lie over others; then it is told how many are
left out.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from pleatsvg.drawing.names import is_typed
from pleatsvg.errors import cut_short
from pleatsvg.folded.items import SIZE, Item, Layer, Line, Text, corners
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Box, box_of
from pleatsvg.length import show
from pleatsvg.piece.edges import Edge, lower_word
from pleatsvg.piece.measuring import Measured, MeasuredLine
from pleatsvg.pleats.words import end_words
from pleatsvg.result.clear_of import ClearOf, Strokes, chords_of
from pleatsvg.result.lettering import CAPITALS, Words, direction, readable, width_of

_SIZES_ACROSS = 110.0
"""Heights of words in the greater of a piece's width and height: read on a screen that shows all of it."""

_CLEAR = 0.45
"""Of the size of words, what they keep free around them."""

_BESIDE = (0.8, 1.6, 2.6, 4.0, 6.0, 9.0, 13.0, 18.0, 25.0, 34.0)
"""Sizes of words that they stand off what they name; from the third on with a leader."""

_MOST_LOOKED_AT = 300_000
"""Strokes that words are held against, all in all; where that is not enough, there is no room to speak of."""

_LED = 2
"""From which of these on a leader is drawn."""

_WITHIN = 4
"""How many of these are tried on the piece itself."""

_ALONG = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9)

_DOWN = (0.4, 0.6, 0.25, 0.75, 0.15, 0.85)

_ROUND = tuple([cmath.exp(1j * math.tau * k / 12) for k in range(12)])

_MOST_NAMED = 60
"""Of the slash lines, and of what else lies on a piece, that is named; a traced drawing has thousands of lines."""


class Picture(NamedTuple):
    """A piece with what was found on it.

    Attributes:
        layers: in the order in which they are drawn.
        box: what they take up.
        rows: heading rows, the first larger.
        size: of words, mm.
    """

    layers: tuple[Layer, ...]
    box: Box
    rows: tuple[str, ...]
    size: float


class _Label(NamedTuple):
    """Words to be placed: about a spot, along a way out of what they name, or anywhere round it."""

    words: str
    spots: tuple[tuple[complex, complex], ...]
    """Where a leader ends, and the unit vector that leads away from there; 0 for words on the spot itself."""

    inside: bool | None
    """Whether they stand on the piece or beside it; None for wherever there is room."""

    look: str = "words"
    turn: float = 0.0


def picture_of(found: Measured) -> Picture:
    """Return the picture of a measured piece."""
    piece, outline = found.piece, found.piece.outline
    left, top, right, bottom = outline.box
    size = max(SIZE, max(right - left, bottom - top) / _SIZES_ACROSS)
    drawn = _drawn(found)
    slashes = [Line("slash", (line.top.point, line.hem.point)) for line in found.lines]
    if not slashes:
        slashes = [Line("slash", (line.start, line.end)) for line in piece.slashes]
    seam = Line("outline", segments=outline.segments, closed=True)
    dots = [_dot(outline.point(node), size * 0.35) for node in outline.edge_corners]
    lines: list[Item] = [seam, *drawn, *slashes]
    placed = _Placing(outline, [line for line in lines if isinstance(line, Line)], size)
    for label in (*_ends(found), *_edges(found), *_inside(found)):
        placed.put(label)
    left_out = placed.left_out + 3 * (len(found.lines) - len(_told(found)))
    layers = (
        Layer("cloth", "Cloth", [Line("cloth-right", segments=outline.segments, closed=True)]),
        Layer("drawn", "Lines of the drawing", drawn),
        Layer("slash-lines", "Slash lines", slashes),
        Layer("seam", "Seam and its corners", [seam, *dots]),
        Layer("leaders", "Leaders", placed.leaders),
        Layer("names", "Names", placed.texts),
    )
    box = box_of([z for layer in layers for item in layer.items for z in corners(item)])
    return Picture(layers, box, _rows(found, left_out), size)


def _rows(found: Measured, left_out: int) -> tuple[str, ...]:
    piece, unit = found.piece, found.unit
    left, top, right, bottom = piece.outline.box
    rows = [
        cut_short(piece.name),
        f"{show(right - left, unit)} wide, {show(bottom - top, unit)} high as drawn; the right side of the cloth is seen",
    ]
    if found.lines:
        first, second = _end_words(found)
        many = f"{len(found.lines)} slash lines, numbered from the {'left' if found.upright else 'top'}"
        rows.append(
            f"{many if len(found.lines) > 1 else '1 slash line'}; each is marked at its {first} and its {second}"
        )
    if left_out:
        named = "1 name is" if left_out == 1 else f"{left_out} names are"
        rows.append(f"{named} left out for want of room; they are listed in what is printed")
    return tuple(rows)


def _told(found: Measured) -> tuple[MeasuredLine, ...]:
    # Of very many lines each second, or each tenth: more numbers would not be read.
    return found.lines[:: math.ceil(len(found.lines) / _MOST_NAMED) or 1]


def _end_words(found: Measured) -> tuple[str, str]:
    first, second = end_words(found.upright)
    return first, "lower end" if second == "hem" and lower_word(found.edges) != "hem" else second


def _dot(at: complex, radius: float) -> Line:
    return Line("corner", tuple([at + radius * way for way in _ROUND]), True)


def _drawn(found: Measured) -> list[Line]:
    piece = found.piece
    looks = {"balance": "balance", None: "carried", "carried": "carried", "centre": "centre"}
    drawn = [
        Line(looks.get(shape.part, "carried"), segments=shape.stroke, closed=shape.closed) for shape in piece.shapes
    ]
    if piece.earlier is not None:
        of_role = {
            "fold-line": "fold",
            "placement-line": "placement",
            "inner-fold-line": "inner",
            "stitch-line": "stitch",
        }
        drawn += [
            Line(of_role[line.role], segments=run)
            for line in piece.earlier.lines
            if line.role in of_role
            for run in line.strokes
        ]
    if piece.cut is not None:
        drawn.append(Line("cut", segments=piece.cut.segments, closed=True))
    for look, line in (("grain", piece.grain), ("centre", piece.fold_edge)):
        if line is not None:
            drawn.append(Line(look, (line.start, line.end)))
    return drawn


def _edges(found: Measured) -> Iterator[_Label]:
    outline = found.piece.outline
    for edge in found.edges:
        trade = found.trade.get(edge.number)
        name = edge.name if trade is None else f"{trade} ({edge.name})"
        on_fold = ", on the fold" if found.fold is not None and found.fold.number == edge.number else ""
        words = f"{edge.number}  {name}{on_fold}: {show(edge.length, found.unit)}"
        yield _Label(words, tuple(_beside(outline, edge)), False, "edge-name")


def _beside(outline: Outline, edge: Edge) -> Iterator[tuple[complex, complex]]:
    for share in _ALONG:
        at = outline.sewn_walk(edge.start, edge.length * share)
        yield outline.point(at), outline.heading(at) * -1j  # outwards, for it is walked clockwise


def _ends(found: Measured) -> Iterator[_Label]:
    first, second = _end_words(found)
    for line in _told(found):
        way = (line.hem.point - line.top.point) / line.length
        for words, spot, out in ((first, line.top.point, -way), (second, line.hem.point, way)):
            aside = [out * cmath.exp(1j * math.radians(turn)) for turn in (0, 25, -25, 50, -50)]
            yield _Label(f"{line.number} {words}", tuple([(spot, one) for one in aside]), False, "line-end")


def _inside(found: Measured) -> Iterator[_Label]:
    piece = found.piece
    left, top, right, bottom = piece.outline.box
    wide, high = right - left, bottom - top
    around = [complex(left + x * wide, top + y * high) for y in _DOWN for x in _ALONG]
    yield _Label("RIGHT SIDE", tuple([(spot, 0j) for spot in around]), True)
    for dart in found.darts:
        words = f"dart {dart.number}: intake {show(dart.intake, found.unit)}, {show(dart.length, found.unit)} long"
        yield _Label(words, _about([dart.point]), True)
    for line in _told(found):
        along = (line.hem.point - line.top.point) / line.length
        spots = [line.top.point + along * line.length * share for share in _ALONG]
        beside = tuple([(spot, side) for spot in spots for side in (1j * along, -1j * along)])
        name = f"{line.number}: {cut_short(line.name, 30)}" if line.name else str(line.number)
        yield _Label(name, beside, True, "line-name", readable(along))
    if piece.grain is not None:
        spots = [piece.grain.start + (piece.grain.end - piece.grain.start) * share for share in _ALONG]
        yield _Label("grainline", _about(spots), True)
    seen: set[str] = set()
    for shape in piece.shapes:
        if shape.tag is None and shape.name not in seen and len(seen) < _MOST_NAMED and is_typed(shape.name):
            seen.add(shape.name)
            spots = [shape.stroke[len(shape.stroke) // 2][0], shape.stroke[-1][-1]]
            yield _Label(cut_short(shape.name, 30), _about(spots), None)


def _about(spots: Sequence[complex]) -> tuple[tuple[complex, complex], ...]:
    return tuple([(spot, way) for spot in spots for way in _ROUND[::3] + _ROUND[1::3]])


class _Placing:
    """Words put where there is room for them.

    What is taken is kept in the measure in which words have their usual size, so that a look about one place costs as much
    on a piece of forty metres as on one of forty centimetres.
    """

    def __init__(self, outline: Outline, lines: Sequence[Line], size: float) -> None:
        self.outline = outline
        self.size = size
        self._unit = SIZE / size
        self._strokes = Strokes([[z * self._unit for z in points] for line in lines for points in _runs(line)])
        left, top, right, bottom = outline.box
        self._across = abs(complex(right - left, bottom - top))
        self._taken = ClearOf([])
        self.texts: list[Item] = []
        self.leaders: list[Item] = []
        self.left_out = 0
        self._looked_at = 0

    def put(self, label: _Label) -> None:
        """Put words beside what they name, or count them as left out."""
        wide, high = width_of(label.words, self.size), self.size * CAPITALS
        way = direction(label.turn)
        for inside in (True, False) if label.inside is None else (label.inside,):
            if self._looked_at > _MOST_LOOKED_AT or (inside and wide > self._across):
                continue
            for step, gap in enumerate(_BESIDE[: _WITHIN if inside else None]):
                for spot, out in label.spots:
                    if step and not out:
                        continue
                    off = out * way.conjugate()
                    reach = abs(off.real) * wide / 2 + abs(off.imag) * high / 2
                    middle = spot + out * (gap * self.size + reach)
                    end = middle - out * (reach + 0.3 * self.size)
                    if (step < _LED or self._may_lead(spot, end)) and self._is_free(middle, way, wide, high, inside):
                        self.texts.append(Text(label.words, middle, label.turn, self.size, look=label.look))
                        self._taken.take(Words(label.words, middle * self._unit, label.turn, SIZE, label.look))
                        if step >= _LED:
                            self._lead(spot, end)
                        return
        self.left_out += 1

    def _is_free(self, middle: complex, way: complex, wide: float, high: float, inside: bool) -> bool:
        along, down = way * wide / 2, way * 1j * high / 2
        box = (middle - along - down, middle + along - down, middle + along + down, middle - along + down)
        unit = self._unit
        lines = self._strokes.about([z * unit for z in box])
        self._looked_at += len(lines)
        if not self._taken.is_free(middle * unit, way, wide * unit, high * unit, lines, _CLEAR * SIZE):
            return False
        return self.outline.holds(middle) == inside

    def _may_lead(self, spot: complex, end: complex) -> bool:
        long = abs(end - spot)
        middle = (spot + end) / 2 * self._unit
        return self._taken.is_free(middle, (end - spot) / long, long * self._unit, 0.0, (), 0.3 * SIZE)

    def _lead(self, spot: complex, end: complex) -> None:
        self.leaders.append(Line("leader", (spot, end)))
        self._taken.take_box((spot + end) / 2 * self._unit, (end - spot) * self._unit, 0.1 * SIZE)


def _runs(line: Line) -> Iterator[Sequence[complex]]:
    if line.points:
        yield line.points
    for seg in line.segments:
        yield chords_of(seg)
