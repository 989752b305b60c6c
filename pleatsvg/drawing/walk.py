"""Walking a drawing's tree: what is seen of it, where, in which style, and under which name.

Groups, links, symbols and their uses, nested drawings with viewports of their own, and switches are followed here; what
comes out are the shapes and texts that are drawn, each with the transform to millimetres on the page.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from lxml import etree

from pleatsvg.drawing.affine import Affine, parse_transform
from pleatsvg.drawing.css_transform import Box, css_transform
from pleatsvg.drawing.names import SVG, given_name, part_of_class, says_something
from pleatsvg.drawing.page import length_in_units, view_box_of, viewport_fit
from pleatsvg.drawing.style import SEPARATE_TRANSFORMS, StyleSheets, is_hidden, is_invisible
from pleatsvg.errors import DrawingError
from pleatsvg.parts import part_of_name

MOST_USED = 50_000
"""Elements that `use` may bring in, all together: a wardrobe of symbols, and no bomb."""

DEEPEST_USE = 12
"""How deep uses may stand in one another."""

XLINK_HREF = "{http://www.w3.org/1999/xlink}href"


def _tags(names: str) -> frozenset[str]:
    return frozenset(f"{{{SVG}}}{name}" for name in names.split())


SHAPES = _tags("path line polyline polygon rect circle ellipse")
_GROUPS = _tags("g a")
_UNSEEN = _tags(
    "defs symbol clipPath mask marker pattern linearGradient radialGradient filter style script metadata title desc view "
    "animate animateMotion animateTransform set font cursor solidcolor meshgradient hatch"
)
_LEFT_OUT = {f"{{{SVG}}}{name}": name for name in ("image", "foreignObject", "video", "audio", "iframe", "canvas")}
_OWN_FURNITURE = frozenset({"heading", "key", "finished"})
"""Layers of our own results that are not the piece: read as a drawing, a result is its piece and nothing else."""

_TEXT, _USE, _SVG, _SWITCH, _SYMBOL = (f"{{{SVG}}}{name}" for name in ("text", "use", "svg", "switch", "symbol"))


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What an element has from those around it.

    Attributes:
        matrix: from its user units to mm on the page.
        style: resolved.
        part, family: the part that the nearest name gives, and that name.
        group: the nearest name that a person gave to a group without a part.
        width, height: of the nearest viewport in user units.
    """

    matrix: Affine
    style: Mapping[str, str]
    part: str | None
    family: str
    group: str
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Leaf:
    """A shape or a text that is drawn; `here` is what it has from itself and those around it, `around` without it."""

    element: etree._Element
    name: str
    here: Surroundings
    around: Surroundings


class Walk:
    """One walk over a drawing."""

    def __init__(
        self, root: etree._Element, extent: Callable[[etree._Element, str], Box | None], hidden_too: bool = False
    ) -> None:
        """Prepare a walk.

        Args:
            root: the outermost svg element.
            extent: gives a shape's box in its own user units, for transforms that ask for it.
            hidden_too: follow hidden layers as well; those of a result hold what it was to become.
        """
        self._root = root
        self._hidden_too = hidden_too
        self.sheets = StyleSheets(root)
        self._extent = extent
        self._by_id: dict[str, etree._Element] | None = None
        self._used = 0
        self.leaves: list[Leaf] = []
        self.left_out: list[str] = []

    def run(self, matrix: Affine, width: float, height: float) -> None:
        """Walk the whole drawing; `matrix` leads from the root's user units to mm, its viewport is width x height."""
        style = self.sheets.of(self._root, {})
        around = Surroundings(matrix, {}, None, "", "", width, height)
        attribute = self._root.get("transform")
        if attribute or "transform" in style:
            matrix = matrix @ self._transform(self._root, attribute, style, around)
        try:
            self._children(self._root, replace(around, matrix=matrix, style=style), ())
        except RecursionError:
            raise DrawingError(
                "The drawing",
                "has groups and copies that stand too deep in one another",
                f"groups may stand 256 deep, and copies {DEEPEST_USE} deep in one another",
                "Unlink the copies in the vector editor and save again.",
            ) from None

    def _children(self, parent: etree._Element, around: Surroundings, uses: tuple[etree._Element, ...]) -> None:
        for element in parent:
            self._element(element, around, uses)

    def _element(self, element: etree._Element, around: Surroundings, uses: tuple[etree._Element, ...]) -> None:
        tag = element.tag
        if not isinstance(tag, str) or tag in _UNSEEN:
            return
        shape = tag in SHAPES
        if not shape and tag not in _GROUPS and tag not in (_TEXT, _USE, _SVG, _SWITCH):
            if tag in _LEFT_OUT:
                self.left_out.append(f"{_LEFT_OUT[tag]} '{said_of(element)}'")
            return
        if uses:
            self._used += 1 + len(element.get("d", "")) // 200
            if self._used > MOST_USED:
                raise DrawingError(
                    f"'{said_of(uses[0])}'",
                    f"brings in more than {MOST_USED} elements through 'use'",
                    f"up to {MOST_USED} are followed",
                    "Unlink the copies in the vector editor and save again.",
                )
        if element.get("class") in _OWN_FURNITURE and not self._hidden_too:
            return
        style = self.sheets.of(element, around.style)
        if is_hidden(style) and not self._hidden_too:
            self.left_out.append(f"hidden '{said_of(element)}'")
            return
        name = given_name(element)
        here = self._entered(element, name, style, around)
        if shape or tag == _TEXT:
            if is_invisible(style) and not self._hidden_too:
                self.left_out.append(f"hidden '{said_of(element)}'")
            else:
                self.leaves.append(Leaf(element, name, here, around))
        elif tag == _USE:
            self._use(element, here, uses)
        elif tag == _SVG:
            self._viewport(element, element, here, uses)
        elif tag == _SWITCH:
            chosen = next((child for child in element if _is_chosen(child)), None)
            if chosen is not None:
                self._element(chosen, here, uses)
        else:
            self._children(element, here, uses)

    def _entered(self, element: etree._Element, name: str, style: dict[str, str], around: Surroundings) -> Surroundings:
        matrix = around.matrix
        for separate in SEPARATE_TRANSFORMS & style.keys():
            if style[separate] != "none":
                raise DrawingError(
                    f"'{said_of(element)}'",
                    f"is moved by '{separate}: {style[separate][:40]}' in its style",
                    "only the transform property is read",
                    "Apply the transform in the vector editor and save as plain SVG.",
                )
        attribute = element.get("transform")
        if attribute or "transform" in style:
            matrix = matrix @ self._transform(element, attribute, style, around)
            if matrix.is_flat:
                raise DrawingError(
                    f"'{said_of(element)}'",
                    "is squashed flat by its transform",
                    "a transform must keep an area",
                    "Undo it in the vector editor.",
                )
        own_piece = element.get("data-piece") if element.get("class") == "piece" else None
        if own_piece:  # a result of ours, read again
            return replace(around, matrix=matrix, style=style, group=own_piece)
        part = part_of_class(element) or part_of_name(name)
        if part is not None:
            return replace(around, matrix=matrix, style=style, part=part, family=name)
        if element.tag not in SHAPES and element.tag != _TEXT and says_something(name):
            return replace(around, matrix=matrix, style=style, group=name)
        return replace(around, matrix=matrix, style=style)

    def _transform(
        self, element: etree._Element, attribute: str | None, style: dict[str, str], around: Surroundings
    ) -> Affine:
        said = f"'{said_of(element)}'"
        origin = style.get("transform-origin") or element.get("transform-origin") or ""
        box = Box(0.0, 0.0, around.width, around.height)
        if (style.get("transform-box") or element.get("transform-box")) in ("fill-box", "stroke-box", "content-box"):
            found = self._extent(element, said) if element.tag in SHAPES else None
            if found is None:
                raise DrawingError(
                    said,
                    "is transformed about its own box, which is not known for groups and texts",
                    "",
                    "Apply the transform in the vector editor and save as plain SVG.",
                )
            box = found
        if "transform" in style:
            return css_transform(style["transform"], origin, box, said)
        matrix = parse_transform(attribute or "", said)
        if not origin:
            return matrix
        to = css_transform("none", "", box, said) @ _about(origin, box, said)
        return to @ matrix @ Affine(1, 0, 0, 1, -to.e, -to.f)

    def _use(self, element: etree._Element, here: Surroundings, uses: tuple[etree._Element, ...]) -> None:
        link = (element.get("href") or element.get(XLINK_HREF) or "").strip()
        if not link.startswith("#"):
            self.left_out.append(f"link '{link[:60]}' (links out of the drawing are never opened)")
            return
        target = self._target(link[1:])
        if target is None:
            self.left_out.append(f"use of '{link[:60]}', which is not there")
            return
        if target in uses or target is element or len(uses) >= DEEPEST_USE:
            how = "uses itself" if target in uses or target is element else f"stands more than {DEEPEST_USE} uses deep"
            raise DrawingError(
                f"'{said_of(element)}'", how, "a copy must end somewhere", "Unlink the copy in the vector editor."
            )
        x = length_in_units(element, "x", here.width)
        y = length_in_units(element, "y", here.height)
        moved = replace(here, matrix=here.matrix @ Affine(1, 0, 0, 1, x, y))
        chain = (*uses, target)
        if target.tag in (_SYMBOL, _SVG):
            style = self.sheets.of(target, moved.style)
            if not is_hidden(style):
                name = given_name(target)
                self._viewport(target, element, self._entered(target, name, style, moved), chain, of_use=True)
        else:
            self._element(target, moved, chain)

    def _target(self, identifier: str) -> etree._Element | None:
        if self._by_id is None:
            self._by_id = {}
            for element in self._root.iter(etree.Element):
                name = element.get("id")
                if name is not None:
                    self._by_id.setdefault(name, element)
        return self._by_id.get(identifier)

    def _viewport(
        self,
        element: etree._Element,
        sized: etree._Element,
        here: Surroundings,
        uses: tuple[etree._Element, ...],
        of_use: bool = False,
    ) -> None:
        # SVG 2, section 8.2: a new viewport for a nested drawing, or for a symbol where it is used.
        x = y = 0.0
        if not of_use or element.tag == _SVG:
            x, y = length_in_units(element, "x", here.width), length_in_units(element, "y", here.height)
        size: list[float] = []
        for name, whole in (("width", here.width), ("height", here.height)):
            stated = sized.get(name) or (element.get(name) if of_use else None)
            size.append(length_in_units(sized if sized.get(name) else element, name, whole) if stated else whole)
        if size[0] <= 0 or size[1] <= 0:
            return
        box = view_box_of(element, f"'{said_of(element)}'")
        inner = Affine(1, 0, 0, 1, x, y)
        if box is not None:
            inner = inner @ viewport_fit(element.get("preserveAspectRatio", ""), size[0], size[1], box)
            size = [box[2], box[3]]
        self._children(element, replace(here, matrix=here.matrix @ inner, width=size[0], height=size[1]), uses)


def _about(origin: str, box: Box, said: str) -> Affine:
    # The shift to an origin: what is left when nothing turns about it twice.
    turned = css_transform("rotate(180deg)", origin, box, said)
    return Affine(1, 0, 0, 1, turned.e / 2, turned.f / 2)


def _is_chosen(child: etree._Element) -> bool:
    # SVG 2, section 5.9: the first child whose conditions hold. English is taken, so that all machines agree.
    if not isinstance(child.tag, str) or child.get("requiredExtensions"):
        return False
    languages = child.get("systemLanguage")
    return languages is None or any(word.strip().lower().split("-")[0] == "en" for word in languages.split(","))


def said_of(element: etree._Element) -> str:
    """Return what to call an element in a message: its name, or its tag and line."""
    return given_name(element) or f"{etree.QName(element).localname} at line {element.sourceline}"
