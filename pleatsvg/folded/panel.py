"""One panel of the folding: the cloth as it lies, its lines in the looks of the pattern, and the lines' numbers and arrows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from typing import NamedTuple

from pleatsvg.folded.items import SIZE, Item, Line, Text
from pleatsvg.folded.kick import clip_marks
from pleatsvg.folded.moves import Bring
from pleatsvg.folded.moves import Line as Called
from pleatsvg.folded.stack import BROKEN, CENTRE, DRAWN_LOOKS, Stack, partial_motions
from pleatsvg.geometry.segment import Box
from pleatsvg.proof.folded_pass import FoldedPass
from pleatsvg.result.lettering import width_of

_ARROW = 9.0
"""mm. The shortest arrow: where a fold goes a shorter way it begins beyond it."""


_LONGEST_LEADER = 40.0
"""mm from the upper edge of a panel to a line that is led to from there; the names of others stand on the cloth."""


_CLIP = 3.5
"""mm. Clip marks are shorter in panels."""


_APART = 4.8
"""mm between numbers one under the other."""


_LOOKS = {"outer": "fold", "inner": "inner", "stitched": "stitch"}


def pictured(
    passes: Sequence[FoldedPass],
    stack: Stack,
    folded: Mapping[int, AbstractSet[int]],
    current: int,
    scale: float,
    pleats: AbstractSet[int] | None = None,
) -> list[Item]:
    """Return the cloth of a panel and its lines, seen from the right side.

    Args:
        passes: as proven.
        stack: the cloth as it lies.
        folded: the creases that are folded, by pass.
        current: the pass whose lines are to be folded next; 0 where all is folded.
        scale: of the panel.
        pleats: the numbers of those that the panel shows; None where it shows all.
    """
    places = [(done.number, k) for done in passes for k in range(len(done.creases))]
    on = [k in folded.get(number, ()) for number, k in places]
    items: list[Item] = []
    for sheet in stack.sheets:
        points = [z * scale for z in sheet.points]
        items.append(Line("sheet-right" if sheet.over else "sheet-wrong", tuple(points), True))
        items += _edges(points, sheet.tags)
    if any(on):
        items += [Line("shade", tuple([z * scale for z in sheet.points]), True) for sheet in stack.sheets]
    waiting: list[Item] = []
    for number, tag, a, b in _edges_of_creases(stack, on):
        span = stack.creases[tag]
        for part in stack.parts(number, a, b):
            start, end = sorted((part.start * scale, part.end * scale), key=lambda z: (z.imag, z.real))
            if on[tag]:
                items.append(Line(f"{span.look}-{'seen' if part.seen else 'hidden'}", (start, end)))
            elif part.seen:
                waiting.append(Line(_LOOKS[span.look], (start, end)))
    for number, sheet in enumerate(stack.sheets):
        for one in sheet.drawn:
            if one.pass_ and one.pass_ >= current:
                continue
            look = "placement" if one.pass_ else DRAWN_LOOKS.get(one.role, "carried")
            waiting += [
                Line(look, (part.start * scale, part.end * scale))
                for part in stack.parts_drawn(number, one.points)
                if part.seen
            ]
    for done in passes:
        own = folded.get(done.number, frozenset())
        if done.number == current:
            waiting += _places_waiting(done, own, scale, pleats)
        if done.number == current or not current:
            motions = partial_motions(done, [k in own for k in range(len(done.creases))])
            waiting += clip_marks(done, motions, scale, _CLIP, drawn_half=True)
    return [*items, *waiting]


def _edges(points: Sequence[complex], tags: Sequence[int]) -> list[Item]:
    # Raw edges run after run, and the fold edge of half a piece.
    items: list[Item] = []
    run: list[complex] = []
    for j, tag in enumerate(tags):
        a, b = points[j], points[(j + 1) % len(points)]
        if tag == -1:
            run = [*run, b] if run else [a, b]
            continue
        if run:
            items.append(Line("raw", tuple(run)))
            run = []
        if tag in (CENTRE, BROKEN):
            items.append(Line("centre" if tag == CENTRE else "broken", (a, b)))
    if run:
        items.append(Line("raw", tuple(run)))
    return items


def _edges_of_creases(stack: Stack, on: Sequence[bool]) -> list[tuple[int, int, complex, complex]]:
    # Folded creases on that sheet of theirs which lies nearer the eye; flat ones once, where the right side shows.
    found = [edge for edge in stack.crease_edges() if on[edge[1]]]
    met: set[tuple[int, complex]] = set()
    for k, sheet in reversed(list(enumerate(stack.sheets))):
        for j, tag in enumerate(sheet.tags):
            if not 0 <= tag < len(on) or on[tag] or not sheet.over:
                continue
            a, b = sheet.points[j], sheet.points[(j + 1) % len(sheet.points)]
            middle = (a + b) / 2
            key = (tag, complex(round(middle.real, 2), round(middle.imag, 2)))
            if key not in met:
                met.add(key)
                found.append((k, tag, a, b))
    return found


def _places_waiting(
    done: FoldedPass, folded: AbstractSet[int], scale: float, pleats: AbstractSet[int] | None
) -> list[Item]:
    # The lines that folds are still to be brought onto, and the signs of all that wait.
    motions = partial_motions(done, [k in folded for k in range(len(done.creases))])
    items: list[Item] = []
    for k, crease in enumerate(done.creases):
        if pleats is not None and crease.line.pleat not in pleats:
            continue
        if crease.look == "outer" and not crease.other_half and k not in folded:
            top, hem = crease.stitched
            items += crosses(motions[k].of(top) * scale, motions[k].of(hem) * scale)
    for landing in done.landings:
        if landing.span.other_half or all(k in folded for k in landing.creases):
            continue
        if pleats is not None and landing.span.line.pleat not in pleats:
            continue
        motion = motions[landing.layer]
        a, b = (motion.of(z) * scale for z in landing.span.stitched)
        if landing.span.line.role == "stitch-line":
            items.append(Line("stitch", (a, b)))
        else:
            items += [Line("placement", (a, b)), *bars(a, b)]
    return items


def crosses(start: complex, end: complex) -> list[Item]:
    """Return the crosses at both ends of a fold line, as on the pattern."""
    if abs(end - start) <= 8:
        return []
    way = (end - start) / abs(end - start)
    arm = 1.2 * way
    return [
        Line("fold-sign", (at - arm * turn, at + arm * turn))
        for at in (start + 2.5 * way, end - 2.5 * way)
        for turn in (1 + 1j, 1 - 1j)
    ]


def bars(start: complex, end: complex) -> list[Item]:
    """Return the bars at both ends of a placement line, as on the pattern."""
    if abs(end - start) <= 8:
        return []
    way = (end - start) / abs(end - start)
    return [Line("placement-sign", (at - 1.8j * way, at + 1.8j * way)) for at in (start + 2.5 * way, end - 2.5 * way)]


class _Wanted(NamedTuple):
    line: Called
    at: complex
    out: complex


def labelled(
    now: Sequence[Sequence[Bring]], later: Sequence[Sequence[Bring]], scale: float, by: complex, frame: Box
) -> list[Item]:
    """Return the arrows of the moves that a panel tells, and the names or numbers of lines at their ends.

    Args:
        now: what the panel's moves bring onto what, move by move.
        later: the same of the moves that are told later; their lines are numbered where there is room.
        scale: of the panel.
        by: where its origin lies on the sheet.
        frame: that labels are kept within, on the sheet.
    """
    items: list[Item] = []
    arrows: list[complex] = []
    for k, brings in enumerate(now):
        share = (0.3, 0.5, 0.7)[k] if 1 < len(now) < 4 else 0.45  # of a few moves one below the other
        for bring in brings:
            start, end = _at(bring.start, share) * scale + by, _at(bring.end, share) * scale + by
            if len(now) > 3 and any(abs(end - other) < _ARROW + 1 > abs(end - start) for other in arrows):
                continue  # in a crowd one arrow speaks for its neighbours
            arrows.append(end)
            items += arrow(start, end, bring)
    alone = len(now) == 1
    ways = [line.hem - line.top for brings in (now or later) for bring in brings for line in bring.lines]
    upright = sum([abs(way.imag) - abs(way.real) for way in ways]) >= 0  # of a fan as of most of its lines
    first = _wanted([bring for brings in now for bring in brings], not alone, upright, scale, by)
    rest = _wanted([bring for brings in later for bring in brings], True, upright, scale, by)
    if not first and not rest:
        return items
    taken: list[tuple[float, float]] = []
    if upright:
        # Tucks that are stitched far down only: a line from the upper edge of the panel would be taken for a fold.
        tucks = any(bring.between is not None for brings in now for bring in brings)
        deep = [one for one in first if tucks and one.at.imag > frame[1] + _LONGEST_LEADER]
        items += _on_cloth(deep, alone)
        first = [one for one in first if one not in deep]
        rest = [one for one in rest if not tucks or one.at.imag <= frame[1] + _LONGEST_LEADER]
        items += _above(first, alone, frame, taken)
    else:
        items += _beside(first, frame, taken)
    for wanted in rest:
        items += _number_where_room(wanted, upright, frame, taken)
    return items


def _at(line: Called, share: float) -> complex:
    return line.top + (line.hem - line.top) * share


def _wanted(brings: Sequence[Bring], few: bool, upright: bool, scale: float, by: complex) -> list[_Wanted]:
    # Each line once, at its upper end, or the left one of a level line; of a tuck, where `few` are wanted, its fold line.
    found: dict[tuple[str, float, float], _Wanted] = {}
    for bring in brings:
        for line in (bring.between,) if few and bring.between is not None else bring.lines:
            first = (
                line.top if (line.top.imag < line.hem.imag if upright else line.top.real < line.hem.real) else line.hem
            )
            at = first * scale + by
            key = (line.words, round(at.real, 1), round(at.imag, 1))
            found.setdefault(key, _Wanted(line, at, -1j if upright else -1 + 0j))
    return sorted(found.values(), key=lambda w: w.at.real if upright else w.at.imag)


def _number(line: Called) -> str:
    number = line.words.rpartition(" ")[2]
    return number if number[0].isdigit() else line.words


def _above(wanted: Sequence[_Wanted], names: bool, frame: Box, taken: list[tuple[float, float]]) -> list[Item]:
    # In full, the outermost lowest, each beside the leader that stands on its line; in a crowd numbers, where there is room.
    count = len(wanted)
    items: list[Item] = []
    spans: list[tuple[float, float]] = []
    for k, one in enumerate(wanted):
        row = min(k, count - 1 - k)
        left = k < count / 2
        x, wide = one.at.real, width_of(one.line.words, SIZE)
        if count < 3 and (x - wide < frame[0] - 3 if left else x + wide > frame[2] + 3):
            left, row = not left, row + 1  # at the edge of the sheet, over the other one
        y = frame[1] + 13.0 - 4.0 - 4.9 * row
        start = x - 1.0 - wide if left else x + 1.0
        spans.append((min(start, x), max(start + wide, x)))
        place = complex(x + (-1.0 if left else 1.0), y)
        items.append(Line("leader", (one.at, complex(x, y - 1.5))))
        items.append(Text(one.line.words, place, anchor="end" if left else "start", look=_ink(one)))
    inside = all(frame[0] - 3 <= start and end <= frame[2] + 3 for start, end in spans)
    if not names or count > 4 or not inside:
        return [item for one in _folds_first(wanted) for item in _number_where_room(one, True, frame, taken)]
    taken += spans
    return items


def _on_cloth(wanted: Sequence[_Wanted], names: bool) -> list[Item]:
    # The name or number of each fold line above its upper end.
    folds = [one for one in wanted if one.line.look == "fold"]
    return [Text(one.line.words if names else _number(one.line), one.at - 3.5j, look=_ink(one)) for one in folds]


def _beside(wanted: Sequence[_Wanted], frame: Box, taken: list[tuple[float, float]]) -> list[Item]:
    # One under the other at the left ends, moved apart where lines lie nearer than letters are high.
    if not wanted:
        return []
    places = [one.at.imag for one in wanted]
    for k in range(1, len(places)):
        places[k] = max(places[k], places[k - 1] + _APART)
    off = (places[-1] - wanted[-1].at.imag) / 2
    if places[0] - off < frame[1] + 2 or places[-1] - off > frame[3] + 2:
        return [item for one in _folds_first(wanted) for item in _number_where_room(one, False, frame, taken)]
    items: list[Item] = []
    for one, place in zip(wanted, places, strict=True):
        y = place - off
        end = complex(one.at.real - 3.0, y)
        taken.append((y - _APART / 2, y + _APART / 2))
        words = one.line.words if width_of(one.line.words, SIZE) <= end.real - frame[0] + 4 else _number(one.line)
        items += [Line("leader", (one.at, end)), Text(words, end - 0.6, anchor="end", look=_ink(one))]
    return items


def _folds_first(wanted: Sequence[_Wanted]) -> list[_Wanted]:
    # What is brought over is told before that which it is brought onto.
    return sorted(wanted, key=lambda one: one.line.look != "fold")


def _number_where_room(one: _Wanted, upright: bool, frame: Box, taken: list[tuple[float, float]]) -> list[Item]:
    words = _number(one.line)
    wide = width_of(words, SIZE) if upright else _APART
    centre = one.at.real if upright else one.at.imag
    low, high = centre - wide / 2, centre + wide / 2
    bounds = (frame[0] - 2, frame[2] + 2) if upright else (frame[1], frame[3] + 2)
    if low < bounds[0] or high > bounds[1] or any(low < b + 0.6 and high > a - 0.6 for a, b in taken):
        return []
    taken.append((low, high))
    if upright:
        y = frame[1] + 13.0 - 4.0
        return [Line("leader", (one.at, complex(centre, y + 2.2))), Text(words, complex(centre, y), look=_ink(one))]
    return [Text(words, complex(one.at.real - 2.0, centre), anchor="end", look=_ink(one))]


def _ink(one: _Wanted) -> str:
    return f"{one.line.look}-words"


def arrow(start: complex, end: complex, bring: Bring) -> list[Item]:
    """Return a bow from a line to that onto which it is brought, `start` and `end` on the sheet; never too short to be seen."""
    way = end - start
    if abs(way) < _ARROW:
        along = bring.end.hem - bring.end.top
        across = way / abs(way) if abs(way) > 0.05 else 1j * along / abs(along)
        start = end - across * _ARROW
        way = end - start
    bow = start + way / 2 + way * (0.28j if way.real < 0 else -0.28j)
    points = [(1 - t) ** 2 * start + 2 * t * (1 - t) * bow + t * t * end for t in [k / 12 for k in range(13)]]
    back = points[-1] - points[-3]
    back /= abs(back)
    head = (end - 3 * back + 1.6j * back, end, end - 3 * back - 1.6j * back)
    return [Line("arrow", tuple(points)), Line("arrow", head)]
