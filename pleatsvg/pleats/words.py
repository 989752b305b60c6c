"""Plain words for pleats: one phrase for one thing, in labels, messages and reports alike."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache

from pleatsvg.kinds import KINDS, noun_of
from pleatsvg.length import show
from pleatsvg.pleats.laid import PleatRequest


def lap_words(request: PleatRequest, upright: bool) -> str:
    """Return how the folds point, both ways of saying it: "fold points left (right over left)"."""
    kind = request.kind
    if not kind.needs_lap:
        return kind.together or "alike on both sides"
    if kind.stitched:
        return f"pressed {lap_name(request, upright)}"
    if upright:
        return "fold points left (right over left)" if request.towards < 0 else "fold points right (left over right)"
    return "fold points up (lower over upper)" if request.towards < 0 else "fold points down (upper over lower)"


def lap_name(request: PleatRequest, upright: bool) -> str:
    """Return the one word for the lap: left, right, up or down; "both" for a kind alike on both sides."""
    if not request.kind.needs_lap:
        return "both"
    return ("left" if request.towards < 0 else "right") if upright else ("up" if request.towards < 0 else "down")


@lru_cache(maxsize=256)
def intake_words(top: float, hem: float, upright: bool, unit: str, lower: str = "hem", upper: str = "top") -> str:
    """Return the intake: "intake 60 mm", or both ends of it where they differ.

    `lower` is what the lower edge of upright lines is called, `upper` the level at which the other one holds.
    """
    if abs(top - hem) < 0.005:
        return f"intake {show(top, unit)}"
    first, second = end_words(upright, lower)
    first = upper if upright else first
    return f"intake {_some(top, unit)} at the {first}, {_some(hem, unit)} at the {second}"


def _some(mm: float, unit: str) -> str:
    return show(mm, unit) if mm else "nothing"


def end_words(upright: bool, lower: str = "hem") -> tuple[str, str]:
    """Return what the two ends of a line are called; `lower` is the lower edge of upright lines."""
    return ("top", lower) if upright else ("left end", "right end")


def to_point_words(seam: float, unit: str) -> str:
    """Return the intake of a pleat that ends at the point of a closed dart, `seam` mm at its other end."""
    return f"intake {show(seam, unit)} at the seam, nothing at the dart's point"


def taken_words(request: PleatRequest, upright: bool, unit: str, lower: str = "hem") -> str:
    """Return the intake of a pleat, cf. `intake_words`; one that ends at a dart's point takes up nothing there."""
    if request.to_point:
        return to_point_words(max(request.intake_top, request.intake_hem), unit)
    return intake_words(request.intake_top, request.intake_hem, upright, unit, lower, request.level)


@lru_cache(maxsize=256)
def pleat_words(request: PleatRequest, upright: bool, unit: str, lower: str = "hem") -> str:
    """Return a pleat in one phrase: "knife, intake 60 mm, fold points left (right over left)".

    What is called a tuck where it is counted is not called one again: "intake 20 mm, pressed left".
    """
    face = f", face {show(request.face, unit)}" if request.face else ""
    intake = taken_words(request, upright, unit, lower)
    half = ", half of it on this half piece" if request.half else ""
    stack = f", {_STACKS.get(request.stack, f'{request.stack} layers')}" if request.stack > 1 else ""
    stitched = _stitched_words(request.stitched, upright, unit, lower)
    if request.kind.kicks:
        stack = f", {show(request.height, unit)} high"
    kind = "" if request.kind.stitched else f"{request.kind.name}{stack}{face}, "
    return f"{kind}{intake}, {lap_words(request, upright)}{stitched}{half}"


def _stitched_words(stitched: tuple[float | None, str], upright: bool, unit: str, lower: str) -> str:
    far, whence = stitched
    if far is None:
        return ""
    first, second = end_words(upright, lower)
    where = {"top": f"from the {first}", "hem": f"from the {second}", "middle": "in the middle"}[whence]
    return f", stitched {show(far, unit)} {where}, then released"


_STACKS = {2: "double", 3: "triple"}


_LAPS = {
    "left": "fold points left (right over left)",
    "right": "fold points right (left over right)",
    "up": "fold points up (lower over upper)",
    "down": "fold points down (upper over lower)",
}


def told_words(
    kind: str,
    lap: str,
    top: float,
    hem: float,
    unit: str,
    stitched: tuple[float | None, str] = (None, ""),
    upper: str = "top",
    to_point: bool = False,
) -> str:
    """Return a pleat of an earlier pass in one phrase, from what its lines say and what they measure (mm); `stitched` is as
    in `PleatRequest`, `upper` is what the level is called at which the first of its intakes holds."""
    upright = lap not in ("up", "down")
    intake = (
        to_point_words(max(top, hem), unit)
        if to_point
        else intake_words(round(top, 2), round(hem, 2), upright, unit, upper=upper)
    )
    name = "" if kind in KINDS and KINDS[kind].stitched else kind or "pleat"
    said = ", ".join([part for part in (name, intake, told_lap(kind, lap)) if part])
    return said + _stitched_words(stitched, upright, unit, "hem")


def told_lap(kind: str, lap: str) -> str:
    """Return how the folds point of a pleat whose lines say its kind and its lap; "" where they say neither."""
    known = KINDS.get(kind)
    if known is not None and known.stitched:
        return f"pressed {lap}"
    return _LAPS.get(lap, known.together if known is not None else "")


def counted(kinds: Iterable[str]) -> str:
    """Return how many pleats there are, tucks counted as tucks.

    >>> counted(["knife", "box", "pin-tuck"]), counted(["tuck", "tuck"])
    ('2 pleats and 1 pin tuck', '2 tucks')
    """
    names = [noun_of(kind) for kind in kinds]
    said = [f"{names.count(name)} {name}{'' if names.count(name) == 1 else 's'}" for name in dict.fromkeys(names)]
    return " and ".join(said) or "no pleats"


def folded_words(kinds: Iterable[str]) -> str:
    """Return what pleats of some kinds are called together: "pleats", "tucks", "pleats and tucks"."""
    return " and ".join([f"{noun}s" for noun in dict.fromkeys([noun_of(kind) for kind in kinds])])


def numbers_down(highest: int) -> str:
    """Return passes in the order of folding, from the last to the first: "2, then 1"."""
    return ", then ".join(str(number) for number in range(highest, 0, -1))


def numbers_in_words(numbers: list[int], noun: str = "pleat") -> str:
    """Return pleat numbers as a phrase: "Pleat 3", "Pleats 1 to 4, 7".

    Args:
        numbers: ascending, at least one.
        noun: what they are called, as `noun_of` says.
    """
    name = noun.capitalize()
    if len(numbers) == 1:
        return f"{name} {numbers[0]}"
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return f"{name}s " + ", ".join(
        str(run[0]) if len(run) == 1 else f"{run[0]}{' and ' if len(run) == 2 else ' to '}{run[-1]}" for run in runs
    )


def kinds_in_words(kinds: Mapping[int, str], numbers: Iterable[int]) -> str:
    """Return numbers of pleats of several kinds as a phrase: "Pleats 1 to 4", "Tucks 1, 3", "Pleats 1 and 2 and tuck 3".

    Args:
        kinds: by number; one that is not known is called a pleat.
        numbers: at least one.
    """
    found: dict[str, list[int]] = {}
    for number in sorted(set(numbers)):
        found.setdefault(noun_of(kinds.get(number, "")), []).append(number)
    first, *others = [numbers_in_words(own, noun) for noun, own in found.items()]
    return " and ".join([first, *[f"{words[0].lower()}{words[1:]}" for words in others]])
