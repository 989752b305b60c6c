"""Custom properties of CSS: what `var(--name, fallback)` stands for."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

_MOST = 10_000
"""Letters that a value may grow to: a variable of variables of variables is a bomb."""


_MOST_STEPS = 100
"""Variables looked up for one value; those that stand for nothing do not make it grow, but they take time."""


_VAR = re.compile(r"\bvar\(", re.IGNORECASE)


def substituted(value: str, style: Mapping[str, str], budget: list[int] | None = None) -> str | None:
    """Return a value with every var() replaced; None where one stands for nothing, or for itself.

    Args:
        value: as written.
        style: of the element, with its custom properties under their names.
        budget: one number, lookups left for the whole drawing, from which those for this value are taken.
    """
    import tinycss2

    if len(value) > _MOST:
        return None
    left = [_MOST_STEPS]
    found = _of(tinycss2.parse_component_value_list(value, skip_comments=True), style, (), left)
    if budget is not None:
        budget[0] -= _MOST_STEPS - left[0]
    return None if found is None or len(found) > _MOST else found.strip()


def _of(nodes: list[Any], style: Mapping[str, str], within: tuple[str, ...], left: list[int]) -> str | None:
    import tinycss2

    parts: list[str] = []
    for node in nodes:
        if node.type == "function" and node.lower_name == "var":
            part = _one(node.arguments, style, within, left)
        elif node.type == "function":
            inner = _of(node.arguments, style, within, left)
            part = None if inner is None else f"{node.name}({inner})"
        elif node.type == "() block":
            inner = _of(node.content, style, within, left)
            part = None if inner is None else f"({inner})"
        else:
            part = tinycss2.serialize([node])
        if part is None or sum(map(len, parts)) > _MOST:
            return None
        parts.append(part)
    return "".join(parts)


def _one(arguments: list[Any], style: Mapping[str, str], within: tuple[str, ...], left: list[int]) -> str | None:
    import tinycss2

    place = next(
        (k for k, node in enumerate(arguments) if node.type == "literal" and node.value == ","), len(arguments)
    )
    names = [node for node in arguments[:place] if node.type != "whitespace"]
    left[0] -= 1
    if len(names) != 1 or names[0].type != "ident" or left[0] < 0:
        return None
    name = names[0].value
    value = style.get(name) if name.startswith("--") and name not in within else None
    if value is not None:
        nodes = tinycss2.parse_component_value_list(value, skip_comments=True)
        found = _of(nodes, style, (*within, name), left) if _VAR.search(value) else value
        if found is not None and len(found) <= _MOST:
            return found
    return _of(arguments[place + 1 :], style, within, left) if place < len(arguments) else None
