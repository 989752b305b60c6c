"""What earlier passes left on a drawing that is a result of ours: their lines, marks and words."""

from __future__ import annotations

from collections.abc import Sequence

from pleatsvg.drawing.drawn import DrawnShape, DrawnText
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment
from pleatsvg.result.classes import CREASES, PLEAT_LINES, SEEN_OF, Later, is_ours, later_of
from pleatsvg.result.earlier import Earlier, EarlierPleat
from pleatsvg.result.figures import intake_at
from pleatsvg.result.pattern_lines import PatternLine, Tag
from pleatsvg.tolerance import MEETING, ON_LINE


def earlier_from(shapes: Sequence[DrawnShape], texts: Sequence[DrawnText], outline: Outline) -> Earlier | None:
    """Return what earlier passes left, from the tagged shapes and texts of a result that is read again, or None."""
    strokes: dict[Tag, list[tuple[Segment, ...]]] = {}
    for shape in shapes:
        if shape.tag is not None and is_ours(shape.tag.role):
            strokes.setdefault(shape.tag, []).append(shape.stroke)
    made = [PatternLine(tag, tuple(runs)) for tag, runs in strokes.items()]
    words = tuple(
        [t.earlier for t in texts if t.earlier is not None and later_of(t.earlier.tag.role) is Later.GOES_ALONG]
    )
    by_later: dict[Later | None, list[PatternLine]] = {}
    for line in made:
        by_later.setdefault(later_of(line.role), []).append(line)
    lines = tuple(by_later.get(Later.RUNS_ON, ()))
    if not any(line.tag.role in CREASES for line in lines):
        return None
    return Earlier(
        passes=max(line.tag.pass_ for line in lines),
        pleats=max(line.tag.pleat for line in lines),
        lines=lines,
        marks=tuple(by_later.get(Later.GOES_ALONG, ())),
        words=words,
        kept=tuple(by_later.get(Later.STAYS, ())),
        joined=any(line.tag.role == "join-line" for line in made),
        told=_told(lines, outline),
    )


def _told(lines: Sequence[PatternLine], outline: Outline) -> tuple[EarlierPleat, ...]:
    # The intake of each pleat is measured from its placement lines to the folds that come to lie on them.
    by_pleat: dict[tuple[int, int], list[PatternLine]] = {}
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
                taken[end] += intake_at(at[end], [there[end] for there in on])
        tag = own[0].tag
        found.append(EarlierPleat(number, pleat, tag.kind, tag.lap, taken[0], taken[1], stitched=_stitched(own, lines)))
    return tuple(found)


def _stitched(own: Sequence[PatternLine], lines: Sequence[PatternLine]) -> tuple[float | None, str]:
    # How far a released tuck is stitched, and from which end: what is seen of its lines reaches that as they do.
    crease = next((line for line in own if line.crease and line.tag.stitched is not None), None)
    if crease is None or crease.tag.stitched is None:
        return None, ""
    start, end = crease.tag.stitched
    seen = [
        z
        for line in lines
        if line.role == SEEN_OF[crease.role] and (line.pass_, line.pleat) == (crease.pass_, crease.pleat)
        for z in line.ends
    ]
    whence = [
        name for name, z in zip(("top", "hem"), crease.ends, strict=True) if any(abs(z - w) < MEETING for w in seen)
    ]
    return end - start, whence[0] if whence else "middle"


def _seam_ends(line: PatternLine, outline: Outline) -> tuple[complex, complex]:
    start, end = line.ends
    if abs(end - start) <= ON_LINE:
        return start, end
    along = (end - start) / abs(end - start)
    hits = outline.crossings((start + end) / 2, along)
    top = max([hit for hit in hits if hit.along < 0], key=lambda hit: hit.along, default=None)
    hem = min([hit for hit in hits if hit.along > 0], key=lambda hit: hit.along, default=None)
    return (start, end) if top is None or hem is None else (top.point, hem.point)
