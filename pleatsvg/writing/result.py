"""Writing a result: one SVG, true to scale, one user unit to the millimetre.

Every mark, line and letter is drawn from a stencil that svgwrite made; cf. `pleatsvg.writing.stencil`.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import islice
from pathlib import Path

from pleatsvg.drawing.affine import Affine
from pleatsvg.drawing.names import INKSCAPE, SVG
from pleatsvg.flat.carried import CarriedLine
from pleatsvg.flat.facts import PleatFacts
from pleatsvg.flat.flat_piece import Unfolded
from pleatsvg.marks.seen import seen_parts, stitched_parts
from pleatsvg.page.compose import Sheet
from pleatsvg.page.fitted_table import TABLE_CELL
from pleatsvg.page.measures import HEADING_SIZES, MARGIN, ROW_PITCH
from pleatsvg.pleated import PleatedPiece
from pleatsvg.pleats.words import lap_name
from pleatsvg.result.classes import CLASSES, INK, LAYERS, LAYERS_ABOVE, SEEN_OF, EditorLayer
from pleatsvg.result.lettering import CAPITALS, SIZE
from pleatsvg.result.mark import Mark, MeasuredNotch
from pleatsvg.tolerance import DECIMALS, ON_LINE
from pleatsvg.wholefile import refuse_output, write_whole
from pleatsvg.writing.earlier import earlier_layers, earlier_line_element, earlier_tags
from pleatsvg.writing.inks import mark_style
from pleatsvg.writing.key import key_elements
from pleatsvg.writing.layers import CLOSE, LETTERS, open_layer, paper_of
from pleatsvg.writing.lettering import lettering, sized_stencil
from pleatsvg.writing.lines import line_elements, listed, path_element
from pleatsvg.writing.numbers import (
    LINE,
    START,
    STROKE,
    closed_path_data,
    number,
    open_path_data,
    path_rows,
    point,
    side_by_side,
)
from pleatsvg.writing.readable import refuse_unreadable
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
    refuse_output(target, force, *([Path(result.finished.file)] if result.finished.file else []))
    write_whole(target, result_bytes(result))


def result_bytes(result: PleatedPiece) -> bytes:
    """Return a result as the bytes of its file: the same for the same input, with no dates and no random names.

    Raises:
        FitError: it would hold more than can be read of a drawing.
    """
    sheet = result.sheet
    width, height = number(sheet.width), number(sheet.height)
    out = [
        "<?xml version='1.0' encoding='UTF-8'?>\n"
        f'<svg xmlns="{SVG}" xmlns:inkscape="{INKSCAPE}" version="1.1" '
        f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">\n'
        f"<title>{escaped(sheet.heading[0])}</title>\n"
        f"{paper_of(width, height)}\n"
    ]
    _heading(out, sheet)
    at = f"translate({number(sheet.key_at.real)} {number(round(sheet.key_at.imag, 3))})"
    out.append(open_layer("key", "Key and print check", f' class="key" transform="{at}"{LETTERS}'))
    out.append(key_elements(sheet.key))
    _table(out, sheet)
    out.append(CLOSE)
    _piece(out, result)
    out.append("</svg>\n")
    data = "".join(out).encode()
    refuse_unreadable(data, result.name)
    return data


def _heading(out: list[str], sheet: Sheet) -> None:
    out.append(open_layer("heading", "Heading", f' class="heading"{LETTERS}'))
    y = MARGIN + HEADING_SIZES[0] * CAPITALS
    for k, row in enumerate(sheet.heading):
        before, after = sized_stencil("heading-row", HEADING_SIZES[min(k, 1)], None)
        out.append(f'{before} x="{number(MARGIN)}" y="{number(round(y, 3))}">{escaped(row)}{after}')
        y += ROW_PITCH + (1.5 if k == 0 else 0)
    out.append(CLOSE)


def _table(out: list[str], sheet: Sheet) -> None:
    # Of a fitted piece: with the key, since it belongs to the page and not to the piece.
    if not sheet.table.columns:
        return
    at = f"translate({number(sheet.table_at.real)} {number(round(sheet.table_at.imag, 3))})"
    out.append(open_layer("fitted-table", "Table: spaces and intakes", f' transform="{at}"'))
    # Of each column and of each row the place is printed once.
    down = [f'" y="{number(round(y, 3))}">' for y in sheet.table.down]
    for words, first, across, ends in sheet.table.columns:
        before, after = sized_stencil(TABLE_CELL, SIZE, "end" if ends else None)
        start = f'{before} x="{number(round(across, 3))}'
        shown = words if escaped(whole := "".join(words)) == whole else list(map(escaped, words))
        out += [f"{start}{y}{one}{after}" for one, y in zip(shown, down[first:], strict=False) if one]
    out.append(CLOSE)


class _Layers:
    """What is written into each layer, in the order in which it is added; the table of classes says which layer."""

    def __init__(self) -> None:
        self._held: dict[str, list[str]] = {}
        self.count: Counter[str] = Counter()

    def add(self, name: str, *elements: str) -> None:
        """Add elements of a class, each by itself; a class that is in no table is an error."""
        self.of(name).extend(elements)
        self.count[name] += len(elements)

    def add_each(self, elements: Iterable[tuple[str, str]]) -> None:
        """Add elements of many classes, each with the name of its class."""
        names: list[str] = []
        held: dict[str, list[str]] = {}
        for name, element in elements:
            names.append(name)
            if name not in held:
                held[name] = self.of(name)
            held[name].append(element)
        self.count.update(names)

    def of(self, name: str) -> list[str]:
        """Return the list that elements of a class stand in; whoever adds to it counts them, too."""
        return self._held.setdefault(CLASSES[name].layer.id, [])

    def write(self, out: list[str], layers: Sequence[EditorLayer]) -> None:
        """Write these layers, those that hold something and those that are always there."""
        for layer in layers:
            held = self._held.get(layer.id, ())
            if held or layer.always:
                more = f' class="{layer.hidden}" style="display:none"' if layer.hidden else ""
                out.append(open_layer(layer.id, layer.plain, LETTERS if layer.id == "lettering" else more))
                out += held
                out.append(CLOSE)


def _piece(out: list[str], result: PleatedPiece) -> None:
    name = escaped(result.name)
    more = (
        f' class="piece" data-piece="{name}" data-passes="{result.number}" data-pleats="{result.count}" '
        f'data-fold-back-mm="{result.worst_miss:.9f}"'
    )
    if result.cut_proof is not None:
        more += f' data-cut-fold-back-mm="{result.cut_proof.worst:.9f}"'
    layers = _Layers()
    about = {
        p.number: f' data-pleat="{p.number}" data-kind="{p.request.kind.name}" '
        f'data-lap="{lap_name(p.request, result.lines.upright)}"'
        for p in result.pleats
    }
    _add_outlines(layers, result)
    if result.flat.ring is not None:
        top, hem = result.flat.ring
        layers.add("ring-line", path_element("ring-line", f"M {point(top)} L {point(hem)}", result.number))
    for line, spots in result.flat.closed:
        data = " L ".join([point(z) for z in spots])
        layers.add("closed-dart", path_element("closed-dart", f"M {data}", result.number, f' data-line="{line}"'))
    _add_joins(layers, result)
    _add_pleat_lines(layers, result, about)
    for row in result.written.hip_levels:
        level = " L ".join(map(point, row))
        assert result.laid.fitted is not None
        called = f' data-level="{escaped(result.laid.fitted.asked.level)}"'
        layers.add("hip-level-line", path_element("hip-level-line", f"M {level}", result.number, called))
    if result.flat.fold_edge is not None:
        _add_fold_edge(layers, result.flat, result.flat.fold_edge, result.number)
    _add_marks(layers, result.sheet.marks, result.sheet.offset, result.number)
    _add_measured(layers, result.sheet.measured, result.sheet.offset, result.number)
    _add_moved(layers, result)
    _add_grain(layers, result)
    _add_words(layers, result, about)
    # What it is made with, for whoever looks at it last before it is cut from.
    holds = layers.count + Counter([tag.role for tag in earlier_tags(result.earlier)])
    listed_holds = " ".join([f"{name} {holds[name]}" for name in CLASSES if holds[name]])
    area = abs((result.written.zones[-1].outlines[0] if result.written.zones else result.written.seam.outline).area)
    if result.laid.fitted is not None:
        more += f' data-fit-mm="{result.laid.fitted.waist:.6f}"'
    more += f' data-finished-area-mm2="{area:.3f}" data-holds="{listed_holds}"'
    out.append(open_layer("piece", f"Piece: {name}", more))
    layers.write(out, LAYERS)
    if result.earlier is not None:
        earlier_layers(out, result.earlier)
    layers.write(out, LAYERS_ABOVE)
    out.append(CLOSE)


def _add_outlines(layers: _Layers, result: PleatedPiece) -> None:
    # The finished lines, the cutting and seam lines of every part and the free edges; their data are made in one go.
    flat, passes = result.flat, result.number
    cuts = flat.cuts if flat.cut else ()
    kept = result.earlier.kept if result.earlier is not None else ()
    finished = [("finished-line", result.written.seam)]
    if result.written.cutting is not None:
        finished.append(("finished-cut-line", result.written.cutting))
    if result.written.zones:
        finished = []
    around = [(line.tag.role, line.strokes[0], line.tag.pass_, line.closed) for line in kept]
    around += [(name, target.outline.segments, passes, True) for name, target in finished]
    zones = [
        (name, outline, zone.name)
        for zone in result.written.zones
        for name, outline in zip(("finished-line", "finished-cut-line"), zone.outlines, strict=True)
        if outline is not None
    ]
    for (name, _, zone), data_ in zip(zones, closed_path_data([(o.segments, True) for _, o, _ in zones]), strict=True):
        layers.add(name, path_element(name, data_, passes, f' data-zone="{zone}"'))
    around += [("finished-balance-line", line, passes, False) for line in result.written.balance]
    above = result.written.balance_above
    for data_ in closed_path_data([(line, False) for line in above]) if above else ():
        layers.add("finished-balance-line", path_element("finished-balance-line", data_, passes, ' data-zone="above"'))
    around += [("cut-line", outline.segments, passes, True) for outline in cuts]
    around += [("seam-line", outline.segments, passes, True) for outline in flat.seams]
    rows = [(segments, closed) for _, segments, _, closed in around] + [(run, False) for run in flat.free]
    data = closed_path_data(rows)
    for name, _, pass_, _ in around:
        layers.add(name, path_element(name, next(data), pass_))
    if result.earlier is not None:
        # For whoever folds the file back; dressmakers see these edges as parts of the seam and cutting lines.
        free = [line for line in result.earlier.lines if line.tag.role == "free-edge"]
        layers.add("free-edge", *[earlier_line_element(line) for line in free])
    layers.add("free-edge", *[path_element("free-edge", run, passes) for run in data])


def _add_joins(layers: _Layers, result: PleatedPiece) -> None:
    for join in result.flat.joins:
        crease = result.flat.creases[join.crease]
        more = f' data-join="{join.number}" data-pleat="{crease.pleat}" data-fold="{crease.folds[0]}"'
        more += f' data-allowance-mm="{result.laid.join_allowance:.3f}"'
        for side in (0, 1):
            data = " L ".join(map(point, join.drawn(side)))
            layers.add("join-line", path_element("join-line", f"M {data}", result.number, more))


def _add_pleat_lines(layers: _Layers, result: PleatedPiece, about: dict[int, str]) -> None:
    flat = result.flat
    lines = (*flat.creases, *flat.placements)
    seen = seen_parts(lines, result.pleats, result.laid.marked)
    stitched = stitched_parts(lines, result.pleats)
    for role, whole, parts in line_elements(lines, about, seen, stitched, result.number):
        layers.add(role.css, *whole)
        if parts:
            layers.add(SEEN_OF[role.css], *parts)


def _add_fold_edge(layers: _Layers, flat: Unfolded, edge: tuple[complex, complex], passes: int) -> None:
    top, hem = edge
    for side in flat.cut:
        # The cutting line is closed along the fold; there it is covered, so that nobody cuts it.
        if max(abs(((z - top) / (hem - top)).imag) for z in side.points) * abs(hem - top) < ON_LINE * 10:
            layers.add("fold-edge-ground", path_element("fold-edge-ground", open_path_data([side.points]), passes))
            for z in side.points:
                # Through the allowance, beyond the seam.
                near = top if abs(z - top) < abs(z - hem) else hem
                if near != z:
                    layers.add("fold-edge-run", path_element("fold-edge-run", f"M {point(z)} L {point(near)}", passes))
    layers.add("fold-edge", path_element("fold-edge", f"M {point(top)} L {point(hem)}", passes))


def _add_moved(layers: _Layers, result: PleatedPiece) -> None:
    # What is not on the page yet: lines of stitching, and what is carried.
    sheet, carriage = result.sheet, result.flattened.carriage
    moved = closed_path_data(
        [(run, False) for line in sheet.stitching for run in line.runs]
        + [(line.segments, line.closed) for line in carriage.lines],
        sheet.offset,
    )
    for stitches in sheet.stitching:
        data = " ".join(islice(moved, len(stitches.runs)))
        more = f' data-pleat="{stitches.pleat}" data-fold="{stitches.fold}"' if stitches.pleat else ""
        layers.add(stitches.name, path_element(stitches.name, data, result.number, more))
    for line, data in zip(carriage.lines, moved, strict=True):
        layers.add("balance-line" if line.balance else "carried-line", _carried_line(line, data, result.number))
    for text in carriage.texts:
        turn, shift, _ = text.motion
        shift += sheet.offset
        here = Affine(turn.real, turn.imag, -turn.imag, turn.real, shift.real, shift.imag)
        six = " ".join([f"{entry:.9g}" for entry in here @ Affine(*text.text.matrix)])
        more = attributes(class_="carried-text", data_name=text.text.name, transform=f"matrix({six})")
        layers.add("carried-text", f"<g{more}>{text.text.markup}</g>\n")


def _add_grain(layers: _Layers, result: PleatedPiece) -> None:
    if result.written.grain is None:
        return
    offset = result.sheet.offset
    grains = [result.written.grain, *[_rounded((a + offset, b + offset)) for a, b in result.sheet.grains]]
    for start, end in grains:
        layers.add("grain-line", path_element("grain-line", _grain_data(start, end), result.number))


def _add_words(layers: _Layers, result: PleatedPiece, about: dict[int, str]) -> None:
    labels = {fact.number: about[fact.number] + _label_facts(fact) for fact in result.facts}
    behind = f' data-pass="{result.number}"' if result.number > 1 else ""
    # What is stated of a pleat stands on its label, or, where one label speaks for a run, on the first words of its line.
    untold = labels.keys() - {words.pleat for words in result.sheet.words if words.name == "pleat-label"}
    layers.add_each(lettering(result.sheet.words, result.sheet.offset, about, labels, behind, untold))


def _carried_line(line: CarriedLine, data: str, passes: int) -> str:
    if line.balance:
        return path_element("balance-line", data, passes, f' data-name="{escaped(line.name)}"')
    look = dict(line.look)
    if not line.closed:
        # An open line has no inside to fill, and one without a line of its own would not be seen.
        look["fill"] = "none"
        if look.get("stroke", "none") == "none":
            look |= {"stroke": INK, "stroke-width": "0.4"}
    styled = "".join([f' {key}="{escaped(value)}"' for key, value in look.items()])
    return f'<path class="carried-line" d="{data}"{styled} data-pass="{passes}" data-name="{escaped(line.name)}" />\n'


_INTAKES = ' data-intake-mm="%.4f" data-hem-intake-mm="%.4f"'


_INTAKES_AND_GRAIN = f'{_INTAKES} data-grain-degrees="%.3f"'


def _label_facts(fact: PleatFacts) -> str:
    if fact.grain_degrees is None:
        return _INTAKES % (fact.intake_top, fact.intake_hem)
    return _INTAKES_AND_GRAIN % (fact.intake_top, fact.intake_hem, fact.grain_degrees)


def _rounded(ends: tuple[complex, complex]) -> tuple[complex, complex]:
    start, end = (complex(round(z.real, DECIMALS), round(z.imag, DECIMALS)) for z in ends)
    return start, end


@lru_cache(maxsize=256)
def _mark_form(
    name: str, strokes: tuple[int, ...], line: str, folds: tuple[int, ...], end: str, pass_: int
) -> tuple[str, bytes, str, str]:
    # A mark's SVG in three parts: up to its data, what comes before the number of its pleat, and the rest; and what leads to
    # each of its points. So a piece of many pleats has no more forms than one of a few.
    before, after, close = path_stencil(name, mark_style(name, line, name == "notch" and strokes == (2,)))
    more = f' data-line="{line}" data-end="{end}"' if end else ""
    steps = STROKE.join([LINE * (points - 1) for points in strokes])
    return (
        before,
        START + steps,
        f'{after} data-pass="{pass_}" data-pleat="',
        f'" data-fold="{listed(folds)}"{more}{close}',
    )


def _runs(strokes: tuple[int, ...]) -> str:
    return " ".join(["M %.3f,%.3f" + " L %.3f,%.3f" * (points - 1) for points in strokes])


def _add_marks(layers: _Layers, marks: Sequence[Mark], offset: complex, pass_: int) -> None:
    # The data of all are filled in in one go.
    layers.add_each(_mark_elements(marks, offset, pass_))


def _mark_elements(marks: Sequence[Mark], offset: complex, pass_: int) -> Iterator[tuple[str, str]]:
    known: dict[tuple[object, ...], tuple[str, bytes, str, str]] = {}
    forms: list[tuple[str, bytes, str, str]] = []
    spots: list[complex] = []
    for name, points, strokes, line, _, folds, end in marks:
        key = name, strokes, line, folds, end
        form = known.get(key)
        if form is None:
            form = known[key] = _mark_form(name, strokes, line, folds, end, pass_)
        forms.append(form)
        spots += points
    rows = path_rows(b"".join([form[1] for form in forms]), side_by_side(spots) + offset, mark=True)
    for mark, (before, _, after, close), data in zip(marks, forms, rows, strict=True):
        yield mark[0], f"{before}{data}{after}{mark[4]}{close}"


def _add_measured(layers: _Layers, notches: Sequence[MeasuredNotch], offset: complex, pass_: int) -> None:
    # Each says how far along its edge it stands and what is sewn there, so that one that was moved shows.
    made = _mark_elements([mark for mark, _, _ in notches], offset, pass_)
    for (mark, at, of), (_, element) in zip(notches, made, strict=True):
        last = element.rindex("/>")
        layers.add(mark.name, f'{element[:last]}data-at-mm="{at:.6f}" data-of="{escaped(of)}" {element[last:]}')


def _grain_data(start: complex, end: complex) -> str:
    way = (end - start) / abs(end - start)
    head, side = 5.0 * way, 2.0j * way
    heads = (start + head + side, start, start + head - side, end - head + side, end, end - head - side)
    return f"M {point(start)} L {point(end)} " + _runs((3, 3)) % tuple([n for z in heads for n in (z.real, z.imag)])
