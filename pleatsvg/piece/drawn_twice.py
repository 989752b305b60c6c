"""Things drawn twice at one place, as pasting in place leaves them: each is taken once, and that is said."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import replace

from pleatsvg.drawing.drawn import Drawing
from pleatsvg.errors import listed

_COUNTED = re.compile(r"(?:[\s._-]*(?:copy|\d+))+$", re.IGNORECASE)
"""What a vector editor puts behind the name of a copy. A group's name is a person's: "panel 2" is a piece of its own."""

_SAME_PLACE = 0.001
"""mm. A copy in place has the same numbers; where an editor wrote them anew it rounded them."""


def drawn_once(drawing: Drawing) -> Drawing:
    """Return a drawing without the shapes and texts that lie on another of their kind, point on point.

    Two that are called differently both stay, since two pieces may have one shape; so does what belongs to a result of
    ours. Of a named shape and a nameless one at its place the named one is meant. Slash lines on one another stay too,
    unless the whole piece was pasted: a copy that was to be moved aside may have been forgotten there.
    """
    known: dict[Hashable, set[tuple[str, ...]]] = {}
    again: set[int] = set()
    begun = [_rounded(shape.stroke[0][:1]) for shape in drawing.shapes]
    often = Counter(begun)
    for k in sorted(range(len(begun)), key=lambda k: drawing.shapes[k].part is None):
        shape = drawing.shapes[k]
        if shape.tag is None and often[begun[k]] > 1:  # few shapes begin at one spot
            called = known.setdefault((shape.closed, _rounded([z for seg in shape.stroke for z in seg])), set())
            mine = (shape.part or "", _COUNTED.sub("", shape.family), shape.group)
            if mine in called or (shape.part is None and called):
                again.add(k)
            called.add(mine)
    if not any(drawing.shapes[k].part in ("seam", "cut") for k in again):
        again = {k for k in again if drawing.shapes[k].part != "slash"}
    first: dict[Hashable, int] = {}
    for k, text in enumerate(drawing.texts):
        first.setdefault((text.words, text.matrix, text.start), k)
    said = [
        text.earlier is None and first[text.words, text.matrix, text.start] != k for k, text in enumerate(drawing.texts)
    ]
    if not again and not any(said):
        return drawing
    names = [f"'{drawing.shapes[k].name}'" for k in sorted(again)]
    names += [f"text '{text.name}'" for text, twice in zip(drawing.texts, said, strict=True) if twice]
    return replace(
        drawing,
        shapes=tuple([shape for k, shape in enumerate(drawing.shapes) if k not in again]),
        texts=tuple([text for text, twice in zip(drawing.texts, said, strict=True) if not twice]),
        notes=(*drawing.notes, f"Drawn more than once at the same place, and taken once: {listed(names)}."),
    )


def _rounded(points: Sequence[complex]) -> Hashable:
    return tuple([(round(z.real / _SAME_PLACE), round(z.imag / _SAME_PLACE)) for z in points])
