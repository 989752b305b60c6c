"""The folded piece as sheets of cloth that lie on one another: which is above which, how many there are, what is seen.

Order: cloth meets its creases one after another. At an outer fold the right side is outside, so the sheet that lies
right side up is the upper one of the two; at an inner fold, and at the stitching of a tuck, it is the lower. Each sheet
is put next to the one before it, so nothing comes to lie inside a fold but what is folded later.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

from pleatsvg.geometry.motion import STAY, Motion, moved, reflection
from pleatsvg.geometry.nearest import Tree, shares_within
from pleatsvg.geometry.segment import Box, Segment, box_of, point_at
from pleatsvg.proof.fold_drawn import stroke_parted
from pleatsvg.proof.folded_pass import FoldedPass, Span
from pleatsvg.proof.reassemble import lies_along

RAW = -1
"""Tag of an edge of a sheet that is no crease."""


CENTRE = -2
"""Tag of an edge along the fold edge of a piece cut on the fold, where the cloth goes on."""


BROKEN = -3
"""Tag of an edge at which a picture ends, and the cloth goes on."""


_FINE = 0.02
"""mm. How far the chords of a picture may stray from the curve: a tenth of the thinnest line."""


_EMPTY = 1e-3


_SHORTEST = 0.05
"""mm. A shorter part of a line is not shown."""


_INSIDE = 0.05
"""mm. What is asked about an edge is asked so far inside its sheet, clear of what touches it there."""


class Drawn(NamedTuple):
    """A line on a sheet that is no edge of it: a hip line or a pocket of the person's own, a placement line of an earlier pass.

    Attributes:
        role: its class.
        points: its corners in mm, curves as chords.
        pass_: of a line of a pleat, its pass; else 0.
    """

    role: str
    points: tuple[complex, ...]
    pass_: int = 0


DRAWN_LOOKS = {"balance-line": "balance", "shaping-line": "shaping"}
"""The looks of such lines in a picture by their class; all others are lines of the drawing."""


class Sheet(NamedTuple):
    """A piece of cloth without folds, where it lies when folded.

    Attributes:
        points: its corners in mm; curves as chords.
        tags: for each edge, from its corner to the next: the number of its crease, RAW or CENTRE.
        over: whether it shows its right side.
        drawn: what the person drew on it.
    """

    points: tuple[complex, ...]
    tags: tuple[int, ...]
    over: bool
    drawn: tuple[Drawn, ...] = ()


class Part(NamedTuple):
    """Part of an edge, from `start` to `end`, seen or hidden."""

    start: complex
    end: complex
    seen: bool


@dataclass(frozen=True)
class Stack:
    """Sheets from the lowest to the uppermost, and the creases that their tags name.

    Attributes:
        sheets: from the lowest up.
        creases: by tag.
        beyond: the creases of released tucks: tags from the number of creases on name what of each lies beyond the
            stitching, where the tuck opens.
    """

    sheets: tuple[Sheet, ...]
    creases: tuple[Span, ...]
    beyond: tuple[int, ...] = ()

    def crease(self, tag: int) -> Span:
        """Return the crease that a tag names, stitched there or not."""
        return self.creases[tag if tag < len(self.creases) else self.beyond[tag - len(self.creases)]]

    def turned(self, about: float) -> Stack:
        """Return the stack turned over, left for right about the line x = `about`."""

        def over(points: Sequence[complex]) -> tuple[complex, ...]:
            return tuple([complex(2 * about - z.real, z.imag) for z in points])

        flipped = [
            Sheet(over(s.points), s.tags, not s.over, tuple([d._replace(points=over(d.points)) for d in s.drawn]))
            for s in reversed(self.sheets)
        ]
        return Stack(tuple(flipped), self.creases, self.beyond)

    @cached_property
    def boxes(self) -> tuple[Box, ...]:
        """The box round each sheet."""
        return tuple([box_of(sheet.points) for sheet in self.sheets])

    @cached_property
    def tree(self) -> Tree:
        """The boxes, ready to be asked."""
        return Tree(self.boxes)

    @cached_property
    def box(self) -> Box:
        """The box round all."""
        return box_of([z for sheet in self.sheets for z in sheet.points])

    @cached_property
    def upright(self) -> bool:
        """Whether its creases run upright on the page, most of them; a later pass counts as much as the first."""
        downs = [span.hem - span.top for span in self.creases]
        return sum([abs(down.imag) - abs(down.real) for down in downs]) >= 0

    def count_at(self, z: complex) -> int:
        """Return how many sheets lie on one another at a point."""
        found = self.tree.touching((z.real, z.imag, z.real, z.imag))
        return sum(1 for k in found if holds(self.sheets[k].points, z))

    def crease_edges(self) -> Iterable[tuple[int, int, complex, complex]]:
        """Yield (sheet, crease, start, end) for each crease once: on that sheet of its two which lies nearer the eye; of
        the stitching of a released tuck as far as it goes.

        At a mountain the nearer sheet shows its right side, from whichever side one looks.
        """
        for k, sheet in enumerate(self.sheets):
            for j, tag in enumerate(sheet.tags):
                if tag >= len(self.creases):
                    tag = self.beyond[tag - len(self.creases)]
                    if self.creases[tag].look == "stitched":
                        continue
                if tag >= 0 and sheet.over == self.creases[tag].mountain:
                    yield k, tag, sheet.points[j], sheet.points[(j + 1) % len(sheet.points)]

    def parts(self, number: int, a: complex, b: complex) -> list[Part]:
        """Return an edge of a sheet in the parts that are seen and hidden."""
        length = abs(b - a)
        if length < 1e-6:
            return []
        sheet = self.sheets[number]
        inward = (b - a) / length * (1j if area_of(sheet.points) > 0 else -1j) * _INSIDE
        return self._parts_beside(number, a, b, inward)

    def parts_drawn(self, number: int, points: Sequence[complex]) -> list[Part]:
        """Return what is drawn on a sheet, from corner to corner, in the parts that are seen and hidden."""
        if all(k <= number for k in self.tree.touching(box_of(points))):
            # No cloth lies over any of it.
            return [Part(a, a + (b - a), True) for a, b in pairwise(points) if abs(b - a) > _SHORTEST]
        return [part for a, b in pairwise(points) if a != b for part in self._parts_beside(number, a, b, 0j)]

    def _parts_beside(self, number: int, a: complex, b: complex, inward: complex) -> list[Part]:
        length = abs(b - a)
        p, q = a + inward, b + inward
        box = box_of((p, q))
        hidden: list[tuple[float, float]] = []
        for k in self.tree.touching(box):
            if k > number:
                hidden += _within(self.sheets[k].points, p, q)
        stops, seen_to = [], 0.0
        for start, end in sorted(hidden):
            if start > seen_to + 1e-9:
                stops.append((seen_to, start, True))
            if end > seen_to:
                if stops and not stops[-1][2]:
                    stops[-1] = (stops[-1][0], end, False)
                else:
                    stops.append((max(seen_to, start), end, False))
                seen_to = end
        if seen_to < 1 - 1e-9:
            stops.append((seen_to, 1.0, True))
        return [Part(a + s * (b - a), a + e * (b - a), seen) for s, e, seen in stops if (e - s) * length > _SHORTEST]


def area_of(points: Sequence[complex]) -> float:
    """Return the area of a polygon in mm2, positive clockwise on the page."""
    total = 0.0
    last = points[-1]
    for z in points:
        total += last.real * z.imag - last.imag * z.real
        last = z
    return total / 2


def holds(points: Sequence[complex], z: complex) -> bool:
    """Return whether a point lies inside a polygon (even-odd)."""
    inside = False
    x, y = z.real, z.imag
    a = points[-1]
    for b in points:
        if (a.imag > y) != (b.imag > y) and x < a.real + (y - a.imag) / (b.imag - a.imag) * (b.real - a.real):
            inside = not inside
        a = b
    return inside


def _within(points: Sequence[complex], p: complex, q: complex) -> list[tuple[float, float]]:
    # The shares of a straight line between which it lies inside a polygon.
    step = q - p
    flip = step.conjugate() / abs(step) ** 2
    local = [(z - p) * flip for z in points]
    hits: list[float] = []
    a = local[-1]
    for b in local:
        if (a.imag > 0) != (b.imag > 0):
            hits.append(a.real - a.imag * (b.real - a.real) / (b.imag - a.imag))
        a = b
    hits.sort()
    found = []
    for start, end in zip(hits[::2], hits[1::2], strict=False):
        start, end = max(0.0, start), min(1.0, end)
        if end > start:
            found.append((start, end))
    return found


def stack_of(
    passes: Sequence[FoldedPass],
    folded: Mapping[int, AbstractSet[int]] | None = None,
    drawn_half: bool = False,
    bare: bool = False,
) -> Stack:
    """Return the sheets of a piece.

    Args:
        passes: the last one first, as they are folded.
        folded: for each pass (by its number) which of its creases are folded, by their places; all where it is None.
        drawn_half: of a piece cut on the fold, that half alone which is drawn.
        bare: without what the person drew on the cloth, where layers alone are asked for.
    """
    creases: list[Span] = []
    sheets: list[Sheet] | None = None
    whole = False
    every = [crease for done in passes for crease in done.creases]
    beyond = tuple([k for k, crease in enumerate(every) if crease.released])
    opening = {k: len(every) + n for n, k in enumerate(beyond)}
    for done in passes:
        first = len(creases)
        creases += done.creases
        on = [folded is None or k in folded.get(done.number, set()) for k in range(len(done.creases))]
        motions = partial_motions(done, on)
        order = order_of(done, motions, on)
        edge = fold_edge_of(done)
        if sheets is None:
            flat = [[] for _ in done.layers] if bare else _drawn_by_layer(done, edge)
            laid = [_sheet(done, k, first, flat[k]) for k in range(len(motions))]
            if edge is not None and drawn_half:
                laid = [_on_drawn_half(sheet, done, k, edge) for k, sheet in enumerate(laid)]
            sheets = [_moved(_opened(laid[k], done, first, opening), motions[k]) for k in order]
        else:
            if edge is not None and not whole:
                # The passes before ran across the fold edge, on half of the piece: here begins the whole.
                sheets = [_beside_centre(sheet, edge[1]) for sheet in sheets]
                sheets += [] if drawn_half else [_mirrored(sheet, edge[1]) for sheet in sheets]
            clipped: list[Sheet] = []
            for k in order:
                own = reversed(sheets) if motions[k].flips else sheets
                parts = [part for sheet in own if (part := _clipped(sheet, done, k, first)) is not None]
                clipped += [_moved(_opened(part, done, first, opening), motions[k]) for part in parts]
            sheets = clipped
        whole = whole or edge is not None
        sheets = [sheet for sheet in sheets if len(sheet.points) > 2 and abs(area_of(sheet.points)) > _EMPTY]
    return Stack(tuple(sheets or ()), tuple(creases), beyond)


def fold_edge_of(done: FoldedPass) -> tuple[int, tuple[complex, complex]] | None:
    """Return the layer that holds the fold edge, and the edge on it, flat; None where it is not folded as two halves."""
    if done.centre is None:
        return None
    halves = any(crease.other_half for crease in done.creases)
    home = len(done.creases) // 2 if halves else done.base
    motion = done.layers[home].motion
    return home, (motion.back(done.centre[0]), motion.back(done.centre[1]))


def _drawn_by_layer(done: FoldedPass, edge: tuple[int, tuple[complex, complex]] | None) -> list[list[Drawn]]:
    # What the person drew on the piece, layer by layer, flat; of a piece cut on the fold on both halves.
    found: list[list[Drawn]] = [[] for _ in done.layers]
    flips = [STAY] if edge is None else [STAY, reflection(*edge[1])]
    for line in done.carried:
        pass_ = line.pass_ if line.role == "placement-line" else 0
        for flip in flips:
            for stroke in line.strokes:
                layer, points = -1, [0j]
                for part, on in stroke_parted([moved(seg, flip) for seg in stroke], done):
                    chords = [point_at(part, t) for t in shares_within(part, _FINE)]
                    if on == layer:
                        points += chords[1:]
                        continue
                    if layer >= 0:
                        found[layer].append(Drawn(line.role, tuple(points), pass_))
                    layer, points = on, chords
                if layer >= 0:
                    found[layer].append(Drawn(line.role, tuple(points), pass_))
    return found


def _moved(sheet: Sheet, motion: Motion) -> Sheet:
    drawn = tuple([one._replace(points=tuple([motion.of(z) for z in one.points])) for one in sheet.drawn])
    return Sheet(tuple([motion.of(z) for z in sheet.points]), sheet.tags, sheet.over != motion.flips, drawn)


def _mirrored(sheet: Sheet, edge: tuple[complex, complex]) -> Sheet:
    # As it lies on the other half: its mirror image, with the same side up.
    return _moved(sheet, reflection(*edge))._replace(over=sheet.over)


def _beside_centre(sheet: Sheet, edge: tuple[complex, complex]) -> Sheet:
    ends = [*sheet.points[1:], sheet.points[0]]
    tags = [
        CENTRE if tag == RAW and lies_along((a, b), edge) else tag
        for a, b, tag in zip(sheet.points, ends, sheet.tags, strict=True)
    ]
    return sheet._replace(tags=tuple(tags))


def _on_drawn_half(sheet: Sheet, done: FoldedPass, number: int, edge: tuple[int, tuple[complex, complex]]) -> Sheet:
    # A flat sheet, or what of it lies on the half that is drawn; a sheet without corners where that is nothing.
    home, (top, hem) = edge
    others = [k for k, crease in enumerate(done.creases) if crease.other_half]
    first = bool(others) and others[0] == 0  # whether the other half comes first in the cloth
    if number != home:
        return sheet if (number > home) == first else Sheet((), (), True)
    own = next((crease for crease in done.creases if not crease.other_half), None)
    side = _side((own.top + own.hem) / 2, top, hem) if own is not None else 1.0
    if own is not None and abs(side) < _EMPTY:
        side = -1.0
    return _half(sheet, top, hem, 1.0 if side > 0 else -1.0, CENTRE)


def half_of(sheet: Sheet, top: complex, hem: complex, inside: complex) -> Sheet:
    """Return what of a sheet lies on that side of the line from `top` to `hem` on which a point lies, cut off there."""
    return _half(sheet, top, hem, 1.0 if _side(inside, top, hem) > 0 else -1.0, BROKEN)


def _side(z: complex, top: complex, hem: complex) -> float:
    return ((z - top) * ((hem - top) / abs(hem - top)).conjugate()).imag


def _half(sheet: Sheet, top: complex, hem: complex, sign: float, tag: int) -> Sheet:
    # What of a sheet lies on one side of a line.
    points, tags = list(sheet.points), list(sheet.tags)
    points, tags = _halved(points, tags, [sign * _side(z, top, hem) for z in points], tag)
    drawn = []
    for one in sheet.drawn:
        w = [sign * _side(z, top, hem) for z in one.points]
        drawn += [one._replace(points=run) for run in _runs_above(one.points, w)]
    return Sheet(tuple(points), tuple(tags), sheet.over, tuple(drawn))


def _runs_above(points: Sequence[complex], w: Sequence[float]) -> list[tuple[complex, ...]]:
    # An open chain of chords cut along a line: the runs of it that have w above 0.
    runs: list[list[complex]] = []
    going = False
    for k, ((a, b), (wa, wb)) in enumerate(zip(pairwise(points), pairwise(w), strict=True)):
        if k == 0 and wa > 0:
            runs.append([a])
            going = True
        if wa <= 0 < wb:
            runs.append([a + (b - a) * (wa / (wa - wb)), b])
            going = True
        elif wb <= 0 < wa:
            runs[-1].append(a + (b - a) * (wa / (wa - wb)))
            going = False
        elif going:
            runs[-1].append(b)
    return [tuple(run) for run in runs]


def partial_motions(done: FoldedPass, on: Sequence[bool]) -> list[Motion]:
    """Return the motion of every layer where only some creases are folded, the base layer staying in its place."""
    flips = [reflection(span.top, span.hem) if folded else STAY for span, folded in zip(done.creases, on, strict=True)]
    after = [STAY]
    for flip in flips[done.base :]:
        after.append(after[-1].after(flip))
    before = [STAY]
    for flip in reversed(flips[: done.base]):
        before.append(before[-1].after(flip))
    return before[:0:-1] + after


def order_of(done: FoldedPass, motions: Sequence[Motion], on: Sequence[bool]) -> list[int]:
    """Return the layers of a pass from the lowest to the uppermost where only some creases are folded.

    Args:
        done: the pass.
        motions: of its layers, cf. `partial_motions`.
        on: for each crease, whether it is folded.
    """
    # As links: what lies above and below each layer.
    above: dict[int, int | None] = {0: None}
    below: dict[int, int | None] = {0: None}
    for k, crease in enumerate(done.creases):
        last, new = k, k + 1
        # The sheet that is right side up is the upper at a mountain; where nothing is folded either will do.
        up = crease.mountain == (not motions[new].flips) if on[k] else True
        if up:
            beyond = above[last]
            above[last], below[new], above[new] = new, last, beyond
            if beyond is not None:
                below[beyond] = new
        else:
            beyond = below[last]
            below[last], above[new], below[new] = new, last, beyond
            if beyond is not None:
                above[beyond] = new
    here: int | None = next(k for k, under in below.items() if under is None)
    order: list[int] = []
    while here is not None:
        order.append(here)
        here = above[here]
    return order


def _sheet(done: FoldedPass, number: int, first: int, drawn: Sequence[Drawn]) -> Sheet:
    # A layer of the pass that is folded first, flat.
    points: list[complex] = []
    tags: list[int] = []

    def run(segments: Iterable[Segment]) -> None:
        for seg in segments:
            for t in shares_within(seg, _FINE)[:-1]:
                points.append(point_at(seg, t))
                tags.append(RAW)

    runs = done.layers[number].runs
    last = len(done.creases)
    if not last:
        run(runs[0])
    elif number == 0:
        crease = done.creases[0]
        run(runs[0])
        if done.zone == "below" and runs[0]:  # along the hip level from the side
            points.append(runs[0][-1][-1])
            tags.append(RAW)
        points += [crease.top]
        tags += [first]
        if done.zone == "above" and runs[0]:  # along it to the side
            points.insert(0, crease.hem)
            tags.insert(0, RAW)
        elif runs[0]:
            points[0] = crease.hem
        else:
            points, tags = [], []
    elif number == last:
        if done.zone == "below":
            points.append(done.creases[-1].top)
            tags.append(RAW)
        run(runs[0])
        if done.zone == "above" and runs[0]:
            points.append(runs[0][-1][-1])
            tags.append(RAW)
        points += [done.creases[-1].hem]
        tags += [first + last - 1]
    else:
        before, after = done.creases[number - 1], done.creases[number]
        if runs[0]:
            run(runs[0])
        else:
            points.append(before.top)
            tags.append(RAW)
        points.append(after.top)
        tags.append(first + number)
        if runs[1]:
            run(runs[1])
        else:
            points.append(after.hem)
            tags.append(RAW)
        points.append(before.hem)
        tags.append(first + number - 1)
    return Sheet(tuple(points), tuple(tags), True, tuple(drawn))


def _clipped(sheet: Sheet, done: FoldedPass, number: int, first: int) -> Sheet | None:
    # The part of a sheet that lies on one layer of the next pass, before that is folded.
    for k, sign in ((number - 1, 1.0), (number, -1.0)):
        if 0 <= k < len(done.creases):
            crease = done.creases[k]
            sheet = _half(sheet, crease.top, crease.hem, -sign * done.hand, first + k)
            if len(sheet.points) < 3:
                return None
    return sheet


def _opened(sheet: Sheet, done: FoldedPass, first: int, opening: Mapping[int, int]) -> Sheet:
    # The edges of a sheet, flat, along the creases of released tucks parted where their stitching begins and ends.
    if opening.keys().isdisjoint(sheet.tags):
        return sheet
    points: list[complex] = []
    tags: list[int] = []
    for j, (a, tag) in enumerate(zip(sheet.points, sheet.tags, strict=True)):
        stops = [(a, tag)]
        if tag in opening and tag >= first:
            b = sheet.points[(j + 1) % len(sheet.points)]
            start, end = done.creases[tag - first].stitched
            low, high = sorted(((z - a) / (b - a)).real for z in (start, end)) if b != a else (0.0, 1.0)
            least = _SHORTEST / abs(b - a) if b != a else 0.0
            inside = [share for share in (low, high) if least < share < 1 - least]
            for share, until in pairwise([0.0, *inside, 1.0]):
                stitched = low <= (share + until) / 2 <= high
                stops.append((a + share * (b - a), tag if stitched else opening[tag]))
            del stops[0]
        points += [z for z, _ in stops]
        tags += [named for _, named in stops]
    return sheet._replace(points=tuple(points), tags=tuple(tags))


def _halved(points: list[complex], tags: list[int], w: list[float], tag: int) -> tuple[list[complex], list[int]]:
    # A polygon cut along a line: what has w above 0 is kept, the new edge bears the tag.
    kept: list[complex] = []
    named: list[int] = []
    n = len(points)
    for j in range(n):
        a, b = points[j], points[(j + 1) % n]
        wa, wb = w[j], w[(j + 1) % n]
        if wa >= 0:
            kept.append(a)
            named.append(tags[j] if wb >= 0 or wa > 0 else tag)
            if wb < 0 < wa:
                kept.append(a + (b - a) * (wa / (wa - wb)))
                named.append(tag)
        elif wb > 0:
            kept.append(a + (b - a) * (wa / (wa - wb)))
            named.append(tags[j])
    return kept, named


class Cut(NamedTuple):
    """Where a sheet is cut through: from `start` to `end` in mm along the cut, with the tags of the edges there."""

    sheet: int
    start: float
    end: float
    start_tag: int
    end_tag: int


def cut_through(stack: Stack, origin: complex, along: complex) -> list[Cut]:
    """Return what a straight cut through the stack meets, sheet by sheet from the lowest up."""
    found: list[Cut] = []
    flip = along.conjugate()
    for k in stack.tree.on_line(origin, along, 0.0):
        sheet = stack.sheets[k]
        local = [(z - origin) * flip for z in sheet.points]
        hits: list[tuple[float, int]] = []
        for j, a in enumerate(local):
            b = local[(j + 1) % len(local)]
            if (a.imag > 0) != (b.imag > 0):
                hits.append((a.real - a.imag * (b.real - a.real) / (b.imag - a.imag), sheet.tags[j]))
        hits.sort()
        for (start, tag), (end, other) in zip(hits[::2], hits[1::2], strict=False):
            if end - start > 0.02:
                found.append(Cut(k, start, end, tag, other))
    return found


class Zone(NamedTuple):
    """Where a cut meets always the same number of layers: from `start` to `end` in mm along the cut."""

    start: float
    end: float
    layers: int


def zones_of(cuts: Sequence[Cut], least: float = 0.1) -> list[Zone]:
    """Return the zones of a cut in order; those narrower than `least` mm go with their neighbours."""
    steps = sorted([(cut.start, 1) for cut in cuts] + [(cut.end, -1) for cut in cuts])
    zones: list[Zone] = []
    layers, begun = 0, 0.0
    for at, change in steps:
        if layers and at - begun > least:
            if zones and zones[-1].layers == layers and begun - zones[-1].end <= least:
                zones[-1] = Zone(zones[-1].start, at, layers)
            else:
                zones.append(Zone(begun, at, layers))
        layers += change
        begun = at
    return zones


def spaces_of(cuts: Sequence[Cut], least: float = 0.1) -> list[Zone]:
    """Return the spaces of a cut between one edge of a sheet and the next, in order, with their layers."""
    stops = sorted([at for cut in cuts for at in (cut.start, cut.end)])
    kept = stops[:1]
    for at in stops[1:]:
        if at - kept[-1] > least:
            kept.append(at)
    changes = sorted([(cut.start, 1) for cut in cuts] + [(cut.end, -1) for cut in cuts])
    found: list[Zone] = []
    layers = k = 0
    for start, end in pairwise(kept):
        while k < len(changes) and changes[k][0] <= (start + end) / 2:
            layers += changes[k][1]
            k += 1
        if layers:
            found.append(Zone(start, end, layers))
    return found


class Thickest(NamedTuple):
    """The most layers: how many, at which pleats, at which shares of the piece's height (of its width where creases run
    level), one such place, whether the creases run upright, the kind of
    each pleat of the piece by its number, and what the two ends of what is shown are called, where it is not the whole."""

    layers: int
    pleats: tuple[int, ...]
    shares: tuple[float, ...]
    place: complex
    upright: bool
    kinds: Mapping[int, str] = MappingProxyType({})
    ends: tuple[str, str] | None = None


_SHARES = (0.03, 0.2, 0.4, 0.6, 0.8, 0.97)


def thickest(stack: Stack) -> Thickest:
    """Return where the most layers lie on one another, asked beside every crease at several heights.

    A zone always begins at a crease, on the side where its cloth is; zones narrower than half a millimetre do not count.
    """
    most = 0
    pleats: list[int] = []
    shares: list[float] = []
    place, central = 0j, 1.0
    box, upright = stack.box, stack.upright
    for sheet in stack.sheets:
        hand = 1j if area_of(sheet.points) > 0 else -1j
        for j, tag in enumerate(sheet.tags):
            if tag < 0:
                continue
            a, b = sheet.points[j], sheet.points[(j + 1) % len(sheet.points)]
            if abs(b - a) < 1.0:
                continue
            inward = (b - a) / abs(b - a) * hand * 0.5
            span = stack.crease(tag)
            for share in _SHARES:
                z = a + (b - a) * share + inward
                count = stack.count_at(z)
                if count < most:
                    continue
                if count > most:
                    most, central = count, 1.0
                    pleats.clear()
                    shares.clear()
                if abs(share - 0.5) < central - 0.01:
                    place, central = z, abs(share - 0.5)
                pleats.append(span.line.pleat)
                shares.append(
                    (z.imag - box[1]) / (box[3] - box[1]) if upright else (z.real - box[0]) / (box[2] - box[0])
                )
    if not most and stack.sheets:
        most = 1
    kinds = kinds_of(stack)
    return Thickest(
        most, tuple(sorted(set(pleats))), tuple(sorted({round(s, 2) for s in shares})), place, upright, kinds
    )


def kinds_of(stack: Stack) -> dict[int, str]:
    """Return the kind of each pleat of a piece, by its number."""
    return {span.line.pleat: span.line.tag.kind for span in stack.creases}


def crossing_folds(stack: Stack, cuts: Sequence[Cut]) -> tuple[int, ...]:
    """Return the pleats at whose folds other cloth would have to pass through the fold, along a cut."""
    ends: dict[int, list[tuple[int, float]]] = {}
    for cut in cuts:
        for at, tag in ((cut.start, cut.start_tag), (cut.end, cut.end_tag)):
            if tag >= 0:
                ends.setdefault(tag, []).append((cut.sheet, at))
    by_start = sorted(cuts, key=lambda cut: cut.start)
    starts = [cut.start for cut in by_start]
    widest = max([cut.end - cut.start for cut in cuts], default=0.0)
    found: set[int] = set()
    for tag, pair in ends.items():
        if len(pair) != 2:
            continue
        low, high = sorted(sheet for sheet, _ in pair)
        at = (pair[0][1] + pair[1][1]) / 2
        if high - low < 2:
            continue
        for cut in by_start[bisect_left(starts, at - widest) : bisect_right(starts, at - 0.5)]:
            if low < cut.sheet < high and cut.end > at + 0.5:
                found.add(stack.crease(tag).line.pleat)
    return tuple(sorted(found))
