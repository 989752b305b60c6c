"""Marking: notches, arrows, stitching and words, and all of it on its page as it will be written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from pleatsvg.flat.as_written import finished_on_page, flat_on_page, rounded
from pleatsvg.flat.facts import free_remarks, intakes_of, turned_remarks
from pleatsvg.flat.passes.earlier_lines import on_page
from pleatsvg.geometry.segment import Segment
from pleatsvg.marks.stitching import stitching_lines
from pleatsvg.page.compose import lay_on_sheet
from pleatsvg.page.fitted_table import Figures, table_of
from pleatsvg.page.subject import Above, Subject
from pleatsvg.piece.edges import lower_word
from pleatsvg.pleated import Flattened, Laid, Written

if TYPE_CHECKING:
    from pleatsvg.fitted.fit import Fitted
    from pleatsvg.fitted.spliced import Spliced
    from pleatsvg.fitted.zones import ZoneWritten


def mark(laid: Laid, flattened: Flattened, allowance_words: str) -> Written:
    """Return the notches, arrows, stitching and words, and all of it on its page, as it will be written.

    Args:
        laid: the pleats on the finished piece.
        flattened: the flat piece.
        allowance_words: what is said of allowances that an earlier pass gave; "" where none did.
    """
    order, lines, pleats, unfolded = laid.order, laid.lines, laid.pleats, flattened.unfolded
    fitted, spliced, cutting_drawn, above = laid.fitted, flattened.spliced, laid.cutting, None
    if fitted is not None and spliced is not None:
        # Above the hip stand the notches of the top and all stitching, below it the words.
        level = spliced.level_points(fitted.hip.ends)
        above = _above(laid, fitted, spliced, level)
        stitching, untold = stitching_lines(
            fitted.upper.lines, fitted.above, spliced.above, fitted.cutting_above, order.marking
        )
        lines, cutting_drawn = fitted.drawn, fitted.cutting
        whole, unfolded = (
            unfolded,
            replace(unfolded, creases=spliced.below.creases, placements=spliced.below.placements),
        )
    else:
        whole = unfolded
        stitching, untold = stitching_lines(lines, pleats, unfolded, laid.cutting, order.marking)
    subject = Subject(
        name=laid.piece.name,
        lines=lines,
        ground=laid.ground,
        cutting=cutting_drawn,
        marking=replace(order.marking, mark=laid.marked),
        join_allowance=laid.join_allowance,
        unit=order.unit,
        through=flattened.through,
        allowances=allowance_words,
        above=above,
    )
    sheet = lay_on_sheet(subject, pleats, unfolded, flattened.carriage, flattened.grain, stitching)
    sheet = replace(sheet, remarks=(*sheet.remarks, *untold))
    offset = sheet.offset
    grain = None
    if flattened.grain is not None:
        start, end = rounded([z + offset for z in flattened.grain])
        grain = (start, end)
    flat = flat_on_page(whole, offset)
    zones: tuple[ZoneWritten, ...] = ()
    levels: tuple[tuple[complex, ...], ...] = ()
    cutting, slide = None, 0j
    seam = finished_on_page(lines.outline, laid.ground, lines, offset)
    if fitted is not None and spliced is not None:
        from pleatsvg.fitted.zones import zones_on_page

        zones = zones_on_page(fitted, spliced, flat, laid.ground, offset, seam)
        slide = spliced.slide
        levels = tuple([tuple(rounded([z + offset for z in row])) for row in spliced.hip_levels(level)])
    elif laid.cutting is not None:
        cutting = finished_on_page(laid.cutting.outline, laid.ground, lines, offset, laid.cutting)
        if unfolded.trimmed or unfolded.joins or unfolded.hem_off or any(pleat.kick for pleat in pleats):
            # What is trimmed covers less of the finished line; the allowances of joins lie beyond their layers.
            cutting = replace(cutting, wanted=frozenset())
    return Written(
        sheet=sheet,
        flat=flat,
        seam=seam,
        zones=zones,
        hip_levels=levels,
        cutting=cutting,
        grain=grain,
        earlier=None if flattened.through is None else on_page(flattened.through, offset),
        allowance_words=subject.allowance_words(),
        balance=balance_on_page(laid, flattened, offset),
        balance_above=tuple([_path_on_page(path, offset + slide) for path in flattened.balance_above]),
    )


def _above(laid: Laid, fitted: Fitted, spliced: Spliced, level: Sequence[tuple[complex, int]]) -> Above:
    # Of a fitted piece, what is marked above the level at which its lines bend, and the table of its figures.
    from pleatsvg.fitted.spliced import level_by_layer
    from pleatsvg.fitted.table import fitted_columns

    called = ("top", fitted.asked.level, lower_word(laid.ground.edges))
    taken = intakes_of(spliced.flat)
    numbers = [pleat.number for pleat in laid.pleats]
    levels = [
        (name, Figures(row.spaces, row.intakes, row.so_far))
        for name, row in zip(called, fitted_columns(fitted, [taken[number] for number in numbers]), strict=True)
    ]
    return Above(
        unfolded=spliced.above,
        pleats=fitted.above,
        lines=fitted.upper.lines,
        lengths=fitted.lengths,
        waist=fitted.closed.length,
        foot=fitted.asked.foot,
        down=fitted.asked.down,
        table=table_of(numbers, levels, laid.order.unit, fitted.drawn.ring),
        below=spliced.below if fitted.asked.curved else None,
        level=level_by_layer(level),
    )


def balance_on_page(laid: Laid, flattened: Flattened, offset: complex) -> tuple[tuple[Segment, ...], ...]:
    """Return balance lines as they were drawn: what those on the flat piece are folded back onto."""
    carried = {line.name for line in flattened.carriage.lines if line.balance}
    return tuple(
        [
            _path_on_page(shape.stroke, offset)
            for shape in laid.piece.shapes
            if shape.part == "balance" and shape.name in carried
        ]
    )


def _path_on_page(path: tuple[Segment, ...], offset: complex) -> tuple[Segment, ...]:
    return tuple([tuple(rounded([z + offset for z in seg])) for seg in path])


def remarks_on_page(laid: Laid, flattened: Flattened, written: Written) -> list[str]:
    """Return what is to be said of a flat piece as it lies on its page."""
    remarks: list[str] = []
    if laid.cutting is not None:
        remarks += free_remarks(written.flat)
        if laid.order.allowances.hem_turn:
            remarks += turned_remarks(laid.lines, laid.pleats, flattened.unfolded, laid.order.unit)
    if flattened.through is not None:
        remarks += flattened.through.remarks
    return [*remarks, *flattened.carriage.remarks, *written.sheet.remarks]
