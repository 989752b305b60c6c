"""Lines that share out a seam edge: equal spaces with what is left at the ends, a spacing about the centre or from a start."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pleatsvg import measure, pleat, read
from pleatsvg.batch.jobfile.read import read_job
from pleatsvg.errors import FitError, RequestError
from pleatsvg.length import parse_length
from pleatsvg.order.piece_order import order_from
from pleatsvg.order.placing import Placing
from pleatsvg.pleats.spaces import least_end, spots_along

FIXTURES = Path(__file__).parents[2] / "fixtures"
KNIFE = {"kind": "knife", "lap": "left"}
ENDS = st.sampled_from(["half", "full", "15mm", "1 1/2in"])


def spots(length: float, centre: float | None = None, **asked: object) -> list[float]:
    order = order_from(**KNIFE, intake="1mm", **asked)
    placing = order.pleats[0].placing
    assert placing is not None
    return spots_along(placing, "top", length, length / 2 if centre is None else centre, "mm")


def test_closed_forms() -> None:
    assert spots(720, count=24) == pytest.approx([15 + 30 * k for k in range(24)])
    assert spots(720, count=23, ends="full") == pytest.approx([30 + 30 * k for k in range(23)])
    assert spots(720, count=4, ends="6cm") == pytest.approx([60, 260, 460, 660])
    assert spots(600, spacing="10cm") == pytest.approx([50, 150, 250, 350, 450, 550])
    assert spots(600, spacing="10cm", ends="full") == pytest.approx([100, 200, 300, 400, 500])
    assert spots(600, spacing="10cm", count=3) == pytest.approx([200, 300, 400])
    assert spots(600, spacing="10cm", at="2cm") == pytest.approx([20, 120, 220, 320, 420, 520])
    assert spots(600, spacing="10cm", at="2cm", count=2) == pytest.approx([20, 120])


def test_a_fold_edge_is_the_middle_and_no_end() -> None:
    """On the half that is drawn, half a space is left at the fold: a whole one lies over it."""
    assert spots(350, 350, count=3, ends="full") == pytest.approx([100, 200, 300])
    assert spots(350, 0, count=3, ends="full") == pytest.approx([50, 150, 250])
    assert spots(350, 0, count=3, ends="10cm") == pytest.approx([50, 150, 250])
    assert spots(350, 350, spacing="10cm") == pytest.approx([100, 200, 300])
    assert spots(350, 0, spacing="10cm", count=2) == pytest.approx([50, 150])


@given(length=st.floats(200, 3000), count=st.integers(2, 60), ends=ENDS)
def test_counted_lines_are_equally_apart_and_leave_what_was_said(length: float, count: int, ends: str) -> None:
    found = spots(length, count=count, ends=ends)
    steps = [b - a for a, b in pairwise(found)]
    assert max(steps) - min(steps) < 1e-9
    at_end = least_end(ends if ends in ("half", "full") else parse_length(ends), steps[0])
    assert found[0] == pytest.approx(at_end, abs=1e-9)
    assert length - found[-1] == pytest.approx(at_end, abs=1e-9)


@given(length=st.floats(200, 3000), step=st.floats(5, 60), ends=ENDS)
def test_as_many_as_fit_and_no_more(length: float, step: float, ends: str) -> None:
    found = spots(length, spacing=f"{step:.3f}mm", ends=ends)
    step = float(f"{step:.3f}")
    at_end = least_end(ends if ends in ("half", "full") else parse_length(ends), step)
    assert found[0] >= at_end - 1e-6
    assert found[0] + found[-1] == pytest.approx(length), "about the centre"
    assert (len(found) - 1) * step == pytest.approx(found[-1] - found[0])
    assert found[0] - at_end < step / 2 + 1e-6, "one line more has no room"


def test_along_a_curved_seam_they_are_apart_by_its_length() -> None:
    piece = read(FIXTURES / "skirt-front.svg")
    result = pleat(piece, **KNIFE, intake="2cm", spacing="6cm")
    outline = result.lines.outline
    places = [chord.top_at for chord in result.lines.chords]
    assert [round(outline.sewn_distance(a, b), 6) for a, b in pairwise(places)] == [60.0] * (len(places) - 1)
    top = measure(piece).edges[0].length
    start, stop = (float(corner) for corner in outline.corners_around(places[0], places[-1]))
    left, right = outline.sewn_distance(start, places[0]), outline.sewn_distance(places[-1], stop)
    assert left == pytest.approx(right)
    assert left + right + 60 * (len(places) - 1) == pytest.approx(top)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"ends": "full"}, "Give count or spacing with it"),
        ({"count": 5, "gap": "1cm", "ends": "full"}, "ends and gap are both given"),
        ({"count": 5, "gap": "1cm", "spacing": "2cm"}, "spacing and gap are both given"),
        ({"at": ("1cm", "2cm"), "spacing": "2cm"}, "at is given 2 times"),
        ({"spacing": "0cm"}, "spacing is 0 cm; lines lie apart"),
        ({"count": 3, "ends": "-1cm"}, "ends is -1 cm"),
        ({"count": 3, "spacing": "2cm", "ends": "full"}, "Keep two of the three"),
        ({"count": 3, "ends": "whole"}, "that is not a length"),
        ({"at": "2cm", "count": 3}, "or give spacing as well, and the lines begin there"),
    ],
)
def test_contradictions(asked: dict[str, object], words: str) -> None:
    with pytest.raises(RequestError) as refused:
        order_from(**KNIFE, intake="2cm", **asked)
    assert words in str(refused.value)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"count": 3, "ends": "30cm"}, "nothing is left between them. Give ends less than 300 mm"),
        ({"count": 3, "ends": "0cm"}, "would lie on the corner at the end of the top"),
        ({"count": 1, "ends": "5cm"}, "one line leaves 300 mm"),
        (
            {"spacing": "10cm", "count": 9},
            "take 800 mm from the first to the last; the top is 600 mm long; at most 6 fit",
        ),
        ({"spacing": "10cm", "at": "25cm", "count": 9}, "at most 4 fit. Give count=4"),
        ({"spacing": "10cm", "at": "70cm"}, "would lie off the seam"),
        ({"spacing": "70cm", "ends": "full"}, "no line 700 mm from both ends fits on it"),
    ],
)
def test_no_room(asked: dict[str, object], words: str) -> None:
    with pytest.raises(FitError) as refused:
        spots(600, **asked)
    assert words in str(refused.value)


@pytest.mark.parametrize("asked", [{"count": 24}, {"count": 24, "ends": "1cm"}, {"spacing": "3cm", "ends": "1cm"}])
@pytest.mark.parametrize("drawing", ["straight-panel.svg", "skirt-front.svg", "gore-panel.svg"])
def test_a_refused_placement_names_the_option_that_serves(drawing: str, asked: dict[str, object]) -> None:
    piece = read(FIXTURES / drawing)
    how = {**KNIFE, "run": "fan", "depth": "2.4cm", **asked}
    if drawing == "gore-panel.svg":
        how["spacing" if "spacing" in how else "count"] = "3cm" if "spacing" in how else 3
    with pytest.raises(FitError, match="serves here") as refused:
        pleat(piece, **how)
    (named,) = [part.value for part in refused.value.message.parts if not isinstance(part, str)][:1]
    assert pleat(piece, **{**how, "ends": named}).proof.worst < 0.01


def test_where_no_ends_serve_none_is_named() -> None:
    with pytest.raises(FitError, match="Take a smaller intake") as refused:
        pleat(read(FIXTURES / "gore-panel.svg"), **KNIFE, depth="20cm", count=3)
    assert "serves" not in str(refused.value)


def test_a_job_file_has_the_keys(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        '[[piece]]\ndrawing = "front.svg"\nkind = "knife"\nintake = "2cm"\nlap = "left"\ncount = 7\nends = "full"\n'
        '[[piece]]\ndrawing = "front.svg"\nkind = "knife"\nintake = "2cm"\nlap = "left"\nspacing = "3cm"\nat = "2cm"\n'
        'output = "b"\n'
    )
    first, second = (piece.order.pleats[0].placing for piece in read_job(job).pieces)
    assert first == Placing(count=7, ends="full")
    assert second is not None
    assert second.spacing == parse_length("3cm")
