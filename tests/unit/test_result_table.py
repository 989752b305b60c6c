"""One row of `pleatsvg.result.classes` says all of a line, a mark or a word: what is made is written, keyed and carried."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
import shapely
from lxml import etree

from pleatsvg import pleat, read, write
from pleatsvg.api import fold
from pleatsvg.marks import all_marks
from pleatsvg.marks.all_marks import ToMark
from pleatsvg.pleated import PleatedPiece
from pleatsvg.result.classes import CLASSES, LAYERS, LAYERS_ABOVE, Ink, KeyRow, Later, ResultClass, Sign, key_row
from pleatsvg.result.mark import Mark, ring
from pleatsvg.result.roles import Role
from pleatsvg.writing.result import result_bytes

FIXTURES = Path(__file__).parents[2] / "fixtures"
SVG = "{http://www.w3.org/2000/svg}"

JOBS = [
    {"kind": "knife", "intake": "4cm", "lap": "left", "allowance": "15mm", "stitch_down": "6cm", "edge_stitch": "4cm"},
    {"kind": "inverted", "intake": "12cm", "hem_intake": "14cm"},
    {"kind": "box", "depth": "2cm", "mark": "6cm"},
    {"kind": "tuck", "intake": "2cm", "lap": "left", "stitched": "12cm"},
    {"kind": "pin-tuck", "intake": "4mm", "lap": "right", "notch": "triangle", "allowance": "15mm"},
    {"kind": "kick", "intake": "10cm", "height": "15cm", "underlay": "separate", "allowance": "15mm"},
    {"kind": "inverted", "intake": "12cm", "fold_edge": "left side", "slash": ["slash lines 2"]},
]


def classes_in(data: bytes) -> Counter[str]:
    """How often each class of the table is written, outside the key."""
    found: Counter[str] = Counter()
    for element in etree.fromstring(data).iter(f"{SVG}path", f"{SVG}text", f"{SVG}g"):
        name = element.get("class")
        if name in CLASSES and not any(around.get("class") == "key" for around in element.iterancestors()):
            found[name] += 1
    return found


@pytest.fixture(params=range(len(JOBS)))
def result(request: pytest.FixtureRequest) -> PleatedPiece:
    return pleat(read(FIXTURES / "straight-panel.svg"), **JOBS[request.param])


def test_every_mark_and_word_that_is_made_is_written(result: PleatedPiece) -> None:
    made = Counter([mark.name for mark in result.sheet.marks] + [words.name for words in result.sheet.words])
    made += Counter(line.name for line in result.sheet.stitching)
    made += Counter(line.role.css for line in (*result.flat.creases, *result.flat.placements))
    written = classes_in(result_bytes(result))
    assert sum(made.values()) > 20
    assert {name: written[name] for name in made} == made


def test_everything_on_the_cloth_is_explained(result: PleatedPiece) -> None:
    """By a row of the key that is there, or in another's row, or by itself."""
    shown = {key_row(name)[0].name for name in result.sheet.key}
    for name in classes_in(result_bytes(result)):
        row = CLASSES[name]
        assert name in shown or (not row.key and (row.explained in shown or row.explained not in CLASSES)), name
        assert row.key or row.explained


def test_rows_name_layers_that_are_written() -> None:
    layers = (*LAYERS, *LAYERS_ABOVE)
    assert len({layer.id for layer in layers}) == len(layers)
    for row in CLASSES.values():
        assert row.layer in layers
        assert row.ink is not None or row.explained or row.key


def test_every_role_has_a_row_of_a_pleat() -> None:
    for role in Role:
        assert CLASSES[role.css].of_pleat
        assert CLASSES[f"{role.sign}-label"].later is Later.GOES_ALONG


def test_marks_go_along_through_a_later_pass(tmp_path: Path) -> None:
    """All marks of the first pass but those that the table says are made anew, and all its words."""
    first = pleat(read(FIXTURES / "straight-panel.svg"), kind="knife", intake="4cm", lap="left")
    write(first, tmp_path / "one.svg")
    again = pleat(read(tmp_path / "one.svg"), kind="tuck", intake="2cm", lap="down", at=["20cm"], along="left side")
    one, two = classes_in(result_bytes(first)), classes_in(result_bytes(again))
    for name, count in one.items():
        if CLASSES[name].later is Later.GOES_ALONG:
            assert two[name] >= count, name
    assert again.earlier is not None
    carried = Counter(mark.role for mark in again.earlier.marks)
    assert carried == Counter(m.name for m in first.sheet.marks if CLASSES[m.name].later is Later.GOES_ALONG)


def test_words_of_tucks_are_not_printed_twice(tmp_path: Path) -> None:
    """Both stitching lines of a tuck are lettered; a second pass takes the words along once."""
    first = pleat(read(FIXTURES / "straight-panel.svg"), kind="tuck", intake="2cm", lap="left")
    write(first, tmp_path / "one.svg")
    again = pleat(read(tmp_path / "one.svg"), kind="knife", intake="2cm", lap="down", at=["20cm"], along="left side")
    words = [text for text in result_bytes(again).decode().split("<text")[1:] if ">STITCH 1<" in text]
    assert len(words) == len([words for words in first.sheet.words if words.text == "STITCH 1"])
    assert again.carriage.texts == ()


def test_a_mark_that_is_in_no_table_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        all_marks, "MAKERS", [*all_marks.MAKERS, lambda piece: [Mark("stray", (0j, 1j), (2,), "", 0, ())]]
    )
    with pytest.raises(KeyError, match="stray"):
        result_bytes(pleat(read(FIXTURES / "straight-panel.svg"), kind="knife", intake="4cm", lap="left"))


# ------------------------------------------------------------------------------------------------- a mark that is new

MIDDLES = ResultClass(
    "fold-middle",
    CLASSES["notch"].layer,
    Later.GOES_ALONG,
    Ink("#b3261e", "0.5"),
    key=(
        KeyRow(
            "a circle: the middle of a fold line",
            (Sign(Ink("#b3261e", "0.5"), (((75, 0), (77, 2), (79, 0), (77, -2), (75, 0)),)),),
            sample=False,
        ),
    ),
    clear=True,
)


def fold_middles(piece: ToMark) -> list[Mark]:
    made = []
    for line in piece.unfolded.creases:
        if line.role is Role.FOLD:
            points = ring((line.top + line.hem) / 2, 3.0)
            made.append(Mark("fold-middle", points, (len(points),), line.role.sign, line.pleat, line.folds))
    return made


@pytest.fixture
def middles(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(CLASSES, "fold-middle", MIDDLES)
    monkeypatch.setattr(all_marks, "MAKERS", [*all_marks.MAKERS, fold_middles])


@pytest.mark.usefixtures("middles")
@pytest.mark.parametrize("job", [JOBS[0], JOBS[1]], ids=["knife", "tapered inverted"])
def test_a_new_mark_is_one_function_and_one_row(job: dict[str, str], tmp_path: Path) -> None:
    """It is written, shown in the key, kept clear of by every label, carried through a second pass, and proven."""
    first = pleat(read(FIXTURES / "straight-panel.svg"), **job)
    folds = [crease for crease in first.flat.creases if crease.role is Role.FOLD]
    write(first, tmp_path / "one.svg")
    assert classes_in((tmp_path / "one.svg").read_bytes())["fold-middle"] == len(folds) > 0
    assert "a circle: the middle of a fold line" in (tmp_path / "one.svg").read_text()
    circles = [
        shapely.Polygon([(z.real, z.imag) for z in m.points]) for m in first.sheet.marks if m.name == "fold-middle"
    ]
    for words in first.sheet.words:
        box = shapely.Polygon([(z.real, z.imag) for z in words.corners()])
        assert not any(box.intersects(circle) for circle in circles), words.text
    again = pleat(read(tmp_path / "one.svg"), kind="tuck", intake="2cm", lap="down", at=["10cm"], along="left side")
    write(again, tmp_path / "two.svg")
    assert classes_in((tmp_path / "two.svg").read_bytes())["fold-middle"] == len(folds) + 1
    assert all(proof.holds for proof in fold(tmp_path / "two.svg"))


# --------------------------------------------------------------------------------------------- lines that are seen in part


def strokes_of_class(data: bytes, name: str) -> list[shapely.LineString]:
    """The strokes of a class, as straight lines."""
    found = []
    for path in etree.fromstring(data).iter(f"{SVG}path"):
        if path.get("class") == name and "key" not in [around.get("class") for around in path.iterancestors()]:
            for run in (path.get("d") or "").split("M")[1:]:
                found.append(
                    shapely.LineString([[float(n) for n in p.split(",")] for p in run.replace("L", " ").split()])
                )
    return found


PARTLY = {
    "marked": {"kind": "box", "depth": "2cm", "mark": "6cm", "allowance": "15mm"},
    "released": {"kind": "tuck", "intake": "2cm", "lap": "left", "stitched": "12cm", "stitched_from": "middle"},
}


@pytest.mark.parametrize("job", PARTLY)
def test_what_is_seen_of_a_line_is_a_stroke_of_its_own(job: str, tmp_path: Path) -> None:
    """No program is asked to cut a gap of dashes; the whole line is there without ink, in a second pass too."""
    first = pleat(read(FIXTURES / "straight-panel.svg"), **PARTLY[job])
    write(first, tmp_path / "one.svg")
    across = {"kind": "tuck", "intake": "2cm", "lap": "down", "at": ["20cm"], "along": "left side"}
    again = pleat(read(tmp_path / "one.svg"), **across)
    for result, made in ((first, 1), (again, 2)):
        data = result_bytes(result)
        (tmp_path / "it.svg").write_bytes(data)
        assert all(proof.holds for proof in fold(tmp_path / "it.svg"))
        paths = list(etree.fromstring(data).iter(f"{SVG}path"))
        assert all("dasharray" not in (path.get("style") or "") for path in paths)
        own = [p for p in paths if p.get("class") == "fold-line" and p.get("data-pass") == "1"]
        assert own and all(p.get("stroke") == "none" for p in own)
        whole, seen = (shapely.union_all(strokes_of_class(data, name)) for name in ("fold-line", "fold-line-seen"))
        assert whole.buffer(1e-3).contains(seen)
        folds = [crease for crease in first.flat.creases if crease.role is Role.FOLD]
        length = {"marked": 75.0, "released": 120.0}[job] * len(folds)
        assert seen.length == pytest.approx(
            length + (20.0 * len(folds) if job == "released" and made == 2 else 0), abs=1e-3
        )


def test_passes_made_at_once_show_of_a_line_what_two_runs_show(tmp_path: Path) -> None:
    """In memory the first pass of two was drawn whole, whatever mark said."""
    line = {"slash": ["slash lines 1"], "kind": "knife", "intake": "4cm", "lap": "left"}
    across = {"kind": "tuck", "intake": "2cm", "lap": "down", "at": ["30cm"], "along": "left side"}
    both = pleat(read(FIXTURES / "straight-panel.svg"), pleats=[line, {**across, "pass": 2}], mark="6cm")
    first = pleat(read(FIXTURES / "straight-panel.svg"), pleats=[line], mark="6cm")
    write(first, tmp_path / "one.svg")
    again = pleat(read(tmp_path / "one.svg"), mark="6cm", **across)
    for name in ("fold-line-seen", "placement-line-seen"):
        here, there = (shapely.union_all(strokes_of_class(result_bytes(r), name)) for r in (both, again))
        assert here.length > 59
        assert here.hausdorff_distance(there) < 1e-3
