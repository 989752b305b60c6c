"""The closed piece above the hip as a piece of its own: its outline, its lines, and the pleats laid out on them.

Its pleats are the lists of their kinds on lines from the hip points to the closed seam. What an edge takes up there follows
from what it takes up below, since both must carry the next panel by one motion: with the lean t, the turn f of the folds
below (sin f = (depth at the hem - depth d) / length) and m pairs of folds, they turn by g = t/m - f above, and the depth at
the hip point is d sin(m f) sin(g) / (sin(f) sin(m g)), which is d for one pair.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.errors import FitError
from pleatsvg.fitted.closed import Closed
from pleatsvg.fitted.closing.beneath import beneath_at_once
from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.geometry.motion import moved, reflection
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, cut, point_at
from pleatsvg.kinds import Fold, Placement
from pleatsvg.length import show
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.pleats.laid import LaidFold, LaidPlacement, LaidPleat, PleatRequest
from pleatsvg.pleats.layout import role_at
from pleatsvg.pleats.strip import place_and_foot
from pleatsvg.result.roles import Role
from pleatsvg.tolerance import ON_LINE
from pleatsvg.wording import message, option


@dataclass(frozen=True, slots=True)
class Upper:
    """The closed piece above the hip.

    Attributes:
        lines: its outline, and the closed lines as slash lines, each from the seam at the top to its hip point; of a box pleat
            that of its first edge.
        edges: the closed line of every edge.
        sources: for each segment of the outline, that of the drawn outline from which it comes; None along the hip.
        real: how many segments of the outline come before those along the hip.
    """

    lines: SlashSet
    edges: tuple[Chord, ...]
    sources: tuple[int | None, ...]
    real: int


def upper_piece(
    lines: SlashSet,
    edges: Sequence[PleatEdge],
    closed: Closed,
    sides: tuple[Sequence[tuple[Segment, int]], Sequence[tuple[Segment, int]]],
    hip_ends: tuple[complex, complex],
) -> Upper:
    """Return the closed piece.

    Args:
        lines: on the drawn piece.
        edges: of all pleats.
        closed: the panels as closed.
        sides: the seam from the hip level up to the top before the first panel, and from the top after the last one down to the
            hip level, as drawn; () at a fold edge.
        hip_ends: where the hip level meets the sides, or the fold edge.
    """
    first, last = closed.motions[0], closed.motions[-1]
    chain: list[tuple[Segment, int | None]] = [(moved(seg, first), source) for seg, source in sides[0]]
    tops: list[float] = []
    for k in range(len(edges) + 1):
        chain += closed.parts[k]
        if k == len(edges):
            break
        made = closed.joins[k]
        if made is None or made.curve[0] == made.curve[-1]:
            tops.append(float(len(chain)))
        else:
            tops.append(len(chain) + made.share)
            chain.append((made.curve, made.source))
    chain += [(moved(seg, last), source) for seg, source in sides[1]]
    feet = [closed.motions[k].of(edge.hip) for k, edge in enumerate(edges)]
    border = [last.of(hip_ends[1]), *reversed(feet), first.of(hip_ends[0])]
    border = [z for k, z in enumerate(border) if not k or abs(z - border[k - 1]) > ON_LINE]
    return _whole(lines, edges, closed, chain, tops, feet, border)


def _whole(
    lines: SlashSet,
    edges: Sequence[PleatEdge],
    closed: Closed,
    chain: list[tuple[Segment, int | None]],
    tops: list[float],
    feet: list[complex],
    border: list[complex],
) -> Upper:
    # Of a piece that is cut on the fold both halves, the second a mirror image.
    before = 0
    if lines.first is not None or lines.last is not None:
        half = len(lines.outline) // 2
        at_first = lines.first is not None
        a, b = (border[-1], chain[0][0][0]) if at_first else (border[0], chain[-1][0][-1])
        flip = reflection(a, b)

        def other(source: int | None) -> int | None:
            return None if source is None else (2 * half - 1 - source) % (2 * half)

        turned = [(moved(seg, flip)[::-1], other(source)) for seg, source in reversed(chain)]
        mirrored = [flip.of(z) for z in reversed(border)]
        if at_first:
            before = len(chain)
            chain, border = [*turned, *chain], [*border, *mirrored[1:]]
        else:
            chain, border = [*chain, *turned], [*mirrored, *border[1:]]
    real = len(chain)
    rest = list(pairwise(border))
    outline = Outline(_end_to_end([*[seg for seg, _ in chain], *rest])).as_part_of(lines.outline)
    n = len(outline)
    nodes = {z: real + j for j, z in enumerate(border)}
    at_hip = {
        # One that lies on its neighbour, as a hip point on the side does, is that one.
        k: nodes[foot] if foot in nodes else real + min(range(len(border)), key=lambda j: abs(border[j] - foot))
        for k, foot in enumerate(feet)
    }
    segments = outline.segments
    chords: list[Chord] = []
    for k, at in enumerate(tops):
        place = before + at
        top = point_at(segments[math.floor(place)], place - math.floor(place))
        chords.append(Chord(place, float(at_hip[k]), top, segments[at_hip[k] % n][0]))
    fold = None
    if before or (lines.last is not None):
        # The fold edge lies between the two halves.
        middle = real // 2
        foot = border[len(border) // 2]
        fold = Chord(float(middle), float(real + len(border) // 2), outline.segments[middle][0], foot)
        chords = [fold if edge.on_fold else chord for edge, chord in zip(edges, chords, strict=True)]
    of_pleat: dict[int, Chord] = {}
    for edge, chord in zip(edges, chords, strict=True):
        of_pleat.setdefault(edge.pleat, chord)
    made = replace(
        lines,
        outline=outline,
        chords=tuple(of_pleat.values()),
        first=fold if lines.first is not None else None,
        last=fold if lines.last is not None else None,
    )
    return Upper(made, tuple(chords), (*[source for _, source in chain], *[None] * len(rest)), real)


def once_round(upper: Upper, lines: SlashSet, edges: Sequence[PleatEdge], closed: Closed, once: range) -> Upper:
    """Return the closed piece of one that goes all round, with the lines of one round alone and where that begins and ends.

    Args:
        upper: with all edges on the cloth that is laid out.
        lines: on the drawn piece, where the round begins and ends among them.
        edges: all of them.
        closed: the panels as closed.
        once: which of the edges are those of the round.
    """
    ends: list[Chord] = []
    for line, k in ((lines.first, once.start), (lines.last, once.stop)):
        assert line is not None
        top, hem = closed.motions[k].of(line.top), closed.motions[k].of(line.hem)
        way = (hem - top) / abs(hem - top)
        hits = upper.lines.outline.crossings(top, way)
        # Where the panel is narrow the joined seam over an edge may reach as far as there.
        above = min([hit for hit in hits if hit.at < upper.real], key=lambda hit: abs(hit.along))
        below = min([hit for hit in hits if hit.at >= upper.real and hit.along > ON_LINE], key=lambda hit: hit.along)
        ends.append(Chord(above.at, below.at, above.point, below.point))
    for k in range(2):
        upper, counted = _with_node(upper, ends[k].top_at)
        ends = [counted(one) for one in ends]
        node = round(ends[k].top_at)
        ends[k] = ends[k]._replace(top_at=float(node), top=upper.lines.outline.segments[node][0])
    of_pleat: dict[int, Chord] = {}
    own = upper.edges[once.start : once.stop]
    for edge, chord in zip(edges[once.start : once.stop], own, strict=True):
        of_pleat.setdefault(edge.pleat, chord)
    made = replace(upper.lines, chords=tuple(of_pleat.values()), first=ends[0], last=ends[1])
    return replace(upper, lines=made, edges=own)


def _with_node(upper: Upper, at: float) -> tuple[Upper, Callable[[Chord], Chord]]:
    # The piece with a node of its outline at a place, and how lines on it are counted then.
    segments, index = upper.lines.outline.segments, math.floor(at)
    share = at - index
    if min(share, 1 - share) * upper.lines.outline.lengths[index] <= ON_LINE:
        return upper, lambda chord: chord
    seg = segments[index]
    outline = Outline((*segments[:index], cut(seg, 0.0, share), cut(seg, share, 1.0), *segments[index + 1 :]))

    def place(was: float) -> float:
        if was <= index or was >= index + 1:
            return was + (was > index)
        there = was - index
        return index + (there / share if there <= share else 1 + (there - share) / (1 - share))

    def counted(chord: Chord) -> Chord:
        return chord._replace(top_at=place(chord.top_at), hem_at=place(chord.hem_at))

    sources = (*upper.sources[: index + 1], *upper.sources[index:])
    made = replace(upper.lines, outline=outline)
    return Upper(made, tuple(map(counted, upper.edges)), sources, upper.real + 1), counted


def _end_to_end(segments: list[Segment]) -> tuple[Segment, ...]:
    # Each begins exactly where the one before it ends.
    return tuple([(segments[k - 1][-1], *seg[1:]) for k, seg in enumerate(segments)])


def depth_at_hip(edge: PleatEdge, lean: float) -> tuple[float, float]:
    """Return how deep the folds above the hip are at the hip point (mm), and how far they turn from their edge (radians)."""
    m = edge.doubled
    below = math.asin(max(-1.0, min(1.0, (edge.hem_depth - edge.depth) / edge.below)))  # steeper ones are refused below
    above = lean / m - below
    if m == 1:
        return edge.depth, above
    return edge.depth * _times(m, below) / _times(m, above), above


def _times(m: int, angle: float) -> float:
    # sin(m a) / sin(a), which is m at nothing.
    return math.sin(m * angle) / math.sin(angle) if abs(angle) > 1e-9 else float(m)


def laid_above(
    upper: Upper, edges: Sequence[PleatEdge], leans: Sequence[float], requests: Sequence[PleatRequest], unit: str
) -> tuple[LaidPleat, ...]:
    """Return the pleats laid out on the closed piece, by the lists of their kinds.

    Raises:
        FitError: hidden cloth would leave the closed piece, or nothing would be taken up at the top.
    """
    made: list[LaidPleat] = []
    lines = upper.lines
    by_pleat: list[dict[int, tuple[PleatEdge, Chord, float]]] = [{} for _ in requests]
    for edge, chord, lean in zip(edges, upper.edges, leans, strict=True):
        by_pleat[edge.pleat - 1][edge.side] = edge, chord, lean
    lists = {id(request): _listed(request) for request in {id(request): request for request in requests}.values()}
    # Every fold line off an edge, in order, with how far it lies from it at the closed seam and at the hip point.
    wanted: list[tuple[Chord, int, float, float]] = []
    for request, own in zip(requests, by_pleat, strict=True):
        for side, reach in lists[id(request)].off:
            edge, chord, lean = own[side]
            wanted.append((chord, 1 if reach > 0 else -1, *_depths(edge, chord, lean, reach)))
    off = iter(list(zip(wanted, beneath_at_once(lines, upper.real, wanted), strict=True)))
    for number, (request, own) in enumerate(zip(requests, by_pleat, strict=True), 1):
        listed = lists[id(request)]
        there: dict[tuple[int, int], Chord] = {}
        for side, reach in listed.off:
            (_, _, *deep), found = next(off)
            edge, chord, _ = own[side]
            there[side, reach] = found or _hidden(upper, edge, chord, reach, (deep[0], deep[1]), (request.level, unit))
        laid = tuple(
            [LaidFold(there[side, reach] if reach else own[side][1], role) for side, reach, role in listed.folds]
        )
        placements = tuple([LaidPlacement(own[p.edge][1], p.folds_before, p.carries) for p in listed.placements])
        first, last = own[listed.folds[0][0]][1], own[listed.folds[-1][0]][1]
        made.append(LaidPleat(number, lines.names[number - 1], request, laid, placements, first, last))
    return tuple(made)


class _Listed(NamedTuple):
    # What is alike of all pleats of one request: its folds by edge, reach and role, those of them that lie off an edge, each
    # once, and its placement lines.
    folds: list[tuple[int, int, Role]]
    off: list[Fold]
    placements: tuple[Placement, ...]


def _listed(request: PleatRequest) -> _Listed:
    folds = request.list
    listed, placed = folds.half(request.half) if request.half else (folds.folds, folds.placements)
    outer = folds.half_of(folds.outer, request.half)
    roles = [
        (side, reach, role_at(reach, turns_under, False))
        for (side, reach), turns_under in zip(listed, outer, strict=True)
    ]
    return _Listed(roles, list(dict.fromkeys([fold for fold in listed if fold.reach])), placed)


def _depths(edge: PleatEdge, chord: Chord, lean: float, reach: int) -> tuple[float, float]:
    # How far from its edge a fold line lies at the closed seam and at the hip point.
    at_hip, turn = depth_at_hip(edge, lean)
    return abs(reach) * (at_hip + abs(chord.hem - chord.top) * math.sin(turn)), abs(reach) * at_hip


def _hidden(
    upper: Upper, edge: PleatEdge, chord: Chord, reach: int, depths: tuple[float, float], told: tuple[str, str]
) -> Chord:
    # A fold line off its edge, from the closed seam to beside the hip point. What is told names the level and the unit.
    level, unit = told
    lines = upper.lines
    a, b = depths
    subject = f"Pleat {edge.pleat} at '{edge.name}'"
    if a < -ON_LINE:
        raise FitError(
            subject,
            f"would take up less than nothing at the top: it is {show(edge.depth, unit)} deep at the {level}, "
            f"{show(edge.hem_depth, unit)} at the hem",
            "its folds run on straight from the hem",
            message(
                "Bring {} and {} nearer to each other, or let more vanish in it.",
                option("intake"),
                option("hem_intake"),
            ),
        )
    side = 1 if reach > 0 else -1
    a = max(a, 0.0)
    found = _beneath(upper, chord, side, a, b)
    if found is not None:
        return found
    # The seam by which the deepest underlay that fits would end is a dart's, or else the side's.
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if _beneath(upper, chord, side, a * middle, b * middle) is None else (middle, high)
    at = chord.top_at if low == 0 else place_and_foot(lines, chord, side, a * low, b * low)[0]
    nodes = {node for dart in lines.outline.darts for node in (dart.start, dart.end)}
    by_dart = at is not None and any(
        abs(lines.outline.point(at) - lines.outline.point(node)) < _BY_A_DART for node in nodes
    )
    raise FitError(
        subject,
        f"has an underlay {show(a, unit)} deep at the closed top, which "
        + ("falls across a dart there" if by_dart else "reaches past the side of the piece there"),
        f"hidden cloth must lie wholly beneath the piece as it is worn, and {show(a * low, unit)} deep is the most that does",
        message(
            "Take a smaller {}, let less vanish in that pleat, or move its line farther from the {}{}.",
            option("intake"),
            "dart" if by_dart else "side",
            message("; or close the dart into the pleats, with {}", option("darts", "nearest")) if by_dart else "",
        ),
    )


_HALVINGS = 12
"""How finely the deepest underlay that fits is looked for, for a message: to a four-thousandth of what was asked."""

_BY_A_DART = 3.0
"""mm from a dart's mouth within which an underlay that just fits ends at that dart."""


def _beneath(upper: Upper, chord: Chord, side: int, a: float, b: float) -> Chord | None:
    # The fold line at these distances from an edge, where there is room for it.
    lines = upper.lines
    top_at, foot = place_and_foot(lines, chord, side, a, b)
    if top_at is None:
        return None
    top = chord.top if a == 0 else lines.outline.point(top_at)
    length = abs(foot - top)
    # Along the hip level the border of the piece is no side of it.
    met = {math.floor(top_at) % len(lines.outline), int(chord.hem_at), int(chord.hem_at) - 1}
    if not lines.outline.crossed_only_in(met, foot, (top - foot) / length, ON_LINE, length - ON_LINE, upper.real):
        return None
    return Chord(top_at, chord.hem_at, top, foot)
