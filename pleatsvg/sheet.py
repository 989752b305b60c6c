"""Laying the flat piece on its page: marks, lettering, the heading above and the key below."""

from __future__ import annotations

from dataclasses import dataclass

from pleatsvg.carry import Carriage
from pleatsvg.layout import LaidPleat
from pleatsvg.lettering import Lettered, Words, lettered, width_of
from pleatsvg.marks import Mark, end_signs, lap_arrows, notches
from pleatsvg.outline import Outline
from pleatsvg.segment import Box, box_of
from pleatsvg.slash import SlashSet
from pleatsvg.unfold import Unfolded
from pleatsvg.words import intake_words, numbers_in_words, pleat_words

MARGIN = 15.0
"""Free edge of the page in mm; printers leave up to 6 mm bare."""

HEADING_SIZES = (7.0, 4.2)
"""Font sizes in mm of the first row of the heading and of the others."""

ROW_PITCH = 6.5
KEY_WIDTH = 205.0
KEY_HEIGHT = 68.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """What stands on the page beside the piece's own lines, in mm.

    Attributes:
        offset: from the flat piece's coordinates to the page.
        width, height: of the page.
        marks, words: in the flat piece's coordinates.
        heading: rows above the piece, the first one larger.
        key_at: top left corner of the key on the page.
    """

    offset: complex
    width: float
    height: float
    marks: tuple[Mark, ...]
    words: tuple[Words, ...]
    heading: tuple[str, ...]
    key_at: complex


def lay_on_sheet(
    name: str,
    lines: SlashSet,
    pleats: tuple[LaidPleat, ...],
    unfolded: Unfolded,
    carriage: Carriage,
    grain: tuple[complex, complex] | None,
    unit: str,
) -> Sheet:
    """Return the marks and the page for a flat piece.

    Args:
        name: what the piece is called.
        lines: the slash lines.
        pleats: laid out on the finished piece.
        unfolded: the flat piece.
        carriage: what else is drawn on it.
        grain: the carried grainline.
        unit: of lengths in words.
    """
    upright = lines.upright
    labels = {
        p.number: (
            f"PLEAT {p.number}: {pleat_words(p.request, upright, unit)}",
            f"PLEAT {p.number}: {p.request.kind.name}, "
            f"{intake_words(p.request.intake_top, p.request.intake_hem, upright, unit)}",
        )
        for p in pleats
    }
    rows = (name, f"flat, with {_counted(len(pleats))}", "RIGHT SIDE UP")
    lettering = lettered(rows, labels, unfolded, lines.hand, grain, _obstacles(carriage))
    marks = (*notches(unfolded), *end_signs(unfolded), *lap_arrows(unfolded), *lettering.leaders)
    heading = _heading(name, upright, pleats, unit)
    left, top, right, bottom = _extent(unfolded.outline, marks, lettering, carriage)
    wide = [width_of(row, HEADING_SIZES[min(k, 1)]) for k, row in enumerate(heading)]
    above = HEADING_SIZES[0] + ROW_PITCH * (len(heading) - 1) + 10.0
    width = max(right - left, *wide, KEY_WIDTH) + 2 * MARGIN
    offset = complex(MARGIN - left, MARGIN + above - top)
    key_top = MARGIN + above + (bottom - top) + 12.0
    return Sheet(
        offset,
        float(int(width) + 1),
        float(int(key_top + KEY_HEIGHT + MARGIN) + 1),
        marks,
        (*lettering.words, *lettering.beyond),
        heading,
        complex(MARGIN, key_top),
    )


def _counted(pleats: int) -> str:
    return "1 pleat" if pleats == 1 else f"{pleats} pleats"


def _heading(name: str, upright: bool, pleats: tuple[LaidPleat, ...], unit: str) -> tuple[str, ...]:
    rows = [
        f"{name}: flat piece with {_counted(len(pleats))}",
        "RIGHT SIDE UP. The outline is the seam line; no seam or hem allowance is included, add yours outside it.",
    ]
    alike: dict[str, list[int]] = {}
    for pleat in pleats:
        alike.setdefault(pleat_words(pleat.request, upright, unit), []).append(pleat.number)
    rows += [f"{numbers_in_words(numbers)}: {words}" for words, numbers in alike.items()]
    return tuple(rows)


def _obstacles(carriage: Carriage) -> list[tuple[int, tuple[complex, ...]]]:
    # What words must keep clear of: the points of each carried segment, and the corners of each text.
    found = [(line.layer, segment) for line in carriage.lines for segment in line.segments]
    return found + [(t.layer, tuple([t.motion.of(z) for z in t.text.box])) for t in carriage.texts]


def _extent(flat: Outline, marks: tuple[Mark, ...], lettering: Lettered, carriage: Carriage) -> Box:
    points = [z for seg in flat.segments for z in seg]
    points += [z for mark in marks if mark.name in ("notch", "leader") for z in mark.points]
    points += [z for words in lettering.beyond for z in words.corners()]
    points += [z for line in carriage.lines for segment in line.segments for z in segment]
    return box_of(points)
