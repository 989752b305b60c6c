"""The last look before the scissors: what stands beside the seam of a result is spoilt in one place, and `fold` says no.

Every spoilt result is a sound one with one change, so that each test fails where the change is not seen; the sound ones
hold, also when they are saved anew with fewer digits.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from lxml import etree

from pleatsvg import fold, pleat, read, write
from pleatsvg.pleats import strip

FIXTURES = Path(__file__).parents[2] / "fixtures"
SVG = "http://www.w3.org/2000/svg"

Tree = etree._ElementTree
Spoil = Callable[[Tree], object]

JOBS = {
    "one": (
        "skirt-front.svg",
        {"kind": "knife", "intake": "6cm", "lap": "left", "allowance": ["15mm", "hem=4cm"], "stitch_down": "5cm"},
    ),
    "parts": (
        "straight-panel.svg",
        {
            "kind": "inverted",
            "intake": "12cm",
            "underlay": "separate",
            "allowance": "15mm",
            "slash": ["slash lines 2", "slash lines 3"],
        },
    ),
    "narrow": (
        "straight-panel.svg",
        {
            "kind": "knife",
            "intake": "8cm",
            "lap": "right",
            "allowance": "10mm",
            "cloth_width": "60cm",
            "slash": ["slash lines 2", "slash lines 3"],
        },
    ),
}


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("sound")
    for name, (drawing, options) in JOBS.items():
        write(pleat(read(FIXTURES / drawing), **options), folder / f"{name}.svg")
    return {name: folder / f"{name}.svg" for name in JOBS}


def of_class(tree: Tree, name: str) -> list[etree._Element]:
    return tree.xpath(f"//s:g[@class='piece']//s:*[@class='{name}']", namespaces={"s": SVG})


def moved(element: etree._Element, dx: float, dy: float = 0.0, node: int | None = None) -> None:
    """Move all of an element's nodes, or one of them, counted from 0."""
    count = iter(range(10**6))

    def there(match: re.Match[str]) -> str:
        if node is not None and next(count) != node:
            return match[0]
        return f"{float(match[1]) + dx:.6f},{float(match[2]) + dy:.6f}"

    element.set("d", re.sub(r"(-?[\d.]+),(-?[\d.]+)", there, element.get("d") or ""))


def gone(*elements: etree._Element) -> None:
    for element in elements:
        parent = element.getparent()
        assert parent is not None
        parent.remove(element)


def failures(sound: Path, spoil: Spoil) -> list[str]:
    tree = etree.parse(str(sound))
    spoil(tree)
    spoilt = sound.with_name("spoilt.svg")
    tree.write(str(spoilt))
    return [words for proof in fold(spoilt) for words in proof.failures]


@pytest.mark.parametrize("name", JOBS)
def test_a_sound_result_holds(name: str, results: dict[str, Path]) -> None:
    assert failures(results[name], lambda tree: None) == []


@pytest.mark.parametrize("digits", [5, 4, 3])
@pytest.mark.parametrize("name", JOBS)
def test_saved_anew_with_fewer_decimals_it_holds(name: str, digits: int, results: dict[str, Path]) -> None:
    def rounded(tree: Tree) -> None:
        for path in tree.iter(f"{{{SVG}}}path"):
            text = re.sub(r"-?\d+\.\d+", lambda m: f"{float(m[0]):.{digits}f}", path.get("d") or "")
            path.set("d", text)

    assert failures(results[name], rounded) == []


@pytest.mark.parametrize(
    ("name", "part"), [("one", 0), *[("parts", k) for k in range(5)], *[("narrow", k) for k in range(2)]]
)
def test_a_cutting_line_that_is_moved_cut_or_gone(name: str, part: int, results: dict[str, Path]) -> None:
    sound = results[name]
    assert failures(sound, lambda tree: moved(of_class(tree, "cut-line")[part], 0.06))
    assert failures(sound, lambda tree: moved(of_class(tree, "cut-line")[part], 3, 1))
    assert failures(sound, lambda tree: moved(of_class(tree, "cut-line")[part], 1, 1, node=2))
    assert failures(sound, lambda tree: gone(of_class(tree, "cut-line")[part]))


@pytest.mark.parametrize("name", JOBS)
def test_cutting_lines_gone_with_their_hidden_twin(name: str, results: dict[str, Path]) -> None:
    said = failures(results[name], lambda tree: gone(*of_class(tree, "cut-line"), *of_class(tree, "finished-cut-line")))
    assert any("cut line" in words and "gone" in words for words in said)


@pytest.mark.parametrize("name", JOBS)
def test_every_notch_is_missed_and_every_one_that_is_moved_is_found(name: str, results: dict[str, Path]) -> None:
    count = len(of_class(etree.parse(str(results[name])), "notch"))
    assert count >= 12
    for k in range(count):
        if name == "one" or k % 2:  # of the many of a piece in parts each is either taken away or moved
            said = failures(results[name], lambda tree, k=k: gone(of_class(tree, "notch")[k]))
            assert any("notch" in words for words in said), k
            if name != "one":
                continue
        # Square to an upright line, and to a join along it.
        said = failures(results[name], lambda tree, k=k: moved(of_class(tree, "notch")[k], 0.5, 0.5))
        assert any("notch" in words for words in said), k


def test_the_notch_that_is_gone_is_named(results: dict[str, Path]) -> None:
    said = failures(results["one"], lambda tree: gone(of_class(tree, "notch")[2]))
    assert said == ["1 of 12 notches is gone; the fold line of pleat 2 has none at its top"]


def scaled_page(tree: Tree) -> None:
    for name in ("width", "height"):
        tree.getroot().set(name, f"{float(tree.getroot().get(name)[:-2]) * 0.94}mm")


def scaled_piece(tree: Tree) -> None:
    tree.xpath("//s:g[@class='piece']", namespaces={"s": SVG})[0].set("transform", "scale(1.01)")


def smaller_square(tree: Tree) -> None:
    tree.xpath("//s:*[@class='check-square']", namespaces={"s": SVG})[0].set("width", "47")


@pytest.mark.parametrize("name", JOBS)
@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (scaled_page, "everything is drawn at 94.0 % of its true size"),
        (scaled_piece, "is not as large as it was made"),
        (smaller_square, "the 50 mm square of the print check measures 47.0 mm"),
    ],
)
def test_whatever_is_scaled_is_told(name: str, spoil: Spoil, words: str, results: dict[str, Path]) -> None:
    assert words in failures(results[name], spoil)[0]


def test_seam_and_finished_shape_bowed_out_alike(results: dict[str, Path]) -> None:
    """One handle of the left side, where no fold lies, is drawn 2 mm out: all of the fold-back holds, the size does not."""

    def bow(tree: Tree) -> None:
        lines = [of_class(tree, name)[0] for name in ("seam-line", "finished-line")]
        seam, finished = [re.findall(r"-?[\d.]+,-?[\d.]+", line.get("d") or "") for line in lines]
        handles = [spot for k, spot in enumerate(finished) if k % 3 and spot in seam]
        left = min(handles, key=lambda spot: float(spot.partition(",")[0]))
        for line, spots in zip(lines, (seam, finished), strict=True):
            moved(line, -2, 0, node=spots.index(left))

    (said,) = failures(results["one"], bow)
    assert "finished shape is not as large as it was made" in said


MARKS: dict[str, tuple[Spoil, str]] = {
    "hip line": (lambda t: moved(of_class(t, "balance-line")[0], 0, 0.5), "balance line"),
    "grain": (lambda t: of_class(t, "grain-line")[0].set("transform", "rotate(2)"), "grain line"),
    "arrow beside": (lambda t: moved(of_class(t, "lap-arrow")[0], 3), "lap arrow of pleat 1"),
    "arrow turned": (
        lambda t: of_class(t, "lap-arrow")[1].set("transform", "translate(640 0) scale(-1 1)"),
        "lap arrow of pleat 2",
    ),
    "words of another": (lambda t: setattr(of_class(t, "fold-label")[0], "text", "FOLD 2"), "belongs to pleat 1"),
    "words elsewhere": (
        lambda t: of_class(t, "placement-label")[1].set("transform", "translate(60 0)"),
        "beside the line of pleat 2",
    ),
    "words of another lap": (
        lambda t: setattr(
            of_class(t, "pleat-label")[0], "text", "PLEAT 1: knife, intake 6 cm, fold points right (left over right)"
        ),
        "points right",
    ),
    "intake": (lambda t: of_class(t, "pleat-label")[0].set("data-intake-mm", "50.0000"), "says an intake of 50.00 mm"),
    "hem intake": (
        lambda t: t.findall(".//*[@data-hem-intake-mm]")[2].set("data-hem-intake-mm", "61"),
        "says an intake of 61.00",
    ),
    "hip line gone": (lambda t: gone(of_class(t, "balance-line")[0]), "balance lines is gone"),
    "grain gone": (lambda t: gone(of_class(t, "grain-line")[0]), "grain line is gone"),
}


@pytest.mark.parametrize("what", MARKS)
def test_marks_and_words_that_no_longer_agree_with_the_lines(what: str, results: dict[str, Path]) -> None:
    spoil, words = MARKS[what]
    assert any(words in said for said in failures(results["one"], spoil))


@pytest.fixture(scope="module")
def beside_their_lines(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Results that show lines in part, stitch above a hip, and have a seam above a kick pleat in one piece and in parts."""
    folder = tmp_path_factory.mktemp("shown")
    skirt, gore = read(FIXTURES / "skirt-front.svg"), read(FIXTURES / "gore-panel.svg")
    made = {
        "tuck": pleat(skirt, kind="tuck", intake="4cm", lap="left", stitched="12cm", allowance="15mm"),
        "fit": pleat(skirt, kind="knife", intake="6cm", lap="left", fit_waist="34cm", hip="hip", allowance="15mm"),
        "kick": pleat(skirt, kind="kick", intake="12cm", height="18cm"),
        "parts": pleat(gore, kind="kick", intake="12cm", height="18cm", underlay="separate", allowance="15mm"),
    }
    for name, result in made.items():
        write(result, folder / f"{name}.svg")
    return {name: folder / f"{name}.svg" for name in made}


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("tuck", "fold-line-seen"),
        ("tuck", "stitch-line-seen"),
        ("fit", "shaping-line"),
        ("fit", "shaping-end"),
        ("fit", "placement-end"),
        ("kick", "fold-end"),
    ],
)
def test_what_is_printed_of_a_line_lies_on_it(name: str, role: str, beside_their_lines: dict[str, Path]) -> None:
    """The whole line is without ink: the cloth is marked from its strokes and signs."""
    assert failures(beside_their_lines[name], lambda tree: None) == []
    count = len(of_class(etree.parse(str(beside_their_lines[name])), role))
    assert count
    for k in range(count):
        said = failures(beside_their_lines[name], lambda tree, k=k: moved(of_class(tree, role)[k], 0.5, 0.5))  # type: ignore[misc]
        assert any(role.replace("-", " ") in words for words in said), k


@pytest.mark.parametrize("name", ["kick", "parts"])
def test_notches_of_the_seam_above_a_kick_pleat_meet(name: str, beside_their_lines: dict[str, Path]) -> None:
    def seams(tree: Tree) -> list[etree._Element]:
        return [mark for mark in of_class(tree, "notch") if mark.get("data-line") == "seam"]

    count = len(seams(etree.parse(str(beside_their_lines[name]))))
    assert count >= 6
    for k in range(count):
        assert failures(beside_their_lines[name], lambda tree, k=k: moved(seams(tree)[k], 0.0, 0.5))  # type: ignore[misc]
    assert failures(beside_their_lines[name], lambda tree: gone(seams(tree)[0]))


def test_the_finished_cutting_line_of_parts_with_a_kick_pleat(beside_their_lines: dict[str, Path]) -> None:
    """The piece is its own mirror image: a place above the tip, taken for one of the other panel, would find its twin."""
    for node in (1, 4, 10):
        said = failures(
            beside_their_lines["parts"],
            lambda t, node=node: moved(of_class(t, "finished-cut-line")[0], 0.8, 0.8, node),  # type: ignore[misc]
        )
        assert any("cutting line of part" in words for words in said), node


def test_an_arrow_the_other_way_round_is_found(results: dict[str, Path]) -> None:
    """Its head at the fold line: turned half round about its own middle."""

    def turn(tree: Tree) -> None:
        arrow = of_class(tree, "lap-arrow")[0]
        spots = [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+),(-?[\d.]+)", arrow.get("d") or "")]
        stroke = spots[:2]
        x, y = (stroke[0][0] + stroke[1][0]) / 2, (stroke[0][1] + stroke[1][1]) / 2
        arrow.set("transform", f"rotate(180 {x} {y})")

    said = failures(results["one"], turn)
    assert any("lap arrow" in words for words in said)


def test_words_taken_out_are_told_and_no_fault(results: dict[str, Path]) -> None:
    tree = etree.parse(str(results["one"]))
    gone(of_class(tree, "pleat-label")[0], of_class(tree, "lap-arrow")[0])
    out = results["one"].with_name("fewer.svg")
    tree.write(str(out))
    (proof,) = fold(out)
    assert proof.holds
    assert any("lap arrows" in note and "pleat label is gone" in note for note in proof.notes)


def test_what_was_not_looked_at_is_said(results: dict[str, Path], tmp_path: Path) -> None:
    (proof,) = fold(results["one"])
    assert any(note.startswith("Not looked at: ") for note in proof.notes)
    write(pleat(read(FIXTURES / "skirt-front.svg"), kind="knife", intake="6cm", lap="left"), tmp_path / "bare.svg")
    assert any("a cutting line, since it has none" in note for note in fold(tmp_path / "bare.svg")[0].notes)
    silent = re.sub(r' data-(holds|finished-area-mm2)="[^"]*"', "", results["one"].read_text())
    (tmp_path / "silent.svg").write_text(silent)
    (proof,) = fold(tmp_path / "silent.svg")
    assert proof.holds
    assert any("was not looked at" in note for note in proof.notes)


def test_an_underlay_with_a_lost_corner(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It folds back perfectly, since its edge goes round a corner of the seam; `pleat` refuses to make it, or to take it."""
    drawing = tmp_path / "flared.svg"
    drawing.write_text(
        f'<svg xmlns="{SVG}" width="600mm" height="700mm" viewBox="-100 -100 600 700">'
        '<path id="seam" d="M100 0H300L400 400H0Z"/><path id="slash-1" d="M285 0L300 400"/></svg>'
    )
    with pytest.raises(Exception, match="reaches out past the seam"):
        pleat(read(drawing), kind="knife", intake="5cm", lap="left")
    with monkeypatch.context() as patched:
        patched.setattr(strip, "CORNER_TURN", 400.0)
        write(pleat(read(drawing), kind="knife", intake="5cm", lap="left"), tmp_path / "lost.svg")
    (proof,) = fold(tmp_path / "lost.svg")
    assert all(figure.holds for figure in proof.figures)
    assert "turns a corner of the finished seam at its top" in proof.failures[0]
    with pytest.raises(Exception, match="turns a corner"):
        pleat(read(tmp_path / "lost.svg"), kind="tuck", intake="1cm", lap="down", at=["30cm"], along="left side")


def test_a_fold_brought_onto_a_side_seam_may_run_through_the_allowance(tmp_path: Path) -> None:
    """Box pleats that touch, with half a space at the ends: the first fold is brought onto the side seam itself."""
    drawn, sound = tmp_path / "panel.svg", tmp_path / "flat.svg"
    drawn.write_text(
        f'<svg xmlns="{SVG}" width="360mm" height="300mm" viewBox="0 0 360 300">'
        '<rect id="seam" width="360" height="300"/></svg>'
    )
    write(pleat(read(drawn), kind="box", depth="3cm", count=6, allowance=["15mm", "hem=4cm"]), sound)
    assert [proof.holds for proof in fold(sound)] == [True]
    for node in (0, -1):  # turned about its middle by a millimetre
        told = failures(sound, lambda tree, node=node: turned(of_class(tree, "placement-line")[0], node))
        assert any("misses the line it is brought onto" in words for words in told)


def turned(element: etree._Element, node: int) -> None:
    count = len(re.findall(r",", element.get("d") or ""))
    moved(element, 1.0, node=node % count)
    moved(element, -1.0, node=(-1 - node) % count)


OWN_TEXTS = """<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="400mm" viewBox="0 0 300 400">
<path id="seam" d="M20 20 H280 V380 H20 Z"/><path id="slash 1" d="M150 20 V380"/>
<text x="30" y="200" font-size="10">cut two</text>
<text x="30" y="230" font-size="10">wardrobe
  <tspan x="30" dy="12">rail 4</tspan>
</text></svg>"""


def test_words_of_the_persons_own_are_gone_only_when_they_are(tmp_path: Path) -> None:
    (tmp_path / "piece.svg").write_text(OWN_TEXTS)
    sound = tmp_path / "flat.svg"
    write(pleat(read(tmp_path / "piece.svg"), kind="knife", intake="4cm", lap="left"), sound)

    def told(spoil: Spoil) -> list[str]:
        assert failures(sound, spoil) == []
        (proof,) = fold(sound.with_name("spoilt.svg"))
        return [words for words in proof.notes if "carried text" in words]

    assert told(lambda tree: None) == []
    assert told(lambda tree: gone(of_class(tree, "carried-text")[0])) == [
        "Since it was made: 1 of 2 carried texts is gone."
    ]
    assert told(lambda tree: gone(of_class(tree, "carried-text")[1][0])) == [
        "Since it was made: 1 of 2 carried texts is gone."
    ]


# The seam turns by more than 30 degrees at the end of the line: each half of the middle layer has it at its own end.
AT_A_CORNER = """<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="700mm" viewBox="0 0 600 700">
<path id="seam" d="M50 50 L250 {top} L450 50 V600 L250 {hem} L50 600 Z"/><path id="slash 1" d="M250 {top} V{hem}"/></svg>"""


@pytest.mark.parametrize(("top", "hem"), [(50, 520), (50, 680), (150, 600), (10, 500)])
@pytest.mark.parametrize("stack", [1, 2])
def test_a_pleat_that_ends_on_a_corner_of_the_seam_holds(top: int, hem: int, stack: int, tmp_path: Path) -> None:
    (tmp_path / "piece.svg").write_text(AT_A_CORNER.format(top=top, hem=hem))
    flat = tmp_path / "flat.svg"
    write(pleat(read(tmp_path / "piece.svg"), kind="inverted", intake="8cm", stack=stack), flat)
    assert [words for proof in fold(flat) for words in proof.failures] == []
