"""What is asked of a run of pleats, checked as far as it can be without a drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from pleatsvg.errors import MissingError, RequestError
from pleatsvg.kinds import KINDS, Kind
from pleatsvg.order.given import Given
from pleatsvg.order.options import OPTIONS, Of, names_of
from pleatsvg.order.placing import Placing, placing_from
from pleatsvg.wording import Words, message, option

MOST_LAYERS = 5
"""More layers of one pleat cannot be pressed."""


class Remark(NamedTuple):
    """A remark on an option that plays no part: the option's name, and the sentence."""

    option: str
    words: Words


@dataclass(frozen=True, slots=True)
class PleatOrder:
    """What is asked of some pleats that are alike. Lengths in mm.

    Attributes:
        kind: of these pleats.
        intake_top, intake_hem: flat width taken up at the two ends of each line.
        lap: one of LAPS, or None where the kind is alike on both sides.
        face: width of a box pleat's face; 0 where the kind has none.
        slash: names of the lines to slash along; () for all that the drawing names so and no other order asks for.
        placing: lines to place, or None.
        stack: how many layers lie on one another.
        stitched: how far a tuck is stitched, None for all along, and from where: one of STITCHED_FROM, or "" where it is not.
        separate: whether the underlay is a piece of its own.
        height: of a kick pleat, up from the hem, in mm.
        pass_: in which pass they are made, from 1.
        given: the options as given, for slash lines whose names say something else.
        open: whether the intake is still to be found, from what the piece is to be finished to or from a dart that is
            closed; it is 0 so far, and at the hem too unless `intake_hem` was given.
        weight: of a fitted piece, how much vanishes in each of these pleats beside the others.
        share: how much does, in mm, or None.
    """

    kind: Kind
    intake_top: float
    intake_hem: float
    lap: str | None
    face: float
    slash: tuple[str, ...]
    placing: Placing | None
    stack: int = 1
    stitched: tuple[float | None, str] = (None, "")
    given: tuple[tuple[str, Any], ...] = ()
    separate: bool = False
    height: float = 0.0
    pass_: int = 1
    open: bool = False
    weight: float = 1
    share: float | None = None


@dataclass(frozen=True, slots=True)
class OpenOrder:
    """What is asked of some pleats, of which the names of their lines have to say the rest.

    Attributes:
        slash, given, pass_, weight, share: cf. `PleatOrder`.
        missing: what the refusal says where a name does not say it either: element, measure, limit and remedy.
        unit: of the intake, where that is given.
    """

    slash: tuple[str, ...]
    given: tuple[tuple[str, Any], ...]
    missing: tuple[str, str, str, str]
    unit: str = ""
    pass_: int = 1
    placing: None = None
    weight: float = 1
    share: float | None = None

    @property
    def refusal(self) -> MissingError:
        """What to raise where nothing says it."""
        return MissingError(*self.missing)


def pleats_from(
    options: Mapping[str, Any], finishes: bool = False, pivots: bool = False
) -> tuple[PleatOrder, str, tuple[Remark, ...]]:
    """Return what is asked of some pleats, the unit it was given in, and remarks on what plays no part in it.

    Args:
        options: those of pleats and their lines in `pleatsvg.order.options`, under their own names.
        finishes: the piece is finished to a length, from which the intake follows, or the count where the intake is given.
        pivots: darts of it are closed, whose angles say the intake of the lines that end at their points.

    Raises:
        RequestError: something is missing, contradicts itself or is no length.
    """
    given = Given(options)
    kind = _kind(given)
    stack = _stack(given, kind)
    is_open = (finishes or pivots) and not (given.has("intake") or given.has("depth"))
    taken = _open_taken(given) if is_open else _taken(given, kind.folds(-1, stack).depths_taken)
    face, of_face = _face(given, kind, taken.depth)
    lap, of_lap = _lap(given, kind)
    separate, of_underlay = _separate(given, kind)
    height, of_height = _kick_height(given, kind)
    stitched, of_stitched = _stitched(given, kind)
    order = PleatOrder(
        kind=kind,
        intake_top=taken.top,
        intake_hem=taken.hem,
        lap=lap,
        face=face,
        slash=given.texts("slash"),
        placing=placing_from(given, counts=finishes and not is_open and not given.has("slash")),
        stack=stack,
        stitched=stitched,
        given=_as_given(given),
        separate=separate,
        height=height,
        open=is_open,
    )
    remarks = (of_face, of_lap, of_underlay, of_height, of_stitched)
    return order, taken.unit, tuple([remark for remark in remarks if remark is not None])


def left_open(options: Mapping[str, Any], why: MissingError) -> OpenOrder:
    """Return what is asked of some pleats where something is left for the names of their lines to say.

    Args:
        options: cf. `pleats_from`.
        why: what is missing.

    Raises:
        RequestError: what is said is no length, no word that is known or no number.
        MissingError: the lines are placed, and have no names.
    """
    given = Given(options)
    for name in names_of(Of.PLEATS):
        given.check(name)
    if placing_from(given) is not None:
        raise why
    missing = (why.element, why.measured, why.limit, why.remedy)
    said = given.length("intake") or given.length("depth")
    return OpenOrder(given.texts("slash"), _as_given(given), missing, said.unit if said is not None else "")


def _as_given(given: Given) -> tuple[tuple[str, Any], ...]:
    return tuple([(name, given.plain(name)) for name in names_of(Of.PLEATS) if given.options.get(name)])


def _a(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def _no_part(name: str, kind: Kind) -> Remark:
    return Remark(name, message("{} plays no part: {} {}.", option(name), _a(kind.noun), OPTIONS[name].unlike))


def _kind(given: Given) -> Kind:
    name = given.word("kind")
    if name is None:
        raise MissingError(
            "The kind of pleat", "is missing", "", message("Give {} {}.", option("kind"), ", ".join(KINDS))
        )
    return KINDS[name]


def _stack(given: Given, kind: Kind) -> int:
    stack = given.number("stack")
    if stack is None:
        return 1
    if not 1 <= stack <= MOST_LAYERS:
        raise RequestError(
            option("stack"),
            f"is {stack}",
            f"from 1 to {MOST_LAYERS} layers can lie on one another",
            "Give 2 for a double pleat.",
        )
    if stack > 1 and not kind.stacks:
        raise RequestError(
            option("stack"),
            f"is {stack} for {_a(kind.noun)}",
            "knife, box and inverted pleats can be stacked",
            "Leave it out.",
        )
    return stack


class _Taken(NamedTuple):
    """Flat width that a pleat takes up at both ends of its line, in mm, and the unit it was given in."""

    top: float
    hem: float
    depth: float
    """Of its folds where it takes up more."""

    unit: str


def _taken(given: Given, depths_taken: int) -> _Taken:
    intake, depth = given.length("intake"), given.length("depth")
    if intake is not None and depth is not None:
        raise RequestError(
            message("{} and {}", option("intake"), option("depth")),
            "are both given",
            "one follows from the other",
            "Keep one of the two.",
        )
    at_top = intake if intake is not None else depth
    if at_top is None:
        raise MissingError(
            "The intake",
            "is missing",
            "it says how much flat width a pleat takes up",
            message("Give {}, or {}.", option("intake", "6cm"), option("depth", "3cm")),
        )
    top = at_top.mm if intake is not None else at_top.mm * depths_taken
    at_hem = given.length("hem_intake")
    hem = at_hem.mm if at_hem is not None else top
    if top < 0 or (top == 0 and at_hem is None):
        raise RequestError(
            option("intake" if intake is not None else "depth"),
            f"is {at_top}",
            "a pleat takes up more than nothing",
            "Give a length above 0; 6cm is usual for a skirt.",
        )
    if hem < 0:
        raise RequestError(
            option("hem_intake"), f"is {at_hem}", "it cannot be less than 0", "Give 0mm for a hinged pleat."
        )
    if top == 0 and hem == 0:
        raise RequestError(
            "Both intakes", "are 0", "a pleat takes up something at one end at least", "Give one of them."
        )
    return _Taken(top, hem, max(top, hem) / depths_taken, at_top.unit)


def _open_taken(given: Given) -> _Taken:
    hem = given.length("hem_intake")
    if hem is not None and hem.mm < 0:
        raise RequestError(
            option("hem_intake"), f"is {hem}", "it cannot be less than 0", "Give 0mm for a hinged pleat."
        )
    return _Taken(0.0, hem.mm if hem is not None else 0.0, 0.0, "")


def _face(given: Given, kind: Kind, depth: float) -> tuple[float, Remark | None]:
    face = given.length("face")
    if not kind.to_before.has_face:
        return 0.0, None if face is None else _no_part("face", kind)
    if face is None:
        return 2 * depth, None
    if face.mm <= 0:
        raise RequestError(option("face"), f"is {face}", "a face is wider than nothing", "Give the width to be seen.")
    return face.mm, None


def _lap(given: Given, kind: Kind) -> tuple[str | None, Remark | None]:
    lap = given.word("lap")
    if not kind.needs_lap:
        return None, None if lap is None else _no_part("lap", kind)
    if lap is None:
        raise MissingError(
            f"The lap of {_a(kind.noun)}",
            "is missing",
            "a fold that points the wrong way costs the cloth",
            message(
                "Give {} left, right, up, down, centre or sides: the way the folds point, right side up.", option("lap")
            ),
        )
    return lap, None


def _separate(given: Given, kind: Kind) -> tuple[bool, Remark | None]:
    separate = given.word("underlay") == "separate"
    if separate and not kind.backed:
        return False, _no_part("underlay", kind)
    return separate, None


def _kick_height(given: Given, kind: Kind) -> tuple[float, Remark | None]:
    height = given.length("height")
    if not kind.kicks:
        return 0.0, None if height is None else _no_part("height", kind)
    if height is None:
        raise MissingError(
            "The height of a kick pleat",
            "is missing",
            "above it its line is a seam",
            message("Give {}, up from the hem.", option("height", "20cm")),
        )
    if height.mm <= 0:
        raise RequestError(
            option("height"),
            f"is {height}",
            "a kick pleat reaches up from the hem",
            "Give a height above 0, such as 20cm.",
        )
    return height.mm, None


def _stitched(given: Given, kind: Kind) -> tuple[tuple[float | None, str], Remark | None]:
    length, whence = given.length("stitched"), given.word("stitched_from")
    if not kind.stitched:
        if length is None and whence is None:
            return (None, ""), None
        return (None, ""), _no_part("stitched" if length is not None else "stitched_from", kind)
    if length is None:
        if whence is not None:
            raise RequestError(
                option("stitched_from"),
                f"is {whence}",
                "it says where a length of stitching lies",
                message("Give {} with it.", option("stitched")),
            )
        return (None, ""), None
    if length.mm <= 0:
        raise RequestError(option("stitched"), f"is {length}", "a tuck is stitched somewhere", "Give a length above 0.")
    return (length.mm, whence or "top"), None
