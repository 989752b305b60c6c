"""What a drawing means, as the W3C says it: units, viewports, transforms, arcs and path data.

The values come from formulas worked out again here, not from the program. Sections are cited from memory:
CSS Values 3, section 6.2 (absolute lengths); SVG 2, section 8.2 (viewBox and preserveAspectRatio), section 9.3 (path
data) and appendix B.2 (elliptical arcs); CSS Transforms 1, sections 7 and 12 (syntax of the attribute, functions).
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

import pleatsvg
from pleatsvg.piece.finished import FinishedPiece
from tests.outside.written import Segment, area_of, bezier

Matrix = npt.NDArray[np.float64]

EXACT = 1e-9
"""What stands for "the same" where both sides are exact but for rounding, mm."""


def read(folder: Path, text: str) -> FinishedPiece:
    file = folder / "drawing.svg"
    file.write_text(text, encoding="utf-8")
    return pleatsvg.read(file)


def in_mm(body: str, size: int = 4000) -> str:
    """A drawing on which one user unit is one millimetre."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size}mm" height="{size}mm" viewBox="0 0 {size} {size}">'
        f"{body}</svg>"
    )


def box(segments: Sequence[Segment]) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of an outline with straight sides."""
    xs, ys = [s[0].real for s in segments], [s[0].imag for s in segments]
    return min(xs), min(ys), max(xs), max(ys)


# ------------------------------------------------------------------------------- CSS Values 3, 6.2: absolute lengths

MM = {
    # CSS Values 3, section 6.2: 1in = 2.54cm = 96px; 1pc = 1/6 in; 1pt = 1/72 in; 1cm = 10mm; 1Q = 1/40 cm.
    "mm": 1.0,
    "cm": 10.0,
    "in": 25.4,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
    "px": 25.4 / 96,
    "Q": 0.25,
    "": 25.4 / 96,  # SVG 2, section 8.1: a number without a unit is in user units, which are px
}


@pytest.mark.parametrize("unit", MM)
def test_root_in_each_unit(tmp_path: Path, unit: str) -> None:
    """A page of 120 x 90 units whose viewBox is 1200 x 900: a tenth of the unit to the user unit."""
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="120{unit}" height="90{unit}" viewBox="0 0 1200 900">'
        '<rect id="seam" x="100" y="100" width="700" height="600"/></svg>'
    )
    found = pleatsvg.measure(read(tmp_path, text))
    lengths = {edge.name: edge.length for edge in found.edges}
    assert lengths["top"] == pytest.approx(70 * MM[unit], rel=1e-12)
    assert lengths["left side"] == pytest.approx(60 * MM[unit], rel=1e-12)
    assert found.piece.page.width_mm == pytest.approx(120 * MM[unit], rel=1e-12)
    assert found.piece.page.height_mm == pytest.approx(90 * MM[unit], rel=1e-12)


@pytest.mark.parametrize("unit", ["MM", "Cm", "IN", "Pt", "PC", "pX", "q"])
def test_units_are_the_same_in_any_case(tmp_path: Path, unit: str) -> None:
    """CSS Values 3, section 2: units are ASCII case-insensitive."""
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="100{unit}" height="100{unit}" viewBox="0 0 100 100">'
        '<rect id="seam" x="10" y="10" width="70" height="60"/></svg>'
    )
    left, _, right, _ = box(read(tmp_path, text).outline.segments)
    factor = MM["Q" if unit == "q" else unit.lower()]
    assert right - left == pytest.approx(70 * factor, rel=1e-12)


@pytest.mark.parametrize("size", ["20in", "50cm", "1000", "1000px", "700pt"])
def test_without_a_view_box_user_units_are_px(tmp_path: Path, size: str) -> None:
    """SVG 2, section 8.1: with no viewBox a user unit is a CSS px, however large the page."""
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size}" height="{size}">'
        '<rect id="seam" x="96" y="96" width="480" height="192"/></svg>'
    )
    assert box(read(tmp_path, text).outline.segments) == pytest.approx((25.4, 25.4, 6 * 25.4, 3 * 25.4), rel=1e-12)


def test_view_box_alone_is_read_at_96_to_the_inch_and_says_so(tmp_path: Path) -> None:
    """No physical size: 96 user units to the inch, and a remark that says it."""
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 960 960">'
        '<rect id="seam" x="96" y="96" width="480" height="192"/></svg>'
    )
    piece = read(tmp_path, text)
    left, _, right, _ = box(piece.outline.segments)
    assert right - left == pytest.approx(5 * 25.4, rel=1e-12)
    assert any("96 to the inch" in note for note in piece.notes)


def test_lengths_with_units_on_a_shape_are_in_css_units(tmp_path: Path) -> None:
    """SVG 2, section 7.1 and CSS Values 3: 1in on a shape is 96 user units, whatever these measure on the page."""
    body = '<rect id="seam" x="1in" y="0.5in" width="2.54cm" height="25.4mm"/>'
    assert box(read(tmp_path, in_mm(body)).outline.segments) == pytest.approx((96, 48, 192, 144), rel=1e-12)


# --------------------------------------------------------------------- SVG 2, 8.2: viewBox and preserveAspectRatio


def viewport(
    width: float, height: float, view: tuple[float, float, float, float], across: str, down: str, how: str
) -> tuple[float, float, float, float]:
    """Scales and offsets by the algorithm "equivalent transform of an SVG viewport", SVG 2, section 8.2."""
    vb_x, vb_y, vb_w, vb_h = view
    sx, sy = width / vb_w, height / vb_h
    if across != "none":
        sx = sy = min(sx, sy) if how != "slice" else max(sx, sy)
    tx, ty = -vb_x * sx, -vb_y * sy
    if across == "Mid":
        tx += (width - vb_w * sx) / 2
    if across == "Max":
        tx += width - vb_w * sx
    if down == "Mid":
        ty += (height - vb_h * sy) / 2
    if down == "Max":
        ty += height - vb_h * sy
    return sx, sy, tx, ty


FITS = [
    (f"x{across}Y{down}{how and ' ' + how}", across, down, how)
    for across, down, how in itertools.product(("Min", "Mid", "Max"), ("Min", "Mid", "Max"), ("", "meet", "slice"))
]
FITS += [("", "Mid", "Mid", "meet"), ("none", "none", "none", ""), ("none slice", "none", "none", "slice")]


@pytest.mark.parametrize(("text", "across", "down", "how"), FITS, ids=[fit[0] or "left out" for fit in FITS])
@pytest.mark.parametrize("size", [(500.0, 300.0), (200.0, 450.0)], ids=["wide", "high"])
def test_preserve_aspect_ratio(
    tmp_path: Path, text: str, across: str, down: str, how: str, size: tuple[float, float]
) -> None:
    """Every alignment with meet, slice and neither, on a page wider and one higher than the viewBox."""
    view = (-30.0, 12.0, 320.0, 240.0)
    attribute = f' preserveAspectRatio="{text}"' if text else ""
    drawn = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size[0]}mm" height="{size[1]}mm" '
        f'viewBox="{view[0]} {view[1]} {view[2]} {view[3]}"{attribute}>'
        '<rect id="seam" x="0" y="40" width="250" height="180"/></svg>'
    )
    sx, sy, tx, ty = viewport(*size, view, across, down, how)
    expected = (tx, 40 * sy + ty, 250 * sx + tx, 220 * sy + ty)
    assert box(read(tmp_path, drawn).outline.segments) == pytest.approx(expected, abs=EXACT)


@pytest.mark.parametrize("view", ["0 0 200 100", "0,0,200,100", " 0 , 0 200\t100 ", "0 0 2e2 1.e2", "0 0 +200 100"])
def test_view_box_is_four_numbers_parted_by_blanks_or_commas(tmp_path: Path, view: str) -> None:
    """SVG 2, section 8.2: four numbers, parted by whitespace and/or a comma."""
    drawn = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="200mm" viewBox="{view}">'
        '<rect id="seam" x="10" y="10" width="100" height="50"/></svg>'
    )
    assert box(read(tmp_path, drawn).outline.segments) == pytest.approx((20, 20, 220, 120), abs=EXACT)


@pytest.mark.parametrize("view", ["0 0 200", "0 0 200 100 5", "0 0 -200 100", "0 0 0 100", "0 0 2_00 100", "a b c d"])
def test_view_box_that_is_no_view_box_is_refused(tmp_path: Path, view: str) -> None:
    """SVG 2, section 8.2: negative is an error, zero shows nothing; the rest are no numbers."""
    drawn = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="200mm" viewBox="{view}">'
        '<rect id="seam" x="10" y="10" width="100" height="50"/></svg>'
    )
    with pytest.raises(pleatsvg.PleatError, match="viewBox"):
        read(tmp_path, drawn)


# --------------------------------------------------------------------------------------------- CSS Transforms 1


def matrix(a: float, b: float, c: float, d: float, e: float, f: float) -> Matrix:
    """CSS Transforms 1, section 12.2: matrix() is the first two rows, column by column."""
    return np.array([[a, c, e], [b, d, f], [0, 0, 1]])


def turned(degrees: float, cx: float = 0, cy: float = 0) -> Matrix:
    """Positive angles turn x towards y: clockwise on the page; about a point by moving it to the origin and back."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    there, back = matrix(1, 0, 0, 1, cx, cy), matrix(1, 0, 0, 1, -cx, -cy)
    return there @ matrix(cos, sin, -sin, cos, 0, 0) @ back


def tangent(degrees: float) -> float:
    return math.tan(math.radians(degrees))


TRANSFORMS = {
    "none": matrix(1, 0, 0, 1, 0, 0),
    "translate(10)": matrix(1, 0, 0, 1, 10, 0),
    "translate(10 -20.5)": matrix(1, 0, 0, 1, 10, -20.5),
    "translate(1e1,-2.05E1)": matrix(1, 0, 0, 1, 10, -20.5),
    "translate(.5.5)": matrix(1, 0, 0, 1, 0.5, 0.5),
    "scale(2)": matrix(2, 0, 0, 2, 0, 0),
    "scale(2 -0.5)": matrix(2, 0, 0, -0.5, 0, 0),
    "rotate(30)": turned(30),
    "rotate(-45 100 50)": turned(-45, 100, 50),
    "rotate(400, 100, 50)": turned(40, 100, 50),
    "skewX(30)": matrix(1, 0, tangent(30), 1, 0, 0),
    "skewY(-20)": matrix(1, tangent(-20), 0, 1, 0, 0),
    "matrix(1.5 .2 -.3 .8 12 -7)": matrix(1.5, 0.2, -0.3, 0.8, 12, -7),
    "matrix(0,1,1,0,0,0)": matrix(0, 1, 1, 0, 0, 0),
    " translate ( 10 , 5 )\n rotate(30),scale(2) ": matrix(1, 0, 0, 1, 10, 5) @ turned(30) @ matrix(2, 0, 0, 2, 0, 0),
    "scale(2)translate(10 5)skewX(10)": matrix(2, 0, 0, 2, 0, 0)
    @ matrix(1, 0, 0, 1, 10, 5)
    @ matrix(1, 0, tangent(10), 1, 0, 0),
}

CORNERS = (20 + 30j, 320 + 30j, 320 + 230j, 20 + 230j)


def through(transform: Matrix, z: complex) -> complex:
    (a, b, c), (d, e, f), _ = transform.tolist()  # in plain numbers: the arcs ask it of thousands of points
    return complex(a * z.real + b * z.imag + c, d * z.real + e * z.imag + f)


def assert_nodes(found: Sequence[Segment], expected: Sequence[complex], within: float = EXACT) -> None:
    """The nodes of an outline are these, whichever way round and from whichever it is counted."""
    assert len(found) == len(expected)
    for z in expected:
        assert min(abs(seg[0] - z) for seg in found) < within


@pytest.mark.parametrize("text", TRANSFORMS)
def test_each_transform(tmp_path: Path, text: str) -> None:
    """Each function of the attribute's syntax, alone and in lists: the last one is applied first."""
    body = f'<rect id="seam" x="20" y="30" width="300" height="200" transform="{text}"/>'
    piece = read(tmp_path, in_mm(body))
    assert_nodes(piece.outline.segments, [through(TRANSFORMS[text], z) for z in CORNERS])


@pytest.mark.parametrize(("outer", "inner"), list(itertools.pairwise(t for t in TRANSFORMS if t != "none")))
def test_transforms_nested_on_groups_and_element(tmp_path: Path, outer: str, inner: str) -> None:
    """CSS Transforms 1, section 3: the transforms of all ancestors are multiplied, outermost first."""
    own = "rotate(12 40 50)"
    body = (
        f'<g transform="{outer}"><g><a transform="{inner}">'
        f'<rect id="seam" x="20" y="30" width="300" height="200" transform="{own}"/></a></g></g>'
    )
    total = TRANSFORMS[outer] @ TRANSFORMS[inner] @ turned(12, 40, 50)
    piece = read(tmp_path, in_mm(body))
    assert_nodes(piece.outline.segments, [through(total, z) for z in CORNERS])


def test_transform_and_view_box_together(tmp_path: Path) -> None:
    """The page's own transform is the outermost: 5 mm to the unit, origin at (-10, -20)."""
    body = '<g transform="rotate(90)"><rect id="seam" width="40" height="30"/></g>'
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="50cm" height="50cm" viewBox="-10 -20 100 100">'
        + body
        + "</svg>"
    )
    expected = [complex(5 * (10 + x), 5 * (20 + y)) for x, y in ((0, 0), (0, 40), (-30, 40), (-30, 0))]
    assert_nodes(read(tmp_path, text).outline.segments, expected)


@pytest.mark.parametrize(
    "text",
    [
        "translate(1 2 3)",
        "scale()",
        "rotate(10 20)",
        "skewX(1 2)",
        "matrix(1 0 0 1 0)",
        "translate(10px 5px) nonsense",
        "rotate(ten)",
        "translate(10 20",
        "rotateX(5)",
        "Translate(10)",
        "translate(10,,20)",
    ],
)
def test_transform_that_is_none_is_refused(tmp_path: Path, text: str) -> None:
    """CSS Transforms 1, section 7: the attribute's grammar. What does not follow it must not be guessed at."""
    body = f'<rect id="seam" x="20" y="30" width="300" height="200" transform="{text}"/>'
    with pytest.raises(pleatsvg.PleatError, match="transform"):
        read(tmp_path, in_mm(body))


# -------------------------------------------------------------------------------------- SVG 2, B.2: elliptical arcs


class Arc:
    """An arc by its centre, SVG 2, appendix B.2.4 and B.2.5, worked out here from the end points.

    Attributes:
        centre, rx, ry: radii as used, scaled up where they were too small.
        phi: of the x radius, in radians.
        theta, delta: start and sweep in radians.
    """

    def __init__(self, start: complex, rx: float, ry: float, degrees: float, large: int, sweep: int, end: complex):
        rx, ry = abs(rx), abs(ry)
        self.phi = math.radians(degrees % 360)
        half = (start - end) / 2 * cmath.exp(-1j * self.phi)
        x, y = half.real, half.imag
        size = (x / rx) ** 2 + (y / ry) ** 2
        if size > 1:
            rx, ry = rx * math.sqrt(size), ry * math.sqrt(size)
        below = (rx * y) ** 2 + (ry * x) ** 2
        root = 0.0 if size >= 1 else math.sqrt(((rx * ry) ** 2 - below) / below)  # scaled up, it is 0 but for rounding
        if large == sweep:
            root = -root
        middle = complex(root * rx * y / ry, -root * ry * x / rx)
        self.centre = middle * cmath.exp(1j * self.phi) + (start + end) / 2
        self.rx, self.ry = rx, ry
        first = complex((x - middle.real) / rx, (y - middle.imag) / ry)
        last = complex((-x - middle.real) / rx, (-y - middle.imag) / ry)
        self.theta = cmath.phase(first)
        self.delta = cmath.phase(last / first)
        if sweep and self.delta < 0:
            self.delta += 2 * math.pi
        if not sweep and self.delta > 0:
            self.delta -= 2 * math.pi

    def on_circle(self, z: complex) -> complex:
        """Where a point lies when the ellipse is made the circle of radius 1 about 0."""
        w = (z - self.centre) * cmath.exp(-1j * self.phi)
        return complex(w.real / self.rx, w.imag / self.ry)

    def off_circle(self, w: complex) -> complex:
        """The way back."""
        return self.centre + complex(self.rx * w.real, self.ry * w.imag) * cmath.exp(1j * self.phi)


def assert_arc(cubics: Sequence[Segment], arc: Arc, transform: Matrix) -> None:
    """The curves lie on the transformed ellipse within 1e-6 mm, begin and end where the arc does, and never turn back.

    A point is held against the point of the ellipse that lies in the same direction on the circle: a bound from above.
    """
    back: Matrix = np.asarray(np.linalg.inv(transform), dtype=np.float64)
    angles: list[float] = []
    worst = 0.0
    for seg in cubics:
        for k in range(33):
            z = bezier(seg, k / 32)
            w = arc.on_circle(through(back, z))
            worst = max(worst, abs(through(transform, arc.off_circle(w / abs(w))) - z))
            angles.append(cmath.phase(w))
    assert worst < 1.001e-6
    way = np.unwrap(angles)
    if (way[-1] - way[0] > 0) != (arc.delta > 0):
        way = way[::-1]
    assert abs(way[-1] - way[0] - arc.delta) < 1e-9
    assert abs(cmath.exp(1j * way[0]) - cmath.exp(1j * arc.theta)) < 1e-9
    steps = np.diff(way) * np.sign(arc.delta)
    assert steps.min() > -1e-12


ARCS = [
    # start, rx, ry, rotation, large, sweep, end
    (100 + 200j, 90, 90, 0, 0, 1, 220 + 200j),
    (100 + 200j, 90, 90, 0, 0, 0, 220 + 200j),
    (100 + 200j, 90, 90, 0, 1, 1, 220 + 200j),
    (100 + 200j, 90, 90, 0, 1, 0, 220 + 200j),
    (100 + 200j, 150, 60, 30, 0, 1, 220 + 240j),
    (100 + 200j, 150, 60, 30, 1, 0, 220 + 240j),
    (100 + 200j, 150, 60, -75, 1, 1, 220 + 240j),
    (100 + 200j, 40, 170, 400, 0, 0, 160 + 260j),
    (100 + 200j, -150, -60, 30, 0, 1, 220 + 240j),  # the sign of a radius is dropped
    (100 + 200j, 10, 5, 25, 0, 1, 400 + 120j),  # too small: scaled up until they just reach, half an ellipse
    (100 + 200j, 10, 5, 25, 1, 0, 400 + 120j),
    (100 + 200j, 60, 60, 0, 0, 1, 220 + 200j),  # just large enough
    (100 + 200j, 900, 900, 0, 0, 1, 700 + 300j),
    (100 + 200j, 3000, 40, 5, 1, 1, 130 + 205j),
    (0 + 0j, 0.8, 2.5, 45, 1, 1, 1.5 + 1j),
]

MATRICES = {
    "as drawn": matrix(1, 0, 0, 1, 0, 0),
    "mirrored": matrix(-1, 0, 0, 1, 0, 0),
    "mirrored at 45 degrees": matrix(0, 1, 1, 0, 0, 0),
    "turned": turned(37, 50, 60),
    "skewed": matrix(1, 0, tangent(30), 1, 0, 0),
    "mirrored, skewed and stretched": matrix(0.8, 0.3, 0.5, -1.1, 12, 40),
    "ten times as large": matrix(10, 0, 0, 10, 0, 0),
    "in px": matrix(25.4 / 96, 0, 0, 25.4 / 96, 0, 0),
}


def attribute(transform: Matrix) -> str:
    return "matrix(" + " ".join(repr(float(v)) for v in transform[:2].T.ravel()) + ")"


@pytest.mark.parametrize("name", MATRICES)
@pytest.mark.parametrize("case", range(len(ARCS)))
def test_arcs_lie_on_their_ellipse(tmp_path: Path, case: int, name: str) -> None:
    """An arc and the chord that closes it, under each transform, against appendix B.2 of SVG 2."""
    start, rx, ry, turn, large, sweep, end = ARCS[case]
    d = f"M{start.real},{start.imag} A{rx} {ry} {turn} {large} {sweep} {end.real},{end.imag} Z"
    scale = 10 if case == 14 else 1  # a piece of cloth has more than 1 mm2
    body = f'<g transform="scale({scale})"><path id="seam" d="{d}" transform="{attribute(MATRICES[name])}"/></g>'
    segments = read(tmp_path, in_mm(body)).outline.segments
    lines = [k for k, seg in enumerate(segments) if len(seg) == 2]
    assert len(lines) == 1, "one chord"
    cubics = segments[lines[0] + 1 :] + segments[: lines[0]]
    transform = matrix(scale, 0, 0, scale, 0, 0) @ MATRICES[name]
    assert_arc(cubics, Arc(start, rx, ry, turn, large, sweep, end), transform)
    chord = segments[lines[0]]
    for z in (start, end):
        assert min(abs(chord[0] - through(transform, z)), abs(chord[1] - through(transform, z))) < EXACT


@pytest.mark.parametrize(("rx", "ry"), [(0, 50), (50, 0), (0, 0)])
def test_radius_of_nothing_makes_a_straight_line(tmp_path: Path, rx: int, ry: int) -> None:
    """SVG 2, section 9.5.1: if rx = 0 or ry = 0, the arc is a straight line between its ends."""
    body = f'<path id="seam" d="M10 10 A{rx} {ry} 30 1 1 210 10 L210 310 H10 Z"/>'
    segments = read(tmp_path, in_mm(body)).outline.segments
    assert all(len(seg) == 2 for seg in segments)
    assert_nodes(segments, [10 + 10j, 210 + 10j, 210 + 310j, 10 + 310j])


def test_arc_that_ends_where_it_begins_is_left_out(tmp_path: Path) -> None:
    """SVG 2, section 9.5.1: identical end points mean that the arc is omitted."""
    body = '<path id="seam" d="M10 10 H210 A50 30 20 1 1 210 10 a50 30 20 1 0 0 0 V310 H10 Z"/>'
    segments = read(tmp_path, in_mm(body)).outline.segments
    assert all(len(seg) == 2 for seg in segments)
    assert_nodes(segments, [10 + 10j, 210 + 10j, 210 + 310j, 10 + 310j])


def test_arc_examples_of_the_recommendation(tmp_path: Path) -> None:
    """SVG 2, section 9.3.8, example arcs01: three quarters of a circle of 150 (from memory)."""
    body = '<path id="seam" d="M300,200 h-150 a150,150 0 1,0 150,-150 z"/>'
    segments = read(tmp_path, in_mm(body)).outline.segments
    cubics = [seg for seg in segments if len(seg) == 4]
    assert len(segments) - len(cubics) == 2
    for seg in cubics:
        for k in range(33):
            assert abs(abs(bezier(seg, k / 32) - (300 + 200j)) - 150) < 1.001e-6
    assert_area(segments, math.pi * 150**2 * 3 / 4, 1e-3)


def test_jagged_arcs_of_the_recommendation(tmp_path: Path) -> None:
    """SVG 2, section 9.3.8, second part of arcs01 (from memory): arcs that grow from circle to ellipse, all over chords
    (50, -25) turned by -30 degrees. It is closed here by lines below."""
    parts = [f"a25,{ry} -30 0,1 50,-25" for ry in (25, 50, 75, 100)]
    d = "M600,350 l 50,-25 " + " l 50,-25 ".join(parts) + " l 50,-25 V600 H600 z"
    segments = read(tmp_path, in_mm(f'<path id="seam" d="{d}"/>')).outline.segments
    for k, ry in enumerate((25, 50, 75, 100)):
        start = complex(650 + 100 * k, 325 - 50 * k)
        arc = Arc(start, 25, ry, -30, 0, 1, start + 50 - 25j)
        assert_arc(between(segments, start, start + 50 - 25j), arc, matrix(1, 0, 0, 1, 0, 0))


def between(segments: Sequence[Segment], start: complex, end: complex) -> list[Segment]:
    """The part of an outline from one node to another, the way it is walked."""
    n = len(segments)
    first = next(k for k in range(n) if abs(segments[k][0] - start) < EXACT)
    last = next(k for k in range(first, first + n) if abs(segments[k % n][-1] - end) < EXACT)
    return [segments[k % n] for k in range(first, last + 1)]


def assert_area(segments: Sequence[Segment], area: float, within: float) -> None:
    assert abs(area_of(segments) - area) < within


ROUND = {
    # SVG 2, sections 10.2 to 10.4: areas of the basic shapes; a corner of radii rx, ry takes (4 - pi) rx ry / 4 away.
    '<circle id="seam" cx="100" cy="120" r="80"/>': math.pi * 6400,
    '<ellipse id="seam" cx="100" cy="120" rx="80" ry="30"/>': math.pi * 2400,
    '<ellipse id="seam" cx="100" cy="120" rx="80"/>': math.pi * 6400,  # ry auto is rx
    '<ellipse id="seam" cx="100" cy="120" rx="auto" ry="30"/>': math.pi * 900,
    '<rect id="seam" x="5" y="6" width="200" height="100" rx="20" ry="10"/>': 20_000 - (4 - math.pi) * 200,
    '<rect id="seam" x="5" y="6" width="200" height="100" rx="20"/>': 20_000 - (4 - math.pi) * 400,
    '<rect id="seam" x="5" y="6" width="200" height="100" ry="20"/>': 20_000 - (4 - math.pi) * 400,
    '<rect id="seam" x="5" y="6" width="200" height="100" rx="500" ry="20"/>': 20_000 - (4 - math.pi) * 2000,
    '<rect id="seam" x="5" y="6" width="200" height="100" rx="60"/>': 20_000 - (4 - math.pi) * 60 * 50,
    '<rect id="seam" x="5" y="6" width="200" height="100" rx="20" ry="0"/>': 20_000,
}


@pytest.mark.parametrize("element", ROUND)
def test_basic_shapes(tmp_path: Path, element: str) -> None:
    """Their areas: radii left out, clamped to half the sides, or nothing."""
    assert_area(read(tmp_path, in_mm(element)).outline.segments, ROUND[element], 1e-3)


# --------------------------------------------------------------------------------------------- SVG 2, 9.3: path data


def quadratic(a: complex, b: complex, c: complex) -> Segment:
    """A quadratic raised to a cubic: control points two thirds of the way (degree elevation)."""
    return (a, (a + 2 * b) / 3, (2 * b + c) / 3, c)


def polygon(*corners: complex) -> list[Segment]:
    return list(itertools.pairwise([*corners, corners[0]]))


SQUARE = polygon(20 + 20j, 120 + 20j, 120 + 120j, 20 + 120j)

GRAMMAR: dict[str, list[Segment]] = {
    # One row for one rule of SVG 2, sections 9.3.3 to 9.3.9.
    "M20 20L120 20L120 120L20 120Z": SQUARE,
    "M20,20L120,20,120,120,20,120z": SQUARE,
    "M20 20 120 20 120 120 20 120z": SQUARE,  # lineto without a letter after moveto
    "m20 20 100 0 0 100-100 0z": SQUARE,  # relative, and no blank before a sign
    "m20 20h100v100h-100z": SQUARE,
    "M 20 20 H 70 120 V 50 120 H 20 Z": polygon(20 + 20j, 70 + 20j, 120 + 20j, 120 + 50j, 120 + 120j, 20 + 120j),
    "M20 20h40 60v100h-100z": polygon(20 + 20j, 60 + 20j, 120 + 20j, 120 + 120j, 20 + 120j),
    "M+20+20L120+20,120+120 20+120z": SQUARE,
    "\n\tM 20\r\n20 L 120 , 20 120\t120 20 ,120\n z \n": SQUARE,
    "M2e1 2E1L1.2e2 2e+1 1200e-1 120 20 .12e3z": SQUARE,
    "M20 20L120 20L120 120L20 120L20 20Z": SQUARE,  # drawn back to its beginning, then closed
    "M20 20L120 20L120 120L20 120L20 20": SQUARE,  # drawn back to its beginning and left so
    "M20 20L120 20L120 20L120 120L120 120L20 120ZZZ": SQUARE,  # segments of no length; closed again
    "M.5.5.5-.5 90.5-.5 90.5.5z": polygon(0.5 + 0.5j, 0.5 - 0.5j, 90.5 - 0.5j, 90.5 + 0.5j),
    "M 0.6.5 L 100.5.5 100.5 60z": polygon(0.6 + 0.5j, 100.5 + 0.5j, 100.5 + 60j),  # 9.3.9: "M 0.6.5" is 0.6 and .5
    "M 100-200 L 200-200 200-100z": polygon(100 - 200j, 200 - 200j, 200 - 100j),  # 9.3.9: "M 100-200"
    "M-.5-.5L90-.5-.5.9e2z": polygon(-0.5 - 0.5j, 90 - 0.5j, -0.5 + 90j),
    "M20 20C40 0 80 0 100 20S160 40 180 20V90H20z": [
        (20 + 20j, 40 + 0j, 80 + 0j, 100 + 20j),
        (100 + 20j, 120 + 40j, 160 + 40j, 180 + 20j),  # first handle: (80, 0) reflected in (100, 20)
        *polygon(180 + 20j, 180 + 90j, 20 + 90j, 20 + 20j)[:3],
    ],
    "m20 20c20-20 60-20 80 0s60 20 80 0v70h-160z": [
        (20 + 20j, 40 + 0j, 80 + 0j, 100 + 20j),
        (100 + 20j, 120 + 40j, 160 + 40j, 180 + 20j),
        *polygon(180 + 20j, 180 + 90j, 20 + 90j, 20 + 20j)[:3],
    ],
    "m20 20c20-20 60-20 80 0 20 20 60 20 80 0v70h-160z": [  # each curve of the run counts from its own start
        (20 + 20j, 40 + 0j, 80 + 0j, 100 + 20j),
        (100 + 20j, 120 + 40j, 160 + 40j, 180 + 20j),
        *polygon(180 + 20j, 180 + 90j, 20 + 90j, 20 + 20j)[:3],
    ],
    "M20 20H60S100 0 120 20V90H20z": [  # S after no curve: the first handle is the point itself
        (20 + 20j, 60 + 20j),
        (60 + 20j, 60 + 20j, 100 + 0j, 120 + 20j),
        *polygon(120 + 20j, 120 + 90j, 20 + 90j, 20 + 20j)[:3],
    ],
    "M20 20Q40 0 60 20S100 0 120 20V90H20z": [  # S after a quadratic is no smooth join either
        quadratic(20 + 20j, 40 + 0j, 60 + 20j),
        (60 + 20j, 60 + 20j, 100 + 0j, 120 + 20j),
        *polygon(120 + 20j, 120 + 90j, 20 + 90j, 20 + 20j)[:3],
    ],
    "M20 20Q40 0 60 20T100 20 140 20V90H20z": [  # T and T again: reflected each time
        quadratic(20 + 20j, 40 + 0j, 60 + 20j),
        quadratic(60 + 20j, 80 + 40j, 100 + 20j),
        quadratic(100 + 20j, 120 + 0j, 140 + 20j),
        *polygon(140 + 20j, 140 + 90j, 20 + 90j, 20 + 20j)[:3],
    ],
    "m20 20q20-20 40 0t40 0t40 0v70h-120z": [
        quadratic(20 + 20j, 40 + 0j, 60 + 20j),
        quadratic(60 + 20j, 80 + 40j, 100 + 20j),
        quadratic(100 + 20j, 120 + 0j, 140 + 20j),
        *polygon(140 + 20j, 140 + 90j, 20 + 90j, 20 + 20j)[:3],
    ],
    "M20 20C40 0 80 0 100 20T140 20V90H20z": [  # T after a cubic: the control point is the point itself
        (20 + 20j, 40 + 0j, 80 + 0j, 100 + 20j),
        quadratic(100 + 20j, 100 + 20j, 140 + 20j),
        *polygon(140 + 20j, 140 + 90j, 20 + 90j, 20 + 20j)[:3],
    ],
}


def assert_segments(found: Sequence[Segment], expected: Sequence[Segment]) -> None:
    """The outline has these segments and no others, whichever way round it is walked."""
    assert len(found) == len(expected)
    left = list(found)
    for seg in expected:
        for turned_round in (seg, seg[::-1]):
            near = [
                k
                for k, other in enumerate(left)
                if len(other) == len(seg) and max(abs(p - q) for p, q in zip(other, turned_round, strict=True)) < EXACT
            ]
            if near:
                del left[near[0]]
                break
        else:
            raise AssertionError(f"{seg} is not on the outline, which has {left}")


@pytest.mark.parametrize("d", GRAMMAR)
def test_path_grammar(tmp_path: Path, d: str) -> None:
    """Each rule of the path grammar by one path, as segments worked out by hand."""
    assert_segments(read(tmp_path, in_mm(f'<path id="seam" d="{d}"/>')).outline.segments, GRAMMAR[d])


FLAGS = [
    # SVG 2, section 9.3.9: a flag is one digit, and needs nothing after it.
    "M20 90 a25,25 -30 0,1 50,-25 V200 H20 z",
    "M20 90a25 25-30 01 50-25V200H20z",
    "M20 90a25,25,-30,0150,-25V200H20z",
    "M20 90A25 25-30 0170 65V200H20z",
    "M20 90a25 25-30 0 150-25v135h-50z",
]


@pytest.mark.parametrize("d", FLAGS)
def test_flags_may_be_written_together(tmp_path: Path, d: str) -> None:
    segments = read(tmp_path, in_mm(f'<path id="seam" d="{d}"/>')).outline.segments
    cubics = [seg for seg in segments if len(seg) == 4]
    assert_arc(cubics, Arc(20 + 90j, 25, 25, -30, 0, 1, 70 + 65j), matrix(1, 0, 0, 1, 0, 0))
    assert len(segments) - len(cubics) == 3


def test_repeated_arcs(tmp_path: Path) -> None:
    """Arguments repeat without the letter, flags written together all the same."""
    segments = read(
        tmp_path, in_mm('<path id="seam" d="M20 90a25 25 0 0150 0 25 25 0 0150 0V200H20z"/>')
    ).outline.segments
    for start in (20 + 90j, 70 + 90j):
        arc = Arc(start, 25, 25, 0, 0, 1, start + 50)
        assert_arc(between(segments, start, start + 50), arc, matrix(1, 0, 0, 1, 0, 0))


AFTER_CLOSING = {
    # SVG 2, section 9.3.4: after closepath the current point is the start of the subpath that was closed.
    "M20 20H320V420H20z m100 0v400": [(120 + 20j, 120 + 420j)],
    "M20 20H320V420H20z M120 20v400": [(120 + 20j, 120 + 420j)],
    "M20 20H320V420H20z l300 400": [(20 + 20j, 320 + 420j)],
    "M20 20H320V420H20z L320 420": [(20 + 20j, 320 + 420j)],
    "M20 20H320V420H20Zm100 0v400m50-400 0 400": [(120 + 20j, 120 + 420j), (170 + 20j, 170 + 420j)],
    "m20 20h300v400h-300zm100 0v400zm100 0v400": [(120 + 20j, 120 + 420j), (220 + 20j, 220 + 420j)],
}


@pytest.mark.parametrize("d", AFTER_CLOSING)
def test_a_path_goes_on_after_it_was_closed(tmp_path: Path, d: str) -> None:
    piece = read(tmp_path, in_mm(f'<path d="{d}"/>'))
    assert_segments(piece.outline.segments, polygon(20 + 20j, 320 + 20j, 320 + 420j, 20 + 420j))
    found = [(line.start, line.end) for line in piece.crossing_lines]
    assert found == AFTER_CLOSING[d]


BAD_DATA = [
    "L20 20 120 20 120 120z",  # no moveto
    "20 20 120 20 120 120z",
    "M20 20 120 20 120 120 z junk",
    "M20 20 120 20 120 120 zx",
    "M20 20 120 20 120 120 z 5 5",
    "M20 20 120 20 120z",  # half a pair
    "M20 20 L 120 20 L 120 120 L z",
    "M20 20 C 120 20 120 120 z",
    "M20 20 H 120 V z",
    "M20 20 A 50 50 0 0 120 20 120 120z",  # a flag is 0 or 1
    "M20 20 A 50 50 0 2 1 120 20 120 120z",
    "M20 20 A 50 50 0 0 1 120z",
    "M20 20 L 120 1.2.3e 120 120z",
    "M20 20 L 120 --20 120 120z",
    "M20 20 L 120 20px 120 120z",
    "M20 20 L 120 NaN 120 120z",
    "M20 20 L 120 inf 120 120z",
    "M20 20 L 0x78 20 120 120z",
    "M20 20 L 120 20; 120 120z",
    "M20,,20 L120 20 120 120z",  # one comma at most between two numbers
    "M,20 20 L120 20 120 120z",  # and none after a letter
    "M20 20 L120 20 120 120,z",  # nor before one
    "M٢٠ 20 L120 20 120 120z",  # digits are 0 to 9
]


@pytest.mark.parametrize("d", BAD_DATA)
def test_data_off_the_grammar_is_refused(tmp_path: Path, d: str) -> None:
    """SVG 2, section 9.3.9. A browser draws up to the fault; cloth cut from half a seam is lost, so it is refused."""
    with pytest.raises(pleatsvg.PleatError, match=r"path data|number"):
        read(tmp_path, in_mm(f'<path id="seam" d="{d}"/>'))


POINTS = {
    "20 20 120 20 120 120 20 120": polygon(20 + 20j, 120 + 20j, 120 + 120j, 20 + 120j),
    "20,20,120,20,120,120,20,120": polygon(20 + 20j, 120 + 20j, 120 + 120j, 20 + 120j),
    " 20,20 , 120,20\n120 , 120 20 120 ": polygon(20 + 20j, 120 + 20j, 120 + 120j, 20 + 120j),
    "20-20 120-20,120.5.5": polygon(20 - 20j, 120 - 20j, 120.5 + 0.5j),
    "2e1 20 1.2E2 20 120 12e+1": polygon(20 + 20j, 120 + 20j, 120 + 120j),
}


@pytest.mark.parametrize("points", POINTS)
def test_points_of_polygons(tmp_path: Path, points: str) -> None:
    """SVG 2, section 10.7: pairs of numbers, closed from the last point to the first."""
    segments = read(tmp_path, in_mm(f'<polygon id="seam" points="{points}"/>')).outline.segments
    assert_segments(segments, POINTS[points])
