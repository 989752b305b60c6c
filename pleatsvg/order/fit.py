"""What a fitted piece comes to at its top, and from where its pleats are shaped."""

from __future__ import annotations

from dataclasses import dataclass

from pleatsvg.errors import RequestError
from pleatsvg.order.given import Given
from pleatsvg.wording import message, option


@dataclass(frozen=True, slots=True)
class FitTo:
    """What is asked of a fitted piece.

    Attributes:
        waist: the length of the folded top, mm; of a half piece, of the half.
        hip: the name of the balance line from which its pleats are shaped upwards, or None.
        down: from the top to where they are shaped, mm; where no line is named.
        unit: that lengths are shown in.
    """

    waist: float
    hip: str | None
    down: float
    unit: str


def fit_from(given: Given) -> FitTo | None:
    """Return what a piece is to be fitted to, or None where its pleats run on straight.

    Raises:
        RequestError: a length is none, or what belongs to it is missing or there twice.
    """
    waist, down, hip = given.length("fit_waist"), given.length("fit_length"), given.text("hip")
    if waist is None:
        for name in ("hip", "fit_length"):
            if given.has(name):
                raise RequestError(
                    option(name),
                    "is given for pleats that are not fitted",
                    "it says how pleats are shaped between hip and waist",
                    message("Give {} with it, or leave it out.", option("fit_waist", "35cm")),
                )
        return None
    for name, length in (("fit_waist", waist), ("fit_length", down)):
        if length is not None and length.mm <= 0:
            raise RequestError(option(name), f"is {length}", "it is a length on the body", "Give a length above 0.")
    if (hip is None) == (down is None):
        raise RequestError(
            message("{} and {}", option("hip"), option("fit_length")),
            "are both given" if hip is not None else "are both missing",
            "the one or the other says from where the pleats are shaped",
            message(
                "Keep one of the two."
                if hip is not None
                else "Give {} with the name of the balance line drawn at the hip, or {}, so far down from the top.",
                *(() if hip is not None else (option("hip", "hip"), option("fit_length", "20cm"))),
            ),
        )
    return FitTo(
        waist=waist.mm,
        hip=hip,
        down=down.mm if down is not None else 0.0,
        unit=waist.unit,
    )
