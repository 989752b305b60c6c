"""Skirt pieces with a hip line, to be fitted, as text. Lengths in mm, y down the page."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from pleatsvg import pleat, read, write
from pleatsvg.pleated import PleatedPiece

Line = tuple[float, float]
"""Where a slash line begins above the top, and where it ends below the hem."""

FRONT_LINES: tuple[Line, ...] = ((170, 150), (256, 253), (344, 347), (430, 450))


def _page(body: str) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="720mm" viewBox="0 0 600 720">{body}</svg>'


def _slashes(lines: Sequence[Line], x: Any = lambda x: x, names: Sequence[str] = ()) -> str:
    made = []
    for k, (top, hem) in enumerate(lines):
        name = names[k] if k < len(names) else f"slash {k + 1}"
        made.append(f'<path id="{name}" d="M {x(top)},30 L {x(hem)},690"/>')
    return "".join(made)


def front(lines: Sequence[Line] = FRONT_LINES, names: Sequence[str] = ()) -> str:
    """A whole skirt front, 561 mm along its curved top, with a hip line and a grainline."""
    seam = "M 50,50 C 200,70 400,70 550,50 L 570,250 L 590,650 C 400,672 200,672 10,650 L 30,250 Z"
    hip = '<path id="hip" d="M 30,250 C 200,258 400,258 570,250"/><path id="grainline" d="M 300,320 L 300,520"/>'
    return _page(f'<path id="seam" d="{seam}"/>{_slashes(lines, names=names)}{hip}')


def half_front(lines: Sequence[Line], fold_on_right: bool = True) -> str:
    """Half of one, the fold edge on its right or on its left; lines are given for the first and mirrored for the other."""

    def x(at: float) -> float:
        return at if fold_on_right else 600 - at

    seam = (
        f"M {x(50)},50 C {x(150)},65 {x(250)},70 {x(300)},70 L {x(300)},660 "
        f"C {x(200)},668 {x(120)},660 {x(20)},650 L {x(30)},250 Z"
    )
    fold = f'<path id="fold edge" d="M {x(300)},70 L {x(300)},660"/>'
    hip = f'<path id="hip" d="M {x(30)},250 L {x(300)},255"/>'
    return _page(f'<path id="seam" d="{seam}"/>{fold}{_slashes(lines, x)}{hip}')


def write_pieces(folder: Path) -> list[Path]:
    """A skirt front and back with straight sides of one length and curved tops, to be sewn to each other all round; with hip
    lines that meet at the seams, 200 mm down them."""
    found = []
    for name, seam, hip in (
        (
            "front",
            "M 60,50 C 200,66 400,66 540,50 L 560,650 C 400,672 200,672 40,650 Z",
            "M 53.333333333,250 C 200,262 400,262 546.666666667,250",
        ),
        (
            "back",
            "M 60,40 C 190,60 380,60 510,40 L 530,640 C 400,662 170,662 40,640 Z",
            "M 53.333333333,240 C 190,252 380,252 516.666666667,240",
        ),
    ):
        grain = '<path id="grainline" d="M 300,320 L 300,520"/>'
        path = folder / f"{name}.svg"
        path.write_text(_page(f'<path id="seam" d="{seam}"/><path id="hip" d="{hip}"/>{grain}'), encoding="utf-8")
        found.append(path)
    return found


def fitted(folder: Path, text: str, **options: Any) -> tuple[PleatedPiece, Path]:
    """Fit a piece and write it; the result and its file."""
    source, out = folder / "drawing.svg", folder / "fitted.svg"
    source.write_text(text, encoding="utf-8")
    result = pleat(read(source), **options)
    write(result, out, force=True)
    return result, out
