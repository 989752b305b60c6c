"""Outlines drawn as several separate strokes that meet end to end."""

from __future__ import annotations

from dataclasses import replace

from pleatsvg.drawn import DrawnShape
from pleatsvg.segment import Segment
from pleatsvg.tolerance import CLOSING_GAP


def joined_loops(shapes: list[DrawnShape]) -> tuple[list[DrawnShape], list[DrawnShape], list[str]]:
    """Return the closed outlines that open strokes make when joined end to end, the strokes used, and a remark on each.

    Ends within CLOSING_GAP of each other are joined; the next stroke is moved onto the end of the one before it by
    that much. Strokes that close nothing are left alone.

    Args:
        shapes: open strokes, in any order and drawn in either direction.
    """
    left = list(shapes)
    loops: list[DrawnShape] = []
    used: list[DrawnShape] = []
    remarks: list[str] = []
    while left:
        chain = [left.pop(0)]
        stroke = list(chain[0].stroke)
        widest = 0.0
        while abs(stroke[-1][-1] - stroke[0][0]) > CLOSING_GAP or len(chain) < 2:
            nearest = _nearest(left, stroke[-1][-1])
            if nearest is None:
                break
            shape, segments, gap = nearest
            left.remove(shape)
            chain.append(shape)
            widest = max(widest, gap)
            stroke.append((stroke[-1][-1], *segments[0][1:]))
            stroke += segments[1:]
        if len(chain) > 1 and abs(stroke[-1][-1] - stroke[0][0]) <= CLOSING_GAP:
            widest = max(widest, abs(stroke[-1][-1] - stroke[0][0]))
            used += chain
            loops.append(replace(chain[0], stroke=tuple(stroke), closed=True))
            remarks.append(
                f"Outline '{chain[0].name}' is drawn as {len(chain)} strokes that meet end to end, the widest gap "
                f"{widest:.3f} mm; they were joined."
            )
    return loops, used, remarks


def _nearest(shapes: list[DrawnShape], end: complex) -> tuple[DrawnShape, list[Segment], float] | None:
    best: tuple[DrawnShape, list[Segment], float] | None = None
    for shape in shapes:
        for segments in (list(shape.stroke), [seg[::-1] for seg in reversed(shape.stroke)]):
            gap = abs(segments[0][0] - end)
            if gap <= CLOSING_GAP and (best is None or gap < best[2]):
                best = (shape, segments, gap)
    return best


def widest_gap(shapes: list[DrawnShape]) -> tuple[float, complex, complex]:
    """Return the widest of the gaps from each stroke's end to the nearest end of another (mm), and its two points."""
    ends = [(k, z) for k, s in enumerate(shapes) for z in (s.stroke[0][0], s.stroke[-1][-1])]
    worst = (0.0, 0j, 0j)
    for k, z in ends:
        near = min(((abs(w - z), w) for j, w in ends if j != k), default=(0.0, z), key=lambda item: item[0])
        if near[0] > worst[0]:
            worst = (near[0], z, near[1])
    return worst
