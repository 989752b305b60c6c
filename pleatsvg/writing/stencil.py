"""Stencils: each kind of mark drawn once with svgwrite, then filled in wherever it stands.

Making every mark anew as an object costs more than all the geometry. A stencil is the mark's own SVG with its data
left open, so that what is written is svgwrite's, and a sheet of marks takes as long as its numbers take to print.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

import svgwrite.path
import svgwrite.text

Style = tuple[tuple[str, str], ...]


_UNWRITABLE = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def escaped(text: str) -> str:
    """Return text fit to stand in XML, in content or between double quotes (XML 1.0, sections 2.2 and 2.4)."""
    if not text.isprintable():
        text = _UNWRITABLE.sub("\ufffd", text)
    if not ("&" in text or "<" in text or ">" in text or '"' in text):
        return text
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def attributes(**pairs: str) -> str:
    """Return attributes as they stand in a tag, each with a blank before it; underscores in names become hyphens."""
    return "".join([f' {name.rstrip("_").replace("_", "-")}="{escaped(value)}"' for name, value in pairs.items()])


@lru_cache(maxsize=64)
def path_stencil(name: str, style: Style) -> tuple[str, str, str]:
    """Return a path's SVG in three parts: up to its data, from there to its further attributes, and its end."""
    path = svgwrite.path.Path(d="\x00", class_=name, debug=False)
    return _opened(path, style)


@lru_cache(maxsize=64)
def text_stencil(name: str, style: Style) -> tuple[str, str]:
    """Return a text's SVG in two parts: up to its place and further attributes, and its end; words go between."""
    text = svgwrite.text.Text("\x00", class_=name, debug=False)
    for key, value in style:
        text[key] = value
    before, after = text.tostring().split("\x00")
    return before[:-1], after


def _opened(made: Any, style: Style) -> tuple[str, str, str]:
    for key, value in style:
        made[key] = value
    text = made.tostring()
    before, after = text.split("\x00")
    return before, after[: after.rindex("/")].rstrip(), " />\n"
