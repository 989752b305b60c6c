"""Is the referee of cutting lines itself to be trusted?  It must pass what is true and fail what is false.

The parallels are held against closed forms; the results are spoilt on purpose.  Lengths in mm.
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
import pytest
import shapely

from tests.drawings.paper import drawing, slashes
from tests.drawings.pieces import MIDDLE, SQUARE, made

from . import foldback
from .cutback import assert_cut_true, parallel, prove_cut


def _area(ring: foldback.Points) -> float:
    return float(shapely.Polygon(foldback._xy(ring)).area)


def test_the_parallel_of_a_square_has_mitred_corners() -> None:
    square = np.array([0, 100, 100 + 100j, 100j])
    assert _area(parallel(square, np.full(4, 15.0))) == pytest.approx(130 * 130, abs=1e-6)
    assert _area(parallel(square, np.array([15.0, 0, 40, 15]))) == pytest.approx(115 * 155, abs=1e-6)
    turned = square[::-1]  # walked the other way: chords are bottom-left up ...
    assert _area(parallel(turned, np.array([40.0, 0, 15, 15]))) == pytest.approx(115 * 155, abs=1e-6)


def test_the_parallel_of_a_circle_is_a_circle() -> None:
    circle = 50 * np.exp(1j * np.linspace(0, 2 * math.pi, 2000, endpoint=False))
    ring = parallel(circle, np.full(2000, 15.0))
    assert np.abs(np.abs(ring) - 65).max() < 65 * (math.pi / 2000) ** 2


def test_a_hollow_is_trimmed_and_a_sharp_corner_squared() -> None:
    angle = np.array([0, 100, 100 + 50j, 50 + 50j, 50 + 100j, 100j])
    assert _area(parallel(angle, np.full(6, 10.0))) == pytest.approx(120 * 120 - 50 * 50, abs=1e-6)
    needle = np.array([0, 300 + 10j, 20j])
    assert parallel(needle, np.full(3, 10.0)).real.max() == pytest.approx(350, abs=1e-6)


@pytest.fixture(scope="module")
def true_one(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("true")
    text = drawing(SQUARE, slashes(MIDDLE))
    _, out = made(folder, text, kind="knife", lap="left", intake="4cm", allowance="15mm")
    assert_cut_true(out, 15)
    return out.read_text()


def _spoilt(text: str, folder: Path, name: str, change: str) -> Path:
    """The result with one change in the path data of a class, as Python on its list of numbers."""
    match = re.search(rf'class="{name}" d="([^"]*)"|d="([^"]*)" class="{name}"', text)
    assert match is not None
    data = match.group(1) or match.group(2)
    numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", data)]
    exec(change, {"numbers": numbers})
    it = iter(numbers)
    made_data = re.sub(r"-?\d+\.?\d*", lambda _: repr(next(it)), data)
    out = folder / "spoilt.svg"
    out.write_text(text.replace(data, made_data))
    return out


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("cut-line", "numbers[1] += 0.05"),
        ("cut-line", "numbers[3] -= 0.05"),
        ("finished-line", "numbers[2] += 0.05"),
    ],
)
def test_a_twentieth_of_a_millimetre_is_seen(name: str, change: str, true_one: str, tmp_path: Path) -> None:
    out = _spoilt(true_one, tmp_path, name, change)
    proof = prove_cut(out, 15)
    assert max(proof.off_mm, proof.bare_mm) > 0.02


def test_the_wrong_allowance_is_seen(true_one: str, tmp_path: Path) -> None:
    out = tmp_path / "flat.svg"
    out.write_text(true_one)
    assert prove_cut(out, 16).off_mm > 0.9
    assert prove_cut(out, [15, 15, 16, 15]).bare_mm > 0.9


def test_a_line_that_stops_at_the_seam_is_seen(true_one: str, tmp_path: Path) -> None:
    # The inner fold's first and last node, on the cutting line, are left out.
    match = re.search(r'<path[^>]*class="inner-fold-line"[^>]*>', true_one)
    assert match is not None
    data = re.search(r' d="([^"]*)"', match.group(0))
    assert data is not None
    nodes = data.group(1).removeprefix("M ").split(" L ")
    assert len(nodes) == 4
    out = tmp_path / "flat.svg"
    out.write_text(true_one.replace(data.group(1), f"M {nodes[1]} L {nodes[2]}"))
    assert prove_cut(out, 15).faults


def test_a_seam_outside_the_cutting_line_is_seen(true_one: str, tmp_path: Path) -> None:
    out = _spoilt(true_one, tmp_path, "cut-line", "numbers[2] += 60; numbers[3] -= 60")
    assert prove_cut(out, 15).faults
