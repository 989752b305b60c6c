"""Intakes that a dart asks for: its angle, shared by the lines that end at its point.

A list of folds through one point turns the cloth behind it by as many times the angle beside its line as it takes up depths.
So a line QA that opens the angle a about A takes up 2 m |QA| sin(a / 2m) at Q, m being half the depths of its list, and
nothing at A: the hinged pleat that closes the dart. (Two reflections in lines that meet turn by twice the angle between them.)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from pleatsvg.errors import FitError, SlashError
from pleatsvg.geometry.segment import turn_between
from pleatsvg.length import show
from pleatsvg.order.pleat_order import PleatOrder
from pleatsvg.piece.pivots.closed import ClosedDart, node_at
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.pleats.laid import PleatRequest
from pleatsvg.wording import message, option


def turned_open(
    lines: SlashSet, requests: Sequence[PleatRequest], orders: Sequence[PleatOrder], unit: str
) -> list[PleatRequest]:
    """Return the requests with those of lines that end at a closed dart's point taking up its angle, in equal shares.

    Args:
        lines: in order.
        requests: one for each.
        orders: one for each.
        unit: for messages.

    Raises:
        SlashError: no line ends at the point of a dart that is to be closed.
        FitError: a pleat has an intake of its own there, or none elsewhere; or it cannot end in a point.
    """
    hinges = [lines.hinge_of(chord) for chord in lines.chords]
    made = list(requests)
    for dart in lines.closed:
        mine = [k for k, hinge in enumerate(hinges) if hinge is dart]
        if not mine:
            # The other half of a piece cut on the fold has its own, which mirror the drawn ones.
            raise SlashError(
                f"The point of {dart.words}",
                f"at ({dart.point.real:.1f}, {dart.point.imag:.1f}) mm on the page, is reached by no slash line of those used",
                "its angle is to open along a line, once it is closed",
                message(
                    "Draw a straight line from the seam to the dart's point and name it 'slash 1'; or leave out {}.",
                    option("pivot"),
                ),
            )
        for k in mine:
            _refuse(lines, k, orders[k], requests[k], dart)
            _refuse_turned_round(lines, k, requests[k])
            made[k] = _request(lines, k, requests[k], dart, dart.angle / len(mine))
    for k, (hinge, order) in enumerate(zip(hinges, orders, strict=True)):
        if hinge is None and order.open:
            raise FitError(
                f"The intake of pleat {k + 1} at '{lines.names[k]}'",
                "is missing",
                "its line does not end at the point of a dart that is closed, whose angle would say it",
                message(
                    "Leave the line out by naming the others with {}; or say what it takes up in its name, such as "
                    "'slash 1 2cm'; or end it at the dart's point.",
                    option("slash"),
                ),
            )
    return made


def _refuse(lines: SlashSet, k: int, order: PleatOrder, request: PleatRequest, dart: ClosedDart) -> None:
    subject = f"Pleat {k + 1} at '{lines.names[k]}'"
    if not order.open:
        raise FitError(
            subject,
            f"ends at the point of {dart.words} and has an intake of its own",
            "what it takes up there follows from the angle of the dart",
            message("Leave out {}; another line can say its own in its name, such as 'slash 1 2cm'.", option("intake")),
        )
    if request.kind.to_before.has_face or request.kind.kicks or request.separate or request.half:
        raise FitError(
            subject,
            f"is a {request.kind.noun} that ends at the point of {dart.words}"
            + (
                " on the fold edge" if request.half else ", its underlay a piece of its own" if request.separate else ""
            ),
            "all its folds meet in that point",
            "Make it a knife or an inverted pleat or a tuck; two knife pleats that point apart make a box pleat.",
        )


def _refuse_turned_round(lines: SlashSet, k: int, request: PleatRequest) -> None:
    # About a dart's point lines may lead to any part of the seam; left and right, or up and down, are said for all at once.
    chord = lines.chords[k]
    along = (chord.hem - chord.top) / abs(chord.hem - chord.top)
    if request.kind.needs_lap and (along.imag if lines.upright else along.real) < _TURNED:
        ways = ("left", "right", "up and down") if lines.upright else ("up", "down", "across the page")
        raise FitError(
            f"Pleat {k + 1} at '{lines.names[k]}'",
            f"is a {request.kind.noun} that leads from the dart's point another way than most lines, which run {ways[2]}",
            f"what points {ways[0]} on the one would point {ways[1]} on the other, and one lap is said for all",
            "Make inverted pleats of them, which are alike on both sides; or let the dart open on one side.",
        )


_TURNED = 0.3
"""Of a line's length: what it runs at least along the way of all lines, so that a lap means the same for it."""


def _request(lines: SlashSet, k: int, request: PleatRequest, dart: ClosedDart, angle: float) -> PleatRequest:
    chord = lines.chords[k]
    depths = request.list.depths_taken
    intake = depths * abs(chord.hem - chord.top) * math.sin(angle / depths)
    if abs(chord.hem - dart.point) < abs(chord.top - dart.point):
        return replace(request, intake_top=intake, intake_hem=0.0, to_point=True)
    return replace(request, intake_top=0.0, intake_hem=intake, to_point=True)


def told(lines: SlashSet, requests: Sequence[PleatRequest], unit: str) -> list[str]:
    """Return for every dart that is closed what became of it, in words."""
    said: list[str] = []
    for dart in lines.closed:
        mine = [k for k, chord in enumerate(lines.chords) if lines.hinge_of(chord) is dart]
        share = math.degrees(dart.angle) / len(mine)
        among = f" in {len(mine)} equal shares of {share:.2f} degrees" if len(mine) > 1 else ""
        taken = [max(requests[k].intake_top, requests[k].intake_hem) for k in mine]
        widths = ", ".join([show(mm, unit) for mm in taken])
        bend, step = _left_in_the_seam(lines, dart)
        left = [f"a bend of {bend:.1f} degrees"] if bend > _TOLD_BEND else []
        left += [f"a step of {show(step, unit)}, since its legs differ by that,"] if step > _TOLD_STEP else []
        smooth = f" It leaves {' and '.join(left)} in the {dart.edge}: draw that smooth before you cut." if left else ""
        said.append(
            f"{dart.words[0].upper()}{dart.words[1:]} is closed, {show(dart.mouth, unit)} wide and "
            f"{math.degrees(dart.angle):.2f} degrees at its point; that opens{among} at "
            f"{_named([lines.names[k] for k in mine])}, {widths} wide at the seam.{smooth}"
        )
    return said


_TOLD_BEND = 3.0
"""Degrees in a seam that are told where a dart was closed: a hand that draws a waist smooth does not see less."""

_TOLD_STEP = 0.1
"""mm. A step in a seam above this is told there."""


def _left_in_the_seam(lines: SlashSet, dart: ClosedDart) -> tuple[float, float]:
    # By how many degrees the closed seam turns at the dart's place, and by how many mm its two sides miss each other.
    outline = lines.outline
    node = node_at(outline, dart.point)
    assert node is not None
    into, out = outline.ways[node - 2][1], outline.ways[(node + 1) % len(outline)][0]
    first = outline.segments[node - 1][0] - dart.point
    last = outline.segments[node][-1] - dart.point
    closing = (first / last) / abs(first / last)
    return turn_between(into, out * closing), dart.eased


def _named(names: Sequence[str]) -> str:
    quoted = [f"'{name}'" for name in names]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} and {quoted[-1]}"
