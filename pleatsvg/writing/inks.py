"""Inks, widths and dashes of lines and marks."""

from __future__ import annotations

from pleatsvg.writing.stencil import Style

FONT = "Arial, Helvetica, Liberation Sans, DejaVu Sans, sans-serif"


INK = "#1a1a1a"


def _lined(ink: str, width: str, dashes: str = "") -> Style:
    style = (("fill", "none"), ("stroke", ink), ("stroke-width", width))
    return (*style, ("stroke-dasharray", dashes)) if dashes else style


STYLES: dict[str, Style] = {
    "cut-line": _lined(INK, "0.7"),
    "seam-line": _lined(INK, "0.6", "3 1.5"),
    "fold-line": _lined("#b3261e", "0.6"),
    "placement-line": _lined("#0b5fa5", "0.5", "9 2 1.5 2"),
    "inner-fold-line": _lined("#5f6b66", "0.4", "1 2"),
    "stitch-line": _lined("#1e6b3a", "0.5", "5 1 1 1"),
    "finished-line": _lined("#5f6b66", "0.35"),
    "finished-cut-line": _lined("#5f6b66", "0.35"),
    "grain-line": _lined(INK, "0.5"),
    "free-edge": _lined("#5f6b66", "0.5", "0.5 1"),
    "join-line": _lined(INK, "0.5", "8 1.5 1 1.5"),
    "fold-edge": _lined(INK, "0.5", "12 3 2 3"),
    "fold-edge-ground": _lined("#ffffff", "1.3"),
    "fold-edge-run": _lined(INK, "0.5", "3 3"),
    "baste-line": _lined("#7a5200", "0.4", "6 4"),
    "edge-stitch-line": _lined("#1e6b3a", "0.4", "1.5 1"),
    "stitch-down-line": _lined("#1e6b3a", "0.6", "4 1.2"),
}
"""Fold lines are solid, placement lines dash-dotted, so a black print tells them apart; the seam is broken as a
stitching line is (Univ. of Arkansas pattern symbols), never thinner than 0.35 mm."""


MARK_STYLES: dict[str, Style] = {
    "fold": _lined("#b3261e", "0.5"),
    "placement": _lined("#0b5fa5", "0.5"),
    "inner": _lined("#5f6b66", "0.35"),
    "join": _lined(INK, "0.5"),
    "seam": _lined(INK, "0.5"),
    "stitch": _lined("#1e6b3a", "0.5"),
    "mate": _lined("#1e6b3a", "0.5"),
    "": _lined(INK, "0.5"),
}


SNIP_STYLE = _lined(INK, "1.2")
