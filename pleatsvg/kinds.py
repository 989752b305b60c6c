"""The kinds of pleat, each a list of fold lines in the finished piece.

A fold line is named by the edge of the pleat's face that it belongs to and by how far it lies from it: `reach` 0 is
the edge itself, where an outer fold finishes, +1 and -1 are one fold depth towards the pleats after and before it.
The list is in the order in which the cloth meets the folds, coming from the pleats before. What a pleat takes up,
where its placement lines lie, which folds come to lie on them and which fold outwards all follow from the list, so a
new kind is a new list and nothing else. The intake is exact for lists of reaches 0 and 1; in one that reaches farther the
folds of a tapered pleat lean by different angles, and it is met within a thousandth.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import NamedTuple, TypeVar

_T = TypeVar("_T")


class Fold(NamedTuple):
    """One fold line: `edge` in halves of the face from the slash line (-1, 0, 1), `reach` in fold depths."""

    edge: int
    reach: int


class Placement(NamedTuple):
    """A placement line: on `edge`, after so many `folds_before`; `carries` numbers (from 1) the folds laid on it."""

    edge: int
    folds_before: int
    carries: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class FoldList:
    """The fold lines of one pleat in order, and what follows from them; compared by identity: each list exists once."""

    folds: tuple[Fold, ...]

    @cached_property
    def steps(self) -> tuple[tuple[int, int], ...]:
        """(edge, reach) where the pleat begins, at each fold, and where it ends."""
        return ((self.folds[0].edge, 0), *self.folds, (self.folds[-1].edge, 0))

    @cached_property
    def depths_taken(self) -> int:
        """How many fold depths the pleat takes up: the sum of the straight steps over all its layers."""
        return sum(abs(r1 - r0) for (e0, r0), (e1, r1) in pairwise(self.steps) if e0 == e1)

    @cached_property
    def placements(self) -> tuple[Placement, ...]:
        """Where the cloth passes under an outer fold without being folded there: the placement lines."""
        found: list[Placement] = []
        last = len(self.steps) - 2
        for k, ((e0, r0), (e1, r1)) in enumerate(pairwise(self.steps)):
            if e0 != e1:
                continue
            begins = k == 0 and r0 == 0 and r1 != 0
            ends = k == last and r1 == 0 and r0 != 0
            if begins or ends or r0 * r1 < 0:
                carries = tuple(n for n, fold in enumerate(self.folds, 1) if fold == Fold(e0, 0))
                found.append(Placement(e0, k, carries))
        return tuple(found)

    @cached_property
    def outer(self) -> tuple[bool, ...]:
        """For each fold, whether it is an outer fold of a pleat that lies beneath the cloth: a mountain on the right side.

        The cloth turns under at a fold to which it does not come away from its edge, and back up at the others. A pleat
        that lies on the cloth, as a tuck does, is folded the other way throughout.
        """
        return tuple(
            [not (e0 == e1 and (abs(r1) > abs(r0) or r0 * r1 < 0)) for (e0, r0), (e1, r1) in pairwise(self.steps[:-1])]
        )

    @cached_property
    def alike_on_both_sides(self) -> bool:
        """Whether the list read backwards is its own mirror image."""
        return self.folds == tuple([Fold(-edge, -reach) for edge, reach in reversed(self.folds)])

    def half(self, side: int) -> tuple[tuple[Fold, ...], tuple[Placement, ...]]:
        """Return the folds and placement lines before (-1) or after (+1) the middle, where the cloth is cut on the fold.

        They are counted from 1 within the half; a placement line in the middle itself is the new fold edge.
        """
        low, high = self._half(side)
        placements = tuple(
            [
                Placement(p.edge, p.folds_before - low, tuple([n - low for n in p.carries if low < n <= high]))
                for p in self.placements
                if low <= p.folds_before <= high and any(low < n <= high for n in p.carries)
            ]
        )
        return self.folds[low:high], placements

    def half_of(self, values: tuple[_T, ...], side: int) -> tuple[_T, ...]:
        """Return those of some values, one for each fold, that belong to the half; all of them for `side` 0."""
        low, high = self._half(side) if side else (0, len(self.folds))
        return values[low:high]

    def _half(self, side: int) -> tuple[int, int]:
        middle = len(self.folds) // 2
        return (0, middle) if side < 0 else (middle, len(self.folds))

    def layer_of(self, place: int) -> int:
        """Return which layer of a stack a fold (counted from 1) belongs to, in the order of folding; 1 where there is one."""
        count = len(self.folds)
        if not self.alike_on_both_sides:
            return (place + 1) // 2
        return (min(place, count + 1 - place) + 1) // 2

    @cached_property
    def layers(self) -> tuple[int, ...]:
        """For each fold, which layer of a stack it belongs to; of half a pleat, those of its half (`half_of`)."""
        return tuple([self.layer_of(place) for place in range(1, len(self.folds) + 1)])

    @cached_property
    def sides(self) -> tuple[str, ...]:
        """For each fold, "a" or "b" where the folds of the pleat's two sides come to lie on lines of their own; else ()."""
        count = len(self.folds)
        if not self.has_face or not self.alike_on_both_sides or count % 2:
            return ()
        return ("a",) * (count // 2) + ("b",) * (count // 2)

    @cached_property
    def has_face(self) -> bool:
        """Whether the pleat has a face of its own, of a width to be chosen."""
        return any(fold.edge for fold in self.folds)


@dataclass(frozen=True, eq=False)
class Kind:
    """A kind of pleat; there is one of each.

    `to_before` and `to_after` are its lists for outer folds that point to the pleats before and after it; they are
    one and the same for a kind that is alike on both sides.
    """

    name: str
    to_before: FoldList
    to_after: FoldList
    about: str
    stitched: bool = False
    """Whether it lies on the face, held by stitching: its edge is the stitching line, its other fold the fold line."""

    kicks: bool = False
    """Whether it lies in the lower part of its line only, which is a seam above it."""

    backed: bool = False
    """Whether an underlay lies behind two meeting folds, that can be a piece of its own."""

    stacks: bool = False
    """Whether several layers of it can lie on one another."""

    in_runs: bool = False
    """Whether it comes in runs so close that one label names a whole run."""

    together: str = ""
    """What its folds do, in words, for a kind that is alike on both sides."""

    @property
    def noun(self) -> str:
        """What to call one of them: a knife pleat, but a tuck."""
        return self.name if self.stitched else f"{self.name} pleat"

    @property
    def needs_lap(self) -> bool:
        """Whether the way the folds point has to be said."""
        return self.to_before is not self.to_after

    def folds(self, towards: int, stack: int = 1) -> FoldList:
        """Return the list for folds that point to the pleats before (-1) or after (+1), `stack` layers on one another."""
        once = self.to_before if towards < 0 else self.to_after
        return once if stack == 1 else _stacked(once, stack)


@lru_cache(maxsize=64)
def _stacked(once: FoldList, layers: int) -> FoldList:
    # A list that is alike on both sides is repeated half by half, from the middle outwards.
    if not once.alike_on_both_sides:
        return FoldList(once.folds * layers)
    middle = len(once.folds) // 2
    return FoldList(once.folds[:middle] * layers + once.folds[middle:] * layers)


def _alike(*folds: Fold) -> tuple[FoldList, FoldList]:
    both = FoldList(folds)
    return both, both


KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(
            "knife",
            FoldList((Fold(0, +1), Fold(0, 0))),
            FoldList((Fold(0, 0), Fold(0, -1))),
            "all folds point one way; the fold line finishes on the slash line",
            stacks=True,
        ),
        Kind(
            "box",
            *_alike(Fold(-1, +1), Fold(-1, 0), Fold(+1, 0), Fold(+1, -1)),
            "two folds point away from each other, the face between them; the slash line is the middle of the face",
            stacks=True,
            together="folds point away from each other",
        ),
        Kind(
            "inverted",
            *_alike(Fold(0, 0), Fold(0, -1), Fold(0, +1), Fold(0, 0)),
            "two folds meet on the slash line, the underlay lies behind them",
            backed=True,
            stacks=True,
            together="folds meet",
        ),
        Kind(
            "kick",
            *_alike(Fold(0, 0), Fold(0, -1), Fold(0, +1), Fold(0, 0)),
            "an inverted pleat in the lower part of a seam",
            backed=True,
            kicks=True,
            together="folds meet",
        ),
        Kind(
            "tuck",
            FoldList((Fold(0, 0), Fold(0, -1))),
            FoldList((Fold(0, +1), Fold(0, 0))),
            "a fold stitched down on the face; the slash line is its stitching",
            stitched=True,
        ),
        Kind(
            "pin-tuck",
            FoldList((Fold(0, 0), Fold(0, -1))),
            FoldList((Fold(0, +1), Fold(0, 0))),
            "a tuck a few millimetres deep",
            stitched=True,
            in_runs=True,
        ),
    )
}
"""The kinds by name, in the order in which help lists them."""


def is_kick(kind: str) -> bool:
    """Return whether a kind, as a result names it, lies in the lower part of its line only."""
    return kind in KINDS and KINDS[kind].kicks


def is_stitched(kind: str) -> bool:
    """Return whether a kind, as a result names it, lies on the face and is held by stitching."""
    return kind in KINDS and KINDS[kind].stitched


def noun_of(kind: str) -> str:
    """Return what a pleat of a kind is called where it is counted: "pleat", "tuck", "pin tuck"."""
    return kind.replace("-", " ") if is_stitched(kind) else "pleat"


def called(kind: str, number: int) -> str:
    """Return what to call a pleat of a kind at the beginning of a sentence: "Pleat 3", "Pin tuck 3"."""
    return f"{noun_of(kind).capitalize()} {number}"
