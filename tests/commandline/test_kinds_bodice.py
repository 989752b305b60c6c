"""A tunic bodice cut on the fold: knife pleats, half an inverted pleat with an underlay apart at the centre front, pin tucks.

The upright pleats and the level tucks are two pieces of one job: lines that cross need a second pass. Lengths in mm.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from pleatsvg import pleat, read, write
from pleatsvg.api import fold
from tests.commandline.terminal import Terminal
from tests.drawings.test_kinds_fold_back import drawing
from tests.referee.foldback import prove

BODICE = drawing(
    (
        "seam",
        "M20,110 C55,108 85,80 90,20 L205,50 C180,110 165,175 245,190 C240,260 232,330 230,400 C160,408 80,412 20,412 Z",
    ),
    ("fold edge", "M20,120 V405"),
    ("slash 1 knife 3cm centre", "M115,26.5 V409"),
    ("slash 2 knife 3cm centre", "M150,35.6 V406"),
    ("slash centre inverted 8cm separate", "M20,110 V412"),
    ("grainline", "M60,190 V360"),
    size=(280, 440),
)
UPRIGHT: list[dict[str, Any]] = [
    {
        "slash": ["slash 1 knife 3cm centre", "slash 2 knife 3cm centre"],
        "kind": "knife",
        "intake": "3cm",
        "lap": "centre",
    },
    {"slash": "slash centre inverted 8cm separate", "kind": "inverted", "intake": "8cm", "underlay": "separate"},
]
TUCKS: dict[str, Any] = {
    "kind": "pin-tuck",
    "depth": "2mm",
    "lap": "down",
    "along": "left side",
    "at": "12cm",
    "gap": "8mm",
    "count": 9,
}
JOB = """
[defaults]
allowance = ["15mm", "hem = 3cm"]

[[piece]]
name = "pleated front"
drawing = "bodice.svg"
output = "pleated"

  [[piece.pleat]]
  slash = ["slash 1 knife 3cm centre", "slash 2 knife 3cm centre"]
  kind = "knife"
  intake = "3cm"
  lap = "centre"

  [[piece.pleat]]
  slash = ["slash centre inverted 8cm separate"]
  kind = "inverted"
  intake = "8cm"
  underlay = "separate"

[[piece]]
name = "tucked front"
drawing = "bodice.svg"
output = "tucked"
kind = "pin-tuck"
depth = "2mm"
lap = "down"
along = "left side"
at = ["12cm"]
gap = "8mm"
count = 9
"""


def assert_true(path: Path, intakes: list[float], parts: int) -> None:
    proof = prove(path)
    assert proof.failures() == []
    assert [i.top_mm for i in proof.intakes] == pytest.approx(intakes, abs=1e-4)
    assert all(found.failures == () for found in fold(path))
    root = etree.parse(path).getroot()
    assert len(root.findall(".//{*}path[@class='seam-line']")) == parts
    assert len(root.findall(".//{*}path[@class='grain-line']")) == parts


def test_by_the_call_and_by_its_names(tmp_path: Path) -> None:
    """Knives of 30 and half of an inverted pleat of 80; the underlay is a part of its own, cut on the fold."""
    (tmp_path / "bodice.svg").write_text(BODICE)
    piece = read(tmp_path / "bodice.svg")
    called = pleat(piece, pleats=UPRIGHT, allowance=["15mm", "hem=3cm"])
    named = pleat(piece, allowance=["15mm", "hem=3cm"])
    write(called, tmp_path / "called.svg")
    assert_true(tmp_path / "called.svg", [40, 30, 30], 2)
    text = (tmp_path / "called.svg").read_text()
    assert "CUT ON THE FOLD" in text  # the underlay
    assert "CUT A PAIR, the second mirrored" in text  # the side, which does not reach the fold
    assert "in the same cloth or another" in text
    assert named.flat == called.flat


def test_pin_tucks_across(tmp_path: Path) -> None:
    (tmp_path / "bodice.svg").write_text(BODICE)
    write(pleat(read(tmp_path / "bodice.svg"), **TUCKS, allowance="15mm"), tmp_path / "tucked.svg")
    assert_true(tmp_path / "tucked.svg", [4] * 9, 1)


def test_by_a_job_file(terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "bodice.svg").write_text(BODICE)
    (tmp_path / "job.toml").write_text(JOB)
    done = terminal("batch", "job.toml", "--out", "made", "--workers", "1")
    assert done.code == 0, done.err
    summary = json.loads((tmp_path / "made" / "summary.json").read_text())
    outputs = sorted((tmp_path / "made").glob("*.svg"))
    assert len(outputs) == 2, summary
    for out in outputs:
        (proof,) = fold(out)
        assert proof.failures == ()
    assert [len(re.findall('class="seam-line"', out.read_text())) for out in outputs] == [2, 1]
