"""What each thing on a drawing is taken for, and what looks as if it was meant for something else."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, islice
from typing import NamedTuple

from pleatsvg.drawing.drawn import DrawnShape
from pleatsvg.drawing.names import KNOWN_PHRASES, is_typed, part_of_name
from pleatsvg.errors import SlashError, cut_short
from pleatsvg.geometry.segment import box_of
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.piece.slash_lines import Chord, trimmed
from pleatsvg.tolerance import CLOSING_GAP, MEETING, SEAM_MARK
from pleatsvg.wording import Words, message, option

CARRIED, LEFT_OUT = "carried", "left out"

_MOST_LOOKED_AT = 300
"""Straight lines without a part that are held against the seam: a traced picture has thousands, and none of them is meant."""

_MOST_TOLD = 12

_ALIKE = 0.75
"""Of the letters of a word, that a slip of the hand leaves as they were."""

_SHORTEST = 4
"""Letters. Of shorter words too many are alike."""


class Thing(NamedTuple):
    """What is on a drawing.

    Attributes:
        name: as typed, or as the editor numbered it.
        typed: whether a person gave it that name.
        part: that it plays, "carried" where it comes along with its panel, or "left out".
        why: where it is left out.
    """

    name: str
    typed: bool
    part: str
    why: str = ""


def things_on(piece: FinishedPiece) -> tuple[Thing, ...]:
    """Return what each shape and text that was looked at for a piece is taken for: the seam first, then in file order."""
    found = [Thing(name, True, part) for name, part in piece.parts[:1]]
    carried, beside = set(map(id, piece.shapes)), set(map(id, piece.beside))
    for shape in piece.near:
        if shape.tag is not None:
            continue
        if id(shape) in beside:
            found.append(Thing(shape.name, is_typed(shape.name), LEFT_OUT, "it lies beside the piece"))
        elif shape.part is not None:
            found.append(Thing(shape.name, True, shape.part))
        elif id(shape) in carried:
            found.append(Thing(shape.name, is_typed(shape.name), CARRIED))
    found += [Thing(f"text '{text.name}'", True, CARRIED) for text in piece.texts if text.earlier is None]
    found += [Thing(f"text '{text.name}'", True, LEFT_OUT, "it lies beside the piece") for text in piece.texts_beside]
    found += [Thing(name, True, LEFT_OUT, "it is nothing that can be drawn again") for name in piece.left_out]
    found += [Thing(shape.name, is_typed(shape.name), LEFT_OUT, "it lies on no piece") for shape in piece.astray]
    return tuple(found)


def seeming_parts(piece: FinishedPiece) -> list[Words]:
    """Return what looks as if it wanted a part: lines from edge to edge, closed lines round the seam, names with a slip."""
    said = list(islice(_seeming(piece), _MOST_TOLD + 1))
    if len(said) <= _MOST_TOLD:
        return said
    return [*said[:_MOST_TOLD], message("And more lines or names look as if they wanted a part.")]


def _seeming(piece: FinishedPiece) -> Iterator[Words]:
    across = dict(_across(piece))
    athwart = _athwart(across)
    slashes = [chord for line in piece.slashes if (chord := _chord(piece, line)) is not None]
    straight = {(line.start, line.end, line.name): line for line in piece.crossing_lines}
    for shape in (*piece.near, *piece.astray):
        if shape.part is not None or shape.tag is not None:
            continue
        ends = (shape.stroke[0][0], shape.stroke[-1][-1])
        line = straight.get((*ends, shape.name))
        slip = _slip_of(shape, line is not None, line in across)
        crosses = line is not None and line in across and (line in athwart or _crosses_any(across[line], slashes))
        if line is not None and line in across and slip in (None, "slash", "slash line", "pleat line"):
            if crosses:
                yield message(
                    "'{}': straight, from edge to edge across other lines; a balance line, to lie straight when the "
                    "pleats are folded? Name it 'balance line'; as it is, it is cut and carried.",
                    cut_short(shape.name),
                )
            else:
                yield message(
                    "'{}': straight, from edge to edge; a slash line? Name it 'slash ...' or give {}.",
                    cut_short(shape.name),
                    option("slash", shape.name if athwart else "all"),
                )
        elif slip is not None:
            yield message("'{}': is '{}' meant? As it is, its name gives it no part.", cut_short(shape.name), slip)
        elif _goes_round(shape, piece):
            yield message(
                "'{}': closed, and round the seam; the cutting line? Name it 'cutting line'.", cut_short(shape.name)
            )


def _across(piece: FinishedPiece) -> Iterator[tuple[StraightLine, Chord]]:
    for line in piece.crossing_lines[:_MOST_LOOKED_AT]:
        chord = _chord(piece, line)
        if chord is not None and not _on_seam(piece, line):
            yield line, chord


def _chord(piece: FinishedPiece, line: StraightLine) -> Chord | None:
    try:
        return trimmed(piece.outline, line)
    except SlashError:
        return None


def _on_seam(piece: FinishedPiece, line: StraightLine) -> bool:
    # One along an edge marks that edge, and slashes nothing off.
    middle = (line.start + line.end) / 2
    side = 1j * SEAM_MARK * (line.end - line.start) / abs(line.end - line.start)
    return not (piece.outline.holds(middle + side) and piece.outline.holds(middle - side))


def _athwart(across: Mapping[StraightLine, Chord]) -> set[StraightLine]:
    # The lines that run across others of a row: each crosses more of them than any of those does.
    meets: dict[StraightLine, list[StraightLine]] = {line: [] for line in across}
    for (one, a), (other, b) in combinations(across.items(), 2):
        if _cross(a, b):
            meets[one].append(other)
            meets[other].append(one)
    return {line for line, others in meets.items() if others and len(others) > max(len(meets[one]) for one in others)}


def _crosses_any(chord: Chord, others: Sequence[Chord]) -> bool:
    return any(_cross(chord, other) for other in others)


def _cross(a: Chord, b: Chord) -> bool:
    r, s = a.hem - a.top, b.hem - b.top
    det = (r.conjugate() * s).imag
    if abs(det) < 1e-9 * abs(r) * abs(s):
        return False
    along = ((b.top - a.top).conjugate() * s).imag / det
    beside = ((b.top - a.top).conjugate() * r).imag / det
    near, far = MEETING / abs(r), MEETING / abs(s)
    return near < along < 1 - near and far < beside < 1 - far


def _slip_of(shape: DrawnShape, straight: bool, across: bool) -> str | None:
    # The phrase that the beginning of its name all but is, where the shape could play that part.
    words = re.findall(r"[^\W\d_]+", shape.name.casefold())
    if not words or not is_typed(shape.name):
        return None
    from difflib import SequenceMatcher  # of no use to a drawing whose names all play a part

    closed = shape.closed or abs(shape.stroke[-1][-1] - shape.stroke[0][0]) <= CLOSING_GAP
    best: tuple[float, str] | None = None
    for phrase in KNOWN_PHRASES:
        said = " ".join(words[: phrase.count(" ") + 1])
        part = part_of_name(phrase)
        fits = closed if part in ("seam", "cut") else not closed if part in ("slash", "balance") else straight
        fits = fits and not (across and part == "fold edge")
        if not fits or min(len(said), len(phrase)) < _SHORTEST or said[0] != phrase[0]:
            continue
        matcher = SequenceMatcher(None, said, phrase)
        if matcher.real_quick_ratio() < _ALIKE or matcher.quick_ratio() < _ALIKE:
            continue
        alike = matcher.ratio()
        if alike >= _ALIKE and (best is None or alike > best[0]):
            best = alike, phrase
    return None if best is None else best[1]


def _goes_round(shape: DrawnShape, piece: FinishedPiece) -> bool:
    if not shape.closed or piece.cut is not None or piece.only_cut:
        return False
    left, top, right, bottom = piece.outline.box
    around = box_of([z for seg in shape.stroke for z in seg])
    wide, high = right - left, bottom - top
    beyond = (left - around[0], top - around[1], around[2] - right, around[3] - bottom)
    return min(beyond) > 0 and max(beyond) < 0.5 * max(wide, high)


def grouped(things: Sequence[Thing]) -> list[tuple[Thing, int]]:
    """Return things with how many there are of each: those alike in name and part once, and those without a typed name too."""
    counted: dict[tuple[str, str, str], tuple[Thing, int]] = {}
    for thing in things:
        key = (thing.name if thing.typed else "", thing.part, thing.why)
        first, many = counted.get(key, (thing, 0))
        counted[key] = (first, many + 1)
    return list(counted.values())
