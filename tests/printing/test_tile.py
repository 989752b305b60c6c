"""`tile`: the pages of a result, as a general PDF reader sees them, as they are proven, and what is refused."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from pypdf import PageObject, PdfReader
from pypdf.generic import ContentStream

from pleatsvg.api import pages, tile
from pleatsvg.drawing.read_result import read_result
from pleatsvg.errors import DrawingError, FitError, OutputError, PleatError, ProofError, RequestError
from pleatsvg.paper.inks import IN_BLACK
from pleatsvg.paper.names import SIZE
from pleatsvg.printing.pdf import laid_pages
from pleatsvg.printing.pdf_read import read_pdf
from pleatsvg.printing.proof import LaidPage, prove_pages
from pleatsvg.printing.tiled import Tiled
from pleatsvg.result.classes import CLASSES

GALLERY = Path(__file__).parents[2] / "fixtures" / "gallery"
KNIFE, HALF, APART = (GALLERY / f"{name}-flat.svg" for name in ("knife", "half-inverted", "underlay-apart"))


@pytest.fixture(scope="module")
def knife() -> Tiled:
    return pages([KNIFE])


@pytest.fixture(scope="module")
def reader(knife: Tiled) -> PdfReader:
    return PdfReader(BytesIO(knife.files[0][1]))


def words_of(page: PageObject) -> str:
    return " ".join(page.extract_text().split())


def test_a_general_reader_sees_pages_true_to_size(reader: PdfReader) -> None:
    assert len(reader.pages) == 4
    for page in reader.pages:
        size = [float(side) / 72 * 25.4 for side in page.mediabox[2:]]
        assert size == pytest.approx([210, 297], abs=0.001)
        assert page.get("/Rotate", 0) == 0
    preferences = reader.trailer["/Root"]["/ViewerPreferences"]
    assert preferences["/PrintScaling"] == "/None"


def test_fonts_are_embedded(reader: PdfReader) -> None:
    fonts = {
        name: font.get_object()
        for page in reader.pages
        for name, font in page["/Resources"]["/Font"].get_object().items()
    }
    assert len(fonts) >= 2
    assert all("/FontFile2" in font["/FontDescriptor"].get_object() for font in fonts.values())


def lines_on(page: PageObject, reader: PdfReader) -> list[list[complex]]:
    """The nodes of all straight runs on a page and its forms in mm, y down: a general reader's operators, followed here."""
    found: list[list[complex]] = []
    height = float(page.mediabox[3])

    def follow(operations: list[tuple[list[object], bytes]], now: np.ndarray) -> None:
        kept = []
        for operands, operator in operations:
            if operator == b"q":
                kept.append(now)
            elif operator == b"Q":
                now = kept.pop()
            elif operator == b"cm":
                a, b, c, d, e, f = map(float, operands)  # type: ignore[arg-type]
                now = now @ np.array([[a, c, e], [b, d, f], [0, 0, 1]])
            elif operator == b"Do":
                form = page["/Resources"]["/XObject"][operands[0]]
                follow(ContentStream(form, reader).operations, now)
            elif operator in (b"m", b"l"):
                x, y, _ = now @ [*map(float, operands), 1.0]  # type: ignore[arg-type]
                if operator == b"m":
                    found.append([])
                found[-1].append(complex(x, height - y) / 72 * 25.4)

    follow(ContentStream(page["/Contents"], reader).operations, np.eye(3))
    return found


def test_the_square_and_the_bars_are_what_they_say(reader: PdfReader) -> None:
    runs = lines_on(reader.pages[0], reader)
    sides = [[abs(b - a) for a, b in itertools.pairwise(run)] for run in runs]
    assert sum(row[:4] == pytest.approx([50] * 4, abs=0.001) for row in sides) == 1
    bars = [run[1] - run[0] for run, row in zip(runs, sides, strict=True) if row == pytest.approx([100], abs=0.001)]
    assert sorted([round(abs(bar.real)) for bar in bars]) == [0, 100]
    assert "50 mm square: measure it on the print" in words_of(reader.pages[0])


def test_a_general_reader_finds_the_fold_lines_where_the_pages_lie(knife: Tiled, reader: PdfReader) -> None:
    (piece,) = read_result(KNIFE).pieces
    wanted = [line.ends for line in piece.by_role("fold-line")]
    for page, seen in zip(knife.document.pages[1:], reader.pages[1:], strict=True):
        (placed,) = page.placed
        runs = lines_on(seen, reader)
        for start, end in wanted:
            a, b = (z * placed.turn + placed.shift for z in (start, end))
            assert min(max(abs(run[0] - a), abs(run[-1] - b)) for run in runs if run) < 0.01


def test_pages_say_who_they_are_and_what_crosses_them(knife: Tiled, reader: PdfReader) -> None:
    cover, *others = [words_of(page) for page in reader.pages]
    assert "Print this page first, alone, at actual size (100 %), not 'fit to page'." in cover
    assert "FOLD: fold line, a cross" in cover
    for number, (page, words) in enumerate(zip(knife.document.pages[1:], others, strict=True), 2):
        assert re.search(rf"{page.name} page {number} of 4: panel", words)
    # Each line that has 10 mm and more in a window has its name there, whole, from the drawing or from the page.
    (body,) = knife.document.bodies
    for page, words in zip(knife.document.pages[1:], others, strict=True):
        (placed,) = page.placed
        left, top, right, bottom = placed.clip
        for shape in body.shapes:
            tag = shape.shape.tag
            if shape.shape.css not in ("fold-line", "inner-fold-line", "placement-line") or tag is None:
                continue
            start, end = (
                z * placed.turn + placed.shift
                for z in (shape.strokes[0].segments[0][0], shape.strokes[0].segments[-1][-1])
            )
            inside = [
                k
                for k in range(101)
                if left + 1.5 < (z := start + (end - start) * k / 100).real < right - 1.5
                and top + 1.5 < z.imag < bottom - 1.5
            ]
            if len(inside) * abs(end - start) / 100 > 10:
                name = {"fold-line": "FOLD {}", "inner-fold-line": "INNER FOLD {}", "placement-line": "PLACE {} HERE"}
                assert name[shape.shape.css].format(tag.pleat) in words
    assert SIZE >= 4.2


def test_the_same_pages_are_the_same_bytes(knife: Tiled) -> None:
    again = pages([KNIFE]).files[0][1]
    assert again == knife.files[0][1]
    assert b"/CreationDate (D:2000" in again


@pytest.mark.parametrize(
    ("result", "options"),
    [
        (KNIFE, {"format": "svg"}),
        (KNIFE, {"overlap": "0mm", "paper": "letter", "margin": "0mm"}),
        (KNIFE, {"scale": "1:4", "mirror": True, "ink": "black"}),
        (KNIFE, {"paper": "one"}),
        (HALF, {}),
        (HALF, {"open_fold": True, "turn": 30}),
        (APART, {"without": ["inner folds", "Lettering"], "paper": "roll:40cm"}),
    ],
)
def test_results_are_printed_true(result: Path, options: dict[str, object]) -> None:
    made = pages([result], **options)
    assert made.worst < 0.001


def test_results_share_pages() -> None:
    apart = pages([KNIFE, HALF], turn=0)
    shared = pages([KNIFE, HALF], together=True, turn=0)
    count = [sum(bool(page.placed) for page in made.document.pages) for made in (apart, shared)]
    assert count[1] < count[0]
    assert next(len(page.placed) for page in shared.document.pages if page.placed) == 2
    # Where they take no fewer so, each has pages of its own.
    kick = GALLERY / "kick-flat.svg"
    assert len(pages([KNIFE, kick], together=True, turn=0).groups) == 2
    names = [page.name for page in apart.document.pages]
    assert len(set(names)) == len(names)


# The proof itself: it must see what is not there, what is moved, and what does not fold.


def read_back(made: Tiled) -> list[LaidPage]:
    return laid_pages(read_pdf(made.files[0][1]))


def test_a_moved_line_is_seen(knife: Tiled) -> None:
    (body,), *others = read_back(knife)
    for off, seen in ((0.011, True), (0.005, False)):
        points = body.points.copy()
        points[7] += off
        pages_read = [(body._replace(points=points),), *others]
        if seen:
            with pytest.raises(ProofError, match=r"miss the result by 0\.011 mm; the limit is 0\.01 mm"):
                prove_pages(knife.document, pages_read, [read_result(KNIFE)])
        else:
            assert prove_pages(knife.document, pages_read, [read_result(KNIFE)]) == pytest.approx(off, abs=1e-5)


def test_a_missing_line_a_missing_page_and_a_narrow_window_are_seen(knife: Tiled) -> None:
    (body,), *others = read_back(knife)
    lost = sum(sum(counts) for _, counts in body.structure[0])
    without = body._replace(structure=body.structure[1:], points=body.points[lost:])
    with pytest.raises(ProofError, match="holds other lines than the result"):
        prove_pages(knife.document, [(without,), *others], [read_result(KNIFE)])
    with pytest.raises(ProofError, match="are 2 where 3 were laid out"):
        prove_pages(knife.document, others, [read_result(KNIFE)])
    left, top, right, bottom = body.window
    narrow = body._replace(window=(left, top, right - 10.5, bottom))
    with pytest.raises(ProofError, match="leave out a part of a"):
        prove_pages(knife.document, [(narrow,), *others], [read_result(KNIFE)])


def test_a_page_of_the_file_itself_that_lies_elsewhere_is_seen(knife: Tiled) -> None:
    """A page moved by a tenth of a point in the bytes of the file is not what was laid out."""
    data = knife.files[0][1]
    read = read_pdf(data)
    (form,) = read.pages[2].forms
    moved = form._replace(matrix=form.matrix._replace(e=form.matrix.e + 0.1))
    changed = replace(read, pages=(*read.pages[:2], replace(read.pages[2], forms=(moved,)), *read.pages[3:]))
    with pytest.raises(ProofError, match=r"miss the result by 0\.035 mm"):
        prove_pages(knife.document, laid_pages(changed), [read_result(KNIFE)])


def test_bytes_that_are_not_ours_are_not_taken_as_read(knife: Tiled) -> None:
    data = knife.files[0][1]
    for spoilt in (data[:-200], data.replace(b"endobj", b"endbob", 4), b"%PDF-1.3 nothing"):
        with pytest.raises(ProofError, match="could not be read back"):
            read_pdf(spoilt[: len(spoilt) // 2] + spoilt)


# Results that are not as they were written.


def changed(folder: Path, *swaps: tuple[str, str]) -> Path:
    text = KNIFE.read_text()
    for old, new in swaps:
        assert re.search(old, text)
        text = re.sub(old, new, text, count=1)
    made = folder / "changed.svg"
    made.write_text(text)
    return made


def test_a_result_that_no_longer_folds_true_is_not_printed(tmp_path: Path) -> None:
    spoilt = changed(tmp_path, (r'(class="fold-line" d="M )(\d+)', r"\g<1>1\g<2>"))
    with pytest.raises(PleatError, match=r"does not fold back true|cannot be folded|fold line"):
        tile([spoilt], tmp_path / "pages.pdf")
    assert not (tmp_path / "pages.pdf").exists()


def test_what_is_hidden_is_not_printed_and_told(tmp_path: Path) -> None:
    hidden = changed(tmp_path, (r'(<g id="inner-folds"[^>]*)>', r'\1 style="display:none">'))
    made = pages([hidden])
    assert "inner-fold-line" not in {shape.shape.css for shape in made.document.bodies[0].shapes}
    assert "finished-line" not in {shape.shape.css for shape in made.document.bodies[0].shapes}
    assert any("Hidden in 'changed.svg', and so not printed: 'Inner folds'." in note for note in made.notes)


def test_layers_are_left_out_by_name_with_their_words() -> None:
    body = pages([KNIFE], without="inner folds").document.bodies[0]
    assert "inner-fold-line" not in {shape.shape.css for shape in body.shapes}
    assert "inner-label" not in {text.text.css for text in body.texts}
    assert "fold-label" in {text.text.css for text in body.texts}
    with pytest.raises(RequestError, match=r"without names 'inner fold lines'; .*'inner folds'"):
        pages([KNIFE], without="inner fold lines")


def test_a_person_s_own_shapes_and_words_are_printed_as_drawn(tmp_path: Path) -> None:
    own = (
        '<g inkscape:label="mine"><path d="M 60 200 H 90 V 230 Z M 70 205 H 80 V 215 Z" fill="tomato" fill-rule="evenodd" '
        'stroke="rgb(0,128,0)" stroke-width="2" stroke-dasharray="4 2" stroke-opacity="0.5"/>'
        '<text x="60" y="250" font-size="8" font-weight="bold">Fundus \u0416\u0416<tspan x="60" dy="1.2em">zwei</tspan>'
        "</text></g></svg>"
    )
    made = pages([changed(tmp_path, ("</svg>", own))])
    body = made.document.bodies[0]
    shape = body.shapes[-1]
    assert len(shape.strokes) == 2
    assert shape.look.fill == pytest.approx((1.0, 99 / 255, 71 / 255))
    assert (shape.look.width, shape.look.dashes, shape.look.even_odd) == (2.0, (4.0, 2.0), True)
    chunks = body.texts[-1].text.chunks
    assert [(one.x, one.y, one.spans[0].words, one.spans[0].bold) for one in chunks] == [
        (60.0, 250.0, "Fundus \u0416\u0416", True),
        (60.0, pytest.approx(259.6), "zwei", True),
    ]
    page = next(page for page in PdfReader(BytesIO(made.files[0][1])).pages if "zwei" in words_of(page))
    assert "Fundus" in words_of(page)


def test_a_white_area_takes_no_pages(tmp_path: Path) -> None:
    """An editor's page under the piece was to be printed, sheet by sheet."""
    page = '</style><rect x="-400" y="-300" width="3000" height="2000" fill="#fff"/>'
    made = pages([changed(tmp_path, ("</style>", page))])
    assert made.document.bodies[0].shapes[0].look.stroke is None
    assert sum(bool(one.placed) for one in made.document.pages) == 3


def test_letters_that_no_face_has_are_told_and_the_rest_is_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pleatsvg.printing.faces._face_with", lambda code: None)
    own = '<text x="60" y="250" font-size="8">Rock \u0416\u0416 vorn</text></svg>'
    made = pages([changed(tmp_path, ("</svg>", own))])
    (note,) = [note for note in made.notes if "No face of type" in note]
    assert "has the letters \u0416;" in note
    assert any("Rock ?? vorn" in words_of(page) for page in PdfReader(BytesIO(made.files[0][1])).pages)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "empty"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='9mm'/>", "is not a result of pleatsvg"),
        (b"no drawing", "cannot be read|is not|no SVG"),
    ],
)
def test_what_is_no_result_is_refused(data: bytes, said: str, tmp_path: Path) -> None:
    file = tmp_path / "some.svg"
    file.write_bytes(data)
    with pytest.raises(DrawingError, match=said):
        pages([file])


def test_what_cannot_be_opened_out_is_refused() -> None:
    with pytest.raises(FitError, match="has no edge that is cut on the fold"):
        pages([KNIFE], open_fold=True)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ({"overlap": "90mm"}, r"overlap is 90mm; pages may run on"),
        ({"overlap": "-1mm"}, r"overlap is -1mm; pages may run on"),
        ({"turn": "left"}, "turn is 'left'; it is a number of degrees"),
        ({"scale": "1:3"}, "scale is '1:3'; it is one of 1:1, 1:2, 1:4, 1:5"),
        ({"ink": "red"}, "ink is 'red'"),
        ({"format": "ps"}, "format is 'ps'"),
    ],
)
def test_a_wrong_request_is_refused(options: dict[str, str], said: str) -> None:
    with pytest.raises(RequestError, match=said):
        pages([KNIFE], **options)


def test_pages_are_written_whole_and_over_nothing(tmp_path: Path) -> None:
    target, folder = tmp_path / "pages.pdf", tmp_path / "pages"
    tile([KNIFE], target)
    before = target.read_bytes()
    for options in ({}, {"paper": "A3"}):
        with pytest.raises(OutputError, match="is there already"):
            tile([KNIFE], target, **options)
    assert target.read_bytes() == before
    tile([KNIFE], folder, format="svg")
    files = sorted(path.name for path in folder.iterdir())
    assert files[-1] == "cover.svg"
    assert "A1.svg" in files
    (folder / "A1.svg").unlink()
    with pytest.raises(OutputError, match="is there already"):
        tile([KNIFE], folder, format="svg")
    assert sorted(path.name for path in folder.iterdir()) == [name for name in files if name != "A1.svg"]
    tile([KNIFE], folder, format="svg", force=True)
    assert sorted(path.name for path in folder.iterdir()) == files
    with pytest.raises(OutputError, match="is the drawing itself"):
        tile([target], target, force=True)


def test_in_black_no_two_lines_are_alike() -> None:
    lines = [name for name, row in CLASSES.items() if row.key and row.ink is not None and not row.layer.hidden]
    plain = {name for name in lines if name in IN_BLACK}
    assert plain >= {
        "cut-line",
        "seam-line",
        "fold-line",
        "placement-line",
        "inner-fold-line",
        "stitch-line",
        "baste-line",
    }
    dashes = [IN_BLACK[name][1] for name in IN_BLACK if name != "fold-edge-run"]
    assert len(set(dashes)) == len(dashes)
    body = pages([KNIFE], ink="black").document.bodies[0]
    seen = {shape.look.stroke for shape in body.shapes} | {shape.look.fill for shape in body.shapes}
    assert all(colour is None or len(set(colour)) == 1 for colour in seen)
