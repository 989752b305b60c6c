"""Cards on paper: a title and the print check above, then the cards, as many to a page as there is room for. In mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pleatsvg.card.cards import Card
from pleatsvg.card.drawn import SIZE, drawn_card
from pleatsvg.geometry.segment import Box
from pleatsvg.paper.cover import wrapped
from pleatsvg.paper.document import FAINT, Document, Mark, Page, Placed, Widths, Words, line, rectangle
from pleatsvg.paper.joins import joins_of
from pleatsvg.paper.names import WordBox
from pleatsvg.paper.pages import Group, Lay, drawn_of, pages_of
from pleatsvg.paper.placing import fewest_pages
from pleatsvg.paper.sizes import Margins, Paper, room_on
from pleatsvg.printing.faces import Setting
from pleatsvg.printing.lettered import set_text

_GAP = 8.0
"""mm between cards: room for scissors."""

_HEAD = 62.0
"""mm that the title and the print check take."""

_HOW = (
    "Cut each card out of stiff paper or thin card, along its lines; glue this sheet onto it first if it is thin.",
    "To mark: lay the {near} edge on its line and chalk the fold line along the FOLD edge; the tab reaches to the "
    "next {noun}. Turn the card over where the fold lies on the other side. Marks taken from the pattern go before marks "
    "stepped off: small errors add up.",
    "To press: slide the FOLD edge inside the fold{between}, as deep as the card says, and press over it "
    "with a cloth. Mind the iron and its steam; a card that gets damp is no longer true.",
)


@dataclass(frozen=True)
class CardSheet:
    """Cards laid out.

    Attributes:
        cards: in order.
        document: the pages.
        tiled: how many parts go over several pages.
        without: numbers of the pleats that are too small for a card.
        small: these in words: "Pleats 2 and 4".
    """

    cards: tuple[Card, ...]
    document: Document
    tiled: int
    without: tuple[int, ...] = ()
    small: str = ""


def card_sheet(cards: Sequence[Card], name: str, paper: Paper, margins: Margins, setting: Setting) -> CardSheet:
    """Return the pages of some cards.

    Args:
        cards: to be printed.
        name: of what they are for, or "".
        paper: sheets, a roll, or one page of its own size.
        margins: kept free on it.
        setting: of words.
    """
    if paper.kind == "one":
        wide, high = 360.0, 5000.0
    else:
        wide, high = room_on(paper, margins)
    parts = [part for card in cards for part in drawn_card(card, min(high - _HEAD, 1000.0) - 4.0, setting.width)]
    bodies = tuple([part.body for part in parts])
    title = f"Cards for {name}" if name else "Card"
    fits = [part for part in parts if _size(part.box)[0] <= wide and _size(part.box)[1] <= high]
    at, rows = _in_rows([part.box for part in fits], wide, high, _HEAD)
    pages: list[Page] = []
    for number in range(max([page for page, _ in at], default=0) + 1):
        held = [k for k, (page, _) in enumerate(at) if page == number]
        low = max([rows[k] for k in held], default=_HEAD)
        tall = paper.height or margins.top + low + margins.foot
        size = (paper.width or margins.left + wide + margins.right, tall)
        clip = (margins.left, margins.top, size[0] - margins.right, size[1] - margins.foot)
        placed = tuple(
            [Placed(parts.index(fits[k]), 1 + 0j, at[k][1] + complex(margins.left, margins.top), clip) for k in held]
        )
        marks, words = _head(title, cards, wide, margins, setting.width) if number == 0 else ([], [])
        # The number first: of a long name the end is not told.
        label = wrapped(f"page {number + 1}: {title}", SIZE, size[0] - margins.left - margins.right, setting.width)[0]
        words.append(Words(label, complex(margins.left, size[1] - margins.foot + 5.0), SIZE, colour=FAINT))
        pages.append(Page(f"cards-{number + 1}", size[0], size[1], placed, tuple(marks), tuple(words)))
    large = [k for k, part in enumerate(parts) if part not in fits]
    before = joined = 0
    for k in large:
        boxes: list[list[WordBox]] = [[] for _ in parts]
        for text in parts[k].body.texts:
            found = set_text(text, setting)
            boxes[k].append(WordBox(found.middle, found.way, found.width, found.height))
        grid = fewest_pages(drawn_of(bodies[k], boxes[k]), wide, high, 10.0)
        group = Group((Lay(k, 1 + 0j, 0j),), grid, before, joined, parts[k].card.title)
        first, last = len(pages) + 1, len(pages) + len(grid.windows)
        pages += pages_of(group, bodies, boxes, (paper.width, paper.height), margins, setting.width, first, last)
        before += grid.rows
        joined += len(joins_of(grid))
    return CardSheet(tuple(cards), Document(title, bodies, tuple(pages)), len(large))


def _size(box: Box) -> tuple[float, float]:
    return box[2] - box[0] + 2.0, box[3] - box[1] + 2.0


def _in_rows(
    boxes: Sequence[Box], wide: float, high: float, head: float
) -> tuple[list[tuple[int, complex]], list[float]]:
    # For each card its page and where it is shifted to, and how far down it reaches. They stay in order.
    found: list[tuple[int, complex]] = []
    lows: list[float] = []
    page, x, y, row = 0, 0.0, head, 0.0
    for box in boxes:
        width, height = _size(box)
        if x and x + width > wide:
            x, y, row = 0.0, y + row + _GAP, 0.0
        if y + height > high:
            page, x, y, row = page + 1, 0.0, 0.0, 0.0
        found.append((page, complex(x + 1.0 - box[0], y + 1.0 - box[1])))
        lows.append(y + height)
        x += width + _GAP
        row = max(row, height)
    return found, lows


def _head(
    title: str, cards: Sequence[Card], wide: float, margins: Margins, widths: Widths
) -> tuple[list[Mark], list[Words]]:
    # The square at the left, beside it what to do.
    corner = complex(margins.left, margins.top)
    marks = [rectangle((corner.real + 0.5, corner.imag + 4.0, corner.real + 50.5, corner.imag + 54.0))]
    marks.append(line((corner + 58j + 0.5, corner + 58j + 100.5)))
    marks += [line((corner + 56j + 0.5 + k, corner + 60j + 0.5 + k)) for k in (0.0, 50.0, 100.0)]
    words = [Words("100 mm", corner + complex(103.0, 59.2), SIZE)]
    for k, row in enumerate(("50 mm square:", "measure it on", "the print first")):
        words.append(Words(row, corner + complex(25.5, 24.0 + 6 * k), SIZE, "middle"))
    y = 5.0
    for k, row in enumerate(wrapped(title, _TITLE, wide - 58.0, widths, bold=True)[:_TITLE_ROWS]):
        y += _TITLE * 1.2 if k else 0.0
        words.append(Words(row, corner + complex(56.0, y), _TITLE, bold=True))
    tucks = {card.near == "STITCH" for card in cards}
    how = {
        "near": "STITCH" if tucks == {True} else "PLACE or STITCH",
        "noun": "tuck" if tucks == {True} else "pleat",
        "between": "" if tucks == {True} else ", between face and underlay",
    }
    for text in ("Print at actual size (100 %), not 'fit to page'.", *[row.format_map(how) for row in _HOW]):
        for row in wrapped(text, _HOW_SIZE, wide - 58.0, widths):
            y += _HOW_SIZE * 1.4
            words.append(Words(row, corner + complex(56.0, y), _HOW_SIZE))
    return marks, words


_TITLE, _TITLE_ROWS = 5.5, 2
"""Font size in mm of the title, and the most rows of it: of a longer name the end is not told."""

_HOW_SIZE = 3.0
