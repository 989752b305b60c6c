"""The lines of a pleat as drawn, from seam to seam, and in the order in which the cloth meets them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from pleatsvg.errors import DrawingError
from pleatsvg.geometry.nearest import FoundOutline
from pleatsvg.geometry.outline import Crossing
from pleatsvg.geometry.segment import Segment
from pleatsvg.kinds import called, is_kick, noun_of
from pleatsvg.proof.folded_pass import Span, where
from pleatsvg.result.pattern_lines import PatternLine
from pleatsvg.tolerance import FOLD_BACK, ON_LINE, SAME_SPOT

FRESH = "Undo the last change to it in the editor, or make a fresh result with 'pleatsvg pleat'."


def ends_of(strokes: Sequence[Sequence[Segment]]) -> tuple[complex, complex, float]:
    # The first and last end along the line, and how far what is drawn strays from the straight line between them.
    points = [z for stroke in strokes for seg in stroke for z in seg]
    # The last stroke may end where the first one begins: down through one layer and up again through the next.
    hem = max(points, key=lambda z: abs(z - points[0]))
    top = max(points, key=lambda z: abs(z - hem))
    if abs(hem - top) <= ON_LINE:
        return top, hem, 0.0
    first = strokes[0][0]
    if ((hem - top) * (first[-1] - first[0]).conjugate()).real < 0:
        top, hem = hem, top
    along = (hem - top) / abs(hem - top)
    return top, hem, max([abs(((z - top) * along.conjugate()).imag) for z in points])


def span_of(
    seam: FoundOutline, line: PatternLine, other_half: bool = False, points: Sequence[tuple[complex, complex]] = ()
) -> Span:
    # `points` are those of closed darts: a line may end there.
    top, hem, bend = ends_of(line.strokes)
    length = abs(hem - top)
    said = line.words[0].upper() + line.words[1:]
    if length <= FOLD_BACK:
        raise DrawingError(said, "has no length", "it runs from the top seam to the hem", FRESH)
    middle, along = (top + hem) / 2, (hem - top) / length
    hits = seam.crossings(middle, along)
    for point, way in points:
        if min(abs(top - point), abs(hem - point)) <= FOLD_BACK:
            span = Span(line, top, hem, 0.0, 0.0, 0.0, bend, other_half, (point, way))
            return _ending_at(seam, span, point, hits)
    before = max([hit for hit in hits if hit.along <= 0], key=lambda hit: hit.along, default=None)
    after = min([hit for hit in hits if hit.along > 0], key=lambda hit: hit.along, default=None)
    if before is None or after is None or len([hit for hit in hits if hit.along > 0]) % 2 == 0:
        # More of it may lie in the allowance than on the piece, at a corner that is cut off aslant.
        before, after = _longest_stretch(hits, length)
    if before is None or after is None:
        spot = seam.nearest.of(middle)
        if spot.away > FOLD_BACK:
            raise DrawingError(
                said,
                f"has its middle {spot.away:.2f} mm outside the flat piece, near {where(middle)}",
                "it must lie on the piece",
                FRESH,
            )
        # It lies along the seam, as the line does onto which folds are brought at the edge cut on the fold, or at a side seam
        # where a space ends. What of it runs on through an allowance does not count.
        first, second = seam.nearest.of(top), seam.nearest.of(hem)
        places = (first.segment + first.share, second.segment + second.share)
        top, hem = [
            z + along * ((seam.point(at) - z) * along.conjugate()).real
            for z, at in zip((top, hem), places, strict=True)
        ]
        return Span(line, top, hem, *places, 0.0, bend, other_half)
    short = max(0.0, -length / 2 - before.along, after.along - length / 2)
    if is_kick(line.tag.kind):
        # It ends at the kick's own top, a corner of the flat piece, near which its line may run out beside the seam.
        spot = seam.nearest.of(top)
        if spot.away <= FOLD_BACK:
            short = max(0.0, after.along - length / 2)
            return Span(line, top, after.point, spot.segment + spot.share, after.at, short, bend, other_half)
    return Span(line, before.point, after.point, before.at, after.at, short, bend, other_half)


def _ending_at(seam: FoundOutline, span: Span, point: complex, hits: Sequence[Crossing]) -> Span:
    # From a closed dart's point, a node of the seam, to where it first meets the seam again.
    node = float(min(range(len(seam)), key=lambda k: abs(seam.segments[k][0] - point)))
    length = abs(span.hem - span.top)
    at_hem = abs(span.hem - point) < abs(span.top - point)
    way = -1.0 if at_hem else 1.0
    ahead = [hit for hit in hits if way * hit.along > -length / 2 + FOLD_BACK]
    far = min(ahead, key=lambda hit: way * hit.along, default=None)
    if far is None:
        raise DrawingError(
            span.words[0].upper() + span.words[1:], "does not reach the seam", "it runs from there to a dart", FRESH
        )
    short = max(0.0, way * far.along - length / 2, abs((span.hem if at_hem else span.top) - point))
    if at_hem:
        return span._replace(top=far.point, top_at=far.at, hem_at=node, short=short)
    return span._replace(hem=far.point, hem_at=far.at, top_at=node, short=short)


def _longest_stretch(hits: Sequence[Crossing], length: float) -> tuple[Crossing, Crossing] | tuple[None, None]:
    # Where a line is longest on the piece, of the stretches over which it is drawn.
    row = sorted(hits, key=lambda hit: hit.along)
    drawn = [
        (min(b.along, length / 2) - max(a.along, -length / 2), a, b)
        for a, b in zip(row[::2], row[1::2], strict=False)
        if len(row) % 2 == 0
    ]
    most, before, after = max(drawn, key=lambda stretch: stretch[0], default=(0.0, None, None))
    return (before, after) if before is not None and after is not None and most > FOLD_BACK else (None, None)


def in_list_order(spans: list[Span]) -> list[Span]:
    return sorted(spans, key=lambda span: (span.line.pleat, span.line.folds[:1] or (0,)))


def all_one_way(spans: list[Span]) -> list[Span]:
    # All run from top to hem, as most of their first strokes do: of a line that goes up and down through the layers of a
    # later pass the first stroke may begin at either end. Neighbours never turn by as much as a right angle.
    made: list[Span] = []
    turned = 0.0
    for span in spans:
        turns = bool(made) and _against(span, made[-1])
        made.append(_upside_down(span) if turns else span)
        turned += (1.0 if turns else -1.0) * (len(span.line.strokes) == 1 and len(span.line.strokes[0]) == 1)
    return [_upside_down(span) for span in made] if turned > 0 else made


def _against(span: Span, other: Span) -> bool:
    if span.dart is not None and other.dart is not None and span.dart[0] == other.dart[0]:
        point = span.dart[0]  # about a dart's point they may turn by any angle
        ends = [abs(one.top - point) < abs(one.hem - point) for one in (span, other)]
        return ends[0] != ends[1]
    return ((span.hem - span.top) * (other.hem - other.top).conjugate()).real < 0


def _upside_down(span: Span) -> Span:
    return span._replace(top=span.hem, hem=span.top, top_at=span.hem_at, hem_at=span.top_at)


def span_at(span: Span, top_at: float, hem_at: float) -> Span:
    return span._replace(top_at=top_at, hem_at=hem_at)


def refuse_gaps(creases: list[Span]) -> None:
    for one, other in pairwise(creases):
        same = (one.line.pleat, one.line.folds, one.other_half) == (
            other.line.pleat,
            other.line.folds,
            other.other_half,
        )
        if same:
            raise DrawingError(
                one.words[0].upper() + one.words[1:], "is there twice", "each fold is drawn once", "Delete the copy."
            )
    for span in creases:
        if not span.line.pleat or len(span.line.folds) != 1:
            raise DrawingError(
                span.words[0].upper() + span.words[1:],
                "does not say which fold of which pleat it is",
                "a result states it by data-pleat and data-fold",
                "Take the line from a fresh result.",
            )
    own = [span for span in creases if not span.other_half]
    numbers: dict[int, list[int]] = {}
    kinds = {span.line.pleat: span.line.tag.kind for span in own}
    for span in own:
        numbers.setdefault(span.line.pleat, []).append(span.line.folds[0])
    for pleat, folds in numbers.items():
        missing = sorted(set(range(1, max(folds) + 1)) - set(folds))
        odd = len(folds) % 2 == 1
        if missing or odd:
            which = f"fold {missing[0]} of its list" if missing else "one of its folds"
            raise DrawingError(
                called(kinds[pleat], pleat),
                f"lacks {which}: {len(folds)} fold {'line is' if len(folds) == 1 else 'lines are'} drawn",
                f"the cloth must come right side up again behind a {noun_of(kinds[pleat])}",
                "Put the missing fold line back, or make a fresh result with 'pleatsvg pleat'.",
            )


def _way(outline: FoundOutline, start: float, end: float) -> float:
    # The way forward from one place to another; just short of a whole round is rounding.
    n = len(outline)
    way = (end - start) % n
    if way > n / 2 and abs(outline.point(end) - outline.point(start)) <= FOLD_BACK:
        return 0.0
    return way


def in_cloth_order(seam: FoundOutline, creases: list[Span]) -> tuple[FoundOutline, list[float]]:
    # The seam walked so that the tops of the creases ascend, and the places: tops, then hems, in the order of the cloth,
    # counted on round the outline so that tops ascend and hems descend.
    n = len(seam)
    if not creases:
        return seam, []
    worst = ""
    for turned in (False, True):
        outline = FoundOutline(seam.reversed().segments) if turned else seam
        ways = [(n - span.top_at) % n if turned else span.top_at for span in creases]
        ways += [(n - span.hem_at) % n if turned else span.hem_at for span in reversed(creases)]
        at = [ways[0]]
        for start, end in pairwise(ways):
            at.append(at[-1] + _way(outline, start, end))
        if at[-1] - at[0] <= n + SAME_SPOT:
            m = len(creases)
            return outline, at[:m] + at[m:][::-1]
        steps = [b - a for a, b in pairwise(at)]
        k = steps.index(max(steps))
        names = [*creases, *creases[::-1]]
        worst = worst or f" (look at {names[k].words} and {names[k + 1].words})"
    raise DrawingError(
        "The fold lines",
        f"do not follow one another along the seam from the first pleat to the last{worst}",
        "fold lines may not cross on the piece",
        FRESH,
    )


def runs_of(outline: FoundOutline, places: list[float]) -> list[tuple[tuple[Segment, ...], ...]]:
    """Return the raw edges of every layer of an outline that creases cut at `places` (tops, then hems)."""
    m = len(places) // 2
    n = len(outline)

    def run(start: float, end: float) -> tuple[Segment, ...]:
        return tuple([outline.part(stretch) for stretch in outline.stretches(start, end)]) if end > start else ()

    if not m:
        return [(outline.segments,)]
    tops, hems = places[:m], places[m:]
    runs: list[tuple[tuple[Segment, ...], ...]] = [(run(hems[0], tops[0] + n),)]
    runs += [(run(tops[k], tops[k + 1]), run(hems[k + 1], hems[k])) for k in range(m - 1)]
    runs.append((run(tops[-1], hems[-1]),))
    return runs
