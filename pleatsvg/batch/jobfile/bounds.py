"""What a job file may hold, looked at before it is parsed: the parser's own work and memory grow with the square of a key.

Strings and comments are set aside first, so that a file name may hold as many dots and commas as it likes.
"""

from __future__ import annotations

import re

from pleatsvg.errors import JobError

MOST_PARTS = 8
"""Parts of one key, of which a job file needs two or three."""


MOST_SIGNS = 250_000
"""Equals signs, commas, brackets and dots that part values: a piece takes some ten, and twenty thousand of them are read."""


_SET_ASIDE = re.compile(
    r'"""(?:[^"\\]++|\\.|"(?!""))*+(?:"""|\\?\Z)'
    r"|'''(?:[^']++|'(?!''))*+(?:'''|\Z)"
    r'|"(?:[^"\\\n]++|\\.)*+"?'
    r"|'[^'\n]*+'?"
    r"|\#[^\n]*+",
    re.DOTALL,
)


_DEEP = re.compile(rf"(?<![\w-])[\w-]++(?:[ \t]*+\.[ \t]*+[\w-]++){{{MOST_PARTS},}}+")


_SIGNS = "=,.[{"


def refuse_beyond_bounds(text: str, said: str) -> None:
    """Refuse a job file with a key of too many parts, or with too many values.

    Args:
        text: of the file.
        said: its name, for messages.

    Raises:
        JobError: it goes beyond a bound.
    """
    plain = _SET_ASIDE.sub(_blank, text)
    deep = _DEEP.search(plain)
    if deep is not None:
        line = plain.count("\n", 0, deep.start()) + 1
        raise JobError(
            f"{said}, line {line}",
            f"has a key of {deep[0].count('.') + 1} parts",
            f"up to {MOST_PARTS} are read",
            'Keys stand alone under [defaults] or [[piece]], as in intake = "6cm".',
        )
    signs = sum([plain.count(sign) for sign in _SIGNS])
    if signs > MOST_SIGNS:
        raise JobError(
            f"Job file '{said}'",
            f"holds {signs} keys, values and brackets",
            f"up to {MOST_SIGNS} are read",
            "Use patterns such as 'sizes/*.svg', or part the job.",
        )


def _blank(match: re.Match[str]) -> str:
    return ("" if match[0][0] == "#" else "s") + "\n" * match[0].count("\n")
