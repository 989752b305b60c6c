"""The pattern lines of a pass as SVG paths, with what is seen of each."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from pleatsvg.flat.flat_piece import FlatLine
from pleatsvg.marks.seen import Seen, Stitched
from pleatsvg.result.classes import SEEN_OF
from pleatsvg.result.roles import Role
from pleatsvg.writing.inks import UNSEEN, line_style
from pleatsvg.writing.numbers import POINT, numbers, point
from pleatsvg.writing.stencil import path_stencil


def path_element(name: str, data: str, pass_: int, more: str = "") -> str:
    """Return a path of a class; `more` are further attributes."""
    before, after, end = path_stencil(name, line_style(name))
    return f'{before}{data}{after} data-pass="{pass_}"{more}{end}'


@lru_cache(maxsize=32)
def _line_form(role: Role, nodes: int, pass_: int, whole: bool) -> tuple[str, str, str]:
    # A line's SVG with its nodes left open; between its parts go its pleat and folds. One that is not seen whole is
    # written without ink.
    before, after, end = path_stencil(role.css, line_style(role.css) if whole else UNSEEN)
    crease = ' data-crease="yes"' if role is Role.STITCH else f' data-way="{role.way}"' if role.way else ""
    seen = "" if whole else ' data-seen="part"'
    data = " L ".join([POINT] * nodes)
    return f"{before}M {data}{after}", f' data-pass="{pass_}"', f"{seen}{crease}{end}"


def line_elements(
    role: Role, lines: Sequence[FlatLine], about: dict[int, str], seen: Seen, stitched: Stitched, pass_: int
) -> tuple[str, str]:
    """Return all lines of a role, filled in in one go, and a stroke for what is seen of each not shown whole."""
    forms: list[str] = []
    spots: list[complex] = []
    strokes: list[str] = []
    for of_role, pleat, folds, top, hem, _, out_top, out_hem, _, _, bend in lines:
        if of_role is role:
            # Nodes where it meets the seam and where it bends, ends on the cutting line.
            nodes = (top, hem) if bend is None else (top, bend, hem)
            if out_top != top:
                nodes = (out_top, *nodes)
            if out_hem != hem:
                nodes = (*nodes, out_hem)
            spots += nodes
            part = seen.get((role, pleat, folds))
            before, after, close = _line_form(role, len(nodes), pass_, part is None)
            more = stitched_along(stitched[role, pleat, folds]) if (role, pleat, folds) in stitched else ""
            forms.append(f'{before}{after}{about[pleat]} data-fold="{listed(folds)}"{more}{close}')
            if part is not None:
                more = f'{about[pleat]} data-fold="{listed(folds)}"'
                strokes.append(path_element(SEEN_OF[role.css], f"M {' L '.join(map(point, part))}", pass_, more))
    return "".join(forms) % numbers(np.array(spots, complex)), "".join(strokes)


def stitched_along(stretch: tuple[float, float]) -> str:
    return f' data-stitched-mm="{stretch[0]:.3f} {stretch[1]:.3f}"'


def listed(folds: tuple[int, ...]) -> str:
    return str(folds[0]) if len(folds) == 1 else " ".join(map(str, folds))
