"""Fitted pleats against figures from books and from practice."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from pleatsvg import fold, pleat, read, write
from pleatsvg.errors import FitError
from pleatsvg.plan.asked import asked_from
from pleatsvg.plan.solve import answered
from pleatsvg.plan.waist import waist_of

INCH = 25.4


def _page(seam: str, lines: list[tuple[str, float, float, float]], more: str = "") -> str:
    slashes = "".join(
        [f'<path id="{name}" d="M {top:.6f},80 L {hem:.6f},{bottom:.6f}"/>' for name, top, hem, bottom in lines]
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="1600mm" height="1200mm" viewBox="0 0 1600 1200">'
        f'<path id="seam" d="{seam}"/>{slashes}{more}</svg>'
    )


def test_a_half_skirt_takes_up_what_the_book_says(tmp_path: Path) -> None:
    """Conover, vol. 5, pp. 63-69: 44 in of cloth to 14 in at the waist, 20 at the hip 6 in down and
    27 1/2 at the hem, so 30, 24 and 16 1/2 in go into eight pleats; the front one takes 2 1/8 at every level, the seven
    others 3.98 at the waist and 3 1/8 at the hip."""
    hip, hem = (24 - 2.125) / 7, (16.5 - 2.125) / 7
    assert pytest.approx(3.98, abs=0.005) == (30 - 2.125) / 7
    # The finished piece by the widths at hip and hem, the sides going straight on up to the waist.
    down, length = 6 * INCH, 26 * INCH
    top = 20 * INCH - 7.5 * INCH * 6 / 20
    left, right = 400.0 - top / 2, 400.0 + top / 2
    low = 27.5 * INCH / 2
    seam = f"M {left},100 L {right},100 L {400 + low},{100 + length} L {400 - low},{100 + length} Z"
    lines = []
    for k in range(8):
        share = (k + 0.5) / 8 - 0.5
        above = 20 / length
        grow = 2 * (low - top / 2)
        lines.append(
            (
                "slash front" if k == 0 else f"slash {k}",
                400 + share * (top - above * grow),
                400 + share * (2 * low + above * grow),
                100 + length + 20,
            )
        )
    source = tmp_path / "half skirt.svg"
    source.write_text(_page(seam, lines), encoding="utf-8")
    others = {"kind": "knife", "lap": "right", "intake": f"{hip:.6f}in", "hem_intake": f"{hem:.6f}in"}
    front = {"kind": "knife", "lap": "right", "intake": "2.125in", "slash": "slash front", "weight": 0}
    result = pleat(read(source), pleats=[front, others], fit_waist="14in", fit_length=f"{down:.4f}mm")
    assert result.top_lengths[0] == pytest.approx(355.6, abs=1e-5)
    taken = [fact.intake_top / INCH for fact in result.facts]
    assert taken[0] == pytest.approx(2.125, abs=1e-4)
    assert taken[1:] == pytest.approx([3.98] * 7, abs=0.02)
    assert [fact.intake_hem / INCH for fact in result.facts] == pytest.approx([2.125, *[hem] * 7], abs=1e-4)
    assert sum(taken) == pytest.approx(30, abs=0.1)


def test_a_kilt_from_hip_to_waist(tmp_path: Path) -> None:
    """Kilt practice: 26 pleats an inch apart at the hip, 5 in less at the waist: from the first fold to the last 25 x 21/26 in,
    each pleat tapered by 5/26 in over the fell of 8 in."""
    width, length = 34 * INCH, 24 * INCH
    seam = f"M 100,100 L {100 + width},100 L {100 + width},{100 + length} L 100,{100 + length} Z"
    lines = [(f"slash {k}", 100 + (4.5 + k) * INCH, 100 + (4.5 + k) * INCH, 120 + length) for k in range(26)]
    source, out = tmp_path / "kilt.svg", tmp_path / "flat.svg"
    source.write_text(_page(seam, lines), encoding="utf-8")
    result = pleat(read(source), kind="knife", lap="left", intake="4in", fit_waist="29in", fit_length="8in")
    write(result, out)
    (proof,) = fold(out)
    assert proof.failures == ()
    spaces = [pleat.spacing for pleat in proof.pleats[:-1]]
    assert sum([space.top or 0.0 for space in spaces]) == pytest.approx(25 * 21 / 26 * INCH, abs=0.1)
    assert [space.hem for space in spaces] == pytest.approx([INCH] * 25, abs=1e-5)
    fitted = result.laid.fitted
    assert fitted is not None
    leans = [math.degrees(lean) for lean in fitted.closed.leans]
    assert leans == pytest.approx([math.degrees(math.atan(5 / 26 / 2 / 8))] * 26, abs=0.01)  # 0.69 degrees


def test_a_half_skirt_is_planned_as_the_book_does() -> None:
    """Conover, vol. 5, pp. 63-69, the same half skirt: 20 in at the hip, 14 at the waist 6 in above, out of 44 in of cloth;
    seven pleats and a front one of 2 1/8: 3 1/8 in each at the hip, 3.98 at the waist."""
    plan = answered(
        asked_from(
            {
                "finished": "20in",
                "fit_waist": "14in",
                "fit_length": "6in",
                "flat": "44in",
                "count": 7,
                "apart": ["2.125in"],
                "kind": "knife",
            }
        )
    ).plan
    waist = waist_of(plan)
    assert waist is not None
    assert plan.intake / INCH == pytest.approx(3.125)
    assert waist.intake / INCH == pytest.approx(3.98, abs=0.005)
    assert plan.count * waist.intake + 2.125 * INCH == pytest.approx(30 * INCH)


@pytest.mark.parametrize("said", ["share", "weight"])
def test_eight_inches_are_shared_as_the_book_says(said: str, tmp_path: Path) -> None:
    """Erwin, p. 148: between hip and waist four pleats take in 1/4 in each and fourteen 1/2 in each, 8 in altogether."""
    assert 4 * 0.25 + 14 * 0.5 == 8
    width, length = 44 * INCH, 28 * INCH
    seam = f"M 100,100 L {100 + width},100 L {100 + width},{100 + length} L 100,{100 + length} Z"
    lines = [
        (f"slash {k}", 100 + (3.5 + 2.2 * k) * INCH, 100 + (3.5 + 2.2 * k) * INCH, 120 + length) for k in range(18)
    ]
    source = tmp_path / "skirt.svg"
    source.write_text(_page(seam, lines), encoding="utf-8")
    few, many = ({"share": "1/4in"}, {"share": "1/2in"}) if said == "share" else ({"weight": 1}, {"weight": 2})
    knife = {"kind": "knife", "lap": "left", "intake": "2in"}
    ends = [f"slash {k}" for k in (0, 1, 16, 17)]
    result = pleat(
        read(source), pleats=[knife | few | {"slash": ends}, knife | many], fit_waist="36in", fit_length="8in"
    )
    fitted = result.laid.fitted
    assert fitted is not None
    assert [share / INCH for share in fitted.shares] == pytest.approx([0.25] * 2 + [0.5] * 14 + [0.25] * 2)
    taken = [fact.intake_top / INCH - 2 for fact in result.facts]
    assert taken == pytest.approx([0.25] * 2 + [0.5] * 14 + [0.25] * 2, abs=0.01)
    assert sum(taken) == pytest.approx(8, abs=0.01)
    if said == "share":
        with pytest.raises(FitError, match="The shares of the pleats come to 8 in"):
            pleat(
                read(source), pleats=[knife | few | {"slash": ends}, knife | many], fit_waist="35in", fit_length="8in"
            )


@pytest.mark.parametrize(("wide", "told"), [(1.375, False), (1.625, True)])
def test_rarely_more_than_an_inch_and_a_half_in_a_dart(wide: float, told: bool, tmp_path: Path) -> None:
    """USDA, Fitting Dresses (1946): a dart rarely takes in over 1 1/2 in. A pleat that takes in a wider one is cautioned."""
    half = wide * INCH / 2
    seam = f"M 100,100 H {300 - half} L 300,250 L {300 + half},100 H 500 V 700 H 100 Z"
    source = tmp_path / "skirt.svg"
    source.write_text(_page(seam, [("slash", 300, 300, 720)]), encoding="utf-8")
    result = pleat(read(source), kind="inverted", intake="4in", darts="nearest")
    assert ("a bulge is left at the shaping level" in " ".join(result.remarks)) == told
    fitted = result.laid.fitted
    assert fitted is not None
    assert fitted.shares == pytest.approx([wide * INCH])
