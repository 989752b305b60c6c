"""Edges, places, layers and proofs of a flat piece that are worked out all at once come out as one by one. Lengths in mm."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from random import Random

import pytest

import pleatsvg
from pleatsvg.flat.once_round import FlatEdge, Leg, edges_of, edges_of_each
from pleatsvg.flat.unfold import layers_lie_apart, lie_in_rows
from pleatsvg.geometry.motion import STAY, Motion, reflection
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment
from pleatsvg.piece.slash_lines import Chord
from pleatsvg.pleated import PleatedPiece
from pleatsvg.proof.before_writing import ToFold, folded_back, folded_layers

SKIRT = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="700mm" height="720mm" viewBox="-350 -60 700 720">'
    '<path id="seam" d="m-180,0c120,20 240,20 360,0 34,130 60,350 80,600-173,14-347,14-520,0 20-250 46-470 80-600z"/>'
    '<line id="slash 1" x1="-70" y1="0" x2="-100" y2="612"/><line id="slash 2" x1="60" y1="0" x2="95" y2="612"/></svg>'
)


def wavy(count: int, chance: Random) -> Outline:
    """Return a round outline, some of its segments straight."""
    spots = [cmath.rect(chance.uniform(180, 220), math.tau * k / count) for k in range(count)]
    segments: list[Segment] = []
    for a, b in pairwise([*spots, spots[0]]):
        bow = (b - a) * 1j * chance.uniform(-0.3, 0.3)
        straight = chance.random() < 0.3
        segments.append((a, b) if straight else (a, a + (b - a) / 3 + bow, b - (b - a) / 3 + bow, b))
    return Outline(tuple(segments))


def place(nodes: int, chance: Random) -> float:
    """Return a place on an outline, many at a node or a hair beside one."""
    at = chance.uniform(-1, 2 * nodes)
    off = chance.choice([None, None, None, 0.0, 1e-12, -1e-12, 1e-8, -1e-8])
    return at if off is None else round(at) + off


def test_edges_are_the_same_to_the_last_digit() -> None:
    """Of legs both ways, over one segment or several, from node to node, and with fold edges and paths among them."""
    chance = Random("edges")
    runs: list[tuple[Outline, list[Leg], list[Motion]]] = []
    for count in (2, 7, 30):
        outline = wavy(count, chance)
        motions = [
            Motion(cmath.rect(1, chance.uniform(0, 6)), complex(chance.uniform(-900, 900), 5), chance.random() < 0.5)
            for _ in range(20)
        ]
        legs = [
            Leg(start, end, chance.randrange(20))
            for start, end in ((place(count, chance), place(count, chance)) for _ in range(400))
            if abs(end - start) < 20  # longer ones would not be made one by one
        ][:60]
        legs += [leg._replace(end=leg.start) for leg in legs[:5]]
        legs.insert(0, Leg(0.0, 1.0, 3, Chord(0.0, 0.0, 1j, 2j)))
        legs.insert(30, Leg(0.0, 0.0, 4, path=((1j, 3j), (2j, 4j))))
        runs.append((outline, legs, motions))
    alone: list[list[FlatEdge]] = [
        [edge for leg in legs for edge in edges_of(outline, [leg], motions)] for outline, legs, motions in runs
    ]
    assert [len(row) > 60 for row in alone] == [True] * 3
    assert edges_of_each(runs) == alone


def test_places_are_counted_on() -> None:
    chance = Random("places")
    outline = wavy(24, chance)
    at = 3.0
    places = [at]
    for _ in range(60):
        at += chance.uniform(-3, 4)
        places.append(at % 24)
    one_by_one = [places[0]]
    for spot in places[1:]:
        one_by_one.append(outline.counted_near(spot, one_by_one[-1]))
    assert outline.counted_on(places) == one_by_one
    assert max(one_by_one) > 24


def test_reflections_one_after_another() -> None:
    chance = Random("reflections")
    at_once = one_by_one = STAY
    for _ in range(9):
        a, b = (complex(chance.uniform(-300, 300), chance.uniform(-300, 300)) for _ in range(2))
        at_once, one_by_one = at_once.over(a, b), one_by_one.after(reflection(a, b))
        assert at_once == one_by_one


@pytest.fixture
def fitted(tmp_path: Path) -> PleatedPiece:
    file = tmp_path / "skirt.svg"
    file.write_text(SKIRT, encoding="utf-8")
    wanted = {"kind": "inverted", "intake": "80mm", "allowance": "15mm", "fit_waist": "33cm", "fit_length": "20cm"}
    return pleatsvg.pleat(pleatsvg.read(file), **wanted)


def test_layers_in_a_row(fitted: PleatedPiece) -> None:
    """Both zones together; a layer that leans over its neighbour is no row any more, in whichever zone."""
    spliced = fitted.flattened.spliced
    assert spliced is not None
    hand = fitted.lines.hand
    zones = [spliced.above, spliced.below]
    assert lie_in_rows(zones, hand)
    for k, zone in enumerate(zones):
        for layer in range(len(zone.motions)):
            for way in (60.0, -60.0):
                moved = [
                    edge._replace(points=tuple([z + way for z in edge.points])) if edge.layer == layer else edge
                    for edge in zone.cut
                ]
                other = replace(zone, cut=tuple(moved))
                outwards = (layer == 0 and way < 0) or (layer == len(zone.motions) - 1 and way > 0)
                found = lie_in_rows([*zones[:k], other, *zones[k + 1 :]], hand)
                assert found == outwards
                assert not found or layers_lie_apart(other, hand)
        turned = zone.creases[1]._replace(top=zone.creases[1].top + 300)
        crossed = replace(zone, creases=(zone.creases[0], turned, *zone.creases[2:]))
        assert not lie_in_rows([*zones[:k], crossed, *zones[k + 1 :]], hand)


def test_proofs_of_both_zones(fitted: PleatedPiece) -> None:
    """What is off in one of four lines is told of that one, and of it alone."""
    asked: list[ToFold] = []
    for zone in fitted.written.zones:
        flat, folded = zone.flat, folded_layers(zone.flat.creases)
        bent_at = "hem" if zone.name == "above" else "top"
        asked.append(ToFold(zone.seam, flat.seam, folded, flat.creases, flat.placements, bent_at))
        assert zone.cutting is not None
        asked.append(ToFold(zone.cutting, flat.cut, folded))
    whole = folded_back(asked)
    assert [one.worst < 2e-4 for one in whole] == [True] * 4
    for k, one in enumerate(asked):
        edge = one.edges[-1]
        off = one._replace(edges=(*one.edges[:-1], edge._replace(points=(edge.points[0] + 0.5j, *edge.points[1:]))))
        told = folded_back([*asked[:k], off, *asked[k + 1 :]])
        assert told[k].raw_edges == pytest.approx(0.5, abs=1e-3)
        assert [told[j] == whole[j] for j in range(4) if j != k] == [True] * 3
        no_number = edge._replace(points=(complex(math.nan, 0), *edge.points[1:]))
        lost = folded_back([*asked[:k], one._replace(edges=(*one.edges[:-1], no_number)), *asked[k + 1 :]])
        assert math.isnan(lost[k].worst)
        assert folded_back([one])[0].worst == pytest.approx(whole[k].worst, abs=1e-12)
