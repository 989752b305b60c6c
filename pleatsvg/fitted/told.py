"""What is told of a fitted piece, in plain words: where it would be kinder, where cloth has to be eased in."""

from __future__ import annotations

import math
from collections.abc import Iterable
from operator import itemgetter

from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.fitted.fit import Fitted
from pleatsvg.fitted.refusals import curve_gives
from pleatsvg.length import show
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.open_darts import open_darts
from pleatsvg.tolerance import FITTED_OFF, KIND_LEAN, LEAST_PANEL, MIDDLE_SLIDES, SEAM_MOVED, SEAM_OFF, WIDEST_SHARE
from pleatsvg.wording import message, option


def fitted_remarks(fitted: Fitted, unit: str) -> list[str]:
    """Return what is told of a fitted piece, in plain words."""
    edges, closed = fitted.edges, fitted.closed
    less = fitted.top.length - closed.length
    said = [
        *_of_darts(fitted, unit),
        f"The top comes to {show(closed.length, unit)}, {show(less, unit)} less than "
        f"{'with its darts open' if fitted.taken else 'drawn'}; what is below the hip is as drawn. "
        "Press the top over a board's end: it cannot lie flat together with the hip.",
    ]
    rows = list(zip(edges, closed.leans, strict=True))
    lean, steepest = _most([(math.degrees(lean), edge) for edge, lean in rows])
    if lean > KIND_LEAN:
        count = len({edge.pleat for edge in edges})
        kinder = math.ceil(count * math.tan(math.radians(lean)) / math.tan(math.radians(KIND_LEAN)))
        said.append(
            f"Pleat {steepest.pleat} leans {lean:.1f} degrees above the hip; over {KIND_LEAN:.0f} it drags. {kinder} pleats in "
            f"the place of {count} would lean less."
        )
    wide, edge = _most([((1 if e.on_fold else 2) * e.length * math.tan(lean), e) for e, lean in rows])
    if wide > WIDEST_SHARE:
        said.append(
            f"{show(wide, unit)} vanish at the top in pleat {edge.pleat}; over {show(WIDEST_SHARE, unit)} a bulge is left at "
            "the hip. Let more pleats share it."
        )
    off, edge = _most([(join.off if join else 0.0, e) for join, e in zip(closed.joins, edges, strict=True)])
    if off > SEAM_MOVED:
        said.append(
            f"The top is drawn smooth where its panels meet; at pleat {edge.pleat} it leaves the drawn seam by "
            f"{show(off, unit)}."
        )
    longer, edge = _most([(2 * e.depth * math.tan(lean), e) for e, lean in rows])
    if longer > SEAM_OFF:
        said.append(
            f"Hidden cloth of pleat {edge.pleat} is {show(longer, unit)} too long at the hip; ease it in there, or cut it away "
            "above the hip."
        )
    if fitted.asked.curved:
        give, edge = _most([(curve_gives(e, lean)[0], e) for e, lean in rows])
        said.append(
            "The lines are stitched along curves, from the double bars up, and pressed no sharper than they lie; beside them "
            f"the cloth gives by up to {100 * give:.1f} %, most at pleat {edge.pleat}."
        )
    slides, edge = _most([(2 * e.depth * math.tan(lean / 2) if e.doubled > 1 else 0.0, e) for e, lean in rows])
    if slides > MIDDLE_SLIDES:
        said.append(
            f"The middle layer of pleat {edge.pleat} slides by {show(slides, unit)} at the hip; do not press a crease into it "
            "there."
        )
    # A panel at a side seam or a fold edge goes on beyond it.
    inner = [(width, k) for k, width in enumerate(closed.panels[1:-1], 1)]
    width, k = min(inner, default=(math.inf, 0))
    if width < LEAST_PANEL:
        one, other = edges[k - 1].pleat, edges[k].pleat
        where = f"Between pleats {one} and {other}" if one != other else f"Of the face of pleat {one}"
        said.append(
            f"{where} {show(width, unit)} are left at the top; under {show(LEAST_PANEL, unit)} nothing is seen between two "
            "folds."
        )
    return said


def _most(found: list[tuple[float, PleatEdge]]) -> tuple[float, PleatEdge]:
    return max(found, key=itemgetter(0))


def staying_remarks(piece: FinishedPiece, fitted: Fitted, unit: str) -> list[str]:
    """Return what is told of darts with open legs that stay: the seam runs on over their mouths, which count in the top."""
    staying = [dart for dart in open_darts(piece) if dart.edge.name == "top"]
    if not staying:
        return []
    less = sum([dart.mouth for dart in staying])
    many = len(staying) > 1
    return [
        message(
            "The top of {} counts with the {} of open legs flat; sewn up, {} and {} is left. Give {} to have the pleats take "
            "in what {} in.",
            show(fitted.waist, unit),
            f"{len(staying)} darts" if many else "dart",
            f"{'they take' if many else 'it takes'} {show(less, unit)} more",
            show(fitted.waist - less, unit),
            option("darts", "nearest"),
            "they take" if many else "it takes",
        )
    ]


def _of_darts(fitted: Fitted, unit: str) -> list[str]:
    # What the darts took in, and what the pleats take in instead: the two totals agree where no other length was asked for.
    widths = [one.taken.width for one in fitted.taken]
    if not widths:
        return []
    by_pleat: dict[int, float] = {}
    for edge, share in zip(fitted.edges, fitted.shares, strict=True):
        by_pleat[edge.pleat] = by_pleat.get(edge.pleat, 0.0) + share
    many = len(widths) > 1
    less = sum(widths) - (fitted.top.length - fitted.waist)
    agrees = ", which is as much."
    if abs(less) > FITTED_OFF:
        more = f"{show(abs(less), unit)} {'less' if less > 0 else 'more'}"
        agrees = f", {more}, since the top is to come to {show(fitted.waist, unit)}."
    return [
        f"{'The darts' if many else 'The dart'} in the top took in {_added(widths, unit)}; the pleats take in "
        f"{_added(by_pleat.values(), unit)} instead{agrees}"
    ]


def _added(lengths: Iterable[float], unit: str) -> str:
    # "3 cm + 3 cm = 6 cm"
    row = [length for length in lengths if length > FITTED_OFF]
    total = show(sum(row), unit)
    return (
        total if not 2 <= len(row) <= _MOST_ADDED else f"{' + '.join([show(length, unit) for length in row])} = {total}"
    )


_MOST_ADDED = 8
"""Of more lengths the sum is told alone; each stands in the table."""
