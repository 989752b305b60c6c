"""Finding room for the words: labels run along the lines, in the lanes between them, and never on a line.

A lane is the cloth between two neighbouring lines of the flat piece. A label lies in a lane beside its own line; two
labels of one lane never share the same height. Where no lane is wide enough the words go beyond the hem, in rows,
each at the end of its line. The work grows with the number of lines: a label looks only at its own two lanes.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass, field
from itertools import pairwise
from operator import itemgetter
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.geometry.segment import point_at
from pleatsvg.marks.arrows import Arrows, stitched_span
from pleatsvg.result.lettering import CAPITALS, SIZE, Words, readable, width_of
from pleatsvg.result.mark import Mark
from pleatsvg.result.roles import Role

CLEAR = 1.8
"""Free space in mm between a line and the words beside it."""


_BEYOND = 9.0


_ROW_PITCH = SIZE * CAPITALS + 2.2


_KEEP_TOP = 30.0


_KEEP_HEM = 14.0


_GAP_BETWEEN = 5.0


_NEED = SIZE * CAPITALS + 2 * CLEAR


_WIDEST_BLOCK = 120.0


_SHARES = tuple([k / 8 for k in range(9)])


_TO_MIDDLE = CLEAR + SIZE * CAPITALS / 2


class _Rail(NamedTuple):
    """One line of the flat piece among its neighbours; words beside it keep between `low` and `high`, from its top.

    `role` is None for a join; `out` is how far beyond its hem end it runs on through the allowance.
    """

    top: complex
    along: complex
    length: float
    low: float
    high: float
    turn: float
    role: Role | None
    pleat: int
    text: str
    place: tuple[int, ...]
    out: float


@dataclass(slots=True)
class _Lane:
    """The cloth between two rails; `taken` are stretches of its height in use, measured along its first rail.

    `inside_pleat` tells whether it lies between two lines of one pleat, `within` whether it is hidden when the pleat is
    folded; the face of a box pleat is not.
    """

    left: _Rail | None
    right: _Rail | None
    inside_pleat: bool
    within: bool
    taken: list[tuple[float, float]] = field(default_factory=list)
    boxes: list[tuple[float, float, float, float]] = field(default_factory=list)
    room: float | None = None


def _lane(left: _Rail | None, right: _Rail | None) -> _Lane:
    inside = left is not None and right is not None and left.pleat == right.pleat
    face = left is not None and right is not None and left.role is right.role is Role.FOLD
    return _Lane(left, right, inside, inside and not face)


@dataclass(frozen=True, slots=True)
class Lettered:
    """The words on the cloth, those beyond the hem, and the thin lines that lead to these."""

    words: tuple[Words, ...]
    beyond: tuple[Words, ...]
    leaders: tuple[Mark, ...]


def lettered(
    piece_rows: tuple[str, ...],
    pleat_labels: dict[int, tuple[str, str]],
    unfolded: Unfolded,
    hand: float,
    grain: tuple[complex, complex] | None,
    obstacles: list[tuple[int, tuple[complex, ...]]],
    layers: dict[tuple[int, int], str],
    arrows: Arrows,
    quiet: frozenset[int] = frozenset(),
) -> Lettered:
    """Find a place for every label.

    Args:
        piece_rows: the rows of the block that names the piece; none where each of its parts has a name of its own.
        pleat_labels: for each pleat a long and a short label.
        unfolded: the flat piece.
        hand: +1 where its outline is walked clockwise on the page, -1 where not.
        grain: the carried grainline, which no words may cross.
        obstacles: what else no words may cross: the layer of cloth that it lies on, and points that enclose it.
        layers: for the folds of stacked pleats, by pleat and place, what is added to their number.
        arrows: where the lap arrows stand.
        quiet: the pleats of which only the first of a run is labelled, and some of the fold lines.
    """
    rails = _rails(unfolded, layers, arrows)
    lanes = [_lane(a, b) for a, b in pairwise((None, *rails, None))]
    for k, rail in enumerate(rails):
        if rail.role is None:
            lanes[k].taken.append((-1e6, 1e6))  # between two parts there is no cloth
    _keep_arrows_free(rails, lanes, arrows)
    finder = _Finder(rails, lanes, unfolded, hand, grain)
    finder.keep_clear_of(obstacles)
    words: list[Words] = []
    homeless: list[tuple[int, Words]] = []
    for index, rail in enumerate(rails):
        if rail.role is None or rail.role.hidden or rail.role.stitched:
            continue
        if rail.pleat in quiet and rail.pleat % 5 and {rail.pleat - 1, rail.pleat + 1} <= quiet:
            continue  # in a run of pin tucks the first, the last and every fifth are enough to count by
        name = rail.role.label
        spot = finder.beside(index, rail.text)
        if spot is not None:
            words.append(Words(rail.text, spot, rail.turn, SIZE, name, rail.pleat))
        else:
            homeless.append((index, Words(rail.text, 0j, 0.0, SIZE, name, rail.pleat)))
    first_of: dict[int, list[int]] = {}
    for index, rail in enumerate(rails):
        first_of.setdefault(rail.pleat, []).append(index)
    for pleat, indices in first_of.items():
        if pleat in quiet and pleat - 1 in quiet:
            continue  # one label for a run of pin tucks
        label = finder.beside_one_of(indices, pleat_labels[pleat])
        if label is not None:
            words.append(label)
        elif not any(rails[k].role is Role.STITCH for k in indices):
            inner_first = min(indices, key=lambda k: not _hidden(rails[k]))
            homeless.append((inner_first, Words(pleat_labels[pleat][1], 0j, 0.0, SIZE, "pleat-label", pleat)))
    for index, rail in enumerate(rails):
        role = rail.role
        if role is not None and ((role.hidden and rail.text) or (role.stitched and rail.pleat not in quiet)):
            spot = finder.beside(index, rail.text)
            if spot is not None:
                words.append(Words(rail.text, spot, rail.turn, SIZE, role.label, rail.pleat))
    if piece_rows:
        words += finder.block(piece_rows)
    if grain is not None:
        words.append(_grain_words(grain, finder))
    beyond, leaders = _beyond(rails, sorted(homeless, key=lambda item: item[0]))
    return Lettered(tuple(words), tuple(beyond), tuple(leaders))


def _hidden(rail: _Rail) -> bool:
    return rail.role is not None and rail.role.hidden


def _rails(unfolded: Unfolded, layers: dict[tuple[int, int], str], arrows: Arrows) -> list[_Rail]:
    # Creases lie between layers, placement lines on them: at their end where the pleat begins with one, at their start
    # where it ends with one, half-way in an inverted pleat.
    first: dict[int, int] = {}
    last: dict[int, int] = {}
    for crease in unfolded.creases:
        first.setdefault(crease.pleat, crease.layer)
        last[crease.pleat] = crease.layer + 1
    joins = {join.crease for join in unfolded.joins}
    keyed: list[tuple[float, _Rail]] = []
    for line in (*unfolded.creases, *unfolded.placements):
        role, pleat, place, top, hem, layer = line[:6]
        if not role.crease:
            key = layer + (0.6 if layer == first[pleat] else 0.4 if layer == last[pleat] else 0.5)
            text = role.words.format(pleat, "")
        else:
            key = layer + 1.0
            text = "" if layer in joins else role.words.format(pleat, layers.get((pleat, place[0]), ""))
        way = hem - top
        length = abs(way)
        along = way / length
        low, high = min(_KEEP_TOP, length / 4), length - _KEEP_HEM
        if pleat in arrows.stitched:
            start, end = stitched_span(length, arrows.stitched[pleat])
            low, high = max(low, start + 4.0), min(high, end - 4.0)
        keyed.append(
            (
                key,
                _Rail(
                    top, along, length, low, high, readable(along), role, pleat, text, place, abs(line.out_hem - hem)
                ),
            )
        )
    for join in unfolded.joins:
        top, hem = join.after
        length = abs(hem - top)
        along = (hem - top) / length
        low, high = min(_KEEP_TOP, length / 4), length - _KEEP_HEM
        pleat = unfolded.creases[join.crease].pleat
        keyed.append(
            (
                join.crease + 1.05,
                _Rail(top, along, length, low, high, readable(along), None, pleat, "", (join.number,), 0),
            )
        )
    keyed.sort(key=itemgetter(0))
    return [rail for _, rail in keyed]


def _keep_arrows_free(rails: list[_Rail], lanes: list[_Lane], arrows: Arrows) -> None:
    # An arrow runs from its fold line over every lane to its placement line.
    where = {(rail.pleat, rail.role, rail.place): k for k, rail in enumerate(rails)}
    for fold, onto, places in arrows.laps:
        start, to = where[fold.pleat, fold.role, fold.folds], where[onto.pleat, onto.role, onto.folds]
        for at in places:
            spot = rails[start].top + at * rails[start].along
            for k in range(min(start, to), max(start, to)):
                left = rails[k]
                here = ((spot - left.top) * left.along.conjugate()).real
                lanes[k + 1].taken.append((here - 4.0, here + 4.0))


_Room = tuple[complex, float, float, float]
"""Where words fit in a lane beside a rail: the direction to it, from where to where along its first rail, and how far
the rail begins before that one."""


class _Finder:
    """Looks for free room in the lanes; lane k lies before rail k, the last one after the last rail."""

    def __init__(
        self,
        rails: list[_Rail],
        lanes: list[_Lane],
        unfolded: Unfolded,
        hand: float,
        grain: tuple[complex, complex] | None,
    ) -> None:
        self.rails = rails
        self.lanes = lanes
        self.unfolded = unfolded
        self.after = -1j * hand  # times a rail's direction: the unit vector to the lanes after it
        self.grain = grain
        self.grain_lane = -1
        if grain is not None:
            middle = (grain[0] + grain[1]) / 2
            self.grain_lane = sum(
                [((middle - rail.top) * (self.after * rail.along).conjugate()).real > 0 for rail in rails]
            )
        self.rooms: dict[tuple[int, float], _Room | None] = {}

    def keep_clear_of(self, obstacles: list[tuple[int, tuple[complex, ...]]]) -> None:
        """Take the room that carried things need out of the lanes that they lie in."""
        if not obstacles:
            return
        by_layer: dict[int, list[_Lane]] = {}
        layer = 0
        for k, lane in enumerate(self.lanes):
            role = self.rails[k - 1].role
            if k and role is not None and role.crease:
                layer += 1
            by_layer.setdefault(layer, []).append(lane)
        alike: dict[tuple[int, int], list[tuple[complex, ...]]] = {}
        for where, points in obstacles:
            alike.setdefault((where, len(points)), []).append(points)
        for (where, _), found in alike.items():
            points_of = np.array(found)
            for lane in by_layer[where]:
                rail = lane.left or lane.right
                if rail is None:
                    continue
                side = (self.after * (1.0 if lane.left is rail else -1.0)).imag
                us, vs = _along_and_off(points_of, rail)
                vs = vs * side
                low, high = us.min(axis=1), us.max(axis=1)
                lane.boxes += zip(*[row.tolist() for row in (low, high, vs.min(axis=1), vs.max(axis=1))], strict=True)
                near = vs.min(axis=1) < _NEED + 2
                if lane.left is not None and lane.right is not None:
                    near |= abs(_along_and_off(points_of, lane.right)[1]).min(axis=1) < _NEED + 2
                lane.taken = _united(
                    [*lane.taken, *zip((low[near] - 3.0).tolist(), (high[near] + 3.0).tolist(), strict=True)]
                )

    def beside(self, index: int, text: str) -> complex | None:
        """Return the middle of words beside rail `index`, or None where neither lane has room."""
        rail = self.rails[index]
        width = width_of(text, SIZE)
        if width > rail.high - rail.low:
            return None
        # The lane within the rail's own pleat comes first: those words are hidden when the pleat is folded.
        ways = ((index + 1, 1.0), (index, -1.0))
        for lane, way in ways if self.lanes[index + 1].within or not self.lanes[index].within else reversed(ways):
            spot = self._in_lane(lane, rail, way, width)
            if spot is not None:
                return spot
        return None

    def beside_one_of(self, indices: list[int], texts: tuple[str, ...]) -> Words | None:
        """Return the first of some labels for which there is room beside one of the rails of its pleat, or None."""
        for text in texts:
            for index in indices:
                spot = self.beside(index, text)
                if spot is not None:
                    rail = self.rails[index]
                    return Words(text, spot, rail.turn, SIZE, "pleat-label", rail.pleat)
        return None

    def _in_lane(self, k: int, rail: _Rail, way: float, width: float) -> complex | None:
        if (k, way) not in self.rooms:
            self.rooms[k, way] = self._room(self.lanes[k], rail, way)
        room = self.rooms[k, way]
        if room is None:
            return None
        lane = self.lanes[k]
        side, low, high, shift = room
        start = _first_free(lane.taken, low, high, width)
        if start is None:
            return None
        u = start - shift
        if k == self.grain_lane and self._on_grain(rail, side, u, u + width):
            return None
        lane.taken.append((start - _GAP_BETWEEN, start + width + _GAP_BETWEEN))
        return rail.top + (u + width / 2) * rail.along + side * _TO_MIDDLE

    def _room(self, lane: _Lane, rail: _Rail, way: float) -> _Room | None:
        other = lane.right if way > 0 else lane.left
        side = self.after * rail.along * way
        low, high = rail.low, rail.high
        if other is None:
            if self.outer_room(lane, rail, side) < _NEED:
                return None
        else:
            # The gap to the other rail, square to this one, changes evenly along it.
            back = rail.along.conjugate()
            turned, off = other.along * back, (other.top - rail.top) * back
            if turned.real < 0.2:
                return None
            slope = turned.imag / turned.real
            flip = 1.0 if (self.after * way).imag > 0 else -1.0
            gap, grow = flip * (off.imag - off.real * slope), flip * slope
            if -1e-9 < grow < 1e-9:
                if gap < _NEED:
                    return None
            elif grow > 0:
                low = max(low, (_NEED - gap) / grow)
            else:
                high = min(high, (_NEED - gap) / grow)
            low = max(low, off.real + other.low)
            high = min(high, off.real + other.length * turned.real - _KEEP_HEM)
        base = lane.left or rail
        shift = ((rail.top - base.top) * base.along.conjugate()).real if base is not rail else 0.0
        return side, low + shift, high + shift, shift

    def outer_room(self, lane: _Lane, rail: _Rail, side: complex) -> float:
        """Return how wide the panel outside the first or last line is, at its narrowest beside that line (mm)."""
        if lane.room is None:
            layer = 0 if lane.left is None else len(self.unfolded.creases)
            back, flip = rail.along.conjugate(), side.conjugate()
            beside = [
                (spot * flip).real
                for edge in self.unfolded.seam
                if edge.layer == layer
                for spot in [point_at(edge.points, share) - rail.top for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
                if 0.12 * rail.length < (spot * back).real < 0.88 * rail.length
            ]
            lane.room = max(0.0, min(beside, default=0.0))
        return lane.room

    def _outer_room_between(self, lane: _Lane, rail: _Rail, side: complex, low: float, high: float) -> float:
        # How wide that panel is from one height beside the line to another, at its narrowest (mm).
        layer = 0 if lane.left is None else len(self.unfolded.creases)
        back, flip = rail.along.conjugate(), side.conjugate()
        least = math.inf
        for edge in self.unfolded.seam:
            if edge.layer != layer:
                continue
            shares = (0.0, 1.0) if len(edge.points) == 2 else _SHARES
            off = [point_at(edge.points, share) - rail.top for share in shares]
            for a, b in pairwise([((z * back).real, (z * flip).real) for z in off]):
                start, end = max(low, min(a[0], b[0])), min(high, max(a[0], b[0]))
                if start <= end:
                    rise = (b[1] - a[1]) / (b[0] - a[0]) if b[0] != a[0] else 0.0
                    least = min(least, *[a[1] + (u - a[0]) * rise for u in (start, end)])
        return max(0.0, least) if math.isfinite(least) else 0.0

    def _on_grain(self, rail: _Rail, side: complex, low: float, high: float) -> bool:
        if self.grain is None:
            return False
        return _passes(self.grain, rail.top, rail.along, side, (low - 2, high + 2), (-7.0, _NEED + 7))

    def block(self, rows: tuple[str, ...]) -> list[Words]:
        """Return the rows that name the piece, along the middle of the widest panel that has room, or nothing."""
        size = 6.0
        pitch = size * 1.35
        height = pitch * len(rows)
        width = max([width_of(row, size) for row in rows])
        need = height + 2 * (_NEED + 2)
        best: tuple[float, complex, _Rail] | None = None
        for k, lane in enumerate(self.lanes):
            rail = lane.left or lane.right
            if rail is None or lane.inside_pleat or rail.length < width + 60:
                continue
            side = self.after * rail.along * (1.0 if lane.left is rail else -1.0)
            gap = self._panel_gap(lane, rail, side)
            narrow = gap < need
            if (narrow and lane.left and lane.right) or (best is not None and gap <= best[0] + 1e-6):
                continue
            for share in (0.55, 0.7, 0.4):
                u = rail.length * share
                if u - width / 2 < 30 or u + width / 2 > rail.length - 20:
                    continue
                box = (u - width / 2 - 3, u + width / 2 + 3)
                if narrow:  # a panel outside all lines may be wide enough at one height, as below an armhole
                    gap = min(self._outer_room_between(lane, rail, side, box[0] - 9, box[1] + 9), _WIDEST_BLOCK)
                    if gap < need or (best is not None and gap <= best[0] + 1e-6):
                        continue
                band = (gap / 2 - height / 2 - 6, gap / 2 + height / 2 + 6)
                if (
                    k == self.grain_lane
                    and self.grain is not None
                    and _passes(self.grain, rail.top, rail.along, side, box, band)
                ):
                    continue
                if any(a < box[1] and b > box[0] and c < band[1] and d > band[0] for a, b, c, d in lane.boxes):
                    continue
                best = (gap, rail.top + u * rail.along + side * gap / 2, rail)
                break
        if best is None:
            return []
        _, middle, rail = best
        turn = rail.turn
        down = cmath.rect(1.0, math.radians(turn)) * 1j
        first = middle - down * pitch * (len(rows) - 1) / 2
        return [Words(row, first + down * pitch * k, turn, size, "piece-label") for k, row in enumerate(rows)]

    def _panel_gap(self, lane: _Lane, rail: _Rail, side: complex) -> float:
        other = lane.right if lane.left is rail else lane.left
        if other is None:
            return min(self.outer_room(lane, rail, side), _WIDEST_BLOCK)
        flip = side.conjugate()
        return min(
            ((other.top + other.along * (0.3 * other.length) - rail.top) * flip).real,
            ((other.top + other.along * (0.8 * other.length) - rail.top) * flip).real,
        )


_Numbers = npt.NDArray[np.float64]


def _along_and_off(points: npt.NDArray[np.complex128], rail: _Rail) -> tuple[_Numbers, _Numbers]:
    # How far along a rail points lie, and how far to the side of it.
    x, y = points.real - rail.top.real, points.imag - rail.top.imag
    across, down = rail.along.real, rail.along.imag
    return x * across + y * down, y * across - x * down


def _united(taken: list[tuple[float, float]]) -> list[tuple[float, float]]:
    # Stretches that touch or overlap, as one: thousands of marks leave a few gaps between them.
    united: list[tuple[float, float]] = []
    for low, high in sorted(taken):
        if united and low <= united[-1][1]:
            united[-1] = (united[-1][0], max(united[-1][1], high))
        else:
            united.append((low, high))
    return united


def _first_free(taken: list[tuple[float, float]], low: float, high: float, width: float) -> float | None:
    start = low
    for a, b in sorted(taken):
        if a >= start + width:
            break
        if b > start:
            start = b
    return start if start + width <= high else None


def _passes(
    line: tuple[complex, complex],
    origin: complex,
    along: complex,
    side: complex,
    span: tuple[float, float],
    band: tuple[float, float],
) -> bool:
    # Does a straight line pass through the box span x band, measured along and to the side of an origin? (Slab test.)
    a = (line[0] - origin) * along.conjugate()
    b = (line[1] - origin) * along.conjugate()
    flip = 1.0 if (side * along.conjugate()).imag > 0 else -1.0
    low, high = 0.0, 1.0
    for p, q, (least, most) in ((a.real, b.real, span), (flip * a.imag, flip * b.imag, band)):
        if abs(q - p) < 1e-12:
            if not least <= p <= most:
                return False
            continue
        t0, t1 = (least - p) / (q - p), (most - p) / (q - p)
        low, high = max(low, min(t0, t1)), min(high, max(t0, t1))
    return low <= high


def _grain_words(grain: tuple[complex, complex], finder: _Finder) -> Words:
    turn = readable(grain[1] - grain[0])
    up = cmath.rect(1.0, math.radians(turn)) * -1j
    middle = (grain[0] + grain[1]) / 2 + up * _TO_MIDDLE
    return Words("GRAIN", middle, turn, SIZE, "grain-label")


def _beyond(rails: list[_Rail], homeless: list[tuple[int, Words]]) -> tuple[list[Words], list[Mark]]:
    # Beyond the hem, each at the end of its line; those too near their neighbour go one row farther out.
    words: list[Words] = []
    leaders: list[Mark] = []
    last_in_row: list[complex] = []
    deepest: list[float] = []
    rows_of: list[int] = []
    for index, _ in homeless:
        hem = rails[index].top + rails[index].along * rails[index].length
        row = next((r for r, spot in enumerate(last_in_row) if abs(hem - spot) >= _ROW_PITCH), len(last_in_row))
        if row == len(last_in_row):
            last_in_row.append(hem)
        last_in_row[row] = hem
        rows_of.append(row)
    for (_, label), row in zip(homeless, rows_of, strict=True):
        while len(deepest) <= row:
            deepest.append(0.0)
        deepest[row] = max(deepest[row], label.width)
    for (index, label), row in zip(homeless, rows_of, strict=True):
        rail = rails[index]
        hem = rail.top + rail.along * rail.length
        start = rail.out + _BEYOND + sum(deepest[:row]) + 4.0 * row
        middle = hem + rail.along * (start + label.width / 2)
        words.append(label._replace(middle=middle, turn=rail.turn))
        if row:
            stroke = (hem + rail.along * (rail.out + 7.0), hem + rail.along * (start - 1.0))
            leaders.append(
                Mark(
                    "leader",
                    stroke,
                    (2,),
                    rail.role.sign if rail.role is not None else "join",
                    rail.pleat,
                    rail.place,
                    "hem",
                )
            )
    return words, leaders
