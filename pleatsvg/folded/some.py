"""A few pleats of a long row, for a panel of the folding: where the whole would be too small to be read, the cloth is shown
cut off where it goes on. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.folded.moves import Unit
from pleatsvg.folded.stack import Stack, half_of
from pleatsvg.geometry.motion import Motion
from pleatsvg.proof.folded_pass import FoldedPass

READABLE = 13.0
"""mm on paper from one pleat to the next: letters 3 mm high, the arrow of a move, and cloth to be seen between them."""


FEWEST = 4
"""Pleats that are shown at once: one that is folded, those that a panel tells, and how the next one lies."""


class Window(NamedTuple):
    """What a panel shows of a row of pleats.

    Attributes:
        pleats: their numbers.
        before, after: the creases of the first and of the last of them, beyond which the cloth is cut off; None where the
            piece ends there.
    """

    pleats: frozenset[int]
    before: int | None
    after: int | None


def shown_at_once(done: FoldedPass, wide: float, high: float, scale: float) -> int | None:
    """Return how many pleats of a pass are shown at once; None where all of them can be read together, or all have to be shown.

    Args:
        done: the only pass of a piece that is drawn whole.
        wide: its cloth as it lies flat, along the row.
        high: the length of its pleats.
        scale: at which all of it would be drawn.
    """
    count = len(_spans(done))
    pitch = wide / max(1, count)
    if done.centre is not None or pitch * scale >= READABLE:
        return None
    some = max(FEWEST, round(high / pitch / 2))  # half as wide as high: no panel is larger for fewer
    return some if some + 2 <= count else None


def window_of(done: FoldedPass, units: Sequence[Unit], some: int) -> Window | None:
    """Return what is shown of a pass where some of its pleats are told; None where they are not side by side in the cloth.

    Args:
        done: the pass.
        units: of the pleats that are told.
        some: how many are shown.
    """
    spans = _spans(done)
    row = sorted(spans, key=lambda number: spans[number])
    if any(spans[one][1] >= spans[other][0] for one, other in pairwise(row)):
        return None
    told = sorted({row.index(unit.pleat) for unit in units})
    start = min(max(0, told[0] - 1), len(row) - some)
    own = row[start : start + some]
    begin, end = spans[own[0]][0], spans[own[-1]][1]
    return Window(
        frozenset(own),
        begin if start else None,
        end if start + some < len(row) and end + 1 < len(done.creases) else None,
    )


def _spans(done: FoldedPass) -> dict[int, tuple[int, int]]:
    # Of each pleat the places of its first crease and of its last.
    found: dict[int, tuple[int, int]] = {}
    for k, crease in enumerate(done.creases):
        found[crease.line.pleat] = (found.get(crease.line.pleat, (k, k))[0], k)
    return found


def cut_off(stack: Stack, done: FoldedPass, motions: Sequence[Motion], window: Window) -> Stack:
    """Return the cloth of a stack between the middles of the spaces before a window's first pleat and after its last.

    Args:
        stack: as the pass lies by then.
        done: the pass.
        motions: of its layers.
        window: what is shown.
    """
    for crease, other in ((window.before, -1), (window.after, 1)):
        if crease is None:
            continue
        one, next_ = done.creases[crease], done.creases[crease + other]
        motion = motions[max(crease, crease + other)]
        top, hem = (motion.of((a + b) / 2) for a, b in ((one.top, next_.top), (one.hem, next_.hem)))
        inside = motion.of((one.top + one.hem) / 2)
        kept = [half_of(sheet, top, hem, inside) for sheet in stack.sheets]
        stack = Stack(tuple([sheet for sheet in kept if len(sheet.points) > 2]), stack.creases, stack.beyond)
    return stack
