"""Options of the commands, as the parser of the command line takes them from the table of options."""

from __future__ import annotations

import inspect
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

import typer

from pleatsvg.cli.completing import completion, files
from pleatsvg.order.options import OPTIONS, Of, Option, Value, on_command_line, taken_by
from pleatsvg.saying import on_one_line
from pleatsvg.wording import Named, for_shell, is_command, option


def typed(name: str, help: str | None = None) -> Any:
    """Return how an option is typed and what its help says.

    Args:
        name: of its row.
        help: instead of the row's, for a command where it means something of its own.
    """
    row = OPTIONS[name]
    forms = [f"-{row.letter}"] if row.letter else []
    told = completion(row)
    return typer.Option(*forms, row.flag, metavar=row.metavar or None, help=help or row.help, autocompletion=told)


def as_typed(named: Named) -> str:
    """Return an option as it is typed, whichever command takes it.

    >>> as_typed(Named("body", "70cm")), as_typed(Named("hem_intake", "8cm"))
    ('--body 70cm', '--hem-intake 8cm')
    """
    if is_command(named) and _at_hand:
        return f"{named.name} {for_shell(_at_hand[-1])}"
    if named.name in OPTIONS or is_command(named):
        return on_command_line(named)
    flag = f"--{named.name.replace('_', '-')}"
    if named.value is None or named.value is True:
        return flag
    return f"{flag} {for_shell(str(named.value))}"


_at_hand: list[str] = []


def take_at_hand(drawing: Path | None) -> None:
    """Say which drawing a command works on, for the commands that a message names; None for none yet."""
    _at_hand[:] = [] if drawing is None else [str(drawing)]


STANDARD_OUTPUT = Path("-")
"""An output of this name is no file; what the command has to say then goes to standard error."""


def called(output: Path) -> str:
    """Return what an output is called in words."""
    return "standard output" if output == STANDARD_OUTPUT else on_one_line(str(output))


def ended(output: Path, ending: str = ".svg", *others: str) -> Path:
    """Return an output with its ending: the first one where it has none.

    What stands there and is no file is left as it is called, for `refuse_output` to say so.

    Args:
        output: as typed.
        ending: that it gets where it has none.
        others: that it may have as well.

    Raises:
        RequestError: it has another ending.
    """
    name, endings = output.name, (ending, *others)
    known = output.suffix.casefold() in endings or name.casefold() in endings
    if output == STANDARD_OUTPUT or known or not name.strip("."):
        return output
    if os.path.lexists(output) and not os.path.isfile(output):  # noqa: PTH113, never raises
        return output
    if not output.suffix:
        return output.with_name(f"{name.rstrip('.')}{ending}")
    from pleatsvg.errors import RequestError

    raise RequestError(
        f"The output '{name}'",
        f"ends in '{output.suffix}'",
        f"what is written is {' or '.join([_FORMS[one] for one in endings if one in _FORMS])}",
        f"Call it '{output.stem}{ending}'.",
    )


_FORMS = {".svg": "an SVG", ".pdf": "a PDF", ".html": "a page for a browser (.html)", ".toml": "a job file (.toml)"}


DrawingArgument = Annotated[
    Path,
    typer.Argument(metavar="DRAWING", help="The piece as drawn: an SVG file.", autocompletion=files(".svg", ".svgz")),
]


PieceOption = Annotated[str | None, typed("piece")]


UnitOption = Annotated[str | None, typed("drawing_unit")]


ShowsOption = Annotated[str, typed("shows")]


JsonOption = Annotated[bool, typed("json")]


def with_options_of(command: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Give a function of a drawing and any options the parameters of a command, as the table has them.

    The parser builds its own from a function's signature; it calls the function with every one of them by name.
    """

    def signed(function: Callable[..., None]) -> Callable[..., None]:
        rows = taken_by(command)
        drawing = inspect.Parameter("drawing", inspect.Parameter.KEYWORD_ONLY, annotation=DrawingArgument)
        signature = inspect.Signature([drawing, *[_parameter(row) for row in rows]])
        vars(function)["__signature__"] = signature
        function.__annotations__ = {name: p.annotation for name, p in signature.parameters.items()}
        return function

    return signed


def _parameter(row: Option) -> inspect.Parameter:
    default: object = row.default
    takes: Any = str if row.default is not None else str | None
    if row.value is Value.FLAG:
        takes, default = bool, False
    elif row.value is Value.FILE:
        takes = Path | None
    elif row.many:
        takes = list[str] | None
    return inspect.Parameter(
        row.parameter, inspect.Parameter.KEYWORD_ONLY, default=default, annotation=Annotated[takes, typed(row.name)]
    )


def asked_of(subjects: tuple[Of, ...], command: str, given: dict[str, Any]) -> dict[str, Any]:
    """Return what a command was given under the options' own names, numbers read; of some subjects only."""
    found: dict[str, Any] = {}
    for row in taken_by(command):
        value = given[row.parameter]
        if row.of in subjects and value not in (None, (), []):
            found[row.name] = whole_number(value, option(row.name)) if row.value is Value.NUMBER else value
    return found


def whole_number(text: str | None, what: str) -> int | None:
    """Return a whole number that was typed.

    Raises:
        RequestError: it is no whole number.
    """
    from pleatsvg.errors import RequestError, cut_short

    if text is None:
        return None
    if not re.fullmatch(r" *[-+]?[0-9]+ *", text):
        raise RequestError(what, f"is '{cut_short(text)}'", "it must be a whole number", "Give how many you want.")
    digits = text.strip().lstrip("+-0") or "0"
    if len(digits) > 9:
        measured = f"is a number of {len(digits)} digits"
        raise RequestError(what, measured, "nobody counts so far", "Give how many you want.")
    return -int(digits) if "-" in text else int(digits)
