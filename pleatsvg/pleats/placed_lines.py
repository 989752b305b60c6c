"""Slash lines that are not drawn: placed at lengths, or by count, along an edge; and runs beside one line."""

from __future__ import annotations

import math

from pleatsvg.errors import FitError, SlashError
from pleatsvg.geometry.outline import Outline
from pleatsvg.length import show
from pleatsvg.order.placing import Placing
from pleatsvg.piece.edges import Edge, edge_named, seam_edges
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.piece.slash_lines import ALONG, trimmed
from pleatsvg.pleats.spaces import spots_along
from pleatsvg.tolerance import ACROSS_EDGE, ON_FOLD
from pleatsvg.wording import message, option


def run_of_lines(line: StraightLine, count: int, gap: float, outline: Outline, unit: str = "mm") -> list[StraightLine]:
    """Return `count` lines side by side, `gap` mm apart, the first of them `line` itself.

    The others lie to the right of an upright line, or below a level one, parallel to it.

    Raises:
        SlashError: one of them would lie off the piece.
    """
    way = line.end - line.start
    way /= abs(way)
    aside = way * 1j
    if (aside.real if abs(way.imag) >= abs(way.real) else aside.imag) < 0:
        aside = -aside
    made: list[StraightLine] = []
    for k in range(count):
        start, end = line.start + k * gap * aside, line.end + k * gap * aside
        hits = sorted(outline.crossings((start + end) / 2, way), key=ALONG)
        before = [hit for hit in hits if hit.along < 0]
        after = [hit for hit in hits if hit.along >= 0]
        if not before or not after:
            raise SlashError(
                f"Line {k + 1} of {count} beside '{line.name}'",
                f"would lie off the piece, {show(k * gap, unit)} from it",
                "every line of a run must cross the piece",
                message(
                    "Give a smaller {} or {}, or begin farther to the left (or above).", option("gap"), option("count")
                ),
            )
        if k:
            start, end = before[-1].point, after[0].point
        made.append(
            StraightLine(line.name if count == 1 else f"{line.name}, {k + 1} of {count}", start, end, line.family)
        )
    return made


def placed_lines(
    piece: FinishedPiece,
    placing: Placing,
    unit: str = "mm",
    fold_edge: StraightLine | None = None,
    finished: float | None = None,
) -> list[StraightLine]:
    """Return slash lines placed along an edge.

    Args:
        piece: as drawn.
        placing: where the lines are to lie.
        unit: for messages.
        fold_edge: of a piece that is cut on the fold, which is its centre.
        finished: what the edge comes to, in mm, where the piece is drawn as flat cloth: lines that share it out share out
            that, and lie in the middle of the cloth that their pleats take up.

    Raises:
        FitError: the edge is not there or too short for them, or no grainline is drawn to run along.
        SlashError: a line placed so does not run over the piece.
    """
    outline = piece.outline
    edges = seam_edges(outline)
    edge = edge_named(edges, placing.along or "top")
    if len(edges) < 2:
        raise FitError(
            f"Piece '{piece.name}'",
            "has no corners, so no seam edge to measure along",
            "an edge runs from corner to corner",
            "Draw the slash lines on the piece instead.",
        )
    backwards = _starts_right(outline, edge)
    if placing.shares_out:
        centre = _centre_on(piece, edge, fold_edge or piece.centre)
        centre = edge.length - centre if backwards else centre
        if finished is None:
            spots = spots_along(placing, edge.name, edge.length, centre, unit)
        else:
            shares = spots_along(placing, edge.name, finished, centre * finished / edge.length, unit)
            taken = (edge.length - finished) / len(shares)
            spots = [spot + (k + 0.5) * taken for k, spot in enumerate(shares)]
        names = [f"line {k + 1} of {len(spots)}" for k in range(len(spots))]
    else:
        spots = [length.mm for length in placing.at]
        names = [f"line at {length}" for length in placing.at]
    lines: list[StraightLine] = []
    for spot, name in zip(spots, names, strict=True):
        if not 0 < spot < edge.length:
            raise FitError(
                f"The {name}",
                "would lie off the seam",
                f"the {edge.name} is {show(edge.length, unit)} long",
                message(
                    "Give {} a distance along it, measured from its left end (from the upper end of an upright edge).",
                    option("at"),
                ),
            )
        place = outline.sewn_walk(edge.start, edge.length - spot if backwards else spot)
        lines.append(_line_from(piece, edges, edge, place, name, placing.run, unit))
    return lines


def _centre_on(piece: FinishedPiece, edge: Edge, centre: StraightLine | None) -> float:
    # Where the centre of the piece meets an edge, in mm from the edge's start; its middle where none is drawn.
    if centre is None:
        return edge.length / 2
    outline = piece.outline
    way = (centre.end - centre.start) / abs(centre.end - centre.start)
    for place, at in ((edge.start, 0.0), (edge.end, edge.length)):
        if abs(((outline.point(place) - centre.start) * way.conjugate()).imag) <= ON_FOLD:
            return at
    n = len(outline)
    for hit in outline.crossings(centre.start, way):
        for place in (hit.at, hit.at + n):
            if edge.start < place < edge.end:
                return outline.sewn_distance(edge.start, place)
    return edge.length / 2


def _starts_right(outline: Outline, edge: Edge) -> bool:
    chord = outline.point(edge.end) - outline.point(edge.start)
    return chord.real < 0 if abs(chord.real) >= abs(chord.imag) else chord.imag < 0


def _line_from(
    piece: FinishedPiece, edges: tuple[Edge, ...], edge: Edge, place: float, name: str, run: str, unit: str
) -> StraightLine:
    outline = piece.outline
    start = outline.point(place)
    inwards = outline.heading(place) * 1j
    if run == "fan":
        end = _same_share(outline, edges, edge, place)
        return StraightLine(name, start, end)
    way = inwards
    if run == "level":
        way = 1 + 0j
        if piece.grain is not None:
            way = 1j * (piece.grain.end - piece.grain.start)
            way /= abs(way)
        way = _over_the_piece(way, inwards, edge, name, run)
    if run == "grain":
        if piece.grain is None:
            raise FitError(
                f"The {name}",
                "was to run along the grain, but the drawing has no grainline",
                "",
                message(
                    "Draw a line named 'grainline', or place the lines with {} or {}.",
                    option("run", "square"),
                    option("run", "fan"),
                ),
            )
        way = piece.grain.end - piece.grain.start
        way /= abs(way)
        way = _over_the_piece(way, inwards, edge, name, run)
    ahead = [hit for hit in outline.crossings(start, way) if hit.along > 1e-3]
    if not ahead:
        raise SlashError(
            f"The {name}",
            "does not run over the piece",
            "a slash line runs from seam to seam",
            "Place it elsewhere, or draw it on the piece.",
        )
    return StraightLine(name, start, min(ahead, key=lambda hit: hit.along).point)


def line_at(piece: FinishedPiece, place: float, name: str, run: str, unit: str = "mm") -> StraightLine:
    """Return a line placed at a place on the outline, not at a corner; cf. `placed_lines`.

    Raises:
        FitError, SlashError: as `placed_lines`.
    """
    edges = seam_edges(piece.outline)
    n = len(piece.outline)
    edge, there = next(
        ((one, at) for one in edges for at in (place - n, place, place + n) if one.start < at < one.end),
        (edges[0], place),
    )
    return _line_from(piece, edges, edge, there, name, run, unit)


def _over_the_piece(way: complex, inwards: complex, edge: Edge, name: str, run: str) -> complex:
    # The way that leads into the piece, of two; a line that runs along the edge that it is placed on is none.
    across = (way * inwards.conjugate()).real
    degrees = math.degrees(math.asin(min(1.0, abs(across))))
    if degrees < ACROSS_EDGE:
        said, crossed = (
            ("line along the grain", "crosses the grain") if run == "grain" else ("level line", "runs up and down")
        )
        raise SlashError(
            f"The {name}",
            f"would run along the {edge.name}, at {degrees:.0f} degrees to it",
            f"a {said} is placed on an edge that {crossed}, at {ACROSS_EDGE:.0f} degrees or more",
            message("Place it along another edge with {}, or leave out {}.", option("along"), option("run", run)),
        )
    return way if across > 0 else -way


def refuse_over_hem(piece: FinishedPiece, placing: Placing, lines: list[StraightLine], unit: str = "mm") -> None:
    """Refuse lines placed along a side that run out over the hem: what lies beyond would be neither side nor hem.

    Raises:
        SlashError: one of them does.
    """
    edges = seam_edges(piece.outline)
    side = edge_named(edges, placing.along or "top")
    hem = next((edge for edge in edges if edge.name == "hem"), None)
    if hem is None or side.name not in ("left side", "right side"):
        return
    n = len(piece.outline)
    corner = piece.outline.point(hem.start if side.name == "left side" else hem.end)
    for line in lines:
        if piece.shared == line:
            continue
        chord = trimmed(piece.outline, line, unit)
        ends = ((chord.top_at, chord.top), (chord.hem_at, chord.hem))
        on_hem = [z for at, z in ends if any(hem.start + 1e-6 < at + k < hem.end - 1e-6 for k in (0, n))]
        if on_hem and len(on_hem) < 2:
            way = line.end - line.start
            off = abs(math.degrees(math.atan2(way.imag, abs(way.real))))
            raise SlashError(
                f"The {line.name}",
                f"runs out over the hem, {show(abs(on_hem[0] - corner), unit)} from its corner, {off:.1f} degrees off level",
                f"lines placed along the {side.name} run from side to side; that edge slants, and they are square to it"
                if placing.run == "square"
                else f"lines placed along the {side.name} run from side to side",
                message(
                    "Give {}, place it higher, or draw it as it is to run.",
                    option("run", "level"),
                )
                if placing.run == "square"
                else "Place it higher, or draw it as it is to run.",
            )


def _same_share(outline: Outline, edges: tuple[Edge, ...], edge: Edge, place: float) -> complex:
    facing = {"top": "hem", "hem": "top", "left side": "right side", "right side": "left side"}
    opposite = next((e for e in edges if e.name == facing.get(edge.name)), None)
    if opposite is None:
        raise FitError(
            f"The {edge.name}",
            "has no seam edge opposite it to fan the lines to",
            "",
            message("Place the lines with {}, or draw them.", option("run", "square")),
        )
    share = outline.sewn_distance(edge.start, place) / edge.length
    return outline.point(outline.sewn_walk(opposite.start, (1 - share) * opposite.length))
