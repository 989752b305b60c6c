"""A companion on its page: its notches and words, the heading above and the key below. Lengths are in mm."""

from __future__ import annotations

from collections.abc import Sequence

from pleatsvg.companion.notched import notch_words
from pleatsvg.companion.placed import Placed
from pleatsvg.flat.carried import CarriedLine, CarriedText
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.geometry.segment import box_of
from pleatsvg.length import show
from pleatsvg.marks.arrows import fold_edge_arrow
from pleatsvg.marks.words.edge_names import (
    Ground,
    NamedEdge,
    balance_words,
    bracket_words,
    edge_words,
    flat_edges,
    grain_words,
)
from pleatsvg.marks.words.free_room import Rooms
from pleatsvg.page.compose import Sheet, on_page, without_notches
from pleatsvg.page.heading import TRUE_SIZE
from pleatsvg.page.key_rows import key_height
from pleatsvg.page.subject import Subject
from pleatsvg.piece.edges import called_on_cloth
from pleatsvg.pleated import Flattened
from pleatsvg.result.classes import CLASSES
from pleatsvg.result.clear_of import ClearOf, chords_of
from pleatsvg.result.lettering import SIZE, Words, direction, width_of
from pleatsvg.result.mark import Mark, MeasuredNotch

_NAME_SIZES = (6.0, 5.0, SIZE)

_PITCH = 1.35


def companion_sheet(
    subject: Subject, placed: Placed, flattened: Flattened, notches: Sequence[MeasuredNotch], without: int
) -> Sheet:
    """Return the marks, the lettering and the page of a companion.

    Args:
        subject: the companion, and how it is marked.
        placed: what is sewn to it.
        flattened: the piece, and what else is drawn on it.
        notches: for folds and ends.
        without: how many had no room.
    """
    unfolded, carriage, grain = flattened.unfolded, flattened.carriage, flattened.grain
    arrow = fold_edge_arrow(unfolded, subject.lines.hand, subject.lines.last is not None)
    words = _words(subject, placed, flattened, arrow)
    marks = [*arrow, *[notch.mark for notch in notches]]
    heading = _heading(subject, placed)
    key = _key(subject, unfolded, grain is not None, any(line.balance for line in carriage.lines), bool(notches))
    points = [z for flat in unfolded.cuts for seg in flat.segments for z in seg]
    points += [z for mark in marks for z in mark.points]
    points += [z for line in carriage.lines for seg in line.segments for z in seg]
    points += [z for row in words for z in row.corners()]
    offset, key_at, width, height = on_page(box_of(points), heading, key_height(key))
    return Sheet(
        offset=offset,
        width=width,
        height=height,
        marks=tuple(arrow),
        words=tuple(words),
        heading=heading,
        key_at=key_at,
        key=key,
        stitching=(),
        remarks=without_notches(without, subject.unit),
        measured=tuple(notches),
    )


def _heading(subject: Subject, placed: Placed) -> tuple[str, ...]:
    match = placed.match
    count = len([spot for spot in placed.spots if spot.pleats])
    sewn = " and ".join([f"the {edge.edge} of {edge.piece}" for edge in match.pleated])
    rows = [
        f"{subject.name}: notches for {count} fold{'' if count == 1 else 's'}",
        f"RIGHT SIDE UP.{''.join([f' {row}.' for row in subject.cut_rows()[:-1]])} {TRUE_SIZE}",
        subject.allowance_words(),
        f"Its {match.edge[0]} is sewn to {sewn}, right sides together, each fold at its notch.",
    ]
    ends = [
        f"; {show(far, match.unit)} of it lie {words} the pleated edge"
        for far, words in ((match.start, "before"), (match.beyond, "beyond"))
        if far > 0
    ]
    begins = f"The sewing begins at the {match.begins} end of the {match.edge[0]} of {subject.name}"
    rows.append(f"{begins}{''.join(ends)}.")
    return tuple(rows)


def _key(subject: Subject, unfolded: Unfolded, grain: bool, balanced: bool, notched: bool) -> tuple[str, ...]:
    made = "-".join(filter(None, ("companion", subject.marking.notch or ("cut" if unfolded.cut else ""))))
    there = {
        "cut-line": bool(unfolded.cut),
        "seam-line": True,
        "notch": notched,
        "fold-edge": unfolded.fold_edge is not None,
        "grain-line": grain,
        "balance-line": balanced,
    }
    return tuple([f"notch-{made}" if name == "notch" else name for name in CLASSES if there.get(name)])


def _words(subject: Subject, placed: Placed, flattened: Flattened, arrow: Sequence[Mark]) -> list[Words]:
    unfolded, carriage, grain = flattened.unfolded, flattened.carriage, flattened.grain
    drawn = [chords_of(seg) for line in carriage.lines for seg in line.segments]
    drawn += [(*corners, corners[0]) for corners in map(_corners, carriage.texts)]
    drawn += [stroke for mark in arrow for stroke in mark.runs()]
    # The numbers of folds stand by their notches whatever was drawn there; all else keeps clear of them.
    made = notch_words(placed)
    taken = ClearOf(made)
    if grain is not None:
        found = grain_words(grain, drawn, taken)
        made += found
        for row in found:
            taken.take(row)
        taken.take_box((grain[0] + grain[1]) / 2, grain[1] - grain[0], 4.0)
    for mark in arrow[:1]:
        made += bracket_words(mark, drawn[: len(drawn) - len(arrow)], taken)
    ground = Ground(unfolded, subject.lines.hand, {}, {0: drawn}, 0.0)
    made += balance_words([line for line in carriage.lines if line.balance], ground, taken)
    block = _name_block(subject, unfolded, made, carriage.lines, carriage.texts, grain)
    for row in block:
        taken.take(row)
    made += block
    return made + _edge_names(subject, unfolded, ground, taken)


def _corners(text: CarriedText) -> tuple[complex, ...]:
    return tuple([text.motion.of(z) for z in text.text.box])


def _edge_names(subject: Subject, unfolded: Unfolded, ground: Ground, taken: ClearOf) -> list[Words]:
    whole = subject.ground
    flat = flat_edges(unfolded, whole.edge_of, whole.outline.darts, subject.lines.hand)
    named = {
        edge.number: NamedEdge(called_on_cloth(edge, whole.edges).upper(), (show(edge.length, subject.unit),))
        for edge in whole.edges
        if edge.number in flat
    }
    return edge_words(named, flat, ground, taken)


def _name_block(
    subject: Subject,
    unfolded: Unfolded,
    words: Sequence[Words],
    lines: Sequence[CarriedLine],
    texts: Sequence[CarriedText],
    grain: tuple[complex, complex] | None,
) -> list[Words]:
    # What it is called, how often it is cut and which side is up, in its middle, as large as there is room.
    rooms = Rooms()
    for row in words:
        rooms.take_box(row.middle, direction(row.turn), row.width, row.size)
    for line in lines:
        rooms.take_segments(line.segments)
    for text in texts:
        corners = _corners(text)
        rooms.take_line((*corners, corners[0]))
    if grain is not None:
        way = grain[1] - grain[0]
        rooms.take_box((grain[0] + grain[1]) / 2, way / abs(way), abs(way), 4.0)
    said = (subject.name, *subject.cut_rows())
    for rows, size in [*[(said, size) for size in _NAME_SIZES], ((", ".join(said),), SIZE), ((subject.name,), SIZE)]:
        for along in (1 + 0j, -1j):
            pitch = size * _PITCH
            wide, high = max([width_of(row, size) for row in rows]), pitch * (len(rows) - 1) + size
            middle = rooms.find(unfolded.outline, along, wide, high)
            if middle is not None:
                first = middle - along * 1j * pitch * (len(rows) - 1) / 2
                turn = 0.0 if along == 1 else -90.0
                return [
                    Words(row, first + along * 1j * pitch * k, turn, size, "piece-label") for k, row in enumerate(rows)
                ]
    return []
