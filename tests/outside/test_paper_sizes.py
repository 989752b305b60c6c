"""Sizes of paper against their standards."""

from __future__ import annotations

import pytest

from pleatsvg.errors import RequestError
from pleatsvg.paper.sizes import Margins, margins_from, paper_from, room_on

# R ISO 216:2007, table 1: trimmed sizes of the A series, mm.
ISO = {"A4": (210, 297), "A3": (297, 420), "A2": (420, 594), "A1": (594, 841), "A0": (841, 1189)}

# R ANSI/ASME Y14.1: A is 8 1/2 x 11 in (letter), B is 11 x 17 in (tabloid). C: legal is 8 1/2 x 14 in.
INCHES = {"letter": (8.5, 11), "tabloid": (11, 17), "legal": (8.5, 14)}


@pytest.mark.parametrize(("name", "size"), ISO.items())
def test_the_a_series(name: str, size: tuple[float, float]) -> None:
    paper = paper_from(name)
    assert (paper.width, paper.height) == size
    # D ISO 216, 2.1: the sides are as 1 to the root of 2, rounded down to a mm; A0 is a square metre.
    area = size[0] * size[1] * 2 ** int(name[1]) / 1e6
    assert size[1] / size[0] == pytest.approx(2**0.5, abs=0.006)
    assert area == pytest.approx(1.0, abs=0.006)


@pytest.mark.parametrize(("name", "size"), INCHES.items())
def test_sizes_in_inches(name: str, size: tuple[float, float]) -> None:
    paper = paper_from(name.upper())
    assert (paper.width, paper.height) == pytest.approx([25.4 * side for side in size], abs=1e-9)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("210mmx297mm", (210, 297)),
        ("30 x 40cm", (300, 400)),
        ("8 1/2in x 14in", (215.9, 355.6)),
        ('11"x17"', (279.4, 431.8)),
        ("0.5 × 70cm", (5, 700)),
    ],
)
def test_a_size_in_figures(text: str, size: tuple[float, float]) -> None:
    paper = paper_from(text)
    assert (paper.width, paper.height) == pytest.approx(size)


def test_a_roll_and_one_page() -> None:
    assert (paper_from("roll:91cm").width, paper_from("roll:36in").width) == pytest.approx((910, 914.4))
    assert paper_from("one").kind == "one"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("A5", "paper is A4, A3"),
        ("x", "paper is A4"),
        ("210x297", "without a unit"),
        ("roll:", "not a length"),
        ("roll:91", "without a unit"),
        ("0mmx10mm", "has a width"),
        ("6m", "paper is A4"),
        ("10cmx6000mm", "up to 5.08 m"),
        ("-10cmx30cm", "paper is A4"),
    ],
)
def test_what_is_no_paper_is_refused(text: str, said: str) -> None:
    with pytest.raises(RequestError, match=said):
        paper_from(text)


def test_margins() -> None:
    assert margins_from([]) == Margins(10, 10, 12, 18)
    assert margins_from(["5mm"]) == Margins(5, 5, 5, 5)
    assert margins_from(["1cm", "foot=2cm", "sides=4mm"]) == Margins(4, 4, 10, 20)
    assert room_on(paper_from("A4"), margins_from([])) == (190, 267)
    for wrong, said in (("-1mm", "less than nothing"), ("side=1cm", "a sheet has left"), ("1", "without a unit")):
        with pytest.raises(RequestError, match=said):
            margins_from([wrong])
    with pytest.raises(RequestError, match="need 122 mm"):
        room_on(paper_from("10cmx30cm"), Margins())
