"""The edges of a bodice, known by shape and place: shoulder, armhole, neck, side and centre.

A shoulder is a straight edge that looks up between two hollow ones: the armhole at its lower end, the neck at its upper
one. Below the armhole lies the side; beyond the neck the other shoulder, or the centre. (The usual shape of a bodice
draft.)
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from pleatsvg.geometry.motion import bearing
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import point_at

_HOLLOW = 0.04
"""Of its length, how far an armhole or a neck at least lies within the straight line between its ends."""

_FLAT = 0.04
"""Of its length, how far a shoulder at most leaves that line."""

_LONGEST_SHOULDER = 300.0
"""mm. Longer ones are met on no person; a skirt's waist is."""

_LOOKS_UP = 60.0
"""Degrees off straight up that a shoulder may look."""


def bodice_names(
    outline: Outline, spans: Sequence[tuple[float, float]], lengths: Sequence[float], names: Sequence[str]
) -> dict[int, str]:
    """Return what the edges of a bodice are called, by their places in the list; {} where the piece is none.

    Args:
        outline: clockwise.
        spans: from corner to corner, as places on it.
        lengths: of the edges, in mm.
        names: that they have by the way they face: "hem" is the lower one.
    """
    count = len(spans)
    if count < 5:
        return {}
    hollow = [_bulge(outline, *span) for span in spans]
    shoulders: list[tuple[int, int, int]] = []
    for k, span in enumerate(spans):
        start, end = map(outline.point, span)
        looks = (end - start) * -1j
        if abs(hollow[k]) > _FLAT or lengths[k] > _LONGEST_SHOULDER or looks == 0:
            continue
        if abs(math.degrees(bearing(looks / -1j))) > _LOOKS_UP or start.imag == end.imag:
            continue
        before, after = (k - 1) % count, (k + 1) % count
        armhole, neck = (after, before) if end.imag > start.imag else (before, after)
        if hollow[armhole] >= _HOLLOW and hollow[neck] >= _HOLLOW:
            shoulders.append((k, armhole, neck))
    if not 1 <= len(shoulders) <= 2:
        return {}
    found: dict[int, str] = {}
    two = len(shoulders) == 2
    middles = [sum(map(outline.point, spans[k])).real for k, _, _ in shoulders]
    for (k, armhole, neck), middle in zip(shoulders, middles, strict=True):
        which = "" if not two else "left " if middle == min(middles) else "right "
        found[k] = f"{which}shoulder"
        found[armhole] = f"{which}armhole"
        found[neck] = "neck"
        side = (2 * armhole - k) % count
        beyond = (2 * neck - k) % count
        if side not in found and names[side] != "hem":
            found[side] = f"{which}side"
        if not two and beyond not in found and names[beyond] != "hem":
            found[beyond] = "centre"
    return found


def _bulge(outline: Outline, begin: float, stop: float) -> float:
    # How far an edge lies within the straight line between its ends, by its length; less than 0 where it bulges out.
    start, end = outline.point(begin), outline.point(stop)
    chord = end - start
    if chord == 0:
        return 0.0
    most = 0.0
    for stretch in outline.stretches(begin, stop):
        part = outline.part(stretch)
        for k in range(1, 9):
            off = ((point_at(part, k / 8) - start) * chord.conjugate()).imag / abs(chord)
            if abs(off) > abs(most):
                most = off
    return most / abs(chord)
