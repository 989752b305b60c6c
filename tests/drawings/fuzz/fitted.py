"""Skirts at random, fitted to a waist, and bodices at random whose dart is turned into pleats or tucks.

    python -m tests.drawings.fuzz.fitted --count 400 --seed 1

Slanting and curved tops, flares, hollow and round sides, half pieces, darts of either drawing, lines that lean, mixed kinds,
weights and shares. What is made must be found true by `fold` and by the referee; all else must be a refusal.
"""

from __future__ import annotations

import math
import sys
from itertools import pairwise
from pathlib import Path
from random import Random
from typing import Any

import shapely

import pleatsvg
from pleatsvg.api import fold
from pleatsvg.errors import PleatError
from pleatsvg.geometry.segment import point_at
from tests.drawings.fuzz.orders import ask
from tests.referee.fitback import assert_fitted
from tests.referee.foldback import assert_true


def _page(body: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="1200mm" height="1400mm" viewBox="0 0 1200 1400">'
        f'<g fill="none" stroke="#000" stroke-width=".5">{body}</g></svg>'
    )


def skirt(chance: Random) -> tuple[str, float, int, bool, int, float]:
    """Draw a skirt piece.

    Returns:
        Its text, how wide its top is (mm, darts open), its count of lines, whether it is a half, its count of darts and what
        they take from the top (mm).
    """
    half = chance.random() < 0.25
    wide, high, down = chance.uniform(300, 700), chance.uniform(450, 850), chance.uniform(130, 240)
    slope = 0.0 if half else chance.uniform(-0.08, 0.08)
    dip, flare, hips = chance.uniform(-10, 25), chance.uniform(0, 90), chance.uniform(0, 35)
    mirrored = chance.random() < 0.5

    def spot(x: float, y: float) -> str:
        return f"{(1200 - x if mirrored else x):.3f} {y:.3f}"

    def top(x: float) -> float:  # a parabola between the corners
        share = (x - 200) / wide
        return 200 + slope * (x - 200) + (2 * dip * share * (1 - share / 2) if half else 4 * dip * share * (1 - share))

    far = 200 + wide
    count = chance.randint(1, 3) if half else chance.randint(1, 7)
    xs = [200 + wide * (k + (0.5 if half else 1)) / (count + (0 if half else 1)) for k in range(count)]
    xs = [x + chance.uniform(-0.1, 0.1) * wide / (count + 1) for x in xs]
    darts: list[tuple[float, float, float, bool]] = []
    if chance.random() < 0.5:
        open_legs = chance.random() < 0.5
        for _ in range(chance.choice([1, 1, 2])):
            at, mouth = chance.uniform(260, far - 60), chance.uniform(8, 30)
            if all(abs(at - other[0]) > 70 for other in darts):
                darts.append((at, mouth, chance.uniform(0.4, 0.85) * down, open_legs))
    darts.sort()
    # The top as chords of 2 mm and less, but where a notch is; or as cubics between what stands on it.
    runs: list[str] = []
    stops = [200.0, *[x for at, mouth, _, legs in darts if not legs for x in (at - mouth / 2, at + mouth / 2)], far]
    for k, (a, b) in enumerate(pairwise(stops)):
        if k % 2:  # a notch
            depth = next(d for at, _, d, legs in darts if not legs and a < at < b)
            runs.append(f"L{spot((a + b) / 2, top((a + b) / 2) + depth)} L{spot(b, top(b))}")
        else:  # a parabola is one cubic: its control points lie on the tangents at the ends
            grade = (top(a + 1e-4) - top(a - 1e-4)) / 2e-4, (top(b + 1e-4) - top(b - 1e-4)) / 2e-4
            third = (b - a) / 3
            runs.append(
                f"C{spot(a + third, top(a) + grade[0] * third)} {spot(b - third, top(b) - grade[1] * third)} {spot(b, top(b))}"
            )
    left_out, left_hem = (0.0, 0.0) if half else (hips, flare)
    # Each side is round down to the hip, and straight or hollow from there.
    hip_y = (top(200) + down, top(far) + down)
    side = (
        f"C{spot(far + 0.6 * hips, top(far) + 0.3 * down)} {spot(far + hips, top(far) + 0.7 * down)} "
        f"{spot(far + hips, hip_y[1])}"
        f"L{spot(far + hips + flare, 200 + high)}"
    )
    thirds = [spot(200 + share * wide, (215 if half else 220) + high) for share in (0.66, 0.33)]
    hem = f"C{thirds[0]} {thirds[1]} {spot(200 - left_out - left_hem, 200 + high + (15 if half else 0))}"
    back = (
        ""
        if half
        else f"L{spot(200 - left_out, hip_y[0])}C{spot(200 - hips, top(200) + 0.7 * down)} "
        f"{spot(200 - 0.6 * hips, top(200) + 0.3 * down)} {spot(200, top(200))}"
    )
    body = f'<path id="seam" d="M{spot(200, top(200))}{"".join(runs)}{side}{hem}{back}Z"/>'
    for k, (at, mouth, depth, legs) in enumerate(darts, 1):
        if legs:
            ends = [spot(x, top(x)) for x in (at - mouth / 2, at + mouth / 2)]
            body += f'<path id="dart {k}" d="M{ends[0]}L{spot(at, top(at) + depth)} L{ends[1]}"/>'
    named = chance.choice([("",), ("",), ("", " weight 2", " weight 0.5"), ("", "", " share 8mm"), ("", " weight 0")])
    for k, x in enumerate(xs, 1):
        hem_x = 200 + (x - 200) * (1 + (flare if half else 2 * flare) / wide) - left_hem + chance.uniform(-6, 6)
        body += f'<path id="slash {k}{chance.choice(named)}" d="M{spot(x, top(x) - 20)}L{spot(hem_x, 260 + high)}"/>'
    bow = chance.uniform(-6, 6)
    body += (
        f'<path id="hip" d="M{spot(200 - left_out, hip_y[0])}C{spot(200 + wide / 3, hip_y[0] + bow)} '
        f'{spot(200 + 2 * wide / 3, hip_y[1] + bow)} {spot(far + hips, hip_y[1])}"/>'
    )
    if half:
        body += f'<path id="fold edge" d="M{spot(200, top(200))}L{spot(200, 215 + high)}"/>'
    return _page(body), wide, count, half, len(darts), sum([mouth for _, mouth, _, _ in darts])


_NAMED = ("", "", "", "", " weight 2", " weight 0.5")


def fitting(chance: Random, wide: float, count: int, half: bool, darts: int, sewn: float) -> dict[str, Any]:
    """Return what is asked of a skirt piece."""
    space = wide / (count + 1)
    kind = chance.choice(["knife", "inverted", "box"])
    times = {"knife": 2, "box": 2, "inverted": 4}[kind]
    intake = chance.uniform(0.1, 0.42) * space * times
    asked: dict[str, Any] = {"kind": kind, "intake": f"{intake:.1f}mm"}
    if kind == "box":
        asked["face"] = f"{chance.uniform(0.2, 0.5) * space:.1f}mm"
    if kind == "knife":
        asked["lap"] = chance.choice(["centre", "sides"] if half else ["left", "right", "centre", "sides"])

    def perhaps(share: float, **more: Any) -> None:
        if chance.random() < share:
            asked.update(more)

    perhaps(0.4, hem_intake=f"{intake * chance.uniform(0.5, 1.5):.1f}mm")
    perhaps(0.2, stack=2)
    perhaps(0.6, allowance=chance.choice(["10mm", "15mm", ["12mm", "hem=4cm"], "hem=3cm", ["1cm", "top=2cm"]]))
    perhaps(0.2, notch="triangle")
    perhaps(0.25, mark=f"{chance.uniform(2, 12):.0f}cm")
    perhaps(0.3, shaping="curved")
    if darts:
        perhaps(0.7, darts=chance.choice(["nearest", "all"]))
    if "darts" not in asked or chance.random() < 0.5:
        # What vanishes is about what bodies need: up to 3 cm in a pleat.
        asked["fit_waist"] = f"{wide - sewn - count * chance.uniform(0, 30):.1f}mm"
    levels: list[dict[str, Any]] = [{"hip": "hip"}, {"hip": "hip"}, {"fit_length": f"{chance.uniform(110, 200):.0f}mm"}]
    asked.update(chance.choice([*levels, {}] if "darts" in asked else levels))
    if "allowance" in asked:
        perhaps(0.2, hem_turn=True)
    return asked


def with_cutting_line(text: str, folder: Path) -> str:
    """Draw a cutting line 12 mm outside the seam, as a hand with a parallel ruler would: in short straight strokes."""
    drawn = folder / "drawn.svg"
    drawn.write_text(text, encoding="utf-8")
    outline = pleatsvg.read(drawn).outline
    points = [point_at(seg, k / 24) for seg in outline.segments for k in range(24 if len(seg) == 4 else 1)]
    around = shapely.Polygon([(z.real, z.imag) for z in points]).buffer(12, join_style="mitre").exterior
    path = " ".join([f"{x:.3f} {y:.3f}" for x, y in shapely.get_coordinates(around)[:-1]])
    return text.replace("</g></svg>", f'<path id="cutting line" d="M{path}Z"/></g></svg>')


def bodice(chance: Random) -> tuple[str, dict[str, Any]]:
    """Draw a bodice front with a dart and lines to its point from another edge; what is asked of it too."""
    wide, high = chance.uniform(190, 280), chance.uniform(380, 480)
    point = complex(30 + wide * chance.uniform(0.4, 0.6), 30 + high * chance.uniform(0.5, 0.62))
    mouth, waist_y = chance.uniform(12, 40), 30 + high
    neck, tip, right = 30 + 0.3 * wide, 30 + 0.8 * wide, 30 + wide
    bust = 30 + 0.36 * high
    where = chance.choice(["waist", "side", "waist"])
    waist, side = f"C{right - 40:.2f} {waist_y + 8:.2f} ", f"L{right:.2f} {waist_y:.2f}"
    if where == "waist":
        a, b = (complex(point.real + s * mouth / 2, waist_y + 4) for s in (1, -1))
        waist += f"{a.real + 30:.2f} {a.imag:.2f} {a.real:.3f} {a.imag:.3f}"
        waist += f"L{point.real:.3f} {point.imag:.3f}L{b.real:.3f} {b.imag:.3f}L30 {waist_y + 4:.2f}"
    else:
        waist += f"70 {waist_y + 6:.2f} 30 {waist_y + 4:.2f}"
        # Both legs are as long: their ends lie on the upright side, as far above the point's level as below.
        side = (
            f"L{right:.3f} {point.imag - mouth / 2:.3f}L{point.real:.3f} {point.imag:.3f}"
            f"L{right:.3f} {point.imag + mouth / 2:.3f}L{right:.2f} {waist_y:.2f}"
        )
    seam = (
        f"M30 {waist_y + 4:.2f}V{0.16 * high + 30:.2f}C{30 + 0.15 * wide:.2f} {0.155 * high + 30:.2f} {neck - 5:.2f} "
        f"{0.1 * high + 30:.2f} {neck:.2f} 30L{tip:.2f} 62C{tip - 10:.2f} {bust - 60:.2f} {tip + 5:.2f} {bust - 20:.2f} "
        f"{right:.2f} {bust:.2f}{side}{waist}Z"
    )
    count = chance.randint(1, 4)
    ends: list[complex] = []
    if where == "side" and chance.random() < 0.6:
        ends = [complex(30 + wide * (0.2 + 0.6 * (k + 0.5) / count), waist_y + 30) for k in range(count)]
    else:
        ends = [neck + (tip - neck) * (k + 1) / (count + 1) + 15j for k in range(count)]
    body = f'<path id="seam" d="{seam}"/>'
    for k, end in enumerate(ends, 1):
        near = point + complex(chance.uniform(-6, 6), chance.uniform(-6, 6))
        line = f"M{end.real:.2f} {end.imag:.2f}L{near.real:.2f} {near.imag:.2f}"
        body += f'<path id="slash {k}{chance.choice(_NAMED)}" d="{line}"/>'
    if chance.random() < 0.3:
        body += f'<path id="bust line" d="M30 {bust + 20:.1f}H{right:.1f}"/>'
    if chance.random() < 0.5:
        body += f'<path id="grainline" d="M{45:.1f} {bust:.1f}V{waist_y - 60:.1f}"/>'
    kind = chance.choice(["knife", "inverted", "tuck", "pin-tuck", "tuck"])
    asked: dict[str, Any] = {"kind": kind, "pivot": "dart"}
    if kind != "inverted":
        asked["lap"] = chance.choice(["left", "right"])
    if kind == "tuck" and chance.random() < 0.5:
        asked["stitched"] = f"{chance.uniform(3, 12):.0f}cm"
    if chance.random() < 0.6:
        asked["allowance"] = chance.choice(["10mm", "15mm", ["12mm", "hem=2cm"]])
    if kind == "knife" and chance.random() < 0.2:
        asked["stack"] = 2
    return _page(body), asked


def run(seed: int, number: int, folder: Path) -> tuple[str, str]:
    """Run a case; what it asked for, and "made" or the kind of refusal.

    Raises:
        AssertionError: what was made is not true. Any exception but a refusal is a fault as well.
    """
    chance = Random(f"fitted {seed}/{number}")
    if pivots := number % 5 == 4:
        text, asked = bodice(chance)
    else:
        text, *about = skirt(chance)
        asked = fitting(chance, *about)
        if not about[2] and "allowance" not in asked and chance.random() < 0.5:
            text = with_cutting_line(text, folder)
            asked.pop("hem_turn", None)
    said = f"case {number} of seed {seed}: {asked}"
    drawn, out = folder / "drawn.svg", folder / "flat.svg"
    drawn.write_text(text, encoding="utf-8")
    try:
        result = pleatsvg.pleat(pleatsvg.read(drawn), **asked)
        pleatsvg.write(result, out, force=True)
    except PleatError as error:
        return f"{said}\n  {error}", type(error).__name__
    except Exception as error:
        raise AssertionError(f"{said}\n  {type(error).__name__}: {error}") from error
    try:
        for proof in fold(out):
            assert proof.holds, proof.failures[0]
        if pivots or "data-zone" not in out.read_text(encoding="utf-8"):
            assert_true(out)
        else:
            top = assert_fitted(out).top_mm
            wanted = float(asked["fit_waist"][:-2]) if "fit_waist" in asked else result.top_lengths[0]
            assert math.isclose(top, wanted, abs_tol=0.01), f"the top comes to {top} mm"
    except Exception as error:
        raise AssertionError(f"{said}\n  {type(error).__name__}: {str(error)[:600]}") from error
    return said, "made"


if __name__ == "__main__":
    raise SystemExit(ask(run, __doc__, sys.argv[1:]))
