"""Flattening: the flat piece, with what else is drawn on the finished one; or why it cannot be cut from one layer of cloth."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from pleatsvg.errors import FitError
from pleatsvg.flat.carried import carry
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.grain import marked_grain
from pleatsvg.flat.joins import farther_apart
from pleatsvg.flat.passes.earlier_lines import take_through
from pleatsvg.flat.unfold import crossed_fold, kicks_of, layers_lie_apart, unfold
from pleatsvg.geometry.segment import Segment
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.length import show
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.finished import FinishedPiece, Ring
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.pleated import Flattened, Laid
from pleatsvg.pleats.kick import KickTop
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.tolerance import SEAMS_APART, SNAP
from pleatsvg.wording import message, option

if TYPE_CHECKING:
    from pleatsvg.fitted.spliced import Spliced


def flatten(laid: Laid, used: set[str]) -> Flattened:
    """Return the flat piece, and with it what else is drawn on the finished one.

    Args:
        laid: the pleats on the finished piece.
        used: the names of lines that pleats are made at; they are not carried along.

    Raises:
        PleatError: the flat piece would lie over itself, or what is carried does not fit it.
    """
    piece, order, lines, pleats = laid.piece, laid.order, laid.lines, laid.pleats
    spliced, apart = None, False
    balance_above: tuple[tuple[Segment, ...], ...] = ()
    if laid.fitted is not None:
        from pleatsvg.fitted.closing.taken_along import carry_fitted
        from pleatsvg.fitted.fit import flat_of
        from pleatsvg.fitted.spliced import zones_lie_apart

        spliced = flat_of(laid.fitted, pleats, order.smooth_hem, laid.joins, laid.join_allowance)
        if laid.joins and (farther := farther_apart(spliced.flat)):
            spliced = flat_of(laid.fitted, pleats, False, laid.joins, laid.join_allowance, farther)
        unfolded = spliced.flat
        apart = zones_lie_apart(spliced, lines.hand)
        lines = laid.fitted.drawn
    else:
        unfolded = unfold(lines, pleats, laid.cutting, laid.joins, laid.join_allowance, order.smooth_hem)
        if laid.joins and (farther := farther_apart(unfolded)):
            unfolded = unfold(lines, pleats, laid.cutting, laid.joins, laid.join_allowance, farther=farther)
    if laid.ground.crossed is not None:
        unfolded = replace(unfolded, fold_edge=crossed_fold(piece, laid.ground.crossed, lines, unfolded))
    remarks = []
    if order.smooth_hem:
        off = show(unfolded.hem_off, order.unit)
        by = off if off.startswith("less") else f"up to {off}"
        remarks.append(f"The hem runs smoothly over the hidden cloth; it leaves the folded hem by {by}.")
    if piece.ring is not None:
        for ends, cutting, flat in _ring_zones(piece.ring, laid, unfolded, spliced):
            _refuse_past_the_end(piece, ends, cutting, flat)
    if not apart:
        _refuse_lapping_cloth(piece, lines, unfolded, pleats, spliced is not None)
    if unfolded.trimmed:
        _refuse_seam_outside(piece, unfolded)
    shapes = tuple([shape for shape in piece.shapes if shape.name not in used])
    if laid.fitted is not None and spliced is not None:
        carriage, balance_above = carry_fitted(piece, shapes, laid.fitted, laid.pleats, spliced, order.unit)
    else:
        carriage = carry(shapes, piece.texts, lines, pleats, unfolded, order.unit)
    grain, said = marked_grain(piece, lines, unfolded, order.unit)
    return Flattened(
        unfolded=unfolded,
        through=None
        if piece.earlier is None
        else take_through(piece.earlier, lines, pleats, unfolded, [shape.stroke for shape in shapes]),
        carriage=carriage,
        grain=grain,
        remarks=(*remarks, *said),
        spliced=spliced,
        balance_above=balance_above,
    )


_EndsAll = Sequence[tuple[complex, complex]]


def _ring_zones(
    ring: Ring, laid: Laid, unfolded: Unfolded, spliced: Spliced | None
) -> list[tuple[_EndsAll, Cutting, Unfolded]]:
    # Where the cloth that is laid out all round ends, its cutting line and the flat piece; of a fitted one in either zone.
    if laid.cutting is None:
        return []
    if laid.fitted is None or spliced is None or laid.fitted.closed_all is None:
        return [(ring.ends, laid.cutting, unfolded)]
    motions = laid.fitted.closed_all.motions
    closed = [(own.of(top), own.of(hem)) for own, (top, hem) in zip((motions[0], motions[-1]), ring.ends, strict=True)]
    found: list[tuple[_EndsAll, Cutting, Unfolded]] = [(ring.ends, laid.cutting, spliced.below)]
    if laid.fitted.cutting_above is not None:
        found.append((closed, laid.fitted.cutting_above, spliced.above))
    return found


def _refuse_past_the_end(piece: FinishedPiece, ends: _EndsAll, cutting: Cutting, unfolded: Unfolded) -> None:
    # The allowance of a join that finds no top or hem to end at runs on to where the laid out cloth ends.
    ending = set()
    for top, hem in ends:
        along = (hem - top) / abs(hem - top)
        for index, seg in enumerate(cutting.outline.segments):
            off = [abs(((z - top) * along.conjugate()).imag) for z in (seg[0], seg[-1])]
            if max(abs(far - max(cutting.distances)) for far in off) < SNAP and abs(seg[-1] - seg[0]) > SNAP:
                ending.add(index)
    if any(edge.origin[0] in ending for edge in unfolded.cut):
        raise FitError(
            f"The allowance of '{piece.name}'",
            f"of {max(cutting.distances):.1f} mm meets no other beside a join",
            "the seam there is so hollow that the allowances on its two sides lie over each other",
            message("Take a smaller {}, or fewer and wider pieces.", option("allowance")),
        )


def _refuse_lapping_cloth(
    piece: FinishedPiece, lines: SlashSet, unfolded: Unfolded, pleats: tuple[LaidPleat, ...], bent: bool
) -> None:
    kicks = kicks_of(pleats)
    spot = _touching_seams(unfolded, kicks)
    if spot is None:
        if not bent and layers_lie_apart(unfolded, lines.hand):
            return
        spot = next((z for one in unfolded.cuts if (z := self_crossing(one, loops=False)) is not None), None)
    if spot is not None:
        raise FitError(
            f"The flat piece '{piece.name}'",
            f"would lie over itself near ({spot.real:.0f}, {spot.imag:.0f}) mm on the drawing",
            "a piece is cut from one layer of cloth",
            message(
                "The two allowances of the seam above a kick pleat need room between them: take a smaller {} or a "
                "larger intake, leave out {} where it is the larger one, or give {}.",
                option("allowance"),
                option("hem_intake"),
                option("underlay", "separate"),
            )
            if kicks
            else "Take a smaller intake or fewer lines in one piece, or part the piece at a seam first.",
        )


def _touching_seams(unfolded: Unfolded, kicks: Mapping[int, KickTop]) -> complex | None:
    # Where the two edges of a seam above a kick pleat meet on the flat piece; a taper may bring their ends together.
    for first, kick in kicks.items():
        if not any(first <= join.crease < first + 4 for join in unfolded.joins):
            top = unfolded.motions[first].of(kick.whole.top)
            if abs(unfolded.motions[first + 4].of(kick.whole.top) - top) < SEAMS_APART:
                return top
    return None


def _refuse_seam_outside(piece: FinishedPiece, unfolded: Unfolded) -> None:
    # Where fold lines meet inside the allowance it is trimmed, and may not be left on the wrong side of the seam.
    from pleatsvg.geometry.inside import outside

    spot = outside(unfolded.outline, unfolded.cuts[0])
    if spot is not None:
        raise FitError(
            f"The allowance of '{piece.name}'",
            f"would leave the seam without cloth near ({spot.real:.0f}, {spot.imag:.0f}) mm on the drawing, since fold "
            "lines meet inside it",
            "the cutting line goes round the seam",
            "Take a smaller allowance there, or move the slash line away from that edge.",
        )
