"""From cloth drawn flat to the piece that it becomes when its pleats are folded.

The drawn line is the middle of the cloth that its pleat takes up. Half of the intake on either side of it is taken out, and
what lies beyond is moved up to it, by the one rigid motion that lays the edges of the gap together: a shift, or for a tapered
pleat a turn. So panels, side seams and whatever is drawn on them stay as they were drawn.

Where the seam slants or curves, its two ends at a closed gap do not meet: cloth folded there has a step in its edge. As the
trade has it, the edge is cut after folding: the step is shared between the two panels, half of it up and half of it down, and
each panel's edge is sheared to fit, exactly, since curves keep affine maps; it is left alone at the corners. On a straight
slanting seam with equal spaces this gives a straight seam. All lengths are in mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.geometry.motion import STAY, Motion, moved
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, cut, length_of, point_at, sign_changes
from pleatsvg.order.pleat_order import PleatOrder
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.pleats.strip import MisfitError, displaced, displaced_line, place_beside
from pleatsvg.tolerance import NOISE, ON_LINE, SAME_SPOT


class Strip(NamedTuple):
    """Cloth that a pleat hides: the lines before and after it, and the motion that lays the second on the first."""

    before: Chord
    after: Chord
    motion: Motion
    line: int
    """Which slash line it lies at."""


class NoRoomError(Exception):
    """The cloth about a line has no room for its pleat: it would reach `out` mm past the end of the seam, or past a
    neighbour's."""

    def __init__(self, line: int, out: float, neighbour: bool = False) -> None:
        super().__init__(line, out)
        self.line = line
        self.out = out
        self.neighbour = neighbour


def face_of(order: PleatOrder, intake: float) -> float:
    """Return the width of the face of a pleat that takes up `intake`; 0 where its kind has none."""
    if not order.kind.to_before.has_face:
        return 0.0
    if "face" in dict(order.given):
        return order.face
    return 2 * intake / order.kind.folds(-1, order.stack).depths_taken


def strips_of(lines: SlashSet, orders: Sequence[PleatOrder], top: float, hem: float) -> tuple[Strip, ...]:
    """Return the cloth that pleats of one intake hide, in the order of the cloth.

    Args:
        lines: drawn or placed on the cloth.
        orders: of their pleats.
        top, hem: what each takes up at the two ends of its line.

    Raises:
        NoRoomError: there is no room for one of them.
    """
    made = [_strip(lines, lines.chords[k], k, before, after) for k, before, after in _sides(orders, top, hem)]
    for one, other in pairwise(made):
        over = max(one.after.top_at - other.before.top_at, other.before.hem_at - one.after.hem_at)
        if over > -SAME_SPOT:
            outline = lines.outline
            gaps = (
                abs(outline.point(one.after.top_at) - outline.point(other.before.top_at)),
                abs(outline.point(one.after.hem_at) - outline.point(other.before.hem_at)),
            )
            raise NoRoomError(other.line, max(gaps), True)
    return tuple(made)


_Side = tuple[int, float, float]
"""To which side of a line another lies, and how far from its top and its hem."""


def _sides(orders: Sequence[PleatOrder], top: float, hem: float) -> Iterator[tuple[int, _Side, _Side]]:
    # For each strip its slash line and both its edges, seen from there.
    for k, order in enumerate(orders):
        half = face_of(order, max(top, hem)) / 2
        if half:
            yield k, (-1, half + top / 2, half + hem / 2), (-1, half, half)
            yield k, (1, half, half), (1, half + top / 2, half + hem / 2)
        else:
            yield k, (-1, top / 2, hem / 2), (1, top / 2, hem / 2)


Line = tuple[complex, complex]
"""Two points of a straight line, from beside the top of the cloth to beside its hem."""


class FoldedTop(NamedTuple):
    """The folded cloth as far as its lengths hang on it: the two edges of every hidden strip in order, the motions of the
    panels, and the length of the top seam in mm."""

    edges: tuple[Line, ...]
    motions: tuple[Motion, ...]
    length: float


def folded_top(lines: SlashSet, orders: Sequence[PleatOrder], top: float, hem: float) -> FoldedTop | None:
    """Return the top of the cloth when the pleats are folded; None where there is no room for them.

    It is that of `folded`, worked out without the hem, and so without a look at whether there is room for it.
    """
    outline = lines.outline
    motions = [STAY]
    ends: list[float] = []
    edges: list[Line] = []
    for k, before, after in _sides(orders, top, hem):
        chord = lines.chords[k]
        length = abs(chord.hem - chord.top)
        if abs(before[2] - before[1]) >= length or abs(after[2] - after[1]) >= length:
            return None
        for side in (before, after):
            place = place_beside(lines, chord, *side)
            if place is None or (ends and place <= ends[-1] and side is before):
                return None
            ends.append(place)
            edges.append(displaced_line(lines, chord, *side))
        motions.append(motions[-1].after(_laid_on(edges[-1], edges[-2])))
    start, stop = map(float, outline.corners_around(ends[0], ends[-1]))
    start, stop = max(start, lines.chords[0].hem_at - len(outline)), min(stop, lines.chords[-1].hem_at)
    tops, _ = _trued(outline, [start, *ends, stop], motions)
    return FoldedTop(tuple(edges), tuple(motions), sum([run.sewn for run in tops]))


def _strip(lines: SlashSet, chord: Chord, k: int, before: _Side, after: _Side) -> Strip:
    length = abs(chord.hem - chord.top)
    if abs(before[2] - before[1]) >= length or abs(after[2] - after[1]) >= length:
        raise NoRoomError(k, abs(before[2] - before[1]) - length)
    try:
        edges = [displaced(lines, chord, *side) for side in (before, after)]
    except MisfitError as misfit:
        raise NoRoomError(k, misfit.out) from None
    ends = [displaced_line(lines, chord, *side) for side in (before, after)]
    return Strip(edges[0], edges[1], _laid_on(ends[1], ends[0]), k)


def _laid_on(line: Line, onto: Line) -> Motion:
    turn = (onto[1] - onto[0]) / (line[1] - line[0])
    turn /= abs(turn)
    return Motion(turn, (onto[0] + onto[1]) / 2 - turn * (line[0] + line[1]) / 2, False)


@dataclass(frozen=True)
class Run:
    """A part of a seam or of a line on one panel, as it lies when the pleats are folded; `sewn` of it count as length."""

    segments: tuple[Segment, ...]
    sewn: float


@dataclass(frozen=True)
class Folded:
    """Cloth with its pleats folded.

    Attributes:
        strips: what is hidden, in order.
        motions: of the panels, one more than there are strips.
        tops, hems: the seam from corner to corner along the two ends of the lines, panel by panel from the first.
        sides: the seam from the last top corner to the last hem corner, and from the first hem corner to the first top one.
        trued: how far the seam was moved, at most, so that it lies smooth.
    """

    strips: tuple[Strip, ...]
    motions: tuple[Motion, ...]
    tops: tuple[Run, ...]
    hems: tuple[Run, ...]
    sides: tuple[tuple[Segment, ...], tuple[Segment, ...]]
    trued: float

    @property
    def top(self) -> float:
        """The length of the folded top seam, darts sewn up."""
        return sum([run.sewn for run in self.tops])

    @property
    def outline(self) -> Outline:
        """The finished seam."""
        chain = [seg for run in self.tops for seg in run.segments] + list(self.sides[0])
        chain += [seg for run in reversed(self.hems) for seg in run.segments] + list(self.sides[1])
        kept = [seg for seg in chain if max(abs(z - seg[0]) for z in seg[1:]) > ON_LINE]
        # Each begins exactly where the one before it ends.
        return Outline(tuple([(kept[k - 1][-1], *seg[1:]) for k, seg in enumerate(kept)]))


def folded(lines: SlashSet, strips: tuple[Strip, ...]) -> Folded:
    """Return the cloth with these strips taken out, its seam trued.

    Args:
        lines: the slash lines, on the seam as drawn.
        strips: hidden at them, in order, none touching the next.
    """
    outline = lines.outline
    n = len(outline)
    motions = [STAY]
    for strip in strips:
        motions.append(motions[-1].after(strip.motion))
    first, last = strips[0], strips[-1]
    start, stop = map(float, outline.corners_around(first.before.top_at, last.after.top_at))
    start, stop = max(start, lines.chords[0].hem_at - n), min(stop, lines.chords[-1].hem_at)
    low, high = map(float, outline.corners_around(last.after.hem_at, first.before.hem_at))
    low, high = max(low, stop), min(high, start + n)
    top_ends = [start, *[at for s in strips for at in (s.before.top_at, s.after.top_at)], stop]
    hem_ends = [high, *[at for s in strips for at in (s.before.hem_at, s.after.hem_at)], low]
    tops, by_top = _trued(outline, top_ends, motions)
    hems, by_hem = _trued(outline, hem_ends, motions)
    sides = (
        tuple([moved(seg, motions[-1]) for seg, _ in _walk(outline, stop, low)]),
        tuple([moved(seg, motions[0]) for seg, _ in _walk(outline, high, start + n)]),
    )
    return Folded(strips, tuple(motions), tops, hems, sides, max(by_top, by_hem))


def _trued(outline: Outline, ends: Sequence[float], motions: Sequence[Motion]) -> tuple[tuple[Run, ...], float]:
    # The seam along one end of the lines, panel by panel: from one of `ends` to the next but one, and so on.
    parts = [
        [(moved(seg, motion), sewn) for seg, sewn in _walk(outline, a, b)]
        for a, b, motion in zip(ends[::2], ends[1::2], motions, strict=True)
    ]
    spots = [
        (motion.of(outline.point(a)), motion.of(outline.point(b)))
        for a, b, motion in zip(ends[::2], ends[1::2], motions, strict=True)
    ]
    shifts = closing_shifts(spots)
    runs: list[Run] = []
    for part, (a, b), (da, db) in zip(parts, spots, shifts, strict=True):
        segments = [sheared(seg, a, b, da, db) for seg, _ in part]
        runs.append(
            Run(
                tuple(segments),
                sum([length_of(seg) for seg, (_, sewn) in zip(segments, part, strict=True) if sewn]),
            )
        )
    return tuple(runs), max(abs(d) for pair in shifts for d in pair)


def closing_shifts(spots: Sequence[tuple[complex, complex]]) -> list[tuple[complex, complex]]:
    """Return by how much the two ends of each of a row of parts are moved so that neighbours meet half-way.

    A part of no length at either end of the row cannot be sheared: its neighbour comes all the way.
    """
    meet = [(one[1] + other[0]) / 2 for one, other in pairwise(spots)]
    for k, at in ((0, 0), (-1, -1)):
        if abs(spots[k][1] - spots[k][0]) <= ON_LINE:
            meet[at] = spots[k][0]
    firsts = [0j, *[z - spot[0] for z, spot in zip(meet, spots[1:], strict=True)]]
    lasts = [*[z - spot[1] for z, spot in zip(meet, spots[:-1], strict=True)], 0j]
    return list(zip(firsts, lasts, strict=True))


def sheared(seg: Segment, a: complex, b: complex, da: complex, db: complex) -> Segment:
    """Return a segment under the affine map that moves `a` by `da` and `b` by `db`, and lines square to them in step."""
    if not da and not db:
        return seg
    way = b - a
    square = abs(way) ** 2
    if square <= NOISE:
        return tuple([z + da for z in seg])
    flip = way.conjugate() / square
    return tuple([z + da + (db - da) * ((z - a) * flip).real for z in seg])


def _walk(outline: Outline, start: float, end: float) -> list[tuple[Segment, bool]]:
    # The segments from a place to a later or, walked forwards all the same, an earlier one; whether they count as length.
    n = len(outline)
    low, high = min(start, end), max(start, end)
    of_darts = {k % n for dart in outline.darts for k in range(dart.start, dart.end)}
    return [(outline.part(s), s.segment not in of_darts) for s in outline.stretches(low, high)]


def cut_at(path: Sequence[Segment], line: Line) -> list[float]:
    """Return the places at which a run of segments crosses a line, endless both ways."""
    top, hem = line
    along = (hem - top) / abs(hem - top)
    found: list[float] = []
    for index, seg in enumerate(path):
        w = [((z - top) * along.conjugate()).imag for z in seg]
        w = [0.0 if abs(v) < NOISE else v for v in w]
        found += [index + t for t in sign_changes(w)]
        if index and not w[0] and any(w):
            found.append(float(index))
    return sorted(set(found))


def part_between(path: Sequence[Segment], start: float, stop: float) -> tuple[Segment, ...]:
    """Return the part of a run of segments from one place to a later one."""
    made: list[Segment] = []
    for index, seg in enumerate(path):
        t0, t1 = max(0.0, start - index), min(1.0, stop - index)
        if t1 - t0 > SAME_SPOT:
            made.append(cut(seg, t0, t1))
    return tuple(made)


def spot_on(path: Sequence[Segment], place: float) -> complex:
    """Return the point at a place on a run of segments."""
    index = min(int(place), len(path) - 1)
    return point_at(path[index], place - index)
