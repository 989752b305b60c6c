"""What was seen on a drawing, before anything is chosen from it."""

from __future__ import annotations

from dataclasses import dataclass

from pleatsvg.piece import PageFacts
from pleatsvg.segment import Segment


@dataclass(frozen=True, slots=True)
class DrawnShape:
    """A shape as drawn, in mm on the page.

    Attributes:
        name: its own name, or its group's with a number.
        family: the name of the group from which it has its part, or its own.
        part: "seam", "cut", "slash", "grain", "balance", "fold edge", "centre", "carried" or None.
        stroke: its segments, end to end; zero-length ones are left out.
        closed: whether it is closed by a command or a shape.
        group: the nearest name that a person gave to a group around it, or "".
    """

    name: str
    family: str
    part: str | None
    stroke: tuple[Segment, ...]
    closed: bool
    group: str


@dataclass(frozen=True, slots=True)
class Drawing:
    """Everything seen on a drawing, right side of the cloth up, in mm."""

    source: str
    title: str
    page: PageFacts
    shapes: tuple[DrawnShape, ...]
    left_out: tuple[str, ...]
    notes: tuple[str, ...]
