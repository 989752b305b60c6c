"""What `measure` prints: in plain words for the person, as JSON for another program (lengths in mm)."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from pleatsvg.cli.report.already import Already
from pleatsvg.errors import cut_short
from pleatsvg.length import show
from pleatsvg.order.options import on_command_line
from pleatsvg.piece.edges import called_on_cloth
from pleatsvg.piece.measuring import Measured, MeasuredLine
from pleatsvg.piece.seen.darts import DartFound
from pleatsvg.piece.seen.things import CARRIED, LEFT_OUT, grouped
from pleatsvg.pleats.words import end_words
from pleatsvg.saying import on_one_line
from pleatsvg.wording import shown

MOST_THINGS = 60
"""Rows of what is carried or left out; what plays a part is listed whole."""


def measured_text(found: Measured, already: Already | None = None) -> str:
    """Return a measured piece in plain words.

    Args:
        found: the piece.
        already: what is known of its pleats, where the drawing is a result.
    """
    piece, unit = found.piece, found.unit
    page = piece.page
    left, top, right, bottom = piece.outline.box
    size = f"{show(page.width_mm, unit)} x {show(page.height_mm, unit)}" if page.width_mm else "no size stated"
    rows = [
        f"Piece '{piece.name}' in {on_one_line(piece.source)}",
        f"  page        {size}; one drawing unit is {page.mm_per_unit:.5g} mm, from {page.scale_from}",
        f"  piece       {show(right - left, unit)} wide, {show(bottom - top, unit)} high as drawn",
        *([] if already is None else [f"  already     pleated: {_already_words(already)}"]),
        "",
        "Edges of the cutting line, clockwise from the top left"
        if piece.only_cut
        else "Seam edges, clockwise from the top left",
    ]
    width = max(len(e.name) for e in found.edges)
    for e in found.edges:
        on_fold = ", cut on the fold" if found.fold is not None and e.number == found.fold.number else ""
        if e.number in found.trade:
            on_fold += f"; the {found.trade[e.number]}"
        rows.append(
            f"  {e.number:>2}  {e.name:<{width}}  {show(e.length, unit):>10}  {'straight' if e.straight else 'curved'}{on_fold}"
        )
    if found.whole_width is not None:
        rows.append(
            f"  The piece is one half; opened out it is {show(found.whole_width, unit)} wide, square to the fold edge."
        )
    if found.lines:
        first, second = end_words(found.upright)
        start = "left" if found.upright else "top"
        whence = "their top is the upper end" if found.upright else "told from the left end to the right end"
        rows += ["", f"Slash lines, numbered from the {start}; {whence}"]
        width = max(len(line.name) for line in found.lines)
        for line in found.lines:
            grain = "" if line.grain_degrees is None else f", {line.grain_degrees:.1f} degrees to the grain"
            at_top, at_hem = (f"{m.edge} at {show(m.distance, unit)}" for m in (line.top, line.hem))
            rows.append(
                f"  {line.number:>2}  {line.name:<{width}}  {first}: {at_top}; {second}: {at_hem}; "
                f"{show(line.length, unit)} long{grain}"
            )
        rows += [
            "",
            f"Spaces along the seam, from corner to corner ({'left to right' if found.upright else 'top to bottom'})",
        ]
        for word, spaces in ((first, found.top_spaces), (second, found.hem_spaces)):
            rows.append(f"  at the {word}: " + " | ".join(show(s, unit) for s in spaces))
    if found.darts:
        rows += ["", "Darts"]
        rows += [_dart_row(dart, found) for dart in found.darts]
    rows += _thing_rows(found)
    if found.odd:
        rows += ["", "Worth a look"]
        rows += [f"  - {shown(remark, on_command_line)}" for remark in found.odd]
    return "\n".join(rows)


def _already_words(already: Already) -> str:
    said = f"{already.pleats} {'pleat' if already.pleats == 1 else 'pleats'}"
    if already.passes > 1:
        said += f" in {already.passes} passes"
    return f"{said}, {'folds true' if already.why is None else f'does not fold true: {already.why}'}"


def _dart_row(dart: DartFound, found: Measured) -> str:
    unit, edge = found.unit, called_on_cloth(dart.edge, found.edges)
    drawn = (
        f"a notch in the outline; the {edge} is given with it sewn up"
        if dart.sewn
        else f"two open legs; sewn up, it leaves {show(dart.leaves, unit)} of the {edge}"
    )
    return (
        f"  {dart.number:>2}  in the {edge}: intake {show(dart.intake, unit)}, {show(dart.length, unit)} long, its "
        f"point at ({dart.point.real:.1f}, {dart.point.imag:.1f}) mm; {drawn}"
    )


def _thing_rows(found: Measured) -> list[str]:
    played: list[str] = []
    others: list[str] = []
    for thing, many in grouped(found.things):
        name = on_one_line(cut_short(thing.name))
        if not thing.typed:
            name = name if many == 1 else f"{many} without a name of their own"
        elif many > 1:
            name = f"{name} ({many} times)"
        why = f": {thing.why}" if thing.why else ""
        (others if thing.part in (CARRIED, LEFT_OUT) else played).append(f"  {name} -> {thing.part}{why}")
    if len(others) > MOST_THINGS:
        others = [*others[:MOST_THINGS], f"  {len(others) - MOST_THINGS} more; --json lists them all"]
    return ["", "Names and the parts they play", *played, *others] if played or others else []


def _top_end(upright: bool) -> str:
    return "upper end" if upright else "left end"


def measured_json(found: list[Measured], already: Sequence[Already | None]) -> str:
    """Return measured pieces as JSON, lengths in mm: one piece as an object, several as {"pieces": [...]}."""
    made = [_measured_data(one, pleated) for one, pleated in zip(found, already, strict=True)]
    return json.dumps(made[0] if len(made) == 1 else {"pieces": made}, indent=2, ensure_ascii=False)


def _measured_data(found: Measured, already: Already | None) -> dict[str, Any]:
    piece = found.piece
    outline = piece.outline

    def line(m: MeasuredLine) -> dict[str, Any]:
        return {
            "number": m.number,
            "name": m.name,
            "length_mm": m.length,
            "grain_degrees": m.grain_degrees,
            "top": {"edge": m.top.edge, "at_mm": m.top.distance, "point_mm": _pair(m.top.point)},
            "hem": {"edge": m.hem.edge, "at_mm": m.hem.distance, "point_mm": _pair(m.hem.point)},
        }

    return {
        "drawing": piece.source,
        "piece": piece.name,
        "page": {
            "width_mm": piece.page.width_mm,
            "height_mm": piece.page.height_mm,
            "mm_per_unit": piece.page.mm_per_unit,
            "scale_from": piece.page.scale_from,
        },
        "box_mm": list(outline.box),
        "area_mm2": outline.area,
        "outline_is": "cutting line" if piece.only_cut else "seam",
        "whole_width_mm": found.whole_width,
        "edges": [
            {
                "number": e.number,
                "name": e.name,
                "trade": found.trade.get(e.number),
                "length_mm": e.length,
                "straight": e.straight,
                "cut_on_fold": found.fold is not None and e.number == found.fold.number,
                "from_mm": _pair(outline.point(e.start)),
                "to_mm": _pair(outline.point(e.end)),
            }
            for e in found.edges
        ],
        "lines_run": None if not found.lines else "upright" if found.upright else "level",
        "top_end": None if not found.lines else _top_end(found.upright),
        "slash_lines": [line(m) for m in found.lines],
        "top_spaces_mm": list(found.top_spaces),
        "hem_spaces_mm": list(found.hem_spaces),
        "names": [{"name": name, "part": part} for name, part in piece.parts],
        "things": [
            {"name": thing.name, "part": thing.part, **({"why": thing.why} if thing.why else {})}
            for thing in found.things
        ],
        "darts": [
            {
                "number": dart.number,
                "edge": dart.edge.name,
                "intake_mm": dart.intake,
                "length_mm": dart.length,
                "point_mm": _pair(dart.point),
                "drawn_as": "notch" if dart.sewn else "open legs",
                "sewn_up_leaves_mm": dart.leaves,
            }
            for dart in found.darts
        ],
        "grainline": None if piece.grain is None else [_pair(piece.grain.start), _pair(piece.grain.end)],
        "already_pleated": None
        if already is None
        else {
            "pleats": already.pleats,
            "passes": already.passes,
            "folds_true": already.why is None,
            "why_not": already.why,
        },
        "odd": [shown(remark, on_command_line) for remark in found.odd],
    }


def _pair(z: complex) -> list[float]:
    return [z.real, z.imag]
