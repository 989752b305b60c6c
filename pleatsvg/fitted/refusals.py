"""What is refused of a fitted piece, and what is told: each with its figure, its limit and what to do."""

from __future__ import annotations

import math
from collections.abc import Sequence
from operator import itemgetter
from typing import TYPE_CHECKING

from pleatsvg.errors import FitError, RequestError
from pleatsvg.fitted.closed import Closed
from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.length import show
from pleatsvg.order.piece_order import Order
from pleatsvg.order.pleat_order import PleatOrder
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.tolerance import (
    KIND_LEAN,
    LEAST_PANEL,
    MIDDLE_SLIDES,
    SEAM_MOVED,
    SEAM_OFF,
    STEEPEST_LEAN,
    WIDEST_SHARE,
)
from pleatsvg.wording import Words, message, option

if TYPE_CHECKING:
    from pleatsvg.fitted.fit import Fitted


def refuse_together(piece: FinishedPiece, order: Order, orders: Sequence[PleatOrder]) -> None:
    """Refuse what cannot be made together with fitted pleats.

    Raises:
        RequestError: something of it is asked for.
    """
    why: list[tuple[Words | str, str]] = []
    kinds = {asked.kind.name: asked.kind for asked in orders}
    if any(kind.kicks for kind in kinds.values()):
        why.append(("Kick pleats", "they begin below the hip"))
    if any(kind.stitched for kind in kinds.values()):
        why.append(("Tucks", "they lie on the cloth, where nothing is shaped beneath them"))
    if any(asked.separate for asked in orders):
        why.append((message("{}", option("underlay", "separate")), "the underlay is shaped with its pleat"))
    if piece.shared is not None:
        why.append((message("{}", option("continue")), "each piece is fitted by itself"))
    if order.cloth_width is not None:
        why.append((message("{}", option("cloth_width")), "a join would lie on a fold that bends at the hip"))
    if order.ring is not None:
        why.append((message("{}", option("ring")), "each piece is fitted by itself"))
    if order.finish is not None:
        why.append((message("{}", option("finish_to")), "the intake is given at the hip"))
    if any(asked.pass_ > 1 for asked in orders) or piece.earlier is not None:
        why.append(("A further pass", "folds that bend at the hip cannot be pleated across"))
    if order.allowances.drawn is not None or piece.cut is not None:
        why.append(("A drawn cutting line", "the one above the hip has to follow the fitted seam"))
    if order.marking.mark is not None:
        why.append((message("{}", option("mark")), "the lines are drawn down to the hip, where they are stitched"))
    if why:
        what, reason = why[0]
        raise RequestError(
            what,
            f"{'are' if what in ('Kick pleats', 'Tucks') else 'is'} asked for together with fitted pleats",
            reason,
            message("Leave it out, or leave out {}.", option("fit_waist")),
        )


def refuse_untoward(edges: Sequence[PleatEdge], closed: Closed, unit: str) -> None:
    """Refuse pleats that lean too far, or over which the seam cannot be drawn true.

    Raises:
        FitError: a lean is over STEEPEST_LEAN, or the top leaves the drawn seam by more than SEAM_OFF.
    """
    for edge, lean, join in zip(edges, closed.leans, closed.joins, strict=True):
        subject = f"Pleat {edge.pleat} at '{edge.name}'"
        if math.degrees(lean) > STEEPEST_LEAN:
            raise FitError(
                subject,
                f"would lean {math.degrees(lean):.1f} degrees above the hip",
                f"over {STEEPEST_LEAN:.0f} degrees cloth does not follow",
                message(
                    "Make more pleats, shape them from lower down with {}, or ask for a longer {}.",
                    option("fit_length"),
                    option("fit_waist"),
                ),
            )
        if join is not None and join.off > SEAM_OFF:
            raise FitError(
                subject,
                f"closes with a step in the top, over which the seam would leave the drawn one by {show(join.off, unit)}",
                f"up to {show(SEAM_OFF, unit)} is eased in",
                "Lay the line nearer to square to the top, let less vanish in it, or move it away from a corner of the top.",
            )


def refuse_level(lines: SlashSet, ground: BothHalves) -> None:
    """Refuse fitted pleats whose lines run across the piece.

    Raises:
        FitError: they do.
    """
    if lines.upright and ground.crossed is None:
        return
    raise FitError(
        f"Slash line '{lines.names[0]}'",
        "runs across the piece",
        "pleats are shaped from the hip up to the waist, along lines that run up and down",
        message("Choose the upright lines with {}, or leave out {}.", option("slash"), option("fit_waist")),
    )


def fitted_remarks(fitted: Fitted, unit: str) -> list[str]:
    """Return what is told of a fitted piece, in plain words."""
    edges, closed = fitted.edges, fitted.closed
    less = fitted.top.length - closed.length
    said = [
        f"The top comes to {show(closed.length, unit)}, {show(less, unit)} less than drawn; what is below the hip is as drawn. "
        "Press the top over a board's end: it cannot lie flat together with the hip."
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
