"""The flat cutting line: the finished one unfolded, and what becomes of it where fold lines meet in the allowance."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

from pleatsvg.errors import FitError
from pleatsvg.flat.once_round import NOWHERE, FlatEdge, Leg, edges_of, legs_of, off_level, parted
from pleatsvg.flat.smooth_hems import Hidden, end_on, smoothed
from pleatsvg.geometry.crossings import meetings
from pleatsvg.geometry.motion import Motion, moved
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, cut, heading, heights, sign_changes
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.cutting.produced import produced_each
from pleatsvg.piece.slash_lines import Chord, where_they_meet
from pleatsvg.pleats.kick import KickTop, cut_tops, lines_meet
from pleatsvg.tolerance import ON_LINE


def all_produced(asked: Sequence[tuple[Cutting, Sequence[Chord]]]) -> list[dict[int, Chord]]:
    """Return lines across several pieces as they are produced to their cutting lines, each by what it is known by itself."""
    rows = [{id(chord): chord for chord in chords} for _, chords in asked]
    made = produced_each([(cutting, list(row.values())) for (cutting, _), row in zip(asked, rows, strict=True)])
    return [dict(zip(row, produced, strict=True)) for row, produced in zip(rows, made, strict=True)]


class CutLine:
    """The flat cutting line: the finished one, unfolded. Where fold lines meet inside the allowance the layers between
    them end at that point, and their neighbours are trimmed where they meet; cf. `_trimmed`.

    `runs` are the ways of each part along it; where it was trimmed there are none, and `edges` are what came of it."""

    def __init__(
        self,
        cutting: Cutting,
        chords: list[Chord],
        motions: list[Motion],
        first: Chord | None,
        last: Chord | None,
        joins: Sequence[int] = (),
        join_allowance: float = 0.0,
        kicks: Mapping[int, KickTop] | None = None,
        hidden: Sequence[Hidden] = (),
        seam: Outline | None = None,
        produced: Mapping[int, Chord] | None = None,
    ) -> None:
        self.motions = motions
        self.chords = chords
        self.free: list[tuple[Segment, ...]] = []
        self.distances = cutting.distances
        self.fold_index = len(cutting.outline)
        self.short_top: set[int] = set()
        self.short_hem: set[int] = set()
        self.trimmed = False
        self.kicks = kicks or {}
        row = [c for c in (first, *chords, last) if c is not None]
        made = produced if produced is not None else all_produced([(cutting, row)])[0]
        outline = cutting.outline
        counted = _counted([made[id(c)] for c in row], outline)
        if seam is not None:
            counted = _counted_as(row, [made[id(c)] for c in row], seam, outline)
        low, high = int(first is not None), len(row) - int(last is not None)
        mine = counted[low:high]
        paths = {k: self._over_kick(cutting, mine, k, join_allowance, set(joins)) for k in self.kicks}
        folded = list(mine)
        for k, (_, before, after) in paths.items():
            # The panels on both sides run on to the allowance of the seam above the pleat.
            mine[k] = mine[k]._replace(top_at=before)
            mine[k + 3] = mine[k + 3]._replace(top_at=after)
        level = None
        if cutting.level is not None:  # with what leads on from its outermost nodes to the sides
            level = (cutting.level[0] + cutting.level[2] - 1, len(outline))

        def once_round(without_level: bool) -> list[Leg]:
            return legs_of(
                outline,
                mine,
                counted[0] if first is not None else None,
                counted[-1] if last is not None else None,
                {k: tops for k, (tops, _, _) in paths.items()},
                level if without_level else None,
            )

        without = level is not None and not joins and not hidden
        legs = once_round(without)
        for k, (tops, before, after) in paths.items():
            for layer, path in enumerate(tops, k):
                self.free.append(tuple([moved(seg, motions[layer]) for seg in path]))
            # What the seam's own allowance takes of the edge above it lies beyond the line that is folded farther down.
            for layer, at, place in ((k, folded[k].top_at, before), (k + 4, folded[k + 3].top_at, after)):
                beyond = edges_of(outline, [Leg(at, place, layer)], motions)
                if beyond:
                    self.free.append(tuple([edge.points for edge in beyond]))
        self.out = self._ended(mine)
        if self.kicks:
            meet = self._some_reversed(legs)
        else:  # of the layers between two lines it is known by now
            outermost = (0, len(chords))
            meet = bool(self.short_top or self.short_hem) or self._some_reversed(
                [leg for leg in legs if leg.layer in outermost]
            )
        if hidden and not meet:
            legs, curves = self._smooth(cutting, legs, mine, list(hidden))
            legs = legs if level is None or joins else off_level(legs, level, len(outline))
            self.free += [(curve,) for curve in curves]
            meet = self._some_reversed(legs)
        self.runs: list[list[Leg]] = []
        self.edges: tuple[FlatEdge, ...] = ()
        if not meet:

            def at_join(k: int, layer: int) -> Chord:
                return self._beside_join(cutting, mine[k], k, layer, join_allowance)

            self.runs = parted(legs, len(chords), len(outline), joins, at_join) if joins else [legs]
        elif joins:
            raise FitError(
                "The flat piece",
                "cannot be parted, since fold lines meet inside the allowance",
                "the allowance of a join needs room beside them",
                "Take a smaller allowance, or pleats that are deeper at that end.",
            )
        else:
            self.trimmed = True
            self.edges = self._trimmed(outline, once_round(False) if without else legs)

    def _smooth(
        self, cutting: Cutting, legs: list[Leg], mine: list[Chord], hidden: list[Hidden]
    ) -> tuple[list[Leg], list[Segment]]:
        # As the seam's hem; the fold lines end on the curve.
        outline = cutting.outline
        hems: list[float] = []
        for run in hidden:
            at = cutting.produced(run.border).hem_at
            near = mine[run.before].hem_at
            hems.append(outline.counted_near(at, near))
        smooth, curves = smoothed(outline, legs, hidden, hems, self.motions)
        for run, curve in zip(hidden, curves, strict=True):
            for k in range(run.before, run.after):
                motion = self.motions[k]
                spot = end_on(curve, motion.of(self.out[k].top), motion.of(self.out[k].hem))
                self.out[k] = self.out[k]._replace(hem=motion.back(spot))
        return smooth, curves

    def _over_kick(
        self, cutting: Cutting, mine: list[Chord], k: int, far: float, joins: set[int]
    ) -> tuple[tuple[tuple[Segment, ...], ...], float, float]:
        kick = self.kicks[k]
        hand = 1.0 if cutting.outline.area > 0 else -1.0
        across = -1j * hand * kick.along
        ends: list[Chord] = []
        for side in (across, -across):
            whole = kick.whole
            line = Chord(whole.top_at, whole.hem_at, whole.top + side * far, whole.hem + side * far)
            ends.append(cutting.produced(line) if far else mine[k])
        inner = [self.chords[k + j].hem - self.chords[k + j].top for j in (1, 2)]
        tops = cut_tops(
            kick,
            across,
            (inner[0] / abs(inner[0]), inner[1] / abs(inner[1])),
            far,
            (ends[0].top, ends[1].top),
            (k + 1 in joins, k + 2 in joins),
        )
        before, after = (cutting.outline.counted_near(end.top_at, mine[k].top_at) for end in ends)
        return tops, before, after

    def _beside_join(self, cutting: Cutting, mine: Chord, k: int, layer: int, far: float) -> Chord:
        if far <= 0:
            return mine
        line = line_beside_join(cutting, self.chords, self.motions, k, layer, far, self.kicks)
        return counted_near(line, mine, cutting.outline)

    def _ended(self, row: list[Chord]) -> list[Chord]:
        # Lines that cross inside the allowance end where they cross; those of a kick pleat end at its top.
        ended = list(row)
        for first in self.kicks:
            for k in range(first, first + 4):
                self.short_top.add(k)
                ended[k] = ended[k]._replace(top=self.chords[k].top)
        beside = {first + k for first in self.kicks for k in (-1, 0, 1, 2)}
        # A layer that is turned over is walked against the outline.
        for k, ((top, hem, _, _), (next_top, next_hem, _, _)) in enumerate(itertools.pairwise(row)):
            on_top, on_hem = next_top - top, hem - next_hem
            if self.motions[k + 1].flips:
                on_top, on_hem = -on_top, -on_hem
            if (on_top >= -_REVERSED and on_hem >= -_REVERSED) or k in beside:
                continue
            p, q = self.chords[k], self.chords[k + 1]
            if on_top < -_REVERSED:
                spot = where_they_meet(p, q)
                for j, own in ((k, p), (k + 1, q)):
                    self.short_top.add(j)
                    if abs(spot - own.top) < abs(ended[j].top - own.top):
                        ended[j] = ended[j]._replace(top=spot)
            if on_hem < -_REVERSED:
                spot = where_they_meet(p, q)
                for j, own in ((k, p), (k + 1, q)):
                    self.short_hem.add(j)
                    if abs(spot - own.hem) < abs(ended[j].hem - own.hem):
                        ended[j] = ended[j]._replace(hem=spot)
        return ended

    def _way(self, layer: int) -> int:
        # A layer that is turned over is walked against the outline.
        return -1 if self.motions[layer].flips else 1

    def _some_reversed(self, legs: list[Leg]) -> bool:
        # Whether fold lines meet in the allowance, so that what lies between two of them would be walked the wrong way.
        for start, end, layer, fold, _, path, _ in legs:
            ahead = start - end if self.motions[layer].flips else end - start
            if ahead < -_REVERSED and fold is None and not path:
                return True
        return False

    def rooms(self, seam: Outline) -> list[tuple[float, float]]:
        """Return the allowance at both ends of each fold line, mm; -1 where it ends inside the allowance."""
        distances = self.distances if seam.hand > 0 else self.distances[::-1]
        n = len(seam)
        floor, near = math.floor, 1e-9

        def at(place: float) -> float:
            node = floor(place + near)
            here = distances[node % n]
            if place - node < near:
                # At a node the smaller of the two that meet there.
                before = distances[(node - 1) % n]
                return before if before < here else here
            return here

        tops, hems = [at(c[0]) for c in self.chords], [at(c[1]) for c in self.chords]
        for row, short in ((tops, self.short_top), (hems, self.short_hem)):
            for k in short:
                row[k] = -1.0
        return list(zip(tops, hems, strict=True))

    def _trimmed(self, outline: Outline, legs: list[Leg]) -> tuple[FlatEdge, ...]:
        # The outer boundary of the moved parts: reversed ones are dropped, and those on either side of a gap are trimmed
        # where they meet.
        kept = [leg for leg in legs if leg.fold is not None or (leg.end - leg.start) * self._way(leg.layer) > _REVERSED]
        parts = [edges_of(outline, [leg], self.motions) for leg in kept]
        k = 0
        turns = 0
        while k < len(parts):
            turns += 1
            a, b = parts[k], parts[(k + 1) % len(parts)]
            if abs(a[-1].points[-1] - b[0].points[0]) <= 10 * ON_LINE:
                k += 1
                continue
            spot = _first_meeting(a, b)
            if spot is None:
                # The one run ends short of the other, and its own fold line leads on to it.
                into, out = self._led_on(a, b)
                on_b = _first_meeting(into, b) if into else None
                on_a = _first_meeting(a, out) if on_b is None and out else None
                if on_b is not None:
                    spot, a = (len(a), *on_b[1:]), [*a, *into]
                elif on_a is not None:
                    spot, b = on_a, [*out, *b]
            if spot is None and turns < 4 * len(legs) and len(parts) > 2:
                # One of the two is so short that the other passes it by.
                shorter = k if _length(a) < _length(b) else (k + 1) % len(parts)
                near = 4 * max(self.distances)
                if 0 < kept[shorter].layer < len(self.chords) and _length(parts[shorter]) < near:
                    del parts[shorter], kept[shorter]
                    k = max(0, min(k, shorter) - 1)
                    continue
            if spot is None:
                z = a[-1].points[-1]
                raise FitError(
                    f"The cutting line near ({z.real:.0f}, {z.imag:.0f}) mm on the drawing",
                    "cannot be closed",
                    "fold lines meet there inside the allowance, and the edges on either side do not",
                    "Take a smaller allowance on that edge, or move the slash lines apart.",
                )
            i, t, j, u = spot
            parts[k] = [*a[:i], _cut_edge(a[i], 0.0, t)]
            parts[(k + 1) % len(parts)] = [_cut_edge(b[j], u, 1.0), *b[j + 1 :]]
            self._note_free(parts[k], parts[(k + 1) % len(parts)])
            k += 1
        edges = [edge for part in parts for edge in part if max(abs(z - edge.points[0]) for z in edge.points[1:]) > 0]
        return tuple(
            [
                FlatEdge((edges[k - 1].points[-1], *edge.points[1:]), edge.layer, edge.origin)
                for k, edge in enumerate(edges)
            ]
        )

    def _on_fold(self, edge: FlatEdge) -> bool:
        # The edge cut on the fold counts as a segment after the outline's last.
        return edge.origin[0] == self.fold_index

    def _note_free(self, a: list[FlatEdge], b: list[FlatEdge]) -> None:
        # Beyond the point where the fold lines meet, cloth of two layers is asked for in one place: what of the cutting
        # line lies there folds onto nothing.
        if any(self._on_fold(e) for e in (*a[-2:], *b[:2])):
            beyond = [e.points for e in (a[-1], b[0]) if e.origin[0] < 0]
            if beyond:
                self.free.append(tuple(beyond))
            return
        upwards = a[-1].layer < b[0].layer
        of_a = self._crease(a[-1].layer if upwards else a[-1].layer - 1)
        of_b = self._crease(b[0].layer - 1 if upwards else b[0].layer)
        reach = 2 * abs(b[0].points[0] - where_they_meet(Chord(0.0, 0.0, *of_a), Chord(0.0, 0.0, *of_b)))
        back = _beyond(of_b, [e.points[::-1] for e in reversed(a)], reach)
        run = [*[part[::-1] for part in reversed(back)], *_beyond(of_a, [e.points for e in b], reach)]
        run = run or [e.points for e in (a[-1], b[0]) if e.origin[0] < 0]
        if run:
            self.free.append(tuple(run))

    def _led_on(self, a: list[FlatEdge], b: list[FlatEdge]) -> tuple[list[FlatEdge], list[FlatEdge]]:
        # From the end of one run along its fold line to where the fold lines meet, and from there to the next run; at
        # the edge cut on the fold, that edge produced.
        ends: list[list[FlatEdge]] = []
        upwards = a[-1].layer < b[0].layer
        for edge, here, k in (
            (a[-1], a[-1].points[-1], a[-1].layer if upwards else a[-1].layer - 1),
            (b[0], b[0].points[0], b[0].layer - 1 if upwards else b[0].layer),
        ):
            if self._on_fold(edge):
                other = edge.points[0] if edge is a[-1] else edge.points[-1]
                there = here + (here - other) / abs(here - other) * 2 * max(self.distances)
            elif 0 <= k < len(self.chords) and not (self._on_fold(a[-1]) or self._on_fold(b[0])):
                there = self.motions[k].of(self.out[k].top if upwards else self.out[k].hem)
            else:
                ends.append([])
                continue
            points = (here, there) if edge is a[-1] else (there, here)
            ends.append([FlatEdge(points, edge.layer, NOWHERE)])
        return ends[0], ends[1]

    def _crease(self, k: int) -> tuple[complex, complex]:
        motion = self.motions[k]
        return motion.of(self.chords[k].top), motion.of(self.chords[k].hem)


def line_beside_join(
    cutting: Cutting,
    chords: Sequence[Chord],
    motions: Sequence[Motion],
    k: int,
    layer: int,
    far: float,
    kicks: Mapping[int, KickTop],
) -> Chord:
    """Return where a layer's cutting line runs beside a join: parallel to the crease, its allowance beyond it.

    Args:
        cutting: of the finished piece, on which the line lies.
        chords: the fold lines on it.
        motions: of the layers.
        k: the number of the crease.
        layer: the one before the crease (k) or the one after it (k + 1).
        far: the allowance, mm.
        kicks: the tops of kick pleats by their first crease.
    """
    chord = chords[k]
    along = chord.hem - chord.top
    hand = 1.0 if cutting.outline.area > 0 else -1.0
    after = -1j * hand * along / abs(along)
    turned = -1 if motions[layer].flips else 1
    beyond = (after if layer == k else -after) * turned * far
    line = cutting.produced(Chord(chord.top_at, chord.hem_at, chord.top + beyond, chord.hem + beyond))
    for first, kick in kicks.items():
        if first < k < first + 3:
            # Beneath a kick pleat's top the join ends where its allowance meets that of the slanting top.
            across = -1j * hand * kick.along  # square to the slash line, from which the inner fold may lean
            slant = kick.slant(across if k == first + 2 else -across)
            out = -1j * slant if ((-1j * slant) * -kick.along.conjugate()).real > 0 else 1j * slant
            line = line._replace(top=lines_meet(kick.tip + out * far, slant, chord.top + beyond, along / abs(along)))
    return line


def counted_near(line: Chord, to: Chord, outline: Outline) -> Chord:
    """Return a line with its places on an outline counted on so that they lie near those of another."""
    top_at, hem_at = outline.counted_near(line.top_at, to.top_at), outline.counted_near(line.hem_at, to.hem_at)
    return Chord(top_at, hem_at, line.top, line.hem)


_REVERSED = 1e-7


_ON_CREASE = 1e-5


def _counted(row: list[Chord], outline: Outline) -> list[Chord]:
    # Places counted on round the cutting line from the first line's top, by the shorter way from one line to the next.
    n = len(outline)
    tops = outline.counted_on([c.top_at for c in row])
    hem = row[-1].hem_at
    while hem < tops[-1] - _REVERSED:
        hem += n
    while hem >= tops[-1] + n:
        hem -= n
    hems = outline.counted_on([hem, *[c.hem_at for c in reversed(row[:-1])]])
    return [Chord(top, hem, c.top, c.hem) for top, hem, c in zip(tops, reversed(hems), row, strict=True)]


def _counted_as(row: list[Chord], there: list[Chord], seam: Outline, outline: Outline) -> list[Chord]:
    # The same by the ways along the seam: about the point of a closed dart lines may lead to any part of it, so that the
    # shorter way from one to the next need not be the one between them.
    def ahead(line: Outline, start: float, end: float) -> float:
        return line.distance(start, end) * (1 if end >= start else -1)

    def on(place: float, from_: float, way: float) -> float:
        turns = [place + turn * len(outline) for turn in range(math.floor((from_ - place) / len(outline)) - 1, 4)]
        return min(turns, key=lambda at: abs(ahead(outline, from_, at) - way))

    tops = [there[0].top_at]
    for (a, b), c in zip(itertools.pairwise(row), there[1:], strict=True):
        tops.append(on(c.top_at, tops[-1], ahead(seam, a.top_at, b.top_at)))
    hems = [on(there[-1].hem_at, tops[-1], ahead(seam, row[-1].top_at, row[-1].hem_at))]
    for (a, b), c in zip(itertools.pairwise(row[::-1]), reversed(there[:-1]), strict=True):
        hems.append(on(c.hem_at, hems[-1], ahead(seam, a.hem_at, b.hem_at)))
    return [Chord(top, hem, c.top, c.hem) for top, hem, c in zip(tops, reversed(hems), there, strict=True)]


def _first_meeting(a: list[FlatEdge], b: list[FlatEdge]) -> tuple[int, float, int, float] | None:
    for i in range(len(a) - 1, max(-1, len(a) - 9), -1):
        for j in range(min(8, len(b))):
            met = meetings(a[i].points, b[j].points)
            if met:
                return i, met[-1][0], j, met[-1][1]
    # At the hinge of a knife pleat the one run ends on the other, by a hair on either side of it.
    for j in range(min(8, len(b))):
        u = _touching(a[-1].points[-1], b[j].points)
        if u is not None:
            return len(a) - 1, 1.0, j, u
    for i in range(len(a) - 1, max(-1, len(a) - 9), -1):
        t = _touching(b[0].points[0], a[i].points)
        if t is not None:
            return i, t, 0, 0.0
    return None


def _touching(z: complex, seg: Segment) -> float | None:
    # Where a segment passes so near to a point that only rounding keeps it off.
    if len(seg) == 2 and seg[0] == seg[1]:
        return None  # what is left of a layer between two lines that meet
    across = 1j * heading(seg, 0.5) * _ON_CREASE
    met = meetings((z - across, z + across), seg)
    return met[0][1] if met else None


def _length(edges: list[FlatEdge]) -> float:
    return sum(abs(edge.points[-1] - edge.points[0]) for edge in edges)


def _cut_edge(edge: FlatEdge, t0: float, t1: float) -> FlatEdge:
    index, start, end = edge.origin
    span = end - start
    return FlatEdge(cut(edge.points, t0, t1), edge.layer, (index, start + span * t0, start + span * t1))


def _beyond(line: tuple[complex, complex], run: list[Segment], reach: float) -> list[Segment]:
    # From its start on, what of a run comes before it crosses a line; nothing where it does not within reach.
    along = (line[1] - line[0]) / abs(line[1] - line[0])
    found: list[Segment] = []
    for seg in run:
        if abs(seg[0] - run[0][0]) > reach:
            break
        for t in sign_changes([0.0 if abs(h) < _ON_CREASE else h for h in heights(seg, line[0], along)]):
            part = cut(seg, 0.0, t)
            if abs(part[-1] - run[0][0]) <= reach:
                return [*found, part]
        found.append(seg)
    return []
