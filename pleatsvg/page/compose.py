"""Laying the flat piece on its page: marks, lettering, the heading above and the key below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import NamedTuple

import numpy as np

from pleatsvg.flat.carried import Carriage
from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.flat.passes.earlier_lines import Through, as_words
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Box
from pleatsvg.length import show
from pleatsvg.marks.all_marks import ToMark, in_the_way, marks_of, to_mark
from pleatsvg.marks.arrows import end_signs
from pleatsvg.marks.notches import SHORTEST_SNIP, SNIP_CLEAR
from pleatsvg.marks.shaping import shaping_marks, shaping_words
from pleatsvg.marks.stitching import STITCH_DOWN_AT, TICK, StitchingLine
from pleatsvg.marks.words.edge_names import (
    SEWN_UP,
    Ground,
    balance_words,
    bracket_words,
    edge_words,
    flat_edges,
    grain_words,
    lines_by_layer,
)
from pleatsvg.marks.words.free_room import Rooms
from pleatsvg.marks.words.lanes import Lettered, lettered
from pleatsvg.marks.words.part_labels import Part, block_of, part_grains, part_names, parts_of, seam_words
from pleatsvg.page.fitted_table import NONE, Table
from pleatsvg.page.heading import all_pleats, heading_rows, named_edges, run_labels
from pleatsvg.page.key_rows import key_height, key_rows
from pleatsvg.page.measures import HEADING_SIZES, KEY_HEIGHT, KEY_WIDTH, MARGIN, ROW_PITCH, TABLE_GAP
from pleatsvg.page.subject import Above, Subject
from pleatsvg.piece.edges import lower_word
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.result.classes import CLASSES
from pleatsvg.result.clear_of import ClearOf, chords_of, strokes_of
from pleatsvg.result.lettering import Words, direction, width_of
from pleatsvg.result.mark import Mark, MeasuredNotch
from pleatsvg.wording import message, option

_Obstacles = list[tuple[int, tuple[complex, ...]]]
"""What no words may cross: the layer of cloth that it lies on, and its points."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What stands on the page beside the piece's own lines, in mm.

    Attributes:
        offset: from the flat piece's coordinates to the page.
        width, height: of the page.
        marks, words: in the flat piece's coordinates.
        heading: rows above the piece, the first one larger.
        key_at: top left corner of the key on the page.
        key: names of the rows that stand in it.
        table: of a fitted piece, its spaces and intakes; else empty.
        table_at: its top left corner, from that of the key.
        stitching: lines of stitching, in the flat piece's coordinates.
        remarks: on marks that had no room.
        grains: grainlines of parts on which none was drawn, in the flat piece's coordinates.
        measured: notches of a companion, in the flat piece's coordinates.
    """

    offset: complex
    width: float
    height: float
    marks: tuple[Mark, ...]
    words: tuple[Words, ...]
    heading: tuple[str, ...]
    key_at: complex
    key: tuple[str, ...]
    stitching: tuple[StitchingLine, ...]
    remarks: tuple[str, ...]
    grains: tuple[tuple[complex, complex], ...] = ()
    measured: tuple[MeasuredNotch, ...] = ()
    table: Table = NONE
    table_at: complex = 0j


def lay_on_sheet(
    subject: Subject,
    pleats: tuple[LaidPleat, ...],
    unfolded: Unfolded,
    carriage: Carriage,
    grain: tuple[complex, complex] | None,
    stitching: tuple[StitchingLine, ...],
) -> Sheet:
    """Return the marks and the page for a flat piece.

    Args:
        subject: the piece, and how it is to be marked.
        pleats: laid out on the finished piece.
        unfolded: the flat piece.
        carriage: what else is drawn on it.
        grain: the carried grainline.
        stitching: lines of stitching beside the folds and across the top.
    """
    piece = to_mark(
        unfolded,
        pleats,
        subject.lines,
        subject.ground.crossed is not None,
        subject.marking,
        subject.join_allowance,
    )
    made, without = marks_of(piece)
    above_too: list[Mark] = []
    if subject.above is not None:
        own, more_without = _marks_above(subject.above, subject)
        made, without = (*own, *made), without + more_without
        above_too = [mark for mark in made if mark.name in ("lap-arrow", "shaping-end")]
    bracket = [mark for mark in made if mark.name == "fold-edge-arrow"]
    standing_by = _obstacles(subject, carriage, piece, bracket)
    bars = in_the_way(made, unfolded)
    obstacles = [*standing_by, *bars]
    # The bars at the hip lie at the tops of the lines below it, but where these are stitched on along a curve.
    straight = subject.above is not None and subject.above.below is None
    lettering = _lettered(subject, piece, grain, (standing_by, bars) if straight else (obstacles, []), stitching)
    marks = (*made, *lettering.leaders)
    taken = ClearOf(lettering.words)
    on_cloth = (
        *lettering.words,
        *_words_along(subject, piece, carriage, grain, stitching, taken, obstacles, (bracket, above_too)),
    )
    if subject.above is not None:
        others = [points for _, points in standing_by]
        on_cloth = (*on_cloth, *shaping_words(subject.above.unfolded, subject.above.below, taken, above_too, others))
    standing = _Standing(marks, on_cloth, stitching, carriage, grain)
    more, grains, part_leaders, part_rows = _words_of_parts(subject, piece, standing, lettering.beyond)
    marks = (*marks, *part_leaders)
    heading = (
        *heading_rows(
            subject, pleats, () if len(unfolded.seams) > 1 else subject.cut_rows(), bool(unfolded.joins or piece.sides)
        ),
        *part_rows,
    )
    balanced = any(line.balance for line in carriage.lines)
    key = key_rows(subject, unfolded, marks, stitching, grain is not None, balanced)
    beside = [words for words in more if words.name == "part-label"] if part_leaders else []
    extent = _extent(unfolded.cuts, marks, (*lettering.beyond, *beside), carriage, subject.through)
    table = subject.above.table if subject.above is not None else NONE
    offset, key_at, width, height = on_page(extent, heading, key_height(key))
    table_at, width, height = with_table(table, key_at, width, height)
    return Sheet(
        offset=offset,
        width=width,
        height=height,
        marks=marks,
        words=(*on_cloth, *more, *lettering.beyond),
        heading=heading,
        key_at=key_at,
        key=key,
        stitching=stitching,
        remarks=without_notches(without, subject.unit),
        grains=tuple(grains),
        table=table,
        table_at=table_at,
    )


def _marks_above(above: Above, subject: Subject) -> tuple[tuple[Mark, ...], int]:
    # What is marked above the hip of a fitted piece, where lines are stitched all along and so are seen whole: a mark of the
    # piece as a whole is made with what lies below.
    piece = to_mark(above.unfolded, above.pleats, above.lines, False, replace(subject.marking, mark=None), 0.0)
    made, without = marks_of(piece)
    return (*[mark for mark in made if mark.pleat], *shaping_marks(above.unfolded, above.below)), without


def _lettered(
    subject: Subject,
    piece: ToMark,
    grain: tuple[complex, complex] | None,
    obstacles: tuple[_Obstacles, _Obstacles],
    stitching: tuple[StitchingLine, ...],
) -> Lettered:
    # The words that belong to lines and panels: a label for each pleat, one for each line, the name of the piece.
    pleats = piece.pleats
    quiet = frozenset([p.number for p in pleats if p.request.kind.in_runs])
    return lettered(
        () if len(piece.unfolded.seams) > 1 else _name_rows(subject, pleats),
        run_labels(pleats, subject.lines.upright, subject.unit, lower_word(subject.ground.edges)),
        piece.unfolded,
        subject.lines.hand,
        grain,
        *obstacles,
        _behind_numbers(pleats, piece.unfolded),
        piece.arrows,
        quiet,
        stitching,
        subject.marking.mark,
    )


def _behind_numbers(pleats: tuple[LaidPleat, ...], unfolded: Unfolded) -> dict[tuple[int, int], str]:
    # What stands behind a pleat's number on its lines: the side of a box pleat, since its folds go to lines of their own,
    # and the layer of a stack. Placement lines go by the first fold that they carry, below zero.
    made: dict[tuple[int, int], str] = {}
    for p in pleats:
        sides = p.request.list.sides if not p.request.half else ()
        for place, side in enumerate(sides, 1):
            made[p.number, place] = made[p.number, -place] = side
        if p.request.stack > 1:
            for place, layer in enumerate(p.request.list.half_of(p.request.list.layers, p.request.half), 1):
                made[p.number, place] = f"{made.get((p.number, place), '')}.{layer}"
    return made


def _words_along(
    subject: Subject,
    piece: ToMark,
    carriage: Carriage,
    grain: tuple[complex, complex] | None,
    stitching: tuple[StitchingLine, ...],
    taken: ClearOf,
    obstacles: list[tuple[int, tuple[complex, ...]]],
    beside_fold: tuple[list[Mark], list[Mark]],
) -> list[Words]:
    # The words that lie along something else than the lines of pleats: grain, balance lines, edges. What is found room for is
    # taken.
    unfolded = piece.unfolded
    others: dict[int, list[tuple[complex, ...]]] = {}
    for layer, points in obstacles:
        others.setdefault(layer, []).append(chords_of(points) if len(points) == 4 else points)
    aside = max([STITCH_DOWN_AT + TICK for line in stitching if line.words], default=0.0)
    zones = _zones(subject, unfolded)
    ground = Ground(unfolded, subject.lines.hand, lines_by_layer(*zones), others, aside)
    made: list[Words] = []
    if grain is not None:
        made += grain_words(grain, _beside_grain(grain, zones, others), taken)
        for row in made:
            taken.take(row)
        taken.take_box((grain[0] + grain[1]) / 2, grain[1] - grain[0], 4.0)
    bracket, above_too = beside_fold  # the arrow of the fold edge; of a fitted piece what its words meet besides
    for mark in bracket:
        lines: list[tuple[complex, ...]] = [(line.out_top, line.out_hem) for line in _lines_of(zones)]
        if subject.above is not None:
            lines += [stroke for own in above_too for stroke in own.runs()]
            lines += [points for _, points in subject.above.level]
        signs = [stroke for sign in end_signs(piece.arrows.laps, subject.marking.mark) for stroke in sign.runs()]
        made += bracket_words(mark, [*lines, *signs], taken)
    if any(line.balance for line in carriage.lines):
        made += balance_words(carriage.lines, ground, taken)
    whole = subject.ground
    flat = flat_edges(unfolded, whole.edge_of, whole.outline.darts, subject.lines.hand)
    for layer, legs in flat.pop(SEWN_UP, {}).items():
        others.setdefault(layer, []).extend([chords_of(leg) for leg in legs])
    return made + edge_words(named_edges(subject, flat), flat, ground, taken)


def _zones(subject: Subject, unfolded: Unfolded) -> tuple[Unfolded, ...]:
    # What lies below the hip of a fitted piece, and what lies above it: each with its own lines.
    return (unfolded,) if subject.above is None else (unfolded, subject.above.unfolded)


def _lines_of(zones: Sequence[Unfolded]) -> list[FlatLine]:
    return [line for zone in zones for line in (*zone.creases, *zone.placements)]


def _beside_grain(
    grain: tuple[complex, complex], zones: Sequence[Unfolded], others: dict[int, list[tuple[complex, ...]]]
) -> list[tuple[complex, ...]]:
    # The lines beside which the word may lie, and all that was drawn there.
    middle, reach = (grain[0] + grain[1]) / 2, abs(grain[1] - grain[0]) / 2 + 12.0
    lines: list[tuple[complex, ...]] = [
        (line.out_top, line.out_hem)
        for line in _lines_of(zones)
        if abs(((middle - line.top) / (line.hem - line.top)).imag) * abs(line.hem - line.top) < reach
    ]
    starts, ends = strokes_of([points for there in others.values() for points in there])
    near = np.flatnonzero(np.abs((starts + ends) / 2 - middle) < np.abs(ends - starts) / 2 + reach)
    return lines + list(zip(starts[near].tolist(), ends[near].tolist(), strict=True))


def _name_rows(subject: Subject, pleats: tuple[LaidPleat, ...]) -> tuple[str, ...]:
    return (subject.name, f"flat, with {all_pleats(subject, pleats)}", *subject.cut_rows())


def _words_of_parts(
    subject: Subject, piece: ToMark, standing: _Standing, beyond: tuple[Words, ...]
) -> tuple[list[Words], list[tuple[complex, complex]], list[Mark], tuple[str, ...]]:
    # What is found room for by trial: the names of parts, the seams above kick pleats, and the name of a piece that no
    # panel had room for. Besides, the grainlines of parts, lines that lead from names beside them, and the parts' rows in
    # the heading.
    unfolded, lines = piece.unfolded, piece.lines
    parted = len(unfolded.seams) > 1
    unnamed = not parted and not any(row.name == "piece-label" for row in standing.words)
    if not (parted or piece.sides or unnamed):
        return [], [], [], ()
    rooms = _rooms(_zones(subject, unfolded), standing)
    for _, stroke in subject.above.level if subject.above is not None else ():
        rooms.take_line(stroke)
    for _, points in subject.through.obstacles if subject.through is not None else ():
        rooms.take_line(points)
    parts = parts_of(unfolded, piece.pleats)
    words = seam_words(piece.sides, unfolded, lines.hand, rooms)
    if unnamed:
        words += block_of(_name_rows(subject, piece.pleats), parts[0], unfolded, rooms, "piece-label")
    if not parted:
        return words, [], [], ()

    def cut_of(part: Part) -> tuple[str, ...]:
        on_fold = part.low == 0 if lines.first is not None else part.high == len(unfolded.creases)
        return subject.cut_rows(subject.ground.fold is not None and not on_fold)

    grains: list[tuple[complex, complex]] = []
    if standing.grain is not None:
        grains, said = part_grains(parts, unfolded, standing.grain, rooms)
        words += said
    named, leaders, part_rows = part_names(subject.name, parts, unfolded, cut_of, rooms, beyond)
    return words + named, grains, leaders, part_rows


def on_page(extent: Box, heading: tuple[str, ...], key: float) -> tuple[complex, complex, float, float]:
    """Return where the piece and the key stand, and how large the page is: the heading above, the key below."""
    left, top, right, bottom = extent
    wide = [width_of(row, HEADING_SIZES[min(k, 1)]) for k, row in enumerate(heading)]
    above = MARGIN + HEADING_SIZES[0] + ROW_PITCH * (len(heading) - 1) + 10.0
    key_top = above + (bottom - top) + 12.0
    width = max(right - left, *wide, KEY_WIDTH) + 2 * MARGIN
    height = key_top + max(KEY_HEIGHT, 20.0 + key) + MARGIN
    offset = complex(MARGIN - left, above - top)
    return offset, complex(MARGIN, key_top), float(int(width) + 1), float(int(height) + 1)


def with_table(table: Table, key_at: complex, width: float, height: float) -> tuple[complex, float, float]:
    """Return where a table stands, from the key's corner, and how large the page is with it: beside the key, else below it."""
    if not table.columns:
        return 0j, width, height
    if KEY_WIDTH + TABLE_GAP + table.width <= width - 2 * MARGIN:
        return (
            complex(KEY_WIDTH + TABLE_GAP, 0.0),
            width,
            max(height, float(int(key_at.imag + table.height + MARGIN) + 1)),
        )
    below = height - MARGIN - key_at.imag + TABLE_GAP
    width = max(width, float(int(table.width + 2 * MARGIN) + 1))
    return complex(0.0, below), width, float(int(key_at.imag + below + table.height + MARGIN) + 1)


def without_notches(count: int, unit: str) -> tuple[str, ...]:
    """Return what is said of notches that had no room."""
    if count <= 0:
        return ()
    return (
        message(
            "{} left out, since a snip must stop {} short of the seam and be at least {} long; mark {} with chalk, or "
            "give {}.",
            "1 notch was" if count == 1 else f"{count} notches were",
            show(SNIP_CLEAR, unit),
            show(SHORTEST_SNIP, unit),
            "that fold line" if count == 1 else "those fold lines",
            option("notch", "triangle"),
        ),
    )


class _Standing(NamedTuple):
    """All that stands on the cloth when words are found room for by trial."""

    marks: tuple[Mark, ...]
    words: tuple[Words, ...]
    stitching: tuple[StitchingLine, ...]
    carriage: Carriage
    grain: tuple[complex, complex] | None


def _rooms(zones: Sequence[Unfolded], standing: _Standing) -> Rooms:
    marks, words, stitching, carriage, grain = standing
    rooms = Rooms()
    for line in _lines_of(zones):
        rooms.take_line((line.out_top, line.out_hem))
    for mark in marks:
        ink = CLASSES[mark.name].ink
        if ink is not None and ink.filled:
            continue  # words may stand on a tint
        for stroke in mark.runs():
            rooms.take_line(stroke)
    for row in words:
        rooms.take_box(row.middle, direction(row.turn), row.width, row.size)
    for stitches in stitching:
        for run in stitches.runs:
            rooms.take_segments(run)
    for carried in carriage.lines:
        rooms.take_segments(carried.segments)
    for text in carriage.texts:
        corners = [text.motion.of(z) for z in text.text.box]
        rooms.take_line((*corners, corners[0]))
    if grain is not None:
        way = grain[1] - grain[0]
        rooms.take_box((grain[0] + grain[1]) / 2, way / abs(way), abs(way), 4.0)
    return rooms


def _obstacles(
    subject: Subject, carriage: Carriage, piece: ToMark, bracket: list[Mark]
) -> list[tuple[int, tuple[complex, ...]]]:
    # What words must keep clear of, by layer: carried segments, the corners of texts, earlier passes, the fold edge's arrow.
    found: list[tuple[int, tuple[complex, ...]]] = [
        (line.layer, segment) for line in carriage.lines for segment in line.segments
    ]
    for text in carriage.texts:
        corners = tuple([text.motion.of(z) for z in text.text.box])
        box = (*corners, corners[0])
        found += [(layer, box) for layer in _layers_under(box, text.layer, piece.unfolded)]
    found += subject.through.obstacles if subject.through is not None else ()
    found += subject.above.level if subject.above is not None else ()
    edge = piece.unfolded.fold_edge
    if bracket and edge is not None:
        ends = range(len(piece.unfolded.creases) + 1)
        at_layers = ends if piece.crossed else ends[-1:] if piece.lines.last is not None else ends[:1]
        points = (*bracket[0].points[:4], *edge)
        reached = {k for layer in at_layers for k in _layers_under(points, layer, piece.unfolded)}
        found += [(layer, points) for layer in sorted(reached)]
    return found


def _layers_under(box: tuple[complex, ...], layer: int, unfolded: Unfolded) -> range:
    # The layers that a box on one of them reaches over.
    low = high = layer
    creases = unfolded.creases

    def crossed(k: int) -> bool:
        way = creases[k].hem - creases[k].top
        off = [((z - creases[k].top) / way).imag for z in box]
        return min(off) < 0 < max(off)

    while low > 0 and crossed(low - 1):
        low -= 1
    while high < len(creases) and crossed(high):
        high += 1
    return range(low, high + 1)


def _extent(
    flats: tuple[Outline, ...],
    marks: tuple[Mark, ...],
    off_cloth: tuple[Words, ...],
    carriage: Carriage,
    through: Through | None,
) -> Box:
    runs: list[Sequence[complex]] = [seg for flat in flats for seg in flat.segments]
    runs += [mark.points for mark in marks]
    runs += [words.corners() for words in off_cloth]
    runs += [segment for line in carriage.lines for segment in line.segments]
    if through is not None:
        runs += [seg for mark in through.earlier.marks for stroke in mark.strokes for seg in stroke]
        runs += [as_words(words).corners() for words in through.earlier.words]
    found = np.fromiter(chain.from_iterable(runs), complex)
    return float(found.real.min()), float(found.imag.min()), float(found.real.max()), float(found.imag.max())
