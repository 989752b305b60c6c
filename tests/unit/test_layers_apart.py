"""Whether layers of a flat piece lie apart is asked of thousands of creases in little memory. Lengths in mm."""

from __future__ import annotations

import tracemalloc
from itertools import pairwise

import pytest

from pleatsvg.flat.unfold import layers_lie_apart, unfold
from pleatsvg.geometry.outline import Outline
from pleatsvg.kinds import KINDS
from pleatsvg.piece.finished import StraightLine
from pleatsvg.piece.slash_lines import in_order
from pleatsvg.pleats.laid import PleatRequest
from pleatsvg.pleats.layout import lay_out


@pytest.mark.parametrize("fanned", [0.0, 0.01, 0.2])
def test_layers_of_many_pleats_lie_apart(fanned: float) -> None:
    count, gap = 300, 20.0
    width = gap * (count + 1)
    spread = fanned * width
    corners = (0j, width + 0j, complex(width + spread, 500), complex(-spread, 500), 0j)
    starts = [gap * (k + 1) for k in range(count)]
    lines = [
        StraightLine(f"slash {k}", complex(x, 0), complex(x + spread * (2 * x / width - 1), 500))
        for k, x in enumerate(starts)
    ]
    row = in_order(Outline(tuple(pairwise(corners))), lines)
    unfolded = unfold(row, lay_out(row, [PleatRequest(KINDS["knife"], -1, 8.0, 8.0)] * count))
    tracemalloc.start()
    assert layers_lie_apart(unfolded, row.hand)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 20e6  # all heights at once took 80 MB, and four times as much for twice the pleats
