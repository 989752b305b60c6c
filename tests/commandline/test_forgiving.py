"""Slips where nothing can go wrong are forgiven: words in any case, 0 without a unit, lines by their number, endings."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commandline.terminal import FIXTURES, KNIFE, Terminal, assert_refused, line, svg

SEAM = '<path id="seam" d="M20 20H320V420H20Z"/>'
SKIRT = FIXTURES / "skirt-front.svg"
COUNTED = (*KNIFE, "--count", "3")
CUT = (*KNIFE, "--allowance", "1cm")


def bytes_of(terminal: Terminal, *words: object) -> bytes:
    done = terminal("pleat", *words, "-o", "made.svg", "--force")
    assert done.code == 0, done.err
    return Path("made.svg").read_bytes()


@pytest.mark.parametrize(
    ("slip", "meant"),
    [
        (("--kind", "Knife", "--intake", "6cm", "--lap", "LEFT"), ("--kind", "knife", "--intake", "6cm", "--lap", "left")),
        (
            ("--kind", "knife", "--intake", "6cm", "--lap", "center"),
            ("--kind", "knife", "--intake", "6cm", "--lap", "centre"),
        ),
        (
            ("--kind", "Pin Tuck", "--intake", "4mm", "--lap", " right "),
            ("--kind", "pin-tuck", "--intake", "4mm", "--lap", "right"),
        ),
        (
            ("--kind", "BOX", "--intake", "8cm", "--hem-intake", "0"),
            ("--kind", "box", "--intake", "8cm", "--hem-intake", "0mm"),
        ),
        ((*KNIFE, "--allowance", "1cm", "--allowance", "hem=0"), (*KNIFE, "--allowance", "1cm", "--allowance", "hem=0cm")),
        ((*KNIFE, "--slash", "1", "--slash", "slash3"), (*KNIFE, "--slash", "slash 1", "--slash", "slash 3")),
        ((*KNIFE, "--slash", "Slash-2"), (*KNIFE, "--slash", "slash 2")),
        ((*COUNTED, "--run", "Fan", "--ends", "Full"), (*COUNTED, "--run", "fan", "--ends", "full")),
        (("--kind", "knife", "--lap", "left", "--intake", "6,5cm"), ("--kind", "knife", "--lap", "left", "--intake", "6.5cm")),
        ((*CUT, "--notch", "Snip", "--shows", "Right"), (*CUT, "--notch", "snip")),
    ],
)  # fmt: skip
def test_a_slip_does_what_was_meant(slip: tuple[str, ...], meant: tuple[str, ...], terminal: Terminal) -> None:
    drawing = FIXTURES / "straight-panel.svg" if "center" in slip or "centre" in meant else SKIRT
    extra = ("--slash", "slash lines 1", "--slash", "slash lines 4") if drawing != SKIRT else ()
    assert bytes_of(terminal, drawing, *extra, *slip) == bytes_of(terminal, drawing, *extra, *meant)


@pytest.mark.parametrize(
    ("words", "phrases"),
    [
        ((*KNIFE, "--slash", "4"), ("Slash line '4'", "is not on this piece")),
        (("--kind", "knive", "--intake", "6cm", "--lap", "left"), ("'knive'", "nearest is 'knife'")),
        (("--kind", "knife", "--intake", "6", "--lap", "left"), ("without a unit",)),
        (("--kind", "knife", "--intake", "00,1", "--lap", "left"), ("without a unit",)),
        (("--kind", "knife", "--intake", "0", "--lap", "left"), ("a pleat takes up more than nothing",)),
    ],
)
def test_what_could_go_wrong_is_not_forgiven(
    words: tuple[str, ...], phrases: tuple[str, ...], terminal: Terminal
) -> None:
    done = terminal("pleat", SKIRT, "-o", "made.svg", *words)
    assert_refused(done, done.code, *phrases)
    assert done.code in (1, 2)


def test_a_number_that_two_lines_have_is_not_guessed(terminal: Terminal) -> None:
    Path("two.svg").write_text(svg(SEAM + line("slash 1 left", 100) + line("slash 1 right", 200)), encoding="utf-8")
    done = terminal("pleat", "two.svg", "-o", "made.svg", *KNIFE, "--slash", "1")
    assert_refused(done, 1, "Slash line '1'", "'slash 1 left', 'slash 1 right'")


def test_a_job_file_is_forgiven_the_same(terminal: Terminal) -> None:
    Path("panel.svg").write_text(svg(SEAM + line("slash 1", 100) + line("slash 2", 200)), encoding="utf-8")
    job = '[[piece]]\ndrawing = "panel.svg"\noutput = "{}"\nallowance = {{ all = "1cm", hem = {} }}\n[[piece.pleat]]\n{}\n'
    slip = 'slash = [1, "slash2"]\nkind = "Knife"\nintake = "4cm"\nhem_intake = 0\nlap = "Center"'
    meant = 'slash = ["slash 1", "slash 2"]\nkind = "knife"\nintake = "4cm"\nhem_intake = "0mm"\nlap = "centre"'
    Path("slip.toml").write_text(job.format("a", 0, slip), encoding="utf-8")
    Path("meant.toml").write_text(job.format("b", '"0mm"', meant), encoding="utf-8")
    for name in ("slip", "meant"):
        done = terminal("batch", f"{name}.toml", "--out", name)
        assert done.code == 0, done.err
    assert Path("slip/a.svg").read_bytes() == Path("meant/b.svg").read_bytes()


@pytest.mark.parametrize(
    ("command", "typed", "written"),
    [
        (("pleat", SKIRT, *KNIFE), "flat", "flat.svg"),
        (("pleat", SKIRT, *KNIFE), "flat.", "flat.svg"),
        (("pleat", SKIRT, *KNIFE), "flat.SVG", "flat.SVG"),
        (("fold", FIXTURES / "folded" / "kilt-apron-flat.svg"), "folded", "folded.svg"),
        (("sample", FIXTURES / "folded" / "kilt-apron-flat.svg"), "sample", "sample.svg"),
        (("card", "--kind", "Knife", "--intake", "6cm", "--spacing", "4cm"), "card", "card.pdf"),
        (("sheet", FIXTURES / "folded" / "kilt-apron-flat.svg"), "sheet", "sheet.html"),
    ],
)
def test_an_output_without_an_ending_gets_its_own(
    command: tuple[object, ...], typed: str, written: str, terminal: Terminal
) -> None:
    done = terminal(*command, "-o", typed)
    assert done.code == 0, done.err
    assert f"Written: {written}" in done.out
    assert [path.name for path in Path().iterdir()] == [written]


@pytest.mark.parametrize(
    ("command", "typed", "phrases"),
    [
        (("pleat", SKIRT, *KNIFE), "flat.pdf", ("'flat.pdf'", "'.pdf'", "an SVG", "Call it 'flat.svg'")),
        (("pleat", SKIRT, *KNIFE), "flat.svgz", ("an SVG",)),
        (("fold", FIXTURES / "folded" / "kilt-apron-flat.svg"), "folded.png", ("an SVG",)),
        (("sample", FIXTURES / "folded" / "kilt-apron-flat.svg"), "sample.png", ("an SVG or a PDF",)),
        (("sheet", FIXTURES / "folded" / "kilt-apron-flat.svg"), "sheet.pdf", ("a page for a browser",)),
        (("plan", "--finished", "72cm", "--count", "12", "--depth", "3cm", "--length", "60cm", "--draw"), "p.png", ("an SVG",)),
        (("tile", FIXTURES / "folded" / "kilt-apron-flat.svg"), "pages.png", ("a PDF",)),
    ],
)  # fmt: skip
def test_another_ending_is_refused(
    command: tuple[object, ...], typed: str, phrases: tuple[str, ...], terminal: Terminal
) -> None:
    option = () if "--draw" in command else ("-o",)
    assert_refused(terminal(*command, *option, typed), 2, *phrases)
    assert list(Path().iterdir()) == []


def test_a_folder_is_refused_as_a_folder(terminal: Terminal) -> None:
    Path("flat").mkdir()
    assert "is a folder" in terminal("pleat", SKIRT, "-o", "flat", *KNIFE).err


NAMED = {
    "the kind": (("slash 1 knife", "slash 2 box"), ("--intake", "6cm", "--lap", "left")),
    "the intake": (("slash 1 6cm", "slash 2 6cm"), ("--kind", "knife", "--lap", "left")),
    "kind and lap": (("slash 1 knife left", "slash 2 box"), ("--intake", "6cm")),
    "the lap of one": (("slash 1 knife 6cm left", "slash 2 inverted"), ("--intake", "6cm")),
}


@pytest.mark.parametrize("names", NAMED)
def test_what_a_name_leaves_open_the_options_say(names: str, terminal: Terminal) -> None:
    words, options = NAMED[names]
    Path("named.svg").write_text(svg(SEAM + line(words[0], 100) + line(words[1], 220)), encoding="utf-8")
    done = terminal("pleat", "named.svg", "-o", "made.svg", *options)
    assert done.code == 0, done.err
    assert "Pleat 1: knife, intake 6 cm, fold points left" in done.out.replace("Pleats 1 and 2", "Pleat 1")


def test_what_neither_says_is_refused(terminal: Terminal) -> None:
    Path("named.svg").write_text(svg(SEAM + line("slash 1 knife left", 100) + line("slash 2", 220)), encoding="utf-8")
    assert_refused(terminal("pleat", "named.svg", "-o", "x.svg", "--intake", "6cm"), 2, "The kind of pleat", "--kind")
    done = terminal("pleat", "named.svg", "-o", "x.svg", "--kind", "knife", "--lap", "left")
    assert_refused(done, 1, "slash 1 knife left", "the intake is missing")
    done = terminal("pleat", "named.svg", "-o", "x.svg", "--intake", "6cm", "--at", "3cm", "--lap", "left")
    assert_refused(done, 2, "The kind of pleat", "is missing")
    done = terminal("pleat", "named.svg", "-o", "x.svg", "--intake", "6 ells")
    assert_refused(done, 2, "'6 ells'")


FLAT = FIXTURES / "folded" / "kilt-apron-flat.svg"
CARD = ("card", "--depth", "3cm", "-o", "card.svg", "--force")
PLAN = ("plan", "--finished", "72cm", "--count", "12", "--depth", "3cm")


@pytest.mark.parametrize(
    ("slip", "meant"),
    [
        (("measure", SKIRT, "--unit", "CM"), ("measure", SKIRT, "--unit", "cm")),
        (("measure", SKIRT, "--unit", "inches", "--shows", "Wrong"), ("measure", SKIRT, "--unit", "in", "--shows", "wrong")),
        (("fold", FLAT, "-o", "-", "--side", "WRONG"), ("fold", FLAT, "-o", "-", "--side", "wrong")),
        ((*CARD, "--kind", "Box"), (*CARD, "--kind", "box")),
        ((*PLAN, "--kind", "Pin Tuck", "--lap", "Left"), (*PLAN, "--kind", "pin-tuck", "--lap", "left")),
        ((*PLAN, "--kind", "KNIFE", "--lap", "Center"), (*PLAN, "--kind", "knife", "--lap", "centre")),
    ],
)  # fmt: skip
def test_other_commands_forgive_the_same(
    slip: tuple[object, ...], meant: tuple[object, ...], terminal: Terminal
) -> None:
    done = terminal(*slip)
    assert done.code == 0, done.err
    assert done == terminal(*meant)
