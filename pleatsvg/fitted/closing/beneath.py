"""Fold lines off their edges in the closed piece, found for all edges at once where the way along the seam is a plain one.

What is no plain way, round corners or back, is left to `pleatsvg.pleats.strip`, which looks at one line
after another. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from pleatsvg.fitted.closing.all_at_once import Points, Reals
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, clear_across, cut, point_at, roots_of, single_root
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.tolerance import CORNER_TURN, ON_LINE, SAME_SPOT, TOUCH

WORTH = 12
"""Lines from which on this is the quicker way, on an outline of many segments."""

_PARTS = 4
"""Parts of the seam walked from an edge: the rest of the curve over it, what is left of its panel, and the same once more."""

_STRAIGHT = math.cos(math.radians(CORNER_TURN / 2 - 0.1))
"""Where every leg runs within this of the first, no two of them turn a corner, and no two ways from one spot to another."""


def beneath_at_once(lines: SlashSet, real: int, asked: Sequence[tuple[Chord, int, float, float]]) -> list[Chord | None]:
    """Return for each edge the line beside it, from the seam to beside the edge's own end; None where it has to be looked at
    by itself.

    Args:
        lines: the closed piece.
        real: how many segments of its outline come before those along the hip level.
        asked: the closed line of each edge, on which side (+1 after it, -1 before it) and how far from its top and its end.
    """
    if len(asked) < WORTH or lines.outline.boxes_side_by_side is None:
        return [_beneath(lines, real, *row) for row in asked]
    found: list[Chord | None] = [None] * len(asked)
    controls = lines.outline.controls
    chords = [chord for chord, _, _, _ in asked]
    side, a, b = np.array([row[1:] for row in asked]).T
    tops, hems = np.array([chord.top for chord in chords]), np.array([chord.hem for chord in chords])
    # The lines as in `pleatsvg.pleats.strip`.
    reach = np.abs(hems - tops)
    along = (hems - tops) / reach
    away = -1j * lines.hand * along * side
    sine = np.clip((b - a) / reach, -1.0, 1.0)
    normal = away * np.sqrt(1 - sine * sine) - along * sine
    origins, feet = tops + a * normal, hems + b * normal
    places = _met(controls[:real], np.array([chord.top_at for chord in chords]), side, away, normal, origins, a > 0)
    rows = np.isfinite(places).nonzero()[0]
    if not len(rows):
        return found
    index = np.floor(places[rows]).astype(int)
    share = (places[rows] - index)[:, None]
    ends = _at(controls[index], share)[:, 0]
    own = _crossed_only_there(real, controls, (feet[rows], ends, index, [chords[k] for k in rows.tolist()]))
    for k, at, top, plain in zip(rows.tolist(), places[rows].tolist(), ends.tolist(), own, strict=True):
        if plain:
            found[k] = Chord(at, chords[k].hem_at, top, complex(feet[k]))
    return found


def _beneath(lines: SlashSet, real: int, chord: Chord, side: int, a: float, b: float) -> Chord | None:
    # The same of one edge.
    reach = abs(chord.hem - chord.top)
    sine = (b - a) / reach
    if a <= 0 or abs(sine) > 1:
        return None
    along, away = (chord.hem - chord.top) / reach, lines.across(chord) * side
    normal = away * math.sqrt(1 - sine * sine) - along * sine
    met = _place_met(lines.outline.segments[:real], chord.top_at, side, away, normal, chord.top + a * normal)
    if met is None:
        return None
    foot = chord.hem + b * normal
    index, share = met
    top = point_at(lines.outline.segments[index], share)
    if not _crosses_only(lines.outline, real, index, foot, top):
        return None
    return Chord(index + share, chord.hem_at, top, foot)


def _place_met(
    segments: Sequence[Segment], start: float, side: int, away: complex, normal: complex, origin: complex
) -> tuple[int, float] | None:
    # The segment on which a walk along the seam meets its line, and the share there; None where it is no plain way.
    back, homewards = normal.conjugate(), away.conjugate()
    forward = side > 0
    index = math.floor(start) if forward else math.ceil(start) - 1
    begin, end = start - index, 1.0 if forward else 0.0
    lead, least = 0j, 0.0
    for _ in range(_PARTS):
        if not 0 <= index < len(segments):
            return None
        part = cut(segments[index], begin, end)
        before = part[0]
        for spot in part[1:]:
            leg, before = spot - before, spot
            size = abs(leg)
            if not lead:
                lead, least = leg.conjugate(), _STRAIGHT * size
            if size <= ON_LINE or (leg * lead).real < least * size or (leg * homewards).real < 0:
                return None
        w = [((spot - origin) * back).real for spot in part]
        if max(w) >= -ON_LINE:
            if w[0] >= -ON_LINE or w[-1] <= ON_LINE or sorted(w) != w:
                return None
            share = begin + (end - begin) * single_root(w)
            return (index, share) if SAME_SPOT < share < 1 - SAME_SPOT else None
        index += side
        begin = 1.0 - end
    return None


def _crosses_only(outline: Outline, real: int, own: int, foot: complex, top: complex) -> bool:
    # Whether a line crosses the seam nowhere between its ends but on the segment where it ends; cf. `_crossed_only_there`.
    long = abs(top - foot)
    flip = (top - foot).conjugate() / long
    room = 2 * (TOUCH + ON_LINE)
    left, right = min(foot.real, top.real) - room, max(foot.real, top.real) + room
    upper, under = min(foot.imag, top.imag) - room, max(foot.imag, top.imag) + room
    for k, (x0, y0, x1, y1) in enumerate(outline.boxes[:real]):
        if x0 > right or x1 < left or y0 > under or y1 < upper:
            continue
        turned = [(z - foot) * flip for z in outline.segments[k]]
        w = [z.imag for z in turned]
        if min(w) > ON_LINE or max(w) < -ON_LINE or (k == own and clear_across(w)):
            continue
        along = [z.real for z in turned]
        if min(along) <= long - ON_LINE + 2 * TOUCH and max(along) >= ON_LINE - 2 * TOUCH:
            return False
    return True


def _met(
    controls: Points,
    start: Reals,
    side: Reals,
    away: Points,
    normal: Points,
    origins: Points,
    walking: npt.NDArray[np.bool_],
) -> Reals:
    # The places where walks along the seam meet their lines; nothing where one is no plain way.
    places = np.full(len(start), np.nan)
    forward = side > 0
    index = np.where(forward, np.floor(start), np.ceil(start) - 1).astype(int)
    begin = np.where(forward, start - index, 1 + index - start)
    lead = np.zeros(len(start), complex)
    for _ in range(_PARTS):
        rows = (walking & (index >= 0) & (index < len(controls))).nonzero()[0]
        if not len(rows):
            break
        seg = np.where(forward[rows, None], controls[index[rows]], controls[index[rows]][:, ::-1])
        t = begin[rows, None]
        part = _rest(seg, t)
        legs = np.diff(part)
        sizes = np.abs(legs)
        lead[rows] = np.where(lead[rows] == 0, legs[:, 0], lead[rows])
        first = lead[rows, None]
        good = ((legs * first.conj()).real >= _STRAIGHT * sizes * np.abs(first)).all(axis=1)
        good &= (sizes > ON_LINE).all(axis=1) & ((legs * away[rows, None].conj()).real >= 0).all(axis=1)
        w = ((part - origins[rows, None]) * normal[rows, None].conj()).real
        meets = good & (w[:, 0] < -ON_LINE) & (w[:, 3] > ON_LINE) & (np.diff(w) >= 0).all(axis=1)
        on = np.full(len(rows), np.nan)
        on[meets] = roots_of(w[meets])
        share = t[:, 0] + (1 - t[:, 0]) * on
        share = np.where(forward[rows], share, 1 - share)
        meets &= (share > SAME_SPOT) & (share < 1 - SAME_SPOT)
        places[rows[meets]] = index[rows[meets]] + share[meets]
        walking = np.zeros(len(start), bool)
        walking[rows] = good & (w.max(axis=1) < -ON_LINE)
        index = index + np.where(forward, 1, -1)
        begin = np.zeros(len(start))
    return places


def _crossed_only_there(
    real: int, controls: Points, found: tuple[Points, Points, npt.NDArray[np.int64], list[Chord]]
) -> list[bool]:
    # Whether a line crosses the seam nowhere between its ends; cf. `Outline.crossed_only_in`.
    feet, ends, index, chords = found
    long = np.abs(ends - feet)
    ways = (ends - feet) / long
    of, segs = _beside_them(controls[:real], feet - ways * 2 * TOUCH, ends + ways * 2 * TOUCH)
    turned = (controls[segs] - feet[of, None]) * ways[of, None].conj()
    w, u = turned.imag, turned.real
    plain = (w.min(axis=1) > ON_LINE) | (w.max(axis=1) < -ON_LINE)
    plain |= (u.min(axis=1) > long[of] - ON_LINE + 2 * TOUCH) | (u.max(axis=1) < ON_LINE - 2 * TOUCH)
    up = (w[:, 0] > ON_LINE) & (w[:, 3] < -ON_LINE) & ~((w[:, 1] < 0) & (w[:, 2] > 0))
    down = (w[:, 0] < -ON_LINE) & (w[:, 3] > ON_LINE) & ~((w[:, 1] > 0) & (w[:, 2] < 0))
    plain |= (segs == index[of]) & (up | down)
    every = np.ones(len(chords), bool)
    every[of[~plain]] = False
    return [bool(one) for one in every]


def _beside_them(
    controls: Points, starts: Points, stops: Points
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    # The numbers of straight strokes, and of the curves whose boxes theirs overlap, for every two that do.
    across, down = controls.real, controls.imag
    left, right = across.min(axis=1) - 2 * ON_LINE, across.max(axis=1) + 2 * ON_LINE
    top, bottom = down.min(axis=1) - 2 * ON_LINE, down.max(axis=1) + 2 * ON_LINE
    lows = np.minimum(starts.real, stops.real) + 1j * np.minimum(starts.imag, stops.imag)
    highs = np.maximum(starts.real, stops.real) + 1j * np.maximum(starts.imag, stops.imag)
    found: list[tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]] = []
    rows_at_once = max(1, _BOXES_AT_ONCE // len(controls))
    for first in range(0, len(starts), rows_at_once):
        low, high = lows[first : first + rows_at_once, None], highs[first : first + rows_at_once, None]
        met = (left <= high.real) & (low.real <= right)
        met &= (top <= high.imag) & (low.imag <= bottom)
        of, segs = met.nonzero()
        found.append((of + first, segs))
    strokes, curves = (np.concatenate(column) for column in zip(*found, strict=True))
    return strokes, curves


_BOXES_AT_ONCE = 400_000
"""Boxes held against strokes in one go: little memory."""


def _rest(seg: Points, t: Reals) -> Points:
    # What is left of cubics from some shares on.
    a, b, c, d = (seg[:, k : k + 1] for k in range(4))
    ab, bc, cd = a + (b - a) * t, b + (c - b) * t, c + (d - c) * t
    abc, bcd = ab + (bc - ab) * t, bc + (cd - bc) * t
    return np.hstack((abc + (bcd - abc) * t, bcd, cd, d))


def _at(seg: Points, t: Reals) -> Points:
    found: Points = _rest(seg, t)[:, :1]
    return found
