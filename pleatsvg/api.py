"""What a program calls, and the commands too: read, measure, pleat, write, fold, print."""

from __future__ import annotations

import itertools
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pleatsvg.drawing.drawn import Drawing
from pleatsvg.drawing.read import read_drawing
from pleatsvg.errors import ProofError, RequestError
from pleatsvg.job import pleat_piece
from pleatsvg.length import Length, parse_length
from pleatsvg.order.given import refuse_unknown
from pleatsvg.order.options import OPTIONS, PIECE_OPTIONS, PLEAT_OPTIONS, as_listed
from pleatsvg.order.piece_order import order_from, piece_order
from pleatsvg.piece.choose import finished_piece, finished_pieces
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.measuring import Measured, measured
from pleatsvg.piece.neighbour import continued
from pleatsvg.pleated import PleatedPiece
from pleatsvg.wholefile import refuse_output, write_whole
from pleatsvg.wording import option
from pleatsvg.writing.result import write_result

if TYPE_CHECKING:
    from pleatsvg.card.sample import Sample
    from pleatsvg.card.sheet import CardSheet
    from pleatsvg.companion.made import Companion
    from pleatsvg.printing.tiled import Tiled
    from pleatsvg.proof.figures import Proof
    from pleatsvg.result.figures import PleatFigures
    from pleatsvg.worksheet.pieces import WorkPiece


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


def read_called(
    path: str | os.PathLike[str],
    name: str,
    *,
    drawing_unit: str | Length | None = None,
    shows: str = "right",
) -> FinishedPiece:
    """Read the piece on a drawing; of several, the one that has a name. Cf. `read`."""
    drawing = _drawing(path, drawing_unit, shows)
    pieces = finished_pieces(drawing)
    own = [piece for piece in pieces if piece.name.casefold() == name.casefold()]
    return own[0] if len(pieces) > 1 and own else finished_piece(drawing)


def _drawing(path: str | os.PathLike[str], drawing_unit: str | Length | None, shows: str) -> Drawing:
    meant = as_listed(shows, OPTIONS["shows"].words)
    if meant is None:
        raise RequestError(
            option("shows"), f"is '{shows}'", "a drawing shows the right or the wrong side", "Give right or wrong."
        )
    unit = parse_length(drawing_unit, option("drawing_unit")) if isinstance(drawing_unit, str) else drawing_unit
    return read_drawing(path, unit, meant == "wrong")


def measure(piece: FinishedPiece, *, unit: str = "mm") -> Measured:
    """Measure a piece: its seam edges, its slash lines, where they meet the seam, and what looks odd.

    Args:
        piece: as read.
        unit: "mm", "cm" or "in", for lengths in words.
    """
    return measured(piece, unit)


def draw_measured(found: Sequence[Measured], path: str | os.PathLike[str], *, force: bool = False) -> None:
    """Write the picture of measured pieces as SVG: their edges, corners, slash lines and all that was found, by name.

    Args:
        found: from `measure`, at least one.
        path: the file to write.
        force: write over a file that is there.

    Raises:
        PleatError: the file is there already, or cannot be written.
    """
    target = Path(path)
    refuse_output(target, force, *[Path(one.piece.file) for one in found if one.piece.file])
    write_whole(target, measured_picture(found))


def measured_picture(found: Sequence[Measured]) -> bytes:
    """Return the picture that `draw_measured` writes, as the bytes of its file."""
    from pleatsvg.found.picture import picture_of
    from pleatsvg.writing.folded import found_page, picture_bytes

    return picture_bytes(found_page([picture_of(one) for one in found]))


def continue_onto(
    piece: FinishedPiece, onto: str, *, near: str | os.PathLike[str] = ".", drawing_unit: str | Length | None = None
) -> FinishedPiece:
    """Return a piece with its neighbour laid edge to edge, so that pleats can lie at the seam between them.

    Args:
        piece: as read.
        onto: "EDGE=DRAWING", or "EDGE=DRAWING:EDGE" with the neighbour's edge too.
        near: the folder that a drawing's name is relative to.
        drawing_unit: cf. `read`.

    Raises:
        PleatError: the drawing cannot be read, or the edges do not fit.
    """
    edge, drawing, its_edge = neighbour_of(onto)
    other = read(Path(near) / drawing, drawing_unit=drawing_unit)
    return continued(piece, edge, other, its_edge)


def round_of(pieces: Sequence[FinishedPiece]) -> FinishedPiece:
    """Return pieces that go all round, to be pleated together with `ring`: in order from left to right.

    Each one's right side is sewn to the left side of the next, the last one's to the first's. One piece by itself needs
    no call: `pleat(piece, ring="left side=right side", ...)`.

    Args:
        pieces: as read, at least one.
    """
    return replace(pieces[0], others=tuple(pieces[1:]))


def neighbour_of(onto: str) -> tuple[str, str, str | None]:
    """Return the edge, the drawing of the piece sewn to it and its edge that "EDGE=DRAWING:EDGE" names.

    Raises:
        RequestError: it names no edge or no drawing.
    """
    edge, equals, rest = onto.partition("=")
    if not equals or not rest.strip():
        raise RequestError(
            option("continue"),
            f"is '{onto}'",
            "it names an edge and the drawing of the piece that is sewn to it",
            "Write it as 'right side=skirt-back.svg', or 'right side=skirt-back.svg:left side'.",
        )
    name, colon, its_edge = rest.strip().rpartition(":")
    if not colon or its_edge.strip().casefold().endswith((".svg", ".svgz")):
        name, its_edge = rest.strip(), ""
    return edge.strip(), name, its_edge.strip() or None


def pleat(piece: FinishedPiece, *, pleats: Iterable[Mapping[str, Any]] | None = None, **options: Any) -> PleatedPiece:
    """Slash a piece, spread it for the pleats asked for and true its seam; the result is proven by folding it back.

    Args:
        piece: as read.
        pleats: for pleats of several kinds, the options of each run of them: those of pleats and lines.
        options: by their names in `pleatsvg.order.options`: of pleats (kind, intake, depth, lap ...) and their lines
            (slash, at, count ...) where all are alike; of the whole piece (allowance, notch, mark, hem ...) in any case.
            Lengths are texts with their unit, or `Length`.

    Raises:
        PleatError: the pleats asked for do not fit, or the request is wrong in itself.
    """
    refuse_unknown(options, (*PLEAT_OPTIONS, *PIECE_OPTIONS))
    if pleats is None:
        return pleat_piece(piece, order_from(**options))
    for name in options:
        if name in PLEAT_OPTIONS:
            raise RequestError(
                f"The option '{name}'",
                "is given beside 'pleats'",
                "with several kinds each run of pleats has options of its own",
                "Put it into the runs that it is meant for.",
            )
    runs = [dict(run) for run in pleats]
    refuse_unknown(itertools.chain.from_iterable(runs), PLEAT_OPTIONS)
    return pleat_piece(piece, piece_order(runs, options))


def companion(
    piece: FinishedPiece,
    name: str,
    edge: str,
    pleated: PleatedPiece | Sequence[PleatedPiece],
    *,
    start: str | None = None,
    beyond: str = "0mm",
    on: str | Sequence[str | None] | None = None,
    tolerance: str | None = None,
    **options: Any,
) -> Companion:
    """Notch what is sewn to pleated edges where their folds come to lie, and hold it against their folded length.

    Args:
        piece: the companion as read, such as a waistband, a facing, a yoke or a lining.
        name: what it is called.
        edge: its edge that is sewn to the pleats.
        pleated: the pleated pieces in the order of sewing, from left to right as their right sides are seen.
        start: a length from the end where the sewing begins, or the name of a mark drawn there.
        beyond: how far its edge runs on beyond the last pleated piece.
        on: the pleated edge, of each piece or of all; left out, the one on which the pleats begin.
        tolerance: by how much the lengths may differ; left out, 3.2 mm.
        options: of the companion: allowance, notch, cut, cloth and others that hold for a whole piece.

    Returns:
        The companion; `write` takes its `result`.

    Raises:
        PleatError: it is not as long as what is sewn to it, or the request is wrong in itself.
    """
    from pleatsvg.companion.folded_edge import folded_edge
    from pleatsvg.companion.made import companion_of
    from pleatsvg.order.companion_order import COMPANION_OPTIONS, CompanionOrder, length_beyond, start_from

    refuse_unknown(options, COMPANION_OPTIONS)
    pieces = [pleated] if isinstance(pleated, PleatedPiece) else list(pleated)
    wanted = [on] * len(pieces) if on is None or isinstance(on, str) else list(on)
    asked = CompanionOrder(
        " ".join(name.split()),
        edge,
        None if start is None else start_from(start, "'start'"),
        length_beyond(beyond, "'beyond'"),
        **({} if tolerance is None else {"tolerance": length_beyond(tolerance, "'tolerance'")}),
    )
    edges = [folded_edge(one, one_edge) for one, one_edge in zip(pieces, wanted, strict=True)]
    return companion_of(piece, asked, edges, piece_order([], options))


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


def fold(path: str | os.PathLike[str]) -> list[Proof]:
    """Fold every piece of a result back from its drawn lines and measure it; cf. `Proof.holds` and `Proof.figures`.

    Args:
        path: a result, as it was written or as an editor saved it.

    Raises:
        PleatError: it is not a result, or its lines cannot be folded along.
    """
    from pleatsvg.drawing.read_result import read_result
    from pleatsvg.proof.prove import prove

    result = read_result(path)
    pieces = [piece for piece in result.pieces if piece.by_role("seam-line")]
    return [prove(piece) for piece in pieces]


def figures(result: PleatedPiece) -> tuple[PleatFigures, ...]:
    """Return the figures of every pleat of what was just made, as its file will give them; cf. `Proof.pleats`.

    Args:
        result: from `pleat`.
    """
    from pleatsvg.drawing.read_result import result_from
    from pleatsvg.proof.prove import prove
    from pleatsvg.writing.result import result_bytes

    (piece,) = result_from(result_bytes(result), result.name).pieces
    return prove(piece).pleats


def draw_folded(
    proofs: Sequence[Proof],
    path: str | os.PathLike[str],
    *,
    side: str = "right",
    steps: bool = False,
    force: bool = False,
) -> None:
    """Write the folded picture of proven pieces as SVG, or the folding in panels.

    Args:
        proofs: from `fold`; every one must hold.
        path: the file to write.
        side: "right" or "wrong": the side of the cloth that is seen.
        steps: draw the folding in panels, from flat to folded.
        force: write over a file that is there.

    Raises:
        PleatError: a proof does not hold, the file is there already, or it cannot be written.
    """
    target = Path(path)
    refuse_output(target, force)
    write_whole(target, folded_picture(proofs, side=side, steps=steps))


def folded_picture(proofs: Sequence[Proof], *, side: str = "right", steps: bool = False) -> bytes:
    """Return the picture that `draw_folded` writes, as the bytes of its file.

    Raises:
        ProofError: a proof does not hold.
    """
    from pleatsvg.folded.steps import steps_of
    from pleatsvg.folded.view import views_of
    from pleatsvg.writing.folded import folded_page, picture_bytes, steps_page

    for proof in proofs:
        if not proof.holds:
            raise ProofError(
                f"'{proof.piece}'", f"does not fold back true: {proof.failures[0]}", "", "Only what is proven is drawn."
            )
    if steps:
        page = steps_page([steps_of(proof) for proof in proofs])
    else:
        views = [view for proof in proofs for view in views_of(proof, side == "right")]
        page = folded_page(views, side == "right")
    return picture_bytes(page)


def pages(results: Sequence[str | os.PathLike[str]], **options: Any) -> Tiled:
    """Lay results out on pages to print and join; the pages are proven by reading them back and folding what they show.

    Args:
        results: files, as they were written or as an editor saved them.
        options: those of the command: paper, margin, overlap, turn, together, scale, mirror, open_fold, without, ink,
            format; cf. `pleatsvg.printing.order.order_of`.

    Raises:
        PleatError: a result cannot be read, does not fold true, or cannot be printed so.
    """
    from pleatsvg.drawing.source import bytes_of
    from pleatsvg.printing.order import order_of
    from pleatsvg.printing.tiled import tiled

    order = order_of(**options)
    files = [Path(result) for result in results]
    return tiled([(file.name, bytes_of(file)) for file in files], order)


def tile(
    results: Sequence[str | os.PathLike[str]], path: str | os.PathLike[str], *, force: bool = False, **options: Any
) -> Tiled:
    """Write the pages of results as one PDF, or as a folder of SVGs; cf. `pages`.

    Args:
        results: files.
        path: the PDF, or with format="svg" the folder.
        force: write over what is there.
        options: cf. `pages`.
    """
    from pleatsvg.printing.to_disk import refuse_pages, write_pages

    inputs = [Path(result) for result in results]
    refuse_pages(Path(path), str(options.get("format", "pdf")), force, inputs)
    made = pages(results, **options)
    write_pages(made, Path(path), force, inputs)
    return made


def cards(
    result: str | os.PathLike[str] | None = None,
    *,
    paper: str = "A4",
    margin: str | Sequence[str] = (),
    svg: bool = False,
    **lengths: Any,
) -> tuple[CardSheet, bytes]:
    """Lay out the cards for a result, or for lengths alone; return them with the bytes of their file, proven.

    Args:
        result: a file, or None.
        paper, margin: what is printed on; cf. `pages`.
        svg: one SVG, and not a PDF.
        lengths: without a result kind, intake or depth, and what more is known: hem_intake, spacing, face, length.

    Raises:
        PleatError: the result cannot be read or does not fold true, or a length is wrong.
    """
    from pleatsvg.card.made import card_file

    if result is None:
        return card_file(None, lengths, paper, margin, svg)
    from pleatsvg.drawing.source import bytes_of

    file = Path(result)
    return card_file((file.name, bytes_of(file)), lengths, paper, margin, svg)


def sample(
    result: str | os.PathLike[str], *, pdf: bool = False, paper: str = "A4", margin: str | Sequence[str] = ()
) -> tuple[Sample, bytes]:
    """Make the sample of a result that is folded first; return it with the bytes of its file.

    Args:
        result: a file.
        pdf: pages to print, and not an SVG.
        paper, margin: of the pages; cf. `pages`.

    Raises:
        PleatError: the result cannot be read or does not fold true.
    """
    from pleatsvg.card.sample import sample_of
    from pleatsvg.drawing.source import bytes_of

    file = Path(result)
    made = sample_of(file.name, bytes_of(file))
    if not pdf:
        return made, made.data
    from pleatsvg.printing.order import order_of
    from pleatsvg.printing.tiled import tiled

    printed = tiled([("sample", made.data)], order_of(paper=paper, margin=margin))
    return made, printed.files[0][1]


def worksheet(
    results: Sequence[str | os.PathLike[str]],
    *,
    unit: str | None = None,
    title: str | None = None,
    matches: Sequence[str] = (),
    called: Sequence[str] = (),
) -> tuple[list[WorkPiece], bytes]:
    """Make the sheet to sew from; return its pieces with the bytes of its page.

    Args:
        results: files, at least one.
        unit: "mm", "cm" or "in"; left out, that of the first result.
        title: of what is made; left out, the names of the pieces.
        matches: seams that belong together, one sentence each.
        called: what a job calls each result; left out, as stands on its pattern.

    Raises:
        PleatError: a result cannot be read or does not fold true.
    """
    from pleatsvg.drawing.source import bytes_of
    from pleatsvg.worksheet.page import page_bytes
    from pleatsvg.worksheet.pieces import pieces_of

    meant = as_listed(unit, ("mm", "cm", "in"))
    if unit is not None and meant is None:
        raise RequestError(option("unit"), f"is '{unit}'", "lengths are given in mm, cm or in", "Give one of these.")
    names = called or [""] * len(results)
    pieces = [
        piece
        for file, name in zip(map(Path, results), names, strict=True)
        for piece in pieces_of(file.name, bytes_of(file), name)
    ]
    named = title if title is not None else ", ".join([piece.name for piece in pieces])
    return pieces, page_bytes(pieces, meant or pieces[0].unit, named, matches)
