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
from pleatsvg.pleats.words import numbers_in_words
from pleatsvg.tolerance import FITTED_OFF, KIND_LEAN, LEAST_PANEL, MIDDLE_SLIDES, SEAM_MOVED, SEAM_OFF, WIDEST_SHARE
from pleatsvg.wording import Words, message, option


def fitted_remarks(fitted: Fitted, unit: str) -> list[str]:
    """Return what is told of a fitted piece, in plain words."""
    edges, closed = fitted.edges, fitted.closed
    less, level = fitted.top.length - closed.length, fitted.asked.level
    said = [
        *_of_darts(fitted, unit),
        f"The top comes to {show(closed.length, unit)}, {show(less, unit)} less than "
        f"{'with its darts open' if fitted.taken else 'drawn'}; what is below the {level} is as drawn. "
        "Press the top over a board's end: it cannot lie flat together with what is below.",
    ]
    if fitted.asked.curved:
        said.append(_of_curves(fitted, unit))
    rows = list(zip(edges, closed.leans, strict=True))
    over, lean = _over([(math.degrees(lean), edge) for edge, lean in rows], KIND_LEAN)
    if over:
        said.append(
            message(
                "{} degrees above the {}; over {} it drags. {}",
                f"{_pleats(over)} {'leans' if len(over) == 1 else 'lean up to'} {lean:.1f}",
                level,
                f"{KIND_LEAN:.0f}",
                _kinder(fitted, lean),
            )
        )
    over, wide = _over([((1 if e.on_fold else 2) * e.length * math.tan(lean), e) for e, lean in rows], WIDEST_SHARE)
    if over:
        said.append(
            f"{_up_to(over)}{show(wide, unit)} vanish at the top in {_pleats(over, True)}; over {show(WIDEST_SHARE, unit)} a "
            f"bulge is left at the {level}. Let more pleats share it."
        )
    joins = zip(closed.joins, edges, strict=True)
    over, off = _over([(join.off if join else 0.0, edge) for join, edge in joins], SEAM_MOVED)
    if over:
        said.append(
            f"The top is drawn smooth where its panels meet; at {_pleats(over, True)} it leaves the drawn seam by "
            f"{_up_to(over).lower()}{show(off, unit)}."
        )
    over, longer = _over([(2 * e.depth * math.tan(lean), e) for e, lean in rows], SEAM_OFF)
    if over:
        said.append(
            f"Hidden cloth of {_pleats(over, True)} is {_up_to(over).lower()}{show(longer, unit)} too long at the {level}; "
            f"ease it in there, or cut it away above the {level}."
        )
    over, slides = _over(
        [(2 * e.depth * math.tan(lean / 2) if e.doubled > 1 else 0.0, e) for e, lean in rows], MIDDLE_SLIDES
    )
    if over:
        said.append(
            f"The middle layer of {_pleats(over, True)} slides by {_up_to(over).lower()}{show(slides, unit)} at the {level}; "
            "do not press a crease into it there."
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


def _kinder(fitted: Fitted, lean: float) -> Words:
    # What would lean less than so many degrees: what vanishes shared evenly, where it is not, or more pleats.
    edges = fitted.edges
    count = len({edge.pleat for edge in edges})
    vanishing = sum([e.length * math.tan(own) for e, own in zip(edges, fitted.closed.leans, strict=True)])
    even = math.degrees(math.atan(vanishing / sum([e.length for e in edges])))

    def enough(degrees: float) -> int:
        return math.ceil(count * math.tan(math.radians(degrees)) / math.tan(math.radians(KIND_LEAN)))

    if lean - even < _UNEVEN:
        return message("{} pleats in the place of {} would lean less.", enough(lean), count)
    by_darts = any(one.taken.way == "nearest" for one in fitted.taken)
    way = message("with {}", option("darts", "all")) if by_darts else "with no share or weight of their own"
    more = f", and by {enough(even)} less than {KIND_LEAN:.0f}" if even > KIND_LEAN else ""
    return message("Shared by all {} pleats, {}, it would be about {} degrees{}.", count, way, f"{even:.1f}", more)


_UNEVEN = 0.5
"""Degrees. Where one pleat leans so much more than all would on average, sharing helps before more pleats do."""


def _over(found: list[tuple[float, PleatEdge]], bound: float) -> tuple[list[int], float]:
    # The pleats of which something is over a bound, and the most of it.
    return sorted({edge.pleat for value, edge in found if value > bound}), max([value for value, _ in found])


def _pleats(numbers: list[int], amid: bool = False) -> str:
    said = numbers_in_words(numbers)
    return f"{said[0].lower()}{said[1:]}" if amid else said


def _up_to(numbers: list[int]) -> str:
    return "Up to " if len(numbers) > 1 else ""


def _of_curves(fitted: Fitted, unit: str) -> str:
    # Where the intake holds, and by how much cloth beside the curves has to give.
    give, edge = max(
        [(curve_gives(e, lean)[0], e) for e, lean in zip(fitted.edges, fitted.closed.leans, strict=True)],
        key=itemgetter(0),
    )
    least, most = min([e.length for e in fitted.edges]), max([e.length for e in fitted.edges])
    down = show(most, unit) if most - least < 0.5 else f"{show(least, unit)} to {show(most, unit)}"
    return (
        f"The pleats are stitched along curves, from the double bars at the {fitted.asked.foot} up. Their fold and placement "
        f"lines bend half-way up from there, {down} below the top: there the intake holds, and nothing below that bend "
        f"changes. Press no sharper than they lie; beside the curves the cloth gives by up to {100 * give:.1f} %, most at "
        f"pleat {edge.pleat}."
    )


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
