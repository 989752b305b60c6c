"""Points and path data in the digits of a result.

A sheet holds tens of thousands of numbers, and to print them one by one is most of what writing takes. So all points of a
kind are printed at once: each number is a row of bytes, put together from tables of three digits, and what is blank in the
rows is left out at the end. What comes out is to the letter what the `%` of Python makes of each.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.segment import Segment
from pleatsvg.tolerance import DECIMALS

START, AFTER_CLOSED, STROKE, LINE, CURVE, NEXT = (bytes([k]) for k in range(6))
"""What leads to a point: the start of a row of path data, the same after one that is closed, a further stroke of it, a line, a
curve, or the curve before."""

_LEADS = ("\nM ", "\rM ", " M ", " L ", " C ", " ")
"""What is printed before a point; a `_CLOSED` where a row begins and the one before it is closed."""

_CLOSED = "\r"

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
    points = side_by_side(spots)
    if offset is not None:
        points = np.round((points + offset).view(float), DECIMALS).view(complex)
    rows = path_rows(b"".join(steps), points)
    if start is AFTER_CLOSED:  # nothing comes behind it that says so
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
    if len(values) >= _MANY and (words := _words(values, mark)) is not None:
        rows = np.empty((len(points), 1 + 2 * len(words)), np.uint32)
        rows[:, 0] = _tables().leads.take(np.frombuffer(steps, np.uint8))
        words[0][1::2] += _BEHIND_COMMA
        for k, which in enumerate(words, 1):
            rows[:, k :: len(words)] = _tables().words.take(which).reshape(-1, 2)
        text = _text_of(rows)
    else:
        point = MARK_POINT if mark else POINT
        text = "".join([_LEADS[step] + point for step in steps]) % numbers(points)
    return text.replace(_CLOSED, " Z\n").split("\n")[1:]


def three_decimals(values: npt.NDArray[np.float64]) -> list[str]:
    """Return numbers with three decimals."""
    if len(values) < _MANY or (words := _words(values, True)) is None:
        return [f"{value:.3f}" for value in values.tolist()]
    words[0] += _IN_A_ROW
    return _text_of(_tables().words.take(np.stack(words, axis=1))).split("\n")[1:]


def side_by_side(spots: Sequence[complex]) -> npt.NDArray[np.complex128]:
    # Several times as fast as the way that has to find out first what the numbers are.
    return np.fromiter(spots, complex, len(spots))


_MANY = 160
"""Numbers from which on they are sooner printed all at once."""


class _Tables(NamedTuple):
    """Four bytes in one number: what leads to a point by its step, and the words that numbers are made of."""

    leads: npt.NDArray[np.uint32]
    words: npt.NDArray[np.uint32]


@cache
def _tables() -> _Tables:
    leads = np.array([lead.ljust(4, "\0").encode() for lead in _LEADS])
    thousand = np.arange(1000)
    full = np.zeros((1000, 4), np.uint8)
    full[:, 1:] = np.stack((thousand // 100, thousand // 10 % 10, thousand % 10), axis=1) + ord("0")
    bare = full.copy()
    bare[:100, 1] = bare[:10, 2] = 0
    tail = full.copy()
    tail[::10, 3] = tail[::100, 2] = tail[0, 1] = 0
    dotted, short = full.copy(), tail.copy()
    dotted[:, 0] = ord(".")
    short[1:, 0] = ord(".")
    heads = np.tile(bare[:100], (6, 1))
    heads[::100] = 0
    for k, sign in enumerate(("\0", "-", "\0", "-", "\0", "-")):
        heads[100 * k : 100 * k + 100, 1] = ord(sign)
    heads[200:400, 0], heads[400:, 0] = ord(","), ord("\n")
    words = np.concatenate((full, bare, tail, dotted, short, heads))
    return _Tables(leads.view(np.uint32), words.view(np.uint32).ravel())


_FULL, _BARE, _TAIL, _DOTTED, _SHORT, _HEAD = range(0, 6000, 1000)
"""Where the words for 0 to 999 begin: all three digits; none that are not needed before it; none that are not needed behind
it; all three behind a point; none that are not needed behind that, nor a point for 0. Last for thousands, 0 to 99, of which
nothing is printed for 0."""

_MINUS, _BEHIND_COMMA, _IN_A_ROW = 100, 200, 400
"""How far on stand the words for thousands of numbers below zero, behind a comma, and at the start of a row."""


def _words(values: npt.NDArray[np.float64], mark: bool) -> list[npt.NDArray[np.intp]] | None:
    # Of each number the words that it is made of; None where there is one that is not to be had so.
    size = np.abs(values)
    if not size.max() < 1e5:
        return None
    if mark:
        scaled = size * 1e3
        steps = np.rint(scaled)
        # Half a step, but for the last bits: there the number itself tells which way it is rounded.
        for k in (np.abs(scaled - steps) > 0.5 - 1e-6).nonzero()[0].tolist():
            steps[k] = round(float(f"{size[k]:.3f}") * 1e3)
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
        behind = [(first + np.where(last > 0, _DOTTED, _SHORT)).astype(np.intp), (last + _TAIL).astype(np.intp)]
    thousands = np.floor(whole / 1e3)
    units = whole - thousands * 1e3 + np.where(thousands > 0, _FULL, _BARE)
    heads = thousands + np.where(np.signbit(values), _HEAD + _MINUS, _HEAD)
    return [heads.astype(np.intp), units.astype(np.intp), *behind]


def _text_of(rows: npt.NDArray[np.uint32]) -> str:
    return rows.tobytes().translate(None, b"\0").decode("ascii")


def numbers(spots: npt.NDArray[Any]) -> tuple[float, ...]:
    # Across and down of one point after another.
    return tuple(spots.view(float).tolist())


def point(z: complex) -> str:
    return POINT % (z.real, z.imag)


def number(value: float) -> str:
    text = repr(value)
    return text[:-2] if text.endswith(".0") else text
