"""What a program calls, and the commands too: read, measure, pleat, write."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from typing import Any

from pleatsvg.choose import finished_piece, finished_pieces
from pleatsvg.drawing.read import read_drawing
from pleatsvg.drawing.write import write_result
from pleatsvg.drawn import Drawing
from pleatsvg.errors import RequestError, near_names
from pleatsvg.job import PleatedPiece, pleat_piece
from pleatsvg.length import Length, parse_length
from pleatsvg.measuring import Measured, measured
from pleatsvg.order import PIECE_OPTIONS, PLEAT_OPTIONS, order_from, piece_order
from pleatsvg.piece import FinishedPiece


def read(
    path: str | os.PathLike[str],
    *,
    piece: str | None = None,
    drawing_unit: str | Length | None = None,
    shows: str = "right",
) -> FinishedPiece:
    """Read the piece on a drawing.

    Args:
        path: an SVG file.
        piece: which piece, where the drawing holds several.
        drawing_unit: what one unit of the drawing measures, where the file does not say or says it wrongly.
        shows: "right" or "wrong": the side of the cloth that the drawing shows.

    Raises:
        PleatError: the drawing cannot be read, or holds no piece.
    """
    return finished_piece(_drawing(path, drawing_unit, shows), piece)


def read_all(
    path: str | os.PathLike[str], *, drawing_unit: str | Length | None = None, shows: str = "right"
) -> list[FinishedPiece]:
    """Read every piece on a drawing; cf. `read`."""
    return finished_pieces(_drawing(path, drawing_unit, shows))


def _drawing(path: str | os.PathLike[str], drawing_unit: str | Length | None, shows: str) -> Drawing:
    if shows not in ("right", "wrong"):
        raise RequestError(
            "--shows", f"is '{shows}'", "a drawing shows the right or the wrong side", "Give right or wrong."
        )
    unit = parse_length(drawing_unit, "--drawing-unit") if isinstance(drawing_unit, str) else drawing_unit
    return read_drawing(path, unit, shows == "wrong")


def measure(piece: FinishedPiece, *, unit: str = "mm") -> Measured:
    """Measure a piece: its seam edges, its slash lines, where they meet the seam, and what looks odd.

    Args:
        piece: as read.
        unit: "mm", "cm" or "in", for lengths in words.
    """
    return measured(piece, unit)


def pleat(piece: FinishedPiece, *, pleats: Iterable[Mapping[str, Any]] | None = None, **options: Any) -> PleatedPiece:
    """Slash a piece, spread it for the pleats asked for and true its seam; the result is proven by folding it back.

    Args:
        piece: as read.
        pleats: for pleats of several kinds, the options of each run of them (cf. `pleatsvg.order.pleats_from`).
        options: where all pleats are alike, those of `pleatsvg.order.pleats_from`: kind, intake, depth, hem_intake, lap,
            face, slash, at, count, run, along; and of the whole piece those of `pleatsvg.order.piece_order`: allowance,
            hem_turn, mark, notch, stitch_down, edge_stitch, fold_edge, open_fold, pair and so on.

    Raises:
        PleatError: the pleats asked for do not fit, or the request is wrong in itself.
    """
    known = [*PLEAT_OPTIONS, *PIECE_OPTIONS]
    for name in options:
        if name not in known:
            raise RequestError(f"The option '{name}'", "is not known", near_names(name, known), "Check its spelling.")
    for name in ("slash", "at"):
        if isinstance(options.get(name), (str, Length)):
            options[name] = (options[name],)
    order = order_from(**options) if pleats is None else piece_order(list(pleats), **options)
    return pleat_piece(piece, order)


def write(result: PleatedPiece, path: str | os.PathLike[str], *, force: bool = False) -> None:
    """Write a result as SVG, whole or not at all.

    Args:
        result: from `pleat`.
        path: the file to write.
        force: write over a file that is there.

    Raises:
        PleatError: the file is there already, or cannot be written.
    """
    write_result(result, path, force)
