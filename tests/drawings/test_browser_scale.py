"""Scale and transforms, held against a browser's own figures for the drawings of fixtures/scale, to 0.01 mm.

expected.json was written by `python -m tests.drawings.browser.referee`; the browser samples each shape at 33 points.
Each sample must lie on what was read. The other way round, between one sample and the next the curve that was read must
not be longer than the browser's steps allow, so that nothing is read which the browser does not show.
"""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import Any

import pytest

from pleatsvg.drawing.drawn import DrawnShape
from pleatsvg.drawing.read import read_drawing
from tests.drawings.browser import referee
from tests.drawings.nearest import chords, distances, length, polyline, turns

SCALE = Path(__file__).parents[2] / "fixtures" / "scale"
EXPECTED: dict[str, list[dict[str, Any]]] = json.loads(
    (Path(__file__).parent / "browser" / "expected.json").read_text()
)
LIMIT = 0.01
"""mm, as the project promises."""


def _points(pairs: list[list[float]]) -> list[complex]:
    return [complex(x, y) for x, y in pairs]


def _pairs(name: str) -> list[tuple[dict[str, Any], list[DrawnShape]]]:
    shapes = list(read_drawing(SCALE / f"{name}.svg").shapes)
    pairs = []
    for shown in EXPECTED[name]:
        count = shown["strokes"]
        pairs.append((shown, shapes[:count]))
        shapes = shapes[count:]
    assert not shapes, f"read, but not shown by the browser: {[s.name for s in shapes]}"
    return pairs


def test_every_drawing_was_shown_to_the_browser() -> None:
    assert sorted(EXPECTED) == sorted(path.stem for path in SCALE.glob("*.svg"))


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_read_as_the_browser_shows_it(name: str) -> None:
    for shown, read in _pairs(name):
        said = f"{name}, {shown['id']}"
        assert len(read) == shown["strokes"], f"{said}: not read"
        if shown["by"] == "length":
            assert read[0].name.split(" ")[0] == shown["id"]
        segments = [segment for shape in read for segment in shape.stroke]
        points = _points(shown["points"])
        worst = float(distances(points, segments).max())
        assert worst <= LIMIT, f"{said}: {worst:.4f} mm off"
        if shown["by"] == "feeling":
            _assert_in_box(said, segments, _points(shown["box"]), loose=(name, shown["id"]) in _LOOSE_BOXES)
            points.append(points[0])
        if shown["strokes"] == 1:
            _assert_no_detour(said, segments, points)


_LOOSE_BOXES = {("use-nested", "seam-1"), ("use-nested", "seam-2")}
"""The browser's box of what is turned inside a use lies round the turned box of the shape, not round the shape."""


def _assert_in_box(said: str, segments: list[tuple[complex, ...]], box: list[complex], loose: bool) -> None:
    # In the frame that the browser's box spans, what was read reaches from 0 to 1 both ways.
    across, down = box[1] - box[0], box[3] - box[0]
    area = (across.conjugate() * down).imag
    z = polyline(segments, 257) - box[0]
    for shares, other in (((z.conjugate() * down).imag / area, down), ((across.conjugate() * z).imag / area, across)):
        width = abs(area) / abs(other)  # between the two sides that run like `other`
        low, high = float(shares.min()) * width, (float(shares.max()) - 1) * width
        assert low >= -LIMIT and high <= LIMIT, f"{said}: reaches out of the browser's box"
        assert loose or (low <= LIMIT and high >= -LIMIT), f"{said}: smaller than the browser's box"


def _assert_no_detour(said: str, segments: list[tuple[complex, ...]], points: list[complex]) -> None:
    # The chords from sample to sample are all but as long as the curve: it loses a little where it bends, and at each
    # corner at most the half of a step and what a square corner saves.
    steps = chords(points)
    around, whole = sum(steps), length(segments)
    corners = sum(1 for a, b, c in zip(points, points[1:], points[2:], strict=False) if turns(a, b, c) > 0.2)
    assert whole >= around - 0.05, f"{said}: {whole:.3f} mm read, {around:.3f} shown"
    most = min(around * 1.08, around * 1.01 + 0.42 * max(steps) * (corners + 1))
    assert whole <= most, f"{said}: {whole:.3f} mm read, {around:.3f} shown"


def test_a_drawing_read_wrong_is_found() -> None:
    # The judge judged: everything read 0.1 % too small must be found, and so must a shape with a detour.
    shown, read = _pairs("unit-mm")[0]
    points = _points(shown["points"])
    smaller = [tuple(0.999 * z for z in segment) for segment in read[0].stroke]
    assert float(distances(points, smaller).max()) > LIMIT
    spot = read[0].stroke[-1][-1]
    detour = [*read[0].stroke, (spot, spot + 20j), (spot + 20j, spot)]
    assert float(distances(points, detour).max()) <= LIMIT
    with pytest.raises(AssertionError, match="shown"):
        _assert_no_detour("with a detour", detour, points)


def test_a_browser_that_does_not_answer_is_told_and_ended(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert referee.main(["--check"]) == 3
    stub = tmp_path / referee.NAMES[1]
    monkeypatch.setattr(referee, "SECONDS", 0.2)
    for does in ("exit 21", "/bin/sleep 60", "echo '<pre></pre>'"):
        stub.write_text(f"#!/bin/sh\n{does}\n")
        stub.chmod(0o755)
        start = time.perf_counter()
        assert referee.main(["--check"]) == 3
        assert time.perf_counter() - start < 5
    said = capsys.readouterr().out.splitlines()
    assert ["on the path" in said[0], "with 21" in said[1], "0.2 s" in said[2], "no script" in said[3]] == [True] * 4
