"""Random fitted pieces: whatever is made comes to its waist, and is proven by `fold` and by the referee."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pleatsvg import fold
from pleatsvg.errors import PleatError
from tests.drawings.fitted_pieces import fitted
from tests.referee.fitback import assert_fitted

SETTINGS = settings(
    derandomize=True,
    deadline=None,
    max_examples=6 * int(os.environ.get("EXAMPLES", "1")),
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)


@st.composite
def pieces(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    """A skirt piece whose top slopes by up to a tenth and bends, with slash lines that fan out, and what is asked of it."""
    wide, high = draw(st.floats(350, 700)), draw(st.floats(450, 800))
    slope, bend, flare = draw(st.floats(-0.1, 0.1)), draw(st.floats(-12, 20)), draw(st.floats(0, 60))
    count, down = draw(st.integers(1, 6)), draw(st.floats(130, 220))
    third, low = wide / 3, 100 + high

    def top(x: float) -> float:
        return 100 + slope * x

    seam = (
        f"M 100,100 C {100 + third},{top(third) + bend} {100 + 2 * third},{top(2 * third) + bend} {100 + wide},{top(wide)} "
        f"L {100 + wide + flare},{low} C {100 + 2 * third},{low + 15} {100 + third},{low + 15} {100 - flare},{low} Z"
    )
    slashes = ""
    for k in range(count):
        at = (k + 0.5) / count
        slashes += f'<path id="slash {k + 1}" d="M {100 + at * wide},60 L {100 - flare + at * (wide + 2 * flare)},{low + 40}"/>'
    space = wide / count
    kind = draw(st.sampled_from(["knife", "inverted", "box"]))
    depth = draw(st.floats(0.12, 0.4)) * min(space, 140)
    options: dict[str, Any] = {
        "kind": kind,
        "intake": f"{depth * (4 if kind == 'inverted' else 2):.3f}mm",
        "hem_intake": f"{depth * (4 if kind == 'inverted' else 2) * draw(st.floats(0.7, 1.3)):.3f}mm",
        "fit_waist": f"{wide * draw(st.floats(0.82, 0.99)):.3f}mm",
        "fit_length": f"{down:.3f}mm",
    }
    if kind == "knife":
        options["lap"] = draw(st.sampled_from(["left", "right"]))
    if kind == "box":
        options["face"] = f"{0.45 * space:.3f}mm"
    if draw(st.booleans()):
        options["allowance"] = "12mm"
    if draw(st.booleans()) and kind != "box":
        options["stack"] = 2
    page = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" height="1100mm" viewBox="0 0 1000 1100">'
        f'<path id="seam" d="{seam}"/>{slashes}</svg>'
    )
    return page, options


@SETTINGS
@given(pieces())
def test_random_pieces_come_to_their_waist(made: tuple[str, dict[str, Any]]) -> None:
    text, options = made
    with TemporaryDirectory() as folder:
        try:
            result, out = fitted(Path(folder), text, **options)
        except PleatError as refusal:
            assert "does not fold back" not in str(refusal)
            assert "lies" not in str(refusal) or "over itself" in str(refusal)
            return
        assert abs(result.top_lengths[0] - float(options["fit_waist"][:-2])) < 1e-6
        assert_fitted(out)
        assert [proof.failures for proof in fold(out)] == [()]


@st.composite
def darted(draw: st.DrawFn) -> tuple[str, float, float, dict[str, Any]]:
    """A skirt piece with one to three darts in its straight top, as notches or open legs, and lines at random beside them; how
    long its top is with all darts sewn up; and what is asked of it."""
    wide, high, count = draw(st.floats(400, 700)), draw(st.floats(450, 800)), draw(st.integers(1, 3))
    space = wide / count
    mouths = []
    for k in range(count):
        middle, width = (k + draw(st.floats(0.4, 0.6))) * space, draw(st.floats(8, 30))
        mouths.append((100 + middle - width / 2, 100 + middle + width / 2, draw(st.floats(80, 140))))
    open_legs = draw(st.booleans())
    top, legs = "", ""
    for k, (left, right, deep) in enumerate(mouths, 1):
        point = f"{(left + right) / 2 + draw(st.floats(-2, 2))},{100 + deep}"
        if open_legs:
            legs += f'<path id="dart {k}" d="M {left},100 L {point} L {right},100"/>'
        else:
            top += f" L {left},100 L {point} L {right},100"
    flare = draw(st.floats(0, 50))
    seam = f"M 100,100{top} L {100 + wide},100 L {100 + wide + flare},{100 + high} L {100 - flare},{100 + high} Z"
    lines = draw(st.integers(1, 5))
    slashes = ""
    for k in range(lines):
        at = (k + draw(st.floats(0.35, 0.65))) / lines
        foot = 100 - flare + at * (wide + 2 * flare)
        slashes += f'<path id="slash {k + 1}" d="M {100 + at * wide},60 L {foot},{140 + high}"/>'
    kind = draw(st.sampled_from(["knife", "inverted", "box"]))
    depth = draw(st.floats(0.1, 0.25)) * min(wide / lines, 140)
    options: dict[str, Any] = {
        "kind": kind,
        "intake": f"{depth * (4 if kind == 'inverted' else 2):.3f}mm",
        "darts": draw(st.sampled_from(["nearest", "all", ["nearest", "dart 1=all"]])),
    }
    if draw(st.booleans()):
        options["fit_length"] = f"{draw(st.floats(150, 220)):.3f}mm"
    if draw(st.booleans()):
        options["shaping"] = "curved"
    if kind == "knife":
        options["lap"] = draw(st.sampled_from(["left", "right"]))
    if kind == "box":
        options["face"] = f"{0.3 * wide / lines:.3f}mm"
    page = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" height="1100mm" viewBox="0 0 1000 1100">'
        f'<path id="seam" d="{seam}"/>{legs}{slashes}</svg>'
    )
    taken = sum([right - left for left, right, _ in mouths])
    return page, wide - taken, taken, options


@SETTINGS
@given(darted())
def test_random_darts_become_pleats(made: tuple[str, float, float, dict[str, Any]]) -> None:
    text, waist, taken, options = made
    with TemporaryDirectory() as folder:
        try:
            result, out = fitted(Path(folder), text, **options)
        except PleatError as refusal:
            words = (
                "reaches",
                "lean",
                "closes with a step",
                "meet",
                "stitched along a curve",
                "a face",
                "faces",
                "at the top",
            )
            assert any(word in str(refusal) for word in words), str(refusal)
            return
        assert abs(result.top_lengths[0] - waist) < 1e-6
        piece = result.laid.fitted
        assert piece is not None
        assert abs(sum(piece.shares) - taken) < 1e-6
        assert_fitted(out)
        assert [proof.failures for proof in fold(out)] == [()]
