"""Whatever cannot be made is refused: in one short paragraph that names element, figure, limit and remedy.

Every case says which of these it expects. Nothing may be printed elsewhere, and nothing written.
"""

from __future__ import annotations

import cmath
import errno
import math
import os
import re
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest

import pleatsvg.api
from pleatsvg.drawing import source as reading
from tests.commandline.terminal import (
    BROKEN,
    COMMAND,
    DRAWING,
    FIXTURES,
    KNIFE,
    PANEL,
    Terminal,
    assert_refused,
    contents,
    line,
    svg,
)

DEEP = ("--kind", "knife", "--depth", "30mm", "--lap", "left")
INVERTED = ("--kind", "inverted", "--intake", "60mm")
BOX = ("--kind", "box", "--intake", "60mm")

SKIRT = svg(PANEL + line("slash waist", 120) + line("slash side", 220) + line("hip", 150))
LEVEL = svg(PANEL + '<line id="slash-1" x1="20" y1="150" x2="320" y2="150"/>')
ONE = svg(PANEL + line("slash-1", 170))


@dataclass(frozen=True)
class Case:
    """A call and its refusal.

    Attributes:
        body: the drawing, as text or as the name of a file among the broken fixtures.
        words: what follows `pleat DRAWING -o flat.svg`.
        code: exit code.
        element, measured, limit, remedy: phrases of the message; "" where there is nothing to name.
    """

    body: str
    words: Sequence[object]
    code: int
    element: str
    measured: str
    limit: str
    remedy: str
    more: tuple[str, ...] = field(default=())

    @property
    def phrases(self) -> tuple[str, ...]:
        return (self.element, self.measured, self.limit, self.remedy, *self.more)


FILES = {
    # One fault to a file; the figures are those of fixtures/README.md, worked out there from the numbers in the files.
    "not-svg.svg": Case("", KNIFE, DRAWING, "'not-svg.svg'", "line 1", "an SVG file", "Save the drawing as SVG"),
    "empty.svg": Case("", KNIFE, DRAWING, "'empty.svg'", "is empty", "an SVG file", "Save the drawing as SVG"),
    "truncated.svg": Case("", KNIFE, DRAWING, "'truncated.svg'", "line 4", "an SVG file", "Save the drawing"),
    "no-outline.svg": Case("", KNIFE, DRAWING, "'no-outline.svg'", "3 shapes", "one closed", "name it 'seam'"),
    "open-outline.svg": Case(
        "", KNIFE, DRAWING, "'seam-line'", "7.00 mm", "0.1 mm", "Join", ("(20.0, 20.0)", "(20.0, 27.0)")
    ),
    "crossing-outline.svg": Case("", KNIFE, DRAWING, "'seam-line'", "(170.0, 220.0)", "once", "Move the nodes"),
    "two-outlines.svg": Case("", KNIFE, DRAWING, "'two-outlines.svg'", "2 outlines", "one piece", "--piece"),
    "no-slash.svg": Case("", KNIFE, DRAWING, "'no-slash'", "no slash lines", "needs a line", "--count"),
    "short-line.svg": Case("", KNIFE, DRAWING, "'slash-1'", "24 mm short", "10 mm", "Draw the line on"),
    "bent-line.svg": Case("", KNIFE, DRAWING, "'slash-1'", "16.0 mm", "0.1 mm", "straight line", ("(186.0, 220.0)",)),
    "crosses-four-times.svg": Case("", KNIFE, DRAWING, "'slash-1'", "4 times", "twice", "Shorten the line"),
    "crossing-lines.svg": Case(
        "", KNIFE, DRAWING, "'slash-1' and 'slash-2'", "(185.6, 242.2)", "not inside", "Move one of them"
    ),
    "underlay-past-side.svg": Case("", DEEP, DRAWING, "'slash-1'", "10 mm", "40 mm", "smaller intake", ("right",)),
    "armhole-in-the-way.svg": Case("", DEEP, DRAWING, "'slash-1'", "6.7 mm", "46.6 mm", "smaller intake", ("right",)),
}

MADE = {
    # -------- the drawing
    "outline that crosses itself in one curve": Case(
        svg('<path id="seam" d="M20 20H220C320 420 -20 420 120 20V5H20Z"/>' + line("slash-1", 60)),
        KNIFE,
        DRAWING,
        "'seam'",
        "crosses or touches itself at",
        "once",
        "Move the nodes",
    ),
    "outline of no size": Case(
        svg('<path id="seam" d="M20 20h.5v.5h-.5Z"/>' + line("slash-1", 60)),
        KNIFE,
        DRAWING,
        "'seam'",
        "0.25 mm2",
        "1 mm2",
        "scale",
    ),
    "slash line beside the piece": Case(
        svg(PANEL + line("slash-1", 330)), KNIFE, DRAWING, "'slash-1'", "does not cross", "seam to seam", "Move it"
    ),
    "slash line along the side": Case(
        svg(PANEL + line("slash-1", 20)), KNIFE, DRAWING, "'slash-1'", "does not cross", "seam to seam", "Move it"
    ),
    "slash line of no length": Case(
        svg(PANEL + line("slash-1", 170, y2=20)), KNIFE, DRAWING, "'slash-1'", "no length", "seam to seam", "Draw it"
    ),
    "slash line that is a closed shape": Case(
        svg(PANEL + '<path id="slash-1" d="M100 20H150V420H100Z"/>'),
        KNIFE,
        DRAWING,
        "'slash-1'",
        "closed",
        "straight",
        "Draw it as one straight line",
    ),
    "slash line 10.5 short at both ends": Case(
        svg(PANEL + line("slash-1", 170, y=30.5, y2=409.5)), KNIFE, DRAWING, "'slash-1'", "10.5 mm", "10 mm", "Draw"
    ),
    "slash lines on one another": Case(
        svg(PANEL + line("slash-1", 170) + line("slash-2", 170)),
        KNIFE,
        DRAWING,
        "'slash-1' and 'slash-2'",
        "lie on one another",
        "a line of its own",
        "Delete one",
    ),
    "slash lines like a fork": Case(
        svg(
            PANEL
            + '<path id="slash-1" d="M20 100L120 20"/><path id="slash-2" d="M220 20L320 100"/>'
            + '<path id="slash-3" d="M20 340L120 420"/>'
        ),
        KNIFE,
        DRAWING,
        "3 slash lines",
        "prongs",
        "in a row",
        "--slash",
    ),
    "transform that flattens": Case(
        svg(f'<g id="layer1" transform="scale(0)">{PANEL}{line("slash-1", 170)}</g>'),
        KNIFE,
        DRAWING,
        "'layer1'",
        "squashed flat",
        "keep an area",
        "Undo it",
    ),
    "transform that flattens onto a line": Case(
        svg(f'<g id="layer1" transform="matrix(1 1 1 1 0 0)">{PANEL}{line("slash-1", 170)}</g>'),
        KNIFE,
        DRAWING,
        "'layer1'",
        "squashed flat",
        "keep an area",
        "Undo it",
    ),
    "page of no width": Case(
        svg(PANEL + line("slash-1", 170), 'width="0mm" height="440mm" viewBox="0 0 340 440"'),
        KNIFE,
        DRAWING,
        "width",
        "0mm",
        "more than 0",
        "Set the page size",
    ),
    "page in furlongs": Case(
        svg(PANEL + line("slash-1", 170), 'width="3furlong" height="440mm" viewBox="0 0 340 440"'),
        KNIFE,
        DRAWING,
        "width",
        "3furlong",
        "mm, cm, in, pt, pc or px",
        "Set the page size",
    ),
    "path data that breaks off": Case(
        svg('<path id="seam" d="M20 20H320V420H20Z L"/>' + line("slash-1", 170)),
        KNIFE,
        DRAWING,
        "'seam'",
        "character",
        "as far as its first fault",
        "save it again",
    ),
    "a web page": Case(
        "<html><body>wardrobe</body></html>",
        KNIFE,
        DRAWING,
        "'drawing.svg'",
        "'html'",
        "'svg'",
        "Save the drawing as SVG",
    ),
    # -------- what fits and what does not
    "face past the side": Case(
        svg(PANEL + line("slash-1", 60)),
        (*BOX, "--face", "10cm"),
        DRAWING,
        "'slash-1'",
        "10 mm",
        "on the piece",
        "--face",
    ),
    "faces that overlap": Case(
        svg(PANEL + line("slash-1", 130) + line("slash-2", 170)),
        (*BOX, "--face", "60mm"),
        DRAWING,
        "'slash-1' and 'slash-2'",
        "20 mm",
        "40 mm",
        "narrower --face",
    ),
    "taper steeper than its line is long": Case(
        svg(PANEL + line("slash-1", 170)),
        ("--kind", "knife", "--intake", "2mm", "--hem-intake", "90cm", "--lap", "left"),
        DRAWING,
        "'slash-1'",
        "449 mm",
        "400 mm",
        "nearer to each other",
    ),
    "flat piece that would lie over itself": Case(  # thirteen hinges of 2 asin(10/40) = 29 degrees go once round
        svg(
            '<path id="seam" d="M20 20H320V60H20Z"/>'
            + "".join(line(f"slash-{k}", 50 + 20 * k, y2=60) for k in range(13))
        ),
        ("--kind", "knife", "--intake", "20mm", "--hem-intake", "0mm", "--lap", "right"),
        DRAWING,
        "'drawing'",
        "lie over itself",
        "one layer",
        "smaller intake",
    ),
    "lap left on level lines": Case(
        LEVEL, KNIFE, DRAWING, "'slash-1'", "lap left", "up or down", "Give --lap up or down"
    ),
    "lap up on upright lines": Case(
        ONE,
        ("--kind", "knife", "--intake", "6cm", "--lap", "up"),
        DRAWING,
        "'slash-1'",
        "lap up",
        "left or right",
        "Give --lap left or right",
    ),
    "lap towards the centre in the centre": Case(
        ONE,
        ("--kind", "knife", "--intake", "6cm", "--lap", "centre"),
        DRAWING,
        "'slash-1'",
        "1 mm",
        "to one side",
        "--slash",
    ),
    "slash name that is not there": Case(
        SKIRT,
        (*KNIFE, "--slash", "slash wasit"),
        DRAWING,
        "'slash wasit'",
        "not on this piece",
        "'slash waist'",
        "pleatsvg measure",
    ),
    "slash name like no other": Case(
        SKIRT,
        (*KNIFE, "--slash", "neckline"),
        DRAWING,
        "'neckline'",
        "not on this piece",
        "'slash waist', 'slash side'",
        "pleatsvg measure",
    ),
    "piece that is not there": Case(
        SKIRT, (*KNIFE, "--piece", "sleeve"), DRAWING, "'sleeve'", "not on the drawing", "'drawing'", "--piece"
    ),
    "place beyond the seam": Case(
        ONE, (*KNIFE, "--at", "35cm"), DRAWING, "35 cm", "off the seam", "300 mm", "Give --at"
    ),
    "place on the corner": Case(ONE, (*KNIFE, "--at", "0mm"), DRAWING, "0 mm", "off the seam", "300 mm", "Give --at"),
    "edge that is not there": Case(
        ONE,
        (*KNIFE, "--count", "2", "--along", "bottom"),
        DRAWING,
        "'bottom'",
        "4 seam edges",
        "'hem'",
        "pleatsvg measure",
    ),
    "along a grain that is not drawn": Case(
        ONE,
        (*KNIFE, "--count", "2", "--run", "grain"),
        DRAWING,
        "line 1 of 2",
        "no grainline",
        "",
        "Draw a line named 'grainline'",
    ),
    # -------- the command line
    "kind missing": Case(ONE, ("--intake", "6cm"), COMMAND, "kind", "missing", "", "--kind knife, box, inverted"),
    "kind unknown": Case(
        ONE, ("--kind", "knif", "--intake", "6cm"), COMMAND, "--kind", "'knif'", "'knife'", "one of these words"
    ),
    "intake missing": Case(
        ONE, ("--kind", "knife", "--lap", "left"), COMMAND, "intake", "missing", "flat width", "Give --intake 6cm"
    ),
    "intake of nothing": Case(
        ONE,
        ("--kind", "knife", "--lap", "left", "--intake", "0mm"),
        COMMAND,
        "--intake",
        "0 mm",
        "more than nothing",
        "above 0",
    ),
    "intake below nothing": Case(
        ONE,
        ("--kind", "knife", "--lap", "left", "--intake", "-6cm"),
        COMMAND,
        "--intake",
        "-6 cm",
        "more than nothing",
        "above 0",
    ),
    "depth below nothing": Case(
        ONE,
        ("--kind", "knife", "--lap", "left", "--depth=-1in"),
        COMMAND,
        "--depth",
        "-1 in",
        "more than nothing",
        "above 0",
    ),
    "intake without unit": Case(
        ONE,
        ("--kind", "knife", "--lap", "left", "--intake", "60"),
        COMMAND,
        "--intake",
        "'60', without a unit",
        "could be meant",
        "60mm, 60cm or 60in",
    ),
    "intake in letters": Case(
        ONE,
        ("--kind", "knife", "--lap", "left", "--intake", "much"),
        COMMAND,
        "--intake",
        "'much'",
        "not a length",
        "60mm, 6cm",
    ),
    "intake and depth": Case(
        ONE, (*KNIFE, "--depth", "3cm"), COMMAND, "--intake and --depth", "both given", "follows", "Keep one"
    ),
    "hem intake below nothing": Case(
        ONE, (*KNIFE, "--hem-intake", "-1cm"), COMMAND, "--hem-intake", "-1 cm", "less than 0", "Give 0mm"
    ),
    "nothing at both ends": Case(
        ONE,
        ("--kind", "knife", "--lap", "left", "--intake", "0mm", "--hem-intake", "0mm"),
        COMMAND,
        "Both intakes",
        "are 0",
        "at one end at least",
        "Give one",
    ),
    "knife without lap": Case(
        ONE,
        ("--kind", "knife", "--intake", "6cm"),
        COMMAND,
        "lap of a knife pleat",
        "missing",
        "costs the cloth",
        "--lap left, right",
    ),
    "lap unknown": Case(
        ONE,
        ("--kind", "knife", "--intake", "6cm", "--lap", "lft"),
        COMMAND,
        "--lap",
        "'lft'",
        "'left'",
        "one of these words",
    ),
    "face of nothing": Case(ONE, (*BOX, "--face", "0mm"), COMMAND, "--face", "0 mm", "wider than nothing", "Give"),
    "face below nothing": Case(ONE, (*BOX, "--face", "-2cm"), COMMAND, "--face", "-2 cm", "wider than nothing", "Give"),
    "count of none": Case(ONE, (*KNIFE, "--count", "0"), COMMAND, "--count", "is 0", "1 to 2000", "Give how many"),
    "count below none": Case(ONE, (*KNIFE, "--count", "-3"), COMMAND, "--count", "-3", "1 to 2000", "Give how many"),
    "count of a million": Case(
        ONE, (*KNIFE, "--count", "1000000"), COMMAND, "--count", "1000000", "1 to 2000", "Give how many"
    ),
    "count in letters": Case(ONE, (*KNIFE, "--count", "six"), COMMAND, "--count", "'six'", "whole number", "how many"),
    "at and count": Case(
        ONE, (*KNIFE, "--count", "3", "--at", "5cm"), COMMAND, "--at and --count", "both given", "one way", "Keep one"
    ),
    "place without unit": Case(
        ONE, (*KNIFE, "--at", "35"), COMMAND, "--at", "'35', without a unit", "could be meant", "35mm, 35cm or 35in"
    ),
    "run unknown": Case(
        ONE, (*KNIFE, "--count", "3", "--run", "fann"), COMMAND, "--run", "'fann'", "'fan'", "one of these words"
    ),
    "along with nothing to place": Case(
        ONE, (*KNIFE, "--along", "hem"), COMMAND, "--along", "none to place", "", "--at or --count"
    ),
    "side of the cloth unknown": Case(
        ONE, (*KNIFE, "--shows", "rihgt"), COMMAND, "--shows", "'rihgt'", "right or the wrong", "Give right or wrong"
    ),
    "drawing unit without unit": Case(
        ONE,
        (*KNIFE, "--drawing-unit", "2"),
        COMMAND,
        "--drawing-unit",
        "'2', without a unit",
        "could be meant",
        "2mm, 2cm",
    ),
    "drawing unit of nothing": Case(
        ONE, (*KNIFE, "--drawing-unit", "0mm"), COMMAND, "--drawing-unit", "0 mm", "more than 0", "such as 1mm"
    ),
    "option unknown": Case(ONE, (*KNIFE, "--intak", "6cm"), COMMAND, "--intak", "", "", ""),
    "option without its value": Case(
        ONE, ("--kind", "knife", "--lap", "left", "--intake"), COMMAND, "--intake", "", "", ""
    ),
    "two drawings": Case(ONE, ("other.svg", *KNIFE), COMMAND, "other.svg", "", "", ""),
}


@pytest.mark.parametrize("name", FILES)
def test_each_broken_drawing_is_refused(name: str, terminal: Terminal, tmp_path: Path) -> None:
    case = FILES[name]
    outcome = terminal("pleat", BROKEN / name, "-o", "flat.svg", *case.words)
    assert_refused(outcome, case.code, *case.phrases)
    assert contents(tmp_path) == {}


def test_every_broken_drawing_has_its_case() -> None:
    assert set(FILES) == {file.name for file in BROKEN.iterdir()}


UNREADABLE = ["not-svg.svg", "empty.svg", "truncated.svg", "no-outline.svg", "open-outline.svg", "crossing-outline.svg"]
UNREADABLE += ["bent-line.svg"]


@pytest.mark.parametrize("json", [(), ("--json",)], ids=["text", "json"])
@pytest.mark.parametrize("name", UNREADABLE)
def test_measure_refuses_what_holds_no_piece(name: str, json: tuple[str, ...], terminal: Terminal) -> None:
    """A refusal is a paragraph, with --json too: nothing half-made stands on standard output."""
    assert_refused(terminal("measure", BROKEN / name, *json), DRAWING, *FILES[name].phrases)


@pytest.mark.parametrize(
    ("name", "phrases"),
    [
        ("short-line.svg", ("'slash-1'", "24 mm")),
        ("crosses-four-times.svg", ("'slash-1'", "4 times")),
        ("crossing-lines.svg", ("'slash-1' and 'slash-2'", "(185.6, 242.2)")),
        ("no-slash.svg", ("No slash lines",)),
    ],
)
def test_measure_tells_of_lines_that_cannot_be_used(name: str, phrases: tuple[str, ...], terminal: Terminal) -> None:
    """The piece itself is sound: it is measured, and the odd line is told among what is worth a look."""
    outcome = terminal("measure", BROKEN / name)
    assert outcome.code == 0
    assert outcome.err == ""
    told = outcome.out.split("Worth a look")[1]
    for phrase in phrases:
        assert phrase in told


@pytest.mark.parametrize("name", MADE)
def test_each_fault_is_refused(name: str, terminal: Terminal, tmp_path: Path) -> None:
    case = MADE[name]
    (tmp_path / "drawing.svg").write_text(case.body, encoding="utf-8")
    before = contents(tmp_path)
    outcome = terminal("pleat", "drawing.svg", "-o", "flat.svg", *case.words)
    assert_refused(outcome, case.code, *case.phrases)
    assert contents(tmp_path) == before


def test_an_underlay_that_runs_out_into_the_armhole(terminal: Terminal, tmp_path: Path) -> None:
    """The page's tunic: 45 to the right of slash 2. The armhole's nearest point, (164.47, 138.93), lies 35.176 from the
    line: 9.8 too near, and an intake of 70.3 fits. Derived: the cubic sampled at 100 000 places."""
    words = ("--kind", "knife", "--depth", "45mm", "--lap", "left", "--slash", "slash 2")
    outcome = terminal("pleat", FIXTURES / "bodice-front.svg", "-o", "flat.svg", *words)
    assert_refused(outcome, DRAWING, "'slash 2'", "on its right by 9.8 mm", "70.3 mm", "smaller intake")
    assert contents(tmp_path) == {}


@pytest.mark.parametrize("words", [(), ("measre", "x.svg"), ("measure",), ("measure", "x.svg", "--unit")])
def test_a_command_line_that_is_none(words: tuple[str, ...], terminal: Terminal, tmp_path: Path) -> None:
    """Exit 2; a call with nothing at all may answer with help instead."""
    outcome = terminal(*words)
    if not words:
        assert outcome.code == COMMAND
        assert "measure" in outcome.out + outcome.err
        return
    assert_refused(outcome, COMMAND)
    assert contents(tmp_path) == {}


def test_a_unit_to_answer_in_that_is_none(terminal: Terminal) -> None:
    outcome = terminal("measure", FIXTURES / "gore-panel.svg", "--unit", "ell")
    assert_refused(outcome, COMMAND, "--unit", "'ell'", "mm, cm or in", "Give one")


# ------------------------------------------------------------------------------------------ the deepest that fits


ROOM = {
    # drawing, options with an intake that is too deep
    "knife to the right of a line near the right side": (svg(PANEL + line("slash-1", 290)), KNIFE[:2], "left"),
    "knife to the left of a line near the left side": (svg(PANEL + line("slash-1", 45)), KNIFE[:2], "right"),
    "knife on a line that slants to the side": (svg(PANEL + line("slash-1", 260, 300)), KNIFE[:2], "left"),
    "inverted, both sides in the way, left first": (svg(PANEL + line("slash-1", 250)), INVERTED[:2], None),
    "inverted, both sides in the way, right first": (svg(PANEL + line("slash-1", 100)), INVERTED[:2], None),
}


@pytest.mark.parametrize("name", ROOM)
@pytest.mark.parametrize("hem", [None, "1.5"], ids=["parallel", "deeper at the hem"])
def test_the_deepest_intake_offered_fits_and_no_deeper_one(
    name: str, hem: str | None, terminal: Terminal, tmp_path: Path
) -> None:
    """What the message offers is made without a murmur; half a millimetre more is refused."""
    body, kind, lap = ROOM[name]
    (tmp_path / "drawing.svg").write_text(body, encoding="utf-8")
    share = float(hem or 1)

    def options(top: float, bottom: float) -> tuple[str, ...]:
        lapped = ("--lap", lap) if lap else ()
        return (*kind, *lapped, "--intake", f"{top:.4f}mm", "--hem-intake", f"{bottom:.4f}mm", "-o", "flat.svg")

    outcome = terminal("pleat", "drawing.svg", *options(950, 950 * share))
    assert_refused(outcome, DRAWING, "'slash-1'", "the deepest intake that fits here is")
    found = re.search(r"fits here is ([\d.]+) mm(?: at the top with ([\d.]+) mm at the hem)?", outcome.err)
    assert found is not None
    top = float(found[1])
    bottom = float(found[2] or found[1])
    assert abs(bottom - top * share) < 0.3, "the taper that was asked for"
    assert top > 1
    fits = terminal("pleat", "drawing.svg", *options(top, bottom))
    assert fits.code == 0, fits.err
    deeper = terminal("pleat", "drawing.svg", *options(top + 0.5, bottom + 0.5 * share), "--force")
    assert_refused(deeper, DRAWING, "'slash-1'")


# ------------------------------------------------------------------------------------------------------- the output


@pytest.fixture
def skirt(tmp_path: Path) -> Path:
    file = tmp_path / "skirt.svg"
    file.write_text(SKIRT, encoding="utf-8")
    return file


def test_an_output_that_is_there_is_not_written_over(terminal: Terminal, skirt: Path, tmp_path: Path) -> None:
    (tmp_path / "flat.svg").write_text("the only copy of the page's tunic", encoding="utf-8")
    before = contents(tmp_path)
    outcome = terminal("pleat", skirt, "-o", "flat.svg", *KNIFE)
    assert_refused(outcome, DRAWING, "'flat.svg'", "is there already", "nothing is written over", "--force")
    assert contents(tmp_path) == before


@pytest.mark.parametrize("way", ["same name", "round about", "absolute", "symbolic link", "hard link"])
@pytest.mark.parametrize("force", [(), ("--force",)], ids=["unforced", "forced"])
def test_the_drawing_itself_is_never_written_over(
    way: str, force: tuple[str, ...], terminal: Terminal, skirt: Path, tmp_path: Path
) -> None:
    target: object = {"same name": "skirt.svg", "round about": f"../{tmp_path.name}/./skirt.svg"}.get(way, skirt)
    if way.endswith("link"):
        target = tmp_path / "link.svg"
        (os.symlink if way == "symbolic link" else os.link)(skirt, tmp_path / "link.svg")
    before = contents(tmp_path)
    outcome = terminal("pleat", "skirt.svg", "-o", target, *KNIFE, *force)
    assert_refused(outcome, DRAWING, "The output", "is the drawing itself", "never written over", "another name")
    assert contents(tmp_path) == before


def test_the_drawing_is_not_written_over_by_a_program_either(skirt: Path, tmp_path: Path) -> None:
    """What the command never does, the call that it is made of must not do."""
    before = contents(tmp_path)
    result = pleatsvg.pleat(pleatsvg.read(skirt), kind="knife", intake="6cm", lap="left")
    with pytest.raises(pleatsvg.PleatError, match="the drawing itself"):
        pleatsvg.write(result, skirt, force=True)
    assert contents(tmp_path) == before


@pytest.mark.parametrize(
    ("target", "phrases"),
    [
        ("nowhere/flat.svg", ("'flat.svg'", "'nowhere'", "not there", "Make that folder")),
        ("folder", ("'folder'", "is a folder", "one file", "Give a file name")),
        ("skirt.svg/flat.svg", ("'flat.svg'", "not there", "Make that folder")),
    ],
)
def test_an_output_that_has_no_place(
    target: str, phrases: tuple[str, ...], terminal: Terminal, skirt: Path, tmp_path: Path
) -> None:
    (tmp_path / "folder").mkdir()
    before = contents(tmp_path)
    assert_refused(terminal("pleat", skirt, "-o", target, *KNIFE, "--force"), DRAWING, *phrases)
    assert contents(tmp_path) == before


def test_no_output_named(terminal: Terminal, skirt: Path, tmp_path: Path) -> None:
    before = contents(tmp_path)
    assert_refused(terminal("pleat", skirt, *KNIFE), COMMAND, "output", "missing", "a name of its own", "Give -o")
    assert contents(tmp_path) == before


@pytest.mark.parametrize("step", ["open", "write", "fsync", "replace"])
def test_a_full_disk_leaves_nothing_behind(
    step: str, terminal: Terminal, skirt: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whole or not at all: no half file, none under another name, and what was there is there still."""
    (tmp_path / "flat.svg").write_text("the last one", encoding="utf-8")
    before = contents(tmp_path)

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, step, full)
    outcome = terminal("pleat", skirt, "-o", "flat.svg", *KNIFE, "--force")
    assert_refused(
        outcome, DRAWING, "'flat.svg'", "cannot be written (No space left on device)", "", "room on the disk"
    )
    assert contents(tmp_path) == before


def test_a_broken_off_call_leaves_nothing_behind(
    terminal: Terminal, skirt: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ctrl-C while it is written."""

    def broken_off(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", broken_off)
    before = contents(tmp_path)
    outcome = terminal("pleat", skirt, "-o", "flat.svg", *KNIFE)
    assert outcome.code == 130
    assert outcome.out == ""
    assert "\n" not in outcome.err.strip()
    assert contents(tmp_path) == before


# -------------------------------------------------------------------------------------------- drawings that are none


@pytest.mark.parametrize("command", ["measure", "pleat"])
def test_files_that_are_no_drawing(command: str, terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "folder.svg").mkdir()
    (tmp_path / "binary.svg").write_bytes(bytes(range(256)) * 8)
    (tmp_path / "blank.svg").write_bytes(b" \n\t ")
    (tmp_path / "latin.svg").write_bytes(svg(PANEL + line("slash \u00e9", 170)).encode("latin-1"))
    (tmp_path / "nul.svg").write_bytes(ONE.replace("<path", "\0<path").encode())
    with (tmp_path / "large.svg").open("wb") as file:
        file.truncate(reading.LARGEST_FILE + 1)
    more = ("-o", "flat.svg", *KNIFE) if command == "pleat" else ()
    before = set(tmp_path.iterdir())
    for name, phrases in {
        "missing.svg": ("is not there", "Check the name"),
        "folder.svg": ("is not a file", "an SVG file", "Give the drawing itself"),
        "binary.svg": ("is not SVG", "line 1", "Save the drawing"),
        "blank.svg": ("is empty", "Save the drawing"),
        "latin.svg": ("is not SVG", "line 1", "Save the drawing"),
        "nul.svg": ("is not SVG", "line 1", "Save the drawing"),
        "large.svg": ("64 million bytes", "up to 64 million", "Leave out pictures"),
    }.items():
        assert_refused(terminal(command, name, *more), DRAWING, f"'{name}'", *phrases)
    assert set(tmp_path.iterdir()) == before


# ------------------------------------------------------------------------------------------------- hostile drawings


def bomb(where: str) -> str:
    """Ten entities, each ten times the one before it: ten thousand million words, if it were believed."""
    entities = ['<!ENTITY e0 "ha ha ha ha ha ha ha ha ha ha">']
    entities += [f'<!ENTITY e{k} "{f"&e{k - 1};" * 10}">' for k in range(1, 10)]
    return f"<!DOCTYPE svg [{''.join(entities)}]>{svg(PANEL + line('slash-1', 170) + where)}"


GROUPED = '<g id="layer1" transform="{}">' + PANEL + line("slash-1", 170) + "</g>"

HOSTILE = {
    "coordinates of 1e300": svg('<path id="seam" d="M0 0H1e300V1e300H0Z"/>' + line("slash-1", 170)),
    "coordinates of 1e160": svg('<path id="seam" d="M0 0H1e160V1e160H0Z"/>' + line("slash-1", 170, y=-10, y2=1e160)),
    "coordinates of 1e20": svg(
        '<path id="seam" d="M0 0H1e20V1e20H0Z"/><line id="slash-1" x1="1e19" y1="0" x2="1e19" y2="1e20"/>'
    ),
    "a curve to 1e300": svg('<path id="seam" d="M20 20C1e300 0 0 1e300 320 20V420H20Z"/>' + line("slash-1", 170)),
    "a quadratic to 1e308": svg('<path id="seam" d="M20 20Q1e308 1e308 320 20V420H20Z"/>' + line("slash-1", 170)),
    "relative steps beyond all bounds": svg(
        '<path id="seam" d="M20 20h1e308h1e308v400h-2e308z"/>' + line("slash-1", 170)
    ),
    "a number of 1e400": svg('<path id="seam" d="M20 20H1e400V420H20Z"/>' + line("slash-1", 170)),
    "nan in a path": svg('<path id="seam" d="M20 20HnanV420H20Z"/>' + line("slash-1", 170)),
    "nan in a line": svg(PANEL + '<line id="slash-1" x1="nan" y1="20" x2="170" y2="420"/>'),
    "nan in points": svg('<polygon id="seam" points="20,20 nan,20 320,420"/>' + line("slash-1", 170)),
    "nan in the viewBox": svg(PANEL, 'width="340mm" height="440mm" viewBox="0 0 nan 440"'),
    "infinity in the viewBox": svg(PANEL, 'width="340mm" height="440mm" viewBox="0 0 inf 440"'),
    "nan in the width": svg(PANEL, 'width="nanmm" height="440mm" viewBox="0 0 340 440"'),
    "a width of 1e999": svg(PANEL, 'width="1e999mm" height="440mm" viewBox="0 0 340 440"'),
    "a width of 1e300": svg(PANEL + line("slash-1", 170), 'width="1e300mm" height="1e300mm" viewBox="0 0 340 440"'),
    "a page wider than all cloth": svg(
        PANEL + line("slash-1", 170), 'width="1e300mm" height="440mm" viewBox="0 0 340 440"'
    ),
    "a viewBox of 1e-300": svg(
        PANEL + line("slash-1", 170), 'width="340mm" height="440mm" viewBox="0 0 1e-300 1e-300"'
    ),
    "a transform of 1e300": svg(GROUPED.format("scale(1e300)")),
    "a transform of 1e400": svg(GROUPED.format("scale(1e200) scale(1e200)")),
    "a transform with nan": svg(GROUPED.format("translate(nan 0)")),
    "a transform with 1e999": svg(GROUPED.format("translate(1e999 0)")),
    "a transform to nothing": svg(GROUPED.format("scale(1e-300)")),
    "ten thousand groups in one another": svg("<g>" * 10_000 + PANEL + line("slash-1", 170) + "</g>" * 10_000),
    "entities in a title": bomb("<g><title>&e9;</title></g>"),
    "entities in an attribute": bomb('<g id="&e9;"/>'),
    "an entity of itself": "<!DOCTYPE svg [<!ENTITY a '&b;'><!ENTITY b '&a;'>]>" + svg(PANEL + "<g id='&a;'/>"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_drawings_are_refused(name: str, terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "drawing.svg").write_text(HOSTILE[name], encoding="utf-8")
    before = contents(tmp_path)
    assert_refused(terminal("pleat", "drawing.svg", "-o", "flat.svg", *KNIFE), DRAWING)
    assert contents(tmp_path) == before


def test_a_crowd_of_nameless_shapes_takes_its_time_and_no_more(terminal: Terminal, tmp_path: Path) -> None:
    """Eight thousand strokes, as a traced picture has them: a matter of their number, not of its square. One and a half
    seconds of processor time is five times what one look at each takes."""
    strokes = '<path d="M30 30L31 31"/>' * 8000
    (tmp_path / "drawing.svg").write_text(svg(PANEL + line("slash-1", 170) + strokes), encoding="utf-8")
    start = time.process_time()
    assert terminal("measure", "drawing.svg", "--json").code == 0
    assert time.process_time() - start < 1.5


THREE_THOUSAND = [cmath.rect(140, 2 * math.pi * k / 3000) + 160 + 220j for k in range(3000)]
LEGS = list(zip(THREE_THOUSAND, THREE_THOUSAND[1:] + THREE_THOUSAND[:1], strict=True))
CROWDS = {
    "a seam of strokes that meet": [f"M{a.real} {a.imag}L{b.real} {b.imag}" for a, b in LEGS],
    "a seam of strokes that miss": [f"M{a.real} {a.imag}L{(a + b).real / 2} {(a + b).imag / 2}" for a, b in LEGS],
    "a seam of strokes from one point": [f"M160 220L{a.real} {a.imag}" for a in THREE_THOUSAND],
    "nameless closed shapes, one round all": [f"M{a.real} {a.imag}h3v3z" for a in THREE_THOUSAND] + ["M1 1H400V499H1z"],
    "nameless closed shapes, none round all": [f"M{a.real} {a.imag}h3v3z" for a in THREE_THOUSAND],
}
CROWD_ANSWERS = {
    "a seam of strokes that meet": "3000 strokes that meet end to end",
    "a seam of strokes that miss": "the widest gap is 0.15 mm",
    "a seam of strokes from one point": "the widest gap is 0.29 mm",
    "nameless closed shapes, one round all": "Of 3001 closed shapes, 'path 3001' lies round all others",
    "nameless closed shapes, none round all": "has 3000 outlines",
}


@pytest.mark.parametrize("crowd", CROWDS)
def test_three_thousand_strokes_or_shapes_take_a_second(crowd: str, terminal: Terminal, tmp_path: Path) -> None:
    """Their ends and boxes are sorted, not compared each with each; two seconds are four times what it takes."""
    shapes = "".join(f'<path d="{data}"/>' for data in CROWDS[crowd])
    if "seam" in crowd:
        shapes = f'<g id="seam">{shapes}</g>'
    (tmp_path / "drawing.svg").write_text(svg(shapes), encoding="utf-8")
    start = time.process_time()
    outcome = terminal("measure", "drawing.svg")
    assert time.process_time() - start < 2
    assert CROWD_ANSWERS[crowd] in " ".join((outcome.out + outcome.err).split())


@pytest.mark.parametrize(
    "where", ["<title>&x;</title>", "<g><title>&x;</title></g>", "<text>&x;</text>", "<desc>&x;</desc>"]
)
def test_no_other_file_is_read_into_a_result(where: str, terminal: Terminal, tmp_path: Path) -> None:
    """External entities: the drawing is made without them, or refused; what they name is in neither."""
    secret = tmp_path / "payroll.txt"
    secret.write_text("the secret of the wardrobe room", encoding="utf-8")
    doctype = f'<!DOCTYPE svg [<!ENTITY x SYSTEM "{secret.as_uri()}">]>'
    (tmp_path / "drawing.svg").write_text(doctype + svg(where + PANEL + line("slash-1", 170)), encoding="utf-8")
    outcome = terminal("pleat", "drawing.svg", "-o", "flat.svg", *KNIFE)
    assert outcome.code == 0, outcome.err
    assert "secret" not in outcome.out + outcome.err
    assert "secret" not in (tmp_path / "flat.svg").read_text(encoding="utf-8")
    assert "secret" not in terminal("measure", "drawing.svg", "--json").out


def test_an_external_entity_in_an_attribute_is_refused(terminal: Terminal, tmp_path: Path) -> None:
    """XML 1.0 forbids it (section 3.1)."""
    secret = tmp_path / "payroll.txt"
    secret.write_text("the secret of the wardrobe room", encoding="utf-8")
    doctype = f'<!DOCTYPE svg [<!ENTITY x SYSTEM "{secret.as_uri()}">]>'
    (tmp_path / "drawing.svg").write_text(doctype + svg(PANEL + '<g id="&x;"/>'), encoding="utf-8")
    outcome = terminal("pleat", "drawing.svg", "-o", "flat.svg", *KNIFE)
    assert_refused(outcome, DRAWING, "'drawing.svg'", "line 1")
    assert "secret" not in outcome.err


def test_harmless_entities_of_editors_are_read(terminal: Terminal, tmp_path: Path) -> None:
    """Namespaces and styles kept in an internal DTD, as some editors write them."""
    doctype = '<!DOCTYPE svg [<!ENTITY ns_svg "http://www.w3.org/2000/svg"><!ENTITY st0 "fill:none;">]>'
    body = ONE.replace("http://www.w3.org/2000/svg", "&ns_svg;").replace("<path", '<path style="&st0;"')
    (tmp_path / "drawing.svg").write_text(doctype + body, encoding="utf-8")
    assert terminal("pleat", "drawing.svg", "-o", "flat.svg", *KNIFE).code == 0
    assert (tmp_path / "flat.svg").exists()


def test_a_thousand_errors_and_no_traceback(terminal: Terminal, tmp_path: Path) -> None:
    """A sound drawing cut off at every fiftieth byte, and with one character changed at every fiftieth."""
    whole = (FIXTURES / "gore-panel.svg").read_text(encoding="utf-8")
    file = tmp_path / "drawing.svg"
    refused = 0
    for at in range(40, len(whole), 50):
        for text in (whole[:at], f"{whole[:at]}\u00a7{whole[at + 1 :]}"):
            file.write_text(text, encoding="utf-8")
            outcome = terminal("pleat", file, "-o", "flat.svg", *KNIFE, "--force")
            if outcome.code:
                refused += 1
                assert_refused(outcome, DRAWING)
    assert refused > len(whole) / 50, "every file that breaks off, at least"
