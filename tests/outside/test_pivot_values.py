"""Darts moved about their points, against what the trade says and closed forms. Lengths in mm.

Erwin, *Practical Dress Design* p. 31, and the National Instructional Media Institute's *Dress Making, Trade Practical* (CITS)
p. 180 (R): a dart may be closed and another opened anywhere on the piece from a line to its point; the seams keep their
lengths, and the dart keeps its angle, so that it is wider where its line is longer. D: derived.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from pleatsvg import pleat, read, write
from tests.referee.foldback import prove

BLOCK = "M0 400V0H{0}V400H{1}L{2} 200L{3} 400Z"
"""A block 300 wide and 400 high with a dart in its lower edge, point at half its height."""


def block(folder: Path, mouth: float, *lines: str, wide: float = 300.0) -> Path:
    half = wide / 2
    seam = BLOCK.format(wide, half + mouth / 2, half, half - mouth / 2)
    slashes = "".join(f'<path id="slash {k}" d="{d}"/>' for k, d in enumerate(lines, 1))
    path = folder / "block.svg"
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="500mm" viewBox="0 0 400 500">'
        f'<path id="seam" d="{seam}"/>{slashes}</svg>'
    )
    return path


@pytest.mark.parametrize(
    "line", ["M150 0L150 200", "M60 0L150 200", "M0 0L150 200", "M0 120L150 200", "M300 50L150 200"]
)
def test_a_dart_keeps_its_angle_wherever_it_opens(line: str, tmp_path: Path) -> None:
    """A dart as wide as its two legs span; opened along a line of another length, it is wider in proportion (R)."""
    result = pleat(
        read(block(tmp_path, 40.0, line)), kind="tuck", lap="left" if "120" not in line else "up", pivot="dart"
    )
    write(result, tmp_path / "flat.svg")
    proof = prove(tmp_path / "flat.svg")
    assert proof.failures() == []
    start = complex(*map(float, line[1:].split("L")[0].split()))
    leg = abs(20 + 200j)
    (intake,) = proof.intakes
    assert max(intake.top_mm, intake.hem_mm) == pytest.approx(40 * abs(start - (150 + 200j)) / leg, abs=1e-3)
    # What its angle is, from the chord: 2 asin(20 / leg) at the hem as drawn, and where it opened.
    angle = 2 * math.asin(max(intake.top_mm, intake.hem_mm) / 2 / abs(start - (150 + 200j)))
    assert angle == pytest.approx(2 * math.atan(20 / 200), abs=1e-6)


def test_seams_keep_their_lengths(tmp_path: Path) -> None:
    """The lower edge, sewn 260, is 260 on the flat piece; the top, 300, is 300 when its tucks are sewn (R)."""
    lines = ("M90 0L150 200", "M150 0L150 200", "M210 0L150 200")
    result = pleat(read(block(tmp_path, 40.0, *lines)), kind="tuck", lap="left", pivot="lower edge")
    assert result.hem_lengths == pytest.approx((260, 260), abs=1e-6)
    assert result.top_lengths[0] == pytest.approx(300, abs=1e-6)
    write(result, tmp_path / "flat.svg")
    assert prove(tmp_path / "flat.svg").failures() == []


def test_to_the_mirrored_place_and_the_piece_is_turned_over(tmp_path: Path) -> None:
    """A dart of a block that is symmetrical up and down, moved from the lower edge straight up to the upper one, leaves the
    block with a dart as wide there (D)."""
    result = pleat(read(block(tmp_path, 40.0, "M150 0L150 200")), kind="inverted", pivot="dart")
    write(result, tmp_path / "flat.svg")
    (intake,) = prove(tmp_path / "flat.svg").intakes
    # The list of an inverted pleat turns in four steps: 4 |AQ| sin(a / 4).
    assert intake.top_mm == pytest.approx(4 * 200 * math.sin(math.atan(0.1) / 2), abs=1e-3)
    left, _, right, _ = result.flat.outline.box
    top = 2 * 200 * math.sin(math.atan(0.1)) + 0  # the chord that opened
    assert right - left < 300 + top + 1e-6
