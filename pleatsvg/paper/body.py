"""What is printed of a result: its shapes and words as drawn, or mirrored, opened out, smaller, in black alone, with layers
left out. In mm on paper, before it is turned onto its pages.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from pleatsvg.errors import FitError, RequestError, cut_short, near_names
from pleatsvg.geometry.segment import Segment
from pleatsvg.paper.inks import in_black
from pleatsvg.result.classes import CLASSES, LAYERS, LAYERS_ABOVE, SEEN_OF
from pleatsvg.result.lettering import readable
from pleatsvg.result.pattern_lines import Tag
from pleatsvg.result.roles import Role
from pleatsvg.result.shown import Look, ShownResult, ShownShape, ShownText, Span, Stroke
from pleatsvg.tolerance import PRINTED
from pleatsvg.wording import option

SCALES = {"1:1": 1.0, "1:2": 0.5, "1:4": 0.25, "1:5": 0.2}
"""For a class a pattern is printed at half, a quarter or a fifth of its size."""

LEAST_LINE = 0.5
"""Share of their width and dashes that lines keep where a pattern is printed smaller: thinner ones are not seen."""

LEAST_LETTERS = 0.45
"""Share of their size that words keep: 1.9 mm, as small as a ruler's figures."""

ALMOST_WHITE = 0.98
"""Of full light, in each of red, green and blue: no printer prints it."""

ROW_ROOM = 1.3
"""How many times as large as drawn, against the piece, rows may be that stand close: they are 1.35 of their size apart."""


@dataclass(frozen=True, slots=True)
class Asked:
    """How a result is to be printed.

    Attributes:
        scale: a key of `SCALES`.
        mirror: for tracing on the wrong side of the cloth.
        open_fold: a piece cut on the fold as a whole.
        without: layers that are left out, by their names.
        black: told apart without colour.
    """

    scale: str = "1:1"
    mirror: bool = False
    open_fold: bool = False
    without: tuple[str, ...] = ()
    black: bool = False

    @property
    def remarks(self) -> list[str]:
        """What stands on every page that is not as drawn."""
        rows = []
        if self.scale != "1:1":
            rows.append(f"NOT FULL SIZE: {self.scale}")
        if self.mirror:
            rows.append("MIRRORED: for the wrong side")
        if self.open_fold:
            rows.append("OPENED OUT")
        return rows


class Map:
    """From a result's mm to mm on paper: turned over or not, and smaller or not."""

    __slots__ = ("flips", "shift", "turn")

    def __init__(self, turn: complex = 1 + 0j, shift: complex = 0j, flips: bool = False) -> None:
        self.turn, self.shift, self.flips = turn, shift, flips

    def of(self, z: complex) -> complex:
        """Return where a point comes to lie."""
        return self.turn * (z.conjugate() if self.flips else z) + self.shift

    def back(self, z: complex) -> complex:
        """Return where a point came from."""
        w = (z - self.shift) / self.turn
        return w.conjugate() if self.flips else w

    def way(self, z: complex) -> complex:
        """Return where a direction comes to point."""
        return self.turn * (z.conjugate() if self.flips else z)

    def after(self, first: Map) -> Map:
        """Return the map that does `first`, then this one."""
        turn = self.turn * (first.turn.conjugate() if self.flips else first.turn)
        return Map(turn, self.of(first.shift), self.flips != first.flips)

    @property
    def size(self) -> float:
        """How many mm on paper a mm is."""
        return abs(self.turn)


@dataclass(frozen=True, slots=True)
class BodyShape:
    """A shape on paper.

    Attributes:
        shape: as drawn.
        number: which shape of the result it is, counted from 0 in the order of painting.
        map: from its mm to paper.
        strokes, look: on paper.
        copy: 0, or 1 in the other half of a piece that is opened out.
    """

    shape: ShownShape
    number: int
    map: Map
    strokes: tuple[Stroke, ...]
    look: Look
    copy: int = 0

    @property
    def is_seen(self) -> bool:
        """Whether it is seen on white paper: a white area without a line, such as an editor's page, takes no room."""
        return self.look.stroke is not None or (self.look.fill is not None and min(self.look.fill) < ALMOST_WHITE)


@dataclass(frozen=True, slots=True)
class BodyText:
    """Words on paper, never mirrored.

    Attributes:
        text: as drawn.
        spans_scale: by which its letters are larger or smaller.
        map: from its mm to paper.
        colour_black: whether its letters are black.
        words: what is said instead of its own words; None where it says these.
        copy: cf. `BodyShape`.
    """

    text: ShownText
    map: Map
    letters: float
    black: bool
    words: str | None = None
    copy: int = 0


@dataclass(frozen=True, slots=True)
class Body:
    """All that is printed of one result; `items` are in the order of painting."""

    shown: ShownResult
    asked: Asked
    items: tuple[BodyShape | BodyText, ...]

    @property
    def shapes(self) -> tuple[BodyShape, ...]:
        """The shapes that are painted."""
        return tuple([item for item in self.items if isinstance(item, BodyShape)])

    @property
    def texts(self) -> tuple[BodyText, ...]:
        """The words."""
        return tuple([item for item in self.items if isinstance(item, BodyText)])


def classes_left_out(bodies: Sequence[Body]) -> frozenset[str]:
    """Return the classes of lines that results have, and of which nothing is printed."""
    of = {seen: css for css, seen in SEEN_OF.items()}
    there = [item.css for body in bodies for item in body.shown.body if isinstance(item, ShownShape)]
    printed = [shape.shape.css for body in bodies for shape in body.shapes]
    return frozenset([of.get(css, css) for css in there]) - frozenset([of.get(css, css) for css in printed])


def body_of(shown: ShownResult, asked: Asked) -> Body:
    """Return what is printed of a result.

    Raises:
        FitError: it is to be opened out, and is not cut on the fold in one piece.
        RequestError: a layer that is to be left out is not there.
    """
    size = SCALES[asked.scale]
    paper = Map(complex(-size if asked.mirror else size, 0.0), 0j, asked.mirror)
    left_out = _left_out(shown, asked.without)
    items: list[BodyShape | BodyText] = []
    copies = [Map()]
    if asked.open_fold:
        copies.append(_across_fold(shown))
    number = -1
    for item in shown.body:
        # Both halves of a piece that is opened out at once, so that what covers something covers it in both.
        number += isinstance(item, ShownShape)
        if id(item) in left_out:
            continue
        for copy, over in enumerate(copies):
            if isinstance(item, ShownText):
                text = (
                    None
                    if copy and _stands_on_fold(item, over)
                    else _words_on_paper(item, paper.after(over), asked, copy)
                )
                items += [text] if text is not None else []
            elif _is_painted(item) and not (asked.open_fold and _is_of_half(item, over, copy)):
                items.append(_on_paper(item, number, paper.after(over), asked.black, copy))
    if not any(isinstance(item, BodyShape) for item in items):
        raise FitError(
            f"'{shown.source}'",
            "has no line that would be printed",
            "all of them are hidden or left out",
            "Show the layers in the vector editor, or leave out fewer.",
        )
    return Body(shown, asked, tuple(items))


def _is_of_half(shape: ShownShape, over: Map, copy: int) -> bool:
    # What a piece that is opened out does not have: the arrow to its fold, and twice what lies along it.
    nodes = [z for stroke in shape.strokes for seg in stroke.segments for z in seg]
    return shape.css == "fold-edge-arrow" or (copy > 0 and all(abs(over.of(z) - z) <= PRINTED for z in nodes))


def _is_painted(shape: ShownShape) -> bool:
    return shape.look.stroke is not None or shape.look.fill is not None


def _on_paper(shape: ShownShape, number: int, over: Map, black: bool, copy: int) -> BodyShape:
    look = in_black(shape) if black else shape.look
    line = max(over.size, LEAST_LINE) if over.size < 1 else 1.0
    if line != 1.0:
        look = look._replace(
            width=look.width * line, dashes=tuple([dash * line for dash in look.dashes]), phase=look.phase * line
        )
    strokes = tuple([Stroke(_moved(stroke.segments, over), stroke.closed) for stroke in shape.strokes])
    return BodyShape(shape, number, over, strokes, look, copy)


def _moved(segments: Sequence[Segment], over: Map) -> tuple[Segment, ...]:
    if over.turn == 1 and over.shift == 0 and not over.flips:
        return tuple(segments)
    return tuple([tuple([over.of(z) for z in seg]) for seg in segments])


_NAMES_OF_LINES = frozenset([role.label for role in Role]) | {"join-label", "seam-label"}


def _words_on_paper(text: ShownText, over: Map, asked: Asked, copy: int) -> BodyText | None:
    # The other half of a piece that is opened out bears the names of its lines; what is said of the pleats and of the piece
    # is said once, and of the half that was drawn.
    if copy and text.css not in _NAMES_OF_LINES:
        return None
    if asked.open_fold and text.css == "fold-edge-label":
        return None
    words = None
    if text.tag is not None and text.css in ("piece-label", "part-label"):
        words = said_on_paper(text.words, asked)
    letters = max(over.size, LEAST_LETTERS) if over.size < 1 else 1.0
    if _is_of_rows(text):
        letters = min(letters, ROW_ROOM * over.size)  # rows that stand close
    return BodyText(text, over, letters, asked.black, words if words != text.words else None, copy)


def _is_of_rows(text: ShownText) -> bool:
    # The name of a piece, and of an edge where it stands above its lengths: "HEM", "46 cm finished", "64 cm flat".
    return text.css in ("piece-label", "part-label") or (text.css == "edge-label" and ":" not in text.words)


_ON_ITSELF = 4.0
"""mm: words so near their own image stand on the fold edge, and once."""


def _stands_on_fold(text: ShownText, over: Map) -> bool:
    a, b, c, d, e, f = text.matrix
    chunk = text.chunks[0]
    at = complex(a * chunk.x + c * chunk.y + e, b * chunk.x + d * chunk.y + f)
    return abs(over.of(at) - at) < _ON_ITSELF


def said_on_paper(words: str, asked: Asked) -> str:
    """Return what a row of the piece's name or of the heading says where it is printed otherwise than it was drawn."""
    if asked.open_fold and "CUT" in words:
        words = words.replace(" ON THE FOLD", "")
    if asked.mirror:
        words = words.replace("RIGHT SIDE UP", "WRONG SIDE UP")
    if asked.scale != "1:1":
        words = re.sub(r" ?True size: [^.]*\.", "", words)
    return words


def _across_fold(shown: ShownResult) -> Map:
    # The reflection in the edge that is cut on the fold.
    shapes = [item for item in shown.body if isinstance(item, ShownShape)]
    edges = [shape for shape in shapes if shape.css == "fold-edge"]
    if not edges:
        raise FitError(
            f"'{shown.source}'",
            "has no edge that is cut on the fold",
            "only half a piece can be opened out",
            "Print it as it is: it is whole.",
        )
    if sum(shape.css == "seam-line" for shape in shapes) > 1:
        raise FitError(
            f"'{shown.source}'",
            "is cut on the fold and in several parts",
            "only a piece in one part can be opened out",
            "Print it as half; each part says how often it is cut.",
        )
    (start, *_), *_ = edges[0].strokes[0].segments
    end = edges[0].strokes[-1].segments[-1][-1]
    way = (end - start) / abs(end - start)
    turn = way * way
    return Map(turn, start - turn * start.conjugate(), True)


def _left_out(shown: ShownResult, names: Sequence[str]) -> set[int]:
    # What lies in layers that are left out: by the layer of its class, whichever pass it belongs to, or by the name of a
    # group around it. The words and signs of a line go with it.
    if not names:
        return set()
    ours = {layer.plain.casefold(): layer.id for layer in (*LAYERS, *LAYERS_ABOVE) if not layer.hidden}
    there = {_layer_of(item.tag) for item in shown.body if item.tag is not None}
    ours = {plain: layer for plain, layer in ours.items() if layer in there}
    theirs = {name.casefold() for item in shown.body for name in item.layers} - {
        name.casefold() for item in shown.body for name in item.layers if name.startswith("Piece: ")
    }
    found: set[int] = set()
    for asked in names:
        plain = " ".join(asked.split()).casefold()
        matches = [layer for name, layer in ours.items() if name == plain or name.split(":")[0] == plain]
        signs = {role.sign for role in Role if CLASSES[role.css].layer.id in matches}
        if not matches and plain not in theirs:
            raise RequestError(
                option("without"),
                f"names '{cut_short(asked)}'",
                f"it leaves out a layer of the drawing; {near_names(asked, sorted({*ours, *theirs}))}",
                "Give the name of a layer as the vector editor lists it.",
            )
        for item in shown.body:
            tag = item.tag
            if (
                plain in [name.casefold() for name in item.layers]
                or (tag is not None and _layer_of(tag) in matches)
                or (tag is not None and signs and (tag.line in signs or tag.role in {f"{s}-label" for s in signs}))
            ):
                found.add(id(item))
    return found


def _layer_of(tag: Tag) -> str:
    return CLASSES[tag.role].layer.id


def middle_of(box: tuple[float, float, float, float]) -> complex:
    """Return the middle of a box."""
    left, top, right, bottom = box
    return complex((left + right) / 2, (top + bottom) / 2)


def placed(text: BodyText, box: tuple[float, float, float, float]) -> tuple[complex, complex, complex]:
    """Return how words stand on paper: the middle of their box there, the unit vector along them, and their own middle.

    Where paper mirrors them they are turned to be read, about their middle.

    Args:
        text: on paper.
        box: that they take up in their own units, from the font's widths: left, top, right, bottom.
    """
    a, b, c, d, e, f = text.text.matrix
    own = middle_of(box)
    at = text.map.of(complex(a * own.real + c * own.imag + e, b * own.real + d * own.imag + f))
    along = text.map.way(complex(a, b))
    along /= abs(along)
    if text.map.flips:
        turn = math.radians(readable(along))
        along = complex(math.cos(turn), math.sin(turn))
    return at, along, own


def letters_of(text: BodyText) -> float:
    """Return how many mm on paper a unit of the text's letters is."""
    a, b, c, d, *_ = text.text.matrix
    return math.sqrt(abs(a * d - b * c)) * text.letters


def spans_of(text: BodyText, spans: tuple[Span, ...]) -> tuple[Span, ...]:
    """Return words as they are said on paper."""
    if text.words is not None and len(spans) == 1:
        spans = (spans[0]._replace(words=text.words),)
    return tuple([span._replace(colour=(0.0, 0.0, 0.0)) if text.black else span for span in spans])
