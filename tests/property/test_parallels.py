"""Parallels of outlines as editors leave them, against areas put together from rectangles and mitres.

The region that a parallel bounds is built by shapely, of pieces that share no code with the program: the outline, beside
each of its chords a rectangle as deep as the distance, and at each corner that points outwards the kite up to the mitre.
Lengths in mm, y down the page.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.parallel import parallel_outline
from pleatsvg.geometry.segment import Segment, point_at
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.tolerance import SHALLOW
from tests.property.test_pleating import _settings
from tests.referee.cutback import _kite
from tests.referee.foldback import _signed_area, _xy

CHORDS = 128


def tangent(seg: Segment, t: float) -> complex:
    """The direction of a line or a cubic whose handles have length."""
    if len(seg) == 2:
        way = seg[1] - seg[0]
    else:
        a, b, c, d = seg
        way = (1 - t) ** 2 * (b - a) + 2 * (1 - t) * t * (c - b) + t * t * (d - c)
    return way / abs(way)


def region(outline: Outline, far: float) -> shapely.Polygon:
    """What the mitred parallel bounds; beside curves the rectangles end square to the curve, not to its chords."""
    segments = outline.segments
    if _signed_area(np.array(flat(segments))) < 0:
        segments = tuple([seg[::-1] for seg in reversed(segments)])
    areas = [shapely.Polygon(_xy(np.array(flat(segments))))]
    for seg in segments:
        shares = [k / CHORDS for k in range(CHORDS + 1)] if len(seg) == 4 else [0.0, 1.0]
        rows = [(point_at(seg, t), point_at(seg, t) - 1j * far * tangent(seg, t)) for t in shares]
        areas += [shapely.Polygon(_xy(np.array([a, b, d, c]))) for (a, b), (c, d) in pairwise(rows)]
    for k, seg in enumerate(segments):
        kite = _kite(seg[0], -1j * tangent(segments[k - 1], 1.0), -1j * tangent(seg, 0.0), far, far)
        if kite is not None:
            areas.append(shapely.Polygon(_xy(kite)))
    whole = shapely.union_all(shapely.make_valid(areas), grid_size=1e-7)
    return shapely.Polygon(max(shapely.get_parts(whole), key=lambda part: part.area).exterior)


def flat(segments: Sequence[Segment]) -> list[complex]:
    return [
        point_at(seg, k / count) for seg in segments for count in [1 if len(seg) == 2 else CHORDS] for k in range(count)
    ]


def off(one: shapely.Polygon, other: shapely.Polygon) -> float:
    """The largest distance of a point of one's edge, taken every 0.5 mm, from the other's."""
    spots = shapely.points(shapely.get_coordinates(shapely.segmentize(one.exterior, 0.5)))
    return float(shapely.distance(spots, other.exterior).max())


def bowed(a: complex, d: complex, first: float, second: float) -> Segment:
    return a, a + (d - a) * (0.33 + 1j * first), d - (d - a) * (0.33 - 1j * second), d


@st.composite
def outlines(draw: st.DrawFn, most_chords: int) -> tuple[list[Segment], float]:
    """Skirt-like pieces of lines, curves, curves in chords, darts and slots; and a distance."""
    number = st.floats(-1, 1, allow_nan=False)
    width, height = 150 + 300 * abs(draw(number)), 200 + 300 * abs(draw(number))
    corners = [
        0j,
        width + 10j * draw(number),
        complex(width + 40 * draw(number), height),
        complex(-40 * draw(number), height),
    ]
    segments: list[Segment] = []
    for k in range(4):
        a, d = corners[k], corners[(k + 1) % 4]
        way = (d - a) / abs(d - a)
        kind = draw(st.sampled_from(["lines", "curve", "chords", "dart", "slot"]))
        bow = 0.1 * draw(number), 0.1 * draw(number)
        if kind == "curve":
            segments.append(bowed(a, d, *bow))
            continue
        if kind == "chords":
            count = draw(st.sampled_from([20, 60, 200, most_chords]))
            nodes = [point_at(bowed(a, d, *bow), j / count) for j in range(count + 1)]
        elif kind == "lines":
            nodes = [a + (d - a) * j / 3 for j in range(4)]
        else:
            middle, half = a + (d - a) * (0.5 + 0.2 * draw(number)), draw(st.sampled_from([1, 4, 8, 15])) * way
            deep = 1j * way * draw(st.sampled_from([20, 45]))
            tip = [middle + deep] if kind == "dart" else [middle - half + deep, middle + half + deep]
            nodes = [a, middle - half, *tip, middle + half, d]
        segments += pairwise(nodes)
    return segments, draw(st.sampled_from([6.0, 10.0, 15.0, 25.0]))


@st.composite
def left_by_editors(draw: st.DrawFn, most_chords: int = 400) -> tuple[Outline, float, int | None]:
    """The same with each node bent by up to half a degree, turned, mirrored, rounded, walked either way from any node."""
    segments, far = draw(outlines(most_chords))
    seed = draw(st.integers(0, 2**32))
    chance = np.random.default_rng(seed)
    n = len(segments)
    bends = np.radians(chance.uniform(-0.5, 0.5, n)) if draw(st.booleans()) else np.zeros(n)
    shifts = [
        bends[k] * min(abs(segments[k - 1][-1] - segments[k - 1][0]), abs(segments[k][-1] - segments[k][0])) / 2 * 1j
        for k in range(n)
    ]
    turn = cmath.rect(1, math.radians(draw(st.sampled_from([0, 0, 90, 180, 270, 33.3, 200.7]))))
    mirrored, decimals = draw(st.booleans()), draw(st.sampled_from([None, 1, 2, 3]))

    def there(z: complex) -> complex:
        z = (z.conjugate() if mirrored else z) * turn
        return z if decimals is None else complex(round(z.real, decimals), round(z.imag, decimals))

    moved = [
        tuple([there(z) for z in (seg[0] + shifts[k], *seg[1:-1], seg[-1] + shifts[(k + 1) % n])])
        for k, seg in enumerate(segments)
    ]
    moved = [seg for seg in moved if seg[0] != seg[-1]]
    if draw(st.booleans()):
        moved = [seg[::-1] for seg in reversed(moved)]
    start = int(chance.integers(len(moved)))
    return Outline(tuple(moved[start:] + moved[:start])), far, decimals


@_settings(12)
@given(case=left_by_editors())
def test_parallels_of_what_editors_leave(case: tuple[Outline, float, int | None]) -> None:
    outline, far, decimals = case
    assume(self_crossing(outline) is None)
    found = parallel_outline(outline, (far,) * len(outline))
    assert found is not None
    line = shapely.Polygon(_xy(np.array(flat(found[0].segments))))
    assert line.is_valid
    wanted = region(outline, far)
    if decimals is None:
        assert off(line, wanted) < 0.012
        assert off(wanted, line) < 0.1  # the tip of an acute notch is missed by more, where its sides are by 0.003
        return
    # Rounded chords are jagged: shallow hollows are passed over, so the line stands out a little less than the mitres do.
    spots = shapely.points(shapely.get_coordinates(shapely.segmentize(line.exterior, 0.5)))
    assert shapely.distance(spots, shapely.LinearRing(_xy(np.array(flat(outline.segments))))).min() > far - 0.012
    assert wanted.buffer(SHALLOW + 0.01).contains(line)


@pytest.mark.parametrize("degrees", [0.003, 0.01, 0.05, 0.1, 0.35, 1.0, 3.0, 10.0, 40.0, 90.0, 140.0])
@pytest.mark.parametrize("turned", [0.0, 90.0, 217.0])
@pytest.mark.parametrize("mirrored", [False, True])
def test_hollow_corners_of_every_angle(degrees: float, turned: float, mirrored: bool) -> None:
    """The hollow's lines are moved out by the distance and meet at its cosine: elementary geometry of the bisector."""
    half = math.radians(degrees) / 2
    spot = 150 + 1j * 150 * math.tan(half)
    corners = [0j, spot, 300 + 0j, 300 + 900j, 900j]
    way = cmath.rect(1, math.radians(turned))
    points = [(z.conjugate() if mirrored else z) * way for z in corners]
    outline = Outline(tuple(zip(points, points[1:] + points[:1], strict=True)))
    found = parallel_outline(outline, (15.0,) * 5)
    assert found is not None
    assert self_crossing(found[0]) is None
    meet = spot - 15j / math.cos(half)
    wanted = (meet.conjugate() if mirrored else meet) * way
    assert min(abs(seg[0] - wanted) for seg in found[0].segments) < 1e-3
