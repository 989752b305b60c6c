"""Transforms: the 2 x 3 matrices of SVG, read from the `transform` attribute and applied to points."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import NamedTuple

from pleatsvg.errors import DrawingError
from pleatsvg.geometry.segment import Segment


class Affine(NamedTuple):
    """x' = a x + c y + e, y' = b x + d y + f, as in ``matrix(a b c d e f)`` (CSS Transforms 1, section 8)."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    def __matmul__(self, inner: Affine) -> Affine:
        """Return the transform that does `inner` first, then this one."""
        a, b, c, d, e, f = self
        return Affine(
            a * inner.a + c * inner.b,
            b * inner.a + d * inner.b,
            a * inner.c + c * inner.d,
            b * inner.c + d * inner.d,
            a * inner.e + c * inner.f + e,
            b * inner.e + d * inner.f + f,
        )

    def of(self, z: complex) -> complex:
        """Return where a point comes to lie."""
        x, y = z.real, z.imag
        return complex(self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f)

    def of_segments(self, segments: Sequence[Segment]) -> list[Segment]:
        """Return segments transformed, exactly, each without its first point: Bezier curves keep affine maps."""
        a, b, c, d, e, f = self
        if a == d and not b and not c:  # a scale alone, as most pages have it: the same to the last bit, and quicker
            shift = complex(e, f)
            return [tuple([a * z + shift for z in seg[1:]]) for seg in segments]
        return [
            tuple([complex(a * z.real + c * z.imag + e, b * z.real + d * z.imag + f) for z in seg[1:]])
            for seg in segments
        ]

    @property
    def stretch(self) -> float:
        """The most that a length can grow: the larger singular value."""
        a, b, c, d = self.a, self.b, self.c, self.d
        s1 = a * a + b * b + c * c + d * d
        det = a * d - b * c
        return math.sqrt((s1 + math.sqrt(max(0.0, s1 * s1 - 4 * det * det))) / 2)

    @property
    def is_flat(self) -> bool:
        """Whether it squashes everything onto a line or a point."""
        return abs(self.a * self.d - self.b * self.c) < 1e-12


IDENTITY = Affine(1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


_CALL = re.compile(r"[\s,]*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)", re.ASCII)


_DECIMAL = r"([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)"


_FIRST = re.compile(r"\s*" + _DECIMAL, re.ASCII)


_NEXT = re.compile(r"\s*,?\s*" + _DECIMAL, re.ASCII)


def parse_transform(text: str, said: str) -> Affine:
    """Read a `transform` attribute (CSS Transforms 1, section 7: the syntax of the SVG attribute).

    Args:
        text: as written; may be empty.
        said: what the element is called, for the message.

    Raises:
        DrawingError: it cannot be read.
    """
    result = IDENTITY
    position = 0
    stripped = text.rstrip()
    if stripped.strip() == "none":
        return result
    while position < len(stripped):
        match = _CALL.match(stripped, position)
        if match is None:
            raise _bad(said, text)
        result = result @ _one(match[1], _numbers(match[2], said, text), said, text)
        position = match.end()
    return result


def _numbers(text: str, said: str, whole: str) -> list[float]:
    numbers: list[float] = []
    position, stripped = 0, text.rstrip()
    while position < len(stripped):
        match = (_NEXT if numbers else _FIRST).match(stripped, position)
        if match is None or not math.isfinite(float(match[1])):
            raise _bad(said, whole)
        numbers.append(float(match[1]))
        position = match.end()
    return numbers


def _one(name: str, v: list[float], said: str, whole: str) -> Affine:
    match name, len(v):
        case "matrix", 6:
            return Affine(*v)
        case "translate", 1 | 2:
            return Affine(1, 0, 0, 1, v[0], v[1] if len(v) == 2 else 0)
        case "scale", 1 | 2:
            return Affine(v[0], 0, 0, v[-1], 0, 0)
        case "rotate", 1 | 3:
            turn = math.radians(v[0])
            cos, sin = math.cos(turn), math.sin(turn)
            about = Affine(cos, sin, -sin, cos, 0, 0)
            if len(v) == 1:
                return about
            return Affine(1, 0, 0, 1, v[1], v[2]) @ about @ Affine(1, 0, 0, 1, -v[1], -v[2])
        case "skewX", 1:
            return Affine(1, 0, math.tan(math.radians(v[0])), 1, 0, 0)
        case "skewY", 1:
            return Affine(1, math.tan(math.radians(v[0])), 0, 1, 0, 0)
    raise _bad(said, whole)


def _bad(said: str, text: str) -> DrawingError:
    return DrawingError(
        said,
        f"has a transform that cannot be read: '{text[:60]}'",
        "transforms are matrix, translate, scale, rotate, skewX and skewY with numbers",
        "Open the drawing in a vector editor and save it again.",
    )
