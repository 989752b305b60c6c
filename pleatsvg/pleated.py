"""What the job returns: the flat piece, its proof, its page and what is told of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from pleatsvg.flat.as_written import Target
from pleatsvg.flat.carried import Carriage
from pleatsvg.flat.facts import PleatFacts
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import length_of
from pleatsvg.order.marking import Marking
from pleatsvg.page.compose import Sheet
from pleatsvg.piece.both_halves import Ground
from pleatsvg.piece.cutting_line import Cutting
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.proof.before_writing import FoldBack
from pleatsvg.result.earlier import Earlier


@dataclass(frozen=True)
class PleatedPiece:
    """A flat piece, proven, with all its marks, in mm on the page of its result.

    Attributes:
        finished: the piece as drawn.
        ground: what the pleats were laid out on: the piece, or both halves of one that is cut on the fold.
        lines: the slash lines in order, on the outline that they were laid out on.
        pleats: laid out on the finished piece.
        flat: seam, creases and placement lines as written: moved onto the page and rounded.
        finished_on_page, finished_cut: the finished seam and cutting line laid on the first panel, as written.
        cutting: the finished piece's cutting line, or None.
        grain: the carried grainline as written, or None.
        proof, cut_proof: the fold-back of the seam and of the cutting line as written.
        facts: pleat by pleat.
        carriage: everything else drawn on the piece, in the flat piece's coordinates before it is laid on the page.
        sheet: the marks, the lettering and the page.
        remarks: for the person, in plain words.
        marking: how it is marked.
        unit: of lengths in words.
    """

    finished: FinishedPiece
    ground: Ground
    lines: SlashSet
    pleats: tuple[LaidPleat, ...]
    flat: Unfolded
    finished_on_page: Target
    finished_cut: Target | None
    cutting: Cutting | None
    grain: tuple[complex, complex] | None
    proof: FoldBack
    cut_proof: FoldBack | None
    facts: tuple[PleatFacts, ...]
    carriage: Carriage
    sheet: Sheet
    remarks: tuple[str, ...]
    marking: Marking
    unit: str
    number: int = 1
    """Of this pass."""

    earlier: Earlier | None = None
    """What earlier passes left, as written."""

    before: PleatedPiece | None = None
    """The pass before, where it was made in the same job."""

    unfolded: Unfolded | None = None
    """The flat piece before it was laid on the page, in the drawing's coordinates."""

    allowance_words: str = ""
    """What is said of the allowances."""

    earlier_miss: float = 0.0
    """The largest miss of a line of an earlier pass when this one is folded back, in mm."""

    @property
    def name(self) -> str:
        """What the piece is called."""
        return self.finished.name

    @property
    def first(self) -> PleatedPiece:
        """The first pass of the job that made it."""
        return self if self.before is None else self.before.first

    @property
    def count(self) -> int:
        """How many pleats it has, those of earlier passes too."""
        return len(self.facts) + (len(self.earlier.told) if self.earlier is not None else 0)

    @property
    def worst_miss(self) -> float:
        """The largest miss of the fold-back of any pass made in this job, in mm."""
        return max(self.proof.worst, self.earlier_miss, self.before.worst_miss if self.before is not None else 0.0)

    @cached_property
    def top_lengths(self) -> tuple[float, float]:
        """Length in mm of the seam that the line tops lie on, from corner to corner: finished and flat."""
        return self._lengths(0)

    @cached_property
    def hem_lengths(self) -> tuple[float, float]:
        """Length in mm of the seam that the line hems lie on, from corner to corner: finished and flat."""
        return self._lengths(1)

    def _lengths(self, end: int) -> tuple[float, float]:
        outline = self.lines.outline
        chords = [fold.chord for pleat in self.pleats for fold in pleat.folds]
        places = [chord.hem_at for chord in reversed(chords)] if end else [chord.top_at for chord in chords]
        corners = outline.edge_corners or (0,)
        n = len(outline)
        # The corners last come by before all the folds, and first come to after them.
        first, last = min(places) + 1e-9, max(places) - 1e-9
        start = float(max([c + math.floor((first - c) / n) * n for c in corners]))
        stop = float(min([c + math.ceil((last - c) / n) * n for c in corners]))
        before, after = self.lines.first, self.lines.last
        if end:
            before, after = after, before
        if before is not None:
            start = before.hem_at if end else before.top_at
        if after is not None:
            stop = after.hem_at if end else after.top_at
        finished = outline.sewn_distance(start, stop)
        # Whatever is walked back between two folds is walked once more than the finished seam on the way to it and beyond.
        back = sum([_seam_between(outline, b, a) for a, b in pairwise(places) if b < a])
        return finished, finished + 2 * back


def _seam_between(outline: Outline, start: float, end: float) -> float:
    # The seam from one fold up to another, darts sewn up: most often on one segment, where it is measured in one go.
    index = math.floor(start)
    if end <= index + 1 and not outline.darts:
        return length_of(outline.segments[index % len(outline)], start - index, end - index)
    return outline.sewn_distance(start, end)
