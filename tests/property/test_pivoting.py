"""Random bodices: a dart anywhere in a seam is closed, and its angle opened along lines from anywhere. Lengths in mm."""

from __future__ import annotations

import math
import os
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

import pytest
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st

from pleatsvg import fold, pleat, read, write
from pleatsvg.errors import FitError, SlashError
from tests.referee import foldback

TIMES = int(os.environ.get("EXAMPLES", "1"))
SETTINGS = settings(derandomize=True, deadline=None, max_examples=14 * TIMES, database=None)


class Bodice(NamedTuple):
    """A front with a dart in its waist or its side, as path data; the dart's point; lines to it, its angle in radians."""

    seam: str
    point: complex
    lines: tuple[tuple[complex, complex], ...]
    angle: float
    several: bool
    """Whether the lines lead to several edges, so that no lap is one for all."""


@st.composite
def bodices(draw: st.DrawFn) -> Bodice:
    wide, high = draw(st.floats(180, 300)), draw(st.floats(320, 480))
    slope, neck = draw(st.floats(10, 50)), draw(st.floats(50, 90))
    dip, flare = draw(st.floats(-12, 12)), draw(st.floats(-20, 20))
    shoulder = neck + 0.55 * (wide - neck), slope
    at_side = draw(st.booleans())
    depth, half = draw(st.floats(80, 150)), draw(st.floats(4, 22))
    corner = complex(wide + flare, high)
    under = complex(wide, 0.38 * high)
    if at_side:
        along = (corner - under) / abs(corner - under)
        middle = under + along * abs(corner - under) * draw(st.floats(0.3, 0.6))
        point = middle + along * 1j * depth + along * draw(st.floats(-15, 15))
    else:
        middle = complex((wide + flare) * draw(st.floats(0.35, 0.65)), high + dip)
        along = -1 + 0j
        point = middle - 1j * depth + draw(st.floats(-15, 15))
    first = middle - along * half
    # The other leg as long: the first one turned about the point.
    second = point + (middle + along * half - point) * abs(first - point) / abs(middle + along * half - point)
    waist = f"C{corner.real - 40} {corner.imag + dip / 2} {first.real + 30} {first.imag} {_at(first)}"
    if at_side:
        side, bottom = f"V{under.imag}L{_at(first)}L{_at(point)}L{_at(second)}L{_at(corner)}", f"L0 {high}"
        side = f"L{_at(first)}L{_at(point)}L{_at(second)}L{_at(corner)}"
    else:
        side, bottom = f"L{_at(corner)}", f"{waist}L{_at(point)}L{_at(second)}L0 {high}"
    seam = (
        f"M0 {high}V{0.25 * high}C{0.6 * neck} {0.24 * high} {neck} {0.12 * high} {neck} 0L{shoulder[0]} {slope}"
        f"C{shoulder[0] - 8} {0.2 * high} {shoulder[0] + 5} {0.33 * high} {_at(under)}{side}{bottom}Z"
    )
    count = draw(st.integers(1, 3))
    low = draw(st.floats(0.1, 0.5))
    shares = [low + 0.4 * k / max(1, count) for k in range(count)]
    whence = draw(st.sampled_from(["shoulder", "centre", "several edges", *(["waist"] if at_side else [])]))
    starts: list[complex] = {
        "several edges": [complex(neck + (shoulder[0] - neck) * shares[0], slope * shares[0]), complex(0, high * 0.6)],
        "shoulder": [complex(neck + (shoulder[0] - neck) * t, slope * t) for t in shares],
        "centre": [complex(0, high * (0.3 + 0.5 * t)) for t in shares],
        "waist": [complex(corner.real * (1 - t), high) for t in shares],
    }[whence]
    short = draw(st.floats(0, 6))
    lines = tuple([(z, point + (z - point) / abs(z - point) * short) for z in starts])
    angle = 2 * math.asin(abs(second - first) / 2 / abs(first - point))
    event(f"dart in the {'side' if at_side else 'waist'}, opened at the {whence}")
    return Bodice(seam, point, lines, angle, whence == "several edges")


def _at(z: complex) -> str:
    return f"{z.real} {z.imag}"


@pytest.fixture(scope="module")
def folder() -> Iterator[Path]:
    with TemporaryDirectory() as made:
        yield Path(made)


@given(bodice=bodices(), kind=st.sampled_from(["knife", "tuck", "inverted"]), allowance=st.sampled_from(["", "10mm"]))
@SETTINGS
def test_a_pivoted_dart_folds_back_true(folder: Path, bodice: Bodice, kind: str, allowance: str) -> None:
    slashes = "".join(f'<path id="slash {k}" d="M{_at(a)}L{_at(b)}"/>' for k, (a, b) in enumerate(bodice.lines, 1))
    drawn, out = folder / "bodice.svg", folder / "flat.svg"
    drawn.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="700mm" viewBox="0 0 600 700">'
        f'<path id="seam" d="{bodice.seam}"/>{slashes}</svg>'
    )
    piece = read(drawn)
    assume(len(piece.outline.darts) == 1)
    kind = "inverted" if bodice.several else kind
    options = {"kind": kind, "pivot": "dart", **({"lap": "left"} if kind != "inverted" else {})}
    options |= {"allowance": allowance} if allowance else {}
    try:
        result = pleat(piece, **options)
    except (FitError, SlashError) as refusal:
        if "lap left" not in refusal.message:
            event(f"refused: {refusal.message[:90]}")
            return
        result = pleat(piece, **(options | {"lap": "up"}))  # its lines run across the page
    write(result, out, force=True)
    assert result.worst_miss < 0.01
    foldback.assert_true(out)
    (proof,) = fold(out)
    assert proof.holds, proof.failures
    # The angle is kept, and so are both seams, sewn.
    found = 0.0
    for fact, pleat_ in zip(result.facts, result.pleats, strict=True):
        depths = fact.request.list.depths_taken
        chord = pleat_.first
        step = max(fact.intake_top, fact.intake_hem) / depths / abs(chord.hem - chord.top)
        found += depths * math.asin(step)
    assert found == pytest.approx(bodice.angle, abs=1e-6)
    assert min(abs(flat - sewn) for sewn, flat in (result.top_lengths, result.hem_lengths)) < 1e-6
