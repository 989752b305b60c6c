"""What is written on the pages of `tile`: beside what it belongs to, over nothing else, true, and none of it cut off."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from pleatsvg import pleat, read, write
from pleatsvg.api import cards, pages
from pleatsvg.cli.report.tiled import tiled_text
from pleatsvg.paper.body import Body
from pleatsvg.paper.document import Page, Words
from pleatsvg.printing.faces import Setting
from pleatsvg.printing.lettered import set_text
from pleatsvg.printing.tiled import Tiled
from pleatsvg.result.lettering import CAPITALS

FIXTURES = Path(__file__).parents[2] / "fixtures"
WIDTH = Setting().width

Corners = tuple[complex, complex, complex, complex]


def cornered(middle: complex, way: complex, wide: float, high: float) -> Corners:
    a, b = way * wide / 2, 1j * way * high / 2
    return middle - a - b, middle + a - b, middle + a + b, middle - a + b


def of_page(words: Words) -> Corners:
    wide, high = WIDTH(words.text, words.size, words.bold), words.size * CAPITALS
    off = {"start": wide / 2, "middle": 0.0, "end": -wide / 2}[words.anchor]
    return cornered(words.at + words.way * (off - 1j * high / 2), words.way, wide, high)


def of_pattern(made: Tiled, page: Page) -> Iterator[Corners]:
    setting = Setting()
    for placed in page.placed:
        for text in made.document.bodies[placed.body].texts:
            found = set_text(text, setting)
            middle = found.middle * placed.turn + placed.shift
            yield cornered(middle, found.way * placed.turn, found.width, found.height)


def apart(a: Corners, b: Corners) -> bool:
    """Whether a line along a side of one of two boxes parts them, as of boxes that lie farther apart than both are long."""
    if abs(a[0] + a[2] - b[0] - b[2]) > abs(a[2] - a[0]) + abs(b[2] - b[0]):
        return True
    for box in (a, b):
        for along in (box[1] - box[0], box[2] - box[1]):
            one, other = ([(z / along).real for z in corners] for corners in (a, b))
            if max(one) <= min(other) or max(other) <= min(one):
                return True
    return False


def points_of(made: Tiled, page: Page, css: str | None = None) -> np.ndarray:
    """Points 0.5 mm apart along what is drawn with a line."""
    return on_page(page, [along(body, css) for body in made.document.bodies])


def on_page(page: Page, points: list[np.ndarray]) -> np.ndarray:
    """The points along each body where they lie as it is placed on a page."""
    return np.concatenate([points[placed.body] * placed.turn + placed.shift for placed in page.placed])


def along(body: Body, css: str | None = None) -> np.ndarray:
    found: list[np.ndarray] = []
    for shape in body.shapes:
        if shape.look.stroke is None or css not in (None, shape.shape.css):
            continue
        for stroke in shape.strokes:
            for segment in stroke.segments:
                nodes = np.array(segment)
                n = max(2, int(abs(nodes[-1] - nodes[0]) * 2))
                t = np.linspace(0.0, 1.0, n)
                row = nodes[0] * (1 - t) + nodes[-1] * t
                if len(nodes) == 4:
                    row = (
                        nodes[0] * (1 - t) ** 3
                        + 3 * nodes[1] * (1 - t) ** 2 * t
                        + 3 * nodes[2] * (1 - t) * t**2
                        + nodes[3] * t**3
                    )
                found.append(row)
    return np.concatenate(found)


def is_rung(words: Words) -> bool:
    first, dash, second = words.text.partition("-")
    return bool(dash) and all(part[:1].isalpha() and part[1:].isdigit() for part in (first, second))


@pytest.fixture(scope="module")
def skirt(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = pleat(read(FIXTURES / "skirt-front.svg"), kind="knife", intake="6cm", lap="left", allowance="15mm")
    file = tmp_path_factory.mktemp("pages") / "skirt.svg"
    write(made, file)
    return file


@pytest.fixture(scope="module")
def tiled(skirt: Path) -> Tiled:
    return pages([skirt])


def test_letters_of_rungs_lie_on_no_line_and_no_words() -> None:
    made = pages([FIXTURES / "folded" / "kilt-apron-flat.svg"])
    lettered = 0
    drawn = [along(body) for body in made.document.bodies]
    for page in made.document.pages[1:]:
        letters = [of_page(words) for words in page.words if is_rung(words)]
        others = [of_page(words) for words in page.words if not is_rung(words)] + [*of_pattern(made, page)]
        lettered += len(letters)
        assert all(apart(a, b) for a, b in itertools.combinations(letters, 2)), page.name
        assert all(apart(a, b) for a in letters for b in others), page.name
        points = on_page(page, drawn)
        points = points[(np.abs(points.real) <= page.width) & (np.abs(points.imag) <= page.height)]
        assert len(points) > 100
        for a in letters:
            x, y = ((points - a[0]) / (a[1] - a[0])).real, ((points - a[0]) / (a[3] - a[0])).real
            assert not np.any((x > 0) & (x < 1) & (y > 0) & (y < 1)), page.name
    assert lettered > 300


def test_letters_of_the_joins_about_a_corner_keep_clear_of_one_another(tiled: Tiled, skirt: Path) -> None:
    for made in (tiled, pages([skirt], paper="letter", turn=0)):
        for page in made.document.pages:
            letters = [of_page(words) for words in page.words if is_rung(words)]
            assert all(apart(a, b) for a, b in itertools.combinations(letters, 2)), page.name


def test_the_name_of_a_balance_line_stands_on_a_page_once(tiled: Tiled) -> None:
    named = 0
    for page in tiled.document.pages[1:]:
        (placed,) = page.placed
        left, top, right, bottom = placed.clip
        own = [words.text for words in page.words if words.text.casefold() == "hip"]
        there = []
        for text in tiled.document.bodies[0].texts:
            at = set_text(text, Setting()).middle * placed.turn + placed.shift
            if text.text.words == "HIP" and left + 10 < at.real < right - 10 and top + 10 < at.imag < bottom - 10:
                there.append(at)
        assert set(own) <= {"HIP"}
        assert len(own) + bool(there) <= 1
        named += len(own) + bool(there)
    assert named >= 3


def test_a_name_stands_nearer_its_own_line_than_another(tiled: Tiled) -> None:
    names = {"CUT": "cut-line", "SEAM": "seam-line", "BASTE": "baste-line"}
    seen = set()
    for page in tiled.document.pages[1:]:
        for words in page.words:
            if words.text not in names:
                continue
            box = of_page(words)
            middle = (box[0] + box[2]) / 2
            own = np.abs(points_of(tiled, page, names[words.text]) - middle).min()
            for other in {*names.values()} - {names[words.text]}:
                assert own < np.abs(points_of(tiled, page, other) - middle).min(), f"{words.text} on {page.name}"
            seen.add(words.text)
    assert seen == {*names}


def test_the_foot_ends_on_the_page_whatever_it_has_to_say(tmp_path: Path) -> None:
    half = (FIXTURES / "gallery" / "half-inverted-flat.svg").read_text(encoding="utf-8")
    long = tmp_path / "half.svg"
    name = "wardrobe room, winter piece, second cast, underskirt, half front and half back"
    long.write_text(half.replace("half-skirt", name), encoding="utf-8")
    for options in ({}, {"scale": "1:4", "mirror": True, "open_fold": True}):
        made = pages([long], **options)
        page = made.document.pages[-1]
        foot = [words for words in page.words if words.at.imag > 297 - 18]
        assert max(corner.real for words in foot for corner in of_page(words)) <= 200.0
        said = " | ".join(words.text for words in foot)
        assert f"page {len(made.document.pages)} of {len(made.document.pages)}: wardrobe" in said
        for remark in made.order.asked.remarks:
            assert remark in said


def test_covers_are_counted_and_only_the_first_is_printed_alone(skirt: Path) -> None:
    made = pages([skirt, FIXTURES / "gallery" / "half-inverted-flat.svg"], paper="letter")
    covers = [page for page in made.document.pages if not page.placed]
    assert len(covers) > 1
    rest = len(made.document.pages) - len(covers)
    first = " ".join(words.text for words in covers[0].words)
    assert f"{rest} pages on letter paper, and {len(covers)} covers, of which this is the first." in first
    assert [any("print this page first" in words.text for words in page.words) for page in covers] == [
        True,
        *[False] * (len(covers) - 1),
    ]
    assert "print the first page first, alone" in tiled_text(made, "pages.pdf")


def test_the_key_tells_of_no_line_that_is_left_out(tiled: Tiled, skirt: Path) -> None:
    whole, bare = (
        " ".join(words.text for words in made.document.pages[0].words)
        for made in (tiled, pages([skirt], without=("inner folds", "Basting line")))
    )
    for words in ("INNER FOLD: folds the other way", "BASTE: baste the folded pleats"):
        assert words in whole
        assert words not in bare
    assert "PLACE: placement line" in bare
    assert "LEFT OUT" not in whole
    assert "LEFT OUT: inner folds, Basting line." in bare


@pytest.mark.parametrize("scale", ["1:2", "1:4", "1:5"])
def test_rows_that_stand_close_stay_apart_where_they_are_printed_smaller(scale: str, skirt: Path) -> None:
    stacked = 0
    for file in (skirt, FIXTURES / "folded" / "kilt-apron-flat.svg", FIXTURES / "gallery" / "inverted-flat.svg"):
        rows = []
        for text in pages([file], scale=scale).document.bodies[0].texts:
            if text.text.css in ("edge-label", "piece-label"):
                found = set_text(text, Setting())
                rows.append((text.text.words, cornered(found.middle, found.way, found.width, found.height)))
        stacked += sum(words in ("TOP", "HEM") for words, _ in rows)
        for (one, a), (other, b) in itertools.combinations(rows, 2):
            assert apart(a, b), f"{one} and {other}"
    assert stacked


def test_a_card_for_a_piece_with_a_long_name_is_told_on_the_page(tmp_path: Path) -> None:
    name = "wardrobe room, winter piece, second cast, underskirt of the parlourmaid, front, left and right, lined"
    drawn = (FIXTURES / "skirt-front.svg").read_text(encoding="utf-8").replace("chorus skirt front", name)
    (tmp_path / "front.svg").write_text(drawn, encoding="utf-8")
    write(pleat(read(tmp_path / "front.svg"), kind="knife", intake="6cm", lap="left"), tmp_path / "flat.svg")
    made, _ = cards(tmp_path / "flat.svg")
    for page in made.document.pages:
        assert any("wardrobe room, winter piece" in words.text for words in page.words)
        assert all(0 <= corner.real <= page.width - 10 for words in page.words for corner in of_page(words))
