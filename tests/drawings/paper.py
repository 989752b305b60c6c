"""Small drawings as text, and written results read back, for tests that make their own pieces.

Nothing here comes from the program but its four public calls.  Results are read with lxml; what a fold line is on
the finished piece follows from the referee's reflections.  Lengths in mm, y down the page, points as complex numbers.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from lxml import etree

from pleatsvg import pleat, read, write
from tests.referee.foldback import Motion, Points, Proof, folding_motions, prove, read_path

Ends = tuple[complex, complex]

CORNER_DEGREES = 30.0
"""A seam that turns more than this in one place has a corner there."""
NEAR_MM = 0.002
"""How near a point must be to a line to be taken as lying on it: ten times the referee's chords, mm."""


# ------------------------------------------------------------------------------------------------ drawings as text


def number(value: float) -> str:
    """A coordinate with nine decimals, so that the drawing itself is no source of error."""
    return f"{value:.9f}".rstrip("0").rstrip(".")


def point(z: complex) -> str:
    """A point as it stands in path data."""
    return f"{number(z.real)},{number(z.imag)}"


def polygon(*corners: complex) -> str:
    """Path data of a closed outline with straight sides."""
    return "M" + " L".join(point(z) for z in corners) + " Z"


def outline_of(edges: Sequence[tuple[complex, ...]]) -> str:
    """Path data of a closed outline from lines (2 points) and cubics (4 points), each starting where the last ended."""
    parts = [f"M{point(edges[0][0])}"]
    for edge in edges:
        parts.append(("L" if len(edge) == 2 else "C") + " ".join(point(z) for z in edge[1:]))
    return " ".join(parts) + " Z"


def drawing(outline: str, lines: Mapping[str, Ends], others: str = "", size: tuple[float, float] = (1000, 1000)) -> str:
    """A drawing in mm: an outline named "seam", and slash lines by name, in the order given."""
    width, height = size
    drawn = [f'<path id="seam" d="{outline}"/>']
    for name, (start, end) in lines.items():
        drawn.append(f'<path id="{name}" d="M{point(start)} L{point(end)}"/>')
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" height="{number(height)}mm" '
        f'viewBox="0 0 {number(width)} {number(height)}">{"".join(drawn)}{others}</svg>'
    )


def slashes(*lines: Ends) -> dict[str, Ends]:
    """Lines named "slash 1", "slash 2" in the order given."""
    return {f"slash {k}": ends for k, ends in enumerate(lines, 1)}


def mm(value: float) -> str:
    """A length as an option takes it."""
    return f"{number(value)}mm"


def pleated(folder: Path, text: str, name: str = "flat.svg", **options: Any) -> Path:
    """Save a drawing, pleat it through the public calls, write the result and return where it is."""
    source = folder / "drawing.svg"
    source.write_text(text, encoding="utf-8")
    out = folder / name
    write(pleat(read(source), **options), out, force=True)
    return out


# ------------------------------------------------------------------------------------------------ results read back


@dataclass(frozen=True)
class Crease:
    """A fold line of a result, from the top seam to the hem."""

    pleat: int
    fold: int
    outer: bool
    top: complex
    hem: complex


@dataclass(frozen=True)
class Sheet:
    """What stands on a written result with one piece.

    Attributes:
        seam, finished: the flat and the finished stitching line, flattened by the referee's rule.
        seam_knots, finished_knots: the points that stand in their path data, nodes and handles.
        creases: in the order of the cloth.
        placements: pleat number and ends, in file order.
    """

    seam: Points
    finished: Points
    seam_knots: Points
    finished_knots: Points
    creases: tuple[Crease, ...]
    placements: tuple[tuple[int, complex, complex], ...]

    @property
    def motions(self) -> list[Motion]:
        """The motions that fold the layers."""
        return folding_motions((crease.top, crease.hem) for crease in self.creases)

    @property
    def folded(self) -> list[Ends]:
        """Every crease where it comes to lie on the finished piece."""
        made = []
        for crease, motion in zip(self.creases, self.motions, strict=False):
            top, hem = motion.of(np.array([crease.top, crease.hem]))
            made.append((complex(top), complex(hem)))
        return made


def sheet_of(path: Path) -> Sheet:
    """Read a written result."""
    root = etree.parse(str(path)).getroot()
    found: dict[str, list[Any]] = {}
    for element in root.iter("{http://www.w3.org/2000/svg}path"):
        for name in element.get("class", "").split():
            found.setdefault(name, []).append(element)

    def ends(element: Any) -> Ends:
        points = read_path(element.get("d"))[0][0]
        return complex(points[0]), complex(points[-1])

    creases = [
        Crease(int(element.get("data-pleat")), int(element.get("data-fold")), name == "fold-line", *ends(element))
        for name in ("fold-line", "inner-fold-line")
        for element in found.get(name, [])
    ]
    creases.sort(key=lambda crease: (crease.pleat, crease.fold))
    (seam,), (finished,) = found["seam-line"], found["finished-line"]
    return Sheet(
        _ring(seam.get("d")),
        _ring(finished.get("d")),
        _knots(seam.get("d")),
        _knots(finished.get("d")),
        tuple(creases),
        tuple((int(element.get("data-pleat")), *ends(element)) for element in found.get("placement-line", [])),
    )


def _ring(data: str) -> Points:
    """A closed path as the corners of a polyline, none of them twice running."""
    points = read_path(data)[0][0]
    ring: Points = points[np.abs(points - np.roll(points, 1)) > 1e-9]
    return ring


def _knots(data: str) -> Points:
    numbers = np.array([float(text) for text in re.findall(r"-?[\d.]+(?:[eE][-+]?\d+)?", data)])
    knots: Points = numbers[::2] + 1j * numbers[1::2]
    return knots


def proven(out: Path) -> Proof:
    """Fold a written result back once: it must be true within the referee's limit, and its strips whole."""
    proof = prove(out)
    assert proof.failures() == []
    assert strip_faults(out) == []
    return proof


def assert_intakes(proof: Proof, top: float, hem: float, count: int, limit: float = 1e-4) -> None:
    """Every pleat takes up what was asked, at both ends, within ``limit`` mm."""
    assert [intake.pleat for intake in proof.intakes] == list(range(1, count + 1))
    for intake in proof.intakes:
        assert abs(intake.top_mm - top) <= limit, f"pleat {intake.pleat} takes up {intake.top_mm} mm at the top"
        assert abs(intake.hem_mm - hem) <= limit, f"pleat {intake.pleat} takes up {intake.hem_mm} mm at the hem"


# ------------------------------------------------------------------------------------------------ hidden strips


def strip_faults(path: Path) -> list[str]:
    """What is wrong with the strips between the folds of each pleat, which folding back cannot see.

    A strip is the part of the finished piece beside one fold line, up to the next.  It must be one part without a
    hole, reach the whole of both lines, turn no corner on the way and never come back; and the cloth of that layer
    must have its area.
    """
    sheet = sheet_of(path)
    piece = shapely.Polygon(xy(sheet.finished))
    corners = sheet.finished[corners_of(sheet.finished)]
    layers, folded = _layers(sheet), sheet.folded
    names, lines, areas, one_way = [], [], [], []
    for k, (one, other) in enumerate(pairwise(sheet.creases)):
        if one.pleat == other.pleat:
            names.append(f"pleat {one.pleat}, between folds {one.fold} and {other.fold}")
            one_way.append(one.outer != other.outer)  # else it runs across the slash line, or is a face
            lines.append((folded[k], folded[k + 1]) if one.outer else (folded[k + 1], folded[k]))
            areas.append(layers[k + 1])
    if not lines:
        return []
    starts, ends = (np.array(row) for row in zip(*lines, strict=True))
    beside = shapely.intersection(piece, shapely.intersection(_beside(starts, ends), _beside(ends, starts)))
    faults = []
    for k, line in enumerate(lines):
        found = _strip_fault(beside[k], corners, *line, areas[k], one_way[k])
        faults += [f"{names[k]}: {fault}" for fault in found]
    return faults


ALONG = np.linspace(0, 1, 41)


def _strip_fault(beside: Any, corners: Points, start: Ends, end: Ends, flat_area: float, one_way: bool) -> list[str]:
    chord = _inside(start)
    parts = [part for part in shapely.get_parts(beside) if shapely.dwithin(part, chord, NEAR_MM)]
    if len(parts) != 1:
        return [f"{len(parts)} parts of the piece lie beside the line"]
    (part,) = parts
    faults = []
    if shapely.get_num_interior_rings(part):
        faults.append("it has a hole")
    area = float(shapely.area(part))
    if abs(area - flat_area) > 1.0:
        faults.append(f"the cloth has {flat_area:.3f} mm2, the strip {area:.3f}")
    edge = shapely.get_exterior_ring(part)
    for line in (start, end):
        if shapely.distance(shapely.points(xy(line[0] + ALONG * (line[1] - line[0]))), edge).max() > NEAR_MM:
            faults.append("a fold line is not whole on its edge")
    if one_way:
        inner = corners[(_apart(corners, start) > NEAR_MM) & (_apart(corners, end) > NEAR_MM)]
        if len(inner) and shapely.distance(shapely.points(xy(inner)), edge).min() < NEAR_MM:
            faults.append("a corner of the seam lies on it")
        if _comes_back(edge, start, end):
            faults.append("the seam comes back on the way")
    return faults


def _comes_back(edge: Any, start: Ends, end: Ends) -> bool:
    """Whether the seam between two fold lines ever runs back towards the first."""
    ring = shapely.get_coordinates(edge)[:-1]
    points = ring[:, 0] + 1j * ring[:, 1]
    away = _apart(points, start)
    on_start, on_line = away <= NEAR_MM, (away <= NEAR_MM) | (_apart(points, end) <= NEAR_MM)
    for k in np.flatnonzero(on_start):
        for step in (1, -1):
            walk = (k + step * np.arange(1, len(points))) % len(points)
            until = np.flatnonzero(on_line[walk])
            run = away[walk[: until[0]]] if len(until) else away[walk]
            if len(run) and (np.maximum.accumulate(run) - run).max() > NEAR_MM:
                return True
    return False


def _beside(lines: Points, towards: Points, reach: float = 5000.0) -> Any:
    """The half-plane of each line on the side of another, as a large rectangle."""
    along = (lines[:, 1] - lines[:, 0]) / np.abs(lines[:, 1] - lines[:, 0])
    middle = lines.sum(axis=1) / 2
    offsets = ((towards - middle[:, None]) * np.conj(1j * along)[:, None]).real
    most = np.take_along_axis(offsets, np.abs(offsets).argmax(axis=1)[:, None], axis=1)[:, 0]
    side = np.where(most < 0, -1j, 1j) * along
    start, end = middle - reach * along, middle + reach * along
    corners = np.stack([start, end, end + reach * side, start + reach * side], axis=1)
    return shapely.polygons(np.stack([corners.real, corners.imag], axis=-1))


def _inside(line: Ends) -> Any:
    """The middle nine tenths of a line: a strip beside it touches these, not only an end."""
    start, end = line[0] + (line[1] - line[0]) / 20, line[1] - (line[1] - line[0]) / 20
    return shapely.linestrings([[start.real, start.imag], [end.real, end.imag]])


def _apart(points: Points, line: Ends) -> Any:
    """Distances of points from an endless line, mm."""
    along = (line[1] - line[0]) / abs(line[1] - line[0])
    return np.abs(((points - line[0]) * along.conjugate()).imag)


def corners_of(ring: Points) -> list[int]:
    """The places at which a flattened outline turns by more than CORNER_DEGREES."""
    before, after = ring - np.roll(ring, 1), np.roll(ring, -1) - ring
    return [int(k) for k in np.flatnonzero(np.abs(np.degrees(np.angle(after / before))) > CORNER_DEGREES)]


def _layers(sheet: Sheet) -> list[float]:
    """Area of each layer of the flat piece: it is parted at its own nodes, which every crease must end on, mm2."""
    ends = np.array([(crease.top, crease.hem) for crease in sheet.creases])
    for ring in (sheet.seam, sheet.seam[::-1]):
        places = np.abs(ring[:, None, None] - ends).argmin(axis=0)
        assert np.abs(ring[places] - ends).max() < NEAR_MM, "a crease ends off the nodes of the flat seam"
        tops, hems = places[:, 0], places[:, 1]
        way = np.diff([*tops, *hems[::-1]]) % len(ring)
        if way.sum() < len(ring):
            break
    else:
        raise AssertionError("the creases do not follow one another along the seam")
    areas = [_area(_run(ring, int(hems[0]), int(tops[0])))]
    for k in range(len(ends) - 1):
        there, back = _run(ring, int(tops[k]), int(tops[k + 1])), _run(ring, int(hems[k + 1]), int(hems[k]))
        areas.append(_area(np.concatenate([there, back])))
    return [*areas, _area(_run(ring, int(tops[-1]), int(hems[-1])))]


def _run(ring: Points, start: int, end: int) -> Points:
    return ring[start : end + 1] if start <= end else np.concatenate([ring[start:], ring[: end + 1]])


def _area(points: Points) -> float:
    return abs(float(np.sum(np.conj(points) * np.roll(points, -1)).imag)) / 2


def xy(points: Points) -> Any:
    """Points as rows of x and y, for shapely."""
    return np.column_stack([np.asarray(points).real, np.asarray(points).imag])
