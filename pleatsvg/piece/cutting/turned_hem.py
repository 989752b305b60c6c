"""A hem that is turned up flush: at its ends the cutting line is the mirror image of the sides."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from pleatsvg.errors import FitError
from pleatsvg.geometry.crossings import meetings
from pleatsvg.geometry.motion import moved, reflection
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, cut, heading, point_at
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.tolerance import GRIT, SNAP
from pleatsvg.wording import message, option

_CRUMB = 1e-4
"""mm. Shorter remains of a trimmed segment are dropped, and its neighbours joined."""


def turned_hem(
    name: str, halves: BothHalves, outline: Outline, sources: tuple[int, ...], distances: tuple[float, ...]
) -> Outline:
    """Return a cutting line with the sides mirrored across the hem line within the hem's allowance.

    At each end of the hem the side's cutting line is followed to the hem line, and from there its mirror image in the hem
    line, so that the allowance lies on the side again when it is turned up.

    Args:
        name: the piece, for messages.
        halves: the finished piece.
        outline: its cutting line, walked as the seam is.
        sources: for each of its segments, the segment of the seam that it belongs to.
        distances: the allowance of each segment of the seam, mm.

    Raises:
        FitError: the mirrored side does not meet the hem's cutting line.
    """
    hems = [edge.number for edge in halves.edges if edge.name == "hem"]
    seam = halves.outline
    n = len(seam)
    hand = 1.0 if seam.area > 0 else -1.0
    runs = _runs(halves.edge_of)
    made = outline
    of = tuple([runs[source] for source in sources])
    for k in range(n):
        before, after = halves.edge_of[k - 1], halves.edge_of[k]
        if (
            before == after
            or (before not in hems and after not in hems)
            or distances[k if after in hems else k - 1] <= 0
        ):
            continue
        corner = seam.segments[k][0]
        ahead = _first_long(seam.segments[k:] + seam.segments[:k])
        back = _first_long([seg[::-1] for seg in reversed(seam.segments[k:] + seam.segments[:k])])
        # Where the parallels of the two end, if nothing is trimmed.
        ends = (
            back[0] + 1j * hand * heading(back, 0.0) * distances[k - 1],
            ahead[0] - 1j * hand * heading(ahead, 0.0) * distances[k],
        )
        if after in hems:
            here = _HemCorner(corner, heading(ahead, 0.0), runs[k - 1], runs[k], *ends)
            turned = _turned_corner(made, of, here)
        else:
            # Walked the other way round the same corner lies before the hem.
            here = _HemCorner(corner, heading(back, 0.0), runs[k], runs[k - 1], *reversed(ends))
            turned = _turned_corner(made.reversed(), of[::-1], here)
            turned = None if turned is None else (turned[0].reversed(), turned[1][::-1])
        if turned is None:
            raise FitError(
                f"The hem of '{name}'",
                f"cannot be turned up flush near ({corner.real:.0f}, {corner.imag:.0f}) mm on the page: the side's cutting "
                "line, mirrored there, does not meet the hem's",
                "the side is mirrored across the hem line within the hem allowance",
                message(
                    "Leave out {}, take a smaller hem allowance, or look for a stray node at that corner.",
                    option("hem_turn"),
                ),
            )
        made, of = turned
    return made


def _runs(edge_of: Sequence[int]) -> list[int]:
    # For each segment of the seam a number that all have which lie side by side on one edge: where a half piece is opened
    # out, both sides are one edge by name.
    runs = [0] * len(edge_of)
    for k in range(1, len(edge_of)):
        runs[k] = runs[k - 1] + (edge_of[k] != edge_of[k - 1])
    if edge_of[-1] == edge_of[0]:
        runs = [0 if run == runs[-1] else run for run in runs]
    return runs


def _first_long(segments: Sequence[Segment]) -> Segment:
    # What sets off from a corner: a stub there may point anywhere.
    return next((seg for seg in segments if abs(seg[-1] - seg[0]) >= GRIT), segments[0])


def _passes(seg: Segment, z: complex) -> bool:
    # Does a part of the cutting line end at a point, or run straight past it?
    if min(abs(seg[0] - z), abs(seg[-1] - z)) <= 2 * SNAP:
        return True
    way = seg[-1] - seg[0]
    off = (z - seg[0]) * way.conjugate() / abs(way)
    return len(seg) == 2 and 0 <= off.real <= abs(way) and abs(off.imag) <= 2 * SNAP


class _HemCorner(NamedTuple):
    """A corner at which a side ends and the hem begins.

    Attributes:
        spot: where it is.
        across: the direction of the hem from there.
        side, hem: the numbers of both in the sources of the cutting line.
        side_end, hem_start: where the parallels of both end there.
    """

    spot: complex
    across: complex
    side: int
    hem: int
    side_end: complex
    hem_start: complex


def _turned_corner(
    outline: Outline, sources: tuple[int, ...], corner: _HemCorner
) -> tuple[Outline, tuple[int, ...]] | None:
    segments, of = list(outline.segments), list(sources)
    side, hem = corner.side, corner.hem
    # The last stretch of the side, as it runs towards the hem, produced.
    n = len(segments)
    last = next((k for k in range(n) if of[k] == side and of[(k + 1) % n] != side), None)
    if last is None:
        return None
    order = [(last + 1 + k) % n for k in range(n)]
    segments, of = [segments[k] for k in order], [of[k] for k in order]
    first_side = n - 1
    while first_side > 0 and of[first_side - 1] == side:
        first_side -= 1
    sides = segments[first_side:]
    # Beyond the end of its own parallel the cutting line steps or is squared off.
    own = [k for k, seg in enumerate(sides) if _passes(seg, corner.side_end)]
    del sides[own[0] + 1 if own else len(sides) :]
    end = sides[-1][-1]
    reach = 2000.0
    sides.append((end, end + reach * heading(sides[-1], 1.0)))
    line = (corner.spot - reach * corner.across, corner.spot + reach * corner.across)
    spots = [(index, share) for index, part in enumerate(sides) for _, share in meetings(line, part)]
    if not spots:
        return None
    index, share = min(spots, key=lambda spot: abs(point_at(sides[spot[0]], spot[1]) - corner.spot))
    kept = [*sides[:index], cut(sides[index], 0.0, share)] if share > 1e-9 else sides[:index]
    if not kept:
        return None
    mirror = reflection(*line)
    there = point_at(sides[index], share)
    mirrored = [moved(seg[::-1], mirror) for seg in reversed(kept)]
    mirrored[0] = (there, *mirrored[0][1:])
    # The mirror image ends on the hem's cutting line, produced backwards.
    hems = [(k, segments[k]) for k in range(first_side) if of[k] == hem]
    own = [place for place, (_, seg) in enumerate(hems) if _passes(seg, corner.hem_start)]
    del hems[: own[-1] if own else 0]
    if not hems:
        return None
    first = hems[0][1]
    back: Segment = (first[0] - reach * heading(first, 0.0), first[0])
    for m, part in enumerate(mirrored):
        for k, seg in [(hems[0][0], back), *hems]:
            met = meetings(part, seg)
            if met:
                t, u = met[0]
                image = [*mirrored[:m], cut(part, 0.0, t)] if t > 1e-9 else mirrored[:m]
                meet = point_at(part, t)
                rest = [seg, *segments[k:first_side]] if seg is back else segments[k:first_side]
                numbers = [hem, *of[k:first_side]] if seg is back else of[k:first_side]
                rest[0] = cut(rest[0], u, 1.0)
                made = [*kept, *image, (meet, *rest[0][1:]), *rest[1:]]
                whole = [s for s in made if max(abs(z - s[0]) for z in s[1:]) > _CRUMB]
                of_whole = [
                    o
                    for s, o in zip(made, [side] * (len(kept) + len(image)) + numbers, strict=True)
                    if max(abs(z - s[0]) for z in s[1:]) > _CRUMB
                ]
                closed = [(whole[i - 1][-1], *s[1:]) for i, s in enumerate(whole)]
                return Outline(tuple(closed)), tuple(of_whole)
    return None
