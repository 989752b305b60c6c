"""Basic shapes to strokes: path, line, polyline, polygon, rect, circle and ellipse, in the element's own units."""

from __future__ import annotations

import math
import re

from lxml import etree

from pleatsvg.curve import Subpath, arc_cubics, path_strokes
from pleatsvg.drawing.affine import Affine
from pleatsvg.drawing.names import SVG
from pleatsvg.drawing.page import MM_PER_UNIT
from pleatsvg.errors import DrawingError
from pleatsvg.segment import Segment

SHAPES = frozenset(f"{{{SVG}}}{name}" for name in ("path", "line", "polyline", "polygon", "rect", "circle", "ellipse"))

_NUMBER = re.compile(r"[\s,]*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)")
_PLAIN = re.compile(r"-?\d{1,9}(?:\.\d{1,17})?$")
_LENGTH = re.compile(r"^\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*([a-zA-Z]*)\s*$")


def strokes_of(element: etree._Element, said: str, matrix: Affine) -> list[Subpath]:
    """Return the strokes of a shape element, in its own user units.

    Args:
        element: one of SHAPES.
        said: what it is called, for the message.
        matrix: from its units to mm, for the exactness of arcs.

    Raises:
        DrawingError: its data cannot be read.
    """
    match etree.QName(element).localname:
        case "path":
            return _path(element.get("d", ""), said, matrix)
        case "line":
            a = complex(_length(element, "x1", said), _length(element, "y1", said))
            b = complex(_length(element, "x2", said), _length(element, "y2", said))
            return [Subpath(((a, b),), False)]
        case "polyline":
            return _through(_points(element, said), closed=False)
        case "polygon":
            return _through(_points(element, said), closed=True)
        case "rect":
            return _rect(element, said, matrix)
        case "circle":
            r = _length(element, "r", said)
            return _round(element, said, r, r, matrix)
        case _:
            rx, ry = element.get("rx", "auto"), element.get("ry", "auto")
            across = _length(element, "rx", said) if rx != "auto" else _length(element, "ry", said)
            down = _length(element, "ry", said) if ry != "auto" else across
            return _round(element, said, across, down, matrix)


def _path(data: str, said: str, matrix: Affine) -> list[Subpath]:
    has_arcs = "A" in data or "a" in data
    return path_strokes(data, said, matrix.stretch if has_arcs else 1.0)


def _length(element: etree._Element, name: str, said: str) -> float:
    text = element.get(name)
    if text is None:
        return 0.0
    if _PLAIN.match(text):
        return float(text)
    match = _LENGTH.match(text)
    unit = match[2].casefold() if match else ""
    if match is None or unit not in MM_PER_UNIT or not math.isfinite(float(match[1])):
        raise DrawingError(
            said, f"has {name}='{text[:40]}'", "it must be a number of drawing units", "Draw the shape again as a path."
        )
    return float(match[1]) * (MM_PER_UNIT[unit] / MM_PER_UNIT["px"] if unit else 1.0)


def _points(element: etree._Element, said: str) -> list[complex]:
    text = element.get("points", "").rstrip()
    numbers: list[float] = []
    position = 0
    while position < len(text):
        match = _NUMBER.match(text, position)
        if match is None or not math.isfinite(float(match[1])):
            raise DrawingError(
                said, f"has points that cannot be read near '{text[position : position + 24]}'", "", "Draw the shape again."
            )
        numbers.append(float(match[1]))
        position = match.end()
    return [complex(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=False)]


def _through(points: list[complex], closed: bool) -> list[Subpath]:
    if len(points) < 2:
        return []
    legs: list[Segment] = list(zip(points, points[1:], strict=False))
    if closed:
        legs.append((points[-1], points[0]))
    return [Subpath(tuple(legs), closed)]


def _rect(element: etree._Element, said: str, matrix: Affine) -> list[Subpath]:
    x, y = _length(element, "x", said), _length(element, "y", said)
    w, h = _length(element, "width", said), _length(element, "height", said)
    if w <= 0 or h <= 0:
        return []
    rx_text, ry_text = element.get("rx", "auto"), element.get("ry", "auto")
    rx = _length(element, "rx", said) if rx_text != "auto" else None
    ry = _length(element, "ry", said) if ry_text != "auto" else None
    rx_used = min(rx if rx is not None else ry or 0.0, w / 2)
    ry_used = min(ry if ry is not None else rx or 0.0, h / 2)
    if rx_used <= 0 or ry_used <= 0:
        return _through([complex(x, y), complex(x + w, y), complex(x + w, y + h), complex(x, y + h)], closed=True)
    legs: list[Segment] = []
    quarter = math.pi / 2
    corners = (
        (complex(x + w - rx_used, y + ry_used), -quarter),
        (complex(x + w - rx_used, y + h - ry_used), 0.0),
        (complex(x + rx_used, y + h - ry_used), quarter),
        (complex(x + rx_used, y + ry_used), 2 * quarter),
    )
    for centre, start in corners:
        arc = arc_cubics(centre, rx_used, ry_used, 0.0, start, quarter, said, matrix.stretch)
        if legs and legs[-1][-1] != arc[0][0]:
            legs.append((legs[-1][-1], arc[0][0]))
        legs += arc
    legs.append((legs[-1][-1], legs[0][0]))
    return [Subpath(tuple(legs), True)]


def _round(element: etree._Element, said: str, rx: float, ry: float, matrix: Affine) -> list[Subpath]:
    if rx <= 0 or ry <= 0:
        return []
    centre = complex(_length(element, "cx", said), _length(element, "cy", said))
    return [Subpath(tuple(arc_cubics(centre, rx, ry, 0.0, 0.0, 2 * math.pi, said, matrix.stretch)), True)]
