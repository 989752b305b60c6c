"""Where lines that are not drawn are to be placed, as it was asked."""

from __future__ import annotations

from dataclasses import dataclass

from pleatsvg.errors import RequestError
from pleatsvg.length import Length
from pleatsvg.order.given import Given
from pleatsvg.wording import message, option

MOST_LINES = 2000
"""No piece has room for more; a number beyond it is a slip of the keys."""


@dataclass(frozen=True, slots=True)
class Placing:
    """Lines to place along a seam edge without drawing them.

    Attributes:
        at: distances along the edge from its left (or upper) end; with `spacing`, where its first line lies.
        count: so many lines at equal spaces; or None.
        run: "square" to the edge, along the "grain", "level" (square to the grain; on the page where none is drawn), or
            "fan" (to the same share of the edge opposite).
        along: the edge's name, or None for the top seam.
        gap: from each line to the next, in mm, for a run of `count` lines that begins at each line drawn or placed; the
            lines lie to the right of it, or below; None where `count` shares out an edge.
        ends: what is left at both ends of the edge: "half" a space, a "full" one, or a length.
        spacing: from each line to the next along the edge; `count` of them, or as many as fit; None where `count` shares it
            out.
    """

    at: tuple[Length, ...] = ()
    count: int | None = None
    run: str = "square"
    along: str | None = None
    gap: float | None = None
    ends: Length | str = "half"
    spacing: Length | None = None

    @property
    def shares_out(self) -> bool:
        """Whether its lines share out a seam edge, and are not named or beside another line."""
        return self.gap is None and (self.count is not None or self.spacing is not None)


def placing_from(given: Given, counts: bool = False) -> Placing | None:
    """Return where lines are to be placed, or None where none are.

    Args:
        given: options.
        counts: how many there are is found out later: where nothing says it, the placing has neither count nor spacing.

    Raises:
        RequestError: what is asked for contradicts itself, or is no length or number.
    """
    spots, count, gap = given.lengths("at"), given.number("count"), given.length("gap")
    ends, spacing = given.length_or_word("ends"), given.length("spacing")
    run, along = given.word("run") or "square", given.text("along")
    if gap is not None:
        _refuse_gap(gap, count, ends, spacing)
    _refuse_spaces(ends, spacing, count, spots, counts)
    if count is not None and gap is None and spacing is None and spots:
        raise RequestError(
            message("{} and {}", option("at"), option("count")),
            "are both given",
            "lines are placed in one way",
            message("Keep one of the two; or give {} as well, and the lines begin there.", option("spacing")),
        )
    if count is not None and not 1 <= count <= MOST_LINES:
        raise RequestError(
            option("count"),
            f"is {count}",
            f"from 1 to {MOST_LINES} lines can be placed",
            f"Give how many {'pleats' if gap is None else 'tucks'} you want.",
        )
    if not spots and count is None and spacing is None and not counts:
        if along is not None or run != "square":
            raise RequestError(
                message("{} and {}", option("along"), option("run")),
                "place lines, but there are none to place",
                "",
                message("Give {} or {} with them.", option("at"), option("count")),
            )
        return None
    return Placing(spots, count, run, along, None if gap is None else gap.mm, ends or "half", spacing)


def _refuse_gap(gap: Length, count: int | None, ends: Length | str | None, spacing: Length | None) -> None:
    if gap.mm <= 0:
        raise RequestError(option("gap"), f"is {gap}", "lines lie apart", "Give a length above 0.")
    for name, value in (("spacing", spacing), ("ends", ends)):
        if value is not None:
            raise RequestError(
                message("{} and {}", option(name), option("gap")),
                "are both given",
                message("a run at a {} begins at a line and ends where it ends", option("gap")),
                message("Keep one of the two; {} shares out a whole seam edge.", option("spacing")),
            )
    if count is None:
        raise RequestError(
            option("gap"),
            message("is given without {}", option("count")),
            "a run has so many lines",
            message("Give {} with it.", option("count")),
        )


def _refuse_spaces(
    ends: Length | str | None, spacing: Length | None, count: int | None, spots: tuple[Length, ...], counts: bool
) -> None:
    if isinstance(ends, Length) and ends.mm < 0:
        raise RequestError(
            option("ends"), f"is {ends}", "it is left at both ends of the seam", "Give a length above 0."
        )
    if spacing is not None and spacing.mm <= 0:
        raise RequestError(option("spacing"), f"is {spacing}", "lines lie apart", "Give a length above 0.")
    if ends is not None and count is None and spacing is None and not counts:
        raise RequestError(
            option("ends"),
            "is given, but there are no lines to share out",
            "it says what is left at both ends of the seam",
            message("Give {} or {} with it.", option("count"), option("spacing")),
        )
    if spacing is not None and len(spots) > 1:
        raise RequestError(
            option("at"),
            f"is given {len(spots)} times",
            message("with {} it says where the first line lies", option("spacing")),
            message("Give it once, or leave out {}.", option("spacing")),
        )
    if ends is not None and spacing is not None and count is not None:
        raise RequestError(
            message("{}, {} and {}", option("ends"), option("spacing"), option("count")),
            "are all given",
            "two of them say how long the seam is to be",
            "Keep two of the three.",
        )
