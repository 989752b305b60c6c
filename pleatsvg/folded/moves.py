"""The order in which a piece is folded, as moves: which creases are folded together, and what is said of each.

The last pass is folded first, for it runs over the others; in a pass pleats follow their numbers, and the layers of a stack
theirs. Where a fold is brought to is looked for in the cloth as it lies by then, not taken from what the kind should do.
"""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from typing import NamedTuple

from pleatsvg.folded.stack import partial_motions
from pleatsvg.geometry.motion import Motion
from pleatsvg.kinds import KINDS, is_kick
from pleatsvg.proof.folded_pass import FoldedPass, Span

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


def brought_by(done: FoldedPass, move: Move, folded: AbstractSet[int], before: bool = True) -> list[Bring]:
    """Return what a move brings onto what, on the drawn half.

    Args:
        done: the pass.
        move: of it.
        folded: the creases of the pass that are folded by then, without those of the move.
        before: where the lines lie before the move, else after it.
    """
    count = range(len(done.creases))
    after = partial_motions(done, [k in folded or k in move.creases for k in count])
    now = partial_motions(done, [k in folded for k in count]) if before else after
    found: list[Bring] = []
    waiting = [k for k in count if k not in folded and k not in move.creases]
    for k in move.creases:
        crease = done.creases[k]
        if crease.other_half:
            continue
        landings = [landing for landing in done.landings if k in landing.creases and not landing.span.other_half]
        if crease.look == "stitched" and landings:
            # Of a tuck the stitching line that moves is brought onto the one that is folded along.
            ridge = next((j for j in move.creases if done.creases[j].brought and not done.creases[j].other_half), None)
            between = None if ridge is None else _line(done.creases[ridge], now[ridge], "fold", f"FOLD {move.pleat}")
            found += [
                Bring(
                    _line(landing.span, now[landing.layer], "stitch", f"STITCH {move.pleat}"),
                    _line(crease, now[k], "stitch", f"STITCH {move.pleat}"),
                    between,
                )
                for landing in landings
            ]
            continue
        if not crease.brought or _is_tuck(done, move.pleat):
            continue
        here = _line(crease, now[k], "fold", f"FOLD {move.name}")
        top, hem = after[k].of(crease.top), after[k].of(crease.hem)
        for landing in landings:
            motion = after[landing.layer]
            if _one_line((top, hem), (motion.of(landing.span.top), motion.of(landing.span.hem))):
                found.append(Bring(here, _line(landing.span, now[landing.layer], "placement", f"PLACE {move.pleat}")))
                break
        else:
            other = next(
                (
                    j
                    for j in waiting
                    if done.creases[j].line.pleat == move.pleat
                    and done.creases[j].brought
                    and not done.creases[j].other_half
                    and _one_line((top, hem), (after[j].of(done.creases[j].top), after[j].of(done.creases[j].hem)))
                ),
                None,
            )
            if other is not None:
                name = f"FOLD {move.pleat}.{move.layer + 1}"
                found.append(Bring(here, _line(done.creases[other], now[other], "fold", name)))
            elif done.centre is not None and not landings:
                motion = now[len(done.layers) // 2]
                ends = [motion.of(done.layers[len(done.layers) // 2].motion.back(z)) for z in done.centre]
                found.append(Bring(here, Line("FOLD EDGE", ends[0], ends[1], "centre")))
    return found


def _line(span: Span, motion: Motion, look: str, words: str) -> Line:
    return Line(words, motion.of(span.top), motion.of(span.hem), look)


def _one_line(one: tuple[complex, complex], other: tuple[complex, complex]) -> bool:
    return all(abs(a - b) < _MEETS for a, b in zip(one, other, strict=True))


def _is_tuck(done: FoldedPass, pleat: int) -> bool:
    return any(span.look == "stitched" and span.line.pleat == pleat for span in done.creases)


def units_of(passes: Sequence[FoldedPass]) -> list[Unit]:
    """Return the pleats of a piece in the order in which they are folded, with what is said of each."""
    units: list[Unit] = []
    for done in passes:
        folded: set[int] = set()
        by_pleat: dict[int, list[tuple[Move, str]]] = {}
        for move in _moves_of_pass(done):
            by_pleat.setdefault(move.pleat, []).append((move, _how(done, move, folded)))
            folded.update(move.creases)
        for pleat, said in by_pleat.items():
            noun = _noun(done, pleat)
            units.append(Unit(pleat, noun, tuple([move for move, _ in said]), tuple([words for _, words in said])))
    return units


def _noun(done: FoldedPass, pleat: int) -> str:
    kind = next(span.line.tag.kind for span in done.creases if span.line.pleat == pleat)
    if _is_tuck(done, pleat):
        return "pin tuck" if kind in KINDS and KINDS[kind].in_runs else "tuck"
    return "pleat"


def _how(done: FoldedPass, move: Move, folded: AbstractSet[int]) -> str:
    # What is done with a pleat follows from its lines: stitched together, brought onto one line, or onto several. "{}" stands
    # for the pleat's number.
    own = [done.creases[k] for k in move.creases if not done.creases[k].other_half]
    lap = own[0].line.tag.lap
    behind = f".{move.layer}" if move.layer else ""
    if _is_tuck(done, move.pleat):
        return f"fold along FOLD {{}}, wrong sides together, stitch on the two stitching lines, press it {lap}"
    brought = brought_by(done, move, folded)
    onto = {bring.end.words for bring in brought}
    target = next(iter(onto)).replace(f" {move.pleat}", " {}") if len(onto) == 1 else "PLACE {}"
    several = len({(round(bring.end.top.real, 2), round(bring.end.top.imag, 2)) for bring in brought}) > 1
    if lap not in _LAPS and len(brought) > 1 and not several:
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
