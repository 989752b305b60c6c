"""What is said when a drawing or a request cannot be turned into a pleated piece.

Every refusal names the element, what was measured on it, the limit that it broke and what to do about it, in
the words of the trade. The command line prints the message as one paragraph and nothing else.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from pleatsvg.wording import Words, message


class PleatError(Exception):
    """A refusal written for the person at the cutting table.

    Args:
        element: what it is about, as the person knows it ("slash line 'slash 2'").
        measured: what was found, with its figure.
        limit: what would have been right; may be empty where `measured` says it all.
        remedy: what to do about it, a whole sentence.

    Attributes:
        message: all of it; `str` of the error is the same, with options called as Python calls them.
    """

    exit_code = 1

    def __init__(self, element: str, measured: str, limit: str, remedy: str) -> None:
        self.element = _on_one_line(element)
        self.measured = _on_one_line(measured)
        self.limit = _on_one_line(limit)
        self.remedy = _on_one_line(remedy)
        self.message = message(
            "{} {}{}{}. {}", self.element, self.measured, "; " if limit else "", self.limit, self.remedy
        )
        super().__init__(str(self.message))

    @property
    def about(self) -> tuple[str, ...]:
        """The options that it finds fault with, in the order in which it names them."""
        return tuple(
            [name for part in (self.element, self.measured) if isinstance(part, Words) for name in part.options]
        )


_QUOTED = re.compile(r"(?<![\w'])'(?=\S)([^']{101,})'")


def _on_one_line(text: str) -> str:
    return text.over(_plain) if isinstance(text, Words) else _plain(text)


def _plain(text: str) -> str:
    # What is quoted from a drawing may hold line breaks, and control characters that a terminal would obey.
    if len(text) > 200:  # a name may be of any length, a message may not
        text = _QUOTED.sub(lambda found: f"'{cut_short(found[1], 100)}'", text)
    if text.isprintable():
        return text
    return "".join([ch if ch.isprintable() else " " if ch.isspace() else "\ufffd" for ch in text])


class DrawingError(PleatError):
    """The drawing cannot be read, or does not hold what is needed."""


class OutlineError(DrawingError):
    """The stitching line of the piece is missing, open or crosses itself."""


class SlashError(DrawingError):
    """A slash line does not part the piece in two."""


class FitError(PleatError):
    """The pleats asked for do not fit on the piece."""


class ProofError(PleatError):
    """The finished result did not fold back onto the drawn piece."""


class OutputError(PleatError):
    """The result cannot be written where it was asked for."""


class JobError(PleatError):
    """The job file cannot be followed; the element names it and the line."""


class RequestError(PleatError):
    """The request is wrong in itself, whatever the drawing."""

    exit_code = 2


class MissingError(RequestError):
    """Something that has to be said is not, and may be said elsewhere: by the name of a slash line."""


def near_names(wanted: str, known: list[str]) -> str:
    """Return the known names, those like `wanted` first, as a phrase for a message.

    Args:
        wanted: the name that was asked for.
        known: the names that exist.
    """
    from difflib import get_close_matches

    if not known:
        return "there are no names to choose from"
    near = get_close_matches(wanted.casefold(), [name.casefold() for name in known], n=3, cutoff=0.6)
    asked = {word.rstrip("s") for word in wanted.casefold().split()}
    # "side" or "left" is short for each name that has it among its words.
    holding = [name for name in known if asked and asked <= {word.rstrip("s") for word in name.casefold().split()}]
    first = holding or [name for name in known if name.casefold() in near]
    listed = list(dict.fromkeys(first or known))
    shown = ", ".join(f"'{cut_short(name)}'" for name in listed[:8])
    more = f" and {len(listed) - 8} more" if len(listed) > 8 else ""
    lead = "the nearest is" if len(first) == 1 else "there is" if len(listed) == 1 else "there are"
    return f"{lead} {shown}{more}"


def cut_short(name: str, most: int = 60) -> str:
    """Return a name as it is, or its beginning where it is longer than `most` letters."""
    return name if len(name) <= most else f"{name[: most - 3].rstrip()}..."


def listed(names: Sequence[str], most: int = 12) -> str:
    """Return names as a phrase, cut short: "'hip', 'pocket' and 30 more"."""
    shown = ", ".join(names[:most])
    return shown if len(names) <= most else f"{shown} and {len(names) - most} more"
