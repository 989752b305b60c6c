"""Imports run one way only, down the list of rooms; DEVELOPERS.md lists the same rooms in the same order."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache

from tests.unit import sources
from tests.unit.sources import PACKAGE, ROOT

ROOMS = (
    ("wording", "errors", "length", "tolerance", "kinds", "stopping", "saying", "wholefile"),
    ("geometry",),
    ("result",),
    ("drawing",),
    ("order",),
    ("plan",),
    ("piece",),
    ("pleats",),
    ("flat",),
    ("fitted",),
    ("marks",),
    ("page",),
    ("proof",),
    ("folded",),
    ("found",),
    ("pleated", "stages", "job"),
    ("companion",),
    ("writing",),
    ("paper",),
    ("printing",),
    ("card",),
    ("worksheet",),
    ("api",),
    ("watching",),
    ("batch",),
    ("cli",),
)
"""From the ground up: a room imports from itself and from those before it."""

FLOOR = {room: floor for floor, rooms in enumerate(ROOMS) for room in rooms}
MOST_MODULES = 12


def room_of(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


@cache
def imports() -> list[tuple[str, str]]:
    """Every import of one module of the package by another, those within functions too: (importer, imported)."""
    return list(_imports())


def _imports() -> Iterator[tuple[str, str]]:
    for path, nodes in sources.imports():
        importer = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        for node in nodes:
            if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "pleatsvg":
                if node.module == "pleatsvg":
                    yield from ((importer, f"pleatsvg.{alias.name}") for alias in node.names)
                else:
                    yield importer, node.module
            elif isinstance(node, ast.Import):
                yield from ((importer, alias.name) for alias in node.names if alias.name.startswith("pleatsvg"))


def test_every_room_has_its_floor() -> None:
    there = {path.stem for path in PACKAGE.iterdir() if path.suffix == ".py"} - {"__init__", "__main__"}
    there |= {path.name for path in PACKAGE.iterdir() if path.is_dir() and path.name != "__pycache__"}
    assert there == set(FLOOR)


def test_imports_run_down_only() -> None:
    found = list(imports())
    assert len(found) > 300
    up = [
        f"{importer} imports {imported}"
        for importer, imported in found
        if (at := room_of(importer)) in FLOOR and (to := room_of(imported)) in FLOOR and FLOOR[to] > FLOOR[at]
    ]
    assert up == []


def test_there_is_no_circle_of_modules() -> None:
    arrows: dict[str, set[str]] = {}
    for importer, imported in imports():
        arrows.setdefault(importer, set()).add(imported)
    done: set[str] = set()

    def walk(module: str, way: tuple[str, ...]) -> None:
        assert module not in way, " -> ".join((*way, module))
        if module not in done:
            for further in sorted(arrows.get(module, ())):
                walk(further, (*way, module))
            done.add(module)

    for module in sorted(arrows):
        walk(module, ())


def test_no_room_is_crowded() -> None:
    crowded = {}
    for folder in (PACKAGE, *[path for path in PACKAGE.rglob("*") if path.is_dir() and path.name != "__pycache__"]):
        modules = [path for path in folder.glob("*.py") if path.stem != "__init__"]
        if len(modules) > MOST_MODULES:
            crowded[folder.name] = len(modules)
    assert crowded == {}


def test_no_name_that_is_private_to_a_module_is_imported() -> None:
    private = []
    for path, nodes in sources.imports():
        for node in nodes:
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("pleatsvg"):
                private += [f"{path.name}: {a.name}" for a in node.names if re.match(r"_[a-z]", a.name, re.IGNORECASE)]
    assert private == []


def test_developers_lists_the_rooms_in_this_order() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text()
    rows = re.findall(r"^\| ((?:`[^`]+`,? ?)+)\|", text, re.MULTILINE)
    named = [re.sub(r"(\.py|/)$", "", name) for row in rows for name in re.findall(r"`([^`]+)`", row)]
    listed = [name for name in named if name in FLOOR]
    assert listed == [room for rooms in ROOMS for room in rooms]
