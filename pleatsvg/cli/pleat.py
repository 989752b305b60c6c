"""The command 'pleat': the main job."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pleatsvg.cli.options import STANDARD_OUTPUT, asked_of, called, ended, take_at_hand, with_options_of
from pleatsvg.order.options import Of
from pleatsvg.wording import option

if TYPE_CHECKING:
    from pleatsvg.order.piece_order import Order


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
    beside = [Path(api.neighbour_of(onto)[1])] if onto is not None else []
    if output != STANDARD_OUTPUT:
        refuse_output(output, given["force"], drawing, *beside)
    elif given["watch"]:
        raise RequestError(
            option("watch"),
            "is given with standard output as the result",
            "what is made anew each time is a file",
            "Give -o and a file name.",
        )
    if given["watch"]:
        from pleatsvg.cli.watched import watch

        watch((drawing, *beside), output, given["force"], lambda force: _make(drawing, order, output, given, force))
    say(_make(drawing, order, output, given, given["force"]), error=output == STANDARD_OUTPUT)


def _make(drawing: Path, order: Order, output: Path, given: dict[str, Any], force: bool) -> str:
    # Make the result and write it; what is to be said of it.
    from pleatsvg import api
    from pleatsvg.cli.report import pleated as report
    from pleatsvg.job import pleat_piece
    from pleatsvg.saying import put_out
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
    if output == STANDARD_OUTPUT:
        put_out(result_bytes(result))
    else:
        api.write(result, output, force=force)
    return report.pleated_json(result, output) if given["json"] else report.pleated_text(result, called(output))
