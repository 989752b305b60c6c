"""The command 'sheet': the sheet to sew from."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pleatsvg.cli.options import STANDARD_OUTPUT, called, ended
from pleatsvg.order.options import as_listed


def sheet(
    results: Annotated[
        list[Path],
        typer.Argument(
            metavar="RESULT...", help="Flat pieces that 'pleat' wrote; or a job file, for all that 'batch' made of it."
        ),
    ],
    output: Annotated[
        Path | None,
        typer.Option(
            "-o",
            "--output",
            metavar="SHEET.html",
            help="The page, or - for standard output. Left out: RESULT-sheet.html, by the first RESULT.",
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="DIR",
            help="With a job file: the folder of its results; left out, 'pleated' beside it, as 'batch' has it.",
        ),
    ] = None,
    unit: Annotated[
        str | None,
        typer.Option("--unit", metavar="mm|cm|in", help="The unit of its lengths; left out, that of the first RESULT."),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over SHEET if it is there.")] = False,
) -> None:
    """Make the sheet to sew from: one page with what is made, flat and folded, its figures, and the order of work.

    It tells what the piece needs and no more: marking with the card, folding picture by picture, basting, pressing,
    stitching, checking and the hem, with cautions. It prints on A4 and Letter, and is read on a telephone as well. Results
    that do not fold true are refused.

    Examples:

      pleatsvg sheet skirt-flat.svg -o skirt-sheet.html

      pleatsvg sheet wardrobe.toml --out pleated --unit in
    """
    from pleatsvg import api
    from pleatsvg.cli.report.worksheet import made_text
    from pleatsvg.cli.tile import refuse_twice
    from pleatsvg.errors import RequestError
    from pleatsvg.saying import put_out, say
    from pleatsvg.wholefile import refuse_output, write_whole

    refuse_twice(results)
    jobs = [one for one in results if one.suffix.casefold() == ".toml"]
    if jobs and len(results) > 1:
        raise RequestError(
            f"The job file '{jobs[0].name}'",
            "is named beside other files",
            "a sheet is for one job, or for results",
            "Name it alone, or name the results.",
        )
    target = ended(output, ".html", ".htm") if output is not None else Path(f"{results[0].stem}-sheet.html")
    to_file = target != STANDARD_OUTPUT
    if to_file:
        refuse_output(target, force, *results)
    unit = as_listed(unit, ("mm", "cm", "in")) or unit
    notes: list[str] = []
    if jobs:
        from pleatsvg.batch.garment import garment_of

        garment = garment_of(results[0], out, unit)
        notes += garment.notes
        if to_file:
            refuse_output(target, force, *garment.results)
        pieces, data = api.worksheet(
            garment.results, unit=unit, title=garment.title, matches=garment.matches, called=garment.called
        )
    else:
        if out is not None:
            raise RequestError("--out", "is given without a job file", "results are named one by one", "Leave it out.")
        pieces, data = api.worksheet(results, unit=unit)
    if to_file:
        write_whole(target, data)
    else:
        put_out(data)
    say(made_text(pieces, notes, called(target)), error=not to_file)
