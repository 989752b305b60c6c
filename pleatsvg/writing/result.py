"""Writing a result: one SVG, true to scale, one user unit to the millimetre.

Every mark, line and letter is drawn from a stencil that svgwrite made; cf. `pleatsvg.drawing.stencil`.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import islice
from pathlib import Path

import numpy as np

from pleatsvg.drawing.affine import Affine
from pleatsvg.drawing.names import INKSCAPE, SVG
from pleatsvg.flat.carried import CarriedLine
from pleatsvg.flat.facts import PleatFacts
from pleatsvg.geometry.segment import Segment
from pleatsvg.page.compose import Sheet
from pleatsvg.page.measures import HEADING_SIZES, MARGIN, ROW_PITCH
from pleatsvg.pleated import PleatedPiece
from pleatsvg.pleats.words import lap_name
from pleatsvg.result.lettering import CAPITALS
from pleatsvg.result.mark import Mark
from pleatsvg.tolerance import ON_LINE
from pleatsvg.wholefile import refuse_output, write_whole
from pleatsvg.writing.earlier import earlier_layers, earlier_line_element
from pleatsvg.writing.inks import INK, MARK_STYLES, SNIP_STYLE, STYLES
from pleatsvg.writing.key import key_elements
from pleatsvg.writing.layers import CLOSE, LETTERS, open_layer
from pleatsvg.writing.lettering import lettering, sized_stencil
from pleatsvg.writing.lines import line_elements, listed, path_element
from pleatsvg.writing.numbers import closed_path_data, number, numbers, open_path_data, point
from pleatsvg.writing.stencil import attributes, escaped, path_stencil


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
    width, height = number(sheet.width), number(sheet.height)
    out = [
        "<?xml version='1.0' encoding='UTF-8'?>\n"
        f'<svg xmlns="{SVG}" xmlns:inkscape="{INKSCAPE}" version="1.1" '
        f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">\n'
        f"<title>{escaped(sheet.heading[0])}</title>\n"
    ]
    _heading(out, sheet)
    at = f"translate({number(sheet.key_at.real)} {number(round(sheet.key_at.imag, 3))})"
    out.append(open_layer("key", "Key and print check", f' class="key" transform="{at}"{LETTERS}'))
    out.append(key_elements(sheet.key))
    out.append(CLOSE)
    _piece(out, result)
    out.append("</svg>\n")
    return "".join(out).encode()


def _heading(out: list[str], sheet: Sheet) -> None:
    out.append(open_layer("heading", "Heading", f' class="heading"{LETTERS}'))
    y = MARGIN + HEADING_SIZES[0] * CAPITALS
    for k, row in enumerate(sheet.heading):
        before, after = sized_stencil("heading-row", HEADING_SIZES[min(k, 1)], None)
        out.append(f'{before} x="{number(MARGIN)}" y="{number(round(y, 3))}">{escaped(row)}{after}')
        y += ROW_PITCH + (1.5 if k == 0 else 0)
    out.append(CLOSE)


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
    out.append(open_layer("piece", f"Piece: {name}", more))
    out.append(open_layer("finished-shape", "Finished shape (hidden)", ' class="finished" style="display:none"'))
    kept = earlier.kept if earlier is not None else ()
    cuts = flat.cuts if flat.cut else ()
    finished = [result.finished_on_page.outline] if cut is None else [result.finished_on_page.outline, cut.outline]
    around = [line.strokes[0] for line in kept]
    around += [outline.segments for outline in (*finished, *cuts, *flat.seams)]
    data = closed_path_data([(segments, True) for segments in around] + [(run, False) for run in flat.free])
    for line in kept:
        path_element(out, line.tag.role, next(data), line.tag.pass_)
    path_element(out, "finished-line", next(data), passes)
    if cut is not None:
        path_element(out, "finished-cut-line", next(data), passes)
    out.append(CLOSE)
    if cuts:
        out.append(open_layer("cutting-line", "Cutting line"))
        for _ in cuts:
            path_element(out, "cut-line", next(data), passes)
        out.append(CLOSE)
    seams = [next(data) for _ in flat.seams]
    free = (
        [earlier_line_element(line) for line in earlier.lines if line.tag.role == "free-edge"]
        if earlier is not None
        else []
    )
    if flat.free or free:
        # For whoever folds the file back; dressmakers see these edges as parts of the seam and cutting lines.
        out.append(open_layer("free-edges", "Free edges (hidden)", ' class="free-edges" style="display:none"'))
        out += free
        for run in data:
            path_element(out, "free-edge", run, passes)
        out.append(CLOSE)
    out.append(open_layer("seam", "Seam line"))
    for seam in seams:
        path_element(out, "seam-line", seam, passes)
    out.append(CLOSE)
    if flat.joins:
        out.append(open_layer("joins", "Joins"))
        before, after, end = path_stencil("join-line", STYLES["join-line"])
        for join in flat.joins:
            crease = flat.creases[join.crease]
            more = f' data-join="{join.number}" data-pleat="{crease.pleat}" data-fold="{crease.folds[0]}"'
            for top, hem in (join.before, join.after):
                out.append(f'{before}M {point(top)} L {point(hem)}{after} data-pass="{passes}"{more}{end}')
        out.append(CLOSE)
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
        out.append(open_layer(identifier, plain))
        out.append(line_elements(role, lines, about, result.marking.mark, stitched, passes))
        if role == "stitch":
            out.append(line_elements("mate", lines, about, result.marking.mark, stitched, passes))
        out += marks.get(f"{role}-end", ())
        out.append(CLOSE)
    for name, identifier, plain in (("notch", "notches", "Notches"), ("lap-arrow", "lap-arrows", "Lap arrows")):
        out.append(open_layer(identifier, plain))
        out += marks.get(name, ())
        out.append(CLOSE)
    if flat.fold_edge is not None:
        out.append(open_layer("fold-edge", "Fold edge: cut on the fold"))
        top, hem = flat.fold_edge
        for edge in flat.cut:
            # The cutting line is closed along the fold; there it is covered, so that nobody cuts it.
            if max(abs(((z - top) / (hem - top)).imag) for z in edge.points) * abs(hem - top) < ON_LINE * 10:
                path_element(out, "fold-edge-ground", open_path_data([edge.points]), passes)
                for z in edge.points:
                    # Through the allowance, beyond the seam.
                    near = top if abs(z - top) < abs(z - hem) else hem
                    if near != z:
                        path_element(out, "fold-edge-run", f"M {point(z)} L {point(near)}", passes)
        path_element(out, "fold-edge", f"M {point(top)} L {point(hem)}", passes)
        out += marks.get("fold-edge-arrow", ())
        out.append(CLOSE)
    # What is not on the page yet: lines of stitching, and what is carried.
    moved = closed_path_data(
        [(run, False) for line in sheet.stitching for run in line.runs]
        + [(line.segments, line.closed) for line in result.carriage.lines],
        sheet.offset,
    )
    _stitching(out, sheet, [" ".join(islice(moved, len(line.runs))) for line in sheet.stitching], passes)
    if result.grain is not None:
        out.append(open_layer("grain", "Grainline"))
        path_element(out, "grain-line", _grain_data(*result.grain), passes)
        for grain in sheet.grains:
            first, last = _rounded(_shifted(grain, sheet.offset))
            path_element(out, "grain-line", _grain_data(first, last), passes)
        out.append(CLOSE)
    if earlier is not None:
        earlier_layers(out, earlier)
    _carried(out, result, moved)
    out.append(open_layer("lettering", "Lettering", LETTERS))
    out += marks.get("leader", ())
    labels = {fact.number: about[fact.number] + _label_facts(fact) for fact in result.facts}
    lettering(out, sheet.words, sheet.offset, about, labels, f' data-pass="{passes}"' if passes > 1 else "")
    out.append(CLOSE + CLOSE)


def _carried(out: list[str], result: PleatedPiece, data: Iterator[str]) -> None:
    offset = result.sheet.offset
    drawn = list(zip(result.carriage.lines, data, strict=True))
    for balance, identifier, plain in ((True, "balance-lines", "Balance lines"), (False, "carried", "Carried marks")):
        lines = [_carried_line(line, at, result.number) for line, at in drawn if line.balance == balance]
        if lines:
            out.append(open_layer(identifier, plain))
            out += lines
            out.append(CLOSE)
    if result.carriage.texts:
        out.append(open_layer("carried-lettering", "Carried lettering"))
        for text in result.carriage.texts:
            turn, shift, _ = text.motion
            shift += offset
            matrix = Affine(turn.real, turn.imag, -turn.imag, turn.real, shift.real, shift.imag) @ Affine(
                *text.text.matrix
            )
            six = " ".join([f"{entry:.9g}" for entry in matrix])
            more = attributes(class_="carried-text", data_name=text.text.name, transform=f"matrix({six})")
            out.append(f"<g{more}>{text.text.markup}</g>\n")
        out.append(CLOSE)


def _carried_line(line: CarriedLine, data: str, passes: int) -> str:
    look = dict(line.look)
    if line.balance or not line.closed:
        # An open line has no inside to fill, and one without a line of its own would not be seen.
        look["fill"] = "none"
        if look.get("stroke", "none") == "none":
            look |= {"stroke": INK, "stroke-width": "0.4"}
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


def _stitching(out: list[str], sheet: Sheet, data: list[str], pass_: int) -> None:
    for name, identifier, plain in (
        ("baste-line", "basting-line", "Basting line"),
        ("edge-stitch-line", "edge-stitching", "Edge stitching"),
        ("stitch-down-line", "stitching-down", "Stitching down"),
    ):
        lines = [(line, drawn) for line, drawn in zip(sheet.stitching, data, strict=True) if line.name == name]
        if not lines:
            continue
        out.append(open_layer(identifier, plain))
        before, after, end = path_stencil(name, STYLES[name])
        for line, drawn in lines:
            more = f' data-pleat="{line.pleat}" data-fold="{line.fold}"' if line.pleat else ""
            out.append(f'{before}{drawn}{after} data-pass="{pass_}"{more}{end}')
        out.append(CLOSE)


def _rounded(segment: Segment) -> Segment:
    return tuple([complex(round(z.real, 6), round(z.imag, 6)) for z in segment])


@lru_cache(maxsize=1024)
def _mark_form(
    name: str, strokes: tuple[int, ...], line: str, pleat: int, folds: tuple[int, ...], end: str, pass_: int
) -> tuple[str, str, str]:
    # A mark's SVG in three parts: up to its data, the data with its points left open, and the rest.
    # A snip lies on its own fold line, and is seen by its weight.
    style = SNIP_STYLE if name == "notch" and strokes == (2,) else MARK_STYLES[line]
    before, after, close = path_stencil(name, style)
    more = f' data-line="{line}" data-end="{end}"' if end else ""
    of = f'data-pass="{pass_}" data-pleat="{pleat}" data-fold="{listed(folds)}"'
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
    filled = "\n".join([data for _, data, _ in parts]) % numbers(np.array(spots, complex) + offset)
    made: dict[str, list[str]] = {}
    for mark, (before, _, after), data in zip(marks, parts, filled.splitlines(), strict=True):
        made.setdefault(mark[0], []).append(f"{before}{data}{after}")
    return made


def _grain_data(start: complex, end: complex) -> str:
    way = (end - start) / abs(end - start)
    head, side = 5.0 * way, 2.0j * way
    heads = (start + head + side, start, start + head - side, end - head + side, end, end - head - side)
    return f"M {point(start)} L {point(end)} " + _runs((3, 3)) % tuple([n for z in heads for n in (z.real, z.imag)])
