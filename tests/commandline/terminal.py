"""A terminal to call the program from: in this process for speed, or in one of its own, with limits, where it matters.

What a refusal has to be is said once here: one short paragraph on standard error, nothing on standard output, nothing
written, never a traceback, and the exit code of its cause.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pleatsvg

if sys.platform != "win32":
    import resource

ROOT = Path(__file__).parents[2]
FIXTURES = ROOT / "fixtures"
BROKEN = FIXTURES / "broken"

DRAWING, COMMAND = 1, 2
"""Exit codes: the drawing or job cannot be made; the command line is wrong."""

KNIFE = ("--kind", "knife", "--intake", "60mm", "--lap", "left")

JARGON = (
    "Traceback",
    "Something went wrong",
    "Warning",
    "Errno",
    "Exception",
    "site-packages",
    "XML_PARSE",
    "xmlCtxt",
)
"""What has no place in a message for the person at the cutting table."""

MEGABYTE = 2**20


@dataclass(frozen=True)
class Outcome:
    """What a call left behind."""

    code: int
    out: str
    err: str


Terminal = Callable[..., Outcome]


def svg(body: str, head: str = 'width="340mm" height="440mm" viewBox="0 0 340 440"') -> str:
    """A drawing in mm, 340 x 440."""
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{body}</svg>'


PANEL = '<path id="seam" d="M20 20H320V420H20Z"/>'
"""300 x 400 mm, its corner at (20, 20)."""


def line(name: str, x: float, x2: float | None = None, y: float = 20, y2: float = 420) -> str:
    """A line down the panel."""
    return f'<line data-name="{name}" x1="{x}" y1="{y}" x2="{x if x2 is None else x2}" y2="{y2}"/>'


def alone(*words: object, folder: Path, seconds: int = 5, megabytes: int = 1500, **environment: str) -> Outcome:
    """Call the program in a process of its own, which may take so much time and memory and no more."""

    def limits() -> None:
        if sys.platform == "win32":
            return
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
        resource.setrlimit(resource.RLIMIT_AS, (megabytes * MEGABYTE, megabytes * MEGABYTE))

    done = subprocess.run(
        [sys.executable, "-m", "pleatsvg", *map(str, words)],
        cwd=folder,
        env={
            **os.environ,
            "PYTHONPATH": str(Path(pleatsvg.__file__).parents[1]),
            "OPENBLAS_NUM_THREADS": "1",  # each thread would set its own buffers aside
            **environment,
        },
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
        preexec_fn=None if sys.platform == "win32" else limits,
        check=False,
    )
    return Outcome(done.returncode, done.stdout, done.stderr)


def contents(folder: Path) -> dict[str, bytes | None]:
    """Everything in a folder, hidden files too: a file's bytes, None for a folder."""
    return {str(p.relative_to(folder)): p.read_bytes() if p.is_file() else None for p in sorted(folder.rglob("*"))}


def assert_refused(outcome: Outcome, code: int, *phrases: str) -> None:
    """A refusal: its exit code, one short paragraph that holds every phrase, and nothing else said."""
    words = outcome.err
    assert outcome.code == code, words
    assert outcome.out == ""
    assert words.strip(), "nothing was said"
    assert "\n\n" not in words.strip(), f"more than one paragraph: {words}"
    assert not words.startswith("Usage"), words
    for alien in JARGON:
        assert alien not in words
    assert len(words) < 450, f"not short: {len(words)} characters"
    assert not re.search(r"\d{16}", words), f"a number that nobody can read: {words}"
    assert not re.search(r"\((nan|-?inf)[,)]|(nan|inf) mm", words), f"no figure at all: {words}"
    for phrase in phrases:
        assert phrase in words
