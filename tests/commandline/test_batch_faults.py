"""Faults in a job file are named with their line before anything runs; names lead nowhere but into the output folder."""

from __future__ import annotations

import os
import sys
import unicodedata
from pathlib import Path

import pytest

from pleatsvg.batch.jobfile.toml_lines import lines_of
from pleatsvg.batch.output_names import MOST_BYTES, safe_name
from tests.commandline.batches import DEFAULTS, job, panel, results, summary
from tests.commandline.terminal import PANEL, Terminal, assert_refused, contents, line, svg

PIECE = '[[piece]]\ndrawing = "front.svg"\n'

FAULTS = {
    "unknown key": (PIECE + 'intaek = "6cm"', 7, "'intaek'", "the nearest is 'intake'"),
    "key of another table": (PIECE + 'tolerance = "6mm"', 7, "'tolerance'", "belongs in [[match]]"),
    "unknown table": (PIECE + "[[peice]]", 7, "'peice'", "'piece'"),
    "unknown key in a pleat": (PIECE + '[[piece.pleat]]\ndrawing = "x.svg"', 8, "'drawing'", "[[piece.pleat]]"),
    "quoted key": (PIECE + '# a comment\n"int ake" = "6cm"', 8, "'int ake'"),
    "bare number": (PIECE + "intake = 6", 7, "'intake' is 6, without a unit", '"6cm"'),
    "no length": (PIECE + 'intake = "6"', 7, "intake is written '6', without a unit"),
    "length within a list": (PIECE + 'at = [\n  "8cm",\n  "12"\n]', 7, "at is written '12'"),
    "number within a list": (PIECE + 'slash = [\n  "slash 1",  # ]\n  2.5\n]', 9, "'slash' is 2.5", "quotes"),
    "count in quotes": (PIECE + 'count = "7"', 7, "'count' is '7'", "whole number"),
    "list for one value": (PIECE + 'lap = ["left"]', 7, "'lap' is a list"),
    "unknown word": (PIECE + 'kind = "knive"', 7, "kind is 'knive'", "'knife'"),
    "fault after a long text": (PIECE + 'name = """\n[[piece]]\na"""\nface = "5"', 10, "face is written '5'"),
    "two ways at once": (PIECE + 'intake = "6cm"\ndepth = "3cm"', 7, "intake and depth are both given"),
    "option of another piece": (PIECE + '\n[[piece]]\ndrawing = "front.svg"\ncount = 0', 10, "count is 0"),
    "side of the cloth": (PIECE + 'shows = "left"', 7, "'shows' is 'left'"),
    "scale": (PIECE + 'drawing_unit = "1"', 7, "drawing_unit is written", "without a unit"),
    "drawing that is not there": ('[[piece]]\ndrawing = "frnot.svg"', 6, "'frnot.svg' is not there", "'front.svg'"),
    "pattern that finds none": ('[[piece]]\ndrawing = ["front.svg",\n"sizes/*.svg"]', 7, "'sizes/*.svg' finds no"),
    "no drawing": ("[[piece]]\npiece = 'front'", 5, "names no drawing"),
    "no piece": ("", 1, "asks for no piece"),
    "single brackets": ('[piece]\ndrawing = "front.svg"', 5, "'piece'", "[[piece]]"),
    "single brackets of a pleat": (PIECE + '[piece.pleat]\nkind = "box"', 7, "'piece.pleat'", "[[piece.pleat]]"),
    "no quotes": (PIECE + "intake = 6cm", 7, "intake = 6cm", "straight quotes"),
    "curly quotes": (PIECE + "intake = “6cm”", 7, "straight quotes"),
    "no closing quote": (PIECE + 'intake = "6cm', 7, "closing quote"),
    "same key twice": (PIECE + 'intake = "6cm"\nintake = "7cm"', 8, "same key twice"),
    "backslash": ('[[piece]]\ndrawing = "sizes\\front.svg"', 6, "is not there"),
    "lone backslash": ('[[piece]]\ndrawing = "sizes\\pront.svg"', 6, "single backslash", "/"),
    "list not closed": (PIECE + 'slash = ["slash 1"\nkind = "box"', 8, "closing bracket"),
    "unknown field": (PIECE + 'output = "{drawnig}"', 7, "'{drawnig}'", "'drawing'"),
    "output elsewhere": (PIECE + 'output = "../{drawing}"', 7, "leads to another folder"),
    "output at the root": (PIECE + 'output = "/tmp/{drawing}"', 7, "leads to another folder"),
    "output elsewhere by backslash": (PIECE + "output = 'C:\\{drawing}'", 7, "leads to another folder"),
    "match without a second": (PIECE + '[[match]]\nfirst = "a: top"', 7, "'second' or 'length'"),
    "match of no edge": (PIECE + '[[match]]\nfirst = "a"\nlength = "7cm"', 8, "'first' is 'a'", "colon"),
    "match of no length": (PIECE + '[[match]]\nfirst = "a: top"\nlength = "7"', 9, "'length' is written '7'"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_fault_is_named_with_its_line(fault: str, terminal: Terminal, tmp_path: Path) -> None:
    text, number, *phrases = FAULTS[fault]
    (tmp_path / "front.svg").write_text(panel())
    file = job(tmp_path, DEFAULTS + text)
    before = contents(tmp_path)
    assert_refused(terminal("batch", file), 1, f"job.toml, line {number}", *phrases)
    assert contents(tmp_path) == before, "refused before anything runs"


def test_fault_in_the_defaults_is_named_there(terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "front.svg").write_text(panel())
    file = job(tmp_path, DEFAULTS.replace('"4cm"', '"4"') + PIECE)
    assert_refused(terminal("batch", file), 1, "job.toml, line 3: intake")
    file = job(tmp_path, DEFAULTS.replace("intake", "drawing") + PIECE)
    assert_refused(terminal("batch", file), 1, "job.toml, line 3: key 'drawing'", "belongs in [[piece]]")


def test_files_that_are_no_job(terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "latin.toml").write_bytes(b"[defaults]\nlap = 'l\xe9ft'\n")
    assert_refused(terminal("batch", "latin.toml"), 1, "UTF-8", "line 2")
    assert_refused(terminal("batch", tmp_path), 1, "is not a file")
    job(tmp_path, "a = " + "[" * 5000, "deep.toml")
    assert_refused(terminal("batch", "deep.toml"), 1, "deep.toml")
    (tmp_path / "large.toml").write_bytes(b"#" * (4 * 2**20 + 1))
    assert_refused(terminal("batch", "large.toml"), 1, "4.0 million bytes")
    (tmp_path / "front.svg").write_text(panel())
    marked = "\ufeff" + (DEFAULTS + PIECE).replace("\n", "\r\n")  # as some editors save it
    (tmp_path / "marked.toml").write_bytes(marked.encode())
    assert terminal("batch", "marked.toml").code == 0


@pytest.mark.parametrize(
    "text",
    [
        ".".join(["a"] * 20_000) + " = 1",
        "[" + " . ".join(['"a"'] * 20_000) + "]",
        "[[piece]]\nallowance = {" + ".".join(["'a'"] * 20_000) + ' = "1cm"}',
    ],
    ids=["key", "table", "inline"],
)
def test_a_key_of_many_parts_is_refused_before_it_is_parsed(text: str, terminal: Terminal, tmp_path: Path) -> None:
    """The parser takes time and memory by the square of the parts: 2.4 GB for these 40 kB."""
    job(tmp_path, '# "\n' + text + "\n", "dots.toml")
    line = 2 + text.count("\n")
    assert_refused(terminal("batch", "dots.toml"), 1, f"dots.toml, line {line} has a key of 20000 parts", "up to 8")


def test_a_job_of_more_values_than_any_wardrobe_has(terminal: Terminal, tmp_path: Path) -> None:
    job(tmp_path, "drawing = [" + "[]," * 400_000 + "]", "many.toml")
    assert_refused(terminal("batch", "many.toml"), 1, "many.toml", "keys, values and brackets", "up to 250000")


def test_texts_and_comments_may_hold_anything(terminal: Terminal, tmp_path: Path) -> None:
    name = "a.b.c.d.e.f.g.h.i.j.svg"
    (tmp_path / name).write_text(panel())
    text = f'# a.b.c.d.e.f.g.h.i.j = 1 "\n[[piece]]\ndrawing = [\'{name}\'] # "{name}\nname = """\\\n  front\\\n"""\n'
    assert terminal("batch", job(tmp_path, DEFAULTS + text)).code == 0


def test_lines_of_what_is_not_easily_seen() -> None:
    text = (
        'a . "b\\"]" = """\n"x" = 1\n[t]\\"""""\n[ t."d.e" ]\nf = [ [1, 2], # ]\n  \'"\', {g = "}", h =\n [3] } ]\n'
        "[[l]]\n[[l.m]]\n[[l.m]]\nk = 1979-05-27 07:32:00\n[[l]]\n[l.n]\no.p = '''\n'q''''\nr = true\n"
    )
    found = lines_of(text.replace("h =\n [3]", "h = [3]"))
    expected = {
        ("a", 'b"]'): 1,
        ("t", "d.e"): 4,
        ("t", "d.e", "f", 0, 1): 5,
        ("t", "d.e", "f", 1): 6,
        ("t", "d.e", "f", 2, "h", 0): 6,
        ("l", 0): 7,
        ("l", 0, "m", 1): 9,
        ("l", 0, "m", 1, "k"): 10,
        ("l", 1): 11,
        ("l", 1, "n"): 12,
        ("l", 1, "n", "o", "p"): 13,
        ("l", 1, "n", "r"): 15,
    }
    assert {path: found[path] for path in expected} == expected
    assert ("x",) not in found


HOSTILE = (
    "../../up",
    "/etc/front",
    "C:\\front",
    "..",
    ".",
    "nul",
    "COM1.front",
    "con ",
    "lpt¹",
    'a*b?c|d<e>f"g:h',
    "ends in dots...",
    "ends in a blank ",
    ".hidden",
    "-rf",
    "~root",
    "a\u202egvs.b",
    "line\u2028break",
    "x" * 400,
    "\u00e9" * 200,
    "\u200b",
    "summary.json",
)


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_name_is_made_a_plain_one(name: str) -> None:
    made = safe_name(name)
    assert made.endswith(".svg")
    assert made == Path(made).name
    assert len(made.encode()) <= MOST_BYTES
    assert not set(made) & set('<>:"/\\|?*')
    assert made.isprintable()
    assert made[0] not in ".-~ "
    assert made[:-4].rstrip(" .") == made[:-4]
    assert made.split(".")[0].strip().casefold() not in ("con", "nul", "com1", "lpt¹")
    assert unicodedata.is_normalized("NFC", made)
    assert safe_name(made) == made


def test_names_alike_but_for_their_end_stay_apart_when_cut() -> None:
    assert safe_name("x" * 400 + "a") != safe_name("x" * 400 + "b")


def test_results_stay_in_the_output_folder(terminal: Terminal, tmp_path: Path) -> None:
    """Pieces called so that a careless program would write elsewhere, and links that lie in wait in the folder."""
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "precious.svg").write_text("precious")
    work = tmp_path / "work"
    work.mkdir()
    shapes = "".join(
        f'<g data-name="{name}" transform="translate({340 * k})">{PANEL}{line("slash 1", 160)}</g>'
        for k, name in enumerate(("../outside/precious", "/tmp/x", "..", "nul", "y" * 300))
    )
    (work / "all.svg").write_text(svg(shapes, 'width="1700mm" height="440mm" viewBox="0 0 1700 440"'))
    out = tmp_path / "out"
    out.mkdir()
    (out / "___outside_precious.svg").symlink_to(outside / "precious.svg")
    file = job(work, DEFAULTS + '[[piece]]\ndrawing = "all.svg"\noutput = "{piece}"\n')
    link = out / "___outside_precious.svg"
    for more in ((), ("--force",)):
        outcome = terminal("batch", file, "--out", out, *more)
        assert outcome.code == 1
        assert "is a link" in outcome.err
        assert link.is_symlink()
        assert contents(outside) == {"precious.svg": b"precious"}
    link.unlink()
    assert terminal("batch", file, "--out", out, "--resume").code == 0
    names = [p["output"] for p in summary(out)["pieces"]]
    assert len(names) == 5
    assert sorted([*names, "summary.csv", "summary.json"]) == sorted(results(out))
    assert not (out / names[0]).is_symlink()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["out", "outside", "work"]


def test_a_drawing_is_never_written_over(terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "front.svg").write_text(panel())
    before = contents(tmp_path)
    file = job(tmp_path, DEFAULTS + PIECE + 'output = "{drawing}"\n')
    assert_refused(
        terminal("batch", file, "--out", ".", "--force"), 1, "line 7", "'front.svg' is a drawing of this job"
    )
    (tmp_path / "linked").symlink_to(tmp_path)
    assert terminal("batch", file, "--out", "linked", "--force").code == 1
    (tmp_path / "linked").unlink()
    file.unlink()
    assert contents(tmp_path) == before
    # by another name for the same file
    folder = tmp_path / "out"
    folder.mkdir()
    os.link(tmp_path / "front.svg", folder / "result.svg")
    file = job(tmp_path, DEFAULTS + PIECE + 'output = "result"\n')
    outcome = terminal("batch", file, "--out", folder, "--force")
    assert outcome.code == 1
    assert "a drawing is never written over" in outcome.err
    assert (tmp_path / "front.svg").read_text() == panel()


TWO = '[[piece]]\ndrawing = "a.svg"\n{}\n[[piece]]\ndrawing = "b.svg"\n{}\n'
CLASHES = {
    "one name": TWO.format('output = "x"', 'output = "x.svg"'),
    "capitals": TWO.format('output = "Front"', 'output = "fRONT"'),
    "Unicode forms": TWO.format('output = "caf\u00e9"', 'output = "cafe\u0301"'),
    "sharp s": TWO.format('output = "stra\u00dfe"', 'output = "STRASSE"'),
    "what is not allowed": TWO.format('output = "a:b"', 'output = "a?b"'),
    "a pattern without what tells two apart": '[[piece]]\ndrawing = "[ab].svg"\noutput = "x"',
    "one drawing twice": '[[piece]]\ndrawing = "a.svg"\n[[piece]]\ndrawing = "*.svg"',
    "one piece twice": '[[piece]]\ndrawing = "a.svg"\npiece = "front"\n[[piece]]\ndrawing = "a.svg"\npiece = "FRONT"',
    "known only from the drawings": '[[piece]]\ndrawing = "[ab].svg"\noutput = "{piece}"',
    "a fixed name and a drawing's own": TWO.format('output = "front"', 'output = "{piece}"'),
}


@pytest.mark.parametrize("clash", CLASHES)
def test_two_pieces_for_one_output_are_refused_before_anything_runs(
    clash: str, terminal: Terminal, tmp_path: Path
) -> None:
    (tmp_path / "a.svg").write_text(panel("front"))
    (tmp_path / "b.svg").write_text(panel("Front"))
    file = job(tmp_path, DEFAULTS + CLASHES[clash])
    before = contents(tmp_path)
    assert_refused(terminal("batch", file), 1, "job.toml, line ", "would be written by two pieces")
    assert contents(tmp_path) == before


def test_two_pieces_of_one_drawing_that_differ_in_capitals(terminal: Terminal, tmp_path: Path) -> None:
    two = "".join(
        f'<g data-name="{name}" transform="translate({340 * k})">{PANEL}{line("slash 1", 160)}</g>'
        for k, name in enumerate(("front", "FRONT", "back"))
    )
    (tmp_path / "a.svg").write_text(svg(two, 'width="1020mm" height="440mm" viewBox="0 0 1020 440"'))
    outcome = terminal("batch", job(tmp_path, DEFAULTS + '[[piece]]\ndrawing = "a.svg"\n'))
    assert outcome.code == 1
    assert outcome.err.count("would be written by 2 pieces of this drawing") == 2
    assert [p.name for p in (tmp_path / "pleated").glob("*.svg")] == ["a-back-pleated.svg"]


@pytest.mark.skipif(sys.platform == "win32", reason="a name that is no text")
def test_a_drawing_whose_name_is_no_text(terminal: Terminal, tmp_path: Path) -> None:
    Path(os.fsdecode(os.fsencode(tmp_path) + b"/fr\xff\nont.svg")).write_text(panel())
    outcome = terminal("batch", job(tmp_path, DEFAULTS + '[[piece]]\ndrawing = "*.svg"\n'))
    assert outcome.code == 0, outcome.err
    assert [p.name for p in (tmp_path / "pleated").glob("*.svg")] == ["fr__ont-pleated.svg"]
    assert terminal("batch", "--new", tmp_path, "new.toml").code == 0
