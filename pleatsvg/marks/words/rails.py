"""The lines of the flat piece in the order of the cloth, each as words go along it. All in mm."""

from __future__ import annotations

import math
from collections.abc import Mapping
from operator import itemgetter
from typing import NamedTuple

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.marks.arrows import Arrows, stitched_span
from pleatsvg.marks.stitching import StitchingLine
from pleatsvg.result.lettering import readable
from pleatsvg.result.roles import Role

KEEP_TOP = 30.0


KEEP_HEM = 20.0
"""mm at the ends of a line that are left to signs, arrows and the names of edges."""


OVERLAP = 6.0
"""mm of a line that is seen in part that its words stand beside, at the least."""


class Rail(NamedTuple):
    """One line of the flat piece among its neighbours; words beside it keep between `low` and `high`, from its top, and
    begin before `last`.

    `role` is None for a join; `out` is how far beyond its hem end it runs on through the allowance; `seen` is how far down it
    is seen, its length where it is seen whole. On the side `stitched` of it, +1 for the lane after it, stitching lies beside
    it, down to `reach` and up to `aside` away; where there are two lines of it, the further one down to `other_reach`.
    """

    top: complex
    along: complex
    length: float
    low: float
    high: float
    turn: float
    role: Role | None
    pleat: int
    text: str
    place: tuple[int, ...]
    out: float
    last: float = math.inf
    seen: float = math.inf
    stitched: float = 0.0
    reach: float = 0.0
    aside: float = 0.0
    other_reach: float = 0.0


def rails_of(
    unfolded: Unfolded,
    layers: dict[tuple[int, int], str],
    arrows: Arrows,
    sewn: Mapping[tuple[int, int], list[StitchingLine]],
    mark: float | None,
    hand: float,
) -> list[Rail]:
    # Creases lie between layers, placement lines on them: at their end where the pleat begins with one, at their start
    # where it ends with one, half-way in an inverted pleat.
    first: dict[int, int] = {}
    last: dict[int, int] = {}
    for crease in unfolded.creases:
        first.setdefault(crease.pleat, crease.layer)
        last[crease.pleat] = crease.layer + 1
    joins = {join.crease for join in unfolded.joins}
    keyed: list[tuple[float, Rail]] = []
    for line in (*unfolded.creases, *unfolded.placements):
        role, pleat, place, top, hem, layer = line[:6]
        if not role.crease:
            key = layer + (0.6 if layer == first[pleat] else 0.4 if layer == last[pleat] else 0.5)
            text = role.words.format(pleat, layers.get((pleat, -place[0]), ""))
        else:
            key = layer + 1.0
            text = "" if layer in joins else role.words.format(pleat, layers.get((pleat, place[0]), ""))
        way = hem - top
        length = abs(way)
        along = way / length
        low, high = min(KEEP_TOP, length / 4), length - KEEP_HEM
        rail = Rail(top, along, length, low, high, readable(along), role, pleat, text, place, abs(line.out_hem - hem))
        if pleat in arrows.stitched:
            start, end = stitched_span(length, arrows.stitched[pleat])
            if start > 0 or end < length:
                rail = rail._replace(low=max(low, start + 4.0), last=end - OVERLAP, seen=end)
        elif mark is not None and mark < length:
            rail = rail._replace(last=mark - OVERLAP, seen=mark)
        if role is Role.FOLD and (pleat, place[0]) in sewn:
            beside = sewn[pleat, place[0]]
            ways = [line.runs[0][0] for line in beside]
            rail = rail._replace(
                stitched=1.0 if (beside[0].words_side * (-1j * hand * along).conjugate()).real > 0 else -1.0,
                reach=max([abs(run[1] - run[0]) for run in ways]),
                other_reach=abs(ways[-1][1] - ways[-1][0]) if len(ways) > 1 else 0.0,
                aside=max([abs(((run[0] - top) * along.conjugate()).imag) for run in ways]),
            )
        keyed.append((key, rail))
    for join in unfolded.joins:
        top, hem = join.to_hem(1)
        length = abs(hem - top)
        along = (hem - top) / length
        low, high = min(KEEP_TOP, length / 4), length - KEEP_HEM
        pleat = unfolded.creases[join.crease].pleat
        rail = Rail(top, along, length, low, high, readable(along), None, pleat, "", (join.number,), 0)
        keyed.append((join.crease + 1.05, rail))
    keyed.sort(key=itemgetter(0))
    return [rail for _, rail in keyed]
