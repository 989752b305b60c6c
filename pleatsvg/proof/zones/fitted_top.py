"""What a fitted result is asked beside its two zones: its panels, the length of its top, its cutting line."""

from __future__ import annotations

from itertools import pairwise

from pleatsvg.geometry.nearest import FoundOutline, Nearest
from pleatsvg.proof.figures import Figure, Most
from pleatsvg.proof.folded_pass import FoldedPass, Span, where
from pleatsvg.proof.raw_edges import corner_between, see_cut_runs
from pleatsvg.proof.reassemble import lies_along
from pleatsvg.proof.zones.fold_zones import splits_of, zone_runs
from pleatsvg.tolerance import FITTED_OFF, FOLD_BACK, FOLD_BACK_CUT, ON_LINE


def fitted_figures(below: FoldedPass, above: FoldedPass, asked: float | None) -> list[Figure]:
    """Return how far panels turn about other points than the hip points, and by how much the top misses its length (mm).

    Args:
        below, above: the two zones, folded.
        asked: the length that the result states.
    """
    most = _turns(below, above)
    figures = [
        Figure(
            "hip_points",
            "is not turned about the point where its line bends",
            most.value,
            FOLD_BACK,
            "mm",
            most.place.rstrip(","),
            most.value,
        )
    ]
    if asked is not None:
        off = abs(folded_top(above) - asked)
        figures.append(
            Figure(
                "folded_top", "misses the length that it was fitted to", off, FITTED_OFF, "mm", "the folded top", off
            )
        )
    return figures


def _turns(below: FoldedPass, above: FoldedPass) -> Most:
    # From the piece folded below the hip to the one folded above it, each panel moves by a motion of its own. Those of the
    # panels on either side of an edge take its hip point, where the fold line beside one of them bends, to one place.
    most = Most()
    creases = below.creases
    last = len(creases)
    middle = last // 2 if _folded_at_centre(below) else -1
    panels = [
        k
        for k in range(last + 1)
        if k in (0, last)
        or (k != middle and _whose(creases[k - 1]) != _whose(creases[k]))
        or (creases[k - 1].brought and creases[k].brought)
    ]
    for one, other in pairwise(panels):
        at = next((k for k in (one, other - 1) if creases[k].brought), None)
        if at is None:
            continue
        panel, beyond = (one, other) if at == one else (other, one)
        spot = creases[at].top
        there = above.layers[panel].motion.of(spot)
        back = below.layers[beyond].motion.back(below.layers[panel].motion.of(spot))
        off = abs(above.layers[beyond].motion.of(back) - there)
        most.see(off, f"the panel beside {creases[at].words}, {where(spot)},")
    return most


def _folded_at_centre(done: FoldedPass) -> bool:
    # Whether half a pleat lies on the fold edge, so that the cloth there is hidden.
    centre = done.centre
    return centre is not None and any(
        crease.brought and lies_along(tuple([done.layers[k].motion.of(z) for z in (crease.top, crease.hem)]), centre)
        for k, crease in enumerate(done.creases)
    )


def _whose(span: Span) -> tuple[int, bool]:
    return span.line.pleat, span.other_half


def folded_top(above: FoldedPass) -> float:
    """Return how long the folded top is from corner to corner, darts sewn up (mm); of a half piece, that of the half;
    all round, that of one round."""
    if above.round_ is not None:
        return above.round_length(0)
    finished = above.finished
    n = len(finished)
    places = []
    for k, crease in enumerate(above.creases):
        spot = finished.nearest.of(above.layers[k].motion.of(crease.top))
        places.append(spot.segment + spot.share)
    assert above.cover is not None
    start = above.cover[0]
    counted = [start + (place - start) % n for place in places]
    low, high = finished.corners_around(min(counted), max(counted))
    length = finished.sewn_distance(float(low), float(high))
    return length / 2 if above.centre is not None else length


def cutting_of_zone(done: FoldedPass) -> Most:
    """Return how far the cutting line of a zone, folded, misses the finished one (mm)."""
    assert done.cutting is not None
    flat, finished = done.cutting
    if (flat.area > 0) != (done.seam.area > 0):
        flat = FoundOutline(flat.reversed().segments)
    most = Most()
    above = done.zone == "above"
    ends: list[float] = []
    for crease in done.creases:
        inner, end = (crease.hem, crease.top) if above else (crease.top, crease.hem)
        hits = [hit for hit in flat.crossings(inner, (end - inner) / abs(end - inner)) if hit.along > ON_LINE]
        if not hits:
            most.see(float("inf"), f"{crease.words}, which does not cross it,", FOLD_BACK_CUT)
            return most
        ends.append(min(hits, key=lambda hit: hit.along).at)
    exits = []
    for z, way in done.level:
        hits = [hit for hit in flat.crossings(z, way) if hit.along > -FOLD_BACK_CUT]
        exits.append(min(hits, key=lambda hit: abs(hit.along)).point if hits else z)
    order = _in_order(flat, ends if above else ends[::-1], done)
    order = order if above else order[::-1]
    splits = splits_of("the cutting line", flat, order, exits, done.zone)
    free = Nearest(done.free) if done.free else None
    for number, runs in enumerate(zone_runs(flat, order, splits, done.zone)):
        see_cut_runs(most, runs, done, number, finished, free)
    return most


def _in_order(flat: FoundOutline, row: list[float], done: FoldedPass) -> list[float]:
    # Where creases meet the cutting line on the way round it; two that meet before they reach it end at the corner between.
    places = [row[0]]
    free = Nearest(done.free) if done.free else None
    for here in row[1:]:
        at = flat.counted_near(here, places[-1])
        if at < places[-1]:
            at = corner_between(flat, at, places[-1], free)
            places = [min(place, at) for place in places]
        places.append(at)
    return places
