"""The cutting line over a dart: it does not run down into the dart, but over it as the folded dart is cut.

A dart is sewn along its legs, folded, and pressed to one side. Then its cloth lies beneath the panel on that side, turned
over at the leg and back at the fold, and what is cut off level with that panel's cutting line is a peak in the flat: next
to one leg the panel's cutting line reflected in the leg, next to the other the same line carried over by the motion that
the sewing undoes. The two meet on the dart's fold. (Folding the paper dart and cutting across it gives the same peak;
common practice.)

While it is not said which way a dart lies, the cutting line is the outer one of the two, so that cloth is there either way.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from pleatsvg.geometry.crossings import meetings
from pleatsvg.geometry.motion import Motion, bearing, moved, reflection
from pleatsvg.geometry.nearest import Nearest
from pleatsvg.geometry.outline import Dart, Outline
from pleatsvg.geometry.parallel import lines_joined, parallel_outline
from pleatsvg.geometry.segment import Segment, cut, heading, length_of, point_at
from pleatsvg.tolerance import EASED, NOISE, OFFSET, SNAP

_REACHES = (0.5, 0.25, 1.0, 2.0, 0.1)
"""How much of the seam beside a dart is sewn up in thought, in widths of its mouth; the first that serves is taken."""


_HEM = 0.5
"""mm of cloth within the seam at the ends of what is sewn up in thought."""


class Covered(NamedTuple):
    """An outline with its darts laid over.

    Attributes:
        outline: each dart is one line across its mouth.
        distances: the allowance of each of its segments, mm.
        of: which segment of the outline with darts each is; a mouth bears the number of its dart's first leg.
    """

    outline: Outline
    distances: tuple[float, ...]
    of: tuple[int, ...]


class OverDart(NamedTuple):
    """A dart and the way it is pressed: `towards` -1 the seam before it, +1 the seam after it, 0 not said.

    One that is `closed` is not sewn: the cutting line is led to its point and back along its legs, which come to lie on one
    another, so that it runs on there as over the closed seam.
    """

    dart: Dart
    towards: int
    closed: bool = False


def covered(outline: Outline, distances: Sequence[float], darts: Iterable[Dart]) -> Covered:
    """Return an outline with a line across the mouth of each dart in the place of its legs."""
    n = len(outline)
    gone: dict[int, Dart] = {}
    for dart in darts:
        gone |= {k % n: dart for k in range(dart.start, dart.end)}
    if not gone:
        return Covered(outline, tuple(distances), tuple(range(n)))
    segments: list[Segment] = []
    far: list[float] = []
    of: list[int] = []
    for k, seg in enumerate(outline.segments):
        dart_there = gone.get(k)
        if dart_there is None:
            segments.append(seg)
        elif k == dart_there.start % n:
            segments.append((seg[0], outline.point(dart_there.end)))
        else:
            continue
        far.append(distances[k])
        of.append(k)
    # A dart whose legs lie round the end of the list.
    segments = [(segments[k - 1][-1], *seg[1:]) for k, seg in enumerate(segments)]
    return Covered(Outline(tuple(segments)), tuple(far), tuple(of))


def over_dart(
    line: Outline, sources: tuple[int, ...], outline: Outline, distances: Sequence[float], over: OverDart
) -> tuple[Outline, tuple[int, ...]] | None:
    """Return a cutting line with the peak that a folded dart needs, and which segment of the seam each part belongs to.

    Args:
        line: the cutting line so far, walked as the seam is; over this dart it runs anyhow.
        sources: for each of its segments, the segment of the seam that it belongs to.
        outline: the seam with its darts.
        distances: the allowance of each of its segments, mm.
        over: the dart, and which way it lies.

    Returns:
        None where the seam beside the dart leaves no room for one.
    """
    nearest = Nearest(line.segments)
    for reach in _REACHES:
        beside = _beside(outline, distances, over.dart, reach)
        if beside is None:
            continue
        first, last = nearest.of(beside.before[0][0]), nearest.of(beside.after[-1][-1])
        if max(first.away, last.away) <= 4 * OFFSET:
            return _spliced(line, sources, over, beside, first.segment + first.share, last.segment + last.share)
    return None


class _Beside(NamedTuple):
    # The cutting line beside a dart: up to its first leg produced, and from its second; both as they lie in the flat.
    before: tuple[Segment, ...]
    after: tuple[Segment, ...]
    mouth: tuple[complex, complex]
    point: complex
    opened: Motion
    """Carries what lies after the dart, as it lies when it is sewn up, to where it lies in the flat."""


def _beside(outline: Outline, distances: Sequence[float], dart: Dart, reach: float) -> _Beside | None:
    start, end, point = outline.point(dart.start), outline.point(dart.end), outline.point(dart.point)
    turn = cmath.exp(1j * bearing((end - point) / (start - point)))
    opened = Motion(turn, end - turn * start, False)
    closed = Motion(turn.conjugate(), start - turn.conjugate() * end, False)
    n = len(outline)
    length = reach * dart.mouth
    runs = [_run(outline, dart.start, -length), [moved(seg, closed) for seg in _run(outline, dart.end, length)]]
    if not all(runs):
        return None
    segments = [*runs[0], *runs[1]]
    segments = [segments[0], *[(a[-1], *b[1:]) for a, b in itertools.pairwise(segments)]]
    far = [distances[(dart.start - 1) % n]] * len(runs[0]) + [distances[dart.end % n]] * len(runs[1])
    # Its ends are cut off square to the seam, for there the parallels of the run and of the whole seam end alike.
    hand = 1j if outline.area > 0 else -1j
    first, last = segments[0][0], segments[-1][-1]
    within = [
        z + _HEM * hand * way for z, way in ((last, heading(segments[-1], 1.0)), (first, heading(segments[0], 0.0)))
    ]
    closing = ((last, within[0]), (within[0], point), (point, within[1]), (within[1], first))
    patch = Outline((*segments, *closing))
    if patch.area * outline.area <= 0:
        return None
    made = parallel_outline(patch, (*far, *([0.0] * len(closing))))
    if made is None:
        return None
    sewn = [seg for seg, source in zip(made[0].segments, made[1], strict=True) if source < len(segments)]
    leg = (point, start + 1e3 * (start - point) / abs(start - point) * max(1.0, dart.depth))
    hits = [(k, meeting[1]) for k, seg in enumerate(sewn) for meeting in meetings(leg, seg)]
    if not hits:
        return None
    k, share = max(hits, key=lambda hit: abs(point_at(sewn[hit[0]], hit[1]) - point))
    before = _whole([*sewn[:k], cut(sewn[k], 0.0, share)])
    after = _whole([cut(sewn[k], share, 1.0), *sewn[k + 1 :]])
    if not before or not after:
        return None
    return _Beside(before, tuple([moved(seg, opened) for seg in after]), (start, end), point, opened)


def _run(outline: Outline, node: int, length: float) -> list[Segment]:
    # So much of the seam before (below 0) or after a node, in the seam's direction; less where a corner comes first.
    n = len(outline)
    corners = {k % n for k in outline.corners}
    found: list[Segment] = []
    left = abs(length)
    at = node
    while left > NOISE and len(found) < n:
        seg = outline.segments[at % n] if length > 0 else outline.segments[(at - 1) % n]
        whole = length_of(seg)
        if whole > left:
            share = left / whole
            found.append(cut(seg, 0.0, share) if length > 0 else cut(seg, 1 - share, 1.0))
            break
        found.append(seg)
        left -= whole
        at += 1 if length > 0 else -1
        if at % n in corners:
            break
    return found if length > 0 else found[::-1]


def _whole(segments: list[Segment]) -> tuple[Segment, ...]:
    return tuple([seg for seg in segments if max(abs(z - seg[0]) for z in seg[1:]) > SNAP])


def _spliced(
    line: Outline, sources: tuple[int, ...], over: OverDart, beside: _Beside, first: float, last: float
) -> tuple[Outline, tuple[int, ...]] | None:
    # The line as it was from beyond the dart round to before it, then its sides and the peak between them.
    n = len(line)
    stop = first if first > last else first + n
    rest: list[Segment] = []
    of: list[int] = []
    begin = 0
    for k in range(math.floor(last), math.ceil(stop)):
        if k % n == 0:
            begin = len(rest)  # places are counted from there
        low, high = max(0.0, last - k), min(1.0, stop - k)
        seg = line.segments[k % n]
        part = seg if (low, high) == (0.0, 1.0) else cut(seg, low, high)
        if max(abs(z - part[0]) for z in part[1:]) > SNAP:
            rest.append(part)
            of.append(sources[k % n])
    if not rest:
        return None
    peak: tuple[Segment, ...] | None
    if over.closed:
        peak = (beside.before[-1][-1], beside.point), (beside.point, beside.after[0][0])
    else:
        peak = _peak(beside, over.towards, [*rest, *beside.before], [*beside.after, *rest])
    if peak is None:
        return None
    seam = over.dart.start - 1, over.dart.end
    made = [*rest, *beside.before, *peak, *beside.after]
    of += [seam[0]] * (len(beside.before) + len(peak)) + [seam[1]] * len(beside.after)
    joined = [(made[k - 1][-1], *seg[1:]) for k, seg in enumerate(made)]
    segments, seams = lines_joined(joined[begin:] + joined[:begin], of[begin:] + of[:begin])
    return Outline(tuple(segments)), tuple(seams)


def _peak(
    beside: _Beside, towards: int, before: Sequence[Segment], after: Sequence[Segment]
) -> tuple[Segment, ...] | None:
    # From the first leg to the second; `before` ends on the one, `after` begins on the other, however far they run.
    start, end = beside.mouth
    point = beside.point
    # Folded about its point. Where one leg is longer than the other, the peak is led over to the panel's line.
    turn = beside.opened.turn
    opened, closed = [Motion(t, point - t * point, False) for t in (turn, turn.conjugate())]
    fold = (start - point) / abs(start - point) * cmath.exp(0.5j * bearing(turn))
    ways: list[tuple[Segment, ...]] = []
    far = 3 * abs(end - start)
    if towards <= 0:
        # Beneath the panel before it: that panel's line turned over at the leg, and carried over to the other one.
        lines = _last(before, far)
        over = reflection(point, start)
        way = _joined(
            [moved(seg[::-1], over) for seg in reversed(lines)], [moved(seg, opened) for seg in lines], point, fold
        )
        ways += [_reversed(_led_to(after[0][0], _reversed(one))) for one in way]
    if towards >= 0:
        lines = _first(after, far)
        over = reflection(point, end)
        way = _joined(
            [moved(seg, closed) for seg in lines], [moved(seg[::-1], over) for seg in reversed(lines)], point, fold
        )
        ways += [_led_to(before[-1][-1], one) for one in way]
    if not ways:
        return None
    return ways[0] if len(ways) == 1 else _outer(ways[0], ways[1], point)


def _reversed(way: Sequence[Segment]) -> tuple[Segment, ...]:
    return tuple([seg[::-1] for seg in reversed(way)])


def _led_to(spot: complex, way: Sequence[Segment]) -> tuple[Segment, ...]:
    # A way that begins at a spot: led over to it within its first part where legs differ by what sewing eases in, by a
    # step along the leg where they differ by more.
    first = way[0]
    off = spot - first[0]
    if abs(off) > EASED:
        return _whole([(spot, first[0]), *way])
    handle = (first[1] + off, *first[2:]) if len(first) == 4 else first[1:]
    return ((spot, *handle), *way[1:])


def _last(lines: Sequence[Segment], length: float) -> list[Segment]:
    found: list[Segment] = []
    for seg in reversed(lines):
        found.append(seg)
        length -= abs(seg[-1] - seg[0])
        if length < 0:
            break
    return found[::-1]


def _first(lines: Sequence[Segment], length: float) -> list[Segment]:
    return [seg[::-1] for seg in reversed(_last([seg[::-1] for seg in reversed(lines)], length))]


def _joined(first: list[Segment], second: list[Segment], point: complex, fold: complex) -> list[tuple[Segment, ...]]:
    # Two lines, each other's image in the dart's fold, the first as far as the fold and the second from there: the way
    # over a dart, if they reach it. Near a corner of the seam they cross elsewhere as well.
    found: list[tuple[float, int, int, float, float]] = []
    for i, p in enumerate(first):
        for j, q in enumerate(second):
            for t, u in meetings(p, q):
                off = abs(((point_at(p, t) - point) * fold.conjugate()).imag)
                found.append((round(off, 3), i, -j, t, u))
    if not found:
        return []
    _, i, j, t, u = min(found)
    p, q = first[i], second[-j]
    spot = point_at(p, t)
    way = [*first[:i], (*cut(p, 0.0, t)[:-1], spot), (spot, *cut(q, u, 1.0)[1:]), *second[1 - j :]]
    return [_whole(way)]


def _outer(one: Sequence[Segment], other: Sequence[Segment], point: complex) -> tuple[Segment, ...]:
    # Of two ways over a dart with the same ends the one farther out, stretch by stretch between their crossings.
    stops = [(0.0, 0.0), (float(len(one)), float(len(other)))]
    for i, p in enumerate(one):
        for j, q in enumerate(other):
            stops += [(i + t, j + u) for t, u in meetings(p, q)]
    stops.sort()
    found: list[Segment] = []
    kept = stops[0]
    for stop in stops[1:]:
        a, b = _stretch(one, kept[0], stop[0]), _stretch(other, kept[1], stop[1])
        if not a or not b or stop[1] <= kept[1]:
            continue
        found += a if _far_out(a, point) >= _far_out(b, point) - NOISE else b
        kept = stop
    return tuple(found) if found else tuple(one)


def _stretch(way: Sequence[Segment], low: float, high: float) -> list[Segment]:
    found: list[Segment] = []
    for k in range(math.floor(low), min(len(way), math.ceil(high))):
        a, b = max(0.0, low - k), min(1.0, high - k)
        if b > a:
            found.append(way[k] if (a, b) == (0.0, 1.0) else cut(way[k], a, b))
    return list(_whole(found))


def _far_out(way: Sequence[Segment], point: complex) -> float:
    return sum([abs(point_at(seg, t) - point) for seg in way for t in (0.25, 0.5, 0.75)]) / len(way)
