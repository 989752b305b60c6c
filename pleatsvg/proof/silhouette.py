"""Whether the folded outline is the finished seam all the way round, and no layer pokes out of it."""

from __future__ import annotations

from itertools import pairwise

from pleatsvg.geometry.nearest import FoundOutline, Nearest
from pleatsvg.geometry.segment import length_of, point_at
from pleatsvg.proof.figures import Most
from pleatsvg.proof.folded_pass import FoldedPass, where
from pleatsvg.proof.raw_edges import SURE, RawEdge, samples
from pleatsvg.tolerance import FOLD_BACK, GROSS


def silhouette_miss(done: FoldedPass, edges: list[RawEdge]) -> tuple[Most, bool]:
    # The edges must cover the finished seam without a gap, and go once round it, there and back counted.
    finished = done.finished
    n = len(finished)
    most = Most()
    spans: list[tuple[float, float]] = []
    # A zone of a fitted piece covers a part of its finished line.
    begin, stop = done.cover if done.cover is not None else (0.0, float(n))
    for edge in edges:
        if edge.matched:
            low, high = sorted((edge.start, edge.end))
            low, high = (low - begin) % n, (low - begin) % n + high - low
            spans.append((low, high))
            if high > n:
                spans.append((0.0, high - n))
            most.see(edge.miss, "the finished seam")
    gaps: list[tuple[float, float]] = []
    reached = 0.0
    for low, high in sorted(spans):
        if low > reached:
            gaps.append((reached, low))
        reached = max(reached, high)
    if reached < stop - begin:
        gaps.append((reached, stop - begin))
    gaps = [(low + begin, min(high, stop - begin) + begin) for low, high in gaps if low < stop - begin]
    cloth: Nearest | None = None
    for start, end in gaps:
        length = finished.distance(start, end)
        if length / 2 <= SURE:
            most.see(length / 2, "the finished seam")
            continue
        if cloth is None:
            # Cloth that lies over a gap without an edge there reaches it just as well; only edges are drawn for that.
            cloth = Nearest([edge.folded for edge in edges])
        for stretch in finished.stretches(start, end):
            part = finished.part(stretch)
            for t in samples(part, 0.0 if most.value > GROSS else length_of(part), finished):
                z = point_at(part, t)
                most.see(cloth.of(z).away, f"the folded outline, where the hidden finished seam lies {where(z)},")
    # Rounds are counted in mm, for a segment of no length to speak of is no part of a round. Free edges leave the way.
    sums = [0.0]
    for length in finished.lengths:
        sums.append(sums[-1] + length)

    def walked(at: float) -> float:
        turns, rest = divmod(at, n)
        index = min(int(rest), n - 1)
        return turns * sums[-1] + sums[index] + (rest - index) * finished.lengths[index]

    total = sum([walked(edge.end) - walked(edge.start) for edge in edges])
    whole = walked(stop) - walked(begin)
    return most, bool(done.free) or abs(total - whole) < 0.1 * whole


def worst_poke(done: FoldedPass, edges: list[RawEdge]) -> Most:
    finished = done.finished
    free = Nearest(done.free) if done.free else None
    most = Most()
    for edge in edges:
        if edge.matched:
            most.see(edge.miss, f"an edge of {done.layer_words(edge.layer)}, {where(edge.at)},")
            continue
        if edge.miss <= most.value:
            continue  # none of its points is farther off, so none pokes out farther
        for t in samples(edge.folded, 0.0 if most.value > GROSS else length_of(edge.folded), finished):
            z = point_at(edge.folded, t)
            away = finished.nearest.of(z).away
            if away > most.value and not finished.holds(z):
                most.see(away, f"an edge of {done.layer_words(edge.layer)}, {where(point_at(edge.flat, t))},")
    for k, crease in enumerate(done.creases):
        laid = done.layers[k].motion
        top, hem = laid.of(crease.top), laid.of(crease.hem)
        if abs(hem - top) <= FOLD_BACK:
            continue
        # An end on a free edge may leave the outline with it.
        loose = [free is not None and free.of(z).away <= FOLD_BACK for z in (crease.top, crease.hem)]
        if done.zone:  # at the hip it goes on in the other zone
            loose[done.zone == "above"] = True
        outside = _outside(finished, top, hem)
        if loose[0]:
            outside = [t for k, t in enumerate(outside) if not _goes_on(outside[: k + 1], 0.0)]
        if loose[1]:
            outside = [t for k, t in enumerate(outside) if not _goes_on(outside[k:][::-1], 1.0)]
        for t in outside:
            z = top + t * (hem - top)
            # All round, what lies beyond an end of the round lies on cloth within.
            spots = (z,) if done.round_ is None else done.round_.images(z)
            if len(spots) > 1 and any(finished.holds(w) for w in spots):
                continue
            most.see(
                min([finished.nearest.of(w).away for w in spots]),
                f"{crease.words}, {where(crease.top + t * (crease.hem - crease.top))},",
            )
    return most


def _goes_on(shares: list[float], end: float) -> bool:
    # Do these shares run on from one end of a line without a break?
    return bool(shares) and abs(shares[0] - end) < 1e-9 and all(abs(b - a) < 0.26 for a, b in pairwise(shares))


def _outside(outline: FoundOutline, a: complex, b: complex) -> list[float]:
    # Shares of a straight line that lie outside, some millimetres apart: none where it lies inside all along.
    length = abs(b - a)
    along = (b - a) / length
    hits = sorted(hit.along for hit in outline.crossings(a, along))
    stops = [0.0, *[h for h in hits if FOLD_BACK < h < length - FOLD_BACK], length]
    found: list[float] = []
    for start, end in pairwise(stops):
        middle = (start + end) / 2
        if sum(1 for h in hits if h > middle) % 2:
            continue
        count = max(4, min(200, int((end - start) / 2)))
        found += [(start + (end - start) * j / count) / length for j in range(count + 1)]
    return found
