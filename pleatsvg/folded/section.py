"""The cut A - A: folded cloth seen on edge, and the numbers of layers along it."""

from __future__ import annotations

from collections.abc import Sequence

from pleatsvg.folded.items import Item, Line, Text, plate
from pleatsvg.folded.stack import RAW, Cut, Stack, Zone, cut_through, spaces_of
from pleatsvg.geometry.segment import Box, Segment, box_of

_CLEAR_OF = 6.0


_PITCH = 3.6


_NARROWEST = 5.0


def section_line(stack: Stack) -> tuple[complex, complex]:
    # A level or upright line that crosses as many sheets as can be, as near the middle as can be.
    upright = stack.upright
    best: int | None = None
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
        count = len(cut_through(stack, origin, along))
        if best is None or count > best:
            best, share_best = count, share
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
    base = bottom + 20 + most * _PITCH if level else right + 24

    def at(u: float, v: float) -> complex:
        return complex(origin.real + u, base - v) if level else complex(base + v, origin.imag + u)

    heights: dict[int, list[tuple[float, float, int, bool]]] = {}
    runs: list[Item] = []
    faces: list[Item] = []
    spaces = spaces_of(cuts)
    by_space = _cuts_in_zones(cuts, spaces)
    ends: dict[int, list[tuple[float, int, bool]]] = {}
    for space, within in zip(spaces, by_space, strict=True):
        for rank, k in enumerate(within):
            heights.setdefault(k, []).append((space.start, space.end, rank, rank == len(within) - 1))
    for k, spans in heights.items():
        for points, uppermost in _draped(spans):
            line = tuple([at(u, rank * _PITCH) for u, rank in points])
            (faces if uppermost else runs).append(Line("edge-face" if uppermost else "edge", line))
        cut = cuts[k]
        ends.setdefault(cut.start_tag, []).append((spans[0][0], spans[0][2], True))
        ends.setdefault(cut.end_tag, []).append((spans[-1][1], spans[-1][2], False))
    for tag, pair in ends.items():
        if tag == RAW or len(pair) != 2:
            continue
        (one_end, rank, starts_here), (other_end, other, _) = pair
        out = (-1 if starts_here else 1) * min(3.5, max(1.6, abs(rank - other) * _PITCH * 0.62))
        turn = (
            at(one_end, rank * _PITCH),
            at(one_end + out, rank * _PITCH),
            at(other_end + out, other * _PITCH),
            at(other_end, other * _PITCH),
        )
        runs.append(Line("edge", segments=(turn,)))
    items: list[Item] = [*runs, *faces]
    if level:
        items.append(Text(title, complex(left, bottom + 13), anchor="start"))
    else:
        items.append(Text(title, complex(base - 9.5, (top + bottom) / 2), turn=-90))
    for zone in zones:
        if _has_room(zone, along):
            middle = (zone.start + zone.end) / 2
            items.append(Text(str(zone.layers), at(middle, -5.5 if level else most * _PITCH + 4.0), look="count"))
    return items


def _draped(spans: Sequence[tuple[float, float, int, bool]]) -> list[tuple[list[tuple[float, int]], bool]]:
    # A sheet along the cut, each span at its height: it comes down only beyond the folds that it lies over.
    found: list[tuple[list[tuple[float, int]], bool]] = []
    begins: list[tuple[float, int]] = [(spans[0][0], spans[0][2])]
    for (start, end, rank, uppermost), after in zip(spans, [*spans[1:], None], strict=True):
        points = begins
        if after is None:
            points = [*points, (end, rank)]
        elif after[2] == rank:
            points = [*points, (end, rank)]
            begins = [(end, rank)]
        elif after[2] > rank:
            room = end - start
            points = [*points, (end - min(4.2, room * 0.8), rank)]
            begins = [points[-1], (end - min(2.6, room * 0.5), after[2])]
        else:
            room = after[1] - after[0]
            points = [*points, (end + min(2.6, room * 0.5), rank), (end + min(4.2, room * 0.8), after[2])]
            begins = [points[-1]]
        found.append((points, uppermost))
    return found


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
