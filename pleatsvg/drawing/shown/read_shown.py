"""Reading a result as it is seen: what is painted, how and in which order; hidden layers are left out."""

from __future__ import annotations

import math
from collections.abc import Mapping

from lxml import etree

from pleatsvg.drawing.names import given_name, tidy
from pleatsvg.drawing.path_data import Tally
from pleatsvg.drawing.read import joined, look_of, walked
from pleatsvg.drawing.shapes import strokes_of
from pleatsvg.drawing.shown.colours import paint, share
from pleatsvg.drawing.shown.text_chunks import chunks_of
from pleatsvg.drawing.source import root_of
from pleatsvg.drawing.tags import tag_of
from pleatsvg.drawing.texts import text_of
from pleatsvg.drawing.walk import OWN_HIDDEN, SHAPES, Leaf, said_of
from pleatsvg.result.classes import is_class
from pleatsvg.result.shown import BLACK, Look, Shown, ShownResult, ShownShape, ShownText, Stroke


def shown_from(data: bytes, source: str) -> ShownResult:
    """Read a result as it is seen from the bytes of a file; `source` is its name, for messages.

    Raises:
        DrawingError: it is no SVG, or holds something that cannot be read.
    """
    root, remarks = root_of(data, source)
    walk, page, notes = walked(root, furniture_too=True)
    held: dict[str, list[Shown]] = {"heading": [], "key": [], "": []}
    groups = _Groups()
    tally = Tally()
    for leaf in walk.leaves:
        room, layers, hidden = groups.around(leaf.element)
        if hidden:
            continue
        css = next(iter((leaf.element.get("class") or "").split()), "")
        tag = tag_of(leaf.element, is_class)
        if leaf.element.tag in SHAPES:
            shape = _shape(leaf, css, layers, tally)
            if shape is not None:
                held[room].append(shape)
            continue
        here = leaf.here
        text = text_of(leaf.element, here.group, here.matrix, here.style, walk.sheets, tag)
        chunks = chunks_of(text.markup) if text is not None else ()
        if text is not None and chunks:
            held[room].append(ShownText(css, tag, layers, text.words, text.matrix, chunks))
    title = next((child.text or "" for child in root if etree.QName(child).localname == "title"), "")
    rows = tuple([text.words for text in held["heading"] if isinstance(text, ShownText)])
    hidden_names = tuple(dict.fromkeys([words.removeprefix("hidden ") for words in walk.left_out if "hidden" in words]))
    return ShownResult(
        source,
        tidy(title),
        tuple(groups.pieces),
        page.width_mm,
        page.height_mm,
        tuple(held[""]),
        rows,
        tuple(held["key"]),
        hidden_names,
        (*remarks, *notes),
    )


class _Groups:
    # What the groups around an element say: whether it stands in the heading or the key, in which layers, and whether in one
    # of ours that is kept hidden.
    def __init__(self) -> None:
        self._known: dict[etree._Element, tuple[str, tuple[str, ...], bool]] = {}
        self.pieces: dict[str, None] = {}

    def around(self, element: etree._Element) -> tuple[str, tuple[str, ...], bool]:
        parent = element.getparent()
        if parent is None or not isinstance(parent.tag, str):
            return "", (), False
        if parent not in self._known:
            room, layers, hidden = self.around(parent)
            said = parent.get("class") or ""
            room = room or (said if said in ("heading", "key") else "")
            if said == "piece" and parent.get("data-piece"):
                self.pieces[tidy(parent.get("data-piece") or "")] = None
            name = given_name(parent) if parent.getparent() is not None else ""
            hidden = hidden or (said in OWN_HIDDEN and _is_put_away(parent))
            self._known[parent] = (room, (*layers, name) if name else layers, hidden)
        return self._known[parent]


def _is_put_away(group: etree._Element) -> bool:
    # The walk follows these layers though they are hidden; one that somebody has made visible is seen.
    return (group.get("display") or "").strip() == "none" or "none" in [
        value.strip().split("!")[0].strip()
        for name, _, value in [row.partition(":") for row in (group.get("style") or "").split(";")]
        if name.strip() == "display"
    ]


def _shape(leaf: Leaf, css: str, layers: tuple[str, ...], tally: Tally) -> ShownShape | None:
    here = leaf.here
    matrix = here.matrix
    said = f"'{leaf.name or said_of(leaf.element)}'"
    drawn = strokes_of(leaf.element, said, lambda: matrix.stretch, here.width, here.height, here.style)
    tally.add(drawn, said)
    strokes: list[Stroke] = []
    for stroke in drawn:
        segments = joined(stroke, matrix, said)
        if segments:
            strokes.append(Stroke(segments, stroke.closed))
    if not strokes:
        return None
    scale = math.sqrt(abs(matrix.a * matrix.d - matrix.b * matrix.c))
    return ShownShape(css, tag_of(leaf.element, is_class), leaf.name, layers, tuple(strokes), _look(here.style, scale))


def _look(style: Mapping[str, str], mm_per_unit: float) -> Look:
    in_mm = dict(look_of(style, mm_per_unit))
    current = style.get("color")
    whole = share(style.get("opacity"))
    width = float(in_mm.get("stroke-width", "0"))
    stroke = paint(style.get("stroke"), current, None) if width > 0 else None
    dashes = tuple([float(word) for word in in_mm.get("stroke-dasharray", "").split()])
    if len(dashes) % 2:
        dashes += dashes
    if sum(dashes) <= 0:
        dashes = ()
    return Look(
        fill=paint(style.get("fill"), current, BLACK),
        stroke=stroke,
        width=width,
        dashes=dashes,
        phase=_number(style.get("stroke-dashoffset"), 0.0) * mm_per_unit,
        cap=_one_of(style.get("stroke-linecap"), ("butt", "round", "square")),
        join=_one_of(style.get("stroke-linejoin"), ("miter", "round", "bevel")),
        mitre=max(_number(style.get("stroke-miterlimit"), 4.0), 1.0),
        fill_opacity=whole * share(style.get("fill-opacity")),
        stroke_opacity=whole * share(style.get("stroke-opacity")),
        even_odd=style.get("fill-rule") == "evenodd",
    )


def _one_of(value: str | None, known: tuple[str, ...]) -> str:
    return value if value in known else known[0]


def _number(text: str | None, otherwise: float) -> float:
    try:
        value = float((text or "").removesuffix("px"))
    except ValueError:
        return otherwise
    return value if math.isfinite(value) else otherwise
