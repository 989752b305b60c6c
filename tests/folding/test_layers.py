"""How many layers lie on one another, in which order, against the closed forms and against folding by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from pleatsvg import pleat, read, write
from pleatsvg.api import fold
from pleatsvg.drawing.read_result import result_from
from pleatsvg.folded.stack import Stack, crossing_folds, cut_through, stack_of, thickest, zones_of
from pleatsvg.proof.prove import prove
from tests.commandline.terminal import FIXTURES
from tests.drawings.paper import drawing, mm, pleated, polygon, slashes
from tests.folding import handmade as made

HIGH = 300.0


def panel_with(folder: Path, at: list[float], **order: object) -> Stack:
    """A panel 1000 x 300 mm with upright slash lines at these x, pleated and folded back."""
    outline = polygon(0j, 1000 + 0j, 1000 + HIGH * 1j, HIGH * 1j)
    lines = slashes(*[(complex(x, 0), complex(x, HIGH)) for x in at])
    return stack_of(fold(pleated(folder, drawing(outline, lines), **order))[0].passes)


def handmade_stack(text: str) -> Stack:
    return stack_of(prove(result_from(text.encode(), "result.svg").pieces[0]).passes)


@pytest.mark.parametrize("depth", [10.0, 40.0, 55.0, 80.0, 130.0])
def test_layers_of_a_run_of_knife_pleats(depth: float, tmp_path: Path) -> None:
    """Average 1 + 2 d / p over whole spacings p, most 1 + 2 ceil(d / p): brief of the fold model, closed-form values."""
    spacing = 40.0
    stack = panel_with(tmp_path, [300 + spacing * k for k in range(12)], kind="knife", depth=mm(depth), lap="left")
    assert thickest(stack).layers == 1 + 2 * math.ceil(depth / spacing)
    zones = zones_of(cut_through(stack, 150j, 1 + 0j))
    left = stack.box[0]
    start, end = 300 + spacing * 7 - 0.0, 300 + spacing * 8  # where every pleat that can lie there does
    inside = [(min(z.end + left, end) - max(z.start + left, start), z.layers) for z in zones]
    total = sum(width * layers for width, layers in inside if width > 0)
    assert total / spacing == pytest.approx(1 + 2 * depth / spacing, abs=0.01)


def test_layers_of_every_kind_in_order_across() -> None:
    def across(text: str) -> list[int]:
        return [zone.layers for zone in zones_of(cut_through(handmade_stack(text), -60 + 100.013j, 1 + 0j))]

    assert across(made.knife_result()) == [1, 3, 1]
    assert across(made.tuck_result()) == [1, 3, 1]
    assert across(made.half_past_the_fold()) == [1, 3, 5, 3, 1]
    assert across(made.half_inverted()) == [1, 3, 1]
    assert across(made.joined_parts()) == [1, 3, 1]
    two = handmade_stack(made.two_passes())
    crossing = cut_through(two, -60 + 195.013j, 1 + 0j)
    assert [zone.layers for zone in zones_of(crossing)] == [3, 9, 3]


def test_a_knife_pleat_lies_under_its_face_and_a_tuck_on_it() -> None:
    knife = handmade_stack(made.knife_result())
    assert [sheet.over for sheet in knife.sheets] == [True, False, True]
    # Uppermost is what lies right of x = 100; lowest what comes from the left.
    assert min(z.real for z in knife.sheets[-1].points) == pytest.approx(100 + 50)  # the page begins at -50
    assert max(z.real for z in knife.sheets[0].points) == pytest.approx(130 + 50)
    tuck = handmade_stack(made.tuck_result())
    # The strip lies on the cloth that comes from the left, which ends at the stitching; its fold is at 90.
    assert max(z.real for z in tuck.sheets[0].points) == pytest.approx(100 + 50)
    assert min(z.real for z in tuck.sheets[-1].points) == pytest.approx(90 + 50)


def test_folds_are_seen_from_the_right_side_and_underlays_from_the_wrong() -> None:
    stack = handmade_stack(made.knife_result())

    def seen(looked_at: Stack) -> dict[str, list[bool]]:
        return {
            looked_at.creases[tag].line.role: [part.seen for part in looked_at.parts(number, a, b)]
            for number, tag, a, b in looked_at.crease_edges()
        }

    assert seen(stack) == {"fold-line": [True], "inner-fold-line": [False]}
    assert seen(stack.turned(150)) == {"fold-line": [False], "inner-fold-line": [True]}


def test_overlapping_inverted_pleats_deeper_than_their_spacing_clash(tmp_path: Path) -> None:
    """Two underlays that each reach past the other's fold cannot both lie beneath; up to the spacing they can."""
    for depth, clash in ((35.0, False), (50.0, True)):
        stack = panel_with(tmp_path, [400, 440, 480], kind="inverted", depth=mm(depth))
        found = crossing_folds(stack, cut_through(stack, 150.013j, 1 + 0j))
        assert bool(found) == clash


def test_half_a_thousand_layers_take_little_more_than_half_as_many(tmp_path: Path) -> None:
    """The work grows with the pleats: counted in boxes asked, which no other process disturbs."""
    from pleatsvg.geometry import nearest

    asked: list[int] = []
    original = nearest.Tree.touching

    def counting(self: nearest.Tree, box: tuple[float, float, float, float]) -> list[int]:
        found = original(self, box)
        asked[-1] += len(found)
        return found

    for count in (60, 120):
        stack = panel_with(
            tmp_path, [20 + 960 / count * k for k in range(count)], kind="knife", depth="2mm", lap="right"
        )
        asked.append(0)
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(nearest.Tree, "touching", counting)
            thickest(stack)
    assert asked[1] < 2.3 * asked[0]


def test_proof_and_layers_of_a_written_kilt(tmp_path: Path) -> None:
    out = tmp_path / "kilt.svg"
    write(pleat(read(FIXTURES / "kilt-apron.svg"), kind="knife", depth="5cm", lap="left"), out)
    proof = fold(out)[0]
    assert proof.holds
    assert proof.worst < 1e-5
    stack = stack_of(proof.passes)
    # The area of all sheets together is that of the flat piece.
    from pleatsvg.folded.stack import area_of

    assert sum(abs(area_of(sheet.points)) for sheet in stack.sheets) == pytest.approx(proof.flat_area, rel=1e-6)
