"""A dart that is closed: its point, its two legs as straight lines, and the angle between them that opens elsewhere.

Cloth round the point of a dart is a cone. Cut flat, its angle may stand open anywhere: at the dart as drawn, or, once that is
closed, along a line from the seam to the point. The finished shape is then the piece with the dart open, as it lies when the
pleats are folded; in the flat piece the two legs lie on one another, and what pleats take up has opened at the point.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from pleatsvg.errors import FitError
from pleatsvg.geometry.motion import Motion, bearing
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, point_at
from pleatsvg.length import show
from pleatsvg.tolerance import EASED, LEG_BENT, ON_LINE


class ClosedDart(NamedTuple):
    """A dart that is to be closed, in mm on the drawing.

    Attributes:
        words: what to call it, as in "the dart in the top".
        edge: the name of the seam edge that it lies in.
        point: where its legs meet.
        start, end: where they reach the seam, in the order of the outline clockwise.
    """

    words: str
    edge: str
    point: complex
    start: complex
    end: complex

    @property
    def angle(self) -> float:
        """Between its legs, in radians."""
        return abs(bearing((self.end - self.point) / (self.start - self.point)))

    @property
    def mouth(self) -> float:
        """How wide it is at the seam, straight across, mm."""
        return abs(self.end - self.start)

    @property
    def eased(self) -> float:
        """By how much its legs differ, mm."""
        return abs(abs(self.end - self.point) - abs(self.start - self.point))

    @property
    def way(self) -> complex:
        """The direction, of length 1, from its point out through the middle of its mouth."""
        one, other = ((z - self.point) / abs(z - self.point) for z in (self.start, self.end))
        return (one + other) / abs(one + other)


class TakenDart(NamedTuple):
    """A dart that fitted pleats take in, in mm on the drawing.

    Attributes:
        dart: as drawn.
        width: of the seam that fills its mouth.
        way: who shares it: "nearest", the lines either side, or "all" lines.
    """

    dart: ClosedDart
    width: float
    way: str

    @property
    def depth(self) -> float:
        """From the middle of its mouth to its point."""
        return abs(self.dart.point - (self.dart.start + self.dart.end) / 2)

    def moved(self, by: Motion) -> TakenDart:
        """Return it where a motion takes it that does not turn the cloth over."""
        one = self.dart
        return self._replace(dart=one._replace(point=by.of(one.point), start=by.of(one.start), end=by.of(one.end)))


def refuse_uneven(dart: ClosedDart, bent: float, unit: str) -> None:
    """Refuse a dart whose legs cannot be sewn together, and so cannot be closed on paper either.

    Args:
        dart: as drawn.
        bent: how far its legs leave the straight lines from mouth to point, mm.
        unit: for messages.

    Raises:
        FitError: its legs differ in length or are bent by too much.
    """
    subject = dart.words[0].upper() + dart.words[1:]
    if dart.eased > EASED:
        legs = (abs(z - dart.point) for z in (dart.start, dart.end))
        one, other = (show(leg, unit) for leg in legs)
        raise FitError(
            subject,
            f"has legs of {one} and {other}, {show(dart.eased, unit)} apart",
            f"the two are closed onto one another, and up to {show(EASED, unit)} is eased in",
            "Move an end of the shorter leg along the seam, or the point of the dart, until both are as long.",
        )
    if bent > LEG_BENT:
        raise FitError(
            subject,
            f"has a leg that is bent by {show(bent, unit)}",
            f"a dart is turned about its point along straight legs; {show(LEG_BENT, unit)} are straightened",
            "Draw its legs straight; a curved dart is sewn where it is drawn.",
        )


def bend_of(leg: list[Segment], point: complex, end: complex) -> float:
    """Return how far a leg leaves the straight line between its ends, mm."""
    along = (end - point) / abs(end - point)
    return max([abs(((point_at(seg, k / 16) - point) * along.conjugate()).imag) for seg in leg for k in range(17)])


def with_notch(outline: Outline, places: tuple[float, float], dart: ClosedDart) -> Outline:
    """Return an outline whose way from one place to a later one is led to the point of a dart and back in two lines."""
    start, end = places
    n = len(outline)
    kept = [outline.part(s) for s in outline.stretches(end, start + n)]
    kept = [seg for seg in kept if max(abs(z - seg[0]) for z in seg[1:]) > ON_LINE]
    kept[0], kept[-1] = (dart.end, *kept[0][1:]), kept[-1]
    kept[-1] = (*kept[-1][:-1], dart.start)
    legs = (dart.start, dart.point), (dart.point, dart.end)
    return Outline((*kept, *legs)).from_top_left()


def legs_of_darts(outline: Outline, darts: Iterable[ClosedDart]) -> frozenset[int]:
    """Return the numbers of those segments of a seam, or of its cutting line, that are the legs of some darts."""
    return legs_of_points(outline, [dart.point for dart in darts])


def legs_of_points(outline: Outline, points: Iterable[complex]) -> frozenset[int]:
    """Return the same of the darts whose points are given."""
    found: set[int] = set()
    for point in points:
        node = node_at(outline, point)
        if node is not None:
            found |= {(node - 1) % len(outline), node}
    return frozenset(found)


def node_at(outline: Outline, point: complex) -> int | None:
    """Return the node of an outline that lies at a point, or None."""
    return next((k for k, seg in enumerate(outline.segments) if abs(seg[0] - point) <= ON_LINE), None)
