"""The flat pieces of a ring: laid out open along the middle of a panel, they are closed there again.

What is unfolded begins and ends half-way across the panel between the last pleat and the first. It is parted at inner folds,
and what lies beyond the last of these is laid before the first part, panel half to panel half: no cloth is cut there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.flat.once_round import FlatEdge
from pleatsvg.geometry.motion import Motion, moved
from pleatsvg.piece.slash_lines import SlashSet


def closed_round(flat: Unfolded, lines: SlashSet, seam_nodes: int, cut_nodes: int) -> Unfolded:
    """Return the flat pieces of a ring, its last part laid before the first; all in one where it is not parted yet.

    Args:
        flat: laid out open.
        lines: in a row from where the round begins to where it ends.
        seam_nodes, cut_nodes: segments of the finished seam and of its cutting line; the line where the round begins and
            ends comes after them.
    """
    assert lines.first is not None
    assert lines.last is not None
    begin = (lines.first.top, lines.first.hem)
    if not flat.joins:
        return replace(flat, ring=begin)
    end = moved((lines.last.top, lines.last.hem), flat.motions[-1])
    turn = (begin[1] - begin[0]) / (end[1] - end[0])
    turn /= abs(turn)
    glue = Motion(turn, (begin[0] + begin[1]) / 2 - turn * (end[0] + end[1]) / 2, False)
    beyond = flat.joins[-1].crease

    def line(one: FlatLine) -> FlatLine:
        if one.layer <= beyond:
            return one
        top, hem, out_top, out_hem = moved((one.top, one.hem, one.out_top, one.out_hem), glue)
        return one._replace(top=top, hem=hem, out_top=out_top, out_hem=out_hem)

    seam, seam_loops = _glued(flat.seam, flat.seam_loops, seam_nodes, glue)
    cut, cut_loops = _glued(flat.cut, flat.cut_loops, cut_nodes, glue) if flat.cut else ((), ())
    last = flat.joins[-1]
    after = moved(last.after, glue)
    return replace(
        flat,
        seam=seam,
        seam_loops=seam_loops,
        cut=cut,
        cut_loops=cut_loops,
        creases=tuple([line(one) for one in flat.creases]),
        placements=tuple([line(one) for one in flat.placements]),
        motions=tuple([glue.after(m) if k > beyond else m for k, m in enumerate(flat.motions)]),
        joins=(*flat.joins[:-1], last._replace(after=(after[0], after[1]))),
        ring=begin,
    )


def _glued(
    edges: Sequence[FlatEdge], loops: Sequence[int], nodes: int, glue: Motion
) -> tuple[tuple[FlatEdge, ...], tuple[int, ...]]:
    # The last loop joined to the first where the round ends and begins; that line itself is no edge any more.
    parts: list[list[FlatEdge]] = []
    at = 0
    for count in loops:
        parts.append(list(edges[at : at + count]))
        at += count
    last = [edge._replace(points=moved(edge.points, glue)) for edge in parts.pop()]
    first = parts[0] if parts else last
    i = next(k for k, edge in enumerate(last) if edge.origin[0] == nodes)
    j = next(k for k, edge in enumerate(first) if edge.origin[0] == nodes)
    parts[0] = [*last[:i], *first[j + 1 :], *first[:j], *last[i + 1 :]]
    return tuple([edge for part in parts for edge in part]), tuple([len(part) for part in parts])
