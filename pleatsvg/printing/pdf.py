"""Pages to a PDF: what is printed of each result is written once, as a form, and laid on every page cut off at its window.

ISO 32000-1. Lengths are points, y up; numbers have 6 decimals, 4e-7 mm. The same pages give the same bytes: reportlab's
invariant mode writes no date of today and no random name.
"""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import Any

from pleatsvg.errors import ProofError
from pleatsvg.geometry.segment import Segment, box_of
from pleatsvg.paper.body import Body, BodyShape, BodyText
from pleatsvg.paper.document import Document, Mark, Page, Words
from pleatsvg.printing.faces import Setting, face_of
from pleatsvg.printing.lettered import set_text
from pleatsvg.printing.pdf_read import ReadPage, ReadPdf, read_pdf
from pleatsvg.printing.proof import LaidBody, LaidPage, Points, Structure, prove_pages, structure_of
from pleatsvg.result.pattern_lines import DrawnResult
from pleatsvg.result.shown import Look, Stroke
from pleatsvg.tolerance import PRINTED

POINTS = 72 / 25.4
"""In a mm (ISO 32000-1, section 8.3.2.3: a unit of user space is 1/72 in)."""

_BEYOND = 20.0
"""mm that are kept of a piece beyond its lines and words: half the width of a stroke, its mitres, the tails of letters."""

_CAPS = {"butt": 0, "round": 1, "square": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}


def pdf_bytes(document: Document, setting: Setting) -> bytes:
    """Return the pages as the bytes of a PDF: true to size, not to be scaled by whoever prints it."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    stream = BytesIO()
    in_letters = rl_config.useA85
    rl_config.useA85 = 0  # plain bytes, a quarter shorter
    try:
        canvas = Canvas(stream, invariant=1, pageCompression=1, initialFontName=face_of(False, False))
        canvas.setTitle(document.title)
        canvas.setAuthor("")
        canvas.setSubject("A pattern, true to size: print at actual size")
        canvas.setCreator("pleatsvg")
        canvas.setViewerPreference("PrintScaling", "None")
        forms = [_Form(canvas, f"piece{k}", body, setting) for k, body in enumerate(document.bodies, 1)]
        for page in document.pages:
            _page(canvas, page, forms, setting)
        canvas.save()
    finally:
        rl_config.useA85 = in_letters
    return stream.getvalue()


def proven_pdf(document: Document, setting: Setting, results: Sequence[DrawnResult] | None) -> tuple[bytes, float]:
    """Return the pages as the bytes of a PDF, and how far its lines, read back from them, miss those of the results, in mm.

    Raises:
        ProofError: they miss, or do not fold.
    """
    data = pdf_bytes(document, setting)
    read = read_pdf(data)
    if read.scaling != "None" or not read.embedded or len(read.pages) != len(document.pages):
        raise ProofError("The pages", "read back, are not as they were laid out", "", "Please report it.")
    for page, found in zip(document.pages, read.pages, strict=True):
        off = max(abs(found.width - page.width * POINTS), abs(found.height - page.height * POINTS))
        if off > PRINTED * POINTS:
            raise ProofError(
                f"Page {page.name}", f"read back, is {off / POINTS:.3f} mm off its size", "", "Please report it."
            )
    return data, prove_pages(document, laid_pages(read), results)


def laid_pages(read: ReadPdf) -> list[LaidPage]:
    """Return the pages of a PDF that bear a piece, in mm, y down."""
    forms = {
        name: structure_of([zip(path.runs, path.closed, strict=True) for path in paths])
        for name, paths in read.forms.items()
    }
    return [_laid(page, forms) for page in read.pages if page.forms]


def _laid(page: ReadPage, forms: dict[str, tuple[Structure, Points]]) -> LaidPage:
    # From points, y up, to mm, y down.
    def on_page(z: Any) -> Any:
        return (z.real + 1j * (page.height - z.imag)) / POINTS

    bodies = []
    for form in page.forms:
        structure, points = forms[form.name]
        a, b, c, d, e, f = form.matrix
        x, y = points.real, points.imag
        left, low, right, top = form.clip or (0.0, 0.0, page.width, page.height)
        corner, other = on_page(complex(left, top)), on_page(complex(right, low))
        window = (corner.real, corner.imag, other.real, other.imag)
        bodies.append(LaidBody(on_page(a * x + c * y + e + 1j * (b * x + d * y + f)), structure, window))
    return tuple(bodies)


class _Form:
    # What is printed of a result, written once.
    def __init__(self, canvas: Any, name: str, body: Body, setting: Setting) -> None:
        from reportlab.pdfbase import pdfdoc

        self.name = name
        points = [z for shape in body.shapes for stroke in shape.strokes for seg in stroke.segments for z in seg]
        points += [z for text in body.texts for z in set_text(text, setting).corners]
        left, top, right, bottom = box_of(points)
        room = _BEYOND
        canvas.beginForm(
            name,
            (left - room) * POINTS,
            -(bottom + room) * POINTS,
            (right + room) * POINTS,
            -(top - room) * POINTS,
        )
        painter = _Painter(canvas, setting)
        for item in body.items:
            if isinstance(item, BodyShape):
                painter.shape(item.strokes, item.look)
            else:
                painter.text(item)
        resources = pdfdoc.PDFResourceDictionary()
        resources.basicFonts()
        canvas._setExtGState(resources)
        resources.ExtGState = resources.ExtGState or {}
        canvas.endForm(Resources=resources)


def _page(canvas: Any, page: Page, forms: list[_Form], setting: Setting) -> None:
    canvas.setPageSize((page.width * POINTS, page.height * POINTS))
    canvas.saveState()
    canvas.translate(0, page.height * POINTS)
    painter = _Painter(canvas, setting)
    for placed in page.placed:
        left, top, right, bottom = placed.clip
        canvas.saveState()
        window = canvas.beginPath()
        window.rect(left * POINTS, -bottom * POINTS, (right - left) * POINTS, (bottom - top) * POINTS)
        canvas.clipPath(window, stroke=0, fill=0)
        turn, shift = placed.turn, placed.shift
        a, b, c, d = turn.real, -turn.imag, turn.imag, turn.real
        canvas.addLiteral(f"{a:.10f} {b:.10f} {c:.10f} {d:.10f} {_point(shift)} cm")
        canvas.doForm(forms[placed.body].name)
        canvas.restoreState()
    for mark in page.marks:
        painter.mark(mark)
    for words in page.words:
        painter.words(words)
    canvas.restoreState()
    canvas.showPage()


class _Painter:
    # Paints on a canvas whose origin is the upper left corner; what stays the same from shape to shape is set once.
    def __init__(self, canvas: Any, setting: Setting) -> None:
        self._canvas = canvas
        self._setting = setting
        self._now: dict[str, Any] = {"alpha": (1.0, 1.0)}

    def mark(self, mark: Mark) -> None:
        self.shape(tuple([Stroke(run, mark.closed) for run in mark.runs]), mark.look)

    def shape(self, strokes: tuple[Stroke, ...], look: Look) -> None:
        """Paint a shape."""
        canvas = self._canvas
        if look.stroke is not None:
            self._set("stroke", look.stroke, lambda colour: canvas.setStrokeColorRGB(*colour))
            self._set("width", look.width, lambda width: canvas.setLineWidth(width * POINTS))
            dashes = (tuple([dash * POINTS for dash in look.dashes]), look.phase * POINTS)
            self._set("dashes", dashes, lambda value: canvas.setDash(list(value[0]), value[1]))
            self._set("cap", _CAPS[look.cap], canvas.setLineCap)
            self._set("join", _JOINS[look.join], canvas.setLineJoin)
            self._set("mitre", look.mitre, canvas.setMiterLimit)
        if look.fill is not None:
            self._set("fill", look.fill, lambda colour: canvas.setFillColorRGB(*colour))
        self._alpha(look.fill_opacity, look.stroke_opacity)
        data = [_trace(stroke.segments, stroke.closed) for stroke in strokes]
        canvas.addLiteral(" ".join([*data, _PAINT[look.stroke is not None, look.fill is not None, look.even_odd]]))

    def text(self, text: BodyText) -> None:
        """Paint the words of a result."""
        for run in set_text(text, self._setting).runs:
            self._letters(run.letters, run.face, run.at, run.way, run.size, run.colour, run.opacity)

    def words(self, words: Words) -> None:
        """Paint words of the page."""
        width = self._setting.width(words.text, words.size, words.bold)
        at = words.at - words.way * {"middle": width / 2, "end": width}.get(words.anchor, 0.0)
        for face, letters in self._setting.runs(words.text, words.bold):
            self._letters(letters, face, at, words.way, words.size, words.colour, 1.0)
            at += words.way * self._setting.width(letters, words.size, words.bold)

    def _letters(
        self, letters: str, face: str, at: complex, way: complex, size: float, colour: Any, opacity: float
    ) -> None:
        canvas = self._canvas
        self._set("fill", colour, lambda value: canvas.setFillColorRGB(*value))
        self._alpha(opacity, opacity)
        written = canvas.beginText()
        written.setTextTransform(way.real, -way.imag, way.imag, way.real, at.real * POINTS, -at.imag * POINTS)
        written.setFont(face, size * POINTS)
        written.textOut(letters)
        canvas.drawText(written)

    def _alpha(self, fill: float, stroke: float) -> None:
        if self._now["alpha"] != (fill, stroke):
            self._now["alpha"] = (fill, stroke)
            self._canvas.setFillAlpha(fill)
            self._canvas.setStrokeAlpha(stroke)

    def _set(self, name: str, value: Any, how: Any) -> None:
        if self._now.get(name) != value:
            self._now[name] = value
            how(value)


_PAINT = {
    (line, area, even_odd): ("B" if line else "f") + ("*" if even_odd else "") if area else "S" if line else "n"
    for line in (False, True)
    for area in (False, True)
    for even_odd in (False, True)
}
"""The operator for a line, an area or both (ISO 32000-1, table 60)."""


def _trace(segments: tuple[Segment, ...], closed: bool) -> str:
    # With six decimals at any size: a library's own numbers have seven digits, and folding adds up what they leave out.
    words = [f"{_point(segments[0][0])} m"]
    for seg in segments:
        words.append(f"{' '.join([_point(z) for z in seg[1:]])} {'l' if len(seg) == 2 else 'c'}")
    return " ".join([*words, "h"] if closed else words)


def _point(z: complex) -> str:
    return f"{z.real * POINTS:.6f} {-z.imag * POINTS:.6f}"
