"""The search with spoilt drawings, tried on faults put there on purpose: each must be found, told and gone on from."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from pleatsvg.errors import DrawingError
from tests.drawings.fuzz import __main__ as fuzz
from tests.drawings.fuzz import judge, orders
from tests.drawings.fuzz.judge import Case, WrongError, case


def _faulty(one: Case, room: Path, closely: bool) -> str:
    if one.number == 1:
        raise KeyError("seam")
    if one.number == 2:
        while True:
            pass
    if one.number == 3:
        assert len(b"x" * (fuzz.MEGABYTES + 100) * 1_000_000)
    return "result" if closely else "refused"


def test_faults_are_found_and_the_search_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fuzz, "SECONDS", 0.3)
    faults: dict[int, str] = {}
    start = time.perf_counter()
    ended = fuzz.search(1, range(6), lambda number, fault: faults.update({number: fault}), _faulty)
    assert time.perf_counter() - start < 10
    assert sorted(faults) == [1, 2, 3]
    assert "KeyError: 'seam' (test_fuzz_itself.py" in faults[1]
    assert "longer than 0.3 s" in faults[2]
    assert "MemoryError" in faults[3]
    # The first result is looked at closely; case 4 is the second result's turn, and so it is not.
    assert ended == {"fault": 3, "result": 1, "refused": 2}


def test_the_same_seed_gives_the_same_cases() -> None:
    assert [case(5, number) for number in range(40)] == [case(5, number) for number in range(40)]
    assert case(5, 7).data != case(6, 7).data
    assert len({case(5, number).fixture for number in range(300)}) > 30


@pytest.mark.parametrize(
    "error",
    [
        DrawingError("'seam'", "is nan mm wide", "", "Draw it."),
        DrawingError("'seam'", "reaches 1e+12 m", "", "Draw it."),
        DrawingError("'seam'", "is bad (ValueError)", "", "Draw it."),
        DrawingError("'seam'", "is bad", "", "Draw it again"),
        DrawingError("'seam'", "is bad", "", ""),
        DrawingError("'seam'", "is bad" * 300, "", "Draw it."),
    ],
)
def test_a_message_that_is_not_plain_is_found(error: DrawingError) -> None:
    with pytest.raises(WrongError):
        judge._check_refusal(error)


def test_a_plain_message_passes() -> None:
    judge._check_refusal(DrawingError("The page's viewBox", "is '0 0 nan 1e+99'", "", "Set it again."))


def test_a_case_that_fails_is_kept(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def search(seed: int, numbers: range, tell: fuzz.Callable[[int, str], None]) -> fuzz.Counter[str]:
        tell(3, "KeyError: 'seam'")
        return fuzz.Counter(fault=1, result=4)

    monkeypatch.setattr(fuzz, "search", search)
    assert fuzz.main(["--count", "5", "--seed", "8", "--keep", str(tmp_path / "kept")]) == 1
    assert (tmp_path / "kept" / "seed-8-case-3.svg").read_bytes() == case(8, 3).data
    assert "case 3 of seed 8" in capsys.readouterr().out


def test_odd_orders_are_the_same_each_time_and_a_fault_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def untrue(_: object) -> None:
        raise AssertionError("it is not true")

    first = [orders.run(3, number, tmp_path) for number in range(6)]
    assert [orders.run(3, number, tmp_path) for number in range(6)] == first
    assert "made" in {how for _, how in first}
    monkeypatch.setattr(orders, "fold", lambda _: [])
    monkeypatch.setattr(orders, "assert_true", untrue)
    assert orders.ask(orders.run, "Orders.", ["--count", "6", "--seed", "3"]) == 1
    assert "it is not true" in capsys.readouterr().out
