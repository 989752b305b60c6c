"""A pleated edge as it lies when it is folded: how long it is, and where its folds come to lie along it.

A fold finishes where its line was laid out on the finished piece, so both are read off that piece and nothing is folded for
it; `fold`, and the referee of the tests, find the same from the drawn creases.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NamedTuple

from pleatsvg.errors import FitError, listed
from pleatsvg.geometry.nearest import FoundOutline
from pleatsvg.geometry.outline import Outline
from pleatsvg.piece.both_halves import fold_edge_of
from pleatsvg.piece.edges import Edge, edge_named, seam_edges
from pleatsvg.piece.slash_lines import Chord
from pleatsvg.pleated import PleatedPiece
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.result.roles import Role
from pleatsvg.tolerance import ON_FOLD, ON_LINE

if TYPE_CHECKING:
    from pleatsvg.fitted.fit import Fitted

TOGETHER = 0.05
"""mm. Folds that come to lie nearer to each other along an edge have one notch."""

_STEEPEST = 1.0
"""mm to the side for each mm outwards. The notch of a fold that leans more stands square to the seam."""


class FoldAt(NamedTuple):
    """Where folds come to lie along an edge.

    Attributes:
        at: mm from the edge's left or upper end.
        pleats: their numbers.
        lean: how far the fold line, run on through the allowance, goes to the right (or down) for each mm outwards.
    """

    at: float
    pleats: tuple[int, ...]
    lean: float


@dataclass(frozen=True, slots=True)
class FoldedEdge:
    """A pleated edge, folded, from its left or upper end.

    Attributes:
        piece, edge: their names.
        length: mm, darts sewn up.
        folds: in order.
        clockwise: whether that way goes clockwise round the piece, as at the top and not as at the hem.
        fold_at: at which end the piece is cut on the fold, "start" or "end", or "".
        unit: that its lengths are told in.
    """

    piece: str
    edge: str
    length: float
    folds: tuple[FoldAt, ...]
    clockwise: bool
    fold_at: str = ""
    unit: str = "mm"

    def __str__(self) -> str:
        return f"{self.piece}: {self.edge}"

    @property
    def opened(self) -> FoldedEdge:
        """The whole edge that that of a half piece becomes when its fold is opened out."""
        if not self.fold_at:
            return self
        other = [fold._replace(at=self.length - fold.at, lean=-fold.lean) for fold in reversed(self.folds)]
        own = list(self.folds)
        if self.fold_at == "end":
            row = own + [fold._replace(at=fold.at + self.length) for fold in other]
        else:
            row = other + [fold._replace(at=fold.at + self.length) for fold in own]
        return replace(self, length=2 * self.length, folds=tuple(_merged(row)), fold_at="")

    def data(self) -> dict[str, Any]:
        """Return it for a record of a batch; cf. `folded_edge_from`."""
        return {
            "piece": self.piece,
            "edge": self.edge,
            "length_mm": round(self.length, 6),
            "folds": [[round(fold.at, 6), list(fold.pleats), round(fold.lean, 9)] for fold in self.folds],
            "clockwise": self.clockwise,
            "fold_at": self.fold_at,
            "unit": self.unit,
        }


def folded_edge_from(data: Mapping[str, Any]) -> FoldedEdge | None:
    """Return an edge from what `FoldedEdge.data` kept of it; None where that was spoilt since."""
    try:
        folds = tuple([FoldAt(float(at), tuple(map(int, pleats)), float(lean)) for at, pleats, lean in data["folds"]])
        length, fold_at, unit = float(data["length_mm"]), data["fold_at"], data["unit"]
        sound = all(map(math.isfinite, [length, *[number for fold in folds for number in (fold.at, fold.lean)]]))
        if not sound or length <= 0 or fold_at not in ("", "start", "end") or unit not in ("mm", "cm", "in"):
            return None
        return FoldedEdge(str(data["piece"]), str(data["edge"]), length, folds, bool(data["clockwise"]), fold_at, unit)
    except (KeyError, TypeError, ValueError):
        return None


def folded_edge(result: PleatedPiece, wanted: str | None = None) -> FoldedEdge:
    """Return an edge of a pleated piece as it lies folded.

    Args:
        result: of the job.
        wanted: the edge, as `measure` names it; left out, the one on which the pleats begin.

    Raises:
        FitError: there is no such edge, or nothing is known of where its folds come to lie.
    """
    first = result.first
    name = first.name
    _refuse_passes(result, name)
    if first.lines.ring:
        return _round_edge(first, wanted, name)
    outline = FoundOutline(first.finished.outline.segments)
    edges = seam_edges(outline)
    if first.laid.fitted is not None:
        top = _edge_at(outline, edges, first.laid.fitted.edges[0].chord.top)
        if top is not None and (wanted is None or edge_named(edges, wanted) is top):
            return _fitted_top(first, first.laid.fitted, outline, top)
    found = [(edge, fold) for edge in edges for fold in _folds_on(first, outline, edge)]
    if wanted is not None:
        edge = edge_named(edges, wanted)
    elif found:
        tops = [chord for _, chord, _, _ in _outer_folds(first.pleats)]
        edge = _edge_at(outline, edges, tops[0].top) or found[0][0]
    else:
        raise _without_folds(name, "its edges", edges)
    folds = _merged(sorted([fold for one, fold in found if one is edge]))
    if not folds:
        raise _without_folds(name, f"its {edge.name}", [one for one in edges if any(one is e for e, _ in found)])
    fold_edge = fold_edge_of(first.finished, first.laid.order.fold_edge)
    return FoldedEdge(
        piece=name,
        edge=edge.name,
        length=edge.length,
        folds=tuple(folds),
        clockwise=not _backwards(outline, edge),
        fold_at="" if fold_edge is None else _fold_end(outline, edge, fold_edge),
        unit=first.unit,
    )


def folded_edges(result: PleatedPiece) -> dict[str, FoldedEdge]:
    """Return every edge on which folds lie, by its name; the one on which the pleats begin comes first.

    Raises:
        FitError: cf. `folded_edge`.
    """
    begun = folded_edge(result)
    found = {begun.edge: begun}
    if result.first.lines.ring:
        return found | {"hem": folded_edge(result, "hem")}
    first = result.first
    outline = FoundOutline(first.finished.outline.segments)
    for edge in seam_edges(outline):
        if edge.name not in found and _folds_on(first, outline, edge):
            found[edge.name] = folded_edge(result, edge.name)
    return found


def _fitted_top(first: PleatedPiece, fitted: Fitted, outline: Outline, edge: Edge) -> FoldedEdge:
    # The top of a fitted piece, as it is closed.
    from pleatsvg.fitted.table import top_ends

    closed = fitted.upper.lines.outline
    start, stop = top_ends(fitted)
    folds: list[FoldAt] = []
    for pleat in fitted.above:
        for fold in pleat.folds:
            if fold.role is Role.FOLD:
                at = fold.chord.top_at
                out = (fold.chord.top - fold.chord.hem) / abs(fold.chord.top - fold.chord.hem)
                folds.append(FoldAt(closed.sewn_distance(start, at), (pleat.number,), _lean(closed, at, out)))
    fold_edge = fold_edge_of(first.finished, first.laid.order.fold_edge)
    return FoldedEdge(
        piece=first.name,
        edge=edge.name,
        length=closed.sewn_distance(start, stop),
        folds=tuple(_merged(sorted(folds))),
        clockwise=True,
        fold_at="" if fold_edge is None else _fold_end(outline, edge, fold_edge),
        unit=first.unit,
    )


def _refuse_passes(result: PleatedPiece, name: str) -> None:
    later = result
    across = True
    while later.before is not None:
        across &= later.lines.upright != result.first.lines.upright
        later = later.before
    if result.first.number > 1 or not across:
        raise FitError(
            f"The pleated edge of '{name}'",
            "was folded in several passes",
            "where folds come to lie is known of those of the first pass, with later ones across them",
            "Ask for the companion together with the first pass.",
        )


def _outer_folds(pleats: Iterable[LaidPleat]) -> Iterator[tuple[int, Chord, bool, bool]]:
    # Of each outer fold its pleat, its line, and whether its top and its hem lie on the seam: a kick pleat has no top there.
    for pleat in pleats:
        for fold in pleat.folds:
            if fold.role is Role.FOLD:
                yield pleat.number, fold.chord, pleat.kick is None, True


def _folds_on(first: PleatedPiece, outline: FoundOutline, edge: Edge) -> list[FoldAt]:
    made: list[FoldAt] = []
    back = _backwards(outline, edge)
    for number, chord, top, hem in _outer_folds(first.pleats):
        way = (chord.hem - chord.top) / abs(chord.hem - chord.top)
        for z, out, there in ((chord.top, -way, top), (chord.hem, way, hem)):
            at = _place_on(outline, edge, z) if there else None
            if at is not None:
                far = outline.sewn_distance(edge.start, at)
                lean = _lean(outline, at, out)
                made.append(FoldAt(edge.length - far if back else far, (number,), -lean if back else lean))
    return made


def _lean(outline: Outline, at: float, out: complex) -> float:
    along = outline.heading(min(at, len(outline) * 2 - 1e-9))
    leans = out / (along * -1j)  # real outwards, for an outline that goes clockwise
    if leans.real <= 0 or abs(leans.imag) > _STEEPEST * leans.real:
        return 0.0
    return leans.imag / leans.real


def _place_on(outline: FoundOutline, edge: Edge, z: complex) -> float | None:
    # A place on an edge, counted on like its ends.
    spot = outline.nearest.of(z)
    if spot.away > 10 * ON_LINE:
        return None
    n = len(outline)
    for place in (spot.segment + spot.share, spot.segment + spot.share + n):
        if edge.start - 1e-6 <= place <= edge.end + 1e-6:
            return min(max(place, edge.start), edge.end)
    return None


def _edge_at(outline: FoundOutline, edges: tuple[Edge, ...], z: complex) -> Edge | None:
    return next((edge for edge in edges if _place_on(outline, edge, z) is not None), None)


def _backwards(outline: Outline, edge: Edge) -> bool:
    # Whether a clockwise edge runs from right to left, or upwards.
    way = outline.point(edge.end) - outline.point(edge.start)
    return way.real < 0 if abs(way.real) >= abs(way.imag) else way.imag < 0


def _fold_end(outline: Outline, edge: Edge, fold: Edge) -> str:
    if edge.number == fold.number:
        return ""
    spots = [outline.point(fold.start), outline.point(fold.end)]
    back = _backwards(outline, edge)
    for at, end in ((edge.start, "end" if back else "start"), (edge.end, "start" if back else "end")):
        if min(abs(outline.point(at) - z) for z in spots) <= ON_FOLD:
            return end
    return ""


def _merged(folds: list[FoldAt]) -> list[FoldAt]:
    made: list[FoldAt] = []
    for fold in folds:
        if made and fold.at - made[-1].at <= TOGETHER:
            last = made.pop()
            numbers = tuple(sorted({*last.pleats, *fold.pleats}))
            # Folds that meet from both sides lean both ways at most by a hair; one from each side of a fold edge is square.
            made.append(FoldAt(last.at, numbers, (last.lean + fold.lean) / 2))
        else:
            made.append(fold)
    return made


def _round_edge(first: PleatedPiece, wanted: str | None, name: str) -> FoldedEdge:
    # All round, from where the round begins.
    plain = " ".join((wanted or "top").casefold().split())
    if plain not in ("top", "hem"):
        raise FitError(f"Edge '{wanted}' of '{name}'", "is not there", "all round it has a top and a hem", "Give one.")
    at_top = plain == "top"
    lines, pleats = first.lines, first.pleats
    if at_top and first.laid.fitted is not None:  # as it is closed
        lines, pleats = first.laid.fitted.upper.lines, first.laid.fitted.above
    assert lines.first is not None
    assert lines.last is not None
    outline = lines.outline
    length = (first.top_lengths if at_top else first.hem_lengths)[0]
    base = lines.first.top_at if at_top else lines.first.hem_at
    made: list[FoldAt] = []
    for number, chord, top, _ in _outer_folds(pleats):
        if at_top and not top:
            continue
        here = outline.counted_near(chord.top_at if at_top else chord.hem_at, base)
        far = outline.sewn_distance(base, here) if here >= base else -outline.sewn_distance(here, base)
        far = (far if at_top else -far) % length
        way = (chord.hem - chord.top) / abs(chord.hem - chord.top)
        lean = _lean(outline, (chord.top_at if at_top else chord.hem_at) % len(outline), -way if at_top else way)
        made.append(FoldAt(0.0 if length - far <= TOGETHER else far, (number,), lean if at_top else -lean))
    return FoldedEdge(name, plain, length, tuple(_merged(sorted(made))), at_top, "", first.unit)


def _without_folds(name: str, what: str, edges: list[Edge] | tuple[Edge, ...]) -> FitError:
    where = listed([f"'{edge.name}'" for edge in edges])
    return FitError(
        f"'{name}'",
        f"has no fold on {what}",
        f"folds lie on {where}" if where else "nothing is pleated there",
        "Name the pleated edge that the companion is sewn to.",
    )
