"""The closed seam: places, ways along it, area, corners and where lines cross it."""

from __future__ import annotations

import cmath
import itertools
import math
import random

import numpy as np
import pytest

from pleatsvg.drawing.path_data import arc_cubics
from pleatsvg.flat.strokes import LongRun, path_crossings
from pleatsvg.geometry import outline as outline_module
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, cut, point_at
from pleatsvg.piece.slash_lines import Chord

Corners = tuple[complex, ...]


def polygon(*corners: complex) -> Outline:
    """An outline with straight sides, as given."""
    return Outline(tuple(itertools.pairwise((*corners, corners[0]))))


SQUARE = polygon(0j, 100 + 0j, 100 + 100j, 100j)
"""100 x 100 mm, clockwise on the page: top, right, bottom, left."""

SKIRT = Outline(
    (
        (-180 + 0j, -60 + 20j, 60 + 20j, 180 + 0j),
        (180 + 0j, 214 + 130j, 240 + 350j, 260 + 600j),
        (260 + 600j, 87 + 614j, -87 + 614j, -260 + 600j),
        (-260 + 600j, -240 + 350j, -214 + 130j, -180 + 0j),
    )
)
CIRCLE = Outline(tuple(arc_cubics(50 + 60j, 80, 80, 0, 0, 2 * math.pi)))
"""Starts at its rightmost point and runs clockwise on the page."""


def bernstein(seg: Segment, t: float) -> complex:
    n = len(seg) - 1
    return sum((math.comb(n, k) * (1 - t) ** (n - k) * t**k * z for k, z in enumerate(seg)), 0j)


def flattened(outline: Outline, steps: int = 2000) -> np.ndarray:
    t = np.linspace(0, 1, steps, endpoint=False)
    parts = []
    for seg in outline.segments:
        n = len(seg) - 1
        parts.append(sum(math.comb(n, k) * (1 - t) ** (n - k) * t**k * z for k, z in enumerate(seg)))
    return np.concatenate(parts)


# ------------------------------------------------------------------------------------------------------ area, corners


def test_area_of_a_square_has_the_sign_of_its_turn() -> None:
    """Clockwise on the page (y down) counts as positive."""
    assert SQUARE.area == 10_000
    assert SQUARE.reversed().area == -10_000


def test_area_of_a_circle() -> None:
    assert CIRCLE.area == pytest.approx(math.pi * 6400, abs=1e-3)


def test_area_does_not_depend_on_where_the_piece_lies() -> None:
    """Moved by ten metres, and counted from another node."""
    moved = Outline(tuple(tuple(z + 10_000 - 7000j for z in seg) for seg in SKIRT.segments))
    assert moved.area == pytest.approx(SKIRT.area, abs=1e-5)
    assert SKIRT.starting_at(2).area == pytest.approx(SKIRT.area, abs=1e-9)


def test_area_agrees_with_a_polygon_of_many_corners() -> None:
    """Chords of a curve miss its area by the square of their length: refined twice and carried on (Richardson)."""

    def shoelace(steps: int) -> float:
        z = flattened(SKIRT, steps)
        return float(np.sum((np.conj(z) * np.roll(z, -1)).imag)) / 2

    coarse, fine = shoelace(500), shoelace(1000)
    assert SKIRT.area == pytest.approx(fine + (fine - coarse) / 3, abs=1e-4)


def test_corners_are_sharp_turns_only() -> None:
    assert SQUARE.corners == (0, 1, 2, 3)
    assert SKIRT.corners == (0, 1, 2, 3)
    assert CIRCLE.corners == ()
    assert polygon(0j, 50 + 0j, 100 + 0j, 100 + 100j, 100j).corners == (0, 2, 3, 4)


@pytest.mark.parametrize(("degrees", "corners"), [(29, 4), (31, 5)])
def test_a_turn_of_thirty_degrees_is_a_corner(degrees: float, corners: int) -> None:
    bent = 100 * cmath.exp(1j * math.radians(degrees))
    assert len(polygon(0j, 100 + 0j, 100 + bent, 100 + bent + 300j, 500j).corners) == corners


# ------------------------------------------------------------------------------------------------- places, walk, ways


def test_places_count_round_the_outline() -> None:
    for at, z in ((0, 0j), (0.5, 50 + 0j), (1, 100 + 0j), (2.25, 75 + 100j), (3.5, 50j), (4, 0j), (5.5, 100 + 50j)):
        assert abs(SQUARE.point(at) - z) < 1e-12
    assert abs(SQUARE.point(-0.5) - 50j) < 1e-12
    assert abs(SQUARE.heading(1.5) - 1j) < 1e-12


def test_reversed_place_p_is_n_minus_p() -> None:
    back = SKIRT.reversed()
    for at in (0.0, 0.3, 1.0, 2.71, 3.999):
        assert abs(back.point(4 - at) - SKIRT.point(at)) < 1e-10


@pytest.mark.parametrize(
    "outline", [SQUARE, SKIRT, CIRCLE, SKIRT.reversed()], ids=["square", "skirt", "circle", "back"]
)
def test_walk_and_distance_undo_one_another(outline: Outline) -> None:
    dice = random.Random(1)
    whole = sum(outline.lengths)
    for _ in range(60):
        start = dice.choice([dice.uniform(-3, 9), float(dice.randrange(5))])
        way = dice.choice([dice.uniform(0, whole), 0.0, outline.lengths[0]])
        there = outline.walk(start, way)
        assert start - 1e-9 <= there <= start + len(outline) + 1e-9
        assert abs(outline.distance(start, there) - way) < 1e-7
        assert abs(outline.distance(there, start) - way) < 1e-7


def test_distances_on_a_square() -> None:
    assert SQUARE.distance(0, 4) == 400
    assert SQUARE.distance(0.25, 1.5) == pytest.approx(125)
    assert SQUARE.distance(3.5, 4.25) == pytest.approx(75)
    assert SQUARE.distance(1.5, 0.25) == pytest.approx(125)
    assert SQUARE.distance(2, 2) == 0


def test_stretches_cover_the_way_without_gap_or_overlap() -> None:
    dice = random.Random(2)
    for _ in range(200):
        start, end = dice.uniform(-5, 9), dice.uniform(-5, 9)
        parts = list(SKIRT.stretches(start, end))
        stops = [(s.node + s.t0, s.node + s.t1) for s in parts]
        assert abs(stops[0][0] - start) < 1e-9
        assert abs(stops[-1][1] - end) < 1e-9
        for (_, there), (here, _) in itertools.pairwise(stops):
            assert abs(there - here) < 1e-9
        for stretch in parts:
            assert (stretch.t0 < stretch.t1) == (start < end)
            part = SKIRT.part(stretch)
            assert abs(part[0] - SKIRT.point(stretch.node + stretch.t0)) < 1e-9
            assert abs(part[-1] - SKIRT.point(stretch.node + stretch.t1)) < 1e-9


def test_stretches_between_nodes_are_whole_segments() -> None:
    for start, end in ((0.0, 4.0), (1.0, 3.0), (1.0 - 1e-12, 3.0 + 1e-12), (-1.0, 1.0)):
        for stretch in SKIRT.stretches(start, end):
            assert (stretch.t0, stretch.t1) == (0.0, 1.0)
            assert SKIRT.part(stretch) is SKIRT.segments[stretch.segment]


# ----------------------------------------------------------------------------------------------------------- crossings


def places(outline: Outline, origin: complex, along: complex) -> list[float]:
    return [hit.at for hit in outline.crossings(origin, along / abs(along))]


def test_a_line_across_is_crossed_twice() -> None:
    hits = SQUARE.crossings(30 - 50j, 1j)
    assert [hit.at for hit in hits] == pytest.approx([0.3, 2.7])
    assert [hit.along for hit in hits] == pytest.approx([50, 150])
    assert [hit.point for hit in hits] == pytest.approx([30 + 0j, 30 + 100j])


def test_a_line_beside_is_not_crossed() -> None:
    assert places(SQUARE, 130 + 0j, 1j) == []
    assert places(SKIRT, 300 + 0j, 1j) == []


@pytest.mark.parametrize("way", [1, -1])
def test_a_crossing_at_a_node_counts_once(way: int) -> None:
    assert places(SQUARE, 0j, way * (1 + 1j)) == [0, 2]
    assert places(SKIRT, -180 + 0j, way * (440 + 600j)) == [0, 2]


def test_a_node_in_the_middle_of_an_edge_counts_once() -> None:
    outline = polygon(0j, 40 + 0j, 100 + 0j, 100 + 100j, 40 + 100j, 100j)
    assert places(outline, 40 + 50j, 1j) == [1, 4]


@pytest.mark.parametrize("share", [0.5, 0.25, 0.3, 0.7123])
def test_a_node_in_the_middle_of_a_curve_counts_once(share: float) -> None:
    """A cubic cut in two: the line through the joint, whichever way it runs."""
    top, right, hem, left = SKIRT.segments
    outline = Outline((cut(top, 0.0, share), cut(top, share, 1.0), right, hem, left))
    joint = outline.segments[1][0]
    for degrees in range(20, 161, 7):
        along = cmath.exp(1j * math.radians(degrees))
        near = [hit for hit in outline.crossings(joint, along) if abs(hit.along) < 1]
        assert [hit.at for hit in near] == [1]


@pytest.mark.parametrize("noise", [0.0, 1e-12, -1e-12, 1e-9, -1e-9, 5e-7, -5e-7])
def test_a_crossing_a_hair_beside_a_node_counts_once(noise: float) -> None:
    """Rounding must neither lose nor double it."""
    outline = polygon(0j, 40 + 0j, 100 + 0j, 100 + 100j, 40 + 100j, 100j)
    hits = places(outline, 40 + noise + 50j, 1j)
    assert len(hits) == 2
    assert hits == pytest.approx([1, 4], abs=1e-7)


def test_a_corner_that_is_touched_is_not_crossed() -> None:
    assert places(SQUARE, 0j, 1 - 1j) == []
    diamond = polygon(0 - 50j, 50 + 0j, 50j, -50 + 0j)
    assert places(diamond, 50 + 0j, 1j) == []


def test_a_dart_that_is_touched_from_inside_is_not_crossed() -> None:
    notched = polygon(0j, 100 + 0j, 100 + 100j, 50 + 60j, 100j)
    assert places(notched, 0 + 60j, 1 + 0j) == pytest.approx([1.6, 4.4])


@pytest.mark.parametrize("radius", [80, 33.7])
def test_a_circle_that_is_touched_is_not_crossed(radius: float) -> None:
    """The tangent at a node and between two, however the page is turned."""
    circle = Outline(tuple(arc_cubics(50 + 60j, radius, radius, 0, 0.05, 2 * math.pi)))
    for degrees, at in itertools.product((0, 17, 30, 45, 90, 133.3), (0.0, 0.5, 3.0, 7.3, 11.75)):
        turn = cmath.exp(1j * math.radians(degrees))
        outline = Outline(tuple(tuple(z * turn for z in seg) for seg in circle.segments))
        assert outline.crossings(circle.point(at) * turn, circle.heading(at) * turn) == []


def test_a_run_on_the_line_is_crossed_once_or_not_at_all() -> None:
    """An edge that lies on the line: the outline goes from one side to the other there, or comes back."""
    step = polygon(0j, 60 + 0j, 60 + 50j, 100 + 50j, 100 + 100j, 100j)
    assert places(step, 0 + 50j, 1 + 0j) == [2, 5.5]  # comes from above, runs along, goes on below
    assert places(step, 200 + 50j, 1 + 0j) == [3, 5.5]  # at its end nearest the line's origin
    notch = polygon(0j, 100 + 0j, 100 + 100j, 70 + 100j, 70 + 50j, 30 + 50j, 30 + 100j, 100j)
    assert places(notch, 0 + 50j, 1 + 0j) == [1.5, 7.5]  # the roof of a notch: comes back
    assert places(SQUARE, 0j, 1 + 0j) == []
    assert places(SQUARE, 100 + 0j, 1j) == []


def test_a_run_over_the_first_node_is_one_run() -> None:
    """The outline's first node in the middle of the edge that lies on the line."""
    step = polygon(80 + 50j, 100 + 50j, 100 + 100j, 100j, 0j, 60 + 0j, 60 + 50j)
    hits = step.crossings(0 + 50j, 1 + 0j)
    assert len(hits) == 2
    assert sorted(hit.point.real for hit in hits) == pytest.approx([0, 60])


def test_crossings_are_where_chords_change_sides() -> None:
    """Random lines over a skirt and a circle, against two thousand chords to a segment."""
    dice = random.Random(3)
    for outline in (SKIRT, CIRCLE):
        chords = flattened(outline)
        for _ in range(200):
            origin = complex(dice.uniform(-200, 200), dice.uniform(0, 500))
            along = cmath.exp(1j * dice.uniform(0, 2 * math.pi))
            sides = ((chords - origin) * along.conjugate()).imag
            if abs(sides).min() < 1e-3:
                continue
            changes = np.flatnonzero((sides > 0) != (np.roll(sides, -1) > 0))
            hits = outline.crossings(origin, along)
            assert len(hits) == len(changes)
            for hit, change in zip(sorted(hits, key=lambda h: h.at % len(outline)), changes, strict=True):
                assert abs(hit.at % len(outline) - change / 2000) <= 1 / 1999
                assert abs(((hit.point - origin) * along.conjugate()).imag) < 1e-8
                assert abs(origin + hit.along * along - hit.point) < 1e-8


@pytest.mark.parametrize("middle", [0.5, 0.25])
def test_a_hem_that_is_crossed_three_times(middle: float) -> None:
    """An S whose crossings lie at shares 0.2 or less, at a share where curves are halved, and at 0.9."""
    first = 0.2 if middle == 0.5 else 0.1
    for lead in range(150, 500, 3):
        powers = np.poly([first, middle, 0.9])[::-1] * lead
        across = [sum(math.comb(k, i) / math.comb(3, i) * powers[i] for i in range(k + 1)) for k in range(4)]
        curve = tuple(complex(round(x, 6), 300 + 100 * k / 3) for k, x in enumerate(across))
        outline = Outline(
            ((-900 + 0j, 900 + 0j), (900 + 0j, curve[0]), curve, (curve[-1], -900 + 400j), (-900 + 400j, -900 + 0j))
        )
        found = [point_at(curve, hit.at - 2) for hit in outline.crossings(0j, 1j) if 2 < hit.at < 3]
        heights = [300 + 100 * share for share in (first, middle, 0.9)]
        assert [z.imag for z in found] == pytest.approx(heights, abs=1e-3), curve


def test_a_place_where_an_outline_lies_over_itself_is_covered() -> None:
    """A strip that goes round once and comes to lie on its own beginning: held against the angle that it winds through."""
    nodes = [0j, 100 + 0j, 100 + 100j, 100j, 10j, 80 + 10j, 80 + 30j, 20 + 30j, 20 + 80j, 80 + 80j, 80 + 20j]
    lapped = polygon(*nodes)
    twice = 0
    for x, y in itertools.product(range(-5, 110, 6), repeat=2):
        z = x + y * 1j
        turns = sum(cmath.phase((b - z) / (a - z)) for a, b in itertools.pairwise([*nodes, nodes[0]])) / math.tau
        assert lapped.covers(z) == (round(turns) != 0)
        twice += round(turns) == 2
    assert twice > 0


def _wavy(count: int) -> Outline:
    # A ring of curves and straight segments in turn.
    nodes = [cmath.rect(200 + 30 * math.sin(5 * math.tau * k / count), math.tau * k / count) for k in range(count)]
    segments: list[Segment] = []
    for k, a in enumerate(nodes):
        b = nodes[(k + 1) % count]
        bulge = 0.2j * (b - a)
        segments.append((a, a + (b - a) / 3 + bulge, a + 2 * (b - a) / 3 - bulge, b) if k % 2 else (a, b))
    return Outline(tuple(segments))


def test_many_segments_are_asked_at_once_to_the_same_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = [(cmath.rect(17.0 * k, k), cmath.rect(1.0, 0.7 * k)) for k in range(12)]
    nodes = _wavy(90).segments
    lines += [(nodes[k][0], cmath.rect(1.0, 0.3 * k)) for k in range(0, 90, 9)]  # through a node
    found = [_wavy(90).crossings(*line) for line in lines]
    monkeypatch.setattr(outline_module, "_MANY", 1000)
    assert found == [_wavy(90).crossings(*line) for line in lines]
    assert sum(map(len, found)) > 20


def test_places_are_counted_on_by_the_shorter_way_in_mm() -> None:
    ring = _wavy(60)
    n, around = len(ring), ring.distance(0.0, float(len(ring)))
    for k in range(80):
        place, other = (7.31 * k) % n + n * (k % 3 - 1), (11.7 * k * k) % (2 * n)
        counted = ring.counted_near(place, other)
        assert (counted - place) / n == pytest.approx(round((counted - place) / n), abs=1e-9)
        assert abs(ring.distance(min(counted, other), max(counted, other))) <= around / 2 + 1e-6


def test_a_long_run_is_crossed_where_a_run_is() -> None:
    run = _wavy(70).segments
    long = LongRun(run)
    chords = [Chord(0.0, 0.0, cmath.rect(300.0, k), cmath.rect(260.0, k + 2.0)) for k in range(15)]
    chords += [Chord(0.0, 0.0, run[k][0] * 2, run[k][0] * 0.1) for k in range(0, 70, 11)]  # through a node
    found = list(long.crossings(chords))
    assert found == [path_crossings(run, chord) for chord in chords]
    assert any(found)


def test_many_lines_are_asked_at_once_to_the_same_answer() -> None:
    ring = _wavy(90)
    lines = [(cmath.rect(17.0 * k, k), cmath.rect(1.0, 0.7 * k)) for k in range(40)]
    lines += [
        (ring.segments[k][0] * 0.5, ring.segments[k][0] / abs(ring.segments[k][0])) for k in range(0, 90, 7)
    ]  # nodes
    near = ring.near_each(lines)
    assert near is not None
    assert ring.near_each(lines[:1]) == near[:1]
    assert _wavy(20).near_each(lines) is None
    for (origin, along), there in zip(lines, near, strict=True):
        hits = ring.crossings(origin, along)
        assert ring.crossings(origin, along, there) == hits
        for ahead, sign in ((True, 1), (False, -1)):
            for least in (-1e-4, 30.0, 500.0):
                beyond = [hit for hit in hits if sign * hit.along >= least]
                nearest = min(beyond, key=lambda hit: abs(hit.along), default=None)
                assert ring.crossed_beyond(origin, along, least, ahead) == nearest
                assert ring.crossed_beyond(origin, along, least, ahead, there) == nearest


def test_an_outline_made_of_parts_of_another_knows_how_it_is_walked() -> None:
    assert SQUARE.hand == 1.0
    assert SQUARE.reversed().hand == -1.0
    part = polygon(0j, 100 + 0j, 100 + 50j, 50j).as_part_of(SQUARE)
    assert (part.hand, part.darts) == (1.0, ())
