"""Style: what an element looks like, from its attributes, its inline style and the drawing's own style sheets.

Only what matters for a pattern is looked at: whether a thing is shown, its line work, its lettering, its transform. The
cascade is that of CSS: attributes, then rules by specificity and order, then inline style, with `!important` above
all. Style sheets outside the file are never opened.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, cast

from lxml import etree

from pleatsvg.drawing.names import SVG
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
    }
)
SEPARATE_TRANSFORMS = frozenset({"rotate", "scale", "translate"})
_TRANSFORMS = frozenset({"transform", "transform-origin", "transform-box"}) | SEPARATE_TRANSFORMS
OWN = frozenset({"display", "opacity"}) | _TRANSFORMS
_KNOWN = INHERITED | OWN
_ATTRIBUTES = _KNOWN - _TRANSFORMS

LONGEST_SHEET = 200_000
"""Letters of all style sheets together: editors write some hundreds, seldom some thousands."""

LONGEST_STYLE = 10_000
"""Letters of one inline style that are read; more is no line work."""

LONGEST_SELECTOR = 300
MOST_STEPS = 8
"""Steps of one selector ("g > .a path" has two): each multiplies the work of matching it."""

DEEPEST_MEDIA = 4
MOST_RULES = 2_000
MOST_MATCHES = 20_000_000
"""Elements looked at for all rules together; a rule of several steps looks at pairs of them."""

Style = Mapping[str, str]


class StyleSheets:
    """The rules of a drawing's own style sheets, matched to its elements."""

    def __init__(self, root: etree._Element) -> None:
        self._rules: dict[etree._Element, list[tuple[bool, tuple[int, int, int], int, str, str]]] = {}
        sheets = [e for e in root.iter(f"{{{SVG}}}style") if (e.get("type") or "text/css").strip() == "text/css"]
        text = "\n".join(text_within(sheet) for sheet in sheets if _is_for_screens(sheet.get("media")))
        if len(text) > LONGEST_SHEET:
            raise DrawingError(
                "The drawing's style sheet",
                f"is {len(text)} letters long",
                f"up to {LONGEST_SHEET} are read",
                "Save the piece alone, as plain SVG.",
            )
        if text.strip():
            self._match(root, text)

    def _match(self, root: etree._Element, text: str) -> None:
        import tinycss2
        from cssselect import SelectorError
        from cssselect import parse as parse_selectors

        translator = _translator()
        count = sum(1 for _ in root.iter())
        order = work = 0
        for rule in _style_rules(tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True)):
            order += 1
            if order > MOST_RULES:
                raise DrawingError(
                    "The drawing's style sheet",
                    f"has more than {order - 1} rules for {count} elements",
                    f"up to {MOST_RULES} rules are read",
                    "Save the piece alone, as plain SVG.",
                )
            declared = [
                (d.important, d.lower_name, tinycss2.serialize(d.value).strip())
                for d in tinycss2.parse_declaration_list(rule.content, skip_comments=True, skip_whitespace=True)
                if d.type == "declaration" and d.lower_name in _KNOWN
            ]
            selector_text = tinycss2.serialize(rule.prelude).strip()
            if not declared or len(selector_text) > LONGEST_SELECTOR or "::" in selector_text:
                continue  # browsers draw nothing of a pattern by pseudo-elements
            steps = len(re.findall(r"[\s>+~]+", selector_text))
            if selector_text.count("~") > 1 or steps > MOST_STEPS:
                continue
            work += count * count if steps else count
            if work > MOST_MATCHES:
                raise DrawingError(
                    "The drawing's style sheet",
                    f"takes too long to match to {count} elements",
                    "rules that name one class or element each are read",
                    "Save the piece alone, as plain SVG.",
                )
            try:
                selectors = parse_selectors(selector_text)
                found: list[tuple[tuple[int, int, int], list[etree._Element]]] = [
                    (s.specificity(), cast("list[etree._Element]", root.xpath(translator.selector_to_xpath(s))))
                    for s in selectors
                ]
            except (SelectorError, etree.XPathError):
                continue  # a selector of another kind: browsers leave such rules out, too
            for specificity, elements in found:
                for element in elements:
                    rows = self._rules.setdefault(element, [])
                    rows += [(important, specificity, order, name, value) for important, name, value in declared]

    def of(self, element: etree._Element, around: Style) -> dict[str, str]:
        """Return an element's style.

        Args:
            element: any element of the drawing.
            around: the style of the element around it.
        """
        style = {name: value for name, value in around.items() if name in INHERITED}
        own: dict[str, str] = {}
        for name, value in element.items():
            if name in _ATTRIBUTES:
                own[str(name)] = str(value).strip()
        urgent: dict[str, str] = {}
        rows = self._rules.get(element)
        if rows:
            for important, _, _, name, value in sorted(rows, key=lambda row: row[1:3]):
                (urgent if important else own)[name] = value
        text = element.get("style")
        if text and len(text) <= LONGEST_STYLE:
            for important, name, value in _inline(text):
                (urgent if important else own)[name] = value
        own |= urgent
        for name, value in own.items():
            if value == "inherit":
                if name in around:
                    style[name] = around[name]
            else:
                style[name] = value
        return style


def _inline(text: str) -> list[tuple[bool, str, str]]:
    if "/*" in text or "\\" in text or '"' in text or "'" in text or "(" in text:
        import tinycss2

        return [
            (d.important, d.lower_name, tinycss2.serialize(d.value).strip())
            for d in tinycss2.parse_declaration_list(text, skip_comments=True, skip_whitespace=True)
            if d.type == "declaration" and d.lower_name in _KNOWN
        ]
    found: list[tuple[bool, str, str]] = []
    for item in text.split(";"):
        name, colon, value = item.partition(":")
        name, value = name.strip().lower(), value.strip()
        if not colon or not value or name not in _KNOWN:
            continue
        important = value.endswith("!important")
        found.append((important, name, value.removesuffix("!important").strip()))
    return found


def _is_for_screens(media: str | None) -> bool:
    words = (media or "").strip().lower()
    return words in ("", "all") or "screen" in [word.strip() for word in words.split(",")]


def _style_rules(nodes: list[Any], depth: int = 0) -> list[Any]:
    import tinycss2

    rules: list[Any] = []
    for node in nodes:
        if node.type == "qualified-rule":
            rules.append(node)
        elif (
            node.type == "at-rule"
            and node.lower_at_keyword == "media"
            and node.content is not None
            and depth < DEEPEST_MEDIA
            and _is_for_screens(tinycss2.serialize(node.prelude))
        ):
            inner = tinycss2.parse_rule_list(node.content, skip_comments=True, skip_whitespace=True)
            rules += _style_rules(inner, depth + 1)
    return rules


def _translator() -> Any:
    from cssselect import GenericTranslator
    from cssselect.xpath import XPathExpr

    class LocalNames(GenericTranslator):
        """Type selectors match by local name: a drawing's elements are all in one namespace."""

        def xpath_element(self, selector: Any) -> Any:
            name = selector.element
            if not name:
                return XPathExpr()
            return XPathExpr(condition=f"local-name() = {GenericTranslator.xpath_literal(name)}")

    return LocalNames()


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
