"""Speed of a batch: a thousand pieces of mixed fixtures, with one worker and with two, and the parent's memory.

Each run is a process of its own, as a person starts it. Start-up is what a batch of seven pieces takes; it is taken
off, so that pieces a second are those of the long run.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from pleatsvg import api
from tests.benchmark.yardstick import Cubic, flattened, unfold_knife

FIXTURES = Path(__file__).parents[2] / "fixtures"
Row = tuple[str, float, float, float]

ALLOWANCE = 15

KNIVES = {
    "skirt-front": (60, ""),
    "gore-panel": (40, ""),
    "bodice-front": (20, ""),
    "circle-skirt-panel": (60, ""),
    "straight-panel": (60, ""),
    "kilt-apron": (100, ""),
    "plain-square-apron": (60, "count = 6\n"),
}
"""Every fixture with an intake in mm that fits it, and what else it needs. All knife pleats, as the yardstick makes."""


def job_of(folder: Path, pieces: int) -> Path:
    """Write so many drawings and their job file."""
    folder.mkdir()
    text = f'[defaults]\nkind = "knife"\nlap = "left"\nallowance = "{ALLOWANCE}mm"\n'
    for name, (intake, more) in KNIVES.items():
        text += f'\n[[piece]]\ndrawing = "{name}-[0-9]*.svg"\nintake = "{intake}mm"\n{more}'
    names = list(KNIVES)
    for number in range(pieces):
        name = names[number % len(names)]
        shutil.copyfile(FIXTURES / f"{name}.svg", folder / f"{name}-{number:05}.svg")
    file = folder / "job.toml"
    file.write_text(text, encoding="utf-8")
    return file


REPEATS = 3


def run_seconds(file: Path, workers: int) -> float:
    """Return the wall time of a whole batch."""
    out = file.parent / "out"
    shutil.rmtree(out, ignore_errors=True)
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "pleatsvg", "batch", str(file), "--out", str(out), "--workers", str(workers)],
        check=True,
        capture_output=True,
    )
    return time.perf_counter() - start


_MEASURED = """
import sys
from pathlib import Path
from pleatsvg.batch import command
from tests.peak import peak_kilobytes
command.batch(Path(sys.argv[1]), Path(sys.argv[2]), 2, (), True, False, False)
Path(sys.argv[3]).write_text(str(peak_kilobytes()))
"""


def parent_megabytes(file: Path) -> float:
    """Return the most memory that the parent of two workers held in a batch."""
    kept = file.parent / "memory"
    out = file.parent / "out"
    shutil.rmtree(out, ignore_errors=True)
    subprocess.run([sys.executable, "-c", _MEASURED, str(file), str(out), str(kept)], check=True, capture_output=True)
    return int(kept.read_text()) / 1024


def yardstick() -> list[Callable[[], None]]:
    """Return what shapely has to do for each of these pieces: seam and mitred cutting line, flattened to 0.01 mm, unfolded,
    and nothing else.
    """
    pieces: list[Callable[[], None]] = []
    for name, (intake, more) in KNIVES.items():
        count = 6 if more else None
        result = api.pleat(
            api.read(FIXTURES / f"{name}.svg"), kind="knife", intake=f"{intake}mm", lap="left", count=count
        )
        outline = result.lines.outline
        curves: list[Cubic] = [
            (s[0], s[1], s[2], s[3])
            if len(s) == 4
            else (s[0], s[0] + (s[1] - s[0]) / 3, s[0] + 2 * (s[1] - s[0]) / 3, s[1])
            for s in outline.segments
        ]
        lines = [(chord.top, chord.hem) for chord in result.lines.chords]
        pieces.append(partial(_seam_and_cut, curves, lines, intake / 2))
    return pieces


def yardstick_seconds(pieces: list[Callable[[], None]], count: int) -> float:
    """Return the wall time of so many pieces, one after the other as the batch has them."""
    start = time.perf_counter()
    for number in range(count):
        pieces[number % len(pieces)]()
    return time.perf_counter() - start


def _seam_and_cut(curves: list[Cubic], lines: list[tuple[complex, complex]], depth: float) -> None:
    seam = flattened(curves, 0.01)
    cut = seam.buffer(ALLOWANCE, join_style="mitre")
    for outline in (seam, cut):
        unfold_knife(outline, lines, depth, beyond=100.0)


def batch_rows(pieces: int = 1000) -> list[Row]:
    """Return what was measured, each with its floor and the limit of their ratio; the rest is printed here.

    Batch and yardstick take turns, so that a slow minute of the machine is shared; of each the best turn counts.
    """
    rows: list[Row] = []
    memory = Path("/dev/shm")
    quick = memory if memory.is_dir() and os.access(memory, os.W_OK) else None
    for where, place, least in (("on the disk", None, 1.6), ("in memory", quick, 1.8)):
        if where == "in memory" and quick is None:
            continue
        with tempfile.TemporaryDirectory(dir=place) as name:
            few, many = job_of(Path(name) / "few", len(KNIVES)), job_of(Path(name) / "many", pieces)
            floor = yardstick()
            turns = [
                [run_seconds(file, workers) for workers in (1, 2) for file in (few, many)]
                + [yardstick_seconds(floor, pieces)]
                for _ in range(REPEATS)
            ]
            few_alone, many_alone, few_pair, many_pair, shapely = (min(taken) for taken in zip(*turns, strict=True))
            one, two = ((m - f) / (pieces - len(KNIVES)) for f, m in ((few_alone, many_alone), (few_pair, many_pair)))
            print(
                f"batch of {pieces} pieces {where}: {1 / one:.0f} a second with one worker, {1 / two:.0f} with two "
                f"({one / two:.2f} x); start-up {few_alone:.2f} s"
            )
            if where == "in memory" or quick is None:
                rows.append(("a piece of a batch against shapely unfolding alone", one, shapely / pieces, 1.0))
            rows.append((f"a piece with two workers against one, {where}", two, one, 1 / least))
    with tempfile.TemporaryDirectory(dir=quick) as name:
        held = [parent_megabytes(job_of(Path(name) / str(count), count)) for count in (100, 5 * pieces)]
    print(f"parent's memory: {held[0]:.0f} MB for 100 pieces, {held[1]:.0f} MB for {5 * pieces} (20 more are allowed)")
    rows.append(("parent's memory beyond that for 100 pieces, / 20 MB", (held[1] - held[0]) / 1e3, 20 / 1e3, 1.0))
    return rows
