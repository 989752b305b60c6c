"""A seam edge that is drawn with many nodes between two lines, and with few elsewhere, as traced and flattened curves are.

What lies the shorter way round was once counted in nodes: the cutting line between the pleats was walked the wrong way.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from pleatsvg import fold, pleat, read, write
from tests.drawings.paper import drawing, polygon, slashes
from tests.referee.cutback import CUT_LIMIT_MM, prove_cut


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("edge", ["top", "hem"])
@pytest.mark.parametrize("chords", [10, 100])
def test_the_cutting_line_goes_the_shorter_way(chords: int, edge: str, mirrored: bool, tmp_path: Path) -> None:
    bow = [complex(400 + 100 * k / chords, 100 - 20 * math.sin(math.pi * k / chords)) for k in range(chords + 1)]
    corners = [300 + 100j, *bow, 600 + 100j, 600 + 500j, 300 + 500j]
    if edge == "hem":
        corners = [complex(z.real, 600 - z.imag) for z in corners[::-1]]
    lines = [390, 520]
    if mirrored:
        corners = [complex(900 - z.real, z.imag) for z in corners[::-1]]
        lines = [900 - x for x in lines]
    text = drawing(polygon(*corners), slashes(*[(x + 100j, x + 500j) for x in lines]))
    (tmp_path / "piece.svg").write_text(text, encoding="utf-8")
    made = pleat(read(tmp_path / "piece.svg"), kind="knife", intake="2cm", lap="left", allowance="1cm")
    write(made, tmp_path / "flat.svg")
    assert prove_cut(tmp_path / "flat.svg", 10.0).off_mm < CUT_LIMIT_MM
    (proof,) = fold(tmp_path / "flat.svg")
    assert not proof.failures
