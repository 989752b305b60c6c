"""Reading a drawing: every shape and text on it resolved to millimetres, under its name and with its part."""

from __future__ import annotations

import math
import os
from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from lxml import etree

from pleatsvg.drawing.affine import IDENTITY, Affine
from pleatsvg.drawing.css.cascade import StyleSheets, is_plain
from pleatsvg.drawing.css.sizes import length_in_units
from pleatsvg.drawing.css.taken import MOVING
from pleatsvg.drawing.css.transforms import Box, stated_origin, transform_about
from pleatsvg.drawing.drawn import Drawing, DrawnShape, DrawnText, PageFacts
from pleatsvg.drawing.names import SVG, tidy
from pleatsvg.drawing.path_data import Subpath, Tally
from pleatsvg.drawing.scale import MM_PER_UNIT, page_of, view_box_of
from pleatsvg.drawing.shapes import strokes_of
from pleatsvg.drawing.source import bytes_of, root_of
from pleatsvg.drawing.tags import tag_of
from pleatsvg.drawing.texts import text_of
from pleatsvg.drawing.walk import SHAPES, Leaf, Walk, said_of
from pleatsvg.errors import DrawingError
from pleatsvg.geometry.segment import Segment, extent_of
from pleatsvg.length import Length, show_far
from pleatsvg.result.classes import is_ours
from pleatsvg.result.pattern_lines import Tag
from pleatsvg.tolerance import FARTHEST, ON_LINE

_MOST_LEGS = 100
"""Legs of a line drawn there and back; what has more is an outline."""


_TITLE = f"{{{SVG}}}title"


def read_drawing(path: str | os.PathLike[str], unit_is: Length | None = None, shows_wrong: bool = False) -> Drawing:
    """Read a drawing from a file.

    Args:
        path: an SVG file, packed or not.
        unit_is: what one drawing unit measures, where the person knows better than the file.
        shows_wrong: the drawing shows the wrong side of the cloth; it is mirrored.

    Raises:
        DrawingError: it is missing, is no SVG, or holds something that cannot be read.
    """
    file = Path(path)
    return replace(drawing_from(bytes_of(file), file.name, unit_is, shows_wrong), file=str(file.absolute()))


def drawing_from(data: bytes, source: str, unit_is: Length | None = None, shows_wrong: bool = False) -> Drawing:
    """Read a drawing from the bytes of a file; cf. `read_drawing`. `source` is its name, for messages."""
    root, remarks = root_of(data, source)
    walk, page, notes = walked(root, unit_is, shows_wrong)
    shapes: list[DrawnShape] = []
    texts: list[DrawnText] = []
    families: dict[str, int] = {}
    tally = Tally()
    for leaf in walk.leaves:
        here = leaf.here
        try:
            if leaf.element.tag in SHAPES:
                shapes += _drawn(leaf, families, tag_of(leaf.element, is_ours, len(shapes)), tally)
            else:
                tag = tag_of(leaf.element, is_ours)
                text = text_of(leaf.element, here.group, here.matrix, here.style, walk.sheets, tag)
                if text is not None:
                    texts.append(text)
        except OverflowError:  # numbers that are finite, but whose distance is not
            raise _too_far(f"'{said_of(leaf.element)}'", math.inf) from None
    title = next((child.text or "" for child in root if child.tag == _TITLE), "")
    return Drawing(source, "", tidy(title), page, tuple(shapes), tuple(texts), tuple(walk.left_out), (*remarks, *notes))


def walked(
    root: etree._Element,
    unit_is: Length | None = None,
    shows_wrong: bool = False,
    hidden_too: bool = False,
    furniture_too: bool = False,
) -> tuple[Walk, PageFacts, list[str]]:
    """Walk over a drawing and return the walk, the page and remarks.

    Args:
        root: the outermost svg element.
        unit_is: what one drawing unit measures, where the person knows better than the file.
        shows_wrong: the drawing shows the wrong side of the cloth; it is mirrored.
        hidden_too: follow hidden layers as well.
        furniture_too: follow the heading and the key of a result as well.
    """
    sheets = StyleSheets(root)
    style = sheets.of(root, {})
    matrix, page, notes = page_of(root, style, unit_is)
    box = view_box_of(root, "The drawing")
    width, height = (box[2], box[3]) if box else (page.width_mm / page.mm_per_unit, page.height_mm / page.mm_per_unit)
    turned = _whole_transform(root, style, page)
    if turned is not None:
        matrix = turned @ matrix
        page = replace(page, mm_per_unit=page.mm_per_unit * math.sqrt(abs(turned.a * turned.d - turned.b * turned.c)))
        notes.append("The drawing as a whole is moved, turned or scaled by its transform, as browsers show it.")
    if shows_wrong:
        matrix = Affine(-1, 0, 0, 1, page.width_mm, 0) @ matrix
    walk = Walk(root, sheets, extent_in_units, hidden_too, furniture_too)
    walk.run(matrix, style, width, height)
    notes += walk.notes()
    return walk, page, notes


def _whole_transform(root: etree._Element, style: Mapping[str, str], page: PageFacts) -> Affine | None:
    # The outermost svg is a box of CSS: its transform is in px of the page, outside the viewBox, about the page's middle.
    attribute = root.get("transform")
    if not attribute and style.keys().isdisjoint(MOVING):
        return None
    said = "The drawing"
    px = MM_PER_UNIT["px"]
    box = Box(0.0, 0.0, page.width_mm / px, page.height_mm / px)
    origin = stated_origin(style, root.get("transform-origin")) or "50% 50%"
    inner = transform_about(attribute, style, origin, box, said)
    found = Affine(px, 0, 0, px, 0, 0) @ inner @ Affine(1 / px, 0, 0, 1 / px, 0, 0)
    if found == IDENTITY:
        return None
    if found.is_flat:
        raise DrawingError(said, "is squashed flat by its transform", "a transform must keep an area", "Undo it.")
    return found


def extent_in_units(
    element: etree._Element, said: str, style: Mapping[str, str], width: float, height: float
) -> Box | None:
    """Return a shape's own box in its user units, or None where it draws nothing."""
    boxes = [
        extent_of(seg)
        for stroke in strokes_of(element, said, lambda: 1.0, width, height, style)
        for seg in stroke.segments
    ]
    if not boxes:
        return None
    left, top = min(b[0] for b in boxes), min(b[1] for b in boxes)
    return Box(left, top, max(b[2] for b in boxes) - left, max(b[3] for b in boxes) - top)


def _drawn(leaf: Leaf, families: dict[str, int], tag: Tag | None, tally: Tally) -> list[DrawnShape]:
    element, name, here = leaf.element, leaf.name, leaf.here
    kind = str(element.tag).rpartition("}")[2]
    said = f"'{name}'" if name else f"'{said_of(element)}'"
    matrix = here.matrix
    strokes = strokes_of(element, said, lambda: matrix.stretch, here.width, here.height, here.style)
    tally.add(strokes, said)
    family = here.family or name or kind
    found: list[DrawnShape] = []
    look = look_of(here.style, math.sqrt(abs(matrix.a * matrix.d - matrix.b * matrix.c)))
    for number, stroke in enumerate(strokes, 1):
        segments = joined(stroke, matrix, said)
        if not segments and here.part == "slash" and stroke.segments:
            spot = matrix.of(stroke.segments[0][0])
            segments = ((spot, spot),)  # refused by its name later on, rather than left out in silence
        if not segments:
            continue
        families[family] = families.get(family, 0) + 1
        own = f"{name} {number}" if name and len(strokes) > 1 else name
        if not own:
            around = leaf.around.family or kind
            own = f"{around} {families[family]}"
        closed = stroke.closed or abs(segments[0][0] - segments[-1][-1]) <= ON_LINE
        if closed and here.part != "seam" and (line := _there_and_back(segments)) is not None:
            segments, closed = (line,), False
        found.append(DrawnShape(own, family, None if tag else here.part, segments, closed, here.group, look, tag))
    return found


def _there_and_back(segments: tuple[Segment, ...]) -> Segment | None:
    # Some writers close every path: "M a L b Z" is the line from a to b, and encloses nothing, with nodes on the way or not.
    start = segments[0][0]
    if not 2 <= len(segments) <= _MOST_LEGS or segments[-1][-1] != start or any(len(seg) != 2 for seg in segments):
        return None
    end = max([seg[1] for seg in segments], key=lambda z: abs(z - start))
    if len(segments) == 2:
        return start, end
    way = (end - start).conjugate() / abs(end - start)
    places = [(seg[1] - start) * way for seg in segments]
    straight = all(abs(place.imag) <= ON_LINE and place.real >= -ON_LINE for place in places)
    return (start, end) if straight else None


_INKS = (
    "fill",
    "fill-opacity",
    "fill-rule",
    "stroke",
    "stroke-opacity",
    "stroke-linecap",
    "stroke-linejoin",
    "opacity",
)


_LINE_WORK = (*_INKS, "stroke-width", "stroke-dasharray")


def look_of(style: Mapping[str, str], mm_per_unit: float) -> tuple[tuple[str, str], ...]:
    """Return line work as (property, value) pairs, lengths in mm; paints that lie elsewhere in the drawing are left out."""
    return _look_of(tuple([style.get(name) for name in _LINE_WORK]), mm_per_unit)


@lru_cache(maxsize=256)
def _look_of(values: tuple[str | None, ...], mm_per_unit: float) -> tuple[tuple[str, str], ...]:
    style = {name: value for name, value in zip(_LINE_WORK, values, strict=True) if value is not None}
    look = [(name, style[name]) for name in _INKS if name in style and is_plain(style[name])]
    if "fill" in style and not is_plain(style["fill"]):
        look.append(("fill", "none"))  # better seen through than solid black
    if "stroke" in style or "stroke-width" in style:
        look.append(("stroke-width", _scaled(style.get("stroke-width", "1"), mm_per_unit) or "0.35"))
    dashes = style.get("stroke-dasharray", "none")
    if dashes != "none":
        lengths = [_scaled(word, mm_per_unit) for word in dashes.replace(",", " ").split()]
        if lengths and all(lengths):
            look.append(("stroke-dasharray", " ".join(lengths)))
    return tuple(look)


def _scaled(word: str, mm_per_unit: float) -> str:
    try:
        value = length_in_units(etree.Element("look", {"length": word}), "length", 0.0)
    except DrawingError:
        return ""
    return f"{value * mm_per_unit:.4g}" if value >= 0 else ""


def joined(stroke: Subpath, matrix: Affine, said: str) -> tuple[Segment, ...]:
    """Return a stroke in mm: what has no length is dropped, each segment begins exactly where the one before ends."""
    made: list[Segment] = []
    start = matrix.of(stroke.segments[0][0]) if stroke.segments else 0j
    if not abs(start) <= FARTHEST:  # so asked, a number that is none is refused, too
        raise _too_far(said, abs(start))
    for rest in matrix.of_segments(stroke.segments):
        for z in rest:
            if not abs(z) <= FARTHEST:
                raise _too_far(said, max(map(abs, rest)))
        if abs(rest[-1] - start) <= ON_LINE and max([abs(z - start) for z in rest]) <= ON_LINE:
            continue
        made.append((start, *rest))
        start = rest[-1]
    return tuple(made)


def _too_far(said: str, reach: float) -> DrawingError:
    return DrawingError(
        said,
        f"reaches {show_far(reach)} from the corner of the page",
        f"drawings go up to {FARTHEST / 1000:.0f} m",
        "Check the drawing's scale, and look for a point that was thrown far off.",
    )
