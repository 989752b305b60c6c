"""The pattern lines of a pass as SVG paths, with what is seen of each."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from pleatsvg.flat.flat_piece import FlatLine
from pleatsvg.marks.seen import Seen, Stitched
from pleatsvg.result.classes import SEEN_OF
from pleatsvg.result.roles import Role
from pleatsvg.writing.inks import UNSEEN, line_style
from pleatsvg.writing.numbers import LINE, START, path_rows, point, side_by_side
from pleatsvg.writing.stencil import path_stencil


def path_element(name: str, data: str, pass_: int, more: str = "") -> str:
    """Return a path of a class; `more` are further attributes."""
    before, after, end = path_stencil(name, line_style(name))
    return f'{before}{data}{after} data-pass="{pass_}"{more}{end}'


@lru_cache(maxsize=32)
def _line_form(role: Role, pass_: int, whole: bool) -> tuple[str, str, str]:
    # A line's SVG in three parts: up to its data, from there to its pleat and folds, and the rest. One that is not seen whole
    # is written without ink.
    before, after, end = path_stencil(role.css, line_style(role.css) if whole else UNSEEN)
    crease = ' data-crease="yes"' if role is Role.STITCH else f' data-way="{role.way}"' if role.way else ""
    seen = "" if whole else ' data-seen="part"'
    return before, f'{after} data-pass="{pass_}"', f"{seen}{crease}{end}"


def line_elements(
    lines: Sequence[FlatLine], about: dict[int, str], seen: Seen, stitched: Stitched, pass_: int
) -> list[tuple[Role, list[str], list[str]]]:
    """Return for each role its lines, and a stroke for what is seen of each that is not shown whole; filled in in one go.

    Args:
        lines: creases and placement lines, on the page.
        about: for each pleat, its attributes.
        seen, stitched: what is seen, and what is stitched, of some of them.
        pass_: its number.
    """
    by_role: dict[Role, list[FlatLine]] = {}
    for line in lines:
        by_role.setdefault(line.role, []).append(line)
    ordered = [(role, by_role[role]) for role in Role if role in by_role]
    data = iter(_data_of([line for _, own in ordered for line in own]))
    partly = seen or stitched
    found: list[tuple[Role, list[str], list[str]]] = []
    for role, own in ordered:
        whole: list[str] = []
        strokes: list[str] = []
        before, after, close = _line_form(role, pass_, True)
        unseen = _line_form(role, pass_, False)
        for line in own:
            belongs = f'{about[line.pleat]} data-fold="{listed(line.folds)}"'
            if not partly:
                whole.append(f"{before}{next(data)}{after}{belongs}{close}")
                continue
            key = role, line.pleat, line.folds
            part = seen.get(key)
            before, after, close = unseen if part is not None else _line_form(role, pass_, True)
            more = stitched_along(stitched[key]) if key in stitched else ""
            whole.append(f"{before}{next(data)}{after}{belongs}{more}{close}")
            if part is not None:
                strokes.append(path_element(SEEN_OF[role.css], f"M {' L '.join(map(point, part))}", pass_, belongs))
        found.append((role, whole, strokes))
    return found


def _data_of(lines: Sequence[FlatLine]) -> list[str]:
    steps: list[bytes] = []
    spots: list[complex] = []
    for _, _, _, top, hem, _, out_top, out_hem, _, _, bend in lines:
        # Nodes where it meets the seam and where it bends, ends on the cutting line.
        nodes = (top, hem) if bend is None else (top, bend, hem)
        if out_top != top:
            nodes = (out_top, *nodes)
        if out_hem != hem:
            nodes = (*nodes, out_hem)
        spots += nodes
        steps.append(_STROKES[len(nodes)])
    return path_rows(b"".join(steps), side_by_side(spots))


_STROKES = [START + LINE * (nodes - 1) for nodes in range(6)]
"""By its nodes, what leads to each node of a line."""


def stitched_along(stretch: tuple[float, float]) -> str:
    return f' data-stitched-mm="{stretch[0]:.3f} {stretch[1]:.3f}"'


def listed(folds: tuple[int, ...]) -> str:
    return str(folds[0]) if len(folds) == 1 else " ".join(map(str, folds))
