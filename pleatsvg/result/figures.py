"""The figures of a pleat, as they stand in a table for the person who marks and folds: what it is, where it lies, what it
takes up. All in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pleatsvg.tolerance import ON_LINE


@dataclass(frozen=True, slots=True)
class Ends:
    """A figure at the two ends of a pleat's line; None where the pleat does not reach that seam.

    `hip` is the same at the hip level of a fitted pleat, and None of all others.
    """

    top: float | None
    hem: float | None
    hip: float | None = None


@dataclass(frozen=True, slots=True)
class LineFigures:
    """A line of a pleat on the flat piece.

    Attributes:
        role: its class: "placement-line", "fold-line", "inner-fold-line" or "stitch-line".
        folds: its place in the pleat's fold list; of a placement line, those of the folds that are brought onto it.
        from_edge: along the flat seam, from the edge of the piece.
    """

    role: str
    folds: tuple[int, ...]
    from_edge: Ends


@dataclass(frozen=True, slots=True)
class PleatFigures:
    """A pleat of a result.

    Attributes:
        pass_: the pass that it belongs to, from 1.
        number: of the pleat.
        kind, lap: as the result states them.
        stack: how many layers of it lie on one another.
        intake: the flat width that it takes up; on a half piece, that of the half.
        from_edge: where its first outer fold finishes, along the finished seam from the edge of the piece; on a half
            piece from the fold edge where that comes first. Darts are sewn up.
        face: the width between its first and its last outer fold.
        spacing: the visible width from its last outer fold to the first of the next pleat; of the last pleat, to the
            other edge of the piece.
        lines: on the flat piece, in the order in which the cloth meets them.
        point: "top" or "hem" where that end lies at the point of a closed dart, and so on no seam; else "".
    """

    pass_: int
    number: int
    kind: str
    lap: str
    stack: int
    intake: Ends
    from_edge: Ends
    face: Ends
    spacing: Ends
    lines: tuple[LineFigures, ...]
    point: str = ""


def intake_at(onto: complex, folds: Sequence[complex]) -> float:
    """Return what a pleat takes up at one end of a line that folds are brought onto.

    It is the sum of the straight steps, on either side, from that line to the nearest fold and from fold to fold.

    Args:
        onto: the end of the line.
        folds: the same end of every fold that is brought onto it.
    """
    if len(folds) == 1:
        return abs(folds[0] - onto)
    steps = [z - onto for z in folds]
    first = next((step for step in steps if abs(step) > ON_LINE), 1 + 0j)
    taken = 0.0
    for side in (1, -1):
        own = sorted([step for step in steps if side * (step / first).real > 0], key=abs)
        taken += sum(abs(b - a) for a, b in zip([0j, *own], own, strict=False))
    return taken
