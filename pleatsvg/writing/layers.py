"""Layers of a result, as an editor's list shows them."""

from __future__ import annotations

from pleatsvg.result.classes import INK
from pleatsvg.writing.inks import FONT
from pleatsvg.writing.stencil import attributes

CLOSE = "</g>\n"


LETTERS = attributes(font_family=FONT, fill=INK)


def open_layer(name: str, plain: str, more: str = "") -> str:
    return f'<g id="{name}" inkscape:groupmode="layer" inkscape:label="{plain}"{more}>\n'


def paper_of(width: str, height: str) -> str:
    """Return the style that has a browser print a drawing on paper of its own size, in mm, and so true.

    Without it a browser lays the drawing on the sheet in the printer, scaled down and cut off. CSS Paged Media 3, section 7.1.
    """
    return f"<style>@page {{ size: {width}mm {height}mm; margin: 0 }}</style>"
