"""Help that a person reads: what most people need on one screen, and every option under a heading of its own."""

from __future__ import annotations

import re
import shlex
import shutil

import pytest

from pleatsvg.order.options import OPTIONS, Group, taken_by
from tests.commandline.terminal import FIXTURES, Terminal

SCREEN = 24
"""Rows of the smallest terminal that is met, 80 columns wide."""


@pytest.fixture
def asked(terminal: Terminal, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv("COLUMNS", "80")
    return terminal("pleat", "--help").out


def headed(text: str, heading: str) -> str:
    """What stands under a heading."""
    found = re.search(rf"^{heading}:\n((?:  .*\n)+)", text, flags=re.MULTILINE)
    assert found is not None, heading
    return found[1]


def test_what_most_people_need_stands_on_one_screen(asked: str) -> None:
    first = "\n".join(asked.split("\n")[:SCREEN])
    for word in (
        "DRAWING",
        "-o, --output",
        "--kind",
        "--intake",
        "--lap",
        "--slash",
        "--count",
        "--allowance",
        "--force",
    ):
        assert re.search(rf"^  {word} ", first, flags=re.MULTILINE), word
    assert "knife, box, inverted, kick, tuck or pin-tuck" in first
    assert first.count("pleatsvg pleat ") >= 3
    assert all(len(row) <= 80 for row in asked.split("\n") if not row.startswith("  pleatsvg "))


def test_every_option_stands_under_the_heading_of_its_group(asked: str) -> None:
    assert [group.value for group in Group] == re.findall(
        "^(The pleat|The lines|Allowance and marks|The piece|The file):$", asked, flags=re.MULTILINE
    )
    for row in taken_by("pleat"):
        assert re.search(rf"^  (?:-\w, )?{row.flag}(?: |$)", headed(asked, row.group.value), flags=re.MULTILINE), (
            row.name
        )
    assert "--help" in headed(asked, "The file")


def test_the_groups_are_the_ones_that_a_person_looks_in() -> None:
    looked = {"lap": "The pleat", "slash": "The lines", "allowance": "Allowance and marks", "notch": "Allowance and marks",
              "fold_edge": "The piece", "shows": "The piece", "output": "The file", "json": "The file"}  # fmt: skip
    assert {name: OPTIONS[name].group.value for name in looked} == looked


def test_the_examples_are_whole_and_can_be_pasted(asked: str, terminal: Terminal) -> None:
    first = headed(asked, "Examples").strip().split("\n")
    more = headed(asked, "More examples").strip().split("\n")
    assert (len(first), len(more)) == (2, 2)
    for example in map(str.strip, [*first, *more]):
        words = shlex.split(example)[1:]
        shutil.copy(FIXTURES / "skirt-front.svg", words[1])
        done = terminal(*words, "--force")
        assert done.code == 0, done.err
