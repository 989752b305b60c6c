"""What the folded picture shows: the piece from one side, the folds seen and hidden, the layers, and a cut through it.

Everything is in mm. The picture is made of simple items under the name of a look; how a look is drawn is the writer's.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.foldproof import Proof
from pleatsvg.lettering import CAPITALS, width_of
from pleatsvg.motion import moved
from pleatsvg.refold import FoldedPass, parted
from pleatsvg.segment import Box, Segment, box_of
from pleatsvg.sheets import (
    RAW,
    Cut,
    Stack,
    Thickest,
    Zone,
    crossing_folds,
    cut_through,
    spaces_of,
    stack_of,
    thickest,
    zones_of,
)
from pleatsvg.words import numbers_in_words

SIZE = 4.2
"""Font size in mm: capitals 3 mm high."""

_NAME_SIZE = 5.0

BULKY = 5
"""Layers above which the picture warns of bulk."""

_CLEAR_OF = 6.0
_SHADOW = (0.9, 1.8, 2.8)
_PITCH = 3.6
_NARROWEST = 5.0
_ROW = 6.5


class Line(NamedTuple):
    """A run of straight steps, or of curves where `segments` are given."""

    look: str
    points: tuple[complex, ...] = ()
    closed: bool = False
    segments: tuple[Segment, ...] = ()


class Text(NamedTuple):
    """Words: their middle (or start) on the line at half the height of capitals, and their turn in degrees."""

    words: str
    at: complex
    turn: float = 0.0
    size: float = SIZE
    anchor: str = "middle"
    look: str = "words"


Item = Line | Text


@dataclass(frozen=True)
class Layer:
    """A layer of the picture, named as the editor lists it."""

    name: str
    plain: str
    items: Sequence[Item]


@dataclass(frozen=True)
class View:
    """One piece, folded and laid out for a picture.

    Attributes:
        layers: in the order in which they are drawn.
        box: what they take up.
        rows: heading rows, the first larger.
        thick: the most layers.
        clashes: pleats that would pass through one another.
        average: layers on average over the whole piece.
        shades: numbers of layers that occur, for the key.
        outline: the finished seam as seen.
        zones: along the cut A - A.
    """

    layers: tuple[Layer, ...]
    box: Box
    rows: tuple[str, ...]
    thick: Thickest
    clashes: tuple[int, ...]
    average: float
    shades: tuple[int, ...]
    outline: tuple[Segment, ...]
    zones: tuple[Zone, ...]


def pleats_in_words(numbers: Sequence[int]) -> str:
    """Return pleat numbers in words, in the middle of a sentence."""
    return numbers_in_words(sorted(numbers)).replace("Pleat", "pleat") if numbers else "no pleat"


def where_thick(thick: Thickest) -> str:
    """Return where the most layers lie: "at pleats 1 to 5, from top to hem"."""
    if not thick.pleats:
        return "all over"
    first, second = ("the top", "the hem") if thick.upright else ("the left end", "the right end")
    low, high = min(thick.shares) < 0.3, max(thick.shares) > 0.7
    height = (
        ("from top to hem" if thick.upright else "from end to end")
        if low and high
        else f"near {first}"
        if low
        else f"near {second}"
        if high
        else "half-way"
    )
    return f"at {pleats_in_words(thick.pleats)}, {height}"


def bulk_caution(thick: Thickest) -> str:
    """Return a caution where more than BULKY layers lie on one another, else ""."""
    if thick.layers <= BULKY:
        return ""
    return (
        f"CAUTION, BULK: {thick.layers} layers lie on one another {where_thick(thick)}. Over {BULKY} are thick to press and "
        "to stitch: fold a sample in the cloth first, or take less intake or wider spacing."
    )


def view_of(proof: Proof, right_side: bool) -> View:
    """Return a proven piece as it looks from one side.

    Args:
        proof: of the piece.
        right_side: seen on the right side of the cloth, else on the wrong side, turned over left for right.
    """
    stack = stack_of(proof.passes)
    thick = thickest(stack)
    outline = proof.passes[-1].finished.segments
    left, _, right, _ = box_of([z for seg in outline for z in seg])
    middle = (left + right) / 2
    if not right_side:
        stack = stack.turned(middle)
        outline = tuple([_turned(seg, middle) for seg in outline])
    origin, along = _section(stack)
    cuts = cut_through(stack, origin, along)
    zones = zones_of(cuts)
    clashes = crossing_folds(stack, cuts)
    seen, hidden, shadows, labels = _folds(stack, right_side)
    layers = [
        Layer("cloth", "Cloth", [Line("cloth-right" if right_side else "cloth-wrong", segments=outline, closed=True)]),
        Layer("shading", "Shading by layers", [Line("shade", sheet.points, True) for sheet in stack.sheets]),
        Layer("shadows", "Shadows at the folds", shadows),
        Layer("hidden-folds", "Hidden folds", hidden),
        Layer("seen-folds", "Folds that are seen", seen),
        Layer(
            "outline",
            "Finished seam",
            [*_centre(proof, middle, right_side), Line("outline", segments=outline, closed=True)],
        ),
    ]
    words: list[Item] = [*labels]
    grain = _grain(proof.passes[-1], None if right_side else middle)
    if grain:
        layers.append(Layer("grain", "Grainline", grain))
    if thick.layers > BULKY:
        spot = thick.place if right_side else complex(2 * middle - thick.place.real, thick.place.imag)
        words += ring(spot)
    layers.append(Layer("section-line", "Cut A - A and numbers of layers", _numbers(cuts, zones, origin, along)))
    layers.append(
        Layer(
            "section", "The cut A - A, seen on edge", _on_edge(stack, cuts, zones, origin, along, outline, right_side)
        )
    )
    layers.append(Layer("fold-names", "Lettering", words))
    box = box_of([z for layer in layers for item in layer.items for z in _corners(item)])
    return View(
        tuple(layers),
        box,
        _rows(proof, thick, clashes, right_side),
        thick,
        clashes,
        proof.flat_area / proof.finished_area,
        tuple(sorted({zone.layers for zone in zones} | {1, thick.layers})),
        outline,
        tuple(zones),
    )


def _rows(proof: Proof, thick: Thickest, clashes: tuple[int, ...], right_side: bool) -> tuple[str, ...]:
    side = "RIGHT SIDE" if right_side else "WRONG SIDE, turned over left for right"
    rows = [
        f"{proof.piece}: folded",
        f"Seen from the {side}, true to scale. The outline is the finished seam; allowances are not shown.",
        f"Folded from its drawn lines; the largest miss is {proof.worst:.6f} mm.",
        f"Layers: {proof.flat_area / proof.finished_area:.2f} on average, at most {thick.layers} {where_thick(thick)}.",
    ]
    caution = bulk_caution(thick)
    if caution:
        rows += _wrapped(caution, 110)
    if clashes:
        rows += _wrapped(clash_caution(clashes), 110)
    return tuple(rows)


def clash_caution(clashes: tuple[int, ...]) -> str:
    """Return what to say where pleats would pass through one another."""
    return (
        f"CAUTION: at {pleats_in_words(clashes)} one underlay would have to pass through another's fold. On paper it folds; "
        "in cloth it bulges. Take less intake or wider spacing."
    )


def _wrapped(text: str, letters: int) -> list[str]:
    rows, row = [], ""
    for word in text.split():
        if row and len(row) + 1 + len(word) > letters:
            rows.append(row)
            row = word
        else:
            row = f"{row} {word}".strip()
    return [*rows, row]


def _turned(seg: Segment, middle: float) -> Segment:
    return tuple([complex(2 * middle - z.real, z.imag) for z in seg])


def _corners(item: Item) -> Iterable[complex]:
    if isinstance(item, Line):
        return [*item.points, *[z for seg in item.segments for z in seg]]
    way = cmath.rect(1.0, math.radians(item.turn))
    wide = width_of(item.words, item.size)
    start = item.at - way * (wide / 2 if item.anchor == "middle" else wide if item.anchor == "end" else 0.0)
    high = way * 1j * item.size / 2
    return [start - high, start + high, start + way * wide - high, start + way * wide + high]


def shifted(item: Item, by: complex) -> Item:
    """Return an item moved on the page."""
    if isinstance(item, Line):
        segments = tuple([tuple([z + by for z in seg]) for seg in item.segments])
        return item._replace(points=tuple([z + by for z in item.points]), segments=segments)
    return item._replace(at=item.at + by)


def _section(stack: Stack) -> tuple[complex, complex]:
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


def _folds(stack: Stack, right_side: bool) -> tuple[list[Item], list[Item], list[Item], list[Item]]:
    seen: list[Item] = []
    hidden: list[Item] = []
    shadows: list[Item] = []
    labels: list[Item] = []
    taken: dict[tuple[int, int], list[complex]] = {}
    named: dict[int, tuple[int, bool, complex, complex, complex]] = {}
    for number, tag, a, b in stack.crease_edges():
        span = stack.creases[tag]
        sheet = stack.sheets[number]
        outer = span.outer == right_side
        inward = _inward(sheet.points, a, b)
        longest: tuple[float, complex, complex] | None = None
        for part in stack.parts(number, a, b):
            look = ("outer" if span.outer else "stitched" if span.line.role == "stitch-line" else "inner") + (
                "-seen" if part.seen else "-hidden"
            )
            first, last = sorted((part.start, part.end), key=lambda z: (z.imag, z.real))  # so that dashes fall together
            if part.seen and not outer and abs(last - first) < 2:
                continue  # where a hinged pleat dies away
            (seen if part.seen else hidden).append(Line(look, (first, last)))
            if part.seen and outer:
                shadows += [
                    Line("shadow", (part.start, part.end, part.end - inward * w, part.start - inward * w), True)
                    for w in _SHADOW
                ]
                length = abs(part.end - part.start)
                if longest is None or length > longest[0]:
                    longest = (length, part.start, part.end)
        if longest is not None and outer and longest[0] > 30:
            # Once for each fold: on its upper part where that is long enough, else on its longest.
            mine = (span.line.pleat, span.outer, longest[1], longest[2], inward)
            if tag not in named or _name_rank(mine) > _name_rank(named[tag]):
                named[tag] = mine
    # From the left (or the top). In a crowd only every tenth is named, on a plate.
    wanted = sorted(named.values(), key=lambda w: ((w[2] + w[3]).real, (w[2] + w[3]).imag))
    crowd = _crowded(wanted)
    last_pleat = max([w[0] for w in wanted], default=0)
    for pleat, fold, a, b, inward in wanted:
        if crowd and pleat % 10 and pleat not in (1, last_pleat):
            continue
        words = f"{'FOLD' if fold else 'INNER FOLD'} {pleat}"
        top, hem = (a, b) if (a.imag, a.real) < (b.imag, b.real) else (b, a)
        if abs((b - a).real) > abs((b - a).imag) and top.real > hem.real:
            top, hem = hem, top
        way = (hem - top) / abs(hem - top)
        at = top + way * (8 + width_of(words, _NAME_SIZE) / 2) + inward * (1.8 + _NAME_SIZE * CAPITALS / 2)
        cell = (round(at.real / 20), round(at.imag / 20))
        near = [z for dx in (-1, 0, 1) for dy in (-1, 0, 1) for z in taken.get((cell[0] + dx, cell[1] + dy), ())]
        if any(abs(((z - at) * way.conjugate()).imag) < _NAME_SIZE + 0.8 for z in near):
            continue
        taken.setdefault(cell, []).append(at)
        turn = math.degrees(cmath.phase(way))
        turn = turn - 180 if turn > 80 else turn + 180 if turn <= -100 else turn
        if crowd:
            half, high = way * (width_of(words, _NAME_SIZE) / 2 + 0.8), inward * (_NAME_SIZE / 2 + 0.3)
            labels.append(Line("plate", (at - half - high, at + half - high, at + half + high, at - half + high), True))
        labels.append(Text(words, at, turn, _NAME_SIZE))
    return seen, hidden, shadows, labels


def _name_rank(wanted: tuple[int, bool, complex, complex, complex]) -> tuple[bool, float]:
    _, _, a, b, _ = wanted
    length = abs(b - a)
    return (True, -(a + b).imag - (a + b).real) if length > 60 else (False, length)


def _crowded(wanted: Sequence[tuple[int, bool, complex, complex, complex]]) -> bool:
    # Whether most folds lie too near to the next for a name between them.
    tight = total = 0
    for (_, _, a, b, _), (_, _, c, d, _) in pairwise(wanted):
        way = (b - a) / abs(b - a)
        total += 1
        tight += abs((((c + d) / 2 - (a + b) / 2) * way.conjugate()).imag) < _NAME_SIZE + 2.5
    return tight * 2 > total


def _inward(points: tuple[complex, ...], a: complex, b: complex) -> complex:
    total = 0.0
    last = points[-1]
    for z in points:
        total += last.real * z.imag - last.imag * z.real
        last = z
    return (b - a) / abs(b - a) * (1j if total > 0 else -1j) if a != b else 0j


def _centre(proof: Proof, middle: float, right_side: bool) -> list[Item]:
    centre = proof.passes[-1].centre
    if centre is None:
        return []
    return [Line("centre", centre if right_side else _turned(centre, middle))]


def _grain(done: FoldedPass, turned_about: float | None) -> list[Item]:
    found: list[Item] = []
    for strokes in done.grain[:1]:
        parts = parted(strokes[0], done)
        layer = parts[0][1]
        motion = done.layers[layer].motion
        for stroke in done.grain:
            for seg in stroke:
                laid = moved(seg, motion)
                found.append(Line("grain", segments=(laid if turned_about is None else _turned(laid, turned_about),)))
    return found


def ring(spot: complex, radius: float = 5.0) -> list[Item]:
    """Return a ring round a place."""
    circle = tuple([spot + radius * cmath.exp(1j * math.tau * k / 24) for k in range(24)])
    return [Line("ring", circle, True)]


def _plate(at: complex, wide: float, high: float) -> Line:
    w, h = wide / 2, high / 2
    return Line("plate", (at + complex(-w, -h), at + complex(w, -h), at + complex(w, h), at + complex(-w, h)), True)


def _numbers(cuts: Sequence[Cut], zones: Sequence[Zone], origin: complex, along: complex) -> list[Item]:
    if not zones:
        return []
    start, end = zones[0].start - 9, zones[-1].end + 9
    items: list[Item] = [Line("section", (origin + along * start, origin + along * end))]
    for stop, side in ((start, -1), (end, 1)):
        items.append(Text("A", origin + along * (stop + side * 3.2)))
    for zone in zones:
        if _has_room(zone, along):
            at = origin + along * (zone.start + zone.end) / 2
            items += [_plate(at, 4.0 if zone.layers < 10 else 6.4, 4.6), Text(str(zone.layers), at, look="count")]
    return items


def _has_room(zone: Zone, along: complex) -> bool:
    return zone.end - zone.start >= (_NARROWEST if zone.layers < 10 or along.imag else _NARROWEST + 2.5)


def _on_edge(
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
