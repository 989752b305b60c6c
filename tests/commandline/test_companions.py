"""Companions on the command line and in job files: what is told, what is written, what is refused with its line."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.commandline.batches import summary
from tests.commandline.terminal import FIXTURES, Terminal, assert_refused

SKIRT = FIXTURES / "skirt-front.svg"
BAND = FIXTURES / "waistband.svg"
KNIFE = ("--kind", "knife", "--intake", "6cm", "--lap", "left")
JOB = """[defaults]
kind = "knife"
intake = "6cm"
lap = "left"
allowance = ["15mm", "hem = 4cm"]

[[piece]]
name = "front"
drawing = "skirt-front.svg"

[[companion]]
name = "waistband"
drawing = "waistband.svg"
edge = "hem"
sewn_to = "front"
from = "3cm"
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    for drawing in (SKIRT, BAND):
        shutil.copy(drawing, tmp_path)
    file = tmp_path / "skirt.toml"
    file.write_text(JOB)
    return file


def test_it_is_written_beside_the_result_and_read_by_the_other_commands(terminal: Terminal, tmp_path: Path) -> None:
    asked = f"waistband={BAND}:hem from 3cm"
    bare = terminal("pleat", SKIRT, "-o", "bare.svg", *KNIFE)
    assert bare.code == 0
    outcome = terminal("pleat", SKIRT, "-o", "skirt.svg", *KNIFE, "--companion", asked, "--json")
    assert outcome.code == 0, outcome.err
    assert (tmp_path / "skirt.svg").read_bytes() == (tmp_path / "bare.svg").read_bytes()
    (told,) = json.loads(outcome.out)["companions"]
    assert told["output"] == "skirt-waistband.svg"
    assert told["sewn_to"][0]["folds"] == 3
    assert told["agrees"]
    assert told["notches_mm"][0] == 30.0
    assert "companions" not in json.loads(terminal("pleat", SKIRT, "-o", "x.svg", *KNIFE, "--json").out)
    folded = terminal("fold", "skirt-waistband.svg", "-o", "folded.svg")
    assert folded.code == 0
    assert folded.out.startswith("waistband: no pleats, and notches for 3 folds of chorus skirt front\n")
    assert "yes  every notch lies as far along its edge as it was measured" in folded.out
    assert "fold line" not in folded.out
    assert json.loads(terminal("fold", "skirt-waistband.svg", "--json").out)["sewn_to"] == [
        {"piece": "chorus skirt front", "folds": 3}
    ]
    assert terminal("tile", "skirt-waistband.svg", "-o", "pages.pdf").code == 0
    page = terminal("sheet", "skirt.svg", "skirt-waistband.svg", "-o", "sheet.html")
    assert page.code == 0, page.err
    assert "waistband: notches for 3 folds, each in its place" in page.out
    begins = "The sewing begins at the left end of the hem of waistband; 3 cm of it lie before the pleated edge."
    assert (tmp_path / "sheet.html").read_text(encoding="utf-8").count(f"<li>{begins}</li>") == 2
    for command, words in (
        (
            ("fold", "skirt-waistband.svg", "-o", "steps.svg", "--steps"),
            "'waistband' has no pleats; there is nothing to fold",
        ),
        (("sample", "skirt-waistband.svg"), "has no pleats to try"),
        (("card", "skirt-waistband.svg"), "has no pleat that a card can be cut for"),
    ):
        refused = terminal(*command)
        assert refused.code == 1
        assert words in refused.err
    again = terminal(
        "pleat",
        "skirt-waistband.svg",
        "-o",
        "again.svg",
        "--kind",
        "knife",
        "--depth",
        "1cm",
        "--lap",
        "left",
        "--count",
        "3",
    )
    assert again.code == 0, again.err
    assert terminal("fold", "again.svg").code == 0


@pytest.mark.parametrize(
    ("asked", "code", "words"),
    [
        ("waistband", 2, "--companion is 'waistband'; it gives what is sewn on a name"),
        ("=band.svg:hem", 2, "Write it as --companion waistband=waistband.svg:hem"),
        ("band=band.svg", 2, "and names its drawing and the edge"),
        ("band=nothing.svg:hem", 1, "'nothing.svg' is not there"),
        ("band={band}:hem from 3", 2, "is written '3', without a unit"),
        ("band={band}:hem from -3cm", 2, "says -3 cm; it is measured along the edge"),
        ("band={band}:hem beyond x", 2, "is written 'x'; that is not a length"),
        ("band={band}:hem", 1, "3 cm too long; the two may differ by 0.32 cm"),
        ("band={band}:hem from 5cm", 1, "2 cm too short"),
        ("band={band}:collar", 1, "Edge 'collar' of companion 'band' is not on its drawing"),
        ("band={band}:collar", 1, "Measure the drawing of 'band' to see every edge of it"),
        ("band={band}:hem from hook", 1, "The mark 'hook' of 'band' is not on its drawing"),
    ],
)
def test_what_is_refused_writes_nothing(terminal: Terminal, tmp_path: Path, asked: str, code: int, words: str) -> None:
    outcome = terminal("pleat", SKIRT, "-o", "out.svg", *KNIFE, "--companion", asked.format(band=BAND))
    assert_refused(outcome, code)
    assert words in outcome.err
    assert list(tmp_path.glob("*.svg")) == []


def test_names_and_outputs_of_companions(terminal: Terminal, tmp_path: Path) -> None:
    asked = ("--companion", f"band={BAND}:hem from 3cm")
    twice = terminal("pleat", SKIRT, "-o", "out.svg", *KNIFE, *asked, *asked)
    assert twice.code == 2
    assert "gives the name 'band' twice" in twice.err
    assert terminal("pleat", SKIRT, "-o", "-", *KNIFE, *asked).code == 2
    (tmp_path / "out-band.svg").write_text("mine")
    there = terminal("pleat", SKIRT, "-o", "out.svg", *KNIFE, *asked)
    assert there.code == 1
    assert "out-band.svg" in there.err
    assert not (tmp_path / "out.svg").exists()
    assert terminal("pleat", SKIRT, "-o", "out.svg", *KNIFE, *asked, "--force").code == 0
    assert (tmp_path / "out-band.svg").read_text() != "mine"


def test_of_several_pieces_on_a_drawing_the_one_of_its_name_is_taken(terminal: Terminal, tmp_path: Path) -> None:
    pieces = "".join(
        [
            f'<g id="{name}"><path data-name="seam" d="M 20,{y} h {wide} v 60 h -{wide} z"/></g>'
            for name, y, wide in ((("facing", 20, 300), ("waistband", 120, 361.66)))
        ]
    )
    (tmp_path / "both.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="300mm" viewBox="0 0 500 300">{pieces}</svg>'
    )
    made = terminal("pleat", SKIRT, "-o", "out.svg", *KNIFE, "--companion", "waistband=both.svg:hem")
    assert made.code == 0, made.err
    assert "'waistband: hem' is 36.17 cm" in made.out
    other = terminal("pleat", SKIRT, "-o", "two.svg", *KNIFE, "--companion", "yoke=both.svg:hem")
    assert other.code == 1
    assert "2 outlines" in other.err


def test_a_job_makes_its_companions_last_and_keeps_them(terminal: Terminal, tmp_path: Path, job: Path) -> None:
    outcome = terminal("batch", job)
    assert outcome.code == 0, outcome.err
    assert "Companion: 'waistband: hem' is 39.17 cm, 'chorus skirt front: top', folded, is 36.17 cm" in outcome.out
    piece, band = summary(tmp_path / "pleated")["pieces"]
    assert (band["piece"], band["output"], band["pleats"]) == ("waistband", "waistband-notched.svg", 0)
    assert band["companion"]["agrees"]
    assert len(piece["folded_edges"][0]["folds"]) == 3
    before = (tmp_path / "pleated" / "waistband-notched.svg").read_bytes()
    assert b"4 cm" not in before  # the pieces' hem allowance is none of the waistband's
    # The command line makes the same.
    asked = f"waistband={BAND}:hem from 3cm"
    options = ("--allowance", "15mm", "--allowance", "hem=4cm", "--companion", asked)
    assert terminal("pleat", SKIRT, "-o", "one.svg", *KNIFE, *options).code == 0
    assert (tmp_path / "one-waistband.svg").read_bytes() == before
    kept = terminal("batch", job, "--resume")
    assert "2 of them unchanged" in kept.out
    job.write_text(JOB.replace('intake = "6cm"', 'intake = "4cm"'))
    made = terminal("batch", job, "--resume")
    assert made.code == 0
    assert "2 made, 1 of them unchanged" in made.out  # the folds finish where they did
    job.write_text(JOB.replace('from = "3cm"', 'from = "29mm"'))
    made = terminal("batch", job, "--resume")
    assert made.code == 0, made.err
    assert (tmp_path / "pleated" / "waistband-notched.svg").read_bytes() != before
    page = terminal("sheet", job, "-o", "sheet.html")
    assert page.code == 0, page.err
    text = (tmp_path / "sheet.html").read_text()
    assert "Sew waistband on</h4>" in text
    assert "Hold it against waistband, fold against notch." in text


def test_front_and_back_on_one_waistband_in_a_job(terminal: Terminal, tmp_path: Path, job: Path) -> None:
    shutil.copy(FIXTURES / "straight-panel.svg", tmp_path)
    length = 30 + 361.65979 + 600
    (tmp_path / "waistband.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" height="90mm" viewBox="0 0 1000 90">'
        f'<path id="seam" d="M 0,0 h {length} v 60 h -{length} z"/></svg>'
    )
    job.write_text(
        JOB.replace('sewn_to = "front"', 'sewn_to = ["front: top", "back: top"]')
        + '\n[[piece]]\nname = "back"\ndrawing = "straight-panel.svg"\n'
    )
    outcome = terminal("batch", job, "--workers", "2")
    assert outcome.code == 0, outcome.err
    band = summary(tmp_path / "pleated")["pieces"][-1]
    assert [edge["folds"] for edge in band["companion"]["sewn_to"]] == [3, 4]


@pytest.mark.parametrize(
    ("change", "line", "words"),
    [
        (('edge = "hem"\n', ""), 11, "[[companion]] says no edge"),
        (('edge = "hem"', 'edge = "hem"\nintake = "6cm"'), 15, "key 'intake' is not known in [[companion]]"),
        (('from = "3cm"', "from = 3"), 16, "key 'from' is 3, without a unit"),
        (('from = "3cm"', 'beyond = "3"'), 16, "'beyond' is written '3', without a unit"),
        (('from = "3cm"', 'from = "3cm"\ncut = 0'), 17, "cut is 0; a piece is cut once or more often"),
        (('"waistband.svg"', '"waistbnd.svg"'), 13, "drawing 'waistbnd.svg' is not there"),
        (('"waistband.svg"', '["waistband.svg", "b.svg"]'), 13, "'drawing' names several"),
        (('name = "waistband"', 'name = " "'), 12, "'name' is empty"),
        (('from = "3cm"', 'output = "../band"'), 16, "'output' is '../band'"),
        (
            (
                'drawing = "skirt-front.svg"',
                'drawing = "skirt-front.svg"\npiece = "chorus skirt front"\noutput = "waistband-notched"',
            ),
            13,
            "output 'waistband-notched.svg' would be written by skirt-front.svg (line 7) as well",
        ),
        (
            ('from = "3cm"', 'from = "3cm"' + JOB[JOB.index("\n[[companion]]") :]),
            18,
            "'waistband' is the name of the companion in line 11",
        ),
    ],
)
def test_a_fault_in_the_job_is_named_with_its_line(
    terminal: Terminal, job: Path, tmp_path: Path, change: tuple[str, str], line: int, words: str
) -> None:
    job.write_text(JOB.replace(*change))
    outcome = terminal("batch", job)
    assert_refused(outcome, 1)
    assert f"skirt.toml, line {line}: {words}" in outcome.err
    assert not (tmp_path / "pleated").exists()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (('from = "3cm"', ""), "3 cm too long"),
        (('sewn_to = "front"', 'sewn_to = "frnt"'), "no piece of this batch is called so; the nearest is 'front'"),
        (('sewn_to = "front"', 'sewn_to = "front: left side"'), "has no folds that come to lie on it"),
        (('from = "3cm"', 'from = "3cm"\noutput = "skirt-front-pleated"'), "is that of 'front', too"),
        (('intake = "6cm"', 'intake = "60cm"'), "cannot be sewn to, since its piece was not made"),
    ],
)
def test_a_companion_that_cannot_be_made_is_told_and_the_pieces_stand(
    terminal: Terminal, job: Path, tmp_path: Path, change: tuple[str, str], words: str
) -> None:
    job.write_text(JOB.replace(*change))
    outcome = terminal("batch", job)
    assert outcome.code == 1
    assert "skirt.toml, line 11, waistband.svg: " in outcome.err
    assert words in outcome.err
    assert not (tmp_path / "pleated" / "waistband-notched.svg").exists()
    assert (tmp_path / "pleated" / "skirt-front-pleated.svg").exists() == ("60cm" not in change[1])


def test_a_spoilt_record_is_not_believed(terminal: Terminal, job: Path, tmp_path: Path) -> None:
    assert terminal("batch", job).code == 0
    account = tmp_path / "pleated" / "summary.json"
    account.write_text(account.read_text().replace('"length_mm": 361', '"length_mm": "x'))
    made = terminal("batch", job, "--resume")
    assert "Traceback" not in made.err
    account.write_text(account.read_text().replace('"folds": [[', '"folds": [[null, '))
    assert "Traceback" not in terminal("batch", job, "--resume").err
    assert terminal("batch", job, "--force").code == 0
