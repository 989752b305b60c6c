"""A plan: so many pleats of one kind in so much finished width, and all that follows from it. Lengths in mm.

The flat width is the finished width and the intake of every pleat; NIMI, *Dress Making* vol. 2, p. 203. Places are reckoned
from the end each by itself, so that no rounding of a space is ever added up.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.plan.asked import Asked

SAME = 0.05
"""mm. Lengths that differ by less are one length: a tenth of a millimetre is the finest that is told."""


HAIR = 1e-6
"""mm. Strips that overlap by less only touch."""


LEAST_END = 1.0
"""mm between a side seam and a slash line: nearer, it cannot be told on which side of the seam the line lies."""


class Mark(NamedTuple):
    """A line to mark on the flat cloth: of which pleat (from 1), what it is, and how far it lies from the left end."""

    pleat: int
    role: str
    """ "fold", "place", "inner", or "stitch" for tucks."""

    at: float


class Level(NamedTuple):
    """The same cloth at another level: its finished width, and the spacing and intake there."""

    name: str
    finished: float
    spacing: float
    intake: float


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole plan.

    Attributes:
        asked: what it answers.
        finished: width with all pleats folded.
        count: of pleats, those set apart not counted.
        spacing: from one to the next as seen; of a single one with margins the whole width between them.
        intake: that each takes up, without what is lost in turning.
        depth_known: whether it is known how deep they are; tucks can be counted without.
    """

    asked: Asked
    finished: float
    count: int
    spacing: float
    intake: float
    depth_known: bool = True

    @property
    def marked_intake(self) -> float:
        """What is marked for each on the flat cloth: its intake and what is lost in turning its folds."""
        return self.intake + self.asked.lost

    @property
    def flat(self) -> float:
        """Width of the flat cloth, from seam to seam."""
        return self.finished + self.count * self.marked_intake + sum(self.asked.apart)

    @property
    def depth(self) -> float:
        """Outer fold to inner fold."""
        return self.intake / self.asked.takes

    @property
    def marked_depth(self) -> float:
        """Depth as marked on the flat cloth."""
        return self.marked_intake / self.asked.takes

    @property
    def face(self) -> float:
        """Width of a box pleat's face, 0 for kinds without; left out it is twice the depth, where there is room."""
        if not self.asked.kind.to_before.has_face:
            return 0.0
        return self.asked.face or min(2 * self.depth, self.spacing)

    @property
    def fullness(self) -> float:
        """1 for full pleats, less for shallow ones, more for those that overlap.

        A knife pleat is full when its depth is its spacing, a box or inverted pleat when it is half of it; both take up
        twice their spacing; NIMI pp. 203-204.
        """
        return self.intake / (2 * self.spacing)

    @property
    def named(self) -> str:
        """Full, shallow or overlapping; "" for tucks and for a pleat by itself."""
        alone = self.count == 1 and not self.asked.ring
        if self.asked.kind.stitched or not self.depth_known or alone:
            return ""
        off = self.intake - 2 * self.spacing
        return "full" if abs(off) <= SAME else "shallow" if off < 0 else "overlapping"

    @property
    def mean_layers(self) -> float:
        """How many layers of cloth lie on one another where there are pleats, on average."""
        pleated = self.finished - self.asked.plain
        return 1 + (self.count * self.intake + sum(self.asked.apart)) / pleated

    @property
    def first(self) -> float:
        """Where the first slash line lies on the finished piece, from its left end."""
        return self._first + self.shift

    @property
    def _first(self) -> float:
        ends = self.asked.ends
        return self.asked.plain + ends.margin + ends.share * self.spacing

    @property
    def shift(self) -> float:
        """How far to the right all lines lie of where half or full spaces have them, so that hidden cloth stays on the piece.

        It is 0 where it stays there anyway, and where it stays there nowhere, cf. `out`; and in a ring, where it runs on.
        """
        left, right = self._beyond()
        if (left <= HAIR and right <= HAIR) or not self.asked.ends.share or self.asked.ring:
            return 0.0
        last = self._first + (self.count - 1) * self.spacing
        low, high = max(left, -self._first), min(-right, self.finished - last)
        middle = (low + high) / 2
        room = min(self._first + middle, self.finished - last - middle)
        return middle if low <= high and room >= LEAST_END else 0.0

    @property
    def out(self) -> tuple[float, str]:
        """How far hidden cloth lies beyond an end of the piece, and beyond which: "left" or "right"."""
        left, right, shift = *self._beyond(), self.shift
        return max(left - shift, right + shift, 0.0), "left" if left - shift > right + shift else "right"

    def _beyond(self) -> tuple[float, float]:
        # How far hidden cloth lies beyond either end, where the lines are not shifted; negative where it ends before.
        at = [self._first + k * self.spacing for k in range(self.count)]
        reach = {towards: self.reach(towards) for towards in {self.towards(k) for k in range(self.count)}}
        left = max([reach[self.towards(k)][0] - place for k, place in enumerate(at)])
        return left, max([place + reach[self.towards(k)][1] - self.finished for k, place in enumerate(at)])

    def places(self) -> tuple[float, ...]:
        """Where the slash lines lie on the finished piece, from its left end."""
        first = self.first
        return tuple([first + k * self.spacing for k in range(self.count)])

    def towards(self, k: int) -> int:
        """Which way the folds of line k (from 0) point: -1 left, +1 right; left where nothing is said."""
        lap = self.asked.lap
        if lap in ("centre", "sides"):
            return 1 if (2 * k < self.count - 1) == (lap == "centre") else -1
        return 1 if lap == "right" else -1

    def reach(self, towards: int) -> tuple[float, float]:
        """How far the hidden cloth of a line whose folds point that way reaches to its left and right, as it lies folded."""
        steps = [self._at(step) for step in self.asked.kind.folds(towards).steps]
        return max(0.0, -min(steps)), max(0.0, max(steps))

    def most_layers(self) -> int:
        """How many layers lie on one another at most."""
        if self.asked.ring:
            return 1 + _most_round(list(self._strips(0)), self.spacing)
        strips = [
            (at + low, at + high) for k, at in enumerate(self.places()) for low, high in self._strips(self.towards(k))
        ]
        return 1 + _most(strips)

    def marks(self) -> list[Mark]:
        """Return the lines to mark along the top of the flat cloth, from its left end to its right one.

        A ring is closed at the inner fold nearest to where half a space before the first pleat would end it, so that the join
        is hidden; it is measured from there.
        """
        marks: list[Mark] = []
        inner: list[
            tuple[float, float]
        ] = []  # how far each inner fold lies from that place as folded, and on the flat cloth
        before = 0.0
        for k, place in enumerate(self.places()):
            lines, taken = self._lines(self.towards(k))
            here = [Mark(k + 1, role, place + before + at) for role, at, _ in lines]
            marks += sorted(here, key=lambda mark: mark.at)
            for (role, _, folded), mark in zip(lines, here, strict=True):
                if role == "inner":
                    off = (place + folded) % self.finished
                    inner.append((min(off, self.finished - off), mark.at))
            before += taken
        if not (self.asked.ring and inner):
            return marks
        nearest = min([off for off, _ in inner])
        join, flat = next(at for off, at in inner if off <= nearest + HAIR), self.flat
        turned = [mark._replace(at=(mark.at - join + HAIR) % flat - HAIR) for mark in marks]
        return sorted(turned, key=lambda mark: mark.at)

    def _lines(self, towards: int) -> tuple[list[tuple[str, float, float]], float]:
        # Of one pleat: the role of each line, how far it lies from the slash line on the flat cloth if nothing came before,
        # and as folded; and what the pleat takes up.
        kind, depth = self.asked.kind, self.marked_depth
        folds = kind.folds(towards)
        steps = [edge * self.face / 2 + reach * depth for edge, reach in folds.steps]
        folded = [self._at(step) for step in folds.steps]
        at = [steps[0]]
        for a, b in pairwise(steps):
            at.append(at[-1] + abs(b - a))
        lines = [("fold" if outer else "inner", at[n], folded[n]) for n, outer in enumerate(folds.outer, 1)]
        for p in folds.placements:
            edge = p.edge * self.face / 2
            lines.append(("place", at[p.folds_before] + abs(edge - steps[p.folds_before]), edge))
        if kind.stitched:
            middle = (at[0] + at[-1]) / 2
            lines = [("stitch", at[0], 0.0), ("fold", middle, 0.0), ("stitch", at[-1], 0.0)]
        return lines, at[-1] - at[0] - (steps[-1] - steps[0])

    def levels(self) -> tuple[Level, ...]:
        """The other levels of the same straight cloth: what is left of it there is shared among the pleats."""
        a, flat = self.asked, self.flat
        spare = a.plain + 2 * a.ends.margin
        share = (self.finished - spare) / self.spacing
        return tuple(
            [
                Level(name, wide, (wide - spare) / share, (flat - wide - sum(a.apart)) / self.count - a.lost)
                for name, wide in a.levels
            ]
        )

    def _at(self, step: tuple[int, int]) -> float:
        return step[0] * self.face / 2 + step[1] * self.depth

    def _strips(self, towards: int) -> Iterator[tuple[float, float]]:
        # The hidden layers of one pleat, as it lies folded, from its own slash line.
        for a, b in pairwise(self.asked.kind.folds(towards or self.towards(0)).steps):
            if a[0] == b[0]:
                yield min(self._at(a), self._at(b)), max(self._at(a), self._at(b))


def _most(strips: list[tuple[float, float]]) -> int:
    events = sorted([e for low, high in strips if high - low > 2 * HAIR for e in ((low + HAIR, 1), (high - HAIR, -1))])
    most = here = 0
    for _, step in events:
        here += step
        most = max(most, here)
    return most


def _most_round(strips: list[tuple[float, float]], period: float) -> int:
    # The same where every strip comes again after each period.
    whole, parts = 0, []
    for low, high in strips:
        times = math.floor((high - low + HAIR) / period)
        whole += times
        start, rest = low % period, high - low - times * period
        parts += [(start, start + rest), (start - period, start + rest - period)]
    return whole + _most([(max(a, 0.0), min(b, period)) for a, b in parts])
