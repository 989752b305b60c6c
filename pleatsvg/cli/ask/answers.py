"""Questions and answers in plain lines, at a terminal or through a pipe."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from typing import TypeVar

from pleatsvg.cli.options import as_typed
from pleatsvg.errors import PleatError
from pleatsvg.saying import flush, on_one_line, put, say
from pleatsvg.wording import Named, is_command, message, shown

_T = TypeVar("_T")


MOST_TRIES = 20
"""Answers to one question. A person who has given as many does not know what is wanted; a program would go on for ever."""


_LONGEST = 1000
"""Letters of an answer."""


_OPTION = "\0"

_MEASURES = ("intake", "hem_intake", "depth", "face", "height", "allowance")
"""Options that are words of the trade as well: "take a narrower face"."""


def _without_options(error: PleatError) -> str:
    # Who wants no options is told what is wrong with an answer in words, and no remedy that is an option.
    def called(named: Named) -> str:
        return as_typed(named) if is_command(named) else f"the {named.name.replace('_', ' ')}"

    what = shown(message("{} {}{}{}.", error.element, error.measured, "; " if error.limit else "", error.limit), called)

    def advised(named: Named) -> str:
        if is_command(named):
            return as_typed(named)
        return named.name.replace("_", " ") if named.value is None and named.name in _MEASURES else _OPTION

    remedy = shown(error.remedy, advised)
    every = re.split(r"(?<=[.?;])\s+", remedy)
    kept = [said for said in every if _OPTION not in said]
    said = " ".join(kept).removesuffix(";").removesuffix(".") or "Give another answer"
    if kept[:1] != every[:1]:  # what stood before it is gone
        said = said.removeprefix("Or ").removeprefix("or ")
    return f"{what[:1].upper()}{what[1:]} {said[:1].upper()}{said[1:]}."


class NoAnswerError(Exception):
    """There is no answer to be had; its text says why."""


class Asker:
    """Asks questions, one after the other."""

    def __init__(self) -> None:
        # What is typed at a terminal is seen there; what comes through a pipe is shown as if it had been typed.
        self.echo = sys.stdin is None or not sys.stdin.isatty()

    def ask(self, question: str, offered: str, check: Callable[[str], _T], more: str) -> _T:
        """Ask until there is an answer that will do, and return what `check` makes of it.

        Args:
            question: without its question mark and what is offered.
            offered: the answer that an empty line gives.
            check: takes an answer, or raises a PleatError that says what is wrong with it.
            more: what the answer "?" is told, in lines.

        Raises:
            NoAnswerError: the input has come to its end, or no answer would do.
        """
        for _ in range(MOST_TRIES):
            put(f"{question}? [{on_one_line(offered)}] ")
            flush()
            answer = self._answer()
            if answer == "?":
                say("\n".join([f"  {row}" for row in more.splitlines()]))
                continue
            try:
                return check(answer or offered)
            except PleatError as error:
                say(f"  {_without_options(error)}")
        raise NoAnswerError("None of the answers would do.")

    def _answer(self) -> str:
        try:
            row = sys.stdin.readline(_LONGEST) if sys.stdin is not None else ""
        except UnicodeDecodeError:
            row = "\ufffd\n"
        if not row:
            say("")
            raise NoAnswerError("There are no more answers.")
        answer = row.strip()
        if self.echo:
            say(on_one_line(answer))
        return answer
