"""A result says how large a sheet it is to be printed on, so that a browser prints it true; and is read as before."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lxml import etree

from pleatsvg.drawing.css.cascade import StyleSheets
from pleatsvg.drawing.read import drawing_from
from pleatsvg.drawing.read_result import result_from
from tests.drawings.gallery import KINDS, draw_flat

PAGE = re.compile(rb"<style>@page \{ size: (\S+)mm (\S+)mm; margin: 0 \}</style>\n")


@pytest.mark.parametrize("kind", ["knife", "half-inverted", "underlay-apart"])
def test_the_page_is_as_large_as_the_result(kind: str, tmp_path: Path) -> None:
    data = draw_flat(kind, tmp_path).read_bytes()
    assert kind in KINDS
    said = PAGE.search(data)
    assert said is not None
    root = etree.fromstring(data)
    assert (root.get("width"), root.get("height")) == (f"{said[1].decode()}mm", f"{said[2].decode()}mm")
    without = PAGE.sub(b"", data)
    assert result_from(data, kind) == result_from(without, kind)
    assert drawing_from(data, kind).shapes == drawing_from(without, kind).shapes


def test_a_page_alone_changes_no_element_and_a_rule_beside_it_still_counts() -> None:
    def style_of(sheet: str) -> dict[str, str]:
        root = etree.fromstring(
            f'<svg xmlns="http://www.w3.org/2000/svg"><style>{sheet}</style><path d="M0 0H9"/></svg>'
        )
        return dict(StyleSheets(root).of(root[1], {}))

    assert style_of("@page { size: 4mm 5mm; margin: 0 }") == {}
    assert style_of("@page { size: 4mm 5mm } path { display: none }") == {"display": "none"}
    assert style_of("path { display: none } @page { size: 4mm 5mm }") == {"display": "none"}
    assert style_of("@page { size: 4mm /* } */ 5mm } path { display: none }") == {"display": "none"}
