"""Is the referee to be trusted where a piece is in parts, ends in free edges, or is stacked?  Written out in numbers, all D.

It must pass what is true and fail what is false.  All lengths in mm.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from .foldback import CannotFoldError, prove

Rows = list[tuple[str, str, str]]


def result(folder: Path, seams: list[str], finished: str, rows: Rows, kind: str, lap: str) -> Path:
    """A result from path data: seams, finished line, and rows of class, path data and further attributes."""
    about = f'data-pass="1" data-pleat="1" data-kind="{kind}" data-lap="{lap}"'
    lines = [f'<path class="seam-line" d="{d}"/>' for d in seams]
    lines += [f'<path class="finished-line" data-pass="1" d="{finished}"/>']
    lines += [f'<path class="{css}" d="{d}" {about} {more}/>' for css, d, more in rows]
    path = folder / "result.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">'
        f'<g class="piece" data-piece="usher apron">{"".join(lines)}</g></svg>'
    )
    return path


# A panel 100 x 100 with a knife pleat 10 deep at x = 50, its fold pointing left, parted at the inner fold x = 60; the second
# part lies 30 to the right of where it belongs.
FIRST, SECOND = "M0,0 L60,0 L60,100 L0,100 Z", "M90,0 L150,0 L150,100 L90,100 Z"
PARTED: Rows = [
    ("placement-line", "M50,0 L50,100", 'data-fold="2"'),
    ("inner-fold-line", "M60,0 L60,100", 'data-fold="1"'),
    ("fold-line", "M100,0 L100,100", 'data-fold="2"'),
    ("join-line", "M60,0 L60,100", 'data-join="1" data-fold="1"'),
    ("join-line", "M90,0 L90,100", 'data-join="1" data-fold="1"'),
]
SQUARE = "M0,0 L100,0 L100,100 L0,100 Z"


def spoilt(rows: Rows, number: int, data: str) -> Rows:
    return [(css, data if k == number else d, more) for k, (css, d, more) in enumerate(rows)]


def test_parts_are_laid_together(tmp_path: Path) -> None:
    proof = prove(result(tmp_path, [FIRST, SECOND], SQUARE, PARTED, "knife", "left"))
    assert proof.failures() == []
    assert [(i.top_mm, i.hem_mm) for i in proof.intakes] == [pytest.approx((20, 20), abs=1e-9)]
    assert proof.flat_area_mm2 == pytest.approx(12000, abs=1e-6)


def test_a_part_that_is_too_wide_is_seen(tmp_path: Path) -> None:
    wide = "M90,0 L150.05,0 L150.05,100 L90,100 Z"
    assert prove(result(tmp_path, [FIRST, wide], SQUARE, PARTED, "knife", "left")).failures()


def test_a_fold_on_the_second_part_that_slipped_is_seen(tmp_path: Path) -> None:
    rows = spoilt(PARTED, 2, "M100.05,0 L100.05,100")
    assert prove(result(tmp_path, [FIRST, SECOND], SQUARE, rows, "knife", "left")).failures()


@pytest.mark.parametrize(
    ("number", "data", "words"),
    [
        (4, "M90,0 L90,99.9", "long on one part"),
        (4, "M95,0 L95,100", "no edge of its part"),
        (4, "M60,0 L60,100", "not drawn on two parts"),
    ],
)
def test_a_join_that_does_not_fit_is_refused(number: int, data: str, words: str, tmp_path: Path) -> None:
    with pytest.raises(CannotFoldError, match=words):
        prove(result(tmp_path, [FIRST, SECOND], SQUARE, spoilt(PARTED, number, data), "knife", "left"))


def test_a_part_without_a_join_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CannotFoldError, match="no join"):
        prove(result(tmp_path, [FIRST, SECOND], SQUARE, PARTED[:3], "knife", "left"))


# A kick pleat 40 high and 10 deep at x = 50 of the same panel: the seam above it and its slanting tops leave the outline.
KICKED = "M0,0 L50,0 L50,60 L60,70 L70,60 L80,70 L90,60 L90,0 L140,0 L140,100 L0,100 Z"
TOPS = "M50,0 L50,60 L60,70 L70,60 L80,70 L90,60 L90,0"
KICK: Rows = [
    ("fold-line", "M50,60 L50,100", 'data-fold="1"'),
    ("inner-fold-line", "M60,70 L60,100", 'data-fold="2"'),
    ("placement-line", "M70,60 L70,100", 'data-fold="1 4"'),
    ("inner-fold-line", "M80,70 L80,100", 'data-fold="3"'),
    ("fold-line", "M90,60 L90,100", 'data-fold="4"'),
    ("free-edge", TOPS, ""),
]


def test_a_kick_pleat_folds_back(tmp_path: Path) -> None:
    proof = prove(result(tmp_path, [KICKED], SQUARE, KICK, "kick", "both"))
    assert proof.failures() == []
    assert [(i.top_mm, i.hem_mm) for i in proof.intakes] == [pytest.approx((40, 40), abs=1e-9)]


def test_only_free_edges_may_leave_the_outline(tmp_path: Path) -> None:
    assert prove(result(tmp_path, [KICKED], SQUARE, KICK[:5], "kick", "both")).failures()


def test_a_kick_pleat_with_a_short_underlay_is_seen(tmp_path: Path) -> None:
    short = KICKED.replace("L140,100 L0,100", "L140,100 L85,100 L85,99.9 L55,99.9 L55,100 L0,100")
    assert prove(result(tmp_path, [short], SQUARE, KICK, "kick", "both")).failures()


def test_steps_of_a_double_knife_are_added_up(tmp_path: Path) -> None:
    """Folds at 60, 50, 60, 50: placement line 50, outer folds 70 and 90 on the flat piece, so 20 and 20."""
    flat = "M0,0 L140,0 L140,100 L0,100 Z"
    rows: Rows = [
        ("placement-line", "M50,0 L50,100", 'data-fold="2 4"'),
        ("inner-fold-line", "M60,0 L60,100", 'data-fold="1"'),
        ("fold-line", "M70,0 L70,100", 'data-fold="2"'),
        ("inner-fold-line", "M80,0 L80,100", 'data-fold="3"'),
        ("fold-line", "M90,0 L90,100", 'data-fold="4"'),
    ]
    proof = prove(result(tmp_path, [flat], SQUARE, rows, "knife", "left"))
    assert proof.failures() == []
    assert [(i.top_mm, i.hem_mm) for i in proof.intakes] == [pytest.approx((40, 40), abs=1e-9)]
