"""The notches of a companion: where folds come to lie, and where a pleated piece begins and ends. Lengths are in mm."""

from __future__ import annotations

from itertools import pairwise

from pleatsvg.companion.folded_edge import TOGETHER
from pleatsvg.companion.placed import Placed
from pleatsvg.geometry.outline import Outline
from pleatsvg.marks.notches import NOTCH, SHORTEST_SNIP, SNIP, SNIP_CLEAR, TRIANGLE
from pleatsvg.result.lettering import CAPITALS, SIZE, Words, readable, width_of
from pleatsvg.result.mark import Mark, MeasuredNotch

COMPANION = "companion"
"""What the notches of a companion say that they belong to."""

_CLEAR = 2.2
"""mm between the seam and the words beside a notch."""

_PITCH = 5.6


def companion_notches(placed: Placed, cutting: Outline | None, notch: str | None) -> tuple[list[MeasuredNotch], int]:
    """Return the notches, and how many had no room.

    A fold has a snip into the allowance (without one, a stroke outwards), the ends of a pleated piece a triangle that stands
    out. The notch of a fold leans as the fold line does that runs on through the allowance, so that both meet at the cut edge.

    Args:
        placed: where they stand.
        cutting: the cutting line, or None.
        notch: "snip" or "triangle" for all.
    """
    made: list[MeasuredNotch] = []
    without = 0
    outline = placed.piece.outline
    for spot in placed.spots:
        if placed.fold_at is not None and abs(spot.at - placed.fold_at) <= TOGETHER:
            continue  # nothing can be snipped on the fold of the cloth
        z, out, towards = _at(placed, outline, spot.place)
        way = out + spot.lean * towards
        way /= abs(way)
        room = 0.0 if cutting is None else _room(cutting, z, way)
        edge = z + room * way
        points: tuple[complex, ...]
        snip = notch == "snip" or (notch is None and bool(spot.pleats))
        pleat, folds = (spot.pleats[0], spot.pleats) if spot.pleats else (0, ())
        if not snip:
            half = TRIANGLE[0] * 1j * way
            points = (edge - half, edge + TRIANGLE[1] * way, edge + half, edge - half)
        elif cutting is None:
            points = (z, z + NOTCH * way)
        else:
            length = min(SNIP, room / 2, room - SNIP_CLEAR)
            if length < SHORTEST_SNIP:
                without += 1
                continue
            points = (edge, edge - length * way)
        mark = Mark("notch", points, (len(points),), COMPANION, pleat, folds, "fold" if spot.pleats else "end")
        made.append(MeasuredNotch(mark, spot.at, ", ".join([placed.match.pleated[k].piece for k in spot.of])))
    return made, without


def _at(placed: Placed, outline: Outline, place: float) -> tuple[complex, complex, complex]:
    # A place of the seam, the way out of the piece, and the way along the edge in which it is sewn.
    inside = min(max(place, placed.edge.start), placed.edge.end - 1e-9)
    along = outline.heading(inside)
    return outline.point(place), -1j * along, -along if placed.back else along


def _room(cutting: Outline, z: complex, way: complex) -> float:
    return min([hit.along for hit in cutting.crossings(z, way) if hit.along > -1e-6], default=0.0)


def notch_words(placed: Placed) -> list[Words]:
    """Return the number of each fold beside its notch, as far as there is room, and below them what is sewn there."""
    outline = placed.piece.outline
    made: list[Words] = []
    high = SIZE * CAPITALS
    reached: float | None = None
    folds = [spot for spot in placed.spots if spot.pleats]
    numbers = [", ".join(map(str, spot.pleats)) for spot in folds]
    spaces = [b.at - a.at for a, b in pairwise(folds)]
    worded = bool(folds) and min([*spaces, 40.0]) > width_of(f"FOLD {max(numbers, key=len)}", SIZE) + 4.0
    for spot, number in zip(folds, numbers, strict=True):
        text = f"FOLD {number}" if worded else number
        wide = width_of(text, SIZE)
        if reached is not None and spot.at - wide / 2 < reached + 1.0:
            continue
        reached = spot.at + wide / 2
        # Wholly on the piece, as at a fold edge that a fold comes to lie on.
        inset = wide / 2 + _CLEAR
        at = min(max(spot.at, inset), placed.edge.length - inset) if 2 * inset < placed.edge.length else spot.at
        z, out, _ = _at(placed, outline, placed.place_of(at))
        made.append(Words(text, z - out * (_CLEAR + high / 2), readable(out * 1j), SIZE, "notch-label"))
    base = placed.match.start
    for edge in placed.match.pleated:
        at = base + edge.length / 2
        base += edge.length
        z, out, _ = _at(placed, outline, placed.place_of(at))
        count = len(edge.folds)
        for text in (f"{edge.piece}: {count} fold{'' if count == 1 else 's'}", edge.piece):
            if width_of(text, SIZE) < edge.length:
                middle = z - out * (_CLEAR + high / 2 + _PITCH)
                made.append(Words(text, middle, readable(out * 1j), SIZE, "notch-label"))
                break
    return made
