"""The pages of pieces that lie on a grid: what lies in each window, trim lines, rungs, names of lines, the foot. In mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.segment import Segment
from pleatsvg.paper.area import Drawn, dense
from pleatsvg.paper.body import Asked, Body, BodyShape
from pleatsvg.paper.document import INK, Page, Placed, Widths, Words
from pleatsvg.paper.joins import REACH, Cost, joins_of, label_of
from pleatsvg.paper.names import Named, WordBox, named_lines, names_on_page
from pleatsvg.paper.placing import Grid
from pleatsvg.paper.rungs import rungs_on
from pleatsvg.paper.sizes import Margins
from pleatsvg.result.lettering import CAPITALS

_FOOT, _FOOT_SMALL, _FOOT_LEAST, _FOOT_NAME = 3.6, 3.0, 2.4, 7.0
"""Font sizes in mm: of the words in the foot, of these where a name is long, where remarks are many, and of the page's
name."""

_CUT = 24
"""Letters that are left of the words in the foot: the number of the page and the beginning of a name."""

_CHORD = 2.0
"""mm between points that stand for a line where it is asked what lies where."""


@dataclass(frozen=True, slots=True)
class Lay:
    """Where a body lies: `turn * z + shift` of its points; `body` is its number in the document."""

    body: int
    turn: complex
    shift: complex


@dataclass(frozen=True, slots=True)
class Group:
    """Bodies that share a grid of pages.

    Attributes:
        lays: the bodies.
        grid: the pages; it turns all of them once more.
        rows_before, joins_before: of the groups printed before it.
        name: what it is called.
        joins_in_all: of all groups; 0 where that is not known.
    """

    lays: tuple[Lay, ...]
    grid: Grid
    rows_before: int
    joins_before: int
    name: str
    joins_in_all: int = 0

    @property
    def labels(self) -> tuple[str, ...]:
        """The names of its pages."""
        return tuple([label_of(self.rows_before, window) for window in self.grid.windows])

    def place(self, lay: Lay) -> tuple[complex, complex]:
        """Return the turn and the shift of a body in the coordinates of the windows."""
        return self.grid.turn * lay.turn, self.grid.turn * lay.shift


def drawn_of(body: Body, boxes: Sequence[WordBox], turn: complex = 1 + 0j, shift: complex = 0j) -> Drawn:
    """Return what a body takes up: the cloth within its outlines, and all lines and words."""
    outer = [shape for shape in body.shapes if shape.shape.css == "cut-line"]
    outer += [shape for shape in body.shapes if shape.shape.css == "seam-line"]
    outlines = [dense([stroke.segments], _CHORD) for shape in outer for stroke in shape.strokes]
    seen = [shape for shape in body.shapes if shape.is_seen]
    filled = [shape for shape in seen if shape.look.fill is not None]
    outlines += [dense([stroke.segments], _CHORD) for shape in filled for stroke in shape.strokes]
    marks = [dense([stroke.segments], _CHORD) for shape in seen for stroke in shape.strokes]
    marks += [_box_points(box) for box in boxes]
    return Drawn(
        tuple([outline * turn + shift for outline in outlines if len(outline) > 2]),
        np.concatenate(marks) * turn + shift if marks else np.empty(0, dtype=complex),
    )


def _box_points(box: WordBox) -> npt.NDArray[np.complex128]:
    across = np.linspace(-box.width / 2, box.width / 2, max(2, int(box.width / _CHORD) + 2))
    rows = [box.middle + box.way * (across + 1j * high) for high in (-box.height / 2, 0.0, box.height / 2)]
    found: npt.NDArray[np.complex128] = np.concatenate(rows)
    return found


def pages_of(
    group: Group,
    bodies: Sequence[Body],
    boxes: Sequence[Sequence[WordBox]],
    size: tuple[float, float],
    margins: Margins,
    widths: Widths,
    first: int,
    last: int,
) -> tuple[Page, ...]:
    """Return the pages of a group.

    Args:
        group: the pieces and their grid.
        bodies: of the document.
        boxes: of each body's words.
        size: of a page.
        margins: kept free on it.
        widths: cf. `Widths`.
        first, last: the number of its first page and of the last page of all.
    """
    grid = group.grid
    lines: list[Named] = []
    words: list[WordBox] = []
    chords: list[npt.NDArray[np.complex128]] = []
    for lay in group.lays:
        turn, shift = group.place(lay)
        named, said = named_lines(bodies[lay.body], boxes[lay.body])
        lines += [one._replace(points=one.points * turn + shift, key=f"{lay.body} {one.key}") for one in named]
        words += [
            box._replace(
                middle=box.middle * turn + shift, way=box.way * turn, key=f"{lay.body} {box.key}" if box.key else ""
            )
            for box in said
        ]
        chords.append(_chords(bodies[lay.body]) * turn + shift)
    strokes = np.concatenate(chords)
    joins = joins_of(grid, group.joins_before, _in_the_way(strokes, words), group.joins_in_all)
    labels = group.labels
    asked = bodies[group.lays[0].body].asked
    made: list[Page] = []
    extents = [_extent(one.points) for one in lines]
    middles = np.array([box.middle for box in words], dtype=complex)
    for number, (window, label) in enumerate(zip(grid.windows, labels, strict=True)):
        to_page = complex(margins.left, margins.top) - window.corner
        clip = (margins.left, margins.top, margins.left + grid.wide, margins.top + grid.high)
        placed = []
        for lay in group.lays:
            turn, shift = group.place(lay)
            placed.append(Placed(lay.body, turn, shift + to_page, clip))
        corner, other = window.corner, window.corner + complex(grid.wide, grid.high)
        here = [
            one
            for one, (low, high) in zip(lines, extents, strict=True)
            if low.real <= other.real
            and high.real >= corner.real
            and low.imag <= other.imag
            and high.imag >= corner.imag
        ]
        near = np.flatnonzero(_is_between(middles, corner, other, 200.0))
        there = [words[k] for k in near.tolist()]
        marked = rungs_on(
            number, joins, labels, grid.overlap, to_page, _within(strokes, window.corner, grid), there, widths
        )
        said_words = [*marked.words]
        names = names_on_page(
            here,
            [*there, *marked.taken],
            marked.strokes,
            window.corner,
            (grid.wide, grid.high),
            widths,
        )
        for name in names:
            width = widths(name.words, name.size, False)
            at = name.middle - name.way * width / 2 + 1j * name.way * name.size * CAPITALS / 2
            said_words.append(Words(name.words, at + to_page, name.size, way=name.way, colour=INK))
        said_words += _foot(label, f"page {first + number} of {last}: {group.name}", asked, margins, clip, widths)
        made.append(Page(label, size[0], size[1], tuple(placed), marked.marks, tuple(said_words)))
    return tuple(made)


def _in_the_way(strokes: npt.NDArray[np.complex128], words: Sequence[WordBox]) -> Cost:
    # What lies beneath rungs and their letters: a box of some 40 x 5 mm on a level rung, 12 x 24 on an upright one.
    chords = strokes.sum(axis=1) / 2
    boxes = np.array([box.middle for box in words], dtype=complex)
    reach = np.array([_reach_of(box) for box in words], dtype=complex)

    def cost(middles: npt.NDArray[np.complex128], across: complex) -> list[float]:
        half = (REACH + 13.0, 2.5) if across == 1 else (6.0, REACH + 5.0)
        first, last = middles[0], middles[-1]
        near = _between(chords, first, last, max(half) + _CHORD)
        is_near = _is_between(boxes, first, last, 300.0)
        near_boxes, near_reach = boxes[is_near], reach[is_near]
        found = []
        for middle in middles.tolist():
            at, off = near - middle, near_boxes - middle
            lines = (np.abs(at.real) < half[0] + _CHORD) & (np.abs(at.imag) < half[1] + _CHORD)
            said = (np.abs(off.real) < half[0] + near_reach.real / 2) & (
                np.abs(off.imag) < half[1] + near_reach.imag / 2
            )
            found.append(float(lines.sum()) + 10.0 * float(said.sum()))
        return found

    return cost


def _reach_of(box: WordBox) -> complex:
    across, down = abs(box.way.real), abs(box.way.imag)
    return complex(across * box.width + down * box.height, down * box.width + across * box.height)


def _is_between(
    points: npt.NDArray[np.complex128], first: complex, last: complex, room: float
) -> npt.NDArray[np.bool_]:
    found: npt.NDArray[np.bool_] = (
        (points.real > min(first.real, last.real) - room)
        & (points.real < max(first.real, last.real) + room)
        & (points.imag > min(first.imag, last.imag) - room)
        & (points.imag < max(first.imag, last.imag) + room)
    )
    return found


def _between(
    points: npt.NDArray[np.complex128], first: complex, last: complex, room: float
) -> npt.NDArray[np.complex128]:
    found: npt.NDArray[np.complex128] = points[_is_between(points, first, last, room)]
    return found


def _extent(points: npt.NDArray[np.complex128]) -> tuple[complex, complex]:
    # Upper left and lower right; where a line is not named there are no points.
    real, imag = points.real[~np.isnan(points.real)], points.imag[~np.isnan(points.imag)]
    if not len(real):
        return complex(np.inf, np.inf), complex(-np.inf, -np.inf)
    return complex(real.min(), imag.min()), complex(real.max(), imag.max())


def _chords(body: Body) -> npt.NDArray[np.complex128]:
    # Everything drawn as straight bits: two columns.
    rows = []
    for shape in body.shapes:
        for stroke in shape.strokes:
            points = dense([stroke.segments], 2 * _CHORD)
            if len(points) > 1:
                rows.append(np.stack([points[:-1], points[1:]], axis=1))
    return np.concatenate(rows) if rows else np.empty((0, 2), dtype=complex)


def _within(strokes: npt.NDArray[np.complex128], corner: complex, grid: Grid) -> npt.NDArray[np.complex128]:
    off = strokes[:, 0] - corner
    room = 5.0
    held = (off.real > -room) & (off.real < grid.wide + room) & (off.imag > -room) & (off.imag < grid.high + room)
    found: npt.NDArray[np.complex128] = strokes[held]
    return found


def _foot(
    label: str,
    said: str,
    asked: Asked,
    margins: Margins,
    clip: tuple[float, float, float, float],
    widths: Widths,
) -> list[Words]:
    # In the foot margin, near the window, since printers leave its lower part bare; within the window where there is none.
    # Of the remarks nothing is left out: where there is no room for all in a row, the letters are smaller, and of a name
    # that is longer still its end is left out.
    y = clip[3] - 2.0 if margins.foot < 8.0 else clip[3] + 1.2 + _FOOT_NAME * CAPITALS
    x = clip[0] + 1.0
    words = [Words(label, complex(x, y), _FOOT_NAME, bold=True)]
    x += widths(label, _FOOT_NAME, True) + 3.0
    rows = [(remark, True) for remark in asked.remarks] + [(said, False)]
    room = clip[2] - x
    size = _FOOT

    def taken(size: float) -> float:
        return sum([widths(row, size, bold) + size for row, bold in rows]) - size

    while size > _FOOT_SMALL and taken(size) > room:
        size -= 0.1
    while taken(size) > room and len(rows[-1][0]) > _CUT:
        shorter = rows[-1][0].removesuffix("...").rstrip()[:-1]
        rows[-1] = (f"{shorter.rstrip()}...", False)
    while size > _FOOT_LEAST and taken(size) > room:
        size -= 0.1
    for row, bold in rows:
        words.append(Words(row, complex(x, y), size, bold=bold))
        x += widths(row, size, bold) + size
    return words


def outlines_of(group: Group, bodies: Sequence[Body]) -> tuple[tuple[Segment, ...], ...]:
    """Return the outlines of a group's pieces as they lie on its pages: cutting lines, or seam lines where there are none."""
    found: list[tuple[Segment, ...]] = []
    for lay in group.lays:
        turn, shift = group.place(lay)
        body = bodies[lay.body]
        outer: list[BodyShape] = []
        for css in ("cut-line", "seam-line"):
            outer = outer or [shape for shape in body.shapes if shape.shape.css == css]
        outer = outer or list(body.shapes)
        for shape in outer:
            found += [tuple([tuple([z * turn + shift for z in seg]) for seg in s.segments]) for s in shape.strokes]
    return tuple(found)
