"""What `sheet` prints, and the names that its page can have."""

from __future__ import annotations

from collections.abc import Sequence

from pleatsvg.worksheet.pieces import WorkPiece


def made_text(pieces: Sequence[WorkPiece], notes: Sequence[str], output: str) -> str:
    """Return what the sheet is for, in plain words."""
    rows = [
        f"{piece.name}: {piece.pleats_in_words}, {'each in its place' if piece.is_companion else 'folded true'}"
        for piece in pieces
    ]
    rows += [f"  note: {note}" for note in notes]
    rows.append(f"Written: {output} (open it in a browser; print at actual size)")
    return "\n".join(rows)
