"""pleatsvg: pleats for a piece that you drafted yourself, from its drawing to a flat pattern piece, true to scale.

The names here are all that a program needs; the commands use the same ones. Lengths are written with their unit
("6cm", "2 1/2in"). Everything heavy is imported when it is first used.
"""

from __future__ import annotations

TYPE_CHECKING = False  # a type checker takes it for true; importing the real one takes longer than all else here
if TYPE_CHECKING:
    from typing import Any

    from pleatsvg.api import (
        continue_onto,
        draw_folded,
        figures,
        fold,
        measure,
        pleat,
        read,
        read_all,
        round_of,
        tile,
        write,
    )
    from pleatsvg.errors import PleatError
    from pleatsvg.length import Length
    from pleatsvg.plan.solve import plan_for

__version__ = "0.1.0"
__all__ = [
    "Length",
    "PleatError",
    "continue_onto",
    "draw_folded",
    "figures",
    "fold",
    "measure",
    "plan_for",
    "pleat",
    "read",
    "read_all",
    "round_of",
    "tile",
    "write",
]

_ROOMS = {
    "continue_onto": "pleatsvg.api",
    "draw_folded": "pleatsvg.api",
    "figures": "pleatsvg.api",
    "fold": "pleatsvg.api",
    "measure": "pleatsvg.api",
    "plan_for": "pleatsvg.plan.solve",
    "pleat": "pleatsvg.api",
    "read": "pleatsvg.api",
    "read_all": "pleatsvg.api",
    "round_of": "pleatsvg.api",
    "tile": "pleatsvg.api",
    "write": "pleatsvg.api",
    "Length": "pleatsvg.length",
    "PleatError": "pleatsvg.errors",
}


def __getattr__(name: str) -> Any:
    if name in _ROOMS:
        from importlib import import_module

        return getattr(import_module(_ROOMS[name]), name)
    raise AttributeError(f"module 'pleatsvg' has no attribute '{name}'")
