"""`pleatsvg fold` as a person uses it: proof, picture, and what an editor may have done to a result."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.commandline.terminal import BROKEN, FIXTURES, JARGON, KNIFE, Terminal, assert_refused
from tests.referee.foldback import prove


@pytest.fixture
def flat(terminal: Terminal, tmp_path: Path) -> Path:
    """The chorus skirt with three knife pleats, flat."""
    out = tmp_path / "flat.svg"
    assert terminal("pleat", FIXTURES / "skirt-front.svg", "-o", out, *KNIFE).code == 0
    return out


def test_a_fresh_result_is_proven_and_drawn(flat: Path, terminal: Terminal, tmp_path: Path) -> None:
    outcome = terminal("fold", flat, "-o", tmp_path / "folded.svg")
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.out.count("  yes  ") == 13
    assert "  NO " not in outcome.out
    assert "at most 3 at pleats 1 to 3, from top to hem" in outcome.out
    assert (tmp_path / "folded.svg").stat().st_size > 5000
    assert_refused(terminal("fold", flat, "-o", tmp_path / "folded.svg"), 1, "is there already")
    assert_refused(terminal("fold", flat, "-o", flat, "--force"), 1, "is the drawing itself")
    assert_refused(terminal("fold", flat, "--side", "left"), 2, "Give right or wrong")


def test_figures_agree_with_the_referee(flat: Path, terminal: Terminal) -> None:
    data = json.loads(terminal("fold", flat, "--json").out)
    assert data["true"]
    proof = prove(flat)
    assert data["worst_mm"] < 1e-5
    assert proof.raw_edge_mm < 1e-3
    assert data["flat_area_mm2"] == pytest.approx(proof.flat_area_mm2, rel=1e-6)
    assert data["finished_area_mm2"] == pytest.approx(proof.finished_area_mm2, rel=1e-6)
    assert data["layers"]["average"] == pytest.approx(proof.flat_area_mm2 / proof.finished_area_mm2, rel=1e-6)
    assert [zone["layers"] for zone in data["layers"]["across"]] == [1, 3, 1, 3, 1, 3, 1]


def moved_node(text: str, by: float) -> str:
    """The seam with its node at the first inner fold, at the hem, moved down by so much."""
    at = re.search(r'class="inner-fold-line" d="M \S+ L (\S+)"', text)
    assert at is not None
    x, y = at[1].split(",")
    seam = re.search(r'class="seam-line" d="([^"]*)"', text)
    assert seam is not None
    assert at[1] in seam[1]
    return text.replace(seam[1], seam[1].replace(at[1], f"{x},{float(y) + by}"))


def test_a_moved_node_is_found_named_and_stops_the_cutting(flat: Path, terminal: Terminal, tmp_path: Path) -> None:
    flat.write_text(moved_node(flat.read_text(encoding="utf-8"), 2.0), encoding="utf-8")
    outcome = terminal("fold", flat, "-o", tmp_path / "folded.svg")
    assert outcome.code == 1
    assert not (tmp_path / "folded.svg").exists()
    assert "NO   every raw edge of every layer lies on the finished seam" in outcome.out
    assert "inner fold line of pleat 1" in outcome.err
    assert re.search(r"misses the finished seam by 1\.9\d|misses the finished seam by 2\.0", outcome.err)
    assert "Do not cut from it" in outcome.err
    assert len(outcome.err) < 450
    assert not any(alien in outcome.err for alien in JARGON)
    assert terminal("fold", flat, "--json").code == 1
    # The referee, which shares no code, finds the same miss.
    told = json.loads(terminal("fold", flat, "--json").out)
    raw = next(figure for figure in told["figures"] if figure["name"] == "raw_edges")
    assert raw["value_mm"] == pytest.approx(prove(flat).raw_edge_mm, abs=0.02)


def in_editor(text: str) -> str:
    """The result as an editor may save it: in px with a group moved and scaled, relative commands, other classes too."""
    size = re.search(r'width="(\d+)mm" height="(\d+)mm" viewBox="0 0 \d+ \d+"', text)
    assert size is not None
    scale = 96 / 25.4
    width, height = (float(side) * scale for side in size.groups())
    text = text.replace(size[0], f'width="{width}" height="{height}" viewBox="0 0 {width} {height}"')
    piece = text.index('<g id="piece"')
    end = text.index("</svg>")
    inner = re.sub(r'd="M (\S+),(\S+) L (\S+),(\S+)"', _relative, text[piece:end])
    inner = inner.replace('class="fold-line"', 'class="st0 fold-line"').replace(
        'style="display:none"', 'style="display:none;opacity:1"'
    )
    start = text.index("</title>") + len("</title>")
    around = f'<g transform="translate(7.5,-3) scale({scale})">'
    return f'{text[:start]}{around}{text[start:piece]}<g transform="rotate(90 10 20)">{inner}</g></g></svg>'


def _relative(match: re.Match[str]) -> str:
    a, b, c, d = (float(number) for number in match.groups())
    return f'd="m{a:.7f} {b:.7f}l{c - a:.7f}{d - b:+.7f}"'


def test_a_result_saved_by_an_editor_still_holds(flat: Path, terminal: Terminal) -> None:
    text = in_editor(flat.read_text(encoding="utf-8"))
    assert "m" in re.findall(r'class="st0 fold-line" d="(.)', text)
    # Turned by a quarter, laps that said left on the page now point up; all else is as true as before.
    text = text.replace("fold points left (right over left)", "fold points up (lower over upper)")
    flat.write_text(text.replace('data-lap="left"', 'data-lap="up"'), encoding="utf-8")
    outcome = terminal("fold", flat, "--json")
    data = json.loads(outcome.out)
    assert outcome.code == 0
    assert data["worst_mm"] < 1e-4


def test_a_scaled_drawing_is_told(flat: Path, terminal: Terminal) -> None:
    text = flat.read_text(encoding="utf-8")
    size = re.search(r'viewBox="0 0 (\d+) (\d+)"', text)
    assert size is not None
    # A4 fitted to another paper: everything at 94 %.
    grown = f'viewBox="0 0 {int(size[1]) / 0.94} {int(size[2]) / 0.94}"'
    flat.write_text(text.replace(size[0], grown), encoding="utf-8")
    outcome = terminal("fold", flat)
    assert outcome.code == 1
    assert "everything is drawn at 94.0 % of its true size" in outcome.err


def test_steps_in_words_without_a_picture(flat: Path, terminal: Terminal) -> None:
    out = terminal("fold", flat, "--steps").out
    assert "1. Pleat 1: bring FOLD 1 onto PLACE 1; it points left (right over left); pin." in out
    assert "care label" in out


@pytest.mark.parametrize("name", ["empty.svg", "truncated.svg", "not-svg.svg"])
def test_broken_files_are_refused(name: str, terminal: Terminal) -> None:
    assert_refused(terminal("fold", BROKEN / name), 1, name)


def test_a_drawing_that_is_no_result_says_so(terminal: Terminal, tmp_path: Path) -> None:
    assert_refused(terminal("fold", FIXTURES / "skirt-front.svg"), 1, "is not a result of pleatsvg")
    assert_refused(terminal("fold", tmp_path / "none.svg"), 1, "is not there")
    bomb = tmp_path / "bomb.svg"
    bomb.write_text(
        '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>'
        '<svg xmlns="http://www.w3.org/2000/svg"><g class="piece" data-piece="&b;">'
        '<path class="seam-line" d="M0 0L1e400 0L5 5Z"/><path class="finished-line" d="M0 0L9 0L5 5Z"/></g></svg>',
        encoding="utf-8",
    )
    assert_refused(terminal("fold", bomb), 1)
