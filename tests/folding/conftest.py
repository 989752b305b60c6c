"""Results of every kind, folded back once for the tests that look at how they are folded."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from pleatsvg import pleat, read, write
from pleatsvg.api import fold
from pleatsvg.drawing.read_result import result_from
from pleatsvg.proof.figures import Proof
from pleatsvg.proof.prove import prove
from tests.drawings import test_kinds_fold_back as kinds
from tests.drawings import test_passes as passes
from tests.drawings.gallery import FIXTURES, KINDS
from tests.folding import handmade as made

Make = dict[str, Any]
HALF_TWICE = [
    {"kind": "knife", "intake": "40mm", "lap": "sides", "slash": "slash 1"},
    passes.TUCKS | {"pass": 2},
]


def flat_pieces(folder: Path) -> Iterator[tuple[str, Proof]]:
    """Every kind, stacks, mixed, halves, parts, level pleats and two passes, each folded back from its file."""
    out = folder / "flat.svg"

    def taken(piece: Any, options: Make) -> Proof:
        write(pleat(piece, **options), out, force=True)
        return fold(out)[0]

    for name, (source, options) in KINDS.items():
        yield name, taken(read(FIXTURES / f"{source}.svg"), options)
    for name, job in kinds.JOBS.items():
        source = FIXTURES / f"{job.source}.svg"
        if job.source.startswith("<"):
            source = folder / "drawing.svg"
            source.write_text(job.source)
        yield name, taken(read(source), job.options)
    for name, (outline, pleats, more) in passes.ORDERS.items():
        yield name, taken(passes.drawing(folder, outline, passes.DOWN, passes.ACROSS), {"pleats": pleats, **more})
    half = passes.drawing(folder, passes.HALF, passes.ACROSS, '<path id="slash 1" d="M150 40V440"/>')
    yield "half a piece, tucks across it", taken(half, {"pleats": HALF_TWICE})
    for stack, kind, lap in ((3, "knife", "left"), (2, "knife", "right"), (2, "box", None), (3, "inverted", None)):
        options = {"kind": kind, "depth": "12mm", "stack": stack, "lap": lap} | (
            {"face": "5cm"} if kind == "box" else {}
        )
        yield f"{kind} of {stack}", taken(read(FIXTURES / "straight-panel.svg"), options)
    kilt = {"kind": "knife", "depth": "5cm"}
    for lap in ("left", "right"):
        yield f"overlapping, {lap}", taken(read(FIXTURES / "kilt-apron.svg"), kilt | {"lap": lap})
    for text in (made.half_past_the_fold(), made.half_inverted(), made.half_inverted(False), made.two_passes()):
        yield "by hand", prove(result_from(text.encode(), "result.svg").pieces[0])


@pytest.fixture(scope="package")
def proofs(tmp_path_factory: pytest.TempPathFactory) -> list[tuple[str, Proof]]:
    """All of them, made once."""
    return list(flat_pieces(tmp_path_factory.mktemp("order")))
