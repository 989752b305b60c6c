"""What an element of a result says of itself: its class and its data-*, read in this one place."""

from __future__ import annotations

import math
from collections.abc import Callable

from lxml import etree

from pleatsvg.drawing.names import SVG, tidy
from pleatsvg.errors import DrawingError
from pleatsvg.result.classes import CREASES, SEEN_OF
from pleatsvg.result.pattern_lines import Tag

OWN_WORDS = "carried-text"
"""Class of the group that a text of the person's own stands in."""


def piece_around(element: etree._Element) -> etree._Element | None:
    """Return the group of class "piece" in which an element of a result stands, or None."""
    for around in element.iterancestors(f"{{{SVG}}}g"):
        if "piece" in (around.get("class") or "").split() and around.get("data-piece") is not None:
            return around
    return None


def piece_name(group: etree._Element) -> str:
    """Return what a piece of a result is called."""
    return tidy(group.get("data-piece") or "")


def own_words_around(element: etree._Element) -> etree._Element | None:
    """Return the group of class "carried-text" in which a text that the person wrote stands, or None."""
    return next(
        (around for around in element.iterancestors(f"{{{SVG}}}g") if OWN_WORDS in (around.get("class") or "").split()),
        None,
    )


def tag_of(element: etree._Element, wanted: Callable[[str], bool], stroke: int = 0) -> Tag | None:
    """Return what a pattern line, a mark or a label of our own results says of itself; None for all else.

    Args:
        element: a shape or a text.
        wanted: whether a class is asked for.
        stroke: to tell the strokes of one element from those of another.

    Raises:
        DrawingError: a number of it is none.
    """
    said = element.get("class")
    if not said:
        return None
    role = next((word for word in said.split() if wanted(word)), None)
    if role is None:
        return None
    around = piece_around(element)
    if around is None:
        return None
    pass_, pleat = (_whole(element, name, role) for name in ("data-pass", "data-pleat"))
    return Tag(
        role,
        pass_ or 1,
        pleat,
        tuple([_number(word, "data-fold", role) for word in (element.get("data-fold") or "").split()]),
        tidy(element.get("data-kind") or ""),
        tidy(element.get("data-lap") or ""),
        role in CREASES or element.get("data-crease") is not None,
        tidy(element.get("data-line") or ""),
        tidy(element.get("data-end") or ""),
        role in SEEN_OF and element.get("data-seen") == "part",
        stroke,
        piece_name(around),
        tidy(element.get("data-way") or ""),
        tidy(element.get("data-join") or ""),
        stated_number(element.get("data-allowance-mm")),
        stated_number(element.get("data-at-mm")),
        tidy(element.get("data-of") or ""),
        tidy(element.get("data-zone") or ""),
        _stretch(element.get("data-stitched-mm")),
        tidy(element.get("data-level") or ""),
    )


def stated_number(text: str | None) -> float | None:
    """Return a figure that a result states in an attribute; None where it states none, or what is no number."""
    try:
        value = float(text) if text and len(text) <= 32 else math.nan
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _stretch(text: str | None) -> tuple[float, float] | None:
    # From where to where on a line, in mm from its top; None where that is not stated, or no stretch.
    ends = [stated_number(word) for word in (text or "").split()]
    if len(ends) != 2 or ends[0] is None or ends[1] is None or not 0.0 <= ends[0] < ends[1]:
        return None
    return ends[0], ends[1]


def _whole(element: etree._Element, name: str, role: str) -> int:
    text = (element.get(name) or "").strip()
    return _number(text, name, role) if text else 0


def _number(text: str, name: str, role: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 6):
        raise DrawingError(
            f"A {role.replace('-', ' ')}",
            f"has {name} '{text[:40]}'",
            "it must be a whole number",
            "Take the line from a fresh result; this mark tells which pleat it belongs to.",
        )
    return int(text)
