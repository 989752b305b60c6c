"""The words for a pleat that does not fit: how far it pokes out or overlaps, and what would fit."""

from __future__ import annotations

from pleatsvg.errors import FitError, SlashError
from pleatsvg.kinds import called
from pleatsvg.length import show
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.pleats.laid import LaidPleat, PleatRequest
from pleatsvg.pleats.strip import MisfitError
from pleatsvg.tolerance import ON_LINE
from pleatsvg.wording import message, option

_SHOWN = 0.05
"""mm. What is less comes out as 0 when it is rounded for the eye."""


class PokeError(FitError):
    """An underlay, or a tuck's fold, that reaches out past the seam; `deep` is how far its pleat reaches from its line (mm)."""

    deep = 0.0


class OverSideError(SlashError):
    """A line on a piece that goes all round, which leaves it over one of the seams to its neighbours."""


def poke_refusal(
    number: int,
    lines: SlashSet,
    request: PleatRequest,
    reach: int,
    misfit: MisfitError,
    deepest: tuple[float, float],
    unit: str,
) -> PokeError:
    """Return the refusal of a pleat that reaches out past the seam, or across a dart.

    Args:
        number: of the pleat.
        lines: the slash lines in order.
        request: what was asked of it.
        reach: of the fold that does not fit: below 0 for the pleats before, above 0 for those after.
        misfit: by how much, and whether at a dart.
        deepest: the largest intakes that fit at top and hem, in mm; 0 for none.
        unit: of lengths in words.
    """
    way = side_word(reach, lines.upright)
    top, hem = deepest
    fits = "no intake fits here" if max(top, hem) <= 0 else f"the deepest intake that fits here is {show(top, unit)}"
    if max(top, hem) > 0 and abs(request.intake_hem - request.intake_top) > 0.005:
        first, second = ("top", "hem") if lines.upright else ("left end", "right end")
        fits += f" at the {first} with {show(hem, unit)} at the {second}"
    past = (
        "would fall across the dart"
        if misfit.dart
        else "reaches out past the seam's corner"
        if misfit.hollow
        else "reaches out past the seam"
    )
    remedy = (
        "Take a smaller intake, move the slash line farther from that seam, or lap it the other way."
        if request.kind.needs_lap
        else "Take a smaller intake, or move the slash line farther from that seam."
    )
    if request.to_point:
        fits = f"of the dart's angle it would take {show(max(request.intake_top, request.intake_hem), unit)} there"
        remedy = (
            "Move the line's end along the seam away from there, share the angle among more lines"
            f"{', or lap it the other way' if request.kind.needs_lap else ', or make two knife pleats of it'}."
        )
    refusal = PokeError(
        f"{called(request.kind.name, number)} at '{lines.names[number - 1]}'",
        f"has {'a fold' if request.kind.stitched else 'an underlay'} that {past} on its {way} by {by_words(misfit.out, unit)}",
        f"{'a tuck must lie wholly on' if request.kind.stitched else 'an underlay must lie wholly beneath'} the piece, within "
        f"one seam edge at either end; {fits}",
        remedy,
    )
    refusal.deep = max(request.intake_top, request.intake_hem) / request.list.depths_taken + request.face / 2
    return refusal


def side_word(reach: int, upright: bool) -> str:
    """Return the plain word for the side of the pleats before (-1) or after (+1) a line."""
    if upright:
        return "right" if reach > 0 else "left"
    return "lower side" if reach > 0 else "upper side"


def by_words(out: float, unit: str) -> str:
    """Return in words how far something reaches out (mm); never "0", since it does."""
    return show(out, unit) if out >= _SHOWN else f"less than {show(2 * _SHOWN)}"


def face_refusal(number: int, name: str, request: PleatRequest, out: float, unit: str) -> FitError:
    """Return the refusal of a face that reaches past the seam by `out` mm."""
    return FitError(
        f"Pleat {number} at '{name}'",
        f"has a face {show(request.face, unit)} wide that reaches out past the seam by {by_words(out, unit)}",
        "both edges of a face must lie on the piece",
        message("Take a narrower {}, or move the slash line farther from the seam.", option("face")),
    )


def refuse_over_the_fold(lines: SlashSet, pleats: list[LaidPleat], unit: str) -> None:
    """Refuse a face that reaches over the fold edge; an underlay may run on beneath the other half.

    Raises:
        FitError: one does.
    """
    for pleat, fold, side in ((pleats[0], lines.first, 1), (pleats[-1], lines.last, -1)):
        if fold is None or pleat.request.half:
            continue
        edge = pleat.first if side > 0 else pleat.last
        across = lines.across(fold)
        over = max(-side * ((z - fold.top) * across.conjugate()).real for z in (edge.top, edge.hem))
        if over > ON_LINE and lines.ring:
            raise FitError(
                f"Pleat {pleat.number} at '{pleat.name}'",
                f"has a face that reaches past the middle of the space between the last pleat and the first by "
                f"{by_words(over, unit)}",
                "faces may not overlap, all the way round",
                message("Take a narrower {}, or fewer pleats.", option("face")),
            )
        if over > ON_LINE:
            raise FitError(
                f"Pleat {pleat.number} at '{pleat.name}'",
                f"has a face that reaches over the fold edge by {by_words(over, unit)}",
                "what is seen of it must lie on the half that is drawn",
                message(
                    "Take a narrower {}, move the slash line away from the fold edge, or draw it on the fold edge for "
                    "half a pleat there.",
                    option("face"),
                ),
            )


def refuse_overlap(lines: SlashSet, before: LaidPleat, after: LaidPleat, unit: str) -> None:
    """Refuse two neighbouring pleats whose faces lie over each other.

    Raises:
        FitError: they do.
    """
    # Square to the lines, as faces and spaces are: along a slanting seam both come out longer.
    edge, other = before.last, after.first
    across = lines.across(edge).conjugate()
    over = 0.0
    if edge.top_at > other.top_at:
        over = max(over, ((edge.top - other.top) * across).real)
    if edge.hem_at < other.hem_at:
        over = max(over, ((edge.hem - other.hem) * across).real)
    if over > ON_LINE:
        faces = before.request.face / 2 + after.request.face / 2
        raise FitError(
            f"Pleats {before.number} and {after.number}, at '{before.name}' and '{after.name}',",
            f"have faces that overlap by {by_words(over, unit)}",
            f"the two half faces take {show(faces, unit)} of a space of {show(max(0.0, faces - over), unit)}",
            message("Take a narrower {}, or set the slash lines farther apart.", option("face")),
        )
