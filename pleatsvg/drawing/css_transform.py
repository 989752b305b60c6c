"""The CSS `transform` property, as editors write it into styles: functions with units, an origin and a reference box."""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from pleatsvg.drawing.affine import IDENTITY, Affine
from pleatsvg.drawing.page import MM_PER_UNIT
from pleatsvg.errors import DrawingError


class Box(NamedTuple):
    """A reference box in user units."""

    x: float
    y: float
    width: float
    height: float


_CALL = re.compile(r"\s*([a-zA-Z]+)\s*\(([^()]*)\)")
_VALUE = re.compile(r"^([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)([a-zA-Z%]*)$")
_TURNS = {"deg": 1 / 360, "grad": 1 / 400, "rad": 1 / (2 * math.pi), "turn": 1.0}
_PLACES = {"left": 0.0, "top": 0.0, "center": 0.5, "right": 1.0, "bottom": 1.0}


def css_transform(transform: str, origin: str, box: Box, said: str) -> Affine:
    """Return a CSS transform as a matrix in user units (CSS Transforms 1, sections 3 to 9).

    Args:
        transform: the property's value.
        origin: of `transform-origin`; "" for the initial value of SVG elements, 0 0.
        box: the reference box that percentages and the origin are measured in.
        said: what the element is called, for the message.

    Raises:
        DrawingError: it cannot be read, or turns the drawing in space.
    """
    text = transform.strip()
    if text == "none":
        return IDENTITY
    result = IDENTITY
    position = 0
    while position < len(text):
        match = _CALL.match(text, position)
        if match is None:
            raise _bad(said, transform)
        words = [word for word in re.split(r"[\s,]+", match[2].strip()) if word]
        result = result @ _one(match[1].lower(), words, box, said, transform)
        position = match.end()
    x, y = _origin(origin, box, said)
    return Affine(1, 0, 0, 1, x, y) @ result @ Affine(1, 0, 0, 1, -x, -y)


def origin_of(text: str, box: Box, said: str) -> complex:
    """Return the point that a transform-origin states, in user units; cf. `css_transform`."""
    return complex(*_origin(text, box, said))


def _one(name: str, words: list[str], box: Box, said: str, whole: str) -> Affine:
    try:
        match name, len(words):
            case "matrix", 6:
                return Affine(*[float(word) for word in words])
            case "translate", 1 | 2:
                dy = _length(words[1], box.height) if len(words) == 2 else 0.0
                return Affine(1, 0, 0, 1, _length(words[0], box.width), dy)
            case "translatex", 1:
                return Affine(1, 0, 0, 1, _length(words[0], box.width), 0)
            case "translatey", 1:
                return Affine(1, 0, 0, 1, 0, _length(words[0], box.height))
            case "scale", 1 | 2:
                return Affine(_share(words[0]), 0, 0, _share(words[-1]), 0, 0)
            case "scalex", 1:
                return Affine(_share(words[0]), 0, 0, 1, 0, 0)
            case "scaley", 1:
                return Affine(1, 0, 0, _share(words[0]), 0, 0)
            case "rotate", 1:
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


def _length(word: str, whole: float) -> float:
    value, unit = _split(word)
    if unit == "%":
        return value / 100 * whole
    if unit not in MM_PER_UNIT:
        raise ValueError(word)
    return value * (MM_PER_UNIT[unit] / MM_PER_UNIT["px"] if unit else 1.0)


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


def _origin(text: str, box: Box, said: str) -> tuple[float, float]:
    if not text.strip():
        return box.x, box.y
    words = text.lower().split()
    if len(words) == 1:
        words = [*words, "center"] if words[0] not in ("top", "bottom") else ["center", *words]
    if words[0] in ("top", "bottom") or words[1] in ("left", "right"):
        words = [words[1], words[0], *words[2:]]
    try:
        found = [
            _PLACES[word] * whole if word in _PLACES else _length(word, whole)
            for word, whole in zip(words[:2], (box.width, box.height), strict=True)
        ]
    except ValueError:
        raise _bad(said, text) from None
    return box.x + found[0], box.y + found[1]


def _bad(said: str, text: str) -> DrawingError:
    return DrawingError(
        said,
        f"has a transform in its style that cannot be read: '{text[:60]}'",
        "transforms in the plane are read, with px, mm, cm, in, pt, %, deg, rad and turn",
        "Open the drawing in a vector editor and save it as plain SVG.",
    )
