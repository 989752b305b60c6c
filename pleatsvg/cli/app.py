"""The program as the command line knows it; commands are added to it in main."""

from __future__ import annotations

from typing import Annotated

import typer

from pleatsvg import __version__

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 110},
    help=(
        "Pleats for a piece that you drafted yourself.\n\n"
        "Draw a flat skirt or bodice piece as SVG in any vector editor, with straight lines named 'slash 1', 'slash 2' "
        "where the pleats are to be. pleatsvg slashes it there, spreads it for the intake you ask for, trues the seam "
        "so that the folded edge lies smooth, and writes a new SVG to print and cut from.\n\n"
        "A LENGTH is written with its unit: 6cm, 60mm, 2.5in, '1 1/2in' or '5/8in'."
    ),
    epilog="Begin with: pleatsvg measure DRAWING",
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"pleatsvg {__version__}")
        raise typer.Exit()


@app.callback()
def _main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and leave.")
    ] = False,
) -> None:
    pass
