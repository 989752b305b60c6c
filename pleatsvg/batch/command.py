"""What `pleatsvg batch` does and prints."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from pleatsvg.batch.jobfile.read import read_job
from pleatsvg.batch.tasks import Plan, plan
from pleatsvg.errors import RequestError

if TYPE_CHECKING:
    from pleatsvg.batch.journal import Journal
    from pleatsvg.batch.running import Outcome


FOLDER = "pleated"
"""The output folder beside the job file, unless another is given."""


A_PROCESS = 8
"""Drawings below which a further process is not worth its start."""


def batch(
    job_file: Path | None,
    out: Path | None,
    workers: int | None,
    only: Sequence[str],
    keep_going: bool,
    resume: bool,
    force: bool,
) -> int:
    """Make what a job file asks for, print what came of it, and return the exit code.

    Raises:
        PleatError: the job file, the folder or the command line is wrong; nothing was made.
    """
    if job_file is None:
        raise RequestError(
            "The job file",
            "is missing",
            "it says which drawings are to be pleated, and how",
            "Name it, or have one written: pleatsvg batch --new FOLDER.",
        )
    if workers is not None and workers < 1:
        raise RequestError("--workers", f"is {workers}", "at least one is needed", "Leave it out to use all cores.")
    job = read_job(job_file)
    todo = plan(job, out if out is not None else job_file.absolute().parent / FOLDER, only, force)
    # Rounding whole arrays needs no threads, and a process with threads is not well split into several.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from pleatsvg.batch.journal import Journal
    from pleatsvg.batch.progress import progress_for
    from pleatsvg.batch.running import refuse_earlier_run, run_batch

    refuse_earlier_run(todo, resume)
    count = workers if workers is not None else max(1, min(_cores(), len(todo.units) // A_PROCESS))
    journal = Journal(todo.folder)
    try:
        progress = progress_for(sum([len(unit.tasks) for unit in todo.units]))
        outcome = run_batch(
            todo,
            journal,
            workers=min(count, len(todo.units)),
            resume=resume,
            stop_at_first=not keep_going,
            progress=progress,
        )
        sys.stderr.flush()
        _tell(todo, journal, outcome)
        if not outcome.unsaved:
            journal.done()
    finally:
        journal.close()
    return 130 if outcome.broken_off else 0 if outcome.good else 1


def _cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _from_here(folder: Path) -> str:
    here = Path.cwd()
    return str(folder.relative_to(here)) if folder.is_relative_to(here) and folder != here else str(folder)


def _tell(todo: Plan, journal: Journal, outcome: Outcome) -> None:
    from pleatsvg.batch.summary import printable, table

    if journal.places:
        for row in table(journal.records):
            print(row)
    counts = outcome.counts
    rows = [f"{counts['made']} made"]
    if counts["kept"]:
        rows[0] += f", {counts['kept']} of them unchanged since they were made before"
    if counts["failed"]:
        rows.append(f"{counts['failed']} could not be made")
    if outcome.undone:
        rows.append(f"{outcome.undone} not come to")
    print("; ".join(rows) + f". Written to: {_from_here(todo.folder)}")
    for match in outcome.matches:
        if match.agrees:
            print(f"Match: {printable(match.words)}")
    sys.stdout.flush()
    if counts["failed"]:
        for record in journal.records():
            if record["state"] == "failed":
                where = f"{todo.job.name}, line {record['line']}, {record['drawing']}"
                print(printable(f"{where}: {record['message']}"), file=sys.stderr)
    for match in outcome.matches:
        if not match.agrees:
            print(printable(f"{todo.job.name}, line {match.match.line}: no match: {match.words}"), file=sys.stderr)
    if outcome.unsaved:
        print(printable(f"The summary is missing: {outcome.unsaved} What was made is whole."), file=sys.stderr)
    if outcome.broken_off:
        print("Stopped. What was made is whole; --resume makes the rest.", file=sys.stderr)


def new_job(folder: Path, target: Path | None, force: bool) -> str:
    """Write a job file for the drawings in a folder, and return what to say of it.

    Raises:
        PleatError: there is no drawing, or the file is there already.
    """
    from pleatsvg.batch.jobfile.new import write_new_job

    file, pieces, spoilt = write_new_job(folder, target, force)
    rows = [
        f"Written: {file}, {pieces} {'piece' if pieces == 1 else 'pieces'}. Fill in kind, intake and lap, then run:"
    ]
    rows.append(f"  pleatsvg batch {file}")
    if spoilt:
        rows.append(
            f"{spoilt} {'drawing' if spoilt == 1 else 'drawings'} cannot be pleated as drawn; the file says why."
        )
    return "\n".join(rows)
