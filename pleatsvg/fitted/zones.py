"""The two zones of a fitted piece as written: what folds in each, and what it is folded back onto."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import islice

from pleatsvg.fitted.fit import Fitted
from pleatsvg.fitted.spliced import ABOVE, BELOW, Spliced, ZoneRun, zone_joins
from pleatsvg.flat.as_written import Target, finished_on_page
from pleatsvg.flat.flat_piece import FlatLine, Unfolded, flat_line
from pleatsvg.flat.once_round import FlatEdge, flat_edge
from pleatsvg.geometry.outline import Outline
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.slash_lines import SlashSet


@dataclass(frozen=True, slots=True)
class ZoneWritten:
    """A zone of a fitted piece as written, above the hip or below it.

    Attributes:
        name: "above" or "below".
        flat: its parts of the flat seam and cutting line, its parts of creases and placement lines.
        seam, cutting: what these are folded back onto; no cutting line where there is none.
        outlines: the finished seam and cutting line of the zone, closed, as they are kept for whoever folds it.
    """

    name: str
    flat: Unfolded
    seam: Target
    cutting: Target | None
    outlines: tuple[Outline, Outline | None]


def zones_on_page(
    fitted: Fitted, spliced: Spliced, flat: Unfolded, ground: BothHalves, offset: complex
) -> tuple[ZoneWritten, ...]:
    """Return the zones as they will be written, the one above first.

    Args:
        fitted: the piece above and below the hip.
        spliced: its flat piece, as made.
        flat: the same moved onto its page and rounded.
        ground: what its pleats are laid out on.
        offset: from the drawing to the page.
    """
    upper, lower = fitted.upper, fitted.lower
    made: list[ZoneWritten] = []
    for name, lines, cutting, sources, cut_sources, moved in (
        (ABOVE, upper.lines, fitted.cutting_above, upper.sources, fitted.cut_sources, offset + spliced.slide),
        (BELOW, lower.lines, lower.cutting, lower.sources, lower.cut_sources, offset),
    ):
        seam = _target(lines, ground, moved, None, sources)
        cut = None if cutting is None else _target(lines, ground, moved, cutting, cut_sources)
        kept: tuple[Outline, Outline | None] = seam.outline, None if cut is None else cut.outline
        if name == BELOW:
            # What is kept of the piece below is the piece as drawn.
            whole = fitted.drawn
            kept = (
                finished_on_page(whole.outline, ground, whole, offset).outline,
                None
                if fitted.cutting is None
                else finished_on_page(fitted.cutting.outline, ground, whole, offset, fitted.cutting).outline,
            )
        zone = replace(
            flat,
            seam=_edges(flat.seam, spliced.seam_of, name),
            cut=_edges(flat.cut, spliced.cut_of, name),
            creases=tuple(_parts(flat.creases, name)),
            placements=tuple(_parts(flat.placements, name)),
            joins=zone_joins(flat.joins, name),
        )
        if cut is not None and flat.joins:  # the allowances of joins lie beyond their layers
            cut = replace(cut, wanted=frozenset())
        if cut is not None and (spliced.below if name == BELOW else spliced.above).trimmed:
            cut = replace(cut, wanted=frozenset())
        if cut is not None and name == BELOW and flat.hem_off:
            cut = replace(cut, wanted=frozenset())
        made.append(ZoneWritten(name, zone, seam, cut, kept))
    return tuple(made)


def _target(
    lines: SlashSet, ground: BothHalves, offset: complex, cutting: Cutting | None, sources: tuple[object, ...]
) -> Target:
    outline = lines.outline if cutting is None else cutting.outline
    found = finished_on_page(outline, ground, lines, offset, cutting)
    asked = range(len(outline)) if found.wanted is None else found.wanted
    return replace(found, wanted=frozenset([k for k in asked if sources[k] is not None]))


def _edges(edges: tuple[FlatEdge, ...], of: tuple[ZoneRun, ...], name: str) -> tuple[FlatEdge, ...]:
    rest = iter(edges)
    return tuple(
        [
            flat_edge((points, layer, origin))
            for zone, origins in of
            for own in [list(islice(rest, len(origins)))]
            if zone == name
            for (points, layer, _), origin in zip(own, origins, strict=True)
        ]
    )


def _parts(lines: Iterable[FlatLine], name: str) -> list[FlatLine]:
    made: list[FlatLine] = []
    for line in lines:
        role, pleat, folds, top, hem, layer, out_top, out_hem, rooms, amid, bend = line
        assert bend is not None
        if name == ABOVE:
            hem, out_hem, rooms = bend, bend, (rooms[0], -1.0)
        else:
            top, out_top, rooms = bend, bend, (-1.0, rooms[1])
        made.append(flat_line((role, pleat, folds, top, hem, layer, out_top, out_hem, rooms, amid, None)))
    return made
