"""Notches at the ends of fold and placement lines, at joins, and at the top of a seam."""

from __future__ import annotations

from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.result.mark import Mark
from pleatsvg.result.roles import Role

NOTCH = 6.0
"""Length of a fold line's notch, outwards from the seam: well inside the narrowest usual allowance of 10 mm."""


TRIANGLE = (2.0, 5.0)
"""Half the base and the height of a placement line's notch."""


SNIP = 6.0
"""Length of a snip in mm where the allowance has room for it."""


SNIP_CLEAR = 3.0
"""How far short of the seam a snip stops (the trade's rule)."""


CLIP_CLEAR = 1.0
"""How far short of the corner a clip stops, mm."""


SHORTEST_SNIP = 3.0
"""A snip under this is not found again on cloth."""


_TOGETHER = TRIANGLE[0] + 1.0
"""mm between two lines from which on the notch of one lies on that of the other."""


_NOT_REACHED = {"top": ("middle", "hem"), "hem": ("middle", "top")}


def notches(
    unfolded: Unfolded, wanted: str | None = None, stitched: dict[int, tuple[float | None, str]] | None = None
) -> tuple[list[Mark], int]:
    """Return the notches at both ends of every outer fold and placement line, and how many had no room.

    They lie along the line produced, so that they stay on it however the edge slants. Where there is an allowance a fold
    line has a snip, into the allowance and clear of the seam, and a placement line a triangle that stands out from the
    cutting line; where there is none, a stroke and a triangle outwards from the seam. So they can be told apart by touch.

    Args:
        unfolded: the flat piece.
        wanted: "snip" or "triangle" for both kinds of line.
        stitched: for each released tuck, cf. `PleatRequest`: it has notches only where its stitching reaches the seam.
    """
    made: list[Mark] = []
    without = 0
    folded = {(c.pleat, c.folds[0]): c for c in unfolded.creases if c.role is Role.FOLD}
    for line in (*unfolded.creases, *unfolded.placements):
        role, pleat, folds, top, hem, _, out_top, out_hem, (room_top, room_hem), _, _ = line
        if role.hidden:
            continue
        along = hem - top
        along /= abs(along)
        snip = wanted == "snip" or (wanted is None and role is Role.FOLD)
        wide = TRIANGLE[0]
        if role.stitched:
            wide = min(wide, 0.3 * apart(line, unfolded))
        for end, spot, out, room in (("top", out_top, -along, room_top), ("hem", out_hem, along, room_hem)):
            if room < 0 or (stitched and pleat in stitched and stitched[pleat][1] in _NOT_REACHED[end]):
                continue
            if role is Role.PLACEMENT and _at_a_hinge(line, folded, end):
                continue
            if not snip:
                if role.stitched and unfolded.legs and min(room_top, room_hem) < 0:
                    wide = min(TRIANGLE[0], 0.3 * _apart_at(line, unfolded, end))
                half = wide * 1j * out
                corner = spot - half
                points = (corner, spot + TRIANGLE[1] * out, spot + half, corner)
                made.append(Mark("notch", points, (4,), role.sign, pleat, folds, end))
            elif room or unfolded.cut:
                # A snip stops at least 3 mm short of the stitching line (R, trade rule) and takes at most half the
                # allowance.
                length = min(SNIP, room / 2, room - SNIP_CLEAR)
                if length < SHORTEST_SNIP:
                    without += 1
                    continue
                made.append(Mark("notch", (spot, spot - length * out), (2,), role.sign, pleat, folds, end))
            else:
                made.append(Mark("notch", (spot, spot + NOTCH * out), (2,), role.sign, pleat, folds, end))
    return made, without


def _at_a_hinge(line: FlatLine, folds: dict[tuple[int, int], FlatLine], end: str) -> bool:
    # Where fold and placement line run together, the fold line's notch alone marks the spot.
    spot = line.out_top if end == "top" else line.out_hem
    for place in line.folds:
        fold = folds.get((line.pleat, place))
        if fold is not None and abs((fold.out_top if end == "top" else fold.out_hem) - spot) < _TOGETHER:
            return True
    return False


def _apart_at(line: FlatLine, unfolded: Unfolded, end: str) -> float:
    # The same at one end, where they run together at the other, at the point of a dart.
    others = [c for c in (*unfolded.creases, *unfolded.placements) if c.pleat == line.pleat and c.role.stitched]
    first, last = others[0], others[-1]
    return abs(first.top - last.top) if end == "top" else abs(first.hem - last.hem)


def apart(line: FlatLine, unfolded: Unfolded) -> float:
    # How far the two stitching lines of a tuck lie apart at the narrower end.
    others = [c for c in (*unfolded.creases, *unfolded.placements) if c.pleat == line.pleat and c.role.stitched]
    return min(abs(others[0].top - others[-1].top), abs(others[0].hem - others[-1].hem))


def seam_notches(
    above: list[tuple[int, complex, complex, complex]],
    allowance: float,
) -> list[Mark]:
    """Return matching notches on both sides of the seam above each kick pleat, standing out from its cutting line.

    Args:
        above: for both sides of each, the pleat, the top and the foot of the seam, and the unit vector out of the piece.
        allowance: of that seam, mm.
    """
    made: list[Mark] = []
    for pleat, top, foot, out in above:
        along = (foot - top) / abs(foot - top)
        for share, shifts in ((1 / 3, (0.0,)), (2 / 3, (-4.0, 4.0))) if abs(foot - top) > 90 else ((0.5, (0.0,)),):
            for shift in shifts:
                spot = top + (foot - top) * share + shift * along + out * allowance
                half = TRIANGLE[0] * along
                points = (spot - half, spot + TRIANGLE[1] * out, spot + half, spot - half)
                made.append(Mark("notch", points, (4,), "seam", pleat, (), "seam"))
    return made


def clip_marks(above: list[tuple[int, complex, complex, complex]], allowance: float) -> list[Mark]:
    """Return a thick stroke at the lower end of the seam above each kick pleat, on both sides: there the allowance is clipped,
    or the corner between the seam and the slanting top of the underlay cannot be turned.

    Args:
        above: cf. `seam_notches`.
        allowance: of that seam, mm; where there is none, the stroke shows where to clip that which is added.
    """
    made: list[Mark] = []
    for pleat, top, foot, out in above:
        up = (top - foot) / abs(top - foot)
        # Half-way between the seam and the top edge, which leaves the seam at 45 degrees on its other side.
        way = up + (out - up) / abs(out - up)
        way /= abs(way)
        far = allowance / (way * out.conjugate()).real if allowance else NOTCH
        made.append(Mark("clip-mark", (foot + CLIP_CLEAR * way, foot + far * way), (2,), "", pleat, ()))
    return made


def join_notches(unfolded: Unfolded, hand: float, allowance: float) -> list[Mark]:
    """Return matching notches on both sides of every join: one a third of the way down, two side by side at two thirds.

    Of a fitted piece one stands half-way down to the hip, two half-way from there to the hem. They stand outwards from the
    cutting line of the join, `allowance` mm beyond it.
    """
    made: list[Mark] = []
    for join in unfolded.joins:
        for number, side in ((0, 1), (1, -1)):
            row = join.drawn(number)
            shares = (1 / 3, 2 / 3) if len(row) == 2 else (1 / 2, 1 / 2)
            for (top, hem), share, shifts in zip((row[:2], row[-2:]), shares, ((0.0,), (-4.0, 4.0)), strict=True):
                way = hem - top
                along = way / abs(way)
                out = -1j * hand * along * side
                for shift in shifts:
                    spot = top + way * share + shift * along + out * allowance
                    half = TRIANGLE[0] * along
                    points = (spot - half, spot + TRIANGLE[1] * out, spot + half, spot - half)
                    made.append(Mark("notch", points, (4,), "join", 0, (join.number,), "join"))
    return made
