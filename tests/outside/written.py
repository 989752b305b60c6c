"""Drawings made as text, pleated through the public calls, and their written files read back with lxml alone.

Nothing here asks the program what it thinks that it made: creases, seam and layers are what stands in the file.
Lengths in mm, y down the page, points as complex numbers (x to the right, y down).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from lxml import etree

import pleatsvg

SVG = "{http://www.w3.org/2000/svg}"
Points = npt.NDArray[np.complex128]
Segment = tuple[complex, ...]
"""A line (2 points) or a cubic (4 points)."""

_TOKEN = re.compile(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?")


# ------------------------------------------------------------------------------------------------ drawings as text


def point(z: complex) -> str:
    """A point as it stands in path data, to nine decimals, so that the drawing is no source of error."""
    return f"{z.real:.9f},{z.imag:.9f}"


def closed(*corners: complex) -> str:
    """Path data of a closed outline with straight sides."""
    return "M" + " L".join(point(z) for z in corners) + " Z"


def panel(width: float, height: float) -> str:
    """Path data of a rectangular panel whose top left corner is the origin."""
    return closed(0j, complex(width, 0), complex(width, height), complex(0, height))


def drawing(outline: str, lines: Mapping[str, tuple[complex, complex]] | None = None, more: str = "") -> str:
    """A drawing in mm: the outline under the name "seam", the lines under their own."""
    drawn = [f'<path id="seam" d="{outline}"/>']
    drawn += [f'<path data-name="{name}" d="M{point(a)} L{point(b)}"/>' for name, (a, b) in (lines or {}).items()]
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="2000mm" height="2000mm" viewBox="0 0 2000 2000">'
        f"{''.join(drawn)}{more}</svg>"
    )


def upright(height: float, *places: float) -> dict[str, tuple[complex, complex]]:
    """Slash lines straight down a panel of this height, at these distances from its left side."""
    return {f"slash {k}": (complex(x, 0), complex(x, height)) for k, x in enumerate(places, 1)}


# ------------------------------------------------------------------------------------------------- plane isometries


@dataclass(frozen=True)
class Isometry:
    """z -> turn z + shift, or turn conj(z) + shift where it turns the cloth over."""

    turn: complex = 1 + 0j
    shift: complex = 0j
    over: bool = False

    def __call__(self, z: complex) -> complex:
        return self.turn * (z.conjugate() if self.over else z) + self.shift

    def after(self, first: Isometry) -> Isometry:
        """The product: `first`, then this one."""
        turn, shift = (first.turn.conjugate(), first.shift.conjugate()) if self.over else (first.turn, first.shift)
        return Isometry(self.turn * turn, self.turn * shift + self.shift, self.over != first.over)


def mirror(a: complex, b: complex) -> Isometry:
    """The reflection in the line through two points."""
    square = ((b - a) / abs(b - a)) ** 2
    return Isometry(square, a - square * a.conjugate(), True)


# ------------------------------------------------------------------------------------------------- results read back


@dataclass(frozen=True)
class Line:
    """A straight line of a result, from the top seam to the hem."""

    name: str
    pleat: int
    folds: tuple[int, ...]
    top: complex
    hem: complex

    @property
    def middle(self) -> complex:
        """Half-way down."""
        return (self.top + self.hem) / 2


@dataclass(frozen=True)
class Written:
    """One written result. `corner` is the top left corner of the drawn piece, to which all coordinates are moved."""

    root: Any
    corner: complex

    @cached_property
    def shift(self) -> complex:
        """From the page to the drawing: the finished shape on the page begins where the drawn one does."""
        nodes = [seg[0] for seg in self._path("finished-line")]
        return self.corner - complex(min(z.real for z in nodes), min(z.imag for z in nodes))

    @cached_property
    def seam(self) -> list[Segment]:
        """The flat stitching line."""
        return [tuple(z + self.shift for z in seg) for seg in self._path("seam-line")]

    @cached_property
    def finished(self) -> list[Segment]:
        """The finished stitching line, as written on the hidden layer."""
        return [tuple(z + self.shift for z in seg) for seg in self._path("finished-line")]

    @property
    def width(self) -> float:
        """From the leftmost to the rightmost node of the flat stitching line."""
        xs = [seg[0].real for seg in self.seam]
        return max(xs) - min(xs)

    @property
    def area(self) -> float:
        """Area within the flat stitching line, exact for lines and cubics (Green's theorem)."""
        return area_of(self.seam)

    def lines(self, name: str) -> list[Line]:
        """All lines of one class, by pleat and place in the fold list."""
        found = []
        for element in self._elements(name):
            ((top, hem),) = segments_of(element.get("d"))
            folds = tuple(int(word) for word in element.get("data-fold").split())
            found.append(Line(name, int(element.get("data-pleat")), folds, top + self.shift, hem + self.shift))
        return sorted(found, key=lambda line: (line.pleat, line.folds))

    @cached_property
    def creases(self) -> list[Line]:
        """Every fold line, outer and inner, in the order in which the cloth meets them."""
        both = self.lines("fold-line") + self.lines("inner-fold-line")
        return sorted(both, key=lambda line: (line.pleat, line.folds))

    @cached_property
    def folding(self) -> list[Isometry]:
        """The isometries that fold layers 0, 1, 2 ..: products of reflections in the creases as drawn."""
        made = [Isometry()]
        for crease in self.creases:
            made.append(made[-1].after(mirror(crease.top, crease.hem)))
        return made

    def layer_at(self, z: complex) -> int:
        """Which layer a point of the flat piece belongs to: how many creases lie to its left (upright lines only)."""
        count = 0
        for crease in self.creases:
            along = crease.hem - crease.top
            if ((z - crease.top) * along.conjugate()).imag < 0:
                count += 1
        return count

    def folded(self, z: complex) -> complex:
        """Where a point of the flat piece comes to lie when everything is folded."""
        return self.folding[self.layer_at(z)](z)

    def on_top(self, share: int = 16) -> Points:
        """Points all along the part of the flat seam that looks up the page (nodes and so many shares of each part)."""
        made = []
        for seg in self.seam:
            if seg[-1].real > seg[0].real + 1e-9 and abs(seg[-1].imag - seg[0].imag) < abs(seg[-1].real - seg[0].real):
                made += [bezier(seg, k / share) for k in range(share + 1)]
        return np.array(made)

    def _elements(self, name: str) -> list[Any]:
        return [e for e in self.root.iter(SVG + "path") if e.get("class") == name]

    def _path(self, name: str) -> list[Segment]:
        (element,) = self._elements(name)
        return segments_of(element.get("d"))


def pleated(folder: Path, text: str, corner: complex = 0j, **options: Any) -> Written:
    """Save a drawing, pleat it through the public calls, write the result and read the file back."""
    source, target = folder / "drawing.svg", folder / "flat.svg"
    source.write_text(text, encoding="utf-8")
    pleatsvg.write(pleatsvg.pleat(pleatsvg.read(source), **options), target, force=True)
    return Written(etree.parse(str(target)).getroot(), corner)


def segments_of(data: str) -> list[Segment]:
    """Segments of path data in absolute M, L, C and Z, which is all that a result may hold."""
    tokens = _TOKEN.findall(data)
    found: list[Segment] = []
    here = start = 0j
    command, at = "", 0

    def take(count: int) -> list[complex]:
        nonlocal at
        numbers = [float(word) for word in tokens[at : at + 2 * count]]
        at += 2 * count
        return [complex(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]

    while at < len(tokens):
        if tokens[at].isalpha():
            command = tokens[at]
            at += 1
        if command == "M":
            (here,) = take(1)
            start = here
        elif command == "Z":
            if here != start:
                found.append((here, start))
            here = start
        elif command in "LC":
            points = take(1 if command == "L" else 3)
            found.append((here, *points))
            here = points[-1]
        else:
            raise AssertionError(f"a result may not hold the path command {command}")
    return found


def bezier(seg: Sequence[complex], t: float) -> complex:
    """The point of a line or cubic at share t, by its Bernstein polynomials."""
    s = 1 - t
    if len(seg) == 2:
        return s * seg[0] + t * seg[1]
    return s**3 * seg[0] + 3 * s * s * t * seg[1] + 3 * s * t * t * seg[2] + t**3 * seg[3]


def area_of(segments: Sequence[Segment]) -> float:
    """Area within a closed outline: the integral of (x dy - y dx) / 2, exact with four Gauss points to a segment."""
    nodes, weights = np.polynomial.legendre.leggauss(4)
    total = 0.0
    for seg in segments:
        z = np.array(seg)
        control = z if len(z) == 4 else np.array([z[0], (2 * z[0] + z[1]) / 3, (z[0] + 2 * z[1]) / 3, z[1]])
        t = (nodes + 1) / 2
        s = 1 - t
        at = s**3 * control[0] + 3 * s * s * t * control[1] + 3 * s * t * t * control[2] + t**3 * control[3]
        d = np.diff(control) * 3
        speed = s * s * d[0] + 2 * s * t * d[1] + t * t * d[2]
        total += float(np.sum(weights / 2 * (np.conj(at) * speed).imag)) / 2
    return abs(total)
