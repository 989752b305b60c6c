"""The part that a name gives to what bears it: the words of the contract with whoever draws."""

from __future__ import annotations

import re

_PHRASES = {
    "stitching line": "seam",
    "sewing line": "seam",
    "seamline": "seam",
    "cutting line": "cut",
    "seam allowance": "carried",
    "hem allowance": "carried",
    "balance mark": "carried",
    "cut on fold": "fold edge",
    "place on fold": "fold edge",
    "cut on the fold": "fold edge",
    "place on the fold": "fold edge",
    "fold edge": "fold edge",
    "grainline": "grain",
    "pleat line": "slash",
    "slash line": "slash",
    "cut line": "cut",
    "balance line": "balance",
    "hem line": "balance",
}


_FIRST_WORDS = {
    "seam": "seam",
    "outline": "seam",
    "cut": "cut",
    "slash": "slash",
    "grain": "grain",
    "hip": "balance",
    "centre": "centre",
    "center": "centre",
}


_TOGETHER = {phrase.replace(" ", ""): part for phrase, part in _PHRASES.items()}
"""Phrases may be written in one word, as many write them: foldedge, hemline."""


_BEGINNING = re.compile(
    # Only the plain letters of these words: else an s would match the long s, and an i the Turkish ones.
    "(?:(?a:("
    + "|".join(sorted(_PHRASES, key=len, reverse=True)).replace(" ", r"[\s_-]*")
    + ")s?|("
    + "|".join(_FIRST_WORDS)
    + r")(?:s|es)?))(?![^\W\d_])",
    re.IGNORECASE,
)


def part_of_name(name: str) -> str | None:
    """Return the part that a name gives: whole phrases first, then the first word, in any case; None if it gives none.

    >>> part_of_name("Slash 2"), part_of_name("stitching line"), part_of_name("foldedge"), part_of_name("path123")
    ('slash', 'seam', 'fold edge', None)
    """
    match = _BEGINNING.match(name.strip())
    if match is None:
        return None
    if match[1]:
        return _TOGETHER[re.sub(r"[\s_-]+", "", match[1].lower())]
    return _FIRST_WORDS[match[2].lower()]


def rest_of_name(name: str) -> str:
    """Return what a name says beyond its part: "seam skirt front" is called "skirt front"; may be empty."""
    plain = " ".join(re.sub(r"_+", " ", name).split())
    return re.sub(
        r"^(?:(?:seam|stitching|sewing|cutting|out)[\s-]*lines?|seams?|cut)(?![^\W\d_])[\s:,-]*",
        "",
        plain,
        flags=re.IGNORECASE,
    ).strip()
