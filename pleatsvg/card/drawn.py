"""A card as it is drawn, to be cut out: its edges in the symbols of the pattern, its words, in one or more parts. In mm."""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass

from pleatsvg.card.cards import ALIKE, Card
from pleatsvg.geometry.segment import Box, Segment, box_of
from pleatsvg.length import show
from pleatsvg.paper.body import Asked, Body, BodyShape, BodyText, Map
from pleatsvg.result.classes import CLASSES, Ink
from pleatsvg.result.lettering import CAPITALS, readable
from pleatsvg.result.shown import Chunk, Colour, Look, ShownResult, ShownShape, ShownText, Span, Stroke
from pleatsvg.tolerance import ON_LINE

HANDY = 200.0
"""mm. A card with parallel edges is cut no longer, and slid along."""

_TAB_HIGH = 12.0
"""mm. Height of the tabs that reach to the next pleat."""

_LONGEST_TAB = 150.0
"""mm. A wider spacing is written, and not stepped off."""

_NARROW = 26.0
"""mm. On a narrower card words stand beside it."""

SIZE, TITLE = 3.6, 4.6
"""Font sizes in mm."""

_INK: Colour = (0.1, 0.1, 0.1)
_CUT = Look(stroke=_INK, width=0.35)
_PRESS = Look(stroke=_INK, width=0.4, dashes=(2.0, 1.0))
_THIN = Look(stroke=_INK, width=0.3)

Widths = Callable[[str, float, bool], float]


def _look(ink: Ink | None) -> Look:
    assert ink is not None
    red, green, blue = (int(ink.colour[k : k + 2], 16) / 255 for k in (1, 3, 5))
    return Look(stroke=(red, green, blue), width=float(ink.width), dashes=tuple(map(float, ink.dashes.split())))


@dataclass(frozen=True, slots=True)
class Part:
    """A card, or a part of one, as it is printed: what is drawn of it, and the room that it takes."""

    card: Card
    body: Body
    box: Box


class _Drawing:
    # Shapes and words as they come.
    def __init__(self, name: str) -> None:
        self._name = name
        self._items: list[BodyShape | BodyText] = []
        self._shown: list[ShownShape | ShownText] = []
        self._points: list[complex] = []

    def line(self, css: str, look: Look, *points: complex, closed: bool = False) -> None:
        around = (*points, points[0]) if closed else points
        run: tuple[Segment, ...] = tuple([(a, b) for a, b in itertools.pairwise(around) if a != b])
        if not run:
            return
        shape = ShownShape(css, None, "", (), (Stroke(run, closed),), look)
        self._items.append(BodyShape(shape, len(self._shown), Map(), shape.strokes, look))
        self._shown.append(shape)
        self._points += points

    def words(self, said: str, at: complex, along: complex, size: float, width: float, bold: bool = False) -> None:
        """Words whose middle is at a place."""
        base = at + 1j * along * size * CAPITALS / 2
        matrix = (along.real, along.imag, -along.imag, along.real, base.real, base.imag)
        span = Span(said, size, bold, False, _INK)
        text = ShownText("card-words", None, (), said, matrix, (Chunk(0.0, 0.0, "middle", (span,)),))
        self._items.append(BodyText(text, Map(), 1.0, False))
        self._shown.append(text)
        for x in (-width / 2, width / 2):
            self._points += [at + along * (x - 1j * size / 2), at + along * (x + 1j * size / 2)]

    def part(self, card: Card) -> Part:
        shown = ShownResult(card.title, card.title, (card.title,), 0.0, 0.0, tuple(self._shown), (), ())
        return Part(card, Body(shown, Asked(), tuple(self._items)), box_of(self._points))


def drawn_card(card: Card, highest: float, widths: Widths) -> tuple[Part, ...]:
    """Return a card as it is printed.

    Args:
        card: to be drawn.
        highest: that a part may be, mm.
        widths: of words.
    """
    if not card.tapers:
        return (_part(card, 0.0, min(card.length, HANDY, highest), 1, 1, widths),)
    count = max(1, math.ceil(card.length / highest))
    step = card.length / count
    return tuple([_part(card, k * step, (k + 1) * step, k + 1, count, widths) for k in range(count)])


def _part(card: Card, start: float, end: float, number: int, count: int, widths: Widths) -> Part:
    # The card from `start` to `end`, measured along its near edge.
    near_top, near_hem, fold_top, fold_hem = card.corners
    length = card.length
    near = [near_top + (near_hem - near_top) * at / length for at in (start, end)]
    fold = [fold_top + (fold_hem - fold_top) * at / length for at in (start, end)]
    drawing = _Drawing(card.title)
    for a, b in zip(near, fold, strict=True):
        drawing.line("card-end", _CUT, a, b)
    _edge(drawing, near[0], near[1], "stitch-line" if card.near == "STITCH" else "placement-line")
    _edge(drawing, fold[0], fold[1], "fold-line")
    press: list[complex] = []
    if card.press is not None:
        press = _press_line(drawing, card, near, fold, (start, end), widths)
    if card.tab is not None and max(card.tab) <= _LONGEST_TAB:
        _tabs(drawing, card, near, fold, (start, end), widths)
    _words(drawing, card, near, fold, press, (number, count), end < length - 1e-6 and not card.tapers, widths)
    return drawing.part(card)


def _edge(drawing: _Drawing, top: complex, hem: complex, css: str) -> None:
    # The line of the pattern, with its signs near both ends: crosses on a fold line, bars on a placement line.
    drawing.line(f"card-{css}", _look(CLASSES[css].ink), top, hem)
    way = (hem - top) / abs(hem - top)
    signs = _look(CLASSES[css].signs)
    length = abs(hem - top)
    for at in (min(10.0, length / 4), length - min(10.0, length / 4)):
        here = top + way * at
        if css == "fold-line":
            for turn in (1 + 1j, 1 - 1j):
                arm = way * turn / abs(turn) * 2.0
                drawing.line("card-sign", signs, here - arm, here + arm)
        elif css == "placement-line":
            drawing.line("card-sign", signs, here - 2.5j * way, here + 2.5j * way)


def _along(a: complex, b: complex) -> complex:
    turn = math.radians(readable(b - a))
    return cmath.rect(1.0, turn)


def _inwards(near: list[complex], fold: list[complex]) -> complex:
    # From the near edge to the fold, at the top; at the other end where the two begin in one point.
    step = fold[0] - near[0] if abs(fold[0] - near[0]) > ON_LINE else fold[1] - near[1]
    return step / abs(step)


def _press_line(
    drawing: _Drawing,
    card: Card,
    near: list[complex],
    fold: list[complex],
    stretch: tuple[float, float],
    widths: Widths,
) -> list[complex]:
    # Returns its ends.
    assert card.press is not None
    ends = []
    for a, b, at in zip(near, fold, stretch, strict=True):
        deep = card.press[0] + (card.press[1] - card.press[0]) * at / card.length
        ends.append(b + (a - b) * min(1.0, deep / abs(b - a)) if b != a else b)
    drawing.line("card-press", _PRESS, *ends)
    said = "PRESS: into the fold to here"
    along = _along(*ends)
    inwards = _inwards(near, fold)
    side = inwards if abs(fold[0] - ends[0]) > 6.0 else -inwards
    middle = ends[0] + (ends[1] - ends[0]) * 0.5 + side * (SIZE * CAPITALS / 2 + 1.2)
    drawing.words(said, middle, along, SIZE, widths(said, SIZE, False))
    return ends


def _tabs(
    drawing: _Drawing,
    card: Card,
    near: list[complex],
    fold: list[complex],
    stretch: tuple[float, float],
    widths: Widths,
) -> None:
    # A tab at either end reaches from the fold line to where the next pleat begins.
    assert card.tab is not None
    way = (fold[1] - fold[0]) / abs(fold[1] - fold[0])
    out = -1j * way
    high = min(_TAB_HIGH, abs(fold[1] - fold[0]) / 3)
    for corner, down, at in ((fold[0], way, stretch[0]), (fold[1], -way, stretch[1])):
        wide = card.tab[0] + (card.tab[1] - card.tab[0]) * at / card.length
        drawing.line(
            "card-tab", _CUT, corner, corner + out * wide, corner + out * wide + down * high, corner + down * high
        )
        said = f"{card.tab_to}: {show(wide, card.unit)}"
        width = widths(said, SIZE, False)
        along = _along(corner, corner + out)
        if width < wide - 3.0:
            drawing.words(said, corner + out * wide / 2 + down * high / 2, along, SIZE, width)
        else:
            drawing.words(said, corner + out * (wide + 2.0 + width / 2) + down * high / 2, along, SIZE, width)


def _words(
    drawing: _Drawing,
    card: Card,
    near: list[complex],
    fold: list[complex],
    press: list[complex],
    part: tuple[int, int],
    slides: bool,
    widths: Widths,
) -> None:
    # Along each edge what is marked there; up the middle what the card is for. On a narrow card all of it stands beside.
    narrow = min(abs(fold[0] - near[0]), abs(fold[1] - near[1])) < _NARROW
    inwards = _inwards(near, fold)
    off = SIZE * CAPITALS / 2 + 1.4
    for ends, said, side in ((near, f"{card.near} edge", 1), (fold, "FOLD edge", -1)):
        at = 0.72 if press and side == 1 else 0.3
        middle = ends[0] + (ends[1] - ends[0]) * at + inwards * side * off * (-1 if narrow else 1)
        if press and side == 1 and not narrow:
            # Where the line for pressing runs so near the edge that both have no room, the words stand beyond it.
            gap = abs(press[0] + (press[1] - press[0]) * at - ends[0] - (ends[1] - ends[0]) * at)
            middle += inwards * (gap if gap < 2 * off else 0.0)
        drawing.words(said, middle, _along(*ends), SIZE, widths(said, SIZE, False), bold=True)
    number, count = part
    rows = [card.title, card.about, card.width_words]
    if count > 1:
        rows.append(f"part {number} of {count}: tape the parts together, {' to '.join(card.ends)}")
    if card.tab is not None and max(card.tab) > _LONGEST_TAB:
        rows.append(f"{card.tab_to}: {show(card.tab[0], card.unit)} on from the fold")
    elif slides and card.tab is not None and abs(card.tab[0] - card.tab[1]) > ALIKE:
        first = card.ends[0] if card.zone else f"top of the {card.noun}"
        rows.append(f"use the tabs at the {first} alone: farther down the spacing is another")
    if card.press is None:
        rows.append("PRESS: all of it goes inside the fold")
    if slides:
        rows.append("slide it along: both edges are parallel")
    along = _along(near[0], near[1])
    heart = (near[0] + near[1] + fold[0] + fold[1]) / 4
    pitch = SIZE * 1.5
    room = abs(fold[0] - near[0]) - 2 * (off + SIZE)
    if narrow or room < pitch * len(rows):
        # Beside the card, clear of its tabs.
        beyond = (near[0] + near[1]) / 2 - inwards * (off + SIZE + 2.0)
        for k, row in enumerate(reversed(rows)):
            here = beyond - inwards * pitch * (k + 0.5)
            drawing.words(row, here, along, SIZE, widths(row, SIZE, row == card.title), bold=row == card.title)
    else:
        across = along * 1j
        for k, row in enumerate(rows):
            here = heart + across * pitch * (k - (len(rows) - 1) / 2)
            drawing.words(row, here, along, SIZE, widths(row, SIZE, row == card.title), bold=row == card.title)
    if slides:
        for ends in (near, fold):
            _slide_mark(drawing, ends[1], (ends[1] - ends[0]) / abs(ends[1] - ends[0]))


def _slide_mark(drawing: _Drawing, end: complex, way: complex) -> None:
    # A small arrow down the edge: marks are carried on from here.
    tip = end - way * 4.0
    drawing.line("card-slide", _THIN, tip - way * 6.0, tip)
    drawing.line("card-slide", _THIN, tip - way * 2.0 + 1.2j * way, tip, tip - way * 2.0 - 1.2j * way)
