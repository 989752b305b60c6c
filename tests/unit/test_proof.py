"""The fold-back is to be trusted: whatever is moved by two hundredths of a millimetre shows, and is refused."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import pytest

import pleatsvg
from pleatsvg.errors import ProofError
from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.flat.once_round import FlatEdge
from pleatsvg.flat.unfold import unfold
from pleatsvg.geometry.outline import Outline
from pleatsvg.job import pleat_piece
from pleatsvg.order.piece_order import order_from
from pleatsvg.pleated import PleatedPiece
from pleatsvg.proof.before_writing import FoldBack, fold_back
from pleatsvg.proof.raw_edges import samples
from pleatsvg.stages import flattening

OFF = 0.02
"""What is moved, mm: twice the limit of 0.01."""
LIMIT = 0.01

SKIRT = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="720mm" viewBox="-300 -60 600 720">'
    '<path id="seam" d="m-180,0c120,20 240,20 360,0 34,130 60,350 80,600-173,14-347,14-520,0 20-250 46-470 80-600z"/>'
    '<line id="slash 1" x1="-70" y1="0" x2="-100" y2="612"/><line id="slash 2" x1="60" y1="0" x2="95" y2="612"/></svg>'
)

ORDERS: dict[str, dict[str, Any]] = {
    "knife left": {"kind": "knife", "intake": "60mm", "lap": "left"},
    "knife right, tapered": {"kind": "knife", "intake": "50mm", "hem_intake": "80mm", "lap": "right"},
    "inverted": {"kind": "inverted", "intake": "120mm"},
    "box": {"kind": "box", "intake": "100mm", "face": "60mm"},
}


@pytest.fixture(params=ORDERS)
def result(request: pytest.FixtureRequest, tmp_path: Path) -> PleatedPiece:
    file = tmp_path / "skirt.svg"
    file.write_text(SKIRT, encoding="utf-8")
    return pleatsvg.pleat(pleatsvg.read(file), **ORDERS[request.param])


def proven(result: PleatedPiece, flat: Unfolded) -> FoldBack:
    return fold_back(result.written.seam, flat.seam, flat.creases, flat.placements)


def replaced(items: tuple[Any, ...], k: int, new: Any) -> tuple[Any, ...]:
    return (*items[:k], new, *items[k + 1 :])


def across(line: FlatLine) -> complex:
    along = line.hem - line.top
    return 1j * along / abs(along)


def test_what_was_made_folds_back_to_rounding(result: PleatedPiece) -> None:
    """Six decimals over eight layers: some millionths, and nothing like the limit."""
    proof = proven(result, result.flat)
    assert proof == result.proof
    assert proof.worst < 2e-5
    assert proof.bare == 0


def test_a_crease_that_is_moved_shows(result: PleatedPiece) -> None:
    """Either end, square to the line, either way."""
    for k, crease in enumerate(result.flat.creases):
        for way in (OFF * across(crease), -OFF * across(crease)):
            for moved in (crease._replace(top=crease.top + way), crease._replace(hem=crease.hem + way)):
                flat = dataclasses.replace(result.flat, creases=replaced(result.flat.creases, k, moved))
                assert proven(result, flat).worst > LIMIT


def test_an_outer_fold_that_ends_elsewhere_shows(result: PleatedPiece) -> None:
    """Moved along itself it reflects the same, but no longer lies on its placement line from end to end."""
    for k, crease in enumerate(result.flat.creases):
        if crease.role != "fold":
            continue
        way = OFF * across(crease) / 1j
        for moved in (crease._replace(top=crease.top + way), crease._replace(hem=crease.hem - way)):
            flat = dataclasses.replace(result.flat, creases=replaced(result.flat.creases, k, moved))
            assert proven(result, flat).folds > LIMIT


def test_a_placement_line_that_is_moved_shows(result: PleatedPiece) -> None:
    for k, line in enumerate(result.flat.placements):
        for way in (OFF, -OFF, OFF * 1j, -OFF * 1j):
            for moved in (line._replace(top=line.top + way), line._replace(hem=line.hem + way)):
                flat = dataclasses.replace(result.flat, placements=replaced(result.flat.placements, k, moved))
                assert proven(result, flat).folds > LIMIT


def test_a_point_of_the_seam_that_is_moved_shows(result: PleatedPiece) -> None:
    """Nodes and handles, of every part of the flat seam."""
    for k, edge in enumerate(result.flat.seam):
        for i in range(len(edge.points)):
            for way in (OFF, -OFF, OFF * 1j, -OFF * 1j):
                points = replaced(edge.points, i, edge.points[i] + way)
                flat = dataclasses.replace(
                    result.flat, seam=replaced(result.flat.seam, k, edge._replace(points=points))
                )
                assert proven(result, flat).raw_edges > LIMIT


def test_a_part_of_the_seam_that_is_missing_shows(result: PleatedPiece) -> None:
    """A part that no other layer covers leaves the silhouette bare."""
    bare = []
    for k in range(len(result.flat.seam)):
        flat = dataclasses.replace(result.flat, seam=result.flat.seam[:k] + result.flat.seam[k + 1 :])
        bare.append(proven(result, flat).bare)
    finished = sum(result.written.seam.outline.lengths)
    assert 0.5 * finished < sum(bare) < finished
    assert proven(result, dataclasses.replace(result.flat, seam=())).bare == pytest.approx(finished)


def test_an_edge_in_the_wrong_layer_shows(result: PleatedPiece) -> None:
    """Said to belong to the layer after it, every edge of a pleated panel comes to lie elsewhere."""
    layers = len(result.flat.creases) + 1
    for k, edge in enumerate(result.flat.seam):
        other = FlatEdge(edge.points, (edge.layer + 1) % layers, edge.origin)
        flat = dataclasses.replace(result.flat, seam=replaced(result.flat.seam, k, other))
        assert proven(result, flat).raw_edges > LIMIT


def test_creases_in_the_wrong_order_show(result: PleatedPiece) -> None:
    for k in range(len(result.flat.creases) - 1):
        creases = list(result.flat.creases)
        creases[k], creases[k + 1] = creases[k + 1], creases[k]
        flat = dataclasses.replace(result.flat, creases=tuple(creases))
        assert proven(result, flat).worst > LIMIT


@pytest.mark.parametrize("what", ["crease", "placement", "seam"])
def test_the_job_refuses_what_does_not_fold_back(
    what: str, result: PleatedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With an unfolding that errs by 0.02 mm the job ends in a refusal that names the figure, and nothing is made."""
    honest = unfold

    def erring(*given: Any) -> Unfolded:
        flat = honest(*given)
        if what == "crease":
            crease = flat.creases[0]
            return dataclasses.replace(flat, creases=replaced(flat.creases, 0, crease._replace(top=crease.top + OFF)))
        if what == "placement":
            line = flat.placements[0]
            return dataclasses.replace(flat, placements=replaced(flat.placements, 0, line._replace(top=line.top + OFF)))
        edge = flat.seam[3]
        points = (*edge.points[:-1], edge.points[-1] + OFF)
        return dataclasses.replace(flat, seam=replaced(flat.seam, 3, edge._replace(points=points)))

    monkeypatch.setattr(flattening, "unfold", erring)
    order = order_from(**ORDERS["knife left"])
    with pytest.raises(ProofError) as refused:
        pleat_piece(result.finished, order)
    words = str(refused.value)
    assert "does not fold back" in words
    assert "the limit is 0.01 mm" in words
    figure = float(words.split("misses it by ")[1].split(" mm")[0])
    assert LIMIT < figure < 0.1
    assert refused.value.exit_code == 1


def test_places_at_which_an_edge_is_measured_stand_a_millimetre_apart_and_do_not_grow_without_end() -> None:
    def places(size: float) -> int:
        corners = [0j, complex(size, 0), complex(size, size), complex(0, size)]
        outline = Outline(tuple(zip(corners, [*corners[1:], 0j], strict=True)))
        return len(samples((0j, complex(0.4 * size, 0)), 0.4 * size, outline))

    assert [places(size) for size in (100.0, 1_000.0, 5_000.0)] == [41, 401, 2001]  # every millimetre
    assert places(50_000.0) <= 501
