"""Lengths as CSS writes them: with units, in em, and as calc(), min(), max() and clamp() of lengths and shares.

CSS Values 4, sections 6 and 10. What depends on a font that nobody can know (ex, ch) or on the window that the drawing is
shown in (vw, vh) has no true size, and is refused.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any, NamedTuple

UNITS_PER = {
    "": 1.0,
    "px": 1.0,
    "mm": 96 / 25.4,
    "cm": 96 / 2.54,
    "q": 24 / 25.4,
    "in": 96.0,
    "pt": 96 / 72,
    "pc": 16.0,
}
"""User units to the unit: W3C CSS Values 3, section 6.2."""


OF_FONTS = frozenset(["ex", "rex", "ch", "rch", "ic", "ric", "cap", "rcap", "lh", "rlh"])


OF_WINDOWS = frozenset(
    [f"{which}v{way}" for which in ("", "s", "l", "d") for way in ("w", "h", "i", "b", "min", "max")]
    + [f"cq{way}" for way in ("w", "h", "i", "b", "min", "max")]
)


ROOT_SIZE = "root font-size"
"""Among the styles of an element: the font size of the drawing's root, where it is not 16 px. No property is called so."""


FONT_SIZE = 16.0
"""px, where nothing else is said: what browsers start from."""


_SIMPLE = re.compile(r"^([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)([a-zA-Z%]*)$", re.ASCII)


_DEEPEST = 30


_LONGEST = 1_000
"""Letters of one length."""


class NoLengthError(Exception):
    """A text is no length that has one true size; `reason` says why, and may be empty."""

    def __init__(self, reason: str = "") -> None:
        super().__init__(reason)
        self.reason = reason


class _Value(NamedTuple):
    number: float
    is_length: bool


def css_length(text: str, whole: float | None, style: Mapping[str, str] | None = None) -> float:
    """Return a length in user units (px); a bare number is in user units.

    Args:
        text: as written.
        whole: what 100 % of it is; None where that is not known.
        style: of the element, for em and rem.

    Raises:
        NoLengthError: it is none, or has no true size.
    """
    if len(text) > _LONGEST:
        raise NoLengthError
    stripped = text.strip()
    match = _SIMPLE.match(stripped)
    if match is not None:
        return _finite(_dimension(float(match[1]), match[2].lower(), whole, style or {}).number)
    if "(" not in stripped:
        raise NoLengthError
    import tinycss2

    nodes = [n for n in tinycss2.parse_component_value_list(stripped, skip_comments=True) if n.type != "whitespace"]
    if len(nodes) != 1 or nodes[0].type != "function":
        raise NoLengthError
    found = _function(nodes[0], whole, style or {}, 0)
    if not found.is_length and found.number:
        raise NoLengthError("it gives a number without a unit")
    return _finite(found.number)


def _finite(value: float) -> float:
    if not math.isfinite(value):
        raise NoLengthError("it is beyond all bounds")
    return value


def _dimension(number: float, unit: str, whole: float | None, style: Mapping[str, str]) -> _Value:
    if unit in UNITS_PER:
        return _Value(number * UNITS_PER[unit], unit != "")
    if unit == "%":
        if whole is None:
            raise NoLengthError("a share of the window has no true size")
        return _Value(number / 100 * whole, True)
    if unit in ("em", "rem"):
        return _Value(number * font_size(style, unit), True)
    if unit in OF_FONTS:
        raise NoLengthError(f"'{unit}' depends on the font at hand")
    if unit in OF_WINDOWS:
        raise NoLengthError(f"'{unit}' depends on the window that the drawing is shown in")
    raise NoLengthError


def font_size(style: Mapping[str, str], unit: str = "em") -> float:
    """Return an element's font size in px, or with "rem" the root's.

    Raises:
        NoLengthError: it was stated in a way that cannot be resolved.
    """
    stated = style.get(ROOT_SIZE if unit == "rem" else "font-size")
    if stated is None:
        if unit == "em" and style.get("font-family", "").strip().lower() == "monospace":
            raise NoLengthError("browsers have a font size of their own for 'monospace', and none is stated")
        return FONT_SIZE
    match = _SIMPLE.match(stated)
    if match is None or match[2].lower() not in UNITS_PER:
        raise NoLengthError(f"the font size '{stated[:40]}' is not known")
    return float(match[1]) * UNITS_PER[match[2].lower()]


def _function(node: Any, whole: float | None, style: Mapping[str, str], depth: int) -> _Value:
    if depth > _DEEPEST:
        raise NoLengthError("it stands too deep in brackets")
    name = node.lower_name if node.type == "function" else "calc"
    content = node.arguments if node.type == "function" else node.content
    parts: list[list[Any]] = [[]]
    for inner in content:
        if inner.type == "literal" and inner.value == ",":
            parts.append([])
        else:
            parts[-1].append(inner)
    if name not in ("calc", "min", "max", "clamp"):
        raise NoLengthError(f"'{name}()' is not read")
    values = [_sum(part, whole, style, depth) for part in parts]
    if len({value.is_length for value in values if value.number or value.is_length}) > 1:
        raise NoLengthError("it mixes numbers and lengths")
    kind = any(value.is_length for value in values)
    numbers = [value.number for value in values]
    match name, len(numbers):
        case "calc", 1:
            return values[0]
        case "min", _:
            return _Value(min(numbers), kind)
        case "max", _:
            return _Value(max(numbers), kind)
        case "clamp", 3:
            return _Value(max(numbers[0], min(numbers[1], numbers[2])), kind)
    raise NoLengthError


def _sum(nodes: list[Any], whole: float | None, style: Mapping[str, str], depth: int) -> _Value:
    # Terms parted by + and - with blanks on both sides: CSS asks for them, and so "1 -2" is no sum.
    terms: list[tuple[float, list[Any]]] = [(1.0, [])]
    for k, node in enumerate(nodes):
        if node.type == "literal" and node.value in "+-":
            around = nodes[k - 1 : k] + nodes[k + 1 : k + 2]
            if len(around) != 2 or any(n.type != "whitespace" for n in around):
                raise NoLengthError
            terms.append((1.0 if node.value == "+" else -1.0, []))
        elif node.type not in ("whitespace", "comment"):
            terms[-1][1].append(node)
    total: _Value | None = None
    for sign, term in terms:
        value = _product(term, whole, style, depth)
        if total is not None and total.is_length != value.is_length:
            raise NoLengthError("it adds a number to a length")
        total = _Value((total.number if total else 0.0) + sign * value.number, value.is_length)
    assert total is not None
    return total


def _product(nodes: list[Any], whole: float | None, style: Mapping[str, str], depth: int) -> _Value:
    if len(nodes) % 2 == 0:
        raise NoLengthError
    total = _factor(nodes[0], whole, style, depth)
    for sign, node in zip(nodes[1::2], nodes[2::2], strict=True):
        if sign.type != "literal" or sign.value not in "*/":
            raise NoLengthError
        value = _factor(node, whole, style, depth)
        if sign.value == "*" and not (total.is_length and value.is_length):
            total = _Value(total.number * value.number, total.is_length or value.is_length)
        elif sign.value == "/" and not value.is_length and value.number:
            total = _Value(total.number / value.number, total.is_length)
        else:
            raise NoLengthError
    return total


def _factor(node: Any, whole: float | None, style: Mapping[str, str], depth: int) -> _Value:
    match node.type:
        case "number":
            return _Value(float(node.value), False)
        case "dimension":
            return _dimension(float(node.value), node.lower_unit, whole, style)
        case "percentage":
            return _dimension(float(node.value), "%", whole, style)
        case "function" | "() block":
            return _function(node, whole, style, depth + 1)
    raise NoLengthError
