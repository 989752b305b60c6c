"""The names of lines on a page: every line that crosses it is named there, where a word of the drawing does not do it.

In the coordinates of the page's window, mm.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from pleatsvg.geometry.segment import Box, Segment
from pleatsvg.paper.area import dense
from pleatsvg.paper.body import Body, BodyShape
from pleatsvg.paper.document import Widths
from pleatsvg.result.classes import SEEN_OF
from pleatsvg.result.lettering import CAPITALS, readable
from pleatsvg.result.pattern_lines import Tag
from pleatsvg.result.roles import Role
from pleatsvg.tolerance import ON_FOLD

SIZE = 4.2
"""Font size in mm; capitals are 3 mm high, as on a result."""

_SHORTEST = 5.0
"""mm of a line on a page that are named: shorter bits are the ends of lines that the next page names."""

_SHORTEST_OWN = 15.0
"""The same for lines of the person's own, such as a pocket."""

_EDGE = 1.5
"""mm that a name keeps from the edge of the window, where the page is trimmed."""

_OFF = 1.7
"""mm between a line and its name."""

_BENT = 0.4
"""mm by which a line may bend towards its name, which stands beside its middle."""

_STEP = 2.5
"""mm between the points that stand for a line."""

_PLAIN = {
    "seam-line": "SEAM",
    "cut-line": "CUT",
    "baste-line": "BASTE",
    "edge-stitch-line": "EDGE STITCH",
    "stitch-down-line": "STITCH DOWN",
    "grain-line": "GRAIN",
    "fold-edge": "FOLD EDGE",
}

CENTRE = "CENTRE"
"""What an edge that is cut on the fold is called where the piece is opened out."""

_SEEN = {seen: of for of, seen in SEEN_OF.items()}

_ROLES = {role.css: role for role in (Role.FOLD, Role.INNER, Role.STITCH, Role.PLACEMENT)}

_SIGNS = frozenset([role.sign for role in _ROLES.values()])

_BALANCE = "balance"
"""What balance lines are among these: their labels say the name as it stands on the drawing, in capitals."""


class Named(NamedTuple):
    """A line of a body with its name: points along it, and a key that it shares with words that name it already."""

    words: str
    points: npt.NDArray[np.complex128]
    key: str


class WordBox(NamedTuple):
    """Words that stand on paper: middle, direction, width and height; `key` says which line they name, or is ""."""

    middle: complex
    way: complex
    width: float
    height: float
    key: str = ""


class NameAt(NamedTuple):
    """A name to be written: its middle, half-way up its capitals, its direction and its size."""

    words: str
    middle: complex
    way: complex
    size: float


def named_lines(body: Body, boxes: Sequence[WordBox]) -> tuple[tuple[Named, ...], tuple[WordBox, ...]]:
    """Return the lines of a body that are named on every page that they cross, and its words with the lines they name.

    A label of a result says of which pleat it is, and stands beside its own line: of several of one pleat, the nearest.

    Args:
        body: what is printed.
        boxes: those of its texts, in their order.
    """
    lines: list[Named] = []
    of_kind: dict[tuple[str, int], list[int]] = {}
    edges = [_points_of(s.segments, False) for one in body.shapes if one.shape.css == "fold-edge" for s in one.strokes]
    for number, shape in enumerate(body.shapes):
        found = _name_of(shape)
        if found is None:
            continue
        words, sign, own = found
        pleat = shape.shape.tag.pleat if shape.shape.tag is not None else 0
        key = own or f"line {number}"
        runs = [_points_of(stroke.segments, stroke.closed) for stroke in shape.strokes]
        if shape.shape.css in ("cut-line", "seam-line"):
            # They are closed along an edge that is cut on the fold, and there they are neither cut nor stitched.
            runs = [_not_along(run, edges) for run in runs]
        if sign == "fold-edge" and body.asked.open_fold:
            words = CENTRE
        of_kind.setdefault((sign, pleat), []).append(len(lines))
        lines += [Named(words, run, key) for run in runs if len(run) > 1]
    said: list[WordBox] = []
    for text, box in zip(body.texts, boxes, strict=True):
        tag = text.text.tag
        kind = _kind_named(tag, text.text.words) if tag is not None else None
        near = min(
            of_kind.get(kind, []) if kind is not None else [],
            key=lambda k: float(np.nanmin(np.abs(lines[k].points - box.middle))),
            default=None,
        )
        if near is None:
            said.append(box)
            continue
        said.append(box._replace(key=lines[near].key))
        if kind is not None and (kind[0] in _SIGNS or kind[0] == _BALANCE):
            lines = [one._replace(words=text.text.words) if one.key == lines[near].key else one for one in lines]
    return tuple(lines), tuple(said)


def _points_of(segments: Sequence[Segment], closed: bool) -> npt.NDArray[np.complex128]:
    points = dense([segments], _STEP)
    return np.append(points, points[0]) if closed and len(points) else points


def _not_along(
    run: npt.NDArray[np.complex128], edges: Sequence[npt.NDArray[np.complex128]]
) -> npt.NDArray[np.complex128]:
    # Points along an edge become none, which lie on no page.
    for edge in edges:
        start, end = edge[0], edge[-1]
        way = (end - start) / abs(end - start)
        off = (run - start) * way.conjugate()
        room = 100.0  # through the allowance at both ends
        along = (np.abs(off.imag) < ON_FOLD) & (off.real > -room) & (off.real < abs(end - start) + room)
        run = np.where(along, complex(np.nan, np.nan), run)
    return run


def _kind_named(tag: Tag, words: str) -> tuple[str, int] | None:
    if not tag.role.endswith("-label"):
        return None
    sign = tag.role.removesuffix("-label")
    if sign == "stitch":
        sign = next((css for css, plain in _PLAIN.items() if words.startswith(plain)), sign)
        sign = sign.removesuffix("-line")
    return ("stitch" if sign == "mate" else sign), tag.pleat


def _name_of(shape: BodyShape) -> tuple[str, str, str] | None:
    # Its words, what it is, and for lines of the person's own a key that all of one name share.
    tag = shape.shape.tag
    if shape.look.stroke is None:
        return None
    css = _SEEN.get(shape.shape.css, shape.shape.css)
    if tag is not None and css in _ROLES:
        role = _ROLES[css]
        return role.words.format(tag.pleat, ""), role.sign, ""
    if tag is not None and css == "join-line":
        return f"JOIN {tag.join}".strip(), "join", ""
    if css in _PLAIN:
        number = f" {tag.pleat}" if tag is not None and tag.pleat else ""
        return _PLAIN[css] + number, css.removesuffix("-line"), ""
    name = shape.shape.name
    if (css in ("balance-line", "carried-line") or tag is None) and any(letter.isalpha() for letter in name):
        return name, _BALANCE if css == "balance-line" else "", f"own {name}"
    return None


def names_on_page(
    lines: Sequence[Named],
    words: Sequence[WordBox],
    strokes: npt.NDArray[np.complex128],
    corner: complex,
    size: tuple[float, float],
    widths: Widths,
) -> tuple[NameAt, ...]:
    """Return the names that are written on a page.

    Args:
        lines: that may cross it.
        words: that stand there already.
        strokes: everything that is drawn on it, as straight bits: two columns, start and end.
        corner, size: of its window.
        widths: cf. `Widths`.
    """
    left, top, right, bottom = corner.real, corner.imag, corner.real + size[0], corner.imag + size[1]
    window = (left + _EDGE, top + _EDGE, right - _EDGE, bottom - _EDGE)
    there = {box.key for box in words if box.key and _within(box, (left, top, right, bottom))}
    taken = [
        box
        for box in words
        if left - 200 < box.middle.real < right + 200 and top - 200 < box.middle.imag < bottom + 200
    ]
    made: list[NameAt] = []
    longest: dict[str, tuple[str, npt.NDArray[np.complex128]]] = {}
    for line in lines:
        if line.key in there:
            continue
        run = _longest_run(line.points, window)
        if run is None:
            continue
        was = longest.get(line.key)
        if was is None or len(run) > len(was[1]):
            longest[line.key] = (line.words, run)
    for key, (said, run) in longest.items():
        if _length(run) < (_SHORTEST_OWN if " own " in key else _SHORTEST):
            continue
        at = _room_for(said, run, taken, strokes, window, widths)
        made.append(at)
        taken.append(WordBox(at.middle, at.way, widths(said, at.size, False), at.size))
    return tuple(made)


def _length(run: npt.NDArray[np.complex128]) -> float:
    return float(np.abs(np.diff(run)).sum())


def _longest_run(points: npt.NDArray[np.complex128], window: Box) -> npt.NDArray[np.complex128] | None:
    left, top, right, bottom = window
    inside = (points.real >= left) & (points.real <= right) & (points.imag >= top) & (points.imag <= bottom)
    if not inside.any():
        return None
    flips = np.flatnonzero(np.diff(np.concatenate([[False], inside, [False]]).astype(int)))
    starts, ends = flips[::2], flips[1::2]
    k = int(np.argmax(ends - starts))
    run = points[starts[k] : ends[k]]
    return run if len(run) > 1 else None


_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9, 0.42, 0.58, 0.27, 0.73)


def _room_for(
    said: str,
    run: npt.NDArray[np.complex128],
    taken: Sequence[WordBox],
    strokes: npt.NDArray[np.complex128],
    window: Box,
    widths: Widths,
) -> NameAt:
    best: tuple[float, NameAt] | None = None
    for size in (SIZE, 3.4):
        width = widths(said, size, False)
        for order, share in enumerate(_SHARES):
            k = min(max(int(share * (len(run) - 1)), 0), len(run) - 2)
            reach = max(1, int(width / 2 / _STEP))
            way = run[min(k + reach, len(run) - 1)] - run[max(k - reach, 0)]
            if not way:
                way = run[k + 1] - run[k]
            if not way:
                continue
            turn = math.radians(readable(complex(way)))
            along = cmath.rect(1.0, turn)
            for side in (-1j, 1j):
                middle = complex(run[k]) + along * side * (_OFF + size * CAPITALS / 2)
                middle = _pushed_in(middle, along, width, size, window)
                name = NameAt(said, middle, along, size)
                cost = in_the_way(name, width, taken, strokes) + 0.01 * order + (0.3 if size != SIZE else 0.0)
                cost += 0.5 if _nearer_another(name, width, strokes) else 0.0
                if best is None or cost < best[0]:
                    best = (cost, name)
                if cost < 0.2:
                    return name
    assert best is not None
    return best[1]


def _half(along: complex, width: float, size: float) -> tuple[float, float]:
    across = 1j * along
    high = size * CAPITALS
    return (
        abs(along.real) * width / 2 + abs(across.real) * high / 2,
        abs(along.imag) * width / 2 + abs(across.imag) * high / 2,
    )


def _pushed_in(middle: complex, along: complex, width: float, size: float, window: Box) -> complex:
    half_w, half_h = _half(along, width, size)
    left, top, right, bottom = window
    x = min(max(middle.real, left + half_w), max(right - half_w, left + half_w))
    y = min(max(middle.imag, top + half_h), max(bottom - half_h, top + half_h))
    return complex(x, y)


def in_the_way(name: NameAt, width: float, taken: Sequence[WordBox], strokes: npt.NDArray[np.complex128]) -> float:
    """Return what is in the way of a name: 1 for every stroke that runs through it, 4 for other words under it.

    Args:
        name: where it would stand.
        width: of its words, mm.
        taken: words that stand there.
        strokes: straight bits: two columns, start and end.
    """
    half_w, half_h = width / 2 + 0.6, name.size * CAPITALS / 2 + 0.5
    cost = float(_touched(name, half_w, half_h, strokes))
    for box in taken:
        if _overlap(name, half_w, half_h, box):
            cost += 4.0
    return cost


def _nearer_another(name: NameAt, width: float, strokes: npt.NDArray[np.complex128]) -> bool:
    # Whether a stroke runs by it nearer than its own line does: it would be read as the name of that one.
    return _touched(name, width / 2, name.size * CAPITALS / 2 + _OFF - _BENT, strokes) > 0


def _touched(name: NameAt, half_w: float, half_h: float, strokes: npt.NDArray[np.complex128]) -> int:
    # How many strokes run through a box about a name's middle.
    if not len(strokes):
        return 0
    ends = (strokes - name.middle) * name.way.conjugate()
    way, mid = (ends[:, 1] - ends[:, 0]) / 2, (ends[:, 1] + ends[:, 0]) / 2
    dx, dy = np.abs(way.real), np.abs(way.imag)
    touched = (np.abs(mid.real) <= half_w + dx) & (np.abs(mid.imag) <= half_h + dy)
    touched &= np.abs(way.real * mid.imag - way.imag * mid.real) <= half_w * dy + half_h * dx
    return int(touched.sum())


def _overlap(name: NameAt, half_w: float, half_h: float, box: WordBox) -> bool:
    off = box.middle - name.middle
    if abs(off) > half_w + half_h + (box.width + box.height) / 2:
        return False  # as most are: farther apart than two corners can reach
    for axis in (name.way, 1j * name.way, box.way, 1j * box.way):
        own, other = axis * name.way.conjugate(), axis * box.way.conjugate()
        reach = (
            half_w * abs(own.real)
            + half_h * abs(own.imag)
            + box.width / 2 * abs(other.real)
            + box.height / 2 * abs(other.imag)
        )
        if abs((off * axis.conjugate()).real) > reach:
            return False
    return True


def _within(box: WordBox, window: Box) -> bool:
    half_w, half_h = _half(box.way, box.width, box.height / CAPITALS)
    left, top, right, bottom = window
    return (
        left <= box.middle.real - half_w
        and box.middle.real + half_w <= right
        and top <= box.middle.imag - half_h
        and box.middle.imag + half_h <= bottom
    )
