"""Which part a name gives, whatever editor wrote it: every row of the tables, and names that must not be mistaken."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from lxml import etree

from pleatsvg.drawing.drawn import DrawnShape
from pleatsvg.drawing.names import decoded, given_name, part_of_name
from pleatsvg.drawing.read import drawing_from

SVG = "http://www.w3.org/2000/svg"
LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
SERIF_ID = "{http://www.serif.com/}id"

PHRASES = {
    "stitching line": "seam",
    "sewing line": "seam",
    "seamline": "seam",
    "cutting line": "cut",
    "seam allowance": "carried",
    "hem allowance": "carried",
    "balance mark": "carried",
    "cut on fold": "fold edge",
    "place on fold": "fold edge",
    "fold edge": "fold edge",
    "grainline": "grain",
    "pleat line": "slash",
}

FIRST_WORDS = {
    "seam": "seam",
    "outline": "seam",
    "cut": "cut",
    "slash": "slash",
    "grain": "grain",
    "balance line": "balance",
    "hip": "balance",
    "hem line": "balance",
    "fold edge": "fold edge",
    "centre": "centre",
}

ROWS = {**PHRASES, **FIRST_WORDS}


DRESSES: dict[str, Callable[[str], str]] = {
    "lower case": str.lower,
    "upper case": str.upper,
    "title case": str.title,
    "swapped case": str.swapcase,
    "blanks around": lambda name: f"  {name} ",
    "a number": lambda name: f"{name} 1",
    "a higher number": lambda name: f"{name} 12",
    "a number close by": lambda name: f"{name}2",
    "a hyphen and a number": lambda name: f"{name}-3",
    "an underscore and a number": lambda name: f"{name}_4",
    "more words": lambda name: f"{name} skirt front",
    "a comma": lambda name: f"{name}, left",
    "a colon": lambda name: f"{name}: waist",
    "brackets": lambda name: f"{name} (basted)",
    "underscores for blanks": lambda name: name.replace(" ", "_"),
    "hyphens for blanks": lambda name: name.replace(" ", "-"),
    "two blanks": lambda name: name.replace(" ", "  "),
}


@pytest.mark.parametrize("dress", DRESSES)
def test_every_row_of_the_tables(dress: str) -> None:
    dressed = DRESSES[dress]
    assert {name: part_of_name(dressed(name)) for name in ROWS} == ROWS


def test_plurals() -> None:
    """A group holds several: "slashes", "pleat lines 2", "grainlines"."""
    several = {name: f"{name}es" if name.endswith("sh") else f"{name}s" for name in ROWS}
    assert {name: part_of_name(several[name]) for name in ROWS} == ROWS
    assert {name: part_of_name(f"{several[name]} of the skirt") for name in ROWS} == ROWS


@pytest.mark.parametrize(
    ("name", "part"),
    [
        ("seam allowance at the side", "carried"),  # not the seam
        ("cut on fold of the cloth", "fold edge"),  # not the cutting line
        ("cutting line", "cut"),
        ("hem line", "balance"),
        ("hem allowance", "carried"),
        ("balance mark 2", "carried"),  # not a balance line
        ("balance line 2", "balance"),
        ("outline of the seam allowance", "seam"),
        ("foldedge", "fold edge"),  # in one word
        ("Hemline 2", "balance"),
        ("slashline 3", "slash"),
        ("seamallowance", "carried"),
    ],
)
def test_whole_phrases_come_before_first_words(name: str, part: str) -> None:
    assert part_of_name(name) == part


NOTHING = [
    "",
    " ",
    "path123",
    "layer 1",
    "cutout",
    "cutter",
    "hippo",
    "hippodrome scene",
    "hipster",
    "centrefold",
    "centred",
    "seamless",
    "seamstress",
    "outlined",
    "slashed",
    "grainy",
    "balance",
    "balanced",
    "hem",
    "fold",
    "fold line",
    "pleat",
    "pleat 3",
    "stitching",
    "sewing box",
    "place",
    "notch 2",
    "my seam",
    "1 slash",
    "unslash",
    "the grainline",
    "couture",
    "Séam",
]


@pytest.mark.parametrize("name", NOTHING)
def test_other_names_say_nothing(name: str) -> None:
    assert part_of_name(name) is None


# -------------------------------------------------------------------------------------------------------------- escapes


@pytest.mark.parametrize(
    ("identifier", "name"),
    [
        ("slash_x0020_1", "slash 1"),
        ("seam_x0020_line", "seam line"),
        ("slash_x5F_2", "slash_2"),
        ("_x0031_st_x0020_pleat", "1st pleat"),
        ("pleat_x0028_left_x0029_", "pleat(left)"),
        ("jupe_x00E9_", "jupeé"),
        ("skirt_x1F457_", "skirt\U0001f457"),
        ("plain_id", "plain_id"),
        ("max_x", "max_x"),
        ("_x_", "_x_"),
        ("_x0009_tab", "_x0009_tab"),  # control characters stay as they are written: XML cannot hold them
        ("_xD800_half", "_xD800_half"),
        ("_x110000_beyond", "_x110000_beyond"),
        ("slash_X0020_1", "slash_X0020_1"),
    ],
)
def test_escapes_that_editors_write_into_ids(identifier: str, name: str) -> None:
    assert decoded(identifier) == name


def element(title: str | None = None, **attributes: str) -> etree._Element:
    names = {"label": LABEL, "serif": SERIF_ID, "data_name": "data-name"}
    made = etree.Element(f"{{{SVG}}}path", {names.get(key, key): value for key, value in attributes.items()})
    if title is not None:
        etree.SubElement(made, f"{{{SVG}}}desc").text = "not this"
        etree.SubElement(made, f"{{{SVG}}}title").text = title
    return made


def test_the_name_is_what_the_editor_let_the_person_type() -> None:
    """Label, then serif:id, data-name, title, and the id with its escapes undone last of all."""
    every = {"label": "a label", "serif": "a serif", "data_name": "a data name", "id": "an_x0020_id"}
    expected = ["a label", "a serif", "a data name", "a title", "an id"]
    keys = ["label", "serif", "data_name", None, "id"]
    for k, name in enumerate(expected):
        left = {key: every[key] for key in keys[k:] if key}
        assert given_name(element("a title" if k <= 3 else None, **left)) == name
    assert given_name(element()) == ""
    assert given_name(element(label="", id="slash-1")) == "slash-1"


def test_names_are_one_line_in_one_unicode_form() -> None:
    """NFC, so that a letter typed with its accent apart is the same name; blanks and line ends become one blank."""
    assert given_name(element(label="centre\n  devant\t e\u0301")) == "centre devant \u00e9"
    assert given_name(element(title=" slash\n1 ")) == "slash 1"


# -------------------------------------------------------------------------------------------- elements in their groups


def shapes(body: str) -> dict[str, DrawnShape]:
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        f'xmlns:serif="http://www.serif.com/" width="500mm" height="500mm" viewBox="0 0 500 500">{body}</svg>'
    )
    return {shape.name: shape for shape in drawing_from(text.encode(), "made.svg").shapes}


LINE = 'x1="10" y1="10" x2="10" y2="400"'


def test_the_nearest_name_that_says_something_decides() -> None:
    """The nearest of an element and its ancestors whose name begins with a word of the table."""
    found = shapes(
        f'<g inkscape:label="slashes"><line id="path1" {LINE}/>'
        f'<line id="grainline" {LINE}/>'
        f'<g id="g7"><line id="left" {LINE}/></g>'
        f'<g inkscape:label="hip"><line id="path9" {LINE}/><line id="slash 3" {LINE}/></g></g>'
        f'<line id="path10" {LINE}/>'
    )
    parts = {name: shape.part for name, shape in found.items()}
    assert parts == {
        "path1": "slash",
        "grainline": "grain",
        "left": "slash",
        "path9": "balance",
        "slash 3": "slash",
        "path10": None,
    }
    assert found["path1"].family == "slashes"
    assert found["path9"].family == "hip"
    assert found["slash 3"].family == "slash 3"


def test_a_carried_name_shields_its_elements_from_the_group_above() -> None:
    """A balance mark in the seam's own layer is not the seam."""
    found = shapes(f'<g inkscape:label="seam"><line inkscape:label="balance mark" {LINE}/><line id="a" {LINE}/></g>')
    assert found["balance mark"].part == "carried"
    assert found["a"].part == "seam"


def test_lines_without_a_name_are_numbered_in_their_group() -> None:
    found = shapes(f'<g id="slash_x0020_lines"><line {LINE}/><polyline points="20,10 20,400"/></g>')
    assert {name: shape.part for name, shape in found.items()} == {"slash lines 1": "slash", "slash lines 2": "slash"}


def test_subpaths_are_numbered_and_keep_their_family() -> None:
    found = shapes('<path data-name="slash lines" d="M10 10V400M20 10V400M30 10V400"/>')
    assert list(found) == ["slash lines 1", "slash lines 2", "slash lines 3"]
    assert {shape.family for shape in found.values()} == {"slash lines"}


@pytest.mark.parametrize(
    ("css", "part"), [("seam-line", "seam"), ("cut-line", "cut"), ("grain-line", "grain"), ("balance-line", "balance")]
)
def test_in_results_the_class_decides(css: str, part: str) -> None:
    """Whatever the element and its layer are called; a result may be read as a drawing."""
    found = shapes(f'<g inkscape:label="slash lines"><path class="{css}" id="hip" d="M10 10H50V50Z"/></g>')
    assert found["hip"].part == part


def test_text_never_plays_a_part() -> None:
    found = shapes(f'<text id="slash 1">seam</text><g id="seam"><text>slash 2</text></g><line id="path2" {LINE}/>')
    assert {name: shape.part for name, shape in found.items()} == {"path2": None}


def test_what_is_only_defined_is_not_on_the_drawing() -> None:
    found = shapes(
        f'<defs><line id="slash 1" {LINE}/></defs><symbol><line id="slash 2" {LINE}/></symbol>'
        f'<clipPath><path id="seam" d="M0 0H9V9Z"/></clipPath><marker><line id="slash 3" {LINE}/></marker>'
        f'<line id="slash 4" {LINE}/>'
    )
    assert list(found) == ["slash 4"]


@pytest.mark.parametrize(
    "hidden",
    [
        'display="none"',
        'style="display:none"',
        'style="stroke:red; display : none ;"',
        'visibility="hidden"',
        'style="visibility:hidden"',
        'visibility="collapse"',
        'style="display:none !important"',
    ],
)
def test_what_is_hidden_is_not_read(hidden: str) -> None:
    """On the element and on a layer above it."""
    assert list(shapes(f'<line id="slash 1" {LINE} {hidden}/><line id="slash 2" {LINE}/>')) == ["slash 2"]
    assert list(shapes(f'<g {hidden}><line id="slash 1" {LINE}/></g><line id="slash 2" {LINE}/>')) == ["slash 2"]


@pytest.mark.parametrize("name", ["\u017flash", "\u017feam 1", "ou\u0442line", "h\u0131p", "h\u0130p"])
def test_letters_that_fold_to_plain_ones_are_others(name: str) -> None:
    """The long s and the Turkish i's match s and i where case is ignored; the word is not the word for it."""
    assert part_of_name(name) is None


@pytest.mark.parametrize(
    "identifier", ["slash_xFFFF_2", "slash_xFFFE_2", "slash_x9B_2", "slash_x7F_2", "slash\u0085\u009b2"]
)
def test_characters_that_cannot_be_written_are_no_part_of_a_name(identifier: str) -> None:
    element = etree.Element("path", {"id": identifier})
    assert given_name(element) == "slash 2"
