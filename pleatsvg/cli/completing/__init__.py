"""What a shell is told when the Tab key is pressed.

The parser of the command line speaks with the shells; here it is told what may stand in the place of a value. Nothing that
reads a drawing is imported before that is asked.
"""

from __future__ import annotations

from collections.abc import Callable

from pleatsvg.order.options import Option, Value

Completion = Callable[[str], list[str]]


_BY_NAME = frozenset(
    {"slash", "along", "fold_edge", "allowance", "ring", "continue", "balance", "hip", "pivot", "piece"}
)
"""Options whose values are names of what is drawn."""


def completion(row: Option) -> Completion | None:
    """Return what tells the values of an option that begin as the word does that is being typed; None where any text will
    do."""
    if row.name not in _BY_NAME and row.value is not Value.WORD and not (row.takes or row.or_full):
        return None

    def values(incomplete: str) -> list[str]:
        if row.name not in _BY_NAME:
            return as_the_shell_takes_it([*row.words, *(["full"] if row.or_full else [])], incomplete)
        from pleatsvg.cli.completing.names import names_for

        return as_the_shell_takes_it(names_for(row.name), incomplete)

    return values


def files(*endings: str) -> Completion:
    """Return what tells the files with these endings, and the folders, that begin as the word does."""

    def values(incomplete: str) -> list[str]:
        from pleatsvg.cli.completing.names import files_like

        return as_the_shell_takes_it(files_like(incomplete, endings), incomplete)

    return values


def only(incomplete: str) -> list[str]:
    """Tell the names of pieces in the job file named before."""
    from pleatsvg.cli.completing.names import names_in_job

    return as_the_shell_takes_it(names_in_job(), incomplete)


def as_the_shell_takes_it(values: list[str], incomplete: str) -> list[str]:
    """Return those that begin as the word does, written so that the shell takes each for one word."""
    found = [value for value in dict.fromkeys(values) if value.casefold().startswith(incomplete.casefold())]
    found = [value for value in found if value.isprintable()]
    from pleatsvg.cli.completing.shells import written

    return [_Word(written(value)) for value in found]


class _Word(str):
    # The parser asks once more whether it begins as what was typed, and what is quoted does not look so.
    def startswith(self, *_: object) -> bool:
        return True
