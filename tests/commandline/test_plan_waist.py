"""`plan` with a waist above the hip: what it says is what `pleat` then makes, and `fold` proves."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from pleatsvg.api import fold
from tests.commandline.terminal import Terminal
from tests.referee.fitback import assert_fitted
from tests.referee.fitringback import assert_fitted_ring

HIP = ("--finished", "50cm", "--fit-waist", "36cm", "--length", "60cm")


@pytest.mark.parametrize(
    ("kind", "more"),
    [
        ("knife", ("--count", "8", "--intake", "6cm", "--lap", "centre", "--margin", "48mm")),
        ("inverted", ("--count", "3", "--intake", "12cm", "--fit-length", "22cm")),
        ("box", ("--count", "6", "--intake", "8cm", "--face", "3cm")),
    ],
)
def test_two_commands_make_what_is_told(terminal: Terminal, tmp_path: Path, kind: str, more: tuple[str, ...]) -> None:
    done = terminal("plan", *HIP, "--kind", kind, *more, "--draw", "skirt.svg", "--job", "skirt.toml", "--json")
    assert done.code == 0, done.err
    told = json.loads(done.out)
    waist = told["waist"]
    made = terminal("batch", "skirt.toml", "--out", "made")
    assert made.code == 0, made.err
    assert "'skirt: top' is 36 cm, it is to be 36 cm" in made.out
    out = tmp_path / "made" / "skirt-pleated.svg"
    assert assert_fitted(out).top_mm == pytest.approx(360, abs=0.01)
    (proof,) = fold(out)
    assert proof.holds
    count, hem = told["count"], [pleat.intake.hem for pleat in proof.pleats]
    assert hem == pytest.approx([told["intake_mm"]] * count, abs=1e-4)
    # The top is trued: what it takes up for that is shared, some hundredths of a millimetre for each pleat.
    assert [pleat.intake.top for pleat in proof.pleats] == pytest.approx([waist["intake_mm"]] * count, abs=0.8)
    between = [pleat.spacing.top for pleat in proof.pleats[:-1] if pleat.spacing is not None]
    # From edge to edge: of box pleats, from face to face.
    assert sum(between) / len(between) == pytest.approx(waist["spacing_mm"] - (waist["face_mm"] or 0), abs=0.4)
    again = terminal(
        "pleat", "skirt.svg", "-o", "x.svg", "--fit-waist", "36cm", "--fit-length", f"{waist['down_mm']}mm", "--json"
    )
    leans = [pleat["lean_degrees"] for pleat in json.loads(again.out)["fitted"]["pleats"]]
    assert leans == pytest.approx([waist["lean_degrees"]] * count, rel=0.02)


def test_from_so_many_pleats_on_each_leans_under_five_degrees(terminal: Terminal) -> None:
    def lean(count: int) -> tuple[float, int]:
        done = terminal("plan", *HIP, "--kind", "knife", "--count", count, "--intake", "6cm", "--json")
        waist = json.loads(done.out)["waist"]
        return waist["lean_degrees"], waist["count_under_5_degrees"]

    _, least = lean(8)
    assert lean(least)[0] <= 5 < lean(least - 1)[0]
    told = terminal("plan", *HIP, "--kind", "knife", "--count", "3", "--intake", "6cm").out
    assert re.search(
        r"lean +6\.7 degrees, as 4\.67 cm vanish in each; over 5 it drags, 5 pleats or more lean less", told
    )
    told = terminal("plan", *HIP, "--kind", "knife", "--count", "9", "--intake", "6cm").out
    assert re.search(r"at the waist 36 cm finished, 20 cm above the hip: spacing 4 cm, intake 7\.56 cm", told)
    assert re.search(r"lean +2\.2 degrees, as 1\.56 cm vanish in each; 5 pleats or more stay under 5", told)
    assert "Mark along the hip of the flat cloth" in told  # above it the lines lean
    assert "20 cm were taken, as is usual" in " ".join(told.split())
    side_by_side = terminal("plan", *HIP, "--kind", "knife").out
    assert re.search(r"fullness +leans", side_by_side)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--finished", "50cm", "--fit-waist", "56cm", "--count", "5"), "is wider than the hip, 50 cm"),
        (("--finished", "50cm", "--fit-waist", "26cm", "--count", "2"), "Make 3 pleats or more, 7 for under 5 degrees"),
        (("--finished", "50cm", "--fit-waist", "36cm", "--kind", "tuck", "--count", "5"), "tucks lie on the cloth"),
        (
            ("--finished", "50cm", "--fit-waist", "36cm", "--bottom", "70cm", "--count", "5"),
            "of a gore is given at its top",
        ),
        (("--finished", "50cm", "--fit-length", "20cm", "--count", "5"), "is given without a waist"),
        (
            ("--finished", "50cm", "--fit-waist", "36cm", "--margin", "1cm", "--count", "4", "--intake", "4cm"),
            "Of 4 knife pleats the first would lean over the side of the piece: its line lies 1 cm from there at the hip and "
            "leans 1.75 cm towards it",
        ),
        (
            ("--finished", "50cm", "--fit-waist", "36cm", "--margin", "20cm", "--count", "5", "--intake", "4cm"),
            "5 knife pleats would meet above the hip, each taking in 2.8 cm",
        ),
        (
            (*HIP, "--count", "8", "--intake", "6cm", "--lap", "centre", "--draw", "x.svg"),
            "would have its hidden cloth 1.62 cm beyond the side seam of the panel, at the waist",
        ),
    ],
)
def test_refusals(terminal: Terminal, options: tuple[str, ...], words: str) -> None:
    done = terminal("plan", *options)
    assert done.code != 0
    assert words in " ".join(done.err.split())


def test_hidden_cloth_past_the_side_at_the_waist_is_told(terminal: Terminal) -> None:
    done = terminal("plan", *HIP, "--count", "8", "--intake", "6cm", "--lap", "centre")
    assert (
        "the last knife pleat has its hidden cloth 1.62 cm past the right one, at the waist. Give --margin 48mm"
        in " ".join(done.out.split())
    )


def test_the_next_command_says_the_waist(terminal: Terminal) -> None:
    done = terminal("plan", *HIP, "--kind", "inverted", "--count", "4", "--intake", "8cm", "--draw", "skirt.svg")
    assert "Next: pleatsvg pleat skirt.svg -o skirt-flat.svg --fit-waist 36cm --fit-length 20cm" in done.out
    done = terminal(
        "plan",
        *HIP,
        "--kind",
        "inverted",
        "--count",
        "4",
        "--intake",
        "8cm",
        "--cloth-width",
        "140cm",
        "--job",
        "s.toml",
    )
    assert 'cloth_width = "140cm"' in Path("s.toml").read_text()


def test_a_skirt_all_round_from_its_measures(terminal: Terminal) -> None:
    """Waist and hip, the cloth: two commands to a proven flat piece whose pleats close the ring and are shaped to the waist."""
    hip = ("--finished", "98cm", "--fit-waist", "72cm", "--fit-length", "20cm", "--length", "60cm", "--ring")
    kind = ("--kind", "knife", "--count", "12", "--intake", "12cm", "--lap", "left", "--cloth-width", "140cm")
    done = terminal("plan", *hip, *kind, "--allowance", "15mm", "--draw", "panel.svg", "--job", "skirt.toml")
    assert done.code == 0, done.err
    done = terminal("batch", "skirt.toml", "--out", "made")
    assert done.code == 0, done.err
    assert "Match: 'panel: top' is 72 cm, it is to be 72 cm" in done.out
    proof = assert_fitted_ring(Path("made/panel-pleated.svg"))
    assert proof.zones["above"].joins == 2
    assert proof.top_mm == pytest.approx(720, abs=1e-3)
    assert proof.zones["below"].intakes == pytest.approx(dict.fromkeys(range(1, 13), 120.0), abs=1e-4)
