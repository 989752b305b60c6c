"""What a day with drawings of one's own brought to light: messages that were untrue, or that nobody could act on."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from pleatsvg import measure, pleat, read
from pleatsvg.errors import FitError, PleatError, SlashError
from tests.commandline.terminal import FIXTURES, KNIFE, Terminal, assert_refused, line, svg

GORE = svg('<path id="seam" d="M120 20H220L320 420H20Z"/>' + line("slash 1", 170))
PANEL = svg('<path id="seam" d="M20 20H320V420H20Z"/>' + line("slash 1", 120) + line("slash 2", 220))
LAYER = svg(
    '<path id="seam" d="M20 20H320V420H20Z"/><g id="slash_lines">'
    '<path id="b" d="M220 20V420"/><path id="a" d="M120 20V420"/></g>'
)
HALF = svg(
    '<path id="seam" d="M20 120C60 120 104 90 104 40L220 75C205 120 200 160 245 215L235 420L20 420Z"/>'
    '<path id="cut_on_fold" d="M20 120V420"/><path id="centre" d="M20 120V420"/>'
    + '<path id="slash_1" d="M130 47.84V420"/><path id="bust_dart" d="M180 420L170 300L160 420"/>'
)
DARTS = svg('<path id="seam" d="M20 20H110L120 90L130 20H210L220 90L230 20H320V420H20Z"/>' + line("slash 1", 60))


@pytest.fixture
def drawn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the drawings of this file, to work in."""
    monkeypatch.chdir(tmp_path)
    for name, text in (("gore", GORE), ("panel", PANEL), ("layer", LAYER), ("half", HALF), ("darts", DARTS)):
        Path(f"{name}.svg").write_text(text, encoding="utf-8")
    return tmp_path


def test_a_length_along_several_edges_is_not_given_as_that_of_one(drawn: Path, terminal: Terminal) -> None:
    # Square to the flared top the outer lines run out over the sides, and the seam from corner to corner has all three.
    slanted = svg(
        '<path id="seam" d="M120 20H220L320 420H20Z"/><path id="slash_1" d="M130 20L70 220"/>'
        '<path id="slash_2" d="M210 20L270 220"/>'
    )
    Path("slanted.svg").write_text(slanted, encoding="utf-8")
    done = terminal("pleat", "slanted.svg", "-o", "a.svg", "--kind", "knife", "--intake", "1cm", "--lap", "left")
    assert "seam at the top: 10 cm finished" in done.out
    assert "seam at the hem (left side, hem, right side): " in done.out
    done = terminal(
        "pleat", "half.svg", "-o", "b.svg", "--kind", "tuck", "--intake", "1cm", "--lap", "left", "--open-fold"
    )
    assert "seam at the top (left shoulder, neck, right shoulder): " in done.out
    done = terminal("pleat", "panel.svg", "-o", "c.svg", *KNIFE)
    assert "seam at the top: 300 mm finished" in done.out


@pytest.mark.parametrize("name", ["waist", "Waist", "top", "1"])
def test_a_skirt_has_a_waist(name: str, drawn: Path, terminal: Terminal) -> None:
    words = ("--allowance", "1cm", "--allowance", f"{name}=2cm")
    assert terminal("pleat", "panel.svg", "-o", f"{name}.svg", *KNIFE, *words).code == 0
    assert terminal("pleat", "panel.svg", "-o", "top.svg", "--force", *KNIFE, *words[:3], "top=2cm").code == 0
    assert Path(f"{name}.svg").read_bytes() == Path("top.svg").read_bytes()


def test_the_top_of_a_bodice_is_no_waist(drawn: Path) -> None:
    with pytest.raises(FitError, match="Edge 'waist' is not on this piece"):
        pleat(read("half.svg"), kind="tuck", intake="1cm", lap="centre", allowance="waist=2cm")


@pytest.mark.parametrize("name", ["side", "sides"])
def test_both_sides_are_named_where_one_is_asked_for(name: str, drawn: Path) -> None:
    with pytest.raises(FitError, match="there are 'right side', 'left side'"):
        pleat(read("panel.svg"), kind="knife", intake="4cm", lap="left", allowance=f"{name}=2cm")


@pytest.mark.parametrize(("number", "place"), [("1", 120.0), ("2", 220.0)])
def test_lines_without_numbers_are_counted_from_the_left(number: str, place: float, drawn: Path) -> None:
    piece = read("layer.svg")
    lines = measure(piece).lines
    result = pleat(piece, kind="knife", intake="4cm", lap="left", slash=[number])
    assert [fact.name for fact in result.facts] == [lines[int(number) - 1].name]
    assert lines[int(number) - 1].top.distance == pytest.approx(place - 20)


def test_a_number_is_that_of_both_halves_of_an_opened_piece(drawn: Path) -> None:
    result = pleat(read("half.svg"), kind="tuck", intake="1cm", lap="centre", slash=["1"], open_fold=True)
    assert result.count == 2


@pytest.mark.parametrize("name", ["left side", "fold edge", "cut on fold", "centre"])
def test_an_edge_is_no_slash_line(name: str, drawn: Path) -> None:
    with pytest.raises(
        SlashError, match=r"is an edge or the centre .* Draw a straight line there and name it 'slash 1'"
    ):
        pleat(read("half.svg"), kind="inverted", intake="4cm", slash=[name])


def test_the_lower_edge_of_a_bodice_is_called_so_where_its_dart_is(drawn: Path, terminal: Terminal) -> None:
    told = terminal("measure", "half.svg").out
    assert "1  in the lower edge: intake 20 mm" in told
    assert "mm of the lower edge\n" in told
    result = pleat(read("half.svg"), kind="tuck", intake="1cm", lap="centre")
    assert any(
        "two open legs in the lower edge" in said and "of the lower edge as drawn" in said for said in result.remarks
    )


def test_what_a_pivot_is_told_can_be_done(drawn: Path) -> None:
    asked = {"kind": "tuck", "lap": "centre", "pivot": "bust dart"}
    both = HALF.replace("</svg>", '<path id="slash_2" d="M170 59.92V300"/></svg>')
    Path("both.svg").write_text(both, encoding="utf-8")
    with pytest.raises(FitError, match=r"intake of pleat 1 .* is missing") as refused:
        pleat(read("both.svg"), **asked)
    assert 'intake="' not in str(refused.value)  # with one it was told to leave it out
    assert "slash" in str(refused.value)
    assert "'slash 1 2cm'" in str(refused.value)
    assert pleat(read("both.svg"), **asked, slash=["slash 2"]).count == 1
    Path("named.svg").write_text(both.replace("slash_1", "slash_1_2cm"), encoding="utf-8")
    assert pleat(read("named.svg"), **asked).count == 2


def test_one_of_two_darts_is_asked_for(drawn: Path) -> None:
    with pytest.raises(FitError, match=r"could be any of 2 darts .* dart 1 in the top, dart 2 in the top. Name one"):
        pleat(read("darts.svg"), kind="knife", lap="left", pivot="dart")


def test_a_kick_has_nothing_to_baste_at_the_top(drawn: Path) -> None:
    result = pleat(read("gore.svg"), kind="kick", intake="10cm", height="15cm", allowance="15mm")
    assert not [said for said in result.remarks if "baste" in said]


def test_one_is_not_counted_like_many(drawn: Path) -> None:
    result = pleat(read("gore.svg"), kind="knife", intake="2cm", lap="left", allowance=["hem=4cm"])
    assert [said for said in result.remarks if said.startswith("1 notch was left out") and "that fold line" in said]
    result = pleat(read("gore.svg"), kind="knife", intake="1cm", lap="left", count=2, run="fan")
    assert [said for said in result.remarks if said.startswith("The slash line drawn on the piece was left out")]


def test_a_run_along_an_edge_begins_where_it_is_told_to(drawn: Path) -> None:
    asked = {
        "kind": "tuck",
        "intake": "1cm",
        "lap": "down",
        "along": "left side",
        "count": 3,
        "gap": "2cm",
        "run": "level",
    }
    with pytest.raises(PleatError, match=r"has no place to begin at.* Give at=.5cm.") as refused:
        pleat(read("panel.svg"), **asked)
    assert refused.value.exit_code == 2
    assert pleat(read("panel.svg"), **asked, at="5cm").count == 3


def test_what_was_done_already_is_no_remedy(drawn: Path) -> None:
    with pytest.raises(PleatError, match=r"can be finished to .* at the least") as refused:
        pleat(read("panel.svg"), kind="box", finish_to="3cm", count=6)
    assert "evenly" not in str(refused.value)
    plain = svg('<path id="seam" d="M20 20H320V420H20Z"/>')
    Path("plain.svg").write_text(plain, encoding="utf-8")
    with pytest.raises(SlashError, match=r"or intake=.6cm., and the count is found for it"):
        pleat(read("plain.svg"), kind="box", finish_to="20cm")


@pytest.mark.parametrize(
    ("kind", "said"), [("double box", "--kind box and --stack 2"), ("Triple-Knife", "--kind knife and --stack 3")]
)
def test_a_stack_is_asked_for_by_its_option(kind: str, said: str, drawn: Path, terminal: Terminal) -> None:
    done = terminal("pleat", "panel.svg", "-o", "a.svg", "--kind", kind, "--intake", "4cm", "--lap", "left")
    assert_refused(done, 2, f"--kind is '{kind}'", f"Give {said}.")


def test_names_that_an_editor_lost_are_told(drawn: Path, terminal: Terminal) -> None:
    lost = PANEL.replace("slash ", "path")
    Path("lost.svg").write_text(lost, encoding="utf-8")
    assert "an editor lost them that saved the drawing as plain SVG" in terminal("measure", "lost.svg").out
    done = terminal("pleat", "lost.svg", "-o", "a.svg", *KNIFE)
    assert_refused(done, 1, "has no slash lines", "saved the drawing as plain SVG")
    Path("other.svg").write_text(PANEL.replace("slash", "pleats"), encoding="utf-8")
    assert "plain SVG" not in terminal("measure", "other.svg").out


def test_what_is_no_result_is_told_without_the_words_of_a_program(drawn: Path, terminal: Terminal) -> None:
    done = terminal("fold", "panel.svg")
    assert_refused(done, 1, "'panel.svg' is not a result of pleatsvg", "Give the file that it wrote")
    assert "class" not in done.err
    Path("half-a-file.svg").write_text(PANEL[:200], encoding="utf-8")
    done = terminal("measure", "half-a-file.svg")
    assert_refused(done, 1, "'half-a-file.svg' is not SVG, or not whole: reading stopped at line 1;")


def test_a_smooth_hem_is_told_in_one_way(drawn: Path) -> None:
    round_hem = svg('<path id="seam" d="M20 20H320V420Q170 424 20 420Z"/>' + line("slash 1", 170, y2=422))
    Path("round.svg").write_text(round_hem, encoding="utf-8")
    result = pleat(read("round.svg"), kind="inverted", intake="5in", hem="smooth")
    assert [said for said in result.remarks if said.endswith("it leaves the folded hem by less than 1/16 in.")]


class TestAsking:
    """`ask` is for the person who wants no options, and answers in none."""

    @pytest.fixture(autouse=True)
    def _with(self, drawn: Path, terminal: Terminal, monkeypatch: pytest.MonkeyPatch) -> None:
        self.terminal, self.patch = terminal, monkeypatch

    def ask(self, drawing: str, *answers: str) -> str:
        """What is told to these answers."""
        self.patch.setattr(sys, "stdin", io.StringIO("".join([f"{answer}\n" for answer in answers])))
        return self.terminal("ask", drawing).out

    def test_a_refusal_names_no_option(self) -> None:
        told = self.ask("layer.svg", "all", "knife", "left", "30cm", "0", "4cm", "0", "a.svg")
        before, _, _ = told.partition("The same again:")
        assert "the deepest intake that fits here is" in before
        assert "The intake is 0 mm; a pleat takes up more than nothing." in before
        assert "--" not in before
        half = self.ask("half.svg", "tuck", "left", "centre", "1cm", "0", "b.svg")
        assert "cut on the fold; its fold would turn round" in half
        assert "Give another answer." in half

    def test_a_line_with_a_slip_in_its_name_is_told_first(self) -> None:
        slip = PANEL.replace("slash 2", "slach 2")
        Path("slip.svg").write_text(slip, encoding="utf-8")
        told = self.ask("slip.svg", "slash 1, slach 2", "knife", "left", "4cm", "0", "a.svg")
        assert told.index("not named as a slash line: 'slach 2'") < told.index("Along which lines?")
        assert "slip: 2 pleats" in told

    def test_a_number_is_the_one_in_the_name(self) -> None:
        turned = PANEL.replace("slash 1", "slash x").replace("slash 2", "slash 1").replace("slash x", "slash 2")
        Path("turned.svg").write_text(turned, encoding="utf-8")
        told = self.ask("turned.svg", "1", "knife", "left", "4cm", "0", "a.svg")
        assert "--slash 'slash 1'" in told


def test_fixtures_of_the_readme_have_no_such_remarks() -> None:
    for name in ("skirt-front", "straight-panel"):
        assert not [said for said in measure(read(FIXTURES / f"{name}.svg")).odd if "plain SVG" in said]
