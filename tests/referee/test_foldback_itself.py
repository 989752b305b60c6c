"""Is the referee itself to be trusted?  It must pass what is true and fail what is false.

The results here are made without the program: some are written out in numbers, the others come from closed
forms.  Marks: D derived, M source named from memory.  The pieces stand in the wardrobe room of a small
amateur theatre.  All lengths in mm, areas in mm2.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest

from .foldback import (
    CannotFoldError,
    Motion,
    assert_true,
    folding_motions,
    prove,
    prove_all,
    read_path,
    reflection,
)

# -------------------------------------------------------------------------------------- writing small results

Cubic = tuple[complex, complex, complex]
Edge = complex | Cubic  # a straight edge to a point, or a cubic to its last point


@dataclass(frozen=True)
class Drawn:
    """One line of a pleat as it is to be written."""

    css: str
    pleat: int
    fold: str
    start: complex
    end: complex
    extra: str = ""


@dataclass(frozen=True)
class Result:
    """A result with one piece, ready to be spoilt and written."""

    seam: tuple[Edge, ...]
    finished: tuple[Edge, ...]
    lines: tuple[Drawn, ...]
    kind: str = "knife"
    lap: str = "right"
    name: str = "usher skirt"

    def moved(self, motion: Callable[[complex], complex]) -> Result:
        def edges(path: tuple[Edge, ...]) -> tuple[Edge, ...]:
            return tuple(
                (motion(edge[0]), motion(edge[1]), motion(edge[2])) if isinstance(edge, tuple) else motion(edge)
                for edge in path
            )

        lines = tuple(replace(line, start=motion(line.start), end=motion(line.end)) for line in self.lines)
        return replace(self, seam=edges(self.seam), finished=edges(self.finished), lines=lines)

    def with_line(self, number: int, **changes: object) -> Result:
        lines = list(self.lines)
        lines[number] = replace(lines[number], **changes)  # type: ignore[arg-type]
        return replace(self, lines=tuple(lines))

    def group(self) -> str:
        rows = [
            f'<path class="seam-line" d="{path_data(self.seam)}"/>',
            f'<path class="finished-line" data-pass="1" d="{path_data(self.finished)}"/>',
        ]
        for line in self.lines:
            rows.append(
                f'<path class="{line.css}" data-pass="1" data-pleat="{line.pleat}" data-fold="{line.fold}" '
                f'data-kind="{self.kind}" data-lap="{self.lap}" {line.extra} '
                f'd="M {point(line.start)} L {point(line.end)}"/>'
            )
        body = "\n".join(rows)
        return f'<g class="piece" data-piece="{self.name}"><g class="lines">\n{body}\n</g></g>'

    def text(self) -> str:
        return sheet(self.group())


def sheet(*groups: str) -> str:
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="2000mm" height="900mm" viewBox="0 0 2000 900">'
    return "\n".join([head, *groups, "</svg>"])


def point(z: Edge) -> str:
    assert isinstance(z, complex)
    return f"{z.real:.6f} {z.imag:.6f}"


def path_data(edges: tuple[Edge, ...]) -> str:
    words = []
    for edge in edges:
        if isinstance(edge, tuple):
            words.append("C " + ", ".join(point(z) for z in edge))
        else:
            words.append(("L " if words else "M ") + point(edge))
    return " ".join([*words, "Z"])


@pytest.fixture
def write(tmp_path: Path) -> Callable[[Result | str], Path]:
    def to_file(result: Result | str) -> Path:
        path = tmp_path / "result.svg"
        path.write_text(result if isinstance(result, str) else result.text(), encoding="utf-8")
        return path

    return to_file


Write = Callable[[Result | str], Path]

# ----------------------------------------------------------------------------------- results in plain numbers


def knife_right() -> Result:
    """Seam y = 0.05 x, fold at 100, depth 30: the flat seam passes (100, 5), (130, 3.5), (160, 5).  D

    The fold map takes u to u, then 200 - u from 100 on, then u - 60 from 130 on.
    """
    return Result(
        seam=(0j, 100 + 5j, 130 + 3.5j, 160 + 5j, 260 + 10j, 260 + 300j, 300j),
        finished=(0j, 200 + 10j, 200 + 300j, 300j),
        lines=(
            Drawn("fold-line", 1, "1", 100 + 5j, 100 + 300j),
            Drawn("inner-fold-line", 1, "2", 130 + 3.5j, 130 + 300j),
            Drawn("placement-line", 1, "1", 160 + 5j, 160 + 300j),
        ),
    )


def knife_left() -> Result:
    """The same seam, slash line and depth, the fold pointing left: inner fold at 130 when finished.  D"""
    return Result(
        seam=(0j, 130 + 6.5j, 160 + 5j, 260 + 10j, 260 + 300j, 300j),
        finished=(0j, 200 + 10j, 200 + 300j, 300j),
        lines=(
            Drawn("inner-fold-line", 1, "1", 130 + 6.5j, 130 + 300j),
            Drawn("fold-line", 1, "2", 160 + 5j, 160 + 300j),
            Drawn("placement-line", 1, "2", 100 + 5j, 100 + 300j),
        ),
        lap="left",
    )


def inverted() -> Result:
    """Seam y = 0.05 x, folds meeting at 150, depth 30, so intake 120.  D"""
    return Result(
        seam=(0j, 150 + 7.5j, 180 + 6j, 240 + 9j, 270 + 7.5j, 420 + 15j, 420 + 300j, 300j),
        finished=(0j, 300 + 15j, 300 + 300j, 300j),
        lines=(
            Drawn("fold-line", 1, "1", 150 + 7.5j, 150 + 300j),
            Drawn("inner-fold-line", 1, "2", 180 + 6j, 180 + 300j),
            Drawn("inner-fold-line", 1, "3", 240 + 9j, 240 + 300j),
            Drawn("fold-line", 1, "4", 270 + 7.5j, 270 + 300j),
            Drawn("placement-line", 1, "1 4", 210 + 7.5j, 210 + 300j),
        ),
        kind="inverted",
        lap="centre",
    )


def box() -> Result:
    """Seam y = 0.05 x, face from 120 to 180, depth 30, so intake 120.  D"""
    return Result(
        seam=(0j, 150 + 7.5j, 180 + 6j, 240 + 9j, 270 + 7.5j, 420 + 15j, 420 + 300j, 300j),
        finished=(0j, 300 + 15j, 300 + 300j, 300j),
        lines=(
            Drawn("inner-fold-line", 1, "1", 150 + 7.5j, 150 + 300j),
            Drawn("fold-line", 1, "2", 180 + 6j, 180 + 300j),
            Drawn("fold-line", 1, "3", 240 + 9j, 240 + 300j),
            Drawn("inner-fold-line", 1, "4", 270 + 7.5j, 270 + 300j),
            Drawn("placement-line", 1, "2", 120 + 6j, 120 + 300j),
            Drawn("placement-line", 1, "3", 300 + 9j, 300 + 300j),
        ),
        kind="box",
        lap="sides",
    )


def box_without_face() -> Result:
    """A box pleat whose face is 0 wide at 150: its outer folds coincide, the region between is empty.  D"""
    return Result(
        seam=(0j, 180 + 9j, 210 + 7.5j, 240 + 6j, 420 + 15j, 420 + 300j, 300j),
        finished=(0j, 300 + 15j, 300 + 300j, 300j),
        lines=(
            Drawn("inner-fold-line", 1, "1", 180 + 9j, 180 + 300j),
            Drawn("fold-line", 1, "2", 210 + 7.5j, 210 + 300j),
            Drawn("fold-line", 1, "3", 210 + 7.5j, 210 + 300j),
            Drawn("inner-fold-line", 1, "4", 240 + 6j, 240 + 300j),
            Drawn("placement-line", 1, "2", 150 + 7.5j, 150 + 300j),
            Drawn("placement-line", 1, "3", 270 + 7.5j, 270 + 300j),
        ),
        kind="box",
        lap="sides",
    )


def tuck_left() -> Result:
    """Seam y = 0.05 x, stitched at 100, depth 30, pressed left: folds as a knife pleat pointing right.  D"""
    return Result(
        seam=knife_right().seam,
        finished=knife_right().finished,
        lines=(
            Drawn("stitch-line", 1, "1", 100 + 5j, 100 + 300j, 'data-crease="yes"'),
            Drawn("fold-line", 1, "2", 130 + 3.5j, 130 + 300j),
            Drawn("stitch-line", 1, "1", 160 + 5j, 160 + 300j),
        ),
        kind="tuck",
        lap="left",
    )


def half_inverted() -> Result:
    """Half an inverted pleat, the fold edge of the cloth on the right at 150, depth 30, intake 60.  D"""
    return Result(
        seam=(0j, 150 + 7.5j, 180 + 6j, 210 + 7.5j, 210 + 300j, 300j),
        finished=(0j, 150 + 7.5j, 150 + 300j, 300j),
        lines=(
            Drawn("fold-line", 1, "1", 150 + 7.5j, 150 + 300j),
            Drawn("inner-fold-line", 1, "2", 180 + 6j, 180 + 300j),
            Drawn("placement-line", 1, "1", 210 + 7.5j, 210 + 300j),
        ),
        kind="inverted",
        lap="centre",
    )


# ------------------------------------------------------------------------------------ results in closed forms


def waist(x: float) -> float:
    """Arc waist y = 400 - sqrt(400^2 - x^2)."""
    return 400 - math.sqrt(400**2 - x * x)


def arc(start: float, end: float, place: Callable[[float], float]) -> tuple[Edge, ...]:
    """The arc waist from one x to another as cubics of at most 5 degrees, with x put where ``place`` says.

    The cubic for an arc of angle t has handles 4/3 tan(t/4) r (M: Goldapp, *Approximation of circular arcs by
    cubic polynomials*, 1991); here it strays by less than 1e-8 mm.
    """
    first, last = math.asin(start / 400), math.asin(end / 400)
    count = math.ceil(abs(last - first) / math.radians(5))
    step = (last - first) / count
    handle = 4 / 3 * math.tan(step / 4)

    def put(angle: float, along: float) -> complex:
        x, y = (
            400 * (math.sin(angle) + along * math.cos(angle)),
            400 * (1 - math.cos(angle) + along * math.sin(angle)),
        )
        return complex(place(x), y)

    angles = [first + step * number for number in range(count + 1)]
    return tuple((put(one, handle), put(other, -handle), put(other, 0)) for one, other in itertools.pairwise(angles))


def arc_waist(folds: tuple[float, ...], depth: float, width: float) -> Result:
    """Knife pleats pointing right under the arc waist, straight down to a level hem at 300.

    Fold map (D): each pleat at x lays the cloth back to x - depth and forward again.
    """
    seam: list[Edge] = [0j]
    lines: list[Drawn] = []
    x, u = 0.0, 0.0
    for number, fold in enumerate(folds, start=1):
        for end in (fold, fold - depth):
            sign = 1 if end > x else -1
            seam += arc(x, end, lambda at, x=x, u=u, sign=sign: u + sign * (at - x))  # type: ignore[misc]
            x, u = end, u + abs(end - x)
            css, place = ("fold-line", "1") if end == fold else ("inner-fold-line", "2")
            lines.append(Drawn(css, number, place, complex(u, waist(x)), complex(u, 300)))
        at = u + depth
        lines.append(Drawn("placement-line", number, "1", complex(at, waist(fold)), complex(at, 300)))
    seam += arc(x, width, lambda at: u + at - x)
    seam += [complex(u + width - x, 300), 300j]
    finished = (0j, *arc(0, width, lambda at: at), complex(width, 300), 300j)
    return Result(tuple(seam), finished, tuple(lines))


def mirror(z: complex, start: complex, end: complex) -> complex:
    """The mirror image of a point, by its foot on the line."""
    along = (end - start) / abs(end - start)
    part = (z - start).real * along.real + (z - start).imag * along.imag
    return 2 * (start + part * along) - z


def meet(a: complex, b: complex, c: complex, d: complex) -> complex:
    """Where line ab meets line cd."""

    def cross(p: complex, q: complex) -> float:
        return p.real * q.imag - p.imag * q.real

    return a + (b - a) * (cross(c - a, d - c) / cross(b - a, d - c))


@dataclass(frozen=True)
class Slash:
    """A tapered pleat on the line from top to hem; a and b are its fold depths there."""

    top: complex
    hem: complex
    a: float
    b: float
    kind: str = "right"


def spread(corners: tuple[complex, complex, complex, complex], *slashes: Slash) -> Result:
    """The flat piece of a four-cornered finished one: top left, top right, bottom right, bottom left.

    Displaced fold line (D): at distance a from the top end and b from the hem end of the slash line, so
    turned from it by asin((b - a) / length).  Motion from finished to flat: the product of the reflections
    in the finished fold lines, in order.  Source (M): Coxeter, *Introduction to Geometry*, chapter 3.
    """
    top_left, top_right, bottom_right, bottom_left = corners
    crossed: list[tuple[complex, complex]] = []

    def unfold(z: complex) -> complex:
        for start, end in reversed(crossed):
            z = mirror(z, start, end)
        return z

    tops: list[complex] = []
    hems: list[complex] = []
    lines: list[Drawn] = []
    for number, slash in enumerate(slashes, start=1):

        def displaced(side: int, slash: Slash = slash) -> tuple[complex, complex]:
            along = (slash.hem - slash.top) / abs(slash.hem - slash.top)
            cosine = (slash.a - slash.b) / abs(slash.hem - slash.top)
            normal = along * complex(cosine, -side * math.sqrt(1 - cosine * cosine))
            ends = slash.top + slash.a * normal, slash.hem + slash.b * normal
            return meet(*ends, top_left, top_right), meet(*ends, bottom_left, bottom_right)

        middle = (slash.top, slash.hem)
        place = {
            "right": [("fold-line", middle), ("inner-fold-line", displaced(-1)), ("1", middle)],
            "left": [("2", middle), ("inner-fold-line", displaced(1)), ("fold-line", middle)],
            "inverted": [
                ("fold-line", middle),
                ("inner-fold-line", displaced(-1)),
                ("1 4", middle),
                ("inner-fold-line", displaced(1)),
                ("fold-line", middle),
            ],
        }[slash.kind]
        fold = 0
        for css, (top, hem) in place:
            flat = unfold(top), unfold(hem)
            if css.endswith("line"):
                fold += 1
                lines.append(Drawn(css, number, str(fold), *flat))
                crossed.append((top, hem))
                tops.append(flat[0])
                hems.append(flat[1])
            else:
                lines.append(Drawn("placement-line", number, css, *flat))
    kind, lap = ("inverted", "centre") if slashes[0].kind == "inverted" else ("knife", slashes[0].kind)
    seam = (top_left, *tops, unfold(top_right), unfold(bottom_right), *hems[::-1], bottom_left)
    return Result(seam, corners, tuple(lines), kind, lap)


def table_pleat() -> Result:
    """Outer fold (-30, 0)-(-20, 200), placement line (30, 0)-(20, 200), moved 250 to the right."""
    piece = (-200 + 0j, 150 + 0j, 150 + 200j, -200 + 200j)
    return spread(piece, Slash(-30 + 0j, -20 + 200j, 30, 20)).moved(lambda z: z + 250)


def hinged() -> Result:
    """A knife pleat of intake 60 at the waist and none at the hem: slashed to the hem, not through it."""
    return spread((0j, 400 + 0j, 400 + 600j, 600j), Slash(200 + 0j, 200 + 600j, 30, 0))


def fan(kind: str) -> Result:
    """Ten tapered pleats of a kind on a piece with a sloping waist and slash lines that lean apart."""
    corners = (0j, 900 + 30j, 1000 + 620j, -50 + 600j)
    slashes = []
    for number in range(10):
        start = complex(105 + 75 * number, (105 + 75 * number) / 30)
        end = complex(80 + 92 * number, 600 + 20 * (130 + 92 * number) / 1050)
        slashes.append(Slash(start, end, 30, 18 - number, kind))
    return spread(corners, *slashes)


def hinged_fan() -> Result:
    """Three inverted pleats, all hinged at the hem, the first two at points a hair (0.001) apart."""
    corners = (0j, 700 + 0j, 700 + 500j, 500j)
    slashes = [Slash(complex(x, 0), complex(h, 500), 20, 0, "inverted") for x, h in TRIPLE]
    return spread(corners, *slashes)


TRIPLE = ((200, 300), (320, 300.001), (450, 420))

TRUE: dict[str, Callable[[], Result]] = {
    "knife right": knife_right,
    "knife left": knife_left,
    "inverted": inverted,
    "half inverted": half_inverted,
    "box": box,
    "box without face": box_without_face,
    "tuck": tuck_left,
    "arc waist": lambda: arc_waist((100, 180), 30, 240),
    "kilt": lambda: arc_waist(tuple(80 + 25 * n for n in range(8)), 60, 300),
    "tapered": table_pleat,
    "hinged": hinged,
    "hinged inverted": hinged_fan,
    "fan right": lambda: fan("right"),
    "fan left": lambda: fan("left"),
    "fan inverted": lambda: fan("inverted"),
    "turned": lambda: knife_right().moved(lambda z: z * complex(0.8, 0.6) + 400),
}

MEASURES_MM = (
    "silhouette_mm",
    "raw_edge_mm",
    "fold_on_placement_mm",
    "stitch_on_stitch_mm",
    "poke_out_mm",
    "crease_end_mm",
    "crease_outside_mm",
)

# ------------------------------------------------------------------------------------------- the check values


def test_two_parallel_reflections_translate_by_twice_their_distance() -> None:
    """(100, 50) by x = 30 first, then x = 0, goes to (40, 50).  M: Coxeter, chapter 3."""
    product = reflection(0j, 1j) @ reflection(30 + 0j, 30 + 7j)
    assert product.of(np.array([100 + 50j]))[0] == pytest.approx(40 + 50j, abs=1e-12)
    assert not product.over


def test_tapered_pleat_rotates_about_its_apex() -> None:
    """Apex (0, 600), rotation 5.7248 degrees, (100, 0) to (39.6509, -6.9825).  D; M: Coxeter, chapter 3."""
    motion = folding_motions([(-30 + 0j, -20 + 200j), (0j, 200j)])[2]
    points = motion.of(np.array([600j, 100 + 0j]))
    assert points[0] == pytest.approx(600j, abs=1e-9)
    assert points[1] == pytest.approx(39.6509 - 6.9825j, abs=1e-4)
    turn = math.degrees(abs(math.atan2(motion.turn.imag, motion.turn.real)))
    assert turn == pytest.approx(5.7248, abs=1e-4)


def test_motions_multiply_as_they_are_applied() -> None:
    """A product does its right factor first, whichever of the two turns the cloth over."""
    point_there = np.array([3 - 8j])
    motions = [reflection(1 + 2j, 5 - 1j), Motion(1j, 4 + 1j), reflection(2j, 3 + 3j) @ Motion(1j, 2 + 0j)]
    for one in motions:
        for other in motions:
            both = (one @ other).of(point_there)[0]
            assert both == pytest.approx(one.of(other.of(point_there))[0], abs=1e-12)


def test_arc_waist_has_the_tabled_tips() -> None:
    """Fold at 100: 12.702, 6.173, 12.702; at 180: 42.789, 29.190, 42.789.  D: circle and fold map.

    This holds the test's own arc piece to the numbers, which the referee is then asked to pass.
    """
    heights = [line.start.imag for line in arc_waist((100, 180), 30, 240).lines]
    assert heights == pytest.approx([12.702, 6.173, 12.702, 42.789, 29.190, 42.789], abs=5e-4)
    places = [line.start.real for line in arc_waist((100, 180), 30, 240).lines]
    assert places == pytest.approx([100, 130, 160, 240, 270, 300])


def test_hinged_inner_fold_has_its_peak() -> None:
    """Depth 30, length 600: the inner fold ends 600 / cos(asin(30 / 600)) from the hinge.  D"""
    inner = hinged().lines[1]
    length = 600 / math.cos(math.asin(30 / 600))
    assert abs(inner.end - inner.start) == pytest.approx(length, abs=1e-9)


def test_spread_agrees_with_the_piece_in_numbers() -> None:
    """The closed form for pleats of even depth gives the seam that is written out in numbers.  D"""
    corners = (0j, 200 + 10j, 200 + 300j, 300j)
    made, written = spread(corners, Slash(100 + 5j, 100 + 300j, 30, 30)), knife_right()
    # the placement line meets the seam where it runs straight, and the creases meet the hem so too
    on_straight = {160 + 5j, 130 + 300j, 100 + 300j}
    corners_made = [point(edge) for edge in made.seam if edge not in on_straight]
    assert corners_made == [point(edge) for edge in written.seam if edge not in on_straight]
    for one, other in zip(made.lines, written.lines, strict=True):
        assert (one.css, one.fold) == (other.css, other.fold)
        assert (one.start, one.end) == pytest.approx((other.start, other.end), abs=1e-9)


# ---------------------------------------------------------------------------------------- true ones must pass


@pytest.mark.parametrize("name", TRUE)
def test_passes_true(name: str, write: Write) -> None:
    path = write(TRUE[name]())
    assert_true(path)
    proof = prove(path)
    measured = {measure: getattr(proof, measure) for measure in MEASURES_MM}
    # six decimals, ten times over twenty reflections; curves are within their chord tolerance besides
    assert max(measured.values()) < 0.0005, measured
    assert proof.area_error_mm2 < 0.1


@pytest.mark.parametrize("start", range(7))
@pytest.mark.parametrize("backward", ["seam", "finished", "both"])
def test_passes_wherever_and_whichever_way_the_outlines_are_drawn(start: int, backward: str, write: Write) -> None:
    """Closed paths that begin at each corner, some of them where a crease ends, drawn either way round."""
    result = knife_right()
    seam, finished = result.seam[start:] + result.seam[:start], result.finished
    if backward in ("seam", "both"):
        seam = seam[::-1]
    if backward in ("finished", "both"):
        finished = finished[::-1]
    assert_true(write(replace(result, seam=seam, finished=finished)))


def test_counts_regions_and_raw_edges(write: Write) -> None:
    proof = prove(write(inverted()))
    assert proof.region_count == 5
    assert proof.raw_runs == (1, 2, 2, 2, 1)
    assert prove(write(hinged())).raw_runs == (1, 1, 1)
    empty = prove(write(box_without_face()))
    assert empty.region_count == 5
    assert empty.raw_runs == (1, 2, 2, 1)


def test_areas(write: Write) -> None:
    """Areas of the trapezoids in numbers; three layers over 30 x 295.75 mm, two of them hidden.  D"""
    proof = prove(write(knife_right()))
    assert proof.finished_area_mm2 == pytest.approx(200 * (300 + 290) / 2, abs=1e-6)
    hidden = 2 * 30 * (300 - (3.5 + 5) / 2)
    assert proof.flat_area_mm2 == pytest.approx(proof.finished_area_mm2 + hidden, abs=1e-6)


@pytest.mark.parametrize(
    ("name", "top", "hem"),
    [
        ("knife right", 60, 60),
        ("knife left", 60, 60),
        ("inverted", 120, 120),
        ("half inverted", 60, 60),
        ("box", 120, 120),
        ("tuck", 60, 60),
        ("tapered", 60, 40),
        ("hinged", 60, 0),
        ("hinged inverted", 80, 0),
    ],
)
def test_intake(name: str, top: float, hem: float, write: Write) -> None:
    """Intake: 2 x depth for a knife pleat or tuck, 4 x depth for box and inverted.  D, from the folds"""
    for row in prove(write(TRUE[name]())).intakes:
        assert (row.top_mm, row.hem_mm) == pytest.approx((top, hem), abs=1e-5)


def test_intake_table_names_its_pleats(write: Write) -> None:
    """a = intake / 2 at the top, b at the hem, pleat by pleat.  D"""
    rows = prove(write(fan("right"))).intakes
    assert [row.pleat for row in rows] == list(range(1, 11))
    assert {(row.kind, row.lap) for row in rows} == {("knife", "right")}
    assert [row.top_mm for row in rows] == pytest.approx([60] * 10, abs=1e-4)
    assert [row.hem_mm for row in rows] == pytest.approx([36 - 2 * n for n in range(10)], abs=1e-4)


def test_piece_without_pleats_is_its_own_finished_piece(write: Write) -> None:
    plain = Result(knife_right().finished, knife_right().finished, ())
    proof = prove(write(plain))
    assert (proof.region_count, proof.raw_runs, proof.intakes) == (1, (1,), ())
    assert_true(write(plain))
    with pytest.raises(AssertionError, match="raw edge"):
        assert_true(write(replace(plain, seam=(0j, 200 + 10j, 200 + 301j, 300j))))


@pytest.mark.parametrize("turn", [lambda z: z * 1j + 400, lambda z: complex(z.imag, z.real)])
def test_level_slash_lines_point_up_and_down(turn: Callable[[complex], complex], write: Write) -> None:
    """With the first panel above, what pointed right points down, whichever end of a line its top is."""
    turned = knife_right().moved(turn)
    assert_true(write(replace(turned, lap="down")))
    with pytest.raises(AssertionError, match="point the other way on the page"):
        assert_true(write(replace(turned, lap="up")))


# --------------------------------------------------------------------------------------- false ones must fail


def off(line: Drawn, by: float) -> complex:
    """A step square to a line."""
    return by * 1j * (line.end - line.start) / abs(line.end - line.start)


LINES = [
    (name, number)
    for name, make in TRUE.items()
    for count in [len(make().lines)]
    for number in range(0, count, 1 if count <= 15 else 7)  # of the long ones every seventh: all classes are met
]


@pytest.mark.parametrize("reach", [0.3, 0.9, 3.0])
def test_fails_where_one_node_amid_an_edge_is_off(write: Write, reach: float) -> None:
    """A bump of 0.012 mm on the left side, wherever the points lie that are measured besides corners."""
    for at in (150.0, 150.7, 151.3):
        bump = (complex(0, at + reach), complex(-0.012, at), complex(0, at - reach))
        true = knife_right()
        failures = prove(write(replace(true, seam=(*true.seam, *bump)))).failures()
        assert any("raw edge" in line for line in failures), at


@pytest.mark.parametrize(("name", "number"), LINES)
def test_fails_when_any_one_line_is_moved_a_twentieth(name: str, number: int, write: Write) -> None:
    result = TRUE[name]()
    for by in (0.05, -0.05):
        line = result.lines[number]
        spoilt = result.with_line(number, start=line.start + off(line, by), end=line.end + off(line, by))
        with pytest.raises(AssertionError):
            assert_true(write(spoilt))


@pytest.mark.parametrize(("by", "out"), [(0.05, 0), (-0.05, 0.1)])
def test_crease_moved_shifts_the_far_side_by_twice_as_much(by: float, out: float, write: Write) -> None:
    """Moving one of two parallel mirrors by 0.05 moves the product by 0.1, in or out.  M: Coxeter, ch. 3."""
    proof = prove(write(knife_right().with_line(1, start=130 + by + 3.5j, end=130 + by + 300j)))
    assert proof.silhouette_mm == pytest.approx(0.1, abs=0.0002)
    assert proof.poke_out_mm == pytest.approx(out, abs=0.0002)
    assert proof.fold_on_placement_mm == pytest.approx(0.1, abs=0.0002)


@pytest.mark.parametrize(("slope", "depth"), [(0.05, 30), (0.2, 80)])
def test_fails_untrued_inner_fold(slope: float, depth: float, write: Write) -> None:
    """Without its peak the inner fold misses the seam by slope x depth (0.2 and 80: 16), measured down.  D"""

    def seam(x: float) -> complex:
        return complex(x, slope * x)

    corners = (0j, seam(300), 300 + 400j, 400j)
    result = spread(corners, Slash(seam(150), 150 + 400j, depth, depth))
    assert_true(write(result))
    tip = 150 + depth
    peak = point(complex(tip, slope * (150 - depth)))
    level = complex(150 + 2 * depth, slope * 150)  # from the fold line straight across to the placement line
    untrued = tuple(level if point(edge) == peak else edge for edge in result.seam)
    assert level in untrued
    spoilt = replace(result, seam=untrued).with_line(1, start=complex(tip, slope * 150))
    proof = prove(write(spoilt))
    assert proof.raw_edge_mm == pytest.approx(slope * depth / math.hypot(1, slope), abs=1e-4)
    assert proof.silhouette_mm < 0.001  # hidden: only the raw edge and the area betray it
    with pytest.raises(AssertionError, match="raw edge"):
        assert_true(write(spoilt))
    with pytest.raises(AssertionError, match="ends off the flat seam"):  # crease left at the trued tip
        assert_true(write(replace(result, seam=untrued)))


def test_fails_swapped_fold_lines(write: Write) -> None:
    """Outer and inner fold exchanged by class: the lines are right, their meaning is not.

    The hidden fold comes to (70, 3.5), its placement line to (100, 5): 30.04 apart.  D
    """
    result = knife_right()
    spoilt = result.with_line(0, css="inner-fold-line").with_line(1, css="fold-line").with_line(2, fold="2")
    with pytest.raises(AssertionError, match=r"misses its placement line: 30\.04 mm") as caught:
        assert_true(write(spoilt))
    assert "folds run inner outer, which is no knife pleat with lap right" in str(caught.value)


def test_fails_swapped_fold_numbers(write: Write) -> None:
    """One pleat numbered backward is folded from the far side, off by its intake; of two, none fits."""
    spoilt = knife_right().with_line(0, fold="2").with_line(1, fold="1").with_line(2, fold="2")
    assert prove(write(spoilt)).silhouette_mm == pytest.approx(60, abs=1e-4)
    with pytest.raises(AssertionError, match="folds run inner outer, which is no knife pleat with lap right"):
        assert_true(write(spoilt))
    two = arc_waist((100, 180), 30, 240)
    spoilt = two.with_line(0, fold="2").with_line(1, fold="1").with_line(2, fold="2")
    with pytest.raises(AssertionError, match="do not follow one another"):
        assert_true(write(spoilt))


@pytest.mark.parametrize(("name", "said"), [("knife right", "left"), ("knife left", "right"), ("tuck", "right")])
def test_fails_lap_reversed(name: str, said: str, write: Write) -> None:
    """The pleat folds back perfectly, but the other way round than the result says."""
    spoilt = replace(TRUE[name](), lap=said)
    proof = prove(write(spoilt))
    assert max(getattr(proof, measure) for measure in MEASURES_MM) < 0.001
    with pytest.raises(AssertionError, match=f"outer folds with lap {said} point the other way") as caught:
        assert_true(write(spoilt))
    assert f"with lap {said}" in str(caught.value)


@pytest.mark.parametrize(("name", "said"), [("inverted", "box"), ("box", "inverted")])
def test_fails_wrong_kind(name: str, said: str, write: Write) -> None:
    with pytest.raises(AssertionError, match=f"which is no {said} pleat"):
        assert_true(write(replace(TRUE[name](), kind=said)))


def test_fails_pleats_numbered_from_the_other_side(write: Write) -> None:
    result = arc_waist((100, 180), 30, 240)
    lines = tuple(replace(line, pleat=3 - line.pleat) for line in result.lines)
    with pytest.raises(AssertionError, match="do not follow one another"):
        assert_true(write(replace(result, lines=lines)))


def test_fails_notch_cut_out_of_an_underlay(write: Write) -> None:
    """A notch 6 wide and 10 deep in the hem of the hidden layer leaves the silhouette whole.  D: 30 mm2"""
    result = knife_right()
    notch = (116 + 300j, 113 + 290j, 110 + 300j)
    spoilt = replace(result, seam=(*result.seam[:-1], *notch, result.seam[-1]))
    proof = prove(write(spoilt))
    assert proof.silhouette_mm < 1e-5
    assert proof.raw_edge_mm == pytest.approx(10, abs=1e-4)
    assert proof.area_error_mm2 == pytest.approx(30, abs=1e-4)
    assert "between pleat 1 fold 1 and pleat 1 fold 2" in proof.places["raw_edge_mm"]
    with pytest.raises(AssertionError, match="raw edge"):
        assert_true(write(spoilt))


def test_fails_hidden_layer_that_falls_short(write: Write) -> None:
    """The hem of the underlay is cut 0.1 too high."""
    result = knife_right()
    hem = (160 + 300j, 160 + 299.9j, 100 + 299.9j, 100 + 300j)
    spoilt = replace(result, seam=(*result.seam[:-1], *hem, result.seam[-1]))
    proof = prove(write(spoilt))
    assert proof.raw_edge_mm == pytest.approx(0.1, abs=1e-4)
    assert proof.silhouette_mm < 1e-5
    assert proof.poke_out_mm < 1e-5


def test_fails_underlay_poking_past_the_side(write: Write) -> None:
    """A fold at 30 with depth 50 lays the inner fold 20 beyond the side at 0.  D"""
    result = Result(
        seam=(100 + 0j, 390 + 0j, 390 + 300j, 100 + 300j),
        finished=(100 + 0j, 290 + 0j, 290 + 300j, 100 + 300j),
        lines=(
            Drawn("fold-line", 1, "1", 130 + 0j, 130 + 300j),
            Drawn("inner-fold-line", 1, "2", 180 + 0j, 180 + 300j),
            Drawn("placement-line", 1, "1", 230 + 0j, 230 + 300j),
        ),
    )
    proof = prove(write(result))
    assert proof.poke_out_mm == pytest.approx(20, abs=1e-6)
    assert proof.silhouette_mm == pytest.approx(20, abs=1e-6)
    with pytest.raises(AssertionError, match="pokes out of the finished outline: 20 mm"):
        assert_true(write(result))


def test_fails_pleat_that_was_sheared_open(write: Write) -> None:
    """Spread 60 at the waist and 0 at the hem by slanting the cloth: the seam is not moved rigidly."""
    result = hinged()

    def slant(z: complex) -> complex:
        return z + 60 * (1 - z.imag / 600)

    seam = (0j, 200 + 0j, 230 + 0j, 260 + 0j, slant(400 + 0j), 400 + 600j, 200 + 600j, 600j)
    lines = [(200 + 0j, "fold-line"), (230 + 0j, "inner-fold-line"), (260 + 0j, "placement-line")]
    drawn = tuple(Drawn(css, 1, "1" if n != 1 else "2", z, 200 + 600j) for n, (z, css) in enumerate(lines))
    proof = prove(write(replace(result, seam=seam, lines=drawn)))
    # outer fold 600 long, placement line hypot(600, 60): they cannot meet, and their bisector is not at 230
    assert proof.fold_on_placement_mm > math.hypot(600, 60) - 600
    assert proof.raw_edge_mm > 1
    assert proof.silhouette_mm > 1


def test_fails_seam_lost_on_one_panel(write: Write) -> None:
    """A corner of the last panel cut off is seen from the finished outline."""
    result = knife_right()
    cut = tuple(edge for edge in result.seam if edge != 260 + 300j)
    spoilt = replace(result, seam=(*cut[:5], 260 + 295j, 255 + 300j, *cut[5:]))
    proof = prove(write(spoilt))
    assert proof.silhouette_mm == pytest.approx(5 / math.sqrt(2), abs=1e-4)
    assert proof.area_error_mm2 == pytest.approx(12.5, abs=1e-4)


def test_fails_crease_that_leaves_the_piece(write: Write) -> None:
    """A bite in the side of the first panel, of the finished one too, reaches 4 beyond the fold line."""
    result = knife_right()
    bite = (200j, 104 + 150j, 100j)
    spoilt = replace(result, seam=(*result.seam, *bite), finished=(*result.finished, *bite))
    proof = prove(write(spoilt))
    assert 0.9 < proof.crease_outside_mm < 4
    assert proof.area_error_mm2 > 5  # the regions overlap where the crease crosses the bite
    with pytest.raises(AssertionError, match="leaves the flat piece"):
        assert_true(write(spoilt))


def test_fails_flat_piece_that_lies_over_itself(write: Write) -> None:
    """Twelve hinged pleats that turn 2 asin(0.3) = 34.9 degrees each: true, but not to be cut.  D"""
    slashes = [Slash(complex(x, 0), complex(x, 100), 30, 0) for x in range(60, 540, 40)]
    proof = prove(write(spread((0j, 540 + 0j, 540 + 100j, 100j), *slashes)))
    assert proof.raw_edge_mm < 0.001
    assert proof.silhouette_mm < 0.001
    assert "crosses itself" in proof.places["area_error_mm2"]
    assert proof.area_error_mm2 > 100


def test_fails_seam_that_crosses_itself(write: Write) -> None:
    """The two corners of the last panel exchanged: its hem and waist cross."""
    seam = list(knife_right().seam)
    seam[4], seam[5] = seam[5], seam[4]
    proof = prove(write(replace(knife_right(), seam=tuple(seam))))
    assert proof.area_error_mm2 > 1000


def test_fails_outer_fold_with_nowhere_to_lie(write: Write) -> None:
    result = knife_right()
    with pytest.raises(AssertionError, match="pleat 1 outer fold 1 has no line to lie on"):
        assert_true(write(replace(result, lines=result.lines[:2])))
    with pytest.raises(AssertionError, match="names a fold which its pleat does not have"):
        assert_true(write(inverted().with_line(4, fold="1 2 4")))
    with pytest.raises(AssertionError, match="pleat 1 stitch fold 1 has no line to lie on"):
        assert_true(write(replace(tuck_left(), lines=tuck_left().lines[:2])))


def test_fails_missing_crease(write: Write) -> None:
    result = knife_right()
    with pytest.raises(AssertionError, match="silhouette"):
        assert_true(write(replace(result, lines=(result.lines[0], result.lines[2]))))


def test_fails_lines_that_disagree_on_their_kind(write: Write) -> None:
    text = inverted().text().replace('data-kind="inverted"', 'data-kind="box"', 1)
    with pytest.raises(AssertionError, match="do not agree on kind and lap"):
        assert_true(write(text))


def shallow_hinge(off_by: float) -> Result:
    """A hinged pleat of depth 1, its inner fold ``off_by`` short of the hinge.

    The last panel is put 2 x off_by to the right there (D), so a crack opens between it and the first, which
    runs on up to where the two begin to overlap: at a depth of 1 in 600, some 600 times as far.
    """
    shallow = spread((0j, 400 + 0j, 400 + 600j, 600j), Slash(200 + 0j, 200 + 600j, 1, 0))
    return shallow.with_line(1, end=200 + 600j - off_by)


def test_hair_crack_between_layers_is_not_seen_as_a_gap(write: Write) -> None:
    """A crack 0.001 wide is as good as closed; one 0.03 wide is a gap."""
    assert prove(write(shallow_hinge(0.0005))).silhouette_mm < 0.003
    assert_true(write(shallow_hinge(0.0005)))
    assert prove(write(shallow_hinge(0.015))).silhouette_mm > 1
    with pytest.raises(AssertionError, match="silhouette"):
        assert_true(write(shallow_hinge(0.015)))


def test_fails_finished_outline_with_more_to_it_than_the_cloth(write: Write) -> None:
    """A spike of no width, 5 long: all edges of the cloth lie on the outline, but not the other way round."""
    finished = (0j, 200 + 10j, 200 + 200j, 205 + 200j, 200 + 200j, 200 + 300j, 300j)
    proof = prove(write(replace(knife_right(), finished=finished)))
    assert proof.raw_edge_mm < 1e-5
    assert proof.silhouette_mm == pytest.approx(5, abs=1e-5)


def test_limit_is_what_is_asked_for(write: Write) -> None:
    """The hem of the whole piece is 0.004 too low: within 0.01, beyond 0.002."""
    spoilt = replace(knife_right(), finished=(0j, 200 + 10j, 200 + 300.004j, 300.004j))
    assert prove(write(spoilt)).raw_edge_mm == pytest.approx(0.004, abs=1e-5)
    assert_true(write(spoilt))
    with pytest.raises(AssertionError, match=r"limit 0\.002 mm"):
        assert_true(write(spoilt), limit=0.002)


# ------------------------------------------------------------------------------------------- reading the file


def test_every_piece_is_judged_and_named(write: Write) -> None:
    true = knife_right()
    false = replace(knife_left(), name="prompter smock", lap="right")
    path = write(sheet(true.group(), false.group()))
    assert list(prove_all(path)) == ["usher skirt", "prompter smock"]
    assert prove(path, "prompter smock").piece == "prompter smock"
    with pytest.raises(AssertionError, match="prompter smock: pleat 1") as caught:
        assert_true(path)
    assert "usher skirt" not in str(caught.value)
    with pytest.raises(CannotFoldError, match="2 pieces to choose from"):
        prove(path)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('<g class="lines">', '<g class="lines" transform="scale(1)">', "transform"),
        ('<g class="lines">', '<g class="lines" style="transform: none">', "transform"),
        ('class="fold-line"', 'class="fold-line" transform="translate(1)"', "transform"),
        ('width="2000mm"', 'width="2000px"', "width"),
        ('width="2000mm"', 'width="1880mm"', "one user unit"),
        ('viewBox="0 0 2000 900"', 'viewBox="0 0 1000 450"', "one user unit"),
        ('class="seam-line"', 'class="cut-line"', "0 seam-line"),
        ('class="finished-line"', 'class="seam-line"', "2 seam-line|0 finished-line"),
        ('class="finished-line" data-pass="1"', 'class="finished-line" data-pass="2"', "0 finished-line"),
        ('class="fold-line" data-pass="1"', 'class="fold-line" data-pass="2"', "0 finished-line"),
        ('data-pleat="1" data-fold="2"', 'data-pleat="1" data-fold="1"', "twice|one number"),
        ('data-pleat="1" data-fold="2"', 'data-pleat="1" data-fold="1 2"', "one number"),
        ('data-pleat="1" data-fold="2"', 'data-pleat="one" data-fold="2"', "not a number"),
        ('data-lap="right"', "", "no data-lap"),
        ("L 100.000000 300.000000", "H 100", "not one of M L C Z"),
        ("L 100.000000 300.000000", "l 0 295", "not one of M L C Z"),
        ("L 100.000000 300.000000", "L 100.5 150 100 300", "bent"),
        ("L 100.000000 300.000000", "", "not one open path"),
        ("L 100.000000 300.000000", "L 100 5", "no length"),
        ("0.000000 300.000000 Z", "0.000000 300.000000", "not one closed path"),
        ('class="piece"', 'class="panel"', "no piece"),
        ("</svg>", "", "XML"),
        ('<g class="lines">', '<defs class="lines">', "XML"),
    ],
)
def test_refuses_what_it_cannot_read(old: str, new: str, words: str, write: Write) -> None:
    text = knife_right().text()
    assert old in text
    with pytest.raises(CannotFoldError, match=words):
        prove_all(write(text.replace(old, new, 1)))
    with pytest.raises(AssertionError, match=r"result\.svg: cannot be folded back"):
        assert_true(write(text.replace(old, new, 1)))


def test_refuses_lines_that_are_not_drawn(write: Write) -> None:
    text = knife_right().text().replace('<g class="lines">', "<defs>").replace("</g></g>", "</defs></g>")
    with pytest.raises(CannotFoldError, match="inside a nested defs"):
        prove(write(text))


def test_refuses_two_pieces_of_one_name(write: Write) -> None:
    with pytest.raises(CannotFoldError, match="two pieces are called"):
        prove_all(write(sheet(knife_right().group(), knife_right().group())))


def test_reads_paths() -> None:
    (points, closed), (rest, still_open) = read_path("M0,0 10-5 1e1.5L.5,.25Z M 3 4L5 6")
    assert closed
    assert not still_open
    assert list(points) == [0, 10 - 5j, 10 + 0.5j, 0.5 + 0.25j]
    assert list(rest) == [3 + 4j, 5 + 6j]


def test_curves_become_chords_within_tolerance() -> None:
    """A quarter circle of radius 400 in cubics: all chord ends on it, chord middles within 0.0002.  D"""
    quarter = (0j, *arc(0, 399.99, lambda at: at))
    ((points, _),) = read_path(path_data(quarter))
    centre = 400j
    assert np.abs(np.abs(points - centre) - 400).max() < 2e-6
    middles = (points[1:-1] + points[:-2]) / 2
    assert np.abs(np.abs(middles[1:] - centre) - 400).max() < 0.00021
    assert len(points) < 1000


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ("M 0 0 A 1 1 0 0 1 2 2", "not one of M L C Z"),
        ("M 0 0 L 5", "lacks numbers"),
        ("M 0 0 C 1 1 2 2 L 3 3", "lacks numbers"),
        ("3 4 L 5 6", "without a command"),
        ("L 5 6", "before any M"),
        ("Z", "closes nothing"),
        ("M 0 0 L 1 1 Z 4 5", "without a command"),
        ("M 0 0 L 1 # 2", "not readable"),
    ],
)
def test_refuses_other_path_data(data: str, words: str) -> None:
    with pytest.raises(CannotFoldError, match=words):
        read_path(data)
