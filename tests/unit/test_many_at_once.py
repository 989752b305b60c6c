"""What is asked of many segments, lines or words at once is what is asked of each by itself."""

from __future__ import annotations

import cmath
import math
from itertools import pairwise
from random import Random

import numpy as np
import pytest

from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, length_of, lengths_of, roots_of, single_root
from pleatsvg.result.clear_of import boxes_clear, clear_of_lines


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


def test_crossings_beyond_a_place() -> None:
    chance = Random("crossings")
    outline = wavy(70, chance)
    lines = [
        (
            complex(chance.uniform(-90, 90), chance.uniform(-90, 90)),
            cmath.rect(1, chance.uniform(0, math.tau)),
            0.0,
            k % 2 > 0,
        )
        for k in range(100)
    ]
    near = outline.near_rows([(origin, way) for origin, way, _, _ in lines])
    assert near is not None
    at_once = outline.crossed_beyond_each(lines, near)
    assert sum(hit is not None for hit in at_once) > 60  # it is that way that is held against the other here
    for line, found in zip(lines, at_once, strict=True):
        alone = outline.crossed_beyond(*line)
        assert alone is not None
        if found is not None:
            assert found.at == pytest.approx(alone.at, abs=1e-11)
            assert (found.along, found.point) == (
                pytest.approx(alone.along, abs=1e-9),
                pytest.approx(alone.point, abs=1e-9),
            )


def test_roots() -> None:
    weights = [[-1.0, 0.2, 0.4, 2.0], [3.0, 1.0, -1.0, -0.5], [-5.0, -4.0, -3.0, 0.01]]
    assert roots_of(np.array(weights)).tolist() == pytest.approx([single_root(w) for w in weights], abs=1e-11)


def test_boxes_of_words_beside_strokes() -> None:
    chance = Random("boxes")

    def spot() -> complex:
        return complex(chance.uniform(0, 900), chance.uniform(0, 200))

    strokes = [
        (z, z + chance.uniform(1, 300) * cmath.rect(1, chance.uniform(0, math.tau)))
        for z in [spot() for _ in range(40)]
    ]
    boxes = [(spot(), cmath.rect(1, chance.uniform(0, math.tau))) for _ in range(100)]
    boxes.sort(key=lambda box: box[0].real)
    found = boxes_clear([z for z, _ in boxes], [way for _, way in boxes], (30.0, 4.0), strokes, 1.4)
    assert found == [clear_of_lines(z, way, 30.0, 4.0, strokes, 1.4) for z, way in boxes]
    assert 10 < sum(found) < 90
