"""Tucks that are released below their stitching: how far they are stitched is stated, and shown so wherever they are drawn."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from pleatsvg import pleat, read, write
from pleatsvg.api import fold
from pleatsvg.drawing.read_result import result_from
from pleatsvg.folded.items import Line, Text
from pleatsvg.folded.stack import stack_of
from pleatsvg.folded.steps import steps_of
from pleatsvg.folded.view import view_of
from pleatsvg.proof.figures import Proof
from pleatsvg.writing.result import result_bytes
from tests.drawings.gallery import FIXTURES

STRAIGHT = FIXTURES / "straight-panel.svg"
TUCKS: dict[str, Any] = {"kind": "tuck", "intake": "2cm", "lap": "left", "slash": ["slash lines 1", "slash lines 2"]}


def folded(folder: Path, **order: Any) -> Proof:
    write(pleat(read(STRAIGHT), **order), folder / "flat.svg", force=True)
    (proof,) = fold(folder / "flat.svg")
    assert proof.holds
    return proof


def heights(lines: list[Line], top: float) -> set[tuple[int, int]]:
    """From where to where upright lines run, in mm below the top of the piece, those that meet end to end taken together."""
    runs: dict[int, list[float]] = {}
    for line in lines:
        runs.setdefault(round(line.points[0].real), []).extend(z.imag - top for z in line.points)
    return {(round(min(found)), round(max(found))) for found in runs.values()}


def lines_of(items: Any, *looks: str) -> list[Line]:
    return [item for item in items if isinstance(item, Line) and item.look in looks]


@pytest.mark.parametrize(
    ("whence", "start", "end"), [("top", 0, 120), ("hem", 280, 400), ("middle", 140, 260)], ids=["top", "hem", "middle"]
)
def test_the_picture_shows_stitching_as_far_as_it_goes(whence: str, start: int, end: int, tmp_path: Path) -> None:
    proof = folded(tmp_path, **TUCKS, stitched="12cm", stitched_from=whence)
    view = view_of(proof, True)
    top = min(z.imag for seg in view.outline for z in seg)
    items = [item for layer in view.layers for item in layer.items if layer.name != "section"]
    assert heights(lines_of(items, "stitched-seen", "stitched-hidden"), top) == {(start, end)}
    assert heights(lines_of(items, "outer-seen"), top) == {(0, 400)}  # pressed all along
    assert (
        "Beyond the end of their green stitching tucks 1 and 2 open; they are drawn as if pressed there." in view.rows
    )
    assert view.thick.layers == 3


def test_steps_show_stitching_as_far_as_it_goes(tmp_path: Path) -> None:
    steps = steps_of(folded(tmp_path, **TUCKS, stitched="12cm"))
    flat, last = steps.panels[0], steps.panels[-1]
    top = min(z.imag for line in lines_of(flat.drawn, "raw") for z in line.points)
    far = round(120 * steps.scale)
    assert heights(lines_of(flat.drawn, "stitch"), top) == {(0, far)}
    assert heights(lines_of(flat.drawn, "fold"), top) == {(0, far)}
    arrow = lines_of(flat.drawn, "arrow")[0]
    assert max(z.imag for z in arrow.points) - top < far
    top = min(z.imag for line in lines_of(last.drawn, "raw") for z in line.points)
    assert heights(lines_of(last.drawn, "stitched-seen", "stitched-hidden"), top) == {(0, far)}
    assert heights(lines_of(last.drawn, "outer-seen"), top) == {(0, round(400 * steps.scale))}
    assert last.words.endswith("tucks 1 and 2 open; they are drawn as if pressed there.")


def test_steps_name_a_tuck_that_is_stitched_far_down_on_the_cloth(tmp_path: Path) -> None:
    """Lines from the upper edge of the panel ran down over the whole piece, and looked like folds."""
    flat = steps_of(
        folded(tmp_path, **{**TUCKS, "slash": "slash lines 2"}, stitched="6cm", stitched_from="hem")
    ).panels[0]
    assert not lines_of(flat.drawn, "leader")
    (name,) = [item for item in flat.drawn if isinstance(item, Text) and item.words == "FOLD 1"]
    start = min((line.points[0] for line in lines_of(flat.drawn, "fold")), key=lambda z: z.imag)
    assert abs(name.at - start) < 4.0 and name.at.imag < start.imag


def test_lines_that_are_marked_in_part_are_stitched_whole(tmp_path: Path) -> None:
    """`mark` shows so much of a line and says nothing of its stitching."""
    proof = folded(tmp_path, **TUCKS, mark="6cm")
    assert "as far as" not in " ".join(panel.words for panel in steps_of(proof).panels)
    assert not any("open" in row for row in view_of(proof, True).rows)
    assert "data-stitched" not in (tmp_path / "flat.svg").read_text()


def test_a_later_pass_keeps_how_far_tucks_are_stitched(tmp_path: Path) -> None:
    across = {"kind": "tuck", "intake": "2cm", "lap": "down", "at": ["20cm"], "along": "left side"}
    proof = folded(tmp_path, **TUCKS, stitched="12cm")
    twice = result_bytes(pleat(read(tmp_path / "flat.svg"), **across))
    stated = etree.fromstring(twice).findall(".//{*}path[@data-stitched-mm='0.000 120.000']")
    assert len(stated) == 2 * 3
    (tmp_path / "twice.svg").write_bytes(twice)
    (proof,) = fold(tmp_path / "twice.svg")
    view = view_of(proof, True)
    top = min(z.imag for seg in view.outline for z in seg)
    upright = [
        line
        for layer in view.layers
        for line in lines_of(layer.items, "stitched-seen", "stitched-hidden")
        if layer.name != "section" and line.points[0].real == pytest.approx(line.points[1].real)
    ]
    assert heights(upright, top) == {(0, 120)}


@pytest.mark.parametrize(
    ("whence", "where"), [("top", "from the top"), ("hem", "from the hem"), ("middle", "in the middle")]
)
def test_a_later_pass_tells_how_far_tucks_are_stitched(whence: str, where: str, tmp_path: Path) -> None:
    """Read from its file, a first pass of released tucks was told as if it were stitched all along."""
    folded(tmp_path, **TUCKS, stitched="12cm", stitched_from=whence, allowance="1cm")
    drawn = tmp_path / "flat.svg"
    for number in (2, 3):
        across = {"kind": "tuck", "intake": "2cm", "lap": "down", "at": [f"{5 * number}cm"], "along": "left side"}
        result = pleat(read(drawn), **across)
        assert any(f"stitched 12 cm {where}, then released (pass 1)" in row for row in result.sheet.heading)
        drawn = tmp_path / f"pass-{number}.svg"
        write(result, drawn)


def test_a_released_tuck_of_the_first_pass_folds_as_its_layers_lie(tmp_path: Path) -> None:
    """Where an edge is parted, both its sheets still name one crease there: the cut on edge joins them."""
    stack = stack_of(folded(tmp_path, **TUCKS, stitched="12cm").passes)
    ends: dict[int, int] = {}
    for sheet in stack.sheets:
        for tag in sheet.tags:
            ends[tag] = ends.get(tag, 0) + 1
    assert {tag: count for tag, count in ends.items() if tag >= 0} == dict.fromkeys(range(8), 2)


@pytest.mark.parametrize("words", ["", "120", "120 0", "-1 5", "0 far", "0 120 240"])
def test_what_is_no_stretch_is_not_believed(words: str, tmp_path: Path) -> None:
    folded(tmp_path, **TUCKS, stitched="12cm")
    text = (
        (tmp_path / "flat.svg").read_text().replace('data-stitched-mm="0.000 120.000"', f'data-stitched-mm="{words}"')
    )
    (piece,) = result_from(text.encode(), "flat.svg").pieces
    assert all(line.tag.stitched is None for line in piece.lines)
