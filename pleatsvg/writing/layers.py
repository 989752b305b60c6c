"""Layers of a result, as an editor's list shows them."""

from __future__ import annotations

from pleatsvg.result.classes import INK
from pleatsvg.writing.inks import FONT
from pleatsvg.writing.stencil import attributes

CLOSE = "</g>\n"


LETTERS = attributes(font_family=FONT, fill=INK)


def open_layer(name: str, plain: str, more: str = "") -> str:
    return f'<g id="{name}" inkscape:groupmode="layer" inkscape:label="{plain}"{more}>\n'
