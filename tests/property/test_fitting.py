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


@settings(
    derandomize=True,
    deadline=None,
    max_examples=8 * int(os.environ.get("EXAMPLES", "1")),
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
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
