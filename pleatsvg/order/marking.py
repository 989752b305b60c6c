"""What is asked of the marks: how far down lines are drawn, which notches, which lines of stitching."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Marking:
    """How a result is marked. Lengths in mm.

    Attributes:
        mark: how far down from the top fold and placement lines are drawn; None for their whole length.
        notch: "snip" or "triangle" for both kinds of line; None for a snip at fold lines and a triangle at placement lines.
        stitch_down: how far down from the top each fold is stitched through all layers; 0 for not at all.
        edge_stitch: how far down each fold is stitched through by itself; None for its whole length, 0 for not at all.
        pair: the piece is cut twice, the second time mirrored.
        cut: how often the piece is cut, both hands of a pair counted; None where nobody has said it.
        cloth: what it is cut from, or "".
    """

    mark: float | None = None
    notch: str | None = None
    stitch_down: float = 0.0
    edge_stitch: float | None = 0.0
    pair: bool = False
    cut: int | None = None
    cloth: str = ""


PLAIN_MARKING = Marking()
