"""A companion as it is asked for: what is sewn to a pleated edge, by which edge of its own, and from where on."""

from __future__ import annotations

import re
from dataclasses import dataclass

from pleatsvg.errors import RequestError
from pleatsvg.length import Length, parse_length
from pleatsvg.tolerance import MATCH
from pleatsvg.wording import Words, message, option

COMPANION_OPTIONS = (
    "allowance",
    "allowance_drawn",
    "dart_lies",
    "notch",
    "fold_edge",
    "open_fold",
    "pair",
    "cut",
    "cloth",
)
"""The options of a piece that play a part in a companion; it has no pleats."""


@dataclass(frozen=True, slots=True)
class CompanionOrder:
    """A companion that is asked for, checked as far as it can be without a drawing.

    Attributes:
        name: what it is called.
        edge: its edge that is sewn to the pleated one.
        start: how far from the end where the sewing begins, or the name of a mark drawn there; None for the end itself.
        beyond: how far its edge runs on beyond the last pleated piece, in mm.
        tolerance: by how much the lengths may differ, in mm.
    """

    name: str
    edge: str
    start: Length | str | None = None
    beyond: float = 0.0
    tolerance: float = MATCH


_EDGE = re.compile(r"(?P<edge>.+?)(?:\s+from\s+(?P<start>.+?))?(?:\s+beyond\s+(?P<beyond>.+?))?", re.DOTALL)


def companion_from(text: str) -> tuple[CompanionOrder, str]:
    """Return the companion that "NAME=DRAWING:EDGE" names, and its drawing's name.

    Behind the edge may stand where the sewing begins and how far the edge runs on beyond it: "hem from 3cm beyond 2cm".

    Raises:
        RequestError: a part of it is missing, or a length is none.
    """
    name, equals, rest = text.partition("=")
    drawing, colon, behind = rest.rpartition(":")
    found = _EDGE.fullmatch(behind.strip())
    if not (equals and colon and name.strip() and drawing.strip() and found):
        raise RequestError(
            option("companion"),
            f"is '{text}'",
            "it gives what is sewn on a name, and names its drawing and the edge that is sewn to the pleats",
            message(
                "Write it as {}, or, where it runs on for a fastening, {}.",
                option("companion", "waistband=waistband.svg:hem"),
                option("companion", "waistband=waistband.svg:hem from 3cm"),
            ),
        )
    called = " ".join(name.split())
    start = start_from(found["start"], option("companion")) if found["start"] else None
    beyond = length_beyond(found["beyond"], option("companion")) if found["beyond"] else 0.0
    return CompanionOrder(called, " ".join(found["edge"].split()), start, beyond), drawing.strip()


def start_from(text: str, what: Words | str) -> Length | str:
    """Return where the sewing begins: a length from the end of the edge, or else the name of a mark.

    Raises:
        RequestError: it is a length without a unit, or one below 0.
    """
    plain = " ".join(text.split())
    if not re.match(r"[-+−]?\s*[\d.,½¼¾⅛⅜⅝⅞⅓⅔]", plain):
        return plain
    return _not_below(parse_length(plain, what), what)


def length_beyond(text: str, what: Words | str) -> float:
    """Return in mm how far an edge runs on; cf. `start_from`."""
    return _not_below(parse_length(text, what), what).mm


def _not_below(length: Length, what: Words | str) -> Length:
    if length.mm < 0:
        raise RequestError(what, f"says {length}", "it is measured along the edge", "Give a length of 0 or more.")
    return length
