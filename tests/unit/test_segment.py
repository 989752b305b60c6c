"""Segments: cutting, lengths against closed forms, and where a curve changes sides."""

from __future__ import annotations

import cmath
import itertools
import math
import random

import numpy as np
import pytest

from pleatsvg.drawing.path_data import arc_cubics
from pleatsvg.geometry.segment import (
    Segment,
    box_of,
    cut,
    heading,
    heights,
    length_of,
    point_at,
    share_at_length,
    sign_changes,
    turn_between,
    variations,
)


def cubics(count: int, seed: int) -> list[Segment]:
    """Cubics of the size of a pattern piece, some of them gentle, some wild; the same every time."""
    dice = random.Random(seed)
    return [tuple(complex(dice.uniform(-300, 300), dice.uniform(-300, 300)) for _ in range(4)) for _ in range(count)]


def bernstein(seg: Segment, t: float) -> complex:
    n = len(seg) - 1
    return sum((math.comb(n, k) * (1 - t) ** (n - k) * t**k * z for k, z in enumerate(seg)), 0j)


# -------------------------------------------------------------------------------------------------------- points, cuts


@pytest.mark.parametrize("seg", [*cubics(5, 1), (3 + 4j, -20 + 7j)])
def test_points_are_those_of_the_bernstein_polynomials(seg: Segment) -> None:
    for k in range(33):
        assert abs(point_at(seg, k / 32) - bernstein(seg, k / 32)) < 1e-12
    assert point_at(seg, 0) == seg[0]
    assert point_at(seg, 1) == seg[-1]


CUTS = [
    (0.0, 1.0),
    (1.0, 0.0),
    (0.0, 0.3),
    (0.3, 0.0),
    (0.6, 1.0),
    (1.0, 0.6),
    (0.2, 0.9),
    (0.9, 0.2),
    (0.45, 0.450001),
]


@pytest.mark.parametrize(("t0", "t1"), CUTS)
def test_a_cut_is_the_part_between_reversed_where_it_is_walked_back(t0: float, t1: float) -> None:
    for seg in [*cubics(20, 2), (3 + 4j, -20 + 7j)]:
        part = cut(seg, t0, t1)
        assert len(part) == len(seg)
        for k in range(17):
            share = k / 16
            assert abs(bernstein(part, share) - bernstein(seg, t0 + (t1 - t0) * share)) < 1e-10


@pytest.mark.parametrize(("t0", "t1"), CUTS)
def test_a_cut_at_an_end_keeps_its_bits(t0: float, t1: float) -> None:
    for seg in [*cubics(20, 3), (3 + 4j, -20 + 7j)]:
        part = cut(seg, t0, t1)
        for share, z in ((t0, part[0]), (t1, part[-1])):
            if share in (0.0, 1.0):
                assert z == seg[0 if share == 0 else -1]


def test_parts_of_a_cut_join_without_a_gap() -> None:
    """What is cut at one share from both sides ends and begins at the same point, to the last bits."""
    for seg in cubics(50, 4):
        for t in (0.1, 1 / 3, 0.77):
            assert abs(cut(seg, 0.0, t)[-1] - cut(seg, t, 1.0)[0]) < 1e-12


def test_a_cut_of_a_cut_is_a_cut() -> None:
    for seg in cubics(20, 5):
        once = cut(seg, 0.2 + 0.7 * 0.1, 0.2 + 0.7 * 0.4)
        twice = cut(cut(seg, 0.2, 0.9), 0.1, 0.4)
        assert max(abs(p - q) for p, q in zip(once, twice, strict=True)) < 1e-11


def test_headings_follow_the_curve() -> None:
    for seg in cubics(20, 6):
        for t in (0.05, 0.4, 0.95):
            step = 1e-6
            way = bernstein(seg, t + step) - bernstein(seg, t - step)
            assert abs(heading(seg, t) - way / abs(way)) < 1e-5
            assert abs(abs(heading(seg, t)) - 1) < 1e-12


@pytest.mark.parametrize(
    ("seg", "t", "way"),
    [
        ((0j, 0j, 3 + 4j, 10 + 0j), 0.0, 0.6 + 0.8j),  # handle drawn back into the start
        ((0j, 0j, 0j, 3 + 4j), 0.0, 0.6 + 0.8j),
        ((0j, 6 + 8j, 10 + 0j, 10 + 0j), 1.0, (4 - 8j) / abs(4 - 8j)),  # into the end
        ((0j, 3 + 4j, 3 + 4j, 3 + 4j), 1.0, 0.6 + 0.8j),
        ((0j, 0 - 5j), 0.5, -1j),
    ],
)
def test_headings_where_a_handle_has_no_length(seg: Segment, t: float, way: complex) -> None:
    assert abs(heading(seg, t) - way) < 1e-12


def test_box_holds_the_curve() -> None:
    for seg in cubics(20, 7):
        left, top, right, bottom = box_of(seg)
        for k in range(65):
            z = bernstein(seg, k / 64)
            assert left - 1e-12 <= z.real <= right + 1e-12
            assert top - 1e-12 <= z.imag <= bottom + 1e-12


@pytest.mark.parametrize(("b", "degrees"), [(1, 0), (1j, 90), (-1j, 90), (-1, 180), (1 + 1j, 45), (-3 - 3j, 135)])
def test_turns_are_0_to_180_degrees(b: complex, degrees: float) -> None:
    assert turn_between(2 + 0j, b) == pytest.approx(degrees, abs=1e-12)


# -------------------------------------------------------------------------------------------------------------- lengths


def from_powers(*powers: complex) -> Segment:
    """The Bezier points of c0 + c1 t + c2 t^2 + c3 t^3 (any text on Bezier curves)."""
    c0, c1, c2, c3 = (complex(c) for c in (*powers, 0, 0, 0)[:4])
    return (c0, c0 + c1 / 3, c0 + 2 * c1 / 3 + c2 / 3, c0 + c1 + c2 + c3)


def on_shares(seg: Segment, low: float, high: float) -> Segment:
    """A curve given over 0 to 1 drawn over other shares, by its power form: t = low + (high - low) s."""
    p0, p1, p2, p3 = seg
    c = [p0, 3 * (p1 - p0), 3 * (p0 - 2 * p1 + p2), p3 - p0 + 3 * (p1 - p2)]
    d = high - low
    return from_powers(
        c[0] + c[1] * low + c[2] * low**2 + c[3] * low**3,
        (c[1] + 2 * c[2] * low + 3 * c[3] * low**2) * d,
        (c[2] + 3 * c[3] * low) * d**2,
        c[3] * d**3,
    )


def parabola_length(width: float, bend: float) -> float:
    """Of x = width t, y = bend t^2, 0 to 1: integral of sqrt(width^2 + 4 bend^2 t^2). Derived (calculus)."""
    u = 2 * bend / width
    return width / 2 * (math.sqrt(1 + u * u) + math.asinh(u) / u)


PARABOLAS = [(500.0, 10.0), (500.0, 100.0), (100.0, 300.0), (10.0, 500.0), (1.0, 500.0)]


@pytest.mark.parametrize("tolerance", [1e-3, 1e-6, 1e-9])
@pytest.mark.parametrize(("width", "bend"), PARABOLAS)
def test_length_of_a_parabola(width: float, bend: float, tolerance: float) -> None:
    """From a gentle hem to a hairpin one mm wide, up a ladder of tolerances. Derived (calculus)."""
    seg = from_powers(0, width, 1j * bend)
    assert abs(length_of(seg) - parabola_length(width, bend)) < tolerance
    assert abs(length_of(seg[::-1]) - parabola_length(width, bend)) < tolerance


@pytest.mark.parametrize("tolerance", [1e-3, 1e-6, 1e-9])
def test_length_of_curves_with_a_polynomial_hodograph(tolerance: float) -> None:
    """z' = (p + q t)^2 has speed |p + q t|^2, so the length is a polynomial.
    Farouki and Sakkalis 1990, Pythagorean hodographs (from memory)."""
    dice = random.Random(8)
    for _ in range(40):
        p, q = (complex(dice.uniform(-15, 15), dice.uniform(-15, 15)) for _ in range(2))
        seg = from_powers(0, p * p, p * q, q * q / 3)
        expected = abs(p) ** 2 + (p.conjugate() * q).real + abs(q) ** 2 / 3
        assert abs(length_of(seg) - expected) < tolerance


@pytest.mark.parametrize("tolerance", [1e-3, 1e-6, 1e-9])
@pytest.mark.parametrize("low", [0.0, -1.0, -0.25])
def test_length_through_a_cusp(low: float, tolerance: float) -> None:
    """x = 100 t^2, y = 100 t^3 comes to a point at t = 0: 100/27 ((4 + 9 t^2)^1.5 - 8). Neile's parabola; derived."""
    seg = on_shares(from_powers(0, 0, 100, 100j), low, 1.0)

    def to_zero(t: float) -> float:
        return 100 / 27 * (math.pow(4 + 9 * t * t, 1.5) - 8)

    assert abs(length_of(seg) - to_zero(1) - to_zero(low)) < tolerance


@pytest.mark.parametrize("tolerance", [1e-3, 1e-6, 1e-9])
def test_length_of_a_curve_that_runs_there_and_back(tolerance: float) -> None:
    """On one straight line: x = 100 t (t - 1)(t - 2) over 0 to 2 turns at 1 -+ 1/sqrt(3). Derived: its total change."""
    seg = on_shares(from_powers(0, 200, -300, 100), 0.0, 2.0)
    peak = 200 / (3 * math.sqrt(3))
    assert abs(length_of(seg) - 4 * peak) < tolerance


@pytest.mark.parametrize("radius", [1.0, 10.0, 100.0, 170.0, 600.0, 5000.0, 1e5])
def test_arcs_keep_within_a_millionth_at_every_size(radius: float) -> None:
    """4/3 tan(angle/4) handles err outwards only, by (4/27) (angle/4)^6 x radius and less (derived; any text on
    Bezier circles): 15 degrees leave 1e-6 mm at 170 mm, and larger circles get more pieces."""
    pieces = arc_cubics(7 - 3j, radius, radius, 0.3, 0.1, 2 * math.pi)
    worst = max(abs(abs(point_at(seg, k / 32) - (7 - 3j)) - radius) for seg in pieces for k in range(33))
    noise = 1e-15 * radius * 10
    assert worst < 1e-6 + noise
    assert len(pieces) >= 24
    total = sum(length_of(seg) for seg in pieces)
    assert abs(total - 2 * math.pi * radius) < 2 * math.pi * 1e-6 + noise * len(pieces)  # as of a circle so much wider
    for a, b in itertools.pairwise(pieces):
        assert a[-1] == b[0]


def test_share_at_length_undoes_the_length() -> None:
    for seg in [*cubics(25, 9), from_powers(0, 500, 10j), from_powers(0, 0, 100, 100j), (0j, 30 + 40j)]:
        whole = length_of(seg)
        for share in (0.0, 0.001, 0.25, 0.5, 0.9, 1.0):
            t = share_at_length(seg, share * whole)
            assert 0 <= t <= 1
            assert abs(length_of(seg, 0.0, t) - share * whole) < 1e-8
        assert share_at_length(seg, -5) == 0
        assert share_at_length(seg, whole + 5) == 1


def test_lengths_of_parts_add_up() -> None:
    for seg in cubics(25, 10):
        parts = [length_of(seg, a, b) for a, b in itertools.pairwise([0.0, 0.17, 0.5, 0.81, 1.0])]
        assert abs(sum(parts) - length_of(seg)) < 1e-8


# --------------------------------------------------------------------------------------------- heights and their signs


def test_heights_are_distances_right_of_travel() -> None:
    """Down the page (y down) from a line that runs to the right is its right-hand side."""
    seg = (0 + 0j, 10 + 5j, 20 - 5j, 30 + 2j)
    assert heights(seg, 100 + 1j, 1 + 0j) == pytest.approx((-1, 4, -6, 1))
    along = cmath.exp(1j * 0.7)
    origin = 3 - 8j
    for z, height in zip(seg, heights(seg, origin, along), strict=True):
        foot = origin + ((z - origin) * along.conjugate()).real * along
        assert abs(z - foot - height * 1j * along) < 1e-12


def weights_of(*roots: float, lead: float = 1.0, degree: int = 3) -> tuple[float, ...]:
    """The Bezier weights of lead (t - r1)(t - r2).., raised to a degree."""
    powers = [lead]
    for root in roots:
        powers = [a - root * b for a, b in zip([0.0, *powers], [*powers, 0.0], strict=True)]
    powers += [0.0] * (degree + 1 - len(powers))
    return tuple(
        sum(math.comb(k, i) / math.comb(degree, i) * powers[i] for i in range(k + 1)) for k in range(degree + 1)
    )


def numpy_sign_changes(weights: tuple[float, ...]) -> list[float]:
    """Real roots between 0 and 1 of the polynomial, by numpy's eigenvalues of the companion matrix."""
    n = len(weights) - 1
    powers = [
        math.comb(n, k) * sum((-1) ** (k - i) * math.comb(k, i) * weights[i] for i in range(k + 1))
        for k in range(n + 1)
    ]
    roots = np.roots(powers[::-1])
    return sorted(float(r.real) for r in roots if abs(r.imag) < 1e-12 and 0 < r.real < 1)


def test_sign_changes_are_the_roots_that_numpy_finds() -> None:
    """Thousands of lines, quadratics and cubics; those with two roots within 1e-4 are for the tests below."""
    dice = random.Random(11)
    seen = [0, 0, 0, 0]
    for _ in range(4000):
        weights = tuple(dice.uniform(-100, 100) for _ in range(dice.choice((2, 3, 4))))
        expected = numpy_sign_changes(weights)
        if any(b - a < 1e-4 for a, b in itertools.pairwise([0.0, *expected, 1.0])):
            continue
        found = sign_changes(weights)
        seen[len(expected)] += 1
        assert found == pytest.approx(expected, abs=1e-10), weights
    assert min(seen) > 10, "every number of roots was met"


PLACED = [
    (0.5,),
    (0.1, 0.6),
    (0.2, 0.5, 0.9),
    (0.001, 0.999),
    (1 / 3, 1 / 3 + 1e-5),
    (0.25, 0.25 + 1e-4, 0.7),
    (0.999999,),
]


@pytest.mark.parametrize("roots", PLACED)
@pytest.mark.parametrize("lead", [1.0, -250.0, 1e-3])
def test_roots_that_were_placed_are_found(roots: tuple[float, ...], lead: float) -> None:
    others = (1.7, -0.4)[: 3 - len(roots)]
    found = sign_changes(weights_of(*roots, *others, lead=lead))
    assert found == pytest.approx(roots, abs=1e-9)


def test_three_crossings_with_one_at_a_half_eighth_or_quarter() -> None:
    """A root where a curve is halved must neither be counted twice nor hide another: 2000 cubics, three roots each."""
    dice = random.Random(13)
    for _ in range(2000):
        roots = sorted(
            [dice.choice([0.125, 0.25, 0.375, 0.5, 0.75]), dice.uniform(0.02, 0.98), dice.uniform(0.02, 0.98)]
        )
        if min(b - a for a, b in itertools.pairwise(roots)) < 0.02:
            continue
        weights = weights_of(*roots, lead=dice.uniform(-300, 300))
        assert sign_changes(weights) == pytest.approx(roots, abs=1e-8), weights


@pytest.mark.parametrize("other", [1.75, -0.5, 3.0])
@pytest.mark.parametrize("root", [0.5, 0.25, 0.125])
def test_a_touch_is_no_change_of_sign(root: float, other: float) -> None:
    """(t - r)^2 (t - s) at shares that floats hold exactly."""
    assert sign_changes(weights_of(root, root, degree=2)) == []
    assert sign_changes(weights_of(root, root, other)) == []


@pytest.mark.parametrize(
    ("weights", "crossing"),
    [((-9.0, 7.0, -5.0, 3.0), 0.75), ((-3.0, 5.0, -7.0, 9.0), 0.25), ((3.0, -5.0, 7.0, -9.0), 0.25)],
)
def test_a_touch_beside_a_crossing_is_left_out(weights: tuple[float, ...], crossing: float) -> None:
    """(2 t - 1)^2 (4 t - 3) x 3 and its like, in whole numbers, so that nothing is rounded on the way."""
    assert sign_changes(weights) == pytest.approx([crossing], abs=1e-9)


def test_a_threefold_root_is_one_change_of_sign() -> None:
    assert sign_changes((-1.0, 1.0, -1.0, 1.0)) == pytest.approx([0.5], abs=1e-4)
    assert len(sign_changes((-1.0, 1.0, -1.0, 1.0))) == 1


@pytest.mark.parametrize(
    ("weights", "expected"),
    [
        ((0.0, 1.0, 2.0, 3.0), []),  # begins on the line
        ((3.0, 2.0, 1.0, 0.0), []),  # ends on it
        ((0.0, 1.0, 1.0, 0.0), []),  # both
        ((0.0, 1.0, -1.0, 0.0), [0.5]),  # both, and crosses between
        ((0.0, 0.0, 1.0, 2.0), []),  # sets off along it
        ((0.0, 0.0, 0.0, 5.0), []),
        ((5.0, 0.0, 0.0, 0.0), []),
        ((0.0, 0.0, 0.0, 0.0), []),  # lies on it
        ((0.0, 0.0), []),
        ((0.0, 5.0), []),
        ((-1.0, 1.0), [0.5]),
        ((-1.0, 3.0), [0.25]),
        ((0.0, -3.0, 1.0, 4.0), [(21 - math.sqrt(153)) / 16]),  # t (-9 + 21 t - 8 t^2)
    ],
)
def test_ends_on_the_line_are_not_found_a_second_time(weights: tuple[float, ...], expected: list[float]) -> None:
    assert sign_changes(weights) == pytest.approx(expected, abs=1e-4)


def test_a_joint_on_the_line_is_found_by_neither_segment() -> None:
    """The outline counts a node once; the two curves that meet in it must not count it as well."""
    for seg in cubics(40, 12):
        for share in (0.3, 0.5, 0.8):
            spot = point_at(seg, share)
            first, second = cut(seg, 0.0, share), cut(seg, share, 1.0)
            along = cmath.exp(1j * 1.1)
            one, other = heights(first, spot, along), heights(second, spot, along)
            whole = heights(seg, spot, along)
            if any(abs(root - share) < 1e-3 for root in numpy_sign_changes(whole) if abs(root - share) > 1e-9):
                continue
            found = sign_changes((*one[:-1], 0.0)) + sign_changes((0.0, *other[1:]))
            expected = [root for root in numpy_sign_changes(whole) if abs(root - share) > 1e-6]
            assert len(found) == len(expected)


@pytest.mark.parametrize(
    ("weights", "count"), [((1, 2, 3), 0), ((1, -2, 3), 2), ((1, 0, -3), 1), ((0, 0, 0), 0), ((-1, 0, 1, -1), 2)]
)
def test_variations_leave_zeros_out(weights: tuple[float, ...], count: int) -> None:
    """Descartes' rule of signs (any algebra)."""
    assert variations(weights) == count
