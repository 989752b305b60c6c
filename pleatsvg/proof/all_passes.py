"""A piece of several passes is folded back through all of them, from its own lines: a result before it is pleated once more,
whoever saved it last, and what has become of it then.
"""

from __future__ import annotations

from pleatsvg.errors import DrawingError, ProofError, RequestError
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.proof.figures import Proof
from pleatsvg.proof.prove import prove
from pleatsvg.result.classes import PLEAT_LINES
from pleatsvg.result.earlier import Earlier
from pleatsvg.result.pattern_lines import PatternLine, ResultPiece, Tag
from pleatsvg.tolerance import FOLD_BACK
from pleatsvg.wording import command, message, option

_COUNTS = PLEAT_LINES | {"finished-line", "free-edge"}
"""Cutting lines are proven as each pass is made; the next takes them as drawn."""


def refuse_fitted(piece: FinishedPiece) -> None:
    """Refuse a piece whose earlier pleats are fitted.

    Args:
        piece: as read from a result.

    Raises:
        RequestError: they are.
    """
    assert piece.earlier is not None
    if any(line.tag.zone for line in (*piece.earlier.lines, *piece.earlier.kept)):
        raise RequestError(
            f"'{piece.name}'",
            "is a fitted result, whose folds bend",
            "further pleats run across straight folds",
            message("Make all its pleats at once from the drawing, or leave out {} there.", option("fit_waist")),
        )


def refuse_untrue(piece: FinishedPiece) -> None:
    """Refuse a piece whose earlier pleats do not fold back onto what they were to become.

    Args:
        piece: as read from a result.

    Raises:
        ProofError: an earlier pass misses by more than 0.01 mm, a line of it is gone, or its lap is not as it says.
        DrawingError: its lines cannot be folded along.
    """
    assert piece.earlier is not None
    proof = _proof(piece, piece.earlier)
    if not proof.holds:
        raise ProofError(
            f"The earlier pleats of '{piece.name}'",
            f"do not fold back true any more: {proof.failures[0]}",
            "further pleats are laid on a result that holds",
            message(
                "Undo what was changed in it since, or make the first pass again; {} tells more. A "
                "result shows the right side of the cloth: {} is for one that was mirrored.",
                command("fold"),
                option("shows", "wrong"),
            ),
        )


def refuse_unproven(piece: FinishedPiece) -> None:
    """Refuse what several passes have made of a piece unless it folds back through all of them.

    Args:
        piece: as it would be read from the result.

    Raises:
        ProofError: a pass misses by more than 0.01 mm, or its lines cannot be folded along.
    """
    assert piece.earlier is not None
    try:
        proof = _proof(piece, piece.earlier)
        why = "" if proof.holds else proof.failures[0]
    except DrawingError as error:
        why = f"{error.element[:1].lower()}{error.element[1:]} {error.measured}"
    if why:
        raise ProofError(
            f"The flat piece '{piece.name}'",
            f"does not fold back through all its passes: {why}",
            f"the limit is {FOLD_BACK} mm",
            "Nothing was written. Lay the new lines clear of the earlier folds, or across them squarely.",
        )


def _proof(piece: FinishedPiece, earlier: Earlier) -> Proof:
    lines = [PatternLine(Tag("seam-line", 1), (piece.outline.segments,))]
    if piece.fold_edge is not None:
        lines.append(PatternLine(Tag("fold-edge", 1), (((piece.fold_edge.start, piece.fold_edge.end),),)))
    lines += [line for line in (*earlier.lines, *earlier.kept) if line.role in _COUNTS]
    return prove(ResultPiece(piece.name, tuple(lines)))
