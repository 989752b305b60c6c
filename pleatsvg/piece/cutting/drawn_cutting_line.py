"""Cutting lines that are drawn: kept as they are, held against the seam, and the seam found inside one drawn alone."""

from __future__ import annotations

from dataclasses import replace

from pleatsvg.errors import FitError
from pleatsvg.geometry.motion import moved, reflection
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.parallel import parallel_outline
from pleatsvg.geometry.segment import heading, point_at
from pleatsvg.length import Length, show
from pleatsvg.order.allowances import Allowances
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.piece.cutting.cutting_line import Cutting, distances_of
from pleatsvg.piece.cutting.pressed_darts import closed_points
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.pivots.closed import legs_of_points
from pleatsvg.tolerance import ON_FOLD, ON_LINE
from pleatsvg.wording import message, option

UNEVEN = 1.0
"""mm. By how much an allowance may vary along an edge, or differ from what was asked for, before it is told."""


def inside_of(piece: FinishedPiece, inset: Length) -> FinishedPiece:
    """Return the piece with its drawn outline taken as the cutting line, and the seam that lies so far inside it as `inset`.

    An edge marked as cut on the fold has no allowance: the seam runs along it.

    Raises:
        FitError: the outline is too narrow for that.
    """
    outline = piece.cut if piece.cut is not None and piece.only_cut else piece.outline
    found = parallel_outline(outline, tuple(_insets(piece, outline, inset.mm)), inside=True)
    if found is None or found[0].area <= 0:
        raise FitError(
            f"The seam of '{piece.name}'",
            f"cannot be drawn {inset} inside the cutting line",
            "the piece is too narrow, or a curve on it too tight, for that",
            message("Give a smaller {}, or draw the seam as well.", option("allowance_drawn")),
        )
    seam = found[0]
    return replace(piece, outline=seam.from_top_left(), cut=outline, only_cut=False)


def _insets(piece: FinishedPiece, outline: Outline, inset: float) -> list[float]:
    line = piece.fold_edge
    if line is None:
        return [inset] * len(outline)
    way = (line.end - line.start) / abs(line.end - line.start)
    return [
        0.0 if max(abs(((z - line.start) * way.conjugate()).imag) for z in seg) <= ON_FOLD else inset
        for seg in outline.segments
    ]


def drawn_cutting(
    piece: FinishedPiece, halves: BothHalves, allowances: Allowances, unit: str
) -> tuple[Cutting, list[str]]:
    """Return the drawn cutting line, and remarks where it does not keep one distance from the seam.

    Raises:
        FitError: it runs inside the seam.
    """
    assert piece.cut is not None
    cut = piece.cut
    if piece.closed_darts:
        from pleatsvg.piece.cutting.closed_cut import led_to_points  # of no use to a piece whose darts stay

        cut = led_to_points(cut, piece.closed_darts, unit)
    whole = cut if halves.fold is None else _mirrored(cut, halves)
    wanted = distances_of(halves.edges, allowances, None) if allowances.asked else {}
    closed = closed_points(piece, halves)
    spans: dict[int, list[float]] = {}
    distances: list[float] = []
    farthest: list[float] = []
    legs = legs_of_points(halves.outline, closed)
    for k, (seg, number) in enumerate(zip(halves.outline.segments, halves.edge_of, strict=True)):
        if k in legs:
            distances.append(distances[-1] if distances else 0.0)  # it has no allowance, and none is told of it
            farthest.append(distances[-1])
            continue
        far = [_out_to(whole, point_at(seg, t), heading(seg, t)) for t in (0.01, 0.25, 0.5, 0.75, 0.99)]
        if min(far) < -ON_LINE:
            spot = point_at(seg, 0.5)
            raise FitError(
                f"The cutting line of '{piece.name}'",
                f"runs inside the seam near ({spot.real:.0f}, {spot.imag:.0f}) mm on the page",
                "cloth is cut outside the stitching line",
                "Look which of the two lines is which, and name them so.",
            )
        distances.append(min(far))
        farthest.append(max(far))
        spans.setdefault(number, []).extend(far)
    remarks: list[str] = []
    for edge in halves.edges:
        far = spans.get(edge.number, [])
        if not far:
            continue
        if max(far) - min(far) > UNEVEN:
            remarks.append(
                f"The drawn cutting line lies {show(min(far), unit)} to {show(max(far), unit)} from the seam along the "
                f"{edge.name}; both lines were kept as they are."
            )
        elif allowances.asked and abs(sum(far) / len(far) - wanted[edge.number]) > UNEVEN:
            remarks.append(
                f"The drawn cutting line lies {show(min(far), unit)} from the seam along the {edge.name}, not "
                f"{show(wanted[edge.number], unit)} as asked for; the drawn one was kept."
            )
    return Cutting(whole, tuple(distances), True, closed, farthest=tuple(farthest)), remarks


def _out_to(cut: Outline, z: complex, way: complex) -> float:
    # How far outside a point of the seam the cutting line runs, square to the seam; negative where it runs inside.
    hits = [hit.along for hit in cut.crossings(z, -1j * way)]
    if sum(1 for along in hits if along > ON_LINE) % 2 == 0 and not any(abs(along) <= ON_LINE for along in hits):
        return -1.0
    return min((along for along in hits if along >= -ON_LINE), default=-1.0)


def _mirrored(half: Outline, halves: BothHalves) -> Outline:
    # The cutting line of both halves: what of it runs along the fold edge is left out, the rest is mirrored there.
    assert halves.fold is not None
    fold = halves.fold
    way = (fold.end - fold.start) / abs(fold.end - fold.start)

    def off(z: complex) -> float:
        return abs(((z - fold.start) * way.conjugate()).imag)

    n = len(half)
    on = [max(off(z) for z in seg) <= ON_FOLD for seg in half.segments]
    start = next((k for k in range(n) if on[k - 1] and not on[k]), None)
    if start is None:
        raise FitError(
            "The drawn cutting line",
            "does not run along the fold edge",
            "on a piece cut on the fold the seam and the cutting line share that edge",
            "Draw it up to the fold edge at both ends and along it.",
        )
    rest = []
    k = start
    while not on[k % n]:
        rest.append(half.segments[k % n])
        k += 1

    def onto(z: complex) -> complex:
        return fold.start + way * ((z - fold.start) * way.conjugate()).real

    rest[0] = (onto(rest[0][0]), *rest[0][1:])
    rest[-1] = (*rest[-1][:-1], onto(rest[-1][-1]))
    mirror = reflection(fold.start, fold.end)
    other = [moved(seg[::-1], mirror) for seg in reversed(rest)]
    other[0] = (rest[-1][-1], *other[0][1:])
    other[-1] = (*other[-1][:-1], rest[0][0])
    return Outline((*rest, *other))
