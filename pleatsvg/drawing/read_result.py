"""Reading a result of ours back, whoever saved it last: the class of a line decides what it is.

Groups, transforms, units and styles are followed as in any drawing; layers that are hidden count as well, since the
shape that the piece was to become is kept in one.
"""

from __future__ import annotations

import os
from collections import Counter
from pathlib import Path

from lxml import etree

from pleatsvg.drawing.path_data import Tally
from pleatsvg.drawing.read import joined, walked
from pleatsvg.drawing.shapes import strokes_of
from pleatsvg.drawing.source import bytes_of, root_of
from pleatsvg.drawing.tags import OWN_WORDS, own_words_around, piece_around, piece_name, stated_number, tag_of
from pleatsvg.drawing.texts import label_of
from pleatsvg.drawing.walk import SHAPES, Leaf, Walk
from pleatsvg.errors import DrawingError
from pleatsvg.geometry.segment import Segment
from pleatsvg.kinds import noun_of
from pleatsvg.result.classes import is_class, is_proven
from pleatsvg.result.pattern_lines import (
    DrawnResult,
    PatternLine,
    PrintCheck,
    ResultPiece,
    Stated,
    Tag,
    ToldPleat,
    WrittenWords,
)
from pleatsvg.tolerance import ON_LINE

_CHECK_SQUARE = 50.0


def read_result(path: str | os.PathLike[str]) -> DrawnResult:
    """Read a result from a file.

    Raises:
        DrawingError: it is missing, is no SVG, or is not a result of this program.
    """
    file = Path(path)
    return result_from(bytes_of(file), file.name)


def result_from(data: bytes, source: str) -> DrawnResult:
    """Read a result from the bytes of a file; cf. `read_result`. `source` is its name, for messages."""
    root, _ = root_of(data, source)
    walk, _, _ = walked(root, hidden_too=True)
    tally = Tally()
    order: list[etree._Element] = []
    held: dict[etree._Element, _Held] = {}
    counted: set[etree._Element] = set()
    square: float | None = None
    bar: float | None = None
    for leaf in walk.leaves:
        element = leaf.element
        names = (element.get("class") or "").split()
        if "check-square" in names:
            square = max(_lengths(leaf, tally), key=lambda side: abs(side - _CHECK_SQUARE), default=None)
        if "check-bar" in names:
            bar = max(_lengths(leaf, tally), default=None)
        tag = tag_of(element, is_class)
        # A text of the person's own has no class of ours: it stands as drawn in a group that has.
        own = own_words_around(element) if tag is None and element.tag not in SHAPES else None
        group = piece_around(element) if tag is not None or own is not None else None
        if group is None:
            continue
        if group not in held:
            order.append(group)
            held[group] = _Held()
        if tag is not None:
            held[group].take(leaf, tag, walk, tally)
        elif own is not None and own not in counted:  # once, whatever number of texts an editor made of it
            counted.add(own)
            held[group].found[OWN_WORDS] += 1
    pieces = tuple([held[group].piece(group, PrintCheck(square, bar)) for group in order])
    if not any(piece.by_role("seam-line") for piece in pieces):
        raise DrawingError(
            f"'{source}'",
            "is not a result of pleatsvg: nothing in it is marked as a pleated piece with its seam line",
            "only what 'pleatsvg pleat' wrote is read here",
            "Give the file that it wrote, not the drawing; if an editor saved that since, save it again without optimising, "
            "which loses the marks.",
        )
    return DrawnResult(source, pieces)


class _Held:
    """What is read of one piece."""

    def __init__(self) -> None:
        self.lines: list[PatternLine] = []
        self.marks: list[PatternLine] = []
        self.words: list[WrittenWords] = []
        self.told: list[ToldPleat] = []
        self.found: Counter[str] = Counter()

    def take(self, leaf: Leaf, tag: Tag, walk: Walk, tally: Tally) -> None:
        """Take an element of a class of ours."""
        self.found[tag.role] += 1
        if is_proven(tag.role):
            self.lines.append(_line(leaf, tag, tally))
        elif leaf.element.tag in SHAPES:
            strokes = _strokes(leaf, f"A {tag.role.replace('-', ' ')}", tally)
            if strokes:
                self.marks.append(PatternLine(tag, strokes))
        else:
            here = leaf.here
            label = label_of(leaf.element, here.matrix, here.style, walk.sheets, tag)
            if label is not None:
                self.words.append(WrittenWords(tag, label.text, label.middle))
            if tag.pleat and leaf.element.get("data-intake-mm") is not None:
                stated = [
                    stated_number(leaf.element.get(name))
                    for name in ("data-intake-mm", "data-hem-intake-mm", "data-grain-degrees")
                ]
                self.told.append(ToldPleat(tag.pass_, tag.pleat, *stated))

    def piece(self, group: etree._Element, check: PrintCheck) -> ResultPiece:
        """Return the piece."""
        holds = None
        words = (group.get("data-holds") or "").split()
        if words:
            holds = {name: int(count) for name, count in zip(words[::2], words[1::2], strict=False) if count.isdigit()}
        return ResultPiece(
            name=piece_name(group) or "piece",
            lines=tuple(self.lines),
            marks=tuple(self.marks),
            words=tuple(self.words),
            told=tuple(self.told),
            found=dict(self.found),
            stated=Stated(
                holds,
                stated_number(group.get("data-finished-area-mm2")),
                stated_number(group.get("data-fit-mm")),
            ),
            check=check,
            beside=True,
        )


def _lengths(leaf: Leaf, tally: Tally) -> list[float]:
    return [abs(seg[-1] - seg[0]) for stroke in _strokes(leaf, "The print check", tally) for seg in stroke]


def _line(leaf: Leaf, tag: Tag, tally: Tally) -> PatternLine:
    said = f"The {tag.role.replace('-', ' ')}" + (f" of {noun_of(tag.kind)} {tag.pleat}" if tag.pleat else "")
    strokes = _strokes(leaf, said, tally)
    if not strokes:
        raise DrawingError(said, "has no length", "every line of a result is drawn", "Undo the last change to it.")
    return PatternLine(tag, strokes)


def _strokes(leaf: Leaf, said: str, tally: Tally) -> tuple[tuple[Segment, ...], ...]:
    matrix = leaf.here.matrix
    drawn = strokes_of(leaf.element, said, lambda: matrix.stretch, leaf.here.width, leaf.here.height, leaf.here.style)
    tally.add(drawn, said)
    found: list[tuple[Segment, ...]] = []
    for stroke in drawn:
        segments = joined(stroke, matrix, said)
        if segments and segments[0][0] != segments[-1][-1]:
            # What closes it: an editor may leave the last side to the closing command, or its end a hair off.
            start, last = segments[0][0], segments[-1]
            if abs(start - last[-1]) <= ON_LINE:
                segments = (*segments[:-1], (*last[:-1], start))
            elif stroke.closed:
                segments = (*segments, (last[-1], start))
        if segments:
            found.append(segments)
    return tuple(found)
