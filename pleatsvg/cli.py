"""The command line: parse, call, print. What a command needs is imported when it runs, so that help comes at once."""

from __future__ import annotations

import gc
import sys
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from pleatsvg import __version__
from pleatsvg.errors import PleatError

if TYPE_CHECKING:
    from pleatsvg.piece import FinishedPiece

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


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"pleatsvg {__version__}")
        raise typer.Exit()


@app.callback()
def _main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and leave.")
    ] = False,
) -> None:
    pass


_Drawing = Annotated[Path, typer.Argument(metavar="DRAWING", help="The piece as drawn: an SVG file.")]
_Piece = Annotated[
    str | None, typer.Option("--piece", metavar="NAME", help="Which piece, where the drawing holds several.")
]
_Unit = Annotated[
    str | None,
    typer.Option(
        "--drawing-unit",
        metavar="LENGTH",
        help="What one unit of the drawing measures, where the file says it wrongly.",
    ),
]
_Shows = Annotated[
    str, typer.Option("--shows", metavar="right|wrong", help="The side of the cloth that the drawing shows.")
]
_Json = Annotated[bool, typer.Option("--json", help="Print everything as JSON, lengths in mm.")]


@app.command(short_help="What is on a drawing: scale, seam edges, slash lines.")
def measure(
    drawing: _Drawing,
    piece: _Piece = None,
    unit: Annotated[str, typer.Option("--unit", metavar="mm|cm|in", help="The unit to answer in.")] = "mm",
    drawing_unit: _Unit = None,
    shows: _Shows = "right",
    json: _Json = False,
) -> None:
    """Measure a drawing before anything is made of it.

    Prints the page and the scale found, the seam edges between corners with their lengths, the slash lines with the
    places where they meet the seam and the spaces between them, and whatever looks odd; for every piece on it.

    Example: pleatsvg measure skirt-front.svg --unit in
    """
    from pleatsvg import api, report
    from pleatsvg.errors import RequestError

    if unit not in ("mm", "cm", "in"):
        raise RequestError("--unit", f"is '{unit}'", "lengths are given in mm, cm or in", "Give one of these.")
    if piece is None:
        pieces = api.read_all(drawing, drawing_unit=drawing_unit, shows=shows)
    else:
        pieces = [_read(drawing, piece, drawing_unit, shows)]
    found = [api.measure(one, unit=unit) for one in pieces]
    typer.echo(report.measured_json(found) if json else "\n\n".join(report.measured_text(one) for one in found))


@app.command(short_help="Add pleats to a drawn piece; the main job.", no_args_is_help=True)
def pleat(
    drawing: _Drawing,
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
    piece: _Piece = None,
    drawing_unit: _Unit = None,
    shows: _Shows = "right",
    force: Annotated[bool, typer.Option("--force", help="Write over OUT if it is there.")] = False,
    json: _Json = False,
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
    from pleatsvg.order import order_from

    order = order_from(
        kind=kind,
        intake=intake,
        depth=depth,
        hem_intake=hem_intake,
        lap=lap,
        face=face,
        slash=slash or (),
        at=at or (),
        stack=_whole_number(stack, "--stack"),
        stitched=stitched,
        stitched_from=stitched_from,
        underlay=underlay,
        height=height,
        count=_whole_number(count),
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
    from pleatsvg import api, report
    from pleatsvg.job import pleat_piece
    from pleatsvg.wholefile import refuse_output

    refuse_output(output, force, drawing)
    drawn = _read(drawing, piece, drawing_unit, shows)
    if onto is not None:
        drawn = api.continue_onto(drawn, onto, drawing_unit=drawing_unit)
    result = pleat_piece(drawn, order)
    api.write(result, output, force=force)
    typer.echo(report.pleated_json(result, output) if json else report.pleated_text(result, output))


@app.command(short_help="Pleat a whole set of pieces from one job file.", no_args_is_help=True)
def batch(
    job: Annotated[
        Path | None, typer.Argument(metavar="JOB.toml", help="The job file: which drawings, which pleats.")
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="The folder for the results; left out, 'pleated' beside JOB.toml."),
    ] = None,
    workers: Annotated[
        str | None,
        typer.Option("--workers", metavar="N", help="How many pieces are made at a time; left out, one to a core."),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option("--only", metavar="NAME", help="Only this piece or drawing (repeat for more)."),
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
    """
    from pleatsvg.batch import command

    count = _whole_number(workers, "--workers")
    if new is not None:
        typer.echo(command.new_job(new, job, force))
        return
    raise typer.Exit(command.batch(job, out, count, only or (), keep_going, resume, force))


@app.command(short_help="Fold a result back, prove it, and draw it folded.", no_args_is_help=True)
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
    json: _Json = False,
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

    if side not in ("right", "wrong"):
        raise RequestError("--side", f"is '{side}'", "cloth has a right and a wrong side", "Give right or wrong.")
    from pleatsvg import api, fold_report
    from pleatsvg.wholefile import refuse_output

    if output is not None:
        refuse_output(output, force, result)
    proofs = api.fold(result)
    true = all(proof.holds for proof in proofs)
    if true and output is not None:
        api.draw_folded(proofs, output, side=side, steps=steps, force=force)
    written = output if true else None
    typer.echo(
        fold_report.folded_json(proofs, result, written)
        if json
        else fold_report.folded_text(proofs, written, steps=steps)
    )
    if not true:
        raise fold_report.not_true(proofs, result)


def _whole_number(text: str | None, what: str = "--count") -> int | None:
    from pleatsvg.errors import RequestError

    if text is None:
        return None
    if not text.isascii() or not text.strip().lstrip("-+").isdigit() or len(text) > 9:
        raise RequestError(what, f"is '{text}'", "it must be a whole number", "Give how many you want.")
    return int(text)


def _read(drawing: Path, piece: str | None, drawing_unit: str | None, shows: str) -> FinishedPiece:
    from pleatsvg import api

    return api.read(drawing, piece=piece, drawing_unit=drawing_unit, shows=shows)


def run() -> None:
    """Run the command line; a failure is one paragraph on standard error and an exit code, never a traceback."""
    # There is next to no cyclic garbage; to look for it while packages are imported took a fifth of a short command.
    gc.set_threshold(100_000, 20, 20)
    try:
        code = _commands()(standalone_mode=False)
    except PleatError as error:
        _leave(str(error), error.exit_code)
    except _ClickError as error:
        _refuse_words(error)
    except (KeyboardInterrupt, typer.Abort):
        _leave("Stopped; nothing was written.", 130)
    except BrokenPipeError:
        sys.stderr.close()
        raise SystemExit(1) from None
    except (MemoryError, RecursionError):
        _leave("The drawing is larger or deeper than this machine can hold. Save the piece alone and try again.", 1)
    except Exception as error:
        _leave(
            f"Something went wrong that should not have: {type(error).__name__}: {error}. Nothing was written. "
            "The drawing may be sound; please report it with the command you gave.",
            1,
        )
    raise SystemExit(code if isinstance(code, int) else 0)


@cache
def _commands() -> Any:
    # Built from the signatures above, once in a process.
    return typer.main.get_command(app)


_ClickError: type[Exception] = typer.BadParameter.__mro__[2]


def _refuse_words(error: Any) -> NoReturn:
    # What the parser of the command line refuses, in one paragraph; a command alone is answered with its help.
    context = getattr(error, "ctx", None)
    name = context.command_path if context is not None else "pleatsvg"
    if type(error).__name__ == "NoArgsIsHelpError" and context is not None:
        print(context.get_help(), file=sys.stderr)
        raise SystemExit(2)
    message = error.format_message().rstrip(".")
    _leave(f"{message}. See '{name} --help'.", 2)


def _leave(message: str, code: int) -> NoReturn:
    print(" ".join(message.split()), file=sys.stderr)
    raise SystemExit(code)
