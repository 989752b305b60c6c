"""Which shape is the seam and which lines are slashed along: from a drawing to one finished piece."""

from __future__ import annotations

import re
from collections import Counter
from typing import NamedTuple

from pleatsvg.drawing.drawn import Drawing, DrawnShape
from pleatsvg.drawing.parts import rest_of_name
from pleatsvg.errors import DrawingError, FitError, OutlineError, SlashError, cut_short, listed, near_names
from pleatsvg.geometry.outline import Outline
from pleatsvg.geometry.segment import Segment, point_at
from pleatsvg.geometry.selfcross import self_crossing
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.piece.joined_strokes import joined_loops, widest_gap
from pleatsvg.result.earlier import Earlier
from pleatsvg.tolerance import CLOSING_GAP, ON_LINE, REPORT_BEND, SEAM_MARK, STRAIGHT


def finished_piece(drawing: Drawing, wanted: str | None = None) -> FinishedPiece:
    """Return the one piece that a drawing holds, or the one called `wanted`.

    Raises:
        OutlineError: there is no outline, it is open or crosses itself, or there are several to choose from.
        DrawingError: no piece is called `wanted`.
        SlashError: a line named as a slash line is bent.
    """
    notes = list(drawing.notes)
    seams = _candidates(drawing, notes)
    return _piece_from(drawing, _chosen(drawing, seams, wanted, notes), seams, notes)


def finished_pieces(drawing: Drawing) -> list[FinishedPiece]:
    """Return every piece that a drawing holds; cf. `finished_piece`."""
    notes = list(drawing.notes)
    seams = _candidates(drawing, notes)
    if not seams.named or len(seams.shapes) < 2:
        return [finished_piece(drawing)]
    return [_piece_from(drawing, shape, seams, list(notes)) for shape in seams.shapes]


class _Seams(NamedTuple):
    """The shapes that can be a seam, whether they were named so, and every shape that went into one."""

    shapes: list[DrawnShape]
    named: bool
    used: list[DrawnShape]


def _candidates(drawing: Drawing, notes: list[str]) -> _Seams:
    named = [s for s in drawing.shapes if s.part == "seam"]
    if named:
        strokes = [s for s in named if not s.closed and abs(s.stroke[0][0] - s.stroke[-1][-1]) > CLOSING_GAP]
        if len(strokes) < 2:
            return _Seams(named, True, named)
        loops, _, remarks = joined_loops(strokes)
        if not loops:
            raise _unjoined(drawing, strokes)
        notes += remarks
        apart = set(map(id, strokes))
        return _Seams([s for s in named if id(s) not in apart] + loops, True, named)
    cuts = [s for s in drawing.shapes if s.part == "cut" and s.closed and s.tag is None]
    if cuts:
        return _Seams(cuts, True, cuts)
    closed = [s for s in drawing.shapes if s.closed and s.part is None and s.tag is None]
    if not closed:
        loops, used, remarks = joined_loops([s for s in drawing.shapes if s.part is None and s.tag is None])
        notes += remarks
        return _Seams(loops, False, used)
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


def _piece_from(drawing: Drawing, shape: DrawnShape, seams: _Seams, notes: list[str]) -> FinishedPiece:
    known = seams.shapes
    name = (
        piece_names(drawing, known)[known.index(shape)]
        if shape in known and seams.named
        else _piece_name(drawing, shape)
    )
    outline = _closed(shape, notes)
    several = seams.named and len(known) > 1
    used = set(map(id, seams.used))
    near = [s for s in drawing.shapes if id(s) not in used and s.tag is None and (not several or _lies_on(outline, s))]
    earlier = _earlier(name, drawing, shape, outline)
    slashes = tuple([_straight(s, notes) for s in near if s.part == "slash"])
    others = tuple([line for s in near if s.part is None and not s.closed and (line := _if_straight(s)) is not None])
    left_out = list(drawing.left_out)
    carried: list[DrawnShape] = []
    beside: list[str] = []
    cut: Outline | None = None
    for s in near:
        if s is shape or s.part in ("slash", "grain", "fold edge"):
            continue
        if s.part == "cut":
            if s.closed and cut is None and s is not shape:
                cut = _closed(s, notes)
            else:
                left_out.append(f"'{s.name}' (the cutting line)")
        elif _is_on(outline, s):
            carried.append(s)
        else:
            beside.append(f"'{s.name}'")
    texts = [t for t in drawing.texts if t.earlier is None]
    on_it = [t for t in texts if outline.holds(sum(t.box) / len(t.box))]
    if not several:
        beside += [f"text '{t.name}'" for t in texts if t not in on_it]
    if beside:
        notes.append(f"Lying beside the piece, and left out: {listed(beside)}.")
    return FinishedPiece(
        name=name,
        outline=outline,
        slashes=slashes,
        grain=_first_line(near, "grain", notes),
        fold_edge=_first_line(near, "fold edge", notes),
        centre=_first_line(near, "centre", notes),
        page=drawing.page,
        parts=((shape.name, shape.part or "seam"), *[(s.name, s.part) for s in near if s.part and s is not shape]),
        left_out=tuple(left_out),
        notes=tuple(notes),
        source=drawing.source,
        file=drawing.file,
        crossing_lines=others,
        shapes=tuple(carried),
        texts=tuple(on_it),
        cut=cut,
        only_cut=shape.part == "cut",
        earlier=earlier,
    )


def _earlier(name: str, drawing: Drawing, shape: DrawnShape, outline: Outline) -> Earlier | None:
    # What earlier passes left on a result of ours; of several pieces, on this one.
    own = [s for s in drawing.shapes if s.tag is not None and s.tag.piece == shape.group]
    if not own:
        return None
    from pleatsvg.piece.earlier_passes import earlier_from  # of no use to a drawing that is none of our results

    words = [t for t in drawing.texts if t.earlier is not None and t.earlier.tag.piece == shape.group]
    found = earlier_from(own, words, outline)
    if found is not None and (found.joined or any(pleat.kind == "kick" for pleat in found.told)):
        raise FitError(
            f"Piece '{name}'",
            "was cut in parts, or has kick pleats, from the pass before",
            "a further pass runs over the whole flat piece, not over parts or extensions of it",
            "Make the first pass again without --cloth-width, separate underlays and kick pleats.",
        )
    return found


def _chosen(drawing: Drawing, seams: _Seams, wanted: str | None, notes: list[str]) -> DrawnShape:
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
                "Give --piece one of these names.",
            )
        return chosen[0]
    if len(candidates) == 1:
        return candidates[0]
    if not candidates:
        open_ones = [s for s in drawing.shapes if s.part is None and len(s.stroke) > 2]
        if open_ones:
            return max(open_ones, key=lambda s: sum(abs(g[-1] - g[0]) for g in s.stroke))
        raise OutlineError(
            f"'{drawing.source}'",
            f"has no outline: {len(drawing.shapes)} shapes were found, none of them closed",
            "a piece needs one closed stitching line",
            "Draw it as one closed path, and name it 'seam'.",
        )
    if not named:
        outermost = _round_all(candidates)
        if len(outermost) == 1:
            notes.append(
                f"Of {len(candidates)} closed shapes, '{outermost[0].name}' lies round all others and is taken as the seam."
            )
            return outermost[0]
    listed = ", ".join(f"'{cut_short(name)}'" for name in piece_names(drawing, candidates)[:8])
    raise OutlineError(
        f"'{drawing.source}'",
        f"has {len(candidates)} outlines: {listed}",
        "one piece is pleated at a time",
        "Choose one with --piece and its name."
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


def _closed(shape: DrawnShape, notes: list[str]) -> Outline:
    segments: list[Segment] = list(shape.stroke)
    first, last = segments[0][0], segments[-1][-1]
    said = f"Outline '{shape.name}'"
    gap = abs(last - first)
    if shape.closed and len(segments) > 2 and len(segments[-1]) == 2:
        # The closing command drew the last line; when that is a hair long, it is the editor's rounding.
        length = abs(segments[-1][1] - segments[-1][0])
        if length <= CLOSING_GAP:
            segments.pop()
            gap = length
    if gap > CLOSING_GAP:
        raise OutlineError(
            said,
            f"is open: its ends lie {gap:.2f} mm apart, at ({first.real:.1f}, {first.imag:.1f}) and "
            f"({last.real:.1f}, {last.imag:.1f}) mm on the page",
            f"up to {CLOSING_GAP} mm counts as closed",
            "Join the two end points in the vector editor.",
        )
    if gap > ON_LINE:
        notes.append(f"{said} had a gap of {gap:.3f} mm between its ends; it is taken as closed.")
    while len(segments) > 2 and abs(segments[-1][0] - first) <= ON_LINE and _within(segments[-1], first):
        segments.pop()  # it led from the end to a node within that gap
    segments[-1] = (*segments[-1][:-1], first)
    outline = Outline(tuple(segments))
    area = outline.area
    outline = (outline.reversed() if area < 0 else outline).from_top_left()
    spot = self_crossing(outline)
    if spot is not None:
        raise OutlineError(
            said,
            f"crosses or touches itself at ({spot.real:.1f}, {spot.imag:.1f}) mm on the page",
            "a stitching line goes round its piece once",
            "Move the nodes there apart, and look for a node that was set twice.",
        )
    if len(segments) < 2 or abs(area) < 1.0:
        raise OutlineError(
            said,
            f"encloses {abs(area):.2f} mm2",
            "a piece of cloth has more than 1 mm2",
            "Check the drawing's scale.",
        )
    return outline


def _within(seg: Segment, z: complex) -> bool:
    return all(abs(point - z) <= CLOSING_GAP for point in seg)


def _lies_on(outline: Outline, shape: DrawnShape) -> bool:
    if shape.part in ("slash", "grain", "balance", "fold edge", "centre"):
        return outline.holds((shape.stroke[0][0] + shape.stroke[-1][-1]) / 2, SEAM_MARK)
    return _is_on(outline, shape)


def _is_on(outline: Outline, shape: DrawnShape) -> bool:
    # A notch may stand on the seam and point outwards, so an end that all but touches the piece is on it.
    ends = (shape.stroke[0][0], shape.stroke[-1][-1])
    return any(outline.holds(z, SEAM_MARK) for z in ends) or any(outline.holds(point_at(s, 0.5)) for s in shape.stroke)


def _bend(shape: DrawnShape) -> tuple[float, complex]:
    start, end = shape.stroke[0][0], shape.stroke[-1][-1]
    chord = end - start
    if abs(chord) <= ON_LINE:
        return float("inf"), start
    worst, spot = 0.0, start
    if len(shape.stroke) == 1 and len(shape.stroke[0]) == 2:
        return worst, spot
    for seg in shape.stroke:
        for k in range(1, 9):
            z = point_at(seg, k / 8)
            w = (z - start) / chord
            off = abs(w.imag) * abs(chord) + max(0.0, -w.real, w.real - 1) * abs(chord)
            if off > worst:
                worst, spot = off, z
    return worst, spot


def _straight(shape: DrawnShape, notes: list[str]) -> StraightLine:
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
    if bend > REPORT_BEND:
        notes.append(f"Slash line '{shape.name}' is bent by {bend:.2f} mm and is taken as straight.")
    return StraightLine(shape.name, shape.stroke[0][0], shape.stroke[-1][-1], shape.family)


def _if_straight(shape: DrawnShape) -> StraightLine | None:
    if _bend(shape)[0] > STRAIGHT:
        return None
    return StraightLine(shape.name, shape.stroke[0][0], shape.stroke[-1][-1], shape.family)


def _first_line(shapes: list[DrawnShape], part: str, notes: list[str]) -> StraightLine | None:
    found: list[StraightLine] = []
    for shape in shapes:
        if shape.part == part:
            # Arrow heads are drawn beside a grainline, as often as not in its group: the longest line is the line.
            line = _if_straight(shape)
            if line is not None:
                found.append(line)
    if not found and any(s.part == part for s in shapes):
        notes.append(f"The element named as {part} is not a straight line and is not used.")
    return max(found, key=lambda line: abs(line.end - line.start)) if found else None
