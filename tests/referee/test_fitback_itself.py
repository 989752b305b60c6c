"""The referee of fitted pieces sees what is not true, and so does `fold`: a written result is spoilt line by line."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from pleatsvg import fold
from pleatsvg.errors import PleatError
from tests.drawings.fitted_pieces import fitted, front
from tests.referee.fitback import prove_fitted


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("fitted")
    _, out = fitted(
        folder, front(), fit_waist="43cm", hip="hip", kind="inverted", intake="6cm", hem_intake="8cm", allowance="15mm"
    )
    assert prove_fitted(out).failures() == []
    return out.read_text()


def _numbers(name: str, zone: str, change: Callable[[list[float]], None]) -> Callable[[str], str]:
    # Change the numbers of the first path of a class, of a zone where one is named.
    more = f'[^>]*data-zone="{zone}"' if zone else ""

    def spoil(text: str) -> str:
        found = re.search(rf'class="{name}" d="([^"]+)"{more}', text)
        assert found is not None
        values = [float(n) for n in re.findall(r"-?\d+\.?\d*", found[1])]
        change(values)
        fresh = iter(values)
        data = re.sub(r"-?\d+\.?\d*", lambda _: f"{next(fresh):.6f}", found[1])
        return text[: found.start(1)] + data + text[found.end(1) :]

    return spoil


def _by(index: int, much: float) -> Callable[[list[float]], None]:
    def change(values: list[float]) -> None:
        values[index] += much

    return change


SPOILT: dict[str, tuple[Callable[[str], str], str]] = {
    # A fold line: nodes at the cutting line, the seam, the hip, the seam, the cutting line.
    "the bend of a fold line": (_numbers("fold-line", "", _by(4, 0.3)), "raw_edge|fold_on|hip_point|cut_mm"),
    "the top of a fold line": (_numbers("fold-line", "", _by(2, 0.3)), "raw_edge|fold_on|bends"),
    "the hem of a fold line": (_numbers("fold-line", "", _by(6, 0.3)), "raw_edge|fold_on|bends"),
    "the bend of a placement line": (_numbers("placement-line", "", _by(4, 0.3)), "fold_on|bends"),
    "the finished line above": (_numbers("finished-line", "above", _by(8, 0.4)), "raw_edge_mm above.*bare_mm above"),
    "the finished line below": (_numbers("finished-line", "below", _by(14, 0.4)), "raw_edge_mm below.*bare_mm below"),
    "the finished cutting line above": (_numbers("finished-cut-line", "above", _by(8, 0.5)), "cut_mm above"),
    "the length": (lambda text: text.replace('data-fit-mm="430.0', 'data-fit-mm="430.3'), "the top is 430.0"),
}


@pytest.mark.parametrize("what", SPOILT)
def test_what_is_spoilt_is_seen(tmp_path: Path, written: str, what: str) -> None:
    spoil, words = SPOILT[what]
    spoilt = spoil(written)
    assert spoilt != written
    path = tmp_path / "spoilt.svg"
    path.write_text(spoilt)
    said = " ".join(prove_fitted(path).failures())
    assert re.search(words, said), said
    with contextlib.suppress(PleatError):  # it may be that it cannot even be folded
        assert not all(proof.holds for proof in fold(path))


def test_a_length_that_is_met_within_a_tenth_holds(tmp_path: Path, written: str) -> None:
    path = tmp_path / "near.svg"
    path.write_text(written.replace('data-fit-mm="430.0', 'data-fit-mm="430.05'))
    assert prove_fitted(path).failures() == []
    assert all(proof.holds for proof in fold(path))
