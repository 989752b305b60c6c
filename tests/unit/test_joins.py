"""Where narrow cloth parts a piece: the fewest joins, found here by trying every set of inner folds. Lengths in mm."""

from __future__ import annotations

import itertools

import pytest

from pleatsvg.flat.joins import Widths, joins_for_width
from pleatsvg.flat.unfold import unfold
from pleatsvg.geometry.outline import Outline
from pleatsvg.kinds import KINDS
from pleatsvg.piece.finished import StraightLine
from pleatsvg.piece.slash_lines import in_order
from pleatsvg.pleats.laid import PleatRequest
from pleatsvg.pleats.layout import lay_out

PANEL = Outline(tuple(itertools.pairwise((0j, 700 + 0j, 700 + 300j, 300j, 0j))))
AT = (120.0, 190.0, 330.0, 400.0, 560.0)


@pytest.mark.parametrize("beyond", [0.0, 15.0])
@pytest.mark.parametrize("kind", ["knife", "box", "inverted"])
@pytest.mark.parametrize("width", [190.0, 210.0, 260.0, 310.0, 400.0, 520.0, 800.0, 2000.0])
def test_fewest_joins(kind: str, width: float, beyond: float) -> None:
    lines = in_order(PANEL, [StraightLine(f"slash {x}", complex(x, 0), complex(x, 300)) for x in AT])
    face = 20.0 if kind == "box" else 0.0
    pleats = lay_out(lines, [PleatRequest(KINDS[kind], -1, 60.0, 60.0, face)] * len(AT))
    whole = unfold(lines, pleats)
    inner = [k for k, crease in enumerate(whole.creases) if crease.role == "inner"]
    tops = [crease.top.real for crease in whole.creases]
    left, _, right, _ = whole.outline.box

    def fits(joins: tuple[int, ...]) -> bool:
        ends = [left, *[tops[k] for k in joins], right]
        allowed = [beyond * ((k > 0) + (k < len(joins))) for k in range(len(joins) + 1)]
        return all(b - a + more <= width + 1e-9 for (a, b), more in zip(itertools.pairwise(ends), allowed, strict=True))

    ends = [left, *tops, right]
    layers = tuple([(min(a, b), max(a, b)) for a, b in itertools.pairwise(ends)])
    widths = Widths(
        layers, {k: (tops[k], tops[k] + beyond) for k in inner}, {k: (tops[k] - beyond, tops[k]) for k in inner}
    )
    found = joins_for_width(widths, [], inner, width)
    fewest = next(
        (n for n in range(len(inner) + 1) if any(fits(joins) for joins in itertools.combinations(inner, n))), None
    )
    if fewest is None:
        assert isinstance(found, float)  # the width that would do
        assert found > width
    else:
        assert isinstance(found, list)
        assert fits(tuple(found))
        assert len(found) == fewest
