"""Fold a written fitted ring back, three times round, once above the hip and once below it, along its drawn lines alone.

Each cut part is cut in two along the hip level that is drawn on it. What lies above it is laid edge to edge with its like at
the upper parts of the join lines and folded by the upper parts of the creases, as any ring is; what lies below it by the
lower ones. Beside that, both edges of each join are held against each other as they are sewn: as long above the hip, as long
below it, and bent by one angle.

Lengths in mm, y down the page. What it cannot see: as of `ringback` and `fitback`.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from tests.referee.fitback import ZONES, _line
from tests.referee.foldback import LIMIT_MM, Points, _Edges, _Ring, by_class
from tests.referee.ringback import RingProof, Zone, _drawn, _ends, _Line, _parts, _proof

LIMIT_TOP_MM = 0.1


@dataclass(frozen=True)
class FitRingProof:
    """What folding a fitted ring back has shown, in mm; 0 is perfect but for the lengths and counts."""

    zones: dict[str, RingProof]
    joins_mm: float
    """How far both edges of a join differ in length, above the hip or below it, and miss each other when laid together."""
    bends: int
    """The most bends that a line of a pleat has."""
    asked_mm: float
    """What the top was to come to, as the result states."""

    @property
    def top_mm(self) -> float:
        """The folded top, once round."""
        return self.zones["above"].round_top_mm

    def failures(self) -> list[str]:
        """What lies beyond its limit, in words."""
        found = [f"{zone}: {words}" for zone, proof in self.zones.items() for words in proof.failures()]
        if not self.joins_mm <= LIMIT_MM:
            found.append(f"joins_mm: {self.joins_mm:.4f}")
        if self.bends > 1:
            found.append(f"a line bends {self.bends} times")
        if not abs(self.top_mm - self.asked_mm) <= LIMIT_TOP_MM:
            found.append(f"the top is {self.top_mm:.4f} and was to be {self.asked_mm:.4f}")
        return found


def prove_fitted_ring(path: Path | str) -> FitRingProof:
    """Fold a fitted ring back; the file holds one piece."""
    every = by_class(path)
    (group,) = every["piece"]
    outlines = [_Ring(_ends(element)) for element in every["seam-line"]]
    levels = [_ends(element) for element in every["hip-level-line"]]
    joins = [(str(element.get("data-join")), _ends(element)) for element in every["join-line"]]
    bent, bends = _bent_lines(every, levels)
    (opening,) = [_ends(element) for element in every["ring-line"]]
    proofs = {}
    for edge, zone in enumerate(ZONES):
        cuts = [_cut_at_hip(ring, levels, joins, zone) for ring in outlines]
        lines = [_Line(role, pleat, folds, _of_zone(points, zone)) for role, pleat, folds, points in bent]
        sides = [(number, _of_zone(points, zone)) for number, points in joins]
        parts = _parts(cuts, sides, lines)
        (finished,) = [_ends(e) for e in every["finished-line"] if e.get("data-zone") == zone]
        proofs[zone] = _proof(parts, finished, opening, Zone(edge))
    return FitRingProof(proofs, _joins(joins), bends, float(group.get("data-fit-mm")))


def assert_fitted_ring(path: Path | str) -> FitRingProof:
    """Fold a fitted ring back and fail with what is not true of it."""
    proof = prove_fitted_ring(path)
    assert proof.failures() == []
    return proof


def _bent_lines(
    every: dict[str, list[Any]], levels: list[Points]
) -> tuple[list[tuple[str, int, tuple[int, ...], Points]], int]:
    """The lines of pleats from their top over their bend to their hem, and how often one bends at the most."""
    found, most = [], 0
    for line in _drawn(every):
        middle = line.ends[len(line.ends) // 2]
        near = min(
            levels,
            key=lambda level: float(_Edges(np.concatenate([level, level[::-1]])).distance(np.array([middle]))[0]),
        )
        names = {"outer": "fold-line", "inner": "inner-fold-line", "placement": "placement-line"}
        (element,) = [
            e
            for e in every[names[line.role]]
            if int(e.get("data-pleat")) == line.pleat and tuple(map(int, str(e.get("data-fold")).split())) == line.folds
        ][:1]
        bent, bends, _ = _line(element, line.role, near)
        most = max(most, bends)
        found.append((line.role, line.pleat, line.folds, np.array([bent.top, bent.bend, bent.hem])))
    return found, most


def _of_zone(points: Points, zone: str) -> Points:
    return points[:2] if zone == "above" else points[-2:]


def _cut_at_hip(ring: _Ring, levels: list[Points], joins: list[tuple[str, Points]], zone: str) -> Points:
    """A cut part above the hip or below it, cut along the hip level from the join on its one side to that on the other."""
    own = sorted([points for _, points in joins], key=lambda points: float(ring.distance(points).max()))[:2]
    border = own[0][1:2]
    rest = [*levels]
    while abs(border[-1] - own[1][1]) > LIMIT_MM:
        k, flips = min(
            [(k, flips) for k in range(len(rest)) for flips in (1, -1)],
            key=lambda at: float(abs(rest[at[0]][:: at[1]][0] - border[-1])),
        )
        more = rest.pop(k)[::flips]
        assert abs(more[0] - border[-1]) < LIMIT_MM, "the hip level runs on from one side of its part to the other"
        border = np.concatenate([border, more[1:]])
    start, end = ring.places(border[[0, -1]])
    ways = [ring.run(start, end), ring.run(end, start)[::-1]]
    spot = own[0][0 if zone == "above" else -1]
    way = min(ways, key=lambda way: float(np.abs(way - spot).min()))
    return np.concatenate([way, border[-2:0:-1]])


def _joins(joins: list[tuple[str, Points]]) -> float:
    by_number: dict[str, list[Points]] = {}
    for number, points in joins:
        by_number.setdefault(number, []).append(points)
    worst = 0.0
    for one, other in by_number.values():
        worst = max(worst, float(np.abs(np.abs(np.diff(one)) - np.abs(np.diff(other))).max()))
        turn = (other[-1] - other[0]) / (one[-1] - one[0])
        laid = other[0] + (one - one[0]) * turn / abs(turn)
        worst = max(worst, float(np.abs(laid - other).max()))
    return worst
