"""Everything drawn on the piece comes along: each thing with its panel, balance lines on through the pleats.

A balance line is cut where fold lines cross it and every part goes with its layer, exactly as the seam does, so that it
lies straight when the pleats are folded. Other open lines are cut at the slash lines; a closed shape stays whole, or,
where a slash line crosses it, is left out and its finished place told. Lengths are in mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from pleatsvg.drawing.drawn import DrawnShape, DrawnText
from pleatsvg.drawing.path_data import MOST_SEGMENTS
from pleatsvg.errors import FitError
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.strokes import clear_of, middle_of, parts_between, path_crossings
from pleatsvg.geometry.motion import STAY, Motion, bearing, moved
from pleatsvg.geometry.segment import Box, Segment, box_of, extent_of, point_at
from pleatsvg.length import show
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.pleats.kick import KickTop
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.pleats.words import kinds_in_words
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

    Raises:
        FitError: it would become more than can be read again.
    """
    if not shapes and not texts:
        return Carriage()
    carrier = _Carrier(lines, pleats, unfolded, unit)
    carried: list[CarriedLine] = []
    count = 0
    for shape in shapes:
        runs = [
            run
            for part in (carrier.clear_of_darts(shape) if lines.closed else [shape])
            for run in (carrier.balance(part) if part.part == "balance" else carrier.shape(part))
        ]
        carried += runs
        count += sum([len(run.segments) for run in runs])
        if count > MOST_SEGMENTS:
            raise FitError(
                "What is drawn on the piece",
                f"becomes more than {MOST_SEGMENTS} lines and curves where the folds cut it, up to '{shape.name}'",
                "more are not read of a drawing, and a result must be read again to be folded back",
                "Leave some of it out, or make fewer pleats at once.",
            )
    placed = [carrier.text(text) for text in texts]
    return Carriage(tuple(carried), tuple(placed), (*carrier.remarks, *carrier.hidden_remarks()))


class _Sides:
    """Lines across the piece, all asked at once how far a point lies after each of them, or a box."""

    def __init__(self, lines: SlashSet, chords: Sequence[Chord]) -> None:
        tops, across = [chord.top for chord in chords], [lines.across(chord) for chord in chords]
        self._x, self._y = np.array([z.real for z in tops]), np.array([z.imag for z in tops])
        self._across, self._down = np.array([w.real for w in across]), np.array([w.imag for w in across])

        self._reach_across, self._reach_down = abs(self._across) / 2, abs(self._down) / 2
        # Borders that bend at the point of a closed dart are asked one by one.
        self._lines = lines
        self._bent = [(k, chord) for k, chord in enumerate(chords) if lines.closed and lines.hinge_of(chord)]

    def after(self, z: complex) -> npt.NDArray[np.float64]:
        """Return how far a point lies after each line, in mm; negative before it."""
        off: npt.NDArray[np.float64] = (z.real - self._x) * self._across + (z.imag - self._y) * self._down
        for k, chord in self._bent:
            off[k] = self._lines.after(z, chord)
        return off

    def span(self, box: Box) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
        """Return how far a box lies after each line, from where to where."""
        left, top, right, bottom = box
        middle = self.after(complex(left + right, top + bottom) / 2)
        reach = self._reach_across * (right - left) + self._reach_down * (bottom - top)
        if self._bent:
            reach[[k for k, _ in self._bent]] = math.inf
        return middle - reach, middle + reach


_NEAR = 1e-3
"""mm. How near a line a box may lie before its shape itself is looked at; far above rounding."""


class _Carrier:
    def __init__(self, lines: SlashSet, pleats: tuple[LaidPleat, ...], unfolded: Unfolded, unit: str) -> None:
        self.lines = lines
        self.pleats = pleats
        self.unfolded = unfolded
        self.unit = unit
        self.remarks: list[str] = []
        self.over: dict[int, dict[str, None]] = {}
        self.borders, self.panels = visible(pleats, unfolded)
        self._folds = [fold.chord for pleat in pleats for fold in pleat.folds]
        self._fold_sides = _Sides(lines, self._folds)
        # Where each hidden layer lies when it is folded: between its fold, and the edge of the pleat nearest to that.
        self._hidden = [row for pleat in pleats for row in _hidden_folds(pleat)]
        self._sides = _Sides(
            lines, [*self.borders, *[row[1] for row in self._hidden], *[row[2] for row in self._hidden]]
        )

    def after(self, z: complex, chord: Chord) -> float:
        """Return how far a point lies after a line; negative before it."""
        return self.lines.after(z, chord)

    def panel_of(self, z: complex) -> int:
        return int(np.count_nonzero(self._sides.after(z)[: len(self.borders)] > 0))

    def _off_borders(self, z: complex) -> float:
        # How far a point lies from the nearest edge between panels.
        return float(np.min(np.abs(self._sides.after(z)[: len(self.borders)]), initial=math.inf))

    def clear_of_darts(self, shape: DrawnShape) -> list[DrawnShape]:
        """Return a shape without what of it lies in a dart that is closed, in parts where it runs across one."""
        path = shape.stroke
        places: set[float] = set()
        for dart in self.lines.closed:
            for end in (dart.start, dart.end):
                places.update(path_crossings(path, Chord(0.0, 0.0, dart.point, end)))
        if not places:
            return [shape]
        if shape.closed:
            self.remarks.append(
                f"'{shape.name}' lies over a dart that is closed and was left out, since a closed shape stays whole. Mark "
                "it when the dart's angle is folded away."
            )
            return []
        way = [0.0, *sorted(places), float(len(path))]
        parts = [tuple(parts_between(path, start, stop)) for start, stop in itertools.pairwise(way)]
        return [replace(shape, stroke=part) for part in parts if part and not self._in_a_dart(middle_of(part))]

    def _in_a_dart(self, z: complex) -> bool:
        return any(
            abs(bearing((z - dart.point) / dart.way)) < dart.angle / 2 for dart in self.lines.closed if z != dart.point
        )

    def balance(self, shape: DrawnShape) -> list[CarriedLine]:
        """Return a balance line, run on through every pleat that it crosses."""
        path = shape.stroke
        chords = self._folds
        low, high = self._fold_sides.span(box_of([z for seg in path for z in seg]))
        near = ((low < _NEAR) & (high > -_NEAR)).tolist()
        met = [path_crossings(path, chord) if is_near else [] for chord, is_near in zip(chords, near, strict=True)]
        kicks: dict[int, KickTop] = {}
        at = 0
        for pleat in self.pleats:
            if pleat.kick is not None:
                # Above a kick pleat its line is a seam, and what crosses it there is cut in two.
                above = path_crossings(path, pleat.kick.whole)
                ends = (at, at + len(pleat.folds) - 1)
                if above:
                    met[ends[0]] = met[ends[1]] = above
                kicks.update(dict.fromkeys(range(at, ends[1]), pleat.kick))
            at += len(pleat.folds)
        if shape.closed:
            return self.shape(shape)
        if not any(met):
            return [replace(line, balance=True) for part in self._in_round(shape) for line in self.shape(part)]
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
        beyond = (self._fold_sides.after(middle_of(path)) > 0).tolist()
        stops = [
            places[0] if places else (0.0 if is_beyond else end) for places, is_beyond in zip(met, beyond, strict=True)
        ]
        way = [0.0, *stops, end]
        if self.lines.ring and self.lines.first is not None and self.lines.last is not None:
            # It runs on into the next round for the sake of underlays; the round itself has a beginning and an end.
            for at, chord, none in ((0, self.lines.first, end), (-1, self.lines.last, 0.0)):
                outside = (self.after(middle_of(path), chord) > 0) == (at == -1)
                way[at] = next(iter(path_crossings(path, chord)), none if outside else way[at])
        made: list[CarriedLine] = []
        for layer, stretch in enumerate(itertools.pairwise(way)):
            # The first crease of a pleat is the one before its first hidden layer.
            under = kicks.get(layer - 1)
            stretches = [stretch] if under is None else self._on_kick(path, under, layer, stretch)
            for start, stop in stretches:
                parts = tuple([moved(part, self.unfolded.motions[layer]) for part in parts_between(path, start, stop)])
                if parts:
                    made.append(CarriedLine(shape.name, True, parts, False, layer, shape.look))
        return made

    def _in_round(self, shape: DrawnShape) -> list[DrawnShape]:
        """Return what of a line that crosses no fold lies on the round of a piece that goes all round; of any other all."""
        first, last = self.lines.first, self.lines.last
        if not self.lines.ring or first is None or last is None:
            return [shape]
        places = sorted({place for chord in (first, last) for place in path_crossings(shape.stroke, chord)})
        found: list[DrawnShape] = []
        for start, stop in itertools.pairwise([0.0, *places, float(len(shape.stroke))]):
            part = tuple(parts_between(shape.stroke, start, stop))
            if part and self.after(middle_of(part), first) > 0 > self.after(middle_of(part), last):
                found.append(replace(shape, stroke=part))
        return found

    def _on_kick(
        self, path: tuple[Segment, ...], kick: KickTop, layer: int, stretch: tuple[float, float]
    ) -> list[tuple[float, float]]:
        """Return the stretches of a balance line that lie on a hidden layer of a kick pleat.

        Such a layer has cloth below its slanting top alone, so a line may run onto it through that top, or lie along the
        pleat between its folds and cross none of them.
        """
        before, after = self._folds[layer - 1], self._folds[layer]
        tops = [Chord(0.0, 0.0, kick.tip, kick.before), Chord(0.0, 0.0, kick.tip, kick.after)]
        bounds = [before, after, kick.whole, *tops]
        places = sorted({0.0, float(len(path)), *[place for chord in bounds for place in path_crossings(path, chord)]})
        made = []
        for start, stop in itertools.pairwise(places):
            parts = tuple(parts_between(path, start, stop))
            if not parts:
                continue
            z = middle_of(parts)
            sides = self.after(z, before), self.after(z, after)
            slant = kick.before if self.after(z, kick.whole) < 0 else kick.after
            below = ((z - kick.tip) * (slant - kick.tip).conjugate()).imag
            if (
                sides[0] * sides[1] < 0
                and below * ((kick.whole.hem - kick.tip) * (slant - kick.tip).conjugate()).imag > 0
            ):
                made.append((start, stop))
        return made if stretch[0] <= stretch[1] else [ends[::-1] for ends in reversed(made)]

    def shape(self, shape: DrawnShape) -> list[CarriedLine]:
        """Return a shape or line with its panel, cut where slash lines cross it if it is open."""
        path = shape.stroke
        low, high = self._sides.span(box_of([z for seg in path for z in seg]))
        count = len(self.borders)
        near = ((low[:count] < _NEAR) & (high[:count] > -_NEAR)).nonzero()[0]
        places = sorted({place for k in near for place in path_crossings(path, self.borders[k])})
        if places and shape.closed:
            self._tell_place(shape)
            return []
        self._note_hidden(shape, low[count:], high[count:])
        way = [0.0, *places, float(len(path))]
        made: list[CarriedLine] = []
        for start, stop in itertools.pairwise(way):
            parts = path if not places else tuple(parts_between(path, start, stop))
            if parts:
                panel = self.panels[self.panel_of(clear_of(parts, self._off_borders))]
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
            f"all is folded: its middle lies {show(abs(off), self.unit)} {side} '{self.lines.names[near]}' and "
            f"{show(along, self.unit)} from its top end."
        )

    def _note_hidden(self, shape: DrawnShape, low: npt.NDArray[np.float64], high: npt.NDArray[np.float64]) -> None:
        # From where to where it lies after the edges of the pleats, and after the folds beside them.
        count = len(self._hidden)
        may_be = ((high[:count] > 0) & (low[count:] < 0)) | ((low[:count] < 0) & (high[count:] > 0))
        points: list[complex] = []
        for k in may_be.nonzero()[0]:
            pleat, edge, fold = self._hidden[k]
            points = points or [point_at(seg, t) for seg in shape.stroke for t in _EIGHTHS]
            if any(self._between(z, edge, fold) for z in points):
                self.over.setdefault(pleat.number, {})[shape.name] = None

    def _between(self, z: complex, edge: Chord, fold: Chord) -> bool:
        a, b = self.after(z, edge), self.after(z, fold)
        return (a > ON_LINE and b < -ON_LINE) or (a < -ON_LINE and b > ON_LINE)

    def hidden_remarks(self) -> Iterator[str]:
        """Yield a remark for everything that an underlay comes to lie beneath."""
        stitched = {pleat.number for pleat in self.pleats if pleat.request.kind.stitched}
        kinds = {pleat.number: pleat.request.kind.name for pleat in self.pleats}
        alike: dict[tuple[str, bool], list[int]] = {}
        for pleat, names in sorted(self.over.items()):
            alike.setdefault((", ".join(f"'{name}'" for name in names), pleat in stitched), []).append(pleat)
        for (listed, over), pleats in alike.items():
            verb = "has" if len(pleats) == 1 else "have"
            what = "a tuck that comes to lie over" if over else "an underlay that comes to lie beneath"
            yield f"{kinds_in_words(kinds, pleats)} {verb} {what} {listed}."


def _hidden_folds(pleat: LaidPleat) -> Iterator[tuple[LaidPleat, Chord, Chord]]:
    # The folds of a pleat that hidden layers reach to, each with the edge of the pleat nearest to it.
    base = {chord.top_at: chord for chord in (pleat.first, pleat.last)}
    for fold in pleat.folds:
        if fold.role is Role.FOLD if pleat.request.kind.stitched else fold.role.hidden:
            top = fold.chord.top
            yield pleat, min(base.values(), key=lambda chord: abs(chord.top - top)), fold.chord


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
