"""What holds of every cutting line: folded back it is the mitred parallel of the finished outline.

Pieces, lines and requests by chance come from `tests.property.test_pleating`.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from pleatsvg import pleat, read, write
from pleatsvg.errors import FitError
from tests.property.test_pleating import Piece, Wish, _settings, pieces, wishes
from tests.referee.cutback import assert_cut_true


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    yield tmp_path_factory.mktemp("cut")


@_settings(5)
@given(piece=pieces(3), wish=wishes(), allowances=st.tuples(*[st.sampled_from([0, 6, 10, 15, 25, 40])] * 4))
def test_every_cutting_line_folds_back(folder: Path, piece: Piece, wish: Wish, allowances: tuple[int, ...]) -> None:
    if not any(allowances):
        allowances = (15, 15, 40, 15)
    source, out = folder / "piece.svg", folder / "flat.svg"
    source.write_text(piece.text(), encoding="utf-8")
    asked = [f"{number}={far}mm" for number, far in enumerate(allowances, 1)]
    for share in (1.0, 0.5, 0.25, 0.12, 0.06):
        try:
            result = pleat(read(source), allowance=asked, **wish.scaled(share).options)
        except FitError as error:
            if "fold back" in str(error):
                raise
            continue
        event(f"{wish.kind}, share {share}")
        write(result, out, force=True)
        assert_cut_true(out, allowances, free=None)
        return
    event("does not fit")
