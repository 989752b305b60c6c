"""Job files, drawings and runs for the tests of `batch`."""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.commandline.terminal import PANEL, line, svg

DEFAULTS = '[defaults]\nkind = "knife"\nintake = "4cm"\nlap = "left"\n'
"""Lines 1 to 4 of a job file."""


def panel(name: str = "panel", x: float = 160) -> str:
    """A drawing of a panel with one slash line."""
    return svg(f'<g data-name="{name}">{PANEL}{line("slash 1", x)}</g>')


def panels(folder: Path, count: int) -> None:
    """Write drawings size-1.svg and so on, each with its line elsewhere."""
    folder.mkdir(parents=True, exist_ok=True)
    for number in range(1, count + 1):
        (folder / f"size-{number}.svg").write_text(panel(f"size {number}", 120 + number), encoding="utf-8")


def job(folder: Path, text: str, name: str = "job.toml") -> Path:
    """Write a job file."""
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return file


def results(folder: Path) -> dict[str, bytes]:
    """Everything in an output folder, hidden files too, with the seconds of its summary left out: they alone may differ."""
    found = {p.name: p.read_bytes() for p in folder.iterdir() if p.is_file()} if folder.is_dir() else {}
    if "summary.json" in found:
        found["summary.json"] = re.sub(rb'"seconds": [0-9.e-]+', b"", found["summary.json"])
    if "summary.csv" in found:
        found["summary.csv"] = re.sub(rb",[0-9.e-]+\r\n", b",\r\n", found["summary.csv"])
    return found


def summary(folder: Path) -> dict[str, Any]:
    """The summary of an output folder."""
    data: dict[str, Any] = json.loads((folder / "summary.json").read_bytes())
    return data


class Aside:
    """A call in a process split off from this one, so that it can be killed; nothing is imported anew for it."""

    def __init__(self, call: Callable[[], int], log: Path) -> None:
        self.alive, end = os.pipe()
        self.number = os.fork()
        if self.number == 0:
            code = 99
            try:
                os.setsid()
                os.close(self.alive)
                os.set_inheritable(end, True)
                out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
                os.dup2(out, 1)
                os.dup2(out, 2)
                sys.stdout = os.fdopen(1, "w", encoding="utf-8")
                sys.stderr = os.fdopen(2, "w", encoding="utf-8")
                code = call()
                sys.stdout.flush()
                sys.stderr.flush()
            finally:
                os._exit(code)
        os.close(end)

    def wait(self) -> int:
        """Wait for it and for every process that it left behind; return its exit code, less than 0 for a signal."""
        _, status = os.waitpid(self.number, 0)
        while os.read(self.alive, 1):
            pass
        os.close(self.alive)
        return os.waitstatus_to_exitcode(status)
