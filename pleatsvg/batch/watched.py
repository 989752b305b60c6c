"""`batch --watch`: the pieces of a set made anew as their drawings, or the job file, are saved."""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from pleatsvg.batch.account import Record
from pleatsvg.batch.command import A_PROCESS, job_of, run, tell, tell_outcome
from pleatsvg.batch.jobfile.read import read_job
from pleatsvg.batch.progress import Progress, progress_for
from pleatsvg.batch.tasks import Plan, plan
from pleatsvg.errors import PleatError
from pleatsvg.order.options import in_job_file
from pleatsvg.saying import flush, on_one_line, say
from pleatsvg.watching.files import Looker, State
from pleatsvg.watching.saves import make_at_each_save

if TYPE_CHECKING:
    from pleatsvg.batch.account.journal import Journal
    from pleatsvg.batch.running import Outcome


def watched_batch(
    job_file: Path | None,
    out: Path | None,
    workers: int | None,
    only: Sequence[str],
    keep_going: bool,
    resume: bool,
    force: bool,
) -> int:
    """Make a batch, and at each save what is new or changed, until the person ends it; return the exit code.

    Raises:
        PleatError: the job file, the folder or the command line is wrong to begin with; nothing was made.
    """
    file, folder = job_of(job_file, out, workers)

    def planned() -> Plan:
        return plan(read_job(file), folder, only, force)

    def make(todo: Plan, changed: int, progress: Progress, told: Callable[[Plan, Journal, Outcome], None]) -> None:
        # Further processes are not worth their start for the few drawings that a person saves.
        count = 1 if workers is None and 0 < changed < 2 * A_PROCESS else workers
        code, stopped = run(todo, count, keep_going, resume or changed > 0, progress, told)
        if stopped:
            raise _StopError(code)

    work = _Set(planned, make)
    try:
        work.begin()
        make_at_each_save(work)
    except _StopError as stop:
        return stop.code


class _StopError(Exception):
    # The person has asked to stop while pieces were made, and was answered.
    def __init__(self, code: int) -> None:
        super().__init__()
        self.code = code


_Make = Callable[[Plan, int, Progress, "Callable[[Plan, Journal, Outcome], None]"], None]


class _Set:
    def __init__(self, planned: Callable[[], Plan], make: _Make) -> None:
        self.planned = planned
        self.making = make
        self.looker = Looker()
        self.plan = planned()
        self.files = self.plan.read
        self.folders: tuple[int, ...] = ()
        self.found: dict[str, State] = {}
        self.made: dict[str, State] = {}  # how the files stood when the set was made last
        self.begun = False
        self.anew: dict[str, str] = {}  # by the output's name, what was made and is not told yet

    def begin(self) -> None:
        name = on_one_line(self.plan.job.name)
        say(f"Watching {name} and its drawings: what is saved is made anew. Ctrl-C ends it.", error=True)

    def look(self) -> tuple[State, ...]:
        # Drawings come and go; where a folder says so, patterns are looked up anew.
        folders = tuple([_changed(folder) for folder in sorted({os.path.dirname(file) for file in self.files})])  # noqa: PTH120
        if folders != self.folders:
            self.folders = folders
            with contextlib.suppress(PleatError, OSError):
                self.files = self.planned().read
        states = self.looker.look(self.files)
        self.found = dict(zip(self.files, states, strict=True))
        return states

    def make(self, settled: Callable[[], bool]) -> bool:
        try:
            todo = self.planned()
            if set(self.plan.read) - set(todo.read) and not settled():
                return False  # a drawing that a pattern no longer finds may be on its way
            if not self.begun:
                self._first(todo)
                return True
            return self._again(todo, settled)
        except PleatError as error:
            if not self.begun:
                raise
            if not settled():
                return False
            say(f"\n{_clock()}", error=True)
            say(f"{on_one_line(error.message.on(in_job_file))} What was made before stands.", error=True)
            flush()
            return True

    def _first(self, todo: Plan) -> None:
        self.made = self.found
        self.making(todo, 0, progress_for(todo.tasks), tell)
        flush()
        self.plan, self.files, self.begun = todo, todo.read, True

    def _again(self, todo: Plan, settled: Callable[[], bool]) -> bool:
        told = True
        job = self.files[0]
        changed = [file for file, state in self.found.items() if self.made.get(file) != state]
        self.made = self.found

        def tell_when_sure(todo: Plan, journal: Journal, outcome: Outcome) -> None:
            nonlocal told
            if not outcome.good and not outcome.broken_off and not settled():
                told = False
                return
            say(f"\n{_clock()}")
            for words in self.anew.values():
                say(words)
            self.anew.clear()
            tell_outcome(todo, journal, outcome)
            flush()

        self.making(todo, len(todo.read) if job in changed else max(1, len(changed)), _Anew(self.anew), tell_when_sure)
        self.plan, self.files = todo, todo.read
        return told


class _Anew:
    # Keeps what is made anew; pieces that are unchanged are passed over.
    def __init__(self, rows: dict[str, str]) -> None:
        self.rows = rows

    def in_hand(self, drawing: str) -> None:
        pass

    def done(self, record: Record, kept: bool, last: bool) -> None:
        if record["state"] == "made" and not kept:
            name = on_one_line(record["piece"])
            self.rows[record["output"]] = f"made anew: {name}, {record['counted']}, {record['output']}"

    def beat(self) -> None:
        pass

    def close(self) -> None:
        pass


def _changed(folder: str) -> int:
    try:
        return os.stat(folder).st_mtime_ns  # noqa: PTH116, several times a second
    except OSError:
        return 0


def _clock() -> str:
    return time.strftime("%H:%M:%S")
