"""What is told of a drawing that is a result already: how many pleats it has, and whether they fold true."""

from __future__ import annotations

from typing import NamedTuple

from pleatsvg.errors import PleatError
from pleatsvg.piece.finished import FinishedPiece


class Already(NamedTuple):
    """The pleats that a piece has: how many, in how many passes, and why they do not fold true, or None where they do."""

    pleats: int
    passes: int
    why: str | None


def already_pleated(pieces: list[FinishedPiece]) -> list[Already | None]:
    """Return for each piece what pleats it has; None for one that is as it was drawn.

    Where the drawing is no result of ours, nothing is folded and nothing is imported for it. The parts of one result are
    folded together, so that each of them has the pleats of all.
    """
    if all(piece.earlier is None for piece in pieces):
        return [None] * len(pieces)
    from pleatsvg.drawing.read_result import read_result
    from pleatsvg.proof.prove import prove

    held: dict[str, str | None] = {}
    whole: str | None = None
    try:
        for piece in read_result(pieces[0].file).pieces:
            if piece.by_role("seam-line"):
                proof = prove(piece)
                held[piece.name] = None if proof.holds else proof.failures[0]
    except PleatError as error:
        whole = f"{error.element[:1].lower()}{error.element[1:]} {error.measured}"
    found: list[Already | None] = []
    for one in pieces:
        if one.earlier is None:
            found.append(None)
            continue
        why = next(
            (held[name] for name in held if one.name == name or one.name.startswith(f"{name} ")),
            next((fault for fault in held.values() if fault is not None), None),
        )
        found.append(Already(one.earlier.pleats, one.earlier.passes, whole or why))
    return found
