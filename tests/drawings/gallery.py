"""The gallery of README: each kind of pleat, flat and folded; `python -m tests.drawings.gallery` draws it anew."""

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


def draw(name: str, folder: Path) -> tuple[Path, Path]:
    """Write one kind to a folder, flat and folded."""
    source, options = KINDS[name]
    flat, folded = folder / f"{name}-flat.svg", folder / f"{name}-folded.svg"
    write(pleat(read(FIXTURES / f"{source}.svg"), **options), flat, force=True)
    draw_folded(fold(flat), folded, force=True)
    return flat, folded


if __name__ == "__main__":
    for kind in KINDS:
        draw(kind, GALLERY)
