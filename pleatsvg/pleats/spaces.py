"""How lines that are not drawn share out a seam edge: how many there are, how far apart, and what is left at the ends.

Places are in mm along the edge from its left (or upper) end. Each is worked out from the start, never by stepping a rounded
spacing, so that no error adds up.
"""

from __future__ import annotations

import math

from pleatsvg.errors import FitError
from pleatsvg.length import Length, show
from pleatsvg.order.placing import Placing
from pleatsvg.tolerance import ON_LINE
from pleatsvg.wording import message, option


def spots_along(placing: Placing, edge: str, length: float, centre: float, unit: str) -> list[float]:
    """Return where the lines lie that share out a seam edge.

    Args:
        placing: cf. `Placing.shares_out`.
        edge: its name, for messages.
        length: of the edge.
        centre: where the centre of the piece lies on it: its fold edge, its centre line, or the middle.
        unit: for messages.

    Raises:
        FitError: the edge has no room for them.
    """
    if placing.spacing is None:
        assert placing.count is not None
        return _shared_out(placing.count, placing.ends, edge, length, _at_end(centre, length), unit)
    step = placing.spacing.mm
    if placing.at:
        return _from_start(placing, edge, length, unit)
    least = least_end(placing.ends, step)
    if placing.count is not None:
        low, high = _about(centre, length, step, placing.count)
        if low <= ON_LINE or high >= length - ON_LINE:
            raise _no_room(placing, placing.count, high - low, edge, length, unit, _at_end(centre, length) != 0)
        return [low + k * step for k in range(placing.count)]
    # As many as fit, with a line or a space in the centre, whichever leaves room for more.
    most = [0, 0]
    for k in range(2):
        most[k] = _most_about(centre, length, step, least, k)
    count = max(most)
    if count < 1:
        raise FitError(
            f"The {edge}",
            f"is {show(length, unit)} long",
            f"no line {show(least, unit)} from both ends fits on it",
            message("Give a smaller {} or {}, or place the line with {}.", *map(option, ("spacing", "ends", "at"))),
        )
    low, _ = _about(centre, length, step, count)
    return [low + k * step for k in range(count)]


def _at_end(centre: float, length: float) -> int:
    # A fold edge lies at the left (-1) or right (+1) end of the edge; elsewhere there is none.
    return -1 if centre <= ON_LINE else 1 if centre >= length - ON_LINE else 0


def least_end(ends: Length | str, step: float) -> float:
    """Return what is left at both ends of an edge whose lines lie `step` mm apart, in mm."""
    if isinstance(ends, Length):
        return ends.mm
    return step if ends == "full" else step / 2


def _shared_out(count: int, ends: Length | str, edge: str, length: float, on_fold: int, unit: str) -> list[float]:
    if ends == "half":
        return [(k + 0.5) * length / count for k in range(count)]
    # A fold edge (-1 on the left, +1 on the right) is no end of the whole seam: half a space is left there.
    if isinstance(ends, Length):
        spaces = count - 1 + 0.5 * abs(on_fold)
        _refuse_margin(count, ends, edge, length, on_fold, unit)
        step, first = (length - (2 - abs(on_fold)) * ends.mm) / max(0.5, spaces), ends.mm
    else:
        step = first = length / (count + (1 if not on_fold else 0.5))
    if on_fold < 0:
        first = step / 2
    return [first + k * step for k in range(count)]


def _refuse_margin(count: int, ends: Length, edge: str, length: float, on_fold: int, unit: str) -> None:
    between = length - (2 - abs(on_fold)) * ends.mm
    if count == 1 and not on_fold and abs(between) > ON_LINE:
        raise FitError(
            f"One line on the {edge}",
            f"was to leave {ends} at both ends",
            f"the edge is {show(length, unit)} long, so one line leaves {show(length / 2, unit)}",
            message(
                "Leave out {}, or place the line with {}.", option("ends"), option("at", typed(ends.mm, ends.unit))
            ),
        )
    if ends.mm <= ON_LINE:
        raise FitError(
            f"The first of {count} lines",
            f"would lie on the corner at the end of the {edge}",
            "a line on a side seam pleats two pieces at once",
            message(
                "Give {} more than nothing, or {}; or lay the neighbour against that side with {}.",
                option("ends"),
                option("ends", "half"),
                option("continue"),
            ),
        )
    if count - 1 + abs(on_fold) > 0 and between <= ON_LINE:
        raise FitError(
            f"{count} {'line' if count == 1 else 'lines'} on the {edge}",
            f"{'was' if count == 1 else 'were'} to leave {ends} at {'the end' if on_fold else 'both ends'}",
            f"the edge is {show(length, unit)} long, so nothing is left between them",
            message("Give {} less than {}.", option("ends"), show(length / (2 - abs(on_fold)), unit)),
        )


def _from_start(placing: Placing, edge: str, length: float, unit: str) -> list[float]:
    assert placing.spacing is not None
    start, step = placing.at[0].mm, placing.spacing.mm
    least = least_end(placing.ends, step)
    count = placing.count
    if count is None:
        count = max(0, math.floor((length - least - start) / step + 1e-9) + 1)
    if not 0 < start < length or count < 1:
        raise FitError(
            f"The first line, at {placing.at[0]},",
            "would lie off the seam" if not 0 < start < length else "leaves no room beyond it",
            f"the {edge} is {show(length, unit)} long, with {show(least, unit)} to be left at its end",
            message("Give {} a distance along it, measured from its left (or upper) end.", option("at")),
        )
    if start + (count - 1) * step >= length - ON_LINE:
        raise _no_room(placing, count, (count - 1) * step, edge, length, unit)
    return [start + k * step for k in range(count)]


def _about(centre: float, length: float, step: float, count: int) -> tuple[float, float]:
    # The first and the last of so many lines about a centre; at a fold edge they lie on the half that is drawn.
    if _at_end(centre, length) < 0:
        return step / 2, (count - 0.5) * step
    if _at_end(centre, length) > 0:
        return length - (count - 0.5) * step, length - step / 2
    return centre - (count - 1) / 2 * step, centre + (count - 1) / 2 * step


def _most_about(centre: float, length: float, step: float, least: float, odd: int) -> int:
    if _at_end(centre, length):
        return max(0, math.floor((length - least) / step + 0.5 + 1e-9))
    room = min(centre, length - centre) - least
    pairs = math.floor((room + (0 if odd else step / 2)) / step + 1e-9)
    return 2 * pairs + odd if room >= -1e-9 else 0


def _no_room(
    placing: Placing, count: int, taken: float, edge: str, length: float, unit: str, on_fold: bool = False
) -> FitError:
    assert placing.spacing is not None
    step = placing.spacing.mm
    room = length - (placing.at[0].mm if placing.at else 0.0)
    if on_fold:
        room -= step / 2
    most = max(1, math.ceil(room / step - 1e-9))
    return FitError(
        f"{count} lines {placing.spacing} apart",
        f"take {show(taken, unit)} from the first to the last",
        f"the {edge} is {show(length, unit)} long; at most {most} fit",
        message(
            "Give {}, or a smaller {}; or leave out {} for as many as fit, or {} for equal spaces.",
            option("count", most),
            option("spacing"),
            option("count"),
            option("spacing"),
        ),
    )


def typed(mm: float, unit: str) -> str:
    """Return a length as a person would type it."""
    if unit == "in":
        return show(mm, "in").replace(" in", "in")
    return f"{mm / 10:g}cm" if unit == "cm" else f"{mm:g}mm"
