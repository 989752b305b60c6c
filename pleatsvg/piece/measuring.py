"""Measuring a piece before anything is made of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from pleatsvg.errors import FitError, SlashError, listed
from pleatsvg.geometry.motion import bearing
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import point_at
from pleatsvg.length import show
from pleatsvg.piece.both_halves import fold_edge_of
from pleatsvg.piece.edges import Edge, seam_edges
from pleatsvg.piece.finished import FinishedPiece, StraightLine, lost_names
from pleatsvg.piece.pivots.asked import darts_on as darts_to_close
from pleatsvg.piece.pivots.closed import ClosedDart
from pleatsvg.piece.slash_lines import in_order, trimmed
from pleatsvg.tolerance import ON_FOLD, RUN_ON, SMALLEST_EDGE
from pleatsvg.wording import Words, message, option

if TYPE_CHECKING:
    from pleatsvg.piece.seen.darts import DartFound
    from pleatsvg.piece.seen.things import Thing


@dataclass(frozen=True, slots=True)
class Meeting:
    """Where the end of a slash line meets the seam: the edge, and how far along it from its left or upper end (mm)."""

    edge: str
    distance: float
    point: complex


@dataclass(frozen=True, slots=True)
class MeasuredLine:
    """A slash line: its number from the left (or the top), where its two ends meet the seam, its length in mm."""

    number: int
    name: str
    top: Meeting
    hem: Meeting
    length: float
    grain_degrees: float | None


@dataclass(frozen=True, slots=True)
class Measured:
    """What was found on a piece; lengths in mm.

    Attributes:
        piece: as read.
        edges: the seam edges between corners, clockwise from the top left.
        lines: the slash lines in order; () where there are none or they do not stand in a row.
        upright: whether they run down the page.
        top_spaces, hem_spaces: distances along the seam from the corner before the first line to the corner after the
            last; one more than there are lines.
        odd: whatever looks odd, in plain words.
        unit: of lengths in words.
        fold: the edge that is cut on the fold, or None.
        whole_width: of the piece opened out there, square to the fold edge, or None.
        trade: what the trade calls an edge, by its number, where that can be known and is another word.
        darts: notches in the outline and open legs.
        things: what each shape and text is taken for.
    """

    piece: FinishedPiece
    edges: tuple[Edge, ...]
    lines: tuple[MeasuredLine, ...]
    upright: bool
    top_spaces: tuple[float, ...]
    hem_spaces: tuple[float, ...]
    odd: tuple[str, ...]
    unit: str
    fold: Edge | None = None
    whole_width: float | None = None
    trade: Mapping[int, str] = field(default_factory=dict)
    darts: tuple[DartFound, ...] = ()
    things: tuple[Thing, ...] = ()


def measured(piece: FinishedPiece, unit: str = "mm") -> Measured:
    """Measure a piece; a slash line that cannot be used is told among what is odd, not refused."""
    # What is told to a person is of no use to a command that pleats.
    from pleatsvg.piece.seen.darts import darts_on
    from pleatsvg.piece.seen.things import seeming_parts, things_on
    from pleatsvg.piece.seen.trade import trade_names

    outline = piece.outline
    edges = seam_edges(outline)
    odd = list(piece.notes)
    odd += seeming_parts(piece)
    odd += [
        f"Edge {e.number} ({e.name}) is only {show(e.length, unit)} long; look whether a node slipped."
        for e in edges
        if e.length < SMALLEST_EDGE
    ]
    fold, width, unsound = None, None, []
    try:
        fold = fold_edge_of(piece)
        width = _whole_width(outline, fold) if fold is not None else None
    except FitError as error:
        unsound.append(error.message)
    good: list[StraightLine] = []
    to_close = darts_to_close(piece) if piece.slashes else []
    for line in piece.slashes:
        to_a_dart = _to_a_dart(to_close, line)
        if to_a_dart is not None:
            odd.append(to_a_dart)
            continue
        if fold is not None and _lies_on(outline, fold, line):
            odd.append(
                f"Slash line '{line.name}' lies on the fold edge: half a box or half an inverted pleat fits there."
            )
            continue
        try:
            trimmed(outline, line, unit)
            good.append(line)
        except SlashError as error:
            odd.append(error.message)
    if piece.left_out:
        odd.append(f"Not carried onto a result: {listed(piece.left_out)}.")
    if not piece.slashes:
        odd.append(
            message(
                "No slash lines are named; draw them, or place them with {} or {} when you pleat.{}",
                option("at"),
                option("count"),
                lost_names(piece),
            )
        )
    if piece.grain is None:
        odd.append(_no_grain())
    if piece.only_cut:
        odd.append(
            message(
                "Only a cutting line is drawn: everything above is measured on it. Give {} and the allowance it "
                "includes when you pleat, and the seam is drawn inside it.",
                option("allowance_drawn"),
            )
        )
    odd += unsound
    found = Measured(
        piece=piece, edges=edges, lines=(), upright=True, top_spaces=(), hem_spaces=(), odd=tuple(odd), unit=unit
    )
    if good:
        try:
            found = _with_lines(piece, edges, good, odd, unit)
        except SlashError as error:
            found = replace(found, odd=(*odd, error.message))
    return replace(
        found,
        fold=fold,
        whole_width=width,
        trade=trade_names(piece, edges, fold),
        darts=darts_on(piece, edges),
        things=things_on(piece),
    )


def _no_grain() -> Words:
    return message(
        "No grainline is drawn, so it cannot be told how far each fold lies off the grain, lines cannot be placed with {}, "
        "and level lines are level on the page. Draw a straight line and name it 'grainline'.",
        option("run", "grain"),
    )


def _whole_width(outline: Outline, fold: Edge) -> float:
    # Twice the way from the fold edge to what lies farthest from it.
    a, b = outline.point(fold.start), outline.point(fold.end)
    flip = (1j * (b - a) / abs(b - a)).conjugate()
    off = [((point_at(seg, k / 16) - a) * flip).real for seg in outline.segments for k in range(17)]
    return 2 * max(map(abs, off))


def _lies_on(outline: Outline, fold: Edge, line: StraightLine) -> bool:
    a, b = outline.point(fold.start), outline.point(fold.end)
    flip = ((b - a) / abs(b - a)).conjugate()
    return all(abs(((z - a) * flip).imag) <= ON_FOLD for z in (line.start, line.end))


def _to_a_dart(darts: list[ClosedDart], line: StraightLine) -> Words | None:
    # What is to be said of a line that ends at the point of a dart, as one does along which that opens.
    for dart in darts:
        if min(abs(z - dart.point) for z in (line.start, line.end)) <= RUN_ON:
            return message(
                "Slash line '{}' ends at the point of {}: give {} when you pleat, and the dart is closed and its angle opens "
                "there.",
                line.name,
                dart.words,
                option("pivot", dart.edge),
            )
    return None


def _with_lines(
    piece: FinishedPiece, edges: tuple[Edge, ...], good: list[StraightLine], odd: list[str], unit: str
) -> Measured:
    lines = in_order(piece.outline, good, unit)
    clockwise = piece.outline
    n = len(clockwise)
    made: list[MeasuredLine] = []
    for number, (chord, name) in enumerate(zip(lines.chords, lines.names, strict=True), 1):
        top, hem = (at if lines.hand > 0 else n - at for at in (chord.top_at, chord.hem_at))
        way = chord.hem - chord.top
        made.append(
            MeasuredLine(
                number,
                name,
                _meeting(clockwise, edges, top % n, chord.top),
                _meeting(clockwise, edges, hem % n, chord.hem),
                abs(way),
                _to_grain(piece, way),
            )
        )
    tops = _spaces(lines.outline, [c.top_at for c in lines.chords])
    hems = _spaces(lines.outline, [c.hem_at for c in reversed(lines.chords)])
    return Measured(
        piece=piece,
        edges=edges,
        lines=tuple(made),
        upright=lines.upright,
        top_spaces=tops,
        hem_spaces=tuple(reversed(hems)),
        odd=tuple(odd),
        unit=unit,
    )


def _to_grain(piece: FinishedPiece, way: complex) -> float | None:
    if piece.grain is None:
        return None
    turn = abs(math.degrees(bearing(way / (piece.grain.end - piece.grain.start))))
    return min(turn, 180 - turn)


def _meeting(outline: Outline, edges: tuple[Edge, ...], at: float, point: complex) -> Meeting:
    n = len(outline)
    for edge in edges:
        for place in (at, at + n):
            if edge.start <= place <= edge.end:
                from_start = outline.sewn_distance(edge.start, place)
                chord = outline.point(edge.end) - outline.point(edge.start)
                backwards = chord.real < 0 if abs(chord.real) >= abs(chord.imag) else chord.imag < 0
                return Meeting(edge.name, edge.length - from_start if backwards else from_start, point)
    raise AssertionError("every place on the outline lies on an edge")


def _spaces(outline: Outline, places: list[float]) -> tuple[float, ...]:
    # From the corner before the first place to the corner after the last, along the seam.
    before, after = outline.corners_around(places[0], places[-1])
    stops = [float(before), *places, float(after)]
    return tuple([outline.sewn_distance(a, b) for a, b in pairwise(stops)])
