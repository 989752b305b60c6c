"""The top of a kick pleat: where its slash line ceases to be a seam, and the slanted ends of its layers below that.

Above its tip the slash line is a seam that parts the piece; below it the cloth is folded as in an inverted pleat. The tops
of all layers slant down from the tip, so that they can be stitched to the seam allowances and do not show at the hem.
All in mm, in the finished piece's coordinates.
"""

from __future__ import annotations

from typing import NamedTuple

from pleatsvg.geometry.segment import Segment
from pleatsvg.piece.slash_lines import Chord


class KickTop(NamedTuple):
    """The top of a kick pleat.

    Attributes:
        whole: its slash line from seam to hem.
        tip: where the pleat begins on it.
        before, after: where the slanting tops meet the inner folds.
    """

    whole: Chord
    tip: complex
    before: complex
    after: complex

    @property
    def along(self) -> complex:
        """The unit vector down the slash line."""
        way = self.whole.hem - self.whole.top
        return way / abs(way)

    def slant(self, side: complex) -> complex:
        """Return the unit vector down the slanting top on one side; `side` is square to the slash line."""
        return (self.along + side) / abs(self.along + side)


def lines_meet(a: complex, r: complex, b: complex, s: complex) -> complex:
    """Return where the line from `a` along `r` meets the one from `b` along `s`; they must not be parallel."""
    return a + r * (((b - a).conjugate() * s).imag / (r.conjugate() * s).imag)


def mirrored_in(z: complex, origin: complex, along: complex) -> complex:
    """Return the mirror image of a point in the line from `origin` along a unit vector."""
    return origin + along * ((z - origin) / along).conjugate()


def seam_tops(kick: KickTop) -> tuple[tuple[Segment, ...], ...]:
    """Return the way of each of the five layers along the top of a kick pleat: down the seam, over the tops, up the seam."""
    top, tip = kick.whole.top, kick.tip
    return (
        ((top, tip),),
        ((tip, kick.before),),
        ((kick.before, tip), (tip, kick.after)),
        ((kick.after, tip),),
        ((tip, top),),
    )


def cut_tops(
    kick: KickTop,
    across: complex,
    inner: tuple[complex, complex],
    far: float,
    ends: tuple[complex, complex],
    joined: tuple[bool, bool],
) -> tuple[tuple[Segment, ...], ...]:
    """Return the same ways of the cutting line, `far` mm outside.

    Args:
        kick: the top.
        across: the unit vector square to its line, to the pleats after it.
        inner: the directions of the inner folds before and after it.
        far: the allowance, mm.
        ends: where the cutting line of the top is met by the seam's own, on the panel before and on the one after.
        joined: whether the piece is parted at these inner folds, each part having its allowance there.
    """
    tip, along = kick.tip, kick.along
    # Where the allowance of the seam meets that of the slanting top, on the panel before; the layer next to it is mirrored.
    down = kick.slant(across)
    up = -1j * down if ((-1j * down) * -along.conjugate()).real > 0 else 1j * down
    corner = lines_meet(tip + across * far, along, tip + up * far, down)
    spots: list[complex] = []
    for side, fold, way, apart in zip((-across, across), (kick.before, kick.after), inner, joined, strict=True):
        slant = kick.slant(side)
        out = -1j * slant if ((-1j * slant) * -along.conjugate()).real > 0 else 1j * slant
        # A tapered pleat's inner fold leans; its allowance lies square to it.
        beside = -1j * way if ((-1j * way) * side.conjugate()).real > 0 else 1j * way
        edge = fold + beside * far if apart else fold
        spots.append(lines_meet(tip + out * far, slant, edge, way))
    peak = lines_meet(tip + up * far, down, tip, along)
    other = mirrored_in(corner, tip, along)
    return (
        ((ends[0], corner),),
        ((other, spots[0]),),
        ((spots[0], peak), (peak, spots[1])),
        ((spots[1], corner),),
        ((other, ends[1]),),
    )
