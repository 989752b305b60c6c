"""What drawn darts took in at the top, shared out to the pleats that take it in instead; and how deep these are shaped.

A dart between two lines is shared by the lever rule: the nearer line takes more, so that no cloth moves farther than it must.
One beyond the outermost line, or between a line and its mirror image, goes to that line whole; a line that runs through its
mouth to its point takes it exactly.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.errors import FitError, RequestError
from pleatsvg.fitted.closed import Top
from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.fitted.shares import shares_of
from pleatsvg.geometry.motion import Motion
from pleatsvg.geometry.outline import Outline
from pleatsvg.length import show
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.pivots.closed import ClosedDart, TakenDart
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.tolerance import BELOW_DART, ON_LINE, THROUGH_POINT
from pleatsvg.wording import message, option


class OnTop(NamedTuple):
    """A dart that is taken in: from where to where its mouth lies, as places on the outline of some lines."""

    taken: TakenDart
    start: float
    end: float

    @property
    def middle(self) -> float:
        """The place half-way over its mouth, near enough to tell which lines lie either side."""
        return (self.start + self.end) / 2


def darts_along(piece: FinishedPiece, lines: SlashSet) -> tuple[OnTop, ...]:
    """Return the darts that the pleats of a piece take in, in the order of its lines."""
    if not piece.taken_darts:
        return ()
    from pleatsvg.geometry.nearest import Nearest  # of no use to a piece whose darts stay

    outline = lines.outline
    nearest = Nearest(outline.segments)
    found: list[OnTop] = []
    for taken in piece.taken_darts:
        if piece.ring is not None:
            taken = _once_round(taken, lines, piece.ring.period)
        spots = [nearest.of(z) for z in (taken.dart.start, taken.dart.end)]
        start, end = sorted([outline.counted_near(spot.segment + spot.share, lines.chords[0].top_at) for spot in spots])
        found.append(OnTop(taken, start, end))
    return tuple(sorted(found, key=lambda one: one.start))


def _once_round(taken: TakenDart, lines: SlashSet, period: Motion) -> TakenDart:
    # Of a piece that goes all round, as it lies between where the round begins and where it ends.
    assert lines.first is not None
    assert lines.last is not None
    middle = (taken.dart.start + taken.dart.end) / 2
    if lines.after(middle, lines.first) < 0:
        return taken.moved(period)
    return taken.moved(period.inverse) if lines.after(middle, lines.last) > 0 else taken


def _around(lines: SlashSet) -> float:
    # How long one round is along the top, mm; nothing where a piece does not go all round.
    if not lines.ring or lines.first is None or lines.last is None:
        return 0.0
    return lines.outline.sewn_distance(lines.first.top_at, lines.last.top_at)


def refuse_beside_top(darts: Sequence[OnTop], top: Top) -> None:
    """Refuse darts that do not lie in the seam in which the lines begin.

    Raises:
        FitError: there is one.
    """
    for one in darts:
        if not (top.start - ON_LINE <= one.start and one.end <= top.stop + ON_LINE):
            words = one.taken.dart.words
            raise FitError(
                words[0].upper() + words[1:],
                "does not lie in the edge in which the pleats begin",
                "pleats take in at the top what a dart took in there",
                message(
                    "Leave it out of {}, or turn it into pleats of its own with {}.", option("darts"), option("pivot")
                ),
            )


def refuse_across(lines: SlashSet, border: Sequence[complex], unit: str) -> None:
    """Refuse darts that stay and reach over the level down to which the pleats are shaped, from above or from a side.

    Args:
        lines: on the drawn piece.
        border: that level, from side to side.
        unit: for messages.

    Raises:
        FitError: there is one.
    """
    outline = lines.outline
    for dart in outline.darts:
        for a, b in pairwise(border):
            far = abs(b - a)
            hits = [
                hit
                for hit in outline.crossings(a, (b - a) / far)
                if -ON_LINE <= hit.along <= far + ON_LINE
                and (hit.at - dart.start) % len(outline) < dart.end - dart.start
            ]
            if hits:
                point = outline.point(dart.point)
                raise FitError(
                    f"The dart with its point at ({point.real:.0f}, {point.imag:.0f}) mm",
                    f"is {show(dart.depth, unit)} deep, and reaches over the level down to which the pleats are shaped",
                    "what is sewn by itself lies wholly above that level or wholly below it",
                    message(
                        "Shape the pleats farther down with {}, or close the dart into them with {}.",
                        option("fit_length"),
                        option("darts", "nearest"),
                    ),
                )


def depths_at(lines: SlashSet, darts: Sequence[OnTop]) -> list[float]:
    """Return how far down each line is shaped, mm: to the depth of the darts, between two darts in proportion.

    Where others stay, it is so far that these lie above all that is shaped.
    """
    outline = lines.outline
    top = lines.chords[0].top_at, lines.chords[-1].top_at
    start, stop = outline.corners_around(*top)
    least = 0.0
    for dart in outline.darts:
        if start <= start + (dart.start - start) % len(outline) <= stop:
            least = max(least, dart.depth + BELOW_DART)
    places = [_along(outline, lines, one.middle) for one in darts]
    if around := _around(lines):  # the last lies before the first, too
        places = [places[-1] - around, *places, places[0] + around]
        darts = [darts[-1], *darts, darts[0]]
    downs: list[float] = []
    for chord in lines.chords:
        own = next((one for one in darts if _runs_through(chord, one)), None)
        if own is not None:
            way = chord.hem - chord.top
            downs.append(max(least, ((own.taken.dart.point - chord.top) * way.conjugate()).real / abs(way)))
            continue
        here = _along(outline, lines, chord.top_at)
        k = bisect_right(places, here)
        if k in (0, len(places)):
            downs.append(max(least, darts[min(k, len(places) - 1)].taken.depth))
            continue
        far = (here - places[k - 1]) / (places[k] - places[k - 1])
        one, other = darts[k - 1].taken.depth, darts[k].taken.depth
        downs.append(max(least, one + (other - one) * far))
    return downs


def shares_by_darts(
    lines: SlashSet,
    edges: Sequence[PleatEdge],
    darts: Sequence[OnTop],
    surplus: float,
    weights: Mapping[int, float],
    given: Mapping[int, float],
    unit: str,
) -> tuple[float, ...]:
    """Return the share of every edge in what is to go, mm.

    Where more is to go than the darts took in, the rest is shared by weights; where less is, all shares are scaled.

    Args:
        lines: on the drawn piece, its mouths filled.
        edges: of all pleats.
        darts: that they take in.
        surplus: what is to go in all, mm.
        weights: by pleat, as for `shares_of`; a pleat with 0 takes none of a dart.
        given: by pleat, how much vanishes in it in lengths.
        unit: for messages.

    Raises:
        RequestError: lengths are given.
        FitError: all weights are nothing.
    """
    if given:
        raise RequestError(
            message("{} and {}", option("share"), option("darts")),
            "are both given",
            "what vanishes in each pleat follows from the darts",
            message("Leave out the one or the other; {} keeps a pleat whole.", option("weight", 0)),
        )
    width = sum([one.taken.width for one in darts])
    shared = [0.0] * len(edges)
    for one in darts:
        for k, share in enumerate(_of_one(lines, edges, one, weights, unit)):
            shared[k] += share
    if surplus < width:
        return tuple([share * max(0.0, surplus) / width for share in shared])
    more = shares_of(edges, surplus - width, weights, {}, unit)
    return tuple([a + b for a, b in zip(shared, more, strict=True)])


def _of_one(
    lines: SlashSet, edges: Sequence[PleatEdge], dart: OnTop, weights: Mapping[int, float], unit: str
) -> Sequence[float]:
    evenly = shares_of(edges, dart.taken.width, weights, {}, unit)
    if dart.taken.way == "all":
        return evenly
    outline = lines.outline
    open_ = [k for k, edge in enumerate(edges) if weights.get(edge.pleat, 1.0) > 0]
    shares = [0.0] * len(edges)
    through = [k for k in open_ if _runs_through(edges[k].chord, dart)]
    if through:
        for k in through:
            shares[k] = dart.taken.width / len(through)
        return shares
    places = [_along(outline, lines, edges[k].chord.top_at) for k in open_]
    middle = (_along(outline, lines, dart.start) + _along(outline, lines, dart.end)) / 2
    if around := _around(lines):
        places, open_ = [places[-1] - around, *places, places[0] + around], [open_[-1], *open_, open_[0]]
    at = bisect_right(places, middle)
    if at in (0, len(places)):
        shares[open_[min(at, len(places) - 1)]] = dart.taken.width
        return shares
    before, after = places[at - 1], places[at]
    part = (middle - before) / (after - before)
    shares[open_[at - 1]] += dart.taken.width * (1 - part)
    shares[open_[at]] += dart.taken.width * part
    return shares


def _along(outline: Outline, lines: SlashSet, place: float) -> float:
    # How far along the seam from the first line, mm; less than nothing before it.
    first = lines.chords[0].top_at
    return math.copysign(outline.sewn_distance(first, place), place - first)


def _runs_through(chord: Chord, dart: OnTop) -> bool:
    return dart.start - ON_LINE <= chord.top_at <= dart.end + ON_LINE and _off(chord, dart.taken.dart) <= THROUGH_POINT


def _off(chord: Chord, dart: ClosedDart) -> float:
    # How far the point of a dart lies from a line.
    way = chord.hem - chord.top
    return abs(((dart.point - chord.top) * way.conjugate()).imag) / abs(way)
