"""A hidden layer that stayed behind when an editor moved all that is seen is laid on the piece again, and that is told."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from pleatsvg import api
from pleatsvg.errors import DrawingError
from tests.drawings.fitted_pieces import fitted, front, half_front

_HIDDEN = re.compile(r'(<g id="finished-shape"[^>]*)>')
_KNIFE = {"kind": "knife", "intake": "6cm", "lap": "left"}
_INVERTED = {"kind": "inverted", "intake": "8cm"}
_FIT = {"fit_waist": "48cm", "hip": "hip"}
_HALF = half_front(((120, 110), (230, 225)))
PIECES: dict[str, tuple[str, dict[str, Any]]] = {
    "a curved hem": (front(), _KNIFE),
    "half a piece": (_HALF, _INVERTED),
    "fitted": (front(), _KNIFE | _FIT),
    "half a fitted piece, curved": (_HALF, _INVERTED | {"fit_waist": "21cm", "hip": "hip", "shaping": "curved"}),
}


@pytest.mark.parametrize("name", PIECES)
@pytest.mark.parametrize("shift", ["37,-12", "0.4,0.3"])
def test_a_hidden_layer_left_behind_is_laid_on_the_piece(name: str, shift: str, tmp_path: Path) -> None:
    text, options = PIECES[name]
    _, out = fitted(tmp_path, text, allowance="15mm", **options)
    moved, found = _HIDDEN.subn(rf'\1 transform="translate({shift})">', out.read_text(encoding="utf-8"))
    assert found == 1
    out.write_text(moved, encoding="utf-8")
    (proof,) = api.fold(out)
    assert proof.failures == ()
    assert proof.worst < 0.001
    away = abs(complex(*map(float, shift.split(","))))
    assert any(f"lies {away:.2f} mm away from the piece" in note for note in proof.notes)


@pytest.mark.parametrize("name", ["a curved hem", "fitted"])
def test_a_piece_that_was_changed_besides_is_not_taken_for_true(name: str, tmp_path: Path) -> None:
    text, options = PIECES[name]
    _, out = fitted(tmp_path, text, **options)
    moved = _HIDDEN.sub(r'\1 transform="translate(37,-12)">', out.read_text(encoding="utf-8"))
    fold = re.compile(r'(<path class="fold-line"[^>]*data-pleat="2"[^>]*?)( ?/>)')
    changed, found = fold.subn(r'\1 transform="translate(0.5,0)"\2', moved, count=1)
    assert found == 1
    out.write_text(changed, encoding="utf-8")
    try:
        (proof,) = api.fold(out)
    except DrawingError:
        return
    assert not proof.holds
