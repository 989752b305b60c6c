"""The job file: what is asked for on which pieces, every key known and every value of the right kind.

The keys are the long options of `pleat` with underscores. They and their values are those of the table of options, so
that an option has its key as soon as it has a row. A fault is named with its line, before any drawing is opened.
"""

from __future__ import annotations

import re
import stat
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from pathlib import Path
from typing import Any, NoReturn

from pleatsvg.batch.jobfile.bounds import refuse_beyond_bounds
from pleatsvg.batch.jobfile.toml_lines import TomlPath, lines_of
from pleatsvg.errors import JobError, RequestError, near_names
from pleatsvg.length import parse_length
from pleatsvg.order.companion_order import COMPANION_OPTIONS, CompanionOrder, length_beyond, start_from
from pleatsvg.order.given import is_amount, is_nothing
from pleatsvg.order.options import (
    OPTIONS,
    PIECE_OPTIONS,
    PLEAT_OPTIONS,
    ROWS,
    Of,
    Option,
    Value,
    as_listed,
    in_job_file,
    names_of,
)
from pleatsvg.order.piece_order import Order, piece_order
from pleatsvg.order.pleat_order import Remark
from pleatsvg.tolerance import MATCH
from pleatsvg.wording import Named, option, shown

LARGEST_JOB = 4 * 2**20
"""Bytes. A piece takes some hundred of them."""


LARGEST_NUMBER = 10**9
"""Of whatever is counted, as on the command line."""


FIELDS = ("drawing", "piece", "number")
"""What an output's name can be put together from."""


_INSTEAD = tuple([(row.instead_of, row.name) for row in ROWS if row.instead_of])
"""Pairs of options that exclude each other: where a piece gives one of them, [defaults] counts for neither."""


_READING = names_of(Of.READING)


_OF_PIECE = ("drawing", "name", "output", *names_of(Of.CHOICE), *_READING, *PIECE_OPTIONS)


_OF_RING = tuple([name for name in _OF_PIECE if name != "continue"])


SEWN = "left side=right side"
"""The sides by which pieces go round, unless a [[ring]] says otherwise."""


_OF_DEFAULTS = ("output", *_READING, *PIECE_OPTIONS, *PLEAT_OPTIONS)


_OF_MATCH = ("name", "first", "second", "length", "tolerance")


_OF_COMPANION = (
    "name",
    "drawing",
    "piece",
    "edge",
    "sewn_to",
    "from",
    "beyond",
    "tolerance",
    "output",
    *_READING,
    *COMPANION_OPTIONS,
)


_NEEDED = (("name", "waistband"), ("drawing", "waistband.svg"), ("edge", "hem"), ("sewn_to", "skirt front: top"))
"""Keys without which a companion is none, each with an example."""


_OWN_LENGTHS = ("length", "tolerance", "from", "beyond")


_OWN_LISTS = ("drawing", "piece", "first", "second", "sewn_to")
"""Keys beside the options that take one text or many; a drawing may hold several pieces."""


_TABLES = ("defaults", "piece", "ring", "match", "companion")


@dataclass(frozen=True, slots=True)
class JobPiece:
    """One [[piece]] of a job file, or one [[ring]], with what [defaults] adds to it.

    Attributes:
        line: of its heading in the job file.
        drawings: file names and patterns, each with its line.
        pieces: names of the pieces on the drawing; () for all of them.
        name: what it is called in this job, or None.
        output: the pattern of its results' names and its line, or None.
        drawing_unit, shows: cf. `pleatsvg.api.read`.
        options: of the piece as a whole, as typed.
        pleats: for each run of pleats that are alike, its options as typed.
        order: all of it, checked.
        onto: the edge and the drawing of a piece that is sewn to it; cf. `pleatsvg.api.continue_onto`.
        round: whether its drawings, in order from left to right, go all round together; cf. `pleatsvg.api.round_of`.
    """

    line: int
    drawings: tuple[tuple[str, int], ...]
    pieces: tuple[str, ...]
    name: str | None
    output: tuple[str, int] | None
    drawing_unit: str | None
    shows: str
    options: Mapping[str, Any]
    pleats: tuple[Mapping[str, Any], ...]
    order: Order
    onto: str | None = None
    round: bool = False


@dataclass(frozen=True, slots=True)
class EdgeOf:
    """A seam edge of a piece, as the job file names the two."""

    piece: str
    edge: str

    def __str__(self) -> str:
        return f"{self.piece}: {self.edge}"


@dataclass(frozen=True, slots=True)
class JobMatch:
    """Edges that are to be sewn to one another, or to come to a length.

    Attributes:
        line: of its heading in the job file.
        name: what it is called, or "".
        first: edges, their lengths added up.
        second: the edges that they are sewn to; () where a length is given.
        length_mm: the length that they come to, or None.
        tolerance_mm: how far the two may differ.
        unit: of lengths in words.
    """

    line: int
    name: str
    first: tuple[EdgeOf, ...]
    second: tuple[EdgeOf, ...]
    length_mm: float | None
    tolerance_mm: float
    unit: str


@dataclass(frozen=True, slots=True)
class JobCompanion:
    """A companion: what is sewn to pleated edges of the job's pieces.

    Attributes:
        line: of its heading in the job file.
        drawing: its file name, with its line.
        piece: which piece of the drawing, where it holds several.
        drawing_unit, shows: cf. `pleatsvg.api.read`.
        asked: what is sewn where.
        sewn_to: the pleated edges in the order of sewing; an edge "" is the one on which the pleats begin.
        output: the name of its result, without its ending, or None; with its line.
        options: of it as a piece, as typed.
        order: the same, checked.
    """

    line: int
    drawing: tuple[str, int]
    piece: str | None
    drawing_unit: str | None
    shows: str
    asked: CompanionOrder
    sewn_to: tuple[EdgeOf, ...]
    output: tuple[str, int] | None
    options: Mapping[str, Any]
    order: Order


@dataclass(frozen=True, slots=True)
class JobFile:
    """A job file as read; `name` is what messages call it."""

    path: Path
    name: str
    pieces: tuple[JobPiece, ...]
    matches: tuple[JobMatch, ...]
    companions: tuple[JobCompanion, ...] = ()

    def refusal(self, line: int, element: str, measured: str, limit: str, remedy: str) -> JobError:
        """Return a refusal that points to a line of this file."""
        return JobError(f"{self.name}, line {line}: {element}", measured, limit, remedy)


def read_job(path: Path) -> JobFile:
    """Read a job file.

    Raises:
        JobError: it is not there, is no TOML, holds what is not known, or asks for what cannot be.
    """
    name = path.name or str(path)
    text = _text(path, f"Job file '{name}'")
    refuse_beyond_bounds(text, name)
    try:
        data = tomllib.loads(text)
        lines = lines_of(text)
    except tomllib.TOMLDecodeError as error:
        raise _no_toml(error, name, text) from None
    except ValueError:  # Python reads no number of more digits
        found = re.search(r"[0-9_]{4000}", text)
        line = text[: found.start() if found else 0].count("\n") + 1
        raise JobError(
            f"{name}, line {line}", "holds a number of thousands of digits", "", "Check what is meant."
        ) from None
    except RecursionError:
        raise JobError(
            f"Job file '{name}'",
            "has brackets nested too deep to read",
            "a list here holds names or lengths",
            "Take the inner brackets out.",
        ) from None
    return _Reader(name, data, lines).job(path)


def _text(path: Path, subject: str) -> str:
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            raise JobError(subject, "is not a file", "a job file is a text in TOML", "Give the file itself.")
        size = found.st_size
        if size > LARGEST_JOB:
            raise JobError(
                subject,
                f"holds {size / 2**20:.1f} million bytes",
                f"job files of up to {LARGEST_JOB // 2**20} million bytes are read",
                "Use patterns such as 'sizes/*.svg', or part the job.",
            )
        data = path.read_bytes()
    except (FileNotFoundError, NotADirectoryError, ValueError):
        raise JobError(
            subject, "is not there", "", "Check the name, or have one written: pleatsvg batch --new FOLDER."
        ) from None
    except OSError as error:
        raise JobError(
            subject, f"cannot be read ({error.strerror or error})", "", "Check the file and its permissions."
        ) from None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise JobError(
            subject,
            f"is not written in UTF-8 (line {line})",
            "TOML is always UTF-8",
            "Save it again with that encoding.",
        ) from None


_PLAIN_FAULTS = (
    ("Cannot overwrite", "says the same key twice, or a table where a key stands already", "Keep one of the two."),
    ("Cannot declare", "names a table twice", "Keep one of the two; many pieces are written as [[piece]]."),
    ("Cannot mutate", "names a table twice", "Keep one of the two; many pieces are written as [[piece]]."),
    ("Unterminated string", "has a text without its closing quote", "Put texts between two straight quotes."),
    (
        "Illegal character",
        "has a text without its closing quote, or a sign that cannot be seen",
        "Put texts between two straight quotes.",
    ),
    ("Unescaped '\\'", "has a single backslash in a text", "Write folders with / in them: sizes/front.svg."),
    ("Unclosed array", "has a list without its closing bracket", 'Write lists as ["slash 1", "slash 2"].'),
)


def _no_toml(error: tomllib.TOMLDecodeError, name: str, text: str) -> JobError:
    words = str(error)
    rows = text.replace("\r\n", "\n").split("\n")
    found = re.search(r"at line (\d+)", words)
    number = int(found[1]) if found else len(text.rstrip().split("\n"))
    row = rows[min(number, len(rows)) - 1].strip()
    shown = row if len(row) <= 60 else f"{row[:60]}..."
    shown = "".join([letter if letter.isprintable() else "?" for letter in shown])
    otherwise = (
        "is not TOML",
        'A key, an equals sign and a value stand on each line, and texts in straight quotes: intake = "6cm".',
    )
    measured, remedy = next((plain for start, *plain in _PLAIN_FAULTS if words.startswith(start)), otherwise)
    return JobError(f"{name}, line {number}", f"{measured}: {shown}" if shown else measured, "", remedy)


class _Reader:
    def __init__(self, name: str, data: dict[str, Any], lines: dict[TomlPath, int]) -> None:
        self.name = name
        self.data = data
        self.lines = lines

    def line(self, *path: str | int) -> int:
        """Return the line of a path, or of the nearest table around it that has one."""
        while path not in self.lines:
            path = path[:-1]
        return self.lines[path]

    def refuse(self, path: TomlPath, element: str, measured: str, limit: str, remedy: str) -> NoReturn:
        raise JobError(f"{self.name}, line {self.line(*path)}: {element}", measured, limit, remedy) from None

    def job(self, path: Path) -> JobFile:
        self._known(self.data, (), _TABLES, "a job file")
        defaults = self.data.get("defaults", {})
        if not isinstance(defaults, dict):
            self.refuse(
                ("defaults",), "'defaults'", "is not a table", "there is one, for all pieces", "Write [defaults]."
            )
        self._known(defaults, ("defaults",), _OF_DEFAULTS, "[defaults]")
        for key in defaults:
            self._kind(("defaults", key), key, defaults[key])
        tables = self._tables("piece")
        rings = self._tables("ring")
        if not tables and not rings:
            self.refuse(
                (),
                "it",
                "asks for no piece",
                "every drawing to be pleated has a [[piece]] of its own or a pattern",
                'Write [[piece]] and under it drawing = "front.svg".',
            )
        pieces = tuple(
            [self._piece("piece", number, table, defaults) for number, table in enumerate(tables)]
            + [self._piece("ring", number, table, defaults) for number, table in enumerate(rings)]
        )
        matches = tuple([self._match(number, table) for number, table in enumerate(self._tables("match"))])
        companions = tuple(
            [self._companion(number, table, defaults) for number, table in enumerate(self._tables("companion"))]
        )
        self._refuse_same_names(companions)
        return JobFile(path, self.name, pieces, matches, companions)

    def _tables(self, name: str, *around: str | int, holder: Mapping[str, Any] | None = None) -> list[dict[str, Any]]:
        found = (self.data if holder is None else holder).get(name, [])
        shown = ".".join([*[word for word in around if isinstance(word, str)], name])
        if not isinstance(found, list) or not all(isinstance(one, dict) for one in found):
            self.refuse(
                (*around, name),
                f"'{shown}'",
                "is not a list of tables",
                "there can be many, so it stands in two pairs of brackets",
                f"Write [[{shown}]].",
            )
        return found

    def _known(self, table: Mapping[str, Any], path: TomlPath, known: tuple[str, ...], where: str) -> None:
        for key in table:
            if key not in known:
                elsewhere = next(
                    (
                        f"it belongs in {place}"
                        for place, keys in (
                            ("[[piece]]", (*_OF_PIECE, *PLEAT_OPTIONS, "pleat")),
                            ("[[ring]]", (*_OF_RING, *PLEAT_OPTIONS, "pleat")),
                            ("[defaults]", _OF_DEFAULTS),
                            ("[[match]]", _OF_MATCH),
                            ("[[companion]]", _OF_COMPANION),
                        )
                        if key in keys and keys is not known
                    ),
                    None,
                )
                self.refuse(
                    (*path, key),
                    f"key '{key}'",
                    f"is not known in {where}",
                    elsewhere or near_names(key, get_close_matches(key, known, n=1) or list(known)),
                    "Correct it, or take the line out.",
                )

    def _kind(self, path: TomlPath, key: str, value: Any) -> Any:
        """Return a value as its option takes it; refuse it where its TOML type cannot be right."""
        row = OPTIONS.get(key)
        takes = row.value if row is not None else Value.TEXT
        if takes is Value.FLAG:
            if not isinstance(value, bool):
                self.refuse(path, f"key '{key}'", f"is {_shown(value)}", "it is true or false", "Write one of the two.")
        elif takes is Value.NUMBER:
            if not isinstance(value, int) or isinstance(value, bool):
                self.refuse(
                    path,
                    f"key '{key}'",
                    f"is {_shown(value)}",
                    "it is a whole number, without quotes",
                    f"Write {in_job_file(Named(key, 7))}.",
                )
            if abs(value) > LARGEST_NUMBER:
                self.refuse(path, f"key '{key}'", f"is {_shown(value)}", "it counts something", "Check what is meant.")
        elif takes is Value.AMOUNT:
            if not is_amount(value):
                self.refuse(
                    path,
                    f"key '{key}'",
                    f"is {_shown(value)}",
                    "it is a number, without quotes",
                    f"Write {in_job_file(Named(key, 2))}.",
                )
        elif takes is Value.EDGES and isinstance(value, dict):
            for name, one in value.items():
                if not (isinstance(one, str) or is_nothing(one)):
                    self._no_text((*path, name), name, one)
        elif key in _OWN_LISTS or (row is not None and row.many):
            value = (value,) if isinstance(value, str) or self._as_typed(row, value) else value
            if not isinstance(value, (list, tuple)):
                self._no_text(path, key, value)
            for number, one in enumerate(value):
                if not (isinstance(one, str) or self._as_typed(row, one)):
                    self._no_text((*path, number), key, one)
            value = tuple(map(str, value))
            if key in _OWN_LISTS and not (value and all(one.strip() for one in value)):
                empty = "an empty text" if value else "an empty list"
                self.refuse(path, f"key '{key}'", f"is {empty}", "it is to name something", "Fill it in.")
        elif isinstance(value, list):
            self.refuse(path, f"key '{key}'", "is a list", "it takes one value", "Take the brackets away.")
        elif self._as_typed(row, value):
            return str(value)
        elif not isinstance(value, str):
            self._no_text(path, key, value)
        return value

    @staticmethod
    def _as_typed(row: Option | None, value: object) -> bool:
        # A 0 is as long in every unit, and a line may be called by its number.
        if row is None or isinstance(value, bool):
            return False
        if row.value in (Value.LENGTH, Value.EDGES):
            return is_nothing(value)
        return row.name == "slash" and isinstance(value, int)

    def _no_text(self, path: TomlPath, key: str, value: Any) -> NoReturn:
        number = isinstance(value, (int, float)) and not isinstance(value, bool)
        row = OPTIONS.get(key)
        takes_length = key in _OWN_LENGTHS if row is None else row.value in (Value.LENGTH, Value.EDGES)
        length = number and takes_length
        self.refuse(
            path,
            f"key '{key}'",
            f"is {_shown(value)}{', without a unit' if length else ''}",
            "millimetres, centimetres or inches could be meant" if length else "a text in quotes belongs here",
            f'Write it as {key} = "6cm", "60mm" or "2 1/2in".' if length else "Put it in straight quotes.",
        )

    def _piece(self, kind: str, number: int, table: dict[str, Any], defaults: Mapping[str, Any]) -> JobPiece:
        at: TomlPath = (kind, number)
        of_table = _OF_PIECE if kind == "piece" else _OF_RING
        self._known(table, at, (*of_table, *PLEAT_OPTIONS, "pleat"), f"[[{kind}]]")
        runs = self._tables("pleat", *at, holder=table)
        for k, run in enumerate(runs):
            self._known(run, (*at, "pleat", k), PLEAT_OPTIONS, f"[[{kind}.pleat]]")
        if "drawing" not in table:
            remedy = 'Write drawing = "front.svg", or a pattern, under it.'
            if kind == "ring":
                remedy = 'Write drawing = ["front.svg", "back.svg"] under it, in order from left to right.'
            self.refuse(at, f"[[{kind}]]", "names no drawing", "", remedy)
        own = {key: self._kind((*at, key), key, value) for key, value in table.items() if key != "pleat"}
        if kind == "ring" and "piece" in own and len(own["drawing"]) > 1:
            self.refuse(
                (*at, "piece"),
                "[[ring]]",
                f"names pieces, and {len(own['drawing'])} drawings",
                "its pieces are each on a drawing by itself, or all on one",
                "Keep one drawing, or leave out the names of pieces.",
            )
        given = {key: ("defaults", key) for key in defaults} | {key: (*at, key) for key in own}
        below = {key: self._kind(("defaults", key), key, value) for key, value in defaults.items()}
        common = _laid_over(below, own)
        options = {key: value for key, value in common.items() if key in PIECE_OPTIONS}
        if kind == "ring":
            options.setdefault("ring", SEWN)
        finish = {key: value for key, value in options.items() if key in ("finish_to", "balance", "pivot")}
        pleats: list[dict[str, Any]] = []
        idle: set[Remark] = set()
        worth_a_word: set[Remark] = set()
        for k, run in enumerate(runs or [{}]):
            here = (*at, "pleat", k)
            typed = {key: self._kind((*here, key), key, value) for key, value in run.items()}
            run_options = _laid_over({key: value for key, value in common.items() if key in PLEAT_OPTIONS}, typed)
            pleats.append(run_options)
            places = given | {key: (*here, key) for key in typed}
            for remark in self._order_of([run_options], finish, places, here if runs else at).remarks:
                # What plays no part is worth a word only where the person asked for it on this very piece.
                (worth_a_word if remark.option in {*own, *typed} else idle).add(remark)
        made = self._order_of(pleats, options, given, at)
        made = replace(made, remarks=tuple([r for r in made.remarks if r not in idle - worth_a_word]))
        said = common.get("shows", "right")
        shows = as_listed(said, OPTIONS["shows"].words)
        if shows is None:
            self.refuse(
                given["shows"],
                "'shows'",
                f"is '{said}'",
                "a drawing shows the right or the wrong side",
                "Give right or wrong.",
            )
        unit = common.get("drawing_unit")
        if unit is not None:
            try:
                parse_length(unit, option("drawing_unit"))
            except RequestError as error:
                self._pass_on(error, given["drawing_unit"])
        output = common.get("output")
        if output is not None:
            self._pattern(output, given["output"])
        return JobPiece(
            line=self.line(*at),
            drawings=tuple([(one, self.line(*at, "drawing", k)) for k, one in enumerate(own["drawing"])]),
            pieces=own.get("piece", ()),
            name=own.get("name"),
            output=None if output is None else (output, self.line(*given["output"])),
            drawing_unit=unit,
            shows=shows,
            options=options,
            pleats=tuple(pleats),
            order=made,
            onto=own.get("continue"),
            round=kind == "ring",
        )

    def _order_of(
        self,
        pleats: list[dict[str, Any]],
        options: Mapping[str, Any],
        places: Mapping[str, TomlPath],
        around: TomlPath,
    ) -> Order:
        # A refusal knows which options it is about; the line is that of the first one that is given here.
        try:
            return piece_order(pleats, options)
        except RequestError as error:
            named = [places[name] for name in error.about if name in places]
            self._pass_on(error, named[0] if named else around)

    def _pass_on(self, error: RequestError, path: TomlPath) -> NoReturn:
        parts = (error.element, error.measured, error.limit, error.remedy)
        element, measured, limit, remedy = [shown(part, in_job_file) for part in parts]
        self.refuse(path, element, measured, limit, remedy)

    def _pattern(self, pattern: str, path: TomlPath) -> None:
        if re.search(r"[/\\]", pattern):
            self.refuse(
                path,
                "'output'",
                f"is '{pattern}', which leads to another folder",
                "all results lie in the output folder itself",
                "Give a file name, and the folder with --out.",
            )
        for field in re.findall(r"\{([^{}]*)\}", pattern):
            if field not in FIELDS:
                self.refuse(
                    path,
                    "'output'",
                    f"holds '{{{field}}}'",
                    near_names(field, list(FIELDS)),
                    'Write it as "{drawing}-{piece}-pleated".',
                )

    def _match(self, number: int, table: dict[str, Any]) -> JobMatch:
        at: TomlPath = ("match", number)
        self._known(table, at, _OF_MATCH, "[[match]]")
        values = {key: self._kind((*at, key), key, value) for key, value in table.items()}
        if "first" not in values or ("second" in values) == ("length" in values):
            self.refuse(
                at,
                "[[match]]",
                f"holds {', '.join(values) or 'nothing'}",
                "it needs 'first', and either 'second' or 'length'",
                'Write first = "skirt front: right side" and second = "skirt back: left side", or length = "72cm".',
            )
        lengths = {}
        for key in ("length", "tolerance"):
            if key in values:
                try:
                    lengths[key] = parse_length(values[key], f"'{key}'")
                except RequestError as error:
                    self._pass_on(error, (*at, key))
                if lengths[key].mm < 0:
                    self.refuse((*at, key), f"'{key}'", f"is {lengths[key]}", "", "Give a length of 0 or more.")
        return JobMatch(
            line=self.line(*at),
            name=values.get("name", ""),
            first=self._edges(values["first"], (*at, "first")),
            second=self._edges(values.get("second", ()), (*at, "second")),
            length_mm=lengths["length"].mm if "length" in lengths else None,
            tolerance_mm=lengths["tolerance"].mm if "tolerance" in lengths else MATCH,
            unit=next((length.unit for length in lengths.values()), "mm"),
        )

    def _companion(self, number: int, table: dict[str, Any], defaults: Mapping[str, Any]) -> JobCompanion:
        at: TomlPath = ("companion", number)
        self._known(table, at, _OF_COMPANION, "[[companion]]")
        own = {key: self._kind((*at, key), key, value) for key, value in table.items()}
        for key, example in _NEEDED:
            if key not in own:
                remedy = f'Write {key} = "{example}" under it.'
                self.refuse(at, "[[companion]]", f"says no {key}", "it is what is sewn on, and to what", remedy)
        for key in ("drawing", "piece"):
            if len(own.get(key, ())) > 1:
                self.refuse((*at, key), f"'{key}'", "names several", "a companion is one piece", "Write one for each.")
        given = {key: (*at, key) for key in own}
        common = {key: self._kind(("defaults", key), key, defaults[key]) for key in _READING if key in defaults} | own
        options = self._of_companion(defaults) | {key: own[key] for key in COMPANION_OPTIONS if key in own}
        order = self._order_of([], options, given, at)
        if common.get("shows", "right") not in ("right", "wrong"):
            limit = "a drawing shows the right or the wrong side"
            self.refuse((*at, "shows"), "'shows'", f"is '{common['shows']}'", limit, "Give right or wrong.")
        values: dict[str, Any] = {}
        for key, reads in (("from", start_from), ("beyond", length_beyond), ("tolerance", length_beyond)):
            if key in own:
                try:
                    values[key] = reads(own[key], f"'{key}'")
                except RequestError as error:
                    self._pass_on(error, (*at, key))
        asked = CompanionOrder(
            name=" ".join(own["name"].split()),
            edge=" ".join(own["edge"].split()),
            start=values.get("from"),
            beyond=values.get("beyond", 0.0),
            tolerance=values.get("tolerance", MATCH),
        )
        output = own.get("output")
        if output is not None and re.search(r"[/\\{}]", output):
            limit = "it is a file name in the output folder"
            self.refuse((*at, "output"), "'output'", f"is '{output}'", limit, "Give a file name.")
        return JobCompanion(
            line=self.line(*at),
            drawing=(own["drawing"][0], self.line(*at, "drawing", 0)),
            piece=own["piece"][0] if "piece" in own else None,
            drawing_unit=common.get("drawing_unit"),
            shows=common.get("shows", "right"),
            asked=asked,
            sewn_to=tuple([self._pleated_edge(word) for word in own["sewn_to"]]),
            output=None if output is None else (output, self.line(*at, "output")),
            options=options,
            order=order,
        )

    def _of_companion(self, defaults: Mapping[str, Any]) -> dict[str, Any]:
        # Of [defaults] what is said of every edge, and the kind of notch: a companion's hem is none of the pieces' hems.
        found: dict[str, Any] = {}
        said = (
            self._kind(("defaults", "allowance"), "allowance", defaults["allowance"]) if "allowance" in defaults else ()
        )
        everywhere = [value for value in ((said,) if isinstance(said, str) else said) if "=" not in value]
        if everywhere:
            found["allowance"] = tuple(everywhere)
            if "notch" in defaults:
                found["notch"] = self._kind(("defaults", "notch"), "notch", defaults["notch"])
        return found

    def _pleated_edge(self, word: str) -> EdgeOf:
        piece, colon, edge = word.rpartition(":")
        return EdgeOf(" ".join((piece if colon else word).split()), " ".join(edge.split()) if colon else "")

    def _refuse_same_names(self, companions: Sequence[JobCompanion]) -> None:
        met: dict[str, int] = {}
        for number, one in enumerate(companions):
            name = one.asked.name.casefold()
            if not name:
                self.refuse(
                    ("companion", number, "name"), "'name'", "is empty", "a companion is told by it", "Fill it in."
                )
            if name in met:
                self.refuse(
                    ("companion", number, "name"),
                    f"'{one.asked.name}'",
                    f"is the name of the companion in line {met[name]}, too",
                    "each is written under its own name",
                    "Call them apart.",
                )
            met[name] = one.line

    def _edges(self, words: Iterable[str], path: TomlPath) -> tuple[EdgeOf, ...]:
        found: list[EdgeOf] = []
        for number, word in enumerate(words):
            piece, colon, edge = word.rpartition(":")
            if not colon or not piece.strip() or not edge.strip():
                self.refuse(
                    (*path, number),
                    f"'{path[-1]}'",
                    f"is '{word}'",
                    "it names a piece and one of its edges, with a colon between",
                    'Write it as "skirt front: right side"; pleatsvg measure lists the edges of a drawing.',
                )
            found.append(EdgeOf(" ".join(piece.split()), " ".join(edge.split())))
        return tuple(found)


def _laid_over(below: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    hidden = {key for pair in _INSTEAD if any(key in own for key in pair) for key in pair}
    return {key: value for key, value in below.items() if key not in hidden} | dict(own)


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, int) and abs(value) > LARGEST_NUMBER:
        return f"a number of about {round(value.bit_length() * 0.30103)} digits"
    if isinstance(value, list):
        return "a list"
    text = f"'{value}'" if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else f"{text[:60]}..."
