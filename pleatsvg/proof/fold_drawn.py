"""From the lines of a drawn result to layers of cloth, folded by reflections in the creases as they are drawn.

Nothing here knows how the piece was unfolded. Where a piece is cut on the fold it is taken whole, mirrored along the
fold edge; where it was cut in parts these are first laid together along their join lines. With several passes the last
one is folded first, and what it gives is the flat piece of the pass before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.errors import DrawingError
from pleatsvg.geometry.motion import STAY, Motion, moved, reflection
from pleatsvg.geometry.nearest import FoundOutline
from pleatsvg.geometry.outline import Crossing
from pleatsvg.geometry.segment import Segment, cut, heights, point_at, sign_changes
from pleatsvg.kinds import is_kick
from pleatsvg.proof.reassemble import doubled, lies_along, mirrored_line, rejoined
from pleatsvg.result.pattern_lines import PatternLine, ResultPiece
from pleatsvg.tolerance import FOLD_BACK, ON_LINE, SAME_SPOT

_FRESH = "Undo the last change to it in the editor, or make a fresh result with 'pleatsvg pleat'."


class Span(NamedTuple):
    """A straight line of a pleat from seam to seam (mm).

    Attributes:
        line: as drawn.
        top, hem: where it meets the seam.
        top_at, hem_at: these places on the seam.
        short: by how much the line as drawn stops short of the seam.
        bend: how far what is drawn strays from a straight line.
        other_half: whether it lies on the mirrored half of a piece cut on the fold.
    """

    line: PatternLine
    top: complex
    hem: complex
    top_at: float
    hem_at: float
    short: float
    bend: float
    other_half: bool

    @property
    def mountain(self) -> bool:
        """Whether it stands up on the right side of the cloth."""
        return self.line.mountain

    @property
    def brought(self) -> bool:
        """Whether it is a fold line, which is brought onto a placement line."""
        return self.line.role == "fold-line"

    @property
    def look(self) -> str:
        """How pictures show it: "outer", "inner" or "stitched"."""
        return "outer" if self.mountain else "stitched" if self.line.role == "stitch-line" else "inner"

    @property
    def words(self) -> str:
        """What to call it in a message."""
        return self.line.words + (", on the other half" if self.other_half else "")

    @property
    def short_words(self) -> str:
        """What to call it where a layer is described: "the fold line of pleat 2"."""
        return f"the {self.line.role.replace('-', ' ')} of pleat {self.line.pleat}"


class Landing(NamedTuple):
    """A line that creases come to lie on: a placement line, or the second stitch line of a tuck."""

    span: Span
    layer: int
    creases: tuple[int, ...]


class Layer(NamedTuple):
    """Cloth between two creases: its motion, and its raw edges on the flat piece, in the order of the seam."""

    motion: Motion
    runs: tuple[tuple[Segment, ...], ...]


@dataclass(frozen=True)
class FoldedPass:
    """One pass, folded.

    Attributes:
        number: of the pass, from 1.
        seam: the flat seam, walked so that the creases' top ends ascend.
        finished: what it was to become, walked the same way.
        creases: in the order of the cloth; layer k lies between crease k - 1 and crease k.
        landings: what creases come to lie on.
        layers: of cloth.
        base: the layer that stays where it is drawn.
        free: edges that leave the outline by design, flat.
        cutting: flat cutting line and finished cutting line, where the result has both.
        centre: the fold edge of a piece cut on the fold, folded, or None.
        grain: the strokes of the grain line, flat.
        loose: creases that no placement or stitch line waits for; lines that name a fold which is not there.
    """

    number: int
    seam: FoundOutline
    finished: FoundOutline
    creases: tuple[Span, ...]
    landings: tuple[Landing, ...]
    layers: tuple[Layer, ...]
    base: int
    free: tuple[Segment, ...]
    cutting: tuple[FoundOutline, FoundOutline] | None
    centre: tuple[complex, complex] | None
    grain: tuple[tuple[Segment, ...], ...]
    loose: tuple[str, ...]

    @property
    def hand(self) -> float:
        """+1 where the seam is walked clockwise on the page, -1 otherwise."""
        return 1.0 if self.seam.area > 0 else -1.0

    def layer_words(self, layer: int) -> str:
        """Return what to call a layer in a message."""
        if not self.creases:
            return "the piece"
        last = len(self.creases)
        if layer == 0:
            return f"the cloth before {self.creases[0].short_words}"
        if layer == last:
            return f"the cloth after {self.creases[-1].short_words}"
        before, after = self.creases[layer - 1], self.creases[layer]
        if before.line.pleat == after.line.pleat:
            roles = [span.line.role.replace("-line", "").replace("-", " ") for span in (before, after)]
            return f"the layer between {roles[0]} and {roles[1]} of pleat {after.line.pleat}"
        return f"the layer between pleats {before.line.pleat} and {after.line.pleat}"


def refold(piece: ResultPiece) -> tuple[tuple[FoldedPass, ...], float, tuple[str, ...]]:
    """Return a piece's passes, the last one first, the largest miss of its join lines (mm), and remarks.

    Raises:
        DrawingError: a line is missing, there twice, or lies where it cannot be folded along.
    """
    lines, joins, notes = rejoined(piece)
    seams = [line for line in lines if line.role == "seam-line"]
    if len(seams) != 1 or not seams[0].closed:
        what = "is not closed" if len(seams) == 1 else f"is there {len(seams)} times"
        raise DrawingError(f"The seam line of '{piece.name}'", what, "each cut part has one closed seam line", _FRESH)
    seam = FoundOutline(seams[0].strokes[0])
    highest = max((line.pass_ for line in lines if line.crease), default=1)
    edge = next((line for line in lines if line.role == "fold-edge"), None)
    edge_at = _ends(edge.strokes)[:2] if edge else None
    carried = [line for line in lines if line.role not in ("seam-line", "fold-edge")]
    found: list[FoldedPass] = []
    whole = False
    for number in range(highest, 0, -1):
        own = [line for line in carried if line.pass_ == number]
        one, edge_at, whole = _one_pass(piece.name, number, seam, own, edge_at, whole)
        found.append(one)
        seam = one.finished
        carried = [_carried_back(line, one) for line in carried if line.pass_ < number]
    return tuple(found), joins, notes


def _one_pass(
    name: str,
    number: int,
    seam: FoundOutline,
    lines: list[PatternLine],
    edge: tuple[complex, complex] | None,
    whole: bool,
) -> tuple[FoldedPass, tuple[complex, complex] | None, bool]:
    finished_lines = [line for line in lines if line.role == "finished-line" and line.closed]
    if len(finished_lines) != 1:
        raise DrawingError(
            f"'{name}'",
            f"holds {len(finished_lines) or 'no'} finished shape{'s' if len(finished_lines) > 1 else ''} for pass {number}",
            "a result keeps one closed 'finished-line' for each pass in a hidden layer, to be proven against",
            "Make a fresh result with 'pleatsvg pleat', and leave its hidden layer in the file.",
        )
    finished = FoundOutline(finished_lines[0].strokes[0])
    pleated = [line for line in lines if _is_of_pleat(line)]
    spans = _sorted([_span(seam, line) for line in pleated])
    base = 0
    halves = False
    if edge is not None and any(span.line.crease for span in spans):
        halves = whole or not any(span.line.crease and _ends_on(span, edge) for span in spans)
    if halves and whole and edge is not None and any(line.crease and _meets(line, edge) for line in pleated):
        # They run across the fold edge: each is one with its mirror image.
        spans = _sorted([_span(seam, _joined_over(line, edge)) for line in pleated])
    elif halves and edge is not None:
        first = _begins_at(seam, edge, [span for span in spans if span.line.crease])
        if not whole:
            seam = FoundOutline(doubled(seam, edge))
            spans = _sorted([_span(seam, line) for line in pleated])
        others = _sorted([_span(seam, mirrored_line(line, edge), True) for line in pleated])[::-1]
        base = len([span for span in spans if span.line.crease]) if first else 0
        spans = others + spans if first else spans + others
    spans = _one_way(spans)
    creases = [span for span in spans if span.line.crease]
    _refuse_gaps(creases)
    seam, places = _in_order(seam, creases)
    creases = [_span_at(span, places[k], places[len(creases) + k]) for k, span in enumerate(creases)]
    motions = _motions(creases, base)
    centre = None
    if edge is not None:
        middle = (edge[0] + edge[1]) / 2
        home = _layer_of(middle, creases, range(len(creases) + 1), 1.0 if seam.area > 0 else -1.0)
        centre = motions[home].of(edge[0]), motions[home].of(edge[1])
        if halves:
            finished = FoundOutline(doubled(finished, centre))
    if (finished.area > 0) != (seam.area > 0):
        finished = FoundOutline(finished.reversed().segments)
    layers = tuple([Layer(motion, runs) for motion, runs in zip(motions, runs_of(seam, places), strict=True)])
    hand = 1.0 if seam.area > 0 else -1.0
    landings, loose = _landings([span for span in spans if not span.line.crease], creases, hand)
    if halves and centre is not None:
        # On a fold edge the two halves' folds meet: it is the line to which they are brought, drawn as such or not.
        on = [all(lies_along((motions[k].of(z),) * 2, centre) for z in (c.top, c.hem)) for k, c in enumerate(creases)]
        met = {
            f"{crease.words} has no line to come to lie on" for crease, meets in zip(creases, on, strict=True) if meets
        }
        loose = tuple([words for words in loose if words not in met])
    free = [seg for line in lines if line.role == "free-edge" for stroke in line.strokes for seg in stroke]
    if halves and edge is not None:
        flip = reflection(*edge)
        free += [moved(seg, flip) for seg in free]
    folded = FoldedPass(
        number,
        seam,
        finished,
        tuple(creases),
        landings,
        layers,
        base,
        tuple(free),
        _cutting(lines, edge if halves else None, centre),
        centre if halves else None,
        _longest_grain(lines),
        loose,
    )
    return folded, centre, whole or halves


def _longest_grain(lines: list[PatternLine]) -> tuple[tuple[Segment, ...], ...]:
    # That which was drawn on the piece; the parts that it does not lie on have shorter ones of their own.
    grains = [line.strokes for line in lines if line.role == "grain-line" and line.strokes]
    return max(grains, key=lambda strokes: sum(abs(seg[-1] - seg[0]) for seg in strokes[0]), default=())


def _joined_over(line: PatternLine, edge: tuple[complex, complex]) -> PatternLine:
    if not _meets(line, edge):
        return line
    other = mirrored_line(line, edge)
    return replace(line, strokes=(*line.strokes, *other.strokes))


def _meets(line: PatternLine, edge: tuple[complex, complex]) -> bool:
    # Whether it runs across the piece to the fold edge; a hinged one may only end there, at a slant to it.
    top, hem, _ = _ends(line.strokes)
    slant = (hem - top) / (edge[1] - edge[0])
    return abs(slant.imag) > abs(slant.real) and lies_along((top,), edge) != lies_along((hem,), edge)


def _cutting(
    lines: list[PatternLine], edge: tuple[complex, complex] | None, centre: tuple[complex, complex] | None
) -> tuple[FoundOutline, FoundOutline] | None:
    flat = [line for line in lines if line.role == "cut-line" and line.closed]
    finished = [line for line in lines if line.role == "finished-cut-line" and line.closed]
    if len(flat) != 1 or len(finished) != 1:
        return None
    one, other = FoundOutline(flat[0].strokes[0]), FoundOutline(finished[0].strokes[0])
    if edge is not None and centre is not None:
        one, other = FoundOutline(doubled(one, edge)), FoundOutline(doubled(other, centre))
    return one, other


def _is_of_pleat(line: PatternLine) -> bool:
    return line.crease or line.role in ("placement-line", "stitch-line")


def _begins_at(seam: FoundOutline, edge: tuple[complex, complex], creases: list[Span]) -> bool:
    # Whether a fold edge lies before the first crease rather than behind the last.
    seam, places = _in_order(seam, creases)
    spot = seam.nearest.of((edge[0] + edge[1]) / 2)
    m, n = len(creases), len(seam)
    return (spot.segment + spot.share - places[m - 1]) % n > (places[2 * m - 1] - places[m - 1]) % n


def _ends(strokes: Sequence[Sequence[Segment]]) -> tuple[complex, complex, float]:
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


def _span(seam: FoundOutline, line: PatternLine, other_half: bool = False) -> Span:
    top, hem, bend = _ends(line.strokes)
    length = abs(hem - top)
    said = line.words[0].upper() + line.words[1:]
    if length <= FOLD_BACK:
        raise DrawingError(said, "has no length", "it runs from the top seam to the hem", _FRESH)
    middle, along = (top + hem) / 2, (hem - top) / length
    hits = seam.crossings(middle, along)
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
                _FRESH,
            )
        # It lies along the seam, as the line does onto which folds are brought at the edge cut on the fold.
        first, second = seam.nearest.of(top), seam.nearest.of(hem)
        places = (first.segment + first.share, second.segment + second.share)
        return Span(line, top, hem, *places, 0.0, bend, other_half)
    short = max(0.0, -length / 2 - before.along, after.along - length / 2)
    if is_kick(line.tag.kind):
        # It ends at the kick's own top, a corner of the flat piece, near which its line may run out beside the seam.
        spot = seam.nearest.of(top)
        if spot.away <= FOLD_BACK:
            short = max(0.0, after.along - length / 2)
            return Span(line, top, after.point, spot.segment + spot.share, after.at, short, bend, other_half)
    return Span(line, before.point, after.point, before.at, after.at, short, bend, other_half)


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


def where(z: complex) -> str:
    """Return a place on the page in words, in mm from its left and top edge."""
    return f"{z.real:.1f} mm from the left and {z.imag:.1f} mm from the top of the page"


def _sorted(spans: list[Span]) -> list[Span]:
    return sorted(spans, key=lambda span: (span.line.pleat, span.line.folds[:1] or (0,)))


def _one_way(spans: list[Span]) -> list[Span]:
    # All run from top to hem, as most of their first strokes do: of a line that goes up and down through the layers of a
    # later pass the first stroke may begin at either end. Neighbours never turn by as much as a right angle.
    made: list[Span] = []
    turned = 0.0
    for span in spans:
        turns = bool(made) and ((span.hem - span.top) * (made[-1].hem - made[-1].top).conjugate()).real < 0
        made.append(_upside_down(span) if turns else span)
        turned += (1.0 if turns else -1.0) * (len(span.line.strokes) == 1 and len(span.line.strokes[0]) == 1)
    return [_upside_down(span) for span in made] if turned > 0 else made


def _upside_down(span: Span) -> Span:
    return span._replace(top=span.hem, hem=span.top, top_at=span.hem_at, hem_at=span.top_at)


def _ends_on(span: Span, edge: tuple[complex, complex]) -> bool:
    slant = (span.hem - span.top) / (edge[1] - edge[0])
    return abs(slant.imag) > abs(slant.real) and any(lies_along((z, z), edge) for z in (span.top, span.hem))


def _span_at(span: Span, top_at: float, hem_at: float) -> Span:
    return span._replace(top_at=top_at, hem_at=hem_at)


def _refuse_gaps(creases: list[Span]) -> None:
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
    for span in own:
        numbers.setdefault(span.line.pleat, []).append(span.line.folds[0])
    for pleat, folds in numbers.items():
        missing = sorted(set(range(1, max(folds) + 1)) - set(folds))
        odd = len(folds) % 2 == 1
        if missing or odd:
            which = f"fold {missing[0]} of its list" if missing else "one of its folds"
            raise DrawingError(
                f"Pleat {pleat}",
                f"lacks {which}: {len(folds)} fold {'line is' if len(folds) == 1 else 'lines are'} drawn",
                "the cloth must come right side up again behind a pleat",
                "Put the missing fold line back, or make a fresh result with 'pleatsvg pleat'.",
            )


def _way(outline: FoundOutline, start: float, end: float) -> float:
    # The way forward from one place to another; just short of a whole round is rounding.
    n = len(outline)
    way = (end - start) % n
    if way > n / 2 and abs(outline.point(end) - outline.point(start)) <= FOLD_BACK:
        return 0.0
    return way


def _in_order(seam: FoundOutline, creases: list[Span]) -> tuple[FoundOutline, list[float]]:
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
        _FRESH,
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


def _motions(creases: list[Span], base: int) -> list[Motion]:
    flips = [reflection(span.top, span.hem) for span in creases]
    after = [STAY]
    for flip in flips[base:]:
        after.append(after[-1].after(flip))
    before = [STAY]
    for flip in reversed(flips[:base]):
        before.append(before[-1].after(flip))
    return before[:0:-1] + after


def _beyond(z: complex, crease: Span, hand: float) -> float:
    # How far a point lies behind a crease, in mm; negative before it.
    along = crease.hem - crease.top
    return -hand * ((z - crease.top) * (along / abs(along)).conjugate()).imag


def _layer_of(z: complex, creases: Sequence[Span], among: range, hand: float) -> int:
    # The layer, of those named, in which a point lies deepest.
    best, found = -float("inf"), among[0]
    for k in among:
        deep = float("inf")
        if k > 0:
            deep = _beyond(z, creases[k - 1], hand)
        if k < len(creases):
            deep = min(deep, -_beyond(z, creases[k], hand))
        if deep > best:
            best, found = deep, k
    return found


def _landings(spans: list[Span], creases: list[Span], hand: float) -> tuple[tuple[Landing, ...], tuple[str, ...]]:
    of_pleat: dict[tuple[int, bool], list[int]] = {}
    for k, crease in enumerate(creases):
        of_pleat.setdefault((crease.line.pleat, crease.other_half), []).append(k)
    found: list[Landing] = []
    loose: list[str] = []
    waited: set[int] = set()
    for span in spans:
        own = of_pleat.get((span.line.pleat, span.other_half), [])
        stitch = span.line.role == "stitch-line"
        carried = [
            k
            for k in own
            if (creases[k].line.role == "stitch-line" if stitch else creases[k].brought)
            and (creases[k].line.folds[0] in span.line.folds or (stitch and not span.line.folds))
        ]
        if not carried:
            loose.append(f"{span.words} names a fold that is not drawn")
            continue
        waited.update(carried)
        among = range(own[0], own[-1] + 2)
        found.append(Landing(span, _layer_of((span.top + span.hem) / 2, creases, among, hand), tuple(carried)))
    for k, crease in enumerate(creases):
        tuck = any(creases[j].line.role == "stitch-line" for j in of_pleat[crease.line.pleat, crease.other_half])
        if k not in waited and (crease.line.role == "stitch-line" or (crease.brought and not tuck)):
            loose.append(f"{crease.words} has no line to come to lie on")
    return tuple(found), tuple(loose)


def _carried_back(line: PatternLine, done: FoldedPass) -> PatternLine:
    # A line of an earlier pass, part by part, where it lies once the later pass is folded. What a result was to become
    # is kept as it lies then, and needs no moving.
    if line.role in ("finished-line", "finished-cut-line"):
        return line
    strokes = [
        (moved(part, done.layers[layer].motion),)
        for stroke in line.strokes
        for seg in stroke
        for part, layer in parted(seg, done)
    ]
    return PatternLine(line.tag, tuple(strokes))


def parted(seg: Segment, done: FoldedPass) -> list[tuple[Segment, int]]:
    """Return a segment on the flat piece cut at the creases that it crosses, each part with its layer."""
    shares = {0.0, 1.0}
    for crease in done.creases:
        along = (crease.hem - crease.top) / abs(crease.hem - crease.top)
        w = [0.0 if abs(value) < ON_LINE else value for value in heights(seg, crease.top, along)]
        if any(w):
            shares.update(t for t in sign_changes(w) if SAME_SPOT < t < 1 - SAME_SPOT)
    order = sorted(shares)
    every = range(len(done.layers))
    return [
        (cut(seg, a, b), _layer_of(point_at(seg, (a + b) / 2), done.creases, every, done.hand))
        for a, b in pairwise(order)
        if b - a > SAME_SPOT
    ]
