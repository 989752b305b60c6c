"""The key of a result: a sample of each line and mark, beside its name."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import svgwrite.path
import svgwrite.shapes
import svgwrite.text

from pleatsvg.page.measures import ROW_PITCH
from pleatsvg.writing.inks import INK, MARK_STYLES, SNIP_STYLE, STYLES
from pleatsvg.writing.stencil import Style

_Strokes = tuple[tuple[tuple[float, float], ...], ...]


_STROKE_OUT: _Strokes = (((68, 3), (68, -3)),)


_TRIANGLE_OUT: _Strokes = (((80, 2.5), (82, -2.5), (84, 2.5), (80, 2.5)),)


_ARROW: _Strokes = (((89, 0), (66, 0)), ((69, -1.6), (65, 0), (69, 1.6)))


_DOUBLE_TICK: _Strokes = (((90.5, -2), (90.5, 2)), ((92, -2), (92, 2)))


_KEY_ROWS: dict[str, tuple[str, tuple[tuple[str, _Strokes], ...], str]] = {
    "cut-line": ("cut-line", (), "cutting line: cut here"),
    "seam-line": ("seam-line", (), "seam line: stitch here"),
    "fold-line": (
        "fold-line",
        (("fold", (((65, -2), (69, 2)), ((65, 2), (69, -2)), ((85, -2), (89, 2)), ((85, 2), (89, -2)))),),
        "FOLD: fold line, a cross at each end",
    ),
    "placement-line": (
        "placement-line",
        (("placement", (((67, -3), (67, 3)), ((87, -3), (87, 3)))),),
        "PLACE: placement line, a short bar at each end; the fold line comes to lie here",
    ),
    "inner-fold-line": ("inner-fold-line", (), "INNER FOLD: folds the other way, hidden underneath"),
    "stitch-line": (
        "stitch-line",
        (),
        "STITCH: the two stitching lines of a tuck, sewn together as far as they are drawn; the fold lies between them",
    ),
    "fold-line-plain": ("fold-line", (), "FOLD: fold line of a tuck"),
    "lap-tuck": ("", (("fold", _ARROW),), "the way a tuck is brought over: from stitching line to stitching line"),
    "notches-tuck": (
        "",
        (("fold", _STROKE_OUT), ("stitch", _TRIANGLE_OUT)),
        "notches: a stroke at the fold line of a tuck, triangles at its stitching lines",
    ),
    "notches-cut-tuck": (
        "",
        (("fold", _STROKE_OUT), ("stitch", _TRIANGLE_OUT)),
        "notches: snip into the allowance at the fold line of a tuck; triangles outwards at its stitching lines",
    ),
    "notches-snip-tuck": (
        "",
        (("fold", _STROKE_OUT), ("stitch", (((82, -3), (82, 3)),))),
        "notches: snip into the allowance at the fold and stitching lines of a tuck, never into the seam",
    ),
    "notches-triangle-tuck": (
        "",
        (("fold", (((66, 2.5), (68, -2.5), (70, 2.5), (66, 2.5)),)), ("stitch", _TRIANGLE_OUT)),
        "notches: triangles outwards at the fold and stitching lines of a tuck",
    ),
    "lap": ("", (("fold", _ARROW),), "lap: from the fold line to its placement line"),
    "notches": (
        "",
        (("fold", _STROKE_OUT), ("placement", _TRIANGLE_OUT)),
        "notches: a stroke at a fold line, a triangle at a placement line",
    ),
    "notches-cut": (
        "",
        (("fold", _STROKE_OUT), ("placement", _TRIANGLE_OUT)),
        "notches: snip into the allowance at a fold line; a triangle outwards at a placement line",
    ),
    "notches-snip": (
        "",
        (("fold", _STROKE_OUT), ("placement", (((82, -3), (82, 3)),))),
        "notches: snip into the allowance at fold and placement lines, never into the seam",
    ),
    "notches-triangle": (
        "",
        (("fold", (((66, 2.5), (68, -2.5), (70, 2.5), (66, 2.5)),)), ("placement", _TRIANGLE_OUT)),
        "notches: a triangle outwards at fold and placement lines",
    ),
    "baste-line": ("baste-line", (), "BASTE: tack the folded pleats across the top here, before pressing"),
    "edge-stitch-line": (
        "edge-stitch-line",
        (("", _DOUBLE_TICK),),
        "EDGE STITCH: through the fold alone, to the double tick",
    ),
    "stitch-down-line": (
        "stitch-down-line",
        (("", _DOUBLE_TICK),),
        "STITCH DOWN: through all layers, to the double tick",
    ),
    "fold-edge": (
        "fold-edge",
        (("", (((64, -0.4), (64, -2.4), (90, -2.4), (90, -0.4)),)),),
        "FOLD EDGE: lay this edge on a fold of the cloth; do not cut it",
    ),
    "join-line": ("join-line", (), "JOIN: sew the parts together here, equal numbers and notches meeting"),
    "grain-line": ("grain-line", (("", (((66, -2), (62, 0), (66, 2)), ((88, -2), (92, 0), (88, 2)))),), "grain"),
}
"""By row: class of the sample line, signs drawn over it (whose ink, strokes about the row's middle, mm), words."""


@lru_cache(maxsize=64)
def key_elements(rows: tuple[str, ...]) -> str:
    # The key and the print check are made once for all sheets that have the same rows.
    parts: list[Any] = []
    square = svgwrite.shapes.Rect((0, 0), (50, 50), class_="check-square", fill="none", stroke=INK, debug=False)
    square["stroke-width"] = 0.35
    parts.append(square)
    for k, row in enumerate(("50 mm square:", "measure it on", "the print first")):
        parts.append(_key_text(row, 25, 19 + 7 * k, "middle"))
    bar = svgwrite.path.Path("M 62 6 L 162 6 M 62 3 L 62 9 M 112 4.5 L 112 7.5 M 162 3 L 162 9", debug=False)
    bar["class"], bar["fill"], bar["stroke"], bar["stroke-width"] = "check-bar", "none", INK, 0.35
    parts.append(bar)
    parts.append(_key_text("100 mm", 165, 7.6, "start"))
    y = 17.0
    for row in rows:
        name, signs, words = _KEY_ROWS[row]
        if name:
            parts.append(_key_sample(f"key-{name}", f"M 62 {y} L 92 {y}", STYLES[name]))
        for line, strokes in signs:
            data = " ".join("M " + " L ".join(f"{px} {round(y + py, 3)}" for px, py in stroke) for stroke in strokes)
            snip = row.startswith("notches") and all(len(stroke) == 2 for stroke in strokes)
            parts.append(_key_sample("key-sign", data, SNIP_STYLE if snip else MARK_STYLES[line]))
        parts.append(_key_text(words, 97, y + 1.5, "start"))
        y += ROW_PITCH
    return "".join([part.tostring() + "\n" for part in parts])


def _key_text(words: str, x: float, y: float, anchor: str) -> Any:
    text = svgwrite.text.Text(words, insert=(x, round(y, 3)), class_="key-words", debug=False)
    text["font-size"], text["text-anchor"] = 4.2, anchor
    return text


def _key_sample(name: str, data: str, style: Style) -> Any:
    sample = svgwrite.path.Path(d=data, class_=name, debug=False)
    for key, value in style:
        sample[key] = value
    return sample
