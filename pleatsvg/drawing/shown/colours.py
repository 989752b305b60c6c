"""Paints of CSS to red, green and blue."""

from __future__ import annotations

from functools import lru_cache

from pleatsvg.result.shown import BLACK, Colour


@lru_cache(maxsize=256)
def paint(text: str | None, current: str | None, otherwise: Colour | None) -> Colour | None:
    """Return what a value of fill or stroke paints with; None for nothing.

    Args:
        text: the value, or None where none is stated.
        current: what `currentColor` stands for.
        otherwise: what is meant where none is stated.

    A gradient or a pattern lies elsewhere in the drawing: an area is left open, as in a result, and a line is black.
    """
    if text is None:
        return otherwise
    plain = text.strip().lower()
    if plain in ("none", "transparent"):
        return None
    if plain == "currentcolor":
        return paint(current, None, BLACK) if current else BLACK
    if len(plain) == 7 and plain[0] == "#":
        try:
            return int(plain[1:3], 16) / 255, int(plain[3:5], 16) / 255, int(plain[5:], 16) / 255
        except ValueError:
            return otherwise
    if plain.startswith("url("):
        return None if otherwise is not None else BLACK
    from tinycss2.color3 import parse_color

    found = parse_color(plain)
    if found is None or isinstance(found, str):
        return otherwise
    if found.alpha <= 0:
        return None
    return float(found.red), float(found.green), float(found.blue)


def share(text: str | None) -> float:
    """Return an opacity from 0 to 1; 1 where none is stated, or what is no number."""
    if not text:
        return 1.0
    try:
        value = float(text.strip().rstrip("%")) / (100 if text.strip().endswith("%") else 1)
    except ValueError:
        return 1.0
    return min(max(value, 0.0), 1.0)
