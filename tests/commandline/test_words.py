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


TUCK = ("--kind", "tuck", "--intake", "2cm", "--lap", "left")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (
            ("--kind", "tuck", "--intake", "40cm", "--lap", "left"),
            "Tuck 1 at 'slash lines 1' has a fold that reaches out",
        ),
        (("--kind", "pin-tuck", "--intake", "40cm", "--lap", "left"), "Pin tuck 1 at 'slash lines 1' has a fold"),
        ((*TUCK, "--stitched", "45cm"), "Tuck 1 at 'slash lines 1' is to be stitched for 45 cm"),
        ((*TUCK, "--hem-intake", "90cm"), "Tuck 1 at 'slash lines 1' would change its depth by"),
        (("--kind", "tuck", "--intake", "2cm", "--lap", "up"), "Tuck 1 at 'slash lines 1' was to lap up"),
        (
            ("--kind", "tuck", "--intake", "2cm", "--lap", "centre", "--at", "30cm"),
            "within 1 mm of the centre; a centre lap needs a line that lies to one side of it. Tuck that line",
        ),
        (
            (*TUCK, "--fold-edge", "left side"),
            "Tuck 1 at 'slash lines 1' is to lap left on a piece that is cut on the fold",
        ),
    ],
)
def test_refusals_of_tucks_call_them_tucks(options: tuple[str, ...], said: str, terminal: Terminal) -> None:
    refused = terminal("pleat", str(FIXTURES / "straight-panel.svg"), "-o", "flat.svg", *options).err
    assert said in " ".join(refused.split()) and "pleat 1" not in refused.casefold()


def test_notes_of_tucks_call_them_tucks(terminal: Terminal) -> None:
    """The grain, what a tuck comes to lie over, layers, cautions, faults, and what earlier tucks had no room for."""
    panel = str(FIXTURES / "gallery" / "panel.svg")
    deep = ("--kind", "tuck", "--intake", "10cm", "--lap", "left")
    out = terminal("pleat", panel, "-o", "flat.svg", *deep).out
    assert "Tucks 1 and 2 have a tuck" not in out
    folded = terminal("fold", "flat.svg", "-o", "folded.svg").out
    assert "at most 3 at tucks 1 to 3" in folded
    assert "at most 3 at tucks 1 to 3" in Path("folded.svg").read_text()
    circle = str(FIXTURES / "circle-skirt-panel.svg")
    out = terminal("pleat", circle, "-o", "circle.svg", "--kind", "tuck", "--intake", "1cm", "--lap", "left").out
    assert "Tucks 1 and 2, 4 and 5 lie up to 30.0 degrees off the grain" in " ".join(out.split())
    sheet = Path("circle.svg").read_text()
    assert "disappears into the tuck<" in sheet and "pleat<" not in sheet
    spoilt = Path("flat.svg").read_text()
    Path("spoilt.svg").write_text(re.sub(r'data-intake-mm="100\.0000"', 'data-intake-mm="90.0000"', spoilt, count=1))
    assert "the label of tuck 2 says an intake of 90.00 mm" in terminal("fold", "spoilt.svg").err


def test_pleats_and_tucks_on_one_piece_are_told_apart(terminal: Terminal) -> None:
    mixed = str(FIXTURES / "gallery" / "kinds-by-name.svg")
    terminal("pleat", mixed, "-o", "flat.svg", "--allowance", "15mm")
    sheet = Path("flat.svg").read_text()
    assert "disappears into the pleat or the tuck" in sheet and "the folded pleats and tucks across the top" in sheet
    out = terminal("card", "flat.svg", "-o", "cards.pdf").out
    assert "CARD for pleats 1, 5" in out and "note: Pin tucks 2, 4: a card" in out
    terminal("pleat", str(FIXTURES / "straight-panel.svg"), "-o", "tucks.svg", *TUCK)
    assert "CARD for tucks 1 to 4" in terminal("card", "tucks.svg", "-o", "tuck-cards.svg").out
    cards = " ".join(re.sub(r"<[^>]*>", " ", Path("tuck-cards.svg").read_text()).split())
    assert "CARD for tucks 1 to 4" in cards and "reaches to the next tuck" in cards and "pleat" not in cards


def test_cloth_that_is_finished_by_tucks_says_so(terminal: Terminal) -> None:
    cloth = str(FIXTURES / "skirts" / "flat-cloth.svg")
    tucks = ("--kind", "tuck", "--lap", "left", "--ends", "4cm", "--intake", "6cm")
    out = " ".join(terminal("pleat", cloth, "-o", "flat.svg", *tucks, "--finish-to", "75cm").out.split())
    assert "finished to 75 cm by 24 tucks that take up" in out and "makes 23.50 tucks, rounded up to 24" in out
    terminal("sheet", "flat.svg", "-o", "sheet.html")
    assert "The piece with every tuck folded" in Path("sheet.html").read_text()
