"""Where pleats are basted, and which way laps point on a half piece: by the edges that the tops of the lines lie on."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from pleatsvg import measure, pleat, read
from pleatsvg.geometry.segment import point_at
from pleatsvg.pleated import PleatedPiece
from pleatsvg.result.classes import key_row
from tests.commandline.test_kinds_bodice import BODICE
from tests.drawings.paper import drawing
from tests.drawings.pieces import SQUARE, made


def upright(*places: float) -> dict[str, tuple[complex, complex]]:
    return {f"slash {k}": (x + 100j, x + 500j) for k, x in enumerate(places, 1)}


def basted(result: PleatedPiece) -> dict[str, float]:
    """By the end at which it lies, how long each basting line is on the flat piece."""
    found = {}
    for line in result.sheet.stitching:
        if line.name == "baste-line":
            spots = [[point_at(seg, k / 16) for seg in run for k in range(17)] for run in line.runs]
            found[line.end] = sum(abs(b - a) for run in spots for a, b in pairwise(run))
    return found


def row_of(result: PleatedPiece) -> str:
    (name,) = [name for name in result.sheet.key if name.startswith("baste")]
    return key_row(name)[1].words


@pytest.mark.parametrize(
    ("places", "options"),
    [
        ((350, 400, 450, 500, 550), {"kind": "knife", "intake": "10cm", "lap": "left"}),
        ((350, 400, 450, 500, 550), {"kind": "knife", "intake": "10cm", "lap": "right"}),
        ((325, 375, 425, 475, 525, 575), {"kind": "box", "intake": "10cm", "face": "5cm"}),
    ],
    ids=["knife left", "knife right", "box"],
)
def test_full_pleating_is_basted(places: tuple[float, ...], options: dict[str, Any], tmp_path: Path) -> None:
    """An inner fold on the side seam made the whole line disappear, without a word."""
    result, _ = made(tmp_path, drawing(SQUARE, upright(*places)), allowance="15mm", **options)
    assert basted(result) == {"top": pytest.approx(result.top_lengths[1], abs=1e-6)}
    assert "across the top" in row_of(result)


@pytest.mark.parametrize(
    ("more", "ends", "words"),
    [
        ({"allowance": "15mm"}, {"left end", "right end"}, "at the left end and the right end"),
        ({"allowance": "left side=15mm"}, {"left end"}, "at the left end here"),
        ({"allowance": "15mm", "fold_edge": "left side"}, {"right end"}, "at the right end here"),
    ],
    ids=["both", "one allowance", "on the fold"],
)
def test_level_pleats_are_basted_at_both_ends(more: dict[str, Any], ends: set[str], words: str, tmp_path: Path) -> None:
    tucks = {"kind": "tuck", "intake": "2cm", "lap": "down", "along": "left side", "count": 3}
    result, _ = made(tmp_path, drawing(SQUARE, {}), **tucks, **more)
    assert basted(result) == dict.fromkeys(ends, pytest.approx(400 + 3 * 20, abs=1e-6))
    assert words in row_of(result)
    left = {line.end: line.runs[0][0][0].real < 450 for line in result.sheet.stitching}
    assert all((end == "left end") == at_left for end, at_left in left.items())


def test_the_top_of_an_on_fold_bodice_is_the_edge_that_the_lines_lie_on(tmp_path: Path) -> None:
    """Shoulder and neck were one, 244 mm, and the basting ran round the neck."""
    (tmp_path / "bodice.svg").write_text(BODICE)
    piece = read(tmp_path / "bodice.svg")
    lines = ["slash 1 knife 3cm centre", "slash 2 knife 3cm centre"]
    result = pleat(piece, slash=lines, kind="knife", intake="3cm", lap="centre", allowance="15mm")
    (shoulder,) = [edge.length for edge in measure(piece).edges if edge.name == "top"]
    assert result.top_lengths[0] == pytest.approx(shoulder)
    assert basted(result)["top"] == pytest.approx(result.top_lengths[1], rel=0.01)


@pytest.mark.parametrize("edge", ["left side", "right side"])
@pytest.mark.parametrize("more", [{}, {"open_fold": True}], ids=["half", "opened"])
def test_laps_face_the_edge_that_an_option_cuts_on_the_fold(edge: str, more: dict[str, Any], tmp_path: Path) -> None:
    """They faced the middle of the half piece's lines: only a fold edge that was drawn was heard."""
    options: dict[str, Any] = {"kind": "knife", "intake": "2cm", "fold_edge": edge, **more}
    for lap in ("centre", "sides"):
        result, _ = made(tmp_path, drawing(SQUARE, upright(380, 440, 520)), lap=lap, **options)
        ways = [fact.request.towards for fact in result.facts]
        to_left = (edge == "left side") == (lap == "centre")
        own = [-1 if to_left else 1] * 3
        there = [-way for way in own]
        whole = [*there, *own] if edge == "left side" else [*own, *there]
        assert ways == (whole if more else own)
