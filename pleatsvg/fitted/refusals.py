"""What is refused of a fitted piece, and what is told: each with its figure, its limit and what to do."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from pleatsvg.errors import FitError, RequestError
from pleatsvg.fitted.closed import Closed
from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, heading, length_of, turn_between
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.length import show
from pleatsvg.order.piece_order import Order
from pleatsvg.order.pleat_order import PleatOrder
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.tolerance import (
    CORNER_REACH,
    CORNER_TURN,
    SEAM_OFF,
    STEEPEST_LEAN,
)
from pleatsvg.wording import Words, message, option


def _turn_of(curve: Segment) -> float:
    # The most that a curve turns within CORNER_REACH, in degrees; 0 where it turns less all in all, as its handles say.
    if len(curve) == 4:
        a, b, c, d = curve
        u, v, w = b - a, c - b, d - c
        least = _HALF_CORNER * abs(v)
        if (u * v.conjugate()).real > least * abs(u) and (w * v.conjugate()).real > least * abs(w):
            return 0.0
    steps = [b - a for a, b in pairwise(curve) if b != a]
    if sum([turn_between(a, b) for a, b in pairwise(steps)]) <= CORNER_TURN:
        return 0.0
    ways = [(length_of(curve, 0.0, k / _LOOKS), heading(curve, k / _LOOKS)) for k in range(_LOOKS + 1)]
    return max(
        [
            turn_between(one, other)
            for k, (at, one) in enumerate(ways)
            for there, other in ways[k + 1 :]
            if there - at <= CORNER_REACH
        ],
        default=0.0,
    )


_HALF_CORNER = math.cos(math.radians(CORNER_TURN / 2 - 0.1))
"""Where either half of a curve turns by less than this says, the whole is no corner."""

_LOOKS = 16
"""Places on the curve over a closed edge at which its way is asked: of 40 mm, every 2.5."""


def refuse_together(piece: FinishedPiece, order: Order, orders: Sequence[PleatOrder]) -> None:
    """Refuse what cannot be made together with fitted pleats.

    Raises:
        RequestError: something of it is asked for.
    """
    assert order.fit is not None
    why: list[tuple[Words | str, str]] = []
    kinds = {asked.kind.name: asked.kind for asked in orders}
    if any(kind.kicks for kind in kinds.values()):
        why.append(("Kick pleats", "they begin below where the others are shaped"))
    if any(kind.stitched for kind in kinds.values()):
        why.append(("Tucks", "they lie on the cloth, where nothing is shaped beneath them"))
    if any(asked.separate for asked in orders):
        why.append((message("{}", option("underlay", "separate")), "the underlay is shaped with its pleat"))
    if piece.shared is not None:
        why.append((message("{}", option("continue")), "each piece is fitted by itself"))
    if order.pivot or piece.closed_before:
        why.append((message("{}", option("pivot")), "a pleat at a dart's point has no line below it"))
    if order.finish is not None and (order.finish.balance or any(a.intake_top != a.intake_hem for a in orders)):
        why.append((message("{} with pleats that taper", option("finish_to")), "there the intake holds at the top"))
    if any(asked.pass_ > 1 for asked in orders) or piece.earlier is not None:
        why.append(("A further pass", "folds that bend cannot be pleated across"))
    if why:
        what, reason = why[0]
        raise RequestError(
            what,
            f"{'are' if what in ('Kick pleats', 'Tucks') else 'is'} asked for together with fitted pleats",
            reason,
            message("Leave it out, or leave out {}.", option("fit_waist" if order.fit.waist is not None else "darts")),
        )


def refuse_untoward(edges: Sequence[PleatEdge], closed: Closed, level: str, unit: str) -> None:
    """Refuse pleats that lean too far, or over which the seam cannot be drawn true; `level` is what that one is called at
    which their lines bend.

    Raises:
        FitError: a lean is over STEEPEST_LEAN, or the top leaves the drawn seam by more than SEAM_OFF.
    """
    for edge, lean, join in zip(edges, closed.leans, closed.joins, strict=True):
        subject = f"Pleat {edge.pleat} at '{edge.name}'"
        if math.degrees(lean) > STEEPEST_LEAN:
            raise FitError(
                subject,
                f"would lean {math.degrees(lean):.1f} degrees above the {level}",
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
        turn = 0.0 if join is None else _turn_of(join.curve)
        if turn > CORNER_TURN:
            raise FitError(
                subject,
                f"closes with a bend in the top that turns by {turn:.0f} degrees within {show(CORNER_REACH, unit)}, since the "
                "panels beside it are so narrow there",
                f"over {CORNER_TURN:.0f} degrees it is a corner, and the top is sewn on as one smooth edge",
                "Let less vanish there, lay its line farther from its neighbours, or make fewer pleats.",
            )
        missed = curve_gives(edge, lean)[1] if edge.curved else 0.0
        if missed > SEAM_OFF:
            raise FitError(
                subject,
                f"is stitched along a curve, with which its hidden top would miss the seam by {show(missed, unit)}",
                f"up to {show(SEAM_OFF, unit)} is eased in",
                message(
                    "Take a smaller {}, let less vanish in it, or give {}.",
                    option("intake"),
                    option("shaping", "straight"),
                ),
            )


def refuse_closed_over_itself(outline: Outline, leans: Sequence[float], level: str) -> None:
    """Refuse panels that close above the hip until they lie over one another.

    Args:
        outline: of the closed piece.
        leans: of its edges, all round of those of one round, in radians.
        level: what that one is called at which their lines bend.

    Raises:
        FitError: they do.
    """
    turn = 2 * sum(leans)
    if turn < math.pi / 2 or self_crossing(outline) is None:
        return
    raise FitError(
        f"The piece above the {level}",
        f"would close round by {math.degrees(turn):.0f} degrees, all its pleats taken together, and come to lie over itself",
        "its panels are laid side by side in one plane, once round at the most",
        message(
            "Shape the pleats from lower down with {}, or ask for a longer {}.",
            option("fit_length"),
            option("fit_waist"),
        ),
    )


def curve_gives(edge: PleatEdge, lean: float) -> tuple[float, float]:
    """Return by what share cloth beside a curved line, as far off as the pleat is deep, has to give along it, and by how much
    its hidden top misses the seam, mm: about 2ws/L^2 and w^2 s/L^2 for a share s over a length L, at a distance w."""
    share, length = 2 * edge.length * math.tan(lean), edge.stitched
    return 2 * edge.depth * share / length**2, edge.depth**2 * share / length**2


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
        "pleats are shaped towards the waist, along lines that run up and down",
        message("Choose the upright lines with {}, or leave out {}.", option("slash"), option("fit_waist")),
    )
