"""Results come whole onto a quick disk, a slow one and a faulty one."""

from __future__ import annotations

import errno
import os
import signal
import stat
import threading
import time
from pathlib import Path

import pytest

from pleatsvg.batch.to_disk import DiskWriter, Writing
from pleatsvg.errors import OutputError
from pleatsvg.stopping import Held
from pleatsvg.wholefile import put_in_place, write_whole

FILES = 12


@pytest.fixture
def slow_disk(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A disk that takes 3 ms for each file; the threads that waited for it are told."""
    waited: list[str] = []

    def sync(handle: int) -> None:
        assert stat.S_ISREG(os.fstat(handle).st_mode)
        waited.append(threading.current_thread().name)
        time.sleep(0.003)

    monkeypatch.setattr(os, "fsync", sync)
    return waited


def written(disk: DiskWriter, folder: Path) -> list[Writing]:
    """Write FILES files."""
    return [disk.write(str(folder / f"{k}.svg"), f"result {k}".encode() * 1000) for k in range(FILES)]


def complete(folder: Path) -> bool:
    """Whether all stand there whole, and nothing else."""
    return {p.name: p.read_bytes() for p in folder.iterdir()} == {
        f"{k}.svg": f"result {k}".encode() * 1000 for k in range(FILES)
    }


def test_a_slow_disk_is_waited_for_by_a_thread(slow_disk: list[str], tmp_path: Path) -> None:
    disk = DiskWriter()
    for one in written(disk, tmp_path):
        put_in_place(*one.end())
    disk.end()
    assert complete(tmp_path)
    here = threading.current_thread().name
    assert slow_disk[:3] == [here] * 3
    assert len(slow_disk) == FILES
    assert here not in slow_disk[3:]


def test_nothing_stands_in_its_place_before_it_is_on_the_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    go_on = threading.Event()
    disk = DiskWriter()
    disk.slow = 99
    monkeypatch.setattr(os, "fsync", lambda _: go_on.wait(10))
    writing = disk.write(str(tmp_path / "front.svg"), b"whole")
    assert writing.under_way
    assert not (tmp_path / "front.svg").exists()
    assert [p.read_bytes() for p in tmp_path.iterdir()] == [b"whole"]
    go_on.set()
    put_in_place(*writing.end())
    disk.end()
    assert [(p.name, p.read_bytes()) for p in tmp_path.iterdir()] == [("front.svg", b"whole")]


def test_a_quick_disk_needs_no_thread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "fsync", lambda _: None)
    disk = DiskWriter()
    made = written(disk, tmp_path)
    assert not any(one.under_way for one in made)
    assert disk.thread is None
    for one in made:
        put_in_place(*one.end())
    assert complete(tmp_path)


@pytest.mark.parametrize("slow", [0, 99])
def test_a_disk_that_fails_leaves_nothing_behind(slow: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    disk = DiskWriter()
    disk.slow = slow
    for name in ("one.svg", "two.svg"):  # the thread lives on after the first
        with pytest.raises(OutputError, match=f"'{name}' cannot be written .No space left on device"):
            disk.write(str(tmp_path / name), b"result").end()
    disk.end()
    assert list(tmp_path.iterdir()) == []


def test_results_may_be_read_as_other_new_files(tmp_path: Path) -> None:
    """The rights that the system gives to new files, not those of a temporary one."""
    (tmp_path / "plain").touch()
    write_whole(tmp_path / "whole.svg", b"result")
    assert (tmp_path / "whole.svg").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_a_name_beside_that_is_taken_is_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    names = iter([b"\1\2\3\4", b"\5\6\7\x08"])
    (tmp_path / ".whole.svg.01020304.part").write_bytes(b"of another batch")
    monkeypatch.setattr(os, "urandom", lambda _: next(names))
    write_whole(tmp_path / "whole.svg", b"result")
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == {
        ".whole.svg.01020304.part": b"of another batch",
        "whole.svg": b"result",
    }


def test_a_disk_that_takes_little_at_a_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: write(handle, data[:7]))
    write_whole(tmp_path / "whole.svg", b"a result of some length")
    assert (tmp_path / "whole.svg").read_bytes() == b"a result of some length"


def test_ctrl_c_while_the_thread_begins(slow_disk: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Python raised it between making the thread and its start, and the end waited for a thread that never began."""
    start = threading.Thread.start

    def interrupted(thread: threading.Thread) -> None:
        os.kill(os.getpid(), signal.SIGINT)
        start(thread)

    monkeypatch.setattr(threading.Thread, "start", interrupted)
    disk = DiskWriter()
    with Held() as held:
        with held.at_once():
            writings = written(disk, tmp_path)
        assert held.asked == signal.SIGINT
        for one in writings:
            put_in_place(*one.end())
        disk.end()
    assert complete(tmp_path)
