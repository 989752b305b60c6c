"""Options as given, each taken as its row in the table of options says."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from pleatsvg.errors import RequestError, near_names
from pleatsvg.length import NOTHING, Length, parse_length
from pleatsvg.order.options import OPTIONS, Value, as_listed
from pleatsvg.wording import message, option


def refuse_unknown(options: Iterable[str], known: Iterable[str]) -> None:
    """Refuse an option that is not known, with the names that are like it.

    Raises:
        RequestError: one of `options` is not among `known`.
    """
    names = list(known)
    for name in options:
        if name not in names:
            raise RequestError(f"The option '{name}'", "is not known", near_names(name, names), "Check its spelling.")


class Given:
    """Options under their own names; one that is left out, or None, is not asked for.

    Every reader raises a RequestError where the value is not what the option takes.
    """

    def __init__(self, options: Mapping[str, Any]) -> None:
        self.options = options

    def has(self, name: str) -> bool:
        """Return whether an option is given at all."""
        return self.options.get(name) is not None

    def length(self, name: str) -> Length | None:
        """Return a length; None too where the option takes "full" and is that."""
        value = self.options.get(name)
        if OPTIONS[name].or_full and isinstance(value, str) and value.strip().casefold() == "full":
            return None
        return None if value is None else length_of(value, name)

    def length_or_word(self, name: str) -> Length | str | None:
        """Return a length, or one of the words that its option takes instead."""
        value = self.options.get(name)
        return as_listed(value, OPTIONS[name].words) or self.length(name)

    def lengths(self, name: str) -> tuple[Length, ...]:
        """Return all lengths that an option is given; one by itself counts as a list of one."""
        return tuple([length_of(value, name) for value in self._many(name) if value is not None])

    def word(self, name: str) -> str | None:
        """Return a word that its option knows."""
        value = self.options.get(name)
        value = OPTIONS[name].default if value is None else value
        return None if value is None else _word_of(value, name)

    def words(self, name: str) -> tuple[str, ...]:
        """Return all words that an option is given; one by itself counts as a list of one."""
        return tuple([_word_of(value, name) for value in self._many(name)])

    def plain(self, name: str) -> Any:
        """Return a value as it was given, but for a word, which is as its option lists it."""
        value = self.options.get(name)
        return self.word(name) if value is not None and OPTIONS[name].value is Value.WORD else value

    def number(self, name: str) -> int | None:
        """Return a whole number."""
        value = self.options.get(name)
        if value is not None and (isinstance(value, bool) or not isinstance(value, int)):
            raise RequestError(option(name), f"is {value!r}", "it must be a whole number", "Give it in digits, as 2.")
        return value

    def amount(self, name: str) -> float | None:
        """Return a number, whole or not."""
        value = self.options.get(name)
        if value is not None and not is_amount(value):
            raise RequestError(option(name), f"is {value!r}", "it must be a number", "Give it in digits, as 2 or 0.5.")
        return value

    def text(self, name: str) -> str | None:
        """Return a text."""
        value = self.options.get(name)
        return None if value is None else _text_of(value, name)

    def texts(self, name: str) -> tuple[str, ...]:
        """Return all texts that an option is given; one by itself counts as a list of one."""
        return tuple([_text_of(value, name) for value in self._many(name)])

    def check(self, name: str) -> None:
        """Refuse a value that its option does not take."""
        takes = OPTIONS[name].value
        if takes is Value.LENGTH:
            self.length(name)
        elif takes is Value.WORD:
            self.plain(name)
        elif takes is Value.NUMBER:
            self.number(name)
        elif takes is Value.AMOUNT:
            self.amount(name)

    def flag(self, name: str) -> bool:
        """Return whether an option without a value is given."""
        value = self.options.get(name)
        if value is not None and not isinstance(value, bool):
            raise RequestError(option(name), f"is {value!r}", "it is either so or not", "Give True or False.")
        return bool(value)

    def by_edge(self, name: str) -> list[tuple[str, object]]:
        """Return what is given for each edge by its name, or "" for every edge: from "15mm", "hem=4cm" or a table."""
        value = self.options.get(name)
        if isinstance(value, Mapping):
            return [(str(edge), one) for edge, one in value.items()]
        pairs: list[tuple[str, object]] = []
        for item in self._many(name):
            edge, equals, rest = item.partition("=") if isinstance(item, str) else ("", "", item)
            if equals and not edge.strip():
                raise RequestError(
                    option(name), f"is '{item}'", "no edge is named", "Write 'hem=4cm'; or 15mm for every edge."
                )
            pairs.append((edge, rest) if equals else ("", item))
        return pairs

    def _many(self, name: str) -> Iterable[Any]:
        value = self.options.get(name)
        if value is None:
            return ()
        return value if isinstance(value, Iterable) and not isinstance(value, str) else (value,)


_STACKED = re.compile(r"(double|triple)[\s-]+(.*)", re.IGNORECASE | re.DOTALL)


def _word_of(value: Any, name: str) -> str:
    words = list(OPTIONS[name].words)
    meant = as_listed(value, words)
    stacked = _STACKED.match(str(value).strip())
    if meant is None and name == "kind" and stacked is not None and as_listed(stacked[2], words) is not None:
        raise RequestError(
            option(name),
            f"is '{value}'",
            "how often a pleat is laid on itself is said apart",
            message(
                "Give {} and {}.",
                option(name, as_listed(stacked[2], words)),
                option("stack", 2 if stacked[1].casefold() == "double" else 3),
            ),
        )
    if meant is None:
        raise RequestError(option(name), f"is '{value}'", near_names(str(value), words), "Give one of these words.")
    return meant


def _text_of(value: object, name: str) -> str:
    if not isinstance(value, str):
        raise RequestError(option(name), f"is {value!r}", "it is a name", "Give it as a text.")
    return value


LARGEST_AMOUNT = 1_000_000
"""What is weighed against other weights needs no larger number."""


def is_amount(value: object) -> bool:
    """Whether a value is a number that something can be weighed by."""
    return isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) <= LARGEST_AMOUNT


def is_nothing(value: object) -> bool:
    """Whether a value is the number 0, which is as long in every unit."""
    return isinstance(value, (int, float)) and not isinstance(value, bool) and value == 0


def length_of(value: object, name: str) -> Length:
    """Return a length as given to an option.

    Raises:
        RequestError: it has no unit, or is no length.
    """
    if isinstance(value, Length):
        return value
    if is_nothing(value):
        return NOTHING
    if not isinstance(value, str):
        raise RequestError(option(name), f"is {value!r}, without a unit", "", "Write it as '6cm', '60mm' or '2 1/2in'.")
    return parse_length(value, option(name))
