"""Fitted pleats that are stitched along curves: their cloth bends half-way up, proven as any fitted piece, and the curve to
stitch along is tangent to the fold below and to the one above. Lengths in mm."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from lxml import etree

from pleatsvg import fold
from pleatsvg.errors import PleatError
from tests.drawings.fitted_pieces import fitted, front, half_front
from tests.referee.fitback import assert_fitted
from tests.referee.foldback import read_path

KNIFE: dict[str, Any] = {"kind": "knife", "lap": "left", "intake": "4cm"}


@pytest.mark.parametrize(
    "options",
    [
        KNIFE | {"allowance": "15mm", "hem_intake": "6cm"},
        {"kind": "inverted", "intake": "6cm", "allowance": "15mm"},
        {"kind": "box", "intake": "4cm", "face": "25mm"},
    ],
)
def test_it_comes_to_its_waist_and_bends_half_way_up(options: dict[str, Any], tmp_path: Path) -> None:
    straight, _ = fitted(tmp_path, front(), fit_waist="46cm", hip="hip", **options)
    result, out = fitted(tmp_path, front(), fit_waist="46cm", hip="hip", shaping="curved", **options)
    assert assert_fitted(out).top_mm == pytest.approx(460, abs=0.01)
    assert all(proof.holds for proof in fold(out))
    one, other = straight.laid.fitted, result.laid.fitted
    assert one is not None
    assert other is not None
    for low, high in zip(one.edges, other.edges, strict=True):
        assert high.hip == pytest.approx((low.hip + low.chord.top) / 2)
    leans = [[math.tan(lean) for lean in made.closed.leans] for made in (one, other)]
    assert leans[1] == pytest.approx([2 * lean for lean in leans[0]], rel=0.02)
    assert "stitched along curves" in " ".join(result.remarks)


def test_half_a_piece(tmp_path: Path) -> None:
    text = half_front(((140, 130), (300, 300)))
    result, out = fitted(tmp_path, text, fit_waist="24cm", hip="hip", shaping="curved", kind="inverted", intake="6cm")
    assert assert_fitted(out).top_mm == pytest.approx(240, abs=0.01)
    assert result.top_lengths[0] == pytest.approx(240, abs=1e-6)


def test_the_solid_lines_are_the_curve(tmp_path: Path) -> None:
    _, out = fitted(tmp_path, front(), fit_waist="44cm", hip="hip", shaping="curved", **KNIFE)
    root = etree.fromstring(out.read_bytes())

    def of(name: str) -> list[np.ndarray]:
        found = [e for e in root.iter() if name in str(e.get("class") or "").split() and e.get("d")]
        return [points for e in found for points, _ in read_path(str(e.get("d")))]

    curves = [points for points in of("shaping-line") if len(points) > 2]
    lines = [*of("fold-line"), *of("placement-line")]
    assert len(curves) == len(lines) == 8
    lengths = []
    for curve in curves:
        line = min(lines, key=lambda points: float(np.abs(points - curve[0]).min()))
        top, hem = line[0], line[-1]
        off = ((line - top) * np.conj(hem - top)).imag
        bend = line[int(np.argmax(np.abs(off)))]
        begins, ends = curve[-1], curve[0]
        assert ends == pytest.approx(top, abs=2e-3)
        assert abs(begins - bend) == pytest.approx(abs(ends - bend), abs=2e-3)  # numbers of marks have three decimals
        assert (np.conj(hem - bend) * (begins - bend)).imag / abs(hem - bend) == pytest.approx(0, abs=2e-3)
        # A quadratic passes a quarter of the way from its middle control to the chord's middle from the control.
        middle = (begins + ends + 2 * bend) / 4
        assert np.abs(curve - middle).min() < abs(begins - ends) / len(curve)
        off = ((curve - middle) * np.conj(ends - begins)).imag / abs(ends - begins)
        assert abs(off[int(np.argmin(np.abs(curve - middle)))]) < 0.02
        lengths.append(float(np.abs(np.diff(curve)).sum()))
    # What is stitched together is of one length, pleat by pleat.
    for pleat in range(4):
        assert min(abs(lengths[pleat] - lengths[k]) for k in range(4, 8)) < 0.01


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (
            KNIFE | {"intake": "16cm", "lap": "right", "slash": "slash 2", "fit_waist": "46cm"},
            "its hidden top would miss the seam by",
        ),
        (KNIFE | {"shaping": "round"}, "shaping"),
        (
            KNIFE | {"fit_waist": None, "hip": None},
            "is given for pleats that are not fitted",
        ),
    ],
)
def test_refusals(options: dict[str, Any], words: str, tmp_path: Path) -> None:
    with pytest.raises(PleatError, match=words):
        fitted(tmp_path, front(), **({"fit_waist": "46cm", "hip": "hip", "shaping": "curved"} | options))


def test_a_curve_that_was_moved_is_seen(tmp_path: Path) -> None:
    _, out = fitted(tmp_path, front(), fit_waist="44cm", hip="hip", shaping="curved", **KNIFE)
    text = out.read_text()
    (own,) = re.findall(r'class="shaping-line" d="([^"]+)"', text)[:1]
    nodes = own.split(" L ")
    x, y = nodes[len(nodes) // 2].split(",")
    spoilt = own.replace(f"{x},{y}", f"{float(x) + 0.5:.3f},{y}")
    out.write_text(text.replace(own, spoilt, 1))
    (proof,) = fold(out)
    assert not proof.holds
    assert "the shaping line of pleat 1" in " ".join(proof.failures)
