"""Every mark of a flat piece: the functions that make them, in one list.

A new mark is a function from `ToMark` to marks, its name in `MAKERS`, and one row in `pleatsvg.result.classes`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.marks.arrows import Arrows, arrows_of, end_signs, fold_edge_arrow, lap_arrows, stitch_ends
from pleatsvg.marks.notches import clip_marks, join_notches, notches, seam_notches
from pleatsvg.marks.seen import pleat_tints
from pleatsvg.marks.words.part_labels import SeamSide, seams_above
from pleatsvg.order.marking import Marking
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.result.classes import CLASSES
from pleatsvg.result.mark import Mark
from pleatsvg.result.roles import Role
from pleatsvg.tolerance import ON_LINE


@dataclass(frozen=True, slots=True)
class ToMark:
    """A flat piece that is to be marked, in mm, in its own coordinates.

    Attributes:
        unfolded: the flat piece.
        pleats: laid out on the finished piece.
        lines: the slash lines, and the fold edge if there is one.
        crossed: whether lines run across the fold edge of a half piece.
        marking: what is asked of the marks.
        join_allowance: beyond each join.
        arrows: where the lap arrows stand.
        sides: of the seams above kick pleats.
    """

    unfolded: Unfolded
    pleats: tuple[LaidPleat, ...]
    lines: SlashSet
    crossed: bool
    marking: Marking
    join_allowance: float
    arrows: Arrows
    sides: Sequence[SeamSide]


def to_mark(
    unfolded: Unfolded,
    pleats: tuple[LaidPleat, ...],
    lines: SlashSet,
    crossed: bool,
    marking: Marking,
    join_allowance: float,
) -> ToMark:
    """Return what the makers of marks are given; cf. `ToMark`."""
    arrows = arrows_of(unfolded, marking.mark, pleats)
    sides = seams_above(pleats, unfolded, lines.hand)
    return ToMark(unfolded, pleats, lines, crossed, marking, join_allowance, arrows, sides)


def _end_signs(piece: ToMark) -> list[Mark]:
    return end_signs(piece.arrows.laps, piece.marking.mark)


def _lap_arrows(piece: ToMark) -> list[Mark]:
    return lap_arrows(piece.unfolded, piece.arrows.laps)


def _stitch_ends(piece: ToMark) -> list[Mark]:
    return stitch_ends(piece.unfolded, piece.arrows.stitched) if piece.arrows.stitched else []


def fold_edge_bracket(piece: ToMark) -> list[Mark]:
    """Return the bent arrow of an edge cut on the fold, on the side of it where the cloth lies."""
    unfolded, lines = piece.unfolded, piece.lines
    marking = piece.marking
    clear = 2.5 if marking.stitch_down == marking.edge_stitch == 0 else 6.5
    made = fold_edge_arrow(unfolded, lines.hand, lines.last is not None, clear)
    if piece.crossed and made and not unfolded.outline.holds(sum(made[0].points[1:3]) / 2):
        return fold_edge_arrow(unfolded, lines.hand, True, clear)
    return made


def _join_notches(piece: ToMark) -> list[Mark]:
    return join_notches(piece.unfolded, piece.lines.hand, piece.join_allowance)


def _seam_notches(piece: ToMark) -> list[Mark]:
    return seam_notches([side[:4] for side in piece.sides], piece.join_allowance)


def _clip_marks(piece: ToMark) -> list[Mark]:
    return clip_marks([side[:4] for side in piece.sides], piece.join_allowance) if piece.sides else []


def _pleat_tints(piece: ToMark) -> list[Mark]:
    return pleat_tints(piece.unfolded, piece.arrows, piece.marking.mark)


MAKERS: list[Callable[[ToMark], list[Mark]]] = [
    _end_signs,
    _lap_arrows,
    _stitch_ends,
    fold_edge_bracket,
    _join_notches,
    _seam_notches,
    _clip_marks,
    _pleat_tints,
]
"""In the order in which their marks are written; notches come before them."""


def marks_of(piece: ToMark) -> tuple[tuple[Mark, ...], int]:
    """Return every mark of a flat piece, and how many notches had no room."""
    made, without = _notches(piece)
    for maker in MAKERS:
        made += maker(piece)
    return tuple(made), without


def _notches(piece: ToMark) -> tuple[list[Mark], int]:
    unfolded, wanted = piece.unfolded, piece.marking.notch
    made, without = notches(unfolded, wanted, piece.arrows.stitched)
    if piece.crossed and unfolded.fold_edge is not None:
        # Nothing can be snipped on the fold of the cloth.
        at, to = unfolded.fold_edge
        if unfolded.cut and wanted != "triangle":
            roles = [line.role for line in (*unfolded.creases, *unfolded.placements) if not line.role.hidden]
            without -= sum(1 for role in roles if role is Role.FOLD or wanted == "snip")
        made = [mark for mark in made if abs(((mark.points[0] - at) / (to - at)).imag * abs(to - at)) > ON_LINE]
    return made, without


def in_the_way(marks: Sequence[Mark], unfolded: Unfolded) -> list[tuple[int, tuple[complex, ...]]]:
    """Return the marks that labels must keep clear of by the table of classes: by layer, stroke by stroke."""
    clear = {name for name, row in CLASSES.items() if row.clear}
    wanted = [mark for mark in marks if mark.name in clear]
    if not wanted:
        return []
    at: dict[tuple[str, int, tuple[int, ...]], list[int]] = {}
    for line in (*unfolded.creases, *unfolded.placements):
        # A crease lies between two layers of cloth, a placement line on one.
        layers = [line.layer, line.layer + 1] if line.role.crease else [line.layer]
        at.setdefault((line.role.sign, line.pleat, line.folds), []).extend(layers)
    every = list(range(len(unfolded.motions)))
    return [
        (layer, stroke)
        for mark in wanted
        for stroke in mark.runs()
        for layer in at.get((mark.line, mark.pleat, mark.folds), every)
    ]
