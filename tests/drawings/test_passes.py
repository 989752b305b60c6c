"""Passes over a piece: pleats down, then tucks across, or the reverse; on a drawing, a result read again and a half piece.

The apron is 400 wide and high, its top left corner at (20, 30), with upright slash lines at x = 120 and 270 and level ones
at y = 200 and 230. Every measure in the tests follows from these numbers.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

import pleatsvg
from pleatsvg.api import fold
from pleatsvg.errors import PleatError
from pleatsvg.pleated import PleatedPiece
from tests.referee.foldback import prove_all, read_path

FIXTURES = Path(__file__).parents[2] / "fixtures"
APRON = '<path id="seam apron" d="M20 30H420V430H20Z"/>'
BODICE = (
    '<path id="seam bodice" d="M60 60C150 90 240 90 330 60L400 95C380 150 390 190 430 200L425 420C300 440 180 440 65 420'
    'L50 200C90 190 100 150 20 95Z"/>'
)
HALF = (
    '<path id="seam tunic" d="M60 60C100 80 140 75 160 60L260 90C240 140 250 190 300 200L295 420C200 432 100 430 60 430Z"/>'
    '<path id="fold edge" d="M60 60V430"/>'
)
DOWN = '<path id="slash 1" d="M120 20V440"/><path id="slash 2" d="M270 20V440"/>'
ACROSS = '<path id="slash level 1" d="M10 200H440"/><path id="slash level 2" d="M10 230H440"/>'
PLEATS: dict[str, Any] = {"kind": "knife", "intake": "60mm", "lap": "left", "slash": ["slash 1", "slash 2"]}
TUCKS: dict[str, Any] = {
    "kind": "pin-tuck",
    "intake": "10mm",
    "lap": "down",
    "slash": ["slash level 1", "slash level 2"],
}
SECOND = {"pass": 2}


def drawing(folder: Path, *inside: str) -> pleatsvg.FinishedPiece:
    path = folder / "drawn.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="500mm" viewBox="0 0 500 500">'
        + "".join(inside)
        + "</svg>",
        encoding="utf-8",
    )
    return pleatsvg.read(path)


def made(folder: Path, piece: pleatsvg.FinishedPiece, name: str = "flat.svg", **order: Any) -> PleatedPiece:
    """Pleat a piece, write it, and have the referee undo every pass of it."""
    result = pleatsvg.pleat(piece, **order)
    pleatsvg.write(result, folder / name, force=True)
    proofs = prove_all(folder / name)
    assert len(proofs) == result.number
    for proof in proofs.values():
        assert not proof.failures()
    return result


def root_of(folder: Path, name: str = "flat.svg") -> etree._Element:
    return etree.fromstring((folder / name).read_bytes())


def of_class(root: etree._Element, name: str, number: int | None = None) -> list[etree._Element]:
    return [e for e in root.iter() if e.get("class") == name and number in (None, int(e.get("data-pass") or 0))]


ORDERS = {
    "pleats down, then pin tucks across": (BODICE, [PLEATS, TUCKS | SECOND], {}),
    "tucks across, then pleats down": (BODICE, [TUCKS, PLEATS | SECOND], {}),
    "tucks across, then tapered pleats": (BODICE, [TUCKS, PLEATS | {"hem_intake": "90mm"} | SECOND], {}),
    "box pleats and tucks with allowances": (
        BODICE,
        [{"kind": "box", "intake": "48mm", "slash": ["slash 1", "slash 2"]}, TUCKS | SECOND],
        {"allowance": ["15mm", "hem=4cm"]},
    ),
    "tucks beside tucks": (
        APRON,
        [PLEATS | {"slash": ["slash 1"]}, PLEATS | {"slash": ["slash 2"], "intake": "200mm"} | SECOND],
        {},
    ),
}


@pytest.mark.parametrize("name", ORDERS)
def test_two_passes_fold_back_through_both(name: str, tmp_path: Path) -> None:
    outline, pleats, more = ORDERS[name]
    result = made(tmp_path, drawing(tmp_path, outline, DOWN, ACROSS), pleats=pleats, **more)
    root = root_of(tmp_path)
    (piece,) = of_class(root, "piece")
    assert piece.get("data-passes") == "2"
    assert [int(e.get("data-pass") or 0) for e in of_class(root, "finished-line")] == [1, 2]
    numbers = [{int(e.get("data-pleat") or 0) for e in of_class(root, "fold-line", k)} for k in (1, 2)]
    assert max(numbers[0]) < min(numbers[1]), "the pleats of the second pass go on after those of the first"
    assert len(numbers[0] | numbers[1]) == int(piece.get("data-pleats") or 0)
    assert result.earlier is not None and result.earlier.passes == 1


def test_creases_of_the_first_pass_run_straight_through_tucks(tmp_path: Path) -> None:
    """Two tucks of 10 across an apron 400 high: each crease of the first pass is 420 long in one stroke, D."""
    made(tmp_path, drawing(tmp_path, APRON, DOWN, ACROSS), pleats=[PLEATS, TUCKS | SECOND])
    root = root_of(tmp_path)
    for name in ("fold-line", "inner-fold-line", "placement-line"):
        lines = of_class(root, name, 1)
        assert len(lines) == 2
        for line in lines:
            ((points, _),) = read_path(str(line.get("d")))
            assert abs(points[-1] - points[0]) == pytest.approx(420, abs=1e-6)
            assert max(abs(z.real - points[0].real) for z in points) <= 1e-6


def test_a_crease_over_an_underlay_is_creased_in_every_layer(tmp_path: Path) -> None:
    """The second pass's pleat at 270, 100 deep, covers 270 to 370; a first-pass crease there folds three layers, D."""
    first = PLEATS | {"intake": "40mm", "lap": "right", "slash": [], "at": ["300mm"]}
    second = PLEATS | {"intake": "200mm", "slash": ["slash 2"]} | SECOND
    made(tmp_path, drawing(tmp_path, APRON, DOWN), pleats=[first, second])
    strokes = [len(read_path(str(e.get("d")))) for e in of_class(root_of(tmp_path), "fold-line", 1)]
    assert strokes == [3]


def test_a_result_read_again_is_the_same_two_passes(tmp_path: Path) -> None:
    """Tucks placed 170 and 200 mm down the side of the first result lie where the drawn ones were carried to."""
    piece = drawing(tmp_path, APRON, DOWN, ACROSS)
    at_once = made(tmp_path, piece, pleats=[PLEATS, TUCKS | SECOND], allowance="15mm")
    made(tmp_path, piece, "first.svg", pleats=[PLEATS], allowance="15mm")
    again = pleatsvg.read(tmp_path / "first.svg")
    assert again.earlier is not None
    assert [(p.number, p.kind, p.lap) for p in again.earlier.told] == [(1, "knife", "left"), (2, "knife", "left")]
    assert [p.intake_top for p in again.earlier.told] == pytest.approx([60, 60], abs=1e-4)
    order = {"kind": "pin-tuck", "intake": "10mm", "lap": "down", "at": ["170mm", "200mm"], "along": "left side"}
    read = made(tmp_path, again, "second.svg", **order)
    for name in ("seam-line", "cut-line"):
        one, other = (of_class(root_of(tmp_path, n), name)[0].get("d") for n in ("flat.svg", "second.svg"))
        assert one == other
    assert read.earlier is not None and at_once.earlier is not None
    assert len(read.earlier.lines) == len(at_once.earlier.lines)
    texts = ["".join(e.itertext()) for e in root_of(tmp_path, "second.svg").iter("{*}text")]
    assert "Pleats 1 and 2: knife, intake 60 mm, fold points left (right over left) (pass 1)" in texts
    assert texts.count("FOLD 1") == 2 and texts.count("FOLD 4") == 1  # the one line is long, the other short


def test_slanting_pleats_over_upright_tucks(tmp_path: Path) -> None:
    """A crease that leaves an underlay by its slanting side goes down through one layer and up again through the next."""
    piece = pleatsvg.read(FIXTURES / "gallery" / "pin-tuck-flat.svg")
    result = made(tmp_path, piece, kind="box", depth="4mm", face="10mm", count=2, run="fan")
    assert result.number == 2
    ends = [read_path(str(e.get("d"))) for e in of_class(root_of(tmp_path), "fold-line", 1)]
    assert any(abs(strokes[0][0][0] - strokes[-1][0][-1]) < 30 for strokes in ends), "such a line is there"
    (proof,) = fold(tmp_path / "flat.svg")
    assert proof.holds


def test_free_edges_of_the_first_pass_go_with_the_second(tmp_path: Path) -> None:
    """At a hinge fold lines meet inside the allowance, and what lies between them there is free; it is in a hidden layer."""
    piece = pleatsvg.read(FIXTURES / "circle-skirt-panel.svg")
    hinged = {"kind": "inverted", "intake": "40mm", "hem_intake": "0mm", "stack": 2, "count": 1, "along": "top"}
    made(tmp_path, piece, "first.svg", allowance="12mm", **hinged)
    again = pleatsvg.read(tmp_path / "first.svg")
    made(tmp_path, again, "second.svg", kind="tuck", intake="4mm", lap="left", count=1, run="fan")
    for name in ("first.svg", "second.svg"):
        free = of_class(root_of(tmp_path, name), "free-edge", 1)
        assert free
        assert {e.getparent().get("style") for e in free} == {"display:none"}  # type: ignore[union-attr]
        (proof,) = fold(tmp_path / name)
        assert proof.holds


def test_notches_stay_with_a_line_that_a_new_fold_comes_to_lie_on(tmp_path: Path) -> None:
    """The edges of the second pleat's face are those of the first one's middle pleat, to a ten-thousandth of a mm.

    Lines have 6 decimals and marks 3: by its own place the notch would have gone to the other side of the new fold.
    """
    piece = pleatsvg.read(FIXTURES / "skirt-front.svg")
    first = pleatsvg.pleat(piece, kind="box", intake="10mm", allowance="12mm", notch="snip", hem_turn=True)
    pleatsvg.write(first, tmp_path / "first.svg")
    second = pleatsvg.pleat(pleatsvg.read(tmp_path / "first.svg"), kind="box", intake="10mm", count=1, run="grain")
    pleatsvg.write(second, tmp_path / "second.svg")
    assert all(proof.holds for proof in fold(tmp_path / "second.svg"))


def test_notches_stay_with_the_end_of_their_line_beside_a_new_hinge(tmp_path: Path) -> None:
    """Tucks from the hem are hinged just where lines of the first ones end, which lie on one side of them alone."""
    piece = pleatsvg.read(FIXTURES / "circle-skirt-panel.svg")
    first = pleatsvg.pleat(piece, kind="tuck", intake="40mm", lap="right", count=5, run="fan", along="top")
    pleatsvg.write(first, tmp_path / "first.svg")
    order = {"kind": "tuck", "intake": "20mm", "lap": "left", "hem_intake": "0mm", "count": 5, "run": "square"}
    second = pleatsvg.pleat(pleatsvg.read(tmp_path / "first.svg"), along="hem", **order)
    pleatsvg.write(second, tmp_path / "second.svg")
    assert all(proof.holds for proof in fold(tmp_path / "second.svg"))


def test_a_third_pass_over_a_result_of_two(tmp_path: Path) -> None:
    made(tmp_path, drawing(tmp_path, APRON, DOWN, ACROSS), "two.svg", pleats=[PLEATS, TUCKS | SECOND])
    again = pleatsvg.read(tmp_path / "two.svg")
    result = made(tmp_path, again, "three.svg", kind="knife", intake="20mm", lap="right", at=["50mm"])
    assert result.number == 3
    assert [p.number for p in result.pleats] == [5]


@pytest.mark.parametrize("turned", [False, True])
def test_half_pieces_take_lines_across_their_fold_edge(turned: bool, tmp_path: Path) -> None:
    pleats = [PLEATS | {"slash": ["slash 1"], "lap": "centre", "intake": "40mm"}, TUCKS]
    late = 0 if turned else 1
    pleats[late] = pleats[late] | SECOND
    level = ACROSS.replace("M10", "M60").replace("H440", "H310")
    piece = drawing(tmp_path, HALF, '<path id="slash 1" d="M120 40V450"/>', level)
    made(tmp_path, piece, pleats=pleats, allowance="15mm")
    (edge,) = of_class(root_of(tmp_path), "fold-edge")
    ((points, _),) = read_path(str(edge.get("d")))
    assert abs(points[-1] - points[0]) == pytest.approx(370 + 20, abs=1e-6)
    assert not [
        e for e in of_class(root_of(tmp_path), "notch") if re.match(rf"M {points[0].real:.0f}(\.0*)?,", str(e.get("d")))
    ], "nothing is snipped on the fold of the cloth"


REFUSED = {
    "over tapered pleats a level line breaks": (
        APRON + DOWN + ACROSS,
        {"pleats": [PLEATS | {"hem_intake": "90mm"}, TUCKS | SECOND]},
        ("'slash level 1' of pass 2 breaks at pleat", "bent by", "square to the folds"),
    ),
    "tapered tucks break the fold edge": (
        HALF + ACROSS.replace("M10", "M60").replace("H440", "H310"),
        {"pleats": [TUCKS | {"hem_intake": "20mm"}]},
        ("The fold edge of 'tunic'", "would break by", "open_fold=True"),
    ),
    "passes are numbered without a gap": (
        APRON + DOWN + ACROSS,
        {"pleats": [PLEATS, TUCKS | {"pass": 3}]},
        ("The passes", "numbered 1, 3"),
    ),
    "a pass is a number": (
        APRON + DOWN,
        {"pleats": [PLEATS | {"pass": "second"}]},
        ("pass is 'second'", "a whole number"),
    ),
    "parts and passes do not go together": (
        APRON + DOWN + ACROSS,
        {"pleats": [PLEATS, TUCKS | SECOND], "cloth_width": "90cm"},
        ("are asked for with several passes", "make one pass"),
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused_in_words(name: str, tmp_path: Path) -> None:
    inside, order, phrases = REFUSED[name]
    piece = drawing(tmp_path, inside)
    with pytest.raises(PleatError) as refusal:
        pleatsvg.pleat(piece, **order)
    for phrase in phrases:
        assert phrase in str(refusal.value)


def test_an_allowance_belongs_to_the_first_pass(tmp_path: Path) -> None:
    made(tmp_path, drawing(tmp_path, APRON, DOWN), "first.svg", pleats=[PLEATS])
    with pytest.raises(PleatError, match="with the first pass"):
        pleatsvg.pleat(
            pleatsvg.read(tmp_path / "first.svg"),
            allowance="15mm",
            **(TUCKS | {"slash": [], "at": ["50mm"], "along": "left side"}),
        )


def _without_one(text: str) -> str:
    return re.sub(r'<path class="inner-fold-line"[^>]*data-pleat="1"[^>]*/>', "", text, count=1)


def _with_one_moved(text: str) -> str:
    return re.sub(
        r'(<path class="fold-line" )([^>]*data-pleat="1")', r'\1transform="translate(0.05 0)" \2', text, count=1
    )


@pytest.mark.parametrize(
    ("spoilt", "read", "phrases"),
    [
        (_without_one, {}, ("Pleat 1 lacks fold 1 of its list",)),
        (
            _with_one_moved,
            {},
            ("The earlier pleats of 'apron'", "do not fold back true any more", "pleat 1", "(limit 0.01)"),
        ),
        (str, {"shows": "wrong"}, ("pleat 1 is to point left", 'shows="wrong" is for one that was mirrored')),
    ],
    ids=["a fold line is gone", "a fold line was moved by a twentieth", "turned over in reading"],
)
def test_a_result_that_does_not_fold_true_is_pleated_no_further(
    spoilt: Any, read: dict[str, Any], phrases: tuple[str, ...], tmp_path: Path
) -> None:
    """What would be laid on it could not fold back through both passes."""
    made(tmp_path, drawing(tmp_path, APRON, DOWN), "first.svg", pleats=[PLEATS])
    text = (tmp_path / "first.svg").read_text(encoding="utf-8")
    assert spoilt is str or spoilt(text) != text
    (tmp_path / "spoilt.svg").write_text(spoilt(text), encoding="utf-8")
    again = pleatsvg.read(tmp_path / "spoilt.svg", **read)
    with pytest.raises(PleatError) as refusal:
        pleatsvg.pleat(again, kind="pin-tuck", intake="10mm", lap="down", at=["170mm"], along="left side")
    for phrase in phrases:
        assert phrase in str(refusal.value)


def test_a_result_mirrored_in_the_editor_is_turned_over_in_reading(tmp_path: Path) -> None:
    made(tmp_path, drawing(tmp_path, APRON, DOWN), "first.svg", pleats=[PLEATS])
    text = (tmp_path / "first.svg").read_text(encoding="utf-8")
    mirrored = re.sub(r'(<g id="piece")', r'\1 transform="matrix(-1 0 0 1 600 0)"', text, count=1)
    assert mirrored != text
    (tmp_path / "mirrored.svg").write_text(mirrored, encoding="utf-8")
    order = {"kind": "pin-tuck", "intake": "10mm", "lap": "down", "at": ["170mm"], "along": "left side"}
    with pytest.raises(PleatError, match="is to point left"):
        pleatsvg.pleat(pleatsvg.read(tmp_path / "mirrored.svg"), **order)
    made(tmp_path, pleatsvg.read(tmp_path / "mirrored.svg", shows="wrong"), "second.svg", **order)


@pytest.mark.parametrize(
    ("role", "closed"),
    [
        ("fold-line", "{0} Z"),
        ("inner-fold-line", "{0} L {1}"),
        ("placement-line", "M {1} L {2} L {3} Z"),
        ("fold-line", "{0} M {3} L {1}"),
        ("notch", "{0} Z"),
    ],
)
def test_a_line_of_an_earlier_pass_that_an_editor_closed(role: str, closed: str, tmp_path: Path) -> None:
    """Some writers close every path; a line there and back is that line, with a node on the way or not."""
    made(tmp_path, drawing(tmp_path, APRON, DOWN), "first.svg", pleats=[PLEATS])
    text = (tmp_path / "first.svg").read_text(encoding="utf-8")
    order = {"kind": "pin-tuck", "intake": "10mm", "lap": "down", "at": ["170mm"], "along": "left side"}
    (found,) = re.findall(rf'<path class="{role}"[^>]* d="([^"]*)"', text)[:1]
    start, end = ((float(x), float(y)) for x, y in re.findall(r"([\d.]+),([\d.]+)", found))
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    data = closed.format(found, *[f"{x!r},{y!r}" for x, y in (start, middle, end)])
    (tmp_path / "closed.svg").write_text(text.replace(f'd="{found}"', f'd="{data}"', 1), encoding="utf-8")
    pleatsvg.write(pleatsvg.pleat(pleatsvg.read(tmp_path / "first.svg"), **order), tmp_path / "plain.svg")
    made(tmp_path, pleatsvg.read(tmp_path / "closed.svg"), "second.svg", **order)
    if "M {3}" not in closed:
        assert (tmp_path / "second.svg").read_bytes() == (tmp_path / "plain.svg").read_bytes()


def test_the_referee_sees_a_crease_that_misses_a_layer(tmp_path: Path) -> None:
    """A crease bent by 1 mm between two tucks, and one that stops short of the hem, are both found."""
    made(tmp_path, drawing(tmp_path, APRON, DOWN, ACROSS), pleats=[PLEATS, TUCKS | SECOND])
    text = (tmp_path / "flat.svg").read_text(encoding="utf-8")
    (line, _) = of_class(root_of(tmp_path), "fold-line", 1)
    data = str(line.get("d"))
    nodes = data.split(" L ")
    for k, spoilt in (
        (2, nodes[2].replace(nodes[2].split(",")[0], str(float(nodes[2].split(",")[0]) + 1))),
        (len(nodes) - 1, f"{nodes[-1].split(',')[0]},{float(nodes[-1].split(',')[1]) - 2}"),
    ):
        (tmp_path / "spoilt.svg").write_text(
            text.replace(data, " L ".join([*nodes[:k], spoilt, *nodes[k + 1 :]])), encoding="utf-8"
        )
        assert prove_all(tmp_path / "spoilt.svg")["apron"].crease_broken_mm > 0.5
