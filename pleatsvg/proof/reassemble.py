"""A result made whole before it is folded: cut parts laid together at their joins, halves mirrored on the fold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.errors import DrawingError
from pleatsvg.geometry.motion import Motion, moved, reflection
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, heading, point_at
from pleatsvg.result.pattern_lines import PatternLine, ResultPiece
from pleatsvg.tolerance import FOLD_BACK, ON_LINE

_ALONG = 0.05
"""mm. What lies this near all along a straight fold edge or join line is that edge."""


def lies_along(points: tuple[complex, ...], edge: tuple[complex, complex]) -> bool:
    """Return whether points lie on the endless line through an edge."""
    along = (edge[1] - edge[0]) / abs(edge[1] - edge[0])
    return all(abs(((z - edge[0]) * along.conjugate()).imag) <= _ALONG for z in points)


def opened(outline: Outline, edge: Sequence[complex]) -> tuple[Segment, ...]:
    """Return an outline's segments without those along a straight edge: a chain from its one end to its other.

    Args:
        outline: closed.
        edge: its ends; of a join that bends at the hip of a fitted piece, that point between them.

    Raises:
        DrawingError: the outline does not run along that edge.
    """
    segs = outline.segments
    n = len(segs)
    on = [any(lies_along(seg, part) for part in pairwise(edge)) for seg in segs]
    best: tuple[float, int, int] = (0.0, 0, 0)
    for start in range(n):
        if on[start] and (not on[start - 1] or n == 1):
            count = 0
            while count < n and on[(start + count) % n]:
                count += 1
            first, last = segs[start][0], segs[(start + count - 1) % n][-1]
            if abs(last - first) > best[0]:
                best = (abs(last - first), start, count)
    length, start, count = best
    if not length or count >= n:
        raise DrawingError(
            "A fold edge or join line",
            f"of {abs(edge[-1] - edge[0]):.1f} mm does not lie on the edge of its part",
            f"the edge must run along it within {_ALONG} mm",
            "Undo the last change in the editor, or make a fresh result.",
        )
    return tuple([segs[(start + count + k) % n] for k in range(n - count)])


def chained(chain: list[Segment]) -> tuple[Segment, ...]:
    """Return segments end to end as a closed outline; ends that miss each other by rounding are made one."""
    made: list[Segment] = []
    for seg in chain:
        if made and abs(seg[0] - made[-1][-1]) > ON_LINE * 100:
            made.append((made[-1][-1], seg[0]))
        start = made[-1][-1] if made else seg[0]
        made.append((start, *seg[1:]))
    if abs(made[-1][-1] - made[0][0]) > ON_LINE * 100:
        made.append((made[-1][-1], made[0][0]))
    else:
        made[-1] = (*made[-1][:-1], made[0][0])
    return tuple(made)


def doubled(outline: Outline, edge: tuple[complex, complex]) -> tuple[Segment, ...]:
    """Return the outline of a whole piece from that of its half, mirrored along the fold edge."""
    chain = opened(outline, edge)
    flip = reflection(*edge)
    return chained([*chain, *[moved(seg, flip)[::-1] for seg in reversed(chain)]])


Point = tuple[complex, complex]
"""Of a closed dart: where it lies, and the direction from there to its mouth, of length 1."""


def cut_open(lines: Sequence[PatternLine]) -> tuple[list[PatternLine], tuple[Point, ...]]:
    """Return the lines of a piece with its seam and cutting line cut open again where darts were closed, and their points.

    There the cloth is folded as if it were cut: about the point of a dart it is a cone, and lies flat only with its angle open
    somewhere.

    Raises:
        DrawingError: a closed dart does not end at the line that it was closed in.
    """
    darts = [line for line in lines if line.role == "closed-dart"]
    if not darts:
        return list(lines), ()
    made: list[PatternLine] = []
    for line in lines:
        if line.role in ("seam-line", "cut-line") and line.closed:
            own = [dart for dart in darts if dart.tag.line == line.role.removesuffix("-line")]
            for dart in own:
                line = replace(line, strokes=(_slit(line.strokes[0], dart),))
        if line.role != "closed-dart":
            made.append(line)
    legs = [dart.strokes[0][0] for dart in darts if dart.tag.line == "seam"]
    return made, tuple([(leg[-1], (leg[0] - leg[-1]) / abs(leg[0] - leg[-1])) for leg in legs])


def _slit(segments: tuple[Segment, ...], dart: PatternLine) -> tuple[Segment, ...]:
    from pleatsvg.geometry.nearest import Nearest

    stroke = dart.strokes[0]
    outline = Outline(segments)
    nearest = Nearest(segments)
    ends = stroke[0][0], stroke[-1][-1]
    spots = [nearest.of(z) for z in ends]
    if len(stroke) != 2 or max(spot.away for spot in spots) > FOLD_BACK:
        raise DrawingError(
            "A closed dart",
            f"ends {max(spot.away for spot in spots):.2f} mm off the line that it was closed in",
            "in the hidden layer it says where the seam is folded as if it were cut",
            "Make a fresh result with 'pleatsvg pleat', and leave its hidden layer in the file.",
        )
    start, end = (spot.segment + spot.share for spot in spots)
    n = len(outline)
    legs = list(stroke)
    if abs(ends[1] - ends[0]) > FOLD_BACK and (end - start) % n > n / 2:
        start, end, legs = end, start, [seg[::-1] for seg in reversed(stroke)]
    step = (end - start) % n if abs(ends[1] - ends[0]) > FOLD_BACK else 0.0
    way = [outline.part(s) for s in outline.stretches(start + step, start + n)]
    return chained([*way, *legs])


def mirrored_line(line: PatternLine, edge: tuple[complex, complex]) -> PatternLine:
    """Return a line as it lies on the other half."""
    return _moved_line(line, reflection(*edge))


def _moved_line(line: PatternLine, motion: Motion) -> PatternLine:
    return replace(line, strokes=tuple([tuple([moved(seg, motion) for seg in stroke]) for stroke in line.strokes]))


class LaidPart(NamedTuple):
    """A cut part: the motion that lays it on the others, a place on its cloth as drawn, and its join line to them."""

    motion: Motion
    inside: complex
    join: PatternLine | None


Ends = tuple[complex, complex]


class Rejoined(NamedTuple):
    """A piece made whole.

    Attributes:
        lines: with its cut parts laid together.
        miss: the largest miss of a join (mm).
        parts: as they were cut; of a piece that goes all round, the one that is opened there counts twice.
        round_: where a round begins and where it ends, on the cloth laid together; None where it does not go all round.
    """

    lines: list[PatternLine]
    miss: float
    parts: tuple[LaidPart, ...]
    round_: tuple[Ends, Ends] | None = None


def rejoined(piece: ResultPiece) -> Rejoined:
    """Return a piece with its cut parts laid together.

    Raises:
        DrawingError: parts are not joined to one another by join lines.
    """
    parts = [line for line in piece.lines if line.role == "seam-line" and line.closed]
    joins = [line for line in piece.lines if line.role == "join-line"]
    opening = next((line for line in piece.lines if line.role == "ring-line"), None)
    if opening is not None and joins:
        parts = _opened_round(parts, opening)
    if len(parts) < 2 or not joins:
        return Rejoined([line for line in piece.lines if line.role not in ("join-line", "ring-line")], 0.0, ())
    outlines = [Outline(part.strokes[0]) for part in parts]
    home: dict[int, list[PatternLine]] = {k: [] for k in range(len(parts))}
    kept: list[PatternLine] = []
    for line in piece.lines:
        if line.role.startswith("finished"):
            kept.append(line)
        elif line.role == "ring-line":
            continue
        elif line.role not in ("seam-line", "cut-line"):
            home[_part_of(line, outlines)].append(line)
    laid: dict[int, Motion] = {0: Motion(1 + 0j, 0j, False)}
    made = [LaidPart(laid[0], _within(outlines[0]), None)]
    chain = list(outlines[0].segments)
    worst = 0.0
    waiting = set(range(1, len(parts)))
    while waiting:
        found = _next_join(home, laid, waiting)
        if found is None:
            raise DrawingError(
                f"'{piece.name}'",
                f"is cut in {len(parts)} parts, of which {len(waiting)} have no join line to the others",
                "a join line with the same number stands on both parts",
                "Make a fresh result with 'pleatsvg pleat'.",
            )
        there, here, k = found
        edge = _points_of(there)
        motion = _laid_on(_ends_of(here), _ends_of(there))
        match = [motion.of(z) for z in _points_of(here)]
        worst = max(worst, _far_apart(match, edge), _far_apart(edge, match))
        laid[k] = motion
        made.append(LaidPart(motion, _within(outlines[k]), here))
        waiting.discard(k)
        moved_part = Outline(tuple([moved(seg, motion) for seg in outlines[k].segments]))
        base = Outline(tuple(chain))
        if (base.area > 0) != (moved_part.area > 0):
            moved_part = moved_part.reversed()
        chain = list(chained([*opened(base, edge), *opened(moved_part, edge)]))
        home[k] = [_moved_line(line, motion) for line in home[k]]
    lines = [replace(parts[0], strokes=(tuple(chain),)), *kept]
    lines += _each_once([line for k in home for line in home[k]])
    round_ = None
    if opening is not None:
        begin = _ends_of(opening)
        round_ = begin, moved(begin, laid[len(parts) - 1])
    return Rejoined(lines, worst, tuple(made), None if round_ is None else (round_[0], (round_[1][0], round_[1][1])))


def _opened_round(parts: list[PatternLine], opening: PatternLine) -> list[PatternLine]:
    # All round: the part on which the round begins and ends is opened there, where no cloth is cut. What lies after that
    # line begins the round and comes first, what lies before it comes last.
    top, hem = _ends_of(opening)
    along = (hem - top) / abs(hem - top)
    middle = (top + hem) / 2
    for k, part in enumerate(parts):
        outline = Outline(part.strokes[0])
        if not outline.holds(middle):
            continue
        hits = sorted(outline.crossings(middle, along), key=lambda hit: hit.along)
        before = [hit for hit in hits if hit.along < 0]
        after = [hit for hit in hits if hit.along > 0]
        if not before or not after:
            break
        up, down = before[-1], after[0]
        n = len(outline)

        def run(start: float, end: float, outline: Outline = outline, n: int = n) -> list[Segment]:
            return [outline.part(s) for s in outline.stretches(start, start + (end - start) % n)]

        # Walked clockwise, the way from the upper end to the lower one goes round what lies to its right.
        first = [*run(up.at, down.at), (down.point, up.point)]
        last = [*run(down.at, up.at), (up.point, down.point)]
        if outline.area < 0:
            first, last = last, first
        halves = [replace(part, strokes=(chained(half),)) for half in (first, last)]
        return [halves[0], *parts[:k], *parts[k + 1 :], halves[1]]
    raise DrawingError(
        "The ring line",
        "does not lie on a part from top to hem",
        "it says where the round begins and ends, in a hidden layer",
        "Make a fresh result with 'pleatsvg pleat'.",
    )


def _within(outline: Outline) -> complex:
    # A place on the cloth, half a millimetre within the middle of its longest edge.
    seg = max(outline.segments, key=lambda seg: abs(seg[-1] - seg[0]))
    way = heading(seg, 0.5)
    return point_at(seg, 0.5) + (0.5j if outline.area > 0 else -0.5j) * way / abs(way)


def _each_once(lines: list[PatternLine]) -> list[PatternLine]:
    # A fold at a join is drawn on both parts, and may be drawn as the join line alone.
    found: list[PatternLine] = []
    seen: set[tuple[object, ...]] = set()
    for line in lines:
        if line.role == "join-line":
            continue
        key = (line.role, line.pass_, line.pleat, line.folds)
        if line.crease and key in seen:
            continue
        seen.add(key)
        found.append(line)
    for line in lines:
        key = ("inner-fold-line", line.pass_, line.pleat, line.folds)
        if line.role == "join-line" and line.pleat and len(line.folds) == 1 and key not in seen:
            seen.add(key)
            found.append(replace(line, tag=line.tag._replace(role="inner-fold-line", crease=True, join="")))
    return found


def _part_of(line: PatternLine, outlines: list[Outline]) -> int:
    points: Sequence[complex] = [z for stroke in line.strokes for seg in stroke for z in (seg[0], seg[-1])]
    if line.role == "free-edge":
        # It runs along the edge of its part, from node to node.
        def off(outline: Outline) -> float:
            return sum(min(abs(seg[0] - z) for seg in outline.segments) for z in points)

        return min(range(len(outlines)), key=lambda k: off(outlines[k]))
    # A line that bends at the hip of a fitted piece may leave its part between its ends.
    bends = len(points) > 2 and (line.crease or line.role in ("placement-line", "join-line", "hip-level-line"))
    if bends:
        points = max(
            [(seg[0], seg[-1]) for stroke in line.strokes for seg in stroke], key=lambda ends: abs(ends[1] - ends[0])
        )
    middle = (points[0] + points[-1]) / 2
    for k, outline in enumerate(outlines):
        if outline.holds(middle):
            return k
    for k, outline in enumerate(outlines):
        if outline.holds(middle, 0.5):
            return k
    return 0


def _ends_of(line: PatternLine) -> tuple[complex, complex]:
    return line.strokes[0][0][0], line.strokes[-1][-1][-1]


def _points_of(line: PatternLine) -> list[complex]:
    # A join line from end to end, with the point where it bends at the hip of a fitted piece.
    return [line.strokes[0][0][0], *[seg[-1] for stroke in line.strokes for seg in stroke]]


def _far_apart(one: Sequence[complex], other: Sequence[complex]) -> float:
    # How far the nodes of a join line lie from those, or the straight parts, of its match.
    ends = max(abs(one[0] - other[0]), abs(one[-1] - other[-1]))
    from pleatsvg.geometry.nearest import Nearest

    near = Nearest(tuple(pairwise(other)))
    return max(ends, *[near.of(z).away for z in one])


def _next_join(
    home: dict[int, list[PatternLine]], laid: dict[int, Motion], waiting: set[int]
) -> tuple[PatternLine, PatternLine, int] | None:
    for k in laid:
        for there in home[k]:
            if there.role != "join-line":
                continue
            for j in sorted(waiting):
                for here in home[j]:
                    if here.role == "join-line" and here.tag.join == there.tag.join:
                        return there, here, j
    return None


def _laid_on(line: tuple[complex, complex], onto: tuple[complex, complex]) -> Motion:
    turn = (onto[1] - onto[0]) / (line[1] - line[0])
    turn /= abs(turn)
    return Motion(turn, (onto[0] + onto[1]) / 2 - turn * (line[0] + line[1]) / 2, False)
