"""Slash lines and outlines on which the arithmetic is at its worst, each drawn here, and refusals with their figures.

A toy theatre's wardrobe would seldom meet these, but a drawing program makes them by itself: lines snapped to corners,
nodes set twice, edges a hair off straight.  All closed forms are D, derived here.  Lengths in mm, y down the page.
"""

from __future__ import annotations

import cmath
import math
import re
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from pleatsvg import measure, pleat, read
from pleatsvg.errors import FitError
from tests.drawings.paper import (
    Ends,
    assert_intakes,
    drawing,
    mm,
    number,
    outline_of,
    pleated,
    point,
    polygon,
    proven,
    sheet_of,
    slashes,
    xy,
)
from tests.referee.foldback import Proof

SQUARE = polygon(100 + 100j, 500 + 100j, 500 + 600j, 100 + 600j)
LAPS = ["left", "right"]
KINDS: list[dict[str, Any]] = [
    {"kind": "knife", "lap": "left"},
    {"kind": "knife", "lap": "right"},
    {"kind": "inverted"},
    {"kind": "box", "face": "1mm"},
]
KIND_NAMES = ["knife left", "knife right", "inverted", "box"]
SKIRT = [
    (100 + 100j, 180 + 130j, 320 + 130j, 400 + 100j),
    (400 + 100j, 420 + 600j),
    (420 + 600j, 300 + 640j, 200 + 640j, 80 + 600j),
    (80 + 600j, 100 + 100j),
]
"""A skirt panel: waist and hem one cubic each, straight sides."""


def _proven(folder: Path, outline: str, lines: Sequence[Ends], top: float, hem: float, **options: Any) -> Proof:
    """Pleat, fold back, and check strips and intakes of every pleat."""
    out = pleated(folder, drawing(outline, slashes(*lines)), intake=mm(top), hem_intake=mm(hem), **options)
    proof = proven(out)
    assert_intakes(proof, top, hem, len(lines))
    return proof


def _refusal(folder: Path, outline: str, lines: Sequence[Ends], **options: Any) -> str:
    """The words with which a request is refused."""
    with pytest.raises(FitError) as refusal:
        pleated(folder, drawing(outline, slashes(*lines)), **options)
    return str(refusal.value)


# ------------------------------------------------------------------------------------------- corners and nodes


@pytest.mark.parametrize("kind", KINDS[:3], ids=KIND_NAMES[:3])
@pytest.mark.parametrize(
    "line",
    [
        (100 + 100j, 300 + 600j),
        (300 + 100j, 500 + 600j),
        (100 + 100j, 500 + 600j),
        (500 + 100j, 100 + 600j),
        (96 + 95j, 504 + 605j),
    ],
    ids=["from a corner", "to a corner", "corner to corner", "the other way", "past both corners"],
)
def test_line_through_a_corner_of_the_outline(line: Ends, kind: dict[str, Any], tmp_path: Path) -> None:
    for top, hem in ((40, 40), (40, 0)):
        _proven(tmp_path, SQUARE, [line], top, hem, **kind)


def test_box_whose_face_lies_across_a_corner_is_refused(tmp_path: Path) -> None:
    """Each of its underlays would set off from beyond the corner and turn it."""
    said = _refusal(tmp_path, SQUARE, [(100 + 100j, 300 + 600j)], kind="box", face="10mm", intake="40mm")
    assert "has an underlay that reaches out past the seam on its right by 5 mm" in said


@pytest.mark.parametrize("lean", [2.0, 0.2])
@pytest.mark.parametrize("off", [0.0, 1e-9, -1e-9, 1e-6, -1e-6, 2e-6, -1e-5, 1e-3])
def test_line_by_a_corner_in_the_hem(off: float, lean: float, tmp_path: Path) -> None:
    """A hem with a step at x = 300, its short edge leaning out to the left; the line runs by its upper corner."""
    outline = polygon(100 + 100j, 500 + 100j, 500 + 580j, 300 + 580j, complex(300 - lean, 600), 100 + 600j)
    line = (complex(300 + off, 95), complex(300 + off, 605))
    if off >= 0:  # to the right of the corner the hem is level
        _proven(tmp_path, outline, [line], 40, 40, kind="knife", lap="left")
    if off <= 0:  # to the left of it the hem falls as far as the step leans
        _proven(tmp_path, outline, [line], lean, lean, kind="knife", lap="right")


@pytest.mark.parametrize("off", [0.0, 1e-9, -1e-9, 1e-6, -1e-6, 1e-3, -1e-3])
def test_line_through_a_node_of_a_smooth_seam(off: float, tmp_path: Path) -> None:
    """The waist in two cubics, parted where the line crosses it, gives what it gives in one."""
    whole = SKIRT[0]
    halves = _parted(whole, 0.5)
    assert abs(halves[0][-1].real - 250) < 1e-12
    found = []
    for waist in ([whole], halves):
        outline = outline_of([*waist, *SKIRT[1:]])
        line = (complex(250 + off, 90), complex(250 + off, 640))
        out = pleated(tmp_path, drawing(outline, slashes(line)), kind="knife", lap="left", intake="60mm")
        assert_intakes(proven(out), 60, 60, 1)
        found.append(sheet_of(out))
    for one, other in zip(found[0].creases, found[1].creases, strict=True):
        assert abs(one.top - other.top) < 2e-6
        assert abs(one.hem - other.hem) < 2e-6
    assert _apart(found[0].seam, found[1].seam) < 1e-3


def _parted(cubic: tuple[complex, ...], t: float) -> list[tuple[complex, ...]]:
    """A cubic in two, by de Casteljau's construction."""
    a, b, c, d = cubic
    ab, bc, cd = a + t * (b - a), b + t * (c - b), c + t * (d - c)
    abc, bcd = ab + t * (bc - ab), bc + t * (cd - bc)
    middle = abc + t * (bcd - abc)
    return [(a, ab, abc, middle), (middle, bcd, cd, d)]


def _apart(one: Any, other: Any) -> float:
    """The largest distance between two closed polylines, both ways, mm."""
    rings = [shapely.LinearRing(xy(ring)) for ring in (one, other)]
    return float(rings[0].hausdorff_distance(rings[1]))


ANGLES = [1e-2, 1e-3, 1e-4, 1e-6, -1e-2, -1e-3, -1e-4, -1e-6]


def _stepped(lean: float) -> str:
    """A hem with a step of 20 at x = 300, the left part longer; its short edge leans by so much to the right."""
    return polygon(100 + 100j, 500 + 100j, 500 + 580j, 300 + 580j, complex(300 + lean, 600), 100 + 600j)


@pytest.mark.parametrize("angle", [*ANGLES, 1e-8, 0.0, -1e-8])
def test_line_nearly_along_a_short_edge(angle: float, tmp_path: Path) -> None:
    """A line through an end of the short edge has room for an underlay on one side; on the other the step ends it."""
    lean = 20 * angle
    fits: dict[float, list[str]] = {299.0: ["right"], 301.0: ["left"]}
    if lean < -1e-6:
        fits |= {300.0: ["left"], 300 + lean / 2: [], 300 + lean: ["right"]}
    elif lean > 1e-6:  # the step overhangs: a line through its upper end runs on to the lower hem
        fits |= {300.0: ["right"], 300 + lean: ["left"]}
    for x, laps in fits.items():
        line = [(complex(x, 95), complex(x, 605))]
        for lap in LAPS:
            if lap in laps:
                _proven(tmp_path, _stepped(lean), line, 40, 40, kind="knife", lap=lap)
            else:
                said = _refusal(tmp_path, _stepped(lean), line, kind="knife", lap=lap, intake="40mm")
                assert "reaches out past the seam" in said


@pytest.mark.parametrize("angle", [1e-8, 0.0, -1e-8])
def test_line_along_a_short_edge(angle: float, tmp_path: Path) -> None:
    """Within a thousandth of a thread the line lies on the edge: it ends at one end of it, and fits on one side."""
    line = [(300 + 95j, 300 + 605j)]
    refused = 0
    for lap in LAPS:
        try:
            _proven(tmp_path, _stepped(20 * angle), line, 40, 40, kind="knife", lap=lap)
        except FitError:
            refused += 1
    assert refused == 1


@pytest.mark.parametrize("angle", ANGLES)
def test_fold_line_that_lands_nearly_along_a_short_edge(angle: float, tmp_path: Path) -> None:
    """An underlay of depth 20 from x = 280 ends on the step, one from x = 320 at its upper end."""
    outline, lean = _stepped(20 * angle), 20 * angle
    _proven(tmp_path, outline, [(320 + 95j, 320 + 605j)], 40, 40, kind="knife", lap="right")
    _refusal(tmp_path, outline, [(320 + 95j, 320 + 605j)], kind="knife", lap="right", intake="40.01mm")
    fits = 40.0 if lean > 0 else mm_down(40 + 2 * lean)
    _proven(tmp_path, outline, [(280 + 95j, 280 + 605j)], fits, fits, kind="knife", lap="left")
    _refusal(tmp_path, outline, [(280 + 95j, 280 + 605j)], kind="knife", lap="left", intake="40.01mm")


def mm_down(value: float) -> float:
    """A length a little less, which nine decimals can write, mm."""
    return math.floor((value - 1e-7) * 1e9) / 1e9


# ------------------------------------------------------------------------------------------- fans and hinges


@pytest.mark.parametrize("kind", KINDS[:3], ids=KIND_NAMES[:3])
@pytest.mark.parametrize("off", [0.001, 1e-5, 0.0])
def test_lines_fanned_to_one_point_at_the_waist(off: float, kind: dict[str, Any], tmp_path: Path) -> None:
    lines = [(complex(250 + off * (k - 1.5) / 1.5, 122.5), complex(130 + 80 * k, 620)) for k in range(4)]
    for top, hem in ((30, 40), (0, 30)):
        _proven(tmp_path, outline_of(SKIRT), lines, top, hem, **kind)


@pytest.mark.parametrize("kind", KINDS[:3], ids=KIND_NAMES[:3])
@pytest.mark.parametrize("off", [0.01, 1e-5, 0.0])
def test_lines_hinged_at_one_point_of_the_hem(off: float, kind: dict[str, Any], tmp_path: Path) -> None:
    lines = [(complex(130 + 80 * k, 105), complex(250 + off * (k - 1.5) / 1.5, 630)) for k in range(4)]
    for top, hem in ((30, 0), (30, 10)):
        _proven(tmp_path, outline_of(SKIRT), lines, top, hem, **kind)


@pytest.mark.parametrize("inside", [0.0004, -0.0004, 0.00002])
@pytest.mark.parametrize("end", ["waist", "hem"])
def test_lines_drawn_to_one_point_a_hair_off_the_seam(end: str, inside: float, tmp_path: Path) -> None:
    """Three decimals, as an editor saves them, put a point that was snapped to a curve to one side of it or the other.

    The lines end together where the pencil sees the seam; that they are run on by less than a thousandth must not
    make them cross.
    """
    spread = [complex(130 + 80 * k, 620) if end == "waist" else complex(130 + 80 * k, 105) for k in range(4)]
    meeting = complex(250, 122.5 + inside) if end == "waist" else complex(250, 630 - inside)
    lines = [(meeting, z) if end == "waist" else (z, meeting) for z in spread]
    _proven(tmp_path, outline_of(SKIRT), lines, *((0, 30) if end == "waist" else (30, 0)), kind="knife", lap="left")


def test_half_circle_skirt_keeps_all_tops_on_the_waist(tmp_path: Path) -> None:
    """Lines on radii from 5 to 175 degrees: none of them is turned over, though the outer ones lie nearly level."""
    for span, count, laps in ((math.pi, 12, LAPS), (math.radians(250), 7, LAPS[:1]), (math.radians(320), 5, LAPS[1:])):
        outline, lines = _ring_sector(span, count)
        for lap in laps:
            out = pleated(tmp_path, drawing(outline, slashes(*lines)), kind="knife", lap=lap, intake="6mm")
            assert_intakes(proven(out), 6, 6, count)
            outer = [ends for c, ends in zip(sheet_of(out).creases, sheet_of(out).folded, strict=True) if c.outer]
            turns = [cmath.phase((b[1] - b[0]) / (a[1] - a[0])) for a, b in pairwise(outer)]
            assert turns == pytest.approx([-span / count] * (count - 1), abs=1e-4)
            tops = [abs(b[0] - a[0]) for a, b in pairwise(outer)]
            assert tops == pytest.approx([2 * 120 * math.sin(span / count / 2)] * (count - 1), abs=1e-3)


def _ring_sector(span: float, count: int) -> tuple[str, list[Ends]]:
    """A circle skirt with the waist uppermost, radius 120, hem radius 420, and lines in the middle of equal shares."""

    def at(radius: float, share: float) -> complex:
        return 500 + 500j + radius * cmath.exp(1j * (math.pi / 2 + span * (0.5 - share)))

    large = int(span > math.pi + 1e-9)
    outline = (
        f"M{point(at(120, 0))} A120,120 0 {large} 0 {point(at(120, 1))} L{point(at(420, 1))} "
        f"A420,420 0 {large} 1 {point(at(420, 0))} Z"
    )
    shares = [(k + 0.5) / count for k in range(count)]
    return outline, [(at(115, share), at(425, share)) for share in shares]


def test_three_quarter_circle_skirt_that_would_lie_over_itself_is_refused(tmp_path: Path) -> None:
    """Hinged at the waist and opened at the hem, until the two ends of the skirt meet: the last that fits is whole."""
    outline, lines = _ring_sector(math.radians(270), 5)

    def opened(hem: float) -> Path:
        return pleated(
            tmp_path, drawing(outline, slashes(*lines)), kind="knife", lap="left", intake="0mm", hem_intake=mm(hem)
        )

    with pytest.raises(FitError, match="would lie over itself") as refusal:
        opened(190)
    assert re.search(r"near \(\d+, \d+\) mm", str(refusal.value))
    low, high = 40.0, 190.0
    while high - low > 0.05:
        middle = (low + high) / 2
        try:
            opened(middle)
            low = middle
        except FitError:
            high = middle
    out = opened(low)
    assert_intakes(proven(out), 0, low, 5)
    sheet = sheet_of(out)
    assert shapely.Polygon(xy(sheet.seam)).is_valid
    # The two straight ends of the skirt, 300 long, face each other across the gap; with half a millimetre more at
    # each of the five hems they would touch.
    after = np.roll(sheet.seam, -1)
    ends = [xy(np.array([a, b])) for a, b in zip(sheet.seam, after, strict=True) if abs(abs(b - a) - 300) < 1e-3]
    assert len(ends) == 2
    assert 0 < shapely.distance(*shapely.linestrings(np.array(ends))) < 5 * 0.5


# -------------------------------------------------------------------------- the same piece, drawn otherwise


@pytest.mark.parametrize("start", range(4))
@pytest.mark.parametrize("backwards", [False, True])
def test_outline_from_any_node_in_either_direction(start: int, backwards: bool, tmp_path: Path) -> None:
    lines = [(200 + 90j, 190 + 640j), (280 + 90j, 290 + 640j)]
    options: dict[str, Any] = {"kind": "knife", "lap": "left", "intake": "40mm", "hem_intake": "70mm"}
    usual = pleated(tmp_path, drawing(outline_of(SKIRT), slashes(*lines)), **options).read_bytes()
    edges = SKIRT[start:] + SKIRT[:start]
    if backwards:
        edges = [edge[::-1] for edge in reversed(edges)]
    assert pleated(tmp_path, drawing(outline_of(edges), slashes(*lines)), **options).read_bytes() == usual


@pytest.mark.parametrize("backwards", [False, True])
def test_slash_line_drawn_either_way(backwards: bool, tmp_path: Path) -> None:
    lines = [(200 + 90j, 190 + 640j), (280 + 90j, 290 + 640j)]
    turned = [line[::-1] if backwards else line for line in lines]
    options: dict[str, Any] = {"kind": "knife", "lap": "left", "intake": "40mm", "hem_intake": "70mm"}
    usual = sheet_of(pleated(tmp_path, drawing(outline_of(SKIRT), slashes(*lines)), **options))
    other = sheet_of(pleated(tmp_path, drawing(outline_of(SKIRT), slashes(*turned)), **options))
    for one, two in zip(usual.creases, other.creases, strict=True):
        assert abs(one.top - two.top) < 2e-6
        assert abs(one.hem - two.hem) < 2e-6


@pytest.mark.parametrize("count", [7, 1000])
def test_waist_as_a_polyline_with_many_nodes(count: int, tmp_path: Path) -> None:
    """The more nodes, the nearer the result comes to that of the curve."""
    a, b, c, d = SKIRT[0]
    t = np.arange(count + 1) / count
    waist = (1 - t) ** 3 * a + 3 * t * (1 - t) ** 2 * b + 3 * t * t * (1 - t) * c + t**3 * d
    outline = outline_of([*[(complex(p), complex(q)) for p, q in pairwise(waist)], *SKIRT[1:]])
    lines = [(200 + 90j, 190 + 640j), (280 + 90j, 290 + 640j)]
    proof = _proven(tmp_path, outline, lines, 60, 40, kind="knife", lap="right")
    curved = _proven(tmp_path, outline_of(SKIRT), lines, 60, 40, kind="knife", lap="right")
    bend = max(abs(a - 2 * b + c), abs(b - 2 * c + d))
    sagitta = 0.75 * bend / count**2  # a chord strays by no more (Wang's bound on the second differences)
    assert abs(proof.flat_area_mm2 - curved.flat_area_mm2) < 2 * 500 * sagitta + 0.1


def test_nodes_set_twice_change_nothing(tmp_path: Path) -> None:
    lines = [(200 + 90j, 200 + 610j)]
    options: dict[str, Any] = {"kind": "inverted", "intake": "80mm"}
    once = pleated(tmp_path, drawing(SQUARE, slashes(*lines)), **options).read_bytes()
    twice = polygon(100 + 100j, 100 + 100j, 500 + 100j, 500 + 600j, 500 + 600j, 500 + 600j, 100 + 600j, 100 + 100j)
    assert pleated(tmp_path, drawing(twice, slashes(*lines)), **options).read_bytes() == once


# ------------------------------------------------------------------------------ slanted lines, round pieces


@pytest.mark.parametrize("degrees", [30, 44.9, -35])
@pytest.mark.parametrize("kind", KINDS, ids=KIND_NAMES)
def test_slanted_lines(degrees: float, kind: dict[str, Any], tmp_path: Path) -> None:
    run = complex(math.sin(math.radians(degrees)), math.cos(math.radians(degrees)))
    wide = polygon(100 + 100j, 900 + 100j, 900 + 600j, 100 + 600j)
    lines = [(middle - 400 * run, middle + 400 * run) for middle in (470 + 350j, 530 + 350j)]
    for top, hem in ((60, 60), (60, 10)):
        _proven(tmp_path, wide, lines, top, hem, **kind)


def test_lines_beyond_45_degrees_lie_across_the_page(tmp_path: Path) -> None:
    """Nearer level than upright: the top is the left end, and folds point up or down."""
    run = complex(math.sin(math.radians(45.1)), math.cos(math.radians(45.1)))
    wide = polygon(100 + 100j, 900 + 100j, 900 + 600j, 100 + 600j)
    line = [(500 + 350j - 400 * run, 500 + 350j + 400 * run)]
    said = _refusal(tmp_path, wide, line, kind="knife", lap="left", intake="40mm")
    assert "up or down" in said
    for lap in ("up", "down"):
        _proven(tmp_path, wide, line, 40, 20, kind="knife", lap=lap)
        (outer,) = [c for c in sheet_of(tmp_path / "flat.svg").creases if c.outer]
        assert outer.top.real < outer.hem.real


@pytest.mark.parametrize("kind", KINDS, ids=KIND_NAMES)
@pytest.mark.parametrize("drawn", ["arcs", "two arcs from the top", "circle element"])
def test_full_circle(drawn: str, kind: dict[str, Any], tmp_path: Path) -> None:
    """D: every strip between x = c and x = c + d of a circle has the area that two circular segments differ by."""
    outlines = {
        "arcs": "M300,500 A200,200 0 0 1 700,500 A200,200 0 0 1 300,500 Z",
        "two arcs from the top": "M500,300 A200,200 0 0 0 500,700 A200,200 0 0 0 500,300 Z",
    }
    for x in (420.0, 500.0):  # at 500 the line runs through nodes of the outline
        text = drawing(outlines.get(drawn, ""), slashes((complex(x, 290), complex(x, 710))))
        if drawn == "circle element":
            text = re.sub(r'<path id="seam"[^>]*>', '<circle id="seam" cx="500" cy="500" r="200"/>', text)
        depth, layers = (15, 1) if kind["kind"] == "knife" else (7.5, 2)
        proof = proven(pleated(tmp_path, text, intake="30mm", **kind))
        assert_intakes(proof, 30, 30, 1)
        spans = {
            "knife": [(x - 500, x - 500 + (depth if kind.get("lap") == "left" else -depth))],
            "inverted": [(x - 500 - depth, x - 500 + depth)],
            "box": [(x - 500 - 0.5, x - 500 - 0.5 + depth), (x - 500 + 0.5 - depth, x - 500 + 0.5)],
        }[kind["kind"]]
        assert layers == (1 if kind["kind"] == "knife" else 2)
        gain = sum(2 * abs(_left_of(b) - _left_of(a)) for a, b in spans)
        assert proof.finished_area_mm2 == pytest.approx(math.pi * 200**2, abs=0.3)
        assert proof.flat_area_mm2 == pytest.approx(math.pi * 200**2 + gain, abs=0.5)


def _left_of(x: float, radius: float = 200) -> float:
    """Area of a circle about 0 to the left of an upright line."""
    return x * math.sqrt(radius**2 - x**2) + radius**2 * math.asin(x / radius)


@pytest.mark.parametrize("kind", KINDS, ids=KIND_NAMES)
def test_full_ellipse(kind: dict[str, Any], tmp_path: Path) -> None:
    outline = "M200,500 A300,150 0 0 1 800,500 A300,150 0 0 1 200,500 Z"
    lines = [(complex(x, 330), complex(x + 20, 670)) for x in (350, 500, 620)]
    for top, hem in ((30, 30), (20, 0)):
        _proven(tmp_path, outline, lines, top, hem, **kind)


# ------------------------------------------------------------------------------------------- what does not fit


ARMHOLE = outline_of(
    [
        (100 + 100j, 320 + 100j),
        (320 + 100j, 260 + 160j, 260 + 240j, 320 + 300j),
        (320 + 300j, 320 + 500j),
        (320 + 500j, 100 + 500j),
        (100 + 500j, 100 + 100j),
    ]
)
"""An armhole that comes in to x = 320 / 4 + 260 * 3 / 4 = 275 at y = 200."""


def test_armhole_in_the_way_is_refused_with_the_figure(tmp_path: Path) -> None:
    line = [(230 + 90j, 230 + 510j)]
    said = _refusal(tmp_path, ARMHOLE, line, kind="knife", lap="left", depth="60mm")
    assert "'slash 1' has an underlay that reaches out past the seam on its right by 15 mm" in said
    assert "the deepest intake that fits here is 90 mm" in said
    _proven(tmp_path, ARMHOLE, line, 90, 90, kind="knife", lap="left")
    _proven(tmp_path, ARMHOLE, line, 120, 120, kind="knife", lap="right")


def test_neck_in_the_way_is_refused_with_the_figure(tmp_path: Path) -> None:
    """Shoulders at y = 100, a neck between x = 250 and x = 350: an underlay from a shoulder may not reach across it."""
    outline = outline_of(
        [
            (100 + 100j, 250 + 100j),
            (250 + 100j, 260 + 200j, 340 + 200j, 350 + 100j),
            (350 + 100j, 500 + 100j),
            (500 + 100j, 500 + 600j),
            (500 + 600j, 100 + 600j),
            (100 + 600j, 100 + 100j),
        ]
    )
    line = [(220 + 90j, 220 + 610j)]
    said = _refusal(tmp_path, outline, line, kind="knife", lap="left", depth="160mm")  # would come out past the neck
    assert "reaches out past the seam on its right by 130 mm" in said
    assert "the deepest intake that fits here is 60 mm" in said
    _proven(tmp_path, outline, line, 60, 60, kind="knife", lap="left")
    _refusal(tmp_path, outline, line, kind="inverted", depth="40mm")


def test_scalloped_waist_that_turns_back_is_refused(tmp_path: Path) -> None:
    """The waist runs out to the right, smoothly back and out again: no corner, and a strip past it would fold back."""
    recess = (360 + 120j, 360 + 160j, 300 + 130j, 300 + 170j)
    edges = [
        (100 + 100j, 340 + 100j),
        (340 + 100j, 351 + 100j, 360 + 109j, 360 + 120j),
        recess,
        (300 + 170j, 300 + 190j, 330 + 200j, 360 + 200j),
        (360 + 200j, 500 + 200j),
        (500 + 200j, 500 + 600j),
        (500 + 600j, 100 + 600j),
        (100 + 600j, 100 + 100j),
    ]
    line = [(250 + 90j, 250 + 610j)]
    for depth in (130, 90, 55):  # past the scallop, within it, just past the recess
        said = _refusal(tmp_path, outline_of(edges), line, kind="knife", lap="left", depth=mm(depth))
        assert f"reaches out past the seam on its right by {depth - 50} mm" in said
        assert "the deepest intake that fits here is 100 mm" in said
    _proven(tmp_path, outline_of(edges), line, 99.9, 99.9, kind="knife", lap="left")


def test_notch_at_a_flared_side_seam_is_refused(tmp_path: Path) -> None:
    """The side seam falls away from the waist corner: the strip would turn the corner, and fold back all the same."""
    outline = polygon(100 + 100j, 400 + 100j, 480 + 600j, 20 + 600j)
    line = [(120 + 95j, 120 + 605j)]
    said = _refusal(tmp_path, outline, line, kind="knife", lap="right", depth="30mm")
    assert "reaches out past the seam on its left by 10 mm" in said
    assert "the deepest intake that fits here is 40 mm" in said
    _proven(tmp_path, outline, line, 40, 40, kind="knife", lap="right")
    said = _refusal(tmp_path, outline, line, kind="inverted", depth="30mm")
    assert "on its left by 10 mm" in said


def _rounded_corner(drawn: str) -> str:
    """The flared piece with the waist corner at its right rounded: radius 3, tangent to waist and side."""
    side = cmath.exp(1j * math.atan2(500, 80))  # from (400, 100) down to (480, 600)
    turn = cmath.phase(side)
    back = 3 * math.tan(turn / 2)
    start, end = 400 + 100j - back, 400 + 100j + back * side
    handle = 4 / 3 * math.tan(turn / 4) * 3
    centre = start + 3j
    if drawn == "one cubic":
        corner = f"C{point(start + handle)} {point(end - handle * side)} {point(end)}"
    elif drawn == "an arc":
        corner = f"A3,3 0 0 1 {point(end)}"
    elif drawn == "a polyline":
        corner = "L" + " ".join(point(centre - 3j * cmath.exp(1j * turn * k / 12)) for k in range(1, 13))
    else:
        corner = f"L{point(end)}"
    return f"M100,100 L{point(start)} {corner} L480,600 L20,600 Z"


@pytest.mark.parametrize("drawn", ["one cubic", "an arc", "a polyline", "a chamfer"])
def test_notch_round_a_rounded_corner_is_refused(drawn: str, tmp_path: Path) -> None:
    outline = _rounded_corner(drawn)
    line = [(380 + 95j, 380 + 605j)]
    said = _refusal(tmp_path, outline, line, kind="knife", lap="left", depth="30mm")
    (out,) = re.findall(r"on its right by ([\d.]+) mm", said)
    assert 9.5 <= float(out) <= 13.1  # the corner is at 400; its rounding lies between 397.4 and 400.5
    _proven(tmp_path, outline, line, 34, 34, kind="knife", lap="left")


@pytest.mark.parametrize("drawn", ["one cubic", "an arc", "a polyline"])
def test_underlay_that_ends_within_a_rounded_corner_is_refused(drawn: str, tmp_path: Path) -> None:
    """Depth 19.9 ends where the rounding has turned by more than 50 degrees: the strip has turned the corner."""
    outline = _rounded_corner(drawn)
    said = _refusal(tmp_path, outline, [(380 + 95j, 380 + 605j)], kind="knife", lap="left", depth="19.9mm")
    assert "reaches out past the seam on its right" in said


# ------------------------------------------------------------------------------------------- the deepest that fits

FLARED = polygon(100 + 100j, 400 + 100j, 480 + 600j, 20 + 600j)
NARROWED = polygon(100 + 100j, 400 + 100j, 350 + 600j, 150 + 600j)
NARROW = polygon(100 + 100j, 220 + 100j, 220 + 600j, 100 + 600j)
TOO_DEEP: dict[str, tuple[str, complex, dict[str, Any], tuple[float, float]]] = {
    "armhole": (ARMHOLE, 230 + 0j, {"kind": "knife", "lap": "left"}, (120, 120)),
    "side": (SQUARE, 470 + 0j, {"kind": "knife", "lap": "left"}, (100, 100)),
    "flared": (FLARED, 120 + 0j, {"kind": "knife", "lap": "right"}, (100, 100)),
    "narrowed": (NARROWED, 300 + 0j, {"kind": "knife", "lap": "left"}, (160, 160)),
    "tapered to the hem": (NARROWED, 300 + 0j, {"kind": "knife", "lap": "left"}, (200, 130)),
    "tapered to the top": (SQUARE, 420 + 0j, {"kind": "knife", "lap": "left"}, (130, 270)),
    "tapered, side": (SQUARE, 420 + 0j, {"kind": "knife", "lap": "left"}, (270, 130)),
    "tapered, in round figures": (SQUARE, 420 + 0j, {"kind": "knife", "lap": "left"}, (160, 110)),
    "hinged": (SQUARE, 470 + 0j, {"kind": "knife", "lap": "left"}, (100, 0)),
    "hinged at the top": (SQUARE, 470 + 0j, {"kind": "knife", "lap": "left"}, (0, 100)),
    "inverted, first side": (SQUARE, 150 + 0j, {"kind": "inverted"}, (300, 300)),
    "inverted, both sides": (NARROW, 180 + 0j, {"kind": "inverted"}, (400, 400)),
    "box": (SQUARE, 300 + 0j, {"kind": "box", "face": "20mm"}, (900, 900)),
    "box, both sides": (NARROW, 140 + 0j, {"kind": "box", "face": "20mm"}, (400, 400)),
}


@pytest.mark.parametrize(("outline", "at", "options", "asked"), TOO_DEEP.values(), ids=TOO_DEEP.keys())
def test_the_deepest_intake_named_fits_and_half_a_millimetre_more_does_not(
    outline: str, at: complex, options: dict[str, Any], asked: tuple[float, float], tmp_path: Path
) -> None:
    line = [(complex(at.real, 90), complex(at.real, 610))]
    said = _refusal(tmp_path, outline, line, intake=mm(asked[0]), hem_intake=mm(asked[1]), **options)
    named = re.search(r"deepest intake that fits here is ([\d.]+) mm(?: at the top with ([\d.]+) mm at the hem)?", said)
    assert named, said
    top = float(named[1])
    hem = float(named[2] or named[1])
    assert 0 < max(top, hem) < max(asked)
    more = [side * (1 + 0.5 / max(top, hem)) for side in (top, hem)]
    _refusal(tmp_path, outline, line, intake=mm(more[0]), hem_intake=mm(more[1]), **options)
    _proven(tmp_path, outline, line, top, hem, **options)


@pytest.mark.parametrize("face", [40, 100])
def test_faces_that_overlap_are_refused_and_such_as_touch_are_not(face: float, tmp_path: Path) -> None:
    lines = [(complex(200, 90), complex(200, 610)), (complex(200 + face, 90), complex(200 + face, 610))]
    _proven(tmp_path, SQUARE, lines, 60, 60, kind="box", face=mm(face))
    said = _refusal(tmp_path, SQUARE, lines, kind="box", face=mm(face + 0.5), intake="60mm")
    assert "'slash 1' and 'slash 2', have faces that overlap by 0.5 mm" in said
    assert f"take {number(face + 0.5)} mm of a space of {number(face)} mm" in said


def test_the_space_beneath_a_slanting_top_is_measured_square_to_the_lines(tmp_path: Path) -> None:
    """Lines 40 apart on a top at 45 degrees, where along the seam they are 57 apart: elementary geometry."""
    slanting = polygon(100 + 400j, 400 + 100j, 400 + 600j, 100 + 600j)
    lines = [(200 + 290j, 200 + 610j), (240 + 250j, 240 + 610j)]
    said = _refusal(tmp_path, slanting, lines, kind="box", face="50mm", intake="40mm")
    assert "have faces that overlap by 10 mm" in said
    assert "take 50 mm of a space of 40 mm" in said


def test_what_reaches_out_by_a_hair_is_never_told_as_nothing(tmp_path: Path) -> None:
    said = _refusal(tmp_path, SQUARE, [(480.02 + 90j, 480.02 + 610j)], kind="knife", lap="left", intake="40mm")
    assert "reaches out past the seam on its right by less than 0.1 mm" in said


STUBBED = {
    "in a hem": (400 + 599.5j, 399.99 + 599.51j),
    "in a hem, bulging": (400 + 600j, 399.99 + 600.01j, 399.98 + 600j),
    "notched": (400 + 600j, 400 + 599.98j, 399.98 + 600j),
}


@pytest.mark.parametrize("name", STUBBED)
@pytest.mark.parametrize("at", [392.0, 408.0])
def test_a_stub_is_no_corner(name: str, at: float, tmp_path: Path) -> None:
    """A stub of a hundredth, as editors leave where two paths were joined: it may lie in an underlay, its hem is one edge."""
    outline = polygon(100 + 100j, 500 + 100j, 500 + 600j, *STUBBED[name], 100 + 600j)
    source = tmp_path / "stub.svg"
    source.write_text(drawing(outline, slashes((complex(at, 90), complex(at, 610)))), encoding="utf-8")
    assert [edge.name for edge in measure(read(source)).edges] == ["top", "right side", "hem", "left side"]
    for lap in ("left", "right"):
        made = pleat(read(source), kind="knife", lap=lap, intake="40mm", allowance=["1cm", "hem=4cm"], hem_turn=True)
        assert made.proof.worst < 0.001


def test_faces_that_touch_at_the_hem_alone(tmp_path: Path) -> None:
    """Fanned lines, 60 apart at the hem and 100 at the waist: the faces, 60 wide along their lines, meet at the hem."""
    lean = math.atan2(20, 500)
    lines = [(250 + 100j, 270 + 600j), (350 + 100j, 330 + 600j)]
    touching = 60 * math.cos(lean)  # square to the line, the hem's 60 are a little less
    _proven(tmp_path, SQUARE, lines, 40, 40, kind="box", face=mm(math.floor(touching * 1e6) / 1e6))
    said = _refusal(tmp_path, SQUARE, lines, kind="box", face=mm(touching + 0.1), intake="40mm")
    assert "have faces that overlap by 0.1 mm" in said


def test_a_taper_steeper_than_its_own_line_is_refused(tmp_path: Path) -> None:
    """Brief geometry of a tapered fold: its two distances differ by less than the line is long."""
    low = polygon(100 + 100j, 500 + 100j, 500 + 130j, 100 + 130j)
    line = [(300 + 95j, 300 + 135j)]
    said = _refusal(tmp_path, low, line, kind="knife", lap="left", intake="62mm", hem_intake="0mm")
    assert "would change its depth by 31 mm over a line 30 mm long" in said
    _proven(tmp_path, low, line, 58, 0, kind="knife", lap="left")
