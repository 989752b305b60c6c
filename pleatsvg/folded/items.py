"""What a picture of folded cloth is made of: lines and words, each under the name of its look."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from pleatsvg.geometry.segment import Segment
from pleatsvg.result.lettering import width_of

SIZE = 4.4
"""Font size in mm: capitals 3 mm high."""


ROW = 5.6
"""mm from one row of words to the next."""


class Line(NamedTuple):
    """A run of straight steps, or of curves where `segments` are given."""

    look: str
    points: tuple[complex, ...] = ()
    closed: bool = False
    segments: tuple[Segment, ...] = ()


class Text(NamedTuple):
    """Words: their middle (or start) on the line at half the height of capitals, and their turn in degrees."""

    words: str
    at: complex
    turn: float = 0.0
    size: float = SIZE
    anchor: str = "middle"
    look: str = "words"


Item = Line | Text


@dataclass(frozen=True)
class Layer:
    """A layer of the picture, named as the editor lists it."""

    name: str
    plain: str
    items: Sequence[Item]


def corners(item: Item) -> Iterable[complex]:
    if isinstance(item, Line):
        return [*item.points, *[z for seg in item.segments for z in seg]]
    way = cmath.rect(1.0, math.radians(item.turn))
    wide = width_of(item.words, item.size)
    start = item.at - way * (wide / 2 if item.anchor == "middle" else wide if item.anchor == "end" else 0.0)
    high = way * 1j * item.size / 2
    return [start - high, start + high, start + way * wide - high, start + way * wide + high]


def shifted(item: Item, by: complex) -> Item:
    """Return an item moved on the page."""
    if isinstance(item, Line):
        segments = tuple([tuple([z + by for z in seg]) for seg in item.segments])
        return item._replace(points=tuple([z + by for z in item.points]), segments=segments)
    return item._replace(at=item.at + by)


def ring(spot: complex, radius: float = 5.0) -> list[Item]:
    """Return a ring round a place."""
    circle = tuple([spot + radius * cmath.exp(1j * math.tau * k / 24) for k in range(24)])
    return [Line("ring", circle, True)]


def plate(at: complex, wide: float, high: float) -> Line:
    w, h = wide / 2, high / 2
    return Line("plate", (at + complex(-w, -h), at + complex(w, -h), at + complex(w, h), at + complex(-w, h)), True)
