"""A lane: the cloth between two neighbouring lines of the flat piece, and what of its height is in use. All in mm."""

from __future__ import annotations

from bisect import insort
from dataclasses import dataclass

from pleatsvg.marks.words.rails import Rail
from pleatsvg.result.lettering import CAPITALS, SIZE
from pleatsvg.result.roles import Role

CLEAR = 1.8
"""Free space in mm between a line and the words beside it."""


NEED = SIZE * CAPITALS + 2 * CLEAR
"""mm that a lane must be wide where words stand."""


_FOR_TWO = 2 * (SIZE * CAPITALS + CLEAR) + 1.0
"""How wide a lane is in mm where the words of both its lines may stand at one height."""


Stretches = list[tuple[float, float]]
"""From where to where along a line (mm), in order."""


@dataclass(slots=True)
class Lane:
    """The cloth between two rails. `by_left` and `by_right` are stretches of its height in use beside either, measured along
    its first rail, in order; one and the same list where there is no room for words of both at one height.

    `inside_pleat` tells whether it lies between two lines of one pleat, `within` whether it is hidden when the pleat is
    folded; the face of a box pleat is not.
    """

    left: Rail | None
    right: Rail | None
    inside_pleat: bool
    within: bool
    by_left: Stretches
    by_right: Stretches
    room: float | None = None

    def take(self, low: float, high: float) -> None:
        """Take a stretch beside both rails."""
        insort(self.by_left, (low, high))
        if self.by_right is not self.by_left:
            insort(self.by_right, (low, high))


def lane_between(left: Rail | None, right: Rail | None) -> Lane:
    """Return the lane between two rails, with nothing in it; None stands for the side of the cloth."""
    by_left: Stretches = []
    if left is None or right is None:
        return Lane(left, right, False, False, by_left, by_left)
    inside = left.pleat == right.pleat
    face = left.role is right.role is Role.FOLD
    back = left.along.conjugate()
    off = (right.top - left.top) * back
    gap = min(abs(off.imag), abs((off + right.length * right.along * back).imag))
    wide = gap >= _FOR_TWO + left.aside + right.aside
    return Lane(left, right, inside, inside and not face, by_left, [] if wide else by_left)


def with_all(taken: Stretches, more: Stretches) -> Stretches:
    """Return stretches in use with others that are in use too."""
    if len(more) > _A_FEW:
        return _united([*taken, *more])
    for stretch in more:
        insort(taken, stretch)
    return taken


_A_FEW = 8
"""Stretches up to which they are sooner put in their places than united with the others."""


def _united(taken: list[tuple[float, float]]) -> list[tuple[float, float]]:
    # Stretches that touch or overlap, as one, in order: thousands of marks leave a few gaps between them.
    united: list[tuple[float, float]] = []
    for low, high in sorted(taken):
        if united and low <= united[-1][1]:
            united[-1] = (united[-1][0], max(united[-1][1], high))
        else:
            united.append((low, high))
    return united


def first_free(taken: Stretches, low: float, last: float, width: float) -> float | None:
    """Return the first place from `low` to `last` from where on so much is free (mm), or None; what is taken comes in order."""
    start = low
    for a, b in taken:
        if a >= start + width:
            break
        if b > start:
            start = b
    return start if start <= last else None
