"""Running a batch: hand out the drawings, record what comes back, and close with a summary."""

from __future__ import annotations

import signal
import threading
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import FrameType
from typing import Any

from pleatsvg.batch.journal import JOURNAL, SUMMARY, Journal
from pleatsvg.batch.making import Maker, Making
from pleatsvg.batch.matching import MatchResult, matched
from pleatsvg.batch.progress import Progress
from pleatsvg.batch.record import Record, as_line, failed_record, heading_of
from pleatsvg.batch.summary import write_summary
from pleatsvg.batch.tasks import Plan, output_of
from pleatsvg.batch.workers import Reports, WorkerPool, make, reports_of, spare_collecting
from pleatsvg.errors import OutputError, PleatError


@dataclass
class Outcome:
    """The outcome of a batch.

    Attributes:
        counts: of "made", "kept" (among those made) and "failed" results.
        undone: how many tasks were not reached.
        broken_off: whether the person stopped it.
        matches: what was compared.
        unsaved: why the summary could not be written, or "".
    """

    counts: Counter[str] = field(default_factory=Counter)
    undone: int = 0
    broken_off: bool = False
    matches: list[MatchResult] = field(default_factory=list)
    unsaved: str = ""

    @property
    def good(self) -> bool:
        """Whether everything was made and agrees."""
        misses = [match for match in self.matches if not match.agrees]
        return not (self.counts["failed"] or self.undone or self.broken_off or misses or self.unsaved)


def refuse_earlier_run(plan: Plan, resume: bool) -> None:
    """Refuse an output folder that holds the results of an earlier batch, unless that is what is meant.

    Raises:
        OutputError: it holds one, and neither --resume nor --force was given.
    """
    if not resume and not plan.force and any((plan.folder / name).exists() for name in (SUMMARY, JOURNAL)):
        raise OutputError(
            f"The output folder '{plan.folder.name}'",
            "holds the results of an earlier batch",
            "nothing is written over unasked",
            "Add --resume to make only what is new or changed, --force to make all again, or give another --out.",
        )


def run_batch(
    plan: Plan, journal: Journal, *, workers: int, resume: bool, stop_at_first: bool, progress: Progress
) -> Outcome:
    """Make everything in a plan and write its summary.

    Args:
        plan: what there is to do.
        journal: of the output folder, open; it is left with this run's records.
        workers: processes; with 1 all is done in this one.
        resume: keep what an earlier run made and nothing has changed since.
        stop_at_first: hand out no more after a piece that cannot be made.
        progress: is told of each piece.
    """
    journal.clear_leftovers()
    before, written, carried = _earlier(plan, journal, resume)
    if resume:
        journal.go_on()
    else:
        journal.begin_anew()
    for record in carried:
        journal.add(record["task"], record["part"], as_line(record))
    outcome = Outcome()
    run = _Run(plan, journal, outcome, stop_at_first, progress)
    maker = Maker(plan, before, written)
    with _Interrupts() as interrupts:
        try:
            if workers > 1:
                run.with_workers(maker, workers, interrupts)
            else:
                with spare_collecting():
                    run.alone(maker, interrupts)
        finally:
            progress.close()
    outcome.broken_off = interrupts.pressed
    if outcome.broken_off:
        journal.clear_leftovers()
    come_to = {task for task, _ in journal.places}
    outcome.undone = len([task for unit in plan.units for task in unit.tasks if task.number not in come_to])
    left_out = len([task for task in plan.others if task.number not in come_to])
    # Pieces that were left out on purpose cannot be compared.
    outcome.matches = [m for m in matched(plan.job, journal.records()) if m.first_mm is not None or not plan.others]
    try:
        write_summary(plan.folder, plan.job.name, journal.records, outcome.matches, outcome.undone + left_out)
    except PleatError as error:
        outcome.unsaved = str(error)
    return outcome


def _earlier(
    plan: Plan, journal: Journal, resume: bool
) -> tuple[Mapping[str, list[bytes]], Mapping[str, str], list[Record]]:
    # What earlier runs made: by digest, to be kept; by file name, what may be written over; and what stands for the
    # tasks that --only leaves out of this run.
    found: dict[str, dict[int, bytes]] = {}
    written: dict[str, str] = {}
    others: dict[tuple[str, str], Record] = {}
    for record, line in journal.earlier():
        try:
            if record["state"] != "made":
                continue
            found.setdefault(str(record["digest"]), {})[int(record["part"])] = line
            written[str(record["output"])] = str(record["sha256"])
            if plan.others:
                others[str(record["drawing"]), str(record["output"])] = record
        except (KeyError, TypeError, ValueError):
            continue  # somebody has edited the record
    carried: list[Record] = []
    if others:
        for task in plan.others:
            for (drawing, output), record in others.items():
                if drawing == task.drawing and output == output_of(
                    task, task.piece or str(record.get("own_name")), record.get("of", 1) > 1
                ):
                    carried.append({**record, "task": task.number, "line": task.entry.line})
    if not resume:
        return {}, written, carried
    return {digest: [parts[k] for k in sorted(parts)] for digest, parts in found.items()}, written, carried


class _Run:
    def __init__(self, plan: Plan, journal: Journal, outcome: Outcome, stop_at_first: bool, progress: Progress) -> None:
        self.plan = plan
        self.journal = journal
        self.outcome = outcome
        self.stop_at_first = stop_at_first
        self.progress = progress

    def alone(self, maker: Maker, interrupts: _Interrupts) -> None:
        before: Making | None = None  # on its way to the disk while the next drawing is in hand
        for number in self._numbers(interrupts):
            self._handed(number)
            try:
                with interrupts.at_once():
                    begun = make(maker, number)
            except KeyboardInterrupt:
                break
            if before is not None:
                self._take(reports_of(before))
            before = begun
            if self.stop_at_first or not before.under_way:
                self._take(reports_of(before))
                before = None
            self.progress.beat()
        if before is not None:
            self._take(reports_of(before))
        maker.end_writing()

    def with_workers(self, maker: Maker, workers: int, interrupts: _Interrupts) -> None:
        pool = WorkerPool(maker, workers, self.journal.handle)

        def tick() -> bool:
            self.progress.beat()
            return interrupts.pressed

        try:
            for number, found in pool.run(self._numbers(interrupts), self._handed, tick):
                self._take(found if not isinstance(found, str) else self._lost(number, found))
        finally:
            pool.end()

    def _numbers(self, interrupts: _Interrupts) -> Iterator[int]:
        for number in range(len(self.plan.units)):
            if interrupts.pressed or (self.stop_at_first and self.outcome.counts["failed"]):
                return
            yield number

    def _handed(self, number: int) -> None:
        self.progress.in_hand(self.plan.units[number].tasks[0].drawing)

    def _take(self, found: Reports) -> None:
        for place, (line, record, kept) in enumerate(found):
            self.journal.add(record["task"], record["part"], line)
            self.outcome.counts[record["state"]] += 1
            self.outcome.counts["kept"] += kept
            last = place + 1 == len(found) or found[place + 1][1]["task"] != record["task"]
            self.progress.done(record, kept, last)

    def _lost(self, number: int, words: str) -> Reports:
        # When a worker dies, every task of its drawing has failed.
        lost: Reports = []
        for task in self.plan.units[number].tasks:
            head = heading_of(task, 1, task.entry.name or task.piece or task.drawing, None)
            record = failed_record(head, words, 0.0)
            lost.append((as_line(record), record, False))
        return lost


class _Interrupts:
    """Ctrl-C is noted and looked at between two records, so that no line of the journal is torn; raised at once where safe."""

    def __init__(self) -> None:
        self.pressed = False
        self.safe = False
        self.before: Any = None

    def __enter__(self) -> _Interrupts:
        if threading.current_thread() is threading.main_thread():
            self.before = signal.signal(signal.SIGINT, self._told)
        return self

    def __exit__(self, *raised: object) -> None:
        if self.before is not None:
            signal.signal(signal.SIGINT, self.before)

    def _told(self, signum: int, frame: FrameType | None) -> None:
        self.pressed = True
        if self.safe:
            self.safe = False
            raise KeyboardInterrupt

    def at_once(self) -> _AtOnce:
        """Within this, Ctrl-C raises KeyboardInterrupt where it stands."""
        return _AtOnce(self)


class _AtOnce:
    def __init__(self, interrupts: _Interrupts) -> None:
        self.interrupts = interrupts

    def __enter__(self) -> None:
        self.interrupts.safe = True
        if self.interrupts.pressed:
            self.interrupts.safe = False
            raise KeyboardInterrupt

    def __exit__(self, *raised: object) -> None:
        self.interrupts.safe = False
