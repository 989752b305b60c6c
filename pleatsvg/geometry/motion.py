"""Rigid motions of the plane as products of reflections.

A point is a complex number: x to the right, y down the page, in millimetres. A motion sends z to
``turn * z + shift``, or to ``turn * conj(z) + shift`` when it shows the other side of the cloth.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from typing import NamedTuple


class Motion(NamedTuple):
    """A rigid motion. `turn` has length 1; `flips` tells whether the cloth is turned over."""

    turn: complex
    shift: complex
    flips: bool

    def of(self, z: complex) -> complex:
        """Return where the point `z` comes to lie."""
        return self.turn * (z.conjugate() if self.flips else z) + self.shift

    def back(self, z: complex) -> complex:
        """Return the point that comes to lie at `z`."""
        there = (z - self.shift) * self.turn.conjugate()
        return there.conjugate() if self.flips else there

    @property
    def inverse(self) -> Motion:
        """The motion that undoes it."""
        back = self.turn.conjugate()
        if self.flips:  # z = turn * conj(w) + shift gives w = turn * conj(z - shift)
            return Motion(self.turn, -self.turn * self.shift.conjugate(), True)
        return Motion(back, -back * self.shift, False)

    def after(self, first: Motion) -> Motion:
        """Return the motion that does `first`, then this one."""
        turn, shift, flips = self
        its_turn, its_shift, its_flips = first
        if flips:
            return _motion((turn * its_turn.conjugate(), turn * its_shift.conjugate() + shift, not its_flips))
        return _motion((turn * its_turn, turn * its_shift + shift, its_flips))

    def over(self, a: complex, b: complex) -> Motion:
        """Return the motion that does the reflection in the line through `a` and `b` first, then this one.

        As `after` makes it of `reflection`, in one step: every layer of every piece is laid so, unfolded and folded.
        """
        turn, shift, flips = self
        along = b - a
        across = along * along / abs(along) ** 2
        there = a - across * a.conjugate()
        if flips:
            return _motion((turn * across.conjugate(), turn * there.conjugate() + shift, False))
        return _motion((turn * across, turn * there + shift, True))


_motion: Callable[[tuple[complex, complex, bool]], Motion] = partial(tuple.__new__, Motion)
"""Makes a motion of its three parts in one go: a piece has so many that naming them one by one takes its time."""

STAY = Motion(1 + 0j, 0j, False)


def bearing(way: complex) -> float:
    """Return which way a vector looks, in radians from -pi to pi; 0 for one without length.

    What `cmath.phase` says, but for vectors so short (1e-320) that it stops with an OverflowError.
    """
    return math.atan2(way.imag, way.real)


def reflection(a: complex, b: complex) -> Motion:
    """Return the reflection in the line through `a` and `b` (two different points, mm).

    Two of them in parallel lines d apart move by 2d; in lines that meet, they turn by twice the angle (any text
    on plane isometries).
    """
    along = b - a
    turn = along * along / abs(along) ** 2
    return Motion(turn, a - turn * a.conjugate(), True)


def moved(segment: tuple[complex, ...], motion: Motion) -> tuple[complex, ...]:
    """Return a segment's points moved: the curve itself is moved, exactly, since Bezier curves keep rigid motions."""
    turn, shift, flips = motion
    if len(segment) == 2:  # lines and cubics are what nearly all are, and are sooner done point by point
        a, b = segment
        if flips:
            return turn * a.conjugate() + shift, turn * b.conjugate() + shift
        return turn * a + shift, turn * b + shift
    if len(segment) == 4:
        a, b, c, d = segment
        if flips:
            return (
                turn * a.conjugate() + shift,
                turn * b.conjugate() + shift,
                turn * c.conjugate() + shift,
                turn * d.conjugate() + shift,
            )
        return turn * a + shift, turn * b + shift, turn * c + shift, turn * d + shift
    if flips:
        return tuple([turn * z.conjugate() + shift for z in segment])
    return tuple([turn * z + shift for z in segment])
