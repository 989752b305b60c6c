"""The command 'ask': for the person who wants no options."""

from __future__ import annotations

import typer

from pleatsvg.cli.options import DrawingArgument, PieceOption


def ask(drawing: DrawingArgument, piece: PieceOption = None) -> None:
    """Be asked what is wanted, in a handful of questions, and have the piece pleated.

    Each question offers an answer, which the Enter key takes; ? explains. What the drawing says is not asked. At the end
    stands the one command that does the same again.

    Example: pleatsvg ask skirt-front.svg
    """
    from pleatsvg import api
    from pleatsvg.cli.ask.answers import Asker, NoAnswerError
    from pleatsvg.cli.ask.command_line import same_again
    from pleatsvg.cli.ask.questions import wanted
    from pleatsvg.cli.pleat import pleat
    from pleatsvg.order.options import taken_by
    from pleatsvg.saying import flush, say

    pieces = api.read_all(drawing) if piece is None else [api.read(drawing, piece=piece)]
    try:
        given = wanted(drawing, pieces, piece, Asker())
    except NoAnswerError as end:
        say(f"{end} Nothing was written.", error=True)
        raise typer.Exit(1) from None
    say("")
    flush()
    options = {row.name: row.parameter for row in taken_by("pleat")}
    pleat(drawing=drawing, **{parameter: given.get(name) for name, parameter in options.items()})
    # The result is there now: to do the same again is to write over it.
    say(f"\nThe same again:\n  {same_again(drawing, {**given, 'force': True})}")
