"""Fold a written ring back, three times round, along nothing but its drawn creases and join lines.

The flat parts of a ring are laid edge to edge at their joins, on and on, until the strip is three rounds long; then it is
folded like any other flat piece. It does not matter here where the program began its round. In a true ring the middle
round, folded, lies one round from its neighbours everywhere by one and the same motion, every fold lies on its placement line
though a join may lie between them, and every raw edge lies on the finished outline or on its image some rounds on or back.

Lengths in mm, y down the page. What it cannot see: as of `foldback`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from tests.referee.foldback import (
    CRACK_MM,
    LIMIT_MM,
    Motion,
    Points,
    _Edges,
    _polygons,
    _Ring,
    _spots,
    _xy,
    by_class,
    folding_motions,
    read_path,
)

ROUNDS = 3


@dataclass(frozen=True)
class _Line:
    role: str
    pleat: int
    folds: tuple[int, ...]
    ends: Points


@dataclass(frozen=True)
class _Part:
    """A cut part: its outline, its joins on the left and on the right with their numbers, its creases from left to right."""

    ring: _Ring
    left: Points
    right: Points
    enters: str
    leaves: str
    creases: tuple[_Line, ...]
    landings: tuple[_Line, ...]

    def places(self) -> Any:
        """Where its joins and creases meet its outline, from left to right: top and hem of each."""
        ends = np.array([self.left, *[line.ends for line in self.creases], self.right])
        return self.ring.places(ends.ravel()).reshape(ends.shape)


@dataclass(frozen=True)
class RingProof:
    """What folding a ring back has shown, in mm; 0 is perfect but for the lengths."""

    period_mm: float
    """How far the motion from one round to the next differs from layer to layer, at the corners of the finished outline."""
    closing_mm: float
    """How far the end of the finished outline lies from its beginning one round on."""
    raw_edge_mm: float
    fold_on_placement_mm: float
    bare_mm: float
    """How far the finished top and hem lie from the nearest raw edge of a folded layer."""
    poke_out_mm: float
    round_top_mm: float
    joins: int
    pleats: int
    intakes: dict[int, float]
    """Fold line to placement line at the top of each pleat, a join between them or not."""

    def failures(self) -> list[str]:
        """What lies beyond the limit."""
        names = ("period_mm", "closing_mm", "raw_edge_mm", "fold_on_placement_mm", "bare_mm", "poke_out_mm")
        return [f"{name}: {getattr(self, name):.4f}" for name in names if not getattr(self, name) <= LIMIT_MM]


def prove_ring(path: Path | str) -> RingProof:
    """Fold a ring back; the file holds one piece."""
    every = by_class(path)
    outlines = [_Ring(_ends(element)).points for element in every["seam-line"]]
    joins = [(str(element.get("data-join")), _ends(element)) for element in every["join-line"]]
    parts = _parts(outlines, joins, _drawn(every))
    finished = _ends(every["finished-line"][0])
    (opening,) = [_ends(element) for element in every["ring-line"]]
    return _proof(parts, finished, opening)


def _ends(element: Any) -> Points:
    return read_path(str(element.get("d")))[0][0]


def _drawn(every: dict[str, list[Any]]) -> list[_Line]:
    """The lines of pleats as they are drawn, from end to end."""
    found = []
    for name, role in (("fold-line", "outer"), ("inner-fold-line", "inner"), ("placement-line", "placement")):
        for element in every.get(name, []):
            folds = tuple(int(one) for one in str(element.get("data-fold")).split())
            found.append(_Line(role, int(element.get("data-pleat")), folds, _ends(element)))
    for element in every.get(
        "stitch-line", []
    ):  # of a tuck: the one is a crease, the other is held against nothing here
        if element.get("data-crease") is not None:
            found.append(_Line("stitch", int(element.get("data-pleat")), (), _ends(element)))
    return found


def _parts(outlines: list[Points], joins: list[tuple[str, Points]], drawn: list[_Line]) -> list[_Part]:
    areas = [shapely.Polygon(_xy(points)) for points in outlines]

    def home(points: Points) -> int:
        return int(np.argmin([shapely.distance(area, shapely.points(_xy(points))).sum() for area in areas]))

    sides: list[dict[str, tuple[str, Points]]] = [{} for _ in outlines]
    for number, ends in joins:
        middle, way = ends.mean(), (ends[1] - ends[0]) / abs(ends[1] - ends[0])
        k = home(ends)
        # The cloth of a part lies to the right of its left edge on the page.
        on_right = areas[k].contains(shapely.Point((middle - 1j * way).real, (middle - 1j * way).imag))
        sides[k]["left" if on_right else "right"] = (number, ends)
    lines: list[list[_Line]] = [[] for _ in outlines]
    near = [area.buffer(CRACK_MM / 4) for area in areas]
    for line in drawn:
        k = home(line.ends)
        lines[k].append(replace(line, ends=_to_seam(near[k], line.ends[[0, -1]])))
    made = []
    for k, points in enumerate(outlines):
        left, right = sides[k]["left"], sides[k]["right"]
        at_join = [
            line for line in lines[k] if _off(line.ends, left[1]) < CRACK_MM or _off(line.ends, right[1]) < CRACK_MM
        ]
        rest = [line for line in lines[k] if line not in at_join]
        ring = _Ring(points)
        creases = [line for line in rest if line.role != "placement"]
        tops = [left[1][0], right[1][0], *[line.ends[0] for line in creases]]
        start, end, *places = ring.places(np.array(tops)).tolist()
        forward = ring.gap(start, end) < ring.length / 2
        ways = [ring.gap(start, place) if forward else ring.gap(place, start) for place in places]
        creases = [creases[number] for number in np.argsort(ways, kind="stable")]
        landings = tuple([line for line in rest if line.role == "placement"])
        made.append(_Part(ring, left[1], right[1], left[0], right[0], tuple(creases), landings))
    return made


def _to_seam(area: Any, ends: Points) -> Points:
    """A line that is drawn on through an allowance, as far as the seam."""
    line = shapely.LineString(_xy(ends))
    met = shapely.get_coordinates(shapely.intersection(line, area))
    spots: Points = met[:, 0] + 1j * met[:, 1]
    order = np.argsort(np.abs(spots - ends[0]))
    found: Points = spots[order[[0, -1]]]
    return found


def _off(ends: Points, edge: Points) -> float:
    along = (edge[1] - edge[0]) / abs(edge[1] - edge[0])
    return float(np.abs(((ends - edge[0]) * np.conj(along)).imag).max())


def _laid(line: Points, onto: Points) -> Motion:
    turn = (onto[1] - onto[0]) / (line[1] - line[0])
    turn /= abs(turn)
    return Motion(complex(turn), complex(onto.mean() - turn * line.mean()), False)


@dataclass(frozen=True)
class _Cloth:
    """A layer: its raw edges and all of it, flat; what lies on it; how it is folded; its round and its number in it."""

    area: Points
    raw: tuple[Points, ...]
    part: int
    lay: Motion
    round_: int


def _strip(parts: list[_Part]) -> Iterator[tuple[int, int, Motion]]:
    """Part, round and lay of each in a strip of ROUNDS rounds."""
    lay, k = Motion(), 0
    for number in range(ROUNDS * len(parts)):
        yield k, number // len(parts), lay
        there = lay.of(parts[k].right)
        k = next(j for j, part in enumerate(parts) if part.enters == parts[k].leaves)
        lay = _laid(parts[k].left, there)


@dataclass(frozen=True)
class Zone:
    """What of a fitted ring is folded: which of the edges of its cloth, at the top (0) or at the hem (1), belong to it. At the
    other one its layers are cut off along the hip level, where hidden cloth slides and is too long by a little."""

    edge: int


def _proof(parts: list[_Part], finished: Points, opening: Points, zone: Zone | None = None) -> RingProof:
    creases: list[Points] = []
    layers: list[_Cloth] = []
    pairs: list[tuple[str, int, int, tuple[int, ...], Points, int, int]] = []
    strip = list(_strip(parts))
    pieces: dict[int, tuple[list[tuple[Points, tuple[Points, ...]]], list[int]]] = {}
    for number, (k, round_, lay) in enumerate(strip):
        part = parts[k]
        if number:
            creases.append(lay.of(part.left))
        if k not in pieces:
            pieces[k] = _cloth_of(part, zone)
        cloth, homes = pieces[k]
        for place, (area, raw) in enumerate(cloth):
            layers.append(_Cloth(area, raw, k, lay, round_))
            if place < len(part.creases):
                line = part.creases[place]
                creases.append(lay.of(line.ends))
                if line.role == "outer":
                    pairs.append(("fold", round_, line.pleat, line.folds, lay.of(line.ends), len(layers) - 1, k))
        first = len(layers) - len(cloth)
        for line, home in zip(part.landings, homes, strict=True):
            pairs.append(("place", round_, line.pleat, line.folds, lay.of(line.ends), first + home, k))
    motions = folding_motions((crease[0], crease[1]) for crease in creases)
    own = len(layers) // ROUNDS
    # The layer on which the finished outline was laid: that of the line where the program begins its round.
    home = own + _lies_on(opening.mean(), [one.area for one in layers[own : 2 * own]])
    base = motions[home] @ layers[home].lay
    back = base.inverse()
    folded = [back @ motion for motion in motions]
    periods = [
        folded[i + own] @ layers[i + own].lay @ (folded[i] @ layers[i].lay).inverse() for i in range(len(layers) - own)
    ]
    period = periods[home - own]
    spread = max(float(np.abs(one.of(finished) - period.of(finished)).max()) for one in periods)
    images = [finished]
    for way in (period, period.inverse()):
        images += [way.of(finished), (way @ way).of(finished)]
    corners = _Ring(finished).points
    edges = _Edges(*[_Ring(image).points for image in images])
    ways = [folded[i] @ layers[i].lay for i in range(own, 2 * own)]
    middle = list(zip(ways, layers[own : 2 * own], strict=True))
    there = np.concatenate([way.of(_spots(run, closed=False)) for way, one in middle for run in one.raw])
    raw_worst = float(edges.distance(there).max())
    # A deep underlay runs on straight along the hip level, where the piece above it turns at every hip point.
    whole = there
    if zone is None:
        whole = np.concatenate([way.of(_spots(one.area, closed=True)) for way, one in middle])
    elif any(not one.raw for _, one in middle):
        more = [way.of(_spots(one.area, closed=True)) for way, one in middle if not one.raw]
        whole = np.concatenate([there, *more])
    within = np.zeros(len(whole), dtype=bool)
    for image in _polygons(images):
        shapely.prepare(image)
        within |= shapely.contains_xy(image, whole.real, whole.imag)
    poke = float(edges.distance(whole[~within]).max(initial=0.0))
    landed, intakes = _landings(pairs, folded, zone)
    closing, top, bare = _bare(corners, period, layers, folded, zone)
    return RingProof(
        spread, closing, raw_worst, landed, bare, poke, top, len(parts), len({pair[2] for pair in pairs}), intakes
    )


def _lies_on(z: complex, areas: list[Points]) -> int:
    """Which of some areas a point lies on or is nearest to."""
    return int(np.argmin(shapely.distance(_polygons(areas), shapely.Point(z.real, z.imag))))


def _cloth_of(part: _Part, zone: Zone | None) -> tuple[list[tuple[Points, tuple[Points, ...]]], list[int]]:
    """The layers of a part as `_between` has them, and on which of them each placement line lies."""
    cloth = [_between(part.ring, pair, zone) for pair in pairwise(part.places())]
    return cloth, [_lies_on(line.ends.mean(), [area for area, _ in cloth]) for line in part.landings]


def _between(ring: _Ring, places: Any, zone: Zone | None) -> tuple[Points, tuple[Points, ...]]:
    """The cloth of a part between two lines, whose tops and hems have these places: all its edge, and what of it is raw."""
    (a_top, a_hem), (b_top, b_hem) = places
    forward = ring.gap(a_top, b_top) + ring.gap(b_hem, a_hem) < ring.gap(b_top, a_top) + ring.gap(a_hem, b_hem)
    if forward:
        top, hem = ring.run(a_top, b_top), ring.run(b_hem, a_hem)
    else:
        top, hem = ring.run(b_top, a_top)[::-1], ring.run(a_hem, b_hem)[::-1]
    runs = (top, hem) if zone is None else ((top, hem)[zone.edge],)
    raw = tuple([run for run in runs if np.abs(np.diff(run)).sum() > CRACK_MM])
    return np.concatenate([top, hem]), raw


def _landings(
    pairs: list[tuple[str, int, int, tuple[int, ...], Points, int, int]], folded: list[Motion], zone: Zone | None
) -> tuple[float, dict[int, float]]:
    worst, intakes = 0.0, {}
    for kind, round_, pleat, folds, ends, layer, _ in pairs:
        if kind != "place" or round_ != 1:
            continue
        reach = {-1: 0.0, 1: 0.0}  # of a stack, the fold that lies farthest off on either side
        for fold in folds:
            mine = [other for other in pairs if other[0] == "fold" and other[2] == pleat and fold in other[3]]
            # Where a pleat takes up more than a panel, its fold in another round may lie nearer while the cloth is flat.
            apart = [_apart(folded[one[5]].of(one[4]), folded[layer].of(ends), zone) for one in mine]
            nearest = mine[int(np.argmin(apart))]
            worst = max(worst, min(apart))
            way = nearest[4] - ends
            side = 1 if (way.mean() * np.conj(1j * (ends[1] - ends[0]))).real > 0 else -1
            reach[side] = max(reach[side], float(abs(way[0])))
        intakes[pleat] = intakes.get(pleat, 0.0) + sum(reach.values())
    return worst, intakes


def _apart(fold: Points, there: Points, zone: Zone | None) -> float:
    """How far a fold line, folded, lies from its placement line: at both ends, at the hip to the side of it alone."""
    off = (fold - there) * np.conj((there[1] - there[0]) / abs(there[1] - there[0]))
    if zone is not None:
        off[1 - zone.edge] = 1j * off[1 - zone.edge].imag
    return float(np.abs(off).max())


def _bare(
    corners: Points, period: Motion, layers: list[_Cloth], folded: list[Motion], zone: Zone | None
) -> tuple[float, float, float]:
    """How far the end of the finished outline is from its beginning one round on; the length of its top; how far its top and
    its hem lie from the raw edges that are to cover them."""
    ring = _Ring(corners)
    ways = np.roll(corners, -1) - corners
    corners = corners[np.abs(np.angle(ways / np.roll(ways, 1))) > np.radians(20)]
    moved = period.of(corners)
    # The side that ends the round is the image of the one that begins it: the corners whose images are corners.
    away = np.abs(moved[:, None] - corners[None, :])
    begin = [int(k) for k in np.argsort(away.min(axis=1))[:2]]
    end = [int(away[k].argmin()) for k in begin]
    closing = float(max(away[k].min() for k in begin))
    at = ring.places(corners[[*begin, *end]])
    runs = [ring.run(at[0], at[2]), ring.run(at[2], at[0]), ring.run(at[1], at[3]), ring.run(at[3], at[1])]
    one = min(runs[:2], key=lambda run: float(np.abs(np.diff(run)).sum()))
    two = min(runs[2:], key=lambda run: float(np.abs(np.diff(run)).sum()))
    top, hem = sorted([one, two], key=lambda run: float(run.imag.mean()))
    raw = shapely.MultiLineString(
        [_xy(folded[i].of(layer.lay.of(run))) for i, layer in enumerate(layers) for run in layer.raw]
    )
    bare = [float(shapely.distance(raw, shapely.points(_xy(_spots(run, closed=False)))).max()) for run in (top, hem)]
    if zone is None:
        return closing, float(np.abs(np.diff(top)).sum()), max(bare)
    # Above the hip a ring is turned by much; there and below it one of the two is the hip level.
    own, other = (top, hem) if bare[0] < bare[1] else (hem, top)
    return closing, float(np.abs(np.diff((own, other)[zone.edge])).sum()), min(bare)


def assert_ring(path: Path | str) -> RingProof:
    """Raise AssertionError, naming what fails, unless the ring folds back true."""
    proof = prove_ring(path)
    assert not proof.failures(), f"{Path(path).name}: {'; '.join(proof.failures())}"
    return proof
