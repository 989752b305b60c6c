"""Lengths as a dressmaker writes them, in metric and in inches, with fractions.

The core of the program counts in millimetres; a `Length` is made once, at the edge, and remembers the unit it
was written in so that the answer can be given in the same one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from pleatsvg.errors import RequestError

MM_PER: dict[str, Fraction] = {"mm": Fraction(1), "cm": Fraction(10), "in": Fraction(254, 10)}
"""Millimetres in each unit. W3C CSS Values 3, absolute lengths: 1 in = 2.54 cm, 1 cm = 10 mm."""


_UNIT_WORDS = {"mm": "mm", "cm": "cm", "in": "in", "inch": "in", "inches": "in", '"': "in"}
"""By every way to write it; `_INCH_MARKS` stand for the double quote."""


_INCH_MARKS = ("\u2033", "\u201d", "\u201c", "\u201e", "''", "\u2019\u2019", "\u2032\u2032")
"""What an editor or a telephone makes of a double quote, and two single ones: each is inches behind a number."""


_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3"}


_SHAPE = re.compile(
    r"""^(?P<sign>[-+−]?)\s*
        (?:(?P<whole>\d{1,6})[\s-]+(?P<num>\d{1,4})\s*/\s*(?P<den>\d{1,4})
          |(?P<num2>\d{1,4})\s*/\s*(?P<den2>\d{1,4})
          |(?P<decimal>\d{1,6}(?:[.,]\d{1,9})?|[.,]\d{1,9}))
        \s*(?P<unit>[^\W\d]*|")$""",
    re.VERBOSE,
)


_LARGEST_MM = 100_000


_NOTHING = 1e-3
"""Millimetres. What is shorter is the noise of reckoning, and shown as 0."""


@dataclass(frozen=True, slots=True)
class Length:
    """A length in millimetres, and the unit ("mm", "cm" or "in") in which it was given."""

    mm: float
    unit: str = "mm"

    def __str__(self) -> str:
        return show(self.mm, self.unit)


NOTHING = Length(0.0)
"""No length at all."""


def parse_length(text: str, what: str = "the length") -> Length:
    """Read a length such as ``6cm``, ``60 mm``, ``2.5in``, ``1 1/2in``, ``1½"`` or ``5/8"``.

    Args:
        text: as typed. A decimal comma is read as a point; 0 needs no unit.
        what: the name of the option, for the message.

    Returns:
        The length, exact to the last bit of a float.

    Raises:
        RequestError: there is no number, no unit, an unknown unit, or it is beyond 100 m.
    """
    plain = text.strip()
    for sign, fraction in _VULGAR.items():
        plain = plain.replace(sign, " " + fraction)
    plain = plain.strip()
    for mark in _INCH_MARKS:
        plain = plain.removesuffix(mark) + '"' if plain.endswith(mark) else plain
    match = _SHAPE.match(plain)
    remedy = "Write it as 60mm, 6cm, 2.5in, '1 1/2in' or '5/8in'."
    if match is None:
        raise RequestError(what, f"is written '{text}'", "that is not a length", remedy)
    if not match["unit"] and match["decimal"] and not match["decimal"].strip("0.,"):
        return NOTHING  # it is as long in every unit
    if not match["unit"]:
        number = match[0].strip().lstrip("+-\u2212 ")
        raise RequestError(
            what,
            f"is written '{text}', without a unit",
            "millimetres, centimetres or inches could be meant",
            f"Write it as {number}mm, {number}cm or {number}in."
            if match["decimal"]
            else f"Write it as '{number}in', or in millimetres or centimetres.",
        )
    unit = _UNIT_WORDS.get(match["unit"].casefold())
    if unit is None:
        raise RequestError(what, f"is written '{text}'", f"'{match['unit']}' is not mm, cm or in", remedy)
    if match["decimal"]:
        value = Fraction(match["decimal"].replace(",", "."))
    else:
        den = int(match["den"] or match["den2"])
        if den == 0:
            raise RequestError(what, f"is written '{text}'", "nothing can be parted by 0", remedy)
        value = int(match["whole"] or 0) + Fraction(int(match["num"] or match["num2"]), den)
    if match["sign"] in ("-", "−"):
        value = -value
    mm = value * MM_PER[unit]
    if abs(mm) > _LARGEST_MM:
        raise RequestError(what, f"is {text}", "lengths here go up to 100 m", "Check the number and its unit.")
    return Length(float(mm), unit)


def show(mm: float, unit: str = "mm") -> str:
    """Return a length in plain words, rounded for the eye: 0.1 mm, 0.01 cm, or sixteenths of an inch.

    A length that is there and would be rounded to nothing is "less than" the finest step.

    Args:
        mm: the length in millimetres.
        unit: "mm", "cm" or "in".

    >>> show(38.1, "in"), show(173, "in"), show(60, "cm"), show(12.34, "mm"), show(0.03, "mm")
    ('1 1/2 in', '6 13/16 in', '6 cm', '12.3 mm', 'less than 0.1 mm')
    """
    if unit == "in":
        sixteenths = round(mm / 25.4 * 16)
        whole, part = divmod(abs(sixteenths), 16)
        share = Fraction(part, 16)
        said = " ".join(
            [str(whole)] * (whole > 0 or not part) + [f"{share.numerator}/{share.denominator}"] * (part > 0)
        )
        text, step = f"-{said}" if sixteenths < 0 else said, "1/16"
    else:
        text, step = (_trim(mm / 10, 2), "0.01") if unit == "cm" else (_trim(mm, 1), "0.1")
    return f"less than {step} {unit}" if text == "0" and mm > _NOTHING else f"{text} {unit}"


_SAID = re.compile(r"(?<![\w.,/])(?P<number>\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?) (?P<unit>mm|cm|in)\b(?! square)")


def told_in(words: str, unit: str) -> str:
    """Return a sentence with the lengths in it, written as `show` writes them, told in a unit.

    >>> told_in("Allowance included: 1.5 cm everywhere, hem 1 1/2 in.", "in")
    'Allowance included: 9/16 in everywhere, hem 1 1/2 in.'
    """

    def told(found: re.Match[str]) -> str:
        own = found["unit"]
        mm = float(sum(map(Fraction, found["number"].split()))) * float(MM_PER[own])
        return found[0] if own == unit else show(mm, unit)

    return _SAID.sub(told, words)


def as_shown(mm: float, unit: str) -> float:
    """Return the length in mm that `show` says, rounded for the eye."""
    if unit == "in":
        return round(mm / 25.4 * 16) / 16 * 25.4
    return round(mm / 10, 2) * 10 if unit == "cm" else round(mm, 1)


def finely(mm: float, unit: str) -> str:
    """Return a length in plain words, and behind them what rounding for the eye has hidden, where it did.

    >>> finely(51.1111111, "cm"), finely(25.4 * 21 / 26, "in"), finely(60, "cm")
    ('5.11 cm (exactly 5.11111 cm)', '13/16 in (exactly 0.80769 in)', '6 cm')
    """
    if abs(as_shown(mm, unit) - mm) < 1e-6:
        return show(mm, unit)
    return f"{show(mm, unit)} (exactly {_trim(mm / float(MM_PER[unit]), 5)} {unit})"


def typed(mm: float, unit: str) -> str:
    """Return a length as it is typed, to 1e-6 mm: "8cm", "5.1111111cm", "1.5in".

    Args:
        mm: the length in millimetres.
        unit: "mm", "cm" or "in".
    """
    return _trim(mm / float(MM_PER[unit]), 7) + unit


def show_far(mm: float) -> str:
    """Return a length beyond any drawing in plain words, without powers of ten: "250 m", "37 km", "more than 1000 km".

    Args:
        mm: the length in millimetres; infinity and NaN, as after an overflow, are more than 1000 km too.
    """
    if not mm <= 1e9:
        return "more than 1000 km"
    return f"{_trim(mm / 1e6, 1)} km" if mm >= 1e7 else f"{_trim(mm / 1000, 1)} m"


def _trim(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
