"""Reading a result of ours back, whoever saved it last: the class of a line decides what it is.

Groups, transforms, units and styles are followed as in any drawing; layers that are hidden count as well, since the
shape that the piece was to become is kept in one.
"""

from __future__ import annotations

import os
from pathlib import Path

from lxml import etree

from pleatsvg.drawing.read import joined, walked
from pleatsvg.drawing.shapes import strokes_of
from pleatsvg.drawing.source import bytes_of, root_of
from pleatsvg.drawing.tags import piece_around, piece_name, tag_of
from pleatsvg.drawing.walk import SHAPES, Leaf
from pleatsvg.errors import DrawingError
from pleatsvg.geometry.segment import Segment
from pleatsvg.result.classes import is_proven
from pleatsvg.result.pattern_lines import DrawnResult, PatternLine, ResultPiece, Tag
from pleatsvg.tolerance import ON_LINE

_CHECK_SQUARE = 50.0


_CHECK_SLACK = 0.25
"""mm that the 50 mm square may be out before it is told: half a millimetre in a hundred."""


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
    notes: list[str] = []
    order: list[etree._Element] = []
    lines: dict[etree._Element, list[PatternLine]] = {}
    for leaf in walk.leaves:
        if leaf.element.tag not in SHAPES:
            continue
        classes = (leaf.element.get("class") or "").split()
        if "check-square" in classes:
            notes += _square_note(leaf)
        tag = tag_of(leaf.element, is_proven)
        group = piece_around(leaf.element) if tag is not None else None
        if tag is None or group is None:
            continue
        if group not in lines:
            order.append(group)
            lines[group] = []
        lines[group].append(_line(leaf, tag))
    pieces = tuple([ResultPiece(piece_name(group) or "piece", tuple(lines[group])) for group in order])
    if not any(piece.by_role("seam-line") for piece in pieces):
        raise DrawingError(
            f"'{source}'",
            "is not a result of pleatsvg: nothing in it is a piece with a seam line",
            "a result has a group of class 'piece' and in it a path of class 'seam-line'",
            "Give the file that 'pleatsvg pleat' wrote; if an editor saved it since, save it as plain SVG without "
            "optimising, so that classes are kept.",
        )
    return DrawnResult(source, pieces, tuple(notes))


def _square_note(leaf: Leaf) -> list[str]:
    strokes = _strokes(leaf, "The 50 mm square")
    sides = [abs(seg[-1] - seg[0]) for stroke in strokes for seg in stroke]
    worst = max(sides, key=lambda side: abs(side - _CHECK_SQUARE), default=_CHECK_SQUARE)
    if abs(worst - _CHECK_SQUARE) <= _CHECK_SLACK:
        return []
    return [
        f"The 50 mm square of the print check measures {worst:.1f} mm in the file: the drawing was scaled since it was "
        "made. Take a fresh result, or scale it back."
    ]


def _line(leaf: Leaf, tag: Tag) -> PatternLine:
    said = f"The {tag.role.replace('-', ' ')}" + (f" of pleat {tag.pleat}" if tag.pleat else "")
    strokes = _strokes(leaf, said)
    if not strokes:
        raise DrawingError(said, "has no length", "every line of a result is drawn", "Undo the last change to it.")
    return PatternLine(tag, strokes)


def _strokes(leaf: Leaf, said: str) -> tuple[tuple[Segment, ...], ...]:
    matrix = leaf.here.matrix
    found: list[tuple[Segment, ...]] = []
    for stroke in strokes_of(
        leaf.element, said, lambda: matrix.stretch, leaf.here.width, leaf.here.height, leaf.here.style
    ):
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
