"""Cutting lines on written results: allowance cases measured on the file, half pieces, and cutting lines that are drawn.

The referee folds each of them back onto a mitred parallel of the finished outline (`tests.referee.cutback`).
"""

from __future__ import annotations

import math
import re
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from lxml import etree

from pleatsvg import fold, pleat, read, write
from pleatsvg.errors import FitError, RequestError
from tests.drawings.paper import drawing, outline_of, polygon, slashes
from tests.drawings.pieces import MIDDLE, SQUARE, half, made
from tests.referee import foldback
from tests.referee.cutback import assert_cut_true, edges_of

FIXTURES = Path(__file__).parents[2] / "fixtures"
KNIFE = {"kind": "knife", "lap": "left", "intake": "4cm"}

# ------------------------------------------------------------------------------------------ the table of cases

CASES = {
    "all alike": (["15mm"], (15, 15, 15, 15)),
    "hem deeper": (["15mm", "hem=4cm"], (15, 15, 40, 15)),
    "by number": (["15mm", "3=2cm"], (15, 15, 20, 15)),
    "by edge and number": (["15mm", "edge 2=2.5cm"], (15, 25, 15, 15)),
    "by name": (["1cm", "left side=2cm", "top=6mm"], (6, 10, 10, 20)),
    "one edge alone": (["hem=3cm"], (0, 0, 30, 0)),
    "none on one edge": (["15mm", "right side=0cm"], (15, 0, 15, 15)),
    "in inches": (["5/8in"], (15.875,) * 4),
}


@pytest.mark.parametrize(("asked", "expected"), CASES.values(), ids=CASES)
def test_each_edge_has_its_allowance(asked: list[str], expected: tuple[float, ...], tmp_path: Path) -> None:
    _, out = made(tmp_path, drawing(SQUARE, slashes(MIDDLE)), allowance=asked, **KNIFE)
    assert_cut_true(out, expected)
    # And without the parallel: the middle of each finished edge, square to it, on the file's own finished cutting line.
    (piece,) = foldback._read(out)
    points, numbers = edges_of(piece.finished)
    cut = shapely.LinearRing(foldback._xy(piece.finished_cut))
    for number, far in enumerate(expected):
        run = points[numbers == number]
        start, end = run[0], np.roll(points, -1)[np.flatnonzero(numbers == number)[-1]]
        middle = (start + end) / 2
        out_there = middle - 1j * (end - start) / abs(end - start) * 400
        ray = shapely.LineString([(middle.real, middle.imag), (out_there.real, out_there.imag)])
        hits = shapely.get_coordinates(ray.intersection(cut))
        distance = min(abs(complex(*xy) - middle) for xy in hits)
        assert distance == pytest.approx(far, abs=1e-5)


@pytest.mark.parametrize(
    ("name", "options"),
    [
        ("skirt-front", {"kind": "knife", "lap": "left", "intake": "6cm"}),
        ("skirt-front", {"kind": "box", "intake": "12cm", "hem_intake": "6cm"}),
        ("gore-panel", {"kind": "inverted", "intake": "4cm"}),
        ("kilt-apron", {"kind": "knife", "lap": "right", "intake": "100mm"}),
    ],
)
def test_a_fixture_is_cut_true(name: str, options: dict[str, Any], tmp_path: Path) -> None:
    out = tmp_path / "flat.svg"
    write(pleat(read(FIXTURES / f"{name}.svg"), allowance=["15mm", "hem=40mm"], **options), out)
    assert_cut_true(out, [15, 15, 40, 15])


@pytest.mark.parametrize(
    ("name", "options"),
    [
        ("skirt-front", {"kind": "knife", "lap": "left", "intake": "6cm", "hem_intake": "0mm"}),
        ("straight-panel", {"kind": "knife", "lap": "right", "intake": "6cm", "hem_intake": "0mm"}),
        ("straight-panel", {"kind": "inverted", "intake": "12cm", "hem_intake": "0mm"}),
        ("kilt-apron", {"kind": "inverted", "intake": "100mm", "hem_intake": "0mm"}),
    ],
)
def test_hinged_pleats_leave_a_wedge_and_say_so(name: str, options: dict[str, Any], tmp_path: Path) -> None:
    out = tmp_path / "flat.svg"
    result = pleat(read(FIXTURES / f"{name}.svg"), allowance=["15mm", "hem=40mm"], **options)
    write(result, out)
    proof = assert_cut_true(out, [15, 15, 40, 15], free=True)
    # The wedges are as wide as the hem allowance times the angle that the pleats take up, and no wider.
    angle = sum(2 * math.asin(f.intake_top / 2 / 380) for f in result.facts)
    assert proof.free_mm < 2.5 * 40 * angle
    assert any("inside the allowance" in remark for remark in result.remarks)


def test_a_hinge_without_a_wedge_is_told_as_well(tmp_path: Path) -> None:
    out = tmp_path / "flat.svg"
    result = pleat(
        read(FIXTURES / "gore-panel.svg"), kind="knife", lap="left", intake="4cm", hem_intake="0mm", allowance="4cm"
    )
    write(result, out)
    assert_cut_true(out, 40)
    assert any("inside the allowance" in remark for remark in result.remarks)


# --------------------------------------------------------------------------------------------------- half pieces

LEFT = "M100,100 C160,90 240,80 300,85 L340,600 C260,612 160,615 100,612 Z"
RIGHT = "M300,100 L300,612 C240,615 140,612 60,600 L100,85 C160,80 240,90 300,100 Z"
TOP = "M100,100 L500,100 L520,400 C400,420 200,420 80,400 Z"
HALVES = {
    "fold on the left": (LEFT, (100 + 150j, 100 + 580j), (180 + 80j, 190 + 620j), (15, 15, 40, 0)),
    "fold on the right": (RIGHT, (300 + 150j, 300 + 580j), (220 + 80j, 210 + 620j), (15, 0, 40, 15)),
    "fold at the top": (TOP, (150 + 100j, 450 + 100j), (60 + 250j, 540 + 250j), (0, 15, 40, 15)),
}
ON_FOLD = {
    "fold on the left": (100 + 100j, 100 + 612j),
    "fold on the right": (300 + 100j, 300 + 612j),
    "fold at the top": (100 + 100j, 500 + 100j),
}
WAYS: dict[str, dict[str, Any]] = {
    "knife, to the centre": {"kind": "knife", "lap": "centre", "intake": "4cm"},
    "knife, to the sides": {"kind": "knife", "lap": "sides", "intake": "4cm"},
    "box": {"kind": "box", "intake": "6cm"},
    "inverted": {"kind": "inverted", "intake": "6cm"},
}


@pytest.mark.parametrize(
    ("where", "way"),
    [
        (where, way)
        for where in HALVES
        for way in WAYS
        if where == "fold on the left" or way in ("knife, to the sides", "box")
    ],
)
def test_a_half_piece_is_cut_true(where: str, way: str, tmp_path: Path) -> None:
    outline, fold, line, expected = HALVES[where]
    _, out = made(tmp_path, half(outline, fold, line), allowance=["15mm", "hem=4cm"], **WAYS[way])
    assert_cut_true(out, expected)


@pytest.mark.parametrize(
    ("where", "kind", "hem"),
    [
        ("fold on the right", "box", "8cm"),
        ("fold on the right", "inverted", "0mm"),
        ("fold on the right", "inverted", "6cm"),
        ("fold at the top", "box", "6cm"),
        ("fold at the top", "inverted", "0mm"),
    ],
)
def test_half_a_pleat_lies_on_the_fold_edge(where: str, kind: str, hem: str, tmp_path: Path) -> None:
    outline, fold, _, expected = HALVES[where]
    intake = "0mm" if hem == "8cm" else "6cm"
    text = half(outline, fold, ON_FOLD[where])
    result, out = made(tmp_path, text, kind=kind, intake=intake, hem_intake=hem, allowance=["15mm", "hem=4cm"])
    assert_cut_true(out, expected, free=None if intake != hem else False)
    # The file holds half of the pleat.
    (fact,) = result.facts
    for measured, asked in ((fact.intake_top, intake), (fact.intake_hem, hem)):
        assert measured == pytest.approx(float(asked[:-2]) * (10 if asked.endswith("cm") else 1) / 2, abs=1e-4)


def test_the_fold_edge_is_covered_so_that_nobody_cuts_it(tmp_path: Path) -> None:
    outline, fold, line, _ = HALVES["fold on the left"]
    _, out = made(tmp_path, half(outline, fold, line), allowance=["15mm", "hem=4cm"], **WAYS["box"])
    root = etree.parse(out).getroot()
    (cover,) = root.findall(".//{*}path[@class='fold-edge-ground']")
    ((points, _),) = foldback.read_path(cover.get("d"))
    (piece,) = foldback._read(out)
    reach = points.imag.max() - points.imag.min()
    assert reach == pytest.approx(abs(piece.fold_edge[1] - piece.fold_edge[0]) + 15 + 40, abs=0.5)
    text = etree.tostring(root, method="text", encoding="unicode")
    assert "CUT ON THE FOLD" in text
    assert "LAY THIS EDGE ON THE FOLD" in text


def test_knife_pleats_that_would_turn_round_are_refused_unless_opened(tmp_path: Path) -> None:
    outline, fold, line, _ = HALVES["fold on the left"]
    with pytest.raises(FitError, match="turn round at the fold edge") as refused:
        made(tmp_path, half(outline, fold, line), **KNIFE)
    assert "open_fold=True" in str(refused.value)
    result, out = made(tmp_path, half(outline, fold, line), allowance="15mm", open_fold=True, **KNIFE)
    assert len(result.facts) == 2
    assert_cut_true(out, 15)


def test_a_piece_that_is_cut_twice_says_that_the_second_is_mirrored(tmp_path: Path) -> None:
    _, out = made(tmp_path, drawing(SQUARE, slashes(MIDDLE)), pair=True, **KNIFE)
    assert "CUT A PAIR, the second mirrored" in out.read_text()


def test_how_often_and_from_what_a_piece_is_cut_is_said_where_it_is_known(tmp_path: Path) -> None:
    """Beside the person's own words, "cut 6", the result said CUT 1, which nobody had told it."""
    text = drawing(SQUARE, slashes(MIDDLE), '<text x="330" y="300">cut 6</text>')
    _, out = made(tmp_path, text, **KNIFE)
    assert "CUT" not in out.read_text()
    _, out = made(tmp_path, text, cut=6, cloth="calico", **KNIFE)
    assert out.read_text().count("CUT 6") == out.read_text().count("CLOTH: calico") == 2  # on the cloth and above it
    assert ">RIGHT SIDE UP<" in out.read_text()
    for pair, cut, words in ((True, 2, "CUT A PAIR, the second mirrored"), (True, 4, "CUT 4, half of them mirrored")):
        _, out = made(tmp_path, text, cut=cut, pair=pair, **KNIFE)
        assert words in out.read_text()
    for cut, pair in ((3, True), (0, False)):
        with pytest.raises(RequestError, match=f"cut is {cut}"):
            made(tmp_path, text, cut=cut, pair=pair, **KNIFE)


def test_every_part_says_its_cloth_and_which_side_is_up(tmp_path: Path) -> None:
    options = {"kind": "inverted", "intake": "12cm", "underlay": "separate", "allowance": "15mm"}
    for more, cut in (({}, 0), ({"cut": 2, "cloth": "calico"}, 2)):
        result, out = made(tmp_path, drawing(SQUARE, slashes(MIDDLE)), **options, **more)
        parts = len(result.flat.cuts)
        said = Counter(row for words in result.sheet.words for row in words.text.split(", "))  # rows may be joined
        assert parts == 3
        assert said["RIGHT SIDE UP"] == parts
        assert (said["CUT 2"], said["CLOTH: calico"]) == ((parts, parts) if cut else (0, 0))
        assert cut or "CUT" not in out.read_text()


# ---------------------------------------------------------------------------------------- cutting lines as drawn


def _both(outer: str) -> str:
    return drawing(SQUARE, slashes(MIDDLE), f'<path id="cutting line" d="{outer}"/>')


def test_both_lines_are_kept(tmp_path: Path) -> None:
    outer = polygon(285 + 85j, 615 + 85j, 615 + 540j, 285 + 540j)
    result, out = made(tmp_path, _both(outer), **KNIFE)
    assert_cut_true(out, [15, 15, 40, 15])
    assert not result.remarks


def test_a_mismatch_between_the_lines_is_told(tmp_path: Path) -> None:
    outer = polygon(285 + 85j, 622 + 85j, 615 + 540j, 285 + 540j)
    result, out = made(tmp_path, _both(outer), allowance=["15mm", "hem=3cm"], **KNIFE)
    assert_cut_true(out, None)
    said = " ".join(result.remarks)
    assert "along the right side" in said  # 15.6 to 21.8
    assert "4 cm from the seam along the hem, not 3 cm as asked for" in said
    assert "left side" not in said
    assert "the top" not in said


def test_a_cutting_line_inside_the_seam_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FitError, match="runs inside the seam near"):
        made(tmp_path, _both(polygon(310 + 85j, 615 + 85j, 615 + 540j, 310 + 540j)), **KNIFE)


def test_where_only_the_cutting_line_is_drawn_the_seam_lies_inside_it(tmp_path: Path) -> None:
    outer = polygon(285 + 85j, 615 + 85j, 615 + 540j, 285 + 540j)
    text = drawing(outer, slashes((450 + 80j, 450 + 545j))).replace('id="seam"', 'id="cutting line"')
    with pytest.raises(FitError, match="allowance_drawn"):
        made(tmp_path, text, **KNIFE)
    _, out = made(tmp_path, text, allowance_drawn="15mm", **KNIFE)
    assert_cut_true(out, 15)
    (piece,) = foldback._read(out)
    assert shapely.Polygon(foldback._xy(piece.finished)).area == pytest.approx(300 * 425, abs=1e-3)


# ------------------------------------------------------------------------------------------------- the turned hem


@pytest.mark.parametrize("degrees", [-15, -5, 0, 10, 25, 40])
def test_a_turned_hem_lies_on_the_sides(degrees: float, tmp_path: Path) -> None:
    slope = math.tan(math.radians(degrees))
    dx = 400 * slope
    outline = polygon(300 + 100j, 600 + 100j, 600 + dx + 500j, 300 - dx + 500j)
    allowance = ["15mm", "hem=40mm"]
    result, out = made(tmp_path, drawing(outline, slashes(MIDDLE)), allowance=allowance, hem_turn=True, **KNIFE)
    assert_cut_true(out, None)
    (piece,) = foldback._read(out)
    cut = foldback._Ring(piece.finished_cut)
    # The side's cutting line meets the hem line at x; from there its mirror image goes to the hem's edge.
    x = 600 + dx + 15 / math.cos(math.radians(degrees))
    wanted = np.array([x + 500j, x - 40 * slope + 540j]) + result.sheet.offset
    assert cut.distance(wanted).max() < 1e-5
    assert np.abs(piece.finished_cut[:, None] - wanted).min(axis=0).max() < 1e-5  # both are corners of it


HEMS: dict[str, list[tuple[complex, ...]]] = {
    "straight": [
        (300 + 100j, 600 + 100j),
        (600 + 100j, 620 + 500j),
        (620 + 500j, 280 + 500j),
        (280 + 500j, 300 + 100j),
    ],
    "curved": [
        (300 + 100j, 600 + 100j),
        (600 + 100j, 610 + 300j, 630 + 400j, 650 + 580j),
        (650 + 580j, 550 + 620j, 350 + 620j, 250 + 580j),
        (250 + 580j, 270 + 400j, 290 + 300j, 300 + 100j),
    ],
}


def _in_halves(seg: tuple[complex, ...]) -> list[tuple[complex, ...]]:
    if len(seg) == 2:
        return [(seg[0], sum(seg) / 2), (sum(seg) / 2, seg[1])]
    a, b, c, d = seg
    ab, bc, cd = (a + b) / 2, (b + c) / 2, (c + d) / 2
    abc, bcd = (ab + bc) / 2, (bc + cd) / 2
    return [(a, ab, abc, (abc + bcd) / 2), ((abc + bcd) / 2, bcd, cd, d)]


@pytest.mark.parametrize("name", HEMS)
def test_a_turned_hem_is_the_same_whatever_nodes_lie_on_it(name: str, tmp_path: Path) -> None:
    """Parts of a segment, halved again and again, are the same curve: de Casteljau."""
    segments = HEMS[name]
    areas = []
    for turn in range(4):
        text = drawing(outline_of(segments), slashes((450 + 90j, 450 + 640j)))
        _, out = made(tmp_path, text, allowance=["15mm", "hem=40mm"], hem_turn=True, **KNIFE)
        (piece,) = foldback._read(out)
        areas.append(shapely.Polygon(foldback._xy(piece.finished_cut)))
        segments = [half for k, seg in enumerate(segments) for half in (_in_halves(seg) if (k + turn) % 3 else [seg])]
        segments = segments[1:] + segments[:1]
    assert len(segments) > 12
    assert max(area.symmetric_difference(areas[0]).area for area in areas) < 2.0  # 0.001 mm along the whole line


def test_a_hem_that_crosses_folds_off_square_is_told(tmp_path: Path) -> None:
    outline = polygon(300 + 100j, 600 + 100j, 650 + 500j, 250 + 500j)
    allowance = ["15mm", "hem=40mm"]
    text = drawing(outline, slashes((450 + 100j, 500 + 500j)))
    result, _ = made(tmp_path, text, allowance=allowance, hem_turn=True, **KNIFE)
    degrees = math.degrees(math.atan2(50, 400))
    (said,) = [remark for remark in result.remarks if "off square" in remark]
    assert f"{degrees:.1f} degrees" in said
    assert "1 cm" in said  # 2 x 40 x tan


def test_a_fold_line_in_the_allowance_of_a_bite_is_refused_in_words() -> None:
    """It runs in the 8 mm round a bite in the side, 0.5 mm from the cutting line, and comes onto the piece below it."""
    drawn = read(FIXTURES / "broken" / "crosses-four-times.svg")
    with pytest.raises(FitError, match="runs on within its allowance and comes onto the piece again"):
        pleat(drawn, kind="box", face="3cm", intake="4cm", hem_intake="25mm", count=5, allowance="8mm")


def test_a_fold_line_that_comes_back_over_its_allowance_is_refused(tmp_path: Path) -> None:
    """It ends in the armhole and runs on between seam and cutting line, onto the piece below the arm."""
    piece = read(FIXTURES / "bodice-front.svg")
    box = pleat(
        piece, kind="box", intake="4mm", count=1, run="grain", along="hem", allowance="12mm"
    )  # its result holds the cutting line drawn
    write(box, tmp_path / "first.svg")
    again = read(tmp_path / "first.svg")
    with pytest.raises(FitError, match="runs on within its allowance and comes onto the piece again"):
        pleat(again, kind="knife", intake="10mm", lap="centre", count=2, run="grain")


def test_an_allowance_that_would_leave_the_seam_without_cloth_is_refused() -> None:
    """Fold lines that close at the armhole meet within a wide allowance; what is left of it lay across the piece."""
    piece = read(FIXTURES / "bodice-front.svg")
    order: dict[str, Any] = {"kind": "inverted", "intake": "10mm", "hem_intake": "0mm", "count": 5, "run": "grain"}
    with pytest.raises(FitError, match="would leave the seam without cloth"):
        pleat(piece, allowance="30mm", **order)


def test_fold_lines_that_meet_in_the_allowance_of_a_half_piece_hold(tmp_path: Path) -> None:
    """`fold` gave the last layer what is cut as the corner of two, and missed by 0.06 mm what was cut true."""
    options = {"kind": "inverted", "intake": "20mm", "hem_intake": "0mm", "stack": 2, "allowance": "15mm"}
    write(pleat(read(FIXTURES / "gallery" / "half-skirt.svg"), **options), tmp_path / "flat.svg")
    (proof,) = fold(tmp_path / "flat.svg")
    assert not proof.failures


def test_the_heading_tells_how_far_a_drawn_cutting_line_lies_as_the_notes_do(tmp_path: Path) -> None:
    drawn = tmp_path / "sloping.svg"
    drawn.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="700mm" height="800mm" viewBox="0 0 700 800">'
        '<path id="seam" d="M50 50H450L470 650H30Z"/><path id="cutting line" d="M37 38L463 32L486 665H14Z"/>'
        '<path id="slash 1" d="M150 50V650"/></svg>',
        encoding="utf-8",
    )
    result = pleat(read(drawn), **KNIFE)
    heading = next(row for row in result.sheet.heading if "Allowance included" in row)
    notes = [words for words in result.remarks if words.startswith("The drawn cutting line lies")]
    assert len(notes) == 3
    for words in notes:
        found = re.match(r"The drawn cutting line lies (.*) from the seam along the (.*); both", words)
        assert found is not None
        assert f"{found[2]} {found[1]}" in heading
    # The line over the top rises from y = 38 at x = 37 to 32 at 463: from 0.01 to 0.99 of the top, which lies at y = 50.
    far = [50 - (38 - 6 * (50 + 400 * share - 37) / 426) for share in (0.01, 0.99)]
    assert f"top {far[0] / 10:.2f} cm to {far[1] / 10:.2f} cm" in heading
