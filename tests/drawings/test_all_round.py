"""Pleats all round: the flat pieces of a ring, folded three times round by a referee of its own, and what is said of it.

Closed forms: a ring of n pleats has flat width finished + n x intake (NIMI p. 201); fully pleated it is three layers
everywhere, 3 x finished (NIMI pp. 203-4). A skirt with a waist of 72 is 24 pleats 3 apart with 6 intake: 216 of cloth.
Lengths in mm.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pleatsvg import fold, pleat, read, round_of, write
from pleatsvg.cli import run
from pleatsvg.errors import PleatError, RequestError
from pleatsvg.order.piece_order import order_from
from pleatsvg.pleated import PleatedPiece
from tests.drawings.paper import drawing, polygon
from tests.referee.ringback import RingProof, assert_ring, prove_ring

KNIFE: dict[str, Any] = {"kind": "knife", "lap": "left", "ring": "left side=right side"}
PANEL = polygon(40 + 30j, 760 + 30j, 760 + 630j, 40 + 630j)
HIP = '<line id="hip" x1="40" y1="230" x2="760" y2="230"/>'
GRAIN = '<line id="grainline" x1="412" y1="300" x2="412" y2="560"/>'
GORE = "M300,100 C400,120 600,120 700,100 L820,700 C640,740 360,740 180,700 Z"


def made(folder: Path, text: str, others: str = "", **options: Any) -> tuple[PleatedPiece, RingProof]:
    """A ring pleated and written; folded back by the referee, and by the program from its file."""
    source, out = folder / "drawing.svg", folder / "flat.svg"
    source.write_text(drawing(text, {}, others, size=(2000, 2000)))
    result = pleat(read(source), **KNIFE | options)
    write(result, out, force=True)
    proof = assert_ring(out)
    (own,) = fold(out)
    assert own.holds, own.failures
    assert any("It goes all round" in note for note in own.notes)
    return result, proof


def test_the_classic_job(tmp_path: Path) -> None:
    result, proof = made(tmp_path, PANEL, HIP + GRAIN, intake="6cm", count=24, allowance=("15mm", "hem=4cm"))
    assert proof.round_top_mm == pytest.approx(720, abs=1e-6)
    assert (proof.pleats, proof.joins) == (24, 1)
    assert set(proof.intakes) == set(range(1, 25)), (
        "the closing pleat too, fold and placement on either side of the join"
    )
    assert list(proof.intakes.values()) == pytest.approx([60] * 24, abs=1e-5)
    assert result.top_lengths == pytest.approx((720, 2160), abs=1e-5)
    assert abs(result.flat.outline.area) == pytest.approx(3 * 720 * 600)
    (own,) = fold(tmp_path / "flat.svg")
    assert own.flat_area / own.finished_area == pytest.approx(3), "three layers everywhere"
    tops = [chord.top.real for chord in result.lines.chords]
    gaps = [b - a for a, b in zip(tops, [*tops[1:], tops[0] + 720], strict=True)]
    assert gaps == pytest.approx([30] * 24), "over the seam too"
    (join,) = result.flat.joins
    assert result.flat.creases[join.crease].pleat == 24
    assert result.flat.creases[join.crease].role.hidden


@pytest.mark.parametrize(
    "options",
    [
        {"lap": "right"},
        {"lap": "centre"},
        {"lap": "sides"},
        {"intake": "44cm"},
        {"count": 5, "intake": "20cm", "hem_intake": "10cm"},
        {"hem_intake": "14cm", "lap": "right"},
        {"kind": "box", "lap": None, "count": 4, "intake": "24cm"},
        {"kind": "inverted", "lap": None, "count": 5, "hem_intake": "20cm"},
        {"stack": 2, "count": 6},
        {"count": None, "spacing": "12cm", "at": "1cm"},
        {"cloth_width": "90cm", "allowance": "15mm"},
        {"count": 1, "intake": "10cm"},
    ],
)
def test_kinds_laps_and_spaces(options: dict[str, Any], tmp_path: Path) -> None:
    asked = {name: value for name, value in ({"intake": "18cm", "count": 8} | options).items() if value is not None}
    result, proof = made(tmp_path, PANEL, HIP, **asked)
    assert proof.round_top_mm == pytest.approx(720, abs=1e-6)
    assert len(proof.intakes) == len(result.facts)
    assert list(proof.intakes.values()) == pytest.approx([fact.intake_top for fact in result.facts], abs=1e-4)


@pytest.mark.parametrize("width", ["90cm", "140cm"])
def test_on_narrow_cloth_every_part_fits(width: str, tmp_path: Path) -> None:
    result, proof = made(tmp_path, PANEL, intake="12cm", count=12, allowance="15mm", cloth_width=width)
    boxes = [outline.box for outline in result.flat.cuts]
    assert max(box[2] - box[0] for box in boxes) <= float(width[:-2]) * 10 + 1e-6
    whole = 2160 / (float(width[:-2]) * 10 - 30)
    assert proof.joins == len(boxes) >= whole
    assert proof.joins <= whole + 1.5, "the fewest"


@pytest.mark.parametrize(("run_", "lap"), [("fan", "right"), ("square", "centre")])
def test_a_flared_piece_with_curved_seams(run_: str, lap: str, tmp_path: Path) -> None:
    grain = '<line id="grainline" x1="500" y1="320" x2="500" y2="600"/>'
    hip = '<path id="hip" d="M258,310 C400,335 600,335 742,310"/>'
    options = {"intake": "3cm", "hem_intake": "5cm", "count": 6, "run": run_, "lap": lap}
    result, proof = made(tmp_path, GORE, hip + grain, **options, allowance="1cm")
    assert proof.round_top_mm == pytest.approx(401.678, abs=1e-2)
    assert result.cut_proof is not None
    assert result.cut_proof.worst < 0.01


def test_facing_centre_front_and_back(tmp_path: Path) -> None:
    """On one piece the pleats face the nearer of its middle and its seam; so they turn round at the sides."""
    result, _ = made(tmp_path, PANEL, intake="18cm", count=8, lap="centre")
    ways = [pleat_.request.towards for pleat_ in result.pleats]
    assert ways == [-1] * 2 + [1] * 2 + [-1] * 2 + [1] * 2


def test_a_set_of_pieces_faces_the_centre_of_each(tmp_path: Path) -> None:
    front, back = tmp_path / "front.svg", tmp_path / "back.svg"
    front.write_text(drawing(polygon(0j, 300 + 0j, 300 + 500j, 500j), {}, size=(600, 600)))
    back.write_text(drawing(polygon(10 + 10j, 430 + 10j, 430 + 510j, 10 + 510j), {}, size=(600, 600)))
    options = {**KNIFE, "intake": "4cm", "count": 14, "allowance": "1cm"}
    result = pleat(round_of([read(front), read(back)]), **options | {"lap": "centre"})
    write(result, tmp_path / "flat.svg")
    proof = assert_ring(tmp_path / "flat.svg")
    assert proof.round_top_mm == pytest.approx(720)
    assert (proof.joins, proof.pleats) == (2, 14)
    tops = [chord.top.real for chord in result.lines.chords]
    for pleat_, x in zip(result.pleats, tops, strict=True):
        middle = 150 if x < 300 else 510
        assert pleat_.request.towards == (1 if x < middle else -1)


@settings(max_examples=6, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    flare=st.floats(-20, 60),
    sag=st.floats(-25, 25),
    count=st.integers(3, 8),
    share=st.floats(0.3, 1.6),
    taper=st.floats(0.8, 1.25),
    lap=st.sampled_from(["left", "right"]),
)
def test_whatever_the_panel(
    flare: float, sag: float, count: int, share: float, taper: float, lap: str, tmp_path: Path
) -> None:
    """Symmetric panels with curved tops and hems: underlays may run on beneath the next pleat, over the seam too."""
    top, wide = 400.0, 400 + 2 * flare
    a, b, c, d = 300, 700, 700 + flare, 300 - flare
    seam = (
        f"M{a},100 C{a + 130},{100 + sag:.3f} {b - 130},{100 + sag:.3f} {b},100 L{c:.3f},500 "
        f"C{c - wide / 3:.3f},{500 + sag:.3f} {d + wide / 3:.3f},{500 + sag:.3f} {d:.3f},500 Z"
    )
    intake = 2 * share * top / count
    options = {"intake": f"{intake:.2f}mm", "hem_intake": f"{intake * taper:.2f}mm", "count": count, "run": "fan"}
    result, proof = made(tmp_path, seam, **options, lap=lap)
    assert proof.round_top_mm == pytest.approx(result.top_lengths[0], abs=1e-2)


def test_cloth_drawn_flat_is_finished_and_goes_round(tmp_path: Path) -> None:
    """From a tape measure: 72 of waist from 216 of cloth, fully pleated, closed."""
    cloth = polygon(20 + 20j, 2180 + 20j, 2180 + 620j, 20 + 620j)
    result, proof = made(tmp_path, cloth, finish_to="72cm", intake="18cm")
    assert (proof.pleats, proof.joins) == (8, 1)
    assert proof.round_top_mm == pytest.approx(720, abs=1e-5)
    assert abs(result.flat.outline.area) == pytest.approx(2160 * 600)


@pytest.mark.parametrize(
    ("text", "others", "options", "words"),
    [
        (polygon(0j, 700 + 0j, 700 + 580j, 600j), "", {}, "sides that are sewn to each other are of one length"),
        ("M0,0 L700,0 C720,200 720,400 700,600 L0,600 Z", "", {}, "The right side of 'drawing' is curved"),
        (PANEL, "", {"kind": "tuck"}, "no inner folds"),
        (PANEL, "", {"kind": "kick", "height": "20cm"}, "run from top to hem"),
        (PANEL, "", {"ends": "full"}, "a ring has no ends"),
        (PANEL, "", {"count": None, "spacing": "7cm"}, "10 pleats lie 7.2 cm apart, 11 lie 6.55 cm"),
        (PANEL, "", {"along": "left side", "run": "level"}, "all round, lines are placed along the tops"),
        (PANEL, "", {"ring": "left side=top"}, "meet at a corner"),
        (PANEL, "", {"hem": "smooth"}, "is to have a smooth hem"),
        (PANEL, '<path id="fold edge" d="M40,30 L40,630"/>', {"lap": "centre"}, "is cut on the fold"),
        (PANEL, '<path id="slash 1" d="M40,300 L760,300"/>', {"count": None, "lap": "up"}, "so round the ring"),
        (PANEL, "", {"kind": "box", "face": "50cm", "count": 2}, "overlap"),
    ],
)
def test_refusals(text: str, others: str, options: dict[str, Any], words: str, tmp_path: Path) -> None:
    asked = {"intake": "6cm", "count": 24} | options
    with pytest.raises(PleatError) as refused:
        made(tmp_path, text, others, **{name: value for name, value in asked.items() if value is not None})
    assert words in str(refused.value)


def test_a_half_piece_opened_out_goes_round(tmp_path: Path) -> None:
    half = polygon(40 + 30j, 400 + 30j, 400 + 630j, 40 + 630j)
    edge = '<path id="fold edge" d="M400,30 L400,630"/>'
    _, proof = made(tmp_path, half, edge, intake="18cm", count=8, open_fold=True)
    assert proof.round_top_mm == pytest.approx(720)


@pytest.mark.parametrize("ring", ["left side", "left side=", "left side=left side"])
def test_a_ring_names_two_sides(ring: str) -> None:
    with pytest.raises(RequestError, match="names the two sides that are sewn to each other"):
        order_from(**KNIFE | {"intake": "6cm", "ring": ring})


def is_seen(out: Path) -> bool:
    """Whether the program sees that a result is not true any more."""
    try:
        return not all(proof.holds for proof in fold(out))
    except PleatError:
        return True


@pytest.mark.parametrize(
    ("wanted", "by"),
    [
        ('class="fold-line"', 0.05),
        ('class="inner-fold-line"', 0.05),
        ('class="placement-line"', 0.05),
        ("join-line", 0.1),
    ],
)
def test_a_line_that_slipped_is_seen(wanted: str, by: float, tmp_path: Path) -> None:
    """By the program and by the referee: the last line of its class, which belongs to the closing pleat or the join."""
    made(tmp_path, PANEL, intake="6cm", count=3)
    out = tmp_path / "flat.svg"
    text = out.read_text()
    every = [match for match in re.finditer(r"<path [^>]*>", text) if wanted in match[0]]
    found = every[0] if "inner" in wanted else every[-1]  # the last inner fold is the join, told by that
    data = re.search(r' d="M ([\d.]+),', found[0])
    assert data is not None
    moved = found[0].replace(data[0], f' d="M {float(data[1]) + by:.6f},')
    out.write_text(text.replace(found[0], moved))
    assert is_seen(out)
    assert prove_ring(out).failures()


def test_a_finished_line_that_slipped_is_seen_on_the_edges_of_the_cloth(tmp_path: Path) -> None:
    """Amid its hem: no fold lies there, so that raw edges alone tell it."""
    made(tmp_path, PANEL, intake="6cm", count=3)
    out = tmp_path / "flat.svg"
    text = out.read_text()
    (data,) = re.findall(r'class="finished-line" d="([^"]*)"', text)
    nodes: list[str] = re.findall(r"-?[\d.]+,-?[\d.]+", data)
    right, left = nodes[2:4]
    (x, low), (x2, low2) = (map(float, node.split(",")) for node in (right, left))
    assert low == low2
    assert x > x2
    bump = f"L {right} L {(x + x2) / 2:.6f},{low + 0.4:.6f} L {left}"
    assert data.count(f"L {right} L {left}") == 1
    out.write_text(text.replace(data, data.replace(f"L {right} L {left}", bump)))
    said = " ".join(prove_ring(out).failures())
    assert "raw_edge_mm" in said
    assert "bare_mm" in said
    assert is_seen(out)


def test_a_ring_line_that_is_gone_is_seen(tmp_path: Path) -> None:
    made(tmp_path, PANEL, intake="6cm", count=3)
    out = tmp_path / "flat.svg"
    out.write_text(re.sub(r'<path class="ring-line"[^>]*>', "", out.read_text()))
    assert is_seen(out)


def test_a_result_that_goes_round_is_not_pleated_once_more(tmp_path: Path) -> None:
    made(tmp_path, PANEL, intake="6cm", count=3)
    with pytest.raises(PleatError):
        pleat(read(tmp_path / "flat.svg"), kind="tuck", intake="1cm", lap="up", along="left side", count=2, run="level")


def test_the_answer_in_words_and_as_data(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source = tmp_path / "panel.svg"
    source.write_text(drawing(PANEL, {}, size=(2000, 2000)))
    words = ["pleatsvg", "pleat", str(source), "-o", str(tmp_path / "out.svg"), "--kind", "knife", "--lap", "left"]
    words += ["--intake", "6cm", "--count", "24"]
    for more in ([], ["--ring", "left side=right side"], ["--ring", "left side=right side", "--json", "--force"]):
        with pytest.MonkeyPatch.context() as patch, pytest.raises(SystemExit):
            patch.setattr("sys.argv", [*words, *more])
            run()
    said = capsys.readouterr()
    assert "If these two sides are sewn to each other, --ring 'left side=right side' lets the pleats run on" in said.err
    assert (
        "all round, folded: 72 cm at the top, 72 cm at the hem; closed by one join, at the inner fold of pleat 24"
        in said.out
    )
    data = json.loads(said.out[said.out.index("{") :])
    assert data["ring"] == {
        "top_mm": pytest.approx(720),
        "hem_mm": pytest.approx(720),
        "joins": [{"number": 1, "pleat": 24}],
    }


def test_a_ring_in_a_job_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name, width in (("front", 300), ("back", 420)):
        shape = polygon(0j, width + 0j, width + 500j, 500j)
        (tmp_path / f"{name}.svg").write_text(drawing(shape, {}, size=(600, 600)))
    job = tmp_path / "job.toml"
    job.write_text(
        '[[ring]]\nname = "skirt"\ndrawing = ["front.svg", "back.svg"]\nkind = "knife"\nintake = "6cm"\nlap = "left"\n'
        'count = 8\n[[match]]\nfirst = "skirt: top"\nlength = "72cm"\ntolerance = "0.1mm"\n'
    )
    with pytest.MonkeyPatch.context() as patch, pytest.raises(SystemExit) as left:
        patch.setattr("sys.argv", ["pleatsvg", "batch", str(job), "--out", str(tmp_path / "out")])
        run()
    assert left.value.code == 0, capsys.readouterr()
    assert assert_ring(tmp_path / "out" / "skirt-pleated.svg").round_top_mm == pytest.approx(720)
    summary = json.loads((tmp_path / "out" / "summary.json").read_text())
    assert summary["matches"][0]["agrees"]


def test_a_round_that_all_but_begins_at_a_node(tmp_path: Path) -> None:
    """Finished cloth whose round began 0.00006 beside its seam, where a hair of an edge spoilt the allowance."""
    gore = read(Path(__file__).parents[2] / "fixtures" / "gore-panel.svg")
    options = {"kind": "inverted", "count": 8, "run": "grain", "allowance": "5mm", "finish_to": "100mm"}
    result = pleat(gore, **options, ring="left side=right side")
    write(result, tmp_path / "flat.svg")
    assert assert_ring(tmp_path / "flat.svg").round_top_mm == pytest.approx(100, abs=1e-2)


def test_an_allowance_that_meets_no_other_beside_a_join_is_refused(tmp_path: Path) -> None:
    """A waist so tight that the allowances on both sides of a join would lie over each other."""
    quarter = read(Path(__file__).parents[2] / "fixtures" / "circle-skirt-panel.svg")
    options = {"kind": "knife", "lap": "centre", "spacing": "36mm", "finish_to": "94mm", "ring": "left side=right side"}
    with pytest.raises(PleatError, match="meets no other beside a join"):
        pleat(quarter, **options, allowance="1in")
    assert pleat(quarter, **options, allowance="5mm").proof.worst < 0.01
