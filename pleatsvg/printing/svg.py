"""Pages to SVG: one file for each page, with what is printed of a piece cut off at the page's window.

A page is read back with the reader of drawings, for which the window is a mask that is told and not obeyed: so lines are
compared whole, and windows by the rectangle that stands in the file.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

from lxml import etree

from pleatsvg.drawing.names import SVG
from pleatsvg.drawing.shown.read_shown import shown_from
from pleatsvg.errors import ProofError
from pleatsvg.geometry.segment import Segment, box_of
from pleatsvg.paper.body import Body, BodyShape
from pleatsvg.paper.document import Document, Page, Words
from pleatsvg.printing.faces import Setting
from pleatsvg.printing.lettered import set_text
from pleatsvg.printing.proof import LaidBody, LaidPage, prove_pages, structure_of
from pleatsvg.result.pattern_lines import DrawnResult
from pleatsvg.result.shown import Colour, Look, ShownShape, Stroke
from pleatsvg.writing.inks import FONT
from pleatsvg.writing.layers import paper_of
from pleatsvg.writing.stencil import attributes, escaped


def proven_svgs(
    document: Document, setting: Setting, results: Sequence[DrawnResult] | None
) -> tuple[tuple[tuple[str, bytes], ...], float]:
    """Return for each page its name and the bytes of its file, and how far the lines read back miss those of the results.

    Raises:
        ProofError: they miss, or do not fold.
    """
    forms = [_form(k, body, setting) for k, body in enumerate(document.bodies, 1)]
    files = tuple([(page.name, _page(page, forms, setting)) for page in document.pages])
    read = [
        _laid(data, page, document.bodies) for (_, data), page in zip(files, document.pages, strict=True) if page.placed
    ]
    return files, prove_pages(document, read, results)


def _form(number: int, body: Body, setting: Setting) -> str:
    rows = [f'<g id="piece-{number}">\n']
    for item in body.items:
        if isinstance(item, BodyShape):
            rows.append(_shape(item.strokes, item.look, item.shape.css))
        else:
            for run in set_text(item, setting).runs:
                width = setting.width(run.letters, run.size, run.bold, run.italic)
                rows.append(_letters(run.letters, run.at, run.way, run.size, run.colour, run.bold, run.italic, width))
    rows.append("</g>\n")
    return "".join(rows)


def _page(page: Page, forms: Sequence[str], setting: Setting) -> bytes:
    width, height = _number(page.width), _number(page.height)
    rows = [
        "<?xml version='1.0' encoding='UTF-8'?>\n"
        f'<svg xmlns="{SVG}" version="1.1" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">\n'
        f"<title>{escaped(page.name)}</title>\n{paper_of(width, height)}\n"
    ]
    for k, placed in enumerate(page.placed, 1):
        left, top, right, bottom = placed.clip
        rows.append(
            f'<clipPath id="window-{k}"><rect x="{_number(left)}" y="{_number(top)}" width="{_number(right - left)}" '
            f'height="{_number(bottom - top)}" /></clipPath>\n'
        )
    for k, placed in enumerate(page.placed, 1):
        turn, shift = placed.turn, placed.shift
        six = " ".join([f"{n:.12g}" for n in (turn.real, turn.imag, -turn.imag, turn.real, shift.real, shift.imag)])
        rows.append(
            f'<g clip-path="url(#window-{k})">\n<g transform="matrix({six})">\n{forms[placed.body]}</g>\n</g>\n'
        )
    rows.append('<g id="page-marks">\n')
    rows += [
        _shape(tuple([Stroke(run, mark.closed) for run in mark.runs]), mark.look, "page-mark") for mark in page.marks
    ]
    rows += [_words(words, setting) for words in page.words]
    rows.append("</g>\n</svg>\n")
    return "".join(rows).encode()


def _shape(strokes: tuple[Stroke, ...], look: Look, css: str) -> str:
    data = " ".join([_data(stroke.segments, stroke.closed) for stroke in strokes])
    more = {"fill": _colour(look.fill)}
    if look.fill is not None and look.even_odd:
        more["fill_rule"] = "evenodd"
    if look.fill_opacity != 1:
        more["fill_opacity"] = f"{look.fill_opacity:.4g}"
    if look.stroke is not None:
        more |= {"stroke": _colour(look.stroke), "stroke_width": f"{look.width:.4g}"}
        if look.dashes:
            more["stroke_dasharray"] = " ".join([f"{dash:.4g}" for dash in look.dashes])
            if look.phase:
                more["stroke_dashoffset"] = f"{look.phase:.4g}"
        if look.cap != "butt":
            more["stroke_linecap"] = look.cap
        if look.join != "miter":
            more["stroke_linejoin"] = look.join
        if look.mitre != 4:
            more["stroke_miterlimit"] = f"{look.mitre:.4g}"
        if look.stroke_opacity != 1:
            more["stroke_opacity"] = f"{look.stroke_opacity:.4g}"
    # Not under the names of a result's classes: a page is no result.
    return f'<path class="printed-{escaped(css or "line")}" d="{data}"{attributes(**more)} />\n'


def _data(segments: tuple[Segment, ...], closed: bool) -> str:
    words = [f"M {_point(segments[0][0])}"]
    for seg in segments:
        words.append(("L " if len(seg) == 2 else "C ") + " ".join([_point(z) for z in seg[1:]]))
    return " ".join(words) + (" Z" if closed else "")


def _words(words: Words, setting: Setting) -> str:
    width = setting.width(words.text, words.size, words.bold)
    more = {"text_anchor": words.anchor} if words.anchor != "start" else {}
    return _letters(words.text, words.at, words.way, words.size, words.colour, words.bold, False, width, **more)


def _letters(
    letters: str,
    at: complex,
    way: complex,
    size: float,
    colour: Colour,
    bold: bool,
    italic: bool,
    width: float,
    **more: str,
) -> str:
    # As wide as they were set, in whatever face they are shown.
    more |= {"textLength": f"{width:.3f}", "lengthAdjust": "spacingAndGlyphs"}
    if bold:
        more["font_weight"] = "bold"
    if italic:
        more["font_style"] = "italic"
    six = " ".join([f"{n:.6g}" for n in (way.real, way.imag, -way.imag, way.real)])
    place = f"matrix({six} {at.real:.4f} {at.imag:.4f})"
    style = attributes(transform=place, font_family=FONT, font_size=f"{size:.4g}", fill=_colour(colour), **more)
    return f'<text class="printed-words"{style} xml:space="preserve">{escaped(letters)}</text>\n'


def _colour(colour: Colour | None) -> str:
    if colour is None:
        return "none"
    return "#" + "".join([f"{round(255 * share):02x}" for share in colour])


def _point(z: complex) -> str:
    return f"{z.real:.6f},{z.imag:.6f}"


def _number(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")


def _laid(data: bytes, page: Page, bodies: Sequence[Body]) -> LaidPage:
    shown = shown_from(data, page.name)
    shapes = iter([item for item in shown.body if isinstance(item, ShownShape)])
    windows = _windows(data)
    found = []
    for placed, window in zip(page.placed, windows, strict=True):
        own = list(islice(shapes, len(bodies[placed.body].shapes)))
        structure, points = structure_of([shape.strokes for shape in own])
        found.append(LaidBody(points, structure, window))
    if len(list(shapes)) != len(page.marks):
        raise ProofError(
            f"Page {page.name}", "read back, holds other lines than were laid out", "", "Please report it."
        )
    return tuple(found)


def _windows(data: bytes) -> list[tuple[float, float, float, float]]:
    root = etree.fromstring(data)
    found = []
    for rect in root.iterfind(f"{{{SVG}}}clipPath/{{{SVG}}}rect"):
        x, y, w, h = (float(rect.get(name) or "nan") for name in ("x", "y", "width", "height"))
        found.append(box_of([complex(x, y), complex(x + w, y + h)]))
    return found
