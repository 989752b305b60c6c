"""Cautions about folded cloth: too many layers, and cloth that would have to pass through cloth."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pleatsvg.folded.stack import Thickest
from pleatsvg.kinds import is_stitched
from pleatsvg.pleats.words import kinds_in_words, numbers_in_words
from pleatsvg.proof.folded_pass import FoldedPass
from pleatsvg.tolerance import BULKY


def pleats_in_words(numbers: Sequence[int]) -> str:
    """Return pleat numbers in words, in the middle of a sentence."""
    return numbers_in_words(sorted(numbers)).replace("Pleat", "pleat") if numbers else "no pleat"


def some_in_words(kinds: Mapping[int, str], numbers: Sequence[int]) -> str:
    """Return numbers of pleats of several kinds in words, in the middle of a sentence; cf. `kinds_in_words`."""
    words = kinds_in_words(kinds, numbers) if numbers else "no pleat"
    return f"{words[0].lower()}{words[1:]}"


def slit_words(passes: Sequence[FoldedPass]) -> str:
    """Return what is said beside a picture of a piece in which a dart is closed; "" where none is."""
    if not any(done.points for done in passes):
        return ""
    return "Beyond the point of a closed dart the cloth is shown slit, so as to lie flat folded: do not cut it there."


def curve_words(passes: Sequence[FoldedPass]) -> str:
    """Return how pictures show pleats that are stitched along curves; "" where there are none."""
    if not any(line.role == "shaping-line" for done in passes for line in done.carried):
        return ""
    return "Pleats are stitched along the thin curves, and finish there; the cloth is drawn folded along its lines."


def released_words(passes: Sequence[FoldedPass]) -> str:
    """Return how pictures show released tucks, beyond their stitching; "" where there are none."""
    creases = [crease for done in passes for crease in done.creases if crease.released]
    if not creases:
        return ""
    kinds = {crease.line.pleat: crease.line.tag.kind for crease in creases}
    named = some_in_words(kinds, list(kinds))
    if len(kinds) == 1:
        return f"Beyond the end of its green stitching {named} opens; it is drawn as if pressed there."
    return f"Beyond the end of their green stitching {named} open; they are drawn as if pressed there."


def where_thick(thick: Thickest) -> str:
    """Return where the most layers lie: "at pleats 1 to 5, from top to hem"."""
    if not thick.pleats:
        return "all over"
    first, second = ("the top", "the hem") if thick.upright else ("the left end", "the right end")
    first, second = thick.ends or (first, second)
    low, high = min(thick.shares) < 0.3, max(thick.shares) > 0.7
    height = (
        (f"from {first} to {second}" if thick.ends else "from top to hem" if thick.upright else "from end to end")
        if low and high
        else f"near {first}"
        if low
        else f"near {second}"
        if high
        else "half-way"
    )
    return f"at {some_in_words(thick.kinds, thick.pleats)}, {height}"


def bulk_caution(thick: Thickest) -> str:
    """Return a caution where more than BULKY layers lie on one another, else ""."""
    if thick.layers <= BULKY:
        return ""
    return (
        f"CAUTION, BULK: {thick.layers} layers lie on one another {where_thick(thick)}. Over {BULKY} are thick to press and "
        "to stitch: fold a sample in the cloth first, or take less intake or wider spacing."
    )


def clash_caution(clashes: tuple[int, ...], kinds: Mapping[int, str]) -> str:
    """Return what to say where pleats would pass through one another; `kinds` are those of all pleats, by number."""
    what = "tuck" if all(is_stitched(kinds.get(number, "")) for number in clashes) else "underlay"
    return (
        f"CAUTION: at {some_in_words(kinds, clashes)} one {what} would have to pass through another's fold. On paper it folds; "
        "in cloth it bulges. Take less intake or wider spacing."
    )
