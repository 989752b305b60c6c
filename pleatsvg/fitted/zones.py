"""The two zones of a fitted piece as written: what folds in each, and what it is folded back onto."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pleatsvg.fitted.fit import Fitted
from pleatsvg.fitted.spliced import ABOVE, BELOW, Spliced, ZoneRun, zone_joins
from pleatsvg.flat.as_written import Target, finished_on_page, outlines_on_page
from pleatsvg.flat.flat_piece import FlatLine, Unfolded, flat_line
from pleatsvg.flat.once_round import FlatEdge, flat_edge
from pleatsvg.geometry.outline import Outline
from pleatsvg.piece.both_halves import BothHalves


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
    fitted: Fitted, spliced: Spliced, flat: Unfolded, ground: BothHalves, offset: complex, drawn: Target
) -> tuple[ZoneWritten, ...]:
    """Return the zones as they will be written, the one above first.

    Args:
        fitted: the piece above and below the hip.
        spliced: its flat piece, as made.
        flat: the same moved onto its page and rounded.
        ground: what its pleats are laid out on.
        offset: from the drawing to the page.
        drawn: its finished seam as drawn, as it will be written.
    """
    upper, lower = fitted.upper, fitted.lower
    above = fitted.cutting_above
    moved = offset + spliced.slide
    asked = [(upper.lines.outline, moved), (lower.lines.outline, offset)]
    cuts = [(above, moved), (lower.cutting, offset), (fitted.cutting, offset)]
    placed = outlines_on_page(asked + [(cutting.outline, by) for cutting, by in cuts if cutting is not None])
    there = iter(placed[2:])
    cut_above, cut_below, cut_drawn = (None if cutting is None else next(there) for cutting, _ in cuts)
    # What is kept of the piece below is the piece as drawn.
    whole = (
        drawn.outline,
        None
        if fitted.cutting is None
        else finished_on_page(fitted.cutting.outline, ground, fitted.drawn, offset, fitted.cutting, cut_drawn).outline,
    )
    seams, cut_edges = _edges(flat.seam, spliced.seam_of), _edges(flat.cut, spliced.cut_of)
    creases, placements = _parts(flat.creases), _parts(flat.placements)
    made: list[ZoneWritten] = []
    for k, (name, lines, sources, cutting, seam_there, cut_there, cut_sources, by) in enumerate(
        (
            (ABOVE, upper.lines, upper.sources, above, placed[0], cut_above, fitted.cut_sources, moved),
            (BELOW, lower.lines, lower.sources, lower.cutting, placed[1], cut_below, lower.cut_sources, offset),
        )
    ):
        seam = finished_on_page(lines.outline, ground, lines, by, None, seam_there)
        seam = Target(seam.outline, seam.segments, _but_level(seam, sources))
        cut = None
        if cutting is not None:
            cut = finished_on_page(cutting.outline, ground, lines, by, cutting, cut_there)
            # Of what is trimmed less is covered; the allowances of joins lie beyond their layers.
            trimmed = (spliced.below if name == BELOW else spliced.above).trimmed
            free = flat.joins or trimmed or (name == BELOW and flat.hem_off)
            cut = Target(cut.outline, cut.segments, frozenset() if free else _but_level(cut, cut_sources))
        own = replace(
            flat,
            seam=seams[name],
            cut=cut_edges[name],
            creases=creases[k],
            placements=placements[k],
            joins=zone_joins(flat.joins, name),
        )
        kept = whole if name == BELOW else (seam.outline, None if cut is None else cut.outline)
        made.append(ZoneWritten(name, own, seam, cut, kept))
    return tuple(made)


def _but_level(target: Target, sources: tuple[object, ...]) -> frozenset[int]:
    # Which segments of a finished line some layer must cover: none along the level.
    asked = range(len(target.outline)) if target.wanted is None else target.wanted
    return frozenset([k for k in asked if sources[k] is not None])


def _edges(edges: tuple[FlatEdge, ...], of: tuple[ZoneRun, ...]) -> dict[str, tuple[FlatEdge, ...]]:
    # By zone the edges that fold in it, each with what it is of the zone's own finished line.
    made: dict[str, list[FlatEdge]] = {ABOVE: [], BELOW: []}
    at = 0
    for zone, origins in of:
        own = edges[at : at + len(origins)]
        at += len(own)
        made[zone] += map(
            flat_edge, [(points, layer, origin) for (points, layer, _), origin in zip(own, origins, strict=True)]
        )
    return {zone: tuple(row) for zone, row in made.items()}


def _parts(lines: tuple[FlatLine, ...]) -> tuple[tuple[FlatLine, ...], tuple[FlatLine, ...]]:
    # What of the lines lies above the level, and below it.
    if not lines:
        return (), ()
    roles, pleats, folds, tops, hems, on, out_tops, out_hems, rooms, amids, bends = zip(*lines, strict=True)
    straight = [None] * len(lines)
    ended = [(room, -1.0) for room, _ in rooms]
    above = zip(roles, pleats, folds, tops, bends, on, out_tops, bends, ended, amids, straight, strict=True)
    begun = [(-1.0, room) for _, room in rooms]
    below = zip(roles, pleats, folds, bends, hems, on, bends, out_hems, begun, amids, straight, strict=True)
    return tuple(map(flat_line, above)), tuple(map(flat_line, below))
