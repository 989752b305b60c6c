"""Small pieces with a fold edge or a cutting line drawn, as text. Lengths in mm, y down the page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pleatsvg import pleat, read, write
from pleatsvg.pleated import PleatedPiece
from tests.drawings.paper import Ends, drawing, point, polygon, slashes

SQUARE = polygon(300 + 100j, 600 + 100j, 600 + 500j, 300 + 500j)
MIDDLE: Ends = (450 + 100j, 450 + 500j)


def half(outline: str, fold: Ends, *lines: Ends) -> str:
    """A half piece: its outline, the edge cut on the fold, and slash lines."""
    edge = f'<path id="fold edge" d="M{point(fold[0])} L{point(fold[1])}"/>'
    return drawing(outline, slashes(*lines), edge)


def made(folder: Path, text: str, **options: Any) -> tuple[PleatedPiece, Path]:
    """Pleat a drawing and write it; the result and its file."""
    source, out = folder / "drawing.svg", folder / "flat.svg"
    source.write_text(text, encoding="utf-8")
    result = pleat(read(source), **options)
    write(result, out, force=True)
    return result, out
