"""How what lies above the bend of a fitted piece is laid for its picture: its panels turn one after another, and it
would stand on its first one. In the picture its folds run on the whole as they do below.
"""

from __future__ import annotations

from pleatsvg.folded.stack import Stack
from pleatsvg.geometry.motion import STAY, Motion
from pleatsvg.proof.folded_pass import FoldedPass


def upright(done: FoldedPass) -> Motion:
    """Return how a folded pass is turned for its picture: only what lies above the bend of a fitted piece is."""
    if done.zone != "above":
        return STAY
    flat, folded = 0j, 0j
    for k, crease in enumerate(done.creases):
        way = crease.hem - crease.top
        motion = done.layers[k].motion
        flat += way / abs(way)
        folded += (motion.of(crease.hem) - motion.of(crease.top)) / abs(way)
    turn = flat / folded
    about = done.layers[done.base].motion.of(done.creases[min(done.base, len(done.creases) - 1)].top)
    turn /= abs(turn)
    return Motion(turn, about - turn * about, False)


def laid(stack: Stack, motion: Motion) -> Stack:
    """Return a stack where a motion that turns nothing over takes it."""
    if motion is STAY:
        return stack

    def of(points: tuple[complex, ...]) -> tuple[complex, ...]:
        return tuple([motion.of(z) for z in points])

    sheets = [
        sheet._replace(
            points=of(sheet.points), drawn=tuple([one._replace(points=of(one.points)) for one in sheet.drawn])
        )
        for sheet in stack.sheets
    ]
    return Stack(tuple(sheets), stack.creases, stack.beyond)
