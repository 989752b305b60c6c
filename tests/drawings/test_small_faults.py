"""Faults that a figure in the code could hide and nobody but the person at the table would meet, one test for each."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import shapely
from lxml import etree

from pleatsvg import PleatError, draw_folded, fold, pleat, read, write
from pleatsvg.cli.report.pleated import pleated_json
from pleatsvg.folded.cautions import bulk_caution
from pleatsvg.folded.stack import Thickest
from pleatsvg.folded.steps import steps_of
from pleatsvg.geometry.segment import length_of
from pleatsvg.pleated import PleatedPiece
from pleatsvg.proof.before_writing import fold_back
from pleatsvg.result.lettering import CAPITALS, Words
from pleatsvg.result.roles import Role

FIXTURES = Path(__file__).parents[2] / "fixtures"
PANEL = FIXTURES / "straight-panel.svg"


def boxed(words: Words) -> shapely.Polygon:
    return shapely.Polygon([(z.real, z.imag) for z in words.corners()])


@pytest.mark.parametrize(("layers", "warned"), [(1, False), (5, False), (6, True), (7, True)])
def test_more_than_five_layers_are_cautioned(layers: int, warned: bool) -> None:
    """As README says; six are not reached by plain pleats, whose layers are odd in number."""
    assert bool(bulk_caution(Thickest(layers, (1,), (0.5,), 0j, True))) is warned


@pytest.mark.parametrize("options", [{}, {"allowance": "15mm"}], ids=["bare", "allowance"])
def test_signs_at_the_ends_stand_clear_of_seam_and_notches(options: dict[str, str]) -> None:
    """A cross or a bar within 3 mm of the seam would be taken for part of a notch, or be sewn over."""
    result = pleat(read(FIXTURES / "skirt-front.svg"), kind="knife", intake="6cm", lap="left", **options)
    seam = shapely.LinearRing([(z.real, z.imag) for edge in result.flattened.unfolded.seam for z in edge.points[:1]])
    signs = [mark for mark in result.sheet.marks if mark.name in ("fold-end", "placement-end")]
    notches = [mark for mark in result.sheet.marks if mark.name == "notch"]
    assert len(signs) == 6
    for mark in signs:
        points = shapely.MultiPoint([(z.real, z.imag) for z in mark.points])
        assert points.distance(seam) > 3.0
        for notch in notches:
            assert points.distance(shapely.MultiPoint([(z.real, z.imag) for z in notch.points])) > 3.0


@pytest.mark.parametrize("kind", ["knife", "inverted"])
def test_words_stand_clear_of_their_line_and_of_every_other(kind: str) -> None:
    """Capitals 3 mm high need as much as half of that to either side to be read beside a line; 1.5 mm."""
    lap = {"lap": "left"} if kind == "knife" else {}
    result = pleat(read(FIXTURES / "skirt-front.svg"), kind=kind, intake="12cm", **lap)
    flat = result.flattened.unfolded
    lines = [
        shapely.LineString([(z.real, z.imag) for z in (line.top, line.hem)])
        for line in (*flat.creases, *flat.placements)
    ]
    words = [row for row in result.sheet.words if row.pleat and row.name != "stitch-label"]
    assert len(words) >= 8
    for row in words:
        capitals = boxed(row._replace(size=row.size * CAPITALS))
        near = min(capitals.distance(line) for line in lines)
        # The box's height is that of its font; its width counts the whole.
        assert near > 1.5, row.text


def test_a_seam_that_nothing_covers_is_told_as_its_length() -> None:
    """Of the folded seam 100 mm are taken away; both figures are near nothing in a sound result."""
    result = pleat(read(PANEL), kind="knife", intake="6cm", lap="left")
    flat = result.flat
    whole = fold_back(result.written.seam, flat.seam, flat.creases, flat.placements)
    assert whole.bare == pytest.approx(0, abs=1e-6)
    # The first layer runs on for 30 mm beneath the pleat, where others cover the seam; 150 mm are covered by it alone.
    gone = next(k for k, edge in enumerate(flat.seam) if not edge.layer and abs(length_of(edge.points) - 180) < 1e-6)
    rest = (*flat.seam[:gone], *flat.seam[gone + 1 :])
    proof = fold_back(result.written.seam, rest, flat.creases, flat.placements)
    assert proof.bare == pytest.approx(150, abs=1e-3)
    assert proof.raw_edges < 1e-6
    assert replace(result, proven=replace(result.proven, seam=proof)).worst_miss == pytest.approx(150, abs=1e-3)


def test_json_gives_each_figure_of_the_fold_back_its_own_name() -> None:
    """All are near nothing in a sound result, so each is given a value of its own here."""
    result = pleat(read(PANEL), kind="knife", intake="6cm", lap="left")
    proof = replace(result.proof, raw_edges=1.0, folds=2.0, bare=3.0)
    told = json.loads(pleated_json(replace(result, proven=replace(result.proven, seam=proof, earlier_miss=4.0)), PANEL))
    names = ("raw_edges_mm", "folds_on_placement_mm", "uncovered_seam_mm", "earlier_lines_mm")
    assert [told["fold_back"][name] for name in names] == [1.0, 2.0, 3.0, 4.0]
    assert told["fold_back_mm"] == 4.0


def test_words_of_the_first_pass_keep_clear_of_the_second_ones_pleats(tmp_path: Path) -> None:
    write(pleat(read(PANEL), kind="knife", intake="6cm", lap="left"), tmp_path / "one.svg")
    options = {"kind": "tuck", "intake": "2cm", "lap": "down", "along": "left side", "count": 6}
    again = pleat(read(tmp_path / "one.svg"), **options)
    assert again.earlier is not None
    lines = [
        shapely.LineString([(z.real, z.imag) for z in (line.top, line.hem)])
        for line in (*again.flat.creases, *again.flat.placements)
    ]
    assert len(again.earlier.words) >= 8
    for words in again.earlier.words:
        box = boxed(Words(words.text, words.middle, words.turn, words.size, words.tag.role))
        assert all(box.distance(line) > 0.9 for line in lines), words.text


STEPS = {
    "knife": ({"intake": "6cm", "lap": "left"}, "bring FOLD 1 onto PLACE 1; it points left (right over left)"),
    "inverted": ({"intake": "8cm"}, "bring both lines FOLD 1 onto PLACE 1, so that they meet"),
    "box": (
        {"depth": "2cm"},
        "bring FOLD 1a onto PLACE 1a and FOLD 1b onto PLACE 1b, so that they point away from each other",
    ),
    "tuck": (
        {"intake": "2cm", "lap": "left"},
        "fold along FOLD 1, wrong sides together, stitch on the two stitching lines",
    ),
    "pin-tuck": ({"intake": "4mm", "lap": "left"}, "fold along FOLD 1, wrong sides together"),
    "kick": ({"intake": "8cm", "height": "15cm"}, "bring both lines FOLD 1 onto PLACE 1, so that they meet"),
}


@pytest.mark.parametrize("kind", STEPS)
def test_steps_say_how_each_kind_is_folded(kind: str, tmp_path: Path) -> None:
    options, words = STEPS[kind]
    write(pleat(read(PANEL), kind=kind, slash=["slash lines 2"], **options), tmp_path / "flat.svg")
    panels = steps_of(fold(tmp_path / "flat.svg")[0]).panels
    assert words in panels[0].words
    others = {other for other, _ in [(w, k) for k, (_, w) in STEPS.items() if k != kind]} - {words}
    assert not any(other in panels[0].words for other in others if other not in words and words not in other)


@pytest.mark.parametrize(
    ("kind", "noun", "options"),
    [
        ("knife", "pleat", {"intake": "6cm"}),
        ("tuck", "tuck", {"intake": "2cm"}),
        ("pin-tuck", "pin tuck", {"intake": "4mm"}),
    ],
)
def test_a_false_lap_is_found_in_every_kind_that_has_one(
    kind: str, noun: str, options: dict[str, str], tmp_path: Path
) -> None:
    out = tmp_path / "flat.svg"
    write(pleat(read(PANEL), kind=kind, lap="left", **options), out)
    assert fold(out)[0].failures == ()
    out.write_text(out.read_text().replace('data-lap="left"', 'data-lap="right"'))
    assert fold(out)[0].failures[0] == f"{noun} 1 is to point right, but its fold lies on the other side"


def test_the_lap_of_a_leaning_line_is_measured_across_it(tmp_path: Path) -> None:
    """Its fold points left, square to the line; its two ends lie to the right of the inner fold's, which ends higher up."""
    drawing = tmp_path / "leaning.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="700mm" viewBox="-100 -100 600 700">'
        '<path id="seam" d="M0 0H200L466 500H-200Z"/><path id="slash-1" d="M150 0L394 360"/></svg>'
    )
    write(pleat(read(drawing), kind="knife", intake="2cm", lap="left"), tmp_path / "flat.svg")
    assert fold(tmp_path / "flat.svg")[0].failures == ()


def test_the_key_of_the_folded_picture_calls_each_fold_by_its_name(tmp_path: Path) -> None:
    """Red is the outer fold, grey the inner one, as on the pattern; in the picture's own key."""
    write(pleat(read(PANEL), kind="knife", intake="6cm", lap="left"), tmp_path / "flat.svg")
    draw_folded(fold(tmp_path / "flat.svg"), tmp_path / "seen.svg")
    (key,) = etree.parse(tmp_path / "seen.svg").xpath("//*[@id='key-2']")
    rows = {}
    look = ""
    for element in key.iter():
        if (element.get("class") or "").startswith("folded-") and element.tag.endswith("path"):
            look = element.get("class").removeprefix("folded-")
        elif element.tag.endswith("text"):
            rows.setdefault(look, element.text.casefold())
    assert "outer fold" in rows["outer-seen"] and "inner" not in rows["outer-seen"]
    assert "inner fold" in rows["inner-hidden"] and "outer" not in rows["inner-hidden"]
    inks = {e.get("class").removeprefix("folded-"): e.get("stroke") for e in key.iter() if e.get("stroke")}
    assert inks["outer-seen"] == "#b3261e"
    assert inks["inner-hidden"] != inks["outer-seen"]


def test_every_part_of_this_has_a_result_to_look_at() -> None:
    """So that the tests above cannot pass on nothing."""
    result = pleat(read(PANEL), kind="inverted", intake="8cm")
    assert isinstance(result, PleatedPiece)
    assert {line.role for line in result.flat.creases} == {Role.FOLD, Role.INNER}


def test_placed_lines_that_run_out_over_a_side_are_told(tmp_path: Path) -> None:
    """A piece that narrows towards its hem: of six lines square to the top the outer two end on its sides."""
    drawn = tmp_path / "taper.svg"
    drawn.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="500mm" viewBox="0 0 600 500">'
        '<path id="seam" d="M100 50H400L330 450H170Z"/></svg>'
    )
    asked: dict[str, Any] = {"kind": "knife", "lap": "left", "count": 6, "intake": "1cm"}
    for fit in ({}, {"fit_waist": "28cm", "fit_length": "10cm"}):
        told = {
            run: [note for note in pleat(read(drawn), **asked, **fit, run=run).remarks if "run" in note]
            for run in ("square", "fan")
        }
        assert told["fan"] == []
        (note,) = told["square"]
        assert note.startswith("Pleats 1, 6 run out over the left side and the right side before they come to the hem")


@pytest.mark.parametrize(
    ("grain", "serves"), [("M250 300V500", r'run="grain".*or.*run="fan"'), ("M200 300H400", 'run="fan"')]
)
def test_placed_lines_that_cross_are_refused_with_a_run_that_serves(grain: str, serves: str, tmp_path: Path) -> None:
    """Square to a top with a peak, the lines of its two slopes cross; what is named is taken."""
    drawn = tmp_path / "peak.svg"
    drawn.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="700mm" viewBox="0 0 600 700">'
        f'<path id="seam" d="M50 100L250 60L450 100V650H50Z"/><path id="grainline" d="{grain}"/></svg>'
    )
    asked = {"kind": "knife", "lap": "left", "count": 4, "intake": "3cm"}
    with pytest.raises(PleatError, match=f"cross inside.*{serves}.*serves here"):
        pleat(read(drawn), **asked)
    for run in ("grain", "fan") if "grain" in serves else ("fan",):
        assert pleat(read(drawn), **asked, run=run).proof.worst < 0.01


PEG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="800mm" height="800mm" viewBox="0 0 800 800">'
    '<path id="seam" d="M80 50H680L620 700H140Z"/>{}</svg>'
)
"""A skirt that narrows towards its hem."""

ROUND: dict[str, Any] = {"kind": "knife", "lap": "left", "intake": "3cm", "ring": "left side=right side"}


@pytest.mark.parametrize("placed", [{"count": 9}, {"at": ["1cm", "20cm"]}])
def test_placed_lines_that_leave_a_ring_over_its_side_are_refused_with_a_run_that_serves(
    placed: dict[str, Any], tmp_path: Path
) -> None:
    """All round a side is no end for a line: it was told to stop short there, and to be drawn on."""
    drawn = tmp_path / "peg.svg"
    drawn.write_text(PEG.format(""), encoding="utf-8")
    for fit in ({}, {"fit_waist": "56cm", "fit_length": "18cm"}):
        with pytest.raises(
            PleatError, match=r'over the left side of \'peg\', .* above the hem.*run="fan".*serves here'
        ):
            pleat(read(drawn), **ROUND, **placed, **fit)
        assert pleat(read(drawn), **ROUND, **placed, **fit, run="fan").worst_miss < 0.01


def test_a_drawn_line_that_leaves_a_ring_over_its_side_is_to_be_drawn_to_the_hem(tmp_path: Path) -> None:
    drawn = tmp_path / "peg.svg"
    drawn.write_text(PEG.format('<path id="slash 1" d="M660 40V720"/><path id="slash 2" d="M300 40V720"/>'))
    with pytest.raises(PleatError, match=r"'slash 1' runs out over the right side .*ends on the hem"):
        pleat(read(drawn), **ROUND)
    drawn.write_text(PEG.format('<path id="slash 1" d="M660 40L610 720"/><path id="slash 2" d="M300 40V720"/>'))
    assert pleat(read(drawn), **ROUND).proof.worst < 0.01
