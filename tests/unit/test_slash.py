"""Slash lines on the outline: what is run on, and what is refused with the end that stops short."""

from __future__ import annotations

import pytest

from pleatsvg.drawing.drawn import PageFacts
from pleatsvg.errors import SlashError
from pleatsvg.geometry.outline import Outline
from pleatsvg.order.placing import Placing
from pleatsvg.piece.finished import FinishedPiece, StraightLine
from pleatsvg.piece.slash_lines import trimmed
from pleatsvg.pleats.placed_lines import placed_lines

CORNERS = (0j, 300 + 0j, 300 + 400j, 400j)
PANEL = Outline(tuple(zip(CORNERS, (*CORNERS[1:], CORNERS[0]), strict=True)))


@pytest.mark.parametrize(
    ("start", "end", "said"),
    [
        (100 + 0j, 100 + 380j, "2 cm short of the seam at its lower end"),
        (100 + 380j, 100 + 0j, "2 cm short of the seam at its lower end"),
        (100 + 11j, 100 + 400j, "1.1 cm short of the seam at its upper end"),
        (15 + 100j, 300 + 100j, "1.5 cm short of the seam at its left end"),
        (0 + 100j, 285 + 100j, "1.5 cm short of the seam at its right end"),
    ],
)
def test_the_end_that_stops_short_is_named(start: complex, end: complex, said: str) -> None:
    with pytest.raises(SlashError) as caught:
        trimmed(PANEL, StraightLine("slash 1", start, end), "cm")
    assert said in str(caught.value)


@pytest.mark.parametrize("gap", [0.0, 5.0, 9.9])
def test_a_line_that_stops_short_by_less_is_run_on(gap: float) -> None:
    chord = trimmed(PANEL, StraightLine("slash 1", complex(100, gap), complex(100, 400 - gap)))
    top, hem = sorted((chord.top, chord.hem), key=lambda z: z.imag)
    assert abs(top - 100) < 1e-9
    assert abs(hem - (100 + 400j)) < 1e-9


def test_lines_along_the_grain_are_not_placed_on_an_edge_that_runs_with_it() -> None:
    """They would shave strips off the side seam."""
    page = PageFacts(400, 500, 1.0, "width, height and viewBox")
    piece = FinishedPiece("panel", PANEL, (), StraightLine("grain", 150 + 100j, 157 + 300j), None, None, page)
    (line,) = placed_lines(piece, Placing((), 1, "grain"))
    assert line.start == pytest.approx(150)
    with pytest.raises(SlashError) as caught:
        placed_lines(piece, Placing((), 1, "grain", "left side"))
    assert "would run along the left side, at 2 degrees to it" in str(caught.value)
