"""What the shells are told when the Tab key is pressed: names from the drawing that stands before."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import typer

import pleatsvg
from pleatsvg.cli.app import app
from pleatsvg.cli.main import run
from tests.commandline.batches import DEFAULTS, job
from tests.commandline.terminal import FIXTURES, PANEL, line, svg

assert run  # the commands are there

Tab = Callable[..., list[str]]


@pytest.fixture
def tab(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Tab:
    """Press Tab behind a line, in a shell that takes one value to a line and quotes it itself."""
    for name in ("skirt-front.svg", "skirts/darted-front.svg"):
        shutil.copy(FIXTURES / name, tmp_path)
    (tmp_path / "two.svg").write_text(
        svg(
            f'<g data-name="big front">{PANEL}{line("slash 1 knife 6cm left", 100)}</g>'
            '<g data-name="back" transform="translate(400)"><path id="seam" d="M20 20H320V420H20Z"/></g>'
        )
    )
    monkeypatch.chdir(tmp_path)
    command = typer.main.get_command(app)

    def press(text: str) -> list[str]:
        monkeypatch.setenv("_PLEATSVG_COMPLETE", "complete_fish")
        monkeypatch.setenv("_TYPER_COMPLETE_FISH_ACTION", "get-args")
        monkeypatch.setenv("_TYPER_COMPLETE_ARGS", text)
        capsys.readouterr()
        with pytest.raises(SystemExit):
            command(prog_name="pleatsvg")
        return [row.split("\t")[0] for row in capsys.readouterr().out.splitlines() if row]

    return press


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("pleatsvg pleat skirt-front.svg --slash ", ["all", "slash 1", "slash 2", "slash 3"]),
        ("pleatsvg pleat skirt-front.svg --slash 'slash 1' --along l", ["left side"]),
        ("pleatsvg pleat -o no.svg skirt-front.svg --fold-edge 'right s", ["right side"]),
        ("pleatsvg pleat skirt-front.svg --allowance h", ["hem=4cm"]),
        ("pleatsvg pleat skirt-front.svg --ring ", ["left side=right side"]),
        ("pleatsvg pleat skirt-front.svg --balance ", ["hip="]),
        ("pleatsvg pleat skirt-front.svg --fit-waist 35cm --hip ", ["hip"]),
        ("pleatsvg pleat darted-front.svg --pivot ", ["all", "dart 1", "dart 2"]),
        ("pleatsvg pleat skirt-front.svg --pivot ", []),
        ("pleatsvg pleat skirt-front.svg --kind in", ["inverted"]),
        ("pleatsvg pleat --kind knife --lap ", ["left", "right", "up", "down", "centre", "sides"]),
        ("pleatsvg measure two.svg --piece b", ["big front", "back"]),
        ("pleatsvg ask two.svg --piece big", ["big front"]),
        ("pleatsvg pleat sk", ["skirt-front.svg"]),
        ("pleatsvg batch jo", ["job.toml"]),
        ("pleatsvg batch job.toml --only ", ["waist", "skirt-front"]),
        ("pleatsvg as", ["ask"]),
        ("pleatsvg pleat --slash ", []),
        ("pleatsvg pleat missing.svg --along ", []),
        ("pleatsvg pleat job.toml --along ", []),
    ],
)
def test_what_is_told(text: str, told: list[str], tab: Tab, tmp_path: Path) -> None:
    job(tmp_path, DEFAULTS + '\n[[piece]]\nname = "waist"\ndrawing = "skirt-front.svg"\n')
    assert tab(text) == told


@pytest.mark.skipif(shutil.which("bash") is None, reason="there is no bash on this machine")
def test_bash_is_told_words_that_it_takes_for_one(tmp_path: Path) -> None:
    """By the script that the program itself gives; after a quote that was typed, the value is within it."""
    shutil.copy(FIXTURES / "skirt-front.svg", tmp_path)
    program = tmp_path / "pleatsvg"
    program.write_text(f"#!{sys.executable}\nfrom pleatsvg.cli import program\nprogram()\n")
    program.chmod(0o755)
    asked = (
        'eval "$(pleatsvg --show-completion bash)"\n'
        'tab() { COMP_WORDS=(pleatsvg pleat skirt-front.svg --along "$1"); COMP_CWORD=4; _pleatsvg_completion pleatsvg;\n'
        '  printf "%s|" "${COMPREPLY[@]}"; }\n'
        "tab 'left\\ s'; tab \"'le\"\n"
    )
    path = {
        "PATH": f"{tmp_path}{os.pathsep}{os.environ['PATH']}",
        "PYTHONPATH": str(Path(pleatsvg.__file__).parents[1]),
    }
    done = subprocess.run(
        ["bash", "-c", asked], cwd=tmp_path, env={**os.environ, **path}, capture_output=True, text=True, check=True
    )
    assert (done.stdout, done.stderr) == (r"left\ side|left side|", "")


def test_help_imports_nothing_that_reads_a_drawing(tmp_path: Path) -> None:
    script = (
        "import sys; sys.argv = ['pleatsvg', 'pleat', '--help']\n"
        "from pleatsvg.cli import run\n"
        "try: run()\n"
        "except SystemExit: pass\n"
        "heavy = {'numpy', 'lxml', 'svgwrite', 'svgpathtools', 'rich', 'tomllib', 'pleatsvg.api', 'pleatsvg.kinds'}\n"
        "heavy |= {'pleatsvg.cli.completing.names', 'pleatsvg.watching.saves', 'pleatsvg.cli.ask.questions'}\n"
        "print('imported:', sorted(heavy & set(sys.modules)))\n"
    )
    environment = {**os.environ, "PYTHONPATH": str(Path(pleatsvg.__file__).parents[1])}
    done = subprocess.run([sys.executable, "-c", script], env=environment, capture_output=True, text=True, check=True)
    assert done.stdout.endswith("imported: []\n")
