"""A pleat laid out on the finished piece, as values: what was asked of it, its fold lines, its placement lines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from pleatsvg.kinds import FoldList, Kind
from pleatsvg.piece.slash_lines import Chord
from pleatsvg.pleats.kick import KickTop
from pleatsvg.result.roles import Role


@dataclass(frozen=True, slots=True)
class PleatRequest:
    """What is asked of one pleat; lengths in mm.

    Attributes:
        kind: the kind of pleat.
        towards: -1 when the folds point to the pleats before, +1 after; ignored for a kind alike on both sides.
        intake_top, intake_hem: the flat width taken up at the line's two ends.
        face: width of the face, for kinds that have one; 0 otherwise.
        half: -1 or +1 where the slash line is the fold edge of the cloth and the half pleat lies before or after it; the
            intake is that of the whole pleat.
        stack: how many layers of the pleat lie on one another.
        separate: the underlay is a piece of its own, joined at the inner folds.
        height: of a kick pleat, up from the hem.
        to_point: whether it ends at the point of a dart that is closed.
        level: what the upper end is called at which its intake holds: "top", or of a fitted pleat the one at which it
            bends ("hip").
        stitched: where a tuck is stitched: (None, "") all along, else how far and from where, "top", "hem" or "middle".
    """

    kind: Kind
    towards: int
    intake_top: float
    intake_hem: float
    face: float = 0.0
    half: int = 0
    stack: int = 1
    stitched: tuple[float | None, str] = (None, "")
    separate: bool = False
    height: float = 0.0
    to_point: bool = False
    level: str = "top"

    @property
    def list(self) -> FoldList:
        """Its fold list; of a half pleat, that of the whole."""
        return self.kind.folds(self.towards, self.stack)


class LaidFold(NamedTuple):
    """A fold line on the finished piece.

    Its role is FOLD where the fold is seen, INNER or OUTWARD where it is hidden, and STITCH for the crease of a tuck
    along which it is stitched.
    """

    chord: Chord
    role: Role


class LaidPlacement(NamedTuple):
    """A line on which folds come to lie: a placement line, or (MATE) the other stitching line of a tuck."""

    chord: Chord
    folds_before: int
    carries: tuple[int, ...]
    role: Role = Role.PLACEMENT


@dataclass(frozen=True, slots=True)
class LaidPleat:
    """A pleat laid out: its fold lines in the order in which the cloth meets them."""

    number: int
    name: str
    request: PleatRequest
    folds: tuple[LaidFold, ...]
    placements: tuple[LaidPlacement, ...]
    first: Chord
    last: Chord
    kick: KickTop | None = None
