"""How far a batch has come: a bar on a terminal, plain lines elsewhere; both on standard error."""

from __future__ import annotations

import contextlib
import sys
import time
from typing import Protocol

from pleatsvg.batch.account import Record
from pleatsvg.saying import on_one_line, say


class Progress(Protocol):
    """Whatever shows how far a batch has come."""

    def in_hand(self, drawing: str) -> None:
        """A drawing is begun."""

    def done(self, record: Record, kept: bool, last: bool) -> None:
        """A piece is done; the last of its task, or not."""

    def beat(self) -> None:
        """Called several times a second."""

    def close(self) -> None:
        """The batch is over."""


def progress_for(tasks: int) -> Progress:
    """Return what suits standard error: a bar on a terminal, plain lines elsewhere."""
    return _Bar(tasks) if sys.stderr is not None and sys.stderr.isatty() else _Lines(tasks)


class _Lines:
    def __init__(self, tasks: int) -> None:
        self.tasks = tasks
        self.count = 0

    def in_hand(self, drawing: str) -> None:
        pass

    def done(self, record: Record, kept: bool, last: bool) -> None:
        self.count += last
        name = on_one_line(record["piece"])
        if record["state"] == "made":
            words = f"{name}: {record['counted']}, {'unchanged, ' if kept else ''}{record['output']}"
        else:
            words = f"{name}: not made"
        say(f"{self.count} of {self.tasks}  {words}", error=True)

    def beat(self) -> None:
        pass

    def close(self) -> None:
        pass


class _Bar:
    # Drawn by hand several times a second rather than by a thread: processes are split off from this one.
    def __init__(self, tasks: int) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

        self.bar = Progress(
            TextColumn("{task.description}", markup=False),
            BarColumn(),
            MofNCompleteColumn(),
            TimeRemainingColumn(),
            console=Console(stderr=True),
            auto_refresh=False,
            transient=True,
        )
        with contextlib.suppress(OSError):  # here and below: a terminal that has gone is no reason to stop
            self.bar.start()
        self.task = self.bar.add_task("", total=tasks)
        self.drawn = 0.0

    def in_hand(self, drawing: str) -> None:
        name = on_one_line(drawing)
        self.bar.update(self.task, description=name if len(name) <= 32 else f"...{name[-29:]}")

    def done(self, record: Record, kept: bool, last: bool) -> None:
        if last:
            self.bar.advance(self.task)

    def beat(self) -> None:
        now = time.monotonic()
        if now - self.drawn > 0.1:
            self.drawn = now
            with contextlib.suppress(OSError):
                self.bar.refresh()

    def close(self) -> None:
        with contextlib.suppress(OSError):
            self.bar.refresh()
            self.bar.stop()
