"""The tasks of a batch, drawing by drawing; no result of theirs can overwrite another or a drawing."""

from __future__ import annotations

import contextlib
import errno
import glob
import hashlib
import json
import os
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from pathlib import Path

from pleatsvg import __version__
from pleatsvg.batch.account.earlier import earlier_in, regular_bytes
from pleatsvg.batch.jobfile.read import JobCompanion, JobFile, JobPiece
from pleatsvg.batch.output_names import safe_name, same_file_key
from pleatsvg.drawing.source import LARGEST_FILE
from pleatsvg.errors import JobError, OutputError, PleatError, RequestError, cut_short, listed, near_names
from pleatsvg.wholefile import kind_of


@dataclass(frozen=True, slots=True)
class Task:
    """One [[piece]] of the job on one drawing.

    Attributes:
        number: in the order of the job, from 1.
        entry: which [[piece]].
        drawing: its file name as the job file has it, for messages and the summary.
        piece: which piece of the drawing; None for all.
        others: the files of the pieces that go all round with it, in order.
    """

    number: int
    entry: JobPiece
    drawing: str
    piece: str | None
    others: tuple[str, ...] = ()


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
        inputs: device and number of every file that is read, none of which is written over.
        remarks: what is worth a word about the drawings, in sentences.
        folds: whether it is wanted where folds come to lie along pleated edges.
        companions: what is sewn to them, with the file of each, in the order of the job.
    """

    job: JobFile
    units: tuple[Unit, ...]
    others: tuple[Task, ...]
    folder: Path
    force: bool
    edges: bool
    program: str
    inputs: frozenset[tuple[int, int]]
    remarks: tuple[str, ...]
    folds: bool = False
    companions: tuple[tuple[JobCompanion, str], ...] = ()

    @property
    def first_companion(self) -> int:
        """The number of the first companion among the tasks, which come before it."""
        return 1 + max(
            [task.number for unit in self.units for task in unit.tasks] + [task.number for task in self.others]
        )

    @property
    def tasks(self) -> int:
        """How many tasks there are to do."""
        return sum([len(unit.tasks) for unit in self.units]) + len(self.companions)

    @property
    def read(self) -> tuple[str, ...]:
        """Every file that its results depend on: the job file, the drawings, and those of pieces that are sewn to them."""
        files = [os.fspath(self.job.path), *[file for unit in self.units for file in _read_for(unit)]]
        files += [file for _, file in self.companions]
        return tuple(dict.fromkeys(files))


def plan(job: JobFile, folder: Path, only: Iterable[str] = (), force: bool = False) -> Plan:
    """Return what there is to do.

    Args:
        job: as read.
        folder: for the results; it need not be there yet.
        only: names of pieces or drawings; () for all.
        force: write over what stands in the folder already.

    Raises:
        JobError: a drawing is not there, a pattern finds none, or two pieces would be written to one file.
        OutputError: the folder cannot be one.
        RequestError: a name in `only` is in no piece of the job.
    """
    files: dict[tuple[str, str | None, str], list[Task]] = {}
    number = 0
    try:
        folder = folder.resolve()
    except (OSError, ValueError, RuntimeError):  # in the place of a folder, a link to itself
        raise OutputError(
            f"The output folder '{folder}'", "cannot be found", "", "Check its name, or give another one with --out."
        ) from None
    finder = _Finder(job, folder)
    for entry in job.pieces:
        if entry.round:
            number += 1
            around = [found for one in entry.drawings for found in finder.drawings(replace(entry, drawings=(one,)))]
            file, shown = around[0]
            task = Task(number, entry, shown, None, tuple([other for other, _ in around[1:]]))
            files.setdefault((file, entry.drawing_unit, entry.shows), []).append(task)
            continue
        for file, shown in finder.drawings(entry):
            for piece in entry.pieces or (None,):
                number += 1
                files.setdefault((file, entry.drawing_unit, entry.shows), []).append(Task(number, entry, shown, piece))
    units = [Unit(key[0], tuple(tasks)) for key, tasks in files.items()]
    companions = tuple([(one, finder.file_of(*one.drawing)) for one in job.companions])
    _refuse_one_output_for_two(job, units, folder, companions)
    chosen = _only(units, tuple(only))
    taken = {task.number for unit in chosen for task in unit.tasks}
    others = tuple([task for unit in units for task in unit.tasks if task.number not in taken])
    return Plan(
        job=job,
        units=tuple(chosen),
        others=others,
        folder=folder,
        force=force,
        edges=bool(job.matches),
        program=program_digest(),
        inputs=frozenset(
            _numbers_of([job.path, *[file for unit in units for file in _read_for(unit)], *[f for _, f in companions]])
        ),
        remarks=finder.remarks,
        folds=bool(companions),
        companions=companions,
    )


def _read_for(unit: Unit) -> Iterator[str]:
    yield unit.file
    for task in unit.tasks:
        yield from task.others
    for onto in {task.entry.onto for task in unit.tasks if task.entry.onto is not None}:
        yield from neighbours_of(unit.file, onto)


def _numbers_of(files: Iterable[str | Path]) -> Iterator[tuple[int, int]]:
    for file in files:
        with contextlib.suppress(OSError, ValueError):
            found = os.stat(file)  # noqa: PTH116
            yield found.st_dev, found.st_ino


def neighbours_of(file: str | os.PathLike[str], onto: str) -> list[str]:
    """Return the files that may be meant by the drawing in "EDGE=DRAWING:EDGE", as far as they are there."""
    name = onto.partition("=")[2].strip()
    near = os.path.dirname(file)  # noqa: PTH120
    there = [os.path.join(near, one) for one in (name, name.rpartition(":")[0]) if one]  # noqa: PTH118
    return [one for one in there if os.path.isfile(one)]  # noqa: PTH113, never raises


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
    stem = task.entry.name if task.entry.round and task.entry.name else _stem(task.drawing)
    words = {"drawing": stem, "piece": piece, "number": str(task.number)}
    return safe_name(_BLANK.sub(lambda m: words[m[1]], pattern))


_BLANK = re.compile(r"\{(drawing|piece|number)\}")


def _stem(drawing: str) -> str:
    # Paths are strings here, since every drawing of a batch comes by several times.
    return os.path.splitext(drawing[drawing.rfind("/") + 1 :])[0]  # noqa: PTH122


class _Finder:
    # Finds the drawings of a job. Results are no drawings: what lies in the output folder is looked at closely.
    def __init__(self, job: JobFile, folder: Path) -> None:
        self.job = job
        self.folder = os.fspath(folder)
        self.base = os.fspath(job.path.absolute().parent.resolve())
        self.left_out: list[str] = []

    @property
    def remarks(self) -> tuple[str, ...]:
        """What is to be said of files that a pattern found and that are no drawings."""
        names = list(dict.fromkeys(self.left_out))
        if not names:
            return ()
        more = listed([f"'{cut_short(name)}'" for name in names], 3)
        one = len(names) == 1
        return (
            f"Left out, as {'a result' if one else 'results'} in the output folder: {more}. To pleat "
            f"{'it' if one else 'one'} once more, name it by itself.",
        )

    def drawings(self, entry: JobPiece) -> Iterator[tuple[str, str]]:
        """Yield each drawing of a [[piece]] once: where it lies, and its name as the job file has it."""
        met: set[str] = set()
        for pattern, line in entry.drawings:
            literal = os.path.join(self.base, pattern)  # noqa: PTH118, paths are strings here
            if os.path.isfile(literal):  # noqa: PTH113, never raises
                names = [pattern]
            elif re.search(r"[*?\[]", pattern):
                names = self._matching(pattern, line)
            else:
                raise self._not_there(pattern, literal, line)
            for name in names:
                file = os.path.normpath(os.path.join(self.base, name))  # noqa: PTH118
                if file not in met:
                    met.add(file)
                    yield file, name.replace(os.sep, "/")

    def file_of(self, name: str, line: int) -> str:
        """Return where a drawing lies that is named by itself."""
        literal = os.path.join(self.base, name)  # noqa: PTH118
        if not os.path.isfile(literal):  # noqa: PTH113
            raise self._not_there(name, literal, line)
        return os.path.normpath(literal)

    def _matching(self, pattern: str, line: int) -> list[str]:
        found: list[str] = []
        results = 0
        fixed = os.path.normpath(os.path.join(self.base, re.split(r"[^/]*[*?\[]", pattern)[0]))  # noqa: PTH118
        reaches_in = f"{fixed}{os.sep}".startswith(f"{self.folder}{os.sep}")
        for name in _glob(self.base, pattern):
            file = os.path.normpath(os.path.join(self.base, name))  # noqa: PTH118
            if not os.path.isfile(file):  # noqa: PTH113
                continue
            if os.path.dirname(file) == self.folder:  # noqa: PTH120
                is_result = self._is_result(file, name)
            else:  # a folder within the output folder is looked into where the pattern leads there itself
                is_result = not reaches_in and file.startswith(f"{self.folder}{os.sep}")
            results += is_result
            if not is_result:
                found.append(name)
        if found:
            return sorted(found, key=_as_counted)
        if results:
            raise self.job.refusal(
                line,
                f"pattern '{pattern}'",
                f"finds no drawing, only {results} {'result' if results == 1 else 'results'} in the output folder",
                "results are not taken for drawings",
                "Give another folder with --out, or name what is to be pleated once more.",
            )
        raise self.job.refusal(
            line,
            f"pattern '{pattern}'",
            "finds no drawing",
            f"drawings are looked for from the job file's own folder, '{os.path.basename(self.base)}'",  # noqa: PTH119
            "Check the folder and the ending.",
        )

    def _is_result(self, file: str, name: str) -> bool:
        # Whether a file in the output folder is what a batch, or another command of this program, has left there.
        data = regular_bytes(Path(file), LARGEST_FILE)
        if data is None or not any(mark in data for mark in _MARKS):
            return False
        if os.path.basename(file) not in self._recorded:  # noqa: PTH119
            self.left_out.append(name)
        return True

    @cached_property
    def _recorded(self) -> set[str]:
        return set(earlier_in(Path(self.folder)).written)

    def _not_there(self, pattern: str, literal: str, line: int) -> JobError:
        beside: list[str] = []
        try:
            measured = f"is {kind_of(os.stat(literal).st_mode)}"  # noqa: PTH116
        except (OSError, ValueError) as error:
            too_long = isinstance(error, OSError) and error.errno == errno.ENAMETOOLONG
            measured = "has a name that is too long for the disk" if too_long else "is not there"
        with contextlib.suppress(OSError, ValueError):
            names = os.listdir(os.path.dirname(literal))  # noqa: PTH120, PTH208
            beside = sorted([name for name in names if ".svg" in name.casefold()])
        wanted, holder = os.path.basename(literal), os.path.basename(os.path.dirname(literal))  # noqa: PTH119, PTH120
        return self.job.refusal(
            line,
            f"drawing '{pattern}'",
            measured,
            near_names(wanted, beside) if beside else f"no drawings lie in '{holder}'",
            "Write its name as seen from the job file's own folder.",
        )


_MARKS = (b"data-fold-back-mm", b"folded-heading")
"""What every result holds, and every folded picture; an editor that saves them keeps both."""


def _glob(base: str, pattern: str) -> list[str]:
    # Names are those of `glob`; every folder is looked into once for "**", however many links lead there.
    steps = pattern.split("/")
    if "**" not in steps:
        try:
            return glob.glob(pattern, root_dir=base)  # noqa: PTH207, names as written are wanted
        except ValueError:  # no name can hold a character 0
            return []
    at = steps.index("**")
    rest = "/".join([step for step in steps[at + 1 :] if step]) or "*"
    seen: set[tuple[int, int]] = set()
    found: list[str] = []
    for head in _glob(base, "/".join(steps[:at])) if at else [""]:
        todo = [head]
        while todo:
            name = todo.pop()
            folder = os.path.join(base, name)  # noqa: PTH118
            here = set(_numbers_of([folder]))
            if not here or here <= seen:
                continue
            seen |= here
            found += [os.path.join(name, one) for one in _glob(folder, rest)]  # noqa: PTH118
            with contextlib.suppress(OSError), os.scandir(folder) as entries:
                inner = sorted([(not e.is_symlink(), e.name) for e in entries if e.name[0] != "." and e.is_dir()])
                todo += [os.path.join(name, one) for _, one in inner]  # noqa: PTH118
    return found


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


def companion_output(companion: JobCompanion) -> str:
    """Return the file name of a companion's result."""
    return safe_name(f"{companion.asked.name}-notched" if companion.output is None else companion.output[0])


def _refuse_companion_output(
    job: JobFile, one: JobCompanion, met: dict[str, str], folder: Path, drawings: set[str]
) -> None:
    name = companion_output(one)
    key = same_file_key(name)
    other = met.get(key)
    is_drawing = same_file_key(str(folder / name)) in drawings
    if other is not None or is_drawing:
        raise job.refusal(
            one.output[1] if one.output is not None else one.line,
            f"output '{name}'",
            "is a drawing of this job" if is_drawing else f"would be written by {other} as well",
            "each result has a file of its own; capitals do not tell two names apart",
            f'Give the companion another output, such as output = "{one.asked.name}-2".',
        )
    met[key] = f"companion '{one.asked.name}'"


def _refuse_one_output_for_two(
    job: JobFile, units: list[Unit], folder: Path, companions: Sequence[tuple[JobCompanion, str]] = ()
) -> None:
    # A task that names its piece has one output, known now. Of one that takes all pieces of a drawing only the
    # beginning is known, and the drawing is opened only where another output begins like it.
    fixed: dict[str, Task] = {}
    open_ended: list[tuple[str, Unit, Task]] = []
    drawings = {same_file_key(file) for file in [*[unit.file for unit in units], *[file for _, file in companions]]}
    for unit in units:
        for task in unit.tasks:
            beginning = _beginning(task)
            if beginning is not None:
                open_ended.append((beginning, unit, task))
            else:
                _claim(job, fixed, task, output_of(task, task.piece or "", False), folder, drawings)
    met = {key: f"{task.drawing} (line {task.entry.line})" for key, task in fixed.items()}
    for companion, _ in companions:
        _refuse_companion_output(job, companion, met, folder, drawings)
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


@cache
def program_digest() -> str:
    """Return a digest of the program's version and its own source files: what it makes of a drawing may change with them.

    Once for a process, which goes on as it was started.
    """
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
        for one in neighbours_of(file, entry.onto):
            with contextlib.suppress(OSError):
                depends_on.append(hashlib.sha256(Path(one).read_bytes()).hexdigest())
        depends_on.append(entry.onto)
    for other in task.others:
        with contextlib.suppress(OSError):
            depends_on.append(hashlib.sha256(Path(other).read_bytes()).hexdigest())
    numbered = task.number if pattern is not None and "{number}" in pattern else 0
    return _in_json([*depends_on, pattern, numbered]).encode(errors="surrogatepass")


_in_json = json.JSONEncoder(sort_keys=True, default=str).encode
