"""Where lines that are not drawn are to be placed, as it was asked."""

from __future__ import annotations

from dataclasses import dataclass

from pleatsvg.length import Length


@dataclass(frozen=True, slots=True)
class Placing:
    """Lines to place along a seam edge without drawing them.

    Attributes:
        at: distances along the edge from its left (or upper) end.
        count: so many lines at equal spaces, with half a space at both ends; or None.
        run: "square" to the edge, along the "grain", "level" (square to the grain; on the page where none is drawn), or
            "fan" (to the same share of the edge opposite).
        along: the edge's name, or None for the top seam.
        gap: from each line to the next, in mm, for a run of `count` lines that begins at each line drawn or placed; the
            lines lie to the right of it, or below; None where `count` shares out an edge.
    """

    at: tuple[Length, ...] = ()
    count: int | None = None
    run: str = "square"
    along: str | None = None
    gap: float | None = None
