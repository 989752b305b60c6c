"""Pictures of fitted pieces: in two parts, as their cloth lies above the level from which they are shaped and below it."""

from __future__ import annotations

from pathlib import Path

import pytest

from pleatsvg import api
from pleatsvg.folded.items import Line
from pleatsvg.folded.view import View, views_of
from pleatsvg.geometry.segment import box_of
from tests.drawings.fitted_pieces import fitted, front, half_front

_INVERTED = {"kind": "inverted", "intake": "8cm", "hip": "hip"}


def _centre(view: View) -> tuple[complex, ...]:
    (line,) = [
        item for layer in view.layers for item in layer.items if isinstance(item, Line) and item.look == "centre"
    ]
    return line.points


@pytest.mark.parametrize("on_right", [True, False])
def test_half_a_piece_hangs_from_its_fold_edge_in_both_parts(on_right: bool, tmp_path: Path) -> None:
    _, out = fitted(tmp_path, half_front(((120, 110), (230, 225)), on_right), fit_waist="21cm", **_INVERTED)
    (proof,) = api.fold(out)
    for view in views_of(proof, True):
        left, top, right, bottom = box_of([z for seg in view.outline for z in seg])
        above, below = sorted(_centre(view), key=lambda z: z.imag)
        # Upright, in the middle, and no longer than the cloth.
        assert above.real == pytest.approx((left + right) / 2, abs=1e-3)
        assert below.real == pytest.approx(above.real, abs=1e-3)
        assert top - 1e-3 <= above.imag < below.imag <= bottom + 1e-3


def test_what_lies_above_is_not_turned_with_its_first_panel(tmp_path: Path) -> None:
    # Mirror images make pictures that are mirror images: the cloth above lies level, whichever panel was laid first.
    _, out = fitted(tmp_path, front(((170, 170), (430, 430))), fit_waist="40cm", **_INVERTED)
    (proof,) = api.fold(out)
    above, _ = views_of(proof, True)
    ends = [seg[0] for seg in above.outline]
    left, right = min(ends, key=lambda z: z.real), max(ends, key=lambda z: z.real)
    assert left.imag == pytest.approx(right.imag, abs=0.5)
    # Cloth above over what it covers: 40 cm at the top and 54 at the hip, and two intakes of 8 cm there and 13 above.
    assert above.average == pytest.approx(1 + 2 * (8 + 13) / (40 + 54), abs=0.03)


def test_the_level_ends_where_the_drawn_line_does(tmp_path: Path) -> None:
    result, _ = fitted(tmp_path, front(), fit_waist="44cm", **_INVERTED)
    assert result.laid.fitted is not None
    first, last = result.laid.fitted.hip.ends
    assert first == pytest.approx(30 + 250j, abs=0.05)
    assert last == pytest.approx(570 + 250j, abs=0.05)
