"""Words for the person in which the options that they name are values, called as each surface calls them.

The command line calls an option `--hem-intake 8cm`, a job file `hem_intake = "8cm"`, Python `hem_intake="8cm"`. So a
message keeps what it names as data until it is shown, and nothing needs to look for options in a finished sentence.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from typing import Any, NamedTuple


class Named(NamedTuple):
    """An option that a message names, with the value that the message gives it (True for one that has none), or None."""

    name: str
    value: str | int | None = None


PROGRAM = "pleatsvg"


Surface = Callable[[Named], str]
"""How a surface writes an option and its value."""


def in_python(option: Named) -> str:
    """Return an option as a keyword argument.

    >>> in_python(Named("hem_intake", "8cm")), in_python(Named("pair", True)), in_python(Named("lap"))
    ('hem_intake="8cm"', 'pair=True', 'lap')
    """
    if is_command(option):
        return on_the_drawing(option)
    if option.value is None:
        return option.name
    return f'{option.name}="{option.value}"' if isinstance(option.value, str) else f"{option.name}={option.value}"


class Words(str):
    """A text that knows which options it names. As a plain text it calls them as Python does.

    Attributes:
        parts: the text in order: strings, and options that are named between them.
    """

    parts: tuple[str | Named, ...]

    def __new__(cls, *parts: str | Named) -> Words:
        """Put a text together; what stands in `parts` as `Words` keeps the options that it names."""
        flat: list[str | Named] = []
        for part in parts:
            for piece in part.parts if isinstance(part, Words) else (part,):
                if piece == "":
                    continue
                if flat and isinstance(piece, str) and isinstance(flat[-1], str):
                    flat[-1] += str(piece)
                else:
                    flat.append(piece)
        made = super().__new__(cls, _shown(flat, in_python))
        made.parts = tuple(flat)
        return made

    @property
    def options(self) -> tuple[str, ...]:
        """The names of the options in it, in order."""
        return tuple([part.name for part in self.parts if isinstance(part, Named)])

    def on(self, surface: Surface) -> str:
        """Return the text as a surface shows it."""
        return _shown(self.parts, surface)

    def over(self, change: Callable[[str], str]) -> Words:
        """Return it with every text between its options changed."""
        return Words(*[part if isinstance(part, Named) else change(part) for part in self.parts])

    def __reduce__(self) -> tuple[Any, ...]:
        return (Words, self.parts)


def _shown(parts: tuple[str | Named, ...] | list[str | Named], surface: Surface) -> str:
    return "".join([surface(part) if isinstance(part, Named) else part for part in parts])


def option(name: str, value: str | int | None = None) -> Words:
    """Return an option by its name in `pleatsvg.order.options`, as a part of a message."""
    return Words(Named(name, value))


def command(name: str) -> Words:
    """Return a command to run on the drawing at hand, as a part of a message: whole where it is known which that is.

    >>> message("Run {}.", command("measure"))
    "Run 'pleatsvg measure' on the drawing."
    """
    return Words(Named(f"{PROGRAM} {name}"))


def is_command(named: Named) -> bool:
    """Whether a message names a command there, and no option."""
    return named.name.startswith(f"{PROGRAM} ")


def on_the_drawing(named: Named) -> str:
    """Return a command in words, where it is not known on which drawing it is run."""
    return f"'{named.name}' on the drawing"


def for_shell(word: str, windows: bool | None = None) -> str:
    """Return a word of a command as it is typed: in quotes where the shell would take it apart.

    Args:
        word: as the program is to get it.
        windows: whether for a shell of Windows, which knows double quotes alone; left out, as this machine is one.

    >>> for_shell("skirt.svg"), for_shell("left side", False), for_shell("left side", True)
    ('skirt.svg', "'left side'", '"left side"')
    """
    if word and not _UNSAFE.search(word):
        return word
    if os.name == "nt" if windows is None else windows:
        return '"' + word.replace('"', '\\"') + '"'
    return "'" + word.replace("'", "'\\''") + "'"


_UNSAFE = re.compile(r"[^\w@%+=:,./\\-]" if os.name == "nt" else r"[^\w@%+=:,./-]", re.ASCII)


def message(template: str, *parts: object) -> Words:
    """Return a message: each `{}` of the template is one of `parts`, an `option` or anything that has a text.

    >>> message("Give {}, or {}.", option("intake", "6cm"), option("depth", "3cm"))
    'Give intake="6cm", or depth="3cm".'
    """
    between = template.split("{}")
    if len(between) != len(parts) + 1:
        raise ValueError(f"{len(parts)} parts for {template!r}")
    filled: list[str | Named] = [between[0]]
    for part, after in zip(parts, between[1:], strict=True):
        filled += [part if isinstance(part, Words) else str(part), after]
    return Words(*filled)


def shown(text: str, surface: Surface) -> str:
    """Return a text as a surface shows it; one that names no option is the same on all of them."""
    return text.on(surface) if isinstance(text, Words) else text


def within(sentence: str) -> str:
    """Return a sentence as it stands within another: without its capital and its full stop.

    >>> within("The lap is missing.")
    'the lap is missing'
    """
    parts = list(sentence.parts) if isinstance(sentence, Words) else [sentence]
    if isinstance(parts[-1], str):
        parts[-1] = parts[-1].rstrip(".")
    if isinstance(parts[0], str):
        parts[0] = parts[0][:1].lower() + parts[0][1:]
    return Words(*parts)
