"""Lengths as a dressmaker writes them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from pleatsvg.errors import RequestError
from pleatsvg.length import Length, parse_length, show

INCH = Fraction(254, 10)  # CSS Values 3, section 6.2, and the international inch: 25.4 mm exactly

GOOD = {
    "6cm": (Fraction(60), "cm"),
    "60mm": (Fraction(60), "mm"),
    "60 mm": (Fraction(60), "mm"),
    "  60\tmm ": (Fraction(60), "mm"),
    "60\u00a0mm": (Fraction(60), "mm"),  # a blank that does not break, as word processors set it
    "6CM": (Fraction(60), "cm"),
    "2.5in": (Fraction(5, 2) * INCH, "in"),
    "2.5 Inches": (Fraction(5, 2) * INCH, "in"),
    "1inch": (INCH, "in"),
    "1 1/2in": (Fraction(3, 2) * INCH, "in"),
    "1-1/2in": (Fraction(3, 2) * INCH, "in"),
    "1 1/2 in": (Fraction(3, 2) * INCH, "in"),
    "1  1 / 2  in": (Fraction(3, 2) * INCH, "in"),
    '5/8"': (Fraction(5, 8) * INCH, "in"),
    "5/8″": (Fraction(5, 8) * INCH, "in"),
    "5/8”": (Fraction(5, 8) * INCH, "in"),
    '7"': (7 * INCH, "in"),
    '1½"': (Fraction(3, 2) * INCH, "in"),
    "1 ½in": (Fraction(3, 2) * INCH, "in"),
    "½in": (INCH / 2, "in"),
    "¼in": (INCH / 4, "in"),
    "¾in": (INCH * 3 / 4, "in"),
    "2⅛in": (INCH * Fraction(17, 8), "in"),
    "⅜in": (INCH * 3 / 8, "in"),
    "⅝in": (INCH * 5 / 8, "in"),
    "⅞in": (INCH * 7 / 8, "in"),
    "⅓cm": (Fraction(10, 3), "cm"),
    "⅔cm": (Fraction(20, 3), "cm"),
    "1/3cm": (Fraction(10, 3), "cm"),
    "3/2in": (INCH * 3 / 2, "in"),
    "1,5cm": (Fraction(15), "cm"),
    ",5cm": (Fraction(5), "cm"),
    ".5cm": (Fraction(5), "cm"),
    "0.1mm": (Fraction(1, 10), "mm"),
    "0mm": (Fraction(0), "mm"),
    "+6cm": (Fraction(60), "cm"),
    "-6cm": (Fraction(-60), "cm"),
    "- 6cm": (Fraction(-60), "cm"),
    "−6cm": (Fraction(-60), "cm"),  # the minus sign of typography
    "-1 1/2in": (Fraction(-3, 2) * INCH, "in"),
    "-½in": (-INCH / 2, "in"),
    "100000mm": (Fraction(100_000), "mm"),
    "4\u201d": (4 * INCH, "in"),  # what editors and telephones make of a double quote
    "4\u201c": (4 * INCH, "in"),
    "1 1/2\u2033": (3 * INCH / 2, "in"),
    "4''": (4 * INCH, "in"),
    "4\u2019\u2019": (4 * INCH, "in"),
}


@pytest.mark.parametrize("text", GOOD)
def test_a_length_is_exact_to_the_last_bit(text: str) -> None:
    mm, unit = GOOD[text]
    assert parse_length(text) == Length(float(mm), unit)


@pytest.mark.parametrize("text", ["0", " 0 ", "0.0", "0,00", "-0"])
def test_nothing_is_as_long_in_every_unit(text: str) -> None:
    assert parse_length(text, "--hem-intake").mm == 0


@pytest.mark.parametrize("text", ["6", "60", "2.5", "1 1/2", "5/8", "½", "1½", "0.1", "-6", "1,5", ".5"])
def test_a_bare_number_is_refused_with_the_reason(text: str) -> None:
    with pytest.raises(RequestError) as refused:
        parse_length(text, "--intake")
    words = str(refused.value)
    assert words.startswith(f"--intake is written '{text}', without a unit")
    assert "millimetres, centimetres or inches" in words
    assert f"{text.lstrip('-')}in" in words or "\u00bd" in text  # the number itself, with a unit
    assert refused.value.exit_code == 2


@pytest.mark.parametrize("text", ["6m", "6 ft", "6px", "6pt", "6em", "6cms", "6'", "6millimetres", "6µm"])
def test_an_unknown_unit_is_named(text: str) -> None:
    with pytest.raises(RequestError, match=r"is not mm, cm or in|that is not a length") as refused:
        parse_length(text, "--depth")
    assert str(refused.value).startswith("--depth is written")


JUNK = [
    "",
    " ",
    "cm",
    '"',
    "-",
    "six cm",
    "6 cm 2",
    "6cm6",
    "6 6cm",
    "--6cm",
    "6-cm",
    "6..5cm",
    "6,5,5cm",
    "1.000,5cm",
    "1e3mm",
    "nanmm",
    "infcm",
    "0x10mm",
    "1/2/3in",
    "1/-2in",
    "1 1.5/2in",
    "1.5 1/2in",
    "½½in",
    "6cm\n7cm",
    "6;cm",
    "1_0cm",
    "5'6\"",
]


@pytest.mark.parametrize("text", JUNK)
def test_junk_is_refused(text: str) -> None:
    with pytest.raises(RequestError) as refused:
        parse_length(text)
    assert refused.value.exit_code == 2
    shown = "".join(" " if ch.isspace() else ch for ch in text)  # a message stays on one line
    assert f"'{shown}'" in str(refused.value)


@pytest.mark.parametrize("text", ["1/0in", "1 1/0in", "0/0cm"])
def test_a_fraction_over_nothing_is_refused(text: str) -> None:
    with pytest.raises(RequestError, match="nothing can be parted by 0"):
        parse_length(text)


@pytest.mark.parametrize("text", ["100001mm", "10001cm", "4000in", "999999cm", "-100001mm"])
def test_a_hundred_metres_is_the_limit(text: str) -> None:
    with pytest.raises(RequestError, match="100 m"):
        parse_length(text)


SHOWN = {
    (60.0, "mm"): "60 mm",
    (60.04, "mm"): "60 mm",
    (60.06, "mm"): "60.1 mm",
    (12.34, "mm"): "12.3 mm",
    (0.0, "mm"): "0 mm",
    (-0.01, "mm"): "0 mm",
    (-12.5, "mm"): "-12.5 mm",
    (60.0, "cm"): "6 cm",
    (12.34, "cm"): "1.23 cm",
    (100.0, "cm"): "10 cm",
    (-5.0, "cm"): "-0.5 cm",
    (25.4, "in"): "1 in",
    (38.1, "in"): "1 1/2 in",
    (15.875, "in"): "5/8 in",
    (1.5875, "in"): "1/16 in",
    (0.0, "in"): "0 in",
    (-38.1, "in"): "-1 1/2 in",
    (-3.175, "in"): "-1/8 in",
    (254.0, "in"): "10 in",
    (25.4 * 1.28, "in"): "1 1/4 in",  # sixteenths are what a tape has
    (173.0, "in"): "6 13/16 in",
    (25.4 * 1.99, "in"): "2 in",
    (0.3, "in"): "less than 1/16 in",
    (0.03, "mm"): "less than 0.1 mm",
    (0.03, "cm"): "less than 0.01 cm",
    (1e-9, "mm"): "0 mm",
    (25.4 * 1.251, "in"): "1 1/4 in",
}


@pytest.mark.parametrize(("mm", "unit"), SHOWN)
def test_a_length_is_shown_in_plain_words(mm: float, unit: str) -> None:
    assert show(mm, unit) == SHOWN[mm, unit]
    assert str(Length(mm, unit)) == SHOWN[mm, unit]


@pytest.mark.parametrize(("unit", "within"), [("mm", 0.05), ("cm", 0.05), ("in", 25.4 / 32)])
def test_what_is_shown_can_be_read_again(unit: str, within: float) -> None:
    """Within the rounding for the eye: half of 0.1 mm, of 0.01 cm, of 1/16 in."""
    for k in range(-300, 3000, 7):
        mm = k * 0.3137
        if 0 < mm < within:
            assert show(mm, unit).startswith("less than ")
            continue
        again = parse_length(show(mm, unit))
        assert abs(again.mm - mm) <= within + 1e-9
        assert again.unit == unit
