"""Sound drawings as editors and hands leave them: nearly smooth nodes, stubs, hairs, nodes along a hem, narrow darts.

Each of these was refused, or ended in a fault, and is taken now: proven by `fold` and by the referee of folding back, its
cutting line by the referee of cutting lines.
"""

from __future__ import annotations

import math
import time
from pathlib import Path
from typing import Any

import pytest

from pleatsvg import fold, pleat, read, write
from tests.referee.foldback import prove

SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="700mm" viewBox="-100 -100 600 700">'
KNIFE: dict[str, Any] = {"kind": "knife", "intake": "2cm", "lap": "left"}


def made(folder: Path, seam: str, slash: str = "M100 0V500", **options: Any) -> Path:
    (folder / "drawn.svg").write_text(f'{SVG}<path id="seam" d="{seam}"/><path id="slash-1" d="{slash}"/></svg>')
    out = folder / "flat.svg"
    write(pleat(read(folder / "drawn.svg"), **{**KNIFE, **options}), out)
    return out


def sound(out: Path) -> None:
    assert [words for proof in fold(out) for words in proof.failures] == []
    assert prove(out).failures() == []


@pytest.mark.parametrize("off", [0.01, 0.02, 0.05, 0.1, 0.3, 0.46, 1.0])
def test_a_hollow_node_that_all_but_runs_on(off: float, tmp_path: Path) -> None:
    """A top that is hollow by 0.01 to 1 mm in its middle turns there by 0.008 to 0.8 degrees."""
    sound(made(tmp_path, f"M0 0L150 {off}L300 0V400H0Z", "M100 0V400", allowance="15mm"))


DARTS = {
    "left": ("M0 0H300V400H0V208L100 200L0 192Z", "M200 0V400"),
    "right": ("M0 0H300V192L200 200L300 208V400H0Z", "M100 0V400"),
    "hem": ("M0 0H300V400H208L200 300L192 400H0Z", "M100 0V400"),
    "top": ("M0 0H192L200 100L208 0H300V400H0Z", "M100 0V400"),
}


@pytest.mark.parametrize("side", DARTS)
@pytest.mark.parametrize("allowance", ["6mm", "10mm", "15mm"])
def test_a_dart_narrower_than_two_allowances(side: str, allowance: str, tmp_path: Path) -> None:
    seam, slash = DARTS[side]
    sound(made(tmp_path, seam, slash, allowance=allowance))


@pytest.mark.parametrize(
    "seam",
    ["M0 0H300V500H150H0Z", "M0 0H300V470V500H150H0V480Z", "M0 0H300V500H200H150H100H0Z"],
    ids=["on the hem", "low on both sides", "three on the hem"],
)
def test_a_hem_is_turned_up_over_nodes(seam: str, tmp_path: Path) -> None:
    sound(made(tmp_path, seam, allowance=["1cm", "hem=4cm"], hem_turn=True))


@pytest.mark.parametrize(
    "seam",
    ["M0 0H300V500H0V0L.05 .03Z", "M0 0H300V500L100.02,499.04 100.01,499.05 0,500Z"],
    ids=["a hair at the end", "a stub of 0.014 mm"],
)
def test_hairs_and_stubs(seam: str, tmp_path: Path) -> None:
    out = made(tmp_path, seam)
    assert [words for proof in fold(out) for words in proof.failures] == []


def test_a_lap_on_a_leaning_line(tmp_path: Path) -> None:
    sound(made(tmp_path, "M0 0H200L466 500H-200Z", "M150 0L394 360"))


def ring(chords: int) -> str:
    turns = [2 * math.pi * k / chords for k in range(chords)]
    return "M" + " ".join(f"{200 + 180 * math.cos(t):.3f},{250 + 180 * math.sin(t):.3f}" for t in turns) + "Z"


def test_many_chords_with_an_allowance_take_seconds(tmp_path: Path) -> None:
    """A round piece of 4,000 chords took 22 s and was refused. Processor time, which other work on the machine leaves alone."""
    (tmp_path / "drawn.svg").write_text(
        f'{SVG}<path id="seam" d="{ring(4000)}"/><path id="slash-1" d="M200 60V440"/></svg>'
    )
    began = time.process_time()
    result = pleat(read(tmp_path / "drawn.svg"), **KNIFE, allowance="1cm")
    assert time.process_time() - began < 4.0
    assert result.cut_proof is not None
    assert result.cut_proof.worst < 0.01
