"""Every fixture drawing, pleated in every way that fits, is written, folded back by the referee and measured.

Sizes and what fits on which drawing: fixtures/README.md.  Areas: D, derived here.  Lengths in mm, areas in mm2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from pleatsvg import pleat, read, write
from pleatsvg.errors import FitError
from tests.drawings.paper import Ends, Sheet, assert_intakes, corners_of, mm, proven, sheet_of
from tests.referee.foldback import Proof

FIXTURES = Path(__file__).parents[2] / "fixtures"


@dataclass(frozen=True)
class Fixture:
    """A drawing with how many pleats its lines make, and the intakes that fit on it."""

    lines: int
    knife: float
    alike: float
    """Intake of box and inverted pleats."""
    options: dict[str, Any] = field(default_factory=dict)
    box: dict[str, Any] = field(default_factory=dict)


DRAWINGS = {
    "skirt-front": Fixture(3, 60, 120),
    "gore-panel": Fixture(1, 40, 40),
    "bodice-front": Fixture(2, 20, 20),
    "circle-skirt-panel": Fixture(5, 60, 60),
    "straight-panel": Fixture(4, 60, 120),
    "kilt-apron": Fixture(12, 100, 100, box={"face": "24mm"}),
    "plain-square-apron": Fixture(6, 79, 158, options={"count": 6}),  # the half space at either side is 40
}
PLACED_ON = ["plain-square-apron", "skirt-front", "gore-panel", "circle-skirt-panel", "kilt-apron"]
KINDS = [("knife", "left"), ("knife", "right"), ("box", None), ("inverted", None)]
SHARES = {"alike": (1, 1), "hem hinged": (1, 0), "top hinged": (0, 1)}
TAPERS = {"knife left": (1, 0.5), "knife right": (0.5, 1), "box": (1, 0.5), "inverted": (0.5, 1)}


def _pleated(drawing: str, folder: Path, **options: Any) -> tuple[Path, Proof]:
    """Pleat a fixture through the public calls; the result must fold back true."""
    out = folder / "flat.svg"
    write(pleat(read(FIXTURES / f"{drawing}.svg"), **options), out, force=True)
    return out, proven(out)


def _ways() -> list[Any]:
    """Every drawing and kind with its shares of the intake at top and hem: alike, tapered, hinged.

    Knife pleats to the right are those to the left in a mirror (`test_a_mirrored_drawing_gives_the_mirrored_result`): on
    each drawing they have one of these shapes, in turn.
    """
    ways = []
    for number, drawing in enumerate(DRAWINGS):
        for kind, lap in KINDS:
            name = f"{kind} {lap or ''}".strip()
            shapes = {**SHARES, "tapered": TAPERS[name]}
            for shape, shares in shapes.items():
                if lap != "right" or shape == list(shapes)[number % len(shapes)]:
                    ways.append(pytest.param(drawing, kind, lap, shares, id=f"{drawing}-{name}, {shape}"))
    return ways


@pytest.mark.parametrize(("drawing", "kind", "lap", "shares"), _ways())
def test_a_fixture_folds_back(
    drawing: str, kind: str, lap: str | None, shares: tuple[float, float], tmp_path: Path
) -> None:
    fixture = DRAWINGS[drawing]
    top, hem = (share * (fixture.knife if kind == "knife" else fixture.alike) for share in shares)
    more = fixture.box if kind == "box" else {}
    intakes = {"intake": mm(top), "hem_intake": mm(hem)}
    _, proof = _pleated(drawing, tmp_path, kind=kind, lap=lap, **intakes, **fixture.options, **more)
    assert_intakes(proof, top, hem, fixture.lines)
    folds = 2 if kind == "knife" else 4
    assert proof.region_count == folds * fixture.lines + 1
    inner = 2 if top and hem else 1  # a hinged strip has cloth at one seam only
    strips = [runs for k, runs in enumerate(proof.raw_runs[1:-1]) if k % folds < folds - 1]
    if kind == "box":
        strips = [runs for k, runs in enumerate(strips) if k % 3 != 1]  # the face has both its seams always
    assert set(strips) == {inner}
    assert {intake.kind for intake in proof.intakes} == {kind}
    if lap:
        assert {intake.lap for intake in proof.intakes} == {lap}


@pytest.mark.parametrize(("lap", "laps"), [("centre", ["right", "left"]), ("sides", ["left", "right"])])
@pytest.mark.parametrize("drawing", ["straight-panel", "kilt-apron", "plain-square-apron"])
def test_laps_to_the_centre_and_to_the_sides(drawing: str, lap: str, laps: list[str], tmp_path: Path) -> None:
    fixture = DRAWINGS[drawing]
    _, proof = _pleated(drawing, tmp_path, kind="knife", lap=lap, intake="40mm", **fixture.options)
    half = fixture.lines // 2
    assert [intake.lap for intake in proof.intakes] == [laps[0]] * half + [laps[1]] * half
    assert_intakes(proof, 40, 40, fixture.lines)


def test_areas_in_closed_form(tmp_path: Path) -> None:
    """D: the finished piece has the area of its drawing; each pleat adds its intake times the length."""
    _, proof = _pleated("straight-panel", tmp_path, kind="knife", lap="left", intake="60mm")
    assert proof.finished_area_mm2 == pytest.approx(600 * 400, abs=0.1)
    assert proof.flat_area_mm2 == pytest.approx(600 * 400 + 4 * 60 * 400, abs=0.1)
    # Hinged: fold line turned by asin(30/400), so each of the two strips is a triangle 400 long and 400 tan wide.
    _, proof = _pleated("straight-panel", tmp_path, kind="knife", lap="left", intake="60mm", hem_intake="0mm")
    strip = 400 * 400 * math.tan(math.asin(30 / 400)) / 2
    assert proof.flat_area_mm2 == pytest.approx(600 * 400 + 4 * 2 * strip, abs=0.1)
    _, proof = _pleated("circle-skirt-panel", tmp_path, kind="inverted", intake="60mm")
    assert proof.finished_area_mm2 == pytest.approx(math.pi / 4 * (710**2 - 160**2), abs=0.5)
    _, proof = _pleated("plain-square-apron", tmp_path, kind="box", intake="160mm", count=6)
    assert proof.finished_area_mm2 == pytest.approx(480 * 480, abs=0.1)
    assert proof.flat_area_mm2 == pytest.approx(480 * 480 + 6 * 160 * 480, abs=0.1)


@pytest.mark.parametrize(
    ("kind", "lap", "taken"), [("knife", "left", 80), ("knife", "right", 80), ("inverted", None, 160)]
)
def test_underlays_that_just_touch_the_side_seam(kind: str, lap: str | None, taken: int, tmp_path: Path) -> None:
    """Six pleats on 480 leave half a space of 40 at either side: depth 40 touches the side seam, 40.1 is refused."""
    _, proof = _pleated("plain-square-apron", tmp_path, kind=kind, lap=lap, depth="40mm", count=6)
    assert_intakes(proof, taken, taken, 6)
    with pytest.raises(FitError, match=rf"by 0\.1 mm.* that fits here is {taken} mm"):
        pleat(read(FIXTURES / "plain-square-apron.svg"), kind=kind, lap=lap, depth="40.1mm", count=6)


def test_waist_of_the_quarter_circle_skirt(tmp_path: Path) -> None:
    """D: the slash lines stand on radii, every 15 degrees of a waist of radius 160 about one point."""
    out, _ = _pleated("circle-skirt-panel", tmp_path, kind="knife", lap="right", intake="60mm")
    outer = list(_outer(sheet_of(out)).values())
    assert len(outer) == 5
    assert [abs(hem - top) for top, hem in outer] == pytest.approx([550] * 5, abs=1e-3)
    turns = [math.degrees(np.angle((b[1] - b[0]) / (a[1] - a[0]))) for a, b in pairwise(outer)]
    assert turns == pytest.approx([-15] * 4, abs=1e-3)  # numbered from the left: each leans more to the right
    tops = [abs(b[0] - a[0]) for a, b in pairwise(outer)]
    assert tops == pytest.approx([2 * 160 * math.sin(math.radians(7.5))] * 4, abs=1e-3)


@pytest.mark.parametrize("lap", ["left", "right"])
def test_kilt_underlays_lie_beneath_two_neighbours(lap: str, tmp_path: Path) -> None:
    """Depth 50 with lines 25 apart at the waist: the inner fold meets the waist on the second line from its own."""
    out, proof = _pleated("kilt-apron", tmp_path, kind="knife", lap=lap, depth="50mm")
    assert_intakes(proof, 100, 100, 12)
    lines, inner = _outer(sheet_of(out)), _inner(sheet_of(out))
    step = 1 if lap == "left" else -1
    beneath = [number for number in lines if number + 2 * step in lines]
    assert len(beneath) == 10
    for number in beneath:
        middle = sum(inner[number]) / 2
        assert step * (middle.real - (sum(lines[number + step]) / 2).real) > 20
        assert abs(inner[number][0] - lines[number + 2 * step][0]) < 0.1


@pytest.mark.parametrize("lap", ["left", "right"])
def test_bodice_from_the_sloping_shoulder_past_the_armhole(lap: str, tmp_path: Path) -> None:
    out, proof = _pleated("bodice-front", tmp_path, kind="knife", lap=lap, intake="20mm")
    assert_intakes(proof, 20, 20, 2)
    tops = [ends[0] for ends in _outer(sheet_of(out)).values()]
    # The shoulder falls 38 over 115 (fixture: from (300, 0) to (760, 152) in its quarter millimetres).
    assert tops[1].imag - tops[0].imag == pytest.approx((tops[1].real - tops[0].real) * 38 / 115, abs=0.01)


def test_bodice_underlay_that_runs_out_into_the_armhole_is_refused(tmp_path: Path) -> None:
    """D: the armhole comes within 35.18 of slash 2, by its cubic sampled here; depth 45 runs out by the rest."""
    t = np.linspace(0, 1, 2001)
    a, b, c, d = (0.625 * z for z in (304 + 60.8j, 256 + 168j, 220.8 + 332.8j, 376 + 339.2j))
    armhole = (1 - t) ** 3 * a + 3 * t * (1 - t) ** 2 * b + 3 * t * t * (1 - t) * c + t**3 * d
    start, end = 0.625 * (206.4 + 22.4j), 0.625 * (208 + 694.4j)
    nearest = np.abs(((armhole - start) / (end - start)).imag * abs(end - start)).min()
    piece = read(FIXTURES / "bodice-front.svg")
    with pytest.raises(FitError, match="slash 2") as refusal:
        pleat(piece, kind="knife", lap="left", depth="45mm", slash=["slash 2"])
    assert f"on its right by {45 - nearest:.1f} mm" in str(refusal.value)
    _, proof = _pleated("bodice-front", tmp_path, kind="knife", lap="left", depth=mm(nearest - 0.1), slash=["slash 2"])
    assert_intakes(proof, 2 * nearest - 0.2, 2 * nearest - 0.2, 1)


@pytest.mark.parametrize("top_hem", [(60, 60), (40, 20), (60, 0), (0, 60)], ids=str)
@pytest.mark.parametrize("lap", ["up", "down"])
def test_level_lines(lap: str, top_hem: tuple[float, float], tmp_path: Path) -> None:
    """Top is the left end, numbers run from the top of the page, folds point up or down the page."""
    top, hem = top_hem
    out, proof = _pleated(
        "plain-square-apron",
        tmp_path,
        kind="knife",
        lap=lap,
        intake=mm(top),
        hem_intake=mm(hem),
        count=5,
        along="left side",
    )
    assert_intakes(proof, top, hem, 5)
    assert {intake.lap for intake in proof.intakes} == {lap}
    sheet = sheet_of(out)
    outer, inner = _outer(sheet), _inner(sheet)
    left = min(z.real for z in sheet.finished)
    upper = min(z.imag for z in sheet.finished)
    for number, (start, end) in outer.items():
        assert (start.real - left, end.real - left) == pytest.approx((0, 480), abs=1e-4)
        assert (start.imag - upper, end.imag - upper) == pytest.approx([96 * (number - 0.5)] * 2, abs=1e-4)
        towards = (sum(outer[number]) - sum(inner[number])).imag
        assert (towards < 0) == (lap == "up")
    if top == hem:
        assert proof.flat_area_mm2 == pytest.approx(480 * (480 + 5 * top), abs=0.1)


@pytest.mark.parametrize("run", ["square", "grain", "fan"])
@pytest.mark.parametrize("drawing", PLACED_ON)
def test_placed_lines(drawing: str, run: str, tmp_path: Path) -> None:
    """Places are measured along the top seam from its left end; --count leaves half a space at both ends."""
    for placing in ({"at": ["40mm", "9cm"]}, {"count": 4}):
        out, proof = _pleated(drawing, tmp_path, kind="knife", lap="left", intake="20mm", run=run, **placing)
        places, length = _along_the_top(sheet_of(out))
        wanted = [40, 90] if "at" in placing else [length * (k + 0.5) / 4 for k in range(4)]
        assert places == pytest.approx(wanted, abs=0.01)
        assert_intakes(proof, 20, 20, len(wanted))
        _assert_run(run, sheet_of(out))


def _outer(sheet: Sheet) -> dict[int, Ends]:
    """Where the outer fold of each knife pleat comes to lie, by the pleat's number."""
    return {c.pleat: ends for c, ends in zip(sheet.creases, sheet.folded, strict=True) if c.outer}


def _inner(sheet: Sheet) -> dict[int, Ends]:
    """Where the inner fold of each knife pleat comes to lie, by the pleat's number."""
    return {c.pleat: ends for c, ends in zip(sheet.creases, sheet.folded, strict=True) if not c.outer}


def _along_the_top(sheet: Sheet) -> tuple[list[float], float]:
    """Where the outer folds meet the top seam, from its left corner along it, and the length of that seam, mm."""
    ring, outer = sheet.finished, _outer(sheet)
    corners = corners_of(ring)
    edges = []
    for start, end in zip(corners, [*corners[1:], corners[0] + len(ring)], strict=True):
        points = ring[[k % len(ring) for k in range(start, end + 1)]]
        edges.append(shapely.LineString(np.column_stack([points.real, points.imag])))
    first = shapely.Point(outer[1][0].real, outer[1][0].imag)
    top = min(edges, key=lambda edge: edge.distance(first))
    places = [top.project(shapely.Point(start.real, start.imag)) for start, _ in outer.values()]
    if top.coords[0][0] > top.coords[-1][0]:
        places = [top.length - place for place in places]
    return places, top.length


def _assert_run(run: str, sheet: Sheet) -> None:
    """How each line leaves the top seam: square to it, down the page with the grain, or to its share of the hem."""
    outer = list(_outer(sheet).values())
    ring = shapely.LinearRing(np.column_stack([sheet.finished.real, sheet.finished.imag]))
    for start, end in outer:
        along = (end - start) / abs(end - start)
        if run == "grain":  # every fixture here has an upright grainline
            assert abs(along - 1j) < 1e-5
        elif run == "square":
            place = ring.project(shapely.Point(start.real, start.imag))
            before, after = (ring.interpolate((place + step) % ring.length) for step in (-0.5, 0.5))
            seam = complex(after.x - before.x, after.y - before.y)
            assert abs((along * seam.conjugate()).real) < 0.01 * abs(seam)
        else:  # chords stand in for lengths along gentle curves
            share = abs(end - outer[0][1]) / abs(outer[-1][1] - outer[0][1])
            wanted = abs(start - outer[0][0]) / abs(outer[-1][0] - outer[0][0])
            assert share == pytest.approx(wanted, abs=0.02)
