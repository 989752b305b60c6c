"""Names: what an element is called, whatever editor wrote it, and the part that its name gives it: the words of the contract
with whoever draws.
"""

from __future__ import annotations

import re
import unicodedata

from lxml import etree

from pleatsvg.result.classes import PARTS

SVG = "http://www.w3.org/2000/svg"


INKSCAPE = "http://www.inkscape.org/namespaces/inkscape"


SERIF = "http://www.serif.com/"


_LABEL, _SERIF_ID = f"{{{INKSCAPE}}}label", f"{{{SERIF}}}id"


_TITLES = frozenset({f"{{{SVG}}}title", "title"})


_ESCAPE = re.compile(r"_x([0-9A-Fa-f]{2,6})_")


_UNWRITABLE = re.compile(r"[\x00-\x1f\x7f-\x9f\ufffe\uffff]")
"""Control characters, which nobody types and a terminal obeys, and what XML cannot hold: escapes in an id can be these."""


_GENERIC = re.compile(r"^(layer|group|calque|ebene|capa|livello|g|svg)[\s_-]*\d*$", re.IGNORECASE)


def given_name(element: etree._Element) -> str:
    """Return what the editor let the person type: label, serif:id, data-name, title, else the id with escapes undone."""
    name = (
        element.get(_LABEL)
        or element.get(_SERIF_ID)
        or element.get("data-name")
        or _title(element)
        or decoded(element.get("id") or "")
    )
    return tidy(name)


def tidy(name: str) -> str:
    """Return a name on one line, composed, without the characters that nobody types."""
    if not name:
        return name
    if name.isascii() and name.isprintable():
        return name if name.isalnum() else " ".join(name.split())
    return unicodedata.normalize("NFC", " ".join(_UNWRITABLE.sub(" ", name).split()))


def _title(element: etree._Element) -> str:
    for child in element:
        if child.tag in _TITLES:
            return child.text or ""
    return ""


def decoded(identifier: str) -> str:
    """Undo the escapes that editors write into ids: ``_x0020_`` for a blank, ``_x5F_`` for an underscore."""
    return _ESCAPE.sub(_character, identifier) if "_x" in identifier else identifier


def _character(match: re.Match[str]) -> str:
    code = int(match[1], 16)
    return chr(code) if 0x20 <= code < 0x110000 and not 0xD800 <= code < 0xE000 else match[0]


def part_of_class(element: etree._Element) -> str | None:
    """Return the part that one of this program's own classes gives, in a result read as a drawing."""
    for word in (element.get("class") or "").split():
        if word in PARTS:
            return PARTS[word]
    return None


def says_something(name: str) -> bool:
    """Whether a group's name was typed by a person rather than counted up by an editor."""
    return bool(name) and not _GENERIC.match(name)


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


KNOWN_PHRASES = tuple(sorted({*_PHRASES, *_FIRST_WORDS, "fold edge"} - {"center", "cut", "hip"}))
"""What a name may begin with to play a part, but for words so short that many others are like them."""


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


_UNTYPED = re.compile(
    r"^(path|rect|polygon|polyline|circle|ellipse|shape|line|text|g|use)[\s_-]*[\d-]*( at line \d+)?( \d+)?$",
    re.IGNORECASE,
)


def is_typed(name: str) -> bool:
    """Whether a person gave an element its name, rather than an editor that counts.

    >>> is_typed("pocket"), is_typed("path123"), is_typed("rect-4-7")
    (True, False, False)
    """
    return not _UNTYPED.match(name)


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
