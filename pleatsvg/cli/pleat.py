"""The command 'pleat': the main job."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from pleatsvg.cli.options import DrawingArgument, JsonOption, PieceOption, ShowsOption, UnitOption, whole_number


def pleat(
    drawing: DrawingArgument,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", metavar="OUT", help="The result: an SVG file. Needed.")
    ] = None,
    kind: Annotated[
        str | None,
        typer.Option(
            "--kind",
            metavar="KIND",
            help="knife, box, inverted, kick, tuck or pin-tuck. Needed, unless the names of the slash lines say it "
            "('slash 2 inverted 12cm').",
        ),
    ] = None,
    intake: Annotated[
        str | None,
        typer.Option(
            "--intake",
            metavar="LENGTH",
            help="Flat width that each pleat takes up: 2 x depth for a knife, 4 x depth for box and inverted.",
        ),
    ] = None,
    depth: Annotated[
        str | None, typer.Option("--depth", metavar="LENGTH", help="Outer fold to inner fold; instead of --intake.")
    ] = None,
    hem_intake: Annotated[
        str | None,
        typer.Option(
            "--hem-intake", metavar="LENGTH", help="Intake at the hem, where it differs; 0mm for a hinged pleat."
        ),
    ] = None,
    lap: Annotated[
        str | None,
        typer.Option(
            "--lap",
            metavar="WAY",
            help="The way the outer folds point, right side up: left, right, up, down, centre or sides. "
            "A knife pleat needs it.",
        ),
    ] = None,
    face: Annotated[
        str | None, typer.Option("--face", metavar="LENGTH", help="Width of a box pleat's face; left out, 2 x depth.")
    ] = None,
    stack: Annotated[
        str | None,
        typer.Option("--stack", metavar="N", help="Layers of each pleat on one another: 2 for double pleats."),
    ] = None,
    stitched: Annotated[
        str | None,
        typer.Option(
            "--stitched", metavar="LENGTH", help="Released tucks: how far each is stitched; left out, all along."
        ),
    ] = None,
    stitched_from: Annotated[
        str | None, typer.Option("--stitched-from", metavar="top|hem|middle", help="Where that stitching lies.")
    ] = None,
    height: Annotated[
        str | None, typer.Option("--height", metavar="LENGTH", help="Height of a kick pleat, up from the hem.")
    ] = None,
    underlay: Annotated[
        str | None,
        typer.Option(
            "--underlay",
            metavar="whole|separate",
            help="Inverted and kick pleats: the underlay in one with the piece, or a piece of its own.",
        ),
    ] = None,
    slash: Annotated[
        list[str] | None,
        typer.Option(
            "--slash",
            metavar="NAME",
            help="Slash along this line only (repeat for more); 'all' takes every straight line across.",
        ),
    ] = None,
    at: Annotated[
        list[str] | None,
        typer.Option(
            "--at",
            metavar="LENGTH",
            help="Place a line this far along the top seam from its left end (repeat for more).",
        ),
    ] = None,
    count: Annotated[
        str | None,
        typer.Option(
            "--count", metavar="N", help="Place N lines at equal spaces along the top seam, half a space at its ends."
        ),
    ] = None,
    gap: Annotated[
        str | None,
        typer.Option(
            "--gap",
            metavar="LENGTH",
            help="With --count: a run of N lines so far apart, beginning at each line drawn or placed.",
        ),
    ] = None,
    run: Annotated[
        str,
        typer.Option(
            "--run", metavar="HOW", help="How placed lines run: square to the seam, along the grain, or fan to the hem."
        ),
    ] = "square",
    along: Annotated[
        str | None,
        typer.Option(
            "--along", metavar="EDGE", help="Place lines along this edge, as 'measure' names it, not along the top."
        ),
    ] = None,
    allowance: Annotated[
        list[str] | None,
        typer.Option(
            "--allowance",
            metavar="LENGTH",
            help="Seam allowance outside the seam line, on every edge: 15mm; or on one edge: 'hem=4cm', 'left side=2cm' "
            "(repeat for more; edges as 'measure' names or numbers them).",
        ),
    ] = None,
    allowance_drawn: Annotated[
        str | None,
        typer.Option(
            "--allowance-drawn",
            metavar="LENGTH",
            help="The outline drawn is the cutting line; the seam lies so far inside it.",
        ),
    ] = None,
    hem_turn: Annotated[
        bool,
        typer.Option(
            "--hem-turn", help="Mirror the sides across the hem line, so that the hem turned up matches them."
        ),
    ] = False,
    mark: Annotated[
        str | None,
        typer.Option(
            "--mark", metavar="full|LENGTH", help="How far down from the top fold and placement lines are drawn."
        ),
    ] = None,
    notch: Annotated[
        str | None,
        typer.Option(
            "--notch",
            metavar="snip|triangle",
            help="One notch for both kinds of line; left out, a snip at fold lines, a triangle at placement lines.",
        ),
    ] = None,
    stitch_down: Annotated[
        str | None,
        typer.Option(
            "--stitch-down", metavar="LENGTH", help="Stitch beside each fold, through all layers, so far down."
        ),
    ] = None,
    edge_stitch: Annotated[
        str | None,
        typer.Option(
            "--edge-stitch",
            metavar="full|LENGTH",
            help="Stitch each fold through by itself, 2 mm from it, so far down.",
        ),
    ] = None,
    fold_edge: Annotated[
        str | None,
        typer.Option("--fold-edge", metavar="EDGE", help="The seam edge that is cut on the fold of the cloth."),
    ] = None,
    open_fold: Annotated[
        bool, typer.Option("--open-fold", help="Write the whole piece, opened out at its fold edge.")
    ] = False,
    cloth_width: Annotated[
        str | None,
        typer.Option(
            "--cloth-width",
            metavar="LENGTH",
            help="Width of the cloth: a wider flat piece is parted at inner folds, with the fewest joins.",
        ),
    ] = None,
    hem: Annotated[
        str | None,
        typer.Option(
            "--hem",
            metavar="folded|smooth",
            help="The hem over hidden cloth: trued as folded, or one smooth curve for pleats that hang open.",
        ),
    ] = None,
    pair: Annotated[bool, typer.Option("--pair", help="The piece is cut twice, the second time mirrored.")] = False,
    onto: Annotated[
        str | None,
        typer.Option(
            "--continue",
            metavar="EDGE=DRAWING",
            help="Lay the piece that is sewn to this edge against it: pleats may lie at that seam (--slash EDGE) or run on "
            "beneath it, and the two are parted at an inner fold instead.",
        ),
    ] = None,
    piece: PieceOption = None,
    drawing_unit: UnitOption = None,
    shows: ShowsOption = "right",
    force: Annotated[bool, typer.Option("--force", help="Write over OUT if it is there.")] = False,
    json: JsonOption = False,
) -> None:
    """Slash a drawn piece, spread it for pleats, true its seam and write the flat piece.

    The result is folded back from its own drawn creases before it is written, and refused if any edge of any layer
    misses the seam by more than 0.01 mm.

    Examples:

      pleatsvg pleat skirt.svg -o skirt-flat.svg --kind knife --intake 6cm --lap left

      pleatsvg pleat gore.svg -o gore-flat.svg --kind inverted --intake 12cm --hem-intake 16cm

      pleatsvg pleat apron.svg -o apron-flat.svg --kind box --depth 1in --count 5

      pleatsvg pleat skirt.svg -o skirt-cut.svg --kind knife --intake 6cm --lap left --allowance 15mm --allowance hem=4cm
    """
    from pleatsvg.errors import RequestError
    from pleatsvg.order.piece_order import order_from

    order = order_from(
        kind=kind,
        intake=intake,
        depth=depth,
        hem_intake=hem_intake,
        lap=lap,
        face=face,
        slash=slash or (),
        at=at or (),
        stack=whole_number(stack, "--stack"),
        stitched=stitched,
        stitched_from=stitched_from,
        underlay=underlay,
        height=height,
        count=whole_number(count),
        gap=gap,
        run=run,
        along=along,
        allowance=allowance or None,
        allowance_drawn=allowance_drawn,
        hem_turn=hem_turn,
        mark=mark,
        notch=notch,
        stitch_down=stitch_down,
        edge_stitch=edge_stitch,
        fold_edge=fold_edge,
        open_fold=open_fold,
        pair=pair,
        cloth_width=cloth_width,
        hem=hem,
    )
    if output is None:
        raise RequestError("The output", "is missing", "the result needs a name of its own", "Give -o and a file name.")
    # What reads and draws is imported once the words are known to be right.
    from pleatsvg import api
    from pleatsvg.cli.report import pleated as report
    from pleatsvg.job import pleat_piece
    from pleatsvg.wholefile import refuse_output

    refuse_output(output, force, drawing)
    drawn = api.read(drawing, piece=piece, drawing_unit=drawing_unit, shows=shows)
    if onto is not None:
        drawn = api.continue_onto(drawn, onto, drawing_unit=drawing_unit)
    result = pleat_piece(drawn, order)
    api.write(result, output, force=force)
    typer.echo(report.pleated_json(result, output) if json else report.pleated_text(result, output))
