"""The summary of a batch: summary.json and summary.csv in the output folder, and the table at the end."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from pleatsvg import __version__
from pleatsvg.batch.journal import SUMMARY, TABLE
from pleatsvg.batch.matching import MatchResult
from pleatsvg.batch.record import Record, as_line
from pleatsvg.length import show
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


def write_summary(folder: Path, job: str, records: Records, matches: list[MatchResult], undone: int) -> None:
    """Write summary.json and summary.csv, each whole or not at all.

    Args:
        folder: the output folder.
        job: the job file's name.
        records: yields them in order.
        matches: what was compared.
        undone: how many tasks were not reached.

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
    write_whole(folder / SUMMARY, _whole(job, counts, pieces, matches, undone))
    write_whole(folder / TABLE, rows.getvalue().encode("utf-8-sig", errors="backslashreplace"))


def _whole(job: str, counts: dict[str, int], pieces: io.BytesIO, matches: list[MatchResult], undone: int) -> bytes:
    head = {"program": f"pleatsvg {__version__}", "job": job, **counts, "undone": undone}
    rows = [f"  {json.dumps(key)}: {json.dumps(value, ensure_ascii=False)},\n" for key, value in head.items()]
    match_rows = ",".join(["\n    " + as_line(match.data()).decode().rstrip("\n") for match in matches])
    end = f'\n  ],\n  "matches": [{match_rows}{chr(10) + "  " if match_rows else ""}]\n}}\n'
    return b"".join(
        [b"{\n", "".join(rows).encode(errors="backslashreplace"), b'  "pieces": [', pieces.getbuffer(), end.encode()]
    )


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
    return f"'{words}" if words.startswith(("=", "+", "-", "@", "\t", "\r")) else words


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
    name = printable(record["piece"])
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


def printable(words: str) -> str:
    """Return a text on one line, without what would move a terminal's cursor."""
    line = " ".join(words.split())
    return line if line.isprintable() else "".join([letter if letter.isprintable() else "?" for letter in line])
