"""Narrow cloth across grains of any direction: as wide as the cut parts are, and no wider. Lengths in mm."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from lxml import etree

from pleatsvg import pleat, read, write
from pleatsvg.errors import FitError
from tests.referee.foldback import assert_true, read_path

SEAMS = {"panel": "M0 0H600V400H0Z", "flared": "M0 0C200 30 400 30 600 0L660 400C400 440 200 440 -60 400Z"}


def drawn(folder: Path, seam: str, grain: float) -> Path:
    """Three slash lines 150 apart, and a grainline at so many degrees to the level."""
    way = 80 * np.exp(1j * math.radians(grain))
    lines = "".join(f'<path id="slash {k}" d="M{150 * k} -20V440"/>' for k in (1, 2, 3))
    ends = f"M{320 - way.real:.9f} {200 - way.imag:.9f}L{320 + way.real:.9f} {200 + way.imag:.9f}"
    source = folder / "drawn.svg"
    source.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="600mm" viewBox="-100 -100 900 600">'
        f'<path id="seam" d="{seam}"/>{lines}<path id="grainline" d="{ends}"/></svg>'
    )
    return source


def parts(source: Path, width: float, grain: float, **options: Any) -> list[float]:
    """How wide each part of the result is across the grain."""
    out = source.with_name("flat.svg")
    knife: dict[str, Any] = {"kind": "knife", "lap": "left", "intake": "8cm", "allowance": "15mm"}
    write(pleat(read(source), cloth_width=f"{width:.4f}mm", **{**knife, **options}), out, force=True)
    across = -1j * np.exp(-1j * math.radians(grain))
    lines = [e for e in etree.parse(str(out)).getroot().iter("{*}path") if e.get("class") == "cut-line"]
    return [float(np.ptp((read_path(e.get("d"))[0][0] * across).real)) for e in lines]


@pytest.mark.parametrize("width", [430.0, 440.0, 600.0])
def test_no_join_is_asked_for_where_the_whole_piece_fits(width: float, tmp_path: Path) -> None:
    """With a level grain the panel is 400 and two allowances wide, and joins would make it no narrower."""
    assert parts(drawn(tmp_path, SEAMS["panel"], 0), width, 0) == [pytest.approx(430)]


@pytest.mark.parametrize("seam", SEAMS)
@pytest.mark.parametrize("grain", [0, 45, 75, 120])
def test_the_width_told_is_that_of_the_widest_part(seam: str, grain: float, tmp_path: Path) -> None:
    """What is told when the cloth is too narrow is what is cut when it is as wide as that."""
    source = drawn(tmp_path, SEAMS[seam], grain)
    with pytest.raises(FitError) as refused:
        parts(source, 150, grain)
    told = re.search(r"its widest part would be ([\d.]+) cm wide", str(refused.value))
    assert told is not None
    width = float(told[1]) * 10
    assert max(parts(source, width + 0.1, grain)) == pytest.approx(width, abs=0.06)
    with pytest.raises(FitError):
        parts(source, width - 0.1, grain)


def test_a_panel_cut_on_the_cross(tmp_path: Path) -> None:
    """Projected by hand: the panels between two joins are 150 and two depths of 40 and two allowances of 15 wide, and 400 and
    two allowances long; at 45 degrees they reach (260 + 430) / sqrt 2 across the cloth."""
    source = drawn(tmp_path, SEAMS["panel"], 45)
    found = parts(source, 487.91, 45)
    assert len(found) == 4
    assert max(found) == pytest.approx((260 + 430) / math.sqrt(2), abs=1e-3)


@pytest.mark.parametrize(
    "options", [{"kind": "inverted", "lap": None, "underlay": "separate"}, {"kind": "box", "lap": None}]
)
@pytest.mark.parametrize("width", [420.0, 700.0])
def test_every_part_fits(options: dict[str, Any], width: float, tmp_path: Path) -> None:
    found = parts(drawn(tmp_path, SEAMS["flared"], 70), width, 70, hem_intake="9cm", **options)
    assert_true(tmp_path / "flat.svg")
    assert max(found) <= width + 1e-3
