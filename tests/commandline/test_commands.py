"""The commands as a person uses them: help, measuring, pleating, and what stands in the file afterwards.

Lengths that the program measures are held against others measured here: points of the paths by svgpathtools, joined
by shapely, from the numbers in the fixtures and the scales that fixtures/README.md states.
"""

from __future__ import annotations

import json
import re
import stat
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
import svgpathtools
from lxml import etree

import pleatsvg
from pleatsvg.length import show
from tests.commandline.terminal import FIXTURES, KNIFE, PANEL, Terminal, alone, line, svg

SVG = "{http://www.w3.org/2000/svg}"
INVERTED = ("--kind", "inverted", "--intake", "120mm")

# -------------------------------------------------------------------------------------------------------------- help

CONTRACT = {
    "batch": {
        "--out",
        "--workers",
        "--only",
        "--keep-going",
        "--stop-at-first",
        "--resume",
        "--force",
        "--new",
        "--watch",
    },
    "ask": {"--piece"},
    "measure": {"--json", "--piece", "--unit", "--drawing-unit", "--shows", "-o", "--output", "--force"},
    "plan": {
        *("--kind", "--finished", "--body", "--ease", "--count", "--spacing", "--depth", "--intake", "--face", "--gap"),
        *(
            "--margin",
            "--flat",
            "--cloth-width",
            "--length",
            "--repeat",
            "--repeat-start",
            "--fold-loss",
            "--top",
            "--bottom",
        ),
        *("--json", "--job", "--draw", "--force"),
    },
    "fold": {"-o", "--output", "--side", "--steps", "--json", "--force"},
    "pleat": {
        *("--kind", "--intake", "--depth", "--hem-intake", "--lap", "--face", "--slash", "--at", "--count"),
        *("-o", "--output", "--force", "--json", "--piece", "--shows", "--along", "--run", "--drawing-unit", "--watch"),
    },
    "tile": {
        *("-o", "--output", "--paper", "--margin", "--overlap", "--turn", "--together", "--open-fold", "--scale"),
        *("--mirror", "--without", "--ink", "--format", "--force", "--json"),
    },
    "sheet": {"-o", "--output", "--unit", "--out", "--force"},
    "card": {"-o", "--output", "--kind", "--intake", "--depth", "--spacing", "--paper", "--force"},
    "sample": {"-o", "--output", "--paper", "--force"},
}


@pytest.mark.parametrize("command", CONTRACT)
@pytest.mark.parametrize("asked", ["--help", "-h"])
def test_help_of_each_command(command: str, asked: str, terminal: Terminal) -> None:
    outcome = terminal(command, asked)
    assert outcome.code == 0
    assert outcome.err == ""
    told = set(re.findall(r"(?<![\w-])--?[a-z][a-z-]*", outcome.out))
    assert told >= CONTRACT[command]
    assert "Example" in outcome.out


def test_help_of_the_program_lists_its_commands(terminal: Terminal) -> None:
    outcome = terminal("--help")
    assert outcome.code == 0
    listed = re.findall(r"^  ([a-z]+)  ", outcome.out.split("Commands:")[1], re.MULTILINE)
    assert set(listed) == set(CONTRACT), "no command before it does something"
    assert "LENGTH" in outcome.out


def test_version(terminal: Terminal) -> None:
    outcome = terminal("--version")
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.out.strip() == f"pleatsvg {pleatsvg.__version__}"


# ----------------------------------------------------------------------------------------------------- measured twice


@dataclass(frozen=True)
class Fixture:
    """A drawing and what is known of it without the program.

    Attributes:
        scale: mm to one unit of its outline, every transform in it.
        lines: slash lines, by fixtures/README.md.
        order: options with which it can be pleated.
    """

    scale: float
    lines: int
    order: tuple[str, ...]


FIXTURE = {
    "skirt-front.svg": Fixture(1.0, 3, KNIFE),
    "gore-panel.svg": Fixture(
        25.4 / 96, 1, ("--kind", "knife", "--intake", "40mm", "--hem-intake", "0mm", "--lap", "right")
    ),
    "bodice-front.svg": Fixture(0.25 * 2.5, 2, ("--kind", "knife", "--intake", "20mm", "--lap", "right")),
    "circle-skirt-panel.svg": Fixture(
        25.4 / 96, 5, ("--kind", "knife", "--depth", "30mm", "--lap", "sides", "--slash", "slash 1")
    ),
    "straight-panel.svg": Fixture(25.4 / 72, 4, ("--kind", "box", "--intake", "80mm", "--face", "40mm")),
    "kilt-apron.svg": Fixture(25.4 / 96 * 1.3333333, 12, ("--kind", "knife", "--intake", "100mm", "--lap", "left")),
    "plain-square-apron.svg": Fixture(0.1, 0, ("--kind", "inverted", "--intake", "60mm", "--count", "6")),
}


def outline_points(name: str) -> np.ndarray:
    """The outline of a fixture in its own units: the one closed shape, ten thousand points to a curve."""
    root: Any = etree.parse(str(FIXTURES / name)).getroot()
    for element in root.iter():
        local = etree.QName(element).localname if isinstance(element.tag, str) else ""
        if local == "polygon":
            pairs = [pair.split(",") for pair in element.get("points").split()]
            points = [complex(float(x), float(y)) for x, y in pairs]
            return np.array([*points, points[0]])
        if local == "rect":
            x, y, w, h = (float(element.get(key)) for key in ("x", "y", "width", "height"))
            return np.array([complex(x, y), complex(x + w, y), complex(x + w, y + h), complex(x, y + h), complex(x, y)])
        if local == "path" and element.get("d").strip().lower().endswith("z"):
            parts = []
            for seg in svgpathtools.parse_path(element.get("d")):
                steps = np.linspace(0, 1, 2 if isinstance(seg, svgpathtools.Line) else 10_001)
                if isinstance(seg, svgpathtools.Arc):
                    angles = np.radians(seg.theta + seg.delta * steps)
                    assert seg.radius.real == seg.radius.imag
                    parts.append(seg.center + seg.radius.real * np.exp(1j * angles))
                else:
                    parts.append(seg.poly()(steps))
            return np.concatenate([*parts, parts[0][:1]])
    raise AssertionError(f"{name} has no closed shape")


def length_and_area(name: str) -> tuple[float, float]:
    points = outline_points(name) * FIXTURE[name].scale
    ring = shapely.Polygon(np.column_stack([points.real, points.imag]))
    return ring.length, ring.area


@pytest.fixture(params=FIXTURE)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def test_measured_edges_sum_to_the_perimeter(name: str, terminal: Terminal) -> None:
    """Chords of ten thousandth parts fall short by 1e-6 mm at most here. Derived: each by its length^3 / (24 r^2)."""
    outcome = terminal("measure", FIXTURES / name, "--json")
    assert (outcome.code, outcome.err) == (0, "")
    found = json.loads(outcome.out)
    length, area = length_and_area(name)
    assert sum(edge["length_mm"] for edge in found["edges"]) == pytest.approx(length, abs=2e-5)
    assert found["area_mm2"] == pytest.approx(area, abs=0.05)
    for edge, after in zip(found["edges"], [*found["edges"][1:], found["edges"][0]], strict=True):
        assert edge["to_mm"] == pytest.approx(after["from_mm"], abs=1e-9)
        span = abs(complex(*edge["to_mm"]) - complex(*edge["from_mm"]))
        assert (abs(edge["length_mm"] - span) < 1e-6) == edge["straight"]


def test_measured_spaces_sum_to_their_edge(name: str, terminal: Terminal) -> None:
    found = json.loads(terminal("measure", FIXTURES / name, "--json").out)
    edges = {edge["name"]: edge["length_mm"] for edge in found["edges"]}
    assert len(found["slash_lines"]) == FIXTURE[name].lines
    if not found["slash_lines"]:
        assert found["top_spaces_mm"] == found["hem_spaces_mm"] == []
        return
    for end in ("top", "hem"):
        spaces = found[f"{end}_spaces_mm"]
        met = [slash[end]["edge"] for slash in found["slash_lines"]]
        assert len(spaces) == len(met) + 1
        if len(set(met)) == 1:
            assert sum(spaces) == pytest.approx(edges[met[0]], abs=1e-6)
            for k, slash in enumerate(found["slash_lines"]):
                assert slash[end]["at_mm"] == pytest.approx(sum(spaces[: k + 1]), abs=1e-6)
    for number, slash in enumerate(found["slash_lines"], 1):
        assert slash["number"] == number
        span = abs(complex(*slash["top"]["point_mm"]) - complex(*slash["hem"]["point_mm"]))
        assert slash["length_mm"] == pytest.approx(span, abs=1e-9)


README_SPACES = {
    # fixtures/README.md: spacings along the top seam from its left end, to a tenth of a millimetre.
    "skirt-front.svg": [85.8, 95.0, 95.1, 85.7],
    "bodice-front.svg": [26.3, 30.6, 64.2],
    "circle-skirt-panel.svg": [41.9] * 6,
    "straight-panel.svg": [150, 100, 100, 100, 150],
    "kilt-apron.svg": [110, *[25] * 11, 85],
}


@pytest.mark.parametrize("fixture", README_SPACES)
def test_measured_spaces_are_those_of_the_readme(fixture: str, terminal: Terminal) -> None:
    found = json.loads(terminal("measure", FIXTURES / fixture, "--json").out)
    assert found["top_spaces_mm"] == pytest.approx(README_SPACES[fixture], abs=0.051)


@pytest.mark.parametrize("unit", ["mm", "cm", "in"])
def test_measured_text_says_what_the_json_says(name: str, unit: str, terminal: Terminal) -> None:
    """Every edge with its length, every slash line, the spaces, in the unit asked for."""
    found = json.loads(terminal("measure", FIXTURES / name, "--json").out)
    outcome = terminal("measure", FIXTURES / name, "--unit", unit)
    assert (outcome.code, outcome.err) == (0, "")
    text = outcome.out
    assert f"'{found['piece']}'" in text
    for edge in found["edges"]:
        row = next(r for r in text.splitlines() if re.match(rf"\s+{edge['number']}\s+{edge['name']}\s", r))
        assert show(edge["length_mm"], unit) in row
        assert ("straight" in row) == edge["straight"]
    for slash in found["slash_lines"]:
        row = next(r for r in text.splitlines() if re.match(rf"\s+{slash['number']}\s+{slash['name']}\s", r))
        assert show(slash["length_mm"], unit) in row
        assert show(slash["top"]["at_mm"], unit) in row
    if found["slash_lines"]:
        assert " | ".join(show(space, unit) for space in found["top_spaces_mm"]) in text
        assert found["top_end"] in text
    for named in found["names"]:
        assert f"{named['name']} -> {named['part']}" in text
    for remark in found["odd"]:
        assert remark in text


def test_json_and_text_do_not_depend_on_when_they_are_asked_for(name: str, terminal: Terminal) -> None:
    assert terminal("measure", FIXTURES / name, "--json") == terminal("measure", FIXTURES / name, "--json")


# ------------------------------------------------------------------------------------------------------ pleated files


def by_class(root: Any, css: str) -> list[Any]:
    return [element for element in root.iter(SVG + "path") if element.get("class") == css]


def ends(element: Any) -> tuple[complex, complex]:
    numbers = [float(word) for word in re.findall(r"-?[\d.]+(?:e-?\d+)?", element.get("d"))]
    assert len(numbers) == 4
    return complex(*numbers[:2]), complex(*numbers[2:])


def test_pleat_json_gives_the_figures_that_stand_in_the_file(name: str, terminal: Terminal, tmp_path: Path) -> None:
    outcome = terminal("pleat", FIXTURES / name, "-o", "flat.svg", *FIXTURE[name].order, "--json")
    assert (outcome.code, outcome.err) == (0, "")
    said = json.loads(outcome.out)
    root: Any = etree.parse(str(tmp_path / "flat.svg")).getroot()
    (piece,) = [element for element in root.iter(SVG + "g") if element.get("class") == "piece"]

    assert said["output"] == "flat.svg"
    assert said["piece"] == piece.get("data-piece")
    assert [root.get("width"), root.get("height")] == [f"{value:g}mm" for value in said["page_mm"]]
    assert root.get("viewBox") == "0 0 " + " ".join(f"{value:g}" for value in said["page_mm"])
    assert len(said["pleats"]) == int(piece.get("data-pleats"))
    assert f"{said['fold_back_mm']:.9f}" == piece.get("data-fold-back-mm")
    assert said["fold_back_mm"] == max(said["fold_back"][k] for k in said["fold_back"] if k != "limit_mm")
    assert said["fold_back_mm"] <= said["fold_back"]["limit_mm"] == 0.01

    labels = {int(e.get("data-pleat")): e for e in root.iter(SVG + "text") if e.get("data-intake-mm")}
    folds, places = by_class(root, "fold-line"), by_class(root, "placement-line")
    for pleat in said["pleats"]:
        number = pleat["number"]
        label = labels[number]
        assert float(label.get("data-intake-mm")) == pytest.approx(pleat["measured_intake_mm"], abs=5.1e-5)
        assert float(label.get("data-hem-intake-mm")) == pytest.approx(pleat["measured_hem_intake_mm"], abs=5.1e-5)
        if pleat["grain_degrees"] is not None:
            assert float(label.get("data-grain-degrees")) == pytest.approx(pleat["grain_degrees"], abs=5.1e-4)
        own = [e for e in folds if int(e.get("data-pleat")) == number]
        assert {(e.get("data-kind"), e.get("data-lap")) for e in own} == {(pleat["kind"], pleat["lap"])}
        taken = [0.0, 0.0]
        for place in places:
            if int(place.get("data-pleat")) == number:
                for fold in own:
                    if fold.get("data-fold") in place.get("data-fold").split():
                        for end in (0, 1):
                            taken[end] += abs(ends(fold)[end] - ends(place)[end])
        assert taken == pytest.approx([pleat["measured_intake_mm"], pleat["measured_hem_intake_mm"]], abs=1e-9)
        assert taken == pytest.approx([pleat["intake_mm"], pleat["hem_intake_mm"]], abs=1e-5)


def test_pleat_says_how_true_it_folds_back(name: str, terminal: Terminal, tmp_path: Path) -> None:
    outcome = terminal("pleat", FIXTURES / name, "-o", "flat.svg", *FIXTURE[name].order)
    assert (outcome.code, outcome.err) == (0, "")
    found = re.search(r"largest miss (\d\.\d+) mm \(limit 0\.01 mm\)", outcome.out)
    assert found is not None
    root: Any = etree.parse(str(tmp_path / "flat.svg")).getroot()
    (piece,) = [element for element in root.iter(SVG + "g") if element.get("class") == "piece"]
    assert float(found[1]) == pytest.approx(float(piece.get("data-fold-back-mm")), abs=5.1e-7)
    assert "Written: flat.svg" in outcome.out
    assert "print at 100 %" in outcome.out


def test_seam_lengths_that_pleat_states(terminal: Terminal, tmp_path: Path) -> None:
    """A plain panel of 300 with three knives of 60: 300 finished, 480 flat, top and hem. Derived."""
    (tmp_path / "panel.svg").write_text(svg(PANEL + "".join(line(f"slash {k}", 20 + 70 * k) for k in (1, 2, 3))))
    outcome = terminal("pleat", "panel.svg", "-o", "flat.svg", *KNIFE, "--json")
    said = json.loads(outcome.out)
    assert said["top_seam_mm"] == pytest.approx({"finished": 300, "flat": 480})
    assert said["hem_seam_mm"] == pytest.approx({"finished": 300, "flat": 480})
    text = terminal("pleat", "panel.svg", "-o", "flat.svg", *KNIFE, "--force").out
    assert "300 mm finished, 480 mm flat" in text
    assert "fold points left (right over left)" in text


@pytest.mark.parametrize(
    ("options", "laps"),
    [
        (("--lap", "left"), ["left"] * 4),
        (("--lap", "right"), ["right"] * 4),
        (("--lap", "centre"), ["right", "right", "left", "left"]),
        (("--lap", "sides"), ["left", "left", "right", "right"]),
        (("--lap", "left", "--shows", "wrong"), ["left"] * 4),
        (("--lap", "left", "--slash", "slash 3"), ["left"]),
    ],
)
def test_laps_are_those_asked_for(
    options: tuple[str, ...], laps: list[str], terminal: Terminal, tmp_path: Path
) -> None:
    """In the report and on the lines; on the page a placement line lies on the side to which its fold points."""
    body = PANEL + "".join(line(f"slash {k}", 20 + 60 * k) for k in (1, 2, 3, 4))
    (tmp_path / "panel.svg").write_text(svg(body), encoding="utf-8")
    outcome = terminal("pleat", "panel.svg", "-o", "flat.svg", "--kind", "knife", "--intake", "4cm", *options, "--json")
    assert outcome.code == 0, outcome.err
    assert [pleat["lap"] for pleat in json.loads(outcome.out)["pleats"]] == laps
    root: Any = etree.parse(str(tmp_path / "flat.svg")).getroot()
    places = {e.get("data-pleat"): ends(e)[0].real for e in by_class(root, "placement-line")}
    for fold in by_class(root, "fold-line"):
        to_place = places[fold.get("data-pleat")] - ends(fold)[0].real
        assert to_place == pytest.approx(-40 if fold.get("data-lap") == "left" else 40, abs=1e-5)


def test_force_writes_over_and_only_then(terminal: Terminal, tmp_path: Path) -> None:
    first = terminal("pleat", FIXTURES / "skirt-front.svg", "-o", "flat.svg", *KNIFE)
    assert first.code == 0
    once = (tmp_path / "flat.svg").read_bytes()
    assert terminal("pleat", FIXTURES / "skirt-front.svg", "-o", "flat.svg", *INVERTED).code == 1
    assert (tmp_path / "flat.svg").read_bytes() == once
    assert terminal("pleat", FIXTURES / "skirt-front.svg", "-o", "flat.svg", *INVERTED, "--force").code == 0
    assert (tmp_path / "flat.svg").read_bytes() != once
    assert [file.name for file in tmp_path.iterdir()] == ["flat.svg"], "and leaves nothing else behind"
    assert stat.S_IMODE((tmp_path / "flat.svg").stat().st_mode) & 0o444 == 0o444, "readable like any file"


def test_same_input_same_bytes(name: str, terminal: Terminal, tmp_path: Path) -> None:
    for target in ("one.svg", "two.svg"):
        assert terminal("pleat", FIXTURES / name, "-o", target, *FIXTURE[name].order).code == 0
    assert (tmp_path / "one.svg").read_bytes() == (tmp_path / "two.svg").read_bytes()


def test_the_drawing_is_left_as_it_is(name: str, terminal: Terminal, tmp_path: Path) -> None:
    copy = tmp_path / name
    copy.write_bytes((FIXTURES / name).read_bytes())
    assert terminal("pleat", name, "-o", "flat.svg", *FIXTURE[name].order).code == 0
    assert copy.read_bytes() == (FIXTURES / name).read_bytes()


@pytest.mark.parametrize(
    ("options", "first"),
    [(("--at", "5cm"), 50.0), (("--at", "2in", "--at", "10cm"), 50.8), (("--count", "5"), 30.0)],
)
def test_lines_that_are_placed(options: tuple[str, ...], first: float, terminal: Terminal, tmp_path: Path) -> None:
    """Measured along the top seam from its left end; `--count` leaves half a space at both ends: 300 / 5 / 2 = 30."""
    (tmp_path / "panel.svg").write_text(svg(PANEL), encoding="utf-8")
    outcome = terminal("pleat", "panel.svg", "-o", "flat.svg", "--kind", "inverted", "--intake", "4cm", *options)
    assert outcome.code == 0, outcome.err
    root: Any = etree.parse(str(tmp_path / "flat.svg")).getroot()
    (seam,) = by_class(root, "seam-line")
    left = min(float(pair.split(",")[0]) for pair in re.findall(r"-?[\d.]+,-?[\d.]+", seam.get("d")))
    fold = min(ends(element)[0].real for element in by_class(root, "fold-line"))
    assert fold - left == pytest.approx(first, abs=2e-6)


def test_slash_all_takes_every_straight_line_across(terminal: Terminal, tmp_path: Path) -> None:
    """And no other: not the bent one, not the short one."""
    body = PANEL + line("a", 100) + line("b", 200) + line("short", 150, y=100, y2=300)
    body += '<path d="M250 20L260 200L250 420"/>'
    (tmp_path / "panel.svg").write_text(svg(body), encoding="utf-8")
    outcome = terminal("pleat", "panel.svg", "-o", "flat.svg", *KNIFE, "--slash", "all", "--json")
    assert outcome.code == 0, outcome.err
    assert [pleat["slash"] for pleat in json.loads(outcome.out)["pleats"]] == ["a", "b"]


# ------------------------------------------------------------------------------------------------------------- names

STRANGE = [
    "Tom & Jerry's <skirt>",
    'the "red" one',
    "]]> <!-- &amp; %s {0} \\n",
    "jupe plissée, réf. n° 4",
    "襞スカート",
    "юбка",
    "\U0001f457 dress",
    "cafe\u0301",
    "a\u200bb\u00adc",
    "x" * 200,
    "<script>alert(1)</script>",
]


def escaped(text: str) -> str:
    for sign, entity in (
        ("&", "&amp;"),
        ("<", "&lt;"),
        (">", "&gt;"),
        ('"', "&quot;"),
        ("\n", "&#10;"),
        ("\t", "&#9;"),
    ):
        text = text.replace(sign, entity)
    return text


def plain(text: str) -> str:
    """One line, in the composed form of Unicode (NFC)."""
    return unicodedata.normalize("NFC", " ".join(text.split()))


def texts(root: Any) -> Iterator[str]:
    for element in root.iter():
        yield element.text or ""
        yield from element.attrib.values()


@pytest.mark.parametrize("label", [*STRANGE, "two\nlines\tand a tab"])
def test_strange_names_survive(label: str, terminal: Terminal, tmp_path: Path) -> None:
    """Of the piece and of a slash line: through measure, JSON and the result, which stays well-formed XML."""
    body = (
        f'<g data-name="{escaped(label)}">{PANEL}<line data-name="{escaped("slash " + label)}" x1="170" y1="20" '
        'x2="170" y2="420"/></g>'
    )
    (tmp_path / "drawing.svg").write_text(svg(body), encoding="utf-8")
    measured = json.loads(terminal("measure", "drawing.svg", "--json").out)
    assert measured["piece"] == plain(label)
    assert measured["slash_lines"][0]["name"] == plain(f"slash {label}")
    outcome = terminal("pleat", "drawing.svg", "-o", "flat.svg", *KNIFE, "--json")
    assert outcome.code == 0, outcome.err
    assert json.loads(outcome.out)["piece"] == plain(label)
    root: Any = etree.fromstring((tmp_path / "flat.svg").read_bytes())
    (piece,) = [element for element in root.iter(SVG + "g") if element.get("class") == "piece"]
    assert piece.get("data-piece") == plain(label)
    assert not list(root.iter(SVG + "script"))
    assert sum(plain(label) in text for text in texts(root)) >= 3, "on the title, the layer and the heading"


def test_control_characters_in_a_name_do_not_spoil_the_result(terminal: Terminal, tmp_path: Path) -> None:
    """Escapes of characters that XML cannot hold: U+FFFE, and one of the C1 set, which it can."""
    body = f'<g id="skirt_xFFFE_front_x0085_">{PANEL}{line("slash 1", 170)}</g>'
    (tmp_path / "drawing.svg").write_text(svg(body), encoding="utf-8")
    assert terminal("pleat", "drawing.svg", "-o", "flat.svg", *KNIFE).code == 0
    root: Any = etree.fromstring((tmp_path / "flat.svg").read_bytes())
    (piece,) = [element for element in root.iter(SVG + "g") if element.get("class") == "piece"]
    assert piece.get("data-piece").startswith("skirt")


def test_names_of_several_pieces(terminal: Terminal, tmp_path: Path) -> None:
    """Two pieces on one drawing: one is chosen by its name, in any case."""
    other = PANEL.replace("seam", "seam back").replace("M20 20H320V420H20Z", "M400 20H600V420H400Z")
    body = PANEL.replace("seam", "seam front") + line("slash 1", 170) + other + line("slash 2", 500)
    (tmp_path / "drawing.svg").write_text(svg(body, 'width="700mm" height="440mm" viewBox="0 0 700 440"'))
    for wanted, width, slash in (("Front", 300, "slash 1"), ("BACK", 200, "slash 2")):
        found = json.loads(terminal("measure", "drawing.svg", "--piece", wanted, "--json").out)
        left, _, right, _ = found["box_mm"]
        assert right - left == pytest.approx(width)
        assert [each["name"] for each in found["slash_lines"]] == [slash]


# ------------------------------------------------------------------------------------------- a process of its own


def test_as_a_program_of_its_own(tmp_path: Path) -> None:
    """`python -m pleatsvg`: the same text on standard output, the file, and exit code 0."""
    (tmp_path / "skirt.svg").write_bytes((FIXTURES / "skirt-front.svg").read_bytes())
    outcome = alone("pleat", "skirt.svg", "-o", "flat.svg", *KNIFE, folder=tmp_path)
    assert (outcome.code, outcome.err) == (0, "")
    assert "largest miss" in outcome.out
    assert (tmp_path / "flat.svg").exists()


def test_as_a_program_of_its_own_that_fails(tmp_path: Path) -> None:
    outcome = alone("pleat", "skirt.svg", "-o", "flat.svg", *KNIFE, folder=tmp_path)
    assert (outcome.code, outcome.out) == (1, "")
    assert outcome.err == "'skirt.svg' is not there. Check the name and the folder.\n"


def test_letters_that_the_terminal_does_not_have(tmp_path: Path) -> None:
    """A name in Japanese on a terminal that knows ASCII alone: no traceback, and what is written is whole."""
    body = f'<g data-name="襞スカート">{PANEL}{line("slash 1", 170)}</g>'
    (tmp_path / "drawing.svg").write_text(svg(body), encoding="utf-8")
    outcome = alone(
        *("pleat", "drawing.svg", "-o", "flat.svg", *KNIFE),
        folder=tmp_path,
        PYTHONIOENCODING="ascii",
        LC_ALL="C",
    )
    assert "Traceback" not in outcome.err
    assert "Something went wrong" not in outcome.err
    assert outcome.code == 0
    assert "襞スカート" in (tmp_path / "flat.svg").read_text(encoding="utf-8")
