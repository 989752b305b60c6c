"""Slash lines: where each parts the piece, and the order in which they stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from operator import attrgetter, itemgetter
from typing import NamedTuple

from pleatsvg.errors import SlashError
from pleatsvg.geometry.motion import bearing
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import point_at
from pleatsvg.length import show
from pleatsvg.piece.finished import StraightLine
from pleatsvg.piece.pivots.closed import ClosedDart, node_at
from pleatsvg.tolerance import MEETING, ON_LINE, RUN_ON
from pleatsvg.wording import Words, message, option

_AT_THE_POINT = 1.0
"""mm. A line that ends as near to a dart's point was drawn to it."""


class Chord(NamedTuple):
    """A straight line across the piece: its ends, and the places on the outline where they lie."""

    top_at: float
    hem_at: float
    top: complex
    hem: complex

    @property
    def turned(self) -> Chord:
        """The same line with its top and its hem exchanged."""
        return Chord(self.hem_at, self.top_at, self.hem, self.top)


class CrossingError(SlashError):
    """Two slash lines that cross inside the piece."""


@dataclass(frozen=True, slots=True)
class SlashSet:
    """Slash lines that do not cross, in the order in which their pleats are numbered.

    Attributes:
        outline: walked so that the top ends of the lines come in ascending order of place, then their hem ends
            in the opposite order; places are counted on past the last node for this.
        chords: the lines, trimmed to the seam.
        names: their names.
        given: for each, which of the lines given it is.
        upright: whether they run down the page rather than across it.
        first, last: the fold edge of a piece cut on the fold, where it lies before or after all lines; of a piece that goes
            all round, where the round begins and ends: both are one line on the cloth.
        ring: whether it goes all round.
    """

    outline: Outline
    chords: tuple[Chord, ...]
    names: tuple[str, ...]
    given: tuple[int, ...]
    upright: bool
    first: Chord | None = None
    last: Chord | None = None
    ring: bool = False
    closed: tuple[ClosedDart, ...] = ()
    """The darts that are closed onto some of the lines, which end at their points."""

    @property
    def hand(self) -> float:
        """+1 when the outline is walked clockwise on the page, -1 when not."""
        return self.outline.hand

    def across(self, chord: Chord) -> complex:
        """Return the unit vector square to a line that points to the pleats after it."""
        along = chord.hem - chord.top
        return -1j * self.hand * along / abs(along)

    def hinge_of(self, chord: Chord) -> ClosedDart | None:
        """Return the closed dart at whose point a line ends, or None."""
        for dart in self.closed:
            if min(abs(chord.top - dart.point), abs(chord.hem - dart.point)) <= ON_LINE:
                return dart
        return None

    @property
    def end_at_points(self) -> tuple[bool, bool]:
        """Whether all lines end at the points of closed darts at their tops, and at their hems."""
        points = [dart.point for dart in self.closed]
        tops, hems = [c.top for c in self.chords], [c.hem for c in self.chords]
        top, hem = (all(any(abs(z - p) <= ON_LINE for p in points) for z in spots) for spots in (tops, hems))
        return top, hem

    def after(self, z: complex, chord: Chord) -> float:
        """Return how far a point lies after a line, in mm; negative before it.

        A line that ends at the point of a closed dart parts the piece together with that dart.
        """
        dart = self.hinge_of(chord) if self.closed else None
        if dart is not None:
            from pleatsvg.geometry.inside import behind_bend

            up = chord.top - chord.hem if abs(chord.hem - dart.point) <= ON_LINE else chord.hem - chord.top
            return behind_bend(z, dart.point, up / abs(up), dart.way, self.across(chord))
        return ((z - chord.top) * self.across(chord).conjugate()).real


ALONG = attrgetter("along")


_PLACE_THEN_LINE = itemgetter(0, 1)


def lengths_once_round(lines: SlashSet, edge_of: Sequence[int | None]) -> dict[int, float]:
    """Return the length of each edge of a piece that goes all round within one round (mm), by its number.

    Args:
        lines: with where the round begins and ends, at nodes of their outline.
        edge_of: for each segment of the outline the number of its edge; None for one that is none.
    """
    first, last = lines.first, lines.last
    assert first is not None
    assert last is not None
    found: dict[int, float] = {}
    for number, seg, length in zip(edge_of, lines.outline.segments, lines.outline.lengths, strict=True):
        z = point_at(seg, 0.5)
        if number is not None and lines.after(z, first) > 0 > lines.after(z, last):
            found[number] = found.get(number, 0.0) + length
    return found


def trimmed(outline: Outline, line: StraightLine, unit: str = "mm") -> Chord:
    """Return a drawn line trimmed or run on to the outline; which end is the top is not yet decided.

    Args:
        outline: the seam of the piece.
        line: as drawn, in mm.
        unit: for messages.

    Raises:
        SlashError: the line misses the piece, stops more than RUN_ON short of the seam, or crosses it more than
            twice along its length.
    """
    subject = f"Slash line '{line.name}'"
    reach = abs(line.end - line.start)
    if reach < ON_LINE:
        raise SlashError(
            subject, "has no length", "a slash line runs from seam to seam", "Draw it again from edge to edge."
        )
    along = (line.end - line.start) / reach
    half = reach / 2
    hits = sorted(outline.crossings((line.start + line.end) / 2, along), key=ALONG)
    low, high = -half - ON_LINE, half + ON_LINE
    drawn = [hit for hit in hits if low <= hit.along <= high]
    before = [hit for hit in hits if hit.along < low]
    after = [hit for hit in hits if hit.along > high]
    for short, gap, way in (
        (len(before) % 2, -half - before[-1].along if before else 0.0, -along),
        (len(after) % 2, after[0].along - half if after else 0.0, along),
    ):
        if short and gap > RUN_ON:
            raise SlashError(
                subject,
                f"stops {show(gap, unit)} short of the seam at its {_end_that_points(way)} end",
                f"up to {show(RUN_ON, unit)} is run on, but cloth slashed to a point inside the piece cannot lie flat",
                message(
                    "Draw the line on until it meets the seam at both ends; for a pleat that dies away at the hem, "
                    "keep it whole and give {}.",
                    option("hem_intake", "0mm"),
                ),
            )
    if len(before) % 2:
        drawn.insert(0, before[-1])
    if len(after) % 2:
        drawn.append(after[0])
    if not drawn:
        raise SlashError(
            subject, "does not cross the piece", "a slash line runs from seam to seam", "Move it onto the piece."
        )
    if len(drawn) != 2:
        raise SlashError(
            subject,
            f"crosses the seam {len(drawn)} times along its length",
            "a slash line crosses it twice, once at each end",
            "Shorten the line so that it runs over one part of the piece only.",
        )
    return Chord(drawn[0].at, drawn[1].at, drawn[0].point, drawn[1].point)


def to_the_point(outline: Outline, line: StraightLine, dart: ClosedDart, unit: str = "mm") -> Chord | None:
    """Return a drawn line that ends at the point of a closed dart, led exactly there; None where it is no such line.

    Args:
        outline: the seam, with the dart as a notch.
        line: as drawn, in mm; its other end is trimmed or run on to the seam.
        dart: that is closed.
        unit: for messages.

    Raises:
        SlashError: it leaves the piece on the way, or stops more than RUN_ON short of the seam.
    """
    near, far = sorted((line.start, line.end), key=lambda z: abs(z - dart.point))
    if abs(near - dart.point) > RUN_ON or abs(far - dart.point) <= 2 * RUN_ON:
        return None
    reach = abs(far - dart.point)
    along = (far - dart.point) / reach
    legs = [(z - dart.point) / abs(z - dart.point) for z in (dart.start, dart.end)]
    subject = f"Slash line '{line.name}'"
    if abs(bearing(along / dart.way)) <= abs(bearing(legs[0] / dart.way)) + _OFF_THE_LEG:
        raise SlashError(
            subject,
            f"runs into {dart.words}",
            "it opens the angle that is closed there",
            "Draw it from another part of the seam to the point of the dart.",
        )
    hits = [hit for hit in outline.crossings(dart.point, along) if hit.along > ON_LINE * 100]
    end = min(hits, key=ALONG, default=None)
    if end is None or end.along - reach > RUN_ON:
        short = "" if end is None else f"stops {show(end.along - reach, unit)} short of the seam"
        raise SlashError(
            subject,
            short or "does not reach the seam",
            f"up to {show(RUN_ON, unit)} is run on",
            f"Draw it from the seam to the point of {dart.words}.",
        )
    if len([hit for hit in hits if hit.along < reach - RUN_ON]) > 1:  # the first is where it is trimmed
        raise SlashError(
            subject,
            f"leaves the piece on its way to {dart.words}",
            "the cloth beside it is turned about the dart's point in one piece",
            "Draw it from the part of the seam that is seen from the dart's point.",
        )
    node = node_at(outline, dart.point)
    assert node is not None
    return Chord(end.at, float(node), end.point, dart.point)


_OFF_THE_LEG = 0.02
"""Radians, one degree. A line nearer to the leg of a dart is drawn along it."""


def _end_that_points(way: complex) -> str:
    # As seen on the page.
    if abs(way.imag) >= abs(way.real):
        return "lower" if way.imag > 0 else "upper"
    return "right" if way.real > 0 else "left"


def in_order(
    outline: Outline, lines: list[StraightLine], unit: str = "mm", closed: tuple[ClosedDart, ...] = ()
) -> SlashSet:
    """Return the lines trimmed, each with its top end decided, in the order in which their pleats are numbered.

    Top and left are decided once for all of them: lines that do not cross stand in a row of panels, and all
    their top ends lie along one side of it. The row's mean direction says whether it is upright (top is up the
    page, numbered from the left) or level (top is the left end, numbered from the top of the page).

    Args:
        outline: clockwise as seen on the page.
        lines: in any order, at least one.
        unit: for messages.
        closed: darts that are closed onto those of the lines that end at their points.

    Raises:
        SlashError: one does not part the piece, two cross inside it, or they do not stand in a row.
    """
    chords = _met_on_the_seam(outline, [_across(outline, line, unit, closed) for line in lines])
    _refuse_in_dart(outline, lines, chords, unit, closed)
    ends = _ends_in_order(outline, chords)
    _refuse_crossing(ends, lines, chords)
    row = _row(ends, lines)
    order = [index for index, _ in row[: len(lines)]]
    made = [chords[k] if chords[k].top_at == place else chords[k].turned for k, place in row[: len(lines)]]
    mean = 0j
    for c in made:
        along = c.hem - c.top
        mean += along / abs(along)
    upright = abs(mean.imag) >= abs(mean.real)
    if (mean.imag if upright else mean.real) < 0:
        made = [c.turned for c in reversed(made)]
        order.reverse()
    if not upright:
        n = len(outline)
        outline = outline.reversed()
        made = [Chord(n - c.top_at, n - c.hem_at, c.top, c.hem) for c in reversed(made)]
        order.reverse()
    return SlashSet(
        outline,
        _counted_on(made, len(outline)),
        tuple([lines[k].name for k in order]),
        tuple(order),
        upright,
        closed=closed,
    )


def _across(outline: Outline, line: StraightLine, unit: str, closed: tuple[ClosedDart, ...]) -> Chord:
    for dart in closed:
        found = to_the_point(outline, line, dart, unit)
        if found is not None:
            return found
    return trimmed(outline, line, unit)


def _refuse_in_dart(
    outline: Outline, lines: list[StraightLine], chords: list[Chord], unit: str, closed: tuple[ClosedDart, ...]
) -> None:
    # The dart is sewn up, so that the line ends where no seam is left to take the pleat up: the seam would be drawn in a
    # zigzag there, and no shorter for the pleat.
    n = len(outline)
    for dart in outline.darts:
        for line, chord in zip(lines, chords, strict=True):
            for at, spot in ((chord.top_at, chord.top), (chord.hem_at, chord.hem)):
                beyond = min(abs(spot - outline.point(dart.start)), abs(spot - outline.point(dart.end)))
                if not 0 < (at - dart.start) % n < dart.end - dart.start or beyond <= MEETING:
                    continue
                if any(abs(spot - one.point) <= ON_LINE for one in closed):
                    continue
                where = "at the point" if abs(spot - outline.point(dart.point)) <= _AT_THE_POINT else "in the leg"
                raise SlashError(
                    f"Slash line '{line.name}'",
                    f"ends {where} of a dart, {show(abs(spot - outline.point(dart.point)), unit)} from its point and "
                    f"{show(beyond, unit)} from the seam",
                    "a dart is sewn up, and a pleat whose line ends inside it would take nothing up at the seam",
                    _beside_or_closed(
                        line, outline.point(dart.start), outline.point(dart.end), where == "at the point"
                    ),
                )


def _beside_or_closed(line: StraightLine, start: complex, end: complex, at_point: bool) -> Words:
    # What to do about a line that ends in a dart, whose mouth is from start to end: one drawn on out of it can take it in.
    way, mouth = line.end - line.start, end - start
    across = (mouth * way.conjugate()).imag
    if abs(across) > 1e-9 * abs(mouth) * abs(way):
        share = ((line.start - start) * way.conjugate()).imag / across
        along = ((start + share * mouth - line.start) / way).real
        reach = RUN_ON / abs(way)
        if 0 < share < 1 and -reach <= along <= 1 + reach:
            return message(
                "Give {}, which closes the dart into the pleat, taken in more and more towards the seam; or move the line "
                "beside the dart and run it on to the seam.",
                option("darts", "nearest"),
            )
    return message(
        "Move the line beside the dart and run it on to the seam; or give {}, which closes the dart and opens its angle there."
        if at_point
        else "Move the line beside the dart and run it on to the seam; or end it at the dart's point and give {}, which closes "
        "the dart and opens its angle there.",
        option("pivot", "dart"),
    )


def _met_on_the_seam(outline: Outline, chords: list[Chord]) -> list[Chord]:
    # Lines drawn to one point of the seam meet a hair off it, as editors round: those that would cross there for that
    # alone are ended together.
    n = len(outline)
    ends = [(c.top_at, k, c.hem_at, c.top, 0) for k, c in enumerate(chords)]
    ends += [(c.hem_at, k, c.top_at, c.hem, 1) for k, c in enumerate(chords)]
    ends.sort(key=_PLACE_THEN_LINE)
    if all(abs(b[3] - a[3]) > MEETING for a, b in pairwise(ends)):
        return chords  # as nearly always
    met = list(chords)
    start = 0
    for stop in range(1, len(ends) + 1):
        if stop < len(ends) and abs(ends[stop][3] - ends[stop - 1][3]) <= MEETING:
            continue
        group = ends[start:stop]
        start = stop
        if len({end[1] for end in group}) < 2 or len({end[1] for end in group}) < len(group):
            continue
        if [end[1] for end in group] != [end[1] for end in sorted(group, key=lambda end: -((end[2] - end[0]) % n))]:
            at, _, _, spot, _ = group[0]
            for _, k, _, _, which in group:
                c = met[k]
                met[k] = Chord(at, c.hem_at, spot, c.hem) if which == 0 else Chord(c.top_at, at, c.top, spot)
    return met


def _ends_in_order(outline: Outline, chords: list[Chord]) -> list[tuple[int, float]]:
    # (line, place) round the outline. Lines that share an end are put in the order in which they do not cross there:
    # the one whose other end is farthest ahead comes first.
    n = len(outline)
    ends = [(c.top_at, k, c.hem_at, c.top) for k, c in enumerate(chords)]
    ends += [(c.hem_at, k, c.top_at, c.hem) for k, c in enumerate(chords)]
    ends.sort(key=_PLACE_THEN_LINE)
    ordered: list[tuple[int, float]] = []
    start = 0
    for stop in range(1, len(ends) + 1):
        if stop < len(ends) and abs(ends[stop][3] - ends[stop - 1][3]) <= ON_LINE:
            continue
        shared = ends[start:stop]
        if len(shared) > 1:
            shared.sort(key=lambda end: -((end[2] - end[0]) % n))
        ordered += [(k, at) for at, k, _, _ in shared]
        start = stop
    return ordered


def _refuse_crossing(ends: list[tuple[int, float]], lines: list[StraightLine], chords: list[Chord]) -> None:
    waiting: list[int] = []
    for k, _ in ends:
        if waiting and waiting[-1] == k:
            waiting.pop()
        elif k in waiting:
            other = waiting[-1]
            if abs(chords[k].top - chords[other].top) <= ON_LINE or abs(chords[k].top - chords[other].hem) <= ON_LINE:
                raise SlashError(
                    f"Slash lines '{lines[k].name}' and '{lines[other].name}'",
                    "lie on one another",
                    "each pleat has a line of its own",
                    message("Delete one of the two, or choose one with {}.", option("slash")),
                )
            spot = where_they_meet(chords[k], chords[other])
            raise CrossingError(
                f"Slash lines '{lines[k].name}' and '{lines[other].name}'",
                f"cross inside the piece, at ({spot.real:.1f}, {spot.imag:.1f}) mm on the page",
                "slash lines may meet on the seam, not inside it",
                "Move one of them, or end both at the seam.",
            )
        else:
            waiting.append(k)


def where_they_meet(a: Chord, b: Chord) -> complex:
    """Return where two lines across the piece, produced, meet; the first one's top where they are parallel."""
    r, s, w = a.hem - a.top, b.hem - b.top, b.top - a.top
    det = (r.conjugate() * s).imag
    return a.top + r * ((w.conjugate() * s).imag / det) if det else a.top


def _row(ends: list[tuple[int, float]], lines: list[StraightLine]) -> list[tuple[int, float]]:
    # Turned so that it reads 1, 2 .. n, n .. 2, 1: the lines stand in a row, with a panel between neighbours.
    count = len(ends)
    for k in range(count):
        if ends[k][0] == ends[(k + 1) % count][0]:
            turned = ends[k + 1 :] + ends[: k + 1]
            names = [index for index, _ in turned]
            if names == names[::-1]:
                return turned
    stray = lines[ends[0][0]].name
    raise SlashError(
        f"The {len(lines)} slash lines, '{stray}' among them,",
        "part the piece like the prongs of a fork",
        "the lines of one run stand in a row, one panel between each two neighbours",
        message(
            "Choose those of one row with {}; the others can be pleated on the result, where they cross its folds squarely.",
            option("slash"),
        ),
    )


def _counted_on(chords: list[Chord], n: int) -> tuple[Chord, ...]:
    # Tops ascend from the first; hems ascend backwards from the last; all counted on round the outline.
    tops: list[float] = []
    level = chords[0].top_at
    for c in chords:
        level = _not_below(c.top_at, level, n)
        tops.append(level)
    counted: list[Chord] = []
    for c, top_at in zip(reversed(chords), reversed(tops), strict=True):
        level = _not_below(c.hem_at, level, n)
        counted.append(Chord(top_at, level, c.top, c.hem))
    counted.reverse()
    return tuple(counted)


def _not_below(at: float, level: float, n: int) -> float:
    while at < level - 1e-7:
        at += n
    return at
