"""The command 'pleat': the main job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pleatsvg.cli.options import STANDARD_OUTPUT, asked_of, called, ended, take_at_hand, with_options_of
from pleatsvg.order.options import Of
from pleatsvg.wording import option

if TYPE_CHECKING:
    from pleatsvg.companion.made import Companion
    from pleatsvg.order.companion_order import CompanionOrder
    from pleatsvg.order.piece_order import Order
    from pleatsvg.pleated import PleatedPiece
    from pleatsvg.watching.files import Stamp

Asked = Sequence[tuple["CompanionOrder", str]]
"""Companions, each with the name of its drawing."""


@with_options_of("pleat")
def pleat(drawing: Path, **given: Any) -> None:
    """Slash a drawn piece, spread it for pleats, true its seam, write it flat.

    The result is folded back from its own drawn creases before it is written, and refused if any edge of any layer
    misses the seam by more than 0.01 mm.

    Examples:

      pleatsvg pleat skirt.svg -o flat.svg --kind knife --intake 6cm --lap left

      pleatsvg pleat apron.svg -o flat.svg --kind box --depth 1in --count 5

      pleatsvg pleat gore.svg -o flat.svg --kind inverted --intake 12cm --hem-intake 16cm

      pleatsvg pleat skirt.svg -o cut.svg --kind knife --intake 6cm --lap left --allowance 15mm --allowance hem=4cm
    """
    take_at_hand(drawing)
    from pleatsvg.errors import RequestError
    from pleatsvg.order.piece_order import order_from

    asked = _companions_from(given["companion"] or ())
    order = order_from(**asked_of((Of.PLEATS, Of.LINES, Of.PIECE), "pleat", given))
    output: Path | None = given["output"]
    if output is None:
        raise RequestError("The output", "is missing", "the result needs a name of its own", "Give -o and a file name.")
    output = ended(output)
    # What reads and draws is imported once the words are known to be right.
    from pleatsvg import api
    from pleatsvg.saying import say
    from pleatsvg.wholefile import refuse_output

    onto: str | None = given["continue_"]
    beside = [Path(other) for _, other in asked] + ([Path(api.neighbour_of(onto)[1])] if onto is not None else [])
    if output != STANDARD_OUTPUT:
        refuse_output(output, given["force"], drawing, *beside)
    elif given["watch"]:
        raise RequestError(
            option("watch"),
            "is given with standard output as the result",
            "what is made anew each time is a file",
            "Give -o and a file name.",
        )
    companions = list(zip(asked, _companion_outputs(output, asked, given["force"], drawing, beside), strict=True))
    left: dict[Path, Stamp] = {}
    if given["watch"]:
        from pleatsvg.cli.watched import watch

        watch(
            (drawing, *beside),
            output,
            given["force"],
            lambda force: _make(drawing, order, output, given, force, companions, left),
        )
    words = _make(drawing, order, output, given, given["force"], companions, left)
    say(words, error=output == STANDARD_OUTPUT)


def _make(
    drawing: Path,
    order: Order,
    output: Path,
    given: dict[str, Any],
    force: bool,
    asked: Sequence[tuple[tuple[CompanionOrder, str], Path]],
    left: dict[Path, Stamp],
) -> str:
    # Make the result and write it, and its companions; what is to be said of them. `left` keeps how these were left.
    from pleatsvg import api
    from pleatsvg.cli.report import pleated as report
    from pleatsvg.job import pleat_piece
    from pleatsvg.saying import put_out
    from pleatsvg.wholefile import refuse_output
    from pleatsvg.writing.result import result_bytes

    reading = asked_of((Of.READING,), "pleat", given)
    drawn = api.read(drawing, piece=given["piece"], **reading)
    if given["continue_"] is not None:
        drawn = api.continue_onto(drawn, given["continue_"], drawing_unit=given["drawing_unit"])
    result = pleat_piece(drawn, order)
    chosen = any(given[name] for name in ("slash", "at", "count", "spacing"))
    if not chosen and any(shape.part is None and shape.tag is None for shape in drawn.near):
        from pleatsvg.piece.seen.things import seeming_parts

        # A name with a slip is no reason to leave a pleat out in silence.
        result = replace(result, remarks=(*result.remarks, *seeming_parts(drawn)))
    companions = _companions_of(result, [one for one, _ in asked], given)
    made = [(one, target) for one, (_, target) in zip(companions, asked, strict=True)]
    if output == STANDARD_OUTPUT:
        put_out(result_bytes(result))
    else:
        over = [given["force"] or _as_left(target, left) for _, target in made]
        for (_, target), may in zip(made, over, strict=True):
            refuse_output(target, may)  # all of them or none
        api.write(result, output, force=force)
        for (companion, target), may in zip(made, over, strict=True):
            api.write(companion.result, target, force=may)
            if given["watch"]:
                _leave(target, left)
    if given["json"]:
        return report.pleated_json(result, output, made)
    return report.pleated_text(result, called(output), made)


def _as_left(target: Path, left: dict[Path, Stamp]) -> bool:
    # While a drawing is watched, only what stands there as it was left may be written over unasked.
    if target not in left:
        return False
    from pleatsvg.watching.files import stamp_of

    return stamp_of(target) == left[target]


def _leave(target: Path, left: dict[Path, Stamp]) -> None:
    from pleatsvg.watching.files import stamp_of

    stamp = stamp_of(target)
    if stamp is not None:
        left[target] = stamp


def _companions_from(texts: Sequence[str]) -> Asked:
    """Return the companions that are asked for.

    Raises:
        RequestError: one cannot be read, or two have one name.
    """
    if not texts:
        return []
    from pleatsvg.errors import RequestError
    from pleatsvg.order.companion_order import companion_from
    from pleatsvg.wording import option

    asked = [companion_from(text) for text in texts]
    names = [order.name.casefold() for order, _ in asked]
    for name in names:
        if names.count(name) > 1:
            raise RequestError(
                option("companion"),
                f"gives the name '{name}' twice",
                "each is written under its own name",
                "Call them apart.",
            )
    return asked


def _companion_outputs(
    output: Path, asked: Asked, force: bool, drawing: Path, beside: Sequence[Path]
) -> tuple[Path, ...]:
    """Return where the companions are written: beside the output, under its name and theirs.

    Raises:
        PleatError: there is no such place, or something stands there.
    """
    if not asked:
        return ()
    from pleatsvg.batch.output_names import safe_name
    from pleatsvg.errors import RequestError
    from pleatsvg.wholefile import refuse_output
    from pleatsvg.wording import option

    if output == STANDARD_OUTPUT:
        raise RequestError(
            option("companion"), "is given with standard output", "it is a file of its own", "Give -o and a file name."
        )
    targets = tuple([output.with_name(safe_name(f"{output.stem}-{order.name}")) for order, _ in asked])
    for target in targets:
        refuse_output(target, force, drawing, *beside)
    return targets


def _companions_of(result: PleatedPiece, asked: Asked, given: dict[str, Any]) -> list[Companion]:
    """Make the companions of a pleated piece; allowances for every edge and the kind of notch are those of the piece.

    Raises:
        PleatError: a drawing cannot be read, or does not fit the pleated edge.
    """
    if not asked:
        return []
    from pleatsvg import api
    from pleatsvg.companion.folded_edge import folded_edge
    from pleatsvg.companion.made import companion_of
    from pleatsvg.order.piece_order import piece_order

    options: dict[str, Any] = {}
    everywhere = [value for value in given["allowance"] or () if "=" not in value]
    if everywhere:
        options["allowance"] = everywhere
    if given["notch"] is not None and (everywhere or given["notch"] == "triangle"):
        options["notch"] = given["notch"]
    edge = folded_edge(result)
    return [
        companion_of(api.read_called(drawing, order.name), order, [edge], piece_order([], options))
        for order, drawing in asked
    ]
