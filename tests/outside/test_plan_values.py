"""Plans against published worked examples. Marks as in the trade: R read in the source, D derived, C common practice.

NIMI is National Instructional Media Institute, *Dress Making, Trade Practical* (CITS) vol. 2, pp. 201-209. Every row is asked
as it would be typed; lengths of plans are in mm.
"""

from __future__ import annotations

from itertools import pairwise
from math import ceil
from typing import Any

import pytest

from pleatsvg.plan.asked import asked_from
from pleatsvg.plan.cloth import Cloth, cloth_for, cut_width
from pleatsvg.plan.planned import Plan
from pleatsvg.plan.solve import Answer, answered
from pleatsvg.tolerance import BULKY

INCH = 25.4


def planned(**typed: Any) -> Answer:
    return answered(asked_from(typed))


def cloth_of(plan: Plan) -> Cloth:
    cloth = cloth_for(plan)
    assert cloth is not None
    return cloth


def test_1_a_count_that_is_not_whole() -> None:
    """Finished 92, depth 4, spacing 5; cloth 90 wide, seam 2 in all, length 15 (cm). R, NIMI p. 203."""
    answer = planned(
        finished="92cm", depth="4cm", spacing="5cm", cloth_width="90cm", allowance=["sides=1cm"], length="15cm"
    )
    plan, cloth = answer.plan, cloth_of(answer.plan)
    assert plan.count == 18
    assert plan.spacing == pytest.approx(51.1, abs=0.02)
    assert plan.flat == pytest.approx(2360)
    assert "18.4 spaces: rounded down to 18" in answer.notes[-1]
    assert cloth.exact == pytest.approx(2.68, abs=0.005)
    assert [(way.name, way.strips, way.buy) for way in cloth.ways[:2]] == [("strips", 3, 450), ("hidden", 3, 450)]


def test_2_full_knife_pleats() -> None:
    """Finished 50, spacing 2.5, full: 20 pleats, 150; with two 1 cm seams 152. R, NIMI pp. 203-204."""
    plan = planned(finished="50cm", spacing="2.5cm", full=True, allowance=["1cm"]).plan
    assert (plan.count, plan.named, plan.most_layers()) == (20, "full", 3)
    assert plan.flat == pytest.approx(1500)
    assert cut_width(plan) == pytest.approx(1520)


def test_3_one_box_pleat() -> None:
    """Depth 12, finished 60: 108. R, NIMI p. 204."""
    assert planned(kind="box", finished="60cm", depth="12cm", count=1).plan.flat == pytest.approx(1080)


def test_4_one_inverted_pleat() -> None:
    """Depth 6.5, hem 66: 92 (R, NIMI p. 204); half the piece on the fold gains 13 (D)."""
    plan = planned(kind="inverted", finished="66cm", depth="6.5cm", count=1).plan
    assert plan.flat == pytest.approx(920)
    assert (plan.flat - plan.finished) / 2 == pytest.approx(130)


@pytest.mark.parametrize(
    ("typed", "count", "spacing", "flat"),
    [
        pytest.param({"depth": "3cm", "spacing": "4cm", "finished": "80cm"}, 20, 40, 2000, id="5, NIMI 2a"),
        pytest.param({"depth": "4.2cm", "count": 12, "finished": "62cm"}, 12, 51.7, 1628, id="6, NIMI 2b"),
        pytest.param({"depth": "4cm", "spacing": "4cm", "finished": "48cm"}, 12, 40, 1440, id="7, NIMI 2c"),
    ],
)
def test_5_to_7_exercises(typed: dict[str, Any], count: int, spacing: float, flat: float) -> None:
    """R and D."""
    plan = planned(**typed).plan
    assert plan.count == count
    assert plan.spacing == pytest.approx(spacing, abs=0.05)
    assert plan.flat == pytest.approx(flat)


def test_8_full_pleats_from_narrow_cloth() -> None:
    """Full, 189; cloth 114, seam 2.5, length 15: 567; 5.09, so 6 strips; 90. R and D, NIMI exercise 4."""
    plan = planned(finished="189cm", full=True, cloth_width="114cm", allowance=["sides=1.25cm"], length="15cm").plan
    cloth = cloth_of(plan)
    assert plan.flat == pytest.approx(5670)
    assert cloth.exact == pytest.approx(5.09, abs=0.005)
    assert (cloth.ways[0].strips, cloth.ways[0].buy) == (6, 900)


@pytest.mark.parametrize(
    ("depth", "spacing", "finished", "length", "wide", "seam", "count", "flat", "strips", "buy"),
    [
        (3, 3, 168, 22, 105, 1.5, 56, 504, 5, 110),
        (4.5, 5, 260, 12, 90, 2, 52, 728, 9, 108),
        (3.5, 3, 144, 10, 122, 3, 48, 480, 5, 50),
        (4.2, 4, 172.2, 48, 148, 2.5, 43, 533.4, 4, 192),
        (2.5, 4, 124, 18.5, 130, 2, 31, 279, 3, 55.5),
    ],
)
def test_9_strips_and_cloth(
    depth: float,
    spacing: float,
    finished: float,
    length: float,
    wide: float,
    seam: float,
    count: int,
    flat: float,
    strips: int,
    buy: float,
) -> None:
    """R and D, NIMI exercise 3 a to e; in cm, the seam in all per strip."""
    lengths = {"depth": depth, "spacing": spacing, "finished": finished, "length": length, "cloth_width": wide}
    answer = planned(**{name: f"{cm}cm" for name, cm in lengths.items()}, allowance=[f"sides={seam / 2}cm"])
    plan, cloth = answer.plan, cloth_of(answer.plan)
    assert plan.count == count
    assert plan.flat == pytest.approx(flat * 10)
    assert cloth.ways[0].strips == strips
    assert cloth.ways[0].buy == pytest.approx(buy * 10)


def test_10_waist_hip_and_hem_of_one_cloth() -> None:
    """Half skirt: cloth 44 in, waist 14, hip 20, hem 27.5; one pleat of 2 1/8 at every level, seven share the rest.

    R, Conover, *A Complete Course in Dressmaking* vol. 5: intake 30, 24 and 16.5 in all; D: 3.98 at the waist, 3 1/8 at hip.
    """
    plan = planned(finished="14in", flat="44in", count=7, apart=["2 1/8in"], balance=["hip=20in", "hem=27 1/2in"]).plan
    hip, hem = plan.levels()
    whole = [(plan.flat - wide) / INCH for wide in (plan.finished, hip.finished, hem.finished)]
    assert whole == pytest.approx([30, 24, 16.5])
    assert plan.intake / INCH == pytest.approx(27.875 / 7)
    assert hip.intake / INCH == pytest.approx(3.125)
    assert hem.intake / INCH == pytest.approx(14.375 / 7)


def test_11_a_kilt_drawn_in_at_the_waist() -> None:
    """Hip 42, waist 37, apron 16, reveal 1 in: 26 pleats; 21/26 at the waist; 13/16 stepped off ends 1/8 long. R and D."""
    plan = planned(finished="42in", plain="16in", spacing="1in", balance=["waist=37in"]).plan
    (waist,) = plan.levels()
    assert plan.count == 26
    assert waist.spacing / INCH == pytest.approx(21 / 26)
    assert 26 * (13 / 16) - 26 * waist.spacing / INCH == pytest.approx(1 / 8)


def test_12_eighteen_of_four_or_thirty_six_of_two() -> None:
    """Waist 68 and 4 of ease: 72; 18 pleats of 4 or 36 of 2; flat 216. R, yuzuandpear, "Pleats please"."""
    answer = planned(body="68cm", ease="4cm")
    rows = {choice.plan.count: choice.plan for choice in answer.choices}
    assert answer.plan.finished == pytest.approx(720)
    assert {18, 36} <= set(rows)
    assert [rows[n].spacing for n in (18, 36)] == pytest.approx([40, 20])
    assert [plan.flat for plan in rows.values()] == pytest.approx([2160] * len(rows))
    assert answer.plan.count == 18
    assert answer.reason


def test_13_taking_in() -> None:
    """Take in 2 in over 4 inverted pleats: 1/2 in each, 1/4 on either side. R, learntoalter."""
    plan = planned(kind="inverted", flat="30in", finished="28in", count=4).plan
    assert plan.intake / INCH == pytest.approx(0.5)
    assert plan.intake / 2 / INCH == pytest.approx(0.25)


def test_14_folds_counted_on_the_cloth() -> None:
    """Cloth 9 1/2 in, first fold at 1 in, then every 1 1/2: six 1/2 in meeting pleats; finished 3 1/2.

    R, *School Needlework*; D. What lies before the first fold and after the last pleat is half an inch plain in all.
    """
    six = planned(flat="9 1/2in", count=6, intake="1in", plain="1/2in", lap="right").plan
    folds = [mark.at / INCH for mark in six.marks() if mark.role == "fold"]
    assert six.finished / INCH == pytest.approx(3.5)
    assert six.spacing / INCH == pytest.approx(0.5)
    assert six.named == "full"
    assert [b - a for a, b in pairwise(folds)] == pytest.approx([1.5] * 5)


def test_15_tucks_told_without_their_width() -> None:
    """39 cm, gap 1.2, margins 1.5, the tuck's width left out: 30 gaps, 31 tucks. R, NIMI p. 209."""
    answer = planned(kind="tuck", finished="39cm", gap="1.2cm", margin="1.5cm")
    places = answer.plan.places()
    assert answer.plan.count == 31
    assert len(places) - 1 == 30
    assert (places[0], places[-1]) == pytest.approx((15, 375))


def test_16_tucks_rounded_up_or_to_the_nearest() -> None:
    """28 cm, gap 1.5, width 0.2, margins 2: 24 / 1.7 = 14.1. Up (R, NIMI p. 209): 16 tucks, 34.4; nearest (D): 15, 34.0."""
    answer = planned(kind="tuck", finished="28cm", gap="1.5cm", depth="2mm", margin="2cm")
    rows = {choice.plan.count: choice.plan for choice in answer.choices}
    assert answer.plan.count == 15
    assert [rows[n].flat for n in (15, 16)] == pytest.approx([340, 344])
    assert rows[16].spacing == pytest.approx(16)
    assert "14.12 spaces" in answer.notes[-1]


def test_17_six_shallow_pleats() -> None:
    """Waist 72 cm, 6 knife pleats, depth 3: 108; only full pleating gives 216. D."""
    plan = planned(finished="72cm", count=6, depth="3cm").plan
    assert (plan.flat, plan.named) == (pytest.approx(1080), "shallow")
    assert planned(finished="72cm", count=6, full=True).plan.flat == pytest.approx(2160)


def test_18_too_much_cloth_in_a_waist() -> None:
    """160 in into 26 in: intake 134 in all; 6.15 layers on average, so bulk is cautioned. R and D."""
    for choice in planned(finished="26in", flat="160in").choices:
        plan = choice.plan
        assert plan.count * plan.intake / INCH == pytest.approx(134)
        assert plan.mean_layers == pytest.approx(6.15, abs=0.005)
        assert plan.most_layers() > BULKY


@pytest.mark.parametrize("wide", [90, 110, 115, 140, 150])
def test_cloth_widths_met(wide: int) -> None:
    """Cloth is met 90, 110 to 115 and 140 to 150 cm wide (C); strips by plain division."""
    plan = planned(
        finished="72cm", count=18, full=True, cloth_width=f"{wide}cm", allowance=["15mm"], length="60cm"
    ).plan
    first = cloth_of(plan).ways[0]
    assert first.strips == ceil(216 / (wide - 3))
    assert first.buy == pytest.approx(first.strips * 630)


@pytest.mark.parametrize(("name", "wide", "high"), [("A4", 210, 297), ("A3", 297, 420)])
def test_a_sample_on_a_sheet_of_paper(name: str, wide: int, high: int) -> None:
    """ISO 216: A4 is 210 x 297 mm, A3 297 x 420. A sample cut along the long side takes a third of it, full."""
    plan = planned(flat=f"{high}mm", spacing="33mm", full=True, cloth_width=f"{wide}mm", length="100mm").plan
    assert plan.flat == pytest.approx(high)
    assert plan.finished == pytest.approx(high / 3), name
    assert [way.name for way in cloth_of(plan).ways][-1] == "along"
    assert cloth_of(plan).ways[-1].buy == pytest.approx(high)


@pytest.mark.parametrize("waist", ["26 1/8in", "26 7/8in", "27 5/8in", "28 1/2in", "29 1/2in", "30 1/2in"])
def test_waists_of_a_size_chart(waist: str) -> None:
    """ASTM D5585-11, straight, sizes 2 to 12 (R): full pleats take three times the waist, whatever their number."""
    for choice in planned(finished=waist).choices:
        assert choice.plan.flat == pytest.approx(3 * choice.plan.finished)
        assert choice.plan.spacing * choice.plan.count == pytest.approx(choice.plan.finished)
