"""Every kind of pleat, alone and mixed, with and without allowance, is written, folded back by the referee and by `fold`.

The referee (tests/referee) shares no code with the program. Intakes and layer counts: brief closed forms, D. Lengths in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from pleatsvg import pleat, read, write
from pleatsvg.api import draw_folded, fold
from pleatsvg.folded.stack import stack_of, thickest
from tests.referee.foldback import Proof, prove

FIXTURES = Path(__file__).parents[2] / "fixtures"


def drawing(*shapes: tuple[str, str], size: tuple[int, int] = (420, 560)) -> str:
    """A drawing in mm from the names and path data of its shapes."""
    paths = "".join(f'<path data-name="{name}" d="{data}" fill="none" stroke="#000"/>' for name, data in shapes)
    wide, high = size
    head = f'width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{paths}</svg>'


HALF_SEAM = ("seam", "M130,30 C190,44 250,50 300,50 L300,530 C220,530 130,520 50,500 C70,350 100,200 130,30 Z")
HALF = drawing(
    HALF_SEAM,
    ("fold edge", "M300,55 V520"),
    ("slash 1", "M210,47 L175,526"),
    ("slash centre", "M300,50 V530"),
    ("grainline", "M250,200 V420"),
)
"""Half a flared skirt, cut on the fold at its right side; 171.5 along the top."""

GORES = drawing(
    ("seam", "M60,30 C150,48 250,48 340,30 C360,200 385,360 400,500 C260,532 140,532 0,500 C15,360 40,200 60,30 Z"),
    ("slash 1 kick 8cm height 14cm separate", "M130,40 L90,520"),
    ("slash 2 inverted 10cm", "M200,43 V524"),
    ("slash 3 tuck 2cm right stitched 12cm", "M270,40 L310,520"),
    ("slash 4", "M320,35 L370,515"),
    ("hip", "M41,180 H359"),
    ("grainline", "M160,120 V380"),
    size=(400, 560),
)
"""A flared panel whose lines say what is to be made there; the fourth takes what is asked for."""


@dataclass(frozen=True)
class Job:
    """What is pleated how, and what has to come of it: for each pleat the intake at top and hem; parts of the result."""

    source: str
    options: dict[str, Any]
    intakes: list[tuple[float, float]]
    parts: int = 1
    layers: int | None = None


def _alike(count: int, top: float, hem: float | None = None) -> list[tuple[float, float]]:
    return [(top, top if hem is None else hem)] * count


SKIRT, PANEL, GORE, BODICE = "skirt-front", "straight-panel", "gore-panel", "bodice-front"
JOBS: dict[str, Job] = {
    "tuck, tapered": Job(
        SKIRT, {"kind": "tuck", "intake": "2cm", "hem_intake": "4cm", "lap": "right"}, _alike(3, 20, 40), layers=3
    ),
    "tucks over one another": Job(
        PANEL,
        {"kind": "tuck", "depth": "30mm", "lap": "left", "count": 4, "gap": "2cm", "slash": "slash lines 2"},
        _alike(4, 60),
        layers=1 + 2 * math.ceil(30 / 20),
    ),
    "level pin tucks": Job(
        PANEL, {"kind": "pin-tuck", "depth": "3mm", "lap": "down", "along": "left side", "count": 9}, _alike(9, 6)
    ),
    "double knife, tapered": Job(
        SKIRT, {"kind": "knife", "intake": "8cm", "hem_intake": "10cm", "lap": "right", "stack": 2}, _alike(3, 80, 100)
    ),
    "double box": Job(
        SKIRT, {"kind": "box", "depth": "2cm", "face": "5cm", "stack": 2, "slash": "slash 2"}, _alike(1, 160), layers=5
    ),
    "triple inverted": Job(
        SKIRT, {"kind": "inverted", "depth": "2cm", "stack": 3, "slash": "slash 2"}, _alike(1, 240), layers=7
    ),
    "kick, tapered": Job(
        GORE, {"kind": "kick", "intake": "8cm", "hem_intake": "9cm", "height": "20cm"}, _alike(1, 80, 90)
    ),
    "kick, underlay apart": Job(
        GORE, {"kind": "kick", "intake": "10cm", "height": "20cm", "underlay": "separate"}, _alike(1, 100), parts=3
    ),
    "inverted, underlay apart": Job(
        GORE,
        {"kind": "inverted", "intake": "10cm", "hem_intake": "14cm", "underlay": "separate"},
        _alike(1, 100, 140),
        parts=3,
    ),
    "half double inverted on the fold": Job(
        HALF, {"kind": "inverted", "depth": "3cm", "stack": 2, "slash": "slash centre"}, _alike(1, 120), layers=5
    ),
    "half box on the fold": Job(
        HALF, {"kind": "box", "depth": "2cm", "slash": "slash centre"}, _alike(1, 40), layers=3
    ),
    "half inverted on the fold, underlay apart": Job(
        HALF,
        {"kind": "inverted", "intake": "13cm", "slash": "slash centre", "underlay": "separate"},
        _alike(1, 65),
        parts=2,
    ),
    "knife beneath the fold": Job(
        HALF, {"kind": "knife", "intake": "20cm", "lap": "sides", "slash": "slash 1"}, _alike(1, 200)
    ),
    "kick on a half piece": Job(
        HALF,
        {"kind": "kick", "intake": "10cm", "height": "15cm", "slash": "slash 1", "underlay": "separate"},
        _alike(1, 100),
        parts=3,
    ),
    "parted at the first fold": Job(
        PANEL, {"kind": "knife", "intake": "6cm", "lap": "left", "cloth_width": "32cm"}, _alike(4, 60), parts=5
    ),
    "box on narrow cloth": Job(
        PANEL, {"kind": "box", "intake": "12cm", "cloth_width": "26cm"}, _alike(4, 120), parts=6
    ),
    "kinds in the names of lines": Job(
        GORES, {"kind": "knife", "intake": "3cm", "lap": "left"}, [(80, 80), (100, 100), (20, 20), (30, 30)], parts=3
    ),
    "kinds by the call": Job(
        PANEL,
        {
            "pleats": [
                {"slash": "slash lines 1", "kind": "knife", "intake": "6cm", "lap": "right", "stack": 2},
                {"slash": "slash lines 2", "kind": "inverted", "intake": "8cm", "underlay": "separate"},
                {"slash": "slash lines 3", "kind": "box", "depth": "2cm", "face": "3cm"},
                {"slash": "slash lines 4", "kind": "tuck", "depth": "1cm", "lap": "left"},
            ],
        },
        [(60, 60), (80, 80), (80, 80), (20, 20)],
        parts=3,
    ),
}


@dataclass
class Made:
    """A written result and what the referee found."""

    path: Path
    proof: Proof
    facts: list[tuple[float, float]] = field(default_factory=list)


def made(job: Job, folder: Path, allowance: list[str] | None) -> Made:
    source = FIXTURES / f"{job.source}.svg"
    if job.source.startswith("<"):
        source = folder / "drawing.svg"
        source.write_text(job.source)
    result = pleat(read(source), allowance=allowance, **job.options)
    out = folder / "flat.svg"
    write(result, out)
    return Made(out, prove(out), [(fact.intake_top, fact.intake_hem) for fact in result.facts])


PLAIN = [
    "level pin tucks",
    "kick, underlay apart",
    "half inverted on the fold, underlay apart",
    "kinds in the names of lines",
]
"""Those that are made without allowance too, and drawn folded."""


@pytest.mark.parametrize("name", JOBS)
def test_it_folds_back(name: str, tmp_path: Path) -> None:
    job = JOBS[name]
    flat = made(job, tmp_path, ["15mm", "hem=3cm"])
    assert_true_and_whole(job, flat, job.parts)


@pytest.mark.parametrize(
    ("source", "options"),
    [
        # The panels above the kick would lie over one another, were they not cut apart.
        (
            "kilt-apron",
            {
                "kind": "kick",
                "intake": "4mm",
                "hem_intake": "12mm",
                "height": "8cm",
                "count": 2,
                "run": "square",
                "underlay": "separate",
            },
        ),
        # At a hinge a smooth hem has no hidden cloth to run over.
        (BODICE, {"kind": "inverted", "intake": "4cm", "hem_intake": "0mm", "hem": "smooth"}),
    ],
    ids=["kicks apart, deeper at the hem", "a smooth hem at a hinge"],
)
def test_fold_finds_it_true(source: str, options: dict[str, Any], tmp_path: Path) -> None:
    """What `pleat` has proven `fold` finds true."""
    out = tmp_path / "flat.svg"
    write(pleat(read(FIXTURES / f"{source}.svg"), allowance="12mm", **options), out)
    (proof,) = fold(out)
    assert proof.failures == ()


@pytest.mark.parametrize("name", PLAIN)
def test_it_folds_back_without_allowance_and_is_drawn(name: str, tmp_path: Path) -> None:
    job = JOBS[name]
    flat = made(job, tmp_path, None)
    assert_true_and_whole(job, flat, 0)
    for steps in (False, True):
        picture = tmp_path / f"picture {steps}.svg"
        draw_folded(fold(flat.path), picture, steps=steps)
        assert etree.parse(picture).getroot().tag.endswith("svg")


def assert_true_and_whole(job: Job, flat: Made, cut_lines: int) -> None:
    """The referee and `fold` find it true, it takes up what was asked, and every part has its lines and its grain."""
    assert flat.proof.failures() == []
    root = etree.parse(flat.path).getroot()
    drawn = {
        name: root.findall(f".//{{*}}path[@class='{name}']")
        for name in ("seam-line", "cut-line", "grain-line", "fold-edge")
    }
    assert [(i.top_mm, i.hem_mm) for i in flat.proof.intakes] == [pytest.approx(pair, abs=1e-4) for pair in job.intakes]
    if not drawn["fold-edge"]:
        assert flat.facts == [pytest.approx(pair, abs=1e-4) for pair in job.intakes]
    (proof,) = fold(flat.path)
    assert proof.failures == ()
    if job.layers is not None:
        assert thickest(stack_of(proof.passes)).layers == job.layers
    assert len(drawn["seam-line"]) == job.parts
    assert len(drawn["cut-line"]) == cut_lines
    assert len(drawn["grain-line"]) == (0 if job.source == PANEL else job.parts)  # none is drawn on that panel
