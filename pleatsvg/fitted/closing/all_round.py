"""Edges of pleats that go all round: those of one round, and their like on the cloth that is laid out before and after it.

A ring is laid out flat once round and somewhat farther. Above the hip all of that cloth is closed, by edges of the next round
and of the one before as by those of the round itself, so that a panel over a seam, or between the last pleat and the first, is
one piece of cloth shaped alike on either side. All in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pleatsvg.fitted.edges import PleatEdge
from pleatsvg.geometry.motion import Motion, moved
from pleatsvg.geometry.outline import Outline
from pleatsvg.piece.finished import Ring
from pleatsvg.piece.slash_lines import Chord, SlashSet
from pleatsvg.tolerance import ON_LINE, SNAP


@dataclass(frozen=True, slots=True)
class EdgesLaidOut:
    """All edges on the cloth that is laid out.

    Attributes:
        edges: in order, those of other rounds among them.
        shares: of each in what is to go at the top.
        once: which of them are those of the round.
    """

    edges: tuple[PleatEdge, ...]
    shares: tuple[float, ...]
    once: range


def edges_laid_out(
    lines: SlashSet, ring: Ring | None, edges: tuple[PleatEdge, ...], shares: tuple[float, ...]
) -> EdgesLaidOut:
    """Return the edges of a piece and, where it goes all round, those of the rounds beside it as far as its cloth is laid out.

    Args:
        lines: on the drawn piece.
        ring: how it was laid out to go all round, or None.
        edges: of its pleats.
        shares: of each in what is to go at the top.
    """
    if ring is None:
        return EdgesLaidOut(edges, shares, range(len(edges)))
    back = ring.period.inverse
    rows = list(zip(edges, shares, strict=True))
    before = _beside(lines.outline, back, ring.ends[0], rows[::-1])[::-1]
    after = _beside(lines.outline, ring.period, ring.ends[1], rows)
    row = [*before, *rows, *after]
    return EdgesLaidOut(
        tuple([edge for edge, _ in row]),
        tuple([share for _, share in row]),
        range(len(before), len(before) + len(rows)),
    )


def _beside(
    outline: Outline, motion: Motion, end: tuple[complex, complex], rows: Sequence[tuple[PleatEdge, float]]
) -> list[tuple[PleatEdge, float]]:
    # From the nearest on, the edges one round off that lie on the cloth with room to lean.
    way = (end[1] - end[0]) / abs(end[1] - end[0])
    found: list[tuple[PleatEdge, float]] = []
    last = rows[-1][0].chord  # beside the edges of the round, which come in their order
    for edge, share in rows:
        top, hip, hem = moved((edge.chord.top, edge.hip, edge.chord.hem), motion)
        room = min([abs(((z - end[0]) * way.conjugate()).imag) for z in (top, hip, hem)])
        hits = outline.crossings(hip, (hem - top) / abs(hem - top))
        above = max([hit for hit in hits if hit.along < -ON_LINE], key=lambda hit: hit.along, default=None)
        below = min([hit for hit in hits if hit.along > ON_LINE], key=lambda hit: hit.along, default=None)
        if above is None or below is None or room <= share or abs(above.point - top) + abs(below.point - hem) > SNAP:
            break
        # Counted on like the places of the edge beside it.
        top_at, hem_at = outline.counted_near(above.at, last.top_at), outline.counted_near(below.at, last.hem_at)
        last = Chord(top_at, hem_at, above.point, below.point)
        found.append((replace(edge, chord=last, hip=hip), share))
    return found
