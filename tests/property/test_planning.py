"""What holds of every plan: figures that are enough give the same plan, whichever they are. Lengths in mm."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import ceil, inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import pleatsvg
from pleatsvg.errors import FitError, PleatError
from pleatsvg.kinds import KINDS
from pleatsvg.plan.asked import HALF_SPACES, Allowances, Asked, Ends, Fabric
from pleatsvg.plan.cloth import cloth_for
from pleatsvg.plan.planned import Plan
from pleatsvg.plan.solve import answered, completed

SETTINGS = settings(derandomize=True, deadline=None, max_examples=40, database=None)
KNOWN = ("finished", "count", "spacing", "intake", "flat")
ENOUGH = (
    ("finished", "count", "intake"),
    ("finished", "count", "flat"),
    ("finished", "spacing", "intake"),
    ("finished", "spacing", "flat"),
    ("finished", "intake", "flat"),
    ("count", "spacing", "intake"),
    ("count", "spacing", "flat"),
    ("count", "intake", "flat"),
    ("spacing", "intake", "flat"),
    KNOWN,
)
"""Any three of the five figures that say enough, and all of them."""


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """A whole plan, as plain as its two equations."""
    name = draw(st.sampled_from(["knife", "box", "inverted", "tuck"]))
    count = draw(st.integers(2, 60))
    spacing = draw(st.floats(8, 90))
    share = draw(st.floats(0.2, 3))
    ring = draw(st.booleans())
    ends = HALF_SPACES if ring else draw(st.sampled_from([HALF_SPACES, Ends(1.0), Ends(0.0, 35.0)]))
    asked = Asked(
        kind=KINDS[name],
        unit=draw(st.sampled_from(["cm", "in", "mm"])),
        count=count,
        spacing=spacing,
        intake=2 * spacing * share,
        ends=ends,
        ring=ring,
        plain=0.0 if ring else draw(st.sampled_from([0.0, 120.0])),
        fold_loss=draw(st.sampled_from([0.0, 0.7])),
        lap=draw(st.sampled_from(["left", "right", "centre", "sides"])),
    )
    return completed(asked)


@SETTINGS
@given(plans())
def test_any_figures_that_are_enough_give_the_same_plan(plan: Plan) -> None:
    figures = {name: getattr(plan, name) for name in KNOWN}
    bare = replace(plan.asked, **dict.fromkeys(KNOWN))
    for names in ENOUGH:
        answer = answered(replace(bare, **{name: figures[name] for name in names}))
        found = answer.plan
        assert found.count == plan.count, names
        assert [getattr(found, name) for name in KNOWN] == pytest.approx(list(figures.values()), abs=1e-6)


@SETTINGS
@given(plans())
def test_places_are_cumulative(plan: Plan) -> None:
    places = plan.places()
    ends = [places[0], *[b - a for a, b in pairwise(places)], plan.finished - places[-1]]
    assert sum(ends) == pytest.approx(plan.finished, abs=1e-9)
    assert [b - a for a, b in pairwise(places)] == pytest.approx([plan.spacing] * (plan.count - 1), abs=1e-9)
    assert plan.flat == pytest.approx(plan.finished + plan.count * plan.marked_intake, abs=1e-9)


@SETTINGS
@given(plans())
def test_folding_the_marks_gives_the_places(plan: Plan) -> None:
    """What lies between the first and the last mark of a pleat is taken up, half of it on either side of its middle."""
    if plan.asked.ring and not plan.asked.kind.stitched:
        return
    marks = plan.marks()
    for k, place in enumerate(plan.places()):
        mine = [mark.at for mark in marks if mark.pleat == k + 1]
        assert len(mine) >= 3
        middle = (min(mine) + max(mine)) / 2
        assert middle - (k + 0.5) * plan.marked_intake == pytest.approx(place, abs=1e-6)


@SETTINGS
@given(plans())
def test_a_ring_is_measured_from_an_inner_fold(plan: Plan) -> None:
    plan = replace(plan, asked=replace(plan.asked, ring=True, ends=HALF_SPACES, lap="left", plain=0.0))
    if plan.asked.kind.stitched:
        return
    plan = replace(plan, finished=plan.count * plan.spacing)
    marks, step = plan.marks(), plan.flat / plan.count
    assert (marks[0].at, marks[0].role) == (pytest.approx(0, abs=1e-5), "inner")
    for role in ("fold", "place", "inner"):
        at = [mark.at for mark in marks if mark.role == role]
        each = len(at) // plan.count
        assert len(at) == each * plan.count
        # The same comes again after every step, all the way round.
        assert [b - a for a, b in zip(at, at[each:], strict=False)] == pytest.approx(
            [step] * (len(at) - each), abs=1e-5
        )


@SETTINGS
@given(plans(), st.floats(300, 1600), st.floats(0, 25))
def test_strips_cover_the_flat_width(plan: Plan, wide: float, seam: float) -> None:
    fabric = Fabric(width=wide, length=600.0, allowances=Allowances(seam, seam))
    plan = replace(plan, asked=replace(plan.asked, fabric=fabric))
    cloth = cloth_for(plan)
    assert cloth is not None
    for way in cloth.ways:
        if way.name == "strips":
            assert way.strips == ceil(plan.flat / (wide - 2 * seam) - 1e-9)
            assert way.strips * cloth.usable >= plan.flat - 1e-6
            # Cut with their allowances, the strips hold the flat width and both sides of every join.
            assert way.strips * wide >= plan.flat + 2 * seam * way.strips - 1e-6
        if way.name == "hidden":
            assert sum(way.parts) == pytest.approx(plan.flat, abs=1e-6)
            assert max(way.parts) <= cloth.usable + 1e-6
            assert len(way.parts) >= ceil(plan.flat / cloth.usable - 1e-9)
            inner = [mark.at for mark in plan.marks() if mark.role == "inner"]
            at = 0.0
            for part in way.parts[:-1]:
                at += part
                assert min(abs(at - fold) for fold in inner) < 1e-6


@SETTINGS
@given(plans())
def test_layers_of_knife_pleats_by_the_closed_form(plan: Plan) -> None:
    """Depth d and spacing p: average 1 + 2 d / p, most 1 + 2 ceil(d / p), where there are pleats enough."""
    if plan.asked.kind.name != "knife" or plan.asked.lap not in ("left", "right"):
        return
    share = plan.depth / plan.spacing
    assert plan.most_layers() == 1 + 2 * min(ceil(share - 1e-6), inf if plan.asked.ring else plan.count)
    if plan.asked.ring:
        assert plan.mean_layers == pytest.approx(1 + 2 * share)


@SETTINGS
@given(plans(), st.floats(0.3, 0.97))
def test_too_little_cloth_is_answered_with_what_is_possible(plan: Plan, share: float) -> None:
    flat = plan.flat * share
    with pytest.raises(FitError, match="is too little" if flat <= plan.finished else "Possible with"):
        answered(replace(plan.asked, finished=plan.finished, spacing=None, flat=flat))


def test_a_program_plans_as_the_command_does() -> None:
    """72 cm in 4 cm spaces, full: 18 pleats of 8 cm from 216 cm; each way to give the same is the same."""
    answer = pleatsvg.plan_for(kind="knife", finished="72cm", spacing="4cm", full=True)
    assert (answer.plan.count, answer.plan.flat, answer.plan.intake) == (18, 2160, 80)
    assert answer.plan.marks()[-1].at < answer.plan.flat
    for same in (
        {"finished": pleatsvg.Length(720, "cm"), "count": 18},
        {"body": "70cm", "ease": "2cm", "spacing": "4cm"},
    ):
        assert pleatsvg.plan_for(kind="knife", full=True, **same).plan.marks() == answer.plan.marks()
    by_table, by_words = ({"hem": "4cm", "sides": "1cm"}, ["hem=4cm", "sides=1cm"])
    cloth = {"finished": "72cm", "count": 18, "length": "60cm", "cloth_width": "140cm"}
    one, other = (pleatsvg.plan_for(**cloth, allowance=said).plan for said in (by_table, by_words))
    assert cloth_for(one) == cloth_for(other) != cloth_for(pleatsvg.plan_for(**cloth).plan)


@pytest.mark.parametrize(
    "options",
    [
        {"count": 18, "finished": 72},
        {"finished": "72cm", "count": "18"},
        {"finished": "72cm", "count": True},
        {"finished": "72cm", "kind": 7},
        {"finished": "72cm", "full": "yes"},
        {"finished": "72cm", "cuont": 18},
        {"finished": "72cm", "draw": "panel.svg"},
        {"finished": "72cm", "allowance": {"hem": 4}},
    ],
    ids=repr,
)
def test_what_an_option_does_not_take_is_refused(options: dict[str, object]) -> None:
    with pytest.raises(PleatError, match=next(name for name in reversed(options))):
        pleatsvg.plan_for(**options)
