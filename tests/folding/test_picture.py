"""The folded picture and the panels: what stands in them, and one kept as it was looked at."""

from __future__ import annotations

import cmath
import math
import re
from pathlib import Path
from typing import Any

import pytest
import shapely
from lxml import etree

from pleatsvg import pleat, read, write
from pleatsvg.api import draw_folded, fold, folded_picture
from pleatsvg.errors import ProofError
from pleatsvg.folded import stack
from pleatsvg.folded.items import Line, Text
from pleatsvg.folded.view import view_of
from pleatsvg.geometry.segment import Segment
from pleatsvg.proof import fold_drawn
from pleatsvg.proof.folded_pass import FoldedPass
from pleatsvg.result.lettering import CAPITALS, width_of
from tests.commandline.terminal import FIXTURES
from tests.folding import handmade as made

KEPT = FIXTURES / "folded" / "kilt-apron-folded.svg"
SVG = "{http://www.w3.org/2000/svg}"
NUMBER = re.compile(r"-?\d+\.\d+|-?\d+")


@pytest.fixture(scope="module")
def kilt(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The kilt apron of the fixtures with overlapping underlays, flat."""
    out = tmp_path_factory.mktemp("kilt") / "kilt-flat.svg"
    write(pleat(read(FIXTURES / "kilt-apron.svg"), kind="knife", depth="5cm", lap="left"), out)
    return out


def drawn(source: Path, **how: object) -> bytes:
    """The picture of a result."""
    out = source.with_name("picture.svg")
    draw_folded(fold(source), out, force=True, **how)  # type: ignore[arg-type]
    return out.read_bytes()


def test_the_kept_picture_is_drawn_again(kilt: Path) -> None:
    """Looked at once, then kept: the same words and lines, numbers within 0.002 mm."""
    now, then = drawn(kilt).decode(), KEPT.read_text(encoding="utf-8")
    assert NUMBER.sub("#", now) == NUMBER.sub("#", then)
    for a, b in zip(NUMBER.findall(now), NUMBER.findall(then), strict=True):
        assert float(a) == pytest.approx(float(b), abs=0.002)


def test_a_picture_is_true_to_scale_legible_and_the_same_each_time(kilt: Path) -> None:
    for how in ({}, {"side": "wrong"}, {"steps": True}):
        data = drawn(kilt, **how)
        assert data == drawn(kilt, **how)
        root = etree.fromstring(data)
        width, height = root.get("width", ""), root.get("height", "")
        assert root.get("viewBox") == f"0 0 {width[:-2]} {height[:-2]}"
        for element in root.iter():
            if element.get("stroke", "none") != "none":
                assert float(element.get("stroke-width", "0")) >= 0.35
            if element.tag == f"{SVG}text":
                assert float(element.get("font-size", "0")) * 0.73 >= 3.0
            assert element.get("class") not in ("piece", "seam-line", "fold-line"), "nothing to cut from"


def test_names_counts_and_dashes_on_both_sides(kilt: Path) -> None:
    words = {
        side: [t.text for t in etree.fromstring(drawn(kilt, side=side)).iter(f"{SVG}text")]
        for side in ("right", "wrong")
    }
    assert [w for w in words["right"] if w.startswith("FOLD ")] == [f"FOLD {k}" for k in range(1, 13)]
    assert {w for w in words["wrong"] if w.startswith("INNER FOLD ")} > {"INNER FOLD 1", "INNER FOLD 12"}
    assert {"1", "3", "5"} <= set(words["right"])
    right = etree.fromstring(drawn(kilt))
    hidden = [e for e in right.iter() if e.get("class") == "folded-inner-hidden"]
    assert hidden
    assert all(e.get("stroke-dasharray") for e in hidden)
    seen = [e for e in right.iter() if e.get("class") == "folded-outer-seen"]
    assert seen
    assert not any(e.get("stroke-dasharray") for e in seen)


def test_bulk_is_cautioned_above_five_layers_only(tmp_path: Path) -> None:
    file = tmp_path / "two.svg"
    for text, bulky in ((made.two_passes(), True), (made.half_past_the_fold(), False)):
        file.write_text(text, encoding="utf-8")
        assert ("CAUTION, BULK: 9 layers" in drawn(file).decode()) == bulky


def test_panels_run_from_flat_to_folded_and_say_what_to_do(kilt: Path) -> None:
    root = etree.fromstring(drawn(kilt, steps=True))
    words = " ".join(t.text or "" for t in root.iter(f"{SVG}text"))
    for phrase in (
        *("Flat, right side up", "bring FOLD 1 onto PLACE 1; it points left (right over left)", "All are folded"),
        *("Hot iron and steam burn", "care label", "pins"),
    ):
        assert phrase in words
    widths = []
    for group in root.iter(f"{SVG}g"):
        if (group.get("id") or "").startswith("panel-"):
            cloth = [e.get("d", "") for e in group.iter(f"{SVG}path") if e.get("class") == "folded-sheet-right"]
            xs = [float(x) for data in cloth for x in re.findall(r"[ML] (-?[\d.]+),", data)]
            widths.append(max(xs) - min(xs))
    assert len(widths) == 3, "the first pleat, the run of the others, and all folded"
    assert widths == sorted(widths, reverse=True), "each panel is folded further"


def test_what_is_not_true_is_not_drawn(tmp_path: Path) -> None:
    file = tmp_path / "moved.svg"
    file.write_text(made.knife_result(moved=3), encoding="utf-8")
    with pytest.raises(ProofError):
        drawn(file)
    assert not file.with_name("picture.svg").exists()


def test_small_shapes_are_told_their_layer_once_and_rightly(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Most carried shapes lie clear of every crease: not each of their segments is to be parted at each of the creases."""
    circles = "".join(f'<circle cx="{30 + 6 * k}" cy="{60 + 7 * k}" r="1.5"/>' for k in range(40))
    (tmp_path / "piece.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="400mm" viewBox="0 0 300 400">'
        '<path id="seam" d="M20 20 H280 V380 H20 Z"/><path id="slash 1" d="M110 20 V380"/>'
        f'<path id="slash 2" d="M200 20 L210 380"/>{circles}<path id="pocket" d="M40 300 H270"/></svg>'
    )
    flat = tmp_path / "flat.svg"
    write(pleat(read(tmp_path / "piece.svg"), kind="knife", intake="4cm", lap="left"), flat)
    proofs = fold(flat)
    parted = fold_drawn.parted
    asked: list[Segment] = []

    def counted(seg: Segment, done: FoldedPass) -> list[tuple[Segment, int]]:
        asked.append(seg)
        return parted(seg, done)

    monkeypatch.setattr(fold_drawn, "parted", counted)
    quick = folded_picture(proofs)
    few = len(asked)
    monkeypatch.setattr(stack, "stroke_parted", lambda stroke, done: [p for seg in stroke for p in counted(seg, done)])
    asked.clear()
    assert folded_picture(proofs) == quick
    assert few < len(asked) / 4


@pytest.mark.parametrize(
    ("drawing", "options"),
    [
        ("kilt-apron", {"kind": "knife", "intake": "6cm", "lap": "left"}),
        (
            "gallery/panel",
            {"kind": "pin-tuck", "intake": "4mm", "lap": "left", "slash": "slash 2", "count": 7, "gap": "8mm"},
        ),
        ("gallery/panel", {"kind": "box", "intake": "4cm", "face": "12mm", "at": ["5cm", "10cm"]}),
        ("skirt-front", {"kind": "knife", "intake": "6cm", "lap": "left"}),
    ],
    ids=["hidden folds", "stitching", "narrow faces", "room enough"],
)
def test_no_line_runs_through_the_name_of_a_fold(drawing: str, options: dict[str, Any], tmp_path: Path) -> None:
    """Dashes of what lies beneath ran through names; where there is no way round them names stand on a plate."""
    write(pleat(read(FIXTURES / f"{drawing}.svg"), **options), tmp_path / "flat.svg")
    (proof,) = fold(tmp_path / "flat.svg")
    layers = {layer.name: layer.items for layer in view_of(proof, True).layers}
    lines = [shapely.LineString([(z.real, z.imag) for z in item.points])
             for name in ("seen-folds", "hidden-folds") for item in layers[name] if isinstance(item, Line)]  # fmt: skip
    names = [item for item in layers["fold-names"] if isinstance(item, Text)]
    plates = [shapely.Polygon([(z.real, z.imag) for z in item.points])
              for item in layers["fold-names"] if isinstance(item, Line) and item.look == "plate"]  # fmt: skip
    assert names
    for name in names:
        wide, high = width_of(name.words, name.size) / 2, name.size * CAPITALS / 2
        way = cmath.rect(1.0, math.radians(name.turn))
        corners = [
            name.at + way * complex(x, y) for x, y in ((-wide, -high), (wide, -high), (wide, high), (-wide, high))
        ]
        room = shapely.Polygon([(z.real, z.imag) for z in corners])
        crossed = any(line.intersects(room) for line in lines)
        assert crossed is any(plate.contains(room) for plate in plates), name.words
    if drawing == "skirt-front":
        assert not plates
