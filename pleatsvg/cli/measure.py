"""The command 'measure': what is on a drawing."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pleatsvg.cli.options import (
    STANDARD_OUTPUT,
    DrawingArgument,
    JsonOption,
    PieceOption,
    ShowsOption,
    UnitOption,
    called,
    ended,
    take_at_hand,
)
from pleatsvg.order.options import as_listed


def measure(
    drawing: DrawingArgument,
    piece: PieceOption = None,
    unit: Annotated[str, typer.Option("--unit", metavar="mm|cm|in", help="The unit to answer in.")] = "mm",
    drawing_unit: UnitOption = None,
    shows: ShowsOption = "right",
    output: Annotated[
        Path | None,
        typer.Option(
            "-o", "--output", metavar="PICTURE", help="Draw what was found to this SVG file, or - for standard output."
        ),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over PICTURE if it is there.")] = False,
    json: JsonOption = False,
) -> None:
    """Measure a drawing before anything is made of it.

    Prints the page and the scale found, the seam edges between corners with their lengths, the slash lines with the
    places where they meet the seam and the spaces between them, and whatever looks odd; for every piece on it.

    With -o the piece is drawn with all of it: which edge is which, where corners are, which end of a line is its top.

    Examples:

      pleatsvg measure skirt-front.svg --unit in

      pleatsvg measure skirt-front.svg -o found.svg
    """
    take_at_hand(drawing)
    from pleatsvg import api
    from pleatsvg.cli.report import measured as report
    from pleatsvg.cli.report.already import already_pleated
    from pleatsvg.errors import RequestError
    from pleatsvg.saying import put_out, say
    from pleatsvg.wholefile import refuse_output

    meant = as_listed(unit, ("mm", "cm", "in"))
    if meant is None:
        raise RequestError("--unit", f"is '{unit}'", "lengths are given in mm, cm or in", "Give one of these.")
    to_file = output is not None and output != STANDARD_OUTPUT
    if output is not None and to_file:
        output = ended(output)
        refuse_output(output, force, drawing)
    if piece is None:
        pieces = api.read_all(drawing, drawing_unit=drawing_unit, shows=shows)
    else:
        pieces = [api.read(drawing, piece=piece, drawing_unit=drawing_unit, shows=shows)]
    found = [api.measure(one, unit=meant) for one in pieces]
    already = already_pleated(pieces)
    if output is not None:
        if to_file:
            api.draw_measured(found, output, force=force)
        else:
            put_out(api.measured_picture(found))
    if json:
        words = report.measured_json(found, already)
    else:
        words = "\n\n".join(report.measured_text(one, its) for one, its in zip(found, already, strict=True))
        if output is not None and to_file:
            words += f"\nWritten: {called(output)}"
    say(words, error=output is not None and not to_file)
