"""Which shape is the seam and which lines are slashed along: from a drawing to one finished piece."""

from __future__ import annotations

import math
import re
from collections import Counter
from dataclasses import replace
from typing import NamedTuple

from pleatsvg.drawing.drawn import Drawing, DrawnShape
from pleatsvg.drawing.names import rest_of_name
from pleatsvg.errors import DrawingError, OutlineError, SlashError, cut_short, listed, near_names
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, point_at
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.piece.drawn_twice import drawn_once
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.piece.joined_strokes import joined_loops, widest_gap
from pleatsvg.piece.lying_on import Ground, Scattered
from pleatsvg.result.earlier import Earlier
from pleatsvg.tolerance import CLOSING_GAP, ON_LINE, REPORT_BEND, STRAIGHT
from pleatsvg.wording import message, option


def finished_piece(drawing: Drawing, wanted: str | None = None) -> FinishedPiece:
    """Return the one piece that a drawing holds, or the one called `wanted`.

    Raises:
        OutlineError: there is no outline, it is open or crosses itself, or there are several to choose from.
        DrawingError: no piece is called `wanted`.
        SlashError: a line named as a slash line is bent.
    """
    drawing = drawn_once(drawing)
    seams = _candidates(drawing)
    shape, remarks = _chosen(drawing, seams, wanted)
    names = piece_names(drawing, seams.shapes) if seams.named else []
    number = next((k for k, one in enumerate(seams.shapes) if one is shape and seams.named), None)
    name = _piece_name(drawing, shape) if number is None else names[number]
    return _piece_from(_Surroundings(drawing, seams), shape, name, remarks)


def finished_pieces(drawing: Drawing) -> list[FinishedPiece]:
    """Return every piece that a drawing holds; cf. `finished_piece`."""
    drawing = drawn_once(drawing)
    seams = _candidates(drawing)
    if not seams.named or len(seams.shapes) < 2:
        return [finished_piece(drawing)]
    around = _Surroundings(drawing, seams)
    names = piece_names(drawing, seams.shapes)
    pieces = [_piece_from(around, shape, name, ()) for shape, name in zip(seams.shapes, names, strict=True)]
    told = {id(s) for piece in pieces for s in (*piece.near, *piece.beside)}
    lost = tuple([s for s in around.others if id(s) not in told])
    return [*pieces[:-1], replace(pieces[-1], astray=lost)] if lost else pieces


class _Seams(NamedTuple):
    """The shapes that can be a seam, whether they were named so, every shape that went into one, and remarks on them."""

    shapes: list[DrawnShape]
    named: bool
    used: list[DrawnShape]
    remarks: tuple[str, ...] = ()


class _Surroundings:
    """What is drawn beside the seams: of one piece all of it, of several what lies on each.

    Attributes:
        others: every shape that is no seam and was not left by an earlier pass, in file order.
    """

    def __init__(self, drawing: Drawing, seams: _Seams) -> None:
        used = set(map(id, seams.used))
        self.drawing = drawing
        self.seams = seams
        self.several = seams.named and len(seams.shapes) > 1
        self.others = [s for s in drawing.shapes if id(s) not in used and s.tag is None]
        self._scattered = Scattered(self.others)
        self._tagged: dict[str, list[DrawnShape]] = {}
        for shape in drawing.shapes:
            if shape.tag is not None:
                self._tagged.setdefault(shape.tag.piece, []).append(shape)
        self.texts = [t for t in drawing.texts if t.earlier is None]

    def of(self, outline: Outline, ground: Ground) -> list[DrawnShape]:
        """Return the shapes that are to be told of with a piece, in file order."""
        return [s for s in self._scattered.near(outline) if ground.owns(s)] if self.several else self.others

    def tagged(self, piece: str) -> list[DrawnShape]:
        """Return what earlier passes left on a piece of a result of ours."""
        return self._tagged.get(piece, [])


def _candidates(drawing: Drawing) -> _Seams:
    named = [s for s in drawing.shapes if s.part == "seam"]
    if named:
        strokes = [s for s in named if not s.closed and abs(s.stroke[0][0] - s.stroke[-1][-1]) > CLOSING_GAP]
        if len(strokes) < 2:
            return _Seams(named, True, named)
        loops, _, remarks = joined_loops(strokes)
        if not loops:
            raise _unjoined(drawing, strokes)
        apart = set(map(id, strokes))
        return _Seams([s for s in named if id(s) not in apart] + loops, True, named, tuple(remarks))
    cuts = [s for s in drawing.shapes if s.part == "cut" and s.closed and s.tag is None]
    if cuts:
        return _Seams(cuts, True, cuts)
    closed = [s for s in drawing.shapes if s.closed and s.part is None and s.tag is None]
    if not closed:
        loops, used, remarks = joined_loops([s for s in drawing.shapes if s.part is None and s.tag is None])
        return _Seams(loops, False, used, tuple(remarks))
    return _Seams(closed, False, [])


def _unjoined(drawing: Drawing, strokes: list[DrawnShape]) -> OutlineError:
    gap, a, b = widest_gap(strokes)
    return OutlineError(
        f"The outline '{_piece_name(drawing, strokes[0])}', drawn as {len(strokes)} strokes,",
        f"is open: the widest gap is {gap:.2f} mm, between ({a.real:.1f}, {a.imag:.1f}) and ({b.real:.1f}, {b.imag:.1f}) "
        "mm on the page",
        f"up to {CLOSING_GAP} mm counts as joined",
        "Join the two end points in the vector editor.",
    )


def _piece_from(around: _Surroundings, shape: DrawnShape, name: str, on_the_choice: tuple[str, ...]) -> FinishedPiece:
    drawing = around.drawing
    outline, on_outline = _closed(shape)
    remarks = [*drawing.notes, *around.seams.remarks, *on_the_choice, *on_outline]
    ground = Ground(outline)
    near = around.of(outline, ground)
    earlier = _earlier(drawing, around.tagged(shape.group), shape.group, outline)
    slashes = [_straight(s) for s in near if s.part == "slash"]
    remarks += [remark for _, on_line in slashes for remark in on_line]
    others = tuple([line for s in near if s.part is None and not s.closed and (line := _if_straight(s)) is not None])
    left_out = list(drawing.left_out)
    carried: list[DrawnShape] = []
    beside: list[DrawnShape] = []
    cut: Outline | None = None
    for s in near:
        if s is shape or s.part in ("slash", "grain", "fold edge"):
            continue
        if s.part == "cut":
            if s.closed and cut is None and s is not shape:
                cut, on_cut = _closed(s)
                remarks += on_cut
            else:
                left_out.append(f"'{s.name}' (the cutting line)")
        elif ground.bears(s):
            carried.append(s)
        else:
            beside.append(s)
    texts = [(t, ground.holds_text(t)) for t in around.texts]
    on_it = [t for t, is_on in texts if is_on]
    off_it = [] if around.several else [t for t, is_on in texts if not is_on]
    if beside or off_it:
        names = [*[f"'{s.name}'" for s in beside], *[f"text '{t.name}'" for t in off_it]]
        remarks.append(f"Lying beside the piece, and left out: {listed(names)}.")
    lines = {part: _first_line(near, part) for part in ("grain", "fold edge", "centre")}
    remarks += [
        f"The element named as {part} is not a straight line and is not used."
        for part, line in lines.items()
        if line is None and any(s.part == part for s in near)
    ]
    return FinishedPiece(
        name=name,
        outline=outline,
        slashes=tuple([line for line, _ in slashes]),
        grain=lines["grain"],
        fold_edge=lines["fold edge"],
        centre=lines["centre"],
        page=drawing.page,
        parts=((shape.name, shape.part or "seam"), *[(s.name, s.part) for s in near if s.part and s is not shape]),
        left_out=tuple(left_out),
        notes=tuple(remarks),
        source=drawing.source,
        file=drawing.file,
        crossing_lines=others,
        shapes=tuple(carried),
        texts=tuple(on_it),
        cut=cut,
        only_cut=shape.part == "cut",
        earlier=earlier,
        near=tuple(s for s in near if s is not shape),
        beside=tuple(beside),
        texts_beside=tuple(off_it),
    )


def _earlier(drawing: Drawing, own: list[DrawnShape], group: str, outline: Outline) -> Earlier | None:
    # What earlier passes left on a result of ours; of several pieces, on this one.
    if not own:
        return None
    from pleatsvg.piece.earlier_passes import earlier_from  # needed for our own results only

    words = [t for t in drawing.texts if t.earlier is not None and t.earlier.tag.piece == group]
    return earlier_from(own, words, outline)


def _chosen(drawing: Drawing, seams: _Seams, wanted: str | None) -> tuple[DrawnShape, tuple[str, ...]]:
    # The one shape that is the seam, and what there is to say of it.
    candidates, named = seams.shapes, seams.named
    if wanted is not None:
        plain = wanted.casefold()
        names = piece_names(drawing, candidates)
        chosen = [s for s, name in zip(candidates, names, strict=True) if plain == name.casefold()] or [
            s for s in candidates if plain in (s.name.casefold(), s.group.casefold())
        ]
        if len(chosen) != 1:
            raise DrawingError(
                f"Piece '{wanted}'",
                f"is {'not' if not chosen else f'{len(chosen)} times'} on the drawing",
                near_names(wanted, names),
                message("Give {} one of these names.", option("piece")),
            )
        return chosen[0], ()
    if len(candidates) == 1:
        return candidates[0], ()
    if not candidates:
        open_ones = [s for s in drawing.shapes if s.part is None and len(s.stroke) > 2]
        if open_ones:
            return max(open_ones, key=lambda s: sum(abs(g[-1] - g[0]) for g in s.stroke)), ()
        raise OutlineError(
            f"'{drawing.source}'",
            f"has no outline: {len(drawing.shapes)} shapes were found, none of them closed",
            "a piece needs one closed stitching line",
            "Draw it as one closed path, and name it 'seam'.",
        )
    if not named:
        outermost = _round_all(candidates)
        if len(outermost) == 1:
            (seam,) = outermost
            return seam, (
                f"Of {len(candidates)} closed shapes, '{seam.name}' lies round all others and is taken as the seam.",
            )
    listed = ", ".join(f"'{cut_short(name)}'" for name in piece_names(drawing, candidates)[:8])
    raise OutlineError(
        f"'{drawing.source}'",
        f"has {len(candidates)} outlines: {listed}",
        "one piece is pleated at a time",
        message("Choose one with {} and its name.", option("piece"))
        if named
        else "Name the stitching line 'seam', in the editor's list of objects.",
    )


def _round_all(shapes: list[DrawnShape]) -> list[DrawnShape]:
    # Whichever has the box of them all. One look at each: a traced picture has thousands of closed shapes.
    boxes = [Outline(s.stroke).box for s in shapes]
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    whole = (min(lefts), min(tops), max(rights), max(bottoms))
    return [s for s, box in zip(shapes, boxes, strict=True) if box == whole]


def piece_names(drawing: Drawing, seams: list[DrawnShape]) -> list[str]:
    """Return what the pieces are called; those of one name are numbered in file order."""
    names = [_piece_name(drawing, s) for s in seams]
    times, so_far = Counter(names), Counter[str]()
    numbered: list[str] = []
    for name in names:
        so_far[name] += 1
        numbered.append(f"{name} {so_far[name]}" if times[name] > 1 else name)
    return numbered


_UNTYPED = re.compile(r"^(path|rect|polygon|polyline|circle|ellipse|shape|line)[\s_-]*[\d-]*$", re.IGNORECASE)


def _piece_name(drawing: Drawing, shape: DrawnShape) -> str:
    own = rest_of_name(shape.family) if shape.part in ("seam", "cut") else shape.name
    own = "" if _UNTYPED.match(own) else own
    stem = drawing.source.rsplit(".", 1)[0]
    return own or shape.group or drawing.title or stem or "piece"


def _closed(shape: DrawnShape) -> tuple[Outline, tuple[str, ...]]:
    # A closed shape as an outline that goes round clockwise from its top left corner, and a remark where it had a gap.
    segments: list[Segment] = list(shape.stroke)
    first, last = segments[0][0], segments[-1][-1]
    subject = f"Outline '{shape.name}'"
    gap = abs(last - first)
    if shape.closed and len(segments) > 2 and len(segments[-1]) == 2:
        # The closing command drew the last line; when that is a hair long, it is the editor's rounding.
        length = abs(segments[-1][1] - segments[-1][0])
        if length <= CLOSING_GAP:
            segments.pop()
            gap = length
    if gap > CLOSING_GAP:
        raise OutlineError(
            subject,
            f"is open: its ends lie {gap:.2f} mm apart, at ({first.real:.1f}, {first.imag:.1f}) and "
            f"({last.real:.1f}, {last.imag:.1f}) mm on the page",
            f"up to {CLOSING_GAP} mm counts as closed",
            "Join the two end points in the vector editor.",
        )
    remarks: tuple[str, ...] = ()
    if gap > ON_LINE:
        remarks = (f"{subject} had a gap of {gap:.3f} mm between its ends; it is taken as closed.",)
    while len(segments) > 2 and abs(segments[-1][0] - first) <= ON_LINE and _within(segments[-1], first):
        segments.pop()  # it led from the end to a node within that gap
    segments[-1] = (*segments[-1][:-1], first)
    outline = Outline(tuple(segments))
    area = outline.area
    outline = (outline.reversed() if area < 0 else outline).from_top_left()
    spot = self_crossing(outline)
    if spot is not None:
        raise OutlineError(
            subject,
            f"crosses or touches itself at ({spot.real:.1f}, {spot.imag:.1f}) mm on the page",
            "a stitching line goes round its piece once",
            "Move the nodes there apart, and look for a node that was set twice.",
        )
    if len(segments) < 2 or abs(area) < 1.0:
        raise OutlineError(
            subject,
            f"encloses {abs(area):.2f} mm2",
            "a piece of cloth has more than 1 mm2",
            "Check the drawing's scale.",
        )
    return outline, remarks


def _within(seg: Segment, z: complex) -> bool:
    return all(abs(point - z) <= CLOSING_GAP for point in seg)


def _bend(shape: DrawnShape, enough: float = math.inf) -> tuple[float, complex]:
    # How far a line leaves the straight line between its ends, and where; looked for until it is more than enough.
    start, end = shape.stroke[0][0], shape.stroke[-1][-1]
    chord = end - start
    if abs(chord) <= ON_LINE:
        return float("inf"), start
    worst, spot = 0.0, start
    if len(shape.stroke) == 1 and len(shape.stroke[0]) == 2:
        return worst, spot
    for seg in shape.stroke:
        for k in range(1, 9) if len(seg) == 4 else (8,):  # of a straight line an end lies farthest off
            z = point_at(seg, k / 8)
            w = (z - start) / chord
            off = abs(w.imag) * abs(chord) + max(0.0, -w.real, w.real - 1) * abs(chord)
            if off > worst:
                worst, spot = off, z
                if worst > enough:
                    return worst, spot
    return worst, spot


def _straight(shape: DrawnShape) -> tuple[StraightLine, tuple[str, ...]]:
    # A slash line, and a remark where it is not quite straight.
    if len(shape.stroke) == 1 and abs(shape.stroke[0][-1] - shape.stroke[0][0]) <= ON_LINE:
        raise SlashError(
            f"Slash line '{shape.name}'",
            "has no length",
            "a slash line runs from seam to seam",
            "Draw it again from edge to edge.",
        )
    bend, spot = _bend(shape)
    if bend > STRAIGHT:
        measured = (
            "is a closed shape"
            if bend == float("inf")
            else f"is bent: it leaves the straight line between its ends by {bend:.1f} mm, at "
            f"({spot.real:.1f}, {spot.imag:.1f}) mm on the page"
        )
        raise SlashError(
            f"Slash line '{shape.name}'",
            measured,
            f"cloth folds along straight lines only; up to {STRAIGHT} mm counts as straight",
            "Draw it as one straight line.",
        )
    line = StraightLine(shape.name, shape.stroke[0][0], shape.stroke[-1][-1], shape.family)
    if bend > REPORT_BEND:
        return line, (f"Slash line '{shape.name}' is bent by {bend:.2f} mm and is taken as straight.",)
    return line, ()


def _if_straight(shape: DrawnShape) -> StraightLine | None:
    if _bend(shape, STRAIGHT)[0] > STRAIGHT:
        return None
    return StraightLine(shape.name, shape.stroke[0][0], shape.stroke[-1][-1], shape.family)


def _first_line(shapes: list[DrawnShape], part: str) -> StraightLine | None:
    # Arrow heads are drawn beside a grainline, as often as not in its group: the longest line is the line.
    found = [line for shape in shapes if shape.part == part and (line := _if_straight(shape)) is not None]
    return max(found, key=lambda line: abs(line.end - line.start), default=None)
