"""Lap arrows, balance lines and the grain against the lines of the pleats."""

from __future__ import annotations

import math
from collections.abc import Sequence

from pleatsvg.geometry.motion import bearing, reflection
from pleatsvg.geometry.nearest import FoundOutline, Nearest
from pleatsvg.geometry.segment import Segment, length_of, point_at
from pleatsvg.kinds import is_kick, noun_of
from pleatsvg.proof.figures import Most
from pleatsvg.proof.fold_drawn import parted
from pleatsvg.proof.folded_pass import FoldedPass, Layer, where
from pleatsvg.result.classes import SEEN_OF
from pleatsvg.result.pattern_lines import PatternLine, ResultPiece
from pleatsvg.tolerance import BALANCE_OFF, GRAIN_OFF, MARK_OFF, NOTCH_OFF

_TIP = 0.6
"""mm that the tip of an arrow stops short of its line, so that line and tip are both seen."""

_LONG = 5.0
"""mm from which the head of an arrow tells which way it points; in pin tucks and the like it is all head."""


def arrows_on_lines(piece: ResultPiece) -> Most:
    """Return how far lap arrows begin and end off the lines between which they lead (mm).

    An arrow leads from a fold line to the line that it is brought onto, from stitching line to stitching line on a tuck;
    its head lies there.
    """
    most = Most()
    lines: dict[tuple[int, int], list[PatternLine]] = {}
    for line in piece.lines:
        if line.pleat:
            lines.setdefault((line.pass_, line.pleat), []).append(line)
    last = max([line.pass_ for line in piece.lines], default=1)
    for arrow in piece.marks:
        if arrow.role != "lap-arrow" or arrow.pass_ < last:
            continue  # one of an earlier pass is parted where it lies across a later pleat
        own = lines.get((arrow.pass_, arrow.pleat), [])
        folds = [line for line in own if line.role == "fold-line" and set(line.folds) == set(arrow.folds)]
        onto = [line for line in own if line.role == "placement-line" and set(arrow.folds) <= set(line.folds)]
        stitches = [line for line in own if line.role == "stitch-line"]
        if stitches:  # brought over from the one that is no crease to the one that is, or the other way about
            folds = onto = stitches
        points = [z for stroke in arrow.strokes for seg in stroke for z in (seg[0], seg[-1])]
        kind = next((line.tag.kind for line in own), "")
        said = f"a lap arrow of {noun_of(kind)} {arrow.pleat}, {where(points[0])},"
        if not folds or not onto:
            most.see(math.inf, f"{said} belongs to no line and", MARK_OFF)
            continue
        at_fold, at_onto = Nearest(_chords(folds)), Nearest(_chords(onto))
        near, far = [at_fold.of(z).away for z in points], [at_onto.of(z).away for z in points]
        off = min(near)
        if not stitches:
            off = max(off, min(far) - _TIP)
            if max(near) > _LONG and sum(far) > sum(near):
                most.see(math.inf, f"{said} points away from the line that the fold is brought onto and", MARK_OFF)
                continue
        most.see(off, said, MARK_OFF)
    return most


_SIGNED = {
    "fold-end": ("fold-line",),
    "placement-end": ("placement-line",),
    "stitch-end": ("stitch-line",),
    "shaping-line": ("fold-line", "placement-line"),
    "shaping-end": ("fold-line", "placement-line"),
    **{seen: (name,) for name, seen in SEEN_OF.items()},
}
"""The lines that what is printed of a pleat lies along, by its class."""

PRINTED_ALONG = frozenset(_SIGNED)
"""Classes of what is printed along the lines of a pleat: what is seen of them, and their signs."""


def seen_on_lines(piece: ResultPiece) -> Most:
    """Return how far what is seen of lines lies beside the lines that fold, and their signs beside them (mm).

    A line that is shown in part is there twice: whole and without ink, as it is folded, and as it is marked on the cloth.
    A sign's strokes are crossed by the line in their middles.
    """
    most = Most()
    lines: dict[tuple[int, int], list[PatternLine]] = {}
    for line in piece.lines:
        if line.pleat:
            lines.setdefault((line.pass_, line.pleat), []).append(line)
    for mark in piece.marks:
        of = _SIGNED.get(mark.role)
        if of is None:
            continue
        own = [
            line
            for line in lines.get((mark.pass_, mark.pleat), ())
            if line.role in of and set(line.folds) & set(mark.folds)
        ]
        said = f"the {mark.role.replace('-', ' ')} of pleat {mark.pleat}"
        if not own:
            most.see(math.inf, f"{said}, {where(mark.strokes[0][0][0])}, belongs to no line and", NOTCH_OFF)
            continue
        along = _chords(own)
        if mark.role == "shaping-line" and len(mark.strokes[0]) > 1:
            level = [line for line in piece.lines if line.role == "hip-level-line"]
            along = _curves(own, mark.strokes[0][-1][-1], level)
            if not along:
                most.see(math.inf, f"{said}, {where(mark.strokes[0][0][0])}, begins on no line and", NOTCH_OFF)
                continue
        near = Nearest(along)
        sign = mark.role.endswith("-end")
        for stroke in mark.strokes:
            for seg in stroke:
                for z in ((seg[0] + seg[-1]) / 2,) if sign else (seg[0], point_at(seg, 0.5), seg[-1]):
                    most.see(near.of(z).away, f"{said}, {where(z)},", NOTCH_OFF)
    return most


def _curves(lines: list[PatternLine], foot: complex, level: list[PatternLine]) -> tuple[Segment, ...]:
    # The curve to stitch along that begins on one of some lines, as far below its bend as it ends above it: the quadratic with
    # the bend as its middle control. Then that line, up to its end.
    found: list[Segment] = []
    if not level:
        return ()
    bends_at = Nearest(_chords(level))
    for line in lines:
        if Nearest(_chords([line])).of(foot).away > NOTCH_OFF:
            continue
        nodes = [line.strokes[0][0][0], *[seg[-1] for stroke in line.strokes for seg in stroke]]
        bend = min(nodes, key=lambda z: bends_at.of(z).away)
        end = min(nodes[0], nodes[-1], key=lambda z: ((z - bend) * (foot - bend).conjugate()).real)
        top = bend + (end - bend) / abs(end - bend) * abs(foot - bend)
        found += [(foot, foot + (bend - foot) * 2 / 3, top + (bend - top) * 2 / 3, top), (top, end)]
    return tuple(found)


def _chords(lines: list[PatternLine]) -> tuple[Segment, ...]:
    return tuple([seg for line in lines for stroke in line.strokes for seg in stroke])


def balance_lines_true(done: FoldedPass, flat: list[PatternLine], finished: list[PatternLine]) -> Most:
    """Return how far balance lines, folded, lie off what they were drawn as (mm).

    Args:
        done: the pass that is folded.
        flat: balance lines on the flat piece, laid together with it.
        finished: as they were drawn on the finished one.
    """
    most = Most()
    there = drawn_there(done, finished)
    # Above a kick's tip its creases are not there, and tell nothing of the layer.
    kicks = any(is_kick(crease.line.tag.kind) for crease in done.creases)
    for line in flat:
        for stroke in line.strokes:
            for seg in stroke:
                for part, layer in parted(seg, done):
                    if length_of(part) <= BALANCE_OFF:
                        continue
                    layers = done.layers if kicks else done.layers[layer : layer + 1]
                    for t in (0.0, 0.25, 0.5, 0.75, 1.0):
                        z = point_at(part, t)
                        most.see(off_drawn(z, layers, there, done), f"a balance line, {where(z)},", BALANCE_OFF)
    return most


def drawn_there(done: FoldedPass, finished: Sequence[PatternLine]) -> Nearest:
    """Return balance lines as they were drawn on the finished piece, both halves of one that is cut on the fold."""
    drawn = [seg for line in finished for stroke in line.strokes for seg in stroke]
    if done.centre is not None:
        flip = reflection(*done.centre)
        drawn += [tuple([flip.of(z) for z in seg]) for seg in drawn]
    return Nearest(tuple(drawn))


def off_drawn(z: complex, layers: Sequence[Layer], there: Nearest, done: FoldedPass) -> float:
    """Return how far a point of a balance line, folded with one of some layers, lies off what was drawn (mm)."""
    if not there.segments:
        return math.inf
    off, folded = min([(there.of(w).away, (w.real, w.imag)) for w in [one.motion.of(z) for one in layers]])
    flat = _off_cloth(z, done.seam)
    return max(off, flat - _off_cloth(complex(*folded), done.finished)) if flat else off


def _off_cloth(z: complex, outline: FoundOutline) -> float:
    # How far outside an outline a point lies (mm). A person's line may run out over the seam, but no farther when flat.
    away = outline.nearest.of(z).away
    return 0.0 if away <= BALANCE_OFF or outline.covers(z) else away


def grain_as_stated(piece: ResultPiece) -> list[str]:
    """Return faults of a grain that was turned: against what labels state, and on parts against one another."""
    grains = [line for line in piece.lines if line.role == "grain-line" and line.strokes]
    if not grains:
        return []
    ways = []
    for grain in grains:
        # Its heads are short strokes.
        start, end = max([(s[0][0], s[-1][-1]) for s in grain.strokes], key=lambda ends: abs(ends[1] - ends[0]))
        ways.append(end - start)
    for way in ways[1:]:
        if _apart(way, ways[0]) > GRAIN_OFF:
            return [f"the grain lines of its parts differ by {_apart(way, ways[0]):.1f} degrees"]
    for told in piece.told:
        if told.grain_degrees is None:
            continue
        own = [
            line
            for line in piece.lines
            if line.role == "fold-line" and (line.pass_, line.pleat) == (told.pass_, told.pleat) and line.strokes
        ]
        bends = any(line.role == "hip-level-line" for line in piece.lines)
        found = [
            _apart(_below_hip(line) if bends else line.strokes[-1][-1][-1] - line.strokes[0][0][0], ways[0])
            for line in own
        ]
        if found and abs(max(found) - told.grain_degrees) > GRAIN_OFF:
            off, noun = max(found), noun_of(own[0].tag.kind)
            return [
                f"the grain line lies {off:.1f} degrees off {noun} {told.pleat}, whose label says {told.grain_degrees:.1f}"
            ]
    return []


def _below_hip(line: PatternLine) -> complex:
    # The way of a fold line of a fitted pleat below the point where it bends.
    nodes = [line.strokes[0][0][0], *[seg[-1] for stroke in line.strokes for seg in stroke]]
    top, hem = nodes[0], nodes[-1]
    flip = (hem - top).conjugate()
    bend = max(nodes, key=lambda z: abs(((z - top) * flip).imag))
    return hem - bend if abs(((bend - top) * flip).imag) > 1e-4 * abs(flip) else hem - top


def _apart(one: complex, other: complex) -> float:
    if not one or not other:
        return 0.0
    turn = abs(math.degrees(bearing(one / other)))
    return min(turn, 180.0 - turn)
