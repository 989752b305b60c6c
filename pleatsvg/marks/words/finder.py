"""Looking for free room in the lanes: beside lines, below what is seen of them, and for the rows that name the piece."""

from __future__ import annotations

import cmath
import math
from bisect import insort
from itertools import pairwise

import numpy as np

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.geometry.segment import point_at
from pleatsvg.marks.shaping import SHAPING_BAR
from pleatsvg.marks.stitching import TICK, StitchingLine
from pleatsvg.marks.words.lane import CLEAR, NEED, Lane, Stretches, first_free, with_all
from pleatsvg.marks.words.places import BESIDE_OBSTACLE, BLOCK_DOWN, Boxes, Places
from pleatsvg.marks.words.rails import KEEP_HEM, KEEP_TOP, OVERLAP, Rail
from pleatsvg.result.lettering import CAPITALS, SIZE, Words, width_of

_GAP_BETWEEN = 5.0


_SMALL_LETTERS = 1.1
"""mm that small letters reach below the line of capitals: so much further a sentence stands beside its line, clear of the
crosses on it."""


_WIDEST_BLOCK = 120.0


_SHARES = tuple([k / 8 for k in range(9)])


_TO_MIDDLE = CLEAR + SIZE * CAPITALS / 2


_BELOW = (3.0, 4.0, 5.0, 6.0, 8.0)
"""mm from the end of what is seen of a line to words on the line itself: the first of these that is free."""


_Room = tuple[complex, float, float, float]
"""Where words fit in a lane beside a rail: the direction to it, from where to where along its first rail, and how far
the rail begins before that one."""


class Finder:
    """In mm. Looks for free room in the lanes; lane k lies before rail k, the last one after the last rail."""

    def __init__(
        self,
        rails: list[Rail],
        lanes: list[Lane],
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
            self._keep_clear_of_grain(grain)
        self.rooms: dict[tuple[int, float], _Room | None] = {}
        self.boxes: list[Boxes] = []

    def keep_clear_of(
        self, obstacles: list[tuple[int, tuple[complex, ...]]], at_tops: list[tuple[int, tuple[complex, ...]]]
    ) -> None:
        """Take the room that carried things need out of the lanes that they lie in, and that of things about the tops of lines
        where the lines begin at heights so different that words may come beside these."""
        if not self.rails or not (obstacles or at_tops):
            return
        place = Places(self.rails, self.lanes, self.after.imag)
        if at_tops and not place.begin_below(SHAPING_BAR + BESIDE_OBSTACLE):
            obstacles = [*obstacles, *at_tops]
        # All obstacles of so many points at once, each in every lane of its layer.
        alike: dict[int, list[tuple[int, tuple[complex, ...]]]] = {}
        for obstacle in obstacles:
            alike.setdefault(len(obstacle[1]), []).append(obstacle)
        taken: dict[int, Stretches] = {}
        for found in alike.values():
            boxes, near = place.boxes_of(found)
            self.boxes.append(boxes)
            at = np.flatnonzero(near & (boxes.high + BESIDE_OBSTACLE > place.floor[boxes.lane]))
            rows = zip(boxes.lane[at].tolist(), boxes.low[at].tolist(), boxes.high[at].tolist(), strict=True)
            for k, low, high in rows:
                taken.setdefault(k, []).append((low - BESIDE_OBSTACLE, high + BESIDE_OBSTACLE))
        for k, own in taken.items():
            lane = self.lanes[k]
            both = lane.by_left is lane.by_right
            lane.by_left = with_all(lane.by_left, own)
            lane.by_right = lane.by_left if both else with_all(lane.by_right, own)

    def _keep_clear_of_grain(self, grain: tuple[complex, complex]) -> None:
        # A stretch beside each line near which the grainline, or the word beside it, lies.
        first, last = sorted(
            [sum([((z - r.top) * (self.after * r.along).conjugate()).real > 0 for r in self.rails]) for z in grain]
        )
        for lane in self.lanes[first : last + 1]:
            base = lane.left or lane.right
            for rail, way, taken in ((lane.left, 1.0, lane.by_left), (lane.right, -1.0, lane.by_right)):
                if rail is None or base is None:
                    continue
                near = _near(grain, rail, self.after * way, (-7.0, NEED + 7))
                if near is not None:
                    shift = ((rail.top - base.top) * base.along.conjugate()).real if base is not rail else 0.0
                    insort(taken, (near[0] + shift - 3.0, near[1] + shift + 3.0))

    def beside(
        self, index: int, text: str, start: float = -math.inf, latest: float = math.inf, aside: float = 0.0
    ) -> complex | None:
        """Return the middle of words beside rail `index`, or None where neither lane has room.

        Args:
            index: of the rail.
            text: the words.
            start, latest: between which places along the rail they are to begin.
            aside: how much further than usual they stand beside it.
        """
        rail = self.rails[index]
        width = width_of(text, SIZE)
        if width > rail.high - rail.low:
            return None
        # The lane within the rail's own pleat comes first: those words are hidden when the pleat is folded.
        ways = ((index + 1, 1.0), (index, -1.0))
        for lane, way in ways if self.lanes[index + 1].within or not self.lanes[index].within else reversed(ways):
            spot = self._in_lane(lane, rail, way, width, start, latest, aside)
            if spot is not None:
                return spot
        return None

    def beside_one_of(self, indices: list[int], texts: tuple[str, ...]) -> Words | None:
        """Return the first of some labels for which there is room beside one of the rails of its pleat, or None."""
        for text in texts:
            for index in indices:
                spot = self.beside(index, text, aside=_SMALL_LETTERS)
                if spot is not None:
                    rail = self.rails[index]
                    return Words(text, spot, rail.turn, SIZE, "pleat-label", rail.pleat)
        return None

    def beside_stitching(self, index: int, line: StitchingLine) -> complex | None:
        """Return the middle of the words of a line of stitching beside rail `index`, or None where there is no room."""
        rail = self.rails[index]
        run = line.runs[0][0]
        reach, off = abs(run[1] - run[0]), abs(((run[0] - rail.top) * rail.along.conjugate()).imag)
        width = width_of(line.words, SIZE)
        k = index + 1 if rail.stitched > 0 else index
        whole = rail._replace(low=6.0, high=min(reach - 4.0, rail.high), last=math.inf, stitched=0.0)
        # Beyond the end of another line of stitching it stands nearest; beside it or beside the ticks a little further out.
        ways = [(rail.aside, whole), (rail.aside + TICK, whole._replace(high=rail.high, last=reach - OVERLAP))]
        if off < rail.aside:
            ends = [r for r in (rail.other_reach,) if r]
            ways = [(off, whole._replace(low=ends[0] + 4.0)) for _ in ends if reach > ends[0] + width + 8.0] + ways
        for aside, bounds in ways:
            spot = self._in_lane(k, bounds, rail.stitched, width, aside=aside)
            if spot is not None:
                return spot
        return None

    def below(self, index: int, width: float) -> complex | None:
        """Return the middle of words at the end of what is seen of rail `index`, on the line itself, or None where they would
        lie on other words or too near another line."""
        # The ticks at the end of stitching, on a slant or by rounding, may reach a little farther down than the line.
        for farther in _BELOW:
            spot = self._below_from(index, self.rails[index].seen + farther, width)
            if spot is not None:
                return spot
        return None

    def _below_from(self, index: int, low: float, width: float) -> complex | None:
        rail = self.rails[index]
        high = low + width
        if high > rail.length - 4.0:
            return None
        near: list[tuple[Stretches, float, float]] = []
        for step in (1, -1):
            k = index
            while 0 <= k + step < len(self.rails):
                k += step
                other = self.rails[k]
                off = (rail.top + rail.along * low - other.top) * other.along.conjugate()
                if abs(off.imag) > SIZE * CAPITALS + CLEAR + 2.0:
                    break
                if off.real < other.seen + 1.0 and abs(off.imag) < SIZE * CAPITALS / 2 + 0.8:
                    return None
        for lane in (self.lanes[index], self.lanes[index + 1]):
            base = lane.left or rail
            shift = ((rail.top - base.top) * base.along.conjugate()).real if base is not rail else 0.0
            for taken in (lane.by_left, lane.by_right):
                if first_free(taken, low + shift, low + shift, width) is None:
                    return None
                near.append((taken, low + shift, high + shift))
        for taken, start, end in near:
            insort(taken, (start - 2.0, end + 2.0))
        return rail.top + rail.along * (low + width / 2)

    def _in_lane(
        self,
        k: int,
        rail: Rail,
        way: float,
        width: float,
        start: float = -math.inf,
        latest: float = math.inf,
        aside: float = 0.0,
    ) -> complex | None:
        lane = self.lanes[k]
        if aside:
            room = self._room(lane, rail, way, aside)
        else:
            if (k, way) not in self.rooms:
                self.rooms[k, way] = self._room(lane, rail, way)
            room = self.rooms[k, way]
        if room is None:
            return None
        side, low, high, shift = room
        low = max(low, start + shift)
        if rail.stitched == way:
            low = max(low, rail.reach + 4.0 + shift)
        taken = lane.by_left if way > 0 else lane.by_right
        at = first_free(taken, low, min(high - width, min(rail.last, latest) + shift), width)
        if at is None:
            return None
        insort(taken, (at - _GAP_BETWEEN, at + width + _GAP_BETWEEN))
        return rail.top + (at - shift + width / 2) * rail.along + side * (aside + _TO_MIDDLE)

    def _room(self, lane: Lane, rail: Rail, way: float, aside: float = 0.0) -> _Room | None:
        other = lane.right if way > 0 else lane.left
        side = self.after * rail.along * way
        low, high = rail.low, rail.high
        need = NEED + aside
        if other is not None and other.stitched == -way:
            need += other.aside + TICK
        if other is None:
            if self.outer_room(lane, rail, side) < need:
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
                if gap < need:
                    return None
            elif grow > 0:
                low = max(low, (need - gap) / grow)
            else:
                high = min(high, (need - gap) / grow)
            low = max(low, off.real + min(other.low, KEEP_TOP)) if not aside else low
            high = min(high, off.real + other.length * turned.real - KEEP_HEM)
        base = lane.left or rail
        shift = ((rail.top - base.top) * base.along.conjugate()).real if base is not rail else 0.0
        return side, low + shift, high + shift, shift

    def outer_room(self, lane: Lane, rail: Rail, side: complex) -> float:
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

    def _outer_room_between(self, lane: Lane, rail: Rail, side: complex, low: float, high: float) -> float:
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

    def block(self, rows: tuple[str, ...]) -> list[Words]:
        """Return the rows that name the piece, along the middle of the widest panel that has room, or nothing."""
        size = 6.0
        pitch = size * 1.35
        height = pitch * len(rows)
        width = max([width_of(row, size) for row in rows])
        need = height + 2 * (NEED + 2)
        best: tuple[float, complex, Rail] | None = None
        for k, lane in enumerate(self.lanes):
            rail = lane.left or lane.right
            if rail is None or lane.inside_pleat or rail.length < width + 60:
                continue
            sewn = max([one.aside for one in (lane.left, lane.right) if one is not None])
            side = self.after * rail.along * (1.0 if lane.left is rail else -1.0)
            gap = self._panel_gap(lane, rail, side) - 2 * sewn
            narrow = gap < need
            if (narrow and lane.left and lane.right) or (best is not None and gap <= best[0] + 1e-6):
                continue
            for share in (0.55, 0.7, 0.4):
                u = rail.length * share
                if u - width / 2 < BLOCK_DOWN + 3 or u + width / 2 > rail.length - 20:
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
                if any(boxes.reach_into(k, box, band) for boxes in self.boxes):
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

    def _panel_gap(self, lane: Lane, rail: Rail, side: complex) -> float:
        other = lane.right if lane.left is rail else lane.left
        if other is None:
            return min(self.outer_room(lane, rail, side), _WIDEST_BLOCK)
        flip = side.conjugate()
        return min(
            ((other.top + other.along * (0.3 * other.length) - rail.top) * flip).real,
            ((other.top + other.along * (0.8 * other.length) - rail.top) * flip).real,
        )


def _near(
    line: tuple[complex, complex], rail: Rail, side: complex, band: tuple[float, float]
) -> tuple[float, float] | None:
    # From where to where along a rail a straight line lies in a band beside it; None where it does not.
    a, b = (line[0] - rail.top) * rail.along.conjugate(), (line[1] - rail.top) * rail.along.conjugate()
    p, q = (a / side).real, (b / side).real
    if abs(q - p) < 1e-9:
        low, high = (0.0, 1.0) if band[0] <= p <= band[1] else (1.0, 0.0)
    else:
        ends = sorted(((band[0] - p) / (q - p), (band[1] - p) / (q - p)))
        low, high = max(0.0, ends[0]), min(1.0, ends[1])
    if low > high:
        return None
    us = [a.real + (b - a).real * t for t in (low, high)]
    return min(us), max(us)


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
