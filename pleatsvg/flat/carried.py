"""Everything drawn on the piece comes along: each thing with its panel, balance lines on through the pleats.

A balance line is cut where fold lines cross it and every part goes with its layer, exactly as the seam does, so that it
lies straight when the pleats are folded. Other open lines are cut at the slash lines; a closed shape stays whole, or,
where a slash line crosses it, is left out and its finished place told. Lengths are in mm.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from pleatsvg.drawing.drawn import DrawnShape, DrawnText
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.strokes import parts_between, path_crossings
from pleatsvg.geometry.motion import STAY, Motion, moved
from pleatsvg.geometry.segment import Segment, extent_of, point_at
from pleatsvg.length import show
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.pleats.words import numbers_in_words
from pleatsvg.result.roles import Role
from pleatsvg.tolerance import ON_LINE

_EIGHTHS = tuple([k / 8 for k in range(9)])


@dataclass(frozen=True, slots=True)
class CarriedLine:
    """A run of a carried line or shape on the flat piece; `layer` is the layer of cloth that it lies on."""

    name: str
    balance: bool
    segments: tuple[Segment, ...]
    closed: bool
    layer: int
    look: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class CarriedText:
    """A text, and the motion that takes it from the drawing to the flat piece."""

    text: DrawnText
    motion: Motion
    layer: int


@dataclass(frozen=True, slots=True)
class Carriage:
    """What is carried, and remarks on what was cut, left out, or lies over a fold."""

    lines: tuple[CarriedLine, ...] = ()
    texts: tuple[CarriedText, ...] = ()
    remarks: tuple[str, ...] = ()


class Panel(NamedTuple):
    """A visible part of the finished piece: the layer that it is, and how that lies on the flat piece."""

    layer: int
    motion: Motion


def carry(
    shapes: tuple[DrawnShape, ...],
    texts: tuple[DrawnText, ...],
    lines: SlashSet,
    pleats: tuple[LaidPleat, ...],
    unfolded: Unfolded,
    unit: str,
) -> Carriage:
    """Return everything drawn on the piece, laid on the flat piece.

    Args:
        shapes, texts: what lies on the finished piece, in mm.
        lines: the slash lines.
        pleats: laid out on the finished piece.
        unfolded: the flat piece.
        unit: for remarks.
    """
    if not shapes and not texts:
        return Carriage()
    carrier = _Carrier(lines, pleats, unfolded, unit)
    carried: list[CarriedLine] = []
    for shape in shapes:
        carried += carrier.balance(shape) if shape.part == "balance" else carrier.shape(shape)
    placed = [carrier.text(text) for text in texts]
    return Carriage(tuple(carried), tuple(placed), (*carrier.remarks, *carrier.hidden_remarks()))


class _Carrier:
    def __init__(self, lines: SlashSet, pleats: tuple[LaidPleat, ...], unfolded: Unfolded, unit: str) -> None:
        self.lines = lines
        self.pleats = pleats
        self.unfolded = unfolded
        self.unit = unit
        self.remarks: list[str] = []
        self.over: dict[int, list[str]] = {}
        self.borders, self.panels = visible(pleats, unfolded)

    def after(self, z: complex, chord: Chord) -> float:
        """Return how far a point lies after a line; negative before it."""
        return ((z - chord.top) * self.lines.across(chord).conjugate()).real

    def panel_of(self, z: complex) -> int:
        return sum(1 for chord in self.borders if self.after(z, chord) > 0)

    def balance(self, shape: DrawnShape) -> list[CarriedLine]:
        """Return a balance line, run on through every pleat that it crosses."""
        path = shape.stroke
        chords = [fold.chord for pleat in self.pleats for fold in pleat.folds]
        met = [path_crossings(path, chord) for chord in chords]
        at = 0
        for pleat in self.pleats:
            if pleat.kick is not None:
                # Above a kick pleat its line is a seam, and what crosses it there is cut in two.
                above = path_crossings(path, pleat.kick.whole)
                if above and not any(met[at : at + len(pleat.folds)]):
                    met[at : at + len(pleat.folds)] = [above] * len(pleat.folds)
            at += len(pleat.folds)
        if shape.closed or not any(met):
            return self.shape(shape)
        if any(len(places) > 1 for places in met):
            self.remarks.append(
                f"'{shape.name}' crosses a fold line more than once; it cannot run on through it and was left out."
            )
            return []
        first = next(k for k, places in enumerate(met) if places)
        if self.after(path[0][0], chords[first]) > 0:
            path = tuple([seg[::-1] for seg in reversed(path)])
            met = [[len(path) - place for place in places] for places in met]
        end = float(len(path))
        # A line that ends before it reaches a fold lies wholly before it, or wholly after it.
        stops = [
            places[0] if places else (0.0 if self.after(_middle(path), chord) > 0 else end)
            for places, chord in zip(met, chords, strict=True)
        ]
        way = [0.0, *stops, end]
        made: list[CarriedLine] = []
        for layer, (start, stop) in enumerate(itertools.pairwise(way)):
            parts = tuple([moved(part, self.unfolded.motions[layer]) for part in parts_between(path, start, stop)])
            if parts:
                made.append(CarriedLine(shape.name, True, parts, False, layer, shape.look))
        return made

    def shape(self, shape: DrawnShape) -> list[CarriedLine]:
        """Return a shape or line with its panel, cut where slash lines cross it if it is open."""
        path = shape.stroke
        places = sorted({place for chord in self.borders for place in path_crossings(path, chord)})
        if places and shape.closed:
            self._tell_place(shape)
            return []
        self._note_hidden(shape.name, [point_at(seg, t) for seg in path for t in _EIGHTHS])
        way = [0.0, *places, float(len(path))]
        made: list[CarriedLine] = []
        for start, stop in itertools.pairwise(way):
            parts = list(parts_between(path, start, stop))
            if parts:
                panel = self.panels[self.panel_of(_middle(tuple(parts)))]
                segments = tuple([moved(part, panel.motion) for part in parts])
                made.append(CarriedLine(shape.name, False, segments, shape.closed, panel.layer, shape.look))
        if len(made) > 1:
            self.remarks.append(
                f"'{shape.name}' is crossed by a slash line: it was cut into {len(made)} parts, each on its own panel."
            )
        return made

    def text(self, text: DrawnText) -> CarriedText:
        """Return a text with the panel that its middle lies on."""
        panel = self.panels[self.panel_of(sum(text.box) / len(text.box))]
        return CarriedText(text, panel.motion, panel.layer)

    def _tell_place(self, shape: DrawnShape) -> None:
        boxes = [extent_of(seg) for seg in shape.stroke]
        middle = complex(
            (min(b[0] for b in boxes) + max(b[2] for b in boxes)) / 2,
            (min(b[1] for b in boxes) + max(b[3] for b in boxes)) / 2,
        )
        near = min(range(len(self.lines.chords)), key=lambda k: abs(self.after(middle, self.lines.chords[k])))
        chord = self.lines.chords[near]
        off = self.after(middle, chord)
        along = ((middle - chord.top) * (chord.hem - chord.top).conjugate()).real / abs(chord.hem - chord.top)
        side = ("right of" if off > 0 else "left of") if self.lines.upright else ("below" if off > 0 else "above")
        self.remarks.append(
            f"'{shape.name}' is crossed by a slash line and was left out, since a closed shape stays whole. Mark it when "
            f"the pleats are folded: its middle lies {show(abs(off), self.unit)} {side} '{self.lines.names[near]}' and "
            f"{show(along, self.unit)} from its top end."
        )

    def _note_hidden(self, name: str, points: list[complex]) -> None:
        for pleat in self.pleats:
            base = {chord.top_at: chord for chord in (pleat.first, pleat.last)}
            for fold in pleat.folds:
                if not (fold.role is Role.FOLD if pleat.request.kind.stitched else fold.role.hidden):
                    continue
                edge = min(base.values(), key=lambda c: abs(c.top - fold.chord.top))
                if any(self._between(z, edge, fold.chord) for z in points):
                    names = self.over.setdefault(pleat.number, [])
                    if name not in names:
                        names.append(name)

    def _between(self, z: complex, edge: Chord, fold: Chord) -> bool:
        a, b = self.after(z, edge), self.after(z, fold)
        return (a > ON_LINE and b < -ON_LINE) or (a < -ON_LINE and b > ON_LINE)

    def hidden_remarks(self) -> Iterator[str]:
        """Yield a remark for everything that an underlay comes to lie beneath."""
        stitched = {pleat.number for pleat in self.pleats if pleat.request.kind.stitched}
        alike: dict[tuple[str, bool], list[int]] = {}
        for pleat, names in sorted(self.over.items()):
            alike.setdefault((", ".join(f"'{name}'" for name in names), pleat in stitched), []).append(pleat)
        for (listed, over), pleats in alike.items():
            verb = "has" if len(pleats) == 1 else "have"
            what = "a tuck that comes to lie over" if over else "an underlay that comes to lie beneath"
            yield f"{numbers_in_words(pleats)} {verb} {what} {listed}."


def visible(pleats: tuple[LaidPleat, ...], unfolded: Unfolded) -> tuple[list[Chord], list[Panel]]:
    """Return the edges between what is seen of the folded piece, and what is seen: panels, and faces of box pleats."""
    borders: list[Chord] = []
    panels = [Panel(0, STAY)]
    layer = 0
    for pleat in pleats:
        for fold, after in zip(pleat.folds, (*pleat.folds[1:], None), strict=True):
            layer += 1
            if (
                fold.role is Role.FOLD
                and after is not None
                and after.role is Role.FOLD
                and after.chord is not fold.chord
            ):
                borders.append(fold.chord)
                panels.append(Panel(layer, unfolded.motions[layer]))
        borders.append(pleat.last)
        panels.append(Panel(layer, unfolded.motions[layer]))
    return borders, panels


def _middle(path: tuple[Segment, ...]) -> complex:
    return point_at(path[len(path) // 2], 0.5)
