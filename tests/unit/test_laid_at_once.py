"""What is made of many panels, curves or segments at once, to the last digit, is what is made of them one after another."""

from __future__ import annotations

import cmath
import math
from itertools import pairwise
from random import Random

import numpy as np
import pytest

from pleatsvg.fitted import closed
from pleatsvg.fitted.closed import closed_to, top_of, walked
from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.fitted.fit import _thinned
from pleatsvg.geometry import outline as outlines
from pleatsvg.geometry import selfcross
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.parallel import _all_near, _hermite
from pleatsvg.geometry.segment import Segment, single_root, single_roots
from pleatsvg.piece.finished import StraightLine
from pleatsvg.piece.slash_lines import SlashSet, in_order


def curves(count: int, chance: Random) -> list[Segment]:
    """Return curves of many sizes, gentle and less so."""
    made: list[Segment] = []
    for _ in range(count):
        way = chance.choice((5, 20, 60)) * cmath.rect(1, chance.uniform(0, math.tau))
        bend = [way * complex(0, chance.uniform(-0.03, 0.03)) for _ in range(2)]
        made.append((0j, way / 3 + bend[0], way * 2 / 3 + bend[1], way))
    return made


@pytest.mark.parametrize("hand", [1.0, -1.0])
def test_parallels_of_many_curves(hand: float) -> None:
    chance = Random("parallels")
    segments = [*curves(300, chance), (0j, 0j, 10 + 1j, 20 + 0j)]
    far = [chance.choice((3.0, 15.0, 40.0)) for _ in segments]
    found = _all_near(np.array(segments), far, hand)
    for seg, distance, made in zip(segments[:-1], far, found, strict=False):
        alone, good, turned = _hermite(seg, distance, hand)
        assert made == (alone if good and not turned else None)
    assert found[-1] is None  # its handle lies in its end
    assert 50 < sum(made is not None for made in found) < 250


def test_single_roots() -> None:
    chance = Random("roots")
    rows = [
        [chance.uniform(-9, -0.1), chance.uniform(-9, 9), chance.uniform(-9, 9), chance.uniform(0.1, 9)]
        for _ in range(300)
    ]
    rows = [row if k % 2 else [-w for w in row] for k, row in enumerate(rows) if not row[1] > 0 > row[2]]
    found = single_roots(np.array(rows).T).tolist()
    known = [(one, single_root(row)) for one, row in zip(found, rows, strict=True) if math.isfinite(one)]
    assert all(one == alone for one, alone in known)
    assert len(known) > 0.5 * len(rows)


def star(count: int, chance: Random) -> tuple[Segment, ...]:
    """Return a closed row of many curves and lines round a point; now and then two of them cross."""
    spots = [cmath.rect(chance.uniform(180, 200), math.tau * k / count) for k in range(count)]
    if chance.random() < 0.5:
        k = chance.randrange(count - 4)
        spots[k + 1], spots[k + 3] = spots[k + 3], spots[k + 1]
    made: list[Segment] = []
    for k, (a, b) in enumerate(pairwise([*spots, spots[0]])):
        bow = (b - a) * 1j * chance.uniform(-0.6, 0.6)
        made.append((a, b) if k % 3 == 0 else (a, a + (b - a) / 3 + bow, b - (b - a) / 3 + bow, b))
    return tuple(made)


def test_where_many_segments_cross(monkeypatch: pytest.MonkeyPatch) -> None:
    chance = Random("crossing")
    pieces = [star(60, chance) for _ in range(40)]
    at_once = [selfcross.self_crossing(Outline(one)) for one in pieces]
    boxes = [Outline(one).boxes for one in pieces]
    monkeypatch.setattr(outlines, "_MANY", 1000)
    assert boxes == [Outline(one).boxes for one in pieces]
    assert at_once == [selfcross.self_crossing(Outline(one)) for one in pieces]
    assert 5 < sum(spot is not None for spot in at_once) < 35


def test_too_many_boxes_open_at_once_are_left_to_a_tree(monkeypatch: pytest.MonkeyPatch) -> None:
    chance = Random("open")
    pieces = [star(60, chance) for _ in range(10)]
    at_once = [selfcross.self_crossing(Outline(one)) for one in pieces]
    monkeypatch.setattr(selfcross, "_OPEN", 0)
    assert at_once == [selfcross.self_crossing(Outline(one)) for one in pieces]


def skirt(count: int) -> tuple[SlashSet, list[PleatEdge]]:
    """Return so many slash lines on a piece with a curved top, and their edges, shaped over 200 mm."""
    width = 60.0 * (count + 1)
    a, b, c, d = 0j, complex(width, 0), complex(width + 60, 600), complex(-60, 600)
    top = (a, a + width / 3 + 14j, b - width / 3 + 14j, b)
    outline = Outline((top, (b, c), (c, d), (d, a)))
    lines = in_order(
        outline,
        [StraightLine(f"slash {k}", complex(60 * k, -5), complex(60 * k + k % 3, 620)) for k in range(1, count + 1)],
        "mm",
    )
    edges = [
        PleatEdge(
            k, f"slash {k}", 0, chord, chord.top + 200 * (chord.hem - chord.top) / abs(chord.hem - chord.top), 1, 20, 20
        )
        for k, chord in enumerate(lines.chords, 1)
    ]
    return lines, edges


def test_what_is_made_of_many_closed_panels(monkeypatch: pytest.MonkeyPatch) -> None:
    lines, edges = skirt(24)
    top = top_of(lines, edges)
    shares = [3.0 + k % 4 for k in range(24)]
    shares[5] = 0.0
    args = lines, edges, top, shares, top.length - sum(shares)
    found = closed_to(*args)
    known: list[bool] = []
    alone = closed.panels_moved, closed.edges_joined
    monkeypatch.setattr(closed, "panels_moved", lambda *a: [known.append(one is not None) for one in alone[0](*a)])
    monkeypatch.setattr(closed, "edges_joined", lambda e, m, h: ([None] * len(e), [0.0] * len(e)))
    assert found == closed_to(*args)
    assert sum(known) >= 23  # all but those at the sides


def test_a_few_edges_are_leaned_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    lines, edges = skirt(6)
    top = top_of(lines, edges)
    shares = [3.0 + k % 4 for k in range(6)]
    args = lines, edges, top, shares, top.length - sum(shares)
    found = closed_to(*args)
    monkeypatch.setattr(closed._Closing, "row", lambda *_: pytest.fail("panels are closed at every try"))
    monkeypatch.setattr(closed._Closing, "spans", property(lambda _: pytest.fail("wide panels are measured")))
    assert found == closed_to(*args)


@pytest.mark.parametrize("hand", [1, -1])
def test_so_far_along_a_side(hand: int) -> None:
    line, bent = (0j, 300 + 0j), (300 + 0j, 400 + 20j, 500 + 60j, 600 + 150j)
    outline = Outline((line, bent, (600 + 150j, 300 + 500j), (300 + 500j, 0j)))
    for start in (0.1, 0.5, 0.9, 1.1, 1.5, 1.9):
        for far in (1.0, 20.0, 100.0, 200.0):
            stop = walked(outline, start, start + 2 * hand, far)
            assert abs(outline.so_far(stop) - outline.so_far(start)) == pytest.approx(far, abs=1e-8)
            assert (stop - start) * hand > 0


def test_few_of_many_spots_in_a_row_will_do() -> None:
    ring = [cmath.rect(1000, 0.05 * k) for k in range(41)]
    found = _thinned(ring, 25.0)
    assert len(found) == 6
    assert (found[0], found[-1]) == (ring[0], ring[-1])
    assert len(_thinned(ring, 6.0)) == 11
    bent = [z * (0.9 if k == 13 else 1.0) for k, z in enumerate(ring)]
    assert _thinned(bent, 25.0) == bent
    back = [*ring[:14], ring[2], *ring[15:]]  # leads back on itself
    assert _thinned(back, 1000.0) == back
    assert _thinned(ring[:8], 1000.0) == ring[:8]
