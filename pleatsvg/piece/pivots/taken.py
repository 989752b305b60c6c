"""Darts that fitted pleats take in: their mouths are filled, so that the seam runs on over them, and how wide each was is kept.

A piece with its darts sewn up is narrower at the top by their mouths. Pleats that are to take in as much are laid out on the
piece with open mouths; over the mouth of a notch the seam is one cubic, tangent to the seam on either side, and the length
of what lies over its mouth is the width of a dart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from pleatsvg.errors import FitError, listed
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, heading, length_of, turn_between
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.pivots.asked import DartSeen, darts_called, darts_seen, placed_on, stops_short
from pleatsvg.piece.pivots.closed import ClosedDart, TakenDart, node_at, refuse_uneven
from pleatsvg.tolerance import AT_CORNER, CORNER_TURN, MOUTH_BENT, ON_LINE
from pleatsvg.wording import message, option


def with_taken_darts(
    piece: FinishedPiece, wanted: Sequence[tuple[str, str]], unit: str
) -> tuple[FinishedPiece, list[str]]:
    """Return the piece with the mouths of those darts filled that its pleats are to take in, and remarks.

    Args:
        piece: as drawn.
        wanted: for each dart its name as for `with_closed_darts`, or "" for those in the top that are not named, and who
            shares it.
        unit: for messages.

    Raises:
        FitError: a name fits no dart, or a dart cannot be closed.
    """
    found = darts_seen(piece)
    chosen: list[tuple[DartSeen, str]] = []
    for name, way in sorted(wanted, key=lambda pair: not pair[0]):
        those = (
            darts_called(piece, found, name, "darts", unit)
            if name
            else [one for one in found if one.dart.edge == "top"]
        )
        if not those:
            there = [one.dart.words for one in found]
            raise FitError(
                option("darts", way),
                f"finds no dart in the top of '{piece.name}'",
                f"there {'is' if len(there) == 1 else 'are'} {listed(there)}" if there else "it has none",
                message(
                    "{}Draw a dart as a notch in the seam, or as two open legs that meet; name one elsewhere, as in {}.",
                    stops_short(piece, unit),
                    option("darts", "edge 3=nearest"),
                ),
            )
        chosen += [(one, way) for one in those if all(one is not other for other, _ in chosen)]
    remarks = [f"Left as drawn: {short.strip()}"] if (short := stops_short(piece, unit)) else []
    outline = piece.outline
    taken: list[TakenDart] = []
    for one, way in chosen:
        refuse_uneven(one.dart, one.bent, unit)
        remarks += one.remarks(unit, "its width at the seam counts")
        outline, width = _filled(outline, one.dart)
        taken.append(TakenDart(one.dart, width, way))
    gone = {name for one, _ in chosen for name in one.drawn_by}
    return replace(
        piece,
        outline=outline.from_top_left(),
        shapes=tuple([shape for shape in piece.shapes if shape.name not in gone]),
        taken_darts=tuple(taken),
    ), remarks


def _filled(outline: Outline, dart: ClosedDart) -> tuple[Outline, float]:
    # The outline that runs on over the mouth, and the length of what lies over it.
    n = len(outline)
    start, end = placed_on(outline, dart)
    if node_at(outline, dart.point) is None and _smooth(outline, start, end):
        return outline, outline.distance(start, end)
    kept = [outline.part(s) for s in outline.stretches(end, start + n)]
    kept = [seg for seg in kept if max(abs(z - seg[0]) for z in seg[1:]) > ON_LINE]
    p, q = kept[-1][-1], kept[0][0]
    way = (q - p) / abs(q - p)
    handle = abs(q - p) / 3
    # Beside a corner of the piece there is no seam to be tangent to.
    off, to = (
        seam if turn_between(seam, way) <= CORNER_TURN else way
        for seam in (heading(kept[-1], 1.0), heading(kept[0], 0.0))
    )
    mouth: Segment = (p, p + off * handle, q - to * handle, q)
    return Outline((*kept, mouth)), length_of(mouth)


def _smooth(outline: Outline, start: float, end: float) -> bool:
    # Whether the seam over the mouth of two open legs runs on as beside it; over a dart that was trued it is peaked.
    nodes = range(math.ceil(start - AT_CORNER), math.floor(end + AT_CORNER) + 1)
    return all(outline.turn_at(node) <= MOUTH_BENT for node in nodes)
