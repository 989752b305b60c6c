"""Words of a body as they are set: each run of letters in one face, with its place on paper."""

from __future__ import annotations

from typing import NamedTuple

from pleatsvg.geometry.segment import Box
from pleatsvg.paper.body import BodyText, letters_of, placed, spans_of
from pleatsvg.printing.faces import Setting
from pleatsvg.result.shown import Colour, Span


class Run(NamedTuple):
    """Letters in one face: from `at` on paper, on the base line, along the unit vector `way`; sizes in mm."""

    letters: str
    face: str
    at: complex
    way: complex
    size: float
    bold: bool
    italic: bool
    colour: Colour
    opacity: float


class Set(NamedTuple):
    """A text as it is set: its runs, and its box: the middle, the direction, the width and the height in mm."""

    runs: tuple[Run, ...]
    middle: complex
    way: complex
    width: float
    height: float

    @property
    def corners(self) -> tuple[complex, ...]:
        """Of its box."""
        across, down = self.way * self.width / 2, 1j * self.way * self.height / 2
        return tuple([self.middle + i * across + j * down for i in (-1, 1) for j in (-1, 1)])


def set_text(text: BodyText, setting: Setting) -> Set:
    """Return a text as it is set on paper."""
    rows: list[tuple[float, float, Span]] = []
    left = top = float("inf")
    right = bottom = float("-inf")
    for chunk in text.text.chunks:
        spans = spans_of(text, chunk.spans)
        widths = [setting.width(span.words, span.size, span.bold, span.italic) for span in spans]
        whole = sum([span.dx + width for span, width in zip(spans, widths, strict=True)])
        x = chunk.x - {"middle": whole / 2, "end": whole}.get(chunk.anchor, 0.0)
        y = chunk.y
        for span, width in zip(spans, widths, strict=True):
            x, y = x + span.dx, y + span.dy
            rows.append((x, y, span))
            left, right = min(left, x), max(right, x + width)
            top, bottom = min(top, y - 0.73 * span.size), max(bottom, y)
            x += width
    box: Box = (left, top, right, bottom)
    at, way, own = placed(text, box)
    unit = letters_of(text)
    runs: list[Run] = []
    for x, y, span in rows:
        here = at + way * (complex(x, y) - own) * unit
        for face, letters in setting.runs(span.words, span.bold, span.italic):
            size = span.size * unit
            runs.append(Run(letters, face, here, way, size, span.bold, span.italic, span.colour, span.opacity))
            here += way * setting.width(letters, size, span.bold, span.italic)
    return Set(tuple(runs), at, way, (right - left) * unit, (bottom - top) * unit)
