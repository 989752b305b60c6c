"""Whether a box is clear of words is asked of a few or of many to the same answer. Lengths in mm."""

from __future__ import annotations

import cmath
import random

import pytest

from pleatsvg.result import clear_of
from pleatsvg.result.clear_of import ClearOf
from pleatsvg.result.lettering import Words


def test_of_many_boxes_only_those_about_a_place_are_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    chance = random.Random(5)

    def spot() -> complex:
        return complex(chance.uniform(-900, 900), chance.uniform(-400, 400))

    words = [Words("STITCH TO HERE", spot(), chance.uniform(-90, 80), 3.0, "hip-label") for _ in range(300)]
    bars = [(spot(), cmath.rect(chance.uniform(20, 700), k), 4.0) for k in range(6)]
    asked = [(spot(), cmath.rect(1.0, k)) for k in range(200)]
    found = []
    for many in (10**9, 40):
        monkeypatch.setattr(clear_of, "_MANY", many)
        taken = ClearOf(words[:150])
        for row in words[150:]:
            taken.take(row)
        for bar in bars:
            taken.take_box(*bar)
        found.append([taken.is_free(middle, along, 30.0, 4.0, [], 1.0) for middle, along in asked])
        assert len(taken._loose) < (400 if many > 300 else 8)
    assert found[0] == found[1]
    assert 20 < sum(found[0]) < 180
