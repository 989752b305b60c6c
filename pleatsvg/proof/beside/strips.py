"""Hidden strips against the finished piece: each must be all of the cloth between its two folds.

Folding back does not show a hole or a lost corner in an underlay, since all of its raw edges may lie on the finished seam.
What shows it is the way that the seam takes from fold to fold: it must lead steadily away from the first and turn no
corner, as is asked of every pleat before it is laid out.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.geometry.motion import moved
from pleatsvg.geometry.nearest import FoundOutline, shares_within
from pleatsvg.geometry.segment import Segment, length_of, point_at, turn_between
from pleatsvg.kinds import is_kick, is_stitched
from pleatsvg.proof.folded_pass import FoldedPass, Span
from pleatsvg.tolerance import AT_CORNER, CORNER_REACH, CORNER_TURN, FOLD_BACK

_STEP = 1.0
"""mm over which a direction of the seam is taken."""

_BEYOND = 5.0
"""Degrees more than a pleat may turn before it is laid out, so that no sound one is condemned by rounding."""


_SLIGHTLY = math.tan(math.radians(CORNER_TURN / 2))
"""Of a turn that is none to speak of, as most are: how far it leads aside for one step ahead, at most."""


class _Strip(NamedTuple):
    """Hidden cloth between two lines of a pleat: its layer, one of its lines, and its edges at the top and the hem, flat."""

    layer: int
    base: Span
    runs: tuple[list[Segment], list[Segment]]


def lost_corners(done: FoldedPass) -> list[str]:
    """Return faults of strips whose edge turns a corner of the finished seam, or runs back towards the fold."""
    if done.free:
        return []  # edges that leave the outline by design have their own course
    faults: list[str] = []
    for strip in _strips(done):
        motion = done.layers[strip.layer].motion
        top, hem = motion.of(strip.base.top), motion.of(strip.base.hem)
        along = (hem - top) / abs(hem - top)
        for run, end in zip(strip.runs, ("top", "hem"), strict=True):
            folded = [moved(seg, motion) for seg in run if length_of(seg) > FOLD_BACK]
            if not folded:
                continue
            where = f"the underlay beside {strip.base.short_words}"
            if _turns(folded):
                faults.append(
                    f"{where} turns a corner of the finished seam at its {end}: it is not all of the cloth between its folds"
                )
            elif _comes_back(folded, top, along):
                faults.append(
                    f"{where} runs back towards its fold at its {end}: it is not all of the cloth between its folds"
                )
    return faults


def _strips(done: FoldedPass) -> list[_Strip]:
    found: list[_Strip] = []
    creases = done.creases
    # A layer that runs on past its own placement line, as that of an inverted pleat does, is a strip on either side of it: the
    # seam may turn a corner at the line's end, as on a panel.
    passing = {(landing.layer, *_whose(landing.span)) for landing in done.landings}
    for layer in range(1, len(creases)):
        before, after = creases[layer - 1], creases[layer]
        if _whose(before) != _whose(after):
            continue  # a panel
        if (layer, *_whose(before)) in passing:
            continue
        if is_kick(before.line.tag.kind) or (before.brought and after.brought):
            continue  # the slanting top of a kick; the face of a box pleat
        found.append(_strip(done, layer, before if _on_face(before) else after, before, after))
    for landing in done.landings:
        # Beside its placement line a strip and a panel are one layer.
        for k in (landing.layer - 1, landing.layer):
            if 0 <= k < len(creases):
                crease = creases[k]
                mine = _whose(landing.span) == _whose(crease)
                if mine and not _on_face(crease) and not is_kick(crease.line.tag.kind):
                    first, last = (crease, landing.span) if k < landing.layer else (landing.span, crease)
                    found.append(_strip(done, landing.layer, landing.span, first, last))
    return found


def _whose(span: Span) -> tuple[int, bool]:
    return span.line.pleat, span.other_half


def _on_face(span: Span) -> bool:
    # Whether a crease is an edge of its pleat's face, which the others are laid out from: of a tuck, the stitched one.
    return span.line.role == "stitch-line" if is_stitched(span.line.tag.kind) else span.brought


def _strip(done: FoldedPass, layer: int, base: Span, first: Span, last: Span) -> _Strip:
    return _Strip(
        layer, base, (_between(done.seam, first.top_at, last.top_at), _between(done.seam, last.hem_at, first.hem_at))
    )


def _between(seam: FoundOutline, start: float, end: float) -> list[Segment]:
    # The seam walked on from one place to another; just short of a whole round is rounding.
    n = len(seam)
    way = (end - start) % n
    if way > n - AT_CORNER:
        return []
    return [seam.part(stretch) for stretch in seam.stretches(start, start + way)]


def _turns(run: list[Segment]) -> bool:
    # Directions over a millimetre, so that the hairs that editors leave are no corners; a rounded corner is one.
    if _all_its_turns(run) <= CORNER_TURN:
        return False
    points = [run[0][0]]
    for seg in run:
        count = math.ceil(length_of(seg) / _STEP)
        points += [point_at(seg, k / count) for k in range(1, count + 1)]
    chords: list[tuple[float, float, complex]] = []  # where it begins, where it ends, its way
    walked, begin, since = 0.0, points[0], 0.0
    for last, here in pairwise(points):
        walked += abs(here - last)
        if abs(here - begin) >= 0.9 * _STEP:
            chords.append((since, walked, here - begin))
            begin, since = here, walked
    for k, (_, end, first) in enumerate(chords):
        for start, _, second in chords[k + 1 :]:
            if start - end > CORNER_REACH:
                break
            turn = second * first.conjugate()
            if abs(turn.imag) < _SLIGHTLY * turn.real:
                continue
            if turn_between(first, second) > CORNER_TURN + _BEYOND:
                return True
    return False


def _all_its_turns(run: list[Segment]) -> float:
    # Degrees that a run turns by at the most, all its turns added up: those of its control polygon, which no curve exceeds.
    points = [run[0][0], *[z for seg in run for z in seg[1:]]]
    ways = [way for a, b in pairwise(points) if (way := b - a)]
    return sum([turn_between(first, second) for first, second in pairwise(ways)])


def _comes_back(run: list[Segment], top: complex, along: complex) -> bool:
    heights = [
        ((point_at(seg, t) - top) * along.conjugate()).imag for seg in run for t in shares_within(seg, FOLD_BACK)
    ]
    if abs(heights[-1]) < abs(heights[0]):
        heights.reverse()
    way = 1.0 if heights[-1] > heights[0] else -1.0
    return any(way * (b - a) < -FOLD_BACK for a, b in pairwise(heights))
