"""The tasks of a batch, drawing by drawing; no result of theirs can overwrite another or a drawing."""

from __future__ import annotations

import glob
import hashlib
import json
import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from pleatsvg import __version__
from pleatsvg.batch.jobfile.read import JobFile, JobPiece
from pleatsvg.batch.output_names import safe_name, same_file_key
from pleatsvg.errors import PleatError, RequestError, near_names


@dataclass(frozen=True, slots=True)
class Task:
    """One [[piece]] of the job on one drawing.

    Attributes:
        number: in the order of the job, from 1.
        entry: which [[piece]].
        drawing: its file name as the job file has it, for messages and the summary.
        piece: which piece of the drawing; None for all.
    """

    number: int
    entry: JobPiece
    drawing: str
    piece: str | None


@dataclass(frozen=True, slots=True)
class Unit:
    """Everything asked for on one drawing, which is read once for it."""

    file: str
    tasks: tuple[Task, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """A batch before it runs.

    Attributes:
        job: the job file.
        units: in the order of the job; all of it, or what --only leaves.
        others: the tasks that --only leaves out.
        folder: the output folder.
        force: write over what stands in the folder already.
        edges: whether the lengths of seam edges are wanted.
        program: digest of the program's version and sources.
        drawings: device and number of every drawing's file, none of which is written over.
    """

    job: JobFile
    units: tuple[Unit, ...]
    others: tuple[Task, ...]
    folder: Path
    force: bool
    edges: bool
    program: str
    drawings: frozenset[tuple[int, int]]


def plan(job: JobFile, folder: Path, only: Iterable[str] = (), force: bool = False) -> Plan:
    """Return what there is to do.

    Args:
        job: as read.
        folder: for the results; it need not be there yet.
        only: names of pieces or drawings; () for all.
        force: write over what stands in the folder already.

    Raises:
        JobError: a drawing is not there, a pattern finds none, or two pieces would be written to one file.
        RequestError: a name in `only` is in no piece of the job.
    """
    files: dict[tuple[str, str | None, str], list[Task]] = {}
    number = 0
    folder = folder.resolve()
    for entry in job.pieces:
        for file, shown in _drawings(job, entry, folder):
            for piece in entry.pieces or (None,):
                number += 1
                files.setdefault((file, entry.drawing_unit, entry.shows), []).append(Task(number, entry, shown, piece))
    units = [Unit(key[0], tuple(tasks)) for key, tasks in files.items()]
    seen = frozenset([(found.st_dev, found.st_ino) for unit in units for found in [os.stat(unit.file)]])  # noqa: PTH116
    _refuse_one_output_for_two(job, units, folder)
    chosen = _only(units, tuple(only))
    taken = {task.number for unit in chosen for task in unit.tasks}
    others = tuple([task for unit in units for task in unit.tasks if task.number not in taken])
    return Plan(job, tuple(chosen), others, folder, force, bool(job.matches), program_digest(), seen)


def output_of(task: Task, piece: str, several: bool) -> str:
    """Return the file name of a result.

    Args:
        task: that makes it.
        piece: name of the piece.
        several: whether the task makes more than one.
    """
    if task.entry.output is not None:
        pattern = task.entry.output[0]
    else:
        pattern = "{drawing}-{piece}-pleated" if several or task.piece is not None else "{drawing}-pleated"
    words = {"drawing": _stem(task.drawing), "piece": piece, "number": str(task.number)}
    return safe_name(_BLANK.sub(lambda m: words[m[1]], pattern))


_BLANK = re.compile(r"\{(drawing|piece|number)\}")


def _stem(drawing: str) -> str:
    # Paths are strings here, since every drawing of a batch comes by several times.
    return os.path.splitext(drawing[drawing.rfind("/") + 1 :])[0]  # noqa: PTH122


def _drawings(job: JobFile, entry: JobPiece, folder: Path) -> Iterator[tuple[str, str]]:
    # Each drawing of a [[piece]] once: where it lies, and its name as the job file has it.
    base = job.path.absolute().parent.resolve()
    results = str(folder.resolve()) + os.sep
    met: set[str] = set()
    for pattern, line in entry.drawings:
        literal = base / pattern
        if literal.is_file():
            names = [pattern]
        elif re.search(r"[*?\[]", pattern):
            found = glob.glob(pattern, root_dir=base, recursive=True)  # noqa: PTH207, names as written are wanted
            lying = [(n, os.path.normpath(os.path.join(base, n))) for n in found]  # noqa: PTH118
            names = [n for n, file in lying if os.path.isfile(file) and not file.startswith(results)]  # noqa: PTH113
            names.sort(key=_as_counted)
            if not names:
                raise job.refusal(
                    line,
                    f"pattern '{pattern}'",
                    "finds no drawing",
                    f"drawings are looked for from the job file's own folder, '{base.name}'",
                    "Check the folder and the ending.",
                )
        else:
            measured = "is a folder" if literal.is_dir() else "is not there"
            beside = sorted(p.name for p in literal.parent.glob("*.svg*")) if literal.parent.is_dir() else []
            raise job.refusal(
                line,
                f"drawing '{pattern}'",
                measured,
                near_names(literal.name, beside) if beside else f"no drawings lie in '{literal.parent.name}'",
                "Write its name as seen from the job file's own folder.",
            )
        for name in names:
            file = os.path.normpath(os.path.join(base, name))  # noqa: PTH118
            if file not in met:
                met.add(file)
                yield file, name.replace(os.sep, "/")


def _as_counted(name: str) -> list[tuple[int, int, str]]:
    # size 8 before size 10
    return [(0, int(w), w) if w.isdecimal() and w.isascii() else (1, 0, w) for w in re.split(r"([0-9]+)", name) if w]


def _only(units: list[Unit], only: tuple[str, ...]) -> list[Unit]:
    if not only:
        return units
    wanted = {" ".join(name.split()).casefold() for name in only}
    chosen: list[Unit] = []
    met: set[str] = set()
    known: list[str] = []
    for unit in units:
        tasks = []
        for task in unit.tasks:
            names = [task.entry.name, task.piece, task.drawing, Path(task.drawing).name, Path(task.drawing).stem]
            called = {" ".join(name.split()).casefold() for name in names if name}
            known.append(task.entry.name or task.piece or Path(task.drawing).stem)
            if called & wanted:
                met |= called & wanted
                tasks.append(task)
        if tasks:
            chosen.append(Unit(unit.file, tuple(tasks)))
    for name in only:
        if " ".join(name.split()).casefold() not in met:
            raise RequestError(
                "--only",
                f"is '{name}'",
                near_names(name, known),
                "Give a name from the job file, a piece's name there or its drawing's file name.",
            )
    return chosen


def _refuse_one_output_for_two(job: JobFile, units: list[Unit], folder: Path) -> None:
    # A task that names its piece has one output, known now. Of one that takes all pieces of a drawing only the
    # beginning is known, and the drawing is opened only where another output begins like it.
    fixed: dict[str, Task] = {}
    open_ended: list[tuple[str, Unit, Task]] = []
    drawings = {same_file_key(unit.file) for unit in units}
    for unit in units:
        for task in unit.tasks:
            beginning = _beginning(task)
            if beginning is not None:
                open_ended.append((beginning, unit, task))
            else:
                _claim(job, fixed, task, output_of(task, task.piece or "", False), folder, drawings)
    if not open_ended:
        return
    rest = [(key, None, None) for key in fixed]
    row = sorted([*open_ended, *rest], key=lambda one: one[0])
    unsure: set[int] = set()
    stack: list[tuple[str, Unit | None, Task | None]] = []
    for one in row:
        while stack and not one[0].startswith(stack[-1][0]):
            stack.pop()
        if stack:  # those deeper in the stack were added when this one was pushed
            unsure |= {task.number for task in (stack[-1][2], one[2]) if task is not None}
        if one[2] is not None:
            stack.append(one)
    if unsure:
        for _, unit, task in open_ended:
            if task.number in unsure:
                for name in names_on(unit, task):
                    _claim(job, fixed, task, name, folder, drawings)


_SURE = 60
"""Letters of a name that are kept when a long name is cut short."""


def _beginning(task: Task) -> str | None:
    pattern = task.entry.output[0] if task.entry.output is not None else "{drawing}-{piece}"
    if task.piece is not None or (task.entry.output is not None and "{piece}" not in pattern):
        return None
    before = pattern.split("{piece}")[0]
    words = before.replace("{drawing}", _stem(task.drawing)).replace("{number}", str(task.number))
    return same_file_key(safe_name(words + "x")[: -len("x.svg")])[:_SURE]


def names_on(unit: Unit, task: Task) -> list[str]:
    """Return the outputs of a task that takes all pieces of its drawing; none where the drawing cannot be read."""
    from pleatsvg import api

    try:
        found = api.read_all(unit.file, drawing_unit=task.entry.drawing_unit, shows=task.entry.shows)
    except PleatError:
        return []
    return [output_of(task, piece.name, len(found) > 1) for piece in found]


def _claim(job: JobFile, fixed: dict[str, Task], task: Task, name: str, folder: Path, drawings: set[str]) -> None:
    key = same_file_key(name)
    other = fixed.get(key)
    if other is not None and other is not task:
        both = f"{other.drawing} (line {other.entry.line}) and {task.drawing} (line {task.entry.line})"
        raise job.refusal(
            task.entry.output[1] if task.entry.output is not None else task.entry.line,
            f"output '{name}'",
            f"would be written by two pieces: {both}",
            "each result has a file of its own; capitals do not tell two names apart",
            'Give one of them another output, such as output = "{drawing}-{piece}-{number}".',
        )
    if same_file_key(str(folder / name)) in drawings:
        raise job.refusal(
            task.entry.output[1] if task.entry.output is not None else task.entry.line,
            f"output '{name}'",
            "is a drawing of this job",
            "a drawing is never written over",
            "Give another output, or another folder with --out.",
        )
    fixed[key] = task


def program_digest() -> str:
    """Return a digest of the program's version and its own source files: what it makes of a drawing may change with them."""
    made = hashlib.sha256(__version__.encode())
    here = Path(__file__).parents[1]
    for source in sorted(here.rglob("*.py")):
        made.update(source.relative_to(here).as_posix().encode() + b"\0" + source.read_bytes())
    return made.hexdigest()


def options_digest(task: Task, program: str, file: str | os.PathLike[str]) -> bytes:
    """Return a digest of everything but the drawing's bytes that a task's results depend on."""
    entry = task.entry
    depends_on = [
        program,
        Path(task.drawing).name,
        task.piece,
        entry.drawing_unit,
        entry.shows,
        entry.options,
        entry.pleats,
    ]
    pattern = entry.output[0] if entry.output is not None else None
    if entry.onto is not None:
        # The neighbour's drawing counts, too; one that cannot be read is told when the piece is made.
        name = entry.onto.partition("=")[2].strip()
        near = Path(file).parent
        for one in (near / name, near / name.rpartition(":")[0]):
            if one.is_file():
                depends_on.append(hashlib.sha256(one.read_bytes()).hexdigest())
        depends_on.append(entry.onto)
    numbered = task.number if pattern is not None and "{number}" in pattern else 0
    return _in_json([*depends_on, pattern, numbered]).encode(errors="surrogatepass")


_in_json = json.JSONEncoder(sort_keys=True, default=str).encode
