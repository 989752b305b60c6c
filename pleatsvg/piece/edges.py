"""The seam edges of a piece between its corners, and the ones that are the top and the hem."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pleatsvg.errors import FitError, near_names
from pleatsvg.geometry.motion import bearing
from pleatsvg.geometry.outline import Outline
from pleatsvg.piece.seen.bodice import bodice_names
from pleatsvg.wording import command, message


@dataclass(frozen=True, slots=True)
class Edge:
    """A seam edge: from the place `start` up to the place `end` on the outline (clockwise), `length` in mm.

    `number` counts clockwise from the top left; `name` is its plain name (top, hem, left side, right side) or
    "edge N". Darts are sewn up: their legs and mouths do not count.
    """

    number: int
    name: str
    start: float
    end: float
    length: float
    straight: bool
    trade: str = ""
    """What the trade calls it, where the shape of a bodice tells it: "armhole", "left shoulder"."""


def seam_edges(outline: Outline) -> tuple[Edge, ...]:
    """Return the edges between corners of a clockwise outline, from the first corner on.

    The top is the widest edge that faces up the page, the hem the widest that faces down, the sides the longest
    that face left and right, within 30 degrees if there is one, else within 45 or 60. An outline without corners is
    one edge.
    """
    n = len(outline)
    corners = outline.edge_corners
    if not corners:
        return (Edge(1, "edge 1", 0.0, float(n), outline.sewn_distance(0.0, float(n)), False),)
    spans = [(float(a), float(b)) for a, b in zip(corners, (*corners[1:], corners[0] + n), strict=True)]
    facing: list[complex] = []
    for start, end in spans:
        chord = outline.point(end) - outline.point(start)
        facing.append(chord * -1j)  # outwards for a clockwise outline, as long as the chord
    names: dict[int, str] = {}
    for name, way in (("top", -1j), ("hem", 1j), ("left side", -1 + 0j), ("right side", 1 + 0j)):
        best = _facing_most([out * way.conjugate() for out in facing], set(names))
        if best is not None:
            names[best] = name
    lengths = [outline.sewn_distance(*span) for span in spans]
    called = [names.get(k, f"edge {k + 1}") for k in range(len(spans))]
    trade = bodice_names(outline, spans, lengths, called)
    edges: list[Edge] = []
    for k, (start, end) in enumerate(spans):
        pieces = [outline.segments[s.segment] for s in outline.stretches(start, end)]
        length = lengths[k]
        straight = all(len(p) == 2 for p in pieces) and length - abs(outline.point(end) - outline.point(start)) < 1e-6
        edges.append(Edge(k + 1, called[k], start, end, length, straight, trade.get(k, "")))
    return tuple(edges)


def lower_word(edges: tuple[Edge, ...]) -> str:
    """Return what to call the edge that is named "hem": a skirt has one; of a piece with more edges than top, hem and two
    sides, as a bodice has, nobody has said what its lower edge is."""
    return "hem" if len(edges) <= _SKIRT_EDGES else "lower edge"


def called_on_cloth(edge: Edge, edges: tuple[Edge, ...]) -> str:
    """Return what an edge is called on the pattern: its name, but for a "hem" that is none."""
    return lower_word(edges) if edge.name == "hem" else edge.name


_SKIRT_EDGES = 4


def _facing_most(outwards: list[complex], taken: set[int]) -> int | None:
    # Of the edges that face one way (turned to the right here), the longest; those that face it squarely come first,
    # so that the slanted sides of a fanned panel are not taken for its waist.
    for most in (30.0, 45.0, 60.0):
        found = [
            k for k, out in enumerate(outwards) if k not in taken and abs(math.degrees(bearing(out))) <= most + 1e-9
        ]
        if found:
            return max(found, key=lambda k: outwards[k].real)
    return None


def edge_named(edges: tuple[Edge, ...], wanted: str) -> Edge:
    """Return the edge called `wanted`: its plain name, also as it stands on the pattern ("lower edge"), "edge N" or N, or
    what the trade calls it where only one is called so. The top of a skirt is its waist.

    Raises:
        FitError: no edge is called so.
    """
    plain = " ".join(wanted.casefold().split())
    for edge in edges:
        if plain in (edge.name, called_on_cloth(edge, edges), f"edge {edge.number}", str(edge.number)):
            return edge
    by_trade = [edge for edge in edges if edge.trade and plain == edge.trade]
    if plain == "waist" and lower_word(edges) == "hem":
        by_trade = [edge for edge in edges if edge.name == "top"]
    if len(by_trade) == 1:
        return by_trade[0]
    raise FitError(
        f"Edge '{wanted}'",
        f"is not on this piece, which has {len(edges)} seam edges",
        near_names(plain, [name for edge in edges for name in (edge.name, edge.trade) if name]),
        message("{} lists every edge with its name and length.", command("measure")),
    )
