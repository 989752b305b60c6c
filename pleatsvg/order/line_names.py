"""What the name of a slash line asks for: 'slash 2 inverted 12cm' in words of the trade."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from pleatsvg.errors import RequestError, SlashError
from pleatsvg.kinds import KINDS
from pleatsvg.length import parse_length
from pleatsvg.order.options import LAPS, OPTIONS, ROWS, STITCHED_FROM
from pleatsvg.order.pleat_order import OpenOrder, PleatOrder, pleats_from
from pleatsvg.wording import within

_LENGTH_WORD = re.compile(r"^[\d.,/ ½¼¾⅛⅜⅝⅞⅓⅔-]*\d?[\d.,/½¼¾⅛⅜⅝⅞⅓⅔]+\s*(?:mm|cm|inches|inch|in|\"|″|”)$", re.IGNORECASE)


NUMBERED = re.compile(
    r"^\s*(?:slash|pleat)(?:[\s-]*lines?)?[\s-]*\d+(?![\d.,/½¼¾⅛⅜⅝⅞⅓⅔]|\s*(?:mm|cm|inch|in\b|\"|″|”))", re.IGNORECASE
)
"""A slash line's own number, not a length: "slash 2" in "slash 2 1/2in"."""


_NUMBER = r"(?:\d+\s+(?=\d+/))?[\d.,/½¼¾⅛⅜⅝⅞⅓⅔]+"
_WORDS = re.compile(
    rf"{_NUMBER}\s*(?:mm\b|cm\b|inches\b|inch\b|in\b|\"|″|”)|[^\W\d_]+(?:-[^\W\d_]+)?|{_NUMBER}", re.IGNORECASE
)


def worded(
    name: str, order: PleatOrder | OpenOrder | None, finishes: bool = False, pivots: bool = False
) -> PleatOrder | None:
    """Return the order for a slash line's pleat: what its name says, and for the rest what is asked for otherwise.

    "slash 2 inverted 12cm", "slash 3 knife 6cm left", "slash 4 box 12cm face 5cm", "slash 5 8cm hem 10cm". Words that say
    nothing about pleats are passed over; so is a lap by itself, as in "slash left 3", which tells where the line lies.

    Args:
        name: of the line.
        order: what is asked of it otherwise, or None.
        finishes, pivots: cf. `pleats_from`.

    Raises:
        SlashError: the words contradict themselves, or leave something out that nothing else says.
        MissingError: something is left out by the order, and the name says nothing of pleats.
    """
    named = options_in(name)
    shares: dict[str, Any] = {option: named.pop(option) for option in ("share", "weight") if option in named}
    if not named or set(named) == {"lap"}:
        if isinstance(order, OpenOrder):
            raise order.refusal
        return _sharing(name, order, shares)  # "slash left 3" tells where the line lies
    base = dict(order.given) if order is not None else {}
    if "intake" in named or "depth" in named:
        for old in ("intake", "depth", "hem_intake"):
            base.pop(old, None)
    if "kind" in named and base.get("kind") != named["kind"]:
        base = {name: value for name, value in base.items() if not OPTIONS[name].own_to_kind}
        if not KINDS[named["kind"]].needs_lap:
            base.pop("lap", None)
    kind = {**base, **named}.get("kind")
    if kind is not None and not KINDS[kind].needs_lap:
        named.pop("lap", None)  # "slash right 2 inverted 12cm": where it lies, once more
    try:
        made, _, remarks = pleats_from({**base, **named}, finishes, pivots)
    except RequestError as error:
        raise _not_as_named(name, error.message) from None
    # An option that plays no part here is passed over; a word of the name that plays none is a mistake.
    idle = [remark for remark in remarks if remark.option in named]
    if idle:
        raise _not_as_named(name, idle[0].words)
    if order is None:
        return _sharing(name, replace(made, slash=(), placing=None), shares)
    made = replace(
        made,
        slash=order.slash,
        placing=order.placing,
        pass_=order.pass_,
        weight=order.weight,
        share=order.share,
    )
    return _sharing(name, made, shares)


def _sharing(name: str, order: PleatOrder | None, shares: dict[str, Any]) -> PleatOrder | None:
    # "slash 2 share 12mm", "slash 3 weight 0": what vanishes in a pleat of a fitted piece.
    if order is None or not shares:
        return order
    if len(shares) > 1:
        raise _not_as_named(name, "it says both a share and a weight, and one of the two says what vanishes in a pleat")
    if "weight" in shares:
        return replace(order, weight=shares["weight"], share=None)
    return replace(order, weight=1, share=parse_length(shares["share"], name).mm)


def unit_said(names: Iterable[str]) -> str | None:
    """Return the unit of the first length in the names of slash lines, or None."""
    for name in names:
        named = options_in(name)
        for option in ("intake", "depth"):
            if option in named:
                return parse_length(named[option], name).unit
    return None


def _not_as_named(name: str, why: str) -> SlashError:
    return SlashError(
        f"The name of slash line '{name}'",
        "says of its pleat what cannot be made",
        within(why),
        "Change the name in the editor's list of objects, such as 'slash 3 knife 6cm left', or say the rest with options.",
    )


def _amount_in(word: str) -> float | None:
    # A number without a unit, however it is written; None where it is none.
    try:
        return parse_length(f"{word}mm").mm
    except RequestError:
        return None


def options_in(name: str) -> dict[str, Any]:
    """Return the options that the words of a slash line's name stand for.

    Raises:
        SlashError: the words contradict themselves.
    """
    named: dict[str, Any] = {}

    def say(option: str, value: Any) -> None:
        if named.setdefault(option, value) != value:
            raise _not_as_named(name, f"it says both '{named[option]}' and '{value}', and a pleat is of one kind only")

    spoken = name.replace("_", " ")
    numbered = NUMBERED.match(spoken)
    words = _WORDS.findall(spoken[numbered.end() :] if numbered else spoken)
    k = 0
    while k < len(words):
        word = words[k].casefold().replace("center", "centre")
        after = words[k + 1] if k + 1 < len(words) else ""
        if word == "pin" and after.casefold() in ("tuck", "tucks"):
            say("kind", "pin-tuck")
            k += 1
        elif word in KINDS:
            say("kind", word)
        elif word in LAPS and (word not in ("centre", "sides") or "kind" in named):
            say("lap", word)
        elif word in _MEASURES and _LENGTH_WORD.match(after):
            say(_MEASURES[word], after)
            k += 1
            if word == "stitched":
                whence = [w.casefold() for w in words[k + 1 : k + 4] if w.casefold() not in ("from", "in", "the")]
                if whence and whence[0] in STITCHED_FROM:
                    say("stitched_from", whence[0])
                    k += 1
        elif word == "weight" and (weight := _amount_in(after)) is not None:
            say("weight", weight)
            k += 1
        elif word in ("double", "triple"):
            say("stack", 2 if word == "double" else 3)
        elif word == "separate":
            say("underlay", "separate")
        elif _LENGTH_WORD.match(word):
            say("intake", words[k])
        k += 1
    return named


_MEASURES = {row.in_names: row.name for row in ROWS if row.in_names}
"""Words of a name that a length follows, and the options that they stand for."""
