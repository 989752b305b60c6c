"""One piece, saved by fourteen writers of different kinds: the same piece and the same pleats, to 0.02 mm.

The files were written by `written_by/make.py`. Writers that drop the names leave the one closed shape as the seam, and
the lines across it are taken with `--slash all`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

import pleatsvg
from pleatsvg.piece.finished import FinishedPiece
from tests.drawings.nearest import farthest
from tests.drawings.written_by.make import LINES, OUTLINE, PAGE, WRITERS
from tests.referee.foldback import prove_all

FOLDER = Path(__file__).parent / "written_by"
LIMIT = 0.02
"""mm. Cairo writes 6 decimals of numbers that it keeps to a 256th of a unit; the others are exact to their decimals."""

PAGE_LIMITS = {"canvas": 25.4 / 96, "report": 25.4 / 72}
"""mm. Writers that cut the page to whole pixels or points."""

UNITS = {"report": "1/72in", "page-converter": "1/72in"}
"""Writers that state points without saying so: the person has to."""

NAMED = {"editor-native", "plotter", "library", "drawing-module", "script", "chart"}
"""Writers that keep the names of things, as labels or as ids."""


def _read(writer: str) -> FinishedPiece:
    return pleatsvg.read(FOLDER / f"{writer}.svg", drawing_unit=UNITS.get(writer))


def test_every_writer_has_its_file() -> None:
    assert sorted(path.stem for path in FOLDER.glob("*.svg")) == sorted([*WRITERS, "piece"])


@pytest.mark.parametrize("writer", ["piece", *WRITERS])
def test_reads_as_the_same_piece(writer: str) -> None:
    piece = _read(writer)
    assert farthest(piece.outline.segments, OUTLINE) <= LIMIT
    limit = PAGE_LIMITS.get(writer, LIMIT)
    assert abs(piece.page.width_mm - PAGE[0]) <= limit
    assert abs(piece.page.height_mm - PAGE[1]) <= limit


@pytest.mark.parametrize("writer", ["piece", *WRITERS])
def test_its_lines_lie_where_they_were_drawn(writer: str) -> None:
    piece = _read(writer)
    drawn = [*piece.slashes, *piece.crossing_lines, *([piece.grain] if piece.grain else [])]
    assert len(drawn) == len(LINES)
    for start, end in LINES.values():
        off = [farthest([(line.start, line.end)], [(start, end)]) for line in drawn]
        assert min(off) <= LIMIT


@pytest.mark.parametrize("writer", ["piece", *WRITERS])
def test_pleats_the_same(writer: str, tmp_path: Path) -> None:
    piece = _read(writer)
    named = writer in NAMED or writer == "piece"
    assert bool(piece.slashes) == named
    assert bool(piece.grain) == named
    made = pleatsvg.pleat(piece, kind="knife", intake="40mm", lap="left", slash=() if named else "all")
    model = pleatsvg.pleat(_read("piece"), kind="knife", intake="40mm", lap="left")
    assert len(made.pleats) == 3
    for one, other in zip(made.flat.creases, model.flat.creases, strict=True):
        # Page offsets follow the sheet's furniture, so lines are held against each piece's own corner.
        a, b = made.flat.seam[0].points[0], model.flat.seam[0].points[0]
        assert abs((one.top - a) - (other.top - b)) <= LIMIT
        assert abs((one.hem - a) - (other.hem - b)) <= LIMIT
    out = tmp_path / "flat.svg"
    pleatsvg.write(made, out)
    for proof in prove_all(out).values():
        assert not proof.failures()
