"""The command 'sample': the three-pleat sample that is folded first."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pleatsvg.cli.options import STANDARD_OUTPUT, called, ended, typed


def sample(
    result: Annotated[Path, typer.Argument(metavar="RESULT", help="A flat piece that 'pleat' wrote.")],
    output: Annotated[
        Path | None,
        typer.Option(
            "-o",
            "--output",
            metavar="SAMPLE",
            help="An SVG, or a PDF of pages to print, by its name; or - for an SVG to standard output. "
            "Left out: RESULT-sample.svg.",
        ),
    ] = None,
    paper: Annotated[str, typed("paper")] = "A4",
    margin: Annotated[list[str] | None, typed("margin")] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over SAMPLE if it is there.")] = False,
) -> None:
    """Make the sample that is folded first: a strip with three pleats of every kind and depth on the piece.

    It is marked like the pattern, to fold in paper or in a scrap of the cloth, and has lines to write down what the folds
    lose. It is a result like any other: 'fold' and 'tile' take it.

    Example: pleatsvg sample skirt-flat.svg -o skirt-sample.pdf
    """
    from pleatsvg import api
    from pleatsvg.cli.report import carded
    from pleatsvg.saying import put_out, say
    from pleatsvg.wholefile import refuse_output, write_whole

    target = ended(output, ".svg", ".pdf") if output is not None else Path(f"{result.stem}-sample.svg")
    to_file = target != STANDARD_OUTPUT
    if to_file:
        refuse_output(target, force, result)
    made, data = api.sample(result, pdf=target.suffix.casefold() == ".pdf", paper=paper, margin=margin or ())
    if to_file:
        write_whole(target, data)
    else:
        put_out(data)
    say(carded.sample_text(made, called(target)), error=not to_file)
