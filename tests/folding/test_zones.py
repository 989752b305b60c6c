"""Pictures of fitted pieces: in two parts, as their cloth lies above the level from which they are shaped and below it."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import pytest

from pleatsvg import api
from pleatsvg.folded.items import Line, Text
from pleatsvg.folded.view import View, views_of
from pleatsvg.geometry.segment import box_of
from tests.drawings.fitted_pieces import fitted, front, half_front
from tests.drawings.gallery import FIXTURES

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


@pytest.mark.parametrize("more", [{}, {"allowance": "15mm"}])
def test_curves_to_stitch_along_are_seen_in_both_pictures(more: dict[str, str], tmp_path: Path) -> None:
    """They set off along the fold as far below the bend as the top lies above it, come onto it again at the top, and leave it
    between by what half the share makes of it at the bend, a quarter; the lines that bend were all that was seen."""
    drawing = (FIXTURES / "skirts" / "round-skirt.svg").read_text(encoding="utf-8")
    asked = {"kind": "knife", "lap": "left", "intake": "6cm", "count": 6, "ends": "6cm", "fit_waist": "60cm", **more}
    result, out = fitted(tmp_path, drawing, hip="hip", shaping="curved", **asked)
    (proof,) = api.fold(out)
    assert result.laid.fitted is not None
    above, below = views_of(proof, True)
    long = max(
        abs(fold[0] - fold[-1]) for fold in _lines(above, "outer-seen")
    )  # from the bend to the top as it is trued
    off = long * math.tan(max(result.laid.fitted.closed.leans)) / 4
    for view, far, near in ((below, long, 0.0), (above, 0.0, long)):
        assert "stitched along the thin curves" in " ".join(view.rows)
        curves = _lines(view, "shaping")
        for fold in _lines(view, "outer-seen"):
            top, hem = sorted(fold, key=lambda z: z.imag)
            way = (hem - top) / abs(hem - top)
            local = [(z - top) * way.conjugate() for line in curves for z in line]
            own = [w for w in local if abs(w.imag) < 2 * off and -1 < w.real < abs(hem - top) + 1]
            bend = min(own, key=lambda w: abs(w.real - near))
            assert abs(bend.imag) == pytest.approx(off, abs=0.15)
            end = min(own, key=lambda w: abs(w.real - far))
            assert (end.real, end.imag) == pytest.approx((far, 0), abs=0.3)
    _, out = fitted(tmp_path, drawing, hip="hip", **asked)
    (proof,) = api.fold(out)
    assert not any(_lines(view, "shaping") for view in views_of(proof, True))


def _lines(view: View, look: str) -> list[tuple[complex, ...]]:
    return [
        item.points
        for layer in view.layers
        for item in layer.items
        if isinstance(item, Line) and item.look == look and item.points
    ]


def test_a_cut_crosses_every_pleat_and_every_pleat_is_named(tmp_path: Path) -> None:
    """The hollow top of the closed part dips below its middle: a level cut there left the cloth at the middle pleat. The two
    folds of an inverted pleat meet, and were taken for a crowd in which one in ten is named."""
    drawing = (FIXTURES / "skirts" / "darted-front.svg").read_text(encoding="utf-8")
    _, out = fitted(tmp_path, drawing, kind="inverted", count=3, intake="9cm", darts="all")
    (proof,) = api.fold(out)
    for view in views_of(proof, True):
        words = [item.words for layer in view.layers for item in layer.items if isinstance(item, Text)]
        assert {"FOLD 1", "FOLD 2", "FOLD 3"} <= set(words)
        assert [zone.layers for zone in view.zones] == [1, 3, 1, 3, 1, 3, 1]
        assert not any(after.start - before.end > 0.1 for before, after in pairwise(view.zones))
