"""The command line: parse, call, print. What a command needs is imported when it runs, so that help comes at once."""

from __future__ import annotations

import gc
from functools import cache
from typing import Any, NoReturn

import typer

from pleatsvg.cli.app import CommandAsTyped, app
from pleatsvg.cli.ask import ask
from pleatsvg.cli.batch import batch
from pleatsvg.cli.card import card
from pleatsvg.cli.fold import fold
from pleatsvg.cli.measure import measure
from pleatsvg.cli.plan import plan
from pleatsvg.cli.pleat import pleat
from pleatsvg.cli.report.failed import failure_text
from pleatsvg.cli.sample import sample
from pleatsvg.cli.sheet import sheet
from pleatsvg.cli.tile import tile
from pleatsvg.errors import PleatError, cut_short
from pleatsvg.saying import UnsaidError, flush, on_one_line, say
from pleatsvg.wholefile import what_stands

# In the order in which help lists them.
app.command(short_help="What is on a drawing: scale, seam edges, slash lines.")(measure)
app.command(short_help="Add pleats to a drawn piece; the main job.", no_args_is_help=True)(pleat)
app.command(short_help="Be asked what is wanted, and have it made.", no_args_is_help=True)(ask)
app.command(
    short_help="Pleat arithmetic before anything is drawn; a plain panel is drawn too.",
    no_args_is_help=True,
    cls=CommandAsTyped,
)(plan)
app.command(short_help="Pleat a whole set of pieces from one job file.", no_args_is_help=True)(batch)
app.command(short_help="Fold a result back, prove it, and draw it folded.", no_args_is_help=True)(fold)
app.command(short_help="Print a result on pages at home, true to size, to be joined.", no_args_is_help=True)(tile)
app.command(short_help="Make the card for marking and pressing pleats.", no_args_is_help=True)(card)
app.command(short_help="Make the three-pleat sample to fold first.", no_args_is_help=True)(sample)
app.command(short_help="Make the sheet to sew from: pictures, figures, order of work.", no_args_is_help=True)(sheet)


def run() -> None:
    """Run the command line; a failure is one paragraph on standard error and an exit code, never a traceback."""
    # There is next to no cyclic garbage; collecting while packages are imported took a fifth of a short command.
    gc.set_threshold(100_000, 20, 20)
    try:
        code = _commands()(standalone_mode=False)
        flush()
    except UnsaidError as error:
        _leave(f"{error.message} {what_stands()}", 1)
    except PleatError as error:
        _leave(failure_text(error, ""), error.exit_code)
    except _ClickError as error:
        _refuse_words(error)
    except (KeyboardInterrupt, typer.Abort):
        _leave(f"Stopped. {what_stands()}", 130)
    except BrokenPipeError:
        raise SystemExit(1) from None
    except Exception as error:
        _leave(failure_text(error, what_stands()), 1)
    raise SystemExit(code if isinstance(code, int) else 0)


@cache
def _commands() -> Any:
    # Built from the commands above, once in a process.
    return typer.main.get_command(app)


_ClickError: type[Exception] = typer.BadParameter.__mro__[2]


def _refuse_words(error: Any) -> NoReturn:
    # What the parser of the command line refuses, in one paragraph; a command alone is answered with its help.
    context = getattr(error, "ctx", None)
    name = context.command_path if context is not None else "pleatsvg"
    if type(error).__name__ == "NoArgsIsHelpError" and context is not None:
        say(context.get_help(), error=True)
        raise SystemExit(2)
    message = error.format_message().rstrip(".")
    _leave(f"{cut_short(message, 300)}. See '{name} --help'.", 2)


def _leave(message: str, code: int) -> NoReturn:
    say(on_one_line(message), error=True)
    raise SystemExit(code)
