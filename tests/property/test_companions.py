"""A facing that is the mirror image of a piece drawn at random: turned over, it lies on the folded piece, fold on notch.

The pieces and wishes are those of `test_pleating`; the referee folds and lays by the written files alone. Lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pleatsvg import pleat, read, write
from pleatsvg.api import companion, fold
from pleatsvg.errors import FitError
from tests.property.test_pleating import Piece, Wish, pieces, wishes
from tests.referee import laying

NEAR = 0.05


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    yield tmp_path_factory.mktemp("companions")


@settings(derandomize=True, deadline=None, max_examples=10, database=None, suppress_health_check=[HealthCheck.too_slow])
@given(piece=pieces(), wish=wishes(), start=st.integers(0, 40), beyond=st.integers(0, 40))
def test_a_mirrored_piece_is_a_facing(folder: Path, piece: Piece, wish: Wish, start: int, beyond: int) -> None:
    source, mirrored = folder / "piece.svg", folder / "mirrored.svg"
    source.write_text(piece.text(), encoding="utf-8")
    mirrored.write_text(piece.moved(lambda z: complex(2000 - z.real, z.imag)).text(), encoding="utf-8")
    for halvings in range(6):
        try:
            result = pleat(read(source), **wish.scaled(0.5**halvings).options)
        except FitError:
            continue
        break
    made = companion(read(mirrored), "facing", "top", result)
    files = folder / "flat.svg", folder / "facing.svg"
    for one, file in zip((result, made.result), files, strict=True):
        write(one, file, force=True)
        assert all(proof.holds for proof in fold(file))
    seam, lines = laying.pleated(files[0])
    ring, notches = laying.companion(files[1])
    # Turned over, and laid corner on corner: the two outlines are one, so that their middles are.
    turned = 2000 - ring.conj()
    shift = (seam.real.min() + seam.real.max() - turned.real.min() - turned.real.max()) / 2
    shift += 1j * (seam.imag.min() + seam.imag.max() - turned.imag.min() - turned.imag.max()) / 2
    folds = np.array([line.ends[0] for line in lines])
    spots = np.array([2000 - notch.spot.conjugate() + shift for notch in notches if notch.pleat])
    apart = np.abs(folds[:, None] - spots)
    assert apart.min(axis=0).max() < NEAR
    assert apart.min(axis=1).max() < NEAR
    # The places add up to the edge, and what runs on before or beyond it moves them all alike.
    assert made.at[0] == 0.0
    assert sum(np.diff(made.at)) == pytest.approx(made.match.edge[1])
    assert min(np.diff(made.at)) > 0
    longer = folder / "band.svg"
    length = made.match.edge[1] + start + beyond
    longer.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="90mm" viewBox="0 0 900 90">'
        f'<path id="seam" d="M 0,0 h {length!r} v 50 h {-length!r} z"/></svg>'
    )
    band = companion(read(longer), "band", "hem", result, start=f"{start}mm", beyond=f"{beyond}mm")
    assert band.at == pytest.approx([start + at for at in made.at])
    assert band.match.wanted == pytest.approx(length)
