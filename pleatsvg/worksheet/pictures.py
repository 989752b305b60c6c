"""The pictures of a sheet as SVG within the page: the flat piece, the folded one, and the panels of the folding.

A picture that is far wider than paper is shown smaller, with lines as wide as they are on paper, and with the numbers of its
pleats in place of lettering that nobody could read.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pleatsvg.folded.items import Item, Text, corners, shifted
from pleatsvg.folded.steps import Steps, steps_of
from pleatsvg.folded.view import View, views_of
from pleatsvg.geometry.segment import Box, box_of
from pleatsvg.result.lettering import width_of
from pleatsvg.result.shown import Colour, ShownShape
from pleatsvg.worksheet.pieces import WorkPiece
from pleatsvg.writing.folded import item_markup
from pleatsvg.writing.stencil import attributes, escaped

PAPER = 178.0
"""mm. As wide as a picture can be on A4 and Letter."""

LEGIBLE = 1.4
"""A picture that is shown smaller than this has lettering under 2.2 mm, and is shown without."""

_SIZE = 5.0
"""mm on paper. Font size of the numbers of pleats."""

_PANELS = 0.94
"""So many times as large, as many panels stand side by side between the margins as on the sheet of steps."""

_CUT_VIEW = ("section-line", "section")


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture.

    Attributes:
        title: what it is, in a few words.
        told: what is seen on it, for whoever does not see it.
        caption: that stands below it, or "".
        box: what it takes up, mm of its own.
        width: mm on paper.
        markup: what stands within its svg element.
    """

    title: str
    told: str
    caption: str
    box: Box
    width: float
    markup: str


def flat_picture(piece: WorkPiece) -> Picture:
    """Return the flat piece as its result shows it, without its lettering."""
    left, top, right, bottom = box_of(
        [z for shape in piece.shapes for stroke in shape.strokes for seg in stroke.segments for z in seg]
    )
    times = max(1.0, (right - left) / PAPER)
    numbers = []
    for line in piece.drawn.lines:
        if line.role == "fold-line" and line.pleat:
            above, below = line.ends
            way = (below - above) / abs(below - above)
            numbers.append((str(line.pleat), above - way * _SIZE * times * 0.8))
    words = _numbered(numbers, times)
    box = _around(
        [complex(left, top), complex(right, bottom), *[z for item in words for z in corners(item)]], 2 * times
    )
    markup = "".join([_shape(shape, times) for shape in piece.shapes]) + "".join([item_markup(one) for one in words])
    where = "" if piece.is_companion else "numbers stand at the fold lines."
    return Picture(
        f"{piece.name}, flat",
        f"The flat piece with {piece.pleats_in_words}" + (f"; {where}" if where else "."),
        f"Flat, right side up, as it is cut. {where.capitalize()}".rstrip(),
        box,
        (box[2] - box[0]) / times,
        markup,
    )


def folded_pictures(piece: WorkPiece) -> list[Picture]:
    """Return the piece with every pleat folded, seen on its right side: a fitted one in two parts, above and
    below the level at which its lines bend."""
    views = views_of(piece.proof, True)
    level = piece.shaped_at
    zones = [f", above the {level}", f", below the {level}"] if level else [""]
    return [_folded_picture(piece, view, zone) for view, zone in zip(views, zones, strict=True)]


def _folded_picture(piece: WorkPiece, view: View, zone: str) -> Picture:
    left, _, right, _ = view.box
    times = max(1.0, (right - left) / PAPER)
    items = _legible(view, times) if times > LEGIBLE else _whole(view)
    box = _around([z for item in items for z in corners(item)], 2 * times)
    most = f"at most {view.thick.layers} layers lie on one another"
    return Picture(
        f"{piece.name}, folded{zone}",
        f"The piece with every {'tuck' if piece.tucks_only else 'pleat'} folded{zone}, right side up; {most}.",
        f"Folded{zone}, right side up; {most}. Broken lines lie under other cloth.",
        box,
        (box[2] - box[0]) / times,
        "".join([item_markup(item, times if times > LEGIBLE else 1.0) for item in items]),
    )


def _whole(view: View) -> list[Item]:
    return [item for layer in view.layers if layer.name != "shadows" for item in layer.items]


def _legible(view: View, times: float) -> list[Item]:
    names = [
        (item.words.split()[-1], item.at)
        for layer in view.layers
        if layer.name == "fold-names"
        for item in layer.items
        if isinstance(item, Text) and item.words.startswith("FOLD")
    ]
    lines = [
        item
        for layer in view.layers
        if layer.name not in (*_CUT_VIEW, "shadows", "fold-names")
        for item in layer.items
        if not isinstance(item, Text)
    ]
    return [*lines, *_numbered(names, times)]


def _numbered(names: Iterable[tuple[str, complex]], times: float) -> list[Text]:
    # One number after another, but those that would lie on one that stands already.
    size = _SIZE * times
    placed: list[Text] = []
    for words, at in names:
        apart = [(width_of(words, size) + width_of(one.words, size)) / 2 + size * 0.2 for one in placed]
        if all(
            abs((at - one.at).real) >= far or abs((at - one.at).imag) >= size
            for one, far in zip(placed, apart, strict=True)
        ):
            placed.append(Text(words, at, size=size, look="fold-words"))
    return placed


def panels_of(piece: WorkPiece) -> tuple[Steps, list[Picture]]:
    """Return the folding of a piece, and each of its panels as a picture of its own."""
    steps = steps_of(piece.proof)
    pictures = []
    for k, panel in enumerate(steps.panels, 1):
        box = _around([z for item in panel.drawn for z in corners(item)], 1.0)
        by = -complex(box[0], box[1])
        pictures.append(
            Picture(
                f"{piece.name}, folding, picture {k}",
                f"How the cloth lies before move {k} of {len(steps.panels)}; the words below say what is done.",
                panel.words,
                (0.0, 0.0, box[2] - box[0], box[3] - box[1]),
                (box[2] - box[0]) * _PANELS,
                "".join([item_markup(shifted(item, by)) for item in panel.drawn]),
            )
        )
    return steps, pictures


def _around(points: Sequence[complex], more: float) -> Box:
    left, top, right, bottom = box_of(points)
    return left - more, top - more, right + more, bottom + more


def _shape(shape: ShownShape, times: float) -> str:
    look = shape.look
    rows = []
    for stroke in shape.strokes:
        row = [f"M{_point(stroke.segments[0][0])}"]
        row += [("L" if len(seg) == 2 else "C") + " ".join([_point(z) for z in seg[1:]]) for seg in stroke.segments]
        rows.append("".join(row) + ("Z" if stroke.closed else ""))
    more = {"fill": _colour(look.fill)}
    if look.fill is not None and look.fill_opacity != 1:
        more["fill_opacity"] = f"{look.fill_opacity:.4g}"
    if look.fill is not None and look.even_odd:
        more["fill_rule"] = "evenodd"
    if look.stroke is not None:
        more |= {"stroke": _colour(look.stroke), "stroke_width": f"{look.width * times:.4g}"}
        if look.dashes:
            more["stroke_dasharray"] = " ".join([f"{dash * times:.4g}" for dash in look.dashes])
        if look.stroke_opacity != 1:
            more["stroke_opacity"] = f"{look.stroke_opacity:.4g}"
    elif look.fill is None:
        return ""
    return f'<path d="{escaped("".join(rows))}"{attributes(**more)} />\n'


def _colour(colour: Colour | None) -> str:
    return "none" if colour is None else "#" + "".join([f"{round(255 * share):02x}" for share in colour])


def _point(z: complex) -> str:
    return f"{z.real:.2f},{z.imag:.2f}"
