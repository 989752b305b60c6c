"""The sheet to sew from: what it says of a piece, what it leaves out, and that it stands on its own."""

from __future__ import annotations

import json
import re
from functools import cache
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest

from pleatsvg import api
from pleatsvg.cli import run
from pleatsvg.errors import ProofError
from pleatsvg.writing.result import result_bytes

FIXTURES = Path(__file__).parents[2] / "fixtures"
VOID = {"meta", "link", "path"}


class Page(HTMLParser):
    """Reads a page: its words by the element that holds them, its ids, and whether every element is closed in turn."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.words: dict[str, list[str]] = {}
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.found.append((tag, given))
        if given.get("id"):
            self.ids.append(str(given["id"]))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and data.strip():
            self.words.setdefault(self.open[-1], []).append(data.strip())


@cache
def made(drawing: str, **options: object) -> bytes:
    pieces = api.read_all(FIXTURES / drawing)
    return result_bytes(api.pleat(pieces[0], **options))


def sheet(folder: Path, data: bytes, **options: object) -> tuple[Page, str]:
    file = folder / "piece.svg"
    file.write_bytes(data)
    _, page = api.worksheet([file], **options)  # type: ignore[arg-type]
    text = page.decode()
    return Page(text), text


SKIRT = {"kind": "knife", "intake": "6cm", "lap": "left"}


def test_sheet_tells_how_far_this_piece_is_marked_and_stitched(tmp_path: Path) -> None:
    options = {**SKIRT, "allowance": "15mm", "stitch_down": "8cm", "edge_stitch": "5cm", "mark": "10cm", "cut": 2}
    page, _ = sheet(tmp_path, made("skirt-front.svg", **options, cloth="calico"))
    said = " ".join(page.words["li"])
    assert "EDGE STITCH, 5 cm from the seam" in said
    assert "STITCH DOWN, 8 cm from the seam" in said
    assert "down to 10 cm below the seam" in said
    assert "line BASTE" in said
    assert "Folded, the top is 36.17 cm" in said
    assert "Folded, the hem is 52.06 cm" in said
    assert "Cut 2. Cloth: calico" in page.words["td"]
    assert page.words["h4"] == [
        f"{k}. {name}"
        for k, name in enumerate(
            ("Cut", "Mark", "Fold and pin", "Baste", "Press", "Edge stitch", "Stitch down", "Check", "Hem"), 1
        )
    ]


def test_sheet_says_nothing_of_what_a_piece_does_not_need(tmp_path: Path) -> None:
    page, _ = sheet(tmp_path, made("skirt-front.svg", **SKIRT))
    said = " ".join(words for found in page.words.values() for words in found)
    for absent in ("STITCH DOWN", "EDGE STITCH", "tuck", "JOIN", "line BASTE", "on the fold"):
        assert absent not in said
    assert "not said" in page.words["td"]
    assert "add yours outside the outline" in said


def test_released_tucks_are_tucks_and_end_where_they_are_stitched(tmp_path: Path) -> None:
    page, _ = sheet(tmp_path, made("gallery/panel.svg", kind="tuck", intake="2cm", lap="left", stitched="12cm"))
    said = " ".join(page.words["li"])
    assert "Stitch tucks 1 to 3 through both STITCH lines from the top, 12 cm long" in said
    assert "PLACE" not in said
    assert page.words["th"][0] == "Piece"
    assert "Tuck" in page.words["th"]
    assert "Pleat" not in page.words["th"]


def test_tucks_are_stitched_as_far_as_they_are_to_be_whatever_is_drawn(tmp_path: Path) -> None:
    """Lines marked in part were taken for released tucks; over a level tuck its intake came to the length of the stitching."""
    tuck = {"kind": "tuck", "intake": "2cm", "lap": "left"}
    page, _ = sheet(tmp_path, made("gallery/panel.svg", **tuck, mark="6cm"))
    assert "Stitch tucks 1 to 3 through both STITCH lines from the top to the hem." in " ".join(page.words["li"])
    (tmp_path / "one.svg").write_bytes(made("straight-panel.svg", **tuck, stitched="30cm"))
    across = {"kind": "tuck", "intake": "2cm", "lap": "down", "at": ["20cm"], "along": "left side"}
    page, _ = sheet(tmp_path, result_bytes(api.pleat(api.read(tmp_path / "one.svg"), **across)))
    assert "Stitch tucks 1 to 4 through both STITCH lines from the top, 30 cm long" in " ".join(page.words["li"])


def test_table_counts_every_line_from_the_edge(tmp_path: Path) -> None:
    data = made("skirt-front.svg", **SKIRT)
    page, text = sheet(tmp_path, data, unit="in")
    (proof,) = api.fold(tmp_path / "piece.svg")
    rows = dict(re.findall(r'<th scope="row">((?:FOLD|PLACE) \d)</th><td>([^<]+) in</td>', text))
    assert list(rows) == ["PLACE 1", "FOLD 1", "PLACE 2", "FOLD 2", "PLACE 3", "FOLD 3"]
    lines = [line for pleat in proof.pleats for line in pleat.lines if line.role != "inner-fold-line"]
    for words, line in zip(rows.values(), lines, strict=True):
        parts = [as_number(word) for word in words.split()]
        assert line.from_edge.top is not None
        assert abs(sum(parts) * 25.4 - line.from_edge.top) <= 25.4 / 32 + 1e-6
    assert "cm" not in " ".join(page.words["td"])


def as_number(word: str) -> float:
    above, _, below = word.partition("/")
    return int(above) / int(below or 1)


def test_page_stands_on_its_own_and_is_told_to_who_does_not_see_it(tmp_path: Path) -> None:
    data = made("bodice-front.svg", **{**SKIRT, "intake": "2cm"}).replace(b"page tunic", b"tunic &lt;b&gt;&amp;")
    page, text = sheet(tmp_path, data)
    assert text.startswith('<!DOCTYPE html>\n<html lang="en">')
    assert not re.search(r"<script|@import|url\(|https?:", text)
    assert len(page.ids) == len(set(page.ids))
    named = [given["aria-labelledby"] for _, given in page.found if given.get("aria-labelledby")]
    assert {name for names in named for name in str(names).split()} <= set(page.ids)
    pictures = [given for tag, given in page.found if tag == "svg"]
    assert len(pictures) >= 4
    assert all(given["role"] == "img" for given in pictures)
    assert all(given.get("scope") in ("col", "row") for tag, given in page.found if tag == "th")
    levels = [int(tag[1]) for tag, _ in page.found if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert "tunic <b>&" in page.words["h1"][0]


def test_sheet_is_the_same_bytes_and_refuses_what_does_not_fold(tmp_path: Path) -> None:
    data = made("skirt-front.svg", **SKIRT)
    assert sheet(tmp_path, data)[1] == sheet(tmp_path, data)[1]
    crease = re.search(rb'class="inner-fold-line" d="M ([\d.]+)', data)
    assert crease is not None
    spoilt = data.replace(crease[0], crease[0].replace(crease[1], b"%.6f" % (float(crease[1]) + 0.2)))
    with pytest.raises(ProofError):
        sheet(tmp_path, spoilt)


def test_whole_garment_has_one_sheet_with_its_seams(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: object
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("gore-panel.svg", "straight-panel.svg"):
        Path(name).write_bytes((FIXTURES / name).read_bytes())
    Path("skirt.toml").write_text(
        '[defaults]\nkind = "inverted"\nintake = "4cm"\n[[piece]]\ndrawing = "gore-panel.svg"\nname = "gore"\n'
        '[[piece]]\ndrawing = "straight-panel.svg"\n[[match]]\nfirst = "gore: left side"\nsecond = "gore: right side"\n'
    )
    assert called(monkeypatch, "sheet", "skirt.toml") == 1  # nothing was made yet
    assert called(monkeypatch, "batch", "skirt.toml") == 0
    assert called(monkeypatch, "sheet", "skirt.toml", "--unit", "in") == 0
    page = Page(Path("skirt-sheet.html").read_text())
    assert any(
        "gore: left side is 25 7/16 in; gore: right side, sewn to it, is 25 7/16 in." in row for row in page.words["li"]
    )
    assert len([row for row in page.words["li"] if row.startswith("Sew these seams right sides together")]) == 1
    # What the job calls a piece is found on the sheet, and with it the name that stands on its pattern.
    assert "gore ('gore panel' on its pattern)" in page.words["h2"]
    assert any(row.startswith("gore: the pleats, folded") for row in page.words["span"])
    assert called(monkeypatch, "sheet", "skirt.toml") == 1  # never written over
    summary = json.loads(Path("pleated/summary.json").read_text())
    Path("pleated", summary["pieces"][1]["output"]).unlink()
    assert called(monkeypatch, "sheet", "skirt.toml", "--force") == 1


def called(monkeypatch: pytest.MonkeyPatch, *words: str) -> int:
    monkeypatch.setattr("sys.argv", ["pleatsvg", *words])
    with pytest.raises(SystemExit) as left:
        run()
    return int(str(left.value.code))


def test_in_inches_no_length_is_told_in_centimetres(tmp_path: Path) -> None:
    data = made("skirt-front.svg", **SKIRT, allowance=("15mm", "hem=4cm"))
    page, _ = sheet(tmp_path, data, unit="in")
    said = " ".join(row for tag, rows in page.words.items() if tag != "style" for row in rows)
    assert said.count("Allowance included: 9/16 in everywhere, hem 1 9/16 in.") == 2
    assert re.findall(r"\d+ (?:cm|mm)\b[a-z ]*", said) == ["50 mm on each side"]
    page, _ = sheet(tmp_path, data)
    assert "Cut on the solid outer line. Allowance included: 1.5 cm everywhere, hem 4 cm." in page.words["li"]
