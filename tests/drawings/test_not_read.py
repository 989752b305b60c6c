"""What README lists as not read: each item is refused by name, or told in a remark, and here is the case for each."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest

import pleatsvg
from pleatsvg.errors import DrawingError

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
SEAM = '<path id="seam" d="M20 20H280V380H20Z"/>'
SLASH = '<path id="slash 1" d="M150 20V380"/>'
ROOT = '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="400mm" viewBox="0 0 300 400"'


def whole(inside: str, root: str = "", seam: str = SEAM) -> str:
    return f"{ROOT} {root}>{inside}{seam}{SLASH}</svg>"


def pocket(style: str, rest: str = "") -> str:
    return whole(f'<rect id="pocket" x="50" y="50" width="40" height="40" style="{style}" {rest}/>')


def ruled(sheet: str) -> str:
    return whole(f'<style>{sheet}</style><rect id="pocket" class="p" x="50" y="50" width="40" height="40"/>')


REFUSED: dict[str, list[tuple[str, str]]] = {
    "Path data or points": [
        (
            whole("", seam='<path id="seam" d="M20 20H280V380H20 Z L bad"/>'),
            r"'seam' has path data.* character 23: 'bad'",
        ),
        (whole("", seam='<path id="seam" d="M20 20H280V380L 20 Z"/>'), "'seam' has path data.* character 20: 'Z'"),
        (whole("", seam='<path id="seam" d="M20 20H280V380C 20 300 20 200 20 Z"/>'), "path data.* character 34: 'Z'"),
        (whole("", seam='<polygon id="seam" points="20,20 280,20 280,380 20"/>'), "'seam' has 7 numbers in its points"),
        (whole("", seam='<polygon id="seam" points="20,20 280,20 nought"/>'), "'seam' has points.*nought"),
        (
            pocket("").replace("<rect", "<path").replace('style=""', "style=\"d:path('M1 1H9 L')\""),
            "'pocket' has path data",
        ),
    ],
    "Lengths in ex": [
        (pocket("width:4ex"), "'pocket' has width: 4ex in its style; 'ex' depends on the font"),
        (pocket("x:2ch"), "'pocket' has x: 2ch"),
        (pocket("", 'rx="1lh"'), "'pocket' has rx='1lh'"),
        (pocket("y:calc(1px + 3vh)"), "'pocket' has y: .*'vh' depends on the window"),
        (pocket("width:10vw"), "'vw' depends on the window"),
        (pocket("width:9cqw"), "'cqw' depends on the window"),
        (pocket("width:round(4px, 3px)"), r"'round\(\)' is not read"),
        (pocket("font-family:monospace;width:2em"), "'pocket' has width: 2em .*monospace"),
    ],
    "Style rules under": [
        (
            ruled("@media (min-width: 500px) { .p { x: 9px } }"),
            r"'pocket' is given 'x' .*'@media \(min-width: 500px\)'",
        ),
        (ruled("@media screen and (orientation: portrait) { .p { display: none } }"), "'pocket' is given 'display'"),
        (ruled("@container (width > 9px) { .p { transform: none } }"), "'pocket' is given 'transform' .*@container"),
        (ruled("@property --a { syntax: '*'; inherits: false }"), "style sheet has @property --a"),
        (
            ruled("svg:has(.p) { visibility: hidden }"),
            "is given 'visibility' by a style rule that hangs on the selector 'svg:has",
        ),
        (ruled("rect:is(g .p, .q) { x: 9px }"), "the selector 'rect:is"),
        (ruled(":where(svg .p) { x: 9px }"), "the selector ':where"),
        (ruled("svg .p, .q r { .x &amp; { x: 9px } }"), "the rule within a rule '.x &'"),
    ],
    "`zoom`, `all`": [
        (pocket("zoom:2"), "'pocket' has zoom: 2"),
        (pocket("all:initial"), "'pocket' has all: initial"),
        (pocket("offset-path:path('M0 0H9')"), "'pocket' has offset-path: path"),
        (pocket("width:inherit"), "'pocket' has width: inherit"),
        (pocket("x:revert"), "'pocket' has x: revert"),
        (pocket("transform:rotateX(20deg)"), "'pocket' has a transform .*rotateX"),
        (pocket("rotate:y 20deg"), "'pocket' has a transform .*rotate: y 20deg"),
    ],
    "A drawing or copy": [
        (
            whole('<svg id="inset" width="50%" height="9" style="width:20px"/>'),
            "'inset' has 'width: 20px' in its style, against 150 by",
        ),
        (
            whole(
                '<symbol id="s" viewBox="0 0 9 9"/><use id="copy" href="#s" width="9" height="9" style="height:20px"/>'
            ),
            "'copy' has 'height: 20px' in its style",
        ),
        (whole('<svg id="inset" style="display:contents"/>'), "'inset' has display: contents"),
    ],
    "A transform about": [
        (
            whole(
                '<g id="pockets" style="transform-box:fill-box;transform:scale(2)"><text id="words">front</text></g>'
            ),
            "'words' is transformed about its own box, or lies in a group",
        ),
        (
            whole('<path id="dart" d="M50 50L60 90" stroke="red" style="transform-box:stroke-box;rotate:9deg"/>'),
            "'dart' is transformed about the box round its stroke",
        ),
    ],
    "The whole drawing": [
        (whole("", 'style="max-width:100mm"'), "The drawing's max-width is '100mm'"),
        (whole("", 'style="min-height:500mm"'), "The drawing's min-height is '500mm'"),
        (whole("", 'style="box-sizing:border-box;padding:9mm"'), "The drawing's size counts its edge in"),
        (
            whole("").replace('width="300mm"', 'width="50vw"'),
            "The drawing's width is '50vw'; 'vw' depends on the window",
        ),
    ],
}
TOLD: dict[str, list[tuple[str, str]]] = {
    "Pictures": [
        (whole('<image id="photo" href="a.png" width="9" height="9"/>'), "image 'photo'"),
        (whole('<foreignObject id="note" width="9" height="9"/>'), "foreignObject 'note'"),
        (ruled("@import url(other.css);"), r"style sheet '@import url\(other.css\)' \(links out of the drawing"),
        (whole('<use href="other.svg#a"/>'), "link 'other.svg#a'"),
    ],
    "Scripts": [
        (whole("<script>draw()</script>"), "script at line 1' is changed by a script"),
        (pocket("animation:sway 2s"), "'pocket' is moved by an animation"),
        (pocket("clip-path:url(#c)"), "'pocket' is clipped or masked"),
        (pocket("", 'mask="url(#m)"'), "'pocket' is clipped or masked"),
        (whole('<rect id="tab" x="50" y="50" width="9" height="9"><animate/></rect>'), "is moved by an animation"),
    ],
    "The whole drawing": [
        (whole("", 'style="max-width:100%"'), "max-width: 100% in its style; it is read at its stated")
    ],
}


def test_every_item_of_readme_has_its_cases() -> None:
    section = README.split("## What is not read")[1].split("\n## ")[0]
    items = re.findall(r"^- (.*)", section, re.MULTILINE)
    known = REFUSED.keys() | TOLD.keys()
    assert len(items) == len(known)
    assert all(any(item.startswith(start) for item in items) for start in known)


@pytest.mark.parametrize(("drawing", "said"), [case for cases in REFUSED.values() for case in cases])
def test_refused_by_name(drawing: str, said: str, tmp_path: Path) -> None:
    (tmp_path / "drawing.svg").write_text(drawing, encoding="utf-8")
    with pytest.raises(DrawingError, match=said) as caught:
        pleatsvg.read(tmp_path / "drawing.svg")
    assert len(str(caught.value)) < 450


@pytest.mark.parametrize(("drawing", "said"), [case for cases in TOLD.values() for case in cases])
def test_told_in_a_remark(drawing: str, said: str, tmp_path: Path) -> None:
    (tmp_path / "drawing.svg").write_text(drawing, encoding="utf-8")
    piece = pleatsvg.read(tmp_path / "drawing.svg")
    assert re.search(said, " | ".join([*piece.notes, *piece.left_out]))
    assert piece.outline.area == pytest.approx(260 * 360)


def test_groups_upon_groups_about_their_own_boxes_take_bounded_time(tmp_path: Path) -> None:
    own = '<g style="transform-box:fill-box;transform-origin:50% 50%;rotate:9deg">'
    start = time.process_time()
    for deep, refused in ((20, False), (200, True)):
        inside = own * deep + '<path d="M50 50H60"/>' * 200 + "</g>" * deep
        (tmp_path / "drawing.svg").write_text(whole(inside), encoding="utf-8")
        if refused:
            with pytest.raises(DrawingError, match="15000 boxes"):
                pleatsvg.read(tmp_path / "drawing.svg")
        else:
            pleatsvg.read(tmp_path / "drawing.svg")
    assert time.process_time() - start < 5


@pytest.mark.parametrize(
    "sheet",
    [
        "@media (prefers-color-scheme: dark) { rect { fill: white } }",
        "@media print { rect { x: 9px } }",
        "rect:is(g .p) { stroke: red }",
        "@media (min-width: 1px) { .nobody { x: 9px } }",
        ".p:hover { x: 9px }",
    ],
)
def test_doubts_about_looks_or_nobody_refuse_nothing(sheet: str, tmp_path: Path) -> None:
    (tmp_path / "drawing.svg").write_text(ruled(sheet), encoding="utf-8")
    piece = pleatsvg.read(tmp_path / "drawing.svg")
    assert [shape.stroke[0][0] for shape in piece.shapes if shape.name == "pocket"] == [pytest.approx(50 + 50j)]


def test_a_bomb_of_variables_is_no_length(tmp_path: Path) -> None:
    for leaf in ("", "9px "):
        bomb = "".join(f"--v{k}:var(--v{k + 1}) var(--v{k + 1});" for k in range(30)) + f"--v30:{leaf};"
        (tmp_path / "drawing.svg").write_text(pocket(bomb + "x:var(--v0)"), encoding="utf-8")
        piece = pleatsvg.read(tmp_path / "drawing.svg")
        assert [s.stroke[0][0] for s in piece.shapes if s.name == "pocket"] in ([], [50j])


def test_a_bomb_of_variables_on_every_element_takes_bounded_time(tmp_path: Path) -> None:
    bomb = "".join(f"--v{k}:var(--v{k + 1}) var(--v{k + 1});" for k in range(30)) + "--v30:;"
    many = '<path d="M50 50H60"/>' * 3000
    (tmp_path / "drawing.svg").write_text(whole(f"<style>* {{ {bomb} }}</style>{many}"), encoding="utf-8")
    start = time.process_time()
    with pytest.raises(DrawingError, match="more than 50000 variables"):
        pleatsvg.read(tmp_path / "drawing.svg")
    assert time.process_time() - start < 5
