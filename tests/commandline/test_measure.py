"""What `measure` tells: every thing on the drawing, what seems to want a part, darts, grain, a result as a result."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.commandline.terminal import FIXTURES, KNIFE, Terminal, line, svg

SEAM = '<path id="seam" d="M20 20H320V420H20Z"/>'


def told(terminal: Terminal, body: str, *words: str) -> str:
    Path("drawing.svg").write_text(svg(body), encoding="utf-8")
    done = terminal("measure", "drawing.svg", *words)
    assert done.code == 0, done.err
    return done.out


def test_every_thing_is_told_with_what_it_is_taken_for(terminal: Terminal) -> None:
    body = (
        f'{SEAM}{line("slash 1", 100)}<path id="pocket" d="M200 100H240V140Z"/><path d="M250 300L260 320V330"/>'
        '<path d="M250 340L260 350V360"/><rect id="logo" x="322.5" y="5" width="5" height="5"/>'
        '<text x="60" y="60">Front</text><text x="325" y="430">mine</text>'
    )
    out = told(terminal, body)
    for row in (
        "seam -> seam",
        "slash 1 -> slash",
        "pocket -> carried",
        "2 without a name of their own -> carried",
        "text 'Front' -> carried",
        "logo -> left out: it lies beside the piece",
        "text 'mine' -> left out: it lies beside the piece",
    ):
        assert f"  {row}\n" in out
    things = json.loads(told(terminal, body, "--json"))["things"]
    assert [thing["part"] for thing in things].count("carried") == 4
    assert len(things) == 8


def test_what_lies_on_none_of_several_pieces_is_told(terminal: Terminal) -> None:
    pieces = '<path id="seam one" d="M20 20H120V220H20Z"/><path id="seam two" d="M200 20H300V220H200Z"/>'
    out = told(terminal, f'{pieces}<path id="button" d="M20 400H30V410Z"/>')
    assert out.count("button -> left out: it lies on no piece") == 1


def test_many_of_one_name_are_one_row(terminal: Terminal) -> None:
    marks = "".join(f'<path data-name="drill" d="M{x} 100h4v4"/>' for x in range(40, 300, 10))
    assert "  drill (26 times) -> carried\n" in told(terminal, SEAM + marks)


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (
            line("Slach 1", 100),
            "'Slach 1': straight, from edge to edge; a slash line? Name it 'slash ...' or give --slash all.",
        ),
        (line("fold here", 100), "'fold here': straight, from edge to edge; a slash line?"),
        (
            line("slash 1", 100) + '<path id="knee" d="M20 200H320"/>',
            "'knee': straight, from edge to edge across other lines; a balance line",
        ),
        (
            line("a", 100) + line("b", 200) + '<path id="waistline" d="M20 60H320"/>',
            "'waistline': straight, from edge to edge across other lines; a balance line",
        ),
        (
            line("a", 100) + line("b", 200) + '<path id="waistline" d="M20 60H320"/>',
            "'b': straight, from edge to edge; a slash line? Name it 'slash ...' or give --slash b.",
        ),
        ('<path id="grian line" d="M200 100V300"/>', "'grian line': is 'grain' meant?"),
        ('<path id="slach 1" d="M100 20Q140 200 100 420"/>', "'slach 1': is 'slash' meant?"),
        ('<path id="paper" d="M5 5H335V435H5Z"/>', "'paper': closed, and round the seam; the cutting line?"),
    ],
)
def test_what_seems_to_want_a_part_is_told(body: str, said: str, terminal: Terminal) -> None:
    assert f"  - {said}" in told(terminal, SEAM + body)


@pytest.mark.parametrize(
    "body",
    [
        '<path id="pocket" d="M200 100H240V140H200Z"/>',
        '<path id="sash" d="M200 100H240V140H200Z"/>',
        '<path id="ship" d="M100 100L120 140V160"/>',
        '<path id="hip" d="M20 200H320"/>',
        '<path id="edge mark" d="M20 20V420"/>',
        '<path id="dart leg" d="M100 20V120"/>',
    ],
)
def test_what_is_sound_is_not_asked_about(body: str, terminal: Terminal) -> None:
    out = told(terminal, SEAM + line("slash 1", 150) + body)
    assert "?" not in out


def test_darts_are_listed_with_intake_and_length(terminal: Terminal) -> None:
    seam = '<path id="seam" d="M20 20H142L150 100L158 20H320V420H20Z"/>'
    out = told(terminal, seam + '<path d="M262 20L270 90L278 20"/>', "--unit", "cm")
    assert "\nDarts\n" in out
    assert "   1  in the top: intake 1.6 cm, 8 cm long, its point at (150.0, 100.0) mm; a notch in the outline" in out
    assert "   2  in the top: intake 1.6 cm, 7 cm long, its point at (270.0, 90.0) mm; two open legs; sewn up, " in out
    assert "it leaves 26.8 cm of the top\n" in out
    found = json.loads(told(terminal, seam + '<path d="M262 20L270 90L278 20"/>', "--json"))["darts"]
    assert [(dart["drawn_as"], round(dart["intake_mm"], 6), round(dart["length_mm"], 6)) for dart in found] == [
        ("notch", 16, 80),
        ("open legs", 16, 70),
    ]


def test_a_missing_grainline_is_told_with_what_it_costs(terminal: Terminal) -> None:
    said = "No grainline is drawn, so it cannot be told how far each fold lies off the grain"
    assert said in told(terminal, SEAM + line("slash 1", 100))
    assert said not in told(terminal, SEAM + line("slash 1", 100) + '<path id="grain" d="M200 100V300"/>')


def test_a_result_is_announced_as_one(terminal: Terminal) -> None:
    assert terminal("pleat", FIXTURES / "skirt-front.svg", "-o", "flat.svg", *KNIFE).code == 0
    assert "\n  already     pleated: 3 pleats, folds true\n" in terminal("measure", "flat.svg").out
    level = (
        "--kind",
        "tuck",
        "--intake",
        "2cm",
        "--lap",
        "down",
        "--count",
        "2",
        "--along",
        "left side",
        "--run",
        "level",
    )
    assert terminal("pleat", "flat.svg", "-o", "both.svg", *level).code == 0
    assert "\n  already     pleated: 5 pleats in 2 passes, folds true\n" in terminal("measure", "both.svg").out
    assert json.loads(terminal("measure", "both.svg", "--json").out)["already_pleated"] == {
        "pleats": 5,
        "passes": 2,
        "folds_true": True,
        "why_not": None,
    }
    assert "already" not in terminal("measure", FIXTURES / "skirt-front.svg").out


def test_a_result_that_was_moved_is_announced_with_what_misses(terminal: Terminal) -> None:
    assert terminal("pleat", FIXTURES / "straight-panel.svg", "-o", "flat.svg", *KNIFE).code == 0
    text = Path("flat.svg").read_text(encoding="utf-8")
    moved = re.sub(
        r'(class="fold-line"[^>]* d="M )([\d.]+)', lambda found: f"{found[1]}{float(found[2]) + 3}", text, count=1
    )
    assert moved != text
    Path("flat.svg").write_text(moved, encoding="utf-8")
    assert "pleats, does not fold true: " in terminal("measure", "flat.svg").out


@pytest.mark.parametrize("name", ["kick-flat", "underlay-apart-flat"])
def test_a_result_in_parts_is_measured_too_and_not_pleated_again(name: str, terminal: Terminal) -> None:
    done = terminal("measure", FIXTURES / "gallery" / f"{name}.svg")
    assert done.code == 0
    assert "already     pleated: 1 pleat, folds true" in done.out
    again = terminal(
        "pleat", FIXTURES / "gallery" / f"{name}.svg", "-o", "x.svg", *KNIFE, "--count", "2", "--piece", "panel 1"
    )
    again = (
        again
        if name != "kick-flat"
        else terminal("pleat", FIXTURES / "gallery" / "kick-flat.svg", "-o", "x.svg", *KNIFE, "--count", "2")
    )
    assert again.code == 1
    assert "was cut in parts, or has kick pleats" in again.err


def test_edges_are_told_in_words_of_the_trade_where_they_can_be_known(terminal: Terminal) -> None:
    found = json.loads(terminal("measure", FIXTURES / "bodice-front.svg", "--json").out)["edges"]
    assert [edge["trade"] for edge in found] == ["shoulder", "armhole", "side", "lower edge", "centre", "neck"]
    found = json.loads(terminal("measure", FIXTURES / "skirt-front.svg", "--json").out)["edges"]
    assert [edge["trade"] for edge in found] == ["waist", None, None, None]
    found = json.loads(terminal("measure", FIXTURES / "straight-panel.svg", "--json").out)["edges"]
    assert [edge["trade"] for edge in found] == [None] * 4


def test_an_edge_may_be_called_as_the_trade_calls_it(terminal: Terminal) -> None:
    bodice = FIXTURES / "bodice-front.svg"
    pleat = ("pleat", bodice, *KNIFE[:3], "2cm", *KNIFE[4:], "--allowance", "1cm", "--allowance")
    made = []
    for edge in ("2=2cm", "armhole=2cm", "Armhole=2cm"):
        assert terminal(*pleat, edge, "-o", "flat.svg", "--force").code == 0
        made.append(Path("flat.svg").read_bytes())
    assert made[0] == made[1] == made[2]
    done = terminal("pleat", FIXTURES / "skirt-front.svg", *KNIFE, "-o", "x.svg", "--allowance", "armhole=1cm")
    assert (done.code, "Edge 'armhole'" in done.err) == (1, True)
    done = terminal(*pleat, "armhol=1cm", "-o", "x.svg")
    assert "the nearest is 'armhole'" in done.err


def test_a_line_that_a_slip_left_out_is_told_when_the_others_are_pleated(terminal: Terminal) -> None:
    Path("drawing.svg").write_text(svg(SEAM + line("Slach 1", 100) + line("slash 2", 220)), encoding="utf-8")
    said = "  note: 'Slach 1': straight, from edge to edge; a slash line? Name it 'slash ...' or give --slash all.\n"
    assert said in terminal("pleat", "drawing.svg", "-o", "flat.svg", *KNIFE).out
    assert "?" not in terminal("pleat", "drawing.svg", "-o", "all.svg", *KNIFE, "--slash", "all").out
    assert "?" not in terminal("pleat", "drawing.svg", "-o", "one.svg", *KNIFE, "--slash", "slash 2").out
