"""Finding room for the words: labels run along the lines, in the lanes between them, and never on a line.

A lane is the cloth between two neighbouring lines of the flat piece. A label lies in a lane beside its own line; two
labels of one lane never share the same height, unless it is wide enough for two. Where no lane is wide enough the words go
to the end of their line, beyond the hem, or below what is seen of it. Along a long line its words stand again and again, so
that every page of a print tells which line it is. The work grows with the number of lines: a label looks only at its own
two lanes.
"""

from __future__ import annotations

import cmath
import math
from bisect import insort
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, pairwise
from operator import itemgetter
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.geometry.segment import point_at
from pleatsvg.marks.arrows import SIGNS_APART, Arrows, sign_places
from pleatsvg.marks.line_ends import LineEnd, at_line_ends
from pleatsvg.marks.rails import KEEP_HEM, KEEP_TOP, OVERLAP, Rail, rails_of
from pleatsvg.marks.shaping import SHAPING_BAR
from pleatsvg.marks.stitching import TICK, StitchingLine
from pleatsvg.result.lettering import CAPITALS, SIZE, Words, width_of
from pleatsvg.result.mark import Mark
from pleatsvg.result.roles import Role

CLEAR = 1.8
"""Free space in mm between a line and the words beside it."""


_GAP_BETWEEN = 5.0


_NEED = SIZE * CAPITALS + 2 * CLEAR


_FOR_TWO = 2 * (SIZE * CAPITALS + CLEAR) + 1.0
"""How wide a lane is in mm where the words of both its lines may stand at one height."""


_SMALL_LETTERS = 1.1
"""mm that small letters reach below the line of capitals: so much further a sentence stands beside its line, clear of the
crosses on it."""


_SIGN_HALF = 2.2
"""mm along a line that a bar and the space beside it take, to either side."""


_WIDEST_BLOCK = 120.0


_SHARES = tuple([k / 8 for k in range(9)])


_TO_MIDDLE = CLEAR + SIZE * CAPITALS / 2


_BESIDE_OBSTACLE = 3.0
"""mm along a line between an obstacle and words."""


_LEAST_DOWN = 3.0
"""mm from the top of a line with stitching beside it, or from the end of what is seen of one, at which words begin at the
least."""


_BLOCK_DOWN = 27.0
"""mm down a line at which the rows that name the piece begin at the least, with the free space about them."""


_BESIDE_NOTCH = 6.0
"""mm from a line to one whose notch reaches beneath the words at its end: half the height of words and of a notch."""


_Stretches = list[tuple[float, float]]


@dataclass(slots=True)
class _Lane:
    """The cloth between two rails. `by_left` and `by_right` are stretches of its height in use beside either, measured along
    its first rail, in order; one and the same list where there is no room for words of both at one height.

    `inside_pleat` tells whether it lies between two lines of one pleat, `within` whether it is hidden when the pleat is
    folded; the face of a box pleat is not.
    """

    left: Rail | None
    right: Rail | None
    inside_pleat: bool
    within: bool
    by_left: _Stretches
    by_right: _Stretches
    room: float | None = None

    def take(self, low: float, high: float) -> None:
        """Take a stretch beside both rails."""
        insort(self.by_left, (low, high))
        if self.by_right is not self.by_left:
            insort(self.by_right, (low, high))


def _lane(left: Rail | None, right: Rail | None) -> _Lane:
    by_left: _Stretches = []
    if left is None or right is None:
        return _Lane(left, right, False, False, by_left, by_left)
    inside = left.pleat == right.pleat
    face = left.role is right.role is Role.FOLD
    back = left.along.conjugate()
    off = (right.top - left.top) * back
    gap = min(abs(off.imag), abs((off + right.length * right.along * back).imag))
    wide = gap >= _FOR_TWO + left.aside + right.aside
    return _Lane(left, right, inside, inside and not face, by_left, [] if wide else by_left)


@dataclass(frozen=True, slots=True)
class Lettered:
    """The words on the cloth, those beyond the hem, and the thin lines that lead to these."""

    words: tuple[Words, ...]
    beyond: tuple[Words, ...]
    leaders: tuple[Mark, ...]


def lettered(
    piece_rows: tuple[str, ...],
    pleat_labels: Mapping[int, tuple[str, ...]],
    unfolded: Unfolded,
    hand: float,
    grain: tuple[complex, complex] | None,
    obstacles: list[tuple[int, tuple[complex, ...]]],
    at_tops: list[tuple[int, tuple[complex, ...]]],
    layers: dict[tuple[int, int], str],
    arrows: Arrows,
    quiet: frozenset[int] = frozenset(),
    stitching: Sequence[StitchingLine] = (),
    mark: float | None = None,
) -> Lettered:
    """Find a place for every label.

    Args:
        piece_rows: the rows of the block that names the piece; none where each of its parts has a name of its own.
        pleat_labels: for each pleat that has a label, a long one and shorter ones.
        unfolded: the flat piece.
        hand: +1 where its outline is walked clockwise on the page, -1 where not.
        grain: the carried grainline, which no words may cross.
        obstacles: what else no words may cross: the layer of cloth that it lies on, and points that enclose it.
        at_tops: further ones that lie about the tops of lines, no farther from them than `SHAPING_BAR`.
        layers: by pleat and place in its fold list, what is added to the number of a fold.
        arrows: where the lap arrows stand.
        quiet: the pleats of which only some fold lines are labelled.
        stitching: lines of stitching beside the folds.
        mark: how far down lines are seen (mm); None for their whole length.
    """
    sewn: dict[tuple[int, int], list[StitchingLine]] = {}
    for line in stitching:
        if line.words:
            sewn.setdefault((line.pleat, line.fold), []).append(line)
    rails = rails_of(unfolded, layers, arrows, sewn, mark, hand)
    lanes = [_lane(a, b) for a, b in pairwise((None, *rails, None))]
    for k, rail in enumerate(rails):
        if rail.role is None:
            lanes[k].take(-1e6, 1e6)  # between two parts there is no cloth
    _keep_arrows_free(rails, lanes, arrows)
    _keep_signs_free(rails, lanes, mark)
    finder = _Finder(rails, lanes, unfolded, hand, grain)
    finder.keep_clear_of(obstacles, at_tops)
    named = [
        index
        for index, rail in enumerate(rails)
        # In a run of pin tucks the first, the last and every fifth are enough to count by.
        if not (rail.role is None or rail.role.hidden or rail.role.stitched)
        and not (rail.pleat in quiet and rail.pleat % 5 and {rail.pleat - 1, rail.pleat + 1} <= quiet)
    ]
    words: list[Words] = []
    homeless: list[tuple[int, Words]] = []
    for index in named:
        _place(finder, index, words, homeless)
    words += _label_pleats(finder, pleat_labels)
    for index, rail in enumerate(rails):
        role = rail.role
        if role is not None and ((role.hidden and rail.text) or (role.stitched and rail.pleat not in quiet)):
            spot = finder.beside(index, rail.text)
            if spot is not None:
                words.append(Words(rail.text, spot, rail.turn, SIZE, role.label, rail.pleat))
    words += _stitching_words(finder, sewn)
    for index in named:
        words += _again(finder, index, mark)
    if piece_rows:
        words += finder.block(piece_rows)
    ends = [_end_of(rails, k, label) for k, label in sorted(homeless, key=itemgetter(0))]
    if unfolded.legs:
        # At the point of a closed dart there is no notch.
        lines = (*unfolded.creases, *unfolded.placements)
        bare = {(line.pleat, line.folds) for line in lines if line.rooms[1] < 0}
        ends = [end._replace(led_from=1.5) if (end.words.pleat, end.folds) in bare else end for end in ends]
    beyond, leaders = at_line_ends(ends, finder.after)
    return Lettered(tuple(words), tuple(beyond), tuple(leaders))


def _end_of(rails: Sequence[Rail], index: int, label: Words) -> LineEnd:
    rail = rails[index]
    sign = rail.role.sign if rail.role is not None else "join"
    end = rail.top + rail.along * rail.length
    more = 0.0
    for other in rails[max(0, index - 1) : index + 2]:
        # A line close beside it may end further out, where the seam runs aslant; the words stand beyond the notches of both.
        off = (other.top + other.along * (other.length + other.out) - end) * rail.along.conjugate()
        if other.pleat == rail.pleat and abs(off.imag) < _BESIDE_NOTCH:
            more = max(more, off.real - rail.out)
    return LineEnd(end, rail.along, rail.out, label, sign, rail.place, more)


def _place(finder: _Finder, index: int, words: list[Words], homeless: list[tuple[int, Words]]) -> None:
    # The words of a line beside it; where there is no room, at the end of what is seen of it, or else beyond the hem.
    rail = finder.rails[index]
    assert rail.role is not None
    label = Words(rail.text, 0j, rail.turn, SIZE, rail.role.label, rail.pleat)
    spot = finder.beside(index, rail.text)
    if spot is None and rail.seen < rail.length:
        spot = finder.below(index, label.width)
        if spot is None:
            return  # its pleat's label and the key tell what it is
    if spot is None:
        homeless.append((index, label))
    else:
        words.append(label._replace(middle=spot))


def _label_pleats(finder: _Finder, labels: Mapping[int, tuple[str, ...]]) -> list[Words]:
    # Where there is no room for a label at all, the heading says the same.
    rails = finder.rails
    first_of: dict[int, list[int]] = {}
    for index, rail in enumerate(rails):
        first_of.setdefault(rail.pleat, []).append(index)
    found = [finder.beside_one_of(first_of[pleat], texts) for pleat, texts in labels.items()]
    return [label for label in found if label is not None]


def _again(finder: _Finder, index: int, mark: float | None) -> list[Words]:
    # The words of a long line once more beside each of its signs.
    rail = finder.rails[index]
    role = rail.role
    if role is None or min(rail.seen, rail.length) < 1.5 * SIGNS_APART:
        return []
    made = []
    for at in sign_places(rail.length, mark)[1:-1]:
        spot = finder.beside(index, rail.text, at + 4.0, at + 0.5 * SIGNS_APART)
        if spot is not None:
            made.append(Words(rail.text, spot, rail.turn, SIZE, role.label, rail.pleat))
    return made


def _stitching_words(finder: _Finder, sewn: Mapping[tuple[int, int], list[StitchingLine]]) -> list[Words]:
    # Each line of stitching says which it is, in the lane beside the fold in which it lies.
    made: list[Words] = []
    if not sewn:
        return made
    for index, rail in enumerate(finder.rails):
        if rail.role is not Role.FOLD:
            continue
        for line in sewn.get((rail.pleat, rail.place[0]), ()):
            spot = finder.beside_stitching(index, line)
            if spot is not None:
                made.append(Words(line.words, spot, rail.turn, SIZE, "stitch-label", rail.pleat))
    return made


def _keep_arrows_free(rails: list[Rail], lanes: list[_Lane], arrows: Arrows) -> None:
    # An arrow runs from its fold line over every lane to its placement line.
    where = {(rail.pleat, rail.role, rail.place): k for k, rail in enumerate(rails)}
    for fold, onto, places in arrows.laps:
        start, to = where[fold.pleat, fold.role, fold.folds], where[onto.pleat, onto.role, onto.folds]
        for at in places:
            spot = rails[start].top + at * rails[start].along
            for k in range(min(start, to), max(start, to)):
                left = rails[k]
                here = ((spot - left.top) * left.along.conjugate()).real
                lanes[k + 1].take(here - 4.0, here + 4.0)


def _keep_signs_free(rails: list[Rail], lanes: list[_Lane], mark: float | None) -> None:
    # The bars of a placement line stand out into the lanes on both sides of it; crosses do so less than words keep clear.
    for k, rail in enumerate(rails):
        if rail.role is not Role.PLACEMENT:
            continue
        before = lanes[k]
        base = before.left or rail
        shift = ((rail.top - base.top) * base.along.conjugate()).real if base is not rail else 0.0
        for at in sign_places(rail.length, mark):
            insort(before.by_right, (at + shift - _SIGN_HALF, at + shift + _SIGN_HALF))
            insort(lanes[k + 1].by_left, (at - _SIGN_HALF, at + _SIGN_HALF))


_BELOW = (3.0, 4.0, 5.0, 6.0, 8.0)
"""mm from the end of what is seen of a line to words on the line itself: the first of these that is free."""


_Room = tuple[complex, float, float, float]
"""Where words fit in a lane beside a rail: the direction to it, from where to where along its first rail, and how far
the rail begins before that one."""


class _Finder:
    """Looks for free room in the lanes; lane k lies before rail k, the last one after the last rail."""

    def __init__(
        self,
        rails: list[Rail],
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
            self._keep_clear_of_grain(grain)
        self.rooms: dict[tuple[int, float], _Room | None] = {}
        self.boxes: list[_Boxes] = []

    def keep_clear_of(
        self, obstacles: list[tuple[int, tuple[complex, ...]]], at_tops: list[tuple[int, tuple[complex, ...]]]
    ) -> None:
        """Take the room that carried things need out of the lanes that they lie in, and that of things about the tops of lines
        where the lines begin at heights so different that words may come beside these."""
        if not self.rails or not (obstacles or at_tops):
            return
        place = _Places(self.rails, self.lanes, self.after.imag)
        if at_tops and not place.begin_below(SHAPING_BAR + _BESIDE_OBSTACLE):
            obstacles = [*obstacles, *at_tops]
        # All obstacles of so many points at once, each in every lane of its layer.
        alike: dict[int, list[tuple[int, tuple[complex, ...]]]] = {}
        for obstacle in obstacles:
            alike.setdefault(len(obstacle[1]), []).append(obstacle)
        taken: dict[int, _Stretches] = {}
        for found in alike.values():
            boxes, near = place.boxes_of(found)
            self.boxes.append(boxes)
            at = np.flatnonzero(near & (boxes.high + _BESIDE_OBSTACLE > place.floor[boxes.lane]))
            rows = zip(boxes.lane[at].tolist(), boxes.low[at].tolist(), boxes.high[at].tolist(), strict=True)
            for k, low, high in rows:
                taken.setdefault(k, []).append((low - _BESIDE_OBSTACLE, high + _BESIDE_OBSTACLE))
        for k, own in taken.items():
            lane = self.lanes[k]
            both = lane.by_left is lane.by_right
            lane.by_left = _with_all(lane.by_left, own)
            lane.by_right = lane.by_left if both else _with_all(lane.by_right, own)

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
                near = _near(grain, rail, self.after * way, (-7.0, _NEED + 7))
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
        near: list[tuple[_Stretches, float, float]] = []
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
                if _first_free(taken, low + shift, low + shift, width) is None:
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
        at = _first_free(taken, low, min(high - width, min(rail.last, latest) + shift), width)
        if at is None:
            return None
        insort(taken, (at - _GAP_BETWEEN, at + width + _GAP_BETWEEN))
        return rail.top + (at - shift + width / 2) * rail.along + side * (aside + _TO_MIDDLE)

    def _room(self, lane: _Lane, rail: Rail, way: float, aside: float = 0.0) -> _Room | None:
        other = lane.right if way > 0 else lane.left
        side = self.after * rail.along * way
        low, high = rail.low, rail.high
        need = _NEED + aside
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

    def outer_room(self, lane: _Lane, rail: Rail, side: complex) -> float:
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

    def _outer_room_between(self, lane: _Lane, rail: Rail, side: complex, low: float, high: float) -> float:
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
        need = height + 2 * (_NEED + 2)
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
                if u - width / 2 < _BLOCK_DOWN + 3 or u + width / 2 > rail.length - 20:
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

    def _panel_gap(self, lane: _Lane, rail: Rail, side: complex) -> float:
        other = lane.right if lane.left is rail else lane.left
        if other is None:
            return min(self.outer_room(lane, rail, side), _WIDEST_BLOCK)
        flip = side.conjugate()
        return min(
            ((other.top + other.along * (0.3 * other.length) - rail.top) * flip).real,
            ((other.top + other.along * (0.8 * other.length) - rail.top) * flip).real,
        )


_Numbers = npt.NDArray[np.float64]


class _Boxes(NamedTuple):
    """Boxes about obstacles, each in a lane: from where to where they reach along its first rail, and off it into the lane."""

    lane: npt.NDArray[np.intp]
    low: _Numbers
    high: _Numbers
    near: _Numbers
    far: _Numbers

    def reach_into(self, lane: int, along: tuple[float, float], off: tuple[float, float]) -> bool:
        """Return whether one of those in a lane overlaps what lies between these places there."""
        met = (self.lane == lane) & (self.low < along[1]) & (self.high > along[0])
        return bool((met & (self.near < off[1]) & (self.far > off[0])).any())


class _Places:
    """Where the lanes lie, all of them at once. There is at least one rail, so each lane has one beside it.

    `floor` is how far down its first rail words begin in a lane at the least: what ends above it is in the way of none.
    """

    def __init__(self, rails: Sequence[Rail], lanes: Sequence[_Lane], way: float) -> None:
        tops, along = np.array([rail.top for rail in rails]), np.array([rail.along for rail in rails])
        last = len(rails) - 1
        first = np.maximum(np.arange(len(lanes)) - 1, 0)
        other = np.minimum(np.arange(len(lanes)), last)
        self._first, self._other = (tops[first], along[first]), (tops[other], along[other])
        # Into the lane: after its first rail, or before the one that is its only one; and before its other rail.
        self._side = np.where(np.arange(len(lanes)) > 0, way, -way)
        self._between = first < other if last else np.zeros(len(lanes), bool)
        self._between[0] = self._between[-1] = False
        # A layer's lanes follow one another.
        bounds = [0, *[k + 1 for k, rail in enumerate(rails) if rail.role is not None and rail.role.crease], len(lanes)]
        self._start, self._count = np.array(bounds[:-1]), np.diff(bounds)
        least = np.array(
            [
                rail.low if rail.seen >= rail.length and not rail.stitched else min(rail.low, rail.seen, _LEAST_DOWN)
                for rail in rails
            ]
        )
        shift = ((self._other[0] - self._first[0]) * self._first[1].conj()).real
        self.floor = np.minimum(least[first], least[other] + shift)
        # How far down its first rail the lines begin that bound or cross a lane's layer: at the lowest.
        self._tops = np.zeros(len(lanes))
        layer = np.repeat(np.arange(len(self._start)), self._count)
        ends = self._start + self._count - 1
        for step in range(int(self._count.max()) + 1):
            beside = np.minimum(np.minimum(np.maximum(self._start - 1 + step, 0), ends), last)[layer]
            down = ((tops[beside] - self._first[0]) * self._first[1].conj()).real
            self._tops = np.maximum(self._tops, down)

    def begin_below(self, far: float) -> bool:
        """Return whether words, and the rows that name the piece, begin so far below the tops of all lines in every lane."""
        return bool((self._tops + far <= np.minimum(self.floor, _BLOCK_DOWN)).all())

    def boxes_of(self, obstacles: Sequence[tuple[int, tuple[complex, ...]]]) -> tuple[_Boxes, npt.NDArray[np.bool_]]:
        """Return the box about each obstacle in each lane of its layer, and which lie beside a rail of that lane.

        Args:
            obstacles: the layer of each, and its points, of all alike many.
        """
        layers = np.array([layer for layer, _ in obstacles])
        every = np.fromiter(chain.from_iterable([points for _, points in obstacles]), complex)
        count = self._count[layers]
        row = np.repeat(np.arange(len(obstacles)), count)
        lane = self._start[layers][row] + np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count)
        points = every.reshape(len(obstacles), -1)[row]
        us, vs = _along_and_off(points, self._first[0][lane], self._first[1][lane])
        side = self._side[lane][:, None]
        boxes = _Boxes(lane, us.min(axis=1), us.max(axis=1), (vs * side).min(axis=1), (vs * side).max(axis=1))
        near = (boxes.near < _NEED + 2) & (boxes.far > -_NEED - 2)
        # Whatever reaches over the other line, or lies near it. A layer may hold the lane beyond that as well.
        beyond = _along_and_off(points, self._other[0][lane], self._other[1][lane])[1] * -side
        near |= self._between[lane] & (beyond.min(axis=1) < _NEED + 2) & (beyond.max(axis=1) > -_NEED - 2)
        return boxes, near


def _along_and_off(
    points: npt.NDArray[np.complex128], tops: npt.NDArray[np.complex128], along: npt.NDArray[np.complex128]
) -> tuple[_Numbers, _Numbers]:
    # How far along a rail of its own each row of points lies, and how far to the side of it.
    x, y = points.real - tops.real[:, None], points.imag - tops.imag[:, None]
    across, down = along.real[:, None], along.imag[:, None]
    return x * across + y * down, y * across - x * down


def _with_all(taken: _Stretches, more: _Stretches) -> _Stretches:
    if len(more) > _A_FEW:
        return _united([*taken, *more])
    for stretch in more:
        insort(taken, stretch)
    return taken


_A_FEW = 8
"""Stretches up to which they are sooner put in their places than united with the others."""


def _united(taken: list[tuple[float, float]]) -> list[tuple[float, float]]:
    # Stretches that touch or overlap, as one, in order: thousands of marks leave a few gaps between them.
    united: list[tuple[float, float]] = []
    for low, high in sorted(taken):
        if united and low <= united[-1][1]:
            united[-1] = (united[-1][0], max(united[-1][1], high))
        else:
            united.append((low, high))
    return united


def _first_free(taken: _Stretches, low: float, last: float, width: float) -> float | None:
    # The first place from `low` to `last` from where on so much is free; what is taken comes in order.
    start = low
    for a, b in taken:
        if a >= start + width:
            break
        if b > start:
            start = b
    return start if start <= last else None


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
