"""Writing the folded picture: one SVG, true to scale, one user unit to the millimetre.

Its classes are its own, so that it is never taken for a result: nothing in it is to be cut from.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pleatsvg.drawing.names import INKSCAPE, SVG
from pleatsvg.folded.items import SIZE, Item, Layer, Line, Text, ring, shifted
from pleatsvg.folded.steps import SHEET, Steps
from pleatsvg.folded.view import View
from pleatsvg.found.picture import Picture
from pleatsvg.geometry.segment import Segment
from pleatsvg.page.measures import MARGIN, ROW_PITCH
from pleatsvg.result.classes import CLASSES, SNIP, Ink
from pleatsvg.result.lettering import CAPITALS, width_of
from pleatsvg.writing.inks import style_of
from pleatsvg.writing.stencil import Style, attributes, escaped, path_stencil, text_stencil

_FONT = "Arial, Helvetica, Liberation Sans, DejaVu Sans, sans-serif"


_INK = "#1a1a1a"


def _lined(ink: str, width: str, dashes: str = "", **more: str) -> Style:
    style = [("fill", "none"), ("stroke", ink), ("stroke-width", width), *more.items()]
    return (*style, ("stroke-dasharray", dashes)) if dashes else tuple(style)


_ROUND = {"stroke-linecap": "round", "stroke-linejoin": "round"}


def _as_on_pattern(name: str, width: str = "", dashes: str | None = None, signs: bool = False) -> Style:
    # The look of a class of the pattern, so that a line is known again by its colour and its dashes.
    row = CLASSES[name]
    ink = row.signs if signs and row.signs is not None else row.ink
    assert ink is not None
    return style_of(Ink(ink.colour, width or ink.width, ink.dashes if dashes is None else dashes))


def _colour(name: str) -> str:
    ink = CLASSES[name].ink
    assert ink is not None
    return ink.colour


SHADE = "#6b4a21"


SHADE_OPACITY = "0.13"


_LOOKS: dict[str, Style] = {
    "cloth-right": (("fill", "#fffaf0"),),
    "cloth-wrong": (("fill", "#f1f4f6"),),
    "shade": (("fill", SHADE), ("fill-opacity", SHADE_OPACITY)),
    "shadow": (("fill", "#000000"), ("fill-opacity", "0.07")),
    "outline": _lined(_INK, "0.7", **_ROUND),
    "outer-seen": (*_as_on_pattern("fold-line", "0.7", ""), *_ROUND.items()),
    "outer-hidden": _as_on_pattern("fold-line", "0.4", "3 2"),
    "inner-seen": (*_as_on_pattern("inner-fold-line", "0.6", ""), *_ROUND.items()),
    "inner-hidden": _as_on_pattern("inner-fold-line"),
    "stitched-seen": _as_on_pattern("stitch-line"),
    "stitched-hidden": _as_on_pattern("stitch-line", "0.4", "1.5 1.5"),
    "fold": _as_on_pattern("fold-line"),
    "fold-sign": _as_on_pattern("fold-line", signs=True),
    "inner": _as_on_pattern("inner-fold-line"),
    "placement": _as_on_pattern("placement-line"),
    "placement-sign": _as_on_pattern("placement-line", signs=True),
    "stitch": _as_on_pattern("stitch-line"),
    "stitch-down": _as_on_pattern("stitch-down-line"),
    "shaping": _lined(_colour("fold-line"), "0.5", **_ROUND),
    "centre": _as_on_pattern("fold-edge"),
    "grain": _as_on_pattern("grain-line"),
    "carried": _lined(_INK, "0.35"),
    "balance": _as_on_pattern("balance-line"),
    "clip": style_of(SNIP),
    "leader": _lined(_INK, "0.35"),
    "ring": _lined(_colour("fold-line"), "0.8"),
    "section": _lined(_INK, "0.35", "8 2 2 2"),
    "plate": (("fill", "#ffffff"), ("stroke", _colour("inner-fold-line")), ("stroke-width", "0.35")),
    "edge": _lined(_colour("inner-fold-line"), "0.5", **_ROUND),
    "edge-face": _lined(_INK, "1.0", **_ROUND),
    "raw": _lined(_INK, "0.5", **_ROUND),
    "broken": _lined(_colour("inner-fold-line"), "0.4", "6 1.5 1.5 1.5"),
    "arrow": _lined(_INK, "0.6", **_ROUND),
    "sheet-right": (("fill", "#fbefd9"), ("stroke", "none")),
    "sheet-wrong": (("fill", "#d3dde3"), ("stroke", "none")),
    "key-cloth": (("fill", "#fffaf0"), ("stroke", _INK), ("stroke-width", "0.35")),
    "check": _lined(_INK, "0.35"),
    "slash": _lined(_colour("fold-line"), "0.7", "7 3", **_ROUND),
    "corner": (("fill", "#ffffff"), ("stroke", _INK), ("stroke-width", "0.6")),
    "cut": _lined(_INK, "0.35"),
}
"""Seen lines are solid and hidden ones broken; outer folds, inner folds and stitching differ in dash as in colour."""


_WORDS = {
    "fold-words": "fold-line",
    "placement-words": "placement-line",
    "stitch-words": "stitch-line",
    "centre-words": "fold-edge",
    "line-end": "fold-line",
    "line-name": "fold-line",
}
"""Names of lines in the ink of their line."""


@dataclass(frozen=True)
class Page:
    """A picture ready to be written: its size in mm, its title and its layers; `clips` are outlines by layer name."""

    width: float
    height: float
    title: str
    layers: tuple[tuple[str, tuple[Layer, ...]], ...]
    clips: tuple[tuple[Segment, ...], ...] = ()
    times: float = 1.0
    """How much wider than usual its lines are."""


def picture_bytes(page: Page) -> bytes:
    """Return a picture as the bytes of its file: the same for the same input."""
    width, height = _number(page.width), _number(page.height)
    out = [
        "<?xml version='1.0' encoding='UTF-8'?>\n"
        f'<svg xmlns="{SVG}" xmlns:inkscape="{INKSCAPE}" version="1.1" '
        f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">\n'
        f"<title>{escaped(page.title)}</title>\n"
    ]
    for k, clip in enumerate(page.clips, 1):
        out.append(f'<clipPath id="piece-{k}"><path d="{_data(Line("", segments=clip, closed=True))}" /></clipPath>\n')
    for k, (plain, layers) in enumerate(page.layers, 1):
        name = f"part-{k}"
        out.append(
            f'<g id="{name}" inkscape:groupmode="layer" inkscape:label="{escaped(plain)}"'
            f"{attributes(font_family=_FONT, fill=_INK)}>\n"
        )
        for layer in layers:
            clipped = f' clip-path="url(#piece-{k})"' if layer.name == "shadows" and k <= len(page.clips) else ""
            out.append(
                f'<g id="{layer.name}-{k}" inkscape:groupmode="layer" inkscape:label="{escaped(layer.plain)}"{clipped}>\n'
            )
            out += [item_markup(item, page.times) for item in layer.items]
            out.append("</g>\n")
        out.append("</g>\n")
    out.append("</svg>\n")
    return "".join(out).encode()


def item_markup(item: Item, times: float = 1.0) -> str:
    """Return a line or words of a picture as SVG; lines so many times as wide, for a picture that is shown smaller."""
    if isinstance(item, Line):
        look = _LOOKS[item.look]
        before, after, end = path_stencil(f"folded-{item.look}", look if times == 1 else _wider(look, times))
        return f"{before}{_data(item)}{after}{end}"
    style: Style = (("font-size", str(item.size)), ("text-anchor", item.anchor))
    if item.look in _WORDS:
        style = (*style, ("fill", _colour(_WORDS[item.look])))
    if item.look in ("count", "edge-name", "line-end"):
        style = (*style, ("font-weight", "bold"))
    before, after = text_stencil(f"folded-{item.look}", style)
    x, y = item.at.real, item.at.imag
    turn = f' transform="rotate({item.turn:.3f} {x:.3f} {y:.3f})"' if item.turn else ""
    return f'{before} x="{x:.3f}" y="{y + item.size * CAPITALS / 2:.3f}"{turn}>{escaped(item.words)}{after}\n'


def _wider(look: Style, times: float) -> Style:
    def more(value: str) -> str:
        return " ".join([f"{float(word) * times:.4g}" for word in value.replace(",", " ").split()])

    return tuple(
        [(name, more(value) if name in ("stroke-width", "stroke-dasharray") else value) for name, value in look]
    )


def _data(line: Line) -> str:
    if line.segments:
        words = [f"M {_point(line.segments[0][0])}"]
        for seg in line.segments:
            words.append(("L " if len(seg) == 2 else "C ") + " ".join([_point(z) for z in seg[1:]]))
    else:
        words = ["M " + " L ".join([_point(z) for z in line.points])]
    return " ".join(words) + (" Z" if line.closed else "")


def _point(z: complex) -> str:
    return f"{z.real:.3f},{z.imag:.3f}"


def _number(value: float) -> str:
    text = repr(value)
    return text[:-2] if text.endswith(".0") else text


def heading(rows: Sequence[str], at: complex) -> tuple[list[Item], float]:
    """Return heading rows as items, the first one larger, and the height that they take."""
    items: list[Item] = []
    y = at.imag + 3.5
    for k, row in enumerate(rows):
        items.append(Text(row, complex(at.real, y), size=7.0 if k == 0 else 4.2, anchor="start", look="heading"))
        y += 8.5 if k == 0 else ROW_PITCH
    return items, y - at.imag


def folded_page(views: Sequence[View], right_side: bool) -> Page:
    """Return the page that shows pieces folded, one under the other, with the key below."""
    layers: list[tuple[str, tuple[Layer, ...]]] = []
    clips: list[tuple[Segment, ...]] = []
    y, width = MARGIN, 0.0
    for view in views:
        head, high = heading(view.rows, complex(MARGIN, y))
        left, top, right, bottom = view.box
        by = complex(MARGIN - left, y + high + 6 - top)
        moved = [Layer(one.name, one.plain, [shifted(item, by) for item in one.items]) for one in view.layers]
        layers.append((view.rows[0], (Layer("heading", "Heading", head), *moved)))
        clips.append(tuple([tuple([z + by for z in seg]) for seg in view.outline]))
        widths = [width_of(row, 7.0 if k == 0 else 4.2) for k, row in enumerate(view.rows)]
        width = max(width, right - left, *widths)
        y += high + 6 + bottom - top + 16
    shades = sorted({shade for view in views for shade in view.shades})
    looks = {item.look for view in views for layer in view.layers for item in layer.items}
    key, key_high = _key(complex(MARGIN, y), shades, looks)
    layers.append(("Key and print check", (Layer("key", "Key and print check", key),)))
    width = max(width, 190.0)
    title = views[0].rows[0] if len(views) == 1 else f"{len(views)} pieces, folded"
    return Page(
        float(int(width + 2 * MARGIN) + 1), float(int(y + key_high + MARGIN) + 1), title, tuple(layers), tuple(clips)
    )


def found_page(pictures: Sequence[Picture]) -> Page:
    """Return the page that shows what was found on pieces, one under the other, with the key below."""
    layers: list[tuple[str, tuple[Layer, ...]]] = []
    size = max(picture.size for picture in pictures)
    times = size / SIZE
    y, width = MARGIN, 0.0
    for picture in pictures:
        head: list[Item] = []
        for k, row in enumerate(picture.rows):
            high = size * (1.5 if k == 0 else 1.0)
            head.append(Text(row, complex(MARGIN, y + high / 2), size=high, anchor="start", look="heading"))
            width = max(width, width_of(row, high))
            y += 1.5 * high
        left, top, right, bottom = picture.box
        by = complex(MARGIN - left, y + size - top)
        moved = [Layer(one.name, one.plain, [shifted(item, by) for item in one.items]) for one in picture.layers]
        layers.append((picture.rows[0], (Layer("heading", "Heading", head), *moved)))
        width = max(width, right - left)
        y += size + bottom - top + 3 * size
    looks = {item.look for picture in pictures for layer in picture.layers for item in layer.items}
    key: list[Item] = []
    for look, words in _FOUND_ROWS:
        if look in looks:
            here = complex(MARGIN, y)
            key += [Line(look, (here, here + 6 * size)), Text(words, here + 7 * size, size=size, anchor="start")]
            width = max(width, 7 * size + width_of(words, size))
            y += 1.5 * size
    layers.append(("Key", (Layer("key", "Key", key),)))
    title = pictures[0].rows[0] if len(pictures) == 1 else f"{len(pictures)} pieces, as they were found"
    return Page(float(math.ceil(width + 2 * MARGIN)), float(math.ceil(y + MARGIN)), title, tuple(layers), times=times)


_FOUND_ROWS = (
    ("outline", "the seam; a small ring stands at each corner, where an edge ends"),
    ("cut", "the cutting line"),
    ("slash", "a slash line, for a pleat"),
    ("fold", "a fold line of a pleat that it has"),
    ("placement", "a placement line of a pleat that it has"),
    ("inner", "an inner fold of a pleat that it has"),
    ("stitch", "the stitching of a tuck that it has"),
    ("balance", "a balance line, which runs on through the pleats"),
    ("grain", "the grainline"),
    ("centre", "cut on the fold, or the centre"),
    ("carried", "comes along with its panel"),
)


def _box(at: complex, wide: float, high: float, look: str) -> Line:
    return Line(look, (at, at + wide, at + complex(wide, high), at + 1j * high), True)


_KEY_ROWS = (
    ("outline", "finished seam"),
    ("outer-seen", "FOLD: outer fold"),
    ("outer-hidden", "outer fold, under other cloth from here"),
    ("inner-seen", "INNER FOLD: the edge of an underlay"),
    ("inner-hidden", "inner fold: the edge of an underlay, under other cloth"),
    ("stitched-seen", "stitching of a tuck"),
    ("stitched-hidden", "stitching of a tuck, under the tuck"),
    ("shaping", "curve along which a pleat is stitched: its fold finishes there"),
    ("balance", "balance line: hip line and the like"),
    ("carried", "lines of the drawing: pockets and the like"),
    ("stitch-down", "the top of a kick pleat: stitched down along the slant"),
    ("clip", "clip the allowances to here"),
    ("centre", "cut on the fold: the other half is drawn mirrored"),
)


def _key(at: complex, shades: Sequence[int], looks: set[str]) -> tuple[list[Item], float]:
    items: list[Item] = [_box(at, 50, 50, "check")]
    for k, row in enumerate(("50 mm square:", "measure it on", "the print first")):
        items.append(Text(row, at + complex(25, 18 + 7 * k)))
    bar = at + complex(62, 6)
    items += [Line("check", (bar, bar + 100)), Text("100 mm", bar + 103, anchor="start")]
    items += [Line("check", (bar + u - 3j, bar + u + 3j)) for u in (0, 50, 100)]
    y = 18.0
    rows = [(look, words) for look, words in _KEY_ROWS if look in looks]
    for look, words in rows:
        here = at + complex(62, y)
        items += [Line(look, (here, here + 30)), Text(words, here + 35, anchor="start")]
        y += ROW_PITCH
    if "ring" in looks:
        here = at + complex(77, y)
        items += [*ring(here, 2.6), Text("in the thickest zone", here + 20, anchor="start")]
        y += ROW_PITCH
    here = at + complex(62, y + 2)
    for shade in shades[:8]:
        items.append(_box(here - 3.2j, 12, 8, "key-cloth"))
        items += [_box(here - 3.2j, 12, 8, "shade") for _ in range(min(shade, 40))]
        items += [_plate(here + complex(6, 0.8)), Text(str(shade), here + complex(6, 0.8), look="count")]
        here += 15
    items.append(Text("layers on one another; zones under 5 mm wide bear no number", here + 0.8j + 2, anchor="start"))
    return items, max(50.0, y + 10)


def _plate(at: complex) -> Line:
    return Line("plate", (at + (-3 - 2.3j), at + (3 - 2.3j), at + (3 + 2.3j), at + (-3 + 2.3j)), True)


def steps_page(every: Sequence[Steps]) -> Page:
    """Return the page that shows the folding of pieces, one sheet below the other."""
    layers: list[tuple[str, tuple[Layer, ...]]] = []
    y = 0.0
    for steps in every:
        groups = [("heading", "Heading", steps.heading)]
        groups += [(f"panel-{k}", f"Panel {k}", panel.items) for k, panel in enumerate(steps.panels, 1)]
        groups.append(("cautions", "Cautions", steps.cautions))
        made = [Layer(name, plain, [shifted(item, 1j * y) for item in items]) for name, plain, items in groups]
        layers.append((f"{steps.piece}: how to fold it", tuple(made)))
        y += float(math.ceil(steps.height))
    title = layers[0][0] if len(every) == 1 else f"{len(every)} pieces: how to fold them"
    return Page(SHEET[0], y, title, tuple(layers))
