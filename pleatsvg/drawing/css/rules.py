"""Style sheets to plain rules, in order: @media, @supports, @layer and rules within rules are worked out here.

What is meant is a browser's window. A condition that has no one answer there (the window's width, the colours that a
person prefers) gives its rules a doubt, which is settled where they meet an element: see `style`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from pleatsvg.drawing.css.sizes import GEOMETRY

Declared = tuple[bool, str, str]
"""Whether it is important, the property's name in small letters (a custom one as it is), and its value."""


DEEPEST = 8
"""How deep rules and conditions may stand in one another."""


_MEDIA = re.compile(r"^(?:(not|only)\s+)?([a-z-]+)$")


_NO_RULES = frozenset(
    [
        "charset",
        "font-face",
        "font-feature-values",
        "font-palette-values",
        "keyframes",
        "-webkit-keyframes",
        "-moz-keyframes",
        "page",
        "counter-style",
        "namespace",
        "color-profile",
        "view-transition",
        "position-try",
    ]
)


_COMBINED = re.compile(r"[\s>+~]")


@dataclass(frozen=True, slots=True)
class Rule:
    """One run of declarations for some selectors.

    Attributes:
        selectors: each as one or more texts; several where a rule stands within one of several selectors, and then the
            strongest of them counts for all (CSS Nesting 1, section 3).
        declared: its declarations.
        layer: numbers of the layers that it stands in, outermost first, ended by infinity (CSS Cascade 5, section 6.4).
        doubt: a condition that has no one answer, or a selector that is not read; else "".
    """

    selectors: tuple[tuple[str, ...], ...]
    declared: tuple[Declared, ...]
    layer: tuple[float, ...]
    doubt: str


@dataclass(slots=True)
class Sheet:
    """What a style sheet comes to: its rules in order, what it asks for from outside, and unsettled at-rules."""

    rules: list[Rule] = field(default_factory=list)
    imports: list[str] = field(default_factory=list)
    strange: list[str] = field(default_factory=list)


@lru_cache(maxsize=8)
def sheet_of(text: str, doubt: str = "") -> Sheet:
    """Return a style sheet's rules; `doubt` is one that all of them are under. All sizes of a style have the same."""
    import tinycss2

    sheet = Sheet()
    _Reader(sheet).rules(tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True), None, (), doubt, 0)
    return sheet


class _Reader:
    def __init__(self, sheet: Sheet) -> None:
        self._sheet = sheet
        self._layers: dict[tuple[float, ...], dict[str, int]] = {}

    def rules(
        self,
        nodes: list[Any],
        around: tuple[tuple[str, ...], ...] | None,
        layer: tuple[float, ...],
        doubt: str,
        depth: int,
    ) -> None:
        """Go through rules and, inside others, declarations; `around` are the selectors of the rule around them."""
        if depth > DEEPEST:
            self._sheet.strange.append("rules that stand too deep in one another")
            return
        run: list[Declared] = []
        for node in nodes:
            if node.type == "declaration":
                run.append(declared(node))
                continue
            if run and around is not None:
                self._add(around, run, layer, doubt)
                run = []
            if node.type == "qualified-rule":
                self._qualified(node, around, layer, doubt, depth)
            elif node.type == "at-rule":
                self._at(node, around, layer, doubt, depth)
        if run and around is not None:
            self._add(around, run, layer, doubt)

    def _add(
        self, selectors: tuple[tuple[str, ...], ...], run: list[Declared], layer: tuple[float, ...], doubt: str
    ) -> None:
        self._sheet.rules.append(Rule(selectors, tuple(run), (*layer, math.inf), doubt))

    def _qualified(
        self, node: Any, around: tuple[tuple[str, ...], ...] | None, layer: tuple[float, ...], doubt: str, depth: int
    ) -> None:
        import tinycss2

        selectors: tuple[tuple[str, ...], ...] = tuple([(text,) for text in _parted(node.prelude)])
        if around is not None:
            outer = [text for texts in around for text in texts]
            made = [_within(texts[0], outer) for texts in selectors]
            if any(texts is None for texts in made) or len(outer) > 20:
                doubt = doubt or f"the rule within a rule '{tinycss2.serialize(node.prelude).strip()[:60]}'"
                made = [("*",)]
            selectors = tuple([texts for texts in made if texts is not None])
        inner = tinycss2.parse_blocks_contents(node.content, skip_comments=True, skip_whitespace=True)
        self.rules(inner, selectors, layer, doubt, depth + 1)

    def _at(
        self,
        node: Any,
        around: tuple[tuple[str, ...], ...] | None,
        layer: tuple[float, ...],
        doubt: str,
        depth: int,
    ) -> None:
        import tinycss2

        word, prelude = node.lower_at_keyword, " ".join(tinycss2.serialize(node.prelude).split())
        if word == "import":
            self._sheet.imports.append(prelude)
            return
        if word == "layer" and node.content is None:
            for name in prelude.split(","):
                self._layer(layer, name.strip())
            return
        if word in _NO_RULES or node.content is None:
            return
        if word == "media":
            holds = media_holds(prelude)
        elif word == "supports":
            holds = _supported(prelude)
        elif word == "layer":
            holds, layer = True, self._layer(layer, prelude)
        elif word == "property":
            self._sheet.strange.append(f"@property {prelude}")
            return
        else:
            holds = None
        if holds is None:
            doubt = doubt or f"'@{word} {prelude}'"[:80]
        if holds is not False:
            inner = tinycss2.parse_blocks_contents(node.content, skip_comments=True, skip_whitespace=True)
            self.rules(inner, around, layer, doubt, depth + 1)

    def _layer(self, around: tuple[float, ...], name: str) -> tuple[float, ...]:
        layer = around
        for word in name.split(".") if name else [""]:
            known = self._layers.setdefault(layer, {})
            number = known.setdefault(word.strip() or f" {len(known)}", len(known))
            layer = (*layer, float(number))
        return layer


def declared(node: Any) -> Declared:
    """Return a parsed declaration as a plain row."""
    import tinycss2

    name = node.name if node.name.startswith("--") else node.lower_name
    return node.important, name, tinycss2.serialize(node.value).strip()


def _parted(nodes: list[Any]) -> list[str]:
    # A list of selectors at its commas; those within brackets belong to one of them.
    import tinycss2

    parts: list[list[Any]] = [[]]
    for node in nodes:
        if node.type == "literal" and node.value == ",":
            parts.append([])
        else:
            parts[-1].append(node)
    return [tinycss2.serialize(part).strip() for part in parts]


def _within(text: str, outer: list[str]) -> tuple[str, ...] | None:
    # A selector of a rule within another, written out for each selector of that one; None where text cannot say it.
    if not re.search(r"(?<!\\)&", text):
        return tuple([f"{around} {text}" for around in outer])
    if text.startswith("&") and text.count("&") == 1:
        return tuple([around + text[1:] for around in outer])
    if any(_COMBINED.search(around) or not around.startswith((".", "#", "[")) for around in outer):
        return None
    return tuple([text.replace("&", around) for around in outer])


def media_holds(text: str) -> bool | None:
    """Whether a list of media queries holds for a browser's window; None where that depends on the window or person."""
    queries = [" ".join(query.split()).lower() for query in text.split(",")] if text.strip() else ["all"]
    answers = [_query_holds(query) for query in queries]
    return True if True in answers else None if None in answers else False


def _query_holds(query: str) -> bool | None:
    kind, _, features = query.partition(" and ")
    if query.startswith(("(", "not (")):
        return None
    match = _MEDIA.match(kind)
    if match is None:
        return False
    holds: bool | None = match[2] in ("all", "screen")
    if holds and features:
        holds = None
    return holds if match[1] != "not" or holds is None else not holds


_ONE = re.compile(r"^(not\s+)?\(\s*([a-z-]+)\s*:\s*([^()]+)\)$", re.IGNORECASE)


_SURELY = GEOMETRY | frozenset(
    ["display", "visibility", "transform", "transform-origin", "transform-box", "fill", "stroke", "opacity"]
)


def _supported(text: str) -> bool | None:
    match = _ONE.match(text.strip())
    if match is None or match[2].lower() not in _SURELY or not re.match(r"^[\w.%# -]+$", match[3]):
        return None
    from pleatsvg.drawing.css.sizes import is_stated

    name, value = match[2].lower(), match[3].strip()
    if name in GEOMETRY and not is_stated(name, value):
        return None
    if name not in GEOMETRY and not re.match(
        r"^(none|inline|block|grid|flex|contents|visible|hidden|fill-box|red|black)$", value
    ):
        return None
    return not match[1]


def selector_is_of_browsers(text: str) -> bool:
    """Whether a selector that could not be read is likely one that browsers do read."""
    return (
        re.search(r":(is|where|not|has|nth-|lang|dir|any-link|host|defined|target|scope|first|last|only)", text)
        is not None
    )


def words_of(sheet: Sheet) -> Iterator[str]:
    """Yield remarks on what a style sheet asks for from outside."""
    for name in sheet.imports:
        yield f"style sheet '@import {name[:60]}' (links out of the drawing are never opened)"
