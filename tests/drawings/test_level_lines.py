"""Lines placed level across the piece: square to the grain, whatever the side does; off-level is told with its angle."""

from __future__ import annotations

import cmath
import math
from pathlib import Path
from typing import Any

import pytest

from pleatsvg import pleat, read, write
from pleatsvg.errors import SlashError
from pleatsvg.pleated import PleatedPiece
from tests.drawings.paper import drawing, polygon
from tests.drawings.pieces import made

FIXTURES = Path(__file__).parents[2] / "fixtures"
TUCKS: dict[str, Any] = {"kind": "tuck", "intake": "2cm", "lap": "down", "along": "left side"}
FLARED = polygon(250 + 100j, 450 + 100j, 530 + 500j, 170 + 500j)


def off_level(result: PleatedPiece) -> list[float]:
    """Degrees of each line to the page."""
    ways = [chord.hem - chord.top for chord in result.lines.chords]
    return [math.degrees(cmath.phase(way)) for way in ways]


@pytest.mark.parametrize("name", ["skirt-front.svg", "gore-panel.svg"])
def test_level_is_square_to_the_grain(name: str) -> None:
    """README's own example ran 5 to 11 degrees off level, since the lines were square to a slanting side."""
    piece = read(FIXTURES / name)
    square = pleat(piece, count=4, **TUCKS)
    assert max(map(abs, off_level(square))) > 4.9
    level = pleat(piece, count=4, run="level", **TUCKS)
    assert max(map(abs, off_level(level))) < 1e-9
    assert [fact.grain_degrees for fact in level.facts] == pytest.approx([90.0] * 4, abs=1e-3)
    assert not any("off level" in remark for remark in level.remarks)


def test_square_to_a_grain_that_slants(tmp_path: Path) -> None:
    text = drawing(FLARED, {}, '<path id="grainline" d="M340,200 l20,200"/>')
    result, _ = made(tmp_path, text, at="20cm", run="level", **TUCKS)
    assert off_level(result) == pytest.approx([-math.degrees(math.atan2(20, 200))])


def test_without_a_grainline_level_is_that_of_the_page_and_said(tmp_path: Path) -> None:
    result, _ = made(tmp_path, drawing(FLARED, {}), at="20cm", run="level", **TUCKS)
    assert off_level(result) == pytest.approx([0.0])
    assert sum("level on the page" in remark for remark in result.remarks) == 1


@pytest.mark.parametrize("grain", ["", '<path id="grainline" d="M350,200 v200"/>'])
def test_off_level_is_told_with_its_angle(grain: str, tmp_path: Path) -> None:
    """Where no grainline is drawn nothing was said of it."""
    result, _ = made(tmp_path, drawing(FLARED, {}, grain), at="20cm", **TUCKS)
    (said,) = [remark for remark in result.remarks if "off level" in remark]
    assert f"{math.degrees(math.atan2(80, 400)):.1f} degrees off level" in said
    assert 'run="level"' in said


def test_a_level_line_is_not_placed_along_a_level_edge(tmp_path: Path) -> None:
    with pytest.raises(SlashError, match=r"would run along the top, at 0 degrees to it; a level line"):
        made(tmp_path, drawing(FLARED, {}), at="10cm", run="level", kind="tuck", intake="2cm", lap="down")


@pytest.mark.parametrize("more", [{"at": ["30cm", "57cm"]}, {"at": "45cm", "gap": "4cm", "count": 4}])
def test_a_line_along_a_side_that_runs_out_over_the_hem_is_refused(more: dict[str, Any], tmp_path: Path) -> None:
    """A second pass counted the hem to the right end: 130.65 cm finished."""
    first = pleat(read(FIXTURES / "skirt-front.svg"), kind="knife", intake="6cm", lap="left")
    write(first, tmp_path / "one.svg")
    for piece in (read(tmp_path / "one.svg"), read(FIXTURES / "skirt-front.svg")):
        with pytest.raises(SlashError, match=r"runs out over the hem, .* from its corner, \d+\.\d degrees off level"):
            pleat(piece, **TUCKS, **more)
        level = pleat(piece, run="level", **TUCKS, **more)
        assert level.hem_lengths[0] == pytest.approx(level.top_lengths[0], abs=0.01)
        assert level.worst_miss < 0.01
