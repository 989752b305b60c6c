"""Pieces laid edge to edge, once round and somewhat farther on either side: the cloth on which pleats all round are laid out.

Each piece is laid against the side of the one before it; laid against the last, the first one would lie one round farther on.
The motion that takes it there is the ring's period: a shift for straight panels, a turn for flared ones. What is laid out
beyond either end is a part of the piece that lies there, for underlays that run on beneath it. Lengths are in mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.drawing.drawn import DrawnShape, DrawnText
from pleatsvg.errors import FitError, listed
from pleatsvg.geometry.motion import STAY, Motion, moved
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.length import show
from pleatsvg.piece.edges import Edge, edge_named, seam_edges
from pleatsvg.piece.finished import FinishedPiece, Ring, StraightLine
from pleatsvg.piece.neighbour import SEAM
from pleatsvg.tolerance import CLOSING_GAP, SEAM_MARK
from pleatsvg.wording import message, option


class Sides(NamedTuple):
    """The two sides of a piece at which it meets its neighbours: `start` on its left, walked up; `end` on its right."""

    piece: FinishedPiece
    start: Edge
    end: Edge

    @property
    def top(self) -> tuple[Segment, ...]:
        """The seam from the upper end of its left side to that of its right side."""
        return _between(self.piece.outline, self.start.end, self.end.start)

    @property
    def hem(self) -> tuple[Segment, ...]:
        """The seam from the lower end of its right side to that of its left side."""
        return _between(self.piece.outline, self.end.end, self.start.start)

    @property
    def top_length(self) -> float:
        """The length of the seam at its top, darts sewn up."""
        outline = self.piece.outline
        n = len(outline)
        return outline.sewn_distance(self.start.end, self.start.end + (self.end.start - self.start.end) % n)


def _between(outline: Outline, start: float, end: float) -> tuple[Segment, ...]:
    n = len(outline)
    first, count = round(start), round(end - start) % n
    return tuple([outline.segments[(first + k) % n] for k in range(count)])


def sides_of(piece: FinishedPiece, names: tuple[str, str]) -> Sides:
    """Return the sides by which a piece goes round.

    Raises:
        FitError: they are not there, not straight, or there is no seam between them.
    """
    edges = seam_edges(piece.outline)
    one, other = (edge_named(edges, name) for name in names)
    for edge in (one, other):
        if not edge.straight:
            raise FitError(
                f"The {edge.name} of '{piece.name}'",
                "is curved",
                "pieces are laid edge to edge so that pleats run on over their seams, and only straight edges meet so",
                message(
                    "Draw it straight and let the pleats take the shaping, with {}; or pleat the pieces one by one, with {}.",
                    option("hem_intake"),
                    option("ends"),
                ),
            )
    top = edge_named(edges, "top") if any(edge.name == "top" for edge in edges) else None
    n = len(piece.outline)
    if top is None or (top.start - one.end) % n > (other.start - one.end) % n:
        one, other = other, one  # the top lies between the end of the left side and the start of the right one
    if one.number == other.number or round(one.end - other.start) % n == 0 or round(other.end - one.start) % n == 0:
        raise FitError(
            f"The {one.name} and the {other.name} of '{piece.name}'",
            "meet at a corner",
            "between the sides that are sewn to each other lie a top and a hem",
            message("Name the two sides, as in {}.", option("ring", "left side=right side")),
        )
    return Sides(piece, one, other)


def laid_round(pieces: Sequence[Sides], reach: float, unit: str) -> tuple[FinishedPiece, tuple[Motion, ...]]:
    """Return the pieces laid out all round as one, and where each of them lies.

    Args:
        pieces: in order from left to right; the last is sewn to the first.
        reach: how far the cloth is to be laid out beyond both ends of the round.
        unit: of lengths in words.

    Raises:
        FitError: sides that are sewn together are not of one length, or the cloth would lie over itself.
    """
    _refuse_lengths(pieces, unit)
    lays = [STAY]
    for before, after in zip(pieces, (*pieces[1:], pieces[0]), strict=True):
        lays.append(lays[-1].after(_beside(before, after)))
    period = lays.pop()
    back = _inverse(period)
    left = _clipped(pieces[-1], False, reach)
    right = _clipped(pieces[0], True, reach)
    tops = [_laid(left.top, back.after(lays[-1]))]
    tops += [_laid(one.top, lay) for one, lay in zip(pieces, lays, strict=True)]
    tops.append(_laid(right.top, period.after(lays[0])))
    hems = [_laid(right.hem, period.after(lays[0]))]
    hems += [_laid(one.hem, lay) for one, lay in zip(reversed(pieces), reversed(lays), strict=True)]
    hems.append(_laid(left.hem, back.after(lays[-1])))
    chain = [seg for run in tops for seg in run]
    at_top = len(tops[0]), len(chain) - len(tops[-1])
    chain.append((chain[-1][-1], hems[0][0][0]))
    at_hem = len(chain) + len(hems[0]), 0
    chain += [seg for run in hems for seg in run]
    at_hem = at_hem[0], len(chain) - len(hems[-1])
    chain.append((chain[-1][-1], chain[0][0]))
    # Each begins exactly where the one before it ends: sides that are sewn together may differ by a hair.
    outline = Outline(tuple([(chain[k - 1][-1], *seg[1:]) for k, seg in enumerate(chain)]))
    _refuse_lapping(pieces, outline)
    seams = _seams(pieces, lays, period)
    ends = (left.top[0][0], left.hem[-1][-1]), (right.top[-1][-1], right.hem[0][0])
    beyond = (
        (back.after(lays[-1]).of(ends[0][0]), back.after(lays[-1]).of(ends[0][1])),
        (period.after(lays[0]).of(ends[1][0]), period.after(lays[0]).of(ends[1][1])),
    )
    ring = Ring(seams, period, _centres(pieces, lays, seams), beyond, at_top, at_hem)
    return _as_one(pieces, lays, outline, ring), tuple(lays)


def _refuse_lengths(pieces: Sequence[Sides], unit: str) -> None:
    for one, other in zip(pieces, (*pieces[1:], pieces[0]), strict=True):
        off = abs(one.end.length - other.start.length)
        if off > CLOSING_GAP:
            whose = f" of '{one.piece.name}'" if len(pieces) > 1 else ""
            raise FitError(
                f"The {one.end.name}{whose} and the {other.start.name} of '{other.piece.name}'",
                f"are {show(one.end.length, unit)} and {show(other.start.length, unit)} long",
                f"sides that are sewn to each other are of one length, within {CLOSING_GAP} mm; these differ by "
                f"{show(off, unit)}",
                "Draw them so: run the top or the hem up or down to the same length at both.",
            )


def _beside(before: Sides, after: Sides) -> Motion:
    # Lays the left side of a piece on the right side of the one before it, tops together.
    a, b = before.piece.outline.point(before.end.start), before.piece.outline.point(before.end.end)
    c, d = after.piece.outline.point(after.start.end), after.piece.outline.point(after.start.start)
    turn = (b - a) / (d - c)
    turn /= abs(turn)
    return Motion(turn, a - turn * c, False)


def _inverse(motion: Motion) -> Motion:
    turn = motion.turn.conjugate()
    return Motion(turn, -turn * motion.shift, False)


def _laid(run: Sequence[Segment], lay: Motion) -> tuple[Segment, ...]:
    return tuple([moved(seg, lay) for seg in run])


class _Clipped(NamedTuple):
    top: tuple[Segment, ...]
    hem: tuple[Segment, ...]


def _clipped(sides: Sides, at_start: bool, reach: float) -> _Clipped:
    # So much of a piece as lies within `reach` of its left side, or of its right one; all of it where it is no wider.
    outline = sides.piece.outline
    n = len(outline)
    edge = sides.start if at_start else sides.end
    a, b = outline.point(edge.start), outline.point(edge.end)
    along = (b - a) / abs(b - a)
    hits = outline.crossings((a + b) / 2 + 1j * along * reach, along)  # the cloth lies to the right of a clockwise way
    top_from, top_to = sides.start.end, sides.start.end + (sides.end.start - sides.start.end) % n
    hem_from, hem_to = sides.end.end, sides.end.end + (sides.start.start - sides.end.end) % n
    on_top = [at for hit in hits for at in (hit.at, hit.at + n, hit.at + 2 * n) if top_from < at < top_to]
    on_hem = [at for hit in hits for at in (hit.at, hit.at + n, hit.at + 2 * n) if hem_from < at < hem_to]
    if len(on_top) != 1 or len(on_hem) != 1:
        return _Clipped(sides.top, sides.hem)
    top = (top_from, on_top[0]) if at_start else (on_top[0], top_to)
    hem = (on_hem[0], hem_to) if at_start else (hem_from, on_hem[0])
    runs = [tuple([outline.part(stretch) for stretch in outline.stretches(*span)]) for span in (top, hem)]
    return _Clipped(runs[0], runs[1])


def _refuse_lapping(pieces: Sequence[Sides], outline: Outline) -> None:
    spot = self_crossing(outline)
    if spot is not None:
        raise FitError(
            listed([f"'{one.piece.name}'" for one in pieces]),
            f"would lie over one another near ({spot.real:.0f}, {spot.imag:.0f}) mm when they are laid out all round",
            "cloth for pleats all round is laid out flat, edge to edge, and some of the next round with it",
            message("Pleat the pieces one by one, and lay a neighbour against each seam with {}.", option("continue")),
        )


def _seams(pieces: Sequence[Sides], lays: Sequence[Motion], period: Motion) -> tuple[StraightLine, ...]:
    found: list[StraightLine] = []
    for one, lay in zip(pieces, lays, strict=True):
        points = one.piece.outline.point(one.start.end), one.piece.outline.point(one.start.start)
        name = f"{one.start.name} of {one.piece.name}" if len(pieces) > 1 else one.start.name
        found.append(StraightLine(name, lay.of(points[0]), lay.of(points[1]), SEAM))
    first = found[0]
    found.append(replace(first, name=pieces[-1].end.name, start=period.of(first.start), end=period.of(first.end)))
    return tuple(found)


def _centres(
    pieces: Sequence[Sides], lays: Sequence[Motion], seams: tuple[StraightLine, ...]
) -> tuple[StraightLine, ...]:
    found: list[StraightLine] = []
    for one, lay in zip(pieces, lays, strict=True):
        outline = one.piece.outline
        n = len(outline)
        drawn = one.piece.centre
        if drawn is not None:
            ends = drawn.start, drawn.end
        else:
            top = outline.sewn_walk(one.start.end, one.top_length / 2)
            width = outline.sewn_distance(one.end.end, one.end.end + (one.start.start - one.end.end) % n)
            ends = outline.point(top), outline.point(outline.sewn_walk(one.end.end, width / 2))
        found.append(StraightLine(f"centre of {one.piece.name}", lay.of(ends[0]), lay.of(ends[1])))
    return tuple(found) if len(found) > 1 else (seams[0], found[0], seams[-1])


def _as_one(pieces: Sequence[Sides], lays: Sequence[Motion], outline: Outline, ring: Ring) -> FinishedPiece:
    names = [one.piece.name for one in pieces]
    shapes: list[DrawnShape] = []
    texts: list[DrawnText] = []
    notes: list[str] = []
    left_out: list[str] = []
    balance: list[list[DrawnShape]] = []
    # Where pieces are turned against each other, each has a grain of its own, carried with it; else one holds for all.
    turned = any(abs(lay.turn - 1) > _TURNED for lay in lays)
    for one, lay in zip(pieces, lays, strict=True):
        own = [_moved_shape(shape, lay) for shape in one.piece.shapes]
        balance.append([shape for shape in own if shape.part == "balance" and not shape.closed])
        shapes += [shape for shape in own if shape not in balance[-1]]
        texts += [text.moved(lay) for text in one.piece.texts]
        notes += [note for note in one.piece.notes if note not in notes]
        left_out += one.piece.left_out
        if turned and one.piece.grain is not None:
            shapes.append(_grain_mark(one.piece.name, lay.of(one.piece.grain.start), lay.of(one.piece.grain.end)))
    first = pieces[0].piece
    if turned and any(one.piece.grain is not None for one in pieces):
        notes.append("Each piece has its own grain, which is carried with it; how folds lie to it is not told.")
    return replace(
        first,
        name=names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}",
        outline=outline,
        slashes=(),
        crossing_lines=(),
        centre=None,
        grain=None if turned else first.grain,
        shapes=(*_all_round(balance, ring.period), *shapes),
        texts=tuple(texts),
        notes=tuple(notes),
        left_out=tuple(left_out),
        others=(),
        ring=ring,
        taken_darts=tuple(
            [taken.moved(lay) for one, lay in zip(pieces, lays, strict=True) for taken in one.piece.taken_darts]
        ),
    )


_TURNED = 1e-6
"""Of a whole turn's radius: pieces that are turned less against each other are not turned, but rounded."""


def _grain_mark(name: str, start: complex, end: complex) -> DrawnShape:
    # A line with a head at either end, in one stroke.
    way = (end - start) / abs(end - start) * 5.0
    side = 0.4j * way
    spots = (start + way + side, start, start + way - side, start, end, end - way + side, end, end - way - side)
    stroke = tuple(pairwise(spots))
    return DrawnShape(f"grain of {name}", "", "carried", stroke, False, "")


def _moved_shape(shape: DrawnShape, lay: Motion) -> DrawnShape:
    return replace(shape, stroke=_laid(shape.stroke, lay))


def _all_round(balance: Sequence[Sequence[DrawnShape]], period: Motion) -> list[DrawnShape]:
    # Balance lines that meet at every seam become one line all round, and one round more on either side for the cloth of
    # pleats at the seam; what does not meet stays as it is.
    left = [list(own) for own in balance]
    found: list[DrawnShape] = []
    for start in balance[0]:
        row = [_rightwards(start, period)]
        for own in left[1:]:
            there = [_rightwards(shape, period) for shape in own]
            near = [shape for shape in there if abs(shape.stroke[0][0] - row[-1].stroke[-1][-1]) <= SEAM_MARK]
            row += near[:1]
        if len(row) < len(balance) or abs(period.of(row[0].stroke[0][0]) - row[-1].stroke[-1][-1]) > SEAM_MARK:
            continue
        for k, own in enumerate(left):
            own[:] = [shape for shape in own if _rightwards(shape, period).stroke != row[k].stroke]
        once = [seg for shape in row for seg in shape.stroke]
        back = _inverse(period)
        chain = [moved(seg, back) for seg in once] + once + [moved(seg, period) for seg in once]
        joined = tuple([(chain[k - 1][-1] if k else seg[0], *seg[1:]) for k, seg in enumerate(chain)])
        found.append(replace(row[0], stroke=joined))
    return found + [shape for own in left for shape in own]


def _rightwards(shape: DrawnShape, period: Motion) -> DrawnShape:
    # A line walked from left to right, as the round is.
    start, end = shape.stroke[0][0], shape.stroke[-1][-1]
    ahead = period.of(start) - start
    if ((end - start) * ahead.conjugate()).real >= 0:
        return shape
    return replace(shape, stroke=tuple([seg[::-1] for seg in reversed(shape.stroke)]))
