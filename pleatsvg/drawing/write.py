"""Writing a result: one SVG, true to scale, one user unit to the millimetre.

The document and its pattern lines are built in lxml, the marks and the lettering in svgwrite.
"""

from __future__ import annotations

import os
import tempfile
from functools import lru_cache
from pathlib import Path
from typing import Any

import svgwrite.container
import svgwrite.path
import svgwrite.shapes
import svgwrite.text
from lxml import etree

from pleatsvg.drawing.names import INKSCAPE, SVG
from pleatsvg.errors import OutputError
from pleatsvg.job import PleatedPiece
from pleatsvg.lettering import CAPITALS, Words
from pleatsvg.marks import Mark
from pleatsvg.segment import Segment
from pleatsvg.sheet import HEADING_SIZES, MARGIN, ROW_PITCH
from pleatsvg.tolerance import DECIMALS
from pleatsvg.unfold import FlatLine
from pleatsvg.words import lap_name

_FONT = "Arial, Helvetica, Liberation Sans, DejaVu Sans, sans-serif"
_INK = "#1a1a1a"

_STYLES: dict[str, dict[str, str]] = {
    "seam-line": {"fill": "none", "stroke": _INK, "stroke-width": "0.6", "stroke-dasharray": "3 1.5", "stroke-linejoin": "miter"},
    "fold-line": {"fill": "none", "stroke": "#b3261e", "stroke-width": "0.6"},
    "placement-line": {"fill": "none", "stroke": "#0b5fa5", "stroke-width": "0.5", "stroke-dasharray": "9 2 1.5 2"},
    "inner-fold-line": {"fill": "none", "stroke": "#5f6b66", "stroke-width": "0.4", "stroke-dasharray": "1 2"},
    "finished-line": {"fill": "none", "stroke": "#5f6b66", "stroke-width": "0.35"},
    "grain-line": {"fill": "none", "stroke": _INK, "stroke-width": "0.5"},
}
"""Fold lines are solid, placement lines dash-dotted, so a black print tells them apart; the seam is broken as a
stitching line is (Univ. of Arkansas pattern symbols), never thinner than 0.35 mm."""

_ROLE_CLASS = {"fold": "fold-line", "placement": "placement-line", "inner": "inner-fold-line"}
_MARK_INK = {"fold": _STYLES["fold-line"]["stroke"], "placement": _STYLES["placement-line"]["stroke"], "inner": "#5f6b66"}


def write_result(result: PleatedPiece, path: str | os.PathLike[str], force: bool = False) -> None:
    """Write a result to a file, whole or not at all.

    Args:
        result: the flat piece.
        path: where to; its folder must exist.
        force: write over a file that is there.

    Raises:
        OutputError: the file is there, is the drawing itself, or cannot be written.
    """
    target = Path(path)
    refuse_output(target, force)
    write_whole(target, result_bytes(result))


def refuse_output(target: Path, force: bool, drawing: Path | None = None) -> None:
    """Refuse an output that may not be written, before any work is done.

    Raises:
        OutputError: it is the drawing itself, a folder, in no folder, or there already and not to be written over.
    """
    said = f"The output '{target.name or target}'"
    if drawing is not None and _same_file(target, drawing):
        raise OutputError(said, "is the drawing itself", "a drawing is never written over", "Give another name with -o.")
    if target.is_dir():
        raise OutputError(said, "is a folder", "the result is one file", "Give a file name with -o, such as front-flat.svg.")
    if not target.parent.is_dir():
        raise OutputError(said, f"would lie in '{target.parent}', which is not there", "", "Make that folder first.")
    if target.exists() and not force:
        raise OutputError(
            said, "is there already", "nothing is written over unasked", "Give another name with -o, or add --force."
        )


def _same_file(a: Path, b: Path) -> bool:
    try:
        return a.exists() and b.exists() and a.samefile(b)
    except OSError:
        return a.absolute() == b.absolute()


def write_whole(target: Path, data: bytes) -> None:
    """Write a file beside its place and move it there when it is complete and on the disk.

    Raises:
        OutputError: the folder or the disk does not take it.
    """
    name = None
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".part", dir=target.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, 0o666 & ~_umask())
        os.replace(name, target)
    except OSError as error:
        if name is not None:
            Path(name).unlink(missing_ok=True)
        raise OutputError(
            f"The output '{target.name}'",
            f"cannot be written ({error.strerror})",
            "",
            "Check the folder, its permissions and the room on the disk.",
        ) from None


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def result_bytes(result: PleatedPiece) -> bytes:
    """Return a result as the bytes of its file: the same for the same input, with no dates and no random names."""
    sheet = result.sheet
    width, height = _number(sheet.width), _number(sheet.height)
    root = etree.Element(
        f"{{{SVG}}}svg",
        {"version": "1.1", "width": f"{width}mm", "height": f"{height}mm", "viewBox": f"0 0 {width} {height}"},
        nsmap={None: SVG, "inkscape": INKSCAPE},
    )
    etree.SubElement(root, f"{{{SVG}}}title").text = sheet.heading[0]
    _furniture(root, result)
    _piece(root, result)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)


def _layer(parent: etree._Element, name: str, plain: str, **attributes: str) -> etree._Element:
    return etree.SubElement(
        parent,
        f"{{{SVG}}}g",
        {"id": name, f"{{{INKSCAPE}}}groupmode": "layer", f"{{{INKSCAPE}}}label": plain, **attributes},
    )


def _piece(root: etree._Element, result: PleatedPiece) -> None:
    sheet = result.sheet
    piece = _layer(root, "piece", f"Piece: {result.name}", **{"class": "piece"})
    piece.set("data-piece", result.name)
    piece.set("data-passes", "1")
    piece.set("data-pleats", str(len(result.pleats)))
    piece.set("data-fold-back-mm", f"{result.proof.worst:.9f}")
    hidden = _layer(piece, "finished-shape", "Finished shape (hidden)", **{"class": "finished", "style": "display:none"})
    _path(hidden, "finished-line", _closed_data(result.finished_on_page.segments), {"data-pass": "1"})
    seam = _layer(piece, "seam", "Seam line")
    _path(seam, "seam-line", _closed_data(tuple([edge.points for edge in result.flat.seam])), {"data-pass": "1"})
    about = {
        p.number: {"data-kind": p.request.kind.name, "data-lap": lap_name(p.request, result.lines.upright)}
        for p in result.pleats
    }
    by_layer: dict[str, list[Mark]] = {}
    for mark in sheet.marks:
        by_layer.setdefault(mark.name, []).append(mark)
    for role, identifier, plain, lines in (
        ("fold", "fold-lines", "Fold lines", result.flat.creases),
        ("placement", "placement-lines", "Placement lines", result.flat.placements),
        ("inner", "inner-folds", "Inner folds", result.flat.creases),
    ):
        layer = _layer(piece, identifier, plain)
        for line in lines:
            if line.role == role:
                _line(layer, line, about[line.pleat])
        _marks(layer, by_layer.get(f"{role}-end", []), sheet.offset)
    _marks(_layer(piece, "notches", "Notches"), by_layer.get("notch", []), sheet.offset)
    _marks(_layer(piece, "lap-arrows", "Lap arrows"), by_layer.get("lap-arrow", []), sheet.offset)
    if result.grain is not None:
        _grain(_layer(piece, "grain", "Grainline"), result.grain)
    lettering = _layer(piece, "lettering", "Lettering", **{"font-family": _FONT, "fill": _INK})
    _marks(lettering, by_layer.get("leader", []), sheet.offset)
    facts = {fact.number: fact for fact in result.facts}
    for words in sheet.words:
        extra = dict(about.get(words.pleat, {}))
        if words.pleat:
            extra["data-pleat"] = str(words.pleat)
        if words.name == "pleat-label":
            fact = facts[words.pleat]
            extra["data-intake-mm"] = _number(round(fact.intake_top, 4))
            extra["data-hem-intake-mm"] = _number(round(fact.intake_hem, 4))
            if fact.grain_degrees is not None:
                extra["data-grain-degrees"] = _number(round(fact.grain_degrees, 3))
        lettering.append(_lettering(words, sheet.offset, extra))


def _line(layer: etree._Element, line: FlatLine, about: dict[str, str]) -> None:
    name = _ROLE_CLASS[line.role]
    data = f"M {_point(line.top)} L {_point(line.hem)}"
    folds = " ".join(map(str, line.folds))
    _path(layer, name, data, {"data-pass": "1", "data-pleat": str(line.pleat), "data-fold": folds, **about})


def _path(layer: etree._Element, name: str, data: str, extra: dict[str, str]) -> None:
    etree.SubElement(layer, f"{{{SVG}}}path", {"class": name, "d": data, **_STYLES[name], **extra})


def _marks(layer: etree._Element, marks: list[Mark], offset: complex) -> None:
    for mark in marks:
        data = " ".join(
            "M " + " L ".join([_short(z + offset) for z in stroke]) for stroke in mark.strokes
        )
        ink = _MARK_INK[mark.line] if mark.line else _INK
        path = svgwrite.path.Path(d=data, class_=mark.name, fill="none", stroke=ink, debug=False)
        path["stroke-width"] = 0.5 if mark.name != "leader" else 0.35
        extra = {"data-pass": "1", "data-pleat": str(mark.pleat), "data-fold": " ".join(map(str, mark.folds))}
        if mark.end:
            extra["data-end"] = mark.end
        if mark.name == "notch":
            extra["data-line"] = mark.line
        layer.append(_element(path, extra))


def _grain(layer: etree._Element, grain: tuple[complex, complex]) -> None:
    start, end = grain
    way = (end - start) / abs(end - start)
    head, side = 5.0 * way, 2.0j * way
    data = (
        f"M {_point(start)} L {_point(end)} "
        f"M {_short(start + head + side)} L {_short(start)} L {_short(start + head - side)} "
        f"M {_short(end - head + side)} L {_short(end)} L {_short(end - head - side)}"
    )
    _path(layer, "grain-line", data, {"data-pass": "1"})


def _lettering(words: Words, offset: complex, extra: dict[str, str]) -> etree._Element:
    # The middle is half-way up the capitals; the baseline lies half of their height below it.
    at = words.middle + offset
    x, y = round(at.real, 3), round(at.imag, 3)
    text = svgwrite.text.Text(
        words.text, insert=(x, round(y + words.size * CAPITALS / 2, 3)), class_=words.name, debug=False
    )
    text["font-size"] = words.size
    text["text-anchor"] = "middle"
    if words.turn:
        text["transform"] = f"rotate({_number(round(words.turn, 4))} {_number(x)} {_number(y)})"
    return _element(text, extra)


def _element(made: Any, extra: dict[str, str] | None = None) -> etree._Element:
    """Return an svgwrite element as an lxml element inside the SVG namespace."""
    source = made.get_xml()
    element = etree.Element(f"{{{SVG}}}{source.tag}", dict(source.attrib) | (extra or {}))
    element.text = source.text
    for child in source:
        element.append(_plain(child))
    return element


def _plain(source: Any) -> etree._Element:
    element = etree.Element(f"{{{SVG}}}{source.tag}", dict(source.attrib))
    element.text = source.text
    for child in source:
        element.append(_plain(child))
    return element


def _furniture(root: etree._Element, result: PleatedPiece) -> None:
    sheet = result.sheet
    layer = _layer(root, "heading", "Heading", **{"class": "heading", "font-family": _FONT, "fill": _INK})
    y = MARGIN + HEADING_SIZES[0] * CAPITALS
    for k, row in enumerate(sheet.heading):
        text = svgwrite.text.Text(row, insert=(MARGIN, round(y, 3)), class_="heading-row", debug=False)
        text["font-size"] = HEADING_SIZES[min(k, 1)]
        layer.append(_element(text))
        y += ROW_PITCH + (1.5 if k == 0 else 0)
    key = _layer(root, "key", "Key and print check", **{"class": "key", "font-family": _FONT, "fill": _INK})
    key.set("transform", f"translate({_number(sheet.key_at.real)} {_number(round(sheet.key_at.imag, 3))})")
    for part in _key_parts():
        key.append(etree.fromstring(part))


_Strokes = tuple[tuple[tuple[float, float], ...], ...]

_KEY_ROWS: tuple[tuple[str, tuple[tuple[str, _Strokes], ...], str], ...] = (
    ("seam-line", (), "seam line: stitch here"),
    (
        "fold-line",
        ((_MARK_INK["fold"], (((65, -2), (69, 2)), ((65, 2), (69, -2)), ((85, -2), (89, 2)), ((85, 2), (89, -2)))),),
        "FOLD: fold line, a cross at each end",
    ),
    (
        "placement-line",
        ((_MARK_INK["placement"], (((67, -3), (67, 3)), ((87, -3), (87, 3)))),),
        "PLACE: placement line, a short bar at each end; the fold line comes to lie here",
    ),
    ("inner-fold-line", (), "INNER FOLD: folds the other way, hidden underneath"),
    (
        "",
        ((_MARK_INK["fold"], (((89, 0), (66, 0)), ((69, -1.6), (65, 0), (69, 1.6)))),),
        "lap: from the fold line to its placement line",
    ),
    (
        "",
        (
            (_MARK_INK["fold"], (((68, 3), (68, -3)),)),
            (_MARK_INK["placement"], (((80, 2.5), (82, -2.5), (84, 2.5), (80, 2.5)),)),
        ),
        "notches: a stroke at a fold line, a triangle at a placement line",
    ),
    ("grain-line", ((_INK, (((66, -2), (62, 0), (66, 2)), ((88, -2), (92, 0), (88, 2)))),), "grain"),
)
"""Class of the sample line, signs drawn over it (ink, strokes about the row's middle, mm), words."""


@lru_cache(maxsize=1)
def _key_parts() -> tuple[bytes, ...]:
    # The key and the print check are the same on every sheet: made once, drawn with svgwrite.
    parts: list[Any] = []
    square = svgwrite.shapes.Rect((0, 0), (50, 50), class_="check-square", fill="none", stroke=_INK, debug=False)
    square["stroke-width"] = 0.35
    parts.append(square)
    for k, row in enumerate(("50 mm square:", "measure it on", "the print first")):
        parts.append(_key_text(row, 25, 19 + 7 * k, "middle"))
    bar = svgwrite.path.Path("M 62 6 L 162 6 M 62 3 L 62 9 M 112 4.5 L 112 7.5 M 162 3 L 162 9", class_="check-bar", debug=False)
    bar["fill"], bar["stroke"], bar["stroke-width"] = "none", _INK, 0.35
    parts.append(bar)
    parts.append(_key_text("100 mm", 165, 7.6, "start"))
    y = 17.0
    for name, signs, words in _KEY_ROWS:
        if name:
            parts.append(_key_sample(f"key-{name}", f"M 62 {y} L 92 {y}", _STYLES[name]))
        for ink, strokes in signs:
            data = " ".join("M " + " L ".join(f"{px} {round(y + py, 3)}" for px, py in stroke) for stroke in strokes)
            parts.append(_key_sample("key-sign", data, {"fill": "none", "stroke": ink, "stroke-width": "0.5"}))
        parts.append(_key_text(words, 97, y + 1.5, "start"))
        y += ROW_PITCH
    return tuple([etree.tostring(_element(part)) for part in parts])


def _key_text(words: str, x: float, y: float, anchor: str) -> Any:
    text = svgwrite.text.Text(words, insert=(x, round(y, 3)), class_="key-words", debug=False)
    text["font-size"], text["text-anchor"] = 4.2, anchor
    return text


def _key_sample(name: str, data: str, style: dict[str, str]) -> Any:
    sample = svgwrite.path.Path(d=data, class_=name, debug=False)
    for key, value in style.items():
        sample[key] = value
    return sample


def _closed_data(segments: tuple[Segment, ...]) -> str:
    words = [f"M {_point(segments[0][0])}"]
    for seg in segments:
        if len(seg) == 2:
            words.append(f"L {_point(seg[1])}")
        else:
            words.append(f"C {_point(seg[1])} {_point(seg[2])} {_point(seg[3])}")
    words.append("Z")
    return " ".join(words)


def _point(z: complex) -> str:
    return f"{_digits(z.real)},{_digits(z.imag)}"


def _digits(value: float) -> str:
    text = f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _short(z: complex) -> str:
    return f"{_number(round(z.real, 3))},{_number(round(z.imag, 3))}"


def _number(value: float) -> str:
    text = repr(value)
    return text[:-2] if text.endswith(".0") else text
