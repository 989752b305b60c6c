"""A new kind of pleat is one list and its words: everything else follows, from the command to the proof."""

from __future__ import annotations

from pathlib import Path

import pytest

from pleatsvg import pleat, read, write
from pleatsvg.api import fold
from pleatsvg.kinds import KINDS, Fold, FoldList, Kind
from tests.referee.foldback import prove

FIXTURES = Path(__file__).parents[2] / "fixtures"

SHELF = Kind(
    "shelf",
    FoldList((Fold(0, +2), Fold(0, 0), Fold(0, +1), Fold(0, 0))),
    FoldList((Fold(0, 0), Fold(0, -1), Fold(0, 0), Fold(0, -2))),
    "a knife pleat over one half as deep, made up for this test",
)


@pytest.fixture
def known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(KINDS, "shelf", SHELF)


@pytest.mark.usefixtures("known")
@pytest.mark.parametrize("lap", ["left", "right", "sides"])
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
