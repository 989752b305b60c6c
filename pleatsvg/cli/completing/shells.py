"""The command as far as it is typed, and a value as the shell wants it."""

from __future__ import annotations

import os
import re
import shlex


def words_before() -> list[str]:
    """Return the words that stand before the one that is being typed, the program's name first."""
    if "COMP_WORDS" in os.environ:  # of bash: one word to a line
        rows = os.environ["COMP_WORDS"].split("\n")
        at = os.environ.get("COMP_CWORD", "")
        return _unquoted("\n".join(rows[: int(at)] if at.isdecimal() else rows))
    return _unquoted(os.environ.get("_TYPER_COMPLETE_ARGS", ""))


def _unquoted(text: str) -> list[str]:
    # A word whose quote is still open counts as far as it goes.
    lexer = shlex.shlex(text, posix=True)
    lexer.whitespace_split = True
    lexer.commenters = ""
    words: list[str] = []
    try:
        words.extend(lexer)
    except ValueError:
        words.append(lexer.token)
    return words


def written(value: str) -> str:
    """Return a value as the shell that asks takes it for one word.

    bash puts it into the line as it is, after a quote that was typed; the others quote it themselves.
    """
    if "COMP_WORDS" not in os.environ:
        return value
    rows = os.environ["COMP_WORDS"].split("\n")
    at = os.environ.get("COMP_CWORD", "")
    typed = rows[int(at)] if at.isdecimal() and int(at) < len(rows) else ""
    if typed[:1] in ("'", '"'):
        return value.replace("'", "'\\''") if typed[0] == "'" else re.sub(r'(["\\$`])', r"\\\1", value)
    return re.sub(r"([^\w@%+=:,./~-])", r"\\\1", value)
