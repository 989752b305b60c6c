"""What is asked of many segments, lines or words at once is what is asked of each by itself."""

from __future__ import annotations

import cmath
import math
from itertools import pairwise
from random import Random
from typing import cast

import numpy as np
import pytest
import shapely

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, length_of, lengths_of, roots_of, single_root
from pleatsvg.marks.words.finder import Finder
from pleatsvg.marks.words.lane import NEED, lane_between
from pleatsvg.marks.words.rails import Rail
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.cutting.produced import produced_each
from pleatsvg.piece.slash_lines import Chord
from pleatsvg.result import clear_of
from pleatsvg.result.clear_of import boxes_clear, boxes_meeting, clear_of_lines, strokes_of
from pleatsvg.result.roles import Role


def wavy(count: int, chance: Random) -> Outline:
    """Return a round outline of curves and lines, some of its nodes corners."""
    spots = [cmath.rect(chance.uniform(180, 220), math.tau * k / count) for k in range(count)]
    segments: list[Segment] = []
    for k, (a, b) in enumerate(pairwise([*spots, spots[0]])):
        bow = (b - a) * 1j * chance.uniform(-0.3, 0.3)
        segments.append((a, b) if k % 5 == 0 else (a, a + (b - a) / 3 + bow, b - (b - a) / 3 + bow, b))
    return Outline(tuple(segments))


def test_lengths_and_ways_along() -> None:
    outline = wavy(60, Random("lengths"))
    assert lengths_of(outline.segments) == pytest.approx([length_of(seg) for seg in outline.segments], abs=1e-11)
    cusp = (0j, 100 + 0j, -50 + 0j, 40 + 0j)  # no gentle curve
    assert lengths_of([cusp] * 20) == pytest.approx([length_of(cusp)] * 20, abs=1e-11)
    places = [0.0, 3.25, 59.5, 60.0, 61.75, -2.5]
    assert outline.so_far_each(places) == pytest.approx([outline.so_far(at) for at in places], abs=1e-9)
    told = outline.sewn_distances(3.25, places)
    assert told == pytest.approx([outline.sewn_distance(3.25, at) for at in places], abs=1e-9)


def test_corners_of_many_segments(monkeypatch: pytest.MonkeyPatch) -> None:
    segments = wavy(80, Random("corners")).segments
    found = Outline(segments).corners
    monkeypatch.setattr("pleatsvg.geometry.outline._MANY", 1000)
    assert found == Outline(segments).corners
    assert 0 < len(found) < 80


@pytest.mark.parametrize("count", [30, 140])
def test_lines_from_a_level_to_a_cutting_line(count: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of few lines and of many, in two pieces at once, as each line is produced by itself."""
    chance = Random("cutting lines")

    def closed(row: list[complex], width: float) -> Outline:
        # From one side round by a wavy edge to the other, and back along the level.
        curves: list[Segment] = []
        for k, (a, b) in enumerate(pairwise([0j, *row, complex(width, 0)])):
            bow = (b - a) * 1j * 0.1
            curves.append((a, b) if k % 4 == 0 else (a, a + (b - a) / 3 + bow, b - (b - a) / 3 + bow, b))
        spots = [complex(width - x, 0) for x in (0.0, 40.0, 0.4 * width, 0.7 * width, width - 50, width)]
        return Outline((*curves, *pairwise(spots)))

    asked: list[tuple[Cutting, list[Chord]]] = []
    for way in (1, -1):
        width, height = 20.0 * count, 200.0 * way
        row = [complex(x, height + chance.uniform(-4, 4)) for x in np.linspace(0, width, 2 * count)]
        seam = closed(row, width)
        cutting = closed([z + 15j * way for z in row], width)
        n = len(seam)
        level = (n - 4, n - 1, 0)
        chords: list[Chord] = []
        for _ in range(count):
            share, on = chance.random(), chance.randrange(n - 5, n)
            a, b = seam.segments[on]
            foot = a + (b - a) * share
            end = complex(min(max(foot.real + chance.uniform(-5, 5), 40.0), width - 40.0), height)
            line = (on + share, 0.0, foot, end) if chance.random() < 0.5 else (0.0, on + share, end, foot)
            chords.append(Chord(*line))
        asked.append((Cutting(cutting, (15.0,) * n, level=level), chords))
    by_itself: list[Chord] = []
    produced = Cutting.produced

    def noted(cutting: Cutting, chord: Chord) -> Chord:
        by_itself.append(chord)
        return produced(cutting, chord)

    monkeypatch.setattr(Cutting, "produced", noted)
    rows = produced_each(asked)
    assert len(by_itself) < count / 4  # it is the others that are held against the same here
    for (cutting, chords), found in zip(asked, rows, strict=True):
        for chord, made in zip(chords, found, strict=True):
            alone = produced(cutting, chord)
            n = len(cutting.outline)
            assert [made.top_at % n, made.hem_at % n] == pytest.approx([alone.top_at % n, alone.hem_at % n], abs=1e-8)
            assert (made.top, made.hem) == (pytest.approx(alone.top, abs=1e-8), pytest.approx(alone.hem, abs=1e-8))


def test_a_line_beyond_reach_is_produced_by_itself() -> None:
    """A cutting line farther off than allowances are wide, and one that a line meets at a node, take a closer look."""
    outline = Outline(tuple(pairwise([0j, 500j, 200 + 300j, 400 + 500j, 400 + 0j, 300 + 0j, 100 + 0j, 0j])))
    cutting = Cutting(outline, (5.0,) * 7, level=(5, 6, 0))
    chords = [
        Chord(5.0, 0.0, 300 + 0j, 300 + 200j),
        Chord(6.0, 0.0, 100 + 0j, 100 + 395j),
        Chord(5.5, 0.0, 200 + 0j, 200 + 300j),
    ]
    for many in ([chords], [chords * 60]):
        for row in produced_each([(cutting, asked) for asked in many]):
            for chord, made in zip(chords, row, strict=False):
                alone = cutting.produced(chord)
                assert made.hem == pytest.approx(alone.hem, abs=1e-9)
                assert made.hem_at == pytest.approx(alone.hem_at, abs=1e-9)
    assert [chord.hem for chord in produced_each([(cutting, chords)])[0]] == [300 + 400j, 100 + 400j, 200 + 300j]


def test_roots() -> None:
    weights = [[-1.0, 0.2, 0.4, 2.0], [3.0, 1.0, -1.0, -0.5], [-5.0, -4.0, -3.0, 0.01]]
    assert roots_of(np.array(weights)).tolist() == pytest.approx([single_root(w) for w in weights], abs=1e-11)


@pytest.mark.parametrize("few", [0, 10**6])
def test_boxes_of_words_beside_strokes(few: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clear_of, "_FEW_PAIRS", few)
    chance = Random("boxes")

    def spot() -> complex:
        return complex(chance.uniform(0, 900), chance.uniform(0, 200))

    strokes = [
        (z, z + chance.uniform(1, 300) * cmath.rect(1, chance.uniform(0, math.tau)))
        for z in [spot() for _ in range(40)]
    ]
    turned = [(spot(), cmath.rect(1, chance.uniform(0, math.tau))) for _ in range(100)]
    turned.sort(key=lambda box: box[0].real)
    found = boxes_clear([(z, 20.0, way, 16.4, 3.4) for z, way in turned], strokes_of(strokes))
    assert found == [clear_of_lines(z, way, 30.0, 4.0, strokes, 1.4) for z, way in turned]
    assert 10 < sum(found) < 90


def test_strokes_of_runs() -> None:
    runs = [(0j, 1j, 2j, 3j), (5 + 0j, 6 + 0j)]
    starts, ends = strokes_of(runs)
    assert list(zip(starts, ends, strict=True)) == [(0j, 1j), (1j, 2j), (2j, 3j), (5, 6)]
    starts, ends = strokes_of(runs, [2, 2, 2])
    assert list(zip(starts, ends, strict=True)) == [(0j, 1j), (2j, 3j), (5, 6)]
    assert [len(row) for row in strokes_of([])] == [0, 0]


@pytest.mark.parametrize("few", [0, 10**6])
@pytest.mark.parametrize("upright", [False, True])
def test_boxes_that_meet(few: int, upright: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clear_of, "_FEW_PAIRS", few)
    monkeypatch.setattr(clear_of, "_TOGETHER", 32)
    chance = Random("meeting")

    def boxes(count: int, clear: float) -> list[tuple[complex, complex, float, float]]:
        made = [
            (
                complex(chance.uniform(0, 900), chance.uniform(0, 200)) * (1j if upright else 1),
                cmath.rect(1, chance.uniform(0, math.tau)),
                chance.uniform(2, 40) + clear,
                2 + clear,
            )
            for _ in range(count)
        ]
        return sorted(made, key=lambda box: box[0].real)

    def area(box: tuple[complex, complex, float, float]) -> shapely.Polygon:
        middle, way, w, h = box
        return shapely.Polygon(
            [((z := middle + way * c).real, z.imag) for c in (w + h * 1j, w - h * 1j, -w - h * 1j, -w + h * 1j)]
        )

    own, others = boxes(90, 1.0), boxes(60, 0.0)
    own_rows, other_rows = [[(z, w + h, way, w, h) for z, way, w, h in row] for row in (own, others)]
    wanted = {
        (i, k) for i, one in enumerate(own) for k, other in enumerate(others) if area(one).intersects(area(other))
    }
    assert set(boxes_meeting(own_rows, other_rows)) == wanted
    assert len(wanted) > 30
    assert boxes_meeting(own_rows, []) == []


def rails_at(xs: list[float], slant: float) -> list[Rail]:
    along = cmath.rect(1, math.pi / 2 - slant)
    return [
        Rail(
            complex(x, 0.2 * x),
            along,
            400.0,
            30.0,
            380.0,
            90.0,
            Role.FOLD if k % 3 else Role.PLACEMENT,
            k,
            "FOLD",
            (1,),
            0.0,
        )
        for k, x in enumerate(xs, 1)
    ]


def test_obstacles_are_kept_clear_of_beside_the_lines_of_their_layer() -> None:
    rails = rails_at([100.0, 140.0, 175.0, 250.0, 270.0, 330.0], 0.1)
    chance = Random("obstacles")
    layers = [0, *[k for k, rail in enumerate(rails, 1) if rail.role is Role.FOLD]]
    obstacles: list[tuple[int, tuple[complex, ...]]] = []
    for _ in range(240):
        z = complex(chance.uniform(60, 380), chance.uniform(-20, 420))
        more = [
            z + cmath.rect(chance.uniform(1, 20), chance.uniform(0, math.tau)) for _ in range(chance.choice([1, 3]))
        ]
        obstacles.append((chance.randrange(len(layers)), (z, *more)))
    lanes = [lane_between(a, b) for a, b in pairwise((None, *rails, None))]
    finder = Finder(rails, lanes, cast("Unfolded", None), 1.0, None)
    finder.keep_clear_of(obstacles, [])
    found = 0
    for k, lane in enumerate(lanes):
        layer = sum(rail.role is Role.FOLD for rail in rails[:k])
        first, other = rails[max(0, k - 1)], rails[min(k, len(rails) - 1)]
        into = 1.0 if k else -1.0
        for at, points in obstacles:
            if at != layer:
                continue
            # Rails run down the page, and the lane after one lies to the right of it.
            own = [(z - first.top) * first.along.conjugate() for z in points]
            back = [(z - other.top) * other.along.conjugate() for z in points]
            off, beyond = [-into * z.imag for z in own], [into * z.imag for z in back]
            beside = min(off) < NEED + 2 and max(off) > -NEED - 2
            if 0 < k < len(rails):
                beside = beside or (min(beyond) < NEED + 2 and max(beyond) > -NEED - 2)
            low, high = min(z.real for z in own), max(z.real for z in own)
            held = [s for s in lane.by_left if s[0] <= low - 3 + 1e-9 and s[1] >= high + 3 - 1e-9]
            if beside and high > 60:  # what ends above the first words is in the way of none
                found += 1
                assert held
            box, band = (low - 0.1, high + 0.1), (min(off) - 0.1, max(off) + 0.1)
            assert any(boxes.reach_into(k, box, band) for boxes in finder.boxes)
    assert found > 20
