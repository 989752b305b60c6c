"""Lines of stitching on the flat piece: basting at the ends of the pleats, edge stitching and stitching down beside the folds.

All in mm, in the coordinates of the flat piece.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.strokes import LongRun, parts_between, path_crossings
from pleatsvg.geometry.motion import moved
from pleatsvg.geometry.parallel import parallels_of
from pleatsvg.geometry.segment import Segment, heading
from pleatsvg.order.marking import Marking
from pleatsvg.piece.cutting.cutting_line import Cutting
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.pleats.words import end_words
from pleatsvg.result.roles import Role

BASTE_AT_MOST = 6.0
"""mm from the seam: basting lies inside the allowance, half-way out or this far, and never shows below the seam."""


EDGE_STITCH_AT = 2.0
"""mm from the fold, through the fold alone; common practice."""


STITCH_DOWN_AT = 3.0
"""mm from the fold, through all layers; so far that it lies beside an edge stitching and can be told from it."""


TICK = 2.0
"""Half the length of the ticks at the end of a line of stitching, mm."""


@dataclass(frozen=True, slots=True)
class StitchingLine:
    """A line of stitching: `name` is its class, `pleat` its pleat's number (0 for none), `runs` its strokes in mm."""

    name: str
    pleat: int
    fold: int
    runs: tuple[tuple[Segment, ...], ...]
    words: str = ""
    words_at: complex = 0j
    words_along: complex = 1 + 0j
    words_side: complex = 1j
    end: str = ""
    """Of a basting line, at which end of the pleats it lies: "top", "left end" or "right end"."""


def stitching_lines(
    lines: SlashSet,
    pleats: tuple[LaidPleat, ...],
    unfolded: Unfolded,
    cutting: Cutting | None,
    marking: Marking,
) -> tuple[tuple[StitchingLine, ...], tuple[str, ...]]:
    """Return, with remarks, every line of stitching that is asked for, and the basting wherever there is an allowance for it:
    across the top of upright pleats, at both ends of level ones."""
    made: list[StitchingLine] = []
    remarks: list[str] = []
    if cutting is not None:
        for at_hem in _basted_ends(lines):
            basting = _basting(lines, pleats, unfolded, cutting, at_hem)
            if basting is None and not all(pleat.request.kind.kicks for pleat in pleats):  # a kick is a seam up there
                remarks.append(
                    f"No line to baste along is drawn at the {end_words(lines.upright)[at_hem]}: fold lines meet nearer to "
                    "the seam than it would lie. Baste along the seam line there."
                )
            made += basting or []
    if marking.edge_stitch is None or marking.edge_stitch > 0:
        made += _beside_folds(
            unfolded, lines.hand, "edge-stitch-line", EDGE_STITCH_AT, marking.edge_stitch, "EDGE STITCH"
        )
    if marking.stitch_down > 0:
        made += _beside_folds(
            unfolded, lines.hand, "stitch-down-line", STITCH_DOWN_AT, marking.stitch_down, "STITCH DOWN"
        )
    return tuple(made), tuple(remarks)


def _basted_ends(lines: SlashSet) -> tuple[bool, ...]:
    # Top (False) and hem (True); where all lines end at the points of closed darts nothing is to be held.
    ends = (False,) if lines.upright else (False, True)
    dying = lines.end_at_points
    return tuple([end for end in ((True,) if dying[0] else ends) if not dying[end]])


def _basting(
    lines: SlashSet, pleats: tuple[LaidPleat, ...], unfolded: Unfolded, cutting: Cutting, at_hem: bool
) -> list[StitchingLine] | None:
    # Along the seam that one end of the lines lies on, from its first corner to its last, unfolded like the seam itself.
    outline = lines.outline
    n = len(outline)

    def place(chord: Chord) -> float:
        return chord.hem_at if at_hem else chord.top_at

    # The hem ends come in the opposite order on the way round.
    low, high = (-1, 0) if at_hem else (0, -1)
    start, stop = outline.corners_around(place(lines.chords[low]), place(lines.chords[high]))
    before, after = (lines.last, lines.first) if at_hem else (lines.first, lines.last)
    if lines.ring and before is not None and after is not None:
        # Underlays run on beyond both ends of the round, and so does the basting through them.
        start, stop = outline.corners_around(place(before), place(after))
    elif before is not None:
        start = max(start, round(place(before)))
    if after is not None and not lines.ring:
        stop = min(stop, round(place(after)))
    if stop <= start:
        return []
    sewn = {k % n for dart in outline.darts for k in range(dart.start, dart.end)}
    walked = [k for k in range(start, stop) if k % n not in sewn]
    far = min(cutting.distances[_index(k % n, lines)] for k in walked)
    if far <= 0:
        return []
    out = min(far / 2, BASTE_AT_MOST)
    path: list[Segment] = []
    gaps: list[int] = []  # a dart is sewn up first: nothing is basted down its legs or over its mouth
    beside = parallels_of(outline, [k % n for k in walked], out, lines.hand)
    for last, k, parts in zip([start - 1, *walked], walked, beside, strict=False):
        if k != last + 1:
            gaps.append(len(path))
            path.append((path[-1][-1], parts[0][0]))
        for part in parts:
            if path and path[-1][-1] != part[0]:
                joined = _joined(path[-1], part)
                if joined is None:
                    path.append((path[-1][-1], part[0]))
                else:
                    path[-1] = (*path[-1][:-1], joined)
                    part = (joined, *part[1:])
            path.append(part)
    whole = tuple(path)
    lines_out = unfolded.out_chords
    met = [
        _met_at(places, whole, chord, lines, at_hem)
        for chord, places in zip(lines_out, LongRun(whole).crossings(lines_out), strict=True)
    ]
    ends = (
        {}
        if lines.ring
        else {round(place(c), 6): at for c, at in ((before, 0.0), (after, float(len(path)))) if c is not None}
    )
    stops = met
    if ends:  # a slash line on the fold edge meets the path at its very end
        seam_at = [round(place(fold.chord), 6) for pleat in pleats for fold in pleat.folds]
        stops = [ends.get(at, spot) for at, spot in zip(seam_at, met, strict=True)]
    if None in stops:
        return None  # fold lines meet nearer to the seam than the basting would lie
    turns = [0.0, *[spot for spot in stops if spot is not None], float(len(path))]
    if lines.ring and before is not None and after is not None:
        for at, chord in ((0, before), (-1, after)):
            way = (chord.hem - chord.top) / abs(chord.hem - chord.top) * 2 * far
            longer = chord._replace(top=chord.top - way, hem=chord.hem + way)
            turns[at] = next(iter(path_crossings(whole, longer)), turns[at])
    if at_hem:
        turns[0], turns[-1] = turns[-1], turns[0]
    runs = [
        tuple([moved(part, unfolded.motions[layer]) for part in parts_between(whole, a, b)])
        for layer, (one, other) in enumerate(pairwise(turns))
        for a, b in _without(gaps, one, other)
    ]
    kept = tuple([run for run in runs if run])
    return [StitchingLine("baste-line", 0, 0, kept, end=end_words(lines.upright)[at_hem])]


def _met_at(
    places: list[float], path: tuple[Segment, ...], chord: Chord, lines: SlashSet, at_hem: bool
) -> float | None:
    # Where a fold line meets the basting; None where it does so twice or more. One that lies on the side seam, as the
    # inner folds of full pleating do, may miss it by a hair: all of the basting then lies on one side of that line.
    if places:
        return places[0] if len(places) == 1 else None
    across = lines.across(chord).conjugate()
    off = [((z - chord.top) * across).real for seg in path for z in (seg[0], seg[-1])]
    behind = max(off) > -min(off)
    if min(-min(off), max(off)) > BASTE_AT_MOST:
        return None
    return 0.0 if behind != at_hem else float(len(path))


def _without(gaps: list[int], start: float, stop: float) -> list[tuple[float, float]]:
    # The stretches of a run of segments from one place to another that are left when some segments are taken out.
    if stop < start:
        return [(b, a) for a, b in reversed(_without(gaps, stop, start))]
    ends = [start, *[float(end) for gap in gaps if start < gap + 0.5 < stop for end in (gap, gap + 1)], stop]
    return list(zip(ends[::2], ends[1::2], strict=True))


def _index(k: int, lines: SlashSet) -> int:
    # The distances are counted along the outline walked clockwise.
    return k if lines.hand > 0 else len(lines.outline) - 1 - k


def _joined(a: Segment, b: Segment) -> complex | None:
    # Where two parallels all but meet they are joined; at a small corner between lines, where they would meet.
    if abs(a[-1] - b[0]) < 0.01:
        return (a[-1] + b[0]) / 2 if len(a) == 4 or len(b) == 4 else b[0]
    if len(a) == len(b) == 2:
        r, s, w = heading(a, 1.0), heading(b, 0.0), b[0] - a[0]
        det = (r.conjugate() * s).imag
        if abs(det) > 1e-6:
            return a[0] + r * ((w.conjugate() * s).imag / det)
    return None


def _beside_folds(
    unfolded: Unfolded, hand: float, name: str, off: float, down: float | None, words: str
) -> list[StitchingLine]:
    made: list[StitchingLine] = []
    tucks = {line.pleat for line in unfolded.creases if line.role is Role.STITCH}
    for k, crease in enumerate(unfolded.creases):
        if crease.role is not Role.FOLD or crease.pleat in tucks:
            continue
        way = crease.hem - crease.top
        length = abs(way)
        along = way / length
        # On the side that is seen: the layer that is not turned over.
        after = -1j * hand * along
        side = -after if not unfolded.motions[k].flips else after
        reach = length if down is None else min(down, length)
        start, end = crease.top + side * off, crease.top + side * off + along * reach
        runs: list[tuple[Segment, ...]] = [((start, end),)]
        for back in (0.0, 1.5):
            spot = end - along * back
            runs.append(((spot - side * TICK, spot + side * TICK),))
        made.append(StitchingLine(name, crease.pleat, crease.folds[0], tuple(runs), words, start, along, side))
    return made
