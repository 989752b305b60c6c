"""Cloth that is drawn flat and finished to a length: the referee measures the folded seam in the file that was written.

Closed forms: n pleats take (cloth - finished) / n each (NIMI p. 201: flat = finished + intake x count); on a straight slanting
seam with equal spaces the trued seam is the straight line between its corners. Lengths in mm.
"""

from __future__ import annotations

import cmath
import json
import math
import re
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pleatsvg import pleat, read, write
from pleatsvg.batch.jobfile.read import read_job
from pleatsvg.cli import run
from pleatsvg.errors import FitError, PleatError, RequestError
from pleatsvg.order.piece_order import order_from
from pleatsvg.order.pleat_order import PleatOrder
from pleatsvg.piece.slash_lines import SlashSet
from pleatsvg.pleated import PleatedPiece
from pleatsvg.pleats.finishing import finish_to
from pleatsvg.pleats.finishing.cloth import Strip
from tests.drawings.paper import drawing, polygon, proven
from tests.referee.foldback import Points, read_path

FIXTURES = Path(__file__).parents[2] / "fixtures"
KNIFE: dict[str, Any] = {"kind": "knife", "lap": "left"}
PANEL = polygon(100 + 100j, 1180 + 100j, 1180 + 700j, 100 + 700j)
HIP = '<line id="hip" x1="100" y1="300" x2="1180" y2="300"/>'
GRAIN = '<line id="grainline" x1="400" y1="320" x2="400" y2="600"/>'


def finished(
    folder: Path, source: Path | str, others: str = "", **options: Any
) -> tuple[PleatedPiece, dict[str, float]]:
    """A result folded back by the referee, and the lengths of the edges of its finished seam: by chords of the file's curve."""
    if isinstance(source, str):
        (folder / "cloth.svg").write_text(drawing(source, {}, others, size=(2000, 2000)))
        source = folder / "cloth.svg"
    result = pleat(read(source), **KNIFE | options)
    out = folder / "flat.svg"
    write(result, out, force=True)
    proven(out)
    found = re.search(r'class="finished-line" d="([^"]+)"', out.read_text())
    assert found is not None
    ((points, _),) = read_path(found[1])
    return result, edges(points)


def edges(points: Points) -> dict[str, float]:
    """Lengths of top, right, hem and left of a ring with four corners, clockwise."""
    ring = points[:-1] if points[0] == points[-1] else points
    ways = np.roll(ring, -1) - ring
    turns = [abs(math.degrees(cmath.phase(b / a))) for a, b in zip(np.roll(ways, 1), ways, strict=True)]
    corners = sorted(np.argsort(turns)[-4:])
    runs = []
    for a, b in zip(corners, [*corners[1:], corners[0] + len(ring)], strict=True):
        walked = [ring[k % len(ring)] for k in range(a, b + 1)]
        runs.append((walked, sum(abs(q - p) for p, q in pairwise(walked))))
    top = min(range(4), key=lambda k: float(np.mean([z.imag for z in runs[k][0]])))
    return {name: runs[(top + k) % 4][1] for k, name in enumerate(("top", "right", "hem", "left"))}


def test_the_intake_is_found_for_a_count(tmp_path: Path) -> None:
    result, found = finished(tmp_path, PANEL, finish_to="42cm", count=11, ends="full")
    assert found["top"] == pytest.approx(420, abs=1e-6)
    assert [fact.intake_top for fact in result.facts] == pytest.approx([60] * 11, abs=1e-5)
    assert result.top_lengths == pytest.approx((420, 1080), abs=1e-5)
    assert [chord.top.real for chord in result.lines.chords] == pytest.approx([100 + 35 * (k + 1) for k in range(11)])


def test_the_count_is_found_for_an_intake_and_then_the_exact_intake(tmp_path: Path) -> None:
    """720 / 65 = 11.08 pleats, so 11, which take 65.45 each."""
    result, found = finished(tmp_path, PANEL, finish_to="36cm", intake="6.5cm", ends="4cm")
    assert found["top"] == pytest.approx(360, abs=1e-6)
    assert len(result.facts) == 11
    assert result.facts[0].intake_top == pytest.approx(720 / 11, abs=1e-5)
    assert any("makes 11.08 pleats, rounded down to 11; so each takes up 6.55 cm" in str(r) for r in result.remarks)
    finish = result.laid.finish
    assert finish is not None
    assert finish.counted == pytest.approx(720 / 65)


def test_the_flat_piece_is_the_cloth_that_was_drawn(tmp_path: Path) -> None:
    result, _ = finished(tmp_path, PANEL, finish_to="48cm", count=8, ends="5cm")
    box = result.flat.outline.box
    assert (box[2] - box[0], box[3] - box[1]) == pytest.approx((1080, 600), abs=1e-5)
    assert abs(result.flat.outline.area) == pytest.approx(1080 * 600, rel=1e-9)


def test_a_hip_comes_to_its_length_as_well(tmp_path: Path) -> None:
    """Conover's rule: the intake at each level is the flat width less the finished one there, shared among the pleats."""
    result, found = finished(tmp_path, PANEL, HIP, finish_to="60cm", balance="hip=72cm", count=8, ends="full")
    assert found["top"] == pytest.approx(600, abs=1e-6)
    (hip,) = [shape for shape in result.finished.shapes if shape.part == "balance"]
    assert sum(abs(seg[-1] - seg[0]) for seg in hip.stroke) == pytest.approx(720, abs=1e-6)
    fact = result.facts[0]
    assert fact.intake_top == pytest.approx(60, abs=0.2), "480 / 8, but for the turn of tapered pleats"
    at_hip = fact.intake_top + (fact.intake_hem - fact.intake_top) * 200 / 600
    assert at_hip == pytest.approx(45, abs=0.2)


@pytest.mark.parametrize("kind", ["knife", "box", "inverted", "tuck"])
@pytest.mark.parametrize(("drawn", "options"), [("skirt-front", {}), ("skirt-front", {"count": 4, "run": "fan"})])
def test_curved_seams_come_to_their_length(drawn: str, options: dict[str, Any], kind: str, tmp_path: Path) -> None:
    result, found = finished(tmp_path, FIXTURES / f"{drawn}.svg", finish_to="30cm", **options, kind=kind)
    assert found["top"] == pytest.approx(300, abs=1e-3), "chords stray from the curve by up to 0.0002"
    assert result.top_lengths[0] == pytest.approx(300, abs=1e-6)
    assert found["left"] == pytest.approx(605.9, abs=0.1), "a side seam is left as it was drawn"
    assert found["right"] == pytest.approx(605.9, abs=0.1)
    assert result.top_lengths[1] == pytest.approx(361.7, abs=0.3)


def test_a_slanting_seam_is_trued_to_a_straight_line(tmp_path: Path) -> None:
    slant = polygon(100 + 100j, 1180 + 208j, 1180 + 700j, 100 + 700j)
    result, found = finished(tmp_path, slant, GRAIN, finish_to="70cm", count=9, run="grain")
    outline = result.finished.outline
    tops = [z for seg in outline.segments for z in seg if z.imag < 400]
    corners = min(tops, key=lambda z: z.real), max(tops, key=lambda z: z.real)
    along = (corners[1] - corners[0]) / abs(corners[1] - corners[0])
    assert max(abs(((z - corners[0]) * along.conjugate()).imag) for z in tops) < 1e-6
    assert found["top"] == pytest.approx(700, abs=1e-6)
    assert found["left"] == pytest.approx(600, abs=1e-6)
    assert found["right"] == pytest.approx(492, abs=1e-6)


def test_a_half_piece_on_the_fold(tmp_path: Path) -> None:
    edge = '<path id="fold edge" d="M1180,100 L1180,700"/>'
    result, found = finished(tmp_path, PANEL, edge, finish_to="60cm", count=6, lap="centre", ends="full")
    assert found["top"] == pytest.approx(600, abs=1e-6)
    assert result.laid.ground.on_fold
    gaps = [1180 - 480 - chord.top.real for chord in result.lines.chords]
    assert gaps[-1] == pytest.approx(600 / 6.5 / 2), "half a space at the fold"


@settings(max_examples=15, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    rise=st.floats(-60, 60),
    sag=st.floats(-60, 60),
    flare=st.floats(-40, 80),
    count=st.integers(2, 7),
    share=st.floats(0.75, 0.95),
)
def test_whatever_the_seam(rise: float, sag: float, flare: float, count: int, share: float, tmp_path: Path) -> None:
    corners = (300 + 300j, 1000 + (300 + rise) * 1j, 1000 + flare + 900j, 300 - flare + 900j)
    a, b, c, d = (f"{z.real:.3f},{z.imag:.3f}" for z in corners)
    seam = f"M{a} C500,{300 + sag:.3f} 800,{300 + rise + sag:.3f} {b} L{c} L{d} Z"
    top = 700 * share
    _, found = finished(tmp_path, seam, finish_to=f"{top:.2f}mm", count=count, run="fan", ends="half", lap="right")
    assert found["top"] == pytest.approx(round(top, 2), abs=2e-3)
    assert found["left"] == pytest.approx(abs(corners[3] - corners[0]), abs=1e-3)
    assert found["right"] == pytest.approx(abs(corners[2] - corners[1]), abs=1e-3)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (
            {"finish_to": "120cm", "count": 4},
            "is 120 cm, and the cloth as drawn is 108 cm across the top; pleats make it",
        ),
        (
            {"finish_to": "36cm", "count": 11, "intake": "6cm"},
            "11 pleats must take up 6.55 cm each for 36 cm, and 6 cm was",
        ),
        ({"finish_to": "36cm", "count": 4, "kind": "kick", "height": "20cm"}, "takes up nothing at the top"),
        ({"finish_to": "36cm", "count": 4, "along": "left side", "run": "level", "lap": "up"}, "run across the page"),
        ({"finish_to": "36cm", "count": 12, "ends": "half"}, "has an underlay that reaches out past the seam"),
        ({"finish_to": "36cm", "count": 4, "balance": "hop=40cm"}, "The balance line 'hop' is not drawn on this piece"),
        ({"finish_to": "36cm", "at": ("3cm", "30cm")}, "has no room for its pleat"),
        ({"finish_to": "36cm", "count": 4, "balance": "hip=90cm"}, "would take up less than nothing at the hem"),
        ({"finish_to": "36cm", "count": 4, "balance": "hip=40cm", "hem_intake": "5cm"}, "Keep one of the two"),
        ({"finish_to": "36cm", "count": 4, "allowance_drawn": "1cm"}, "has a cutting line that is drawn"),
    ],
)
def test_refusals(options: dict[str, Any], words: str, tmp_path: Path) -> None:
    with pytest.raises(PleatError) as refused:
        finished(tmp_path, PANEL, HIP, **options)
    assert words in str(refused.value)


def test_what_is_refused_names_what_serves(tmp_path: Path) -> None:
    with pytest.raises(FitError, match=r'ends="3cm" serves here') as refused:
        finished(tmp_path, PANEL, finish_to="36cm", count=12)
    assert "smaller intake" not in str(refused.value)
    finished(tmp_path, PANEL, finish_to="36cm", count=12, ends="3cm")
    with pytest.raises(FitError, match=r"can be finished to (\S+) cm at the least") as refused:
        finished(tmp_path, PANEL, finish_to="5cm", at=("20cm", "54cm", "88cm"))
    least = re.search(r"(\S+) cm at the least", str(refused.value))
    assert least is not None
    finished(tmp_path, PANEL, finish_to=f"{float(least[1]) + 45}cm", at=("20cm", "54cm", "88cm"))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"balance": "hip=40cm", "intake": "6cm"}, "is given for a piece that is drawn finished"),
        ({"finish_to": "36cm", "balance": "40cm"}, "no line is named"),
        ({"finish_to": "36cm", "balance": ("hip=40cm", "knee=50cm")}, "a pleat is straight"),
        ({"finish_to": "0cm"}, "finish_to is 0 cm; a seam has a length"),
    ],
)
def test_orders_that_are_wrong_in_themselves(options: dict[str, Any], words: str) -> None:
    with pytest.raises(RequestError, match=re.escape(words)):
        order_from(**KNIFE | options)


def test_what_is_drawn_on_the_cloth_goes_along(tmp_path: Path) -> None:
    on_cloth = (
        '<rect id="pocket" x="110" y="350" width="20" height="60"/><circle id="in the pleat" cx="280" cy="400" r="10"/>'
        '<text x="112" y="600" font-size="8">front</text>'
    )
    result, _ = finished(tmp_path, PANEL, HIP + on_cloth + GRAIN, finish_to="60cm", count=4, ends="full")
    text = (tmp_path / "flat.svg").read_text()
    assert 'data-name="pocket"' in text
    assert ">front<" in text
    assert any(
        "Left out, since it lies on cloth that the pleats hide: 'in the pleat'" in str(r) for r in result.remarks
    )


def test_a_job_file_and_the_answer_as_data(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cloth = tmp_path / "cloth.svg"
    cloth.write_text(drawing(PANEL, {}, HIP, size=(2000, 2000)))
    job = tmp_path / "job.toml"
    job.write_text(
        '[defaults]\nkind = "knife"\nlap = "left"\n[[piece]]\ndrawing = "cloth.svg"\ncount = 8\nends = "full"\n'
        'finish_to = "60cm"\nbalance = "hip = 72cm"\n'
    )
    assert read_job(job).pieces[0].order.finish is not None
    words = ["pleat", str(cloth), "-o", str(tmp_path / "out.svg"), "--kind", "knife", "--lap", "left", "--count", "8"]
    words += ["--ends", "full", "--finish-to", "60cm", "--balance", "hip=72cm", "--json"]
    with pytest.MonkeyPatch.context() as patch, pytest.raises(SystemExit):
        patch.setattr("sys.argv", ["pleatsvg", *words])
        run()
    data = json.loads(capsys.readouterr().out)
    assert data["finish_to"]["drawn_mm"] == pytest.approx(1080)
    assert data["finish_to"]["balance"] == {"name": "hip", "drawn_mm": pytest.approx(1080), "asked_mm": 720}
    assert data["top_seam_mm"]["finished"] == pytest.approx(600)


def test_a_seam_that_would_turn_a_corner_at_a_fold_is_refused(tmp_path: Path) -> None:
    """A quarter of a circle with one deep pleat: its two halves would meet at an angle."""
    with pytest.raises(FitError, match=r"The top of the cloth would turn a corner of \d+ degrees at 'line 1 of 1'"):
        finished(tmp_path, FIXTURES / "circle-skirt-panel.svg", finish_to="16cm", count=1, run="fan")


def test_the_search_for_a_taper_lays_the_whole_cloth_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The top and the balance line are all that it measures; hems and room are looked at when it is found."""
    made: list[tuple[float, float]] = []
    whole = finish_to.strips_of

    def counted(lines: SlashSet, orders: Sequence[PleatOrder], top: float, hem: float) -> tuple[Strip, ...]:
        made.append((top, hem))
        return whole(lines, orders, top, hem)

    monkeypatch.setattr(finish_to, "strips_of", counted)
    cloth = read(FIXTURES / "skirts" / "flat-cloth.svg")
    result = pleat(cloth, kind="knife", lap="left", count=12, ends="4cm", finish_to="150cm", balance="hip=165cm")
    assert result.top_lengths[0] == pytest.approx(1500, abs=1e-6)
    assert len(made) == 1
