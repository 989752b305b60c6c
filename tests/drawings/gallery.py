"""The pictures of README: the first skirt, and each kind of pleat, flat and folded; `python -m tests.drawings.gallery`
draws them anew."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pleatsvg import pleat, read, write
from pleatsvg.api import draw_folded, fold

FIXTURES = Path(__file__).parents[2] / "fixtures"
GALLERY = FIXTURES / "gallery"

PANEL, HALF, NAMES = "gallery/panel", "gallery/half-skirt", "gallery/kinds-by-name"
KINDS: dict[str, tuple[str, dict[str, Any]]] = {
    "knife": (PANEL, {"kind": "knife", "intake": "6cm", "lap": "left"}),
    "box": (PANEL, {"kind": "box", "intake": "8cm", "face": "3cm", "slash": "slash 2"}),
    "inverted": (PANEL, {"kind": "inverted", "intake": "12cm", "slash": "slash 2"}),
    "tuck": (PANEL, {"kind": "tuck", "intake": "3cm", "lap": "right", "stitched": "10cm"}),
    "pin-tuck": (
        PANEL,
        {"kind": "pin-tuck", "intake": "4mm", "lap": "left", "slash": "slash 2", "count": 7, "gap": "8mm"},
    ),
    "kick": (PANEL, {"kind": "kick", "intake": "8cm", "height": "10cm", "slash": "slash 2"}),
    "double-inverted": (PANEL, {"kind": "inverted", "intake": "16cm", "stack": 2, "slash": "slash 2"}),
    "underlay-apart": (
        PANEL,
        {"kind": "inverted", "intake": "12cm", "underlay": "separate", "slash": "slash 2", "allowance": "1cm"},
    ),
    "half-inverted": (HALF, {"kind": "inverted", "intake": "12cm"}),
    "mixed": (NAMES, {}),
}
"""By name: the drawing, and what is asked for."""


FIRST = FIXTURES / "first-skirt"
FIRST_OPTIONS: dict[str, Any] = {"kind": "knife", "intake": "6cm", "lap": "left", "allowance": ["15mm", "hem=4cm"]}


def draw_first_skirt(folder: Path) -> tuple[Path, Path]:
    """Write the first skirt to a folder, flat and folded."""
    flat, folded = folder / "flat.svg", folder / "folded.svg"
    write(pleat(read(FIRST / "front.svg"), **FIRST_OPTIONS), flat, force=True)
    draw_folded(fold(flat), folded, force=True)
    return flat, folded


def draw_flat(name: str, folder: Path) -> Path:
    """Write one kind to a folder."""
    source, options = KINDS[name]
    flat = folder / f"{name}-flat.svg"
    write(pleat(read(FIXTURES / f"{source}.svg"), **options), flat, force=True)
    return flat


if __name__ == "__main__":
    draw_first_skirt(FIRST)
    for kind in KINDS:
        draw_folded(fold(draw_flat(kind, GALLERY)), GALLERY / f"{kind}-folded.svg", force=True)
