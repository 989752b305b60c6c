"""Walking a drawing's tree: what is seen of it, where, in which style, and under which name.

Groups, links, symbols and their uses, nested drawings with viewports of their own, and switches are followed here; what
comes out are the shapes and texts that are drawn, each with the transform to millimetres on the page.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import NamedTuple

from lxml import etree

from pleatsvg.drawing.affine import Affine
from pleatsvg.drawing.css.cascade import TOLD, StyleSheets, is_hidden, is_invisible, text_within
from pleatsvg.drawing.css.conditions import unmet
from pleatsvg.drawing.css.lengths import NoLengthError, css_length
from pleatsvg.drawing.css.sizes import GEOMETRY, length_in_units
from pleatsvg.drawing.css.taken import MOVING
from pleatsvg.drawing.css.transforms import Box, stated_origin, transform_about
from pleatsvg.drawing.names import SVG, given_name, part_of_class, part_of_name, says_something, tidy
from pleatsvg.drawing.scale import view_box_of, viewport_fit
from pleatsvg.errors import DrawingError, listed

MOST_USED = 30_000
"""Elements that `use` may bring in, all together: a wardrobe of symbols, and no bomb."""


LETTERS_FOR_ONE = 200
"""Letters of an element that take as long as one more element."""


MOST_BOXES = 15_000
"""Boxes of elements looked for, all together: only transforms about an element's own box ask for them. Long ones count
for several."""


LONGEST_TRANSFORMS = 3_000_000
"""Letters of all transforms together: thirty thousand of a hundred letters each."""


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


_ACTING = _tags("animate animateMotion animateTransform set script")


_SCRIPT = f"{{{SVG}}}script"


_OWN_FURNITURE = frozenset({"heading", "key"})
"""Layers of our own results that are not the piece: read as a drawing, a result is its piece and nothing else."""


OWN_HIDDEN = frozenset({"finished", "free-edges"})
"""The hidden layers of a piece in our own results, which are read with it: what it was to become, and free edges."""


_SPACE = f"{{{SVG}}}"


_TEXT, _USE, _SVG, _SWITCH, _SYMBOL, _G = (
    f"{{{SVG}}}{name}" for name in ["text", "use", "svg", "switch", "symbol", "g"]
)


_OWN_BOXES = {"fill-box": False, "content-box": False, "stroke-box": True, "border-box": True}
"""Values of transform-box for an element's own box, and whether its stroke belongs to it (CSS Transforms 1, section 4)."""


class Surroundings(NamedTuple):
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


Extent = Callable[[etree._Element, str, Mapping[str, str], float, float], Box | None]


class Leaf(NamedTuple):
    """A shape or a text that is drawn; `here` is what it has from itself and those around it, `around` without it."""

    element: etree._Element
    name: str
    here: Surroundings
    around: Surroundings


class Walk:
    """One walk over a drawing."""

    def __init__(
        self,
        root: etree._Element,
        sheets: StyleSheets,
        extent: Extent,
        hidden_too: bool = False,
        furniture_too: bool = False,
    ) -> None:
        """Prepare a walk.

        Args:
            root: the outermost svg element.
            sheets: its style sheets.
            extent: gives a shape's box in its own user units, from its style and the size of its viewport.
            hidden_too: follow hidden layers as well; those of a result hold what it was to become.
            furniture_too: follow the heading and the key of a result as well.
        """
        self._root = root
        self._hidden_too = hidden_too
        self._furniture_too = hidden_too or furniture_too
        self.sheets = sheets
        self._extent = extent
        self._by_id: dict[str, etree._Element] | None = None
        self._used = 0
        self._boxed = 0
        self._letters = 0
        self._boxes: dict[tuple[etree._Element, bool], Box | None] | None = None
        self.leaves: list[Leaf] = []
        self.told: dict[str, dict[str, None]] = {}
        self.left_out: list[str] = list(sheets.left_out)

    def run(self, matrix: Affine, style: Mapping[str, str], width: float, height: float) -> None:
        """Walk the whole drawing; `matrix` leads from the root's user units to mm, its viewport is width x height.

        `style` is the root's own.
        """
        around = Surroundings(matrix, style, None, "", "", width, height)
        try:
            self._children(self._root, around, ())
        except RecursionError:
            raise DrawingError(
                "The drawing",
                "has groups and copies that stand too deep in one another",
                f"groups may stand 256 deep, and copies {DEEPEST_USE} deep in one another",
                "Unlink the copies in the vector editor and save again.",
            ) from None

    def notes(self) -> list[str]:
        """Return remarks on what a browser does with the drawing and the program does not."""
        for element in self._root.iter(*_ACTING):
            what = "changed by a script" if element.tag == _SCRIPT else "moved by an animation"
            self.told.setdefault(what, {})[f"'{said_of(element)}'"] = None
        return [
            f"In a browser {listed(list(names), 3)} {'is' if len(names) == 1 else 'are'} {what}; the drawing is read "
            "without that."
            for what, names in self.told.items()
        ]

    def _children(self, parent: etree._Element, around: Surroundings, uses: tuple[etree._Element, ...]) -> None:
        for element in parent:
            self._element(element, around, uses)

    def _element(self, element: etree._Element, around: Surroundings, uses: tuple[etree._Element, ...]) -> None:
        tag = element.tag
        if uses:
            self._count(element, uses)
        if not isinstance(tag, str) or tag in _UNSEEN:
            return
        shape = tag in SHAPES
        if not shape and tag not in _GROUPS and tag not in (_TEXT, _USE, _SVG, _SWITCH):
            if tag in _LEFT_OUT:
                self.left_out.append(f"{_LEFT_OUT[tag]} '{said_of(element)}'")
            return
        if element.get("class") in _OWN_FURNITURE and not self._furniture_too:
            return
        condition = unmet(element)
        if condition:
            self.left_out.append(f"'{said_of(element)}' ({condition})")
            return
        style = self.sheets.of(element, around.style)
        if element.get("class") in OWN_HIDDEN and _in_own_piece(element):
            style.pop("display", None)
        if is_hidden(style) and not self._hidden_too:
            self.left_out.append(f"hidden '{said_of(element)}'")
            return
        name = given_name(element)
        if style.get("display") == "contents":
            self._unboxed(element, name, style, around, uses)
            return
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
            chosen = next((child for child in element if _is_svg(child) and not unmet(child)), None)
            if chosen is not None:
                self._element(chosen, here, uses)
        else:
            self._children(element, here, uses)

    def _count(self, element: etree._Element, uses: tuple[etree._Element, ...]) -> None:
        # Whatever is looked at once more for a copy counts, hidden or not, and large elements by their size: a switch of
        # thousands, a path of a million letters.
        if isinstance(element.tag, str):
            letters = sum([len(value) for value in element.values()])
            looks = len(element) // 8 + self.sheets.rows_of(element) // 8
            if element.tag == _TEXT:
                looks = sum(1 for _ in element.iter())
                letters += len(text_within(element))
            self._used += looks + letters // LETTERS_FOR_ONE
        self._used += 1
        if self._used > MOST_USED:
            raise DrawingError(
                f"'{said_of(uses[0])}'",
                f"brings in more than {MOST_USED} elements through 'use'",
                f"up to {MOST_USED} are followed, and long ones count for several",
                "Unlink the copies in the vector editor and save again.",
            )

    def _unboxed(
        self,
        element: etree._Element,
        name: str,
        style: dict[str, str],
        around: Surroundings,
        uses: tuple[etree._Element, ...],
    ) -> None:
        # CSS Display 3, appendix B: a group without a box of its own has no transform either; a shape is not drawn.
        if element.tag in SHAPES or element.tag == _TEXT:
            self.left_out.append(f"hidden '{said_of(element)}'")
            return
        if element.tag != _G:
            raise DrawingError(
                f"'{said_of(element)}'",
                "has display: contents in its style",
                "that is read for groups; browsers do not agree on the rest",
                "Take it away, or save the drawing again.",
            )
        here = self._entered(element, name, style, around)
        self._children(element, here._replace(matrix=around.matrix), uses)

    def _entered(self, element: etree._Element, name: str, style: dict[str, str], around: Surroundings) -> Surroundings:
        matrix = around.matrix
        if not style.keys().isdisjoint(TOLD):
            self._tell(element, style)
        attribute = element.get("transform")
        if attribute or not style.keys().isdisjoint(MOVING):
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
            return around._replace(matrix=matrix, style=style, group=tidy(own_piece))
        part, family, group = around.part, around.family, around.group
        own_part = part_of_class(element) or part_of_name(name)
        if own_part is not None:
            part, family = own_part, name
        elif element.tag not in SHAPES and element.tag != _TEXT and says_something(name):
            group = name
        return Surroundings(matrix, style, part, family, group, around.width, around.height)

    def _tell(self, element: etree._Element, style: Mapping[str, str]) -> None:
        # Once for each: a layer may be clipped, and all that is in it.
        for name in sorted(TOLD & style.keys()):
            if style[name] != "none":
                said = f"'{said_of(element)}'"
                moves = name.startswith("animation")
                self.told.setdefault("moved by an animation" if moves else "clipped or masked", {})[said] = None

    def _transform(
        self, element: etree._Element, attribute: str | None, style: dict[str, str], around: Surroundings
    ) -> Affine:
        said = f"'{said_of(element)}'"
        self._letters += len(attribute or "")
        if self._letters > LONGEST_TRANSFORMS:
            raise DrawingError(
                said,
                f"is the last of transforms that take more than {LONGEST_TRANSFORMS} letters",
                f"up to {LONGEST_TRANSFORMS} are read, all together",
                "Apply the transforms in the vector editor and save again.",
            )
        origin = stated_origin(style, element.get("transform-origin"))
        box = Box(0.0, 0.0, around.width, around.height)
        kind = style.get("transform-box", "view-box")
        if kind in _OWN_BOXES:
            outermost, self._boxes = self._boxes is None, self._boxes if self._boxes is not None else {}
            box = self._own_box(element, style, around.width, around.height, _OWN_BOXES[kind]) or Box(0, 0, 0, 0)
            if outermost:
                self._boxes = None
        return transform_about(attribute, style, origin, box, said)

    def _own_box(
        self, element: etree._Element, style: dict[str, str], width: float, height: float, stroked: bool
    ) -> Box | None:
        # Boxes of boxes ask for each other again and again, so each is found once, as long as the styles around hold.
        assert self._boxes is not None
        if (element, stroked) not in self._boxes:
            self._boxed += 1 + sum([len(value) for value in element.values()]) // LETTERS_FOR_ONE
            if self._boxed > MOST_BOXES:
                raise DrawingError(
                    f"'{said_of(element)}'",
                    "is transformed about its own box, and lies in groups upon groups that are",
                    f"{MOST_BOXES} boxes are found for one drawing",
                    "Apply the transforms in the vector editor and save again.",
                )
            self._boxes[element, stroked] = self._found_box(element, style, width, height, stroked)
        return self._boxes[element, stroked]

    def _found_box(
        self, element: etree._Element, style: dict[str, str], width: float, height: float, stroked: bool
    ) -> Box | None:
        # The box of an element in its own user units, as browsers take it: a group's lies round the boxes of what is in it,
        # each turned with its element. What is not visible counts, what is not displayed does not.
        said = f"'{said_of(element)}'"
        if element.tag in SHAPES:
            box = self._extent(element, said, style, width, height)
            return self._with_stroke(element, style, box, width, height) if stroked and box else box
        if element.tag not in _GROUPS or style.get("display") == "contents":
            raise DrawingError(
                said,
                "is transformed about its own box, or lies in a group that is",
                "the box of texts, copies and drawings within is not known",
                "Apply the transform in the vector editor and save again.",
            )
        corners: list[complex] = []
        for child in element:
            if not isinstance(child.tag, str) or child.tag in _UNSEEN or child.tag in _LEFT_OUT or unmet(child):
                continue
            inner = self.sheets.of(child, style)
            if is_hidden(inner):
                continue
            found = self._own_box(child, inner, width, height, stroked)
            if found is not None:
                place = Surroundings(Affine(1, 0, 0, 1, 0, 0), style, None, "", "", width, height)
                moved = self._entered(child, "", inner, place).matrix
                x, y, w, h = found
                corners += [moved.of(complex(x + i * w, y + j * h)) for i in (0, 1) for j in (0, 1)]
        if not corners:
            return None
        left, top = min(z.real for z in corners), min(z.imag for z in corners)
        return Box(left, top, max(z.real for z in corners) - left, max(z.imag for z in corners) - top)

    def _with_stroke(
        self, element: etree._Element, style: dict[str, str], box: Box, width: float, height: float
    ) -> Box:
        if style.get("stroke", "none") == "none":
            return box
        kind = etree.QName(element).localname
        try:
            half = css_length(style.get("stroke-width", "1"), math.hypot(width, height) / math.sqrt(2), style) / 2
        except NoLengthError:
            half = -1.0
        if half < 0 or kind not in ("rect", "circle", "ellipse") or "stroke-dasharray" in style:
            raise DrawingError(
                f"'{said_of(element)}'",
                "is transformed about the box round its stroke, or lies in a group that is",
                "that box is known for rectangles, circles and ellipses with whole strokes",
                "Apply the transform in the vector editor and save again.",
            )
        return Box(box.x - half, box.y - half, box.width + 2 * half, box.height + 2 * half)

    def _use(self, element: etree._Element, here: Surroundings, uses: tuple[etree._Element, ...]) -> None:
        link = tidy(element.get("href") or element.get(XLINK_HREF) or "")
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
        x = length_in_units(element, "x", here.width, here.style)
        y = length_in_units(element, "y", here.height, here.style)
        moved = here._replace(matrix=here.matrix @ Affine(1, 0, 0, 1, x, y))
        chain = (*uses, target)
        if target.tag in (_SYMBOL, _SVG):
            self._count(target, chain)
            condition = unmet(target)
            if condition:
                self.left_out.append(f"'{said_of(target)}' ({condition})")
                return
            self._refuse_sized_use(element, here)
            style = self.sheets.of(target, moved.style)
            if not is_hidden(style):
                name = given_name(target)
                self._viewport(target, element, self._entered(target, name, style, moved), chain, of_use=True)
        else:
            self._element(target, moved, chain)

    def _refuse_sized_use(self, element: etree._Element, here: Surroundings) -> None:
        style = {name: value for name, value in here.style.items() if name not in GEOMETRY}
        sizes = (("width", here.width), ("height", here.height))
        used = {n: length_in_units(element, n, whole, style) if element.get(n) else whole for n, whole in sizes}
        self._refuse_styled(element, here, used)

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
        style = {name: value for name, value in here.style.items() if name not in GEOMETRY}
        if not of_use or element.tag == _SVG:
            x, y = length_in_units(element, "x", here.width, style), length_in_units(element, "y", here.height, style)
        size: list[float] = []
        for name, whole in (("width", here.width), ("height", here.height)):
            stated = sized.get(name) or (element.get(name) if of_use else None)
            size.append(length_in_units(sized if sized.get(name) else element, name, whole, style) if stated else whole)
        self._refuse_styled(element, here, {"x": x, "y": y, "width": size[0], "height": size[1]})
        if size[0] <= 0 or size[1] <= 0:
            return
        box = view_box_of(element, f"'{said_of(element)}'")
        inner = Affine(1, 0, 0, 1, x, y)
        if box is not None:
            inner = inner @ viewport_fit(element.get("preserveAspectRatio", ""), size[0], size[1], box)
            size = [box[2], box[3]]
        self._children(element, here._replace(matrix=here.matrix @ inner, width=size[0], height=size[1]), uses)

    def _refuse_styled(self, element: etree._Element, here: Surroundings, used: dict[str, float]) -> None:
        # SVG 2 lets a style place and size a viewport; browsers go by the attributes alone. Where both come to the same,
        # as in width: 100 %, there is nothing to choose.
        for name in sorted(used.keys() & here.style.keys()):
            if here.style[name] == "auto":
                continue
            whole = here.width if name in ("x", "width") else here.height
            wanted = length_in_units(element, name, whole, here.style)
            if abs(wanted - used[name]) > 1e-9 * max(1.0, whole):
                raise DrawingError(
                    f"'{said_of(element)}'",
                    f"has '{name}: {here.style[name][:40]}' in its style, against {_plain_number(used[name])} by its "
                    "attributes",
                    "browsers do not agree which of them sizes a drawing within a drawing",
                    f"State its {name} as an attribute alone.",
                )


def _in_own_piece(element: etree._Element) -> bool:
    parent = element.getparent()
    return parent is not None and parent.get("class") == "piece" and parent.get("data-piece") is not None


def _is_svg(child: etree._Element) -> bool:
    return isinstance(child.tag, str) and child.tag.startswith(_SPACE)


def said_of(element: etree._Element) -> str:
    """Return what to call an element in a message: its name, or its tag and line."""
    return given_name(element) or f"{etree.QName(element).localname} at line {element.sourceline}"


def _plain_number(value: float) -> str:
    # As a person would write it, without powers of ten.
    return f"{value:.4f}".rstrip("0").rstrip(".") if abs(value) < 1e9 else "more than 1000000000"
