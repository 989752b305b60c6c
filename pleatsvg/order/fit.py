"""What a fitted piece comes to at its top, and from where its pleats are shaped."""

from __future__ import annotations

from dataclasses import dataclass

from pleatsvg.errors import RequestError
from pleatsvg.order.given import Given
from pleatsvg.order.options import as_listed
from pleatsvg.result.shaped import BEND, level_of_line
from pleatsvg.wording import message, option

DART_WAYS = ("nearest", "all")


@dataclass(frozen=True, slots=True)
class FitTo:
    """What is asked of a fitted piece.

    Attributes:
        waist: the length of the folded top, mm; of a half piece, of the half. None where it is that with the darts sewn up.
        hip: the name of the balance line from which its pleats are shaped upwards, or None.
        down: from the top to where they are shaped, mm; None where a line or the depth of darts says it.
        unit: that lengths are shown in; "" where none says it.
        darts: that are closed into the pleats: the name of each, or "" for those in the top, and "nearest" or "all".
        curved: the pleats are stitched along curves: they bend half-way up from where the stitching begins.

    What the levels are called follows from it: `foot`, down to which the pleats are stitched, and `level`, at which their
    lines bend and the intake holds; the same but for curves.
    """

    waist: float | None
    hip: str | None
    down: float | None
    unit: str
    darts: tuple[tuple[str, str], ...] = ()
    curved: bool = False

    @property
    def foot(self) -> str:
        """What the level is called from which the pleats are shaped upwards, a noun without its article."""
        return level_of_line(self.hip)

    @property
    def level(self) -> str:
        """What the level is called at which their lines bend, likewise."""
        return BEND if self.curved else self.foot


def fit_from(given: Given) -> FitTo | None:
    """Return what a piece is to be fitted to, or None where its pleats run on straight.

    Raises:
        RequestError: a length is none, or what belongs to it is missing or there twice.
    """
    waist, down, hip = given.length("fit_waist"), given.length("fit_length"), given.text("hip")
    darts, curved = _darts(given), given.word("shaping") == "curved"
    if waist is None and not darts:
        for name in ("hip", "fit_length", "shaping"):
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
    if (hip is None) == (down is None) and not (darts and hip is None):
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
    said = waist or down
    return FitTo(
        waist=None if waist is None else waist.mm,
        hip=hip,
        down=None if down is None else down.mm,
        unit=said.unit if said is not None else "",
        darts=darts,
        curved=curved,
    )


def _darts(given: Given) -> tuple[tuple[str, str], ...]:
    # "nearest", "all", or either for one dart: "dart 2=all".
    found: list[tuple[str, str]] = []
    for text in given.texts("darts"):
        name, equals, way = text.rpartition("=")
        plain = as_listed(way.strip(), DART_WAYS)
        if plain is None or (equals and not name.strip()):
            raise RequestError(
                option("darts", text),
                "does not say who shares the dart",
                "nearest: the lines either side of it, by how near they are; all: every line evenly",
                message("Give {}, {}, or {}.", *[option("darts", t) for t in (*DART_WAYS, "dart 1=nearest")]),
            )
        found.append((name.strip(), plain))
    if sum(1 for name, _ in found if not name) > 1:
        raise RequestError(
            option("darts"),
            "is given twice for the darts in the top",
            "each dart is shared in one way",
            message("Keep one; or name the darts, as in {}.", option("darts", "dart 1=nearest")),
        )
    return tuple(found)
