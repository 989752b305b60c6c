"""The tables of a sheet: the pleats, the places of their lines on the flat cloth, and what is cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pleatsvg.geometry.segment import box_of
from pleatsvg.kinds import KINDS
from pleatsvg.length import show
from pleatsvg.pleats.words import told_lap
from pleatsvg.result.figures import Ends, LineFigures, PleatFigures
from pleatsvg.worksheet.pieces import WorkPiece, is_stitched

_STACKS = {1: "", 2: "double ", 3: "triple "}

_NOTHING = 1e-3
"""mm. What is shorter is the noise of reckoning."""


@dataclass(frozen=True, slots=True)
class Table:
    """A table: its caption, what stands above its columns, and rows, of which the first cell is the row's name.

    `look` is "figures", or "list" where its cells hold sentences.
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    look: str = "figures"


def pleat_table(piece: WorkPiece, pass_: int, unit: str) -> Table:
    """Return the pleats of a pass: what they are, what they take up, and where they lie when they are folded."""
    pleats = [pleat for pleat in piece.pleats if pleat.pass_ == pass_]
    first, second = piece.ends(pass_)
    tucks = all(is_stitched(pleat.kind) for pleat in pleats)
    face = any((pleat.face.top or 0.0) > _NOTHING or (pleat.face.hem or 0.0) > _NOTHING for pleat in pleats)
    head = ["Tuck" if tucks else "Pleat", "Kind", "Lap"]
    columns = ["Intake", *(["Face"] if face else []), "Spacing to the next", f"From the {_edge(piece, pass_)}"]
    levels = (first, piece.shaped_at, second) if piece.fitted else (first, second)
    head += [f"{column}, {end}" for column in columns for end in levels]
    rows = []
    for pleat in pleats:
        figures = [pleat.intake, *([pleat.face] if face else []), pleat.spacing, pleat.from_edge]
        cells = [str(pleat.number), _kind(pleat), told_lap(pleat.kind, pleat.lap)]
        rows.append((*cells, *[cell for ends in figures for cell in _both(ends, unit)]))
    noun = "tucks" if tucks else "pleats"
    caption = (
        f"{piece.name}: the {noun}, folded{_of_pass(piece, pass_)}. The spacing of the last one is to the "
        f"{'end of the round' if piece.round_lengths else 'other edge'}.{_round(piece)}"
    )
    return Table(caption, tuple(head), tuple(rows))


def line_table(piece: WorkPiece, pass_: int, unit: str) -> Table:
    """Return where the lines of a pass lie along the seam of the flat piece, counted from its edge."""
    first, second = piece.ends(pass_)
    rows = []
    for pleat in [pleat for pleat in piece.pleats if pleat.pass_ == pass_]:
        for line in pleat.lines:
            if line.role != "inner-fold-line":
                rows.append((_line_name(pleat, line), *_both(line.from_edge, unit)))
    edge = _edge(piece, pass_)
    return Table(
        f"{piece.name}: the lines on the flat cloth{_of_pass(piece, pass_)}, all counted from the {edge} along the seam, "
        f"so that no error adds up.{_round(piece)}",
        (
            "Line",
            *[
                f"From the {edge}, {end}"
                for end in ((first, piece.shaped_at, second) if piece.fitted else (first, second))
            ],
        ),
        tuple(rows),
    )


def cutting_table(pieces: Sequence[WorkPiece], unit: str) -> Table:
    """Return what is cut: how often, and how large each part is, as far as the results say."""
    rows = []
    for piece in pieces:
        outlines = piece.drawn.by_role("cut-line") or piece.drawn.by_role("seam-line")
        grain = [line for line in piece.drawn.lines if line.role == "grain-line" and line.strokes]
        way = 1j
        if grain:
            start, end = grain[0].ends
            way = (end - start) / abs(end - start)
        said = ". ".join(piece.cut_words) or "not said"
        if piece.has("fold-edge") and "fold" not in said.lower():
            said = f"{said}; on the fold of the cloth"
        allowance = piece.allowance_words(unit).removeprefix("Cut on the solid outer line. ")
        for number, outline in enumerate(outlines, 1):
            points = [z / way * 1j for stroke in outline.strokes for seg in stroke for z in seg]
            left, top, right, bottom = box_of(points)
            name = piece.found_as if len(outlines) == 1 else f"{piece.found_as}, part {number} of {len(outlines)}"
            rows.append((name, said, show(right - left, unit), show(bottom - top, unit), allowance))
    head = ("Piece", "Cut", "Cloth across the grain", "Cloth along the grain", "Allowance")
    caption = "Cutting list: the cloth that one of each takes up, flat, from side to side and end to end."
    return Table(caption, head, tuple(rows), "list")


def _kind(pleat: PleatFigures) -> str:
    return f"{_STACKS.get(pleat.stack, f'{pleat.stack} layers of ')}{pleat.kind.replace('-', ' ') or 'pleat'}"


def _both(ends: Ends, unit: str) -> tuple[str, ...]:
    # At both ends; of a fitted pleat at the hip as well.
    values = (ends.top, ends.hem) if ends.hip is None else (ends.top, ends.hip, ends.hem)
    return tuple(["none" if value is None else show(value, unit) for value in values])


def _edge(piece: WorkPiece, pass_: int) -> str:
    if piece.round_lengths is not None:
        return "start of the round"
    return "upper edge" if piece.level(pass_) else "left edge"


def _round(piece: WorkPiece) -> str:
    # The cloth itself begins at a join, which is hidden in a pleat.
    return "" if piece.round_lengths is None else " The round starts half-way between the last pleat and the first."


def _of_pass(piece: WorkPiece, pass_: int) -> str:
    return f" (pass {pass_})" if len(piece.passes) > 1 else ""


def _line_name(pleat: PleatFigures, line: LineFigures) -> str:
    # As it is lettered on the cloth: "PLACE 2", "FOLD 1a", "FOLD 3.2".
    number = str(pleat.number)
    kind = KINDS.get(pleat.kind)
    if kind is not None and line.folds:
        folds = kind.folds(-1 if pleat.lap in ("left", "up") else 1, pleat.stack)
        place = line.folds[0]
        if pleat.stack > 1:
            number += f".{folds.layer_of(place)}"
        if folds.sides and place <= len(folds.sides):
            number += folds.sides[place - 1]
    return f"{ {'placement-line': 'PLACE', 'fold-line': 'FOLD'}.get(line.role, 'STITCH') } {number}"
