"""What is asked for, read from options as typed and checked as far as it can be without a drawing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pleatsvg.errors import RequestError, near_names
from pleatsvg.kinds import KINDS, Kind
from pleatsvg.length import Length, parse_length
from pleatsvg.slash import Placing

LAPS = ("left", "right", "up", "down", "centre", "sides")
RUNS = ("square", "grain", "fan")

PLEAT_OPTIONS = (
    "kind",
    "intake",
    "depth",
    "hem_intake",
    "lap",
    "face",
    "slash",
    "at",
    "count",
    "run",
    "along",
)
"""The options that may differ from pleat to pleat of one piece."""


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
    """

    kind: Kind
    intake_top: float
    intake_hem: float
    lap: str | None
    face: float
    slash: tuple[str, ...]
    placing: Placing | None


@dataclass(frozen=True, slots=True)
class Order:
    """Everything that is asked for on one piece, checked as far as it can be without a drawing.

    Attributes:
        pleats: at least one; each line is slashed along for one of them.
        unit: in which lengths are given back.
        remarks: what in the order plays no part.
    """

    pleats: tuple[PleatOrder, ...]
    unit: str
    remarks: tuple[str, ...] = ()


def order_from(**options: Any) -> Order:
    """Return an order for pleats that are alike, from options as typed.

    Args:
        options: those of `piece_order` and of `pleats_from`, under their own names.

    Raises:
        RequestError: something is missing, contradicts itself or is no length.
    """
    of_pleats = {name: options.pop(name) for name in PLEAT_OPTIONS if name in options}
    return piece_order([of_pleats], **options)


def piece_order(pleats: Sequence[Mapping[str, Any]]) -> Order:
    """Return the order for one piece.

    Args:
        pleats: for each run of pleats that are alike, the options of `pleats_from`.

    Raises:
        RequestError: something is missing, contradicts itself or is no length.
    """
    made: list[PleatOrder] = []
    remarks: list[str] = []
    unit = ""
    for options in pleats:
        asked, given, said = pleats_from(**options)
        made.append(asked)
        unit = unit or given
        remarks += said
    return Order(tuple(made), unit, tuple(remarks))


def pleats_from(
    *,
    kind: str | None,
    intake: str | Length | None = None,
    depth: str | Length | None = None,
    hem_intake: str | Length | None = None,
    lap: str | None = None,
    face: str | Length | None = None,
    slash: Iterable[str] = (),
    at: Iterable[str | Length] = (),
    count: int | None = None,
    run: str = "square",
    along: str | None = None,
) -> tuple[PleatOrder, str, list[str]]:
    """Return what is asked of some pleats, the unit it was given in, and remarks on what plays no part in it.

    Args:
        kind: knife, box or inverted.
        intake: flat width that each pleat takes up at the top.
        depth: outer fold to inner fold at the top; instead of `intake`.
        hem_intake: flat width taken up at the hem, where it differs; 0 for a hinged pleat.
        lap: left, right, up, down, centre or sides: the way the outer folds point, right side up.
        face: width of a box pleat's face; twice the depth where it is left out.
        slash: names of drawn slash lines; "all" for every straight line across the piece.
        at: distances along the top seam at which to place lines.
        count: so many lines at equal spaces.
        run: how placed lines run: square, grain or fan.
        along: the seam edge to place lines along; the top where it is left out.

    Raises:
        RequestError: something is missing, contradicts itself or is no length.
    """
    chosen = _kind(kind)
    taken = chosen.to_before.depths_taken
    if intake is not None and depth is not None:
        raise RequestError("Intake and depth", "are both given", "one follows from the other", "Keep one of the two.")
    if intake is None and depth is None:
        raise RequestError(
            "The intake",
            "is missing",
            "it says how much flat width a pleat takes up",
            "Give --intake 6cm, or --depth 3cm.",
        )
    given = _length(intake, "--intake") if intake is not None else _length(depth, "--depth")
    assert given is not None
    top = given.mm if intake is not None else given.mm * taken
    hem_given = _length(hem_intake, "--hem-intake")
    hem = hem_given.mm if hem_given is not None else top
    what = "--intake" if intake is not None else "--depth"
    if top < 0 or (top == 0 and hem_given is None):
        raise RequestError(
            what,
            f"is {given}",
            "a pleat takes up more than nothing",
            "Give a length above 0; 6cm is usual for a skirt.",
        )
    if hem < 0:
        raise RequestError(
            "--hem-intake", f"is {hem_given}", "it cannot be less than 0", "Give 0mm for a hinged pleat."
        )
    if top == 0 and hem == 0:
        raise RequestError(
            "Both intakes", "are 0", "a pleat takes up something at one end at least", "Give one of them."
        )
    remarks: list[str] = []
    face_given = _length(face, "--face")
    width = 0.0
    if chosen.to_before.has_face:
        width = face_given.mm if face_given is not None else 2 * max(top, hem) / taken
        if width <= 0:
            raise RequestError(
                "--face", f"is {face_given}", "a face is wider than nothing", "Give the width to be seen."
            )
    elif face_given is not None:
        remarks.append(f"--face plays no part: a {chosen.name} pleat has no face of its own.")
    if lap is not None and lap not in LAPS:
        raise RequestError("--lap", f"is '{lap}'", near_names(lap, list(LAPS)), "Give one of these words.")
    if chosen.needs_lap and lap is None:
        raise RequestError(
            f"The lap of a {chosen.name} pleat",
            "is missing",
            "a fold that points the wrong way costs the cloth",
            "Give --lap left, right, up, down, centre or sides: the way the folds point, right side up.",
        )
    if not chosen.needs_lap and lap is not None:
        remarks.append(f"--lap plays no part: {_a(chosen.name)} pleat is alike on both sides.")
        lap = None
    names = tuple(slash)
    asked = PleatOrder(chosen, top, hem, lap, width, names, _placing(at, count, run, along))
    return asked, given.unit, remarks


def _a(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def _kind(kind: str | None) -> Kind:
    if kind is None:
        raise RequestError("The kind of pleat", "is missing", "", f"Give --kind {', '.join(KINDS)}.")
    if kind not in KINDS:
        raise RequestError("--kind", f"is '{kind}'", near_names(kind, list(KINDS)), "Give one of these words.")
    return KINDS[kind]


def _length(value: str | Length | None, what: str) -> Length | None:
    if value is None or isinstance(value, Length):
        return value
    if not isinstance(value, str):
        raise RequestError(what, f"is {value!r}, without a unit", "", "Write it as '6cm', '60mm' or '2 1/2in'.")
    return parse_length(value, what)


def _placing(at: Iterable[str | Length], count: int | None, run: str, along: str | None) -> Placing | None:
    spots = tuple([length for value in at if (length := _length(value, "--at")) is not None])
    if run not in RUNS:
        raise RequestError("--run", f"is '{run}'", near_names(run, list(RUNS)), "Give one of these words.")
    if spots and count is not None:
        raise RequestError("--at and --count", "are both given", "lines are placed in one way", "Keep one of the two.")
    if count is not None and not 1 <= count <= 2000:
        raise RequestError(
            "--count", f"is {count}", "from 1 to 2000 lines can be placed", "Give how many pleats you want."
        )
    if not spots and count is None:
        if along is not None or run != "square":
            raise RequestError(
                "--along and --run", "place lines, but there are none to place", "", "Give --at or --count with them."
            )
        return None
    return Placing(spots, count, run, along)
