"""What `pleatsvg batch` does and prints."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from pleatsvg.batch.jobfile.read import read_job
from pleatsvg.batch.progress import Progress, progress_for
from pleatsvg.batch.tasks import Plan, plan
from pleatsvg.errors import RequestError
from pleatsvg.saying import flush, on_one_line, say
from pleatsvg.stopping import Held
from pleatsvg.wording import for_shell

if TYPE_CHECKING:
    from pleatsvg.batch.account.journal import Journal
    from pleatsvg.batch.running import Outcome

    Tell = Callable[[Plan, Journal, Outcome], None]


FOLDER = "pleated"
"""The output folder beside the job file, unless another is given."""


A_PROCESS = 8
"""Drawings below which a further process is not worth its start."""


MOST_WORKERS = 256
"""Many more than machines have cores; each takes its share of memory and of the system's processes."""


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
    file, folder = job_of(job_file, out, workers)
    todo = plan(read_job(file), folder, only, force)
    code, _ = run(todo, workers, keep_going, resume, progress_for(todo.tasks), tell)
    return code


def job_of(job_file: Path | None, out: Path | None, workers: int | None) -> tuple[Path, Path]:
    """Return the job file and the output folder that are meant.

    Raises:
        RequestError: there is no job file, or nobody can have so many workers.
    """
    if job_file is None:
        raise RequestError(
            "The job file",
            "is missing",
            "it says which drawings are to be pleated, and how",
            "Name it, or have one written: pleatsvg batch --new FOLDER.",
        )
    if workers is not None and not 1 <= workers <= MOST_WORKERS:
        raise RequestError(
            "--workers", f"is {workers}", f"from 1 to {MOST_WORKERS} can be at work", "Leave it out to use all cores."
        )
    return job_file, out if out is not None else job_file.absolute().parent / FOLDER


def run(
    todo: Plan, workers: int | None, keep_going: bool, resume: bool, progress: Progress, tell: Tell
) -> tuple[int, bool]:
    """Make what is planned; return the exit code, and whether the person has asked to stop.

    Raises:
        PleatError: the output folder is wrong; nothing was made.
    """
    # Rounding whole arrays needs no threads, and a process with threads is not well split into several.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from pleatsvg.batch.account.journal import Journal
    from pleatsvg.batch.running import refuse_earlier_run, run_batch

    refuse_earlier_run(todo, resume)
    count = workers if workers is not None else max(1, min(_cores(), len(todo.units) // A_PROCESS))
    with Held() as held:
        journal = Journal(todo.folder)
        try:
            outcome = run_batch(
                todo,
                journal,
                held,
                workers=min(count, len(todo.units)),
                resume=resume,
                stop_at_first=not keep_going,
                progress=progress,
            )
            if not outcome.unsaved and journal.in_its_folder:
                journal.done()
            tell(todo, journal, outcome)
        finally:
            journal.close()
    if held.asked:
        rest = "--resume makes the rest." if outcome.undone else "nothing is left to be made."
        say(f"Stopped. What was made is whole; {rest}", error=True)
        return 128 + held.asked, True
    return 0 if outcome.good else 1, False


def _cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _from_here(folder: Path) -> str:
    try:
        here = Path.cwd()
    except OSError:  # it was taken away
        return str(folder)
    return str(folder.relative_to(here)) if folder.is_relative_to(here) and folder != here else str(folder)


def tell(todo: Plan, journal: Journal, outcome: Outcome) -> None:
    """Print what came of a batch: a table of its pieces, and all that `tell_outcome` prints."""
    from pleatsvg.batch.account.summary import table

    if journal.places:
        for row in table(journal.records):
            say(row)
    tell_outcome(todo, journal, outcome)


def tell_outcome(todo: Plan, journal: Journal, outcome: Outcome) -> None:
    """Print how many pieces were made, which were not and why, and whether edges match."""
    counts = outcome.counts
    rows = [f"{counts['made']} made"]
    if counts["kept"]:
        rows[0] += f", {counts['kept']} of them unchanged since they were made before"
    if counts["failed"]:
        rows.append(f"{counts['failed']} could not be made")
    if outcome.undone:
        rows.append(f"{outcome.undone} not come to")
    where = f" Written to: {on_one_line(_from_here(todo.folder))}" if journal.in_its_folder else ""
    say(f"{'; '.join(rows)}.{where}")
    for match in outcome.matches:
        if match.agrees:
            say(f"Match: {on_one_line(match.words)}")
    for record in journal.records() if todo.companions else ():
        if "companion" in record:
            say(f"Companion: {on_one_line(record['companion']['words'])}")
    flush()
    for remark in outcome.remarks:
        _warn(remark)
    if counts["failed"]:
        for record in journal.records():
            if record["state"] == "failed":
                _warn(f"{todo.job.name}, line {record['line']}, {record['drawing']}: {record['message']}")
    for match in outcome.matches:
        if not match.agrees:
            _warn(f"{todo.job.name}, line {match.match.line}: no match: {match.words}")
    if outcome.trouble:
        _warn(outcome.trouble)
    if outcome.unsaved:
        _warn(f"The summary is missing: {outcome.unsaved} What was made is whole.")


def _warn(words: str) -> None:
    say(on_one_line(words), error=True)


def new_job(folder: Path, target: Path | None, force: bool) -> str:
    """Write a job file for the drawings in a folder, and return what to say of it.

    Raises:
        PleatError: there is no drawing, or the file is there already.
    """
    from pleatsvg.batch.jobfile.new import write_new_job

    file, pieces, spoilt = write_new_job(folder, target, force)
    name = on_one_line(str(file))
    rows = [
        f"Written: {name}, {pieces} {'piece' if pieces == 1 else 'pieces'}. Fill in kind, intake and lap, then run:",
        f"  pleatsvg batch {on_one_line(for_shell(str(file)))}",
    ]
    if spoilt:
        rows.append(
            f"{spoilt} {'drawing' if spoilt == 1 else 'drawings'} cannot be pleated as drawn; the file says why."
        )
    return "\n".join(rows)
