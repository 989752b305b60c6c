"""Fitted pleats all round: folded by `fold`, and three times round by a referee of its own, above the hip and below it.

Each pleat of a ring takes the same share of what vanishes at the waist, the one that closes it too. Lengths in mm.
"""

from __future__ import annotations

import math
import re
from contextlib import suppress
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from pleatsvg import fold, pleat, read, round_of, write
from pleatsvg.errors import PleatError
from pleatsvg.fitted.table import fitted_table
from pleatsvg.pleated import PleatedPiece
from tests.drawings.fitted_pieces import write_pieces
from tests.drawings.paper import drawing, polygon
from tests.referee.fitringback import FitRingProof, assert_fitted_ring

RING: dict[str, Any] = {"ring": "left side=right side", "run": "fan"}
KNIFE: dict[str, Any] = {**RING, "kind": "knife", "lap": "left", "intake": "6cm", "count": 6}
FIT: dict[str, Any] = {"fit_waist": "80cm", "hip": "hip"}
PANEL = polygon(40 + 30j, 1020 + 30j, 1020 + 630j, 40 + 630j)
HIP = '<path id="hip" d="M 40,230 L 1020,230"/>'


def made(folder: Path, pieces: int, **options: Any) -> tuple[PleatedPiece, FitRingProof]:
    """A ring of a front and a back, or of one panel, fitted and written; folded back by both."""
    out = folder / "flat.svg"
    if pieces == 2:
        piece = round_of([read(path) for path in write_pieces(folder)])
    else:
        (folder / "panel.svg").write_text(drawing(PANEL, {}, HIP, size=(1100, 700)))
        piece = read(folder / "panel.svg")
    result = pleat(piece, **{name: value for name, value in options.items() if value is not None})
    write(result, out, force=True)
    proof = assert_fitted_ring(out)
    (own,) = fold(out)
    assert own.holds, own.failures
    assert any("It goes all round" in note for note in own.notes)
    assert result.worst_miss < 5e-5
    return result, proof


@pytest.mark.parametrize(
    ("pieces", "options"),
    [
        (2, {"lap": "centre", "allowance": ["15mm", "hem=4cm"]}),
        (1, {"lap": "right", "intake": "40cm", "hem_intake": "38cm", "allowance": "1cm"}),
        (2, {"kind": "box", "lap": None, "intake": "10cm", "hem_intake": "12cm"}),
        (2, {"kind": "inverted", "lap": None, "intake": "16cm", "allowance": "15mm"}),
        (1, {"stack": 2, "intake": "8cm", "count": 4}),
        (1, {"shaping": "curved", "count": 3, "fit_waist": "92cm"}),
    ],
)
def test_kinds_and_laps(tmp_path: Path, pieces: int, options: dict[str, Any]) -> None:
    asked = KNIFE | FIT | options
    result, proof = made(tmp_path, pieces, **asked)
    waist = float(asked["fit_waist"][:-2]) * 10
    assert result.top_lengths[0] == pytest.approx(waist, abs=1e-6)
    assert proof.top_mm == pytest.approx(waist, abs=1e-3)
    assert set(proof.zones["above"].intakes) == set(range(1, asked["count"] + 1)), "the closing pleat too"
    assert proof.zones["below"].joins == pieces


def test_every_pleat_takes_the_same_share(tmp_path: Path) -> None:
    """On a straight panel all are alike, the one that closes the ring too: 980 - 820 shared by 8."""
    result, proof = made(tmp_path, 1, **KNIFE | FIT | {"count": 8, "fit_waist": "82cm"})
    fitted = result.laid.fitted
    assert fitted is not None
    assert fitted.shares == pytest.approx([20] * 8)
    assert fitted.closed.leans == pytest.approx([fitted.closed.leans[0]] * 8, abs=1e-12)
    assert list(proof.zones["above"].intakes.values()) == pytest.approx([proof.zones["above"].intakes[1]] * 8, abs=1e-5)
    assert list(proof.zones["below"].intakes.values()) == pytest.approx([60] * 8, abs=1e-5)
    # It takes up more at the top by what vanishes in it.
    assert proof.zones["above"].intakes[1] == pytest.approx(60 + 2 * 200 * math.tan(fitted.closed.leans[0]), abs=0.1)


def test_both_edges_of_a_join_are_sewn_alike(tmp_path: Path) -> None:
    """A join on an inner fold that bends: as long above the hip on the one part as on the other, notches meeting."""
    result, proof = made(tmp_path, 2, **KNIFE | FIT | {"kind": "inverted", "lap": None, "intake": "16cm"})
    assert proof.joins_mm < 1e-5
    for join in result.flat.joins:
        one, other = join.drawn(0), join.drawn(1)
        turn = (one[1] - one[0]) / (one[2] - one[1])
        assert abs(math.degrees(math.atan2(turn.imag, turn.real))) > 0.5, "it bends"
        lengths = [[abs(b - a) for a, b in pairwise(side)] for side in (one, other)]
        assert lengths[0] == pytest.approx(lengths[1], abs=1e-5)


def test_narrow_cloth(tmp_path: Path) -> None:
    result, proof = made(tmp_path, 1, **KNIFE | FIT | {"intake": "24cm", "cloth_width": "90cm", "allowance": "15mm"})
    assert max(cut.box[2] - cut.box[0] for cut in result.flat.cuts) <= 900 + 1e-6
    assert proof.zones["above"].joins == len(result.flat.cuts) == 3


def test_a_part_between_two_folds_of_one_pleat(tmp_path: Path) -> None:
    """Cloth so narrow that the middle layer of an inverted pleat is a part of its own: there its hip points are one."""
    asked = {**KNIFE, "hip": "hip", "kind": "inverted", "lap": None, "intake": "60cm", "count": 2}
    result, _ = made(tmp_path, 1, **asked, fit_waist="94cm", cloth_width="80cm")
    # Four layers of 15 cm to each pleat; wider at the top by what vanishes there, 2 cm in all.
    widths = [cut.box[2] - cut.box[0] for cut in result.flat.cuts]
    assert widths == pytest.approx([790, 310, 790, 310], abs=2)


def test_a_round_that_begins_where_the_top_is_joined(tmp_path: Path) -> None:
    """On narrow panels a pleat that takes in much has its joined seam reach over half of the one on which the round begins."""
    places = [f"{(k + 0.5) * 980 / 28:.4f}mm" for k in range(28)]
    own = {"kind": "knife", "lap": "left", "intake": "4cm", "run": "fan"}
    pleats = [own | {"at": places[:4], "weight": 9}, own | {"at": places[4:], "weight": 1}]
    _, proof = made(tmp_path, 1, pleats=pleats, ring=RING["ring"], hip="hip", fit_waist="94cm")
    assert proof.top_mm == pytest.approx(940, abs=1e-3)


def test_hip_lines_meet_at_the_seams(tmp_path: Path) -> None:
    front, back = write_pieces(tmp_path)
    back.write_text(back.read_text().replace("516.666666667,240", "516.666666667,244"))
    with pytest.raises(PleatError, match=r"'hip' of one piece and that of the next meet the .* 0\.4 cm apart"):
        pleat(round_of([read(front), read(back)]), **KNIFE, **FIT)


def test_cloth_that_is_drawn_flat(tmp_path: Path) -> None:
    """Flat cloth of 244 is finished to 98 at the hip, fitted to 80 at the waist, and goes round."""
    (tmp_path / "cloth.svg").write_text(drawing(polygon(0j, 2440 + 0j, 2440 + 600j, 600j), {}, size=(2500, 700)))
    asked = {**RING, "kind": "knife", "lap": "left", "count": 6, "finish_to": "98cm"}
    result = pleat(read(tmp_path / "cloth.svg"), **asked, fit_waist="80cm", fit_length="20cm")
    write(result, tmp_path / "flat.svg")
    proof = assert_fitted_ring(tmp_path / "flat.svg")
    assert (proof.top_mm, proof.zones["below"].pleats) == (pytest.approx(800, abs=1e-3), 6)
    assert result.hem_lengths == pytest.approx((980, 2440), abs=1e-4)


def dart(x: float, mouth: float, depth: float) -> str:
    return f"L{x - mouth / 2},40 L{x},{40 + depth} L{x + mouth / 2},40 "


def test_a_dart_beside_a_seam_is_shared_over_it(tmp_path: Path) -> None:
    """By the lever rule with the last pleat of the ring and the first: over the seam they lie either side of the dart."""
    seam = f"M40,40 {dart(52, 20, 120)}{dart(440, 20, 120)}L940,40 L940,640 L40,640 Z"
    (tmp_path / "panel.svg").write_text(drawing(seam, {}, size=(1000, 720)))
    asked = {**RING, "kind": "knife", "lap": "left", "intake": "6cm", "at": ["60mm", "300mm", "500mm", "700mm"]}
    result = pleat(read(tmp_path / "panel.svg"), **asked, darts="nearest")
    write(result, tmp_path / "flat.svg")
    proof = assert_fitted_ring(tmp_path / "flat.svg")
    assert proof.top_mm == pytest.approx(900 - 40, abs=1e-3), "as with its darts sewn"
    fitted = result.laid.fitted
    assert fitted is not None
    # From the last line on: 200 of seam to the end of the round, 12 to the middle of the dart, 48 more to the first line.
    first, second, third, fourth = fitted.shares
    assert first == pytest.approx(20 * 212 / 260)
    assert fourth == pytest.approx(20 * 48 / 260)
    assert (second, third) == pytest.approx((20 * 100 / 200, 20 * 100 / 200))


def test_lengths_on_the_sheet_are_those_of_one_round(tmp_path: Path) -> None:
    for fit, said in ((FIT, "80 cm"), ({}, "93.23 cm")):
        result, out = (
            pleat(round_of([read(path) for path in write_pieces(tmp_path)]), **KNIFE | fit),
            tmp_path / "o.svg",
        )
        write(result, out, force=True)
        words = re.findall(r">(?:[A-Z]+: )?([\d.]+ cm) finished", out.read_text())
        assert words[0] == said
        assert words[1] == "101.31 cm"


def test_pleats_are_counted_from_the_start_of_the_round(tmp_path: Path) -> None:
    """Folds that face the middles: hidden cloth of the first and of the last pleat reaches beyond the ends of the round."""
    result = pleat(
        round_of([read(path) for path in write_pieces(tmp_path)]), **KNIFE | FIT | {"lap": "centre", "count": 24}
    )
    out = tmp_path / "flat.svg"
    write(result, out, force=True)
    fitted = result.laid.fitted
    assert fitted is not None
    rows = fitted_table(fitted, [(fact.intake_top, fact.intake_hem) for fact in result.facts])
    (proof,) = fold(out)
    for row, told in zip(rows, proof.pleats, strict=False):
        places = (told.from_edge.top, told.from_edge.hip, told.from_edge.hem)
        assert places == pytest.approx([row.top.so_far, row.hip.so_far, row.hem.so_far], abs=5e-3), row.pleat
    assert proof.pleats[-1].spacing.top == pytest.approx(rows[-1].top.space, abs=5e-3)
    text = out.read_text()
    assert "from half-way between the last pleat and the first; so far: folded, from there" in text
    assert "to the right edge" not in text


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("sound")
    made(folder, 2, **KNIFE | FIT | {"count": 3, "fit_waist": "90cm"})
    return (folder / "flat.svg").read_text()


@pytest.mark.parametrize(
    ("wanted", "node"),
    [("fold-line", 1), ("join-line", 1)],
)
def test_a_bend_or_an_end_that_slipped_is_seen(tmp_path: Path, sound: str, wanted: str, node: int) -> None:
    out = tmp_path / "flat.svg"
    every = [one for one in re.findall(r"<path [^>]*>", sound) if f'class="{wanted}"' in one]
    element = every[1]  # the first inner fold of all is not at a join
    x, y = re.findall(r"([\d.]+),([\d.]+)", element)[node]
    moved = element.replace(f"{x},{y}", f"{float(x) + 0.1:.6f},{y}", 1)
    out.write_text(sound.replace(element, moved))
    with pytest.raises(AssertionError):
        assert_fitted_ring(out)
    holds = False
    with suppress(PleatError):  # it may be told as a line that lies where it cannot be folded along
        holds = all(proof.holds for proof in fold(out))
    assert not holds


def test_what_closes_over_itself_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PleatError, match=r"would close round by \d+ degrees, all its pleats taken together"):
        made(
            tmp_path,
            1,
            **KNIFE | FIT | {"intake": "2cm", "count": 70, "fit_waist": "30cm", "hip": None, "fit_length": "10cm"},
        )
