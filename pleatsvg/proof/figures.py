"""What a proof finds: figures with their limits and places."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from pleatsvg.proof.folded_pass import FoldedPass
from pleatsvg.proof.pleat_figures import figures_of
from pleatsvg.result.figures import PleatFigures
from pleatsvg.tolerance import FOLD_BACK, FOLD_BACK_CUT


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of the proof.

    Attributes:
        name: what was measured, under a name for programs.
        words: the same as a phrase: what it does where it breaks its limit.
        value: the most that was met.
        limit: what it may be.
        unit: "mm" or "mm2".
        place: where the limit is first broken in the order of the cloth, else where the most was met.
        first: how much was met there.
        pass_: of the pleats that it was measured on, where there were several passes; else None.
        zone: of a fitted piece, "above" or "below" the level at which its lines bend, where it was measured there; else "".
        zone_words: the same in words, "above the hip".
    """

    name: str
    words: str
    value: float
    limit: float
    unit: str
    place: str = ""
    first: float = 0.0
    pass_: int | None = None
    zone: str = ""
    zone_words: str = ""

    @property
    def holds(self) -> bool:
        """Whether it is within its limit; NaN never is."""
        return self.value <= self.limit


@dataclass(frozen=True)
class Proof:
    """What folding a piece back has shown.

    Attributes:
        piece: its name.
        passes: folded, the last one first.
        figures: what was measured, the last pass first.
        faults: what is wrong in words.
        notes: remarks for the person.
        flat_area, finished_area: of the cloth before and after, in mm2.
        sewn_to: of a companion, the pleated pieces that it is sewn to, each with how many notches it has for its folds.
    """

    piece: str
    passes: tuple[FoldedPass, ...]
    figures: tuple[Figure, ...]
    faults: tuple[str, ...]
    notes: tuple[str, ...]
    flat_area: float
    finished_area: float
    sewn_to: tuple[tuple[str, int], ...] = ()

    @property
    def holds(self) -> bool:
        """Whether every point is proven."""
        return not self.faults and all(figure.holds for figure in self.figures)

    @property
    def worst(self) -> float:
        """The largest miss of what is folded back, in mm; marks beside the seam, which nothing is folded by, are left out."""
        return max([f.value for f in self.figures if f.unit == "mm" and f.limit <= FOLD_BACK_CUT], default=0.0)

    @cached_property
    def pleats(self) -> tuple[PleatFigures, ...]:
        """The figures of every pleat, pass by pass from the first."""
        return figures_of(self.passes)

    @cached_property
    def failures(self) -> tuple[str, ...]:
        """What misses, as phrases for a message, the cause before what follows from it."""
        return (*[_miss_words(f) for f in self.figures if not f.holds], *self.faults)


def _miss_words(figure: Figure) -> str:
    if math.isinf(figure.first):
        return figure.place.removesuffix(" and")  # what is not there lies nowhere
    unit = "mm" if figure.unit == "mm" else "square mm"
    most = f", the most is {_amount(figure.value)} {unit}" if figure.value > 1.05 * figure.first else ""
    comma = "," if "mm from" in figure.place else ""
    return f"{figure.place}{comma} {figure.words} by {_amount(figure.first)} {unit}{most} (limit {figure.limit:.3g})"


def _amount(value: float) -> str:
    return f"{value:.2f}" if value >= 0.1 else f"{value:.3f}"


@dataclass
class Most:
    value: float = 0.0
    place: str = ""
    first: str = ""
    first_value: float = 0.0

    def see(self, value: float, place: str, limit: float = FOLD_BACK) -> None:
        # Keeps the most; and where the limit was first broken in the order of the cloth, for what is first misplaces
        # all that comes behind it.
        if not value <= limit and not self.first:
            self.first, self.first_value = place, value
        if not value <= self.value:
            self.value, self.place = value, place
