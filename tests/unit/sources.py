"""The package's own sources as trees of syntax, parsed and walked once for the tests that look through them."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "pleatsvg"


class Source(NamedTuple):
    """A module's file and every node of its tree, from the outermost in."""

    path: Path
    nodes: list[ast.AST]


@cache
def sources() -> list[Source]:
    """All of them, in the order of their paths."""
    return [Source(path, every_node(path)) for path in sorted(PACKAGE.rglob("*.py"))]


def every_node(path: Path) -> list[ast.AST]:
    """What `ast.walk` gives, in its order and a third of its time: the values of a node are its fields and where it stands."""
    found: list[ast.AST] = [ast.parse(path.read_text(encoding="utf-8"))]
    for node in found:
        for value in vars(node).values():
            if isinstance(value, ast.AST):
                found.append(value)
            elif isinstance(value, list):
                found += [one for one in value if isinstance(one, ast.AST)]
    return found
