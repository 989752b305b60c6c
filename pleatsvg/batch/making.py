"""Making the pieces of one drawing: what a worker does, over and over."""

from __future__ import annotations

import hashlib
import json
import os
import stat
import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from pleatsvg.api import continue_onto
from pleatsvg.batch.output_names import same_file_key
from pleatsvg.batch.record import Record, failed_record, heading_of, made_record
from pleatsvg.batch.tasks import Plan, Task, Unit, options_digest, output_of
from pleatsvg.batch.to_disk import DiskWriter
from pleatsvg.drawing.drawn import Drawing
from pleatsvg.drawing.read import drawing_from
from pleatsvg.drawing.source import bytes_of
from pleatsvg.errors import OutputError, PleatError
from pleatsvg.job import pleat_piece
from pleatsvg.length import parse_length
from pleatsvg.order.options import in_job_file
from pleatsvg.piece.choose import finished_piece, finished_pieces
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.wording import option
from pleatsvg.writing.result import result_bytes

Before = Mapping[str, Sequence[bytes]]
"""Records of an earlier run by their digest, each as a line of JSON."""


Records = list[tuple[Record, bool]]
"""Records of results, and whether each was kept from an earlier run."""


Ending = Callable[[], None]
"""Waits until a result is in its place."""


class Making:
    """The results of one unit, some of which may still be on their way to the disk."""

    def __init__(self, pending: list[tuple[Record, bool, Ending | None]]) -> None:
        self._pending = pending

    @property
    def under_way(self) -> bool:
        """Whether the disk must be waited for."""
        return any(write is not None for _, _, write in self._pending)

    def made(self) -> Records:
        """Wait until all are written, and say what came of each."""
        return [
            (record, kept) if write is None else (_written(record, write), kept)
            for record, kept, write in self._pending
        ]


class Maker:
    """Makes the results of a plan, one drawing at a time.

    Where the disk is slow, results are written to it while the next drawing is worked out.
    """

    def __init__(self, plan: Plan, before: Before, written: Mapping[str, str]) -> None:
        """Prepare to make the results of a plan.

        Args:
            plan: of the batch.
            before: what an earlier run made, to be kept where nothing has changed; empty where it does not count.
            written: digests of the results of earlier runs by file name: what may be written over.
        """
        self.plan = plan
        self.before = before
        self.written = written
        self.disk = DiskWriter()

    def end_writing(self) -> None:
        """Wait until nothing is half written."""
        self.disk.end()

    def make(self, number: int) -> Making:
        """Make one unit's results and begin to write them."""
        return Making(self._pending(number))

    def _pending(self, number: int) -> list[tuple[Record, bool, Ending | None]]:
        unit = self.plan.units[number]
        start = time.perf_counter()
        file = Path(unit.file)
        try:
            data = bytes_of(file)
        except PleatError as error:
            return [(_failed(task, error, start), False, None) for task in unit.tasks]
        seen = hashlib.sha256(data).digest()
        found: list[tuple[Record, bool, Ending | None]] = []
        drawing: Drawing | None = None
        for task in unit.tasks:
            digest = hashlib.sha256(options_digest(task, self.plan.program, file) + seen).hexdigest()
            kept = self._kept(task, digest)
            if kept:
                found += [(record, True, None) for record in kept]
                continue
            start = time.perf_counter()
            try:
                if drawing is None:
                    drawing = _drawing(unit, file, data)
                pieces = [finished_piece(drawing, task.piece)] if task.piece is not None else finished_pieces(drawing)
            except PleatError as error:
                found.append((_failed(task, error, start), False, None))
                continue
            except Exception as error:
                found.append((failed_record(_head(task), _unforeseen(error), time.perf_counter() - start), False, None))
                continue
            found += [
                (record, False, write) for record, write in self._results(task, pieces, digest, start, file.parent)
            ]
        return found

    def _results(
        self, task: Task, pieces: list[FinishedPiece], digest: str, start: float, near: Path
    ) -> list[tuple[Record, Ending | None]]:
        outputs = [output_of(task, task.piece or piece.name, len(pieces) > 1) for piece in pieces]
        times = Counter([same_file_key(name) for name in outputs])
        records: list[tuple[Record, Ending | None]] = []
        for part, (piece, output) in enumerate(zip(pieces, outputs, strict=True), 1):
            called = task.entry.name if task.entry.name and len(pieces) == 1 else piece.name
            head = heading_of(task, part, called, output)
            try:
                if times[same_file_key(output)] > 1:
                    raise OutputError(
                        f"The output '{output}'",
                        f"would be written by {times[same_file_key(output)]} pieces of this drawing",
                        "each result has a file of its own; capitals do not tell two names apart",
                        'Give the pieces other names, or write output = "{drawing}-{piece}-pleated".',
                    )
                if task.entry.onto is not None:
                    piece = continue_onto(piece, task.entry.onto, near=near, drawing_unit=task.entry.drawing_unit)
                result = pleat_piece(piece, task.entry.order)
                made = result_bytes(result)
                sha256 = hashlib.sha256(made).hexdigest()
                write = self._begin_writing(output, made)
                end = time.perf_counter()
                records.append(
                    (made_record(head, result, digest, len(pieces), sha256, self.plan.edges, end - start), write)
                )
            except PleatError as error:
                records.append((failed_record(head, error.message.on(in_job_file), time.perf_counter() - start), None))
            except Exception as error:
                records.append((failed_record(head, _unforeseen(error), time.perf_counter() - start), None))
            start = time.perf_counter()
        return records

    def _kept(self, task: Task, digest: str) -> list[Record]:
        # What an earlier run made of the same bytes and the same order, if all of it still stands as it was written.
        before = [json.loads(line) for line in self.before.get(digest, ())]
        if not before or len(before) != before[0]["of"]:
            return []
        kept: list[Record] = []
        for record in before:
            output = str(record["output"])
            several = record["of"] > 1
            if self.plan.edges and "edges_mm" not in record:
                return []
            if output != output_of(task, task.piece or str(record["own_name"]), several):
                return []
            try:
                stands = _regular(self.plan.folder / output)
                if stands is None or hashlib.sha256(stands).hexdigest() != record["sha256"]:
                    return []
            except OSError:
                return []
            called = task.entry.name if task.entry.name and not several else str(record["own_name"])
            kept.append({**record, **heading_of(task, int(record["part"]), called, output)})
        return kept

    def _begin_writing(self, output: str, made: bytes) -> Ending | None:
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
            if (found.st_dev, found.st_ino) in self.plan.drawings:
                raise OutputError(
                    f"The output '{output}'",
                    "is a drawing of this job",
                    "a drawing is never written over",
                    "Give another --out.",
                )
            if stat.S_ISDIR(found.st_mode):
                raise OutputError(
                    f"The output '{output}'",
                    "is a folder",
                    "a result is one file",
                    "Move it away, or give another --out.",
                )
            try:
                stands = _regular(Path(target))
            except OSError as error:
                raise _cannot(output, error) from None
            if stands == made:
                return None
            known = stands is not None and self.written.get(output) == hashlib.sha256(stands).hexdigest()
            if not self.plan.force and not known:
                raise OutputError(
                    f"The output '{output}'",
                    "is there already and is not as an earlier batch left it",
                    "nothing is written over unasked",
                    "Move it away, or add --force.",
                )
        return self.disk.write(target, made)


def _written(record: Record, write: Ending) -> Record:
    # The record of a result whose writing was begun.
    try:
        write()
    except PleatError as error:
        head = {key: record[key] for key in ("task", "part", "line", "drawing", "piece", "output")}
        return failed_record(head, error.message.on(in_job_file), record["seconds"])
    return record


def _regular(file: Path) -> bytes | None:
    # The bytes of a plain file; a link is not followed.
    try:
        if not stat.S_ISREG(file.lstat().st_mode):
            return None
    except FileNotFoundError:
        return None
    return file.read_bytes()


def _drawing(unit: Unit, file: Path, data: bytes) -> Drawing:
    entry = unit.tasks[0].entry
    scale = parse_length(entry.drawing_unit, option("drawing_unit")) if entry.drawing_unit is not None else None
    return replace(drawing_from(data, file.name, scale, entry.shows == "wrong"), file=os.fspath(file))


def _head(task: Task) -> Record:
    return heading_of(task, 1, task.entry.name or task.piece or Path(task.drawing).stem, None)


def _failed(task: Task, error: PleatError, start: float) -> Record:
    return failed_record(_head(task), error.message.on(in_job_file), time.perf_counter() - start)


def _cannot(output: str, error: OSError) -> OutputError:
    return OutputError(
        f"The output '{output}'",
        f"cannot be written ({error.strerror or error})",
        "",
        "Check the folder, its permissions and the room on the disk.",
    )


def _unforeseen(error: Exception) -> str:
    if isinstance(error, (MemoryError, RecursionError)):
        return "The drawing is larger or deeper than this machine can hold. Save the piece alone and try again."
    words = " ".join(f"{type(error).__name__}: {error}".split())
    return (
        f"Something went wrong that should not have: {words}. Nothing was written for this piece. The drawing may be "
        "sound; please report it with the job file."
    )
