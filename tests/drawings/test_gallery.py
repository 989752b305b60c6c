"""README's pictures are what the tool draws: the same lines as when it is drawn anew, folding true."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lxml import etree

from tests.drawings.gallery import FIRST, GALLERY, KINDS, draw_first_skirt, draw_flat
from tests.referee.foldback import prove

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
LINES = (
    "seam-line",
    "cut-line",
    "fold-line",
    "inner-fold-line",
    "placement-line",
    "stitch-line",
    "join-line",
    "free-edge",
)


def lines_of(path: Path) -> list[tuple[str, list[float]]]:
    """Every pattern line by class, its numbers moved so that the first point is the origin."""
    found = []
    start: tuple[float, float] | None = None
    for element in etree.parse(path).getroot().iter("{*}path"):
        if element.get("class") in LINES:
            numbers = [float(text) for text in re.findall(r"-?\d+(?:\.\d+)?(?:e-?\d+)?", element.get("d"))]
            start = start or (numbers[0], numbers[1])
            found.append((element.get("class"), [value - start[k % 2] for k, value in enumerate(numbers)]))
    return found


@pytest.mark.parametrize("name", KINDS)
def test_it_is_drawn_by_the_tool(name: str, tmp_path: Path) -> None:
    flat = draw_flat(name, tmp_path)
    kept = lines_of(GALLERY / flat.name)
    made = lines_of(flat)
    assert [css for css, _ in kept] == [css for css, _ in made]
    for (_, one), (_, other) in zip(kept, made, strict=True):
        assert one == pytest.approx(other, abs=2e-5)
    assert prove(GALLERY / flat.name).failures() == []


def test_the_first_skirt_is_drawn_by_the_tool(tmp_path: Path) -> None:
    for made in draw_first_skirt(tmp_path):
        kept = _numbers_and_words(FIRST / made.name)
        assert [words for words, _ in kept] == [words for words, _ in _numbers_and_words(made)]
        for (_, one), (_, other) in zip(kept, _numbers_and_words(made), strict=True):
            assert one == pytest.approx(other, abs=2e-3)
        assert f"(fixtures/first-skirt/{made.name})" in README
    assert prove(FIRST / "flat.svg").failures() == []


def _numbers_and_words(path: Path) -> list[tuple[str, list[float]]]:
    # Every path of a picture: its class, and its numbers.
    return [
        (
            element.get("class", ""),
            [float(text) for text in re.findall(r"-?\d+(?:\.\d+)?(?:e-?\d+)?", element.get("d"))],
        )
        for element in etree.parse(path).getroot().iter("{*}path")
    ]


@pytest.mark.parametrize("name", KINDS)
def test_readme_shows_it(name: str) -> None:
    assert f"(fixtures/gallery/{name}-flat.svg)" in README
    assert f"(fixtures/gallery/{name}-folded.svg)" in README


def test_every_picture_of_readme_is_there() -> None:
    pictures = re.findall(r"\]\((fixtures/[^)]+)\)", README)
    assert len(pictures) >= 2 * len(KINDS)
    assert all((GALLERY.parents[1] / picture).is_file() for picture in pictures)
