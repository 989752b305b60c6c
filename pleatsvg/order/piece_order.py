"""What is asked for, read from options as typed and checked as far as it can be without a drawing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pleatsvg.errors import RequestError, near_names
from pleatsvg.length import Length
from pleatsvg.order.allowances import NO_ALLOWANCE, Allowances
from pleatsvg.order.marking import NOTCHES, PLAIN_MARKING, Marking
from pleatsvg.order.pleat_order import PLEAT_OPTIONS, PleatOrder, length_of, pleats_from

MOST_PASSES = 4
"""Passes over one piece: pleats down, tucks across, and as much again."""


@dataclass(frozen=True, slots=True)
class Order:
    """Everything that is asked for on one piece, checked as far as it can be without a drawing.

    Attributes:
        pleats: each line is slashed along for one of them; none where the names of the lines say it all.
        unit: in which lengths are given back.
        remarks: what in the order plays no part.
        allowances: of the cutting line.
        marking: of the result.
        fold_edge: the seam edge that is cut on the fold, where the drawing does not name it.
        open_fold: write the whole piece that a half one becomes when its fold edge is opened out.
        cloth_width: in mm, or None.
        smooth_hem: the hem runs smoothly over hidden cloth, for pleats that hang open there.
    """

    pleats: tuple[PleatOrder, ...]
    unit: str
    remarks: tuple[str, ...] = ()
    allowances: Allowances = NO_ALLOWANCE
    marking: Marking = PLAIN_MARKING
    fold_edge: str | None = None
    open_fold: bool = False
    cloth_width: float | None = None
    smooth_hem: bool = False


def order_from(**options: Any) -> Order:
    """Return an order for pleats that are alike, from options as typed.

    Args:
        options: those of `piece_order` and of `pleats_from`, under their own names.

    Raises:
        RequestError: something is missing, contradicts itself or is no length.
    """
    options.setdefault("kind", None)
    of_pleats = {name: options.pop(name) for name in PLEAT_OPTIONS if name in options}
    return piece_order([of_pleats], **options)


def piece_order(
    pleats: Sequence[Mapping[str, Any]],
    *,
    allowance: str | Length | Iterable[str] | Mapping[str, str | Length] | None = None,
    allowance_drawn: str | Length | None = None,
    hem_turn: bool = False,
    fold_edge: str | None = None,
    open_fold: bool = False,
    mark: str | Length | None = None,
    notch: str | None = None,
    stitch_down: str | Length | None = None,
    edge_stitch: str | Length | None = None,
    pair: bool = False,
    cloth_width: str | Length | None = None,
    hem: str | None = None,
) -> Order:
    """Return the order for one piece.

    Args:
        pleats: for each run of pleats that are alike, the options of `pleats_from`.
        allowance: of every edge, "15mm"; of single edges, "hem = 4cm" and the like, or {"hem": "4cm"}.
        allowance_drawn: the outline drawn is the cutting line, and the seam lies so far inside it.
        hem_turn: mirror the sides across the hem line, so that the hem turned up matches them.
        fold_edge: the seam edge that is cut on the fold, where the drawing does not name it.
        open_fold: write the whole piece that a half one becomes when its fold edge is opened out.
        mark: how far down from the top fold and placement lines are drawn, or "full".
        notch: "snip" or "triangle" for both kinds of line.
        stitch_down: how far down from the top each fold is stitched through all layers.
        edge_stitch: how far down each fold is stitched through by itself, or "full".
        pair: the piece is cut twice, the second time mirrored.
        hem: "folded" for the trued zigzag of pleats pressed to the hem, "smooth" for pleats that hang open there.
        cloth_width: where the flat piece is wider than this, it is parted at inner folds.

    Raises:
        RequestError: something is missing, contradicts itself or is no length.
    """
    made: list[PleatOrder] = []
    remarks: list[str] = []
    unit = ""
    for options in pleats:
        if not any(options.get(name) for name in PLEAT_OPTIONS if name != "run"):
            continue  # the names of the slash lines may say it all
        of_pass = _pass(options.get("pass", 1))
        asked, given, said = pleats_from(**{"kind": None, **{k: v for k, v in options.items() if k != "pass"}})
        asked = replace(asked, pass_=of_pass)
        made.append(asked)
        unit = unit or given
        remarks += said
    allowances = _allowances(allowance, allowance_drawn, hem_turn)
    if notch is not None and notch not in NOTCHES:
        raise RequestError("--notch", f"is '{notch}'", near_names(notch, list(NOTCHES)), "Give one of these words.")
    if notch == "snip" and not (allowances.asked or allowances.drawn):
        remarks.append("--notch snip plays no part: a snip goes into the allowance, and none was asked for.")
    if hem not in (None, "folded", "smooth"):
        raise RequestError(
            "--hem", f"is '{hem}'", near_names(str(hem), ["folded", "smooth"]), "Give one of these words."
        )
    wide = length_of(cloth_width, "--cloth-width")
    if wide is not None and wide.mm < 100:
        raise RequestError(
            "--cloth-width",
            f"is {wide}",
            "cloth under 10 cm is no cloth; it is met 90 to 150 cm wide",
            "Give the width between its selvedges.",
        )
    marking = Marking(
        _down(mark, "--mark"),
        notch,
        _down(stitch_down, "--stitch-down", whole=False) or 0.0,
        _down(edge_stitch, "--edge-stitch") if edge_stitch is not None else 0.0,
        pair,
    )
    return Order(
        tuple(made),
        unit or "mm",
        tuple(remarks),
        allowances,
        marking,
        fold_edge,
        open_fold,
        wide.mm if wide else None,
        hem == "smooth",
    )


def _pass(number: Any) -> int:
    if isinstance(number, bool) or not isinstance(number, int) or not 1 <= number <= MOST_PASSES:
        raise RequestError(
            "The pass",
            f"is {number!r}",
            f"from 1 to {MOST_PASSES} passes can be made, each across the pleats of those before",
            "Give 2 for pleats that are made across the others.",
        )
    return number


PIECE_OPTIONS = tuple(piece_order.__kwdefaults__ or ())
"""The options that hold for a whole piece."""


def _down(value: str | Length | None, what: str, whole: bool = True) -> float | None:
    # How far down from the top; None for the whole length.
    if value is None or (whole and isinstance(value, str) and value.strip().casefold() == "full"):
        return None
    length = length_of(value, what)
    if length is None or length.mm <= 0:
        raise RequestError(
            what,
            f"is {value}",
            "it is measured down from the top",
            f"Give a length above 0{', or full' if whole else ''}.",
        )
    return length.mm


def _allowances(given: Any, drawn: str | Length | None, hem_turn: bool) -> Allowances:
    everywhere: Length | None = None
    edges: list[tuple[str, Length]] = []
    pairs: list[tuple[str, Any]] = []
    if isinstance(given, Mapping):
        pairs = list(given.items())
    elif given is not None:
        for item in (given,) if isinstance(given, (str, Length)) else given:
            if isinstance(item, str) and item.lstrip().startswith("="):
                raise RequestError(
                    "--allowance", f"is '{item}'", "no edge is named", "Write 'hem=4cm'; or 15mm for every edge."
                )
            edge, equals, length = item.partition("=") if isinstance(item, str) else ("", "", item)
            pairs.append((edge, length) if equals else ("", item))
    for edge, value in pairs:
        name = " ".join(str(edge).split()).casefold()
        length = length_of(value if isinstance(value, Length) else str(value).strip(), "--allowance")
        if length is None or length.mm < 0:
            raise RequestError("--allowance", f"is {value}", "it lies outside the seam", "Give a length of 0 or more.")
        if name in ("", "all"):
            if everywhere is not None:
                raise RequestError(
                    "--allowance",
                    f"is given twice, {everywhere} and {length}",
                    "one holds for every edge",
                    "Name the edge of the other, as in --allowance 'hem=4cm'.",
                )
            everywhere = length
        else:
            edges.append((name, length))
    inset = length_of(drawn, "--allowance-drawn")
    if inset is not None and inset.mm <= 0:
        raise RequestError(
            "--allowance-drawn", f"is {inset}", "the seam lies inside the cutting line", "Give a length above 0."
        )
    if inset is not None and pairs:
        raise RequestError(
            "--allowance and --allowance-drawn",
            "are both given",
            "the cutting line is either drawn or made",
            "Keep one of the two.",
        )
    if hem_turn and not pairs:
        raise RequestError(
            "--hem-turn",
            "has no hem to turn",
            "it shapes the hem allowance",
            "Give --allowance with it, such as --allowance 15mm --allowance hem=4cm.",
        )
    return Allowances(everywhere, tuple(edges), inset, hem_turn)
