"""The cloth that pleats are laid out on: the piece as drawn, or, where it is cut on the fold, both its halves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pleatsvg.drawing.drawn import DrawnShape
from pleatsvg.errors import FitError
from pleatsvg.geometry.motion import Motion, moved, reflection
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, cut, sign_changes
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.piece.edges import Edge, edge_named, seam_edges
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.tolerance import ON_FOLD, ON_LINE, RUN_ON
from pleatsvg.wording import message, option

FOLD_EDGE = "fold edge"
"""The name under which the fold edge stands in a row of slash lines; no drawn line can have it, since it names a part."""


@dataclass(frozen=True, slots=True)
class BothHalves:
    """What pleats are laid out on.

    Attributes:
        outline: clockwise; of a piece cut on the fold, the drawn half and its mirror image.
        edges: the seam edges of the piece as drawn.
        edge_of: for each segment, the number of the seam edge that it belongs to (its mirror image, that of the other).
        drawn: which segments are drawn.
        fold: the fold edge, from its upper or left end, or None.
    """

    outline: Outline
    edges: tuple[Edge, ...]
    edge_of: tuple[int, ...]
    drawn: tuple[bool, ...]
    fold: StraightLine | None = None
    crossed: StraightLine | None = None
    """The fold edge where the lines run across it: the drawn half is pleated as it is then, and the other half with it."""

    @property
    def on_fold(self) -> bool:
        """Whether the piece is cut on the fold."""
        return self.fold is not None or self.crossed is not None


def both_halves_of(piece: FinishedPiece, fold_edge: str | None = None) -> BothHalves:
    """Return what the pleats of a piece are laid out on.

    Args:
        piece: as drawn.
        fold_edge: the seam edge that is cut on the fold, by name or number; left out, the one that the drawing names.

    Raises:
        FitError: the fold edge is no straight seam edge, or the piece reaches over it.
    """
    outline = piece.outline
    edges = seam_edges(outline)
    of = _edge_of(outline, edges)
    fold = _fold_of(piece, edges, fold_edge)
    if fold is None:
        return BothHalves(outline, edges, of, (True,) * len(outline))
    if not fold.straight:
        raise FitError(
            f"The fold edge, {fold.name} of '{piece.name}',",
            "is curved",
            "cloth is folded along straight lines only",
            "Draw that edge as one straight line, or name another one.",
        )
    n = len(outline)
    first, last = round(fold.start), round(fold.end)
    rest = [(last + k) % n for k in range(n - (last - first))]
    a, b = outline.point(fold.start), outline.point(fold.end)
    mirror = reflection(a, b)
    half: list[Segment] = [outline.segments[k] for k in rest]
    other = [moved(seg[::-1], mirror) for seg in reversed(half)]
    other[0] = (half[-1][-1], *other[0][1:])
    other[-1] = (*other[-1][:-1], half[0][0])
    whole = Outline((*half, *other))
    spot = self_crossing(whole)
    if spot is not None:
        raise FitError(
            f"Piece '{piece.name}'",
            f"reaches over its fold edge near ({spot.real:.1f}, {spot.imag:.1f}) mm on the page",
            "a half piece lies on one side of the fold",
            "Straighten the fold edge, or name another one.",
        )
    numbers = [of[k] for k in rest]
    ends = (a, b) if (a.imag, a.real) < (b.imag, b.real) else (b, a)
    return BothHalves(
        whole,
        edges,
        (*numbers, *reversed(numbers)),
        (True,) * len(rest) + (False,) * len(rest),
        StraightLine(FOLD_EDGE, *ends),
    )


def halves_for_lines(piece: FinishedPiece, halves: BothHalves, lines: Sequence[StraightLine]) -> BothHalves:
    """Return what pleats along some lines are laid out on: where these run across the fold edge, the drawn half alone."""
    fold = halves.fold
    if fold is None:
        return halves
    along = (fold.end - fold.start) / abs(fold.end - fold.start)
    for line in lines:
        way = line.end - line.start
        if abs((way * along.conjugate()).imag) <= abs((way * along.conjugate()).real):
            continue
        for z in (line.start, line.end):
            w = (z - fold.start) * along.conjugate()
            if abs(w.imag) <= RUN_ON and -ON_FOLD <= w.real <= abs(fold.end - fold.start) + ON_FOLD:
                outline = piece.outline
                return BothHalves(
                    outline, halves.edges, _edge_of(outline, halves.edges), (True,) * len(outline), None, fold
                )
    return halves


def fold_edge_of(piece: FinishedPiece, fold_edge: str | None = None) -> Edge | None:
    """Return the seam edge that is cut on the fold, or None."""
    return _fold_of(piece, seam_edges(piece.outline), fold_edge)


def _edge_of(outline: Outline, edges: tuple[Edge, ...]) -> tuple[int, ...]:
    n = len(outline)
    of = [0] * n
    for edge in edges:
        for k in range(round(edge.start), round(edge.end)):
            of[k % n] = edge.number
    return tuple(of)


def _fold_of(piece: FinishedPiece, edges: tuple[Edge, ...], wanted: str | None) -> Edge | None:
    if wanted is not None:
        return edge_named(edges, wanted)
    line = piece.fold_edge
    if line is None:
        return None
    way = (line.end - line.start) / abs(line.end - line.start)
    found: list[tuple[float, Edge]] = []
    for edge in edges:
        ends = (piece.outline.point(edge.start), piece.outline.point(edge.end))
        off = max(abs(((z - line.start) * way.conjugate()).imag) for z in ends)
        along = sorted(((z - line.start) * way.conjugate()).real for z in ends)
        if min(along[1], abs(line.end - line.start)) - max(along[0], 0.0) > ON_LINE:
            found.append((off, edge))
    off, nearest = min(found, key=lambda item: item[0], default=(float("inf"), None))
    if nearest is None or off > ON_FOLD:
        far = f"the nearest one lies {off:.1f} mm from it" if found else "no seam edge runs beside it"
        raise FitError(
            f"The fold edge '{line.name}'",
            "does not lie on a seam edge",
            far,
            message(
                "Draw it along the straight edge that is cut on the fold (within {} mm), or give {} and the name "
                "of that edge as 'measure' prints it.",
                f"{ON_FOLD:.0f}",
                option("fold_edge"),
            ),
        )
    return nearest


def _both(shape: DrawnShape, fold: StraightLine, mirror: Motion) -> tuple[DrawnShape, ...]:
    # A shape and its mirror image, or the two as one.
    from dataclasses import replace

    way = fold.end - fold.start
    flip = way.conjugate() / abs(way)

    def off(z: complex) -> float:
        return ((z - fold.start) * flip).imag

    stroke = shape.stroke
    if shape.part == "balance" and not shape.closed:
        if abs(off(stroke[0][0])) < abs(off(stroke[-1][-1])):
            stroke = tuple([seg[::-1] for seg in reversed(stroke)])
        # Drawn over the fold edge, it ends there.
        last, end = stroke[-1], stroke[-1][-1]
        over = sign_changes([off(z) for z in last]) if off(last[0]) * off(end) < 0 else []
        if len(over) == 1 and abs(off(end)) <= RUN_ON:
            stroke = (*stroke[:-1], cut(last, 0.0, over[0]))
        end = stroke[-1][-1]
        if abs(off(end)) <= RUN_ON and all(off(seg[0]) * off(stroke[0][0]) > 0 for seg in stroke):
            other = tuple([moved(seg[::-1], mirror) for seg in reversed(stroke)])
            between = ((end, other[0][0]),) if abs(other[0][0] - end) > ON_LINE else ()
            return (replace(shape, stroke=(*stroke, *between, *other)),)
    return shape, replace(
        shape, name=f"{shape.name} mirrored", stroke=tuple([moved(seg, mirror) for seg in shape.stroke])
    )


def opened(piece: FinishedPiece, halves: BothHalves) -> FinishedPiece:
    """Return the whole piece that a half one becomes when its fold edge is opened out: everything is there twice.

    A line and its mirror image have one name, so that both are chosen by it; a balance line that is drawn up to the fold edge
    runs on over it as one. Texts stay on the drawn half, so that none is mirrored.
    """
    from dataclasses import replace

    assert halves.fold is not None
    mirror = reflection(halves.fold.start, halves.fold.end)

    def there(line: StraightLine) -> StraightLine:
        return StraightLine(line.name, mirror.of(line.start), mirror.of(line.end), line.family)

    def on_fold(line: StraightLine) -> bool:
        return max(abs(mirror.of(z) - z) for z in (line.start, line.end)) <= 2 * ON_FOLD

    slashes = tuple([one for line in piece.slashes for one in ((line,) if on_fold(line) else (line, there(line)))])
    shapes = tuple([one for shape in piece.shapes for one in _both(shape, halves.fold, mirror)])
    fold = halves.fold
    closed = [
        one
        for dart in piece.closed_darts
        for one in (
            dart,
            dart._replace(point=mirror.of(dart.point), start=mirror.of(dart.end), end=mirror.of(dart.start)),
        )
    ]
    taken = [
        one
        for dart in piece.taken_darts
        for one in (
            dart,
            dart._replace(
                dart=dart.dart._replace(
                    point=mirror.of(dart.dart.point), start=mirror.of(dart.dart.end), end=mirror.of(dart.dart.start)
                )
            ),
        )
    ]
    return replace(
        piece,
        outline=halves.outline.from_top_left(),
        slashes=slashes,
        fold_edge=None,
        centre=StraightLine("centre", fold.start, fold.end),
        shapes=shapes,
        crossing_lines=(),
        closed_darts=tuple(closed),
        taken_darts=tuple(taken),
    )
