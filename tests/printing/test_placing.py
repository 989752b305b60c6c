"""Where pages lie: everything is shown, blank pages are left out, turning saves pages, rungs fit nowhere else."""

from __future__ import annotations

import cmath
import math
from itertools import combinations, pairwise

import numpy as np
import pytest

from pleatsvg.errors import FitError
from pleatsvg.paper.area import Drawn, dense
from pleatsvg.paper.joins import REACH, joins_of, label_of
from pleatsvg.paper.placing import Grid, Window, fewest_pages


def polygon(*corners: complex) -> Drawn:
    run = [(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    return Drawn((dense([run], 2.0),), dense([run], 1.0))


def box(width: float, height: float, corner: complex = 0j) -> Drawn:
    return polygon(corner, corner + width, corner + complex(width, height), corner + 1j * height)


def shown(grid: Grid, points: np.ndarray) -> np.ndarray:
    """How many pages show each point."""
    count = np.zeros(len(points), dtype=int)
    for window in grid.windows:
        off = points * grid.turn - window.corner
        count += (off.real >= 0) & (off.real <= grid.wide) & (off.imag >= 0) & (off.imag <= grid.high)
    return count


@pytest.mark.parametrize("overlap", [0.0, 10.0, 30.0])
@pytest.mark.parametrize("turn", [None, 0.0, 90.0, 33.0])
def test_every_point_is_on_a_page(overlap: float, turn: float | None) -> None:
    slanted = polygon(3 + 7j, 640 + 100j, 700 + 500j, 90 + 610j)
    grid = fewest_pages(slanted, 190, 267, overlap, turn)
    assert shown(grid, slanted.points).min() >= 1
    # The inside is cloth: it is printed, with lines or without.
    x, y = np.meshgrid(np.linspace(120, 600, 40), np.linspace(130, 480, 40))
    assert shown(grid, (x + 1j * y).ravel()).min() >= 1


def test_what_just_fits_takes_one_page_and_a_hair_more_takes_two() -> None:
    room = 2 * 1.0  # beside the lines
    assert len(fewest_pages(box(190 - room - 2, 267 - room - 2), 190, 267, 10).windows) == 1
    assert len(fewest_pages(box(190 + 1, 267 - room - 2), 190, 267, 10, 0).windows) == 2
    # Two pages beside one another show 370 mm, not 380: they overlap by 10.
    assert len(fewest_pages(box(370 - room - 2, 200), 190, 267, 10, 0).windows) == 2
    assert len(fewest_pages(box(375, 200), 190, 267, 10, 0).windows) == 3


def test_turning_saves_pages() -> None:
    wide = box(510, 360)
    assert len(fewest_pages(wide, 190, 267, 10, 0).windows) == 6
    best = fewest_pages(wide, 190, 267, 10)
    assert len(best.windows) == 4
    assert best.degrees == 90
    # A long strip aslant on the drawing is turned upright: two pages, where it took four.
    strip = polygon(*[z * cmath.rect(1, math.radians(30)) for z in (0j, 150 + 0j, 150 + 500j, 500j)])
    aslant = fewest_pages(strip, 190, 267, 10)
    assert len(aslant.windows) == 2
    assert len(fewest_pages(strip, 190, 267, 10, 0).windows) > 2


def test_blank_pages_are_left_out_and_pages_within_the_cloth_are_not() -> None:
    thin = 20.0
    corner = polygon(0j, 900 + 0j, 900 + 1j * thin, thin + 1j * thin, thin + 900j, 900j)
    grid = fewest_pages(corner, 190, 267, 10, 0)
    assert grid.rows * grid.columns > len(grid.windows) == 8
    assert shown(grid, corner.points).min() == 1
    whole = fewest_pages(box(1000, 1000), 190, 267, 10, 0)
    assert len(whole.windows) == whole.rows * whole.columns


def test_too_many_pages_are_refused() -> None:
    with pytest.raises(FitError, match=r"30\.0 x 30\.0 m and would take more than 2000 pages"):
        fewest_pages(box(30_000, 30_000), 190, 267, 10)


def test_rungs_fit_no_other_join_nor_a_page_that_is_turned_round() -> None:
    grid = fewest_pages(box(1700, 1700), 190, 267, 10, 0)
    joins = joins_of(grid) + joins_of(grid, len(joins_of(grid)))
    assert len(joins) > 200

    def places(join: object) -> tuple[float, ...]:
        along = 1j if join.across == 1 else 1  # type: ignore[attr-defined]
        length = 267 if join.across == 1 else 190  # type: ignore[attr-defined]
        at = [((rung - join.start) / along).real for rung in join.rungs]  # type: ignore[attr-defined]
        assert all(12 - 1e-9 <= one <= length - 10 - 12 + 1e-9 for one in at)
        assert all(b - a > 10 for a, b in pairwise(at))
        return tuple([(one - 12) / (length - 34) for one in at])

    found = [places(join) for join in joins]
    for a, b in combinations(found, 2):
        least = max(abs(x - y) for x, y in zip(a, b, strict=True))
        turned = max(abs(1 - x - y) for x, y in zip(reversed(a), b, strict=True))
        assert min(least, turned) > 0.03  # 5 mm and more: no rung meets its half
    for a in found:
        assert max(abs(1 - x - y) for x, y in zip(reversed(a), a, strict=True)) > 0.03
    assert REACH < 10


def test_names_of_pages() -> None:
    names = [label_of(before, Window(row, column, 0j)) for before, row, column in ((0, 0, 0), (2, 1, 9), (20, 6, 0))]
    assert names == ["A1", "D10", "AA1"]
