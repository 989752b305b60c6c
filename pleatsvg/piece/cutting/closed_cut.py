"""A drawn cutting line over a dart that is closed: led to the dart's point and back, where its legs lie on one another."""

from __future__ import annotations

from collections.abc import Iterable

from pleatsvg.errors import FitError
from pleatsvg.geometry.outline import Crossing, Outline
from pleatsvg.length import show
from pleatsvg.piece.pivots.closed import ClosedDart
from pleatsvg.tolerance import EASED, ON_LINE


def led_to_points(cut: Outline, darts: Iterable[ClosedDart], unit: str) -> Outline:
    """Return a drawn cutting line with two lines over every dart in the place of what was drawn there.

    Args:
        cut: walked as the seam is, clockwise.
        darts: that are closed.
        unit: for messages.

    Raises:
        FitError: it does not run over the dart, or its two sides would not meet.
    """
    for dart in darts:
        first, last = (_crossed(cut, dart, end) for end in (dart.start, dart.end))
        off = abs(first.along - last.along)
        if off > EASED:
            raise FitError(
                f"The drawn cutting line over {dart.words}",
                f"lies {show(first.along, unit)} and {show(last.along, unit)} from the dart's point along its two legs",
                f"closed, its two sides meet; up to {show(EASED, unit)} is made even by hand",
                "Draw it as far from the point on both sides; or leave it out and give an allowance.",
            )
        n = len(cut)
        start, end = first.at, last.at
        kept = [cut.part(s) for s in cut.stretches(end, start + (n if start < end else 0))]
        kept = [seg for seg in kept if max(abs(z - seg[0]) for z in seg[1:]) > ON_LINE]
        kept[0] = (last.point, *kept[0][1:])
        kept[-1] = (*kept[-1][:-1], first.point)
        cut = Outline((*kept, (first.point, dart.point), (dart.point, last.point)))
    return cut


def _crossed(cut: Outline, dart: ClosedDart, end: complex) -> Crossing:
    # Where a leg, produced, meets the cutting line.
    leg = end - dart.point
    hits = [hit for hit in cut.crossings(dart.point, leg / abs(leg)) if hit.along >= abs(leg) - ON_LINE]
    if not hits:
        raise FitError(
            f"The drawn cutting line over {dart.words}",
            "is not met by its legs, produced",
            "it runs on over the dart outside the seam",
            "Draw it over the dart's mouth; or leave it out and give an allowance.",
        )
    return min(hits, key=lambda hit: hit.along)
