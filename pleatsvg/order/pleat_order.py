"""What is asked of a run of pleats, checked as far as it can be without a drawing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from pleatsvg.errors import RequestError, near_names
from pleatsvg.kinds import KINDS, Kind
from pleatsvg.length import Length, parse_length
from pleatsvg.order.placing import Placing

LAPS = ("left", "right", "up", "down", "centre", "sides")


RUNS = ("square", "grain", "fan")


STITCHED_FROM = ("top", "hem", "middle")


MOST_LAYERS = 5
"""More layers of one pleat cannot be pressed."""


PLEAT_OPTIONS = (
    "kind",
    "intake",
    "depth",
    "hem_intake",
    "lap",
    "face",
    "stack",
    "stitched",
    "stitched_from",
    "underlay",
    "height",
    "slash",
    "at",
    "count",
    "gap",
    "run",
    "along",
    "pass",
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
        stack: how many layers lie on one another.
        stitched: cf. `PleatRequest`.
        separate: whether the underlay is a piece of its own.
        height: of a kick pleat, up from the hem, in mm.
        pass_: in which pass they are made, from 1.
        given: the options as given, for slash lines whose names say something else.
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


def pleats_from(
    *,
    kind: str | None,
    intake: str | Length | None = None,
    depth: str | Length | None = None,
    hem_intake: str | Length | None = None,
    lap: str | None = None,
    face: str | Length | None = None,
    stack: int | None = None,
    stitched: str | Length | None = None,
    stitched_from: str | None = None,
    underlay: str | None = None,
    height: str | Length | None = None,
    slash: Iterable[str] = (),
    at: Iterable[str | Length] = (),
    count: int | None = None,
    gap: str | Length | None = None,
    run: str = "square",
    along: str | None = None,
) -> tuple[PleatOrder, str, list[str]]:
    """Return what is asked of some pleats, the unit it was given in, and remarks on what plays no part in it.

    Args:
        kind: one of `KINDS`.
        intake: flat width that each pleat takes up at the top.
        depth: outer fold to inner fold at the top; instead of `intake`.
        hem_intake: flat width taken up at the hem, where it differs; 0 for a hinged pleat.
        lap: left, right, up, down, centre or sides: the way the outer folds point, right side up.
        face: width of a box pleat's face; twice the depth where it is left out.
        stack: how many layers of the pleat lie on one another, 1 to 5.
        stitched: how far a tuck is stitched; left out, all along.
        stitched_from: top, hem or middle; left out, the top.
        underlay: "separate" for a piece of its own behind an inverted pleat; left out or "whole", in one with it.
        height: of a kick pleat, up from the hem.
        slash: names of drawn slash lines; "all" for every straight line across the piece.
        at: distances along the top seam at which to place lines.
        count: so many lines at equal spaces.
        gap: from each line of a run of `count` lines to the next, beginning at each line that is drawn or placed.
        run: how placed lines run: square, grain or fan.
        along: the seam edge to place lines along; the top where it is left out.

    Raises:
        RequestError: something is missing, contradicts itself or is no length.
    """
    given_options = {
        "kind": kind,
        "intake": intake,
        "depth": depth,
        "hem_intake": hem_intake,
        "lap": lap,
        "face": face,
        "stack": stack,
        "stitched": stitched,
        "stitched_from": stitched_from,
        "underlay": underlay,
        "height": height,
    }
    chosen = _kind(kind)
    stack = 1 if stack is None else stack
    if isinstance(stack, bool) or not isinstance(stack, int) or not 1 <= stack <= MOST_LAYERS:
        raise RequestError(
            "--stack",
            f"is {stack}",
            f"from 1 to {MOST_LAYERS} layers can lie on one another",
            "Give 2 for a double pleat.",
        )
    if stack > 1 and not chosen.stacks:
        raise RequestError(
            "--stack",
            f"is {stack} for {_a(chosen.noun)}",
            "knife, box and inverted pleats can be stacked",
            "Leave it out.",
        )
    taken = chosen.folds(-1, stack).depths_taken
    if intake is not None and depth is not None:
        raise RequestError("Intake and depth", "are both given", "one follows from the other", "Keep one of the two.")
    if intake is None and depth is None:
        raise RequestError(
            "The intake",
            "is missing",
            "it says how much flat width a pleat takes up",
            "Give --intake 6cm, or --depth 3cm.",
        )
    given = length_of(intake, "--intake") if intake is not None else length_of(depth, "--depth")
    assert given is not None
    top = given.mm if intake is not None else given.mm * taken
    hem_given = length_of(hem_intake, "--hem-intake")
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
    face_given = length_of(face, "--face")
    width = 0.0
    if chosen.to_before.has_face:
        width = face_given.mm if face_given is not None else 2 * max(top, hem) / taken
        if width <= 0:
            raise RequestError(
                "--face", f"is {face_given}", "a face is wider than nothing", "Give the width to be seen."
            )
    elif face_given is not None:
        remarks.append(f"--face plays no part: {_a(chosen.noun)} has no face of its own.")
    if lap is not None and lap not in LAPS:
        raise RequestError("--lap", f"is '{lap}'", near_names(lap, list(LAPS)), "Give one of these words.")
    if chosen.needs_lap and lap is None:
        raise RequestError(
            f"The lap of {_a(chosen.noun)}",
            "is missing",
            "a fold that points the wrong way costs the cloth",
            "Give --lap left, right, up, down, centre or sides: the way the folds point, right side up.",
        )
    if not chosen.needs_lap and lap is not None:
        remarks.append(f"--lap plays no part: {_a(chosen.noun)} is alike on both sides.")
        lap = None
    if underlay not in (None, "whole", "separate"):
        raise RequestError(
            "--underlay",
            f"is '{underlay}'",
            near_names(str(underlay), ["whole", "separate"]),
            "Give one of these words.",
        )
    if underlay == "separate" and not chosen.backed:
        remarks.append(f"--underlay plays no part: {_a(chosen.noun)} has no underlay that can be a piece of its own.")
    high = length_of(height, "--height")
    if chosen.kicks and high is not None and high.mm <= 0:
        raise RequestError(
            "--height", f"is {high}", "a kick pleat reaches up from the hem", "Give a height above 0, such as 20cm."
        )
    if chosen.kicks and high is None:
        raise RequestError(
            "The height of a kick pleat",
            "is missing",
            "above it its line is a seam",
            "Give --height 20cm, up from the hem.",
        )
    if not chosen.kicks and high is not None:
        remarks.append(f"--height plays no part: {_a(chosen.noun)} runs from top to hem.")
    names = tuple(slash)
    how = _stitched(chosen, stitched, stitched_from, remarks)
    placing = _placing(at, count, run, along, length_of(gap, "--gap"), bool(names))
    asked = PleatOrder(
        chosen,
        top,
        hem,
        lap,
        width,
        names,
        placing,
        stack,
        how,
        tuple([(k, v) for k, v in given_options.items() if v]),
        underlay == "separate" and chosen.backed,
        high.mm if high is not None and chosen.kicks else 0.0,
    )
    return asked, given.unit, remarks


def _a(word: str) -> str:
    return f"an {word}" if word[0] in "aeiou" else f"a {word}"


def _kind(kind: str | None) -> Kind:
    if kind is None:
        raise RequestError("The kind of pleat", "is missing", "", f"Give --kind {', '.join(KINDS)}.")
    if kind not in KINDS:
        raise RequestError("--kind", f"is '{kind}'", near_names(kind, list(KINDS)), "Give one of these words.")
    return KINDS[kind]


def length_of(value: str | Length | None, what: str) -> Length | None:
    if value is None or isinstance(value, Length):
        return value
    if not isinstance(value, str):
        raise RequestError(what, f"is {value!r}, without a unit", "", "Write it as '6cm', '60mm' or '2 1/2in'.")
    return parse_length(value, what)


def _stitched(kind: Kind, far: str | Length | None, whence: str | None, remarks: list[str]) -> tuple[float | None, str]:
    if not kind.stitched:
        if far is not None or whence is not None:
            remarks.append(f"--stitched plays no part: {_a(kind.noun)} is not stitched along its fold.")
        return None, ""
    if whence is not None and whence not in STITCHED_FROM:
        raise RequestError(
            "--stitched-from", f"is '{whence}'", near_names(whence, list(STITCHED_FROM)), "Give one of these words."
        )
    length = length_of(far, "--stitched")
    if length is None:
        if whence is not None:
            raise RequestError(
                "--stitched-from",
                f"is {whence}",
                "it says where a length of stitching lies",
                "Give --stitched with it.",
            )
        return None, ""
    if length.mm <= 0:
        raise RequestError("--stitched", f"is {length}", "a tuck is stitched somewhere", "Give a length above 0.")
    return length.mm, whence or "top"


def _placing(
    at: Iterable[str | Length], count: int | None, run: str, along: str | None, gap: Length | None, drawn: bool
) -> Placing | None:
    spots = tuple([length for value in at if (length := length_of(value, "--at")) is not None])
    if run not in RUNS:
        raise RequestError("--run", f"is '{run}'", near_names(run, list(RUNS)), "Give one of these words.")
    if gap is not None and gap.mm <= 0:
        raise RequestError("--gap", f"is {gap}", "lines lie apart", "Give a length above 0.")
    if gap is not None and count is None:
        raise RequestError("--gap", "is given without --count", "a run has so many lines", "Give --count with it.")
    if gap is not None:
        if count is None or not 1 <= count <= 2000:
            raise RequestError(
                "--count", f"is {count}", "from 1 to 2000 lines can be placed", "Give how many tucks you want."
            )
        return Placing(spots, count, run, along, gap.mm)
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
