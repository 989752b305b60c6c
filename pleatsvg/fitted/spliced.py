"""The flat piece of a fitted one: its top from the flat piece above the hip, all else from the one below."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from itertools import groupby, islice, pairwise
from operator import itemgetter

from pleatsvg.errors import ProofError
from pleatsvg.flat.flat_piece import FlatLine, Join, Unfolded, flat_line
from pleatsvg.flat.once_round import FlatEdge, Origin
from pleatsvg.flat.unfold import Bounds, layers_lie_apart, lie_in_rows
from pleatsvg.geometry.motion import Motion, moved
from pleatsvg.geometry.selfcross import crosses_between
from pleatsvg.tolerance import ON_LINE, ONE_PANEL, ONE_PANEL_TURN

ABOVE, BELOW = "above", "below"


ZoneRun = tuple[str, tuple[Origin, ...]]
"""A zone, and what edges in a row claim to be in it."""


@dataclass(frozen=True, slots=True)
class Spliced:
    """The flat piece, and what is needed to fold it back zone by zone.

    Attributes:
        flat: the whole; its creases and placement lines bend at the hip level, and its layers' motions are those below.
        seam_of, cut_of: of its seam and of its cutting line the runs of edges that fold in one zone, in order: that zone, and
            for each edge the segment of that zone's finished line that it claims to be.
        above, below: the flat pieces of the two zones, as wholes: their creases and placement lines are the parts there.
        slide: how far the flat piece above was moved to lie on its panels below, as it is with half a pleat on the fold edge.
    """

    flat: Unfolded
    seam_of: tuple[ZoneRun, ...]
    cut_of: tuple[ZoneRun, ...]
    above: Unfolded
    below: Unfolded
    slide: complex = 0j

    def hip_levels(self, points: Sequence[tuple[complex, int]]) -> tuple[tuple[complex, ...], ...]:
        """Return the hip level on the flat piece: from side to side, over all layers, through where the lines bend.

        Of a piece in parts it has a row for each stretch between joins, in the order of the cloth; all round, the first begins
        where the round does, and the last ends there.

        Args:
            points: its `level_points`.
        """
        rows: list[list[complex]] = [[]]
        beyond = {join.crease + 1: join.bends for join in self.flat.joins}
        before = 0
        for z, layer in points:
            rows[-1].append(z)
            bends = beyond.get(layer) if layer != before else None
            before = layer
            if bends is not None:
                rows.append([bends[1]])
        return tuple([tuple([z for k, z in enumerate(row) if not k or abs(z - row[k - 1]) > ON_LINE]) for row in rows])

    def level_points(self, ends: tuple[complex, complex]) -> list[tuple[complex, int]]:
        """Return the corners of the hip level, each with the layer on which it runs on from there.

        Args:
            ends: on the drawn piece, where it meets the sides.
        """
        first: dict[int, int] = {}
        last: dict[int, int] = {}
        for crease in self.flat.creases:
            first.setdefault(crease.pleat, crease.layer)
            last[crease.pleat] = crease.layer + 1
        row: list[tuple[float, complex]] = []
        for line in (*self.flat.creases, *self.flat.placements):
            assert line.bend is not None
            beside = 0.6 if line.layer == first[line.pleat] else 0.4 if line.layer == last[line.pleat] else 0.5
            row.append((line.layer + (1.0 if line.role.crease else beside), line.bend))
        row.sort(key=itemgetter(0))
        motions = self.below.motions
        last_layer = len(motions) - 1
        return [(motions[0].of(ends[0]), 0), *[(z, int(at)) for at, z in row], (motions[-1].of(ends[1]), last_layer)]


def level_by_layer(points: Sequence[tuple[complex, int]]) -> tuple[tuple[int, tuple[complex, complex]], ...]:
    """Return the hip level in pieces, each with the layer that it lies on, from its `Spliced.level_points`."""
    return tuple([(layer, (a, b)) for (a, layer), (b, _) in pairwise(points) if abs(b - a) > ON_LINE])


def zones_lie_apart(made: Spliced, hand: float) -> bool:
    """Return True where it is plain that the flat piece lies nowhere over itself; False where that takes a closer look.

    No two layers of one zone lie over each other where each lies wholly beyond the crease that begins it and all before
    it on the near side, and its outline is simple where, besides, the edges of the two zones do not cross.

    Args:
        made: the flat piece.
        hand: +1 where the outline is walked clockwise on the page.
    """
    if made.below.trimmed or made.flat.joins:
        return False
    of: dict[str, list[int]] = {ABOVE: [], BELOW: []}
    at = 0
    for zone, origins in made.cut_of or made.seam_of:
        of[zone] += range(at, at + len(origins))
        at += len(origins)
    # The edges of both zones are those of the whole.
    edges = made.flat.cut or made.flat.seam
    bounds = [Bounds.of([edges[k] for k in of[zone]]) for zone in (ABOVE, BELOW)]
    if not lie_in_rows([made.above, made.below], hand, bounds) and not (
        layers_lie_apart(made.above, hand) and layers_lie_apart(made.below, hand)
    ):
        return False
    boxes = [own.boxes for own in bounds]
    return not crosses_between(made.flat.cuts[0], of[ABOVE], of[BELOW], (boxes[0], boxes[1]))


def laid_on_panels(above: Unfolded, below: Unfolded, panels: Sequence[Motion | None]) -> tuple[Unfolded, complex]:
    """Return the flat piece above the hip where it lies on the flat piece below, and by how much it was moved for that.

    Of a half pleat on the fold edge the cloth beside that edge slides along it; all else lies there already.

    Args:
        above, below: as unfolded.
        panels: of the panels of the flat pieces, the motion that closes each; None where it is hidden cloth beside a fold edge.

    Raises:
        ProofError: a panel above the hip is not one with its panel below.
    """
    seen = [(layer, panel) for layer, panel in zip(below.panels, panels, strict=True) if panel is not None]
    layer, panel = seen[0]
    slide = below.motions[layer].after(above.motions[layer].after(panel).inverse)
    for layer, panel in seen:
        own, there = slide.after(above.motions[layer]).after(panel), below.motions[layer]
        off = abs(own.shift - there.shift)
        if own.flips != there.flips or abs(own.turn - there.turn) > ONE_PANEL_TURN or off > ONE_PANEL:
            raise ProofError(
                "The piece above the bend of its lines",
                f"lies {off:.6f} mm off a panel below it",
                "each panel is one piece of cloth from top to hem",
                "Nothing was written. Move the slash lines apart, or let less vanish in them.",
            )
    if abs(slide.shift) < 1e-9:
        return above, 0j
    return _moved(above, Motion(1 + 0j, slide.shift, False)), slide.shift


def _moved(flat: Unfolded, by: Motion) -> Unfolded:
    def line(one: FlatLine) -> FlatLine:
        return one._replace(
            top=by.of(one.top), hem=by.of(one.hem), out_top=by.of(one.out_top), out_hem=by.of(one.out_hem)
        )

    def edges(row: tuple[FlatEdge, ...]) -> tuple[FlatEdge, ...]:
        return tuple([edge._replace(points=moved(edge.points, by)) for edge in row])

    return replace(
        flat,
        seam=edges(flat.seam),
        cut=edges(flat.cut),
        creases=tuple(map(line, flat.creases)),
        placements=tuple(map(line, flat.placements)),
        motions=tuple([by.after(motion) for motion in flat.motions]),
        joins=tuple(
            [
                join._replace(
                    before=(by.of(join.before[0]), by.of(join.before[1])),
                    after=(by.of(join.after[0]), by.of(join.after[1])),
                )
                for join in flat.joins
            ]
        ),
        fold_edge=None if flat.fold_edge is None else (by.of(flat.fold_edge[0]), by.of(flat.fold_edge[1])),
    )


def spliced(
    above: Unfolded,
    below: Unfolded,
    level: tuple[AbstractSet[int], AbstractSet[int]],
    level_cut: tuple[AbstractSet[int], AbstractSet[int]],
    drawn: tuple[Callable[[Sequence[FlatEdge]], list[FlatEdge]], Callable[[Sequence[FlatEdge]], list[FlatEdge]]],
    slide: complex,
) -> Spliced:
    """Return the flat piece as one.

    Args:
        above, below: the flat pieces, lying on their common panels.
        level, level_cut: for the zone above and the zone below, which segments of its finished line lie along the hip.
        drawn: for both zones, makes of edges, which say what part of its finished seam they are, such as say that of the drawn
            seam.
        slide: by how much the flat piece above was moved.
    """
    seam, seam_of, seam_loops = _joined(above, below, False, level)
    rest = iter(seam)
    seam = tuple([edge for zone, origins in seam_of for edge in drawn[zone == BELOW](list(islice(rest, len(origins))))])
    cut, cut_of, cut_loops = _joined(above, below, True, level_cut)
    lines, *of_zones = _bent((*above.creases, *above.placements), (*below.creases, *below.placements))
    count = len(below.creases)
    fold = None
    if above.fold_edge is not None and below.fold_edge is not None:
        fold = above.fold_edge[0], below.fold_edge[1]
    ring = None
    if above.ring is not None and below.ring is not None:
        ring = above.ring[0], below.ring[1]
    joins = tuple([_bent_join(one, other) for one, other in zip(above.joins, below.joins, strict=True)])
    flat = replace(
        below,
        seam=seam,
        cut=cut,
        creases=tuple(lines[:count]),
        placements=tuple(lines[count:]),
        seam_loops=seam_loops,
        cut_loops=cut_loops,
        joins=joins,
        ring=ring,
        fold_edge=fold,
        out_chords=(),
    )
    zones = [
        replace(
            zone,
            creases=tuple(own[:count]),
            placements=tuple(own[count:]),
            joins=zone_joins(joins, name) if joins else (),
        )
        for zone, own, name in zip((above, below), of_zones, (ABOVE, BELOW), strict=True)
    ]
    return Spliced(flat, seam_of, cut_of, zones[0], zones[1], slide)


_Row = tuple[tuple[FlatEdge, ...], tuple[ZoneRun, ...], tuple[int, ...]]
"""Edges of the flat piece, the runs in which they fold, and how many bound each part."""


def _joined(above: Unfolded, below: Unfolded, cut: bool, level: tuple[AbstractSet[int], AbstractSet[int]]) -> _Row:
    # The edges of the one and of the other without those along the hip level, part by part.
    if below.joins:
        return _joined_parts(above, below, cut, level)
    lower, upper = (below.cut, above.cut) if cut else (below.seam, above.seam)
    if not lower:
        return (), (), ()
    along = level[1]
    at = next(k for k, edge in enumerate(lower) if edge.origin[0] in along)
    before, after = list(lower[:at]), [edge for edge in lower[at:] if edge.origin[0] not in along]
    own = [edge for edge in upper if edge.origin[0] not in level[0]]
    row = [*before, *own, *after]
    bounds = 0, len(before), len(before) + len(own)
    for k in set(bounds):  # within a zone each begins where the one before it ends
        if k < len(row):
            row[k] = _from(row[k - 1].points[-1], row[k])
    origins = tuple([origin for _, _, origin in row])
    runs = [
        (zone, origins[a:b]) for zone, (a, b) in zip((BELOW, ABOVE, BELOW), pairwise((*bounds, len(row))), strict=True)
    ]
    return tuple(row), tuple(runs), (len(row),)


def _joined_parts(
    above: Unfolded, below: Unfolded, cut: bool, level: tuple[AbstractSet[int], AbstractSet[int]]
) -> _Row:
    made: list[tuple[FlatEdge, str]] = []
    loops: list[int] = []
    for upper, lower in zip(_parts(above, cut), _parts(below, cut), strict=True):
        row = _one_loop(upper, lower, level)
        for k in range(len(row)):
            (one, zone), (other, own) = row[k - 1], row[k]
            if zone != own and one.origin[0] < 0 and other.origin[0] < 0:
                # Along a join, or beyond one: where the line of the one zone meets that of the other.
                spot = _meeting(one.points, other.points)
                row[k - 1] = one._replace(points=(one.points[0], spot)), zone
                row[k] = other._replace(points=(spot, other.points[1])), own
            else:
                row[k] = _from(one.points[-1], other), own
        made += row
        loops.append(len(row))
    runs = [(zone, tuple([edge.origin for edge, _ in own])) for zone, own in groupby(made, itemgetter(1))]
    return tuple([edge for edge, _ in made]), tuple(runs), tuple(loops)


def _parts(flat: Unfolded, cut: bool) -> list[tuple[FlatEdge, ...]]:
    edges = iter(flat.cut if cut else flat.seam)
    return [tuple(islice(edges, count)) for count in (flat.cut_loops if cut else flat.seam_loops)]


def _one_loop(
    upper: tuple[FlatEdge, ...], lower: tuple[FlatEdge, ...], level: tuple[AbstractSet[int], AbstractSet[int]]
) -> list[tuple[FlatEdge, str]]:
    mine = [edge.origin[0] not in level[0] for edge in upper]
    # All that lies above the hip, from where that level ends on one side.
    start = next((k for k, own in enumerate(mine) if own and not mine[k - 1]), None)
    if start is None:
        start = _after_gap(upper)
    top = [(upper[k], ABOVE) for k in (*range(start, len(upper)), *range(start)) if mine[k]]
    rest = [(edge, BELOW) if edge.origin[0] not in level[1] else None for edge in lower]
    at = rest.index(None) if None in rest else _after_gap(lower)
    return [one for one in (*rest[:at], *top, *rest[at:]) if one is not None]


def _after_gap(edges: Sequence[FlatEdge]) -> int:
    # Between two folds of one edge the hip level has no length: where the loop leaves off there.
    return max(range(len(edges)), key=lambda k: abs(edges[k].points[0] - edges[k - 1].points[-1]))


def _from(spot: complex, edge: FlatEdge) -> FlatEdge:
    # The two parts of a fold edge along which cloth slides at the hip overlap, or leave a gap: the second begins where the
    # first one ends, on the same straight line.
    if len(edge.points) != 2 or abs(edge.points[0] - spot) <= ON_LINE:
        return edge
    a, b = edge.points
    share = ((spot - a) / (b - a)).real
    index, t0, t1 = edge.origin
    return FlatEdge((spot, b), edge.layer, (index, t0 + (t1 - t0) * share, t1))


def _meeting(one: Sequence[complex], other: Sequence[complex]) -> complex:
    # Where two lines meet, the one's end and the other's beginning; where they run straight on, at that end.
    if abs(one[-1] - other[0]) <= ON_LINE:
        return one[-1]
    r, s = one[-1] - one[0], other[-1] - other[0]
    det = (r.conjugate() * s).imag
    if abs(det) > 1e-9 * abs(r) * abs(s):
        return one[0] + r * (((other[0] - one[0]).conjugate() * s).imag / det)
    return one[-1]


def _bent(tops: Sequence[FlatLine], hems: Sequence[FlatLine]) -> tuple[list[FlatLine], list[FlatLine], list[FlatLine]]:
    # One line of every two, with the point where they meet; where they run straight on, at the hip point's height. And the two
    # ended there.
    roles, pleats, folds, top, hips, layers, out_top, _, rooms, amids, bends = zip(*tops, strict=True)
    its_roles, _, its_folds, feet, hem, on, _, out_hem, its_rooms, its_amids, _ = zip(*hems, strict=True)
    spots = [
        hip if abs(hip - foot) <= ON_LINE else _meeting((start, hip), (foot, end))
        for start, hip, foot, end in zip(top, hips, feet, hem, strict=True)
    ]
    at_ends = [(room, its_room) for (room, _), (_, its_room) in zip(rooms, its_rooms, strict=True)]
    whole = zip(its_roles, pleats, its_folds, top, hem, on, out_top, out_hem, at_ends, its_amids, spots, strict=True)
    ended = [(room, -1.0) for room, _ in at_ends]
    above = zip(roles, pleats, folds, top, spots, layers, out_top, spots, ended, amids, bends, strict=True)
    begun = [(-1.0, room) for _, room in at_ends]
    below = zip(its_roles, pleats, its_folds, spots, hem, on, spots, out_hem, begun, its_amids, bends, strict=True)
    return list(map(flat_line, whole)), list(map(flat_line, above)), list(map(flat_line, below))


def _bent_join(top: Join, hem: Join) -> Join:
    bends = _meeting(top.before, hem.before), _meeting(top.after, hem.after)
    return top._replace(before=(top.before[0], hem.before[1]), after=(top.after[0], hem.after[1]), bends=bends)


def zone_joins(joins: Sequence[Join], name: str) -> tuple[Join, ...]:
    """Return what of the joins of a fitted piece lies above the hip, or below it."""
    made: list[Join] = []
    for join in joins:
        assert join.bends is not None
        (a, b), (c, d), (e, f) = join.before, join.after, join.bends
        before, after = ((a, e), (c, f)) if name == ABOVE else ((e, b), (f, d))
        made.append(join._replace(before=before, after=after, bends=None))
    return tuple(made)
