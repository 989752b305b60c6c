"""The finished piece, as the dressmaker drew it and with every part resolved to millimetres."""

from __future__ import annotations

import re
from dataclasses import dataclass

from pleatsvg.drawing.drawn import DrawnShape, DrawnText, PageFacts
from pleatsvg.geometry.motion import Motion
from pleatsvg.geometry.outline import Outline
from pleatsvg.piece.pivots.closed import ClosedDart
from pleatsvg.result.earlier import Earlier


@dataclass(frozen=True, slots=True)
class StraightLine:
    """A straight line as drawn, from `start` to `end` (mm), under the name that its editor let the person type."""

    name: str
    start: complex
    end: complex
    family: str = ""
    """The name of the group or path that it belongs to, by which all its lines can be chosen together."""


@dataclass(frozen=True, slots=True)
class Ring:
    """How a piece goes all round that was laid out flat, one round of it and some of the next on either side.

    Attributes:
        seams: the straight lines at which its pieces meet, from the one that begins the round to the one that ends it; these
            two are one seam.
        period: the motion that lays the beginning of the round on its end.
        centres: the lines that pleats face with the lap "centre": of each piece its own; of a piece by itself its seam, its
            middle, its seam.
        ends: the two straight edges at which what is laid out ends, from top to hem; there is more cloth beyond them.
        tops, hems: the nodes of the outline at which the round begins and ends, at the top and at the hem.
    """

    seams: tuple[StraightLine, ...]
    period: Motion
    centres: tuple[StraightLine, ...]
    ends: tuple[tuple[complex, complex], tuple[complex, complex]]
    tops: tuple[int, int]
    hems: tuple[int, int]


@dataclass(frozen=True, slots=True)
class FinishedPiece:
    """One piece, right side of the cloth up.

    Guarantees: the outline is closed, does not cross itself, runs clockwise as seen on the page (y down) and
    starts at the node nearest the top left; lines and cubics only; everything in mm.

    Attributes:
        name: what the piece is called.
        outline: the stitching line.
        slashes: the lines to slash along, as drawn, in file order.
        grain: the grainline, or None.
        fold_edge: the line or edge marked as cut on the fold of the cloth, or None.
        centre: a line or edge named centre, or None.
        page: scale and size of the drawing.
        parts: (name, part) of every element that was taken for something.
        left_out: names of what lies on the drawing and is not carried.
        notes: remarks for the person, in plain words.
        source: the name of the file that was read.
        file: where it lies, so that it is never written over; "" where it was read from memory.
    """

    name: str
    outline: Outline
    slashes: tuple[StraightLine, ...]
    grain: StraightLine | None
    fold_edge: StraightLine | None
    centre: StraightLine | None
    page: PageFacts
    parts: tuple[tuple[str, str], ...] = ()
    left_out: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    source: str = ""
    file: str = ""
    crossing_lines: tuple[StraightLine, ...] = ()
    """Straight open lines without a part of their own, for whoever asks to slash along all."""

    shapes: tuple[DrawnShape, ...] = ()
    """What else is drawn on the piece and comes along: balance lines, marks, pockets."""

    texts: tuple[DrawnText, ...] = ()
    """The texts that lie on the piece."""

    cut: Outline | None = None
    """The cutting line as drawn, walked as the seam is, or None."""

    only_cut: bool = False
    """Whether the drawing has no seam: `outline` is its cutting line then, and stands for the seam until an allowance is
    given."""

    earlier: Earlier | None = None
    """What earlier passes left on it, where it is a result of ours that is pleated once more."""

    shared: StraightLine | None = None
    """Where two pieces were laid edge to edge, the seam between them, or None."""

    near: tuple[DrawnShape, ...] = ()
    """Every shape that was looked at for it, whatever it was taken for, in file order."""

    beside: tuple[DrawnShape, ...] = ()
    """Those of them that lie beside the piece, and are left out."""

    texts_beside: tuple[DrawnText, ...] = ()
    """Texts that lie beside it, where it is the only piece."""

    astray: tuple[DrawnShape, ...] = ()
    """What lies near no piece of a drawing that holds several; told with the last one."""

    others: tuple[FinishedPiece, ...] = ()
    """The pieces that go all round with it, in order from its right side on."""

    ring: Ring | None = None
    """Where it was laid out to go all round."""

    closed_darts: tuple[ClosedDart, ...] = ()
    """The darts that are closed, so that their angle opens elsewhere: notches of the outline with two straight legs."""

    @property
    def closed_before(self) -> bool:
        """Whether it is a result of ours in which a dart is closed."""
        return self.earlier is not None and any(
            line.role == "closed-dart" for line in (*self.earlier.kept, *self.earlier.lines)
        )


def lost_names(piece: FinishedPiece) -> str:
    """Return a sentence for a piece whose straight lines bear no names but those that an editor gives of itself; "" for
    any other."""
    if any(_OF_ITSELF.fullmatch(line.name) for line in piece.crossing_lines):
        return " If there were names, an editor lost them that saved the drawing as plain SVG."
    return ""


_OF_ITSELF = re.compile(r"(?:path|line|polyline)[\d-]*", re.IGNORECASE)
