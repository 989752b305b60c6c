"""Finding room for the words: labels run along the lines, in the lanes between them, and never on a line.

A lane is the cloth between two neighbouring lines of the flat piece. A label lies in a lane beside its own line; two
labels of one lane never share the same height, unless it is wide enough for two. Where no lane is wide enough the words go
to the end of their line, beyond the hem, or below what is seen of it. Along a long line its words stand again and again, so
that every page of a print tells which line it is. The work grows with the number of lines: a label looks only at its own
two lanes.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from operator import itemgetter

from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.marks.arrows import SIGNS_APART, Arrows, sign_places
from pleatsvg.marks.stitching import StitchingLine
from pleatsvg.marks.words.finder import Finder
from pleatsvg.marks.words.lane import Lane, lane_between
from pleatsvg.marks.words.line_ends import LineEnd, at_line_ends
from pleatsvg.marks.words.rails import Rail, rails_of
from pleatsvg.result.lettering import SIZE, Words
from pleatsvg.result.mark import Mark
from pleatsvg.result.roles import Role

_SIGN_HALF = 2.2
"""mm along a line that a bar and the space beside it take, to either side."""


_BESIDE_NOTCH = 6.0
"""mm from a line to one whose notch reaches beneath the words at its end: half the height of words and of a notch."""


@dataclass(frozen=True, slots=True)
class Lettered:
    """The words on the cloth, those beyond the hem, and the thin lines that lead to these."""

    words: tuple[Words, ...]
    beyond: tuple[Words, ...]
    leaders: tuple[Mark, ...]


def lettered(
    piece_rows: tuple[str, ...],
    pleat_labels: Mapping[int, tuple[str, ...]],
    unfolded: Unfolded,
    hand: float,
    grain: tuple[complex, complex] | None,
    obstacles: list[tuple[int, tuple[complex, ...]]],
    at_tops: list[tuple[int, tuple[complex, ...]]],
    layers: dict[tuple[int, int], str],
    arrows: Arrows,
    quiet: frozenset[int] = frozenset(),
    stitching: Sequence[StitchingLine] = (),
    mark: float | None = None,
) -> Lettered:
    """Find a place for every label.

    Args:
        piece_rows: the rows of the block that names the piece; none where each of its parts has a name of its own.
        pleat_labels: for each pleat that has a label, a long one and shorter ones.
        unfolded: the flat piece.
        hand: +1 where its outline is walked clockwise on the page, -1 where not.
        grain: the carried grainline, which no words may cross.
        obstacles: what else no words may cross: the layer of cloth that it lies on, and points that enclose it.
        at_tops: further ones that lie about the tops of lines, no farther from them than `SHAPING_BAR`.
        layers: by pleat and place in its fold list, what is added to the number of a fold.
        arrows: where the lap arrows stand.
        quiet: the pleats of which only some fold lines are labelled.
        stitching: lines of stitching beside the folds.
        mark: how far down lines are seen (mm); None for their whole length.
    """
    sewn: dict[tuple[int, int], list[StitchingLine]] = {}
    for line in stitching:
        if line.words:
            sewn.setdefault((line.pleat, line.fold), []).append(line)
    rails = rails_of(unfolded, layers, arrows, sewn, mark, hand)
    lanes = [lane_between(a, b) for a, b in pairwise((None, *rails, None))]
    for k, rail in enumerate(rails):
        if rail.role is None:
            lanes[k].take(-1e6, 1e6)  # between two parts there is no cloth
    _keep_arrows_free(rails, lanes, arrows)
    _keep_signs_free(rails, lanes, mark)
    finder = Finder(rails, lanes, unfolded, hand, grain)
    finder.keep_clear_of(obstacles, at_tops)
    named = [
        index
        for index, rail in enumerate(rails)
        # In a run of pin tucks the first, the last and every fifth are enough to count by.
        if not (rail.role is None or rail.role.hidden or rail.role.stitched)
        and not (rail.pleat in quiet and rail.pleat % 5 and {rail.pleat - 1, rail.pleat + 1} <= quiet)
    ]
    words: list[Words] = []
    homeless: list[tuple[int, Words]] = []
    for index in named:
        _place(finder, index, words, homeless)
    words += _label_pleats(finder, pleat_labels)
    for index, rail in enumerate(rails):
        role = rail.role
        if role is not None and ((role.hidden and rail.text) or (role.stitched and rail.pleat not in quiet)):
            spot = finder.beside(index, rail.text)
            if spot is not None:
                words.append(Words(rail.text, spot, rail.turn, SIZE, role.label, rail.pleat))
    words += _stitching_words(finder, sewn)
    for index in named:
        words += _again(finder, index, mark)
    if piece_rows:
        words += finder.block(piece_rows)
    ends = [_end_of(rails, k, label) for k, label in sorted(homeless, key=itemgetter(0))]
    if unfolded.legs:
        # At the point of a closed dart there is no notch.
        lines = (*unfolded.creases, *unfolded.placements)
        bare = {(line.pleat, line.folds) for line in lines if line.rooms[1] < 0}
        ends = [end._replace(led_from=1.5) if (end.words.pleat, end.folds) in bare else end for end in ends]
    beyond, leaders = at_line_ends(ends, finder.after)
    return Lettered(tuple(words), tuple(beyond), tuple(leaders))


def _end_of(rails: Sequence[Rail], index: int, label: Words) -> LineEnd:
    rail = rails[index]
    sign = rail.role.sign if rail.role is not None else "join"
    end = rail.top + rail.along * rail.length
    more = 0.0
    for other in rails[max(0, index - 1) : index + 2]:
        # A line close beside it may end further out, where the seam runs aslant; the words stand beyond the notches of both.
        off = (other.top + other.along * (other.length + other.out) - end) * rail.along.conjugate()
        if other.pleat == rail.pleat and abs(off.imag) < _BESIDE_NOTCH:
            more = max(more, off.real - rail.out)
    return LineEnd(end, rail.along, rail.out, label, sign, rail.place, more)


def _place(finder: Finder, index: int, words: list[Words], homeless: list[tuple[int, Words]]) -> None:
    # The words of a line beside it; where there is no room, at the end of what is seen of it, or else beyond the hem.
    rail = finder.rails[index]
    assert rail.role is not None
    label = Words(rail.text, 0j, rail.turn, SIZE, rail.role.label, rail.pleat)
    spot = finder.beside(index, rail.text)
    if spot is None and rail.seen < rail.length:
        spot = finder.below(index, label.width)
        if spot is None:
            return  # its pleat's label and the key tell what it is
    if spot is None:
        homeless.append((index, label))
    else:
        words.append(label._replace(middle=spot))


def _label_pleats(finder: Finder, labels: Mapping[int, tuple[str, ...]]) -> list[Words]:
    # Where there is no room for a label at all, the heading says the same.
    rails = finder.rails
    first_of: dict[int, list[int]] = {}
    for index, rail in enumerate(rails):
        first_of.setdefault(rail.pleat, []).append(index)
    found = [finder.beside_one_of(first_of[pleat], texts) for pleat, texts in labels.items()]
    return [label for label in found if label is not None]


def _again(finder: Finder, index: int, mark: float | None) -> list[Words]:
    # The words of a long line once more beside each of its signs.
    rail = finder.rails[index]
    role = rail.role
    if role is None or min(rail.seen, rail.length) < 1.5 * SIGNS_APART:
        return []
    made = []
    for at in sign_places(rail.length, mark)[1:-1]:
        spot = finder.beside(index, rail.text, at + 4.0, at + 0.5 * SIGNS_APART)
        if spot is not None:
            made.append(Words(rail.text, spot, rail.turn, SIZE, role.label, rail.pleat))
    return made


def _stitching_words(finder: Finder, sewn: Mapping[tuple[int, int], list[StitchingLine]]) -> list[Words]:
    # Each line of stitching says which it is, in the lane beside the fold in which it lies.
    made: list[Words] = []
    if not sewn:
        return made
    for index, rail in enumerate(finder.rails):
        if rail.role is not Role.FOLD:
            continue
        for line in sewn.get((rail.pleat, rail.place[0]), ()):
            spot = finder.beside_stitching(index, line)
            if spot is not None:
                made.append(Words(line.words, spot, rail.turn, SIZE, "stitch-label", rail.pleat))
    return made


def _keep_arrows_free(rails: list[Rail], lanes: list[Lane], arrows: Arrows) -> None:
    # An arrow runs from its fold line over every lane to its placement line.
    where = {(rail.pleat, rail.role, rail.place): k for k, rail in enumerate(rails)}
    for fold, onto, places in arrows.laps:
        start, to = where[fold.pleat, fold.role, fold.folds], where[onto.pleat, onto.role, onto.folds]
        for at in places:
            spot = rails[start].top + at * rails[start].along
            for k in range(min(start, to), max(start, to)):
                left = rails[k]
                here = ((spot - left.top) * left.along.conjugate()).real
                lanes[k + 1].take(here - 4.0, here + 4.0)


def _keep_signs_free(rails: list[Rail], lanes: list[Lane], mark: float | None) -> None:
    # The bars of a placement line stand out into the lanes on both sides of it; crosses do so less than words keep clear.
    for k, rail in enumerate(rails):
        if rail.role is not Role.PLACEMENT:
            continue
        before = lanes[k]
        base = before.left or rail
        shift = ((rail.top - base.top) * base.along.conjugate()).real if base is not rail else 0.0
        for at in sign_places(rail.length, mark):
            insort(before.by_right, (at + shift - _SIGN_HALF, at + shift + _SIGN_HALF))
            insort(lanes[k + 1].by_left, (at - _SIGN_HALF, at + _SIGN_HALF))
