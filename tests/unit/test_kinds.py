"""A kind of pleat is a list of fold lines: everything else follows from it, for kinds that do not exist yet too."""

from __future__ import annotations

import itertools

import pytest

from pleatsvg.flat.as_written import Target
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.unfold import unfold
from pleatsvg.geometry.outline import Outline, Stretch
from pleatsvg.kinds import KINDS, Fold, FoldList, Kind, Placement
from pleatsvg.piece.finished import StraightLine
from pleatsvg.piece.slash_lines import SlashSet, in_order
from pleatsvg.pleats.laid import PleatRequest
from pleatsvg.pleats.layout import lay_out
from pleatsvg.proof.before_writing import fold_back
from tests.outside.written import Isometry, mirror

PANEL = Outline(tuple(itertools.pairwise((0j, 600 + 0j, 600 + 400j, 400j, 0j))))

SKIRT = Outline(
    (
        (-180 + 0j, -60 + 20j, 60 + 20j, 180 + 0j),
        (180 + 0j, 214 + 130j, 240 + 350j, 260 + 600j),
        (260 + 600j, 87 + 614j, -87 + 614j, -260 + 600j),
        (-260 + 600j, -240 + 350j, -214 + 130j, -180 + 0j),
    )
)


# ------------------------------------------------------------------------------------------------ what a list implies


@pytest.mark.parametrize(("name", "taken"), [("knife", 2), ("box", 4), ("inverted", 4)])
def test_depths_taken(name: str, taken: int) -> None:
    """Intake is 2 x depth for a knife pleat and 4 x depth for box and inverted. NIMI *Dress Making* vol. 2, p. 203."""
    kind = KINDS[name]
    assert kind.to_before.depths_taken == taken
    assert kind.to_after.depths_taken == taken


@pytest.mark.parametrize(
    ("folds", "taken", "placements", "face"),
    [
        # By hand: what the cloth passes on its way, edge by edge.
        ((Fold(0, 1), Fold(0, 0)), 2, (Placement(0, 0, (2,)),), False),
        ((Fold(0, 0), Fold(0, -1)), 2, (Placement(0, 2, (1,)),), False),
        ((Fold(0, 0), Fold(0, -1), Fold(0, 1), Fold(0, 0)), 4, (Placement(0, 2, (1, 4)),), False),
        (
            (Fold(-1, 1), Fold(-1, 0), Fold(1, 0), Fold(1, -1)),
            4,
            (Placement(-1, 0, (2,)), Placement(1, 4, (3,))),
            True,
        ),
        ((Fold(0, 1), Fold(0, 0), Fold(0, 1), Fold(0, 0)), 4, (Placement(0, 0, (2, 4)),), False),
        ((Fold(0, 0), Fold(0, -1), Fold(0, 0), Fold(0, -1)), 4, (Placement(0, 4, (1, 3)),), False),
        ((Fold(0, 2), Fold(0, 0)), 4, (Placement(0, 0, (2,)),), False),  # twice as deep
        ((Fold(0, 2), Fold(0, 1), Fold(0, 2), Fold(0, 0)), 6, (Placement(0, 0, (4,)),), False),  # 2 + 1 + 1 + 2
    ],
    ids=["knife left", "knife right", "inverted", "box", "stacked left", "stacked right", "deep knife", "zigzag"],
)
def test_what_follows_from_a_list(
    folds: tuple[Fold, ...], taken: int, placements: tuple[Placement, ...], face: bool
) -> None:
    listed = FoldList(folds)
    assert listed.depths_taken == taken
    assert listed.placements == placements
    assert listed.has_face is face


def test_only_a_kind_with_two_lists_needs_a_lap() -> None:
    assert {name for name, kind in KINDS.items() if kind.needs_lap} == {"knife", "tuck", "pin-tuck"}
    assert KINDS["knife"].folds(-1) is KINDS["knife"].to_before
    assert KINDS["knife"].folds(1) is KINDS["knife"].to_after
    assert KINDS["box"].folds(-1) is KINDS["box"].folds(1)


@pytest.mark.parametrize("name", KINDS)
def test_the_two_lists_of_a_kind_are_mirror_images(name: str) -> None:
    """Seen in a mirror, left is right and the cloth comes from the other side."""
    kind = KINDS[name]
    mirrored = tuple(Fold(-fold.edge, -fold.reach) for fold in reversed(kind.to_before.folds))
    assert mirrored == kind.to_after.folds


@pytest.mark.parametrize("name", KINDS)
def test_every_outer_fold_has_a_placement(name: str) -> None:
    for listed in (KINDS[name].to_before, KINDS[name].to_after):
        outer = [n for n, fold in enumerate(listed.folds, 1) if fold.reach == 0]
        carried = [n for placement in listed.placements for n in placement.carries]
        assert sorted(carried) == outer


# ------------------------------------------------------------------------------------------------- a kind that is new

STACKED = Kind(
    "stacked knife test",
    FoldList((Fold(0, +1), Fold(0, 0), Fold(0, +1), Fold(0, 0))),
    FoldList((Fold(0, 0), Fold(0, -1), Fold(0, 0), Fold(0, -1))),
    "two knives on one line, made up for this test",
)
DEEPER = Kind(
    "deeper knife test",
    FoldList((Fold(0, +2), Fold(0, 0), Fold(0, +1), Fold(0, 0))),
    FoldList((Fold(0, 0), Fold(0, -1), Fold(0, 0), Fold(0, -2))),
    "a knife under one half as deep, made up for this test",
)


WHOLE = [kind for kind in KINDS.values() if not kind.kicks]
"""The kinds that run from top to hem."""


def lines_on(outline: Outline, *lines: tuple[complex, complex]) -> SlashSet:
    return in_order(outline, [StraightLine(f"slash {k}", a, b) for k, (a, b) in enumerate(lines, 1)])


def unfolded(lines: SlashSet, request: PleatRequest) -> Unfolded:
    return unfold(lines, lay_out(lines, [request] * len(lines.chords)))


@pytest.mark.parametrize("towards", [-1, 1])
@pytest.mark.parametrize("kind", [STACKED, DEEPER, *WHOLE], ids=lambda kind: kind.name)
def test_a_kind_on_a_plain_panel_takes_up_its_intake(kind: Kind, towards: int) -> None:
    """Two pleats of 120 in a panel 600 wide make 840; area grows by the intake times the length. Derived."""
    lines = lines_on(PANEL, (200 + 0j, 200 + 400j), (420 + 0j, 420 + 400j))
    face = 50.0 if kind.to_before.has_face else 0.0
    flat = unfolded(lines, PleatRequest(kind, towards, 120.0, 120.0, face))
    left, top, right, bottom = flat.outline.box
    assert (right - left, bottom - top) == pytest.approx((840, 400), abs=1e-9)
    assert flat.outline.area == pytest.approx(600 * 400 + 2 * 120 * 400, abs=1e-6)
    assert len(flat.creases) == 2 * len(kind.folds(towards).folds)


@pytest.mark.parametrize("towards", [-1, 1])
@pytest.mark.parametrize(("top", "hem"), [(80.0, 80.0), (80.0, 120.0), (96.0, 0.0)], ids=["parallel", "taper", "hinge"])
@pytest.mark.parametrize("kind", [STACKED, DEEPER, *WHOLE], ids=lambda kind: kind.name)
def test_a_kind_unfolds_and_folds_back(kind: Kind, top: float, hem: float, towards: int) -> None:
    """On a curved piece, with nothing told but the list; proven by the program and by reflections worked out here."""
    lines = lines_on(SKIRT, (-70 + 0j, -100 + 620j), (60 + 0j, 90 + 620j))
    face = 40.0 if kind.to_before.has_face else 0.0
    flat = unfolded(lines, PleatRequest(kind, towards, top, hem, face))
    proof = fold_back(Target(lines.outline, lines.outline.segments), flat.seam, flat.creases, flat.placements)
    assert proof.worst < 1e-9

    folding = [Isometry()]
    for crease in flat.creases:
        folding.append(folding[-1].after(mirror(crease.top, crease.hem)))
    for edge in flat.seam:
        for z, w in zip(edge.points, lines.outline.part(Stretch(*edge.origin, 0)), strict=True):
            assert abs(folding[edge.layer](z) - w) < 1e-9
    taken = {1: 0.0, 2: 0.0}
    folds = {(c.pleat, c.folds[0]): c for c in flat.creases}
    for placement in flat.placements:
        for number in placement.folds:
            fold = folds[placement.pleat, number]
            laid = folding[fold.layer]
            on = folding[placement.layer]
            assert abs(laid(fold.top) - on(placement.top)) < 1e-9
            assert abs(laid(fold.hem) - on(placement.hem)) < 1e-9
            taken[placement.pleat] += abs(fold.top - placement.top)
    if kind in KINDS.values():
        assert list(taken.values()) == pytest.approx([top, top], abs=1e-9)
    assert abs(flat.outline.area) > abs(SKIRT.area)


@pytest.mark.parametrize("kind", [STACKED, DEEPER], ids=lambda kind: kind.name)
def test_a_new_kind_takes_its_place_beside_the_others(kind: Kind) -> None:
    """Different kinds on neighbouring lines of one piece."""
    lines = lines_on(SKIRT, (-80 + 0j, -100 + 620j), (0 + 0j, 0 + 620j), (80 + 0j, 100 + 620j))
    requests = [
        PleatRequest(KINDS["knife"], 1, 40.0, 60.0),
        PleatRequest(kind, -1, 80.0, 80.0),
        PleatRequest(KINDS["inverted"], -1, 60.0, 60.0),
    ]
    flat = unfold(lines, lay_out(lines, requests))
    assert (
        fold_back(Target(lines.outline, lines.outline.segments), flat.seam, flat.creases, flat.placements).worst < 1e-9
    )
    assert [len(list(run)) for _, run in itertools.groupby(c.pleat for c in flat.creases)] == [2, 4, 4]


def test_a_kick_pleat_adds_its_layers_below_its_tip_only() -> None:
    """Intake 120 (depth 30), 150 high: 120 x 150 of cloth less four triangles of 30 x 30 / 2 at the slanting tops."""
    lines = lines_on(PANEL, (300 + 0j, 300 + 400j))
    flat = unfolded(lines, PleatRequest(KINDS["kick"], 1, 120.0, 120.0, height=150.0))
    assert flat.outline.area == pytest.approx(600 * 400 + 120 * 150 - 4 * 30 * 30 / 2, abs=1e-6)
    left, _, right, _ = flat.outline.box
    assert right - left == pytest.approx(720, abs=1e-9)
    tops = [crease.top.imag for crease in flat.creases]
    assert tops == pytest.approx([250, 280, 280, 250], abs=1e-9)
    finished = Target(lines.outline, lines.outline.segments)
    assert fold_back(finished, flat.seam, flat.creases, flat.placements).worst < 1e-9
