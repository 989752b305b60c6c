"""Reading back the lines of a PDF from its own bytes: objects by the cross-reference table, streams, the operators of lines.

Read is what our own pages are made of (ISO 32000-1, sections 7.3, 7.5.4, 8.4, 8.5, 8.10): paths, clips, transforms, forms.
Words are passed over. What is not known is an error, so that nothing is taken as proven that was not read.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

from pleatsvg.drawing.affine import IDENTITY, Affine
from pleatsvg.errors import ProofError
from pleatsvg.geometry.segment import Box, Segment


class PaintedPath(NamedTuple):
    """A path as it was painted.

    Attributes:
        runs: its subpaths, in the units of the page or form, y up.
        closed: for each, whether it was closed.
        lined, filled: whether its line, its area is painted.
    """

    runs: tuple[tuple[Segment, ...], ...]
    closed: tuple[bool, ...]
    lined: bool
    filled: bool


class PaintedForm(NamedTuple):
    """A form as it was laid on a page: its name, from its units to the page's, and the clip that it was laid within."""

    name: str
    matrix: Affine
    clip: Box | None


@dataclass(frozen=True, slots=True)
class ReadPage:
    """A page: its size in points, the forms on it, its own paths."""

    width: float
    height: float
    forms: tuple[PaintedForm, ...]
    paths: tuple[PaintedPath, ...]


@dataclass(frozen=True, slots=True)
class ReadPdf:
    """A PDF as read back: pages in order, and the paths of every form by its name."""

    pages: tuple[ReadPage, ...]
    forms: dict[str, tuple[PaintedPath, ...]]
    scaling: str
    embedded: bool


class _Reference(NamedTuple):
    number: int


class _Name(str):
    pass


class _Word(str):
    pass


_TOKEN = re.compile(
    rb"\s*(?:%[^\r\n]*\s*)*(?:(?P<name>/[^\s()<>\[\]{}/%]*)|(?P<number>[-+]?(?:\d+\.?\d*|\.\d+))(?![^\s()<>\[\]{}/%])"
    rb"|(?P<open><<|\[)|(?P<close>>>|\])|(?P<hex><[0-9A-Fa-f\s]*>)|(?P<text>\()|(?P<word>[^\s()<>\[\]{}/%]+))"
)


def _tokens(data: bytes, at: int = 0) -> Iterator[tuple[Any, int]]:
    # Names, numbers, brackets, texts (as bytes), words; each with where it ends.
    while True:
        found = _TOKEN.match(data, at)
        if found is None:
            return
        at = found.end()
        kind = found.lastgroup
        text = found.group(kind or 0)
        if kind == "name":
            yield _Name(text[1:].decode("latin-1")), at
        elif kind == "number":
            yield (float(text) if b"." in text else int(text)), at
        elif kind == "text":
            depth, end = 1, at
            while depth and end < len(data):
                letter = data[end]
                end += 2 if letter == 0x5C else 1
                depth += (letter == 0x28) - (letter == 0x29)
            yield data[at : end - 1], end
            at = end
        elif kind == "hex":
            yield text, at
        else:
            yield _Word(text.decode("latin-1")), at


def _value(tokens: Iterator[tuple[Any, int]], first: Any = None) -> tuple[Any, int]:
    # One object: references are taken together as they come.
    token, end = next(tokens) if first is None else first
    if token != "<<" and token != "[":
        return token, end
    held: list[Any] = []
    while True:
        token, end = next(tokens)
        if isinstance(token, _Word) and token in (">>", "]"):
            break
        if isinstance(token, _Word) and token == "R":
            held.pop()
            held.append(_Reference(held.pop()))
        elif isinstance(token, _Word) and token in ("<<", "["):
            inner, end = _value(tokens, (token, end))
            held.append(inner)
        else:
            held.append(token)
    if token == "]":
        return held, end
    return dict(zip(held[::2], held[1::2], strict=True)), end


class _File:
    def __init__(self, data: bytes) -> None:
        self._data = data
        start = int(re.findall(rb"startxref\s+(\d+)", data)[-1])
        head = re.compile(rb"xref\s+0\s+(\d+)\s*").match(data, start)
        assert head is not None
        count, at = int(head[1]), head.end()
        rows = [data[at + 20 * k : at + 20 * (k + 1)] for k in range(count)]
        self._offsets = {k: int(row[:10]) for k, row in enumerate(rows) if row[17:18] == b"n"}
        trailer = re.compile(rb"\s*trailer\s*").match(data, at + 20 * count)
        assert trailer is not None
        self.trailer, _ = _value(_tokens(data, trailer.end()))

    def of(self, value: Any) -> Any:
        """Return what a reference stands for."""
        return self.object(value.number)[0] if isinstance(value, _Reference) else value

    def object(self, number: int) -> tuple[Any, bytes]:
        """Return an object and its stream."""
        tokens = _tokens(self._data, self._offsets[number])
        (own, _), (_, _), (word, end) = next(tokens), next(tokens), next(tokens)
        assert own == number
        assert word == "obj"
        value, end = _value(tokens)
        stream = re.compile(rb"\s*stream\r?\n").match(self._data, end)
        if stream is None or not isinstance(value, dict):
            return value, b""
        raw = self._data[stream.end() : stream.end() + int(self.of(value["Length"]))]
        for how in self.of(value.get("Filter", [])):
            if how != "FlateDecode":
                raise ValueError(f"a stream that is packed with {how}")
            raw = zlib.decompress(raw)
        return value, raw


def read_pdf(data: bytes) -> ReadPdf:
    """Return the lines of a PDF of ours.

    Args:
        data: its bytes.

    Raises:
        ProofError: something in it is not what we write.
    """
    try:
        return _read(data)
    except (ValueError, AssertionError, KeyError, IndexError, TypeError, StopIteration, zlib.error) as error:
        raise ProofError(
            "The pages",
            f"could not be read back ({type(error).__name__}: {error})",
            "only what was read back from the file's own bytes is written",
            "Please report it with the command you gave.",
        ) from None


def _read(data: bytes) -> ReadPdf:
    file = _File(data)
    root = file.of(file.trailer["Root"])
    preferences = file.of(root.get("ViewerPreferences", {}))
    pages: list[ReadPage] = []
    forms: dict[str, tuple[PaintedPath, ...]] = {}
    fonts: dict[int, bool] = {}
    for kid in file.of(root["Pages"])["Kids"]:
        page = file.of(kid)
        _, _, width, height = page["MediaBox"]
        resources = file.of(page["Resources"])
        names = {name: file.of(resources["XObject"])[name] for name in file.of(resources.get("XObject", {}))}
        contents = page["Contents"]
        parts = contents if isinstance(contents, list) else [contents]
        painted = _Reading()
        painted.run(b"\n".join([file.object(part.number)[1] for part in parts]))
        pages.append(ReadPage(float(width), float(height), tuple(painted.forms), tuple(painted.paths)))
        for name, reference in names.items():
            if name not in forms:
                form = _Reading()
                held, stream = file.object(reference.number)
                assert [float(n) for n in held["Matrix"]] == [1, 0, 0, 1, 0, 0]
                form.run(stream)
                assert not form.forms
                forms[name] = tuple(form.paths)
        for reference in file.of(resources.get("Font", {})).values():
            if reference.number not in fonts:
                font = file.of(reference)
                described = file.of(font.get("FontDescriptor", {}))
                fonts[reference.number] = "FontFile2" in described
    return ReadPdf(tuple(pages), forms, str(preferences.get("PrintScaling", "")), all(fonts.values()))


_PASSED_OVER = frozenset(
    re.findall(r"\S+", "w J j M d i gs RG rg G g K k Tf Tr TL Tc Tw Tz Ts T* Td TD Tj TJ Tm BT ET CS cs SC sc SCN scn")
)


class _Reading:
    # One stream of operators.
    def __init__(self) -> None:
        self.paths: list[PaintedPath] = []
        self.forms: list[PaintedForm] = []
        self._matrix = IDENTITY
        self._clip: Box | None = None
        self._kept: list[tuple[Affine, Box | None]] = []
        self._runs: list[list[Segment]] = []
        self._closed: list[bool] = []
        self._at = 0j
        self._clipping = False

    def run(self, data: bytes) -> None:
        """Follow the operators."""
        held: list[Any] = []
        tokens = _tokens(data)
        for token, end in tokens:
            if not isinstance(token, _Word):
                held.append(token)
            elif token in ("<<", "["):
                held.append(_value(tokens, (token, end))[0])
            else:
                self._operator(str(token), held)
                held = []
        assert not held
        assert not self._kept

    def _operator(self, name: str, held: list[Any]) -> None:
        if name in ("m", "l", "c", "re", "h"):
            self._construct(name, [float(n) for n in held])
        elif name in ("S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "n"):
            self._paint(name)
        elif name in ("W", "W*"):
            self._clipping = True
        elif name == "q":
            self._kept.append((self._matrix, self._clip))
        elif name == "Q":
            self._matrix, self._clip = self._kept.pop()
        elif name == "cm":
            self._matrix = self._matrix @ Affine(*[float(n) for n in held])
        elif name == "Do":
            self.forms.append(PaintedForm(str(held[0]), self._matrix, self._clip))
        elif name not in _PASSED_OVER:
            raise ValueError(f"the operator {name}")

    def _construct(self, name: str, n: list[float]) -> None:
        of = self._matrix.of
        if name == "m":
            (x, y) = n
            self._at = of(complex(x, y))
            self._runs.append([])
            self._closed.append(False)
        elif name == "re":
            x, y, w, h = n
            corners = [of(complex(a, b)) for a, b in ((x, y), (x + w, y), (x + w, y + h), (x, y + h))]
            self._runs.append([(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)])
            self._closed.append(True)
        elif name == "h":
            self._closed[-1] = True
        else:
            points = [of(complex(a, b)) for a, b in zip(n[::2], n[1::2], strict=True)]
            assert len(points) == (1 if name == "l" else 3)
            self._runs[-1].append((self._at, *points))
            self._at = points[-1]

    def _paint(self, name: str) -> None:
        runs = tuple([tuple(run) for run in self._runs])
        if self._clipping:
            # A window: one upright rectangle.
            ((a, b), (_, c), *_), *more = runs
            assert not more
            assert all(abs((z - w).real * (z - w).imag) < 1e-9 for z, w in runs[0])
            box = (
                min(a.real, b.real, c.real),
                min(a.imag, b.imag, c.imag),
                max(a.real, b.real, c.real),
                max(a.imag, b.imag, c.imag),
            )
            was = self._clip
            self._clip = (
                box
                if was is None
                else (max(was[0], box[0]), max(was[1], box[1]), min(was[2], box[2]), min(was[3], box[3]))
            )
        closed = list(self._closed)
        if name in ("s", "b", "b*") and closed:
            closed[-1] = True
        if name != "n" and runs:
            lined, filled = name in ("S", "s", "B", "B*", "b", "b*"), name not in ("S", "s")
            self.paths.append(PaintedPath(runs, tuple(closed), lined, filled))
        self._runs, self._closed, self._clipping = [], [], False
