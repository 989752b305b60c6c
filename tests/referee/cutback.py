"""Fold the cutting line of a written result back and hold it against a mitred parallel of the finished outline.

It knows only what stands in the file and which allowance was asked for, and shares no code with the program: lxml,
numpy and shapely, as `tests.referee.foldback`.

The parallel is built as an area: the finished outline, flattened within 0.0002 mm, and outside each of its chords a
rectangle as deep as the allowance there; at each corner that points outwards the kite between two rectangles, up to
the mitre, or squared where the mitre would stand out more than 5 allowances.  What lies outside the union is its edge.
A buffer by shapely is not taken for it: it knows one distance only, and at a corner between curves it mitres with the
direction of the last chord, not of the curve, which misses by 0.04 mm at 15 mm (measured in
`tests/outside/test_allowances.py`; what GEOS leaves out of hollows before it buffers came to 0.0005 mm there).

All lengths are millimetres; y runs down the page.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

from . import foldback
from .foldback import CannotFoldError, Points, Reals

CUT_LIMIT_MM = 0.02
"""What a folded cutting line is held to, mm."""
MITRE_LIMIT = 5.0
"""Of the allowance: how far out a corner of the cutting line may stand."""
CORNER_DEGREES = 30.0
"""Where a seam turns more than this, one edge ends and the next begins."""
ON_MM = 0.002
"""A crease's end nearer to the cutting line than this lies on it; others end inside the allowance."""
FREE_MM = 0.003
"""What lies this near to a free-edge stretch belongs to it."""


@dataclass(frozen=True)
class CutProof:
    """What folding a cutting line back has shown, in mm; 0 is perfect.

    Attributes:
        off_mm: the largest distance of a folded cutting edge of any layer from the parallel.
        bare_mm: the largest distance of a point of the parallel from the nearest folded cutting edge.
        free_mm: how much of the flat cutting line folds onto nothing by design.
        faults: what is wrong in words.
        where: where the largest values were met, on the flat piece and on the finished one.
    """

    off_mm: float
    bare_mm: float
    free_mm: float
    faults: tuple[str, ...]
    where: tuple[complex, complex]


def prove_cut(path: Path | str, allowances: float | Sequence[float] | None) -> CutProof:
    """Fold the cutting line of a result with one piece back.

    Args:
        path: the result.
        allowances: of every edge, or of each edge of the finished outline as drawn, clockwise from the corner nearest
            to the top left of its box; None holds it against the finished cutting line that the file itself shows.

    Raises CannotFoldError.
    """
    (half,) = foldback._read(path)
    if half.cut is None or half.finished_cut is None:
        raise CannotFoldError("no cut-line, or no finished-cut-line")
    faults: list[str] = []
    ring = shapely.Polygon(foldback._xy(half.cut))
    if not ring.is_valid:
        faults.append(f"the flat cutting line crosses itself: {shapely.is_valid_reason(ring)}")
    elif not ring.buffer(ON_MM).covers(shapely.Polygon(foldback._xy(half.seam))):
        faults.append("the flat seam runs outside the flat cutting line")
    piece, home = foldback._whole(half)
    motions = foldback._laid_on(piece.creases, home)
    cut = half.cut
    target = half.finished_cut
    if half.fold_edge is not None:
        cut, target = _opened_cuts(half)
    if allowances is not None:
        target = _parallel(half, allowances)
    return _compared(piece, motions, foldback._Ring(cut), target, half.free, faults)


def _opened_cuts(half: Any) -> tuple[Points, Points]:
    motions = foldback.folding_motions((c.ends[0], c.ends[1]) for c in half.creases)
    before = foldback._whole(half)[1] > 0
    edge = half.fold_edge
    flat = _produced(half.cut, edge)
    folded = _produced(half.finished_cut, motions[0 if before else -1].of(edge))
    return foldback._opened(half.cut, flat), foldback._opened(half.finished_cut, folded)


def _produced(ring: Points, edge: Points) -> Points:
    """The fold edge as far as it runs along the cutting line."""
    along = (edge[1] - edge[0]) / abs(edge[1] - edge[0])
    on = ring[np.abs(((ring - edge[0]) * np.conj(along)).imag) < ON_MM]
    if len(on) < 2:
        raise CannotFoldError("the cutting line does not run along the fold edge")
    places = ((on - edge[0]) * np.conj(along)).real
    return np.array([on[np.argmin(places)], on[np.argmax(places)]])


# ------------------------------------------------------------------------------------------------- the parallel


def edges_of(outline: Points) -> Any:
    """For each chord of a closed outline, clockwise on the page, the number of the edge it belongs to, from 0.

    Edges are counted from the corner nearest to the top left of the box.  Returns the outline so turned and the numbers.
    """
    points = outline[np.abs(outline - np.roll(outline, 1)) > 1e-9]
    if foldback._signed_area(points) < 0:
        points = points[::-1]
    ways = np.roll(points, -1) - points
    turns = np.abs(np.degrees(np.angle(ways / np.roll(ways, 1))))
    corners = np.flatnonzero(turns > CORNER_DEGREES)
    left_top = complex(points.real.min(), points.imag.min())
    first = corners[np.argmin(np.abs(points[corners] - left_top))] if len(corners) else 0
    points, turns = np.roll(points, -first), np.roll(turns, -first)
    return points, np.maximum(0, np.cumsum(turns > CORNER_DEGREES) - 1)


def _parallel(half: Any, allowances: float | Sequence[float]) -> Points:
    points, numbers = edges_of(half.finished)
    far = np.full(len(points), allowances) if isinstance(allowances, (int, float)) else np.array(allowances)[numbers]
    if half.fold_edge is not None:
        # The whole piece: each chord's mirror image has its allowance, the fold edge is no edge of it.
        motions = foldback.folding_motions((c.ends[0], c.ends[1]) for c in half.creases)
        edge = motions[0 if foldback._whole(half)[1] else -1].of(half.fold_edge)
        whole = foldback._opened(points, edge)
        mirror = foldback.reflection(edge[0], edge[1])
        middles = (points + np.roll(points, -1)) / 2
        known = np.concatenate([middles, mirror.of(middles)])
        distances = np.concatenate([far, far])
        tree = shapely.STRtree(shapely.points(foldback._xy(known)))
        here = (whole + np.roll(whole, -1)) / 2
        nearest = tree.nearest(shapely.points(foldback._xy(here)))
        points, far = whole, distances[nearest]
    return parallel(points, far)


def parallel(points: Points, far: Reals) -> Points:
    """The mitred parallel outside a closed outline: for each chord its own distance, mm; the outermost ring."""
    if foldback._signed_area(points) < 0:
        points, far = points[::-1], np.roll(far[::-1], -1)
    apart = np.abs(np.roll(points, -1) - points) > 1e-9
    points, far = points[apart], far[apart]
    ends = np.roll(points, -1)
    normals = -1j * (ends - points) / np.abs(ends - points)
    areas = [shapely.Polygon(foldback._xy(points)).buffer(0)]
    # A curve's tangent at a corner is its last chord turned on by half of what it turned from the chord before; a mitre
    # made with the chord's own direction would miss by 0.04 mm.
    turns = np.angle(normals / np.roll(normals, 1))
    lengths = np.abs(ends - points)
    curved = (np.abs(turns) < 0.05) & (np.maximum(lengths, np.roll(lengths, 1)) < 8.0)
    smooth = np.where(curved, turns, 0.0)
    ending = normals * np.exp(0.5j * smooth)
    starting = normals * np.exp(-0.5j * np.roll(smooth, -1))
    # Beside a corner the rectangles end square to the curve, not to its chord.
    starts = np.where(curved, normals, starting)
    stops = np.where(np.roll(curved, -1), normals, ending)
    joined = _joined(points, ends, normals, far, curved, starts, stops)
    heads = np.flatnonzero(~joined)
    for first, after in zip(heads, np.append(heads[1:], len(points)), strict=True):
        if far[first] == 0:
            continue
        band = _band(points, ends, normals, far, starts, stops, slice(first, after))
        if not band.is_valid:  # chord by chord, with what its neighbours leave between them
            joined[first:after] = False
            chords = [slice(k, k + 1) for k in range(first, after)]
            areas += [_band(points, ends, normals, far, starts, stops, chord) for chord in chords]
        else:
            areas.append(band)
    for k in np.flatnonzero(~joined):
        before, after = (ending[k - 1], starting[k]) if not curved[k] else (normals[k - 1], normals[k])
        kite = _kite(points[k], before, after, float(far[k - 1]), float(far[k]))
        if kite is not None:
            areas.append(shapely.Polygon(foldback._xy(kite)))
    every = np.array(areas)
    spoilt = ~shapely.is_valid(every)
    every[spoilt] = shapely.make_valid(every[spoilt])
    whole = shapely.union_all(every, grid_size=1e-7)
    parts = [part for part in shapely.get_parts(whole) if part.geom_type == "Polygon"]
    xy = shapely.get_coordinates(max(parts, key=lambda part: part.area).exterior)[:-1]
    return np.asarray(xy[:, 0] + 1j * xy[:, 1])


def _mitres(points: Points, normals: Points, far: Reals) -> Points:
    """Where the parallels of the chords before and after each node meet."""
    before = np.roll(normals, 1)
    spots: Points = points + far * (before + normals) / (1 + (before.conjugate() * normals).real)
    return spots


def _joined(
    points: Points, ends: Points, normals: Points, far: Reals, curved: Any, starts: Points, stops: Points
) -> npt.NDArray[np.bool_]:
    """The nodes amid a curve at which the areas beside two chords may be drawn as one: their parallels run forward.

    The union of all has the same outline either way; of one area for a curve it takes a fiftieth of the time.
    """
    joined: npt.NDArray[np.bool_] = curved & (far == np.roll(far, 1)) & (far > 0)
    joined[0] = False
    mitres = _mitres(points, normals, far)
    begin = np.where(joined, mitres, points + far * starts)
    end = np.where(np.roll(joined, -1), np.roll(mitres, -1), ends + far * stops)
    forward = ((ends - points).conjugate() * (end - begin)).real > 0
    return joined & forward & np.roll(forward, 1)


def _band(
    points: Points, ends: Points, normals: Points, far: Reals, starts: Points, stops: Points, chords: slice
) -> Any:
    """The area between chords that follow one another and their parallels."""
    first, last = chords.start, chords.stop - 1
    inner = _mitres(points, normals, far)[first + 1 : chords.stop]
    outside = [[points[first] + far[first] * starts[first]], inner, [ends[last] + far[last] * stops[last]]]
    return shapely.Polygon(foldback._xy(np.concatenate([points[chords], [ends[last]], np.concatenate(outside)[::-1]])))


def _kite(corner: complex, before: complex, after: complex, d1: float, d2: float) -> Points | None:
    turn = (before.conjugate() * after).imag
    if (turn <= 1e-9 and (before.conjugate() * after).real > 0) or max(d1, d2) == 0:
        return None  # it points inwards, or does not turn
    a, b = corner + d1 * before, corner + d2 * after
    into, out = before * 1j, after * 1j  # along the two chords
    spot = None
    if abs(turn) > 1e-9:
        reach = ((b - a).conjugate() * out).imag / (into.conjugate() * out).imag
        spot = a + into * reach
        if reach < -1e-6 or ((b - spot).conjugate() * out).real < -1e-6:
            return np.array([corner, a, b])  # the two distances differ too much to mitre: a step
    most = MITRE_LIMIT * max(d1, d2)
    if spot is not None and abs(spot - corner) <= most:
        return np.array([corner, a, spot, b])
    ahead = (into - out) / abs(into - out)
    spots = []
    for z, way in ((a, into), (b, -out)):
        left = most - ((z - corner) * ahead.conjugate()).real
        spots.append(z + way * max(0.0, left / (way * ahead.conjugate()).real))
    return np.array([corner, a, *spots, b])


# --------------------------------------------------------------------------------------------------- comparing


def _compared(
    piece: Any, motions: Any, cut: Any, target: Points, free: tuple[Points, ...], faults: list[str]
) -> CutProof:
    creases = piece.creases
    count = len(creases)
    outer = np.array([[c.nodes[0], c.nodes[-1]] for c in creases])
    # Walk it so that the tops come forward, as the seam does.
    seam, _, _ = foldback._in_order(foldback._Ring(piece.seam), creases)
    if (foldback._signed_area(seam.points) > 0) != (foldback._signed_area(cut.points) > 0):
        cut = cut.turned()
    away = cut.distance(outer.ravel()).reshape(outer.shape)
    stops: list[tuple[float, int, int]] = []  # place, the layers before and after it, once round
    for side, order in ((0, range(count)), (1, range(count - 1, -1, -1))):
        for k in order:
            if away[k, side] <= ON_MM:
                place = float(cut.places(outer[k : k + 1, side])[0])
                stops.append((place, k + 1 if side else k, k if side else k + 1))
            elif not any(abs(outer[k, side] - outer[j, side]) < ON_MM for j in (k - 1, k + 1) if 0 <= j < count):
                faults.append(f"{creases[k].words}: ends inside the allowance, and on no other fold line")
    known = foldback._Edges(target)
    no_fold = [foldback._Edges(np.concatenate([run, run[::-1]])) for run in free]
    worst, spot, laid, free_length = 0.0, 0j, [], 0.0
    if not stops:
        raise CannotFoldError("no crease ends on the cutting line")
    total = sum(cut.gap(a[0], b[0]) for a, b in zip(stops, [*stops[1:], stops[0]], strict=True))
    if total > cut.length + foldback.TIE_MM:
        faults.append("the creases do not follow one another along the cutting line")
    for (start, _, here), (end, there, _) in zip(stops, [*stops[1:], stops[0]], strict=True):
        run = cut.run(start, end)
        if np.abs(np.diff(run)).sum() <= foldback.TIE_MM:
            continue
        flat = foldback._sampled(run, closed=False)
        open_to = np.zeros(len(flat), dtype=bool)
        for edges in no_fold:
            open_to |= edges.distance(flat) <= FREE_MM
        steps = np.abs(np.diff(flat))
        free_length += float(steps[open_to[1:] & open_to[:-1]].sum())
        flat = flat[~open_to]
        if not len(flat):
            continue
        # Where fold lines meet inside the allowance several layers share a stretch; each point belongs to one.
        ways = [motions[k].of(flat) for k in range(min(here, there), max(here, there) + 1)]
        off = np.array([known.distance(folded) for folded in ways])
        for folded, far in zip(ways, off, strict=True):
            parts = np.split(np.arange(len(flat)), np.flatnonzero(np.diff(far <= CUT_LIMIT_MM)) + 1)
            laid += [folded[part] for part in parts if len(part) > 1 and far[part[0]] <= CUT_LIMIT_MM]
        least = off.min(axis=0)
        if least.max() > worst:
            worst, spot = float(least.max()), complex(flat[int(np.argmax(least))])
    bare, bare_at = _bare(target, laid, piece, motions, outer, away)
    return CutProof(worst, bare, free_length, tuple(faults), (spot, bare_at))


def _bare(target: Points, laid: Any, piece: Any, motions: Any, outer: Any, away: Any) -> tuple[float, complex]:
    points = foldback._spots(target, closed=True)
    for k in range(len(piece.creases)):
        for side in (0, 1):
            if away[k, side] > ON_MM:  # near a wedge that stays unfolded
                at = motions[k].of(outer[k : k + 1, side])[0]
                points = points[np.abs(points - at) > 3 * away[k, side] + 1.0]
    if not len(points):
        return 0.0, 0j
    if not laid:
        return math.inf, complex(points[0])
    far = foldback._Edges(*[np.concatenate([folded, folded[::-1]]) for folded in laid]).distance(points)
    index = int(np.argmax(far))
    return float(far[index]), complex(points[index])


def assert_cut_true(
    path: Path | str, allowances: float | Sequence[float] | None, free: bool | None = False
) -> CutProof:
    """Raise AssertionError unless the cutting line of a result folds back within CUT_LIMIT_MM.

    Args:
        free: whether stretches that fold onto nothing are to be there; None where either will do.
    """
    __tracebackhide__ = True
    foldback.assert_true(path)
    proof = prove_cut(path, allowances)
    said = list(proof.faults)
    if not proof.off_mm <= CUT_LIMIT_MM:
        said.append(
            f"a folded cutting edge misses the parallel by {proof.off_mm:.4f} mm at {proof.where[0]:.3f} (flat)"
        )
    if not proof.bare_mm <= CUT_LIMIT_MM:
        said.append(f"the parallel is bare by {proof.bare_mm:.4f} mm at {proof.where[1]:.3f} (finished)")
    if free is not None and (proof.free_mm > 0) != free:
        said.append(f"{proof.free_mm:.2f} mm of the cutting line fold onto nothing")
    if said:
        raise AssertionError("\n  ".join([f"{Path(path).name}: the cutting line does not fold back true:", *said]))
    return proof
