"""The page of a drawing: from the root's width, height, viewBox and preserveAspectRatio to millimetres."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from lxml import etree

from pleatsvg.drawing.affine import Affine
from pleatsvg.drawing.css.cascade import ROOT_BOUNDS, ROOT_EDGES
from pleatsvg.drawing.css.lengths import UNITS_PER, NoLengthError, css_length
from pleatsvg.drawing.drawn import PageFacts
from pleatsvg.errors import DrawingError, RequestError
from pleatsvg.length import Length
from pleatsvg.wording import message, option

MM_PER_UNIT = {
    "": 25.4 / 96,
    "px": 25.4 / 96,
    "mm": 1.0,
    "cm": 10.0,
    "q": 0.25,
    "in": 25.4,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
}
"""W3C CSS Values 3, section 6.2: 1in = 2.54cm = 96px = 72pt = 6pc, 1Q = 1/40 cm."""


_LENGTH = re.compile(r"^\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*([a-zA-Z%]*)\s*$", re.ASCII)


_DECIMAL = r"([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)"


_FOUR = re.compile(r"^\s*" + r"(?:\s+|\s*,\s*)".join([_DECIMAL] * 4) + r"\s*$", re.ASCII)


_SURE = {"mm", "cm", "in", "pt", "pc", "q"}


def page_of(
    root: etree._Element, style: Mapping[str, str], unit_is: Length | None = None
) -> tuple[Affine, PageFacts, list[str]]:
    """Return the transform from the root's user units to mm on the page, what was found, and remarks.

    Args:
        root: the outermost svg element.
        style: its own; a width or height there counts before the attribute, but "auto" is the attribute's (as browsers do).
        unit_is: what one drawing unit measures, where the person knows better than the file.

    Raises:
        DrawingError: a size is negative, zero or unreadable.
    """
    width, width_unit, notes = _size(root, style, "width")
    height, height_unit, more = _size(root, style, "height")
    notes += more
    box = view_box_of(root, "The drawing")
    notes += _idle_bounds(style, {"width": width, "height": height})
    if unit_is is not None:
        if not unit_is.mm > 0:
            raise RequestError(
                option("drawing_unit"),
                f"is {unit_is}",
                "it must be more than 0",
                "Give what one unit measures, such as 1mm.",
            )
        x, y, w, h = box or (0.0, 0.0, (width or 100.0) / MM_PER_UNIT["px"], (height or 100.0) / MM_PER_UNIT["px"])
        m = unit_is.mm
        return Affine(m, 0, 0, m, -x * m, -y * m), PageFacts(w * m, h * m, m, "as you gave it"), notes
    if box is None:
        px = MM_PER_UNIT["px"]
        if width is None or height is None:
            notes.append(
                message(
                    "The drawing states neither a size nor a viewBox; one unit is taken as 1 px, 96 to the inch. Check "
                    "a known length below, and give {} if it is wrong.",
                    option("drawing_unit"),
                )
            )
        elif {width_unit, height_unit} & {"", "px"}:
            notes.append("The drawing's size is in px; they are taken as 96 to the inch. Check a known length below.")
        facts = PageFacts(width or 0.0, height or 0.0, px, "96 units to the inch (no viewBox)")
        return Affine(px, 0, 0, px, 0, 0), facts, notes
    x, y, w, h = box
    how = "width, height and viewBox"
    if width is None and height is None:
        width, height = w * MM_PER_UNIT["px"], h * MM_PER_UNIT["px"]
        how = "the viewBox alone, at 96 units to the inch"
        notes.append(
            message(
                "The drawing has a viewBox but states no size; one unit is taken as 1 px, 96 to the inch. Check a "
                "known length below, and give {} if it is wrong.",
                option("drawing_unit"),
            )
        )
    elif {width_unit, height_unit} - _SURE - {None}:
        notes.append("The drawing's size is in px; they are taken as 96 to the inch. Check a known length below.")
    if width is None:
        width = (height or 0.0) * w / h
    if height is None:
        height = width * h / w
    fit = viewport_fit(root.get("preserveAspectRatio", ""), width, height, box)
    scale = math.sqrt(abs(fit.a * fit.d))
    if abs(fit.a - fit.d) > 1e-6 * scale:
        notes.append(
            f"The page stretches the drawing unevenly ({fit.a:.4g} mm across and {fit.d:.4g} mm down to one unit), as "
            "preserveAspectRatio='none' asks."
        )
    return fit, PageFacts(width, height, scale, how), notes


def _size(root: etree._Element, style: Mapping[str, str], name: str) -> tuple[float | None, str | None, list[str]]:
    # A width or height of the drawing in mm and the unit it is written in, None where there is none, and remarks.
    notes: list[str] = []
    text = style.get(name, "auto")
    stated = root.get(name) or ""
    if text.strip() == "auto":
        text = stated
    elif text.endswith("%") and "(" not in text and stated and not stated.strip().endswith("%"):
        # A share of the window is for showing the drawing; the size that it was drawn at stands in the attribute.
        notes.append(
            f"The drawing has {name}: {text[:40]} in its style, of the window; it is read at its {name}='{stated[:40]}'."
        )
        text = stated
    if not text.strip() or text.strip() == "auto":
        return None, None, notes
    match = _LENGTH.match(text)
    unit = match[2].casefold() if match else "mm"  # em and sums are as sure as what they are made of
    if unit == "%":
        return None, None, notes
    try:
        mm = css_length(text, None, style) / UNITS_PER["mm"]
        if match is not None and unit in MM_PER_UNIT:
            mm = float(match[1]) * MM_PER_UNIT[unit]
    except NoLengthError as error:
        limit = "it must be a number with mm, cm, in, pt, pc or px"
        raise DrawingError(
            f"The drawing's {name}",
            f"is '{text[:40]}'",
            f"{error.reason}; {limit}" if error.reason else limit,
            "Set the page size in the vector editor and save again.",
        ) from None
    if mm <= 0:
        raise DrawingError(
            f"The drawing's {name}",
            f"is '{text}'",
            "it must be more than 0",
            "Set the page size in the editor and save again.",
        )
    return mm, unit, notes


def _idle_bounds(style: Mapping[str, str], size: dict[str, float | None]) -> list[str]:
    # A largest or smallest size on the root changes the scale. One that hangs on the window (100 %) is a way to show the
    # drawing on small screens; it is left out and told.
    edges = [name for name in sorted(ROOT_EDGES & style.keys()) if style[name] not in ("0", "0px", "none")]
    if edges and style.get("box-sizing") == "border-box":
        raise DrawingError(
            "The drawing's size",
            f"counts its edge in, by box-sizing: border-box and {edges[0]}: {style[edges[0]][:40]} in its style",
            "the size must be stated by width, height and viewBox",
            "Set the page size in the vector editor and save again.",
        )
    notes: list[str] = []
    for name in sorted(ROOT_BOUNDS & style.keys()):
        text = style[name]
        if text in ("none", "auto", "0"):
            continue
        try:
            mm = css_length(text, None, style) / UNITS_PER["mm"]
        except NoLengthError:
            notes.append(f"The drawing has {name}: {text[:40]} in its style; it is read at its stated size.")
            continue
        stated = size[name.partition("-")[2]]
        if stated is None or (stated > mm if name.startswith("max") else stated < mm):
            raise DrawingError(
                f"The drawing's {name}",
                f"is '{text[:40]}' in its style, and changes its size",
                "the size must be stated by width, height and viewBox",
                "Set the page size in the vector editor and save again.",
            )
    return notes


def view_box_of(element: etree._Element, said: str) -> tuple[float, float, float, float] | None:
    """Return an element's viewBox: left, top, width and height in user units; None where it has none.

    Raises:
        DrawingError: it is not four finite numbers, or its width or height is not above 0.
    """
    text = element.get("viewBox")
    if text is None or not text.strip():
        return None
    match = _FOUR.match(text)
    numbers = [float(word) for word in match.groups()] if match else []
    if len(numbers) != 4 or not all(map(math.isfinite, numbers)) or numbers[2] <= 0 or numbers[3] <= 0:
        raise DrawingError(
            f"{said}'s viewBox" if said == "The drawing" else f"The viewBox of {said}",
            f"is '{text[:60]}'",
            "it must be four numbers, of which the last two, width and height, are more than 0",
            "Set the page size in the vector editor and save again.",
        )
    return numbers[0], numbers[1], numbers[2], numbers[3]


_ALIGN = re.compile(r"^(?:x(Min|Mid|Max)Y(Min|Mid|Max)|(none))(?:\s+(meet|slice))?$")


def viewport_fit(text: str, width: float, height: float, box: tuple[float, float, float, float]) -> Affine:
    """Return the equivalent transform of a viewport (SVG 2, section 8.2).

    Args:
        text: of preserveAspectRatio; what cannot be read counts as left out, as in browsers.
        width, height: of the viewport.
        box: its viewBox.
    """
    x, y, w, h = box
    match = _ALIGN.match(text.strip())
    sx, sy = width / w, height / h
    if match and match[3]:
        return Affine(sx, 0, 0, sy, -x * sx, -y * sy)
    across, down, how = (match[1] or "Mid", match[2] or "Mid", match[4]) if match else ("Mid", "Mid", None)
    scale = max(sx, sy) if how == "slice" else min(sx, sy)
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    dx = (width - w * scale) * share[across] - x * scale
    dy = (height - h * scale) * share[down] - y * scale
    return Affine(scale, 0, 0, scale, dx, dy)
