"""The drawing of a piece that needs no drafting: a straight panel or a plain gore, with its slash lines named. Lengths in mm.

It is a drawing as a person would make it: right side of the cloth up, one unit to the millimetre, a name on every line that
says its pleat. So it can be pleated as it stands, or changed in any editor first.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from pleatsvg.errors import FitError, RequestError
from pleatsvg.length import show, typed
from pleatsvg.plan.asked import counted, noun
from pleatsvg.plan.planned import HAIR, SAME, Plan
from pleatsvg.plan.waist import margin_for_waist, out_at_waist
from pleatsvg.wording import Words, message, option

_AROUND = 40.0
"""mm of page around the piece."""


RING = "left side=right side"
"""The two edges of a panel that are sewn to each other where its pleats run on all round."""


def closes_round(plan: Plan) -> bool:
    """Return whether a panel's pleats run on over its side seam, which is given up for a join at an inner fold.

    Tucks have no such fold; round a waist of theirs the side seam stays what it is.
    """
    return plan.asked.ring and not plan.asked.kind.stitched


class Line(NamedTuple):
    """A slash line: its name, and its places along the top and the hem from their left ends."""

    name: str
    top: float
    hem: float


class Panel(NamedTuple):
    """A plain piece as it is drawn."""

    top: float
    bottom: float
    length: float
    lines: tuple[Line, ...]


def panel_for(plan: Plan) -> Panel:
    """Return the plain piece of a plan, finished width by finished length.

    Raises:
        RequestError: the length is missing, or the piece needs drafting.
        FitError: the hidden cloth of a pleat at the end would lie beyond the side seam.
    """
    a = plan.asked
    if a.fabric.length is None:
        raise RequestError(
            "The length of the piece",
            "is missing",
            "a panel is drawn from its top to its hem",
            message("Give {} with {}.", option("length", "60cm"), option("draw")),
        )
    if a.apart or a.levels:
        name = "apart" if a.apart else "balance"
        raise RequestError(
            message("{} and {}", option("draw"), option(name)),
            "are both given",
            "where pleats differ, or taper between two levels, the piece is no plain panel",
            message("Draw it, and pleat it with what is told here; or leave out {}.", option(name)),
        )
    if not plan.depth_known:
        raise RequestError(
            "The depth", "is missing", "it says how much each takes up", message("Give {}.", option("depth", "5mm"))
        )
    refuse_without_lap(plan)
    bottom = plan.finished if a.fabric.bottom is None else a.fabric.bottom
    share, places = bottom / plan.finished, plan.places()
    out, side = plan.out
    for k, place in enumerate(places):  # a gore may be narrower at its hem
        left, right = plan.reach(plan.towards(k))
        beyond = max((left - place * share, "left"), (place * share + right - bottom, "right"))
        out, side = max((out, side), beyond)
    above, side_above = out_at_waist(plan)
    where = ""
    if above > max(out, HAIR):
        out, side, where = above, side_above, ", at the waist"
    if out > HAIR and not closes_round(plan):
        raise FitError(
            f"The {noun(a.kind)} nearest the {side} side",
            f"would have its hidden cloth {show(out, a.unit)} beyond the side seam of the panel{where}",
            f"it is {show(plan.depth, a.unit)} deep, with {show(plan.spacing * min(share, 1.0), a.unit)} to the next",
            _remedy(plan),
        )
    middle, lines = plan.finished / 2, []
    for k, place in enumerate(places):
        slant = (place - middle) * (share - 1) / a.fabric.length
        lines.append(Line(_name(plan, k, slant), place, place * share))
    return Panel(plan.finished, bottom, a.fabric.length, tuple(lines))


def refuse_without_lap(plan: Plan) -> None:
    """Refuse pleats whose folds could point either way where it is not said which.

    Raises:
        RequestError: the lap is missing, or has no centre to go by.
    """
    a = plan.asked
    if a.kind.needs_lap and a.lap is None:
        raise RequestError(
            f"The lap of the {noun(a.kind)}s",
            "is missing",
            "a fold that points the wrong way costs the cloth",
            message("Give {} left, right, centre or sides: the way the folds point, right side up.", option("lap")),
        )
    if a.lap in ("centre", "sides") and plan.count % 2:
        raise RequestError(
            option("lap", a.lap),
            f"is given for {counted(plan.count, a)}",
            "the one in the middle would point neither way",
            message("Give an even {}, or another {}.", option("count"), option("lap")),
        )


def past_the_side(plan: Plan) -> Words | None:
    """Return what to say of hidden cloth at the ends of a piece with two side seams, or None where it lies on the piece."""
    a, unit = plan.asked, plan.asked.unit
    (out, side), shift = plan.out, plan.shift
    above, side_above = out_at_waist(plan)
    where = ""
    if above > max(out, SAME):
        out, side, where = above, side_above, ", at the waist"
    if out > SAME:
        end = "last" if side == "right" else "first"
        cloth = f"has its hidden cloth {show(out, unit)} past the {side} one{where}"
        return message("On a piece with two side seams the {} {} {}. {}", end, noun(a.kind), cloth, _remedy(plan))
    if abs(shift) > SAME:
        way = "right" if shift > 0 else "left"
        where = f"The {noun(a.kind)}s lie {show(abs(shift), unit)} farther {way} than half a space from the ends"
        return message("{}, so that all hidden cloth lies on the piece.", where)
    return None


def _remedy(plan: Plan) -> Words:
    a = plan.asked
    either: Words | str = ""
    if not a.ring and a.waist is None:
        either = message("Give {} where the width closes all round; otherwise ", option("ring", True))
    if a.ends.share == 0.5 and plan.depth <= plan.spacing + SAME and plan.count > 1 and a.waist is None:
        full, less = option("ends", "full"), option("count", plan.count - 1)
        return _sentence(message("{}give {} and {}: the spacing stays as it is.", either, full, less))
    wanted = margin_for_waist(plan)
    if wanted is not None:
        return message("Give {}, or less depth.", option("margin", f"{wanted}mm"))
    return _sentence(message("{}give {} as wide as the depth, or less depth.", either, option("margin")))


def _sentence(words: Words) -> Words:
    first, *rest = words.parts
    return Words(first[:1].upper() + first[1:] if isinstance(first, str) else first, *rest)


def _name(plan: Plan, k: int, slant: float) -> str:
    # A pleat's depth is square to its line. On a line that slants, that is less than it takes up along the edges.
    a, square = plan.asked, 1 / math.hypot(1.0, slant)
    face = f" face {typed(plan.face * square, a.unit)}" if plan.face else ""
    lap = (" left" if plan.towards(k) < 0 else " right") if a.kind.needs_lap else ""
    kind = a.kind.name.replace("-", " ")
    return f"slash {k + 1} {kind} {typed(plan.marked_intake * square, a.unit)}{face}{lap}"


def panel_bytes(panel: Panel) -> bytes:
    """Return the drawing, an SVG with one user unit to the millimetre. The same panel gives the same bytes."""
    wide = max(panel.top, panel.bottom)
    left_top, left_hem = _AROUND + (wide - panel.top) / 2, _AROUND + (wide - panel.bottom) / 2
    high, low = _AROUND, _AROUND + panel.length
    width, height = _number(wide + 2 * _AROUND), _number(panel.length + 2 * _AROUND)

    def at(x: float, y: float) -> str:
        return f"{_number(x)} {_number(y)}"

    rows = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}" fill="none" stroke-width="0.5">',
        f'<path id="seam" inkscape:label="seam" stroke="#000" d="M {at(left_top, high)} L {at(left_top + panel.top, high)} '
        f'L {at(left_hem + panel.bottom, low)} L {at(left_hem, low)} Z"/>',
    ]
    for line in panel.lines:
        rows.append(
            f'<path id="{line.name.replace(" ", "_")}" inkscape:label="{line.name}" stroke="#c00" '
            f'd="M {at(left_top + line.top, high)} L {at(left_hem + line.hem, low)}"/>'
        )
    between = [0.0, *[line.top for line in panel.lines], panel.top]
    k = len(panel.lines) // 2
    x = left_top + (between[k] + between[k + 1]) / 2
    y = (high + panel.length * 0.3, high + panel.length * 0.7)
    rows.append(f'<path id="grainline" inkscape:label="grainline" stroke="#06c" d="M {at(x, y[0])} L {at(x, y[1])}"/>')
    return "\n".join([*rows, "</svg>", ""]).encode()


def _number(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")
