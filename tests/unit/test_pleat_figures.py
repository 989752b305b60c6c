"""The figures of every pleat, from a file as from memory, against what can be worked out on paper."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from pleatsvg import api, pleat, read, write
from pleatsvg.cli import main
from pleatsvg.proof.figures import Proof
from pleatsvg.result.figures import Ends, PleatFigures, intake_at

FIXTURES = Path(__file__).parents[2] / "fixtures"
PANEL = FIXTURES / "straight-panel.svg"


def folded(tmp_path: Path, drawing: Path, **options: object) -> Proof:
    write(pleat(read(drawing), **options), tmp_path / "flat.svg", force=True)
    (proof,) = api.fold(tmp_path / "flat.svg")
    assert proof.holds
    return proof


def tops(pleats: tuple[PleatFigures, ...], name: str) -> list[float | None]:
    return [getattr(one, name).top for one in pleats]


@pytest.mark.parametrize(("lap", "order"), [("left", [0, 30, 60]), ("right", [60, 30, 0])])
def test_knife_pleats_on_a_panel(lap: str, order: list[float], tmp_path: Path) -> None:
    """Lines at 150, 250, 350, 450 of a panel 600 wide, 6 cm each: cumulative places 150 + 160 k on the flat piece (D)."""
    pleats = folded(tmp_path, PANEL, kind="knife", intake="6cm", lap=lap).pleats
    assert tops(pleats, "from_edge") == pytest.approx([150, 250, 350, 450], abs=1e-4)
    assert tops(pleats, "spacing") == pytest.approx([100, 100, 100, 150], abs=1e-4)
    assert tops(pleats, "intake") == pytest.approx([60] * 4, abs=1e-4)
    for k, one in enumerate(pleats):
        at = {line.role: line.from_edge.top for line in one.lines}
        begins = 150 + 160 * k
        placed = [at["placement-line"], at["inner-fold-line"], at["fold-line"]]
        assert placed == pytest.approx([begins + step for step in order], abs=1e-4)


def test_spaces_add_up_to_the_finished_width(tmp_path: Path) -> None:
    """First place, spaces and faces cover the finished top and hem (D)."""
    for options in ({"kind": "box", "depth": "2cm", "face": "3cm"}, {"kind": "inverted", "intake": "8cm"}):
        pleats = folded(tmp_path, PANEL, **options).pleats
        for end in ("top", "hem"):
            total = getattr(pleats[0].from_edge, end)
            total += sum(getattr(one.spacing, end) + getattr(one.face, end) for one in pleats)
            assert total == pytest.approx(600, abs=1e-4)


def test_they_are_the_spaces_that_measure_tells(tmp_path: Path) -> None:
    """On a curved waist and hem; README tells 85.8 | 95 | 95.1 | 85.7 and 125 | 135.2 | 135.2 | 125.1."""
    drawing = FIXTURES / "skirt-front.svg"
    measured = api.measure(read(drawing))
    pleats = folded(tmp_path, drawing, kind="knife", intake="6cm", lap="left", allowance="15mm").pleats
    for end, spaces in (("top", measured.top_spaces), ("hem", measured.hem_spaces)):
        first = getattr(pleats[0].from_edge, end)
        assert [first, *[getattr(one.spacing, end) for one in pleats]] == pytest.approx(list(spaces), abs=2e-3)


def test_a_stack_of_a_tapered_pleat(tmp_path: Path) -> None:
    pleats = folded(tmp_path, PANEL, kind="inverted", intake="8cm", hem_intake="10cm", stack=2).pleats
    assert [one.stack for one in pleats] == [2] * 4
    assert [one.intake for one in pleats] == [
        Ends(pytest.approx(80, abs=0.01), pytest.approx(100, abs=0.01)) for _ in range(4)
    ]


def test_a_kick_pleat_has_no_place_at_the_top(tmp_path: Path) -> None:
    pleats = folded(tmp_path, PANEL, kind="kick", intake="8cm", height="15cm").pleats
    assert [one.from_edge.top for one in pleats] == [None] * 4
    assert [one.from_edge.hem for one in pleats] == pytest.approx([150, 250, 350, 450], abs=1e-4)


def test_a_half_piece_is_measured_from_its_fold_edge(tmp_path: Path) -> None:
    """Lines at 150 and 250 from the left side, which is the fold edge."""
    options = {"kind": "knife", "intake": "4cm", "lap": "sides", "slash": ["slash lines 1", "slash lines 2"]}
    left = folded(tmp_path, PANEL, fold_edge="left side", **options).pleats
    assert tops(left, "from_edge") == pytest.approx([150, 250], abs=1e-4)
    assert tops(left, "spacing") == pytest.approx([100, 350], abs=1e-4)
    right = folded(tmp_path, PANEL, fold_edge="right side", **options).pleats
    assert tops(right, "from_edge") == pytest.approx([150, 250], abs=1e-4)
    assert tops(right, "spacing") == pytest.approx([100, 350], abs=1e-4)


def test_parts_are_measured_laid_together(tmp_path: Path) -> None:
    """A separate underlay changes nothing of where the lines lie."""
    options = {"kind": "inverted", "intake": "12cm", "allowance": "15mm", "slash": ["slash lines 2"]}
    whole = folded(tmp_path, PANEL, **options).pleats
    apart = folded(tmp_path, PANEL, underlay="separate", **options).pleats
    assert tops(apart, "from_edge") == pytest.approx(tops(whole, "from_edge"), abs=1e-4)
    assert [line.from_edge.top for line in apart[0].lines] == pytest.approx(
        [line.from_edge.top for line in whole[0].lines], abs=1e-4
    )


def test_of_several_passes_each_has_its_own(tmp_path: Path) -> None:
    write(pleat(read(PANEL), kind="knife", intake="4cm", lap="left"), tmp_path / "one.svg")
    proof = folded(
        tmp_path, tmp_path / "one.svg", kind="tuck", intake="2cm", lap="down", at=["20cm"], along="left side"
    )
    assert [(one.pass_, one.number, one.kind) for one in proof.pleats] == [
        *[(1, number, "knife") for number in range(1, 5)],
        (2, 5, "tuck"),
    ]
    assert proof.pleats[-1].from_edge.top == pytest.approx(200, abs=1e-4)
    assert [one.from_edge.top for one in proof.pleats[:4]] == pytest.approx([150, 250, 350, 450], abs=1e-4)


def test_memory_and_file_give_the_same(tmp_path: Path) -> None:
    result = pleat(read(FIXTURES / "kilt-apron.svg"), kind="knife", intake="10cm", lap="right")
    write(result, tmp_path / "flat.svg")
    assert api.figures(result) == api.fold(tmp_path / "flat.svg")[0].pleats
    for fact, one in zip(result.facts, api.figures(result), strict=True):
        assert (one.intake.top, one.intake.hem) == pytest.approx((fact.intake_top, fact.intake_hem), abs=1e-5)


def test_json_has_them(tmp_path: Path) -> None:
    proof = folded(tmp_path, PANEL, kind="knife", intake="6cm", lap="left")
    told = CliRunner().invoke(main.app, ["fold", str(tmp_path / "flat.svg"), "--json"])
    pleats = json.loads(told.stdout)["pleats"]
    assert [one["from_edge_top_mm"] for one in pleats] == tops(proof.pleats, "from_edge")
    assert pleats[0]["lines"][0] == {
        "class": "placement-line",
        "folds": [2],
        "flat_from_edge_top_mm": proof.pleats[0].lines[0].from_edge.top,
        "flat_from_edge_hem_mm": proof.pleats[0].lines[0].from_edge.hem,
    }


def test_a_table_of_the_marks_along_the_top_needs_no_geometry(tmp_path: Path) -> None:
    """What a command that lists them would print."""
    proof = folded(tmp_path, PANEL, kind="box", depth="2cm", slash=["slash lines 1"])
    table = io.StringIO()
    rows = csv.writer(table)
    for one in proof.pleats:
        for line in one.lines:
            rows.writerow([one.number, one.kind, line.role, f"{line.from_edge.top:.1f}"])
    assert table.getvalue().split() == [
        "1,box,placement-line,130.0",
        "1,box,inner-fold-line,150.0",
        "1,box,fold-line,170.0",
        "1,box,fold-line,210.0",
        "1,box,inner-fold-line,230.0",
        "1,box,placement-line,250.0",
    ]


def test_intake_is_the_sum_of_the_straight_steps() -> None:
    """A double inverted pleat: 10 + 10 to either side; and nothing at a hinge."""
    assert intake_at(100 + 0j, [80, 90, 110, 120]) == pytest.approx(40)
    assert intake_at(100 + 0j, [100, 100]) == 0
    assert intake_at(0j, [3 + 4j]) == pytest.approx(5)


@pytest.mark.parametrize("on_right", [True, False])
def test_half_a_shaped_pleat_on_the_fold_edge_leaves_no_space_there(tmp_path: Path, on_right: bool) -> None:
    """Closed, its fold comes to lie a hair behind that edge; the space was counted all round the piece from there."""

    def x(at: int) -> int:
        return at if on_right else 500 - at

    (tmp_path / "half.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="900mm" viewBox="0 0 600 900">'
        f'<path id="seam" d="M{x(60)},50H{x(400)}V700H{x(40)}L{x(30)},250Z"/><path id="hip" d="M{x(30)},250H{x(400)}"/>'
        f'<path id="fold edge" d="M{x(400)},50V700"/><path id="slash 1" d="M{x(200)},40V710"/>'
        f'<path id="slash 2" d="M{x(400)},40V710"/></svg>',
        encoding="utf-8",
    )
    asked = {"kind": "inverted", "intake": "8cm", "fit_waist": "28cm", "hip": "hip"}
    one, other = folded(tmp_path, tmp_path / "half.svg", **asked).pleats
    own, spaces = (
        (other.spacing, [one.from_edge, one.spacing]) if on_right else (one.from_edge, [one.spacing, other.spacing])
    )
    assert (own.top, own.hip, own.hem) == pytest.approx((0, 0, 0), abs=0.001)
    assert sum(ends.top or 0 for ends in spaces) == pytest.approx(280, abs=0.001)
    assert sum(ends.hip or 0 for ends in spaces) == pytest.approx(370, abs=0.001)
