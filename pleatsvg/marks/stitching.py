"""Lines of stitching on the flat piece: basting across the top, edge stitching and stitching down beside the folds.

All in mm, in the coordinates of the flat piece.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.flat.strokes import parts_between, path_crossings
from pleatsvg.geometry.motion import moved
from pleatsvg.geometry.parallel import parallel_of
from pleatsvg.geometry.segment import Segment, heading
from pleatsvg.order.marking import Marking
from pleatsvg.piece.cutting_line import Cutting
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.pleats.laid import LaidPleat
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


def stitching_lines(
    lines: SlashSet,
    pleats: tuple[LaidPleat, ...],
    unfolded: Unfolded,
    cutting: Cutting | None,
    marking: Marking,
) -> tuple[StitchingLine, ...]:
    """Return every line of stitching that is asked for, and the basting line wherever there is an allowance for it."""
    made: list[StitchingLine] = []
    if cutting is not None:
        made += _basting(lines, pleats, unfolded, cutting)
    if marking.edge_stitch is None or marking.edge_stitch > 0:
        made += _beside_folds(
            unfolded, lines.hand, "edge-stitch-line", EDGE_STITCH_AT, marking.edge_stitch, "EDGE STITCH"
        )
    if marking.stitch_down > 0:
        made += _beside_folds(
            unfolded, lines.hand, "stitch-down-line", STITCH_DOWN_AT, marking.stitch_down, "STITCH DOWN"
        )
    return tuple(made)


def _basting(
    lines: SlashSet, pleats: tuple[LaidPleat, ...], unfolded: Unfolded, cutting: Cutting
) -> list[StitchingLine]:
    # Along the seam that the line tops lie on, from its first corner to its last, unfolded like the seam itself.
    outline = lines.outline
    n = len(outline)
    start, stop = outline.corners_around(lines.chords[0].top_at, lines.chords[-1].top_at)
    if lines.first is not None:
        start = round(lines.first.top_at)
    if lines.last is not None:
        stop = round(lines.last.top_at)
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
    for before, k in zip([start - 1, *walked], walked, strict=False):
        parts = parallel_of(outline.segments[k % n], out, lines.hand)
        if k != before + 1:
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
    chords = unfolded.out_chords
    # A slash line on the fold edge meets the path at its very end.
    ends = {round(c.top_at, 6): at for c, at in ((lines.first, 0.0), (lines.last, float(len(path)))) if c is not None}
    seam_at = [round(fold.chord.top_at, 6) for pleat in pleats for fold in pleat.folds]
    met = [
        [ends[at]] if at in ends else path_crossings(tuple(path), chord)
        for at, chord in zip(seam_at, chords, strict=True)
    ]
    if any(len(places) != 1 for places in met):
        return []  # fold lines meet nearer to the seam than the basting would lie
    stops = [0.0, *[places[0] for places in met], float(len(path))]
    runs = [
        tuple([moved(part, unfolded.motions[layer]) for part in parts_between(tuple(path), a, b)])
        for layer, ends in enumerate(pairwise(stops))
        for a, b in _without(gaps, *ends)
    ]
    kept = tuple([run for run in runs if run])
    return [StitchingLine("baste-line", 0, 0, kept)]


def _without(gaps: list[int], start: float, stop: float) -> list[tuple[float, float]]:
    # The stretches of a run of segments from one place to another that are left when some segments are taken out.
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
