"""What browsers drop or do not show is told; where things lie is held against a browser in test_browser_scale."""

from __future__ import annotations

from pathlib import Path

import pytest

import pleatsvg
from pleatsvg.errors import DrawingError

ROOT = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="400mm" viewBox="0 0 300 400">'
PIECE = '<path id="seam" d="M20 20H280V380H20Z"/><path id="slash 1" d="M150 20V380"/>'


def drawn(folder: Path, inside: str) -> Path:
    path = folder / "drawn.svg"
    path.write_text(f"{ROOT}{inside}{PIECE}</svg>")
    return path


@pytest.mark.parametrize(
    ("condition", "said"),
    [
        ('requiredExtensions="http://example.org/pattern"', "'pocket' (for a program with extensions of its own)"),
        ('systemLanguage="de,fr"', "'pocket' (for readers of another language)"),
    ],
)
@pytest.mark.parametrize(
    "inside",
    [
        '<path id="pocket" {} d="M50 50h40v40z"/>',
        '<g id="pocket" {}><path d="M50 50h40v40z"/></g>',
        '<text id="pocket" {} x="50" y="50">pocket</text>',
        '<symbol id="pocket" {}><path d="M50 50h40v40z"/></symbol><use href="#pocket"/>',
    ],
)
def test_what_a_condition_leaves_out_is_told(inside: str, condition: str, said: str, tmp_path: Path) -> None:
    piece = pleatsvg.read(drawn(tmp_path, inside.format(condition)))
    assert said in piece.left_out
    assert not piece.shapes
    assert not piece.texts


def test_words_for_other_readers_are_not_carried(tmp_path: Path) -> None:
    words = '<text x="50" y="50"><tspan systemLanguage="de">Rock</tspan><tspan systemLanguage="en">skirt</tspan></text>'
    piece = pleatsvg.read(drawn(tmp_path, words))
    assert [text.words for text in piece.texts] == ["skirt"]
    assert "Rock" not in piece.texts[0].markup


def test_a_value_that_browsers_drop_does_not_hide_the_one_before(tmp_path: Path) -> None:
    moved = '<path id="notch" style="transform:translate(30)" transform="translate(7 0)" d="M50 50h4"/>'
    (notch,) = pleatsvg.read(drawn(tmp_path, moved)).shapes
    assert notch.stroke[0][0] == 57 + 50j


def test_a_style_too_long_to_be_read_is_refused(tmp_path: Path) -> None:
    long = f'<path id="pocket" style="{"fill:red;" * 3_000}transform:scale(2)" d="M50 50h40v40z"/>'
    with pytest.raises(DrawingError, match=r"'pocket' has a style of 27018 letters; up to 20000 are read"):
        pleatsvg.read(drawn(tmp_path, long))
