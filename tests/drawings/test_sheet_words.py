"""Words and marks of a sheet as somebody has to cut from them: by their lines, on nothing else, and said often enough.

The browser's look at some 700 sheets (`tests.drawings.browser.sheets`) is the judge of pictures; these ask the same of
the values, with the width of letters on the wide side. Lengths in mm.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
import shapely
from lxml import etree

from pleatsvg import pleat, read, write
from pleatsvg.api import fold
from pleatsvg.batch.progress import progress_for
from pleatsvg.geometry.segment import point_at
from pleatsvg.marks.seen import seen_parts
from pleatsvg.marks.words.edge_names import flat_edges, flat_length
from pleatsvg.marks.words.line_ends import LineEnd, at_line_ends
from pleatsvg.page.key_rows import lines_of
from pleatsvg.page.measures import KEY_WIDTH, MARGIN
from pleatsvg.pleated import PleatedPiece
from pleatsvg.result.classes import CLASSES, key_row
from pleatsvg.result.clear_of import chords_of
from pleatsvg.result.lettering import LOW_CAPITALS, SIZE, Words, width_of
from pleatsvg.result.roles import Role
from pleatsvg.writing.result import result_bytes
from tests.drawings.paper import drawing, polygon, slashes

FIXTURES = Path(__file__).parents[2] / "fixtures"
KNIFE: dict[str, Any] = {"kind": "knife", "intake": "6cm", "lap": "left"}
CUT: dict[str, Any] = {"allowance": ["15mm", "hem=4cm"]}
SHEETS: dict[str, tuple[str, dict[str, Any]]] = {
    "marked": ("skirt-front", {**KNIFE, **CUT, "mark": "6cm", "stitch_down": "8cm", "edge_stitch": "full"}),
    "stitched": ("straight-panel", {"kind": "box", "depth": "1cm", **CUT, "stitch_down": "8cm", "edge_stitch": "5cm"}),
    "hinged": ("bodice-front", {"kind": "inverted", "intake": "3cm", "hem_intake": "0mm"}),
    "marked box": ("circle-skirt-panel", {"kind": "box", "depth": "1cm", "mark": "6cm"}),
    "half": ("gallery/half-skirt", {"kind": "box", "depth": "1cm", "slash": "slash centre", "stitch_down": "8cm"}),
}


def made(drawing_of: str, **options: Any) -> PleatedPiece:
    return pleat(read(FIXTURES / f"{drawing_of}.svg"), **options)


def line(points: Sequence[complex]) -> Any:
    return shapely.LineString([(z.real, z.imag) for z in points])


def box_of(words: Words) -> Any:
    """The room of its font size, in the coordinates of the flat piece."""
    return shapely.Polygon([(z.real, z.imag) for z in words.corners()])


def seen_lines(result: PleatedPiece) -> dict[tuple[str, int], list[Any]]:
    """What is seen of the lines of pleats, by sign and pleat."""
    flat, offset = result.flat, result.sheet.offset
    whole = (*flat.creases, *flat.placements)
    parts = seen_parts(whole, result.pleats, result.laid.order.marking.mark)
    found: dict[tuple[str, int], list[Any]] = {}
    for one in whole:
        ends = parts.get((one.role, one.pleat, one.folds), (one.out_top, one.out_hem))
        found.setdefault((one.role.sign, one.pleat), []).append(line([z - offset for z in ends]))
    return found


@pytest.fixture(scope="module", params=SHEETS)
def sheet(request: pytest.FixtureRequest) -> PleatedPiece:
    name, options = SHEETS[request.param]
    return made(name, **options)


def test_words_lie_on_no_other_words_and_no_line(sheet: PleatedPiece) -> None:
    """Words of stitching stood on those of the fold; words of a marked line among the next one's."""
    boxes = [box_of(words) for words in sheet.sheet.words]
    for (one, a), (other, b) in itertools.combinations(zip(sheet.sheet.words, boxes, strict=True), 2):
        assert a.intersection(b).area < 1.0, (one.text, other.text)
    inked = [stroke for strokes in seen_lines(sheet).values() for stroke in strokes]
    inked += [line([seg[0], seg[-1]]) for stitches in sheet.sheet.stitching for run in stitches.runs for seg in run]
    inked += [line(run) for m in sheet.sheet.marks if m.name != "pleat-tint" for run in m.runs()]
    for words, room in zip(sheet.sheet.words, boxes, strict=True):
        thin = room.buffer(-0.6)  # the font size holds more than the letters
        assert not any(thin.intersects(stroke) for stroke in inked), words.text


def test_words_stay_by_what_is_seen_of_their_line(sheet: PleatedPiece) -> None:
    """With marks of 6 cm words stood far down beside nothing."""
    lines = seen_lines(sheet)
    leaders = [line(m.points) for m in sheet.sheet.marks if m.name == "leader"]
    asked = [w for w in sheet.sheet.words if w.name in ("fold-label", "placement-label", "inner-label")]
    assert asked
    for words in asked:
        own = [*lines[words.name.removesuffix("-label"), words.pleat], *leaders]
        assert min(box_of(words).distance(stroke) for stroke in own) < 8.0, words.text
        if sheet.laid.order.marking.mark is not None:
            assert min(box_of(words).distance(stroke) for stroke in own) < 4.0, words.text


def test_every_line_of_stitching_is_named(sheet: PleatedPiece) -> None:
    if sheet.name == "half-skirt":
        return  # there the strip beside the fold is 10 wide and holds the arrow of the fold edge; the key tells it
    texts = [words.text for words in sheet.sheet.words]
    for text in {stitches.words for stitches in sheet.sheet.stitching if stitches.words}:
        assert text in texts


def test_a_long_line_tells_every_20_cm_which_it_is() -> None:
    """Signs no more than 200 apart, and the words beside each."""
    result = made("skirt-front", **KNIFE)
    for role, name in ((Role.FOLD, "fold"), (Role.PLACEMENT, "placement")):
        for one in (*result.flat.creases, *result.flat.placements):
            if one.role is not role:
                continue
            along = (one.hem - one.top) / abs(one.hem - one.top)
            of = (f"{name}-end", one.pleat, one.folds)
            (signs,) = [m for m in result.sheet.marks if (m.name, m.pleat, m.folds) == of]
            spots = [sum(run) / len(run) + result.sheet.offset for run in signs.runs()]
            at = sorted({round(((z - one.top) * along.conjugate()).real, 1) for z in spots})
            steps = [b - a for a, b in itertools.pairwise([0.0, *at, abs(one.hem - one.top)])]
            assert len(at) == 4 and max(steps) < 201
            words = [w for w in result.sheet.words if w.name == f"{name}-label" and w.pleat == one.pleat]
            heights = sorted(((w.middle + result.sheet.offset - one.top) * along.conjugate()).real for w in words)
            assert max(b - a for a, b in itertools.pairwise([0.0, *heights, abs(one.hem - one.top)])) < 215


def test_the_sides_of_a_box_pleat_are_told_apart() -> None:
    result = made("straight-panel", kind="box", depth="1cm")
    texts = {words.text for words in result.sheet.words}
    assert {"FOLD 1a", "FOLD 1b", "PLACE 1a HERE", "PLACE 1b HERE", "INNER FOLD 1a"} <= texts
    for side, places in (("a", (1, 2)), ("b", (3, 4))):
        folds = [c for c in result.flat.creases if c.pleat == 1 and c.role is Role.FOLD and c.folds[0] in places]
        (onto,) = [p for p in result.flat.placements if p.pleat == 1 and p.folds[0] == folds[0].folds[0]]
        for text, one in ((f"FOLD 1{side}", folds[0]), (f"PLACE 1{side} HERE", onto)):
            spots = [w.middle + result.sheet.offset for w in result.sheet.words if w.text == text]
            assert all(abs(z.real - one.top.real) < 5 for z in spots)


def test_one_sentence_for_a_run_of_equal_pleats(tmp_path: Path) -> None:
    result = made("kilt-apron", kind="knife", depth="5cm", lap="left")
    labels = [words.text for words in result.sheet.words if words.name == "pleat-label"]
    assert labels == ["PLEATS 1 TO 12: knife, intake 10 cm, fold points left (right over left)"]
    write(result, tmp_path / "kilt.svg")
    root = etree.parse(tmp_path / "kilt.svg").getroot()
    told = sorted(int(str(text.get("data-pleat"))) for text in root.iterfind(".//{*}text[@data-intake-mm]"))
    assert told == list(range(1, 13)), "what is stated of each pleat is kept"
    assert fold(tmp_path / "kilt.svg")[0].holds


def test_edges_bear_their_names_and_lengths() -> None:
    result = made("skirt-front", **KNIFE)
    texts = [words.text for words in result.sheet.words if words.name == "edge-label"]
    said = " ".join(texts)
    for words in ("TOP", "36.17 cm finished", "54.17 cm flat", "HEM", "LEFT SIDE: 60.59 cm", "RIGHT SIDE: 60.59 cm"):
        assert words in said
    flat = flat_edges(result.flat, result.laid.ground.edge_of, (), result.lines.hand)
    top, hem = (next(e.number for e in result.laid.ground.edges if e.name == name) for name in ("top", "hem"))
    assert flat_length(flat[top]) == pytest.approx(result.top_lengths[1], abs=1e-3)
    assert flat_length(flat[hem]) == pytest.approx(result.hem_lengths[1], abs=1e-3)
    points = [point_at(seg, k / 32) for seg in result.flat.outline.segments for k in range(32)]
    seam = shapely.Polygon([(z.real, z.imag) for z in points])
    offset = result.sheet.offset
    for words in result.sheet.words:
        if words.name == "edge-label":
            assert seam.contains(shapely.affinity.translate(box_of(words), offset.real, offset.imag)), words.text
    assert any("True size: print at 100 %" in row for row in result.sheet.heading)


DART = "M0 0H142L150 100L158 0H300V500H0Z"


@pytest.mark.parametrize("level", [False, True], ids=["upright", "level"])
def test_the_legs_of_a_dart_are_no_part_of_an_edge(level: bool, tmp_path: Path) -> None:
    """The top was told 20 cm too long, and its name stood beneath the dart's point."""
    (tmp_path / "dart.svg").write_text(drawing(DART, slashes((60 + 0j, 60 + 500j))), encoding="utf-8")
    options = {"lap": "down", "at": ["20cm"], "along": "left side", "run": "level"} if level else {"lap": "left"}
    result = pleat(read(tmp_path / "dart.svg"), kind="tuck", intake="3cm", **options)
    said = [words for words in result.sheet.words if words.name == "edge-label"]
    rows = " ".join(words.text for words in said)
    assert "TOP" in rows and "28.4 cm" in rows and ("31.4 cm flat" in rows) is not level
    top = result.flat.outline.segments
    height = min(z.imag for seg in top for z in seg) - result.sheet.offset.imag
    assert all(words.middle.imag < height + 20 for words in said if words.text.startswith("TOP"))


@pytest.mark.parametrize(
    "outline",
    [
        "M0 0H100C100 60 60 100 0 100Z",
        "M0 0H120V20C120 90 80 120 20 120H0Z",
        "M40 0H300V300H0V60C25 60 40 45 40 0Z",
        "M0 0H300V300H160L150 240L140 300H0Z",
        "M0 0H300V200C200 300 100 300 0 200Z",
    ],
    ids=["round", "rounded corner", "hollow", "dart in the hem", "round hem"],
)
def test_names_of_edges_lie_on_no_seam(outline: str, tmp_path: Path) -> None:
    """A curve was looked at every 40 mm, so that words stood on a hollow armhole."""
    (tmp_path / "piece.svg").write_text(drawing(outline, slashes((90 + 0j, 90 + 300j))), encoding="utf-8")
    result = pleat(read(tmp_path / "piece.svg"), kind="tuck", intake="1cm", lap="left")
    offset = result.sheet.offset
    seam = [line([point_at(seg, k / 64) - offset for k in range(65)]) for seg in result.flat.outline.segments]
    said = [words for words in result.sheet.words if words.name == "edge-label"]
    assert said
    for words in said:
        assert not any(box_of(words).intersects(one) for one in seam), words.text
        assert min(box_of(words).distance(one) for one in seam) < 16.3, "its name has three rows at the most"


def test_the_name_on_a_bodice_armhole_lies_beside_it() -> None:
    result = made("bodice-front", kind="tuck", intake="2cm", lap="left", **CUT)
    offset = result.sheet.offset
    seam = [line([point_at(seg, k / 64) - offset for k in range(65)]) for seg in result.flat.outline.segments]
    said = [words for words in result.sheet.words if words.name == "edge-label"]
    assert any(words.text.startswith("EDGE 6: ") for words in said)
    for words in said:
        assert not any(box_of(words).intersects(one) for one in seam), words.text


def test_tucks_are_called_tucks_one_by_one() -> None:
    tucks = made("bodice-front", kind="tuck", intake="2cm", lap="left")
    assert "Tucks 1 and 2: intake 2 cm, pressed left" in tucks.sheet.heading
    labels = [words.text for words in tucks.sheet.words if words.name == "pleat-label"]
    assert labels == ["TUCKS 1 AND 2: intake 2 cm, pressed left"]
    mixed = made("gallery/kinds-by-name")
    assert "Pin tuck 2: intake 0.4 cm, pressed left" in mixed.sheet.heading
    assert mixed.sheet.heading[3].startswith("Pleat 1: knife, ")


def test_edges_bear_their_own_names_where_lines_run_level() -> None:
    """Level lines are laid out on the outline walked the other way round: the left side was called by another edge's name."""
    result = made("bodice-front", kind="tuck", intake="2cm", lap="down", run="level", at=["12cm"], along="left side")
    said = [words.text for words in result.sheet.words if words.name == "edge-label"]
    assert "LEFT SIDE: 35.5 cm finished, 37.5 cm flat" in said
    left = next(w for w in result.sheet.words if w.text.startswith("LEFT SIDE"))
    assert (
        abs(
            left.middle.real
            - min(z.real for seg in result.flat.outline.segments for z in seg)
            + result.sheet.offset.real
        )
        < 6
    )


def test_the_lower_edge_of_a_bodice_is_no_hem() -> None:
    result = made("bodice-front", kind="inverted", intake="3cm", hem_intake="2cm")
    said = " ".join([*result.sheet.heading, *[words.text for words in result.sheet.words]])
    assert "LOWER EDGE" in said and "at the lower edge" in said
    assert not re.search(r"\bhem\b(?! allowance)", said, re.IGNORECASE)
    for name in ("hem", "lower edge"):
        cut = made("bodice-front", kind="inverted", intake="3cm", allowance=["15mm", f"{name}=4cm"])
        assert any(row.endswith("1.5 cm everywhere, lower edge 4 cm.") for row in cut.sheet.heading)
    skirt = made("gore-panel", kind="inverted", intake="3cm", hem_intake="2cm")
    assert "HEM" in " ".join(words.text for words in skirt.sheet.words)


def test_a_balance_line_has_a_look_and_a_name_of_its_own() -> None:
    result = made("skirt-front", **KNIFE)
    ink, place = CLASSES["balance-line"].ink, CLASSES["placement-line"].ink
    assert ink is not None and place is not None and ink.colour != place.colour and ink.dashes != place.dashes
    drawn = etree.fromstring(result_bytes(result)).findall(".//{*}path[@class='balance-line']")
    assert drawn and {path.get("stroke") for path in drawn} == {ink.colour}
    assert "HIP" in [words.text for words in result.sheet.words if words.name == "balance-label"]
    assert "balance-line" in result.sheet.key


@pytest.mark.parametrize(("name", "said"), [("hip", "HIP"), ("balance line yoke bottom", "YOKE BOTTOM")])
def test_names_of_balance_lines_keep_within_the_seam(name: str, said: str, tmp_path: Path) -> None:
    """A line drawn on over the sides had its name over the seam, a long name ran out over the cutting line."""
    drawn = tmp_path / "yoked.svg"
    drawn.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="760mm" height="820mm" viewBox="0 0 760 820">'
        '<path id="seam" d="M140 60C240 190 480 190 580 60L640 260L670 740C480 780 240 780 50 740L80 260Z"/>'
        f'<path id="{name}" d="M40 245L80 260C240 350 480 350 640 260L680 245"/></svg>',
        encoding="utf-8",
    )
    result = pleat(read(drawn), kind="box", intake="5cm", face="3cm", count=5, run="fan", allowance="1cm")
    names = [words for words in result.sheet.words if words.name == "balance-label"]
    assert names and {words.text for words in names} == {said}
    flat = result.flattened.unfolded
    for outline in (*flat.seams, *flat.cuts):
        line = shapely.LinearRing([(z.real, z.imag) for seg in outline.segments for z in chords_of(seg)[:-1]])
        for words in names:
            assert shapely.Polygon([(z.real, z.imag) for z in words.corners()]).distance(line) > 1


def test_a_second_pass_keeps_words_where_they_belong(tmp_path: Path) -> None:
    """Words slid away from what is seen of their line, over bars and the hip line, which had become a line like any other."""
    write(made("skirt-front", **KNIFE, **CUT, mark="6cm"), tmp_path / "one.svg")
    result = pleat(read(tmp_path / "one.svg"), kind="tuck", intake="2cm", lap="down", at=["9cm"], along="left side")
    assert result.earlier is not None
    assert "balance-line-both" in result.sheet.key and any(line.balance for line in result.carriage.lines)
    seen = [
        (one.pleat, line([seg[0], seg[-1]]))
        for one in result.earlier.lines
        if one.role.endswith("-seen")
        for run in one.strokes
        for seg in run
    ]
    others = [line([seg[0], seg[-1]]) for m in result.earlier.marks for run in m.strokes for seg in run]
    others += [
        line([z + result.sheet.offset for z in (seg[0], seg[-1])]) for c in result.carriage.lines for seg in c.segments
    ]
    for words in result.earlier.words:
        room = box_of(Words(words.text, words.middle, words.turn, words.size, words.tag.role))
        assert min(room.distance(stroke) for pleat_of, stroke in seen if pleat_of == words.tag.pleat) < 4.0, words.text
        assert not any(room.buffer(-0.8).intersects(stroke) for stroke in others), words.text
    lengths = [words.text for words in result.sheet.words if words.name == "edge-label"]
    assert all(text.endswith("flat") for text in lengths if " cm" in text)


@pytest.mark.parametrize("kind", ["knife", "box", "inverted", "tuck"])
def test_what_disappears_is_tinted_and_nothing_else(kind: str, tmp_path: Path) -> None:
    """As much as the pleats take up; and no reader of ours takes it for a line of the piece."""
    options: dict[str, Any] = {"kind": kind, "intake": "4cm"} | ({"lap": "left"} if kind in ("knife", "tuck") else {})
    result = made("straight-panel", **options)
    tints = [m for m in result.sheet.marks if m.name == "pleat-tint"]
    shapes = [shapely.Polygon([(z.real, z.imag) for z in run]) for m in tints for run in m.runs()]
    assert shapely.union_all(shapes).area == pytest.approx(4 * 40.0 * 400.0, rel=1e-6)
    write(result, tmp_path / "one.svg")
    assert fold(tmp_path / "one.svg")[0].holds
    piece = read(tmp_path / "one.svg")
    assert piece.outline.area == pytest.approx(result.flat.outline.area)
    again = pleat(piece, kind="tuck", intake="2cm", lap="down", at=["9cm"], along="left side")
    assert not again.carriage.lines
    write(again, tmp_path / "two.svg")
    assert fold(tmp_path / "two.svg")[0].holds


@pytest.mark.parametrize(
    "options",
    [
        {"kind": "knife", "intake": "4cm", "lap": "left", "cloth_width": "30cm"},
        {"kind": "knife", "intake": "4cm", "lap": "right", "cloth_width": "30cm"},
        {"kind": "inverted", "intake": "4cm", "underlay": "separate"},
        {"kind": "box", "intake": "4cm", "cloth_width": "30cm"},
    ],
    ids=["knife", "knife to the right", "underlays", "box"],
)
def test_what_disappears_is_tinted_on_both_sides_of_a_join(options: dict[str, Any]) -> None:
    """A pleat that is parted had no tint, though as much of it disappears."""
    result = made("straight-panel", **options)
    assert len(result.flat.joins) > 1
    tints = [m for m in result.sheet.marks if m.name == "pleat-tint"]
    shapes = [shapely.Polygon([(z.real, z.imag) for z in run]) for m in tints for run in m.runs()]
    assert shapely.union_all(shapes).area == pytest.approx(4 * 40.0 * 400.0, rel=1e-6)
    parts = [
        shapely.Polygon([(z.real, z.imag) for seg in seam.segments for z in seg[:1]]) for seam in result.flat.seams
    ]
    offset = result.sheet.offset
    parts = [shapely.affinity.translate(part, -offset.real, -offset.imag).buffer(1e-6) for part in parts]
    assert all(any(part.contains(shape) for part in parts) for shape in shapes)


def test_lines_weigh_what_they_mean_and_only_the_cutting_line_is_solid() -> None:
    inks = [CLASSES[name].ink for name in ("cut-line", "fold-line", "placement-line")]
    arrows = CLASSES["fold-line"].signs
    widths = [float(ink.width) for ink in (*inks, arrows) if ink is not None]
    assert widths == sorted(widths, reverse=True) and len(set(widths)) == 4
    solid = {row.name for row in CLASSES.values() if row.ink is not None and not row.ink.dashes and row.of_pleat}
    assert not solid
    # In grey, too: dashes of a fold line are not those of any other line.
    dashes = [
        row.ink.dashes for row in CLASSES.values() if row.ink is not None and row.ink.dashes and "seen" not in row.name
    ]
    assert len(dashes) == len(set(dashes))


def test_capitals_are_3_mm_in_the_lowest_face_that_is_met() -> None:
    assert SIZE * LOW_CAPITALS >= 3.0
    for name, options in SHEETS.values():
        assert min(w.size for w in made(name, **options).sheet.words) * LOW_CAPITALS >= 3.0


def test_the_key_stays_on_the_page_whatever_the_font() -> None:
    """A row of 97 letters ran off a page made for 50; letters of 0.6 of their size are a quarter more than is met."""
    result = made("gore-panel", kind="tuck", intake="1cm", lap="left", allowance="15mm", notch="snip")
    for row in result.sheet.key:
        for words in lines_of(key_row(row)[1].words):
            assert 97 + 0.6 * SIZE * len(words) <= KEY_WIDTH
    assert result.sheet.width >= KEY_WIDTH + 2 * MARGIN


def test_at_a_hinge_one_notch_marks_the_spot() -> None:
    result = made("bodice-front", kind="inverted", intake="3cm", hem_intake="0mm")
    hems = [m for m in result.sheet.marks if m.name == "notch" and m.end == "hem"]
    assert {m.line for m in hems} == {"fold"}
    assert {m.line for m in result.sheet.marks if m.name == "notch" and m.end == "top"} == {"fold", "placement"}


def test_grain_and_pleat_words_keep_clear_of_a_persons_own(tmp_path: Path) -> None:
    words = (
        '<line id="grain" x1="450" y1="150" x2="450" y2="450" stroke="black"/>'
        '<text x="380" y="300" font-size="9" transform="rotate(-90 440 300)">cut one in calico for fittings</text>'
        '<text x="310" y="260" font-size="14">FOYER SCENE, CHORUS TWO</text>'
    )
    square = polygon(300 + 100j, 600 + 100j, 600 + 500j, 300 + 500j)
    (tmp_path / "piece.svg").write_text(drawing(square, slashes((350 + 100j, 350 + 500j)), words))
    result = pleat(read(tmp_path / "piece.svg"), kind="knife", intake="4cm", lap="left")
    theirs = [shapely.Polygon([(z.real, z.imag) for z in map(t.motion.of, t.text.box)]) for t in result.carriage.texts]
    assert len(theirs) == 2
    for own in result.sheet.words:
        assert not any(box_of(own).intersects(text) for text in theirs), own.text
    assert "GRAIN" in [own.text for own in result.sheet.words]


def test_a_kick_pleat_is_clipped_to_the_foot_of_its_seam() -> None:
    result = made("gore-panel", kind="kick", intake="10cm", height="20cm", allowance="15mm")
    clips = [m for m in result.sheet.marks if m.name == "clip-mark"]
    tips = [c.top - result.sheet.offset for c in result.flat.creases if c.role is Role.FOLD]
    assert len(clips) == len(tips) == 2 and "clip-mark" in result.sheet.key
    cut = line([z - result.sheet.offset for seg in result.flat.cuts[0].segments for z in seg[:1]])
    for clip in clips:
        near, far = clip.points
        assert min(abs(near - tip) for tip in tips) == pytest.approx(1.0)
        assert cut.distance(shapely.Point(far.real, far.imag)) < 0.2


def test_words_at_the_ends_of_crowded_lines_part_and_lead_to_them() -> None:
    """Forty lines 3 mm apart: no word on another, none on a thin line, all within what `fold` allows."""
    ends = [
        LineEnd(complex(3.0 * k, 500), 1j, 15.0, Words(f"FOLD {k}", 0j, 0.0, SIZE, "fold-label", k), "fold", (1,))
        for k in range(1, 41)
    ]
    words, leaders = at_line_ends(ends, 1 + 0j)
    assert len(words) == len(leaders) == 40
    boxes = [box_of(w).buffer(-0.4) for w in words]
    strokes = [line(m.points) for m in leaders]
    for (k, a), (n, b) in itertools.combinations(enumerate(boxes), 2):
        assert not a.intersects(b), (k, n)
    for k, room in enumerate(boxes):
        assert not any(room.intersects(stroke) for n, stroke in enumerate(strokes) if n != k), k
        assert abs(words[k].middle.real - ends[k].hem.real) < 9.01
    for one, other in itertools.combinations(strokes, 2):
        assert not one.intersects(other)


def test_words_at_the_end_of_a_slanting_tuck_stand_beyond_all_its_notches() -> None:
    """FOLD 1 stood on the notch of the stitching beside it, which ends 6 mm further on where it meets the side seam."""
    result = made("bodice-front", kind="pin-tuck", intake="4mm", lap="left", count=5)
    notches = [line(run) for mark in result.sheet.marks if mark.name == "notch" for run in mark.runs()]
    first = [words for words in result.sheet.words if words.text == "FOLD 1"]
    assert first
    for words in first:
        assert not any(box_of(words).intersects(notch) for notch in notches)
        leaders = [line(run) for mark in result.sheet.marks if mark.name == "leader" for run in mark.runs()]
        assert min(box_of(words).distance(leader) for leader in leaders) < 2


def test_a_batch_counts_tucks_as_tucks(capsys: pytest.CaptureFixture[str]) -> None:
    record = {"piece": "apron", "state": "made", "counted": "4 pin tucks", "output": "apron.svg"}
    progress_for(1).done(record, kept=False, last=True)
    assert "apron: 4 pin tucks, apron.svg" in capsys.readouterr().err


def test_width_of_words_covers_the_widest_usual_face() -> None:
    """DejaVu Sans, measured in a browser at a size of one: shares of the size."""
    measured = {"INNER FOLD 12 OUTWARD": 13.246, "notches: snip into the allowance at a fold line; a triangle": 28.211}
    for text, wide in measured.items():
        assert wide <= width_of(text, 1.0) < 1.35 * wide
