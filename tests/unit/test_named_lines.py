"""What the name of a slash line says of its pleat. Lengths in mm."""

from __future__ import annotations

import pytest

from pleatsvg.errors import SlashError
from pleatsvg.kinds import noun_of
from pleatsvg.order.line_names import unit_said, worded
from pleatsvg.order.pleat_order import PleatOrder
from pleatsvg.pleats.laid import PleatRequest
from pleatsvg.pleats.words import pleat_words


def said(order: PleatOrder) -> str:
    """The pleat in the words of its label."""
    request = PleatRequest(
        order.kind,
        1 if order.lap == "right" else -1,
        order.intake_top,
        order.intake_hem,
        order.face,
        stack=order.stack,
        stitched=order.stitched,
        separate=order.separate,
        height=order.height,
    )
    words = pleat_words(request, True, "cm")
    return f"{noun_of(order.kind.name)}: {words}" if order.kind.stitched else words


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("slash 2 inverted 12cm", "inverted, intake 12 cm, folds meet"),
        ("slash 3 knife 6cm left", "knife, intake 6 cm, fold points left (right over left)"),
        ("slash_3_knife_6cm_right", "knife, intake 6 cm, fold points right (left over right)"),
        ("slash 2 box 12cm face 5cm", "box, face 5 cm, intake 12 cm, folds point away from each other"),
        ("slash 1 double knife 8cm left", "knife, double, intake 8 cm, fold points left (right over left)"),
        ("slash 1 triple inverted depth 1cm", "inverted, triple, intake 12 cm, folds meet"),
        ("slash 1 knife 2 1/2in left", "knife, intake 6.35 cm, fold points left (right over left)"),
        ("slash 2 1/2in knife left", "knife, intake 1.27 cm, fold points left (right over left)"),
        ("slash 2½in knife left", "knife, intake 6.35 cm, fold points left (right over left)"),
        ("slash 1 8cm hem 10cm inverted", "inverted, intake 8 cm at the top, 10 cm at the hem, folds meet"),
        ("slash 1 pin tuck 4mm left", "pin tuck: intake 0.4 cm, pressed left"),
        (
            "slash 1 tuck 2cm right stitched 5cm from the hem",
            "tuck: intake 2 cm, pressed right, stitched 5 cm from the hem, then released",
        ),
        ("slash 1 kick 8cm height 10cm", "kick, 10 cm high, intake 8 cm, folds meet"),
        ("slash left 2 inverted 8cm", "inverted, intake 8 cm, folds meet"),
        ("slash 3 centre back Inverted 8CM", "inverted, intake 8 cm, folds meet"),
    ],
)
def test_a_name_says_what_is_to_be_made(name: str, words: str) -> None:
    order = worded(name, None)
    assert order is not None
    assert said(order) == words


@pytest.mark.parametrize("name", ["slash 1", "slash left 3", "waist dart line", "slash hem", "slash 12"])
def test_a_name_that_says_nothing_of_a_pleat(name: str) -> None:
    assert worded(name, None) is None


def test_separate_and_the_unit() -> None:
    order = worded("slash 1 inverted 8cm separate underlay", None)
    assert order is not None
    assert order.separate
    assert unit_said(["slash 1", "slash 2 inverted 5in"]) == "in"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("slash 3 tuck 4cm", "the lap of a tuck is missing"),
        ("slash 1 knife left", "the intake is missing"),
        ("slash 1 inverted 0cm", "intake is 0 cm"),
        ("slash 1 knife 6cm left right", "both 'left' and 'right'"),
        ("slash 1 knife inverted 6cm", "both 'knife' and 'inverted'"),
        ("slash 1 knife 6cm 8cm left", "both '6cm' and '8cm'"),
        ("slash 1 triple tuck 6cm left", "3 for a tuck"),
        ("slash 1 kick 12cm", "the height of a kick pleat is missing"),
        ("slash 1 knife 6cm left separate", "a knife pleat has no underlay"),
        ("slash 1 knfe 6cm left", "the kind of pleat is missing"),
    ],
)
def test_a_name_that_says_too_little_or_too_much(name: str, words: str) -> None:
    with pytest.raises(SlashError) as caught:
        worded(name, None)
    assert words in str(caught.value)
    assert "Change the name" in str(caught.value)
    assert ".." not in str(caught.value)
