"""The cutting line over a dart, held against shapely: the paper is sewn along the dart's legs and folded there.

How a dart is cut: it is folded as it will be pressed, and cut across along the panel that it lies on (common practice).
"""

from __future__ import annotations

import cmath
import time
from pathlib import Path

import numpy as np
import pytest
import shapely

from pleatsvg import pleat, read, write
from pleatsvg.errors import FitError, RequestError, SlashError
from pleatsvg.piece.finished import FinishedPiece
from pleatsvg.piece.measuring import measured
from pleatsvg.piece.open_darts import open_darts
from tests.referee import foldback

SEAMS = {
    "level": ("M0 0H142L150 100L158 0H300V500H0Z", (142, 150 + 100j, 158)),
    "trued": ("M0 0L140 4L150 100L160 4L300 -6V500H0Z", (140 + 4j, 150 + 100j, 160 + 4j)),
    "hollow": (
        "M0 0C60 18 100 20 138 20L150 120L162 20C200 20 250 14 300 0V500H0Z",
        (138 + 20j, 150 + 120j, 162 + 20j),
    ),
    "narrow": ("M0 0H145L150 100L155 0H300V500H0Z", (145, 150 + 100j, 155)),
    "wide": ("M0 0H130L150 60L170 0H300V500H0Z", (130, 150 + 60j, 170)),
    "leaning": ("M0 0L140 20L160 120L166 18.1961L300 44V500H0Z", (140 + 20j, 160 + 120j, 166 + 18.1961j)),
    "near the side": ("M0 0H270L280 90L290 0H300V500H0Z", (270, 280 + 90j, 290)),
    "hem": ("M0 0H300V500H160L150 420L140 500H0Z", (160 + 500j, 150 + 420j, 140 + 500j)),
    "left side": ("M0 0H300V500H0V208L40 200L0 192Z", (208j, 40 + 200j, 192j)),
    "right side": ("M0 0H300V192L260 200L300 208V500H0Z", (300 + 192j, 260 + 200j, 300 + 208j)),
}
WAYS = {"hem": ("right", "left"), "left side": ("down", "up"), "right side": ("up", "down")}
"""The words for: towards the seam before the dart, towards the seam after it, walked clockwise."""

GRID = 1e-6
"""mm. Without a grid the union of two regions with an edge that is alike but for rounding was one of the two."""


def paper(name: str, out: Path, **options: object) -> tuple[shapely.Polygon, shapely.Polygon, tuple[complex, ...]]:
    """The finished seam, the finished cutting line and the dart's three nodes as they stand in a result."""
    seam, nodes = SEAMS[name]
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="700mm" viewBox="-100 -100 600 700">'
        f'<path id="seam" d="{seam}"/><path id="slash 1" d="M60 0V500"/></svg>'
    )
    drawn = out / "piece.svg"
    drawn.write_text(text, encoding="utf-8")
    write(pleat(read(drawn), kind="knife", intake="2cm", lap="left", **options), out / "flat.svg", force=True)
    (piece,) = foldback._read(out / "flat.svg")
    outline = np.asarray(piece.finished)
    shift = complex(outline.real.max() - 300, outline.imag.max() - 500)
    ring = shapely.Polygon(foldback._xy(piece.finished_cut))
    return shapely.Polygon(foldback._xy(piece.finished)), ring, tuple(complex(z) + shift for z in nodes)


def mapped(shape: shapely.Geometry, turn: complex, about: complex) -> shapely.Geometry:
    return shapely.transform(
        shape, lambda xy: foldback._xy((xy[:, 0] + 1j * xy[:, 1] - about) * turn + about), include_z=False
    )


def mirrored(shape: shapely.Geometry, a: complex, b: complex) -> shapely.Geometry:
    along = (b - a) / abs(b - a)
    return shapely.transform(
        shape, lambda xy: foldback._xy(((xy[:, 0] - 1j * xy[:, 1]) - a.conjugate()) * along**2 + a)
    )


def sector(point: complex, first: complex, last: complex) -> shapely.Polygon:
    """From the ray `first` to the ray `last`, seen from the dart's point; under a half turn."""
    far = 1000.0
    steps = [cmath.rect(1, cmath.phase(first) + cmath.phase(last / first) * k / 8) for k in range(9)]
    return shapely.Polygon(foldback._xy(np.array([point, *[point + far * step for step in steps]])))


def together(*parts: shapely.Polygon) -> shapely.Polygon:
    """Regions that share an edge but for rounding as one region."""
    wide = [part.buffer(1e-4, join_style="mitre") for part in parts]
    return shapely.union_all(wide, grid_size=GRID).buffer(-1e-4, join_style="mitre")


def common(one: shapely.Geometry, other: shapely.Geometry) -> shapely.Geometry:
    """What two regions share, as regions."""
    return shapely.intersection(one, other, grid_size=GRID).buffer(0)


def off(one: shapely.Geometry, other: shapely.Geometry) -> float:
    """How thick the thickest sliver is in which two regions differ, mm."""
    difference = shapely.symmetric_difference(one.buffer(0), other.buffer(0), grid_size=GRID)
    low, high = 0.0, 20.0
    while high - low > 1e-3:
        middle = (low + high) / 2
        low, high = (middle, high) if not difference.buffer(-middle / 2).is_empty else (low, middle)
    return high


@pytest.mark.parametrize("allowance", ["6mm", "15mm", "40mm"])
@pytest.mark.parametrize("name", SEAMS)
def test_the_cutting_line_runs_on_over_a_dart(name: str, allowance: str, tmp_path: Path) -> None:
    wide = float(allowance[:-2])
    before, after = WAYS.get(name, ("left", "right"))
    cuts = {}
    for way in ("", before, after):
        seam, cuts[way], (a, p, b) = paper(name, tmp_path, allowance=allowance, **({"dart_lies": way} if way else {}))
    legs = a - p, b - p
    turn = (legs[1] / legs[0]) / abs(legs[1] / legs[0])
    half = legs[0] / abs(legs[0]) * turn**0.5
    near = shapely.Point(p.real, p.imag).buffer(abs(legs[0]) + 3 * wide, quad_segs=64)
    # The seam sewn: what lies before the dart, and what lies after it turned about its point. Mitred by shapely.
    ahead, behind = sector(p, legs[0] * 1j**-1, legs[0]), sector(p, legs[1], legs[1] * 1j)
    sewn = together(common(seam, ahead), mapped(common(seam, behind), turn.conjugate(), p)).buffer(
        1e-5, join_style="mitre"
    )
    target = sewn.buffer(wide, join_style="mitre", mitre_limit=5, quad_segs=64)
    beside = cmath.rect(1, 0.5 * abs(b - a) / abs(legs[0]))
    look = common(near, sector(p, legs[0] / beside, legs[0] * beside))
    for way, cut in cuts.items():
        flat = common(cut, ahead), mapped(common(cut, behind), turn.conjugate(), p)
        found = together(*flat)
        assert off(common(found, look), common(target, look)) < 0.06, way
        # Folded: the half next to each leg, as it lies beneath the panel that the dart is pressed to.
        first, second = common(cut, sector(p, legs[0], half)), common(cut, sector(p, half, legs[1]))
        if way == before:
            laid = mirrored(first, p, a), mapped(second, turn.conjugate(), p)
            panel = common(flat[0], sector(p, legs[0] * legs[0] / (half * abs(legs[0])), legs[0]))
        elif way == after:
            laid = mapped(mirrored(second, p, b), turn.conjugate(), p), first
            panel = common(flat[1], sector(p, legs[0], half))
        else:
            continue
        for layer in laid:
            assert off(layer, panel) < 0.02, way
    # Not said: there is cloth enough for either way, and none to spare.
    assert off(cuts[""], shapely.union(cuts[before], cuts[after], grid_size=GRID)) < 0.02
    if name in ("level", "narrow", "wide", "hem"):
        assert off(cuts[before], cuts[after]) < 0.02, "a dart as it is drawn most often is cut alike for both"


WHOLE = "M0 0H300V500H0Z"


def read_with(tmp_path: Path, inside: str, seam: str = WHOLE) -> FinishedPiece:
    text = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="700mm" viewBox="-100 -100 600 700">'
        f'<path id="seam" d="{seam}"/><path id="slash 1" d="M60 0V500"/>{inside}</svg>'
    )
    (tmp_path / "piece.svg").write_text(text, encoding="utf-8")
    return read(tmp_path / "piece.svg")


@pytest.mark.parametrize(
    "legs",
    [
        '<path d="M142 0L150 100L158 0"/>',
        '<path id="dart" d="M158 0.4L150 100L142 -0.3"/>',
        '<path d="M142 0L150 100"/><path d="M150.1 100L158 0"/>',
        '<path d="M150 100L142 0"/><path d="M158 0L150 100.2"/>',
        '<path d="M142 0C144 30 149 60 150 100C151 60 156 30 158 0"/>',
    ],
)
def test_a_dart_of_two_open_legs_is_told_and_taken_off(legs: str, tmp_path: Path) -> None:
    piece = read_with(tmp_path, legs)
    told = pleat(piece, kind="knife", intake="20mm", lap="left").remarks
    said = [words for words in told if words.startswith("A dart of two open legs in the top, 16 mm wide and ")]
    assert len(said) == 1
    assert "it leaves 284 mm of the top as drawn, 300 mm" in said[0]
    (dart,) = measured(piece).darts
    assert (dart.edge.name, dart.sewn) == ("top", False)
    assert dart.intake == pytest.approx(16, abs=0.01)
    assert dart.leaves == pytest.approx(284, abs=0.01)


@pytest.mark.parametrize(
    "other",
    [
        '<path d="M100 0L150 60L200 0"/>',  # wider than a leg is long
        '<path d="M142 20L150 100L158 20"/>',  # begins on the piece
        '<path d="M142 0L150 100L158 0Z"/>',
        '<path d="M142 0L150 100V160"/>',
        '<path d="M142 0L150 500L158 0"/>',  # its point lies on the hem
        '<path d="M142 0L150 100L300 100"/>',
        '<path d="M142 0L150 100L155 40"/>',
    ],
)
def test_what_is_no_dart_is_not_told_as_one(other: str, tmp_path: Path) -> None:
    assert measured(read_with(tmp_path, other)).darts == ()


def test_a_crowd_of_lines_is_looked_through_quickly(tmp_path: Path) -> None:
    """Pairs of lines were looked for among all that end in one column, and kept: 6 GB for a few thousand."""
    rays = [f'<path d="M150 250L{150 + k % 77} {100 + k // 77}"/>' for k in range(3000)]
    column = [f'<path d="M200 {100 + k / 10}L{210 + k % 7} {100 + k / 10}"/>' for k in range(3000)]
    piece = read_with(tmp_path, "".join(rays + column))
    start = time.process_time()
    assert open_darts(piece) == ()
    assert time.process_time() - start < 1


@pytest.mark.parametrize("end", ["150 100", "150 100.6", "146 50", "150 96"])
def test_a_slash_line_that_ends_in_a_dart_is_refused(end: str, tmp_path: Path) -> None:
    """The seam was drawn in a zigzag there, no shorter for the pleat, and nothing was said."""
    dart = SEAMS["level"][0]
    bad = read_with(tmp_path, f'<path id="slash 2" d="M{end}L150 500"/>', dart)
    with pytest.raises(SlashError, match=r"ends (at the point|in the leg) of a dart"):
        pleat(bad, kind="knife", intake="2cm", lap="left", slash="slash 2")
    beside = read_with(tmp_path, '<path id="slash 2" d="M180 0L180 500"/>', dart)
    assert pleat(beside, kind="knife", intake="2cm", lap="right", slash="slash 2").proof.worst < 0.01
    at_its_mouth = read_with(tmp_path, '<path id="slash 2" d="M158 0L180 500"/>', dart)
    assert pleat(at_its_mouth, kind="tuck", intake="2cm", lap="right", slash="slash 2").proof.worst < 0.01


def test_ways_that_fit_no_dart_are_refused(tmp_path: Path) -> None:
    piece = read_with(tmp_path, "", SEAMS["level"][0])
    options = {"kind": "knife", "intake": "2cm", "lap": "left"}
    with pytest.raises(FitError, match=r"dart_lies=.up. fits no dart of"):
        pleat(piece, allowance="1cm", dart_lies="up", **options)
    with pytest.raises(FitError, match="which has none"):
        pleat(read_with(tmp_path, ""), allowance="1cm", dart_lies="left", **options)
    with pytest.raises(RequestError, match="no cutting line"):
        pleat(piece, dart_lies="left", **options)
    with pytest.raises(RequestError, match="is 'lft'"):
        pleat(piece, allowance="1cm", dart_lies=["left", "lft"], **options)
    assert pleat(piece, allowance="1cm", dart_lies=["centre", "up"][:1], **options).proof.worst < 0.01
