"""A cutting line that is drawn, as it becomes above the hip: turned with the panels, joined over closed edges as the seam is.

Nothing of it is drawn anew but where panels meet: there it makes a step and a bend as the seam does, and one cubic runs over
them, tangent to both. In mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from pleatsvg.fitted.closed import Closed, Top, closed_by
from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.fitted.lower import Sources, out_on
from pleatsvg.fitted.upper import upper_piece
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.slash_lines import Chord, SlashSet


def drawn_cut_closed(
    lines: SlashSet,
    edges: Sequence[PleatEdge],
    closed: Closed,
    hip_ends: tuple[complex, complex],
    cutting: Cutting,
    unit: str,
) -> tuple[Cutting, Sources]:
    """Return the cutting line of the closed piece, down to the hip level and along it, and what of the drawn one it is.

    Its distances are left as drawn, for each segment of the drawn seam.

    Args:
        lines: on the drawn piece.
        edges: of all pleats.
        closed: the panels as closed.
        hip_ends: where the hip level meets the sides, or the fold edge.
        cutting: as drawn.
        unit: for messages.

    Raises:
        FitError: leaning lines meet in the allowance.
    """
    outline = cutting.outline
    out: dict[int, Chord] = {}
    near = cutting.produced(edges[0].chord)
    for chord in [edge.chord for edge in edges]:
        if id(chord) not in out:
            there = cutting.produced(chord)
            near = there._replace(
                top_at=outline.counted_near(there.top_at, near.top_at),
                hem_at=outline.counted_near(there.hem_at, near.hem_at),
            )
            out[id(chord)] = near
    longer = [replace(edge, chord=out[id(edge.chord)]) for edge in edges]
    ends: list[float] = []
    exits: list[complex] = []
    for k, fold, near in ((0, lines.first, longer[0].chord), (-1, lines.last, longer[-1].chord)):
        if fold is not None:
            ends.append(outline.counted_near(cutting.produced(fold).top_at, near.top_at))
            exits.append(hip_ends[k])
            continue
        # From the hip level on, produced to the cutting line, all of a side goes with the panel beside it.
        at, spot = out_on(outline, hip_ends[k], edges[k].hip)
        n = len(outline)
        ahead = math.floor((near.top_at - at) / n) if k == 0 else math.ceil((near.top_at - at) / n)
        ends.append(at + n * ahead)
        exits.append(spot)
    top = Top(ends[0], ends[1], outline.sewn_distance(*ends))
    folds = [None if fold is None else cutting.produced(fold) for fold in (lines.first, lines.last)]
    beyond = replace(lines, outline=outline, first=folds[0], last=folds[1])
    made = closed_by(beyond, longer, top, closed.leans, unit)
    upper = upper_piece(beyond, longer, made, ((), ()), (exits[0], exits[1]))
    sources = tuple([None if source is None else (source, 0.0, 1.0) for source in upper.sources])
    return replace(cutting, outline=upper.lines.outline), sources
