"""Which elements a selector means: found in sets from left to right, so that the work grows with elements times steps.

Selectors are parsed by cssselect. What it turns into paths is matched by libxml2 in the square of the elements, so paths are
followed for the few selectors only that are not read here (`:nth-of-type` and the like), and within narrow bounds.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Any, NamedTuple, cast

from lxml import etree

from pleatsvg.drawing.css.rules import selector_is_of_browsers
from pleatsvg.errors import DrawingError

LONGEST_SELECTOR = 300


MOST_STEPS = 8
"""Steps of one selector; "g > .a path" has two."""


MOST_LOOKS = 10_000_000
"""Elements looked at for all steps of all rules together; a path looks at each pair of them."""


Specificity = tuple[int, int, int]


Found = list[tuple[Specificity, int]]
"""Numbers of elements in file order, with the specificity of what found them."""


_Holds = Callable[[int], bool]


class _Simple(NamedTuple):
    """What stands between two combinators: a name, classes and an id to look up, and what else must hold."""

    name: str | None
    classes: tuple[str, ...]
    identifier: str | None
    others: tuple[Any, ...]


_Compiled = tuple[tuple[str, _Simple], ...]
"""Each step with the combinator that leads to it; that of the first is ""."""


class _NotReadError(Exception):
    """A selector has a part that is matched by a path only."""


class Matcher:
    """Finds the elements that selectors mean, within bounds.

    Attributes:
        elements: of the drawing, in file order.
    """

    def __init__(self, root: etree._Element) -> None:
        self._root = root
        self._looks = 0
        self._all_told = False
        self.elements: list[etree._Element] = list(root.iter(etree.Element))

    def found(self, selectors: tuple[str, ...], matters: bool) -> tuple[Found, str]:
        """Return elements with the specificity of what found them, and a doubt where a selector is not read.

        Args:
            selectors: texts.
            matters: whether what they declare moves, sizes or hides anything.
        """
        from cssselect import SelectorError

        rows: Found = []
        for text in selectors:
            if ":has(" in text and matters:
                return self._everything(), f"the selector '{text[:60]}'"
            if "::" in text:
                continue  # browsers draw nothing of a pattern by pseudo-elements
            steps = len(re.findall(r"[\s>+~]+", text))
            if len(text) > LONGEST_SELECTOR or text.count("~") > 1 or steps > MOST_STEPS:
                if matters:
                    return self._everything(), f"the selector '{text[:60]}', which is too long"
                continue
            try:
                for specificity, compiled, path in _compiled(text):
                    numbers = self._along(path, steps) if compiled is None else self._through(compiled)
                    rows += [(specificity, number) for number in numbers]
            except (SelectorError, etree.XPathError):
                # Browsers leave out what is no selector, and so do we; but some know selectors that we do not.
                if matters and selector_is_of_browsers(text):
                    return self._everything(), f"the selector '{text[:60]}'"
        return rows, ""

    def _everything(self) -> Found:
        # A doubt on all elements is told once: nothing that comes after it can make it larger.
        told, self._all_told = self._all_told, True
        return [] if told else [((0, 0, 0), number) for number in range(len(self.elements))]

    def _count(self, looks: int) -> None:
        self._looks += looks
        if self._looks > MOST_LOOKS:
            raise DrawingError(
                "The drawing's style sheet",
                f"takes too long to match to {len(self.elements)} elements",
                "rules that name one class or element each are read",
                "Save the piece alone.",
            )

    def _along(self, path: etree.XPath, steps: int) -> list[int]:
        self._count(
            len(self.elements) ** 2 * (8 if steps else 1)
        )  # measured: 10 ns for a pair, 100 to 2,000 with steps
        return [self._number[element] for element in cast("list[etree._Element]", path(self._root))]

    def _through(self, compiled: _Compiled) -> Sequence[int]:
        found: Sequence[int] = ()
        for combinator, simple in compiled:
            if combinator == "":
                found = self._candidates(simple)
                if simple.others or len(simple.classes) > 1 or simple.identifier is not None or simple.name is not None:
                    self._count(len(found))
                    found = [number for number in found if self._is(number, simple)]
                continue
            if not found:
                return ()
            self._count(len(self.elements))
            led_to = self._led_to(combinator, found)
            found = [number for number in self._candidates(simple) if led_to(number) and self._is(number, simple)]
        return found

    def _led_to(self, combinator: str, found: Sequence[int]) -> _Holds:
        # Whether a combinator leads to an element from one of those that were found.
        here = bytearray(len(self.elements))
        for number in found:
            here[number] = 1
        around = self._parents if combinator in (" ", ">") else self._before
        if combinator in (" ", "~"):
            beyond = bytearray(len(self.elements))
            for number, other in enumerate(around):  # whatever leads to an element stands before it in the file
                if other >= 0 and (here[other] or beyond[other]):
                    beyond[number] = 1
            return lambda number: beyond[number] == 1
        return lambda number: around[number] >= 0 and here[around[number]] == 1

    def _candidates(self, simple: _Simple) -> Sequence[int]:
        if simple.identifier is not None:
            return self._by_id.get(simple.identifier, ())
        if simple.classes:
            return min([self._by_class.get(name, []) for name in simple.classes], key=len)
        if simple.name is not None:
            return self._by_name.get(simple.name, ())
        self._count(len(self.elements))
        return range(len(self.elements))

    def _is(self, number: int, simple: _Simple) -> bool:
        element = self.elements[number]
        if simple.name is not None and _local(element) != simple.name:
            return False
        if len(simple.classes) > 1 or (simple.classes and simple.identifier is not None):
            own = (element.get("class") or "").split()
            if any(name not in own for name in simple.classes):
                return False
        return all(self._fulfils(number, element, other) for other in simple.others)

    def _fulfils(self, number: int, element: etree._Element, other: tuple[Any, ...]) -> bool:
        match other:
            case ("attribute", name, operator, value):
                return _has(element.get(name), operator, value)
            case ("child", a, b):
                return _in_series(self._places[number][0], a, b)
            case ("last child", a, b):
                return _in_series(self._places[number][1], a, b)
            case ("root",):
                return self._parents[number] < 0
            case ("empty",):
                return len(element) == 0 and not element.text
            case ("not", inner):
                return not self._matches(number, inner)
            case ("any", choices):
                return any(self._matches(number, inner) for inner in choices)
        return False  # of what a person does with the pointer, nothing is done

    def _matches(self, number: int, simple: _Simple) -> bool:
        element = self.elements[number]
        if simple.identifier is not None and element.get("id") != simple.identifier:
            return False
        if simple.classes and not set(simple.classes) <= set((element.get("class") or "").split()):
            return False
        return self._is(number, simple)

    @cached_property
    def _number(self) -> dict[etree._Element, int]:
        return {element: number for number, element in enumerate(self.elements)}

    @cached_property
    def _parents(self) -> list[int]:
        return [self._number.get(cast("Any", element.getparent()), -1) for element in self.elements]

    @cached_property
    def _families(self) -> dict[int, list[int]]:
        families: dict[int, list[int]] = {}
        for number, parent in enumerate(self._parents):
            families.setdefault(parent, []).append(number)
        return families

    @cached_property
    def _before(self) -> list[int]:
        before = [-1] * len(self.elements)
        for family in self._families.values():
            for one, following in pairwise(family):
                before[following] = one
        return before

    @cached_property
    def _places(self) -> list[tuple[int, int]]:
        # Where each stands among the children of its parent, from 1, counted from the first and from the last.
        places = [(1, 1)] * len(self.elements)
        for family in self._families.values():
            for k, number in enumerate(family):
                places[number] = (k + 1, len(family) - k)
        return places

    @cached_property
    def _by_class(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = {}
        for number, element in enumerate(self.elements):
            classes = element.get("class")
            if classes:
                for name in dict.fromkeys(classes.split()):
                    found.setdefault(name, []).append(number)
        return found

    @cached_property
    def _by_id(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = {}
        for number, element in enumerate(self.elements):
            name = element.get("id")
            if name is not None:
                found.setdefault(name, []).append(number)
        return found

    @cached_property
    def _by_name(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = {}
        for number, element in enumerate(self.elements):
            found.setdefault(_local(element), []).append(number)
        return found


def _local(element: etree._Element) -> str:
    return str(element.tag).rpartition("}")[2]


def _has(stated: str | None, operator: str, value: str) -> bool:
    if stated is None or operator == "exists":
        return stated is not None
    match operator:
        case "=":
            return stated == value
        case "~=":
            return bool(value) and value in stated.split()
        case "|=":
            return stated == value or stated.startswith(f"{value}-")
        case "^=":
            return bool(value) and stated.startswith(value)
        case "$=":
            return bool(value) and stated.endswith(value)
        case "*=":
            return bool(value) and value in stated
    return False


def _in_series(place: int, a: int, b: int) -> bool:
    # Selectors 4, section 14: whether a place is a n + b for some n of 0, 1, 2...
    return place == b if a == 0 else (place - b) % a == 0 and (place - b) // a >= 0


@lru_cache(maxsize=256)
def _compiled(text: str) -> tuple[tuple[Specificity, _Compiled | None, Any], ...]:
    # The selectors of a list with their specificity: drawings of one editor have the same few.
    from cssselect import parse

    rows: list[tuple[Specificity, _Compiled | None, Any]] = []
    for selector in parse(text):
        if selector.pseudo_element is not None:
            continue
        try:
            rows.append((selector.specificity(), tuple(_steps(selector.parsed_tree)), None))
        except _NotReadError:
            rows.append((selector.specificity(), None, etree.XPath(_translator().selector_to_xpath(selector))))
    return tuple(rows)


def _steps(tree: Any) -> Iterator[tuple[str, _Simple]]:
    from cssselect import parser

    if isinstance(tree, parser.CombinedSelector):
        yield from _steps(tree.selector)
        yield tree.combinator, _simple(tree.subselector)
    else:
        yield "", _simple(tree)


_BY_PLACE = {
    "first-child": (("child", 0, 1),),
    "last-child": (("last child", 0, 1),),
    "only-child": (("child", 0, 1), ("last child", 0, 1)),
    "root": (("root",),),
    "empty": (("empty",),),
} | dict.fromkeys(
    ("link", "visited", "hover", "active", "focus", "target", "enabled", "disabled", "checked"), (("never",),)
)


def _simple(tree: Any) -> _Simple:
    # Type selectors match by local name: a drawing's elements are all in one namespace.
    from cssselect import parser

    classes: list[str] = []
    identifier: str | None = None
    others: list[tuple[Any, ...]] = []
    while not isinstance(tree, parser.Element):
        match tree:
            case parser.Class():
                classes.append(tree.class_name)
            case parser.Hash():
                if identifier not in (None, tree.id):
                    others.append(("never",))
                identifier = tree.id
            case parser.Attrib() if tree.namespace is None:
                others.append(("attribute", tree.attrib, tree.operator, tree.value.value if tree.value else ""))
            case parser.Pseudo() if tree.ident in _BY_PLACE:
                others += _BY_PLACE[tree.ident]
            case parser.Function() if tree.name in ("nth-child", "nth-last-child"):
                kind = "child" if tree.name == "nth-child" else "last child"
                others.append((kind, *_series(tree)))
            case parser.Negation():
                others.append(("not", _simple(tree.subselector)))
            case parser.Matching() | parser.SpecificityAdjustment():
                others.append(("any", tuple([_simple(choice) for choice in tree.selector_list])))
            case _:
                raise _NotReadError
        tree = tree.selector
    return _Simple(tree.element, tuple(classes), identifier, tuple(others))


def _series(tree: Any) -> tuple[int, int]:
    from cssselect.parser import parse_series

    try:
        return parse_series(tree.arguments)
    except ValueError:
        raise _NotReadError from None


@lru_cache(maxsize=1)
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
