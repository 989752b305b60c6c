"""The cutting line of the finished piece: a parallel of its seam, and where fold lines produced run out on it.

It is unfolded like the seam, so that the cutting edge of every hidden layer lies true beneath the face's.
"""

from __future__ import annotations

from dataclasses import dataclass

from pleatsvg.errors import FitError
from pleatsvg.geometry.crossings import meetings
from pleatsvg.geometry.motion import moved, reflection
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.parallel import parallel_outline
from pleatsvg.geometry.segment import Segment, cut, heading, point_at
from pleatsvg.length import Length, show
from pleatsvg.order.allowances import Allowances
from pleatsvg.piece.both_halves import BothHalves
from pleatsvg.piece.edges import Edge, edge_named
from pleatsvg.piece.slash_lines import Chord
from pleatsvg.tolerance import ON_LINE
from pleatsvg.wording import message, option

WIDEST = 300.0
"""mm. An allowance above this is a slip of the hand: deep hems are 10 cm."""


_CRUMB = 1e-4
"""mm. Shorter remains of a trimmed segment are dropped, and its neighbours joined."""


@dataclass(frozen=True, slots=True)
class Cutting:
    """The cutting line of a finished piece.

    Attributes:
        outline: closed, walked as the seam is.
        distances: the allowance of each segment of the seam in mm.
        drawn: whether it is the one on the drawing.
    """

    outline: Outline
    distances: tuple[float, ...]
    drawn: bool = False

    def produced(self, chord: Chord) -> Chord:
        """Return a line across the piece produced to the cutting line at both ends."""
        length = abs(chord.hem - chord.top)
        along = (chord.hem - chord.top) / length
        top: tuple[float, float, complex] | None = None
        hem: tuple[float, float, complex] | None = None
        middle = length / 2
        for at, far, point in self.outline.crossings(chord.top, along):
            if far <= ON_LINE and (top is None or far > top[1]):
                top = at, far, point
            if far >= length - ON_LINE and (hem is None or far < hem[1]):
                hem = at, far, point
        if top is None or hem is None:
            # A line beside a join, at a slanting end: the seam is crossed a little within its length.
            for at, far, point in self.outline.crossings(chord.top, along):
                if far < middle and (top is None or far > top[1]):
                    top = at, far, point
                if far > middle and (hem is None or far < hem[1]):
                    hem = at, far, point
        if top is None or hem is None:
            raise FitError(
                f"The fold line from ({chord.top.real:.0f}, {chord.top.imag:.0f}) mm on the page",
                "does not reach the cutting line when it is produced",
                "fold lines run on through the allowance",
                "Take a smaller allowance there, or move the slash line away from that corner.",
            )
        return Chord(top[0], hem[0], top[2], hem[2])


def distances_of(edges: tuple[Edge, ...], allowances: Allowances, fold: int | None) -> dict[int, float]:
    """Return the allowance of every seam edge by its number, in mm; the fold edge has none.

    Raises:
        FitError: an edge is not there, or an allowance is not one.
    """
    found = {edge.number: allowances.everywhere.mm if allowances.everywhere else 0.0 for edge in edges}
    given: dict[int, Length] = {}
    for name, length in allowances.edges:
        edge = edge_named(edges, name)
        if edge.number in given:
            raise FitError(
                f"The allowance of the {edge.name} (edge {edge.number})",
                f"is given twice, {given[edge.number]} and {length}",
                "an edge has one allowance",
                "Keep one of the two.",
            )
        given[edge.number] = length
        found[edge.number] = length.mm
    for number, far in found.items():
        if not 0 <= far <= WIDEST:
            raise FitError(
                f"The allowance of edge {number}",
                f"is {given.get(number, allowances.everywhere)}",
                f"it can be from nothing to {show(WIDEST, 'cm')}",
                "Check the length and its unit.",
            )
    if fold is not None:
        found[fold] = 0.0
    return found


def cutting_line(name: str, halves: BothHalves, by_edge: dict[int, float], hem_turn: bool) -> Cutting:
    """Return the cutting line of a piece.

    Args:
        name: the piece, for messages.
        halves: the finished piece.
        by_edge: the allowance of each edge, mm.
        hem_turn: mirror the sides across the hem line at its corners.

    Raises:
        FitError: the allowance is too wide for the shape of the seam.
    """
    distances = tuple([by_edge[number] for number in halves.edge_of])
    found = parallel_outline(halves.outline, distances)
    if found is None:
        raise FitError(
            f"The cutting line of '{name}'",
            f"cannot be drawn: an allowance of {show(max(distances))} folds into itself on this outline",
            "a hollow or a dart must be wider than that",
            "Take a smaller allowance on the edge with the tightest curve.",
        )
    outline, sources = found
    if hem_turn:
        outline = _turned_hem(name, halves, outline, sources, distances)
    return Cutting(outline, distances)


def _turned_hem(
    name: str, halves: BothHalves, outline: Outline, sources: tuple[int, ...], distances: tuple[float, ...]
) -> Outline:
    # At each end of the hem the side's cutting line is followed to the hem line, and from there its mirror image in the
    # hem line, so that the allowance lies on the side again when it is turned up.
    hems = [edge.number for edge in halves.edges if edge.name == "hem"]
    seam = halves.outline
    n = len(seam)
    made = outline
    of = sources
    for k in range(n):
        before, after = halves.edge_of[k - 1], halves.edge_of[k]
        if (
            before == after
            or (before not in hems and after not in hems)
            or distances[k if after in hems else k - 1] <= 0
        ):
            continue
        corner = seam.segments[k][0]
        if after in hems:
            across, side, hem_of = heading(seam.segments[k], 0.0), k - 1, k
        else:
            across, side, hem_of = heading(seam.segments[k - 1], 1.0), k, k - 1
        turned = _turned_corner(made, of, corner, across, side % n, hem_of % n, before_hem=after in hems)
        if turned is None:
            raise FitError(
                f"The hem of '{name}'",
                "cannot be turned up flush: the side seam runs too slantwise into it",
                "the side is mirrored across the hem line within the hem allowance",
                message("Leave out {}, or take a smaller hem allowance.", option("hem_turn")),
            )
        made, of = turned
    return made


def _turned_corner(
    outline: Outline, sources: tuple[int, ...], corner: complex, across: complex, side: int, hem: int, before_hem: bool
) -> tuple[Outline, tuple[int, ...]] | None:
    segments, of = list(outline.segments), list(sources)
    if not before_hem:
        # Walked the other way round the same corner lies before the hem.
        turned = _turned_corner(outline.reversed(), sources[::-1], corner, across, side, hem, True)
        return None if turned is None else (turned[0].reversed(), turned[1][::-1])
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
    end = sides[-1][-1]
    reach = 2000.0
    sides.append((end, end + reach * heading(sides[-1], 1.0)))
    line = (corner - reach * across, corner + reach * across)
    spot: tuple[int, float] | None = None
    for index, part in enumerate(sides):
        met = meetings(line, part)
        if met:
            spot = index, met[0][1]
            break
    if spot is None:
        return None
    index, share = spot
    kept = [*sides[:index], cut(sides[index], 0.0, share)] if share > 1e-9 else sides[:index]
    if not kept:
        return None
    mirror = reflection(*line)
    there = point_at(sides[index], share)
    mirrored = [moved(seg[::-1], mirror) for seg in reversed(kept)]
    mirrored[0] = (there, *mirrored[0][1:])
    # The mirror image ends on the hem's cutting line, produced backwards.
    hems = [(k, segments[k]) for k in range(first_side) if of[k] == hem]
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
