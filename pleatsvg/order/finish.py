"""To what lengths a piece that is drawn as flat cloth is to be finished."""

from __future__ import annotations

from dataclasses import dataclass

from pleatsvg.errors import RequestError
from pleatsvg.length import Length
from pleatsvg.order.given import Given, length_of
from pleatsvg.wording import message, option


@dataclass(frozen=True, slots=True)
class FinishTo:
    """What the seam at the top of the lines is to come to, and a balance line by its name with its length, or None; mm."""

    top: float
    balance: tuple[str, float] | None
    unit: str


def finish_from(given: Given) -> FinishTo | None:
    """Return what a piece is to be finished to, or None where it is drawn finished.

    Raises:
        RequestError: a length is none, or what belongs to it is missing.
    """
    top = given.length("finish_to")
    lines: list[tuple[str, Length]] = []
    for name, value in given.by_edge("balance"):
        if not name.strip():
            raise RequestError(
                option("balance"), f"is '{value}'", "no line is named", "Write it as 'hip=96cm', the name as drawn."
            )
        lines.append((name.strip(), length_of(value.strip() if isinstance(value, str) else value, "balance")))
    for what, length in [("finish_to", top), *[("balance", length) for _, length in lines]]:
        if length is not None and length.mm <= 0:
            raise RequestError(option(what), f"is {length}", "a seam has a length", "Give a length above 0.")
    if lines and top is None:
        raise RequestError(
            option("balance"),
            "is given for a piece that is drawn finished",
            "its balance lines are as long as they are drawn",
            message("Give {} with it, or leave it out.", option("finish_to", "72cm")),
        )
    if len(lines) > 1:
        raise RequestError(
            option("balance"),
            f"is given for {len(lines)} lines",
            "a pleat is straight: it can fit the top and one line more",
            "Keep the one that matters most, such as the hip.",
        )
    if top is None:
        return None
    return FinishTo(top.mm, (lines[0][0], lines[0][1].mm) if lines else None, top.unit)
