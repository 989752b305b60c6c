"""Options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

DrawingArgument = Annotated[Path, typer.Argument(metavar="DRAWING", help="The piece as drawn: an SVG file.")]


PieceOption = Annotated[
    str | None, typer.Option("--piece", metavar="NAME", help="Which piece, where the drawing holds several.")
]


UnitOption = Annotated[
    str | None,
    typer.Option(
        "--drawing-unit",
        metavar="LENGTH",
        help="What one unit of the drawing measures, where the file says it wrongly.",
    ),
]


ShowsOption = Annotated[
    str, typer.Option("--shows", metavar="right|wrong", help="The side of the cloth that the drawing shows.")
]


JsonOption = Annotated[bool, typer.Option("--json", help="Print everything as JSON, lengths in mm.")]


def whole_number(text: str | None, what: str = "--count") -> int | None:
    from pleatsvg.errors import RequestError

    if text is None:
        return None
    if not text.isascii() or not text.strip().lstrip("-+").isdigit() or len(text) > 9:
        raise RequestError(what, f"is '{text}'", "it must be a whole number", "Give how many you want.")
    return int(text)
