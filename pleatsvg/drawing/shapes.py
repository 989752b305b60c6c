"""Basic shapes to strokes: path, line, polyline, polygon, rect, circle and ellipse, in the element's own units."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable, Mapping

from lxml import etree

from pleatsvg.drawing.css.sizes import length_in_units, path_data, stated
from pleatsvg.drawing.path_data import MOST_SEGMENTS, Subpath, arc_cubics, path_strokes, too_many
from pleatsvg.errors import DrawingError
from pleatsvg.geometry.segment import Segment

_NUMBER = re.compile(r"\s*,?\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)", re.ASCII)


def strokes_of(
    element: etree._Element,
    said: str,
    mm_per_unit: Callable[[], float],
    width: float,
    height: float,
    style: Mapping[str, str],
) -> list[Subpath]:
    """Return the strokes of a shape element, in its own user units.

    Args:
        element: a basic shape or a path.
        said: what it is called, for the message.
        mm_per_unit: gives the largest stretch to mm, for the exactness of arcs.
        width, height: of the nearest viewport, for percentages.
        style: its own, which may state its geometry.

    Raises:
        DrawingError: its data cannot be read.
    """
    match str(element.tag).rpartition("}")[2]:
        case "path":
            data = path_data(element, style, said)
            has_arcs = "A" in data or "a" in data
            return path_strokes(data, said, mm_per_unit() if has_arcs else 1.0)
        case "line":
            a = complex(length_in_units(element, "x1", width, style), length_in_units(element, "y1", height, style))
            b = complex(length_in_units(element, "x2", width, style), length_in_units(element, "y2", height, style))
            return [Subpath(((a, b),), False)]
        case "polyline":
            return _through(_points(element, said), closed=False)
        case "polygon":
            return _through(_points(element, said), closed=True)
        case "rect":
            return _rect(element, said, mm_per_unit, width, height, style)
        case "circle":
            # SVG 2, section 8.9: percentages of what is neither across nor down are of the viewport's diagonal / sqrt 2.
            r = length_in_units(element, "r", math.hypot(width, height) / math.sqrt(2), style)
            return _round(element, said, (r, r), mm_per_unit, width, height, style)
        case _:
            rx, ry = stated(element, "rx", style, "auto"), stated(element, "ry", style, "auto")
            across = (
                length_in_units(element, "rx", width, style)
                if rx != "auto"
                else length_in_units(element, "ry", height, style)
            )
            down = length_in_units(element, "ry", height, style) if ry != "auto" else across
            return _round(element, said, (across, down), mm_per_unit, width, height, style)


def _points(element: etree._Element, said: str) -> list[complex]:
    text = element.get("points", "").rstrip()
    numbers: list[float] = []
    position = 0
    while position < len(text):
        match = _NUMBER.match(text, position)
        if match is None or not math.isfinite(float(match[1])):
            raise DrawingError(
                said,
                f"has points that cannot be read near '{text[position : position + 24]}'",
                "",
                "Draw the shape again.",
            )
        numbers.append(float(match[1]))
        position = match.end()
        if len(numbers) > 2 * MOST_SEGMENTS:
            raise too_many(said)
    if len(numbers) % 2:
        raise DrawingError(
            said,
            f"has {len(numbers)} numbers in its points, the last of them near '{text[-24:]}'",
            "every point has two",
            "Draw the shape again.",
        )
    return [complex(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]


def _through(points: list[complex], closed: bool) -> list[Subpath]:
    if len(points) < 2:
        return []
    legs: list[Segment] = list(itertools.pairwise(points))
    if closed:
        legs.append((points[-1], points[0]))
    return [Subpath(tuple(legs), closed)]


def _rect(
    element: etree._Element,
    said: str,
    mm_per_unit: Callable[[], float],
    width: float,
    height: float,
    style: Mapping[str, str],
) -> list[Subpath]:
    x, y = length_in_units(element, "x", width, style), length_in_units(element, "y", height, style)
    w, h = length_in_units(element, "width", width, style), length_in_units(element, "height", height, style)
    if w <= 0 or h <= 0:
        return []
    rx_text, ry_text = stated(element, "rx", style, "auto"), stated(element, "ry", style, "auto")
    rx = length_in_units(element, "rx", width, style) if rx_text != "auto" else None
    ry = length_in_units(element, "ry", height, style) if ry_text != "auto" else None
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
        arc = arc_cubics(centre, rx_used, ry_used, 0.0, start, quarter, said, mm_per_unit())
        if legs and legs[-1][-1] != arc[0][0]:
            legs.append((legs[-1][-1], arc[0][0]))
        legs += arc
    legs.append((legs[-1][-1], legs[0][0]))
    return [Subpath(tuple(legs), True)]


def _round(
    element: etree._Element,
    said: str,
    radii: tuple[float, float],
    mm_per_unit: Callable[[], float],
    width: float,
    height: float,
    style: Mapping[str, str],
) -> list[Subpath]:
    rx, ry = radii
    if rx <= 0 or ry <= 0:
        return []
    centre = complex(length_in_units(element, "cx", width, style), length_in_units(element, "cy", height, style))
    return [Subpath(tuple(arc_cubics(centre, rx, ry, 0.0, 0.0, 2 * math.pi, said, mm_per_unit())), True)]
