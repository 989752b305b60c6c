"""The command 'batch': a set of pieces from a job file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pleatsvg.cli.completing import files, only
from pleatsvg.cli.options import whole_number


def batch(
    job: Annotated[
        Path | None,
        typer.Argument(
            metavar="JOB.toml", help="The job file: which drawings, which pleats.", autocompletion=files(".toml")
        ),
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option(
            "-o", "--out", metavar="DIR", help="The folder for the results; left out, 'pleated' beside JOB.toml."
        ),
    ] = None,
    workers: Annotated[
        str | None,
        typer.Option("--workers", metavar="N", help="How many pieces are made at a time; left out, one to a core."),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            "--only", metavar="NAME", help="Only this piece or drawing (repeat for more).", autocompletion=only
        ),
    ] = None,
    keep_going: Annotated[
        bool,
        typer.Option(
            "--keep-going/--stop-at-first", help="Go on after a piece that cannot be made, or stop there. Going on."
        ),
    ] = True,
    resume: Annotated[
        bool, typer.Option("--resume", help="Keep what an earlier run made of the same drawings and options.")
    ] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over what is there.")] = False,
    watch: Annotated[
        bool, typer.Option("--watch", help="Go on making anew what is saved, until Ctrl-C: JOB.toml and every drawing.")
    ] = False,
    new: Annotated[
        Path | None,
        typer.Option("--new", metavar="FOLDER", help="Write a job file to fill in, from the drawings found in FOLDER."),
    ] = None,
) -> None:
    """Pleat a whole set of pieces, as a job file asks for them.

    Every result is proven and written whole or not at all; a drawing that cannot be pleated is told and the others are
    made. Side seams and waistbands that belong together are held against one another. The output folder gets the
    results, summary.json and summary.csv. A batch that was broken off, even by a power cut, goes on with --resume.

    Examples:

      pleatsvg batch --new drawings

      pleatsvg batch wardrobe.toml --out pleated

      pleatsvg batch wardrobe.toml --out pleated --resume

      pleatsvg batch wardrobe.toml --watch
    """
    from pleatsvg.batch import command
    from pleatsvg.saying import say

    count = whole_number(workers, "--workers")
    if new is not None:
        say(command.new_job(new, job, force))
        return
    if watch:
        from pleatsvg.batch.watched import watched_batch

        raise typer.Exit(watched_batch(job, out, count, only or (), keep_going, resume, force))
    raise typer.Exit(command.batch(job, out, count, only or (), keep_going, resume, force))
