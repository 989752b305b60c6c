"""The proof of pages: their lines, read back from the file's own bytes and laid together by the pages' places, are those of
the result and fold. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import islice
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from pleatsvg.errors import ProofError
from pleatsvg.geometry.segment import Box, Segment, box_of, halves
from pleatsvg.paper.body import Body, BodyShape
from pleatsvg.paper.document import Document, Placed
from pleatsvg.proof.figures import Proof
from pleatsvg.proof.prove import prove, proven
from pleatsvg.result.pattern_lines import DrawnResult, PatternLine, ResultPiece, Tag
from pleatsvg.tolerance import ON_LINE, PRINTED

_REPORT = "Please report it with the command you gave."

Runs = tuple[tuple[Segment, ...], ...]


Points = npt.NDArray[np.complex128]

Structure = tuple[tuple[tuple[bool, tuple[int, ...]], ...], ...]
"""Of each shape its runs: whether it is closed, and how many points each of its segments has."""


class LaidBody(NamedTuple):
    """What is printed of a piece on one page, as read back.

    Attributes:
        points: of all segments in order, in mm of the page, y down.
        structure: which points make up which shape.
        window: that cuts it off.
    """

    points: Points
    structure: Structure
    window: Box


LaidPage = tuple[LaidBody, ...]
"""A page as read back: the bodies on it, in the order of painting."""


def structure_of(shapes: Iterable[Iterable[tuple[Sequence[Segment], bool]]]) -> tuple[Structure, Points]:
    """Return which points make up which shape, and the points, from each shape's runs and whether they are closed."""
    held = [[(tuple(run), closed) for run, closed in shape] for shape in shapes]
    structure = tuple([tuple([(closed, tuple(map(len, run))) for run, closed in shape]) for shape in held])
    points = [z for shape in held for run, _ in shape for seg in run for z in seg]
    return structure, np.array(points, dtype=complex)


def prove_pages(document: Document, read: Sequence[LaidPage], results: Sequence[DrawnResult] | None) -> float:
    """Return the largest distance in mm between the lines of the pages, laid together, and those of the results.

    Args:
        document: what was to be written.
        read: every page that bears a body, as read back, in order.
        results: for each body, the result that it is of; None where they are no results, and nothing is folded.

    Raises:
        ProofError: they are not the same lines, some are missing, or they do not fold.
    """
    pages = [page for page in document.pages if page.placed]
    if len(pages) != len(read):
        raise ProofError("The pages", f"are {len(read)} where {len(pages)} were laid out", "", _REPORT)
    worst = 0.0
    wanted = [
        structure_of([[(stroke.segments, stroke.closed) for stroke in shape.strokes] for shape in body.shapes])
        for body in document.bodies
    ]
    laid: list[list[Runs]] = [[] for _ in document.bodies]
    windows: list[list[tuple[Placed, Box]]] = [[] for _ in document.bodies]
    for page, found in zip(pages, read, strict=True):
        for placed, here in zip(page.placed, found, strict=True):
            structure, points = wanted[placed.body]
            if here.structure != structure:
                raise ProofError(f"Page {page.name}", "read back, holds other lines than the result", "", _REPORT)
            off = np.abs(points * placed.turn + placed.shift - here.points).max(initial=0.0)
            worst = max(worst, float(off))
            windows[placed.body].append((placed, here.window))
            if not laid[placed.body]:
                laid[placed.body] = _back(here, placed)
    if not worst <= PRINTED:
        raise ProofError(
            "The pages",
            f"read back, miss the result by {worst:.3f} mm",
            f"the limit is {PRINTED} mm",
            _REPORT,
        )
    for body, runs, seen in zip(document.bodies, laid, windows, strict=True):
        _refuse_gaps(body, runs, seen)
    for body, runs, result in zip(document.bodies, laid, results, strict=True) if results is not None else ():
        _fold(body, runs, result)
    return worst


def _back(body: LaidBody, placed: Placed) -> list[Runs]:
    # From a page to the paper of the whole piece, shape by shape.
    points = iter(((body.points - placed.shift) / placed.turn).tolist())
    return [
        tuple([tuple([tuple(islice(points, count)) for count in counts]) for _, counts in runs])
        for runs in body.structure
    ]


def _refuse_gaps(body: Body, laid: Sequence[Runs], seen: Sequence[tuple[Placed, Box]]) -> None:
    # Every bit of every line is seen in the window of a page.
    boxes = [(placed.turn, placed.shift, window) for placed, window in seen]
    for shape, runs in zip(body.shapes, laid, strict=True):
        for run in runs if shape.is_seen else ():
            for seg in run:
                if not _is_seen(seg, boxes):
                    said = shape.shape.css.replace("-", " ") or shape.shape.name or "line"
                    raise ProofError("The pages", f"read back, leave out a part of a {said}", "", _REPORT)


_FINEST = 1e-3
"""mm: a bit of a line so short that lies across the edges of pages that are butted is seen in halves."""


def _is_seen(seg: Segment, boxes: list[tuple[complex, complex, Box]]) -> bool:
    waiting = [seg]
    while waiting:
        one = waiting.pop()
        small = max([abs(z - one[0]) for z in one]) <= _FINEST
        held = False
        for k, (turn, shift, (left, top, right, bottom)) in enumerate(boxes):
            a, b, c, d = box_of([z * turn + shift for z in one])
            room = 2 * _FINEST if small else ON_LINE
            if a >= left - room and b >= top - room and c <= right + room and d <= bottom + room:
                held = True
                boxes.insert(0, boxes.pop(k))  # what comes next lies most likely there, too
                break
        if not held:
            if small:
                return False
            waiting += halves(one)
    return True


def _fold(body: Body, laid: Sequence[Runs], result: DrawnResult) -> None:
    # The printed lines in the place of the drawn ones, and folded; what is hidden, or left out, is as it was drawn.
    printed: dict[Tag, list[Runs]] = {}
    for shape, runs in zip(body.shapes, laid, strict=True):
        if shape.shape.tag is not None and not shape.copy:
            printed.setdefault(shape.shape.tag, []).append(_as_read(shape, runs))
    for piece in result.pieces:
        if not piece.by_role("seam-line"):
            continue
        proof = _proof_of(piece, printed)
        if not proof.holds:
            proven(piece, result.source, "printed")
            raise ProofError(
                "The pages", f"read back, do not fold true: {proof.failures[0]}", "the result itself does", _REPORT
            )


def _proof_of(piece: ResultPiece, printed: dict[Tag, list[Runs]]) -> Proof:
    return prove(replace(piece, lines=_instead(piece.lines, printed), marks=_instead(piece.marks, printed)))


def _instead(lines: Sequence[PatternLine], printed: dict[Tag, list[Runs]]) -> tuple[PatternLine, ...]:
    counts: dict[Tag, int] = {}
    for line in lines:
        counts[line.tag] = counts.get(line.tag, 0) + 1
    at: dict[Tag, int] = {}
    made: list[PatternLine] = []
    for line in lines:
        there = printed.get(line.tag, ())
        if len(there) != counts[line.tag]:
            made.append(line)  # one of them is hidden
            continue
        k = at.get(line.tag, 0)
        at[line.tag] = k + 1
        made.append(replace(line, strokes=there[k]))
    return tuple(made)


def _as_read(shape: BodyShape, runs: Runs) -> Runs:
    # In the result's own mm, closed as its reader closes them.
    made = []
    for run, stroke in zip(runs, shape.strokes, strict=True):
        segments = tuple([tuple([shape.map.back(z) for z in seg]) for seg in run])
        if stroke.closed and segments[0][0] != segments[-1][-1]:
            start, last = segments[0][0], segments[-1]
            if abs(start - last[-1]) <= PRINTED:
                segments = (*segments[:-1], (*last[:-1], start))
            else:
                segments = (*segments, (last[-1], start))
        made.append(segments)
    return tuple(made)
