"""The cutting line of every part of a piece that is cut in parts, held against the finished one and the joins."""

from __future__ import annotations

import math
from collections.abc import Callable

from pleatsvg.geometry.motion import reflection
from pleatsvg.geometry.nearest import Nearest
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, length_of, point_at
from pleatsvg.kinds import is_kick
from pleatsvg.proof.figures import Most
from pleatsvg.proof.fold_drawn import beyond, layer_of
from pleatsvg.proof.folded_pass import CutPart, FoldedPass, Span, where
from pleatsvg.proof.raw_edges import larger_than_a_room
from pleatsvg.result.pattern_lines import ResultPiece
from pleatsvg.tolerance import FOLD_BACK_CUT

_STEP = 10.0
"""mm between the places at which a cutting line is looked at, beside its nodes and their middles."""


def cuts_of_parts(piece: ResultPiece, done: FoldedPass) -> Most | None:
    """Return how far the cutting lines of the parts lie off where they belong (mm); None where there are none to compare.

    A place on a part's cutting line belongs on the finished cutting line, folded with the layer that it lies on, or on the
    edge of a join's allowance, which lies evenly beyond the join.
    """
    cuts = [line for line in piece.lines if line.role == "cut-line" and line.closed]
    wanted = [line for line in piece.lines if line.role == "finished-cut-line" and line.pass_ == done.number]
    zones = (done,) if done.above is None else (done.above, done)
    if len(done.parts) < 2 or not cuts or len(wanted) != len(zones):
        return None
    most = Most()
    # Of a fitted piece each place is held against the line of its zone: above the hip level or below it.
    against = [
        (zone, Nearest(line.strokes[0])) for zone in zones for line in wanted if line.tag.zone in ("", zone.zone)
    ]
    above: Callable[[complex], bool] = _never
    if done.above is not None:
        from pleatsvg.proof.zones.drawn import FlatLevel  # of no use to most results

        above = FlatLevel(done).lies_above
    free = Nearest(done.free) if done.free else None
    joins = [part.crease for part in done.parts[1:]]
    step = _STEP * larger_than_a_room(done.finished)
    held: dict[int, list[tuple[CutPart, range]]] = {}
    for k, part in enumerate(done.parts):
        low = joins[k - 1] + 1 if k else 0
        high = joins[k] if k < len(joins) else len(done.layers) - 1
        own = [number for number, line in enumerate(cuts) if Outline(line.strokes[0]).holds(part.inside)]
        if len(own) != 1:
            found = f"{len(own) or 'no'} cutting line{'s' if len(own) > 1 else ''} round it"
            most.see(float("inf"), f"part {k + 1} has {found} and", FOLD_BACK_CUT)
            continue
        held.setdefault(own[0], []).append((part, range(low, high + 1)))
    for k, (number, parts) in enumerate(held.items(), 1):
        # All round, the part on which the round begins also ends it.
        for seg in cuts[number].strokes[0]:
            for z in _places(seg, step):
                off = min(
                    [
                        _off(spot, *against[0 if above(spot) else -1], among, free, part.allowance)
                        for part, among in parts
                        for spot in (part.motion.of(z),)
                    ]
                )
                most.see(off, f"the cutting line of part {k}, {where(z)},", FOLD_BACK_CUT)
    return most


def _places(seg: Segment, step: float) -> list[complex]:
    count = max(2, int(length_of(seg) / step) + 1)
    return [point_at(seg, t / count) for t in range(count)]


def _never(z: complex) -> bool:
    return False


def _off(
    z: complex, done: FoldedPass, finished: Nearest, among: range, free: Nearest | None, allowance: float | None
) -> float:
    spots = [done.layers[layer].motion.of(z) for layer in _layers_at(z, done, among)]
    if done.round_ is not None:
        spots = [w for spot in spots for w in done.round_.images(spot)]
    if done.centre is not None:
        # A half piece is pleated as the whole: hidden cloth near its fold edge may lie under the other half.
        flip = reflection(*done.centre)
        spots += [flip.of(spot) for spot in spots]
    off = math.inf
    for spot in spots:  # of a ring most lie rounds away, and nothing nearer than the one before is looked for
        off = finished.of(spot, off).away
    if off <= FOLD_BACK_CUT:
        return off
    if free is not None and free.of(z).away <= FOLD_BACK_CUT:
        return 0.0
    for k, sign in ((among[0] - 1, -1.0), (among[-1], 1.0)):
        if 0 <= k < len(done.creases):
            out = sign * beyond(z, done.creases[k], done.hand)
            if out > FOLD_BACK_CUT and allowance is not None:
                off = min(off, abs(out - allowance))
    return off


def _layers_at(z: complex, done: FoldedPass, among: range) -> list[int]:
    # The layer of a part that a place lies on. Above a kick's tip its creases are not there: what they part off by their way
    # produced is the allowance of the panel beside.
    creases = done.creases

    def hidden(layer: int) -> bool:
        return 0 < layer < len(creases) and creases[layer - 1].line.pleat == creases[layer].line.pleat

    here = layer_of(z, creases, among, done.hand)
    low = high = here
    while low > among[0] and hidden(low) and _above_kick(z, creases[low - 1]):
        low -= 1
    while high < among[-1] and hidden(high) and _above_kick(z, creases[high]):
        high += 1
    return list(range(low, high + 1))


def _above_kick(z: complex, crease: Span) -> bool:
    return is_kick(crease.line.tag.kind) and ((z - crease.top) * (crease.hem - crease.top).conjugate()).real < 0
