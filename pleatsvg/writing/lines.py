"""The pattern lines of a pass as SVG paths, with what is seen of each."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from pleatsvg.flat.flat_piece import FlatLine
from pleatsvg.marks.arrows import stitched_span
from pleatsvg.result.roles import Role
from pleatsvg.writing.inks import line_style
from pleatsvg.writing.numbers import POINT, numbers
from pleatsvg.writing.stencil import path_stencil


def path_element(name: str, data: str, pass_: int, more: str = "") -> str:
    """Return a path of a class; `more` are further attributes."""
    before, after, end = path_stencil(name, line_style(name))
    return f'{before}{data}{after} data-pass="{pass_}"{more}{end}'


@lru_cache(maxsize=32)
def _line_form(role: Role, nodes: int, pass_: int) -> tuple[str, str, str]:
    # A line's SVG with its nodes left open; between its parts go how much of it is seen, and its pleat and folds.
    before, after, end = path_stencil(role.css, line_style(role.css))
    crease = ' data-crease="yes"' if role is Role.STITCH else f' data-way="{role.way}"' if role.way else ""
    data = " L ".join([POINT] * nodes)
    return f"{before}M {data}{after}", f' data-pass="{pass_}"', f"{crease}{end}"


def line_elements(
    role: Role,
    lines: Sequence[FlatLine],
    about: dict[int, str],
    mark: float | None,
    stitched: dict[int, tuple[float | None, str]],
    pass_: int,
) -> str:
    """Return all lines of a role, filled in in one go; cf. `PleatRequest` for what of tucks is `stitched`."""
    forms: list[str] = []
    spots: list[complex] = []
    for of_role, pleat, folds, top, hem, _, out_top, out_hem, _ in lines:
        if of_role is role:
            # Nodes where it meets the seam, ends on the cutting line.
            nodes = (top, hem) if out_top == top else (out_top, top, hem)
            if out_hem != hem:
                nodes = (*nodes, out_hem)
            spots += nodes
            seen = ""
            far, whence = stitched[pleat]
            if far is not None:
                length, out = abs(hem - top), abs(out_top - top)
                start, end = stitched_span(length, (far, whence))
                # Stitching that reaches the seam is begun at the edge of the cloth.
                end += out if end < length else out + abs(out_hem - hem)
                seen = _seen(role, out + start if start else 0.0, end)
            elif mark is not None:
                seen = _seen(role, 0.0, abs(out_top - top) + mark)
            before, after, close = _line_form(role, len(nodes), pass_)
            forms.append(f'{before}{seen}{after}{about[pleat]} data-fold="{listed(folds)}"{close}')
    return "".join(forms) % numbers(np.array(spots, complex))


def _seen(role: Role, start: float, end: float) -> str:
    # The line is written whole, so that it folds true; its dashes show what is to be seen of it.
    dashes = dict(line_style(role.css)).get("stroke-dasharray", "")
    pattern = [float(word) for word in dashes.split()] or [end - start, 0.0]
    made: list[float] = [0.0, start] if start else []
    left = end - start
    while left > 1e-9:
        for run in pattern:
            made.append(min(run, left))
            left -= made[-1]
            if left <= 1e-9:
                break
    if len(made) % 2 == 0:
        made[-1] += 1e5
    else:
        made.append(1e5)
    return f' style="stroke-dasharray:{",".join(f"{run:.6g}" for run in made)}"'


def listed(folds: tuple[int, ...]) -> str:
    return str(folds[0]) if len(folds) == 1 else " ".join(map(str, folds))
