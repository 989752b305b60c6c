"""Cautions about folded cloth: too many layers, and cloth that would have to pass through cloth."""

from __future__ import annotations

from collections.abc import Sequence

from pleatsvg.folded.stack import Thickest
from pleatsvg.pleats.words import numbers_in_words
from pleatsvg.tolerance import BULKY


def pleats_in_words(numbers: Sequence[int]) -> str:
    """Return pleat numbers in words, in the middle of a sentence."""
    return numbers_in_words(sorted(numbers)).replace("Pleat", "pleat") if numbers else "no pleat"


def where_thick(thick: Thickest, zone: str = "") -> str:
    """Return where the most layers lie: "at pleats 1 to 5, from top to hem".

    `zone` is "above" or "below" for what lies above the hip of a fitted piece or below it.
    """
    if not thick.pleats:
        return "all over"
    first, second = ("the top", "the hem") if thick.upright else ("the left end", "the right end")
    if zone:
        first, second = ("the top", "the hip") if zone == "above" else ("the hip", "the hem")
    low, high = min(thick.shares) < 0.3, max(thick.shares) > 0.7
    height = (
        (f"from {first.removeprefix('the ')} to {second.removeprefix('the ')}" if thick.upright else "from end to end")
        if low and high
        else f"near {first}"
        if low
        else f"near {second}"
        if high
        else "half-way"
    )
    return f"at {pleats_in_words(thick.pleats)}, {height}"


def bulk_caution(thick: Thickest) -> str:
    """Return a caution where more than BULKY layers lie on one another, else ""."""
    if thick.layers <= BULKY:
        return ""
    return (
        f"CAUTION, BULK: {thick.layers} layers lie on one another {where_thick(thick)}. Over {BULKY} are thick to press and "
        "to stitch: fold a sample in the cloth first, or take less intake or wider spacing."
    )


def clash_caution(clashes: tuple[int, ...]) -> str:
    """Return what to say where pleats would pass through one another."""
    return (
        f"CAUTION: at {pleats_in_words(clashes)} one underlay would have to pass through another's fold. On paper it folds; "
        "in cloth it bulges. Take less intake or wider spacing."
    )
