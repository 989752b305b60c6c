"""The cut A - A: folded cloth seen on edge, and the numbers of layers along it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.folded.items import Item, Line, Text, plate
from pleatsvg.folded.stack import Cut, Stack, Zone, cut_through, spaces_of, zones_of
from pleatsvg.geometry.segment import Box, Segment, box_of

_CLEAR_OF = 6.0


_PITCH = 3.6


_NARROWEST = 5.0


_SLIT = 12.0
"""mm. The widest space between two ends of folds that is still drawn as one place of the cut."""


_SLANT = 30.0
"""mm along the cut in which a sheet comes down beyond a fold that it lies over."""


def section_line(stack: Stack) -> tuple[complex, complex]:
    # A level or upright line that crosses as many folds as can be, leaves the cloth and comes back, as over a hollow seam, as
    # seldom as can be, and lies as near the middle as can be.
    upright = stack.upright
    best: tuple[int, int] | None = None
    share_best = 0.5
    beside = [
        (a.imag if upright else a.real)
        for _, _, a, b in stack.crease_edges()
        if (abs((b - a).real) > abs((b - a).imag)) == upright
    ]
    for share in (0.5, 0.55, 0.45, 0.6, 0.4, 0.67, 0.33, 0.75, 0.25, 0.85, 0.15):
        origin, along = _at_share(stack.box, share, upright)
        if any(abs((origin.imag if upright else origin.real) - at) < _CLEAR_OF for at in beside):
            continue  # along a fold of another pass nothing could be read
        cuts = cut_through(stack, origin, along)
        zones = zones_of(cuts)
        gaps = sum([after.start - before.end > _NARROWEST for before, after in pairwise(zones)])
        folds = sum([(cut.start_tag >= 0) + (cut.end_tag >= 0) for cut in cuts])
        if best is None or (folds, -gaps) > best:
            best, share_best = (folds, -gaps), share
    return _at_share(stack.box, share_best, upright)


def _at_share(box: Box, share: float, upright: bool) -> tuple[complex, complex]:
    left, top, right, bottom = box
    if upright:
        return complex(left, top + (bottom - top) * share + 0.0137), 1 + 0j
    return complex(left + (right - left) * share + 0.0137, top), 1j


def layer_numbers(cuts: Sequence[Cut], zones: Sequence[Zone], origin: complex, along: complex) -> list[Item]:
    if not zones:
        return []
    start, end = zones[0].start - 9, zones[-1].end + 9
    items: list[Item] = [Line("section", (origin + along * start, origin + along * end))]
    for stop, side in ((start, -1), (end, 1)):
        items.append(Text("A", origin + along * (stop + side * 3.2)))
    for zone in zones:
        if _has_room(zone, along):
            at = origin + along * (zone.start + zone.end) / 2
            items += [plate(at, 4.0 if zone.layers < 10 else 6.4, 4.6), Text(str(zone.layers), at, look="count")]
    return items


def _has_room(zone: Zone, along: complex) -> bool:
    return zone.end - zone.start >= (_NARROWEST if zone.layers < 10 or along.imag else _NARROWEST + 2.5)


def on_edge(
    stack: Stack,
    cuts: Sequence[Cut],
    zones: Sequence[Zone],
    origin: complex,
    along: complex,
    outline: Sequence[Segment],
    right_side: bool,
) -> list[Item]:
    # The cloth along the cut, seen on edge: true to scale along it, the layers drawn apart.
    if not zones:
        return []
    most = max(zone.layers for zone in zones)
    left, top, right, bottom = box_of([z for seg in outline for z in seg])
    level = along.imag == 0
    side = "RIGHT" if right_side else "WRONG"
    title = (
        f"CUT A - A, seen on edge, layers drawn apart; {side} SIDE OF THE CLOTH {'ABOVE' if level else 'AT THE RIGHT'}"
    )
    runs = sheets_on_edge(cuts)
    highest = max([most, *[v for run in runs for _, v in run.points]])
    base = bottom + 20 + highest * _PITCH if level else right + 24

    def at(u: float, v: float) -> complex:
        return complex(origin.real + u, base - v) if level else complex(base + v, origin.imag + u)

    ends: dict[int, list[tuple[int, int]]] = {}
    for k, run in enumerate(runs):
        for place, tags in ((0, run.begins), (-1, run.ends)):
            for tag in tags:
                ends.setdefault(tag, []).append((k, place))
    lines = [list(run.points) for run in runs]
    hidden: list[Item] = []
    faces: list[Item] = []
    for pair in ends.values():
        if len(pair) == 2:
            # The fold is the outermost point of the turn: the sheets end before it, each within its last straight part.
            (fold, rank), (_, other) = [lines[k][place] for k, place in pair]
            room = [abs(lines[k][place][0] - lines[k][1 if place == 0 else -2][0]) for k, place in pair]
            out = min(2.6, max(1.2, abs(rank - other) * _PITCH * 0.5), *[0.45 * wide for wide in room])
            way = -1.0 if pair[0][1] == 0 else 1.0
            turn: list[complex] = []
            for k, place in pair:
                lines[k][place] = (fold - way * out, lines[k][place][1])
                turn += [at(fold + way * out * share, lines[k][place][1] * _PITCH) for share in (-1.0, 0.333)]
            hidden.append(Line("edge", segments=((turn[0], turn[1], turn[3], turn[2]),)))
    for run, points in zip(runs, lines, strict=True):
        line = tuple([at(u, v * _PITCH) for u, v in points])
        (faces if run.uppermost else hidden).append(Line("edge-face" if run.uppermost else "edge", line))
    items: list[Item] = [*hidden, *faces]
    if level:
        items.append(Text(title, complex(left, bottom + 13), anchor="start"))
    else:
        items.append(Text(title, complex(base - 9.5, (top + bottom) / 2), turn=-90))
    for zone in zones:
        if _has_room(zone, along):
            middle = (zone.start + zone.end) / 2
            items.append(Text(str(zone.layers), at(middle, -5.5 if level else highest * _PITCH + 4.0), look="count"))
    return items


class Run(NamedTuple):
    """Part of a sheet along a cut: (place along it in mm, height in layers) from one end to the other.

    Attributes:
        points: of the run.
        uppermost: whether nothing lies over it.
        begins, ends: the crease at which its sheet begins or ends there, in a tuple of one, or ().
    """

    points: tuple[tuple[float, float], ...]
    uppermost: bool
    begins: tuple[int, ...]
    ends: tuple[int, ...]


def sheets_on_edge(cuts: Sequence[Cut]) -> list[Run]:
    """Return how folded cloth lies along a cut, seen on edge, with its layers drawn apart.

    Where folds begin or end, the sheets that meet there stand above one another in their order; between two such places each
    runs straight from its height at the one to its height at the other, so that none crosses another and touching or
    overlapping pleats lie like tiles on a roof. Where there is room it lies down in between.
    """
    spaces = spaces_of(cuts)
    within = _cuts_in_zones(cuts, spaces)
    places: list[list[list[int]]] = []
    ends: list[tuple[int, int]] = []
    for k, here in enumerate(within):
        if not k or spaces[k].start - spaces[k - 1].end > 1e-6:
            places.append([])
        begin = len(places) - 1
        places[begin].append(here)
        if not _is_slit(spaces, k):  # its two ends are one place, for want of room to slant in
            places.append([here])
        ends.append((begin, len(places) - 1))
    heights = [_heights_at(place, cuts) for place in places]
    found: dict[int, list[tuple[list[tuple[float, float]], bool]]] = {}
    for k, (space, here) in enumerate(zip(spaces, within, strict=True)):
        for rank, j in enumerate(here):
            begin, end = [heights[place][j] for place in ends[k]]
            points: list[tuple[float, float]] = [(space.start, begin)]
            if space.end - space.start > 2 * _SLANT:
                points += [(space.start + _SLANT, rank), (space.end - _SLANT, rank)]
            points.append((space.end, end))
            found.setdefault(j, []).append((points, rank == len(here) - 1))
    runs: list[Run] = []
    for j, parts in found.items():
        cut = cuts[j]
        merged: list[tuple[list[tuple[float, float]], bool]] = []
        for points, uppermost in parts:
            if merged and merged[-1][1] == uppermost:
                merged[-1][0].extend(points[1:])
            else:
                merged.append((points, uppermost))
        for k, (points, uppermost) in enumerate(merged):
            starts_at = (cut.start_tag,) if k == 0 and cut.start_tag >= 0 else ()
            stops_at = (cut.end_tag,) if k == len(merged) - 1 and cut.end_tag >= 0 else ()
            runs.append(Run(tuple(points), uppermost, starts_at, stops_at))
    return runs


def _heights_at(beside: Sequence[Sequence[int]], cuts: Sequence[Cut]) -> dict[int, int]:
    # How high sheets are where spaces meet, as low as the order in each space lets them.
    below: dict[int, list[int]] = {}
    for here in beside:
        for under, j in zip([-1, *here], here, strict=False):
            below.setdefault(j, []).append(under)
    found = {-1: -1}
    for j in sorted(below, key=lambda j: cuts[j].sheet):
        found[j] = 1 + max([found[under] for under in below[j]])
    return found


def _is_slit(spaces: Sequence[Zone], k: int) -> bool:
    # Between two pleats that nearly touch, or overlap by a little.
    if not 0 < k < len(spaces) - 1:
        return False
    wide = spaces[k].end - spaces[k].start
    beside = min(spaces[k - 1].end - spaces[k - 1].start, spaces[k + 1].end - spaces[k + 1].start)
    return wide <= _SLIT and wide < 0.4 * beside


def _cuts_in_zones(cuts: Sequence[Cut], zones: Sequence[Zone]) -> list[list[int]]:
    # For each zone the numbers of the cuts that run through it, from the lowest up: one sweep along the cut.
    order = sorted(range(len(cuts)), key=lambda k: cuts[k].start)
    waiting = 0
    here: list[int] = []
    found: list[list[int]] = []
    for zone in zones:
        middle = (zone.start + zone.end) / 2
        while waiting < len(order) and cuts[order[waiting]].start <= middle:
            here.append(order[waiting])
            waiting += 1
        here = [k for k in here if cuts[k].end > middle]
        found.append(sorted(here, key=lambda k: cuts[k].sheet))
    return found
