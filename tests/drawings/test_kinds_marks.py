"""The marks and words of tucks, kick pleats and parts: could somebody cut and sew from the sheet alone? Lengths in mm."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import shapely
from lxml import etree

from pleatsvg import pleat, read
from pleatsvg.geometry.segment import point_at
from pleatsvg.pleated import PleatedPiece
from pleatsvg.result.lettering import Words
from pleatsvg.result.roles import Role
from pleatsvg.writing.result import result_bytes
from tests.drawings.test_kinds_fold_back import GORES, HALF

FIXTURES = Path(__file__).parents[2] / "fixtures"
SEPARATE = {"kind": "inverted", "intake": "10cm", "hem_intake": "14cm", "underlay": "separate"}
KICK = {"kind": "kick", "intake": "10cm", "height": "20cm"}


def pleated(drawing: str, folder: Path, **options: Any) -> PleatedPiece:
    source = FIXTURES / f"{drawing}.svg"
    if drawing.startswith("<"):
        source = folder / "drawing.svg"
        source.write_text(drawing)
    return pleat(read(source), allowance="15mm", **options)


def box(words: Words, result: PleatedPiece) -> Any:
    return shapely.Polygon([(z.real, z.imag) for z in (corner + result.sheet.offset for corner in words.corners())])


def stroke(a: complex, b: complex) -> Any:
    return shapely.LineString([(a.real, a.imag), (b.real, b.imag)])


def parts(result: PleatedPiece) -> list[Any]:
    return [shapely.Polygon([(z.real, z.imag) for seg in seam.segments for z in seg[:1]]) for seam in result.flat.seams]


def said(result: PleatedPiece) -> list[str]:
    return [words.text for words in result.sheet.words]


def marks(result: PleatedPiece, name: str, line: str | None = None) -> list[list[complex]]:
    return [
        [z + result.sheet.offset for z in mark.points]
        for mark in result.sheet.marks
        if mark.name == name and line in (None, mark.line)
    ]


CROWDED: list[tuple[str, str, dict[str, Any]]] = [
    ("underlay apart", "gore-panel", SEPARATE),
    ("kick apart", "gore-panel", {**KICK, "underlay": "separate"}),
    ("kick in one", "gore-panel", KICK),
    ("narrow cloth", "skirt-front", {"kind": "knife", "intake": "12cm", "lap": "left", "cloth_width": "60cm"}),
    ("half piece", HALF, {"kind": "inverted", "intake": "13cm", "slash": "slash centre", "underlay": "separate"}),
    ("mixed", GORES, {"kind": "knife", "intake": "3cm", "lap": "left"}),
]


@pytest.mark.parametrize(("drawing", "options"), [case[1:] for case in CROWDED], ids=[case[0] for case in CROWDED])
def test_words_of_parts_lie_on_the_cloth_and_on_no_line(drawing: str, options: dict[str, Any], tmp_path: Path) -> None:
    """Each part has a block of words with its number and a grainline; nothing of these crosses a line or other words."""
    result = pleated(drawing, tmp_path, **options)
    flat = result.flat
    lines = [stroke(line.out_top, line.out_hem) for line in (*flat.creases, *flat.placements)]
    ours = [
        words for words in result.sheet.words if words.name in ("part-label", "seam-label", "join-label", "grain-label")
    ]
    others = [
        words
        for words in result.sheet.words
        if words.name not in ("part-label", "seam-label", "join-label", "grain-label")
    ]
    cloth = shapely.union_all(parts(result))
    boxes = [box(words, result) for words in ours]
    for words, room in zip(ours, boxes, strict=True):
        if words.name != "grain-label" or result.sheet.grains:
            assert cloth.contains(room), words.text
        assert not any(line.intersects(room) for line in lines), words.text
        assert not any(box(other, result).intersects(room) for other in others), words.text
    if len(flat.seams) == 1:
        return
    assert result.grain is not None
    way = result.grain[1] - result.grain[0]
    grains = [result.grain, *[(a + result.sheet.offset, b + result.sheet.offset) for a, b in result.sheet.grains]]
    for number, part in enumerate(parts(result), 1):
        assert f"PART {number} of {len(flat.seams)}" in " ".join(said(result))
        assert sum(part.contains(stroke(*grain)) for grain in grains) == 1
    for a, b in grains:
        assert abs(((b - a) / way).imag) < 1e-6
        assert not any(line.intersects(stroke(a, b)) for line in lines)
    for number in range(1, len(flat.joins) + 1):
        assert said(result).count(f"JOIN {number} TO {number}") == 2


@pytest.mark.parametrize("allowance", [["10mm", "hem=4cm"], None], ids=["on the allowance", "beside the part"])
def test_a_part_without_room_has_its_number_all_the_same(allowance: list[str] | None) -> None:
    """Narrow underlays of kick pleats had no name: it stands on the allowance, else beside with a thin line to the part."""
    narrow = {"intake": "4mm", "hem_intake": "60mm", "height": "8cm", "underlay": "separate", "allowance": allowance}
    result = pleat(
        read(FIXTURES / "circle-skirt-panel.svg"),
        kind="kick", at=["30mm", "50mm", "10cm"], run="grain", along="top", **narrow,
    )  # fmt: skip
    sheet, flat = result.sheet, result.flat
    found = {re.search(r"PART (\d) of 7", words.text): words for words in sheet.words if words.name == "part-label"}
    named = {int(match[1]): words for match, words in found.items() if match}
    assert sorted(named) == list(range(1, 8))
    outlines = [
        shapely.Polygon([(z.real, z.imag) for seg in cut.segments for z in (point_at(seg, k / 16) for k in range(16))])
        for cut in flat.cuts
    ]
    seams = [shapely.Polygon([(z.real, z.imag) for seg in seam.segments for z in seg[:1]]) for seam in flat.seams]
    lines = [stroke(line.out_top, line.out_hem) for line in (*flat.creases, *flat.placements)]
    leaders = marks(result, "leader")
    assert bool(leaders) is (allowance is None)
    for number, words in named.items():
        room, part = box(words, result), outlines[number - 1]
        assert not any(line.intersects(room) for line in lines), words.text
        assert not any(outline.exterior.intersects(room) for outline in (*outlines, *seams)), words.text
        assert not any(box(other, result).intersects(room) for other in sheet.words if other is not words), words.text
        x, y, right, low = room.bounds
        assert 0 < x < right < sheet.width and 0 < y < low < sheet.height
        if not part.contains(room):
            assert not any(outline.intersects(room) for outline in outlines)
            led = [stroke(*leader) for leader in leaders if stroke(*leader).distance(room) < 2]
            assert len(led) == 1 and led[0].distance(part) < 2 and led[0].length < 6


@pytest.mark.parametrize("kind", ["knife", "box", "inverted", "tuck", "kick", "pin-tuck"])
@pytest.mark.parametrize(
    "drawing", ["skirt-front", "gore-panel", "bodice-front", "circle-skirt-panel", "straight-panel", "kilt-apron"]
)
def test_every_piece_has_its_name_on_its_cloth(drawing: str, kind: str, tmp_path: Path) -> None:
    """What is off the piece is cut away: its name stands inside the seam, on no line, no mark and no other words."""
    options: dict[str, Any] = {"kind": kind, "intake": "4mm" if kind == "pin-tuck" else "2cm"}
    if "tuck" in kind or kind == "knife":
        options["lap"] = "left"
    if kind == "box":
        options["face"] = "12mm"
    if kind == "kick":
        options |= {"intake": "8cm", "height": "15cm", "slash": read(FIXTURES / f"{drawing}.svg").slashes[0].name}
    result = pleated(drawing, tmp_path, **options)
    name = [words for words in result.sheet.words if words.name == "piece-label"]
    assert [words.text for words in name][:1] == [result.name]
    assert len(name) == 3
    room = shapely.union_all([box(words, result) for words in name])
    seam = [point_at(seg, k / 16) for seg in result.flat.outline.segments for k in range(16)]
    assert shapely.Polygon([(z.real, z.imag) for z in seam]).contains(room)
    lines = [stroke(line.out_top, line.out_hem) for line in (*result.flat.creases, *result.flat.placements)]
    for mark in result.sheet.marks:
        lines += [stroke(a + result.sheet.offset, b + result.sheet.offset) for a, b in pairwise(mark.points)]
    if result.grain is not None:
        lines.append(stroke(*result.grain))
    assert not any(line.intersects(room) for line in lines)
    assert not any(box(other, result).intersects(room) for other in result.sheet.words if other not in name)


def test_a_second_pass_leaves_the_name_on_the_cloth(tmp_path: Path) -> None:
    """Lines of the first pass cross every lane between those of the second."""
    first = tmp_path / "first.svg"
    first.write_bytes(result_bytes(pleated("bodice-front", tmp_path, kind="tuck", intake="2cm", lap="left")))
    both = pleat(
        read(first), kind="pin-tuck", intake="4mm", lap="down", along="left side", at=["10cm"], count=3, gap="15mm"
    )
    name = [words for words in both.sheet.words if words.name == "piece-label"]
    assert "page tunic bodice front" in [words.text for words in name]


def test_notches_of_both_sides_of_a_join_meet(tmp_path: Path) -> None:
    """One a third of the way down, two at two thirds, at the same places on both parts."""
    result = pleated("gore-panel", tmp_path, **SEPARATE)
    for join in result.flat.joins:
        own = [mark for mark in result.sheet.marks if mark.line == "join" and mark.folds == (join.number,)]
        assert len(own) == 6
        places = []
        for k, (top, hem) in enumerate((join.before, join.after)):
            length = abs(hem - top)
            tips = [mark.points[1] + result.sheet.offset for mark in own[3 * k : 3 * k + 3]]
            places.append([((z - top) / (hem - top)).real * length for z in tips])
            assert places[k] == pytest.approx([length / 3, 2 * length / 3 - 4, 2 * length / 3 + 4], abs=0.01)
        assert places[0] == pytest.approx(places[1], abs=1e-4)
    assert not any("INNER FOLD" in text for text in said(result))


def test_arrows_of_a_kick_pleat_lie_below_its_slanting_tops(tmp_path: Path) -> None:
    result = pleated("gore-panel", tmp_path, **KICK)
    (piece,) = parts(result)
    arrows = marks(result, "lap-arrow")
    assert len(arrows) == 2
    for points in arrows:
        assert piece.contains(stroke(points[0], points[1]))


def test_the_seam_above_a_kick_pleat_has_its_words_and_matching_notches(tmp_path: Path) -> None:
    result = pleated("gore-panel", tmp_path, **KICK)
    assert said(result).count("SEAM ABOVE PLEAT 1") == 2
    tips = [mark[1].imag for mark in marks(result, "notch", "seam")]
    assert len(tips) == 6
    assert sorted(tips)[::2] == pytest.approx(sorted(tips)[1::2], abs=1e-6)  # level with each other on both sides
    assert "joins 1.5 cm" in " ".join(result.sheet.heading) or "joins 15 mm" in " ".join(result.sheet.heading)


@pytest.mark.parametrize(("whence", "ticks", "notched"), [("top", 1, "top"), ("hem", 1, "hem"), ("middle", 2, "")])
def test_released_tucks_show_where_their_stitching_ends(whence: str, ticks: int, notched: str, tmp_path: Path) -> None:
    result = pleated(
        "straight-panel", tmp_path, kind="tuck", depth="1cm", lap="left", stitched="15cm", stitched_from=whence
    )
    ends = marks(result, "stitch-end")
    assert len(ends) == 8  # two stitching lines for each of four tucks
    assert all(len(points) == 4 * ticks for points in ends)
    top = min(line.top.imag for line in result.flat.creases)
    start = {"top": 0.0, "hem": 250.0, "middle": 125.0}[whence]
    for points in marks(result, "lap-arrow"):
        assert all(start < z.imag - top < start + 150 for z in points)
    assert {mark.end for mark in result.sheet.marks if mark.name == "notch"} == ({notched} - {""})


def test_narrow_released_tucks_have_the_names_of_their_folds(tmp_path: Path) -> None:
    """By the rounding of a tick at the end of its stitching, or its slant, one had FOLD below its line, the next had none."""
    result = pleated("bodice-front", tmp_path, kind="tuck", intake="12mm", lap="left", stitched="12cm")
    folds = {line.pleat: line for line in result.flat.creases if line.role is Role.FOLD}
    for number, fold in folds.items():
        (words,) = [words for words in result.sheet.words if words.text == f"FOLD {number}"]
        place = (words.middle + result.sheet.offset - fold.top) / (fold.hem - fold.top) * abs(fold.hem - fold.top)
        assert abs(place.imag) < 0.1 and 120.0 < place.real - words.width / 2 < 136.0


def test_a_run_of_pin_tucks_is_labelled_once(tmp_path: Path) -> None:
    result = pleated(
        "straight-panel", tmp_path, kind="pin-tuck", depth="2mm", lap="left", slash="slash lines 2", count=17, gap="6mm"
    )
    assert [text for text in said(result) if text.startswith("PIN TUCK")] == [
        "PIN TUCKS 1 TO 17: intake 4 mm, pressed left"
    ]
    assert [text for text in said(result) if text.startswith("FOLD")] == [f"FOLD {n}" for n in (1, 5, 10, 15, 17)]
    assert "a cross at each end" not in " ".join(result.sheet.key)
    assert "fold-line-plain" in result.sheet.key
    assert "lap-arrow" not in result.sheet.key


def test_arrows_of_a_stacked_pleat_lie_apart(tmp_path: Path) -> None:
    result = pleated("straight-panel", tmp_path, kind="inverted", depth="2cm", stack=3, slash="slash lines 2")
    heights = sorted(round(points[0].imag, 6) for points in marks(result, "lap-arrow"))
    assert len(heights) == 6
    assert sorted(set(heights)) == pytest.approx([heights[0], heights[0] + 7, heights[0] + 14], abs=1e-6)


KEYED: list[tuple[str, str, dict[str, Any]]] = [
    *CROWDED,
    ("no grain drawn", "straight-panel", {"kind": "box", "intake": "4cm"}),
    ("tuck", "skirt-front", {"kind": "tuck", "intake": "2cm", "lap": "left", "stitched": "10cm"}),
    ("pin tuck", "bodice-front", {"kind": "pin-tuck", "intake": "4mm", "lap": "left"}),
]


@pytest.mark.parametrize(("drawing", "options"), [k[1:] for k in KEYED], ids=[k[0] for k in KEYED])
def test_the_key_tells_the_lines_of_the_sheet_and_no_others(
    drawing: str, options: dict[str, Any], tmp_path: Path
) -> None:
    root = etree.fromstring(result_bytes(pleated(drawing, tmp_path, **options)))
    hidden = {path for layer in root.iterfind(".//{*}g[@style='display:none']") for path in layer.iter("{*}path")}
    seen = {path.get("class", "") for path in root.iter("{*}path") if path not in hidden}
    keyed = {name for name in seen if name.startswith("key-") and name != "key-sign"}
    drawn = {name for name in seen - keyed if name.endswith(("-line", "-edge"))}
    own = {"carried-line"}  # of the person's drawing, and named there
    assert {name.removeprefix("key-") for name in keyed} == drawn - own
