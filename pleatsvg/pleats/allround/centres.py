"""What pleats that face the centre face, all round."""

from __future__ import annotations

from pleatsvg.piece.finished import Ring, StraightLine
from pleatsvg.piece.slash_lines import Chord


def centre_for(ring: Ring, chord: Chord) -> StraightLine:
    """Return the centre that the pleat of a line faces: that of its own piece; of one piece by itself the nearer of its
    middle and its seam."""
    middle = (chord.top + chord.hem) / 2

    def after(line: StraightLine) -> float:
        way = line.end - line.start
        return ((middle - line.start) * (-1j * way / abs(way)).conjugate()).real

    if len(ring.seams) > 2:
        own = sum(1 for seam in ring.seams[1:-1] if after(seam) > 0)
        return ring.centres[own]
    return min(ring.centres, key=lambda line: abs(after(line)))
