"""The job of printing a result on pages: what is printed, where the pages lie, what stands on them, the file, the proof."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pleatsvg.drawing.read_result import result_from
from pleatsvg.drawing.shown.read_shown import shown_from
from pleatsvg.errors import FitError, listed
from pleatsvg.geometry.segment import box_of
from pleatsvg.paper.area import Drawn
from pleatsvg.paper.body import Body, body_of, classes_left_out, said_on_paper
from pleatsvg.paper.cover import GAP, Cover, MapOf, cover_blocks, cover_pages, shifted
from pleatsvg.paper.document import Document, Mark, Page, Placed, Words
from pleatsvg.paper.joins import joins_of
from pleatsvg.paper.names import WordBox
from pleatsvg.paper.pages import Group, Lay, drawn_of, outlines_of, pages_of
from pleatsvg.paper.placing import Grid, fewest_pages
from pleatsvg.paper.sizes import LONGEST_PAGE, room_on
from pleatsvg.paper.together import laid_together
from pleatsvg.printing.faces import Setting, told
from pleatsvg.printing.lettered import set_text
from pleatsvg.printing.order import Order
from pleatsvg.result.pattern_lines import DrawnResult


@dataclass(frozen=True)
class Tiled:
    """Pages, proven.

    Attributes:
        document: what is on them.
        groups: where the pieces lie.
        files: the bytes of each file: one PDF, or an SVG for each page, by the name of its page.
        worst: the largest miss of the lines read back, mm.
        notes: what is to be told.
        order: what was asked for.
    """

    document: Document
    groups: tuple[Group, ...]
    files: tuple[tuple[str, bytes], ...]
    worst: float
    notes: tuple[str, ...]
    order: Order


def tiled(sources: Sequence[tuple[str, bytes]], order: Order) -> Tiled:
    """Return the pages of results, proven.

    Args:
        sources: of each result its file's name and bytes.
        order: what is asked for.

    Raises:
        PleatError: a result cannot be read or printed so, or the pages are not proven.
    """
    setting = Setting()
    results: list[DrawnResult] = []
    bodies: list[Body] = []
    notes: list[str] = []
    for source, data in sources:
        results.append(result_from(data, source))
        shown = shown_from(data, source)
        bodies.append(body_of(shown, order.asked))
        notes += shown.notes
        if shown.hidden:
            notes.append(f"Hidden in '{source}', and so not printed: {listed(shown.hidden, 6)}.")
    boxes = [_word_boxes(body, setting) for body in bodies]
    if order.paper.kind == "one":
        document, groups = _one_page(bodies, boxes, order, setting)
    else:
        document, groups = _many_pages(bodies, boxes, order, setting)
    if order.form == "svg":
        from pleatsvg.printing.svg import proven_svgs

        files, worst = proven_svgs(document, setting, results)
    else:
        from pleatsvg.printing.pdf import proven_pdf

        data, worst = proven_pdf(document, setting, results)
        files = (("", data),)
    return Tiled(document, groups, files, worst, (*notes, *told(setting)), order)


def _word_boxes(body: Body, setting: Setting) -> list[WordBox]:
    made = []
    for text in body.texts:
        found = set_text(text, setting)
        made.append(WordBox(found.middle, found.way, found.width, found.height))
    return made


def _many_pages(
    bodies: Sequence[Body], boxes: Sequence[Sequence[WordBox]], order: Order, setting: Setting
) -> tuple[Document, tuple[Group, ...]]:
    paper, margins = order.paper, order.margins
    wide, high = room_on(paper, margins)
    drawn = [drawn_of(body, box) for body, box in zip(bodies, boxes, strict=True)]
    groups: list[Group] = []
    rows = joins = 0
    shared = _shared(drawn, wide, high, order)
    counts = [len(joins_of(grid)) for _, grid in shared]
    for (lays, grid), own in zip(shared, counts, strict=True):
        name = _called([bodies[lay.body] for lay in lays])
        groups.append(Group(tuple(lays), grid, rows, joins, name, sum(counts)))
        rows += grid.rows
        joins += own
    count = sum([len(group.grid.windows) for group in groups])
    size = (paper.width, paper.height if paper.kind == "sheet" else 0.0)
    maps = [MapOf(group.name, group.grid, group.labels, outlines_of(group, bodies)) for group in groups]
    cover = _cover(bodies, order, tuple(maps), count)
    cover_size = size if paper.kind == "sheet" else (paper.width, 297.0)
    pages = list(cover_pages(cover, cover_size, margins, setting.width))
    first, last = len(pages) + 1, len(pages) + count
    for group in groups:
        here = size if paper.kind == "sheet" else (paper.width, group.grid.high + margins.top + margins.foot)
        pages += pages_of(group, bodies, boxes, here, margins, setting.width, first, last)
        first += len(group.grid.windows)
    return Document(cover.title, tuple(bodies), tuple(pages)), tuple(groups)


def _grid(whole: Drawn, wide: float, high: float, order: Order) -> Grid:
    if order.paper.kind == "sheet":
        return fewest_pages(whole, wide, high, order.overlap, order.turn)
    # On a roll a strip is as long as the piece: laid the way that takes the fewest strips, and of these the shortest.
    best: tuple[tuple[float, float], Grid] | None = None
    for turn in (0.0, 90.0) if order.turn is None else (order.turn,):
        way = complex(np.exp(1j * np.radians(turn)))
        down = (whole.points * way).imag
        length = float(down.max() - down.min()) + 4.0
        longest = LONGEST_PAGE - order.margins.top - order.margins.foot
        grid = fewest_pages(whole, wide, min(length, longest), min(order.overlap, length / 4), turn)
        key = (float(len(grid.windows)), length)
        if best is None or key < best[0]:
            best = (key, grid)
    assert best is not None
    return best[1]


def _shared(drawn: Sequence[Drawn], wide: float, high: float, order: Order) -> list[tuple[list[Lay], Grid]]:
    # Which results lie on the same pages: all together where that takes fewer, else each for itself.
    apart = [([Lay(k, 1 + 0j, 0j)], _grid(one, wide, high, order)) for k, one in enumerate(drawn)]
    if order.together and len(drawn) > 1:
        lays, whole = laid_together(drawn, wide, high, order.overlap, order.turn)
        grid = _grid(whole, wide, high, order)
        if len(grid.windows) < sum([len(one.windows) for _, one in apart]):
            return [(lays, grid)]
    return apart


def _called(bodies: Sequence[Body]) -> str:
    names = [name for body in bodies for name in (body.shown.names or (body.shown.source,))]
    return ", ".join(dict.fromkeys(names))


def _cover(bodies: Sequence[Body], order: Order, maps: tuple[MapOf, ...], count: int) -> Cover:
    headings = tuple(
        [
            tuple([said_on_paper(row, order.asked) for row in body.shown.heading]) or (_called([body]),)
            for body in bodies
        ]
    )
    return Cover(
        title=_called(bodies),
        paper=order.paper,
        asked=order.asked,
        overlap=order.overlap,
        count=count,
        maps=maps,
        headings=headings,
        keys=tuple([body.shown.key for body in bodies]),
        joined=count > 1,
        left_out=classes_left_out(bodies),
    )


def _one_page(
    bodies: Sequence[Body], boxes: Sequence[Sequence[WordBox]], order: Order, setting: Setting
) -> tuple[Document, tuple[Group, ...]]:
    # The cover's words and the print check above, the pieces below one another.
    margins = order.margins
    turn = complex(np.exp(1j * np.radians(order.turn or 0.0)))
    lays: list[Lay] = []
    y, width = 0.0, 186.0
    for k, (body, box) in enumerate(zip(bodies, boxes, strict=True)):
        points = drawn_of(body, box, turn).points
        left, top, right, bottom = box_of([complex(z) for z in points])
        lays.append(Lay(k, turn, complex(2.0 - left, y + 2.0 - top)))
        y += bottom - top + 16.0
        width = max(width, right - left + 4.0)
    cover = _cover(bodies, order, (), 1)
    marks: list[Mark] = []
    words: list[Words] = []
    head = 0.0
    for block in cover_blocks(cover, width, setting.width):
        corner = complex(margins.left, margins.top + head)
        marks += [shifted(mark, corner) for mark in block.marks]
        words += [one._replace(at=one.at + corner) for one in block.words]
        head += block.height + GAP
    top = margins.top + head + 6.0
    size = (float(np.ceil(margins.left + width + margins.right)), float(np.ceil(top + y - 16.0 + 4.0 + margins.foot)))
    if max(size) > LONGEST_PAGE:
        raise FitError(
            "The piece",
            f"would take a page of {size[0] / 1000:.2f} x {size[1] / 1000:.2f} m",
            f"a page goes up to {LONGEST_PAGE / 1000:.2f} m",
            "Print it on a roll or on sheets.",
        )
    clip = (margins.left, top, margins.left + width, top + y - 16.0 + 4.0)
    placed = [Placed(lay.body, lay.turn, lay.shift + complex(margins.left, top), clip) for lay in lays]
    page = Page("page", size[0], size[1], tuple(placed), tuple(marks), tuple(words))
    return Document(cover.title, tuple(bodies), (page,)), ()
