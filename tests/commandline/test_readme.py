"""README shows real commands with real output: every command in it is run and its output compared."""

from __future__ import annotations

import io
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.commandline.terminal import Terminal

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
BEFORE, FIRST, AFTER = re.split(r"(?s)(^## Your first skirt.*?)(?=^## )", README, flags=re.MULTILINE)
SHOWN = re.findall(r"^\$ pleatsvg (.+)\n((?:.*\n)*?)```", BEFORE + AFTER, flags=re.MULTILINE)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder that holds the fixtures, as a fresh checkout does."""
    shutil.copytree(ROOT / "fixtures", tmp_path / "fixtures")
    return tmp_path


def called(words: list[str], folder: Path) -> str:
    """What a command prints."""
    command = [sys.executable, "-c", "from pleatsvg.cli import run; run()", *words]
    done = subprocess.run(
        command, cwd=folder, env={"PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=True
    )
    return done.stdout


def test_readme_shows_commands() -> None:
    assert len(SHOWN) >= 2


@pytest.mark.parametrize(("command", "output"), SHOWN)
def test_command_prints_what_readme_shows(
    command: str, output: str, folder: Path, terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    outcome = terminal(*shlex.split(command))  # in this process, as a program of its own below
    assert outcome.code == 0, outcome.err
    assert _at_no_time(outcome.out) == _at_no_time(output)


def _at_no_time(text: str) -> str:
    # The seconds that a piece took are the one thing that differs from run to run.
    return re.sub(r"\d+\.\d\d s$", "0.00 s", text, flags=re.MULTILINE)


def test_first_skirt(folder: Path, terminal: Terminal, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its commands in their order, in the folder that it names, with the answers that it gives."""
    (at,) = re.findall(r"in the folder `(fixtures/[^`]+)`", FIRST)
    monkeypatch.chdir(folder / at)
    there = {path.name for path in Path().iterdir()}
    commands = re.findall(r"(?:`|^\$ )pleatsvg ([^`\n]+)(?:`|\n((?:.*\n)*?)```)", FIRST, flags=re.MULTILINE)
    assert [command.split()[0] for command, _ in commands] == ["measure", "ask", "fold", "tile", "sheet"]
    for command, shown in commands:
        answers = re.findall(r"\? \[.*\](.*)$", shown, flags=re.MULTILINE)
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join([f"{answer.strip()}\n" for answer in answers])))
        outcome = terminal(*shlex.split(command))
        assert (outcome.code, outcome.err) == (0, "")
        if shown:
            assert [row.rstrip() for row in outcome.out.splitlines()] == shown.splitlines()
    made = {path.name for path in Path().iterdir()} - there
    assert made == {"front-flat.svg", "front-folded.svg", "front-pages.pdf", "front-sheet.html"}
    assert made <= set(re.findall(r"[\w-]+\.\w+", FIRST))
    for name in ("flat", "folded"):  # the pictures are of what these steps make
        (words, numbers), (kept, shown_at) = (
            _parted(Path(file).read_text()) for file in (f"front-{name}.svg", f"{name}.svg")
        )
        assert words == kept
        assert numbers == pytest.approx(shown_at, abs=2e-3)


def _parted(text: str) -> tuple[list[str], list[float]]:
    number = r"-?\d+(?:\.\d+)?(?:e-?\d+)?"
    return re.split(number, text), [float(found) for found in re.findall(number, text)]


def test_job_file_of_readme_is_the_fixture() -> None:
    shown = re.search(r"```toml\n((?:.*\n)*?)```", README)
    assert shown is not None
    whole = (ROOT / "fixtures" / "wardrobe.toml").read_text(encoding="utf-8")
    for table in shown[1].split("\n\n["):
        assert table.strip() in whole


def test_first_command_prints_what_readme_shows(folder: Path) -> None:
    command = re.search(r"\.venv/bin/pleatsvg (pleat .+)\n```\n\nand prints\n\n```\n((?:.*\n)*?)```", README)
    assert command is not None
    assert called(shlex.split(command[1]), folder) == command[2]
    assert (folder / "skirt-front-flat.svg").is_file()


def test_two_commands_from_a_waist_measure_make_what_readme_says(
    folder: Path, terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = re.search(
        r"```\npleatsvg (plan .+)\npleatsvg (batch .+)\n```\n\nThe second prints\n\n```\n((?:.*\n)*?)```", README
    )
    assert shown is not None
    monkeypatch.setenv("COLUMNS", "80")
    assert terminal(*shlex.split(shown[1])).code == 0
    assert _at_no_time(terminal(*shlex.split(shown[2])).out) == _at_no_time(shown[3])


def test_python_of_readme_runs(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    code = re.search(r"```python\n((?:.*\n)*?)```", README)
    assert code is not None
    assert len(code[1].splitlines()) < 15
    monkeypatch.chdir(folder)
    exec(compile(code[1], "README.md", "exec"), {"__name__": "__main__"})
    assert "True" in capsys.readouterr().out.splitlines()
    assert (folder / "skirt-front-flat.svg").is_file()


def test_test_command_is_what_ci_runs() -> None:
    """README's second command and .ci/run install and run the same thing."""
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "pip install -q -e '.[test]' && .venv/bin/python -m pytest" in README
    assert "-e '.[test]'" in script
    assert "-m pytest" in script
