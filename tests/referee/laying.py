"""Lay a companion on a folded pleated piece, right sides together, as two files say it, and measure.

The referee reads both files with lxml and folds the pleated one by its own reflections (`foldback`); it shares no code with the
program and reads nothing of what a notch says of its own place. Right sides together, the companion is turned over: its outline
walked clockwise goes the other way round on the pleated piece. All lengths are mm, points complex numbers, y down the page.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
import numpy.typing as npt
from lxml import etree

from tests.referee.foldback import FoldedLine, folded_lines, read_path

Points = npt.NDArray[np.complex128]


@dataclass(frozen=True)
class Notch:
    """A notch of a companion: the pleat that it is for (0 for an end), where its line meets the seam, and its own points."""

    pleat: int
    spot: complex
    points: Points


def clockwise(points: Points) -> Points:
    """A closed polyline walked clockwise on the page."""
    area = float((points.conj() * np.roll(points, -1)).imag.sum())
    return points if area > 0 else points[::-1]


def _nearest(ring: Points, z: complex) -> complex:
    steps = np.roll(ring, -1) - ring
    share = np.clip(((z - ring) * steps.conj()).real / np.abs(steps) ** 2, 0, 1)
    return complex(min(ring + share * steps, key=lambda w: abs(w - z)))


def along(ring: Points, spot: complex) -> float:
    """How far from its first point a place on a closed polyline lies, mm."""
    steps = np.roll(ring, -1) - ring
    share = np.clip(((spot - ring) * steps.conj()).real / np.abs(steps) ** 2, 0, 1)
    k = int(np.argmin(np.abs(ring + share * steps - spot)))
    return float(np.abs(steps[:k]).sum() + share[k] * abs(steps[k]))


def _axis(notch: Points) -> tuple[complex, complex]:
    # The middle line of a notch: of a triangle from the middle of its shortest side to its tip.
    if len(notch) == 2:
        return complex(notch[0]), complex(notch[1])
    sides = np.abs(notch - np.roll(notch, -1))
    k = int(np.argmin(sides))
    return complex(notch[k] + notch[(k + 1) % 3]) / 2, complex(notch[(k + 2) % 3])


def _met(ring: Points, notch: Points) -> complex:
    # Where the middle line of a notch, produced, meets a closed polyline nearest to it.
    start, end = _axis(notch)
    way = (end - start) / abs(end - start)
    heights = ((ring - start) * way.conjugate()).imag
    after = np.roll(heights, -1)
    crossed = np.flatnonzero((heights <= 0) != (after <= 0))
    hits = [ring[k] + (np.roll(ring, -1)[k] - ring[k]) * heights[k] / (heights[k] - after[k]) for k in crossed]
    return complex(min(hits, key=lambda z: abs(z - start)))


def companion(path: Path) -> tuple[Points, list[Notch]]:
    """The seam of a companion, walked clockwise, and its notches."""
    root = etree.fromstring(path.read_bytes())
    elements = {name: root.findall(f".//*[@class='{name}']") for name in ("seam-line", "notch", "fold-line")}
    assert elements["fold-line"] == []
    (seam,) = elements["seam-line"]
    ((ring, closed),) = read_path(seam.get("d"))
    assert closed
    ring = ring[np.abs(ring - np.roll(ring, 1)) > 1e-9]
    notches = []
    for element in elements["notch"]:
        ((points, _),) = read_path(element.get("d"))
        points = points[:3] if len(points) > 2 else points
        pleat = int(element.get("data-pleat") or 0)
        # An end has its notch at a corner, as often as not, beside which the notch's line may miss the seam by a hair.
        spot = _met(ring, points) if pleat else _nearest(ring, _axis(points)[0])
        notches.append(Notch(pleat, spot, points))
    return clockwise(ring), notches


def pleated(path: Path) -> tuple[Points, list[FoldedLine]]:
    """The finished outline of a pleated piece, walked clockwise, and its folded fold lines."""
    ring, lines = folded_lines(path)
    ring = ring[np.abs(ring - np.roll(ring, 1)) > 1e-9]
    return clockwise(ring), lines


def stretches(ring: Points, spots: list[complex]) -> list[float]:
    """From each spot clockwise to the next along a closed polyline, mm."""
    total = float(np.abs(np.roll(ring, -1) - ring).sum())
    places = [along(ring, spot) for spot in spots]
    return [(b - a) % total for a, b in pairwise(places)]
