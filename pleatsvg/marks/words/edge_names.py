"""What is written along the edges of the flat piece and along its balance lines, and beside the grainline. All in mm.

The name of an edge stands inside it, on the longest stretch of it that is free of the lines of pleats, with its length
finished and flat, so that a page from the middle of a print tells where it belongs.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from itertools import pairwise
from operator import itemgetter
from typing import NamedTuple

import numpy as np

from pleatsvg.flat.carried import CarriedLine
from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.geometry.outline import Dart
from pleatsvg.geometry.segment import SPEED_RULE, Segment, length_of
from pleatsvg.result.clear_of import ClearOf, block_size, chords_of, clear_of_lines
from pleatsvg.result.lettering import CAPITALS, SIZE, Words, direction, readable, width_of
from pleatsvg.result.mark import Mark

Lines = Sequence[tuple[complex, ...]]

_WEIGHTS, _STEPS = np.array([w for w, *_ in SPEED_RULE]), np.array([steps for _, *steps in SPEED_RULE])
_PITCH = 5.6
_FROM_SEAM = 2.5
_FROM_LINES = 3.5
"""mm beside fold and placement lines: clear of the bars on them."""
_FROM_OTHERS = 1.2
_PARTED = 0.01
"""mm between two stretches of an edge that have a dart between them."""
_SHORTEST = 25.0
"""An edge shorter than that is not named."""
_PANELS = 4
"""On how many stretches of an edge its name is tried."""
_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8)
_NAMES_APART = 200.0
_ON_GRAIN = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)


class NamedEdge(NamedTuple):
    """A seam edge as it is named on the cloth: its name, and what is said of its length; "" for nothing."""

    name: str
    lengths: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Ground:
    """What the words of edges must keep clear of, by layer: lines of pleats, and whatever else lies there.

    Attributes:
        unfolded: the flat piece.
        hand: +1 where its outline is walked clockwise on the page.
        lines: those of pleats that bound a layer or lie on it.
        others: carried things, stitching and the like.
        aside: how far beside a fold line stitching may lie.
    """

    unfolded: Unfolded
    hand: float
    lines: Mapping[int, Sequence[FlatLine]]
    others: Mapping[int, Lines]
    aside: float


def lines_by_layer(*parts: Unfolded) -> dict[int, list[FlatLine]]:
    """Return the lines of pleats that bound each layer, and those that lie on it; of a fitted piece, of both its zones."""
    found: dict[int, list[FlatLine]] = {}
    for unfolded in parts:
        for crease in unfolded.creases:
            found.setdefault(crease.layer, []).append(crease)
            found.setdefault(crease.layer + 1, []).append(crease)
        for line in unfolded.placements:
            found.setdefault(line.layer, []).append(line)
    return found


SEWN_UP = 0
"""The number under which the legs of darts stand among the edges: they belong to none."""


_MANY_LAYERS = -1


def flat_edges(
    unfolded: Unfolded, edge_of: Sequence[int], darts: Sequence[Dart], hand: float
) -> dict[int, dict[int, list[Segment]]]:
    """Return the segments of each seam edge of the flat piece, by its number and by layer; legs of darts by `SEWN_UP`.

    Args:
        unfolded: the flat piece.
        edge_of: for each segment of the finished outline, walked clockwise, the number of its edge.
        darts: of that outline; they are sewn up, so that the length of an edge is without their legs.
        hand: +1 where the flat piece's outline is walked clockwise on the page, -1 otherwise.
    """
    found: dict[int, dict[int, list[Segment]]] = {}
    count = len(edge_of)
    numbers = list(edge_of)
    for dart in darts:
        for k in range(dart.start, dart.end):
            numbers[k % count] = SEWN_UP
    own = 0
    for points, layer, (index, _, _) in unfolded.seam:
        if 0 <= index < count:
            own = numbers[index if hand > 0 else count - 1 - index]
            found.setdefault(own, {}).setdefault(layer, []).append(points)
        elif index < 0 and len(points) == 4:
            # A smooth hem over hidden cloth lies on many layers at once. It goes on from the hem before it; what else is
            # part of no edge, at the top of a kick pleat, is straight.
            found.setdefault(own, {}).setdefault(_MANY_LAYERS, []).append(points)
    return found


def flat_length(layers: Mapping[int, Sequence[Segment]]) -> float:
    """Return the length of an edge of the flat piece in mm."""
    segments = [seg for own in layers.values() for seg in own]
    curves = [seg for seg in segments if len(seg) == 4]
    straight = sum([abs(seg[1] - seg[0]) for seg in segments if len(seg) == 2])
    if len(curves) < 2:
        return straight + sum(map(length_of, curves))
    # The parts between folds are gentle; all in one go they take a tenth of the time.
    a, b, c, d = np.array(curves).T
    return straight + float(_WEIGHTS @ np.abs(_STEPS @ np.stack([b - a, c - b, d - c])).sum(axis=1))


def edge_words(
    edges: Mapping[int, NamedEdge], flat: Mapping[int, Mapping[int, Sequence[Segment]]], ground: Ground, taken: ClearOf
) -> list[Words]:
    """Return the names of seam edges where there is room for them; what is found room for is taken."""
    made: list[Words] = []
    panels = set(ground.unfolded.panels)
    for number, named in edges.items():
        layers = flat.get(number, {})
        # On the panels, or, where none of them comes to the edge, on what lies beneath.
        own = [layer for layer in layers if layer in panels] or list(layers)
        stretches = [
            (abs(end - start), start, end, layer, run)
            for layer in own
            for run in _runs(layers[layer])
            for start, end in _stretches(run, ground.lines.get(layer, ()))
        ]
        stretches.sort(key=itemgetter(0), reverse=True)
        spots = [stretch for stretch in stretches[:_PANELS] if stretch[0] >= _SHORTEST]
        for rows in ([f"{named.name}: {', '.join(named.lengths)}"], [named.name, *named.lengths], [named.name]):
            wide, high = block_size(rows, SIZE, _PITCH)
            found = next(
                (
                    words
                    for spot in spots
                    if wide + 2 * _FROM_LINES <= spot[0]
                    for words in [_along(rows, (wide, high), spot, ground, taken)]
                    if words
                ),
                None,
            )
            if found is not None:
                made += found
                break
    return made


def _runs(segments: Sequence[Segment]) -> list[list[Segment]]:
    # An edge on one layer, parted where a dart lies in it.
    runs = [[segments[0]]]
    for before, seg in pairwise(segments):
        if abs(seg[0] - before[-1]) > _PARTED:
            runs.append([])
        runs[-1].append(seg)
    return runs


def _stretches(segments: Sequence[Segment], lines: Sequence[FlatLine]) -> list[tuple[complex, complex]]:
    # What of an edge on one layer lies between placement lines, each as its chord.
    start, end = segments[0][0], segments[-1][-1]
    way = end - start
    if not way:
        return []
    cuts = []
    for line in lines:
        if not line.role.crease:
            for z in (line.top, line.hem):
                share = (z - start) / way
                if 0 < share.real < 1 and abs(share.imag) * abs(way) < 0.2 * abs(way) + 1:
                    cuts.append(share.real)
    return [(start + way * a, start + way * b) for a, b in pairwise((0.0, *sorted(cuts), 1.0))]


_Stretch = tuple[float, complex, complex, int, Sequence[Segment]]


def _along(
    rows: Sequence[str], size: tuple[float, float], stretch: _Stretch, ground: Ground, taken: ClearOf
) -> list[Words]:
    length, start, end, layer, segments = stretch
    wide, high = size
    along = (end - start) / length
    inwards = 1j * ground.hand * along
    back = along.conjugate()
    curve = [tuple([(z - start) * back for z in chords_of(seg)]) for seg in segments]
    bounds = [(line.top, line.hem) for line in ground.lines.get(layer, ())]
    turn = readable(along)
    down = direction(turn) * 1j
    for share in _SHARES:
        at = share * length
        if at - wide / 2 < _FROM_LINES or at + wide / 2 > length - _FROM_LINES:
            continue
        # Inside of the edge, however it bends there.
        bend = _most_inside(curve, at - wide / 2, at + wide / 2, ground.hand)
        middle = start + along * at + inwards * (bend + _FROM_SEAM + high / 2)
        if not clear_of_lines(middle, along, wide, high, bounds, _FROM_LINES + ground.aside):
            continue
        if not taken.is_free(middle, along, wide, high, ground.others.get(layer, ()), _FROM_OTHERS):
            continue
        first = middle - down * _PITCH * (len(rows) - 1) / 2
        found = [Words(row, first + down * _PITCH * k, turn, SIZE, "edge-label") for k, row in enumerate(rows)]
        for row in found:
            taken.take(row)
        return found
    return []


def _most_inside(curve: Sequence[Sequence[complex]], low: float, high: float, hand: float) -> float:
    # How far an edge comes into the piece, in mm, between two places along its chord, which lies on the real axis.
    most = -math.inf
    for points in curve:
        for a, b in pairwise(points):
            long = b.real - a.real
            if max(a.real, b.real) < low or min(a.real, b.real) > high:
                continue
            for end in (low, high):
                share = min(max((end - a.real) / long, 0.0), 1.0) if long else 0.0
                most = max(most, hand * (a.imag + (b.imag - a.imag) * share))
    return most if math.isfinite(most) else 0.0


def balance_words(lines: Sequence[CarriedLine], ground: Ground, taken: ClearOf) -> list[Words]:
    """Return the names of balance lines, along the widest panels that they cross, every 20 cm at the most."""
    made: list[Words] = []
    panels = set(ground.unfolded.panels)
    by_name: dict[str, list[CarriedLine]] = {}
    for line in lines:
        if line.balance:
            by_name.setdefault(line.name, []).append(line)
    seam: dict[int, list[tuple[complex, ...]]] = {}
    for edge in ground.unfolded.seam if by_name else ():
        seam.setdefault(edge.layer, []).append(edge.points)
    for name, runs in by_name.items():
        text = " ".join(name.upper().split())
        # What a line is by its look is left out of its name where there is no room for all of it.
        short = text.removeprefix("BALANCE LINE ")
        for said in dict.fromkeys((text, short)):
            found = _balance_name(said, runs, panels, seam, ground, taken)
            made += found
            if found:
                break
    return made


def _balance_name(
    text: str,
    runs: Sequence[CarriedLine],
    panels: AbstractSet[int],
    seam: Mapping[int, Lines],
    ground: Ground,
    taken: ClearOf,
) -> list[Words]:
    # A name along a balance line, where there is room for it.
    made: list[Words] = []
    wide, high = width_of(text, SIZE), SIZE * CAPITALS
    spots = [
        (run.layer in panels, abs(seg[-1] - seg[0]), seg, run.layer)
        for run in runs
        for seg in run.segments
        if abs(seg[-1] - seg[0]) > wide + 2 * _FROM_LINES
    ]
    for _, length, seg, layer in sorted(spots, key=lambda spot: spot[:2], reverse=True):
        along = (seg[-1] - seg[0]) / length
        turn = readable(along)
        up = direction(turn) * -1j
        curve = chords_of(seg)
        rise = max([((z - seg[0]) * up.conjugate()).real for z in curve])
        # Drawn on over a side, a line is named within the seam.
        others = [line for line in ground.others.get(layer, ()) if line != seg]
        others += [chords_of(edge) for edge in seam.get(layer, ())]
        bounds = [(line.top, line.hem) for line in ground.lines.get(layer, ())]
        for share in _SHARES:
            if min(share, 1 - share) * length < wide / 2 + _FROM_LINES:
                continue
            middle = seg[0] + along * length * share + up * (rise + 1.8 + high / 2)
            if any(abs(middle - other.middle) < _NAMES_APART for other in made):
                continue
            if clear_of_lines(middle, along, wide, high, bounds, _FROM_LINES + ground.aside) and taken.is_free(
                middle, along, wide, high, [*others, curve], _FROM_OTHERS
            ):
                if not any(outline.holds(middle) for outline in ground.unfolded.seams):
                    break
                made.append(Words(text, middle, turn, SIZE, "balance-label"))
                taken.take(made[-1])
                break
    return made


def bracket_words(bracket: Mark, lines: Lines, taken: ClearOf) -> list[Words]:
    """Return the words of a fold edge, between it and the bent arrow beside it, where they are clear of all else.

    Args:
        bracket: the bent arrow.
        lines: of pleats.
        taken: what stands there already; the words are taken.
    """
    start, corner, other, _ = bracket.points[:4]
    text = "LAY THIS EDGE ON THE FOLD"
    wide, high = width_of(text, SIZE), SIZE * CAPITALS
    way = (other - corner) / abs(other - corner)
    out = (corner - start) / abs(corner - start)
    length, stand = abs(other - corner), abs(corner - start)
    # Beside the edge, or, where lines of a pleat lie there, beyond the arrow.
    for off in (1.8 + high / 2, stand + 1.8 + high / 2):
        if off + high / 2 + 1.0 > stand and off < stand:
            continue
        for share in _SHARES:
            middle = start + way * length * share + out * off
            inside = min(share, 1 - share) * length > wide / 2 + 6.0
            if inside and taken.is_free(middle, way, wide, high, [*lines, bracket.points[:4]], 1.0):
                made = Words(text, middle, readable(way), SIZE, "fold-edge-label")
                taken.take(made)
                return [made]
    return []


def grain_words(grain: tuple[complex, complex], lines: Lines, taken: ClearOf) -> list[Words]:
    """Return the word beside the grainline, as near to its middle as it is clear of all else, or nothing."""
    turn = readable(grain[1] - grain[0])
    along = direction(turn)
    wide, high = width_of("GRAIN", SIZE), SIZE * CAPITALS
    for share in _ON_GRAIN:
        for side in (-1j, 1j):
            middle = grain[0] + (grain[1] - grain[0]) * share + side * along * (1.8 + high / 2)
            if taken.is_free(middle, along, wide, high, lines, 1.0):
                return [Words("GRAIN", middle, turn, SIZE, "grain-label")]
    return []
