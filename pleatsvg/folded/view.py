"""What the folded picture shows: the piece from one side, the folds seen and hidden, the layers, and a cut through it.

Everything is in mm. The picture is made of simple items under the name of a look; how a look is drawn is the writer's.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from pleatsvg.folded.cautions import (
    bulk_caution,
    clash_caution,
    curve_words,
    released_words,
    slit_words,
    where_thick,
)
from pleatsvg.folded.items import Item, Layer, Line, Text, corners, ring
from pleatsvg.folded.kick import clip_marks, slants
from pleatsvg.folded.moves import Bringing
from pleatsvg.folded.section import layer_numbers, on_edge, section_line
from pleatsvg.folded.stack import (
    DRAWN_LOOKS,
    Stack,
    Thickest,
    Zone,
    area_of,
    crossing_folds,
    cut_through,
    stack_of,
    thickest,
    zones_of,
)
from pleatsvg.folded.upright import laid, upright
from pleatsvg.geometry.motion import bearing, moved
from pleatsvg.geometry.nearest import Tree
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Box, Segment, box_of
from pleatsvg.proof.figures import Proof
from pleatsvg.proof.fold_drawn import parted
from pleatsvg.proof.folded_pass import FoldedPass
from pleatsvg.result.lettering import CAPITALS, width_of
from pleatsvg.tolerance import BULKY

_NAME_SIZE = 5.0


_SHADOW = (0.9, 1.8, 2.8)


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


def views_of(proof: Proof, right_side: bool, bare: bool = False) -> list[View]:
    """Return a proven piece as it looks from one side: a fitted one in two parts, as its cloth lies above the level
    at which its lines bend and below.

    Args:
        proof: of the piece.
        right_side, bare: as of `view_of`.
    """
    above = proof.passes[0].above
    if above is None:
        return [view_of(proof, right_side, bare)]
    parts = [
        replace(proof, piece=f"{proof.piece}, {done.zone_words}", passes=(done,)) for done in (above, proof.passes[0])
    ]
    return [view_of(part, right_side, bare) for part in parts]


def shown_outline(done: FoldedPass) -> tuple[Segment, ...]:
    """Return the finished line of a pass; of a zone of a fitted piece, that of the zone, closed along the level."""
    if done.cover is None:
        return done.finished.segments
    finished = done.finished
    found = [finished.part(s) for s in finished.stretches(*done.cover)]
    above = done.zone == "above"
    hips = [
        done.layers[k].motion.of(crease.hem if above else crease.top)
        for k, crease in enumerate(done.creases)
        if crease.brought
    ]
    spots = [found[-1][-1], *(hips[::-1] if above else hips), found[0][0]]
    return (*found, *pairwise(spots))


def view_of(proof: Proof, right_side: bool, bare: bool = False) -> View:
    """Return a proven piece as it looks from one side.

    Args:
        proof: of the piece.
        right_side: seen on the right side of the cloth, else on the wrong side, turned over left for right.
        bare: without what the person drew on it, for its figures alone.
    """
    turn = upright(proof.passes[0])
    stack = laid(stack_of(proof.passes, bare=bare), turn)
    thick = thickest(stack)._replace(ends=proof.passes[0].ends_of_zone)
    shown = outline = tuple([moved(seg, turn) for seg in shown_outline(proof.passes[-1])])
    average = _average(proof, stack, outline)
    left, _, right, _ = box_of([z for seg in outline for z in seg])
    middle = (left + right) / 2
    if not right_side:
        stack = stack.turned(middle)
        outline = tuple([_turned(seg, middle) for seg in outline])
    origin, along = section_line(stack)
    cuts = cut_through(stack, origin, along)
    zones = zones_of(cuts)
    clashes = crossing_folds(stack, cuts)
    sides = [side for done in proof.passes for side in _sides(done)]
    drawn = _drawn(stack)
    curves = [(item.points[0], item.points[1]) for item in drawn if item.look == "shaping"]
    seen, hidden, shadows, labels = _folds(stack, right_side, sides, (origin, along), curves)
    layers = [
        Layer("cloth", "Cloth", [Line("cloth-right" if right_side else "cloth-wrong", segments=outline, closed=True)]),
        Layer("shading", "Shading by layers", [Line("shade", sheet.points, True) for sheet in stack.sheets]),
        Layer("shadows", "Shadows at the folds", shadows),
        Layer("hidden-folds", "Hidden folds", hidden),
        Layer("seen-folds", "Folds that are seen", seen),
        Layer("drawn", "Lines of the drawing", drawn),
        Layer(
            "outline",
            "Finished seam",
            [*_centre(proof, shown, middle, right_side), Line("outline", segments=outline, closed=True)],
        ),
    ]
    words: list[Item] = [*labels]
    kicks = _kicks(proof, None if right_side else middle)
    if kicks:
        layers.append(Layer("kicks", "Tops of kick pleats", kicks))
    grain = _grain(proof.passes[-1], None if right_side else middle)
    if grain:
        layers.append(Layer("grain", "Grainline", grain))
    if thick.layers > BULKY:
        spot = thick.place if right_side else complex(2 * middle - thick.place.real, thick.place.imag)
        words += ring(spot)
    layers.append(Layer("section-line", "Cut A - A and numbers of layers", layer_numbers(cuts, zones, origin, along)))
    layers.append(
        Layer("section", "The cut A - A, seen on edge", on_edge(stack, cuts, zones, origin, along, outline, right_side))
    )
    layers.append(Layer("fold-names", "Lettering", words))
    box = box_of([z for layer in layers for item in layer.items for z in corners(item)])
    return View(
        tuple(layers),
        box,
        _rows(proof, thick, average, clashes, right_side),
        thick,
        clashes,
        average,
        tuple(sorted({zone.layers for zone in zones} | {1, thick.layers})),
        outline,
        tuple(zones),
    )


def _average(proof: Proof, stack: Stack, outline: tuple[Segment, ...]) -> float:
    # Of a zone its own cloth over its own outline: the areas of a proof are those of the whole piece.
    if not proof.passes[0].zone:
        return proof.flat_area / proof.finished_area
    return sum([abs(area_of(sheet.points)) for sheet in stack.sheets]) / abs(Outline(outline).area)


def _drawn(stack: Stack) -> list[Line]:
    # What the person drew, where no other cloth lies over it.
    return [
        Line(DRAWN_LOOKS.get(one.role, "carried"), (part.start, part.end))
        for number, sheet in enumerate(stack.sheets)
        for one in sheet.drawn
        if not one.pass_
        for part in stack.parts_drawn(number, one.points)
        if part.seen
    ]


def _kicks(proof: Proof, turned_about: float | None) -> list[Item]:
    # A pass with kick pleats is the only one of its piece.
    done = proof.passes[0]
    motions = [layer.motion for layer in done.layers]
    made = [item for item in (*slants(done, motions), *clip_marks(done, motions)) if isinstance(item, Line)]
    if turned_about is None:
        return [*made]
    return [line._replace(points=_turned(line.points, turned_about)) for line in made]


def _rows(proof: Proof, thick: Thickest, average: float, clashes: tuple[int, ...], right_side: bool) -> tuple[str, ...]:
    side = "RIGHT SIDE" if right_side else "WRONG SIDE, turned over left for right"
    where = where_thick(thick)
    rows = [
        f"{proof.piece}: folded",
        f"Seen from the {side}, true to scale. The outline is the finished seam; allowances are not shown.",
        f"Folded from its drawn lines; the largest miss is {proof.worst:.6f} mm.",
        f"Layers: {average:.2f} on average, at most {thick.layers} {where}.",
    ]
    for words in (slit_words(proof.passes), released_words(proof.passes), curve_words(proof.passes)):
        if words:
            rows += _wrapped(words, 110)
    caution = bulk_caution(thick)
    if caution:
        rows += _wrapped(caution, 110)
    if clashes:
        rows += _wrapped(clash_caution(clashes, thick.kinds), 110)
    return tuple(rows)


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


_DOWN = (8.0, 4.0, 14.0, 22.0, 32.0)
"""mm from the top of a fold to its name: the first of these at which no line runs through it."""


_ASIDE = (0.0, 4.0, 8.0)
"""mm farther from the fold, tried in turn where curves run along with it."""


class _Ways:
    """The lines of a picture that names are not to stand on."""

    def __init__(self, lines: Iterable[tuple[complex, complex]]) -> None:
        self._lines = tuple(lines)
        self._tree = Tree([box_of(line) for line in self._lines])

    def crossed(self, middle: complex, way: complex, wide: float) -> bool:
        """Return whether one runs through a name; `middle` is its middle, `way` the unit vector along which it is `wide`."""
        half = complex(wide / 2, _NAME_SIZE * CAPITALS / 2)
        reach = abs(half)
        around = (middle.real - reach, middle.imag - reach, middle.real + reach, middle.imag + reach)
        for k in self._tree.touching(around):
            a, b = ((z - middle) * way.conjugate() for z in self._lines[k])
            low, high = 0.0, 1.0
            for start, end, most in ((a.real, b.real, half.real), (a.imag, b.imag, half.imag)):
                if abs(end - start) < 1e-9:
                    if abs(start) > most:
                        high = -1.0
                    continue
                shares = sorted(((-most - start) / (end - start), (most - start) / (end - start)))
                low, high = max(low, shares[0]), min(high, shares[1])
            if low < high:
                return True
        return False


_Named = tuple[int, bool, complex, complex, complex, str]
"""A fold that is named: its pleat, whether it is an outer one, from where to where, the way into its cloth, its side."""


def _sides(done: FoldedPass) -> list[str]:
    # For each crease, what stands behind the number of its pleat: the side of a box pleat.
    sides = Bringing(done).sides
    return [sides.get(k, "") for k in range(len(done.creases))]


def _folds(
    stack: Stack,
    right_side: bool,
    sides: Sequence[str],
    section: tuple[complex, complex],
    curves: Sequence[tuple[complex, complex]],
) -> tuple[list[Item], list[Item], list[Item], list[Item]]:
    seen: list[Item] = []
    hidden: list[Item] = []
    shadows: list[Item] = []
    labels: list[Item] = []
    taken: dict[tuple[int, int], list[complex]] = {}
    named: dict[int, _Named] = {}
    for number, tag, a, b in stack.crease_edges():
        span = stack.creases[tag]
        sheet = stack.sheets[number]
        outer = span.mountain == right_side
        inward = _inward(sheet.points, a, b)
        longest: tuple[float, complex, complex] | None = None
        for part in stack.parts(number, a, b):
            look = f"{span.look}-{'seen' if part.seen else 'hidden'}"
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
            mine = (span.line.pleat, span.brought, longest[1], longest[2], inward, sides[tag])
            if tag not in named or _name_rank(mine) > _name_rank(named[tag]):
                named[tag] = mine
    # From the left (or the top). In a crowd only every tenth is named, on a plate.
    wanted = sorted(named.values(), key=lambda w: ((w[2] + w[3]).real, (w[2] + w[3]).imag))
    crowd = _crowded(wanted)
    left, top_of, right, bottom = stack.box
    far = abs(complex(right - left, bottom - top_of))
    lines = [(item.points[0], item.points[1]) for item in (*seen, *hidden) if isinstance(item, Line)]
    ways = _Ways([*lines, *curves, (section[0] - section[1] * far, section[0] + section[1] * far)])
    last_pleat = max([w[0] for w in wanted], default=0)
    for pleat, fold, a, b, inward, side in wanted:
        if crowd and pleat % 10 and pleat not in (1, last_pleat):
            continue
        words = f"{'FOLD' if fold else 'INNER FOLD'} {pleat}{side}"
        top, hem = (a, b) if (a.imag, a.real) < (b.imag, b.real) else (b, a)
        if abs((b - a).real) > abs((b - a).imag) and top.real > hem.real:
            top, hem = hem, top
        way = (hem - top) / abs(hem - top)
        wide = width_of(words, _NAME_SIZE)
        first = top + way * wide / 2 + inward * (1.8 + _NAME_SIZE * CAPITALS / 2)
        # As far down as it takes to be clear of other lines; where they run along with the fold, on a plate over them.
        # Beside a curve to stitch along it stands on its far side.
        spots = [first + way * far + inward * aside for aside in (_ASIDE if curves else (0.0,)) for far in _DOWN]
        clear = [
            spot
            for spot in spots
            if ((spot - top) / way).real + wide / 2 < abs(hem - top) - 2 and not ways.crossed(spot, way, wide)
        ]
        at = clear[0] if clear and not crowd else first + way * _DOWN[0]
        plated = crowd or not clear
        cell = (round(at.real / 20), round(at.imag / 20))
        near = [z for dx in (-1, 0, 1) for dy in (-1, 0, 1) for z in taken.get((cell[0] + dx, cell[1] + dy), ())]
        if any(abs(((z - at) * way.conjugate()).imag) < _NAME_SIZE + 0.8 for z in near):
            continue
        taken.setdefault(cell, []).append(at)
        turn = math.degrees(bearing(way))
        turn = turn - 180 if turn > 80 else turn + 180 if turn <= -100 else turn
        if plated:
            half, high = way * (wide / 2 + 0.8), inward * (_NAME_SIZE / 2 + 0.3)
            labels.append(Line("plate", (at - half - high, at + half - high, at + half + high, at - half + high), True))
        labels.append(Text(words, at, turn, _NAME_SIZE))
    return seen, hidden, shadows, labels


def _name_rank(wanted: _Named) -> tuple[bool, float]:
    _, _, a, b, _, _ = wanted
    length = abs(b - a)
    return (True, -(a + b).imag - (a + b).real) if length > 60 else (False, length)


def _crowded(wanted: Sequence[_Named]) -> bool:
    # Whether most folds lie too near to those of the next pleat for a name between them. Two that meet have it on either side.
    tight = total = 0
    for (pleat, _, a, b, _, _), (other, _, c, d, _, _) in pairwise(wanted):
        if pleat == other:
            continue
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


def _centre(proof: Proof, outline: tuple[Segment, ...], middle: float, right_side: bool) -> list[Item]:
    done = proof.passes[-1]
    if done.centre is None:
        return []
    centre = moved(done.centre, upright(done))
    if done.zone:  # as far as the cloth that is shown
        along = (centre[1] - centre[0]) / abs(centre[1] - centre[0])
        met = sorted([hit.along for hit in Outline(outline).crossings(centre[0], along)])
        centre = (centre[0] + along * met[0], centre[0] + along * met[-1])
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
