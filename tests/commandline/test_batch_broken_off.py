"""A batch that is broken off: killed at any instant, by Ctrl-C, by a full disk; and what --resume makes of it."""

from __future__ import annotations

import contextlib
import io
import json
import os
import random
import signal
import sys
import time
from pathlib import Path

import pytest

from pleatsvg.batch import command
from tests.commandline.batches import DEFAULTS, Aside, job, panels, results, summary
from tests.commandline.terminal import JARGON, Terminal, assert_refused

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="processes are split off as Unix does it")

PIECES = 24


@pytest.fixture
def sizes(tmp_path: Path) -> Path:
    """A job file over two dozen drawings, one of them bad."""
    panels(tmp_path, PIECES - 1)
    (tmp_path / "size-99.svg").write_text("bad", encoding="utf-8")
    return job(tmp_path, DEFAULTS + '\n[[piece]]\ndrawing = "size-*.svg"\n')


def run(file: Path, out: Path, *, workers: int = 1, resume: bool = False, log: Path) -> Aside:
    """Start a batch in a process of its own."""
    return Aside(lambda: command.batch(file, out, workers, (), True, resume, False), log)


def test_killed_at_five_instants_and_resumed(sizes: Path, tmp_path: Path) -> None:
    """kill -9: what stands is whole, and --resume comes to the same bytes as a run that nothing disturbed.

    `tests.commandline.strain` does it as often as one likes.
    """
    log = tmp_path / "log"
    assert run(sizes, tmp_path / "undisturbed", log=log).wait() == 1
    start = time.perf_counter()  # what is imported once is there by now
    assert run(sizes, tmp_path / "again", log=log).wait() == 1
    whole = time.perf_counter() - start
    undisturbed = results(tmp_path / "undisturbed")
    assert len(undisturbed) == PIECES - 1 + 2
    chance = random.Random(6)
    half_done = 0
    for number in range(5):
        out = tmp_path / f"killed-{number}"
        batch = run(sizes, out, workers=1 + number // 2 % 2, log=log)
        if number % 4:
            # In the midst of the making, however quick the machine is: with the first results, a part of the way on.
            wanted = chance.randrange(PIECES // 4)
            end = time.perf_counter() + whole
            while len(list(out.glob("*.svg"))) <= wanted and time.perf_counter() < end:
                time.sleep(0.0005)
        else:
            time.sleep(whole * (number + chance.random()) / 5)
        if number % 4 < 2:
            os.kill(batch.number, signal.SIGKILL)
        else:
            os.killpg(batch.number, signal.SIGKILL)  # with its workers, as a power cut does
        batch.wait()
        standing = {name: data for name, data in results(out).items() if name.endswith(".svg")}
        assert standing == {name: undisturbed[name] for name in standing}, "a result appears whole or not at all"
        half_done += 0 < len(standing) < PIECES - 1
        assert run(sizes, out, workers=1 + number % 3 // 2, resume=True, log=log).wait() == 1, log.read_text()
        assert results(out) == undisturbed
    assert half_done >= 2, "most of the kills are to fall into the making"


def test_resumed_while_workers_are_still_at_it(sizes: Path, tmp_path: Path) -> None:
    """The parent alone is killed, and the batch goes on at once beside workers that have a drawing in hand."""
    log = tmp_path / "log"
    batch = run(sizes, tmp_path / "out", workers=2, log=log)
    while not list((tmp_path / "out").glob("*.svg")):
        time.sleep(0.001)
    os.kill(batch.number, signal.SIGKILL)
    os.waitpid(batch.number, 0)
    assert run(sizes, tmp_path / "out", resume=True, log=tmp_path / "log-2").wait() == 1
    while os.read(batch.alive, 1):
        pass
    assert run(sizes, tmp_path / "undisturbed", log=log).wait() == 1
    assert results(tmp_path / "out") == results(tmp_path / "undisturbed")


@pytest.mark.parametrize("workers", [1, 2])
def test_ctrl_c_ends_at_once_with_what_is_done(workers: int, sizes: Path, tmp_path: Path) -> None:
    panels(tmp_path, 200)
    out, log = tmp_path / "out", tmp_path / "log"
    batch = run(sizes, out, workers=workers, log=log)
    while len(list(out.glob("*.svg"))) < 5:
        time.sleep(0.001)
    asked = time.perf_counter()
    os.killpg(batch.number, signal.SIGINT)  # a terminal sends it to the workers too
    assert batch.wait() == 130
    assert time.perf_counter() - asked < 1.5
    told, said = summary(out), log.read_text()
    made = sorted(p.name for p in out.glob("*.svg"))
    assert {p["output"] for p in told["pieces"] if p["state"] == "made"} <= set(made)
    assert 4 <= told["made"] < 200
    assert told["undone"] == 200 - told["made"]
    assert f"{told['made']} made" in said
    assert "Stopped" in said
    assert not list(out.glob(".*")), "nothing half written is left"
    assert not [word for word in JARGON if word in said]


def test_account_torn_by_a_power_cut(sizes: Path, tmp_path: Path, terminal: Terminal) -> None:
    """A journal with a torn line, a spoilt summary, a half-written file: made again to the same bytes."""
    assert terminal("batch", sizes, "--out", "out").code == 1
    out = tmp_path / "out"
    whole = results(out)
    told = summary(out)
    rows = [json.dumps(piece).encode() for piece in told["pieces"]]
    torn = b"\n".join([*rows[:3], rows[3][:100], b"\0" * 300, b"[]", b'{"task": "x"}', rows[5], b'{"task": 7, "sta'])
    (out / "summary.journal").write_bytes(torn)
    (out / "summary.json").write_bytes(b'{\n  "pieces": [\n    {"task": 1, "part": 1, "sta')
    (out / ".size-3-pleated.svg.abcd1234.part").write_bytes(b"<svg")
    (out / "size-4-pleated.svg").unlink()
    outcome = terminal("batch", sizes, "--out", "out", "--resume")
    assert outcome.code == 1
    assert "4 of them unchanged" in outcome.out
    assert results(out) == whole


def test_full_disk_costs_only_what_does_not_fit(sizes: Path, tmp_path: Path) -> None:
    """No file may grow beyond 9,000 bytes here: that stands for a disk that is full for some."""
    import resource

    def call() -> int:
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
        return command.batch(sizes, tmp_path / "out", 1, (), True, False, False)

    assert run(sizes, tmp_path / "undisturbed", log=tmp_path / "log").wait() == 1
    whole = results(tmp_path / "undisturbed")
    lengths = sorted(len(data) for name, data in whole.items() if name.endswith(".svg"))
    most = lengths[len(lengths) // 2]
    assert Aside(call, tmp_path / "log").wait() == 1
    said = (tmp_path / "log").read_text()
    standing = results(tmp_path / "out")
    assert {name for name, data in whole.items() if name.endswith(".svg") and len(data) <= most} <= set(standing)
    assert all(standing[name] == whole[name] for name in standing if name.endswith(".svg"))
    assert "cannot be written (File too large)" in said
    assert "Check the folder, its permissions and the room on the disk" in said
    assert not [word for word in JARGON if word in said]
    assert not [name for name in standing if name.startswith(".")]
    assert run(sizes, tmp_path / "out", resume=True, log=tmp_path / "log").wait() == 1
    assert results(tmp_path / "out") == whole


def test_account_that_the_disk_does_not_take(sizes: Path, tmp_path: Path) -> None:
    """Nothing at all can be written: each piece is told, and that the summary is missing."""
    import resource

    def call() -> int:
        before = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (10, before[1]))
        said = io.StringIO()
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            code = command.batch(sizes, tmp_path / "out", 1, (), True, False, False)
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        print(said.getvalue())
        return code

    assert Aside(call, tmp_path / "log").wait() == 1
    said = (tmp_path / "log").read_text()
    assert said.count("cannot be written (File too large)") == PIECES
    assert f"{PIECES} could not be made" in said
    assert "The summary is missing" in said
    assert not [word for word in JARGON if word in said]


def test_folder_that_cannot_be_written_in(sizes: Path, tmp_path: Path, terminal: Terminal) -> None:
    (tmp_path / "file").write_text("a file, no folder")
    assert_refused(terminal("batch", sizes, "--out", tmp_path / "file"), 1, "output folder", "cannot be written in")
    assert_refused(terminal("batch", sizes, "--out", tmp_path / "file" / "below"), 1, "cannot be written in")


def test_two_batches_do_not_fill_one_folder(sizes: Path, tmp_path: Path, terminal: Terminal) -> None:
    from pleatsvg.batch.account.journal import Journal

    first = Journal(tmp_path / "out")
    try:
        assert_refused(terminal("batch", sizes, "--out", "out", "--resume"), 1, "another batch", "--out")
    finally:
        first.close()
    assert terminal("batch", sizes, "--out", "out", "--resume").code == 1


def test_worker_that_dies_costs_its_own_piece(
    sizes: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, terminal: Terminal
) -> None:
    """As when a machine's memory is full: the drawing in hand is told, all others are made."""
    from pleatsvg.batch import making

    read = making.bytes_of

    def dies(file: Path) -> bytes:
        if file.name == "size-5.svg":
            os.kill(os.getpid(), signal.SIGKILL)
        return read(file)

    monkeypatch.setattr(making, "bytes_of", dies)
    outcome = terminal("batch", sizes, "--workers", 2)
    assert outcome.code == 1
    assert "size-5.svg: The process that made it came to an end (signal 9)" in outcome.err
    told = summary(tmp_path / "pleated")
    assert (told["made"], told["failed"], told["undone"]) == (PIECES - 2, 2, 0)
