"""The program as the command line knows it; commands are added to it in main."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Annotated, Any

import typer
from typer.core import TyperCommand, TyperGroup

from pleatsvg import __version__
from pleatsvg.order.options import OPTIONS, Group, Option


class CommandAsTyped(TyperCommand):
    """A command whose texts are taken as they were typed, since it reads them itself.

    Before it looks at the first value, the parser imports a package for checking values, which takes longer than all that a
    command without a drawing does.
    """

    def get_params(self, ctx: Any) -> list[Any]:
        """Return the options, help among them; what is typed for them is kept."""
        return [_kept(one) for one in super().get_params(ctx)]


class GroupedCommand(TyperCommand):
    """A command with many options: what most people need first, so that it stands on one screen, then all by their groups."""

    def format_help(self, ctx: Any, formatter: Any) -> None:
        """Write help in this order: usage, what it does, what most people need, examples, every option in its group."""
        self.format_usage(ctx, formatter)
        what, _, more = inspect.cleandoc(self.help or "").partition("\n\n")
        aside, _, examples = more.partition("Examples:")
        formatter.write_paragraph()
        with formatter.indentation():
            formatter.write_text(" ".join(what.split()))
        listed = [(parameter, _row_of(parameter)) for parameter in self.get_params(ctx)]
        needed = [
            (record[0], row.first if row is not None else record[1])
            for parameter, row in listed
            if (record := parameter.get_help_record(ctx)) is not None
            and ((row is not None and row.first) or parameter.param_type_name == "argument")
        ]
        with formatter.section("What most people need"):
            formatter.write_dl(needed)
        typed = [" ".join(example.split()) for example in examples.split("\n\n") if example.strip()]
        with formatter.section("Examples"):
            for example in typed[:_AT_ONCE]:
                formatter.write(f"  {example}\n")  # never broken, so that it can be pasted
        for group in Group:
            rows = [
                record
                for parameter, row in listed
                if parameter.param_type_name != "argument"
                and (row.group if row is not None else Group.FILE) is group
                and (record := parameter.get_help_record(ctx)) is not None
            ]
            with formatter.section(group.value):
                formatter.write_dl(rows)
        with formatter.section("More examples"):
            for example in typed[_AT_ONCE:]:
                formatter.write(f"  {example}\n")
        formatter.write_paragraph()
        formatter.write_text(" ".join(aside.split()))


_AT_ONCE = 2
"""Examples on the first screen; the others stand behind all options."""


def _row_of(parameter: Any) -> Option | None:
    return OPTIONS.get(parameter.name.rstrip("_"))


class CommandsAsTyped(TyperGroup):
    """The program itself, in the same way."""

    def get_params(self, ctx: Any) -> list[Any]:
        """Return its own options, help among them."""
        return [_kept(one) for one in super().get_params(ctx)]


def _kept(parameter: Any) -> Any:
    if "process_value" not in vars(parameter):
        otherwise: Callable[[Any, Any], Any] = parameter.process_value

        def kept(context: Any, value: Any) -> Any:
            typed = isinstance(value, str) or value is None
            typed = typed or (isinstance(value, (list, tuple)) and all(isinstance(one, str) for one in value))
            return value if typed else otherwise(context, value)

        vars(parameter)["process_value"] = kept
    return parameter


app = typer.Typer(
    cls=CommandsAsTyped,
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
    epilog="Begin with: pleatsvg measure DRAWING; or, with nothing drawn yet: pleatsvg plan",
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
