"""Kinds of pleat against published figures and closed forms. NIMI is *Dress Making, Trade Practical* (CITS) vol. 2.

R: read in the source, D: derived. Lengths in mm unless said.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import shapely

from pleatsvg import pleat, read, write
from pleatsvg.kinds import KINDS
from pleatsvg.pleated import PleatedPiece
from tests.referee.foldback import prove


def panel(folder: Path, width: float, high: float = 300.0, *lines: str) -> Path:
    """A rectangle; `lines` are further paths."""
    path = folder / "panel.svg"
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{high}mm" viewBox="0 0 {width} {high}">'
        f'<g fill="none" stroke="#000"><rect data-name="seam" width="{width}" height="{high}"/>{"".join(lines)}</g></svg>'
    )
    return path


def flat_of(folder: Path, width: float, *lines: str, **options: Any) -> PleatedPiece:
    result = pleat(read(panel(folder, width, 300.0, *lines)), **options)
    out = folder / "flat.svg"
    write(result, out)
    assert prove(out).failures() == []
    return result


def width_of(result: PleatedPiece) -> float:
    left, _, right, _ = result.flat.outline.box
    return right - left


def test_twenty_full_knife_pleats(tmp_path: Path) -> None:
    """Finished 50 cm at a spacing of 2.5, full: 20 pleats take 150 cm of cloth. NIMI pp. 203-4 (R).

    Full pleats need cloth beneath the first and the last: a margin of one spacing is left on either side (D).
    """
    flat = flat_of(tmp_path, 550, kind="knife", depth="25mm", lap="left", gap="25mm", count=20, at=["25mm"])
    assert len(flat.pleats) == 20
    assert width_of(flat) == pytest.approx(1500 + 50, abs=1e-6)


def test_one_box_pleat(tmp_path: Path) -> None:
    """One box pleat of depth 12 cm in a piece finished at 60 needs 108 cm. NIMI p. 204 (R)."""
    flat = flat_of(tmp_path, 600, kind="box", depth="12cm", face="24cm", at=["30cm"])
    assert width_of(flat) == pytest.approx(1080, abs=1e-6)


def test_one_inverted_pleat(tmp_path: Path) -> None:
    """One inverted pleat of depth 6.5 cm, hem 66, needs 92. NIMI p. 204 (R)."""
    flat = flat_of(tmp_path, 660, kind="inverted", depth="65mm", at=["33cm"])
    assert width_of(flat) == pytest.approx(920, abs=1e-6)


def test_half_an_inverted_pleat_gains_thirteen(tmp_path: Path) -> None:
    """The half piece of the row before, cut on the fold: 33 cm become 46 (D), and 92 are told of the whole."""
    lines = ('<path data-name="fold edge" d="M330,10 V290"/>', '<path data-name="slash" d="M330,0 V300"/>')
    half = flat_of(tmp_path, 330, *lines, kind="inverted", depth="65mm")
    assert width_of(half) == pytest.approx(330 + 130, abs=1e-6)
    assert [2 * length for length in half.top_lengths] == pytest.approx([660, 920], abs=1e-6)


def test_twenty_pleats_shallower_than_their_spacing(tmp_path: Path) -> None:
    """Depth 3, spacing 4, finished 80: 20 pleats, 200 cm. NIMI sum 2a (R+D); with a margin of one spacing beneath them."""
    flat = flat_of(tmp_path, 840, kind="knife", depth="3cm", lap="right", at=["4cm"], gap="4cm", count=20)
    assert width_of(flat) == pytest.approx(2000 + 40, abs=1e-6)


def test_tucks_with_their_width_left_out(tmp_path: Path) -> None:
    """39 cm, margins 1.5, gap 1.2: 30 gaps, so 31 tucks. NIMI p. 209 (R). The lines of the run end at the other margin (D)."""
    flat = flat_of(tmp_path, 390, kind="pin-tuck", depth="1mm", lap="left", at=["15mm"], gap="12mm", count=31)
    tops = sorted(chord.top.real for chord in flat.lines.chords)
    assert (tops[0], tops[-1]) == pytest.approx((15, 375), abs=1e-9)
    assert width_of(flat) == pytest.approx(390 + 31 * 2, abs=1e-6)


@pytest.mark.parametrize(
    ("count", "gap", "flat_cm"), [(16, 16.0, 34.4), (15, 24 * 10 / 14, 34.0)], ids=["up", "nearest"]
)
def test_tucks_with_their_width(count: int, gap: float, flat_cm: float, tmp_path: Path) -> None:
    """28 cm, margins 2, tuck width 0.2: 16 tucks 1.6 apart need 34.4 cm of cloth, 15 tucks 34.0. NIMI p. 209 (up), D.

    The width of 0.2 is what is seen of a tuck; each takes 0.4 of cloth.
    """
    flat = flat_of(tmp_path, 280, kind="tuck", depth="2mm", lap="right", at=["20mm"], gap=f"{gap:.9f}mm", count=count)
    assert width_of(flat) == pytest.approx(10 * flat_cm, abs=1e-6)


def test_an_inverted_pleat_wider_at_the_hem(tmp_path: Path) -> None:
    """Centre back: 5 in at the waist, 7 in at the hem. Text-Book on Domestic Art, five-gored skirt (R)."""
    flat = flat_of(tmp_path, 600, kind="inverted", intake="5in", hem_intake="7in", at=["30cm"])
    (fact,) = flat.facts
    assert (fact.intake_top, fact.intake_hem) == pytest.approx((127.0, 177.8), abs=1e-4)


@pytest.mark.parametrize("stack", [1, 2, 3])
@pytest.mark.parametrize("name", [name for name, kind in KINDS.items() if kind.stacks])
def test_layers_of_a_stacked_pleat(name: str, stack: int, tmp_path: Path) -> None:
    """Across its underlay a pleat of n layers lies 1 + 2 n thick (D), counted on regions folded by shapely."""
    face = {"face": "8cm"} if name == "box" else {}
    lap = {"lap": "left"} if name == "knife" else {}
    flat = pleat(read(panel(tmp_path, 600)), kind=name, depth="3cm", stack=stack, at=["30cm"], **face, **lap)
    folds = sorted(crease.top.real for crease in flat.flat.creases)
    left, _, right, _ = flat.flat.outline.box
    # Strips between fold lines, folded one after another: (start, end, which way they run).
    place, way, spans = left, 1.0, []
    for a, b in zip([left, *folds], [*folds, right], strict=True):
        spans.append(sorted((place, place + way * (b - a))))
        place, way = place + way * (b - a), -way
    most = max(sum(low < x < high for low, high in spans) for x in [place + 0.5 for place in range(700)])
    assert most == 1 + 2 * stack
    assert shapely.union_all([shapely.box(low, 0, high, 1) for low, high in spans]).area == pytest.approx(600, abs=1e-6)
