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
    "fold edge": "fold edge",
    "grainline": "grain",
    "pleat line": "slash",
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


def part_of_name(name: str) -> str | None:
    """Return the part that a name gives: whole phrases first, then the first word, in any case; None if it gives none.

    >>> part_of_name("Slash 2"), part_of_name("stitching line"), part_of_name("path123")
    ('slash', 'seam', None)
    """
    plain = re.sub(r"[\s_-]+", " ", name).strip().casefold()
    for phrase, part in _PHRASES.items():
        if plain.startswith(phrase) and not plain[len(phrase) : len(phrase) + 1].isalpha():
            return part
        if plain.startswith(phrase + "s") and not plain[len(phrase) + 1 : len(phrase) + 2].isalpha():
            return part
    match = re.match(r"[^\W\d_]+", plain)
    word = match[0] if match else ""
    for ending in ("", "s", "es"):
        if ending and not word.endswith(ending):
            continue
        stem = word[: len(word) - len(ending)] if ending else word
        if stem in _FIRST_WORDS:
            return _FIRST_WORDS[stem]
    return None


def rest_of_name(name: str) -> str:
    """Return what a name says beyond its part: "seam skirt front" is called "skirt front"; may be empty."""
    plain = " ".join(re.sub(r"_+", " ", name).split())
    return re.sub(
        r"^(?:(?:seam|stitching|sewing|cutting|out)[\s-]*lines?|seams?|cut)(?![^\W\d_])[\s:,-]*", "", plain, flags=re.IGNORECASE
    ).strip()
