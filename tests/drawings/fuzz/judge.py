"""What a case is, and whether what came out of it is right: a proven result, or one plain paragraph."""

from __future__ import annotations

import json
import re
import unicodedata
import warnings
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from lxml import etree

import pleatsvg
from pleatsvg.api import fold, measured_picture, read_all
from pleatsvg.cli.report import measured, pleated
from pleatsvg.cli.report.already import already_pleated
from pleatsvg.errors import PleatError
from tests.drawings.fuzz.mutations import spoilt
from tests.referee.foldback import assert_true

FIXTURES = Path(__file__).parents[3] / "fixtures"
LONGEST = 900
"""Characters of a message: names are cut short, so that it stays a paragraph."""
LARGEST = 20_000_000
"""Bytes of a result: more is a drawing that ran away."""

_PLEATS: tuple[dict[str, Any], ...] = (
    {"kind": "knife", "intake": "20mm", "lap": "left"},
    {"kind": "knife", "intake": "20mm", "lap": "right", "slash": "all"},
    {"kind": "inverted", "intake": "40mm", "slash": "all"},
    {"kind": "box", "intake": "40mm", "hem_intake": "60mm"},
    {"kind": "knife", "depth": "1/4in", "lap": "centre", "count": 3},
    {"kind": "box", "depth": "4mm", "face": "10mm", "count": 2, "run": "fan"},
    {"kind": "inverted", "intake": "20mm", "hem_intake": "0mm", "at": ("50mm", "10cm")},
    {"kind": "knife", "intake": "0mm", "hem_intake": "3cm", "lap": "sides", "count": 2, "run": "grain"},
    {"kind": "knife", "intake": "10mm", "lap": "up", "slash": "all"},
    {"kind": "knife", "intake": "10mm", "lap": "down", "count": 2, "along": "left"},
    {"kind": "inverted", "intake": "1mm", "slash": ("slash 1", "slash")},
    {"kind": "knife", "intake": "300mm", "lap": "left", "slash": "all"},
    {"kind": "knife", "intake": "20mm", "lap": "left", "allowance": ("15mm", "hem=4cm"), "hem_turn": True},
    {"kind": "inverted", "intake": "40mm", "hem_intake": "0mm", "allowance": "15mm", "mark": "6cm", "slash": "all"},
    {"kind": "tuck", "intake": "10mm", "lap": "right", "allowance": "10mm", "stitched": "5cm", "slash": "all"},
    {"kind": "pin-tuck", "depth": "2mm", "lap": "left", "count": 4, "gap": "1cm", "slash": "all"},
    {"kind": "kick", "intake": "60mm", "height": "10cm", "allowance": "10mm", "slash": "all"},
    {"kind": "inverted", "intake": "60mm", "underlay": "separate", "allowance": "10mm"},
    {"kind": "knife", "intake": "40mm", "lap": "left", "stack": 2, "edge_stitch": "full", "stitch_down": "5cm"},
    {"kind": "knife", "intake": "40mm", "lap": "right", "hem": "smooth", "allowance": "10mm"},
    {"kind": "knife", "intake": "60mm", "lap": "left", "cloth_width": "30cm", "allowance": "15mm", "slash": "all"},
    {"kind": "box", "intake": "40mm", "fold_edge": "left side", "allowance": "15mm"},
    {"kind": "knife", "intake": "30mm", "lap": "left", "fold_edge": "right side", "open_fold": True, "slash": "all"},
    {"kind": "knife", "intake": "20mm", "lap": "left", "allowance_drawn": "1cm", "slash": "all"},
    {},
)
_BY_FOLDING = ("underlay", "cloth_width", "hem", "fold_edge", "open_fold", "height")
"""Options whose results the referee does not read; they are proven by `fold`, which reads what is drawn as well."""

_READS: tuple[dict[str, Any], ...] = (
    *[{}] * 9, {"shows": "wrong"}, {"drawing_unit": "1mm"}, {"piece": "front"}, {"drawing_unit": "1in", "shows": "wrong"},
)  # fmt: skip


@dataclass(frozen=True)
class Case:
    """One spoilt drawing and what is asked of it."""

    seed: int
    number: int
    fixture: str
    ways: tuple[str, ...]
    data: bytes
    read: dict[str, Any]
    pleats: dict[str, Any]

    @property
    def words(self) -> str:
        """One line that says what this case is."""
        asked = {**self.read, **self.pleats}
        return f"case {self.number} of seed {self.seed}: {self.fixture}, {' + '.join(self.ways)}; {asked}"


@cache
def _fixtures() -> tuple[tuple[str, bytes], ...]:
    found = sorted(FIXTURES.rglob("*.svg"))
    return tuple((str(path.relative_to(FIXTURES)), path.read_bytes()) for path in found)


@cache
def _roots() -> tuple[Any, ...]:
    roots = []
    for _, data in _fixtures():
        try:
            roots.append(etree.fromstring(data))
        except etree.XMLSyntaxError:
            continue
    return tuple(roots)


def case(seed: int, number: int) -> Case:
    """The case of a number, the same one whatever ran before it."""
    chance = Random(f"{seed}/{number}")
    whole = [one for one in _fixtures() if "/" not in one[0]]
    fixture, data = chance.choice(whole if chance.random() < 0.5 else _fixtures())
    made, ways = spoilt(data, chance, list(_roots()))
    return Case(seed, number, fixture, ways, made, chance.choice(_READS), _PLEATS[number % len(_PLEATS)])


class WrongError(AssertionError):
    """A case did not end as it must."""


def run(one: Case, room: Path, look_closely: bool) -> str:
    """Measure and pleat a case; "result", or the kind of refusal.

    Args:
        one: the case.
        room: a folder to write in.
        look_closely: have a result proven by the referee too, and read again.

    Raises:
        WrongError: a refusal is not a plain paragraph, or a result is not true. Any other exception is a fault as well.
    """
    drawing, out = room / "drawing.svg", room / "flat.svg"
    drawing.write_bytes(one.data)
    out.unlink(missing_ok=True)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            every = {key: value for key, value in one.read.items() if key != "piece"}
            pieces = read_all(drawing, **every)
            found, already = [pleatsvg.measure(piece) for piece in pieces], already_pleated(pieces)
            for one_found, its in zip(found, already, strict=True):
                _plain(measured.measured_text(one_found, its), "what measure prints")
            json.loads(measured.measured_json(found, already), parse_constant=_no_constant)
            etree.fromstring(measured_picture(found))
        except PleatError as error:
            _check_refusal(error)
        try:
            result = pleatsvg.pleat(pleatsvg.read(drawing, **one.read), **one.pleats)
            pleatsvg.write(result, out)
        except PleatError as error:
            _check_refusal(error)
            if out.exists():
                raise WrongError("refused, but a result was written") from None
            return type(error).__name__
    _plain(pleated.pleated_text(result, out), "what pleat prints")
    json.loads(pleated.pleated_json(result, out), parse_constant=_no_constant)
    _check_result(result, out)
    if look_closely:
        # The referee does not fold two passes beside the fold edge of a half piece.
        halves = result.number > 1 and result.flat.fold_edge is not None
        if not halves and not any(option in one.pleats for option in _BY_FOLDING):
            assert_true(out)
        elif not all(proof.holds for proof in fold(out)):
            raise WrongError("the result does not fold back from what is drawn")
        try:
            pleatsvg.read(out)
        except PleatError as error:
            _check_refusal(error)
    return "result"


def _no_constant(word: str) -> None:
    raise WrongError(f"JSON holds {word}")


def _plain(text: str, what: str) -> None:
    # Names may be any words; what stands before a unit is a number.
    if re.search(r"(?<![\w-])-?(?:nan|inf|None) ?(?:mm|cm|in|m|km|x|degrees|times|%)(?![\w-])", _bare(text)):
        raise WrongError(f"{what} holds a number that is none: {text[:400]!r}")
    odd = [ch for ch in text if unicodedata.category(ch) == "Cc" and ch != "\n"]
    if odd:
        raise WrongError(f"{what} holds the control character {odd[0]!r}: {text[:400]!r}")


def _check_refusal(error: PleatError) -> None:
    message = str(error)
    _plain(message, "a message")
    # Where reading stopped, the words of the XML parser stand in brackets, with what it met.
    ours = re.sub(r"reading stopped at line \d+ \(.*\)", "", _bare(message))
    if re.search(r"(?<![\w'-])(?:nan|inf|None)(?![\w'-])", ours):
        raise WrongError(f"a message holds a number that is none: {message!r}")
    if not (error.element.strip() and error.measured.strip() and error.remedy.strip()):
        raise WrongError(f"a message lacks its element, measure or remedy: {message!r}")
    if "\n" in message or len(message) > LONGEST or not message.endswith("."):
        raise WrongError(f"a message is not one short paragraph ({len(message)} characters): {message[:LONGEST]!r}")
    if re.search(r"Traceback|should not have|Error\b|Exception|0x[0-9a-f]{6}|object at|\de[+-]\d\d", ours):
        raise WrongError(f"a message is not in plain words: {message!r}")


def _bare(text: str) -> str:
    # What is quoted from the drawing is the drawing's; an apostrophe within a word opens no quotation, nor
    # does one at the end of a name. The rows of names that `measure` lists are the drawing's, too.
    text = re.sub(r"(?m)^Names and the parts they play\n(?:  .*\n?)*", "", text)
    return re.sub(r"(?<!\w)'[^']*'|\"[^\"]*\"", "", text.replace("''", "'"))


def _check_result(result: pleatsvg.PleatedPiece, out: Path) -> None:
    if not result.proof.worst <= 0.01:
        raise WrongError(f"the proof says {result.proof.worst} mm, but it was written")
    size = out.stat().st_size
    if size > LARGEST:
        raise WrongError(f"the result has {size} bytes")
    for element in etree.parse(out).iter():
        for key in ("d", "x", "y", "width", "height", "viewBox", "transform", "x1", "y1", "x2", "y2"):
            value = str(element.get(key, ""))
            if re.search("nan|inf", value):
                raise WrongError(f"the result holds {key}='{value[:80]}'")
