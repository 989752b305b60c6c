"""A new kind of pleat is one list and its words: everything else follows, from the command to the proof."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest

from pleatsvg import pleat, read, write
from pleatsvg.api import fold
from pleatsvg.folded.steps import steps_of
from pleatsvg.folded.view import view_of
from pleatsvg.kinds import KINDS, Fold, FoldList, Kind
from tests.referee.foldback import prove

FIXTURES = Path(__file__).parents[2] / "fixtures"

SHELF = Kind(
    "shelf",
    FoldList((Fold(0, +2), Fold(0, 0), Fold(0, +1), Fold(0, 0))),
    FoldList((Fold(0, 0), Fold(0, -1), Fold(0, 0), Fold(0, -2))),
    "a knife pleat over one half as deep, made up for this test",
)

REFOLDED = Kind(
    "refolded",
    FoldList((Fold(0, +2), Fold(0, +1), Fold(0, +2), Fold(0, 0))),
    FoldList((Fold(0, 0), Fold(0, -2), Fold(0, -1), Fold(0, -2))),
    "a knife pleat whose underlay is folded back once more, made up for this test",
)
LAPS = ["left", "right", "centre", "sides"]


@pytest.fixture
def known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(KINDS, "shelf", SHELF)
    monkeypatch.setitem(KINDS, "refolded", REFOLDED)


@pytest.mark.usefixtures("known")
@pytest.mark.parametrize("lap", LAPS)
def test_it_is_pleated_marked_written_and_proven(lap: str, tmp_path: Path) -> None:
    """Depths 2 + 1 over each other take up 6 depths (D): 4 for the deep one, 2 for the other."""
    result = pleat(read(FIXTURES / "straight-panel.svg"), kind="shelf", depth="1cm", lap=lap, allowance="15mm")
    out = tmp_path / "flat.svg"
    write(result, out)
    proof = prove(out)
    assert proof.failures() == []
    assert proof.flat_area_mm2 == pytest.approx(600 * 400 + 4 * 60 * 400, abs=0.01)
    assert fold(out)[0].failures == ()
    words = " ".join(result.sheet.heading)
    assert "shelf, intake" in words
    assert 'data-kind="shelf"' in out.read_text()


@pytest.mark.usefixtures("known")
def test_a_name_can_ask_for_it(tmp_path: Path) -> None:
    shapes = (
        '<rect data-name="seam" width="400" height="300"/><path data-name="slash 1 shelf 6cm left" d="M200,0 V300"/>'
    )
    head = 'xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" viewBox="0 0 400 300"'
    (tmp_path / "panel.svg").write_text(f'<svg {head}><g fill="none" stroke="#000">{shapes}</g></svg>')
    (fact,) = pleat(read(tmp_path / "panel.svg")).facts
    assert fact.request.kind is SHELF
    assert fact.request.intake_top == pytest.approx(60)


@pytest.fixture
def refolded(known: None, request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """Its result, for a lap."""
    result = pleat(read(FIXTURES / "straight-panel.svg"), kind="refolded", intake="12cm", lap=request.param)
    write(result, tmp_path / "flat.svg")
    return tmp_path / "flat.svg"


def test_which_folds_stand_up_follows_from_the_list() -> None:
    """Fold it in paper: beneath the edge the strip goes out, half back, out again and home; every second fold stands up."""
    assert REFOLDED.to_before.outer == (False, True, False, True)
    assert REFOLDED.to_after.outer == (True, False, True, False)
    assert SHELF.to_after.outer == (True, False, True, False)
    assert KINDS["box"].to_before.outer == (False, True, True, False)
    assert KINDS["inverted"].to_before.outer == (True, False, False, True)


@pytest.mark.parametrize("refolded", LAPS, indirect=True)
def test_a_fold_that_is_hidden_and_stands_up_says_so(refolded: Path) -> None:
    """On the cloth, in the key, and in the file for whoever folds it back."""
    text = refolded.read_text()
    for pleat_number in range(1, 5):
        words = [word for word in re.findall(r">([A-Z0-9 ]+)<", text) if re.search(rf"\b{pleat_number}\b", word)]
        assert f"FOLD {pleat_number}" in words  # along a long line more than once
        assert sorted(word for word in words if word.startswith("INNER")) == [
            f"INNER FOLD {pleat_number}",
            f"INNER FOLD {pleat_number}",
            f"INNER FOLD {pleat_number} OUTWARD",
        ]
    key = " ".join(re.findall(r'class="key-words"[^>]*>([^<]*)<', text))
    assert "one that says OUTWARD folds as FOLD does" in key
    assert text.count('data-way="mountain"') == 4


@pytest.mark.parametrize("refolded", LAPS, indirect=True)
def test_it_is_proven_and_pictured_as_it_folds(refolded: Path) -> None:
    """Layers 1 + 2 x 2 over the inner half and 3 over the outer one (D); no cloth passes through cloth."""
    assert prove(refolded).failures() == []
    (proof,) = fold(refolded)
    assert proof.failures == ()
    for _, creases in itertools.groupby(proof.passes[0].creases, key=lambda crease: crease.line.pleat):
        ways = [crease.mountain for crease in creases]
        assert len(ways) == 4
        assert all(a != b for a, b in itertools.pairwise(ways))
    view = view_of(proof, True)
    assert view.clashes == ()
    assert view.thick.layers == 5
    words = " ".join(panel.words for panel in steps_of(proof).panels)
    assert "INNER FOLD 1 OUTWARD is folded as FOLD is" in words
    assert "so that they meet" not in words and "away from each other" not in words


@pytest.mark.parametrize(("refolded", "other"), [("left", "right"), ("right", "left")], indirect=["refolded"])
def test_a_false_lap_of_it_is_found(refolded: Path, other: str) -> None:
    said = "left" if other == "right" else "right"
    refolded.write_text(refolded.read_text().replace(f'data-lap="{said}"', f'data-lap="{other}"'))
    assert fold(refolded)[0].failures[0] == f"pleat 1 is to point {other}, but its fold lies on the other side"


@pytest.mark.parametrize("refolded", ["left"], indirect=True)
def test_it_goes_through_a_later_pass(refolded: Path, tmp_path: Path) -> None:
    again = pleat(read(refolded), kind="tuck", intake="2cm", lap="down", count=2, along="left side")
    write(again, tmp_path / "twice.svg")
    (proof,) = fold(tmp_path / "twice.svg")
    assert proof.failures == ()
    assert (tmp_path / "twice.svg").read_text().count('data-way="mountain"') == 4
