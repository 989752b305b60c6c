"""One pass of a result, folded, as values: its lines from seam to seam, what they come to lie on, its layers of cloth."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.geometry.motion import Motion
from pleatsvg.geometry.nearest import FoundOutline
from pleatsvg.geometry.segment import Segment, sign_changes
from pleatsvg.kinds import noun_of
from pleatsvg.result.pattern_lines import PatternLine
from pleatsvg.tolerance import ON_LINE, SAME_SPOT


class Span(NamedTuple):
    """A straight line of a pleat from seam to seam (mm).

    Attributes:
        line: as drawn.
        top, hem: where it meets the seam.
        top_at, hem_at: these places on the seam.
        short: by how much the line as drawn stops short of the seam.
        bend: how far what is drawn strays from a straight line.
        other_half: whether it lies on the mirrored half of a piece cut on the fold.
    """

    line: PatternLine
    top: complex
    hem: complex
    top_at: float
    hem_at: float
    short: float
    bend: float
    other_half: bool
    dart: tuple[complex, complex] | None = None
    """Where it ends at the point of a closed dart: that point, and the direction from there to the dart's mouth."""

    @property
    def mountain(self) -> bool:
        """Whether it stands up on the right side of the cloth."""
        return self.line.mountain

    @property
    def brought(self) -> bool:
        """Whether it is a fold line, which is brought onto a placement line."""
        return self.line.role == "fold-line"

    @property
    def stitched(self) -> tuple[complex, complex]:
        """From where to where it is stitched, of a released tuck; its ends for all else."""
        if self.line.tag.stitched is None:
            return self.top, self.hem
        length = abs(self.hem - self.top)
        start, end = (min(at, length) / length for at in self.line.tag.stitched)
        return self.top + start * (self.hem - self.top), self.top + end * (self.hem - self.top)

    @property
    def released(self) -> bool:
        """Whether it belongs to a tuck that is stitched for a part of its length only."""
        return self.line.tag.stitched is not None

    @property
    def look(self) -> str:
        """How pictures show it: "outer", "inner" or "stitched"."""
        return "outer" if self.mountain else "stitched" if self.line.role == "stitch-line" else "inner"

    @property
    def words(self) -> str:
        """What to call it in a message."""
        return self.line.words + (", on the other half" if self.other_half else "")

    @property
    def short_words(self) -> str:
        """What to call it where a layer is described: "the fold line of pleat 2"."""
        return f"the {self.line.role.replace('-', ' ')} of {noun_of(self.line.tag.kind)} {self.line.pleat}"


class Landing(NamedTuple):
    """A line that creases come to lie on: a placement line, or the second stitch line of a tuck."""

    span: Span
    layer: int
    creases: tuple[int, ...]


class CutPart(NamedTuple):
    """A cut part of a piece.

    Attributes:
        motion: that lays it on the first one at their joins.
        inside: a place on its cloth as drawn.
        crease: the crease at the join before it; -1 for the first part.
        allowance: stated beyond its joins, in mm, or None.
    """

    motion: Motion
    inside: complex
    crease: int
    allowance: float | None


class Layer(NamedTuple):
    """Cloth between two creases: its motion, and its raw edges on the flat piece, in the order of the seam."""

    motion: Motion
    runs: tuple[tuple[Segment, ...], ...]


class Round(NamedTuple):
    """One round of a piece that goes all round, folded: where it begins, where it ends, and the motion from there to there.

    A hidden layer may lie beyond either end; there it is one round off from cloth within.
    """

    begin: tuple[complex, complex]
    end: tuple[complex, complex]
    period: Motion

    def images(self, z: complex) -> tuple[complex, complex, complex]:
        """Return a point, and where it lies one round before and one round after."""
        return z, self.period.back(z), self.period.of(z)

    def parts(self, seg: Segment) -> list[tuple[float, float]]:
        """Return the shares of a segment from end to end between where it crosses the two ends of the round."""
        stops = {0.0, 1.0}
        for top, hem in (self.begin, self.end):
            length = abs(hem - top)
            along = (hem - top) / length
            w = [((z - top) * along.conjugate()).imag for z in seg]
            w = [0.0 if abs(value) < ON_LINE else value for value in w]
            if any(w):
                stops.update(t for t in sign_changes(w) if SAME_SPOT < t < 1 - SAME_SPOT)
        order = sorted(stops)
        return [(a, b) for a, b in pairwise(order) if b - a > SAME_SPOT]


@dataclass(frozen=True)
class FoldedPass:
    """One pass, folded.

    Attributes:
        number: of the pass, from 1.
        seam: the flat seam, walked so that the creases' top ends ascend.
        finished: what it was to become, walked the same way.
        creases: in the order of the cloth; layer k lies between crease k - 1 and crease k.
        landings: what creases come to lie on.
        layers: of cloth.
        base: the layer that stays where it is drawn.
        free: edges that leave the outline by design, flat.
        cutting: flat cutting line and finished cutting line, where the result has both.
        centre: the fold edge of a piece cut on the fold, folded, or None.
        grain: the strokes of the grain line, flat.
        parts: of a piece that is cut in parts, in the order of the cloth.
        balance: balance lines, flat, laid together with the piece.
        carried: of the pass that is folded first, what pictures show on the cloth, likewise: balance lines, what else the
            person drew, and placement lines of the passes before.
        round_: of a piece that goes all round, or None.
        loose: creases that no placement or stitch line waits for; lines that name a fold which is not there.
        zone: of a fitted piece, "above" or "below" the level at which its lines bend; its creases are the parts there, and
            its layers' runs the edges.
        cover: of a zone, from which place on its finished line to which one its edges lie, counted on; else None.
        above: of the zone below the hip, the one above it.
        level: of a zone, where the hip level meets the flat seam before the first crease and after the last, and the unit
            vectors in which it runs out there.
        hip_level: of a zone, all of that level, laid together with the piece.
        shaped_at: of a zone, what that level is called, cf. `pleatsvg.result.shaped`.
    """

    number: int
    seam: FoundOutline
    finished: FoundOutline
    creases: tuple[Span, ...]
    landings: tuple[Landing, ...]
    layers: tuple[Layer, ...]
    base: int
    free: tuple[Segment, ...]
    cutting: tuple[FoundOutline, FoundOutline] | None
    centre: tuple[complex, complex] | None
    grain: tuple[tuple[Segment, ...], ...]
    loose: tuple[str, ...]
    parts: tuple[CutPart, ...] = ()
    balance: tuple[PatternLine, ...] = ()
    carried: tuple[PatternLine, ...] = ()
    round_: Round | None = None
    points: tuple[tuple[complex, complex], ...] = ()
    """Of darts that are closed, flat, each with the direction to its mouth; the seam is cut open there."""
    zone: str = ""
    cover: tuple[float, float] | None = None
    above: FoldedPass | None = None
    level: tuple[tuple[complex, complex], ...] = ()
    hip_level: tuple[complex, ...] = ()
    shaped_at: str = ""

    @property
    def zone_words(self) -> str:
        """Which zone it is, in words: "above the hip"; "" where it is none."""
        return f"{self.zone} the {self.shaped_at}" if self.zone else ""

    @property
    def ends_of_zone(self) -> tuple[str, str] | None:
        """Of a zone, what lies above it and below it: "the hip", "the hem"; else None."""
        level = f"the {self.shaped_at}"
        return None if not self.zone else ("the top", level) if self.zone == "above" else (level, "the hem")

    @property
    def hand(self) -> float:
        """+1 where the seam is walked clockwise on the page, -1 otherwise."""
        return 1.0 if self.seam.area > 0 else -1.0

    def round_length(self, end: int) -> float:
        """Return how long one round of a piece that goes all round is, folded, at the top (0) or the hem (1), mm."""
        assert self.round_ is not None
        spots = [self.finished.nearest.of(line[end]) for line in (self.round_.begin, self.round_.end)]
        start, stop = (spot.segment + spot.share for spot in spots)
        n = len(self.finished)
        ways = (start, start + (stop - start) % n), (stop, stop + (start - stop) % n)
        return min(self.finished.sewn_distance(*way) for way in ways)

    def layer_words(self, layer: int) -> str:
        """Return what to call a layer in a message."""
        if not self.creases:
            return "the piece"
        last = len(self.creases)
        if layer == 0:
            return f"the cloth before {self.creases[0].short_words}"
        if layer == last:
            return f"the cloth after {self.creases[-1].short_words}"
        before, after = self.creases[layer - 1], self.creases[layer]
        if before.line.pleat == after.line.pleat:
            roles = [span.line.role.replace("-line", "").replace("-", " ") for span in (before, after)]
            return f"the layer between {roles[0]} and {roles[1]} of {noun_of(after.line.tag.kind)} {after.line.pleat}"
        first, second = noun_of(before.line.tag.kind), noun_of(after.line.tag.kind)
        if first == second:
            return f"the layer between {first}s {before.line.pleat} and {after.line.pleat}"
        return f"the layer between {first} {before.line.pleat} and {second} {after.line.pleat}"


def where(z: complex) -> str:
    """Return a place on the page in words, in mm from its left and top edge."""
    return f"{z.real:.1f} mm from the left and {z.imag:.1f} mm from the top of the page"
