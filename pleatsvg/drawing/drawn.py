"""What was seen on a drawing, before anything is chosen from it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pleatsvg.drawing.affine import Affine
from pleatsvg.geometry.motion import Motion
from pleatsvg.geometry.segment import Segment
from pleatsvg.result.earlier import EarlierWords
from pleatsvg.result.pattern_lines import Tag


@dataclass(frozen=True, slots=True)
class PageFacts:
    """What was found about the page: its size in mm, how many mm one drawing unit is, and how that was known."""

    width_mm: float
    height_mm: float
    mm_per_unit: float
    scale_from: str


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
        look: its line work as (property, value) pairs, lengths in mm.
    """

    name: str
    family: str
    part: str | None
    stroke: tuple[Segment, ...]
    closed: bool
    group: str
    look: tuple[tuple[str, str], ...] = ()
    tag: Tag | None = None
    """What it says of itself, where it belongs to a result of ours that is read again."""


@dataclass(frozen=True, slots=True)
class DrawnText:
    """A text as drawn.

    Attributes:
        name: its words, cut short.
        words: what it says.
        group: the nearest name that a person gave to a group around it, or "".
        start: where it starts, in mm on the page.
        matrix: the six numbers a to f that lead from its units to mm, never mirrored.
        box: the corners of the box that it takes, estimated, in mm.
        markup: the text with its look, as it can be written again.
    """

    name: str
    words: str
    group: str
    start: complex
    matrix: tuple[float, ...]
    box: tuple[complex, ...]
    markup: str
    earlier: EarlierWords | None = None
    """The words as those of an earlier pass, where they belong to a result of ours that is read again."""

    def moved(self, motion: Motion) -> DrawnText:
        """Return the text moved, by a motion that does not turn it over."""
        turn, shift, _ = motion
        here = Affine(turn.real, turn.imag, -turn.imag, turn.real, shift.real, shift.imag)
        return replace(
            self,
            start=motion.of(self.start),
            matrix=tuple(here @ Affine(*self.matrix)),
            box=tuple([motion.of(z) for z in self.box]),
        )


@dataclass(frozen=True, slots=True)
class Drawing:
    """Everything seen on a drawing, right side of the cloth up, in mm."""

    source: str
    file: str
    title: str
    page: PageFacts
    shapes: tuple[DrawnShape, ...]
    texts: tuple[DrawnText, ...]
    left_out: tuple[str, ...]
    notes: tuple[str, ...]
