"""Fitted pleats from the command line and a job file: what is said, in words and as JSON, and what goes on from there."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import Any

import pytest
import shapely
from lxml import etree

from pleatsvg.api import pages
from tests.commandline.terminal import COMMAND, DRAWING, Terminal
from tests.drawings.fitted_pieces import front, half_front, write_pieces
from tests.drawings.paper import drawing, polygon
from tests.referee.fitback import assert_fitted
from tests.referee.fitringback import assert_fitted_ring
from tests.referee.foldback import read_path

INVERTED = ("--kind", "inverted", "--intake", "6cm", "--hem-intake", "8cm")
FIT = ("--fit-waist", "43cm", "--hip", "hip")


@pytest.fixture
def drawn(tmp_path: Path) -> Path:
    path = tmp_path / "front.svg"
    path.write_text(front(), encoding="utf-8")
    return path


def test_the_table_counts_up_to_the_piece(terminal: Terminal, drawn: Path) -> None:
    done = terminal("pleat", drawn, "-o", "out.svg", *INVERTED, *FIT, "--allowance", "15mm", "--json")
    made: dict[str, Any] = json.loads(done.out)
    table = made["fitted"]
    assert table["asked_mm"] == 430.0
    assert table["hip"] == "hip"
    assert [row["number"] for row in table["pleats"]] == [1, 2, 3, 4]
    assert sum(row["share_mm"] for row in table["pleats"]) == pytest.approx(501.2 - 430, abs=2.0)
    for level, finished in (("top", 430.0), ("hip", 540.2), ("hem", made["hem_seam_mm"]["finished"])):
        rows = [row[level] for row in table["pleats"]]
        left = table["left"][level]
        assert left["so_far_mm"] == pytest.approx(finished, abs=0.1)
        assert sum(row["space_mm"] for row in rows) + left["space_mm"] == pytest.approx(left["so_far_mm"], abs=1e-6)
        taken = sum(row["intake_mm"] for row in rows)
        if level == "hip":
            assert left["flat_so_far_mm"] == pytest.approx(left["so_far_mm"] + taken, abs=1e-4)
        else:
            assert left["flat_so_far_mm"] == pytest.approx(made[f"{level}_seam_mm"]["flat"], abs=1e-4)
    assert [row["hip"]["intake_mm"] for row in table["pleats"]] == [60.0] * 4
    assert [row["hem"]["intake_mm"] for row in table["pleats"]] == pytest.approx([80.0] * 4, abs=1e-4)
    assert made["allowances_mm"]["top"] == 15.0


def test_what_is_said(terminal: Terminal, drawn: Path) -> None:
    done = terminal("pleat", drawn, "-o", "out.svg", *INVERTED, *FIT)
    assert done.code == 0
    assert "inverted, intake 6 cm at the hip, 8 cm at the hem" in done.out
    assert "seam at the top: 43 cm finished" in done.out
    assert re.search(r"pleat 2: [\d.]+ cm, [\d.]+ cm \([\d.]+ cm\) \| .* \| .*; leans 2\.\d degrees", done.out)
    assert "Press the top over a board's end" in done.out
    folded = terminal("fold", "out.svg", "-o", "folded.svg")
    assert "every raw edge of every layer lies on the finished seam (above the hip)" in folded.out
    assert "the folded top is as long as it was fitted to" in folded.out
    picture = Path("folded.svg").read_text()
    assert "front, above the hip: folded" in picture
    assert "front, below the hip: folded" in picture
    words = Path("out.svg").read_text()
    assert words.count(">STITCH TO HERE<") == 4
    assert 'class="hip-level-line"' in words


def test_a_set_of_pieces_goes_round_fitted(terminal: Terminal, tmp_path: Path) -> None:
    """Front and back in one ring of a job file, the waist of all of it asked for; its waistband is marked from it."""
    write_pieces(tmp_path)
    (tmp_path / "band.svg").write_text(drawing(polygon(0j, 820 + 0j, 820 + 40j, 40j), {}))
    (tmp_path / "job.toml").write_text(RING_JOB, encoding="utf-8")
    done = terminal("batch", "job.toml", "--out", "made")
    assert done.code == 0, done.err
    assert re.search(r"skirt +5 +82 cm", done.out)
    assert "'skirt: top' is 82 cm, it is to be 82 cm" in done.out
    out = tmp_path / "made" / "skirt-pleated.svg"
    proof = assert_fitted_ring(out)
    assert proof.top_mm == pytest.approx(820, abs=1e-3)
    text = out.read_text()
    assert re.search(r">TOP: 82 cm finished, [\d.]+ cm flat<", text)
    band = (tmp_path / "made" / "waistband-notched.svg").read_text()
    found = [float(at) for at in re.findall(r'data-at-mm="([\d.]+)"', band)]
    assert found == sorted(found)
    told = terminal("fold", str(out), "-o", "folded.svg")
    assert "It goes all round: folded, 820.0 mm at the top" in told.out


RING_JOB = """
[[ring]]
name = "skirt"
drawing = ["front.svg", "back.svg"]
run = "fan"
fit_waist = "82cm"
fit_length = "19cm"
allowance = "15mm"

  [[ring.pleat]]
  kind = "knife"
  lap = "left"
  intake = "6cm"
  at = ["4cm", "15cm", "36cm"]
  weight = 2

  [[ring.pleat]]
  kind = "inverted"
  intake = "8cm"
  at = ["55cm", "74cm"]
  share = "15mm"

[[match]]
first = "skirt: top"
length = "82cm"
tolerance = "0.1mm"

[[companion]]
name = "waistband"
drawing = "band.svg"
edge = "hem"
sewn_to = "skirt: top"
"""


def test_a_job_file_says_what_vanishes_where(terminal: Terminal, drawn: Path, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(
        """
[defaults]
fit_waist = "43cm"
fit_length = "19cm"
allowance = "15mm"

[[piece]]
drawing = "front.svg"

  [[piece.pleat]]
  slash = ["slash 1", "slash 4"]
  kind = "knife"
  lap = "sides"
  intake = "4cm"
  weight = 1.5

  [[piece.pleat]]
  kind = "inverted"
  intake = "6cm"
  share = "10mm"
""",
        encoding="utf-8",
    )
    done = terminal("batch", "job.toml", "--out", "made")
    assert done.code == 0, done.err
    (out,) = (tmp_path / "made").glob("*.svg")
    assert assert_fitted(out).top_mm == pytest.approx(430, abs=0.01)


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("--fit-waist", "43cm"), COMMAND, "--hip and --fit-length are both missing"),
        (("--hip", "hip"), COMMAND, "Give --fit-waist 35cm with it"),
        ((*FIT, "--underlay", "separate"), COMMAND, "--underlay separate is asked for together with fitted pleats"),
        (("--fit-waist", "43cm", "--hip", "hop"), DRAWING, "The balance line 'hop' is not on 'front'"),
    ],
)
def test_refusals_name_the_options(
    terminal: Terminal, drawn: Path, words: tuple[str, ...], code: int, said: str
) -> None:
    done = terminal("pleat", drawn, "-o", "out.svg", *INVERTED, *words)
    assert done.code == code, done.err
    assert said in done.err
    assert not Path("out.svg").exists()


def test_a_fitted_result_is_not_pleated_once_more(terminal: Terminal, drawn: Path) -> None:
    assert terminal("pleat", drawn, "-o", "out.svg", *INVERTED, *FIT).code == 0
    again = terminal(
        "pleat", "out.svg", "-o", "again.svg", "--kind", "knife", "--intake", "2cm", "--at", "1cm", "--lap", "left"
    )
    assert again.code
    assert "is a fitted result, whose folds bend" in again.err


def test_sheet_card_and_steps_tell_both_zones(terminal: Terminal, drawn: Path) -> None:
    made: dict[str, Any] = json.loads(
        terminal("pleat", drawn, "-o", "out.svg", *INVERTED, *FIT, "--allowance", "15mm", "--json").out
    )
    # What a file says of itself at the hip is what was told when it was made.
    done = terminal("fold", "out.svg", "-o", "folded.svg", "--json")
    piece = json.loads(done.out)
    for told, row in zip(piece["pleats"], made["fitted"]["pleats"], strict=True):
        for name, value in (("from_edge", "so_far_mm"), ("intake", "intake_mm")):
            for level in ("top", "hip", "hem"):
                assert told[f"{name}_{level}_mm"] == pytest.approx(row[level][value], abs=0.02), (name, level)
        placed = [line for line in told["lines"] if line["class"] == "placement-line"]
        first = min(line["flat_from_edge_hip_mm"] for line in told["lines"])
        assert first == pytest.approx(row["hip"]["flat_so_far_mm"], abs=0.02)
        assert len(placed) == 1
    assert terminal("sheet", "out.svg", "-o", "out.html").code == 0
    words = re.sub(r"<[^>]*>", " ", Path("out.html").read_text())
    for said in (
        "Intake, hip",
        "From the left edge, hip",
        "CARD above the hip for pleats",
        "CARD below the hip for pleats",
        "from the top down to the double bar",
        "inverted, intake 6 cm at the hip, 8 cm at the hem, folds meet, shaped above the hip",
        "43 cm from seam line to seam line",
        "over a board's end",
        "Folded, above the hip, right side up",
        "Folded, below the hip, right side up",
    ):
        assert said in words.replace("&#x27;", "'"), said
    # What is basted across the top first cannot be stitched fold by fold.
    assert words.index("Stitch to the double bars") < words.index("Baste the folded pleats")
    card = terminal("card", "out.svg", "-o", "card.svg")
    assert re.search(
        r"CARD above the hip for pleats?.*: inverted, intake [\d.]+ cm at the top, 6 cm at the hip", card.out
    )
    assert re.search(r"CARD below the hip for pleats?.*: inverted, intake 6 cm at the hip, 8 cm at the hem", card.out)
    steps = terminal("fold", "out.svg", "-o", "steps.svg", "--steps")
    assert "Below the hip all are folded" in steps.out
    assert "stitch from the top down to the double bars" in steps.out
    # The folds meet on the placement line in either zone, though the middle layer slides along it where they bend.
    assert "Pleat 1: bring both lines FOLD 1 onto PLACE 1, so that they meet; pin." in steps.out


@pytest.mark.parametrize("fold_on_right", [False, True])
def test_half_a_piece_is_measured_alike_from_its_fold_edge(terminal: Terminal, fold_on_right: bool) -> None:
    # Its hip level slants where it meets that edge: the first space is the way along it.
    text = half_front(((110, 90), (200, 190)), fold_on_right)
    Path("half.svg").write_text(text.replace("L 300,255", "L 300,235"), encoding="utf-8")
    lap = ("--kind", "knife", "--lap", "centre", "--intake", "3cm")
    fit = ("--fit-waist", "22cm", "--hip", "hip", "--allowance", "15mm")
    made = json.loads(terminal("pleat", "half.svg", "-o", "out.svg", *lap, *fit, "--json").out)
    done = json.loads(terminal("fold", "out.svg", "-o", "folded.svg", "--json").out)
    for told, row in zip(done["pleats"], made["fitted"]["pleats"], strict=True):
        for level in ("top", "hip", "hem"):
            assert told[f"from_edge_{level}_mm"] == pytest.approx(row[level]["so_far_mm"], abs=2e-3), level
    assert terminal("sheet", "out.svg", "-o", "out.html").code == 0
    assert "22 cm from the seam line to the fold edge" in Path("out.html").read_text()


def test_pictures_of_a_closed_dart_say_that_its_slit_is_no_cut(terminal: Terminal) -> None:
    dart = Path(__file__).parents[2] / "fixtures" / "darts" / "waist-dart.svg"
    done = terminal("pleat", dart, "-o", "out.svg", "--kind", "tuck", "--lap", "centre", "--pivot", "lower edge")
    assert done.code == 0, done.err
    for more in ((), ("--steps",)):
        assert terminal("fold", "out.svg", "-o", "folded.svg", "--force", *more).code == 0
        words = " ".join(re.sub(r"<[^>]*>", " ", Path("folded.svg").read_text()).split())
        assert "the cloth is shown slit, so as to lie flat folded: do not cut it there" in words, more


LEVELS = (
    ("hip", ("--hip", "hip"), "above the hip stitch FOLD onto PLACE down to the double bar"),
    ("balance line yoke", ("--hip", "balance line yoke"), "above the balance line yoke stitch FOLD onto PLACE"),
    ("shaping level", ("--fit-length", "15cm"), "above the shaping level, 15 cm below the top, stitch FOLD onto PLACE"),
    ("bend", ("--hip", "hip", "--shaping", "curved"), "along the solid curves, down to the double bar at the hip"),
)


@pytest.mark.parametrize(("level", "words", "heading"), LEVELS, ids=[level for level, _, _ in LEVELS])
def test_the_level_has_its_own_name_everywhere(
    terminal: Terminal, drawn: Path, level: str, words: tuple[str, ...], heading: str
) -> None:
    # The piece has a hip line of its own, which is the level only where it is asked for.
    yoke = '<path id="balance line yoke" d="M 36,190 L 564,190"/></svg>'
    drawn.write_text(front().replace("</svg>", yoke), encoding="utf-8")
    fit = ("--fit-waist", "44cm", *words, "--allowance", "15mm", "--slash", "slash 1", "--slash", "slash 4")
    made = terminal("pleat", drawn, "-o", "out.svg", "--kind", "inverted", "--intake", "12cm", *fit)
    assert made.code == 0, made.err
    assert heading in Path("out.svg").read_text()
    said = [
        made.out,
        Path("out.svg").read_text().replace("down to the double bar at the hip", ""),
        terminal("fold", "out.svg", "-o", "steps.svg", "--steps").out,
        terminal("fold", "out.svg", "-o", "folded.svg").out,
        terminal("card", "out.svg", "-o", "card.svg").out,
    ]
    assert terminal("sheet", "out.svg", "-o", "out.html").code == 0
    for path in ("folded.svg", "out.html"):
        said.append(re.sub(r"<[^>]*>", " ", Path(path).read_text()))
    for place, text in enumerate(said):
        text = html.unescape(text)
        assert place == 1 or re.search(rf"(above|below) the {level}", text), (place, text)
        others = {"hip", "balance line yoke", "shaping level", "bend"} - {level}
        for other in others:
            spoken = re.findall(rf"[^.]*\b(?:above|below|at) the {other}\b[^.]*", text)
            assert not [row for row in spoken if "from the double bars at the hip up" not in row], (
                place,
                other,
                spoken,
            )


def test_the_table_stands_on_the_page_and_on_the_printed_cover(terminal: Terminal, drawn: Path) -> None:
    made: dict[str, Any] = json.loads(
        terminal("pleat", drawn, "-o", "out.svg", *INVERTED, *FIT, "--allowance", "15mm", "--json").out
    )
    cells = re.findall(
        r'<text class="fitted-cell"[^>]* x="([\d.]+)" y="([\d.]+)">([^<]*)<', Path("out.svg").read_text()
    )
    rows: dict[float, list[tuple[float, str]]] = {}
    for x, y, words in cells:
        rows.setdefault(float(y), []).append((float(x), words))
    table = [[words for _, words in sorted(row)] for _, row in sorted(rows.items())]
    assert table[0][0].startswith("SPACES AND INTAKES in cm, from the left edge")
    assert table[1] == ["at the top", "at the hip", "at the hem"]
    assert table[2] == ["Pleat", *["space", "intake", "so far"] * 3]
    for said, row in zip(table[3:], made["fitted"]["pleats"], strict=False):
        figures = [
            row[level][name] for level in ("top", "hip", "hem") for name in ("space_mm", "intake_mm", "so_far_mm")
        ]
        assert said == [str(row["number"]), *[f"{mm / 10:.2f}" for mm in figures]]
    assert table[-1][0] == "to the right edge"
    assert table[-1][2] == "43.00"
    covers = [page for page in pages([Path("out.svg")]).document.pages if not page.placed]
    printed = [words for page in covers for words in page.words]
    assert [words for _, _, words in cells if words not in {one.text for one in printed}] == []
    (title,) = [one for one in printed if one.text.startswith("SPACES AND INTAKES")]
    assert title.size > 3.6


def test_a_half_piece_whose_one_pleat_lies_on_the_fold_edge(terminal: Terminal, tmp_path: Path) -> None:
    drawing = tmp_path / "half.svg"
    drawing.write_text(half_front(((300, 300),)), encoding="utf-8")
    fit = ("--fit-waist", "23cm", "--hip", "hip", "--allowance", "15mm")
    done = terminal("pleat", drawing, "-o", "out.svg", "--kind", "inverted", "--intake", "8cm", *fit)
    assert done.code == 0, done.err
    assert assert_fitted(tmp_path / "out.svg").top_mm == pytest.approx(230, abs=0.01)


@pytest.mark.parametrize("kind", [("inverted",), ("knife", "--lap", "left"), ("box",)])
def test_what_is_told_to_be_flat_so_far_lies_on_the_written_seam(
    terminal: Terminal, drawn: Path, kind: tuple[str, ...]
) -> None:
    """Measured on the file: how far along its seam line the first line of each pleat begins, at the top and at the hem. Added
    up from straight intakes it was up to 1.3 mm less."""
    fit = ("--intake", "6cm", "--hem-intake", "8cm", "--fit-waist", "40cm", "--hip", "hip")
    made: dict[str, Any] = json.loads(terminal("pleat", drawn, "-o", "out.svg", "--kind", *kind, *fit, "--json").out)
    piece = etree.parse("out.svg").getroot().find(".//*[@class='piece']")
    assert piece is not None
    paths = [(path.get("class"), path.get("data-pleat"), path.get("d", "")) for path in piece.iter("{*}path")]
    ((outline, _),) = next(read_path(data) for css, _, data in paths if css == "seam-line")
    left = int(outline.real.argmin())  # walked from the left side, over the top, back along the hem
    seam = shapely.LineString([(z.real, z.imag) for z in (*outline[left:], *outline[: left + 1])])
    table = made["fitted"]["pleats"]
    for level, end in (("top", 0), ("hem", -1)):
        at: dict[int, list[float]] = {row["number"]: [] for row in table}
        for css, number, data in paths:
            if css in ("fold-line", "placement-line", "inner-fold-line"):
                ((points, _),) = read_path(data)
                at[int(number or 0)].append(seam.project(shapely.Point(points[end].real, points[end].imag)))
        begins = [min(row) if level == "top" else max(row) for row in at.values()]
        told = [row[level]["flat_so_far_mm"] for row in table]
        assert told[0] == pytest.approx(table[0][level]["so_far_mm"], abs=0.01)
        for value, place in zip(told[1:], begins[1:], strict=True):
            assert value - told[0] == pytest.approx(abs(place - begins[0]), abs=0.01), level
    straight = table[-1]["top"]["so_far_mm"] + sum(row["top"]["intake_mm"] for row in table[:-1])
    assert table[-1]["top"]["flat_so_far_mm"] > straight + 0.05
