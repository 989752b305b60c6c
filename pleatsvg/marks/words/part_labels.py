"""What is written on the parts of a flat piece: the name of each, its own grainline, and the seam above a kick pleat.

All in mm, in the coordinates of the flat piece before it is laid on a page.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.geometry.segment import box_of
from pleatsvg.marks.words.free_room import Rooms
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.result.lettering import CAPITALS, SIZE, Words, direction, readable, width_of
from pleatsvg.result.mark import Mark

_SIZES = (6.0, 5.0, SIZE)


_PITCH = 1.35


_GRAIN_BOX = 10.0


_BARE_GRAIN = 4.5


_SHORTEST_GRAIN = 30.0


_SEAM_CLEAR = 1.5


_EDGES_TRIED = 4
"""Of the longest edges of a part, along which its number is tried."""


_PLACES_BESIDE = 48


_SEAM_SHARES = (0.5, 0.4, 0.6, 0.45, 0.55, 0.3, 0.7, 0.35, 0.65, 0.25, 0.75, 0.2, 0.8, 0.15, 0.85, 0.12, 0.88)


class Part(NamedTuple):
    """A part of the flat piece: `number` from 1, its first and last layer, and whose separate `underlay` it is (0: none)."""

    number: int
    low: int
    high: int
    underlay: int


class SeamSide(NamedTuple):
    """One side of the seam above a kick pleat: its ends, the unit vector out of the piece, and the part that it bounds."""

    pleat: int
    top: complex
    foot: complex
    out: complex
    part: int


def parts_of(unfolded: Unfolded, pleats: tuple[LaidPleat, ...]) -> list[Part]:
    """Return the parts of a flat piece in order; one alone where it is not parted."""
    separate = {p.number for p in pleats if p.request.separate}
    creases = unfolded.creases
    bounds = [-1, *[join.crease for join in unfolded.joins]]
    if unfolded.ring is None or not unfolded.joins:
        bounds.append(len(creases))
    found: list[Part] = []
    for number, (before, after) in enumerate(pairwise(bounds), 1):
        own = {creases[k].pleat for k in (before, after) if 0 <= k < len(creases)}
        # Half an underlay is bounded by a join on one side and by the fold edge on the other.
        ended = (before >= 0 and after < len(creases)) or any(
            p.request.half and p.number in own and (before if p.request.half < 0 else after) in range(len(creases))
            for p in pleats
        )
        whose = own.pop() if len(own) == 1 and ended else 0
        inside = {creases[k].pleat for k in range(before + 1, min(after, len(creases)))} - {whose}
        found.append(Part(number, before + 1, after, whose if whose in separate and not inside else 0))
    return found


class PartNames(NamedTuple):
    """The names of parts: their words, thin lines from words that stand beside their part, and rows in the heading."""

    words: list[Words]
    leaders: list[Mark]
    rows: tuple[str, ...]


def part_names(
    name: str,
    parts: Sequence[Part],
    unfolded: Unfolded,
    cut_rows: Callable[[Part], tuple[str, ...]],
    rooms: Rooms,
    beyond: Sequence[Words] = (),
) -> PartNames:
    """Return a block of words for each part, and a row for each in the heading.

    A part that has no room for as much as its number has that on its allowance, or else beside it.

    Args:
        name: of the piece.
        parts: at least two.
        unfolded: the flat piece.
        cut_rows: how often a part is cut, from what, and which side is up.
        rooms: what is taken; the words found room for are taken in it.
        beyond: words that stand off the cloth.
    """
    made: list[Words] = []
    rows: list[str] = []
    without: list[Part] = []
    for part in parts:
        number = f"PART {part.number} of {len(parts)}"
        under = f", underlay of pleat {part.underlay}, in the same cloth or another" if part.underlay else ""
        said = cut_rows(part)
        rows.append(f"Part {part.number} of {len(parts)}{under}.{''.join([f' {row}.' for row in said[:-1]])}")
        text = [name, number, *said]
        if part.underlay:
            text[2:2] = [f"UNDERLAY of pleat {part.underlay}", "in the same cloth or another"]
        found = block_of(text, part, unfolded, rooms)
        made += found
        without += [] if found else [part]
    leaders: list[Mark] = []
    if without:
        # Seams and cutting lines are in the way now, since words may lie across neither.
        crowded = rooms.with_outlines([*unfolded.seams, *(unfolded.cuts if unfolded.cut else ())])
        for words in (*made, *beyond):
            crowded.take_box(words.middle, direction(words.turn), words.width, words.size)
        for part in without:
            words, leader = _at_least_number(part, len(parts), unfolded, crowded)
            made.append(words)
            leaders += leader
    return PartNames(made, leaders, tuple(rows))


def _at_least_number(part: Part, count: int, unfolded: Unfolded, rooms: Rooms) -> tuple[Words, list[Mark]]:
    # Closer to the lines than other words; then on the allowance, along an edge; then beside the part.
    seam, cut = unfolded.seams[part.number - 1], unfolded.cuts[part.number - 1]
    turns = [_turn_of(part, unfolded)]
    for seg in sorted(seam.segments, key=lambda seg: -abs(seg[-1] - seg[0]))[:_EDGES_TRIED]:
        turns.append(readable((seg[-1] - seg[0]) / abs(seg[-1] - seg[0])))
    texts = (f"PART {part.number} of {count}", f"PART {part.number}")
    high = SIZE * CAPITALS
    for outline in (seam, cut) if unfolded.cut else (seam,):
        for text in texts:
            for turn in dict.fromkeys(turns):
                wide, along = width_of(text, SIZE), direction(turn)
                middle = rooms.find(outline, along, wide, high, clear=_SEAM_CLEAR)
                if middle is not None:
                    rooms.take_box(middle, along, wide, high)
                    return Words(text, middle, turn, SIZE, "part-label", part.underlay), []
    return _beside_part(texts[0], part, unfolded, rooms)


def _beside_part(text: str, part: Part, unfolded: Unfolded, rooms: Rooms) -> tuple[Words, list[Mark]]:
    # Outside, level on the page, with a thin line to the part; the nearest place that is free, and at the very end any.
    cut = unfolded.cuts[part.number - 1]
    hand = 1.0 if cut.area > 0 else -1.0
    wide, high = width_of(text, SIZE), SIZE * CAPITALS
    places = []
    for lead in (5.0, 12.0, 25.0, 50.0):
        for k in range(_PLACES_BESIDE):
            foot = cut.point(len(cut) * (k + 0.5) / _PLACES_BESIDE)
            out = -1j * hand * cut.heading(len(cut) * (k + 0.5) / _PLACES_BESIDE)
            within = min(wide / 2 / max(abs(out.real), 1e-9), high / 2 / max(abs(out.imag), 1e-9))
            middle = foot + out * (lead + within)
            places.append((foot, out, lead, middle))
    free = (
        place
        for place in places
        if not any(other.holds(place[3]) for other in unfolded.cuts)
        and rooms.is_free(place[3], 1 + 0j, wide, high, _SEAM_CLEAR)
    )
    foot, out, lead, middle = next(free, places[0])
    rooms.take_box(middle, 1 + 0j, wide, high)
    points = (foot + out, foot + (lead - 1.2) * out)
    rooms.take_line(points)
    return Words(text, middle, 0.0, SIZE, "part-label", part.underlay), [Mark("leader", points, (2,), "", 0, ())]


def _turn_of(part: Part, unfolded: Unfolded) -> float:
    crease = unfolded.creases[min(part.low, len(unfolded.creases) - 1)]
    return readable((crease.hem - crease.top) / abs(crease.hem - crease.top))


def block_of(
    text: Sequence[str], part: Part, unfolded: Unfolded, rooms: Rooms, name: str = "part-label"
) -> list[Words]:
    """Return rows of words in the middle of a part, as large as there is room for them, or nothing."""
    seam = unfolded.seams[part.number - 1]
    turn = _turn_of(part, unfolded)
    # In rows, smaller and smaller; in a narrow part all in one or two rows; at last what it is called, a part its number.
    called = text[1:] if name == "part-label" else text
    ways = [(text, size, way) for size in _SIZES for way in (turn, 0.0)]
    ways += [([", ".join(text[: len(text) // 2]), ", ".join(text[len(text) // 2 :])], SIZE, turn)]
    ways += [
        ([", ".join(text)], SIZE, turn),
        ([", ".join(called[:-1])], SIZE, turn),
        ([", ".join(called[:2])], SIZE, turn),
        ([called[0]], SIZE, turn),
    ]
    for rows, size, way in ways:
        pitch = size * _PITCH
        wide, high = max(width_of(row, size) for row in rows), pitch * (len(rows) - 1) + size
        along = direction(way)
        middle = rooms.find(seam, along, wide, high)
        if middle is not None:
            rooms.take_box(middle, along, wide, high)
            first = middle - along * 1j * pitch * (len(rows) - 1) / 2
            return [
                Words(row, first + along * 1j * pitch * k, way, size, name, part.underlay) for k, row in enumerate(rows)
            ]
    return []


def part_grains(
    parts: Sequence[Part], unfolded: Unfolded, grain: tuple[complex, complex], rooms: Rooms
) -> tuple[list[tuple[complex, complex]], list[Words]]:
    """Return a grainline for every part that has none, in its middle and clear of words, with its word.

    The parts are only set apart from each other, so that the grain runs one way on all of them.

    Args:
        parts: at least two.
        unfolded: the flat piece.
        grain: the grainline that was drawn, on the part that it lies on.
        rooms: what is taken; the lines found room for are taken in it.
    """
    along = (grain[1] - grain[0]) / abs(grain[1] - grain[0])
    length = abs(grain[1] - grain[0])
    made: list[tuple[complex, complex]] = []
    words: list[Words] = []
    for part in parts:
        seam = unfolded.seams[part.number - 1]
        if seam.holds((grain[0] + grain[1]) / 2):
            continue
        spots = [z * along.conjugate() for seg in seam.segments for z in seg]
        left, _, right, _ = box_of(spots)
        longest = min(0.8 * length, 0.5 * (right - left))
        turn = readable(along)
        down = direction(turn) * 1j
        # As long as may be, in a narrow part without its word.
        for share, high in [
            *[(share, _GRAIN_BOX) for share in (1.0, 0.7, 0.5, 0.35, 0.0)],
            (0.25, _BARE_GRAIN),
            (0.0, 0.0),
        ]:
            reach = max(_SHORTEST_GRAIN, share * longest)
            middle = rooms.find(seam, along, reach, high)
            if middle is not None:
                worded = high == _GRAIN_BOX
                rooms.take_box(middle, along, reach, max(high, _BARE_GRAIN))
                spot = middle + 2.5 * down if worded else middle
                made.append((spot - along * reach / 2, spot + along * reach / 2))
                if worded:
                    words.append(Words("GRAIN", middle - 0.8 * down, turn, SIZE, "grain-label"))
                break
    return made, words


def seams_above(pleats: tuple[LaidPleat, ...], unfolded: Unfolded, hand: float) -> list[SeamSide]:
    """Return both sides of the seam above each kick pleat; `hand` is +1 where the outline is walked clockwise."""
    found: list[SeamSide] = []
    at = 0
    for pleat in pleats:
        if pleat.kick is not None:
            for layer, side in ((at, 1), (at + len(pleat.folds), -1)):
                motion = unfolded.motions[layer]
                top, foot = motion.of(pleat.kick.whole.top), motion.of(pleat.kick.tip)
                out = -1j * hand * side * (foot - top) / abs(foot - top)
                found.append(SeamSide(pleat.number, top, foot, out, unfolded.part_of(layer)))
        at += len(pleat.folds)
    return found


def seam_words(sides: Sequence[SeamSide], unfolded: Unfolded, hand: float, rooms: Rooms) -> list[Words]:
    """Return the words beside both sides of every join and of the seam above each kick pleat, where there is room for them.

    Args:
        sides: of the seams above kick pleats.
        unfolded: the flat piece.
        hand: +1 where its outline is walked clockwise on the page.
        rooms: what is taken; the words found room for are taken in it.
    """
    made: list[Words] = []
    for join in unfolded.joins:
        pleat = unfolded.creases[join.crease].pleat
        for (top, hem), part, side in (
            (join.to_hem(0), join.number - 1, 1),
            (join.to_hem(1), join.number % len(unfolded.seams), -1),
        ):
            out = -1j * hand * side * (hem - top) / abs(hem - top)
            words = f"JOIN {join.number} TO {join.number}"
            made += _beside(words, "join-label", SeamSide(pleat, top, hem, out, part), unfolded, rooms)
    for seam in sides:
        made += _beside(f"SEAM ABOVE PLEAT {seam.pleat}", "seam-label", seam, unfolded, rooms)
    return made


def _beside(text: str, name: str, side: SeamSide, unfolded: Unfolded, rooms: Rooms) -> list[Words]:
    way = side.foot - side.top
    turn = readable(way / abs(way))
    wide, high = width_of(text, SIZE), SIZE * CAPITALS
    for share in _SEAM_SHARES:
        spot = side.top + way * share - side.out * (_SEAM_CLEAR + high / 2 + 0.3)
        found = rooms.find(unfolded.seams[side.part], direction(turn), wide, high, spot, _SEAM_CLEAR)
        if found is not None and abs(found - spot) < 1e-6:
            rooms.take_box(spot, direction(turn), wide, high)
            return [Words(text, spot, turn, SIZE, name, side.pleat)]
    return []
