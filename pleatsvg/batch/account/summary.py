"""The summary of a batch: summary.json and summary.csv in the output folder, and the table at the end."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from pleatsvg import __version__
from pleatsvg.batch.account import Record
from pleatsvg.batch.account.journal import SUMMARY, TABLE
from pleatsvg.batch.account.record import as_json, as_line
from pleatsvg.batch.matching import MatchResult
from pleatsvg.length import show
from pleatsvg.saying import on_one_line
from pleatsvg.wholefile import write_whole

Records = Callable[[], Iterable[Record]]


_COLUMNS = (
    "piece",
    "drawing",
    "output",
    "state",
    "pleats",
    "finished_mm",
    "flat_mm",
    "hem_finished_mm",
    "hem_flat_mm",
    "fold_back_mm",
    "warnings",
    "words",
    "seconds",
)


def write_summary(
    folder: Path,
    job: str,
    records: Records,
    matches: list[MatchResult],
    undone: int,
    standing: Sequence[Mapping[str, str]] = (),
) -> None:
    """Write summary.json and summary.csv, each whole or not at all.

    Args:
        folder: the output folder.
        job: the job file's name.
        records: yields them in order.
        matches: what was compared.
        undone: how many tasks were not reached.
        standing: file names and digests of results of earlier runs that stand beside those of this one.

    Raises:
        OutputError: the disk does not take them.
    """
    counts = {"made": 0, "failed": 0}
    pieces = io.BytesIO()  # one piece to a line: easy to read and to search
    rows = io.StringIO(newline="")
    spreadsheet = csv.writer(rows)
    spreadsheet.writerow(_COLUMNS)
    for record in records():
        counts[record["state"]] += 1
        pieces.write(b",\n    " if pieces.tell() else b"\n    ")
        pieces.write(as_line(record)[:-1])
        spreadsheet.writerow(_in_columns(record))
    write_whole(folder / SUMMARY, _whole(job, counts, pieces, matches, undone, standing))
    write_whole(folder / TABLE, rows.getvalue().encode("utf-8-sig", errors="backslashreplace"))


def _whole(
    job: str,
    counts: dict[str, int],
    pieces: io.BytesIO,
    matches: list[MatchResult],
    undone: int,
    standing: Sequence[Mapping[str, str]],
) -> bytes:
    head = {"program": f"pleatsvg {__version__}", "job": job, **counts, "undone": undone}
    rows = [f"  {json.dumps(key)}: {as_json(value)},\n" for key, value in head.items()]
    end = f'\n  ],\n  "matches": [{_listed([as_json(match.data()) for match in matches])}]'
    if standing:
        end += f',\n  "earlier": [{_listed([as_json(one) for one in standing])}]'
    return b"".join([b"{\n", _bytes("".join(rows)), b'  "pieces": [', pieces.getbuffer(), _bytes(f"{end}\n}}\n")])


def _listed(rows: list[str]) -> str:
    return ",".join([f"\n    {row}" for row in rows]) + "\n  " if rows else ""


def _bytes(text: str) -> bytes:
    return text.encode(errors="backslashreplace")


def _in_columns(record: Record) -> list[str | int | float]:
    made = record["state"] == "made"
    top, hem = record.get("top_seam_mm", {}), record.get("hem_seam_mm", {})
    return [
        _plain(record["piece"]),
        _plain(record["drawing"]),
        _plain(record["output"] or ""),
        record["state"],
        record.get("pleats", ""),
        *[seam.get(key, "") for seam in (top, hem) for key in ("finished", "flat")],
        f"{record['fold_back_mm']:.9f}" if made else "",
        len(record["warnings"]) if made else "",
        _plain(" | ".join(record["warnings"]) if made else record["message"]),
        record["seconds"],
    ]


def _plain(words: str) -> str:
    # A spreadsheet would evaluate a cell that begins like a formula; names come from strangers.
    line = on_one_line(words)
    return f"'{line}" if line.startswith(("=", "+", "-", "@")) else line


_HEADINGS = ("piece", "pleats", "finished", "flat", "fold-back", "warnings", "seconds")


def table(records: Records) -> Iterator[str]:
    """Yield the rows of the table at the end: widths are those of the seam that the pleats' tops lie on."""
    widths = [len(word) for word in _HEADINGS]
    for record in records():
        widths = [max(width, len(cell)) for width, cell in zip(widths, _cells(record), strict=True)]
    widths[0] = min(widths[0], 48)
    yield _row(_HEADINGS, widths)
    for record in records():
        yield _row(_cells(record), widths)


def _cells(record: Record) -> tuple[str, ...]:
    name = on_one_line(record["piece"])
    seconds = f"{record['seconds']:.2f} s"
    if record["state"] != "made":
        return (name, "-", "-", "-", "not made", "-", seconds)
    seam, unit = record["top_seam_mm"], record["unit"]
    return (
        name,
        str(record["pleats"]),
        show(seam["finished"], unit),
        show(seam["flat"], unit),
        f"{record['fold_back_mm']:.6f} mm",
        str(len(record["warnings"])),
        seconds,
    )


def _row(cells: Iterable[str], widths: list[int]) -> str:
    words = list(cells)
    name = words[0] if len(words[0]) <= widths[0] else words[0][: widths[0] - 3] + "..."
    rest = [f"{word:>{width}}" for word, width in zip(words[1:], widths[1:], strict=True)]
    return "  ".join([f"{name:<{widths[0]}}", *rest]).rstrip()
