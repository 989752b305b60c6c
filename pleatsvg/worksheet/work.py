"""The order of work: from the cloth to the hem, with no word on what a piece does not need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pleatsvg.card.cards import Card
from pleatsvg.folded.cautions import pleats_in_words
from pleatsvg.kinds import is_kick
from pleatsvg.length import show
from pleatsvg.pleats.words import kinds_in_words
from pleatsvg.result.figures import PleatFigures
from pleatsvg.tolerance import MATCH
from pleatsvg.worksheet.pieces import WorkPiece, is_stitched

_SYMBOLS = {
    "placement-line": "PLACE is blue, dash-dotted, with short bars: where a fold comes to lie.",
    "fold-line": "FOLD is red, in long dashes, with crosses: the edge that is seen.",
    "stitch-line": "STITCH is green, in dashes: the two lines of a tuck that are sewn together.",
}

_SHOWN_WHOLE = 0.98
"""Share of a line from which on it is called the whole of it."""


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the work: its name, what is done, one thing to a row, and whether the panels of the folding belong to it."""

    name: str
    rows: tuple[str, ...]
    panels: bool = False


def companions_for(piece: WorkPiece, pieces: Sequence[WorkPiece]) -> list[WorkPiece]:
    """Return which of some pieces are companions that are sewn to a piece."""
    return [one for one in pieces if one.is_companion and piece.proof.piece in [name for name, _ in one.proof.sewn_to]]


def steps_for(piece: WorkPiece, unit: str, companions: Sequence[WorkPiece] = ()) -> list[Step]:
    """Return the order of work of a piece.

    Args:
        piece: that is proven.
        unit: that lengths are told in.
        companions: that are sewn to it.
    """
    if piece.is_companion:
        return [_cut(piece, unit), Step("Sew on", piece.sewn_words(unit))]
    made = [
        _cut(piece, unit),
        _mark(piece, unit),
        _fold(piece, unit),
        # Leaning pleats are stitched one by one, before basting holds them all down.
        _stitch_to_bars(piece, unit),
        _baste(piece),
        _press(piece, unit),
        _edge_stitch(piece, unit),
        _stitch_down(piece, unit),
        _check(piece, unit, companions),
        *[_sew_on(companion, unit) for companion in companions],
        _hem(piece),
    ]
    return [step for step in made if step is not None]


def _cut(piece: WorkPiece, unit: str) -> Step:
    rows = ["Press the cloth and let it lie."]
    if piece.has("grain-line"):
        rows.append("Lay the pattern with its grainline along the grain of the cloth.")
    if piece.has("fold-edge"):
        rows.append("Lay the edge marked FOLD EDGE on a fold of the cloth; do not cut it.")
    rows.append(piece.allowance_words(unit))
    if piece.is_companion:
        rows.append("Copy the notches: one for each fold, and a triangle where the pleated edge begins and ends.")
    elif piece.has("notch"):
        rows.append("Copy the notches: they stand at both ends of the lines.")
    if piece.has("join-line"):
        rows.append("Sew the parts together at the lines marked JOIN, equal numbers and notches meeting.")
    if piece.has_kick:
        kicks = pleats_in_words([pleat.number for pleat in piece.pleats if is_kick(pleat.kind)])
        rows.append(f"Sew the seam above {kicks}, notches meeting.")
    if piece.has("clip-mark"):
        rows.append("Clip the allowance at the clip mark, to the lower end of that seam and no farther.")
    return Step("Cut", tuple(rows))


def _mark(piece: WorkPiece, unit: str) -> Step:
    roles = dict.fromkeys([line.role for pleat in piece.pleats for line in pleat.lines])
    rows = [words for role, words in _SYMBOLS.items() if role in roles]
    rows += [_card_words(card, unit) for card in piece.cards]
    if piece.without_card:
        small = kinds_in_words({pleat.number: pleat.kind for pleat in piece.pleats}, piece.without_card)
        rows.append(f"{small}: too small for a card; mark with a ruler, from the table.")
    if piece.curved:
        rows.append(
            "Trace the solid curves from the pattern, down to the double bars: a card marks the broken lines alone."
        )
    rows += _how_far(piece, unit)
    rows.append("Try chalk or thread on a scrap first: what marks the right side must come out again.")
    return Step("Mark", tuple(rows))


def _card_words(card: Card, unit: str) -> str:
    first, second = card.ends
    top, hem = card.widths
    wide = (
        f"{show(top, unit)} wide at the {first}, {show(hem, unit)} at the {second}"
        if card.tapers
        else f"{show(top, unit)} wide"
    )
    said = f"{card.title}, {wide}: lay its edge {card.near} on that line and mark {card.fold} along its edge FOLD."
    if card.tab is not None:
        far, low = [show(value, unit) for value in card.tab]
        said += f" Its tab leads on to the {card.tab_to}: {far}" + (
            f" at the {first}, {low} at the {second}." if far != low else "."
        )
    return said


def _how_far(piece: WorkPiece, unit: str) -> list[str]:
    # Said once where all lines are marked alike; and nothing where they are shown whole.
    rows = []
    for pass_ in piece.passes:
        kinds = {pleat.kind for pleat in piece.pleats if pleat.pass_ == pass_}
        if all(is_stitched(kind) for kind in kinds):
            continue
        if any(is_kick(kind) for kind in kinds):
            rows.append("Mark the lines as far as they are drawn.")
            continue
        seen = piece.seen(pass_, "placement-line") or piece.seen(pass_, "fold-line")
        first, _ = piece.ends(pass_)
        far = sorted(
            {show(high, unit) for low, high, long in seen.values() if low < 1.0 and high < _SHOWN_WHOLE * long}
        )
        if len(far) == 1:
            rows.append(f"Mark the lines from the {first} down to {far[0]} below the seam; the rest falls as it will.")
        elif not far:
            rows.append(f"Mark the lines from the {first} to the {piece.ends(pass_)[1]}.")
        else:
            rows.append("Mark the lines as far as they are drawn.")
    return list(dict.fromkeys(rows))


def _noun(piece: WorkPiece, numbers: Sequence[int]) -> str:
    return "Tuck" if all(is_stitched(pleat.kind) for pleat in piece.pleats if pleat.number in numbers) else "Pleat"


def _fold(piece: WorkPiece, unit: str) -> Step:
    rows = []
    if len(piece.passes) > 1:
        rows.append(f"Fold pass {' first, then pass '.join([str(number) for number in piece.passes])}.")
    if any(not is_stitched(kind) for kind in piece.kinds):
        rows.append("Bring each FOLD onto its PLACE, and pin across the fold.")
        if piece.fitted:
            rows.append(
                f"Pin from the hem up to the {piece.shaped_at} first, with the cloth flat; then above it, over a board's end."
            )
    if any(is_stitched(kind) for kind in piece.kinds):
        rows.append(
            "Fold each tuck along FOLD, wrong sides together, so that its STITCH lines meet, and pin across it."
        )
    rows += (sewn := _stitch_tucks(piece, unit))
    return Step("Fold, pin and stitch" if sewn else "Fold and pin", tuple(rows), True)


def _stitch_tucks(piece: WorkPiece, unit: str) -> list[str]:
    tucks = [pleat for pleat in piece.pleats if is_stitched(pleat.kind)]
    rows: list[str] = []
    for pass_ in piece.passes:
        own = [pleat.number for pleat in tucks if pleat.pass_ == pass_]
        released = piece.stitched(pass_)
        first, second = piece.ends(pass_)
        told: dict[str, list[int]] = {}
        for number in own:
            low, high, long = released.get(number, (0.0, 0.0, 0.0))
            if number not in released:
                words = f"from the {first} to the {second}"
            elif low < 1.0:
                words = f"from the {first}, {show(high, unit)} long, and secure the end: below it the tuck is released"
            elif high > long - 1.0:
                words = f"from the {second}, {show(long - low, unit)} long, and secure the end: above it the tuck is released"
            else:
                words = f"from {show(low, unit)} to {show(high, unit)} below the {first}, and secure both ends"
            told.setdefault(words, []).append(number)
        rows += [
            f"Stitch {pleats_in_words(numbers).replace('pleat', 'tuck')} through both STITCH lines {words}."
            for words, numbers in told.items()
        ]
    return rows


def _baste(piece: WorkPiece) -> Step | None:
    last = piece.passes[-1]
    ends = "at both ends of the pleats" if piece.level(last) else "across the top"
    noun = "tucks" if piece.tucks_only else "pleats"
    if piece.has("baste-line"):
        return Step(
            "Baste",
            (f"Baste the folded {noun} along the line BASTE, {ends}, inside the allowance; take the pins out.",),
        )
    if piece.tucks_only or piece.kinds == {"kick"}:
        return None
    return Step("Baste", (f"Baste the folded {noun} {ends}, inside the allowance; take the pins out.",))


def _stitch_to_bars(piece: WorkPiece, unit: str) -> Step | None:
    if not piece.fitted:
        return None
    top = _folded_length([pleat for pleat in piece.pleats if pleat.pass_ == piece.passes[-1]], True)
    level = piece.shaped_at
    rows = [
        "Stitch each FOLD onto its PLACE along the solid curves, from the top down to the double bar at STITCH TO HERE, and "
        "secure the end. Below the bars the pleats fall free, pressed along the broken lines."
        if piece.curved
        else f"Above the {level} the lines lean: stitch each FOLD onto its PLACE there, from the top down to the double bar at "
        "STITCH TO HERE, and secure the end. Below it the pleats fall free.",
        f"At the {level} hidden cloth is a little too long; ease it in at the inner fold, out of sight.",
    ]
    if top is not None:
        rows.append(f"Measure the top before you go on: {show(top, unit)} {_across(piece)}.")
    return Step("Stitch to the double bars", tuple(rows))


def _press(piece: WorkPiece, unit: str) -> Step:
    rows = ["With a press cloth between iron and cloth, set the iron down and lift it again; do not slide it."]
    for card in piece.cards:
        if card.near != "PLACE":
            continue
        said = f"{card.title}: while you press, let it lie inside {card.fold}, between the face and the underlay"
        if card.press is not None:
            top, hem = [show(value, unit) for value in card.press]
            first, second = card.ends
            said += f", {top} deep" if top == hem else f", {top} deep at the {first}, {hem} at the {second}"
        rows.append(f"{said}, so that the inner fold does not press through.")
    tucks: dict[str, list[int]] = {}
    for pleat in piece.pleats:
        if is_stitched(pleat.kind):
            tucks.setdefault(pleat.lap, []).append(pleat.number)
    for lap, numbers in tucks.items():
        rows.append(f"Press {pleats_in_words(numbers).replace('pleat', 'tuck')} {lap}.")
    if piece.fitted:
        rows.append(
            f"Press what is below the {piece.shaped_at} flat; then the top, over a board's end: the two cannot lie flat at "
            "once, and that is the fit."
        )
    rows.append("Steam as the care label allows, and let the cloth cool and dry before you move it.")
    return Step("Press", tuple(rows))


def _edge_stitch(piece: WorkPiece, unit: str) -> Step | None:
    if not piece.has("edge-stitch-line"):
        return None
    return Step(
        "Edge stitch",
        (f"Edge stitch through the fold alone, along the line EDGE STITCH, {_long(piece, 'edge-stitch-line', unit)}.",),
    )


def _stitch_down(piece: WorkPiece, unit: str) -> Step | None:
    if not piece.has("stitch-down-line"):
        return None
    far = _long(piece, "stitch-down-line", unit)
    return Step(
        "Stitch down", (f"Stitch through all layers along the line STITCH DOWN, {far}; below it the pleats hang free.",)
    )


def _long(piece: WorkPiece, role: str, unit: str) -> str:
    far = sorted({round(value, 1) for value in piece.strokes(role).values()})
    said = list(dict.fromkeys([show(value, unit) for value in far]))
    if len(said) == 1:
        return f"{said[0]} from the seam to the double tick"
    return f"as far as it is drawn, {said[0]} to {said[-1]}" if said else "as far as it is drawn"


def _across(piece: WorkPiece) -> str:
    return "from the seam line to the fold edge" if piece.has("fold-edge") else "from seam line to seam line"


def _sew_on(companion: WorkPiece, unit: str) -> Step:
    rows = [
        f"Pin {companion.name} to it, right sides together: each fold at the notch with its number, the ends at the triangles.",
        *[row for row in companion.sewn_words(unit) if row.startswith("The sewing begins")],
        "Look that the folds lie as they were pressed, baste, and sew along the seam line.",
    ]
    return Step(f"Sew {companion.name} on", tuple(rows))


def _check(piece: WorkPiece, unit: str, companions: Sequence[WorkPiece] = ()) -> Step:
    # The last pass to be folded is the first that was laid: it ends on the finished piece.
    last = piece.passes[-1]
    rows: list[str] = []
    own = [pleat for pleat in piece.pleats if pleat.pass_ == last]
    first, second = piece.ends(last)
    for end, top in ((first, True), (second, False)):
        long = _folded_length(own, top)
        if long is not None and piece.round_lengths is None:
            rows.append(f"Folded, the {end} is {show(long, unit)} {_across(piece)}.")
    if piece.round_lengths is not None:
        above, below = [show(value, unit) for value in piece.round_lengths]
        rows.append(f"Closed and folded, it is {above} round at the top and {below} round at the hem.")
    if piece.has("balance-line"):
        rows.append("Balance lines, such as the hip, lie level and unbroken across the folds.")
    against = " and ".join([one.name for one in companions])
    held = f"{against}, fold against notch" if against else "the waistband or whatever is sewn to it"
    rows.append(
        f"Hold it against {held}. Where it is out by more than {show(MATCH, unit)}, "
        "share the difference among the folds."
    )
    return Step("Check", tuple(rows))


def _folded_length(pleats: Sequence[PleatFigures], top: bool) -> float | None:
    if not pleats:
        return None
    values = [pleats[0].from_edge, *[ends for pleat in pleats for ends in (pleat.face, pleat.spacing)]]
    figures = [ends.top if top else ends.hem for ends in values]
    known = [value for value in figures if value is not None]
    return sum(known) if len(known) == len(figures) else None


def _hem(piece: WorkPiece) -> Step | None:
    if not piece.edge("hem"):
        return None
    if piece.tucks_only:
        return Step("Hem", ("Turn the hem up and sew it.",))
    return Step(
        "Hem",
        (
            "Open the folds as far up as the hem is deep, turn the hem up and sew it.",
            "Fold the pleats again along their creases and press them over the hem.",
        ),
    )


def cautions_for(pieces: Sequence[WorkPiece]) -> list[str]:
    """Return the cautions: the makers' care label first, then iron, steam, pins, needle and blade."""
    return [
        "Follow the cloth's care label and what the makers of iron and machine say: where they say otherwise, they are right.",
        "A hot iron burns: keep hands clear, rest it as its maker says, and never leave it alone. Try its heat on a scrap.",
        "Steam scalds: keep hands and face out of it, and try it on a scrap.",
        "Pins: count them, take them out before the iron or the needle comes to them, and never hold them in the mouth.",
        "Needle: keep fingers clear of it, and switch the machine off to thread it.",
        "Blades: cut away from yourself, and cover a rotary blade whenever it lies still.",
    ]
