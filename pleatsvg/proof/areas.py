"""Whether every layer of cloth keeps its area when it is folded."""

from __future__ import annotations

from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, cut
from pleatsvg.proof.figures import Most
from pleatsvg.proof.folded_pass import FoldedPass
from pleatsvg.proof.raw_edges import RawEdge
from pleatsvg.tolerance import FOLD_BACK


class _AreaWalk:
    """Areas swept from the origin along an outline, from its first node to any place."""

    def __init__(self, outline: Outline) -> None:
        self.outline = outline
        self.sums = [0.0]
        for seg in outline.segments:
            self.sums.append(self.sums[-1] + swept(seg))

    def to(self, at: float) -> float:
        n = len(self.outline)
        turns, rest = divmod(at, n)
        index = min(int(rest), n - 1)
        part = cut(self.outline.segments[index], 0.0, rest - index) if rest > index else None
        return turns * self.sums[-1] + self.sums[index] + (swept(part) if part else 0.0)


def swept(seg: Segment) -> float:
    """Return the area in mm2 between a segment and the origin; positive clockwise on the page."""
    total = _cross(seg[0], seg[-1]) / 2
    if len(seg) == 4:
        b, c, d = seg[1] - seg[0], seg[2] - seg[0], seg[3] - seg[0]
        total += 0.15 * (_cross(b, c) + _cross(b, d)) + 0.3 * _cross(c, d) - _cross(0j, d) / 2
    return total


def _cross(a: complex, b: complex) -> float:
    return a.real * b.imag - a.imag * b.real


def areas_kept(done: FoldedPass, edges: list[RawEdge]) -> tuple[Most, float]:
    # Flat region against the part of the finished piece that it covers. Both are closed by the same creases, so only
    # what the raw edges sweep differs.
    walk = _AreaWalk(done.finished)
    by_layer: dict[int, list[RawEdge]] = {}
    for edge in edges:
        by_layer.setdefault(edge.layer, []).append(edge)
    most, loosest = Most(), 1.0
    for layer, own in by_layer.items():
        off = 0.0
        around = 0.0
        for edge in own:
            start, end = done.finished.point(edge.start), done.finished.point(edge.end)
            closing = swept((edge.folded[-1], end)) + swept((start, edge.folded[0]))
            off += swept(edge.folded) + closing - (walk.to(edge.end) - walk.to(edge.start))
            around += abs(edge.folded[-1] - edge.folded[0])
        bound = max(1.0, FOLD_BACK * around)
        if abs(off) > bound:
            loosest = bound
        elif most.value <= loosest:
            loosest = max(loosest, bound)
        most.see(abs(off), done.layer_words(layer), bound)
    return most, loosest
