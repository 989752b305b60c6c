"""The command 'card': the card for marking and pressing."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pleatsvg.cli.options import STANDARD_OUTPUT, called, ended, typed


def card(
    result: Annotated[
        Path | None, typer.Argument(metavar="[RESULT]", help="A flat piece that 'pleat' wrote; none for lengths alone.")
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "-o",
            "--output",
            metavar="CARD",
            help="A PDF or an SVG, by its name, or - for a PDF to standard output. Left out: RESULT-card.pdf.",
        ),
    ] = None,
    kind: Annotated[str | None, typed("kind", help="knife, box, inverted, kick, tuck or pin-tuck.")] = None,
    intake: Annotated[str | None, typed("intake")] = None,
    depth: Annotated[str | None, typed("depth")] = None,
    hem_intake: Annotated[str | None, typed("hem_intake")] = None,
    spacing: Annotated[str | None, typed("spacing", help="The visible width from one outer fold to the next.")] = None,
    face: Annotated[str | None, typed("face")] = None,
    length: Annotated[str | None, typed("length")] = None,
    paper: Annotated[str, typed("paper")] = "A4",
    margin: Annotated[list[str] | None, typed("margin")] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over CARD if it is there.")] = False,
) -> None:
    """Make the card for marking and pressing: one for every different pleat, to cut from stiff paper.

    It is as wide as fold line to placement line, tapered where the pleat is; each edge bears the symbols of its line, a tab
    reaches to the next pleat, and a line says how deep the card goes inside the fold while it is pressed.

    Examples:

      pleatsvg card skirt-flat.svg -o skirt-card.pdf

      pleatsvg card --kind knife --intake 6cm --spacing 4cm -o card.svg
    """
    from pleatsvg import api
    from pleatsvg.cli.report import carded
    from pleatsvg.saying import put_out, say
    from pleatsvg.wholefile import refuse_output, write_whole

    beside = f"{result.stem}-card.pdf" if result is not None else "card.pdf"
    target = ended(output, ".pdf", ".svg") if output is not None else Path(beside)
    to_file = target != STANDARD_OUTPUT
    if to_file:
        refuse_output(target, force, *([result] if result is not None else []))
    given = {
        "kind": kind,
        "intake": intake,
        "depth": depth,
        "hem_intake": hem_intake,
        "spacing": spacing,
        "face": face,
        "length": length,
    }
    sheet, data = api.cards(
        result,
        paper=paper,
        margin=margin or (),
        svg=target.suffix.casefold() == ".svg",
        **{name: value for name, value in given.items() if value is not None},
    )
    if to_file:
        write_whole(target, data)
    else:
        put_out(data)
    say(carded.carded_text(sheet, called(target)), error=not to_file)
