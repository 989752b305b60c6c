"""The top of a kick pleat: where it is clipped, and where it is stitched down."""

from __future__ import annotations

from collections.abc import Sequence

from pleatsvg.folded.items import Item, Line
from pleatsvg.geometry.motion import Motion
from pleatsvg.kinds import is_kick
from pleatsvg.proof.folded_pass import FoldedPass

CLIP = 6.0
"""mm. Length of a clip mark on paper."""


def clip_marks(
    done: FoldedPass, motions: Sequence[Motion], scale: float = 1.0, long: float = CLIP, drawn_half: bool = False
) -> list[Item]:
    """Return the clip marks of a pass's kick pleats, at the lower end of the seam above each, out into the allowance.

    Args:
        done: the pass.
        motions: of its layers, as they lie in the picture.
        scale: of the picture.
        long: how long they are on paper, in mm.
        drawn_half: of a piece cut on the fold, of the drawn half alone.
    """
    items: list[Item] = []
    for k, crease in enumerate(done.creases):
        if not (is_kick(crease.line.tag.kind) and crease.brought) or (drawn_half and crease.other_half):
            continue
        # Beside the crease lies the strip of the pleat; its slanting top edge and the seam meet where the crease begins.
        n = len(done.creases)
        inner = k + 1 if k + 1 < n and _same(done, k, k + 1) else k - 1
        tip, under = crease.top, done.creases[inner].top
        down = (crease.hem - tip) / abs(crease.hem - tip)
        across = under - tip
        across -= down * (across * down.conjugate()).real
        if not abs(across):
            continue
        motion = motions[k + 1 if inner > k else k]
        end = motion.of(tip) * scale
        out = motion.of(tip + across / abs(across) - down) - motion.of(tip)
        items.append(Line("clip", (end, end + out / abs(out) * long)))
    return items


def slants(done: FoldedPass, motions: Sequence[Motion]) -> list[Item]:
    """Return the slanting top edges of the underlays of kick pleats, folded, along which they are stitched down."""
    items: list[Item] = []
    for k, crease in enumerate(done.creases):
        if not (is_kick(crease.line.tag.kind) and crease.brought):
            continue
        inner = k + 1 if k + 1 < len(done.creases) and _same(done, k, k + 1) else k - 1
        motion = motions[k + 1 if inner > k else k]
        items.append(Line("stitch-down", (motion.of(crease.top), motion.of(done.creases[inner].top))))
    return items


def _same(done: FoldedPass, k: int, other: int) -> bool:
    one, two = done.creases[k], done.creases[other]
    return one.line.pleat == two.line.pleat and one.other_half == two.other_half and not two.brought
