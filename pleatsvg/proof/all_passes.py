"""A piece of several passes is folded back through all of them, from its own lines: a result before it is pleated once more,
whoever saved it last, and what has become of it then.
"""

from __future__ import annotations

from collections.abc import Sequence

from pleatsvg.errors import DrawingError, ProofError
from pleatsvg.flat.earlier_lines import Through
from pleatsvg.flat.flat_piece import FlatLine
from pleatsvg.geometry.motion import STAY, Motion, reflection
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.proof.figures import Proof
from pleatsvg.proof.prove import prove
from pleatsvg.result.classes import PLEAT_LINES
from pleatsvg.result.earlier import Earlier
from pleatsvg.result.pattern_lines import PatternLine, ResultPiece, Tag
from pleatsvg.tolerance import FOLD_BACK
from pleatsvg.wording import message, option

_COUNTS = PLEAT_LINES | {"finished-line", "free-edge"}
"""Cutting lines are proven as each pass is made; the next takes them as drawn."""


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
                "Undo what was changed in it since, or make the first pass again; 'pleatsvg fold' tells more. A "
                "result shows the right side of the cloth: {} is for one that was mirrored.",
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


def prove_earlier(name: str, through: Through, written: Earlier, creases: Sequence[FlatLine], offset: complex) -> float:
    """Fold the lines of earlier passes back with the creases of the new one, and return how far the worst one misses.

    Nothing of the unfolding is used but the layer that each part is said to lie on: the creases are those that will be
    written, and so are the lines.

    Raises:
        ProofError: a line misses itself as it was before, or a part of it is gone.
    """
    folding: list[Motion] = [STAY]
    for crease in creases:
        folding.append(folding[-1].after(reflection(crease.top, crease.hem)))
    worst = 0.0
    for before, line, layers in zip(through.before, written.lines, through.layers, strict=True):
        if line.tag.role not in PLEAT_LINES:
            continue
        start, end = before.strokes[0][0][0] + offset, before.strokes[-1][-1][-1] + offset
        length = abs(end - start)
        along = (end - start) / length
        spans: list[tuple[float, float]] = []
        for stroke, own in zip(line.strokes, layers, strict=True):
            for seg, layer in zip(stroke, own, strict=True):
                folded = [(folding[layer].of(z) - start) * along.conjugate() for z in (seg[0], seg[-1])]
                reach = sorted(w.real for w in folded)
                worst = max(worst, -reach[0], reach[1] - length, *[abs(w.imag) - _bend(before, along) for w in folded])
                spans.append((reach[0], reach[1]))
        reached = 0.0
        for low, high in sorted(spans):
            worst = max(worst, low - reached)
            reached = max(reached, high)
        worst = max(worst, length - reached)
    if not worst <= FOLD_BACK:
        raise ProofError(
            f"The flat piece '{name}'",
            f"does not fold back onto the earlier pass: a line of its pleats misses by {worst:.4f} mm",
            f"the limit is {FOLD_BACK} mm",
            "Nothing was written. Move the new lines away from the ends of the earlier ones and try again.",
        )
    return worst


def _bend(line: PatternLine, along: complex) -> float:
    # A line that an earlier pass of three has broken is held against its own shape.
    start = line.strokes[0][0][0]
    return max([abs(((z - start) * along.conjugate()).imag) for stroke in line.strokes for seg in stroke for z in seg])
