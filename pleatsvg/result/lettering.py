"""Words on a result: their size, the room they take, the way they are turned to be read."""

from __future__ import annotations

import cmath
import math
from functools import lru_cache
from typing import NamedTuple

from pleatsvg.geometry.motion import bearing

CAPITALS = 0.73
"""Height of capitals as a share of the font size in the tallest of the usual sans-serif faces (DejaVu Sans, measured)."""


LOW_CAPITALS = 0.688
"""The same in the lowest face that is really met: Liberation Sans, which programs put in Arial's place (measured)."""


SIZE = 4.4
"""Font size of labels in mm: capitals 3 mm high in the lowest face that is met."""


class Words(NamedTuple):
    """A line of lettering.

    Attributes:
        text: what it says.
        middle: the middle of it, half-way up its capitals (mm).
        turn: degrees by which it is turned, clockwise on the page, from -100 up to 80.
        size: font size in mm.
        name: "fold-label", "placement-label", "inner-label", "pleat-label", "grain-label" or "piece-label".
        pleat: the pleat's number, 0 for none.
    """

    text: str
    middle: complex
    turn: float
    size: float
    name: str
    pleat: int = 0

    @property
    def width(self) -> float:
        """Estimated width in mm, on the wide side."""
        return width_of(self.text, self.size)

    def corners(self) -> tuple[complex, complex, complex, complex]:
        """Return the corners of the box it takes, in mm."""
        way = cmath.rect(1.0, math.radians(self.turn))
        a, b = way * self.width / 2, way * 1j * self.size / 2
        return (self.middle - a - b, self.middle + a - b, self.middle + a + b, self.middle - a + b)


_NARROW, _WIDE, _CAPITAL, _SMALL = 0.42, 1.0, 0.71, 0.63
"""Widths of letters in DejaVu Sans, the widest of the usual sans-serif faces, as shares of the font size (measured), on the
wide side: i l and the like with blanks and points, m w, capitals and figures, and all others."""


def width_of(text: str, size: float) -> float:
    """Return the width of a line of lettering in mm, on the wide side."""
    return size * _ems(text)


@lru_cache(maxsize=4096)
def _ems(text: str) -> float:
    return sum(
        [
            _NARROW
            if letter in " .,:;'()[]!|/ijltf-I"
            else _WIDE
            if letter in "mwMW%@"
            else _SMALL
            if letter.islower()
            else _CAPITAL
            if letter <= "\u02ff"
            else 1.0
            for letter in text
        ]
    )


def readable(along: complex) -> float:
    """Return the turn in degrees at which words along a direction are read from below or from the right.

    Lines within 10 degrees of upright are all lettered upwards, so that the labels of a fan do not face each other.
    """
    turn = math.degrees(bearing(along))
    while turn >= 80:
        turn -= 180
    while turn < -100:
        turn += 180
    return turn


@lru_cache(maxsize=4096)
def direction(turn: float) -> complex:
    """Return the unit vector of a turn in degrees, clockwise on the page."""
    return cmath.rect(1.0, math.radians(turn))
