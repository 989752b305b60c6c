"""What a label of a result says and where is read without a copy of it, and is what comes of reading it with one."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
from lxml import etree

from pleatsvg.drawing import read_result
from pleatsvg.drawing.affine import Affine
from pleatsvg.drawing.css.cascade import StyleSheets
from pleatsvg.drawing.texts import label_of, text_of
from pleatsvg.result.earlier import EarlierWords
from pleatsvg.result.pattern_lines import Tag

FIXTURES = Path(__file__).parents[2] / "fixtures"


@pytest.mark.parametrize("turned", ["", "rotate(30 200 200)", "matrix(-1 0 0 1 900 0)", "matrix(1 0 0 -1 0 900)"])
@pytest.mark.parametrize("name", ["folded/kilt-apron", "gallery/kick", "gallery/underlay-apart"])
def test_labels_are_read_alike(name: str, turned: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[EarlierWords] = []

    def both(
        element: etree._Element, matrix: Affine, style: Mapping[str, str], sheets: StyleSheets, tag: Tag
    ) -> EarlierWords | None:
        label = label_of(element, matrix, style, sheets, tag)
        copied = text_of(element, "", matrix, style, sheets, tag)
        assert label == (None if copied is None else copied.earlier)
        read.extend([label] if label is not None else [])
        return label

    monkeypatch.setattr(read_result, "label_of", both)
    text = (FIXTURES / f"{name}-flat.svg").read_text(encoding="utf-8")
    (tmp_path / "flat.svg").write_text(text.replace('class="piece"', f'class="piece" transform="{turned}"', 1))
    read_result.read_result(tmp_path / "flat.svg")
    assert len(read) >= 3
    assert len({label.middle for label in read}) == len(read)
