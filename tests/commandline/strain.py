"""A batch under strain, by hand: killed and interrupted at random instants, resumed, and held against a quiet run.

    python -m tests.commandline.strain --kills 200 --interrupts 200 --seed 1

Every trial starts the program in a process group of its own, as a shell does, over drawings of one piece and of several.
A kill (SIGKILL) hits the parent, a worker, or all of them. Ctrl-C (SIGINT to the group, once to three times) must end with
exit code 130 and a summary that holds every result that stands. The trial then goes on with --resume, in a third of the
cases after the intake was changed, and must come to the bytes and the summary of a run that nothing disturbed.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.commandline.batches import DEFAULTS, panel, results, summary
from tests.commandline.terminal import JARGON, PANEL, ROOT, line, svg

SINGLE, GROUPED, PIECES_EACH = 12, 4, 6
"""Drawings of one piece, drawings of several, and how many pieces these hold."""

JOB = '\n[[piece]]\ndrawing = "size-*.svg"\n[[piece]]\ndrawing = "set-*.svg"\n'

INTAKES = ("4cm", "5cm")


def lay_out(folder: Path) -> None:
    """Write drawings, one of them bad, and a job file for each intake."""
    for number in range(1, SINGLE + 1):
        (folder / f"size-{number}.svg").write_text(panel(f"size {number}", 120 + number), encoding="utf-8")
    (folder / "size-99.svg").write_text("bad", encoding="utf-8")
    for number in range(1, GROUPED + 1):
        shapes = "".join(
            f'<g data-name="part {k}" transform="translate({340 * k})">{PANEL}{line("slash 1", 130 + number + k)}</g>'
            for k in range(PIECES_EACH)
        )
        wide = 340 * PIECES_EACH
        head = f'width="{wide}mm" height="440mm" viewBox="0 0 {wide} 440"'
        (folder / f"set-{number}.svg").write_text(svg(shapes, head), encoding="utf-8")
    for intake in INTAKES:
        (folder / f"{intake}.toml").write_text(DEFAULTS.replace("4cm", intake) + JOB, encoding="utf-8")


def start(folder: Path, intake: str, out: Path, workers: int, *more: str) -> subprocess.Popen[bytes]:
    """Start a batch in a process group of its own."""
    # Under the one name, since a summary gives the job file's.
    job = out.parent / "job.toml"
    shutil.copy(folder / f"{intake}.toml", job)
    for drawing in folder.glob("*.svg"):
        if not (out.parent / drawing.name).exists():
            os.link(drawing, out.parent / drawing.name)
    with (out.parent / "said").open("wb") as said:
        return subprocess.Popen(
            [sys.executable, "-m", "pleatsvg", "batch", str(job), "--out", str(out), "--workers", str(workers), *more],
            cwd=out.parent,
            env={**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"},
            stdout=said,
            stderr=said,
            process_group=0,
        )


def said(out: Path) -> str:
    """What the last run printed."""
    return (out.parent / "said").read_text(encoding="utf-8", errors="replace")


def standing(out: Path) -> dict[str, str]:
    """The digests of results that stand."""
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in out.glob("*.svg")} if out.is_dir() else {}


def standing_names(out: Path) -> list[str]:
    """The names of results that stand."""
    with contextlib.suppress(OSError):
        return [name for name in os.listdir(out) if name.endswith(".svg") and name[0] != "."]  # noqa: PTH208
    return []


def wait_for_group(batch: subprocess.Popen[bytes]) -> None:
    """Wait until no process of the group is left."""
    end = time.monotonic() + 20
    while time.monotonic() < end:
        try:
            os.killpg(batch.pid, 0)
        except ProcessLookupError:
            return
        time.sleep(0.005)
    raise AssertionError("a worker stayed behind")


def workers_of(batch: subprocess.Popen[bytes]) -> list[int]:
    """The processes that a batch has started."""
    with contextlib.suppress(OSError):
        children = Path(f"/proc/{batch.pid}/task/{batch.pid}/children").read_text(encoding="ascii")
        return [int(word) for word in children.split()]
    return []


class Strain:
    """Trials, and what came of them."""

    def __init__(self, folder: Path, seed: int) -> None:
        self.folder = folder / "drawings"
        self.folder.mkdir()
        lay_out(self.folder)
        self.chance = random.Random(seed)
        self.counts: Counter[str] = Counter()
        self.faults: list[str] = []
        self.quiet: dict[str, dict[str, bytes]] = {}
        self.seconds: dict[int, float] = {}
        for intake in INTAKES:
            out = self.fresh(f"quiet-{intake}")
            began = time.monotonic()
            code = start(self.folder, intake, out, 1).wait()
            self.seconds[1] = time.monotonic() - began
            assert code == 1, said(out)
            self.quiet[intake] = results(out)
        out = self.fresh("quiet-2")
        began = time.monotonic()
        start(self.folder, INTAKES[0], out, 2).wait()
        self.seconds[2] = time.monotonic() - began
        assert results(out) == self.quiet[INTAKES[0]]
        assert len(self.quiet[INTAKES[0]]) == SINGLE + GROUPED * PIECES_EACH + 2

    def fresh(self, name: str) -> Path:
        """A folder for results, in one of its own."""
        around = self.folder.parent / name
        around.mkdir()
        return around / "out"

    def fault(self, trial: str, words: str) -> None:
        """Note what should not be."""
        self.faults.append(f"{trial}: {words}")
        print(self.faults[-1], flush=True)

    def kill(self, number: int) -> None:
        """One kill, and the resume after it."""
        trial = f"kill {number}"
        workers, intake = self.chance.choice((1, 2, 2)), INTAKES[0]
        out = self.fresh(f"kill-{number}")
        batch = start(self.folder, intake, out, workers)
        self.wait_for_an_instant(batch, out, workers)
        whom = self.chance.choice(("parent", "all", "worker")) if workers > 1 else "parent"
        children = workers_of(batch)
        if whom == "worker" and children:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.chance.choice(children), signal.SIGKILL)
            code = batch.wait()
            wait_for_group(batch)
            if code != 1 or results(out) != self.quiet[intake]:
                self.fault(trial, f"one worker killed: exit {code}, results differ: {said(out)[-300:]}")
            self.counts["kills of a worker"] += 1
        else:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(batch.pid, signal.SIGKILL) if whom == "all" else os.kill(batch.pid, signal.SIGKILL)
            batch.wait()
            self.counts[f"kills of {'all' if whom == 'all' else 'the parent'}"] += 1
            if self.chance.random() < 0.5:
                wait_for_group(batch)
        stood = len(standing(out))
        self.counts["in the midst of the making"] += 0 < stood < len(self.quiet[intake]) - 2
        self.resume(trial, out, 1)
        wait_for_group(batch)

    def interrupt(self, number: int) -> None:
        """One Ctrl-C, or two, or three; and the resume after it."""
        times = self.chance.choice((1, 2, 3))
        trial = f"Ctrl-C {number} ({times} times)"
        workers, intake = self.chance.choice((1, 2)), INTAKES[0]
        out = self.fresh(f"interrupt-{number}")
        batch = start(self.folder, intake, out, workers)
        instant = self.wait_for_an_instant(batch, out, workers)
        for k in range(times):
            if k:
                time.sleep(self.chance.choice((0, 0.001, 0.01, 0.05)) * self.chance.random())
            with contextlib.suppress(ProcessLookupError):
                os.killpg(batch.pid, signal.SIGINT)
        asked = time.monotonic()
        code = batch.wait()
        late = time.monotonic() - asked
        wait_for_group(batch)
        words, there = said(out), standing(out)
        self.counts[f"Ctrl-C {times}x"] += 1
        if code == -signal.SIGINT and not words and not there:
            self.counts["before Python had begun"] += 1
        elif code == 1 and results(out) == self.quiet[intake]:
            self.counts["all was done before it"] += 1
        elif "Traceback" in words and "pleatsvg/" not in words and not there:
            self.counts["while Python itself started"] += 1
        elif code != 130 or any(word in words for word in JARGON) or "Stopped" not in words:
            self.fault(trial, f"exit {code}: {words[-600:]}")
        if there:
            told = {p["output"]: p["sha256"] for p in summary(out)["pieces"] if p["state"] == "made"}
            if told != there:
                self.fault(trial, f"{len(there)} results stand, {len(told)} are in the summary")
        if late > 3:
            self.fault(
                trial, f"took {late:.1f} s to exit {code}, after {instant:.2f} s, {len(there)} results: {words[-200:]}"
            )
        if out.is_dir() and list(out.glob(".*")):
            self.fault(trial, f"left behind: {[p.name for p in out.glob('.*')]}")
        self.counts["in the midst of the making"] += 0 < len(there) < len(self.quiet[intake]) - 2
        self.resume(trial, out, 1)

    def wait_for_an_instant(self, batch: subprocess.Popen[bytes], out: Path, workers: int) -> float:
        """Wait for when to strike: any time in a third of the trials, else when some results stand; return the seconds."""
        began = time.monotonic()
        if self.chance.random() < 0.33:
            time.sleep(self.seconds[workers] * self.chance.random())
        else:
            wanted = self.chance.randrange(1, len(self.quiet[INTAKES[0]]) - 2)
            while len(standing_names(out)) < wanted and batch.poll() is None:
                time.sleep(0.001)
            time.sleep(0.01 * self.chance.random())
        return time.monotonic() - began

    def resume(self, trial: str, out: Path, expected: int) -> None:
        """Go on, with another intake at times; what comes of it must be what an undisturbed run makes."""
        intake = INTAKES[self.chance.random() < 0.34]
        self.counts["resumed with another intake"] += intake != INTAKES[0]
        code = start(self.folder, intake, out, self.chance.choice((1, 2)), "--resume").wait()
        found = results(out)
        if code != expected or found != self.quiet[intake]:
            differing = sorted(
                name for name in {*found, *self.quiet[intake]} if found.get(name) != self.quiet[intake].get(name)
            )
            self.fault(trial, f"resumed ({intake}): exit {code}, differing: {differing[:5]}: {said(out)[-300:]}")
        else:
            shutil.rmtree(out.parent)


def main() -> int:
    """Run the trials asked for and print their figures."""
    parser = argparse.ArgumentParser(description="A batch under strain.")
    parser.add_argument("--kills", type=int, default=20)
    parser.add_argument("--interrupts", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=600, help="begin no further trial after so many")
    asked = parser.parse_args()
    # Started in the background of a script, it would hand on that Ctrl-C is to be ignored.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    end = time.monotonic() + 60 * asked.minutes
    done: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        strain = Strain(Path(folder), asked.seed)
        for count, what, trial in (
            (asked.kills, "kills", strain.kill),
            (asked.interrupts, "Ctrl-Cs", strain.interrupt),
        ):
            for number in range(count):
                if time.monotonic() < end:
                    trial(number)
                    done[what] += 1
    for what, count in sorted(strain.counts.items()):
        print(f"{count:6}  {what}")
    print(f"{done['kills']} kills, {done['Ctrl-Cs']} Ctrl-Cs, {len(strain.faults)} faults")
    return 1 if strain.faults else 0


if __name__ == "__main__":
    sys.exit(main())
