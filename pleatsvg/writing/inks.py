"""The inks of the classes as attributes of SVG."""

from __future__ import annotations

from functools import cache

from pleatsvg.result.classes import CLASSES, PLAIN, SNIP, Ink
from pleatsvg.result.roles import sign_ink
from pleatsvg.writing.stencil import Style

FONT = "Arial, Helvetica, Liberation Sans, DejaVu Sans, sans-serif"


UNSEEN: Style = (("fill", "none"), ("stroke", "none"))
"""Of a line that is folded along whole and shown in part: what is seen of it is a stroke of its own."""


@cache
def style_of(ink: Ink) -> Style:
    """Return the attributes of a line drawn in an ink."""
    if ink.filled:
        return (("fill", ink.colour), ("stroke", "none"))
    style = (("fill", "none"), ("stroke", ink.colour), ("stroke-width", ink.width))
    return (*style, ("stroke-dasharray", ink.dashes)) if ink.dashes else style


def line_style(name: str) -> Style:
    """Return the attributes of a line of a class."""
    ink = CLASSES[name].ink
    return style_of(ink if ink is not None else PLAIN)


def mark_style(name: str, of: str, snip: bool) -> Style:
    """Return the attributes of a mark.

    Args:
        name: its class.
        of: the line that it belongs to, as marks name it, or "".
        snip: whether it is a notch of one stroke, to be snipped.
    """
    if snip:
        return style_of(SNIP)
    return style_of(sign_ink(of) or CLASSES[name].ink or PLAIN)
