"""The told order, carried out on the drawn lines, ends in the folded piece, and no cloth passes through a fold pressed before.

The order is read from the words of the panels, not from what they were made of. Layers are polygons of shapely here.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator

import pytest
from shapely import Polygon

from pleatsvg.drawing.read_result import result_from
from pleatsvg.folded.moves import Move, brought_by, moves_of
from pleatsvg.folded.stack import (
    Stack,
    crossing_folds,
    cut_through,
    order_of,
    partial_motions,
    stack_of,
)
from pleatsvg.folded.steps import steps_of
from pleatsvg.geometry.motion import STAY, Motion
from pleatsvg.geometry.segment import point_at
from pleatsvg.proof.figures import Proof
from pleatsvg.proof.folded_pass import FoldedPass
from pleatsvg.proof.prove import prove
from tests.folding import handmade as made

TOLD = re.compile(r"(?:Pleat|Tuck|Pin tuck)s? (\d[\d.]*(?:(?: to |, | and )\d+)*)(?=:| in the same way| as )")


def told(proof: Proof) -> list[str]:
    """The names of pleats and layers in the order in which the panels' words tell them."""
    names: list[str] = []
    for panel in steps_of(proof).panels:
        words = re.sub(r"^\d+[.] ", "", panel.words)
        for found in TOLD.findall(words):
            for part in re.split(", | and ", found):
                first, _, last = part.partition(" to ")
                names += [str(k) for k in range(int(first), int(last) + 1)] if last else [first]
    return names


def moves_told(proof: Proof) -> list[Move]:
    """The moves that the words tell, in their order; of a stack named by its pleat alone, layer by layer."""
    found: list[Move] = []
    for name in told(proof):
        whole, _, layer = name.partition(".")
        own = [move for move in moves_of(proof.passes) if move.pleat == int(whole) and move not in found]
        own = [move for move in own if move.number == own[0].number]  # results by hand number each pass from 1
        found += [move for move in own if not layer or move.layer == int(layer)]
    return found


Ordered = list[tuple[str, Proof, list[Move]]]


@pytest.fixture(scope="module")
def ordered(proofs: list[tuple[str, Proof]]) -> Ordered:
    """All of them with the moves that their words tell, read once."""
    return [(name, proof, moves_told(proof)) for name, proof in proofs]


def between(one: Motion, other: Motion) -> Motion:
    """How the other lies as seen from the one."""
    return (
        Motion(one.turn.conjugate(), -one.turn.conjugate() * one.shift, False).after(other)
        if not one.flips
        else (Motion(one.turn, -one.turn * one.shift.conjugate(), True).after(other))
    )


def same(a: Motion, b: Motion) -> bool:
    return a.flips == b.flips and abs(a.turn - b.turn) < 1e-9 and abs(a.shift - b.shift) < 1e-6


def polygons(done: FoldedPass) -> list[Polygon]:
    """The layers of a pass, flat."""
    found = []
    for k, layer in enumerate(done.layers):
        points: list[complex] = []
        before = done.creases[k - 1] if k else None
        after = done.creases[k] if k < len(done.creases) else None
        for run in layer.runs:
            points += [point_at(seg, t / 8) for seg in run for t in range(9)]
        points += [z for span in (before, after) if span is not None for z in (span.top, span.hem)]
        found.append(Polygon([(z.real, z.imag) for z in points]).convex_hull)
    return found


def lying(polygon: Polygon, motion: Motion) -> Polygon:
    placed = [motion.of(complex(x, y)) for x, y in polygon.exterior.coords]
    return Polygon([(z.real, z.imag) for z in placed])


def test_every_crease_is_told_once_and_the_order_ends_in_the_folded_piece(ordered: Ordered) -> None:
    for name, proof, moves in ordered:
        assert proof.holds, name
        assert moves, name
        for done in proof.passes:
            creases = [k for move in moves if move.number == done.number for k in move.creases]
            assert sorted(creases) == list(range(len(done.creases))), name
            motions = partial_motions(done, [k in creases for k in range(len(done.creases))])
            for motion, layer in zip(motions, done.layers, strict=True):
                assert same(motion, layer.motion), name
        numbers = [move.number for move in moves]
        assert numbers == sorted(numbers, reverse=True), f"{name}: the last pass is folded first"


def test_each_move_brings_its_lines_together(ordered: Ordered) -> None:
    for name, proof, moves in ordered:
        folded: dict[int, set[int]] = {done.number: set() for done in proof.passes}
        for move in moves:
            done = next(done for done in proof.passes if done.number == move.number)
            brings = brought_by(done, move, folded[move.number], before=False)
            assert brings, (name, move)
            for bring in brings:
                assert abs(bring.start.top - bring.end.top) < 0.01, (name, bring)
                assert abs(bring.start.hem - bring.end.hem) < 0.01, (name, bring)
            folded[move.number].update(move.creases)


def cuts_of(stack: Stack) -> Iterator[tuple[complex, complex]]:
    left, top, right, bottom = stack.box
    for share in (0.13, 0.52, 0.9):
        yield complex(left, top + (bottom - top) * share), 1 + 0j
        yield complex(left + (right - left) * share, top), 1j


def test_no_state_on_the_way_has_cloth_through_a_fold(ordered: Ordered) -> None:
    """Cloth that would pass through a fold is cautioned where the folded piece has it; on the way there is none more."""
    for name, proof, moves in ordered:
        whole = stack_of(proof.passes)
        clash = {
            k for origin, along in cuts_of(whole) for k in crossing_folds(whole, cut_through(whole, origin, along))
        }
        folded: dict[int, set[int]] = {}
        for move in moves:
            folded.setdefault(move.number, set()).update(move.creases)
            stack = stack_of(proof.passes, folded)
            for origin, along in cuts_of(stack):
                assert set(crossing_folds(stack, cut_through(stack, origin, along))) <= clash, (name, move)


def test_what_is_pressed_keeps_its_order(ordered: Ordered) -> None:
    """Two layers that lie on one another and are not moved against each other are not exchanged by a later move."""
    compared = 0
    for name, proof, moves in ordered:
        for done in proof.passes:
            shapes = polygons(done)
            folded: set[int] = set()
            states = []
            for move in [move for move in moves if move.number == done.number]:
                folded |= set(move.creases)
                on = [k in folded for k in range(len(done.creases))]
                motions = partial_motions(done, on)
                states.append((motions, order_of(done, motions, on)))
            for (motions, order), (later, later_order) in itertools.pairwise(states):
                place, later_place = ({k: n for n, k in enumerate(one)} for one in (order, later_order))
                laid = [lying(shape, motion) for shape, motion in zip(shapes, motions, strict=True)]
                for i, j in itertools.combinations(range(len(shapes)), 2):
                    if j - i > 12 or not same(between(motions[i], motions[j]), between(later[i], later[j])):
                        continue
                    if laid[i].intersection(laid[j]).area < 1.0:
                        continue
                    above = (place[j] > place[i]) != motions[i].flips
                    above_later = (later_place[j] > later_place[i]) != later[i].flips
                    assert above == above_later, (name, i, j)
                    compared += 1
    assert compared > 100


def test_a_wrong_order_is_found() -> None:
    """So that the tests above can fail: layers of a pleat exchanged, and a fold left out."""
    proof = prove(result_from(made.knife_result().encode(), "result.svg").pieces[0])
    (done,) = proof.passes
    half = partial_motions(done, [True, False])
    assert not all(same(a, layer.motion) for a, layer in zip(half, done.layers, strict=True))
    assert same(between(STAY, STAY), STAY)
    assert told(proof) == ["1"]
