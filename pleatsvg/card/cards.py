"""Which cards a result needs, and how large they are: one for every different pleat. All in mm.

A card is as wide as it is from a fold line to the line that it is brought onto, on the flat piece, at the top and at the
hem. It is laid on the cloth to mark the one line from the other. While the pleat is pressed it lies inside the fold, between
the face and the underlay, so that the inner fold does not press through: so deep that it reaches over the inner fold, and
never wider than spacing and depth together, where the next fold begins.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pleatsvg.errors import FitError, RequestError
from pleatsvg.kinds import KINDS, noun_of
from pleatsvg.length import Length, show
from pleatsvg.pleats.words import intake_words, numbers_in_words, to_point_words
from pleatsvg.proof.figures import Proof
from pleatsvg.proof.folded_pass import FoldedPass, Span
from pleatsvg.proof.pleat_figures import level_ends
from pleatsvg.result.figures import Ends, PleatFigures
from pleatsvg.wording import message, option

ALIKE = 0.1
"""mm within which cards are one: the width of a pencil's line."""

_ACROSS, _ALONG = 0.5, 1.0
"""mm by which corners of cards that taper may differ and one serve for both: across, and along their edges, as lines of a fan
do, which end at the seam in any case."""

LEAST_WIDTH = 4.0
"""mm. A narrower strip of card bends, and cannot be cut true."""


@dataclass(frozen=True, slots=True)
class Card:
    """A card.

    Attributes:
        numbers: of the pleats that it is for; empty where it is made from lengths alone.
        alike: what these are, in words.
        near: the line that is marked along its one edge: "PLACE" or "STITCH"; the other edge is the fold line.
        corners: near edge top and hem, fold edge top and hem, from the near edge's top, which lies upright.
        tab: from the fold line on to what is marked next on that side, at the top and at the hem; None where nothing is.
        tab_to: what that is: "next pleat", "next tuck", or of a box pleat "other FOLD".
        press: how deep it goes inside the fold, at the top and at the hem; None where all of it does.
        unit: that lengths are told in.
        noun: what each of the pleats is called, as `noun_of` says.
        zone: of a fitted pleat "above" or "below" the level at which its lines bend: there it has a card for either part; else
            "".
        level: what that level is called.
        at_level: its width there, from hip point to hip point as the pleat folds below it, mm; 0 of one that is not fitted.
        layer: of a stack, which of its folds is marked, as it is numbered: 2 of "FOLD 1.2"; 0 of all others.
        point: which of its ends lies at the point of a closed dart, "top" or "hem"; else "".
    """

    numbers: tuple[int, ...]
    alike: str
    near: str
    corners: tuple[complex, complex, complex, complex]
    tab: tuple[float, float] | None
    tab_to: str
    press: tuple[float, float] | None
    unit: str
    noun: str = "pleat"
    zone: str = ""
    level: str = ""
    at_level: float = 0.0
    layer: int = 0
    point: str = ""

    @property
    def fold(self) -> str:
        """What the fold that it marks is called, of a stack by its number."""
        if not self.layer:
            return "the fold"
        return f"FOLD {self.numbers[0]}.{self.layer}{' and its like' if len(self.numbers) > 1 else ''}"

    @property
    def about(self) -> str:
        """What its pleats are, and of a stack for which fold it is, in words."""
        return f"{self.alike}, {self.fold}" if self.layer else self.alike

    @property
    def ends(self) -> tuple[str, str]:
        """What its two ends are called."""
        if not self.zone:
            return {"top": ("point", "hem"), "hem": ("top", "point")}.get(self.point, ("top", "hem"))
        return ("top", self.level) if self.zone == "above" else (self.level, "hem")

    @property
    def length(self) -> float:
        """Of the near edge."""
        return abs(self.corners[1] - self.corners[0])

    @property
    def widths(self) -> tuple[float, float]:
        """From edge to edge at the top and at the hem."""
        near_top, near_hem, fold_top, fold_hem = self.corners
        top, hem = abs(fold_top - near_top), abs(fold_hem - near_hem)
        return _at_its_level((top, hem), self.zone, self.at_level)

    @property
    def tapers(self) -> bool:
        """Whether it is wider at one end than at the other."""
        top, hem = self.widths
        return abs(top - hem) > ALIKE

    @property
    def title(self) -> str:
        """What it is called: "CARD for pleats 1 to 3"."""
        said = numbers_in_words(list(self.numbers), self.noun)
        where = f" {self.zone} the {self.level}" if self.zone else ""
        return f"CARD{where} for {said[0].lower()}{said[1:]}" if self.numbers else "CARD"

    @property
    def width_words(self) -> str:
        """Its width in words."""
        top, hem = self.widths
        if not self.tapers:
            return f"{show(top, self.unit)} wide"
        first, second = self.ends
        return f"{show(top, self.unit)} wide at the {first}, {show(hem, self.unit)} at the {second}"


def cards_of(proofs: Sequence[Proof], labels: Sequence[str]) -> tuple[tuple[Card, ...], dict[int, str]]:
    """Return the cards for proven pieces, one for every different pleat, in the order of their numbers; and the kinds of
    the pleats that are too small for one, by number.

    Args:
        proofs: of the pieces.
        labels: what is written on them, from which the unit is known.

    Raises:
        FitError: there is no pleat that a card can be made for.
    """
    unit = unit_of(labels)
    found: list[Card] = []
    every: dict[tuple[int, int], PleatFigures] = {}
    for proof in proofs:
        every |= {(one.pass_, one.number): one for one in proof.pleats}
        at_level = {key: wide for one in proof.passes if one.above is not None for key, wide in _at_level(one).items()}
        for done in [zone for one in reversed(proof.passes) for zone in (one.above, one) if zone is not None]:
            figures = {(one.pass_, one.number): _in_zone(one, done.zone) for one in proof.pleats}
            pairs = sorted(_pairs(done), key=lambda pair: (pair[1].line.pleat, abs(pair[1].top - pair[0].top)))
            for near, fold in pairs:
                pleat = figures.get((done.number, fold.line.pleat))
                if pleat is not None:
                    # From a fold to the line that it is brought onto is twice the depth; of a stack, for the uppermost.
                    own = [(n, f) for n, f in pairs if f.line.pleat == fold.line.pleat]
                    depth = (min(abs(f.top - n.top) for n, f in own) / 2, min(abs(f.hem - n.hem) for n, f in own) / 2)
                    wide = at_level.get((fold.line.pleat, fold.line.folds), 0.0)
                    found.append(_card(near, fold, pleat, figures, depth, unit, done, wide))
    made = _each_once([card for card in found if max(card.widths) >= LEAST_WIDTH])
    if not made:
        nouns = list(dict.fromkeys([card.noun for card in found])) or ["pleat"]
        raise FitError(
            "The result",
            f"has no {' and no '.join(nouns)} that a card can be cut for",
            f"a card is at least {show(LEAST_WIDTH, unit)} wide",
            f"Mark such {' and '.join([f'{noun}s' for noun in nouns])} with a ruler.",
        )
    kinds = {number: pleat.kind for (_, number), pleat in sorted(every.items())}
    some = {number for card in found for number in card.numbers} - {number for card in made for number in card.numbers}
    return made, {number: kinds[number] for number in sorted(some)}


def _at_its_level(ends: tuple[float, float], zone: str, at_level: float) -> tuple[float, float]:
    # Where the layers of an inverted pleat slide, that end of a card is cut aslant by a hair: one figure for both its cards.
    return (ends[0], at_level) if zone == "above" else (at_level, ends[1]) if zone else ends


def _at_level(done: FoldedPass) -> dict[tuple[int, tuple[int, ...]], float]:
    # How far each fold lies from the line that it is brought onto at the level at which both bend, by pleat and fold, mm.
    found: dict[tuple[int, tuple[int, ...]], float] = {}
    for landing in done.landings:
        near, folds = level_ends(done, landing)
        for k, fold in zip(landing.creases, folds, strict=True):
            found[done.creases[k].line.pleat, done.creases[k].line.folds] = abs(fold - near)
    return found


def _in_zone(pleat: PleatFigures, zone: str) -> PleatFigures:
    # The figures of a fitted pleat at both ends of its part above the level at which it bends, or below it.
    def ends(found: Ends) -> Ends:
        return Ends(found.top, found.hip) if zone == "above" else Ends(found.hip, found.hem)

    if not zone:
        return pleat
    intake, from_edge, face, spacing = map(ends, (pleat.intake, pleat.from_edge, pleat.face, pleat.spacing))
    return replace(pleat, intake=intake, from_edge=from_edge, face=face, spacing=spacing)


def unit_of(labels: Sequence[str]) -> str:
    """Return the unit in which a result tells its intakes; cm where it tells none."""
    for words in labels:
        said = re.search(r"intake (?:less than )?[\d./ ]+ (mm|cm|in)\b", words)
        if said:
            return said[1]
    return "cm"


def _pairs(done: FoldedPass) -> list[tuple[Span, Span]]:
    # Each line that a fold is brought onto, with that fold line; of a tuck its stitching with its fold.
    found: list[tuple[Span, Span]] = []
    for landing in done.landings:
        if landing.span.other_half:
            continue
        for k in landing.creases:
            crease = done.creases[k]
            if crease.other_half:
                continue
            if crease.line.role != "stitch-line":
                found.append((landing.span, crease))
                continue
            beside = [done.creases[j] for j in (k - 1, k + 1) if 0 <= j < len(done.creases)]
            found += [
                (crease, fold)
                for fold in beside
                if fold.line.role == "fold-line" and fold.line.pleat == crease.line.pleat
            ]
    return found


def _card(
    near: Span,
    fold: Span,
    pleat: PleatFigures,
    all_pleats: dict[tuple[int, int], PleatFigures],
    depth: tuple[float, float],
    unit: str,
    done: FoldedPass,
    at_level: float,
) -> Card:
    # Laid with its near edge upright, the fold to the right of it: the card may be turned over.
    way = (near.hem - near.top) / abs(near.hem - near.top)
    corners = [(z - near.top) / way * 1j for z in (near.top, near.hem, fold.top, fold.hem)]
    if corners[2].real + corners[3].real < 0:
        corners = [complex(-z.real, z.imag) for z in corners]
    a, b, c, d = corners
    if abs(c.real - d.real) <= ALIKE:
        # Parallel lines: the ends of the card are square to them, whichever way the seam runs.
        wide, long = (c.real + d.real) / 2, min(abs(b - a), abs(d - c))
        a, b, c, d = 0j, 1j * long, complex(wide, 0), complex(wide, long)
    kind = KINDS.get(pleat.kind)
    stitched = kind is not None and kind.stitched
    seen = _seen_beside(pleat, all_pleats)
    widths = _at_its_level((abs(c - a), abs(d - b)), done.zone, at_level)
    press = None
    if not stitched and seen is not None:
        room = (seen[0] + depth[0], seen[1] + depth[1])
        if room[0] < widths[0] - ALIKE or room[1] < widths[1] - ALIKE:
            press = (min(room[0], widths[0]), min(room[1], widths[1]))
    top, hem = pleat.intake.top, pleat.intake.hem
    words = intake_words(
        round(top if top is not None else hem or 0.0, 2),
        round(hem or 0.0, 2),
        pleat.lap not in ("up", "down"),
        unit,
        *((done.shaped_at, "top") if done.zone == "above" else ("hem", done.shaped_at) if done.zone else ()),
    )
    if pleat.point:
        words = to_point_words(round(max(top or 0.0, hem or 0.0), 2), unit)
    stacked = kind is not None and pleat.stack > 1 and bool(fold.line.folds)
    return Card(
        numbers=(pleat.number,),
        alike=f"{pleat.kind}, {words}",  # whichever way it points: a card is turned over
        near="STITCH" if stitched else "PLACE",
        corners=(a, b, c, d),
        tab=_tab(pleat, all_pleats, widths if stitched else (0.0, 0.0)),
        tab_to=_tab_to(pleat.kind),
        press=press,
        unit=unit,
        noun=noun_of(pleat.kind),
        zone=done.zone,
        level=done.shaped_at,
        at_level=at_level,
        point=pleat.point,
        layer=kind.folds(-1, pleat.stack).layer_of(fold.line.folds[0]) if kind is not None and stacked else 0,
    )


def _seen_beside(pleat: PleatFigures, all_pleats: dict[tuple[int, int], PleatFigures]) -> tuple[float, float] | None:
    # How wide the cloth is seen on the face side of its folds: to the next pleat, or from the one before, or both.
    before = all_pleats.get((pleat.pass_, pleat.number - 1))
    after = _some(_both(pleat.spacing.top, pleat.spacing.hem))
    first = before.spacing if before is not None else pleat.from_edge
    ahead = _some(_both(first.top, first.hem))
    if pleat.lap in ("left", "up"):
        return after
    if pleat.lap in ("right", "down"):
        return ahead
    if pleat.kind == "box":
        return _both(pleat.face.top, pleat.face.hem)
    if after is None or ahead is None:
        return after or ahead
    return min(after[0], ahead[0]), min(after[1], ahead[1])


def _some(seen: tuple[float, float] | None) -> tuple[float, float] | None:
    # Half a pleat on a fold edge begins at it, and has nothing on that side.
    return seen if seen is not None and max(seen) > ALIKE else None


def _both(top: float | None, hem: float | None) -> tuple[float, float] | None:
    if top is None and hem is None:
        return None
    return (top if top is not None else hem or 0.0, hem if hem is not None else top or 0.0)


def _tab_to(kind: str) -> str:
    if kind == "box":
        return "other FOLD"
    return "next tuck" if kind in KINDS and KINDS[kind].stitched else "next pleat"


def _tab(
    pleat: PleatFigures, all_pleats: dict[tuple[int, int], PleatFigures], more: tuple[float, float]
) -> tuple[float, float] | None:
    # What lies beyond the fold line, on the side away from the line that it is brought onto: the neighbour that way, as far
    # as the cloth is seen between them; on a tuck its other stitching first; of a box pleat its own other fold. What is seen
    # lies flat between them, so it is as wide on the flat piece. None where the edge of the piece comes next.
    if pleat.kind == "box":
        return _both(pleat.face.top, pleat.face.hem)
    before, after = (all_pleats.get((pleat.pass_, pleat.number + step)) for step in (-1, 1))
    backwards = pleat.lap in ("right", "down")
    neighbour = before if backwards else after
    if neighbour is None and pleat.lap == "both":
        neighbour, backwards = before, True
    if neighbour is None:
        return None
    of = neighbour if backwards else pleat
    seen = _both(of.spacing.top, of.spacing.hem)
    return None if seen is None else (seen[0] + more[0], seen[1] + more[1])


def _each_once(cards: Sequence[Card]) -> tuple[Card, ...]:
    # Cards that are alike are one, for all their pleats. The last pleat has no neighbour, and is alike all the same.
    made: list[Card] = []
    for card in cards:
        for k, one in enumerate(made):
            if _alike(card, one):
                numbers = tuple(sorted({*one.numbers, *card.numbers}))
                tab = one.tab if one.tab is not None else card.tab
                press = one.press if _narrower(one.press, card.press) else card.press
                made[k] = replace(one, numbers=numbers, tab=tab, press=press)
                break
        else:
            made.append(card)
    return tuple(made)


def _narrower(one: tuple[float, float] | None, other: tuple[float, float] | None) -> bool:
    return other is None or (one is not None and one <= other)


def _alike(a: Card, b: Card) -> bool:
    if (a.near, a.alike, a.zone, a.layer) != (b.near, b.alike, b.zone, b.layer):
        return False
    if not a.tapers and not b.tapers:
        same = abs(a.widths[0] - b.widths[0]) <= ALIKE
    else:
        off = [z - w for z, w in zip(a.corners, b.corners, strict=True)]
        same = all(abs(far.real) <= _ACROSS and abs(far.imag) <= _ALONG for far in off)
    if a.tab is None or b.tab is None:
        return same
    return same and all(abs(x - y) <= 0.5 for x, y in zip(a.tab, b.tab, strict=True))


def card_from_lengths(
    kind: str,
    intake: Length,
    hem_intake: Length | None = None,
    spacing: Length | None = None,
    face: Length | None = None,
    length: Length | None = None,
) -> Card:
    """Return a card from lengths alone.

    Args:
        kind: of the pleat.
        intake: that it takes up at the top.
        hem_intake: at the hem, where it is another one; then `length` is needed.
        spacing: to the next pleat.
        face: of a box pleat; left out, twice its depth.
        length: of the fold line.

    Raises:
        RequestError: a length is wrong, or one is missing.
    """
    found = KINDS.get(kind)
    if found is None:
        raise RequestError(option("kind"), f"is '{kind}'", f"it is one of {', '.join(KINDS)}", "Give one of these.")
    folds = found.folds(-1)
    for name, given in (("intake", intake), ("hem_intake", hem_intake), ("spacing", spacing), ("length", length)):
        if given is not None and (given.mm < 0 or (given.mm == 0 and name != "hem_intake")):
            raise RequestError(option(name), f"is {given}", "it must be more than nothing", "Give it as measured.")
    if hem_intake is not None and abs(hem_intake.mm - intake.mm) > ALIKE and length is None:
        raise RequestError(
            option("hem_intake"),
            "is given without the length of the fold",
            f"a card that tapers is as long as the {noun_of(kind)}",
            message("Add {}.", option("length", "60cm")),
        )
    depths = (intake.mm / folds.depths_taken, (hem_intake or intake).mm / folds.depths_taken)
    steps = 1 if found.stitched else 2
    top, hem = steps * depths[0], steps * depths[1]
    long = length.mm if length is not None else 1000.0
    if max(top, hem) < LEAST_WIDTH:
        raise RequestError(
            option("intake"),
            f"is {intake}",
            f"the card would be {show(max(top, hem), intake.unit)} wide, and one of less than "
            f"{show(LEAST_WIDTH, intake.unit)} cannot be cut",
            f"Mark such {noun_of(kind)}s with a ruler.",
        )
    # As on cloth: both lines are equally long, and lean away from each other by what the pleat tapers.
    lean = (hem - top) / 2
    drop = (long**2 - lean**2) ** 0.5 if abs(lean) < long else 0.0
    if drop <= 0:
        raise RequestError(
            option("length"), f"is {length}", "the card would be wider than long", "Check the lengths and their units."
        )
    corners = (0j, complex(-lean, drop), complex(top, 0), complex(top + lean, drop))
    way = corners[1] / abs(corners[1]) / 1j
    a, b, c, d = (z / way for z in corners)
    seen = face.mm if face is not None and kind == "box" else 2 * depths[0] if kind == "box" else None
    beside = seen if seen is not None else spacing.mm if spacing is not None else None
    press = None
    if not found.stitched and beside is not None:
        room = (beside + depths[0], beside + depths[1])
        if room[0] < top - ALIKE or room[1] < hem - ALIKE:
            press = (min(room[0], top), min(room[1], hem))
    about = f"{kind}, intake {intake}" + (f" at the top, {hem_intake} at the hem" if hem_intake is not None else "")
    tab = None
    if kind == "box":
        tab = (seen or 0.0, seen or 0.0)
    elif spacing is not None:
        more = (top, hem) if found.stitched else (0.0, 0.0)
        tab = (spacing.mm + more[0], spacing.mm + more[1])
    near = "STITCH" if found.stitched else "PLACE"
    return Card((), about, near, (a, b, c, d), tab, _tab_to(kind), press, intake.unit, noun_of(kind))
