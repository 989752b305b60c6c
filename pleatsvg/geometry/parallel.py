"""Parallels of a closed outline: each segment at a distance of its own, joined at the corners as a cutting line is.

A line's parallel is a line. A cubic's is a run of cubics that meet the true parallel at their ends with its direction
and speed: the parallel of P(t) at distance d has the speed P'(t) + d n'(t), n the unit normal (any text on plane
curves). Each is halved until it lies within OFFSET of the true one. Where a hollow is narrower than the distance the
parallel turns back on itself; what of it lies inside the whole is dropped by its winding number.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.crossings import meetings
from pleatsvg.geometry.motion import bearing
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, cut, halves, heading, point_at, turn_between
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.tolerance import MITRE_LIMIT, NOISE, OFFSET, ON_LINE, SNAP

_SMALLEST = 1e-3
"""Share of a segment below which a parallel is not halved further: it turns on the spot there."""


_Reals = npt.NDArray[np.float64]
_Booleans = npt.NDArray[np.bool_]
_Pair = tuple[_Reals, _Reals]

_AT_ONCE = 20
"""Curves from which on their parallels are sooner worked out all at once."""


_MANY = 200
"""Of so many segments a parallel is first rid of what lies buried; fewer are sooner compared as they are."""


_CUSP = 0.1
"""mm of seam about the spot at which its parallel turns back, as the middle of a curve comes as near as the distance."""


def parallel_of(seg: Segment, distance: float, hand: float) -> tuple[Segment, ...]:
    """Return the parallel of one segment on the outside of its outline, in order, within OFFSET.

    Args:
        seg: a line or a cubic, mm.
        distance: how far outside, mm; 0 returns the segment.
        hand: +1 where the outline is walked clockwise on the page, -1 where not.
    """
    if not distance:
        return (seg,)
    if len(seg) == 2:
        shift = distance * -1j * hand * heading(seg, 0.0)
        return ((seg[0] + shift, seg[1] + shift),)
    return tuple([part for part, _ in _halved(seg, distance, hand, 1.0)])


def parallels_of(outline: Outline, which: Sequence[int], distance: float, hand: float) -> list[tuple[Segment, ...]]:
    """Return the parallels of some segments of an outline, by their places in it; cf. `parallel_of`."""
    plain = _plain(outline, which, [distance] * len(which), hand)
    return [(plain[k],) if k in plain else parallel_of(outline.segments[k], distance, hand) for k in which]


def _plain(outline: Outline, which: Sequence[int], distances: Sequence[float], hand: float) -> dict[int, Segment]:
    # By their places, the parallels of the curves among some segments that are one cubic each; where there are few of them
    # none, since they are sooner made one by one.
    curves = [(k, far) for k, far in zip(which, distances, strict=True) if far and len(outline.segments[k]) == 4]
    if len(curves) < _AT_ONCE:
        return {}
    places = [k for k, _ in curves]
    known = _all_near(outline.controls[places], [far for _, far in curves], hand)
    return {k: made for k, made in zip(places, known, strict=True) if made is not None}


def _halved(seg: Segment, distance: float, hand: float, share: float) -> list[tuple[Segment, bool]]:
    # The parts of a parallel, and of each whether it is turned back; such a part is dropped later, so its chord will do.
    made, good, turned = _hermite(seg, distance, hand)
    if good and turned:
        return [((made[0], made[-1]), True)]
    if good or share <= _SMALLEST:
        return [(made, turned)]
    first, second = halves(seg)
    return [*_halved(first, distance, hand, share / 2), *_halved(second, distance, hand, share / 2)]


def _hermite(seg: Segment, distance: float, hand: float) -> tuple[Segment, bool, bool]:
    # The cubic that meets the true parallel at both ends, and whether it is near enough in between.
    a, b, c, d = seg
    first, last = b - a, d - c
    size = max(abs(first), abs(c - b), abs(last))
    if abs(first) > 1e-3 * size and abs(last) > 1e-3 * size:
        sa, sd = abs(first), abs(last)
        ta, td = first / sa, last / sd
        # A third of the speed: P'/3 is the handle, and the normal turns by dtheta/dt = Im(conj(P') P'') / |P'|^2.
        turn_a = 2 * (first.conjugate() * (c - b)).imag / (sa * sa)
        turn_d = 2 * ((c - b).conjugate() * last).imag / (sd * sd)
        ha = (sa + distance * hand * turn_a / 3) * ta
        hd = (sd + distance * hand * turn_d / 3) * td
    else:
        ta, td = heading(seg, 0.0), heading(seg, 1.0)
        step = 1e-4
        ha = first + distance * hand * bearing(heading(seg, step) / ta) / step / 3 * ta
        hd = last + distance * hand * bearing(td / heading(seg, 1 - step)) / step / 3 * td
    outside = -1j * hand * distance
    start, end = a + outside * ta, d + outside * td
    made = (start, start + ha, end - hd, end)
    return made, *_near(seg, made, distance, hand)


def _near(seg: Segment, made: Segment, distance: float, hand: float) -> tuple[bool, bool]:
    # Is the parallel near enough in between, and is it turned back?
    a, b, c, d = seg
    u, v, w = b - a, c - b, d - c
    p, q, r, e = [z - y for z, y in zip(made, seg, strict=True)]
    turned, near_cusp = 0, False
    for t, s, first, middle, last, t_thrice, s_thrice in _SPOTS:
        speed = first * u + middle * v + last * w
        size = abs(speed)
        if size < NOISE:
            return False, False
        back = speed.conjugate()
        off = (first * (s * p + t_thrice * q) + last * (s_thrice * r + t * e)) * back / size
        out, along = -hand * off.imag, off.real
        # Beside the circle that the curve follows there: its middle lies at -1/bend on the outer normal.
        bend = hand * (2 / 3) * (back * (s * (v - u) + t * (w - v))).imag / size**3
        room = 1 + bend * out
        if room <= 0.05:
            turned += room < 0
            near_cusp = True
            continue
        miss = out - distance + along * along * bend / (2 * room)
        if abs(miss) > OFFSET:
            return False, False
    if turned == 3:
        return turn_between(heading(seg, 0.0), heading(seg, 1.0)) < 20, True
    return not near_cusp or abs(d - a) < _CUSP, turned > 0


_SPOTS = tuple(
    [
        tuple(map(complex, (t, 1 - t, (1 - t) * (1 - t), 2 * (1 - t) * t, t * t, 3 * t, 3 * (1 - t))))
        for t in (0.25, 0.5, 0.75)
    ]
)
"""The shares at which one is held against the true parallel: t, s = 1 - t, s^2, 2st, t^2, 3t, 3s, complex like the points."""


def _all_near(controls: npt.NDArray[np.complex128], distances: Sequence[float], hand: float) -> list[Segment | None]:
    # Of many curves, each in a row of its control points, the one cubic that is its parallel, to the last digit as `_hermite`
    # makes it: worked out in coordinates, step by step as there. None where a curve has to be looked at by itself: drawn with
    # a handle in its end, halved, or near the middle of a bend.
    x, y = controls.real.T.copy(), controls.imag.T.copy()
    far = np.array(distances)
    (ux, vx, wx), (uy, vy, wy) = x[1:] - x[:-1], y[1:] - y[:-1]
    sa, sv, sd = np.hypot(ux, uy), np.hypot(vx, vy), np.hypot(wx, wy)
    size = np.maximum(np.maximum(sa, sv), sd)
    with np.errstate(all="ignore"):
        good = (sa > 1e-3 * size) & (sd > 1e-3 * size)
        # The ways in which it sets off and arrives, and how much longer the parallel's handles are for its bend.
        tax, tay, tdx, tdy = ux / sa, uy / sa, wx / sd, wy / sd
        turn_a = 2 * (ux * vy - uy * vx) / (sa * sa)
        turn_d = 2 * (vx * wy - vy * wx) / (sd * sd)
        ha, hd = sa + far * hand * turn_a / 3, sd + far * hand * turn_d / 3
        out = -hand * far
        start = x[0] - out * tay, y[0] + out * tax
        end = x[3] - out * tdy, y[3] + out * tdx
        mx = np.array((start[0], start[0] + ha * tax, end[0] - hd * tdx, end[0]))
        my = np.array((start[1], start[1] + ha * tay, end[1] - hd * tdy, end[1]))
        good &= _near_all(((ux, uy), (vx, vy), (wx, wy)), (mx - x, my - y), far, hand)
    made = zip(*(mx + 1j * my).tolist(), strict=True)
    return [seg if plain else None for seg, plain in zip(made, good.tolist(), strict=True)]


def _near_all(steps: tuple[_Pair, _Pair, _Pair], off: _Pair, far: _Reals, hand: float) -> _Booleans:
    # Where a cubic is near enough to the true parallel all along, and nowhere turned back, as `_near` has it.
    (ux, uy), (vx, vy), (wx, wy) = steps
    t = _LOOKS
    s = 1 - t
    first, middle, last = s * s, 2 * s * t, t * t
    fast_x, fast_y = first * ux + middle * vx + last * wx, first * uy + middle * vy + last * wy
    size = np.hypot(fast_x, fast_y)
    off_x, off_y = (s * s * (s * p + 3 * t * q) + t * t * (3 * s * r + t * e) for p, q, r, e in off)
    along = (off_x * fast_x + off_y * fast_y) / size
    out = -hand * ((off_y * fast_x - off_x * fast_y) / size)
    # Beside the circle that the curve follows there: its middle lies at -1/bend on the outer normal.
    more_x, more_y = s * (vx - ux) + t * (wx - vx), s * (vy - uy) + t * (wy - vy)
    bend = hand * (2 / 3) * (fast_x * more_y - fast_y * more_x) / size**3
    room = 1 + bend * out
    miss = out - far + along * along * bend / (2 * room)
    found: _Booleans = ((size >= NOISE) & (room > 0.05) & (np.abs(miss) <= OFFSET)).all(axis=0)
    return found


_LOOKS = np.array(((0.25,), (0.5,), (0.75,)))
"""The shares at which a parallel is held against the true one."""


def parallel_outline(
    outline: Outline, distances: tuple[float, ...], inside: bool = False
) -> tuple[Outline, tuple[int, ...]] | None:
    """Return the parallel of a closed outline, and which segment each part of it belongs to.

    Corners that point outwards are mitred, those beyond MITRE_LIMIT times the distance squared off there; corners that
    point inwards are trimmed. Where the distance is 0 the outline itself is followed, and its neighbours end on it
    produced.

    Args:
        outline: does not cross itself.
        distances: for each segment, mm, none negative.
        inside: the parallel inside it, not outside.

    Returns:
        None where no clean line comes of it.
    """
    round_way = outline.hand
    hand = -round_way if inside else round_way
    raw, sources, clean = _raw(outline, distances, hand)
    if clean and self_crossing(raw) is None:
        return raw, sources
    # Of no use to most pieces.
    from pleatsvg.geometry.buried import Ground
    from pleatsvg.geometry.outermost import outermost
    from pleatsvg.geometry.shallow import bridged

    over, far, of = bridged(outline, distances, hand)
    if len(over) < len(outline):
        raw, sources, clean = _raw(over, far, hand)
        if clean and self_crossing(raw) is None:
            return raw, tuple([of[k] for k in sources])
    ground = Ground(over, far[0]) if len(raw) >= _MANY and min(far) == max(far) else None
    cleaned = outermost(raw, sources, round_way, ground)
    if cleaned is None or not _keep_off(cleaned.asked, over, far):
        return None
    return cleaned.outline, tuple([of[k] for k in cleaned.sources])


def _raw(outline: Outline, distances: tuple[float, ...], hand: float) -> tuple[Outline, tuple[int, ...], bool]:
    # The parallels of all segments joined to a closed line, which segment each part of it belongs to, and whether all
    # parts lie and meet as they should; the line may cross itself all the same.
    n = len(outline)
    runs: list[list[Segment]] = []
    back: list[bool] = []
    plain = _plain(outline, range(n), distances, hand)
    for k, (seg, far) in enumerate(zip(outline.segments, distances, strict=True)):
        turned = False
        if k in plain:
            run = [plain[k]]
        elif not far:
            run = [seg]
        elif len(seg) == 2:
            run = list(parallel_of(seg, far, hand))
        else:
            halved = _halved(seg, far, hand, 1.0)
            run, turned = [part for part, _ in halved], True in [turned for _, turned in halved]
        runs.append(run)
        back.append(turned)
    clean = True not in back
    joins: list[list[Segment]] = []
    for k in range(n):
        made: list[Segment] | None = []
        if distances[k] or distances[k - 1]:  # between two that follow the outline nothing is to be done
            made = _join(outline, runs, distances, k, hand, not (back[k - 1] or back[k]))
        clean = clean and made is not None
        joins.append(made if made is not None else _by_the_corner(outline, runs, k))
    segments: list[Segment] = []
    sources: list[int] = []
    for k, (join, run) in enumerate(zip(joins, runs, strict=True)):
        for place, part in enumerate((*join, *run) if join else run):
            if abs(part[-1] - part[0]) > NOISE or max([abs(z - part[0]) for z in part[1:]]) > NOISE:
                segments.append(part)
                # A mitre's first line runs on from the segment before it.
                sources.append((k - 1) % n if place == 0 and len(join) > 1 else k)
    segments, sources = _closed(*lines_joined(segments, sources))
    return Outline(tuple(segments)), tuple(sources), clean


def _join(
    outline: Outline, runs: list[list[Segment]], distances: tuple[float, ...], k: int, hand: float, trim: bool
) -> list[Segment] | None:
    # What goes between run k - 1 and run k; their ends are moved where that makes the join. None: they run past each
    # other, and must be trimmed by winding.
    before, after = runs[k - 1], runs[k]
    end, start = before[-1][-1], after[0][0]
    if abs(end - start) <= SNAP:
        middle = start if not distances[k - 1] else end if not distances[k] else (start + end) / 2
        before[-1] = (*before[-1][:-1], middle)
        after[0] = (middle, *after[0][1:])
        return []
    far = max(distances[k - 1], distances[k])
    into, out = heading(outline.segments[k - 1], 1.0), heading(outline.segments[k], 0.0)
    corner = outline.segments[k][0]
    turn = (into.conjugate() * out).imag * hand
    if turn > 0 or turn_between(into, out) > 179.9:
        spot = _lines_meet(end, into, start, out)
        reach = abs(spot - corner) if spot is not None else math.inf
        backwards = spot is not None and (
            ((spot - end) * into.conjugate()).real < -ON_LINE or ((start - spot) * out.conjugate()).real < -ON_LINE
        )
        if spot is not None and reach <= MITRE_LIMIT * far and not backwards:
            return [(end, spot), (spot, start)]
        if backwards or distances[k - 1] != distances[k]:
            return [(end, start)]
        return _squared(corner, end, into, start, out, far)
    for i, p in enumerate(reversed(before) if trim else ()):
        for j, q in enumerate(after):
            met = meetings(p, q)
            if met:
                t, u = met[0]
                keep = len(before) - i - 1
                spot = point_at(p, t)
                before[keep:] = [(*cut(p, 0.0, t)[:-1], spot)]
                after[: j + 1] = [(spot, *cut(q, u, 1.0)[1:])]
                return []
    return None


def _squared(corner: complex, end: complex, into: complex, start: complex, out: complex, far: float) -> list[Segment]:
    # Square to the bisector, MITRE_LIMIT distances from the corner.
    ahead = into - out
    ahead /= abs(ahead)
    spots: list[complex] = []
    for z, way in ((end, into), (start, -out)):
        left = MITRE_LIMIT * far - ((z - corner) * ahead.conjugate()).real
        spots.append(z + way * max(0.0, left / (way * ahead.conjugate()).real))
    return [(end, spots[0]), (spots[0], spots[1]), (spots[1], start)]


def _by_the_corner(outline: Outline, runs: list[list[Segment]], k: int) -> list[Segment]:
    corner = outline.segments[k][0]
    return [(runs[k - 1][-1][-1], corner), (corner, runs[k][0][0])]


def _lines_meet(a: complex, r: complex, b: complex, s: complex) -> complex | None:
    det = (r.conjugate() * s).imag
    if abs(det) < 1e-9:
        return None
    return a + r * (((b - a).conjugate() * s).imag / det)


def lines_joined(segments: list[Segment], sources: list[int]) -> tuple[list[Segment], list[int]]:
    """Return a closed row of segments with lines that run straight on made one, and the source of each."""
    made: list[Segment] = []
    of: list[int] = []
    line_before = False
    for seg, source in zip(segments, sources, strict=True):
        line = len(seg) == 2
        if line and line_before:
            a, b = made[-1]
            p, q = b - a, seg[1] - b
            if abs((p.conjugate() * q).imag) <= 1e-9 * abs(p) * abs(q) and (p.conjugate() * q).real > 0:
                made[-1] = (a, seg[1])
                of[-1] = source if abs(q) > abs(p) else of[-1]
                continue
        made.append(seg)
        of.append(source)
        line_before = line
    if len(made) > 2 and len(made[0]) == len(made[-1]) == 2:
        (a, b), (_, c) = made[-1], made[0]
        p, q = b - a, c - b
        if abs((p.conjugate() * q).imag) <= 1e-9 * abs(p) * abs(q) and (p.conjugate() * q).real > 0:
            made[0] = (a, c)
            made.pop()
            before = of.pop()
            of[0] = before if abs(p) > abs(q) else of[0]
    return made, of


def _closed(segments: list[Segment], sources: list[int]) -> tuple[list[Segment], list[int]]:
    # Each begins exactly where the one before it ends.
    made = [seg if seg[0] == segments[k - 1][-1] else (segments[k - 1][-1], *seg[1:]) for k, seg in enumerate(segments)]
    return made, sources


def _keep_off(points: Iterable[complex], outline: Outline, distances: tuple[float, ...]) -> bool:
    # What was cleaned is held against the distance itself, to the nearest place of the seam.
    from pleatsvg.geometry.nearest import Nearest

    nearest = Nearest(outline.segments)
    n = len(outline)
    for z in points:
        away, index, share = nearest.of(z)
        # At a node the smaller of the two: a cutting line steps from one allowance to the other there.
        least = distances[index]
        if share <= 0:
            least = min(least, distances[index - 1])
        elif share >= 1:
            least = min(least, distances[(index + 1) % n])
        if away < least - 2 * OFFSET:
            return False
    return True
