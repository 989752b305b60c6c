"""The sheet of folding steps: its size, what is legible on it, and that each panel has the arrow of what it tells."""

from __future__ import annotations

import re

import pytest
from lxml import etree
from shapely import Polygon

from pleatsvg.folded.items import Item, Line, Text, corners
from pleatsvg.folded.moves import moves_of
from pleatsvg.folded.steps import SHEET, SHEET_MARGIN, Steps, steps_of
from pleatsvg.proof.figures import Proof
from pleatsvg.result.classes import CLASSES
from pleatsvg.writing.folded import picture_bytes, steps_page

SVG = "{http://www.w3.org/2000/svg}"
NAMES = ("fold-words", "placement-words", "stitch-words", "centre-words")


@pytest.fixture(scope="module")
def sheets(proofs: list[tuple[str, Proof]]) -> list[tuple[str, Proof, Steps]]:
    """Of every kind, the sheet."""
    return [(name, proof, steps_of(proof)) for name, proof in proofs]


def box(item: Item, narrow: float = 1.0) -> Polygon:
    """What an item takes up; words run narrower than their estimate."""
    if isinstance(item, Text):
        item = item._replace(words=item.words[: max(1, round(len(item.words) * narrow))])
    return Polygon([(z.real, z.imag) for z in corners(item)]).convex_hull


def test_the_whole_is_on_one_sheet_of_a4_or_letter(sheets: list[tuple[str, Proof, Steps]]) -> None:
    for name, _, steps in sheets:
        page = steps_page([steps])
        assert (page.width, page.height) == SHEET == (210.0, 279.0), name
        for panel in steps.panels:
            for item in panel.items:
                for z in corners(item) if isinstance(item, Line) or item.look in NAMES else ():
                    assert SHEET_MARGIN - 4 <= z.real <= SHEET[0] - SHEET_MARGIN + 4, (name, item)
                    assert SHEET_MARGIN <= z.imag <= SHEET[1] - SHEET_MARGIN, (name, item)


def test_letters_are_3_mm_and_lines_a_third_of_one(sheets: list[tuple[str, Proof, Steps]]) -> None:
    for name, _, steps in sheets:
        root = etree.fromstring(picture_bytes(steps_page([steps])))
        texts = [float(e.get("font-size")) * 0.73 for e in root.iter(f"{SVG}text")]
        lines = [float(e.get("stroke-width")) for e in root.iter(f"{SVG}path") if e.get("stroke-width")]
        assert min(texts) >= 3.0 and min(lines) >= 0.35, name
        assert "Hot iron and steam burn" in "".join(root.itertext())
        assert "Take pins out" in "".join(root.itertext())


def test_no_name_of_a_line_lies_over_another_or_over_the_caption(sheets: list[tuple[str, Proof, Steps]]) -> None:
    for name, _, steps in sheets:
        words = [item for panel in steps.panels for item in panel.items if isinstance(item, Text)]
        named = [item for item in words if item.look in NAMES]
        assert named, name
        for k, one in enumerate(named):
            for other in [*named[k + 1 :], *[item for item in words if item.look not in NAMES], *steps.heading]:
                assert box(one, 0.9).intersection(box(other, 0.9)).area < 0.3, (name, one, other)


def test_each_panel_has_arrows_and_the_names_of_what_it_tells(sheets: list[tuple[str, Proof, Steps]]) -> None:
    for name, proof, steps in sheets:
        assert len(moves_of(proof.passes)) >= 1
        for panel in steps.panels[:-1]:
            arrows = [item for item in panel.items if item.look == "arrow"]
            assert arrows, (name, panel.words)
            for shaft in arrows[::2]:
                assert isinstance(shaft, Line)
                assert abs(shaft.points[-1] - shaft.points[0]) >= 5.0, "short ways have an arrow, too"
            told = re.findall(r"(?:Pleat|uck)s? (\d[\d.]*)(?=:)", panel.words)
            shown = {
                re.sub("[ab]", "", item.words.split()[-1])  # the sides of a box pleat
                for item in panel.items
                if isinstance(item, Text) and item.look in NAMES
            }
            if len(told) == 1:
                assert told[0] in shown, (name, panel.words, shown)
        last = steps.panels[-1]
        assert "All are folded" in last.words
        assert not [item for item in last.items if item.look in ("arrow", *NAMES)], name


def test_lines_look_as_on_the_pattern(sheets: list[tuple[str, Proof, Steps]]) -> None:
    seen = set()
    for _, _, steps in sheets:
        root = etree.fromstring(picture_bytes(steps_page([steps])))
        for look, css in (
            *(("fold", "fold-line"), ("placement", "placement-line"), ("inner", "inner-fold-line")),
            ("stitch", "stitch-line"),
        ):
            ink = CLASSES[css].ink
            assert ink is not None
            for path in root.iter(f"{SVG}path"):
                if path.get("class") == f"folded-{look}":
                    seen.add(look)
                    assert path.get("stroke") == ink.colour
                    assert (path.get("stroke-dasharray") or "") == ink.dashes
        looks = [item.look for panel in steps.panels for item in panel.items]
        assert ("fold" in looks) == ("fold-sign" in looks)
        assert ("placement" in looks) == ("placement-sign" in looks)
    assert seen == {"fold", "placement", "inner", "stitch"}
