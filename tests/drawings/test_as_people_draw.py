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

from pleatsvg import fold, measure, pleat, read, read_all, write
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


PANEL = '<path id="seam" d="M0 0H300V400H0Z"/><path id="slash-1" d="M100 0V400"/><path id="hip" d="M0 150H300"/>'


def drawn(folder: Path, inside: str) -> Path:
    (folder / "drawn.svg").write_text(f"{SVG}{inside}</svg>")
    return folder / "drawn.svg"


@pytest.mark.parametrize(
    "pasted",
    [
        PANEL,
        PANEL.replace('"seam"', '"seam-7"').replace('"slash-1"', '"path12"').replace('"hip"', '"hip copy 2"'),
        '<rect width="300" height="400"/>',
        '<path id="seam" d="M1e-4 0L300 -1e-4V400H0Z"/>',
    ],
    ids=["all of it", "under an editor's names", "a nameless outline", "written with other decimals"],
)
def test_what_is_pasted_in_place_is_taken_once_and_told(pasted: str, tmp_path: Path) -> None:
    """Same bytes as without the copy, but for what is said of it."""
    notes, results = [], []
    for inside in (PANEL, PANEL + pasted):
        piece = read(drawn(tmp_path, inside))
        write(pleat(piece, **KNIFE), tmp_path / "flat.svg", force=True)
        notes.append(
            [note for note in piece.notes if note.startswith("Drawn more than once at the same place, and taken")]
        )
        results.append((tmp_path / "flat.svg").read_bytes())
    assert results[0] == results[1]
    assert [len(said) for said in notes] == [0, 1]


def test_two_pieces_of_one_shape_under_two_names_stay_two(tmp_path: Path) -> None:
    left, right = (f'<g id="front {side}"><path id="seam" d="M0 0H300V400H0Z"/></g>' for side in ("left", "right"))
    assert len(read_all(drawn(tmp_path, left + right))) == 2
    assert len(read_all(drawn(tmp_path, left + left))) == 1


def test_a_vector_too_short_for_its_angle(tmp_path: Path) -> None:
    """1e-320 lies beyond what a processor reckons in full; a spoilt export holds such numbers."""
    sound(made(tmp_path, "M1e-320 0H300V400H0Z"))
    assert [edge.name for edge in measure(read(tmp_path / "drawn.svg")).edges] == [
        "top",
        "right side",
        "hem",
        "left side",
    ]
