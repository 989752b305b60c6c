"""Reading a drawing: every shape on it resolved to millimetres, under its name and with its part."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from lxml import etree

from pleatsvg.curve import Subpath
from pleatsvg.drawing.affine import Affine, parse_transform
from pleatsvg.drawing.names import SVG, given_name, part_of_class, says_something
from pleatsvg.drawing.page import page_of
from pleatsvg.drawing.shapes import SHAPES, strokes_of
from pleatsvg.drawn import Drawing, DrawnShape
from pleatsvg.errors import DrawingError
from pleatsvg.length import Length
from pleatsvg.parts import part_of_name
from pleatsvg.segment import Segment
from pleatsvg.tolerance import FARTHEST, ON_LINE

LARGEST_FILE = 64 * 2**20
"""Bytes. A drawing of one piece has some thousands; sixty-four million are a picture, or a mistake."""

_GROUPS = frozenset(f"{{{SVG}}}{name}" for name in ("g", "a", "svg"))
_UNSEEN = frozenset(
    f"{{{SVG}}}{name}"
    for name in (
        "defs symbol clipPath mask marker pattern linearGradient radialGradient filter style script metadata title desc"
    ).split()
)
_NOT_READ = {f"{{{SVG}}}{name}": name for name in ("use", "image", "text", "switch", "foreignObject")}


@dataclass(frozen=True, slots=True)
class _Surroundings:
    """What an element has from the groups around it."""

    matrix: Affine
    part: str | None
    family: str
    group: str


def read_drawing(path: str | os.PathLike[str], unit_is: Length | None = None, shows_wrong: bool = False) -> Drawing:
    """Read a drawing from a file.

    Args:
        path: an SVG file.
        unit_is: what one drawing unit measures, where the person knows better than the file.
        shows_wrong: the drawing shows the wrong side of the cloth; it is mirrored.

    Raises:
        DrawingError: it is missing, is no SVG, or holds something that cannot be read.
    """
    file = Path(path)
    return drawing_from(_bytes_of(file), file.name, unit_is, shows_wrong)


def drawing_from(data: bytes, source: str, unit_is: Length | None = None, shows_wrong: bool = False) -> Drawing:
    """Read a drawing from the bytes of a file; cf. `read_drawing`. `source` is its name, for messages."""
    root = _root_of(data, source)
    matrix, page, notes = page_of(root, unit_is)
    if shows_wrong:
        matrix = Affine(-1, 0, 0, 1, page.width_mm, 0) @ matrix
    shapes: list[DrawnShape] = []
    left_out: list[str] = []
    title = next((c.text or "" for c in root if c.tag == f"{{{SVG}}}title"), "")
    _walk(root, _Surroundings(matrix, None, "", ""), shapes, left_out)
    return Drawing(source, " ".join(title.split()), page, tuple(shapes), tuple(left_out), tuple(notes))


def _bytes_of(file: Path) -> bytes:
    said = f"'{file.name or file}'"
    try:
        if not file.exists():
            raise DrawingError(said, "is not there", "", "Check the name and the folder.")
        if not file.is_file():
            raise DrawingError(said, "is not a file", "a drawing is an SVG file", "Give the drawing itself.")
        size = file.stat().st_size
        if size > LARGEST_FILE:
            raise DrawingError(
                said,
                f"holds {size / 2**20:.0f} million bytes",
                f"drawings up to {LARGEST_FILE // 2**20} million are read",
                "Leave out pictures, and save the piece alone.",
            )
        return file.read_bytes()
    except OSError as error:
        raise DrawingError(said, f"cannot be read ({error.strerror})", "", "Check the file and its permissions.") from None


def _root_of(data: bytes, source: str) -> etree._Element:
    said = f"'{source}'"
    remedy = "Save the drawing as a plain SVG from a vector editor."
    if not data.strip():
        raise DrawingError(said, "is empty", "a drawing is an SVG file", remedy)
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, dtd_validation=False, huge_tree=False, recover=False
    )
    try:
        root = etree.fromstring(data, parser)
    except (etree.XMLSyntaxError, ValueError) as error:
        where = f" at line {error.lineno}" if isinstance(error, etree.XMLSyntaxError) and error.lineno else ""
        reason = str(error).split(", line")[0]
        raise DrawingError(
            said, f"is not SVG: reading stopped{where} ({reason[:120]})", "a drawing is an SVG file", remedy
        ) from None
    if root.tag != f"{{{SVG}}}svg":
        raise DrawingError(
            said, f"is not SVG: its root is '{str(root.tag)[:60]}'", "the root of a drawing is 'svg'", remedy
        )
    return root


def _walk(parent: etree._Element, around: _Surroundings, shapes: list[DrawnShape], left_out: list[str]) -> None:
    for element in parent:
        tag = element.tag
        if not isinstance(tag, str) or tag in _UNSEEN:
            continue
        if tag in _NOT_READ:
            left_out.append(f"{_NOT_READ[tag]} '{_said(element)}'")
            continue
        if tag not in _GROUPS and tag not in SHAPES:
            continue
        if _is_hidden(element):
            if element.get("class") != "finished":  # the hidden layer of our own results
                left_out.append(f"hidden '{_said(element)}'")
            continue
        name = given_name(element)
        here = _entered(element, name, around)
        if tag in SHAPES:
            shapes += _drawn(element, name, here, around, shapes)
        elif tag == f"{{{SVG}}}svg":
            left_out.append(f"drawing within the drawing '{_said(element)}'")
        else:
            _walk(element, here, shapes, left_out)


def _entered(element: etree._Element, name: str, around: _Surroundings) -> _Surroundings:
    matrix = around.matrix
    transform = element.get("transform")
    if transform:
        matrix = matrix @ parse_transform(transform, f"'{_said(element)}'")
        if matrix.is_flat:
            raise DrawingError(
                f"'{_said(element)}'", "is squashed flat by its transform", "a transform must keep an area", "Undo it."
            )
    part = part_of_class(element) or part_of_name(name)
    group = name if says_something(name) and element.tag not in SHAPES and part is None else around.group
    if part is None:
        return _Surroundings(matrix, around.part, around.family, group)
    return _Surroundings(matrix, part, name, group)


def _drawn(
    element: etree._Element, name: str, here: _Surroundings, around: _Surroundings, shapes: list[DrawnShape]
) -> list[DrawnShape]:
    said = f"'{name or _said(element)}'"
    strokes = strokes_of(element, said, here.matrix)
    found: list[DrawnShape] = []
    for number, stroke in enumerate(strokes, 1):
        segments = _joined(stroke, here.matrix, said)
        if not segments:
            continue
        own = f"{name} {number}" if name and len(strokes) > 1 else name
        if not own:
            family = around.family or etree.QName(element).localname
            own = f"{family} {1 + sum(1 for s in (*shapes, *found) if s.family == family)}"
        closed = stroke.closed or abs(segments[0][0] - segments[-1][-1]) <= ON_LINE
        found.append(DrawnShape(own, here.family or name or etree.QName(element).localname, here.part, segments, closed, here.group))
    return found


def _joined(stroke: Subpath, matrix: Affine, said: str) -> tuple[Segment, ...]:
    # To mm; what has no length is dropped, and each segment begins exactly where the one before it ends.
    made: list[Segment] = []
    for seg in stroke.segments:
        moved = matrix.of_segment(seg)
        if not max([abs(z) for z in moved]) <= FARTHEST:
            raise _too_far(said, max([abs(z) for z in moved]))
        start = made[-1][-1] if made else moved[0]
        if max(abs(z - start) for z in moved[1:]) <= ON_LINE:
            continue
        made.append((start, *moved[1:]))
    return tuple(made)


def _too_far(said: str, reach: float) -> DrawingError:
    return DrawingError(
        said,
        f"reaches {reach / 1000:.3g} m from the corner of the page",
        f"drawings go up to {FARTHEST / 1000:.0f} m",
        "Check the drawing's scale, and look for a point that was thrown far off.",
    )


def _is_hidden(element: etree._Element) -> bool:
    text = element.get("style")
    if text is None:
        return element.get("display") == "none" or element.get("visibility") in ("hidden", "collapse")
    style = text.replace(" ", "")
    declared = dict(item.split(":", 1) for item in style.split(";") if ":" in item)
    return declared.get("display", element.get("display")) == "none" or (
        declared.get("visibility", element.get("visibility")) in ("hidden", "collapse")
    )


def _said(element: etree._Element) -> str:
    return given_name(element) or f"{etree.QName(element).localname} at line {element.sourceline}"
