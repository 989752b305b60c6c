"""Once round the flat piece: which layer takes which way along the outline, and where that comes to lie."""

from __future__ import annotations

import itertools
from typing import NamedTuple

from pleatsvg.motion import Motion, moved
from pleatsvg.outline import Outline, Stretch
from pleatsvg.segment import Segment, cut
from pleatsvg.slash import Chord


class FlatEdge(NamedTuple):
    """One segment of the flat seam: its points (mm), the layer of cloth it bounds, and the part of the seam it is."""

    points: Segment
    layer: int
    origin: Stretch


class Leg(NamedTuple):
    """A way along an outline, from place to place, that one layer takes; or (`fold`) along the fold edge itself."""

    start: float
    end: float
    layer: int
    fold: Chord | None = None


def legs_of(outline: Outline, chords: list[Chord], first: Chord | None, last: Chord | None) -> list[Leg]:
    """Return the legs once round, from the hem end of the first crease on.

    Args:
        outline: walked so that the creases' top ends ascend in place.
        chords: the fold lines on the finished piece, in order.
        first, last: the fold edge, where it lies before or after them all.
    """
    n = len(outline)
    end = len(chords)
    if first is None:
        legs = [Leg(chords[0].hem_at, chords[0].top_at + n, 0)]
    else:
        legs = [
            Leg(chords[0].hem_at, first.hem_at, 0),
            Leg(1.0, 0.0, 0, first),
            Leg(first.top_at, chords[0].top_at, 0),
        ]
    legs += [Leg(a.top_at, b.top_at, k) for k, (a, b) in enumerate(itertools.pairwise(chords), 1)]
    if last is None:
        legs.append(Leg(chords[-1].top_at, chords[-1].hem_at, end))
    else:
        legs += [
            Leg(chords[-1].top_at, last.top_at, end),
            Leg(0.0, 1.0, end, last),
            Leg(last.hem_at, chords[-1].hem_at, end),
        ]
    legs += [Leg(chords[k].hem_at, chords[k - 1].hem_at, k) for k in range(end - 1, 0, -1)]
    return legs


def edges_of(outline: Outline, legs: list[Leg], motions: list[Motion]) -> list[FlatEdge]:
    """Return the segments of the outline along some legs, each moved with its layer.

    A fold edge comes from a segment of its own, numbered after the outline's last.
    """
    edges: list[FlatEdge] = []
    for start, end, layer, fold in legs:
        motion = motions[layer]
        if fold is not None:
            line = (fold.top, fold.hem) if start < end else (fold.hem, fold.top)
            edges.append(FlatEdge(moved(line, motion), layer, Stretch(len(outline), start, end, 0)))
            continue
        for stretch in outline.stretches(start, end):
            edges.append(
                FlatEdge(moved(cut(outline.segments[stretch.segment], stretch.t0, stretch.t1), motion), layer, stretch)
            )
    return edges
