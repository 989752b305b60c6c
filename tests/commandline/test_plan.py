"""The command `plan` as a dressmaker uses it: what is told, what is refused, and from a tape measure to a proven flat piece."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest

from pleatsvg import read
from pleatsvg.api import fold, pleat
from pleatsvg.plan.options import PLAN_OPTIONS
from tests.commandline.terminal import COMMAND, DRAWING, JARGON, ROOT, Terminal
from tests.referee.foldback import prove
from tests.referee.ringback import assert_ring

SKIRT = ("--body", "70cm", "--ease", "2cm", "--kind", "box", "--count", "12", "--length", "60cm")


RINGS = (
    "--kind knife --count 9 --lap left",
    "--kind knife --count 8 --lap right",
    "--kind knife --count 7 --depth 4cm --lap left",
    "--kind box --count 6 --depth 4cm",
    "--kind inverted --count 6 --depth 7cm",
)
"""Pleats that run on all round."""


def words_of(text: str) -> str:
    return " ".join(text.split())


def test_every_figure_for_the_shop_and_for_the_table(terminal: Terminal) -> None:
    cloth = ("--cloth-width", "140cm", "--allowance", "15mm", "--allowance", "hem=4cm")
    done = terminal("plan", *SKIRT, *cloth)
    said = words_of(done.out)
    assert done.code == 0
    for told in (
        "12 box pleats, full: 72 cm finished from 216 cm flat",
        "spacing 6 cm, middle to middle",
        "depth 3 cm",
        "intake 12 cm each, 6 cm on either side",
        "layers 3 on average, 3 at most",
        "cut width 219 cm",
        "cut length 65.5 cm, with 1.5 cm at the top and 4 cm at the hem",
        "216 cm are 1.58 of them",
        "2 strips, 1 join, all at inner folds: parts of 129 cm and 87 cm: buy 1.4 m (131 cm, rounded up)",
        "fold lines 6, 12, 24, 30, 42",
        "70 cm of the body and 2 cm of ease are 72 cm",
    ):
        assert told in said


def test_answers_stand_side_by_side_with_one_put_forward(terminal: Terminal) -> None:
    out = terminal("plan", "--finished", "72cm", "--kind", "knife", "--intake", "6cm").out
    table = [row.split() for row in out.splitlines() if re.match(r"[> ] +\d+ +\d", row)]
    assert [row[:2] for row in table] == [[">", "24"], ["18", "4"], ["12", "6"]]
    assert re.search(r"^> 24 is put forward: .{20,}$", out, re.MULTILINE)


def test_what_was_rounded_is_told_and_what_stepping_it_off_would_do(terminal: Terminal) -> None:
    said = words_of(
        terminal("plan", "--finished", "42in", "--plain", "16in", "--count", "26", "--balance", "waist=37in").out
    )
    assert "at waist 37 in finished: spacing 13/16 in (exactly 0.80769 in)" in said
    assert "26 times 13/16 in at waist, stepped off, would end 1/8 in long" in said


def test_stripes(terminal: Terminal) -> None:
    words = (
        "--finished",
        "72cm",
        "--count",
        "18",
        "--repeat",
        "10cm",
        "--repeat-start",
        "3cm",
        "--cloth-width",
        "150cm",
    )
    data = json.loads(terminal("plan", *words, "--lap", "right", "--json").out)
    step = data["spacing_mm"] + data["intake_mm"]
    folds = [mark["at_mm"] + data["cloth"]["seam_from_edge_mm"] for mark in data["marks"] if mark["role"] == "fold"]
    assert step % 100 == pytest.approx(0, abs=1e-9)
    assert [(at - 30 + 50) % 100 for at in folds] == pytest.approx([50] * 18)
    told = words_of(terminal("plan", *words, "--depth", "4cm").out)
    assert "as asked: the stripe moves on 2 cm from fold to fold" in told
    assert json.loads(terminal("plan", *words, "--flat", "170cm", "--json").out)["flat_mm"] == pytest.approx(1700)
    told = words_of(terminal("plan", *words, "--flat", "190cm").out)
    assert "the stripe moves on 0.56 cm from fold to fold" in told


def test_what_turning_takes_is_marked_and_not_seen(terminal: Terminal) -> None:
    data = json.loads(
        terminal("plan", "--finished", "72cm", "--count", "18", "--depth", "4cm", "--fold-loss", "1mm", "--json").out
    )
    assert (data["intake_mm"], data["marked_intake_mm"], data["flat_mm"]) == pytest.approx((80, 82, 720 + 18 * 82))


def test_bulk_and_open_ends_are_cautioned(terminal: Terminal) -> None:
    said = words_of(terminal("plan", "--finished", "26in", "--flat", "160in", "--kind", "knife").out)
    assert "CAUTION, BULK: 7 layers" in said
    assert "overlapping, 258 % of full" in said
    full = ("plan", "--finished", "72cm", "--count", "18", "--kind", "knife", "--full")
    assert "has its hidden cloth 2 cm past the right one. Give --ring" in words_of(terminal(*full).out)
    assert "past the right" not in terminal(*full, "--ring").out


def test_cloth_that_is_there(terminal: Terminal) -> None:
    words = (
        "plan",
        "--finished",
        "72cm",
        "--count",
        "18",
        "--full",
        "--cloth-width",
        "140cm",
        "--length",
        "60cm",
        "--ring",
    )
    assert "200 cm: enough, 80 cm are left" in words_of(terminal(*words, "--have", "2m").out)
    short = terminal(*words, "--have", "1m")
    assert short.code == DRAWING
    assert "--have 100cm is 20 cm too little" in short.err
    assert "1 strip of it gives 140 cm of flat width: 18 knife pleats 1.89 cm deep in 72 cm" in short.err


def test_a_strip_more_for_hidden_joins_is_told_with_the_count_that_needs_none(terminal: Terminal) -> None:
    words = ("plan", "--finished", "28 1/2in", "--kind", "box", "--count", "12", "--full", "--cloth-width", "45in")
    said = words_of(terminal(*words, "--allowance", "5/8in", "--length", "24in").out)
    assert "2 strips, 1 join where they fall" in said
    assert "put forward: every join is hidden at an inner fold, for 1 strip more" in said
    assert "With 11 pleats of the same depth 2 strips would do, every join hidden." in said


def test_gores_lie_head_to_tail_unless_the_nap_forbids_it(terminal: Terminal) -> None:
    gore = ("plan", "--top", "12cm", "--bottom", "30cm", "--length", "60cm", "--kind", "inverted", "--count", "1")
    gore = (*gore, "--depth", "3cm", "--cut", "6", "--cloth-width", "110cm")
    # Flat 24 cm at the top, 42 at the hem: three take 3 x 33 + 9 = 108 cm; one way round, two take 84.
    assert "2 lengths" in terminal(*gore).out
    assert "3 lengths" in terminal(*gore, "--nap").out


# ------------------------------------------------------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        ("--count 12", COMMAND, "--count 12 alone"),
        ("--intake 6cm --spacing 3cm", COMMAND, "has too little to go by"),
        ("--kind tuck --finished 30cm", COMMAND, "how many tucks (--count) or how far apart (--gap or --spacing)"),
        ("--finished 72cm --count 18 --spacing 5cm", COMMAND, "--spacing 5cm and --finished 72cm disagree by 18 cm"),
        ("--body 70cm --count 18 --spacing 5cm", COMMAND, "--spacing 5cm and --body disagree by 20 cm"),
        ("--finished 72cm --count 18 --depth 4cm --flat 220cm", COMMAND, "disagree by 4 cm"),
        ("--finished 72cm --spacing 4cm --depth 4cm --flat 220cm", COMMAND, "disagree by 4 cm"),
        ("--count 18 --spacing 4cm --depth 4cm --flat 2m", DRAWING, "is 16 cm too little"),
        ("--count 18 --spacing 4cm --depth 4cm --flat 230cm", COMMAND, "disagree by 14 cm"),
        ("--finished 72cm --count 36 --depth 4cm --flat 1.5m", DRAWING, "or 9 knife pleats 4 cm deep and 8 cm apart"),
        ("--finished 72cm --flat 60cm", DRAWING, "nothing is left to fold"),
        ("--finished 72cm --flat 84cm --intake 14cm", DRAWING, "Possible: one pleat of 12 cm of intake"),
        ("--flat 20cm --spacing 5cm --intake 30cm", DRAWING, "is too little"),
        ("--finished 72cm --margin 40cm --count 12", DRAWING, "What stays plain is 80 cm"),
        ("--finished 72cm --count 1 --margin 4cm", COMMAND, "one pleat has no space to the next"),
        ("--finished 72cm --intake 6cm --depth 3cm", COMMAND, "one follows from the other"),
        ("--finished 72cm --body 70cm", COMMAND, "are both given"),
        ("--finished 72cm --ease 2cm", COMMAND, "Give --body 70cm with it"),
        ("--finished 72cm --full --flat 216cm", COMMAND, "are both given"),
        ("--finished 72cm --ring --ends full", COMMAND, "a ring has no ends"),
        ("--finished 72cm --gap 2cm --count 4", DRAWING + 1, None),
        ("--finished 72cm --kind knife --gap 2cm", COMMAND, "--gap is given for knife pleats"),
        ("--finished 72cm --kind inverted --face 2cm", COMMAND, "--face is given for inverted pleats"),
        (
            "--finished 72cm --kind box --face 10cm --count 12",
            DRAWING,
            "Possible in 72 cm: 7 box pleats with such a face",
        ),
        ("--finished 72cm --kind kick", COMMAND, "a kick pleat stands alone"),
        ("--finished 72cm --kind pleat", COMMAND, "there are 'knife'"),
        ("--finished 72cm --lap up", COMMAND, "Give left, right, centre, sides"),
        ("--finished 72cm --repeat-start 2cm", COMMAND, "Give --repeat 8cm with it"),
        ("--finished 72cm --count 12 --have 2m", COMMAND, "Give --cloth-width and --length with it"),
        ("--finished 72cm --count 12 --balance hip", COMMAND, "Write 'hip=96cm'"),
        ("--finished 72cm --count 12 --full --balance hip=3m", DRAWING, "leaves nothing for the pleats there"),
        ("--finished 72cm --count 12 --allowance foo=3cm", COMMAND, "names the edge 'foo'"),
        ("--finished 72cm --count 12 --cloth-width 5cm", COMMAND, "cloth under 10 cm is no cloth"),
        ("--finished 72cm --count 12 --cloth-width 90cm --allowance 50cm", DRAWING, "leaves 0 cm of 90 cm"),
        ("--finished 72 --count 12", COMMAND, "without a unit"),
    ],
)
def test_refusals_are_one_paragraph_that_helps(words: str, code: int, told: str | None, terminal: Terminal) -> None:
    done = terminal("plan", *words.split())
    assert done.code == code
    assert done.out == ""
    assert len(done.err.strip().splitlines()) == 1
    assert told is None or told in done.err


HOSTILE = (
    "nan",
    "inf",
    "1e300cm",
    "-5cm",
    "0cm",
    "0mm",
    "-inf",
    "9" * 400 + "cm",
    "1/0in",
    "",
    "cm",
    "😀",
    "99999cm",
    "0.000001mm",
)


@pytest.mark.parametrize("name", [name for name, row in PLAN_OPTIONS.items() if row.metavar == "LENGTH"])
def test_no_figure_however_odd_is_a_fault_of_the_program(name: str, terminal: Terminal) -> None:
    flag = PLAN_OPTIONS[name].flag
    start = time.process_time()
    for odd in HOSTILE:
        rest = [] if name in ("finished", "body") else ["--finished", "72cm"]
        for more in (
            [],
            ["--count", "7"],
            ["--spacing", "3cm", "--flat", "1m", "--cloth-width", "90cm", "--length", "1m"],
        ):
            given = [*rest, *more]
            if flag in given:
                k = given.index(flag)
                given = given[:k] + given[k + 2 :]
            done = terminal("plan", *given, flag, odd)
            assert done.code in (0, DRAWING, COMMAND)
            assert not any(word in done.err for word in JARGON), done.err
            assert "nan" not in done.out
    assert time.process_time() - start < 3


@pytest.mark.parametrize("count", ["1000000000", "99999999999999999999", "2001", "0", "-1", "1.5", "many"])
def test_counts_are_bounded(count: str, terminal: Terminal) -> None:
    done = terminal("plan", "--finished", "72cm", "--count", count)
    assert (done.code, done.out) == (COMMAND, "")


# ---------------------------------------------------------------------------------------- from a tape measure to a cut piece


@pytest.mark.parametrize(
    "words",
    [
        pytest.param("--finished 36cm --kind box --count 6", id="box, full, from half spaces"),
        pytest.param("--finished 32cm --kind knife --count 8 --depth 3cm --lap left", id="knife, moved to one side"),
        pytest.param("--finished 28cm --kind knife --count 6 --ends full --lap right", id="knife, full"),
        *[pytest.param(f"--finished 72cm --ring {words}", id=f"ring, {words}") for words in RINGS],
        pytest.param(
            "--finished 72cm --kind knife --count 6 --depth 3cm --lap centre --fold-loss 1mm", id="to the centre"
        ),
        pytest.param("--finished 28.5in --kind inverted --count 7 --depth 1in --unit in", id="inverted, inches"),
        pytest.param("--finished 41cm --kind knife --spacing 5cm --depth 2cm --lap sides", id="rounded, to the sides"),
        pytest.param("--finished 50cm --kind box --count 3 --depth 2cm --face 7cm --margin 9cm", id="boxes apart"),
        pytest.param("--finished 15cm --kind tuck --gap 1.2cm --depth 4mm --margin 3cm --lap left", id="tucks"),
        pytest.param("--count 8 --spacing 8mm --kind pin-tuck --depth 2mm --lap right", id="pin tucks"),
        pytest.param("--top 30cm --bottom 45cm --kind knife --count 3 --depth 2cm --lap left", id="gore"),
        pytest.param("--top 18cm --bottom 33cm --kind inverted --count 1 --depth 4cm", id="gore, inverted"),
    ],
)
def test_two_commands_make_a_proven_piece_as_planned(words: str, terminal: Terminal) -> None:
    given = (*words.split(), "--length", "60cm", "--allowance", "15mm", "--cut", "2", "--json")
    planned = terminal("plan", *given, "--draw", "panel.svg", "--job", "skirt.toml")
    assert (planned.code, planned.err) == (0, "")
    plan = json.loads(planned.out)
    made = terminal("batch", "skirt.toml", "--out", "out")
    assert made.code == 0, made.err
    assert "they agree within" in made.out
    if "--ring" in words:
        assert_ring("out/panel-pleated.svg")
    else:
        assert prove(Path("out/panel-pleated.svg")).failures() == []
    assert all(proof.holds for proof in fold("out/panel-pleated.svg"))
    ring = {"ring": "left side=right side"} if "--ring" in words else {}
    result = pleat(read("panel.svg"), **ring)  # the names of the lines say the rest
    assert result.top_lengths == pytest.approx((plan["finished_mm"], plan["flat_mm"]), abs=1e-4)
    if "--bottom" not in words:  # on a straight panel the marks lie where the plan says
        left = result.flat.outline.box[0]
        folds = [round(mark["at_mm"], 3) for mark in plan["marks"] if mark["role"] in ("fold", "inner")]
        marked = [round(mark["at_mm"], 3) for mark in plan["marks"]]
        if ring:  # the join lies at both ends; its fold is the last
            folds = [at or round(plan["flat_mm"], 3) for at in folds]
            marked += folds
        drawn = sorted({round(min(c.out_top.real, c.out_hem.real) - left, 3) for c in result.flat.creases})
        assert all(min(abs(at - one) for one in marked) < 2e-3 for at in drawn)
        assert all(min(abs(at - one) for one in drawn) < 2e-3 for at in folds)


@pytest.mark.parametrize("kind", ["--kind box --count 12", "--kind knife --count 18 --lap left --ring"])
def test_the_cloth_is_parted_where_the_plan_says(kind: str, terminal: Terminal) -> None:
    words = (*kind.split(), "--finished", "72cm", "--length", "30cm", "--cloth-width", "140cm", "--allowance", "15mm")
    plan = json.loads(terminal("plan", *words, "--draw", "panel.svg", "--job", "skirt.toml", "--json").out)
    terminal("batch", "skirt.toml", "--out", "out")
    text = Path("out/panel-pleated.svg").read_text()
    wide = []
    for data in re.findall(r'<path class="seam-line" d="([^"]*)"', text):
        across = [float(x) for x in re.findall(r"(-?[\d.]+),", data)]
        wide.append(max(across) - min(across))
    best = plan["cloth"]["ways"][plan["cloth"]["best"]]
    assert best["name"] == "hidden"
    assert wide == pytest.approx(best["parts"], abs=1e-4)


def test_a_job_for_a_piece_that_is_drawn_by_hand(terminal: Terminal) -> None:
    made = terminal(
        "plan", "--finished", "60cm", "--kind", "box", "--count", "5", "--depth", "2cm", "--job", "lining.toml"
    )
    assert "Next: pleatsvg batch lining.toml" in made.out
    terminal("plan", "--finished", "60cm", "--kind", "box", "--count", "1", "--length", "30cm", "--draw", "lining.svg")
    text = Path("lining.svg").read_text()
    Path("lining.svg").write_text(re.sub(r"<path id=\"slash.*\n", "", text))
    done = terminal("batch", "lining.toml", "--out", "out")
    assert done.code == 0, done.err
    assert "60 cm  100 cm" in done.out


def test_nothing_is_written_over_and_nothing_by_halves(terminal: Terminal) -> None:
    files = ("--draw", "panel.svg", "--job", "skirt.toml")
    Path("skirt.toml").write_text("mine")
    done = terminal("plan", *SKIRT, *files)
    assert done.code == DRAWING
    assert "is there already" in done.err
    assert not Path("panel.svg").exists()
    assert terminal("plan", *SKIRT, *files, "--force").code == 0
    first = Path("panel.svg").read_bytes(), Path("skirt.toml").read_bytes()
    assert terminal("plan", *SKIRT, *files, "--force").code == 0
    assert (Path("panel.svg").read_bytes(), Path("skirt.toml").read_bytes()) == first
    assert terminal("plan", *SKIRT, "--draw", "one.svg", "--job", "one.svg").code == COMMAND
    assert terminal("plan", *SKIRT, "--draw", "nowhere/one.svg").code == DRAWING


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("--finished 72cm --kind knife --count 12 --depth 2cm --length 60cm", "The lap of the knife pleats is missing"),
        ("--finished 72cm --kind knife --count 7 --depth 2cm --lap centre --length 60cm", "Give an even --count"),
        ("--finished 72cm --kind box --count 12", "Give --length 60cm with --draw"),
        ("--finished 72cm --kind knife --count 18 --lap left --length 60cm", "give --ends full and --count 17"),
        (
            "--finished 14in --flat 44in --count 7 --apart 2in --lap left --length 2in",
            "--draw and --apart are both given",
        ),
        ("--finished 30cm --kind tuck --count 7 --lap left --length 9cm", "Give --depth 5mm"),
    ],
)
def test_what_cannot_be_drawn_says_why(words: str, told: str, terminal: Terminal) -> None:
    done = terminal("plan", *words.split(), "--draw", "panel.svg")
    assert done.code in (DRAWING, COMMAND)
    assert told in done.err
    assert not Path("panel.svg").exists()


def test_readme_and_help_tell_of_every_option(terminal: Terminal) -> None:
    assert len(PLAN_OPTIONS) > 30
    flags = {row.flag: rf"(?<![\w-])(?:{row.flag})(?![\w-])" for row in PLAN_OPTIONS.values()}
    for text in ((ROOT / "README.md").read_text(encoding="utf-8"), terminal("plan", "--help").out):
        assert [flag for flag, told in flags.items() if not re.search(told, text)] == []


def test_it_starts_without_the_packages_that_drawings_need(tmp_path: Path) -> None:
    words = [*SKIRT, "--draw", str(tmp_path / "panel.svg"), "--job", str(tmp_path / "skirt.toml")]
    code = (
        f"import sys; sys.argv = ['pleatsvg', 'plan', *{words!r}]\n"
        "from pleatsvg.cli import run\n"
        "try:\n    run()\nexcept SystemExit as left:\n    assert not left.code\n"
        "heavy = {'numpy', 'scipy', 'lxml', 'svgwrite', 'svgpathtools', 'pydantic', 'rich'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], env={"PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False
    )
    assert done.stderr == ""
    assert done.returncode == 0
