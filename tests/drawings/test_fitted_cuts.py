"""Fitted pieces with a cutting line that is drawn, on narrow cloth, and with lines that are marked so far down.

A drawn cutting line above the hip is turned with the panels and joined over closed edges. Drawn where an allowance would have
made it, it must come out where the one that is made does. Lengths in mm.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import shapely

from pleatsvg import fold, pleat, read, write
from pleatsvg.pleated import PleatedPiece
from tests.drawings.fitted_pieces import FRONT_LINES, fitted, front, half_front
from tests.drawings.paper import outline_of
from tests.referee.fitback import FitProof, assert_fitted
from tests.referee.foldback import read_path

KNIFE: dict[str, Any] = {"kind": "knife", "lap": "centre", "intake": "4cm"}
INVERTED: dict[str, Any] = {"kind": "inverted", "intake": "6cm", "hem_intake": "8cm"}
FIT: dict[str, Any] = {"fit_waist": "43cm", "hip": "hip"}


def proven(folder: Path, text: str, **options: Any) -> tuple[PleatedPiece, Path, FitProof]:
    """A piece fitted and written, folded back by the referee and by the program."""
    result, out = fitted(folder, text, **options)
    (own,) = fold(out)
    assert own.failures == ()
    return result, out, assert_fitted(out)


def with_cut(text: str, path: str) -> str:
    """A drawing with a cutting line."""
    return text.replace("</svg>", f'<path id="cutting line" d="{path}"/></svg>')


def cut_of(out: Path) -> Any:
    """The cutting line of a result, from where its seam has its box."""
    text = out.read_text()
    points = [read_path(re.search(rf'class="{name}" d="([^"]+)"', text)[1])[0][0] for name in ("cut-line", "seam-line")]  # type: ignore[index]
    cut = points[0] - complex(points[1].real.min(), points[1].imag.min())
    return shapely.LinearRing([(z.real, z.imag) for z in cut])


@pytest.mark.parametrize("options", [KNIFE, INVERTED])
def test_a_drawn_cutting_line_comes_out_where_a_made_one_does(tmp_path: Path, options: dict[str, Any]) -> None:
    made, out, _ = proven(tmp_path, front(), **options, **FIT, allowance="15mm")
    assert made.laid.fitted is not None
    assert made.laid.fitted.cutting is not None
    one = cut_of(out)
    drawn = with_cut(front(), outline_of(made.laid.fitted.cutting.outline.segments))
    result, out, proof = proven(tmp_path, drawn, **options, **FIT)
    other = cut_of(out)
    for ring, there in ((one, other), (other, one)):
        assert shapely.distance(there, shapely.points(shapely.get_coordinates(ring))).max() < 0.03
    assert max(proof.cut_mm.values()) < 0.001
    assert result.cut_proof is not None
    assert result.cut_proof.worst < 2e-5


@pytest.mark.parametrize("on_right", [True, False])
@pytest.mark.parametrize("lines", [((140, 130), (220, 218)), ((140, 130), (300, 300))])
def test_on_half_pieces(tmp_path: Path, on_right: bool, lines: tuple[tuple[float, float], ...]) -> None:
    def x(at: float) -> float:
        return at if on_right else 600 - at

    cut = (
        f"M {x(35)},35 C {x(150)},50 {x(250)},55 {x(300)},55 L {x(300)},690 "
        f"C {x(200)},698 {x(120)},690 {x(5)},680 L {x(15)},250 Z"
    )
    _, _, proof = proven(tmp_path, with_cut(half_front(lines, on_right), cut), fit_waist="22cm", hip="hip", **INVERTED)
    assert set(proof.cut_mm) == {"above", "below"}


def test_an_outline_that_is_the_cutting_line(tmp_path: Path) -> None:
    result, _, proof = proven(tmp_path, front(), **INVERTED, fit_waist="42cm", hip="hip", allowance_drawn="1cm")
    assert set(proof.cut_mm) == {"above", "below"}
    assert result.laid.fitted is not None
    assert result.laid.fitted.cutting_above is not None


@pytest.mark.parametrize("options", [KNIFE | {"intake": "6cm"}, INVERTED | {"intake": "8cm"}])
def test_narrow_cloth(tmp_path: Path, options: dict[str, Any]) -> None:
    source, out = tmp_path / "front.svg", tmp_path / "out.svg"
    source.write_text(front(), encoding="utf-8")
    result = pleat(read(source), **options, **FIT, cloth_width="50cm", allowance="15mm")
    write(result, out)
    assert len(result.flat.cuts) > 1
    assert max(cut.box[2] - cut.box[0] for cut in result.flat.cuts) <= 500 + 1e-6
    (own,) = fold(out)
    assert own.failures == ()
    assert result.top_lengths[0] == pytest.approx(430, abs=1e-6)
    assert out.read_text().count('class="hip-level-line"') == len(result.flat.cuts)


@pytest.mark.parametrize(("curved", "foot"), [(False, 0.0), (True, 97.5)])
def test_lines_are_marked_so_far_down_from_where_they_are_stitched(tmp_path: Path, curved: bool, foot: float) -> None:
    """Whole above the hip, 6 cm of it below; with curves 6 cm from the lowest of their feet, as far below the bends."""
    shaping = {"shaping": "curved"} if curved else {}
    whole, _, _ = proven(tmp_path, front(), **KNIFE, **FIT, **shaping, allowance="15mm")
    result, out, _ = proven(tmp_path, front(), **KNIFE, **FIT, **shaping, allowance="15mm", mark="6cm")
    assert [line.hem for line in result.flat.creases] == [line.hem for line in whole.flat.creases], "it folds as before"
    seen = re.findall(r'class="(?:fold|placement)-line-seen" d="M ([^"]+)"', out.read_text())
    assert len(seen) == 2 * len(FRONT_LINES)
    fitted_piece = result.laid.fitted
    assert fitted_piece is not None
    below = 60 + (max(edge.length for edge in fitted_piece.edges) if curved else 0.0)
    assert below == pytest.approx(60 + foot, abs=8)
    lines = [line for line in (*result.flat.creases, *result.flat.placements) if not line.role.hidden]
    for line in lines:
        (path,) = [one for one in seen if one.startswith(f"{line.out_top.real:.6f}".rstrip("0").rstrip("."))][:1]
        spots = [complex(*map(float, one.split(","))) for one in path.split(" L ")]
        assert spots[1] == pytest.approx(line.bend, abs=1e-5)
        assert abs(spots[2] - spots[1]) == pytest.approx(below, abs=1e-4)
