"""Writing a result: one SVG, true to scale, one user unit to the millimetre.

Every mark, line and letter is drawn from a stencil that svgwrite made; cf. `pleatsvg.drawing.stencil`.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import svgwrite.path
import svgwrite.shapes
import svgwrite.text

from pleatsvg.carry import CarriedLine
from pleatsvg.drawing.affine import Affine
from pleatsvg.drawing.names import INKSCAPE, SVG
from pleatsvg.drawing.stencil import Style, attributes, escaped, path_stencil, text_stencil
from pleatsvg.earlier import Earlier, EarlierLine, Tag
from pleatsvg.facts import PleatFacts
from pleatsvg.job import PleatedPiece
from pleatsvg.lettering import CAPITALS, Words
from pleatsvg.marks import Mark, stitched_span
from pleatsvg.passes import ROLE_CLASS, as_words
from pleatsvg.segment import Segment
from pleatsvg.sheet import HEADING_SIZES, MARGIN, ROW_PITCH, Sheet
from pleatsvg.tolerance import DECIMALS, ON_LINE
from pleatsvg.unfold import FlatLine
from pleatsvg.wholefile import refuse_output, write_whole
from pleatsvg.words import lap_name

_FONT = "Arial, Helvetica, Liberation Sans, DejaVu Sans, sans-serif"
_INK = "#1a1a1a"


def _lined(ink: str, width: str, dashes: str = "") -> Style:
    style = (("fill", "none"), ("stroke", ink), ("stroke-width", width))
    return (*style, ("stroke-dasharray", dashes)) if dashes else style


_STYLES: dict[str, Style] = {
    "cut-line": _lined(_INK, "0.7"),
    "seam-line": _lined(_INK, "0.6", "3 1.5"),
    "fold-line": _lined("#b3261e", "0.6"),
    "placement-line": _lined("#0b5fa5", "0.5", "9 2 1.5 2"),
    "inner-fold-line": _lined("#5f6b66", "0.4", "1 2"),
    "stitch-line": _lined("#1e6b3a", "0.5", "5 1 1 1"),
    "finished-line": _lined("#5f6b66", "0.35"),
    "finished-cut-line": _lined("#5f6b66", "0.35"),
    "grain-line": _lined(_INK, "0.5"),
    "free-edge": _lined("#5f6b66", "0.5", "0.5 1"),
    "join-line": _lined(_INK, "0.5", "8 1.5 1 1.5"),
    "fold-edge": _lined(_INK, "0.5", "12 3 2 3"),
    "fold-edge-ground": _lined("#ffffff", "1.3"),
    "fold-edge-run": _lined(_INK, "0.5", "3 3"),
    "baste-line": _lined("#7a5200", "0.4", "6 4"),
    "edge-stitch-line": _lined("#1e6b3a", "0.4", "1.5 1"),
    "stitch-down-line": _lined("#1e6b3a", "0.6", "4 1.2"),
}
"""Fold lines are solid, placement lines dash-dotted, so a black print tells them apart; the seam is broken as a
stitching line is (Univ. of Arkansas pattern symbols), never thinner than 0.35 mm."""

_MARK_STYLES: dict[str, Style] = {
    "fold": _lined("#b3261e", "0.5"),
    "placement": _lined("#0b5fa5", "0.5"),
    "inner": _lined("#5f6b66", "0.35"),
    "join": _lined(_INK, "0.5"),
    "seam": _lined(_INK, "0.5"),
    "stitch": _lined("#1e6b3a", "0.5"),
    "mate": _lined("#1e6b3a", "0.5"),
    "": _lined(_INK, "0.5"),
}

_SNIP = _lined(_INK, "1.2")


def write_result(result: PleatedPiece, path: str | os.PathLike[str], force: bool = False) -> None:
    """Write a result to a file, whole or not at all.

    Args:
        result: the flat piece.
        path: where to; its folder must exist.
        force: write over a file that is there.

    Raises:
        OutputError: the file is there, is the drawing itself, or cannot be written.
    """
    target = Path(path)
    refuse_output(target, force, Path(result.finished.file) if result.finished.file else None)
    write_whole(target, result_bytes(result))


def result_bytes(result: PleatedPiece) -> bytes:
    """Return a result as the bytes of its file: the same for the same input, with no dates and no random names."""
    sheet = result.sheet
    width, height = _number(sheet.width), _number(sheet.height)
    out = [
        "<?xml version='1.0' encoding='UTF-8'?>\n"
        f'<svg xmlns="{SVG}" xmlns:inkscape="{INKSCAPE}" version="1.1" '
        f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">\n'
        f"<title>{escaped(sheet.heading[0])}</title>\n"
    ]
    _heading(out, sheet)
    at = f"translate({_number(sheet.key_at.real)} {_number(round(sheet.key_at.imag, 3))})"
    out.append(_open_layer("key", "Key and print check", f' class="key" transform="{at}"{_LETTERS}'))
    out.append(_key(sheet.key))
    out.append(_CLOSE)
    _piece(out, result)
    out.append("</svg>\n")
    return "".join(out).encode()


_CLOSE = "</g>\n"
_LETTERS = attributes(font_family=_FONT, fill=_INK)


def _open_layer(name: str, plain: str, more: str = "") -> str:
    return f'<g id="{name}" inkscape:groupmode="layer" inkscape:label="{plain}"{more}>\n'


def _heading(out: list[str], sheet: Sheet) -> None:
    out.append(_open_layer("heading", "Heading", f' class="heading"{_LETTERS}'))
    y = MARGIN + HEADING_SIZES[0] * CAPITALS
    for k, row in enumerate(sheet.heading):
        before, after = _text_stencil("heading-row", HEADING_SIZES[min(k, 1)], None)
        out.append(f'{before} x="{_number(MARGIN)}" y="{_number(round(y, 3))}">{escaped(row)}{after}')
        y += ROW_PITCH + (1.5 if k == 0 else 0)
    out.append(_CLOSE)


def _piece(out: list[str], result: PleatedPiece) -> None:
    sheet, flat, cut = result.sheet, result.flat, result.finished_cut
    name = escaped(result.name)
    passes, earlier = result.number, result.earlier
    more = (
        f' class="piece" data-piece="{name}" data-passes="{passes}" data-pleats="{result.count}" '
        f'data-fold-back-mm="{result.worst_miss:.9f}"'
    )
    if result.cut_proof is not None:
        more += f' data-cut-fold-back-mm="{result.cut_proof.worst:.9f}"'
    out.append(_open_layer("piece", f"Piece: {name}", more))
    out.append(_open_layer("finished-shape", "Finished shape (hidden)", ' class="finished" style="display:none"'))
    kept = earlier.kept if earlier is not None else ()
    cuts = flat.cuts if flat.cut else ()
    finished = [result.finished_on_page.outline] if cut is None else [result.finished_on_page.outline, cut.outline]
    around = [line.strokes[0] for line in kept]
    around += [outline.segments for outline in (*finished, *cuts, *flat.seams)]
    data = _data([(segments, True) for segments in around] + [(run, False) for run in flat.free])
    for line in kept:
        _path(out, line.tag.role, next(data), line.tag.pass_)
    _path(out, "finished-line", next(data), passes)
    if cut is not None:
        _path(out, "finished-cut-line", next(data), passes)
    out.append(_CLOSE)
    if cuts:
        out.append(_open_layer("cutting-line", "Cutting line"))
        for _ in cuts:
            _path(out, "cut-line", next(data), passes)
        out.append(_CLOSE)
    seams = [next(data) for _ in flat.seams]
    free = (
        [_earlier_line(line) for line in earlier.lines if line.tag.role == "free-edge"] if earlier is not None else []
    )
    if flat.free or free:
        # For whoever folds the file back; dressmakers see these edges as parts of the seam and cutting lines.
        out.append(_open_layer("free-edges", "Free edges (hidden)", ' class="free-edges" style="display:none"'))
        out += free
        for run in data:
            _path(out, "free-edge", run, passes)
        out.append(_CLOSE)
    out.append(_open_layer("seam", "Seam line"))
    for seam in seams:
        _path(out, "seam-line", seam, passes)
    out.append(_CLOSE)
    if flat.joins:
        out.append(_open_layer("joins", "Joins"))
        before, after, end = path_stencil("join-line", _STYLES["join-line"])
        for join in flat.joins:
            crease = flat.creases[join.crease]
            more = f' data-join="{join.number}" data-pleat="{crease.pleat}" data-fold="{crease.folds[0]}"'
            for top, hem in (join.before, join.after):
                out.append(f'{before}M {_point(top)} L {_point(hem)}{after} data-pass="{passes}"{more}{end}')
        out.append(_CLOSE)
    about = {
        p.number: f' data-pleat="{p.number}" data-kind="{p.request.kind.name}" '
        f'data-lap="{lap_name(p.request, result.lines.upright)}"'
        for p in result.pleats
    }
    stitched = {p.number: p.request.stitched for p in result.pleats}
    marks = _marks(sheet.marks, sheet.offset, passes)
    for role, identifier, plain, lines in (
        ("fold", "fold-lines", "Fold lines", flat.creases),
        ("placement", "placement-lines", "Placement lines", flat.placements),
        ("inner", "inner-folds", "Inner folds", flat.creases),
        ("stitch", "stitching-lines", "Stitching lines of tucks", (*flat.creases, *flat.placements)),
    ):
        if role == "stitch" and not any(line.role == role for line in lines):
            continue
        out.append(_open_layer(identifier, plain))
        out.append(_lines(role, lines, about, result.marking.mark, stitched, passes))
        if role == "stitch":
            out.append(_lines("mate", lines, about, result.marking.mark, stitched, passes))
        out += marks.get(f"{role}-end", ())
        out.append(_CLOSE)
    for name, identifier, plain in (("notch", "notches", "Notches"), ("lap-arrow", "lap-arrows", "Lap arrows")):
        out.append(_open_layer(identifier, plain))
        out += marks.get(name, ())
        out.append(_CLOSE)
    if flat.fold_edge is not None:
        out.append(_open_layer("fold-edge", "Fold edge: cut on the fold"))
        top, hem = flat.fold_edge
        for edge in flat.cut:
            # The cutting line is closed along the fold; there it is covered, so that nobody cuts it.
            if max(abs(((z - top) / (hem - top)).imag) for z in edge.points) * abs(hem - top) < ON_LINE * 10:
                _path(out, "fold-edge-ground", _open_data([edge.points]), passes)
                for z in edge.points:
                    # Through the allowance, beyond the seam.
                    near = top if abs(z - top) < abs(z - hem) else hem
                    if near != z:
                        _path(out, "fold-edge-run", f"M {_point(z)} L {_point(near)}", passes)
        _path(out, "fold-edge", f"M {_point(top)} L {_point(hem)}", passes)
        out += marks.get("fold-edge-arrow", ())
        out.append(_CLOSE)
    # What is not on the page yet: lines of stitching, and what is carried.
    moved = _data(
        [(run, False) for line in sheet.stitching for run in line.runs]
        + [(line.segments, line.closed) for line in result.carriage.lines],
        sheet.offset,
    )
    _stitching(out, sheet, [" ".join(islice(moved, len(line.runs))) for line in sheet.stitching], passes)
    if result.grain is not None:
        out.append(_open_layer("grain", "Grainline"))
        _path(out, "grain-line", _grain_data(*result.grain), passes)
        for grain in sheet.grains:
            first, last = _rounded(_shifted(grain, sheet.offset))
            _path(out, "grain-line", _grain_data(first, last), passes)
        out.append(_CLOSE)
    if earlier is not None:
        _earlier(out, earlier)
    _carried(out, result, moved)
    out.append(_open_layer("lettering", "Lettering", _LETTERS))
    out += marks.get("leader", ())
    labels = {fact.number: about[fact.number] + _label_facts(fact) for fact in result.facts}
    _lettering(out, sheet.words, sheet.offset, about, labels, f' data-pass="{passes}"' if passes > 1 else "")
    out.append(_CLOSE + _CLOSE)


def _earlier(out: list[str], earlier: Earlier) -> None:
    # What the passes before left: their lines in as many strokes as the later folds part them, their marks and words.
    for number in range(1, earlier.passes + 1):
        out.append(_open_layer(f"pass-{number}", f"Pass {number}: lines and words", _LETTERS))
        out += [
            _earlier_line(line)
            for line in earlier.lines
            if line.tag.pass_ == number and line.tag.role != "free-edge" and line.strokes
        ]
        for mark in earlier.marks:
            tag = mark.tag
            if tag.pass_ == number:
                snip = tag.role == "notch" and sum(map(len, mark.strokes)) == 1
                of = tag.line or ("fold" if tag.role == "lap-arrow" else tag.role.removesuffix("-end"))
                style = _SNIP if snip else _MARK_STYLES.get(of, _MARK_STYLES[""])
                before, after, end = path_stencil(tag.role, style)
                data = " ".join([_open_data(stroke) for stroke in mark.strokes])
                out.append(f"{before}{data}{after}{_of_tag(tag)}{end}")
        for words in earlier.words:
            if words.tag.pass_ == number:
                _lettering(out, [as_words(words)], 0j, {}, {}, _of_tag(words.tag))
        out.append(_CLOSE)


def _earlier_line(line: EarlierLine) -> str:
    tag = line.tag
    before, after, end = path_stencil(tag.role, _STYLES[tag.role])
    data = " ".join([_open_data(stroke) for stroke in line.strokes])
    seen = f' style="stroke-dasharray:{escaped(tag.dashes.strip())}"' if tag.dashes else ""
    return f"{before}{data}{after}{seen}{_of_tag(tag)}{end}"


def _of_tag(tag: Tag) -> str:
    more = f' data-pass="{tag.pass_}"'
    if tag.pleat:
        more += f' data-pleat="{tag.pleat}"'
    if tag.kind:
        more += f' data-kind="{escaped(tag.kind)}" data-lap="{escaped(tag.lap)}"'
    if tag.folds:
        more += f' data-fold="{_listed(tag.folds)}"'
    if tag.crease and tag.role == "stitch-line":
        more += ' data-crease="yes"'
    if tag.end:
        more += f' data-line="{escaped(tag.line)}" data-end="{escaped(tag.end)}"'
    return more


def _carried(out: list[str], result: PleatedPiece, data: Iterator[str]) -> None:
    offset = result.sheet.offset
    drawn = list(zip(result.carriage.lines, data, strict=True))
    for balance, identifier, plain in ((True, "balance-lines", "Balance lines"), (False, "carried", "Carried marks")):
        lines = [_carried_line(line, at, result.number) for line, at in drawn if line.balance == balance]
        if lines:
            out.append(_open_layer(identifier, plain))
            out += lines
            out.append(_CLOSE)
    if result.carriage.texts:
        out.append(_open_layer("carried-lettering", "Carried lettering"))
        for text in result.carriage.texts:
            turn, shift, _ = text.motion
            shift += offset
            matrix = Affine(turn.real, turn.imag, -turn.imag, turn.real, shift.real, shift.imag) @ Affine(
                *text.text.matrix
            )
            numbers = " ".join([f"{number:.9g}" for number in matrix])
            more = attributes(class_="carried-text", data_name=text.text.name, transform=f"matrix({numbers})")
            out.append(f"<g{more}>{text.text.markup}</g>\n")
        out.append(_CLOSE)


def _carried_line(line: CarriedLine, data: str, passes: int) -> str:
    look = dict(line.look)
    if line.balance or not line.closed:
        # An open line has no inside to fill, and one without a line of its own would not be seen.
        look["fill"] = "none"
        if look.get("stroke", "none") == "none":
            look |= {"stroke": _INK, "stroke-width": "0.4"}
    name = "balance-line" if line.balance else "carried-line"
    styled = "".join([f' {key}="{escaped(value)}"' for key, value in look.items()])
    return f'<path class="{name}" d="{data}"{styled} data-pass="{passes}" data-name="{escaped(line.name)}" />\n'


def _shifted(segment: Segment, offset: complex) -> Segment:
    return tuple([z + offset for z in segment])


_INTAKES = ' data-intake-mm="%.4f" data-hem-intake-mm="%.4f"'
_INTAKES_AND_GRAIN = f'{_INTAKES} data-grain-degrees="%.3f"'


def _label_facts(fact: PleatFacts) -> str:
    if fact.grain_degrees is None:
        return _INTAKES % (fact.intake_top, fact.intake_hem)
    return _INTAKES_AND_GRAIN % (fact.intake_top, fact.intake_hem, fact.grain_degrees)


def _path(out: list[str], name: str, data: str, pass_: int) -> None:
    before, after, end = path_stencil(name, _STYLES[name])
    out.append(f'{before}{data}{after} data-pass="{pass_}"{end}')


@lru_cache(maxsize=32)
def _line_form(role: str, nodes: int, pass_: int) -> tuple[str, str, str]:
    # A line's SVG with its nodes left open; between its parts go how much of it is seen, and its pleat and folds.
    name = ROLE_CLASS[role]
    before, after, end = path_stencil(name, _STYLES[name])
    crease = ' data-crease="yes"' if role == "stitch" else ""
    data = " L ".join([_POINT] * nodes)
    return f"{before}M {data}{after}", f' data-pass="{pass_}"', f"{crease}{end}"


def _lines(
    role: str,
    lines: Sequence[FlatLine],
    about: dict[int, str],
    mark: float | None,
    stitched: dict[int, tuple[float | None, str]],
    pass_: int,
) -> str:
    # All lines of a role, filled in in one go.
    forms: list[str] = []
    spots: list[complex] = []
    for of_role, pleat, folds, top, hem, _, out_top, out_hem, _ in lines:
        if of_role == role:
            # Nodes where it meets the seam, ends on the cutting line.
            nodes = (top, hem) if out_top == top else (out_top, top, hem)
            if out_hem != hem:
                nodes = (*nodes, out_hem)
            spots += nodes
            seen = ""
            far, whence = stitched[pleat]
            if far is not None:
                length, out = abs(hem - top), abs(out_top - top)
                start, end = stitched_span(length, (far, whence))
                # Stitching that reaches the seam is begun at the edge of the cloth.
                end += out if end < length else out + abs(out_hem - hem)
                seen = _seen(role, out + start if start else 0.0, end)
            elif mark is not None:
                seen = _seen(role, 0.0, abs(out_top - top) + mark)
            before, after, close = _line_form(role, len(nodes), pass_)
            forms.append(f'{before}{seen}{after}{about[pleat]} data-fold="{_listed(folds)}"{close}')
    return "".join(forms) % _numbers(np.array(spots, complex))


def _seen(role: str, start: float, end: float) -> str:
    # The line is written whole, so that it folds true; its dashes show what is to be seen of it.
    dashes = dict(_STYLES[ROLE_CLASS[role]]).get("stroke-dasharray", "")
    pattern = [float(word) for word in dashes.split()] or [end - start, 0.0]
    made: list[float] = [0.0, start] if start else []
    left = end - start
    while left > 1e-9:
        for run in pattern:
            made.append(min(run, left))
            left -= made[-1]
            if left <= 1e-9:
                break
    if len(made) % 2 == 0:
        made[-1] += 1e5
    else:
        made.append(1e5)
    return f' style="stroke-dasharray:{",".join(f"{run:.6g}" for run in made)}"'


def _stitching(out: list[str], sheet: Sheet, data: list[str], pass_: int) -> None:
    for name, identifier, plain in (
        ("baste-line", "basting-line", "Basting line"),
        ("edge-stitch-line", "edge-stitching", "Edge stitching"),
        ("stitch-down-line", "stitching-down", "Stitching down"),
    ):
        lines = [(line, drawn) for line, drawn in zip(sheet.stitching, data, strict=True) if line.name == name]
        if not lines:
            continue
        out.append(_open_layer(identifier, plain))
        before, after, end = path_stencil(name, _STYLES[name])
        for line, drawn in lines:
            more = f' data-pleat="{line.pleat}" data-fold="{line.fold}"' if line.pleat else ""
            out.append(f'{before}{drawn}{after} data-pass="{pass_}"{more}{end}')
        out.append(_CLOSE)


def _rounded(segment: Segment) -> Segment:
    return tuple([complex(round(z.real, 6), round(z.imag, 6)) for z in segment])


def _listed(folds: tuple[int, ...]) -> str:
    return str(folds[0]) if len(folds) == 1 else " ".join(map(str, folds))


@lru_cache(maxsize=1024)
def _mark_form(
    name: str, strokes: tuple[int, ...], line: str, pleat: int, folds: tuple[int, ...], end: str, pass_: int
) -> tuple[str, str, str]:
    # A mark's SVG in three parts: up to its data, the data with its points left open, and the rest.
    # A snip lies on its own fold line, and is seen by its weight.
    style = _SNIP if name == "notch" and strokes == (2,) else _MARK_STYLES[line]
    before, after, close = path_stencil(name, style)
    more = f' data-line="{line}" data-end="{end}"' if end else ""
    of = f'data-pass="{pass_}" data-pleat="{pleat}" data-fold="{_listed(folds)}"'
    return before, _runs(strokes), f"{after} {of}{more}{close}"


def _runs(strokes: tuple[int, ...]) -> str:
    return " ".join(["M %.3f,%.3f" + " L %.3f,%.3f" * (points - 1) for points in strokes])


def _marks(marks: Sequence[Mark], offset: complex, pass_: int) -> dict[str, list[str]]:
    # By name; the data of all is filled in in one go.
    parts: list[tuple[str, str, str]] = []
    spots: list[complex] = []
    for name, points, strokes, line, pleat, folds, end in marks:
        parts.append(_mark_form(name, strokes, line, pleat, folds, end, pass_))
        spots += points
    filled = "\n".join([data for _, data, _ in parts]) % _numbers(np.array(spots, complex) + offset)
    made: dict[str, list[str]] = {}
    for mark, (before, _, after), data in zip(marks, parts, filled.splitlines(), strict=True):
        made.setdefault(mark[0], []).append(f"{before}{data}{after}")
    return made


def _grain_data(start: complex, end: complex) -> str:
    way = (end - start) / abs(end - start)
    head, side = 5.0 * way, 2.0j * way
    heads = (start + head + side, start, start + head - side, end - head + side, end, end - head - side)
    return f"M {_point(start)} L {_point(end)} " + _runs((3, 3)) % tuple([n for z in heads for n in (z.real, z.imag)])


@lru_cache(maxsize=32)
def _text_stencil(name: str, size: float, anchor: str | None) -> tuple[str, str]:
    style = (("font-size", str(size)), *((("text-anchor", anchor),) if anchor else ()))
    before, after = text_stencil(name, style)
    return before, after + "\n"


@lru_cache(maxsize=32)
def _label_form(name: str, size: float, turned: bool) -> str:
    # A label's SVG with its place, its turn, what belongs to it and its words left open.
    before, after = _text_stencil(name, size, "middle")
    turn = ' transform="rotate(%.4f %.3f %.3f)"' if turned else ""
    return f'{before} x="%.3f" y="%.3f"{turn}%s>%s{after}'


def _lettering(
    out: list[str],
    words: Sequence[Words],
    offset: complex,
    about: dict[int, str],
    labels: dict[int, str],
    behind: str = "",
) -> None:
    # The middle is half-way up the capitals; the baseline lies half of their height below it.
    for text, middle, turn, size, name, pleat in words:
        here = middle + offset
        x, y = here.real, here.imag
        base = y + size * CAPITALS / 2
        more = (labels if name == "pleat-label" else about).get(pleat, "") + behind
        if turn:
            out.append(_label_form(name, size, True) % (x, base, turn, x, y, more, escaped(text)))
        else:
            out.append(_label_form(name, size, False) % (x, base, more, escaped(text)))


_Strokes = tuple[tuple[tuple[float, float], ...], ...]

_STROKE_OUT: _Strokes = (((68, 3), (68, -3)),)
_TRIANGLE_OUT: _Strokes = (((80, 2.5), (82, -2.5), (84, 2.5), (80, 2.5)),)
_ARROW: _Strokes = (((89, 0), (66, 0)), ((69, -1.6), (65, 0), (69, 1.6)))
_DOUBLE_TICK: _Strokes = (((90.5, -2), (90.5, 2)), ((92, -2), (92, 2)))

_KEY_ROWS: dict[str, tuple[str, tuple[tuple[str, _Strokes], ...], str]] = {
    "cut-line": ("cut-line", (), "cutting line: cut here"),
    "seam-line": ("seam-line", (), "seam line: stitch here"),
    "fold-line": (
        "fold-line",
        (("fold", (((65, -2), (69, 2)), ((65, 2), (69, -2)), ((85, -2), (89, 2)), ((85, 2), (89, -2)))),),
        "FOLD: fold line, a cross at each end",
    ),
    "placement-line": (
        "placement-line",
        (("placement", (((67, -3), (67, 3)), ((87, -3), (87, 3)))),),
        "PLACE: placement line, a short bar at each end; the fold line comes to lie here",
    ),
    "inner-fold-line": ("inner-fold-line", (), "INNER FOLD: folds the other way, hidden underneath"),
    "stitch-line": (
        "stitch-line",
        (),
        "STITCH: the two stitching lines of a tuck, sewn together as far as they are drawn; the fold lies between them",
    ),
    "fold-line-plain": ("fold-line", (), "FOLD: fold line of a tuck"),
    "lap-tuck": ("", (("fold", _ARROW),), "the way a tuck is brought over: from stitching line to stitching line"),
    "notches-tuck": (
        "",
        (("fold", _STROKE_OUT), ("stitch", _TRIANGLE_OUT)),
        "notches: a stroke at the fold line of a tuck, triangles at its stitching lines",
    ),
    "notches-cut-tuck": (
        "",
        (("fold", _STROKE_OUT), ("stitch", _TRIANGLE_OUT)),
        "notches: snip into the allowance at the fold line of a tuck; triangles outwards at its stitching lines",
    ),
    "notches-snip-tuck": (
        "",
        (("fold", _STROKE_OUT), ("stitch", (((82, -3), (82, 3)),))),
        "notches: snip into the allowance at the fold and stitching lines of a tuck, never into the seam",
    ),
    "notches-triangle-tuck": (
        "",
        (("fold", (((66, 2.5), (68, -2.5), (70, 2.5), (66, 2.5)),)), ("stitch", _TRIANGLE_OUT)),
        "notches: triangles outwards at the fold and stitching lines of a tuck",
    ),
    "lap": ("", (("fold", _ARROW),), "lap: from the fold line to its placement line"),
    "notches": (
        "",
        (("fold", _STROKE_OUT), ("placement", _TRIANGLE_OUT)),
        "notches: a stroke at a fold line, a triangle at a placement line",
    ),
    "notches-cut": (
        "",
        (("fold", _STROKE_OUT), ("placement", _TRIANGLE_OUT)),
        "notches: snip into the allowance at a fold line; a triangle outwards at a placement line",
    ),
    "notches-snip": (
        "",
        (("fold", _STROKE_OUT), ("placement", (((82, -3), (82, 3)),))),
        "notches: snip into the allowance at fold and placement lines, never into the seam",
    ),
    "notches-triangle": (
        "",
        (("fold", (((66, 2.5), (68, -2.5), (70, 2.5), (66, 2.5)),)), ("placement", _TRIANGLE_OUT)),
        "notches: a triangle outwards at fold and placement lines",
    ),
    "baste-line": ("baste-line", (), "BASTE: tack the folded pleats across the top here, before pressing"),
    "edge-stitch-line": (
        "edge-stitch-line",
        (("", _DOUBLE_TICK),),
        "EDGE STITCH: through the fold alone, to the double tick",
    ),
    "stitch-down-line": (
        "stitch-down-line",
        (("", _DOUBLE_TICK),),
        "STITCH DOWN: through all layers, to the double tick",
    ),
    "fold-edge": (
        "fold-edge",
        (("", (((64, -0.4), (64, -2.4), (90, -2.4), (90, -0.4)),)),),
        "FOLD EDGE: lay this edge on a fold of the cloth; do not cut it",
    ),
    "join-line": ("join-line", (), "JOIN: sew the parts together here, equal numbers and notches meeting"),
    "grain-line": ("grain-line", (("", (((66, -2), (62, 0), (66, 2)), ((88, -2), (92, 0), (88, 2)))),), "grain"),
}
"""By row: class of the sample line, signs drawn over it (whose ink, strokes about the row's middle, mm), words."""


@lru_cache(maxsize=64)
def _key(rows: tuple[str, ...]) -> str:
    # The key and the print check are made once for all sheets that have the same rows.
    parts: list[Any] = []
    square = svgwrite.shapes.Rect((0, 0), (50, 50), class_="check-square", fill="none", stroke=_INK, debug=False)
    square["stroke-width"] = 0.35
    parts.append(square)
    for k, row in enumerate(("50 mm square:", "measure it on", "the print first")):
        parts.append(_key_text(row, 25, 19 + 7 * k, "middle"))
    bar = svgwrite.path.Path("M 62 6 L 162 6 M 62 3 L 62 9 M 112 4.5 L 112 7.5 M 162 3 L 162 9", debug=False)
    bar["class"], bar["fill"], bar["stroke"], bar["stroke-width"] = "check-bar", "none", _INK, 0.35
    parts.append(bar)
    parts.append(_key_text("100 mm", 165, 7.6, "start"))
    y = 17.0
    for row in rows:
        name, signs, words = _KEY_ROWS[row]
        if name:
            parts.append(_key_sample(f"key-{name}", f"M 62 {y} L 92 {y}", _STYLES[name]))
        for line, strokes in signs:
            data = " ".join("M " + " L ".join(f"{px} {round(y + py, 3)}" for px, py in stroke) for stroke in strokes)
            snip = row.startswith("notches") and all(len(stroke) == 2 for stroke in strokes)
            parts.append(_key_sample("key-sign", data, _SNIP if snip else _MARK_STYLES[line]))
        parts.append(_key_text(words, 97, y + 1.5, "start"))
        y += ROW_PITCH
    return "".join([part.tostring() + "\n" for part in parts])


def _key_text(words: str, x: float, y: float, anchor: str) -> Any:
    text = svgwrite.text.Text(words, insert=(x, round(y, 3)), class_="key-words", debug=False)
    text["font-size"], text["text-anchor"] = 4.2, anchor
    return text


def _key_sample(name: str, data: str, style: Style) -> Any:
    sample = svgwrite.path.Path(d=data, class_=name, debug=False)
    for key, value in style:
        sample[key] = value
    return sample


def _data(runs: Sequence[tuple[Sequence[Segment], bool]], offset: complex | None = None) -> Iterator[str]:
    # The data of many runs, each with whether it is closed, printed in one go; those that are not on the page yet are moved
    # there by an offset and rounded.
    forms: list[str] = []
    spots: list[complex] = []
    for segments, closed in runs:
        spots.append(segments[0][0])
        for seg in segments:
            spots += seg[1:]
        form = "".join([_STEPS[len(seg)] for seg in segments])
        forms.append(f"M {_POINT}{form} Z" if closed else f"M {_POINT}{form}")
    points = np.array(spots, complex)
    if offset is not None:
        points = np.round((points + offset).view(float), DECIMALS)
    return iter(("\n".join(forms) % _numbers(points)).splitlines())


def _open_data(segments: Sequence[Segment]) -> str:
    return next(_data([(segments, False)]))


_POINT = "%.13g,%.13g"
"""Already rounded to the 6 decimals that are written: up to 10 km these digits give back what was proven, bit for bit, and
take half the time of the shortest form."""

_STEPS = {2: f" L {_POINT}", 4: f" C {_POINT} {_POINT} {_POINT}"}


def _numbers(spots: npt.NDArray[Any]) -> tuple[float, ...]:
    # Across and down of one point after another.
    return tuple(spots.view(float).tolist())


def _point(z: complex) -> str:
    return _POINT % (z.real, z.imag)


def _number(value: float) -> str:
    text = repr(value)
    return text[:-2] if text.endswith(".0") else text
