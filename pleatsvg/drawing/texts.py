"""Texts on a drawing, copied so that they can be carried: their words and how they look, and nothing that acts.

Only text and tspan with their places come along; scripts, events, links and animations never do.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping

from lxml import etree

from pleatsvg.drawing.affine import Affine
from pleatsvg.drawing.css.cascade import INHERITED, StyleSheets, is_plain
from pleatsvg.drawing.css.conditions import unmet
from pleatsvg.drawing.css.lengths import ROOT_SIZE
from pleatsvg.drawing.css.sizes import length_in_units
from pleatsvg.drawing.drawn import DrawnText
from pleatsvg.drawing.names import SVG, tidy
from pleatsvg.errors import DrawingError
from pleatsvg.geometry.motion import bearing
from pleatsvg.result.earlier import EarlierWords
from pleatsvg.result.lettering import CAPITALS
from pleatsvg.result.pattern_lines import Tag

_PLACES = ("x", "y", "dx", "dy", "rotate", "textLength", "lengthAdjust")


_LOOKS = tuple(sorted((INHERITED - {"visibility", "color", ROOT_SIZE}) | {"opacity"}))


_SPACE = "{http://www.w3.org/XML/1998/namespace}space"


_TSPAN = f"{{{SVG}}}tspan"


_SWAPPED = {"start": "end", "end": "start"}


_WRITTEN = frozenset(f"{{{SVG}}}{name}" for name in ("tspan", "a", "textPath"))


_NO_NUMBER = re.compile("nan|inf", re.IGNORECASE)


_PLAIN = re.compile(r"-?[0-9]{1,9}(\.[0-9]{1,9})?")
"""A number of user units, as nearly all places and sizes are."""


LONGEST = 20_000
"""Characters of one text that are carried; more is a document, not a label."""


def text_of(
    element: etree._Element,
    group: str,
    matrix: Affine,
    style: Mapping[str, str],
    sheets: StyleSheets,
    tag: Tag | None = None,
) -> DrawnText | None:
    """Return a text element as it can be carried, or None where it says nothing.

    A text that the drawing's transforms mirror is turned the right way round about its own start.

    Args:
        element: a text element.
        group: the group that it stands in.
        matrix: from its user units to mm on the page.
        style: resolved.
        sheets: the drawing's style sheets, for the parts of the text.
        tag: what a label of our own result says of itself, or None.
    """
    words = _words_of(element)
    if not words:
        return None
    x, y = _start(element)
    mirrored = matrix.a * matrix.d - matrix.b * matrix.c < 0
    copy = _copied(element, style, {}, sheets)
    if mirrored:
        # Keep the line of writing where it runs from left to right on the page, else turn it round.
        if matrix.a >= 0:
            matrix = matrix @ Affine(1, 0, 0, -1, 0, 2 * y)
        else:
            matrix = matrix @ Affine(-1, 0, 0, 1, 2 * x, 0)
            anchor = style.get("text-anchor", "start")
            copy.set("text-anchor", _SWAPPED.get(anchor, anchor))
    size = _size(style)
    left, width = _extent(element, x, size, copy.get("text-anchor"))
    corners = [
        complex(left + dx, y + dy) for dx, dy in ((0, -size), (width, -size), (width, 0.3 * size), (0, 0.3 * size))
    ]
    markup = etree.tostring(copy, encoding="unicode", with_tail=False).replace(f' xmlns="{SVG}"', "", 1)
    return DrawnText(
        name=words if len(words) <= 48 else f"{words[:45].rstrip()}...",
        words=words,
        group=group,
        start=matrix.of(complex(x, y)),
        matrix=tuple(matrix),
        box=tuple([matrix.of(z) for z in corners]),
        markup=markup,
        earlier=None if tag is None else _label(tag, words, matrix, size, complex(left + width / 2, y)),
    )


def label_of(
    element: etree._Element, matrix: Affine, style: Mapping[str, str], sheets: StyleSheets, tag: Tag
) -> EarlierWords | None:
    """Return what a label of our own result says and where, as `text_of` has it, without a copy to be carried."""
    words = _words_of(element)
    if not words:
        return None
    if matrix.a * matrix.d - matrix.b * matrix.c < 0:
        text = text_of(element, "", matrix, style, sheets, tag)
        return None if text is None else text.earlier
    x, y = _start(element)
    size = _size(style)
    left, width = _extent(element, x, size, style.get("text-anchor"))
    return _label(tag, words, matrix, size, complex(left + width / 2, y))


def _words_of(element: etree._Element) -> str:
    # All that a text says; nothing where that is more than a label can be.
    words = tidy(_words_within(element))
    return "" if len(words) > LONGEST else words


def _extent(element: etree._Element, x: float, size: float, anchor: str | None) -> tuple[float, float]:
    # For keeping other words clear of it: an estimate of where it begins and of the width it takes, in its own units.
    width = 0.6 * size * max(len(line) for line in _lines(element))
    return x - {"middle": width / 2, "end": width}.get(anchor or "start", 0.0), width


def _label(tag: Tag, words: str, matrix: Affine, size: float, base: complex) -> EarlierWords:
    # A label of ours is placed by its middle, half-way up its capitals.
    way = complex(matrix.a, matrix.b)
    scale = abs(way)
    middle = matrix.of(base - 0.5j * CAPITALS * size)
    return EarlierWords(tag, words, middle, math.degrees(bearing(way)), size * scale)


def _words_within(element: etree._Element) -> str:
    parts = [element.text or ""]
    for child in element:
        if child.tag in _WRITTEN and not unmet(child):
            parts.append(_words_within(child))
        parts.append(child.tail or "")
    return "".join(parts)


def _start(element: etree._Element) -> tuple[float, float]:
    # Where the writing starts; a place in em or the like counts as 0: it only matters for which panel the text is on.
    found: list[float] = []
    for name in ("x", "y"):
        stated = [part.get(name) for part in element.iter(f"{{{SVG}}}text", f"{{{SVG}}}tspan")]
        first = next((text.replace(",", " ").split()[0] for text in stated if text and text.split()), "0")
        found.append(_number(first, 0.0))
    return found[0], found[1]


def _number(text: str, otherwise: float) -> float:
    if _PLAIN.fullmatch(text):
        return float(text)
    try:
        return length_in_units(etree.Element("text", {"n": text}), "n", 100.0)
    except DrawingError:
        return otherwise


def _size(style: Mapping[str, str]) -> float:
    return _number(style.get("font-size", "16"), 16.0) or 16.0


def _lines(element: etree._Element) -> list[str]:
    lines = [" ".join(_words_within(part).split()) for part in _outermost(element)]
    return [*lines, " ".join((element.text or "").split())]


def _outermost(element: etree._Element) -> Iterator[etree._Element]:
    # The parts of a text that lie in no other part: a part within one is no longer than that.
    for child in element:
        if child.tag == _TSPAN:
            yield child
        else:
            yield from _outermost(child)


def _copied(
    element: etree._Element,
    style: Mapping[str, str],
    around: Mapping[str, str],
    sheets: StyleSheets,
    within: etree._Element | None = None,
) -> etree._Element:
    attributes = {
        name: value for name in _PLACES if (value := element.get(name)) is not None and not _NO_NUMBER.search(value)
    }
    attributes |= {name: style[name] for name in _LOOKS if name in style and style[name] != around.get(name)}
    if element.get(_SPACE) == "preserve":
        attributes[_SPACE] = "preserve"
    attributes = {name: value for name, value in attributes.items() if is_plain(value)}
    if within is not None:
        copy = etree.SubElement(within, _TSPAN, attributes)
    else:
        copy = etree.Element(f"{{{SVG}}}text", attributes, nsmap={None: SVG})  # type: ignore[dict-item]
    copy.text = element.text
    last: etree._Element | None = None
    for child in element:
        if child.tag in _WRITTEN and not unmet(child):
            inner = sheets.of(child, style)
            if inner.get("display") != "none":
                last = _copied(child, inner, style, sheets, copy)
        tail = child.tail or ""
        if last is None:
            copy.text = (copy.text or "") + tail
        else:
            last.tail = (last.tail or "") + tail
    return copy
