"""Running a batch: hand out the drawings, record what comes back, and close with a summary."""

from __future__ import annotations

import json
import os
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from pleatsvg.batch.account import Record
from pleatsvg.batch.account.earlier import Earlier, digest_of, earlier_in
from pleatsvg.batch.account.journal import JOURNAL, SUMMARY, TABLE, Journal, refuse_odd_files
from pleatsvg.batch.account.record import as_line
from pleatsvg.batch.account.summary import write_summary
from pleatsvg.batch.companions import companions_made
from pleatsvg.batch.making import Maker, Making, Report, failed_instead, report_of
from pleatsvg.batch.matching import MatchResult, matched
from pleatsvg.batch.progress import Progress
from pleatsvg.batch.tasks import Plan, output_of
from pleatsvg.batch.workers import WorkerPool, collect_now_and_then, spare_collecting
from pleatsvg.errors import OutputError, PleatError
from pleatsvg.stopping import Held
from pleatsvg.wholefile import put_in_place


@dataclass
class Outcome:
    """The outcome of a batch.

    Attributes:
        counts: of "made", "kept" (among those made) and "failed" results.
        undone: how many tasks were not reached.
        broken_off: whether the person stopped it.
        matches: what was compared.
        unsaved: why the summary could not be written, or "".
        trouble: why it could not go on, or "".
        remarks: what else is worth a word.
    """

    counts: Counter[str] = field(default_factory=Counter)
    undone: int = 0
    broken_off: bool = False
    matches: list[MatchResult] = field(default_factory=list)
    unsaved: str = ""
    trouble: str = ""
    remarks: list[str] = field(default_factory=list)

    @property
    def good(self) -> bool:
        """Whether everything was made and agrees."""
        misses = [match for match in self.matches if not match.agrees]
        return not (self.counts["failed"] or self.undone or self.broken_off or misses or self.unsaved or self.trouble)


def refuse_earlier_run(plan: Plan, resume: bool) -> None:
    """Refuse an output folder that holds the results of an earlier batch, unless that is what is meant.

    Raises:
        OutputError: it holds one, and neither --resume nor --force was given; or it holds what no batch has left there.
    """
    refuse_odd_files(plan.folder)
    there = [name for name in (SUMMARY, JOURNAL, TABLE) if os.path.lexists(plan.folder / name)]
    if there == [TABLE] and not plan.force:
        raise OutputError(
            f"'{TABLE}' in the output folder '{plan.folder.name}'",
            "is there already, and no batch has left it",
            "nothing is written over unasked",
            "Move it away, add --force, or give another folder with --out.",
        )
    if there and not resume and not plan.force:
        raise OutputError(
            f"The output folder '{plan.folder.name}'",
            "holds the results of an earlier batch",
            "nothing is written over unasked",
            "Add --resume to make only what is new or changed, --force to make all again, or give another --out.",
        )


def run_batch(
    plan: Plan,
    journal: Journal,
    held: Held,
    *,
    workers: int,
    resume: bool,
    stop_at_first: bool,
    progress: Progress,
) -> Outcome:
    """Make everything in a plan and write its summary.

    Args:
        plan: what there is to do.
        journal: of the output folder, open; it is left with this run's records.
        held: keeps the wish to stop.
        workers: processes; with 1 all is done in this one.
        resume: keep what an earlier run made and nothing has changed since.
        stop_at_first: hand out no more after a piece that cannot be made.
        progress: is told of each piece.
    """
    journal.clear_leftovers()
    earlier = earlier_in(plan.folder)
    outcome = Outcome(remarks=[*plan.remarks, *(earlier.remarks(plan.folder.name) if resume else [])])
    for record in _carried(plan, earlier):
        journal.add(record["task"], record["part"], as_line(record))
    run = _Run(plan, journal, held, outcome, stop_at_first, progress)
    maker = Maker(plan, earlier, resume)
    try:
        run.all_of_it(maker, workers)
        run.companions(maker)
    finally:
        progress.close()
        journal.clear_leftovers()
    _close(plan, journal, held, maker, outcome)
    return outcome


def _carried(plan: Plan, earlier: Earlier) -> Iterator[Record]:
    # What stands for the tasks that --only leaves out of this run.
    for task in plan.others:
        for output, record in earlier.by_drawing.get(task.drawing, {}).items():
            named = output == output_of(task, task.piece or record["own_name"], record["of"] > 1)
            if named and digest_of(plan.folder / output) == record["sha256"]:
                yield {**record, "task": task.number, "line": task.entry.line}


def _close(plan: Plan, journal: Journal, held: Held, maker: Maker, outcome: Outcome) -> None:
    # The one place where a batch is brought to its end, however it came to that.
    outcome.broken_off = bool(held.asked)
    if not journal.in_its_folder:
        outcome.trouble = outcome.trouble or _gone(plan)
    _miss(plan, journal, outcome)
    tasks = [task.number for unit in plan.units for task in unit.tasks]
    if set(tasks) - {task for task, _ in journal.places}:
        for number in range(len(plan.units)):
            for making in maker.still_standing(number, journal.places.keys()):
                journal.add(*making.key, making.report().line)
                outcome.counts.update(made=1, kept=1)
    come_to = {task for task, _ in journal.places}
    outcome.undone += len(set(tasks) - come_to)
    left_out = len([task for task in plan.others if task.number not in come_to])
    # Pieces that were left out on purpose, or not come to, cannot be compared.
    partial = bool(plan.others) or bool(outcome.undone)
    outcome.matches = [m for m in matched(plan.job, journal.records()) if m.first_mm is not None or not partial]
    if not journal.in_its_folder:
        return
    made = [record["output"] for record in journal.records() if record["state"] == "made"]
    standing = maker.earlier.standing(plan.folder, but=made)
    try:
        write_summary(plan.folder, plan.job.name, journal.records, outcome.matches, outcome.undone + left_out, standing)
    except PleatError as error:
        outcome.unsaved = str(error)


def _miss(plan: Plan, journal: Journal, outcome: Outcome) -> None:
    # A result that was put in its place and has been taken away since is not told as made.
    if not journal.in_its_folder:
        return
    made = [record for record in journal.records() if record["state"] == "made"]
    missing = [record for record in made if not os.path.lexists(plan.folder / record["output"])]
    for record in missing:
        del journal.places[record["task"], record["part"]]
    if missing:
        outcome.counts["made"] -= len(missing)
        results = "1 result was" if len(missing) == 1 else f"{len(missing)} results were"
        outcome.trouble = (
            f"{results} taken out of the output folder '{plan.folder.name}' while the batch was at work, such as "
            f"'{missing[0]['output']}'. --resume makes what is missing."
        )


def _gone(plan: Plan) -> str:
    return (
        f"The output folder '{plan.folder.name}' was moved or taken away while the batch was at work. What was made went "
        "with it, and its account; back in its place, it is gone on with by --resume."
    )


class _Run:
    def __init__(
        self, plan: Plan, journal: Journal, held: Held, outcome: Outcome, stop_at_first: bool, progress: Progress
    ) -> None:
        self.plan = plan
        self.journal = journal
        self.held = held
        self.outcome = outcome
        self.stop_at_first = stop_at_first
        self.progress = progress

    def all_of_it(self, maker: Maker, workers: int) -> None:
        if workers > 1:
            pool = WorkerPool(maker, workers, self.journal.handle)
            if pool.workers:
                self._with_workers(pool)
                return
        with spare_collecting():
            self._alone(maker)

    def _alone(self, maker: Maker) -> None:
        before: Making | None = None  # on its way to the disk while the next one is worked out
        for number in self._numbers():
            self._handed(number)
            collect_now_and_then(number)
            makings = maker.make(number)
            while not self._over:
                making: Making | None = None
                try:
                    with self.held.at_once():
                        making = next(makings, None)
                except KeyboardInterrupt:
                    break
                if before is not None:
                    self._take(before.report())
                before = making
                if making is None:
                    break
            if before is not None and (self.stop_at_first or not before.under_way):
                self._take(before.report())
                before = None
            self.progress.beat()
        if before is not None:
            self._take(before.report())
        maker.end_writing()

    def _with_workers(self, pool: WorkerPool) -> None:
        def tick() -> bool:
            self.progress.beat()
            return self._over

        try:
            for report in pool.run(self._numbers(), self._handed, tick):
                self._take(report)
            if not pool.workers:
                self.outcome.trouble = (
                    "No further process could be started; most often the machine's memory is full. Close other programs "
                    "and go on with --resume."
                )
        finally:
            pool.end()

    def companions(self, maker: Maker) -> None:
        """Make what is sewn to the pieces, once these are made; one that the batch did not come to is undone."""
        makings = companions_made(self.plan, maker, self.journal.records())
        failed = self.stop_at_first and self.outcome.counts["failed"]
        while not (self._over or failed):
            try:
                with self.held.at_once():
                    making = next(makings, None)
            except KeyboardInterrupt:
                break
            if making is None:
                break
            self._take(making.report())
        maker.end_writing()
        if not (self._over or failed):
            return
        first = self.plan.first_companion
        done = {task for task, _ in self.journal.places}
        self.outcome.undone += len([k for k in range(len(self.plan.companions)) if first + k not in done])

    @property
    def _over(self) -> bool:
        return bool(self.held.asked or self.outcome.trouble)

    def _numbers(self) -> Iterator[int]:
        for number in range(len(self.plan.units)):
            if self._over or (self.stop_at_first and self.outcome.counts["failed"]):
                return
            yield number

    def _handed(self, number: int) -> None:
        self.progress.in_hand(self.plan.units[number].tasks[0].drawing)

    def _take(self, report: Report) -> None:
        """Record a result and move it to its place, in this order: what stands is always known to the journal."""
        if self.outcome.trouble or ((report.beside or not report.kept) and not self.journal.in_its_folder):
            # Left beside its place, if anywhere; it is made again when the batch goes on.
            self.outcome.trouble = self.outcome.trouble or _gone(self.plan)
            return
        self.journal.add(report.record["task"], report.record["part"], report.line)
        if report.beside:
            try:
                put_in_place(report.beside, report.target)
            except PleatError as error:
                report = report_of(failed_instead(json.loads(report.line), error), last=report.last)
                self.journal.add(report.record["task"], report.record["part"], report.line)
        self.outcome.counts[report.record["state"]] += 1
        self.outcome.counts["kept"] += report.kept
        self.progress.done(report.record, report.kept, report.last)
