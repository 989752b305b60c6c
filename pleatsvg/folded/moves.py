"""The order in which a piece is folded, as moves: which creases are folded together, and what is said of each.

The last pass is folded first, for it runs over the others; in a pass pleats follow their numbers, and the layers of a stack
theirs. Where a fold is brought to is looked for in the cloth as it lies by then, not taken from what the kind should do.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from typing import NamedTuple

from pleatsvg.folded.stack import partial_motions
from pleatsvg.geometry.motion import STAY, Motion, reflection
from pleatsvg.kinds import KINDS, is_kick
from pleatsvg.proof.folded_pass import FoldedPass, Landing, Span

_MEETS = 0.1
"""mm within which two lines of folded cloth are one line to the eye."""


_LAPS = {
    "left": "it points left (right over left)",
    "right": "it points right (left over right)",
    "up": "it points up (lower over upper)",
    "down": "it points down (upper over lower)",
}


class Line(NamedTuple):
    """A line of a pleat as it lies in the cloth by then: what it is called, its ends in mm, and its look."""

    words: str
    top: complex
    hem: complex
    look: str


class Bring(NamedTuple):
    """A line that is brought onto another; of a tuck, with the fold line between them."""

    start: Line
    end: Line
    between: Line | None = None

    @property
    def lines(self) -> tuple[Line, ...]:
        """All its lines."""
        return (self.start, self.end) if self.between is None else (self.start, self.end, self.between)


class Move(NamedTuple):
    """Creases of a pass that are folded together.

    Attributes:
        number: of the pass.
        pleat: the pleat's number.
        layer: of a stacked pleat, from 1; 0 for one that is folded at once.
        creases: their places in the pass, those of a mirrored half too.
    """

    number: int
    pleat: int
    layer: int
    creases: tuple[int, ...]

    @property
    def name(self) -> str:
        """How its fold lines are numbered on the pattern: "3", or "3.1" for a layer of a stack."""
        return f"{self.pleat}.{self.layer}" if self.layer else str(self.pleat)


class Unit(NamedTuple):
    """A pleat with its moves and what is said of each, its number left open; alike where these are equal."""

    pleat: int
    noun: str
    moves: tuple[Move, ...]
    words: tuple[str, ...]


def moves_of(passes: Sequence[FoldedPass]) -> tuple[Move, ...]:
    """Return the moves of a piece in the order in which they are made; `passes` as proven, the last one first."""
    return tuple([move for done in passes for move in _moves_of_pass(done)])


def _moves_of_pass(done: FoldedPass) -> list[Move]:
    of_pleat: dict[int, list[int]] = {}
    for k, crease in enumerate(done.creases):
        of_pleat.setdefault(crease.line.pleat, []).append(k)
    moves: list[Move] = []
    for pleat, own in sorted(of_pleat.items()):
        layers = _layers(done, own)
        for layer in sorted(set(layers)):
            creases = tuple([k for k, other in zip(own, layers, strict=True) if other == layer])
            moves.append(Move(done.number, pleat, layer, creases))
    return moves


def _layers(done: FoldedPass, own: Sequence[int]) -> list[int]:
    # For each crease of a pleat its layer in the stack as the pattern numbers it, all 0 where there is no stack.
    drawn = [done.creases[k] for k in own if not done.creases[k].other_half]
    kind = KINDS.get(drawn[0].line.tag.kind) if drawn else None
    plain = [0] * len(own)
    if kind is None or not kind.stacks or any(len(span.line.folds) != 1 for span in drawn):
        return plain
    in_list = sorted(drawn, key=lambda span: span.line.folds)
    pairs = len(in_list) // 2
    # A pleat alike on both sides begins and ends with the same fold; half of one, on a fold edge, does not.
    both_sides = not kind.needs_lap and in_list[0].mountain == in_list[-1].mountain
    if pairs <= (2 if both_sides else 1):
        return plain
    first = done.creases[0].other_half  # the fold edge lies before the drawn half

    def layer(span: Span) -> int:
        pair = (span.line.folds[0] + 1) // 2
        if both_sides:
            return min(pair, pairs + 1 - pair)
        return pairs + 1 - pair if first and not kind.needs_lap else pair

    return [layer(done.creases[k]) for k in own]


class Bringing:
    """What the moves of a pass bring onto what; its lines are sorted once, so that a move costs as much as its pleat."""

    def __init__(self, done: FoldedPass) -> None:
        self.done = done
        self.landings: dict[int, list[Landing]] = {}
        for landing in done.landings:
            for k in landing.creases:
                if not landing.span.other_half:
                    self.landings.setdefault(k, []).append(landing)
        self.tucks = {span.line.pleat for span in done.creases if span.look == "stitched"}
        self.own: dict[int, list[int]] = {}
        for k, crease in enumerate(done.creases):
            if not crease.other_half:
                self.own.setdefault(crease.line.pleat, []).append(k)
        self.sides = self._sides()

    def _sides(self) -> dict[int, str]:
        # Of a pleat whose two sides are brought onto lines of their own, "a" or "b" for each crease, as the pattern says.
        landings: dict[int, set[tuple[int, ...]]] = {}
        for landing in self.done.landings:
            if not landing.span.other_half:
                landings.setdefault(landing.span.line.pleat, set()).add(landing.span.line.folds)
        sides: dict[int, str] = {}
        for pleat, own in self.own.items():
            kind = KINDS.get(self.done.creases[own[0]].line.tag.kind)
            if kind is None or not kind.to_before.sides or len(landings.get(pleat, ())) < 2:
                continue
            in_list = sorted(own, key=lambda k: self.done.creases[k].line.folds)
            sides |= {k: "a" if at < len(in_list) // 2 else "b" for at, k in enumerate(in_list)}
        return sides

    def by(self, move: Move, folded: AbstractSet[int], now: Sequence[Motion] | None = None) -> list[Bring]:
        """Return what a move brings onto what, on the drawn half.

        Args:
            move: of the pass.
            folded: the creases that are folded by then, without those of the move.
            now: the motions of all layers, as the lines are to lie; where there are none, they lie as their pleat lies alone.
        """
        done, found = self.done, []
        own = self.own.get(move.pleat, [])
        after = self._alone(own, [*(folded & set(own)), *move.creases])
        here = now if now is not None else self._alone(own, folded & set(own))
        for k in own:
            crease = done.creases[k]
            if k not in move.creases:
                continue
            if crease.look == "stitched":
                # Of a tuck the stitching line that moves is brought onto the one that is folded along.
                ridge = next((j for j in own if done.creases[j].brought), None)
                between = (
                    None if ridge is None else _line(done.creases[ridge], here[ridge], "fold", f"FOLD {move.pleat}")
                )
                words = f"STITCH {move.pleat}"
                found += [
                    Bring(
                        _line(one.span, here[one.layer], "stitch", words),
                        _line(crease, here[k], "stitch", words),
                        between,
                    )
                    for one in self.landings.get(k, ())
                ]
            elif crease.brought and move.pleat not in self.tucks:
                end = self._onto(move, k, folded, after, here, now is not None)
                if end is not None:
                    behind = f".{move.layer}" if move.layer else ""
                    words = f"FOLD {move.pleat}{self.sides.get(k, '')}{behind}"
                    found.append(Bring(_line(crease, here[k], "fold", words), end))
        return found

    def _onto(
        self,
        move: Move,
        k: int,
        folded: AbstractSet[int],
        after: Mapping[int, Motion],
        here: Mapping[int, Motion] | Sequence[Motion],
        placed: bool,
    ) -> Line | None:
        # The line on which a fold line lies after the move.
        done = self.done
        top, hem = after[k].of(done.creases[k].top), after[k].of(done.creases[k].hem)

        def met(span: Span, motion: Motion) -> bool:
            off = [(motion.of(a) - b) / (top - hem) * abs(top - hem) for a, b in ((span.top, top), (span.hem, hem))]
            # Where a fitted pleat bends, the middle layer of an inverted one slides along the line: there both lines end.
            slides = {"above": off[1:], "below": off[:1]}.get(done.zone, [])
            return all(abs(miss.imag if miss in slides else miss) < _MEETS for miss in off)

        for landing in self.landings.get(k, ()):
            if met(landing.span, after[landing.layer]):
                return _line(
                    landing.span, here[landing.layer], "placement", f"PLACE {move.pleat}{self.sides.get(k, '')}"
                )
        for j in self.own[move.pleat]:
            waits = j not in folded and j not in move.creases
            if waits and done.creases[j].brought and met(done.creases[j], after[j]):
                words = f"FOLD {move.pleat}{self.sides.get(j, '')}.{move.layer + 1}"
                return _line(done.creases[j], here[j], "fold", words)
        if done.centre is None or k in self.landings:
            return None
        middle = len(done.layers) // 2
        flat = [done.layers[middle].motion.back(z) for z in done.centre]
        ends = [here[middle].of(z) for z in flat] if placed else flat
        return Line("FOLD EDGE", ends[0], ends[1], "centre")

    def _alone(self, own: Sequence[int], folded: Iterable[int]) -> dict[int, Motion]:
        # The layers of one pleat, the first of them in its place.
        on = set(folded)
        motions = {own[0]: STAY} if own else {}
        for k in range(own[0], own[-1] + 1) if own else ():
            crease = self.done.creases[k]
            motions[k + 1] = motions[k].after(reflection(crease.top, crease.hem)) if k in on else motions[k]
        return motions


def brought_by(done: FoldedPass, move: Move, folded: AbstractSet[int], before: bool = True) -> list[Bring]:
    """Return what a move brings onto what, on the drawn half.

    Args:
        done: the pass.
        move: of it.
        folded: the creases of the pass that are folded by then, without those of the move.
        before: where the lines lie before the move, else after it.
    """
    on = folded if before else {*folded, *move.creases}
    return Bringing(done).by(move, folded, partial_motions(done, [k in on for k in range(len(done.creases))]))


def _line(span: Span, motion: Motion, look: str, words: str) -> Line:
    # Of a released tuck as far as it is stitched.
    top, hem = span.stitched
    return Line(words, motion.of(top), motion.of(hem), look)


def units_of(passes: Sequence[FoldedPass]) -> list[Unit]:
    """Return the pleats of a piece in the order in which they are folded, with what is said of each."""
    units: list[Unit] = []
    for done in passes:
        folded: set[int] = set()
        bringing = Bringing(done)
        by_pleat: dict[int, list[tuple[Move, str]]] = {}
        for move in _moves_of_pass(done):
            by_pleat.setdefault(move.pleat, []).append((move, _how(bringing, move, folded)))
            folded.update(move.creases)
        for pleat, said in by_pleat.items():
            noun = _noun(bringing, pleat)
            units.append(Unit(pleat, noun, tuple([move for move, _ in said]), tuple([words for _, words in said])))
    return units


def _noun(bringing: Bringing, pleat: int) -> str:
    kind = bringing.done.creases[bringing.own[pleat][0]].line.tag.kind
    if pleat in bringing.tucks:
        return "pin tuck" if kind in KINDS and KINDS[kind].in_runs else "tuck"
    return "pleat"


def _how(bringing: Bringing, move: Move, folded: AbstractSet[int]) -> str:
    # What is done with a pleat follows from its lines: stitched together, brought onto one line, or onto several. "{}" stands
    # for the pleat's number.
    creases = bringing.done.creases
    own = [creases[k] for k in move.creases if not creases[k].other_half]
    lap = own[0].line.tag.lap
    behind = f".{move.layer}" if move.layer else ""
    if move.pleat in bringing.tucks:
        # A released tuck is creased whole and stitched along a part of its lines; how far is in the words of the pattern.
        far = ", as far as the pattern says" if any(span.released for span in own) else ""
        return f"fold along FOLD {{}}, wrong sides together, stitch on the two stitching lines{far}, press it {lap}"
    brought = bringing.by(move, folded)
    onto = {bring.end.words for bring in brought}
    target = next(iter(onto)).replace(f" {move.pleat}", " {}") if len(onto) == 1 else "PLACE {}"
    several = len({(round(bring.end.top.real, 2), round(bring.end.top.imag, 2)) for bring in brought}) > 1
    if several and any(k in bringing.sides for k in move.creases):
        each = [f"{bring.start.words} onto {bring.end.words}" for bring in brought]
        named = re.sub(rf"\b(FOLD|PLACE) {move.pleat}(?=[ab])", r"\1 {}", " and ".join(each))
        away = "" if "FOLD" in each[0].partition(" onto ")[2] else ", so that they point away from each other"
        text = f"bring {named}{away}; pin"
    elif lap not in _LAPS and len(brought) > 1 and not several:
        text = f"bring both lines FOLD {{}}{behind} onto {target}, so that they meet; pin"
    elif lap not in _LAPS and several and target.startswith("FOLD"):
        text = f"bring each FOLD {{}}{behind} onto the {target} beside it; pin"
    elif lap not in _LAPS and several:
        text = (
            f"bring each FOLD {{}}{behind} onto the {target} outside it, so that they point away from each other; pin"
        )
    else:
        outward = [span for span in own if span.mountain and not span.brought]
        inside = "; INNER FOLD {} OUTWARD is folded as FOLD is, underneath" if outward else ""
        way = f"; {_LAPS[lap]}" if lap in _LAPS else ""
        text = f"bring FOLD {{}}{behind} onto {target}{inside}{way}; pin"
    if is_kick(own[0].line.tag.kind):
        text += (
            ". Its top: clip the allowances to the seam's lower end (thick strokes), stitch the slanting top edges of "
            "the underlay together, and stitch down along the slants through all layers"
        )
    return text
