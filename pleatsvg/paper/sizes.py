"""Sizes of paper, in mm, and the margins that are kept free on it.

ISO 216:2007, table 1, trimmed sizes of the A series; ANSI/ASME Y14.1 for A (letter) and B (tabloid) in inches; legal is
8 1/2 x 14 in. A sheet in the printer lies upright: its width is the shorter side, but for a size that is given in figures.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from pleatsvg.errors import RequestError, cut_short
from pleatsvg.length import parse_length, show
from pleatsvg.wording import message, option

_INCH = 25.4

NAMED: dict[str, tuple[float, float]] = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "A2": (420.0, 594.0),
    "A1": (594.0, 841.0),
    "A0": (841.0, 1189.0),
    "letter": (8.5 * _INCH, 11 * _INCH),
    "legal": (8.5 * _INCH, 14 * _INCH),
    "tabloid": (11 * _INCH, 17 * _INCH),
}
"""Width and height in mm."""

LONGEST_PAGE = 5080.0
"""mm: 200 in, the largest page of a PDF that every reader takes (ISO 32000-1, annex C.2)."""

LEAST_ROOM = (122.0, 110.0)
"""Width and height in mm between the margins: what the bars and the square of the print check need."""

MARGINS = {"left": 10.0, "right": 10.0, "top": 12.0, "foot": 18.0}
"""mm. What printers leave bare is under 10 at the sides, 12 at the top and 18 at the foot, where they hold the sheet."""

OVERLAP = 10.0
"""mm by which a page runs on under the next one, to the right and below."""


@dataclass(frozen=True, slots=True)
class Paper:
    """What is printed on.

    Attributes:
        name: as it is called in words.
        width, height: of a sheet, mm; a roll's height is as long as needed, and 0 here; both are 0 for a single page of
            the piece's own size.
        kind: "sheet", "roll" or "one".
    """

    name: str
    width: float
    height: float
    kind: str = "sheet"


@dataclass(frozen=True, slots=True)
class Margins:
    """Free edges of a sheet, mm."""

    left: float = MARGINS["left"]
    right: float = MARGINS["right"]
    top: float = MARGINS["top"]
    foot: float = MARGINS["foot"]


def paper_from(text: str) -> Paper:
    """Return the paper that a person asks for: "A3", "letter", "210mmx297mm", "roll:91cm" or "one".

    Raises:
        RequestError: it is none of these, or too large for a page.
    """
    plain = text.strip()
    for name, (width, height) in NAMED.items():
        if plain.casefold() == name.casefold():
            return Paper(name, width, height)
    if plain.casefold() == "one":
        return Paper("one page of its own size", 0.0, 0.0, "one")
    what = option("paper")
    if plain.casefold().startswith("roll:"):
        wide = parse_length(plain[5:], what)
        _refuse_size(wide.mm, what, text)
        return Paper(f"a roll {show(wide.mm, wide.unit)} wide", wide.mm, 0.0, "roll")
    parted = re.fullmatch(r"(.*?[^x×\s].*?)\s*[x×]\s*(.+)", plain, re.IGNORECASE)
    if parted is None or not re.match(r"[\d.,½¼¾⅛⅜⅝⅞]", parted[1]):
        raise RequestError(
            what,
            f"is '{cut_short(text)}'",
            f"paper is {', '.join(NAMED)}, a size such as 210mmx297mm, roll:91cm, or one",
            message("Give one of these, such as {}.", option("paper", "A4")),
        )
    across, down = parted[1].strip(), parted[2].strip()
    unit = re.search(r"[^\W\d]+$|[\"″”]$", down)
    if unit is not None and re.fullmatch(r"[\d.,/ ½¼¾⅛⅜⅝⅞]+", across):
        across += unit[0]
    sides = (parse_length(across, what), parse_length(down, what))
    for side in sides:
        _refuse_size(side.mm, what, text)
    return Paper(" x ".join([show(side.mm, side.unit) for side in sides]), sides[0].mm, sides[1].mm)


def _refuse_size(side: float, what: str, text: str) -> None:
    if side <= 0:
        raise RequestError(what, f"is '{cut_short(text)}'", "paper has a width", "Give the size of the sheet.")
    if side > LONGEST_PAGE:
        raise RequestError(
            what,
            f"is '{cut_short(text)}'",
            f"a page goes up to {LONGEST_PAGE / 1000:.2f} m",
            "Give the size of the sheet that is in the printer.",
        )


def margins_from(texts: list[str] | tuple[str, ...]) -> Margins:
    """Return margins as asked for: "10mm" for all sides, "foot=20mm" for one.

    Raises:
        RequestError: a side is unknown, or a length wrong.
    """
    sides = dict(MARGINS)
    for text in texts:
        name, equals, length = text.partition("=")
        given = parse_length(length if equals else text, option("margin"))
        if given.mm < 0:
            raise RequestError(
                option("margin"), f"is {text}", "a margin cannot be less than nothing", "Give 0mm or more."
            )
        if not equals:
            sides = dict.fromkeys(sides, given.mm)
            continue
        plain = name.strip().casefold()
        named = {"sides": ("left", "right"), "bottom": ("foot",)}.get(plain, (plain,))
        if any(side not in sides for side in named):
            raise RequestError(
                option("margin"),
                f"names '{cut_short(name.strip())}'",
                "a sheet has left, right, top and foot, and sides for left and right",
                message("Write {} or {}.", option("margin", "10mm"), option("margin", "foot=20mm")),
            )
        sides |= dict.fromkeys(named, given.mm)
    return Margins(**sides)


def room_on(paper: Paper, margins: Margins) -> tuple[float, float]:
    """Return the width and height in mm between the margins of a sheet.

    Raises:
        RequestError: they leave too little room for the print check.
    """
    wide, high = paper.width - margins.left - margins.right, paper.height - margins.top - margins.foot
    if paper.kind == "roll":
        high = LONGEST_PAGE
    for side, room, least in (("wide", wide, LEAST_ROOM[0]), ("high", high, LEAST_ROOM[1])):
        if room < least:
            raise RequestError(
                option("paper"),
                f"({paper.name}) is {show(max(room, 0.0))} {side} between its margins",
                f"the bars and the square by which a print is checked need {show(least)}",
                message("Take larger paper, or narrower margins with {}.", option("margin")),
            )
    return wide, high
