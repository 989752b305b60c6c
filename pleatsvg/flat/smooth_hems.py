"""Smooth hems: for pleats that hang open at the hem, one curve over each pleat's hidden cloth instead of the trued zigzag.

A cubic runs from where the cloth disappears beneath a fold to where it comes out again, in the directions of the hem at
both. It leaves the folded hem by design, so it is a free edge, and the creases end on it. Lengths are in mm.
"""

from __future__ import annotations

from typing import NamedTuple

from pleatsvg.flat.once_round import Leg
from pleatsvg.geometry.motion import Motion
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, heights, point_at, sign_changes
from pleatsvg.piece.slash_lines import Chord
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.result.roles import Role
from pleatsvg.tolerance import ON_LINE


class Hidden(NamedTuple):
    """A run of cloth that is hidden when folded: from the visible layer `before` to the visible layer `after` it, which
    meet at `border` on the finished piece; `pleat` is the number of its pleat."""

    before: int
    after: int
    border: Chord
    pleat: int


def hidden_runs(pleats: tuple[LaidPleat, ...]) -> list[Hidden]:
    """Return what every pleat hides; tucks and half pleats hide nothing that can be smoothed."""
    found: list[Hidden] = []
    base = 0
    for pleat in pleats:
        if not (pleat.request.kind.stitched or pleat.request.half):
            at = base
            for place, (fold, after) in enumerate(zip(pleat.folds, pleat.folds[1:], strict=False), base + 1):
                if fold.role is after.role is Role.FOLD and fold.chord is not after.chord:
                    found.append(Hidden(at, place, fold.chord, pleat.number))  # up to a face
                    at = place
            found.append(Hidden(at, base + len(pleat.folds), pleat.last, pleat.number))
        base += len(pleat.folds)
    return found


def smoothed(
    outline: Outline, legs: list[Leg], runs: list[Hidden], hems: list[float], motions: list[Motion]
) -> tuple[list[Leg], list[Segment]]:
    """Return legs whose hem runs smoothly over hidden cloth, and the curves, flat.

    Args:
        outline: the seam or the cutting line that the legs follow.
        legs: once round the whole.
        runs: what is hidden.
        hems: for each, the place of its border's hem end on the outline, counted on like the legs.
        motions: of every layer.
    """
    curves: list[Segment] = []
    made = list(legs)
    for run, place in zip(runs, hems, strict=True):
        ahead = outline.heading(place)
        spot = outline.point(place)
        start, end = motions[run.after].of(spot), motions[run.before].of(spot)
        third = abs(end - start) / 3
        leave = motions[run.after].turn * ahead
        arrive = motions[run.before].turn * ahead
        curve = (start, start + third * leave, end - third * arrive, end)
        curves.append(curve)
        # Going round, the hem comes from the layer after: it ends at the border, and the one before goes on from there.
        last_top = max(k for k, leg in enumerate(made) if leg.layer == len(motions) - 1)
        back = range(last_top, len(made))
        kept = made[:last_top]
        placed = False
        for k in back:
            leg = made[k]
            if leg.layer == run.after and leg.fold is None and not leg.path:
                kept.append(leg._replace(end=place))
                kept.append(Leg(0.0, 0.0, run.before, path=(curve,), flat=True))
                placed = True
            elif run.before < leg.layer < run.after:
                continue
            elif leg.layer == run.before and leg.fold is None and not leg.path and run.before > 0:
                kept.append(leg._replace(start=place))
            else:
                kept.append(leg)
        if not placed:
            continue
        if run.before == 0:
            first = next(k for k, leg in enumerate(kept) if leg.layer == 0 and leg.fold is None)
            kept[first] = kept[first]._replace(start=place)
        made = kept
    return made, curves


def end_on(curve: Segment, top: complex, hem: complex) -> complex:
    """Return where a line across the piece meets a smooth hem, or `hem` where it does not."""
    if min(abs(hem - curve[0]), abs(hem - curve[-1])) <= ON_LINE:
        return hem  # the curve begins and ends on the visible edges of the pleat
    along = (hem - top) / abs(hem - top)
    shares = sign_changes(list(heights(curve, top, along)))
    return point_at(curve, shares[0]) if shares else hem


def farthest_off(curve: Segment, zigzag: list[Segment]) -> float:
    """Return how far a smooth hem leaves the folded one, at its most (mm)."""
    points = [point_at(seg, k / 16) for seg in zigzag for k in range(17)]
    return max(
        (min(abs(point_at(curve, k / 64) - z) for k in range(65)) for z in points),
        default=0.0,
    )
