"""Finding the intakes at which measured lengths come to those asked for: one length by one intake, or two by two.

Lengths fall by nearly the intake of every pleat, so that the first guess is good and Newton's way leads there in a few
steps. With one unknown it is kept within the bounds that are known, and halves them where a step would leave them; with two
a step is halved while it makes things worse. An intake for which the cloth has no room counts as too large.
"""

from __future__ import annotations

from collections.abc import Callable

ENOUGH = 1e-7
"""mm that a length may miss what was asked for: a tenth of what is written."""

_STEPS = 60


class NotFoundError(Exception):
    """No intake brings the lengths to what was asked for."""


def one_intake(excess: Callable[[float], float | None], most: float, guess: float, slope: float) -> float:
    """Return the intake at which the excess of a length over the one asked for is nothing.

    Args:
        excess: for an intake, by how much the length is too large; None where the cloth has no room for it.
        most: an intake that is too large.
        guess: to begin with, between 0 and `most`; the excess is above 0 at 0.
        slope: by how much the length grows with the intake there, about; below 0.

    Raises:
        NotFoundError: the cloth has no room for such an intake.
    """
    low, high = 0.0, most
    last: tuple[float, float] | None = None
    at = guess
    for _ in range(_STEPS):
        off = excess(at)
        if off is not None and abs(off) <= ENOUGH:
            return at
        if off is None:
            high, step = at, None
        else:
            if off > 0:
                low = at
            else:
                high = at
            if last is not None and at != last[0] and (off - last[1]) / (at - last[0]) < 0:
                slope = (off - last[1]) / (at - last[0])
            last, step = (at, off), -off / slope
        wanted = at + step if step is not None else low
        if high - low < 1e-12 * most:
            break
        at = wanted if low < wanted < high else (low + high) / 2
    raise NotFoundError


Pair = tuple[float, float]


def two_intakes(excess: Callable[[Pair], Pair | None], guess: Pair, slopes: tuple[Pair, Pair]) -> Pair:
    """Return the two intakes at which the excess of two lengths over those asked for is nothing (Broyden 1965).

    Args:
        excess: for two intakes, by how much each length is too large; None where the cloth has no room for them.
        guess: to begin with.
        slopes: of each length by each intake, about.

    Raises:
        NotFoundError: no step leads nearer.
    """
    at = guess
    off = excess(at)
    for _ in range(_STEPS):
        if off is not None:
            break
        at = (at[0] / 2, at[1] / 2)
        off = excess(at)
    if off is None:
        raise NotFoundError
    (a, b), (c, d) = slopes
    for _ in range(_STEPS):
        if max(abs(off[0]), abs(off[1])) <= ENOUGH:
            return at
        det = a * d - b * c
        if not det:
            break
        step = ((b * off[1] - d * off[0]) / det, (c * off[0] - a * off[1]) / det)
        found: Pair | None = None
        for _ in range(20):
            found = excess((at[0] + step[0], at[1] + step[1]))
            if found is not None and max(abs(found[0]), abs(found[1])) < max(abs(off[0]), abs(off[1])):
                break
            found, step = None, (step[0] / 2, step[1] / 2)
        if found is None:
            break
        # The slopes are put right by what this step did.
        size = step[0] ** 2 + step[1] ** 2
        one = found[0] - off[0] - a * step[0] - b * step[1]
        other = found[1] - off[1] - c * step[0] - d * step[1]
        a, b = a + one * step[0] / size, b + one * step[1] / size
        c, d = c + other * step[0] / size, d + other * step[1] / size
        at, off = (at[0] + step[0], at[1] + step[1]), found
    raise NotFoundError
