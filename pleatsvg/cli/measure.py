"""The command 'measure': what is on a drawing."""

from __future__ import annotations

from typing import Annotated

import typer

from pleatsvg.cli.options import DrawingArgument, JsonOption, PieceOption, ShowsOption, UnitOption, take_at_hand
from pleatsvg.order.options import as_listed


def measure(
    drawing: DrawingArgument,
    piece: PieceOption = None,
    unit: Annotated[str, typer.Option("--unit", metavar="mm|cm|in", help="The unit to answer in.")] = "mm",
    drawing_unit: UnitOption = None,
    shows: ShowsOption = "right",
    json: JsonOption = False,
) -> None:
    """Measure a drawing before anything is made of it.

    Prints the page and the scale found, the seam edges between corners with their lengths, the slash lines with the
    places where they meet the seam and the spaces between them, and whatever looks odd; for every piece on it.

    Example: pleatsvg measure skirt-front.svg --unit in
    """
    take_at_hand(drawing)
    from pleatsvg import api
    from pleatsvg.cli.report import measured as report
    from pleatsvg.cli.report.already import already_pleated
    from pleatsvg.errors import RequestError
    from pleatsvg.saying import say

    meant = as_listed(unit, ("mm", "cm", "in"))
    if meant is None:
        raise RequestError("--unit", f"is '{unit}'", "lengths are given in mm, cm or in", "Give one of these.")
    if piece is None:
        pieces = api.read_all(drawing, drawing_unit=drawing_unit, shows=shows)
    else:
        pieces = [api.read(drawing, piece=piece, drawing_unit=drawing_unit, shows=shows)]
    found = [api.measure(one, unit=meant) for one in pieces]
    already = already_pleated(pieces)
    if json:
        say(report.measured_json(found, already))
    else:
        say("\n\n".join(report.measured_text(one, its) for one, its in zip(found, already, strict=True)))
