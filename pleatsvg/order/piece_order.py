"""What is asked for, read from options as typed and checked as far as it can be without a drawing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from pleatsvg.errors import MissingError, RequestError
from pleatsvg.length import Length
from pleatsvg.order.allowances import NO_ALLOWANCE, Allowances
from pleatsvg.order.finish import FinishTo, finish_from
from pleatsvg.order.fit import FitTo, fit_from
from pleatsvg.order.given import Given, length_of, refuse_unknown
from pleatsvg.order.marking import PLAIN_MARKING, Marking
from pleatsvg.order.options import OPTIONS, PIECE_OPTIONS, PLEAT_OPTIONS, Of
from pleatsvg.order.pleat_order import OpenOrder, PleatOrder, Remark, left_open, pleats_from
from pleatsvg.wording import message, option

MOST_PASSES = 4
"""Passes over one piece: pleats down, tucks across, and as much again."""


LEAST_CLOTH = 100.0
"""Millimetres. Narrower than this is a ribbon."""


@dataclass(frozen=True, slots=True)
class Order:
    """Everything that is asked for on one piece, checked as far as it can be without a drawing.

    Attributes:
        pleats: each line is slashed along for one of them; none where the names of the lines say it all.
        unit: that lengths are shown in: the one of the first intake.
        remarks: on options that play no part.
        allowances: of the cutting line.
        marking: of the result.
        fold_edge: the seam edge that is cut on the fold, where the drawing does not name it.
        open_fold: write the whole piece that a half one becomes when its fold edge is opened out.
        cloth_width: in mm, or None.
        smooth_hem: the hem runs smoothly over hidden cloth, for pleats that hang open there.
        ring: the two sides that are sewn to each other where the piece goes all round, or None.
        open: runs of pleats of which the names of the lines have to say the rest.
        finish: what the drawing, as flat cloth, is to come to; None where it is the finished piece.
        pivot: the darts that are closed, by name; their angles open at the lines that end at their points.
    """

    pleats: tuple[PleatOrder, ...]
    unit: str
    remarks: tuple[Remark, ...] = ()
    allowances: Allowances = NO_ALLOWANCE
    marking: Marking = PLAIN_MARKING
    fold_edge: str | None = None
    open_fold: bool = False
    cloth_width: float | None = None
    smooth_hem: bool = False
    finish: FinishTo | None = None
    ring: tuple[str, str] | None = None
    open: tuple[OpenOrder, ...] = ()
    pivot: tuple[str, ...] = ()
    fit: FitTo | None = None
    """What its folded top comes to by shaping its pleats, or None."""


def order_from(**options: Any) -> Order:
    """Return an order for pleats that are alike, from options as typed.

    Args:
        options: of pleats, lines and the piece in `pleatsvg.order.options`, under their own names.

    Raises:
        RequestError: something is missing, contradicts itself, is no length or not known.
    """
    refuse_unknown(options, (*PLEAT_OPTIONS, *PIECE_OPTIONS))
    of_pleats = {name: value for name, value in options.items() if OPTIONS[name].of is not Of.PIECE}
    return piece_order([of_pleats], {name: value for name, value in options.items() if name not in of_pleats})


def piece_order(pleats: Iterable[Mapping[str, Any]], of_piece: Mapping[str, Any]) -> Order:
    """Return the order for one piece.

    Args:
        pleats: for each run of pleats that are alike, options of pleats and lines in `pleatsvg.order.options`.
        of_piece: those of the piece.

    Raises:
        RequestError: something is missing, contradicts itself or is no length.
    """
    given = Given(of_piece)
    finish = finish_from(given)
    pivot = given.texts("pivot")
    _refuse_with_pivot(given, pivot)
    made: list[PleatOrder] = []
    open_ones: list[OpenOrder] = []
    remarks: list[Remark] = []
    unit = finish.unit if finish is not None else ""
    for options in pleats:
        if not any(options.get(name) for name in PLEAT_OPTIONS if OPTIONS[name].default is None):
            continue  # the names of the slash lines may say it all
        try:
            order, given_in, found = pleats_from(options, finish is not None, bool(pivot))
        except MissingError as missing:
            if finish is not None or given.has("ring"):
                raise
            named = left_open(options, missing)
            open_ones.append(replace(named, pass_=_pass(Given(options)), **_shares(Given(options))))
            unit = unit or named.unit
            continue
        made.append(replace(order, pass_=_pass(Given(options)), **_shares(Given(options))))
        unit = unit or given_in
        remarks += found
    allowances = _allowances(given)
    marking = _marking(given)
    if marking.notch == "snip" and not (allowances.asked or allowances.drawn):
        remarks.append(
            Remark(
                "notch",
                message(
                    "{} plays no part: a snip goes into the allowance, and none was asked for.", option("notch", "snip")
                ),
            )
        )
    return Order(
        pleats=tuple(made),
        open=tuple(open_ones),
        unit=unit or "mm",
        remarks=tuple(remarks),
        allowances=allowances,
        marking=marking,
        fold_edge=given.text("fold_edge"),
        open_fold=given.flag("open_fold"),
        cloth_width=_cloth_width(given),
        smooth_hem=given.word("hem") == "smooth",
        finish=finish,
        ring=_ring(given),
        pivot=pivot,
        fit=fit_from(given),
    )


def _refuse_with_pivot(given: Given, pivot: tuple[str, ...]) -> None:
    # What would need a flat piece in parts, or a finished one that is not the drawing.
    for name, why in (
        ("ring", "all round, there is no piece with a dart by itself"),
        ("finish_to", "its dart is a part of the drawing, which is flat cloth here"),
        ("hem", "it follows the folded hem over hidden cloth, and a dart opens from edge to point"),
        (
            "allowance_drawn",
            "a dart's legs lie on the seam, of which a cutting line shows no more than where it is sewn up",
        ),
        ("cloth_width", "the cloth about a dart's point is in one piece"),
    ):
        if pivot and given.has(name):
            raise RequestError(
                message("{} and {}", option("pivot"), option(name)),
                "are both given",
                why,
                message("Leave out {}.", option(name)),
            )


def _ring(given: Given) -> tuple[str, str] | None:
    said = given.text("ring")
    if said is None:
        return None
    one, _, other = (part.strip() for part in said.partition("="))
    if not (one and other) or one == other:
        raise RequestError(
            option("ring"),
            f"is '{said}'",
            "it names the two sides that are sewn to each other",
            message("Write it as {}.", option("ring", "left side=right side")),
        )
    return one, other


def _pass(given: Given) -> int:
    number = given.number("pass")
    if number is None:
        return 1
    if not 1 <= number <= MOST_PASSES:
        raise RequestError(
            message("The {}", option("pass")),
            f"is {number}",
            f"from 1 to {MOST_PASSES} passes can be made, each across the pleats of those before",
            "Give 2 for pleats that are made across the others.",
        )
    return number


def _shares(given: Given) -> dict[str, Any]:
    # What vanishes in these pleats where the piece is fitted.
    weight, share = given.amount("weight"), given.length("share")
    if weight is not None and share is not None:
        raise RequestError(
            message("{} and {}", option("weight"), option("share")),
            "are both given",
            "one says what vanishes beside the other pleats, the other says how much",
            "Keep one of the two.",
        )
    if (weight is not None and weight < 0) or (share is not None and share.mm < 0):
        raise RequestError(
            option("weight" if weight is not None else "share"),
            f"is {weight if weight is not None else share}",
            "it cannot be less than nothing",
            "Give 0 for a pleat that is not shaped.",
        )
    return {"weight": 1 if weight is None else weight, "share": None if share is None else share.mm}


def _cloth_width(given: Given) -> float | None:
    width = given.length("cloth_width")
    if width is None:
        return None
    if width.mm < LEAST_CLOTH:
        raise RequestError(
            option("cloth_width"),
            f"is {width}",
            "cloth under 10 cm is no cloth; it is met 90 to 150 cm wide",
            "Give the width between its selvedges.",
        )
    return width.mm


def _marking(given: Given) -> Marking:
    return Marking(
        mark=_down(given, "mark"),
        notch=given.word("notch"),
        stitch_down=_down(given, "stitch_down") or 0.0,
        edge_stitch=_down(given, "edge_stitch") if given.has("edge_stitch") else 0.0,
        pair=given.flag("pair"),
        cut=_cut(given),
        cloth=" ".join((given.text("cloth") or "").split()),
    )


def _cut(given: Given) -> int | None:
    number = given.number("cut")
    if number is None:
        return None
    if number < 1:
        raise RequestError(
            option("cut"),
            f"is {number}",
            "a piece is cut once or more often",
            message("Give a number from 1, or leave {} out.", option("cut")),
        )
    if given.flag("pair") and number % 2:
        raise RequestError(
            option("cut"),
            f"is {number}, and the piece is cut in pairs",
            message("with {} half of them are mirrored", option("pair")),
            message("Give an even number, or leave out {}.", option("pair")),
        )
    return number


def _down(given: Given, name: str) -> float | None:
    # How far down from the top; None for the whole length.
    length = given.length(name)
    if length is None:
        return None
    if length.mm <= 0:
        raise RequestError(
            option(name),
            f"is {length}",
            "it is measured down from the top",
            f"Give a length above 0{', or full' if OPTIONS[name].or_full else ''}.",
        )
    return length.mm


def _allowances(given: Given) -> Allowances:
    everywhere: Length | None = None
    edges: list[tuple[str, Length]] = []
    by_edge = given.by_edge("allowance")
    for edge, value in by_edge:
        name = " ".join(edge.split()).casefold()
        length = length_of(value.strip() if isinstance(value, str) else value, "allowance")
        if length.mm < 0:
            raise RequestError(
                option("allowance"), f"is {value}", "it lies outside the seam", "Give a length of 0 or more."
            )
        if name not in ("", "all"):
            edges.append((name, length))
            continue
        if everywhere is not None:
            raise RequestError(
                option("allowance"),
                f"is given twice, {everywhere} and {length}",
                "one holds for every edge",
                message("Name the edge of the other, as in {}.", option("allowance", "hem=4cm")),
            )
        everywhere = length
    inset = given.length("allowance_drawn")
    if inset is not None and inset.mm <= 0:
        raise RequestError(
            option("allowance_drawn"),
            f"is {inset}",
            "the seam lies inside the cutting line",
            "Give a length above 0.",
        )
    if inset is not None and by_edge:
        raise RequestError(
            message("{} and {}", option("allowance"), option("allowance_drawn")),
            "are both given",
            "the cutting line is either drawn or made",
            "Keep one of the two.",
        )
    hem_turn = given.flag("hem_turn")
    if hem_turn and not by_edge:
        raise RequestError(
            option("hem_turn"),
            "has no hem to turn",
            "it shapes the hem allowance",
            message("Give {} with it, such as 15mm, and {}.", option("allowance"), option("allowance", "hem=4cm")),
        )
    lies = given.words("dart_lies")
    if lies and not by_edge:
        raise RequestError(
            option("dart_lies"),
            "has no cutting line to shape",
            "it shapes the allowance over a dart as the folded dart is cut",
            message("Give {} with it.", option("allowance", "15mm")),
        )
    return Allowances(everywhere, tuple(edges), inset, hem_turn, lies)
