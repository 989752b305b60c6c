"""Pleats at a seam between two pieces, and smooth hems: written, read back and folded, and held against closed forms."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import pytest
import shapely

from pleatsvg import PleatError, pleat, read, write
from pleatsvg.api import continue_onto, fold
from pleatsvg.geometry.segment import point_at
from tests.referee.foldback import read_path

GORE = """<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="700mm" viewBox="0 0 400 700">
<title>gore</title><path id="seam" d="{d}"/><line id="grainline" x1="160" y1="200" x2="160" y2="500"/></svg>"""
SKIRT = Path(__file__).parents[2] / "fixtures" / "skirt-front.svg"
ONE = "M 100,60 C 140,66 180,66 220,60 L 290,650 C 210,664 120,664 40,650 Z"
TWO = "M 110,60 C 150,68 190,68 230,60 L 300,650 C 220,664 120,664 40,650 Z"


@pytest.fixture
def gores(tmp_path: Path) -> Path:
    (tmp_path / "one.svg").write_text(GORE.format(d=ONE), encoding="utf-8")
    (tmp_path / "two.svg").write_text(GORE.format(d=TWO), encoding="utf-8")
    return tmp_path


def area(d: str) -> float:
    ((points, _),) = read_path(d)
    return shapely.Polygon([(z.real, z.imag) for z in points]).area


def paths(file: Path, name: str) -> list[str]:
    text = file.read_text(encoding="utf-8")
    found = re.findall(rf'<path class="{name}" d="([^"]*)"', text)
    return found or list(re.findall(rf'<path[^>]*?d="([^"]*)"[^>]*class="{name}"', text))


@pytest.mark.parametrize(
    ("options", "share"),
    [
        # Depth 30 over the seam's length: the join lies at an inner fold, so the pieces gain 1 : 3 or 1 : 1 depths.
        ({"kind": "inverted", "intake": "12cm"}, 4),
        ({"kind": "knife", "intake": "6cm", "lap": "left"}, 2),
        ({"kind": "knife", "intake": "6cm", "lap": "right"}, 2),
    ],
)
def test_two_gores_gain_their_shares_at_the_seam(gores: Path, options: dict[str, str], share: int) -> None:
    """Area grows by intake times the length of the seam, less what the curved ends take or give; joins are of one length."""
    piece = continue_onto(read(gores / "one.svg"), "right side=two.svg", near=gores)
    result = pleat(piece, slash="right side", allowance="15mm", **options)
    out = gores / "flat.svg"
    write(result, out)
    (proof,) = fold(out)
    assert proof.holds
    seams = paths(out, "seam-line")
    assert len(seams) == 2
    assert len(paths(out, "cut-line")) == 2
    length = math.dist((220, 60), (290, 650))
    gained = sum(map(area, seams)) - area(ONE) - area(TWO)
    assert gained == pytest.approx(share * 30 * length, rel=0.02)
    first, second = paths(out, "join-line")
    ends = [
        [complex(*map(float, pair.split(","))) for pair in re.findall(r"[-\d.]+,[-\d.]+", d)] for d in (first, second)
    ]
    lengths = [abs(line[-1] - line[0]) for line in ends]
    assert lengths[0] == pytest.approx(lengths[1], abs=1e-5)


@pytest.mark.parametrize(
    ("onto", "words"),
    [
        ("right side=two.svg:right side", "would lie over|are .* long|lies? over"),
        ("top=two.svg:hem", "curved"),
        ("right side", "names an edge and the drawing"),
        ("right side=three.svg", "three.svg"),
        ("elbow=two.svg", "elbow"),
    ],
)
def test_a_neighbour_that_does_not_fit_is_refused(gores: Path, onto: str, words: str) -> None:
    piece = read(gores / "one.svg")
    try:
        joined = continue_onto(piece, onto, near=gores)
    except PleatError as error:
        assert re.search(words, str(error))
    else:  # laid against a like edge it is turned round, and lies beside it just as well
        assert onto.endswith(":right side")
        assert joined.outline.area == pytest.approx(area(ONE) + area(TWO), rel=1e-3)


def test_edges_of_two_lengths_are_not_sewn_together(gores: Path) -> None:
    (gores / "long.svg").write_text(GORE.format(d=TWO.replace("110,60", "110,55")), encoding="utf-8")
    with pytest.raises(PleatError, match="long; edges that are sewn together"):
        continue_onto(read(gores / "one.svg"), "right side=long.svg", near=gores)


def test_tucks_at_a_seam_hide_no_join(gores: Path) -> None:
    piece = continue_onto(read(gores / "one.svg"), "right side=two.svg", near=gores)
    with pytest.raises(PleatError, match="tucks hide no join"):
        pleat(piece, kind="tuck", intake="2cm", lap="left", slash="right side")


@pytest.mark.parametrize(
    "options",
    [
        {"kind": "knife", "intake": "8cm", "lap": "left"},
        {"kind": "inverted", "intake": "12cm", "hem_intake": "16cm"},
        {"kind": "box", "intake": "8cm", "face": "4cm"},
    ],
    ids=lambda options: options["kind"],
)
def test_a_smooth_hem_meets_both_panels_in_their_direction(tmp_path: Path, options: dict[str, str]) -> None:
    """The curve is tangent to the hem at both its ends, and its distance from the folded hem is the one that is told."""
    piece = read(SKIRT)
    smooth, folded = (pleat(piece, hem=hem, **options) for hem in ("smooth", "folded"))
    write(smooth, tmp_path / "smooth.svg")
    (proof,) = fold(tmp_path / "smooth.svg")
    assert proof.holds
    edges = smooth.flat.seam
    curves = [k for k, edge in enumerate(edges) if edge.origin[0] < 0]
    assert curves
    for k in curves:
        before, here, after = edges[k - 1].points, edges[k].points, edges[(k + 1) % len(edges)].points
        for one, other in ((before[-1] - before[-2], here[1] - here[0]), (here[-1] - here[-2], after[1] - after[0])):
            assert abs((one / abs(one)).conjugate() * (other / abs(other)) - 1) < 1e-4
    zigzag = shapely.LineString(
        [(z.real, z.imag) for edge in folded.flat.seam for k in range(33) for z in [point_at(edge.points, k / 32)]]
    )
    shift = folded.sheet.offset - smooth.sheet.offset
    off = max(
        zigzag.distance(shapely.Point(z.real, z.imag))
        for k in curves
        for j in range(65)
        for z in [point_at(edges[k].points, j / 64) + shift]
    )
    assert smooth.flat.hem_off == 0.0  # kept with the flat piece before it is laid on the page
    told = next(r for r in smooth.remarks if "runs smoothly" in r)
    assert float(re.search(r"up to ([\d.]+) cm", told)[1]) * 10 == pytest.approx(off, abs=0.12)  # type: ignore[index]


@pytest.mark.parametrize(
    "options",
    [
        {"kind": "inverted", "intake": "6cm", "stack": 2, "allowance": "1cm"},
        {"kind": "knife", "intake": "9cm", "stack": 3, "lap": "left", "hem_intake": "6cm"},
        {"kind": "box", "intake": "4cm", "stack": 3, "hem_intake": "8cm", "allowance": ["1cm", "hem=4cm"]},
        {"kind": "kick", "intake": "8cm", "hem_intake": "3cm", "height": "12cm"},
        {
            "kind": "inverted",
            "intake": "4cm",
            "hem_intake": "9cm",
            "run": "square",
            "along": "left side",
            "at": ["15cm"],
        },
    ],
    ids=["inverted", "knife", "box", "kick", "aslant"],
)
def test_lines_amid_a_smooth_hem_end_on_it(tmp_path: Path, options: dict[str, Any]) -> None:
    """Hidden folds and placement lines run to the curve, no farther and no less."""
    gore = SKIRT.with_name("gore-panel.svg")
    made = pleat(read(gore), hem="smooth", **({"count": 2} if "at" not in options else {}), **options)
    write(made, tmp_path / "smooth.svg")
    (proof,) = fold(tmp_path / "smooth.svg")
    assert proof.holds
    curves = [edge.points for edge in made.flat.seam if edge.origin[0] < 0 and len(edge.points) == 4]
    hem = shapely.MultiLineString(
        [[(z.real, z.imag) for k in range(401) for z in [point_at(curve, k / 400)]] for curve in curves]
    )
    amid = [line for line in (*made.flat.creases, *made.flat.placements) if line.amid]
    assert amid
    assert all(hem.distance(shapely.Point(line.hem.real, line.hem.imag)) < 1e-4 for line in amid)


def test_a_smooth_hem_is_counted_in_the_length_beside_it(tmp_path: Path) -> None:
    made = pleat(read(SKIRT.with_name("gore-panel.svg")), kind="knife", intake="6cm", lap="left", count=2, hem="smooth")
    write(made, tmp_path / "smooth.svg")
    flat = 331.4 + 2 * 60  # as measured and asked; over the hidden cloth the hem is as good as straight
    assert f"HEM: 33.14 cm finished, {flat / 10:.2f} cm flat" in (tmp_path / "smooth.svg").read_text()


def test_a_smooth_hem_is_not_parted() -> None:
    with pytest.raises(PleatError, match="smooth, but the flat piece is cut in parts"):
        pleat(read(SKIRT), kind="inverted", intake="12cm", underlay="separate", hem="smooth")
