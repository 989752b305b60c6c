"""Parallels of segments and outlines, and crossings of segments. Lengths in mm, y down the page."""

from __future__ import annotations

import cmath
import math
import time

import numpy as np
import pytest

from pleatsvg.errors import FitError
from pleatsvg.geometry.crossings import meetings
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.parallel import parallel_of, parallel_outline
from pleatsvg.geometry.segment import Segment, point_at
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.length import parse_length
from pleatsvg.order.allowances import Allowances
from pleatsvg.piece.cutting.cutting_line import distances_of
from pleatsvg.piece.edges import seam_edges
from pleatsvg.tolerance import MITRE_LIMIT


def arc(centre: complex, radius: float, start: float, end: float) -> Segment:
    """A cubic for an arc of at most 90 degrees, angles in degrees; within 3e-4 radii at 90."""
    a, b = math.radians(start), math.radians(end)
    k = 4 / 3 * math.tan((b - a) / 4)
    p, q = centre + cmath.rect(radius, a), centre + cmath.rect(radius, b)
    return p, p + 1j * k * (p - centre), q - 1j * k * (q - centre), q


def ring(*corners: complex) -> Outline:
    return Outline(tuple((a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)))


SQUARE = ring(0j, 100 + 0j, 100 + 100j, 100j)


def test_a_line_s_parallel_is_a_line() -> None:
    assert parallel_of((0j, 100 + 0j), 15.0, 1.0) == ((-15j, 100 - 15j),)


@pytest.mark.parametrize("distance", [-0.0, 5.0, 40.0])
def test_an_arc_s_parallel_is_an_arc(distance: float) -> None:
    parts = parallel_of(arc(0j, 100.0, 0, 15), distance, 1.0)
    off = [abs(abs(point_at(part, t / 8)) - 100 - distance) for part in parts for t in range(9)]
    assert max(off) < 0.003


def test_corners_are_mitred_and_pieces_may_have_an_allowance_on_some_edges_only() -> None:
    found = parallel_outline(SQUARE, (15.0, 0.0, 40.0, 15.0))
    assert found is not None
    assert found[0].area == pytest.approx((100 + 15) * (100 + 15 + 40))
    assert found[0].box == (-15.0, -15.0, 100.0, 140.0)


def test_the_parallel_inside_a_square_is_a_square() -> None:
    found = parallel_outline(SQUARE, (15.0,) * 4, inside=True)
    assert found is not None
    assert found[0].area == pytest.approx(70 * 70)
    gone = parallel_outline(SQUARE, (60.0,) * 4, inside=True)
    assert gone is None or gone[0].area <= 0


def test_sharp_corners_are_squared_off_at_the_mitre_limit() -> None:
    point = ring(0j, 300 + 10j, 20j)  # 3.8 degrees at the right
    found = parallel_outline(point, (10.0,) * 3)
    assert found is not None
    # Square to the bisector, which is level here.
    assert found[0].box[2] == pytest.approx(300 + 10 * MITRE_LIMIT, abs=1e-6)
    ends = [seg for seg in found[0].segments if seg[0].real > 349.9 and seg[1].real > 349.9]
    assert len(ends) == 1


def test_a_tight_armhole_gives_a_clean_line() -> None:
    # A half-round hollow of 20 mm radius in the top, with 30 mm: nothing of it is left but a straight edge.
    hollow = (arc(150, 20.0, 180, 90), arc(150, 20.0, 90, 0))
    sides = ((170 + 0j, 300 + 0j), (300 + 0j, 300 + 200j), (300 + 200j, 200j), (200j, 0j), (0j, 130 + 0j))
    outline = Outline((*hollow, *sides))
    assert outline.area > 0
    found = parallel_outline(outline, (30.0,) * len(outline))
    assert found is not None
    assert self_crossing(found[0]) is None
    assert found[0].area == pytest.approx(360 * 260, abs=0.01)
    # And 12 mm leave a round of 8 mm in it.
    found = parallel_outline(outline, (12.0,) * len(outline))
    assert found is not None
    lost = found[0].area - 324 * 224
    assert lost < 0
    inner = [seg for seg in found[0].segments if len(seg) == 4]
    assert max(abs(abs(point_at(seg, t / 4) - 150) - 8) for seg in inner for t in range(5)) < 0.01


def test_a_cusp_in_the_parallel_of_an_ellipse_is_cleaned() -> None:
    # The curve bends to 12.5 mm at its ends; inside by 20 it turns back on itself there.
    k = 4 / 3 * math.tan(math.pi / 8)
    a, b = 200.0, 50.0
    quarter = [
        (complex(a, 0), complex(a, k * b), complex(k * a, b), complex(0, b)),
        (complex(0, b), complex(-k * a, b), complex(-a, k * b), complex(-a, 0)),
        (complex(-a, 0), complex(-a, -k * b), complex(-k * a, -b), complex(0, -b)),
        (complex(0, -b), complex(k * a, -b), complex(a, -k * b), complex(a, 0)),
    ]
    ellipse = Outline(tuple(quarter))
    found = parallel_outline(ellipse, (20.0,) * 4, inside=True)
    assert found is not None
    assert self_crossing(found[0]) is None
    points = [point_at(seg, t / 8) for seg in found[0].segments for t in range(8)]
    edge = [point_at(seg, t / 400) for seg in ellipse.segments for t in range(400)]
    assert min(abs(p - q) for p in points[::7] for q in edge) > 20 - 0.01


def test_a_dart_narrower_than_the_allowance_is_closed_over() -> None:
    dart = ring(0j, 145 + 0j, 150 + 80j, 155 + 0j, 300 + 0j, 300 + 200j, 200j)
    found = parallel_outline(dart, (15.0,) * len(dart))
    assert found is not None
    assert self_crossing(found[0]) is None
    assert found[0].area == pytest.approx(330 * 230, abs=0.5)


def test_crossings_of_segments() -> None:
    ((t, u),) = meetings((0j, 10 + 10j), (10 + 0j, 10j))
    assert (t, u) == (pytest.approx(0.5), pytest.approx(0.5))
    assert meetings((0j, 10 + 0j), (0 + 1j, 10 + 1j)) == []
    quarter = arc(0j, 10.0, 0, 90)
    other = arc(10 + 0j, 10.0, 180, 90)
    ((t, u),) = meetings(quarter, other)
    assert abs(point_at(quarter, t) - point_at(other, u)) < 1e-6
    assert point_at(quarter, t).real == pytest.approx(5, abs=0.01)


def test_an_edge_has_one_allowance() -> None:
    edges = seam_edges(SQUARE)
    cm = [parse_length(text, "--allowance") for text in ("1cm", "2cm")]
    assert distances_of(edges, Allowances(cm[0], (("hem", cm[1]),)), fold=4) == {1: 10.0, 2: 10.0, 3: 20.0, 4: 0.0}
    with pytest.raises(FitError, match="is given twice"):
        distances_of(edges, Allowances(None, (("hem", cm[0]), ("3", cm[1]))), None)


ROUND = [cmath.rect(200.0, 2 * math.pi * k / 2000) for k in range(2000)]


@pytest.mark.parametrize("decimals", [1, 2, 3])
@pytest.mark.parametrize("far", [6.0, 15.0])
def test_the_parallel_of_rounded_chords_has_no_spikes(decimals: int, far: float) -> None:
    """Rounded to a tenth, neighbours turn to and fro by 10 degrees and more; their mitres would stand out by a millimetre."""
    outline = ring(*[complex(round(z.real, decimals), round(z.imag, decimals)) for z in ROUND])
    found = parallel_outline(outline, (far,) * len(outline))
    assert found is not None
    off = [abs(z) - 200 - far for seg in found[0].segments for z in seg]
    coarse = 10.0**-decimals
    assert -coarse < min(off)
    assert max(off) < 1.5 * coarse + 0.01


def test_steps_too_deep_to_pass_over_are_followed() -> None:
    """An edge of 150 steps of half a millimetre, down and up again, with 10 mm: the steps come out again, mitred."""
    down = [z for k in range(150) for z in (complex(k, 0.5 * (k % 2)), complex(k + 1, 0.5 * (k % 2)))]
    outline = ring(*down, 150 + 100j, 100j)
    found = parallel_outline(outline, (10.0,) * len(outline))
    assert found is not None
    assert self_crossing(found[0]) is None
    # The mitres of each upper step close over the lower ones.
    assert found[0].box == (-10.0, -10.0, 160.0, 110.0)
    assert found[0].area == pytest.approx(170 * 120, abs=12)


def test_a_scalloped_edge_is_cleaned() -> None:
    """Fifty scallops 2 mm wide along the lower edge, with 10 mm: of each parallel only the lowest stretch is left."""
    scallops = [
        (complex(100 - 2 * k, 100), complex(100 - 2 * k, 102), complex(98 - 2 * k, 102), complex(98 - 2 * k, 100))
        for k in range(50)
    ]
    edges = ((0j, 100 + 0j), (100 + 0j, 100 + 100j), *scallops, (100j, 0j))
    found = parallel_outline(Outline(edges), (10.0,) * len(edges))
    assert found is not None
    assert self_crossing(found[0]) is None
    seam = np.array([point_at(seg, k / 64) for seg in scallops for k in range(64)])
    for seg in found[0].segments:
        for z in (point_at(seg, 0.25), point_at(seg, 0.75)):
            if z.imag > 105 and 0 < z.real < 100:
                assert abs(np.abs(seam - z).min() - 10) < 0.01


@pytest.mark.parametrize("width", [20.0, 20.0 - 1e-9, 20.0 + 1e-9, 19.0, 21.0])
@pytest.mark.parametrize("turns", range(4))
def test_a_slot_as_wide_as_two_allowances(width: float, turns: int) -> None:
    """Its two parallels lie on one another: nothing is left of them, or a slit where it is wider."""
    corners = [0j, 100 + 0j, 100 + 50j, 100 + width + 50j, 100 + width + 0j, 300 + 0j, 300 + 200j, 200j]
    outline = ring(*[z * 1j**turns for z in corners])
    found = parallel_outline(outline, (10.0,) * len(outline))
    assert found is not None
    slit = (width - 20) * 50 if width > 20.5 else 0.0
    assert found[0].area == pytest.approx(320 * 220 - slit, abs=1e-3)


def test_inside_a_piece_that_a_dart_all_but_parts_there_is_no_one_line() -> None:
    parted = ring(0j, 140 + 0j, 150 + 190j, 160 + 0j, 300 + 0j, 300 + 200j, 200j)
    assert parallel_outline(parted, (1.0,) * 7, inside=True) is not None
    assert parallel_outline(parted, (12.0,) * 7, inside=True) is None


def test_an_upright_edge_of_ten_thousand_nodes_is_looked_at_in_a_second() -> None:
    """All its boxes are open at once from left to right: it took 6 s of processor time."""
    edge = [complex(500 + 0.02 * math.sin(k * k), k * 0.08) for k in range(1, 10_000)]
    began = time.process_time()
    assert self_crossing(ring(0j, 500 + 0j, *edge, 800j)) is None
    assert time.process_time() - began < 1.5
