"""The words of a text with their places: what stands from one place on, in which size, face and colour."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from lxml import etree

from pleatsvg.drawing.css.sizes import length_in_units
from pleatsvg.drawing.names import SVG
from pleatsvg.drawing.shown.colours import paint, share
from pleatsvg.errors import DrawingError
from pleatsvg.result.shown import BLACK, Chunk, Span

_SPACE = "{http://www.w3.org/XML/1998/namespace}space"

_TSPAN = f"{{{SVG}}}tspan"


@dataclass(frozen=True)
class _Style:
    # What a part of a text has from those around it.
    size: float = 16.0
    bold: bool = False
    italic: bool = False
    fill: str | None = None
    colour: str | None = None
    opacity: float = 1.0
    anchor: str = "start"
    preserve: bool = False


class _Piece:
    # A run of letters in one style, with the places that its element gives to the first of them.
    def __init__(self, text: str, style: _Style, places: dict[str, list[float]]) -> None:
        self.text = text
        self.style = style
        self.places = places


def chunks_of(markup: str) -> tuple[Chunk, ...]:
    """Return the words of a text with their places, in the text's own units.

    Args:
        markup: as `DrawnText` has it: a text element with its looks as attributes.
    """
    root = etree.fromstring(markup.replace("<text", f'<text xmlns="{SVG}"', 1))
    pieces = _without_idle_blanks(list(_pieces(root, _Style())))
    made: list[Chunk] = []
    at = 0j
    started = False
    for piece in pieces:
        many = max([len(values) for name, values in piece.places.items() if name in ("x", "y")], default=0)
        letters = list(piece.text) if many > 1 else [piece.text]
        for k, words in enumerate(letters):
            here = {name: values[k] for name, values in piece.places.items() if k < len(values)}
            if "x" in here or "y" in here or not started:
                at = complex(here.get("x", at.real), here.get("y", at.imag))
                at += complex(here.get("dx", 0.0), here.get("dy", 0.0))
                made.append(Chunk(at.real, at.imag, piece.style.anchor, ()))
                started = True
                here = {}
            elif "dy" in here:
                at += complex(0.0, here["dy"])
            span = _span(words, piece.style, here.get("dx", 0.0), here.get("dy", 0.0))
            if span is not None:
                made[-1] = made[-1]._replace(spans=(*made[-1].spans, span))
    return tuple([chunk for chunk in made if any(span.words.strip() for span in chunk.spans)])


def _span(words: str, style: _Style, dx: float, dy: float) -> Span | None:
    colour = paint(style.fill, style.colour, BLACK)
    if not words or colour is None:
        return None
    return Span(words, style.size, style.bold, style.italic, colour, style.opacity, dx, dy)


def _pieces(
    element: etree._Element, around: _Style, inherited: dict[str, list[float]] | None = None
) -> Iterator[_Piece]:
    style = _styled(element, around)
    places = dict(inherited or {})
    for name in ("x", "y", "dx", "dy"):
        values = _lengths(element.get(name), style.size)
        if values:
            places[name] = values
    if element.text:
        yield _Piece(element.text, style, places)
        places = {}
    for child in element:
        if child.tag == _TSPAN:
            yield from _pieces(child, style, places)
            if any(child.itertext()):
                places = {}
        if child.tail:
            yield _Piece(child.tail, style, places)
            places = {}


def _styled(element: etree._Element, around: _Style) -> _Style:
    own: dict[str, object] = {}
    size = _lengths(element.get("font-size"), around.size)
    if size and size[0] > 0:
        own["size"] = size[0]
    weight = element.get("font-weight")
    if weight:
        own["bold"] = weight in ("bold", "bolder") or (weight.isdigit() and int(weight) >= 600)
    slant = element.get("font-style")
    if slant:
        own["italic"] = slant.startswith(("italic", "oblique"))
    for name, key in (("fill", "fill"), ("color", "colour"), ("text-anchor", "anchor")):
        if element.get(name):
            own[key] = element.get(name)
    if element.get("fill-opacity") or element.get("opacity"):
        own["opacity"] = share(element.get("fill-opacity")) * share(element.get("opacity"))
    if element.get(_SPACE):
        own["preserve"] = element.get(_SPACE) == "preserve"
    return replace(around, **own)  # type: ignore[arg-type]


def _lengths(text: str | None, size: float) -> list[float]:
    # A list of places; one in em is a multiple of the letters' own size.
    found: list[float] = []
    for word in (text or "").replace(",", " ").split():
        em = re.fullmatch(r"([-+\d.eE]+)em", word)
        try:
            found.append(float(em[1]) * size if em else length_in_units(etree.Element("text", {"n": word}), "n", 100.0))
        except (DrawingError, ValueError):
            return found
    return found


def _without_idle_blanks(pieces: list[_Piece]) -> list[_Piece]:
    # SVG 1.1, section 10.15: line breaks and tabs are blanks, several are one, none stand at the ends.
    behind_blank = True
    for piece in pieces:
        if piece.style.preserve:
            piece.text = re.sub(r"[\n\r\t]", " ", piece.text)
            behind_blank = False
            continue
        text = re.sub(r"[\n\r\t ]+", " ", piece.text)
        if "x" in piece.places or "y" in piece.places:
            behind_blank = True
        if behind_blank:
            text = text.lstrip(" ")
        piece.text = text
        if text:
            behind_blank = text.endswith(" ")
    kept = [piece for piece in pieces if piece.text]
    if kept and not kept[-1].style.preserve:
        kept[-1].text = kept[-1].text.rstrip(" ")
    return [piece for piece in kept if piece.text]
