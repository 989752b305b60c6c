"""Results drawn by hand from closed forms, folded back: true ones hold, and each single fault shows its own figure."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pleatsvg.drawing.read_result import result_from
from pleatsvg.errors import DrawingError
from pleatsvg.proof.figures import Figure, Proof
from pleatsvg.proof.prove import prove
from tests.folding import handmade as made


def proof_of(text: str) -> Proof:
    """Fold the only piece of a result back."""
    pieces = result_from(text.encode(), "result.svg").pieces
    assert len(pieces) == 1
    return prove(pieces[0])


def figures(proof: Proof) -> dict[str, float]:
    """Its figures by name, and by the pass where there are several."""
    return {named(figure): figure.value for figure in proof.figures}


def named(figure: Figure) -> str:
    return figure.name if figure.pass_ is None else f"{figure.name} of pass {figure.pass_}"


TRUE = {
    "knife": made.knife_result(),
    "tuck": made.tuck_result(),
    "half, underlay past the fold edge": made.half_past_the_fold(),
    "half of an inverted pleat at the fold edge": made.half_inverted(),
    "the same without its placement line": made.half_inverted(placed=False),
    "two passes": made.two_passes(),
    "two parts joined": made.joined_parts(),
    "free edge": made.smooth_hem(),
    "allowance": made.with_allowance(),
    "moved, turned and in another scale": made.knife_result(around="translate(20 7) rotate(90) scale(1.5)"),
}


@pytest.mark.parametrize("name", TRUE)
def test_true_results_hold(name: str) -> None:
    proof = proof_of(TRUE[name])
    assert proof.failures == ()
    assert proof.holds
    assert proof.worst < 1e-6


FALSE = [
    ("fold line moved by 3", made.knife_result(moved=3), "folds_on_placement", 3.0, "fold line of pleat 1"),
    ("and all behind it by 6", made.knife_result(moved=3), "raw_edges", 6.0, "cloth after the fold line of pleat 1"),
    ("hidden node up by 4", made.knife_result(node=-4j), "raw_edges", 4.0, "inner fold line of pleat 1"),
    ("hidden node down by 4", made.knife_result(node=4j), "pokes_out", 4.0, "inner fold line of pleat 1"),
    ("second stitch line off by 1", made.tuck_result(mate=121), "stitch_lines_together", 1.0, "stitch line of tuck 1"),
    ("node past the fold edge up by 1", made.half_past_the_fold(hem=299), "raw_edges", 1.0, "inner fold line"),
    ("hem short by 2 in pass 2", made.two_passes(hem=318), "raw_edges of pass 2", 2.0, "cloth after the fold line"),
    ("a join 1 longer on one part", made.joined_parts(slip=1), "joins", 0.5, "a join line"),
    ("edge off without being told", made.smooth_hem(told=False), "raw_edges", 5.0, "inner fold line of pleat 1"),
    ("cutting line out by 2", made.with_allowance(out=2), "cutting_line", 2.0, "cloth after the fold line"),
]


@pytest.mark.parametrize(("fault", "text", "name", "value", "place"), FALSE, ids=[row[0] for row in FALSE])
def test_each_fault_shows_its_figure_and_place(fault: str, text: str, name: str, value: float, place: str) -> None:
    proof = proof_of(text)
    assert not proof.holds
    figure = next(figure for figure in proof.figures if named(figure) == name)
    assert figure.value == pytest.approx(value, abs=1e-3)
    assert not figure.holds
    assert place in figure.place


def test_a_hair_at_the_start_of_the_hidden_shape_is_no_fault() -> None:
    """A start moved along its edge by 0.0005 adds a side of that length, which is no part of a round of the seam."""
    text = made.knife_result().replace("M 0,0 L 200,0", "M 0.0005,0 L 200,0").replace("L 0,300 Z", "L 0,300 L 0,0 Z")
    proof = proof_of(text)
    assert proof.failures == ()
    assert proof.worst < 0.001  # the bound by control points; the edge itself lies on the seam


def test_a_mirrored_result_points_the_wrong_way() -> None:
    proof = proof_of(made.knife_result(around="scale(-1 1)"))
    assert all(figure.holds for figure in proof.figures)
    assert proof.faults == ("pleat 1 is to point left, but its fold lies on the other side",)


def test_a_piece_moved_away_from_its_hidden_shape_is_told_and_holds() -> None:
    text = made.knife_result().replace(
        '<g style="display:none">', '<g style="display:none" transform="translate(-25 3)">'
    )
    proof = proof_of(text)
    assert proof.holds
    assert "25.18 mm away" in proof.notes[0]


def test_an_earlier_pass_that_comes_out_bent_is_found() -> None:
    # The inner fold of the knife pleat is broken within the tuck: 130 + 1 at its height.
    text = made.two_passes().replace("M 130.0,0 L 130.0,320", "M 130,0 L 130,155 L 131,160 L 130,165 L 130,320")
    proof = proof_of(text)
    assert figures(proof)["fold_lines_straight of pass 1"] == pytest.approx(1.0, abs=1e-6)
    assert not proof.holds


@settings(max_examples=12, deadline=None)
@given(st.floats(0.05, 20), st.floats(0, 2 * math.pi))
def test_a_moved_node_misses_by_as_much_as_it_left_the_edge(far: float, way: float) -> None:
    """The hem is level, so the node's own miss is how far it was moved up or down."""
    node = complex(far * math.cos(way), far * math.sin(way))
    proof = proof_of(made.knife_result(node=node))
    raw = figures(proof)["raw_edges"]
    assert raw == pytest.approx(abs(node.imag), abs=1e-6)
    assert proof.holds == (abs(node.imag) <= 0.01)


@settings(max_examples=12, deadline=None)
@given(st.floats(-25, 25))
def test_a_moved_fold_line_misses_by_as_much_and_carries_the_rest_twice_as_far(by: float) -> None:
    found = figures(proof_of(made.knife_result(moved=by)))
    assert found["folds_on_placement"] == pytest.approx(
        abs(by), abs=2e-6
    )  # a line within 1e-6 of a node goes through it
    # What lies behind moves by 2 x: the far side edge leaves the outline by all of it.
    assert found["raw_edges"] == pytest.approx(abs(2 * by), abs=4e-6)


@pytest.mark.parametrize(
    ("change", "phrases"),
    [
        (("inner-fold-line", "gone"), ("Pleat 1 lacks fold 1",)),
        (('data-fold="1"', 'data-fold="2"'), ("is there twice",)),
        (("finished-line", "gone"), ("holds no finished shape",)),
        (('data-pleat="1"', 'data-pleat="one"'), ("must be a whole number",)),
        (("M 130.0,0 L 130.0,300", "M 400,0 L 400,300"), ("outside the flat piece",)),
        (("M 130.0,0 L 130.0,300", "M 130,0 L 130,0"), ("no length",)),
        (("M 130.0,0 L 130.0,300", "M 200,0 L 130,300"), ("do not follow one another",)),
        (("L 0,300 Z", "L 0,300"), ("is not closed",)),
        (('class="piece"', 'class="part"'), ("not a result of pleatsvg",)),
    ],
)
def test_what_cannot_be_folded_is_refused_in_words(change: tuple[str, str], phrases: tuple[str, ...]) -> None:
    text = made.knife_result()
    assert change[0] in text
    with pytest.raises(DrawingError) as refused:
        proof_of(text.replace(*change))
    for phrase in phrases:
        assert phrase in str(refused.value)
