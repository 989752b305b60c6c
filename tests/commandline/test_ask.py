"""`ask`: a handful of questions, each answer checked as it is given, and the command that does the same again."""

from __future__ import annotations

import io
import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import pleatsvg
from pleatsvg.cli.ask.answers import MOST_TRIES
from tests.commandline.terminal import FIXTURES, JARGON, PANEL, Outcome, Terminal, line, svg

ALL = "inverted, kick, tuck or pin-tuck"

Asked = Callable[..., Outcome]


@pytest.fixture
def asked(terminal: Terminal, monkeypatch: pytest.MonkeyPatch) -> Asked:
    """Run `ask` on a drawing with answers through a pipe."""

    def ask(drawing: object, *answers: str) -> Outcome:
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join([f"{answer}\n" for answer in answers])))
        outcome = terminal("ask", drawing)
        assert not [word for word in JARGON if word in outcome.out + outcome.err]
        return outcome

    return ask


def questions(outcome: Outcome) -> list[str]:
    """What was asked, in order, up to the question mark."""
    return re.findall(r"^(\S.*)\? \[", outcome.out, flags=re.MULTILINE)


def command(outcome: Outcome) -> list[str]:
    """The words of the command that does the same again, as a shell takes them."""
    before, last = outcome.out.rstrip("\n").rsplit("\n", 1)
    assert before.endswith("The same again:")
    words = shlex.split(last)
    assert words[:2] == ["pleatsvg", "pleat"]
    return words[1:]


@pytest.mark.parametrize(
    "name", ["skirt-front", "gore-panel", "bodice-front", "plain-square-apron", "gallery/half-skirt", "gallery/panel"]
)
def test_every_answer_that_is_offered_will_do(name: str, asked: Asked, terminal: Terminal, tmp_path: Path) -> None:
    drawing = Path(shutil.copy(FIXTURES / f"{name}.svg", tmp_path))
    outcome = asked(drawing.name, *[""] * 8)
    assert outcome.code == 0, outcome.out + outcome.err
    assert len(questions(outcome)) == len(set(questions(outcome))) <= 7
    flat = tmp_path / f"{drawing.stem}-flat.svg"
    made = flat.read_bytes()
    again = terminal(*command(outcome))
    assert again.code == 0, again.err
    assert flat.read_bytes() == made
    assert again.out in outcome.out


def test_what_the_names_of_lines_say_is_not_asked(asked: Asked, tmp_path: Path) -> None:
    shutil.copy(FIXTURES / "gallery" / "kinds-by-name.svg", tmp_path / "front.svg")
    outcome = asked("front.svg", "", "0", "")
    assert questions(outcome) == [
        "Along which lines",
        "Seam allowance on every edge, 0 for none",
        "What is the result to be called",
    ]
    assert command(outcome) == ["pleat", "front.svg", "-o", "front-flat.svg", "--force"]


@pytest.mark.parametrize(
    ("name", "open_"),
    [
        ("slash 1 knife 4cm left", []),
        ("slash 1 knife 4cm", ["Which way"]),
        ("slash 1 knife", ["Which way", "How much"]),
        ("slash 1 box", ["How much"]),
        ("slash 1 kick 6cm", ["How high"]),
        ("slash 1 6cm", ["Which kind", "Which way"]),
        ("slash left 1", ["Which kind", "Which way", "How much"]),
    ],
)
def test_only_what_is_open_is_asked(name: str, open_: list[str], asked: Asked, tmp_path: Path) -> None:
    (tmp_path / "front.svg").write_text(svg(PANEL + line(name, 160)))
    outcome = asked("front.svg", *[""] * 8)
    assert outcome.code == 0, outcome.out
    assert [" ".join(one.split()[:2]) for one in questions(outcome)][:-3] == open_
    assert (tmp_path / "front-flat.svg").is_file()


def test_each_answer_is_checked_as_it_is_given(asked: Asked, tmp_path: Path) -> None:
    shutil.copy(FIXTURES / "skirt-front.svg", tmp_path / "front.svg")
    outcome = asked(
        "front.svg",
        *("4", "slash 1, 3"),
        *("?", "pleet", "Box"),
        *("5", "0cm", "90cm", "depth 3cm"),
        *("much", "none"),
        *("front.svg", "front.pdf", "no/such.svg", "flat"),
    )
    assert outcome.code == 0, outcome.out
    for told in (
        "'4' is no slash line of this piece; there are 'slash 1', 'slash 2', 'slash 3'. Or say all.",
        "inverted: two folds meet on the slash line",
        "'pleet' is no kind of pleat",
        "The intake is written '5', without a unit",
        "Take a narrower face, or move the slash line farther from the seam.",
        "The allowance is written 'much'; that is not a length.",
        "'front.svg' is there already; nothing is written over here.",
        "'front.pdf' does not end in .svg",
        "Make that folder first.",
    ):
        assert told in outcome.out
    given = ["--kind", "box", "--depth", "3cm", "--slash", "slash 1", "--slash", "slash 3", "--force"]
    assert command(outcome) == ["pleat", "front.svg", "-o", "flat.svg", *given]
    assert (tmp_path / "flat.svg").is_file()


def test_flat_cloth_to_a_measure_and_a_name_that_a_shell_would_part(asked: Asked, tmp_path: Path) -> None:
    folder = tmp_path / "the chorus' skirts"
    folder.mkdir()
    (folder / "front.svg").write_text(svg(PANEL + line("slash 1", 120) + line("slash 2", 220)))
    outcome = asked("the chorus' skirts/front.svg", "", "", "right", "to 20cm", "5/8in", "", "")
    assert outcome.code == 0, outcome.out
    assert "seam at the top: 20 cm finished, 30 cm flat" in outcome.out
    words = command(outcome)
    assert words[1:4] == ["the chorus' skirts/front.svg", "-o", "the chorus' skirts/front-flat.svg"]
    assert words[words.index("--finish-to") + 1] == "20cm"
    assert "hem=1 1/2in" in words  # who measures in inches is offered inches


def test_level_lines_that_nobody_has_named(asked: Asked, tmp_path: Path) -> None:
    level = "".join([line(f"row {n}", 20, 320, 20 + 100 * n, 20 + 100 * n) for n in (1, 2)])
    (tmp_path / "sleeve.svg").write_text(svg(PANEL + level))
    outcome = asked("sleeve.svg", "", "tuck", *[""] * 8)
    assert outcome.code == 0, outcome.out
    assert questions(outcome)[0] == "How many pleats at equal spaces, or all for the lines drawn across"
    assert "Which way do the folds point: down or up" in questions(outcome)
    assert command(outcome)[-1] == "--force"
    assert "--slash all" in " ".join(command(outcome))


def test_lines_that_cannot_be_slashed_are_told_at_once(asked: Asked, tmp_path: Path) -> None:
    """They may be left out; of a line by itself nothing is asked."""
    shutil.copy(FIXTURES / "broken" / "crossing-lines.svg", tmp_path)
    outcome = asked("crossing-lines.svg", "", "1", *[""] * 8)
    assert questions(outcome)[:3] == [
        "Along which lines",
        "Along which lines",
        "Which kind of pleat: knife, box, " + ALL,
    ]
    assert outcome.code == 0, outcome.out
    (tmp_path / "bent.svg").write_text(svg(PANEL + '<path data-name="slash 1" d="M160 20L180 200L160 420"/>'))
    outcome = asked("bent.svg")
    assert (outcome.code, questions(outcome)) == (1, [])
    assert "slash 1" in outcome.err


def test_which_of_several_pieces(asked: Asked, tmp_path: Path) -> None:
    two = "".join(
        f'<g data-name="{name}" transform="translate({x} 0)">{PANEL}{line("slash 1", 160)}</g>'
        for name, x in (("front", 0), ("back", 400))
    )
    (tmp_path / "skirt.svg").write_text(svg(two, 'width="800mm" height="440mm" viewBox="0 0 800 440"'))
    outcome = asked("skirt.svg", "side", "back", *[""] * 8)
    assert questions(outcome)[:2] == ["Which piece", "Which piece"]
    words = command(outcome)
    assert words[words.index("--piece") + 1] == "back"
    assert outcome.out.count("back: 1 pleat") == 1


def test_a_drawing_that_cannot_be_pleated_is_refused_before_anything_is_asked(asked: Asked, tmp_path: Path) -> None:
    shutil.copy(FIXTURES / "broken" / "no-outline.svg", tmp_path)
    outcome = asked("no-outline.svg", "", "")
    assert (outcome.code, outcome.out) == (1, "")
    assert "no-outline" in outcome.err


def test_end_of_the_answers(asked: Asked, tmp_path: Path) -> None:
    shutil.copy(FIXTURES / "skirt-front.svg", tmp_path)
    for answers in ((), ("", ""), ("nonsense",) * (MOST_TRIES + 1)):
        outcome = asked("skirt-front.svg", *answers)
        assert outcome.code == 1
        assert outcome.err in (
            "There are no more answers. Nothing was written.\n",
            "None of the answers would do. Nothing was written.\n",
        )
    assert [p.name for p in tmp_path.iterdir()] == ["skirt-front.svg"]


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is sent as Unix does it")
def test_ctrl_c_at_a_question(tmp_path: Path) -> None:
    program = subprocess.Popen(
        [sys.executable, "-m", "pleatsvg", "ask", str(FIXTURES / "gore-panel.svg")],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(Path(pleatsvg.__file__).parents[1])},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert program.stdout is not None
    seen = ""
    while not seen.endswith("? [knife] "):
        letter = program.stdout.read(1)
        assert letter, seen
        seen += letter
    program.send_signal(signal.SIGINT)
    _, told = program.communicate(timeout=20)
    assert (program.returncode, told) == (130, "Stopped; nothing was written.\n")
