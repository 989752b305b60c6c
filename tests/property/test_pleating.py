"""What holds of every pleated piece, tried on smooth-sided pieces drawn at random.

A piece has a curved waist and hem and two curved sides; its lines are fanned and slanted as chance has it.  Requests
are scaled down by halves until they fit, so that no example goes unused.  The referee folds back; what would fit is
worked out here from points along the outline.  Lengths in mm, y down the page.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from pleatsvg import pleat, read, write
from pleatsvg.errors import FitError
from tests.drawings.paper import Ends, Sheet, assert_intakes, drawing, mm, outline_of, proven, sheet_of, xy

ALIKE_MM = 1e-4
"""Two results are alike within this: 6 decimals at the ends of a line of 200 mm, carried over some metres."""


def _settings(examples: int) -> settings:
    # The same ones each time; EXAMPLES=20 in the environment asks for twenty times as many.
    return settings(
        derandomize=True,
        deadline=None,
        max_examples=examples * int(os.environ.get("EXAMPLES", "1")),
        database=None,
        suppress_health_check=[HealthCheck.too_slow],
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    yield tmp_path_factory.mktemp("pieces")


# ---------------------------------------------------------------------------------------------- pieces by chance


@dataclass(frozen=True)
class Piece:
    """A waist from left to right, a right side downwards, a hem from right to left, a left side upwards: cubics."""

    edges: tuple[tuple[complex, ...], ...]
    lines: tuple[Ends, ...]

    def moved(self, motion: Callable[[complex], complex]) -> Piece:
        """The same piece elsewhere on the page."""
        edges = tuple(tuple(motion(z) for z in edge) for edge in self.edges)
        return Piece(edges, tuple((motion(start), motion(end)) for start, end in self.lines))

    def text(self, order: list[int] | None = None) -> str:
        """The drawing; ``order`` is that of the slash lines in the file, each under its own name."""
        names = {f"slash {k}": self.lines[k] for k in order or range(len(self.lines))}
        return drawing(outline_of(self.edges), names, size=(2000, 2000))


@dataclass(frozen=True)
class Wish:
    """What is asked for; lengths in mm."""

    kind: str
    lap: str | None
    top: float
    hem: float
    face: float | None

    def scaled(self, share: float) -> Wish:
        """The same, smaller; whole micrometres, so that text and number agree."""
        small = [None if v is None else round(v * share, 3) for v in (self.top, self.hem, self.face)]
        return replace(self, top=small[0], hem=small[1], face=small[2])

    @property
    def options(self) -> dict[str, Any]:
        """As the public call takes it."""
        face = None if self.face is None else mm(self.face)
        return {"kind": self.kind, "lap": self.lap, "intake": mm(self.top), "hem_intake": mm(self.hem), "face": face}


def _between(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers with two decimals: a drawing by hand has no more, and examples stay readable."""
    return st.integers(round(low * 100), round(high * 100)).map(lambda n: n / 100)


def _cubic_at(cubic: tuple[complex, ...], t: Any) -> Any:
    a, b, c, d = cubic
    s = 1 - t
    return s * s * s * a + 3 * s * s * t * b + 3 * s * t * t * c + t * t * t * d


@st.composite
def pieces(draw: st.DrawFn, most: int = 4) -> Piece:
    """Smooth-sided pieces with 1 to ``most`` lines from waist to hem that do not cross."""
    width, height = draw(_between(180, 500)), draw(_between(220, 700))
    corners = [
        600 + 600j,
        600 + width + 1j * (600 + draw(_between(-0.1, 0.1)) * width),
        600 + width + draw(_between(-0.1, 0.25)) * height + 1j * (600 + height),
        600 + draw(_between(-0.25, 0.1)) * height + 1j * (600 + height + draw(_between(-0.08, 0.08)) * width),
    ]
    edges = []
    for k, bend in enumerate((0.1, 0.05, 0.1, 0.05)):
        start, end = corners[k], corners[(k + 1) % 4]
        along, bows = end - start, [draw(_between(-bend, bend)) for _ in range(2)]
        edges.append((start, start + along * (0.33 + 1j * bows[0]), end - along * (0.33 - 1j * bows[1]), end))
    count = draw(st.integers(1, most))
    shares = [_shares(draw, count), _shares(draw, count)]
    lines = []
    for top, hem in zip(*shares, strict=True):
        start, end = complex(_cubic_at(edges[0], top)), complex(_cubic_at(edges[2], 1 - hem))
        over = draw(st.sampled_from([0.0, 4.0, -6.0])) * (end - start) / abs(end - start)
        lines.append((start - over, end + over))  # lines end on the seam, past it or a little short of it
    return Piece(tuple(edges), tuple(lines))


def _shares(draw: st.DrawFn, count: int) -> list[float]:
    """Ascending shares of an edge, away from its ends and from one another."""
    steps = np.cumsum([draw(_between(0.3, 1)) for _ in range(count + 1)])
    return [0.08 + 0.84 * float(step / steps[-1]) for step in steps[:-1]]


@st.composite
def wishes(draw: st.DrawFn) -> Wish:
    """Pleats of every kind; alike along the line, tapered, or hinged at one end."""
    kind, lap = draw(st.sampled_from([("knife", "left"), ("knife", "right"), ("box", None), ("inverted", None)]))
    intake = draw(_between(4, 120))
    top, hem = draw(
        st.one_of(
            st.just((1.0, 1.0)),
            st.just((1.0, 0.0)),
            st.just((0.0, 1.0)),
            st.tuples(st.just(1.0), _between(0.2, 2)),
        )
    )
    face = draw(st.none() | _between(2, 60)) if kind == "box" else None
    return Wish(kind, lap, intake * top, intake * hem, face)


def _made(folder: Path, text: str, wish: Wish, name: str = "flat.svg") -> tuple[Path, Wish]:
    """Pleat a drawing; a wish that does not fit is halved until it does, five times at most."""
    source, out = folder / "drawing.svg", folder / name
    source.write_text(text, encoding="utf-8")
    piece = read(source)
    for halvings in range(6):
        smaller = wish.scaled(0.5**halvings)
        try:
            result = pleat(piece, **smaller.options)
        except FitError as refusal:
            last = refusal
            continue
        event(f"halved {halvings} times")
        write(result, out, force=True)
        return out, smaller
    raise AssertionError(f"a thirty-second of the wish does not fit: {last}")


# ---------------------------------------------------------------------------------------------- what always holds


@_settings(16)
@given(piece=pieces(), wish=wishes())
def test_every_result_folds_back(folder: Path, piece: Piece, wish: Wish) -> None:
    """Within 0.01 mm, area kept region by region, strips whole, and the intakes are those asked for."""
    out, wish = _made(folder, piece.text(), wish)
    proof = proven(out)
    assert_intakes(proof, wish.top, wish.hem, len(piece.lines))
    event(f"{wish.kind}, {len(piece.lines)} lines")
    # The flat piece is as much larger as its strips, counted from the widths at their ends: between flat and flat.
    assert proof.flat_area_mm2 > proof.finished_area_mm2
    finished = shapely.Polygon(xy(_outline_points(piece)))
    assert abs(proof.finished_area_mm2 - finished.area) < 1e-4 * finished.area  # the drawn piece, not another


def _outline_points(piece: Piece, per_edge: int = 400) -> Any:
    t = np.arange(per_edge) / per_edge
    return np.concatenate([_cubic_at(edge, t) for edge in piece.edges])


@_settings(8)
@given(piece=pieces(), wish=wishes())
def test_a_mirrored_drawing_gives_the_mirrored_result(folder: Path, piece: Piece, wish: Wish) -> None:
    """Left and right change places, in the laps and in the numbers."""
    out, wish = _made(folder, piece.text(), wish)
    mirrored = piece.moved(lambda z: complex(1800 - z.real, z.imag))
    swapped = {"left": "right", "right": "left", None: None}[wish.lap]
    other, kept = _made(folder, mirrored.text(), replace(wish, lap=swapped), "other.svg")
    assert kept.top == wish.top and kept.hem == wish.hem
    _assert_alike(sheet_of(out), _renamed(sheet_of(other), numbers=True), over=True)


@_settings(8)
@given(piece=pieces(), wish=wishes(), degrees=_between(-20, 20))
def test_a_turned_drawing_gives_the_turned_result(folder: Path, piece: Piece, wish: Wish, degrees: float) -> None:
    """While the lines stay upright nothing is renamed; the finished line turns along."""
    out, wish = _made(folder, piece.text(), wish)
    turn = complex(np.exp(1j * math.radians(degrees)))
    turned = piece.moved(lambda z: 900 + 900j + turn * (z - 900 - 900j))
    other, kept = _made(folder, turned.text(), wish, "other.svg")
    assert kept == wish
    one, two = sheet_of(out), sheet_of(other)
    moved = _assert_alike(one, two, over=False)
    _assert_same_points(moved(one.finished_knots), two.finished_knots)


TURNS = {
    "a quarter clockwise": (1j, {"left": "up", "right": "down"}, True, False),
    "half round": (-1 + 0j, {"left": "right", "right": "left"}, True, True),
    "a quarter counter-clockwise": (-1j, {"left": "down", "right": "up"}, False, True),
}
"""Turn on the page; laps renamed; whether top and hem change places; whether the numbers run the other way."""


@pytest.mark.parametrize(("turn", "laps", "ends", "numbers"), TURNS.values(), ids=TURNS.keys())
@_settings(7)
@given(piece=pieces(), wish=wishes())
def test_a_drawing_turned_square(
    folder: Path, turn: complex, laps: dict[str, str], ends: bool, numbers: bool, piece: Piece, wish: Wish
) -> None:
    """Top is the upper or the left end, numbers run from the left or from the top: the names change, no more."""
    out, wish = _made(folder, piece.text(), wish)
    turned = piece.moved(lambda z: 900 + 900j + turn * (z - 900 - 900j))
    renamed = replace(wish, lap=laps.get(wish.lap or ""))
    if ends:
        renamed = replace(renamed, top=wish.hem, hem=wish.top)
    other, kept = _made(folder, turned.text(), renamed, "other.svg")
    assert kept == renamed
    _assert_alike(sheet_of(out), _renamed(sheet_of(other), ends=ends, numbers=numbers), over=False)


def _renamed(sheet: Sheet, ends: bool = False, numbers: bool = False) -> Sheet:
    """A result with the ends of its lines or the order of its pleats the other way round."""
    creases = [replace(crease, top=crease.hem, hem=crease.top) if ends else crease for crease in sheet.creases]
    return replace(sheet, creases=tuple(reversed(creases) if numbers else creases))


def _assert_alike(one: Sheet, other: Sheet, over: bool) -> Callable[[Any], Any]:
    """The second result is the first one moved (and turned over): all creases, placement lines and the seam."""
    first, second = one.creases, other.creases
    assert [crease.outer for crease in first] == [crease.outer for crease in second]
    a, b = (np.array([(crease.top, crease.hem) for crease in creases]).ravel() for creases in (first, second))
    longest = int(np.argmax(np.abs(a[1::2] - a[::2])))
    start, end = a[2 * longest : 2 * longest + 2].conj() if over else a[2 * longest : 2 * longest + 2]
    turn = (b[2 * longest + 1] - b[2 * longest]) / (end - start)
    assert abs(abs(turn) - 1) < 1e-6

    def moved(points: Any) -> Any:
        return turn / abs(turn) * ((points.conj() if over else points) - start) + b[2 * longest]

    assert np.abs(moved(a) - b).max() < ALIKE_MM
    _assert_same_points(moved(one.seam_knots), other.seam_knots)
    places = [np.array([z for _, *ends in sheet.placements for z in ends]) for sheet in (one, other)]
    _assert_same_points(moved(places[0]), places[1])
    return moved


def _assert_same_points(one: Any, other: Any) -> None:
    """Two sets of points are the same set, in whatever order."""
    assert len(one) == len(other)
    apart = np.abs(one[:, None] - other)
    assert apart.min(axis=0).max() < ALIKE_MM
    assert apart.min(axis=1).max() < ALIKE_MM


@_settings(8)
@given(data=st.data(), piece=pieces(), wish=wishes())
def test_the_order_of_lines_in_the_file_does_not_matter(
    folder: Path, data: st.DataObject, piece: Piece, wish: Wish
) -> None:
    out, wish = _made(folder, piece.text(), wish)
    order = data.draw(st.permutations(range(len(piece.lines))))
    other, _ = _made(folder, piece.text(order), wish, "other.svg")
    assert out.read_bytes() == other.read_bytes()
    # Each pleat keeps the name of its own line: they were named from the left.
    facts = pleat(read(folder / "drawing.svg"), **wish.options).facts
    assert [(fact.number, fact.name) for fact in facts] == [(k + 1, f"slash {k}") for k in range(len(piece.lines))]


@_settings(8)
@given(piece=pieces(), wish=wishes())
def test_same_input_same_bytes_out(folder: Path, piece: Piece, wish: Wish) -> None:
    """Also when the same drawing, read once, was pleated in another way in between."""
    out, wish = _made(folder, piece.text(), wish)
    source = folder / "drawing.svg"
    drawn = read(source)
    pleat(drawn, kind="inverted", intake="1mm")
    write(pleat(drawn, **wish.options), folder / "again.svg", force=True)
    assert out.read_bytes() == (folder / "again.svg").read_bytes()


# ---------------------------------------------------------------------------------------------- what fits


@_settings(28)
@given(piece=pieces(most=1), lap=st.sampled_from(["left", "right"]), hinged=st.booleans(), armhole=st.booleans())
def test_what_fits_is_taken_and_what_does_not_is_refused(
    folder: Path, piece: Piece, lap: str, hinged: bool, armhole: bool
) -> None:
    """The deepest underlay, worked out from points along the outline, fits; 0.3 mm more leaves the piece."""
    if armhole:
        piece = _with_armhole(piece)
    line = _on_the_seam(piece)
    depth = _deepest(piece, line, 1 if lap == "left" else -1, hinged)
    source = folder / "drawing.svg"
    source.write_text(piece.text(), encoding="utf-8")
    drawn = read(source)
    length = abs(line[1] - line[0])
    event(f"hinged {hinged}, armhole {armhole}, {'deep' if depth > 0.6 * length else 'usual'}")

    def asked(value: float) -> dict[str, Any]:
        hem = {"hem_intake": "0mm"} if hinged else {}
        return {"kind": "knife", "lap": lap, "intake": mm(2 * value), **hem}

    if depth > 0.6 * length:  # deeper than any underlay is made; that it fits is enough
        pleat(drawn, **asked(0.6 * length))
        return
    pleat(drawn, **asked(depth - 0.1))
    with pytest.raises(FitError, match="reaches out past the seam"):
        pleat(drawn, **asked(depth + 0.3))


def _with_armhole(piece: Piece) -> Piece:
    """The right side hollowed out, by no more than three fifths of the space that it leaves beside the line."""
    start, b, c, end = piece.edges[1]
    top, hem = _on_the_seam(piece)
    along = (hem - top) / abs(hem - top)
    space = ((_cubic_at(piece.edges[1], np.arange(101) / 100) - top) * (-1j * along).conjugate()).real.min()
    # Its handles; the curve goes three quarters as far. They turn the corners by 30 degrees at the most.
    inwards = 1j * min(0.8 * space / abs(end - start), 0.19) * (end - start)
    return replace(piece, edges=(piece.edges[0], (start, b + inwards, c + inwards, end), *piece.edges[2:]))


def _on_the_seam(piece: Piece) -> Ends:
    """The one line trimmed to waist and hem, by points a thousandth of an edge apart, then along their chord."""
    start, end = piece.lines[0]
    found = []
    for edge in (piece.edges[0], piece.edges[2]):
        points = _cubic_at(edge, np.arange(1001) / 1000)
        across = ((points - start) / (end - start)).imag
        k = int(np.flatnonzero(np.diff(across > 0))[0])
        share = across[k] / (across[k] - across[k + 1])
        found.append(complex(points[k] + share * (points[k + 1] - points[k])))
    return found[0], found[1]


def _deepest(piece: Piece, line: Ends, side: int, hinged: bool) -> float:
    """The largest distance from the line's top at which a fold line to its right (+1) or left (-1) still fits.

    The outline is walked from the top of the line and from its hem, as far as it moves away from the line and to
    the next corner: so far the ends of the fold line may lie.  In between no point may come nearer than it.
    """
    top, hem = line
    way = _way_round(piece, line, side)
    along = (hem - top) / abs(hem - top)
    away = side * ((way - top) * (along * -1j).conjugate()).real
    corners = [int(np.abs(way - z).argmin()) for z in _corners(piece, side)]
    first = _climbs(away[: corners[0] + 1])
    last = len(way) - 1 - _climbs(away[corners[1] :][::-1])
    if not hinged:
        return float(min(away[first], away[last], away[first : last + 1].min()))
    # Hinged: a point at angle v from the line, seen from its hem, lies on the fold line whose top is L sin v away.
    angle = np.arctan2(away, ((way - hem) * -along.conjugate()).real)
    reach = abs(hem - top) * np.where(angle < math.pi / 2, np.sin(angle), 1.0)
    beside = reach[first:][np.abs(way[first:] - hem) > 0.5]
    return float(min(reach[: first + 1].max(), beside.min()))


def _corners(piece: Piece, side: int) -> tuple[complex, complex]:
    edge = piece.edges[1] if side > 0 else piece.edges[3][::-1]
    return edge[0], edge[3]


def _way_round(piece: Piece, line: Ends, side: int, per_edge: int = 2000) -> Any:
    """Points along the outline from the top of the line round one side to its hem."""
    t = np.arange(per_edge + 1) / per_edge
    waist, right, hem, left = (_cubic_at(edge, t) for edge in piece.edges)
    top, bottom = (waist, hem[::-1]) if side > 0 else (waist[::-1], hem)
    upright = right if side > 0 else left[::-1]
    return np.concatenate([_after(top, line[0]), upright[1:-1], _after(bottom, line[1])[::-1]])


def _after(points: Any, start: complex) -> Any:
    """The points from a place on their way onward, the place itself first."""
    k = int(np.abs(points - start).argmin())
    return np.concatenate([[start], points[k + 1 :]])


def _climbs(values: Any) -> int:
    """How many steps a sequence rises before it first falls."""
    falls = np.flatnonzero(np.diff(values) < 0)
    return int(falls[0]) if len(falls) else len(values) - 1
