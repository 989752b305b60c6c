"""The CSS `transform` property, as editors write it into styles: functions with units, an origin and a reference box."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import NamedTuple

from pleatsvg.drawing.affine import IDENTITY, Affine, parse_transform
from pleatsvg.drawing.css.lengths import NoLengthError, css_length
from pleatsvg.drawing.css.taken import is_origin_attribute
from pleatsvg.errors import DrawingError


class Box(NamedTuple):
    """A reference box in user units."""

    x: float
    y: float
    width: float
    height: float


_CALL = re.compile(r"\s*([a-zA-Z]+[23]?[dD]?)\(([^()]*)\)")


_VALUE = re.compile(r"^([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)([a-zA-Z%]*)$")


_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?$", re.ASCII)


_TURNS = {"deg": 1 / 360, "grad": 1 / 400, "rad": 1 / (2 * math.pi), "turn": 1.0}


_PLACES = {"left": 0.0, "top": 0.0, "center": 0.5, "right": 1.0, "bottom": 1.0}


def css_transform(transform: str, box: Box, said: str, style: Mapping[str, str] | None = None) -> Affine:
    """Return a CSS transform as a matrix in user units, about the corner 0 0 (CSS Transforms 1, sections 3 to 9).

    Args:
        transform: the property's value.
        box: the reference box that percentages are measured in.
        said: what the element is called, for the message.
        style: of the element, for lengths in em.

    Raises:
        DrawingError: it cannot be read, or turns the drawing in space.
    """
    result = IDENTITY
    if transform == "none":
        return result
    for name, words in _calls(transform, said):
        result = result @ _one(name, words, box, said, transform, style or {})
    return result


def separate_transforms(style: Mapping[str, str], box: Box, said: str) -> Affine:
    """Return what the properties translate, rotate and scale make together (CSS Transforms 2, section 5).

    Raises:
        DrawingError: one of them cannot be read, or turns the drawing in space.
    """
    result = IDENTITY
    for name in ("translate", "rotate", "scale"):
        text = style.get(name, "none")
        if text == "none":
            continue
        words = _words(text)
        if name == "rotate":
            words = _about_z(words)
        function = f"{name}3d" if name != "rotate" and len(words) == 3 else name
        result = result @ _one(function, words, box, said, f"{name}: {text}", style)
    return result


def _calls(text: str, said: str) -> list[tuple[str, list[str]]]:
    calls: list[tuple[str, list[str]]] = []
    position, end = 0, len(text.rstrip())
    while position < end:
        match = _CALL.match(text, position)
        if match is None:
            break
        calls.append((match[1].lower(), [word for word in re.split(r"[\s,]+", match[2].strip()) if word]))
        position = match.end()
    if position >= end and calls:
        return calls
    import tinycss2

    calls = []
    for node in tinycss2.parse_component_value_list(text, skip_comments=True):
        if node.type == "function":
            calls.append((node.lower_name, _words(tinycss2.serialize(node.arguments))))
        elif node.type != "whitespace":
            raise _bad(said, text)
    if not calls:
        raise _bad(said, text)
    return calls


def _words(text: str) -> list[str]:
    # At blanks and commas, but not at those within brackets.
    if "(" not in text:
        return [word for word in re.split(r"[\s,]+", text.strip()) if word]
    import tinycss2

    words = [""]
    for node in tinycss2.parse_component_value_list(text, skip_comments=True):
        if node.type == "whitespace" or (node.type == "literal" and node.value == ","):
            words.append("")
        else:
            words[-1] += tinycss2.serialize([node])
    return [word for word in words if word]


def _about_z(words: list[str]) -> list[str]:
    # "z 30deg", "30deg z" and "0 0 1 30deg" are all 30deg; any other axis turns the drawing in space.
    if len(words) == 2 and "z" in (words[0].lower(), words[1].lower()):
        return [word for word in words if word.lower() != "z"]
    if len(words) == 4:
        angle_first = not _NUMBER.match(words[0])
        axis = [float(word) if _NUMBER.match(word) else 1.0 for word in (words[1:] if angle_first else words[:3])]
        if axis[:2] == [0, 0] and axis[2] > 0:
            return words[:1] if angle_first else words[3:]
    return words


def stated_origin(style: Mapping[str, str], attribute: str | None) -> str:
    """Return a transform-origin as text: from the style, else from the attribute where a browser takes that; "" for none."""
    stated = style.get("transform-origin")
    if stated:
        return stated
    return attribute if attribute and is_origin_attribute(attribute) else ""


def transform_about(attribute: str | None, style: Mapping[str, str], origin: str, box: Box, said: str) -> Affine:
    """Return an element's whole transform in user units: its properties, else its attribute, about its origin.

    Raises:
        DrawingError: it cannot be read, or turns the drawing in space.
    """
    inner = separate_transforms(style, box, said)
    if "transform" in style:
        inner = inner @ css_transform(style["transform"], box, said, style)
    else:
        inner = inner @ parse_transform(attribute or "", said)
    about = origin_of(origin, box, said, style)
    return Affine(1, 0, 0, 1, about.real, about.imag) @ inner @ Affine(1, 0, 0, 1, -about.real, -about.imag)


def origin_of(text: str, box: Box, said: str, style: Mapping[str, str]) -> complex:
    """Return the point that a transform-origin states, in user units; "" is 0 0, as for all elements of SVG."""
    return complex(*_origin(text, box, said, style))


def _one(name: str, words: list[str], box: Box, said: str, whole: str, style: Mapping[str, str]) -> Affine:
    try:
        match name, len(words):
            case "matrix", 6:
                return Affine(*[float(word) for word in words])
            case "translate", 1 | 2:
                dy = _length(words[1], box.height, style) if len(words) == 2 else 0.0
                return Affine(1, 0, 0, 1, _length(words[0], box.width, style), dy)
            case "translatex", 1:
                return Affine(1, 0, 0, 1, _length(words[0], box.width, style), 0)
            case "translatey", 1:
                return Affine(1, 0, 0, 1, 0, _length(words[0], box.height, style))
            case "scale", 1 | 2:
                return Affine(_share(words[0]), 0, 0, _share(words[-1]), 0, 0)
            case "scalex", 1:
                return Affine(_share(words[0]), 0, 0, 1, 0, 0)
            case "scaley", 1:
                return Affine(1, 0, 0, _share(words[0]), 0, 0)
            case "translatez", 1 if _length(words[0], 0.0, style) == 0:
                return IDENTITY
            case "translate3d", 3 if _length(words[2], 0.0, style) == 0:
                return _one("translate", words[:2], box, said, whole, style)
            case "scalez", 1 if _share(words[0]) == 1:
                return IDENTITY
            case "scale3d", 3 if _share(words[2]) == 1:
                return _one("scale", words[:2], box, said, whole, style)
            case "rotate" | "rotatez", 1:
                turn = _angle(words[0])
                return Affine(math.cos(turn), math.sin(turn), -math.sin(turn), math.cos(turn), 0, 0)
            case "skew", 1 | 2:
                down = math.tan(_angle(words[1])) if len(words) == 2 else 0.0
                return Affine(1, down, math.tan(_angle(words[0])), 1, 0, 0)
            case "skewx", 1:
                return Affine(1, 0, math.tan(_angle(words[0])), 1, 0, 0)
            case "skewy", 1:
                return Affine(1, math.tan(_angle(words[0])), 0, 1, 0, 0)
    except ValueError:
        pass
    raise _bad(said, whole)


def _split(word: str) -> tuple[float, str]:
    match = _VALUE.match(word)
    if match is None or not math.isfinite(float(match[1])):
        raise ValueError(word)
    return float(match[1]), match[2].lower()


def _length(word: str, whole: float, style: Mapping[str, str]) -> float:
    try:
        return css_length(word, whole, style)
    except NoLengthError:
        raise ValueError(word) from None


def _share(word: str) -> float:
    value, unit = _split(word)
    if unit not in ("", "%"):
        raise ValueError(word)
    return value / 100 if unit else value


def _angle(word: str) -> float:
    value, unit = _split(word)
    if unit == "" and value == 0:
        return 0.0
    if unit not in _TURNS:
        raise ValueError(word)
    return value * _TURNS[unit] * 2 * math.pi


def _origin(text: str, box: Box, said: str, style: Mapping[str, str]) -> tuple[float, float]:
    if not text.strip():
        return box.x, box.y
    words = _words(text.lower())
    if len(words) == 1:
        words = [*words, "center"] if words[0] not in ("top", "bottom") else ["center", *words]
    if words[0] in ("top", "bottom") or words[1] in ("left", "right"):
        words = [words[1], words[0], *words[2:]]
    try:
        found = [
            _PLACES[word] * whole if word in _PLACES else _length(word, whole, style)
            for word, whole in zip(words[:2], (box.width, box.height), strict=True)
        ]
    except ValueError:
        raise _bad(said, text) from None
    return box.x + found[0], box.y + found[1]


def _bad(said: str, text: str) -> DrawingError:
    return DrawingError(
        said,
        f"has a transform in its style that cannot be read: '{text[:60]}'",
        "transforms in the plane are read, with px, mm, cm, in, pt, em, %, deg, rad and turn",
        "Open the drawing in a vector editor and save it again.",
    )
