"""What earlier passes left on a drawing that is a result of ours: their lines, marks and words."""

from __future__ import annotations

from collections.abc import Sequence

from pleatsvg.drawing.drawn import DrawnShape, DrawnText
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment
from pleatsvg.result.classes import CREASES, EVERY, KEPT, LABELS, MARKS, PLEAT_LINES, RUNNING
from pleatsvg.result.earlier import Earlier, EarlierLine, EarlierPleat, Tag
from pleatsvg.tolerance import ON_LINE


def earlier_from(shapes: Sequence[DrawnShape], texts: Sequence[DrawnText], outline: Outline) -> Earlier | None:
    """Return what earlier passes left, from the tagged shapes and texts of a result that is read again, or None."""
    strokes: dict[Tag, list[tuple[Segment, ...]]] = {}
    for shape in shapes:
        if shape.tag is not None and shape.tag.role in EVERY:
            strokes.setdefault(shape.tag, []).append(_there(shape))
    made = [EarlierLine(tag, tuple(runs)) for tag, runs in strokes.items()]
    words = tuple([t.earlier for t in texts if t.earlier is not None and t.earlier.tag.role in LABELS])
    lines = tuple([line for line in made if line.tag.role in RUNNING])
    if not any(line.tag.role in CREASES for line in lines):
        return None
    return Earlier(
        passes=max(line.tag.pass_ for line in lines),
        pleats=max(line.tag.pleat for line in lines),
        lines=lines,
        marks=tuple([line for line in made if line.tag.role in MARKS]),
        words=words,
        kept=tuple([line for line in made if line.tag.role in KEPT]),
        joined=any(line.tag.role == "join-line" for line in made),
        told=_told(lines, outline),
    )


def _there(shape: DrawnShape) -> tuple[Segment, ...]:
    # A straight line that an editor has closed runs there and back: the way back is none of it.
    assert shape.tag is not None
    stroke = shape.stroke
    if shape.closed and len(stroke) > 1 and shape.tag.role in RUNNING and shape.tag.role != "free-edge":
        return stroke[:-1]
    return stroke


def _told(lines: Sequence[EarlierLine], outline: Outline) -> tuple[EarlierPleat, ...]:
    # The intake of each pleat is measured from its placement lines to the folds that come to lie on them.
    by_pleat: dict[tuple[int, int], list[EarlierLine]] = {}
    for line in lines:
        if line.tag.pleat and line.tag.role in PLEAT_LINES:
            by_pleat.setdefault((line.tag.pass_, line.tag.pleat), []).append(line)
    found: list[EarlierPleat] = []
    for (number, pleat), own in sorted(by_pleat.items()):
        ends = [(line, _seam_ends(line, outline)) for line in own]
        taken = [0.0, 0.0]
        for landing, at in ends:
            tuck = landing.tag.role == "stitch-line" and not landing.tag.crease
            if landing.tag.role != "placement-line" and not tuck:
                continue
            wanted = "stitch-line" if tuck else "fold-line"
            on = [
                there
                for line, there in ends
                if line.tag.role == wanted and line is not landing and set(line.tag.folds) <= set(landing.tag.folds)
            ]
            for end in (0, 1):
                steps = [there[end] - at[end] for there in on]
                first = next((s for s in steps if abs(s) > ON_LINE), 1 + 0j)
                for side in (1, -1):
                    taken[end] += max([abs(s) for s in steps if side * (s / first).real > 0], default=0.0)
        tag = own[0].tag
        found.append(EarlierPleat(number, pleat, tag.kind, tag.lap, taken[0], taken[1]))
    return tuple(found)


def _seam_ends(line: EarlierLine, outline: Outline) -> tuple[complex, complex]:
    start, end = line.strokes[0][0][0], line.strokes[-1][-1][-1]
    if abs(end - start) <= ON_LINE:
        return start, end
    along = (end - start) / abs(end - start)
    hits = outline.crossings((start + end) / 2, along)
    top = max([hit for hit in hits if hit.along < 0], key=lambda hit: hit.along, default=None)
    hem = min([hit for hit in hits if hit.along > 0], key=lambda hit: hit.along, default=None)
    return (start, end) if top is None or hem is None else (top.point, hem.point)
