"""`--watch`: the result is made anew at each save, and a refusal leaves the last good one."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import pleatsvg
from pleatsvg.watching.files import Looker, stamp_of
from pleatsvg.watching.saves import A_MOMENT
from tests.commandline.batches import DEFAULTS, job, panel
from tests.commandline.terminal import JARGON, KNIFE, Terminal, assert_refused

LONG = 20.0
"""Seconds after which a machine with much else to do is given up."""


class Watched:
    """The program as it runs in a terminal, and what it has said so far."""

    def __init__(self, folder: Path, *words: object) -> None:
        self.log = folder / "log"
        with self.log.open("w") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "pleatsvg", *map(str, words)],
                cwd=folder,
                env={**os.environ, "PYTHONPATH": str(Path(pleatsvg.__file__).parents[1])},
                stdout=log,
                stderr=subprocess.STDOUT,
            )

    @property
    def said(self) -> str:
        """What was said."""
        return self.log.read_text(encoding="utf-8")

    def times(self, words: str) -> int:
        """How often it was said."""
        return self.said.count(words)

    def until(self, true: Callable[[], bool]) -> None:
        """Wait until something is so."""
        end = time.monotonic() + LONG
        while not true():
            assert self.process.poll() is None, self.said
            assert time.monotonic() < end, self.said
            time.sleep(0.01)

    def stop(self) -> int:
        """Press Ctrl-C, and return the exit code."""
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(LONG)


@pytest.fixture
def watched(tmp_path: Path) -> Iterator[Callable[..., Watched]]:
    """Start the program in the test's folder."""
    begun: list[Watched] = []

    def start(*words: object) -> Watched:
        begun.append(Watched(tmp_path, *words))
        return begun[-1]

    yield start
    for one in begun:
        if one.process.poll() is None:
            one.process.kill()
        one.process.wait()


pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is sent as Unix does it")


def renamed(file: Path, text: str) -> None:
    """Save as editors do that write beside the file and rename."""
    beside = file.with_suffix(".tmp")
    beside.write_text(text, encoding="utf-8")
    beside.replace(file)


def test_a_companion_follows_its_drawing_and_is_not_written_over_when_somebody_worked_on_it(
    tmp_path: Path, watched: Callable[..., Watched]
) -> None:
    (tmp_path / "front.svg").write_text(panel(x=160))
    band, made = tmp_path / "band.svg", tmp_path / "flat-band.svg"
    strip = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="90mm" viewBox="0 0 400 90">'
        '<path id="seam" d="M 0,0 h 300 v {} h -300 z"/></svg>'
    )
    band.write_text(strip.format(50))
    one = watched("pleat", "front.svg", "-o", "flat.svg", *KNIFE, "--companion", "band=band.svg:hem", "--watch")
    one.until(lambda: one.times("Written: flat-band.svg") == 1)
    first = made.read_bytes()
    renamed(band, strip.format(60))
    one.until(lambda: one.times("Written: flat-band.svg") == 2)
    assert made.read_bytes() != first
    renamed(made, "mine")
    renamed(band, strip.format(70))
    one.until(lambda: one.times("flat-band.svg'") + one.times("flat-band.svg is there") >= 1)
    assert made.read_text() == "mine"
    assert one.stop() == 130


def test_a_pleated_piece_follows_its_drawing(tmp_path: Path, watched: Callable[..., Watched]) -> None:
    drawing, flat = tmp_path / "front.svg", tmp_path / "flat.svg"
    drawing.write_text(panel(x=160))
    one = watched("pleat", drawing.name, "-o", flat.name, *KNIFE, "--watch")
    one.until(lambda: one.times("Written: flat.svg") == 1)
    first = flat.read_bytes()

    renamed(drawing, panel(x=170))
    one.until(lambda: one.times("Written: flat.svg") == 2)
    second = flat.read_bytes()
    assert second != first

    # Half a file for a moment, then the whole of it, and that twice: one result, and no word of the half.
    whole = panel(x=180)
    drawing.write_text("")
    time.sleep(0.1)
    drawing.write_text(whole[:150])
    time.sleep(0.1)
    drawing.write_text(whole)
    drawing.write_text(whole)
    one.until(lambda: one.times("Written: flat.svg") == 3)
    third = flat.read_bytes()
    assert "is not SVG" not in one.said
    assert "is empty" not in one.said

    # Half a file that stays: told once, and the last good result stands.
    drawing.write_text(whole[:150])
    one.until(lambda: "is not SVG" in one.said)
    assert flat.read_bytes() == third
    assert "flat.svg stands as it was made at " in one.said
    time.sleep(A_MOMENT + 0.2)
    assert one.times("is not SVG") == 1

    # Taken away and put back, as some editors do.
    drawing.unlink()
    time.sleep(0.1)
    drawing.write_text(panel(x=170))
    one.until(lambda: one.times("Written: flat.svg") == 4)
    assert flat.read_bytes() == second
    assert "is not there" not in one.said

    # What somebody else has put in the result's place is not written over.
    flat.write_text("mine")
    renamed(drawing, panel(x=160))
    one.until(lambda: "is there already" in one.said)
    assert flat.read_text() == "mine"
    flat.unlink()
    renamed(drawing, panel(x=161))
    one.until(lambda: one.times("Written: flat.svg") == 5)

    assert one.stop() == 130
    assert one.said.endswith("Stopped. What was written is whole.\n")
    assert one.times("Watching front.svg") == 1
    assert not [word for word in JARGON if word in one.said]
    assert sorted(p.name for p in tmp_path.iterdir()) == ["flat.svg", "front.svg", "log"]


def test_a_set_follows_its_job_file_and_drawings(tmp_path: Path, watched: Callable[..., Watched]) -> None:
    sizes = tmp_path / "sizes"
    sizes.mkdir()
    for number in (1, 2):
        (sizes / f"size-{number}.svg").write_text(panel(f"size {number}", 150 + number))
    asked = DEFAULTS + '\n[[piece]]\ndrawing = "sizes/*.svg"\n'
    job(tmp_path, asked)
    out = tmp_path / "pleated"
    one = watched("batch", "job.toml", "--watch")
    one.until(lambda: "2 made." in one.said)
    first = {p.name: p.read_bytes() for p in out.glob("*.svg")}

    renamed(sizes / "size-1.svg", panel("size 1", 171))
    one.until(lambda: "2 made, 1 of them unchanged" in one.said)
    assert one.times("made anew: size 1, 1 pleat, size-1-pleated.svg") == 1
    assert "made anew: size 2" not in one.said
    assert (out / "size-1-pleated.svg").read_bytes() != first["size-1-pleated.svg"]
    assert (out / "size-2-pleated.svg").read_bytes() == first["size-2-pleated.svg"]

    # Half a drawing is not told unless it stays, and then the last good result stands.
    good = (out / "size-2-pleated.svg").read_bytes()
    (sizes / "size-2.svg").write_text(panel("size 2", 180)[:150])
    time.sleep(0.15)
    (sizes / "size-2.svg").write_text(panel("size 2", 180))
    one.until(lambda: "made anew: size 2, 1 pleat, size-2-pleated.svg" in one.said)
    assert "is not SVG" not in one.said
    good = (out / "size-2-pleated.svg").read_bytes()
    (sizes / "size-2.svg").write_text(panel("size 2", 180)[:150])
    one.until(lambda: "1 made, 1 of them unchanged since they were made before; 1 could not be made." in one.said)
    assert (out / "size-2-pleated.svg").read_bytes() == good
    (sizes / "size-2.svg").write_text(panel("size 2", 181))

    # A drawing that a pattern finds as well, and a job file that says otherwise.
    one.until(lambda: one.times("made anew: size 2") == 2)
    (sizes / "size-3.svg").write_text(panel("size 3", 190))
    one.until(lambda: "made anew: size 3, 1 pleat, size-3-pleated.svg" in one.said)
    job(tmp_path, asked.replace("4cm", "5cm").replace("[[piece]]", "[[pie"))
    one.until(lambda: "What was made before stands." in one.said)
    job(tmp_path, asked.replace("4cm", "5cm"))
    one.until(lambda: one.times("made anew: size 3") == 2)
    assert one.times("made anew: size 2") == 3

    assert one.stop() == 130
    assert one.said.splitlines()[-1].startswith("Stopped. ")
    assert not [word for word in JARGON if word in one.said]


def test_two_saves_that_look_alike_are_told_apart(tmp_path: Path) -> None:
    """Of as many bytes, at one tick of the clock and in one file: the bytes tell."""
    file = tmp_path / "front.svg"
    file.write_text("one")
    stamp = stamp_of(file)
    looker = Looker()
    (first,) = looker.look([str(file)])
    assert stamp is not None
    file.write_text("two")
    os.utime(file, ns=(stamp.saved, stamp.saved))
    (second,) = looker.look([str(file)])
    assert first.stamp == second.stamp
    assert first.digest != second.digest
    file.unlink()
    assert looker.look([str(file)]) == ((None, None),)


def test_what_cannot_be_watched_is_refused(terminal: Terminal, tmp_path: Path) -> None:
    assert_refused(terminal("pleat", "front.svg", "-o", "flat.svg", *KNIFE, "--watch"), 1, "'front.svg' is not there")
    (tmp_path / "front.svg").write_text(panel())
    assert_refused(
        terminal("pleat", "front.svg", "-o", "-", *KNIFE, "--watch"), 2, "--watch", "Give -o and a file name"
    )
    assert_refused(terminal("batch", "job.toml", "--watch"), 1, "job.toml")
