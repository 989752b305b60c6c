"""The package's own sources as trees of syntax, for the tests that look through them: no more of each than they ask for."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "pleatsvg"


class Source(NamedTuple):
    """A module's file and nodes of its tree, from the outermost in."""

    path: Path
    nodes: list[ast.AST]


@cache
def imports() -> list[Source]:
    """Every module with its imports, those within functions too, in the order of the paths.

    An import is a statement, and statements stand in the lists of statements alone: no expression is walked.
    """
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        nodes: list[ast.AST] = [_tree(path)]
        for node in nodes:
            for name in ("body", "orelse", "finalbody", "handlers", "cases"):
                value = getattr(node, name, None)
                if isinstance(value, list):
                    nodes += value
        found.append(Source(path, [node for node in nodes if isinstance(node, ast.Import | ast.ImportFrom)]))
    return found


def sources(*words: str) -> list[Source]:
    """The modules in whose text one of these words stands, with every node, in the order of the paths."""
    texts = {path: path.read_text(encoding="utf-8") for path in sorted(PACKAGE.rglob("*.py"))}
    return [Source(path, every_node(path)) for path, text in texts.items() if any(word in text for word in words)]


@cache
def every_node(path: Path) -> list[ast.AST]:
    """What `ast.walk` gives, in its order and a third of its time: the values of a node are its fields and where it stands."""
    found: list[ast.AST] = [_tree(path)]
    for node in found:
        for value in vars(node).values():
            if isinstance(value, ast.AST):
                found.append(value)
            elif isinstance(value, list):
                found += [one for one in value if isinstance(one, ast.AST)]
    return found


def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))
