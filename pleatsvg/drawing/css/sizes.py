"""Places and sizes of elements, which SVG 2 lets a style state as well as an attribute (section 7.2, and 9.3 for `d`)."""

from __future__ import annotations

import re
from collections.abc import Mapping

from lxml import etree

from pleatsvg.drawing.css.lengths import OF_FONTS, OF_WINDOWS, UNITS_PER, NoLengthError, css_length
from pleatsvg.errors import DrawingError

_INITIAL = {"d": "none"} | dict.fromkeys(("x", "y", "cx", "cy", "r"), "0")


_INITIAL |= dict.fromkeys(("width", "height", "rx", "ry"), "auto")


GEOMETRY = frozenset(_INITIAL)


_LONGEST = 200
"""Letters of an attribute with variables that is read: a length and its fallback."""


_PLAIN = re.compile(r"-?\d{1,9}(?:\.\d{1,17})?$", re.ASCII)


_DIMENSION = re.compile(r"^([-+]?)(?:\d+|\d*\.\d+)(?:[eE][-+]?\d+)?([a-zA-Z%]*)$", re.ASCII)


_UNITS = frozenset(UNITS_PER) | OF_FONTS | OF_WINDOWS | {"%", "em", "rem"}


_SIGNED = frozenset({"x", "y", "cx", "cy"})


_WHOLE_CSS = frozenset({"inherit", "initial", "unset", "revert", "revert-layer"})


_KEPT = frozenset(["auto", "min-content", "max-content", "fit-content", "stretch"])


def is_stated(name: str, value: str, bare: bool = True) -> bool:
    """Whether a browser takes a geometry property's value: what is none counts as not written.

    What is true to the grammar but not read (path data with a fault, functions that are not known) is taken, and refused
    where it is used. Numbers without a unit, other than 0, count in attributes alone (`bare`), of which `style` is one.
    """
    if value in _WHOLE_CSS or "(" in value:
        return True
    if name == "d":
        return value == "none"
    if value in _KEPT:
        return name not in _SIGNED and name != "r"
    match = _DIMENSION.match(value)
    if match is None or match[2].lower() not in _UNITS or (name not in _SIGNED and match[1] == "-"):
        return False
    return bare or bool(match[2]) or float(value) == 0


def initial(name: str) -> str:
    """Return the initial value of a geometry property."""
    return _INITIAL[name]


def stated(element: etree._Element, name: str, style: Mapping[str, str], otherwise: str = "") -> str:
    """Return a geometry property as text: from the style, else from the attribute, else `otherwise`."""
    value = style.get(name)
    if value is None:
        value = element.get(name)
    return otherwise if value is None else value


def length_in_units(element: etree._Element, name: str, whole: float, style: Mapping[str, str] | None = None) -> float:
    """Return a length that the style or else an attribute states, in user units; 0 where it is missing or "auto".

    Args:
        element: any element.
        name: of the attribute or property.
        whole: what 100 % of it is.
        style: of the element; None to go by the attribute alone.

    Raises:
        DrawingError: it is no length, or of a unit without a true size.
    """
    text = style.get(name) if style else None
    by_style = text is not None
    if text is None:
        text = element.get(name)
    if text is None:
        return 0.0
    if _PLAIN.match(text):
        return float(text)
    if text.strip() == "auto":
        return 0.0
    reason = ""
    try:
        if "var(" in text and not by_style and len(text) <= _LONGEST:
            from pleatsvg.drawing.css.variables import substituted

            text = substituted(text, style or {}) or "0"
        return css_length(text, whole, style)
    except NoLengthError as error:
        reason = error.reason
    from pleatsvg.drawing.names import given_name

    limit = "it must be a number of drawing units, or have mm, cm, in, pt, pc, px, em, rem or %"
    raise DrawingError(
        f"'{given_name(element) or etree.QName(element).localname}'",
        f"has {name}: {text[:40]} in its style" if by_style else f"has {name}='{text[:40]}'",
        f"{reason}; {limit}" if reason else limit,
        "Draw it again as a path.",
    )


def path_data(element: etree._Element, style: Mapping[str, str], said: str) -> str:
    """Return the data of a path: of `d: path("...")` in its style, else of its attribute.

    Raises:
        DrawingError: the style states it in another way.
    """
    value = style.get("d")
    if value is None:
        return element.get("d", "")
    if value == "none":
        return ""
    import tinycss2

    nodes = tinycss2.parse_component_value_list(value, skip_comments=True)
    if len(nodes) == 1 and nodes[0].type == "function" and nodes[0].lower_name == "path":
        inner = [node for node in nodes[0].arguments if node.type not in ("whitespace", "comment")]
        if len(inner) == 1 and inner[0].type == "string":
            return str(inner[0].value)
    raise DrawingError(
        said,
        f"has d: {value[:40]} in its style",
        'a style states path data as path("...")',
        "Open the drawing in a vector editor and save it again.",
    )
