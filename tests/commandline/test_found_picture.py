"""The picture of what was found, judged by its written file: words over no others and on the page, each by what it names."""

from __future__ import annotations

import itertools
import math
import re
import time
from pathlib import Path

import pytest
import shapely
from lxml import etree

from pleatsvg.api import fold
from pleatsvg.errors import PleatError
from pleatsvg.result.lettering import CAPITALS, width_of
from tests.commandline.terminal import FIXTURES, Terminal, line, svg

SVG = "{http://www.w3.org/2000/svg}"
SEAM = '<path id="seam" d="M20 20H320V420H20Z"/>'
WHOLE_BODICE = (
    '<path id="seam" d="M60 420V200C90 200 100 160 80 60L150 30C160 80 240 80 250 30L320 60'
    'C300 160 310 200 340 200V420Z"/>'
)
DRAWINGS = {
    "darts": svg(
        '<path id="seam" d="M20 20H142L150 100L158 20H320V420H20Z"/><path d="M262 20L270 90L278 20"/>'
        + line("slash 1", 100)
        + line("slash 2", 200)
    ),
    "sixty lines": svg(SEAM + "".join(line(f"slash {k}", 20 + 300 * k / 61) for k in range(1, 61))),
    "level lines": svg(SEAM + "".join(f'<path id="slash {k}" d="M20 {40 + 20 * k}H320"/>' for k in range(1, 12))),
    "whole bodice": svg(WHOLE_BODICE, 'width="400mm" height="440mm" viewBox="0 0 400 440"'),
    "many corners": svg(
        '<path id="seam" d="M20 20'
        + "".join(f"H{20 + 10 * k}V{20 + 5 * (k % 2)}" for k in range(1, 30))
        + 'H320V420H20Z"/>'
    ),
    "long names": svg(SEAM + line("slash 1 " + "knife pleat at the side front " * 8, 100)),
    "two pieces": svg(
        '<path id="seam front" d="M20 20H120V220H20Z"/><path id="seam back" d="M200 20H300V220H200Z"/>'
        '<path id="slash 1" d="M70 20V220"/>'
    ),
    "crowded": svg(
        SEAM + "".join(f'<path id="mark {k}" d="M{30 + 7 * (k % 40)} {40 + 9 * (k // 40)}h3"/>' for k in range(800))
    ),
    "huge": svg(SEAM + line("slash 1", 100), 'width="3400mm" height="4400mm" viewBox="0 0 340 440"'),
    "tiny": svg(SEAM + line("slash 1", 100), 'width="34mm" height="44mm" viewBox="0 0 340 440"'),
}  # fmt: skip
FILES = (
    "skirt-front",
    "bodice-front",
    "kilt-apron",
    "straight-panel",
    "circle-skirt-panel",
    "gore-panel",
    "plain-square-apron",
)
GALLERY = ("half-skirt", "kinds-by-name", "knife-flat", "kick-flat", "underlay-apart-flat")


def picture(terminal: Terminal, drawing: Path) -> etree._Element:
    done = terminal("measure", drawing, "-o", "found.svg", "--force")
    assert done.code == 0, done.err
    assert done.out.endswith("Written: found.svg\n")
    return etree.parse("found.svg").getroot()


def boxes(root: etree._Element) -> list[tuple[str, shapely.Polygon]]:
    """Each text with the room that it takes, letters on the wide side."""
    found = []
    for text in root.iter(f"{SVG}text"):
        words, size = text.text or "", float(text.get("font-size"))
        wide, high = width_of(words, size), size * CAPITALS
        x, y = float(text.get("x")), float(text.get("y")) - high
        x -= {"middle": wide / 2, "start": 0.0, "end": wide}[text.get("text-anchor")]
        box = shapely.box(x, y, x + wide, y + high)
        turn = re.match(r"rotate\(([-\d.]+) ([-\d.]+) ([-\d.]+)\)", text.get("transform") or "")
        if turn:
            box = shapely.affinity.rotate(box, float(turn[1]), origin=(float(turn[2]), float(turn[3])))
        found.append((words, box))
    return found


@pytest.mark.parametrize("name", [*DRAWINGS, *FILES, *GALLERY])
def test_words_lie_over_no_others_and_on_the_page(name: str, terminal: Terminal) -> None:
    if name in DRAWINGS:
        Path("drawing.svg").write_text(DRAWINGS[name], encoding="utf-8")
        drawing = Path("drawing.svg")
    else:
        drawing = FIXTURES / f"{'gallery/' if name in GALLERY else ''}{name}.svg"
    root = picture(terminal, drawing)
    page = shapely.box(0, 0, *map(float, (root.get("viewBox") or "").split()[2:]))
    words = boxes(root)
    assert any("RIGHT SIDE" in said for said, _ in words) or name in ("sixty lines", "crowded", "tiny")
    for (first, one), (second, other) in itertools.combinations(words, 2):
        assert one.intersection(other).area == 0, (first, second)
    for said, box in words:
        assert page.contains(box), said


@pytest.mark.parametrize("name", ["darts", "level lines", "whole bodice", "two pieces", "long names"])
def test_words_lie_on_no_line(name: str, terminal: Terminal) -> None:
    Path("drawing.svg").write_text(DRAWINGS[name], encoding="utf-8")
    root = picture(terminal, Path("drawing.svg"))
    drawn = [
        shapely.LineString(
            [tuple(map(float, point.split(","))) for point in re.findall(r"[-\d.]+,[-\d.]+", path.get("d"))]
        )
        for path in root.iter(f"{SVG}path")
        if path.get("class") in ("folded-outline", "folded-slash") and "C" not in path.get("d")
    ]
    assert drawn
    for said, box in boxes(root):
        for run in drawn:
            assert not box.intersects(run), said


def test_every_edge_and_corner_and_both_ends_of_every_line_are_there(terminal: Terminal) -> None:
    root = picture(terminal, FIXTURES / "skirt-front.svg")
    words = [said for said, _ in boxes(root)]
    for said in ("1  waist (top): 361.7 mm", "2  right side: 605.9 mm", "3  hem: 520.6 mm", "4  left side: 605.9 mm"):
        assert said in words
    for number in (1, 2, 3):
        assert {f"{number} top", f"{number} hem", f"{number}: slash {number}"} <= set(words)
    corners = [path for path in root.iter(f"{SVG}path") if path.get("class") == "folded-corner"]
    assert len(corners) == 4
    assert {"hip", "grainline", "RIGHT SIDE"} <= set(words)


def test_the_name_of_an_edge_stands_nearest_to_it(terminal: Terminal) -> None:
    Path("drawing.svg").write_text(svg(SEAM), encoding="utf-8")
    root = picture(terminal, Path("drawing.svg"))
    (seam,) = [
        path for path in root.iter(f"{SVG}path") if path.get("class") == "folded-outline" and "Z" in path.get("d")
    ]
    left, top, right, bottom = shapely.LineString(
        [tuple(map(float, point.split(","))) for point in re.findall(r"[-\d.]+,[-\d.]+", seam.get("d"))]
    ).bounds
    sides = {"top": (0, top), "hem": (0, bottom), "left side": (left, 0), "right side": (right, 0)}
    for said, box in boxes(root):
        named = re.match(r"\d  (.*):", said)
        if named:
            x, y = box.centroid.coords[0]
            off = {name: abs(x - at[0]) if at[0] else abs(y - at[1]) for name, at in sides.items()}
            assert min(off, key=lambda name: off[name]) == named[1]


def test_a_bodice_has_its_edges_in_words_of_the_trade(terminal: Terminal) -> None:
    words = [said for said, _ in boxes(picture(terminal, FIXTURES / "bodice-front.svg"))]
    for said in ("1  shoulder (top)", "2  armhole (edge 2)", "3  side (right side)", "4  lower edge (hem)", "6  neck"):
        assert any(one.startswith(said) for one in words), said
    assert not any(one.startswith("4  hem") for one in words)
    assert {"1 lower end", "2 lower end"} <= set(words)
    Path("drawing.svg").write_text(DRAWINGS["whole bodice"], encoding="utf-8")
    words = [said for said, _ in boxes(picture(terminal, Path("drawing.svg")))]
    for said in ("left shoulder", "right shoulder", "left armhole", "right armhole", "neck"):
        assert any(said in one for one in words), said


def test_the_fold_edge_is_the_centre(terminal: Terminal) -> None:
    words = [said for said, _ in boxes(picture(terminal, FIXTURES / "gallery" / "half-skirt.svg"))]
    assert any(one.startswith("2  centre (right side), on the fold") for one in words)


def test_the_picture_is_the_same_each_time_and_true_to_scale(terminal: Terminal) -> None:
    root = picture(terminal, FIXTURES / "skirt-front.svg")
    first = Path("found.svg").read_bytes()
    picture(terminal, FIXTURES / "skirt-front.svg")
    assert Path("found.svg").read_bytes() == first
    assert root.get("width") == f"{root.get('viewBox').split()[2]}mm"
    (seam,) = [p for p in root.iter(f"{SVG}path") if p.get("class") == "folded-outline" and "Z" in p.get("d")]
    nodes = [complex(*map(float, point.split(","))) for point in re.findall(r"[-\d.]+,[-\d.]+", seam.get("d"))]
    assert max(z.real for z in nodes) - min(z.real for z in nodes) == pytest.approx(520, abs=0.01)


def test_it_is_no_result(terminal: Terminal) -> None:
    picture(terminal, FIXTURES / "skirt-front.svg")
    with pytest.raises(PleatError, match="is not a result"):
        fold("found.svg")


def test_neither_the_drawing_nor_another_file_is_written_over(terminal: Terminal) -> None:
    Path("drawing.svg").write_text(svg(SEAM), encoding="utf-8")
    for words in (("-o", "drawing.svg", "--force"), ("-o", "drawing", "--force")):
        assert "is the drawing itself" in terminal("measure", "drawing.svg", *words).err
    Path("there.svg").write_text("mine", encoding="utf-8")
    assert "is there already" in terminal("measure", "drawing.svg", "-o", "there").err
    assert Path("there.svg").read_text(encoding="utf-8") == "mine"
    assert terminal("measure", "drawing.svg", "-o", "found.png").code == 2


def test_a_crowd_is_drawn_quickly(terminal: Terminal) -> None:
    lines = "".join(line(f"slash {k}", 20 + 300 * k / 301) for k in range(1, 301))
    Path("drawing.svg").write_text(svg(SEAM + lines), encoding="utf-8")
    start = time.process_time()
    root = picture(terminal, Path("drawing.svg"))
    assert time.process_time() - start < 5
    assert any("left out for want of room" in said for said, _ in boxes(root))
    assert math.isclose(float(root.get("viewBox").split()[0]), 0)


def test_a_piece_of_forty_metres_is_drawn_as_quickly_as_a_small_one(terminal: Terminal) -> None:
    """What stands about a place was looked up in squares of 4 cm, whatever the size of the piece: a million of them."""
    head = 'width="34000mm" height="44000mm" viewBox="0 0 340 440"'
    across = "".join(f'<path id="mark {k}" d="M20 {30 + 3 * k}H320"/>' for k in range(60))
    Path("drawing.svg").write_text(svg(SEAM + across + line("slash 1", 100), head), encoding="utf-8")
    start = time.process_time()
    picture(terminal, Path("drawing.svg"))
    assert time.process_time() - start < 1.5
