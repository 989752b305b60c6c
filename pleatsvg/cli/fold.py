"""The command 'fold': a result folded back, proven and drawn folded."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pleatsvg.cli.options import STANDARD_OUTPUT, JsonOption, called, ended
from pleatsvg.order.options import as_listed


def fold(
    result: Annotated[Path, typer.Argument(metavar="RESULT", help="A flat piece that 'pleat' wrote, edited or not.")],
    output: Annotated[
        Path | None, typer.Option("-o", "--output", metavar="FOLDED", help="Draw the folded piece to this SVG file.")
    ] = None,
    side: Annotated[
        str, typer.Option("--side", metavar="right|wrong", help="The side of the cloth that the picture shows.")
    ] = "right",
    steps: Annotated[
        bool, typer.Option("--steps", help="Draw the folding in a few panels instead, to follow at the table.")
    ] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over FOLDED if it is there.")] = False,
    json: JsonOption = False,
) -> None:
    """Fold a result back from its drawn lines alone, and prove it before you cut.

    Five things are measured: the folded outline is the finished seam; every raw edge of every layer lies on it; each
    fold line lies on its placement line; nothing pokes out; every layer keeps its area. If the drawing was changed in
    an editor so that it no longer folds true, it says which line misses, by how much and where, and the exit code is 1.

    Examples:

      pleatsvg fold skirt-flat.svg

      pleatsvg fold skirt-flat.svg -o skirt-folded.svg --side wrong

      pleatsvg fold skirt-flat.svg -o skirt-steps.svg --steps
    """
    from pleatsvg.errors import RequestError

    meant = as_listed(side, ("right", "wrong"))
    if meant is None:
        raise RequestError("--side", f"is '{side}'", "cloth has a right and a wrong side", "Give right or wrong.")
    from pleatsvg import api
    from pleatsvg.cli.report import folded as fold_report
    from pleatsvg.saying import put_out, say
    from pleatsvg.wholefile import refuse_output

    output = None if output is None else ended(output)
    if output is not None and output != STANDARD_OUTPUT:
        refuse_output(output, force, result)
    proofs = api.fold(result)
    true = all(proof.holds for proof in proofs)
    if true and output == STANDARD_OUTPUT:
        put_out(api.folded_picture(proofs, side=meant, steps=steps))
    elif true and output is not None:
        api.draw_folded(proofs, output, side=meant, steps=steps, force=force)
    written = output if true else None
    words = (
        fold_report.folded_json(proofs, result, written)
        if json
        else fold_report.folded_text(proofs, called(written) if written is not None else None, steps=steps)
    )
    say(words, error=output == STANDARD_OUTPUT)
    if not true:
        raise fold_report.not_true(proofs, result)
