"""The command 'tile': a result on pages to print at home and join."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pleatsvg.cli.options import STANDARD_OUTPUT, called, ended, typed
from pleatsvg.order.options import OPTIONS, as_listed


def tile(
    results: Annotated[list[Path], typer.Argument(metavar="RESULT...", help="Flat pieces that 'pleat' wrote.")],
    output: Annotated[
        Path | None,
        typer.Option(
            "-o",
            "--output",
            metavar="PAGES",
            help="The PDF, or - for standard output; with --format svg a folder. Left out: RESULT-pages.",
        ),
    ] = None,
    paper: Annotated[str, typed("paper")] = "A4",
    margin: Annotated[list[str] | None, typed("margin")] = None,
    overlap: Annotated[str, typed("overlap")] = "10mm",
    turn: Annotated[str | None, typed("turn")] = None,
    together: Annotated[bool, typed("together")] = False,
    open_fold: Annotated[bool, typed("open_fold", help="Print the whole of a piece that is cut on the fold.")] = False,
    scale: Annotated[str, typed("scale")] = "1:1",
    mirror: Annotated[bool, typed("mirror")] = False,
    without: Annotated[list[str] | None, typed("without")] = None,
    ink: Annotated[str, typed("ink")] = "colour",
    format_: Annotated[str, typed("format")] = "pdf",
    force: Annotated[bool, typer.Option("--force", help="Write over PAGES if it is there.")] = False,
    json: Annotated[bool, typed("json")] = False,
) -> None:
    """Print a result on pages, true to size, to be joined with tape.

    Print the first page alone: it has a 50 mm square to measure, a map of the pages and the key. The piece is turned and
    placed for the fewest pages, and blank ones are left out. Every page has its name in the foot margin, rungs across
    each join that fit no other join, and the name of every line that crosses it. Before the file is written its lines are
    read back from it, laid together and folded.

    Examples:

      pleatsvg tile skirt-flat.svg -o skirt-pages.pdf

      pleatsvg tile front-flat.svg back-flat.svg --together --paper letter -o both.pdf

      pleatsvg tile skirt-flat.svg --paper one -o copy-shop.pdf
    """
    from pleatsvg import api
    from pleatsvg.cli.report import tiled as report
    from pleatsvg.printing.to_disk import refuse_pages, write_pages
    from pleatsvg.saying import put_out, say

    refuse_twice(results)
    form = as_listed(format_, OPTIONS["format"].words) or format_
    target = output if output is not None else Path(f"{results[0].stem}-pages{'.pdf' if form == 'pdf' else ''}")
    if form == "pdf" and target.suffix.casefold() != ".svg":  # which is answered in words of its own
        target = ended(target, ".pdf")
    to_file = target != STANDARD_OUTPUT
    if to_file:
        refuse_pages(target, form, force, results)
    tiled = api.pages(
        results,
        paper=paper,
        margin=margin or (),
        overlap=overlap,
        turn=turn,
        together=together,
        open_fold=open_fold,
        scale=scale,
        mirror=mirror,
        without=without or (),
        ink=ink,
        format=form,
    )
    if to_file:
        write_pages(tiled, target, force, results)
    else:
        put_out(report.only_file(tiled))
    words = report.tiled_json(tiled, called(target)) if json else report.tiled_text(tiled, called(target))
    say(words, error=not to_file)


def refuse_twice(results: list[Path]) -> None:
    """Refuse a result that is named twice: a slip of the hand that costs paper."""
    from pleatsvg.errors import RequestError

    seen: set[Path] = set()
    for result in results:
        if result.absolute() in seen:
            raise RequestError(
                f"'{result.name}'",
                "is named twice",
                "each result is printed once",
                "Print the pages as often as needed.",
            )
        seen.add(result.absolute())
