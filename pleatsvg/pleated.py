"""What the job returns: the flat piece, its proof, its page and what is told of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

from pleatsvg.flat.as_written import Target
from pleatsvg.flat.carried import Carriage
from pleatsvg.flat.facts import PleatFacts
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.passes.earlier_lines import Through
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, length_of
from pleatsvg.order.piece_order import Order
from pleatsvg.page.compose import Sheet
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.edges import called_on_cloth, seam_edges
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.proof.before_writing import FoldBack
from pleatsvg.result.earlier import Earlier

if TYPE_CHECKING:
    from pleatsvg.fitted.fit import Fitted
    from pleatsvg.fitted.spliced import Spliced
    from pleatsvg.fitted.zones import ZoneWritten
    from pleatsvg.pleats.finishing.finish_to import Finish


@dataclass(frozen=True, slots=True)
class Laid:
    """The first step of the job: pleats laid out on the finished piece, in mm as drawn.

    Attributes:
        piece: as drawn.
        order: what was asked for.
        ground: what the pleats are laid out on: the piece, or both halves of one that is cut on the fold.
        lines: the slash lines in order, on the outline that they are laid out on.
        pleats: each with its fold lines.
        cutting: the finished cutting line, or None.
        joins: the creases at which the flat piece is parted.
        join_allowance: beyond each of them.
        remarks: for the person.
        finish: what was found where the drawing is flat cloth that was finished to a length, or None.
        fitted: of a fitted piece, what it becomes above the hip and below; `lines`, `pleats` and `cutting` are those below.
    """

    piece: FinishedPiece
    order: Order
    ground: BothHalves
    lines: SlashSet
    pleats: tuple[LaidPleat, ...]
    cutting: Cutting | None
    joins: tuple[int, ...]
    join_allowance: float
    remarks: tuple[str, ...]
    finish: Finish | None = None
    fitted: Fitted | None = None

    @property
    def marked(self) -> float | None:
        """How far down from the seam the lines of pleats are seen (mm), None for their whole length.

        Fitted pleats are seen whole where they are stitched, and so far down from there: from the hip level, or where curves
        begin."""
        mark = self.order.marking.mark
        if mark is None or self.fitted is None or not self.fitted.asked.curved:
            return mark
        return mark + max(edge.length for edge in self.fitted.edges)


@dataclass(frozen=True, slots=True)
class Flattened:
    """The second step: the flat piece, and what else is drawn on it, in mm as drawn.

    Attributes:
        unfolded: the flat piece.
        through: what earlier passes left, taken through these pleats, or None.
        carriage: everything else drawn on the piece.
        grain: the carried grainline, or None.
        remarks: for the person.
        spliced: of a fitted piece, its zones above and below the hip.
        balance_above: of a fitted piece, balance lines above the hip on what its panels become there.
    """

    unfolded: Unfolded
    through: Through | None
    carriage: Carriage
    grain: tuple[complex, complex] | None
    remarks: tuple[str, ...]
    spliced: Spliced | None = None
    balance_above: tuple[tuple[Segment, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Written:
    """The third step: marked and laid on its page, moved there and rounded to the decimals that are written.

    Attributes:
        sheet: the marks, the lettering and the page.
        flat: seam, creases and placement lines.
        seam, cutting: the finished seam and cutting line laid on the first panel; None where there is no cutting line.
        grain: the grainline, or None.
        earlier: what earlier passes left, or None.
        allowance_words: what is said of the allowances.
        balance: balance lines as drawn, laid on the first panel.
        balance_above: of a fitted piece, those above the hip on what its panels become there, laid on the first one.
        zones: of a fitted piece, what its zones are folded back onto.
        hip_levels: of a fitted piece, from side to side over all its layers where its lines bend; of one in parts, on each of
            them, and from where the round begins and to where it ends.
    """

    sheet: Sheet
    flat: Unfolded
    seam: Target
    cutting: Target | None
    grain: tuple[complex, complex] | None
    earlier: Earlier | None
    allowance_words: str
    balance: tuple[tuple[Segment, ...], ...] = ()
    balance_above: tuple[tuple[Segment, ...], ...] = ()
    zones: tuple[ZoneWritten, ...] = ()
    hip_levels: tuple[tuple[complex, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Proven:
    """The last step: what was found when the lines as written were folded back.

    Attributes:
        seam, cutting: of the seam, and of the cutting line where there is one.
        earlier_miss: the largest miss of a line of an earlier pass, in mm.
    """

    seam: FoldBack
    cutting: FoldBack | None
    earlier_miss: float


@dataclass(frozen=True)
class PleatedPiece:
    """A flat piece, proven, with all its marks.

    Attributes:
        laid, flattened, written, proven: the four steps that made it.
        facts: pleat by pleat.
        remarks: for the person, in plain words.
        number: of this pass, from 1.
        before: the pass before, where it was made in the same job.
    """

    laid: Laid
    flattened: Flattened
    written: Written
    proven: Proven
    facts: tuple[PleatFacts, ...]
    remarks: tuple[str, ...]
    number: int = 1
    before: PleatedPiece | None = None

    @property
    def name(self) -> str:
        """What the piece is called."""
        return self.laid.piece.name

    @property
    def finished(self) -> FinishedPiece:
        """The piece as drawn."""
        return self.laid.piece

    @property
    def lines(self) -> SlashSet:
        """The slash lines in order, on the outline that the pleats were laid out on."""
        return self.laid.lines

    @property
    def pleats(self) -> tuple[LaidPleat, ...]:
        """The pleats, laid out on the finished piece."""
        return self.laid.pleats

    @property
    def unit(self) -> str:
        """The unit of lengths in words."""
        return self.laid.order.unit

    @property
    def flat(self) -> Unfolded:
        """Seam, creases and placement lines as written, in mm on the page."""
        return self.written.flat

    @property
    def sheet(self) -> Sheet:
        """The marks, the lettering and the page."""
        return self.written.sheet

    @property
    def grain(self) -> tuple[complex, complex] | None:
        """The carried grainline as written, or None."""
        return self.written.grain

    @property
    def carriage(self) -> Carriage:
        """Everything else drawn on the piece, in mm as drawn."""
        return self.flattened.carriage

    @property
    def earlier(self) -> Earlier | None:
        """What earlier passes left, as written."""
        return self.written.earlier

    @property
    def proof(self) -> FoldBack:
        """The fold-back of the seam as written."""
        return self.proven.seam

    @property
    def cut_proof(self) -> FoldBack | None:
        """The fold-back of the cutting line as written, where there is one."""
        return self.proven.cutting

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
        return max(
            self.proof.worst, self.proven.earlier_miss, self.before.worst_miss if self.before is not None else 0.0
        )

    @cached_property
    def top_lengths(self) -> tuple[float, float]:
        """Length in mm of the seam that the line tops lie on, from corner to corner: finished and flat."""
        fitted = self.laid.fitted
        return (
            self._lengths(0, self.lines, self.pleats)
            if fitted is None
            else self._lengths(0, fitted.upper.lines, fitted.above)
        )

    @cached_property
    def hem_lengths(self) -> tuple[float, float]:
        """Length in mm of the seam that the line hems lie on, from corner to corner: finished and flat."""
        return self._lengths(1, self.lines, self.pleats)

    @cached_property
    def top_edges(self) -> tuple[str, ...]:
        """What the edges are called that `top_lengths` is measured along, from left to right; () all round."""
        return self._edges(0)

    @cached_property
    def hem_edges(self) -> tuple[str, ...]:
        """What the edges are called that `hem_lengths` is measured along, from left to right; () all round."""
        return self._edges(1)

    def _edges(self, end: int) -> tuple[str, ...]:
        if self.lines.ring:
            return ()
        outline = self.lines.outline
        places = [fold.chord.hem_at if end else fold.chord.top_at for pleat in self.pleats for fold in pleat.folds]
        start, stop = outline.corners_around(min(places), max(places))
        edges, n = seam_edges(outline), len(outline)
        along = [edge for turn in (0, n) for edge in edges if start <= edge.start + turn and edge.end + turn <= stop]
        names = [edge.trade or called_on_cloth(edge, edges) for edge in along]
        return tuple(names[::-1] if end else names)

    def _lengths(self, end: int, lines: SlashSet, pleats: Sequence[LaidPleat]) -> tuple[float, float]:
        outline = lines.outline
        chords = [fold.chord for pleat in pleats for fold in pleat.folds]
        places = [chord.hem_at for chord in reversed(chords)] if end else [chord.top_at for chord in chords]
        # The corners last come by before all the folds, and first come to after them.
        if lines.ring:
            return self._round(end, lines, places)
        start, stop = map(float, outline.corners_around(min(places), max(places)))
        before, after = lines.first, lines.last
        if end:
            before, after = after, before
        if before is not None:
            start = max(start, before.hem_at if end else before.top_at)
        if after is not None:
            stop = min(stop, after.hem_at if end else after.top_at)
        finished = outline.sewn_distance(start, stop)
        # Whatever is walked back between two folds is walked once more than the finished seam on the way to it and beyond.
        back = sum([_seam_between(outline, b, a) for a, b in pairwise(places) if b < a])
        return finished, finished + 2 * back

    def _round(self, end: int, lines: SlashSet, places: Sequence[float]) -> tuple[float, float]:
        # From where the round begins to where it ends.
        begin, stop = lines.first, lines.last
        assert begin is not None
        assert stop is not None
        outline = lines.outline
        ends = (stop.hem_at, begin.hem_at) if end else (begin.top_at, stop.top_at)
        finished = outline.sewn_distance(*ends)
        return finished, finished + 2 * sum([_seam_between(outline, b, a) for a, b in pairwise(places) if b < a])


def _seam_between(outline: Outline, start: float, end: float) -> float:
    # The seam from one fold up to another, darts sewn up: most often on one segment, where it is measured in one go.
    index = math.floor(start)
    if end <= index + 1 and not outline.darts:
        return length_of(outline.segments[index % len(outline)], start - index, end - index)
    return outline.sewn_distance(start, end)
