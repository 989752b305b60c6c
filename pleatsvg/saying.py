"""What is printed: on its own lines, in letters that the terminal can show, and nothing in it that a terminal obeys.

Names of files and folders may hold anything: line breaks, escape sequences that move the cursor or recolour the
screen, bytes that are no text in any encoding. A terminal may know few letters. So everything that is printed goes
through `say`.
"""

from __future__ import annotations

import sys
import unicodedata
from typing import TextIO

from pleatsvg.errors import OutputError


class UnsaidError(OutputError):
    """Standard output cannot be written; whatever else was to be written may stand."""


def say(text: str, *, error: bool = False) -> None:
    """Print a text and a line break; nothing at all where the stream was closed before the program began.

    Args:
        text: in lines. In JSON, too: what cannot be printed becomes the escape that JSON has for it.
        error: to standard error. What cannot be said there is left unsaid: there is nowhere left to say so.

    Raises:
        BrokenPipeError: whoever was to read standard output has gone.
        UnsaidError: standard output cannot be written.
    """
    put(f"{text}\n", error=error)


def put(text: str, *, error: bool = False) -> None:
    """Print a text as it stands, such as a question that is answered on the same line; cf. `say`."""
    stream: TextIO | None = sys.stderr if error else sys.stdout
    if stream is None:
        return
    try:
        stream.write(_showable(text, stream.encoding or "ascii"))
    except (OSError, ValueError) as failed:
        _refuse(failed, error)


def put_out(data: bytes) -> None:
    """Write a whole file to standard output; cf. `say` for what may be raised."""
    if sys.stdout is None:
        raise UnsaidError("Standard output", "is closed", "the result is to be written there", "Give a file name.")
    try:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
    except (OSError, ValueError) as failed:
        _refuse(failed, False)


def flush() -> None:
    """See to it that what was said has left the program; cf. `say` for what may be raised."""
    for stream, error in ((sys.stdout, False), (sys.stderr, True)):
        if stream is not None:
            try:
                stream.flush()
            except (OSError, ValueError) as failed:
                _refuse(failed, error)


def _refuse(failed: OSError | ValueError, error: bool) -> None:
    if error:
        return
    if isinstance(failed, BrokenPipeError):
        raise failed
    reason = failed.strerror if isinstance(failed, OSError) else None
    raise UnsaidError(
        "Standard output",
        f"cannot be written ({reason or failed})",
        "",
        "What was to be said there is lost; check where it leads.",
    ) from None


def _showable(text: str, encoding: str) -> str:
    text = "\n".join([escaped(row) for row in text.split("\n")])
    try:
        text.encode(encoding)
    except UnicodeError:
        text = "".join([letter if _is_in(encoding, letter) else _escape(letter) for letter in text])
    return text


def escaped(text: str) -> str:
    """Return a text with JSON's escape for every letter that a terminal might obey, or that is none.

    >>> escaped("red \x1b[31m front")
    'red \\\\u001b[31m front'
    """
    if text.isprintable():
        return text
    return "".join([letter if _is_harmless(letter) else _escape(letter) for letter in text])


def _is_harmless(letter: str) -> bool:
    # Some scripts are spelt with invisible joiners.
    return letter.isprintable() or letter in "\u200c\u200d" or unicodedata.category(letter) == "Zs"


def _is_in(encoding: str, letter: str) -> bool:
    try:
        letter.encode(encoding)
    except UnicodeError:
        return False
    return True


def _escape(letter: str) -> str:
    # As JSON writes it, a letter beyond the first 65,536 as its two halves.
    code = ord(letter)
    if code < 0x10000:
        return f"\\u{code:04x}"
    return f"\\u{0xD7C0 + (code >> 10):04x}\\u{0xDC00 + (code & 0x3FF):04x}"


def on_one_line(words: str) -> str:
    """Return a name on one line, with a question mark for every letter that cannot be seen."""
    line = " ".join(words.split())
    return line if line.isprintable() else "".join([letter if _is_harmless(letter) else "?" for letter in line])
