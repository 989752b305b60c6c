"""A result as it is seen: every line, area and word that is drawn, in the order in which it is painted. All in mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from pleatsvg.geometry.segment import Segment
from pleatsvg.result.pattern_lines import Tag

Colour = tuple[float, float, float]
"""Red, green and blue, each from 0 to 1."""

BLACK: Colour = (0.0, 0.0, 0.0)
WHITE: Colour = (1.0, 1.0, 1.0)


class Look(NamedTuple):
    """How a shape is painted.

    Attributes:
        fill, stroke: None where it is not filled, or has no line.
        width: of the line, mm.
        dashes: lengths of dashes and gaps by turns, mm; empty for a whole line.
        phase: how far into the dashes the line begins, mm.
        cap, join: "butt", "round", "square"; "miter", "round", "bevel".
        mitre: how far a mitred corner may reach, as a multiple of the width.
        fill_opacity, stroke_opacity: 1 is solid.
        even_odd: whether the area is that which an odd number of lines lie round.
    """

    fill: Colour | None = None
    stroke: Colour | None = BLACK
    width: float = 0.35
    dashes: tuple[float, ...] = ()
    phase: float = 0.0
    cap: str = "butt"
    join: str = "miter"
    mitre: float = 4.0
    fill_opacity: float = 1.0
    stroke_opacity: float = 1.0
    even_odd: bool = False


class Stroke(NamedTuple):
    """A run of segments, end to end, and whether it is closed."""

    segments: tuple[Segment, ...]
    closed: bool


class Span(NamedTuple):
    """Words in one face, colour and size; `dx` and `dy` move on from the end of what stands before, user units."""

    words: str
    size: float
    bold: bool
    italic: bool
    colour: Colour
    opacity: float = 1.0
    dx: float = 0.0
    dy: float = 0.0


class Chunk(NamedTuple):
    """Words that are set from one place: `anchor` is "start", "middle" or "end"; in user units."""

    x: float
    y: float
    anchor: str
    spans: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class ShownShape:
    """A shape that is painted.

    Attributes:
        css: the first word of its class, or "".
        tag: what it says of itself where it is ours.
        name: what the person called it, or "".
        layers: the names of the groups around it, outermost first.
        strokes: of one element.
        look: how it is painted.
    """

    css: str
    tag: Tag | None
    name: str
    layers: tuple[str, ...]
    strokes: tuple[Stroke, ...]
    look: Look


@dataclass(frozen=True, slots=True)
class ShownText:
    """A text that is painted.

    Attributes:
        css, tag, layers: cf. `ShownShape`.
        words: all that it says, on one line.
        matrix: six numbers from its units to mm, never mirrored.
        chunks: its words with their places.
    """

    css: str
    tag: Tag | None
    layers: tuple[str, ...]
    words: str
    matrix: tuple[float, ...]
    chunks: tuple[Chunk, ...]


Shown = ShownShape | ShownText


@dataclass(frozen=True, slots=True)
class ShownResult:
    """A result as it is seen.

    Attributes:
        source: the file's name.
        title: of the drawing, or "".
        names: what its pieces are called.
        width, height: of the page, mm.
        body: all but the heading and the key, in the order of painting.
        heading: its rows.
        key: what stands in the key.
        hidden: what is not painted since it is hidden, by name.
        notes: remarks on the drawing.
    """

    source: str
    title: str
    names: tuple[str, ...]
    width: float
    height: float
    body: tuple[Shown, ...]
    heading: tuple[str, ...]
    key: tuple[Shown, ...]
    hidden: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
