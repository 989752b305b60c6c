"""What is asked for, read from options as typed and checked as far as it can be without a drawing."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pleatsvg.allowance import NO_ALLOWANCE, Allowances
from pleatsvg.errors import RequestError, SlashError, near_names
from pleatsvg.kinds import KINDS, Kind
from pleatsvg.length import Length, parse_length
from pleatsvg.marking import NOTCHES, PLAIN_MARKING, Marking
from pleatsvg.slash import Placing

LAPS = ("left", "right", "up", "down", "centre", "sides")
RUNS = ("square", "grain", "fan")
STITCHED_FROM = ("top", "hem", "middle")
MOST_LAYERS = 5
"""More layers of one pleat cannot be pressed."""

MOST_PASSES = 4
"""Passes over one piece: pleats down, tucks across, and as much again."""

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
    wide = _length(cloth_width, "--cloth-width")
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
    length = _length(value, what)
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
        length = _length(value if isinstance(value, Length) else str(value).strip(), "--allowance")
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
    inset = _length(drawn, "--allowance-drawn")
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
    high = _length(height, "--height")
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
    placing = _placing(at, count, run, along, _length(gap, "--gap"), bool(names))
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


def _length(value: str | Length | None, what: str) -> Length | None:
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
    length = _length(far, "--stitched")
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


_LENGTH_WORD = re.compile(r"^[\d.,/ ½¼¾⅛⅜⅝⅞⅓⅔-]*\d?[\d.,/½¼¾⅛⅜⅝⅞⅓⅔]+\s*(?:mm|cm|inches|inch|in|\"|″|”)$", re.IGNORECASE)
_NUMBERED = re.compile(
    r"^\s*(?:slash|pleat)(?:[\s-]*lines?)?[\s-]*\d+(?![\d.,/½¼¾⅛⅜⅝⅞⅓⅔]|\s*(?:mm|cm|inch|in\b|\"|″|”))", re.IGNORECASE
)
"""The number of a slash line, which is none of its measures: "slash 2" in "slash 2 1/2in"."""

_WORDS = re.compile(
    r"(?:\d+\s+(?=\d+/))?[\d.,/½¼¾⅛⅜⅝⅞⅓⅔]+\s*(?:mm\b|cm\b|inches\b|inch\b|in\b|\"|″|”)|[^\W\d_]+(?:-[^\W\d_]+)?|\d+",
    re.IGNORECASE,
)


def worded(name: str, asked: PleatOrder | None) -> PleatOrder | None:
    """Return what the name of a slash line says of its pleat, over what is asked of it otherwise.

    "slash 2 inverted 12cm", "slash 3 knife 6cm left", "slash 4 box 12cm face 5cm", "slash 5 8cm hem 10cm". Words that say
    nothing about pleats are passed over; so is a lap by itself, as in "slash left 3", which tells where the line lies.

    Args:
        name: of the line.
        asked: what is asked of it otherwise, or None.

    Raises:
        SlashError: the words contradict themselves, or leave something out that nothing else says.
    """
    said = _said(name)
    if not said or set(said) == {"lap"}:
        return asked  # "slash left 3" tells where the line lies
    base = dict(asked.given) if asked is not None else {}
    if "intake" in said or "depth" in said:
        for old in ("intake", "depth", "hem_intake"):
            base.pop(old, None)
    if "kind" in said and base.get("kind") != said["kind"]:
        for old in ("face", "stack", "stitched", "stitched_from"):
            base.pop(old, None)
        if not KINDS[said["kind"]].needs_lap:
            base.pop("lap", None)
    kind = {**base, **said}.get("kind")
    if kind is not None and not KINDS[kind].needs_lap:
        said.pop("lap", None)  # "slash right 2 inverted 12cm": where it lies, once more
    try:
        made, _, remarks = pleats_from(**{"kind": None, **base, **said})
    except RequestError as error:
        raise _not_as_named(name, str(error).rstrip(".")) from None
    # What an option says may play no part here; what the name itself says must.
    idle = [remark for remark in remarks if remark.split()[0].lstrip("-").replace("-", "_") in said]
    if idle:
        raise _not_as_named(name, idle[0].rstrip("."))
    if asked is None:
        return replace(made, slash=(), placing=None)
    return replace(made, slash=asked.slash, placing=asked.placing, pass_=asked.pass_)


def unit_said(names: Iterable[str]) -> str | None:
    """Return the unit of the first length that the names of slash lines say, or None."""
    for name in names:
        said = _said(name)
        for option in ("intake", "depth"):
            if option in said:
                return parse_length(said[option], name).unit
    return None


def _not_as_named(name: str, why: str) -> SlashError:
    return SlashError(
        f"The name of slash line '{name}'",
        "says of its pleat what cannot be made",
        why[0].lower() + why[1:] if why[:1] != "-" else why,
        "Change the name in the editor's list of objects, such as 'slash 3 knife 6cm left', or say the rest with options.",
    )


def _said(name: str) -> dict[str, Any]:
    # The options that the words of a name stand for.
    said: dict[str, Any] = {}

    def say(option: str, value: Any) -> None:
        if said.setdefault(option, value) != value:
            raise _not_as_named(name, f"it says both '{said[option]}' and '{value}', and a pleat is of one kind only")

    spoken = name.replace("_", " ")
    numbered = _NUMBERED.match(spoken)
    words = _WORDS.findall(spoken[numbered.end() :] if numbered else spoken)
    k = 0
    while k < len(words):
        word = words[k].casefold()
        after = words[k + 1] if k + 1 < len(words) else ""
        if word == "pin" and after.casefold() in ("tuck", "tucks"):
            say("kind", "pin-tuck")
            k += 1
        elif word in KINDS:
            say("kind", word)
        elif word in LAPS and (word not in ("centre", "sides") or "kind" in said):
            say("lap", word)
        elif word in _MEASURES and _LENGTH_WORD.match(after):
            say(_MEASURES[word], after)
            k += 1
            if word == "stitched":
                whence = [w.casefold() for w in words[k + 1 : k + 4] if w.casefold() not in ("from", "in", "the")]
                if whence and whence[0] in STITCHED_FROM:
                    say("stitched_from", whence[0])
                    k += 1
        elif word in ("double", "triple"):
            say("stack", 2 if word == "double" else 3)
        elif word == "separate":
            say("underlay", "separate")
        elif _LENGTH_WORD.match(word):
            say("intake", words[k])
        k += 1
    return said


_MEASURES = {
    "face": "face",
    "hem": "hem_intake",
    "depth": "depth",
    "intake": "intake",
    "height": "height",
    "stitched": "stitched",
}
"""Words of a name that a length follows, and the options that they stand for."""


def _placing(
    at: Iterable[str | Length], count: int | None, run: str, along: str | None, gap: Length | None, drawn: bool
) -> Placing | None:
    spots = tuple([length for value in at if (length := _length(value, "--at")) is not None])
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
