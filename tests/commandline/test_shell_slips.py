"""What a shell made of a command is answered in plain words, with the command as it was meant, which can be pasted."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest

from pleatsvg.wording import for_shell
from tests.commandline.terminal import FIXTURES, JARGON, KNIFE, Terminal

ASKED = "pleat skirt.svg -o flat.svg"
PLEAT = "pleat skirt.svg -o flat.svg --kind knife --intake 6cm --lap left"


@pytest.fixture(autouse=True)
def drawings(terminal: Terminal) -> None:
    """Two drawings in the folder, one of them with a blank in its name."""
    for name in ("skirt.svg", "my skirt.svg"):
        shutil.copy(FIXTURES / "skirt-front.svg", name)


SLIPS = {
    "pleat skirt.svg -o flat.svg --kind knife --intake 2 1/2in --lap left": "'2 1/2in' has a blank",
    "pleat skirt.svg -o flat.svg --kind knife --intake 6 cm --lap left": "'6 cm' has a blank",
    "pleat skirt.svg -o flat.svg --kind knife --intake 2 1/2 in --lap left": "'2 1/2 in' has a blank",
    "pleat my skirt.svg -o flat.svg --kind knife --intake 6cm --lap left": "'my skirt.svg' has a blank",
    "pleat -o flat.svg my skirt.svg --kind knife --intake 6cm --lap left": "'my skirt.svg' has a blank",
    "pleat skirt.svg -o my flat.svg --kind knife --intake 6cm --lap left": "'my flat.svg' has a blank",
    f"{PLEAT} --slash slash 1 --slash slash 2": "'slash 1' have blanks",
    f"{PLEAT} --allowance 1cm --allowance left side=2 1/2in": "'left side=2 1/2in' has a blank",
    f"{ASKED} \u2014kind knife \u2013intake 6cm --lap left": "'\u2014kind', '\u2013intake' begin with a long dash",
    "pleat skirt.svg \u2013o flat.svg --kind knife --intake 6cm --lap left": "'\u2013o' begins with a long dash",
    "pleat skirt.svg -o flat.svg -\u2014kind knife --intake 6cm --lap left": "'-\u2014kind' begins with a long dash",
    f"{ASKED} --kind knife --intake \u201c6cm\u201d --lap \u2018left\u2019": "The quotes round '6cm', 'left'",
    "pleat \u201cmy skirt.svg\u201d -o flat.svg --kind knife --intake \u201e2 1/2in\u201c --lap left": "The quotes round",
    f"{PLEAT} --allowance \u2018left side=2cm\u2019": "The quotes round 'left side=2cm'",
    "measure my skirt.svg": "'my skirt.svg' has a blank",
    "pleat skirt.svg -o flat.svg -kind knife -intake=6cm -lap left": "'-kind', '-intake=6cm', '-lap' begin with one hyphen",
}  # fmt: skip


@pytest.mark.parametrize("typed", SLIPS)
def test_a_slip_is_told_and_the_command_can_be_pasted(typed: str, terminal: Terminal) -> None:
    done = terminal(*typed.split(" "))
    assert (done.code, done.out) == (2, "")
    assert SLIPS[typed] in done.err
    assert not any(word in done.err for word in JARGON)
    pasted = re.search(r"Type it so: pleatsvg (.*)\n$", done.err)
    assert pasted is not None, done.err
    again = terminal(*shlex.split(pasted[1]))
    assert again.code == 0, again.err


def test_a_name_with_a_blank_is_told_where_many_are_taken(terminal: Terminal) -> None:
    assert terminal("pleat", "skirt.svg", "-o", "my flat.svg", *KNIFE).code == 0
    done = terminal("fold", "my", "flat.svg")
    assert "Type it so: pleatsvg fold 'my flat.svg'" in done.err
    done = terminal("tile", "my", "flat.svg")
    assert (done.code, "Type it so: pleatsvg tile 'my flat.svg'" in done.err) == (2, True)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (f"{PLEAT} --count 3 4", "'4' is more than 'pleatsvg pleat' takes"),
        (f"{PLEAT} --hem intake 8cm", "'8cm' is more than 'pleatsvg pleat' takes"),
        (f"{PLEAT} --hem-intake", "--hem-intake needs a value behind it."),
        ("pleat --kind knife", "DRAWING is missing"),
        (f"{PLEAT} --deep 3cm", "There is no option --deep"),
        ("measure skirt.svg skirt.svg", "'skirt.svg' is one drawing too many: 'pleatsvg measure' takes one at a time"),
        ("pleat skirt.svg flat.svg --kind knife", "if it is to be the result, write -o before it"),
        ("skirt.svg", "'skirt.svg' is a drawing, and what to do with it stands before it: pleatsvg measure skirt.svg"),
        ("measre skirt.svg", "There is no command 'measre'. Did you mean 'measure'?"),
    ],
)
def test_what_is_no_slip_of_the_shell_is_told_in_plain_words(typed: str, said: str, terminal: Terminal) -> None:
    done = terminal(*typed.split(" "))
    assert (done.code, done.out) == (2, "")
    assert said in done.err
    assert "Type it so" not in done.err
    assert not re.search(r"argument|unexpected", done.err)


@pytest.mark.parametrize(
    "words",
    [
        ("measure", "\u2014 skirt.svg"),
        ("measure", "Anna\u2019s.svg"),
        ("measure", "\u2018old\u2019.svg"),
    ],
)
def test_a_name_that_is_there_is_no_slip(words: tuple[str, ...], terminal: Terminal) -> None:
    shutil.copy("skirt.svg", words[1])
    assert terminal(*words).code == 0


def test_a_fault_that_has_nothing_to_do_with_a_slip_is_told_itself(terminal: Terminal) -> None:
    words = ("pleat", "skirt.svg", "-o", "flat.svg", *KNIFE, "--cloth", "\u201ccalico\u201d", "--intake", "6 ells")
    assert "'6 ells'" in terminal(*words).err


@pytest.mark.parametrize("name", ["skirt.svg", "my skirt.svg", "it's.svg", "a$b.svg"])
def test_commands_in_messages_can_be_pasted(name: str, terminal: Terminal) -> None:
    if name != "skirt.svg":
        shutil.copy("skirt.svg", name)
    for words in (("--slash", "9"), ("--along", "collar", "--count", "3"), ("--allowance", "collar=1cm")):
        done = terminal("pleat", name, "-o", "flat.svg", *KNIFE, *words)
        found = re.search(r"pleatsvg (measure .*?) lists every", done.err)
        assert found is not None, done.err
        assert terminal(*shlex.split(found[1])).code == 0


def test_what_comes_next_can_be_pasted(terminal: Terminal) -> None:
    plan = ("plan", "--finished", "72cm", "--kind", "knife", "--lap", "left", "--count", "12", "--depth", "3cm")
    done = terminal(*plan, "--length", "60cm", "--draw", "a panel.svg", "--job", "a job.toml")
    assert done.code == 0
    (batch,) = re.findall(r"Next: pleatsvg (.*)", done.out)
    assert terminal(*shlex.split(batch)).code == 0
    done = terminal("sheet", "a job.toml", "--out", "no folder")
    (first,) = re.findall(r"Run pleatsvg (.*) first, or", done.err)
    assert terminal(*shlex.split(first)).code == 0
    assert terminal("sheet", "a job.toml", "--out", "no folder").code == 0
    Path("a set").mkdir()
    shutil.copy("skirt.svg", "a set/skirt.svg")
    done = terminal("batch", "--new", "a set")
    assert done.code == 0, done.err
    assert "  pleatsvg batch 'a set/pleats.toml'\n" in done.out


@pytest.mark.parametrize("word", ["a b", "it's", 'say "so"', "$HOME", "a;b", "*", "", "5/8in", "left side=2cm", "~x"])
def test_a_word_in_quotes_is_one_word_for_the_shell(word: str) -> None:
    assert shlex.split(for_shell(word, windows=False)) == [word]


@pytest.mark.parametrize(("word", "typed"), [("a b", '"a b"'), ("it's", '"it\'s"'), ("skirt.svg", "skirt.svg")])
def test_windows_is_given_double_quotes(word: str, typed: str) -> None:
    assert for_shell(word, windows=True) == typed
