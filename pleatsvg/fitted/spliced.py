"""The flat piece of a fitted one: its top from the flat piece above the hip, all else from the one below."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from itertools import pairwise
from operator import itemgetter

from pleatsvg.errors import ProofError
from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.flat.once_round import FlatEdge, Origin, flat_edge
from pleatsvg.flat.unfold import layers_lie_apart
from pleatsvg.geometry.motion import Motion, moved
from pleatsvg.geometry.selfcross import crosses_between
from pleatsvg.tolerance import FITTED, ON_LINE

ABOVE, BELOW = "above", "below"


@dataclass(frozen=True, slots=True)
class Spliced:
    """The flat piece, and what is needed to fold it back zone by zone.

    Attributes:
        flat: the whole; its creases and placement lines bend at the hip level, and its layers' motions are those below.
        seam_of, cut_of: for each edge of its seam and of its cutting line, the zone that it folds in and the segment of that
            zone's finished line that it claims to be.
        above, below: the flat pieces of the two zones, as wholes: their creases and placement lines are the parts there.
        slide: how far the flat piece above was moved to lie on its panels below, as it is with half a pleat on the fold edge.
    """

    flat: Unfolded
    seam_of: tuple[tuple[str, Origin], ...]
    cut_of: tuple[tuple[str, Origin], ...]
    above: Unfolded
    below: Unfolded
    slide: complex = 0j

    def hip_level(self, ends: tuple[complex, complex]) -> tuple[complex, ...]:
        """Return the hip level on the flat piece: from side to side, over all layers, through where the lines bend.

        Args:
            ends: on the drawn piece, where it meets the sides.
        """
        points = [z for z, _ in self._level_points(ends)]
        return tuple([z for k, z in enumerate(points) if not k or abs(z - points[k - 1]) > ON_LINE])

    def level_by_layer(self, ends: tuple[complex, complex]) -> tuple[tuple[int, tuple[complex, complex]], ...]:
        """Return the same in pieces, each with the layer that it lies on."""
        points = self._level_points(ends)
        return tuple([(layer, (a, b)) for (a, layer), (b, _) in pairwise(points) if abs(b - a) > ON_LINE])

    def _level_points(self, ends: tuple[complex, complex]) -> list[tuple[complex, int]]:
        # Its corners, each with the layer on which it runs on from there.
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


def zones_lie_apart(made: Spliced, hand: float) -> bool:
    """Return True where it is plain that the flat piece lies nowhere over itself; False where that takes a closer look.

    No two layers of one zone lie over each other where each lies wholly beyond the crease that begins it and all before
    it on the near side, and its outline is simple where, besides, the edges of the two zones do not cross.

    Args:
        made: the flat piece.
        hand: +1 where the outline is walked clockwise on the page.
    """
    if made.below.trimmed or not (layers_lie_apart(made.above, hand) and layers_lie_apart(made.below, hand)):
        return False
    of = made.cut_of or made.seam_of
    some = [k for k, (zone, _) in enumerate(of) if zone == ABOVE]
    others = [k for k, (zone, _) in enumerate(of) if zone == BELOW]
    return not crosses_between(made.flat.cuts[0], some, others)


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
    slide = below.motions[layer].after(_inverse(above.motions[layer].after(panel)))
    for layer, panel in seen:
        own, there = slide.after(above.motions[layer]).after(panel), below.motions[layer]
        if own.flips != there.flips or abs(own.turn - there.turn) > 1e-9 or abs(own.shift - there.shift) > FITTED:
            raise ProofError(
                "The piece above the bend of its lines",
                f"lies {abs(own.shift - there.shift):.4f} mm off a panel below it",
                "each panel is one piece of cloth from top to hem",
                "Nothing was written. Move the slash lines apart, or let less vanish in them.",
            )
    if abs(slide.shift) < 1e-9:
        return above, 0j
    return _moved(above, Motion(1 + 0j, slide.shift, False)), slide.shift


def _inverse(motion: Motion) -> Motion:
    # A reflection, with a slide or without, undone: z = turn * conj(w) + shift gives w = turn * conj(z - shift).
    back = motion.turn.conjugate()
    if motion.flips:
        return Motion(motion.turn, -motion.turn * motion.shift.conjugate(), True)
    return Motion(back, -back * motion.shift, False)


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
        fold_edge=None if flat.fold_edge is None else (by.of(flat.fold_edge[0]), by.of(flat.fold_edge[1])),
    )


def spliced(
    above: Unfolded,
    below: Unfolded,
    level: tuple[AbstractSet[int], AbstractSet[int]],
    level_cut: tuple[AbstractSet[int], AbstractSet[int]],
    origins: tuple[Callable[[Origin], Origin], Callable[[Origin], Origin]],
    slide: complex,
) -> Spliced:
    """Return the flat piece as one.

    Args:
        above, below: the flat pieces, lying on their common panels.
        level, level_cut: for the zone above and the zone below, which segments of its finished line lie along the hip.
        origins: for both zones, what a part of its finished seam is of the drawn seam.
        slide: by how much the flat piece above was moved.
    """
    seam, seam_of = _joined(above.seam, below.seam, level)
    seam = tuple(
        [
            flat_edge((points, layer, origins[zone == BELOW](origin)))
            for (points, layer, _), (zone, origin) in zip(seam, seam_of, strict=True)
        ]
    )
    cut, cut_of = _joined(above.cut, below.cut, level_cut)
    lines = [
        _bent(top, hem)
        for top, hem in zip((*above.creases, *above.placements), (*below.creases, *below.placements), strict=True)
    ]
    count = len(below.creases)
    fold = None
    if above.fold_edge is not None and below.fold_edge is not None:
        fold = above.fold_edge[0], below.fold_edge[1]
    flat = replace(
        below,
        seam=seam,
        cut=cut,
        creases=tuple(lines[:count]),
        placements=tuple(lines[count:]),
        seam_loops=(len(seam),),
        cut_loops=(len(cut),) if cut else (),
        fold_edge=fold,
        out_chords=(),
    )
    ends = [line.bend for line in lines]
    return Spliced(flat, seam_of, cut_of, _ended(above, ends, 1), _ended(below, ends, 0), slide)


def _joined(
    above: tuple[FlatEdge, ...], below: tuple[FlatEdge, ...], level: tuple[AbstractSet[int], AbstractSet[int]]
) -> tuple[tuple[FlatEdge, ...], tuple[tuple[str, Origin], ...]]:
    if not below:
        return (), ()
    along = level[1]
    at = next(k for k, edge in enumerate(below) if edge.origin[0] in along)
    before, after = list(below[:at]), [edge for edge in below[at:] if edge.origin[0] not in along]
    upper = [edge for edge in above if edge.origin[0] not in level[0]]
    row = [*before, *upper, *after]
    of = [*[BELOW] * len(before), *[ABOVE] * len(upper), *[BELOW] * len(after)]
    for k in {0, len(before), len(before) + len(upper)}:  # within a zone each begins where the one before it ends
        if k < len(row):
            row[k] = _from(row[k - 1].points[-1], row[k])
    return tuple(row), tuple([(zone, edge.origin) for zone, edge in zip(of, row, strict=True)])


def _from(spot: complex, edge: FlatEdge) -> FlatEdge:
    # The two parts of a fold edge along which cloth slides at the hip overlap, or leave a gap: the second begins where the
    # first one ends, on the same straight line.
    if len(edge.points) != 2 or abs(edge.points[0] - spot) <= ON_LINE:
        return edge
    a, b = edge.points
    share = ((spot - a) / (b - a)).real
    index, t0, t1 = edge.origin
    return FlatEdge((spot, b), edge.layer, (index, t0 + (t1 - t0) * share, t1))


def _bent(top: FlatLine, hem: FlatLine) -> FlatLine:
    # One line of the two, with the point where they meet; where they run straight on, at the hip point's height.
    r, s = top.hem - top.top, hem.hem - hem.top
    det = (r.conjugate() * s).imag / (abs(r) * abs(s))
    spot = top.hem
    if abs(det) > 1e-9 and abs(top.hem - hem.top) > ON_LINE:
        spot = top.top + r * (((hem.top - top.top).conjugate() * s).imag / (r.conjugate() * s).imag)
    role, pleat, folds, _, foot, layer, _, out_hem, (_, room), amid, _ = hem
    return FlatLine(role, pleat, folds, top.top, foot, layer, top.out_top, out_hem, (top.rooms[0], room), amid, spot)


def _ended(flat: Unfolded, ends: Sequence[complex | None], end: int) -> Unfolded:
    # The lines of one zone, ended where they bend.
    count = len(flat.creases)
    made: list[FlatLine] = []
    for line, spot in zip((*flat.creases, *flat.placements), ends, strict=True):
        assert spot is not None
        role, pleat, folds, top, hem, layer, out_top, out_hem, rooms, amid, bend = line
        if end:
            hem, out_hem, rooms = spot, spot, (rooms[0], -1.0)
        else:
            top, out_top, rooms = spot, spot, (-1.0, rooms[1])
        made.append(FlatLine(role, pleat, folds, top, hem, layer, out_top, out_hem, rooms, amid, bend))
    return replace(flat, creases=tuple(made[:count]), placements=tuple(made[count:]))
