"""Fold a written result back along its drawn creases and measure how true it is.

The referee knows only what stands in the SVG: the flat stitching line, the finished outline, the creases and
the lines they are to lie on.  It uses lxml, numpy and shapely and shares no code with the program.

How it folds.  The flat piece is parted along its creases, from the first panel to the last; region k lies
between crease k and crease k + 1.  Region 0 stays where it is.  Region k is moved by the product of the
reflections in the flat creases, F_k = F_(k-1) o R(crease k).  Source: the product of two reflections is a
translation by twice their distance or a rotation by twice their angle (any text on plane isometries, such as
Coxeter, *Introduction to Geometry*, chapter 3).

All lengths are millimetres, all areas square millimetres; y runs down the page.  Points are complex numbers.

What it cannot see: a finished outline that is itself the wrong one, a pleat of the wrong intake (compare the
``intakes`` table with what was asked for), and a hidden layer that was given the wrong share of the outline
in such a way that every edge of it still lies on the outline.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely
from lxml import etree

Points = npt.NDArray[np.complex128]
Reals = npt.NDArray[np.float64]

LIMIT_MM = 0.01
"""What a true result is held to, mm."""
FLATTEN_MM = 0.0002
"""A curve is replaced by chords that stray from it by no more than this, mm: a fiftieth of the limit."""
STEP_MM = 2.0
"""Edges are sampled at least this often, mm, besides every corner."""
CORNER = 0.005
"""Radians.  Where chords turn by more there is a corner; a node at which they turn by less strays from the way between
the samples on either side of it by no more than STEP_MM / 2 x this, half of the limit."""
NEAR_MM = 0.05
"""Edges within this of a point are asked for first, mm; any value gives the same distances."""
TIE_MM = 0.02
"""Crease ends this near to one another along the seam may come in either order, mm."""
CRACK_MM = 0.002
"""A gap between folded layers narrower than this is rounding, not a gap, mm."""
EMPTY_MM2 = 0.01
"""A region smaller than this holds no cloth (two creases coincide), mm2."""
STRAIGHT_MM = 1e-5
"""A crease strays from its chord by no more than this, mm."""
ON_OUTLINE_MM = 1e-5
"""A spot this near to an outline lies on it as far as it is written, outside or not, mm."""
AREA_PER_LIMIT_MM = 100.0
"""Areas are held to limit x this: the error that 100 mm of edge out by the limit makes, mm."""

_UNDRAWN = {"defs", "symbol", "clipPath", "mask", "marker", "pattern"}
_TUCKS = {"tuck", "pin-tuck"}
_POINTING = {"left": -1 + 0j, "right": 1 + 0j, "up": 0 - 1j, "down": 0 + 1j}


class CannotFoldError(ValueError):
    """The file does not hold what folding back needs, or its creases cannot be put in order."""


# ------------------------------------------------------------------------------------------- what is measured


@dataclass(frozen=True)
class Intake:
    """What one pleat takes up: the straight steps fold line to placement line, summed over its layers, mm."""

    pleat: int
    kind: str
    lap: str
    top_mm: float
    hem_mm: float


@dataclass(frozen=True)
class Proof:
    """What folding one piece back has shown.  Lengths in mm, areas in mm2; 0 is perfect throughout."""

    piece: str
    silhouette_mm: float
    """Largest distance between the edge of all folded layers together and the finished outline, both ways."""
    raw_edge_mm: float
    """Largest distance of a raw edge (an edge that is no crease) of any folded layer from the outline."""
    fold_on_placement_mm: float
    """Largest distance of an end of an outer fold line from that of its placement line, both folded."""
    stitch_on_stitch_mm: float
    """Tucks: largest distance between the ends of the two stitch lines, both folded."""
    poke_out_mm: float
    """How far any folded layer lies outside the finished outline."""
    area_error_mm2: float
    """Largest difference of a flat region from the part of the finished piece it is to cover; also of the
    flat piece from the sum of its regions."""
    crease_end_mm: float
    """Largest distance of a crease end from the flat seam."""
    crease_outside_mm: float
    """How far any crease strays outside the flat piece between its ends."""
    region_count: int
    """Regions the creases part the flat piece into, empty ones counted."""
    raw_runs: tuple[int, ...]
    """For each region that holds cloth: how many separate raw edges.  Inner regions 2, hinged ones 1."""
    flat_area_mm2: float
    finished_area_mm2: float
    intakes: tuple[Intake, ...]
    faults: tuple[str, ...]
    """What is wrong in words: a lap that points the other way, an outer fold with no placement line."""
    places: Mapping[str, str]
    """Measure name -> where its largest value was met."""
    crease_broken_mm: float = 0.0
    """Of an earlier pass, once the later ones are folded: how far a line strays from a straight one, how long a piece
    of it is missing, or by how much it is too short or too long on any layer of cloth that lies where it runs."""

    def failures(self, limit: float = LIMIT_MM) -> list[str]:
        """Every measure beyond its limit as one readable line; ``limit`` in mm, areas take it x 100 mm."""
        lines = []
        for name, words in _MEASURES.items():
            value = float(getattr(self, name))
            bound, unit = (limit * AREA_PER_LIMIT_MM, "mm2") if name.endswith("mm2") else (limit, "mm")
            if not value <= bound:
                where = f", {self.places[name]}" if self.places.get(name) else ""
                lines.append(f"{words}: {value:.4g} {unit} (limit {bound:g} {unit}){where}")
        return lines + list(self.faults)


_MEASURES = {
    "crease_end_mm": "a crease ends off the flat seam",
    "crease_outside_mm": "a crease leaves the flat piece",
    "raw_edge_mm": "a raw edge of a layer is off the finished outline",
    "silhouette_mm": "the folded silhouette is off the finished outline",
    "poke_out_mm": "a folded layer pokes out of the finished outline",
    "fold_on_placement_mm": "a fold line misses its placement line",
    "stitch_on_stitch_mm": "the two stitch lines of a tuck do not meet",
    "crease_broken_mm": "a line of an earlier pass is bent or broken once the later ones are folded",
    "area_error_mm2": "a region does not keep its area",
}


# ------------------------------------------------------------------------------------------- plane isometries


@dataclass(frozen=True)
class Motion:
    """A plane isometry: z -> turn z + shift, or turn conj(z) + shift where it turns the cloth over."""

    turn: complex = 1 + 0j
    shift: complex = 0j
    over: bool = False

    def of(self, points: Points) -> Points:
        """The points moved, mm."""
        moved: Points = self.turn * (np.conj(points) if self.over else points) + self.shift
        return moved

    def inverse(self) -> Motion:
        """The motion that undoes this one."""
        turn = self.turn if self.over else self.turn.conjugate()
        shift = self.shift.conjugate() if self.over else self.shift
        return Motion(turn, -turn * shift, self.over)

    def __matmul__(self, first: Motion) -> Motion:
        """The product: ``first``, then this one."""
        if self.over:
            turn, shift = self.turn * first.turn.conjugate(), self.turn * first.shift.conjugate()
        else:
            turn, shift = self.turn * first.turn, self.turn * first.shift
        return Motion(turn, shift + self.shift, self.over != first.over)


def reflection(start: complex, end: complex) -> Motion:
    """The reflection in the line through two points, mm."""
    square = ((end - start) / abs(end - start)) ** 2
    return Motion(square, start - square * start.conjugate(), True)


def folding_motions(creases: Iterable[tuple[complex, complex]]) -> list[Motion]:
    """The motions that fold regions 0, 1, 2 ... given the flat creases in order, each by two points, mm."""
    motions = [Motion()]
    for start, end in creases:
        motions.append(motions[-1] @ reflection(start, end))
    return motions


# ---------------------------------------------------------------------------------------------------- reading


@dataclass(frozen=True)
class _Line:
    """One drawn straight line of a pleat, from the top seam to the hem, mm."""

    role: str  # outer, inner, stitch (creases); placement, stitch-mate (what creases are to lie on)
    pleat: int
    folds: tuple[int, ...]
    ends: Points
    kind: str
    lap: str
    nodes: Points
    """All of its nodes: where an allowance is drawn, the line runs on from the seam to the cutting line."""

    @property
    def words(self) -> str:
        numbers = " ".join(str(fold) for fold in self.folds)
        return f"pleat {self.pleat} {self.role} fold {numbers}"


@dataclass(frozen=True)
class _Piece:
    name: str
    seam: Points
    finished: Points
    creases: tuple[_Line, ...]
    landings: tuple[_Line, ...]
    fold_edge: Points | None
    """The edge cut on the fold, from its top to its hem."""
    cut: Points | None
    finished_cut: Points | None
    free: tuple[Points, ...]
    """Stretches of the cutting line that fold onto nothing by design."""
    earlier: tuple[_Pass, ...] = ()
    """The passes before the last one, the last of them first."""
    parted: bool = False
    """Whether it is drawn in parts."""


@dataclass(frozen=True)
class _Strokes:
    """A line of an earlier pass as the later ones have left it: open polylines on the flat piece, mm."""

    role: str
    pleat: int
    folds: tuple[int, ...]
    kind: str
    lap: str
    strokes: tuple[Points, ...]

    @property
    def words(self) -> str:
        return f"pleat {self.pleat} {self.role} fold {' '.join(str(fold) for fold in self.folds)}"


@dataclass(frozen=True)
class _Pass:
    """An earlier pass as it is drawn: what it was to become, and its lines."""

    finished: Points
    lines: tuple[_Strokes, ...]


_TOKEN = re.compile(r"\s*,?\s*(?:([A-Za-z])|([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?))")


def read_path(data: str) -> list[tuple[Points, bool]]:
    """Subpaths of an SVG path as flat polylines, mm, each with whether it is closed.

    Only absolute M, L, C and Z are read.  Cubics become chords within FLATTEN_MM (Wang's bound on the second
    differences).  Raises CannotFoldError on anything else.
    """
    return list(_subpaths(data))


@lru_cache(
    maxsize=512
)  # the lines of a result are asked for several times over, as are those of one that is spoilt in one
def _subpaths(data: str) -> tuple[tuple[Points, bool], ...]:
    tokens: list[str] = []
    at = 0
    data = data.rstrip()
    for match in _TOKEN.finditer(data):
        if match.start() != at:
            break
        tokens.append(match.group(1) or match.group(2))
        at = match.end()
    if at < len(data):
        raise CannotFoldError(f"path data is not readable at {data[at : at + 20]!r}")
    subpaths: list[tuple[Points, bool]] = []
    parts: list[Points] = []
    command = ""
    index = 0

    def close_off(closed: bool) -> None:
        if parts:
            subpaths.append((np.concatenate(parts), closed))
            parts.clear()

    def take(count: int) -> list[complex]:
        nonlocal index
        taken = tokens[index : index + 2 * count]
        if len(taken) < 2 * count or any(map(str.isalpha, taken)):
            raise CannotFoldError(f"path command {command} lacks numbers")
        index += 2 * count
        values = list(map(float, taken))
        return list(map(complex, values[::2], values[1::2]))

    while index < len(tokens):
        if tokens[index].isalpha():
            command = tokens[index]
            index += 1
        elif command == "Z" or not command:
            raise CannotFoldError("path data has numbers without a command")
        elif command == "M":
            command = "L"
        if command == "Z":
            if not parts:
                raise CannotFoldError("path command Z closes nothing")
            close_off(True)
        elif command == "M":
            close_off(False)
            parts.append(np.array(take(1)))
        elif command in ("L", "C"):
            if not parts:
                raise CannotFoldError(f"path command {command} comes before any M")
            parts.append(np.array(take(1)) if command == "L" else _chords(parts[-1][-1], *take(3)))
        else:
            raise CannotFoldError(f"path command {command} is not one of M L C Z")
    close_off(False)
    for points, _ in subpaths:
        points.flags.writeable = False
    return tuple(subpaths)


def _chords(start: complex, first: complex, second: complex, end: complex) -> Points:
    """A cubic as chord ends without its start, mm."""
    bend = max(abs(start - 2 * first + second), abs(first - 2 * second + end))
    count = max(1, math.ceil(math.sqrt(0.75 * bend / FLATTEN_MM)))
    t = np.arange(1, count + 1) / count
    s = 1 - t
    points: Points = s**3 * start + 3 * s * s * t * first + 3 * s * t * t * second + t**3 * end
    points[-1] = end
    return points


def _local(element: Any) -> str:
    return etree.QName(element).localname if isinstance(element.tag, str) else ""


def _classes(element: Any) -> list[str]:
    return str(element.get("class", "")).split()


def by_class(path: Path | str) -> dict[str, list[Any]]:
    """The elements of a file by each of their classes, in the order of the file."""
    every: dict[str, list[Any]] = {}
    for element in etree.fromstring(Path(path).read_bytes()).iter("*"):
        for name in _classes(element):
            every.setdefault(name, []).append(element)
    return every


def _check_root(root: Any) -> None:
    if _local(root) != "svg":
        raise CannotFoldError("the root is not an svg element")
    sizes = []
    for name in ("width", "height"):
        text = str(root.get(name, ""))
        if not re.fullmatch(r"\d+(\.\d+)?mm", text):
            raise CannotFoldError(f"the root's {name} is {text!r}, not a number of mm")
        sizes.append(float(text[:-2]))
    box = [float(value) for value in str(root.get("viewBox", "")).replace(",", " ").split()]
    if len(box) != 4 or box[:2] != [0, 0] or max(abs(box[2] - sizes[0]), abs(box[3] - sizes[1])) > 1e-6:
        raise CannotFoldError(f"viewBox {box} does not make one user unit one mm of {sizes[0]} x {sizes[1]}")


def _check_in_place(element: Any) -> None:
    """Refuse a pattern line that is not drawn where its numbers say."""
    for level in (element, *element.iterancestors()):
        name = _local(level)
        if level.get("transform") or "transform" in str(level.get("style", "")):
            raise CannotFoldError(f"a transform stands at or above a {element.get('class')!r} element")
        if name in _UNDRAWN or (name == "svg" and level.getparent() is not None):
            raise CannotFoldError(f"a {element.get('class')!r} element lies inside a nested {name}")


def _closed_path(elements: Sequence[Any], name: str) -> Points:
    if len(elements) != 1:
        raise CannotFoldError(f"{len(elements)} {name} elements in a piece, not one")
    _check_in_place(elements[0])
    subpaths = read_path(str(elements[0].get("d", "")))
    if len(subpaths) != 1 or not subpaths[0][1]:
        raise CannotFoldError(f"{name} is not one closed path")
    return subpaths[0][0]


def _on_seam(nodes: Points, seam: _Ring) -> Points:
    """The two nodes at which a line meets the flat seam: of those that follow one another, the pair nearest to it."""
    if len(nodes) == 2:
        return nodes
    if len(nodes) > 4:
        raise CannotFoldError(f"a line of a pleat has {len(nodes)} nodes; at most four have a meaning")
    away = seam.distance(nodes)
    at = min(range(len(nodes) - 1), key=lambda k: max(away[k], away[k + 1]))
    return nodes[at : at + 2]


def _strokes(element: Any, role: str) -> _Strokes:
    _check_in_place(element)
    what = f"{role} line of pleat {element.get('data-pleat')}"
    subpaths = read_path(str(element.get("d", "")))
    if not subpaths or any(closed or len(points) < 2 for points, closed in subpaths):
        raise CannotFoldError(f"{what} is not one open path")
    try:
        pleat = int(element.get("data-pleat", ""))
        folds = tuple(int(number) for number in str(element.get("data-fold", "")).split())
    except ValueError:
        raise CannotFoldError(f"{what}: data-pleat or data-fold is not a number") from None
    for name in ("data-kind", "data-lap"):
        if element.get(name) is None:
            raise CannotFoldError(f"{what} has no {name}")
    kind, lap = str(element.get("data-kind")), str(element.get("data-lap"))
    return _Strokes(role, pleat, folds, kind, lap, tuple(points for points, _ in subpaths))


def _straight_line(element: Any, role: str, seam: _Ring) -> _Line:
    line = _strokes(element, role)
    what = f"{role} line of pleat {line.pleat}"
    if len(line.strokes) != 1:
        raise CannotFoldError(f"{what} is not one open path")
    points = line.strokes[0]
    chord = points[-1] - points[0]
    if abs(chord) <= STRAIGHT_MM:
        raise CannotFoldError(f"{what} has no length")
    across = ((points - points[0]) / chord).imag * abs(chord)
    if np.abs(across).max() > STRAIGHT_MM:
        raise CannotFoldError(f"{what} is bent by {np.abs(across).max():.4g} mm")
    return _Line(role, line.pleat, line.folds, _on_seam(points, seam), line.kind, line.lap, points)


def _read_piece(group: Any) -> _Piece:
    every: dict[str, list[Any]] = {}
    for element in group.iter("{*}path"):
        for name in _classes(element):
            every.setdefault(name, []).append(element)
    last = max((_pass_of(element) for name in _OF_PLEATS for element in every.get(name, [])), default=1)
    found = {
        name: [element for element in elements if name not in _OF_PASSES or _pass_of(element) == last]
        for name, elements in every.items()
    }
    earlier = tuple(_read_pass(every, number) for number in range(last - 1, 0, -1))
    parts = _joined_parts(found.get("seam-line", []), found.get("join-line", []))
    darts = found.get("closed-dart", [])
    if darts:
        seam = _cut_open(parts.seam, darts, "seam")
        parts = _Parts((_Ring(seam),), parts.motions, seam)
    seam = parts.seam
    creases = [parts.line(element, "outer") for element in found.get("fold-line", [])]
    creases += [parts.line(element, "inner") for element in found.get("inner-fold-line", [])]
    landings = [parts.line(element, "placement") for element in found.get("placement-line", [])]
    for element in found.get("stitch-line", []):
        if element.get("data-crease") is not None:
            creases.append(parts.line(element, "stitch"))
        else:
            landings.append(parts.line(element, "stitch-mate"))
    for crease in creases:
        if len(crease.folds) != 1:
            raise CannotFoldError(f"{crease.words}: data-fold must be one number")
    creases.sort(key=lambda crease: (crease.pleat, crease.folds))
    for one, other in pairwise(creases):
        if (one.pleat, one.folds) == (other.pleat, other.folds):
            raise CannotFoldError(f"{one.words} is there twice")
    return _Piece(
        str(group.get("data-piece")),
        seam,
        _closed_path(found.get("finished-line", []), "finished-line"),
        tuple(creases),
        tuple(landings),
        parts.laid(_open_line(found.get("fold-edge", []))),
        _cut_open(_closed_path(found["cut-line"], "cut-line"), darts, "cut")
        if "cut-line" in found and len(parts.rings) == 1
        else None,
        _closed_path(found["finished-cut-line"], "finished-cut-line") if "finished-cut-line" in found else None,
        tuple(
            [
                parts.laid(points)
                for element in found.get("free-edge", [])
                for points, _ in read_path(element.get("d", ""))
            ]
        ),
        earlier,
        len(parts.rings) > 1,
    )


def _cut_open(outline: Points, darts: Sequence[Any], which: str) -> Points:
    """An outline cut open along the darts that were closed in it: to the point of each and back.

    Folded, the cloth about that point is a cone, which lies flat only with its angle open; so it is folded as if it were cut
    from the dart's mouth to its point.  Raises CannotFoldError where a dart does not begin and end on the outline.
    """
    for element in darts:
        if element.get("data-line") != which:
            continue
        _check_in_place(element)
        legs = read_path(str(element.get("d", "")))[0][0]
        ring = _Ring(outline)
        if len(legs) != 3 or ring.distance(legs[[0, -1]]).max() > LIMIT_MM:
            raise CannotFoldError(f"a closed dart does not begin and end on the {which} line")
        start, end = ring.places(legs[[0, -1]])
        apart = abs(legs[-1] - legs[0])
        if apart > LIMIT_MM and ring.gap(end, start) < ring.gap(start, end):
            start, end, legs = end, start, legs[::-1]
        half = (end + (start - end) % ring.length / 2) if apart > LIMIT_MM else start + ring.length / 2
        begin = end if apart > LIMIT_MM else start
        whole = [ring.run(begin, half), ring.run(half % ring.length, start)[1:], legs[1:-1]]
        outline = np.concatenate(whole)
    return outline


@dataclass(frozen=True)
class _Parts:
    """The parts of a flat piece: the ring of each as drawn, its motion to the place where it meets the others, and the
    seam of all together once they are sewn, mm."""

    rings: tuple[_Ring, ...]
    motions: tuple[Motion, ...]
    seam: Points

    def home(self, points: Points) -> int:
        """The part that drawn points lie on or are nearest to."""
        if len(self.rings) == 1:
            return 0
        spots = shapely.points(_xy(points))
        return int(np.argmin([shapely.distance(shapely.Polygon(_xy(ring.points)), spots).sum() for ring in self.rings]))

    def laid(self, points: Any) -> Any:
        """Drawn points where they lie once the parts are sewn together; None stays None."""
        return None if points is None else self.motions[self.home(points)].of(points)

    def line(self, element: Any, role: str) -> _Line:
        """A drawn line of a pleat, laid with its part."""
        if len(self.rings) == 1:
            return _straight_line(element, role, self.rings[0])
        home = self.home(read_path(str(element.get("d", "")))[0][0])
        line = _straight_line(element, role, self.rings[home])
        return replace(line, ends=self.motions[home].of(line.ends), nodes=self.motions[home].of(line.nodes))


def _joined_parts(seams: Sequence[Any], joins: Sequence[Any]) -> _Parts:
    """Lay the parts of a piece edge to edge at the join lines of one number, the first part staying where it is.

    Raises CannotFoldError where a part has no join to the others, or a join lies on no edge of its part.
    """
    if len(seams) < 2:
        seam = _closed_path(seams, "seam-line")
        return _Parts((_Ring(seam),), (Motion(),), seam)
    outlines = [_closed_path([element], "seam-line") for element in seams]
    parts = _Parts(tuple([_Ring(points) for points in outlines]), tuple([Motion()] * len(outlines)), outlines[0])
    sides: dict[str, list[tuple[int, Points]]] = {}
    for element in joins:
        _check_in_place(element)
        ends = read_path(str(element.get("d", "")))[0][0][[0, -1]]
        sides.setdefault(str(element.get("data-join")), []).append((parts.home(ends), ends))
    motions: dict[int, Motion] = {0: Motion()}
    whole = outlines[0]
    waiting = dict(sides)
    while waiting:
        for number, pair in waiting.items():
            if len(pair) != 2 or pair[0][0] == pair[1][0]:
                raise CannotFoldError(f"join {number} is not drawn on two parts")
            (one, at), (other, ends) = pair if pair[0][0] in motions else pair[::-1]
            if one in motions and other not in motions:
                break
        else:
            raise CannotFoldError(f"joins {', '.join(waiting)} do not lead to the other parts")
        del waiting[number]
        there = motions[one].of(at)
        turn = (there[1] - there[0]) / (ends[1] - ends[0])
        if abs(abs(turn) - 1) * abs(ends[1] - ends[0]) > LIMIT_MM:
            raise CannotFoldError(f"join {number} is {abs(at[1] - at[0]):.4f} mm long on one part, not so on the other")
        turn /= abs(turn)
        motions[other] = Motion(complex(turn), complex(there[0] - turn * ends[0]), False)
        whole = _sewn(whole, motions[other].of(outlines[other]), there)
    if len(motions) < len(outlines):
        raise CannotFoldError(f"{len(outlines)} seam-line elements in a piece, of which one has no join to the others")
    return _Parts(parts.rings, tuple([motions[k] for k in range(len(outlines))]), whole)


def _sewn(one: Points, other: Points, edge: Points) -> Points:
    """Two closed outlines as one, the straight edge that they share left out of both."""
    chains = []
    for points in (one, other):
        ring = _Ring(points)
        if ring.distance(edge).max() > CRACK_MM:
            raise CannotFoldError("a join line does not lie on the edge of its part")
        start, end = ring.places(edge)
        length = float(abs(edge[1] - edge[0]))
        along = ring.run(start, end) if ring.gap(start, end) < ring.gap(end, start) else ring.run(end, start)[::-1]
        if abs(ring.gap(start, end) - length) > abs(ring.gap(end, start) - length):
            chains.append(ring.run(start, end))
        else:
            chains.append(ring.run(end, start)[::-1])
        if np.abs(np.abs(along - edge[0]) + np.abs(along - edge[1]) - length).max() > CRACK_MM:
            raise CannotFoldError("a join line is no edge of its part")
    return np.concatenate([chains[0][:-1], chains[1][::-1][:-1]])


_OF_PLEATS = {"fold-line": "outer", "inner-fold-line": "inner", "placement-line": "placement", "stitch-line": "stitch"}
_OF_PASSES = {*_OF_PLEATS, "finished-line", "finished-cut-line"}


def _pass_of(element: Any) -> int:
    text = str(element.get("data-pass"))
    if not re.fullmatch(r"[1-9]", text):
        raise CannotFoldError(f"a {element.get('class')!r} element has data-pass {text!r}, not a number from 1 to 9")
    return int(text)


def _read_pass(every: Mapping[str, Sequence[Any]], number: int) -> _Pass:
    finished = [element for element in every.get("finished-line", []) if _pass_of(element) == number]
    lines = []
    for name, role in _OF_PLEATS.items():
        for element in every.get(name, []):
            if _pass_of(element) == number:
                mate = name == "stitch-line" and element.get("data-crease") is None
                lines.append(_strokes(element, "stitch-mate" if mate else role))
    return _Pass(_closed_path(finished, "finished-line"), tuple(lines))


def _open_line(elements: Sequence[Any]) -> Points | None:
    if not elements:
        return None
    if len(elements) > 1:
        raise CannotFoldError(f"{len(elements)} fold-edge elements in a piece, not one")
    _check_in_place(elements[0])
    subpaths = read_path(str(elements[0].get("d", "")))
    if len(subpaths) != 1 or subpaths[0][1] or len(subpaths[0][0]) != 2:
        raise CannotFoldError("fold-edge is not one straight line")
    return subpaths[0][0]


def _read(path: Path | str) -> list[_Piece]:
    parser = etree.XMLParser(resolve_entities=False, no_network=True)
    try:
        root = etree.fromstring(Path(path).read_bytes(), parser)
    except etree.XMLSyntaxError as error:
        raise CannotFoldError(f"not readable as XML: {error}") from None
    _check_root(root)
    groups = [
        element
        for element in root.iter("{*}g")
        if "piece" in _classes(element) and element.get("data-piece") is not None
    ]
    if not groups:
        raise CannotFoldError("no piece in the file")
    return [_read_piece(group) for group in groups]


@dataclass(frozen=True)
class FoldedLine:
    """A fold line that is seen, folded: its pleat, its ends on the seam, and where it runs out (all drawn nodes), mm."""

    pleat: int
    ends: Points
    nodes: Points


def folded_lines(path: Path | str) -> tuple[Points, list[FoldedLine]]:
    """The finished outline of a result of one piece, opened out where it is cut on the fold, and its folded fold lines."""
    (half,) = _read(path)
    piece, home = _whole(half)
    motions = _laid_on(piece.creases, home)
    lines = [
        FoldedLine(abs(crease.pleat), motions[k].of(crease.ends), motions[k].of(crease.nodes))
        for k, crease in enumerate(piece.creases)
        if crease.role == "outer"
    ]
    return piece.finished, lines


# ------------------------------------------------------------------------------------------ rings and regions


class _Ring:
    """A closed polyline, mm, walked in one direction; a place on it is the length walked from its start."""

    def __init__(self, points: Points) -> None:
        steps = np.abs(points - np.roll(points, 1))
        self.points: Points = points[steps > 1e-9]
        if len(self.points) < 3:
            raise CannotFoldError("a closed path has fewer than three corners")
        self._walk: Points = np.concatenate([self.points, self.points, self.points[:1]])
        self._at: Reals = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(self._walk)))])
        self.length = float(self._at[len(self.points)])

    @cached_property
    def line(self) -> Any:
        """All of it as a closed line, prepared."""
        line = shapely.LineString(_xy(self._walk[: len(self.points) + 1]))
        shapely.prepare(line)
        return line

    @cached_property
    def _edges(self) -> _Edges:
        return _Edges(self.points)

    @cached_property
    def _corners(self) -> Reals:
        """The places of its corners, twice round."""
        steps = np.roll(self.points, -1) - self.points
        places = self._at[:-1][: len(steps)][np.abs(np.angle(steps / np.roll(steps, 1))) > CORNER]
        return np.concatenate([places, places + self.length])

    def turned(self) -> _Ring:
        """The same ring walked the other way."""
        return _Ring(self.points[::-1])

    def backward(self, places: Reals) -> Reals:
        """The same places on the ring walked the other way, which begins at its last point."""
        there: Reals = (self._at[len(self.points) - 1] - places) % self.length
        return there

    def distance(self, points: Points) -> Reals:
        """Distance of each point from the ring, mm."""
        return self._edges.distance(points)

    def places(self, points: Points) -> Reals:
        """The place on the ring nearest to each point, mm from its start."""
        _, edge, share = self._edges.nearest(points)
        starts = self._at[edge]
        places: Reals = (starts + share * (self._at[edge + 1] - starts)) % self.length
        return places

    def gap(self, start: float, end: float) -> float:
        """The way from one place forward to another, mm; just short of a whole round counts as nothing."""
        way = (end - start) % self.length
        return 0.0 if way > self.length - TIE_MM else way

    def at(self, places: Reals) -> Points:
        """The points at places between 0 and twice the length, mm."""
        points: Points = np.interp(places, self._at, self._walk.real) + 1j * np.interp(
            places, self._at, self._walk.imag
        )
        return points

    def run(self, start: float, end: float) -> Points:
        """The ring from one place forward to another, mm."""
        return self.runs([(start, end)])[0]

    def runs(self, spans: Sequence[tuple[float, float]]) -> list[Points]:
        """The ring from one place forward to another, for each pair of places, mm."""
        starts = np.array([start for start, _ in spans])
        ends = starts + [self.gap(start, end) for start, end in spans]
        first = np.searchsorted(self._at, starts + 1e-9, side="right")
        after = np.searchsorted(self._at, ends - 1e-9, side="left")
        bounds = self.at(np.array([starts, ends]))
        return [
            np.concatenate([bounds[:1, k], self._walk[first[k] : after[k]], bounds[1:, k]]) for k in range(len(spans))
        ]

    def spots(self, spans: Sequence[tuple[float, float]]) -> list[Points]:
        """What `_spots` gives of each of these runs."""
        every = []
        for start, end in spans:
            last = start + self.gap(start, end)
            low, high = np.searchsorted(self._corners, (start + 1e-9, last - 1e-9))
            places = np.concatenate([np.arange(start, last, STEP_MM), self._corners[low:high], [last]])
            every.append(places)
        bounds = np.cumsum([len(places) for places in every])[:-1]
        return np.split(self.at(np.concatenate(every)), bounds)


class _Edges:
    """The straight edges of closed polylines, or of open ones, ready for asking how far points are from them."""

    def __init__(self, *rings: Points, closed: bool = True) -> None:
        self._starts = np.concatenate(rings if closed else [line[:-1] for line in rings])
        ends = np.concatenate([np.roll(ring, -1) if closed else ring[1:] for ring in rings])
        self._steps: Points = ends - self._starts
        self._squares = np.maximum(np.abs(self._steps) ** 2, 1e-300)
        # In the tree stand boxes, each wider than its edge by NEAR_MM all round, as lines from corner to corner.
        low = _low(self._starts, ends, np.minimum) - NEAR_MM * (1 + 1j)
        high = _low(self._starts, ends, np.maximum) + NEAR_MM * (1 + 1j)
        self._tree = shapely.STRtree(shapely.linestrings(np.stack([_xy(low), _xy(high)], axis=1)))
        self._ends = ends

    def distance(self, points: Points) -> Reals:
        """Distance of each point from the nearest edge, mm."""
        return self._near(points)[0]

    def nearest(self, points: Points) -> tuple[Reals, npt.NDArray[np.int64], Reals]:
        """For each point its distance from the nearest edge, mm, the number of that edge and the share walked on it."""
        distances, spot, edge, off = self._near(points)
        number = np.full(len(points), len(self._starts))
        closest = off <= distances[spot] + 1e-9
        np.minimum.at(number, spot[closest], edge[closest])  # of two that meet in a corner the first
        rest = number == len(self._starts)
        if rest.any():
            number[rest] = self._all.query_nearest(shapely.points(_xy(points[rest])), all_matches=False)[1]
        return distances, number, self._share(points, number)

    def _near(self, points: Points) -> tuple[Reals, npt.NDArray[np.int64], npt.NDArray[np.int64], Reals]:
        # The distance of each point, and the pairs of a point and an edge near it with their distances.
        nothing = np.zeros(0, dtype=np.int64)
        if not len(points):
            return np.zeros(0), nothing, nothing, np.zeros(0)
        spots = shapely.points(_xy(points))
        distances = np.full(len(points), np.inf)
        # Most points are next to an edge, which then is among those in whose boxes they lie.
        spot, edge = self._tree.query(spots)
        near = points[spot]
        off = np.abs(near - self._starts[edge] - self._share(near, edge) * self._steps[edge])
        np.minimum.at(distances, spot, off)
        rest = distances > NEAR_MM
        if rest.any():
            _, distances[rest] = self._all.query_nearest(spots[rest], return_distance=True, all_matches=False)
        return distances, spot, edge, off

    def _share(self, points: Points, edge: npt.NDArray[np.int64]) -> Reals:
        along = ((points - self._starts[edge]) * np.conj(self._steps[edge])).real / self._squares[edge]
        return np.clip(along, 0.0, 1.0)

    @cached_property
    def _all(self) -> Any:
        # The edges themselves, for what lies far from all of them.
        return shapely.STRtree(shapely.linestrings(np.stack([_xy(self._starts), _xy(self._ends)], axis=1)))


def _low(starts: Points, ends: Points, choose: Any) -> Points:
    corners: Points = choose(starts.real, ends.real) + 1j * choose(starts.imag, ends.imag)
    return corners


def _xy(points: Points) -> Reals:
    return np.ascontiguousarray(points, dtype=np.complex128).view(np.float64).reshape(-1, 2)


def _signed_area(points: Points) -> float:
    return float(np.sum(np.conj(points) * np.roll(points, -1)).imag / 2)


def _polygon(points: Points) -> Any:
    """A shapely area, mm; a ring that crosses itself keeps what an even-odd count leaves of it."""
    return _polygons([points])[0]


_NOTHING = shapely.Polygon()


def _polygons(rings: Sequence[Points]) -> Any:
    """The area within each of many rings as `_polygon` gives it, in one array; a ring that has collapsed holds nothing."""
    areas = np.full(len(rings), _NOTHING)
    whole = [k for k, ring in enumerate(rings) if len(ring) >= 3]
    if whole:
        number = np.repeat(np.arange(len(whole)), [len(rings[k]) for k in whole])
        around = shapely.linearrings(_xy(np.concatenate([rings[k] for k in whole])), indices=number)
        areas[whole] = shapely.polygons(around)
    for k in np.flatnonzero(~shapely.is_valid(areas)):
        parts = shapely.get_parts(shapely.get_parts(shapely.make_valid(areas[k])))
        areas[k] = shapely.MultiPolygon([part for part in parts if part.geom_type == "Polygon"])
    return areas


def _area(points: Points) -> float:
    """Area inside a ring, mm2; 0 for a ring that has collapsed."""
    return float(_polygon(points).area) if len(points) >= 3 else 0.0


def _sampled(points: Points, closed: bool) -> Points:
    """The polyline with further points on it, so that none are more than STEP_MM apart."""
    if closed:
        points = np.append(points, points[0])
    counts = np.maximum(1, np.ceil(np.abs(np.diff(points)) / STEP_MM)).astype(np.int64)
    edge = np.repeat(np.arange(len(counts)), counts)
    step = np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts)
    sampled: Points = points[edge] + (points[edge + 1] - points[edge]) * (step / counts[edge])
    return sampled if closed else np.append(sampled, points[-1])


def _spots(points: Points, closed: bool) -> Points:
    """Points on the polyline to be measured at: every corner, and others no more than STEP_MM apart.

    Unlike `_sampled` it leaves out ends of chords, which on a curve lie far closer than that.
    """
    walk = np.append(points, points[0]) if closed else points
    steps = np.diff(walk)
    kept = np.abs(steps) > 1e-9
    if not kept.any():
        return walk[:1]
    walk, steps = np.append(walk[0], walk[1:][kept]), steps[kept]
    at = np.append(0.0, np.cumsum(np.abs(steps)))
    turns = np.abs(np.angle(steps[1:] / steps[:-1]))
    places = np.concatenate([np.arange(0.0, at[-1], STEP_MM), at[1:-1][turns > CORNER], at[-1:]])
    places.sort()
    spots: Points = np.interp(places, at, walk.real) + 1j * np.interp(places, at, walk.imag)
    return spots


@dataclass(frozen=True)
class _Region:
    """Flat cloth between two creases: its raw edges, walked in the direction of the seam, mm."""

    runs: tuple[Points, ...]
    spans: tuple[tuple[float, float], ...]
    """From which place on the seam to which each raw edge runs; none where there is no crease."""

    @property
    def ring(self) -> Points:
        return np.concatenate(self.runs)


def _spans(tops: Reals, hems: Reals, number: int) -> tuple[tuple[float, float], ...]:
    """The raw edges of one part of a ring cut by chords, whose ends come along it as tops forward, then hems backward."""
    count = len(tops)
    if number == 0:
        return ((hems[0], tops[0]),)
    if number == count:
        return ((tops[-1], hems[-1]),)
    return (tops[number - 1], tops[number]), (hems[number], hems[number - 1])


def _regions(ring: _Ring, tops: Reals, hems: Reals, numbers: Sequence[int]) -> list[_Region]:
    """The parts of these numbers, each as `_spans` has it."""
    if not len(tops):
        return [_Region((ring.points,), ()) for _ in numbers]
    spans = [_spans(tops, hems, number) for number in numbers]
    runs = iter(ring.runs([span for own in spans for span in own]))
    return [_Region(tuple([next(runs) for _ in own]), own) for own in spans]


def _in_order(seam: _Ring, creases: Sequence[_Line]) -> tuple[_Ring, Reals, Reals]:
    """The seam walked so that the crease tops come forward, with the places of all crease ends, mm.

    Raises CannotFoldError where the ends do not follow one another: they cross or are numbered wrongly.
    """
    if not creases:
        return seam, np.zeros(0), np.zeros(0)
    ends = np.array([crease.ends for crease in creases])
    best: tuple[float, str] | None = None
    for ring in (seam, seam.turned()):
        tops, hems = ring.places(ends[:, 0]), ring.places(ends[:, 1])
        order = [*tops, *hems[::-1]]
        gaps = [ring.gap(one, other) for one, other in pairwise(order)]
        if sum(gaps) <= ring.length:
            return ring, tops, hems
        worst = int(np.argmax(gaps)) if max(gaps) > ring.length / 2 else -1
        names = [crease.words for crease in creases]
        names += names[::-1]
        text = f" (see {names[worst]} and {names[worst + 1]})" if worst >= 0 else ""
        if best is None or sum(gaps) < best[0]:
            best = (sum(gaps), text)
    assert best is not None
    raise CannotFoldError(
        "the creases do not follow one another along the seam from the first panel to the last: "
        f"they cross, are numbered out of order, or do not all run from the top seam to the hem{best[1]}"
    )


# ---------------------------------------------------------------------------------------------------- proving


@dataclass
class _Worst:
    """The largest value met so far of each measure, and where."""

    values: dict[str, float]
    places: dict[str, str]

    def see(self, name: str, values: Reals, points: Points, words: str) -> None:
        """Take note of values measured at these points, mm."""
        self.see_all(name, values, points, np.zeros(len(points), dtype=np.int64), [words])

    def see_all(
        self, name: str, values: Reals, points: Points, owners: npt.NDArray[np.int64], words: Sequence[str]
    ) -> None:
        """The same of points that belong to several things: the number of its owner for each, and the words of every one."""
        if not len(values):
            return
        index = int(np.argmax(values))
        if float(values[index]) > self.values[name]:
            self.values[name] = float(values[index])
            point = points[index]
            self.places[name] = f"{words[owners[index]]} near ({point.real:.3f}, {point.imag:.3f})"


def _opened(points: Points, edge: Points) -> Points:
    """A closed half outline with the edge cut on the fold left out and its mirror image joined on there, mm."""
    ring = _Ring(points)
    away = ring.distance(edge)
    if away.max() > CRACK_MM:
        raise CannotFoldError(f"the fold edge ends {away.max():.4g} mm off the outline")
    start, end = ring.places(edge)
    length = float(abs(edge[1] - edge[0]))
    if abs(ring.gap(start, end) - length) > abs(ring.gap(end, start) - length):
        start, end = end, start
    half = ring.run(end, start)  # all but the way along the fold
    return np.concatenate([half, reflection(edge[0], edge[1]).of(half)[::-1][1:-1]])


def _whole(piece: _Piece) -> tuple[_Piece, int]:
    """A half piece opened out flat at its fold edge, and which region its finished outline is laid on.

    The mirrored creases are numbered below zero.  A piece with no fold edge is itself.
    """
    edge = piece.fold_edge
    if edge is None:
        return piece, 0
    creases = piece.creases
    if any(_meets(crease.ends, edge) for crease in creases):
        return replace(piece, fold_edge=None), 0  # they run across the fold edge, so the half is folded as it is
    motions = folding_motions((crease.ends[0], crease.ends[1]) for crease in creases)
    # The fold edge lies on the seam of the first region or of the last.
    seam = _Ring(piece.seam)
    if len(creases) == 1:
        before = _is_before(seam, creases[0], edge)
    else:
        ring, tops, hems = _in_order(seam, creases)
        middle = ring.places(edge.mean(keepdims=True))[0]
        before = ring.gap(hems[0], middle) <= ring.gap(hems[0], tops[0])
    mirror = reflection(edge[0], edge[1])

    def there(line: _Line) -> _Line:
        return replace(line, pleat=-line.pleat, ends=mirror.of(line.ends), nodes=mirror.of(line.nodes))

    folded_edge = motions[0 if before else -1].of(edge)
    others = tuple([there(crease) for crease in reversed(creases)])
    whole = replace(
        piece,
        seam=_opened(piece.seam, edge),
        finished=_opened(piece.finished, folded_edge),
        creases=(*others, *creases) if before else (*creases, *others),
        landings=(*piece.landings, *[there(landing) for landing in piece.landings]),
        free=(*piece.free, *[mirror.of(points) for points in piece.free]),
        fold_edge=None,
    )
    return whole, len(creases) if before else 0


def _meets(ends: Points, edge: Points) -> bool:
    """Whether a line runs across the piece to the fold edge; a hinged one may only end there, at a slant to it."""
    slant = (ends[1] - ends[0]) / (edge[1] - edge[0])
    if abs(slant.imag) <= abs(slant.real):
        return False
    off = np.abs(((ends - edge[0]) / (edge[1] - edge[0])).imag) * abs(edge[1] - edge[0])
    return bool((off[0] <= LIMIT_MM) != (off[1] <= LIMIT_MM))


def _is_before(seam: _Ring, crease: _Line, edge: Points) -> bool:
    # With one crease alone either side would do; the finished outline is laid on the panel that lies left of it, above
    # it on a level line, so what counts is on which side of the crease the edge lies.
    way = crease.ends[1] - crease.ends[0]
    level = abs(way.real) > abs(way.imag)
    off = complex(edge.mean() - crease.ends.mean())
    return off.imag < 0 if level else off.real < 0


def _fold(half: _Piece) -> Proof:
    worst = _Worst(dict.fromkeys(_MEASURES, 0.0), {})
    piece, home = _whole(half)
    creases = piece.creases
    seam, tops, hems = _in_order(_Ring(piece.seam), creases)
    finished = _Ring(piece.finished)
    if (_signed_area(finished.points) > 0) != (_signed_area(seam.points) > 0):
        finished = finished.turned()
    flat_area = abs(_signed_area(seam.points))
    regions = _regions(seam, tops, hems, range(len(creases) + 1))
    flat = _polygons([region.ring for region in regions])
    motions = _laid_on(creases, home)
    names = _region_names(creases)

    _see_creases(worst, seam, creases)
    areas = shapely.area(flat).tolist()
    free = shapely.MultiLineString([_xy(points) for points in piece.free if len(points) > 1])
    shapely.prepare(free)
    held = [_is_held(region, free) for region in regions]
    _see_areas(
        worst,
        [area for area, whole in zip(areas, held, strict=True) if whole],
        [area for area, whole in zip(_finished_areas(finished, creases, motions), held, strict=True) if whole],
        [name for name, whole in zip(names, held, strict=True) if whole],
    )
    _note_area(worst, abs(sum(areas) - flat_area), "the sum of the regions against the flat piece")
    if not half.parted:  # parts lie apart; laid together at their joins they may lie over one another
        _note_area(worst, abs(_area(seam.points) - flat_area), "the flat seam crosses itself")

    cloth = [number for number, area in enumerate(areas) if area > EMPTY_MM2]
    raw_runs = []
    raw: list[tuple[float, float]] = []
    on_raw: list[int] = []
    for number in cloth:
        runs = [span for span in regions[number].spans if seam.gap(*span) > TIE_MM]
        raw_runs.append(len(runs) if creases else 1)
        raw += runs
        on_raw += [number] * len(runs)
    spots = seam.spots(raw) if creases else [_spots(seam.points, closed=True)]
    _see_edges(worst, piece, finished, motions, (spots, on_raw if creases else [0]), free)
    _see_silhouette(worst, _polygons([motions[number].of(regions[number].ring) for number in cloth]), finished)
    faults = _see_landings(worst, piece, flat, motions)
    faults += _lap_faults(half.creases, motions[home:], half.fold_edge is not None)
    return Proof(
        piece=piece.name,
        region_count=len(regions),
        raw_runs=tuple(raw_runs),
        flat_area_mm2=flat_area,
        finished_area_mm2=abs(_signed_area(finished.points)),
        intakes=_intakes(half),
        faults=tuple(faults),
        places=worst.places,
        **worst.values,
    )


def _see_edges(
    worst: _Worst,
    piece: _Piece,
    finished: _Ring,
    motions: Sequence[Motion],
    raw: tuple[Sequence[Points], Sequence[int]],
    free: Any,
) -> None:
    """Fold spots on all raw edges, and every crease, and hold them against the finished outline.

    A region is bounded by its raw edges and its creases: where none of these leaves the outline, no cloth does.
    """
    words = [f"{name}, flat" for name in _region_names(piece.creases)]
    flat, owners, moved = _folded_spots(*raw, motions)
    off = finished.distance(moved)
    held_to = np.ones(len(flat), dtype=bool)
    if not free.is_empty:  # what is drawn to leave the outline is held against nothing but itself
        held_to = ~shapely.dwithin(free, shapely.points(_xy(flat)), CRACK_MM)
    worst.see_all("raw_edge_mm", off[held_to], flat[held_to], owners[held_to], words)
    outline = _polygon(finished.points)
    shapely.prepare(outline)
    # Of what lies on the outline it makes no difference on which side of it.
    out = off <= ON_OUTLINE_MM
    out[~out] = ~shapely.contains_xy(outline, *_xy(moved[~out]).T)
    worst.see_all("poke_out_mm", off[out], flat[out], owners[out], words)
    ends = [motion.of(crease.ends) for crease, motion in zip(piece.creases, motions[1:], strict=True)]
    spots, on = _strayed(outline, ends)
    back = [motions[number + 1].inverse().of(one) for number, one in zip(on, spots, strict=True)]
    for number, there, here in zip(on, spots, back, strict=True):
        worst.see("poke_out_mm", finished.distance(there), here, words[number])


def _strayed(area: Any, lines: Sequence[Points]) -> tuple[list[Points], list[int]]:
    """Spots outside an area, along each of those straight lines that lie not all within it, and the numbers of these."""
    if not lines:
        return [], []
    within = [_inner(line) for line in lines]
    strayed = np.flatnonzero(~shapely.covers(area, shapely.linestrings(np.array([_xy(line) for line in within]))))
    spots = [_sampled(lines[number], closed=False)[1:-1] for number in strayed]
    spots = [points[~shapely.contains_xy(area, points.real, points.imag)] for points in spots]
    return spots, [int(number) for number in strayed]


def _inner(line: Points) -> Points:
    """A straight line but for a hair at its ends, which lie on an outline as nearly as they are written."""
    way = (line[1] - line[0]) / abs(line[1] - line[0])
    hair = min(LIMIT_MM, abs(line[1] - line[0]) / 4)
    return np.array([line[0] + hair * way, line[1] - hair * way])


def _folded_spots(
    flat: Sequence[Points], numbers: Sequence[int], motions: Sequence[Motion]
) -> tuple[Points, npt.NDArray[np.int64], Points]:
    """Points of several regions in one row: flat, with the number of the region of each, and folded, mm."""
    moved = [motions[number].of(points) for number, points in zip(numbers, flat, strict=True)]
    owners = np.repeat(np.array(numbers, dtype=np.int64), [len(points) for points in flat])
    return np.concatenate(flat), owners, np.concatenate(moved)


def _is_held(region: _Region, free: Any) -> bool:
    """Whether the finished outline bounds a region, so that its area can be told from it: none of its edges is free."""
    if free.is_empty:
        return True
    middles = [(run[1:] + run[:-1])[np.abs(np.diff(run)) > TIE_MM] / 2 for run in region.runs]
    return not shapely.dwithin(free, shapely.points(_xy(np.concatenate(middles))), CRACK_MM).any()


def _laid_on(creases: Sequence[_Line], home: int) -> list[Motion]:
    """The folding motions with region ``home`` left where it is."""
    motions = folding_motions((crease.ends[0], crease.ends[1]) for crease in creases)
    return [motions[home].inverse() @ motion for motion in motions]


def _region_names(creases: Sequence[_Line]) -> list[str]:
    if not creases:
        return ["the whole piece"]
    ends = [f"pleat {crease.pleat} fold {crease.folds[0]}" for crease in creases]
    middle = [f"between {one} and {other}" for one, other in pairwise(ends)]
    return [f"before {ends[0]}", *middle, f"after {ends[-1]}"]


def _see_creases(worst: _Worst, seam: _Ring, creases: Sequence[_Line]) -> None:
    if not creases:
        return
    flat = _polygon(seam.points)
    shapely.prepare(flat)
    words = [crease.words for crease in creases]
    ends = np.concatenate([crease.ends for crease in creases])
    worst.see_all("crease_end_mm", seam.distance(ends), ends, np.repeat(np.arange(len(creases)), 2), words)
    for out, number in zip(*_strayed(flat, [crease.ends for crease in creases]), strict=True):
        worst.see("crease_outside_mm", seam.distance(out), out, words[number])


def _finished_areas(finished: _Ring, creases: Sequence[_Line], motions: Sequence[Motion]) -> list[float]:
    """Area of the part of the finished piece between each two folded creases, mm2.

    The part is walked along the finished outline from crease end to crease end, forward for cloth that lies
    right side up and backward for cloth turned over.
    """
    moved = np.array([motion.of(crease.ends) for crease, motion in zip(creases, motions[1:], strict=True)]).reshape(
        -1, 2
    )
    rings = {}
    tops, hems = finished.places(moved[:, 0]), finished.places(moved[:, 1])
    for over in (False, True):
        numbers = [number for number, motion in enumerate(motions) if motion.over == over]
        if over:
            tops, hems = finished.backward(tops), finished.backward(hems)
            finished = finished.turned()
        parts = _regions(finished, tops, hems, numbers)
        rings |= {number: part.ring for number, part in zip(numbers, parts, strict=True)}
    areas: list[float] = shapely.area(_polygons([rings[number] for number in range(len(motions))])).tolist()
    return areas


def _see_areas(worst: _Worst, flat: Sequence[float], finished: Sequence[float], names: Sequence[str]) -> None:
    for one, other, name in zip(flat, finished, names, strict=True):
        _note_area(worst, abs(one - other), f"{name}: flat {one:.3f}, finished {other:.3f}")


def _note_area(worst: _Worst, value: float, words: str) -> None:
    if value > worst.values["area_error_mm2"]:
        worst.values["area_error_mm2"], worst.places["area_error_mm2"] = value, words


def _rings_of(area: Any) -> Iterator[Points]:
    for part in shapely.get_parts(area):
        if part.geom_type == "Polygon":
            for ring in (part.exterior, *part.interiors):
                xy = shapely.get_coordinates(ring)[:-1]
                yield xy[:, 0] + 1j * xy[:, 1]


def _united(layers: Any) -> Any:
    """All layers as one area. Where chords of two meet so that rounding cannot tell their sides, on a grid of 1e-7 mm."""
    try:
        return shapely.union_all(layers)
    except shapely.errors.GEOSException:
        return shapely.union_all([shapely.make_valid(layer) for layer in layers], grid_size=1e-7)


def _see_silhouette(worst: _Worst, folded: Any, finished: _Ring) -> None:
    """Compare the edge of all folded layers together with the finished outline, both ways."""
    together = _united(folded)
    rings = list(_rings_of(together))
    edge = np.concatenate([_spots(ring, closed=True) for ring in rings])
    distances = finished.distance(edge)
    far = distances > CRACK_MM
    if far.any():  # leave out points deep in a crack narrower than CRACK_MM: rounding between layers
        whole = together.buffer(CRACK_MM / 2).buffer(-CRACK_MM / 2)
        far[far] = _Edges(*_rings_of(whole)).distance(edge[far]) <= CRACK_MM
        kept = far | (distances <= CRACK_MM)
        edge, distances = edge[kept], distances[kept]
    worst.see("silhouette_mm", distances, edge, "edge of the folded layers, folded,")
    outline = _spots(finished.points, closed=True)
    worst.see("silhouette_mm", _Edges(*rings).distance(outline), outline, "finished outline")


def _landing_pairs(piece: _Piece) -> Iterator[tuple[_Line, int, _Line]]:
    """Each landing line with the index of, and the crease that is to lie on it."""
    for landing in piece.landings:
        wanted = {"placement": "outer", "stitch-mate": "stitch"}[landing.role]
        for index, crease in enumerate(piece.creases):
            if crease.pleat != landing.pleat or crease.role != wanted:
                continue
            if crease.folds[0] in landing.folds or (wanted == "stitch" and not landing.folds):
                yield landing, index, crease


def _see_landings(worst: _Worst, piece: _Piece, flat: Any, motions: Sequence[Motion]) -> list[str]:
    """Measure each crease against the line it is to lie on, both folded; what has no partner is a fault."""
    landed: set[tuple[str, int, int]] = set()
    used: dict[int, set[int]] = {}
    measures = {"placement": "fold_on_placement_mm", "stitch-mate": "stitch_on_stitch_mm"}
    for landing, index, crease in _landing_pairs(piece):
        near = [number for number, line in enumerate(piece.creases) if line.pleat == landing.pleat]
        home = _home(flat, range(near[0], near[-1] + 2), complex(landing.ends.mean()))
        apart = np.abs(motions[home].of(landing.ends) - motions[index + 1].of(crease.ends))
        worst.see(measures[landing.role], apart, crease.ends, f"{crease.words}, flat")
        landed.add((crease.role, crease.pleat, crease.folds[0]))
        used.setdefault(id(landing), set()).add(crease.folds[0])
    faults = []
    for crease in piece.creases:
        needs = crease.role == "stitch" or (crease.role == "outer" and crease.kind not in _TUCKS)
        if needs and (crease.role, crease.pleat, crease.folds[0]) not in landed:
            faults.append(f"{crease.words} has no line to lie on")
    for landing in piece.landings:
        if id(landing) not in used or used[id(landing)] < set(landing.folds):
            faults.append(f"{landing.words}: names a fold which its pleat does not have")
    return faults


def _home(flat: Any, numbers: Sequence[int], point: complex) -> int:
    """The region, out of these numbers, that a flat point lies in or is nearest to."""
    away = shapely.distance(flat[list(numbers)], shapely.Point(point.real, point.imag))
    return numbers[int(np.argmin(np.where(np.isnan(away), np.inf, away)))]


def _intakes(piece: _Piece) -> tuple[Intake, ...]:
    steps: dict[int, Reals] = {line.pleat: np.zeros(2) for line in piece.creases}
    onto: dict[int, list[_Line]] = {}
    for landing, _, crease in _landing_pairs(piece):
        onto.setdefault(id(landing), []).append(crease)
    for landing in piece.landings:
        mine = onto.get(id(landing), [])
        way = landing.ends[1] - landing.ends[0]
        for side in (-1, 1):
            # From the placement line to the nearest fold of its side, from that one to the next of the stack, and so on.
            off = [((crease.ends - landing.ends).mean() * np.conj(way)).imag * side for crease in mine]
            before = landing
            for _, crease in sorted(
                [(far, crease) for far, crease in zip(off, mine, strict=True) if far > 0], key=_first
            ):
                steps[landing.pleat] = steps[landing.pleat] + np.abs(before.ends - crease.ends)
                before = crease
    first = {line.pleat: line for line in reversed(piece.creases)}
    return tuple(
        Intake(pleat, first[pleat].kind, first[pleat].lap, float(step[0]), float(step[1]))
        for pleat, step in sorted(steps.items())
    )


def _first(pair: tuple[float, _Line]) -> float:
    return pair[0]


def _lap_faults(creases: Sequence[_Line], motions: Sequence[Motion], on_fold: bool = False) -> list[str]:
    """Pleats whose folds are not those of their kind and lap, in the order from the first panel to the last.

    Knife pleats and tucks must also point where they say on the page, taken together per lap (on a fanned
    piece the outer ones may lean).
    """
    faults = []
    towards: dict[str, complex] = {}
    for pleat in sorted({crease.pleat for crease in creases}):
        mine = [index for index, crease in enumerate(creases) if crease.pleat == pleat]
        kinds = {(creases[index].kind, creases[index].lap) for index in mine}
        if len(kinds) != 1:
            faults.append(f"pleat {pleat}: its lines do not agree on kind and lap: {sorted(kinds)}")
            continue
        kind, lap = kinds.pop()
        roles = "".join("o" if creases[index].role == "outer" else "i" for index in mine)
        known = _fold_lists(kind, lap, len(mine), on_fold)
        if known and roles not in known:
            words = " ".join({"o": "outer", "i": "inner"}[role] for role in roles)
            faults.append(f"pleat {pleat}: folds run {words}, which is no {kind} pleat with lap {lap}")
        if (kind == "knife" or kind in _TUCKS) and lap in _POINTING and len(set(roles)) == 2:
            ends = [motions[index + 1].of(creases[index].ends) for index in mine]
            middles = np.array([pair.mean() for pair in ends])
            outer = np.array([role == "o" for role in roles])
            step = complex(middles[outer].mean() - middles[~outer].mean())
            # Across the outer fold: lines that lean end at different heights, which shifts their middles along them.
            way = complex(ends[roles.index("o")][-1] - ends[roles.index("o")][0])
            way /= abs(way)
            towards[lap] = towards.get(lap, 0j) + step - way * (step * way.conjugate()).real
    for lap, vector in towards.items():
        along = (vector * _POINTING[lap].conjugate()).real
        if along < -0.3 * abs(vector):
            faults.append(f"outer folds with lap {lap} point the other way on the page")
    return faults


def _fold_lists(kind: str, lap: str, count: int, on_fold: bool) -> set[str]:
    """The known orders of outer (o) and inner (i) folds, from the first panel to the last; empty: unknown.

    A box or inverted pleat at a fold edge of the cloth is half of a whole one.
    """
    half, quarter = count // 2, count // 4
    if kind == "knife" or kind in _TUCKS:  # a tuck has its stitch line in the place of the inner fold
        return {
            "left": {"io" * half},
            "up": {"io" * half},
            "right": {"oi" * half},
            "down": {"oi" * half},
        }.get(lap, set())
    halves = {"oi" * half, "io" * half} if half == 1 or on_fold else set()
    if kind in ("inverted", "kick"):
        return {"oi" * quarter + "io" * quarter} | halves
    if kind == "box":
        return {"io" * quarter + "oi" * quarter} | halves
    return set()


# ---------------------------------------------------------------------------------------------- earlier passes


def _fold_passes(piece: _Piece) -> list[Proof]:
    """Every pass folded, the last one first; what it gives is the flat piece of the pass before."""
    proofs = [_fold(piece)]
    while piece.earlier:
        piece, broken, place = _undone(piece)
        proof = _fold(piece)
        proofs.append(replace(proof, crease_broken_mm=broken, places={**proof.places, "crease_broken_mm": place}))
    return proofs


def _undone(piece: _Piece) -> tuple[_Piece, float, str]:
    """The flat piece that the last pass was made on, with the lines of the pass before folded back onto it; how far the
    worst of these is bent, broken or missing (mm), and which that is."""
    whole, home = _whole(piece)
    edge = piece.fold_edge
    before, *rest = piece.earlier
    finished, lines = before.finished, before.lines
    if edge is not None and len(whole.creases) > len(piece.creases):
        # The last pass folds both halves: lines that end on the fold edge are one with their mirror image.
        if not all(_meets(np.array([line.strokes[0][0], line.strokes[-1][-1]]), edge) for line in lines):
            raise CannotFoldError("two passes beside the fold edge of a half piece are not folded")
        mirror = reflection(edge[0], edge[1])
        lines = tuple(
            replace(line, strokes=(*line.strokes, *[mirror.of(stroke) for stroke in line.strokes])) for line in lines
        )
        before_edge = _is_before(_Ring(piece.seam), piece.creases[0], edge)
        folded = folding_motions((crease.ends[0], crease.ends[1]) for crease in piece.creases)
        middle = folded[0 if before_edge else -1].of(edge)
        finished = _opened(finished, _edge_on(finished, middle))
        edge = None
    seam, tops, hems = _in_order(_Ring(whole.seam), whole.creases)
    regions = _regions(seam, tops, hems, range(len(whole.creases) + 1))
    motions = _laid_on(whole.creases, home)
    if edge is not None:
        flat_regions = _polygons([region.ring for region in regions])
        number = _home(flat_regions, range(len(regions)), complex(edge.mean()))
        edge = _edge_on(whole.finished, motions[number].of(edge))
    made = []
    worst, place = 0.0, ""
    cloth = [_Cloth(region, motion) for region, motion in zip(regions, motions, strict=True)]
    flat_piece = _polygon(whole.finished)
    for line in lines:
        folded_line, off = _folded_line(line, whole.creases, cloth, flat_piece)
        made.append(folded_line)
        if off > worst:
            worst, place = off, line.words
    creases = [line for line in made if line.role in ("outer", "inner", "stitch")]
    creases.sort(key=lambda line: (line.pleat, line.folds))
    creases = _all_downwards(creases)
    landings = [line for line in made if line.role in ("placement", "stitch-mate")]
    landings = [_downwards(line, creases) for line in landings]
    flat = _Piece(
        piece.name, whole.finished, finished, tuple(creases), tuple(landings), edge, None, None, (), tuple(rest)
    )
    return flat, worst, place


def _all_downwards(creases: list[_Line]) -> list[_Line]:
    """The creases each the way of the one before it; all the way that most were drawn."""
    ways: list[int] = []
    for number, crease in enumerate(creases):
        same = number == 0 or _one_way(crease, creases[number - 1])
        ways.append((ways[-1] if number else 1) * (1 if same else -1))
    flip = -1 if sum(ways) < 0 else 1
    return [crease if way == flip else _turned(crease) for crease, way in zip(creases, ways, strict=True)]


def _downwards(line: _Line, creases: list[_Line]) -> _Line:
    """A landing line the way of its own pleat's creases."""
    own = next((crease for crease in creases if crease.pleat == line.pleat), line)
    return line if _one_way(line, own) else _turned(line)


def _one_way(line: _Line, other: _Line) -> bool:
    return bool(((line.ends[1] - line.ends[0]) * np.conj(other.ends[1] - other.ends[0])).real >= 0)


def _turned(line: _Line) -> _Line:
    return replace(line, nodes=line.nodes[::-1], ends=line.ends[::-1])


def _edge_on(outline: Points, line: Points) -> Points:
    """The straight edge of an outline along a line: the first and the last of its corners there."""
    along = (line[1] - line[0]) / abs(line[1] - line[0])
    away = (outline - line[0]) * np.conj(along)
    on = outline[np.abs(away.imag) <= LIMIT_MM]
    reach = ((on - line[0]) * np.conj(along)).real
    return np.array([on[int(np.argmin(reach))], on[int(np.argmax(reach))]])


class _Cloth:
    """A region of the last pass: its area on the flat piece and folded, and how it is folded."""

    def __init__(self, region: _Region, motion: Motion) -> None:
        self.motion = motion
        self.flat = _polygon(region.ring) if len(region.ring) >= 3 else shapely.Polygon()
        self.folded = _polygon(motion.of(region.ring)) if len(region.ring) >= 3 else shapely.Polygon()
        # A line along a crease of the later pass lies on the edge of two regions, and may be drawn on either or both.
        self.wide = self.flat.buffer(CRACK_MM, quad_segs=2)
        self.most = self.folded.buffer(CRACK_MM, quad_segs=2)
        self.least = self.folded.buffer(-CRACK_MM, quad_segs=2)
        shapely.prepare(self.flat)


def _folded_line(line: _Strokes, creases: Sequence[_Line], cloth: Sequence[_Cloth], flat: Any) -> tuple[_Line, float]:
    """A line of an earlier pass on that pass's flat piece, and how far it is bent, broken or missing there (mm)."""
    drawn: list[list[Points]] = [[] for _ in cloth]
    parts = [part for stroke in line.strokes for pair in pairwise(stroke) for part in _cut_at(pair, creases)]
    middles = shapely.points(_xy(np.array([part.mean() for part in parts])))
    folded = []
    for part, middle in zip(parts, middles, strict=True):
        number = _cloth_at(complex(part.mean()), middle, creases, cloth)
        folded.append(cloth[number].motion.of(part))
        for one, own in zip(cloth, drawn, strict=True):
            beside = bool(one.wide.intersects(middle))
            if beside or one is cloth[number]:
                room = one.wide if beside else one.flat  # in the allowance it counts as far as the seam
                xy = shapely.get_coordinates(shapely.LineString(_xy(part)).intersection(room))
                own.append(one.motion.of(xy[:, 0] + 1j * xy[:, 1]))
    # Its last stroke may end where the first one begins: down through one layer and up again through the next.
    spots = np.concatenate(folded)
    last = spots[int(np.argmax(np.abs(spots - spots[0])))]
    first = spots[int(np.argmax(np.abs(spots - last)))]
    if ((last - first) * np.conj(folded[0][-1] - folded[0][0])).real < 0:
        first, last = last, first
    if abs(last - first) <= TIE_MM:
        raise CannotFoldError(f"{line.words} comes to nothing once the later passes are folded")
    along = (last - first) / abs(last - first)
    places = (np.array(folded) - first) * np.conj(along)
    off = float(np.abs(places.imag).max())
    reached = float(places.real.min())
    for low, high in sorted((float(pair.min()), float(pair.max())) for pair in places.real):
        off = max(off, low - reached)
        reached = max(reached, high)
    ends = first + along * np.array([places.real.min(), places.real.max()])
    # On every layer it must run as far as the cloth does.
    far = shapely.LineString(_xy(np.array([ends.mean() - 1e4 * along, ends.mean() + 1e4 * along]))).intersection(flat)
    middle = shapely.Point(ends.mean().real, ends.mean().imag)
    across = min(shapely.get_parts(far), key=lambda run: run.distance(middle))
    for one, own in zip(cloth, drawn, strict=True):
        length, reached = 0.0, -math.inf
        for low, high in sorted(
            (float(on.min()), float(on.max())) for on in [(z * np.conj(along)).real for z in own if len(z)]
        ):
            length += max(0.0, high - max(low, reached))
            reached = max(reached, high)
        least, most = (float(across.intersection(room).length) for room in (one.least, one.most))
        off = max(off, least - length, length - most)
    # Where an allowance is drawn it runs on beyond the seam; there it ends on the seam.
    xy = shapely.get_coordinates(across)
    seam_at = np.sort((((xy[:, 0] + 1j * xy[:, 1]) - first) * np.conj(along)).real)
    low, high = max(places.real.min(), seam_at[0]), min(places.real.max(), seam_at[-1])
    on = first + along * np.array([low, high])
    return _Line(line.role, line.pleat, line.folds, on, line.kind, line.lap, ends), off


def _cloth_at(spot: complex, point: Any, creases: Sequence[_Line], cloth: Sequence[_Cloth]) -> int:
    """The region that a point lies on; in the allowance, that which lies on the same side of its own creases produced."""
    away = [one.flat.distance(point) if not one.flat.is_empty else math.inf for one in cloth]
    order = np.argsort(away, kind="stable")
    if away[order[0]] > CRACK_MM:
        for number in order:
            inside = cloth[number].flat.representative_point()
            within = complex(inside.x, inside.y)
            if not cloth[number].flat.is_empty and all(
                _side(spot, crease) * _side(within, crease) >= 0 for crease in creases[max(0, number - 1) : number + 1]
            ):
                return int(number)
    return int(order[0])


def _side(spot: complex, crease: _Line) -> float:
    return float(((spot - crease.ends[0]) * np.conj(crease.ends[1] - crease.ends[0])).imag)


def _cut_at(pair: tuple[complex, complex], creases: Sequence[_Line]) -> Iterator[Points]:
    start, end = pair
    shares = [0.0, 1.0]
    for crease in creases:
        way = crease.ends[1] - crease.ends[0]
        a, b = ((z - crease.ends[0]) * np.conj(way) for z in (start, end))
        if a.imag * b.imag < 0:
            shares.append(float(a.imag / (a.imag - b.imag)))
    for low, high in pairwise(sorted(shares)):
        if (high - low) * abs(end - start) >= 1e-7:
            yield np.array([start + low * (end - start), start + high * (end - start)])


# ----------------------------------------------------------------------------------------------- what to call


def prove_all(path: Path | str) -> dict[str, Proof]:
    """Fold every piece of a result back; piece name -> proof.  Raises CannotFoldError.

    Of a piece made in several passes the proof under its own name is that of the first, which is folded last; the others
    stand under "NAME, pass 2".
    """
    proofs: dict[str, Proof] = {}
    for piece in _read(path):
        if piece.name in proofs:
            raise CannotFoldError(f"two pieces are called {piece.name!r}")
        first, *later = reversed(_fold_passes(piece))
        proofs[piece.name] = first
        proofs |= {f"{piece.name}, pass {number}": proof for number, proof in enumerate(later, 2)}
    return proofs


def prove(path: Path | str, piece: str | None = None) -> Proof:
    """Fold one piece back; it need not be named where the result holds only one.  Raises CannotFoldError.

    Of a piece made in several passes this is the proof of the first, on the flat piece that the others fold back to.
    """
    pieces = _read(path)
    chosen = [one for one in pieces if piece is None or one.name == piece]
    if len(chosen) != 1:
        raise CannotFoldError(f"{len(chosen)} pieces to choose from: {', '.join(one.name for one in pieces)}")
    return _fold_passes(chosen[0])[-1]


def assert_true(path: Path | str, limit: float = LIMIT_MM) -> None:
    """Raise AssertionError, naming what fails, unless every piece folds back within ``limit`` mm."""
    __tracebackhide__ = True
    try:
        proofs = prove_all(path)
    except CannotFoldError as error:
        raise AssertionError(f"{Path(path).name}: cannot be folded back: {error}") from None
    lines = [f"{name}: {line}" for name, proof in proofs.items() for line in proof.failures(limit)]
    if lines:
        raise AssertionError("\n  ".join([f"{Path(path).name} does not fold back true:", *lines]))
