"""Allowances on the command line: what is wrong with one is said to a dressmaker, with its exit code."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.commandline.terminal import FIXTURES, Terminal
from tests.drawings.paper import drawing, polygon, slashes
from tests.drawings.pieces import MIDDLE, SQUARE, half

SKIRT = FIXTURES / "skirt-front.svg"
KNIFE = ("--kind", "knife", "--intake", "6cm", "--lap", "left")


@pytest.mark.parametrize(
    ("words", "code", "phrases"),
    [
        (("--allowance", "neck=2cm"), 1, ("Edge 'neck'", "4 seam edges", "'left side'", "measure")),
        (("--allowance", "7=2cm"), 1, ("Edge '7'", "4 seam edges", "measure")),
        (("--allowance", "15"), 2, ("--allowance", "without a unit", "15mm, 15cm or 15in")),
        (("--allowance", "=15mm"), 2, ("no edge is named", "hem=4cm")),
        (("--allowance", "hem="), 2, ("--allowance", "is not a length")),
        (("--allowance", "-5mm"), 2, ("--allowance", "outside the seam", "0 or more")),
        (("--allowance", "2m"), 2, ("'m' is not mm, cm or in",)),
        (("--allowance", "hem=40cm"), 1, ("allowance of edge 3", "40 cm", "30 cm")),
        (("--allowance", "1cm", "--allowance", "2cm"), 2, ("given twice", "1 cm", "2 cm")),
        (("--allowance", "hem=1cm", "--allowance", "3=2cm"), 1, ("the hem (edge 3)", "given twice", "Keep one")),
        (("--allowance", "1cm", "--allowance-drawn", "1cm"), 2, ("both given", "drawn or made")),
        (("--allowance-drawn", "0mm"), 2, ("--allowance-drawn", "above 0")),
        (("--allowance-drawn", "29cm"), 1, ("cannot be drawn 29 cm inside", "too narrow")),
        (("--hem-turn",), 2, ("no hem to turn", "--allowance")),
        (("--notch", "star"), 2, ("--notch", "snip", "triangle")),
        (("--mark", "0mm"), 2, ("--mark", "full")),
        (("--stitch-down", "full"), 2, ("--stitch-down",)),
        (("--edge-stitch", "0cm"), 2, ("--edge-stitch", "full")),
        (("--open-fold",), 1, ("no fold edge", "--fold-edge")),
        (("--fold-edge", "hem"), 1, ("fold edge", "curved", "straight")),
    ],
)
def test_what_cannot_be_is_refused(
    words: tuple[str, ...], code: int, phrases: tuple[str, ...], terminal: Terminal, tmp_path: Path
) -> None:
    result = terminal("pleat", SKIRT, "-o", "flat.svg", *KNIFE, *words)
    assert result.code == code
    assert result.out == ""
    assert len(result.err.strip().splitlines()) == 1
    assert not [phrase for phrase in phrases if phrase not in result.err], result.err
    assert not (tmp_path / "flat.svg").exists()


def test_an_allowance_too_wide_for_a_hollow_is_refused_or_cut_true(terminal: Terminal, tmp_path: Path) -> None:
    # A notch 30 mm wide with 40 mm on one side of it and 1 on the other.
    outline = polygon(100 + 100j, 250 + 100j, 250 + 250j, 280 + 250j, 280 + 100j, 500 + 100j, 500 + 500j, 100 + 500j)
    Path("notched.svg").write_text(drawing(outline, slashes((400 + 100j, 400 + 500j))))
    result = terminal("pleat", "notched.svg", "-o", "flat.svg", *KNIFE, "--allowance", "40mm")
    assert result.code == 0 or (result.code == 1 and "allowance" in result.err)
    assert "Traceback" not in result.err


def test_what_was_cut_is_told(terminal: Terminal) -> None:
    words = ("--allowance", "15mm", "--allowance", "hem=4cm", "--json")
    result = terminal("pleat", SKIRT, "-o", "flat.svg", *KNIFE, *words)
    told = json.loads(result.out)
    assert told["allowances_mm"] == {"top": 15.0, "right side": 15.0, "hem": 40.0, "left side": 15.0}
    assert 0 <= told["cut_fold_back_mm"] < 0.01
    assert told["cut_on_fold"] is False
    assert "Allowance included: 1.5 cm everywhere, hem 4 cm." in Path("flat.svg").read_text()


def test_measure_tells_the_fold_edge_and_the_whole_width(terminal: Terminal) -> None:
    outline = polygon(100 + 100j, 300 + 100j, 340 + 600j, 100 + 600j)
    Path("half.svg").write_text(half(outline, (100 + 150j, 100 + 580j), (200 + 100j, 210 + 600j)))
    result = terminal("measure", "half.svg")
    assert re.search(r"left side +500 mm +straight, cut on the fold", result.out)
    assert "opened out it is 480 mm wide" in result.out
    told = json.loads(terminal("measure", "half.svg", "--json").out)
    assert told["whole_width_mm"] == pytest.approx(480)
    assert [edge["cut_on_fold"] for edge in told["edges"]] == [False, False, False, True]


def test_measure_says_that_only_a_cutting_line_is_drawn(terminal: Terminal) -> None:
    Path("cut.svg").write_text(drawing(SQUARE, slashes(MIDDLE)).replace('id="seam"', 'id="cutting line"'))
    result = terminal("measure", "cut.svg")
    assert "Edges of the cutting line" in result.out
    assert "--allowance-drawn" in result.out
    assert json.loads(terminal("measure", "cut.svg", "--json").out)["outline_is"] == "cutting line"
