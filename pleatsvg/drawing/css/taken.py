"""Which values of properties a browser takes: what is none it drops, and the cascade goes on to the next that is stated.

By the grammars of CSS Transforms 1 and 2, CSS Display 3 and CSS Fonts 4. Only what is surely no value is dropped here; what
is true to the grammar but not read is taken, and refused where it is used.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from pleatsvg.drawing.css.lengths import OF_FONTS, OF_WINDOWS, UNITS_PER
from pleatsvg.drawing.css.sizes import GEOMETRY, is_stated

MOVING = frozenset({"transform", "rotate", "scale", "translate"})


TRANSFORMS = MOVING | {"transform-origin", "transform-box"}


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


WIDE = _words("inherit initial unset revert revert-layer")
"""Keywords that every property takes."""


_BY_KEYWORD = {
    "visibility": _words("visible hidden collapse"),
    "transform-box": _words("content-box border-box fill-box stroke-box view-box"),
    "display": _words(
        "none contents block inline flow flow-root flex grid table inline-block inline-flex inline-grid inline-table "
        "list-item table-row-group table-header-group table-footer-group table-row table-cell table-column-group "
        "table-column table-caption ruby ruby-text math -webkit-box -webkit-inline-box -webkit-flex -webkit-inline-flex"
    ),
}


_IN_PAIRS = _words("block inline flow flow-root flex grid table list-item ruby math")
"""Words of `display` that may stand together."""


CHECKED = TRANSFORMS | frozenset(_BY_KEYWORD) | {"font-size"}
"""Properties beside places and sizes whose values are looked at: they move, size, show or hide."""


_CASELESS = CHECKED | GEOMETRY | {"clip-path", "mask", "animation", "animation-name", "text-anchor"}
"""Properties whose keywords are asked for in small letters."""


_LONGEST_KEPT = 500
"""Letters of a value that is worth remembering."""


_KEYWORD = re.compile(r"[a-zA-Z-]+$", re.ASCII)


_SIZES_OF_FONTS = _words("xx-small x-small small medium large x-large xx-large xxx-large larger smaller math")


_DIMENSION = re.compile(r"^([-+]?)(?:\d+|\d*\.\d+)(?:[eE][-+]?\d+)?([a-zA-Z%]*)$", re.ASCII)


_LENGTHS = (frozenset(UNITS_PER) - {""}) | OF_FONTS | OF_WINDOWS | {"em", "rem"}


_ANGLES = frozenset({"deg", "grad", "rad", "turn"})


_SETTLED_LATER = re.compile(r"\b(?:var|env|attr)\(", re.IGNORECASE)
"""What holds these is taken as it stands, whatever comes of it."""


_FUNCTIONS: dict[str, tuple[str, int]] = {
    "matrix": ("nnnnnn", 6),
    "matrix3d": ("n" * 16, 16),
    "translate": ("ll", 1),
    "translatex": ("l", 1),
    "translatey": ("l", 1),
    "translatez": ("z", 1),
    "translate3d": ("llz", 3),
    "scale": ("ss", 1),
    "scalex": ("s", 1),
    "scaley": ("s", 1),
    "scalez": ("s", 1),
    "scale3d": ("sss", 3),
    "rotate": ("a", 1),
    "rotatex": ("a", 1),
    "rotatey": ("a", 1),
    "rotatez": ("a", 1),
    "rotate3d": ("nnna", 4),
    "skew": ("aa", 1),
    "skewx": ("a", 1),
    "skewy": ("a", 1),
    "perspective": ("p", 1),
}
"""Arguments of each, and how many of them must be there: numbers, shares or numbers, lengths or shares, lengths, angles."""


def plain_case(name: str, value: str) -> str:
    """Return a value with its keyword in small letters: keywords of CSS are the same in any case."""
    if value.islower() or not _KEYWORD.match(value):
        return value
    low = value.lower()
    return low if name in _CASELESS or low in WIDE else value


def is_taken(name: str, value: str, bare: bool = True) -> bool:
    """Whether a browser takes a property's value.

    Args:
        name: of the property.
        value: as written.
        bare: whether sizes may be numbers of user units, as in attributes, of which `style` is one.
    """
    if name in GEOMETRY:
        return is_stated(name, value, bare)
    if name not in CHECKED:
        return True
    return (_is_taken if len(value) <= _LONGEST_KEPT else _is_taken.__wrapped__)(name, value, bare)


@lru_cache(maxsize=1024)
def _is_taken(name: str, value: str, bare: bool) -> bool:
    low = value.lower()
    if low in WIDE or _SETTLED_LATER.search(low):
        return True
    if name in _BY_KEYWORD:
        return low in _BY_KEYWORD[name] or (name == "display" and _words(low) <= _IN_PAIRS)
    if name == "font-size":
        return _is_font_size(low, bare)
    if low == "none" and name in MOVING:
        return True
    if name == "transform" and _is_plain_transform(low):
        return True
    nodes = _nodes(value)
    if name == "transform":
        return bool(nodes) and all(_is_function_of_transforms(node) for node in nodes)
    if name == "transform-origin":
        return _is_origin(nodes, bare=False)
    if name == "translate":
        return _fit(nodes, "llz", 1)
    if name == "scale":
        return _fit(nodes, "sss", 1)
    return _is_rotation(nodes)


def is_origin_attribute(value: str) -> bool:
    """Whether a browser takes a `transform-origin` attribute, in which numbers are lengths."""
    return len(value) <= _LONGEST_KEPT and _is_origin(_nodes(value), bare=True)


def _is_font_size(low: str, bare: bool) -> bool:
    if low in _SIZES_OF_FONTS or "(" in low:
        return True
    match = _DIMENSION.match(low)
    if match is None or match[1] == "-":
        return False
    return match[2] in _LENGTHS or match[2] == "%" or (not match[2] and (bare or float(low) == 0))


def _nodes(value: str) -> list[Any]:
    import tinycss2

    return [n for n in tinycss2.parse_component_value_list(value, skip_comments=True) if n.type != "whitespace"]


_CALL = re.compile(r"\s*([a-z23]+)\(([^()]*)\)\s*")


def _is_plain_transform(low: str) -> bool:
    # As editors write it: functions of numbers with units. What is not so is parsed.
    position = 0
    while position < len(low):
        match = _CALL.match(low, position)
        if match is None or match[1] not in _FUNCTIONS:
            return False
        words, (kinds, least) = match[2].split(","), _FUNCTIONS[match[1]]
        if not least <= len(words) <= len(kinds):
            return False
        for kind, word in zip(kinds, words, strict=False):
            dimension = _DIMENSION.match(word.strip())
            if dimension is None:
                return False
            unit = dimension[2]
            if unit not in (_ANGLES if kind == "a" else _LENGTHS if kind == "l" else ("",)):
                return False
        position = match.end()
    return position > 0


def _is_function_of_transforms(node: Any) -> bool:
    if node.type != "function" or node.lower_name not in _FUNCTIONS:
        return False
    parts: list[list[Any]] = [[]]
    for inner in node.arguments:
        if inner.type == "literal" and inner.value == ",":
            parts.append([])
        elif inner.type not in ("whitespace", "comment"):
            parts[-1].append(inner)
    return all(len(part) == 1 for part in parts) and _fit([part[0] for part in parts], *_FUNCTIONS[node.lower_name])


def _fit(nodes: list[Any], kinds: str, least: int) -> bool:
    return least <= len(nodes) <= len(kinds) and all(
        _is_a(kind, node) for kind, node in zip(kinds, nodes, strict=False)
    )


def _is_a(kind: str, node: Any) -> bool:
    if node.type == "function":  # calc() and its like: what they come to is seen where they are used
        return True
    if node.type == "number":
        return kind in "ns" or float(node.value) == 0
    if node.type == "percentage":
        return kind in "sl"
    if node.type == "dimension":
        return node.lower_unit in (_ANGLES if kind == "a" else _LENGTHS) and kind in "alzp"
    return kind == "p" and node.type == "ident" and node.lower_value == "none"


def _is_rotation(nodes: list[Any]) -> bool:
    # An angle with its unit, and before or after it an axis or a vector (CSS Transforms 2, section 5).
    for angle, axis in ((nodes[-1:], nodes[:-1]), (nodes[:1], nodes[1:])):
        if angle and angle[0].type in ("dimension", "function") and _is_a("a", angle[0]):
            if not axis or (len(axis) == 1 and axis[0].type == "ident" and axis[0].lower_value in ("x", "y", "z")):
                return True
            if len(axis) == 3 and all(node.type == "number" for node in axis):
                return True
    return False


_ACROSS, _DOWN = frozenset({"left", "right", "center"}), frozenset({"top", "bottom", "center"})


def _is_origin(nodes: list[Any], bare: bool) -> bool:
    words = [node.lower_value if node.type == "ident" else "" for node in nodes]
    for node, word in zip(nodes, words, strict=True):
        if not word and not (_is_a("l", node) or (bare and node.type == "number")):
            return False
    if len(nodes) == 3 and (words[2] or nodes[2].type == "percentage"):
        return False
    if len(nodes) == 1:
        return not words[0] or words[0] in _ACROSS | _DOWN
    if len(nodes) not in (2, 3):
        return False
    first, second = words[:2]
    if (not first or first in _ACROSS) and (not second or second in _DOWN):
        return True
    return first in _DOWN and second in _ACROSS
