"""The notches of a companion, against the seam that they stand at and what each says of its place along it."""

from __future__ import annotations

from pleatsvg.geometry.nearest import FoundOutline
from pleatsvg.proof.figures import Most
from pleatsvg.proof.folded_pass import where
from pleatsvg.result.pattern_lines import PatternLine, ResultPiece
from pleatsvg.tolerance import NOTCH_OFF


def measured_notches(piece: ResultPiece) -> list[PatternLine]:
    """Return the notches of a piece that say how far along its edge they stand, in that order."""
    found = [mark for mark in piece.marks if mark.role == "notch" and mark.tag.at is not None and mark.tag.of]
    return sorted(found, key=lambda mark: mark.tag.at or 0.0)


def sewn_to(piece: ResultPiece) -> tuple[tuple[str, int], ...]:
    """Return the names of the pleated pieces that a companion is sewn to, each with how many notches for folds it has."""
    counts: dict[str, int] = {}
    notches = measured_notches(piece)
    for notch in notches:
        if notch.tag.end == "fold":
            counts[notch.tag.of] = counts.get(notch.tag.of, 0) + 1
    for notch in notches[:1] + notches[-1:]:  # between two pieces that meet one notch stands for both
        counts.setdefault(notch.tag.of, 0)
    return tuple(counts.items())


def notches_along(piece: ResultPiece, seam: FoundOutline) -> Most:
    """Return how far the notches of a companion lie off the places that they state, along its seam (mm).

    A notch stands where its middle line, produced, meets the seam. The places are counted from the corner at which the edge
    begins, so that no two notches can be moved together.
    """
    most = Most()
    notches = measured_notches(piece)
    spots = [_on_seam(notch, seam) for notch in notches]
    places: list[float] = []
    for spot in spots:
        places.append(seam.counted_near(spot, places[-1]) if places else spot)
    way = 1.0 if places[-1] >= places[0] else -1.0
    base = notches[0].tag.at or 0.0
    far = base
    for k, notch in enumerate(notches):
        if k:
            step = seam.sewn_distance(*sorted((places[k - 1], places[k])))
            far += step * (way if places[k] >= places[k - 1] else -way)
        z = seam.point(places[k])
        most.see(abs(far - (notch.tag.at or 0.0)), f"the notch of the companion, {where(z)},", NOTCH_OFF)
    back = seam.sewn_walk(places[0], base) if way < 0 else _walked_back(seam, places[0], base)
    corners = [seam.point(float(corner)) for corner in seam.edge_corners]
    if corners:
        off = min([abs(corner - seam.point(back)) for corner in corners])
        most.see(off, f"the first notch of the companion, {where(seam.point(places[0]))},", NOTCH_OFF)
    return most


def _walked_back(seam: FoundOutline, place: float, distance: float) -> float:
    turned = FoundOutline(seam.reversed().segments)
    n = len(seam)
    return (n - turned.sewn_walk((n - place) % n, distance)) % n


def _on_seam(notch: PatternLine, seam: FoundOutline) -> float:
    # Of a stroke its own line, of a triangle the line from the middle of its shortest side to its tip. Those of ends stand
    # square to the seam, most of them at a corner, beside which their line may run along the next edge.
    points: list[complex] = []
    for stroke in notch.strokes:
        for seg in stroke:
            points += [z for z in (seg[0], seg[-1]) if all(abs(z - w) > 1e-3 for w in points)]
    if len(points) == 3:
        tip = max(points, key=lambda z: sum(abs(z - w) for w in points))
        base = [z for z in points if z != tip]
        points = [sum(base) / 2, tip]
    middle = points[0]
    if notch.tag.end == "fold" and len(points) == 2:
        along = (points[1] - points[0]) / abs(points[1] - points[0])
        hits = seam.crossings(middle, along)
        if hits:
            hit = min(hits, key=lambda hit: abs(hit.along))
            return hit.at
    spot = seam.nearest.of(middle)
    return spot.segment + spot.share
