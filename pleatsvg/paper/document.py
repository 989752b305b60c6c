"""Pages ready to be written: bodies that lie on them, cut off at a window, and the marks and words of the page itself.

In mm from the upper left corner of the page, y down.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

from pleatsvg.geometry.segment import Box, Segment
from pleatsvg.paper.body import Body
from pleatsvg.result.shown import BLACK, Colour, Look

Widths = Callable[[str, float, bool], float]
"""Gives the width in mm of words in a size, bold or not."""

INK: Colour = (0.1, 0.1, 0.1)
FAINT: Colour = (0.45, 0.45, 0.45)

THIN = Look(stroke=INK, width=0.35)


class Placed(NamedTuple):
    """A body on a page: `turn * z + shift` of its points, seen within `clip` (left, top, right, bottom)."""

    body: int
    turn: complex
    shift: complex
    clip: Box


class Mark(NamedTuple):
    """Lines or areas of the page itself."""

    runs: tuple[tuple[Segment, ...], ...]
    look: Look
    closed: bool = False


class Words(NamedTuple):
    """Words of the page itself: from `at`, on their base line, along `way`."""

    text: str
    at: complex
    size: float
    anchor: str = "start"
    way: complex = 1 + 0j
    colour: Colour = BLACK
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Page:
    """A page: its name ("cover", "B3"), its size, the bodies on it, its own marks and words; marks are painted first."""

    name: str
    width: float
    height: float
    placed: tuple[Placed, ...]
    marks: tuple[Mark, ...]
    words: tuple[Words, ...]


@dataclass(frozen=True, slots=True)
class Document:
    """A set of pages and what is printed on them."""

    title: str
    bodies: tuple[Body, ...]
    pages: tuple[Page, ...]


def line(points: tuple[complex, ...], look: Look = THIN, closed: bool = False) -> Mark:
    """Return straight strokes through points."""
    around = (*points, points[0]) if closed else points
    return Mark((tuple([(a, b) for a, b in itertools.pairwise(around)]),), look, closed)


def rectangle(box: Box, look: Look = THIN) -> Mark:
    """Return a rectangle."""
    left, top, right, bottom = box
    corners = (complex(left, top), complex(right, top), complex(right, bottom), complex(left, bottom))
    return line(corners, look, closed=True)
