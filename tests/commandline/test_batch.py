"""`pleatsvg batch` as a person uses it: a set of pieces, good and bad, and what stands in the folder afterwards."""

from __future__ import annotations

import csv
import io
import shutil
from pathlib import Path

import pytest

from pleatsvg.length import show
from tests.commandline.batches import DEFAULTS, job, panel, panels, results, summary
from tests.commandline.terminal import BROKEN, FIXTURES, KNIFE, PANEL, Terminal, assert_refused, contents, line, svg
from tests.referee.foldback import assert_true

PIECE = '\n[[piece]]\ndrawing = "{}"\n'


def test_a_job_over_all_fixtures(terminal: Terminal, tmp_path: Path) -> None:
    """README's job: every result stands, is proven, and is what `pleat` makes of the same options."""
    outcome = terminal("batch", FIXTURES / "wardrobe.toml", "--out", "made")
    assert outcome.code == 0, outcome.err
    told = summary(tmp_path / "made")
    assert (told["made"], told["failed"], told["undone"]) == (10, 0, 0)
    fitted = {f"skirts/darted-{name}.svg" for name in ("front", "back")}
    assert {piece["drawing"] for piece in told["pieces"]} == {p.name for p in FIXTURES.glob("*.svg")} | fitted
    for piece in told["pieces"]:
        assert piece["fold_back_mm"] < 0.01
        data = (tmp_path / "made" / piece["output"]).read_bytes()
        assert data.count(b'class="seam-line"') == 1
        row = next(r for r in outcome.out.splitlines() if r.startswith(piece["piece"]))
        top, unit = piece["top_seam_mm"], piece["unit"]
        assert f"{show(top['finished'], unit)}  " in row
        assert f"{show(top['flat'], unit)}  " in row
    options = ("--kind", "inverted", "--intake", "1 1/2in", "--hem-intake", "4in")
    options += ("--allowance", "15mm", "--allowance", "hem = 4cm")
    assert terminal("pleat", FIXTURES / "gore-panel.svg", "-o", "gore.svg", *options).code == 0
    assert (tmp_path / "gore.svg").read_bytes() == (tmp_path / "made" / "gore-panel-pleated.svg").read_bytes()
    assert [match["agrees"] for match in told["matches"]] == [True] * 4


def test_table_of_the_summary(terminal: Terminal, tmp_path: Path) -> None:
    panels(tmp_path, 2)
    (tmp_path / "third.svg").write_text(panel("=1+1"))
    (tmp_path / "fourth.svg").write_text("no drawing")
    file = job(tmp_path, DEFAULTS + PIECE.format("*.svg"))
    assert terminal("batch", file).code == 1
    text = (tmp_path / "pleated" / "summary.csv").read_bytes().decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [row["piece"] for row in rows] == ["fourth", "size 1", "size 2", "'=1+1"], "no name is a formula"
    assert [row["state"] for row in rows] == ["failed", "made", "made", "made"]
    told = summary(tmp_path / "pleated")["pieces"]
    for row, piece in zip(rows[1:], told[1:], strict=True):
        assert (row["finished_mm"], row["flat_mm"]) == ("300.0", "340.0")
        assert float(row["fold_back_mm"]) == piece["fold_back_mm"]
    assert "is not SVG" in rows[0]["words"]


def test_good_drawings_are_made_beside_broken_ones(terminal: Terminal, tmp_path: Path) -> None:
    """30 good and 10 broken: 30 proven results, 10 explanations, exit 1."""
    drawings = tmp_path / "drawings"
    panels(drawings, 28)
    for name in ("skirt-front.svg", "gore-panel.svg"):
        shutil.copy(FIXTURES / name, drawings)
    broken = sorted(p for p in BROKEN.glob("*.svg") if p.name not in ("armhole-in-the-way.svg",))
    names = [p.name for p in broken if p.name not in ("two-outlines.svg", "no-slash.svg", "not-svg.svg")]
    for name in names:
        shutil.copy(BROKEN / name, drawings)
    assert len(names) == 10
    file = job(tmp_path, DEFAULTS.replace("4cm", "6cm") + PIECE.format("drawings/*.svg"))
    outcome = terminal("batch", file, "--workers", 2)
    assert outcome.code == 1
    made = sorted((tmp_path / "pleated").glob("*.svg"))
    assert len(made) == 30
    explained = [row for row in outcome.err.splitlines() if row.startswith("job.toml, line 6, ")]
    assert len(explained) == 10
    for name in names:
        assert any(f"drawings/{name}: " in row for row in explained)
    assert any("short-line.svg: " in row and "2.4 cm" in row for row in explained), "the figure of short-line.svg"
    told = summary(tmp_path / "pleated")
    assert (told["made"], told["failed"]) == (30, 10)
    assert all(piece["fold_back_mm"] < 0.01 for piece in told["pieces"] if piece["state"] == "made")
    for result in made[::3]:
        assert_true(result)


def test_same_bytes_whatever_the_number_of_workers(terminal: Terminal, tmp_path: Path) -> None:
    panels(tmp_path / "sizes", 10)
    (tmp_path / "sizes" / "bad.svg").write_text("bad")
    file = job(tmp_path, DEFAULTS + PIECE.format("sizes/*.svg"))
    for workers in (1, 2, 3):
        terminal("batch", file, "--out", f"with-{workers}", "--workers", workers)
    one = results(tmp_path / "with-1")
    assert len(one) == 12
    assert results(tmp_path / "with-2") == one
    assert results(tmp_path / "with-3") == one


def test_several_pieces_of_one_drawing_and_mixed_kinds(terminal: Terminal, tmp_path: Path) -> None:
    two = (
        f'<g data-name="front">{PANEL}{line("slash 1", 100)}{line("slash 2", 220)}</g>'
        f'<g data-name="back" transform="translate(340)">{PANEL}{line("slash 1", 160)}</g>'
    )
    (tmp_path / "skirt.svg").write_text(svg(two, 'width="680mm" height="440mm" viewBox="0 0 680 440"'))
    text = DEFAULTS + (
        '\n[[piece]]\ndrawing = "skirt.svg"\npiece = "front"\noutput = "{number} {piece} of {drawing}"\n'
        '\n  [[piece.pleat]]\n  slash = "slash 1"\n  lap = "right"\n'
        '\n  [[piece.pleat]]\n  slash = "slash 2"\n  kind = "inverted"\n  depth = "15mm"\n'
        '\n[[piece]]\ndrawing = "skirt.svg"\nslash = ["slash 1"]\n'
    )
    outcome = terminal("batch", job(tmp_path, text))
    assert outcome.code == 0, outcome.err
    told = summary(tmp_path / "pleated")["pieces"]
    assert [piece["output"] for piece in told] == [
        "1 front of skirt.svg",
        "skirt-front-pleated.svg",
        "skirt-back-pleated.svg",
    ]
    assert [piece["pleats"] for piece in told] == [2, 1, 1]
    flat = [piece["top_seam_mm"]["flat"] for piece in told]
    assert flat == pytest.approx([300 + 40 + 60, 340, 340])
    assert [piece["warnings"] for piece in told] == [[], [], []], "a lap from [defaults] is no mistake of the box pleat"


def test_only_and_stop_at_first(terminal: Terminal, tmp_path: Path) -> None:
    panels(tmp_path, 3)
    (tmp_path / "size-2.svg").write_text("bad")
    file = job(tmp_path, DEFAULTS + PIECE.format("size-*.svg"))
    outcome = terminal("batch", file, "--stop-at-first", "--workers", 1)
    assert outcome.code == 1
    assert sorted(p.name for p in (tmp_path / "pleated").glob("*.svg")) == ["size-1-pleated.svg"]
    assert "1 not come to" in outcome.out
    assert summary(tmp_path / "pleated")["undone"] == 1
    assert terminal("batch", file, "--only", "SIZE-3", "--out", "one").code == 0
    assert sorted(results(tmp_path / "one")) == ["size-3-pleated.svg", "summary.csv", "summary.json"]
    refused = terminal("batch", file, "--only", "size-4", "--out", "other")
    assert_refused(refused, 2, "--only", "'size-4'", "size-3")
    assert not (tmp_path / "other").exists()
    # one more piece into the same folder: what the others came to stays in its summary
    assert terminal("batch", file, "--only", "size-1", "--out", "one", "--resume").code == 0
    assert [piece["output"] for piece in summary(tmp_path / "one")["pieces"]] == [
        "size-1-pleated.svg",
        "size-3-pleated.svg",
    ]


def test_nothing_is_written_over_unasked(terminal: Terminal, tmp_path: Path) -> None:
    panels(tmp_path, 2)
    file = job(tmp_path, DEFAULTS + PIECE.format("size-*.svg"))
    folder = tmp_path / "pleated"
    folder.mkdir()
    (folder / "size-1-pleated.svg").write_text("mine")
    outcome = terminal("batch", file)
    assert outcome.code == 1
    assert "is there already" in outcome.err
    assert (folder / "size-1-pleated.svg").read_text() == "mine"
    assert (folder / "size-2-pleated.svg").exists()
    assert_refused(terminal("batch", file), 1, "earlier batch", "--resume", "--force")
    assert terminal("batch", file, "--resume").code == 1
    assert (folder / "size-1-pleated.svg").read_text() == "mine"
    assert terminal("batch", file, "--force").code == 0
    assert (folder / "size-1-pleated.svg").read_text() != "mine"


def test_resume_makes_only_what_is_new_or_changed(terminal: Terminal, tmp_path: Path) -> None:
    panels(tmp_path, 4)
    text = DEFAULTS + PIECE.format("size-[12].svg") + PIECE.format("size-[34].svg")
    file = job(tmp_path, text)
    folder = tmp_path / "pleated"
    assert terminal("batch", file).code == 0

    def stamps() -> dict[str, int]:
        return {p.name: p.stat().st_ino for p in folder.glob("*.svg")}

    first, before = stamps(), results(folder)
    outcome = terminal("batch", file, "--resume")
    assert outcome.code == 0
    assert "4 of them unchanged" in outcome.out
    assert stamps() == first
    assert results(folder) == before
    # a drawing changed, and an option of two others; the lines of the job file move
    (tmp_path / "size-1.svg").write_text(panel("size 1", 200))
    file = job(tmp_path, "# moved\n" + text + 'intake = "5cm"\n')
    outcome = terminal("batch", file, "--resume")
    assert outcome.code == 0, outcome.err
    assert "1 of them unchanged" in outcome.out
    assert stamps()["size-2-pleated.svg"] == first["size-2-pleated.svg"]
    assert all(stamps()[f"size-{k}-pleated.svg"] != first[f"size-{k}-pleated.svg"] for k in (1, 3, 4))
    resumed = results(folder)
    assert terminal("batch", file, "--out", "afresh").code == 0
    assert resumed == results(tmp_path / "afresh")
    # a result that somebody has worked on is theirs
    (folder / "size-2-pleated.svg").write_text("worked on")
    outcome = terminal("batch", file, "--resume")
    assert outcome.code == 1
    assert "not as an earlier batch left it" in outcome.err
    assert (folder / "size-2-pleated.svg").read_text() == "worked on"
    # a result taken away is made again
    (folder / "size-2-pleated.svg").unlink()
    assert terminal("batch", file, "--resume").code == 0
    assert results(folder) == resumed


def test_edges_that_belong_together(terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "front.svg").write_text(panel("front"))
    taller = panel("back").replace("V420", "V423.3").replace('y2="420"', 'y2="430"')
    (tmp_path / "back.svg").write_text(taller)
    pieces = DEFAULTS + PIECE.format("front.svg") + PIECE.format("back.svg")
    sides = '\n[[match]]\nname = "side seam"\nfirst = "front: right side"\nsecond = "back: left side"\n'
    waist = '\n[[match]]\nfirst = ["front: top", "back: top"]\nlength = "60cm"\ntolerance = "1.6mm"\n'
    outcome = terminal("batch", job(tmp_path, pieces + sides + waist))
    assert outcome.code == 1
    assert "line 12: no match: side seam: 'front: right side' is 400 mm, 'back: left side' is 403.3 mm" in outcome.err
    assert "3.3 mm, and 3.2 mm is allowed" in outcome.err
    assert "are together 60 cm" in outcome.out, "intake does not count: the waist is measured folded"
    told = summary(tmp_path / "pleated")
    assert (told["made"], told["failed"]) == (2, 0)
    assert [(m["first_mm"], m["agrees"]) for m in told["matches"]] == [(400.0, False), (600.0, True)]
    within = sides + 'tolerance = "3.4mm"\n' + waist
    assert terminal("batch", job(tmp_path, pieces + within), "--resume").code == 0
    unknown = '\n[[match]]\nfirst = "frnot: top"\nlength = "30cm"\n'
    outcome = terminal("batch", job(tmp_path, pieces + unknown), "--resume")
    assert outcome.code == 1
    assert "no piece of this batch is called so; the nearest is 'front'" in outcome.err
    edge = '\n[[match]]\nfirst = "front: right sied"\nlength = "30cm"\n'
    outcome = terminal("batch", job(tmp_path, pieces + edge), "--resume")
    assert "'right side'" in outcome.err


def test_a_job_file_written_from_a_folder(terminal: Terminal, tmp_path: Path) -> None:
    drawings = tmp_path / "drawings"
    drawings.mkdir()
    for name in ("skirt-front.svg", "gore-panel.svg", "plain-square-apron.svg"):
        shutil.copy(FIXTURES / name, drawings)
    shutil.copy(BROKEN / "open-outline.svg", drawings)
    (drawings / 'odd [1] "name".svg').write_text(panel("odd"))
    outcome = terminal("batch", "--new", drawings)
    assert outcome.code == 0, outcome.err
    file = drawings / "pleats.toml"
    text = file.read_text()
    assert str(file) in outcome.out
    assert "1 drawing cannot be pleated" in outcome.out
    assert "# chorus skirt front: top 36.17 cm" in text
    assert "open-outline.svg cannot be pleated as it is: Outline" in text
    assert_refused(terminal("batch", "--new", drawings), 1, "is there already", "--force")
    unfilled = terminal("batch", file, "--out", "unfilled")
    assert unfilled.code == 1
    assert "pleats.toml, line " in unfilled.err
    assert "kind" in unfilled.err
    filled = text.replace('# kind = "knife"', 'kind = "knife"').replace('# intake = "6cm"', 'intake = "4cm"')
    filled = filled.replace('# lap = "left"', 'lap = "left"').replace("# count = 7", "count = 7")
    file.write_text(filled)
    outcome = terminal("batch", file)
    assert outcome.code == 0, outcome.err
    assert len(list((drawings / "pleated").glob("*.svg"))) == 4
    assert_refused(terminal("batch", "--new", tmp_path / "none"), 1, "'none'", "is not there")


def test_without_a_job_file_and_with_wrong_words(terminal: Terminal, tmp_path: Path) -> None:
    panels(tmp_path, 1)
    file = job(tmp_path, DEFAULTS + PIECE.format("size-1.svg"))
    before = contents(tmp_path)
    assert_refused(terminal("batch", "--resume"), 2, "job file is missing")
    assert_refused(terminal("batch", file, "--workers", "0"), 2, "--workers")
    assert_refused(terminal("batch", file, "--workers", "two"), 2, "--workers", "whole number")
    assert_refused(terminal("batch", "none.toml"), 1, "none.toml", "is not there")
    assert contents(tmp_path) == before
    assert KNIFE  # the same words as of the single command
