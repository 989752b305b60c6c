"""Drawn darts are closed into fitted pleats: the waist with the darts sewn up is measured here on the drawing's own curves,
and the referee folds what is written. Lengths in mm."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import pytest
import shapely
from lxml import etree
from svgpathtools import Path as Curves
from svgpathtools import parse_path

from pleatsvg import fold, pleat, read, write
from pleatsvg.errors import PleatError
from pleatsvg.pleated import PleatedPiece
from tests.referee import foldback
from tests.referee.fitback import assert_fitted

SKIRTS = Path(__file__).parents[2] / "fixtures" / "skirts"
KNIFE: dict[str, Any] = {"kind": "knife", "lap": "centre", "intake": "4cm", "allowance": "15mm"}
INVERTED: dict[str, Any] = {"kind": "inverted", "intake": "9cm", "count": 3}

NOTCHES = (
    "M50 50C90 58 130 63.3 165 65.5L180 160L195 65.5C265 69 335 69 405 65.5L420 160L435 65.5C470 63.3 510 58 550 50"
    "L575 250L590 650C400 672 200 672 10 650L25 250Z"
)
SMOOTH = NOTCHES.replace(
    "165 65.5L180 160L195 65.5C265 69 335 69 405 65.5L420 160L435 65.5C", "165 65.5C240 70.2 360 70.2 435 65.5C"
)
LINES = ((110, 95), (250, 258), (350, 342), (490, 505))
HIP = '<path id="hip" d="M25 250C200 258 400 258 575 250"/>'


def drawing(folder: Path, seam: str, lines: tuple[tuple[float, float], ...] = LINES, more: str = HIP) -> Path:
    slashes = "".join([f'<path id="slash {k}" d="M{top} 30L{hem} 690"/>' for k, (top, hem) in enumerate(lines, 1)])
    path = folder / "skirt.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="720mm" viewBox="0 0 600 720">'
        f'<path id="seam" d="{seam}"/>{slashes}{more}</svg>'
    )
    return path


def made(folder: Path, source: Path, **options: Any) -> tuple[PleatedPiece, Path]:
    result, out = pleat(read(source), **options), folder / "flat.svg"
    write(result, out, force=True)
    assert result.worst_miss < 2e-5
    proof = assert_fitted(out)
    assert proof.top_mm == pytest.approx(result.top_lengths[0], abs=0.01)
    (own,) = fold(out)
    assert own.failures == ()
    return result, out


def shares(result: PleatedPiece) -> list[float]:
    """What vanishes in each pleat, by how its lines lean: 2 L tan(lean)."""
    fitted = result.laid.fitted
    assert fitted is not None
    by_pleat: dict[int, float] = {}
    for edge, lean in zip(fitted.edges, fitted.closed.leans, strict=True):
        by_pleat[edge.pleat] = by_pleat.get(edge.pleat, 0.0) + 2 * edge.length * math.tan(lean)
    return list(by_pleat.values())


def curves(source: Path) -> Curves:
    (seam,) = [e for e in etree.parse(str(source)).iter() if e.get("id") == "seam"]
    return parse_path(str(seam.get("d")))


def sewn(source: Path, top: tuple[int, ...]) -> float:
    """The waist with the darts sewn up: the curves between their mouths."""
    seam = curves(source)
    return float(sum(seam[k].length(error=1e-10) for k in top))


FRONT = (0, 3, 4, 7)
BACK = (0, 3, 4, 7)


@pytest.mark.parametrize("way", ["nearest", "all"])
@pytest.mark.parametrize(("options", "creases"), [(KNIFE, 12), (INVERTED, 12)])
def test_a_skirt_with_two_darts_comes_to_its_waist_with_pleats(
    options: dict[str, Any], creases: int, way: str, tmp_path: Path
) -> None:
    source = SKIRTS / "darted-front.svg"
    if "count" in options and way == "nearest":
        options = options | {"hip": "hip"}  # a dart that one inverted pleat takes in leans too far over its own depth
    result, out = made(tmp_path, source, darts=way, **options)
    waist = sewn(source, FRONT)
    assert waist == pytest.approx(362.5, abs=0.05)
    assert result.top_lengths[0] == pytest.approx(waist, abs=1e-5)
    proof = assert_fitted(out)
    assert proof.creases == creases
    assert proof.top_mm == pytest.approx(waist, abs=0.01)
    # Hem and sides down from where the pleats are shaped lie as drawn.
    seam = curves(source)
    drawn = [seam[k].point(t / 20) for k in (9, 10, 11) for t in range(21)]
    root = etree.fromstring(out.read_bytes())
    (below,) = [e for e in root.iter() if e.get("data-zone") == "below" and "finished-line" in str(e.get("class"))]
    ((points, _),) = foldback.read_path(str(below.get("d")))
    ring = shapely.LinearRing([(z.real, z.imag) for z in points])
    shift = complex(points.real.min(), points.imag.max()) - complex(
        min(z.real for z in drawn), max(seam[10].point(t / 200).imag for t in range(201))
    )
    assert max(ring.distance(shapely.Point(z.real + shift.real, z.imag + shift.imag)) for z in drawn) < 0.01


def test_open_legs_over_a_peaked_seam(tmp_path: Path) -> None:
    # Over its mouth the seam is peaked as the folded dart is cut; that counts neither before nor after.
    source = SKIRTS / "darted-back.svg"
    result, _ = made(tmp_path, source, darts="all", **KNIFE)
    seam = curves(source)
    mouths = [k for k, seg in enumerate(seam) if seg.length() < 22]
    top = [
        k
        for k, seg in enumerate(seam)
        if k not in mouths and abs((seg.end - seg.start).real) > abs((seg.end - seg.start).imag)
    ]
    assert len(mouths) == 4
    waist = sewn(source, tuple(k for k in top if seam[k].point(0.5).imag < 100))
    assert result.top_lengths[0] == pytest.approx(waist, abs=1e-4)
    assert "dart" not in " ".join(re.findall(r'data-name="([^"]*)"', (tmp_path / "flat.svg").read_text()))


def _with_legs(folder: Path, up: float) -> Path:
    # The legs of a dart from a level seam at y = 50, run on up by so much; below zero they stop short of it.
    source = drawing(folder, "M50 50H550V650H50Z", ((120, 120), (240, 240)))
    ends = [f"{180 - side * (20 + up / 5):.3f} {50 - up}" for side in (1, -1)]
    legs = f'<path id="dart" d="M{ends[0]}L180 150L{ends[1]}"/></svg>'
    source.write_text(source.read_text().replace("</svg>", legs), encoding="utf-8")
    return source


def test_legs_that_run_out_over_the_seam_count_up_to_it(tmp_path: Path) -> None:
    result, _ = made(tmp_path, _with_legs(tmp_path, 15), darts="nearest", **KNIFE)
    assert shares(result) == pytest.approx([20, 20], abs=0.6)


@pytest.mark.parametrize("up", [-1.6, -4, -9.8])
def test_legs_that_stop_a_little_short_are_run_on_to_the_seam_and_told(up: float, tmp_path: Path) -> None:
    source = _with_legs(tmp_path, up)
    result, _ = made(tmp_path, source, darts="nearest", **KNIFE)
    made_of = result.laid.fitted
    assert made_of is not None
    assert sum(made_of.shares) == pytest.approx(40, abs=1e-6)
    assert f"The legs of the dart in the top were run on to the seam, by {-up / 10 * math.hypot(1, 0.2):.2g} cm" in (
        " ".join(result.remarks)
    )
    whole = pleat(read(source), kind="knife", intake="2cm", lap="left")
    assert "4 cm wide and 10 cm deep" in " ".join(whole.remarks)


def test_legs_that_stop_farther_short_are_told(tmp_path: Path) -> None:
    with pytest.raises(
        PleatError, match=r"'dart' has two legs that meet, and ends 1\.4 cm from the seam: draw both legs up"
    ):
        made(tmp_path, _with_legs(tmp_path, -14), darts="nearest", **KNIFE)
    both = _with_legs(tmp_path, -14)
    text = both.read_text(encoding="utf-8").replace("</svg>", '<path id="dart b" d="M380 50L400 150L420 50"/></svg>')
    both.write_text(text, encoding="utf-8")
    result, _ = made(tmp_path, both, darts="nearest", **KNIFE)
    assert "Left as drawn: 'dart' has two legs that meet, and ends 1.4 cm from the seam" in " ".join(result.remarks)


def test_the_lever_rule(tmp_path: Path) -> None:
    source = drawing(tmp_path, "M50 50H160L180 150L200 50H550V650H50Z", ((90, 90), (120, 120), (240, 240), (300, 300)))
    result, _ = made(tmp_path, source, darts="nearest", **KNIFE)
    got = shares(result)
    # The middle of the mouth is 60 from line 2 and 60 from line 3; by a level seam every width is a straight one.
    assert got[0] == got[3] == 0
    assert got[1:3] == pytest.approx([20, 20], abs=0.6)
    assert sum(got) == pytest.approx(40, abs=1.0)
    made_of = result.laid.fitted
    assert made_of is not None
    assert made_of.shares == pytest.approx((0, 20, 20, 0), abs=1e-6)
    source = drawing(tmp_path, "M50 50H160L180 150L200 50H550V650H50Z", ((150, 150), (240, 240), (300, 300)))
    result, _ = made(tmp_path, source, darts="nearest", **KNIFE)
    made_of = result.laid.fitted
    assert made_of is not None
    assert made_of.shares == pytest.approx((40 * 60 / 90, 40 * 30 / 90, 0), abs=1e-6)
    assert [edge.length for edge in made_of.edges] == pytest.approx([100] * 3, abs=1e-6)
    words = " ".join(result.remarks)
    assert (
        "The dart in the top took in 4 cm; the pleats take in 2.67 cm + 1.33 cm = 4 cm instead, which is as much."
        in words
    )


def test_a_line_through_mouth_and_point_takes_that_dart(tmp_path: Path) -> None:
    lines = ((110, 95), (182, 178), (300, 300), (420, 424), (490, 505))
    result, _ = made(tmp_path, drawing(tmp_path, NOTCHES, lines), darts="nearest", **(KNIFE | {"lap": "left"}))
    fitted = result.laid.fitted
    assert fitted is not None
    width = fitted.taken[0].taken.width
    assert 30 < width < 30.1
    assert fitted.shares == pytest.approx((0, width, 0, width, 0), abs=1e-9)
    # Its lines bend beside the dart's point, and lean on the dart's legs.
    assert abs(fitted.edges[1].hip - (180 + 160j)) < 2
    assert fitted.closed.leans[1] == pytest.approx(math.atan(15 / 94.5), abs=0.005)


def test_a_line_through_a_dart_that_stays_is_refused_with_what_takes_it_in(tmp_path: Path) -> None:
    """Told was only to open it elsewhere, which serves a line that ends at its point and no other."""
    lines = ((110, 95), (182, 178), (300, 300), (420, 424), (490, 505))
    source, asked = drawing(tmp_path, NOTCHES, lines), KNIFE | {"lap": "left"}
    with pytest.raises(
        PleatError, match=r'in the leg of a dart.*Give darts="nearest", which closes the dart into the pleat'
    ):
        pleat(read(source), fit_waist="43cm", hip="hip", **asked)
    assert pleat(read(source), darts="nearest", **asked).worst_miss < 2e-5
    (tmp_path / "skirt.svg").write_text(source.read_text().replace("M182 30L", "M177 120L"))
    with pytest.raises(PleatError, match=r'in the leg of a dart.*end it at the dart\'s point and give pivot="dart"'):
        pleat(read(source), **asked)


def test_what_leans_too_far_by_an_uneven_share_is_told_to_be_shared(tmp_path: Path) -> None:
    """More pleats would not help a line that takes in a whole dart: the one that lies there leans as it is."""
    lines = ((110, 95), (182, 178), (300, 300), (420, 424), (490, 505))
    source = drawing(tmp_path, NOTCHES, lines)
    told = {}
    for way in ("nearest", "all"):
        remarks = pleat(read(source), darts=way, **KNIFE | {"lap": "left"}).remarks
        told[way] = [str(note) for note in remarks if "it drags" in note]
    assert told["all"] == []
    (note,) = told["nearest"]
    assert "Pleats 2, 4 lean up to 8.9 degrees" in note
    assert 'Shared by all 5 pleats, with darts="all", it would be about 3.' in note
    assert "in the place of" not in note


def test_darts_that_are_not_asked_for_stay(tmp_path: Path) -> None:
    source = drawing(tmp_path, NOTCHES)
    whole = sewn(source, (0, 3, 6))
    result, _ = made(tmp_path, source, fit_waist="43cm", hip="hip", **KNIFE)
    assert result.top_lengths[0] == pytest.approx(430, abs=1e-5)
    outline = result.laid.fitted.upper.lines.outline  # type: ignore[union-attr]
    assert [dart.mouth for dart in outline.darts] == pytest.approx([30, 30], abs=1e-6)
    result, _ = made(tmp_path, source, darts="dart 2=nearest", **KNIFE)
    fitted = result.laid.fitted
    assert fitted is not None
    assert fitted.shares[:2] == (0, 0)
    assert len(fitted.upper.lines.outline.darts) == 1
    assert result.top_lengths[0] == pytest.approx(whole, abs=1e-5)
    # Those that stay lie above all that is shaped; of two in the top the one that is named last is shared otherwise.
    assert min(edge.length for edge in fitted.edges) == pytest.approx(94.5 + 10, abs=0.01)
    result, _ = made(tmp_path, source, darts=["all", "dart 1=nearest"], **KNIFE)
    fitted = result.laid.fitted
    assert fitted is not None
    width = fitted.taken[0].taken.width
    assert fitted.shares[2:] == pytest.approx([width / 4] * 2, abs=1e-9)
    assert sum(fitted.shares[:2]) == pytest.approx(1.5 * width, abs=1e-9)


def test_a_dart_in_a_side_stays(tmp_path: Path) -> None:
    seam = NOTCHES.replace("L575 250L590 650", "L575 250L581 410L500 420L581.4 430L590 650")
    result, _ = made(tmp_path, drawing(tmp_path, seam, LINES[:3]), darts="all", **KNIFE)
    lower = result.laid.fitted.lower.lines.outline  # type: ignore[union-attr]
    assert [lower.point(dart.point) for dart in lower.darts] == [500 + 420j]


def test_open_legs_that_stay_are_told(tmp_path: Path) -> None:
    source = drawing(tmp_path, SMOOTH, more=HIP + '<path id="dart" d="M165 65.5L180 160L195 67.2"/>')
    result, _ = made(tmp_path, source, fit_waist="47cm", hip="hip", **KNIFE)
    words = " ".join(result.remarks)
    assert "sewn up, it takes 3 cm more and 44 cm is left" in words
    result, _ = made(tmp_path, source, darts="dart=nearest", **KNIFE)
    assert "sewn up" not in " ".join(result.remarks)
    assert result.top_lengths[0] == pytest.approx(502.380 - 30.04, abs=0.01)


@pytest.mark.parametrize(("waist", "words"), [("42cm", r"2\.23 cm more, since"), ("46cm", r"1\.77 cm less, since")])
def test_another_waist_may_be_asked_for(waist: str, words: str, tmp_path: Path) -> None:
    result, _ = made(tmp_path, drawing(tmp_path, NOTCHES), darts="nearest", fit_waist=waist, hip="hip", **KNIFE)
    assert result.top_lengths[0] == pytest.approx(float(waist[:2]) * 10, abs=1e-5)
    assert re.search(words, " ".join(result.remarks))


HALF = "M50 50C90 58 130 63.3 165 65.5L180 160L195 65.5C230 69 265 69 300 69V660C200 668 120 660 20 650L30 250Z"
FOLD = '<path id="fold edge" d="M300 69V660"/><path id="hip" d="M30 250L300 255"/>'


@pytest.mark.parametrize(
    ("options", "parts"),
    [
        (KNIFE | {"darts": "nearest"}, 0),
        ({"kind": "inverted", "intake": "8cm", "allowance": "15mm", "darts": "nearest"}, None),
        ({"kind": "inverted", "intake": "8cm", "darts": "all", "hip": "hip"}, 3),
        ({"kind": "box", "intake": "4cm", "face": "25mm", "darts": "all", "fit_length": "18cm"}, 4),
    ],
)
def test_half_a_skirt_with_a_dart(options: dict[str, Any], parts: int | None, tmp_path: Path) -> None:
    lines = ((110, 95), (240, 238)) if options["kind"] == "knife" else ((110, 95), (300, 300))
    source = drawing(tmp_path, HALF, lines, FOLD)
    result, _ = made(tmp_path, source, **options)
    assert result.top_lengths[0] == pytest.approx(sewn(source, (0, 3)), abs=1e-5)
    fitted = result.laid.fitted
    assert fitted is not None
    width = fitted.taken[0].taken.width
    assert sum(fitted.shares) == pytest.approx(width, abs=1e-9)
    if parts == 3:  # half a pleat on the fold edge takes half as much
        assert fitted.shares == pytest.approx((width * 2 / 3, width / 3), abs=1e-9)
    if parts == 0:
        whole = pleat(read(source), open_fold=True, **options)
        assert whole.top_lengths[0] == pytest.approx(2 * result.top_lengths[0], abs=1e-5)


@pytest.mark.parametrize(
    ("seam", "options", "words"),
    [
        (NOTCHES, {"fit_waist": "43cm", "fit_length": "7cm"}, r"9\.45 cm deep, and reaches over the level"),
        (SMOOTH, {"darts": "nearest"}, "finds no dart in the top of 'skirt'; it has none"),
        (NOTCHES, {"darts": "evenly"}, "does not say who shares the dart"),
        (NOTCHES, {"darts": "=all"}, "does not say who shares the dart"),
        (NOTCHES, {"darts": ["all", "nearest"]}, "is given twice for the darts in the top"),
        (NOTCHES, {"darts": "dart 3=all"}, "darts=\"dart 3\" is no dart of 'skirt'"),
        (NOTCHES, {"darts": "all", "fit_waist": "56cm"}, r"longer than the top with its darts open, 50\.24 cm"),
        (NOTCHES, {"darts": "all", "hip": "hip", "fit_length": "20cm"}, "are both given"),
        (NOTCHES, {"darts": "all", "share": "1cm"}, "what vanishes in each pleat follows from the darts"),
        (NOTCHES, {"darts": "all", "weight": 0}, "are all 0"),
        (NOTCHES, {"darts": "all", "pivot": "dart 1"}, "pivot is asked for together with fitted pleats"),
        (
            NOTCHES.replace("L180 160", "L193 160"),
            {"darts": "all"},
            r"has legs of 9\.86 cm and 9\.45 cm, 0\.4 cm apart",
        ),
        (NOTCHES.replace("L180 160L", "C165 97 170 140 180 160L"), {"darts": "all"}, "has a leg that is bent by"),
        (
            NOTCHES.replace("L575 250L590 650", "L575 250L581 410L500 420L581.4 430L590 650"),
            {"darts": ["all", "right side=all"]},
            "does not lie in the edge in which the pleats begin",
        ),
    ],
)
def test_refusals(seam: str, options: dict[str, Any], words: str, tmp_path: Path) -> None:
    with pytest.raises(PleatError, match=words):
        pleat(read(drawing(tmp_path, seam)), **(KNIFE | options))


def test_an_underlay_across_a_dart_that_stays_is_refused_with_what_fits() -> None:
    piece, asked = read(SKIRTS / "darted-front.svg"), KNIFE | {"lap": "sides", "fit_waist": "36cm", "hip": "hip"}
    with pytest.raises(
        PleatError, match=r"Pleat 2 .*falls across a dart there.*most that does.*darts=\"nearest\""
    ) as refused:
        pleat(piece, **asked)
    deep, most = map(float, re.search(r"underlay ([\d.]+) cm.*, and ([\d.]+) cm deep is", str(refused.value)).groups())
    assert most < deep
    narrower = f"{40 - 20 * (deep - most) - 0.5:.1f}mm"  # of a knife pleat twice as much as its depth
    assert pleat(piece, **asked | {"intake": narrower}).worst_miss < 2e-5
    assert pleat(piece, **asked | {"darts": "nearest"}).worst_miss < 2e-5
