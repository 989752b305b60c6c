"""A dart is closed and its angle opened at slash lines to its point.

What stands in a file is held against the drawing turned by hand: before the first line all lies as drawn, beyond line j it is
turned about the dart's point by the shares of the lines up to there, and where the dart was the two sides meet. The referee
folds every file. Lengths in mm.
"""

from __future__ import annotations

import cmath
import html
import itertools
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from pleatsvg import fold, pleat, read, write
from pleatsvg.api import cards, worksheet
from pleatsvg.errors import FitError, PleatError, RequestError, SlashError
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.measuring import measured
from pleatsvg.pleated import PleatedPiece
from tests.referee import foldback

POINT = 150 + 300j
TRUED = (
    "M30 470V100C65 98 95 75 100 30L220 62C210 120 225 165 270 185V462"
    "C240 466.5 199.87 470.993 165 474{}135 474C100.13 470.993 65 470 30 470Z"
)
WAIST = TRUED.format("L150 300L")
"""A bodice front with a waist dart: 30 wide, 174 deep, its legs alike and square to the waist."""

SIDE = "M30 470V100C65 98 95 75 100 30L220 62C210 120 225 165 270 185V234L160 252L270 270V462C200 471 110 470 30 470Z"
SHOULDER = ("M140 40.667L150 300", "M160 46L150 300", "M180 51.333L150 300")
DOWN = ("M130 471L158 256", "M158 470.6L160 252")


def drawing(folder: Path, seam: str, lines: tuple[str, ...], more: str = "") -> FinishedPiece:
    slashes = "".join(f'<path id="slash {k}" d="{d}"/>' for k, d in enumerate(lines, 1))
    path = folder / "bodice.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="600mm" viewBox="0 0 400 600">'
        f'<g fill="none" stroke="#000"><path id="seam" d="{seam}"/>{slashes}{more}</g></svg>'
    )
    return read(path)


def made(folder: Path, piece: FinishedPiece, **options: Any) -> tuple[PleatedPiece, Path]:
    result = pleat(piece, **{"pivot": "dart", **options})
    out = folder / "flat.svg"
    write(result, out, force=True)
    assert result.worst_miss < 0.001
    foldback.assert_true(out)
    (proof,) = fold(out)
    assert proof.holds, proof.failures
    return result, out


def ring_of(out: Path, name: str = "seam-line") -> np.ndarray:
    """A closed line of a file as drawn, every curve as chords within 0.0002 mm; read by the referee's reader."""
    from lxml import etree

    root = etree.fromstring(out.read_bytes())
    (found,) = [e for e in root.iter("{http://www.w3.org/2000/svg}path") if name in (e.get("class") or "").split()]
    ((points, closed),) = foldback.read_path(found.get("d"))
    assert closed
    return np.asarray(points)


def lower_left(ring: np.ndarray) -> complex:
    return complex(ring[np.argmin(abs(ring - complex(ring.real.min(), ring.imag.max())))])


KINDS: dict[str, dict[str, Any]] = {
    "knife": {"kind": "knife", "lap": "left"},
    "other lap": {"kind": "knife", "lap": "right"},
    "inverted": {"kind": "inverted"},
    "double": {"kind": "knife", "lap": "right", "stack": 2},
    "tuck": {"kind": "tuck", "lap": "right"},
    "released": {"kind": "tuck", "lap": "left", "stitched": "10cm"},
    "pin tuck": {"kind": "pin-tuck", "lap": "left"},
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("allowance", ["", "15mm"])
def test_beyond_every_line_all_is_turned_about_the_point(kind: str, allowance: str, tmp_path: Path) -> None:
    piece = drawing(tmp_path, WAIST, SHOULDER)
    _, out = made(tmp_path, piece, **KINDS[kind], **({"allowance": allowance} if allowance else {}))
    ring = ring_of(out)
    flat = shapely.LinearRing(foldback._xy(ring))
    shift = lower_left(ring) - (30 + 470j)  # the first panel lies as it was drawn
    angle = abs(cmath.phase((135 + 474j - POINT) / (165 + 474j - POINT)))
    assert math.degrees(angle) == pytest.approx(2 * math.degrees(math.atan(15 / 174)), abs=1e-9)

    def turned(z: complex, lines: int) -> shapely.Point:
        w = POINT + (z - POINT) * cmath.exp(1j * angle * lines / 3) + shift
        return shapely.Point(w.real, w.imag)

    on_shoulder = [100 + 30j + (120 + 32j) * t for t in (0.15, 0.6, 0.9)]
    # Left of the first line, right of the last; all else on the seam beyond the last.
    kept = [30 + 250j, 100 + 30j, on_shoulder[0], 30 + 100j, 135 + 474j]
    for z in kept:
        assert flat.distance(turned(z, 0)) < 0.001
    for z in (on_shoulder[2], 220 + 62j, 270 + 185j, 270 + 300j, 270 + 462j, 165 + 474j):
        assert flat.distance(turned(z, 3)) < 0.001
    if kind in ("tuck", "released", "pin tuck"):  # between two tucks something is seen and drawn as it is
        assert flat.distance(turned(100 + 30j + (120 + 32j) * 0.41, 1)) < 0.001
    # The dart is closed: its two mouths are one place, and its point lies inside, on no edge.
    assert turned(165 + 474j, 3).distance(turned(135 + 474j, 0)) < 1e-6
    assert flat.distance(turned(POINT, 0)) > 50


def test_lines_share_the_angle_as_they_are_asked_to(tmp_path: Path) -> None:
    tuck = {"kind": "tuck", "lap": "left"}
    piece = drawing(tmp_path, WAIST, SHOULDER)
    angle = 2 * math.atan(15 / 174)
    far = [abs(complex(x, 30 + (x - 100) * 32 / 120) - POINT) for x in (140, 160, 180)]

    def opened(*runs: dict[str, Any]) -> list[float]:
        result, _ = made(tmp_path, piece, pleats=[tuck | run for run in runs])
        # 2 |QA| sin(a / 2) is taken up where a opens.
        taken = zip(result.facts, far, strict=True)
        return [2 * math.asin(fact.intake_top / (2 * length)) for fact, length in taken]

    assert opened({"slash": "slash 2", "weight": 2}, {}) == pytest.approx([angle / 4, angle / 2, angle / 4], abs=1e-5)
    shares = opened({"slash": "slash 1", "share": "20mm"}, {"slash": "slash 3", "weight": 3}, {})
    first = 2 * math.asin(10 / far[0])
    assert shares == pytest.approx([first, (angle - first) / 4, (angle - first) * 3 / 4], abs=1e-5)
    told = " ".join(pleat(piece, pivot="dart", pleats=[tuck | {"slash": "slash 2", "weight": 2}, tuck]).remarks)
    assert "opens in 3 shares of 2.46, 4.93, 2.46 degrees" in told
    named = drawing(
        tmp_path,
        WAIST,
        (),
        "".join(f'<path id="{n}" d="{d}"/>' for n, d in zip(("slash 1 weight 2", "slash 2"), SHOULDER, strict=False)),
    )
    result = pleat(named, pivot="dart", **tuck)
    assert result.facts[0].intake_top > 1.9 * result.facts[1].intake_top


def test_a_share_where_no_dart_opens_is_refused(tmp_path: Path) -> None:
    tuck = {"kind": "tuck", "lap": "left"}
    piece = drawing(tmp_path, WAIST, (*SHOULDER, "M70 20V480"))
    pleats = [tuck | {"slash": "slash 4", "intake": "1cm", "share": "1cm"}, tuck]
    with pytest.raises(FitError, match="The share of pleat 1 at 'slash 4' is given where no dart opens"):
        pleat(piece, pivot="dart", pleats=pleats)


@pytest.mark.parametrize(
    ("runs", "said"),
    [
        (({"share": "20mm"},), r"The shares at 'slash 1', 'slash 2' and 'slash 3' are .* open 13\.\d+ degrees"),
        (({"slash": "slash 1", "share": "60mm"}, {}), "and other lines share it"),
        (({"slash": "slash 1", "weight": 0}, {}), "is to open nothing of the dart in the lower edge"),
    ],
)
def test_shares_that_do_not_come_to_the_dart_are_refused(
    runs: tuple[dict[str, Any], ...], said: str, tmp_path: Path
) -> None:
    with pytest.raises(FitError, match=said):
        pleat(
            drawing(tmp_path, WAIST, SHOULDER),
            pivot="dart",
            pleats=[{"kind": "tuck", "lap": "left"} | run for run in runs],
        )


@pytest.mark.parametrize(
    ("seam", "lines", "options"),
    [
        (WAIST, SHOULDER, {"kind": "tuck", "lap": "left"}),
        (WAIST, SHOULDER[1:2], {"kind": "inverted"}),
        (SIDE, DOWN, {"kind": "knife", "lap": "left"}),
        (SIDE, DOWN[:1], {"kind": "tuck", "lap": "right"}),
        (SIDE, ("M160 46L160 250",), {"kind": "knife", "lap": "right"}),
        (SIDE, ("M30 260L158 252",), {"kind": "tuck", "lap": "down"}),  # from the centre front, across
    ],
)
def test_seams_keep_their_sewn_lengths(seam: str, lines: tuple[str, ...], options: Any, tmp_path: Path) -> None:
    """What a line takes up at its seam is all that is added, measured on the file: perimeters, and the length of both edges."""
    piece = drawing(tmp_path, seam, lines)
    result, out = made(tmp_path, piece, **options)
    whole = piece.outline.distance(0.0, len(piece.outline))
    (dart,) = piece.outline.darts
    sewn = whole - piece.outline.distance(dart.start, dart.end)
    flat = shapely.LinearRing(foldback._xy(ring_of(out))).length
    pleated = [lengths for lengths in (result.top_lengths, result.hem_lengths) if lengths[1] - lengths[0] > 1e-6]
    assert len(pleated) == 1
    assert flat - sewn == pytest.approx(pleated[0][1] - pleated[0][0], abs=0.02)
    kept = [lengths for lengths in (result.top_lengths, result.hem_lengths) if lengths not in pleated]
    assert kept[0][0] == pytest.approx(kept[0][1], abs=1e-9)


@pytest.mark.parametrize(
    "lines",
    [
        ("M60 470L150 300", "M240 468L150 300"),
        ("M30 300L150 300", "M270 300L150 300"),
        ("M60 470L150 300", "M150 40L150 300", "M240 468L150 300"),
        ("M110 34L150 300", "M180 51L150 300", "M240 468L150 300"),
    ],
)
def test_a_dart_may_open_on_several_sides(lines: tuple[str, ...], tmp_path: Path) -> None:
    """Lines lead from its point to any parts of the seam; the way between two of them may be most of the way round."""
    piece = drawing(tmp_path, WAIST, lines)
    result, out = made(tmp_path, piece, kind="inverted", allowance="1cm")
    assert shapely.LinearRing(foldback._xy(ring_of(out, "cut-line"))).is_simple
    whole = piece.outline.distance(0.0, len(piece.outline))
    (dart,) = piece.outline.darts
    sewn = whole - piece.outline.distance(dart.start, dart.end)
    added = [abs(flat - finished) for finished, flat in (result.top_lengths, result.hem_lengths)]
    assert shapely.LinearRing(foldback._xy(ring_of(out))).length - sewn == pytest.approx(max(added), abs=0.02)
    if len({line for line in lines if "M150 40" in line or "M30 300" in line or "M110" in line}) == 1:
        with pytest.raises(FitError, match="one lap is said for all"):
            pleat(piece, kind="tuck", lap="left", pivot="dart")


def test_words_behind_a_point_lie_by_their_own_lines(tmp_path: Path) -> None:
    """Led together behind the point, those of lines that fan widely lay 10 mm beside their lines, and `fold` said so."""
    lines = ("M30 256L150 300", "M30 277L150 300", "M30 299L150 300")
    made(tmp_path, drawing(tmp_path, WAIST, lines), kind="tuck", lap="up")
    wide = TRUED.format("L150 300L").replace("165 474", "178 474").replace("135 474", "122 474")
    made(tmp_path, drawing(tmp_path, wide, ("M115 34L150 300", "M150 43L150 300", "M190 54L150 300")), kind="inverted")


def test_the_intake_is_the_chord_of_its_share(tmp_path: Path) -> None:
    """2 m |AQ| sin(a / 2m), m half the depths that a list takes: 1 for a knife pleat, 2 for an inverted one or a double."""
    piece = drawing(tmp_path, WAIST, SHOULDER[:2])
    ends = [140 + 40.6666666j, 160 + 46j]
    for options, m in ((KINDS["knife"], 1), (KINDS["inverted"], 2), (KINDS["double"], 2)):
        _, out = made(tmp_path, piece, **options)
        (proof,) = [foldback.prove(out)]
        share = math.atan(15 / 174)
        for intake, q in zip(proof.intakes, ends, strict=True):
            assert intake.top_mm == pytest.approx(2 * m * abs(q - POINT) * math.sin(share / (2 * m)), abs=1e-3)
            assert intake.hem_mm == 0


@pytest.mark.parametrize("allowance", [6.0, 15.0, 40.0])
@pytest.mark.parametrize("seam", ["trued", "straight", "aslant"])
def test_the_cutting_line_runs_true_over_the_closed_dart(seam: str, allowance: float, tmp_path: Path) -> None:
    """Near where the dart was it is the mitred parallel of the closed seam, by shapely."""
    drawn = {
        "trued": WAIST,
        "straight": "M30 470V100C65 98 95 75 100 30L220 62C210 120 225 165 270 185V470H165L150 300L135 470H30Z",
        "aslant": "M30 470V100C65 98 95 75 100 30L220 62C210 120 225 165 270 185V440"
        "L165.3838 473.9492L150 300L135.2 474H30Z",
    }[seam]
    piece = drawing(tmp_path, drawn, SHOULDER)
    _, out = made(tmp_path, piece, kind="tuck", lap="left", allowance=f"{allowance}mm")
    ring, cut = ring_of(out), ring_of(out, "cut-line")
    mouth = (
        {"trued": 135 + 474j, "straight": 135 + 470j, "aslant": 135.2 + 474j}[seam]
        - ((30 + 470j) if seam != "aslant" else (30 + 474j))
        + lower_left(ring)
    )
    near = shapely.Point(mouth.real, mouth.imag).buffer(2 * allowance)
    closed = shapely.Polygon(foldback._xy(ring))
    parallel = closed.buffer(allowance, join_style="mitre", mitre_limit=5, quad_segs=64).exterior
    there = shapely.LinearRing(foldback._xy(cut)).intersection(near)
    assert there.length > 3 * allowance
    off = shapely.hausdorff_distance(there, parallel.intersection(near), densify=0.01)
    assert off < 0.03
    assert shapely.LinearRing(foldback._xy(cut)).is_simple


NAMES = {
    "a notch, by its edge": (WAIST, "", ["lower edge", "hem", "dart", "dart 1", "all", "Dart"]),
    "a V": (TRUED.format("L"), '<path id="waist dart" d="M165 474L150 300L135 474"/>', ["waist dart", "dart", "Hem"]),
    "two legs": (
        TRUED.format("L"),
        '<g id="waist dart"><path d="M165 474L150 300"/><path d="M150 300L135 474"/></g>',
        ["waist dart", "lower edge"],
    ),
    "a V along a notch": (WAIST, '<path id="bust" d="M165 474L150 300L135 474"/>', ["bust", "lower edge"]),
}


@pytest.mark.parametrize("drawn", NAMES)
def test_a_dart_is_named_or_found(drawn: str, tmp_path: Path) -> None:
    seam, more, names = NAMES[drawn]
    piece = drawing(tmp_path, seam, SHOULDER, more)
    seams = set()
    for name in names:
        result, out = made(tmp_path, piece, pivot=name, kind="tuck", lap="left")
        seams.add(tuple(np.round(ring_of(out), 4)))
        assert "carried-line" not in out.read_text(), (
            "its legs lie on one another, and are no line of the piece any more"
        )
        assert sum("is closed, 30 mm wide and 9.85 degrees" in words for words in result.remarks) == 1
    assert len(seams) == 1


def test_measure_tells_of_lines_that_end_at_a_dart(tmp_path: Path) -> None:
    for seam, more in ((WAIST, ""), (TRUED.format("L"), '<path id="dart" d="M165 474L150 300L135 474"/>')):
        odd = measured(drawing(tmp_path, seam, SHOULDER, more)).odd
        assert sum("ends at the point of the dart in the lower edge: give pivot=" in words for words in odd) == 3


def test_lines_end_at_the_point_within_a_centimetre(tmp_path: Path) -> None:
    exact, _ = made(tmp_path, drawing(tmp_path, WAIST, ("M140 40.6666667L150 300",)), kind="tuck", lap="left")
    # Short of it, past it, and short of the seam: it is led to the point from where it crosses the shoulder.
    for line in ("M140 40.6666667L149.7 292.22", "M150 300L139.9 38.07", "M140.3 49.5L150.2 305.19"):
        near, _ = made(tmp_path, drawing(tmp_path, WAIST, (line,)), kind="tuck", lap="left")
        assert near.facts[0].intake_top == pytest.approx(exact.facts[0].intake_top, abs=0.1)
        assert near.pleats[0].folds[0].chord.hem == POINT


TWO = (
    "M30 185C75 165 90 120 80 62L200 30C205 75 235 98 270 100C305 98 335 75 340 30L460 62C450 120 465 165 510 185V462"
    "C480 466.5 439.87 470.993 405 474L390 300L375 474C340 471 305 470 270 470C240 470 205 471 165 474L150 300L135 474"
    "C100.13 470.993 65 467 30 462Z"
)
OVER = ("M140 46L150 300", "M160 40.667L150 300", "M380 40.667L390 300", "M400 46L390 300", "M270 90V480")


def test_a_line_may_begin_anywhere_beyond_the_seam(tmp_path: Path) -> None:
    """As a slash line elsewhere it is trimmed, however far it was drawn over the edge; but it crosses the seam once."""
    near, far = [
        made(tmp_path, drawing(tmp_path, WAIST, lines), **KINDS["tuck"])[1].read_bytes()
        for lines in (("M160 46L150 300",), ("M162.75590551181102 -24L150 300",))
    ]
    assert near == far
    with pytest.raises(SlashError, match="leaves the piece on its way to the dart"):
        slit = WAIST.replace("V462", "V380L180 350L270 400V462", 1)
        made(tmp_path, drawing(tmp_path, slit, ("M290 451.67L150 300",)), **KINDS["tuck"] | {"pivot": "dart 1"})


def test_whole_darts_that_are_not_asked_for_stay_darts(tmp_path: Path) -> None:
    piece = drawing(tmp_path, TWO, OVER)
    result, out = made(tmp_path, piece, pivot="dart 2", kind="tuck", lap="left", slash=["slash 3", "slash 4"])
    assert len(result.flat.outline.darts) == 1
    ring = ring_of(out)
    shift = complex(min(ring, key=lambda z: z.real)) - (30 + 462j)
    assert min(abs(ring - (POINT + shift))) < 1 or min(abs(ring.real - ring.real.min())) == 0
    assert "closed-dart" in out.read_text()


def test_darts_and_other_lines_go_along_in_one_job(tmp_path: Path) -> None:
    piece = drawing(tmp_path, TWO, OVER)
    runs = [
        {"slash": ["slash 1", "slash 2", "slash 3", "slash 4"], "kind": "tuck", "lap": "left"},
        {"slash": "slash 5", "kind": "inverted", "intake": "8cm"},
    ]
    result, out = made(tmp_path, piece, pivot="all", pleats=runs, allowance="15mm")
    assert [fact.request.to_point for fact in result.facts] == [True, True, False, True, True]
    assert result.hem_lengths[1] - result.hem_lengths[0] == pytest.approx(80, abs=0.01)
    assert out.read_text().count('class="closed-dart"') == 4  # each on the seam and on the cutting line


FOLD_EDGE = '<path id="fold edge" d="M30 470V100"/>'


def test_half_pieces(tmp_path: Path) -> None:
    half = drawing(tmp_path, WAIST, SHOULDER, FOLD_EDGE)
    result, _ = made(tmp_path, half, kind="tuck", lap="sides", allowance="15mm")
    whole, _ = made(tmp_path, half, kind="tuck", lap="sides", allowance="15mm", open_fold=True)
    assert len(whole.facts) == 2 * len(result.facts) == 6
    assert abs(whole.flat.outline.area) == pytest.approx(2 * abs(result.flat.outline.area), abs=0.01)


def test_what_is_drawn_on_the_piece_turns_with_its_panel(tmp_path: Path) -> None:
    more = (
        '<path id="balance line" d="M30 380H270"/><path id="trim" d="M60 440H240"/>'
        '<rect id="pocket" x="190" y="350" width="40" height="50"/><rect id="badge" x="130" y="420" width="40" height="20"/>'
        '<path id="grainline" d="M220 250V450"/>'
    )
    result, out = made(tmp_path, drawing(tmp_path, WAIST, SHOULDER, more), kind="tuck", lap="left", allowance="1cm")
    layers = {(line.name, line.layer) for line in result.carriage.lines}
    assert layers == {("balance line", 0), ("balance line", 6), ("trim", 0), ("trim", 6), ("pocket", 6)}
    assert any("'badge' lies over a dart that is closed" in words for words in result.remarks)
    # On the flat piece the two parts of each meet where the dart was.
    for name in ("balance line", "trim"):
        one, other = [line.segments for line in result.carriage.lines if line.name == name]
        assert abs(one[-1][-1] - other[0][0]) < 1e-6
    assert abs(math.degrees(cmath.phase((result.grain[1] - result.grain[0]) / 1j))) == pytest.approx(9.85, abs=0.01)
    (figure,) = [one for one in fold(out)[0].figures if one.name == "balance_lines"]
    assert figure.value < 0.001


def test_a_drawn_cutting_line_is_led_to_the_point(tmp_path: Path) -> None:
    cut = (
        '<path id="cutting line" d="M15 485V85C60 85 80 60 85 12L237 50C225 120 240 155 285 172V475C245 482 210 486 '
        '166.306 489.14L150 486 133.694 489.14C100 486 60 485 15 485Z"/>'
    )
    result, out = made(tmp_path, drawing(tmp_path, WAIST, SHOULDER, cut), kind="tuck", lap="left")
    assert result.cut_proof is not None
    assert result.cut_proof.worst < 0.001
    assert shapely.LinearRing(foldback._xy(ring_of(out, "cut-line"))).is_simple
    uneven = cut.replace("133.694 489.14", "133.2 495")
    with pytest.raises(FitError, match=r"closed, its two sides meet; up to 3\.2 mm is made even"):
        pleat(drawing(tmp_path, WAIST, SHOULDER, uneven), kind="tuck", lap="left", pivot="dart")


@pytest.mark.parametrize(
    ("start", "point", "end", "said"),
    [
        ("165 474", "150 300", "135 470", r"legs of 174.6 mm and 170.7 mm, 4 mm apart; .* up to 3.2 mm is eased"),
        ("165 474C170 420 165 350", "150 300", "135 474", r"bent by \d.*; .* 1.6 mm are straightened"),
    ],
)
def test_legs_that_cannot_be_closed_are_refused(start: str, point: str, end: str, said: str, tmp_path: Path) -> None:
    seam = WAIST.replace("165 474L150 300L135 474", f"{start} {'' if 'C' in start else 'L'}{point}L{end}")
    assert seam != WAIST
    with pytest.raises(FitError, match=said):
        pleat(drawing(tmp_path, seam, SHOULDER), kind="tuck", lap="left", pivot="dart")


def test_legs_that_differ_a_little_leave_a_step_that_is_told(tmp_path: Path) -> None:
    seam = WAIST.replace("150 300L135 474", "150 300L135 472")
    result, out = made(tmp_path, drawing(tmp_path, seam, SHOULDER), kind="tuck", lap="left", allowance="15mm")
    assert any("a step of 2 mm, since its legs differ by that" in words for words in result.remarks)
    steps = [abs(b - a) for a, b in itertools.pairwise(ring_of(out))]
    assert min(abs(step - 1.9915) for step in steps) < 0.01
    bent = WAIST.replace("165 474L150 300", "165 474C162 430 153 350 150 300")
    result, _ = made(tmp_path, drawing(tmp_path, bent, SHOULDER), kind="tuck", lap="left")
    assert any("it was closed along straight legs" in words for words in result.remarks)


TUCK: dict[str, Any] = {"kind": "tuck", "lap": "left", "pivot": "dart"}


@pytest.mark.parametrize(
    ("seam", "lines", "options", "said"),
    [
        (WAIST, SHOULDER, {**TUCK, "intake": "3cm"}, "has an intake of its own; .* follows from the angle"),
        (WAIST, SHOULDER, {"kind": "box", "pivot": "dart"}, "is a box pleat that ends at the point"),
        (WAIST, ("M60 90V470",), TUCK, "is reached by no slash line"),
        (WAIST, (*SHOULDER, "M60 90V480"), TUCK, "intake of pleat 1 at 'slash 4' is missing"),
        (WAIST, SHOULDER, {**TUCK, "pivot": "top"}, "pivot=.top. is no dart of"),
        (WAIST, SHOULDER, {**TUCK, "ring": "left side=right side"}, "both given"),
        (WAIST, SHOULDER, {**TUCK, "finish_to": "20cm"}, "both given"),
        (WAIST, SHOULDER, {**TUCK, "hem": "smooth"}, "both given"),
        (WAIST, SHOULDER, {**TUCK, "cloth_width": "90cm"}, "both given"),
        (WAIST, SHOULDER, {**TUCK, "allowance_drawn": "1cm"}, "both given"),
        (WAIST, ("M152 470L150 300",), TUCK, "runs into the dart in the lower edge"),
        (WAIST, ("M140 120L150 300",), TUCK, "stops .* short of the seam"),
        (WAIST, ("M160 46L154 180L150 300",), TUCK, "bent|straight|no slash line"),
        (TWO, OVER[:4], {**TUCK, "pivot": "lower edge"}, "could be any of 2 darts"),
        (TRUED.format("L"), SHOULDER, TUCK, "finds no dart"),
    ],
)
def test_what_cannot_be_made_is_refused(
    seam: str, lines: tuple[str, ...], options: dict[str, Any], said: str, tmp_path: Path
) -> None:
    with pytest.raises(PleatError, match=said):
        pleat(drawing(tmp_path, seam, lines), **options)


def test_without_it_a_line_to_a_dart_is_told_what_would_serve(tmp_path: Path) -> None:
    with pytest.raises(SlashError, match=r"or give pivot=.dart."):
        pleat(drawing(tmp_path, WAIST, ("M142 46L150 300",)), kind="tuck", lap="left", intake="2cm")


def test_it_is_folded_as_one_pass(tmp_path: Path) -> None:
    _, out = made(tmp_path, drawing(tmp_path, WAIST, SHOULDER), kind="tuck", lap="left")
    with pytest.raises(RequestError, match="asked to be pleated in several passes"):
        pleat(read(out), kind="pin-tuck", lap="up", intake="6mm", at=["3cm"])
    runs = [{"kind": "tuck", "lap": "left"}, {"kind": "tuck", "lap": "up", "intake": "1cm", "at": "3cm", "pass": 2}]
    with pytest.raises(RequestError, match="asked to be pleated in several passes"):
        pleat(drawing(tmp_path, WAIST, SHOULDER), pivot="dart", pleats=runs)


@pytest.mark.parametrize("spoilt", ["moved", "gone", "crease"])
def test_a_spoilt_file_does_not_fold(spoilt: str, tmp_path: Path) -> None:
    """The closed dart's line moved to another place of the waist, or taken out, or a crease turned about the point."""
    import re

    _, out = made(tmp_path, drawing(tmp_path, WAIST, SHOULDER), kind="tuck", lap="left")
    text = out.read_text()
    (line,) = re.findall(r'<path class="closed-dart" d="([^"]+)"', text)
    if spoilt == "gone":
        text = re.sub(r'<path class="closed-dart".*?/>\n', "", text)
    elif spoilt == "moved":
        mouth = re.findall(r"[\d.]+", line)[0]
        text = text.replace(line, line.replace(mouth, str(float(mouth) + 5)))
    else:
        (crease,) = re.findall(r'<path class="fold-line" d="([^"]+)"[^>]*data-pleat="2"', text)
        top = re.findall(r"[\d.]+", crease)[0]
        text = text.replace(crease, crease.replace(top, str(float(top) + 0.5)))
    assert text != out.read_text()
    (tmp_path / "spoilt.svg").write_text(text)
    with pytest.raises((foldback.CannotFoldError, AssertionError)):
        foldback.assert_true(tmp_path / "spoilt.svg")
    try:
        (proof,) = fold(tmp_path / "spoilt.svg")
    except PleatError:
        return
    assert not proof.holds


def test_what_is_printed_of_a_pleat_at_a_darts_point_says_so(tmp_path: Path) -> None:
    """Its figures ended at "the hem", and places along the seam were told of a point that lies on none."""
    piece = drawing(tmp_path, WAIST, SHOULDER)
    result, out = made(tmp_path, piece, kind="knife", lap="right")
    labels = [words.text for words in result.sheet.words if words.name == "pleat-label" and "intake" in words.text]
    assert labels
    assert all(label.split("intake ")[1].endswith("at the seam, nothing at the dart's point") for label in labels)
    (proof,) = fold(out)
    for figures in proof.pleats:
        assert figures.point == "hem"
        assert figures.intake.hem == pytest.approx(0, abs=1e-4)
        assert figures.from_edge.top is not None and figures.from_edge.hem is None
        assert all(line.from_edge.hem is None for line in figures.lines)
    assert [figures.spacing.hem is None for figures in proof.pleats] == [False, False, True]
    made_of, _ = cards(out)
    assert all(card.about.endswith("at the seam, nothing at the dart's point") for card in made_of.cards)
    assert all(card.width_words.endswith("0 mm at the point") for card in made_of.cards)
    words = html.unescape(worksheet([out])[1].decode())
    assert "at the seam, nothing at the dart's point" in words
    assert "nothing at the hem" not in words
