"""What is asked of printed pages, from words to values."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from pleatsvg.errors import RequestError, cut_short
from pleatsvg.length import parse_length, show
from pleatsvg.order.options import OPTIONS, as_listed
from pleatsvg.paper.body import Asked
from pleatsvg.paper.sizes import Margins, Paper, margins_from, paper_from, room_on
from pleatsvg.wording import message, option


@dataclass(frozen=True)
class Order:
    """What is asked of the pages.

    Attributes:
        paper, margins: what is printed on.
        overlap: mm.
        turn: degrees clockwise, or None for what takes the fewest pages.
        together: whether results share pages.
        asked: how each is printed.
        form: "pdf" or "svg".
    """

    paper: Paper
    margins: Margins = field(default_factory=Margins)
    overlap: float = 10.0
    turn: float | None = None
    together: bool = False
    asked: Asked = field(default_factory=Asked)
    form: str = "pdf"


def order_of(
    *,
    paper: str = "A4",
    margin: str | Sequence[str] = (),
    overlap: str = "10mm",
    turn: str | float | None = None,
    together: bool = False,
    scale: str = "1:1",
    mirror: bool = False,
    open_fold: bool = False,
    without: str | Sequence[str] = (),
    ink: str = "colour",
    format: str = "pdf",
) -> Order:
    """Return what is asked of the pages, checked; cf. the options of `tile`.

    Raises:
        RequestError: a word or a length is wrong, or they do not go together.
    """
    scale, ink, format = _word("scale", scale), _word("ink", ink), _word("format", format)
    sheet = paper_from(paper)
    margins = margins_from([margin] if isinstance(margin, str) else list(margin))
    lap = parse_length(overlap, option("overlap"))
    if sheet.kind != "one":
        wide, high = room_on(sheet, margins)
        most = min(wide, high) / 4
        if not 0 <= lap.mm <= most:
            raise RequestError(
                option("overlap"),
                f"is {overlap}",
                f"pages may run on under one another by up to {show(most, lap.unit)}, a quarter of the page",
                message("Give {}, or {}.", option("overlap", "10mm"), option("overlap", "0mm")),
            )
    asked = Asked(
        scale=scale,
        mirror=mirror,
        open_fold=open_fold,
        without=(without,) if isinstance(without, str) else tuple(without),
        black=ink == "black",
    )
    return Order(sheet, margins, lap.mm, _degrees(turn), together, asked, format)


def _word(name: str, word: str) -> str:
    words = list(OPTIONS[name].words)
    meant = as_listed(word, words)
    if meant is None:
        raise RequestError(
            option(name), f"is '{cut_short(str(word))}'", f"it is one of {', '.join(words)}", "Give one of these."
        )
    return meant


def _degrees(turn: str | float | None) -> float | None:
    if turn is None:
        return None
    found = re.fullmatch(r"\s*([-+]?\d{1,4}(?:[.,]\d{1,6})?)\s*(?:°|deg|degrees)?\s*", str(turn))
    value = float(found[1].replace(",", ".")) if found else math.nan
    if not abs(value) <= 360:
        raise RequestError(
            option("turn"),
            f"is '{cut_short(str(turn))}'",
            "it is a number of degrees, up to 360",
            message("Give {} for as it is drawn, or {}.", option("turn", 0), option("turn", 90)),
        )
    return value % 360
