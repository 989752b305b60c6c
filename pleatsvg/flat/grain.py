"""Where the grainline comes to lie on the flat piece."""

from __future__ import annotations

from itertools import pairwise

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.geometry.motion import moved
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.slash_lines import SlashSet


def carried_grain(piece: FinishedPiece, lines: SlashSet, unfolded: Unfolded) -> tuple[complex, complex] | None:
    """Return the grainline moved with the panel that most of it lies on, cut off at others; None where none is drawn."""
    if piece.grain is None:
        return None
    start, end = piece.grain.start, piece.grain.end
    stops = [0.0, 1.0]
    for chord in lines.chords:
        across = lines.across(chord).conjugate()
        a, b = ((start - chord.top) * across).real, ((end - chord.top) * across).real
        if a * b < 0:
            stops.append(a / (a - b))
    stops.sort()
    low, high = max(pairwise(stops), key=lambda span: span[1] - span[0])
    middle = start + (low + high) / 2 * (end - start)
    panel = sum(1 for c in lines.chords if lines.after(middle, c) > 0)
    motion = unfolded.motions[unfolded.panels[panel]]
    first, last = moved((start + low * (end - start), start + high * (end - start)), motion)
    return first, last
