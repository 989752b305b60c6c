"""Numbers that are printed all at once are, to the letter, those that are printed one by one."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from random import Random

import numpy as np
import pytest

from pleatsvg.geometry.segment import Segment
from pleatsvg.writing.numbers import CURVE, LINE, NEXT, START, STROKE, closed_path_data, path_rows, three_decimals

COUNT = 600


def halves(chance: Random) -> Iterator[float]:
    """Numbers half-way between two thousandths, and their neighbours, which are rounded the one way or the other."""
    while True:
        value = chance.randrange(-4_000_000, 4_000_000) / 2000
        yield chance.choice([value, math.nextafter(value, 1e9), math.nextafter(value, -1e9)])


def of_every_size(chance: Random) -> Iterator[float]:
    yield from (0.0, -0.0, -0.0001, 0.9996, 999.9994, 999.9996, 1000.0, -1000.0, 99_999.9994)
    while True:
        yield chance.choice([-1, 1]) * 10 ** chance.uniform(-4, 4.9)


def as_written(chance: Random) -> Iterator[float]:
    """Numbers of up to 6 decimals; none that a power of ten is printed for."""
    yield from (0.0, -0.0, 1.0, -1.0, 0.0001, 0.1, 0.12, 0.123, 0.1234, 5.000001, 1000.5, 99_999.999999)
    for value in of_every_size(chance):
        number = round(value, chance.randrange(7))
        yield number if abs(number) >= 1e-4 else 0.5


def spots(numbers: Iterator[float]) -> np.ndarray:
    return np.array([complex(next(numbers), next(numbers)) for _ in range(COUNT)])


def one_by_one(steps: bytes, points: np.ndarray, form: str) -> list[str]:
    leads = {START: "\nM ", STROKE: " M ", LINE: " L ", CURVE: " C ", NEXT: " "}
    rows = "".join([leads[bytes([step])] + form % (z.real, z.imag) for step, z in zip(steps, points, strict=True)])
    return rows.split("\n")[1:]


@pytest.mark.parametrize(("numbers", "mark"), [(halves, True), (of_every_size, True), (as_written, False)])
def test_path_data_printed_at_once(numbers: Callable[[Random], Iterator[float]], mark: bool) -> None:
    chance = Random(f"{numbers.__name__}")
    for _ in range(5):
        points = spots(numbers(chance))
        steps = START + b"".join([chance.choice([START, STROKE, LINE, CURVE, NEXT]) for _ in points[1:]])
        told = path_rows(steps, points, mark)
        assert told == one_by_one(steps, points, "%.3f,%.3f" if mark else "%.13g,%.13g")
        if mark:
            values = points.view(float)
            assert three_decimals(values) == [f"{value:.3f}" for value in values]


@pytest.mark.parametrize("odd", [1e-5, -3e-6, 0.1234567, 2e5, 3e7])
def test_a_number_of_another_form_is_printed_as_it_is(odd: float) -> None:
    points = spots(as_written(Random(1)))
    points[70] = complex(odd, 1)
    steps = START + LINE * (COUNT - 1)
    assert path_rows(steps, points) == one_by_one(steps, points, "%.13g,%.13g")
    assert f" {odd:.13g},1 " in path_rows(steps, points)[0]


def test_closed_runs_end_in_z_wherever_they_stand() -> None:
    square: tuple[Segment, ...] = ((0j, 10 + 0j), (10 + 0j, 10 + 10j), (10 + 10j, 9 + 11j, 8 + 11j, 0j))
    data = "M 0,0 L 10,0 L 10,10 C 9,11 8,11 0,0"
    for times in (1, 60):
        runs = [(square, closed) for closed in (True, False, False, True, True)] * times
        assert list(closed_path_data(runs)) == [f"{data} Z" if closed else data for _, closed in runs]
