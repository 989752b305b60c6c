"""Where a result may go, what is said when that fails, and what of a name reaches the terminal."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import pleatsvg
from pleatsvg import cli, wholefile
from tests.commandline.batches import DEFAULTS, Aside, job, panel
from tests.commandline.terminal import COMMAND, DRAWING, JARGON, KNIFE, Terminal, assert_refused, contents

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="links, pipes and signals as Unix has them")

ESCAPING = "a\x1b]0;title\x07b\udcff"
"""A folder's name that would name a terminal's window, and holds a byte that is no letter."""


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    """A panel with one slash line."""
    (tmp_path / "panel.svg").write_text(panel())
    return tmp_path / "panel.svg"


def test_only_a_plain_file_is_taken_the_place_of(drawing: Path, terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "other.svg").write_text("other")
    (tmp_path / "link.svg").symlink_to("other.svg")
    (tmp_path / "dangling.svg").symlink_to("none.svg")
    (tmp_path / "loop.svg").symlink_to("loop.svg")
    os.mkfifo(tmp_path / "pipe.svg")
    before = {p.name: p.lstat().st_ino for p in tmp_path.iterdir()}
    assert terminal("pleat", drawing, "-o", tmp_path / "flat.svg", *KNIFE).code == 0
    for name, kind in {
        "link": "link",
        "dangling": "link",
        "loop": "link",
        "pipe": "pipe",
        "/dev/null": "device",
    }.items():
        place = name if name == "/dev/null" else f"{name}.svg"
        for command in (("pleat", drawing, *KNIFE), ("fold", "flat.svg")):
            for force in ((), ("--force",)):
                assert_refused(terminal(*command, "-o", place, *force), DRAWING, f"is a {kind}")
    (tmp_path / "flat.svg").unlink()
    assert {p.name: p.lstat().st_ino for p in tmp_path.iterdir()} == before
    assert not Path("/dev/null").is_file()


def test_standard_output(drawing: Path, terminal: Terminal, tmp_path: Path) -> None:
    """The drawing alone goes there, and the report beside it."""
    assert terminal("pleat", drawing, "-o", "flat.svg", *KNIFE).code == 0
    piped = terminal("pleat", drawing, "-o", "-", *KNIFE)
    assert piped.code == 0
    assert piped.out == (tmp_path / "flat.svg").read_text()
    assert "Written: standard output" in piped.err
    assert terminal("fold", "flat.svg", "-o", "folded.svg").code == 0
    assert terminal("fold", "flat.svg", "-o", "-").out == (tmp_path / "folded.svg").read_text()
    assert_refused(terminal("pleat", drawing, "-o", "-", "--kind", "knife", "--intake", "90cm", "--lap", "left"), 1)
    assert not (tmp_path / "-").exists()


def test_names_up_to_what_the_disk_takes(drawing: Path, terminal: Terminal, tmp_path: Path) -> None:
    most = os.pathconf(tmp_path, "PC_NAME_MAX")
    for letter in ("x", "\u00e9"):
        name = letter * ((most - 4) // len(letter.encode())) + ".svg"
        outcome = terminal("pleat", drawing, "-o", name, *KNIFE)
        assert outcome.code == 0, outcome.err
        assert (tmp_path / name).exists()
        assert_refused(terminal("pleat", drawing, "-o", "xx" + name, *KNIFE), DRAWING, "too long")
    assert not list(tmp_path.glob(".*"))
    long = "y" * (most + 1)
    file = job(tmp_path, DEFAULTS + '[[piece]]\ndrawing = "panel.svg"\n')
    assert_refused(terminal("batch", file, "--out", long), DRAWING, "too long", "--out")
    assert_refused(terminal("batch", "--new", long), DRAWING, "Folder")
    file = job(tmp_path, DEFAULTS + f'[[piece]]\ndrawing = "{long}.svg"\n')
    assert_refused(terminal("batch", file), DRAWING, "line 6", "too long")
    (tmp_path / "loop").symlink_to("loop")
    assert_refused(
        terminal("batch", job(tmp_path, DEFAULTS + '[[piece]]\ndrawing = "panel.svg"\n'), "--out", "loop"), 1
    )


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), None])
def test_report_that_cannot_be_printed(
    error: OSError | None, drawing: Path, terminal: Terminal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Led into a file on a full disk, or into one that knows fewer letters: the result stands, and nobody denies it."""

    class Full(io.TextIOWrapper):
        def flush(self) -> None:
            if error is not None:
                raise error

    name = "b\u00e9ret.svg"
    monkeypatch.setattr(sys, "stdout", Full(io.BytesIO(), encoding="ascii"))
    outcome = terminal("pleat", drawing, "-o", name, *KNIFE)
    assert (tmp_path / name).exists()
    if error is None:
        assert outcome.code == 0, outcome.err
    else:
        assert_refused(outcome, DRAWING, "No space left on device", "Standard output")


def test_folder_that_is_gone(
    drawing: Path, terminal: Terminal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = job(tmp_path, DEFAULTS + '[[piece]]\ndrawing = "panel.svg"\n')
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()
    before = contents(tmp_path)
    assert_refused(terminal("batch", "../job.toml", "--out", "../out"), DRAWING, "cannot be found")
    assert_refused(terminal("pleat", "../panel.svg", "-o", "../x.svg", *KNIFE), DRAWING, "folder that you are in")
    assert contents(tmp_path) == before
    assert terminal("batch", file, "--out", tmp_path / "out").code == 0


def test_nothing_that_a_terminal_would_obey(drawing: Path, terminal: Terminal, tmp_path: Path) -> None:
    folder = tmp_path / ESCAPING
    folder.mkdir()
    (folder / "panel.svg").write_text(panel())
    file = job(folder, DEFAULTS + '[[piece]]\ndrawing = "panel.svg"\n')
    flat, folded = folder / "flat.svg", folder / "folded.svg"
    for command in (
        ("measure", folder / "panel.svg"),
        ("measure", folder / ESCAPING),
        ("pleat", folder / "panel.svg", "-o", flat, *KNIFE),
        ("pleat", folder / "panel.svg", "-o", flat, *KNIFE, "--json", "--force"),
        ("pleat", folder / "panel.svg", "-o", flat / "x.svg", *KNIFE),
        ("fold", flat, "-o", folded),
        ("fold", flat, "--json"),
        ("batch", file),
        ("batch", file, "--out", folder / ESCAPING),
        ("batch", file, "--out", flat),
        ("batch", "--new", folder),
        ("batch", file, "--only", ESCAPING),
        ("measure", ESCAPING, ESCAPING),
    ):
        outcome = terminal(*command)
        said = outcome.out + outcome.err
        assert said.replace("\n", "").isprintable(), command
        assert not [word for word in JARGON if word in said], said
    assert folded.exists()
    assert (folder / ESCAPING / "panel-pleated.svg").exists()


def test_numbers_that_nobody_counts_to(drawing: Path, terminal: Terminal, tmp_path: Path) -> None:
    before = contents(tmp_path)
    for digits in (12, 400, 6000):
        given = terminal("pleat", drawing, "-o", "flat.svg", *KNIFE, "--count", "1" + "0" * digits)
        assert_refused(given, COMMAND, "--count")
        assert_refused(terminal("batch", "job.toml", "--workers", "9" * digits), COMMAND, "--workers")
        for value in ("1" + "0" * digits, "0x" + "f" * digits):
            for key in ("count", "name", "lap"):
                file = job(tmp_path, DEFAULTS + f'[[piece]]\ndrawing = "panel.svg"\n{key} = {value}\n')
                assert_refused(terminal("batch", file), DRAWING, "line 7")
        file = job(tmp_path, DEFAULTS + f'[[piece]]\ndrawing = "panel.svg"\nlap = [0x{"f" * digits}]\n')
        assert_refused(terminal("batch", file), DRAWING, "line 7")
        file.unlink()
    assert_refused(terminal("batch", "job.toml", "--workers", "5000"), COMMAND, "--workers", "256")
    assert contents(tmp_path) == before


@pytest.mark.parametrize("lines", ["drawing = []", 'drawing = "panel.svg"\npiece = []'])
def test_empty_list_asks_for_nothing(lines: str, drawing: Path, terminal: Terminal, tmp_path: Path) -> None:
    file = job(tmp_path, DEFAULTS + f"[[piece]]\n{lines}\n")
    assert_refused(terminal("batch", file), DRAWING, "line ", "is an empty list")
    assert not (tmp_path / "pleated").exists()


def test_pipe_in_the_place_of_a_drawing(terminal: Terminal, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "panel.svg")
    file = job(tmp_path, DEFAULTS + '[[piece]]\ndrawing = "panel.svg"\n')
    assert_refused(terminal("batch", file), DRAWING, "line 6", "is a pipe")
    assert_refused(terminal("batch", "panel.svg"), DRAWING, "is not a file")


STARTING = """
import os, signal, sys
class Presses:
    def find_spec(self, name, path=None, target=None):
        if name == "MODULE":
            sys.meta_path.remove(self)
            for _ in range(3):
                os.kill(os.getpid(), signal.SIGINT)
sys.meta_path.insert(0, Presses())
from pleatsvg.cli import program
program()
"""


@pytest.mark.parametrize("module", ["typer", "lxml"])
def test_ctrl_c_while_the_program_starts(module: str, drawing: Path) -> None:
    """In the midst of an import, three times: one line, no traceback."""
    done = subprocess.run(
        [sys.executable, "-c", STARTING.replace("MODULE", module), "measure", str(drawing)],
        env={**os.environ, "PYTHONPATH": str(Path(pleatsvg.__file__).parents[1])},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "Stopped; nothing was written.\n")


@pytest.mark.parametrize("place", ["begin", "on_disk", "put_in_place", "_note"])
def test_ctrl_c_while_a_result_is_written(
    place: str, drawing: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is not there at all, or it is whole and said to be there; nothing is left beside its place."""
    step = getattr(wholefile, place)

    def pressed(*given: Any) -> None:
        for _ in range(3):
            os.kill(os.getpid(), signal.SIGINT)
        step(*given)

    monkeypatch.setattr(wholefile, place, pressed)
    monkeypatch.setattr(wholefile, "_account", type(wholefile._account)())  # as in a process of its own
    flat = tmp_path / "flat.svg"
    monkeypatch.setattr(sys, "argv", ["pleatsvg", "pleat", str(drawing), "-o", str(flat), *KNIFE])

    def call() -> int:
        cli.program()
        return 0

    assert Aside(call, tmp_path / "log").wait() == 130
    said = (tmp_path / "log").read_text()
    if place == "_note":
        assert said == "Stopped. 'flat.svg' was written and is whole.\n"
        assert flat.read_bytes().endswith(b"</svg>\n")
    else:
        assert said == "Stopped; nothing was written.\n"
        assert not flat.exists()
    assert not list(tmp_path.glob(".*"))
