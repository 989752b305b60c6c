"""Slips that a shell makes of a command: long dashes, quotes that it does not take, and blanks that were not quoted.

A text that was pasted from a letter or a web page has one long dash for two hyphens, and curly quotes; a length such as
1 1/2in and a name such as my skirt.svg fall apart where no quotes stand round them. None of this is the fault of an option,
so the answer is the whole command as it was meant, to be pasted.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from pleatsvg.errors import cut_short, listed
from pleatsvg.order.options import Value
from pleatsvg.wording import for_shell

_DASHES = "-\u2010\u2011\u2012\u2013\u2014\u2015\u2212"

_LONG_DASH = re.compile(rf"^(?=[{_DASHES}]*[^-\w])[{_DASHES}]{{1,3}}(?P<rest>[A-Za-z].*)$")

_OPENING, _CLOSING = "'\u2018\u201a\u201c\u201e\u00ab\u2039", "'\u2019\u2018\u201d\u201c\u00bb\u203a"

_NUMBER = r"(?:.*=)?\d{1,6}(?:[.,]\d{1,9})?"

_UNIT = r'(?:mm|cm|in|inch|inches|["\u2033\u201d])'

_LENGTHS = (
    re.compile(rf"{_NUMBER} \d{{1,4}}/\d{{1,4}} ?{_UNIT}", re.IGNORECASE),
    re.compile(rf"{_NUMBER} {_UNIT}", re.IGNORECASE),
    re.compile(rf"(?:.*=)?\d{{1,4}}/\d{{1,4}} {_UNIT}", re.IGNORECASE),
)
"""1 1/2in, 1 1/2 in, 6 cm, 5/8 in; and with an edge before them."""

_ENDINGS = (".svg", ".svgz", ".toml", ".pdf", ".html", ".htm")

_MOST_WORDS = 6
"""That a name with blanks is put together from."""


class Taking(NamedTuple):
    """How a command takes its words: the kind of value of each option, and how many words stand by themselves."""

    options: Mapping[str, Value | None]
    """By every form of it; None where it takes no value."""

    alone: int | None
    """None where they may be any number."""


class Slip(NamedTuple):
    """What went wrong, in a sentence for each word, and the words as they were meant."""

    said: tuple[str, ...]
    words: tuple[str, ...]
    touched: tuple[str, ...]
    """The words as they reached the program."""

    def answer(self) -> str:
        """Return both as one paragraph."""
        return f"{' '.join(self.said)} Type it so: {' '.join(['pleatsvg', *map(for_shell, self.words)])}"


def slip_in(words: Sequence[str], taking: Taking) -> Slip | None:
    """Return what a shell made of a command that was meant otherwise, or None where nothing shows it.

    Args:
        words: of the command line, the command's own name first.
        taking: how that command takes them.
    """
    dashes: list[str] = []
    single: list[str] = []
    quotes: list[str] = []
    meant = _unquoted([_with_hyphens(word, dashes) for word in words], quotes)
    meant = [_with_two(word, taking, single) for word in meant]
    blanks: list[str] = []
    meant = _put_together(meant, taking, blanks)
    said: list[str] = []
    if dashes:
        said.append(f"{_these(dashes)} with a long dash, as text programs write it; options begin with two hyphens.")
    if single:
        said.append(f"{_these(single)} with one hyphen; an option that is a whole word begins with two.")
    if quotes:
        said.append(f"The quotes round {_quoted(quotes)} are none that this shell takes, such as curly ones.")
    if blanks:
        one = len(blanks) == 1
        said.append(
            f"{_quoted(blanks)} {'has a blank and was' if one else 'have blanks and were'} not quoted, so the shell took "
            f"{'it' if one else 'them'} apart."
        )
    if not said:
        return None
    after = set(meant)
    return Slip(tuple(said), tuple(meant), tuple([word for word in words if word not in after]))


def _these(words: Sequence[str]) -> str:
    return f"{_quoted(words)} {'begins' if len(words) == 1 else 'begin'}"


def _quoted(words: Sequence[str]) -> str:
    return listed([f"'{cut_short(word)}'" for word in words], 4)


def _with_hyphens(word: str, said: list[str]) -> str:
    found = _LONG_DASH.match(word)
    if found is None or os.path.lexists(word):
        return word
    said.append(word)
    rest = found["rest"]
    return f"-{rest}" if len(rest) == 1 else f"--{rest}"


def _with_two(word: str, taking: Taking, said: list[str]) -> str:
    # "-kind" for "--kind": the parser would take each of its letters for an option.
    if not _ONE_HYPHEN.match(word) or f"-{word.partition('=')[0]}" not in taking.options or word in taking.options:
        return word
    said.append(word)
    return f"-{word}"


_ONE_HYPHEN = re.compile(r"-[A-Za-z][\w-]+(?:=.*)?$", re.DOTALL)


def _unquoted(words: Sequence[str], said: list[str]) -> list[str]:
    made: list[str] = []
    k = 0
    while k < len(words):
        head, equals, value = words[k].partition("=")
        start = value if equals and value[:1] in tuple(_OPENING) else words[k]
        before = f"{head}=" if start is not words[k] else ""
        stop = next(
            (
                stop
                for stop in range(k, min(k + _MOST_WORDS, len(words)))
                if start[:1] in tuple(_OPENING) and _closes(words[stop]) and (stop > k or len(start) > 2)
            ),
            None,
        )
        if stop is None or os.path.lexists(words[k]):
            made.append(words[k])
        else:
            inner = " ".join([start, *words[k + 1 : stop + 1]])[1:-1]
            said.append(inner)
            made.append(before + inner)
            k = stop
        k += 1
    return made


def _closes(word: str) -> bool:
    return word[-1:] in tuple(_CLOSING)


def _put_together(words: Sequence[str], taking: Taking, said: list[str]) -> list[str]:
    # Runs of words between options: first those that name a file that is there or make a length, then what is over.
    made = list(words[:1])
    over = 0
    runs: list[
        tuple[int, Value | None]
    ] = []  # where a run of more than one word begins in `made`, after which kind of value
    k = 1
    while k < len(words):
        word = words[k]
        takes = taking.options.get(word)
        if word.startswith("-") and word != "-":
            made.append(word)
            k += 1
            if takes is None:
                continue
        stop = k
        while stop < len(words) and not (
            words[stop].startswith("-") and words[stop] != "-" and not _negative(words[stop])
        ):
            stop += 1
        run = _joined(words[k:stop], said)
        if run:
            runs.append((len(made), takes))
        made += run
        over += len(run) - (1 if takes is not None and run else 0)
        k = max(stop, k)
    if taking.alone is None or over <= taking.alone:
        return made
    return _taken_up(made, runs, taking.alone, over, said)


def _negative(word: str) -> bool:
    return bool(re.match(r"-[\d.,]", word))


def _joined(run: Sequence[str], said: list[str]) -> list[str]:
    made: list[str] = []
    k = 0
    while k < len(run):
        for stop in range(min(len(run), k + _MOST_WORDS), k + 1, -1):
            whole = " ".join(run[k:stop])
            if any(length.fullmatch(whole) for length in _LENGTHS) or (
                os.path.isfile(whole) and not all(map(os.path.isfile, run[k:stop]))  # noqa: PTH113, never raises
            ):
                said.append(whole)
                made.append(whole)
                k = stop
                break
        else:
            made.append(run[k])
            k += 1
    return made


_OF_WORDS = (Value.TEXT, Value.EDGES, Value.FILE)


def _taken_up(
    made: list[str], runs: Sequence[tuple[int, Value | None]], alone: int, over: int, said: list[str]
) -> list[str]:
    # What is over belongs to the word before it: to a name after an option that takes one, or to the drawing's.
    for number in range(len(runs) - 1, -1, -1):
        begin, takes = runs[number]
        end = runs[number + 1][0] if number + 1 < len(runs) else len(made)
        run = made[begin:end]
        while run and run[-1].startswith("-"):
            run = run[:-1]
        spare = over - alone
        if spare <= 0:
            break
        if takes is None and len(run) > 1 and run[-1].casefold().endswith(_ENDINGS):
            many = min(spare, len(run) - 1)
            whole = " ".join(run[: many + 1])
            if not whole.casefold().endswith(_ENDINGS) or any(w.casefold().endswith(_ENDINGS) for w in run[:many]):
                continue  # two drawings, each with its ending, are no name that fell apart
        elif takes in _OF_WORDS and len(run) > 1:
            many = min(spare, len(run) - 1)
            whole = " ".join(run[: many + 1])
        else:
            continue
        said.append(whole)
        made[begin : begin + many + 1] = [whole]
        over -= many
        runs = [(at - many if at > begin else at, kind) for at, kind in runs]
    return made
