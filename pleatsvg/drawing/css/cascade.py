"""Style: what an element looks like, from its attributes, its inline style and the drawing's own style sheets.

Only what matters for a pattern is looked at: whether a thing is shown, its line work, its lettering, its transform. The
cascade is that of CSS: attributes, then rules by specificity and order, then inline style, with `!important` above
all. Style sheets outside the file are never opened.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import cast

from lxml import etree

from pleatsvg.drawing.css.lengths import ROOT_SIZE, NoLengthError, css_length, font_size
from pleatsvg.drawing.css.matching import Matcher
from pleatsvg.drawing.css.rules import (
    Declared,
    Rule,
    declared,
    media_holds,
    sheet_of,
    words_of,
)
from pleatsvg.drawing.css.sizes import GEOMETRY, initial
from pleatsvg.drawing.css.taken import CHECKED, MOVING, TRANSFORMS, WIDE, is_taken, plain_case
from pleatsvg.drawing.css.variables import substituted
from pleatsvg.drawing.names import SVG, given_name
from pleatsvg.errors import DrawingError

INHERITED = frozenset(
    {
        "visibility",
        "color",
        "fill",
        "fill-opacity",
        "fill-rule",
        "stroke",
        "stroke-width",
        "stroke-dasharray",
        "stroke-dashoffset",
        "stroke-linecap",
        "stroke-linejoin",
        "stroke-miterlimit",
        "stroke-opacity",
        "font-family",
        "font-size",
        "font-style",
        "font-weight",
        "font-variant",
        "letter-spacing",
        "word-spacing",
        "text-anchor",
        ROOT_SIZE,
    }
)


ROOT_BOUNDS = frozenset({"min-width", "max-width", "min-height", "max-height"})


ROOT_EDGES = frozenset(
    [f"{edge}{side}" for edge in ("padding", "border") for side in ("", "-top", "-right", "-bottom", "-left")]
    + ["border-width", "padding-inline", "padding-block"]
)


ROOT_ONLY = ROOT_BOUNDS | ROOT_EDGES | {"box-sizing"}
"""What changes the size of the outermost svg, a box on a page of CSS, and of nothing in it."""


OWN = frozenset({"display", "opacity"}) | TRANSFORMS


TOLD = frozenset({"animation", "animation-name", "clip-path", "mask"})
"""Nothing is done about these; the walk says so."""


_REFUSED = frozenset({"offset", "offset-path", "zoom", "all"})


_HARMLESS = frozenset({"none", "normal", "1", "100%", "auto"})


_KNOWN = INHERITED | OWN | GEOMETRY | _REFUSED | ROOT_ONLY | TOLD | {"font"}


_TELLING = (OWN - {"opacity"}) | GEOMETRY | _REFUSED | ROOT_ONLY | {"visibility", "font-size", "font"}
"""What moves, sizes, shows or hides; the rest are looks."""


_ATTRIBUTES = (INHERITED - {ROOT_SIZE}) | {"display", "opacity", "clip-path", "mask"}


LONGEST_SHEET = 200_000
"""Letters of all style sheets together: editors write some hundreds, seldom some thousands."""


LONGEST_STYLE = 20_000
"""Letters of one inline style that are read; more is no line work."""


MOST_LETTERS = 10_000_000
"""Letters of all inline styles that are not alike."""


LETTERS_OF_INTRICATE = 10
"""Letters that take as long as one that must be parsed by the whole grammar of CSS."""


MOST_RULES = 2_000


MOST_LOOKUPS = 50_000
"""Variables looked up for all elements together."""


MOST_VARIABLES = 2_000
"""Variables that one element may have from those around it."""


MOST_HANDED_DOWN = 1_000_000
"""Variables handed down from element to element, all together: five hundred of them to two thousand elements."""


MOST_STATED = 500_000
"""Values that rules state for all elements together."""


Style = Mapping[str, str]


_Row = tuple[bool, tuple[float, ...], tuple[int, int, int], int, str, str]
"""Whether it is important, its layer, specificity, order, name and value."""


_RELATIVE = re.compile(r"^[-+.\d]+(?:e[-+]?\d+)?(?:em|rem|%)$|[a-z]{4}|\(", re.IGNORECASE | re.ASCII)


_NAMED_SIZES = {
    "xx-small": 9.0,
    "x-small": 10.0,
    "small": 13.0,
    "medium": 16.0,
    "large": 18.0,
    "x-large": 24.0,
    "xx-large": 32.0,
    "xxx-large": 48.0,
}
"""px, as browsers have them (CSS Fonts 4, section 2.5, with a medium of 16)."""


_PAGE_ALONE = re.compile(r"\s*@page\s*\{[^{}@/\\\"']*\}\s*")
"""A style sheet that says how large paper is and nothing else, as every result of ours has: no element hangs on it."""


class StyleSheets:
    """The rules of a drawing's own style sheets, matched to its elements.

    Attributes:
        left_out: style sheets outside the drawing that it asks for.
    """

    def __init__(self, root: etree._Element) -> None:
        self._root = root
        self._rules: dict[etree._Element, list[_Row]] = {}
        self._doubts: dict[etree._Element, tuple[str, str]] = {}
        self._lookups = [MOST_LOOKUPS]
        self._handed_down = 0
        self._styles: set[str] = set()
        self._letters = 0
        self._around: Style = {}
        self._passed_on: dict[str, str] = {}
        self.left_out: list[str] = []
        texts: list[tuple[str, str]] = []
        for element in root.iter(f"{{{SVG}}}style"):
            media = element.get("media") or ""
            holds = media_holds(media)
            if (element.get("type") or "text/css").strip().lower() == "text/css" and holds is not False:
                texts.append((text_within(element), "" if holds else f"media='{media[:60]}'"))
        total = sum(len(text) for text, _ in texts)
        if total > LONGEST_SHEET:
            raise DrawingError(
                "The drawing's style sheet",
                f"is {total} letters long",
                f"up to {LONGEST_SHEET} are read",
                "Save the piece alone.",
            )
        for before in root.itersiblings(etree.ProcessingInstruction, preceding=True):
            if cast("etree._ProcessingInstruction", before).target == "xml-stylesheet":
                self.left_out.append(f"style sheet '{(before.text or '')[:60]}' ({_NEVER})")
        for link in root.iter(f"{{{XHTML}}}link"):
            self.left_out.append(f"style sheet '{(link.get('href') or '')[:60]}' ({_NEVER})")
        if any(text.strip() and not _PAGE_ALONE.fullmatch(text) for text, _ in texts):
            self._match(root, texts)

    def _match(self, root: etree._Element, texts: list[tuple[str, str]]) -> None:
        matcher = Matcher(root)
        order = stated = 0
        for rule in self._all_rules(texts):
            order += 1
            if order > MOST_RULES:
                raise DrawingError(
                    "The drawing's style sheet",
                    f"has more than {order - 1} rules for {len(matcher.elements)} elements",
                    f"up to {MOST_RULES} rules are read",
                    "Save the piece alone.",
                )
            declared = _taken(rule.declared, bare=False)
            if not declared:
                continue
            telling = next((name for _, name, _ in declared if name in _TELLING or name.startswith("--")), None)
            for group in rule.selectors:
                found, doubt = matcher.found(group, telling is not None)
                doubt = rule.doubt or doubt
                if doubt:
                    for _, number in found if telling else ():
                        self._doubts.setdefault(matcher.elements[number], (telling or "", doubt))
                    continue
                strongest = max([specificity for specificity, _ in found], default=(0, 0, 0))
                stated += len(found) * len(declared)
                if stated > MOST_STATED:
                    raise DrawingError(
                        "The drawing's style sheet",
                        f"states more than {MOST_STATED} values for its {len(matcher.elements)} elements",
                        f"up to {MOST_STATED} are read",
                        _PLAIN_REMEDY,
                    )
                for _, number in found:
                    rows = self._rules.setdefault(matcher.elements[number], [])
                    rows += [(imp, rule.layer, strongest, order, name, value) for imp, name, value in declared]

    def _all_rules(self, texts: list[tuple[str, str]]) -> Iterator[Rule]:
        # Sheets without a doubt of their own are one: layers go on from each to the next.
        parts = [("\n".join(text for text, doubt in texts if not doubt), "")]
        parts += [(text, doubt) for text, doubt in texts if doubt]
        for text, doubt in parts:
            sheet = sheet_of(text, doubt)
            self.left_out += words_of(sheet)
            if sheet.strange:
                raise DrawingError(
                    "The drawing's style sheet",
                    f"has {sheet.strange[0][:80]}",
                    "it is not read, and might change sizes",
                    _PLAIN_REMEDY,
                )
            yield from sheet.rules

    def of(self, element: etree._Element, around: Style) -> dict[str, str]:
        """Return an element's style: lengths of fonts in px, custom properties filled in.

        Args:
            element: any element of the drawing.
            around: the style of the element around it.

        Raises:
            DrawingError: it hangs on something that is not read, and might move, size or hide the element.
        """
        if around is not self._around:  # mostly they come child by child
            self._around = around
            self._passed_on = {name: value for name, value in around.items() if name in INHERITED or name[:2] == "--"}
            self._count_handed_down()
        own: dict[str, str] = {}
        for name, value in element.items():
            if name in _ATTRIBUTES and len(value) <= LONGEST_STYLE:
                stated = plain_case(str(name), str(value).strip())
                if name not in CHECKED or is_taken(str(name), stated):
                    own[str(name)] = stated
        urgent: dict[str, str] = {}
        rows = self._rules.get(element)
        if rows:
            for important, _, _, _, name, value in sorted(rows, key=lambda row: row[1:4]):
                if not important:
                    own[name] = value
            for important, _, _, _, name, value in sorted(rows, key=_urgency):
                if important:
                    urgent[name] = value
        text = element.get("style")
        if text:
            self._count_letters(element, text)
            for important, name, value in _inline(text):
                (urgent if important else own)[name] = value
        own |= urgent
        if self._doubts and element in self._doubts:
            self._refuse_doubt(element)
        if not own:
            return self._passed_on  # one for all: nobody changes a style that he was given
        style = self._passed_on.copy()
        self._count_handed_down()
        if "var(" in " ".join(own.values()):
            own = _filled_in(own, style, self._lookups)
            if self._lookups[0] < 0:
                raise DrawingError(
                    "The drawing's style sheet",
                    f"looks up more than {MOST_LOOKUPS} variables",
                    "a drawing's colours and sizes take some hundreds",
                    _PLAIN_REMEDY,
                )
        for name, value in own.items():
            if value in WIDE:
                self._by_keyword(element, name, value, style, around)
            else:
                style[name] = value
        if "font-size" in own or "font" in own:
            self._size_fonts(element, style, around, own)
        if not _REFUSED.isdisjoint(own):
            _refuse(element, style)
        return style

    def _count_letters(self, element: etree._Element, text: str) -> None:
        if len(text) > LONGEST_STYLE:
            raise DrawingError(
                _said(element), f"has a style of {len(text)} letters", f"up to {LONGEST_STYLE} are read", _PLAIN_REMEDY
            )
        if text not in self._styles:
            self._styles.add(text)
            self._letters += len(text) * (1 if _is_plain_inline(text) else LETTERS_OF_INTRICATE)
            if self._letters > MOST_LETTERS:
                raise DrawingError(
                    _said(element),
                    f"is the last of {len(self._styles)} different styles, too much to read in all",
                    f"up to {MOST_LETTERS // 10**6} million letters are read, and those with quotes count for "
                    f"{LETTERS_OF_INTRICATE}",
                    _PLAIN_REMEDY,
                )

    def rows_of(self, element: etree._Element) -> int:
        """Return how many values the style sheets state for an element."""
        return len(self._rules.get(element, ()))

    def _count_handed_down(self) -> None:
        # All but the properties that are inherited anyway are variables, which every style has a copy of.
        variables = max(0, len(self._passed_on) - len(INHERITED))
        self._handed_down += variables
        if self._handed_down > MOST_HANDED_DOWN or variables > MOST_VARIABLES:
            raise DrawingError(
                "The drawing's style sheet",
                f"hands down {variables} variables to its elements",
                f"up to {MOST_VARIABLES} are read, and {MOST_HANDED_DOWN} for all elements together",
                _PLAIN_REMEDY,
            )

    def _refuse_doubt(self, element: etree._Element) -> None:
        name, doubt = self._doubts[element]
        raise DrawingError(
            _said(element),
            f"is given '{name}' by a style rule that hangs on {doubt}",
            "that is not read, and might move, size or hide it",
            _PLAIN_REMEDY,
        )

    def _by_keyword(self, element: etree._Element, name: str, value: str, style: dict[str, str], around: Style) -> None:
        inherits = name in INHERITED or name[:2] == "--"
        if (
            name == "all"
            or (value == "inherit" and name in GEOMETRY)
            or (value.startswith("revert") and name in _TELLING)
        ):
            raise DrawingError(
                _said(element),
                f"has {name}: {value} in its style",
                "places, sizes and transforms must be stated where they are meant",
                _PLAIN_REMEDY,
            )
        if value == "inherit" or (inherits and value != "initial"):
            if name in around:
                style[name] = around[name]
        elif name in GEOMETRY:
            style[name] = initial(name)
        else:
            style.pop(name, None)
            if name in _INITIAL_TRANSFORMS:
                style[name] = _INITIAL_TRANSFORMS[name]

    def _size_fonts(self, element: etree._Element, style: dict[str, str], around: Style, own: Style) -> None:
        # Font sizes are inherited as lengths, not as the words that stated them: 2em of 2em is 4em.
        stated = style.get("font-size") if "font-size" in own else None
        if "font" in own and own.get("font") not in WIDE:
            stated = stated or _size_in_font(own["font"])
        if stated is None:
            return
        low = stated.lower()
        if low in _NAMED_SIZES:
            style["font-size"] = f"{_NAMED_SIZES[low]:g}px"
        elif _RELATIVE.search(stated):
            # em, % and the like are of the size around; what cannot be known stays as it is, and is refused if needed.
            known = {**around, "font-size": around["font-size"]} if "font-size" in around else around
            try:
                size = font_size(known)
                step = {"larger": 1.2, "smaller": 1 / 1.2}.get(low)
                px = size * step if step else css_length(stated, size, known)
                style["font-size"] = f"{px!r}px"
            except NoLengthError:
                style["font-size"] = stated
        else:
            style["font-size"] = stated
        if element is self._root:
            style[ROOT_SIZE] = style["font-size"]


_INITIAL_TRANSFORMS = dict.fromkeys(MOVING, "none") | {"transform-origin": "50% 50%"}
"""For elements of SVG browsers state the origin 0 0 in a style sheet of their own, which `initial` sets aside."""


_NEVER = "links out of the drawing are never opened"


_PLAIN_REMEDY = "Open the drawing in a vector editor and save it again."


XHTML = "http://www.w3.org/1999/xhtml"


def _urgency(row: _Row) -> tuple[tuple[float, ...], tuple[int, int, int], int]:
    # Among important declarations the layers count the other way round, and those in none come last.
    return tuple([-number for number in row[1]]), row[2], row[3]


def _taken(rows: Iterable[Declared], bare: bool) -> list[Declared]:
    # Those of properties that matter here, and of values that a browser takes.
    found: list[Declared] = []
    for important, name, stated in rows:
        if name in _KNOWN or name[:2] == "--":
            value = plain_case(name, stated)
            if (value or name[:2] == "--") and is_taken(name, value, bare):
                found.append((important, name, value))
    return found


def _said(element: etree._Element) -> str:
    return f"'{given_name(element) or f'{etree.QName(element).localname} at line {element.sourceline}'}'"


def _filled_in(own: dict[str, str], around: dict[str, str], budget: list[int]) -> dict[str, str]:
    # Custom properties first: those handed on are filled in where they were stated (CSS Variables 1, section 3).
    custom = {name: value for name, value in own.items() if name[:2] == "--"}
    known = {**around, **custom}
    for name, value in list(custom.items()):
        if "var(" in value:
            filled = substituted(value, {key: text for key, text in known.items() if key != name}, budget)
            if filled is None:
                del custom[name]
                around.pop(name, None)  # one that stands for nothing is as if it had never been stated
            else:
                custom[name] = filled
    known = {**around, **custom}
    result: dict[str, str] = {}
    for name, value in own.items():
        if name[:2] == "--":
            if name in custom:
                result[name] = custom[name]
        elif "var(" in value:
            filled = substituted(value, known, budget)
            filled = None if filled is None else plain_case(name, filled)
            result[name] = filled if filled is not None and is_taken(name, filled) else "unset"
        else:
            result[name] = value
    return result


def _size_in_font(value: str) -> str:
    # The first length of a font shorthand is its size; weights are plain numbers, and line heights come after.
    import tinycss2

    for node in tinycss2.parse_component_value_list(value, skip_comments=True):
        if node.type in ("dimension", "percentage", "function"):
            return str(tinycss2.serialize([node]))
        if node.type == "ident" and (node.lower_value in _NAMED_SIZES or node.lower_value in ("larger", "smaller")):
            return str(node.value)
    return value


def _refuse(element: etree._Element, style: Style) -> None:
    for name in sorted(_REFUSED & style.keys()):
        if style[name].lower() not in _HARMLESS:
            raise DrawingError(
                _said(element),
                f"has {name}: {style[name][:40]} in its style",
                "that is not read, and might move, size or hide it",
                "Apply it in the vector editor and save again.",
            )


_INTRICATE = re.compile(r"/\*|\\|\"|'|--|! |[\[{]")


def _has_whole_brackets(item: str) -> bool:
    depth = 0
    for sign in re.findall(r"[()]", item):
        depth += 1 if sign == "(" else -1
        if depth < 0:
            return False
    return depth == 0


def _is_plain_inline(text: str) -> bool:
    if _INTRICATE.search(text):
        return False
    return "(" not in text or all(map(_has_whole_brackets, text.split(";")))


@lru_cache(maxsize=256)
def _inline(text: str) -> tuple[Declared, ...]:
    # Editors write the same few looks again and again. What is more than words and brackets between semicolons is parsed.
    if not _is_plain_inline(text):
        import tinycss2

        nodes = tinycss2.parse_declaration_list(text, skip_comments=True, skip_whitespace=True)
        return tuple(_taken([declared(node) for node in nodes if node.type == "declaration"], bare=True))
    found: list[Declared] = []
    for item in text.split(";"):
        name, colon, value = item.partition(":")
        name, value = name.strip().lower(), value.strip()
        if not colon or not value or name not in _KNOWN:
            continue
        important = value[-10:].lower() == "!important"
        found.append((important, name, value[:-10].rstrip() if important else value))
    return tuple(_taken(found, bare=True))


def text_within(element: etree._Element) -> str:
    """Return all the text in an element."""
    return "".join([str(part) for part in element.itertext()])


def is_plain(value: str) -> bool:
    """Whether a value can be carried: it points nowhere, and hides nothing behind escapes."""
    return (
        "url" not in value.lower() and "\\" not in value and "(" not in value.replace("rgb(", "").replace("rgba(", "")
    )


def is_hidden(style: Style) -> bool:
    """Whether an element and all in it are not drawn."""
    return style.get("display") == "none"


def is_invisible(style: Style) -> bool:
    """Whether an element itself is not drawn, though something in it may be."""
    return style.get("visibility") in ("hidden", "collapse")
