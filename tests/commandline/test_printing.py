"""The commands that print: `tile`, `card`, `sample`."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PageObject, PdfReader

from tests.commandline.terminal import FIXTURES, Terminal

KNIFE = FIXTURES / "gallery" / "knife-flat.svg"


def words_of(page: PageObject) -> str:
    return " ".join(page.extract_text().split())


def test_the_command_says_where_the_pages_are_and_writes_over_nothing(terminal: Terminal) -> None:
    done = terminal("tile", KNIFE, "--paper", "A3", "--json")
    assert done.code == 0
    said = json.loads(done.out)
    assert said["output"] == "knife-flat-pages.pdf"
    assert Path("knife-flat-pages.pdf").read_bytes().startswith(b"%PDF")
    assert [page["name"] for page in said["pages"]] == ["cover", "A1", "A2"]
    assert said["pages"][1]["pieces"][0]["window_mm"] == [10, 12, 287, 402]
    again = terminal("tile", KNIFE)
    assert (again.code, again.out) == (1, "")
    assert "Give another name, or add --force." in again.err
    done = terminal("tile", KNIFE, "--scale", "1:2", "--mirror", "-o", "small.pdf")
    assert "NOT FULL SIZE: 1:2; MIRRORED: for the wrong side" in done.out
    for page in PdfReader("small.pdf").pages:
        words = words_of(page)
        assert "NOT FULL SIZE: 1:2" in words
        assert "MIRRORED" in words
    assert "at 1:2 it stands for 100 mm of the piece" in words_of(PdfReader("small.pdf").pages[0])
    assert not any("True size" in words_of(page) for page in PdfReader("small.pdf").pages)


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("tile", KNIFE, KNIFE), 2, "is named twice"),
        (("tile", "nowhere.svg"), 1, "nowhere.svg"),
        (("tile", KNIFE, "-o", "pages.svg"), 1, "Call it .pdf, or add --format svg"),
        (("tile", KNIFE, "--format", "svg", "-o", "-"), 2, "cannot take"),
        (("tile", KNIFE, "--paper", "A7"), 2, "--paper is 'A7'"),
        (("tile", KNIFE, "--margin", "8cm"), 2, "or narrower margins with --margin"),
        (("card", KNIFE, "-o", "card.svgz"), 2, "a PDF or an SVG. Call it 'card.pdf'"),
        (("card", "--kind", "knife"), 2, "--intake is missing"),
        (("sample", FIXTURES / "skirt-front.svg"), 1, "is not a result of pleatsvg"),
    ],
)
def test_what_the_commands_refuse(words: tuple[object, ...], code: int, said: str, terminal: Terminal) -> None:
    done = terminal(*words)
    assert (done.code, done.out) == (code, "")
    assert said in done.err
    assert not [path for path in Path().iterdir() if path.suffix in (".pdf", ".svg", ".part")]


def test_card_and_sample_are_written(terminal: Terminal) -> None:
    assert terminal("card", KNIFE).out.startswith("CARD for pleats 1 to 3: knife, intake 6 cm\n")
    assert terminal("sample", KNIFE, "-o", "sample.pdf").out.endswith("Written: sample.pdf\n")
    assert {"knife-flat-card.pdf", "sample.pdf"} <= {path.name for path in Path().iterdir()}


def test_other_commands_do_not_load_what_prints() -> None:
    loaded = "print([name for name in sys.modules if name.startswith(('reportlab', 'PIL'))])"
    code = f"import sys; import pleatsvg.cli.main, pleatsvg.api; {loaded}"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
