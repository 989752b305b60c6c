"""What `card` prints, in plain words."""

from __future__ import annotations

from pathlib import Path

from pleatsvg.card.cards import LEAST_WIDTH
from pleatsvg.card.sheet import CardSheet
from pleatsvg.errors import RequestError
from pleatsvg.length import show
from pleatsvg.pleats.words import numbers_in_words


def refuse_name(target: Path) -> None:
    """Refuse an output that is called neither PDF nor SVG.

    Raises:
        RequestError: it is called something else.
    """
    if target.suffix.casefold() not in (".pdf", ".svg"):
        raise RequestError(
            f"The output '{target.name}'", "is neither a PDF nor an SVG by its name", "", "Call it .pdf or .svg."
        )


def carded_text(sheet: CardSheet, output: str) -> str:
    """Return which cards were made, in plain words."""
    rows: list[str] = []
    for card in sheet.cards:
        rows.append(f"{card.title}: {card.about}")
        words = [card.width_words]
        if card.tab is not None:
            top, hem = (show(value, card.unit) for value in card.tab)
            words.append(
                f"{card.tab_to} {top} on" if top == hem else f"{card.tab_to} {top} on at the top, {hem} at the hem"
            )
        if card.press is None:
            words.append("all of it goes inside the fold for pressing")
        else:
            top, hem = (show(value, card.unit) for value in card.press)
            deep = top if top == hem else f"{top} at the top, {hem} at the hem"
            words.append(f"it goes {deep} inside the fold for pressing")
        rows.append(f"  {'; '.join(words)}")
    if sheet.tiled:
        rows.append("  a card that is larger than the paper goes over several pages, to be joined by their rungs")
    if sheet.without:
        rows.append(
            f"  note: {numbers_in_words(list(sheet.without))}: a card would be narrower than {LEAST_WIDTH:g} mm; "
            "mark with a ruler"
        )
    count = len(sheet.document.pages)
    rows.append(f"Written: {output} ({'1 page' if count == 1 else f'{count} pages'}; print at actual size)")
    return "\n".join(rows)
