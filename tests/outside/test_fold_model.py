"""The fold model against closed forms and against the trade's published worked examples.

Every drawing is made here as text, goes through the public calls, and the written file is read back with lxml: what
is compared is what stands in the file. Each value has its source beside it: a published one; "derived" (from the
drawing alone, by plane geometry); "common practice"; or "from memory".

NIMI is: National Instructional Media Institute, *Dress Making, Trade Practical* (CITS), vol. 2, pp. 201-209.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.outside.written import Line, Written, bezier, closed, drawing, mirror, panel, pleated, point, upright

WRITTEN = 2e-6
"""Six decimals are written: a coordinate is off by half a millionth, a difference of two by twice that, mm."""

CM = 10.0
INCH = 25.4


def ends(line: Line) -> tuple[complex, complex]:
    return line.top, line.hem


def has_node(result: Written, z: complex, within: float = WRITTEN) -> bool:
    return min(abs(seg[0] - z) for seg in result.seam) <= within


def off_seam(result: Written, z: complex) -> float:
    """How far a point lies from the flat seam: from two hundred chords to a curve, 3e-6 off one of radius 400."""
    nearest = math.inf
    for seg in result.seam:
        stops = [bezier(seg, k / 200) for k in range(201)] if len(seg) == 4 else list(seg)
        for a, b in itertools.pairwise(stops):
            share = min(1.0, max(0.0, ((z - a) * (b - a).conjugate()).real / abs(b - a) ** 2))
            nearest = min(nearest, abs(a + share * (b - a) - z))
    return nearest


def crossing(a: Line, b: Line) -> complex:
    """Where two lines meet when produced."""
    r, s = a.hem - a.top, b.hem - b.top
    return a.top + r * (((b.top - a.top).conjugate() * s).imag / (r.conjugate() * s).imag)


# ------------------------------------------------------------------------------------- the fold map and trued seams


def laps_right(u: float, a: float, d: float) -> float:
    """Where the flat seam at u comes to lie; outer fold at a, depth d, fold pointing right. Derived."""
    return u if u <= a else 2 * a - u if u <= a + d else u - 2 * d


def laps_left(u: float, a: float, d: float) -> float:
    """The same for a fold that points left: the cloth runs on under the fold first. Derived."""
    return u if u <= a + d else 2 * (a + d) - u if u <= a + 2 * d else u - 2 * d


FoldMap = Callable[[float, float, float], float]
LAPS: list[tuple[str, FoldMap]] = [("right", laps_right), ("left", laps_left)]


@pytest.mark.parametrize(("lap", "fold_map"), LAPS)
def test_seam_of_slope_a_twentieth_follows_the_fold_map_all_along(tmp_path: Path, lap: str, fold_map: FoldMap) -> None:
    """y = 0.05 x, fold at 100, depth 30: flat seam y = 0.05 x(u), x(u) the fold map. Derived."""
    outline = closed(0j, 300 + 15j, 300 + 400j, 400j)
    text = drawing(outline, {"slash 1": (100 + 5j, 100 + 400j)})
    result = pleated(tmp_path, text, kind="knife", depth="30mm", lap=lap)
    top = result.on_top()
    assert top.real.min() == 0
    assert abs(top.real.max() - 360) < WRITTEN
    for z in top:
        assert abs(z.imag - 0.05 * fold_map(z.real, 100, 30)) < WRITTEN


def test_peaks_of_a_seam_of_slope_a_twentieth(tmp_path: Path) -> None:
    """Flat seam through (100, 5), (130, 3.5), (160, 5). Derived: y = 0.05 x at x = 100, 70, 100."""
    text = drawing(closed(0j, 300 + 15j, 300 + 400j, 400j), {"slash 1": (100 + 5j, 100 + 400j)})
    result = pleated(tmp_path, text, kind="knife", depth="30mm", lap="right")
    for peak in (100 + 5j, 130 + 3.5j, 160 + 5j):
        assert off_seam(result, peak) < WRITTEN


def arc_waist(x: float) -> float:
    """A waist drawn as an arc of radius 400 that is level at x = 0."""
    return 400 - math.sqrt(400**2 - x**2)


def arc_piece(fold: float) -> str:
    right = complex(300, arc_waist(300))
    outline = f"M0,0 A400,400 0 0 1 {point(right)} L300,700 L0,700 Z"
    return drawing(outline, {"slash 1": (complex(fold, arc_waist(fold)), complex(fold, 700))})


@pytest.mark.parametrize(
    ("fold", "peaks"), [(100.0, (12.702, 6.173, 12.702)), (180.0, (42.789, 29.190, 42.789))], ids=["100", "180"]
)
def test_peaks_of_an_arc_waist(tmp_path: Path, fold: float, peaks: tuple[float, float, float]) -> None:
    """y = 400 - sqrt(400^2 - x^2) at the fold, one depth of 30 before it, and at the fold again. Derived."""
    result = pleated(tmp_path, arc_piece(fold), kind="knife", depth="30mm", lap="right")
    for u, y in zip((fold, fold + 30, fold + 60), peaks, strict=True):
        assert off_seam(result, complex(u, y)) < 0.0006


@pytest.mark.parametrize(("lap", "fold_map"), LAPS)
@pytest.mark.parametrize("fold", [100.0, 180.0])
def test_arc_waist_follows_the_fold_map_all_along(tmp_path: Path, fold: float, lap: str, fold_map: FoldMap) -> None:
    """Flat waist y = 400 - sqrt(400^2 - x(u)^2), within the 1e-6 mm of arcs and the six decimals. Derived."""
    result = pleated(tmp_path, arc_piece(fold), kind="knife", depth="30mm", lap=lap)
    top = result.on_top(4)
    assert abs(top.real.max() - 360) < WRITTEN
    for z in top:
        assert abs(z.imag - arc_waist(fold_map(z.real, fold, 30))) < 2 * WRITTEN


def test_untrued_inner_fold_would_miss_by_slope_times_depth(tmp_path: Path) -> None:
    """Slope 0.2, depth 80: the trued seam leaves the straight way from fold to placement by 16. Derived."""
    text = drawing(closed(0j, 500 + 100j, 500 + 700j, 700j), {"slash 1": (200 + 40j, 200 + 700j)})
    result = pleated(tmp_path, text, kind="knife", depth="80mm", lap="right")
    (fold,), (inner,), (place,) = (result.lines(n) for n in ("fold-line", "inner-fold-line", "placement-line"))
    straight = (fold.top + place.top) / 2
    assert abs(straight.real - inner.top.real) < WRITTEN
    assert abs((straight.imag - inner.top.imag) - 16) < WRITTEN


def test_finished_shape_is_what_was_drawn(tmp_path: Path) -> None:
    """The hidden finished line of a result is the drawn outline, node for node. Derived."""
    corners = [0j, 300 + 15j, 320 + 400j, 10 + 380j]
    text = drawing(closed(*corners), {"slash 1": (100 + 5j, 100 + 400j)})
    result = pleated(tmp_path, text, kind="inverted", depth="20mm")
    nodes = [seg[0] for seg in result.finished]
    assert len(nodes) == len(corners)
    for corner in corners:
        assert min(abs(node - corner) for node in nodes) < WRITTEN


# ------------------------------------------------------------------------------------- products of two reflections


def test_two_parallel_reflections_move_by_twice_their_distance(tmp_path: Path) -> None:
    """In x = 30 first, then in x = 0: (100, 50) goes to (40, 50).

    Source: Coxeter, *Introduction to Geometry*, ch. 3 (from memory): the product of two reflections in parallel lines
    is a translation by twice their distance. The piece is so drawn that its corner comes to lie there: the fold
    stands at x = 200.
    """
    text = drawing(closed(0j, 240 + 50j, 240 + 400j, 400j), {"slash 1": (200 + 0j, 200 + 400j)})
    result = pleated(tmp_path, text, kind="knife", depth="30mm", lap="right")
    first, second = result.creases
    assert abs(first.top.real - 200) < WRITTEN and abs(second.top.real - 230) < WRITTEN
    assert has_node(result, 300 + 50j)
    folded = mirror(*ends(first))(mirror(*ends(second))(300 + 50j))
    assert abs(folded - (240 + 50j)) < 2 * WRITTEN


def test_two_reflections_that_meet_turn_by_twice_their_angle(tmp_path: Path) -> None:
    """Outer fold (-30, 0)-(-20, 200), placement (30, 0)-(20, 200): inner fold x = 0, apex (0, 600), rotation 5.7248
    degrees, and (100, 0) comes from (39.6509, -6.9825).

    Derived: apex by similar triangles; rotation 2 asin((30 - 20) / |TH|); the point turned about the apex by that.
    The drawing stands 200 to the right of these coordinates.
    """
    off = 200
    corner = complex(39.6509, -6.9825) + off
    outline = closed(0j, -30 + 0j + off, corner, 60 + 190j + off, -20 + 200j + off, 200j)
    text = drawing(outline, {"slash 1": (-30 + 0j + off, -20 + 200j + off)})
    result = pleated(tmp_path, text, complex(0, -6.9825), kind="knife", intake="60mm", hem_intake="40mm", lap="right")
    (fold,), (inner,), (place,) = (result.lines(n) for n in ("fold-line", "inner-fold-line", "placement-line"))
    for line, (top, hem) in ((fold, (-30 + 0j, -20 + 200j)), (place, (30 + 0j, 20 + 200j))):
        assert abs(line.top - off - top) < WRITTEN
        assert abs(line.hem - off - hem) < WRITTEN
    assert abs(inner.top.real - off) < WRITTEN and abs(inner.hem.real - off) < WRITTEN
    for a, b in itertools.combinations((fold, inner, place), 2):
        assert abs(crossing(a, b) - off - 600j) < 1e-4  # six decimals over 200 mm, produced to 600
    turn = result.folding[2].turn
    assert not result.folding[2].over
    assert abs(abs(math.degrees(cmath.phase(turn))) - 5.7248) < 5e-5
    assert has_node(result, 100 + 0j + off, within=1e-4)
    assert abs(result.folded(100 + 0j + off) - corner) < 1e-4


TAPERS = [(60.0, 40.0), (40.0, 90.0), (50.0, 0.0), (0.0, 64.0), (33.0, 33.0)]


@pytest.mark.parametrize(("top", "hem"), TAPERS)
@pytest.mark.parametrize("lap", ["left", "right"])
def test_taper_has_its_closed_form(tmp_path: Path, top: float, hem: float, lap: str) -> None:
    """Displaced line turned by asin((b - a) / |TH|); |TT'| and |HH'| are the intakes; fold and placement equally long;
    the inner fold is their bisector.

    Derived; the bisector is Huzita-Hatori axiom 3, the fold that lays one line upon another (from memory).
    """
    start, end = 200 + 8j, 190 + 405j
    outline = closed(0j, 200 + 8j, 400 + 16j, 430 + 400j, -20 + 410j)
    text = drawing(outline, {"slash 1": (start, end)})
    options: dict[str, Any] = {"intake": f"{top}mm", "hem_intake": f"{hem}mm", "lap": lap, "kind": "knife"}
    result = pleated(tmp_path, text, -20 + 0j, **options)
    (fold,), (inner,), (place,) = (result.lines(n) for n in ("fold-line", "inner-fold-line", "placement-line"))
    assert abs(abs(fold.top - place.top) - top) < WRITTEN
    assert abs(abs(fold.hem - place.hem) - hem) < WRITTEN
    long_way = [abs(line.hem - line.top) for line in (fold, place)]
    assert abs(long_way[0] - long_way[1]) < WRITTEN
    assert abs(long_way[0] - abs(fold.hem - fold.top)) < WRITTEN
    way = [(line.hem - line.top) / abs(line.hem - line.top) for line in (fold, inner, place)]
    expected = math.asin((hem - top) / 2 / long_way[0])
    for one, other in ((way[0], way[1]), (way[1], way[2])):
        # To six decimals over some 400 mm a direction is sure to 1e-8; which way round follows from the lap.
        assert abs(abs(cmath.phase(other / one)) - abs(expected)) < 2e-8
    assert abs(mirror(*ends(inner))(fold.top) - place.top) < 2 * WRITTEN
    assert abs(mirror(*ends(inner))(fold.hem) - place.hem) < 2 * WRITTEN


def test_hinged_pleat_turns_about_its_hem_end(tmp_path: Path) -> None:
    """Intake 0 at the hem: fold, inner fold and placement meet there, and the far panel turns about that point by
    2 asin(a / |TH|). Derived."""
    text = drawing(panel(400, 500), upright(500, 200))
    result = pleated(tmp_path, text, kind="knife", intake="60mm", hem_intake="0mm", lap="right")
    lines = [result.lines(n)[0] for n in ("fold-line", "inner-fold-line", "placement-line")]
    for line in lines:
        assert abs(line.hem - (200 + 500j)) < WRITTEN
    motion = result.folding[-1]
    assert abs(motion(200 + 500j) - (200 + 500j)) < 2 * WRITTEN
    assert abs(abs(cmath.phase(motion.turn)) - 2 * math.asin(30 / 500)) < 1e-8
    assert abs(result.area - (400 * 500 + 2 * _wedge(30, 500))) < 0.01


def _wedge(a: float, length: float) -> float:
    # The strip of a hinged pleat under a square corner: from the slash line (length) to the displaced line that meets
    # the top seam at a / cos(angle) from it; a right triangle. Derived.
    return length * (a / math.cos(math.asin(a / length))) / 2


# --------------------------------------------------------------------------------------------- kinds and their lines


@pytest.mark.parametrize(
    ("kind", "folds", "placements"),
    [("knife", 1, 1), ("box", 2, 2), ("inverted", 2, 1)],
    ids=["knife", "box", "inverted"],
)
def test_lines_of_each_kind(tmp_path: Path, kind: str, folds: int, placements: int) -> None:
    """Knife 1 fold + 1 placement; box 2 + 2; inverted 2 folds + 1 shared placement. NIMI, pp. 203-204."""
    lap: dict[str, Any] = {"lap": "left"} if kind == "knife" else {}
    text = drawing(panel(900, 300), upright(300, 250, 600))
    result = pleated(tmp_path, text, kind=kind, intake="160mm", **lap)
    for pleat in (1, 2):
        assert sum(line.pleat == pleat for line in result.lines("fold-line")) == folds
        assert sum(line.pleat == pleat for line in result.lines("placement-line")) == placements
    assert {line.pleat for line in result.creases} == {1, 2}
    shared = {"inverted": 2}.get(kind, 1)
    assert all(len(line.folds) == shared for line in result.lines("placement-line"))


EDGES = {  # where fold, inner fold and placement lines of one pleat stand on the flat panel, and the finished folds
    # slash line at 300, depth 40, face 100; table of fold lists, by hand. Derived.
    "knife left": ([380], [340], [300], [300]),
    "knife right": ([300], [340], [380], [300]),
    "inverted": ([300, 460], [340, 420], [380], [300, 300]),
    "box": ([330, 430], [290, 470], [250, 510], [250, 350]),
}


@pytest.mark.parametrize("case", EDGES)
def test_lines_stand_where_the_fold_lists_say(tmp_path: Path, case: str) -> None:
    """On a plain panel, with reflections in upright lines only. Derived by hand from the fold lists."""
    kind, _, lap = case.partition(" ")
    more: dict[str, Any] = {"lap": lap} if lap else {"face": "100mm"} if kind == "box" else {}
    result = pleated(tmp_path, drawing(panel(600, 200), upright(200, 300)), kind=kind, depth="40mm", **more)
    folds, inner, places, finished = EDGES[case]
    for name, expected in (("fold-line", folds), ("inner-fold-line", inner), ("placement-line", places)):
        found = sorted(line.middle.real for line in result.lines(name))
        assert found == pytest.approx(expected, abs=WRITTEN)
    laid = sorted(
        result.folding[k](crease.middle).real for k, crease in enumerate(result.creases) if crease.name == "fold-line"
    )
    assert laid == pytest.approx(finished, abs=4 * WRITTEN)


def test_box_face_edges_are_parallel_to_the_slash_line(tmp_path: Path) -> None:
    """Both edges of the face at half of it from the slash line, from seam to seam, under a taper too. Derived."""
    start, end = 300 + 6j, 280 + 400j
    outline = closed(0j, 600 + 12j, 620 + 400j, -20 + 400j)
    text = drawing(outline, {"slash 1": (start, end)})
    result = pleated(tmp_path, text, -20 + 0j, kind="box", intake="120mm", hem_intake="160mm", face="90mm")
    along = (end - start) / abs(end - start)
    offsets = []
    for k, crease in enumerate(result.creases):
        if crease.name == "fold-line":
            for z in ends(crease):
                offsets.append(((result.folding[k](z) - start) * along.conjugate()).imag)
    assert sorted(offsets) == pytest.approx([-45, -45, 45, 45], abs=4 * WRITTEN)


# -------------------------------------------------------------------------------------------------- spread and layers

ALIKE = [("knife", {"lap": "left"}), ("knife", {"lap": "right"}), ("inverted", {}), ("box", {"face": "20mm"})]


@pytest.mark.parametrize(("kind", "more"), ALIKE)
@pytest.mark.parametrize(
    ("across", "along", "area"), [(400, 600, 348_000), (600, 400, 312_000)], ids=["400 across", "600 across"]
)
def test_parallel_spread(
    tmp_path: Path, kind: str, more: dict[str, Any], across: float, along: float, area: float
) -> None:
    """Three intakes of 60 in a panel of 240 000 mm2: its area grows by 3 x 60 x the length of a slash line, and a notch
    at 300 past all three lands at 480. Derived: (400 + 180) x 600 = 348 000 where the lines are 600 long,
    (600 + 180) x 400 = 312 000 where they are 400 long."""
    outline = closed(0j, 300 + 0j, complex(across, 0), complex(across, along), complex(0, along))
    text = drawing(outline, upright(along, 100, 160, 220))
    result = pleated(tmp_path, text, kind=kind, intake="60mm", **more)
    assert has_node(result, 480 + 0j)
    assert abs(result.area - area) < 0.01
    assert abs(result.width - (across + 180)) < WRITTEN


def layer_counts(result: Written, level: float, low: float, high: float) -> tuple[float, int]:
    """Layers of cloth on average, and at most, between two places of the folded piece."""
    cuts = [min(seg[0].real for seg in result.seam), *(c.middle.real for c in result.creases)]
    cuts.append(max(seg[0].real for seg in result.seam))
    spans = []
    for k, (a, b) in enumerate(itertools.pairwise(cuts)):
        one, other = (result.folding[k](complex(x, level)).real for x in (a, b))
        spans.append((min(one, other), max(one, other)))
    covered = sum(max(0.0, min(b, high) - max(a, low)) for a, b in spans)
    samples = np.linspace(low, high, 997)[1:-1]
    most = max(sum(a < x < b for a, b in spans) for x in samples)
    return covered / (high - low), most


@pytest.mark.parametrize(("depth", "spacing"), [(50, 25), (30, 25), (20, 25), (25, 25), (62.5, 25)])
def test_layers_of_cloth(tmp_path: Path, depth: float, spacing: float) -> None:
    """Average 1 + 2 d/p, most 1 + 2 ceil(d/p) for knife pleats of depth d and spacing p. Derived."""
    places = [100 + spacing * k for k in range(14)]
    text = drawing(panel(600, 200), upright(200, *places))
    result = pleated(tmp_path, text, kind="knife", depth=f"{depth}mm", lap="right")
    average, most = layer_counts(result, 100, places[6], places[10])
    assert abs(average - (1 + 2 * depth / spacing)) < 1e-6
    assert most == 1 + 2 * math.ceil(depth / spacing)


# ------------------------------------------------------------------------------------------ the trade's own examples


def pleated_band(
    folder: Path, finished: float, places: list[float], kind: str = "knife", unit: float = CM, **options: Any
) -> Written:
    """A straight band with upright slash lines at these places; widths in units of so many mm."""
    text = drawing(panel(finished * unit, 150), upright(150, *[place * unit for place in places]))
    return pleated(folder, text, kind=kind, **options)


def in_a_row(first: float, spacing: float, count: int) -> list[float]:
    return [first + spacing * k for k in range(count)]


def test_one_box_pleat(tmp_path: Path) -> None:
    """Example 3: depth 12, finished 60 gives 108 cm. NIMI p. 204."""
    assert pleated_band(tmp_path, 60, [30], "box", depth="12cm").width == pytest.approx(1080, abs=WRITTEN)


def test_one_inverted_pleat_and_half_of_it(tmp_path: Path) -> None:
    """Example 4: depth 6.5, hem 66 gives 92 cm (NIMI p. 204); each half gains 13 up to the middle (derived)."""
    result = pleated_band(tmp_path, 66, [33], "inverted", depth="6.5cm")
    assert result.width == pytest.approx(920, abs=WRITTEN)
    (middle,) = result.lines("placement-line")
    assert middle.middle.real == pytest.approx((33 + 13) * CM, abs=WRITTEN)


ROWS = {
    # finished, depth, count, first place, plain cloth added at the sides, flat width (all cm) and the source. The
    # places leave every underlay under the band; where the last one would reach past its side, plain cloth is added.
    "1": (92, 4, 18, 0.5, 0, 236, "NIMI p. 203"),
    "2, with two 1 cm seams": (50, 2.5, 20, 1, 2, 152, "NIMI pp. 203-204"),
    "5": (80, 3, 20, 0.5, 0, 200, "derived from NIMI 2a"),
    "6": (62, 4.2, 12, 0.5, 0, 162.8, "derived from NIMI 2b"),
    "7": (48, 4, 12, 1, 2, 144 + 2, "derived from NIMI 2c"),
    "8, in pleats of 3": (189, 3, 63, 1, 2, 567 + 2, "derived from NIMI ex. 4"),
    "9a": (168, 3, 56, 1, 2, 504 + 2, "derived from NIMI ex. 3a"),
    "9b": (260, 4.5, 52, 0.25, 0, 728, "derived from NIMI ex. 3b"),
    "9c": (144, 3.5, 48, 1, 2, 480 + 2, "derived from NIMI ex. 3c"),
    "9d": (172.2, 4.2, 43, 1, 2, 533.4 + 2, "derived from NIMI ex. 3d"),
    "9e": (124, 2.5, 31, 1, 0, 279, "derived from NIMI ex. 3e"),
    "12, pleats of 4": (72, 4, 18, 1, 2, 216 + 2, "derived; yuzuandpear, 'Pleats please'"),
    "12, pleats of 2": (72, 2, 36, 1, 2, 216 + 2, "derived; yuzuandpear, 'Pleats please'"),
    "17": (72, 3, 6, 6, 0, 108, "derived"),
}


@pytest.mark.parametrize("row", ROWS)
def test_knife_pleats_of_the_worked_examples(tmp_path: Path, row: str) -> None:
    """Flat width = finished width + intake x count (NIMI p. 203). Sources of the rows stand in ROWS.

    Every fold also stands at its own place, counted from the first: errors of a rounded spacing do not add up (kilt
    practice; derived).
    """
    finished, depth, count, first, plain, flat, _ = ROWS[row]
    spacing = finished / count
    places = in_a_row(first, spacing, count)
    result = pleated_band(tmp_path, finished + plain, places, depth=f"{depth}cm", lap="left")
    assert result.width == pytest.approx(flat * CM, abs=WRITTEN)
    folds = result.lines("fold-line")
    assert len(folds) == count
    for k, fold in enumerate(folds):
        expected = (first + k * (spacing + 2 * depth) + 2 * depth) * CM
        assert fold.middle.real == pytest.approx(expected, abs=WRITTEN)


@pytest.mark.parametrize(
    ("kind", "more"),
    [("knife", {"lap": "left", "depth": "4cm"}), ("inverted", {"depth": "2cm"}), ("box", {"depth": "2cm"})],
)
def test_full_pleats_take_three_times_the_width(tmp_path: Path, kind: str, more: dict[str, Any]) -> None:
    """Knife: depth = spacing; touching box or inverted: depth half the spacing; flat = 3 x finished.
    NIMI pp. 203-204; *School Needlework*. Twelve pleats of spacing 4 cm, with 2 cm of plain cloth at both sides."""
    places = in_a_row(2 if kind == "knife" else 4, 4, 12)
    result = pleated_band(tmp_path, 48 + 4, places, kind, **more)
    assert result.width == pytest.approx((3 * 48 + 4) * CM, abs=WRITTEN)


def test_two_inches_over_four_inverted_pleats(tmp_path: Path) -> None:
    """Example 13: half an inch each, a quarter per side. learntoalter."""
    result = pleated_band(tmp_path, 14, [2, 5, 8, 11], "inverted", INCH, intake="1/2in")
    assert result.width - 14 * INCH == pytest.approx(2 * INCH, abs=WRITTEN)
    places = {line.pleat: line for line in result.lines("placement-line")}
    for fold in result.lines("fold-line"):
        step = abs(fold.middle - places[fold.pleat].middle)
        assert step == pytest.approx(INCH / 4, abs=WRITTEN)


def test_six_half_inch_meeting_pleats(tmp_path: Path) -> None:
    """Example 14: cloth 9 1/2 in, first fold at 1 in, then every 1 1/2: six pleats; finished 3 1/2.
    *School Needlework*; derived. One inch of plain cloth is added after the last, which would end on the side."""
    result = pleated_band(tmp_path, 3.5 + 1, in_a_row(1, 0.5, 6), unit=INCH, depth='1/2"', lap="right")
    assert result.width == pytest.approx((9.5 + 1) * INCH, abs=WRITTEN)
    found = [fold.middle.real / INCH for fold in result.lines("fold-line")]
    assert found == pytest.approx(in_a_row(1, 1.5, 6), abs=1e-6)


def test_kilt_takes_the_waist_in_by_its_spacing(tmp_path: Path) -> None:
    """Example 11: hip 42, waist 37, apron 16 (in): 26 pleats of 1 in at the hip stand 21/26 = 0.8077 in apart at the
    waist. Derived from kilt practice; a spacing rounded to 13/16 in would end 1/8 in long."""
    outline = closed(2.5 * INCH + 0j, 23.5 * INCH + 0j, 26 * INCH + 300j, 300j)
    options: dict[str, Any] = {"kind": "knife", "intake": "3/4in", "lap": "right", "count": 26, "run": "fan"}
    result = pleated(tmp_path, drawing(outline), **options)
    laid = [
        (result.folding[k](crease.top), result.folding[k](crease.hem))
        for k, crease in enumerate(result.creases)
        if crease.name == "fold-line"
    ]
    assert len(laid) == 26
    for (top, hem), (next_top, next_hem) in itertools.pairwise(laid):
        assert abs(next_top - top) / INCH == pytest.approx(0.8077, abs=5e-5)
        assert abs(next_hem - hem) / INCH == pytest.approx(1, abs=1e-6)


def test_inverted_pleat_deeper_at_the_hem(tmp_path: Path) -> None:
    """Example 19: centre-back inverted pleat 5 in at the waist, 7 in at the hem. Five-gored skirt, *Text-Book on
    Domestic Art*. The intake is what fold lines and placement line lie apart."""
    text = drawing(panel(20 * INCH, 30 * INCH), upright(30 * INCH, 10 * INCH))
    result = pleated(tmp_path, text, kind="inverted", intake="5in", hem_intake="7in")
    (place,) = result.lines("placement-line")
    folds = result.lines("fold-line")
    assert sum(abs(fold.top - place.top) for fold in folds) == pytest.approx(5 * INCH, abs=2 * WRITTEN)
    assert sum(abs(fold.hem - place.hem) for fold in folds) == pytest.approx(7 * INCH, abs=2 * WRITTEN)


def test_a_hundred_and_sixty_inches_into_twenty_six(tmp_path: Path) -> None:
    """Example 18: intake 134, 6.15 layers on average; derived. Sixty-seven pleats of 1 in depth, 26/67 in apart, with
    2 in of plain cloth at both sides; at most 1 + 2 ceil(67/26) = 7 layers."""
    spacing = 26 / 67
    result = pleated_band(tmp_path, 26 + 4, in_a_row(2, spacing, 67), unit=INCH, depth="1in", lap="left")
    assert result.width == pytest.approx((160 + 4) * INCH, abs=WRITTEN)
    average, most = layer_counts(result, 75, 10 * INCH, (10 + 26 * spacing) * INCH)
    assert average == pytest.approx(6.15, abs=0.005)
    assert most == 7
