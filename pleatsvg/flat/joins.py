"""Where a flat piece is cut in parts: at separate underlays, at a given-up seam, and where the cloth is too narrow."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from pleatsvg.errors import FitError
from pleatsvg.flat.cutting_line import counted_near, line_beside_join
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.grain import carried_grain
from pleatsvg.flat.once_round import Leg, edges_of
from pleatsvg.flat.unfold import kicks_of, unfold
from pleatsvg.geometry.motion import moved
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.overlaps import nearer_than
from pleatsvg.geometry.segment import Segment, extent_of
from pleatsvg.length import show
from pleatsvg.order.piece_order import Order
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.finished import FinishedPiece, Ring, StraightLine
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.result.roles import Role
from pleatsvg.tolerance import ON_FOLD, ON_LINE, PARTS_APART
from pleatsvg.wording import message, option


@dataclass(frozen=True, slots=True)
class Widths:
    """How far everything on a flat piece reaches across the cloth, in mm: pairs of least and most.

    Attributes:
        layers: each layer of cloth.
        ending: for a crease, the allowance beyond it of a part that ends there.
        starting: the same of a part that begins there.
    """

    layers: tuple[tuple[float, float], ...]
    ending: Mapping[int, tuple[float, float]]
    starting: Mapping[int, tuple[float, float]]

    def from_layer(self, first: int) -> Iterator[float]:
        """Yield the width of the part from one layer to itself, to the next, and so on to the last."""
        low, high = self.starting.get(first - 1, (math.inf, -math.inf))
        for layer in range(first, len(self.layers)):
            low, high = min(low, self.layers[layer][0]), max(high, self.layers[layer][1])
            before, after = self.ending.get(layer, (low, high)) if layer + 1 < len(self.layers) else (low, high)
            yield max(high, after) - min(low, before)


def farther_apart(unfolded: Unfolded) -> dict[int, float]:
    """Return how much farther the parts of a piece are to be set apart at its joins, so that none lies over another (mm).

    Parts that turn against each other, as beside a pleat that grows much towards the hem, may meet elsewhere than at their
    join. A part is moved on, away from the join before it, until it lies wholly beyond those it would meet.

    Args:
        unfolded: the flat piece in its parts; one that goes all round in a single part more than it has joins is left as it is.
    """
    if len(unfolded.cuts) != len(unfolded.joins) + 1:
        return {}
    farther: dict[int, float] = {}
    shifts = [0j]
    for number, join in enumerate(unfolded.joins, 1):
        parts = unfolded.cuts[: number + 1]
        way = join.after[0] - join.before[0]
        way /= abs(way)
        begins = min(_along(parts[-1], way))
        shift = shifts[-1]
        while met := nearer_than(PARTS_APART, parts, [*shifts, shift]):
            ends = max([max(_along(parts[k], way)) + (shifts[k] * way.conjugate()).real for k in met])
            shift += way * (ends + 2 * PARTS_APART - begins - (shift * way.conjugate()).real)
        if shift != shifts[-1]:
            farther[join.crease] = abs(shift - shifts[-1])
        shifts.append(shift)
    return farther


def _along(outline: Outline, way: complex) -> list[float]:
    return [value for seg in outline.segments for value in extent_of(tuple([z * way.conjugate() for z in seg]))[::2]]


def widths_of(
    whole: Unfolded,
    pleats: tuple[LaidPleat, ...],
    cutting: Cutting | None,
    joins: Sequence[int],
    beyond: float,
    across: complex,
) -> Widths:
    """Return how far the layers of a flat piece reach, and the allowances of joins beside them.

    Args:
        whole: the flat piece in one part.
        pleats: laid out on the finished piece.
        cutting: its cutting line, or None.
        joins: the creases at which it may be parted.
        beyond: the allowance of a join, mm.
        across: the direction across the cloth.
    """
    flip = across.conjugate()

    def reach(segments: Iterable[Segment]) -> tuple[float, float]:
        boxes = [extent_of(tuple([z * flip for z in seg])) for seg in segments]
        return min([box[0] for box in boxes]), max([box[2] for box in boxes])

    layers: list[list[Segment]] = [[] for _ in whole.motions]
    for edge in whole.cut or whole.seam:
        layers[edge.layer].append(edge.points)
    parted = {join.crease: join.after for join in whole.joins}
    for k, crease in enumerate(whole.creases):
        layers[k].append((crease.out_top, crease.out_hem))
        layers[k + 1].append(parted.get(k, (crease.out_top, crease.out_hem)))
    ending: dict[int, tuple[float, float]] = {}
    starting: dict[int, tuple[float, float]] = {}
    if cutting is not None and beyond > 0:
        chords = [fold.chord for pleat in pleats for fold in pleat.folds]
        kicks = kicks_of(pleats)
        for k in joins:
            mine = cutting.produced(chords[k])
            for layer, allowed in ((k, ending), (k + 1, starting)):
                line = line_beside_join(cutting, chords, whole.motions, k, layer, beyond, kicks)
                line = counted_near(line, mine, cutting.outline)
                legs = [Leg(line.hem_at, mine.hem_at, layer)]
                if not any(first < k < first + 3 for first in kicks):  # these end at the pleat's own top
                    legs.append(Leg(mine.top_at, line.top_at, layer))
                edges = [edge.points for edge in edges_of(cutting.outline, legs, list(whole.motions))]
                allowed[k] = reach([moved((line.top, line.hem), whole.motions[layer]), *edges])
    return Widths(tuple([reach(layer) for layer in layers]), ending, starting)


def joins_for_width(widths: Widths, joins: list[int], inner: list[int], width: float) -> list[int] | float:
    """Return the creases at which to part a flat piece, or the width that its widest part would need.

    The fewest joins are made, each as late as possible going from one side to the other.

    Args:
        widths: how far its layers reach.
        joins: where it is parted anyhow.
        inner: all inner folds, ascending.
        width: of the cloth, mm.
    """
    last = len(widths.layers) - 1
    bounds = sorted({*inner, *joins, last})
    # From the last layer back: what the rest from each bound on needs, in parts and in width.
    fewest: dict[int, tuple[float, int]] = {last: (0, last)}
    narrowest: dict[int, float] = {last: 0.0}
    for before in [*reversed([k for k in bounds if k < last]), -1]:
        fewest[before], narrowest[before] = (math.inf, last), math.inf
        for k, wide in enumerate(widths.from_layer(before + 1), before + 1):
            if k in fewest:
                narrowest[before] = min(narrowest[before], max(wide, narrowest[k]))
                if wide <= width + ON_LINE and fewest[k][0] + 1 <= fewest[before][0]:
                    fewest[before] = fewest[k][0] + 1, k
                if k in joins:
                    break
    if fewest[-1][0] == math.inf:
        return narrowest[-1]
    made: list[int] = []
    at = fewest[-1][1]
    while at < last:
        made.append(at)
        at = fewest[at][1]
    return made


def _joins_round(widths: Widths, joins: list[int], inner: list[int], width: float) -> list[int] | float:
    # All round, the cloth is counted from the last of the joins that are made anyhow, once round to it again.
    closing = joins[-1]
    order = [*range(closing + 1, len(widths.layers)), *range(closing + 1)]
    place = {layer: k for k, layer in enumerate(order)}
    layers = [widths.layers[layer] for layer in order]
    for at, beyond in ((0, widths.starting.get(closing)), (-1, widths.ending.get(closing))):
        if beyond is not None:
            layers[at] = min(layers[at][0], beyond[0]), max(layers[at][1], beyond[1])
    turned = Widths(
        tuple(layers),
        {place[k]: span for k, span in widths.ending.items() if k != closing},
        {place[k]: span for k, span in widths.starting.items() if k != closing},
    )
    found = joins_for_width(
        turned,
        sorted(place[k] for k in joins[:-1]),
        sorted(place[k] for k in inner if k != closing),
        width,
    )
    if isinstance(found, float):
        return found
    return sorted([closing, *[order[k] for k in found]])


Zone = tuple[SlashSet, tuple[LaidPleat, ...], Cutting | None]
"""Lines, the pleats laid out on them, and the cutting line."""


def joins_for(
    piece: FinishedPiece,
    lines: SlashSet,
    pleats: tuple[LaidPleat, ...],
    cutting: Cutting | None,
    order: Order,
    above: Zone | None = None,
) -> tuple[list[int], list[str]]:
    """Return the creases at which the flat piece is parted, by number and ascending, and remarks.

    Of a fitted piece lines, pleats and cutting line are those below the hip, and `above` those above it, where a part may be
    wider.

    Those are the creases of separate underlays, the one where two pieces laid together are parted again, and as few more
    as the width of the cloth asks for.

    Raises:
        FitError: there is no inner fold to part it at, or the parts are still too wide for the cloth.
    """
    joins: list[int] = []
    inner: list[int] = []
    at = 0
    for pleat in pleats:
        here = [k for k, fold in enumerate(pleat.folds, at) if fold.role is Role.INNER]
        inner += here
        if pleat.request.separate:
            middle = at + len(pleat.folds) // 2
            joins += (
                [k for k in here if k in (middle - 1, middle)]
                if not pleat.request.half
                else [here[-1] if pleat.request.half < 0 else here[0]]
            )
        at += len(pleat.folds)
    if piece.shared is not None:
        joins = _with_seam(piece, pleats, inner, joins)
    if piece.ring is not None:
        joins = _at_seams(piece, piece.ring, pleats, inner)
    if order.cloth_width is None:
        return joins, []
    allowed = order.allowances.everywhere
    beyond = allowed.mm if allowed is not None and cutting is not None else 0.0
    whole = unfold(lines, pleats, cutting, joins[-1:] if lines.ring else (), join_allowance=beyond)
    across = _cross_grain(piece, lines, whole)
    widths = widths_of(whole, pleats, cutting, sorted({*joins, *inner}), beyond, across)
    if above is not None:
        top = unfold(*above, joins[-1:] if lines.ring else (), join_allowance=beyond)
        widths = _of_both(widths, widths_of(top, *above[1:], sorted({*joins, *inner}), beyond, across))
    if lines.ring:
        found = _joins_round(widths, joins, inner, order.cloth_width)
    else:
        found = joins_for_width(widths, joins, inner, order.cloth_width)
    if isinstance(found, float):
        raise FitError(
            f"The flat piece '{piece.name}'",
            f"does not fit on cloth {show(order.cloth_width, order.unit)} wide, even when it is parted at inner folds",
            f"its widest part would be {show(found, order.unit)} wide",
            f"Take cloth at least {show(math.ceil(found), order.unit)} wide, or put pleats nearer to each other.",
        )
    added = len(found) - len(joins)
    words = "1 join," if added == 1 else f"{added} joins, each"
    wide = show(order.cloth_width, order.unit)
    remark = f"The cloth is {wide} wide: the flat piece was parted by {words} at an inner fold."
    return found, [remark] if added else []


def _of_both(one: Widths, other: Widths) -> Widths:
    def wider(a: tuple[float, float], b: tuple[float, float]) -> tuple[float, float]:
        return min(a[0], b[0]), max(a[1], b[1])

    return Widths(
        tuple(map(wider, one.layers, other.layers)),
        {k: wider(span, other.ending[k]) for k, span in one.ending.items()},
        {k: wider(span, other.starting[k]) for k, span in one.starting.items()},
    )


def _at_seams(piece: FinishedPiece, ring: Ring, pleats: tuple[LaidPleat, ...], inner: list[int]) -> list[int]:
    # All round, each seam is given up for the inner fold nearest to it; the first and the last seam are one.
    folds = [fold.chord for pleat in pleats for fold in pleat.folds]
    wanted = [*[(seam,) for seam in ring.seams[1:-1]], (ring.seams[0], ring.seams[-1])]
    found: set[int] = set()
    for seams in wanted:
        free = [k for k in inner if k not in found]
        if not free:
            raise FitError(
                f"'{piece.name}'",
                f"has {len(wanted)} seam{'s' if len(wanted) > 1 else ''} all round and {len(inner) or 'no'} inner "
                f"fold{'' if len(inner) == 1 else 's'}",
                "each seam is given up for a join at an inner fold near it, where it is hidden",
                "Make more pleats, of a kind that has an inner fold: knife, box or inverted.",
            )
        # Of two as near, the outer one: so the last pleat closes the ring with the first.
        found.add(
            min(
                free,
                key=lambda k: (
                    round(min(_off(seam, folds[k]) for seam in seams) / ON_FOLD),
                    min(k, len(folds) - 1 - k) if len(seams) > 1 else 0,
                ),
            )
        )
    return sorted(found)


def _off(seam: StraightLine, fold: Chord) -> float:
    along = fold.hem - fold.top
    middle = (seam.start + seam.end) / 2
    return abs(((middle - fold.top) * along.conjugate()).imag / abs(along))


def _with_seam(piece: FinishedPiece, pleats: tuple[LaidPleat, ...], inner: list[int], joins: list[int]) -> list[int]:
    # Two pieces laid together are parted again at the inner fold nearest to the seam that was given up.
    assert piece.shared is not None
    if not inner:
        raise FitError(
            f"The pieces '{piece.name}'",
            "have no pleat with an inner fold",
            "two pieces laid together are parted again at one, where the join is hidden",
            message("Slash along the seam between them, as in {}; tucks hide no join.", option("slash", "right side")),
        )
    middle = (piece.shared.start + piece.shared.end) / 2
    folds = [fold.chord for pleat in pleats for fold in pleat.folds]

    def off(k: int) -> float:
        along = folds[k].hem - folds[k].top
        return abs(((middle - folds[k].top) * along.conjugate()).imag / abs(along))

    return (
        sorted({*joins, min(inner, key=off)})
        if not any(off(k) < min(map(off, inner)) + ON_FOLD for k in joins)
        else joins
    )


def _cross_grain(piece: FinishedPiece, lines: SlashSet, whole: Unfolded) -> complex:
    # The direction across the cloth, on the flat piece.
    grain = carried_grain(piece, lines, whole)
    if grain is not None:
        way = (grain[1] - grain[0]) * 1j
    elif lines.upright:
        way = 1 + 0j
    else:
        way = 1j
    return way / abs(way)
