"""The figures of every pleat, from the lines of a result as they are folded back: of a file as of what was just made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from operator import itemgetter
from typing import NamedTuple

from pleatsvg.kinds import is_kick
from pleatsvg.proof.folded_pass import FoldedPass, Landing, Span
from pleatsvg.result.figures import Ends, LineFigures, PleatFigures, intake_at


def figures_of(passes: Sequence[FoldedPass]) -> tuple[PleatFigures, ...]:
    """Return the figures of every pleat, pass by pass from the first, in the order of their numbers."""
    return tuple([pleat for done in reversed(passes) for pleat in _of_pass(done)])


def _of_pass(done: FoldedPass) -> list[PleatFigures]:
    # Of a half piece the mirrored half is left out: what is drawn begins or ends at the fold edge.
    own = [k for k, crease in enumerate(done.creases) if not crease.other_half]
    if not own:
        return []
    # Of a fitted piece what is at the top is told by the zone above the hip.
    upper = done.above or done
    along = (_Along(upper, own, True), _Along(done, own, False))
    landings: dict[int, list[Landing]] = {}
    at_top: dict[int, list[Landing]] = {}
    for landing, over in zip(done.landings, upper.landings, strict=True):
        if not landing.span.other_half:
            landings.setdefault(landing.span.line.pleat, []).append(landing)
            at_top.setdefault(landing.span.line.pleat, []).append(over)
    creases: dict[int, list[int]] = {}
    for k in own:
        creases.setdefault(done.creases[k].line.pleat, []).append(k)
    made: list[PleatFigures] = []
    numbers = list(creases)
    hip = _AtHip(done, own, landings) if done.above is not None else None
    at = {
        number: [
            [way.finished(landing) for landing in there.get(number, ())]
            for way, there in zip(along, (at_top, landings), strict=True)
        ]
        for number in numbers
    }
    points = {number: _point(done, creases[number]) for number in numbers}
    for number, after in zip(numbers, [*numbers[1:], None], strict=True):
        tag = done.creases[creases[number][0]].line.tag
        kick = is_kick(tag.kind)
        onto = landings.get(number, [])
        first = [min(row, default=None) for row in at[number]]
        last = [max(row, default=None) for row in at[number]]
        following = [way.end for way in along] if after is None else [min(row, default=None) for row in at[after]]
        level = hip.of(number, after) if hip is not None else _NOWHERE
        ends = PleatFigures(
            pass_=done.number,
            number=number,
            kind=tag.kind,
            lap=tag.lap,
            stack=_stack(onto),
            intake=Ends(_intake(upper, at_top.get(number, []), True), _intake(done, onto, False), level.intake),
            from_edge=Ends(None if kick else first[0], first[1], level.from_edge),
            face=Ends(_between(first[0], last[0]), _between(first[1], last[1]), level.face),
            spacing=Ends(
                None
                if kick or (after is not None and _kicks(done, creases[after]))
                else _between(last[0], following[0]),
                _between(last[1], following[1]),
                level.spacing,
            ),
            lines=_lines((upper, done), creases[number], (at_top.get(number, []), onto), along, kick, hip),
            point=points[number],
        )
        made.append(_at_points(ends, "" if after is None else points[after]) if any(points.values()) else ends)
    return made


def _point(done: FoldedPass, creases: Sequence[int]) -> str:
    # Which end of a pleat lies at the point of a closed dart.
    for k in creases:
        for name, z in (("top", done.creases[k].top), ("hem", done.creases[k].hem)):
            if any(abs(z - point) <= _ON_EDGE for point, _ in done.points):
                return name
    return ""


def _at_points(pleat: PleatFigures, next_: str) -> PleatFigures:
    # Without what would be counted along a seam from the point of a closed dart, which lies on none.
    spacing = pleat.spacing
    for name in {pleat.point, next_} - {""} if pleat.point != next_ else ():
        spacing = replace(spacing, **{name: None})
    if not pleat.point:
        return replace(pleat, spacing=spacing)
    gone: dict[str, float | None] = {pleat.point: None}
    lines = [replace(line, from_edge=replace(line.from_edge, **gone)) for line in pleat.lines]
    return replace(pleat, spacing=spacing, from_edge=replace(pleat.from_edge, **gone), lines=tuple(lines))


def _kicks(done: FoldedPass, creases: Sequence[int]) -> bool:
    return is_kick(done.creases[creases[0]].line.tag.kind)


def _between(start: float | None, end: float | None) -> float | None:
    return None if start is None or end is None else end - start


def _stack(onto: Sequence[Landing]) -> int:
    # The folds that are brought onto one line from one side.
    return max(
        [
            max(sum(k < landing.layer for k in landing.creases), sum(k >= landing.layer for k in landing.creases))
            for landing in onto
        ],
        default=1,
    )


def _intake(done: FoldedPass, onto: Sequence[Landing], top: bool) -> float:
    def end(span: Span) -> complex:
        return span.top if top else span.hem

    return sum([intake_at(end(landing.span), [end(done.creases[k]) for k in landing.creases]) for landing in onto])


def _lines(
    zones: tuple[FoldedPass, FoldedPass],
    creases: Sequence[int],
    onto: tuple[Sequence[Landing], Sequence[Landing]],
    along: tuple[_Along, _Along],
    kick: bool,
    hip: _AtHip | None,
) -> tuple[LineFigures, ...]:
    # A landing on layer k lies between crease k - 1 and crease k.
    placed = [(k + 0.5, zones[0].creases[k], zones[1].creases[k]) for k in creases]
    placed += [(float(low.layer), high.span, low.span) for high, low in zip(*onto, strict=True)]
    placed.sort(key=lambda item: item[0])
    return tuple(
        [
            LineFigures(
                low.line.role,
                low.line.folds,
                Ends(
                    None if kick else along[0].flat(place, high),
                    along[1].flat(place, low),
                    hip.flat(low) if hip is not None else None,
                ),
            )
            for place, high, low in placed
        ]
    )


class _Level(NamedTuple):
    """The figures of a pleat at the hip level, mm; None of one that is not fitted."""

    intake: float | None = None
    from_edge: float | None = None
    face: float | None = None
    spacing: float | None = None


_NOWHERE = _Level()


class _AtHip:
    """Distances along the hip level of a fitted piece, from the edge of the piece: folded from hip point to hip point, and
    flat from line to line where they bend."""

    def __init__(self, done: FoldedPass, own: Sequence[int], landings: Mapping[int, Sequence[Landing]]) -> None:
        self._done = done
        layers = done.layers
        spots = [(one.layer, number, _hip_point(done, one)) for number in landings for one in landings[number]]
        spots.sort(key=itemgetter(0))
        flat = [(k + 0.5, done.creases[k]) for k in own]
        flat += [(float(one.layer), one.span) for row in landings.values() for one in row]
        flat.sort(key=itemgetter(0))
        begin, end = [z for z, _ in done.level]
        first, last = layers[0].motion.of(begin), layers[-1].motion.of(end)
        if done.centre is not None and len(own) < len(done.creases):
            # The drawn half begins, or ends, at the fold edge.
            if own[0] > 0:
                first = _at_centre(done, done.centre, own[0], spots[0][2])
                begin = layers[own[0]].motion.back(first)
            else:
                last = _at_centre(done, done.centre, own[-1] + 1, spots[-1][2])
        self._at: dict[int, list[float]] = {}
        gone, here = 0.0, first
        for _, number, spot in spots:
            gone, here = gone + abs(spot - here), spot
            self._at.setdefault(number, []).append(gone)
        self._end = gone + abs(last - here)
        ends = {number: [level_ends(done, one) for one in onto] for number, onto in landings.items()}
        self._intakes = {number: sum([intake_at(*one) for one in row]) for number, row in ends.items()}
        known: dict[int, complex] = {}
        for number, onto in landings.items():
            for one, (near, folds) in zip(onto, ends[number], strict=True):
                known[id(one.span)] = near
                known |= {id(done.creases[k]): z for k, z in zip(one.creases, folds, strict=True)}
        self._flat: dict[int, float] = {}
        gone, here = 0.0, begin
        for at, (_, span) in enumerate(flat):
            there = known.get(id(span))
            if (
                there is None
            ):  # an inner fold, which bends beside the level as well: where it crosses the way to the next line
                after = next((known[id(other)] for _, other in flat[at + 1 :] if id(other) in known), span.top)
                there = _met(span, here, after)
            gone, here = gone + abs(there - here), there
            self._flat[id(span)] = gone

    def of(self, number: int, after: int | None) -> _Level:
        """Return the figures of a pleat, and of what is seen up to the next one, or to the other edge."""
        at = self._at[number]
        following = self._end if after is None else self._at[after][0]
        return _Level(self._intakes[number], at[0], at[-1] - at[0], following - at[-1])

    def flat(self, span: Span) -> float:
        """Return how far from the edge of the piece a line lies along the flat hip level."""
        return self._flat[id(span)]


def _hip_point(done: FoldedPass, landing: Landing) -> complex:
    # Folded, where the fold bends that bounds a panel: it is the farthest from the line that it is brought onto. That line,
    # and the other folds of a stack, slide beneath it by a hair.
    far = max(landing.creases, key=lambda k: abs(k + 0.5 - landing.layer), default=None)
    if far is None:
        return done.layers[landing.layer].motion.of(landing.span.top)
    return done.layers[far].motion.of(done.creases[far].top)


def level_ends(done: FoldedPass, landing: Landing) -> tuple[complex, list[complex]]:
    """Return the points of a line and of the folds that are brought there which come to lie on one another at the hip level,
    on the flat piece. Hidden lines bend beside them, where the layers of an inverted pleat or of a stack slide.

    Args:
        done: of a fitted piece, what lies below the hip.
        landing: of that line.
    """
    there = _hip_point(done, landing)
    return done.layers[landing.layer].motion.back(there), [done.layers[k].motion.back(there) for k in landing.creases]


def _met(span: Span, start: complex, end: complex) -> complex:
    # Where the line of a crease meets the way from one point to another; where it bends, if it runs along with it.
    way, along = end - start, span.hem - span.top
    across = (way * along.conjugate()).imag
    if abs(across) <= 1e-6 * abs(way) * abs(along):
        return span.top
    return start + way * (((span.top - start) * along.conjugate()).imag / across)


def _at_centre(done: FoldedPass, centre: tuple[complex, complex], layer: int, spot: complex) -> complex:
    # Where the hip level meets the fold edge, folded; at half a pleat there, along which cloth slides, beside its hip point.
    square = _square_to(spot, centre)
    if abs(spot - square) < _ON_EDGE:
        return square
    ends = [done.layers[layer].motion.of(done.hip_level[k]) for k in (0, -1)]
    return min(ends, key=lambda z: abs(z - _square_to(z, centre)))


_ON_EDGE = 0.1
"""mm. A fold as near to the fold edge is that of half a pleat on it."""


def _square_to(spot: complex, line: tuple[complex, complex]) -> complex:
    way = (line[1] - line[0]) / abs(line[1] - line[0])
    return line[0] + way * ((spot - line[0]) * way.conjugate()).real


class _Along:
    """Distances along the top seam, or along the hem, from the edge of the piece to its lines: finished and flat."""

    def __init__(self, done: FoldedPass, own: Sequence[int], top: bool) -> None:
        self._done, self._top, self._at_first = done, top, own[0]
        outline = done.finished
        places = [self._on(done.layers[k].motion.of(self._end(done.creases[k]))) for k in own]
        self._base = places[0]
        beyond = [self._counted_on(place) for place in places]
        low, high = min(beyond), max(beyond)
        start, stop = map(float, outline.corners_around(low, high))
        if done.round_ is not None:
            # Hidden cloth may reach beyond both ends of the round, where its folds lie by the side of it.
            ends = [self._on(line[0 if top else 1]) for line in (done.round_.begin, done.round_.end)]
            start, stop = [self._counted_on(place) for place in (ends if top else ends[::-1])]
        elif done.centre is not None and len(own) < len(done.creases):
            # The drawn half begins, or ends, at the fold edge.
            edges = [self._on(z) for z in done.centre]
            if (own[0] > 0) == top:
                start = low - min(self._ahead(edge, low) for edge in edges)
            else:
                stop = high + min(self._ahead(high, edge) for edge in edges)
        self._start, self._stop = start, stop
        self.end = outline.sewn_distance(start, stop)

    def _end(self, span: Span) -> complex:
        return span.top if self._top else span.hem

    def _on(self, z: complex) -> float:
        spot = self._done.finished.nearest.of(z)
        return spot.segment + spot.share

    def _counted_on(self, place: float) -> float:
        # The same place, counted on like that of the first fold and not half a round away from it.
        return self._done.finished.counted_near(place, self._base)

    def _ahead(self, start: float, end: float) -> float:
        # How far a place lies ahead of another one; half a pleat on the fold edge may come to lie a hair behind it.
        outline = self._done.finished
        n = len(outline)
        step = (end - start) % n
        return 0.0 if outline.distance(start + step, start + n) <= _ON_EDGE else step

    def finished(self, landing: Landing) -> float:
        """Return how far from the edge of the piece a line lies that folds are brought onto, folded."""
        return self._finished_at(self._done.layers[landing.layer].motion.of(self._end(landing.span)))

    def _finished_at(self, z: complex) -> float:
        outline = self._done.finished
        place = min(max(self._counted_on(self._on(z)), self._start), self._stop)
        # The hem is walked from its right end to its left.
        return outline.sewn_distance(self._start, place) if self._top else outline.sewn_distance(place, self._stop)

    def flat(self, place: float, span: Span) -> float:
        """Return how far from the edge of the piece a line lies along the flat seam.

        Args:
            place: of the line among the layers: crease k lies at k + 0.5.
            span: the line.
        """
        seam, first = self._done.seam, self._done.creases[self._at_first]
        begin = self._finished_at(self._done.layers[self._at_first].motion.of(self._end(first)))
        here, base = (span.top_at, first.top_at) if self._top else (first.hem_at, span.hem_at)
        if place > self._at_first:
            return begin + seam.distance(base, base + (here - base) % len(seam))
        return begin - seam.distance(here, here + (base - here) % len(seam))
