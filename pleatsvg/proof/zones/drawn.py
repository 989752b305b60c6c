"""What a person drew on a fitted piece, as it folds: above the hip with the one zone, below it with the other. In mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from operator import itemgetter

from pleatsvg.flat.strokes import clear_of, parts_between, path_crossings
from pleatsvg.geometry.nearest import Nearest
from pleatsvg.geometry.segment import Segment, length_of, point_at
from pleatsvg.piece.slash_lines import Chord
from pleatsvg.proof.beside.marks import drawn_there, off_drawn
from pleatsvg.proof.figures import Most
from pleatsvg.proof.fold_drawn import parted
from pleatsvg.proof.folded_pass import FoldedPass, where
from pleatsvg.result.pattern_lines import PatternLine
from pleatsvg.tolerance import ALONG_HIP, BALANCE_OFF, RUN_ON


def drawn_by_zone(below: FoldedPass) -> FoldedPass:
    """Return the zone below the hip, and with it the one above it, each with what is drawn on its cloth.

    Args:
        below: with all that is drawn on the piece.
    """
    level = FlatLevel(below)
    assert below.above is not None
    low, high = level.split(below.balance)
    low_drawn, high_drawn = level.split(below.carried)
    return replace(below, balance=low, carried=low_drawn, above=replace(below.above, balance=high, carried=high_drawn))


def balance_in_zones(below: FoldedPass, lines: Sequence[PatternLine]) -> Most:
    """Return how far balance lines, folded zone by zone, lie off what they were drawn as (mm).

    By the hip level, cloth that is hidden is too long: there a line lies true in one zone or in the other. That level runs
    straight on over hidden layers, where a line that follows it on the panels may leave it by far: what is true in either
    zone is true, since no zone has a line drawn on the far side of the level.

    Args:
        below: the zone below the hip, and with it the one above it, each with its lines.
        lines: of the result.
    """
    assert below.above is not None
    above = below.above
    most = Most()
    finished = {
        zone: drawn_there(done, [one for one in lines if one.role == "finished-balance-line" and one.tag.zone == name])
        for zone, done, name in (("below", below, ""), ("above", above, "above"))
    }
    for done, other in ((below, above), (above, below)):
        for seg in [seg for line in done.balance for stroke in line.strokes for seg in stroke]:
            off, z = _off(seg, done, finished[done.zone])
            if off > BALANCE_OFF:
                off, z = min((off, z), _off(seg, other, finished[other.zone]), key=itemgetter(0))
            most.see(off, f"a balance line, {where(z)},", BALANCE_OFF)
    return most


_SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)


def _off(seg: Segment, done: FoldedPass, finished: Nearest) -> tuple[float, complex]:
    # How far a part of a balance line, folded with the layers of one zone, lies off what was drawn, at most and where.
    found = [(0.0, seg[0])]
    for part, layer in parted(seg, done):
        if length_of(part) > BALANCE_OFF:
            spots = [point_at(part, t) for t in _SHARES]
            found += [(off_drawn(z, done.layers[layer : layer + 1], finished, done), z) for z in spots]
    return max(found, key=itemgetter(0))


class FlatLevel:
    """The hip level on the flat piece, run on beyond both its ends."""

    def __init__(self, below: FoldedPass) -> None:
        spots = below.hip_level
        before, after = _run_out(spots[::-1]), _run_out(spots)
        ends = spots[0] + before * RUN_ON, spots[-1] + after * RUN_ON
        self.border = [*pairwise([ends[0], *spots[1:-1], ends[1]])]
        self.nearest = Nearest(tuple(self.border))
        assert below.above is not None
        top = below.above.creases[0].top
        a, b = self.border[self.nearest.of(top).segment]
        self.up = 1j if ((top - a) * ((b - a) * 1j).conjugate()).real > 0 else -1j

    def lies_above(self, z: complex) -> bool:
        """Return whether a point on the flat piece lies above it."""
        a, b = self.border[self.nearest.of(z).segment]
        return ((z - a) * ((b - a) * self.up).conjugate()).real > 0

    def split(self, lines: Iterable[PatternLine]) -> tuple[tuple[PatternLine, ...], tuple[PatternLine, ...]]:
        """Return what of some lines lies below the level, and what above it; one along it lies below."""
        low: list[PatternLine] = []
        high: list[PatternLine] = []
        for line in lines:
            found: tuple[list[tuple[Segment, ...]], list[tuple[Segment, ...]]] = ([], [])
            for stroke in line.strokes:
                for part in self._parts(stroke):
                    found[self._is_above(part)].append(part)
            for strokes, own in zip(found, (low, high), strict=True):
                if strokes:
                    own.append(replace(line, strokes=tuple(strokes)))
        return tuple(low), tuple(high)

    def _parts(self, stroke: tuple[Segment, ...]) -> Iterator[tuple[Segment, ...]]:
        if self._along(stroke):
            yield stroke
            return
        places = {place for a, b in self.border for place in path_crossings(stroke, Chord(0.0, 0.0, a, b))}
        for start, stop in pairwise([0.0, *sorted(places), float(len(stroke))]):
            part = tuple(parts_between(stroke, start, stop))
            if part:
                yield part

    def _along(self, stroke: tuple[Segment, ...]) -> bool:
        return all(self.nearest.of(point_at(seg, t)).away <= ALONG_HIP for seg in stroke for t in (0.0, 0.5, 1.0))

    def _is_above(self, part: tuple[Segment, ...]) -> bool:
        if self._along(part):
            return False
        return self.lies_above(clear_of(part, lambda z: self.nearest.of(z).away))


def _run_out(spots: Sequence[complex]) -> complex:
    # The unit vector in which a level runs out at its end. On the edge cut on the fold cloth may slide along that edge, and the
    # level with it, a little way.
    way = next((spots[-1] - z for z in reversed(spots) if abs(spots[-1] - z) > _SLIDES), spots[-1] - spots[0])
    return way / abs(way)


_SLIDES = 10.0
"""mm. Parts of the hip level that are shorter say nothing of its direction."""
