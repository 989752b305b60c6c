"""A result that is to be pleated once more is folded back first, from its own lines: whoever saved it last."""

from __future__ import annotations

from pleatsvg.drawn_result import ResultLine, ResultPiece
from pleatsvg.earlier import KEPT, PLEAT_LINES, EarlierLine
from pleatsvg.errors import ProofError
from pleatsvg.foldproof import prove
from pleatsvg.piece import FinishedPiece

_COUNTS = PLEAT_LINES | KEPT | {"free-edge"}


def refuse_untrue(piece: FinishedPiece) -> None:
    """Refuse a piece whose earlier pleats do not fold back onto what they were to become.

    Args:
        piece: as read from a result; one without earlier passes is let pass.

    Raises:
        ProofError: an earlier pass misses by more than 0.01 mm, a line of it is gone, or its lap is not as it says.
        DrawingError: its lines cannot be folded along.
    """
    if piece.earlier is None:
        return
    lines = [ResultLine("seam-line", (piece.outline.segments,), True)]
    if piece.cut is not None:
        lines.append(ResultLine("cut-line", (piece.cut.segments,), True, piece.earlier.passes))
    if piece.fold_edge is not None:
        lines.append(ResultLine("fold-edge", (((piece.fold_edge.start, piece.fold_edge.end),),), False))
    lines += [_as_read(line) for line in (*piece.earlier.lines, *piece.earlier.kept) if line.tag.role in _COUNTS]
    proof = prove(ResultPiece(piece.name, tuple(lines)))
    if not proof.holds:
        raise ProofError(
            f"The earlier pleats of '{piece.name}'",
            f"do not fold back true any more: {proof.failures[0]}",
            "further pleats are laid on a result that holds",
            "Undo what was changed in it since, or make the first pass again; 'pleatsvg fold' tells more. A result shows the "
            "right side of the cloth: --shows wrong is for one that was mirrored.",
        )


def _as_read(line: EarlierLine) -> ResultLine:
    tag, strokes = line
    closed = len(strokes) == 1 and tag.role in KEPT
    return ResultLine(tag.role, strokes, closed, tag.pass_, tag.pleat, tag.folds, tag.kind, tag.lap, tag.crease)
