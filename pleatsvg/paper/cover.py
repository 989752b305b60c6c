"""The page that is printed first, alone: what is printed, the print check, the map of the pages, the heading and the key.

It is set from the top down in blocks; what does not fit goes onto a further page, and no block is cut in two. In mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from pleatsvg.geometry.segment import Segment, box_of
from pleatsvg.page.fitted_table import TABLE_CELL
from pleatsvg.paper.body import SCALES, Asked
from pleatsvg.paper.document import FAINT, INK, Mark, Page, Widths, Words, line, rectangle
from pleatsvg.paper.inks import in_black
from pleatsvg.paper.names import CENTRE
from pleatsvg.paper.placing import Grid
from pleatsvg.paper.sizes import Margins, Paper
from pleatsvg.result.classes import CLASSES
from pleatsvg.result.lettering import SIZE
from pleatsvg.result.shown import Look, Shown, ShownShape, ShownText

SMALL = 3.6
"""Font size in mm of the foot and of small rows."""


class _Sizes:
    # Font sizes in mm, all smaller where a cover would not fit on one page.
    def __init__(self, share: float) -> None:
        self.title, self.row, self.small, self.key_row = 7.0 * share, 4.2 * share, SMALL * share, 6.3 * max(share, 0.95)


_SHARES = (1.0, 0.92, 0.85)

SQUARE, BAR = 50.0, 100.0

_THICK = Look(stroke=INK, width=0.5)
_FINE = Look(stroke=INK, width=0.25)
_CROSS = Look(stroke=FAINT, width=0.35)

GAP = 4.0
"""mm between blocks."""

_SAMPLE = 34.0
"""mm that a sample of a line takes in the key."""


@dataclass(frozen=True)
class MapOf:
    """A piece on its pages.

    Attributes:
        name: of the piece.
        grid: its pages.
        labels: their names.
        outlines: of the piece as it lies on them, mm.
    """

    name: str
    grid: Grid
    labels: tuple[str, ...]
    outlines: tuple[tuple[Segment, ...], ...]


@dataclass
class Block:
    """What stands together: marks and words from its upper left corner, and its height."""

    marks: list[Mark] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    height: float = 0.0

    def row(self, text: str, size: float, bold: bool = False, x: float = 0.0) -> None:
        """Add a row of words below what is there."""
        self.words.append(Words(text, complex(x, self.height + size), size, bold=bold))
        self.height += size * 1.4

    def rows(self, text: str, size: float, width: float, widths: Widths, bold: bool = False, x: float = 0.0) -> None:
        """Add words in as many rows as they need."""
        for row in wrapped(text, size, width - x, widths, bold):
            self.row(row, size, bold, x)


def wrapped(text: str, size: float, width: float, widths: Widths, bold: bool = False) -> list[str]:
    """Return words in rows no wider than `width` mm; a word that is wider by itself is cut."""
    rows: list[str] = []
    row = ""
    for word in text.split():
        longer = f"{row} {word}" if row else word
        if row and widths(longer, size, bold) > width:
            rows.append(row)
            row = word
        else:
            row = longer
        while widths(row, size, bold) > width and len(row) > 1:
            cut = max(1, int(len(row) * width / widths(row, size, bold)) - 1)
            rows.append(row[:cut])
            row = row[cut:]
    return [*rows, row] if row else rows


@dataclass(frozen=True)
class Cover:
    """What a cover says.

    Attributes:
        title: of what is printed.
        paper: what is printed on.
        asked: how.
        overlap: of the pages, mm.
        count: of the pages that follow.
        maps: of the pieces.
        headings: rows of each result.
        key: of each result.
        joined: whether pages are to be joined.
        left_out: classes of lines that the results have and the pages do not.
    """

    title: str
    paper: Paper
    asked: Asked
    overlap: float
    count: int
    maps: tuple[MapOf, ...]
    headings: tuple[tuple[str, ...], ...]
    keys: tuple[tuple[Shown, ...], ...]
    joined: bool
    left_out: frozenset[str] = frozenset()


def cover_pages(cover: Cover, size: tuple[float, float], margins: Margins, widths: Widths) -> tuple[Page, ...]:
    """Return the pages that are printed first.

    Args:
        cover: what they say.
        size: width and height of a page, mm.
        margins: kept free on it.
        widths: cf. `Widths`.
    """
    covers = 1
    while True:
        pages = _laid(cover, size, margins, widths, covers)
        if len(pages) <= covers:
            break
        covers = len(pages)
    made: list[Page] = []
    for k, (marks, words) in enumerate(pages):
        name = "cover" if len(pages) == 1 else f"cover {k + 1}"
        if margins.foot >= 8.0:
            told = f"{name} - print it with the others" if k else f"{name} - print this page first, alone"
            foot = ", ".join([told, *cover.asked.remarks])
            words.append(Words(foot, complex(margins.left, size[1] - margins.foot + 5.0), SMALL, colour=FAINT))
        made.append(Page(name, size[0], size[1], (), tuple(marks), tuple(words)))
    return tuple(made)


def _laid(
    cover: Cover, size: tuple[float, float], margins: Margins, widths: Widths, covers: int
) -> list[tuple[list[Mark], list[Words]]]:
    # The blocks on as many pages as they need, where it is said that there are so many.
    width = size[0] - margins.left - margins.right
    high = size[1] - margins.top - margins.foot
    blocks: list[Block] = []
    for share in (*_SHARES, 1.0):
        blocks = cover_blocks(cover, width, widths, share, covers)
        if sum([block.height + GAP for block in blocks]) - GAP <= high:
            break
    pages: list[tuple[list[Mark], list[Words]]] = [([], [])]
    y = 0.0
    for block in blocks:
        if y and y + block.height > high:
            pages.append(([], []))
            y = 0.0
        corner = complex(margins.left, margins.top + y)
        marks, words = pages[-1]
        marks += [shifted(mark, corner) for mark in block.marks]
        words += [one._replace(at=one.at + corner) for one in block.words]
        y += block.height + GAP
    return pages


def shifted(mark: Mark, by: complex) -> Mark:
    """Return a mark moved on the page."""
    return mark._replace(runs=tuple([tuple([tuple([z + by for z in seg]) for seg in run]) for run in mark.runs]))


def cover_blocks(cover: Cover, width: float, widths: Widths, share: float = 1.0, covers: int = 1) -> list[Block]:
    """Return what stands on the cover, from the top down, in blocks that are not cut in two.

    Args:
        cover: what it says.
        width: that there is room for, mm.
        widths: cf. `Widths`.
        share: that of its letters.
        covers: how many pages it is known to take.
    """
    sizes = _Sizes(share)
    blocks = [_title(cover, width, widths, sizes, covers), _check(cover, widths, sizes)]
    beside = _beside(cover, width)
    maps = [_map(one, beside if beside else width, 96.0 if beside else 110.0, widths, sizes) for one in cover.maps]
    if beside and len(maps) == 1 and maps[0].height <= blocks[1].height:
        right = width - beside
        check = blocks[1]
        check.marks += [shifted(mark, complex(right, 0)) for mark in maps[0].marks]
        check.words += [one._replace(at=one.at + right) for one in maps[0].words]
    else:
        blocks += maps
    if cover.joined:
        blocks.append(_joining(cover, width, widths, sizes))
    for rows in cover.headings:
        block = Block()
        for k, row in enumerate(rows):
            block.rows(row, sizes.row if k == 0 else sizes.small, width, widths, bold=k == 0)
        if rows:
            blocks.append(block)
    blocks += [table for shown in cover.keys for table in _table(shown, width, widths, sizes)]
    return blocks + _key(cover, width, widths, sizes)


def _title(cover: Cover, width: float, widths: Widths, sizes: _Sizes, covers: int) -> Block:
    block = Block()

    def bold(text: str, size: float) -> None:
        block.rows(text, size, width, widths, bold=True)

    bold(cover.title, sizes.title)
    if cover.asked.scale != "1:1":
        bold(f"NOT FULL SIZE: {cover.asked.scale}", sizes.title)
    if cover.asked.mirror:
        bold(
            "MIRRORED, for tracing on the wrong side of the cloth: left and right in words are those of the right side.",
            sizes.row,
        )
    if cover.asked.open_fold:
        bold("OPENED OUT: both halves are drawn; do not lay it on a fold of the cloth.", sizes.row)
    if cover.asked.without:
        bold(f"LEFT OUT: {', '.join([' '.join(name.split()) for name in cover.asked.without])}.", sizes.row)
    if cover.paper.kind == "one":
        rows = [
            "Print it at actual size (100 %), not 'fit to page'. Measure the square and both bars on the print before you "
            "cut: if the square is not 50 mm, it was printed to another scale; have it printed again."
        ]
    else:
        sheets = "One page" if cover.count == 1 else f"{cover.count} pages"
        # "A4" by itself could as well be the page of that name.
        paper = f"{cover.paper.name} paper" if cover.paper.kind == "sheet" else cover.paper.name
        before = "this one" if covers == 1 else f"{covers} covers, of which this is the first"
        rows = [
            f"{sheets} on {paper}, and {before}.",
            "Print this page first, alone, at actual size (100 %), not 'fit to page'. Measure the square and both bars.",
            "If the square is not 50 mm: choose 'actual size' or '100 %' where the printer asks for the scale, and the "
            "right paper, and print this page again. Do not print the others before it is.",
        ]
    for row in rows:
        block.rows(row, sizes.row, width, widths)
    return block


def _check(cover: Cover, widths: Widths, sizes: _Sizes) -> Block:
    # The square and the bars; upright bar at the left, level bar below the square.
    block = Block(height=106.0)
    x = 4.0
    block.marks.append(line((complex(x, 2), complex(x, 2 + BAR)), _THICK))
    block.marks += [line((complex(x - 3, 2 + k), complex(x + 3, 2 + k)), _FINE) for k in (0.0, 50.0, 100.0)]
    block.words.append(Words("100 mm", complex(x + 4.6, 70.0), sizes.small, "middle", -1j))
    left = 14.0
    block.marks.append(rectangle((left, 2.0, left + SQUARE, 2.0 + SQUARE), _THICK))
    factor = SCALES[cover.asked.scale]
    said = ["50 mm square:", "measure it", "on the print"]
    if factor != 1:
        said = ["50 mm square:", f"at {cover.asked.scale} it stands", f"for {SQUARE / factor:.0f} mm of the piece"]
    for k, row in enumerate(said):
        size = min(4.2, 46.0 / max(widths(row, 1.0, False), 1e-9))
        block.words.append(Words(row, complex(left + SQUARE / 2, 22.0 + 7 * k), size, "middle"))
    y = 66.0
    block.marks.append(line((complex(left, y), complex(left + BAR, y)), _THICK))
    block.marks += [line((complex(left + k, y - 3), complex(left + k, y + 3)), _FINE) for k in (0.0, 50.0, 100.0)]
    block.words.append(Words("100 mm", complex(left + 75.0, y - 2.0), sizes.small, "middle"))
    note = Block(height=74.0)
    note.rows("Both bars are 100 mm long: a printer may be true one way and not the other.", sizes.small, 106.0, widths)
    block.words += [one._replace(at=one.at + left) for one in note.words]
    return block


def _beside(cover: Cover, width: float) -> float:
    # Room for the map beside the print check, where its squares are large enough for their names; 0 where there is none.
    room = width - 124.0
    if len(cover.maps) != 1 or room < 40:
        return 0.0
    return room if room / cover.maps[0].grid.columns >= 9.0 else 0.0


def _map(one: MapOf, width: float, high: float, widths: Widths, sizes: _Sizes) -> Block:
    # The piece over its pages; those that are blank, and not printed, are crossed out.
    grid = one.grid
    step = complex(grid.wide - grid.overlap, grid.high - grid.overlap)
    first = grid.corner(0, 0)
    whole = complex(grid.columns * step.real + grid.overlap, grid.rows * step.imag + grid.overlap)
    block = Block()
    block.rows(f"{one.name}: {_sheets(len(one.labels))}", sizes.small, width, widths)
    block.height += 1.0
    scale = min(width / whole.real, (high - block.height) / whole.imag)
    top = block.height

    def of(z: complex) -> complex:
        return (z - first) * scale + complex(0, top)

    printed = {(window.row, window.column): label for window, label in zip(grid.windows, one.labels, strict=True)}
    for row in range(grid.rows):
        for column in range(grid.columns):
            corner = of(grid.corner(row, column))
            last = complex(grid.overlap * (column == grid.columns - 1), grid.overlap * (row == grid.rows - 1))
            size = (step + last) * scale
            box = (corner.real, corner.imag, corner.real + size.real, corner.imag + size.imag)
            block.marks.append(rectangle(box, _FINE))
            label = printed.get((row, column))
            if label is None:
                block.marks.append(line((corner, corner + size), _CROSS))
                block.marks.append(line((complex(box[0], box[3]), complex(box[2], box[1])), _CROSS))
            else:
                letters = min(4.2, 0.75 * size.real / max(widths(label, 1.0, False), 1e-9), 0.6 * size.imag)
                middle = complex((box[0] + box[2]) / 2, (box[1] + box[3]) / 2 + letters * 0.36)
                block.words.append(Words(label, middle, letters, "middle"))
    runs = tuple([tuple([tuple([of(z) for z in seg]) for seg in outline]) for outline in one.outlines])
    block.marks.append(Mark(runs, Look(stroke=INK, width=0.5)))
    block.height += whole.imag * scale + 1.0
    return block


def _sheets(count: int) -> str:
    return "1 page" if count == 1 else f"{count} pages"


def _joining(cover: Cover, width: float, widths: Widths, sizes: _Sizes) -> Block:
    block = Block()
    block.rows("To join the pages", sizes.row, width, widths, bold=True)
    lay = "over the one before it" if cover.overlap else "against the line of the one before it, on its margin"
    block.rows(
        f"Trim each page along its left and its top line, where it has one; leave the right and the foot. Lay it {lay} so "
        "that every rung meets its other half and the letters at both ends say the same two pages. Join a row first, "
        "then row to row; tape or glue. No other join has its rungs at the same places.",
        sizes.small,
        width,
        widths,
    )
    return block


def _key(cover: Cover, width: float, widths: Widths, sizes: _Sizes) -> list[Block]:
    # The rows of the key as they stand in the results, each once; as many as there are.
    seen: set[str] = set()
    blocks: list[Block] = []
    for shown in cover.keys:
        for words, marks in key_rows(shown, cover.asked.black):
            if words in seen or _class_of(words) in cover.left_out:
                continue
            seen.add(words)
            if cover.asked.open_fold and words.startswith("FOLD EDGE"):
                words = f"{CENTRE}: the fold edge, opened out; do not cut it"
            block = Block(height=0.6)
            block.rows(words, sizes.small, width, widths, x=_SAMPLE)
            block.height = max(block.height, sizes.key_row)
            block.marks = [shifted(mark, complex(0, 0.6 + sizes.small * 0.64)) for mark in marks]
            blocks.append(block)
    if not blocks:
        return []
    # Rows of one key stand close to one another: they are one block where that is not longer than a third of a page.
    together = Block()
    for block in blocks:
        together.marks += [shifted(mark, complex(0, together.height)) for mark in block.marks]
        together.words += [one._replace(at=one.at + complex(0, together.height)) for one in block.words]
        together.height += block.height
    return [together] if together.height < 130.0 else blocks


def _table(shown: Sequence[Shown], width: float, widths: Widths, sizes: _Sizes) -> list[Block]:
    # The table of a fitted piece as it stands in its result, smaller where it is wider than the page.
    cells = [
        (text, _at(text)) for text in shown if isinstance(text, ShownText) and text.css == TABLE_CELL and text.chunks
    ]
    if not cells:
        return []
    left, top = min([at.real for _, at in cells]), min([at.imag for _, at in cells])
    reach = [
        at.real - left + (0.0 if text.chunks[0].anchor == "end" else widths(text.words, SIZE, False))
        for text, at in cells
    ]
    scale = min(sizes.row / SIZE, width / max(reach))
    block = Block()
    for text, at in cells:
        spot = complex((at.real - left) * scale, (SIZE + (at.imag - top) * _CLOSER) * scale)
        block.words.append(Words(text.words, spot, SIZE * scale, text.chunks[0].anchor))
        block.height = max(block.height, spot.imag + SIZE * scale * 0.4)
    return [block]


_CLOSER = 0.8
"""Rows of a table stand closer than on the wide page of a result."""


def _class_of(words: str) -> str:
    # Of what a row of a key tells; "" where it is no row of ours.
    return next((css for row, css in _ROWS if words.startswith(row)), "")


_ROWS = tuple([(key.words, row.name) for row in CLASSES.values() for key in row.key])

_KEY_ROW = 3.3
"""mm above and below the middle of a row of a result's key."""


def key_rows(shown: Sequence[Shown], black: bool) -> list[tuple[str, list[Mark]]]:
    """Return the rows of a result's key: the words, and the sample about 0 to 30 mm, the middle of the row at height 0."""
    found: list[tuple[str, list[Mark]]] = []
    rows = [(text, _at(text)) for text in shown if isinstance(text, ShownText) and text.chunks and _is_row(text, shown)]
    for text, at in rows:
        middle = at.imag - 1.5
        marks: list[Mark] = []
        for shape in shown:
            if not isinstance(shape, ShownShape) or shape.css in ("check-square", "check-bar"):
                continue
            _left, top, right, bottom = box_of([z for s in shape.strokes for seg in s.segments for z in seg])
            if abs((top + bottom) / 2 - middle) < _KEY_ROW and right < at.real:
                shift = complex(5.0 - at.real + 30.0, -middle)
                runs = tuple([tuple([tuple([z + shift for z in seg]) for seg in s.segments]) for s in shape.strokes])
                marks.append(Mark(runs, in_black(shape) if black else shape.look))
        if found and not marks:
            found[-1] = (f"{found[-1][0]} {text.words}", found[-1][1])  # the row before runs on
        else:
            found.append((text.words, marks))
    return found


def _at(text: ShownText) -> complex:
    a, b, c, d, e, f = text.matrix
    chunk = text.chunks[0]
    return complex(a * chunk.x + c * chunk.y + e, b * chunk.x + d * chunk.y + f)


def _is_row(text: ShownText, shown: Sequence[Shown]) -> bool:
    # The words of the print check stand in its square and beside its bar.
    if text.css != "key-words" or text.chunks[0].anchor != "start":
        return False
    at = _at(text)
    bars = [
        box_of([z for s in shape.strokes for seg in s.segments for z in seg])
        for shape in shown
        if isinstance(shape, ShownShape) and shape.css == "check-bar"
    ]
    return all(at.imag > bar[3] for bar in bars)
