"""The proof of a result as it is drawn: its layers are folded and held against the shape that they were to become.

Every figure is a distance in mm that would be nothing in a perfect result, or an area in mm2. Raw edges are compared
as curves: a folded edge and the part of the outline over which it lies are cubics over the same shares, so the distance
of their control points bounds that of the curves. Where that bound is not small the edge is measured point by point.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.drawn_result import ResultPiece
from pleatsvg.motion import moved
from pleatsvg.nearest import FoundOutline, Nearest
from pleatsvg.outline import Outline
from pleatsvg.refold import FoldedPass, refold, runs_of, where
from pleatsvg.segment import Segment, box_of, cut, length_of, point_at
from pleatsvg.selfcross import self_crossing
from pleatsvg.tolerance import FOLD_BACK, FOLD_BACK_CUT

_SURE = FOLD_BACK / 10
"""mm. A bound on an edge's miss below this is taken as its miss; above it the edge is measured."""
_STEP = 1.0
_MOST_STEPS = 2_000
"""Places at which one edge is measured; an edge longer than as many millimetres is far off already."""

_NO_CLOTH = 1e-6
_POINTS = {"left": -1 + 0j, "right": 1 + 0j, "up": -1j, "down": 1j}


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of the proof.

    Attributes:
        name, words: what was measured.
        value: the most that was met.
        limit: what it may be.
        unit: "mm" or "mm2".
        place: where the limit is first broken in the order of the cloth, else where the most was met.
        first: how much was met there.
    """

    name: str
    words: str
    value: float
    limit: float
    unit: str
    place: str = ""
    first: float = 0.0

    @property
    def holds(self) -> bool:
        """Whether it is within its limit; a number that is none is not."""
        return self.value <= self.limit


@dataclass(frozen=True)
class Proof:
    """What folding a piece back has shown.

    Attributes:
        figures: by name, the last pass first.
        faults: what is wrong in words.
        notes: remarks for the person.
        layers_on_average: flat area over finished area.
    """

    piece: str
    passes: tuple[FoldedPass, ...]
    figures: tuple[Figure, ...]
    faults: tuple[str, ...]
    notes: tuple[str, ...]
    flat_area: float
    finished_area: float

    @property
    def holds(self) -> bool:
        """Whether every point is proven."""
        return not self.faults and all(figure.holds for figure in self.figures)

    @property
    def worst(self) -> float:
        """The largest miss in mm."""
        return max([figure.value for figure in self.figures if figure.unit == "mm"], default=0.0)

    @cached_property
    def failures(self) -> tuple[str, ...]:
        """What misses, as phrases for a message, the cause before what follows from it."""
        return (*[_miss_words(f) for f in self.figures if not f.holds], *self.faults)


def _miss_words(figure: Figure) -> str:
    unit = "mm" if figure.unit == "mm" else "square mm"
    most = f", the most is {_amount(figure.value)} {unit}" if figure.value > 1.05 * figure.first else ""
    comma = "," if "mm from" in figure.place else ""
    return f"{figure.place}{comma} {figure.words} by {_amount(figure.first)} {unit}{most} (limit {figure.limit:.3g})"


def _amount(value: float) -> str:
    return f"{value:.2f}" if value >= 0.1 else f"{value:.3f}"


@dataclass
class _Most:
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


def prove(piece: ResultPiece, remarks: tuple[str, ...] = ()) -> Proof:
    """Fold a piece of a result and measure it.

    Args:
        piece: as read.
        remarks: on the drawing as a whole, to stand before those on the piece.

    Raises:
        DrawingError: it holds lines that cannot be folded along, or lacks some.
    """
    passes, joins, notes = refold(piece)
    figures: list[Figure] = []
    faults: list[str] = []
    more: list[str] = [*remarks, *notes]
    if any(line.role == "join-line" for line in piece.lines):
        figures.append(Figure("joins", "misses its match", joins, FOLD_BACK, "mm", "a join line", joins))
    # Parts lie apart: laid together at their joins they may lie over one another, as above a kick pleat.
    parts = [FoundOutline(line.strokes[0]) for line in piece.by_role("seam-line")]
    kept: list[FoldedPass] = []
    for done in passes:
        flat = parts if len(parts) > 1 else [done.seam]
        own, wrong = _prove_pass(done, len(passes) > 1, flat)
        if not all(figure.holds for figure in own):
            shift = _lies_beside(done)
            if abs(shift) > FOLD_BACK:
                laid = _laid(done, shift)
                again, wrong_again = _prove_pass(laid, len(passes) > 1, flat)
                if all(figure.holds for figure in again):
                    done, own, wrong = laid, again, wrong_again
                    more.append(
                        f"The hidden finished shape lies {abs(shift):.1f} mm away from the piece, which was moved on the "
                        "page; it was laid on the piece for the proof."
                    )
        kept.append(done)
        if done.free:
            more.append(
                f"{sum(map(length_of, done.free)):.1f} mm of edge are drawn as free edges, which leave the outline by design; "
                "they were left out of the figures."
            )
        figures += own
        faults += wrong
    return Proof(
        piece.name,
        tuple(kept),
        tuple(figures),
        tuple(faults),
        tuple(more),
        # Where a later pass runs across the fold edge its flat piece is half of the whole.
        abs(passes[0].seam.area) * (2 if passes[0].centre is None and passes[-1].centre is not None else 1),
        abs(passes[-1].finished.area),
    )


def _lies_beside(done: FoldedPass) -> complex:
    folded = [z for layer in done.layers for run in layer.runs for seg in run for z in moved(seg, layer.motion)]
    if not folded:
        return 0j
    left, top, right, bottom = box_of(folded)
    box = done.finished.box
    return complex((left + right - box[0] - box[2]) / 2, (top + bottom - box[1] - box[3]) / 2)


def _laid(done: FoldedPass, shift: complex) -> FoldedPass:
    def by(outline: FoundOutline) -> FoundOutline:
        return FoundOutline(tuple([tuple([z + shift for z in seg]) for seg in outline.segments]))

    cutting = (done.cutting[0], by(done.cutting[1])) if done.cutting else None
    return replace(done, finished=by(done.finished), cutting=cutting)


class _Edge(NamedTuple):
    """A raw edge, flat and folded, with its layer and where on the outline it begins and ends."""

    flat: Segment
    folded: Segment
    layer: int
    start: float
    end: float
    miss: float
    at: complex
    matched: bool


def _prove_pass(done: FoldedPass, several: bool, flat: Sequence[Outline]) -> tuple[list[Figure], list[str]]:
    behind = f" (pass {done.number})" if several else ""
    limit = FOLD_BACK
    creases, finished = done.creases, done.finished
    figures: list[Figure] = []
    faults: list[str] = []

    def figure(name: str, words: str, most: _Most, bound: float = limit, unit: str = "mm") -> None:
        value = most.value if math.isfinite(most.value) else math.inf
        figures.append(
            Figure(
                f"{name}{behind}", words, value, bound, unit, (most.first or most.place).rstrip(","), most.first_value
            )
        )

    bent, short = _Most(), _Most()
    for span in creases:
        bent.see(span.bend, span.words)
        short.see(span.short, span.words)
    figure("fold_lines_straight", "is bent", bent)

    folds, stitches, ends = _landings(done)
    figure("folds_on_placement", "misses the line it is brought onto", folds)
    if any(span.line.role == "stitch-line" for span in creases):
        figure("stitch_lines_together", "misses the other stitch line of its tuck", stitches)

    edges = [edge for layer in range(len(done.layers)) for edge in _edges(done, layer, finished)]
    raw = _Most()
    for edge in edges:
        raw.see(edge.miss, f"an edge of {done.layer_words(edge.layer)}, {where(edge.at)},")
    figure("raw_edges", "misses the finished seam", raw)
    figure("fold_ends", "ends elsewhere than the line it is brought onto", ends)
    figure("fold_lines_reach", "stops short of the seam", short)

    poke = _poke(done, edges)
    silhouette, once_round = _silhouette(done, edges)
    if poke.value > silhouette.value:
        silhouette.see(poke.value, "the folded outline at " + (poke.first or poke.place))
    figure("silhouette", "strays from the finished seam", silhouette)
    if not once_round:
        faults.append(f"the folded edge does not run once round the finished seam{behind}")

    figure("pokes_out", "pokes out of the finished piece", poke)

    area, bound = _areas(done, edges)
    figure("area", "changes its area", area, bound, "mm2")

    if done.cutting is not None:
        cutting = _cutting(done)
        figure("cutting_line", "misses the finished cutting line", cutting, FOLD_BACK_CUT)
    spot = next((z for seam in flat if (z := self_crossing(seam)) is not None), None)
    if spot is not None:
        faults.append(f"the flat seam{behind} crosses or touches itself {where(spot)}")
    faults += [words + behind for words in done.loose]
    faults += [words + behind for words in _laps(done)]
    return figures, faults


def _landings(done: FoldedPass) -> tuple[_Most, _Most, _Most]:
    # How far folds lie beside the lines they are brought onto, the same for stitch lines, and how far both ends differ.
    folds, stitches, all_ends = _Most(), _Most(), _Most()
    for landing in sorted(done.landings, key=lambda landing: landing.creases):
        on = done.layers[landing.layer].motion
        top, hem = on.of(landing.span.top), on.of(landing.span.hem)
        for k in landing.creases:
            crease, laid = done.creases[k], done.layers[k].motion
            flip = ((hem - top) / abs(hem - top)).conjugate()
            most = stitches if crease.line.role == "stitch-line" else folds
            for end, meant in ((crease.top, top), (crease.hem, hem)):
                off = laid.of(end) - meant
                said = f"{crease.words}, {where(end)},"
                most.see(abs((off * flip).imag), said)
                all_ends.see(abs((off * flip).real), said)
    return folds, stitches, all_ends


def _edges(done: FoldedPass, number: int, outline: FoundOutline) -> list[_Edge]:
    layer = done.layers[number]
    free = Nearest(done.free) if done.free else None
    found: list[_Edge] = []
    for run in layer.runs:
        for flat in run:
            if free is not None and all(free.of(point_at(flat, t)).away <= FOLD_BACK for t in (0.0, 0.5, 1.0)):
                continue
            found.append(_matched(flat, moved(flat, layer.motion), number, outline))
    return found


def _matched(flat: Segment, folded: Segment, layer: int, outline: FoundOutline) -> _Edge:
    n = len(outline)
    middle = outline.nearest.of(point_at(folded, 0.5))
    seg = outline.segments[middle.segment]
    t0 = outline.nearest.share_on(middle.segment, folded[0])
    t1 = outline.nearest.share_on(middle.segment, folded[-1])
    if t0 != t1:
        expected = cut(seg, t0, t1)
        bound = max([abs(z - w) for z, w in zip(_cubic(folded), _cubic(expected), strict=True)])
        if bound <= _SURE:
            return _Edge(flat, folded, layer, middle.segment + t0, middle.segment + t1, bound, flat[0], True)
    ends = [outline.nearest.of(z) for z in (folded[0], folded[-1])]
    start, end = (spot.segment + spot.share for spot in ends)
    forward = (end - start) % n
    length = length_of(folded)
    ways = [start + forward, start + forward - n]
    end = min(ways, key=lambda way: abs(outline.distance(start, way) - length))
    worst, at = 0.0, 0.0
    for t in _samples(folded, length):
        away = outline.nearest.of(point_at(folded, t)).away
        if not away <= worst:
            worst, at = away, t
    return _Edge(flat, folded, layer, start, end, worst, point_at(flat, at), False)


def _cubic(seg: Segment) -> Segment:
    return seg if len(seg) == 4 else (seg[0], (2 * seg[0] + seg[1]) / 3, (seg[0] + 2 * seg[1]) / 3, seg[1])


def _samples(seg: Segment, length: float) -> list[float]:
    count = max(8, min(_MOST_STEPS, math.ceil(length / _STEP)))
    return [k / count for k in range(count + 1)]


def _silhouette(done: FoldedPass, edges: list[_Edge]) -> tuple[_Most, bool]:
    # The edges must cover the finished seam without a gap, and go once round it, there and back counted.
    finished = done.finished
    n = len(finished)
    most = _Most()
    spans: list[tuple[float, float]] = []
    for edge in edges:
        if edge.matched:
            low, high = sorted((edge.start, edge.end))
            low, high = low % n, low % n + high - low
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
    if reached < n:
        gaps.append((reached, float(n)))
    cloth: Nearest | None = None
    for start, end in gaps:
        length = finished.distance(start, end)
        if length / 2 <= _SURE:
            most.see(length / 2, "the finished seam")
            continue
        if cloth is None:
            # Cloth that lies over a gap without an edge there reaches it just as well; only edges are drawn for that.
            cloth = Nearest([edge.folded for edge in edges])
        for stretch in finished.stretches(start, end):
            part = finished.part(stretch)
            for t in _samples(part, length_of(part)):
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
    return most, bool(done.free) or abs(total - sums[-1]) < 0.1 * sums[-1]


def _poke(done: FoldedPass, edges: list[_Edge]) -> _Most:
    finished = done.finished
    free = Nearest(done.free) if done.free else None
    most = _Most()
    for edge in edges:
        if edge.matched:
            most.see(edge.miss, f"an edge of {done.layer_words(edge.layer)}, {where(edge.at)},")
            continue
        for t in _samples(edge.folded, length_of(edge.folded)):
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
        outside = _outside(finished, top, hem)
        if loose[0]:
            outside = [t for k, t in enumerate(outside) if not _goes_on(outside[: k + 1], 0.0)]
        if loose[1]:
            outside = [t for k, t in enumerate(outside) if not _goes_on(outside[k:][::-1], 1.0)]
        for t in outside:
            z = top + t * (hem - top)
            most.see(
                finished.nearest.of(z).away, f"{crease.words}, {where(crease.top + t * (crease.hem - crease.top))},"
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


class _AreaWalk:
    """Areas swept from the origin along an outline, from its first node to any place."""

    def __init__(self, outline: Outline) -> None:
        self.outline = outline
        self.sums = [0.0]
        for seg in outline.segments:
            self.sums.append(self.sums[-1] + swept(seg))

    def to(self, at: float) -> float:
        n = len(self.outline)
        turns, rest = divmod(at, n)
        index = min(int(rest), n - 1)
        part = cut(self.outline.segments[index], 0.0, rest - index) if rest > index else None
        return turns * self.sums[-1] + self.sums[index] + (swept(part) if part else 0.0)


def swept(seg: Segment) -> float:
    """Return the area in mm2 between a segment and the origin; positive clockwise on the page."""
    total = _cross(seg[0], seg[-1]) / 2
    if len(seg) == 4:
        b, c, d = seg[1] - seg[0], seg[2] - seg[0], seg[3] - seg[0]
        total += 0.15 * (_cross(b, c) + _cross(b, d)) + 0.3 * _cross(c, d) - _cross(0j, d) / 2
    return total


def _cross(a: complex, b: complex) -> float:
    return a.real * b.imag - a.imag * b.real


def _areas(done: FoldedPass, edges: list[_Edge]) -> tuple[_Most, float]:
    # Flat region against the part of the finished piece that it covers. Both are closed by the same creases, so only
    # what the raw edges sweep differs.
    walk = _AreaWalk(done.finished)
    by_layer: dict[int, list[_Edge]] = {}
    for edge in edges:
        by_layer.setdefault(edge.layer, []).append(edge)
    most, loosest = _Most(), 1.0
    for layer, own in by_layer.items():
        off = 0.0
        around = 0.0
        for edge in own:
            start, end = done.finished.point(edge.start), done.finished.point(edge.end)
            closing = swept((edge.folded[-1], end)) + swept((start, edge.folded[0]))
            off += swept(edge.folded) + closing - (walk.to(edge.end) - walk.to(edge.start))
            around += abs(edge.folded[-1] - edge.folded[0])
        bound = max(1.0, FOLD_BACK * around)
        if abs(off) > bound:
            loosest = bound
        elif most.value <= loosest:
            loosest = max(loosest, bound)
        most.see(abs(off), done.layer_words(layer), bound)
    return most, loosest


def _cutting(done: FoldedPass) -> _Most:
    assert done.cutting is not None
    flat, finished = done.cutting
    places: list[float] = []
    n = len(flat)
    most = _Most()
    ends: list[tuple[float, float]] = []
    if (flat.area > 0) != (done.seam.area > 0):
        flat = FoundOutline(flat.reversed().segments)
    for crease in done.creases:
        middle, along = (crease.top + crease.hem) / 2, crease.hem - crease.top
        hits = flat.crossings(middle, along / abs(along))
        before = max([hit for hit in hits if hit.along <= 0], key=lambda hit: hit.along, default=None)
        after = min([hit for hit in hits if hit.along > 0], key=lambda hit: hit.along, default=None)
        if before is None or after is None:
            most.see(math.inf, f"{crease.words}, which does not cross it,", FOLD_BACK_CUT)
            return most
        ends.append((before.at, after.at))
    at = ends[0][0] if ends else 0.0
    for k, here in enumerate([top for top, _ in ends] + [hem for _, hem in reversed(ends)]):
        # Where the allowance of two folds crosses, the later one gives way; from the tops to the hems it goes on round.
        way = (here - at) % n
        at += 0.0 if way > n / 2 and k != len(ends) else way
        places.append(at)
    m = len(ends)
    places = places[:m] + places[m:][::-1]
    free = Nearest(done.free) if done.free else None
    for number, runs in enumerate(runs_of(flat, places)):
        motion = done.layers[number].motion
        for run in runs:
            for seg in run:
                if length_of(seg) < FOLD_BACK:
                    continue
                if free is not None and all(free.of(point_at(seg, t)).away <= FOLD_BACK_CUT for t in (0.0, 0.5, 1.0)):
                    continue
                edge = _matched(seg, moved(seg, motion), number, finished)
                most.see(edge.miss, f"the cutting line of {done.layer_words(number)}, {where(edge.at)},", FOLD_BACK_CUT)
    return most


def _laps(done: FoldedPass) -> list[str]:
    # Knife pleats and tucks point the way that they say, taken together for each lap: in a fan single ones may lean.
    faults: list[str] = []
    towards: dict[str, complex] = {}
    numbers: dict[str, int] = {}
    own: dict[int, list[int]] = {}
    for k, crease in enumerate(done.creases):
        if not crease.other_half and crease.line.kind in ("knife", "tuck", "pin-tuck") and crease.line.lap in _POINTS:
            own.setdefault(crease.line.pleat, []).append(k)
    for pleat, ks in own.items():
        sums: dict[bool, list[complex]] = {True: [], False: []}
        for k in ks:
            crease, laid = done.creases[k], done.layers[k].motion
            sums[crease.outer].append(laid.of((crease.top + crease.hem) / 2))
        if sums[True] and sums[False]:
            lap = done.creases[ks[0]].line.lap
            step = sum(sums[True]) / len(sums[True]) - sum(sums[False]) / len(sums[False])
            towards[lap] = towards.get(lap, 0j) + step
            numbers.setdefault(lap, pleat)
    for lap, step in towards.items():
        if (step * _POINTS[lap].conjugate()).real < -0.3 * abs(step):
            faults.append(f"pleat {numbers[lap]} is to point {lap}, but its fold lies on the other side")
    return faults
