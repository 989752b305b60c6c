"""Hidden layers that an editor left behind when all that is seen was moved, or the other way round.

By how much is counted up from corners: the first panel of the flat piece lies where the finished one does, so that corners of
the two are apart by one and the same shift, while all others are apart by anything. A shift is only ever a proposal: it is the
proof that tells whether the piece is true with its hidden shape laid there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from pleatsvg.geometry.segment import Segment, heading
from pleatsvg.result.classes import CLASSES
from pleatsvg.result.pattern_lines import PatternLine, ResultPiece
from pleatsvg.tolerance import FOLD_BACK

_MOST_CORNERS = 200
"""Of each outline, the sharpest ones; a piece has a handful."""

_GRID = 0.01
"""mm within which two shifts are one: numbers in files are finer, and what is proven has to be."""

_MOST_TRIED = 3
"""Shifts that are tried. A panel beside pleats of one depth lies as if it had been moved, and may have more corners."""

_ALIKE = 2
"""Corners that have to agree: one pair of them is apart by something in any two outlines."""


def moved_back(piece: ResultPiece) -> Iterator[tuple[ResultPiece, complex]]:
    """Return a piece with its hidden layers moved to where its other lines may want them, the likeliest first.

    Each with the shift in mm; none where they lie as they did when it was made.
    """
    hidden = {name for name, row in CLASSES.items() if row.layer.hidden}
    shape = {name for name in hidden if CLASSES[name].layer is CLASSES["finished-line"].layer}
    also_free = any(line.role in hidden - shape for line in piece.lines)
    for shift in _shifts(piece):
        for roles in (hidden, shape) if also_free else (hidden,):
            lines = [_shifted(line, shift) if line.role in roles else line for line in piece.lines]
            yield replace(piece, lines=tuple(lines)), shift


def _shifts(piece: ResultPiece) -> list[complex]:
    last = max([line.pass_ for line in piece.lines], default=1)
    finished = [
        line
        for line in piece.by_role("finished-line")
        if line.pass_ == last and line.closed and line.tag.zone in ("", "below")
    ]
    if len(finished) != 1:
        return []
    flat = [line.strokes[0] for line in piece.by_role("seam-line") if line.closed]
    drawn, wanted = _corners([finished[0].strokes[0]]), _corners(flat)
    votes: dict[tuple[int, int, int], list[complex]] = {}
    for z in wanted:
        for w in drawn:
            for half in (0, 1):  # on two grids, so that none is split between two squares of both
                spot = (z - w) / _GRID + complex(half, half) / 2
                votes.setdefault((half, round(spot.real), round(spot.imag)), []).append(z - w)
    agreed: list[complex] = []
    for found in sorted(votes.values(), key=lambda found: (-len(found), abs(found[0]))):
        shift = sum(found) / len(found)
        if len(found) < _ALIKE or len(agreed) == _MOST_TRIED or (not agreed and abs(shift) <= FOLD_BACK):
            break
        if abs(shift) > FOLD_BACK and all(abs(shift - other) > _GRID for other in agreed):
            agreed.append(shift)
    return agreed


def _corners(outlines: list[tuple[Segment, ...]]) -> list[complex]:
    turns: list[tuple[float, complex]] = []
    for segs in outlines:
        real = [seg for seg in segs if seg[0] != seg[-1]]
        for before, after in zip([real[-1], *real], real, strict=False):
            turns.append((abs(heading(after, 0.0) - heading(before, 1.0)), after[0]))
    turns.sort(key=lambda turn: -turn[0])
    return [z for _, z in turns[:_MOST_CORNERS]]


def _shifted(line: PatternLine, by: complex) -> PatternLine:
    return replace(
        line, strokes=tuple([tuple([tuple([z + by for z in seg]) for seg in stroke]) for stroke in line.strokes])
    )
