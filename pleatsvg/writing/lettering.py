"""Words of a result as SVG text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from functools import lru_cache

from pleatsvg.result.lettering import CAPITALS, Words
from pleatsvg.writing.stencil import escaped, text_stencil


@lru_cache(maxsize=32)
def sized_stencil(name: str, size: float, anchor: str | None) -> tuple[str, str]:
    style = (("font-size", str(size)), *((("text-anchor", anchor),) if anchor else ()))
    before, after = text_stencil(name, style)
    return before, after + "\n"


@lru_cache(maxsize=32)
def _label_form(name: str, size: float, turned: bool) -> str:
    # A label's SVG with its place, its turn, what belongs to it and its words left open.
    before, after = sized_stencil(name, size, "middle")
    turn = ' transform="rotate(%.4f %.3f %.3f)"' if turned else ""
    return f'{before} x="%.3f" y="%.3f"{turn}%s>%s{after}'


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
    left = set(untold)
    for text, middle, turn, size, name, pleat in words:
        here = middle + offset
        x, y = here.real, here.imag
        base = y + size * CAPITALS / 2
        more = (labels if name == "pleat-label" or pleat in left else about).get(pleat, "") + behind
        left.discard(pleat)
        if turn:
            yield name, _label_form(name, size, True) % (x, base, turn, x, y, more, escaped(text))
        else:
            yield name, _label_form(name, size, False) % (x, base, more, escaped(text))
