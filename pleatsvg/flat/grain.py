"""Where the grainline comes to lie on the flat piece."""

from __future__ import annotations

from itertools import pairwise

from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.geometry.motion import moved
from pleatsvg.length import show
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.result.roles import Role

Ends = tuple[complex, complex]

_ON_LINE = 3.0
"""mm from a line of a pleat within which a grainline along it could be taken for that line, or that line for it."""

_ASIDE = (12.0, 8.0)
"""mm by which it is then set aside: the first of these for which there is room."""

_CLEAR = 5.0
"""mm that it keeps there from all lines of pleats."""


def carried_grain(piece: FinishedPiece, lines: SlashSet, unfolded: Unfolded) -> Ends | None:
    """Return the grainline moved with the panel that most of it lies on, cut off at others; None where none is drawn."""
    found = _on_layer(piece, lines, unfolded)
    return None if found is None else found[0]


def marked_grain(piece: FinishedPiece, lines: SlashSet, unfolded: Unfolded, unit: str) -> tuple[Ends | None, list[str]]:
    """Return the grainline where it is marked on the flat piece, and remarks; None where none is drawn.

    A grainline tells a direction, wherever on its panel it lies. Drawn along a slash line it would lie on a line of a pleat,
    and is set aside from it, parallel, where there is room.

    Args:
        piece: the finished piece.
        lines: its slash lines.
        unfolded: its flat piece.
        unit: in which remarks tell lengths.
    """
    found = _on_layer(piece, lines, unfolded)
    return (None, []) if found is None else _set_aside(*found, lines.hand, unfolded, unit)


def _on_layer(piece: FinishedPiece, lines: SlashSet, unfolded: Unfolded) -> tuple[Ends, int] | None:
    # Carried with its panel, and the layer that this is.
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
    layer = unfolded.panels[panel]
    first, last = moved((start + low * (end - start), start + high * (end - start)), unfolded.motions[layer])
    return (first, last), layer


def _set_aside(grain: Ends, layer: int, hand: float, unfolded: Unfolded, unit: str) -> tuple[Ends, list[str]]:
    bounds = [line for line in unfolded.creases if line.layer in (layer - 1, layer)]
    bounds += [line for line in unfolded.placements if line.layer == layer]
    along = next((line for line in bounds if all(abs(_off(z, line, hand)) < _ON_LINE for z in grain)), None)
    if along is None or grain[0] == grain[1]:
        return grain, []
    across = 1j * (grain[1] - grain[0]) / abs(grain[1] - grain[0])
    for far in _ASIDE:
        for side in (across, -across):
            there = grain[0] + far * side, grain[1] + far * side
            if _free(there, layer, hand, bounds, unfolded):
                word = "placement line" if along.role in (Role.PLACEMENT, Role.MATE) else "fold line"
                said = (
                    f"The grainline lay on the {word} of pleat {along.pleat}; it is drawn {show(far, unit)} beside it, "
                    "in the same direction."
                )
                return there, [said]
    return grain, []


def _free(grain: Ends, layer: int, hand: float, bounds: list[FlatLine], unfolded: Unfolded) -> bool:
    # On the cloth of its layer, clear of the lines that bound it and of those that lie on it.
    for line in bounds:
        offs = [_off(z, line, hand) for z in grain]
        if not line.role.crease:
            if min(offs) < _CLEAR and max(offs) > -_CLEAR:
                return False
        elif (max(offs) > -_CLEAR) if line.layer == layer else (min(offs) < _CLEAR):
            return False
    return all(unfolded.outline.holds(z) for z in (*grain, (grain[0] + grain[1]) / 2))


def _off(z: complex, line: FlatLine, hand: float) -> float:
    # How far after a line, in the order of the cloth, a point lies at its height.
    top, hem = line.top, line.hem
    if line.bend is not None:
        way = hem - line.bend
        top, hem = (line.bend, hem) if ((z - line.bend) * way.conjugate()).real > 0 else (top, line.bend)
    after = -1j * hand * (hem - top) / abs(hem - top)
    return ((z - top) * after.conjugate()).real
