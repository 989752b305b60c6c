"""The key of a result: a sample of each line and mark, beside its name."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import svgwrite.path
import svgwrite.shapes
import svgwrite.text

from pleatsvg.page.key_rows import lines_of
from pleatsvg.page.measures import KEY_LINE, ROW_PITCH
from pleatsvg.result.classes import INK, key_row
from pleatsvg.result.lettering import SIZE
from pleatsvg.writing.inks import style_of
from pleatsvg.writing.stencil import Style


@lru_cache(maxsize=64)
def key_elements(rows: tuple[str, ...]) -> str:
    """Return the SVG of the key and the print check, made once for all sheets that have the same rows."""
    parts: list[Any] = []
    square = svgwrite.shapes.Rect((0, 0), (50, 50), class_="check-square", fill="none", stroke=INK, debug=False)
    square["stroke-width"] = 0.35
    parts.append(square)
    for k, row in enumerate(("True size:", "print at 100 %,", "measure this", "50 mm square", "first")):
        parts.append(_key_text(row, 25, 13 + 7 * k, "middle"))
    bar = svgwrite.path.Path("M 62 6 L 162 6 M 62 3 L 62 9 M 112 4.5 L 112 7.5 M 162 3 L 162 9", debug=False)
    bar["class"], bar["fill"], bar["stroke"], bar["stroke-width"] = "check-bar", "none", INK, 0.35
    parts.append(bar)
    parts.append(_key_text("100 mm", 165, 7.6, "start"))
    y = 17.0
    for row in rows:
        of, key = key_row(row)
        if key.sample and of.ink is not None:
            parts.append(_key_sample(f"key-{of.name}", f"M 62 {y} L 92 {y}", style_of(of.ink)))
        for ink, strokes in key.signs:
            data = " ".join("M " + " L ".join(f"{px} {round(y + py, 3)}" for px, py in stroke) for stroke in strokes)
            parts.append(_key_sample("key-sign", data, style_of(ink)))
        for k, line in enumerate(lines_of(key.words)):
            y += KEY_LINE if k else 0.0
            parts.append(_key_text(line, 97, y + 1.5, "start"))
        y += ROW_PITCH
    return "".join([part.tostring() + "\n" for part in parts])


def _key_text(words: str, x: float, y: float, anchor: str) -> Any:
    text = svgwrite.text.Text(words, insert=(x, round(y, 3)), class_="key-words", debug=False)
    text["font-size"], text["text-anchor"] = SIZE, anchor
    return text


def _key_sample(name: str, data: str, style: Style) -> Any:
    sample = svgwrite.path.Path(d=data, class_=name, debug=False)
    for key, value in style:
        sample[key] = value
    return sample
