"""Kinds of pleat from the command line and by the names of slash lines: what is said, and what wrong use is told."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.commandline.terminal import COMMAND, DRAWING, FIXTURES, JARGON, Terminal, svg

PANEL, GORE, SKIRT = (FIXTURES / f"{name}.svg" for name in ("straight-panel", "gore-panel", "skirt-front"))
KNIFE = ("--kind", "knife", "--intake", "6cm", "--lap", "left")
TUCK = ("--kind", "tuck", "--depth", "1cm", "--lap", "left")
INVERTED = ("--kind", "inverted", "--intake", "12cm")
KICK = ("--kind", "kick", "--intake", "10cm", "--height", "20cm")


def named(*names: str) -> str:
    """A panel 300 x 400 with upright lines of these names at equal spaces."""
    lines = "".join(
        f'<path data-name="{name}" d="M{20 + 300 * (k + 1) / (len(names) + 1)},20 v400" stroke="#c00"/>'
        for k, name in enumerate(names)
    )
    return svg(f'<rect data-name="seam" x="20" y="20" width="300" height="400" fill="none" stroke="#000"/>{lines}')


def assert_refused(outcome: object, code: int, *words: str) -> None:
    """One paragraph on standard error for a dressmaker, nothing on standard output."""
    err, out = outcome.err, outcome.out  # type: ignore[attr-defined]
    assert outcome.code == code, err  # type: ignore[attr-defined]
    assert out == ""
    assert len(err.strip().splitlines()) == 1
    assert not any(word in err for word in JARGON), err
    assert ".." not in err.replace("...", "")
    for word in words:
        assert word in err


@pytest.mark.parametrize(
    ("drawing", "options", "code", "words"),
    [
        (PANEL, (*KNIFE, "--stack", "1x"), COMMAND, ["--stack is '1x'", "whole number"]),
        (PANEL, (*KNIFE, "--stack", "0"), COMMAND, ["--stack is 0", "from 1 to 5"]),
        (PANEL, (*KNIFE, "--stack", "-2"), COMMAND, ["--stack is -2"]),
        (PANEL, (*KNIFE, "--stack", "6"), COMMAND, ["--stack is 6", "2 for a double pleat"]),
        (PANEL, (*KNIFE, "--stack", ""), COMMAND, ["--stack is ''"]),
        (PANEL, (*TUCK, "--stack", "2"), COMMAND, ["2 for a tuck"]),
        (GORE, (*KICK, "--stack", "2"), COMMAND, ["2 for a kick pleat"]),
        (PANEL, (*KNIFE, "--gap", "1cm"), COMMAND, ["--gap is given without --count"]),
        (PANEL, (*KNIFE, "--gap", "0mm", "--count", "3"), COMMAND, ["--gap is 0 mm"]),
        (PANEL, (*KNIFE, "--gap", "5", "--count", "3"), COMMAND, ["without a unit"]),
        (PANEL, (*KNIFE, "--gap", "1cm", "--count", "0"), COMMAND, ["--count is 0"]),
        (PANEL, (*KNIFE, "--gap", "90cm", "--count", "3"), DRAWING, ["Line 2 of 3", "off the piece"]),
        (PANEL, (*KNIFE, "--underlay", "seperate"), COMMAND, ["nearest is 'separate'"]),
        (PANEL, (*KNIFE, "--underlay", ""), COMMAND, ["--underlay is ''"]),
        (PANEL, (*KNIFE, "--cloth-width", "5cm"), COMMAND, ["--cloth-width is 5 cm"]),
        (PANEL, (*KNIFE, "--cloth-width", "wide"), COMMAND, ["not a length"]),
        (
            PANEL,
            (*KNIFE, "--cloth-width", "15cm"),
            DRAWING,
            ["does not fit on cloth 15 cm wide", "Take cloth at least"],
        ),
        (PANEL, ("--kind", "pintuk", "--intake", "1cm"), COMMAND, ["'pin-tuck'"]),
        (PANEL, ("--kind", "tuck", "--depth", "1cm"), COMMAND, ["The lap of a tuck is missing"]),
        (PANEL, (*TUCK[:-1], "up"), DRAWING, ["Give --lap left or right"]),
        (PANEL, (*TUCK, "--stitched", "0mm"), COMMAND, ["--stitched is 0 mm"]),
        (PANEL, (*TUCK, "--stitched", "5"), COMMAND, ["without a unit"]),
        (PANEL, (*TUCK, "--stitched", "90cm"), DRAWING, ["stitched for 90 cm on a line 40 cm long"]),
        (PANEL, (*TUCK, "--stitched-from", "top"), COMMAND, ["Give --stitched with it"]),
        (PANEL, (*TUCK, "--stitched", "5cm", "--stitched-from", "left"), COMMAND, ["'top', 'hem', 'middle'"]),
        (
            PANEL,
            ("--kind", "tuck", "--depth", "20cm", "--lap", "left"),
            DRAWING,
            ["a tuck must lie wholly on the piece"],
        ),
        (GORE, KICK[:4], COMMAND, ["The height of a kick pleat is missing"]),
        (GORE, (*KICK[:5], "0mm"), COMMAND, ["--height is 0 mm"]),
        (GORE, (*KICK[:5], "70cm"), DRAWING, ["70 cm high on a line 64.59 cm long", "a smaller --height"]),
        (GORE, (*KICK[:5], "1mm"), DRAWING, ["a greater --height"]),
        (GORE, (*KICK, "--hem-intake", "0mm"), DRAWING, ["takes up something at both its ends"]),
        (GORE, (*KICK, "--allowance", "5cm"), DRAWING, ["smaller --allowance", "--underlay separate"]),
        (PANEL, ("--height", "20cm"), COMMAND, ["The kind of pleat is missing"]),
    ],
)
def test_wrong_use_is_told(
    drawing: Path, options: tuple[str, ...], code: int, words: list[str], terminal: Terminal, tmp_path: Path
) -> None:
    assert_refused(terminal("pleat", drawing, "-o", "flat.svg", *options), code, *words)
    assert not (tmp_path / "flat.svg").exists()


@pytest.mark.parametrize(
    ("options", "note"),
    [
        ((*KNIFE, "--underlay", "separate"), "--underlay plays no part: a knife pleat"),
        ((*TUCK, "--underlay", "separate"), "--underlay plays no part: a tuck has"),
        ((*KNIFE, "--height", "20cm"), "--height plays no part: a knife pleat"),
        ((*KNIFE, "--stitched", "5cm"), "--stitched plays no part: a knife pleat"),
        ((*INVERTED, "--lap", "left"), "--lap plays no part: an inverted pleat"),
    ],
)
def test_what_plays_no_part_is_told(options: tuple[str, ...], note: str, terminal: Terminal) -> None:
    done = terminal("pleat", PANEL, "-o", "flat.svg", *options)
    assert done.code == 0, done.err
    assert note in done.out


def test_a_name_can_ask_for_an_underlay_apart(terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "panel.svg").write_text(named("slash 1 inverted 8cm separate underlay"))
    assert terminal("pleat", "panel.svg", "-o", "flat.svg").code == 0
    assert len(re.findall('class="seam-line"', (tmp_path / "flat.svg").read_text())) == 3


def test_names_go_over_options(terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "panel.svg").write_text(named("slash left", "slash 2 inverted 6cm", "slash 3 4cm", "slash right"))
    done = terminal("pleat", "panel.svg", "-o", "flat.svg", "--kind", "knife", "--intake", "2cm", "--lap", "left")
    assert done.code == 0, done.err
    pleats = [line.strip() for line in done.out.splitlines() if line.strip().startswith("Pleat")]
    assert pleats == [
        "Pleats 1, 4: knife, intake 2 cm, fold points left (right over left)",
        "Pleat 2: inverted, intake 6 cm, folds meet",
        "Pleat 3: knife, intake 4 cm, fold points left (right over left)",
    ]


def test_a_name_that_says_too_little(terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "panel.svg").write_text(named("slash 3 tuck 4cm"))
    outcome = terminal("pleat", "panel.svg", "-o", "flat.svg")
    assert_refused(outcome, DRAWING, "'slash 3 tuck 4cm'", "the lap of a tuck is missing", "Change the name")


def test_joins_without_allowance_are_told(terminal: Terminal) -> None:
    done = terminal("pleat", GORE, "-o", "flat.svg", *KICK, "--underlay", "separate", "--allowance", "hem=4cm")
    assert done.code == 0
    assert "Joins, and the seam above a kick pleat, have no allowance" in done.out


def test_measure_knows_a_line_on_the_fold_edge(terminal: Terminal, tmp_path: Path) -> None:
    edge = '<path data-name="fold edge" d="M320,30 V400"/><path data-name="slash 1" d="M320,20 V420" stroke="#c00"/>'
    (tmp_path / "half.svg").write_text(named().replace("</svg>", f"{edge}</svg>"))
    done = terminal("measure", "half.svg")
    assert "'slash 1' lies on the fold edge" in done.out
    assert "opened out it is 600 mm wide" in done.out


def test_intakes_of_a_parted_pleat_in_figures(terminal: Terminal) -> None:
    done = terminal("pleat", GORE, "-o", "flat.svg", *INVERTED, "--underlay", "separate", "--json")
    (found,) = json.loads(done.out)["pleats"]
    assert found["intake_mm"] == pytest.approx(120, abs=1e-3)
