"""What the panels and the folded picture tell of each kind, and what they show."""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from pleatsvg import pleat, read, write
from pleatsvg.api import fold
from pleatsvg.drawing.read_result import result_from
from pleatsvg.folded.items import Line, Text
from pleatsvg.folded.moves import moves_of
from pleatsvg.folded.section import section_line, sheets_on_edge
from pleatsvg.folded.stack import CENTRE, RAW, area_of, cut_through, stack_of
from pleatsvg.folded.steps import steps_of
from pleatsvg.folded.view import view_of
from pleatsvg.proof.figures import Proof
from pleatsvg.proof.prove import prove
from tests.drawings import test_passes as passes
from tests.drawings.gallery import FIXTURES
from tests.folding import handmade as made

PANEL = FIXTURES / "gallery" / "panel.svg"
HIP = '<path id="hip" d="M20 150H420"/>'
SHAPED = {"fit_waist": "60cm", "hip": "hip"}
POCKET = '<path id="pocket" d="M140 200h90v90h-90z"/>'


def folded(folder: Path, piece: Any, **order: Any) -> Proof:
    write(pleat(piece, **order), folder / "flat.svg", force=True)
    (proof,) = fold(folder / "flat.svg")
    assert proof.holds
    return proof


def words_of(proof: Proof) -> list[str]:
    return [panel.words for panel in steps_of(proof).panels]


def by_name(proofs: list[tuple[str, Proof]], name: str) -> Proof:
    return next(proof for other, proof in proofs if other == name)


def test_only_equal_pleats_are_joined_by_in_the_same_way(proofs: list[tuple[str, Proof]]) -> None:
    """Knife to the right, tuck, inverted, tuck the other way, knife the other way: five sentences."""
    words = words_of(by_name(proofs, "mixed"))
    assert len(words) == 6
    assert "in the same way" not in " ".join(words)
    for number, start in enumerate(("Pleat 1: ", "Pin tuck 2: ", "Pleat 3: ", "Pin tuck 4: ", "Pleat 5: ")):
        assert words[number].startswith(f"{number + 1}. {start}")
    assert "press it left" in words[1] and "press it right" in words[3]
    assert "as far as" not in words[1]
    released = words_of(by_name(proofs, "tuck"))
    assert "stitch on the two stitching lines, as far as the pattern says, press it" in released[0]
    run = words_of(by_name(proofs, "pin-tuck"))
    assert run[1] == "2. Pin tucks 2 to 7 in the same way, one after another."


def test_the_layers_of_a_stack_are_folded_in_their_order(proofs: list[tuple[str, Proof]]) -> None:
    inverted = words_of(by_name(proofs, "double-inverted"))
    assert inverted[0] == "1. Pleat 1.1: bring each FOLD 1.1 onto the FOLD 1.2 beside it; pin."
    assert inverted[1] == "2. Pleat 1.2: bring both lines FOLD 1.2 onto PLACE 1, so that they meet; pin."
    knife = words_of(by_name(proofs, "knife of 3"))
    for layer in (1, 2, 3):
        assert knife[layer - 1].startswith(
            f"{layer}. Pleat 1.{layer}: bring FOLD 1.{layer} onto PLACE 1; it points left"
        )
    box = words_of(by_name(proofs, "box of 2"))
    away = "so that they point away from each other; pin."
    assert box[0] == f"1. Pleat 1.1: bring FOLD 1a.1 onto PLACE 1a and FOLD 1b.1 onto PLACE 1b, {away}"
    assert box[1] == f"2. Pleat 1.2: bring FOLD 1a.2 onto PLACE 1a and FOLD 1b.2 onto PLACE 1b, {away}"


def test_the_pass_that_lies_over_the_others_is_folded_first(proofs: list[tuple[str, Proof]]) -> None:
    proof = by_name(proofs, "pleats down, then pin tucks across")
    words = " ".join(words_of(proof))
    first, then = words.index("Pass 2 is folded first"), words.index("Press; then pass 1.")
    assert first < words.index("Pin tuck 3: fold along FOLD 3") < then < words.index("Pleat 1: bring FOLD 1")
    assert [move.pleat for move in moves_of(proof.passes)] == [3, 4, 1, 2]


def test_of_a_half_piece_the_drawn_half_is_shown(proofs: list[tuple[str, Proof]]) -> None:
    """A half piece of 200 mm, flat 260: its other half is told, and not drawn."""
    for text in (made.half_past_the_fold(), made.half_inverted()):
        proof = prove(result_from(text.encode(), "result.svg").pieces[0])
        stack = stack_of(proof.passes, {}, drawn_half=True)
        left, _, right, _ = stack.box
        assert right - left == pytest.approx(260)
        assert sum(abs(area_of(sheet.points)) for sheet in stack.sheets) == pytest.approx(proof.flat_area / 2)
        # Its fold edge is no raw edge.
        tags = [tag for sheet in stack.sheets for tag in sheet.tags]
        assert tags.count(CENTRE) == 1 and RAW in tags
        # The page begins at -50: the drawn half runs from 50 to 310 in both.
        assert (left, right) == pytest.approx((50, 310))
        assert "fold the other half likewise, mirrored" in steps_of(proof).opening
        for panel in steps_of(proof).panels[:-1]:
            assert len([item for item in panel.items if item.look == "arrow"]) == 2, "one shaft, one head"


def test_a_half_that_tucks_run_across_is_folded_whole(proofs: list[tuple[str, Proof]]) -> None:
    """The picture shows both halves; their cloth was shown on one of them alone."""
    proof = by_name(proofs, "half a piece, tucks across it")
    stack = stack_of(proof.passes)
    assert sum(abs(area_of(sheet.points)) for sheet in stack.sheets) == pytest.approx(proof.flat_area, rel=1e-4)
    left, _, right, _ = proof.passes[-1].finished.box
    assert (stack.box[0], stack.box[2]) == pytest.approx((left, right), abs=0.01)


def test_a_tucks_arrow_points_the_way_it_is_pressed(tmp_path: Path) -> None:
    for lap, sign in (("left", -1), ("right", 1)):
        proof = folded(tmp_path, read(PANEL), kind="tuck", intake="3cm", lap=lap, slash="slash 2")
        shaft = next(item for item in steps_of(proof).panels[0].items if item.look == "arrow")
        assert isinstance(shaft, Line)
        assert (shaft.points[-1] - shaft.points[0]).real * sign > 0


def test_a_kick_tells_how_its_top_is_made_and_has_its_clip_marks(proofs: list[tuple[str, Proof]]) -> None:
    """Kick of 8 cm, 10 cm high: folded, its slants run from the seam's lower end 20 mm out and 20 mm down, at 45 degrees."""
    proof = by_name(proofs, "kick")
    words = words_of(proof)[0]
    for phrase in ("clip the allowances to the seam's lower end", "stitch the slanting top edges", "stitch down along"):
        assert phrase in words
    items = [item for layer in view_of(proof, True).layers for item in layer.items if isinstance(item, Line)]
    clips = [item.points for item in items if item.look == "clip"]
    slants = [item.points for item in items if item.look == "stitch-down"]
    (tip,) = {complex(round(z.real, 3), round(z.imag, 3)) for z, _ in clips}
    assert len(clips) == len(slants) == 2
    assert {complex(round(z.real, 3), round(z.imag, 3)) for z, _ in slants} == {tip}
    assert sorted(round((end - start).real, 3) for start, end in slants) == [-20, 20]
    assert {round((end - start).imag, 3) for start, end in slants} == {20}
    assert all(end.imag < start.imag for start, end in clips), "out into the allowance, above the tip"
    flat = steps_of(proof).panels[0].items
    assert len([item for item in flat if item.look == "clip"]) == 2


def drawn_lengths(proof: Proof, right_side: bool = True) -> float:
    view = view_of(proof, right_side)
    items = [item for layer in view.layers for item in layer.items if item.look in ("carried", "balance")]
    return sum(abs(b - a) for item in items if isinstance(item, Line) for a, b in itertools.pairwise(item.points))


def test_hip_and_pocket_are_folded_with_their_cloth(tmp_path: Path) -> None:
    """A hip line of 400 mm across two pleats and a pocket of 90 x 90 between them: what is seen is what was drawn."""
    piece = passes.drawing(tmp_path, passes.APRON, passes.DOWN, HIP, POCKET)
    proof = folded(tmp_path, piece, **passes.PLEATS)
    assert drawn_lengths(proof) == pytest.approx(400 + 4 * 90, abs=0.5)
    level = {
        round(z.imag - proof.passes[-1].finished.box[1], 3)
        for layer in view_of(proof, True).layers
        for item in layer.items
        if isinstance(item, Line) and item.look in ("carried", "balance")
        for z in item.points
    }
    assert level == {120, 170, 260}, "hip at 150 - 30, the pocket from 200 - 30 to 290 - 30"
    for look in ("carried", "balance"):
        assert any(item.look == look for panel in steps_of(proof).panels for item in panel.items)


def test_what_lies_under_other_cloth_is_not_seen(tmp_path: Path) -> None:
    """A level tuck of 30 mm pressed down covers 15 mm below its stitching; a pocket's sides there are hidden."""
    piece = passes.drawing(
        tmp_path, passes.APRON, '<path id="slash level" d="M10 200H440"/>', '<path id="pocket" d="M100 202V212"/>'
    )
    proof = folded(tmp_path, piece, kind="tuck", intake="30mm", lap="down")
    assert sum(len(sheet.drawn) for sheet in stack_of(proof.passes).sheets) >= 1
    assert drawn_lengths(proof) == 0.0


def test_touching_and_overlapping_pleats_slant_on_edge(proofs: list[tuple[str, Proof]]) -> None:
    """Like tiles on a roof: no sheet is drawn upright, no two cross, and each comes down evenly from its fold."""
    for name in ("overlapping, left", "overlapping, right"):
        stack = stack_of(by_name(proofs, name).passes)
        cuts = cut_through(stack, *section_line(stack))
        runs = sheets_on_edge(cuts)
        slanting = 0
        for run in runs:
            for (u, v), (w, x) in itertools.pairwise(run.points):
                if w - u > 0.5:
                    assert abs(x - v) * 3.6 / (w - u) < 1.0, "at a slant, never a step"
                slanting += abs(x - v) > 0.5 and w - u > 10
        assert slanting > 20
        for space in range(40, 300, 7):
            here = sorted((height_at(run.points, space), run.points) for run in runs if spans(run.points, space))
            heights = [height for height, _ in here]
            assert all(b - a > 0.2 for a, b in itertools.pairwise(heights)), name


def spans(points: tuple[tuple[float, float], ...], u: float) -> bool:
    return points[0][0] < u < points[-1][0]


def height_at(points: tuple[tuple[float, float], ...], u: float) -> float:
    for (a, v), (b, w) in itertools.pairwise(points):
        if a <= u <= b and b > a:
            return v + (w - v) * (u - a) / (b - a)
    return points[-1][1]


@pytest.mark.parametrize("edge", [50, 350])
def test_half_a_stack_is_numbered_on_the_pattern_as_it_is_folded(edge: int, tmp_path: Path) -> None:
    """FOLD 1.1 is the one farther from the fold edge, on whichever side that lies; folds at 60 and 120 mm from it."""
    (tmp_path / "half.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="500mm" viewBox="0 0 500 500">'
        f'<path id="seam" d="M50 50H350V400H50Z"/><path id="fold edge" d="M{edge} 50V400"/>'
        f'<path id="slash centre" d="M{edge} 50V400"/></svg>'
    )
    proof = folded(tmp_path, read(tmp_path / "half.svg"), kind="inverted", depth="3cm", stack=2)
    root = etree.parse(tmp_path / "flat.svg").getroot()
    names = {e.text: float(e.get("x")) for e in root.iter("{*}text") if e.get("class") == "fold-label"}
    (at,) = [float(e.get("d").split()[1].split(",")[0]) for e in root.iter("{*}path") if e.get("class") == "fold-edge"]
    assert abs(names["FOLD 1.1"] - at) == pytest.approx(120, abs=6)
    assert abs(names["FOLD 1.2"] - at) == pytest.approx(60, abs=6)
    for move, far in zip(moves_of(proof.passes), (120, 60), strict=True):
        creases = [proof.passes[0].creases[k] for k in move.creases]
        (own,) = [crease for crease in creases if crease.brought and not crease.other_half]
        assert abs(own.top.real - at) == pytest.approx(far)


def test_of_a_fan_the_top_is_measured_and_of_kick_pleats_the_hem(tmp_path: Path) -> None:
    """One line of a fan that lay nearly level made ends left and right of its top; above a kick nothing is folded."""
    circle = read(FIXTURES / "circle-skirt-panel.svg")
    fan = words_of(folded(tmp_path, circle, kind="inverted", intake="4cm", hem_intake="12cm"))
    assert "measure the top against the finished seam, baste across it" in fan[-1]
    kick = words_of(folded(tmp_path, read(PANEL), kind="kick", intake="8cm", height="10cm", slash="slash 2"))
    assert kick[-1].endswith("All are folded: measure the hem against the finished seam, then press.")


def test_lines_of_a_fan_are_named_at_their_tops(tmp_path: Path) -> None:
    """The one that lay nearly level was named as level lines are, beside it on the cloth."""
    circle = read(FIXTURES / "circle-skirt-panel.svg")
    steps = steps_of(folded(tmp_path, circle, kind="knife", intake="4cm", hem_intake="16cm", lap="left"))
    named = 0
    for panel in steps.panels[:-1]:
        top = min(z.imag for item in panel.drawn if isinstance(item, Line) and item.look == "raw" for z in item.points)
        names = [item for item in panel.drawn if isinstance(item, Text)]
        named += len(names)
        assert all(name.at.imag < top for name in names), [name.words for name in names]
    assert named > 2


@pytest.mark.parametrize(
    "order",
    [
        {"kind": "knife", "lap": "left", "intake": "6cm", "ring": "left side=right side", "count": 16} | SHAPED,
        {"kind": "inverted", "intake": "8cm", "count": 8} | SHAPED,
        {"kind": "knife", "lap": "right", "intake": "6cm", "count": 20, "ring": "left side=right side"},
    ],
    ids=["shaped ring", "shaped inverted", "ring"],
)
def test_of_a_long_row_a_few_pleats_are_shown_so_that_they_can_be_read(tmp_path: Path, order: dict[str, Any]) -> None:
    """A ring of 16 came out at 5 in a hundred, every line beside the next and arrows as long as three pleats."""
    proof = folded(tmp_path, read(FIXTURES / "skirts" / "round-skirt.svg"), **order)
    steps = steps_of(proof)
    assert steps.scale > 0.1
    assert "at the broken edge the cloth goes on" in steps.opening
    telling = [panel for panel in steps.panels if any(item.look == "arrow" for item in panel.drawn)]
    assert len(telling) == 2
    for panel in telling:
        folds = {round(z.real, 1) for item in panel.drawn if item.look in ("fold", "outer-seen") for z in item.points}
        assert 4 <= len(folds) <= 9
        waiting = [item.points[0].real for item in panel.drawn if item.look in ("fold", "placement")]
        for shaft in [item.points for item in panel.drawn if item.look == "arrow"][::2]:
            # Each arrow leads to a placement line, and of knife pleats begins at a fold line: it is no longer than the way.
            for end in (shaft[0], shaft[-1]) if order["kind"] == "knife" else shaft[-1:]:
                assert min(abs(end.real - x) for x in waiting) < 0.5
        assert any(item.look == "broken" for item in panel.drawn)
    for panel in steps.panels[len(telling) :]:
        # What is folded is shown whole.
        seen = {round(z.real, 1) for item in panel.drawn if item.look == "outer-seen" for z in item.points[:1]}
        assert len(seen) >= order["count"]
        assert not any(item.look == "broken" for item in panel.drawn)
