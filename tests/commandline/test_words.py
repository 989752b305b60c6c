"""Words for a dressmaker: one for each thing, and true of level lines, tucks and small lengths as well."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from pleatsvg import pleat, read, write
from pleatsvg.errors import FitError
from tests.commandline.terminal import Terminal
from tests.drawings.paper import drawing, slashes
from tests.drawings.pieces import MIDDLE, SQUARE

LEVEL = {"slash 1": (300 + 200j, 600 + 200j), "slash 2": (300 + 300j, 600 + 300j)}
FIXTURES = Path(__file__).parents[2] / "fixtures"


def test_level_lines_have_a_left_and_a_right_end(terminal: Terminal) -> None:
    Path("level.svg").write_text(drawing(SQUARE, LEVEL))
    assert "numbered from the top; told from the left end to the right end" in terminal("measure", "level.svg").out
    words = ("--kind", "knife", "--intake", "2cm", "--lap", "down", "--allowance", "15mm")
    terminal("pleat", "level.svg", "-o", "flat.svg", *words)
    terminal("fold", "flat.svg", "-o", "steps.svg", "--steps")
    said = " ".join(Path("steps.svg").read_text().replace("<", " <").split())
    assert "the top against" not in said
    assert "measure the left and the right end" in re.sub(r"<[^>]*>| +", " ", said).replace("  ", " ").replace(
        "  ", " "
    )


def test_tucks_are_counted_as_tucks(terminal: Terminal) -> None:
    piece = read(FIXTURES / "straight-panel.svg")
    tucks = {"kind": "pin-tuck", "intake": "4mm", "lap": "left"}
    write(pleat(piece, slash="slash lines 2", count=9, gap="8mm", **tucks), "flat.svg")
    assert "flat piece with 9 pin tucks" in Path("flat.svg").read_text()
    assert terminal("fold", "flat.svg", "-o", "folded.svg").out.startswith("straight-panel: 9 pin tucks, folded")
    out = terminal("pleat", "flat.svg", "-o", "two.svg", "--kind", "tuck", "--intake", "2cm", "--lap", "down",
                   "--along", "left side", "--at", "20cm").out  # fmt: skip
    assert out.startswith("straight-panel: 9 pin tucks and 1 tuck in 2 passes")


def test_what_is_alike_on_most_edges_is_said_of_everywhere(tmp_path: Path) -> None:
    (tmp_path / "piece.svg").write_text(drawing(SQUARE, slashes(MIDDLE)))
    for allowance, said in (
        (["1cm", "hem=6cm"], "Allowance included: 1 cm everywhere, hem 6 cm."),
        (["15mm"], "Allowance included: 1.5 cm."),
        (["hem=6cm"], "Allowance included: top, right side, left side none; hem 6 cm."),
    ):
        result = pleat(read(tmp_path / "piece.svg"), kind="knife", intake="4cm", lap="left", allowance=allowance)
        assert any(row.endswith(said) for row in result.sheet.heading)


def test_another_lap_is_advised_where_there_is_one(tmp_path: Path) -> None:
    """Box pleats were to have their lap turned round, and a miss of hundredths was 0 mm."""
    (tmp_path / "piece.svg").write_text(drawing(SQUARE, slashes(MIDDLE)))
    for options, advised in (({"kind": "knife", "lap": "left"}, True), ({"kind": "inverted"}, False)):
        intake = "300.04mm" if advised else "600.08mm"
        with pytest.raises(FitError) as refused:
            pleat(read(tmp_path / "piece.svg"), intake=intake, **options)
        assert ("lap it the other way" in str(refused.value)) == advised
        assert "by less than 0.1 mm" in str(refused.value)
