"""Where the cloth of a kick pleat ends: at slanting tops, beside the seam above, across the fold edge of a half piece."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import shapely
from lxml import etree
from svgpathtools import parse_path

from pleatsvg import fold, pleat, read, write
from pleatsvg.errors import FitError

FIXTURES = Path(__file__).parents[2] / "fixtures"
SVG = "{http://www.w3.org/2000/svg}"


def panel(folder: Path, *balance: str) -> Path:
    lines = "".join(f'<path id="{name}" d="{d}"/>' for name, d in (row.split(":") for row in balance))
    path = folder / "panel.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="500mm" viewBox="0 0 400 500">'
        f'<rect id="seam" x="50" y="50" width="300" height="400"/>{lines}<path id="slash" d="M200 40V460"/></svg>'
    )
    return path


def drawn(path: Path, name: str) -> list[shapely.LineString]:
    """Return what is drawn of a class, as chords; a seam that is closed ends where it begins."""
    made = []
    for element in etree.parse(path).iter(f"{SVG}path"):
        if element.get("class") == name:
            for one in parse_path(element.get("d")).continuous_subpaths():
                points = [one.point(k / 400) for k in range(401)] if any(len(s) > 2 for s in one) else []
                points = points or [s.start for s in one] + [one[-1].end]
                made.append(shapely.LineString([(z.real, z.imag) for z in points]))
    return made


# The pleat begins 150 mm above the hem, at (200, 300). Its inner folds lie at x = 160 and 240, and the tops of its layers run
# from the tip to them at 45 degrees. Each side is covered by two hidden layers: a line that crosses a fold is drawn twice
# more there.
@pytest.mark.parametrize(
    ("line", "hidden"),
    [
        ("hip line:M60 310H340", 2 * 20),
        ("hip line:M155 350L190 440", 2 * 30 / 35 * (35**2 + 90**2) ** 0.5),
        ("hip line:M180 60V440", 0),
        ("hip line:M150 290L240 380", 2 * 60 * 2**0.5),
        ("hip line:M60 200H340", 0),
    ],
    ids=["below the tip", "along the pleat", "across no fold", "aslant", "above"],
)
def test_a_balance_line_is_drawn_on_cloth_alone(line: str, hidden: float, tmp_path: Path) -> None:
    write(pleat(read(panel(tmp_path, line)), kind="kick", intake="16cm", height="15cm"), tmp_path / "flat.svg")
    seam = shapely.Polygon(drawn(tmp_path / "flat.svg", "seam-line")[0].coords)
    runs = drawn(tmp_path / "flat.svg", "balance-line")
    assert seam.is_valid
    assert all(seam.buffer(0.001).covers(run) for run in runs)
    outright = parse_path(line.split(":")[1]).length()
    assert sum(run.length for run in runs) == pytest.approx(outright + hidden, abs=1e-4)
    assert all(proof.holds for proof in fold(tmp_path / "flat.svg"))


def test_a_balance_line_that_leaves_the_cloth_is_seen_by_fold(tmp_path: Path) -> None:
    """Run on over the slanting top of its layer, it would still be level when folded."""
    path = panel(tmp_path, "hip line:M155 350L190 440")
    write(pleat(read(path), kind="kick", intake="16cm", height="15cm"), tmp_path / "flat.svg")
    tree = etree.parse(tmp_path / "flat.svg")
    lines = [e for e in tree.iter(f"{SVG}path") if e.get("class") == "balance-line"]
    hidden = min(lines, key=lambda e: parse_path(e.get("d")).length())
    one = parse_path(hidden.get("d"))[0]
    start = one.end + (one.start - one.end) * 2
    hidden.set("d", f"M{start.real:.6f} {start.imag:.6f}L{one.end.real:.6f} {one.end.imag:.6f}")
    tree.write(tmp_path / "spoilt.svg")
    (proof,) = fold(tmp_path / "spoilt.svg")
    assert "a balance line" in proof.failures[0]


def asked(path: Path, **order: Any) -> Any:
    return pleat(read(path), kind="kick", **order)


def test_edges_of_a_seam_that_meet_at_their_ends_are_refused(tmp_path: Path) -> None:
    """The pleat grows by 2 mm over 80 mm, so that 400 mm farther up its 10 mm are used up; a little less leaves room."""
    order = {"intake": "10mm", "height": "8cm", "at": ["10cm", "20cm"], "run": "fan"}
    with pytest.raises(FitError, match="would lie over itself"):
        asked(FIXTURES / "plain-square-apron.svg", hem_intake="12mm", **order)
    write(asked(FIXTURES / "plain-square-apron.svg", hem_intake="11.9mm", **order), tmp_path / "flat.svg")
    assert all(proof.holds for proof in fold(tmp_path / "flat.svg"))


def test_the_allowance_of_an_underlay_reaches_across_the_fold_edge(tmp_path: Path) -> None:
    """The line lies 18 mm from the fold edge at the hem; the underlay and its allowance lie beneath the other half."""
    order = {"intake": "4mm", "height": "15cm", "hem_intake": "30mm", "at": ["153mm"], "run": "grain", "along": "hem"}
    path = FIXTURES / "gallery" / "half-skirt.svg"
    write(asked(path, allowance="12mm", underlay="separate", **order), tmp_path / "flat.svg")
    (proof,) = fold(tmp_path / "flat.svg")
    assert not proof.failures


def test_parts_of_a_piece_lie_apart_on_the_page(tmp_path: Path) -> None:
    """Underlays that grow by 56 mm over 80 turn the panels beside them by 40 degrees, so that these would cross each other."""
    order = {"intake": "4mm", "hem_intake": "60mm", "height": "8cm", "at": ["30mm", "50mm", "10cm"], "run": "grain"}
    path = FIXTURES / "circle-skirt-panel.svg"
    write(asked(path, along="top", allowance=["10mm", "hem=4cm"], underlay="separate", **order), tmp_path / "flat.svg")
    cuts = [shapely.Polygon(line.coords) for line in drawn(tmp_path / "flat.svg", "cut-line")]
    assert len(cuts) == 7
    assert min(one.distance(other) for k, one in enumerate(cuts) for other in cuts[:k]) >= 10
    assert all(proof.holds for proof in fold(tmp_path / "flat.svg"))
