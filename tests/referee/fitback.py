"""Fold a written fitted piece back, once above the hip and once below it, along nothing but its drawn lines.

Each line of a pleat bends where the hip level crosses it. The upper parts of the creases fold the edges of the flat piece
that lie above the hip level onto the finished line of the zone above, the lower parts fold all other edges onto that of the
zone below. What goes from the one folded state to the other is a motion for each panel; two neighbours take the hip point
between them to one place, or the cloth would have to tear there.

Lengths in mm, y down the page. Chords, motions and distances are the referee's own; what it cannot see: as of `foldback`,
and a hip level that is drawn in another place than was asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

from tests.referee.foldback import (
    LIMIT_MM,
    Motion,
    Points,
    _Edges,
    _Ring,
    _spots,
    _xy,
    by_class,
    folding_motions,
    read_path,
)

LIMIT_CUT_MM = 0.02
LIMIT_TOP_MM = 0.1
LIMIT_BALANCE_MM = 0.05
BY_THE_HIP_MM = 10.0
"""Nearer to the hip level than this a balance line may lie true in either zone: hidden cloth is too long there, mm."""
BENDS_MM = 1e-4
"""A node that lies off the straight line between its neighbours by more is a bend, mm."""
ZONES = ("above", "below")


@dataclass(frozen=True)
class _Line:
    """A line of a pleat: outer, inner or placement, from its top over its bend to its hem."""

    role: str
    pleat: int
    folds: tuple[int, ...]
    top: complex
    bend: complex
    hem: complex

    def part(self, zone: str) -> tuple[complex, complex]:
        """Its ends in a zone, the one at the seam first."""
        return (self.top, self.bend) if zone == "above" else (self.hem, self.bend)


@dataclass(frozen=True)
class FitProof:
    """What folding a fitted piece back has shown, in mm; 0 is perfect but for the lengths and counts."""

    raw_edge_mm: dict[str, float]
    """By zone: how far an edge of a folded layer lies from the finished line of its zone."""
    bare_mm: dict[str, float]
    """By zone: how far what is to be covered of that finished line lies from the nearest folded edge."""
    cut_mm: dict[str, float]
    """By zone: the same as the first of the cutting line; nothing where there is none."""
    balance_mm: dict[str, float]
    """By zone: how far a balance line on the folded cloth lies from the one drawn there; nothing where there is none."""
    fold_on_placement_mm: dict[str, float]
    """By zone: how far a fold line lies from its placement line at the seam, and beside it at the hip."""
    hip_point_mm: float
    """How far two neighbouring panels part at the hip point between them."""
    bends: int
    """The most bends that a crease has."""
    bend_off_mm: float
    """How far a crease bends off the hip level."""
    top_mm: float
    """The folded top from corner to corner."""
    asked_mm: float
    """What it was to come to, as the result states."""
    overlaps: bool
    """Whether the flat piece lies over itself."""
    creases: int

    def failures(self) -> list[str]:
        """What lies beyond its limit, in words."""
        found = []
        for name in ("raw_edge_mm", "bare_mm", "fold_on_placement_mm"):
            found += [f"{name} {zone}: {v:.4f}" for zone, v in getattr(self, name).items() if not v <= LIMIT_MM]
        found += [f"cut_mm {zone}: {v:.4f}" for zone, v in self.cut_mm.items() if not v <= LIMIT_CUT_MM]
        found += [f"balance_mm {zone}: {v:.4f}" for zone, v in self.balance_mm.items() if not v <= LIMIT_BALANCE_MM]
        found += [
            f"{name}: {getattr(self, name):.4f}"
            for name in ("hip_point_mm", "bend_off_mm")
            if not getattr(self, name) <= LIMIT_MM
        ]
        if not abs(self.top_mm - self.asked_mm) <= LIMIT_TOP_MM:
            found.append(f"the top is {self.top_mm:.4f} and was to be {self.asked_mm:.4f}")
        if self.bends > 1:
            found.append(f"a crease bends {self.bends} times")
        if self.overlaps:
            found.append("the flat piece lies over itself")
        return found


def prove_fitted(path: Path | str) -> FitProof:
    """Fold a fitted piece back; the file holds one piece."""
    every = by_class(path)
    (group,) = every["piece"]
    (seam,) = [_Ring(_points(element)) for element in every["seam-line"]]
    level = _points(*every["hip-level-line"])
    lines = [
        _line(element, role, level)
        for name, role in (("fold-line", "outer"), ("inner-fold-line", "inner"), ("placement-line", "placement"))
        for element in every.get(name, [])
    ]
    creases = sorted(
        [line for line, _, _ in lines if line.role != "placement"], key=lambda line: (line.pleat, line.folds)
    )
    landings = [line for line, _, _ in lines if line.role == "placement"]
    seam, sides = _walked(seam, creases, level)
    motions = {zone: folding_motions([line.part(zone) for line in creases]) for zone in ZONES}
    finished = {
        zone: _Ring(_points(*[e for e in every["finished-line"] if e.get("data-zone") == zone])) for zone in ZONES
    }
    edge = _points(*every["fold-edge"]) if "fold-edge" in every else None
    raw, bare, cut = {}, {}, {}
    for zone in ZONES:
        runs = _runs(seam, creases, sides, zone)
        whole = _whole(finished[zone], motions[zone], creases, edge, zone)
        raw[zone] = max([_off(run, m, whole, (), edge) for run, m in zip(runs, motions[zone], strict=True)])
        bare[zone] = _bare(runs, motions[zone], finished[zone], zone)
        if "cut-line" in every:
            around = _Ring(_points(*every["cut-line"]))
            around = around if _clockwise(around) == _clockwise(seam) else around.turned()
            there = _Ring(_points(*[e for e in every["finished-cut-line"] if e.get("data-zone") == zone]))
            free = [points for e in every.get("free-edge", []) for points, _ in read_path(str(e.get("d")))]
            outer = _runs_of_cut(around, creases, level, sides, zone)
            whole = _whole(there, motions[zone], creases, edge, zone)
            cut[zone] = max([_off(run, m, whole, free, edge) for run, m in zip(outer, motions[zone], strict=True)])
    return FitProof(
        raw_edge_mm=raw,
        bare_mm=bare,
        cut_mm=cut,
        balance_mm=_balance(every, creases, sides, motions, edge),
        fold_on_placement_mm={zone: _landed(creases, landings, motions[zone], zone) for zone in ZONES},
        hip_point_mm=_parted(creases, motions, edge),
        bends=max([bends for _, bends, _ in lines]),
        bend_off_mm=max([off for _, _, off in lines]),
        top_mm=_top(finished["above"], creases, motions["above"]),
        asked_mm=float(group.get("data-fit-mm")),
        overlaps=not shapely.Polygon(_xy(seam.points)).is_valid,
        creases=len(creases),
    )


def assert_fitted(path: Path | str) -> FitProof:
    """Fold a fitted piece back and fail with what is not true of it."""
    proof = prove_fitted(path)
    assert proof.failures() == []
    return proof


def _points(element: Any, *more: Any) -> Points:
    assert not more
    ((points, _),) = read_path(str(element.get("d")))
    return points


def _line(element: Any, role: str, level: Points) -> tuple[_Line, int, float]:
    # The line, how often it bends, and how far off the hip level it does.
    nodes = _points(element)
    turns = [
        k
        for k in range(1, len(nodes) - 1)
        if abs(((nodes[k] - nodes[k - 1]) * np.conj(nodes[k + 1] - nodes[k])).imag)
        > BENDS_MM * min(abs(nodes[k] - nodes[k - 1]), abs(nodes[k + 1] - nodes[k]))
    ]
    folds = tuple(map(int, str(element.get("data-fold")).split()))
    hip = shapely.LineString(_xy(level))
    if turns:
        bend = complex(nodes[turns[0]])
    else:
        met = shapely.intersection(hip, shapely.LineString(_xy(nodes)))
        spot = met.centroid if not met.is_empty else shapely.shortest_line(shapely.LineString(_xy(nodes)), hip).centroid
        bend = complex(spot.x, spot.y)
    off = float(shapely.distance(hip, shapely.Point(bend.real, bend.imag)))
    ends = complex(nodes[0]), complex(nodes[-1])
    return _Line(role, int(element.get("data-pleat")), folds, ends[0], bend, ends[1]), len(turns), off


def _clockwise(ring: _Ring) -> bool:
    return float(np.sum((np.conj(ring.points) * np.roll(ring.points, -1)).imag)) > 0


def _leaves(ring: _Ring, bends: Points, ends: Points) -> Points:
    # Where each line from its bend first leaves a ring; its drawn end where it runs along the ring or ends on it.
    ways = (ends - bends) / np.abs(ends - bends)
    rays = shapely.linestrings(_xy(np.stack([bends + 1e-4 * ways, ends + 30.0 * ways], axis=1)).reshape(-1, 2, 2))
    crossed = shapely.intersects(ring.line, rays)  # it is prepared, so that most rays need be cut with none of it
    along = shapely.dwithin(ring.line, shapely.points(_xy((bends + ends) / 2)), LIMIT_MM)
    left = ends.copy()
    for k in np.flatnonzero(crossed & ~along):
        xy = shapely.get_coordinates(shapely.intersection(rays[k], ring.line))
        spots = xy[:, 0] + 1j * xy[:, 1]
        left[k] = spots[np.argmin(np.abs(spots - bends[k]))]
    return left


def _walked(seam: _Ring, creases: Sequence[_Line], level: Points) -> tuple[_Ring, tuple[complex, complex]]:
    # The seam walked so that the tops of the creases ascend, and the ends of the hip level before and after them.
    left = [_leaves(seam, *_bends_and_ends(creases, zone)) for zone in ZONES]
    for ring in (seam, seam.turned()):
        tops, hems, (first, last) = (ring.places(spots) for spots in (*left, level[[0, -1]]))
        for sides, begin, end in (((level[0], level[-1]), first, last), ((level[-1], level[0]), last, first)):
            row = [(place - begin) % ring.length for place in (*tops, end, *hems[::-1])]
            if all(b - a > -0.02 for a, b in pairwise(row)):
                return ring, (complex(sides[0]), complex(sides[1]))
    raise AssertionError("the creases do not stand in a row between the ends of the hip level")


def _bends_and_ends(creases: Sequence[_Line], zone: str) -> tuple[Points, Points]:
    return np.array([line.bend for line in creases]), np.array([line.part(zone)[0] for line in creases])


def _runs(ring: _Ring, creases: Sequence[_Line], sides: tuple[complex, complex], zone: str) -> list[Points]:
    # The edge of every layer in a zone, as the ring is walked.
    spots = _leaves(ring, *_bends_and_ends(creases, zone))
    places = ring.places(np.array([sides[0], *spots, sides[1]]))
    return ring.runs([(a, b) if zone == "above" else (b, a) for a, b in pairwise(places)])


def _runs_of_cut(
    cut: _Ring, creases: Sequence[_Line], level: Points, sides: tuple[complex, complex], zone: str
) -> list[Points]:
    # The same of the cutting line: at each side it begins where the hip level, going on straight, meets it.
    out = []
    for side in sides:
        way = level[0] - level[1] if abs(side - level[0]) < abs(side - level[-1]) else level[-1] - level[-2]
        way /= abs(way)
        (spot,) = _leaves(cut, np.array([side - way]), np.array([side + 60.0 * way]))
        out.append(complex(spot))
    runs = _runs(cut, creases, (out[0], out[1]), zone)
    # Fold lines that meet before they reach the cutting line leave nothing of the layer between them.
    return [run if np.abs(np.diff(run)).sum() < 0.5 * cut.length else run[:1] for run in runs]


def _whole(
    finished: _Ring, motions: Sequence[Motion], creases: Sequence[_Line], edge: Points | None, zone: str
) -> _Edges:
    # What edges may lie on: the finished line, and of half a piece its mirror image, beneath which an underlay may reach.
    if edge is None:
        return _Edges(finished.points)
    before = abs(creases[0].bend - edge).min() < abs(creases[-1].bend - edge).min()
    top, hem = motions[0 if before else -1].of(edge)
    square = ((hem - top) / abs(hem - top)) ** 2
    return _Edges(finished.points, top + square * np.conj(finished.points - top))


def _bare(runs: Sequence[Points], motions: Sequence[Motion], finished: _Ring, zone: str) -> float:
    # How far what is to be covered, between the two ends of the hip level as folded, lies from the nearest edge.
    folded = [motion.of(run) for run, motion in zip(runs, motions, strict=True)]
    ends = (folded[0][0], folded[-1][-1]) if zone == "above" else (folded[-1][0], folded[0][-1])
    edges = _Edges(*folded, closed=False)
    start, end = finished.places(np.array(ends))
    return min([float(edges.distance(way).max()) for way in finished.spots([(start, end), (end, start)])])


def _off(run: Points, motion: Motion, finished: _Edges, free: Sequence[Points], edge: Points | None) -> float:
    # How far an edge of a layer, folded, lies from the finished line; the fold edge is no edge of the cloth.
    points = _spots(run, closed=False)
    if free:
        loose = shapely.MultiLineString([_xy(points) for points in free])
        points = points[shapely.distance(loose, shapely.points(_xy(points))) > LIMIT_CUT_MM]
    if edge is not None:
        way = (edge[1] - edge[0]) / abs(edge[1] - edge[0])
        points = points[np.abs(((points - edge[0]) * np.conj(way)).imag) > LIMIT_MM]
    return float(finished.distance(motion.of(points)).max()) if len(points) else 0.0


def _balance(
    every: dict[str, list[Any]],
    creases: Sequence[_Line],
    sides: tuple[complex, complex],
    motions: dict[str, list[Motion]],
    edge: Points | None,
) -> dict[str, float]:
    # Each point of a balance line goes with its layer, by the upper motions where it lies above the hip level.
    drawn: dict[str, list[Points]] = {"above": [], "below": []}
    for element in every.get("finished-balance-line", []):
        drawn["above" if element.get("data-zone") == "above" else "below"].append(_points(element))
    there = {}
    for zone, rows in drawn.items():
        if edge is not None and rows:
            top, hem = motions[zone][0 if _on_first(creases, edge) else -1].of(edge)
            rows += [top + ((hem - top) / abs(hem - top)) ** 2 * np.conj(row - top) for row in rows]
        there[zone] = _Edges(*rows, closed=False) if rows else None
    spots = [sides[0], *[line.bend for line in creases], sides[1]]
    sign = 1.0 if ((creases[0].top - spots[0]) / (spots[-1] - spots[0])).imag < 0 else -1.0
    starts, ways = np.array(spots[:-1]), np.diff(spots)
    rows = [points for e in every.get("balance-line", []) for points, _ in read_path(str(e.get("d")))]
    if not rows:
        return {}
    z = np.concatenate([_spots(points, closed=False) for points in rows])
    layers = {zone: _layers(z, creases, zone, range(len(creases) + 1)) for zone in ZONES}
    far, above = np.full(len(z), np.inf), np.ones(len(z), dtype=bool)
    for on in layers.values():
        way = ways[on]
        up = ((z - starts[on]) / np.where(np.abs(way) > LIMIT_MM, way, spots[-1] - spots[0])).imag
        far = np.minimum(far, np.abs(up) * np.abs(way))
        above &= -up * sign > 0
    off = np.full(len(z), np.inf)
    for zone, known in there.items():
        asked = (far < BY_THE_HIP_MM) | (above == (zone == "above"))
        if known is not None and asked.any():
            folded = np.array(
                [motions[zone][k].of(spot) for k, spot in zip(layers[zone][asked], z[asked], strict=True)]
            )
            off[asked] = np.minimum(off[asked], known.distance(folded))
    return {zone: float(off[own].max()) for zone, own in (("above", above), ("below", ~above)) if own.any()}


def _on_first(creases: Sequence[_Line], edge: Points) -> bool:
    # Whether the edge cut on the fold lies before the pleats.
    return bool(abs(creases[0].bend - edge).min() < abs(creases[-1].bend - edge).min())


def _layer(spot: complex, creases: Sequence[_Line], zone: str, among: Sequence[int]) -> int:
    # The layer between two of whose creases a spot lies deepest.
    return int(_layers(np.array([spot]), creases, zone, among)[0])


def _layers(spots: Points, creases: Sequence[_Line], zone: str, among: Sequence[int]) -> npt.NDArray[np.int64]:
    # The same of many spots.
    ends, bends = (np.array(row) for row in zip(*[line.part(zone) for line in creases], strict=True))
    ways = np.array([line.hem - line.top for line in creases])
    own = bends - ends if zone == "above" else ends - bends
    sides = np.where((np.conj(ways) * (creases[-1].bend - creases[0].bend)).imag > 0, 1.0, -1.0)
    beyond = sides[:, None] * (np.conj(own / np.abs(own))[:, None] * (spots - bends[:, None])).imag
    nothing = np.full((1, len(spots)), np.inf)
    deep = np.minimum(np.concatenate([nothing, beyond]), np.concatenate([-beyond, nothing]))
    numbers = np.array(among)
    chosen: npt.NDArray[np.int64] = numbers[np.argmax(deep[numbers], axis=0)]
    return chosen


def _landed(creases: Sequence[_Line], landings: Sequence[_Line], motions: Sequence[Motion], zone: str) -> float:
    worst = 0.0
    waited = set()
    for line in landings:
        own = [k for k, crease in enumerate(creases) if crease.pleat == line.pleat]
        end, bend = line.part(zone)
        on = _layer((end + bend) / 2, creases, zone, range(own[0], own[-1] + 2))
        there = motions[on].of(np.array([end, bend]))
        way = (there[1] - there[0]) / abs(there[1] - there[0])
        for k in own:
            if creases[k].role == "outer" and creases[k].folds[0] in line.folds:
                waited.add(k)
                here = motions[k].of(np.array(creases[k].part(zone)))
                off = (here - there) * np.conj(way)
                # Lines run on through an allowance, each to its own cutting line; at the hip the middle layer may slide.
                worst = max(worst, float(np.abs(off.imag).max()))
    assert waited == {k for k, crease in enumerate(creases) if crease.role == "outer"}
    return worst


def _parted(creases: Sequence[_Line], motions: dict[str, list[Motion]], edge: Points | None) -> float:
    last = len(creases)
    panels = [
        k
        for k in range(last + 1)
        if k in (0, last)
        or creases[k - 1].pleat != creases[k].pleat
        or creases[k - 1].role == creases[k].role == "outer"
    ]
    if edge is not None:
        # Half a pleat on the fold edge: the cloth beside that edge is hidden.
        for k, layer in ((0, 0), (last - 1, last)):
            near = [c for c in creases if c.pleat == creases[k].pleat and c.role == "outer"]
            folded = [motions["below"][creases.index(c)].of(np.array([c.bend, c.hem])) for c in near]
            there = motions["below"][layer].of(edge)
            way = (there[1] - there[0]) / abs(there[1] - there[0])
            if any(np.abs(((z - there[0]) * np.conj(way)).imag).max() < LIMIT_MM for z in folded):
                panels.remove(layer)
    worst = 0.0
    for one, other in pairwise(panels):
        at = one if creases[one].role == "outer" else other - 1
        assert creases[at].role == "outer"
        home, beyond = (one, other) if at == one else (other, one)
        spot = np.array([creases[at].bend])
        turns = [motions["above"][k] @ motions["below"][k].inverse() for k in (home, beyond)]
        assert not turns[0].over
        assert not turns[1].over
        point = motions["below"][home].of(spot)
        worst = max(worst, float(abs(turns[0].of(point) - turns[1].of(point))[0]))
    return worst


def _top(finished: _Ring, creases: Sequence[_Line], motions: Sequence[Motion]) -> float:
    # From corner to corner: outwards from the first and the last fold to where the line turns by more than 30 degrees. Darts
    # that stay are sewn up: where it turns back on itself, by more than 130 degrees, the ways to the corners beside are legs.
    # Hidden folds tell nothing: beside a fold edge they may lie beneath the other half.
    folded = np.array(
        [motions[k].of(np.array([line.top]))[0] for k, line in enumerate(creases) if line.role == "outer"]
    )
    points = finished.points
    steps = np.roll(points, -1) - points
    turn = np.degrees(np.abs(np.angle(steps / np.roll(steps, 1))))
    nodes = np.flatnonzero(turn > 30.0)
    sharp = np.flatnonzero(turn[nodes] > 130.0)
    legs = [points[nodes[[k - 1, (k + 1) % len(nodes)]]] for k in sharp]
    gone = {int(node) for k in sharp for node in nodes[[k - 1, k, (k + 1) % len(nodes)]]}
    corners = finished.places(points[[node for node in nodes if int(node) not in gone]])
    places = finished.places(folded)
    half = finished.length / 2
    onwards = (places - places[0] + half) % finished.length - half
    ahead = (corners - places[0] + half) % finished.length - half
    before, after = ahead[ahead < onwards.min() + LIMIT_MM], ahead[ahead > onwards.max() - LIMIT_MM]
    total = float(after.min() - before.max())
    for mouth in legs:
        ends = (finished.places(mouth) - places[0] + half) % finished.length - half
        if before.max() < ends.min() and ends.max() < after.min():
            total -= float(np.ptp(ends))
    return total
