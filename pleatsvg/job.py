"""The whole job as one function of named steps: a finished piece and an order go in, a proven flat piece comes out."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import islice, pairwise

import numpy as np

from pleatsvg.carry import Carriage, carry
from pleatsvg.errors import FitError, ProofError, SlashError, listed, near_names
from pleatsvg.fold import FoldBack, fold_back
from pleatsvg.layout import LaidPleat, PleatRequest, lay_out
from pleatsvg.motion import moved
from pleatsvg.order import Order, PleatOrder
from pleatsvg.outline import Outline
from pleatsvg.piece import FinishedPiece, StraightLine
from pleatsvg.selfcross import self_crossing
from pleatsvg.sheet import Sheet, lay_on_sheet
from pleatsvg.slash import SlashSet, in_order, placed_lines, trimmed
from pleatsvg.tolerance import CENTRE_BAND, DECIMALS, FLAT_GRAIN, FOLD_BACK
from pleatsvg.unfold import FlatEdge, FlatLine, Unfolded, layers_lie_apart, unfold
from pleatsvg.words import numbers_in_words


@dataclass(frozen=True, slots=True)
class PleatFacts:
    """One pleat of a result.

    Attributes:
        number, name: its number and its slash line's name.
        request: what was asked.
        intake_top, intake_hem: measured in mm on the result's own lines, from fold line to placement line.
        grain_degrees: the largest angle of its outer folds to the grain, or None where no grainline is drawn.
    """

    number: int
    name: str
    request: PleatRequest
    intake_top: float
    intake_hem: float
    grain_degrees: float | None


@dataclass(frozen=True)
class PleatedPiece:
    """A flat piece, proven, with all its marks, in mm on the page of its result.

    Attributes:
        finished: the piece as drawn.
        lines: the slash lines in order, on the outline that they were laid out on.
        pleats: laid out on the finished piece.
        flat: seam, creases and placement lines as written: moved onto the page and rounded.
        finished_on_page: the finished seam laid on the first panel, as written.
        grain: the carried grainline as written, or None.
        proof: the fold-back of what is written.
        facts: pleat by pleat.
        carriage: everything else drawn on the piece, in the flat piece's coordinates before it is laid on the page.
        sheet: the marks, the lettering and the page.
        remarks: for the person, in plain words.
        unit: of lengths in words.
    """

    finished: FinishedPiece
    lines: SlashSet
    pleats: tuple[LaidPleat, ...]
    flat: Unfolded
    finished_on_page: Outline
    grain: tuple[complex, complex] | None
    proof: FoldBack
    facts: tuple[PleatFacts, ...]
    carriage: Carriage
    sheet: Sheet
    remarks: tuple[str, ...]
    unit: str

    @property
    def name(self) -> str:
        """What the piece is called."""
        return self.finished.name

    @cached_property
    def top_lengths(self) -> tuple[float, float]:
        """Length in mm of the seam that the line tops lie on, from corner to corner: finished and flat."""
        return self._lengths(0)

    @cached_property
    def hem_lengths(self) -> tuple[float, float]:
        """Length in mm of the seam that the line hems lie on, from corner to corner: finished and flat."""
        return self._lengths(1)

    def _lengths(self, end: int) -> tuple[float, float]:
        outline = self.lines.outline
        places = [fold.chord.hem_at if end else fold.chord.top_at for pleat in self.pleats for fold in pleat.folds]
        if end:
            places.reverse()
        corners = outline.edge_corners or (0,)
        n = len(outline)
        start = max(c + k * n for c in corners for k in (-2, -1, 0, 1) if c + k * n <= min(places) + 1e-9)
        stop = min(c + k * n for c in corners for k in (0, 1, 2, 3) if c + k * n >= max(places) - 1e-9)
        way = [float(start), *places, float(stop)]
        flat = sum(outline.sewn_distance(a, b) for a, b in pairwise(way))
        return outline.sewn_distance(float(start), float(stop)), flat


def pleat_piece(piece: FinishedPiece, order: Order) -> PleatedPiece:
    """Do the whole job on one piece.

    Raises:
        PleatError: the order does not fit the piece; nothing is made.
    """
    lines_used, orders, remarks = _lines(piece, order)
    lines = in_order(piece.outline, lines_used, order.unit)
    requests = _requests(piece, lines, [orders[k] for k in lines.given])
    pleats = lay_out(lines, requests, order.unit)
    unfolded = unfold(lines.outline, pleats)
    _refuse_lapping_cloth(piece, lines, unfolded)
    grain = _carried_grain(piece, lines, unfolded)
    used = {line.name for line in lines_used}
    shapes = tuple([shape for shape in piece.shapes if shape.name not in used])
    carriage = carry(shapes, piece.texts, lines, pleats, unfolded, order.unit)
    sheet = lay_on_sheet(piece.name, lines, pleats, unfolded, carriage, grain, order.unit)
    flat = _on_page(unfolded, sheet.offset)
    finished = _outline_on_page(lines.outline, sheet.offset)
    proof = fold_back(finished, flat.seam, flat.creases, flat.placements)
    _refuse_unproven(piece, proof)
    grain_here = None
    if grain is not None:
        start, end = _rounded([z + sheet.offset for z in grain])
        grain_here = (start, end)
    facts = _facts(pleats, flat, grain_here)
    remarks += [*carriage.remarks, *_grain_remarks(facts)]
    return PleatedPiece(
        piece,
        lines,
        pleats,
        flat,
        finished,
        grain_here,
        proof,
        facts,
        carriage,
        sheet,
        (*piece.notes, *order.remarks, *remarks, *_not_carried(piece)),
        order.unit,
    )


def _lines(piece: FinishedPiece, order: Order) -> tuple[list[StraightLine], list[PleatOrder], list[str]]:
    # The lines to slash along, for which order each is, and remarks. Orders that name no line share what is left.
    remarks: list[str] = []
    lines: list[StraightLine] = []
    orders: list[PleatOrder] = []

    def take(found: Iterable[StraightLine], asked: PleatOrder, once: bool) -> None:
        for line in found:
            if line not in lines:
                lines.append(line)
                orders.append(asked)
            elif once and orders[lines.index(line)] is not asked:
                raise SlashError(
                    f"Slash line '{line.name}'",
                    "is asked for twice, as a pleat of two kinds",
                    "a line makes one pleat",
                    "Name it in one place only.",
                )

    for asked in order.pleats:
        if asked.placing is not None:
            take(placed_lines(piece, asked.placing, order.unit), asked, True)
        for wanted in asked.slash:
            take(_named_lines(piece, wanted, order.unit), asked, " ".join(wanted.split()).casefold() != "all")
    for asked in order.pleats:
        if asked.placing is None and not asked.slash:
            take(piece.slashes, asked, False)
        elif asked.placing is not None and not asked.slash and len(order.pleats) == 1 and piece.slashes:
            remarks.append(
                f"The {len(piece.slashes)} slash lines drawn on the piece were left out, since lines were placed; name them "
                "with --slash to use both."
            )
    if not lines:
        raise SlashError(
            f"Piece '{piece.name}'",
            "has no slash lines",
            "a pleat needs a line to slash along",
            "Draw straight lines from edge to edge and name them 'slash 1', 'slash 2'; or give --slash all, --at or --count.",
        )
    return lines, orders, remarks


def _requests(piece: FinishedPiece, lines: SlashSet, orders: list[PleatOrder]) -> list[PleatRequest]:
    # Pleats that are asked for alike share one request, so that words about it are found once.
    made: dict[tuple[int, int], PleatRequest] = {}
    requests: list[PleatRequest] = []
    for k, asked in enumerate(orders):
        way = _towards(piece, lines, k, asked.lap)
        if (id(asked), way) not in made:
            made[id(asked), way] = PleatRequest(asked.kind, way, asked.intake_top, asked.intake_hem, asked.face)
        requests.append(made[id(asked), way])
    return requests


def _named_lines(piece: FinishedPiece, wanted: str, unit: str) -> list[StraightLine]:
    plain = " ".join(wanted.split()).casefold()
    every = [*piece.slashes, *piece.crossing_lines]
    found = [line for line in every if line.name.casefold() == plain] or [
        line for line in every if line.family.casefold() == plain
    ]
    if found:
        return found
    if plain == "all":
        return [*piece.slashes, *[line for line in piece.crossing_lines if _crosses(piece, line, unit)]]
    raise SlashError(
        f"Slash line '{wanted}'",
        "is not on this piece",
        near_names(wanted, [line.name for line in every]),
        "Check the name in the editor's list of objects, or run 'pleatsvg measure' on the drawing.",
    )


def _crosses(piece: FinishedPiece, line: StraightLine, unit: str) -> bool:
    try:
        trimmed(piece.outline, line, unit)
    except SlashError:
        return False
    return True


def _towards(piece: FinishedPiece, lines: SlashSet, k: int, lap: str | None) -> int:
    if lap is None:
        return -1
    if lap in ("left", "right", "up", "down"):
        if lines.upright != (lap in ("left", "right")):
            run, words = ("up and down", "left or right") if lines.upright else ("across", "up or down")
            said = f"Pleat {k + 1} at '{lines.names[k]}'"
            raise FitError(
                said,
                f"was to lap {lap}, but its line runs {run} the page",
                f"such a fold points {words}",
                f"Give --lap {words}.",
            )
        return -1 if lap in ("left", "up") else 1
    centre = piece.fold_edge or piece.centre
    chord = lines.chords[k]
    if centre is not None:
        middle = (centre.start + centre.end) / 2
        off = ((middle - (chord.top + chord.hem) / 2) * lines.across(chord).conjugate()).real
    else:
        off = _from_middle(lines, k)
    if abs(off) <= CENTRE_BAND:
        raise FitError(
            f"Pleat {k + 1} at '{lines.names[k]}'",
            f"lies within {CENTRE_BAND:.0f} mm of the centre",
            f"a {lap} lap needs a line that lies to one side of it",
            "Pleat that line by itself with --slash and a lap of its own, or make it an inverted or box pleat.",
        )
    to_centre = 1 if off > 0 else -1
    return to_centre if lap == "centre" else -to_centre


def _from_middle(lines: SlashSet, k: int) -> float:
    # How far the middle of the set lies after line k, along the top seam; one line alone is held against the middle of
    # the seam edge that its top lies on.
    outline = lines.outline
    tops = [chord.top_at for chord in lines.chords]
    here = outline.sewn_distance(tops[0], tops[k])
    if len(tops) > 1:
        return outline.sewn_distance(tops[0], tops[-1]) / 2 - here
    n = len(outline)
    corners = outline.edge_corners or (0,)
    before = max(c + m * n for c in corners for m in (-1, 0, 1) if c + m * n <= tops[0])
    after = min(c + m * n for c in corners for m in (0, 1, 2) if c + m * n >= tops[0])
    return (outline.sewn_distance(tops[0], float(after)) - outline.sewn_distance(float(before), tops[0])) / 2


def _refuse_lapping_cloth(piece: FinishedPiece, lines: SlashSet, unfolded: Unfolded) -> None:
    if layers_lie_apart(unfolded, lines.hand):
        return
    spot = self_crossing(unfolded.outline, loops=False)
    if spot is not None:
        raise FitError(
            f"The flat piece '{piece.name}'",
            f"would lie over itself near ({spot.real:.0f}, {spot.imag:.0f}) mm on the drawing",
            "a piece is cut from one layer of cloth",
            "Take a smaller intake or fewer lines in one piece, or part the piece at a seam first.",
        )


def _carried_grain(piece: FinishedPiece, lines: SlashSet, unfolded: Unfolded) -> tuple[complex, complex] | None:
    # The grainline goes with the panel that its middle lies on; what of it lies on other panels is cut off.
    if piece.grain is None:
        return None
    start, end = piece.grain.start, piece.grain.end
    middle = (start + end) / 2
    panel = sum(1 for c in lines.chords if ((middle - c.top) * lines.across(c).conjugate()).real > 0)
    low, high = 0.0, 1.0
    for chord in lines.chords[max(0, panel - 1) : panel + 1]:
        across = lines.across(chord).conjugate()
        a, b = ((start - chord.top) * across).real, ((end - chord.top) * across).real
        if a * b < 0:
            share = a / (a - b)
            low, high = (max(low, share), high) if share < 0.5 else (low, min(high, share))
    motion = unfolded.motions[unfolded.panels[panel]]
    first, last = moved((start + low * (end - start), start + high * (end - start)), motion)
    return first, last


def _rounded(points: list[complex]) -> list[complex]:
    # To the decimals that are written. Dividing a whole number by 10^6 gives the float nearest to the decimal, so the
    # shortest way to print it is the decimal itself.
    rounded: list[complex] = np.round(np.array(points, dtype=complex), DECIMALS).tolist()
    return rounded


def _outline_on_page(outline: Outline, offset: complex) -> Outline:
    points = iter(_rounded([z + offset for seg in outline.segments for z in seg]))
    return Outline(tuple([tuple(islice(points, len(seg))) for seg in outline.segments]))


def _on_page(unfolded: Unfolded, offset: complex) -> Unfolded:
    # Moved onto the page and rounded to what will be written; each segment begins where the one before it ends.
    lines = (*unfolded.creases, *unfolded.placements)
    rounded = _rounded(
        [z + offset for edge in unfolded.seam for z in edge.points[1:]] + [z + offset for c in lines for z in c[3:5]]
    )
    points = iter(rounded)
    last = rounded[sum([len(edge.points) - 1 for edge in unfolded.seam]) - 1]
    edges: list[FlatEdge] = []
    for before, layer, origin in unfolded.seam:
        here = (last, *islice(points, len(before) - 1))
        last = here[-1]
        edges.append(FlatEdge(here, layer, origin))
    moved_lines = [
        FlatLine(role, pleat, folds, next(points), next(points), layer) for role, pleat, folds, _, _, layer in lines
    ]
    count = len(unfolded.creases)
    return Unfolded(
        tuple(edges), tuple(moved_lines[:count]), tuple(moved_lines[count:]), unfolded.motions, unfolded.panels
    )


def _refuse_unproven(piece: FinishedPiece, proof: FoldBack) -> None:
    if not proof.worst <= FOLD_BACK:
        raise ProofError(
            f"The flat piece '{piece.name}'",
            f"does not fold back onto the drawn piece: an edge misses it by {proof.worst:.4f} mm",
            f"the limit is {FOLD_BACK} mm",
            "Nothing was written. Very short slash lines on a very large piece can cause this; move them apart and try again.",
        )


def _facts(
    pleats: tuple[LaidPleat, ...], flat: Unfolded, grain: tuple[complex, complex] | None
) -> tuple[PleatFacts, ...]:
    folds: dict[tuple[int, int], FlatLine] = {(c.pleat, c.folds[0]): c for c in flat.creases}
    taken_top: dict[int, float] = {}
    taken_hem: dict[int, float] = {}
    for placement in flat.placements:
        for place in placement.folds:
            fold = folds[placement.pleat, place]
            taken_top[fold.pleat] = taken_top.get(fold.pleat, 0.0) + abs(fold.top - placement.top)
            taken_hem[fold.pleat] = taken_hem.get(fold.pleat, 0.0) + abs(fold.hem - placement.hem)
    off: dict[int, float] = {}
    if grain is not None:
        for fold in flat.creases:
            if fold.role == "fold":
                turn = abs(math.degrees(cmath.phase((fold.hem - fold.top) / (grain[1] - grain[0]))))
                off[fold.pleat] = max(off.get(fold.pleat, 0.0), min(turn, 180 - turn))
    return tuple(
        [
            PleatFacts(p.number, p.name, p.request, taken_top[p.number], taken_hem[p.number], off.get(p.number))
            for p in pleats
        ]
    )


def _not_carried(piece: FinishedPiece) -> list[str]:
    return [f"Not carried onto the result: {listed(piece.left_out)}."] if piece.left_out else []


def _grain_remarks(facts: tuple[PleatFacts, ...]) -> list[str]:
    off = {f.number: f.grain_degrees for f in facts if f.grain_degrees is not None and f.grain_degrees > FLAT_GRAIN}
    if not off:
        return []
    listed = numbers_in_words(list(off))
    verb = "lies" if len(off) == 1 else "lie"
    if min(off.values()) > 90 - FLAT_GRAIN:
        return [
            f"{listed} {verb} across the grain, at {min(off.values()):.1f} to {max(off.values()):.1f} degrees to it."
        ]
    most = f"{'' if len(off) == 1 else 'up to '}{max(off.values()):.1f}"
    return [
        f"{listed} {verb} {most} degrees off the grain; over {FLAT_GRAIN:.0f} a fold does not hang like its neighbours. "
        "Fold a sample in the cloth first."
    ]
