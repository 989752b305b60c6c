"""The command line: parse, call, print. What a command needs is imported when it runs, so that help comes at once."""

from __future__ import annotations

import gc
import re
import sys
from functools import cache
from typing import TYPE_CHECKING, Any, NoReturn

import typer

from pleatsvg.cli.app import CommandAsTyped, GroupedCommand, app
from pleatsvg.cli.ask import ask
from pleatsvg.cli.batch import batch
from pleatsvg.cli.card import card
from pleatsvg.cli.fold import fold
from pleatsvg.cli.measure import measure
from pleatsvg.cli.options import take_at_hand
from pleatsvg.cli.plan import plan
from pleatsvg.cli.pleat import pleat
from pleatsvg.cli.report.failed import failure_text
from pleatsvg.cli.sample import sample
from pleatsvg.cli.sheet import sheet
from pleatsvg.cli.tile import tile
from pleatsvg.errors import PleatError, cut_short
from pleatsvg.order.options import OPTIONS, Value
from pleatsvg.saying import UnsaidError, flush, on_one_line, say
from pleatsvg.wholefile import what_stands
from pleatsvg.wording import for_shell

if TYPE_CHECKING:
    from pleatsvg.cli.shell.slips import Slip

# In the order in which help lists them.
app.command(short_help="What is on a drawing: scale, seam edges, slash lines.")(measure)
app.command(short_help="Add pleats to a drawn piece; the main job.", no_args_is_help=True, cls=GroupedCommand)(pleat)
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
    take_at_hand(None)
    try:
        code = _commands()(standalone_mode=False)
        flush()
    except UnsaidError as error:
        _leave(f"{error.message} {what_stands()}", 1)
    except PleatError as error:
        _refuse(error)
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


def _refuse(error: PleatError) -> NoReturn:
    said = failure_text(error, "")
    slip = _slip()
    if slip is not None and any(word in said for word in slip.touched):
        _leave(slip.answer(), 2)
    _leave(said, error.exit_code)


def _slip() -> Slip | None:
    # What the shell made of the command, if it was meant otherwise.
    from pleatsvg.cli.shell.slips import Taking, slip_in

    words = sys.argv[1:]
    command = _commands().commands.get(words[0]) if words else None
    if command is None:
        return None
    options: dict[str, Value | None] = {}
    alone: int | None = 0
    for parameter in command.params:
        if parameter.param_type_name == "argument":
            alone = None if alone is None or parameter.nargs < 0 else alone + parameter.nargs
            continue
        row = OPTIONS.get(parameter.name.rstrip("_"))
        takes = None if parameter.is_flag else row.value if row is not None else Value.TEXT
        options |= dict.fromkeys([*parameter.opts, *parameter.secondary_opts], takes)
    return slip_in(words, Taking(options, alone))


def _refuse_words(error: Any) -> NoReturn:
    # What the parser of the command line refuses, in one paragraph; a command alone is answered with its help.
    slip = _slip()
    if slip is not None:
        _leave(slip.answer(), 2)
    context = getattr(error, "ctx", None)
    # However it was started, it is called by the name that README and every other message use.
    below = context.command_path.partition("pleatsvg ")[2] if context is not None else ""
    name = f"pleatsvg {below}".strip()
    if type(error).__name__ == "NoArgsIsHelpError" and context is not None:
        say(context.get_help(), error=True)
        raise SystemExit(2)
    message = _in_plain_words(error.format_message().rstrip("."), name)
    end = "" if message.endswith("?") else "."
    _leave(f"{cut_short(message, 300)}{end} See {name} --help", 2)


def _in_plain_words(message: str, command: str) -> str:
    # What the parser says as one programmer to another.
    over = re.fullmatch(r"Got unexpected extra argument(?:s|\(s\))? \((.*)\)", message)
    if over is not None and re.search(r"\.svgz?$", over[1], re.IGNORECASE):
        result = (
            "; if it is to be the result, write -o before it" if command in ("pleatsvg pleat", "pleatsvg fold") else ""
        )
        return f"'{cut_short(over[1])}' is one drawing too many: '{command}' takes one at a time{result}"
    if over is not None:
        return (
            f"'{cut_short(over[1])}' is more than '{command}' takes: what has a blank in it stands in quotes, and an option "
            "begins with two hyphens"
        )
    lacking = re.fullmatch(r"Missing argument '(.*)'", message)
    if lacking is not None:
        return f"{lacking[1]} is missing: the name of a file"
    needed = re.fullmatch(r"Option '(.*)' requires an argument", message)
    if needed is not None:
        return f"{needed[1]} needs a value behind it"
    unknown = re.fullmatch(r"No such command '(.*\.svgz?)'", message, re.IGNORECASE | re.DOTALL)
    if unknown is not None:
        file = for_shell(unknown[1])
        return (
            f"'{unknown[1]}' is a drawing, and what to do with it stands before it: pleatsvg measure {file} tells what is on "
            f"it, pleatsvg ask {file} asks what is wanted"
        )
    return message.replace("No such option: ", "There is no option ").replace(
        "No such command ", "There is no command "
    )


def _leave(message: str, code: int) -> NoReturn:
    say(on_one_line(message), error=True)
    raise SystemExit(code)
