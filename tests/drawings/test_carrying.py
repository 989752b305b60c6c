"""What else is drawn on a piece comes along: told by folding what was written, and by the drawing as built here.

The piece is a lining panel of the wardrobe room, 300 wide and 400 long, its top left corner at (20, 30), with slash
lines at x = 120 and 220. Every measure in the tests follows from these numbers.
"""

from __future__ import annotations

import gzip
import math
import re
import unicodedata
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from lxml import etree

import pleatsvg
from pleatsvg.errors import DrawingError, OutlineError
from pleatsvg.pleated import PleatedPiece
from tests.drawings.nearest import distances, farthest, polyline
from tests.referee.foldback import folding_motions, prove_all, read_path

SVG = "http://www.w3.org/2000/svg"
LIMIT = 0.01
PANEL = '<path id="seam panel" d="M20 30H320V430H20Z"/>'
SLASHES = '<path id="slash 1" d="M120 30V430"/><path id="slash 2" d="M220 30V430"/>'


def drawing(*inside: str, root: str = "") -> str:
    return (
        f'<svg xmlns="{SVG}" xmlns:xlink="http://www.w3.org/1999/xlink" width="400mm" height="500mm" '
        f'viewBox="0 0 400 500" {root}>' + "\n".join(inside) + "</svg>"
    )


def saved(folder: Path, *inside: str, root: str = "") -> Path:
    path = folder / "lining.svg"
    path.write_text(drawing(*inside, root=root), encoding="utf-8")
    return path


def pleated(path: Path, folder: Path, **order: Any) -> tuple[PleatedPiece, etree._Element]:
    """Pleat a drawing, write it, have the referee fold it, and return it with the root of what was written."""
    shows = order.pop("shows", "right")
    piece = pleatsvg.read(path, piece=order.pop("piece", None), shows=shows)
    result = pleatsvg.pleat(piece, **(order or {"kind": "knife", "intake": "40mm", "lap": "left"}))
    out = folder / "flat.svg"
    pleatsvg.write(result, out, force=True)
    for proof in prove_all(out).values():
        assert not proof.failures()
    return result, etree.fromstring(out.read_bytes())


def of_class(root: etree._Element, name: str) -> list[etree._Element]:
    return [e for e in root.iter() if name in (e.get("class") or "").split()]


def written(element: etree._Element) -> np.ndarray[Any, np.dtype[np.complex128]]:
    ((points, _),) = read_path(str(element.get("d")))
    return points


def folding(root: etree._Element) -> list[Any]:
    """The referee's motions for every layer of a written result, from its creases alone."""
    creases = of_class(root, "fold-line") + of_class(root, "inner-fold-line")
    creases = [e for e in creases if e.get("data-fold")]
    creases.sort(key=lambda e: (int(e.get("data-pleat") or 0), int(e.get("data-fold") or 0)))
    return folding_motions([(complex(p[0]), complex(p[-1])) for p in map(written, creases)])


def offset(root: etree._Element) -> complex:
    """From the drawing to the page of the result: where the finished panel's top left corner came to lie."""
    (finished,) = of_class(root, "finished-line")
    points = written(finished)
    return complex(min(points, key=lambda z: z.real + z.imag)) - (20 + 30j)


# ------------------------------------------------------------------------------------------------ balance lines

ORDERS: dict[str, dict[str, Any]] = {
    "knife left": {"kind": "knife", "intake": "40mm", "lap": "left"},
    "knife right": {"kind": "knife", "intake": "50mm", "lap": "right"},
    "box": {"kind": "box", "intake": "48mm"},
    "box with a narrow face": {"kind": "box", "intake": "60mm", "face": "20mm"},
    "inverted": {"kind": "inverted", "intake": "60mm"},
    "knife tapered": {"kind": "knife", "intake": "24mm", "hem_intake": "60mm", "lap": "left"},
    "inverted hinged": {"kind": "inverted", "intake": "0mm", "hem_intake": "80mm"},
    "box tapered": {"kind": "box", "intake": "40mm", "hem_intake": "72mm", "face": "30mm"},
}
LINES = {
    "level": ((20 + 180j, 320 + 180j),),
    "slanting, drawn from the right": ((320 + 150j, 20 + 200j),),
    "curved": ((20 + 180j, 110 + 200j, 230 + 200j, 320 + 180j),),
    "a way of three legs": ((20 + 180j, 90 + 190j), (90 + 190j, 250 + 186j), (250 + 186j, 320 + 170j)),
}


def data(segments: tuple[tuple[complex, ...], ...]) -> str:
    words = [f"M{segments[0][0].real} {segments[0][0].imag}"]
    for s in segments:
        words.append(("L" if len(s) == 2 else "C") + " ".join(f"{z.real} {z.imag}" for z in s[1:]))
    return " ".join(words)


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("line", LINES)
def test_balance_line_lies_as_drawn_when_folded(order: str, line: str, tmp_path: Path) -> None:
    path = saved(tmp_path, PANEL, SLASHES, f'<path id="hip line" d="{data(LINES[line])}" stroke="teal" fill="none"/>')
    _, root = pleated(path, tmp_path, **ORDERS[order])
    motions, shift = folding(root), offset(root)
    parts = of_class(root, "balance-line")
    assert len(parts) == len(motions), "one run on each layer of cloth"
    folded = [motion.of(written(part)) - shift for motion, part in zip(motions, parts, strict=True)]
    assert max(float(distances(points, LINES[line]).max()) for points in folded) <= LIMIT
    # Nothing of it is missing: run meets run, and the first and the last end where it was drawn to.
    ends = {complex(round(z.real, 3), round(z.imag, 3)) for z in (LINES[line][0][0], LINES[line][-1][-1])}
    assert min(abs(folded[0][0] - z) for z in ends) <= LIMIT
    assert min(abs(folded[-1][-1] - z) for z in ends) <= LIMIT
    for before, after in pairwise(folded):
        assert abs(before[-1] - after[0]) <= LIMIT
    # It has a look of its own, whatever it was drawn in: a placement line's colour and dashes would be cut for one.
    assert {(part.get("stroke"), part.get("stroke-dasharray")) for part in parts} == {
        ("#6b2d83", "10 1.5 1.5 1.5 1.5 1.5")
    }


SHORT = ((130, 300), (40, 215), (122, 218), (60, 100), (131, 140), (40, 125))


@pytest.mark.parametrize("order", ORDERS)
def test_a_balance_line_that_stops_short_stays_on_its_drawn_place(order: str, tmp_path: Path) -> None:
    levels = [complex(0, 120 + 30 * k) for k in range(len(SHORT))]
    drawn = {f"hip {k}": ((a + levels[k], b + levels[k]),) for k, (a, b) in enumerate(SHORT)}
    lines = [f'<path id="{name}" d="{data(segments)}"/>' for name, segments in drawn.items()]
    result, root = pleated(saved(tmp_path, PANEL, SLASHES, *lines), tmp_path, **ORDERS[order])
    motions, shift = folding(root), offset(root)
    # Which layer a run lies on is taken from the program; that it lies there is told by the written file.
    carried = sorted(result.carriage.lines, key=lambda line: not line.balance)
    parts = of_class(root, "balance-line") + of_class(root, "carried-line")
    for name, segments in drawn.items():
        kept = [
            motions[line.layer].of(written(part)) - shift
            for line, part in zip(carried, parts, strict=True)
            if line.name == name
        ]
        assert kept, name
        assert max(float(distances(points, segments).max()) for points in kept) <= LIMIT, name
        spots = np.concatenate(kept).real
        assert abs(spots.min() - segments[0][0].real) <= LIMIT, name
        assert abs(spots.max() - segments[0][1].real) <= LIMIT, name


# ------------------------------------------------------------------------------------------ lines and shapes


def test_an_open_line_is_cut_and_goes_with_its_panels(tmp_path: Path) -> None:
    drawn = ((60 + 200j, 280 + 230j),)
    path = saved(tmp_path, PANEL, SLASHES, f'<path id="trim line" d="{data(drawn)}" stroke="#a0f"/>')
    result, root = pleated(path, tmp_path)
    parts = of_class(root, "carried-line")
    assert len(parts) == 3
    assert any("'trim line'" in r and "cut into 3 parts" in r for r in result.remarks)
    motions, shift = folding(root), offset(root)
    folded = [motions[panel].of(written(part)) - shift for panel, part in zip((0, 2, 4), parts, strict=True)]
    for (left, right), points in zip(((60, 120), (120, 220), (220, 280)), folded, strict=True):
        assert float(distances(points, drawn).max()) <= LIMIT
        assert abs(points[0].real - left) <= LIMIT
        assert abs(points[-1].real - right) <= LIMIT
    assert all(part.get("stroke") == "#a0f" and part.get("fill") == "none" for part in parts)


def test_a_closed_shape_that_a_slash_line_crosses_is_left_out_with_its_place(tmp_path: Path) -> None:
    pocket = '<rect id="patch pocket" x="90" y="230" width="100" height="80"/>'
    result, root = pleated(saved(tmp_path, PANEL, SLASHES, pocket), tmp_path)
    assert not of_class(root, "carried-line")
    (remark,) = [r for r in result.remarks if "'patch pocket'" in r and "left out" in r]
    # Its middle is (140, 270): 20 to the right of slash 1, whose top end is (120, 30).
    assert "20 mm right of 'slash 1'" in remark
    assert "240 mm from its top end" in remark


def test_a_closed_shape_on_one_panel_goes_along_whole(tmp_path: Path) -> None:
    look = 'fill="none" stroke="navy" stroke-width="2" stroke-dasharray="3,1"'
    button = f'<circle id="button" cx="260" cy="120" r="9" {look}/>'
    _, root = pleated(saved(tmp_path, PANEL, SLASHES, button), tmp_path)
    (part,) = of_class(root, "carried-line")
    points = folding(root)[4].of(written(part)) - offset(root)
    assert np.abs(np.abs(points - (260 + 120j)) - 9).max() <= LIMIT
    assert str(part.get("d")).strip().endswith("Z")
    assert (part.get("stroke"), part.get("fill"), part.get("data-name")) == ("navy", "none", "button")
    assert float(part.get("stroke-width") or 0) == 2
    assert (part.get("stroke-dasharray") or "").replace(",", " ").split() == ["3", "1"]


def test_what_an_underlay_comes_to_lie_beneath_is_named(tmp_path: Path) -> None:
    # The knife's underlay reaches 20 from the slash line to one side: a mark at 10 lies over it, one at 50 does not.
    marks = '<circle id="drill near" cx="130" cy="300" r="1"/><circle id="drill far" cx="170" cy="300" r="1"/>'
    left, _ = pleated(saved(tmp_path, PANEL, SLASHES, marks), tmp_path, kind="knife", intake="40mm", lap="left")
    right, _ = pleated(saved(tmp_path, PANEL, SLASHES, marks), tmp_path, kind="knife", intake="40mm", lap="right")
    named = [any("'drill near'" in r and "Pleat 1" in r for r in result.remarks) for result in (left, right)]
    assert sorted(named) == [False, True]
    assert not any("drill far" in r for result in (left, right) for r in result.remarks)


def test_images_and_foreign_things_are_named_and_left_out(tmp_path: Path) -> None:
    things = '<image id="swatch" width="9" height="9"/><foreignObject id="note"/>'
    result, root = pleated(saved(tmp_path, PANEL, SLASHES, things), tmp_path)
    assert any("swatch" in r and "note" in r for r in result.remarks)
    assert not list(root.iter(f"{{{SVG}}}image", f"{{{SVG}}}foreignObject"))


# ------------------------------------------------------------------------------------------------------ texts


def matrix_above(element: etree._Element) -> np.ndarray[Any, np.dtype[np.float64]]:
    """The matrix from an element's own units to the page, from every transform at and above it."""
    whole = np.eye(3)
    here: etree._Element | None = element
    while here is not None:
        text = here.get("transform") or ""
        found = re.fullmatch(r"\s*matrix\(([^)]*)\)\s*", text)
        if found:
            a, b, c, d, e, f = (float(word) for word in found[1].replace(",", " ").split())
            whole = np.array([[a, c, e], [b, d, f], [0, 0, 1]]) @ whole
        else:
            assert not text, text
        here = here.getparent()
    return whole


def carried_text(root: etree._Element) -> etree._Element:
    (group,) = of_class(root, "carried-text")
    (text,) = group.iter(f"{{{SVG}}}text")
    return text


def text_start(text: etree._Element) -> complex:
    x, y, _ = matrix_above(text) @ np.array([float(text.get("x") or 0), float(text.get("y") or 0), 1])
    return complex(x, y)


@pytest.mark.parametrize("x", [40, 140, 240])
def test_text_stays_with_its_panel(x: int, tmp_path: Path) -> None:
    words = f'<text id="note" x="{x}" y="200" font-size="8">cut 2</text>'
    _, root = pleated(saved(tmp_path, PANEL, SLASHES, words), tmp_path)
    text = carried_text(root)
    panel = {40: 0, 140: 2, 240: 4}[x]
    folded = folding(root)[panel].of(np.array([text_start(text)]))[0] - offset(root)
    assert abs(folded - complex(x, 200)) <= LIMIT
    assert text.text == "cut 2"


MIRRORS = {
    "y turned over": 'transform="matrix(1 0 0 -1 0 460)"',
    "x turned over": 'transform="matrix(-1 0 0 1 340 0)"',
    "both": 'transform="rotate(180 170 230)"',
    "not at all": "",
}


@pytest.mark.parametrize("mirror", MIRRORS)
@pytest.mark.parametrize("shows", ["right", "wrong"])
@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
def test_text_is_never_mirrored(mirror: str, shows: str, anchor: str, tmp_path: Path) -> None:
    words = f'<text x="160" y="200" font-size="8" text-anchor="{anchor}">lining, cut 2</text>'
    path = saved(tmp_path, f"<g {MIRRORS[mirror]}>", PANEL, SLASHES, words, "</g>")
    result, root = pleated(path, tmp_path, shows=shows)
    text = carried_text(root)
    whole = matrix_above(text)
    scale = math.sqrt(abs(np.linalg.det(whole[:2, :2])))
    assert np.linalg.det(whole[:2, :2]) > 0
    assert scale == pytest.approx(1, abs=1e-6)
    assert "".join(text.itertext()) == "lining, cut 2"
    # Its start is where it was drawn on the cloth: within the middle panel, at the drawn point, the page turned.
    spot = complex(160, 200)
    if "y" in mirror.split():
        spot = complex(spot.real, 460 - spot.imag)
    if "x" in mirror.split():
        spot = complex(340 - spot.real, spot.imag)
    if mirror == "both":
        spot = 340 + 460j - spot
    if shows == "wrong":
        spot = complex(400 - spot.real, spot.imag)
    corner = min(result.finished.outline.segments, key=lambda s: s[0].real + s[0].imag)[0]
    (finished,) = of_class(root, "finished-line")
    shift = complex(min(written(finished), key=lambda z: z.real + z.imag)) - corner
    layer = result.carriage.texts[0].layer
    assert layer == 2
    folded = folding(root)[layer].of(np.array([text_start(text)]))[0] - shift
    if anchor == "middle":
        assert abs(folded - spot) <= LIMIT
    else:
        # A line of writing that is turned round keeps the cloth that it covers, give or take its estimated length.
        assert abs(folded - spot) <= LIMIT or text.get("text-anchor") != anchor


def test_text_keeps_its_style(tmp_path: Path) -> None:
    sheet = "<style>.words { fill: #123456; font-family: 'Gill Sans', sans-serif } text { font-weight: bold }</style>"
    words = (
        '<g font-size="6" letter-spacing="1"><text class="words" x="150" y="200" style="font-style:italic">'
        'cut <tspan x="150" dy="9" fill="red" font-size="4">two</tspan> on fold</text></g>'
    )
    _, root = pleated(saved(tmp_path, sheet, PANEL, SLASHES, words), tmp_path)
    text = carried_text(root)
    assert text.get("fill") == "#123456"
    assert "Gill Sans" in (text.get("font-family") or "")
    assert (text.get("font-weight"), text.get("font-style"), text.get("font-size")) == ("bold", "italic", "6")
    assert text.get("letter-spacing") == "1"
    (part,) = text.iter(f"{{{SVG}}}tspan")
    assert (part.get("fill"), part.get("font-size"), part.get("dy"), part.text) == ("red", "4", "9", "two")
    assert "".join(text.itertext()) == "cut two on fold"


# ----------------------------------------------------------------------------------------- notches and darts


def sewn(result: PleatedPiece, root: etree._Element, name: str) -> complex:
    """Where a carried mark's first point lies when the written piece is folded, on the drawing."""
    lines = [line for line in result.carriage.lines if not line.balance]
    parts = of_class(root, "carried-line")
    ((line, part),) = [(a, b) for a, b in zip(lines, parts, strict=True) if a.name == name]
    return complex(folding(root)[line.layer].of(written(part))[0] - offset(root))


@pytest.mark.parametrize("order", ORDERS)
def test_notches_keep_their_places_along_the_seam_when_folded(order: str, tmp_path: Path) -> None:
    places = (35, 119, 121, 128, 170, 205, 310)
    marks = [f'<path id="balance mark {x}" d="M{x} 30v6"/><path id="notch {x}" d="M{x} 430v-6"/>' for x in places]
    result, root = pleated(saved(tmp_path, PANEL, SLASHES, *marks), tmp_path, **ORDERS[order])
    for x in places:
        # The top seam runs level from (20, 30): folded, the notch is as far along it as it was drawn.
        assert abs(sewn(result, root, f"balance mark {x}") - complex(x, 30)) <= LIMIT
        assert abs(sewn(result, root, f"notch {x}") - complex(x, 430)) <= LIMIT
    # And on the flat piece their feet stand on the flat seam.
    (seam,) = of_class(root, "seam-line")
    ring = written(seam)
    edges = [(complex(a), complex(b)) for a, b in zip(ring, np.roll(ring, -1), strict=True) if abs(b - a) > 1e-9]
    feet = [complex(written(part)[0]) for part in of_class(root, "carried-line")]
    assert len(feet) == 2 * len(places)
    assert float(distances(feet, edges).max()) <= LIMIT


def test_a_dart_is_recognised_and_its_mouth_is_not_counted(tmp_path: Path) -> None:
    darted = '<path id="seam panel" d="M20 30H160L170 110L180 30H320V430H20Z"/>'
    lines = '<path id="slash 1" d="M80 30V430"/><path id="slash 2" d="M260 30V430"/>'
    piece = pleatsvg.read(saved(tmp_path, darted, lines))
    found = pleatsvg.measure(piece)
    (dart,) = found.darts
    assert (dart.intake, dart.length, dart.point) == (pytest.approx(20), pytest.approx(80), pytest.approx(170 + 110j))
    assert dart.sewn
    assert found.top_spaces == pytest.approx((60, 180 - 20, 60))
    assert found.edges[0].length == pytest.approx(280)
    result = pleatsvg.pleat(piece, kind="knife", intake="40mm", lap="left")
    assert result.top_lengths == pytest.approx((280, 280 + 80))


def test_a_notch_cut_into_the_seam_is_no_dart(tmp_path: Path) -> None:
    square = '<path id="seam panel" d="M20 30H120V80H220V30H320V430H20Z"/>'
    found = pleatsvg.measure(pleatsvg.read(saved(tmp_path, square)))
    assert found.darts == ()


# ------------------------------------------------------------------------------------------- several, and strokes


def test_several_pieces_and_one_by_its_name(tmp_path: Path) -> None:
    two = (
        '<g id="front"><path id="seam" d="M20 30H120V230H20Z"/><path id="slash 1" d="M70 30V230"/>'
        '<text x="30" y="60">F</text></g>'
        '<g id="back"><path id="seam" d="M220 30H340V280H220Z"/><path id="slash 1" d="M280 30V280"/>'
        '<text x="240" y="60">B</text></g>'
    )
    path = saved(tmp_path, two)
    assert [piece.name for piece in pleatsvg.read_all(path)] == ["front", "back"]
    with pytest.raises(OutlineError, match=r"'front', 'back'.*with piece"):
        pleatsvg.read(path)
    result, root = pleated(path, tmp_path, piece="back", kind="knife", intake="30mm", lap="right")
    assert result.name == "back"
    assert result.finished.outline.area == pytest.approx(120 * 250)
    assert carried_text(root).text == "B"
    with pytest.raises(DrawingError, match="bac"):
        pleatsvg.read(path, piece="bac")


STROKES = (
    '<path id="seam a" d="M20 30H320"/>',
    '<path id="seam b" d="M20 430L20 30"/>',
    '<path id="seam c" d="M320.0{gap} 30C330 200 330 300 320 430"/>',
    '<line id="seam d" x1="20" y1="430" x2="320" y2="430"/>',
)


def test_an_outline_of_open_strokes_is_joined_and_said_so(tmp_path: Path) -> None:
    path = saved(tmp_path, *(stroke.format(gap=8) for stroke in STROKES), SLASHES)
    piece = pleatsvg.read(path)
    assert any("4 strokes" in note and "0.080 mm" in note for note in piece.notes)
    side = (320 + 30j, 330 + 200j, 330 + 300j, 320 + 430j)
    whole = ((20 + 30j, 320 + 30j), side, (320 + 430j, 20 + 430j), (20 + 430j, 20 + 30j))
    assert farthest(piece.outline.segments, whole) <= 0.08
    _, root = pleated(path, tmp_path)
    assert of_class(root, "seam-line")


def test_strokes_that_do_not_meet_are_refused_with_both_points(tmp_path: Path) -> None:
    path = saved(tmp_path, *STROKES[:2], STROKES[2].replace("320.0{gap}", "320.4"), STROKES[3], SLASHES)
    with pytest.raises(OutlineError, match=r"0\.40 mm.*\(320\.\d, 30\.0\).*\(320\.\d, 30\.0\)"):
        pleatsvg.read(path)


@pytest.mark.parametrize(("gap", "closed"), [(0.0, True), (0.05, True), (0.099, True), (0.15, False)])
def test_a_hair_gap_is_closed_and_a_wider_one_is_not(gap: float, closed: bool, tmp_path: Path) -> None:
    path = saved(tmp_path, f'<path id="seam" d="M20 30H320V430H20V{30 + gap}"/>', SLASHES)
    if closed:
        piece = pleatsvg.read(path)
        assert any("gap" in note for note in piece.notes) == (gap > 0)
        assert piece.outline.area == pytest.approx(300 * 400, abs=20)
    else:
        with pytest.raises(OutlineError, match=r"0\.15 mm.*\(20\.0, 30\.0\).*\(20\.0, 30\.\d\)"):
            pleatsvg.read(path)


# ------------------------------------------------------------------------------------------- files and names

PLAIN = drawing(PANEL, SLASHES, '<text x="150" y="200">schräg</text>')


def _declared(encoding: str) -> str:
    return f'<?xml version="1.0" encoding="{encoding}"?>\n<!-- kept in the wardrobe -->\n<?note hello?>\n{PLAIN}'


FILES: dict[str, bytes] = {
    "plain": PLAIN.encode(),
    "packed": gzip.compress(PLAIN.encode(), mtime=0),
    "UTF-8 with a mark": b"\xef\xbb\xbf" + _declared("UTF-8").encode(),
    "UTF-16 with a mark": _declared("UTF-16").encode("utf-16"),
    "UTF-16, the bytes the other way": b"\xfe\xff" + _declared("UTF-16").encode("utf-16-be"),
    "Latin-1": _declared("ISO-8859-1").encode("latin-1"),
    "Windows": _declared("windows-1252").encode("cp1252"),
    "lines ending in CR LF": _declared("UTF-8").replace("\n", "\r\n").encode(),
    "UTF-16, packed": gzip.compress(_declared("UTF-16").encode("utf-16"), mtime=0),
}


@pytest.mark.parametrize("kind", FILES)
def test_every_way_to_store_it_is_the_same_drawing(kind: str, tmp_path: Path) -> None:
    path = tmp_path / ("lining.svgz" if "packed" in kind else "lining.svg")
    path.write_bytes(FILES[kind])
    piece = pleatsvg.read(path)
    assert piece.outline.area == pytest.approx(300 * 400)
    assert [line.name for line in piece.slashes] == ["slash 1", "slash 2"]
    assert [text.words for text in piece.texts] == ["schräg"]


@pytest.mark.parametrize(
    "name",
    ["юбка передняя", "スカート前", "تنورة", "חצאית", "Röckchen", "स्कर्ट", "jupe «de scène»", "🎭 chorus", "a & b < c"],
)
@pytest.mark.parametrize("where", ["id", "inkscape:label", "data-name", "title"])
def test_names_in_any_script_come_through(name: str, where: str, tmp_path: Path) -> None:
    said = name.replace("&", "&amp;").replace("<", "&lt;")
    spaces = 'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
    if where == "title":
        seam = f'<path d="M20 30H320V430H20Z"><title>seam {said}</title></path>'
    else:
        seam = f'<path {where}="seam {said}" d="M20 30H320V430H20Z"/>'
    slash = f'<path data-name="slash {unicodedata.normalize("NFD", said)}" d="M120 30V430"/>'
    path = saved(tmp_path, seam, slash, root=spaces)
    composed = unicodedata.normalize("NFC", name)
    result, root = pleated(path, tmp_path, kind="knife", intake="40mm", lap="left", slash=f"slash {composed}")
    assert result.name == composed
    (group,) = of_class(root, "piece")
    assert group.get("data-piece") == composed


def test_polyline_of_the_tape_holds_curves() -> None:
    # The tape used above, on a quarter circle of radius 100 by the usual handles: within 0.03 of it.
    k = 100 * 4 / 3 * math.tan(math.pi / 8)
    points = polyline([(100 + 0j, complex(100, k), complex(k, 100), 100j)], 101)
    assert np.abs(np.abs(points) - 100).max() < 0.03


def test_a_pocket_with_a_side_along_a_slash_line_goes_with_its_own_panel(tmp_path: Path) -> None:
    # Right of the line at 120, which makes way to the right by the intake of 40.
    path = saved(tmp_path, PANEL, SLASHES, '<path id="pocket" d="M150 100H120V200H150"/>')
    result, _ = pleated(path, tmp_path)
    (pocket,) = [line for line in result.carriage.lines if line.name == "pocket"]
    assert abs(pocket.segments[0][0] - (190 + 100j)) < LIMIT


def grain_of(root: etree._Element) -> tuple[complex, complex]:
    """The ends of the grain line, without the strokes of its arrow heads."""
    (line,) = of_class(root, "grain-line")
    shaft = max([points for points, _ in read_path(str(line.get("d")))], key=lambda p: abs(p[-1] - p[0]))
    return complex(shaft[0]), complex(shaft[-1])


@pytest.mark.parametrize("order", ["knife", "inverted"])
@pytest.mark.parametrize(("x", "y"), [(120, (200, 400)), (219, (380, 150))])
def test_a_grainline_drawn_along_a_slash_line_is_set_aside_from_it(
    order: str, x: int, y: tuple[int, int], tmp_path: Path
) -> None:
    grain = f'<path id="grainline" d="M{x} {y[0]}V{y[1]}"/>'
    lap = {"lap": "right"} if order == "knife" else {}
    result, root = pleated(saved(tmp_path, PANEL, SLASHES, grain), tmp_path, kind=order, intake="40mm", **lap)
    ((said,),) = [[words for words in result.remarks if "grainline" in words]]
    assert re.match(r"The grainline lay on the (fold|placement) line of pleat [12]; it is drawn 12 mm beside it", said)
    start, end = grain_of(root)
    assert end - start == pytest.approx(1j * (y[1] - y[0]), abs=1e-6)
    lines = [e for name in ("fold-line", "inner-fold-line", "placement-line") for e in of_class(root, name)]
    near = sorted(abs(complex(p[0]).real - start.real) for p in [written(e) for e in lines if e.get("data-pleat")])
    assert 12 - 1.001 <= near[0] <= 12 + 1.001  # 1 mm of it drawn beside the line already
    # Folded, it lies 12 mm beside where it was drawn, on the face of the piece.
    at = offset(root)
    motions = folding(root)
    held = [abs(m.of(np.array([start]))[0] - at - complex(x, y[0])) for m in motions]
    assert min(abs(far - 12) for far in held) < 1e-5


def test_a_grainline_stays_where_it_can_be_told_from_the_lines_or_has_no_room(tmp_path: Path) -> None:
    beside = '<path id="grainline" d="M124 200V400"/>'
    result, root = pleated(saved(tmp_path, PANEL, SLASHES, beside), tmp_path)
    assert not [words for words in result.remarks if "grainline" in words]
    across = '<path id="grainline" d="M100 200L140 400"/>'  # from one panel to the next: cut off, not set aside
    result, root = pleated(saved(tmp_path, PANEL, SLASHES, across), tmp_path)
    assert not [words for words in result.remarks if "grainline" in words]
    narrow = "".join([f'<path id="slash {k}" d="M{100 + 11 * k} 30V430"/>' for k in range(9)])
    grain = '<path id="grainline" d="M144 200V400"/>'
    result, root = pleated(saved(tmp_path, PANEL, narrow, grain), tmp_path, kind="knife", intake="10mm", lap="left")
    assert not [words for words in result.remarks if "grainline" in words]
    motions, at = folding(root), offset(root)
    start, _ = grain_of(root)
    assert min(abs(m.of(np.array([start]))[0] - at - (144 + 200j)) for m in motions) < 1e-5
