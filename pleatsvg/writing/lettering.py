"""Words of a result as SVG text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from functools import lru_cache

import numpy as np

from pleatsvg.result.lettering import CAPITALS, Words
from pleatsvg.writing.numbers import side_by_side, three_decimals
from pleatsvg.writing.stencil import escaped, text_stencil


@lru_cache(maxsize=32)
def sized_stencil(name: str, size: float, anchor: str | None) -> tuple[str, str]:
    style = (("font-size", str(size)), *((("text-anchor", anchor),) if anchor else ()))
    before, after = text_stencil(name, style)
    return before, after + "\n"


def lettering(
    words: Sequence[Words],
    offset: complex,
    about: dict[int, str],
    labels: dict[int, str],
    behind: str = "",
    untold: Set[int] = frozenset(),
) -> Iterator[tuple[str, str]]:
    """Yield each line of lettering as the name of its class and its SVG.

    Args:
        words: in mm.
        offset: to the page.
        about, labels: for each pleat, the attributes of its words and of its label.
        behind: attributes of all of them.
        untold: the pleats that have no label: their first words bear its attributes.
    """
    # The middle is half-way up the capitals; the baseline lies half of their height below it.
    middles = side_by_side([row.middle for row in words]) + offset
    bases = middles.imag + np.array([row.size * CAPITALS / 2 for row in words], float)
    places = iter(three_decimals(np.column_stack((middles.real, bases, middles.imag)).ravel()))
    left = set(untold)
    turned = {turn: f' transform="rotate({turn:.4f} ' if turn else "" for turn in {row.turn for row in words}}
    for (text, _, turn, size, name, pleat), x, base, y in zip(words, places, places, places, strict=True):
        told = (labels if name == "pleat-label" or pleat in left else about).get(pleat, "")
        left.discard(pleat)
        before, after = sized_stencil(name, size, "middle")
        way = f'{turned[turn]}{x} {y})"' if turn else ""
        yield name, f'{before} x="{x}" y="{base}"{way}{told}{behind}>{escaped(text)}{after}'
