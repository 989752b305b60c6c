"""Points and path data in the digits of a result.

A sheet holds tens of thousands of numbers, and to print them one by one is most of what writing takes. So all points of a
kind are printed at once: each number is a row of bytes, put together from tables of three digits, and what is blank in the
rows is left out at the end. What comes out is to the letter what the `%` of Python makes of each.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import chain
from typing import Any

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.segment import Segment
from pleatsvg.tolerance import DECIMALS

START, AFTER_CLOSED, STROKE, LINE, CURVE, NEXT = (bytes([k]) for k in range(6))
"""What leads to a point: the start of a row of path data, the same after one that is closed, a further stroke of it, a line, a
curve, or the curve before."""

_LEADS = ("\nM ", " Z\nM ", " M ", " L ", " C ", " ", ",", "\n")
"""What is printed before a number; the last two before the second number of a point, and before one that stands alone."""

_DOWN, _ALONE = 6, 7

_STEPS = {2: LINE, 4: CURVE + NEXT + NEXT}
"""By the nodes of a segment, what leads to all but the first."""


def closed_path_data(runs: Sequence[tuple[Sequence[Segment], bool]], offset: complex | None = None) -> Iterator[str]:
    # The data of many runs, each with whether it is closed, printed in one go; those that are not on the page yet are moved
    # there by an offset and rounded.
    steps: list[bytes] = []
    spots: list[complex] = []
    start = START
    for segments, closed in runs:
        steps.append(start)
        steps += [_STEPS[len(seg)] for seg in segments]
        spots.append(segments[0][0])
        spots += [z for seg in segments for z in seg[1:]]
        start = AFTER_CLOSED if closed else START
    points = np.array(spots, complex)
    if offset is not None:
        points = np.round((points + offset).view(float), DECIMALS).view(complex)
    rows = path_rows(b"".join(steps), points)
    if start is AFTER_CLOSED:
        rows[-1] += " Z"
    return iter(rows)


def open_path_data(segments: Sequence[Segment]) -> str:
    return next(closed_path_data([(segments, False)]))


POINT = "%.13g,%.13g"
"""Already rounded to the 6 decimals that are written: up to 10 km these digits give back what was proven, bit for bit, and
take half the time of the shortest form."""

MARK_POINT = "%.3f,%.3f"
"""Of marks, which nothing is measured by."""


def path_rows(steps: bytes, points: npt.NDArray[np.complex128], mark: bool = False) -> list[str]:
    """Return path data, a row for each step that begins one; without the Z of the last where that is closed.

    Args:
        steps: what leads to each point: `START` and the like, one byte for each.
        points: on the page, mm.
        mark: to be printed as `MARK_POINT` does, not as `POINT`.
    """
    values = points.view(float)
    if len(values) >= _MANY and (digits := _digits(values, mark)) is not None:
        leads = np.full(len(values), _DOWN, np.uint8)
        leads[::2] = np.frombuffer(steps, np.uint8)
        text = _joined(leads, values, digits)
    else:
        point = MARK_POINT if mark else POINT
        text = "".join([_LEADS[step] + point for step in steps]) % numbers(points)
    return text.split("\n")[1:]


def three_decimals(values: npt.NDArray[np.float64]) -> list[str]:
    """Return numbers as "%.3f" prints them."""
    if len(values) < _MANY or (digits := _digits(values, True)) is None:
        return ["%.3f" % value for value in values.tolist()]
    return _joined(np.full(len(values), _ALONE, np.uint8), values, digits).split("\n")[1:]


_MANY = 160
"""Numbers from which on they are sooner printed all at once."""


@cache
def _tables() -> tuple[npt.NDArray[np.uint64], npt.NDArray[np.uint32]]:
    # Bytes as numbers: the eight of each lead and, from behind the last, of each with a minus; and the four of each of the
    # words below for 0 to 999.
    leads = np.array([(lead + sign).ljust(8, "\0").encode() for sign in ("", "-") for lead in _LEADS])
    thousand = np.arange(1000)
    digits = np.stack((thousand // 100, thousand // 10 % 10, thousand % 10), axis=1)
    full = np.zeros((1000, 4), np.uint8)
    full[:, 1:] = digits + ord("0")
    bare = full.copy()
    bare[:100, 1] = bare[:10, 2] = 0
    head = bare.copy()
    head[0] = 0
    tail = full.copy()
    tail[::10, 3] = tail[::100, 2] = tail[0, 1] = 0
    dotted, short = full.copy(), tail.copy()
    dotted[:, 0] = ord(".")
    short[1:, 0] = ord(".")
    words = np.concatenate((full, bare, head, tail, dotted, short))
    return leads.view(np.uint64), words.view(np.uint32).ravel()


_FULL, _BARE, _HEAD, _TAIL, _DOTTED, _SHORT = range(0, 6000, 1000)
"""Where the words for 0 to 999 begin: all three digits; none that are not needed before it; the same, and nothing for 0; none
that are not needed behind it; all three behind a point; none that are not needed behind that, nor a point for 0."""


def _digits(values: npt.NDArray[np.float64], mark: bool) -> list[npt.NDArray[np.intp]] | None:
    # The words that each number is made of, without its sign; None where there is one that is not to be had so.
    size = np.abs(values)
    if not size.max() < 1e6:
        return None
    if mark:
        scaled = size * 1e3
        steps = np.rint(scaled)
        # Half a step, but for the last bits: there the number itself tells which way it is rounded.
        for k in (np.abs(np.abs(scaled - steps) - 0.5) < 1e-6).nonzero()[0].tolist():
            steps[k] = round(float("%.3f" % size[k]) * 1e3)
        whole = np.floor(steps / 1e3)
        behind = [(steps - whole * 1e3).astype(np.intp) + _DOTTED]
    else:
        steps = np.rint(size * 1e6)
        if (steps / 1e6 != size).any() or ((steps > 0) & (steps < 100)).any():
            return None  # more decimals than are written, or so few that a power of ten is printed
        whole = np.floor(size)
        steps -= whole * 1e6
        first = np.floor(steps / 1e3)
        last = steps - first * 1e3
        behind = [first.astype(np.intp) + np.where(last > 0, _DOTTED, _SHORT), last.astype(np.intp) + _TAIL]
    thousands = np.floor(whole / 1e3)
    units = (whole - thousands * 1e3).astype(np.intp) + np.where(thousands > 0, _FULL, _BARE)
    return [thousands.astype(np.intp) + _HEAD, units, *behind]


def _joined(leads: npt.NDArray[np.uint8], values: npt.NDArray[np.float64], digits: list[npt.NDArray[np.intp]]) -> str:
    before, words = _tables()
    rows = np.empty((len(values), 2 + len(digits)), np.uint32)
    rows[:, :2] = before.take(leads + len(_LEADS) * np.signbit(values)).view(np.uint32).reshape(-1, 2)
    for k, which in enumerate(digits, 2):
        rows[:, k] = words.take(which)
    return rows.tobytes().translate(None, b"\0").decode("ascii")


def numbers(spots: npt.NDArray[Any]) -> tuple[float, ...]:
    # Across and down of one point after another.
    return tuple(spots.view(float).tolist())


def point(z: complex) -> str:
    return POINT % (z.real, z.imag)


def number(value: float) -> str:
    text = repr(value)
    return text[:-2] if text.endswith(".0") else text
