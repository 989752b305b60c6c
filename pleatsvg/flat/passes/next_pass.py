"""What a finished pass hands on to the next: its lines, marks and words as an earlier pass of the flat piece."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from pleatsvg.drawing.drawn import DrawnShape, DrawnText
from pleatsvg.flat.carried import Carriage
from pleatsvg.flat.flat_piece import FlatLine, Unfolded
from pleatsvg.geometry.segment import Segment
from pleatsvg.pleats.laid import LaidPleat
from pleatsvg.result.classes import SEEN_OF, Later, later_of
from pleatsvg.result.earlier import Earlier, EarlierPleat, EarlierWords
from pleatsvg.result.lettering import Words
from pleatsvg.result.mark import Mark
from pleatsvg.result.pattern_lines import PatternLine, Tag
from pleatsvg.result.roles import Role


class PassMade(NamedTuple):
    """A pass that was just made, as the next one finds it.

    Attributes:
        number: of the pass.
        flat: as written, on the page.
        pleats: laid out.
        laps, words: of each pleat, by number.
        offset: from the coordinates of the marks and words to the page.
        sheet_marks, sheet_words: of the sheet.
        stitching: (class, pleat, fold, strokes) of each line of stitching.
        kept: the finished line, the finished cutting line where there is one, and balance lines as drawn, as written.
        intakes: of each pleat at its top and hem, in mm.
        before: what the passes before it left.
        seen: by role, pleat and folds of a line that is not shown whole, from where to where it is.
        stitched: likewise of a line of a released tuck, from where to where it is stitched, in mm from its top.
    """

    number: int
    flat: Unfolded
    pleats: tuple[LaidPleat, ...]
    laps: dict[int, str]
    words: dict[int, str]
    offset: complex
    sheet_marks: tuple[Mark, ...]
    sheet_words: tuple[Words, ...]
    stitching: tuple[tuple[str, int, int, tuple[tuple[Segment, ...], ...]], ...]
    kept: tuple[tuple[str, tuple[Segment, ...]], ...]
    intakes: dict[int, tuple[float, float]]
    before: Earlier | None
    seen: Mapping[tuple[Role, int, tuple[int, ...]], tuple[complex, ...]]
    stitched: Mapping[tuple[Role, int, tuple[int, ...]], tuple[float, float]]


def earlier_after(made: PassMade) -> Earlier:
    """Return all that stands on the flat piece of a pass that was just made, for the next one to take through."""
    kinds = {p.number: p.request.kind.name for p in made.pleats}
    number, flat, old = made.number, made.flat, made.before

    def tag_of(role: str, pleat: int, folds: tuple[int, ...], crease: bool = False, way: str = "") -> Tag:
        return Tag(role, number, pleat, folds, kinds.get(pleat, ""), made.laps.get(pleat, ""), crease, way=way)

    lines = [
        PatternLine(
            tag_of(line.role.css, line.pleat, line.folds, line.role.crease, line.role.way)._replace(
                unseen=(line.role, line.pleat, line.folds) in made.seen,
                stitched=made.stitched.get((line.role, line.pleat, line.folds)),
            ),
            (_straight(line),),
        )
        for line in (*flat.creases, *flat.placements)
    ]
    lines += [
        PatternLine(tag_of(SEEN_OF[role.css], pleat, folds), (tuple(pairwise(part)),))
        for (role, pleat, folds), part in made.seen.items()
    ]
    lines += [
        PatternLine(tag_of(name, pleat, (fold,) if fold else ()), _shifted(runs, made.offset))
        for name, pleat, fold, runs in made.stitching
    ]
    lines += [PatternLine(tag_of("free-edge", 0, ()), (run,)) for run in flat.free]
    marks = []
    for mark in made.sheet_marks:
        if later_of(mark.name) is Later.GOES_ALONG:
            tag = tag_of(mark.name, mark.pleat, mark.folds)._replace(line=mark.line, end=mark.end)
            marks.append(PatternLine(tag, _shifted(_strokes_of(mark), made.offset)))
    words = [
        EarlierWords(tag_of(w.name, w.pleat, ()), w.text, w.middle + made.offset, w.turn, w.size)
        for w in made.sheet_words
        if later_of(w.name) is Later.GOES_ALONG
    ]
    kept = [PatternLine(Tag(role, number), (segments,)) for role, segments in made.kept]
    told = [
        EarlierPleat(
            number, p.number, kinds[p.number], made.laps[p.number], *made.intakes[p.number], made.words[p.number]
        )
        for p in made.pleats
    ]
    return Earlier(
        passes=number,
        pleats=max(p.number for p in made.pleats),
        lines=(*(old.lines if old else ()), *lines),
        marks=(*(old.marks if old else ()), *marks),
        words=(*(old.words if old else ()), *words),
        kept=(*(old.kept if old else ()), *kept),
        joined=bool(flat.joins),
        told=(*(old.told if old else ()), *told),
    )


def _straight(line: FlatLine) -> tuple[Segment, ...]:
    # With nodes where it meets the seam, as it is written.
    spots = [line.top, line.hem]
    if line.out_top != line.top:
        spots.insert(0, line.out_top)
    if line.out_hem != line.hem:
        spots.append(line.out_hem)
    return tuple(pairwise(spots))


def _strokes_of(mark: Mark) -> tuple[tuple[Segment, ...], ...]:
    found: list[tuple[Segment, ...]] = []
    at = 0
    for count in mark.strokes:
        found.append(tuple(pairwise(mark.points[at : at + count])))
        at += count
    return tuple(found)


def _shifted(strokes: Iterable[Sequence[Segment]], offset: complex) -> tuple[tuple[Segment, ...], ...]:
    return tuple([tuple([tuple([z + offset for z in seg]) for seg in stroke]) for stroke in strokes])


def shapes_after(carriage: Carriage, offset: complex) -> tuple[tuple[DrawnShape, ...], tuple[DrawnText, ...]]:
    """Return what was carried through a pass as drawn on its flat piece, for the next pass to carry."""
    shapes = tuple(
        [
            DrawnShape(
                line.name,
                line.name,
                "balance" if line.balance else "carried",
                _shifted((line.segments,), offset)[0],
                line.closed,
                "",
                line.look,
            )
            for line in carriage.lines
        ]
    )
    texts = []
    for carried in carriage.texts:
        text, motion = carried.text, carried.motion
        turn, shift = motion.turn, motion.shift + offset
        a, b, c, d, e, f = text.matrix
        # The columns of a matrix are vectors, and its last one a point.
        first, second, last = turn * complex(a, b), turn * complex(c, d), turn * complex(e, f) + shift
        texts.append(
            replace(
                text,
                start=turn * text.start + shift,
                matrix=(first.real, first.imag, second.real, second.imag, last.real, last.imag),
                box=tuple([turn * z + shift for z in text.box]),
            )
        )
    return shapes, tuple(texts)
