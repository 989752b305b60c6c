"""What befalls a batch from outside: Ctrl-C where it hurts most, workers killed and stopped, spoilt accounts.

Each blow falls at a place that is chosen, so that the same happens every time; `strain` strikes at random.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pleatsvg.batch import command, making, running, workers
from tests.commandline.batches import DEFAULTS, Aside, job, panel, panels, results, summary
from tests.commandline.terminal import JARGON, PANEL, Terminal, assert_refused, line, svg

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="processes are split off as Unix does it")

EACH = 5


@pytest.fixture
def sets(tmp_path: Path) -> Path:
    """A job file over two drawings of five pieces."""
    for number in (1, 2):
        shapes = "".join(
            f'<g data-name="part {k}" transform="translate({340 * k})">{PANEL}{line("slash 1", 130 + number + k)}</g>'
            for k in range(EACH)
        )
        head = f'width="{340 * EACH}mm" height="440mm" viewBox="0 0 {340 * EACH} 440"'
        (tmp_path / f"set-{number}.svg").write_text(svg(shapes, head), encoding="utf-8")
    return job(tmp_path, DEFAULTS + '\n[[piece]]\ndrawing = "set-*.svg"\n')


def run(file: Path, out: Path, workers: int = 1, resume: bool = False) -> tuple[int, str]:
    """Run a batch in a process of its own; return its exit code and what it said."""
    log = out.parent / "log"
    code = Aside(lambda: command.batch(file, out, workers, (), True, resume, False), log).wait()
    return code, log.read_text(encoding="utf-8")


def at_piece(monkeypatch: pytest.MonkeyPatch, number: int, blow: Callable[[], Any]) -> None:
    """Let something happen when so many pieces were made, before the next one is."""
    count = 0
    pleat = making.pleat_piece

    def struck(*given: Any) -> Any:
        nonlocal count
        count += 1
        if count == number + 1:
            blow()
        return pleat(*given)

    monkeypatch.setattr(making, "pleat_piece", struck)


def assert_all_told(out: Path) -> int:
    """The summary holds every result that stands, byte for byte, and nothing half written is there; how many stand."""
    standing = {p.name for p in out.glob("*.svg")}
    told = {p["output"] for p in summary(out)["pieces"] if p["state"] == "made"}
    assert told == standing
    assert not list(out.glob(".*"))
    return len(standing)


@pytest.mark.parametrize("times", [1, 3])
@pytest.mark.parametrize("workers", [1, 2])
def test_ctrl_c_amid_the_pieces_of_one_drawing(
    workers: int, times: int, sets: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def blow() -> None:
        for _ in range(times):
            os.kill(os.getppid() if workers > 1 else os.getpid(), signal.SIGINT)
        if workers > 1:
            signal.pause()

    at_piece(monkeypatch, 3, blow)
    code, said = run(sets, tmp_path / "out", workers)
    assert code == 130, said
    assert said.count("Stopped.") == 1
    assert not [word for word in JARGON if word in said]
    assert 1 <= assert_all_told(tmp_path / "out") <= 3


@pytest.mark.parametrize("where", ["write_summary", "matched", "earlier_in"])
def test_ctrl_c_before_and_after_the_making(
    where: str, sets: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three times, while the account of an earlier run is read, the seams are compared, the summary is written."""
    whole = getattr(running, where)

    def pressed(*given: Any) -> Any:
        for _ in range(3):
            os.kill(os.getpid(), signal.SIGINT)
        return whole(*given)

    monkeypatch.setattr(running, where, pressed)
    code, said = run(sets, tmp_path / "out")
    assert code == 130, said
    assert said.count("Stopped.") == 1
    assert not [word for word in JARGON if word in said]
    assert assert_all_told(tmp_path / "out") == (0 if where == "earlier_in" else 2 * EACH)


def test_resumed_run_that_is_broken_off_forgets_nothing(
    sets: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the earlier run made stays on record though this one did not come to it."""
    assert run(sets, tmp_path / "out")[0] == 0
    whole = results(tmp_path / "out")
    with monkeypatch.context() as patched:
        patched.setattr(running, "earlier_in", _then_ctrl_c(running.earlier_in))
        assert run(sets, tmp_path / "out", resume=True)[0] == 130
    assert results(tmp_path / "out") == whole


def _then_ctrl_c(call: Callable[..., Any]) -> Callable[..., Any]:
    def called(*given: Any) -> Any:
        found = call(*given)
        os.kill(os.getpid(), signal.SIGINT)
        return found

    return called


@pytest.mark.parametrize("blow", [signal.SIGKILL, signal.SIGINT])
def test_another_intake_after_a_run_that_was_broken_off(
    blow: int, sets: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The results of the run before are the program's own, whether it could still tell of them or not."""
    text = sets.read_text()
    out = tmp_path / "out"
    with monkeypatch.context() as patched:
        at_piece(patched, 7, lambda: os.kill(os.getpid(), blow))
        assert run(sets, out)[0] == (130 if blow == signal.SIGINT else -signal.SIGKILL)
    assert list(out.glob("*.svg"))
    sets.write_text(text.replace("4cm", "5cm"))
    with monkeypatch.context() as patched:  # and once more, amid the second intake
        at_piece(patched, 2, lambda: os.kill(os.getpid(), blow))
        run(sets, out, resume=True)
    sets.write_text(text.replace("4cm", "6cm"))
    code, said = run(sets, out, resume=True)
    assert code == 0, said
    assert run(sets, tmp_path / "afresh")[0] == 0
    assert results(out) == results(tmp_path / "afresh")


def test_piece_that_could_not_be_made_for_a_while(terminal: Terminal, tmp_path: Path) -> None:
    """Its older result stands meanwhile, and is known for the program's own when the drawing is sound again."""
    panels(tmp_path, 2)
    file = job(tmp_path, DEFAULTS + '\n[[piece]]\ndrawing = "size-*.svg"\n')
    assert terminal("batch", file).code == 0
    (tmp_path / "size-1.svg").write_text("bad")
    for _ in range(2):
        assert terminal("batch", file, "--resume").code == 1
    assert [one["output"] for one in summary(tmp_path / "pleated")["earlier"]] == ["size-1-pleated.svg"]
    (tmp_path / "size-1.svg").write_text(panel("size 1", 200))
    again = terminal("batch", file, "--resume")
    assert again.code == 0, again.err
    assert terminal("batch", file, "--out", "afresh").code == 0
    assert results(tmp_path / "pleated") == results(tmp_path / "afresh")


@pytest.mark.parametrize("blow", [signal.SIGKILL, signal.SIGSTOP])
def test_worker_that_is_killed_or_stopped_costs_no_piece(
    blow: int, terminal: Terminal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The piece in hand is tried once more, though it was the only one in hand."""
    panels(tmp_path, 2)
    monkeypatch.setattr(workers, "_STILL", 2)
    read = making.bytes_of
    mark = tmp_path / "struck"

    def struck(file: Path) -> bytes:
        if file.name == "size-2.svg" and not mark.exists():
            mark.touch()
            os.kill(os.getpid(), blow)
        return read(file)

    monkeypatch.setattr(making, "bytes_of", struck)
    file = job(tmp_path, DEFAULTS + '\n[[piece]]\ndrawing = "size-*.svg"\n')
    outcome = terminal("batch", file, "--workers", 2)
    assert outcome.code == 0, outcome.err
    assert mark.exists()
    assert_all_told(tmp_path / "pleated")


def test_piece_that_ends_every_worker_is_told_alone(
    sets: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, terminal: Terminal
) -> None:
    """Of a drawing with five pieces, the others are made."""
    pleat = making.pleat_piece

    def struck(piece: Any, order: Any) -> Any:
        if piece.name == "part 2":
            os.kill(os.getpid(), signal.SIGKILL)
        return pleat(piece, order)

    monkeypatch.setattr(making, "pleat_piece", struck)
    outcome = terminal("batch", sets, "--workers", 2)
    assert outcome.code == 1
    assert outcome.err.count("came to an end (signal 9)") == 2
    assert assert_all_told(tmp_path / "pleated") == 2 * (EACH - 1)
    assert summary(tmp_path / "pleated")["failed"] == 2


def _spoilt(change: Callable[[dict[str, Any]], Any]) -> Callable[[bytes], bytes]:
    def spoil(data: bytes) -> bytes:
        rows = data.decode().split("\n")
        at = next(k for k, row in enumerate(rows) if '"size-2.svg"' in row)
        record = json.loads(rows[at].strip().removesuffix(","))
        changed = change(record)
        rows[at] = "    " + json.dumps(record if changed is None else changed) + ","
        return "\n".join(rows).encode()

    return spoil


SPOILT: dict[str, Callable[[bytes], bytes]] = {
    "key missing": _spoilt(lambda r: r.pop("seconds") and None),
    "list for a number": _spoilt(lambda r: r.update(of=[1])),
    "text for a seam": _spoilt(lambda r: r.update(hem_seam_mm="40 cm")),
    "no number": _spoilt(lambda r: r.update(fold_back_mm=float("nan"))),
    "nothing for a name": _spoilt(lambda r: r.update(own_name=None)),
    "output elsewhere": _spoilt(lambda r: r.update(output="../size-2.svg")),
    "deep": lambda data: data.replace(b'"warnings": []', b'"warnings": ' + b"[" * 9000, 1),
    "foreign": lambda data: b'{"task": 1}\n' * 3,
    "no JSON": lambda data: b"\x00\xff" * 900,
    "endless line": lambda data: b'{"task": ' + b"1" * (3 * 2**20),
}


@pytest.mark.parametrize("name", ["summary.json", "summary.journal"])
def test_spoilt_account_means_made_anew(name: str, terminal: Terminal, tmp_path: Path) -> None:
    panels(tmp_path, 2)
    file = job(tmp_path, DEFAULTS + '\n[[piece]]\ndrawing = "size-*.svg"\n')
    assert terminal("batch", file).code == 0
    folder = tmp_path / "pleated"
    whole, told = results(folder), (folder / "summary.json").read_bytes()
    faults = tuple(SPOILT) if name == "summary.json" else ("key missing", "deep", "foreign", "no JSON", "endless line")
    for fault in faults:
        spoil = SPOILT[fault]
        (folder / "summary.json").unlink()
        (folder / name).write_bytes(spoil(told))
        outcome = terminal("batch", file, "--resume")
        assert outcome.code == 0, f"{fault}: {outcome.err}"
        assert "made anew" in outcome.err, fault
        assert results(folder) == whole, fault


@pytest.mark.parametrize("name", ["summary.json", "summary.journal", "summary.csv"])
def test_something_else_in_the_place_of_the_account(name: str, terminal: Terminal, tmp_path: Path) -> None:
    panels(tmp_path, 1)
    file = job(tmp_path, DEFAULTS + '\n[[piece]]\ndrawing = "size-1.svg"\n')
    place = tmp_path / "pleated" / name
    place.parent.mkdir()
    for make in (lambda: os.mkfifo(place), lambda: place.symlink_to(place), lambda: place.mkdir()):
        make()
        for flag in ("--resume", "--force"):
            assert_refused(terminal("batch", file, flag), 1, f"'{name}'", "Move it away")
        assert [p.name for p in place.parent.iterdir()] == [name]
        place.rmdir() if place.is_dir() else place.unlink()


@pytest.mark.parametrize("workers", [1, 2])
def test_output_folder_gone_in_mid_run(
    workers: int, sets: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, terminal: Terminal
) -> None:
    out, away = tmp_path / "pleated", tmp_path / "away"
    with monkeypatch.context() as patched:
        at_piece(patched, 2, lambda: out.is_dir() and out.rename(away))
        outcome = terminal("batch", sets, "--workers", workers)
    assert outcome.code == 1
    assert "was moved or taken away while the batch was at work" in outcome.err
    assert not [word for word in JARGON if word in outcome.err]
    away.rename(out)
    assert terminal("batch", sets, "--resume").code == 0
    assert assert_all_told(out) == 2 * EACH


def test_results_beside_their_drawings(terminal: Terminal, tmp_path: Path) -> None:
    """They are no drawings, whether an account of them is there or not; nothing is written over."""
    panels(tmp_path, 2)
    before = {p.name: p.read_text() for p in tmp_path.iterdir()}
    named = job(tmp_path, DEFAULTS + '\n[[piece]]\ndrawing = ["size-1.svg", "size-2.svg"]\n')
    pattern = job(tmp_path, DEFAULTS + '\n[[piece]]\ndrawing = "*.svg"\n', "pattern.toml")
    made = {"size-1-pleated.svg", "size-2-pleated.svg"}
    for file in (named, pattern):
        for flags in ((), ("--resume",), ("--force",)):
            outcome = terminal("batch", file, "--out", ".", *flags)
            assert outcome.code == 0, outcome.err
            assert {p["output"] for p in summary(tmp_path)["pieces"]} == made
        (tmp_path / "summary.json").unlink()
        (tmp_path / "summary.csv").unlink()
    assert {p.name: p.read_text() for p in tmp_path.iterdir() if p.name in before} == before
    (tmp_path / "size-1.svg").unlink()
    (tmp_path / "size-2.svg").unlink()
    assert_refused(terminal("batch", pattern, "--out", "."), 1, "line 7", "only 2 results in the output folder")
