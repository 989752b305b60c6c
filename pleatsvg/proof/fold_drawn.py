"""From the lines of a drawn result to layers of cloth, folded by reflections in the creases as they are drawn.

Nothing here knows how the piece was unfolded. Where a piece is cut on the fold it is taken whole, mirrored along the
fold edge; where it was cut in parts these are first laid together along their join lines. With several passes the last
one is folded first, and what it gives is the flat piece of the pass before.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.errors import DrawingError
from pleatsvg.geometry.motion import STAY, Motion, moved, reflection
from pleatsvg.geometry.nearest import FoundOutline, Nearest
from pleatsvg.geometry.segment import Segment, box_of, cut, heights, point_at, sign_changes
from pleatsvg.proof.folded_pass import CutPart, FoldedPass, Landing, Layer, Round, Span
from pleatsvg.proof.reassemble import Ends, LaidPart, Point, cut_open, doubled, lies_along, mirrored_line, rejoined
from pleatsvg.proof.spans import (
    FRESH,
    all_one_way,
    ends_of,
    in_cloth_order,
    in_list_order,
    refuse_gaps,
    runs_of,
    span_at,
    span_of,
)
from pleatsvg.result.pattern_lines import PatternLine, ResultPiece
from pleatsvg.tolerance import ON_LINE, SAME_SPOT

Zones = Callable[[str, int, FoundOutline, list[PatternLine], tuple[complex, complex] | None], FoldedPass]
"""What folds a fitted piece: by its name, the pass, the flat seam, the lines and the edge cut on the fold."""


def refold(piece: ResultPiece, zones: Zones | None = None) -> tuple[tuple[FoldedPass, ...], float]:
    """Return a piece's passes, the last one first, and the largest miss of its join lines (mm).

    Args:
        piece: as read.
        zones: folds a fitted piece, zone by zone; None where it is none.

    Raises:
        DrawingError: a line is missing, there twice, or lies where it cannot be folded along.
    """
    # What the person drew goes with its part, as do curves to stitch along: it is folded for pictures alone.
    marks = [mark for mark in piece.marks if mark.role == "carried-line"]
    marks += _stitched_curves(piece)
    lines, joins, parts, round_ = rejoined(replace(piece, lines=(*piece.lines, *marks)))
    drawn = [line for line in lines if line.role in ("balance-line", "carried-line", "shaping-line")]
    lines, points = cut_open([line for line in lines if line.role not in ("carried-line", "shaping-line")])
    seams = [line for line in lines if line.role == "seam-line"]
    if len(seams) != 1 or not seams[0].closed:
        what = "is not closed" if len(seams) == 1 else f"is there {len(seams)} times"
        raise DrawingError(f"The seam line of '{piece.name}'", what, "each cut part has one closed seam line", FRESH)
    seam = FoundOutline(seams[0].strokes[0])
    highest = max((line.pass_ for line in lines if line.crease), default=1)
    edge = next((line for line in lines if line.role == "fold-edge"), None)
    edge_at = ends_of(edge.strokes)[:2] if edge else None
    carried = [line for line in lines if line.role not in ("seam-line", "fold-edge")]
    found: list[FoldedPass] = []
    whole = False
    for number in range(highest, 0, -1):
        own = [line for line in carried if line.pass_ == number]
        if zones is not None:
            found.append(zones(piece.name, number, seam, own, edge_at))
            break  # a fitted piece is pleated in one pass
        one, edge_at, whole = _one_pass(piece.name, number, seam, own, edge_at, whole, points)
        found.append(one)
        seam = one.finished
        carried = [_carried_back(line, one) for line in carried if line.pass_ < number]
    if round_ is not None:
        once = _round_of(found[0], *round_)
        above = found[0].above
        if above is not None:
            above = replace(above, round_=_round_of(above, *round_))
        found[0] = replace(found[0], round_=once, above=above)
        joins = max(joins, *[abs(once.period.of(z) - w) for z, w in zip(once.begin, once.end, strict=True)])
    if parts:
        found[0] = replace(found[0], parts=_in_cloth_order(parts, found[0].creases))
    balance = tuple([line for line in drawn if line.role == "balance-line"])
    drawn += [line for line in lines if line.role == "placement-line" and line.pass_ < highest]
    found[0] = replace(found[0], balance=balance, carried=tuple(drawn))
    return tuple(found), joins


def _stitched_curves(piece: ResultPiece) -> list[PatternLine]:
    # The curves along which fold lines are stitched above a level, from the seam down. A straight one lies on its line.
    curves = [mark for mark in piece.marks if mark.role == "shaping-line" and len(mark.strokes[0]) > 1]
    if not curves:
        return []
    seam = Nearest(tuple([seg for line in piece.lines if line.role == "seam-line" for seg in line.strokes[0]]))
    tops = {(line.pleat, line.folds): line.ends[0] for line in piece.lines if line.role == "fold-line"}
    found: list[PatternLine] = []
    for curve in curves:
        (stroke, *_) = curve.strokes
        top = tops.get((curve.pleat, curve.folds))
        if top is None or abs(stroke[0][0] - top) > _PICTURED:
            continue  # that of the placement line lies beneath it
        on_seam = seam.of(stroke[0][0]).away <= _PICTURED
        found.append(replace(curve, strokes=(stroke if on_seam else stroke[1:],)))
    return found


_PICTURED = 0.01
"""mm. Marks are written with three decimals."""


def _round_of(done: FoldedPass, begin: Ends, end: Ends) -> Round:
    # Folded, the line where the round begins lies one round before that where it ends.
    first, last = moved(begin, done.layers[0].motion), moved(end, done.layers[-1].motion)
    turn = (last[1] - last[0]) / (first[1] - first[0])
    turn /= abs(turn)
    period = Motion(turn, (last[0] + last[1]) / 2 - turn * (first[0] + first[1]) / 2, False)
    return Round((first[0], first[1]), (last[0], last[1]), period)


def _in_cloth_order(parts: Sequence[LaidPart], creases: Sequence[Span]) -> tuple[CutPart, ...]:
    # A join lies at a crease, by which its line is named.
    made = []
    for motion, inside, join in parts:
        crease, allowance = -1, None
        if join is not None:
            wanted = (join.pleat, join.folds)
            crease = next(
                (k for k, c in enumerate(creases) if (c.line.pleat, c.line.folds) == wanted and not c.other_half), -1
            )
            allowance = join.tag.allowance
        made.append(CutPart(motion, inside, crease, allowance))
    made.sort(key=lambda part: part.crease)
    known = next((part.allowance for part in made if part.allowance is not None), None)
    return tuple([part._replace(allowance=known) for part in made])


class _Laid(NamedTuple):
    """The lines of a pass on the seam that they fold, of a whole piece also where half of it is drawn.

    Attributes:
        seam: of the whole.
        spans: of the pleats' lines.
        base: how many creases lie on the mirrored half before the drawn one.
        halves: whether it is one of two halves.
        points: of closed darts, at which lines may end.
    """

    seam: FoundOutline
    spans: list[Span]
    base: int
    halves: bool
    points: tuple[Point, ...] = ()


def _one_pass(
    name: str,
    number: int,
    seam: FoundOutline,
    lines: list[PatternLine],
    edge: tuple[complex, complex] | None,
    whole: bool,
    points: tuple[Point, ...] = (),
) -> tuple[FoldedPass, tuple[complex, complex] | None, bool]:
    finished = _finished(name, number, lines)
    laid = _on_seam(seam, [line for line in lines if is_of_pleat(line)], edge, whole, points)
    halves = laid.halves
    spans = all_one_way(laid.spans)
    creases = [span for span in spans if span.line.crease]
    refuse_gaps(creases)
    seam, places = in_cloth_order(laid.seam, creases)
    others = [span for span in spans if not span.line.crease]
    if seam is not laid.seam:  # it is walked the other way round
        n = len(seam)
        others = [span_at(span, (n - span.top_at) % n, (n - span.hem_at) % n) for span in others]
    creases = [span_at(span, places[k], places[len(creases) + k]) for k, span in enumerate(creases)]
    motions = motions_along(creases, laid.base)
    hand = 1.0 if seam.area > 0 else -1.0
    centre = None
    if edge is not None:
        home = layer_of((edge[0] + edge[1]) / 2, creases, range(len(creases) + 1), hand)
        centre = motions[home].of(edge[0]), motions[home].of(edge[1])
        if halves:
            finished = FoundOutline(doubled(finished, centre))
    if (finished.area > 0) != (seam.area > 0):
        finished = FoundOutline(finished.reversed().segments)
    landings, loose = landings_of(others, creases, hand)
    if halves and centre is not None:
        loose = not_met(loose, creases, motions, centre)
    free = [seg for line in lines if line.role == "free-edge" for stroke in line.strokes for seg in stroke]
    if halves and edge is not None:
        flip = reflection(*edge)
        free += [moved(seg, flip) for seg in free]
    folded = FoldedPass(
        number=number,
        seam=seam,
        finished=finished,
        creases=tuple(creases),
        landings=landings,
        layers=tuple([Layer(motion, runs) for motion, runs in zip(motions, runs_of(seam, places), strict=True)]),
        base=laid.base,
        free=tuple(free),
        cutting=_cutting(lines, edge if halves else None, centre),
        centre=centre if halves else None,
        grain=longest_grain(lines),
        loose=loose,
        points=laid.points,
    )
    return folded, centre, whole or halves


def _finished(name: str, number: int, lines: list[PatternLine]) -> FoundOutline:
    found = [line for line in lines if line.role == "finished-line" and line.closed]
    if len(found) != 1:
        raise DrawingError(
            f"'{name}'",
            f"holds {len(found) or 'no'} finished shape{'s' if len(found) > 1 else ''} for pass {number}",
            "a result keeps one closed 'finished-line' for each pass in a hidden layer, to be proven against",
            "Make a fresh result with 'pleatsvg pleat', and leave its hidden layer in the file.",
        )
    return FoundOutline(found[0].strokes[0])


def _on_seam(
    seam: FoundOutline,
    pleated: list[PatternLine],
    edge: tuple[complex, complex] | None,
    whole: bool,
    points: tuple[Point, ...],
) -> _Laid:
    # `whole` tells that the seam has been made whole by a later pass already.
    spans = in_list_order([span_of(seam, line, points=points) for line in pleated])
    halves = False
    if edge is not None and any(span.line.crease for span in spans):
        halves = whole or not any(span.line.crease and _ends_on(span, edge) for span in spans)
    if not halves or edge is None:
        return _Laid(seam, spans, 0, halves, points)
    if whole and any(line.crease and _meets(line, edge) for line in pleated):
        # They run across the fold edge: each is one with its mirror image.
        return _Laid(seam, in_list_order([span_of(seam, _joined_over(line, edge)) for line in pleated]), 0, halves)
    first = begins_at(seam, edge, [span for span in spans if span.line.crease])
    if not whole:
        seam = FoundOutline(doubled(seam, edge))
        flip = reflection(*edge)
        points = (*points, *[(flip.of(z), flip.turn * way.conjugate()) for z, way in points])
        spans = in_list_order([span_of(seam, line, points=points) for line in pleated])
    others = in_list_order([span_of(seam, mirrored_line(line, edge), True, points) for line in pleated])[::-1]
    base = len([span for span in spans if span.line.crease]) if first else 0
    return _Laid(seam, others + spans if first else spans + others, base, halves, points)


def not_met(
    loose: tuple[str, ...], creases: Sequence[Span], motions: Sequence[Motion], centre: tuple[complex, complex]
) -> tuple[str, ...]:
    # On a fold edge the two halves' folds meet: it is the line to which they are brought, drawn as such or not.
    met = {
        f"{crease.words} has no line to come to lie on"
        for k, crease in enumerate(creases)
        if all(lies_along((motions[k].of(z),) * 2, centre) for z in (crease.top, crease.hem))
    }
    return tuple([words for words in loose if words not in met])


def longest_grain(lines: list[PatternLine]) -> tuple[tuple[Segment, ...], ...]:
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
    top, hem, _ = ends_of(line.strokes)
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


def is_of_pleat(line: PatternLine) -> bool:
    return line.crease or line.role in ("placement-line", "stitch-line")


def begins_at(seam: FoundOutline, edge: tuple[complex, complex], creases: list[Span]) -> bool:
    # Whether a fold edge lies before the first crease rather than behind the last.
    seam, places = in_cloth_order(seam, creases)
    spot = seam.nearest.of((edge[0] + edge[1]) / 2)
    m, n = len(creases), len(seam)
    return (spot.segment + spot.share - places[m - 1]) % n > (places[2 * m - 1] - places[m - 1]) % n


def _ends_on(span: Span, edge: tuple[complex, complex]) -> bool:
    slant = (span.hem - span.top) / (edge[1] - edge[0])
    return abs(slant.imag) > abs(slant.real) and any(lies_along((z, z), edge) for z in (span.top, span.hem))


def motions_along(creases: Sequence[Span], base: int) -> list[Motion]:
    # Of all layers, the one numbered `base` where it is drawn.
    flips = [reflection(span.top, span.hem) for span in creases]
    after = [STAY]
    for flip in flips[base:]:
        after.append(after[-1].after(flip))
    before = [STAY]
    for flip in reversed(flips[:base]):
        before.append(before[-1].after(flip))
    return before[:0:-1] + after


def beyond(z: complex, crease: Span, hand: float) -> float:
    # How far a point lies behind a crease, in mm; negative before it. One that ends at a closed dart goes on along that.
    along = crease.hem - crease.top
    if crease.dart is not None:
        from pleatsvg.geometry.inside import behind_bend

        point, way = crease.dart
        ray = along if abs(crease.top - point) < abs(crease.hem - point) else -along
        return behind_bend(z, point, ray / abs(ray), way, -1j * hand * along / abs(along))
    return -hand * ((z - crease.top) * (along / abs(along)).conjugate()).imag


def layer_of(z: complex, creases: Sequence[Span], among: range, hand: float) -> int:
    # The layer, of those named, in which a point lies deepest.
    best, found = -float("inf"), among[0]
    behind = beyond(z, creases[among[0] - 1], hand) if among[0] else float("inf")
    for k in among:
        # How far it lies behind the crease after a layer is how far it lies behind the one before the next.
        ahead = beyond(z, creases[k], hand) if k < len(creases) else -float("inf")
        deep = min(behind, -ahead)
        if deep > best:
            best, found = deep, k
        behind = ahead
    return found


def landings_of(spans: list[Span], creases: list[Span], hand: float) -> tuple[tuple[Landing, ...], tuple[str, ...]]:
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
        found.append(Landing(span, layer_of((span.top + span.hem) / 2, creases, among, hand), tuple(carried)))
    for k, crease in enumerate(creases):
        tuck = any(creases[j].line.role == "stitch-line" for j in of_pleat[crease.line.pleat, crease.other_half])
        if k not in waited and (crease.line.role == "stitch-line" or (crease.brought and not tuck)):
            loose.append(f"{crease.words} has no line to come to lie on")
    return tuple(found), tuple(loose)


def _carried_back(line: PatternLine, done: FoldedPass) -> PatternLine:
    # A line of an earlier pass, part by part, where it lies once the later pass is folded. What a result was to become
    # is kept as it lies then, and needs no moving.
    if line.role.startswith("finished"):
        return line
    strokes = [
        (moved(part, done.layers[layer].motion),)
        for stroke in line.strokes
        for part, layer in stroke_parted(stroke, done)
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
    for point, way in done.points:
        w = [0.0 if abs(value) < ON_LINE else value for value in heights(seg, point, way)]
        if any(w):
            shares.update(t for t in sign_changes(w) if SAME_SPOT < t < 1 - SAME_SPOT)
    order = sorted(shares)
    every = range(len(done.layers))
    return [
        (cut(seg, a, b), layer_of(point_at(seg, (a + b) / 2), done.creases, every, done.hand))
        for a, b in pairwise(order)
        if b - a > SAME_SPOT
    ]


def stroke_parted(stroke: Sequence[Segment], done: FoldedPass) -> list[tuple[Segment, int]]:
    """Return the same of all segments of a stroke, in order.

    Most of what is drawn is small and lies on one layer, clear of every crease: that is found for the stroke as a whole.
    """
    left, top, right, bottom = box_of([z for seg in stroke for z in seg])
    middle = complex((left + right) / 2, (top + bottom) / 2)
    clear = abs(complex(right, bottom) - middle) + ON_LINE
    behind = [beyond(middle, crease, done.hand) for crease in done.creases]
    if all(abs(off) > clear for off in behind):
        on = [
            k for k in range(len(done.layers)) if (k == 0 or behind[k - 1] > 0) and (k == len(behind) or behind[k] < 0)
        ]
        if len(on) == 1:
            return [(seg, on[0]) for seg in stroke]
    return [part for seg in stroke for part in parted(seg, done)]
