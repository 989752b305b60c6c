"""What the trade calls the edges of a piece, where shape and place tell it: shoulder, armhole, neck, side, centre, waist.

A shoulder is a straight edge that looks up between two hollow ones: the armhole at its lower end, the neck at its upper
one. Below the armhole lies the side; beyond the neck the other shoulder, or the centre. Of a piece without one, a skirt's
top is a waist only where a hip line says so. (The usual shape of a bodice draft.)
"""

from __future__ import annotations

import cmath
import math

from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import point_at
from pleatsvg.piece.edges import Edge, called_on_cloth
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.tolerance import ON_FOLD

_HOLLOW = 0.04
"""Of its length, how far an armhole or a neck at least lies within the straight line between its ends."""

_FLAT = 0.04
"""Of its length, how far a shoulder at most leaves that line."""

_LONGEST_SHOULDER = 300.0
"""mm. Longer ones are met on no person; a skirt's waist is."""

_LOOKS_UP = 60.0
"""Degrees off straight up that a shoulder may look."""


def trade_names(piece: FinishedPiece, edges: tuple[Edge, ...], fold: Edge | None = None) -> dict[int, str]:
    """Return what the trade calls each edge by its number, for those where it can be known and is not what it is called.

    Args:
        piece: as drawn.
        edges: of its seam.
        fold: the one cut on the fold, or None.
    """
    names = _of_bodice(piece.outline, edges)
    if not names and len(edges) <= 4 and any(_says_hip(name) for name, part in piece.parts if part == "balance"):
        names = {edge.number: "waist" for edge in edges if edge.name == "top"}
    for edge in edges:
        on_fold = fold is not None and edge.number == fold.number
        if on_fold or (piece.centre is not None and _along(piece.outline, edge, piece.centre)):
            names[edge.number] = "centre"
        elif edge.number not in names and called_on_cloth(edge, edges) != edge.name:
            names[edge.number] = called_on_cloth(edge, edges)
    return {number: name for number, name in names.items() if name != edges[number - 1].name}


def _says_hip(name: str) -> bool:
    return name.casefold().startswith("hip")


def _along(outline: Outline, edge: Edge, line: StraightLine) -> bool:
    if not edge.straight:
        return False
    a, b = outline.point(edge.start), outline.point(edge.end)
    flip = ((b - a) / abs(b - a)).conjugate()
    return all(abs(((z - a) * flip).imag) <= ON_FOLD for z in (line.start, line.end))


def _of_bodice(outline: Outline, edges: tuple[Edge, ...]) -> dict[int, str]:
    count = len(edges)
    if count < 5:
        return {}
    hollow = [_bulge(outline, edge) for edge in edges]
    shoulders: list[tuple[int, int, int]] = []
    for k, edge in enumerate(edges):
        start, end = outline.point(edge.start), outline.point(edge.end)
        looks = (end - start) * -1j
        if abs(hollow[k]) > _FLAT or edge.length > _LONGEST_SHOULDER or looks == 0:
            continue
        if abs(math.degrees(cmath.phase(looks / -1j))) > _LOOKS_UP or start.imag == end.imag:
            continue
        before, after = (k - 1) % count, (k + 1) % count
        armhole, neck = (after, before) if end.imag > start.imag else (before, after)
        if hollow[armhole] >= _HOLLOW and hollow[neck] >= _HOLLOW:
            shoulders.append((k, armhole, neck))
    if not 1 <= len(shoulders) <= 2:
        return {}
    found: dict[int, str] = {}
    two = len(shoulders) == 2
    middles = [(outline.point(edges[k].start) + outline.point(edges[k].end)).real for k, _, _ in shoulders]
    for (k, armhole, neck), middle in zip(shoulders, middles, strict=True):
        which = "" if not two else "left " if middle == min(middles) else "right "
        found[k] = f"{which}shoulder"
        found[armhole] = f"{which}armhole"
        found[neck] = "neck"
        side = (2 * armhole - k) % count
        beyond = (2 * neck - k) % count
        if side not in found and edges[side].name != "hem":
            found[side] = f"{which}side"
        if not two and beyond not in found and edges[beyond].name != "hem":
            found[beyond] = "centre"
    return {edges[k].number: name for k, name in found.items()}


def _bulge(outline: Outline, edge: Edge) -> float:
    # How far an edge lies within the straight line between its ends, by its length; less than 0 where it bulges out.
    start, end = outline.point(edge.start), outline.point(edge.end)
    chord = end - start
    if chord == 0 or edge.length == 0:
        return 0.0
    most = 0.0
    for stretch in outline.stretches(edge.start, edge.end):
        part = outline.part(stretch)
        for k in range(1, 9):
            off = ((point_at(part, k / 8) - start) * chord.conjugate()).imag / abs(chord)
            if abs(off) > abs(most):
                most = off
    return most / abs(chord)
