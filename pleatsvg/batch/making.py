"""Making the pieces of one drawing: what a worker does, over and over."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import stat
import time
from collections import Counter
from collections.abc import Callable, Collection, Iterator
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from pleatsvg.api import continue_onto, read, round_of
from pleatsvg.batch.account import Record
from pleatsvg.batch.account.earlier import Earlier, digest_of, regular_bytes
from pleatsvg.batch.account.record import as_line, failed_record, made_record
from pleatsvg.batch.output_names import same_file_key
from pleatsvg.batch.tasks import Plan, Task, Unit, options_digest, output_of
from pleatsvg.batch.to_disk import DiskWriter, Writing
from pleatsvg.drawing.drawn import Drawing
from pleatsvg.drawing.read import drawing_from
from pleatsvg.drawing.source import bytes_of
from pleatsvg.errors import OutputError, PleatError
from pleatsvg.job import pleat_piece
from pleatsvg.length import parse_length
from pleatsvg.order.options import in_job_file
from pleatsvg.piece.choose import finished_piece, finished_pieces
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.wholefile import kind_of
from pleatsvg.wording import option
from pleatsvg.writing.result import result_bytes

Done = Collection[tuple[int, int]]
"""Results that are done with already, by the number of their task and of their part; part 0 stands for all of a task."""


class Report(NamedTuple):
    """What came of one result, once it is on the disk; small enough to be sent from one process to another.

    Attributes:
        line: its record, for the journal.
        record: what the progress needs of it.
        kept: whether it was kept from an earlier run.
        last: whether it is the last of its task.
        beside, target: the file that it is in and the place that this is to be moved to; "" where nothing is to be moved.
    """

    line: bytes
    record: Record
    kept: bool
    last: bool
    beside: str = ""
    target: str = ""


def report_of(record: Record, *, kept: bool = False, last: bool = True, moved: tuple[str, str] = ("", "")) -> Report:
    """Return a report on a result; cf. `Report`."""
    return Report(as_line(record), {key: record[key] for key in _FOR_THE_PROGRESS if key in record}, kept, last, *moved)


_FOR_THE_PROGRESS = ("task", "part", "piece", "output", "state", "counted", "message")


class Making:
    """One result, which may still be on its way to the disk."""

    def __init__(
        self, record: Record, writing: Writing | None = None, *, kept: bool = False, last: bool = True
    ) -> None:
        self._record = record
        self._writing = writing
        self._kept = kept
        self._last = last

    @property
    def key(self) -> tuple[int, int]:
        """The numbers of its task and of its part."""
        return self._record["task"], self._record["part"]

    @property
    def under_way(self) -> bool:
        """Whether the disk must be waited for."""
        return self._writing is not None and self._writing.under_way

    def report(self) -> Report:
        """Wait until it is on the disk, and say what came of it."""
        if self._writing is None:
            return report_of(self._record, kept=self._kept, last=self._last)
        try:
            return report_of(self._record, last=self._last, moved=self._writing.end())
        except PleatError as error:
            return report_of(failed_instead(self._record, error), last=self._last)


def failed_instead(record: Record, error: PleatError) -> Record:
    """Return the record of a result that was made and cannot be written."""
    head = {key: record[key] for key in ("task", "part", "line", "drawing", "piece", "output")}
    return failed_record(head, error.message.on(in_job_file), record["seconds"])


class Maker:
    """Makes the results of a plan, one drawing at a time.

    Where the disk is slow, results are written to it while the next one is worked out.
    """

    def __init__(self, plan: Plan, earlier: Earlier, resume: bool) -> None:
        """Prepare to make the results of a plan.

        Args:
            plan: of the batch.
            earlier: what earlier runs left in the folder: what may be written over.
            resume: keep what they made where nothing has changed.
        """
        self.plan = plan
        self.earlier = earlier
        self.resume = resume
        self.disk = DiskWriter()
        self.turning_to: Callable[[int, int, int], None] = lambda task, part, of: None
        """Called with what is taken in hand: number of the task, of the part (0: the drawing), and how many parts."""

    def end_writing(self) -> None:
        """Wait until nothing is under way to the disk."""
        self.disk.end()

    def make(self, number: int, done: Done = ()) -> Iterator[Making]:
        """Make one unit's results, each as it is asked for, and begin to write it.

        Args:
            number: of the unit.
            done: results of it that are not to be made.
        """
        unit = self.plan.units[number]
        start = time.perf_counter()
        file = Path(unit.file)
        tasks = [task for task in unit.tasks if (task.number, 0) not in done]
        if not tasks:
            return
        self.turning_to(tasks[0].number, 0, 0)
        try:
            data = bytes_of(file)
        except PleatError as error:
            yield from [Making(_failed(task, error, start)) for task in tasks]
            return
        seen = hashlib.sha256(data).digest()
        drawing: Drawing | None = None
        for task in tasks:
            self.turning_to(task.number, 0, 0)
            try:
                digest = _digest(task, self.plan, file, seen)
                kept = self._kept(task, digest)
                if not kept:
                    start = time.perf_counter()
                    drawing = drawing or _drawing(unit, file, data)
                    pieces = _pieces(drawing, task)
            except Exception as error:
                yield Making(_failed(task, error, start))
                continue
            if kept:
                yield from [making for making in kept if making.key not in done]
            else:
                yield from self._results(task, pieces, digest, start, file.parent, done)

    def still_standing(self, number: int, done: Done) -> Iterator[Making]:
        """Yield the results of a unit that were not come to and stand from an earlier run, where nothing has changed."""
        unit = self.plan.units[number]
        file = Path(unit.file)
        tasks = [task for task in unit.tasks if self.resume and task.drawing in self.earlier.by_drawing]
        tasks = [task for task in tasks if not any(key[0] == task.number for key in done)]
        if not tasks:
            return
        with contextlib.suppress(PleatError, OSError, ValueError):
            seen = hashlib.sha256(bytes_of(file)).digest()
            for task in tasks:
                yield from self._kept(task, _digest(task, self.plan, file, seen))

    def _results(
        self, task: Task, pieces: list[FinishedPiece], digest: str, start: float, near: Path, done: Done
    ) -> Iterator[Making]:
        outputs = [output_of(task, task.piece or piece.name, len(pieces) > 1) for piece in pieces]
        times = Counter([same_file_key(name) for name in outputs])
        for part, (piece, output) in enumerate(zip(pieces, outputs, strict=True), 1):
            if (task.number, part) in done:
                continue
            if len(pieces) > 1:
                self.turning_to(task.number, part, len(pieces))
            called = task.entry.name if task.entry.name and len(pieces) == 1 else piece.name
            head = heading_of(task, part, called, output)
            last = part == len(pieces)
            try:
                if times[same_file_key(output)] > 1:
                    raise OutputError(
                        f"The output '{output}'",
                        f"would be written by {times[same_file_key(output)]} pieces of this drawing",
                        "each result has a file of its own; capitals do not tell two names apart",
                        'Give the pieces other names, or write output = "{drawing}-{piece}-pleated".',
                    )
                if task.entry.round:
                    piece = round_of([piece, *piece.others, *[_whole(other, task) for other in task.others]])
                if task.entry.onto is not None:
                    piece = continue_onto(piece, task.entry.onto, near=near, drawing_unit=task.entry.drawing_unit)
                result = pleat_piece(piece, task.entry.order)
                made = result_bytes(result)
                sha256 = hashlib.sha256(made).hexdigest()
                writing = self.begin_writing(output, made)
                end = time.perf_counter()
                record = made_record(
                    head, result, digest, len(pieces), sha256, self.plan.edges, end - start, self.plan.folds
                )
                making = Making(record, writing, last=last)
            except Exception as error:
                making = Making(failed_record(head, reason_of(error), time.perf_counter() - start), last=last)
            yield making
            start = time.perf_counter()

    def _kept(self, task: Task, digest: str) -> list[Making]:
        # What an earlier run made of the same bytes and the same order, if all of it still stands as it was written.
        if not self.resume:
            return []
        lines = self.earlier.made.get(digest, {})
        before: list[Record] = [json.loads(lines[part]) for part in sorted(lines)]
        if not before or [record["part"] for record in before] != [k + 1 for k in range(before[0]["of"])]:
            return []
        kept: list[Making] = []
        for record in before:
            output, several = record["output"], record["of"] > 1
            if (self.plan.edges and "edges_mm" not in record) or (self.plan.folds and "folded_edges" not in record):
                return []
            if output != output_of(task, task.piece or record["own_name"], several):
                return []
            if digest_of(self.plan.folder / output) != record["sha256"]:
                return []
            called = task.entry.name if task.entry.name and not several else record["own_name"]
            head = heading_of(task, record["part"], called, output)
            kept.append(Making({**record, **head}, kept=True, last=record["part"] == record["of"]))
        return kept

    def begin_writing(self, output: str, made: bytes) -> Writing | None:
        """Begin to write a result, unless just that stands there already.

        Raises:
            OutputError: something else stands there that no earlier run wrote.
        """
        target = os.path.join(self.plan.folder, output)  # noqa: PTH118, once for every result of a batch
        try:
            found = os.lstat(target)
        except FileNotFoundError:
            found = None
        except OSError as error:
            raise _cannot(output, error) from None
        if found is not None:
            if (found.st_dev, found.st_ino) in self.plan.inputs:
                raise OutputError(
                    f"The output '{output}'",
                    "is a drawing of this job, or the job itself",
                    "a drawing is never written over",
                    "Give another --out.",
                )
            if not stat.S_ISREG(found.st_mode):
                raise OutputError(
                    f"The output '{output}'",
                    f"is {kind_of(found.st_mode)}",
                    "a result takes the place of a plain file or of nothing",
                    "Move it away, or give another --out.",
                )
            stands = regular_bytes(Path(target))
            if stands == made:
                return None
            known = stands is not None and hashlib.sha256(stands).hexdigest() in self.earlier.written.get(output, ())
            if not self.plan.force and not known:
                raise OutputError(
                    f"The output '{output}'",
                    "is there already and is not as an earlier batch left it",
                    "nothing is written over unasked",
                    "Move it away, or add --force.",
                )
        return self.disk.write(target, made)


def _digest(task: Task, plan: Plan, file: Path, seen: bytes) -> str:
    return hashlib.sha256(options_digest(task, plan.program, file) + seen).hexdigest()


def _drawing(unit: Unit, file: Path, data: bytes) -> Drawing:
    entry = unit.tasks[0].entry
    scale = parse_length(entry.drawing_unit, option("drawing_unit")) if entry.drawing_unit is not None else None
    return replace(drawing_from(data, file.name, scale, entry.shows == "wrong"), file=os.fspath(file))


def _whole(file: str, task: Task) -> FinishedPiece:
    # A piece that goes all round with another, read as that is.
    return read(file, drawing_unit=task.entry.drawing_unit, shows=task.entry.shows)


def _pieces(drawing: Drawing, task: Task) -> list[FinishedPiece]:
    if task.entry.round:
        return [round_of([finished_piece(drawing, name) for name in task.entry.pieces or (None,)])]
    return finished_pieces(drawing) if task.piece is None else [finished_piece(drawing, task.piece)]


def heading_of(task: Task, part: int, piece: str, output: str | None) -> Record:
    """Return the beginning of a record: what it is about, and where in the job it was asked for."""
    return {
        "task": task.number,
        "part": part,
        "line": task.entry.line,
        "drawing": task.drawing,
        "piece": piece,
        "output": output,
    }


def head_of(task: Task) -> Record:
    """Return the beginning of a record of a task whose pieces are not known."""
    return heading_of(task, 1, task.entry.name or task.piece or Path(task.drawing).stem, None)


def _failed(task: Task, error: Exception, start: float) -> Record:
    return failed_record(head_of(task), reason_of(error), time.perf_counter() - start)


def reason_of(error: Exception) -> str:
    """Return why a result could not be made, as a job file's reader is told."""
    if isinstance(error, PleatError):
        return error.message.on(in_job_file)
    if isinstance(error, (MemoryError, RecursionError)):
        return "The drawing is larger or deeper than this machine can hold. Save the piece alone and try again."
    words = " ".join(f"{type(error).__name__}: {error}".split())
    return (
        f"Something went wrong that should not have: {words}. Nothing was written for this piece. The drawing may be "
        "sound; please report it with the job file."
    )


def _cannot(output: str, error: OSError) -> OutputError:
    return OutputError(
        f"The output '{output}'",
        f"cannot be written ({error.strerror or error})",
        "",
        "Check the folder, its permissions and the room on the disk.",
    )
