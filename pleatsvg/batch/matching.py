"""Seam edges that belong together, held against one another when every piece is done."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pleatsvg.batch.account import Record
from pleatsvg.batch.jobfile.read import EdgeOf, JobFile, JobMatch
from pleatsvg.errors import near_names
from pleatsvg.length import show


@dataclass(frozen=True, slots=True)
class MatchResult:
    """The outcome of one [[match]].

    Attributes:
        match: as asked.
        first_mm, second_mm: the lengths folded, or None where they are not known.
        agrees: whether they differ by no more than is allowed.
        words: the finding in one sentence.
    """

    match: JobMatch
    first_mm: float | None
    second_mm: float | None
    agrees: bool
    words: str

    def data(self) -> dict[str, Any]:
        """Return it for the summary."""
        return {
            "line": self.match.line,
            "name": self.match.name,
            "first": [str(edge) for edge in self.match.first],
            "second": [str(edge) for edge in self.match.second],
            "first_mm": self.first_mm,
            "second_mm": self.second_mm,
            "tolerance_mm": self.match.tolerance_mm,
            "agrees": self.agrees,
            "words": self.words,
        }


@dataclass(frozen=True, slots=True)
class _Unknown:
    words: str


def matched(job: JobFile, records: Iterable[Record]) -> list[MatchResult]:
    """Hold the edges of every [[match]] against one another.

    A piece goes by its name in the job, its own name, or its drawing's file name. A folded edge is as long as it was
    drawn: the fold-back has proven it to 0.01 mm.

    Args:
        job: with the matches.
        records: of all pieces.
    """
    if not job.matches:
        return []
    wanted = {plain(edge.piece) for match in job.matches for edge in (*match.first, *match.second)}
    found, known = named_records(records, wanted)
    return [_held(match, found, known) for match in job.matches]


def named_records(records: Iterable[Record], wanted: Collection[str]) -> tuple[dict[str, list[Record]], list[str]]:
    """Return the records that go by some names, as `plain` has them, and what all pieces are called; cf. `matched`."""
    found: dict[str, list[Record]] = {}
    known: list[str] = []
    for record in records:
        stem = Path(record["drawing"]).stem
        known.append(record["piece"])
        names = {
            plain(name) for name in (record["piece"], record.get("own_name", ""), stem, Path(record["drawing"]).name)
        }
        for name in names.intersection(wanted):
            found.setdefault(name, []).append(record)
    return found, known


def plain(name: str) -> str:
    """Return a name as it is compared with others."""
    return " ".join(name.split()).casefold()


def _held(match: JobMatch, found: dict[str, list[Record]], known: list[str]) -> MatchResult:
    first = _length(match.first, found, known)
    second = match.length_mm if match.length_mm is not None else _length(match.second, found, known)
    for side in (first, second):
        if isinstance(side, _Unknown):
            return MatchResult(match, _or_none(first), _or_none(second), False, side.words)
    assert isinstance(first, float)
    assert isinstance(second, float)
    miss = abs(first - second)
    agrees = miss <= match.tolerance_mm + 1e-9
    unit = match.unit
    ours = f"{_named(match.first)} {'is' if len(match.first) == 1 else 'are together'} {show(first, unit)}"
    theirs = (
        f"it is to be {show(second, unit)}"
        if match.length_mm is not None
        else f"{_named(match.second)} {'is' if len(match.second) == 1 else 'are together'} {show(second, unit)}"
    )
    if agrees:
        verdict = f"they agree within {show(match.tolerance_mm, unit)}"
    else:
        verdict = f"they differ by {show(miss, unit)}, and {show(match.tolerance_mm, unit)} is allowed"
    name = f"{match.name}: " if match.name else ""
    return MatchResult(match, first, second, agrees, f"{name}{ours}, {theirs}; {verdict}.")


def _or_none(side: float | _Unknown) -> float | None:
    return None if isinstance(side, _Unknown) else side


def _named(edges: tuple[EdgeOf, ...]) -> str:
    return " and ".join([f"'{edge}'" for edge in edges])


def _length(edges: tuple[EdgeOf, ...], found: dict[str, list[Record]], known: list[str]) -> float | _Unknown:
    total = 0.0
    for edge in edges:
        records = found.get(plain(edge.piece), [])
        if len(records) != 1:
            which = (
                near_names(edge.piece, list(dict.fromkeys(known))) if not records else "each needs a name of its own"
            )
            count = "no piece" if not records else f"{len(records)} pieces"
            return _Unknown(
                f"'{edge}' cannot be measured: {count} of this batch is called so; {which}.".replace(
                    "pieces of this batch is", "pieces of this batch are"
                )
            )
        record = records[0]
        if "edges_mm" not in record:
            return _Unknown(f"'{edge}' cannot be measured, since its piece was not made.")
        lengths = record["edges_mm"]
        asked = plain(edge.edge)
        by_number = {str(k): name for k, name in enumerate(lengths, 1)} | {
            f"edge {k}": name for k, name in enumerate(lengths, 1)
        }
        name = asked if asked in lengths else by_number.get(asked)
        if name is None:
            return _Unknown(f"'{edge}' cannot be measured: {near_names(asked, list(lengths))}.")
        total += float(lengths[name])
    return total
