"""`card` and `sample`: as wide as the pleat, in its symbols, never wider inside the fold than is seen and hidden."""

from __future__ import annotations

import itertools
import re
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from pleatsvg import pleat, read, write
from pleatsvg.api import cards, fold, sample
from pleatsvg.card.cards import Card
from pleatsvg.drawing.shown.read_shown import shown_from
from pleatsvg.errors import FitError, PleatError, RequestError
from pleatsvg.printing.faces import Setting
from pleatsvg.printing.lettered import set_text
from pleatsvg.result.shown import ShownShape
from tests.drawings.fitted_pieces import fitted, front
from tests.drawings.paper import drawing
from tests.drawings.pieces import SQUARE

FIXTURES = Path(__file__).parents[2] / "fixtures"
GALLERY = FIXTURES / "gallery"


def of(name: str) -> tuple[Card, ...]:
    return cards(GALLERY / f"{name}-flat.svg")[0].cards


def panel(folder: Path, at: list[int], **options: object) -> Path:
    """A square panel with upright slash lines so far from its left side, pleated."""
    lines = {f"slash {k}": (complex(300 + x, 100), complex(300 + x, 500)) for k, x in enumerate(at, 1)}
    (folder / "panel.svg").write_text(drawing(SQUARE, lines))
    flat = folder / "flat.svg"
    write(pleat(read(folder / "panel.svg"), **options), flat, force=True)
    return flat


def test_it_is_as_wide_as_fold_line_to_placement_line(tmp_path: Path) -> None:
    # D From fold line to placement line: a knife pleat's whole intake, half that of a box or inverted pleat; of a tuck from
    # stitching to fold its depth.
    for options, width in (
        ({"kind": "knife", "lap": "left"}, 60.0),
        ({"kind": "knife", "lap": "right"}, 60.0),
        ({"kind": "inverted"}, 30.0),
        ({"kind": "box", "face": "4cm"}, 30.0),
        ({"kind": "tuck", "lap": "left"}, 30.0),
    ):
        flat = panel(tmp_path, [80, 160, 240], intake="6cm", **options)
        (card,) = cards(flat)[0].cards
        assert card.numbers == (1, 2, 3)
        assert card.widths == pytest.approx((width, width), abs=0.01)
        assert not card.tapers


@pytest.mark.parametrize(
    ("options", "tab", "press"),
    [
        # What is seen between folds 80 mm apart; with 6 cm of intake the whole card goes in (30 + 80 > 60).
        ({"kind": "knife", "lap": "left", "intake": "6cm"}, 80.0, None),
        ({"kind": "knife", "lap": "right", "intake": "6cm"}, 80.0, None),
        # R spacing + depth at most (shared rules of the trade, "card"): 80 + 90 of 180.
        ({"kind": "knife", "lap": "left", "intake": "18cm"}, 80.0, 170.0),
        ({"kind": "box", "face": "3cm", "intake": "8cm"}, 30.0, None),
        ({"kind": "box", "face": "1cm", "intake": "8cm"}, 10.0, 30.0),
        # A tuck's other stitching lies one depth on, then the gap.
        ({"kind": "tuck", "lap": "left", "intake": "4cm"}, 100.0, None),
    ],
)
def test_the_next_pleat_is_stepped_off_and_no_ridge_is_pressed(
    options: dict[str, str], tab: float, press: float | None, tmp_path: Path
) -> None:
    flat = panel(tmp_path, [100, 180], **options)
    (card,) = cards(flat)[0].cards
    assert card.tab is not None
    assert card.tab == pytest.approx((tab, tab), abs=0.01)
    assert card.press == (pytest.approx((press, press), abs=0.01) if press is not None else None)


def test_a_tapered_card_is_as_long_as_the_pleat_and_in_parts() -> None:
    (sheet, data) = cards(FIXTURES / "folded" / "kilt-apron-flat.svg")
    (card,) = sheet.cards
    assert not card.tapers
    made, data = cards(kind="knife", intake="6cm", hem_intake="10cm", length="60cm")
    (card,) = made.cards
    assert (card.length, card.widths) == (pytest.approx(600), pytest.approx((60, 100)))
    assert len(made.document.bodies) == 3
    text = " ".join(" ".join(page.extract_text().split()) for page in PdfReader(BytesIO(data)).pages)
    for k in range(1, 4):
        assert f"part {k} of 3: tape the parts together" in text
    # Each part begins as wide as the one before ends.
    edges = []
    for body in made.document.bodies:
        by = {shape.shape.css: shape.strokes[0].segments[0] for shape in body.shapes if shape.shape.css != "card-sign"}
        near, far = by["card-placement-line"], by["card-fold-line"]
        edges.append((abs(far[0] - near[0]), abs(far[-1] - near[-1])))
    assert edges[0][0] == pytest.approx(60)
    assert edges[-1][1] == pytest.approx(100)
    assert all(a[1] == pytest.approx(b[0]) for a, b in itertools.pairwise(edges))


@pytest.mark.parametrize("hem_intake", ["8cm", "10cm", "12cm"])
def test_words_on_a_card_lie_on_no_line_of_it(hem_intake: str) -> None:
    made, _ = cards(kind="knife", intake="6cm", hem_intake=hem_intake, spacing="4cm", length="60cm")
    setting = Setting()
    seen = 0
    for body in made.document.bodies:
        lines = [stroke.segments[0] for shape in body.shapes for stroke in shape.strokes if len(stroke.segments) == 1]
        points = np.concatenate([np.linspace(line[0], line[-1], 1000) for line in lines])
        for text in body.texts:
            words = set_text(text, setting)
            off = (points - words.middle) / words.way
            on = (np.abs(off.real) < words.width / 2) & (np.abs(off.imag) < words.height / 2)
            assert not on.any(), text.text.words
            seen += 1
    assert seen > 12


def test_a_pleat_that_begins_in_a_point_has_one_too(tmp_path: Path) -> None:
    """Nothing wide at its top, the card was a division by nothing there; with the card's tab, and where a part is pressed."""
    for options in ({"kind": "knife", "lap": "left"}, {"kind": "inverted"}, {"kind": "tuck", "lap": "right"}):
        file = panel(tmp_path, [120, 150], intake="0mm", hem_intake="5cm", **options)
        sheet = cards(file)[0]
        assert [card.widths[0] for card in sheet.cards] == [pytest.approx(0, abs=1e-5)] * len(sheet.cards)


def test_the_edges_bear_the_symbols_of_the_pattern() -> None:
    made, data = cards(GALLERY / "knife-flat.svg", svg=True)
    assert len(made.document.pages) == 1
    drawn = [item for item in shown_from(data, "card").body if isinstance(item, ShownShape)]
    looks = {shape.css: shape.look for shape in drawn}
    pattern = {
        shape.css: shape.look
        for shape in shown_from((GALLERY / "knife-flat.svg").read_bytes(), "knife").body
        if isinstance(shape, ShownShape)
    }
    for css in ("fold-line", "placement-line"):
        card = looks[f"printed-card-{css}"]
        assert (card.dashes, card.width) == (pattern[css].dashes, pattern[css].width)
        assert card.stroke == pytest.approx(pattern[css].stroke, abs=0.01)
    assert sum(shape.css == "printed-card-sign" for shape in drawn) == 2 * 2 + 2


def test_every_different_pleat_has_one_and_small_ones_are_told() -> None:
    made, _ = cards(GALLERY / "mixed-flat.svg")
    assert [card.numbers for card in made.cards] == [(1, 5), (3,)]
    assert made.without == (2, 4)
    with pytest.raises(FitError, match=r"no pin tuck that a card can be cut for.*Mark such pin tucks with a ruler"):
        cards(GALLERY / "pin-tuck-flat.svg")
    double = of("double-inverted")
    assert [card.widths[0] for card in double] == pytest.approx([40, 80], abs=0.01)
    assert [re.search(r"FOLD 1\.\d", card.about)[0] for card in double] == ["FOLD 1.2", "FOLD 1.1"]  # type: ignore[index]


def test_a_card_larger_than_the_paper_goes_over_several_pages() -> None:
    made, _ = cards(kind="knife", intake="50cm", spacing="4cm")
    assert made.tiled == 1
    assert [page.name for page in made.document.pages if page.placed][:2] == ["A1", "A2"]


@pytest.mark.parametrize(
    ("lengths", "said"),
    [
        ({}, "without a kind of pleat"),
        ({"kind": "pleat", "intake": "6cm"}, "kind is 'pleat'; it is one of knife"),
        ({"kind": "knife"}, "intake is missing"),
        ({"kind": "knife", "intake": "6cm", "depth": "3cm"}, "both given"),
        ({"kind": "knife", "intake": "6"}, "without a unit"),
        ({"kind": "knife", "intake": "-6cm"}, "more than nothing"),
        ({"kind": "pin-tuck", "intake": "4mm"}, "cannot be cut"),
        ({"kind": "knife", "intake": "6cm", "hem_intake": "8cm"}, 'Add length="60cm"'),
        ({"kind": "knife", "intake": "6cm", "hem_intake": "90cm", "length": "10cm"}, "wider than long"),
        ({"kind": "knife", "intake": "6cm", "count": "3"}, "'count' is not known"),
    ],
)
def test_lengths_that_make_no_card_are_refused(lengths: dict[str, str], said: str) -> None:
    with pytest.raises(RequestError, match=re.escape(said)):
        cards(**lengths)
    if "kind" in lengths:
        with pytest.raises(RequestError, match=r"is given beside a result|is not known"):
            cards(GALLERY / "knife-flat.svg", **lengths)


@pytest.mark.parametrize(
    "name", ["knife", "box", "inverted", "double-inverted", "tuck", "pin-tuck", "kick", "half-inverted"]
)
def test_a_sample_has_three_pleats_of_the_same_figures(name: str, tmp_path: Path) -> None:
    made, data = sample(GALLERY / f"{name}-flat.svg")
    file = tmp_path / "sample.svg"
    file.write_bytes(data)
    (proof,) = fold(file)
    assert proof.holds
    (of_piece,) = fold(GALLERY / f"{name}-flat.svg")
    first = of_piece.pleats[0]
    assert len(proof.pleats) == 3
    for one in proof.pleats:
        assert one.kind == {"kick": "inverted"}.get(first.kind, first.kind)
        whole = 2 if name == "half-inverted" else 1
        assert one.intake.top == pytest.approx((first.intake.top or first.intake.hem) * whole, abs=0.02)
        assert one.stack == first.stack
        if name == "box":
            assert one.face.top == pytest.approx(first.face.top, abs=0.02)
    if name == "knife":
        assert proof.pleats[0].spacing.top == pytest.approx(first.spacing.top, abs=0.02)
        assert [one.lap for one in proof.pleats] == [first.lap] * 3
    assert f"parted by {made.folds} folds" in data.decode()
    assert "--fold-loss" in data.decode()
    assert "Cut along the outline: a sample needs no allowance." in data.decode()
    assert "add yours" not in data.decode()
    # What it is to measure when it is folded.
    edges = proof.passes[-1].finished.box
    assert edges[2] - edges[0] == pytest.approx(made.width, abs=0.001)


def test_a_sample_of_several_kinds_has_each_once() -> None:
    made, data = sample(GALLERY / "mixed-flat.svg", pdf=True)
    assert [trial.kind for trial in made.trials] == ["knife", "pin-tuck", "inverted"]
    text = " ".join(PdfReader(BytesIO(data)).pages[0].extract_text().split())
    assert "It measures: ____" in text


def test_a_sample_of_shaped_pleats_has_what_they_take_up_below(tmp_path: Path) -> None:
    # Each takes up something else at the top; folded to be tried is the one pleat that all are where their lines bend.
    names = ["slash 1 weight 2", "slash 2", "slash 3", "slash 4 weight 0"]
    options = {"kind": "box", "depth": "15mm", "fit_waist": "45cm", "hip": "hip"}
    _, out = fitted(tmp_path, front(names=names), **options)
    made, _ = sample(out)
    assert [(trial.kind, trial.intake, trial.face) for trial in made.trials] == [
        ("box", pytest.approx(60, abs=0.3), pytest.approx(30, abs=0.3))
    ]


@pytest.mark.parametrize("stack", [{}, {"stack": 2}])
def test_both_cards_of_a_shaped_pleat_tell_one_width_where_it_bends(tmp_path: Path, stack: dict[str, int]) -> None:
    # Strongly leaning: the hidden lines of such a pleat bend up to 4 mm beside its level, which is no other intake.
    text = '<path id="seam" d="M60,50H500V700H60Z"/><path id="hip" d="M60,200H500"/>'
    text = f'<svg xmlns="http://www.w3.org/2000/svg" width="700mm" height="900mm" viewBox="0 0 700 900">{text}</svg>'
    asked = {"kind": "inverted", "count": 3, "fit_waist": "32cm", "hip": "hip"}
    _, out = fitted(tmp_path, text, intake="16cm", **asked, **stack)
    (proof,) = fold(out)
    assert [pleat.intake.hip for pleat in proof.pleats] == pytest.approx([160] * 3, abs=1e-4)
    made, _ = cards(out)
    above, below = ([card for card in made.cards if card.zone == zone] for zone in ("above", "below"))
    for one, other in zip(above, below, strict=True):
        assert one.numbers == other.numbers == (1, 2, 3)
        assert (one.width_words.split(", ")[1], other.width_words) in (
            ("4 cm at the hip", "4 cm wide"),
            ("8 cm at the hip", "8 cm wide"),
        )
        assert "16 cm at the hip" in one.about
        for card in (one, other):
            assert card.press is None or all(
                deep < wide + 1e-6 for deep, wide in zip(card.press, card.widths, strict=True)
            )
            assert card.about.endswith(f"FOLD 1.{card.layer} and its like") is bool(stack)


def test_equal_pleats_of_a_fan_share_their_cards(tmp_path: Path) -> None:
    """Lines that slant more are longer by half a millimetre: two cards that told the same in every word."""
    text = '<path id="seam" d="M200,80H800L860,750H140Z"/><path id="hip" d="M182,280H818"/>'
    text = f'<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" height="850mm" viewBox="0 0 1000 850">{text}</svg>'
    asked = {"kind": "knife", "lap": "right", "count": 14, "ends": "6cm", "run": "fan", "intake": "8cm"}
    _, out = fitted(tmp_path, text, fit_waist="54cm", hip="hip", **asked)
    made, data = cards(out)
    assert [(card.zone, card.numbers) for card in made.cards] == [
        ("above", tuple(range(1, 15))),
        ("below", tuple(range(1, 15))),
    ]
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(data)).pages).split())
    assert "use the tabs at the hip alone" in text


def test_a_result_that_does_not_fold_true_is_no_measure(tmp_path: Path) -> None:
    text = (GALLERY / "knife-flat.svg").read_text()
    spoilt = tmp_path / "spoilt.svg"
    spoilt.write_text(re.sub(r'(class="fold-line" d="M )(\d+)', r"\g<1>1\g<2>", text, count=1))
    for of_it in (cards, sample):
        with pytest.raises(PleatError, match=r"does not fold back true|cannot be folded|fold line"):
            of_it(spoilt)
