"""Lines told apart in black: each class by its own dashes and width, whatever its colour."""

from __future__ import annotations

from pleatsvg.result.classes import SEEN_OF
from pleatsvg.result.shown import BLACK, WHITE, Colour, Look, ShownShape

IN_BLACK: dict[str, tuple[float, tuple[float, ...]]] = {
    "cut-line": (1.0, ()),
    "seam-line": (0.6, (3, 1.5)),
    "fold-line": (0.7, (20, 1.5)),
    "placement-line": (0.6, (9, 2, 1.5, 2)),
    "inner-fold-line": (0.45, (0.8, 2)),
    "stitch-line": (0.6, (5, 1, 1, 1)),
    "baste-line": (0.4, (6, 4)),
    "edge-stitch-line": (0.4, (1.5, 1)),
    "stitch-down-line": (0.7, (4, 1.2, 1.2, 1.2, 1.2, 1.2)),
    "fold-edge": (0.5, (12, 3, 2, 3)),
    "fold-edge-run": (0.5, (3, 3)),
    "join-line": (0.6, (8, 1.5, 1, 1.5, 1, 1.5)),
    "grain-line": (0.35, (30, 1.2, 0.8, 1.2)),
    "balance-line": (0.35, (14, 1.5, 2, 1.5, 2, 1.5)),
}
"""Width and dashes in mm, no two alike; the cutting line alone is whole. What the person drew keeps its own dashes."""

_SEEN = {seen: of for of, seen in SEEN_OF.items()}

_PALE = 0.85
"""Lightness above which a line is drawn to cover, and not to be seen."""

_THIN = 0.35
"""mm. Of whole lines of the person's own, which are so told from the cutting line."""


def in_black(shape: ShownShape) -> Look:
    """Return how a shape is painted in black alone.

    Args:
        shape: of a result, or of its key, whose samples are called after their class.
    """
    look = shape.look
    css = shape.css.removeprefix("key-")
    css = _SEEN.get(css, css)
    width, dashes = look.width, look.dashes
    if css in IN_BLACK:
        width, dashes = IN_BLACK[css]
    elif shape.tag is None or css == "carried-line":
        width = look.width if dashes else min(look.width, _THIN)
    fill = look.fill and _grey(look.fill)
    stroke = look.stroke and (WHITE if _lightness(look.stroke) > _PALE else BLACK)
    return look._replace(stroke=stroke, fill=fill, width=width, dashes=dashes, phase=0.0)


def _lightness(colour: Colour) -> float:
    # ITU-R BT.709, as sRGB has it.
    red, green, blue = colour
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _grey(colour: Colour) -> Colour:
    value = _lightness(colour)
    return value, value, value
